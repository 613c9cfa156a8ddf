// SPDX-License-Identifier: GPL-3.0-or-later
/* What a bite would bring, on paper: for policies that compare bites. */
#include "sim/slot_bite.h"

/* Whole slots from an open station i on, up to the one before the last, as long as the box spills no more
 * than it leaks and nothing slows it but things nearby: the sums of pass_slot, to the last bit, in registers,
 * for which it must call nothing. Returns the station where that ends. */
static int foresee_plain(const slot_walk *w, const slot_pass *f, int i, double *need_kg, pc_sweep *sweep,
                         double *ideal_kgm) {
  const size_t first = w->lane->first, slot = first + (size_t)i;
  const double *slot_kg = &w->state->slot_kg[first], *way_m = &w->set->slot_way_m[first];
  const unsigned char *fresh = &w->state->fresh[first];
  const slot_pass p = *f;
  const int sign = w->sign, begin = i, low = w->set->open_low[slot] - 1, high = w->set->open_high[slot] + 1;
  const int end = sign > 0 ? (high < w->last ? high : w->last) : low > w->last ? low : w->last;
  double load = sweep->load_kg, need = *need_kg, time_s = sweep->time_s, length_m = sweep->length_m;
  double spilled = sweep->spilled_kg, ideal = *ideal_kgm;
  int fresh_slots = 0;
  for (; i != end; i += sign) {
    double kg = slot_kg[i], met = kg * p.keep, after = load + p.gain * met, spill = met - (after - load);
    if (met >= need || kg > p.easy_kg || after > p.knee_kg)
      break;
    need -= met;
    time_s = p.slow ? slowed_sum_s(time_s, p.time_s, p.slow[i], p.near_s) : time_s + p.time_s;
    length_m += p.length_m;
    spilled += spill > 1e-12 * (after + met) ? spill : 0.0;
    ideal += (after - load) * way_m[i];
    fresh_slots += fresh[i];
    load = after;
  }
  *need_kg = need;
  *ideal_kgm = ideal;
  sweep->load_kg = load;
  sweep->time_s = time_s;
  sweep->length_m = length_m;
  sweep->spilled_kg = spilled;
  sweep->slots += (i - begin) * sign;
  sweep->fresh_slots += fresh_slots;
  return i;
}

/* Whole slots from station i on, up to the one before the last, while nothing ends the bite there. */
static int foresee_whole(const slot_walk *w, const slot_pass *f, int i, double *need_kg, pc_sweep *sweep,
                         double *ideal_kgm) {
  for (; w->set->slot_m2[w->lane->first + (size_t)i] > 0.0; i += w->sign) {
    i = foresee_plain(w, f, i, need_kg, sweep, ideal_kgm);
    size_t slot = w->lane->first + (size_t)i;
    double before = sweep->load_kg, spill;
    if (i == w->last || w->set->slot_m2[slot] <= 0.0 ||
        !pass_slot(f, i, w->state->slot_kg[slot], need_kg, sweep, &spill))
      break;
    sweep->fresh_slots += w->state->fresh[slot];
    *ideal_kgm += (sweep->load_kg - before) * w->set->slot_way_m[slot];
  }
  return i;
}

void pc_world_foresee(const pc_world *world, size_t machine, size_t lane, double from_m, double to_m,
                      double load_kg, pc_sweep *sweep, double *ideal_kgm) {
  const slot_walk w = walk_of(world, machine, &pc_set_of(world, machine)->lanes[lane], from_m, to_m);
  const slot_pass f = slot_pass_of(w.lot, w.set, w.lane, w.unit);
  double target_kg = w.lot->full_at * w.unit->capacity_kg;
  double need_kg =
      load_kg > 0.0 ? pc_filling_met(&w.unit->filling, load_kg, target_kg) : world->full_met_kg[machine];
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
