// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/geos.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "site/crowd.h"

static void keep_message(const char *message, void *user) {
  pc_geos *geos = user;
  size_t length = strlen(message);
  if (length >= sizeof geos->message)
    length = sizeof geos->message - 1;
  memcpy(geos->message, message, length);
  geos->message[length] = '\0';
}

static void ignore_message(const char *message, void *user) {
  (void)message;
  (void)user;
}

/* All of GEOS turns a lack of memory into a message but this one call, which ends the process. It takes far
 * less than that, so there is always enough for it where this can be had. */
enum { START_BYTES = 64 * 1024 };

bool pc_geos_start(pc_geos *geos) {
  geos->message[0] = '\0';
  geos->handle = NULL;
  void *enough = pc_alloc(START_BYTES, 1);
  free(enough);
  if (!enough)
    return false;
  geos->handle = GEOS_init_r();
  if (!geos->handle)
    return false;
  (void)GEOSContext_setNoticeMessageHandler_r(geos->handle, ignore_message, NULL);
  (void)GEOSContext_setErrorMessageHandler_r(geos->handle, keep_message, geos);
  return true;
}

void pc_geos_stop(pc_geos *geos) {
  if (geos->handle)
    GEOS_finish_r(geos->handle);
  geos->handle = NULL;
}

pc_status pc_geos_status(const pc_geos *geos) {
  /* GEOS turns every C++ exception into a message; without one only an allocation of ours can have failed. */
  if (!geos->handle || geos->message[0] == '\0' || strstr(geos->message, "bad_alloc"))
    return PC_ERR_MEMORY;
  return PC_ERR_GEOMETRY;
}

GEOSGeometry *pc_geos_polygon(pc_geos *geos, const pc_ring *ring) {
  if (ring->count > PC_RING_MAX) {
    keep_message("outline has too many points", geos);
    return NULL;
  }
  double *flat = pc_alloc(ring->count + 1, 2 * sizeof *flat);
  if (!flat)
    return NULL;
  size_t closed = ring->count > 0 ? ring->count + 1 : 0;
  for (size_t i = 0; i < closed; i++) {
    const pc_point *point = &ring->points[i % ring->count];
    flat[2 * i] = point->x_m;
    flat[2 * i + 1] = point->y_m;
  }
  GEOSGeometry *shell = NULL, *polygon = NULL;
  GEOSCoordSequence *sequence = GEOSCoordSeq_copyFromBuffer_r(geos->handle, flat, (unsigned)closed, 0, 0);
  free(flat);
  if (sequence)
    shell = GEOSGeom_createLinearRing_r(geos->handle, sequence); /* takes the sequence, even if it fails */
  if (shell)
    polygon = GEOSGeom_createPolygon_r(geos->handle, shell, NULL, 0); /* takes the shell likewise */
  return polygon;
}

void pc_geos_drop_all(pc_geos *geos, GEOSGeometry **items, size_t count) {
  for (size_t i = 0; i < count; i++)
    if (items[i])
      GEOSGeom_destroy_r(geos->handle, items[i]);
}

GEOSGeometry *pc_geos_collect(pc_geos *geos, int type, GEOSGeometry **items, size_t count) {
  return GEOSGeom_createCollection_r(geos->handle, type, items, (unsigned)count);
}

GEOSGeometry *pc_geos_joined(pc_geos *geos, GEOSGeometry **items, size_t count) {
  GEOSGeometry *all = pc_geos_collect(geos, GEOS_GEOMETRYCOLLECTION, items, count);
  GEOSGeometry *made = all ? GEOSUnaryUnion_r(geos->handle, all) : NULL;
  if (all)
    GEOSGeom_destroy_r(geos->handle, all);
  return made;
}

GEOSGeometry *pc_geos_union(pc_geos *geos, const pc_ring *const *rings, size_t count) {
  if (count == 0)
    return GEOSGeom_createEmptyPolygon_r(geos->handle);
  GEOSGeometry **parts = pc_alloc(count, sizeof *parts), *joined = NULL;
  size_t made = 0;
  for (bool good = parts != NULL; good && made < count; made += good) {
    parts[made] = pc_geos_polygon(geos, rings[made]);
    good = parts[made] != NULL;
  }
  if (made == count)
    joined = pc_crowd_joined(geos, parts, count);
  else if (parts)
    pc_geos_drop_all(geos, parts, made);
  free(parts);
  return joined;
}

bool pc_geos_frame(pc_geos *geos, const GEOSGeometry *geometry, double *x0, double *y0, double *x1,
                   double *y1) {
  return GEOSGeom_getXMin_r(geos->handle, geometry, x0) && GEOSGeom_getYMin_r(geos->handle, geometry, y0) &&
         GEOSGeom_getXMax_r(geos->handle, geometry, x1) && GEOSGeom_getYMax_r(geos->handle, geometry, y1);
}

bool pc_geos_areas(pc_geos *geos, const GEOSGeometry *geometry, double *area_m2, double *hull_m2) {
  if (!GEOSArea_r(geos->handle, geometry, area_m2))
    return false;
  if (!hull_m2)
    return true;
  GEOSGeometry *hull = GEOSConvexHull_r(geos->handle, geometry);
  if (!hull)
    return false;
  bool good = GEOSArea_r(geos->handle, hull, hull_m2) == 1;
  GEOSGeom_destroy_r(geos->handle, hull);
  return good;
}

/* ---- rings of a geometry ---- */

static void turn_round(pc_ring *ring) {
  for (size_t i = 0, j = ring->count; i + 1 < j--; i++) {
    pc_point held = ring->points[i];
    ring->points[i] = ring->points[j];
    ring->points[j] = held;
  }
}

/* One closed ring (GEOS repeats the first point at its end). */
static pc_status take_ring(pc_geos *geos, const GEOSGeometry *ring, bool hole,
                           pc_status (*take)(void *context, const pc_ring *ring), void *context) {
  const GEOSCoordSequence *sequence = ring ? GEOSGeom_getCoordSeq_r(geos->handle, ring) : NULL;
  unsigned count = 0;
  if (!sequence || !GEOSCoordSeq_getSize_r(geos->handle, sequence, &count))
    return pc_geos_status(geos);
  if (count < 4)
    return PC_OK;
  pc_ring points = {pc_alloc(count, sizeof(pc_point)), count - 1};
  if (!points.points)
    return PC_ERR_MEMORY;
  pc_status status = PC_OK;
  for (unsigned i = 0; i < count && status == PC_OK; i++)
    if (!GEOSCoordSeq_getXY_r(geos->handle, sequence, i, &points.points[i].x_m, &points.points[i].y_m))
      status = pc_geos_status(geos);
  if (status == PC_OK) {
    if ((pc_ring_area_m2(&points) < 0) != hole)
      turn_round(&points);
    status = take(context, &points);
  }
  free(points.points);
  return status;
}

pc_status pc_geos_each_ring(pc_geos *geos, const GEOSGeometry *geometry,
                            pc_status (*take)(void *context, const pc_ring *ring), void *context) {
  int parts = GEOSGetNumGeometries_r(geos->handle, geometry);
  if (parts < 0)
    return pc_geos_status(geos);
  for (int p = 0; p < parts; p++) {
    const GEOSGeometry *part = GEOSGetGeometryN_r(geos->handle, geometry, p);
    if (!part)
      return pc_geos_status(geos);
    if (GEOSGeomTypeId_r(geos->handle, part) != GEOS_POLYGON || GEOSisEmpty_r(geos->handle, part))
      continue;
    int holes = GEOSGetNumInteriorRings_r(geos->handle, part);
    pc_status status = holes < 0
                           ? pc_geos_status(geos)
                           : take_ring(geos, GEOSGetExteriorRing_r(geos->handle, part), false, take, context);
    for (int h = 0; h < holes && status == PC_OK; h++)
      status = take_ring(geos, GEOSGetInteriorRingN_r(geos->handle, part, h), true, take, context);
    if (status != PC_OK)
      return status;
  }
  return PC_OK;
}
