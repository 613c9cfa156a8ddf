// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/geometry.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "base/units.h"
#include "site/geos.h"

static bool is_place(pc_point point) {
  return fabs(point.x_m) <= PC_FARTHEST_M && fabs(point.y_m) <= PC_FARTHEST_M; /* no NaN is */
}

pc_status pc_ring_copy(pc_ring *to, const pc_point *points, size_t count) {
  pc_point *copy = count > 0 ? pc_copy(points, count, sizeof *points) : NULL;
  *to = (pc_ring){copy, copy ? count : 0};
  return copy || count == 0 ? PC_OK : PC_ERR_MEMORY;
}

void pc_ring_free(pc_ring *ring) {
  if (!ring)
    return;
  free(ring->points);
  *ring = (pc_ring){NULL, 0};
}

/* Twice the signed area of the triangle (origin, a, b). */
static double cross_from(pc_point origin, pc_point a, pc_point b) {
  return (a.x_m - origin.x_m) * (b.y_m - origin.y_m) - (a.y_m - origin.y_m) * (b.x_m - origin.x_m);
}

double pc_ring_area_m2(const pc_ring *ring) {
  pc_sum twice = {0, 0};
  for (size_t i = 1; i + 1 < ring->count; i++)
    pc_sum_add(&twice, cross_from(ring->points[0], ring->points[i], ring->points[i + 1]));
  return pc_sum_value(&twice) / 2;
}

pc_point pc_ring_centroid(const pc_ring *ring) {
  if (ring->count == 0)
    return (pc_point){0, 0};
  pc_point origin = ring->points[0];
  pc_sum twice = {0, 0}, x = {0, 0}, y = {0, 0}, mean_x = {0, 0}, mean_y = {0, 0};
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double weight = cross_from(origin, a, b);
    pc_sum_add(&twice, weight);
    pc_sum_add(&x, weight * (a.x_m + b.x_m - 2 * origin.x_m));
    pc_sum_add(&y, weight * (a.y_m + b.y_m - 2 * origin.y_m));
    pc_sum_add(&mean_x, a.x_m - origin.x_m);
    pc_sum_add(&mean_y, a.y_m - origin.y_m);
  }
  double total = pc_sum_value(&twice), count = (double)ring->count;
  if (total == 0) /* a line or a single place: the mean of its corners is the best there is */
    return (pc_point){origin.x_m + pc_sum_value(&mean_x) / count, origin.y_m + pc_sum_value(&mean_y) / count};
  return (pc_point){origin.x_m + pc_sum_value(&x) / (3 * total), origin.y_m + pc_sum_value(&y) / (3 * total)};
}

static pc_point nearest_on_segment(pc_point a, pc_point b, pc_point from) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, squared = dx * dx + dy * dy;
  if (!(squared > 0))
    return a;
  double along = ((from.x_m - a.x_m) * dx + (from.y_m - a.y_m) * dy) / squared;
  if (along <= 0)
    return a;
  if (along >= 1)
    return b;
  return (pc_point){a.x_m + along * dx, a.y_m + along * dy};
}

/* Distance to the nearest edge, whether inside or out; *inside by the crossing rule. */
static double edge_distance(const pc_ring *ring, pc_point from, pc_point *nearest, bool *inside) {
  double best = INFINITY;
  *inside = false;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[i + 1 < ring->count ? i + 1 : 0];
    if ((a.y_m > from.y_m) != (b.y_m > from.y_m) &&
        from.x_m < a.x_m + (from.y_m - a.y_m) * ((b.x_m - a.x_m) / (b.y_m - a.y_m)))
      *inside = !*inside;
    pc_point here = nearest_on_segment(a, b, from);
    double distance = hypot(here.x_m - from.x_m, here.y_m - from.y_m);
    if (distance < best) {
      best = distance;
      *nearest = here;
    }
  }
  return best;
}

bool pc_ring_contains(const pc_ring *ring, pc_point point) {
  pc_point nearest = point;
  bool inside;
  double distance = edge_distance(ring, point, &nearest, &inside);
  double scale = fmax(fabs(point.x_m), fabs(point.y_m));
  return inside || distance <= 16 * DBL_EPSILON * fmax(scale, 1);
}

double pc_ring_distance_m(const pc_ring *ring, pc_point from, pc_point *nearest) {
  pc_point edge = from;
  bool inside;
  double distance = edge_distance(ring, from, &edge, &inside);
  if (inside) {
    distance = 0;
    edge = from;
  }
  if (nearest)
    *nearest = edge;
  return distance;
}

/* True if all points lie on one line (or are one place), to rounding. */
static bool ring_is_flat(const pc_ring *ring) {
  pc_point origin = ring->points[0], far = origin;
  double reach = 0, widest = 0;
  for (size_t i = 1; i < ring->count; i++) {
    double distance = hypot(ring->points[i].x_m - origin.x_m, ring->points[i].y_m - origin.y_m);
    if (distance > reach) {
      reach = distance;
      far = ring->points[i];
    }
  }
  for (size_t i = 1; i < ring->count; i++)
    widest = fmax(widest, fabs(cross_from(origin, far, ring->points[i])));
  double scale = fmax(fabs(origin.x_m), fabs(origin.y_m)) + reach;
  return widest <= 8 * DBL_EPSILON * scale * reach;
}

/* GEOS's verdict on an outline: 1 sound, 0 it crosses or touches itself at *place (NaN: nobody knows where),
 * 2 it could not be checked. */
static char judge_shape(pc_geos *geos, const pc_ring *ring, pc_point *place) {
  char *reason = NULL;
  GEOSGeometry *location = NULL, *polygon = pc_geos_polygon(geos, ring);
  char valid = polygon ? GEOSisValidDetail_r(geos->handle, polygon, 0, &reason, &location) : 2;
  *place = (pc_point){NAN, NAN};
  double x, y;
  if (valid == 0 && location && GEOSGeomGetX_r(geos->handle, location, &x) == 1 &&
      GEOSGeomGetY_r(geos->handle, location, &y) == 1)
    *place = (pc_point){x, y};
  if (reason)
    GEOSFree_r(geos->handle, reason);
  if (location)
    GEOSGeom_destroy_r(geos->handle, location);
  if (polygon)
    GEOSGeom_destroy_r(geos->handle, polygon);
  return valid;
}

/* Where and how an outline crosses or touches itself. */
static void validate_shape(pc_geos *geos, const pc_ring *ring, const char *key, pc_faults *faults) {
  pc_point place;
  char valid = judge_shape(geos, ring, &place);
  if (valid == 2) {
    pc_faults_add(faults, pc_geos_status(geos), key, NULL, "the outline could not be checked: %s",
                  geos->message[0] ? geos->message : "out of memory");
  } else if (valid == 0) {
    bool known = isfinite(place.x_m);
    pc_shown at = pc_show_place(place.x_m, place.y_m, faults->units);
    pc_faults_add(
        faults, PC_ERR_GEOMETRY, key, known ? at.text : "",
        "the outline crosses or touches itself%s%s; list its corners once, in order around the shape",
        known ? " at " : "", known ? at.text : "");
  }
}

pc_status pc_ring_crossing(const pc_ring *ring, bool *crosses, pc_point *place) {
  pc_geos geos;
  pc_point found = {NAN, NAN};
  char valid = 2;
  if (pc_geos_start(&geos))
    valid = judge_shape(&geos, ring, &found);
  pc_status status = valid == 2 ? pc_geos_status(&geos) : PC_OK;
  pc_geos_stop(&geos);
  *crosses = valid == 0;
  if (place)
    *place = found;
  return status;
}

pc_status pc_ring_round(pc_point at, double radius_m, pc_ring *ring) {
  /* Half a side of the octagon: tan(22.5°) of the radius. */
  const double half = radius_m * (sqrt(2.0) - 1.0), r = radius_m;
  const pc_point way[] = {{r, -half}, {r, half},   {half, r},   {-half, r},
                          {-r, half}, {-r, -half}, {-half, -r}, {half, -r}};
  pc_point corners[8];
  *ring = (pc_ring){NULL, 0};
  if (!is_place(at) || !(radius_m >= 0.0 && radius_m <= PC_FARTHEST_M))
    return PC_ERR_GEOMETRY;
  for (size_t i = 0; i < 8; i++)
    corners[i] = (pc_point){at.x_m + way[i].x_m, at.y_m + way[i].y_m};
  return pc_ring_copy(ring, corners, 8);
}

/* The outer ring of a polygon that has no holes, as a ring of ours. */
static pc_status ring_of_polygon(pc_geos *geos, const GEOSGeometry *polygon, pc_ring *ring) {
  if (GEOSGeomTypeId_r(geos->handle, polygon) != GEOS_POLYGON ||
      GEOSGetNumInteriorRings_r(geos->handle, polygon) != 0 || GEOSisEmpty_r(geos->handle, polygon) != 0)
    return PC_ERR_GEOMETRY;
  const GEOSGeometry *shell = GEOSGetExteriorRing_r(geos->handle, polygon);
  const GEOSCoordSequence *sequence = shell ? GEOSGeom_getCoordSeq_r(geos->handle, shell) : NULL;
  unsigned count = 0;
  if (!sequence || !GEOSCoordSeq_getSize_r(geos->handle, sequence, &count) || count < 4)
    return PC_ERR_GEOMETRY;
  pc_point *points = pc_alloc(count, sizeof *points);
  if (!points)
    return PC_ERR_MEMORY;
  for (unsigned i = 0; i + 1 < count; i++) /* the last one is the first again */
    if (!GEOSCoordSeq_getXY_r(geos->handle, sequence, i, &points[i].x_m, &points[i].y_m)) {
      free(points);
      return PC_ERR_GEOMETRY;
    }
  *ring = (pc_ring){points, count - 1};
  return PC_OK;
}

pc_status pc_ring_along(const pc_point *points, size_t count, double width_m, pc_ring *ring) {
  pc_geos geos = {0};
  pc_status status = PC_ERR_MEMORY;
  GEOSGeometry *line = NULL, *strip = NULL;
  GEOSCoordSequence *sequence = NULL;
  double *flat = NULL;
  *ring = (pc_ring){NULL, 0};
  if (count < 2 || count > PC_RING_MAX || !(width_m > 0.0 && width_m <= PC_FARTHEST_M))
    return PC_ERR_GEOMETRY;
  for (size_t i = 0; i < count; i++) /* of a NaN GEOS makes a crash */
    if (!is_place(points[i]))
      return PC_ERR_GEOMETRY;
  flat = pc_alloc(count, 2 * sizeof *flat);
  if (!flat || !pc_geos_start(&geos))
    goto out;
  for (size_t i = 0; i < count; i++) {
    flat[2 * i] = points[i].x_m;
    flat[2 * i + 1] = points[i].y_m;
  }
  sequence = GEOSCoordSeq_copyFromBuffer_r(geos.handle, flat, (unsigned)count, 0, 0);
  if (sequence)
    line = GEOSGeom_createLineString_r(geos.handle, sequence); /* takes the sequence, even if it fails */
  if (line)
    strip = GEOSBufferWithStyle_r(geos.handle, line, width_m / 2, 8, GEOSBUF_CAP_FLAT, GEOSBUF_JOIN_MITRE, 2);
  status = strip ? ring_of_polygon(&geos, strip, ring) : pc_geos_status(&geos);
out:
  if (strip)
    GEOSGeom_destroy_r(geos.handle, strip);
  if (line)
    GEOSGeom_destroy_r(geos.handle, line);
  pc_geos_stop(&geos);
  free(flat);
  return status;
}

static pc_status keep_largest(void *context, const pc_ring *ring) {
  pc_ring *kept = context;
  if (kept->count > 0 && pc_ring_area_m2(ring) <= pc_ring_area_m2(kept))
    return PC_OK;
  pc_ring_free(kept);
  return pc_ring_copy(kept, ring->points, ring->count);
}

pc_status pc_ring_grown(const pc_ring *ring, double by_m, pc_ring *grown) {
  pc_geos geos = {0};
  pc_status status = PC_ERR_MEMORY;
  GEOSGeometry *shape = NULL, *big = NULL;
  *grown = (pc_ring){NULL, 0};
  if (!pc_geos_start(&geos))
    return status;
  shape = pc_geos_polygon(&geos, ring);
  if (shape)
    big = GEOSBufferWithStyle_r(geos.handle, shape, by_m, 8, GEOSBUF_CAP_ROUND, GEOSBUF_JOIN_MITRE, 2);
  status = big ? pc_geos_each_ring(&geos, big, keep_largest, grown) : pc_geos_status(&geos);
  if (status == PC_OK && grown->count == 0)
    status = PC_ERR_GEOMETRY;
  if (shape)
    GEOSGeom_destroy_r(geos.handle, shape);
  if (big)
    GEOSGeom_destroy_r(geos.handle, big);
  pc_geos_stop(&geos);
  return status;
}

void pc_ring_validate(const pc_ring *ring, const char *key, pc_faults *faults) {
  if (ring->count < 3) {
    pc_faults_add(faults, ring->count == 0 ? PC_ERR_MISSING : PC_ERR_GEOMETRY, key, NULL,
                  "an outline needs at least 3 corners, this one has %zu", ring->count);
    return;
  }
  if (ring->count > PC_RING_MAX) {
    pc_faults_add(faults, PC_ERR_LIMIT, key, NULL, "an outline may have at most %d corners, this one has %zu",
                  (int)PC_RING_MAX, ring->count);
    return;
  }
  for (size_t i = 0; i < ring->count; i++) {
    if (!is_place(ring->points[i])) {
      pc_faults_add(faults, PC_ERR_RANGE, key, NULL,
                    "corner %zu is not a place: coordinates must be numbers within 100,000 km of the origin",
                    i + 1);
      return;
    }
  }
  if (ring_is_flat(ring)) {
    pc_faults_add(faults, PC_ERR_GEOMETRY, key, NULL, "the outline has no area: its corners lie on one line");
    return;
  }
  pc_geos geos;
  if (pc_geos_start(&geos))
    validate_shape(&geos, ring, key, faults);
  else
    pc_faults_add(faults, PC_ERR_MEMORY, key, NULL, "out of memory");
  pc_geos_stop(&geos);
}

static void bounds(const pc_ring *ring, pc_point *low, pc_point *high) {
  *low = (pc_point){INFINITY, INFINITY};
  *high = (pc_point){-INFINITY, -INFINITY};
  for (size_t i = 0; i < ring->count; i++) {
    low->x_m = fmin(low->x_m, ring->points[i].x_m);
    low->y_m = fmin(low->y_m, ring->points[i].y_m);
    high->x_m = fmax(high->x_m, ring->points[i].x_m);
    high->y_m = fmax(high->y_m, ring->points[i].y_m);
  }
}

static const double touch_m2 = 0.01, touch_m = 0.1;

/* Whether nothing of a shape is wider than touch_m. */
static bool is_sliver(pc_geos *geos, const GEOSGeometry *shape, bool *sliver) {
  GEOSGeometry *core = GEOSBuffer_r(geos->handle, shape, -0.5 * touch_m, 8);
  char empty = core ? GEOSisEmpty_r(geos->handle, core) : 2;
  *sliver = empty == 1;
  if (core)
    GEOSGeom_destroy_r(geos->handle, core);
  return empty != 2;
}

static pc_status shared_area(const pc_ring *a, const pc_ring *b, bool but_slivers, double *area_m2) {
  pc_point a_low, a_high, b_low, b_high;
  bounds(a, &a_low, &a_high);
  bounds(b, &b_low, &b_high);
  if (a_low.x_m > b_high.x_m || b_low.x_m > a_high.x_m || a_low.y_m > b_high.y_m || b_low.y_m > a_high.y_m) {
    *area_m2 = 0;
    return PC_OK;
  }
  pc_geos geos;
  pc_status status = PC_ERR_MEMORY;
  GEOSGeometry *first = NULL, *second = NULL, *shared = NULL;
  if (!pc_geos_start(&geos))
    goto out;
  first = pc_geos_polygon(&geos, a);
  second = pc_geos_polygon(&geos, b);
  if (first && second)
    shared = GEOSIntersection_r(geos.handle, first, second);
  bool good = shared && pc_geos_areas(&geos, shared, area_m2, NULL);
  bool touch = good && but_slivers && *area_m2 <= touch_m2;
  if (good && but_slivers && !touch)
    good = is_sliver(&geos, shared, &touch);
  if (touch)
    *area_m2 = 0;
  status = good ? PC_OK : pc_geos_status(&geos);
out:
  if (first)
    GEOSGeom_destroy_r(geos.handle, first);
  if (second)
    GEOSGeom_destroy_r(geos.handle, second);
  if (shared)
    GEOSGeom_destroy_r(geos.handle, shared);
  pc_geos_stop(&geos);
  return status;
}

pc_status pc_rings_shared_area(const pc_ring *a, const pc_ring *b, double *area_m2) {
  return shared_area(a, b, false, area_m2);
}

pc_status pc_rings_overlap(const pc_ring *a, const pc_ring *b, double *area_m2) {
  return shared_area(a, b, true, area_m2);
}

pc_status pc_rings_distance(const pc_ring *a, const pc_ring *b, double *distance_m) {
  pc_geos geos;
  pc_status status = PC_ERR_MEMORY;
  GEOSGeometry *first = NULL, *second = NULL;
  if (!pc_geos_start(&geos))
    goto out;
  first = pc_geos_polygon(&geos, a);
  second = pc_geos_polygon(&geos, b);
  bool good = first && second && GEOSDistance_r(geos.handle, first, second, distance_m) == 1;
  status = good ? PC_OK : pc_geos_status(&geos);
out:
  if (first)
    GEOSGeom_destroy_r(geos.handle, first);
  if (second)
    GEOSGeom_destroy_r(geos.handle, second);
  pc_geos_stop(&geos);
  return status;
}

pc_status pc_rings_hull(const pc_ring *const *rings, size_t count, double *union_m2, double *hull_m2) {
  pc_geos geos;
  pc_status status = PC_ERR_MEMORY;
  GEOSGeometry *joined = NULL;
  if (!pc_geos_start(&geos))
    goto out;
  joined = pc_geos_union(&geos, rings, count);
  status = joined && pc_geos_areas(&geos, joined, union_m2, hull_m2) ? PC_OK : pc_geos_status(&geos);
out:
  if (joined)
    GEOSGeom_destroy_r(geos.handle, joined);
  pc_geos_stop(&geos);
  return status;
}
