// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/bound_private.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "sim/policy.h"
#include "site/routes.h"

enum { PARTS = 8, SEARCH = 12, MANY_ZONES = 64, PRICES = 24 };

typedef struct sample { /* snow at one place: the least way from where a box can take it up, and how much of a
                           metre pushed there can count towards a zone */
  double way_m, toward, kg;
} sample;

static double way_to_zone_m(const pc_lot *lot, pc_point from, size_t z) {
  const pc_place place = pc_place_at(from);
  pc_way way;
  pc_routes_to_zone(lot->routes, &place, z, &way);
  return way.length_m;
}

/* Least way to a zone from anywhere within `half` to the side of (u, v): the way is convex along that line
 * for each zone, so golden-section search finds it. */
static double least_way_m(const pc_lot *lot, const pc_patch *patch, double u_m, double v_m, double half,
                          size_t z) {
  static const double golden = 0.61803398874989485;
  if (half <= 0.0)
    return way_to_zone_m(lot, pc_patch_world(patch, u_m, v_m), z);
  double a = v_m - half, b = v_m + half, c = b - golden * (b - a), d = a + golden * (b - a);
  double at_c = way_to_zone_m(lot, pc_patch_world(patch, u_m, c), z);
  double at_d = way_to_zone_m(lot, pc_patch_world(patch, u_m, d), z);
  for (int i = 0; i < SEARCH; i++) {
    if (at_c < at_d) {
      b = d, d = c, at_d = at_c, c = b - golden * (b - a);
      at_c = way_to_zone_m(lot, pc_patch_world(patch, u_m, c), z);
    } else {
      a = c, c = d, at_c = at_d, d = a + golden * (b - a);
      at_d = way_to_zone_m(lot, pc_patch_world(patch, u_m, d), z);
    }
  }
  return fmin(at_c, at_d) - (b - a); /* the way changes by no more than the place does */
}

/* The same around obstacles. Snow where this lane set's machines
 * can't stand may be anyone's: no way at all is sure. */
static double net_way_m(const pc_lot *lot, const pc_lane *lane, double u_m, double reach_m, size_t z) {
  const pc_slot_way *slot =
      pc_lot_slot_way(&lot->lane_sets[0], &lot->ground->patches[lane->patch], lane, u_m);
  if (slot->node == PC_NO_NODE)
    return 0.0;
  /* exact at the nodes on either side, and no shorter here than there less the distance */
  pc_place low = {pc_lane_point(lot, lane, slot->low_m), slot->node, 0.0};
  pc_place high = {pc_lane_point(lot, lane, slot->high_m), slot->node + (slot->high_m > slot->low_m), 0.0};
  pc_way from_low, from_high;
  pc_routes_to_zone(lot->routes, &low, z, &from_low);
  pc_routes_to_zone(lot->routes, &high, z, &from_high);
  double way =
      fmax(from_low.length_m - fabs(u_m - slot->low_m), from_high.length_m - fabs(u_m - slot->high_m));
  return fmax(0.0, way - reach_m);
}

/* Most that the way to the nearest zone can change per metre along u, over places within `half` to the side
 * and half a `part` along: for each zone that can be the nearest there, |du| / way with du at its largest and
 * the sideways part at its least. */
static double most_toward(const pc_lot *lot, const pc_patch *patch, double u_m, double v_m, double half,
                          double part) {
  double ways[MANY_ZONES], nearest = INFINITY, most = 0.0;
  if (lot->zone_count > MANY_ZONES || lot->lane_sets[0].slot_ways)
    return 1.0; /* around obstacles it depends on the corner that is next */
  pc_point middle = pc_patch_world(patch, u_m, v_m);
  for (size_t z = 0; z < lot->zone_count; z++) {
    ways[z] = way_to_zone_m(lot, middle, z);
    nearest = fmin(nearest, ways[z]);
  }
  for (size_t z = 0; z < lot->zone_count; z++) {
    double u, v;
    if (ways[z] > nearest + 2.0 * (half + part))
      continue;
    if (lot->zones[z].outline.count > 0)
      return 1.0; /* the nearest point of an outline moves along with the machine: no simple limit */
    pc_patch_local(patch, lot->zones[z].at, &u, &v);
    double du = fabs(u - u_m) + 0.5 * part, dv = fmax(0.0, fabs(v - v_m) - half);
    most = fmax(most, du / sqrt(du * du + dv * dv));
  }
  return most;
}

static int farther_first(const void *a, const void *b) {
  double x = ((const sample *)a)->way_m, y = ((const sample *)b)->way_m;
  return (x < y) - (x > y);
}

static int more_toward_first(const void *a, const void *b) {
  double x = ((const sample *)a)->toward, y = ((const sample *)b)->toward;
  return (x < y) - (x > y);
}

static bool has_blade(const pc_lot *lot, int patch) {
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].unit.box.blade != PC_BLADE_NONE && lot->machines[m].allowed[patch])
      return true;
  return false;
}

/* A blade may lay the snow of its area anywhere in it, and over into another one, without carrying it: all as
 * near as the nearest. `begins`: the first sample of each patch, and the end. */
static void level_patches(const pc_lot *lot, const size_t *begins, sample *samples) {
  for (size_t p = 0; p < lot->area_count; p++) {
    double least = INFINITY;
    if (!has_blade(lot, (int)p))
      continue;
    for (int from = (int)p; from >= 0; from = has_blade(lot, from) ? lot->areas[from].into : -1)
      for (size_t i = begins[from]; i < begins[from + 1]; i++)
        least = fmin(least, samples[i].way_m);
    for (size_t i = begins[p]; i < begins[p + 1]; i++)
      samples[i].way_m = least;
  }
}

static size_t take_samples(const pc_lot *lot, double swath_m, sample *samples, size_t *begins) {
  const pc_lane_set *set = &lot->lane_sets[0];
  size_t count = 0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    if (l == set->patch_lane[lane->patch])
      begins[lane->patch] = count;
    double part = patch->station_m / PARTS;
    /* with one set of lanes its snow is taken up on the centre line; other lanes may lie across it */
    double reach = lot->lane_set_count > 1 ? 0.5 * (lane->width_m + swath_m) : 0.0;
    for (size_t i = 0; i < (size_t)lane->stations * PARTS; i++) {
      size_t slot = lane->first + i / PARTS;
      double kg = (set->slot_kg[slot] + lot->fall_kgpm2 * set->slot_cells_m2[slot]) / PARTS, way = INFINITY;
      if (kg <= 0.0)
        continue;
      double u = patch->u0_m + ((double)i + 0.5) * part;
      for (size_t z = 0; z < lot->zone_count; z++)
        way = fmin(way, set->slot_ways ? net_way_m(lot, lane, u, reach, z)
                                       : least_way_m(lot, patch, u, lane->v_m, reach, z));
      samples[count++] =
          (sample){fmax(0.0, way - 0.5 * part), most_toward(lot, patch, u, lane->v_m, reach, part), kg};
    }
  }
  begins[lot->area_count] = count;
  level_patches(lot, begins, samples);
  return count;
}

/* Σ m·d over all snow but the left_kg that lie farthest. */
static double haul_kgm(sample *samples, size_t count, double left_kg) {
  qsort(samples, count, sizeof *samples, farther_first);
  pc_sum sum = {0};
  for (size_t i = 0; i < count; i++) {
    double left = fmin(left_kg, samples[i].kg);
    left_kg -= left;
    pc_sum_add(&sum, (samples[i].kg - left) * samples[i].way_m);
  }
  return pc_sum_value(&sum);
}

/* The x-th highest (0 … 1) of |a·q − b| over fill ratios q spread evenly over 0 … 1. */
static double ranked_saving(double x, double a, double b) {
  double edge = fabs(a - 2.0 * b) / a; /* so far only one of the two branches counts */
  return x < edge ? fmax(b, a - b) - a * x : 0.5 * a * (1.0 - x);
}

/* What pushing itself can save of the carrying and the driving empty, s. A metre pushed at fill ratio q saves
 * at most toward·|a·q − b|, a = 1/v_carry + 1/v_empty, b = 1/v_empty; with full loads q is spread evenly over
 * the metres pushed, so the most is got by pairing the highest of both (docs/bound.md shows why part loads,
 * which come with more dumps, save less than they cost). */
static double pushing_saves_s(const sample *samples, size_t count, double sweep_m, double a, double b) {
  pc_sum all = {0}, saved = {0};
  for (size_t i = 0; i < count; i++)
    pc_sum_add(&all, samples[i].kg);
  double x = 0.0;
  for (size_t i = 0; i < count; i++) {
    double share = samples[i].kg / pc_sum_value(&all);
    pc_sum_add(&saved, samples[i].toward * share * ranked_saving(fmin(x, 1.0), a, b));
    x += share;
  }
  return pc_sum_value(&saved) * sweep_m;
}

/* Least way at push speed: every lane has to be swept along its length, or every point by the widest swath if
 * boxes of several widths work; less what may be left. Also the narrowest lane. */
static double sweep_way_m(const pc_lot *lot, double left_m2, double swath_m, double *narrowest_m) {
  *narrowest_m = swath_m;
  pc_sum way = {0};
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    for (size_t l = 0; l < set->lane_count; l++) {
      const pc_lane *lane = &set->lanes[l];
      *narrowest_m = fmin(*narrowest_m, lane->width_m);
      for (size_t k = lane->first; s == 0 && k < lane->first + (size_t)lane->stations; k++)
        pc_sum_add(&way, set->slot_m2[k] / (lot->lane_set_count > 1 ? swath_m : lane->width_m));
    }
  }
  return fmax(0.0, pc_sum_value(&way) - left_m2 / *narrowest_m);
}

double pc_bound_start_way_m(const pc_lot *lot, size_t machine) {
  double way = INFINITY;
  for (size_t z = 0; z < lot->zone_count; z++)
    way = fmin(way, way_to_zone_m(lot, lot->machines[machine].start, z));
  return way;
}

static double start_way_m(const pc_lot *lot) {
  double sum = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++)
    sum += pc_bound_start_way_m(lot, m);
  return sum;
}

double pc_bound_storm_s(const pc_lot *lot) {
  bool stays = false;
  for (size_t m = 0; m < lot->machine_count; m++)
    stays |= !(lot->machines[m].until_s < lot->storm_end_s); /* NaN: to the end */
  return stays ? pc_lot_clock_s(lot, lot->storm_end_s) : 0.0;
}

static double crew_time_s(const pc_lot *lot, double machine_s) {
  return pc_lot_clock_s(lot, machine_s / (double)lot->machine_count);
}

/* Least of turning and priced way for snow that has to move `aside_m` across the lanes: the minimum over the
 * way w of (2·turn/π)·asin(aside/w) + price·w. */
static double turn_and_way_s(double turn_s, double aside_m, double price) {
  static const double pi = 3.14159265358979323846;
  if (aside_m <= 0.0 || turn_s <= 0.0)
    return 0.0;
  double k = 2.0 * turn_s * aside_m / (pi * price), b2 = aside_m * aside_m;
  double way = sqrt(0.5 * (b2 + sqrt(b2 * b2 + 4.0 * k * k)));
  return fmin(turn_s, 2.0 * turn_s / pi * asin(fmin(1.0, aside_m / way)) + price * way);
}

/* How far a lane lies beside the nearest zone, measured across the lanes. */
static double aside_m(const pc_lot *lot, const pc_patch *patch, double v_m) {
  double least = INFINITY;
  for (size_t z = 0; z < lot->zone_count; z++) {
    const pc_ring *ring = &lot->zones[z].outline;
    double low = INFINITY, high = -INFINITY, u, v;
    for (size_t i = 0; i < (ring->count > 0 ? ring->count : 1); i++) {
      pc_patch_local(patch, ring->count > 0 ? ring->points[i] : lot->zones[z].at, &u, &v);
      low = fmin(low, v);
      high = fmax(high, v);
    }
    least = fmin(least, fmax(0.0, fmax(low - v_m, v_m - high)));
  }
  return least;
}

/* Σ over loads of the above; 0 where boxes of several widths or lanes of several headings leave no simple
 * axis. */
static double turning_s(const pc_lot *lot, const pc_bound_best *best, double left_kg, double price) {
  const pc_lane_set *set = &lot->lane_sets[0];
  if (lot->lane_set_count > 1 || lot->ground->patch_count > 1 || price <= 0.0)
    return 0.0;
  pc_sum sum = {0};
  double most = 0.0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    double each = turn_and_way_s(best->turn_s, aside_m(lot, &lot->ground->patches[0], lane->v_m), price);
    most = fmax(most, each);
    for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++)
      pc_sum_add(&sum, set->slot_kg[k] * each);
  }
  double last = 0.5 * best->turn_s * (double)lot->machine_count; /* nobody turns away from the last dump */
  return (pc_sum_value(&sum) - left_kg * most) / best->load_kg - last;
}

/* All the hauling at carry speed and all the driving back empty, less what pushing can save of both, plus
 * turns. Every price per metre between 0 and that of carrying gives a bound: the best of some is taken. */
static double tight_time_s(const pc_lot *lot, const pc_bound_best *best, sample *samples, size_t count,
                           double full_m, double left_kg, const pc_bound *bound) {
  double tightest = 0.0;
  qsort(samples, count, sizeof *samples, more_toward_first);
  for (int i = 0; i < PRICES; i++) {
    double price = (double)i / PRICES / best->carry_mps, carry = 1.0 / best->carry_mps - price;
    double b = 1.0 / best->empty_mps, a = carry + b;
    if (0.5 * b * (b / a) * full_m > best->lower_s + best->dump_s)
      continue; /* small loads might then pay: the argument needs a load to cost more than it saves */
    double saved = pushing_saves_s(samples, count, bound->sweep_m, a, b);
    double haul = bound->loaded_m * carry + (bound->whole_m - bound->loaded_m) / best->empty_mps;
    double turns = fmax(0.0, turning_s(lot, best, left_kg, price));
    tightest = fmax(tightest, crew_time_s(lot, bound->fixed_s + bound->push_s + haul - saved + turns));
  }
  return tightest;
}

/* All but the plain form know only snow that is met where it lay at the start: none that falls later, or that
 * was laid aside by a blade, carved out, or pushed into a row by a full box on its way along an uncleared
 * lane. building-out does that as a rule; of a policy that is not ours nothing is known. */
static bool meets_snow_as_it_fell(const pc_lot *lot) {
  static const char *const policies[] = {"keep-pushing", "planned", "straight-runs"};
  bool known = false;
  for (size_t i = 0; i < sizeof policies / sizeof *policies; i++)
    known |= strcmp(lot->policy->name, policies[i]) == 0;
  return known && lot->fall_kgpm2 <= 0.0 && !lot->has_blades && !lot->has_carving;
}

pc_status pc_bound_make(const pc_lot *lot, double left_kg, pc_bound *bound) {
  *bound = (pc_bound){0};
  pc_bound_best best = pc_bound_best_of(lot);
  double all_kg = pc_lot_snow_kg(lot);
  bound->mass_kg =
      all_kg - left_kg > 1e-9 * all_kg ? all_kg - left_kg : 0.0; /* less is rounding, and no load */
  if (best.load_kg <= 0.0 || lot->zone_count == 0 || bound->mass_kg <= 0.0)
    return PC_OK;
  sample *samples = pc_alloc_grid(lot->lane_sets[0].slot_count, PARTS, sizeof *samples);
  size_t *begins = pc_alloc(lot->area_count + 1, sizeof *begins);
  if (!samples || !begins) {
    free(samples);
    free(begins);
    return PC_ERR_MEMORY;
  }
  size_t count = take_samples(lot, best.swath_m, samples, begins);
  free(begins);
  double kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3 + lot->fall_kgpm2;
  bound->loaded_m = haul_kgm(samples, count, left_kg) / best.load_kg;
  double narrowest_m;
  bound->sweep_m = sweep_way_m(lot, left_kg / kgpm2, best.swath_m, &narrowest_m);
  double full_m = best.load_kg / (kgpm2 * narrowest_m);
  pc_bound_plain(&best, (double)lot->machine_count, start_way_m(lot), bound);
  bound->plain_s = crew_time_s(lot, bound->fixed_s + bound->push_s + bound->carry_s + bound->empty_s);
  /* where all share lanes it is their length that counts, whatever a box covers beyond them */
  double area_m2 = bound->sweep_m * (lot->lane_set_count > 1 ? best.swath_m : best.least_swath_m);
  double crew_s = pc_bound_crew_s(lot, bound->mass_kg, bound->loaded_m * best.load_kg, area_m2);
  bound->plain_s = fmax(bound->plain_s, pc_lot_clock_s(lot, crew_s));
  bound->time_s = fmax(bound->plain_s, pc_bound_storm_s(lot));
  bool as_it_fell = meets_snow_as_it_fell(lot);
  if (as_it_fell)
    bound->time_s = fmax(bound->time_s, tight_time_s(lot, &best, samples, count, full_m, left_kg, bound));
  free(samples);
  double cycles_s = 0.0;
  pc_status status = as_it_fell ? pc_bound_cycles_s(lot, bound->mass_kg, left_kg, &cycles_s) : PC_OK;
  bound->time_s = fmax(bound->time_s, crew_time_s(lot, cycles_s));
  return status;
}
