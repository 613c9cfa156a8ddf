// SPDX-License-Identifier: GPL-3.0-or-later
/* What a bite would bring, on paper: for policies that compare bites. */
#include "sim/slot_bite.h"

/* Whole slots from station i on, up to the one before the last, while nothing is special: sums in registers.
 * Returns the station where that ends. */
static int foresee_whole(const slot_walk *w, const slot_pass *f, int i, double *need_kg, pc_sweep *result,
                         double *ideal_kgm) {
  const size_t first = w->lane->first;
  const double *slot_kg = &w->state->slot_kg[first], *slot_m2 = &w->set->slot_m2[first];
  const double *way_m = &w->set->slot_way_m[first];
  const unsigned char *fresh = &w->state->fresh[first];
  const int last = w->last, sign = w->sign;
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

void pc_world_foresee(const pc_world *world, size_t machine, size_t lane, double from_m, double to_m,
                      double load_kg, pc_sweep *sweep, double *ideal_kgm) {
  const slot_walk w = walk_of(world, machine, &pc_set_of(world, machine)->lanes[lane], from_m, to_m);
  const slot_pass f = slot_pass_of(w.lot, w.set, w.lane, w.unit);
  double target_kg = w.lot->full_at * w.unit->capacity_kg;
  double need_kg = pc_filling_met(&w.unit->filling, load_kg, target_kg);
  *ideal_kgm = 0.0;
  *sweep = (pc_sweep){from_m, load_kg, 0.0, 0.0, 0.0, 0, 0};
  for (int i = w.first; walks_over(&w, i); i += w.sign) {
    if (i == w.first + w.sign) {
      i = foresee_whole(&w, &f, i, &need_kg, sweep, ideal_kgm);
      if (i != w.first + w.sign)
        sweep->stop_m = slot_edge_m(w.patch, i, -w.sign);
    }
    size_t slot = w.lane->first + (size_t)i;
    if (w.set->slot_m2[slot] <= 0.0)
      break;
    double before = sweep->load_kg;
    slot_bite bite = walk_ahead(&w, i, sweep->stop_m);
    walk_meet(&w, i, target_kg, &need_kg, &bite, sweep);
    *ideal_kgm += (sweep->load_kg - before) * w.set->slot_way_m[slot];
    if (!walk_on(&w, i, &bite, sweep))
      break;
  }
}
