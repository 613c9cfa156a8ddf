// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/crowd.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/memory.h"

enum {
  FEW = 64,   /* so many pieces are no crowd, however near they are */
  CROWD = 16, /* neighbours that a piece has in a crowd, on average: it then pays to grow each alone */
  MANY = 600  /* with so many it pays however far apart they are: at once, each is asked where it lies among
                 all */
};

static GEOSGeometry *grown_at_once(pc_geos *geos, const GEOSGeometry *shape, double by_m,
                                   double mitre_limit) {
  GEOSBufferParams *style = GEOSBufferParams_create_r(geos->handle);
  if (!style)
    return NULL;
  GEOSGeometry *made = NULL;
  if (GEOSBufferParams_setJoinStyle_r(geos->handle, style, GEOSBUF_JOIN_MITRE) &&
      GEOSBufferParams_setMitreLimit_r(geos->handle, style, mitre_limit))
    made = GEOSBufferWithParams_r(geos->handle, shape, style, by_m);
  GEOSBufferParams_destroy_r(geos->handle, style);
  return made;
}

/* ---- what is a crowd ---- */

/* Grown at once, every outline is cut at every other that it then meets, for outlines nearly all of which
 * lie inside others. Each alone, the union takes neighbours together first. The same for the holes of a shape
 * that shrinks. */
static void count_one(void *item, void *user) {
  (void)item;
  ++*(size_t *)user;
}

/* The frame of a piece, grown. */
static GEOSGeometry *frame_of(pc_geos *geos, const GEOSGeometry *piece, double by_m) {
  double x0, y0, x1, y1;
  if (!pc_geos_frame(geos, piece, &x0, &y0, &x1, &y1))
    return NULL;
  return GEOSGeom_createRectangle_r(geos->handle, x0 - by_m, y0 - by_m, x1 + by_m, y1 + by_m);
}

/* By their frames: it says only which way is quicker. False on failure. */
static bool find_crowd(pc_geos *geos, const GEOSGeometry *const *pieces, size_t count, double by_m,
                       bool *crowd) {
  *crowd = count > MANY;
  if (count <= FEW || count > MANY)
    return true;
  GEOSSTRtree *tree = GEOSSTRtree_create_r(geos->handle, 10);
  if (!tree)
    return false;
  bool good = true;
  size_t met = 0;
  geos->message[0] = '\0';
  for (size_t i = 0; i < count; i++)
    GEOSSTRtree_insert_r(geos->handle, tree, pieces[i], &met /* anything */);
  for (size_t i = 0; i < count && good && met <= CROWD * count; i++) {
    GEOSGeometry *frame = frame_of(geos, pieces[i], 2.0 * by_m);
    if (frame)
      GEOSSTRtree_query_r(geos->handle, tree, frame, count_one, &met);
    good = frame && geos->message[0] == '\0'; /* a failed query says so only there */
    pc_geos_drop_all(geos, &frame, 1);
  }
  GEOSSTRtree_destroy_r(geos->handle, tree);
  *crowd = met > CROWD * count;
  return good;
}

/* ---- each alone ---- */

/* What lies within one ring; the ring is copied. */
static GEOSGeometry *filled(pc_geos *geos, const GEOSGeometry *ring) {
  GEOSGeometry *copy = ring ? GEOSGeom_clone_r(geos->handle, ring) : NULL;
  return copy ? GEOSGeom_createPolygon_r(geos->handle, copy, NULL, 0) : NULL; /* takes it, even if it fails */
}

static GEOSGeometry *grown_ring(pc_geos *geos, const GEOSGeometry *ring, double by_m, double mitre_limit) {
  GEOSGeometry *inside = filled(geos, ring);
  GEOSGeometry *made = inside ? grown_at_once(geos, inside, by_m, mitre_limit) : NULL;
  pc_geos_drop_all(geos, &inside, 1);
  return made;
}

typedef GEOSGeometry *(*grow_one)(pc_geos *geos, const GEOSGeometry *piece, double by_m, double mitre_limit);

static GEOSGeometry *each_alone(pc_geos *geos, const GEOSGeometry *const *pieces, size_t count, double by_m,
                                double mitre_limit, grow_one grow) {
  GEOSGeometry **items = pc_alloc(count, sizeof(GEOSGeometry *)), *made = NULL;
  size_t done = 0;
  for (bool good = items != NULL; good && done < count; done += good) {
    items[done] = grow(geos, pieces[done], by_m, mitre_limit);
    good = items[done] != NULL;
  }
  if (items && done == count)
    made = pc_geos_joined(geos, items, count);
  else if (items)
    pc_geos_drop_all(geos, items, done);
  free(items);
  return made;
}

/* ---- pieces of a shape ---- */

typedef struct pieces { /* views into a shape */
  const GEOSGeometry **items;
  size_t count, room;
} pieces;

static bool add_piece(pieces *all, const GEOSGeometry *piece) {
  void *items = all->items;
  if (!piece || pc_reserve(&items, &all->room, all->count + 1, sizeof *all->items) != 0)
    return false;
  all->items = items;
  all->items[all->count++] = piece;
  return true;
}

static bool add_holes(pc_geos *geos, const GEOSGeometry *polygon, pieces *all) {
  int count = GEOSGetNumInteriorRings_r(geos->handle, polygon);
  bool good = count >= 0;
  for (int i = 0; i < count && good; i++)
    good = add_piece(all, GEOSGetInteriorRingN_r(geos->handle, polygon, i));
  return good;
}

/* Its polygons, or the holes of all of them; without any if it has other parts than polygons. */
static bool list_pieces(pc_geos *geos, const GEOSGeometry *shape, bool holes, pieces *all) {
  int count = GEOSGetNumGeometries_r(geos->handle, shape);
  bool good = count >= 0;
  for (int i = 0; i < count && good; i++) {
    const GEOSGeometry *part = GEOSGetGeometryN_r(geos->handle, shape, i);
    if (part && GEOSGeomTypeId_r(geos->handle, part) != GEOS_POLYGON) {
      all->count = 0;
      return true;
    }
    good = part && (holes ? add_holes(geos, part, all) : add_piece(all, part));
  }
  return good;
}

/* The outer ring shrunk, less the holes grown. */
static GEOSGeometry *shrunk_polygon(pc_geos *geos, const GEOSGeometry *polygon, double by_m,
                                    double mitre_limit) {
  pieces holes = {0};
  GEOSGeometry *outer = grown_ring(geos, GEOSGetExteriorRing_r(geos->handle, polygon), by_m, mitre_limit);
  GEOSGeometry *inner = NULL, *made = NULL;
  if (outer && add_holes(geos, polygon, &holes))
    inner = each_alone(geos, holes.items, holes.count, -by_m, mitre_limit, grown_ring);
  if (inner)
    made = GEOSDifference_r(geos->handle, outer, inner);
  pc_geos_drop_all(geos, &outer, 1);
  pc_geos_drop_all(geos, &inner, 1);
  free(holes.items);
  return made;
}

GEOSGeometry *pc_crowd_grown(pc_geos *geos, const GEOSGeometry *shape, double by_m, double mitre_limit) {
  bool shrinks = by_m < 0.0, crowd;
  pieces parts = {0}, holes = {0};
  const pieces *met = shrinks ? &holes : &parts; /* what grows, and may meet others */
  GEOSGeometry *made = NULL;
  if (!list_pieces(geos, shape, false, &parts) || (shrinks && !list_pieces(geos, shape, true, &holes)) ||
      !find_crowd(geos, met->items, met->count, fabs(by_m), &crowd))
    made = NULL;
  else if (crowd)
    made = each_alone(geos, parts.items, parts.count, by_m, mitre_limit,
                      shrinks ? shrunk_polygon : grown_at_once);
  else
    made = grown_at_once(geos, shape, by_m, mitre_limit);
  free(parts.items);
  free(holes.items);
  return made;
}

/* ---- groups ---- */

typedef struct member { /* of a group: its lead is another one of it, nearer to the first */
  size_t item, lead;
} member;

typedef struct searched {
  member *members;
  size_t at; /* whose neighbours are being looked for */
} searched;

static size_t first_of(member *members, size_t item) {
  while (members[item].lead != item)
    item = members[item].lead = members[members[item].lead].lead;
  return item;
}

static void join_one(void *item, void *user) {
  searched *all = user;
  size_t a = first_of(all->members, all->at), b = first_of(all->members, ((const member *)item)->item);
  all->members[a < b ? b : a].lead = a < b ? a : b;
}

static int by_lead(const void *a, const void *b) {
  const member *x = a, *y = b;
  return x->lead != y->lead ? (x->lead > y->lead) - (x->lead < y->lead)
                            : (x->item > y->item) - (x->item < y->item);
}

/* Items whose frames touch, or are joined by others that do, are of one group. In the end a member's lead is
 * the first of its group, and members stand by groups. */
static bool find_groups(pc_geos *geos, GEOSGeometry *const *items, size_t count, member *members) {
  searched all = {members, 0};
  GEOSSTRtree *tree = GEOSSTRtree_create_r(geos->handle, 10);
  if (!tree)
    return false;
  for (size_t i = 0; i < count; i++)
    members[i] = (member){i, i};
  geos->message[0] = '\0';
  for (size_t i = 0; i < count; i++)
    GEOSSTRtree_insert_r(geos->handle, tree, items[i], &members[i]);
  for (all.at = 0; all.at < count; all.at++)
    GEOSSTRtree_query_r(geos->handle, tree, items[all.at], join_one, &all);
  GEOSSTRtree_destroy_r(geos->handle, tree);
  for (size_t i = 0; i < count; i++)
    members[i].lead = first_of(members, i);
  qsort(members, count, sizeof *members, by_lead);
  return geos->message[0] == '\0'; /* a failed query says so only there */
}

typedef struct gathered { /* owned */
  GEOSGeometry **items;
  size_t count, room;
} gathered;

/* Takes the item, also on failure. */
static bool gather(pc_geos *geos, gathered *all, GEOSGeometry *item) {
  void *items = all->items;
  if (!item || pc_reserve(&items, &all->room, all->count + 1, sizeof(GEOSGeometry *)) != 0) {
    pc_geos_drop_all(geos, &item, 1);
    return false;
  }
  all->items = items;
  all->items[all->count++] = item;
  return true;
}

/* Copies of all polygons of a shape. */
static bool gather_polygons(pc_geos *geos, gathered *all, const GEOSGeometry *shape) {
  int count = GEOSGetNumGeometries_r(geos->handle, shape);
  bool good = count >= 0;
  for (int i = 0; i < count && good; i++) {
    const GEOSGeometry *part = GEOSGetGeometryN_r(geos->handle, shape, i);
    good = part != NULL;
    if (good && GEOSGeomTypeId_r(geos->handle, part) == GEOS_POLYGON)
      good = gather(geos, all, GEOSGeom_clone_r(geos->handle, part));
  }
  return good;
}

/* Empties the list. */
static GEOSGeometry *to_polygons(pc_geos *geos, gathered *all, bool good) {
  GEOSGeometry *made = NULL;
  if (good)
    made = pc_geos_collect(geos, GEOS_MULTIPOLYGON, all->items, all->count);
  else
    pc_geos_drop_all(geos, all->items, all->count);
  free(all->items);
  return made;
}

/* Union of one group, which is taken out of the items. */
static GEOSGeometry *join_group(pc_geos *geos, GEOSGeometry **items, const member *members, size_t count,
                                GEOSGeometry **room) {
  for (size_t k = 0; k < count; k++) {
    room[k] = items[members[k].item];
    items[members[k].item] = NULL;
  }
  return count == 1 ? room[0] : pc_geos_joined(geos, room, count);
}

GEOSGeometry *pc_crowd_joined(pc_geos *geos, GEOSGeometry **items, size_t count) {
  if (count <= PC_CROWD_MANY)
    return pc_geos_joined(geos, items, count);
  member *members = pc_alloc(count, sizeof *members);
  GEOSGeometry **room = pc_alloc(count, sizeof(GEOSGeometry *));
  gathered all = {0};
  bool good = members && room && find_groups(geos, items, count, members);
  for (size_t i = 0, n; i < count && good; i += n) {
    for (n = 1; i + n < count && members[i + n].lead == members[i].lead;)
      n++;
    GEOSGeometry *one = join_group(geos, items, members + i, n, room);
    good = one && gather_polygons(geos, &all, one);
    pc_geos_drop_all(geos, &one, 1);
  }
  pc_geos_drop_all(geos, items, count);
  free(members);
  free(room);
  return to_polygons(geos, &all, good);
}

/* ---- a shape and another one ---- */

/* Of what lies well inside the other one, nothing is left to see; what it does not touch stays as it is.
 * (Asking for what it covers, touching its outline or not, takes the square of both.) */
static bool part_polygons(pc_geos *geos, const GEOSGeometry *many, const GEOSPreparedGeometry *other,
                          gathered *apart, gathered *met) {
  int count = GEOSGetNumGeometries_r(geos->handle, many);
  bool good = count >= 0;
  for (int i = 0; i < count && good; i++) {
    const GEOSGeometry *part = GEOSGetGeometryN_r(geos->handle, many, i);
    char covered = part ? GEOSPreparedContainsProperly_r(geos->handle, other, part) : 2;
    char away = covered == 0 ? GEOSPreparedDisjoint_r(geos->handle, other, part) : covered == 1 ? 0 : 2;
    good = away < 2 && (covered == 1 || gather_polygons(geos, away == 1 ? apart : met, part));
  }
  return good;
}

static bool is_many(pc_geos *geos, const GEOSGeometry *shape) {
  return GEOSGetNumGeometries_r(geos->handle, shape) > PC_CROWD_MANY;
}

GEOSGeometry *pc_crowd_union(pc_geos *geos, const GEOSGeometry *a, const GEOSGeometry *b, double grid_m) {
  if (!is_many(geos, a) && !is_many(geos, b))
    return GEOSUnionPrec_r(geos->handle, a, b, grid_m);
  const GEOSGeometry *many = is_many(geos, a) ? a : b, *other = is_many(geos, a) ? b : a;
  gathered apart = {0}, met = {0};
  const GEOSPreparedGeometry *prepared = GEOSPrepare_r(geos->handle, other);
  bool good = prepared && part_polygons(geos, many, prepared, &apart, &met);
  if (prepared)
    GEOSPreparedGeom_destroy_r(geos->handle, prepared);
  GEOSGeometry *near_by = to_polygons(geos, &met, good);
  GEOSGeometry *joined = near_by ? GEOSUnionPrec_r(geos->handle, near_by, other, grid_m) : NULL;
  good = joined && gather_polygons(geos, &apart, joined);
  pc_geos_drop_all(geos, &near_by, 1);
  pc_geos_drop_all(geos, &joined, 1);
  return to_polygons(geos, &apart, good);
}
