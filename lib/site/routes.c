// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/routes.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "site/geos.h"

/* Share of the pavement's area that its convex hull may exceed it by. */
static const double hollow_allowed = 0.001;
/* A zone that reaches less than this into the pavement is in nobody's way. */
static const double reach_allowed_m2 = 0.5;

/* ---- straight lines ---- */

static double apart_m(pc_point from, pc_point to) {
  /* Not hypot: coordinates can't overflow here, and this is called for every candidate bite. */
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m;
  return sqrt(dx * dx + dy * dy);
}

static void straight_way(pc_point from, pc_point end, double length_m, pc_way *way) {
  *way = (pc_way){length_m, 0.0, end, end, from, PC_NO_CORNER, PC_NO_CORNER};
}

static void straight_between(const pc_routes *routes, const pc_outlook *from, const pc_place *to,
                             pc_way *way) {
  (void)routes;
  straight_way(from->at, to->at, apart_m(from->at, to->at), way);
}

typedef struct edge {
  double x, y, dx, dy, inverse; /* start, run, 1 / length² (0 for no length) */
} edge;

typedef struct straight {
  pc_routes base; /* first, so that the table's functions get back to the whole */
  size_t *first;  /* edges of zone z: first[z] … first[z + 1] − 1; a point zone has none */
  edge *edges;
} straight;

static void straight_to_zone(const pc_routes *routes, const pc_place *place, size_t zone, pc_way *way) {
  const straight *all = (const straight *)(const void *)routes;
  const edge *at = all->edges + all->first[zone], *end = all->edges + all->first[zone + 1];
  pc_point from = place->at, face = from;
  if (at == end) {
    face = routes->zones[zone]->at;
    straight_way(from, face, apart_m(from, face), way);
    return;
  }
  double best = INFINITY;
  bool inside = false;
  for (; at < end; at++) {
    double rx = from.x_m - at->x, ry = from.y_m - at->y;
    if ((ry < 0) != (ry < at->dy) && (at->dy > 0 ? rx * at->dy < ry * at->dx : rx * at->dy > ry * at->dx))
      inside = !inside;
    double along = (rx * at->dx + ry * at->dy) * at->inverse;
    along = along < 0 ? 0 : along > 1 ? 1 : along;
    double ox = rx - along * at->dx, oy = ry - along * at->dy, squared = ox * ox + oy * oy;
    if (squared < best) {
      best = squared;
      face = (pc_point){at->x + along * at->dx, at->y + along * at->dy};
    }
  }
  if (inside)
    straight_way(from, from, 0, way);
  else
    straight_way(from, face, sqrt(best), way);
}

static void straight_look(const pc_routes *routes, const pc_place *from, bool on_line, pc_outlook *outlook) {
  (void)routes;
  (void)on_line;
  outlook->at = from->at;
  outlook->near_things = false;
  outlook->count = 0;
}

static int straight_path(const pc_routes *routes, pc_point from, const pc_way *way, pc_point *points) {
  (void)routes;
  points[0] = from;
  points[1] = way->end;
  return 2;
}

static bool straight_clear(const pc_routes *routes, pc_point from, pc_point to) {
  (void)routes;
  (void)from;
  (void)to;
  return true;
}

static bool straight_joined(const pc_routes *routes, const pc_outlook *from, const pc_place *to) {
  (void)routes, (void)from, (void)to;
  return true;
}

static size_t straight_face_node(const pc_routes *routes, size_t zone, pc_point at) {
  (void)routes;
  (void)zone;
  (void)at;
  return PC_NO_NODE;
}

static void straight_free(pc_routes *routes) {
  straight *all = (straight *)(void *)routes;
  pc_faces_free(&routes->faces);
  free(all->first);
  free(all->edges);
  free(all);
}

static const pc_routes_kind straight_kind = {
    "straight",         "Straight lines: right where the pavement is convex and nothing stands on it.",
    straight_to_zone,   straight_look,
    straight_between,   straight_path,
    straight_clear,     straight_joined,
    straight_face_node, straight_free,
};

static pc_routes *make_straight(const pc_zone *const *zones, size_t zone_count) {
  size_t count = 0;
  for (size_t z = 0; z < zone_count; z++)
    count += zones[z]->outline.count;
  straight *all = pc_alloc(1, sizeof *all);
  if (!all)
    return NULL;
  all->base = (pc_routes){&straight_kind, zones, zone_count, {0}};
  all->first = pc_alloc(zone_count + 1, sizeof *all->first);
  all->edges = pc_alloc(count, sizeof *all->edges);
  if (!all->first || !all->edges) {
    straight_free(&all->base);
    return NULL;
  }
  size_t next = 0;
  for (size_t z = 0; z < zone_count; z++) {
    const pc_ring *ring = &zones[z]->outline;
    all->first[z] = next;
    for (size_t i = 0; i < ring->count; i++) {
      pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
      double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, squared = dx * dx + dy * dy;
      all->edges[next++] = (edge){a.x_m, a.y_m, dx, dy, squared > 0 ? 1 / squared : 0};
    }
  }
  all->first[zone_count] = next;
  return &all->base;
}

/* A load is brought to a zone from the pavement beside it. */
static bool is_pavement(const void *context, pc_point place) {
  const pc_site *site = context;
  for (size_t i = 0; i < site->area_count; i++)
    if (pc_ring_contains(&site->areas[i].outline, place))
      return true;
  for (size_t i = 0; i < site->ground_count; i++)
    if (pc_ring_contains(&site->ground[i].outline, place))
      return true;
  return false;
}

/* ---- is a straight line right here? ---- */

static pc_status check_convex(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                              bool *convex) {
  double area = 0, hull = 0;
  const pc_ring **rings = pc_alloc(site->area_count + site->ground_count + zone_count, sizeof *rings);
  if (!rings)
    return PC_ERR_MEMORY;
  size_t count = pc_site_pavement(site, rings);
  for (size_t i = 0; i < zone_count; i++)
    if (zones[i]->outline.count > 0)
      rings[count++] = &zones[i]->outline;
  pc_status status = pc_rings_hull(rings, count, &area, &hull);
  free(rings);
  *convex = hull - area <= hollow_allowed * area;
  return status;
}

/* Pavement that stays open whatever lies in the zones, but for the zones that reach into it. */
typedef struct pavement {
  pc_geos geos;
  GEOSGeometry *shape;
  double hollow_m2; /* convex hull less area */
} pavement;

static pc_status lay_pavement(const pc_site *site, pavement *all) {
  double area = 0, hull = 0;
  const pc_ring **rings = pc_alloc(site->area_count + site->ground_count, sizeof *rings);
  if (!rings)
    return PC_ERR_MEMORY;
  size_t count = pc_site_pavement(site, rings);
  all->shape = pc_geos_union(&all->geos, rings, count);
  free(rings);
  if (!all->shape || !pc_geos_areas(&all->geos, all->shape, &area, &hull))
    return pc_geos_status(&all->geos);
  all->hollow_m2 = hull - area;
  return PC_OK;
}

/* True in *blocked if these zones, full of snow, stand where straight lines over the pavement run. */
static pc_status zones_block(pavement *all, const pc_ring *const *rings, size_t count, bool *blocked) {
  pc_geos *geos = &all->geos;
  double area = 0, hull = 0;
  GEOSGeometry *rest = NULL, *piles = pc_geos_union(geos, rings, count);
  if (piles)
    rest = GEOSDifference_r(geos->handle, all->shape, piles);
  bool good = rest && pc_geos_areas(geos, rest, &area, &hull);
  /* Only what the zones add: a pavement with notches of its own has had its caution. */
  *blocked = hull - area - all->hollow_m2 > hollow_allowed * area;
  if (rest)
    GEOSGeom_destroy_r(geos->handle, rest);
  if (piles)
    GEOSGeom_destroy_r(geos->handle, piles);
  return good ? PC_OK : pc_geos_status(geos);
}

static pc_status zone_reach(const pc_site *site, const pc_zone *zone, double *reach_m2) {
  *reach_m2 = 0;
  for (size_t i = 0; i < site->area_count && zone->outline.count > 0; i++) {
    double shared = 0;
    pc_status status = pc_rings_shared_area(&site->areas[i].outline, &zone->outline, &shared);
    if (status != PC_OK)
      return status;
    *reach_m2 += shared;
  }
  return PC_OK;
}

/* Zones that reach into an area so that ways would have to bend round them. Zones that fill a whole side
 * between them block nothing, though one of them alone would. */
static pc_status check_zones(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                             bool *blocked) {
  pavement all = {.shape = NULL};
  size_t reaching = 0;
  const pc_ring **rings = pc_alloc(zone_count, sizeof *rings);
  pc_status status = rings && pc_geos_start(&all.geos) ? lay_pavement(site, &all) : PC_ERR_MEMORY;
  for (size_t z = 0; z < zone_count && status == PC_OK; z++) {
    double reach = 0;
    status = zone_reach(site, zones[z], &reach);
    if (reach > reach_allowed_m2)
      rings[reaching++] = &zones[z]->outline;
  }
  *blocked = false;
  if (status == PC_OK && reaching > 0)
    status = zones_block(&all, rings, reaching, blocked);
  if (all.shape)
    GEOSGeom_destroy_r(all.geos.handle, all.shape);
  pc_geos_stop(&all.geos);
  free(rings);
  return status;
}

pc_status pc_routes_may_be_straight(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                                    bool *are) {
  bool convex = false, blocked = false;
  *are = false;
  if (site->obstacle_count > 0)
    return PC_OK;
  pc_status status = check_convex(site, zones, zone_count, &convex);
  if (status == PC_OK && convex)
    status = check_zones(site, zones, zone_count, &blocked);
  *are = status == PC_OK && convex && !blocked;
  return status;
}

pc_status pc_routes_straight(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                             pc_routes **routes) {
  pc_routes *made = make_straight(zones, zone_count);
  *routes = NULL;
  if (!made)
    return PC_ERR_MEMORY;
  pc_status status = pc_faces_make(zones, zone_count, is_pavement, site, &made->faces);
  if (status != PC_OK) {
    pc_routes_free(made);
    return status;
  }
  *routes = made;
  return PC_OK;
}

void pc_routes_free(pc_routes *routes) {
  if (routes)
    routes->kind->free(routes);
}
