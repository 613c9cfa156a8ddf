// SPDX-License-Identifier: GPL-3.0-or-later
/* The form of the lower bound that counts whole cycles: see docs/bound.md, "Cycles". */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/bound_private.h"

enum { PARTS_MOST = 40000, NEAR_PARTS = 10, ASIDE = 3 };

static const double pi = 3.14159265358979323846;
static const double usual_part_m = 0.5;
static const double rounding = 0.999; /* what lies between two samples */

typedef struct part { /* a short stretch of a lane */
  double kg, cost;    /* least cost of its snow and of its metres, s */
} part;

typedef struct seen { /* a zone, from a place */
  double way_m;
  double away_rad; /* direction from the zone to the place, */
  double off_rad;  /* and by how much that differs from out of the lot */
} seen;

typedef struct cycles {
  const pc_lot *lot;
  pc_bound_best best;
  double fixed_s;  /* of a load */
  double spared_s; /* what backing out may spare it */
  double *out_rad; /* per zone: the direction away from the lot */
  seen *zones;     /* scratch, one per zone */
  part *parts;
  size_t part_count;
} cycles;

static double between_rad(double a, double b) {
  return fabs(remainder(a - b, 2.0 * pi));
}

/* Away from the side of an area that is nearest to the zone. */
static double outward_rad(const pc_lot *lot, pc_point at) {
  double nearest = INFINITY, out = 0.0;
  for (size_t p = 0; p < lot->ground->patch_count; p++) {
    const pc_patch *patch = &lot->ground->patches[p];
    double u, v, u1 = patch->u0_m + patch->stations * patch->station_m;
    double v1 = patch->v0_m + patch->strips * patch->strip_m;
    pc_patch_local(patch, at, &u, &v);
    const double off[] = {fabs(u - u1), fabs(v - v1), fabs(u - patch->u0_m), fabs(v - patch->v0_m)};
    for (int side = 0; side < 4; side++)
      if (off[side] < nearest) {
        nearest = off[side];
        out = atan2(patch->sine, patch->cosine) + 0.5 * pi * side;
      }
  }
  return out;
}

/* All zones as seen from a place; the way to the nearest. */
static double look(const cycles *c, pc_point at) {
  double near = INFINITY;
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    double dx = at.x_m - c->lot->zones[z].at.x_m, dy = at.y_m - c->lot->zones[z].at.y_m;
    double away = atan2(dy, dx);
    c->zones[z] = (seen){sqrt(dx * dx + dy * dy), away, between_rad(away, c->out_rad[z])};
    near = fmin(near, c->zones[z].way_m);
  }
  return near;
}

/* E: least time from a zone, empty, to where it looks from, ready to push that way. */
static double reach_s(const cycles *c, double push_rad) {
  const pc_bound_best *b = &c->best;
  double least = INFINITY, per_rad = b->turn_s / pi;
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    const seen *from = &c->zones[z];
    double turns = per_rad * (from->off_rad + between_rad(from->away_rad, push_rad));
    double back = from->way_m / fmax(b->reverse_mps, b->carry_mps);
    least = fmin(least, fmin(back, from->way_m / b->forward_mps + turns));
  }
  return least - c->spared_s;
}

/* C: least time from there to a zone, loaded, less what the turn after it counts for. */
static double bring_s(const cycles *c, double push_rad) {
  double least = INFINITY, per_rad = c->best.turn_s / pi;
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    const seen *to = &c->zones[z];
    double turns = (pi - between_rad(to->away_rad, push_rad)) - (pi - to->off_rad);
    least = fmin(least, to->way_m / c->best.carry_mps + per_rad * turns);
  }
  return least;
}

/* How far snow may lie beside the middle of a lane, to which side, for a box on a slant to the zone. */
static double slant_aside_m(const cycles *c, const pc_lane *lane, size_t z) {
  double u, v, half = 0.5 * lane->width_m;
  pc_patch_local(&c->lot->ground->patches[lane->patch], c->lot->zones[z].at, &u, &v);
  return fmax(-half, fmin(half, v - lane->v_m));
}

/* E + C of snow that is taken up on a slant, straight towards a zone; INFINITY: none can be. */
static double slanted_s(const cycles *c, const pc_lane *lane, double u_m, double part_m) {
  const pc_patch *patch = &c->lot->ground->patches[lane->patch];
  double least = INFINITY, per_rad = c->best.turn_s / pi;
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    if (!pc_bound_slants(c->lot, patch, z, u_m, lane->v_m, 0.5 * lane->width_m, part_m))
      continue;
    double aside = slant_aside_m(c, lane, z), off = 0.5 * fabs(aside) / ASIDE;
    for (int i = 0; i < ASIDE; i++) {
      double near = look(c, pc_patch_world(patch, u_m, lane->v_m + aside * (i + 0.5) / ASIDE));
      double push_rad = c->zones[z].away_rad + pi; /* and six angles may be off by as much as a zone's */
      double slack = 2.0 * off / c->best.carry_mps + 6.0 * per_rad * asin(fmin(1.0, off / near));
      least = fmin(least, reach_s(c, push_rad) + bring_s(c, push_rad) - slack);
    }
  }
  return least;
}

/* Least E + C of the snow of a part, of all ways to take it up. */
static double snow_s(const cycles *c, const pc_lane *lane, double u_m, double part_m) {
  const pc_patch *patch = &c->lot->ground->patches[lane->patch];
  double sure = -c->spared_s - c->best.turn_s; /* of any place */
  double lane_rad = atan2(patch->sine, patch->cosine), least = INFINITY;
  if (look(c, pc_patch_world(patch, u_m, lane->v_m)) < NEAR_PARTS * part_m)
    return sure;
  for (int side = 0; side < 2; side++)
    least = fmin(least, reach_s(c, lane_rad + pi * side) + bring_s(c, lane_rad + pi * side));
  return fmax(sure, fmin(least, slanted_s(c, lane, u_m, part_m)));
}

/* Most by which a metre pushed that way, within `off` from where it looks from, can lengthen the way that is
 * spared, or shorten the one that is left: with an empty box or a full one, as it is straight in between, and
 * with any zone that can be the best there. Turns at either end only grow with it. */
static double metre_saves_s(const cycles *c, double push_rad, double near, double off) {
  const pc_bound_best *b = &c->best;
  double bend = asin(fmin(1.0, off / near)), per_rad = b->turn_s / pi,
         back = fmax(b->reverse_mps, b->carry_mps);
  double may_be = 2.0 * (off / b->carry_mps + 3.0 * per_rad * bend), saves = -1.0 / b->carry_mps;
  double reach = reach_s(c, push_rad) + c->spared_s + may_be, bring = bring_s(c, push_rad) + may_be;
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    const seen *s = &c->zones[z];
    double away = between_rad(s->away_rad, push_rad);
    double outward = cos(fmax(0.0, away - 2.0 * bend)), towards = cos(fmax(0.0, pi - away - 2.0 * bend));
    if (s->way_m / back <= reach)
      saves = fmax(saves, outward / back);
    if (s->way_m / b->forward_mps + per_rad * (s->off_rad + away) <= reach)
      saves = fmax(saves, outward / b->forward_mps);
    if (s->way_m / b->carry_mps + per_rad * (s->off_rad - away) <= bring)
      saves = fmax(saves, towards / b->carry_mps);
  }
  return saves;
}

/* Least cost of any metre of a slot, along the lane or on a slant. */
static double metre_s(const cycles *c, const pc_lane *lane, double u_m, double slot_m, double part_m) {
  const pc_patch *patch = &c->lot->ground->patches[lane->patch];
  double push = 1.0 / c->best.push_mps, most = 1.0 / c->best.carry_mps, off = 0.5 * slot_m;
  double lane_rad = atan2(patch->sine, patch->cosine);
  double near = look(c, pc_patch_world(patch, u_m, lane->v_m));
  if (near < fmax(NEAR_PARTS * part_m, 2.0 * (off + lane->width_m)))
    return push - most;
  double saves = fmax(metre_saves_s(c, lane_rad, near, off), metre_saves_s(c, lane_rad + pi, near, off));
  for (size_t z = 0; z < c->lot->zone_count; z++) {
    if (!pc_bound_slants(c->lot, patch, z, u_m, lane->v_m, 0.5 * lane->width_m, slot_m))
      continue;
    double aside = slant_aside_m(c, lane, z);
    near = look(c, pc_patch_world(patch, u_m, lane->v_m + 0.5 * aside));
    saves = fmax(saves, metre_saves_s(c, c->zones[z].away_rad + pi, near, 0.5 * hypot(aside, slot_m)));
  }
  return push - fmin(saves, most);
}

static void price_lane(cycles *c, const pc_lane *lane, double part_m, int each) {
  const pc_lane_set *set = &c->lot->lane_sets[0];
  const pc_patch *patch = &c->lot->ground->patches[lane->patch];
  for (int i = 0; i < lane->stations; i++) {
    size_t slot = lane->first + (size_t)i;
    double u_m = patch->u0_m + i * patch->station_m, kg = set->slot_kg[slot] / each;
    if (kg <= 0.0)
      continue;
    double pushed_s = set->slot_m2[slot] / lane->width_m / each *
                      metre_s(c, lane, u_m + 0.5 * patch->station_m, patch->station_m, part_m);
    for (int k = 0; k < each; k++)
      c->parts[c->part_count++] =
          (part){kg, kg / c->best.load_kg * snow_s(c, lane, u_m + (k + 0.5) * part_m, part_m) + pushed_s};
  }
}

/* Alike are only those that are the same: else a sum would depend on how qsort leaves ties. */
static int dearest_first(const void *a, const void *b) {
  const part *p = a, *q = b;
  double x = p->cost / p->kg, y = q->cost / q->kg;
  if (x != y)
    return x > y ? -1 : 1;
  if (p->kg != q->kg)
    return p->kg > q->kg ? -1 : 1;
  return (p->cost < q->cost) - (p->cost > q->cost);
}

/* All snow but the left_kg that are dearest. */
static double sum_without(cycles *c, double left_kg) {
  pc_sum sum = {0};
  qsort(c->parts, c->part_count, sizeof *c->parts, dearest_first);
  for (size_t i = 0; i < c->part_count; i++) {
    double left = c->parts[i].cost > 0.0 ? fmin(left_kg, c->parts[i].kg) : 0.0;
    left_kg -= left;
    pc_sum_add(&sum, c->parts[i].cost * (1.0 - left / c->parts[i].kg));
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
    price_lane(c, &set->lanes[l], station_m / each, each);
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

/* A load that ends with the box partly full pays for what it falls short of. */
static bool part_loads_pay(const cycles *c) {
  return c->fixed_s < c->spared_s + c->best.turn_s;
}

pc_status pc_bound_cycles_s(const pc_lot *lot, double mass_kg, double left_kg, double *machine_s) {
  cycles c = {.lot = lot, .best = pc_bound_best_of(lot)};
  *machine_s = 0.0;
  c.fixed_s = c.best.lower_s + c.best.dump_s + c.best.raise_s;
  c.spared_s = spared_by_backing_s(&c.best);
  if (!applies(lot, &c.best) || part_loads_pay(&c))
    return PC_OK;
  c.out_rad = pc_alloc(lot->zone_count, sizeof *c.out_rad);
  c.zones = pc_alloc(lot->zone_count, sizeof *c.zones);
  pc_status status = c.out_rad && c.zones ? PC_OK : PC_ERR_MEMORY;
  for (size_t z = 0; z < lot->zone_count && status == PC_OK; z++)
    c.out_rad[z] = outward_rad(lot, lot->zones[z].at);
  if (status == PC_OK)
    status = price_all(&c);
  if (status == PC_OK && c.part_count > 0)
    *machine_s =
        rounding * (mass_kg / c.best.load_kg * c.fixed_s + sum_without(&c, left_kg)) - first_loads_s(&c);
  free(c.parts);
  free(c.zones);
  free(c.out_rad);
  return status;
}
