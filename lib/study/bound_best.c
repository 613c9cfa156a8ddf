// SPDX-License-Identifier: GPL-3.0-or-later
/* The best figure of any machine, and the plain form that is made of them: see docs/bound.md. */
#include <math.h>

#include "study/bound_private.h"

static void take_carrier(const pc_unit *unit, double load_kg, pc_bound_best *best) {
  const pc_loader *loader = &unit->loader;
  double carry = fmax(loader->push_speed_mps, loader->carry_speed_mps);
  best->load_kg = fmax(best->load_kg, load_kg);
  best->carry_mps = fmax(best->carry_mps, carry);
  best->forward_mps = fmax(best->forward_mps, fmax(carry, loader->return_speed_mps));
  best->reverse_mps = fmax(best->reverse_mps, loader->reverse_speed_mps);
  best->empty_mps = fmax(best->forward_mps, best->reverse_mps);
  best->lower_s = fmin(best->lower_s, loader->lower_s);
  best->raise_s = fmin(best->raise_s, loader->raise_s);
  best->dump_s = fmin(best->dump_s, loader->dump_s);
  best->turn_s = fmin(best->turn_s, loader->turn_s);
  best->back_out_m = fmax(best->back_out_m, loader->back_out_m);
}

pc_bound_best pc_bound_best_of(const pc_lot *lot) {
  pc_bound_best best = {.least_swath_m = INFINITY,
                        .lower_s = INFINITY,
                        .raise_s = INFINITY,
                        .dump_s = INFINITY,
                        .turn_s = INFINITY};
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_unit *unit = &lot->machines[m].unit;
    bool blade = unit->box.blade != PC_BLADE_NONE; /* sweeps, but carries nothing */
    if (!blade && !(unit->capacity_kg > 0.0))
      continue;
    best.swath_m = fmax(best.swath_m, unit->swath_m);
    best.least_swath_m = fmin(best.least_swath_m, unit->swath_m);
    best.push_mps = fmax(best.push_mps, unit->loader.push_speed_mps);
    if (!blade)
      take_carrier(unit, lot->full_at * unit->capacity_kg, &best);
  }
  if (pc_bound_sweeps_carrying(lot))
    best.push_mps = fmax(best.push_mps, best.carry_mps);
  return best;
}

void pc_bound_plain(const pc_bound_best *best, double machines, double starts_m, pc_bound *bound) {
  double loads = ceil(bound->mass_kg / best->load_kg * (1.0 - 1e-9)), loaded_m = bound->loaded_m;
  bound->loads = loads;
  bound->whole_m = fmax(0.0, 2.0 * loaded_m - starts_m);
  bound->fixed_s = loads * (best->lower_s + best->dump_s) + fmax(0.0, loads - machines) * best->raise_s;
  bound->push_s = bound->sweep_m / best->push_mps;
  bound->carry_s = fmax(0.0, loaded_m - bound->sweep_m) / best->carry_mps;
  bound->empty_s = fmax(0.0, bound->whole_m - fmax(loaded_m, bound->sweep_m)) / best->empty_mps;
}
