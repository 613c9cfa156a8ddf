// SPDX-License-Identifier: GPL-3.0-or-later
#include "naive_paths.h"

#include <math.h>
#include <stdlib.h>

typedef struct scene {
  const pc_ring *rings;
  size_t count;
  double slack_m; /* below this a distance is rounding */
  double *cuts;   /* room for those of one leg by one ring */
  pc_point *nodes;
  size_t node_count, first_target; /* nodes[0] is the start; then corners; then targets */
  double *reach;                   /* shortest known way from the start to each node */
  size_t *before;
  bool *settled;
} scene;

static void *must(void *memory) {
  if (!memory)
    abort();
  return memory;
}

static pc_point between(pc_point a, pc_point b, double share) {
  return (pc_point){a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
}

static double length(pc_point a, pc_point b) {
  return hypot(b.x_m - a.x_m, b.y_m - a.y_m);
}

static double cross(pc_point a, pc_point b, pc_point c, pc_point d) {
  return (b.x_m - a.x_m) * (d.y_m - c.y_m) - (b.y_m - a.y_m) * (d.x_m - c.x_m);
}

/* Where the point's perpendicular meets the line a–b, as a share of a–b. */
static double foot(pc_point a, pc_point b, pc_point point) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, squared = dx * dx + dy * dy;
  return squared > 0 ? ((point.x_m - a.x_m) * dx + (point.y_m - a.y_m) * dy) / squared : 0;
}

static double to_segment(pc_point point, pc_point a, pc_point b) {
  return length(point, between(a, b, fmin(fmax(foot(a, b, point), 0), 1)));
}

/* Where p–q and a–b cross, as a share of p–q in [0, 1]; NaN if they don't or are parallel. */
static double crossing(pc_point p, pc_point q, pc_point a, pc_point b) {
  double turn = cross(p, q, a, b);
  if (fabs(turn) <= 1e-12 * length(p, q) * length(a, b))
    return NAN;
  double along = cross(p, a, a, b) / turn, across = cross(p, a, p, q) / turn;
  /* A hair more at the ends of a–b: one cut too many does no harm, one too few would. */
  return along >= 0 && along <= 1 && across >= -1e-9 && across <= 1 + 1e-9 ? along : NAN;
}

bool naive_inside(const pc_ring *ring, pc_point point, double slack_m) {
  bool inside = false;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    if (to_segment(point, a, b) <= slack_m)
      return false;
    if ((a.y_m > point.y_m) != (b.y_m > point.y_m) &&
        point.x_m < a.x_m + (point.y_m - a.y_m) / (b.y_m - a.y_m) * (b.x_m - a.x_m))
      inside = !inside;
  }
  return inside;
}

static int by_size(const void *left, const void *right) {
  double a = *(const double *)left, b = *(const double *)right;
  return (a > b) - (a < b);
}

/* Cuts the leg wherever it meets the ring's outline; then each piece lies wholly inside or wholly outside,
 * and its middle tells which. */
static bool ring_lets_through(const scene *s, const pc_ring *ring, pc_point p, pc_point q) {
  size_t cut_count = 0;
  double leg_m = length(p, q);
  s->cuts[cut_count++] = 0;
  s->cuts[cut_count++] = 1;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double at = crossing(p, q, a, b), corner = foot(p, q, a);
    if (!isnan(at))
      s->cuts[cut_count++] = at;
    if (corner > 0 && corner < 1 && length(a, between(p, q, corner)) <= s->slack_m)
      s->cuts[cut_count++] = corner;
  }
  qsort(s->cuts, cut_count, sizeof *s->cuts, by_size);
  for (size_t i = 0; i + 1 < cut_count; i++) {
    bool speck = (s->cuts[i + 1] - s->cuts[i]) * leg_m <= s->slack_m && leg_m > s->slack_m;
    if (!speck && naive_inside(ring, between(p, q, (s->cuts[i] + s->cuts[i + 1]) / 2), s->slack_m))
      return false;
  }
  return true;
}

static bool is_free(const scene *s, pc_point p, pc_point q) {
  for (size_t r = 0; r < s->count; r++)
    if (!ring_lets_through(s, &s->rings[r], p, q))
      return false;
  return true;
}

/* Dijkstra's method; returns the target that is reached first, or 0 if none is. */
static size_t search(scene *s) {
  for (size_t i = 0; i < s->node_count; i++)
    s->reach[i] = INFINITY;
  s->reach[0] = 0;
  for (;;) {
    size_t next = s->node_count;
    for (size_t i = 0; i < s->node_count; i++)
      if (!s->settled[i] && isfinite(s->reach[i]) && (next == s->node_count || s->reach[i] < s->reach[next]))
        next = i;
    if (next == s->node_count)
      return 0;
    if (next >= s->first_target)
      return next;
    s->settled[next] = true;
    for (size_t i = 0; i < s->node_count; i++) {
      double way = s->reach[next] + length(s->nodes[next], s->nodes[i]);
      if (!s->settled[i] && way < s->reach[i] && is_free(s, s->nodes[next], s->nodes[i])) {
        s->reach[i] = way;
        s->before[i] = next;
      }
    }
  }
}

static scene begin(const pc_ring *rings, size_t count, pc_point from, pc_point a, pc_point b) {
  scene s = {.rings = rings, .count = count};
  size_t corners = 0, most = 0;
  for (size_t r = 0; r < count; r++) {
    corners += rings[r].count;
    most = rings[r].count > most ? rings[r].count : most;
  }
  size_t room = 3 * corners + 4; /* the start, corners, their feet on the segment, crossings, its ends */
  s.cuts = must(malloc((2 * most + 2) * sizeof *s.cuts));
  s.nodes = must(malloc(room * sizeof *s.nodes));
  s.reach = must(malloc(room * sizeof *s.reach));
  s.before = must(calloc(room, sizeof *s.before));
  s.settled = must(calloc(room, sizeof *s.settled));
  s.nodes[s.node_count++] = from;
  for (size_t r = 0; r < count; r++)
    for (size_t i = 0; i < rings[r].count; i++)
      s.nodes[s.node_count++] = rings[r].points[i];
  s.first_target = s.node_count;
  s.nodes[s.node_count++] = a;
  s.nodes[s.node_count++] = b;
  double extent_m = 0;
  for (size_t i = 1; i < s.node_count; i++)
    extent_m = fmax(extent_m, length(from, s.nodes[i]));
  s.slack_m = 1e-9 * extent_m;
  return s;
}

static double finish(scene *s, pc_point *nearest, pc_point *corners, size_t *corner_count) {
  size_t target = search(s), bends = 0;
  double way = target > 0 ? s->reach[target] : INFINITY;
  for (size_t i = s->before[target]; i > 0; i = s->before[i])
    bends++;
  if (corner_count)
    *corner_count = bends;
  if (corners)
    for (size_t i = s->before[target]; i > 0; i = s->before[i])
      corners[--bends] = s->nodes[i];
  if (nearest && target > 0)
    *nearest = s->nodes[target];
  free(s->cuts);
  free(s->nodes);
  free(s->reach);
  free(s->before);
  free(s->settled);
  return way;
}

double naive_path(const pc_ring *rings, size_t count, pc_point from, pc_point to, pc_point *corners,
                  size_t *corner_count) {
  scene s = begin(rings, count, from, to, to);
  return finish(&s, NULL, corners, corner_count);
}

/* The last straight leg of a shortest path ends in an end of the segment, where an outline crosses it, or at
 * a right angle: anywhere else the leg could be shortened by shifting its end, until it touches a corner. */
double naive_to_face(const pc_ring *rings, size_t count, pc_point from, pc_point a, pc_point b,
                     pc_point *nearest, pc_point *corners, size_t *corner_count) {
  scene s = begin(rings, count, from, a, b);
  for (size_t i = 0; i < s.first_target; i++) {
    double at = foot(a, b, s.nodes[i]);
    if (at > 0 && at < 1)
      s.nodes[s.node_count++] = between(a, b, at);
  }
  for (size_t r = 0; r < count; r++)
    for (size_t i = 0; i < rings[r].count; i++) {
      double at = crossing(a, b, rings[r].points[i], rings[r].points[(i + 1) % rings[r].count]);
      if (!isnan(at))
        s.nodes[s.node_count++] = between(a, b, at);
    }
  return finish(&s, nearest, corners, corner_count);
}
