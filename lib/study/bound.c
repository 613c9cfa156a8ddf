// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/bound_private.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "site/routes.h"

enum { PARTS = 8, SEARCH = 12, PRICES = 24 };

/* All of the lot, or what is tied to the machines that may work in one area: that area and those where no
 * other machine may work, but none whose snow may be brought into another area, where others take it up.
 * Counted by the lanes of one set. */
typedef struct share {
  size_t of_area; /* PC_NO_ENTRY: all */
  size_t lane_set;
} share;

static bool is_in(const pc_lot *lot, const share *of, size_t area) {
  if (of->of_area == PC_NO_ENTRY)
    return true;
  bool in = lot->areas[area].into < 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    in &= !lot->machines[m].allowed[area] || lot->machines[m].allowed[of->of_area];
  return in;
}

typedef struct sample { /* snow at one place: the least way from where a box can take it up */
  double way_m, kg;
} sample;

static double way_to_zone_m(const pc_lot *lot, pc_point from, size_t z) {
  const pc_place place = pc_place_at(from);
  pc_way way;
  pc_routes_to_zone(lot->routes, &place, z, &way);
  return way.length_m;
}

/* Least way to a zone from anywhere between (u, a) and (u, b): the way is convex along that line for each
 * zone, so golden-section search finds it. */
static double least_way_m(const pc_lot *lot, const pc_patch *patch, double u_m, double a, double b,
                          size_t z) {
  static const double golden = 0.61803398874989485;
  if (b <= a)
    return way_to_zone_m(lot, pc_patch_world(patch, u_m, a), z);
  double c = b - golden * (b - a), d = a + golden * (b - a);
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

/* Ways to every zone from the two nodes that were asked for last: a slot lies between two, and the next slot
 * begins where it ends. */
typedef struct node_ways {
  double *length_m; /* of the one node, then of the other */
  size_t nodes[2], last;
} node_ways;

/* Nodes are those of the set by which stock is taken: of others there are places alone. */
static const double *ways_from(const pc_lot *lot, const pc_lane_set *set, pc_point at, size_t node,
                               node_ways *known) {
  bool has_nodes = set == &lot->lane_sets[lot->bound_set];
  const pc_place place = {at, has_nodes ? node : PC_NO_NODE, 0.0};
  for (size_t k = 0; k < 2; k++)
    if (known->nodes[k] == node) {
      known->last = k;
      return known->length_m + k * lot->zone_count;
    }
  known->last = 1 - known->last;
  known->nodes[known->last] = node;
  double *length_m = known->length_m + known->last * lot->zone_count;
  for (size_t z = 0; z < lot->zone_count; z++) {
    pc_way way;
    pc_routes_to_zone(lot->routes, &place, z, &way);
    length_m[z] = way.length_m;
  }
  return length_m;
}

/* The same around obstacles, to the nearest zone. Snow where this lane set's machines
 * can't stand may be anyone's: no way at all is sure. */
static double net_way_m(const pc_lot *lot, const pc_lane_set *set, const pc_lane *lane, double u_m,
                        double reach_m, node_ways *known) {
  const pc_slot_way *slot = pc_lot_slot_way(set, &lot->ground->patches[lane->patch], lane, u_m);
  double least = INFINITY;
  if (slot->node == PC_NO_NODE)
    return 0.0;
  /* exact at the nodes on either side, and no shorter here than there less the distance */
  const double *low = ways_from(lot, set, pc_lane_point(lot, lane, slot->low_m), slot->node, known);
  size_t next = slot->node + (slot->high_m > slot->low_m);
  const double *high = ways_from(lot, set, pc_lane_point(lot, lane, slot->high_m), next, known);
  for (size_t z = 0; z < lot->zone_count; z++) {
    double way = fmax(low[z] - fabs(u_m - slot->low_m), high[z] - fabs(u_m - slot->high_m));
    least = fmin(least, fmax(0.0, way - reach_m));
  }
  return least;
}

/* Where a zone lies along and across a patch. */
typedef struct span {
  double u_low, u_high, v_low, v_high;
} span;

static span span_of(const pc_lot *lot, const pc_patch *patch, size_t z) {
  const pc_ring *ring = &lot->zones[z].outline;
  span s = {INFINITY, -INFINITY, INFINITY, -INFINITY};
  for (size_t i = 0; i < (ring->count > 0 ? ring->count : 1); i++) {
    double u, v;
    pc_patch_local(patch, ring->count > 0 ? ring->points[i] : lot->zones[z].at, &u, &v);
    s = (span){fmin(s.u_low, u), fmax(s.u_high, u), fmin(s.v_low, v), fmax(s.v_high, v)};
  }
  return s;
}

bool pc_bound_slants(const pc_lot *lot, const pc_patch *patch, size_t z, double u_m, double v_m, double half,
                     double part) {
  if (lot->lane_sets[0].slot_ways)
    return true; /* a way around something may begin in any direction */
  span s = span_of(lot, patch, z);
  double along = fmax(fabs(u_m - s.u_low), fabs(u_m - s.u_high)) + 0.5 * part;
  return fmax(s.v_low - v_m, v_m - s.v_high) - half <= 0.5 * along;
}

static int farther_first(const void *a, const void *b) {
  double x = ((const sample *)a)->way_m, y = ((const sample *)b)->way_m;
  return (x < y) - (x > y);
}

/* A blade may lay the snow of its area anywhere in it, and over into another one, without carrying it: all as
 * near as the nearest. `begins`: the first sample of each patch, and the end. */
static void level_patches(const pc_lot *lot, const size_t *begins, sample *samples) {
  for (size_t p = 0; p < lot->area_count; p++) {
    double least = INFINITY;
    if (pc_lot_blade_of(lot, p) == PC_NO_ENTRY)
      continue;
    for (int from = (int)p; from >= 0;
         from = pc_lot_blade_of(lot, (size_t)from) != PC_NO_ENTRY ? lot->areas[from].into : -1)
      for (size_t i = begins[from]; i < begins[from + 1]; i++)
        least = fmin(least, samples[i].way_m);
    for (size_t i = begins[p]; i < begins[p + 1]; i++)
      samples[i].way_m = least;
  }
}

/* How far to either side of a lane its snow may be taken up. With one set of lanes that is in its middle, or
 * within it on a slant to a zone; lanes of other sets may lie across it. A zone that is so much farther than
 * the nearest that the longer way outweighs what was gained sideways does not count. */
static void beside(const pc_lot *lot, const pc_lane *lane, double u_m, double part, double swath_m,
                   double *low_m, double *high_m) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  bool several = lot->lane_set_count > 1;
  double half = 0.5 * (several ? swath_m : lane->width_m), nearest = INFINITY;
  double across = several ? 0.5 * lane->width_m + half : 0.0;
  bool around = lot->lane_sets[0].slot_ways;
  *low_m = *high_m = around ? across + half : across;
  pc_point at = pc_patch_world(patch, u_m, lane->v_m);
  for (size_t z = 0; z < lot->zone_count && !around; z++)
    nearest = fmin(nearest, way_to_zone_m(lot, at, z));
  for (size_t z = 0; z < lot->zone_count && !around; z++) {
    if (!pc_bound_slants(lot, patch, z, u_m, lane->v_m, across + half, part) ||
        way_to_zone_m(lot, at, z) > nearest + 4.0 * (across + half))
      continue;
    span s = span_of(lot, patch, z);
    *low_m = fmax(*low_m, across + fmin(half, lane->v_m + across - s.v_low));
    *high_m = fmax(*high_m, across + fmin(half, s.v_high - lane->v_m + across));
  }
}

/* `known` has room for the ways from two nodes. */
static size_t take_samples(const pc_lot *lot, const share *of, double swath_m, sample *samples,
                           size_t *begins, node_ways *known) {
  const pc_lane_set *set = &lot->lane_sets[of->lane_set];
  size_t count = 0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    if (l == set->patch_lane[lane->patch])
      begins[lane->patch] = count;
    if (!is_in(lot, of, (size_t)lane->patch))
      continue;
    double part = patch->station_m / PARTS;
    for (size_t i = 0; i < (size_t)lane->stations * PARTS; i++) {
      size_t slot = lane->first + i / PARTS;
      double kg = (set->slot_kg[slot] + lot->fall_kgpm2 * set->slot_cells_m2[slot]) / PARTS, way = INFINITY;
      if (kg <= 0.0)
        continue;
      double u = patch->u0_m + ((double)i + 0.5) * part, low, high;
      beside(lot, lane, u, part, swath_m, &low, &high);
      if (set->slot_ways)
        way = net_way_m(lot, set, lane, u, high, known);
      for (size_t z = 0; z < lot->zone_count && !set->slot_ways; z++)
        way = fmin(way, least_way_m(lot, patch, u, lane->v_m - low, lane->v_m + high, z));
      samples[count++] = (sample){fmax(0.0, way - 0.5 * part), kg};
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

/* Least way at push speed: every lane has to be swept along its length, or every point by the widest swath if
 * boxes of several widths work; less what may be left. */
static double sweep_way_m(const pc_lot *lot, const share *of, double left_m2, double swath_m) {
  double narrowest_m = swath_m;
  pc_sum way = {0};
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    for (size_t l = 0; l < set->lane_count; l++) {
      const pc_lane *lane = &set->lanes[l];
      narrowest_m = fmin(narrowest_m, lane->width_m);
      if (s != of->lane_set || !is_in(lot, of, (size_t)lane->patch))
        continue;
      for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++)
        pc_sum_add(&way, set->slot_m2[k] / (lot->lane_set_count > 1 ? swath_m : lane->width_m));
    }
  }
  return fmax(0.0, pc_sum_value(&way) - left_m2 / narrowest_m);
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

/* How far a place lies beside the nearest zone, measured across the lanes. */
static double aside_m(const pc_lot *lot, const pc_patch *patch, double v_m) {
  double least = INFINITY;
  for (size_t z = 0; z < lot->zone_count; z++) {
    span s = span_of(lot, patch, z);
    least = fmin(least, fmax(0.0, fmax(s.v_low - v_m, v_m - s.v_high)));
  }
  return least;
}

/* Σ over loads of the above, but for the snow that stays where that is dearest. On a slant snow may be taken
 * up half a lane beside. */
static double turning_s(const pc_lot *lot, const pc_bound_best *best, double left_kg, double price) {
  const pc_lane_set *set = &lot->lane_sets[lot->bound_set];
  pc_sum sum = {0};
  double most = 0.0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    double aside = fmax(0.0, aside_m(lot, &lot->ground->patches[0], lane->v_m) - 0.5 * lane->width_m);
    double each = turn_and_way_s(best->turn_s, aside, price);
    most = fmax(most, each);
    for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++)
      pc_sum_add(&sum, set->slot_kg[k] * each);
  }
  double last = 0.5 * best->turn_s * (double)lot->machine_count; /* nobody turns away from the last dump */
  return (pc_sum_value(&sum) - left_kg * most) / best->load_kg - last;
}

/* All the hauling at carry speed and all the driving back empty, less what pushing can save of both, plus
 * turns. Every price per metre with which a metre pushed still costs something gives a bound: the best of
 * some is taken. Only where all lanes have one axis and are one box wide. */
static double turns_time_s(const pc_lot *lot, const pc_bound_best *best, double starts_m, double left_kg,
                           const pc_bound *bound) {
  double longest = 0.0, carry = 1.0 / best->carry_mps, empty = 1.0 / best->empty_mps;
  double most = fmin(carry, 1.0 / best->push_mps - empty);
  if (lot->lane_set_count > 1 || lot->ground->patch_count > 1)
    return 0.0;
  for (int i = 1; i <= PRICES; i++) {
    double price = most * i / PRICES;
    double haul = bound->loaded_m * (carry - price) + fmax(0.0, bound->loaded_m - starts_m) * empty;
    double saved = bound->sweep_m * fmax(carry, price + empty);
    double turns = price > 0.0 ? turning_s(lot, best, left_kg, price) : 0.0;
    longest = fmax(longest, bound->fixed_s + bound->push_s + haul - saved + turns);
  }
  return crew_time_s(lot, longest);
}

/* What has to be done at least of a share of the lot, while left_kg stay there. */
typedef struct least_work {
  double mass_kg, haul_kgm, sweep_m, area_m2;
} least_work;

static pc_status work_of(const pc_lot *lot, const share *of, const pc_bound_best *best, double left_kg,
                         least_work *work) {
  sample *samples = pc_alloc_grid(lot->lane_sets[of->lane_set].slot_count, PARTS, sizeof *samples);
  size_t *begins = pc_alloc(lot->area_count + 1, sizeof *begins);
  node_ways known = {.length_m = pc_alloc_grid(lot->zone_count, 2, sizeof *known.length_m),
                     .nodes = {PC_NO_NODE, PC_NO_NODE}};
  bool made = samples && begins && known.length_m;
  if (made) {
    size_t count = take_samples(lot, of, best->swath_m, samples, begins, &known);
    double kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3 + lot->fall_kgpm2;
    pc_sum mass = {0};
    for (size_t i = 0; i < count; i++)
      pc_sum_add(&mass, samples[i].kg);
    work->mass_kg = pc_sum_value(&mass) - left_kg;
    work->haul_kgm = haul_kgm(samples, count, left_kg);
    work->sweep_m = sweep_way_m(lot, of, left_kg / kgpm2, best->swath_m);
    /* where all share lanes it is their length that counts, whatever a box covers beyond them */
    work->area_m2 = work->sweep_m * (lot->lane_set_count > 1 ? best->swath_m : best->least_swath_m);
  }
  free(samples);
  free(begins);
  free(known.length_m);
  return made ? PC_OK : PC_ERR_MEMORY;
}

static double open_m2(const pc_lot *lot, const share *of) {
  const pc_lane_set *set = &lot->lane_sets[of->lane_set];
  pc_sum open = {0};
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    if (!is_in(lot, of, (size_t)lane->patch))
      continue;
    for (size_t k = lane->first; k < lane->first + (size_t)lane->stations; k++)
      pc_sum_add(&open, set->slot_m2[k]);
  }
  return pc_sum_value(&open);
}

/* With that set of lanes of a machine that may work there of which most lies open. */
static share tied_to(const pc_lot *lot, size_t area) {
  share best = {area, 0};
  double most_m2 = -1.0;
  for (size_t m = 0; m < lot->machine_count; m++) {
    const share of = {area, lot->machines[m].lane_set};
    double m2 = lot->machines[m].allowed[area] ? open_m2(lot, &of) : -1.0;
    if (m2 > most_m2) {
      most_m2 = m2;
      best = of;
    }
  }
  return best;
}

/* Whether some machine may not work there, and no area before has the same ones. */
static bool is_tied(const pc_lot *lot, size_t area) {
  size_t many = 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    many += lot->machines[m].allowed[area];
  bool tied = many > 0 && many < lot->machine_count && lot->areas[area].into < 0;
  for (size_t a = 0; a < area && tied; a++) {
    bool same = lot->areas[a].into < 0;
    for (size_t m = 0; m < lot->machine_count; m++)
      same &= lot->machines[m].allowed[a] == lot->machines[m].allowed[area];
    tied = !same;
  }
  return tied;
}

/* The longest that the machines tied to some areas need for these alone. */
static pc_status tied_s(const pc_lot *lot, const pc_bound_best *best, double left_kg, double *time_s) {
  pc_status status = PC_OK;
  *time_s = 0.0;
  for (size_t a = 0; a < lot->area_count && status == PC_OK; a++) {
    least_work work = {0};
    if (!is_tied(lot, a))
      continue;
    const share of = tied_to(lot, a);
    status = work_of(lot, &of, best, left_kg, &work);
    if (status == PC_OK && work.mass_kg > 0.0)
      *time_s = fmax(*time_s, pc_bound_crew_in_s(lot, a, work.mass_kg, work.haul_kgm, work.area_m2));
  }
  return status;
}

pc_status pc_bound_make(const pc_lot *lot, double left_kg, pc_bound *bound) {
  *bound = (pc_bound){0};
  pc_bound_best best = pc_bound_best_of(lot);
  double all_kg = pc_lot_snow_kg(lot), tied, starts = start_way_m(lot);
  bound->mass_kg =
      all_kg - left_kg > 1e-9 * all_kg ? all_kg - left_kg : 0.0; /* less is rounding, and no load */
  if (best.load_kg <= 0.0 || lot->zone_count == 0 || bound->mass_kg <= 0.0)
    return PC_OK;
  const share all = {PC_NO_ENTRY, lot->bound_set};
  least_work work;
  pc_status status = work_of(lot, &all, &best, left_kg, &work);
  if (status == PC_OK)
    status = tied_s(lot, &best, left_kg, &tied);
  if (status != PC_OK)
    return status;
  bound->loaded_m = work.haul_kgm / best.load_kg;
  bound->sweep_m = work.sweep_m;
  pc_bound_plain(&best, (double)lot->machine_count, starts, bound);
  bound->plain_s = crew_time_s(lot, bound->fixed_s + bound->push_s + bound->carry_s + bound->empty_s);
  double crew_s = pc_bound_crew_s(lot, bound->mass_kg, bound->loaded_m * best.load_kg, work.area_m2);
  bound->plain_s = fmax(bound->plain_s, pc_lot_clock_s(lot, fmax(crew_s, tied)));
  bound->time_s = fmax(bound->plain_s, pc_bound_storm_s(lot));
  /* the other forms know only snow that lay there from the start: none that falls later, and none that a
   * blade lays aside or that is carved out */
  if (lot->fall_kgpm2 > 0.0 || lot->has_blades || lot->has_carving)
    return PC_OK;
  double cycles_s;
  status = pc_bound_cycles_s(lot, bound->mass_kg, left_kg, &cycles_s);
  bound->time_s = fmax(bound->time_s, turns_time_s(lot, &best, starts, left_kg, bound));
  bound->time_s = fmax(bound->time_s, crew_time_s(lot, cycles_s));
  return status;
}
