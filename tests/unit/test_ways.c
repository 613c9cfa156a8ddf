// SPDX-License-Identifier: GPL-3.0-or-later
/* The net of shortest ways on sites whose answers can be worked out from the corners beside them, or were
 * computed elsewhere. Random sites are in test_ways_twin.c. Metres. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "site/blocked.h"
#include "site/routes.h"
#include "validation.h"

enum { BLOCKS_MAX = 700, PARTS_MAX = 4 };
static const double graze_m = 1e-3; /* a leg may pass this deep under a corner or an edge */

typedef struct rect {
  double x0, y0, x1, y1;
} rect;

/* A site of rectangles. `turn_rad`, `shift`: everything is turned about the origin, then shifted. */
typedef struct yard {
  size_t areas, blocks, zones;
  rect area[PARTS_MAX], *block, zone[PARTS_MAX];
  double turn_rad;
  pc_point shift;
} yard;

typedef struct net {
  double turn_rad;
  pc_point shift;
  pc_site site;
  pc_zone zones[PARTS_MAX];
  const pc_zone *list[PARTS_MAX];
  size_t zone_count;
  pc_routes *routes;
} net;

static void close_to(const char *what, double got, double want, double slack) {
  if (!(fabs(got - want) <= slack) && !(isinf(want) && got == want))
    fail_msg("%s: got %.12g, want %.12g within %.3g", what, got, want, slack);
}

static double length(pc_point a, pc_point b) {
  return hypot(b.x_m - a.x_m, b.y_m - a.y_m);
}

static pc_point placed(const net *n, pc_point p) {
  double c = cos(n->turn_rad), s = sin(n->turn_rad);
  return (pc_point){c * p.x_m - s * p.y_m + n->shift.x_m, s * p.x_m + c * p.y_m + n->shift.y_m};
}

static pc_ring placed_rect(const net *n, rect r) {
  pc_ring ring;
  const pc_point points[] = {placed(n, (pc_point){r.x0, r.y0}), placed(n, (pc_point){r.x1, r.y0}),
                             placed(n, (pc_point){r.x1, r.y1}), placed(n, (pc_point){r.x0, r.y1})};
  assert_int_equal(pc_ring_copy(&ring, points, 4), PC_OK);
  return ring;
}

static void build_site(const yard *y, net *n) {
  *n = (net){.turn_rad = y->turn_rad, .shift = y->shift, .zone_count = y->zones};
  n->site.areas = pc_alloc(y->areas, sizeof *n->site.areas);
  n->site.obstacles = pc_alloc(y->blocks, sizeof *n->site.obstacles);
  assert_non_null(n->site.areas);
  assert_non_null(n->site.obstacles);
  n->site.area_count = y->areas;
  n->site.obstacle_count = y->blocks;
  for (size_t i = 0; i < y->areas; i++)
    n->site.areas[i].outline = placed_rect(n, y->area[i]);
  for (size_t i = 0; i < y->blocks; i++)
    n->site.obstacles[i].outline = placed_rect(n, y->block[i]);
  for (size_t z = 0; z < y->zones; z++) {
    n->zones[z] = pc_zone_default();
    n->zones[z].outline = placed_rect(n, y->zone[z]);
    n->list[z] = &n->zones[z];
  }
}

static void build(const yard *y, double half_width_m, net *n) {
  pc_blocked blocked;
  pc_faults faults = {0};
  build_site(y, n);
  assert_int_equal(pc_blocked_make(&n->site, n->list, n->zone_count,
                                   (pc_clearance){half_width_m, true, false, NULL}, &blocked),
                   PC_OK);
  assert_int_equal(pc_routes_net(&blocked, n->list, n->zone_count, NULL, 0, true, &n->routes, &faults),
                   PC_OK);
  assert_int_equal(faults.count, 0);
  assert_int_equal(blocked.corner_count, 0);
  assert_null(blocked.corners);
}

static void free_net(net *n) {
  pc_routes_free(n->routes);
  pc_site_free(&n->site);
  for (size_t z = 0; z < n->zone_count; z++)
    pc_zone_free(&n->zones[z]);
}

static double bend(pc_point a, pc_point b, pc_point c) {
  double cosine =
      ((b.x_m - a.x_m) * (c.x_m - b.x_m) + (b.y_m - a.y_m) * (c.y_m - b.y_m)) / (length(a, b) * length(b, c));
  return length(a, b) * length(b, c) > 1e-6 ? acos(fmax(-1, fmin(1, cosine))) : 0;
}

/* The corners of a way must add up to what it says of itself. Returns how many there are. */
static int check_path(const pc_routes *routes, pc_point from, const pc_way *way) {
  pc_point points[PC_WAY_POINTS_MAX];
  int count = pc_routes_path(routes, from, way, points);
  double legs = 0, bends = 0;
  assert_true(count >= 2 && count <= PC_WAY_POINTS_MAX);
  for (int i = 0; i + 1 < count; i++) {
    legs += length(points[i], points[i + 1]);
    bends += i > 0 ? bend(points[i - 1], points[i], points[i + 1]) : 0;
  }
  close_to("legs", legs, way->length_m, 1e-9 * way->length_m);
  close_to("bends", way->bends_rad, bends, 1e-5);
  assert_memory_equal(&points[0], &from, sizeof from);
  assert_memory_equal(&points[1], &way->first, sizeof from);
  assert_memory_equal(&points[count - 2], &way->last, sizeof from);
  assert_memory_equal(&points[count - 1], &way->end, sizeof from);
  return count;
}

static pc_way way_between(const net *n, pc_point from, pc_point to) {
  pc_place start = pc_place_at(placed(n, from)), end = pc_place_at(placed(n, to));
  pc_outlook outlook;
  pc_way way;
  pc_routes_look(n->routes, &start, true, &outlook);
  pc_routes_between(n->routes, &outlook, &end, &way);
  if (isfinite(way.length_m))
    (void)check_path(n->routes, start.at, &way);
  return way;
}

/* There and back. */
static double between(const net *n, pc_point from, pc_point to) {
  pc_way out = way_between(n, from, to), back = way_between(n, to, from);
  close_to("back again", back.length_m, out.length_m, 1e-9 * out.length_m);
  if (isfinite(out.length_m))
    close_to("bends of the way back", back.bends_rad, out.bends_rad, 1e-5);
  return out.length_m;
}

static double to_zone(const net *n, pc_point from, size_t zone) {
  pc_place start = pc_place_at(placed(n, from));
  pc_way way;
  pc_routes_to_zone(n->routes, &start, zone, &way);
  if (isfinite(way.length_m))
    (void)check_path(n->routes, start.at, &way);
  return way.length_m;
}

/* ---- computed elsewhere ---- */

typedef struct published {
  pc_point from, to;
  size_t count;
  rect block[3];
  double length_m;
} published;

/* Shortest paths around rectangles, grazing allowed: computed with a visibility graph, given to six decimals.
 * The sum of legs beside each, from the corners that the way goes round, confirms it by hand. */
static void test_published(void **state) {
  (void)state;
  published table[] = {
      {{0, 0}, {10, 0}, 1, {{4, -1, 6, 1}}, 10.246211}, /* 2·√17 + 2 */
      {{0, 0}, {8, 0}, 1, {{3, -4, 5, 4}}, 12},         /* 5 + 2 + 5 */
      /* A wall, x = 3 and |y| ≤ 4, from (0, 0) to (6, 0): 5 + 5. Here it needs a thickness, which the end is
       * moved by and the way grows by. */
      {{0, 0}, {6.01, 0}, 1, {{3, -4, 3.01, 4}}, 10 + 0.01},
      {{0, 0}, {20, 0}, 2, {{4, -3, 6, 50}, {14, -50, 16, 3}}, 24}, /* 5 + 2 + 10 + 2 + 5 */
      {{0, 0}, {3, 3}, 1, {{1, 1, 2, 2}}, 4.472136},                /* 2·√5 */
      {{0, 30}, {100, 30}, 1, {{30, 20, 70, 40}}, 103.245553},      /* 2·√(30² + 10²) + 40 */
      {{0, 0}, {100, 60}, 1, {{30, 20, 70, 40}}, 122.801099},       /* 50 + √(70² + 20²) */
      {{0, 4}, {8, 4}, 1, {{3, -4, 5, 4}}, 8},                      /* along the block's upper edge */
      {{0, 0}, {12, 0}, 1, {{3, -4, 9, 4}}, 16},                    /* 5 + 6 + 5 */
      /* √122 + √80 + 2 + √106, through a gap, then round the third */
      {{0, 0}, {30, 0}, 3, {{9, -12, 11, -1}, {9, 1, 11, 12}, {19, -5, 21, 12}}, 32.285263},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
    net n;
    build(
        &(yard){
            .areas = 1, .area = {{-500, -500, 500, 500}}, .blocks = table[i].count, .block = table[i].block},
        0, &n);
    double way = between(&n, table[i].from, table[i].to);
    char what[80];
    snprintf(what, sizeof what, "shortest way around blocks, case %zu, m", i + 1);
    assert_published("A visibility graph computed elsewhere; sums of legs by hand", what, way,
                     table[i].length_m, 1e-6);
    free_net(&n);
  }
}

/* ---- widths ---- */

/* Around one block by hand: its corners move out by half the width, both ways. */
static void test_half_width(void **state) {
  (void)state;
  rect block = {40, -10, 60, 10};
  yard y = {.areas = 1, .area = {{-50, -60, 150, 60}}, .blocks = 1, .block = &block};
  const double widths[] = {0, 1.8, 2.7, 4.88};
  for (size_t i = 0; i < 4; i++) {
    net n;
    double half = widths[i] / 2;
    build(&y, half, &n);
    close_to("around", between(&n, (pc_point){0, 0}, (pc_point){100, 0}),
             2 * hypot(40 - half, 10 + half) + 20 + widths[i], 1e-6);
    /* a leg may graze the grown block */
    close_to("along", between(&n, (pc_point){0, 10 + half}, (pc_point){100, 10 + half}), 100, 1e-9);
    free_net(&n);
  }
}

/* Two buildings, 2.0 m between them. */
static void test_gap(void **state) {
  (void)state;
  rect blocks[] = {{40, -30, 60, -1}, {40, 1, 60, 30}};
  yard y = {.areas = 1, .area = {{0, -60, 100, 60}}, .blocks = 2, .block = blocks};
  const pc_point west = {10, 0}, east = {90, 0}, wall = {39.9, 0.5}, wall_east = {60.1, -0.5};
  net narrow, wide;
  build(&y, 0.9, &narrow);
  build(&y, 1.35, &wide);
  close_to("1.8 m wide, through", between(&narrow, west, east), 80, 1e-9);
  double around = 2 * hypot(30 - 1.35, 31.35) + 20 + 2.7;
  close_to("2.7 m wide, around", between(&wide, west, east), around, 1e-6);
  assert_true(pc_routes_clear(narrow.routes, west, east));
  assert_false(pc_routes_clear(wide.routes, west, east));
  /* 0.1 m from a wall, right beside the gap: not through it, but away along the wall. The machine's middle
   * may be nearer to the walls there, but it must not be shorter than the way of a machine without a width.
   */
  double least = 2 * hypot(0.1, 30 - 0.5) + 20;
  for (int i = 0; i < 2; i++) {
    pc_point to = i == 0 ? wall_east : east;
    double way = between(&wide, wall, to);
    assert_true(isfinite(way));
    assert_true(way >= (i == 0 ? least : hypot(0.1, 29.5) + 20 + hypot(30, 30)) - 1e-3);
    assert_true(way <= 2 * 1.35 + around + 60);
    print_message("from the wall to (%.1f, %.1f): %.3f\n", to.x_m, to.y_m, way);
  }
  close_to("along the wall", between(&wide, wall, (pc_point){39.9, 20}), 19.5, 1e-6);
  close_to("away from the wall", between(&wide, wall, (pc_point){10, 0.5}), 29.9, 1e-6);
  /* a place in the gap itself is out of reach for the wide one */
  assert_true(isinf(between(&wide, west, (pc_point){50, 0})));
  assert_true(isinf(between(&wide, (pc_point){50, 0}, wall)));
  free_net(&narrow);
  free_net(&wide);
}

/* A leg that ends at a pile, begins beside a wall or ends there is near things at its ends only: it bends
 * around what it would pass nearer than half a width. By hand, around the corners of the grown block. */
static void test_near_at_ends(void **state) {
  (void)state;
  rect blocks[] = {{40, 20, 60, 30}, {8, 20, 9.5, 40}, {80.5, 20, 82, 40}};
  yard y = {.areas = 1,
            .area = {{0, 0, 120, 60}},
            .blocks = 3,
            .block = blocks,
            .zones = 1,
            .zone = {{100, 42, 110, 58}}};
  const pc_point west = {10, 31}, east = {80, 31}, open = {20, 31}, under_zone = {105, 30};
  net n;
  build(&y, 2, &n);
  close_to("beside two walls", between(&n, west, east), hypot(28, 1) + 24 + hypot(18, 1), 1e-6);
  close_to("beside one", between(&n, open, east), hypot(18, 1) + 24 + hypot(18, 1), 1e-6);
  close_to("to a pile", to_zone(&n, under_zone, 0), 12, 1e-9);
  free_net(&n);
  y.blocks = 1;
  y.zone[0] = (rect){90, 20, 100, 40};
  build(&y, 2, &n);
  close_to("to a pile, past a block", to_zone(&n, (pc_point){10, 30.5}, 0), hypot(28, 1.5) + 24 + 28, 1e-6);
  assert_false(pc_routes_clear(n.routes, (pc_point){10, 30.5}, (pc_point){90, 30.5}));
  assert_true(pc_routes_clear(n.routes, (pc_point){10, 32}, (pc_point){90, 32}));
  free_net(&n);
}

/* A corner of an outline that is too flat for ways to bend at it is cut off, where there is no other way; a
 * post as thin is not, nor a deeper corner. */
static void test_flat_corners(void **state) {
  (void)state;
  static const struct {
    double high_m, deep_m; /* of a wall's corner on the line, and of a post beyond it */
    bool cut;
  } cases[] = {{0.03, 0, true}, {0.0005, 0, true}, {0.06, 0, false}, {0.03, 0.02, false}, {0, 0.02, false}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    double high = cases[i].high_m, deep = cases[i].deep_m;
    pc_leg_edge wall[] = {
        {90, -50, 90, 0}, {90, 0, 50, high}, {50, high, 10, 0}, {10, 0, 10, -50}, {10, -50, 90, -50}};
    pc_leg_edge post[] = {
        {94, -deep, 95, -deep}, {95, -deep, 95, deep}, {95, deep, 94, deep}, {94, deep, 94, -deep}};
    size_t count = deep > 0 ? 9 : 5;
    pc_leg_edge *edges = pc_alloc(count, sizeof *edges);
    assert_non_null(edges);
    memcpy(edges, wall, sizeof wall);
    if (deep > 0)
      memcpy(edges + 5, post, sizeof post);
    pc_legs legs;
    assert_int_equal(pc_legs_make(edges, count, &legs), PC_OK);
    const pc_point west = {0, 0.0002}, east = {100, 0.0002};
    assert_false(pc_legs_clear(&legs, west, east));
    assert_int_equal(pc_legs_cuts_corners(&legs, west, east, 0.05), cases[i].cut);
    assert_int_equal(pc_legs_cuts_corners(&legs, east, west, 0.05), cases[i].cut);
    assert_false(pc_legs_cuts_corners(&legs, west, (pc_point){50, -20}, 0.05)); /* ends inside */
    assert_false(pc_legs_cuts_corners(&legs, (pc_point){0, -20}, (pc_point){100, -20}, 0.05));
    pc_legs_free(&legs);
  }
}

/* Two areas that meet in a corner of the pavement, 2.6 cm deep: whoever stands on one side of it gets to the
 * other. */
static void test_kink(void **state) {
  (void)state;
  const pc_point outline[] = {{0, 0}, {50, 0}, {50, 60}, {0, 60}, {0.026, 30}};
  pc_ring ring;
  assert_int_equal(pc_ring_copy(&ring, outline, 5), PC_OK);
  pc_area area = {.outline = ring};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_blocked blocked;
  pc_faults faults = {0};
  pc_routes *routes = NULL;
  assert_int_equal(pc_blocked_make(&site, NULL, 0, (pc_clearance){2, true, false, NULL}, &blocked), PC_OK);
  assert_int_equal(pc_routes_net(&blocked, NULL, 0, NULL, 0, true, &routes, &faults), PC_OK);
  const pc_place south = pc_place_at((pc_point){0, 2}), north = pc_place_at((pc_point){0, 58});
  pc_outlook outlook;
  pc_way way;
  pc_routes_look(routes, &south, true, &outlook);
  pc_routes_between(routes, &outlook, &north, &way);
  close_to("along the edge", way.length_m, 56, 1e-9);
  assert_true(pc_routes_joined(routes, &outlook, &north));
  pc_routes_free(routes);
  pc_ring_free(&ring);
}

/* ---- pavement ---- */

/* A notch is as good as a wall; what fills it (an area, or a zone's pavement) takes it away. */
static void test_notch(void **state) {
  (void)state;
  yard y = {.areas = 3, .area = {{0, 0, 100, 30}, {0, 0, 40, 80}, {60, 0, 100, 80}}};
  const pc_point west = {20, 60}, east = {80, 60};
  const double widths[] = {0, 2.7};
  for (size_t i = 0; i < 2; i++) {
    net n;
    double half = widths[i] / 2;
    build(&y, half, &n);
    close_to("around the notch", between(&n, west, east), 2 * hypot(20 - half, 30 + half) + 20 + widths[i],
             1e-6);
    assert_false(pc_routes_clear(n.routes, west, east));
    free_net(&n);
    yard filled = y;
    filled.areas = 4;
    filled.area[3] = (rect){40, 30, 60, 80};
    build(&filled, half, &n);
    close_to("filled", between(&n, west, east), 60, 1e-9);
    free_net(&n);
    /* A pile beside the notch's floor stands on pavement of its own, but in nobody's way. */
    yard piled = y;
    piled.zones = 1;
    piled.zone[0] = (rect){45, 30, 55, 40};
    build(&piled, half, &n);
    close_to("around a notch with a pile", between(&n, west, east),
             2 * hypot(20 - half, 30 + half) + 20 + widths[i], 1e-6);
    /* its face is the 10 m on the floor */
    close_to("to the pile", to_zone(&n, (pc_point){50, 10}, 0), 20, 1e-9);
    close_to("depth", n.routes->faces.depth_m[0], 100.0 / 10, 0.5);
    free_net(&n);
  }
}

/* Two areas, joined by a neck 2 m wide. */
static void test_neck(void **state) {
  (void)state;
  yard y = {.areas = 3,
            .area = {{0, 0, 40, 50}, {60, 0, 100, 50}, {40, 24, 60, 26}},
            .zones = 1,
            .zone = {{100, 10, 110, 40}}};
  const pc_point west = {20, 25}, east = {80, 25};
  net n;
  build(&y, 0.9, &n);
  close_to("through the neck", between(&n, west, east), 60, 1e-9);
  close_to("to the zone", to_zone(&n, west, 0), 80, 1e-9);
  free_net(&n);
  build(&y, 1.35, &n);
  pc_way way = way_between(&n, west, east);
  assert_true(isinf(way.length_m));
  assert_int_equal(way.out, PC_NO_CORNER);
  assert_int_equal(way.in, PC_NO_CORNER);
  close_to("no bends", way.bends_rad, 0, 0);
  pc_point points[PC_WAY_POINTS_MAX];
  assert_true(pc_routes_path(n.routes, west, &way, points) <= PC_WAY_POINTS_MAX);
  assert_false(pc_routes_clear(n.routes, west, east));
  assert_true(isinf(between(&n, west, east)));
  assert_true(isinf(to_zone(&n, west, 0)));
  close_to("on its own side", to_zone(&n, east, 0), 20, 1e-9);
  close_to("on one side", between(&n, west, (pc_point){20, 45}), 20, 1e-9);
  /* off the pavement, and far away from it */
  assert_true(isinf(between(&n, west, (pc_point){50, 45})));
  free_net(&n);
}

/* A zone with no open side at all: nothing leads there. */
/* A room whose door is between the corners of two blocks, 1.7 m apart both ways: 2.40 m, wide enough for a
 * machine of 2 m, though their mitred corners overlap. Nothing in the room is a corner that a way with half a
 * width to both sides could bend at. Where one stands well clear of the walls that is no reason to stay
 * there: through the door it sees the far block's corner. */
static void test_door(void **state) {
  (void)state;
  rect blocks[] = {{-10, -5, 0, 0}, {1.7, 1.7, 6.7, 10}};
  yard y = {.areas = 1, .area = {{-10, -10, 20, 10}}, .blocks = 2, .block = blocks};
  pc_point inside = {-2, 2}, out = {15, 8}, corner = {7.7, 0.7};
  for (int turned = 0; turned < 2; turned++) {
    net n;
    y.turn_rad = turned ? 0.5 : 0;
    build(&y, 1, &n);
    pc_way there = way_between(&n, inside, out), back = way_between(&n, out, inside);
    close_to("out of the room", there.length_m, length(inside, corner) + length(corner, out), 1e-6);
    close_to("and back", back.length_m, there.length_m, 1e-9);
    free_net(&n);
  }
  blocks[1].x0 = 1.3, blocks[1].y0 = 1.3; /* 1.84 m: no door */
  net n;
  build(&y, 1, &n);
  assert_true(isinf(way_between(&n, inside, out).length_m));
  assert_true(isinf(way_between(&n, out, inside).length_m));
  free_net(&n);
}

static void test_walled_zone(void **state) {
  (void)state;
  rect blocks[] = {{40, 38, 62, 40}, {40, 60, 62, 62}, {38, 38, 40, 62}, {60, 38, 62, 62}};
  yard y = {.areas = 1,
            .area = {{0, 0, 100, 100}},
            .blocks = 4,
            .block = blocks,
            .zones = 2,
            .zone = {{40, 40, 60, 60}, {0, 0, 10, 10}}};
  for (int i = 0; i < 2; i++) {
    net n;
    build(&y, 1.35 * i, &n);
    assert_true(isinf(to_zone(&n, (pc_point){20, 20}, 0)));
    close_to("the other", to_zone(&n, (pc_point){20, 5}, 1), 10, 1e-9);
    pc_point at = {0, 0};
    size_t face = 0;
    if (n.routes->faces.first[0] == n.routes->faces.first[1]) {
      assert_true(isinf(pc_faces_nearest_m(&n.routes->faces, 0, (pc_point){20, 20}, &at, &face)));
      assert_true(pc_routes_face_node(n.routes, 0, (pc_point){40, 40}) == PC_NO_NODE);
    }
    free_net(&n);
  }
}

/* ---- rules any distance obeys ---- */

/* Square blocks in rows and columns: many ways of the same length, of which one must be told consistently. */
static void test_ties(void **state) {
  (void)state;
  rect blocks[25];
  for (size_t i = 0; i < 25; i++) {
    double x = 20.0 * (double)(i % 5), y = 20.0 * (double)(i / 5);
    blocks[i] = (rect){x + 5, y + 5, x + 15, y + 15};
  }
  yard y = {.areas = 1, .area = {{0, 0, 100, 100}}, .blocks = 25, .block = blocks};
  for (int wide = 0; wide < 2; wide++) {
    net n;
    double half = 1.35 * wide;
    build(&y, half, &n);
    for (int i = 0; i < 6; i++)
      for (int k = 0; k < 36; k++) {
        pc_point a = {20 * i, 0}, b = {20 * (k % 6), 20 * (k / 6)};
        a = (pc_point){fmin(fmax(a.x_m, 2), 98), 2};
        b = (pc_point){fmin(fmax(b.x_m, 2), 98), fmin(fmax(b.y_m, 2), 98)};
        double way = way_between(&n, a, b).length_m;
        assert_true(way >= length(a, b) * (1 - 1e-12));
        assert_true(way <= fabs(a.x_m - b.x_m) + fabs(a.y_m - b.y_m) + 1e-9);
        close_to("back again", way_between(&n, b, a).length_m, way, 1e-9 * way);
      }
    free_net(&n);
  }
}

static void test_turned_and_shifted(void **state) {
  (void)state;
  rect blocks[] = {{20, 5, 30, 45}, {45, 10, 52, 61}, {60, 0.5, 75, 40}, {80, 30, 85, 58}, {10, 50, 38, 53}};
  yard y = {.areas = 2,
            .area = {{0, 0, 100, 60}, {100, 0, 140, 30}},
            .blocks = 5,
            .block = blocks,
            .zones = 2,
            .zone = {{140, 5, 150, 25}, {30, 20, 36, 30}}};
  yard other = y;
  other.turn_rad = 0.7;
  other.shift = (pc_point){-331.25, 412.5};
  const pc_point places[] = {{5, 30}, {39, 20}, {56, 5}, {56, 50}, {78, 20}, {95, 50}, {130, 10}, {20.1, 48}};
  const double halves[] = {0, 1.35, 2.44};
  for (size_t h = 0; h < 3; h++) {
    net a, b, again;
    build(&y, halves[h], &a);
    build(&other, halves[h], &b);
    build(&y, halves[h], &again);
    for (size_t i = 0; i < 8; i++) {
      for (size_t z = 0; z < 2; z++) {
        double way = to_zone(&a, places[i], z);
        close_to("turned, to a zone", to_zone(&b, places[i], z), way, 1e-9 * way);
        assert_true(to_zone(&again, places[i], z) == way);
      }
      for (size_t k = 0; k < 8; k++) {
        pc_way way = way_between(&a, places[i], places[k]), same = way_between(&again, places[i], places[k]);
        assert_memory_equal(&way.length_m, &same.length_m, sizeof way.length_m);
        assert_memory_equal(&way.bends_rad, &same.bends_rad, sizeof way.bends_rad);
        assert_true(way.out == same.out && way.in == same.in);
        close_to("turned", between(&b, places[i], places[k]), way.length_m, 1e-9 * (1 + way.length_m));
        close_to("there and back", between(&a, places[k], places[i]), way.length_m,
                 1e-9 * (1 + way.length_m));
        for (size_t m = 0; m < 8 && halves[h] == 0; m++) /* no detour over a third place is shorter */
          assert_true(way.length_m <=
                      between(&a, places[i], places[m]) + between(&a, places[m], places[k]) + graze_m);
      }
    }
    free_net(&a);
    free_net(&b);
    free_net(&again);
  }
}

/* ---- limits ---- */

static void rows_of_blocks(rect *blocks, size_t columns, size_t rows) {
  for (size_t i = 0; i < columns * rows; i++) {
    double x = 4.0 * (double)(i % columns), y = 4.0 * (double)(i / columns);
    blocks[i] = (rect){x + 1, y + 1, x + 3, y + 3};
  }
}

static void test_too_many_corners(void **state) {
  (void)state;
  rect blocks[26 * 25];
  rows_of_blocks(blocks, 26, 25); /* 2600 corners */
  yard y = {.areas = 1, .area = {{0, 0, 104, 100}}, .blocks = 26 * 25, .block = blocks};
  net n;
  pc_blocked blocked;
  pc_faults faults = {0};
  build_site(&y, &n);
  n.routes = (pc_routes *)(void *)&n;
  assert_int_equal(pc_blocked_make(&n.site, NULL, 0, (pc_clearance){0, false, false, NULL}, &blocked), PC_OK);
  assert_int_equal(blocked.corner_count, 2600);
  assert_int_equal(pc_routes_net(&blocked, NULL, 0, NULL, 0, true, &n.routes, &faults), PC_ERR_LIMIT);
  assert_null(n.routes);
  assert_null(blocked.corners);
  assert_int_equal(blocked.corner_count, 0);
  assert_int_equal(faults.count, 1);
  assert_non_null(strstr(faults.items[0].message, "2500"));
  assert_non_null(strstr(faults.items[0].message, "2600"));
  assert_string_equal(faults.items[0].key, "site.obstacles");
  pc_faults_free(&faults);
  pc_blocked_free(&blocked);
  free_net(&n);
}

/* A comb: the way bends at every one of 60 walls, twice. Its length is right, its corners are cut short. */
static void test_long_way(void **state) {
  (void)state;
  rect walls[60];
  for (size_t i = 0; i < 60; i++) {
    double x = 10.0 * (double)i;
    walls[i] = i % 2 == 0 ? (rect){x + 9, -1, x + 10, 40} : (rect){x + 9, 10, x + 10, 51};
  }
  yard y = {.areas = 1, .area = {{0, 0, 610, 50}}, .blocks = 60, .block = walls};
  net n;
  build(&y, 0, &n);
  pc_place from = pc_place_at((pc_point){1, 40}), to = pc_place_at((pc_point){605, 10});
  pc_outlook outlook;
  pc_way way;
  pc_point points[PC_WAY_POINTS_MAX];
  pc_routes_look(n.routes, &from, true, &outlook);
  pc_routes_between(n.routes, &outlook, &to, &way);
  /* along the first wall's top, each wall's thickness, and 59 times across: 30 m aside in 9 m; the last leg
   * ends at the height of its wall's end */
  close_to("comb", way.length_m, 8 + 60 * 1 + 59 * hypot(9, 30) + 5, 1e-6);
  int count = pc_routes_path(n.routes, from.at, &way, points);
  assert_true(count <= PC_WAY_POINTS_MAX);
  assert_memory_equal(&points[count - 1], &to.at, sizeof to.at);
  assert_memory_equal(&points[count - 2], &way.last, sizeof to.at);
  free_net(&n);
}

/* Who stands on a corner of a way does not turn into it there for nothing: the corner is not its first, nor
 * is one its last where it ends. */
static void test_from_a_corner(void **state) {
  (void)state;
  rect walls[6];
  for (size_t i = 0; i < 6; i++) {
    double x = 10.0 * (double)i;
    walls[i] = i % 2 == 0 ? (rect){x + 9, -1, x + 10, 40} : (rect){x + 9, 10, x + 10, 51};
  }
  yard y = {.areas = 1, .area = {{0, 0, 70, 50}}, .blocks = 6, .block = walls};
  net n;
  build(&y, 0, &n);
  pc_point from = {1, 40}, to = {65, 10}, points[PC_WAY_POINTS_MAX];
  pc_way all = way_between(&n, from, to);
  int count = pc_routes_path(n.routes, from, &all, points);
  assert_true(count > 10);
  for (int k = 1; k + 1 < count; k++) {
    pc_way rest = way_between(&n, points[k], to), before = way_between(&n, from, points[k]);
    assert_true(length(points[k], rest.first) > 1e-6);
    assert_true(length(before.last, before.end) > 1e-6);
    double corner = bend(points[k - 1], points[k], points[k + 1]);
    close_to("bends of the parts", before.bends_rad + corner + rest.bends_rad, all.bends_rad, 1e-5);
  }
  free_net(&n);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_published),
      cmocka_unit_test(test_half_width),
      cmocka_unit_test(test_gap),
      cmocka_unit_test(test_near_at_ends),
      cmocka_unit_test(test_flat_corners),
      cmocka_unit_test(test_kink),
      cmocka_unit_test(test_notch),
      cmocka_unit_test(test_neck),
      cmocka_unit_test(test_door),
      cmocka_unit_test(test_walled_zone),
      cmocka_unit_test(test_ties),
      cmocka_unit_test(test_turned_and_shifted),
      cmocka_unit_test(test_too_many_corners),
      cmocka_unit_test(test_long_way),
      cmocka_unit_test(test_from_a_corner),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
