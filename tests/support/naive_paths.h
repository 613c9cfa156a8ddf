// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The slow, obvious shortest path among filled polygons, for comparison with the library's routes: every
 * corner of every ring and the ends are the nodes of a visibility graph, searched by Dijkstra's method
 * without a heap. Shares nothing with the library but the types of points and rings. Lengths in metres.
 *
 * A path may touch corners, slide along edges and pass where two rings merely touch; it may not enter the
 * interior of a ring. Rings are simple polygons of either turning direction and may touch or overlap. What
 * is nearer to a ring's outline than 1e-9 of the scene's extent counts as outside, so
 * a ring without an area stops nothing. Nothing bounds the plane.
 *
 * `corners` (may be NULL) receives the bends in order, without the two ends; it needs room for all corners of
 * all rings. A corner that is only grazed may be among them. *corner_count (may be NULL) is their number.
 * Both functions give INFINITY, and no corners, if there is no path; out of memory ends the program.
 * Thread-safe.
 */
#ifndef PC_TESTS_NAIVE_PATHS_H
#define PC_TESTS_NAIVE_PATHS_H

#include "site/geometry.h"

double naive_path(const pc_ring *rings, size_t count, pc_point from, pc_point to, pc_point *corners,
                  size_t *corner_count);
/* To that point of the segment a–b which is nearest along a path; *nearest (may be NULL) receives it. */
double naive_to_face(const pc_ring *rings, size_t count, pc_point from, pc_point a, pc_point b,
                     pc_point *nearest, pc_point *corners, size_t *corner_count);
/* Inside, and farther than `slack_m` from the outline. */
bool naive_inside(const pc_ring *ring, pc_point point, double slack_m);

#endif
