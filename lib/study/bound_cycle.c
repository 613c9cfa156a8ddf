// SPDX-License-Identifier: GPL-3.0-or-later
/* The form of the lower bound that counts whole cycles: see docs/bound.md, "Cycles". */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/bound_private.h"

enum { FILLS = 16, ROUNDS = 40, PARTS_MOST = 40000, NEAR_PARTS = 10 };

static const double pi = 3.14159265358979323846;
static const double usual_part_m = 0.5;
static const double rounding = 0.999; /* what lies between two samples */

typedef struct part { /* a short stretch of a lane */
  double kg;
  double cost[FILLS]; /* least cost of its snow, s, when the box is so full */
  double best;        /* least of them with the prices of fills in use */
} part;

typedef struct cycles {
  const pc_lot *lot;
  pc_bound_best best;
  double fixed_s;  /* of a load */
  double spared_s; /* what backing out may spare it */
  pc_point *out;   /* per zone: a unit vector away from the lot */
  part *parts;
  size_t part_count;
} cycles;

/* Away from the side of an area that is nearest to the zone. */
static pc_point outward(const pc_lot *lot, pc_point at) {
  double nearest = INFINITY;
  pc_point out = {1.0, 0.0};
  for (size_t p = 0; p < lot->ground->patch_count; p++) {
    const pc_patch *patch = &lot->ground->patches[p];
    double u, v, u1 = patch->u0_m + patch->stations * patch->station_m;
    double v1 = patch->v0_m + patch->strips * patch->strip_m;
    pc_patch_local(patch, at, &u, &v);
    const double off[] = {fabs(u - patch->u0_m), fabs(u - u1), fabs(v - patch->v0_m), fabs(v - v1)};
    for (int side = 0; side < 4; side++)
      if (off[side] < nearest) {
        double sign = side % 2 ? 1.0 : -1.0;
        nearest = off[side];
        out = side < 2 ? (pc_point){sign * patch->cosine, sign * patch->sine}
                       : (pc_point){-sign * patch->sine, sign * patch->cosine};
      }
  }
  return out;
}

typedef struct sides { /* at a place of a lane, pushing towards falling and rising u */
  double reach_s[2];   /* least time from a zone, empty */
  double bring_s[2];   /* least time to a zone, loaded, less what the turn after it counts for */
  double near_m;       /* to the nearest zone */
} sides;

static sides look(const cycles *c, pc_point at, pc_point push) {
  const pc_bound_best *b = &c->best;
  double per_rad = b->turn_s / pi;
  sides s = {{INFINITY, INFINITY}, {INFINITY, INFINITY}, INFINITY};
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    double dx = at.x_m - c->lot->zones[z].at.x_m, dy = at.y_m - c->lot->zones[z].at.y_m;
    double way = sqrt(dx * dx + dy * dy), back = way / fmax(b->reverse_mps, b->carry_mps);
    double scale = way > 0.0 ? 1.0 / way : 0.0;
    double away = acos(fmax(-1.0, fmin(1.0, scale * (dx * c->out[z].x_m + dy * c->out[z].y_m))));
    double along = acos(fmax(-1.0, fmin(1.0, scale * (dx * push.x_m + dy * push.y_m))));
    for (int side = 0; side < 2; side++) {
      double turn = side == 1 ? along : pi - along; /* from the way out into pushing */
      double forward = way / b->forward_mps + per_rad * (away + turn);
      double bring = way / b->carry_mps + per_rad * ((pi - turn) - (pi - away));
      s.reach_s[side] = fmin(s.reach_s[side], fmin(back, forward) - c->spared_s);
      s.bring_s[side] = fmin(s.bring_s[side], bring);
    }
    s.near_m = fmin(s.near_m, way);
  }
  return s;
}

/* The rises of both times along the push from border i to the next one: the worst of this part and its
 * neighbours, as either may bend within them. */
static void steepest(const cycles *c, const sides *at, size_t count, size_t i, int side, double part_m,
                     double *reach, double *bring) {
  double most = 1.0 / c->best.carry_mps;
  *reach = -most;
  *bring = most;
  for (size_t k = i > 0 ? i - 1 : 0; k <= i + 1 && k + 1 < count; k++) {
    double sign = side == 1 ? 1.0 : -1.0;
    *reach = fmax(*reach, sign * (at[k + 1].reach_s[side] - at[k].reach_s[side]) / part_m);
    *bring = fmin(*bring, sign * (at[k + 1].bring_s[side] - at[k].bring_s[side]) / part_m);
  }
  *reach = fmin(*reach, most);
  *bring = fmax(*bring, -most);
  if (at[i].near_m < NEAR_PARTS * part_m) {
    *reach = most;
    *bring = -most;
  }
}

/* Costs of a part between two borders, with kg on a length that is pushed. */
static void price_part(const cycles *c, const sides *at, size_t count, size_t i, double part_m,
                       double pushed_m, part *to) {
  const pc_bound_best *b = &c->best;
  double load = to->kg / b->load_kg;
  for (int q = 0; q < FILLS; q++)
    to->cost[q] = INFINITY;
  for (int side = 0; side < 2; side++) {
    double reach, bring,
        both = 0.5 * (at[i].reach_s[side] + at[i + 1].reach_s[side] + at[i].bring_s[side] +
                      at[i + 1].bring_s[side]);
    if (at[i].near_m < NEAR_PARTS * part_m) /* sure of anything there: see `look` */
      both = -c->spared_s - b->turn_s;
    steepest(c, at, count, i, side, part_m, &reach, &bring);
    for (int q = 0; q < FILLS; q++) /* it is straight in the fill ratio: least at either end */
      for (int edge = 0; edge < 2; edge++) {
        double full = (double)(q + edge) / FILLS;
        double cost = load * both + pushed_m * (1.0 / b->push_mps - ((1.0 - full) * reach - full * bring));
        to->cost[q] = fmin(to->cost[q], cost);
      }
  }
}

static pc_status price_lane(cycles *c, const pc_lane *lane, double part_m, int each) {
  const pc_lane_set *set = &c->lot->lane_sets[0];
  const pc_patch *patch = &c->lot->ground->patches[lane->patch];
  size_t count = (size_t)lane->stations * (size_t)each + 1;
  const pc_point push = {patch->cosine, patch->sine};
  sides *at = pc_alloc(count, sizeof *at);
  if (!at)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < count; i++)
    at[i] = look(c, pc_lane_point(c->lot, lane, patch->u0_m + (double)i * part_m), push);
  for (size_t i = 0; i + 1 < count; i++) {
    size_t slot = lane->first + i / (size_t)each;
    if (set->slot_kg[slot] <= 0.0)
      continue;
    part *to = &c->parts[c->part_count++];
    to->kg = set->slot_kg[slot] / each;
    price_part(c, at, count, i, part_m, set->slot_m2[slot] / lane->width_m / each, to);
  }
  free(at);
  return PC_OK;
}

/* Sum over all snow at these prices of fills (mean 0); how much is met at each fill. */
static double sum_at(cycles *c, const double *price, double *met) {
  pc_sum sum = {0};
  for (int q = 0; q < FILLS; q++)
    met[q] = 0.0;
  for (size_t i = 0; i < c->part_count; i++) {
    part *p = &c->parts[i];
    double load = p->kg / c->best.load_kg;
    int best = 0;
    double least = INFINITY;
    for (int q = 0; q < FILLS; q++) {
      double cost = p->cost[q] - load * price[q];
      best = cost < least ? q : best;
      least = cost < least ? cost : least;
    }
    p->best = least;
    met[best] += p->kg;
    pc_sum_add(&sum, p->best);
  }
  return pc_sum_value(&sum);
}

/* A load that ends with the box partly full must not pay. */
static bool part_loads_pay(const cycles *c, const double *price) {
  double sum = 0.0, slack = c->fixed_s - c->spared_s - c->best.turn_s;
  for (int q = 0; q <= FILLS; q++) {
    if (sum < -(1.0 - (double)q / FILLS) * slack - 1e-9)
      return true;
    sum += q < FILLS ? price[q] / FILLS : 0.0;
  }
  return false;
}

/* Prices at which as much snow is met at each fill as at any other: by steps down the slope. */
static void find_prices(cycles *c, double *best) {
  double price[FILLS] = {0.0}, met[FILLS], most = -INFINITY, step = 2.0, all = 0.0;
  for (size_t i = 0; i < c->part_count; i++)
    all += c->parts[i].kg;
  for (int round = 0; round < ROUNDS; round++, step *= 0.9) {
    double sum = sum_at(c, price, met), norm = 0.0;
    if (sum > most && !part_loads_pay(c, price)) {
      most = sum;
      memcpy(best, price, sizeof price);
    }
    for (int q = 0; q < FILLS; q++)
      norm += (met[q] / all - 1.0 / FILLS) * (met[q] / all - 1.0 / FILLS);
    if (norm <= 0.0)
      return;
    for (int q = 0; q < FILLS; q++) /* their sum stays 0 */
      price[q] -= step * (met[q] / all - 1.0 / FILLS) / sqrt(norm);
  }
}

static int dearest_first(const void *a, const void *b) {
  const part *p = a, *q = b;
  double x = p->best / p->kg, y = q->best / q->kg;
  return (x < y) - (x > y);
}

/* All snow but the left_kg that are dearest. */
static double sum_without(cycles *c, double left_kg) {
  pc_sum sum = {0};
  qsort(c->parts, c->part_count, sizeof *c->parts, dearest_first);
  for (size_t i = 0; i < c->part_count; i++) {
    double left = fmin(left_kg, c->parts[i].kg);
    left_kg -= left;
    pc_sum_add(&sum, c->parts[i].best * (1.0 - left / c->parts[i].kg));
  }
  return pc_sum_value(&sum);
}

static bool applies(const pc_lot *lot, const pc_bound_best *best) {
  bool points = true;
  for (size_t z = 0; z < lot->zone_count; z++)
    points &= lot->zones[z].outline.count == 0;
  for (size_t m = 0; m < lot->machine_count; m++) /* a way to fuel may join driving forward and reversing */
    points &= isnan(lot->machines[m].unit.loader.tank_l);
  return points && lot->lane_set_count == 1 && !lot->lane_sets[0].slot_ways && best->load_kg > 0.0;
}

static pc_status price_all(cycles *c) {
  const pc_lane_set *set = &c->lot->lane_sets[0];
  double length = 0.0, least = usual_part_m;
  size_t count = 0;
  for (size_t l = 0; l < set->lane_count; l++)
    length += set->lanes[l].stations * c->lot->ground->patches[set->lanes[l].patch].station_m;
  least = fmax(least, length / PARTS_MOST);
  for (size_t l = 0; l < set->lane_count; l++)
    count += (size_t)set->lanes[l].stations *
             (size_t)ceil(c->lot->ground->patches[set->lanes[l].patch].station_m / least);
  c->parts = pc_alloc(count, sizeof *c->parts);
  pc_status status = c->parts ? PC_OK : PC_ERR_MEMORY;
  for (size_t l = 0; l < set->lane_count && status == PC_OK; l++) {
    double station_m = c->lot->ground->patches[set->lanes[l].patch].station_m;
    int each = (int)ceil(station_m / least);
    status = price_lane(c, &set->lanes[l], station_m / each, each);
  }
  return status;
}

/* Backing out before driving off may spare turns near a pile: what that can be worth to a load. */
static double spared_by_backing_s(const pc_bound_best *b) {
  double forward = 1.0 / b->forward_mps, back = 1.0 / b->reverse_mps;
  if (b->back_out_m <= 0.0 || back <= forward)
    return 0.0;
  double within = b->back_out_m + b->turn_s / sqrt(back * back - forward * forward);
  return within * (1.0 / fmax(b->reverse_mps, b->carry_mps) - forward);
}

/* What each machine's first load may be spared: it does not come from a zone. */
static double first_loads_s(const cycles *c) {
  double sum = 0.0;
  for (size_t m = 0; m < c->lot->machine_count; m++)
    sum += pc_bound_start_way_m(c->lot, m) / c->best.forward_mps + 2.0 * c->best.turn_s + c->best.raise_s;
  return sum;
}

pc_status pc_bound_cycles_s(const pc_lot *lot, double mass_kg, double left_kg, double *machine_s) {
  cycles c = {.lot = lot, .best = pc_bound_best_of(lot)};
  double price[FILLS] = {0.0}, met[FILLS];
  *machine_s = 0.0;
  c.fixed_s = c.best.lower_s + c.best.dump_s + c.best.raise_s;
  c.spared_s = spared_by_backing_s(&c.best);
  if (!applies(lot, &c.best) || part_loads_pay(&c, price))
    return PC_OK;
  c.out = pc_alloc(lot->zone_count, sizeof *c.out);
  pc_status status = c.out ? PC_OK : PC_ERR_MEMORY;
  for (size_t z = 0; z < lot->zone_count && status == PC_OK; z++)
    c.out[z] = outward(lot, lot->zones[z].at);
  if (status == PC_OK)
    status = price_all(&c);
  if (status == PC_OK && c.part_count > 0) {
    find_prices(&c, price);
    (void)sum_at(&c, price, met);
    *machine_s =
        rounding * (mass_kg / c.best.load_kg * c.fixed_s + sum_without(&c, left_kg)) - first_loads_s(&c);
  }
  free(c.parts);
  free(c.out);
  return status;
}
