// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/geos.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

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

bool pc_geos_start(pc_geos *geos) {
  geos->message[0] = '\0';
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

GEOSGeometry *pc_geos_union(pc_geos *geos, const pc_ring *const *rings, size_t count) {
  if (count == 0)
    return GEOSGeom_createEmptyPolygon_r(geos->handle);
  GEOSGeometry *all = NULL, *joined = NULL;
  GEOSGeometry **parts = pc_alloc(count, sizeof *parts);
  if (!parts)
    return NULL;
  for (size_t i = 0; i < count; i++) {
    parts[i] = pc_geos_polygon(geos, rings[i]);
    if (!parts[i]) {
      while (i-- > 0)
        GEOSGeom_destroy_r(geos->handle, parts[i]);
      goto out;
    }
  }
  all = GEOSGeom_createCollection_r(geos->handle, GEOS_GEOMETRYCOLLECTION, parts, (unsigned)count);
  if (all)
    joined = GEOSUnaryUnion_r(geos->handle, all);
out:
  if (all)
    GEOSGeom_destroy_r(geos->handle, all);
  free(parts);
  return joined;
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
