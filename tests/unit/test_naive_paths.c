// SPDX-License-Identifier: GPL-3.0-or-later
/* The naive shortest paths, which tests of routes lean on, are themselves held against computed lengths,
 * geometry that can be worked out by hand, a search on a fine grid that shares no code with them, and the
 * rules that any distance obeys. The random sites are held against the library's own validation. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "naive_paths.h"
#include "random_site.h"

enum { BLOCKS_MAX = 4, SCENES = 30, RINGS_MAX = 200, BENDS_MAX = 1000 };

static void close_to(const char *what, double got, double want, double slack) {
  if (!(fabs(got - want) <= slack))
    fail_msg("%s: got %.12g, want %.12g within %.3g", what, got, want, slack);
}

static void at_most(const char *what, double less, double more, double slack) {
  if (!(less <= more + slack))
    fail_msg("%s: %.12g is more than %.12g (slack %.3g)", what, less, more, slack);
}

static double length(pc_point a, pc_point b) {
  return hypot(b.x_m - a.x_m, b.y_m - a.y_m);
}

/* The bends that a search gives must add up to the length it gives. */
static double checked_path(const pc_ring *rings, size_t count, pc_point from, pc_point to) {
  pc_point bends[BENDS_MAX];
  size_t bend_count = 99;
  double way = naive_path(rings, count, from, to, bends, &bend_count), sum = 0;
  for (size_t i = 0; i <= bend_count; i++)
    sum += length(i > 0 ? bends[i - 1] : from, i < bend_count ? bends[i] : to);
  if (isfinite(way))
    close_to("sum of the legs", sum, way, 1e-9);
  else
    assert_int_equal(bend_count, 0);
  return way;
}

typedef struct rect {
  double x0, y0, x1, y1;
} rect;

typedef struct published {
  pc_point from, to;
  size_t count;
  rect block[BLOCKS_MAX];
  double length_m;
} published;

static void make_rings(const rect *block, size_t count, bool clockwise, pc_point corners[][4],
                       pc_ring *rings) {
  for (size_t i = 0; i < count; i++) {
    rect b = block[i];
    const pc_point points[] = {{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}};
    for (size_t c = 0; c < 4; c++)
      corners[i][clockwise ? 3 - c : c] = points[c];
    rings[i] = (pc_ring){corners[i], 4};
  }
}

/* Each length is a value computed with a visibility graph elsewhere and given to six decimals; the sum of
 * legs beside it, from the corners that the way goes round, confirms it by hand. Blocks are x0, y0, x1, y1.
 */
static void test_published(void **state) {
  (void)state;
  static const published table[] = {
      /* Computed with a visibility graph; 2·√17 + 2. */
      {{0, 0}, {10, 0}, 1, {{4, -1, 6, 1}}, 10.246211},
      /* Computed with a visibility graph; 5 + 2 + 5. */
      {{0, 0}, {8, 0}, 1, {{3, -4, 5, 4}}, 12},
      /* Computed with a visibility graph; 5 + 5. The wall is a line there; a ring needs some
       * thickness to have an interior. */
      {{0, 0}, {6, 0}, 1, {{3 - 1e-7, -4, 3 + 1e-7, 4}}, 10},
      /* Computed with a visibility graph; 5 + 2 + 10 + 2 + 5. */
      {{0, 0}, {20, 0}, 2, {{4, -3, 6, 50}, {14, -50, 16, 3}}, 24},
      /* Computed with a visibility graph; 2·√5. */
      {{0, 0}, {3, 3}, 1, {{1, 1, 2, 2}}, 4.472136},
      /* Computed with a visibility graph; 2·√(30² + 10²) + 40. */
      {{0, 30}, {100, 30}, 1, {{30, 20, 70, 40}}, 103.245553},
      /* Computed with a visibility graph; 50 + √(70² + 20²) or its mirror image. */
      {{0, 0}, {100, 60}, 1, {{30, 20, 70, 40}}, 122.801099},
      /* Computed with a visibility graph; straight along the block's upper edge. */
      {{0, 4}, {8, 4}, 1, {{3, -4, 5, 4}}, 8},
      /* Computed with a visibility graph; 5 + 6 + 5. */
      {{0, 0}, {12, 0}, 1, {{3, -4, 9, 4}}, 16},
      /* Computed with a visibility graph; √122 + √80 + 2 + √106, through a gap, then round the third. */
      {{0, 0}, {30, 0}, 3, {{9, -12, 11, -1}, {9, 1, 11, 12}, {19, -5, 21, 12}}, 32.285263},
  };
  for (size_t i = 0; i < sizeof table / sizeof table[0]; i++)
    for (int clockwise = 0; clockwise < 2; clockwise++) {
      const published *p = &table[i];
      pc_point corners[BLOCKS_MAX][4];
      pc_ring rings[BLOCKS_MAX];
      make_rings(p->block, p->count, clockwise == 1, corners, rings);
      double way = checked_path(rings, p->count, p->from, p->to);
      if (clockwise == 0)
        print_message("%zu: %.6f, published %.6f\n", i + 1, way, p->length_m);
      close_to("published", way, p->length_m, 1e-6);
      close_to("back again", checked_path(rings, p->count, p->to, p->from), p->length_m, 1e-6);
    }
}

/* Worked out by hand from the corners. */
static void test_corner_cases(void **state) {
  (void)state;
  pc_point corners[BLOCKS_MAX][4];
  pc_ring rings[BLOCKS_MAX];
  close_to("nothing in the way", naive_path(NULL, 0, (pc_point){0, 0}, (pc_point){3, 4}, NULL, NULL), 5, 0);

  /* Two blocks that share an edge leave no width, and yet a way: neither is entered. One that overlaps both
   * closes it. */
  const rect shared[] = {{4, -6, 6, 0}, {4, 0, 6, 5}, {4.5, -1, 5.5, 1}};
  make_rings(shared, 3, false, corners, rings);
  close_to("along a shared edge", checked_path(rings, 2, (pc_point){0, 0}, (pc_point){10, 0}), 10, 1e-12);
  close_to("seam closed", checked_path(rings, 3, (pc_point){0, 0}, (pc_point){10, 0}), 2 * sqrt(41) + 2,
           1e-12);

  /* Walls that overlap at the corners, all around the start. */
  const rect pen[] = {{-5, -5, 5, -4}, {-5, 4, 5, 5}, {-5, -5, -4, 5}, {4, -5, 5, 5}};
  make_rings(pen, 4, false, corners, rings);
  assert_true(isinf(checked_path(rings, 4, (pc_point){0, 0}, (pc_point){10, 0})));
  assert_true(isinf(checked_path(rings, 4, (pc_point){10, 0}, (pc_point){0, 0})));
  close_to("within the pen", checked_path(rings, 4, (pc_point){-4, -4}, (pc_point){4, -4}), 8, 1e-12);
  assert_true(isinf(checked_path(rings, 4, (pc_point){10, 0}, (pc_point){4.5, 0})));
  assert_true(isinf(checked_path(rings, 4, (pc_point){4.5, 0}, (pc_point){4.5, 0})));
  close_to("on the outline", checked_path(rings, 4, (pc_point){9, 0}, (pc_point){5, 0}), 4, 1e-12);

  /* A notch that ends a hair above the middle of the straight line does not open it. */
  pc_point notched[] = {{-100, -1}, {100, -1}, {100, 1}, {0.5, 1}, {0, 5e-8}, {-0.5, 1}, {-100, 1}};
  close_to("below a notch", checked_path(&(pc_ring){notched, 7}, 1, (pc_point){-100, 0}, (pc_point){100, 0}),
           202, 1e-12);

  /* A U that opens to the left: out of it, and round one of its legs. */
  pc_point u_points[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 9}, {9, 9}, {9, 1}, {0, 1}};
  pc_ring u = {u_points, 8};
  close_to("out of a U", checked_path(&u, 1, (pc_point){9, 5}, (pc_point){10, 5}), sqrt(81 + 16) + 1 + 10 + 5,
           1e-12);
  /* Straight through two of its legs is no way, though neither end nor middle lies inside. */
  close_to("across a U", checked_path(&u, 1, (pc_point){5, -2}, (pc_point){5, 12}), 2 * sqrt(29) + 10, 1e-12);
}

static void test_inside(void **state) {
  (void)state;
  pc_point points[] = {{0, 0}, {10, 0}, {10, 10}, {5, 5}, {0, 10}};
  pc_ring ring = {points, 5};
  assert_true(naive_inside(&ring, (pc_point){5, 4}, 0));
  assert_true(naive_inside(&ring, (pc_point){1, 8}, 0));
  assert_false(naive_inside(&ring, (pc_point){5, 6}, 0));
  assert_false(naive_inside(&ring, (pc_point){5, 5}, 0));
  assert_false(naive_inside(&ring, (pc_point){5, 0}, 0));
  assert_false(naive_inside(&ring, (pc_point){-1, 5}, 0));
  assert_false(naive_inside(&ring, (pc_point){1, 5}, 1.5));
}

/* Worked out by hand. */
static void test_face_by_hand(void **state) {
  (void)state;
  pc_point corners[BLOCKS_MAX][4], nearest, bends[BENDS_MAX];
  pc_ring rings[BLOCKS_MAX];
  size_t count;
  const rect block[] = {{4, -1, 6, 1}, {9, -2, 11, 3}};
  make_rings(block, 2, false, corners, rings);
  pc_point from = {0, 0}, a = {10, -5}, b = {10, 5};
  close_to("free", naive_to_face(rings, 0, from, a, b, &nearest, bends, &count), 10, 1e-12);
  close_to("foot", nearest.y_m, 0, 1e-12);
  assert_int_equal(count, 0);
  /* Round a corner, along the edge, then at a right angle onto the face. */
  close_to("one block", naive_to_face(rings, 1, from, a, b, &nearest, bends, &count), sqrt(17) + 6, 1e-12);
  close_to("foot", fabs(nearest.y_m), 1, 1e-12);
  /* The second block covers the middle of the face, so the way ends where the face leaves the block. */
  close_to("two blocks", naive_to_face(rings, 2, from, a, b, &nearest, bends, &count),
           sqrt(17) + sqrt(26) + 1, 1e-12);
  close_to("foot", nearest.y_m, -2, 1e-12);
  assert_int_equal(count, 2);
  /* A wedge that points at the start: the way ends where its slanted edge leaves the face, in no corner. */
  pc_point wedge[] = {{8, 0}, {12, -4}, {12, 4}};
  close_to("wedge", naive_to_face(&(pc_ring){wedge, 3}, 1, from, a, b, &nearest, bends, &count), sqrt(104),
           1e-12);
  close_to("edge of the wedge", fabs(nearest.y_m), 2, 1e-12);
  close_to("end of the face", naive_to_face(rings, 1, (pc_point){13, 9}, a, b, &nearest, bends, &count), 5,
           1e-12);
  close_to("a face of no length", naive_to_face(rings, 1, from, b, b, NULL, NULL, NULL), sqrt(125), 1e-12);
  assert_true(
      isinf(naive_to_face(rings, 2, from, (pc_point){9.5, 0}, (pc_point){10.5, 1}, NULL, NULL, &count)));
  assert_int_equal(count, 0);
}

static size_t rings_of(const random_lot *lot, pc_ring *rings) {
  for (size_t i = 0; i < lot->site.obstacle_count; i++)
    rings[i] = lot->site.obstacles[i].outline;
  return lot->site.obstacle_count;
}

/* Against a row of points along the face: never longer than the way to any of them, and shorter by no more
 * than twice what they are apart (twice, as an obstacle may cover the one beside the nearest place). */
static void test_face_by_sampling(void **state) {
  (void)state;
  enum { STEPS = 100 };
  size_t round_about = 0;
  for (uint64_t seed = 0; seed < 20; seed++) {
    random_site_options options = random_site_default();
    options.obstacles_min = 6;
    random_lot lot = random_site(seed, &options);
    pc_ring rings[RINGS_MAX];
    size_t count = rings_of(&lot, rings);
    pc_stream stream;
    pc_stream_start(&stream, seed, 1, 0, 0);
    pc_point from = random_free_point(&stream, &lot), a = random_free_point(&stream, &lot),
             b = random_free_point(&stream, &lot), nearest = {NAN, NAN};
    double way = naive_to_face(rings, count, from, a, b, &nearest, NULL, NULL), best = INFINITY;
    for (int i = 0; i <= STEPS; i++) {
      double share = (double)i / STEPS;
      pc_point on = {a.x_m + share * (b.x_m - a.x_m), a.y_m + share * (b.y_m - a.y_m)};
      best = fmin(best, naive_path(rings, count, from, on, NULL, NULL));
    }
    at_most("face", way, best, 1e-9);
    if (isfinite(way)) {
      close_to("way to the nearest place", naive_path(rings, count, from, nearest, NULL, NULL), way, 1e-7);

      at_most("row", best, way, 2 * length(a, b) / STEPS);
      round_about += best > length(from, nearest) + 0.01;
    }
    random_lot_free(&lot);
  }
  print_message("%zu ways went round something\n", round_about);
  assert_true(round_about >= 5);
}

/* A distance is the same both ways, and never longer than by way of a third place; infinite ones too. */
static void test_distance_rules(void **state) {
  (void)state;
  size_t bent = 0;
  for (uint64_t seed = 100; seed < 140; seed++) {
    random_lot lot = random_site(seed, NULL);
    pc_ring rings[RINGS_MAX];
    size_t count = rings_of(&lot, rings);
    pc_stream stream;
    pc_stream_start(&stream, seed, 2, 0, 0);
    pc_point p[3];
    double way[3][3];
    for (size_t i = 0; i < 3; i++)
      p[i] = random_free_point(&stream, &lot);
    for (size_t i = 0; i < 3; i++)
      for (size_t j = 0; j < 3; j++)
        way[i][j] = checked_path(rings, count, p[i], p[j]);
    for (size_t i = 0; i < 3; i++) {
      close_to("to itself", way[i][i], 0, 0);
      for (size_t j = 0; j < 3; j++) {
        if (isfinite(way[i][j]) || isfinite(way[j][i]))
          close_to("back again", way[j][i], way[i][j], 1e-9);
        at_most("straight", length(p[i], p[j]), way[i][j], 1e-9);
        bent += way[i][j] > length(p[i], p[j]) + 0.01;
        for (size_t k = 0; k < 3; k++)
          at_most("by way of a third place", way[i][j], way[i][k] + way[k][j], 1e-9);
      }
    }
    random_lot_free(&lot);
  }
  print_message("%zu of 240 ways were bent\n", bent);
  assert_true(bent >= 40);
}

/* The grid search: 8 neighbours a node, a leg is shut if it meets any edge. */
#define STEP_M 0.5
typedef struct grid {
  size_t columns, rows;
  pc_point origin;
  unsigned char *shut; /* bits 0–3: legs to the east, north-east, north, north-west */
  double *reach;
} grid;

static const int step_x[] = {1, 1, 0, -1, -1, -1, 0, 1}, step_y[] = {0, 1, 1, 1, 0, -1, -1, -1};

static pc_point node_at(const grid *g, size_t column, size_t row) {
  return (pc_point){g->origin.x_m + STEP_M * (double)column, g->origin.y_m + STEP_M * (double)row};
}

static double side(pc_point a, pc_point b, pc_point c) {
  return (b.x_m - a.x_m) * (c.y_m - a.y_m) - (b.y_m - a.y_m) * (c.x_m - a.x_m);
}

static bool ranges_meet(double a, double b, double c, double d) {
  return fmax(fmin(a, b), fmin(c, d)) <= fmin(fmax(a, b), fmax(c, d));
}

/* The ranges matter only where both lie on one line. */
static bool meet(pc_point a, pc_point b, pc_point c, pc_point d) {
  return ranges_meet(a.x_m, b.x_m, c.x_m, d.x_m) && ranges_meet(a.y_m, b.y_m, c.y_m, d.y_m) &&
         side(a, b, c) * side(a, b, d) <= 0 && side(c, d, a) * side(c, d, b) <= 0;
}

static size_t index_below(double offset_m, size_t count) {
  return (size_t)fmin(fmax(floor(offset_m / STEP_M), 0), (double)count - 1);
}

static void shut_along(grid *g, pc_point a, pc_point b) {
  size_t c0 = index_below(fmin(a.x_m, b.x_m) - g->origin.x_m - STEP_M, g->columns),
         c1 = index_below(fmax(a.x_m, b.x_m) - g->origin.x_m + 2 * STEP_M, g->columns),
         r0 = index_below(fmin(a.y_m, b.y_m) - g->origin.y_m - STEP_M, g->rows),
         r1 = index_below(fmax(a.y_m, b.y_m) - g->origin.y_m + 2 * STEP_M, g->rows);
  for (size_t row = r0; row <= r1; row++)
    for (size_t column = c0; column <= c1; column++)
      for (int way = 0; way < 4; way++) {
        pc_point p = node_at(g, column, row),
                 q = {p.x_m + STEP_M * step_x[way], p.y_m + STEP_M * step_y[way]};
        if (meet(p, q, a, b))
          g->shut[row * g->columns + column] |= (unsigned char)(1u << way);
      }
}

static grid grid_make(const random_lot *lot, const pc_ring *rings, size_t count) {
  const double margin_m = 6; /* so that ways round obstacles at the area's edge fit in */
  pc_point low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
  const pc_ring *area = &lot->site.areas[0].outline;
  for (size_t i = 0; i < area->count; i++) {
    low = (pc_point){fmin(low.x_m, area->points[i].x_m), fmin(low.y_m, area->points[i].y_m)};
    high = (pc_point){fmax(high.x_m, area->points[i].x_m), fmax(high.y_m, area->points[i].y_m)};
  }
  grid g = {.columns = (size_t)((high.x_m - low.x_m + 2 * margin_m) / STEP_M),
            .rows = (size_t)((high.y_m - low.y_m + 2 * margin_m) / STEP_M),
            .origin = {low.x_m - margin_m, low.y_m - margin_m}};
  g.shut = pc_alloc(g.columns * g.rows, sizeof *g.shut);
  g.reach = pc_alloc(g.columns * g.rows, sizeof *g.reach);
  assert_true(g.shut && g.reach);
  for (size_t r = 0; r < count; r++)
    for (size_t i = 0; i < rings[r].count; i++)
      shut_along(&g, rings[r].points[i], rings[r].points[(i + 1) % rings[r].count]);
  return g;
}

static void grid_free(grid *g) {
  free(g->shut);
  free(g->reach);
}

/* Best of the node's own value and what its neighbours offer; true if that is new. */
static bool improve(grid *g, size_t column, size_t row) {
  size_t here = row * g->columns + column;
  double best = g->reach[here];
  for (int way = 0; way < 8; way++) {
    size_t x = column + (size_t)step_x[way],
           y = row + (size_t)step_y[way]; /* below 0 wraps to far too large */
    if (x >= g->columns || y >= g->rows)
      continue;
    size_t there = y * g->columns + x;
    if (g->shut[way < 4 ? here : there] & (1u << (way % 4)))
      continue;
    best = fmin(best, g->reach[there] + (way % 2 == 0 ? STEP_M : STEP_M * sqrt(2)));
  }
  bool better = best < g->reach[here] - 1e-9;
  g->reach[here] = best;
  return better;
}

/* Sweeps to and fro until nothing changes: gives what Dijkstra's method gives, without its heap. */
static void grid_search(grid *g, size_t start) {
  for (size_t i = 0; i < g->columns * g->rows; i++)
    g->reach[i] = INFINITY;
  g->reach[start] = 0;
  bool changed = true;
  for (unsigned sweep = 0; changed || sweep % 4 != 0; sweep++) {
    changed = sweep % 4 == 0 ? false : changed;
    for (size_t i = 0; i < g->rows; i++)
      for (size_t j = 0; j < g->columns; j++)
        if (improve(g, sweep & 1 ? g->columns - 1 - j : j, sweep & 2 ? g->rows - 1 - i : i))
          changed = true;
  }
}

/* Everything nearer than r to a ring lies in the ring or in one of these boxes about its edges. */
static size_t add_edge_boxes(const pc_ring *ring, double r, pc_point corners[][4], pc_ring *boxes) {
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double k = r / length(a, b), x = k * (b.x_m - a.x_m), y = k * (b.y_m - a.y_m);
    const pc_point box[] = {{a.x_m - x + y, a.y_m - y - x},
                            {b.x_m + x + y, b.y_m + y - x},
                            {b.x_m + x - y, b.y_m + y + x},
                            {a.x_m - x - y, a.y_m - y + x}};
    memcpy(corners[i], box, sizeof box);
    boxes[i] = (pc_ring){corners[i], 4};
  }
  return ring->count;
}

/* A shortest path that keeps 0.75 m from every ring, no shorter than the true one. Its bends may be rounded
 * to grid nodes (0.36 m off) and its legs followed on the grid (0.25 m off) without meeting a ring. */
static double roomy_path(const pc_ring *rings, size_t count, pc_point from, pc_point to, size_t *bends) {
  static const double room_m = 0.75;
  pc_point(*corners)[4] = pc_alloc(RINGS_MAX, sizeof *corners);
  pc_ring wide[RINGS_MAX], inflated[RINGS_MAX];
  size_t wide_count = 0, corner_count = 0, inflated_count = 0;
  assert_non_null(corners);
  for (size_t r = 0; r < count; r++) {
    pc_ring grown = random_site_inflate(&rings[r], room_m);
    assert_true(wide_count + rings[r].count + 1 < RINGS_MAX);
    if (grown.count > 0) {
      wide[wide_count++] = inflated[inflated_count++] = grown;
    } else {
      wide[wide_count++] = rings[r];
      size_t boxes = add_edge_boxes(&rings[r], room_m, corners + corner_count, wide + wide_count);
      wide_count += boxes;
      corner_count += boxes;
    }
  }
  double way = naive_path(wide, wide_count, from, to, NULL, bends);
  for (size_t i = 0; i < inflated_count; i++)
    pc_ring_free(&inflated[i]);
  free(corners);
  return way;
}

typedef struct tally {
  size_t compared, bent, shut;
  double worst;
} tally;

static pc_point free_node(pc_stream *stream, const random_lot *lot, const grid *g, size_t *node) {
  for (;;) {
    pc_point near = random_free_point(stream, lot);
    size_t column = index_below(near.x_m - g->origin.x_m, g->columns),
           row = index_below(near.y_m - g->origin.y_m, g->rows);
    pc_point at = node_at(g, column, row);
    bool in_ring = false;
    for (size_t i = 0; i < lot->site.obstacle_count; i++)
      in_ring = in_ring || pc_ring_contains(&lot->site.obstacles[i].outline, at);
    *node = row * g->columns + column;
    if (!in_ring)
      return at;
  }
}

static void compare_to_grid(const pc_ring *rings, size_t count, pc_point from, pc_point to, double on_grid,
                            tally *t) {
  size_t bends = 0;
  double way = checked_path(rings, count, from, to);
  double roomy = roomy_path(rings, count, from, to, &bends);
  at_most("naive against grid", way, on_grid, 1e-6);
  at_most("naive against a path with room", way, roomy, 1e-9);
  if (!isfinite(roomy)) {
    t->shut++;
    return;
  }
  double rounding_m = (double)bends * STEP_M * sqrt(2);
  at_most("grid against a path with room", on_grid, sqrt(4 - 2 * sqrt(2)) * (roomy + rounding_m), 1e-6);
  t->compared++;
  t->bent += way > length(from, to) + 0.01;
  t->worst = fmax(t->worst, on_grid / fmax(way, 10));
}

/* No way on the grid can be shorter than the naive one. None is longer than 1.0824 (worst ratio of
 * 8-neighbour steps to a straight line: √(4 − 2√2), elementary geometry) of a path with room beside it, whose
 * legs grow by half a cell's diagonal at each bend that is rounded to a node. */
static void test_grid(void **state) {
  (void)state;
  tally t = {0};
  for (uint64_t seed = 200; seed < 200 + SCENES; seed++) {
    random_site_options options = random_site_default();
    options.obstacles_min = 2;
    random_lot lot = random_site(seed, &options);
    pc_ring rings[RINGS_MAX];
    size_t count = rings_of(&lot, rings), node;
    grid g = grid_make(&lot, rings, count);
    pc_stream stream;
    pc_stream_start(&stream, seed, 3, 0, 0);
    pc_point from = free_node(&stream, &lot, &g, &node);
    grid_search(&g, node);
    for (int i = 0; i < 8; i++) {
      pc_point to = free_node(&stream, &lot, &g, &node);
      compare_to_grid(rings, count, from, to, g.reach[node], &t);
    }
    grid_free(&g);
    random_lot_free(&lot);
  }
  print_message("%zu ways, %zu of them bent, %zu too narrow; largest ratio grid to naive %.4f\n", t.compared,
                t.bent, t.shut, t.worst);
  assert_true(t.compared >= 180 && t.bent >= 50);
}

static bool same_ring(const pc_ring *a, const pc_ring *b) {
  return a->count == b->count &&
         (a->count == 0 || memcmp(a->points, b->points, a->count * sizeof(pc_point)) == 0);
}

static void check_zone(const random_lot *lot, size_t index, bool *within, bool *beside, bool *point) {
  const pc_zone *zone = &lot->zones[index];
  const pc_ring *area = &lot->site.areas[0].outline;
  if (zone->outline.count == 0) {
    double edge_m = INFINITY;
    for (size_t i = 0; i < area->count; i++) {
      pc_point two[] = {area->points[i], area->points[(i + 1) % area->count]};
      edge_m = fmin(edge_m, pc_ring_distance_m(&(pc_ring){two, 2}, zone->at, NULL));
    }
    close_to("a point zone on the edge", edge_m, 0, 1e-9);
    *point = true;
    return;
  }
  double shared_m2, apart_m, zone_m2 = fabs(pc_ring_area_m2(&zone->outline));
  assert_int_equal(pc_rings_shared_area(area, &zone->outline, &shared_m2), PC_OK);
  assert_int_equal(pc_rings_distance(area, &zone->outline, &apart_m), PC_OK);
  close_to("touches the area", apart_m, 0, 1e-9);
  if (shared_m2 > 0.5 * zone_m2) {
    close_to("wholly inside", shared_m2, zone_m2, 1e-6);
    *within = true;
  } else {
    close_to("wholly outside", shared_m2, 0, 1e-6);
    *beside = true;
  }
  for (size_t j = 0; j < index; j++)
    if (lot->zones[j].outline.count > 0) {
      assert_int_equal(pc_rings_distance(&lot->zones[j].outline, &zone->outline, &apart_m), PC_OK);
      at_most("between zones", 1, apart_m, 1e-9);
    }
}

static void check_obstacle(const random_lot *lot, size_t index, const random_site_options *options) {
  const pc_ring *outline = &lot->site.obstacles[index].outline;
  double shared_m2, apart_m;
  assert_int_equal(pc_rings_shared_area(&lot->site.areas[0].outline, outline, &shared_m2), PC_OK);
  close_to("obstacle inside the area", shared_m2, fabs(pc_ring_area_m2(outline)), 1e-6);
  for (size_t z = 0; z < lot->zone_count; z++) {
    if (lot->zones[z].outline.count > 0)
      assert_int_equal(pc_rings_distance(&lot->zones[z].outline, outline, &apart_m), PC_OK);
    else
      apart_m = pc_ring_distance_m(outline, lot->zones[z].at, NULL);
    at_most("zone to obstacle", options->gap_m, apart_m, 1e-9);
  }
  for (size_t j = 0; j < index; j++) {
    assert_int_equal(pc_rings_distance(&lot->site.obstacles[j].outline, outline, &apart_m), PC_OK);
    at_most("between obstacles", options->apart_m, apart_m, 1e-9);
  }
}

static void check_valid(const random_lot *lot, uint64_t seed) {
  pc_faults faults = {0};
  pc_site_validate(&lot->site, &faults);
  for (size_t z = 0; z < lot->zone_count; z++)
    pc_zone_validate(&lot->zones[z], "zone", &faults);
  if (faults.count > 0)
    fail_msg("seed %d: %s: %s", (int)seed, faults.items[0].key, faults.items[0].message);
  pc_faults_free(&faults);
}

static void check_same(const random_lot *a, const random_lot *b) {
  assert_true(same_ring(&a->site.areas[0].outline, &b->site.areas[0].outline));
  assert_int_equal(a->zone_count, b->zone_count);
  assert_int_equal(a->site.obstacle_count, b->site.obstacle_count);
  for (size_t z = 0; z < a->zone_count; z++)
    assert_true(same_ring(&a->zones[z].outline, &b->zones[z].outline));
  for (size_t i = 0; i < a->site.obstacle_count; i++)
    assert_true(same_ring(&a->site.obstacles[i].outline, &b->site.obstacles[i].outline));
}

/* Sound, as promised in the header, and of every kind. */
static void test_random_sites(void **state) {
  (void)state;
  bool within = false, beside = false, point = false, ell = false, turned = false, bare = false;
  bool kinds[PC_OBSTACLE_KIND_COUNT] = {false}, convex = false, hollow = false;
  size_t most = 0;
  for (uint64_t seed = 0; seed < 200; seed++) {
    random_site_options options = random_site_default();
    options.gap_m = seed % 2 == 0 ? 0 : 2;
    options.apart_m = seed % 4 < 2 ? -INFINITY : 3;
    random_lot lot = random_site(seed, &options), again = random_site(seed, &options);
    check_valid(&lot, seed);
    check_same(&lot, &again);
    assert_in_range(lot.zone_count, 1, 4);
    for (size_t z = 0; z < lot.zone_count; z++)
      check_zone(&lot, z, &within, &beside, &point);
    ell = ell || lot.site.areas[0].outline.count == 6;
    turned = turned || lot.site.areas[0].heading_rad != 0;
    bare = bare || lot.site.obstacle_count == 0;
    most = lot.site.obstacle_count > most ? lot.site.obstacle_count : most;
    for (size_t i = 0; i < lot.site.obstacle_count; i++) {
      const pc_obstacle *o = &lot.site.obstacles[i];
      check_obstacle(&lot, i, &options);
      kinds[o->kind] = true;
      convex = convex || random_site_is_convex(&o->outline);
      hollow = hollow || !random_site_is_convex(&o->outline);
    }
    random_lot_free(&lot);
    random_lot_free(&again);
  }
  assert_true(within && beside && point && ell && turned && bare && convex && hollow);
  assert_true(kinds[PC_OBSTACLE_BUILDING] && kinds[PC_OBSTACLE_ISLAND] && kinds[PC_OBSTACLE_POLE] &&
              kinds[PC_OBSTACLE_PARKED]);
  assert_int_equal(most, 12);
}

/* With mitred corners, area grows by perimeter·r + r²·Σ tan(turn / 2): each corner adds two right triangles
 * with legs r and r·tan(turn / 2), elementary geometry. */
static void test_inflate(void **state) {
  (void)state;
  size_t checked = 0;
  pc_point square[] = {{0, 0}, {0, 2}, {3, 2}, {3, 0}}; /* clockwise */
  pc_ring grown = random_site_inflate(&(pc_ring){square, 4}, 0.5);
  close_to("grown rectangle", pc_ring_area_m2(&grown), 4 * 3, 1e-12);
  pc_ring_free(&grown);
  pc_point dart[] = {{0, 0}, {4, 0}, {1, 1}, {0, 4}};
  assert_int_equal(random_site_inflate(&(pc_ring){dart, 4}, 0.5).count, 0);
  for (uint64_t seed = 0; seed < 40; seed++) {
    random_site_options options = random_site_default();
    options.convex_obstacles = options.rectangle_area = true;
    random_lot lot = random_site(seed, &options);
    assert_int_equal(lot.site.areas[0].outline.count, 4);
    for (size_t i = 0; i < lot.site.obstacle_count; i++, checked++) {
      const pc_ring *ring = &lot.site.obstacles[i].outline;
      double r = 1.35, want = fabs(pc_ring_area_m2(ring)), sharpest = 0;
      assert_true(random_site_is_convex(ring));
      for (size_t c = 0; c < ring->count; c++) {
        pc_point p = ring->points[c], q = ring->points[(c + 1) % ring->count],
                 s = ring->points[(c + 2) % ring->count];
        double turn = fabs(remainder(
            atan2(s.y_m - q.y_m, s.x_m - q.x_m) - atan2(q.y_m - p.y_m, q.x_m - p.x_m), 2 * acos(-1)));
        want += r * length(p, q) + r * r * tan(turn / 2);
        sharpest = fmax(sharpest, turn);
      }
      at_most("sharpest corner, 30 degrees", sharpest, acos(-1) * 150 / 180, 1e-9);
      grown = random_site_inflate(ring, r);
      close_to("grown area", pc_ring_area_m2(&grown), want, 1e-6);
      for (size_t c = 0; c < ring->count; c++) /* the new edge is r away from the old one everywhere */
        for (double share = 0.25; share < 1; share += 0.5) {
          pc_point p = grown.points[c], q = grown.points[(c + 1) % grown.count];
          pc_point on = {p.x_m + share * (q.x_m - p.x_m), p.y_m + share * (q.y_m - p.y_m)};
          at_most("offset", r, pc_ring_distance_m(ring, on, NULL), 1e-9);
        }
      pc_ring_free(&grown);
    }
    random_lot_free(&lot);
  }
  assert_true(checked > 100);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_published),
      cmocka_unit_test(test_corner_cases),
      cmocka_unit_test(test_inside),
      cmocka_unit_test(test_face_by_hand),
      cmocka_unit_test(test_face_by_sampling),
      cmocka_unit_test(test_distance_rules),
      cmocka_unit_test(test_grid),
      cmocka_unit_test(test_random_sites),
      cmocka_unit_test(test_inflate),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
