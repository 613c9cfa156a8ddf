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

static const pc_routes *routes_of(const pc_world *world, size_t m) {
  return pc_set_of(world, m)->routes;
}

/* Writes a drive along a way, split at its corners; bends_s is the turning there. */
static void write_drive(pc_world *world, size_t m, pc_phase phase, const pc_way *way, double time_s,
                        double bends_s) {
  pc_point points[PC_WAY_POINTS_MAX], at = world->machines[m].at;
  if (way->out == PC_NO_CORNER) {
    write_phase(world, m, phase, time_s, (leg){at, way->end, way->length_m, 0.0});
    return;
  }
  int count = pc_routes_path(routes_of(world, m), at, way, points);
  for (int k = 0; k + 1 < count; k++) {
    double dx = points[k + 1].x_m - points[k].x_m, dy = points[k + 1].y_m - points[k].y_m;
    double length = sqrt(dx * dx + dy * dy);
    if (k > 0 && way->bends_rad > 0.0) {
      pc_point before = {points[k].x_m - points[k - 1].x_m, points[k].y_m - points[k - 1].y_m};
      double share = pc_turn_angle(before, (pc_point){dx, dy}) / way->bends_rad;
      write_phase(world, m, PC_PHASE_TURN, share * bends_s, standing(points[k]));
    }
    write_phase(world, m, phase, time_s * (length / way->length_m),
                (leg){points[k], points[k + 1], length, 0.0});
  }
}

/* Turns into the way, of which bends_s are turns at its corners; returns the part of those, with chance. */
static double write_turn_in(pc_world *world, size_t m, double turn_s, double bends_s) {
  pc_machine *machine = &world->machines[m];
  double all = drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, turn_s);
  double bends = bends_s > 0.0 ? all * (bends_s / turn_s) : 0.0;
  write_phase(world, m, PC_PHASE_TURN, all - bends, standing(machine->at));
  return bends;
}

static void approach_empty(pc_world *world, size_t m, const pc_place *start, pc_point push) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = unit_of(world, m);
  const pc_chance *chance = &world->lot->chance;
  leave_pile(world, m);
  pc_way way;
  pc_approach approach;
  pc_routes_between(routes_of(world, m), &machine->outlook, start, &way);
  double slow = pc_world_slow_m(world, routes_of(world, m), machine->at, &way);
  pc_plan_approach(unit, machine->at, machine->facing, machine->reversing, &way, slow,
                   world->lot->near_speed_mps, push, &approach);
  double bends = write_turn_in(world, m, approach.first_turn_s, pc_bends_time_s(unit, &way));
  write_drive(world, m, PC_PHASE_RETURN, &way,
              drawn(machine, PC_PURPOSE_RETURN, chance->back, approach.drive_s), bends);
  write_phase(world, m, PC_PHASE_TURN,
              drawn(machine, PC_PURPOSE_TURN, chance->turn, approach.turn_s - approach.first_turn_s),
              standing(start->at));
  if (machine->raised)
    write_phase(world, m, PC_PHASE_LOWER, unit->loader.lower_s, standing(start->at));
  machine->raised = false;
}

/* ---- driving with snow in the box ---- */

/* Turns into a way and carries the load along it. */
static void carry_along(pc_world *world, size_t m, const pc_way *way, double dirty_m) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = unit_of(world, m);
  const pc_lot *lot = world->lot;
  double distance_m = way->length_m, bends = pc_bends_time_s(unit, way);
  pc_point into = pc_unit_vector(machine->at, way->first, machine->facing);
  bends = write_turn_in(world, m, pc_turn_time_s(unit, machine->facing, into) + bends, bends);
  if (distance_m > 0.0) {
    double stream = lot->snow.depth_m * lot->fresh_density_kgpm3 * unit->swath_m;
    double slow_m = pc_lesser(dirty_m, distance_m);
    double time = (distance_m - slow_m) / pc_unit_carry_speed(unit, machine->load_kg);
    if (slow_m > 0.0)
      time += slow_m / pc_unit_push_speed(unit, machine->load_kg, stream);
    time = pc_leg_time_s(distance_m, distance_m / time, unit->loader.acceleration_mps2);
    if (lot->slow)
      time += pc_world_slow_s(world, pc_world_slow_m(world, routes_of(world, m), machine->at, way),
                              distance_m / time);
    write_drive(world, m, PC_PHASE_CARRY, way, drawn(machine, PC_PURPOSE_CARRY, lot->chance.carry, time),
                bends);
  }
  machine->facing = pc_unit_vector(way->last, way->end, machine->facing);
  machine->at = way->end;
}

static double dirty_on_way_m(const pc_world *world, size_t m, const pc_way *way, pc_point *points) {
  int count = pc_routes_path(routes_of(world, m), world->machines[m].at, way, points);
  return pc_world_dirty_length_m(world, world->lot->machines[m].lane_set, points, count);
}

static void approach_loaded(pc_world *world, size_t m, const pc_place *start, pc_point push) {
  pc_machine *machine = &world->machines[m];
  pc_point points[PC_WAY_POINTS_MAX];
  pc_way way;
  pc_routes_between(routes_of(world, m), &machine->outlook, start, &way);
  carry_along(world, m, &way, dirty_on_way_m(world, m, &way, points));
  double turn = pc_turn_time_s(unit_of(world, m), machine->facing, push);
  write_phase(world, m, PC_PHASE_TURN, drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, turn),
              standing(start->at));
}

static int nearest_zone_with_room(const pc_world *world, size_t m, double load_kg) {
  int best = -1;
  double least = INFINITY;
  for (size_t z = 0; z < world->lot->zone_count; z++) {
    pc_way way;
    pc_routes_to_zone(routes_of(world, m), &world->machines[m].place, z, &way);
    if (way.length_m < least && pc_view_room(world, z) >= load_kg) {
      best = (int)z;
      least = way.length_m;
    }
  }
  return best;
}

/* The part of the way to the zone that runs along the lane just worked: a box with room takes what it meets,
 * a full one pushes it aside. */
static void run_along_lane(pc_world *world, size_t m, pc_point first) {
  pc_machine *machine = &world->machines[m];
  const pc_lane *lane = &pc_set_of(world, m)->lanes[machine->bite.lane];
  double end_m, u, v, target = world->lot->full_at * unit_of(world, m)->capacity_kg;
  if (!pc_runs_along(world->lot, lane, machine->at, first, &end_m))
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

static double apart_m(pc_point a, pc_point b) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
  return sqrt(dx * dx + dy * dy);
}

/* True if no other machine is at, or on its way to, a place of the zone nearer than their boxes are wide. */
static bool berth_is_free(const pc_world *world, size_t m, size_t zone, pc_point at) {
  for (size_t o = 0; o < world->lot->machine_count; o++) {
    const pc_machine *other = &world->machines[o];
    double room = pc_set_of(world, m)->half_width_m + pc_set_of(world, o)->half_width_m;
    if (o != m && other->zone == (int)zone && other->load_kg > 0.0 && apart_m(other->berth, at) < room)
      return false;
  }
  return true;
}

/* Berths are distinct places: beside a machine that is there already, as near as there is room. */
static void choose_berth(const pc_world *world, size_t m, size_t zone, pc_way *way) {
  enum { STEPS = 8 };
  const pc_routes *routes = routes_of(world, m);
  pc_point nearest = way->end, at;
  size_t face;
  if (world->lot->zones[zone].berths < 2 || world->lot->machine_count < 2 ||
      berth_is_free(world, m, zone, nearest) ||
      !(pc_faces_nearest_m(&routes->faces, zone, nearest, &at, &face) < INFINITY))
    return;
  const pc_face *f = &routes->faces.items[face];
  pc_point along = pc_unit_vector(f->a, f->b, (pc_point){0.0, 0.0});
  double from_a = apart_m(f->a, at), length = apart_m(f->a, f->b), step = pc_set_of(world, m)->half_width_m;
  for (int k = 2; k < 2 + STEPS; k++)
    for (int sign = -1; sign <= 1; sign += 2) {
      double place = from_a + sign * k * step;
      pc_point end = {f->a.x_m + place * along.x_m, f->a.y_m + place * along.y_m};
      if (place < 0.0 || place > length || !berth_is_free(world, m, zone, end) ||
          !pc_routes_clear(routes, way->last, end))
        continue;
      way->length_m += apart_m(way->last, end) - apart_m(way->last, way->end);
      if (way->out == PC_NO_CORNER)
        way->first = end;
      way->end = end;
      return;
    }
}

/* Carries the load to the face and on to where the pile begins, and finds how far to back out of it. */
static void go_to_front(pc_world *world, size_t m, size_t zone, pc_way *way, double dirty_m) {
  pc_machine *machine = &world->machines[m];
  pc_point face = way->end, ahead = pc_unit_vector(way->last, face, machine->facing);
  double front = pc_world_front_m(world, zone), last = apart_m(way->last, face);
  double back = unit_of(world, m)->loader.back_out_m;
  pc_point behind = {face.x_m - back * ahead.x_m, face.y_m - back * ahead.y_m};
  if (pc_ground_find(world->lot->ground, behind) < 0 || !pc_routes_clear(routes_of(world, m), face, behind))
    back = pc_lesser(back, last);
  behind = (pc_point){face.x_m - back * ahead.x_m, face.y_m - back * ahead.y_m};
  way->length_m += front;
  way->end = (pc_point){face.x_m + front * ahead.x_m, face.y_m + front * ahead.y_m};
  if (way->out == PC_NO_CORNER)
    way->first = way->end;
  carry_along(world, m, way, dirty_m);
  machine->back_m = back + front;
  machine->place = (pc_place){behind, pc_routes_face_node(routes_of(world, m), zone, face), 0.0};
  machine->on_line = false;
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
  pc_point points[PC_WAY_POINTS_MAX];
  pc_way way;
  pc_routes_to_zone(routes_of(world, m), &machine->place, (size_t)zone, &way);
  choose_berth(world, m, (size_t)zone, &way);
  double dirty = dirty_on_way_m(world, m, &way, points);
  run_along_lane(world, m, points[1]);
  machine->zone = zone;
  machine->room_kg = machine->load_kg;
  machine->berth = way.end;
  world->piles[zone].reserved_kg += machine->room_kg;
  go_to_front(world, m, (size_t)zone, &way, dirty);
  return schedule(world, m, PC_EVENT_ARRIVED);
}

/* ---- deciding ---- */

static bool sound_bite(const pc_world *world, size_t m, pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  if (bite->lane >= set->lane_count || !isfinite(bite->from_m) || !isfinite(bite->to_m) ||
      bite->from_m == bite->to_m || bite->zone >= (int)world->lot->zone_count)
    return false;
  const pc_lane *lane = &set->lanes[bite->lane];
  pc_keep_off_walls(world->lot, set, bite);
  if (bite->from_m == bite->to_m)
    return false;
  int first = pc_lane_station(world->lot, lane, bite->from_m, bite->to_m > bite->from_m ? 1 : -1);
  return world->lot->machines[m].allowed[lane->patch] &&
         pc_state_of(world, m)->dirty[lane->first + (size_t)first] &&
         !pc_stretch_taken(world, m, lane, pc_lesser(bite->from_m, bite->to_m),
                           pc_greater(bite->from_m, bite->to_m));
}

static void stand_at(pc_machine *machine, const pc_place *place) {
  machine->at = place->at;
  machine->place = *place;
  machine->on_line = true;
}

static pc_status start_bite(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_bite *bite = &machine->bite;
  const pc_lane *lane = &pc_set_of(world, m)->lanes[bite->lane];
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  double sign = bite->to_m > bite->from_m ? 1.0 : -1.0;
  pc_place start = pc_world_place(world, m, lane, bite->from_m);
  pc_point push = {sign * patch->cosine, sign * patch->sine};
  machine->claim = (pc_claim){lane->patch, lane->strip0, lane->strip0 + lane->strips,
                              pc_lesser(bite->from_m, bite->to_m), pc_greater(bite->from_m, bite->to_m)};
  machine->zone = -1;
  if (machine->load_kg > 0.0)
    approach_loaded(world, m, &start, push);
  else
    approach_empty(world, m, &start, push);
  stand_at(machine, &start);
  machine->facing = push;
  machine->reversing = false;
  return schedule(world, m, PC_EVENT_FILL);
}

static pc_status decide(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  pc_bite bite = {0, 0.0, 0.0, -1};
  pc_routes_look(routes_of(world, m), &machine->place, machine->on_line, &machine->outlook);
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
  pc_place stop = pc_world_place(world, m, lane, sweep.stop_m);
  pc_phase phase = 2 * sweep.fresh_slots < sweep.slots ? PC_PHASE_CLEAN_UP : PC_PHASE_FILL;
  write_phase(world, m, phase, drawn(machine, PC_PURPOSE_FILL, world->lot->chance.fill, time),
              (leg){machine->at, stop.at, sweep.length_m, lane->width_m});
  stand_at(machine, &stop);
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
  machine->place.at = machine->at;
  pc_status status = next_at_berth(world, pile, z);
  if (status == PC_OK)
    status = decide(world, m);
  return status == PC_OK ? wake_others(world) : status;
}

const pc_handler pc_cycle_handlers[PC_EVENT_KINDS] = {on_free, on_fill, on_filled, on_arrived, on_dumped};
