// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <geos_c.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/sum.h"
#include "site/ground.h"
#include "site/routes.h"
#include "validation.h"

#define RING(name, ...)                                                                                      \
  pc_point name##_points[] = {__VA_ARGS__};                                                                  \
  pc_ring name = {name##_points, sizeof name##_points / sizeof name##_points[0]}

static const double pi = 3.14159265358979323846;

static double degrees(double angle) {
  return angle * pi / 180;
}

static void close_to(double got, double want, double tolerance) {
  if (!(fabs(got - want) <= tolerance))
    fail_msg("got %.15g, want %.15g within %.3g (off by %.3g)", got, want, tolerance, got - want);
}

static void near_to(double got, double want, double relative) {
  close_to(got, want, relative * fabs(want));
}

/* A ring turned by `angle` about the origin, then moved. */
static pc_ring moved(const pc_ring *ring, double angle, double x, double y) {
  pc_ring other;
  assert_int_equal(pc_ring_copy(&other, ring->points, ring->count), PC_OK);
  for (size_t i = 0; i < ring->count; i++) {
    pc_point p = ring->points[i];
    other.points[i].x_m = x + p.x_m * cos(angle) - p.y_m * sin(angle);
    other.points[i].y_m = y + p.x_m * sin(angle) + p.y_m * cos(angle);
  }
  return other;
}

static pc_ring round_ring(size_t count, double radius) {
  pc_point *points = calloc(count, sizeof *points);
  assert_non_null(points);
  for (size_t i = 0; i < count; i++) {
    double angle = 2 * pi * (double)i / (double)count;
    points[i] = (pc_point){radius * cos(angle), radius * sin(angle)};
  }
  return (pc_ring){points, count};
}

static pc_ground *grid_of(const pc_ring *outline, double heading, const pc_ring *const *holes,
                          size_t hole_count, double strip, double station) {
  pc_area area = {.name = pc_name_of("lot"), .outline = *outline, .heading_rad = heading};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_ground *ground = NULL;
  pc_error error = {0};
  if (pc_ground_create(&site, holes, hole_count, strip, station, &ground, &error) != PC_OK)
    fail_msg("%s: %s", error.key, error.message);
  return ground;
}

/* No cell is negative or fuller than full; the total is as asked, to 1e-9. */
static void check_total(const pc_ground *ground, double want) {
  pc_sum total = {0, 0};
  for (size_t p = 0; p < ground->patch_count; p++) {
    const pc_patch *patch = &ground->patches[p];
    double full = patch->strip_m * patch->station_m;
    for (size_t i = 0; i < (size_t)patch->strips * (size_t)patch->stations; i++) {
      double cell = ground->cell_m2[patch->first_cell + i];
      assert_true(cell >= 0 && cell <= full * (1 + 1e-9));
      pc_sum_add(&total, cell);
    }
  }
  near_to(pc_sum_value(&total), want, 1e-9);
}

/* ---- strip width ---- */

static void test_strip_width(void **state) {
  (void)state;
  int strips = 0;
  /* One swath is cut into the fewest strips of at most 0.6 m: plain arithmetic. */
  close_to(pc_strip_width_m((double[]){4.5}, 1, &strips), 0.5625, 1e-15);
  assert_int_equal(strips, 8);
  close_to(pc_strip_width_m((double[]){4.2}, 1, &strips), 0.6, 1e-15); /* 4.2 / 0.6 is 7.000000000000001 */
  assert_int_equal(strips, 7);
  close_to(pc_strip_width_m((double[]){0.61}, 1, &strips), 0.305, 1e-15);
  assert_int_equal(strips, 2);
  close_to(pc_strip_width_m((double[]){0.4}, 1, &strips), 0.4, 0);
  close_to(pc_strip_width_m((double[]){0.1}, 1, &strips), 0.1, 0);
  assert_int_equal(strips, 1);
}

static void test_strip_width_of_several(void **state) {
  (void)state;
  int strips[3] = {0};
  /* 3.6 and 4.8 m share 0.6 m; 2.5 and 3.5 m share 0.5 m; the widest common measure up to 0.6 m. */
  close_to(pc_strip_width_m((double[]){3.6, 4.8}, 2, strips), 0.6, 1e-15);
  assert_int_equal(strips[0], 6);
  assert_int_equal(strips[1], 8);
  close_to(pc_strip_width_m((double[]){3.5, 2.5}, 2, strips), 0.5, 1e-15);
  assert_int_equal(strips[0], 7);
  assert_int_equal(strips[1], 5);
  double same = pc_strip_width_m((double[]){2.5, 3.5}, 2, strips);
  close_to(same, 0.5, 1e-15);                                        /* whatever their order */
  close_to(pc_strip_width_m((double[]){4, 0.2}, 2, strips), 0.2, 0); /* a small one rules */
  assert_int_equal(strips[0], 20);
  /* Without a common measure no box covers more than its swath, nor loses much of it. */
  const double odd[] = {4.27, 3.05, 5.49};
  double strip = pc_strip_width_m(odd, 3, strips);
  assert_true(strip >= 0.3 && strip <= 0.6);
  double worst = 1;
  for (int i = 0; i < 3; i++) {
    assert_true(strips[i] * strip <= odd[i] * (1 + 1e-9));
    worst = fmin(worst, strips[i] * strip / odd[i]);
  }
  /* Naive twin: no width of a fine scan does better. */
  for (double w = 0.3; w <= 0.6; w += 1e-5) {
    double share = 1;
    for (int i = 0; i < 3; i++)
      share = fmin(share, floor(odd[i] / w) * w / odd[i]);
    assert_true(share <= worst + 1e-9);
  }
}

static void test_strip_width_of_nonsense(void **state) {
  (void)state;
  int strips[2] = {0};
  assert_true(pc_strip_width_m((double[]){0, NAN}, 2, strips) > 0);
  assert_int_equal(strips[0], 1);
  assert_int_equal(strips[1], 1);
  assert_true(pc_strip_width_m((double[]){1e9, 3}, 2, strips) > 0);
  assert_true(strips[0] > 0 && strips[1] >= 5);
  assert_true(pc_strip_width_m((double[]){1e300, INFINITY}, 2, strips) > 0);
  assert_true(pc_strip_width_m(NULL, 0, NULL) > 0);
}

/* ---- cell areas ---- */

static void test_rectangle(void **state) {
  (void)state;
  RING(lot, {0, 0}, {250, 0}, {250, 160}, {0, 160});
  pc_ground *ground = grid_of(&lot, 0, NULL, 0, 0.5625, 2);
  const pc_patch *patch = &ground->patches[0];
  assert_int_equal(patch->strips, 285); /* 160 / 0.5625 = 284.4, shared out evenly */
  close_to(patch->strip_m, 160.0 / 285, 0);
  assert_int_equal(patch->stations, 125);
  assert_int_equal(ground->cell_count, 35625);
  close_to(patch->station_m, 2, 0);
  close_to(patch->area_m2, 40000, 1e-8);
  check_total(ground, 40000);
  for (int i = 0; i < patch->stations; i++) {
    for (int j = 0; j < 285; j++)
      close_to(ground->cell_m2[pc_patch_cell(patch, i, j)], 2 * 160.0 / 285, 1e-10);
  }
  pc_ground_free(ground);
  /* Across: 160 m long, 250 m wide; 3 m stations give 54 of 2.963 m. */
  ground = grid_of(&lot, degrees(90), NULL, 0, 0.5, 3);
  patch = &ground->patches[0];
  assert_int_equal(patch->strips, 500);
  assert_int_equal(patch->stations, 54);
  close_to(patch->station_m, 160.0 / 54, 1e-12);
  close_to(patch->u0_m, 0, 0);
  close_to(patch->v0_m, -250, 0);
  check_total(ground, 40000);
  for (size_t i = 0; i < ground->cell_count; i++)
    close_to(ground->cell_m2[i], 0.5 * 160 / 54, 1e-12);
  pc_ground_free(ground);
}

static void test_totals(void **state) {
  (void)state;
  RING(rectangle, {0, 0}, {37, 0}, {37, 23}, {0, 23});
  RING(triangle, {0, 0}, {40, 3}, {11, 31});
  RING(ell, {0, 0}, {40, 0}, {40, 20}, {20, 20}, {20, 40}, {0, 40});
  RING(sliver, {0, 0}, {100, 0.03}, {100, 0.05}, {0, 0.02});
  RING(needle, {0, 0}, {1e-3, 60}, {0, 60});
  RING(fork, {0, 0}, {40, 0}, {40, 30}, {30, 30}, {30.2, 1}, {29.8, 1}, {29, 30}, {10, 30}, {10, 29},
       {0.5, 28});
  pc_ring round = round_ring(60, 48);
  const pc_ring *rings[] = {&rectangle, &triangle, &ell, &sliver, &needle, &fork, &round};
  const double angles[] = {0, 30, 45, 90, -90, 137.3, 180, 270, 359, 1e-7, 725};
  for (size_t r = 0; r < sizeof rings / sizeof rings[0]; r++)
    for (size_t a = 0; a < sizeof angles / sizeof angles[0]; a++)
      for (int turned = 0; turned < 2; turned++) {
        /* the heading turned over the lot, then the lot with its heading */
        pc_ring ring = moved(rings[r], turned ? degrees(angles[a]) : 0, 13, -7);
        pc_ground *ground = grid_of(&ring, degrees(angles[a]), NULL, 0, 0.5625, 2);
        check_total(ground, fabs(pc_ring_area_m2(&ring)));
        pc_ground_free(ground);
        pc_ring_free(&ring);
      }
  pc_ring_free(&round);
}

static void test_far_from_origin(void **state) {
  (void)state;
  RING(triangle, {500000, 6500000}, {500200, 6500010}, {500050, 6500130});
  pc_ground *ground = grid_of(&triangle, degrees(28), NULL, 0, 0.5625, 2);
  check_total(ground, (200 * 130 - 50 * 10) / 2.0); /* half of the cross product of two sides */
  pc_ground_free(ground);
}

static void test_holes(void **state) {
  (void)state;
  RING(lot, {0, 0}, {60, 0}, {60, 40}, {0, 40});
  RING(middle, {20, 10}, {30, 10}, {30, 20}, {20, 20});
  RING(corner, {55, 35}, {70, 35}, {70, 50}, {55, 50}); /* 5 × 5 m of it lie on the lot */
  RING(over, {25, 15}, {25, 25}, {35, 25}, {35, 15});   /* overlaps `middle` by 25 m² */
  RING(away, {100, 100}, {110, 100}, {110, 110});
  RING(across, {44, -5}, {46, -5}, {46, 45}, {44, 45}); /* cuts the lot in two */
  const pc_ring *holes[] = {&middle, &corner, &over, &away, &across};
  const double angles[] = {0, 17, 90};
  for (size_t a = 0; a < 3; a++) {
    pc_ground *ground = grid_of(&lot, degrees(angles[a]), holes, 1, 0.5625, 2);
    check_total(ground, 2400 - 100);
    pc_ground_free(ground);
    ground = grid_of(&lot, degrees(angles[a]), holes, 5, 0.5625, 2);
    check_total(ground, 2400 - 100 - 25 - 75 - 80);
    pc_ground_free(ground);
    ground = grid_of(&lot, degrees(angles[a]), holes + 3, 1, 0.5625, 2);
    check_total(ground, 2400);
    pc_ground_free(ground);
  }
  RING(all, {-1, -1}, {61, -1}, {61, 41}, {-1, 41});
  const pc_ring *cover = &all;
  pc_ground *ground = grid_of(&lot, 0, &cover, 1, 0.5625, 2);
  close_to(ground->patches[0].area_m2, 0, 0);
  assert_int_equal(pc_ground_find(ground, (pc_point){30, 20}), -1);
  pc_ground_free(ground);
  /* where the hole lies, exactly */
  ground = grid_of(&lot, 0, holes, 1, 0.5, 2);
  const pc_patch *patch = &ground->patches[0];
  close_to(ground->cell_m2[pc_patch_cell(patch, 10, 20)], 0, 0);
  close_to(ground->cell_m2[pc_patch_cell(patch, 14, 39)], 0, 0);
  close_to(ground->cell_m2[pc_patch_cell(patch, 9, 20)], 1, 0);
  close_to(ground->cell_m2[pc_patch_cell(patch, 15, 39)], 1, 0);
  close_to(ground->cell_m2[pc_patch_cell(patch, 14, 40)], 1, 0);
  pc_ground_free(ground);
}

/* ---- twin: every cell cut out by GEOS ---- */

static GEOSGeometry *polygon(GEOSContextHandle_t geos, const pc_ring *ring) {
  double *flat = calloc(ring->count + 1, 2 * sizeof *flat);
  assert_non_null(flat);
  for (size_t i = 0; i <= ring->count; i++) {
    flat[2 * i] = ring->points[i % ring->count].x_m;
    flat[2 * i + 1] = ring->points[i % ring->count].y_m;
  }
  GEOSCoordSequence *sequence = GEOSCoordSeq_copyFromBuffer_r(geos, flat, (unsigned)ring->count + 1, 0, 0);
  free(flat);
  return GEOSGeom_createPolygon_r(geos, GEOSGeom_createLinearRing_r(geos, sequence), NULL, 0);
}

/* Compares all cells with the intersections of their rectangles (in the world) and the shape. */
static void check_cells(const pc_ground *ground, const pc_ring *outline, const pc_ring *hole) {
  GEOSContextHandle_t geos = GEOS_init_r();
  GEOSGeometry *shape = polygon(geos, outline), *gap = polygon(geos, hole);
  GEOSGeometry *rest = GEOSDifference_r(geos, shape, gap);
  const pc_patch *patch = &ground->patches[0];
  for (int i = 0; i < patch->stations; i++)
    for (int j = 0; j < patch->strips; j++) {
      double u = patch->u0_m + i * patch->station_m, v = patch->v0_m + j * patch->strip_m, area = -1;
      RING(cell, pc_patch_world(patch, u, v), pc_patch_world(patch, u + patch->station_m, v),
           pc_patch_world(patch, u + patch->station_m, v + patch->strip_m),
           pc_patch_world(patch, u, v + patch->strip_m));
      GEOSGeometry *box = polygon(geos, &cell), *cut = GEOSIntersection_r(geos, box, rest);
      assert_non_null(cut);
      assert_int_equal(GEOSArea_r(geos, cut, &area), 1);
      close_to(ground->cell_m2[pc_patch_cell(patch, i, j)], area, 2e-9);
      GEOSGeom_destroy_r(geos, cut);
      GEOSGeom_destroy_r(geos, box);
    }
  GEOSGeom_destroy_r(geos, rest);
  GEOSGeom_destroy_r(geos, gap);
  GEOSGeom_destroy_r(geos, shape);
  GEOS_finish_r(geos);
}

static void test_cells_against_clipping(void **state) {
  (void)state;
  pc_stream stream;
  pc_stream_start(&stream, 7, 0, 0, 0);
  for (int round = 0; round < 12; round++) {
    /* a star with random arms, and a hole that may stick out of it */
    pc_point points[15];
    pc_ring star = {points, 15};
    for (size_t i = 0; i < star.count; i++) {
      double angle = 2 * pi * (double)i / 15,
             reach = 4 + 16 * (double)(pc_stream_next(&stream) >> 40) / 16777216.0;
      points[i] = (pc_point){reach * cos(angle), reach * sin(angle)};
    }
    RING(hole, {-3, -2}, {9, -1}, {5, 4});
    const pc_ring *holes = &hole;
    double heading = round % 3 == 0 ? 0 : degrees(31 * round);
    pc_ground *ground = grid_of(&star, heading, &holes, 1, 0.9, 1.7);
    check_cells(ground, &star, &hole);
    pc_ground_free(ground);
  }
}

/* ---- metamorphic ---- */

static void check_same(const pc_ground *a, const pc_ground *b) {
  assert_int_equal(a->cell_count, b->cell_count);
  assert_int_equal(a->patches[0].strips, b->patches[0].strips);
  assert_int_equal(a->patches[0].stations, b->patches[0].stations);
  for (size_t i = 0; i < a->cell_count; i++)
    close_to(a->cell_m2[i], b->cell_m2[i], 3e-9);
}

static void test_turned_and_moved(void **state) {
  (void)state;
  RING(ell, {0, 0}, {41, 0}, {38, 20}, {20, 22}, {20, 40}, {0, 36});
  RING(pile, {5, 5}, {12, 5}, {12, 11});
  const pc_ring *holes = &pile;
  pc_ground *plain = grid_of(&ell, degrees(10), &holes, 1, 0.5625, 2);
  const double angles[] = {30, 80, 90, 180, 200.5, 400};
  for (size_t a = 0; a < sizeof angles / sizeof angles[0]; a++) {
    pc_ring other = moved(&ell, degrees(angles[a]), 1000, -333),
            hole = moved(&pile, degrees(angles[a]), 1000, -333);
    const pc_ring *other_holes = &hole;
    pc_ground *ground = grid_of(&other, degrees(10 + angles[a]), &other_holes, 1, 0.5625, 2);
    check_same(plain, ground);
    pc_ground_free(ground);
    pc_ring_free(&other);
    pc_ring_free(&hole);
  }
  /* the other turning direction, and another first corner */
  pc_point points[6];
  for (size_t i = 0; i < 6; i++)
    points[i] = ell.points[(9 - i) % 6];
  pc_ring back = {points, 6};
  pc_ground *ground = grid_of(&back, degrees(10), &holes, 1, 0.5625, 2);
  check_same(plain, ground);
  pc_ground_free(ground);
  pc_ground_free(plain);
}

static void test_mirrored(void **state) {
  (void)state;
  /* 40 × 36 m in its frame: 72 whole strips, so a mirror image has the same strips in reverse. */
  RING(shape, {0, 0}, {40, 0}, {37, 20}, {20, 22}, {20, 36}, {0, 30});
  pc_point points[6];
  for (size_t i = 0; i < 6; i++)
    points[i] = (pc_point){shape.points[i].x_m, -shape.points[i].y_m};
  pc_ring mirror = {points, 6};
  pc_ground *plain = grid_of(&shape, 0, NULL, 0, 0.5, 2), *ground = grid_of(&mirror, 0, NULL, 0, 0.5, 2);
  const pc_patch *patch = &plain->patches[0];
  assert_int_equal(patch->strips, 72);
  assert_int_equal(ground->patches[0].strips, 72);
  for (int i = 0; i < patch->stations; i++)
    for (int j = 0; j < patch->strips; j++)
      close_to(plain->cell_m2[pc_patch_cell(patch, i, j)],
               ground->cell_m2[pc_patch_cell(&ground->patches[0], i, 71 - j)], 3e-9);
  pc_ground_free(ground);
  ground = grid_of(&shape, degrees(180), NULL, 0, 0.5, 2); /* headed the other way: all reversed */
  for (size_t i = 0; i < plain->cell_count; i++)
    close_to(plain->cell_m2[i], ground->cell_m2[plain->cell_count - 1 - i], 3e-9);
  pc_ground_free(ground);
  pc_ground_free(plain);
}

/* ---- several areas, finding, faults ---- */

static void test_several_areas(void **state) {
  (void)state;
  RING(west, {0, 0}, {50, 0}, {50, 40}, {0, 40});
  RING(east, {50, 0}, {90, 0}, {90, 40}, {60, 40});
  pc_area areas[] = {{.outline = west}, {.outline = east, .heading_rad = degrees(70)}};
  pc_site site = {.areas = areas, .area_count = 2};
  pc_ground *ground = NULL;
  assert_int_equal(pc_ground_create(&site, NULL, 0, 0.5, 2, &ground, NULL), PC_OK);
  assert_int_equal(ground->patch_count, 2);
  assert_int_equal(ground->patches[0].first_cell, 0);
  assert_int_equal(ground->patches[1].first_cell, 25 * 80);
  close_to(ground->patches[0].area_m2, 2000, 1e-7);
  close_to(ground->patches[1].area_m2, 1400, 1e-7); /* 40 · (40 + 30) / 2 */
  check_total(ground, 3400);
  assert_int_equal(pc_ground_find(ground, (pc_point){25, 20}), 0);
  assert_int_equal(pc_ground_find(ground, (pc_point){49.99, 0.05}), 0);
  assert_int_equal(pc_ground_find(ground, (pc_point){75, 20}), 1);
  assert_int_equal(pc_ground_find(ground, (pc_point){0, 0}), 0);
  assert_int_equal(pc_ground_find(ground, (pc_point){0, 40}), 0);
  assert_int_equal(pc_ground_find(ground, (pc_point){90, 40}), 1);
  assert_int_equal(pc_ground_find(ground, (pc_point){52, 35}), -1); /* in the gap */
  assert_int_equal(pc_ground_find(ground, (pc_point){-1, 20}), -1);
  assert_int_equal(pc_ground_find(ground, (pc_point){NAN, 20}), -1);
  for (size_t p = 0; p < 2; p++) { /* there and back */
    double u, v;
    pc_point at = pc_patch_world(&ground->patches[p], 12.5, -3.25);
    pc_patch_local(&ground->patches[p], at, &u, &v);
    close_to(u, 12.5, 1e-13);
    close_to(v, -3.25, 1e-13);
  }
  pc_ground_free(ground);
}

static void test_refused(void **state) {
  (void)state;
  RING(lot, {0, 0}, {1e5, 0}, {1e5, 1e5}, {0, 1e5});
  RING(bow, {0, 0}, {10, 10}, {10, 0}, {0, 10.5});
  RING(line, {0, 0}, {10, 0}, {5, 0});
  pc_area area = {.name = pc_name_of("lot"), .outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_ground *ground = (pc_ground *)&site;
  pc_error error = {0};
  assert_int_equal(pc_ground_create(&site, NULL, 0, 0.5, 2, &ground, &error), PC_ERR_LIMIT);
  assert_null(ground);
  assert_string_equal(error.key, "site.areas[0].outline");
  assert_non_null(strstr(error.message, "5000000"));
  area.outline = bow;
  assert_int_equal(pc_ground_create(&site, NULL, 0, 0.5, 2, &ground, &error), PC_ERR_GEOMETRY);
  assert_null(ground);
  assert_non_null(strstr(error.message, "lot"));
  area.outline = line;
  assert_int_equal(pc_ground_create(&site, NULL, 0, 0.5, 2, &ground, &error), PC_ERR_GEOMETRY);
  assert_int_equal(pc_ground_create(&site, NULL, 0, 0, 2, &ground, &error), PC_ERR_RANGE);
  assert_int_equal(pc_ground_create(&site, NULL, 0, 0.5, NAN, &ground, &error), PC_ERR_RANGE);
  /* 1e9 strips × 1e9 stations must not wrap round into something small */
  area.outline = lot;
  assert_int_equal(pc_ground_create(&site, NULL, 0, 1e-4, 1e-4, &ground, &error), PC_ERR_LIMIT);
  pc_ground_free(NULL);
}

/* ---- mean distances ---- */

/* Mean over the grid of the way from cell centres to a point zone. */
static double mean_way(const pc_ring *lot, double cell, pc_point to) {
  pc_ground *ground = grid_of(lot, 0, NULL, 0, cell, cell);
  pc_area area = {.outline = *lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone zone = pc_zone_default();
  zone.at = to;
  const pc_zone *zones = &zone;
  pc_routes *routes = NULL;
  assert_int_equal(pc_routes_straight(&site, &zones, 1, &routes), PC_OK);
  const pc_patch *patch = &ground->patches[0];
  pc_sum sum = {0, 0};
  for (int i = 0; i < patch->stations; i++)
    for (int j = 0; j < patch->strips; j++) {
      double u = patch->u0_m + (i + 0.5) * patch->station_m, v = patch->v0_m + (j + 0.5) * patch->strip_m;
      pc_place place = pc_place_at(pc_patch_world(patch, u, v));
      pc_way way;
      pc_routes_to_zone(routes, &place, 0, &way);
      pc_sum_add(&sum, way.length_m * ground->cell_m2[pc_patch_cell(patch, i, j)]);
    }
  double mean = pc_sum_value(&sum) / patch->area_m2;
  pc_routes_free(routes);
  pc_ground_free(ground);
  return mean;
}

static double to_corner(double w, double h) {
  double d = hypot(w, h);
  return d / 3 + w * w / (6 * h) * asinh(h / w) + h * h / (6 * w) * asinh(w / h);
}

/* Mean from a W × H rectangle at the origin to any point: its four corners' rectangles, with signs outside.
 */
static double to_point(double w, double h, double x, double y) {
  const double sides[2] = {x, w - x}, heights[2] = {y, h - y};
  double sum = 0;
  for (int i = 0; i < 2; i++)
    for (int j = 0; j < 2; j++)
      if (sides[i] != 0 && heights[j] != 0)
        sum += sides[i] * heights[j] * to_corner(fabs(sides[i]), fabs(heights[j]));
  return sum / (w * h);
}

static void check_mean(double w, double h, double x, double y, double want) {
  RING(lot, {0, 0}, {w, 0}, {w, h}, {0, h});
  /* Midpoint rule: off by cell²/24 · mean of 1/distance, about 1e-3 m at most with 0.5 m cells. */
  char what[120];
  snprintf(what, sizeof what, "mean distance of a grid, %g x %g m, to (%g, %g), m", w, h, x, y);
  assert_published("Mean distance in a rectangle, closed form (unit square: MathWorld, Square Point Picking)",
                   what, mean_way(&lot, 0.5, (pc_point){x, y}), want, 1e-3);
  close_to(to_point(w, h, x, y), want, 1e-5); /* five decimals given */
}

static void test_mean_distance_of_rectangles(void **state) {
  (void)state;
  /* d/3 + W²/(6H)·asinh(H/W) + H²/(6W)·asinh(W/H) to a corner, with d the diagonal; the unit square is
   * MathWorld, "Square Point Picking": corner 0.7651957, centre 0.3825979, middle of a side 0.5932334. */
  close_to(to_corner(1, 1), 0.7651957, 5e-8);
  close_to(to_point(1, 1, 0.5, 0.5), 0.3825979, 5e-8);
  close_to(to_point(1, 1, 0.5, 0), 0.5932334, 5e-8);
  const double rows[][6] = {/* W, H; centre, corner, middle of a W side, middle of an H side */
                            {100, 100, 38.25979, 76.51957, 59.32334, 59.32334},
                            {150, 80, 45.23486, 90.46971, 59.32141, 80.07290},
                            {200, 100, 59.32334, 118.64668, 76.51957, 106.07794},
                            {300, 100, 82.31463, 164.62926, 96.81061, 154.61155}};
  for (size_t i = 0; i < 4; i++) {
    double w = rows[i][0], h = rows[i][1];
    check_mean(w, h, w / 2, h / 2, rows[i][2]);
    check_mean(w, h, 0, 0, rows[i][3]);
    check_mean(w, h, w, h, rows[i][3]);
    check_mean(w, h, w / 2, 0, rows[i][4]);
    check_mean(w, h, w, h / 2, rows[i][5]);
  }
  check_mean(200, 100, 50, 0, 87.43879);
  check_mean(200, 100, 100, -20, 90.84076); /* beside the lot */
  check_mean(200, 100, -50, 50, 153.22442);
}

static void test_mean_distance_of_disc(void **state) {
  (void)state;
  /* Disc: 2R/3 (elementary). A regular n-gon, half angle b = π/n, apothem a: a·(sec b + asinh(tan b)/tan
   * b)/3. */
  pc_ring disc = round_ring(360, 50);
  double b = pi / 360, a = 50 * cos(b);
  double want = a / 3 * (1 / cos(b) + asinh(tan(b)) / tan(b));
  /* The centre of a cut cell lies a little outside: half a cell's depth on the rim's share of the area. */
  close_to(mean_way(&disc, 0.25, (pc_point){0, 0}), want, 1e-3);
  close_to(want, 100.0 / 3, 2e-3);
  pc_ring_free(&disc);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_strip_width),
      cmocka_unit_test(test_strip_width_of_several),
      cmocka_unit_test(test_strip_width_of_nonsense),
      cmocka_unit_test(test_rectangle),
      cmocka_unit_test(test_totals),
      cmocka_unit_test(test_far_from_origin),
      cmocka_unit_test(test_holes),
      cmocka_unit_test(test_cells_against_clipping),
      cmocka_unit_test(test_turned_and_moved),
      cmocka_unit_test(test_mirrored),
      cmocka_unit_test(test_several_areas),
      cmocka_unit_test(test_refused),
      cmocka_unit_test(test_mean_distance_of_rectangles),
      cmocka_unit_test(test_mean_distance_of_disc),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
