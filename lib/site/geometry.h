// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Points, rings and the few geometric facts the library needs. Validity, clipping, union and offsets are
 * GEOS's work (its re-entrant API: one context per call, so every function is thread-safe).
 * Lengths in metres, areas in m², angles in radians counter-clockwise from east (+x).
 */
#ifndef PC_SITE_GEOMETRY_H
#define PC_SITE_GEOMETRY_H

#include "base/status.h"

PC_BEGIN_C

/* No coordinate is farther from the origin: far beyond any projected one on Earth (4e7 m round), yet safe to
 * square. */
#define PC_FARTHEST_M 1e8

typedef struct pc_point {
  double x_m, y_m;
} pc_point;

/* A closed outline: count points, the first not repeated. Either turning direction. Owned by whoever
 * holds it; free with pc_ring_free. */
typedef struct pc_ring {
  pc_point *points;
  size_t count;
} pc_ring;

enum { PC_RING_MAX = 10000 };

/* Corners of its own. PC_ERR_MEMORY: then *to is empty, as after any failure of what makes a ring here. */
PC_API PC_MUST_USE pc_status pc_ring_copy(pc_ring *to, const pc_point *points, size_t count);
PC_API void pc_ring_free(pc_ring *ring);
/* Signed area (counter-clockwise positive). */
PC_API double pc_ring_area_m2(const pc_ring *ring);
PC_API pc_point pc_ring_centroid(const pc_ring *ring);
PC_API bool pc_ring_contains(const pc_ring *ring, pc_point point); /* edge counts as inside (to rounding) */
/* Distance from a point to the ring as a filled shape (0 inside), and the nearest point (may be NULL). */
PC_API double pc_ring_distance_m(const pc_ring *ring, pc_point from, pc_point *nearest);

/* Adds a fault for: fewer than 3 points, non-finite coordinates, no area, an outline that crosses or
 * touches itself (GEOS's validity, with the place in the message), more than PC_RING_MAX points. */
PC_API void pc_ring_validate(const pc_ring *ring, const char *key, pc_faults *faults);

/* Whether the outline crosses or touches itself, and where (`place` may be NULL; NaN: not known). */
PC_API PC_MUST_USE pc_status pc_ring_crossing(const pc_ring *ring, bool *crosses, pc_point *place);

/* An outline grown outwards by a distance, corners mitred; a bay that closes up is filled. The caller frees
 * it. */
PC_API PC_MUST_USE pc_status pc_ring_grown(const pc_ring *ring, double by_m, pc_ring *grown);
/* An outline around a point that a circle of this radius just fits into: an octagon with flat sides to the
 * east and north. PC_ERR_GEOMETRY for a place or a radius that is none (NaN, below 0, beyond PC_FARTHEST_M).
 * The caller frees it. */
PC_API PC_MUST_USE pc_status pc_ring_round(pc_point at, double radius_m, pc_ring *ring);
/* The outline of a strip of this width along a line, with flat ends and mitred corners. PC_ERR_GEOMETRY if
 * the strip closes on itself, so that it is no simple outline (a line around a yard), or if the line has no
 * length, a place that is none or a width that is not more than 0. The caller frees it. */
PC_API PC_MUST_USE pc_status pc_ring_along(const pc_point *points, size_t count, double width_m,
                                           pc_ring *ring);

/* Area shared by two rings, m². */
PC_API PC_MUST_USE pc_status pc_rings_shared_area(const pc_ring *a, const pc_ring *b, double *area_m2);
/* The same, but 0 where they only touch as drawn: where they share less than 0.01 m², or nowhere lie on each
 * other by more than 10 cm. Gaps so narrow are none either (site/weld.h). */
PC_API PC_MUST_USE pc_status pc_rings_overlap(const pc_ring *a, const pc_ring *b, double *area_m2);
/* Distance between two rings as filled shapes (0 if they touch). */
PC_API PC_MUST_USE pc_status pc_rings_distance(const pc_ring *a, const pc_ring *b, double *distance_m);
/* Of the union of `count` rings: its area, and that of its convex hull. The difference is what a straight
 * route may wrongly cross. */
PC_API PC_MUST_USE pc_status pc_rings_hull(const pc_ring *const *rings, size_t count, double *union_m2,
                                           double *hull_m2);

PC_END_C

#endif
