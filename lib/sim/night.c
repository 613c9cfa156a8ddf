// SPDX-License-Identifier: GPL-3.0-or-later
/* When areas open and are done. */
#include "sim/night.h"

static bool is_dirty(const pc_world *world, size_t set_index, size_t patch) {
  return world->lanes[set_index].patch_dirty[patch] > 0;
}

/* Whether boxes have work there: those that are still here, or those that have left. *anyone: there is one.
 */
static bool boxes_have_work(const pc_world *world, size_t patch, bool gone, bool *anyone) {
  *anyone = false;
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    if (!world->lot->machines[m].allowed[patch] || pc_has_blade(world, m) || world->machines[m].gone != gone)
      continue;
    *anyone = true;
    if (is_dirty(world, world->lot->machines[m].lane_set, patch))
      return true;
  }
  return false;
}

/* By those who are still here, or, if there are none, by those who have left; where blades alone may work,
 * the windrow that they leave is nobody's. */
bool pc_area_has_work(const pc_world *world, size_t patch) {
  bool boxes, blades = false, any_blades = world->lot->has_blades;
  if (boxes_have_work(world, patch, false, &boxes) ||
      (any_blades && pc_blades_have_work(world, patch, false, &blades)) ||
      (!boxes && boxes_have_work(world, patch, true, &boxes)))
    return true;
  if (boxes || blades)
    return false;
  return (any_blades && pc_blades_have_work(world, patch, true, &blades)) ||
         (!blades && is_dirty(world, 0, patch));
}

bool pc_rank_has_work(const pc_world *world, size_t machine, int rank) {
  for (size_t p = 0; p < world->lot->area_count; p++)
    if (pc_has_rank(world, machine, (int)p, rank) && pc_may_work(world, machine, (int)p) &&
        is_dirty(world, world->lot->machines[machine].lane_set, p))
      return true;
  return false;
}

static bool may_open(const pc_world *world, size_t patch) {
  const pc_lot_area *area = &world->lot->areas[patch];
  if (world->engine.now_s < area->opens_s)
    return false;
  for (size_t other = 0; other < world->lot->area_count; other++)
    if (area->after[other] && !world->areas[other].done)
      return false;
  return true;
}

/* A machine still at work in an area (its bite's snow is off the ground already) keeps it from being done. */
static bool is_worked(const pc_world *world, size_t patch) {
  for (size_t m = 0; m < world->lot->machine_count; m++)
    if (world->machines[m].claim.patch == (int)patch)
      return true;
  return false;
}

static bool is_clear(const pc_world *world, size_t patch, bool work) {
  const pc_area_state *area = &world->areas[patch];
  bool storm_over = world->engine.now_s >= world->lot->storm_end_s;
  return area->open && !work && (area->had_work || storm_over) && !is_worked(world, patch);
}

/* After its deadline an area is ready once it stays clear for any time: not between a bite and the windrow
 * that its load leaves on the way, at one moment. */
static void note_ready(pc_area_state *area, bool clear, double now_s) {
  if (!area->judged || !isnan(area->ready_s) || !area->clear || !clear || now_s <= area->done_s)
    return;
  area->ready_s = area->done_s;
  area->over = true;
}

void pc_areas_note_ready(pc_world *world) {
  for (size_t p = 0; p < world->lot->area_count; p++)
    if (world->areas[p].judged && isnan(world->areas[p].ready_s))
      note_ready(&world->areas[p], is_clear(world, p, pc_area_has_work(world, p)), world->engine.now_s);
}

/* What is clear, done, held back for blades; true if an area that was held back no longer is. */
static bool judge_areas(pc_world *world) {
  bool freed = false;
  for (size_t p = 0; p < world->lot->area_count; p++) {
    pc_area_state *area = &world->areas[p];
    bool work = pc_area_has_work(world, p);
    area->had_work |= work;
    bool clear = is_clear(world, p, work);
    note_ready(area, clear, world->engine.now_s);
    if (clear && !area->clear)
      area->done_s = world->engine.now_s;
    area->clear = clear;
    area->done |= clear;
    bool any, held = world->lot->has_blades && pc_blades_have_work(world, p, false, &any);
    freed |= area->held && !held;
    area->held = held;
  }
  return freed;
}

static bool open_areas(pc_world *world) {
  bool opened = false;
  for (size_t p = 0; p < world->lot->area_count; p++) {
    pc_area_state *area = &world->areas[p];
    if (!area->open && may_open(world, p))
      area->open = opened = true;
  }
  return opened;
}

pc_status pc_areas_update(pc_world *world) {
  bool wake = judge_areas(world);
  while (open_areas(world)) { /* one with nothing to do is done at once, and opens others */
    wake = true;
    judge_areas(world);
  }
  return wake ? pc_wake_others(world) : PC_OK;
}

/* An area's deadline, in time at work. */
static double due_s(const pc_world *world, size_t patch) {
  return pc_lot_work_s(world->lot, world->lot->areas[patch].clear_by_s);
}

/* When all its snow is to be pushed for its deadline, in time at work; -1: never. After the storm that is so
 * anyhow. */
static double sweep_time_s(const pc_world *world, size_t patch) {
  const pc_lot_area *area = &world->lot->areas[patch];
  if (isnan(area->clear_by_s) || !(area->sweep_before_s > 0.0))
    return -1.0;
  double at_s = pc_lot_work_s(world->lot, pc_greater(0.0, area->clear_by_s - area->sweep_before_s));
  return at_s < world->lot->storm_end_s ? at_s : -1.0;
}

/* Its deadline has come. It is kept if there is nothing to push then, also where nothing has fallen yet. */
static void judge_deadline(const pc_world *world, size_t patch) {
  pc_area_state *area = &world->areas[patch];
  bool bare = area->open && !area->had_work && !pc_area_has_work(world, patch);
  area->judged = true;
  area->met = area->clear || bare;
  area->over = area->met;
  if (area->met)
    area->ready_s = isnan(area->done_s) ? 0.0 : area->done_s;
}

/* An area may open, or its deadline has come. */
pc_status pc_on_open(pc_engine *engine, void *context, uint32_t area) {
  pc_world *world = context;
  pc_status status = pc_areas_update(world);
  if (engine->now_s >= due_s(world, area))
    judge_deadline(world, area);
  return status;
}

/* False if no machine gets to any of its ground: snow there is for smaller ones. */
static bool can_be_worked(const pc_world *world, size_t patch) {
  for (size_t s = 0; s < world->lot->lane_set_count; s++) {
    const pc_lane_set *set = &world->lot->lane_sets[s];
    for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++)
      for (size_t k = set->lanes[l].first; k < set->lanes[l].first + (size_t)set->lanes[l].stations; k++)
        if (set->slot_m2[k] > 0.0)
          return true;
  }
  return false;
}

static void start_machine(pc_world *world, size_t m) {
  const pc_lot_machine *from = &world->lot->machines[m];
  pc_machine *machine = &world->machines[m];
  const pc_loader *loader = &from->unit.loader;
  world->result->machines[m].absent_s = from->from_s;
  machine->next_break_s = isnan(from->break_every_s) ? INFINITY : from->from_s + from->break_every_s;
  machine->next_failure_s =
      isnan(loader->breakdown_mean_s)
          ? INFINITY
          : pc_stream_exponential(&machine->streams[PC_PURPOSE_BREAKDOWN], loader->breakdown_mean_s);
}

pc_status pc_night_start(pc_world *world) {
  pc_status status = PC_OK;
  for (size_t p = 0; p < world->lot->area_count; p++) {
    world->areas[p] = (pc_area_state){.done_s = NAN, .ready_s = NAN};
    if (world->lot->areas[p].opens_s > 0.0 && status == PC_OK)
      status = pc_engine_schedule(&world->engine, world->lot->areas[p].opens_s, PC_FIRST, PC_EVENT_OPEN,
                                  (uint32_t)p);
    double sweep_s = sweep_time_s(world, p);
    if (sweep_s >= 0.0 && status == PC_OK)
      status = pc_engine_schedule(&world->engine, sweep_s, PC_FIRST, PC_EVENT_SWEEP, (uint32_t)p);
    if (!isnan(world->lot->areas[p].clear_by_s) && status == PC_OK) /* after all else that happens then */
      status = pc_engine_schedule(&world->engine, due_s(world, p), PC_SECOND + 1, PC_EVENT_OPEN, (uint32_t)p);
  }
  for (size_t p = 0; p < world->lot->area_count; p++)
    world->areas[p].had_work = !can_be_worked(world, p);
  for (size_t p = 0; p < world->lot->area_count; p++)
    world->areas[p].open = may_open(world, p);
  for (size_t i = 0; i < world->lot->passage_count; i++)
    world->passages[i].count = 0;
  for (size_t m = 0; m < world->lot->machine_count; m++)
    start_machine(world, m);
  if (status == PC_OK)
    status = pc_areas_update(world);
  return status == PC_OK ? pc_storm_start(world) : status;
}
