// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <geos_c.h>
#include <math.h>
#include <stdlib.h>

#include "site/piles.h"
#include "validation.h"

#define RING(name, ...)                                                                                      \
  pc_point name##_points[] = {__VA_ARGS__};                                                                  \
  pc_ring name = {name##_points, sizeof name##_points / sizeof name##_points[0]}

static const double pi = 3.14159265358979323846;
static const double foot = 0.3048; /* exact: NIST SP 811, appendix B */

static double degrees(double angle) {
  return angle * pi / 180;
}

static void near_to(double got, double want, double relative) {
  if (!(fabs(got - want) <= relative * fabs(want)))
    fail_msg("got %.12g, want %.12g within %.2g of it (off by %.3g)", got, want, relative, got / want - 1);
}

static double heap(const pc_ring *outline, double height, double angle) {
  double volume = -1;
  assert_int_equal(pc_heap_volume_m3(outline, height, angle, &volume), PC_OK);
  return volume;
}

static double block(double length, double width, double height, double angle) {
  RING(outline, {0, 0}, {length, 0}, {length, width}, {0, width});
  return heap(&outline, height, angle);
}

/* Regular polygon with its corners on the circle. */
static pc_ring round_ring(size_t count, double radius) {
  pc_point *points = calloc(count, sizeof *points);
  assert_non_null(points);
  for (size_t i = 0; i < count; i++) {
    double angle = 2 * pi * (double)i / (double)count;
    points[i] = (pc_point){radius * cos(angle), radius * sin(angle)};
  }
  return (pc_ring){points, count};
}

/* Two half circles of `half` + 1 corners each, joined by straight sides. */
static pc_ring stadium(size_t half, double length, double radius) {
  pc_point *points = calloc(2 * half + 2, sizeof *points);
  assert_non_null(points);
  for (size_t i = 0; i <= half; i++) {
    double angle = pi * (double)i / (double)half - pi / 2;
    points[i] = (pc_point){length / 2 + radius * cos(angle), radius * sin(angle)};
    points[half + 1 + i] = (pc_point){-length / 2 - radius * cos(angle), -radius * sin(angle)};
  }
  return (pc_ring){points, 2 * half + 2};
}

/* Volume of the heap on a regular polygon over that of the cone on its circle: the base is smaller by the
 * first factor, the height (the inner circle's) by the second. */
static double polygon_share(double count) {
  return count / (2 * pi) * sin(2 * pi / count) * cos(pi / count);
}

static void test_cone(void **state) {
  (void)state;
  /* V = π r³ tan θ / 3 with r = 5 m, θ = 39°: 106.0005 m³ (computed from the formula). */
  near_to(pc_cone_volume_m3(5, degrees(39)), 106.0005, 5e-7);
  pc_ring ring = round_ring(256, 5);
  near_to(heap(&ring, 100, degrees(39)), 106.0005 * polygon_share(256), 1e-6);
  near_to(polygon_share(256), 1, 2e-4); /* and the polygon is near enough to the circle */
  near_to(heap(&ring, 100, degrees(39)), 106.0005, 2e-4);
  near_to(heap(&ring, INFINITY, degrees(39)), heap(&ring, 100, degrees(39)), 1e-12);
  pc_ring_free(&ring);
  for (size_t count = 3; count < 12; count++) {
    ring = round_ring(count, 2);
    near_to(heap(&ring, 100, degrees(45)), 8 * pi / 3 * polygon_share((double)count), 1e-9);
    pc_ring_free(&ring);
  }
}

static void test_cone_frustum(void **state) {
  (void)state;
  /* π h (R² + R r + r²) / 3 with 3 → 1 m, 2 m high: 27.22714 m³ (computed from the formula); its side is at
   * 45°. */
  near_to(pc_cone_frustum_volume_m3(3, 1, 2), 27.22714, 2e-7);
  pc_ring ring = round_ring(256, 3);
  double inner = 3 * cos(pi / 256); /* the heap is a pyramid less its top; both scale with the inner circle */
  double share = polygon_share(256) * (pow(inner, 3) - pow(inner - 2, 3)) / pow(inner, 3) / ((27.0 - 1) / 27);
  near_to(heap(&ring, 2, degrees(45)), 27.22714 * share, 1e-6);
  near_to(share, 1, 3e-4);
  pc_ring_free(&ring);
}

static void test_ridge_with_half_cones(void **state) {
  (void)state;
  /* Base 6 m, height 2 m, ridge 10 m with half a cone at each end: 10·6·2/2 + π·3²·2/3 = 78.8496 m³. */
  double angle = atan2(2, 3);
  near_to(10 * 6 * 2 / 2.0 + pc_cone_volume_m3(3, angle), 78.8496, 7e-7); /* four decimals given */
  pc_ring ring = stadium(128, 10, 3);
  near_to(heap(&ring, 100, angle), 60 + pc_cone_volume_m3(3, angle) * polygon_share(256), 1e-5);
  near_to(heap(&ring, 100, angle), 78.8496, 1e-4);
  pc_ring_free(&ring);
}

static void test_spoil_bank(void **state) {
  (void)state;
  /* 76.5 m³ in place × 1.12 swell at 32°: cone of 10.156 m base, 3.173 m high.
   * Nunnally, Construction Methods and Management, spoil banks. */
  double diameter = 0, height = 0;
  pc_cone_of_volume(76.5 * 1.12, degrees(32), &diameter, &height);
  static const char source[] = "Nunnally, Construction Methods and Management, spoil banks";
  assert_published(source, "cone of 85.68 m3 at 32 deg, base, m", diameter, 10.156, 5e-4);
  assert_published(source, "cone of 85.68 m3 at 32 deg, height, m", height, 3.173, 6.3e-4);
  near_to(pc_cone_volume_m3(diameter / 2, degrees(32)), 76.5 * 1.12, 1e-14);
  pc_ring ring = round_ring(256, 10.156 / 2);
  near_to(heap(&ring, 3.2, degrees(32)), 76.5 * 1.12 * polygon_share(256), 2e-4);
  pc_ring_free(&ring);
}

static void test_ridge(void **state) {
  (void)state;
  /* 3,375 ft³ over 30 ft at 37°: base 24.44 ft wide, 9.21 ft high. Nunnally, as above. */
  double width = 0, height = 0, volume = 3375 * foot * foot * foot, length = 30 * foot;
  pc_ridge_of_volume(volume, length, degrees(37), &width, &height);
  static const char source[] = "Nunnally, Construction Methods and Management, spoil banks";
  assert_published(source, "ridge of 3,375 ft3 over 30 ft at 37 deg, base, ft", width / foot, 24.44, 5e-3);
  assert_published(source, "ridge of 3,375 ft3 over 30 ft at 37 deg, height, ft", height / foot, 9.21,
                   3.7e-3);
  /* On an outline the ends slope as well: half a cone at either end of the same ridge. */
  pc_ring ring = stadium(128, length, 24.44 * foot / 2);
  double cone = pc_cone_volume_m3(24.44 * foot / 2, degrees(37)) * polygon_share(256);
  near_to(heap(&ring, 9.3 * foot, degrees(37)), volume + cone, 3e-4);
  pc_ring_free(&ring);
}

static void test_prismatoid(void **state) {
  (void)state;
  /* h (bottom + 4 middle + top) / 6, the prismoidal formula. */
  near_to(pc_prismatoid_volume_m3(10, 6, 4, 2, 3), 90, 1e-15);
  /* 20 × 10 m, 3 m high, slopes 1:1, so 14 × 4 m on top: 366 m³ (computed from the formula). Snow piles with
   * slopes of at most 1:1: British Columbia road-design supplement §1520.05. */
  near_to(pc_prismatoid_volume_m3(20, 10, 14, 4, 3), 366, 1e-15);
  near_to(block(20, 10, 3, degrees(45)), 366, 1e-9);
  near_to(block(10, 20, 3, degrees(45)), 366, 1e-9);
  /* Hipped roof on a × b, a ≥ b: tan θ · b² (3a − b) / 12, from two prismatoids. */
  near_to(block(30, 12, 100, degrees(40)), tan(degrees(40)) * 144 * (90 - 12) / 12, 1e-9);
  near_to(block(12, 12, 100, degrees(40)), tan(degrees(40)) * 144 * (36 - 12) / 12, 1e-9);
}

static void test_steep_sides(void **state) {
  (void)state;
  /* With upright sides a heap is area × height. 1 ha with 2 m of snow at 100 kg/m³ is 4,000 m³ at 500: 16.0 m
   * high on 2.5 % of it (Star Valley Ranch WY), 1.60 m on 25 %. */
  near_to(block(25, 10, 16.0, degrees(89.99999)), 4000, 1e-5);
  near_to(block(50, 50, 1.60, degrees(89.99999)), 4000, 1e-5);
  RING(ell, {0, 0}, {20, 0}, {20, 10}, {10, 10}, {10, 20}, {0, 20});
  near_to(heap(&ell, 2, degrees(89.99999)), 600, 1e-5); /* every part of an outline is counted once */
}

/* ---- twins ---- */

static double to_edges(const pc_ring *ring, double x, double y) {
  double best = INFINITY;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
    double t = ((x - a.x_m) * dx + (y - a.y_m) * dy) / (dx * dx + dy * dy);
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    best = fmin(best, hypot(x - a.x_m - t * dx, y - a.y_m - t * dy));
  }
  return best;
}

/* The definition itself, summed over a fine grid of `n` × `n` points over [0, size]². */
static double heap_by_grid(const pc_ring *ring, double size, int n, double height, double angle) {
  double sum = 0, step = size / n;
  for (int i = 0; i < n; i++)
    for (int j = 0; j < n; j++) {
      pc_point at = {(i + 0.5) * step, (j + 0.5) * step};
      if (pc_ring_contains(ring, at))
        sum += fmin(height, to_edges(ring, at.x_m, at.y_m) * tan(angle)) * step * step;
    }
  return sum;
}

/* ∫ area(outline shrunk by z / tan θ) dz by the trapezoid rule over GEOS offsets. */
static double heap_by_offsets(const pc_ring *ring, double height, double angle, int slices) {
  GEOSContextHandle_t geos = GEOS_init_r();
  double *flat = calloc(ring->count + 1, 2 * sizeof *flat), sum = 0;
  assert_non_null(flat);
  for (size_t i = 0; i <= ring->count; i++) {
    flat[2 * i] = ring->points[i % ring->count].x_m;
    flat[2 * i + 1] = ring->points[i % ring->count].y_m;
  }
  GEOSCoordSequence *sequence = GEOSCoordSeq_copyFromBuffer_r(geos, flat, (unsigned)ring->count + 1, 0, 0);
  GEOSGeometry *shape = GEOSGeom_createPolygon_r(geos, GEOSGeom_createLinearRing_r(geos, sequence), NULL, 0);
  for (int i = 0; i <= slices; i++) {
    double z = height * i / slices, area = 0;
    GEOSGeometry *inner = GEOSBuffer_r(geos, shape, -z / tan(angle), 64);
    assert_non_null(inner);
    assert_int_equal(GEOSArea_r(geos, inner, &area), 1);
    sum += (i == 0 || i == slices ? 0.5 : 1) * area * height / slices;
    GEOSGeom_destroy_r(geos, inner);
  }
  GEOSGeom_destroy_r(geos, shape);
  GEOS_finish_r(geos);
  free(flat);
  return sum;
}

static void test_reflex_corners(void **state) {
  (void)state;
  double angle = degrees(40);
  RING(ell, {0, 0}, {20, 0}, {20, 12}, {10, 12}, {10, 20}, {0, 20});
  RING(notched, {0, 0}, {20, 0}, {20, 20}, {11, 20}, {10, 5}, {9, 20}, {0, 20});
  RING(star, {10, 0}, {13, 8}, {20, 10}, {13, 13}, {10, 20}, {8, 12}, {0, 10}, {7, 7});
  RING(comb, {0, 0}, {20, 0}, {20, 20}, {16, 20}, {16, 6}, {12, 6}, {12, 18}, {8, 18}, {8, 4}, {4, 4},
       {4, 20}, {0, 20});
  const pc_ring *rings[] = {&ell, &notched, &star, &comb};
  for (size_t i = 0; i < 4; i++) {
    near_to(heap(rings[i], 2, angle), heap_by_grid(rings[i], 20, 1000, 2, angle), 1e-4);
    near_to(heap(rings[i], 100, angle), heap_by_grid(rings[i], 20, 1000, 100, angle), 1e-4);
    near_to(heap(rings[i], 2, angle), heap_by_offsets(rings[i], 2, angle, 400), 5e-4);
  }
  /* A slit with zero turn at one corner changes nothing: collinear corners, repeated corners. */
  RING(more, {0, 0}, {5, 0}, {20, 0}, {20, 12}, {20, 12}, {10, 12}, {10, 15}, {10, 20}, {0, 20}, {0, 1});
  near_to(heap(&more, 2, angle), heap(&ell, 2, angle), 1e-7);
}

static void test_moved(void **state) {
  (void)state;
  RING(ell, {0, 0}, {20, 0}, {20, 12}, {10, 12}, {10, 20}, {0, 20});
  double volume = heap(&ell, 3, degrees(40));
  pc_point points[6];
  pc_ring other = {points, 6};
  for (size_t i = 0; i < 6; i++) { /* mirrored, which also reverses the turning direction */
    points[i] = (pc_point){-ell.points[i].x_m, ell.points[i].y_m};
  }
  near_to(heap(&other, 3, degrees(40)), volume, 1e-7);
  for (size_t i = 0; i < 6; i++) { /* turned by 33° and moved to where projected coordinates are */
    double c = cos(degrees(33)), s = sin(degrees(33)), x = ell.points[i].x_m, y = ell.points[i].y_m;
    points[i] = (pc_point){500000 + c * x - s * y, 6500000 + s * x + c * y};
  }
  near_to(heap(&other, 3, degrees(40)), volume, 1e-7);
  for (size_t i = 0; i < 6; i++) /* twice as long, wide and high */
    points[i] = (pc_point){2 * ell.points[i].x_m, 2 * ell.points[i].y_m};
  near_to(heap(&other, 6, degrees(40)), 8 * volume, 1e-7);
  assert_true(heap(&ell, 4, degrees(40)) > volume);
  assert_true(heap(&ell, 3, degrees(45)) > volume);
}

static void test_refused(void **state) {
  (void)state;
  double volume = -7;
  RING(bow, {0, 0}, {10, 10}, {10, 0}, {0, 10});
  RING(two, {0, 0}, {10, 10});
  RING(good, {0, 0}, {10, 0}, {0, 10});
  assert_int_equal(pc_heap_volume_m3(&bow, 3, 0.7, &volume), PC_ERR_GEOMETRY);
  assert_int_equal(pc_heap_volume_m3(&two, 3, 0.7, &volume), PC_ERR_GEOMETRY);
  const double wrong[][2] = {{0, 0.7}, {-1, 0.7}, {NAN, 0.7}, {3, 0}, {3, -0.1}, {3, pi / 2}, {3, NAN}};
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
    assert_int_equal(pc_heap_volume_m3(&good, wrong[i][0], wrong[i][1], &volume), PC_ERR_RANGE);
  near_to(volume, -7, 0); /* left alone on failure */
}

static void test_zone_capacity(void **state) {
  (void)state;
  pc_zone zone = pc_zone_default();
  double capacity = -1;
  zone.at = (pc_point){1, 2};
  assert_int_equal(pc_zone_capacity_m3(&zone, degrees(45), &capacity), PC_OK);
  assert_true(isinf(capacity) && capacity > 0);
  zone.volume_m3 = 900;
  assert_int_equal(pc_zone_capacity_m3(&zone, degrees(45), &capacity), PC_OK);
  near_to(capacity, 900, 0);
  RING(outline, {0, 0}, {20, 0}, {20, 10}, {0, 10});
  zone.outline = outline;
  assert_int_equal(pc_zone_capacity_m3(&zone, degrees(45), &capacity), PC_OK);
  near_to(capacity, 900, 0);
  zone.volume_m3 = NAN;
  zone.height_m = 3;
  assert_int_equal(pc_zone_capacity_m3(&zone, degrees(45), &capacity), PC_OK);
  near_to(capacity, 366, 1e-9); /* see test_prismatoid */
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_cone),
      cmocka_unit_test(test_cone_frustum),
      cmocka_unit_test(test_ridge_with_half_cones),
      cmocka_unit_test(test_spoil_bank),
      cmocka_unit_test(test_ridge),
      cmocka_unit_test(test_prismatoid),
      cmocka_unit_test(test_steep_sides),
      cmocka_unit_test(test_reflex_corners),
      cmocka_unit_test(test_moved),
      cmocka_unit_test(test_refused),
      cmocka_unit_test(test_zone_capacity),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
