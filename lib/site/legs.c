// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/legs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

enum { SIDE_MAX = 512 };

void pc_legs_free(pc_legs *legs) {
  free(legs->edges);
  free(legs->first);
  free(legs->held);
  memset(legs, 0, sizeof *legs);
}

static int clamp(double value, int count) {
  return value < 0.0 ? 0 : value >= count ? count - 1 : (int)value;
}

typedef struct span { /* the squares that an edge may touch */
  int low_x, high_x, low_y, high_y;
} span;

static span span_of(const pc_legs *legs, const pc_leg_edge *e) {
  double low_x = fmin(e->ax, e->bx) - legs->x0, high_x = fmax(e->ax, e->bx) - legs->x0;
  double low_y = fmin(e->ay, e->by) - legs->y0, high_y = fmax(e->ay, e->by) - legs->y0;
  double slack = 1e-6 * legs->square;
  return (span){clamp((low_x - slack) / legs->square, legs->columns),
                clamp((high_x + slack) / legs->square, legs->columns),
                clamp((low_y - slack) / legs->square, legs->rows),
                clamp((high_y + slack) / legs->square, legs->rows)};
}

/* True if the edge comes near square (i, j): its corners lie on both sides of the edge's line, or almost. */
static bool meets_square(const pc_legs *legs, const pc_leg_edge *e, int i, int j) {
  double dx = e->bx - e->ax, dy = e->by - e->ay, half = 0.5 * legs->square;
  double cx = legs->x0 + (i + 0.5) * legs->square - e->ax, cy = legs->y0 + (j + 0.5) * legs->square - e->ay;
  return fabs(cx * dy - cy * dx) <= half * (fabs(dx) + fabs(dy)) * (1.0 + 1e-6);
}

static void count_or_hold(pc_legs *legs, uint32_t *next) {
  for (size_t k = 0; k < legs->count; k++) {
    const pc_leg_edge *e = &legs->edges[k];
    span s = span_of(legs, e);
    for (int j = s.low_y; j <= s.high_y; j++)
      for (int i = s.low_x; i <= s.high_x; i++) {
        if (!meets_square(legs, e, i, j))
          continue;
        size_t square = (size_t)j * (size_t)legs->columns + (size_t)i;
        if (legs->held)
          legs->held[next[square]++] = *e;
        else
          next[square + 1]++;
      }
  }
}

/* Squares about as many as edges, so that a square holds few. */
static void lay_grid(pc_legs *legs) {
  double low_x = INFINITY, low_y = INFINITY, high_x = -INFINITY, high_y = -INFINITY;
  for (size_t k = 0; k < legs->count; k++) {
    const pc_leg_edge *e = &legs->edges[k];
    low_x = fmin(low_x, fmin(e->ax, e->bx));
    high_x = fmax(high_x, fmax(e->ax, e->bx));
    low_y = fmin(low_y, fmin(e->ay, e->by));
    high_y = fmax(high_y, fmax(e->ay, e->by));
  }
  double width = fmax(high_x - low_x, 1e-3), height = fmax(high_y - low_y, 1e-3);
  legs->x0 = low_x;
  legs->y0 = low_y;
  legs->x1 = high_x;
  legs->y1 = high_y;
  legs->square =
      fmax(sqrt(width * height / (2.0 * (double)legs->count)), fmax(width, height) / (SIDE_MAX - 1));
  legs->per_m = 1.0 / legs->square;
  legs->columns = (int)(width / legs->square) + 1;
  legs->rows = (int)(height / legs->square) + 1;
}

pc_status pc_legs_make(pc_leg_edge *edges, size_t count, pc_legs *legs) {
  *legs = (pc_legs){.edges = edges, .count = count};
  if (count == 0)
    return PC_OK;
  lay_grid(legs);
  size_t squares = (size_t)legs->columns * (size_t)legs->rows;
  legs->first = pc_alloc(squares + 1, sizeof *legs->first);
  uint32_t *next = pc_alloc(squares + 1, sizeof *next);
  if (!legs->first || !next)
    goto fail;
  count_or_hold(legs, legs->first);
  for (size_t q = 0; q < squares; q++)
    legs->first[q + 1] += legs->first[q];
  memcpy(next, legs->first, (squares + 1) * sizeof *next);
  legs->held = pc_alloc(legs->first[squares], sizeof *legs->held);
  if (!legs->held)
    goto fail;
  count_or_hold(legs, next);
  free(next);
  return PC_OK;
fail:
  free(next);
  pc_legs_free(legs);
  return PC_ERR_MEMORY;
}

enum { CROSSED_MAX = 3 };

typedef struct crossed { /* edges, each once, though it lies in several squares */
  const pc_leg_edge *edges[CROSSED_MAX];
  int count;
} crossed;

static bool passes_through(const pc_leg_edge *e, pc_point from, pc_point to) {
  double a = pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, e->ax, e->ay);
  double b = pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, e->bx, e->by);
  double c = pc_side_of(e->ax, e->ay, e->bx, e->by, from.x_m, from.y_m);
  double d = pc_side_of(e->ax, e->ay, e->bx, e->by, to.x_m, to.y_m);
  return (a > 0.0) != (b > 0.0) && (c > 0.0) != (d > 0.0);
}

static void add_crossed(crossed *all, const pc_leg_edge *e) {
  for (int i = 0; i < all->count; i++) {
    const pc_leg_edge *known = all->edges[i];
    if (known->ax == e->ax && known->ay == e->ay && known->bx == e->bx && known->by == e->by)
      return;
  }
  all->edges[all->count++] = e;
}

/* The first edge of these that blocks the leg; or, with `all`, NULL until there are enough in all. */
static inline const pc_leg_edge *look_among(const pc_leg_edge *e, const pc_leg_edge *end,
                                            const pc_leg_box *leg, crossed *all) {
  for (; e < end; e++) {
    if (!pc_leg_box_crosses(e, leg))
      continue;
    if (!all)
      return e;
    if (passes_through(e, leg->from, leg->to))
      add_crossed(all, e);
    if (all->count == CROSSED_MAX)
      return e;
  }
  return NULL;
}

/* Row by row of the grid along the leg, until one has what is looked for. The squares that it passes in one
 * row lie one after the other, so what they hold is one stretch of the list. Squares hold what comes near
 * them too: rounding on the way is far less than that. */
static inline const pc_leg_edge *look_along(const pc_legs *legs, pc_point from, pc_point to, crossed *all) {
  const pc_leg_box leg = pc_leg_box_of(from, to);
  if (legs->count == 0 || leg.high_x < legs->x0 || leg.low_x > legs->x1 || leg.high_y < legs->y0 ||
      leg.low_y > legs->y1)
    return NULL;
  double x = (from.x_m - legs->x0) * legs->per_m, y = (from.y_m - legs->y0) * legs->per_m; /* in squares */
  double end_x = (to.x_m - legs->x0) * legs->per_m, end_y = (to.y_m - legs->y0) * legs->per_m;
  int row = clamp(y, legs->rows), last = clamp(end_y, legs->rows), up = row < last;
  int column = clamp(x, legs->columns), end = clamp(end_x, legs->columns), next;
  double slope = row != last ? (end_x - x) / (end_y - y) : 0.0;
  for (;; row += up ? 1 : -1, column = next) {
    const uint32_t *first = legs->first + (size_t)row * (size_t)legs->columns;
    next = row != last ? clamp(x + (row + up - y) * slope, legs->columns) : end; /* where it leaves the row */
    int low = column < next ? column : next, high = column < next ? next : column;
    const pc_leg_edge *found = look_among(legs->held + first[low], legs->held + first[high + 1], &leg, all);
    if (found || row == last)
      return found;
  }
}

const pc_leg_edge *pc_legs_blocker(const pc_legs *legs, pc_point from, pc_point to) {
  return look_along(legs, from, to, NULL);
}

bool pc_legs_clear(const pc_legs *legs, pc_point from, pc_point to) {
  return pc_legs_blocker(legs, from, to) == NULL;
}

/* ---- triangles ---- */

typedef struct triangle { /* corners counter-clockwise */
  pc_point at[3];
  double low_x, high_x, low_y, high_y, margin_m;
} triangle;

static double span_m(pc_point a, pc_point b) {
  return fabs(b.x_m - a.x_m) + fabs(b.y_m - a.y_m); /* at least the distance */
}

/* Both sides of the question by lines that part what is convex: those along the triangle and that of the
 * edge. */
static bool keeps_off(const pc_leg_edge *e, const triangle *t) {
  if (fmax(e->ax, e->bx) < t->low_x || fmin(e->ax, e->bx) > t->high_x || fmax(e->ay, e->by) < t->low_y ||
      fmin(e->ay, e->by) > t->high_y)
    return true;
  double least = INFINITY, most = -INFINITY;
  for (int k = 0; k < 3; k++) {
    pc_point a = t->at[k], b = t->at[(k + 1) % 3];
    double off = -t->margin_m * span_m(a, b), side = pc_side_of(e->ax, e->ay, e->bx, e->by, a.x_m, a.y_m);
    if (pc_side_of(a.x_m, a.y_m, b.x_m, b.y_m, e->ax, e->ay) < off &&
        pc_side_of(a.x_m, a.y_m, b.x_m, b.y_m, e->bx, e->by) < off)
      return true;
    least = fmin(least, side);
    most = fmax(most, side);
  }
  double off = t->margin_m * span_m((pc_point){e->ax, e->ay}, (pc_point){e->bx, e->by});
  return least > off || most < -off;
}

/* Widens low … high, in squares, by what a side of the triangle covers of a row. */
static void cover_row(const pc_legs *legs, pc_point a, pc_point b, int row, double *low, double *high) {
  double ax = (a.x_m - legs->x0) * legs->per_m, ay = (a.y_m - legs->y0) * legs->per_m;
  double bx = (b.x_m - legs->x0) * legs->per_m, by = (b.y_m - legs->y0) * legs->per_m;
  double bottom = row > 0 ? (double)row : -HUGE_VAL, top = row + 1 < legs->rows ? row + 1.0 : HUGE_VAL;
  if (fmax(ay, by) < bottom || fmin(ay, by) > top)
    return;
  double slope = ay != by ? (bx - ax) / (by - ay) : 0.0;
  for (int end = 0; end < 2; end++) {
    double x = end == 0 ? ax : bx, y = end == 0 ? ay : by;
    if (y < bottom || y > top)
      x = ax + ((y < bottom ? bottom : top) - ay) * slope;
    *low = fmin(*low, x);
    *high = fmax(*high, x);
  }
}

bool pc_legs_clear_triangle(const pc_legs *legs, const pc_point corners[3], double margin_m) {
  pc_point a = corners[0], b = corners[1], c = corners[2];
  double area = pc_side_of(a.x_m, a.y_m, b.x_m, b.y_m, c.x_m, c.y_m);
  if (legs->count == 0)
    return true;
  if (fabs(area) < 1e-3)
    return false;
  triangle t = {{a, area > 0.0 ? b : c, area > 0.0 ? c : b}, fmin(a.x_m, fmin(b.x_m, c.x_m)) - margin_m,
                fmax(a.x_m, fmax(b.x_m, c.x_m)) + margin_m,  fmin(a.y_m, fmin(b.y_m, c.y_m)) - margin_m,
                fmax(a.y_m, fmax(b.y_m, c.y_m)) + margin_m,  margin_m};
  int last = clamp((t.high_y - legs->y0) * legs->per_m, legs->rows);
  for (int row = clamp((t.low_y - legs->y0) * legs->per_m, legs->rows); row <= last; row++) {
    double low = INFINITY, high = -INFINITY;
    for (int k = 0; k < 3; k++)
      cover_row(legs, t.at[k], t.at[(k + 1) % 3], row, &low, &high);
    if (!(low <= high))
      continue;
    const uint32_t *first = legs->first + (size_t)row * (size_t)legs->columns;
    uint32_t end = first[clamp(high, legs->columns) + 1];
    for (uint32_t k = first[clamp(low, legs->columns)]; k < end; k++)
      if (!keeps_off(&legs->held[k], &t))
        return false;
  }
  return true;
}

/* ---- crossings ---- */

int pc_legs_crossed(const pc_legs *legs, pc_point from, pc_point to) {
  crossed all = {.count = 0};
  look_along(legs, from, to, &all);
  return all.count;
}

/* Counts the edges that a ray to the right crosses; each where it crosses, in one square only. */
bool pc_legs_inside(const pc_legs *legs, pc_point point) {
  bool inside = false;
  double top = legs->y0 + legs->rows * legs->square;
  if (legs->count == 0 || point.y_m < legs->y0 || point.y_m > top)
    return false;
  int j = clamp((point.y_m - legs->y0) / legs->square, legs->rows);
  for (int i = clamp((point.x_m - legs->x0) / legs->square, legs->columns); i < legs->columns; i++) {
    size_t square = (size_t)j * (size_t)legs->columns + (size_t)i;
    for (uint32_t k = legs->first[square]; k < legs->first[square + 1]; k++) {
      const pc_leg_edge *e = &legs->held[k];
      if ((e->ay > point.y_m) == (e->by > point.y_m))
        continue;
      double x = e->ax + (point.y_m - e->ay) * ((e->bx - e->ax) / (e->by - e->ay));
      if (point.x_m < x && clamp((x - legs->x0) / legs->square, legs->columns) == i)
        inside = !inside;
    }
  }
  return inside;
}

static bool follows(const pc_leg_edge *before, const pc_leg_edge *after) {
  return before->bx == after->ax && before->by == after->ay;
}

/* The edge after this one on its outline, or before it. */
static size_t beside(const pc_legs *legs, size_t k, bool after) {
  size_t first = k, last = k;
  if (after && k + 1 < legs->count && follows(&legs->edges[k], &legs->edges[k + 1]))
    return k + 1;
  if (!after && k > 0 && follows(&legs->edges[k - 1], &legs->edges[k]))
    return k - 1;
  while (first > 0 && follows(&legs->edges[first - 1], &legs->edges[first]))
    first--;
  while (last + 1 < legs->count && follows(&legs->edges[last], &legs->edges[last + 1]))
    last++;
  return after ? first : last;
}

static double off_line_m(const pc_leg_edge *e, bool after, pc_point from, pc_point to) {
  double x = after ? e->bx : e->ax, y = after ? e->by : e->ay;
  return fabs(pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, x, y)) /
         hypot(to.x_m - from.x_m, to.y_m - from.y_m);
}

/* Along the outline from edge k, by which the leg gets in or out, to the next one by which it does: no corner
 * is far from the leg. */
static bool is_shallow(const pc_legs *legs, size_t k, bool after, pc_point from, pc_point to,
                       double depth_m) {
  for (size_t steps = 0; steps < legs->count; steps++) {
    if (off_line_m(&legs->edges[k], after, from, to) > depth_m)
      return false;
    k = beside(legs, k, after);
    if (passes_through(&legs->edges[k], from, to))
      return true;
  }
  return false;
}

/* What is nowhere far from the leg is no corner of something, but a thing of its own. */
static bool is_thin(const pc_legs *legs, size_t k, pc_point from, pc_point to, double depth_m) {
  size_t at = k;
  do {
    if (off_line_m(&legs->edges[at], true, from, to) > depth_m)
      return false;
    at = beside(legs, at, true);
  } while (at != k);
  return true;
}

bool pc_legs_cuts_corners(const pc_legs *legs, pc_point from, pc_point to, double depth_m) {
  const pc_leg_edge *found = pc_legs_blocker(legs, from, to);
  if (!found)
    return true;
  /* most legs are blocked for good: by an edge of which they cut off neither corner */
  if (passes_through(found, from, to) &&
      fmin(off_line_m(found, true, from, to), off_line_m(found, false, from, to)) > depth_m)
    return false;
  if (pc_legs_inside(legs, from) || pc_legs_inside(legs, to))
    return false;
  for (size_t k = 0; k < legs->count; k++)
    if (passes_through(&legs->edges[k], from, to) &&
        (is_thin(legs, k, from, to, depth_m) ||
         !(is_shallow(legs, k, true, from, to, depth_m) || is_shallow(legs, k, false, from, to, depth_m))))
      return false;
  return true;
}

static int by_value(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

size_t pc_legs_crossings(const pc_legs *legs, pc_point from, pc_point to, double *at, size_t most) {
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m;
  size_t count = 0;
  for (size_t k = 0; k < legs->count && count < most; k++) {
    const pc_leg_edge *e = &legs->edges[k];
    double a = pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, e->ax, e->ay);
    double b = pc_side_of(from.x_m, from.y_m, to.x_m, to.y_m, e->bx, e->by);
    if ((a > 0.0) == (b > 0.0)) /* an end on the line counts with the side below: no crossing counts twice */
      continue;
    double share = a / (a - b), x = e->ax + share * (e->bx - e->ax), y = e->ay + share * (e->by - e->ay);
    double along = ((x - from.x_m) * dx + (y - from.y_m) * dy) / (dx * dx + dy * dy);
    if (along >= 0.0 && along <= 1.0)
      at[count++] = along;
  }
  qsort(at, count, sizeof *at, by_value);
  return count;
}
