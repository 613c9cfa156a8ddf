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

/* The bound with the least weights at which no machine works cheaper than at these prices, of a kilogram, of
 * one brought a metre nearer and of a square metre; 0 where no weights do that. */
static double bound_at(const rates *all, size_t count, const work *todo, double load, double haul,
                       double sweep) {
  double weight[PC_MACHINES_MAX];
  for (size_t m = 0; m < count; m++) {
    const double price[] = {load, haul, sweep},
                 rate[] = {all[m].load_spkg, all[m].haul_spkgm, all[m].sweep_spm2};
    weight[m] = 0.0;
    for (int k = 0; k < 3; k++)
      weight[m] = price[k] > 0.0 ? fmax(weight[m], price[k] / rate[k]) : weight[m];
    if (!isfinite(weight[m]))
      return 0.0;
  }
  return fmax(0.0, bound_with(all, weight, count, todo));
}

/* Ratios of two rates, each once. */
typedef struct ratios {
  double items[PC_MACHINES_MAX];
  size_t count;
} ratios;

static void add_ratio(ratios *to, double over, double under) {
  double ratio = over / under;
  if (!(isfinite(ratio) && ratio > 0.0))
    return;
  for (size_t i = 0; i < to->count; i++)
    if (to->items[i] == ratio)
      return;
  to->items[to->count++] = ratio;
}

/* The bound is a ratio of sums that are linear in the prices wherever each machine's weight follows from one
 * and the same price. So it is largest at a corner of such a region: where two machines, or one twice, change
 * from one price to another, or where a price is 0. All corners are tried. */
static double best_bound(const rates *all, size_t count, const work *todo) {
  ratios haul = {.count = 0}, sweep = {.count = 0}, both = {.count = 0};
  for (size_t m = 0; m < count; m++) {
    add_ratio(&haul, all[m].haul_spkgm, all[m].load_spkg);
    add_ratio(&sweep, all[m].sweep_spm2, all[m].load_spkg);
    add_ratio(&both, all[m].sweep_spm2, all[m].haul_spkgm);
  }
  double best = fmax(fmax(bound_at(all, count, todo, 1, 0, 0), bound_at(all, count, todo, 0, 1, 0)),
                     bound_at(all, count, todo, 0, 0, 1));
  for (size_t h = 0; h < haul.count; h++) {
    double price = haul.items[h];
    best = fmax(best, bound_at(all, count, todo, 1, price, 0));
    for (size_t s = 0; s < sweep.count; s++)
      best = fmax(best, bound_at(all, count, todo, 1, price, sweep.items[s]));
    for (size_t b = 0; b < both.count; b++)
      best = fmax(best, bound_at(all, count, todo, 1, price, price * both.items[b]));
  }
  for (size_t s = 0; s < sweep.count; s++) {
    best = fmax(best, bound_at(all, count, todo, 1, 0, sweep.items[s]));
    for (size_t b = 0; b < both.count; b++)
      best = fmax(best, bound_at(all, count, todo, 1, sweep.items[s] / both.items[b], sweep.items[s]));
  }
  for (size_t b = 0; b < both.count; b++)
    best = fmax(best, bound_at(all, count, todo, 0, 1, both.items[b]));
  return best;
}

double pc_bound_crew_from_s(const pc_lot *lot, const double *start_m, double mass_kg, double haul_kgm,
                            double area_m2) {
  const work todo = {mass_kg, haul_kgm, area_m2};
  rates all[PC_MACHINES_MAX] = {{0}};
  for (size_t m = 0; m < lot->machine_count; m++)
    all[m] = rates_of(lot, m, start_m[m]);
  return best_bound(all, lot->machine_count, &todo);
}

double pc_bound_crew_s(const pc_lot *lot, double mass_kg, double haul_kgm, double area_m2) {
  double start_m[PC_MACHINES_MAX];
  for (size_t m = 0; m < lot->machine_count; m++)
    start_m[m] = pc_bound_start_way_m(lot, m);
  return pc_bound_crew_from_s(lot, start_m, mass_kg, haul_kgm, area_m2);
}

double pc_bound_crew_in_s(const pc_lot *lot, size_t area, double mass_kg, double haul_kgm, double area_m2) {
  const work todo = {mass_kg, haul_kgm, area_m2};
  rates all[PC_MACHINES_MAX] = {{0}};
  size_t count = 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].allowed[area])
      all[count++] = rates_of(lot, m, pc_bound_start_way_m(lot, m));
  return best_bound(all, count, &todo);
}
