// SPDX-License-Identifier: GPL-3.0-or-later
/* Zones against one thing at a time: obstacles and what has to stay clear. */
#include <math.h>

#include "site/siting_private.h"

/* ---- shapes ---- */

pc_bounds pc_bounds_of(const pc_shape *s) {
  double r = s->radius_m;
  if (s->outline->count == 0)
    return (pc_bounds){s->at.x_m - r, s->at.y_m - r, s->at.x_m + r, s->at.y_m + r};
  pc_bounds all = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (size_t i = 0; i < s->outline->count; i++) {
    const pc_point *p = &s->outline->points[i];
    all = (pc_bounds){fmin(all.x0, p->x_m), fmin(all.y0, p->y_m), fmax(all.x1, p->x_m), fmax(all.y1, p->y_m)};
  }
  return all;
}

/* No farther apart than this, going by what bounds them. */
static bool bounds_within(pc_bounds a, pc_bounds b, double reach_m) {
  return a.x0 - reach_m <= b.x1 && b.x0 - reach_m <= a.x1 && a.y0 - reach_m <= b.y1 && b.y0 - reach_m <= a.y1;
}

GEOSGeometry *pc_survey_point(pc_survey *s, pc_point at) {
  return GEOSGeom_createPointFromXY_r(s->geos.handle, at.x_m, at.y_m);
}

bool pc_survey_body(pc_survey *s, pc_shape *made) {
  if (!made->body)
    made->body =
        made->outline->count > 0 ? pc_geos_polygon(&s->geos, made->outline) : pc_survey_point(s, made->at);
  return made->body != NULL;
}

GEOSGeometry *pc_survey_area(pc_survey *s, const pc_shape *thing) {
  if (thing->outline->count > 0)
    return pc_geos_polygon(&s->geos, thing->outline);
  GEOSGeometry *centre = pc_survey_point(s, thing->at), *round = NULL;
  if (centre)
    round = GEOSBuffer_r(s->geos.handle, centre, thing->radius_m, 16);
  pc_survey_drop(s, centre);
  return round;
}

pc_shape pc_shape_of_obstacle(const pc_obstacle *thing) {
  bool round = thing->outline.count == 0 && thing->radius_m > 0;
  return (pc_shape){.outline = &thing->outline, .at = thing->at, .radius_m = round ? thing->radius_m : 0};
}

bool pc_survey_within(pc_survey *s, const GEOSGeometry *geometry, pc_point *place) {
  GEOSGeometry *inner = GEOSPointOnSurface_r(s->geos.handle, geometry);
  bool found = inner && GEOSisEmpty_r(s->geos.handle, inner) == 0 &&
               GEOSGeomGetX_r(s->geos.handle, inner, &place->x_m) == 1 &&
               GEOSGeomGetY_r(s->geos.handle, inner, &place->y_m) == 1;
  pc_survey_drop(s, inner);
  return found;
}

/* ---- distances ---- */

typedef struct nearness {
  double distance_m, shared_m2;
  bool on; /* the zone lies on the thing */
  pc_point zone_place, thing_place;
} nearness;

static bool nearest_places(pc_survey *s, const pc_shape *zone, const pc_shape *thing, nearness *out) {
  GEOSCoordSequence *pair = GEOSNearestPoints_r(s->geos.handle, zone->body, thing->body);
  bool good = pair &&
              GEOSCoordSeq_getXY_r(s->geos.handle, pair, 0, &out->zone_place.x_m, &out->zone_place.y_m) &&
              GEOSCoordSeq_getXY_r(s->geos.handle, pair, 1, &out->thing_place.x_m, &out->thing_place.y_m);
  if (pair)
    GEOSCoordSeq_destroy_r(s->geos.handle, pair);
  return good;
}

static bool measure_shared(pc_survey *s, const pc_shape *zone, const pc_shape *thing, nearness *out) {
  GEOSGeometry *area = pc_survey_area(s, thing), *shared = NULL;
  bool good = false;
  if (area)
    shared = GEOSIntersection_r(s->geos.handle, zone->body, area);
  if (shared)
    good = pc_geos_areas(&s->geos, shared, &out->shared_m2, NULL);
  if (good && out->shared_m2 > PC_SITING_SHARED_M2) {
    out->on = true;
    good = pc_survey_within(s, shared, &out->zone_place);
  }
  pc_survey_drop(s, shared);
  pc_survey_drop(s, area);
  return good;
}

static bool measure(pc_survey *s, pc_shape *zone, pc_shape *thing, nearness *out) {
  *out = (nearness){0};
  if (!pc_survey_body(s, zone) || !pc_survey_body(s, thing) ||
      GEOSDistance_r(s->geos.handle, zone->body, thing->body, &out->distance_m) != 1 ||
      !nearest_places(s, zone, thing, out))
    return false;
  double past_m = out->distance_m - thing->radius_m;
  bool flat = zone->outline->count > 0 && (thing->outline->count > 0 || thing->radius_m > 0);
  if (past_m <= 0 && flat && !measure_shared(s, zone, thing, out))
    return false;
  if (past_m <= 0 && !flat) /* a point on something has no area to share */
    out->on = true;
  if (thing->radius_m > 0 && out->distance_m > 0) { /* from the middle to the edge that faces the zone */
    double part = fmin(1, thing->radius_m / out->distance_m);
    out->thing_place.x_m += part * (out->zone_place.x_m - out->thing_place.x_m);
    out->thing_place.y_m += part * (out->zone_place.y_m - out->thing_place.y_m);
  }
  out->distance_m = fmax(0, past_m);
  return true;
}

static bool is_too_near(const nearness *near, double limit_m) {
  return near->on || near->distance_m < limit_m - PC_SITING_SLACK_M;
}

static pc_status add_near(pc_survey *s, pc_siting_rule rule, size_t zone, const pc_name *thing,
                          const nearness *near, double limit_m) {
  pc_siting_finding finding = pc_siting_make(rule, zone);
  finding.thing = *thing;
  finding.distance_m = near->distance_m;
  finding.limit_m = limit_m;
  finding.place = near->zone_place;
  if (near->on)
    finding.area_m2 = near->shared_m2;
  return pc_siting_add(s, &finding);
}

/* ---- gaps ---- */

/* True if the line between two places runs over ground that stays free, but for a tenth of it. */
static bool runs_free(pc_survey *s, pc_point a, pc_point b, bool *free_way) {
  const double flat[4] = {a.x_m, a.y_m, b.x_m, b.y_m};
  GEOSGeometry *line = NULL, *part = NULL;
  double whole_m = 0, part_m = 0;
  GEOSCoordSequence *sequence = GEOSCoordSeq_copyFromBuffer_r(s->geos.handle, flat, 2, 0, 0);
  if (sequence)
    line = GEOSGeom_createLineString_r(s->geos.handle, sequence); /* takes the sequence, even if it fails */
  if (line)
    part = GEOSIntersection_r(s->geos.handle, line, s->after);
  bool good = part && GEOSLength_r(s->geos.handle, line, &whole_m) == 1 &&
              GEOSLength_r(s->geos.handle, part, &part_m) == 1;
  *free_way = good && part_m >= 0.9 * whole_m;
  pc_survey_drop(s, part);
  pc_survey_drop(s, line);
  return good;
}

static pc_status check_gap(pc_survey *s, size_t zone, const pc_name *thing, const nearness *near) {
  bool free_way = false;
  if (near->on || near->distance_m < 0.1 || near->distance_m >= s->limits->lane_m - PC_SITING_SLACK_M)
    return PC_OK;
  if (!runs_free(s, near->zone_place, near->thing_place, &free_way))
    return pc_survey_failed(s);
  return free_way ? add_near(s, PC_SITING_GAP, zone, thing, near, s->limits->lane_m) : PC_OK;
}

static double obstacle_limit(const pc_siting *limits, int kind, pc_siting_rule *rule) {
  *rule = kind == PC_OBSTACLE_BUILDING ? PC_SITING_BUILDING
          : kind == PC_OBSTACLE_FENCE  ? PC_SITING_FENCE
                                       : PC_SITING_OBSTACLE;
  return *rule == PC_SITING_BUILDING ? limits->building_m
         : *rule == PC_SITING_FENCE  ? limits->fence_m
                                     : limits->obstacle_m;
}

pc_status pc_survey_obstacle(pc_survey *s, const pc_obstacle *obstacle) {
  pc_siting_rule rule;
  double limit_m = obstacle_limit(s->limits, obstacle->kind, &rule);
  double reach_m = fmax(limit_m, s->limits->lane_m);
  pc_shape thing = pc_shape_of_obstacle(obstacle);
  pc_bounds place = pc_bounds_of(&thing);
  pc_status status = PC_OK;
  for (size_t z = 0; z < s->count && status == PC_OK; z++) {
    nearness near;
    if (!bounds_within(s->bounds[z], place, reach_m))
      continue;
    if (!measure(s, &s->zones[z], &thing, &near))
      status = pc_survey_failed(s);
    else if (is_too_near(&near, limit_m))
      status = add_near(s, rule, z, &obstacle->name, &near, limit_m);
    else if (rule != PC_SITING_FENCE) /* nobody drives along a fence */
      status = check_gap(s, z, &obstacle->name, &near);
  }
  pc_survey_drop(s, thing.body);
  return status;
}

pc_status pc_survey_keep_clear(pc_survey *s, const pc_keep_clear *keep) {
  const struct {
    pc_siting_rule rule;
    double limit_m;
  } kinds[PC_KEEP_KIND_COUNT] = {[PC_KEEP_HYDRANT] = {PC_SITING_HYDRANT, s->limits->hydrant_m},
                                 [PC_KEEP_DRAIN] = {PC_SITING_DRAIN, s->limits->drain_m},
                                 [PC_KEEP_DOOR] = {PC_SITING_DOOR, s->limits->door_m},
                                 [PC_KEEP_ACCESSIBLE] = {PC_SITING_ACCESSIBLE, s->limits->accessible_m},
                                 [PC_KEEP_SIGHT] = {PC_SITING_SIGHT, s->limits->sight_m},
                                 [PC_KEEP_NO_PILES] = {PC_SITING_NO_PILES, 0.0}};
  if (keep->kind < 0 || keep->kind >= PC_KEEP_KIND_COUNT)
    return PC_ERR_RANGE;
  double limit_m = kinds[keep->kind].limit_m;
  if (keep->outline.count == 0 && keep->radius_m > limit_m)
    limit_m = keep->radius_m;
  bool hydrant = keep->kind == PC_KEEP_HYDRANT;
  double reach_m = hydrant ? fmax(limit_m, s->limits->hydrant_front_m) : limit_m;
  pc_shape thing = {.outline = &keep->outline, .at = keep->at};
  pc_bounds place = pc_bounds_of(&thing);
  pc_status status = PC_OK;
  for (size_t z = 0; z < s->count && status == PC_OK; z++) {
    nearness near;
    if (!bounds_within(s->bounds[z], place, reach_m))
      continue;
    if (!measure(s, &s->zones[z], &thing, &near))
      status = pc_survey_failed(s);
    else if (is_too_near(&near, limit_m))
      status = add_near(s, kinds[keep->kind].rule, z, &keep->name, &near, limit_m);
    else if (hydrant && is_too_near(&near, s->limits->hydrant_front_m))
      status = add_near(s, PC_SITING_HYDRANT_FRONT, z, &keep->name, &near, s->limits->hydrant_front_m);
  }
  pc_survey_drop(s, thing.body);
  return status;
}
