// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * How far it is from one place to another, and along which way. Two kinds behind one interface:
 *
 *   straight: straight lines, right where the pavement is convex and nothing stands on it;
 *   net:      shortest ways on pavement around obstacles and piles for one width of machine, from tables.
 *
 * The net knows its corners (where shortest ways bend), the length of the shortest way between any two of
 * them, and for a list of given places (nodes) which corners are seen from there. A question about a place
 * on the line between two neighbouring nodes is then a look-up. A machine's middle keeps half its width away
 * from what stands around. A leg that begins or ends nearer to something than that, or at a pile, gets away
 * from that, or to it, and keeps the distance in between; only where no way is found so it just must not
 * cross anything, nor slip through a gap narrower than the machine.
 *
 * Metres, radians. Constant once made; may be shared between threads. No allocation after creation.
 * Internal: not installed.
 */
#ifndef PC_SITE_ROUTES_H
#define PC_SITE_ROUTES_H

#include <stdint.h>

#include "site/faces.h"
#include "site/way_place.h"

enum {
  PC_NO_CORNER = 0xFFFF,
  PC_CORNERS_MAX = 2500, /* of one net */
  PC_WAY_POINTS_MAX = 96,
  PC_OUTLOOK_MAX = 128
};

/* What is seen from where a machine stands: made once when it stops, used for every way that it considers. */
typedef struct pc_outlook {
  pc_point at;
  bool near_things; /* nearer to something than half its width */
  int count;
  uint16_t corners[PC_OUTLOOK_MAX];
} pc_outlook;

typedef struct pc_way {
  double length_m;  /* INFINITY: there is no way */
  double bends_rad; /* all turning at corners on the way */
  pc_point end;
  pc_point first;   /* what it drives to first: a corner or the end */
  pc_point last;    /* where its last leg begins: a corner or the start */
  uint16_t out, in; /* first and last corner; PC_NO_CORNER: a straight line */
} pc_way;

typedef struct pc_routes_kind {
  const char *name, *doc;
  void (*to_zone)(const pc_routes *routes, const pc_place *from, size_t zone, pc_way *way);
  void (*look)(const pc_routes *routes, const pc_place *from, bool on_line, pc_outlook *outlook);
  void (*between)(const pc_routes *routes, const pc_outlook *from, const pc_place *to, pc_way *way);
  int (*path)(const pc_routes *routes, pc_point from, const pc_way *way, pc_point *points);
  bool (*clear)(const pc_routes *routes, pc_point from, pc_point to);
  bool (*joined)(const pc_routes *routes, const pc_outlook *from, const pc_place *to);
  size_t (*face_node)(const pc_routes *routes, size_t zone, pc_point at);
  void (*free)(pc_routes *routes);
} pc_routes_kind;

struct pc_routes {
  const pc_routes_kind *kind;
  const pc_zone *const *zones; /* borrowed from the caller of the constructor: must outlive the routes */
  size_t zone_count;
  pc_faces faces;
};

/* True if straight lines are right for this site and these zones: no obstacles, the pavement (areas, ground
 * outlines, zones together) is convex to within 0.1 % of its area, no zone lies in the way between others. */
PC_MUST_USE pc_status pc_routes_may_be_straight(const pc_site *site, const pc_zone *const *zones,
                                                size_t zone_count, bool *straight);
PC_MUST_USE pc_status pc_routes_straight(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                                         pc_routes **routes);

struct pc_blocked; /* site/blocked.h */

/* Shortest ways around what is blocked, to the zones' faces, from and to `nodes` (not kept). *blocked is
 * taken over (and empty afterwards), also on failure. Faults: PC_ERR_LIMIT (more than PC_CORNERS_MAX
 * corners), PC_ERR_MEMORY, PC_ERR_GEOMETRY. Without `between` only lengths of ways to zones may be asked for.
 * What can't be reached is no fault here: its ways are INFINITY long. */
PC_MUST_USE pc_status pc_routes_net(struct pc_blocked *blocked, const pc_zone *const *zones,
                                    size_t zone_count, const pc_point *nodes, size_t node_count, bool between,
                                    pc_routes **routes, pc_faults *faults);
void pc_routes_free(pc_routes *routes);

/* Way to the nearest face of a zone that can be reached. */
static inline void pc_routes_to_zone(const pc_routes *routes, const pc_place *from, size_t zone,
                                     pc_way *way) {
  routes->kind->to_zone(routes, from, zone, way);
}

/* What is seen from a place; on_line: it lies on the line of its node, not only near it. */
static inline void pc_routes_look(const pc_routes *routes, const pc_place *from, bool on_line,
                                  pc_outlook *outlook) {
  routes->kind->look(routes, from, on_line, outlook);
}

static inline void pc_routes_between(const pc_routes *routes, const pc_outlook *from, const pc_place *to,
                                     pc_way *way) {
  routes->kind->between(routes, from, to, way);
}

/* The corners of a way from `from`, its start and end included: at most PC_WAY_POINTS_MAX points. */
static inline int pc_routes_path(const pc_routes *routes, pc_point from, const pc_way *way,
                                 pc_point *points) {
  return routes->kind->path(routes, from, way, points);
}

/* True if a machine may drive straight from one place to the other. */
static inline bool pc_routes_clear(const pc_routes *routes, pc_point from, pc_point to) {
  return routes->kind->clear(routes, from, to);
}

/* True if a machine gets from one place to the other, and from there on to wherever it gets from the first.
 * (That there is a way between the two is not enough: both may be in reach of a third only.) */
static inline bool pc_routes_joined(const pc_routes *routes, const pc_outlook *from, const pc_place *to) {
  return routes->kind->joined(routes, from, to);
}

/* The node nearest to a place on a zone's faces: what is seen from there is about what is seen from the node.
 */
static inline size_t pc_routes_face_node(const pc_routes *routes, size_t zone, pc_point at) {
  return routes->kind->face_node(routes, zone, at);
}

#endif
