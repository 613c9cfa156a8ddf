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

typedef struct edge {
  double x, y, dx, dy, inverse; /* start, run, 1 / length² (0 for no length) */
} edge;

typedef struct straight {
  pc_routes base; /* first, so that the table's functions get back to the whole */
  size_t *first;  /* edges of zone z: first[z] … first[z + 1] − 1; a point zone has none */
  edge *edges;
} straight;

static double straight_between(const pc_routes *routes, pc_point from, pc_point to) {
  (void)routes;
  /* Not hypot: coordinates can't overflow here, and this is called for every candidate bite. */
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m;
  return sqrt(dx * dx + dy * dy);
}

static double straight_to_zone(const pc_routes *routes, pc_point from, size_t zone, pc_point *face) {
  const straight *all = (const straight *)(const void *)routes;
  const edge *at = all->edges + all->first[zone], *end = all->edges + all->first[zone + 1];
  if (at == end) {
    *face = routes->zones[zone]->at;
    return straight_between(routes, from, *face);
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
      *face = (pc_point){at->x + along * at->dx, at->y + along * at->dy};
    }
  }
  if (inside) {
    *face = from;
    return 0;
  }
  return sqrt(best);
}

static void straight_free(pc_routes *routes) {
  straight *all = (straight *)(void *)routes;
  free(all->first);
  free(all->edges);
  free(all);
}

static const pc_routes_kind straight_kind = {
    "straight",       "Straight lines: right where the pavement is convex and nothing stands on it.",
    straight_to_zone, straight_between,
    straight_free,
};

static pc_routes *make_straight(const pc_zone *const *zones, size_t zone_count) {
  size_t count = 0;
  for (size_t z = 0; z < zone_count; z++)
    count += zones[z]->outline.count;
  straight *all = pc_alloc(1, sizeof *all);
  if (!all)
    return NULL;
  all->base = (pc_routes){&straight_kind, zones, zone_count};
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

/* ---- is a straight line right here? ---- */

/* Cautions if straight lines between places on the pavement may leave it. */
static pc_status check_convex(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                              pc_faults *faults) {
  size_t count = 0;
  double area = 0, hull = 0;
  const pc_ring **rings = pc_alloc(site->area_count + site->ground_count + zone_count, sizeof *rings);
  if (!rings)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < site->area_count; i++)
    rings[count++] = &site->areas[i].outline;
  for (size_t i = 0; i < site->ground_count; i++)
    rings[count++] = &site->ground[i].outline;
  for (size_t i = 0; i < zone_count; i++)
    if (zones[i]->outline.count > 0)
      rings[count++] = &zones[i]->outline;
  pc_status status = pc_rings_hull(rings, count, &area, &hull);
  free(rings);
  if (status == PC_OK && hull - area > hollow_allowed * area) {
    char size[40];
    (void)pc_units_print(size, sizeof size, hull - area, PC_DIM_AREA, PC_METRIC, 3);
    pc_faults_caution(
        faults, "site",
        "the pavement has notches, gaps or bays of %s in all; ways are measured in straight lines, "
        "which may cross them, so real times may be longer",
        size);
  }
  return status;
}

/* Pavement that stays open whatever lies in the zones, but for the zones that reach into it. */
typedef struct pavement {
  pc_geos geos;
  GEOSGeometry *shape;
  double hollow_m2; /* convex hull less area */
} pavement;

static pc_status lay_pavement(const pc_site *site, pavement *all) {
  size_t count = 0;
  double area = 0, hull = 0;
  const pc_ring **rings = pc_alloc(site->area_count + site->ground_count, sizeof *rings);
  if (!rings)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < site->area_count; i++)
    rings[count++] = &site->areas[i].outline;
  for (size_t i = 0; i < site->ground_count; i++)
    rings[count++] = &site->ground[i].outline;
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

static pc_status name_zones(const pc_zone *const *zones, const size_t *in_way, size_t count,
                            pc_faults *faults) {
  enum { NAMED_MAX = 3 };
  pc_text names = {0};
  for (size_t i = 0; i < count && i < NAMED_MAX; i++)
    pc_text_addf(&names, "%s\"%.63s\"", i > 0 ? ", " : "", zones[in_way[i]]->name.text);
  if (count > NAMED_MAX)
    pc_text_addf(&names, " and %zu more", count - NAMED_MAX);
  if (!names.failed)
    pc_faults_caution(
        faults, "site",
        "%s %s on pavement that machines would cross; ways are measured in straight lines, which may "
        "run through the pile, so real times may be longer",
        names.data, count == 1 ? "lies" : "lie");
  pc_status status = names.failed ? PC_ERR_MEMORY : PC_OK;
  pc_text_free(&names);
  return status;
}

/* Zones that reach into an area so that ways would have to bend round them. */
static pc_status check_zones(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                             pc_faults *faults) {
  pavement all = {.shape = NULL};
  size_t reaching = 0, alone = 0;
  size_t *in_way = pc_alloc(zone_count, sizeof *in_way);
  const pc_ring **rings = pc_alloc(zone_count, sizeof *rings);
  pc_status status = in_way && rings && pc_geos_start(&all.geos) ? lay_pavement(site, &all) : PC_ERR_MEMORY;
  for (size_t z = 0; z < zone_count && status == PC_OK; z++) {
    double reach = 0;
    status = zone_reach(site, zones[z], &reach);
    if (reach > reach_allowed_m2) {
      in_way[reaching] = z;
      rings[reaching++] = &zones[z]->outline;
    }
  }
  /* Zones that fill a whole side between them block nothing, though one of them alone would. */
  bool blocked = false;
  if (status == PC_OK && reaching > 0)
    status = zones_block(&all, rings, reaching, &blocked);
  for (size_t i = 0; blocked && i < reaching && status == PC_OK; i++) {
    bool by_this = false;
    status = zones_block(&all, &rings[i], 1, &by_this);
    if (by_this) { /* to the front, in order */
      size_t z = in_way[i];
      in_way[i] = in_way[alone];
      in_way[alone++] = z;
    }
  }
  if (blocked && status == PC_OK)
    status = name_zones(zones, in_way, alone > 0 ? alone : reaching, faults);
  if (all.shape)
    GEOSGeom_destroy_r(all.geos.handle, all.shape);
  pc_geos_stop(&all.geos);
  free(in_way);
  free(rings);
  return status;
}

pc_status pc_routes_straight(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                             pc_routes **routes, pc_faults *faults) {
  *routes = NULL;
  if (site->obstacle_count > 0)
    return pc_faults_add(
        faults, PC_ERR_GEOMETRY, "site.obstacles", NULL,
        "straight routes can't go round obstacles, and this site has %zu; cut them out of the "
        "areas' outlines, or leave them out",
        site->obstacle_count);
  pc_status status = check_convex(site, zones, zone_count, faults);
  if (status == PC_OK)
    status = check_zones(site, zones, zone_count, faults);
  if (status == PC_OK) {
    *routes = make_straight(zones, zone_count);
    status = *routes ? PC_OK : PC_ERR_MEMORY;
  }
  if (status != PC_OK)
    return pc_faults_add(faults, status, "site", NULL, "routes could not be worked out: %s",
                         status == PC_ERR_MEMORY ? "out of memory" : "an outline crosses or touches itself");
  return PC_OK;
}

void pc_routes_free(pc_routes *routes) {
  if (routes)
    routes->kind->free(routes);
}
