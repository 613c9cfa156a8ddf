// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Internal: shapes of very many pieces. GEOS works on all pieces of a shape at once, in time that grows with
 * their number, or, where they crowd, with its square; most of them need not be looked at together. Below
 * PC_CROWD_MANY pieces, or where they do not crowd, these are the plain calls of GEOS, to the last bit.
 * Geometries returned belong to the caller; NULL on failure: pc_geos_status says why. Not installed; nothing
 * outside lib/site includes it.
 */
#ifndef PC_SITE_CROWD_H
#define PC_SITE_CROWD_H

#include "site/geos.h"

enum { PC_CROWD_MANY = 1000 };

/* The shape with a strip of by_m added all round, or (by_m < 0) taken off; mitre_limit is GEOS's. */
GEOSGeometry *pc_crowd_grown(pc_geos *geos, const GEOSGeometry *shape, double by_m, double mitre_limit);
/* Union of polygons. Takes the items, also on failure. */
GEOSGeometry *pc_crowd_joined(pc_geos *geos, GEOSGeometry **items, size_t count);
/* Union of two shapes of polygons, with places on a grid. */
GEOSGeometry *pc_crowd_union(pc_geos *geos, const GEOSGeometry *a, const GEOSGeometry *b, double grid_m);

#endif
