// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/blocked.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "site/crowd.h"
#include "site/weld.h"

static const double graze_m = 1e-3;        /* edges are shrunk by this */
static const double simplify_share = 0.02; /* of the half width: corners nearer to a line than this go */

/* ---- shapes ---- */

static GEOSGeometry *grown(pc_geos *geos, const GEOSGeometry *shape, double by_m) {
  return pc_crowd_grown(geos, shape, by_m, PC_WELD_MITRE);
}

static void drop(pc_geos *geos, GEOSGeometry **shape) {
  if (*shape)
    GEOSGeom_destroy_r(geos->handle, *shape);
  *shape = NULL;
}

typedef struct rings { /* outlines to be joined; those of round obstacles are made here and owned */
  const pc_ring **items;
  pc_ring *made;
  size_t count, made_count;
} rings;

static void free_rings(rings *all) {
  for (size_t i = 0; i < all->made_count; i++)
    pc_ring_free(&all->made[i]);
  free(all->made);
  free(all->items);
}

static pc_status start_rings(const pc_site *site, size_t zone_count, rings *all) {
  size_t most = site->obstacle_count + zone_count + site->area_count + site->ground_count;
  *all = (rings){.items = pc_alloc(most, sizeof *all->items),
                 .made = pc_alloc(site->obstacle_count, sizeof *all->made)};
  return all->items && all->made ? PC_OK : PC_ERR_MEMORY;
}

static void add_zones(const pc_zone *const *zones, size_t zone_count, rings *all) {
  for (size_t z = 0; z < zone_count; z++)
    if (zones[z]->outline.count > 0)
      all->items[all->count++] = &zones[z]->outline;
}

static pc_status add_obstacles(const pc_site *site, rings *all) {
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *o = &site->obstacles[i];
    if (o->outline.count > 0) {
      all->items[all->count++] = &o->outline;
      continue;
    }
    pc_ring *ring = &all->made[all->made_count];
    pc_status status = pc_ring_round(o->at, o->radius_m, ring);
    if (status != PC_OK)
      return status;
    all->made_count++;
    all->items[all->count++] = ring;
  }
  return PC_OK;
}

static pc_status join(pc_geos *geos, const rings *all, GEOSGeometry **shape) {
  *shape = pc_geos_union(geos, all->items, all->count);
  return *shape ? PC_OK : pc_geos_status(geos);
}

/* Obstacles, and zones if they block. */
static pc_status lay_solids(pc_geos *geos, const pc_site *site, const pc_zone *const *zones,
                            size_t zone_count, GEOSGeometry **shape) {
  rings all;
  pc_status status = start_rings(site, zone_count, &all);
  if (status == PC_OK)
    status = add_obstacles(site, &all);
  if (status == PC_OK) {
    add_zones(zones, zone_count, &all);
    status = join(geos, &all, shape);
  }
  free_rings(&all);
  return status;
}

/* Everything within `margin` of the pavement's frame that is no pavement. */
static GEOSGeometry *frame_less(pc_geos *geos, const GEOSGeometry *pavement, double margin_m) {
  double x0, y0, x1, y1;
  if (!pc_geos_frame(geos, pavement, &x0, &y0, &x1, &y1))
    return NULL;
  GEOSGeometry *frame =
      GEOSGeom_createRectangle_r(geos->handle, x0 - margin_m, y0 - margin_m, x1 + margin_m, y1 + margin_m);
  GEOSGeometry *rest = frame ? GEOSDifferencePrec_r(geos->handle, frame, pavement, PC_WELD_GRID_M) : NULL;
  drop(geos, &frame);
  return rest;
}

typedef struct piles { /* zones: their pavement, too, may be driven on */
  const pc_zone *const *zones;
  size_t count;
} piles;

/* Those outlines of the pavement from `first` to before `end` that are closed, or that are open; and zones.
 */
static pc_status join_pavement(pc_geos *geos, const pc_site *site, const bool *closed, bool wanted,
                               size_t first, size_t end, piles with, GEOSGeometry **shape) {
  rings all;
  pc_status status = start_rings(site, with.count, &all);
  if (status == PC_OK) {
    size_t count = pc_site_pavement(site, all.items);
    for (size_t i = first; i < end && i < count; i++)
      if ((closed && closed[i]) == wanted)
        all.items[all.count++] = all.items[i];
    add_zones(with.zones, with.count, &all);
    status = join(geos, &all, shape);
  }
  free_rings(&all);
  return status;
}

/* All that is drawn as pavement and open to the machine. What is closed is taken out of ground that it lies
 * on; areas and zones stay whole. */
static pc_status lay_drawn(pc_geos *geos, const pc_site *site, piles with, const bool *closed,
                           GEOSGeometry **drawn) {
  size_t areas = site->area_count, all = areas + site->ground_count;
  piles none = {NULL, 0};
  if (!closed)
    return join_pavement(geos, site, NULL, false, 0, all, with, drawn);
  GEOSGeometry *whole = NULL, *ground = NULL, *shut = NULL, *rest = NULL;
  pc_status status = join_pavement(geos, site, closed, false, 0, areas, with, &whole);
  if (status == PC_OK)
    status = join_pavement(geos, site, closed, false, areas, all, none, &ground);
  if (status == PC_OK)
    status = join_pavement(geos, site, closed, true, 0, all, none, &shut);
  if (status == PC_OK) {
    rest = GEOSDifferencePrec_r(geos->handle, ground, shut, PC_WELD_GRID_M);
    *drawn = rest ? GEOSUnionPrec_r(geos->handle, whole, rest, PC_WELD_GRID_M) : NULL;
    status = *drawn ? PC_OK : pc_geos_status(geos);
  }
  drop(geos, &whole);
  drop(geos, &ground);
  drop(geos, &shut);
  drop(geos, &rest);
  return status;
}

static pc_status lay_off_pavement(pc_geos *geos, const pc_site *site, const pc_zone *const *zones,
                                  size_t zone_count, pc_clearance clearance, GEOSGeometry **shape) {
  GEOSGeometry *drawn = NULL, *pavement = NULL;
  pc_status status = lay_drawn(geos, site, (piles){zones, zone_count}, clearance.closed, &drawn);
  if (status == PC_OK) {
    pavement = pc_weld_pavement(geos, drawn);
    *shape = pavement ? frame_less(geos, pavement, 3.0 * clearance.half_width_m + 10.0) : NULL;
    status = *shape ? PC_OK : pc_geos_status(geos);
  }
  drop(geos, &drawn);
  drop(geos, &pavement);
  return status;
}

/* ---- from shapes to edges and corners ---- */

typedef struct harvest {
  double x0, y0, x1, y1; /* corners outside of this are not taken */
  pc_leg_edge *edges;
  size_t edge_count, edge_room;
  pc_corner *corners;
  size_t corner_count, corner_room;
} harvest;

static pc_status take_edges(void *context, const pc_ring *ring) {
  harvest *all = context;
  void *room = all->edges;
  if (pc_reserve(&room, &all->edge_room, all->edge_count + ring->count, sizeof *all->edges) != 0)
    return PC_ERR_MEMORY;
  all->edges = room;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    all->edges[all->edge_count++] = (pc_leg_edge){a.x_m, a.y_m, b.x_m, b.y_m};
  }
  return PC_OK;
}

/* The solid lies to the left of a ring: where it turns left it is a corner that ways bend around. */
static pc_status take_corners(void *context, const pc_ring *ring) {
  harvest *all = context;
  void *room = all->corners;
  if (pc_reserve(&room, &all->corner_room, all->corner_count + ring->count, sizeof *all->corners) != 0)
    return PC_ERR_MEMORY;
  all->corners = room;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[(i + ring->count - 1) % ring->count], b = ring->points[i];
    pc_point c = ring->points[(i + 1) % ring->count];
    if (b.x_m < all->x0 || b.x_m > all->x1 || b.y_m < all->y0 || b.y_m > all->y1)
      continue; /* the outer edge of what is off the pavement */
    double ux = b.x_m - a.x_m, uy = b.y_m - a.y_m, vx = c.x_m - b.x_m, vy = c.y_m - b.y_m;
    if (ux * vy - uy * vx > 1e-9 * (hypot(ux, uy) * hypot(vx, vy)))
      all->corners[all->corner_count++] = (pc_corner){b, a, c};
  }
  return PC_OK;
}

static pc_status to_legs(pc_geos *geos, const GEOSGeometry *shape, pc_legs *legs) {
  harvest all = {0};
  GEOSGeometry *shrunk = grown(geos, shape, -graze_m);
  pc_status status = shrunk ? pc_geos_each_ring(geos, shrunk, take_edges, &all) : pc_geos_status(geos);
  drop(geos, &shrunk);
  if (status != PC_OK) {
    free(all.edges);
    return status;
  }
  return pc_legs_make(all.edges, all.edge_count, legs);
}

static pc_status to_corners(pc_geos *geos, const GEOSGeometry *shape, pc_blocked *blocked) {
  harvest all = {0};
  if (!pc_geos_frame(geos, shape, &all.x0, &all.y0, &all.x1, &all.y1))
    return pc_geos_status(geos);
  double margin = 2.0;
  all.x0 += margin, all.y0 += margin, all.x1 -= margin, all.y1 -= margin;
  pc_status status = pc_geos_each_ring(geos, shape, take_corners, &all);
  blocked->corners = all.corners;
  blocked->corner_count = all.corner_count;
  return status;
}

/* ---- gaps too narrow to pass ---- */

static const double bar_m = 0.1; /* width of a bar across a gap */

typedef struct part { /* one piece of what is blocked, and its frame */
  const GEOSGeometry *shape;
  double x0, y0, x1, y1;
} part;

/* A bar between the nearest places of two pieces, if they are nearer than `width`. */
static bool add_bar(pc_geos *geos, const part *a, const part *b, double width_m, GEOSGeometry **bars,
                    size_t *count) {
  if (a->x0 - b->x1 >= width_m || b->x0 - a->x1 >= width_m || a->y0 - b->y1 >= width_m ||
      b->y0 - a->y1 >= width_m)
    return true;
  GEOSCoordSequence *ends = GEOSNearestPoints_r(geos->handle, a->shape, b->shape);
  double x0, y0, x1, y1;
  bool good = ends && GEOSCoordSeq_getXY_r(geos->handle, ends, 0, &x0, &y0) &&
              GEOSCoordSeq_getXY_r(geos->handle, ends, 1, &x1, &y1);
  if (ends)
    GEOSCoordSeq_destroy_r(geos->handle, ends);
  if (!good)
    return false;
  double length = hypot(x1 - x0, y1 - y0);
  if (length >= width_m || !(length > 0.0))
    return true;
  double reach = 0.01 / length, ux = (x1 - x0) * reach, uy = (y1 - y0) * reach; /* a little into both */
  double vx = -0.5 * bar_m * (y1 - y0) / length, vy = 0.5 * bar_m * (x1 - x0) / length;
  pc_point corners[] = {{x0 - ux + vx, y0 - uy + vy},
                        {x0 - ux - vx, y0 - uy - vy},
                        {x1 + ux - vx, y1 + uy - vy},
                        {x1 + ux + vx, y1 + uy + vy}};
  const pc_ring ring = {corners, 4};
  bars[*count] = pc_geos_polygon(geos, &ring);
  return bars[(*count)++] != NULL;
}

/* Takes the bars. */
static GEOSGeometry *with_bars(pc_geos *geos, const GEOSGeometry *shape, GEOSGeometry **bars, size_t count) {
  GEOSGeometry *joined = pc_geos_joined(geos, bars, count);
  GEOSGeometry *made = joined ? GEOSUnionPrec_r(geos->handle, shape, joined, PC_WELD_GRID_M) : NULL;
  drop(geos, &joined);
  return made;
}

/* Overlays may leave lines and points where shapes touch: without them. Takes the shape. */
static GEOSGeometry *polygons_of(pc_geos *geos, GEOSGeometry *shape) {
  if (!shape || GEOSGeomTypeId_r(geos->handle, shape) != GEOS_GEOMETRYCOLLECTION)
    return shape;
  int parts = GEOSGetNumGeometries_r(geos->handle, shape);
  GEOSGeometry **items = pc_alloc(parts > 0 ? (size_t)parts : 0, sizeof(GEOSGeometry *));
  size_t count = 0;
  bool good = items != NULL;
  for (int i = 0; i < parts && good; i++) {
    const GEOSGeometry *piece = GEOSGetGeometryN_r(geos->handle, shape, i);
    if (!piece || GEOSGeomTypeId_r(geos->handle, piece) != GEOS_POLYGON)
      continue;
    items[count] = GEOSGeom_clone_r(geos->handle, piece);
    good = items[count] != NULL;
    count += good;
  }
  GEOSGeometry *made = NULL;
  if (good)
    made = pc_geos_collect(geos, GEOS_MULTIPOLYGON, items, count);
  else if (items)
    pc_geos_drop_all(geos, items, count);
  free(items);
  drop(geos, &shape);
  return made;
}

/* Growing and shrinking does not bridge two round things, between which a box nonetheless can't pass. Takes
 * the shape; NULL on failure. */
static GEOSGeometry *barred(pc_geos *geos, GEOSGeometry *closed_shape, double width_m) {
  GEOSGeometry *shape = polygons_of(geos, closed_shape);
  int parts = shape && width_m > 0.0 ? GEOSGetNumGeometries_r(geos->handle, shape) : 0;
  if (parts < 2)
    return shape;
  size_t n = (size_t)parts, room = 0, count = 0;
  part *all = pc_alloc(n, sizeof *all);
  void *bars = NULL;
  bool good = all != NULL;
  for (size_t i = 0; i < n && good; i++) {
    all[i].shape = GEOSGetGeometryN_r(geos->handle, shape, (int)i);
    good = all[i].shape && pc_geos_frame(geos, all[i].shape, &all[i].x0, &all[i].y0, &all[i].x1, &all[i].y1);
    for (size_t j = 0; j < i && good; j++)
      good = pc_reserve(&bars, &room, count + 1, sizeof(GEOSGeometry *)) == 0 &&
             add_bar(geos, &all[i], &all[j], width_m, bars, &count);
  }
  free(all);
  GEOSGeometry *made = good ? shape : NULL;
  if (good && count > 0)
    made = with_bars(geos, shape, bars, count);
  else
    pc_geos_drop_all(geos, bars, count);
  if (made != shape)
    drop(geos, &shape);
  free(bars);
  return made;
}

/* A shape with its gaps closed and barred; *exact as in pc_weld_closed. */
static GEOSGeometry *tightened(pc_geos *geos, const GEOSGeometry *shape, double half_width_m,
                               GEOSGeometry **exact) {
  return barred(geos, pc_weld_closed(geos, shape, half_width_m, exact), 2.0 * half_width_m);
}

static pc_status to_solid(pc_geos *geos, const GEOSGeometry *solids, double half_width_m,
                          pc_blocked *blocked) {
  GEOSGeometry *exact = NULL, *solid = tightened(geos, solids, half_width_m, &exact);
  pc_status status = solid ? to_legs(geos, solid, &blocked->solid) : pc_geos_status(geos);
  drop(geos, &exact);
  drop(geos, &solid);
  return status;
}

static pc_status make_shapes(pc_geos *geos, const GEOSGeometry *solids, const GEOSGeometry *off,
                             pc_clearance clearance, pc_blocked *blocked) {
  double half_width_m = clearance.half_width_m;
  blocked->cut_m = clearance.hug ? 0.0 : simplify_share * half_width_m;
  GEOSGeometry *all = pc_crowd_union(geos, solids, off, PC_WELD_GRID_M), *exact = NULL, *wide = NULL;
  GEOSGeometry *tight = all ? tightened(geos, all, half_width_m, &exact) : NULL;
  if (tight && half_width_m > 0.0 && !clearance.hug)
    wide = GEOSTopologyPreserveSimplify_r(geos->handle, exact, blocked->cut_m);
  else if (tight)
    wide = GEOSGeom_clone_r(geos->handle, tight);
  pc_status status = wide ? to_legs(geos, wide, &blocked->wide) : pc_geos_status(geos);
  if (status == PC_OK)
    status = to_legs(geos, tight, &blocked->tight);
  if (status == PC_OK && !clearance.hug)
    status = to_solid(geos, solids, half_width_m, blocked);
  if (status == PC_OK)
    status = to_corners(geos, wide, blocked);
  drop(geos, &all);
  drop(geos, &exact);
  drop(geos, &wide);
  drop(geos, &tight);
  return status;
}

pc_status pc_blocked_make(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                          pc_clearance clearance, pc_blocked *blocked) {
  pc_geos geos;
  GEOSGeometry *solids = NULL, *off = NULL;
  *blocked = (pc_blocked){0};
  pc_status status = pc_geos_start(&geos) ? PC_OK : PC_ERR_MEMORY;
  if (status == PC_OK)
    status = lay_solids(&geos, site, zones, clearance.zones_block ? zone_count : 0, &solids);
  if (status == PC_OK)
    status = lay_off_pavement(&geos, site, zones, zone_count, clearance, &off);
  if (status == PC_OK)
    status = make_shapes(&geos, solids, off, clearance, blocked);
  drop(&geos, &solids);
  drop(&geos, &off);
  pc_geos_stop(&geos);
  return status;
}

size_t pc_blocked_free_stretches(const pc_blocked *blocked, pc_point from, pc_point to, pc_stretch *stretches,
                                 size_t most) {
  enum { CROSSINGS_MAX = 2000 };
  double at[CROSSINGS_MAX + 1];
  size_t crossings = pc_legs_crossings(&blocked->tight, from, to, at, CROSSINGS_MAX), count = 0;
  bool free_here = !pc_legs_inside(&blocked->tight, from);
  /* edges are shrunk: stretches keep as far outside of the true ones */
  double begin = 0.0, length = hypot(to.x_m - from.x_m, to.y_m - from.y_m);
  double off = length > 0.0 ? 2.0 * graze_m / length : 0.0;
  at[crossings] = 1.0 + off;
  for (size_t i = 0; i <= crossings && count < most; i++) {
    if (free_here && at[i] - off > begin)
      stretches[count++] = (pc_stretch){begin, at[i] - off};
    begin = at[i] + off;
    free_here = !free_here;
  }
  return count;
}

void pc_blocked_free(pc_blocked *blocked) {
  pc_legs_free(&blocked->wide);
  pc_legs_free(&blocked->tight);
  pc_legs_free(&blocked->solid);
  free(blocked->corners);
  memset(blocked, 0, sizeof *blocked);
}
