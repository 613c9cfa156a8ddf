// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Internal: gaps in shapes, closed. Whether a way over the pavement is there must be the same question for
 * ways (blocked.c) and for siting (siting_ways.c): both take the pavement from pc_weld_pavement. Geometries
 * returned belong to the caller; NULL on failure: pc_geos_status says why. Not installed; nothing outside
 * lib/site includes it.
 */
#ifndef PC_SITE_WELD_H
#define PC_SITE_WELD_H

#include "site/geos.h"

/* Outlines that differ by rounding only: without such a grid, GEOS may lose a part. */
#define PC_WELD_GRID_M 1e-8
/* A right angle keeps its corner; a sharper one is cut off. */
#define PC_WELD_MITRE 1.5

/* The shape with every gap closed that is narrower than 2·by_m. *exact is the shape grown by just by_m (NULL:
 * by nothing); it is the caller's too, and may be NULL after a failure. */
GEOSGeometry *pc_weld_closed(pc_geos *geos, const GEOSGeometry *shape, double by_m, GEOSGeometry **exact);
/* The pavement as it is driven: gaps in its drawing, narrower than 10 cm, are none. */
GEOSGeometry *pc_weld_pavement(pc_geos *geos, const GEOSGeometry *drawn);

#endif
