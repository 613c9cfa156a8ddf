// SPDX-License-Identifier: GPL-3.0-or-later
/* One machine's cycle as events: decide, approach, fill, carry, wait, dump. */
#include "sim/night.h"

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
  pc_place start = pc_world_place(world, m, lane, bite->from_m);
  int first = pc_lane_station(world->lot, lane, bite->from_m, bite->to_m > bite->from_m ? 1 : -1);
  bool allowed = pc_has_blade(world, m)
                     ? world->lot->machines[m].allowed[lane->patch]
                     : pc_may_work(world, m, lane->patch) || pc_may_carve(world, m, lane->patch);
  return allowed && pc_state_of(world, m)->dirty[lane->first + (size_t)first] &&
         !pc_stretch_taken(world, m, lane, pc_lesser(bite->from_m, bite->to_m),
                           pc_greater(bite->from_m, bite->to_m)) &&
         pc_can_drive(world, m, &start);
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
  pc_machine_result *result = &world->result->machines[m];
  if (result->last_area != lane->patch) {
    result->last_area = lane->patch;
    result->last_area_from_s = machine->clock_s;
  }
  if (machine->load_kg > 0.0)
    pc_approach_loaded(world, m, &start, push);
  else
    pc_approach_empty(world, m, &start, push);
  pc_stand_at(machine, &start);
  machine->facing = push;
  machine->reversing = false;
  return pc_schedule(world, m, PC_EVENT_FILL);
}

static pc_status decide(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  pc_status stopped;
  pc_look(world, m);
  if (pc_take_stop(world, m, &stopped))
    return stopped;
  pc_bite bite = {0, 0.0, 0.0, -1};
  pc_decision decision = pc_decide_bite(world, m, &bite);
  if (decision == PC_DECIDE_BITE && sound_bite(world, m, &bite)) {
    machine->bite = bite;
    return start_bite(world, m);
  }
  if (decision != PC_DECIDE_WAIT && machine->load_kg > 0.0)
    return pc_go_to_zone(world, m, decision == PC_DECIDE_DUMP ? bite.zone : -1);
  if (pc_has_blade(world, m) && pc_blade_is_cut_off(world, m)) { /* boxes do not wait for it any longer */
    machine->finished = machine->gone = true;
    pc_status status = pc_areas_update(world);
    return status == PC_OK ? pc_wake_others(world) : status;
  }
  machine->asleep = true;
  machine->over = isfinite(machine->next_break_s) && pc_is_over(world, m);
  return PC_OK;
}

/* ---- handlers ---- */

/* The night lasts as long as it snows, also for who rests meanwhile or is still to come, but in his shift. */
static void stand_by(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  double until_s = fmin(world->lot->storm_end_s, world->lot->machines[m].until_s); /* NaN: to the end */
  if (machine->clock_s >= until_s)
    return;
  pc_write_phase(world, m, PC_PHASE_IDLE, until_s - machine->clock_s, pc_standing(pc_standing_at(machine)));
  machine->clock_s = until_s;
}

static pc_status on_free(pc_engine *engine, void *context, uint32_t m) {
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  if (pc_unit_of(world, m)->capacity_kg <= 0.0 && !pc_has_blade(world, m)) {
    machine->finished = true;
    return PC_OK;
  }
  if (!world->begun) { /* the snow is not deep enough yet */
    machine->asleep = true;
    return PC_OK;
  }
  bool arrives = machine->clock_s < engine->now_s && engine->now_s <= world->lot->machines[m].from_s;
  bool stopped = machine->stop_s != NULL;
  if ((arrives || machine->resting || stopped) && pc_is_over(world, m)) { /* it need not */
    stand_by(world, m);
    machine->asleep = machine->over = true;
    machine->resting = false;
    return PC_OK;
  }
  double since_s = machine->clock_s;
  pc_write_phase(world, m, PC_PHASE_IDLE, engine->now_s - since_s, pc_standing(pc_standing_at(machine)));
  machine->clock_s = engine->now_s;
  pc_status status;
  pc_end_stop(world, m, engine->now_s);
  if (machine->resting)
    pc_end_rest(world, m);
  else if (!stopped && pc_rest(world, m, since_s, &status))
    return status;
  return decide(world, m);
}

static pc_status on_fill(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  const pc_unit *unit = pc_unit_of(world, m);
  const pc_lane *lane = &pc_set_of(world, m)->lanes[machine->bite.lane];
  pc_sweep sweep;
  double from = machine->bite.from_m, to = machine->bite.to_m;
  if (pc_has_blade(world, m))
    pc_world_lay_aside(world, m, lane, from, to, (to > from) == (unit->box.blade == PC_BLADE_LEFT) ? 1 : -1,
                       &sweep);
  else
    pc_world_sweep(world, m, lane, from, to, world->lot->full_at * unit->capacity_kg, &sweep);
  machine->load_kg = sweep.load_kg;
  machine->stop_m = sweep.stop_m;
  double time = sweep.length_m > 0.0 ? pc_leg_time_s(sweep.length_m, sweep.length_m / sweep.time_s,
                                                     unit->loader.acceleration_mps2)
                                     : 0.0;
  pc_place stop = pc_world_place(world, m, lane, sweep.stop_m);
  pc_phase phase = 2 * sweep.fresh_slots < sweep.slots ? PC_PHASE_CLEAN_UP : PC_PHASE_FILL;
  pc_write_phase(world, m, phase, pc_drawn(machine, PC_PURPOSE_FILL, world->lot->chance.fill, time),
                 (pc_leg){machine->at, stop.at, sweep.length_m, lane->width_m, false});
  pc_show_ground(world, m);
  pc_stand_at(machine, &stop);
  return pc_schedule(world, m, PC_EVENT_FILLED);
}

static pc_status on_filled(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  pc_machine *machine = &world->machines[m];
  machine->claim.patch = -1;
  pc_status status = pc_areas_update(world);
  if (status != PC_OK)
    return status;
  if (pc_has_blade(world, m)) {
    status = decide(world, m);
    return status == PC_OK ? pc_wake_others(world) : status;
  }
  if (world->lot->areas[pc_set_of(world, m)->lanes[machine->bite.lane].patch].into >= 0 &&
      machine->load_kg > 0.0) {
    status = pc_go_to_drop(world, m);
    return status == PC_OK ? pc_wake_others(world) : status;
  }
  /* full but for rounding: a bite that is to bring the rest may come to nothing, again and again */
  bool full = machine->load_kg >= world->lot->full_at * pc_unit_of(world, m)->capacity_kg * (1.0 - 1e-9);
  status = full ? pc_go_to_zone(world, m, machine->bite.zone) : decide(world, m);
  return status == PC_OK ? pc_wake_others(world) : status;
}

static pc_status start_dump(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  size_t z = (size_t)machine->zone;
  pc_pile *pile = &world->piles[z];
  pile->busy++;
  double fill =
      isfinite(world->lot->zone_capacity_kg[z]) ? pile->snow_kg / world->lot->zone_capacity_kg[z] : 0.0;
  double time = pc_unit_of(world, m)->loader.dump_s * (1.0 + world->lot->zones[z].stack * fill * fill);
  pc_write_phase(world, m, PC_PHASE_DUMP, pc_drawn(machine, PC_PURPOSE_DUMP, world->lot->chance.dump, time),
                 pc_standing(machine->at));
  return pc_schedule(world, m, PC_EVENT_DUMPED);
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
  pc_write_phase(world, m, PC_PHASE_WAIT, wait, pc_standing(machine->at));
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
  pc_back_out(machine);
  pc_status status = pc_areas_update(world); /* the last snow may have gone on the way to the pile */
  if (status == PC_OK)
    status = next_at_berth(world, pile, z);
  if (status == PC_OK)
    status = decide(world, m);
  return status == PC_OK ? pc_wake_others(world) : status;
}

static pc_status on_dropped(pc_engine *engine, void *context, uint32_t m) {
  (void)engine;
  pc_world *world = context;
  pc_drop(world, m);
  pc_status status = pc_areas_update(world);
  if (status == PC_OK)
    status = decide(world, m);
  return status == PC_OK ? pc_wake_others(world) : status;
}

const pc_handler pc_cycle_handlers[PC_EVENT_KINDS] = {
    on_free, on_fill, on_filled, on_arrived, on_dumped, on_dropped, pc_on_open, pc_on_snow, pc_on_sweep};
