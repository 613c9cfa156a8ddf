// SPDX-License-Identifier: GPL-3.0-or-later
/* Inside of the net of shortest ways: what net.c makes and net_query.c asks. */
#ifndef PC_SITE_NET_PRIVATE_H
#define PC_SITE_NET_PRIVATE_H

#include <math.h>

#include "site/blocked.h"
#include "site/routes.h"

/* What a node's way to a zone begins with, beside the number of a corner. */
enum {
  PC_ROOT_NONE = 0xFFFF,   /* no way */
  PC_ROOT_DIRECT = 0xFFFE, /* straight to the nearest place on the zone's faces */
  PC_ROOT_SEEK = 0xFFFD    /* straight to a face, of which the nearest place is hidden */
};

typedef struct pc_net {
  pc_routes base; /* first, so that the table's functions get back to the whole */
  pc_blocked blocked;
  size_t corners;
  double *corner_m;  /* [a·corners + b]: way between two corners */
  float *corner_rad; /* turning on it, between its first and last leg */
  uint16_t *before;  /* the corner before b on the way from a */
  double *zone_m;    /* [z·corners + a]: way from a corner to a zone */
  uint16_t *zone_in; /* the last corner on it */
  pc_point *zone_at; /* [z·corners + a]: where a straight line from a ends on the zone's faces, if one does */
  pc_point *nodes;   /* the caller's, then those of the faces */
  size_t node_count;
  unsigned char *node_near; /* nearer to something than half a width */
  uint32_t *seen_first;     /* corners seen from a node: seen[seen_first[n]] … */
  uint16_t *seen;
  uint16_t *root;     /* [n·zones + z] */
  size_t *face_nodes; /* first node of each zone's faces, zone_count + 1 entries */
} pc_net;

static const double pc_face_step_m = 2.0; /* between the places on a face that are tried */

extern const pc_routes_kind pc_net_kind; /* net_query.c */
void pc_net_free(pc_routes *routes);

static inline double pc_apart_m(pc_point a, pc_point b) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
  return sqrt(dx * dx + dy * dy);
}

/* Angle between the legs a → b and b → c; a leg of no length has no direction to turn from (and atan2 of
 * signed zeros may be half a turn). */
static inline double pc_bend_rad(pc_point a, pc_point b, pc_point c) {
  double ux = b.x_m - a.x_m, uy = b.y_m - a.y_m, vx = c.x_m - b.x_m, vy = c.y_m - b.y_m;
  if (ux * ux + uy * uy < 1e-12 || vx * vx + vy * vy < 1e-12)
    return 0.0;
  return atan2(fabs(ux * vy - uy * vx), ux * vx + uy * vy);
}

/* True unless a way from p that bends at the corner would bend into what stands there. */
static inline bool pc_taut(pc_point p, const pc_corner *corner) {
  double dx = corner->at.x_m - p.x_m, dy = corner->at.y_m - p.y_m;
  double ax = corner->before.x_m - corner->at.x_m, ay = corner->before.y_m - corner->at.y_m;
  double bx = corner->after.x_m - corner->at.x_m, by = corner->after.y_m - corner->at.y_m;
  double a = dx * ay - dy * ax, b = dx * by - dy * bx;
  if (a * b >= -1e-9 * (dx * dx + dy * dy) * (fabs(ax) + fabs(ay)) * (fabs(bx) + fabs(by)))
    return true;
  /* p may lie on one of the corner's own edges, to within what edges are shrunk by */
  double slack = 3e-3;
  return a * a < slack * slack * (ax * ax + ay * ay) || b * b < slack * slack * (bx * bx + by * by);
}

/* A place inside of the wide shape may have to bend into a corner that is not taut from there. */
static inline bool pc_net_may_bend(bool near_things, pc_point p, const pc_corner *corner) {
  return near_things || pc_taut(p, corner);
}

/* What a leg keeps off. */
typedef enum pc_keep {
  PC_KEEP_OFF,  /* half a width off everything: neither end is nearer to anything */
  PC_KEEP_ENDS, /* the same between its ends, which may be nearer: it gets away from what is near, and back */
  PC_KEEP_OUT /* it crosses nothing but corners too flat to bend ways, and slips through no closed gap: where
                 there is no way else */
} pc_keep;

static inline pc_keep pc_net_keep(bool near_things) {
  return near_things ? PC_KEEP_ENDS : PC_KEEP_OFF;
}

/* True if the leg, which crosses nothing, is near things at its ends only: it leaves what is wide at most
 * once, and then gets into it at most once. */
bool pc_net_near_at_ends(const pc_net *net, pc_point from, pc_point to);

static inline bool pc_net_leg(const pc_net *net, pc_keep keep, pc_point from, pc_point to) {
  if (keep == PC_KEEP_OFF)
    return pc_legs_clear(&net->blocked.wide, from, to);
  if (keep == PC_KEEP_OUT)
    return pc_legs_cuts_corners(&net->blocked.tight, from, to, net->blocked.cut_m);
  return pc_legs_clear(&net->blocked.tight, from, to) && pc_net_near_at_ends(net, from, to);
}

/* Straight to the faces of a zone, less than `limit_m` away; INFINITY if none is in sight. *root says how.
 * *hint: the edge that blocked the last such leg to the zone, NULL at first. PC_KEEP_ENDS or PC_KEEP_OUT. */
double pc_net_seek_face_m(const pc_net *net, pc_keep keep, size_t zone, pc_point from, double limit_m,
                          const pc_leg_edge **hint, pc_point *at, uint16_t *root);

/* net_seen.c: the edge that blocked the view of each corner last, from a place nearby, mostly still does; two
 * are kept. One set of hints belongs to one thread. */
typedef struct pc_hint {
  const pc_leg_edge *last, *other;
} pc_hint;

typedef struct pc_hints {
  pc_hint *wide, *tight;     /* per corner */
  const pc_leg_edge **faces; /* per zone */
} pc_hints;

PC_MUST_USE pc_status pc_hints_make(const pc_net *net, pc_hints *hints);
void pc_hints_free(pc_hints *hints);
bool pc_net_sees(const pc_net *net, pc_hints *hints, pc_keep keep, pc_point from, size_t corner);

/* net_row.c: how many of the nodes in a row see a corner that ways from there may bend at. */
typedef enum pc_row_sight {
  PC_ROW_EACH,
  PC_ROW_ALL,
  PC_ROW_NONE
} pc_row_sight;                                   /* EACH: has to look itself */
enum { PC_NET_ROW_MAX = 16, PC_NET_ROW_MIN = 4 }; /* fewer are quicker asked one by one */

/* The end of the straight row of nodes that begins with this one, all before `end` and far from things. */
size_t pc_net_row(const pc_net *net, size_t node, size_t end);
/* Legs keep off all that stands there (PC_KEEP_OFF). */
pc_row_sight pc_net_row_sees(const pc_net *net, pc_hints *hints, size_t first, size_t last, size_t corner);

/* net_seen.c */
/* What each node sees, and its roots; or only the roots. */
PC_MUST_USE pc_status pc_net_find_seen(pc_net *net);
PC_MUST_USE pc_status pc_net_find_roots(pc_net *net);
/* In how many threads to do so much work. */
size_t pc_net_parts(double work);

#endif
