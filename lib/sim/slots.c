// SPDX-License-Identifier: GPL-3.0-or-later
/* The sums per slot that decisions read: made, begun, and kept up with the cells. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/world.h"

int pc_lane_station(const pc_lot *lot, const pc_lane *lane, double u_m, int sign) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double place = (u_m - patch->u0_m) / patch->station_m;
  if (!(place > 0.0))
    return 0;
  if (place >= patch->stations)
    return patch->stations - 1;
  int station = (int)place; /* a border belongs to the slot ahead; within 1e-9 of one counts as on it */
  double past = place - station;
  if (sign > 0)
    return past > 1.0 - 1e-9 && station + 1 < patch->stations ? station + 1 : station;
  return past < 1e-9 && station > 0 ? station - 1 : station;
}

static double off_wall(const pc_slot_way *way, double u_m) {
  if ((way->walls & PC_WALL_LOW) && u_m < way->low_m)
    return way->low_m;
  return (way->walls & PC_WALL_HIGH) && u_m > way->high_m ? way->high_m : u_m;
}

void pc_keep_off_walls(const pc_lot *lot, const pc_lane_set *set, pc_bite *bite) {
  if (!set->slot_ways)
    return;
  const pc_lane *lane = &set->lanes[bite->lane];
  const pc_slot_way *ways = &set->slot_ways[lane->first];
  int sign = bite->to_m > bite->from_m ? 1 : -1;
  bite->from_m = off_wall(&ways[pc_lane_station(lot, lane, bite->from_m, sign)], bite->from_m);
  bite->to_m = off_wall(&ways[pc_lane_station(lot, lane, bite->to_m, -sign)], bite->to_m);
}

void pc_mark_walls(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state, const pc_lane *lane,
                   size_t slot) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  const pc_slot_way *way = &set->slot_ways[slot];
  double near = patch->u0_m + (double)(slot - lane->first) * patch->station_m;
  if (way->walls & PC_WALL_LOW)
    state->low[slot] = (way->low_m - near) / patch->station_m;
  if (way->walls & PC_WALL_HIGH)
    state->high[slot] = (way->high_m - near) / patch->station_m;
}

/* ---- making and beginning ---- */

/* What lies on the slots when a run begins. */
static void fill_slots(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state) {
  double thin = lot->snow.done_below_m * lot->fresh_density_kgpm3;
  memcpy(state->slot_kg, set->slot_kg, set->slot_count * sizeof *state->slot_kg);
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    int dirty = 0;
    for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++) {
      pc_reset_marks(lot, set, state, lane, k);
      state->fresh[k] = set->slot_m2[k] > 0.0;
      state->dirty[k] = state->fresh[k] && set->slot_kg[k] > thin * set->slot_m2[k];
      state->slot_version[k] = 1;
      dirty += state->dirty[k];
    }
    state->version[l] = 1;
    pc_count_dirty(state, l, (size_t)lane->patch, dirty);
  }
}

/* All arrays are pieces of one block, widest items first, so that a run begins with one copy. */
static pc_status create_slots(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state) {
  size_t slots = set->slot_count, lanes = set->lane_count, patches = lot->ground->patch_count;
  size_t words = slots + 2 * lanes + patches;
  state->size = 3 * slots * sizeof(double) + words * sizeof(uint32_t) + 2 * slots;
  state->block = pc_alloc(1, state->size);
  state->start = pc_alloc(1, state->size);
  if (!state->block || !state->start)
    return PC_ERR_MEMORY;
  state->slot_kg = (double *)state->block;
  state->low = state->slot_kg + slots;
  state->high = state->low + slots;
  state->slot_version = (uint32_t *)(void *)(state->high + slots);
  state->version = state->slot_version + slots;
  state->dirty_count = (int *)(void *)(state->version + lanes);
  state->patch_dirty = state->dirty_count + lanes;
  state->dirty = (unsigned char *)(state->patch_dirty + patches);
  state->fresh = state->dirty + slots;
  fill_slots(lot, set, state);
  memcpy(state->start, state->block, state->size);
  state->start_dirty = state->total_dirty;
  return PC_OK;
}

_Static_assert(sizeof(int) == sizeof(uint32_t), "counts and versions share a block");

pc_status pc_world_create_ground(pc_world *world) {
  const pc_lot *lot = world->lot;
  world->cell_kg = pc_alloc(lot->ground->cell_count, sizeof *world->cell_kg);
  world->cell_swept = pc_alloc(lot->ground->cell_count, 1);
  world->lanes = pc_alloc(lot->lane_set_count, sizeof *world->lanes);
  if (lot->storm_end_s > 0.0)
    world->cell_bare_kgpm2 = pc_alloc(lot->ground->cell_count, sizeof *world->cell_bare_kgpm2);
  if (!world->cell_kg || !world->cell_swept || !world->lanes ||
      (lot->storm_end_s > 0.0 && !world->cell_bare_kgpm2))
    return PC_ERR_MEMORY;
  pc_status status = PC_OK;
  for (size_t s = 0; s < lot->lane_set_count && status == PC_OK; s++)
    status = create_slots(lot, &lot->lane_sets[s], &world->lanes[s]);
  return status;
}

void pc_world_free_ground(pc_world *world) {
  for (size_t s = 0; world->lanes && s < world->lot->lane_set_count; s++) {
    free(world->lanes[s].block);
    free(world->lanes[s].start);
  }
  free(world->lanes);
  free(world->cell_kg);
  free(world->cell_swept);
  free(world->cell_bare_kgpm2);
}

void pc_world_start_ground(pc_world *world) {
  const pc_lot *lot = world->lot;
  memcpy(world->cell_kg, lot->cell_kg, lot->ground->cell_count * sizeof *world->cell_kg);
  if (pc_marks_cells(world))
    memset(world->cell_swept, 0, lot->ground->cell_count);
  for (size_t c = 0; world->cell_bare_kgpm2 && c < lot->ground->cell_count; c++)
    world->cell_bare_kgpm2[c] = 0.0;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    pc_lane_state *state = &world->lanes[s];
    memcpy(state->block, state->start, state->size);
    state->total_dirty = state->start_dirty;
  }
}

/* ---- keeping the sums ---- */

/* What has fallen onto a slot since a box went over it. */
static double fallen_on(const pc_world *world, size_t cell, int strips) {
  double kg = 0.0;
  for (size_t j = cell; j < cell + (size_t)strips; j++)
    kg += (world->fallen_kgpm2 - world->cell_bare_kgpm2[j]) * world->lot->ground->cell_m2[j];
  return kg;
}

/* Whether a slot is dirty, from its sum; notes that it has changed. While snow falls, a slot that is not
 * dirty becomes so by what is pushed onto it, or by the trigger depth of all that lies there. */
static void judge_slot(pc_world *world, size_t set_index, size_t lane, size_t slot, size_t cell) {
  const pc_lot *lot = world->lot;
  const pc_lane_set *set = &lot->lane_sets[set_index];
  pc_lane_state *state = &world->lanes[set_index];
  double limit = state->fresh[slot] ? lot->snow.done_below_m * lot->fresh_density_kgpm3 * set->slot_m2[slot]
                                    : set->thin_kg[lane];
  double kg = state->slot_kg[slot];
  if (world->engine.now_s < lot->storm_end_s && !state->dirty[slot] &&
      kg <= pc_trigger_kgpm2(world) * set->slot_m2[slot])
    kg -= fallen_on(world, cell, set->lanes[lane].strips);
  unsigned char dirty = set->slot_m2[slot] > 0.0 && kg > limit;
  if (dirty != state->dirty[slot])
    pc_count_dirty(state, lane, (size_t)set->lanes[lane].patch, (int)dirty - (int)state->dirty[slot]);
  state->dirty[slot] = dirty;
  state->slot_version[slot] = ++state->version[lane];
}

void pc_refresh_slot(pc_world *world, size_t set_index, size_t lane_index, int station) {
  const pc_lot *lot = world->lot;
  const pc_lane_set *set = &lot->lane_sets[set_index];
  pc_lane_state *state = &world->lanes[set_index];
  const pc_lane *lane = &set->lanes[lane_index];
  size_t cell = pc_patch_cell(&lot->ground->patches[lane->patch], station, lane->strip0);
  size_t slot = lane->first + (size_t)station;
  double kg = 0.0;
  for (size_t j = cell; j < cell + (size_t)lane->strips; j++)
    kg += world->cell_kg[j];
  if (kg > state->slot_kg[slot]) /* snow came in from the side */
    pc_reset_marks(lot, set, state, lane, slot);
  state->slot_kg[slot] = kg;
  /* what was swept stays so, unless more falls */
  if (pc_marks_cells(world) && (state->fresh[slot] || lot->storm_end_s > 0.0)) {
    size_t j = cell, end = cell + (size_t)lane->strips;
    while (j < end && (world->cell_swept[j] || !(lot->ground->cell_m2[j] > 0.0)))
      j++;
    state->fresh[slot] = j < end;
  }
  judge_slot(world, set_index, lane_index, slot, cell);
}

void pc_refresh_strips(pc_world *world, int patch, int station, int low, int high) {
  const pc_lot *lot = world->lot;
  int last_strip = lot->ground->patches[patch].strips - 1;
  low = low < 0 ? 0 : low;
  high = high > last_strip ? last_strip : high;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    size_t last = pc_lane_of_strip(set, (size_t)patch, high);
    for (size_t l = pc_lane_of_strip(set, (size_t)patch, low); l <= last; l++)
      pc_refresh_slot(world, s, l, station);
  }
}
