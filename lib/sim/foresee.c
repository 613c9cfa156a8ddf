// SPDX-License-Identifier: GPL-3.0-or-later
/* What a bite would bring, on paper: for policies that compare bites. */
#include "sim/slot_bite.h"

/* Whole slots from station i on, up to the one before `last`, while nothing is special: sums in registers.
 * Returns the station where that ends. */
static int foresee_whole(const slot_pass *f, const pc_lane_state *state, const pc_lane_set *set,
                         const pc_lane *lane, int i, int last, int sign, double *need_kg, pc_sweep *result,
                         double *ideal_kgm) {
  const double *slot_kg = &state->slot_kg[lane->first], *slot_m2 = &set->slot_m2[lane->first];
  const double *way_m = &set->slot_way_m[lane->first];
  const unsigned char *fresh = &state->fresh[lane->first];
  pc_sweep sweep = *result;
  double need = *need_kg, ideal = *ideal_kgm, spill;
  for (; (last - i) * sign > 0 && slot_m2[i] > 0.0; i += sign) {
    double before = sweep.load_kg;
    if (!pass_slot(f, i, slot_kg[i], &need, &sweep, &spill))
      break;
    sweep.fresh_slots += fresh[i];
    ideal += (sweep.load_kg - before) * way_m[i];
  }
  *need_kg = need;
  *ideal_kgm = ideal;
  *result = sweep;
  return i;
}

void pc_world_foresee(const pc_world *world, size_t machine, size_t lane_index, double from_m, double to_m,
                      double load_kg, pc_sweep *sweep, double *ideal_kgm) {
  const pc_lot *lot = world->lot;
  const pc_unit *unit = &lot->machines[machine].unit;
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_lane_state *state = pc_state_of(world, machine);
  const pc_lane *lane = &set->lanes[lane_index];
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double target_kg = lot->full_at * unit->capacity_kg;
  int sign = to_m >= from_m ? 1 : -1;
  *ideal_kgm = 0.0;
  *sweep = (pc_sweep){from_m, load_kg, 0.0, 0.0, 0.0, 0, 0};
  double need_kg = pc_filling_met(&unit->filling, load_kg, target_kg);
  const slot_pass f = slot_pass_of(lot, set, lane, unit);
  int first = pc_lane_station(lot, lane, from_m, sign), last = pc_lane_station(lot, lane, to_m, -sign);
  for (int i = first; sign > 0 ? i <= last : i >= last; i += sign) {
    if (i == first + sign) {
      i = foresee_whole(&f, state, set, lane, i, last, sign, &need_kg, sweep, ideal_kgm);
      if (i != first + sign)
        sweep->stop_m = slot_edge_m(patch, i, -sign);
    }
    size_t slot = lane->first + (size_t)i;
    if (set->slot_m2[slot] <= 0.0)
      break;
    double before = sweep->load_kg, before_s = sweep->time_s;
    slot_bite bite = look_ahead(state, patch, slot, i, sign, sweep->stop_m);
    if (i == last)
      end_within(&bite, patch, i, sign, to_m);
    meet_slot(unit, state->slot_kg[slot], patch->station_m, target_kg, &need_kg, &bite, sweep);
    if (set->slot_slow)
      sweep->time_s = before_s + slowed_s(lot, set, slot, bite.length_m, sweep->time_s - before_s);
    sweep->fresh_slots += state->fresh[slot];
    *ideal_kgm += (sweep->load_kg - before) * set->slot_way_m[slot];
    sweep->stop_m = bite.through ? slot_edge_m(patch, i, sign) : sweep->stop_m + sign * bite.length_m;
    if (!bite.through)
      break;
  }
}
