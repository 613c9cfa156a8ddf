// SPDX-License-Identifier: GPL-3.0-or-later
/* The plain bound for a crew of different machines: see docs/bound.md, "Different machines". */
#include <math.h>

#include "study/bound_private.h"

typedef struct rates { /* what one machine needs at least */
  double load_spkg,
      haul_spkgm;    /* per kilogram placed, per kilogram brought a metre nearer; INFINITY: it can't */
  double sweep_spm2; /* per m² swept, beyond what hauling counts already */
  double spared_s;   /* what it may be spared at its start and end */
} rates;

static rates rates_of(const pc_lot *lot, size_t m, double start_m) {
  const pc_unit *unit = &lot->machines[m].unit;
  const pc_loader *loader = &unit->loader;
  double load_kg = lot->full_at * unit->capacity_kg, push = loader->push_speed_mps;
  if (unit->box.blade != PC_BLADE_NONE)
    return (rates){INFINITY, INFINITY, 1.0 / (push * unit->swath_m), 0.0};
  if (!(load_kg > 0.0))
    return (rates){INFINITY, INFINITY, INFINITY, 0.0};
  double carry = fmax(push, loader->carry_speed_mps);
  if (pc_bound_sweeps_carrying(lot))
    push = carry;
  double empty = fmax(carry, fmax(loader->return_speed_mps, loader->reverse_speed_mps));
  return (rates){(loader->lower_s + loader->raise_s + loader->dump_s) / load_kg,
                 (1.0 / carry + 1.0 / empty) / load_kg, (1.0 / push - 1.0 / carry) / unit->swath_m,
                 loader->raise_s + start_m / empty};
}

typedef struct work {
  double mass_kg, haul_kgm, area_m2;
} work;

/* Any weights give a bound: the weighted machine time is at least what the work costs at the cheapest
 * weighted rate of each kind. */
static double bound_with(const rates *all, const double *weight, size_t count, const work *todo) {
  double load = INFINITY, haul = INFINITY, sweep = INFINITY, sum = 0.0, spared = 0.0;
  for (size_t m = 0; m < count; m++) {
    sum += weight[m];
    spared += weight[m] * all[m].spared_s;
    if (isfinite(all[m].load_spkg)) {
      load = fmin(load, weight[m] * all[m].load_spkg);
      haul = fmin(haul, weight[m] * all[m].haul_spkgm);
    }
    if (isfinite(all[m].sweep_spm2))
      sweep = fmin(sweep, weight[m] * all[m].sweep_spm2);
  }
  double cost = -spared;
  cost += isfinite(load) ? load * todo->mass_kg + haul * todo->haul_kgm : 0.0;
  cost += isfinite(sweep) ? sweep * todo->area_m2 : 0.0;
  return sum > 0.0 ? cost / sum : 0.0;
}

/* Weights that make the machines' costs of an average kilogram equal are near the best; from there by trial.
 */
double pc_bound_crew_from_s(const pc_lot *lot, const double *start_m, double mass_kg, double haul_kgm,
                            double area_m2) {
  static const double steps[] = {0.0, 0.5, 0.8, 0.95, 1.05, 1.25, 2.0};
  enum { STEPS = sizeof steps / sizeof *steps, ROUNDS = 40 };
  const work todo = {mass_kg, haul_kgm, area_m2};
  rates all[PC_MACHINES_MAX];
  double weight[PC_MACHINES_MAX];
  size_t count = lot->machine_count;
  for (size_t m = 0; m < count; m++) {
    all[m] = rates_of(lot, m, start_m[m]);
    double each =
        isfinite(all[m].load_spkg) ? all[m].load_spkg * mass_kg + all[m].haul_spkgm * haul_kgm : 0.0;
    each += isfinite(all[m].sweep_spm2) ? all[m].sweep_spm2 * area_m2 : 0.0;
    weight[m] = each > 0.0 ? 1.0 / each : 0.0;
  }
  double best = bound_with(all, weight, count, &todo);
  for (int round = 0, better = 1; round < ROUNDS && better; round++) {
    better = 0;
    for (size_t m = 0; m < count; m++)
      for (int k = 0; k < STEPS; k++) {
        double kept = weight[m];
        weight[m] *= steps[k];
        double now = bound_with(all, weight, count, &todo);
        better |= now > best * (1.0 + 1e-6);
        best = fmax(best, now);
        weight[m] = now >= best ? weight[m] : kept;
      }
  }
  return best;
}

double pc_bound_crew_s(const pc_lot *lot, double mass_kg, double haul_kgm, double area_m2) {
  double start_m[PC_MACHINES_MAX];
  for (size_t m = 0; m < lot->machine_count; m++)
    start_m[m] = pc_bound_start_way_m(lot, m);
  return pc_bound_crew_from_s(lot, start_m, mass_kg, haul_kgm, area_m2);
}
