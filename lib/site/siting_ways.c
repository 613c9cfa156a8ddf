// SPDX-License-Identifier: GPL-3.0-or-later
/* Zones against the pavement: what lies beyond it, and what ways they leave. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "site/crowd.h"
#include "site/siting_private.h"
#include "site/weld.h"

/* Pieces of pavement smaller than this are slivers that nobody drives on. */
static const double piece_m2 = 5.0;
static const double mitre_limit = 5.0;

/* ---- pavement ---- */

/* The farthest place between corners is found to three times this, a length or, where it is more, a share of
 * how far it is. */
static const double between_m = 0.01, between_share = 0.01;

/* Farthest corner of `beyond` from the pavement. Exact where the pavement is convex there. */
static bool farthest_corner(pc_survey *s, const GEOSGeometry *beyond, double *far_m, pc_point *place) {
  int parts = GEOSGetNumGeometries_r(s->geos.handle, beyond);
  for (int i = 0; i < parts; i++) {
    const GEOSGeometry *part = GEOSGetGeometryN_r(s->geos.handle, beyond, i);
    const GEOSGeometry *ring = part && GEOSGeomTypeId_r(s->geos.handle, part) == GEOS_POLYGON
                                   ? GEOSGetExteriorRing_r(s->geos.handle, part)
                                   : NULL;
    const GEOSCoordSequence *corners = ring ? GEOSGeom_getCoordSeq_r(s->geos.handle, ring) : NULL;
    unsigned count = 0;
    if (!corners) /* what else an overlay leaves has no area */
      continue;
    if (!GEOSCoordSeq_getSize_r(s->geos.handle, corners, &count))
      return false;
    for (unsigned j = 0; j < count; j++) {
      pc_point at;
      double distance = 0;
      GEOSGeometry *corner = NULL;
      if (GEOSCoordSeq_getXY_r(s->geos.handle, corners, j, &at.x_m, &at.y_m))
        corner = pc_survey_point(s, at);
      bool good = corner && GEOSDistance_r(s->geos.handle, corner, s->pavement, &distance) == 1;
      pc_survey_drop(s, corner);
      if (!good)
        return false;
      if (distance > *far_m) {
        *far_m = distance;
        *place = at;
      }
    }
  }
  return parts >= 0;
}

/* A square in which the farthest place may lie. */
typedef struct square {
  pc_point middle;
  double half_m;
} square;

enum { SQUARES = 4 * 64 }; /* four of each size wait at most; 64 halvings end below any length */

/* Looks into one square, and puts its quarters on the pile if a place farther than *far_m by more than three
 * times between_m may lie in it. A place of the part off_m from the middle is no nearer than away_m - off_m;
 * so a square that does not reach farther than between_m is never divided. */
static bool look_into(pc_survey *s, const square *in, const GEOSPreparedGeometry *pavement,
                      const GEOSPreparedGeometry *part, square *pile, size_t *waiting, double *far_m,
                      pc_point *place) {
  double away_m = 0, off_m = 0, reach_m = in->half_m * sqrt(2.0);
  GEOSGeometry *middle = pc_survey_point(s, in->middle);
  bool good = middle && GEOSPreparedDistance_r(s->geos.handle, pavement, middle, &away_m) == 1 &&
              GEOSPreparedDistance_r(s->geos.handle, part, middle, &off_m) == 1;
  pc_survey_drop(s, middle);
  double step_m = fmax(between_m, between_share * *far_m);
  if (good && away_m - off_m > *far_m + step_m) {
    *far_m = away_m - off_m;
    *place = in->middle;
  }
  if (!good || off_m > reach_m || away_m + reach_m <= *far_m + 3.0 * step_m || *waiting + 4 > SQUARES)
    return good;
  for (int i = 0; i < 4; i++) {
    double half_m = in->half_m / 2;
    pile[(*waiting)++] = (square){
        {in->middle.x_m + (i & 1 ? half_m : -half_m), in->middle.y_m + (i & 2 ? half_m : -half_m)}, half_m};
  }
  return true;
}

/* In a bay of the pavement, or between two parts of it, all corners may lie at its edge: then the place
 * farthest from it is none of them. Looked for in squares, halved as long as they may hold a farther one. */
static bool farthest_between(pc_survey *s, const GEOSGeometry *beyond, double *far_m, pc_point *place) {
  square pile[SQUARES];
  size_t waiting = 0;
  double x0, y0, x1, y1;
  const GEOSPreparedGeometry *pavement = GEOSPrepare_r(s->geos.handle, s->pavement);
  const GEOSPreparedGeometry *part = GEOSPrepare_r(s->geos.handle, beyond);
  bool good = pavement && part && GEOSGeom_getExtent_r(s->geos.handle, beyond, &x0, &y0, &x1, &y1) == 1;
  if (good)
    pile[waiting++] = (square){{(x0 + x1) / 2, (y0 + y1) / 2}, fmax(x1 - x0, y1 - y0) / 2};
  while (good && waiting) {
    square next = pile[--waiting];
    good = look_into(s, &next, pavement, part, pile, &waiting, far_m, place);
  }
  if (pavement)
    GEOSPreparedGeom_destroy_r(s->geos.handle, pavement);
  if (part)
    GEOSPreparedGeom_destroy_r(s->geos.handle, part);
  return good;
}

static bool farthest(pc_survey *s, const GEOSGeometry *beyond, double *far_m, pc_point *place) {
  return farthest_corner(s, beyond, far_m, place) && farthest_between(s, beyond, far_m, place);
}

pc_status pc_survey_pavement(pc_survey *s, size_t z) {
  pc_shape *zone = &s->zones[z];
  double far_m = 0, beyond_m2 = NAN;
  pc_point place = zone->at;
  if (!pc_survey_body(s, zone))
    return pc_survey_failed(s);
  if (zone->outline->count == 0) {
    if (GEOSDistance_r(s->geos.handle, zone->body, s->pavement, &far_m) != 1)
      return pc_survey_failed(s);
  } else {
    GEOSGeometry *beyond = GEOSDifference_r(s->geos.handle, zone->body, s->pavement);
    bool good = beyond && pc_geos_areas(&s->geos, beyond, &beyond_m2, NULL) &&
                (beyond_m2 <= PC_SITING_SHARED_M2 || farthest(s, beyond, &far_m, &place));
    pc_survey_drop(s, beyond);
    if (!good)
      return pc_survey_failed(s);
  }
  if (!(far_m > s->limits->pavement_m + PC_SITING_SLACK_M))
    return PC_OK;
  pc_siting_finding finding = pc_siting_make(PC_SITING_PAVEMENT, z);
  finding.distance_m = far_m;
  finding.limit_m = s->limits->pavement_m;
  finding.area_m2 = beyond_m2;
  finding.place = place;
  return pc_siting_add(s, &finding);
}

/* ---- what the zones leave of the pavement ---- */

/* Pieces of what is left after a strip of width_m / 2 along every edge is taken off: places that a way so
 * wide connects. -1 on failure. */
static int count_pieces(pc_survey *s, const GEOSGeometry *ground, double width_m) {
  int pieces = 0;
  GEOSGeometry *shrunk = NULL;
  if (width_m > 0) {
    shrunk = pc_crowd_grown(&s->geos, ground, -width_m / 2, mitre_limit);
    if (!shrunk)
      return -1;
    ground = shrunk;
  }
  int parts = GEOSGetNumGeometries_r(s->geos.handle, ground);
  for (int i = 0; i < parts && pieces >= 0; i++) {
    double area = 0;
    const GEOSGeometry *part = GEOSGetGeometryN_r(s->geos.handle, ground, i);
    if (!part || !pc_geos_areas(&s->geos, part, &area, NULL))
      pieces = -1;
    else
      pieces += area > piece_m2;
  }
  pc_survey_drop(s, shrunk);
  return parts < 0 ? -1 : pieces;
}

/* True in *parted if the ground without `piles` falls into more pieces. */
static pc_status is_parted(pc_survey *s, const GEOSGeometry *without, int whole, double width_m,
                           bool *parted) {
  int pieces = count_pieces(s, without, width_m);
  *parted = pieces > whole;
  return pieces < 0 ? pc_survey_failed(s) : PC_OK;
}

static pc_status add_parted(pc_survey *s, pc_siting_rule rule, size_t zone) {
  pc_siting_finding finding = pc_siting_make(rule, zone);
  finding.limit_m = rule == PC_SITING_NARROW ? s->limits->lane_m : NAN;
  if (zone != PC_SITING_ALL) {
    GEOSGeometry *shared = GEOSIntersection_r(s->geos.handle, s->zones[zone].body, s->pavement);
    bool good =
        shared && (GEOSisEmpty_r(s->geos.handle, shared) == 1 || pc_survey_within(s, shared, &finding.place));
    pc_survey_drop(s, shared);
    if (!good)
      return pc_survey_failed(s);
  }
  return pc_siting_add(s, &finding);
}

/* Which zones part the ground: each that does so alone; if none does, all together. */
static pc_status check_parted(pc_survey *s, pc_siting_rule rule, double width_m, bool *parted) {
  int whole = count_pieces(s, s->before, width_m);
  if (whole < 0)
    return pc_survey_failed(s);
  pc_status status = is_parted(s, s->after, whole, width_m, parted);
  bool by_one = false;
  for (size_t z = 0; z < s->count && *parted && status == PC_OK; z++) {
    if (s->zones[z].outline->count == 0)
      continue;
    bool alone = false;
    GEOSGeometry *without = GEOSDifference_r(s->geos.handle, s->before, s->zones[z].body);
    status = without ? is_parted(s, without, whole, width_m, &alone) : pc_survey_failed(s);
    pc_survey_drop(s, without);
    if (alone && status == PC_OK)
      status = add_parted(s, rule, z);
    by_one |= alone;
  }
  if (*parted && !by_one && status == PC_OK)
    status = add_parted(s, rule, PC_SITING_ALL);
  return status;
}

pc_status pc_survey_ways(pc_survey *s) {
  bool cut = false, narrow = false;
  if (GEOSisEmpty_r(s->geos.handle, s->pavement) == 1)
    return PC_OK;
  pc_status status = check_parted(s, PC_SITING_CUT, 0, &cut);
  if (status == PC_OK && !cut && s->limits->lane_m > 0)
    status = check_parted(s, PC_SITING_NARROW, s->limits->lane_m, &narrow);
  return status;
}

/* ---- the whole ---- */

/* As drawn. */
static GEOSGeometry *join_pavement(pc_survey *s) {
  const pc_site *site = s->site;
  const pc_ring **rings = pc_alloc(site->area_count + site->ground_count, sizeof *rings);
  if (!rings)
    return NULL;
  GEOSGeometry *joined = pc_geos_union(&s->geos, rings, pc_site_pavement(site, rings));
  free(rings);
  return joined;
}

/* Ground less the union of `count` parts, which are taken over. */
static GEOSGeometry *take_out(pc_survey *s, const GEOSGeometry *ground, GEOSGeometry **parts, size_t count) {
  GEOSGeometry *joined = pc_crowd_joined(&s->geos, parts, count);
  GEOSGeometry *left = joined ? GEOSDifference_r(s->geos.handle, ground, joined) : NULL;
  pc_survey_drop(s, joined);
  return left;
}

/* Gaps that ways lead over part nothing. */
static GEOSGeometry *less_obstacles(pc_survey *s) {
  size_t count = 0, most = s->site->obstacle_count;
  GEOSGeometry **parts = pc_alloc(most, sizeof *parts);
  bool good = parts != NULL;
  for (size_t i = 0; good && i < most; i++) {
    pc_shape thing = pc_shape_of_obstacle(&s->site->obstacles[i]);
    if (thing.outline->count == 0 && !(thing.radius_m > 0))
      continue;
    parts[count] = pc_survey_area(s, &thing);
    good = parts[count] != NULL;
    count += good;
  }
  GEOSGeometry *left = NULL, *driven = good ? pc_weld_pavement(&s->geos, s->pavement) : NULL;
  if (driven)
    left = take_out(s, driven, parts, count);
  else
    for (size_t i = 0; i < count; i++)
      pc_survey_drop(s, parts[i]);
  pc_survey_drop(s, driven);
  free(parts);
  return left;
}

static GEOSGeometry *less_zones(pc_survey *s) {
  size_t count = 0;
  GEOSGeometry **parts = pc_alloc(s->count, sizeof *parts);
  bool good = parts != NULL;
  for (size_t z = 0; good && z < s->count; z++) {
    if (s->zones[z].outline->count == 0)
      continue;
    parts[count] = pc_geos_polygon(&s->geos, s->zones[z].outline);
    good = parts[count] != NULL;
    count += good;
  }
  GEOSGeometry *left = NULL;
  if (good)
    left = take_out(s, s->before, parts, count);
  else
    for (size_t i = 0; i < count; i++)
      pc_survey_drop(s, parts[i]);
  free(parts);
  return left;
}

pc_status pc_survey_start(pc_survey *s, const pc_zone *const *zones) {
  s->zones = pc_alloc(s->count, sizeof *s->zones);
  s->bounds = pc_alloc(s->count, sizeof *s->bounds);
  if (!s->zones || !s->bounds || !pc_geos_start(&s->geos))
    return PC_ERR_MEMORY;
  for (size_t z = 0; z < s->count; z++) {
    s->zones[z] = (pc_shape){.outline = &zones[z]->outline, .at = zones[z]->at};
    s->bounds[z] = pc_bounds_of(&s->zones[z]);
    if (!pc_survey_body(s, &s->zones[z]))
      return pc_survey_failed(s);
  }
  s->pavement = join_pavement(s);
  s->before = s->pavement ? less_obstacles(s) : NULL;
  s->after = s->before ? less_zones(s) : NULL;
  return s->after ? PC_OK : pc_survey_failed(s);
}

void pc_survey_stop(pc_survey *s) {
  for (size_t z = 0; s->zones && z < s->count; z++)
    pc_survey_drop(s, s->zones[z].body);
  pc_survey_drop(s, s->pavement);
  pc_survey_drop(s, s->before);
  pc_survey_drop(s, s->after);
  pc_geos_stop(&s->geos);
  free(s->zones);
  free(s->bounds);
}
