// SPDX-License-Identifier: GPL-3.0-or-later
/* Falling snow. It comes down in steps: each puts onto every cell what has fallen since the last one,
 * exactly, so that mass is conserved whatever the step. A swept slot is dirty again once what lies on it is
 * deeper than the trigger depth (or done_below, if that is more) and it is worth coming for, and at the end
 * of the storm, or when an area is swept for its deadline, once it is deeper than done_below. What is pushed
 * onto it counts by itself, as ever (slots.c). */
#include <string.h>

#include "sim/night.h"

static const double step_s = 120.0;

/* Mass per area fallen up to a time, and its depth as it fell. */
static double fallen_kgpm2(const pc_lot *lot, double time_s, double *depth_m) {
  double sum = 0.0;
  *depth_m = 0.0;
  for (size_t i = 0; i < lot->fall_count; i++) {
    double end = i + 1 < lot->fall_count ? lot->falls[i + 1].after_s : INFINITY;
    double from = lot->falls[i].after_s, to = pc_lesser(end, time_s);
    if (to > from && lot->falls[i].kgpm2ps > 0.0) {
      sum += (to - from) * lot->falls[i].kgpm2ps;
      *depth_m += (to - from) * lot->falls[i].depth_mps;
    }
  }
  return sum;
}

static void snow_on_cells(pc_world *world, double kgpm2) {
  const pc_ground *ground = world->lot->ground;
  for (size_t c = 0; c < ground->cell_count; c++)
    world->cell_kg[c] += kgpm2 * ground->cell_m2[c];
}

/* What falls on the slots of a lane; returns the kilograms on those that are deeper than they may be. */
static double fall_on_lane(pc_world *world, size_t s, size_t l, double kgpm2, double limit_kgpm2) {
  const pc_lane_set *set = &world->lot->lane_sets[s];
  double *slot_kg = world->lanes[s].slot_kg, deep_kg = 0.0;
  const pc_lane *lane = &set->lanes[l];
  for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++) {
    slot_kg[k] += kgpm2 * set->slot_cells_m2[k];
    if (set->slot_m2[k] > 0.0 && slot_kg[k] > limit_kgpm2 * set->slot_m2[k])
      deep_kg += slot_kg[k];
  }
  return deep_kg;
}

/* Finds the slots of a lane that are dirty now. */
static void judge_lane(pc_world *world, size_t s, size_t l, double limit_kgpm2) {
  const pc_lane_set *set = &world->lot->lane_sets[s];
  pc_lane_state *state = &world->lanes[s];
  const pc_lane *lane = &set->lanes[l];
  int dirty = 0;
  for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++) {
    if (!state->dirty[k] && set->slot_m2[k] > 0.0 && state->slot_kg[k] > limit_kgpm2 * set->slot_m2[k]) {
      state->dirty[k] = 1;
      state->fresh[k] = 1;
      pc_reset_marks(world->lot, set, state, lane, k);
      size_t cell =
          pc_patch_cell(&world->lot->ground->patches[lane->patch], (int)(k - lane->first), lane->strip0);
      memset(&world->cell_swept[cell], 0, (size_t)lane->strips);
    }
    dirty += state->dirty[k];
  }
  pc_count_dirty(state, l, (size_t)lane->patch, dirty - state->dirty_count[l]);
}

static void note_change(pc_lane_state *state, const pc_lane *lane, size_t l) {
  state->version[l]++;
  for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++)
    state->slot_version[k] = state->version[l];
}

/* How much has to lie too deep on an area before anybody comes for it: a full load, or half of the area where
 * that is less. Swept slot by slot, an area is too deep again slot by slot, and machines would drive out for
 * each of them. */
static double call_kg(const pc_world *world, size_t s, size_t patch, double limit_kgpm2) {
  const pc_lot *lot = world->lot;
  if (world->engine.now_s >= lot->storm_end_s || !(lot->snow.trigger_m > lot->snow.done_below_m))
    return 0.0;
  return pc_lesser(lot->lane_sets[s].load_kg, 0.5 * limit_kgpm2 * lot->ground->patches[patch].area_m2);
}

/* Adds what has fallen to the slots of an area, and finds those that are dirty now. `limit_kgpm2`: what may
 * lie on swept ground. */
static void snow_on_area(pc_world *world, size_t s, size_t patch, double kgpm2, double limit_kgpm2,
                         double called_at_kg) {
  const pc_lane_set *set = &world->lot->lane_sets[s];
  double deep_kg = 0.0;
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++)
    deep_kg += fall_on_lane(world, s, l, kgpm2, limit_kgpm2);
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++) {
    if (deep_kg >= called_at_kg)
      judge_lane(world, s, l, limit_kgpm2);
    note_change(&world->lanes[s], &set->lanes[l], l);
  }
}

/* How deep snow lies on each area on average, as fresh snow. */
static void note_depths(pc_world *world) {
  const pc_lot *lot = world->lot;
  const pc_lane_set *set = &lot->lane_sets[0];
  for (size_t p = 0; p < lot->area_count; p++) {
    double kg = 0.0, m2 = lot->ground->patches[p].area_m2;
    for (size_t l = set->patch_lane[p]; l < set->patch_lane[p + 1]; l++)
      for (size_t k = set->lanes[l].first; k < set->lanes[l].first + (size_t)set->lanes[l].stations; k++)
        kg += world->lanes[0].slot_kg[k];
    double depth = m2 > 0.0 ? kg / m2 / lot->lying_kgpm3 : 0.0;
    world->areas[p].max_depth_m = pc_greater(world->areas[p].max_depth_m, depth);
    if (world->trace && world->trace->depth)
      world->trace->depth(world->trace->context, world->replication, world->engine.now_s, p, depth);
  }
}

double pc_fallen_kg(const pc_world *world) {
  const pc_ground *ground = world->lot->ground;
  double m2 = 0.0;
  for (size_t p = 0; p < ground->patch_count; p++)
    m2 += ground->patches[p].area_m2;
  return world->fallen_kgpm2 * m2;
}

static pc_status schedule_next(pc_world *world) {
  double now = world->engine.now_s, end = world->lot->storm_end_s;
  if (now >= end)
    return PC_OK;
  double next = pc_lesser(now + step_s, end);
  return pc_engine_schedule(&world->engine, next, PC_FIRST, PC_EVENT_SNOW, 0);
}

/* Work has begun once the snow lies as deep as the trigger, or the storm is over. */
static bool has_begun(const pc_world *world, double fallen_m) {
  const pc_lot *lot = world->lot;
  return world->begun || lot->snow.depth_m + fallen_m >= lot->snow.trigger_m * (1.0 - 1e-12) ||
         world->engine.now_s >= lot->storm_end_s;
}

double pc_trigger_kgpm2(const pc_world *world) {
  const pc_lot *lot = world->lot;
  bool over = world->engine.now_s >= lot->storm_end_s;
  return lot->lying_kgpm3 *
         (over ? lot->snow.done_below_m : pc_greater(lot->snow.done_below_m, lot->snow.trigger_m));
}

pc_status pc_on_snow(pc_engine *engine, void *context, uint32_t subject) {
  (void)subject;
  pc_world *world = context;
  const pc_lot *lot = world->lot;
  double fallen_m, total = fallen_kgpm2(lot, engine->now_s, &fallen_m), more = total - world->fallen_kgpm2;
  world->fallen_kgpm2 = total;
  pc_areas_note_ready(world);
  snow_on_cells(world, more);
  for (size_t s = 0; s < lot->lane_set_count; s++)
    for (size_t p = 0; p < lot->ground->patch_count; p++) {
      double limit = pc_trigger_kgpm2(world);
      snow_on_area(world, s, p, more, limit, call_kg(world, s, p, limit));
    }
  note_depths(world);
  world->begun = has_begun(world, fallen_m);
  pc_status status = pc_areas_update(world);
  if (status == PC_OK && world->begun)
    status = pc_wake_others(world);
  return status == PC_OK ? schedule_next(world) : status;
}

/* Snow that falls from here on counts from the trigger on again: who has swept once has done it. */
pc_status pc_on_sweep(pc_engine *engine, void *context, uint32_t area) {
  (void)engine;
  pc_world *world = context;
  const pc_lot *lot = world->lot;
  for (size_t s = 0; s < lot->lane_set_count; s++)
    snow_on_area(world, s, area, 0.0, lot->snow.done_below_m * lot->lying_kgpm3, 0.0);
  world->begun = true;
  pc_status status = pc_areas_update(world);
  return status == PC_OK ? pc_wake_others(world) : status;
}

pc_status pc_storm_start(pc_world *world) {
  world->fallen_kgpm2 = 0.0;
  world->begun = false;
  world->begun = has_begun(world, 0.0);
  if (world->lot->storm_end_s <= 0.0)
    return PC_OK;
  note_depths(world);
  return schedule_next(world);
}
