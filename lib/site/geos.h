// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Internal: the few GEOS calls that this folder shares. Not installed; nothing outside lib/site includes it.
 *
 * One context per use (re-entrant API), so nothing is shared between threads. GEOS never prints: its
 * messages end in pc_geos.message. Geometries returned belong to the caller (GEOSGeom_destroy_r).
 * Functions that return a pointer return NULL on failure; pc_geos_status then says why.
 */
#ifndef PC_SITE_GEOS_H
#define PC_SITE_GEOS_H

#include <geos_c.h>

#include "site/geometry.h"

typedef struct pc_geos {
  GEOSContextHandle_t handle;
  char message[200]; /* last error, "" = none */
} pc_geos;

/* False if no context could be made. The struct must stay where it is until pc_geos_stop. */
PC_MUST_USE bool pc_geos_start(pc_geos *geos);
void pc_geos_stop(pc_geos *geos); /* also after a failed start, or on a zeroed struct */
/* What the last failure amounts to: PC_ERR_MEMORY or PC_ERR_GEOMETRY. */
pc_status pc_geos_status(const pc_geos *geos);
/* The ring as a polygon; it is not checked for crossings. */
GEOSGeometry *pc_geos_polygon(pc_geos *geos, const pc_ring *ring);
/* For each that there is. */
void pc_geos_drop_all(pc_geos *geos, GEOSGeometry **items, size_t count);
/* A collection of that type, and the union of all. Both take the items, also on failure. */
GEOSGeometry *pc_geos_collect(pc_geos *geos, int type, GEOSGeometry **items, size_t count);
GEOSGeometry *pc_geos_joined(pc_geos *geos, GEOSGeometry **items, size_t count);
/* Union of rings; with count 0 an empty geometry. */
GEOSGeometry *pc_geos_union(pc_geos *geos, const pc_ring *const *rings, size_t count);
/* What bounds a geometry. */
PC_MUST_USE bool pc_geos_frame(pc_geos *geos, const GEOSGeometry *geometry, double *x0, double *y0,
                               double *x1, double *y1);
/* Area of a geometry and of its convex hull (hull_m2 may be NULL). */
PC_MUST_USE bool pc_geos_areas(pc_geos *geos, const GEOSGeometry *geometry, double *area_m2, double *hull_m2);
/* Calls `take` for every ring of every polygon of a geometry, with the inside to the ring's left (an outer
 * ring runs counter-clockwise, a hole clockwise); lines and points are passed over. Stops at the first
 * failure. */
pc_status pc_geos_each_ring(pc_geos *geos, const GEOSGeometry *geometry,
                            pc_status (*take)(void *context, const pc_ring *ring), void *context);

#endif
