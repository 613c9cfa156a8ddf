// SPDX-License-Identifier: GPL-3.0-or-later
/* Breaks, refuelling, breakdowns, and the end of a shift. A machine stops between phases: after a dump, after
 * a bite, or when it would set out, but no more once all is clear. Standing counts as idle. */
#include "sim/night.h"

static const double reserve = 0.1; /* share of the tank that is left when a machine goes to refuel */

/* Its clock stays where it is until the stop is over: where all is clear before that, nobody waits for it. */
static pc_status stand(pc_world *world, size_t m, double time_s, double *told_s) {
  pc_machine *machine = &world->machines[m];
  machine->stop_s = told_s;
  machine->stop_from_s = machine->clock_s;
  return pc_engine_schedule(&world->engine, machine->clock_s + time_s, PC_FIRST, PC_EVENT_FREE, (uint32_t)m);
}

void pc_end_stop(pc_world *world, size_t m, double end_s) {
  pc_machine *machine = &world->machines[m];
  if (machine->stop_s)
    *machine->stop_s += end_s - machine->stop_from_s;
  machine->stop_s = NULL;
}

static double working_s(const pc_machine_result *result) {
  double sum = 0.0;
  for (int p = 0; p < PC_PHASE_COUNT; p++)
    if (p != PC_PHASE_IDLE && p != PC_PHASE_WAIT)
      sum += result->time_s[p];
  return sum;
}

static bool leave(pc_world *world, size_t m, pc_status *status) {
  pc_machine *machine = &world->machines[m];
  if (machine->clock_s < world->lot->machines[m].until_s || isnan(world->lot->machines[m].until_s))
    return false;
  if (machine->load_kg > 0.0) {
    *status = pc_go_to_zone(world, m, -1);
    return true;
  }
  pc_leave_pile(world, m);
  machine->finished = machine->gone = true;
  *status = pc_areas_update(world); /* nobody waits for a blade that has left, or keeps off its lane */
  if (*status == PC_OK)
    *status = pc_wake_others(world);
  return true;
}

bool pc_is_over(const pc_world *world, size_t m) {
  if (world->machines[m].load_kg > 0.0 || world->engine.now_s < world->lot->storm_end_s)
    return false;
  for (size_t p = 0; p < world->lot->area_count; p++)
    if (pc_area_has_work(world, p))
      return false;
  return true;
}

static bool take_break(pc_world *world, size_t m, pc_status *status) {
  pc_machine *machine = &world->machines[m];
  const pc_lot_machine *plan = &world->lot->machines[m];
  if (machine->clock_s < machine->next_break_s || pc_is_over(world, m))
    return false;
  pc_leave_pile(world, m);
  *status = stand(world, m, plan->break_for_s, &world->result->machines[m].break_s);
  machine->next_break_s = machine->clock_s + plan->break_for_s + plan->break_every_s;
  return true;
}

void pc_end_rest(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_lot_machine *plan = &world->lot->machines[m];
  machine->resting = false;
  machine->next_break_s = machine->clock_s + plan->break_every_s;
  world->result->machines[m].break_s += plan->break_for_s;
}

/* An operator who waits takes the break that falls due, and what is left of it before working again. */
bool pc_rest(pc_world *world, size_t m, double since_s, pc_status *status) {
  pc_machine *machine = &world->machines[m];
  const pc_lot_machine *plan = &world->lot->machines[m];
  double now_s = machine->clock_s, end_s = machine->next_break_s + plan->break_for_s;
  if (machine->over || machine->next_break_s <= since_s || !(machine->next_break_s <= now_s))
    return false;
  if (end_s <= now_s) { /* all of it, and of others after it */
    double round_s = plan->break_every_s + plan->break_for_s, breaks = 1.0 + floor((now_s - end_s) / round_s);
    world->result->machines[m].break_s += breaks * plan->break_for_s;
    machine->next_break_s += breaks * round_s;
    end_s += breaks * round_s;
  }
  bool leaves = plan->until_s <= now_s; /* never for NaN */
  if (machine->next_break_s > now_s || end_s <= now_s || leaves || pc_is_over(world, m))
    return false;
  machine->resting = true;
  *status = pc_engine_schedule(&world->engine, end_s, PC_FIRST, PC_EVENT_FREE, (uint32_t)m);
  return true;
}

static bool break_down(pc_world *world, size_t m, pc_status *status) {
  pc_machine *machine = &world->machines[m];
  const pc_loader *loader = &pc_unit_of(world, m)->loader;
  if (working_s(&world->result->machines[m]) < machine->next_failure_s || pc_is_over(world, m))
    return false;
  pc_stream *stream = &machine->streams[PC_PURPOSE_BREAKDOWN];
  double repair = pc_stream_exponential(stream, loader->repair_mean_s);
  pc_leave_pile(world, m);
  /* from when it failed, not from when that is seen: else the mean between failures would come out too long
   */
  machine->next_failure_s += pc_stream_exponential(stream, loader->breakdown_mean_s);
  *status = stand(world, m, repair, &world->result->machines[m].repair_s);
  return true;
}

/* Only with an empty box: a load is taken to its zone first. */
static bool refuel(pc_world *world, size_t m, pc_status *status) {
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = pc_unit_of(world, m);
  if (isnan(unit->loader.tank_l) || machine->load_kg > 0.0)
    return false;
  /* the engine idles in the pauses of each hour, too, which are in no phase yet */
  double here_s = machine->clock_s - world->lot->machines[m].from_s;
  double pauses_s = pc_lot_clock_s(world->lot, here_s) - here_s;
  double used = pc_fuel_l(unit, &world->result->machines[m]) +
                pauses_s / 3600.0 * unit->loader.fuel_idle_lph - machine->fuel_mark_l;
  if (!(used >= (1.0 - reserve) * unit->loader.tank_l) || pc_is_over(world, m))
    return false;
  double before = machine->clock_s;
  pc_place place = pc_place_at(world->lot->machines[m].fuel_at);
  if (!pc_can_drive(world, m, &place))
    return false; /* from where it will be next, perhaps */
  pc_drive_empty(world, m, &place, (pc_point){0.0, 0.0});
  pc_stand_at(machine, &place);
  machine->fuel_mark_l += used;
  world->result->machines[m].refuel_s += machine->clock_s - before;
  *status = stand(world, m, used / unit->loader.refuel_lps, &world->result->machines[m].refuel_s);
  return true;
}

bool pc_take_stop(pc_world *world, size_t m, pc_status *status) {
  return leave(world, m, status) || break_down(world, m, status) || take_break(world, m, status) ||
         refuel(world, m, status);
}
