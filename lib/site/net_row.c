// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What nodes see that lie in a straight row, as those along a lane do, all at once: most corners are seen by
 * all of them or by none. That is said only where it holds by more than rounding (and the nodes lie on their
 * line to within a tenth of a micrometre), so that it is what a look from each of them finds. Far from things
 * only, where legs keep off all that stands there.
 *
 * By whether ways may bend at the corner: which side of a line through it a node is on changes in proportion
 * to the way along the row; what holds for both ends by some distance holds between them. None sees it: one
 * edge lies across the view from both ends, so from all between them. All see it: nothing lies in the
 * triangle of the row and the corner.
 */
#include "site/net_private.h"

static const double on_line_m = 1e-7, sure_m = 1e-5;
static const double slack_m = 3e-3, bend = 1e-9; /* as in pc_taut */

size_t pc_net_row(const pc_net *net, size_t node, size_t end) {
  pc_point a = net->nodes[node];
  size_t next = node + 1;
  double dx = 0.0, dy = 0.0, along = 0.0;
  for (; next < end && next - node < PC_NET_ROW_MAX && !net->node_near[next]; next++) {
    double x = net->nodes[next].x_m - a.x_m, y = net->nodes[next].y_m - a.y_m;
    if (next == node + 1) {
      double length = pc_apart_m(a, net->nodes[next]);
      if (!(length > 0.1))
        break;
      dx = x / length;
      dy = y / length;
    }
    if (fabs(x * dy - y * dx) > on_line_m || x * dx + y * dy <= along)
      break;
    along = x * dx + y * dy;
  }
  return next;
}

typedef struct both { /* of a node at either end of a row */
  double a, b;
} both;

static double least_of(both v) {
  return fmin(fabs(v.a), fabs(v.b));
}

static bool same_side(both v, double sure) {
  return (v.a > sure && v.b > sure) || (v.a < -sure && v.b < -sure);
}

/* Whether ways from the nodes of the row may bend at the corner: see pc_taut. */
static pc_row_sight may_bend(pc_point a, pc_point b, const pc_corner *corner) {
  double ax = corner->before.x_m - corner->at.x_m, ay = corner->before.y_m - corner->at.y_m;
  double bx = corner->after.x_m - corner->at.x_m, by = corner->after.y_m - corner->at.y_m;
  double from_ax = corner->at.x_m - a.x_m, from_ay = corner->at.y_m - a.y_m;
  double from_bx = corner->at.x_m - b.x_m, from_by = corner->at.y_m - b.y_m;
  both before = {from_ax * ay - from_ay * ax, from_bx * ay - from_by * ax};
  both after = {from_ax * by - from_ay * bx, from_bx * by - from_by * bx};
  double span_a = fabs(ax) + fabs(ay), span_b = fabs(bx) + fabs(by);
  double sure_a = sure_m * span_a, sure_b = sure_m * span_b;
  if (!same_side(before, sure_a) || !same_side(after, sure_b))
    return PC_ROW_EACH;
  if ((before.a > 0.0) == (after.a > 0.0))
    return PC_ROW_ALL;
  double p = least_of(before) - sure_a, q = least_of(after) - sure_b;
  double squared = fmax(from_ax * from_ax + from_ay * from_ay, from_bx * from_bx + from_by * from_by);
  bool none = p * q > 1.01 * bend * squared * span_a * span_b && p > 1.01 * slack_m * span_a &&
              q > 1.01 * slack_m * span_b;
  return none ? PC_ROW_NONE : PC_ROW_EACH;
}

/* True if the edge lies across the legs from all nodes of the row to a corner. */
static bool is_across(const pc_leg_edge *e, pc_point a, pc_point b, pc_point at) {
  double sure =
      sure_m * fmax(fabs(at.x_m - a.x_m) + fabs(at.y_m - a.y_m), fabs(at.x_m - b.x_m) + fabs(at.y_m - b.y_m));
  double sure_e = sure_m * (fabs(e->bx - e->ax) + fabs(e->by - e->ay));
  both one = {pc_side_of(a.x_m, a.y_m, at.x_m, at.y_m, e->ax, e->ay),
              pc_side_of(b.x_m, b.y_m, at.x_m, at.y_m, e->ax, e->ay)};
  both other = {pc_side_of(a.x_m, a.y_m, at.x_m, at.y_m, e->bx, e->by),
                pc_side_of(b.x_m, b.y_m, at.x_m, at.y_m, e->bx, e->by)};
  both ends = {pc_side_of(e->ax, e->ay, e->bx, e->by, a.x_m, a.y_m),
               pc_side_of(e->ax, e->ay, e->bx, e->by, b.x_m, b.y_m)};
  double corner = pc_side_of(e->ax, e->ay, e->bx, e->by, at.x_m, at.y_m);
  return same_side(one, sure) && same_side(other, sure) && (one.a > 0.0) != (other.a > 0.0) &&
         same_side(ends, sure_e) && fabs(corner) > sure_e && (ends.a > 0.0) != (corner > 0.0);
}

pc_row_sight pc_net_row_sees(const pc_net *net, pc_hints *hints, size_t first, size_t last, size_t corner) {
  const pc_corner *c = &net->blocked.corners[corner];
  pc_point a = net->nodes[first], b = net->nodes[last];
  pc_row_sight bends = may_bend(a, b, c);
  if (bends != PC_ROW_ALL)
    return bends;
  pc_hint *known = &hints->wide[corner];
  if ((known->last && is_across(known->last, a, b, c->at)) ||
      (known->other && is_across(known->other, a, b, c->at)))
    return PC_ROW_NONE;
  const pc_leg_edge *found = pc_legs_blocker(&net->blocked.wide, c->at, a);
  if (found) {
    *known = (pc_hint){found, known->last};
    return is_across(found, a, b, c->at) ? PC_ROW_NONE : PC_ROW_EACH;
  }
  return pc_legs_clear_triangle(&net->blocked.wide, (const pc_point[]){a, b, c->at}, sure_m) ? PC_ROW_ALL
                                                                                             : PC_ROW_EACH;
}
