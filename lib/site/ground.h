// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The lane grid: each area is cut into strips along its heading and stations across it. A cell's area is
 * the exact area of its rectangle inside the area's outline, less pile zones (and, with obstacle routing,
 * obstacles). The grid is constant once made and may be shared between threads; what changes in a run
 * (kilograms per cell) is kept elsewhere.
 *
 * Each area has a frame: u along the heading, v to its left; (u, v) = (0, 0) is the world's origin, so
 * x = u·cos − v·sin, y = u·sin + v·cos. Strip j spans v in [v0 + j·strip, v0 + (j+1)·strip], station i
 * spans u in [u0 + i·station, u0 + (i+1)·station]. Cell (i, j) of an area has index
 * first_cell + i·strips + j: the strips of one station lie side by side.
 */
#ifndef PC_SITE_GROUND_H
#define PC_SITE_GROUND_H

#include "site/site.h"

PC_BEGIN_C

typedef struct pc_patch { /* the grid of one area */
  double cosine, sine;    /* of the heading */
  double u0_m, v0_m;      /* low corner of the grid */
  double u1_m, v1_m;      /* high corner */
  double strip_m, station_m;
  int strips, stations;
  size_t first_cell;
  double area_m2; /* sum of its cells */
} pc_patch;

typedef struct pc_ground {
  pc_patch *patches; /* one per area of the site, same order */
  size_t patch_count;
  double *cell_m2;
  size_t cell_count;
} pc_ground;

enum { PC_CELLS_MAX = 5000000 /* some 500 bytes each, with all that a lot keeps of them */ };

/* Strip width for a set of swaths: between 0.3 and 0.6 m, so that each swath is as nearly as possible a
 * whole number of strips (exactly, for one swath), the widest such. strips_of[i] is the number that box i
 * covers: floor(swath / strip), at least 1, so no box ever covers more than its swath. For swaths under
 * 0.3 m the strip is the swath. */
PC_API double pc_strip_width_m(const double *swaths_m, size_t count, int *strips_of);

/* Strips are at most strip_m wide and stations at most station_m long (2 m is usual), a whole number of
 * each over the area's width and length.
 * `holes` are outlines taken out of every area (pile zones that lie on it); hole_count may be 0.
 * Errors: PC_ERR_LIMIT over PC_CELLS_MAX cells, PC_ERR_MEMORY, PC_ERR_GEOMETRY. */
PC_API PC_MUST_USE pc_status pc_ground_create(const pc_site *site, const pc_ring *const *holes,
                                              size_t hole_count, double strip_m, double station_m,
                                              pc_ground **ground, pc_error *error);
PC_API void pc_ground_free(pc_ground *ground);

/* From the frame of an area to the world. */
static inline pc_point pc_patch_world(const pc_patch *patch, double u_m, double v_m) {
  const pc_point point = {u_m * patch->cosine - v_m * patch->sine, u_m * patch->sine + v_m * patch->cosine};
  return point;
}

/* And back. */
static inline void pc_patch_local(const pc_patch *patch, pc_point point, double *u_m, double *v_m) {
  *u_m = point.x_m * patch->cosine + point.y_m * patch->sine;
  *v_m = point.y_m * patch->cosine - point.x_m * patch->sine;
}

/* Index of a cell. */
static inline size_t pc_patch_cell(const pc_patch *patch, int station, int strip) {
  return patch->first_cell + (size_t)station * (size_t)patch->strips + (size_t)strip;
}

/* Patch whose cells (with area > 0) contain the point, or -1. */
PC_API int pc_ground_find(const pc_ground *ground, pc_point point);

PC_END_C

#endif
