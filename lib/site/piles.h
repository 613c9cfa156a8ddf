// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Volume of a pile: the truncated heap on an outline, that is ∫ min(limit, distance to the edge × tan θ)
 * over the outline, which equals ∫₀^H area(outline shrunk by z / tan θ) dz. Computed edge by edge from the
 * largest discs that touch the edge from inside (piles.c says how).
 *
 * Metres, m³, radians. Nothing is kept or owned; every function is thread-safe.
 */
#ifndef PC_SITE_PILES_H
#define PC_SITE_PILES_H

#include "site/site.h"

PC_BEGIN_C

/* Heap volume on an outline with a height limit (may be INFINITY) and slope 0 < θ < π/2; relative error below
 * 1e-6. Errors: PC_ERR_RANGE (height or slope, or a corner farther than 100,000 km from the origin),
 * PC_ERR_GEOMETRY (the outline crosses itself), PC_ERR_MEMORY; *volume_m3 is then left alone. Time grows with
 * the square of the number of corners. */
PC_API PC_MUST_USE pc_status pc_heap_volume_m3(const pc_ring *outline, double height_m,
                                               double repose_angle_rad, double *volume_m3);
/* Capacity of a zone: its given volume, or the heap on its outline, or INFINITY for a point zone. */
PC_API PC_MUST_USE pc_status pc_zone_capacity_m3(const pc_zone *zone, double repose_angle_rad,
                                                 double *capacity_m3);

/* Closed forms, for reports and checks. */
PC_API double pc_cone_volume_m3(double base_radius_m, double repose_angle_rad);
PC_API double pc_cone_frustum_volume_m3(double bottom_radius_m, double top_radius_m, double height_m);
/* Prismatoid with rectangular base a×b and top c×d. */
PC_API double pc_prismatoid_volume_m3(double a_m, double b_m, double c_m, double d_m, double height_m);
/* Conical spoil bank of a given volume: base diameter and height. */
PC_API void pc_cone_of_volume(double volume_m3, double repose_angle_rad, double *base_diameter_m,
                              double *height_m);
/* Triangular ridge of a given volume and length: base width and height. */
PC_API void pc_ridge_of_volume(double volume_m3, double length_m, double repose_angle_rad,
                               double *base_width_m, double *height_m);

PC_END_C

#endif
