// SPDX-License-Identifier: GPL-3.0-or-later
/* Sources: elementary geometry (Euclid; shoelace formula, Meister 1769, from memory); each expected number
 * can be worked out by hand from the corners beside it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "site/geometry.h"

#define RING(name, ...)                                                                                      \
  pc_point name##_points[] = {__VA_ARGS__};                                                                  \
  pc_ring name = {name##_points, sizeof name##_points / sizeof name##_points[0]}

static void close_to(double got, double want, double tolerance) {
  if (!(fabs(got - want) <= tolerance))
    fail_msg("got %.15g, want %.15g within %.3g", got, want, tolerance);
}

static void test_area_and_centroid(void **state) {
  (void)state;
  RING(triangle, {0, 0}, {4, 0}, {0, 3});
  close_to(pc_ring_area_m2(&triangle), 6, 0);
  pc_point middle = pc_ring_centroid(&triangle); /* mean of the corners */
  close_to(middle.x_m, 4.0 / 3, 1e-15);
  close_to(middle.y_m, 1, 1e-15);
  RING(clockwise, {0, 3}, {4, 0}, {0, 0});
  close_to(pc_ring_area_m2(&clockwise), -6, 0);
  middle = pc_ring_centroid(&clockwise);
  close_to(middle.x_m, 4.0 / 3, 1e-15);
  /* L: a 2×1 and a 1×1 block, centres (1, 0.5) and (0.5, 1.5), weights 2 and 1 */
  RING(ell, {0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2});
  close_to(pc_ring_area_m2(&ell), 3, 0);
  middle = pc_ring_centroid(&ell);
  close_to(middle.x_m, 2.5 / 3, 1e-15);
  close_to(middle.y_m, 2.5 / 3, 1e-15);
}

static void test_far_from_origin(void **state) {
  (void)state;
  /* Projected coordinates run to millions of metres; the area of a 100 × 50 m lot must not suffer. */
  RING(lot, {500000, 6500000}, {500100, 6500000}, {500100, 6500050}, {500000, 6500050});
  close_to(pc_ring_area_m2(&lot), 5000, 1e-9);
  pc_point middle = pc_ring_centroid(&lot);
  close_to(middle.x_m, 500050, 1e-8);
  close_to(middle.y_m, 6500025, 1e-8);
}

static void test_degenerate_centroid(void **state) {
  (void)state;
  RING(line, {0, 0}, {2, 2}, {4, 4});
  pc_point middle = pc_ring_centroid(&line);
  close_to(middle.x_m, 2, 1e-15);
  close_to(middle.y_m, 2, 1e-15);
  pc_ring none = {NULL, 0};
  middle = pc_ring_centroid(&none);
  close_to(middle.x_m, 0, 0);
  close_to(pc_ring_area_m2(&none), 0, 0);
}

static void test_contains(void **state) {
  (void)state;
  RING(ell, {0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2});
  assert_true(pc_ring_contains(&ell, (pc_point){0.5, 1.5}));
  assert_true(pc_ring_contains(&ell, (pc_point){1.5, 0.5}));
  assert_false(pc_ring_contains(&ell, (pc_point){1.5, 1.5})); /* in the notch */
  assert_false(pc_ring_contains(&ell, (pc_point){-0.1, 1}));
  assert_false(pc_ring_contains(&ell, (pc_point){3, 1})); /* level with a corner */
  assert_false(pc_ring_contains(&ell, (pc_point){-1, 2}));
  for (size_t i = 0; i < ell.count; i++) { /* corners and middles of edges belong to it */
    pc_point a = ell.points[i], b = ell.points[(i + 1) % ell.count];
    assert_true(pc_ring_contains(&ell, a));
    assert_true(pc_ring_contains(&ell, (pc_point){(a.x_m + b.x_m) / 2, (a.y_m + b.y_m) / 2}));
  }
  RING(slanted, {0, 0}, {0.3, 0.1}, {0, 1}); /* (0.1, 0.1/3) is on an edge only to rounding */
  assert_true(pc_ring_contains(&slanted, (pc_point){0.1, 0.1 / 3}));
  assert_false(pc_ring_contains(&slanted, (pc_point){0.1, 0.1 / 3 - 1e-12}));
  assert_false(pc_ring_contains(&slanted, (pc_point){NAN, 0}));
  pc_ring none = {NULL, 0};
  assert_false(pc_ring_contains(&none, (pc_point){0, 0}));
}

static void test_distance(void **state) {
  (void)state;
  RING(square, {0, 0}, {2, 0}, {2, 2}, {0, 2});
  pc_point at;
  close_to(pc_ring_distance_m(&square, (pc_point){1, 1}, &at), 0, 0);
  close_to(at.x_m, 1, 0);
  close_to(pc_ring_distance_m(&square, (pc_point){5, 6}, &at), 5, 1e-15); /* 3-4-5 to the corner */
  close_to(at.x_m, 2, 0);
  close_to(at.y_m, 2, 0);
  close_to(pc_ring_distance_m(&square, (pc_point){1.5, -3}, &at), 3, 0);
  close_to(at.x_m, 1.5, 1e-15);
  close_to(at.y_m, 0, 0);
  close_to(pc_ring_distance_m(&square, (pc_point){-1, 1}, NULL), 1, 0);
}

/* The only fault of a ring, or PC_OK. */
static pc_status fault_of(const pc_ring *ring, const char *place) {
  pc_faults faults = {0};
  pc_ring_validate(ring, "site.areas[0].outline", &faults);
  pc_status status = pc_faults_status(&faults);
  assert_true(faults.count <= 1);
  if (faults.count == 1) {
    assert_string_equal(faults.items[0].key, "site.areas[0].outline");
    assert_false(faults.items[0].caution);
    if (!strstr(faults.items[0].message, place))
      fail_msg("no \"%s\" in \"%s\"", place, faults.items[0].message);
  }
  pc_faults_free(&faults);
  return status;
}

static void test_validate(void **state) {
  (void)state;
  RING(good, {0, 0}, {4, 0}, {0, 3});
  assert_int_equal(fault_of(&good, ""), PC_OK);
  RING(clockwise, {0, 3}, {4, 0}, {0, 0});
  assert_int_equal(fault_of(&clockwise, ""), PC_OK);
  RING(two, {0, 0}, {4, 0});
  assert_int_equal(fault_of(&two, "at least 3 corners, this one has 2"), PC_ERR_GEOMETRY);
  pc_ring none = {NULL, 0};
  assert_int_equal(fault_of(&none, "at least 3"), PC_ERR_MISSING);
  RING(endless, {0, 0}, {4, INFINITY}, {0, 3});
  assert_int_equal(fault_of(&endless, "corner 2"), PC_ERR_RANGE);
  RING(unknown, {0, 0}, {4, 0}, {NAN, 3});
  assert_int_equal(fault_of(&unknown, "corner 3"), PC_ERR_RANGE);
  RING(far, {0, 0}, {4, 0}, {0, 2e8});
  assert_int_equal(fault_of(&far, "corner 3"), PC_ERR_RANGE);
  RING(line, {0.1, 0.1}, {0.2, 0.2}, {0.7, 0.7}, {0.3, 0.3});
  assert_int_equal(fault_of(&line, "one line"), PC_ERR_GEOMETRY);
  RING(place, {1, 1}, {1, 1}, {1, 1});
  assert_int_equal(fault_of(&place, "one line"), PC_ERR_GEOMETRY);
  RING(bow, {0, 0}, {10, 10}, {10, 0}, {0, 10}); /* the diagonals of a 10 m square */
  assert_int_equal(fault_of(&bow, "[5, 5]"), PC_ERR_GEOMETRY);
  RING(bow_off, {-3.5, -1.25}, {-2.5, -0.25}, {-2.5, -1.25}, {-3.5, -0.25});
  assert_int_equal(fault_of(&bow_off, "[-3, -0.75]"), PC_ERR_GEOMETRY);
  RING(touching, {0, 0}, {4, 0}, {2, 2}, {4, 4}, {0, 4}, {2, 2}); /* two triangles that meet at (2, 2) */
  assert_int_equal(fault_of(&touching, "[2, 2]"), PC_ERR_GEOMETRY);
}

static pc_ring round_ring(size_t count, double radius) {
  pc_point *points = calloc(count, sizeof *points);
  assert_non_null(points);
  for (size_t i = 0; i < count; i++) {
    double angle = 2 * acos(-1) * (double)i / (double)count;
    points[i] = (pc_point){radius * cos(angle), radius * sin(angle)};
  }
  return (pc_ring){points, count};
}

static void test_most_corners(void **state) {
  (void)state;
  pc_ring ring = round_ring(PC_RING_MAX + 1, 100);
  assert_int_equal(fault_of(&ring, "at most 10000"), PC_ERR_LIMIT);
  ring.count--;
  ring.points[ring.count - 1] = (pc_point){100 * cos(-1e-4), 100 * sin(-1e-4)};
  assert_int_equal(fault_of(&ring, ""), PC_OK);
  pc_ring_free(&ring);
  assert_null(ring.points);
  pc_ring_free(&ring); /* twice does no harm */
}

static void test_copy(void **state) {
  (void)state;
  RING(from, {0, 0}, {4, 0}, {0, 3});
  pc_ring copy;
  assert_int_equal(pc_ring_copy(&copy, from.points, from.count), PC_OK);
  from.points[1].x_m = 99;
  assert_int_equal(copy.count, 3);
  close_to(copy.points[1].x_m, 4, 0);
  pc_ring_free(&copy);
  assert_int_equal(pc_ring_copy(&copy, NULL, 0), PC_OK);
  assert_int_equal(copy.count, 0);
  pc_ring_free(&copy);
}

static void test_shared_area(void **state) {
  (void)state;
  RING(a, {0, 0}, {2, 0}, {2, 2}, {0, 2});
  RING(b, {3, 3}, {3, 1}, {1, 1}, {1, 3}); /* clockwise; they share [1,2]² */
  RING(c, {2, 0}, {4, 0}, {4, 2}, {2, 2}); /* shares one side with a */
  RING(d, {10, 0}, {12, 0}, {12, 2}, {10, 2});
  RING(diamond, {1, -1}, {3, 1}, {1, 3}, {-1, 1}); /* half of a's edges' middles: holds a whole */
  RING(bow, {0, 0}, {2, 2}, {2, 0}, {0, 2});
  double area = -1;
  assert_int_equal(pc_rings_shared_area(&a, &b, &area), PC_OK);
  close_to(area, 1, 1e-14);
  assert_int_equal(pc_rings_shared_area(&a, &c, &area), PC_OK);
  close_to(area, 0, 0);
  assert_int_equal(pc_rings_shared_area(&a, &d, &area), PC_OK);
  close_to(area, 0, 0);
  assert_int_equal(pc_rings_shared_area(&diamond, &a, &area), PC_OK);
  close_to(area, 4, 1e-14);
  assert_int_equal(pc_rings_shared_area(&a, &bow, &area), PC_ERR_GEOMETRY);
}

/* Outlines along one line whose coordinates were rounded touch; what lies deeper does not. */
static void test_overlap(void **state) {
  (void)state;
  RING(a, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(wedge, {20, 49.91}, {80, 50.06}, {80, 90}, {20, 90}); /* up to 9 cm deep, over 36 m: 1.62 m² */
  RING(deep, {20, 49.89}, {80, 49.89}, {80, 90}, {20, 90});  /* 11 cm, over 60 m */
  RING(corner, {99.91, 49.91}, {140, 49.91}, {140, 90}, {99.91, 90}); /* 9 cm × 9 cm: less than 0.01 m² */
  RING(lies, {99, 49}, {140, 49}, {140, 90}, {99, 90});
  double area = -1;
  assert_int_equal(pc_rings_shared_area(&a, &wedge, &area), PC_OK);
  close_to(area, 1.62, 1e-9);
  assert_int_equal(pc_rings_overlap(&a, &wedge, &area), PC_OK);
  close_to(area, 0, 0);
  assert_int_equal(pc_rings_overlap(&a, &deep, &area), PC_OK);
  close_to(area, 6.6, 1e-9);
  assert_int_equal(pc_rings_overlap(&a, &corner, &area), PC_OK);
  close_to(area, 0, 0);
  assert_int_equal(pc_rings_overlap(&a, &lies, &area), PC_OK);
  close_to(area, 1, 1e-9);
}

static void test_ring_distance(void **state) {
  (void)state;
  RING(a, {0, 0}, {2, 0}, {2, 2}, {0, 2});
  RING(b, {5, 6}, {7, 6}, {7, 8}, {5, 8}); /* 3-4-5 between the corners */
  RING(c, {0.5, 0.5}, {1, 0.5}, {1, 1});   /* inside a */
  double distance = -1;
  assert_int_equal(pc_rings_distance(&a, &b, &distance), PC_OK);
  close_to(distance, 5, 1e-15);
  assert_int_equal(pc_rings_distance(&a, &c, &distance), PC_OK);
  close_to(distance, 0, 0);
}

static void test_hull(void **state) {
  (void)state;
  RING(ell, {0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2});
  RING(notch, {1, 1}, {2, 1}, {2, 2}, {1, 2}); /* fills the L up to a square */
  RING(over, {0, 0}, {1, 0}, {1, 1}, {0, 1});  /* part of the L: the union doesn't count it twice */
  const pc_ring *rings[] = {&ell, &over, &notch};
  double area = -1, hull = -1;
  assert_int_equal(pc_rings_hull(rings, 2, &area, &hull), PC_OK);
  close_to(area, 3, 1e-14);
  close_to(hull, 3.5, 1e-14); /* the diagonal cuts half of the missing square */
  assert_int_equal(pc_rings_hull(rings, 3, &area, &hull), PC_OK);
  close_to(area, 4, 1e-14);
  close_to(hull, 4, 1e-14);
  assert_int_equal(pc_rings_hull(rings, 0, &area, &hull), PC_OK);
  close_to(area, 0, 0);
  close_to(hull, 0, 0);
  pc_ring none = {NULL, 0};
  RING(two, {0, 0}, {1, 1});
  const pc_ring *odd[] = {&ell, &none};
  assert_int_equal(pc_rings_hull(odd, 2, &area, &hull), PC_OK);
  close_to(area, 3, 1e-14);
  odd[1] = &two;
  assert_int_equal(pc_rings_hull(odd, 2, &area, &hull), PC_ERR_GEOMETRY); /* two corners make no ring */
}

static void test_round(void **state) {
  (void)state;
  /* Regular octagon around a circle of radius r: area 8·tan(22.5°)·r², corners at r/cos(22.5°). */
  const double eighth = 3.14159265358979323846 / 8;
  pc_ring ring;
  assert_int_equal(pc_ring_round((pc_point){30, -7}, 2.5, &ring), PC_OK);
  assert_int_equal(ring.count, 8);
  close_to(pc_ring_area_m2(&ring), 8 * tan(eighth) * 6.25, 1e-12);
  for (size_t i = 0; i < 8; i++) {
    const pc_point *a = &ring.points[i], *b = &ring.points[(i + 1) % 8];
    close_to(hypot(a->x_m - 30, a->y_m + 7), 2.5 / cos(eighth), 1e-12);
    close_to(hypot((a->x_m + b->x_m) / 2 - 30, (a->y_m + b->y_m) / 2 + 7), 2.5, 1e-12);
  }
  pc_ring_free(&ring);
}

static void test_along(void **state) {
  (void)state;
  /* A corner of 90°: the outer side is longer by half a width on each leg, the inner one shorter by as much.
   */
  const pc_point corner[] = {{0, 0}, {10, 0}, {10, 5}};
  pc_ring ring;
  assert_int_equal(pc_ring_along(corner, 3, 2, &ring), PC_OK);
  close_to(fabs(pc_ring_area_m2(&ring)), 15 * 2, 1e-9);
  assert_int_equal(ring.count, 6);
  assert_true(pc_ring_contains(&ring, (pc_point){10.9, -0.9})); /* mitred */
  assert_false(pc_ring_contains(&ring, (pc_point){-0.1, 0}));   /* flat ends */
  assert_false(pc_ring_contains(&ring, (pc_point){8.9, 1.1}));
  pc_ring_free(&ring);
  /* Positions that stand twice make no difference. */
  const pc_point twice[] = {{0, 0}, {0, 0}, {10, 0}, {10, 0}};
  assert_int_equal(pc_ring_along(twice, 4, 0.5, &ring), PC_OK);
  close_to(fabs(pc_ring_area_m2(&ring)), 5, 1e-9);
  pc_ring_free(&ring);
  const pc_point around[] = {{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}};
  assert_int_equal(pc_ring_along(around, 5, 0.5, &ring), PC_ERR_GEOMETRY); /* it has a hole */
  assert_null(ring.points);
  const pc_point nowhere[] = {{3, 3}, {3, 3}};
  assert_int_equal(pc_ring_along(nowhere, 2, 0.5, &ring), PC_ERR_GEOMETRY);
  assert_int_equal(pc_ring_along(nowhere, 1, 0.5, &ring), PC_ERR_GEOMETRY);
}

static void test_crossing(void **state) {
  (void)state;
  RING(bow, {0, 0}, {10, 10}, {10, 0}, {0, 10});
  RING(square, {0, 0}, {10, 0}, {10, 10}, {0, 10});
  bool crosses = false;
  pc_point place;
  assert_int_equal(pc_ring_crossing(&bow, &crosses, &place), PC_OK);
  assert_true(crosses);
  close_to(place.x_m, 5, 1e-12);
  close_to(place.y_m, 5, 1e-12);
  assert_int_equal(pc_ring_crossing(&square, &crosses, NULL), PC_OK);
  assert_false(crosses);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_area_and_centroid),
      cmocka_unit_test(test_far_from_origin),
      cmocka_unit_test(test_degenerate_centroid),
      cmocka_unit_test(test_contains),
      cmocka_unit_test(test_distance),
      cmocka_unit_test(test_validate),
      cmocka_unit_test(test_most_corners),
      cmocka_unit_test(test_copy),
      cmocka_unit_test(test_shared_area),
      cmocka_unit_test(test_overlap),
      cmocka_unit_test(test_ring_distance),
      cmocka_unit_test(test_hull),
      cmocka_unit_test(test_round),
      cmocka_unit_test(test_along),
      cmocka_unit_test(test_crossing),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
