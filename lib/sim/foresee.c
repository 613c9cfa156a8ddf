// SPDX-License-Identifier: GPL-3.0-or-later
/* What a bite would bring, on paper: for policies that compare bites. */
#include "sim/slot_bite.h"

void pc_world_foresee(const pc_world *world, size_t machine, size_t lane_index, double from_m, double to_m,
                      double load_kg, pc_sweep *sweep, double *ideal_kgm) {
  const pc_lot *lot = world->lot;
  const pc_unit *unit = &lot->machines[machine].unit;
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_lane_state *state = pc_state_of(world, machine);
  const pc_lane *lane = &set->lanes[lane_index];
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double target_kg = lot->full_at * unit->capacity_kg, ideal = 0.0;
  int sign = to_m >= from_m ? 1 : -1;
  *sweep = (pc_sweep){from_m, load_kg, 0.0, 0.0, 0.0, 0, 0};
  double need_kg = pc_filling_met(&unit->filling, load_kg, target_kg);
  const foresight f = foresight_of(lot, set, unit, patch);
  int first = pc_lane_station(lot, lane, from_m, sign), last = pc_lane_station(lot, lane, to_m, -sign);
  for (int i = first; sign > 0 ? i <= last : i >= last; i += sign) {
    size_t slot = lane->first + (size_t)i;
    if (set->slot_m2[slot] <= 0.0)
      break;
    double before = sweep->load_kg, spill_kg;
    if (i != first && i != last && pass_slot(&f, slot, state->slot_kg[slot], &need_kg, sweep, &spill_kg)) {
      sweep->fresh_slots += state->fresh[slot];
      ideal += (sweep->load_kg - before) * set->slot_way_m[slot];
      sweep->stop_m = slot_edge_m(patch, i, sign);
      continue;
    }
    slot_bite bite = look_ahead(state, patch, slot, i, sign, sweep->stop_m);
    if (i == last)
      end_within(&bite, patch, i, sign, to_m);
    double before_s = sweep->time_s;
    meet_slot(unit, state->slot_kg[slot], patch->station_m, target_kg, &need_kg, &bite, sweep);
    if (set->slot_slow)
      sweep->time_s = before_s + slowed_s(lot, set, slot, bite.length_m, sweep->time_s - before_s);
    sweep->fresh_slots += state->fresh[slot];
    ideal += (sweep->load_kg - before) * set->slot_way_m[slot];
    sweep->stop_m = bite.through ? slot_edge_m(patch, i, sign) : sweep->stop_m + sign * bite.length_m;
    if (!bite.through)
      break;
  }
  *ideal_kgm = ideal;
}
