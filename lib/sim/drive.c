// SPDX-License-Identifier: GPL-3.0-or-later
/* Phases, driving empty, driving with snow in the box. */
#include "sim/night.h"

void pc_look(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_place *from = &machine->looked_from, *now = &machine->place;
  if (machine->looked && machine->looked_on_line == machine->on_line && from->at.x_m == now->at.x_m &&
      from->at.y_m == now->at.y_m && from->node == now->node && from->share == now->share)
    return;
  pc_routes_look(pc_routes_of(world, m), now, machine->on_line, &machine->outlook);
  machine->looked = true;
  machine->looked_from = *now;
  machine->looked_on_line = machine->on_line;
}

/* Writes one phase of a machine: its time, its distance, its row in the trace. */
void pc_write_phase(pc_world *world, size_t m, pc_phase phase, double time_s, pc_leg drive) {
  pc_machine *machine = &world->machines[m];
  pc_machine_result *result = &world->result->machines[m];
  if (time_s <= 0.0 && drive.distance_m <= 0.0)
    return;
  double start = machine->clock_s;
  machine->clock_s += time_s;
  result->time_s[phase] += time_s;
  if (phase == PC_PHASE_FILL || phase == PC_PHASE_CLEAN_UP) {
    result->fill_m += drive.distance_m;
    result->done_s = machine->clock_s;
  } else if (phase == PC_PHASE_DUMP)
    result->done_s = machine->clock_s;
  else if (phase == PC_PHASE_CARRY)
    result->carry_m += drive.distance_m;
  else if (phase == PC_PHASE_RETURN)
    result->return_m += drive.distance_m;
  if (world->trace && world->trace->row) {
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
                        machine->zone,
                        drive.reverse};
    world->trace->row(world->trace->context, &row);
  }
}

void pc_show_ground(const pc_world *world, size_t m) {
  if (!world->trace || !world->trace->ground)
    return;
  const pc_trace_ground now = {world->replication, world->engine.now_s, m, world->cell_kg,
                               world->fallen_kgpm2};
  world->trace->ground(world->trace->context, &now);
}

pc_status pc_schedule(pc_world *world, size_t m, uint32_t kind) {
  return pc_engine_schedule(&world->engine, world->machines[m].clock_s, PC_FIRST, kind, (uint32_t)m);
}

pc_status pc_wake_others(pc_world *world) {
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    if (!world->machines[m].asleep)
      continue;
    world->machines[m].asleep = false;
    pc_status status =
        pc_engine_schedule(&world->engine, world->engine.now_s, PC_SECOND, PC_EVENT_FREE, (uint32_t)m);
    if (status != PC_OK)
      return status;
  }
  return PC_OK;
}

/* ---- driving empty ---- */
void pc_leave_pile(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_loader *loader = &pc_unit_of(world, m)->loader;
  if (!machine->leaving)
    return;
  pc_point face = pc_standing_at(machine);
  machine->leaving = false;
  pc_write_phase(world, m, PC_PHASE_RAISE, loader->raise_s, pc_standing(face));
  machine->raised = true;
  if (machine->back_m > 0.0) {
    double turn = pc_drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, loader->shift_s);
    pc_write_phase(world, m, PC_PHASE_TURN, turn, pc_standing(face));
    double back = pc_leg_time_s(machine->back_m, loader->reverse_speed_mps, loader->acceleration_mps2);
    pc_write_phase(world, m, PC_PHASE_RETURN,
                   pc_drawn(machine, PC_PURPOSE_RETURN, world->lot->chance.back, back),
                   (pc_leg){face, machine->at, machine->back_m, 0.0, true});
  }
}

/* Writes a drive along a way, split at its corners; bends_s is the turning there. */
static void write_drive(pc_world *world, size_t m, pc_phase phase, const pc_way *way, double time_s,
                        double bends_s, bool reverse) {
  pc_point points[PC_WAY_POINTS_MAX], at = world->machines[m].at;
  if (way->out == PC_NO_CORNER) {
    pc_write_phase(world, m, phase, time_s, (pc_leg){at, way->end, way->length_m, 0.0, reverse});
    return;
  }
  int count = pc_routes_path(pc_routes_of(world, m), at, way, points);
  for (int k = 0; k + 1 < count; k++) {
    double dx = points[k + 1].x_m - points[k].x_m, dy = points[k + 1].y_m - points[k].y_m;
    double length = sqrt(dx * dx + dy * dy);
    if (k > 0 && way->bends_rad > 0.0) {
      pc_point before = {points[k].x_m - points[k - 1].x_m, points[k].y_m - points[k - 1].y_m};
      double share = pc_turn_angle(before, (pc_point){dx, dy}) / way->bends_rad;
      pc_write_phase(world, m, PC_PHASE_TURN, share * bends_s, pc_standing(points[k]));
    }
    pc_write_phase(world, m, phase, time_s * (length / way->length_m),
                   (pc_leg){points[k], points[k + 1], length, 0.0, reverse});
  }
}

/* Turns into the way, of which bends_s are turns at its corners; returns the part of those, with chance. */
static double write_turn_in(pc_world *world, size_t m, double turn_s, double bends_s) {
  pc_machine *machine = &world->machines[m];
  double all = pc_drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, turn_s);
  double bends = bends_s > 0.0 ? all * (bends_s / turn_s) : 0.0;
  pc_write_phase(world, m, PC_PHASE_TURN, all - bends, pc_standing(machine->at));
  return bends;
}

/* The way that is driven: tables do not see what lies between two nodes. */
static void way_between(const pc_world *world, size_t m, const pc_place *to, pc_way *way) {
  const pc_routes *routes = pc_routes_of(world, m);
  const pc_machine *machine = &world->machines[m];
  pc_place from = pc_place_at(machine->at), end = pc_place_at(to->at);
  pc_outlook outlook;
  pc_way sure;
  pc_routes_between(routes, &machine->outlook, to, way);
  if (pc_way_is_clear(routes, machine->at, way))
    return;
  pc_routes_look(routes, &from, true, &outlook);
  pc_routes_between(routes, &outlook, &end, &sure);
  if (sure.length_m < INFINITY)
    *way = sure;
}

bool pc_can_drive(const pc_world *world, size_t m, const pc_place *to) {
  pc_way way;
  way_between(world, m, to, &way);
  return way.length_m < INFINITY;
}

/* The approach, and which way the machine then faces if that is left open. */
static void plan_approach(const pc_world *world, size_t m, const pc_way *way, pc_point *facing,
                          pc_approach *approach) {
  const pc_machine *machine = &world->machines[m];
  const pc_unit *unit = pc_unit_of(world, m);
  double slow = pc_world_slow_m(world, pc_routes_of(world, m), machine->at, way),
         mps = world->lot->near_speed_mps;
  bool open = facing->x_m == 0.0 && facing->y_m == 0.0;
  pc_point ahead = open ? pc_unit_vector(way->last, way->end, machine->facing) : *facing;
  *facing = ahead;
  pc_plan_approach(unit, machine->at, machine->facing, machine->reversing, way, slow, mps, ahead, approach);
  if (!open)
    return;
  pc_approach other;
  pc_point behind = {-ahead.x_m, -ahead.y_m};
  pc_plan_approach(unit, machine->at, machine->facing, machine->reversing, way, slow, mps, behind, &other);
  if (other.time_s < approach->time_s) {
    *approach = other;
    *facing = behind;
  }
}

void pc_drive_empty(pc_world *world, size_t m, const pc_place *to, pc_point facing) {
  pc_machine *machine = &world->machines[m];
  const pc_chance *chance = &world->lot->chance;
  pc_leave_pile(world, m);
  pc_way way;
  pc_approach approach;
  way_between(world, m, to, &way);
  plan_approach(world, m, &way, &facing, &approach);
  double bends = write_turn_in(world, m, approach.first_turn_s, pc_bends_time_s(pc_unit_of(world, m), &way));
  double drive = pc_drawn(machine, PC_PURPOSE_RETURN, chance->back, approach.drive_s);
  if (world->lot->passage_count > 0)
    pc_wait_for_passages(world, m, &way, drive + bends);
  write_drive(world, m, PC_PHASE_RETURN, &way, drive, bends, approach.reverse);
  pc_write_phase(world, m, PC_PHASE_TURN,
                 pc_drawn(machine, PC_PURPOSE_TURN, chance->turn, approach.turn_s - approach.first_turn_s),
                 pc_standing(to->at));
  pc_stand_at(machine, to);
  machine->facing = facing;
  machine->reversing = false;
}

void pc_approach_empty(pc_world *world, size_t m, const pc_place *start, pc_point push) {
  pc_machine *machine = &world->machines[m];
  pc_drive_empty(world, m, start, push);
  if (machine->raised)
    pc_write_phase(world, m, PC_PHASE_LOWER, pc_unit_of(world, m)->loader.lower_s, pc_standing(start->at));
  machine->raised = false;
}

/* ---- driving with snow in the box ---- */

/* Turns into a way and carries the load along it. */
void pc_carry_along(pc_world *world, size_t m, const pc_way *way, double dirty_m) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = pc_unit_of(world, m);
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
      time += pc_world_slow_s(world, pc_world_slow_m(world, pc_routes_of(world, m), machine->at, way),
                              distance_m / time);
    time = pc_drawn(machine, PC_PURPOSE_CARRY, lot->chance.carry, time);
    if (lot->passage_count > 0)
      pc_wait_for_passages(world, m, way, time + bends);
    write_drive(world, m, PC_PHASE_CARRY, way, time, bends, false);
  }
  machine->facing = pc_unit_vector(way->last, way->end, machine->facing);
  machine->at = way->end;
}

double pc_dirty_on_way_m(const pc_world *world, size_t m, const pc_way *way, pc_point *points) {
  int count = pc_routes_path(pc_routes_of(world, m), world->machines[m].at, way, points);
  return pc_world_dirty_length_m(world, world->lot->machines[m].lane_set, points, count);
}

void pc_approach_loaded(pc_world *world, size_t m, const pc_place *start, pc_point push) {
  pc_machine *machine = &world->machines[m];
  pc_point points[PC_WAY_POINTS_MAX];
  pc_way way;
  way_between(world, m, start, &way);
  pc_carry_along(world, m, &way, pc_dirty_on_way_m(world, m, &way, points));
  double turn = pc_turn_time_s(pc_unit_of(world, m), machine->facing, push);
  pc_write_phase(world, m, PC_PHASE_TURN, pc_drawn(machine, PC_PURPOSE_TURN, world->lot->chance.turn, turn),
                 pc_standing(start->at));
}

void pc_stand_at(pc_machine *machine, const pc_place *place) {
  machine->at = place->at;
  machine->place = *place;
  machine->on_line = true;
}

void pc_back_out(pc_machine *machine) {
  machine->leaving = true;
  machine->reversing = machine->back_m > 0.0;
  machine->at.x_m -= machine->back_m * machine->facing.x_m;
  machine->at.y_m -= machine->back_m * machine->facing.y_m;
  machine->place.at = machine->at;
}
