// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * How far it is from one place to another, and along which way. An interface with one implementation for
 * now: straight lines, right where the pavement is convex and free of obstacles (pc_routes_straight checks
 * that and adds a caution where it is not). Obstacle routing plugs in behind the same table.
 * Constant once made; may be shared between threads. No allocation after creation.
 */
#ifndef PC_SITE_ROUTES_H
#define PC_SITE_ROUTES_H

#include "site/site.h"

typedef struct pc_routes pc_routes;

typedef struct pc_routes_kind {
  const char *name, *doc;
  /* Length of the way from a point to the nearest face of zone `zone`; *face is where it ends. */
  double (*to_zone)(const pc_routes *routes, pc_point from, size_t zone, pc_point *face);
  /* Length of the way between two points. */
  double (*between)(const pc_routes *routes, pc_point from, pc_point to);
  void (*free)(pc_routes *routes);
} pc_routes_kind;

struct pc_routes {
  const pc_routes_kind *kind;
  const pc_zone *const *zones; /* borrowed from the caller of the constructor: must outlive the routes */
  size_t zone_count;
};

/* Straight routes over a site to these zones. Adds a caution (key "site") if the pavement (areas, ground
 * outlines, zones together) is not convex to within 0.1 % of its area, or if a zone lies in the way between
 * others; refuses a site with obstacles (PC_ERR_GEOMETRY in faults) so that nothing is silently driven
 * through. */
PC_API PC_MUST_USE pc_status pc_routes_straight(const pc_site *site, const pc_zone *const *zones,
                                                size_t zone_count, pc_routes **routes, pc_faults *faults);
PC_API void pc_routes_free(pc_routes *routes);

static inline double pc_routes_to_zone(const pc_routes *routes, pc_point from, size_t zone, pc_point *face) {
  pc_point unused;
  return routes->kind->to_zone(routes, from, zone, face ? face : &unused);
}

static inline double pc_routes_between(const pc_routes *routes, pc_point from, pc_point to) {
  return routes->kind->between(routes, from, to);
}

#endif
