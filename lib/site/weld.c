// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/weld.h"

#include <stdio.h>

#include "site/crowd.h"

static const double weld_m = 0.05; /* half of the gaps that are none */

static void drop(pc_geos *geos, GEOSGeometry **shape) {
  if (*shape)
    GEOSGeom_destroy_r(geos->handle, *shape);
  *shape = NULL;
}

/* Closes gaps narrower than 2·by: shrinks what has grown by so much, and is never less than it was. */
static GEOSGeometry *closed_by(pc_geos *geos, const GEOSGeometry *shape, const GEOSGeometry *big,
                               double by_m) {
  GEOSGeometry *small = pc_crowd_grown(geos, big, -by_m, PC_WELD_MITRE);
  GEOSGeometry *made = small ? pc_crowd_union(geos, small, shape, PC_WELD_GRID_M) : NULL;
  drop(geos, &small);
  return made;
}

static bool is_whole(pc_geos *geos, const GEOSGeometry *part, const GEOSGeometry *whole) {
  double part_m2, whole_m2;
  return GEOSisValid_r(geos->handle, whole) == 1 && GEOSArea_r(geos->handle, part, &part_m2) &&
         GEOSArea_r(geos->handle, whole, &whole_m2) &&
         whole_m2 >= part_m2 * (1.0 - 1e-9) - 1e-6; /* rounded to the grid */
}

/* Closing is never to lose any of the shape. Rarely GEOS does, where outlines touch by rounding: a width
 * larger by a hair then mends it. *exact is the shape grown by just the width
 * (NULL: by nothing). */
GEOSGeometry *pc_weld_closed(pc_geos *geos, const GEOSGeometry *shape, double by_m, GEOSGeometry **exact) {
  enum { TRIES = 4 };
  *exact = NULL;
  if (!(by_m > 0.0))
    return GEOSGeom_clone_r(geos->handle, shape);
  for (int i = 0; i < TRIES; i++) {
    double more_m = by_m * (1.0 + 1e-5 * i);
    GEOSGeometry *big = pc_crowd_grown(geos, shape, more_m, PC_WELD_MITRE);
    GEOSGeometry *made = big ? closed_by(geos, shape, big, more_m) : NULL;
    if (i == 0)
      *exact = big;
    else
      drop(geos, &big);
    if (!made || is_whole(geos, shape, made))
      return made;
    drop(geos, &made);
  }
  snprintf(geos->message, sizeof geos->message, "gaps could not be closed");
  return NULL;
}

GEOSGeometry *pc_weld_pavement(pc_geos *geos, const GEOSGeometry *drawn) {
  GEOSGeometry *exact = NULL, *made = pc_weld_closed(geos, drawn, weld_m, &exact);
  drop(geos, &exact);
  return made;
}
