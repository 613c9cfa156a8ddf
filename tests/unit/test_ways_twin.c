// SPDX-License-Identifier: GPL-3.0-or-later
/* The net of shortest ways against the slow shortest paths of tests/support (a visibility graph over every
 * corner, which shares no code with the net) on random sites. What is off the pavement is a ring for those.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "naive_paths.h"
#include "random_site.h"
#include "site/blocked.h"
#include "site/routes.h"

enum { SITES = 200, RINGS_MAX = 40, OUTLINE_MAX = 64, LINES = 3, LINE_NODES_MAX = 12 };
static const double node_step_m = 2.0;

static double length(pc_point a, pc_point b) {
  return hypot(b.x_m - a.x_m, b.y_m - a.y_m);
}

static pc_point along(pc_point a, pc_point b, double share) {
  return (pc_point){a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
}

/* ---- the twin's scene ---- */

typedef struct twin {
  pc_ring rings[RINGS_MAX];
  size_t count;
  pc_point off_pavement[OUTLINE_MAX];
  pc_ring inflated[RINGS_MAX];
  size_t inflated_count;
} twin;

typedef struct bulge { /* a zone beside the area: its ends along the edge, its two far corners */
  double from, to;
  pc_point far_from, far_to;
} bulge;

/* True if the zone lies outside along the edge a–b. */
static bool bulge_of(const pc_ring *area, const pc_ring *zone, pc_point a, pc_point b, bulge *found) {
  double edge = length(a, b), ux = (b.x_m - a.x_m) / edge, uy = (b.y_m - a.y_m) / edge;
  size_t on = 0;
  if (zone->count != 4 || naive_inside(area, along(zone->points[0], zone->points[2], 0.5), 0))
    return false;
  *found = (bulge){.from = INFINITY, .to = -INFINITY};
  for (size_t i = 0; i < 4; i++) {
    double x = zone->points[i].x_m - a.x_m, y = zone->points[i].y_m - a.y_m, s = x * ux + y * uy;
    if (s < -1e-9 || s > edge + 1e-9 || fabs(x * uy - y * ux) > 1e-9)
      continue;
    found->from = fmin(found->from, s);
    found->to = fmax(found->to, s);
    on++;
  }
  for (size_t i = 0; i < 4; i++) {
    double x = zone->points[i].x_m - a.x_m, y = zone->points[i].y_m - a.y_m, s = x * ux + y * uy;
    if (fabs(x * uy - y * ux) <= 1e-9)
      continue;
    if (fabs(s - found->from) < fabs(s - found->to))
      found->far_from = zone->points[i];
    else
      found->far_to = zone->points[i];
  }
  return on == 2;
}

static int by_from(const void *a, const void *b) {
  double x = ((const bulge *)a)->from, y = ((const bulge *)b)->from;
  return (x > y) - (x < y);
}

/* One ring for all that is off the pavement: around a far frame, through a slit to the pavement's outline
 * (with the zones beside it), around that and back. The slit leads out of the pavement, and nowhere else. */
static pc_ring off_pavement(const random_lot *lot, pc_point *points) {
  const pc_ring *area = &lot->site.areas[0].outline;
  size_t count = 0, n = area->count, first = 0;
  bool forwards = pc_ring_area_m2(area) > 0;
  double low_x = INFINITY, low_y = INFINITY, high_x = -INFINITY, high_y = -INFINITY;
  for (size_t i = 0; i < n; i++) {
    low_x = fmin(low_x, area->points[i].x_m);
    low_y = fmin(low_y, area->points[i].y_m);
    high_x = fmax(high_x, area->points[i].x_m);
    high_y = fmax(high_y, area->points[i].y_m);
    if (area->points[i].x_m + area->points[i].y_m < area->points[first].x_m + area->points[first].y_m)
      first = i; /* nothing of the pavement but perhaps a zone lies between it and the frame's corner */
  }
  pc_point frame[] = {{low_x - 50, low_y - 50},
                      {high_x + 50, low_y - 50},
                      {high_x + 50, high_y + 50},
                      {low_x - 50, high_y + 50}};
  for (size_t i = 0; i <= 4; i++)
    points[count++] = frame[i % 4];
  size_t slit = count;
  for (size_t i = 0; i < n; i++) { /* clockwise, against the frame */
    pc_point a = area->points[forwards ? (first + n - i) % n : (first + i) % n];
    pc_point b = area->points[forwards ? (first + 2 * n - i - 1) % n : (first + i + 1) % n];
    bulge bulges[4];
    size_t bulge_count = 0;
    points[count++] = a;
    for (size_t z = 0; z < lot->zone_count; z++)
      if (bulge_of(area, &lot->zones[z].outline, a, b, &bulges[bulge_count]))
        bulge_count++;
    qsort(bulges, bulge_count, sizeof *bulges, by_from);
    for (size_t k = 0; k < bulge_count; k++) {
      points[count++] = along(a, b, bulges[k].from / length(a, b));
      points[count++] = bulges[k].far_from;
      points[count++] = bulges[k].far_to;
      points[count++] = along(a, b, bulges[k].to / length(a, b));
    }
  }
  points[count++] = points[slit];
  assert_true(count <= OUTLINE_MAX);
  return (pc_ring){points, count};
}

static void add_zones(twin *t, const random_lot *lot) {
  for (size_t z = 0; z < lot->zone_count; z++)
    if (lot->zones[z].outline.count > 0)
      t->rings[t->count++] = lot->zones[z].outline;
}

static void twin_of(const random_lot *lot, bool zones_block, twin *t) {
  t->count = t->inflated_count = 0;
  for (size_t i = 0; i < lot->site.obstacle_count; i++)
    t->rings[t->count++] = lot->site.obstacles[i].outline;
  t->rings[t->count++] = off_pavement(lot, t->off_pavement);
  if (zones_block)
    add_zones(t, lot);
}

static double twin_m(const twin *t, pc_point a, pc_point b) {
  return naive_path(t->rings, t->count, a, b, NULL, NULL);
}

static double twin_to_zone_m(const twin *t, const pc_routes *routes, pc_point from, size_t zone) {
  double best = INFINITY;
  for (size_t k = routes->faces.first[zone]; k < routes->faces.first[zone + 1]; k++)
    best = fmin(best, naive_to_face(t->rings, t->count, from, routes->faces.items[k].a,
                                    routes->faces.items[k].b, NULL, NULL, NULL));
  return best;
}

static bool is_free(const twin *t, pc_point p, double clear_m) {
  for (size_t i = 0; i < t->count; i++)
    if (naive_inside(&t->rings[i], p, 0) || pc_ring_distance_m(&t->rings[i], p, NULL) < clear_m)
      return false;
  return true;
}

static pc_point free_place(pc_stream *stream, const random_lot *lot, const twin *t, double clear_m) {
  for (int i = 0; i < 100000; i++) {
    pc_point p = random_free_point(stream, lot);
    if (is_free(t, p, clear_m))
      return p;
  }
  fail_msg("no free place");
  return (pc_point){0, 0};
}

/* ---- the net ---- */

typedef struct subject {
  random_lot lot;
  const pc_zone *zones[4];
  pc_routes *routes;
} subject;

static void make_net(subject *s, pc_clearance clearance, const pc_point *nodes, size_t count) {
  pc_blocked blocked;
  pc_faults faults = {0};
  for (size_t z = 0; z < s->lot.zone_count; z++)
    s->zones[z] = &s->lot.zones[z];
  assert_int_equal(pc_blocked_make(&s->lot.site, s->zones, s->lot.zone_count, clearance, &blocked), PC_OK);
  assert_int_equal(
      pc_routes_net(&blocked, s->zones, s->lot.zone_count, nodes, count, true, &s->routes, &faults), PC_OK);
  pc_faults_free(&faults);
}

static void free_subject(subject *s) {
  pc_routes_free(s->routes);
  random_lot_free(&s->lot);
}

static pc_way way_between(const pc_routes *routes, pc_place from, pc_place to) {
  pc_outlook outlook;
  pc_way way;
  pc_routes_look(routes, &from, true, &outlook);
  pc_routes_between(routes, &outlook, &to, &way);
  return way;
}

static double bend(pc_point a, pc_point b, pc_point c) {
  double cosine =
      ((b.x_m - a.x_m) * (c.x_m - b.x_m) + (b.y_m - a.y_m) * (c.y_m - b.y_m)) / (length(a, b) * length(b, c));
  return acos(fmax(-1, fmin(1, cosine)));
}

/* The corners of a way add up to what it says of itself. */
static void check_path(const pc_routes *routes, pc_point from, const pc_way *way) {
  pc_point points[PC_WAY_POINTS_MAX];
  if (!isfinite(way->length_m))
    return;
  int count = pc_routes_path(routes, from, way, points);
  double legs = 0, bends = 0;
  assert_true(count >= 2 && count <= PC_WAY_POINTS_MAX);
  assert_memory_equal(&points[0], &from, sizeof from);
  assert_memory_equal(&points[1], &way->first, sizeof from);
  assert_memory_equal(&points[count - 2], &way->last, sizeof from);
  assert_memory_equal(&points[count - 1], &way->end, sizeof from);
  for (int i = 0; i + 1 < count; i++) {
    legs += length(points[i], points[i + 1]);
    if (i > 0 && length(points[i - 1], points[i]) > 1e-6 && length(points[i], points[i + 1]) > 1e-6)
      bends += bend(points[i - 1], points[i], points[i + 1]);
  }
  if (!(fabs(legs - way->length_m) <= 1e-9 * (1 + legs)) || !(fabs(bends - way->bends_rad) <= 1e-5))
    fail_msg("legs %.12g for %.12g, bends %.9g for %.9g", legs, way->length_m, bends, way->bends_rad);
}

/* ---- keeping count ---- */

typedef struct tally {
  const char *what;
  size_t asked, off_a_little, off_much; /* more than 1e-6; more than 0.1 % */
  double shortest, longest;             /* relative error */
} tally;

static void compare(tally *t, uint64_t seed, double got, double want, double allowed) {
  t->asked++;
  if (isinf(want) || isinf(got)) {
    if (got != want)
      fail_msg("%s, site %d: got %.9g, want %.9g", t->what, (int)seed, got, want);
    return;
  }
  double error = (got - want) / fmax(want, 1);
  t->shortest = fmin(t->shortest, error);
  t->longest = fmax(t->longest, error);
  t->off_a_little += fabs(error) > 1e-6;
  t->off_much += fabs(error) > 1e-3;
  if (!(fabs(error) <= allowed))
    fail_msg("%s, site %d: got %.9g, want %.9g (%.3g)", t->what, (int)seed, got, want, error);
}

static void show(const tally *t) {
  print_message("%s: %zu asked, relative error %.3g … %.3g; %zu over 1e-6, %zu over 1e-3\n", t->what,
                t->asked, t->shortest, t->longest, t->off_a_little, t->off_much);
}

/* ---- a point: half width 0 ---- */

static void test_anywhere(void **state) {
  (void)state;
  tally between = {.what = "between places"}, zones = {.what = "to zones"};
  for (uint64_t seed = 1; seed <= SITES; seed++) {
    bool zones_block = seed % 3 != 0;
    twin t;
    subject s = {.lot = random_site(seed, NULL)};
    make_net(&s, (pc_clearance){0, zones_block, false, NULL}, NULL, 0);
    twin_of(&s.lot, zones_block, &t);
    pc_stream stream;
    pc_stream_start(&stream, seed, 1, 0, 0);
    for (int i = 0; i < 4; i++) {
      pc_point a = free_place(&stream, &s.lot, &t, 0.01), b = free_place(&stream, &s.lot, &t, 0.01);
      pc_way way = way_between(s.routes, pc_place_at(a), pc_place_at(b));
      compare(&between, seed, way.length_m, twin_m(&t, a, b), 1e-6);
      check_path(s.routes, a, &way);
      size_t z = (size_t)i % s.lot.zone_count;
      pc_place from = pc_place_at(a);
      pc_routes_to_zone(s.routes, &from, z, &way);
      compare(&zones, seed, way.length_m, twin_to_zone_m(&t, s.routes, a, z), 1e-6);
      check_path(s.routes, a, &way);
    }
    free_subject(&s);
  }
  show(&between);
  show(&zones);
}

typedef struct line {
  size_t first;
  int nodes;
} line;

/* Nodes along a random line as far as nothing stands on it. */
static line lay_line(pc_stream *stream, const random_lot *lot, const twin *t, pc_point *nodes,
                     size_t *count) {
  pc_point from = free_place(stream, lot, t, 0.01);
  double angle = random_between(stream, 0, 6.283185307179586);
  line made = {*count, 1};
  nodes[(*count)++] = from;
  for (int i = 1; i < LINE_NODES_MAX; i++) {
    pc_point next = {from.x_m + i * node_step_m * cos(angle), from.y_m + i * node_step_m * sin(angle)};
    pc_point last = nodes[*count - 1];
    if (!is_free(t, next, 0.01) || twin_m(t, last, next) > node_step_m + 1e-9)
      break;
    nodes[(*count)++] = next;
    made.nodes++;
  }
  return made;
}

static pc_place place_on(pc_stream *stream, const line *l, const pc_point *nodes) {
  size_t node = l->first + (size_t)random_between(stream, 0, l->nodes - 1);
  double share = random_between(stream, 0, 1);
  if (l->nodes == 1)
    return (pc_place){nodes[node], node, 0};
  return (pc_place){along(nodes[node], nodes[node + 1], share), node, share};
}

static void test_on_lines(void **state) {
  (void)state;
  tally between = {.what = "between places on lines"}, zones = {.what = "from lines to zones"};
  for (uint64_t seed = 1; seed <= SITES; seed++) {
    twin t;
    subject s = {.lot = random_site(seed, NULL)};
    pc_point nodes[LINES * LINE_NODES_MAX];
    line lines[LINES];
    size_t count = 0;
    pc_stream stream;
    pc_stream_start(&stream, seed, 2, 0, 0);
    twin_of(&s.lot, true, &t);
    for (int i = 0; i < LINES; i++)
      lines[i] = lay_line(&stream, &s.lot, &t, nodes, &count);
    make_net(&s, (pc_clearance){0, true, false, NULL}, nodes, count);
    for (int i = 0; i < 2 * LINES; i++) {
      pc_place a = place_on(&stream, &lines[i % LINES], nodes);
      pc_place b = place_on(&stream, &lines[(i + 1) % LINES], nodes);
      pc_way way = way_between(s.routes, a, b);
      compare(&between, seed, way.length_m, twin_m(&t, a.at, b.at), 1e-2);
      check_path(s.routes, a.at, &way);
      size_t z = (size_t)i % s.lot.zone_count;
      pc_routes_to_zone(s.routes, &a, z, &way);
      compare(&zones, seed, way.length_m, twin_to_zone_m(&t, s.routes, a.at, z), 1e-2);
      check_path(s.routes, a.at, &way);
    }
    free_subject(&s);
  }
  show(&between);
  show(&zones);
}

/* ---- a machine with a width ---- */

static bool has_sharp_corner(const pc_ring *ring) {
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count],
             c = ring->points[(i + 2) % ring->count];
    if ((a.x_m - b.x_m) * (c.x_m - b.x_m) + (a.y_m - b.y_m) * (c.y_m - b.y_m) > 1e-9)
      return true;
  }
  return false;
}

static void keep_blunt(pc_site *site) {
  size_t kept = 0;
  for (size_t i = 0; i < site->obstacle_count; i++)
    if (has_sharp_corner(&site->obstacles[i].outline))
      pc_ring_free(&site->obstacles[i].outline);
    else
      site->obstacles[kept++] = site->obstacles[i];
  site->obstacle_count = kept;
}

/* Obstacles as they stand, and with mitred outlines half a machine wider. They keep so far from the
 * pavement's edge that no shortest way goes near that. */
static void twins_of(const random_lot *lot, double half_width_m, twin *thin, twin *wide) {
  thin->count = wide->count = wide->inflated_count = thin->inflated_count = 0;
  for (size_t i = 0; i < lot->site.obstacle_count; i++) {
    thin->rings[thin->count++] = lot->site.obstacles[i].outline;
    wide->inflated[wide->inflated_count++] = wide->rings[wide->count++] =
        random_site_inflate(&lot->site.obstacles[i].outline, half_width_m);
  }
}

static void free_inflated(twin *t) {
  for (size_t i = 0; i < t->inflated_count; i++)
    pc_ring_free(&t->inflated[i]);
}

static bool inside_by(const pc_ring *ring, pc_point p, double by_m) {
  if (!pc_ring_contains(ring, p))
    return false;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point edge[2] = {ring->points[i], ring->points[(i + 1) % ring->count]};
    if (pc_ring_distance_m(&(pc_ring){edge, 2}, p, NULL) < by_m)
      return false;
  }
  return true;
}

/* Nearer to nothing than half the width. */
static pc_point roomy_place(pc_stream *stream, const random_lot *lot, const twin *wide, double half_width_m) {
  for (;;) {
    pc_point p = free_place(stream, lot, wide, 0.05);
    if (inside_by(&lot->site.areas[0].outline, p, half_width_m + 0.05))
      return p;
  }
}

static void compare_widths(uint64_t seed, bool blunt, double half, tally *exact, tally *least, tally *most) {
  random_site_options options = random_site_default();
  options.obstacles_min = 3;
  options.gap_m = 6;
  options.apart_m = 0.1;
  options.convex_obstacles = options.rectangle_area = true;
  subject s = {.lot = random_site(seed, &options)}, hugging = s;
  twin thin, wide;
  if (blunt)
    keep_blunt(&s.lot.site);
  hugging.lot.site = s.lot.site;
  twins_of(&s.lot, half, &thin, &wide);
  make_net(&s, (pc_clearance){half, false, false, NULL}, NULL, 0);
  make_net(&hugging, (pc_clearance){half, false, true, NULL}, NULL, 0);
  pc_stream stream;
  pc_stream_start(&stream, seed, 3, 0, 0);
  for (int i = 0; i < 5; i++) {
    pc_point a = roomy_place(&stream, &s.lot, &wide, half), b = roomy_place(&stream, &s.lot, &wide, half);
    pc_way way = way_between(s.routes, pc_place_at(a), pc_place_at(b));
    pc_way hug = way_between(hugging.routes, pc_place_at(a), pc_place_at(b));
    double with_mitres = twin_m(&wide, a, b), as_a_point = twin_m(&thin, a, b);
    check_path(s.routes, a, &way);
    check_path(hugging.routes, a, &hug);
    if (blunt)
      compare(exact, seed, way.length_m, with_mitres, 1e-2);
    compare(most, seed, fmax(way.length_m, with_mitres), with_mitres, 1e-3);
    compare(least, seed, fmin(way.length_m, as_a_point), as_a_point, 1e-6);
    /* hugging what stands there is shorter yet, but not shorter than a point's way */
    compare(most, seed, fmax(hug.length_m, way.length_m), way.length_m, 1e-6);
    compare(least, seed, fmin(hug.length_m, as_a_point), as_a_point, 1e-6);
  }
  free_inflated(&wide);
  pc_routes_free(hugging.routes);
  free_subject(&s);
}

static void test_widths(void **state) {
  (void)state;
  tally exact = {.what = "half width, right angles or blunter"},
        least = {.what = "shorter than a point's way"}, most = {.what = "longer than with full mitres"};
  for (uint64_t seed = 1; seed <= SITES; seed++)
    compare_widths(seed, seed % 2 == 0, seed % 4 < 2 ? 1.35 : 2.44, &exact, &least, &most);
  show(&exact);
  show(&least);
  show(&most);
}

/* ---- what is blocked ---- */

/* Nearest to a point of all that is drawn: obstacles, zones, the area's edges. */
static double nearest_m(const random_lot *lot, pc_point p) {
  const pc_ring *area = &lot->site.areas[0].outline;
  double least = INFINITY;
  for (size_t i = 0; i < lot->site.obstacle_count; i++)
    least = fmin(least, pc_ring_distance_m(&lot->site.obstacles[i].outline, p, NULL));
  for (size_t z = 0; z < lot->zone_count; z++)
    if (lot->zones[z].outline.count > 0)
      least = fmin(least, pc_ring_distance_m(&lot->zones[z].outline, p, NULL));
  for (size_t i = 0; i < area->count; i++) {
    pc_point edge[2] = {area->points[i], area->points[(i + 1) % area->count]};
    least = fmin(least, pc_ring_distance_m(&(pc_ring){edge, 2}, p, NULL));
  }
  return least;
}

/* What stands there is inside of every shape, what is far enough from everything is outside. */
static void check_blocked(uint64_t seed, double half, size_t *checks) {
  random_lot lot = random_site(seed, NULL);
  const pc_zone *zones[4];
  pc_blocked blocked;
  for (size_t z = 0; z < lot.zone_count; z++)
    zones[z] = &lot.zones[z];
  assert_int_equal(
      pc_blocked_make(&lot.site, zones, lot.zone_count, (pc_clearance){half, true, false, NULL}, &blocked),
      PC_OK);
  for (size_t i = 0; i < lot.site.obstacle_count; i++) {
    const pc_ring *ring = &lot.site.obstacles[i].outline;
    pc_point p = along(ring->points[0], pc_ring_centroid(ring), 0.1);
    if (!naive_inside(ring, p, 0.01))
      continue;
    assert_true(pc_legs_inside(&blocked.wide, p));
    assert_true(pc_legs_inside(&blocked.tight, p));
    assert_true(pc_legs_inside(&blocked.solid, p));
    ++*checks;
  }
  pc_stream stream;
  pc_stream_start(&stream, seed, 4, 0, 0);
  for (int i = 0; i < 20; i++) {
    pc_point p = random_free_point(&stream, &lot);
    if (nearest_m(&lot, p) < 2 * half + 0.05) /* mitres, cut off at 1.5 half widths, reach no farther */
      continue;
    assert_false(pc_legs_inside(&blocked.wide, p));
    assert_false(pc_legs_inside(&blocked.tight, p));
    assert_false(pc_legs_inside(&blocked.solid, p));
    ++*checks;
  }
  pc_blocked_free(&blocked);
  random_lot_free(&lot);
}

static void test_blocked(void **state) {
  (void)state;
  /* The first ones are sites of which an overlay without a grid lost a part, or failed. */
  static const uint64_t hard[] = {1028, 1640, 2130, 2281, 2948, 3105, 3830, 4426, 8586, 12953, 19313};
  static const double halves[] = {0, 0.9, 1.35, 1.83, 2.44};
  size_t checks = 0;
  for (size_t i = 0; i < SITES / 2; i++)
    for (size_t h = 0; h < sizeof halves / sizeof halves[0]; h++)
      check_blocked(i < sizeof hard / sizeof hard[0] ? hard[i] : i, halves[h], &checks);
  print_message("%zu places\n", checks);
}

/* More corners in sight than an outlook holds. */
static void test_many_corners(void **state) {
  (void)state;
  enum { POSTS = 120 };
  pc_stream stream;
  pc_stream_start(&stream, 5, 0, 0, 0);
  pc_point corners[POSTS][4], edge[] = {{-50, -50}, {150, -50}, {150, 130}, {-50, 130}};
  pc_obstacle posts[POSTS];
  pc_ring rings[POSTS];
  for (size_t i = 0; i < POSTS; i++) {
    double x = 8.0 * (double)(i % 12) + random_between(&stream, 0, 6);
    double y = 8.0 * (double)(i / 12) + random_between(&stream, 0, 6);
    const pc_point square[] = {{x, y}, {x + 0.4, y}, {x + 0.4, y + 0.4}, {x, y + 0.4}};
    memcpy(corners[i], square, sizeof square);
    rings[i] = (pc_ring){corners[i], 4};
    posts[i] = (pc_obstacle){.kind = PC_OBSTACLE_POLE, .outline = rings[i]};
  }
  pc_area area = {.outline = {edge, 4}};
  pc_site site = {.areas = &area, .area_count = 1, .obstacles = posts, .obstacle_count = POSTS};
  pc_blocked blocked;
  pc_faults faults = {0};
  pc_routes *routes = NULL;
  assert_int_equal(pc_blocked_make(&site, NULL, 0, (pc_clearance){0, false, false, NULL}, &blocked), PC_OK);
  assert_int_equal(pc_routes_net(&blocked, NULL, 0, NULL, 0, true, &routes, &faults), PC_OK);
  tally between = {.what = "among many posts"};
  int full = 0;
  for (int i = 0; i < 12; i++) {
    pc_point a = {random_between(&stream, -40, 140), random_between(&stream, -40, -1)};
    pc_point b = {random_between(&stream, -40, 140), random_between(&stream, 85, 120)};
    pc_place from = pc_place_at(a), to = pc_place_at(b);
    pc_outlook outlook;
    pc_routes_look(routes, &from, true, &outlook);
    full += outlook.count == PC_OUTLOOK_MAX;
    pc_way way;
    pc_routes_between(routes, &outlook, &to, &way);
    compare(&between, 0, way.length_m, naive_path(rings, POSTS, a, b, NULL, NULL), 1e-3);
    check_path(routes, a, &way);
  }
  show(&between);
  print_message("%d of 12 outlooks full\n", full);
  pc_routes_free(routes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_anywhere), cmocka_unit_test(test_on_lines),     cmocka_unit_test(test_widths),
      cmocka_unit_test(test_blocked),  cmocka_unit_test(test_many_corners),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
