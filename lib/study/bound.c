// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/bound.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"

enum { PARTS = 8, SEARCH = 40 };

typedef struct sample { /* snow at one place and the least way from where a box can take it up */
  double way_m, kg;
} sample;

/* Least way to a zone from anywhere within `half` to the side of (u, v): the way is convex along that line
 * for each zone, so golden-section search finds it. */
static double least_way_m(const pc_lot *lot, const pc_patch *patch, double u_m, double v_m, double half) {
  static const double golden = 0.61803398874989485;
  double best = INFINITY;
  for (size_t z = 0; z < lot->zone_count; z++) {
    double a = v_m - half, b = v_m + half, c = b - golden * (b - a), d = a + golden * (b - a);
    double at_c = pc_routes_to_zone(lot->routes, pc_patch_world(patch, u_m, c), z, NULL);
    double at_d = pc_routes_to_zone(lot->routes, pc_patch_world(patch, u_m, d), z, NULL);
    for (int i = 0; i < SEARCH; i++) {
      if (at_c < at_d) {
        b = d, d = c, at_d = at_c, c = b - golden * (b - a);
        at_c = pc_routes_to_zone(lot->routes, pc_patch_world(patch, u_m, c), z, NULL);
      } else {
        a = c, c = d, at_c = at_d, d = a + golden * (b - a);
        at_d = pc_routes_to_zone(lot->routes, pc_patch_world(patch, u_m, d), z, NULL);
      }
    }
    best = fmin(best, fmin(at_c, at_d));
  }
  return best;
}

static int farther_first(const void *a, const void *b) {
  double x = ((const sample *)a)->way_m, y = ((const sample *)b)->way_m;
  return (x < y) - (x > y);
}

/* Σ m·d over all snow but the left_kg that lie farthest. */
static pc_status haul_kgm(const pc_lot *lot, double half, double left_kg, double *sum_kgm) {
  const pc_lane_set *set = &lot->lane_sets[0];
  size_t count = 0;
  sample *samples = pc_alloc(set->slot_count * PARTS, sizeof *samples);
  if (!samples)
    return PC_ERR_MEMORY;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    double part = patch->station_m / PARTS;
    for (int i = 0; i < lane->stations; i++) {
      double kg = set->slot_kg[lane->first + (size_t)i];
      for (int k = 0; kg > 0.0 && k < PARTS; k++) {
        double u = patch->u0_m + i * patch->station_m + (k + 0.5) * part;
        /* the lane's own width is added to the reach: its snow lies up to half of it beside the centre line */
        double way = least_way_m(lot, patch, u, lane->v_m, half + 0.5 * lane->width_m) - 0.5 * part;
        samples[count++] = (sample){fmax(0.0, way), kg / PARTS};
      }
    }
  }
  qsort(samples, count, sizeof *samples, farther_first);
  pc_sum sum = {0};
  for (size_t i = 0; i < count; i++) {
    double left = fmin(left_kg, samples[i].kg);
    left_kg -= left;
    pc_sum_add(&sum, (samples[i].kg - left) * samples[i].way_m);
  }
  free(samples);
  *sum_kgm = pc_sum_value(&sum);
  return PC_OK;
}

typedef struct best_crew { /* the best of each figure over the machines */
  double load_kg, swath_m, push_mps, carry_mps, empty_mps, lower_s, raise_s, dump_s;
} best_crew;

static best_crew best_of(const pc_lot *lot) {
  best_crew best = {0.0, 0.0, 0.0, 0.0, 0.0, INFINITY, INFINITY, INFINITY};
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_unit *unit = &lot->machines[m].unit;
    const pc_loader *loader = &unit->loader;
    if (unit->capacity_kg <= 0.0)
      continue;
    best.load_kg = fmax(best.load_kg, lot->full_at * unit->capacity_kg);
    best.swath_m = fmax(best.swath_m, unit->swath_m);
    best.push_mps = fmax(best.push_mps, loader->push_speed_mps);
    best.carry_mps = fmax(best.carry_mps, fmax(loader->push_speed_mps, loader->carry_speed_mps));
    best.empty_mps = fmax(best.empty_mps, fmax(loader->return_speed_mps, loader->reverse_speed_mps));
    best.lower_s = fmin(best.lower_s, loader->lower_s);
    best.raise_s = fmin(best.raise_s, loader->raise_s);
    best.dump_s = fmin(best.dump_s, loader->dump_s);
  }
  best.empty_mps = fmax(best.empty_mps, best.carry_mps);
  return best;
}

static double start_way_m(const pc_lot *lot) {
  double sum = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++) {
    double way = INFINITY;
    for (size_t z = 0; z < lot->zone_count; z++)
      way = fmin(way, pc_routes_to_zone(lot->routes, lot->machines[m].start, z, NULL));
    sum += way;
  }
  return sum;
}

pc_status pc_bound_make(const pc_lot *lot, double left_kg, pc_bound *bound) {
  *bound = (pc_bound){0};
  best_crew best = best_of(lot);
  bound->mass_kg = fmax(0.0, lot->start_kg - left_kg);
  if (best.load_kg <= 0.0 || lot->zone_count == 0 || bound->mass_kg <= 0.0)
    return PC_OK;
  double sum_kgm;
  pc_status status = haul_kgm(lot, 0.5 * best.swath_m - 0.5 * lot->lane_sets[0].lanes[0].width_m, left_kg, &sum_kgm);
  if (status != PC_OK)
    return status;
  double machines = (double)lot->machine_count, kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3;
  bound->loads = ceil(bound->mass_kg / best.load_kg * (1.0 - 1e-9));
  bound->loaded_m = sum_kgm / best.load_kg;
  bound->whole_m = fmax(0.0, 2.0 * bound->loaded_m - start_way_m(lot));
  bound->sweep_m = bound->mass_kg / kgpm2 / best.swath_m;
  bound->fixed_s = bound->loads * (best.lower_s + best.dump_s) + fmax(0.0, bound->loads - machines) * best.raise_s;
  bound->push_s = bound->sweep_m / best.push_mps;
  bound->carry_s = fmax(0.0, bound->loaded_m - bound->sweep_m) / best.carry_mps;
  bound->empty_s = fmax(0.0, bound->whole_m - fmax(bound->loaded_m, bound->sweep_m)) / best.empty_mps;
  bound->time_s = (bound->fixed_s + bound->push_s + bound->carry_s + bound->empty_s) / machines *
                  (60.0 / lot->work_minutes_per_hour);
  return PC_OK;
}
