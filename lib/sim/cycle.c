// SPDX-License-Identifier: GPL-3.0-or-later
/* One machine's cycle as events: decide, approach, fill, carry, wait, dump. */
#include "sim/world.h"

enum { FIRST, SECOND }; /* priorities: what ends comes before what is woken by it */

typedef struct leg { /* what one phase drives */
  pc_point from, to;
  double distance_m, swath_m;
} leg;

static const pc_unit *unit_of(const pc_world *world, size_t m) {
  return &world->lot->machines[m].unit;
}

static double drawn(pc_machine *machine, pc_purpose purpose, double cv, double time_s) {
  return time_s * pc_stream_factor(&machine->streams[purpose], cv);
}

/* Writes one phase of a machine: its time, its distance, its row in the trace. */
static void write_phase(pc_world *world, size_t m, pc_phase phase, double time_s, leg drive) {
  pc_machine *machine = &world->machines[m];
  pc_machine_result *result = &world->result->machines[m];
  if (time_s <= 0.0 && drive.distance_m <= 0.0)
    return;
  double start = machine->clock_s;
  machine->clock_s += time_s;
  result->time_s[phase] += time_s;
  if (phase == PC_PHASE_FILL || phase == PC_PHASE_CLEAN_UP)
    result->fill_m += drive.distance_m;
  else if (phase == PC_PHASE_CARRY)
    result->carry_m += drive.distance_m;
  else if (phase == PC_PHASE_RETURN)
    result->return_m += drive.distance_m;
  if (world->trace) {
    pc_trace_row row = {world->replication,
                        m,
                        result->cycles + 1,
                        phase,
                        start,
                        machine->clock_s,
                        drive.from,
                        drive.to,
                        drive.distance_m,
                        machine->load_kg,
                        drive.swath_m,
                        machine->zone};
    world->trace->row(world->trace->context, &row);
  }
}

static leg standing(pc_point at) {
  return (leg){at, at, 0.0, 0.0};
}

static pc_status schedule(pc_world *world, size_t m, uint32_t kind) {
  return pc_engine_schedule(&world->engine, world->machines[m].clock_s, FIRST, kind, (uint32_t)m);
}

static pc_status wake_others(pc_world *world) {
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    if (!world->machines[m].asleep)
      continue;
    world->machines[m].asleep = false;
    pc_status status =
        pc_engine_schedule(&world->engine, world->engine.now_s, SECOND, PC_EVENT_FREE, (uint32_t)m);
    if (status != PC_OK)
      return status;
  }
  return PC_OK;
}

/* ---- driving empty ---- */

/* Where it really is: `at` is ahead of the truth while it still stands at the pile. */
static pc_point standing_at(const pc_machine *machine) {
  double back = machine->leaving ? machine->back_m : 0.0;
  return (pc_point){machine->at.x_m + back * machine->facing.x_m,
                    machine->at.y_m + back * machine->facing.y_m};
}

static void leave_pile(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_loader *loader = &unit_of(world, m)->loader;
  if (!machine->leaving)
    return;
  pc_point face = standing_at(machine);
  machine->leaving = false;
  write_phase(world, m, PC_PHASE_RAISE, loader->raise_s, standing(face));
  machine->raised = true;
  if (machine->back_m > 0.0) {
    double turn = drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, loader->shift_s);
    write_phase(world, m, PC_PHASE_TURN, turn, standing(face));
    double back = pc_leg_time_s(machine->back_m, loader->reverse_speed_mps, loader->acceleration_mps2);
    write_phase(world, m, PC_PHASE_RETURN, drawn(machine, PC_PURPOSE_RETURN, world->lot->chance.back, back),
                (leg){face, machine->at, machine->back_m, 0.0});
  }
}

static void approach_empty(pc_world *world, size_t m, pc_point start, pc_point push) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = unit_of(world, m);
  const pc_chance *chance = &world->lot->chance;
  leave_pile(world, m);
  pc_approach approach;
  pc_plan_approach(unit, machine->at, machine->facing, machine->reversing, start, push, &approach);
  write_phase(world, m, PC_PHASE_TURN, drawn(machine, PC_PURPOSE_TURN, chance->turn, approach.first_turn_s),
              standing(machine->at));
  write_phase(world, m, PC_PHASE_RETURN, drawn(machine, PC_PURPOSE_RETURN, chance->back, approach.drive_s),
              (leg){machine->at, start, approach.distance_m, 0.0});
  write_phase(world, m, PC_PHASE_TURN,
              drawn(machine, PC_PURPOSE_TURN, chance->turn, approach.turn_s - approach.first_turn_s),
              standing(start));
  if (machine->raised)
    write_phase(world, m, PC_PHASE_LOWER, unit->loader.lower_s, standing(start));
  machine->raised = false;
}

/* ---- driving with snow in the box ---- */

/* Turns towards a place and carries the load there; returns the direction driven. */
static pc_point carry_to(pc_world *world, size_t m, pc_point to, double distance_m, double dirty_m) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = unit_of(world, m);
  const pc_lot *lot = world->lot;
  pc_point way = pc_unit_vector(machine->at, to, machine->facing);
  write_phase(world, m, PC_PHASE_TURN,
              drawn(machine, PC_PURPOSE_TURN, lot->chance.turn, pc_turn_time_s(unit, machine->facing, way)),
              standing(machine->at));
  if (distance_m > 0.0) {
    double stream = lot->snow.depth_m * lot->fresh_density_kgpm3 * unit->swath_m;
    double slow_m = pc_lesser(dirty_m, distance_m);
    double time = (distance_m - slow_m) / pc_unit_carry_speed(unit, machine->load_kg);
    if (slow_m > 0.0)
      time += slow_m / pc_unit_push_speed(unit, machine->load_kg, stream);
    time = pc_leg_time_s(distance_m, distance_m / time, unit->loader.acceleration_mps2);
    write_phase(world, m, PC_PHASE_CARRY, drawn(machine, PC_PURPOSE_CARRY, lot->chance.carry, time),
                (leg){machine->at, to, distance_m, 0.0});
  }
  machine->at = to;
  machine->facing = way;
  return way;
}

static void approach_loaded(pc_world *world, size_t m, pc_point start, pc_point push) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = unit_of(world, m);
  double distance = pc_routes_between(world->lot->routes, machine->at, start);
  double dirty = pc_world_dirty_length_m(world, world->lot->machines[m].lane_set, machine->at, start);
  pc_point way = carry_to(world, m, start, distance, dirty);
  write_phase(world, m, PC_PHASE_TURN,
              drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, pc_turn_time_s(unit, way, push)),
              standing(start));
}

static int nearest_zone_with_room(const pc_world *world, size_t m, double load_kg) {
  int best = -1;
  double least = INFINITY;
  for (size_t z = 0; z < world->lot->zone_count; z++) {
    double way = pc_routes_to_zone(world->lot->routes, world->machines[m].at, z, NULL);
    if (way < least && pc_view_room(world, z) >= load_kg) {
      best = (int)z;
      least = way;
    }
  }
  return best;
}

/* The part of the way to the zone that runs along the lane just worked: a box with room takes what it meets,
 * a full one pushes it aside. */
static void run_along_lane(pc_world *world, size_t m, pc_point face) {
  pc_machine *machine = &world->machines[m];
  const pc_lane *lane = &pc_set_of(world, m)->lanes[machine->bite.lane];
  double end_m, u, v, target = world->lot->full_at * unit_of(world, m)->capacity_kg;
  if (!pc_runs_along(world->lot, lane, machine->at, face, &end_m))
    return;
  pc_patch_local(&world->lot->ground->patches[lane->patch], machine->at, &u, &v);
  if (machine->load_kg < target) {
    pc_sweep sweep;
    pc_world_sweep(world, m, lane, u, end_m, target, &sweep);
    machine->load_kg = sweep.load_kg;
    u = sweep.stop_m;
  }
  pc_world_push_aside(world, m, lane, u, end_m);
}

static pc_status go_to_zone(pc_world *world, size_t m, int zone) {
  pc_machine *machine = &world->machines[m];
  if (zone < 0 || pc_view_room(world, (size_t)zone) < machine->load_kg)
    zone = nearest_zone_with_room(world, m, machine->load_kg);
  if (zone < 0) {
    world->zones_full = true;
    machine->finished = true;
    return wake_others(world);
  }
  pc_point face;
  double distance = pc_routes_to_zone(world->lot->routes, machine->at, (size_t)zone, &face);
  double dirty = pc_world_dirty_length_m(world, world->lot->machines[m].lane_set, machine->at, face);
  run_along_lane(world, m, face);
  machine->zone = zone;
  machine->room_kg = machine->load_kg;
  world->piles[zone].reserved_kg += machine->room_kg;
  double back = unit_of(world, m)->loader.back_out_m;
  pc_point way = carry_to(world, m, face, distance, dirty);
  pc_point behind = {face.x_m - back * way.x_m, face.y_m - back * way.y_m};
  machine->back_m = pc_ground_find(world->lot->ground, behind) >= 0 ? back : pc_lesser(back, distance);
  return schedule(world, m, PC_EVENT_ARRIVED);
}

/* ---- deciding ---- */

static bool sound_bite(const pc_world *world, size_t m, const pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  if (bite->lane >= set->lane_count || !isfinite(bite->from_m) || !isfinite(bite->to_m) ||
      bite->from_m == bite->to_m || bite->zone >= (int)world->lot->zone_count)
    return false;
  const pc_lane *lane = &set->lanes[bite->lane];
  int first = pc_lane_station(world->lot, lane, bite->from_m, bite->to_m > bite->from_m ? 1 : -1);
  return world->lot->machines[m].allowed[lane->patch] &&
         pc_state_of(world, m)->dirty[lane->first + (size_t)first] &&
         !pc_stretch_taken(world, m, lane, pc_lesser(bite->from_m, bite->to_m),
                           pc_greater(bite->from_m, bite->to_m));
}

static pc_status start_bite(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_bite *bite = &machine->bite;
  const pc_lane *lane = &pc_set_of(world, m)->lanes[bite->lane];
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  double sign = bite->to_m > bite->from_m ? 1.0 : -1.0;
  pc_point start = pc_patch_world(patch, bite->from_m, lane->v_m);
  pc_point push = {sign * patch->cosine, sign * patch->sine};
  machine->claim = (pc_claim){lane->patch, lane->strip0, lane->strip0 + lane->strips,
                              pc_lesser(bite->from_m, bite->to_m), pc_greater(bite->from_m, bite->to_m)};
  machine->zone = -1;
  if (machine->load_kg > 0.0)
    approach_loaded(world, m, start, push);
  else
    approach_empty(world, m, start, push);
  machine->at = start;
  machine->facing = push;
  machine->reversing = false;
  return schedule(world, m, PC_EVENT_FILL);
}

static pc_status decide(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  pc_bite bite = {0, 0.0, 0.0, -1};
  pc_decision decision = world->lot->policy->next(world->policy_state, world, m, &bite);
  if (decision == PC_DECIDE_BITE && sound_bite(world, m, &bite)) {
    machine->bite = bite;
    return start_bite(world, m);
  }
  if (decision != PC_DECIDE_WAIT && machine->load_kg > 0.0)
    return go_to_zone(world, m, decision == PC_DECIDE_DUMP ? bite.zone : -1);
  machine->asleep = true;
  return PC_OK;
}

/* ---- handlers ---- */

static pc_status on_free(pc_engine *engine, void *context, uint32_t m) {
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  if (unit_of(world, m)->capacity_kg <= 0.0) {
    machine->finished = true;
    return PC_OK;
  }
  write_phase(world, m, PC_PHASE_IDLE, engine->now_s - machine->clock_s, standing(standing_at(machine)));
  machine->clock_s = engine->now_s;
  return decide(world, m);
}

static pc_status on_fill(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = unit_of(world, m);
  const pc_lane *lane = &pc_set_of(world, m)->lanes[machine->bite.lane];
  pc_sweep sweep;
  pc_world_sweep(world, m, lane, machine->bite.from_m, machine->bite.to_m,
                 world->lot->full_at * unit->capacity_kg, &sweep);
  machine->load_kg = sweep.load_kg;
  machine->stop_m = sweep.stop_m;
  double time = sweep.length_m > 0.0 ? pc_leg_time_s(sweep.length_m, sweep.length_m / sweep.time_s,
                                                     unit->loader.acceleration_mps2)
                                     : 0.0;
  pc_point stop = pc_lane_point(world->lot, lane, sweep.stop_m);
  pc_phase phase = 2 * sweep.fresh_slots < sweep.slots ? PC_PHASE_CLEAN_UP : PC_PHASE_FILL;
  write_phase(world, m, phase, drawn(machine, PC_PURPOSE_FILL, world->lot->chance.fill, time),
              (leg){machine->at, stop, sweep.length_m, lane->width_m});
  machine->at = stop;
  return schedule(world, m, PC_EVENT_FILLED);
}

static pc_status on_filled(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  machine->claim.patch = -1;
  bool full = machine->load_kg >= world->lot->full_at * unit_of(world, m)->capacity_kg * (1.0 - 1e-12);
  pc_status status = full ? go_to_zone(world, m, machine->bite.zone) : decide(world, m);
  return status == PC_OK ? wake_others(world) : status;
}

static pc_status start_dump(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  size_t z = (size_t)machine->zone;
  pc_pile *pile = &world->piles[z];
  pile->busy++;
  double fill =
      isfinite(world->lot->zone_capacity_kg[z]) ? pile->snow_kg / world->lot->zone_capacity_kg[z] : 0.0;
  double time = unit_of(world, m)->loader.dump_s * (1.0 + world->lot->zones[z].stack * fill * fill);
  write_phase(world, m, PC_PHASE_DUMP, drawn(machine, PC_PURPOSE_DUMP, world->lot->chance.dump, time),
              standing(machine->at));
  return schedule(world, m, PC_EVENT_DUMPED);
}

static pc_status on_arrived(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  size_t z = (size_t)world->machines[m].zone;
  pc_pile *pile = &world->piles[z];
  if (pile->busy < world->lot->zones[z].berths)
    return start_dump(world, m);
  pile->waiting[pile->waiting_count++] = m;
  return PC_OK;
}

/* Gives the berth to the machine that has waited longest. */
static pc_status next_at_berth(pc_world *world, pc_pile *pile, size_t zone) {
  if (pile->waiting_count == 0)
    return PC_OK;
  uint32_t m = pile->waiting[0];
  pile->waiting_count--;
  for (int i = 0; i < pile->waiting_count; i++)
    pile->waiting[i] = pile->waiting[i + 1];
  pc_machine *machine = &world->machines[m];
  double wait = world->engine.now_s - machine->clock_s;
  world->result->zones[zone].wait_s += wait;
  write_phase(world, m, PC_PHASE_WAIT, wait, standing(machine->at));
  machine->clock_s = world->engine.now_s;
  return start_dump(world, m);
}

static pc_status on_dumped(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  size_t z = (size_t)machine->zone;
  pc_pile *pile = &world->piles[z];
  pile->busy--;
  pile->reserved_kg -= machine->room_kg;
  pile->snow_kg += machine->load_kg;
  world->result->machines[m].placed_kg += machine->load_kg;
  world->result->machines[m].cycles++;
  world->result->zones[z].loads++;
  machine->load_kg = machine->room_kg = 0.0;
  machine->leaving = true;
  machine->reversing = machine->back_m > 0.0;
  machine->at.x_m -= machine->back_m * machine->facing.x_m;
  machine->at.y_m -= machine->back_m * machine->facing.y_m;
  pc_status status = next_at_berth(world, pile, z);
  if (status == PC_OK)
    status = decide(world, m);
  return status == PC_OK ? wake_others(world) : status;
}

const pc_handler pc_cycle_handlers[PC_EVENT_KINDS] = {on_free, on_fill, on_filled, on_arrived, on_dumped};
