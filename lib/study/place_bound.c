// SPDX-License-Identifier: GPL-3.0-or-later
/* What no choice of so many places can beat: docs/place.md has the proof. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/bound_private.h"
#include "study/place_private.h"
#include "study/pmedian.h"

enum { NODES = 16 }; /* of the search: cut short, its bound holds all the same */

/* ---- mass × way ---- */

typedef struct near_block {
  double way_m, kg;
} near_block;

static int farthest_first(const void *a, const void *b) {
  double x = ((const near_block *)a)->way_m, y = ((const near_block *)b)->way_m;
  return (x < y) - (x > y);
}

static double nearest_m(const pc_place_snow *snow, size_t block, const size_t *sites, size_t count) {
  double least = INFINITY;
  for (size_t k = 0; k < count; k++)
    least = fmin(least, snow->low_m[block * snow->sites + sites[k]]);
  return least;
}

/* How far the nearest of the snow lies that a good choice leaves. */
static pc_status find_edge(const pc_place_snow *snow, const pc_place_choice *known, double left_kg,
                           double *edge_m) {
  near_block *list = pc_alloc(snow->blocks, sizeof *list);
  if (!list)
    return PC_ERR_MEMORY;
  for (size_t b = 0; b < snow->blocks; b++)
    list[b] = (near_block){nearest_m(snow, b, known->sites, known->count), snow->kg[b]};
  qsort(list, snow->blocks, sizeof *list, farthest_first);
  *edge_m = snow->blocks > 0 ? list[0].way_m : 0.0;
  for (size_t b = 0; b < snow->blocks && left_kg >= 0.0; b++) {
    *edge_m = list[b].way_m;
    left_kg -= list[b].kg;
  }
  free(list);
  return PC_OK;
}

/* For any edge, Σ m·min(d, edge) − left·edge is no more than Σ m·d over what is not left. */
static pc_status haul_with_edge(const pc_place_snow *snow, const pc_placement *placement, size_t zones,
                                double left_kg, double edge_m, double *haul_kgm) {
  size_t cells = snow->blocks * snow->sites;
  double *cost = pc_alloc(cells, sizeof *cost);
  bool *fixed = pc_alloc(snow->sites, sizeof *fixed);
  size_t chosen[PC_PLACE_MAX];
  pc_pmedian_answer answer = {0};
  pc_status status = cost && fixed ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < cells && status == PC_OK; i++)
    cost[i] = snow->kg[i / snow->sites] * fmin(edge_m, snow->low_m[i]);
  for (size_t z = 0; z < snow->sites && status == PC_OK; z++)
    fixed[z] = placement->sites[z].kept;
  const pc_pmedian problem = {cost, snow->blocks, snow->sites, zones, fixed, NODES};
  if (status == PC_OK)
    status = pc_pmedian_solve(&problem, chosen, &answer);
  if (status == PC_OK)
    *haul_kgm = fmax(*haul_kgm, answer.bound * (1.0 - 1e-9) - left_kg * edge_m);
  free(cost);
  free(fixed);
  return status;
}

static pc_status least_haul(const pc_place_snow *snow, const pc_placement *placement, size_t zones,
                            const pc_place_choice *known, double left_kg, double *haul_kgm) {
  static const double parts[] = {1.0, 0.9};
  double edge_m = 0.0;
  *haul_kgm = 0.0;
  for (size_t i = 0; !known && i < snow->blocks * snow->sites; i++)
    edge_m = fmax(edge_m, snow->low_m[i]);
  pc_status status = known ? find_edge(snow, known, left_kg, &edge_m) : PC_OK;
  for (size_t i = 0; i < sizeof parts / sizeof *parts && status == PC_OK; i++)
    status = haul_with_edge(snow, placement, zones, left_kg, parts[i] * edge_m, haul_kgm);
  return status;
}

/* ---- time ---- */

static int falling(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x < y) - (x > y);
}

/* Sum of the `count` largest, or the last of them. */
static pc_status largest(const double *values, size_t all, size_t count, double *sum, double *last) {
  double *sorted = pc_copy(values, all, sizeof *values);
  if (!sorted)
    return PC_ERR_MEMORY;
  qsort(sorted, all, sizeof *sorted, falling);
  *sum = 0.0;
  for (size_t i = 0; i < count && i < all; i++) {
    *sum += sorted[i];
    *last = sorted[i];
  }
  free(sorted);
  return PC_OK;
}

typedef struct least_work {
  double mass_kg, haul_kgm, area_m2;
} least_work;

/* The plain form of the bound, every machine credited with the best figure of any. */
static double plain_s(const pc_lot *lot, const double *start_m, const least_work *todo) {
  const pc_bound_best best = pc_bound_best_of(lot);
  double starts = 0.0, machines = (double)lot->machine_count;
  for (size_t m = 0; m < lot->machine_count; m++)
    starts += start_m[m];
  if (!(best.load_kg > 0.0))
    return 0.0;
  pc_bound bound = {.mass_kg = todo->mass_kg,
                    .loaded_m = todo->haul_kgm / best.load_kg,
                    .sweep_m = todo->area_m2 / best.swath_m};
  pc_bound_plain(&best, machines, starts, &bound);
  double sum = bound.fixed_s + bound.push_s;
  sum += bound.carry_s + bound.empty_s;
  return sum / machines;
}

pc_status pc_place_bound(const pc_lot *lot, const pc_place_snow *snow, const pc_placement *placement,
                         size_t zones, const pc_place_choice *known, double left_kg, pc_place_step *step) {
  double covered_kg = 0.0, covered_m2 = 0.0, unused, start_m[PC_MACHINES_MAX];
  pc_status status = least_haul(snow, placement, zones, known, left_kg, &step->least_haul_kgm);
  if (status == PC_OK)
    status = largest(snow->covered_kg, snow->sites, zones, &covered_kg, &unused);
  if (status == PC_OK)
    status = largest(snow->covered_m2, snow->sites, zones, &covered_m2, &unused);
  /* the nearest of so many places is no farther than the one of that rank */
  for (size_t m = 0; m < lot->machine_count && status == PC_OK; m++)
    status = largest(&snow->start_m[m * snow->sites], snow->sites, zones, &unused, &start_m[m]);
  if (status != PC_OK)
    return status;
  const least_work todo = {fmax(0.0, snow->all_kg - covered_kg - left_kg), step->least_haul_kgm,
                           fmax(0.0, snow->all_m2 - covered_m2 - left_kg / snow->kgpm2)};
  double least = fmax(plain_s(lot, start_m, &todo),
                      pc_bound_crew_from_s(lot, start_m, todo.mass_kg, todo.haul_kgm, todo.area_m2));
  step->bound_s = fmax(pc_lot_clock_s(lot, least), pc_bound_storm_s(lot));
  return PC_OK;
}
