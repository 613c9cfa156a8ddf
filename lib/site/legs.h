// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Internal: does a straight leg cross any of a set of edges? Edges lie in the squares of a grid; a leg looks
 * only at the squares it passes. Not installed; nothing outside lib/site includes it.
 *
 * Metres. Constant once made; may be shared between threads; no allocation after creation.
 */
#ifndef PC_SITE_LEGS_H
#define PC_SITE_LEGS_H

#include <stdint.h>

#include "site/geometry.h"

typedef struct pc_leg_edge {
  double ax, ay, bx, by;
} pc_leg_edge;

typedef struct pc_legs {
  pc_leg_edge *edges; /* every edge once */
  size_t count;
  double x0, y0, x1, y1; /* nothing lies outside of this */
  double square, per_m;  /* the grid from (x0, y0) on: the side of one square, and how many make a metre */
  int columns, rows;
  uint32_t *first;   /* of each square in `held`; columns·rows + 1 entries */
  pc_leg_edge *held; /* copies, square by square, row by row */
} pc_legs;

static inline double pc_side_of(double ax, double ay, double bx, double by, double px, double py) {
  return (bx - ax) * (py - ay) - (by - ay) * (px - ax);
}

/* A leg, and the least rectangle around it. */
typedef struct pc_leg_box {
  pc_point from, to;
  double low_x, high_x, low_y, high_y;
} pc_leg_box;

static inline pc_leg_box pc_leg_box_of(pc_point from, pc_point to) {
  bool right = from.x_m < to.x_m, up = from.y_m < to.y_m;
  const pc_leg_box leg = {from,
                          to,
                          right ? from.x_m : to.x_m,
                          right ? to.x_m : from.x_m,
                          up ? from.y_m : to.y_m,
                          up ? to.y_m : from.y_m};
  return leg;
}

/* True if this one edge blocks the leg: crosses or touches it. */
static inline bool pc_leg_box_crosses(const pc_leg_edge *e, const pc_leg_box *leg) {
  if ((e->ax < e->bx ? e->bx : e->ax) < leg->low_x || (e->ax < e->bx ? e->ax : e->bx) > leg->high_x ||
      (e->ay < e->by ? e->by : e->ay) < leg->low_y || (e->ay < e->by ? e->ay : e->by) > leg->high_y)
    return false;
  pc_point from = leg->from, to = leg->to;
  double a = pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, e->ax, e->ay);
  double b = pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, e->bx, e->by);
  if ((a > 0.0 && b > 0.0) || (a < 0.0 && b < 0.0))
    return false;
  double c = pc_side_of(e->ax, e->ay, e->bx, e->by, from.x_m, from.y_m);
  double d = pc_side_of(e->ax, e->ay, e->bx, e->by, to.x_m, to.y_m);
  return !((c > 0.0 && d > 0.0) || (c < 0.0 && d < 0.0));
}

static inline bool pc_leg_crosses(const pc_leg_edge *e, pc_point from, pc_point to) {
  const pc_leg_box leg = pc_leg_box_of(from, to);
  return pc_leg_box_crosses(e, &leg);
}

/* Takes the edges (malloc'd), also on failure. */
PC_MUST_USE pc_status pc_legs_make(pc_leg_edge *edges, size_t count, pc_legs *legs);
void pc_legs_free(pc_legs *legs);
/* An edge that the leg crosses or touches; NULL if there is none. */
const pc_leg_edge *pc_legs_blocker(const pc_legs *legs, pc_point from, pc_point to);
bool pc_legs_clear(const pc_legs *legs, pc_point from, pc_point to);
/* True if no edge comes nearer to the triangle than margin_m (at most a millionth of a square counts); false
 * also where that is not sure, as for triangles without an area. */
bool pc_legs_clear_triangle(const pc_legs *legs, const pc_point corners[3], double margin_m);
/* How many edges the leg crosses; 3 where there are more. An edge that begins or ends on its line counts with
 * one side of it, so that the two edges at a corner count as one or not at all. */
int pc_legs_crossed(const pc_legs *legs, pc_point from, pc_point to);
/* True if the leg is clear, or begins and ends outside and cuts off corners only, none of which is farther
 * than depth_m from it. The edges have to be outlines, one after the other. Looks at every edge, unless what
 * blocks the leg first does so for good. */
bool pc_legs_cuts_corners(const pc_legs *legs, pc_point from, pc_point to, double depth_m);
/* True if the point lies inside the closed outlines that the edges make up. */
bool pc_legs_inside(const pc_legs *legs, pc_point point);
/* Where along from → to (0 … 1, rising) the line crosses edges; at most `most` of them, the number found is
 * returned. */
size_t pc_legs_crossings(const pc_legs *legs, pc_point from, pc_point to, double *at, size_t most);

#endif
