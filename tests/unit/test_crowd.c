// SPDX-License-Identifier: GPL-3.0-or-later
/* Shapes of thousands of pieces against the plain calls of GEOS on the whole shape: the same ground to within
 * rounding, and below a crowd the same points. Then that thousands of poles in a heap take time about as
 * their number. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <time.h>

#include "base/memory.h"
#include "site/blocked.h"
#include "site/crowd.h"

static const double share_apart =
    1e-7; /* of the area: where outlines cross often GEOS falls back to a grid */

static double share(uint64_t *state) {
  *state = *state * 6364136223846793005u + 1442695040888963407u;
  return (double)(*state >> 11) * 0x1p-53;
}

/* Octagons, some of them over others, on length × width. */
static pc_ring *scatter(size_t count, double length_m, double width_m, uint64_t seed) {
  pc_ring *rings = pc_alloc(count, sizeof *rings);
  assert_non_null(rings);
  for (size_t i = 0; i < count; i++) {
    pc_point at = {length_m * share(&seed), width_m * share(&seed)};
    assert_int_equal(pc_ring_round(at, 0.05 + 0.3 * share(&seed), &rings[i]), PC_OK);
  }
  return rings;
}

static void free_rings(pc_ring *rings, size_t count) {
  for (size_t i = 0; i < count; i++)
    pc_ring_free(&rings[i]);
  free(rings);
}

static GEOSGeometry **polygons(pc_geos *geos, const pc_ring *rings, size_t count) {
  GEOSGeometry **items = pc_alloc(count, sizeof(GEOSGeometry *));
  assert_non_null(items);
  for (size_t i = 0; i < count; i++)
    assert_non_null(items[i] = pc_geos_polygon(geos, &rings[i]));
  return items;
}

/* The union as GEOS makes it of all at once. */
static GEOSGeometry *joined_at_once(pc_geos *geos, const pc_ring *rings, size_t count) {
  GEOSGeometry **items = polygons(geos, rings, count), *made = pc_geos_joined(geos, items, count);
  assert_non_null(made);
  free(items);
  return made;
}

static GEOSGeometry *grown_at_once(pc_geos *geos, const GEOSGeometry *shape, double by_m) {
  return GEOSBufferWithStyle_r(geos->handle, shape, by_m, 8, GEOSBUF_CAP_ROUND, GEOSBUF_JOIN_MITRE, 1.5);
}

/* Takes both. */
static void assert_alike(pc_geos *geos, GEOSGeometry *made, GEOSGeometry *plain, bool to_the_point) {
  double area_m2 = 0, apart_m2 = 0;
  assert_non_null(made);
  assert_non_null(plain);
  assert_int_equal(GEOSisValid_r(geos->handle, made), 1);
  GEOSGeometry *apart = GEOSSymDifference_r(geos->handle, made, plain);
  assert_non_null(apart);
  assert_true(pc_geos_areas(geos, apart, &apart_m2, NULL) && pc_geos_areas(geos, plain, &area_m2, NULL));
  assert_true(area_m2 > 1);
  assert_true(apart_m2 < share_apart * area_m2);
  if (to_the_point)
    assert_int_equal(GEOSEqualsExact_r(geos->handle, made, plain, 0), 1);
  pc_geos_drop_all(geos, (GEOSGeometry *[]){made, plain, apart}, 3);
}

static void try_all(size_t count, double length_m, double width_m, bool to_the_point) {
  pc_geos geos;
  assert_true(pc_geos_start(&geos));
  pc_ring *rings = scatter(count, length_m, width_m, count);
  GEOSGeometry **items = polygons(&geos, rings, count);
  GEOSGeometry *shape = joined_at_once(&geos, rings, count);
  assert_alike(&geos, pc_crowd_joined(&geos, items, count), joined_at_once(&geos, rings, count),
               to_the_point);
  free(items);
  for (double by_m = 0.5; by_m < 2.5; by_m *= 2) {
    GEOSGeometry *big = grown_at_once(&geos, shape, by_m);
    assert_alike(&geos, pc_crowd_grown(&geos, big, -by_m, 1.5), grown_at_once(&geos, big, -by_m),
                 to_the_point);
    assert_alike(&geos, pc_crowd_grown(&geos, shape, by_m, 1.5), big, to_the_point);
  }
  /* ground with the pieces as holes, some of them cut by its edge; and a frame around it */
  GEOSGeometry *ground = GEOSGeom_createRectangle_r(geos.handle, -10, 0.2, length_m + 10, width_m + 10);
  GEOSGeometry *left = GEOSDifference_r(geos.handle, ground, shape);
  assert_alike(&geos, pc_crowd_grown(&geos, left, -1, 1.5), grown_at_once(&geos, left, -1), to_the_point);
  assert_alike(&geos, pc_crowd_union(&geos, shape, ground, 1e-8),
               GEOSUnionPrec_r(geos.handle, shape, ground, 1e-8), to_the_point);
  GEOSGeometry *edge = GEOSGeom_createRectangle_r(geos.handle, -1, -1, 0.5 * length_m, 0.3 * width_m);
  assert_alike(&geos, pc_crowd_union(&geos, edge, shape, 1e-8),
               GEOSUnionPrec_r(geos.handle, edge, shape, 1e-8), to_the_point);
  pc_geos_drop_all(&geos, (GEOSGeometry *[]){shape, ground, left, edge}, 4);
  free_rings(rings, count);
  pc_geos_stop(&geos);
}

static void test_plain(void **state) {
  (void)state;
  try_all(40, 30, 20, true);    /* few */
  try_all(500, 300, 200, true); /* many, far apart */
}

static void test_crowds(void **state) {
  (void)state;
  try_all(300, 24, 16, false);
  try_all(1100, 60, 40, false);
  try_all(1100, 300, 200, false);
}

/* Parts of parts: an island in a hole stays when its ground shrinks, though the hole alone would cover it. */
static void test_island(void **state) {
  (void)state;
  pc_geos geos;
  assert_true(pc_geos_start(&geos));
  const size_t count = 300;
  pc_ring *rings = scatter(count, 24, 16, 7);
  GEOSGeometry *holes = joined_at_once(&geos, rings, count);
  GEOSGeometry *ground = GEOSGeom_createRectangle_r(geos.handle, -60, -10, 34, 26);
  GEOSGeometry *pit = GEOSGeom_createRectangle_r(geos.handle, -50, -5, -20, 20);
  GEOSGeometry *island = GEOSGeom_createRectangle_r(geos.handle, -45, 0, -25, 15);
  GEOSGeometry *without = GEOSDifference_r(geos.handle, ground, holes);
  GEOSGeometry *around = without ? GEOSDifference_r(geos.handle, without, pit) : NULL;
  GEOSGeometry *shape = around ? GEOSUnion_r(geos.handle, around, island) : NULL;
  assert_non_null(shape);
  assert_alike(&geos, pc_crowd_grown(&geos, shape, -1, 1.5), grown_at_once(&geos, shape, -1), false);
  pc_geos_drop_all(&geos, (GEOSGeometry *[]){holes, ground, pit, island, without, around, shape}, 7);
  free_rings(rings, count);
  pc_geos_stop(&geos);
}

static double blocked_s(size_t poles) {
  pc_point corners[] = {{0, 0}, {40, 0}, {40, 20}, {0, 20}};
  pc_area area = {.outline = {corners, 4}};
  pc_site site = {.areas = &area, .area_count = 1, .obstacle_count = poles};
  pc_blocked blocked;
  uint64_t seed = 1;
  site.obstacles = pc_alloc(poles, sizeof *site.obstacles);
  assert_non_null(site.obstacles);
  for (size_t i = 0; i < poles; i++)
    site.obstacles[i] = (pc_obstacle){
        .kind = PC_OBSTACLE_POLE, .at = {40 * share(&seed), 20 * share(&seed)}, .radius_m = 0.1};
  clock_t start = clock();
  assert_int_equal(pc_blocked_make(&site, NULL, 0, (pc_clearance){2.1, true, false, NULL}, &blocked), PC_OK);
  double took_s = (double)(clock() - start) / CLOCKS_PER_SEC;
  assert_true(pc_legs_inside(&blocked.tight, (pc_point){20, 10}));
  pc_blocked_free(&blocked);
  free(site.obstacles);
  return took_s;
}

/* Eight times the poles: 8 × ln 4000 / ln 500 = 11 times the work at n log n; 64 times at n². */
static void test_growth(void **state) {
  (void)state;
  double least = INFINITY;
  for (int i = 0; i < 3; i++)
    least = fmin(least, blocked_s(4000) / blocked_s(500));
  print_message("4000 poles take %.1f times what 500 take\n", least);
  assert_true(least < 20);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_plain), cmocka_unit_test(test_crowds),
                                     cmocka_unit_test(test_island), cmocka_unit_test(test_growth)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
