// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/run.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "sim/night.h"

/* ---- creating ---- */

pc_status pc_world_create(const pc_lot *lot, pc_world **out) {
  *out = NULL;
  pc_world *world = pc_alloc(1, sizeof *world);
  if (!world)
    return PC_ERR_MEMORY;
  world->lot = lot;
  world->policy = lot->policy;
  world->plan = lot->plan;
  world->machines = pc_alloc(lot->machine_count, sizeof *world->machines);
  world->full_met_kg = pc_alloc(lot->machine_count, sizeof *world->full_met_kg);
  world->piles = pc_alloc(lot->zone_count, sizeof *world->piles);
  world->areas = pc_alloc(lot->area_count, sizeof *world->areas);
  world->passages = pc_alloc(lot->passage_count, sizeof *world->passages);
  world->stays = pc_alloc(lot->passage_count, sizeof *world->stays);
  world->policy_state_size = world->policy->state_size ? world->policy->state_size(lot) : 0;
  world->policy_state = pc_alloc(1, world->policy_state_size);
  bool room = world->machines && world->full_met_kg && world->piles && world->areas && world->passages &&
              world->stays && world->policy_state;
  /* each machine has at most its own event and a wake-up; each area opens once and has one deadline, and one
   * sweep before that; snow has one event */
  if (!room || pc_world_create_ground(world) != PC_OK ||
      pc_engine_init(&world->engine, pc_cycle_handlers, PC_EVENT_KINDS, world,
                     2 * lot->machine_count + 3 * lot->area_count + 2) != PC_OK) {
    pc_world_free(world);
    return PC_ERR_MEMORY;
  }
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_unit *unit = &lot->machines[m].unit;
    world->full_met_kg[m] = pc_filling_met(&unit->filling, 0.0, lot->full_at * unit->capacity_kg);
  }
  *out = world;
  return PC_OK;
}

void pc_world_free(pc_world *world) {
  if (!world)
    return;
  pc_world_free_ground(world);
  pc_engine_free(&world->engine);
  free(world->machines);
  free(world->full_met_kg);
  free(world->piles);
  free(world->areas);
  free(world->passages);
  free(world->stays);
  free(world->policy_state);
  free(world);
}

/* ---- running ---- */

static void start_machines(pc_world *world, uint64_t seed, uint64_t replication) {
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    pc_machine *machine = &world->machines[m];
    memset(machine, 0, sizeof *machine);
    machine->at = world->lot->machines[m].start;
    machine->place = pc_place_at(machine->at);
    machine->on_line = true;
    const pc_patch *patch = &world->lot->ground->patches[0];
    machine->facing = (pc_point){patch->cosine, patch->sine};
    machine->raised = true;
    machine->claim.patch = -1;
    machine->zone = -1;
    for (uint64_t p = 0; p < PC_PURPOSE_COUNT; p++)
      pc_stream_start(&machine->streams[p], seed, replication, m, p);
  }
}

static void clear_result(pc_result *result) {
  pc_result kept = *result;
  memset(result, 0, sizeof *result);
  result->machines = kept.machines;
  result->machine_count = kept.machine_count;
  result->zones = kept.zones;
  result->zone_count = kept.zone_count;
  result->areas = kept.areas;
  result->area_count = kept.area_count;
  result->passages = kept.passages;
  result->passage_count = kept.passage_count;
  memset(result->machines, 0, result->machine_count * sizeof *result->machines);
  for (size_t m = 0; m < result->machine_count; m++) {
    result->machines[m].done_s = result->machines[m].last_area_from_s = NAN;
    result->machines[m].last_area = -1;
  }
  memset(result->zones, 0, result->zone_count * sizeof *result->zones);
  if (result->areas)
    memset(result->areas, 0, result->area_count * sizeof *result->areas);
  if (result->passages)
    memset(result->passages, 0, result->passage_count * sizeof *result->passages);
}

pc_status pc_result_init_for(pc_result *result, const pc_lot *lot) {
  pc_status status = pc_result_init(result, lot->machine_count, lot->zone_count);
  if (status != PC_OK)
    return status;
  result->areas = pc_alloc(lot->area_count, sizeof *result->areas);
  result->passages = pc_alloc(lot->passage_count, sizeof *result->passages);
  if (!result->areas || !result->passages) {
    pc_result_free(result);
    return PC_ERR_MEMORY;
  }
  result->area_count = lot->area_count;
  result->passage_count = lot->passage_count;
  return PC_OK;
}

/* Those for areas and passages may be missing. */
static bool has_rooms(const pc_lot *lot, const pc_result *result) {
  return result->machine_count == lot->machine_count && result->zone_count == lot->zone_count &&
         (result->area_count == lot->area_count || result->area_count == 0) &&
         (result->passage_count == lot->passage_count || result->passage_count == 0);
}

/* No zone has room for a full load of any machine. */
static bool no_room(const pc_world *world) {
  double load_kg = INFINITY, room_kg = 0.0;
  for (size_t m = 0; m < world->lot->machine_count; m++)
    if (world->lot->machines[m].unit.capacity_kg > 0.0) /* a blade takes nothing to a zone */
      load_kg = fmin(load_kg, world->lot->full_at * world->lot->machines[m].unit.capacity_kg);
  for (size_t z = 0; z < world->lot->zone_count; z++)
    room_kg = fmax(room_kg, pc_view_room(world, z));
  return room_kg < load_kg;
}

static bool is_work_left(const pc_world *world) {
  for (size_t p = 0; p < world->lot->ground->patch_count; p++)
    if (pc_area_has_work(world, p))
      return true;
  return false;
}

static pc_reason why_it_ended(const pc_world *world) {
  bool work_left = is_work_left(world), moving = false, loaded = false;
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    moving |= world->lot->machines[m].unit.capacity_kg > 0.0;
    loaded |= world->machines[m].load_kg > 0.0;
  }
  if ((world->zones_full || (moving && no_room(world))) && (work_left || loaded))
    return PC_REASON_ZONES_FULL;
  if (!work_left)
    return PC_REASON_DONE;
  return moving ? PC_REASON_STOPPED : PC_REASON_STUCK;
}

double pc_fuel_l(const pc_unit *unit, const pc_machine_result *machine) {
  if (!unit->physical || isnan(unit->loader.fuel_per_kwh_l) || isnan(unit->loader.fuel_idle_lph))
    return NAN;
  double still = machine->time_s[PC_PHASE_IDLE] + machine->time_s[PC_PHASE_WAIT];
  double working = pc_machine_all_s(machine) - still;
  double idle = fmax(0.0, still - machine->absent_s);
  /* load factor 0.59 of loaders in use: EPA NONROAD, report NR-005 */
  double kwh = 0.59 * unit->loader.power_w * working / 3.6e6;
  return kwh * unit->loader.fuel_per_kwh_l + idle / 3600.0 * unit->loader.fuel_idle_lph;
}

/* The lanes of those who work an area. */
static size_t set_for(const pc_world *world, size_t patch) {
  for (size_t m = 0; m < world->lot->machine_count; m++)
    if (world->lot->machines[m].allowed[patch] && !pc_has_blade(world, m))
      return world->lot->machines[m].lane_set;
  return 0;
}

/* Snow in boxes and on slots that still need work. */
static double still_to_move_kg(const pc_world *world) {
  pc_sum sum = {0};
  for (size_t p = 0; p < world->lot->area_count; p++) {
    size_t s = set_for(world, p);
    const pc_lane_set *set = &world->lot->lane_sets[s];
    for (size_t l = set->patch_lane[p]; l < set->patch_lane[p + 1]; l++)
      for (size_t k = set->lanes[l].first; k < set->lanes[l].first + (size_t)set->lanes[l].stations; k++)
        if (world->lanes[s].dirty[k])
          pc_sum_add(&sum, world->lanes[s].slot_kg[k]);
  }
  for (size_t m = 0; m < world->lot->machine_count; m++)
    pc_sum_add(&sum, world->machines[m].load_kg);
  return pc_sum_value(&sum);
}

/* Some of the area is on the grid: a box of the crew gets there. */
static bool is_reached(const pc_world *world, size_t p) {
  const pc_patch *patch = &world->lot->ground->patches[p];
  const double *m2 = &world->lot->ground->cell_m2[pc_patch_cell(patch, 0, 0)];
  size_t cells = (size_t)patch->stations * (size_t)patch->strips;
  for (size_t k = 0; k < cells; k++)
    if (m2[k] > 0.0)
      return true;
  return false;
}

static void finish_areas(const pc_world *world, pc_result *result) {
  for (size_t p = 0; p < result->area_count; p++) {
    const pc_area_state *area = &world->areas[p];
    double by = world->lot->areas[p].clear_by_s, done = pc_lot_clock_s(world->lot, area->done_s);
    bool reached = is_reached(world, p), clear = area->clear && reached;
    double ready = clear ? done : NAN;
    if (area->judged && !isnan(area->ready_s)) /* else clear since the last event, if at all */
      ready = pc_lot_clock_s(world->lot, area->ready_s);
    if (isnan(by) || !reached)
      ready = NAN;
    bool late = !isnan(by) && !(area->judged ? reached && area->met : ready <= by);
    result->areas[p] =
        (pc_area_result){.done_s = clear ? done : NAN,
                         .max_depth_m = world->lot->storm_end_s > 0.0 ? area->max_depth_m : NAN,
                         .ready_s = ready,
                         .late_s = isnan(ready) ? NAN : fmax(0.0, ready - by),
                         .late = late};
  }
}

/* Of the night up to `end`, in time at work: by the clock. */
static double absent_s(const pc_world *world, size_t m, double end) {
  const pc_lot_machine *machine = &world->lot->machines[m];
  double before = fmin(end, machine->from_s), after = 0.0;
  if (!isnan(machine->until_s))
    after = fmax(0.0, end - fmax(machine->until_s, world->machines[m].clock_s));
  return pc_lot_clock_s(world->lot, fmin(end, before + after));
}

static void finish_result(pc_world *world, pc_result *result) {
  const pc_lot *lot = world->lot;
  double end = 0.0;
  pc_sum ground = {0}, placed = {0};
  for (size_t k = 0; k < lot->lane_sets[0].slot_count; k++) /* any lane set covers all cells */
    pc_sum_add(&ground, world->lanes[0].slot_kg[k]);
  for (size_t m = 0; m < lot->machine_count; m++) {
    end = fmax(end, world->machines[m].clock_s);
    pc_sum_add(&ground, world->machines[m].load_kg);
  }
  result->total_time_s = pc_lot_clock_s(lot, end);
  for (size_t m = 0; m < lot->machine_count; m++) {
    pc_machine_result *machine = &result->machines[m];
    pc_end_stop(world, m, end);
    machine->time_s[PC_PHASE_IDLE] += result->total_time_s - world->machines[m].clock_s;
    machine->break_s = pc_lot_clock_s(lot, machine->break_s);
    machine->absent_s = absent_s(world, m, end);
    machine->done_s = pc_lot_clock_s(lot, machine->done_s);
    machine->last_area_from_s = pc_lot_clock_s(lot, machine->last_area_from_s);
    machine->fuel_l = pc_fuel_l(&lot->machines[m].unit, machine);
    result->cycles += machine->cycles;
  }
  for (size_t z = 0; z < lot->zone_count; z++) {
    pc_zone_result *zone = &result->zones[z];
    zone->snow_kg = world->piles[z].snow_kg;
    zone->volume_m3 = zone->snow_kg / lot->snow.pile_density_kgpm3;
    zone->capacity_m3 = lot->zone_capacity_kg[z] / lot->snow.pile_density_kgpm3;
    pc_sum_add(&placed, zone->snow_kg);
  }
  result->start_kg = lot->start_kg;
  result->placed_kg = pc_sum_value(&placed);
  result->left_kg = pc_sum_value(&ground);
  result->small_m2 = lot->small_m2;
  result->small_kg = lot->small_kg;
  result->fallen_kg = pc_fallen_kg(world);
  finish_areas(world, result);
  result->events = world->engine.events;
  result->reason = why_it_ended(world);
  result->finished = result->reason == PC_REASON_DONE;
  result->haul_off_kg = result->reason == PC_REASON_ZONES_FULL ? still_to_move_kg(world) : 0.0;
}

pc_status pc_world_run_until(pc_world *world, uint64_t seed, uint64_t replication, double until_s,
                             const pc_trace *trace, pc_result *result) {
  if (isnan(until_s) || !has_rooms(world->lot, result))
    return PC_ERR_RANGE;
  pc_engine_reset(&world->engine);
  pc_world_start_ground(world);
  memset(world->piles, 0, world->lot->zone_count * sizeof *world->piles);
  memset(world->policy_state, 0, world->policy_state_size);
  start_machines(world, seed, replication);
  clear_result(result);
  world->trace = trace;
  world->result = result;
  world->replication = replication;
  world->zones_full = false;
  world->complaint[0] = '\0';
  world->engine.after = world->check_always ? pc_world_verify : NULL;
  pc_status status = pc_night_start(world);
  for (uint32_t m = 0; m < world->lot->machine_count && status == PC_OK; m++)
    status = pc_engine_schedule(&world->engine, world->lot->machines[m].from_s, 0, PC_EVENT_FREE, m);
  if (status == PC_OK)
    status = pc_engine_run(&world->engine, until_s);
  if (status == PC_OK)
    status = pc_areas_update(world);
  if (status == PC_OK)
    finish_result(world, result);
  return status;
}

pc_status pc_world_run(pc_world *world, uint64_t seed, uint64_t replication, const pc_trace *trace,
                       pc_result *result) {
  return pc_world_run_until(world, seed, replication, INFINITY, trace, result);
}

const double *pc_world_ground_kg(const pc_world *world) {
  return world->cell_kg;
}

void pc_world_check_always(pc_world *world, bool on) {
  world->check_always = on;
}

const char *pc_world_complaint(const pc_world *world) {
  return world->complaint;
}
