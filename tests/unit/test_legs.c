// SPDX-License-Identifier: GPL-3.0-or-later
/* Does a leg cross an outline? Against looking at every edge, with the plain formulas of elementary geometry.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "random_site.h"
#include "site/blocked.h"
#include "site/legs.h"

enum { CORNERS = 40 };

static double cross(double ax, double ay, double bx, double by) {
  return ax * by - ay * bx;
}

/* Where from → to and the edge cross, 0 … 1 along both; NaN if nowhere. Parallel ones never do here. */
static double crossing(const pc_leg_edge *e, pc_point from, pc_point to) {
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m, ex = e->bx - e->ax, ey = e->by - e->ay;
  double turn = cross(dx, dy, ex, ey), x = e->ax - from.x_m, y = e->ay - from.y_m;
  double along = cross(x, y, ex, ey) / turn, across = cross(x, y, dx, dy) / turn;
  return along >= 0 && along <= 1 && across >= 0 && across <= 1 ? along : NAN;
}

static int by_size(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* A star about the origin, so that what is inside can be told by its angle as well. */
static pc_leg_edge *star(pc_stream *stream, double *radius) {
  pc_leg_edge *edges = pc_alloc(CORNERS, sizeof *edges);
  assert_non_null(edges);
  for (size_t i = 0; i < CORNERS; i++)
    radius[i] = random_between(stream, 5, 50);
  for (size_t i = 0; i < CORNERS; i++) {
    double a = 6.283185307179586 * (double)i / CORNERS, b = 6.283185307179586 * (double)(i + 1) / CORNERS;
    double r = radius[i], s = radius[(i + 1) % CORNERS];
    edges[i] = (pc_leg_edge){r * cos(a), r * sin(a), s * cos(b), s * sin(b)};
  }
  return edges;
}

/* In the star's wedge with the point, on the near side of its edge. */
static bool in_star(const pc_leg_edge *edges, pc_point p) {
  for (size_t i = 0; i < CORNERS; i++)
    if (cross(edges[i].ax, edges[i].ay, p.x_m, p.y_m) >= 0 &&
        cross(p.x_m, p.y_m, edges[i].bx, edges[i].by) > 0 && edges[i].ax * p.x_m + edges[i].ay * p.y_m > 0)
      return cross(edges[i].bx - edges[i].ax, edges[i].by - edges[i].ay, p.x_m - edges[i].ax,
                   p.y_m - edges[i].ay) > 0;
  return false;
}

static void test_against_every_edge(void **state) {
  (void)state;
  size_t clear = 0, inside = 0, asked = 0;
  for (uint64_t seed = 1; seed <= 50; seed++) {
    pc_stream stream;
    double radius[CORNERS], at[CORNERS], want[CORNERS];
    pc_stream_start(&stream, seed, 0, 0, 0);
    pc_leg_edge *edges = star(&stream, radius);
    pc_legs legs;
    assert_int_equal(pc_legs_make(edges, CORNERS, &legs), PC_OK);
    for (int i = 0; i < 400; i++) {
      pc_point a = {random_between(&stream, -70, 70), random_between(&stream, -70, 70)};
      double reach = i % 2 == 0 ? 140 : 10; /* long legs and short ones */
      pc_point b = {a.x_m + random_between(&stream, -reach, reach),
                    a.y_m + random_between(&stream, -reach, reach)};
      size_t count = 0;
      for (size_t k = 0; k < CORNERS; k++) {
        double c = crossing(&edges[k], a, b);
        if (!isnan(c))
          want[count++] = c;
      }
      qsort(want, count, sizeof *want, by_size);
      assert_int_equal(pc_legs_crossings(&legs, a, b, at, CORNERS), count);
      for (size_t k = 0; k < count; k++)
        assert_true(fabs(at[k] - want[k]) <= 1e-9);
      assert_int_equal(pc_legs_crossed(&legs, a, b), count < 3 ? count : 3);
      assert_int_equal(pc_legs_clear(&legs, a, b), count == 0);
      assert_int_equal(pc_legs_clear(&legs, b, a), count == 0);
      assert_int_equal(pc_legs_inside(&legs, a), in_star(edges, a));
      assert_int_equal(pc_legs_inside(&legs, a) != pc_legs_inside(&legs, b), count % 2);
      clear += count == 0;
      inside += in_star(edges, a);
      asked++;
    }
    pc_legs_free(&legs);
  }
  print_message("%zu legs, %zu clear, %zu begin inside\n", asked, clear, inside);
  assert_true(clear > asked / 10 && clear < asked && inside > asked / 20);
}

/* Level and upright legs, along lines of the grid too, and legs of no length. */
static void test_square(void **state) {
  (void)state;
  pc_leg_edge *edges = pc_alloc(4, sizeof *edges);
  assert_non_null(edges);
  const pc_leg_edge square[] = {{0, 0, 8, 0}, {8, 0, 8, 8}, {8, 8, 0, 8}, {0, 8, 0, 0}};
  memcpy(edges, square, sizeof square);
  pc_legs legs;
  assert_int_equal(pc_legs_make(edges, 4, &legs), PC_OK);
  for (int i = 0; i <= 16; i++) {
    double at = 0.5 * i;
    assert_false(pc_legs_clear(&legs, (pc_point){-1, at}, (pc_point){9, at}));
    assert_false(pc_legs_clear(&legs, (pc_point){at, 9}, (pc_point){at, -1}));
    assert_false(pc_legs_clear(&legs, (pc_point){at, 9}, (pc_point){at, 8})); /* a touch is no clear leg */
    assert_true(pc_legs_clear(&legs, (pc_point){at, 9}, (pc_point){at, 8 + 1e-9}));
    assert_true(pc_legs_clear(&legs, (pc_point){-1, 8 + 1e-9}, (pc_point){9, 8 + 1e-9}));
    assert_int_equal(pc_legs_inside(&legs, (pc_point){4, at}),
                     at < 8); /* its lower edge counts, its upper does not */
    assert_false(pc_legs_inside(&legs, (pc_point){-1, at}));
    assert_false(pc_legs_inside(&legs, (pc_point){9, at}));
  }
  assert_true(pc_legs_clear(&legs, (pc_point){4, 4}, (pc_point){4, 4}));
  assert_true(pc_legs_clear(&legs, (pc_point){1, 1}, (pc_point){7, 7}));
  assert_true(pc_legs_clear(&legs, (pc_point){1e6, 1e6}, (pc_point){2e6, -1e6}));
  double at[4];
  assert_int_equal(pc_legs_crossings(&legs, (pc_point){-1, 4}, (pc_point){9, 4}, at, 4), 2);
  assert_true(fabs(at[0] - 0.1) < 1e-12 && fabs(at[1] - 0.9) < 1e-12);
  assert_int_equal(pc_legs_crossings(&legs, (pc_point){-1, 4}, (pc_point){9, 4}, at, 1), 1);
  pc_legs_free(&legs);
  assert_int_equal(pc_legs_make(NULL, 0, &legs), PC_OK); /* nothing in the way */
  assert_true(pc_legs_clear(&legs, (pc_point){0, 0}, (pc_point){1, 1}));
  assert_false(pc_legs_inside(&legs, (pc_point){0, 0}));
  pc_legs_free(&legs);
}

/* What of a line is free: up to a wall, behind it, and not within what closes a narrow gap. */
static void test_free_stretches(void **state) {
  (void)state;
  pc_point edge[] = {{0, 0}, {100, 0}, {100, 40}, {0, 40}};
  pc_point west[] = {{20, 10}, {30, 10}, {30, 30}, {20, 30}},
           east[] = {{32, 10}, {50, 10}, {50, 30}, {32, 30}};
  pc_area area = {.outline = {edge, 4}};
  pc_obstacle blocks[] = {{.outline = {west, 4}}, {.outline = {east, 4}}};
  pc_site site = {.areas = &area, .area_count = 1, .obstacles = blocks, .obstacle_count = 2};
  const double halves[] = {0, 0.9, 1.35};
  for (int i = 0; i < 3; i++) {
    pc_blocked blocked;
    pc_stretch found[8];
    assert_int_equal(pc_blocked_make(&site, NULL, 0, (pc_clearance){halves[i], true, false, NULL}, &blocked),
                     PC_OK);
    size_t count = pc_blocked_free_stretches(&blocked, (pc_point){-10, 20}, (pc_point){110, 20}, found, 8);
    const double want[] = {0, 20, 30, 32, 50, 100}, closed[] = {0, 20, 50, 100};
    bool gap = halves[i] < 1; /* 2 m */
    assert_int_equal(count, gap ? 3 : 2);
    for (size_t k = 0; k < 2 * count; k++) {
      double at = 120 * (k % 2 == 0 ? found[k / 2].from : found[k / 2].to) - 10;
      if (!(fabs(at - (gap ? want[k] : closed[k])) <= 2e-3)) /* edges are shrunk by a millimetre */
        fail_msg("half width %g: %zu at %.6f", halves[i], k, at);
    }
    assert_int_equal(pc_blocked_free_stretches(&blocked, (pc_point){-10, 20}, (pc_point){110, 20}, found, 1),
                     1);
    assert_int_equal(pc_blocked_free_stretches(&blocked, (pc_point){22, 20}, (pc_point){28, 20}, found, 8),
                     0);
    pc_blocked_free(&blocked);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_against_every_edge),
      cmocka_unit_test(test_square),
      cmocka_unit_test(test_free_stretches),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
