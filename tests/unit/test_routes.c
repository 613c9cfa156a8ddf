// SPDX-License-Identifier: GPL-3.0-or-later
/* Distances between points and filled polygons are elementary geometry; each number can be worked out from
 * the corners beside it. Mean distances over rectangles and discs (published) are checked in test_ground.c.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "site/routes.h"

#define RING(name, ...)                                                                                      \
  pc_point name##_points[] = {__VA_ARGS__};                                                                  \
  pc_ring name = {name##_points, sizeof name##_points / sizeof name##_points[0]}

static void close_to(double got, double want, double tolerance) {
  if (!(fabs(got - want) <= tolerance))
    fail_msg("got %.15g, want %.15g within %.3g", got, want, tolerance);
}

static pc_zone zone_of(const char *name, pc_ring outline) {
  pc_zone zone = pc_zone_default();
  zone.name = pc_name_of(name);
  zone.outline = outline;
  return zone;
}

static pc_zone point_of(const char *name, double x, double y) {
  pc_zone zone = pc_zone_default();
  zone.name = pc_name_of(name);
  zone.at = (pc_point){x, y};
  return zone;
}

static void test_ways(void **state) {
  (void)state;
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(side, {100, 0}, {110, 0}, {110, 50}, {100, 50});
  pc_area area = {.outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone face = zone_of("east side", side), point = point_of("corner", 3, 4);
  const pc_zone *zones[] = {&face, &point};
  pc_routes *routes = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_routes_straight(&site, zones, 2, &routes, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  assert_int_equal(routes->zone_count, 2);
  assert_string_equal(routes->kind->name, "straight");
  pc_point end;
  close_to(pc_routes_to_zone(routes, (pc_point){40, 20}, 0, &end), 60, 0);
  close_to(end.x_m, 100, 0);
  close_to(end.y_m, 20, 1e-15);
  close_to(pc_routes_to_zone(routes, (pc_point){97, -4}, 0, &end), 5, 1e-15); /* 3-4-5 to the corner */
  close_to(end.x_m, 100, 0);
  close_to(end.y_m, 0, 0);
  close_to(pc_routes_to_zone(routes, (pc_point){105, 20}, 0, &end), 0, 0); /* already there */
  close_to(end.x_m, 105, 0);
  close_to(end.y_m, 20, 0);
  close_to(pc_routes_to_zone(routes, (pc_point){0, 0}, 1, &end), 5, 1e-15);
  close_to(end.x_m, 3, 0);
  close_to(end.y_m, 4, 0);
  close_to(pc_routes_between(routes, (pc_point){1, 1}, (pc_point){6, 13}), 13, 0); /* 5-12-13 */
  pc_routes_free(routes);
  pc_routes_free(NULL);
  pc_faults_free(&faults);
}

static void test_against_plain_distance(void **state) {
  (void)state;
  /* Naive twin: the ring's own distance, over a reflex outline in both turning directions. */
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(ell, {10, 10}, {40, 12}, {41, 20}, {20, 21}, {22, 40}, {11, 39});
  RING(back, {11, 39}, {22, 40}, {20, 21}, {41, 20}, {40, 12}, {10, 10}, {10, 10});
  pc_area area = {.outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone a = zone_of("a", ell), b = zone_of("b", back);
  const pc_zone *zones[] = {&a, &b};
  pc_routes *routes = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_routes_straight(&site, zones, 2, &routes, &faults), PC_OK);
  pc_stream stream;
  pc_stream_start(&stream, 3, 0, 0, 0);
  for (int i = 0; i < 20000; i++) {
    pc_point from = {(double)(pc_stream_next(&stream) >> 40) / 16777216.0 * 60 - 5,
                     (double)(pc_stream_next(&stream) >> 40) / 16777216.0 * 60 - 5};
    if (i % 7 == 0)
      from.y_m = ell.points[i % 6].y_m; /* level with a corner */
    pc_point near, end;
    double want = pc_ring_distance_m(&ell, from, &near);
    for (size_t z = 0; z < 2; z++) {
      close_to(pc_routes_to_zone(routes, from, z, &end), want, 1e-12);
      close_to(hypot(end.x_m - from.x_m, end.y_m - from.y_m), want, 1e-12);
    }
  }
  pc_routes_free(routes);
  pc_faults_free(&faults);
}

/* Cautions that routes over this site bring; *text holds the last one. */
static size_t cautions(const pc_site *site, const pc_zone *const *zones, size_t count,
                       char text[PC_MESSAGE_MAX]) {
  pc_routes *routes = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_routes_straight(site, zones, count, &routes, &faults), PC_OK);
  assert_non_null(routes);
  assert_int_equal(pc_faults_fatal(&faults), 0);
  size_t found = faults.count;
  text[0] = '\0';
  for (size_t i = 0; i < found; i++) {
    assert_true(faults.items[i].caution);
    assert_string_equal(faults.items[i].key, "site");
    memcpy(text, faults.items[i].message, PC_MESSAGE_MAX);
  }
  pc_routes_free(routes);
  pc_faults_free(&faults);
  return found;
}

static void test_pavement_with_notches(void **state) {
  (void)state;
  char text[PC_MESSAGE_MAX];
  RING(ell, {0, 0}, {100, 0}, {100, 50}, {50, 50}, {50, 100}, {0, 100});
  RING(rest, {50, 50}, {100, 50}, {100, 100}, {50, 100});
  pc_area areas[] = {{.outline = ell}, {.outline = rest}};
  pc_site site = {.areas = areas, .area_count = 1};
  assert_int_equal(cautions(&site, NULL, 0, text), 1);
  assert_non_null(strstr(text, "notches"));
  site.area_count = 2; /* a second area fills the notch */
  assert_int_equal(cautions(&site, NULL, 0, text), 0);
  pc_ground_outline apron = {.outline = rest}; /* so does pavement that isn't cleared, or a zone */
  site = (pc_site){.areas = areas, .area_count = 1, .ground = &apron, .ground_count = 1};
  assert_int_equal(cautions(&site, NULL, 0, text), 0);
  pc_zone zone = zone_of("yard", rest);
  const pc_zone *zones = &zone;
  site = (pc_site){.areas = areas, .area_count = 1};
  assert_int_equal(cautions(&site, &zones, 1, text), 0);
  /* 0.1 %: a 100 × 100 m lot less a triangular notch in one side, 4 m wide and 4 or 6 m deep: 8 or 12 m². */
  RING(shallow, {0, 0}, {100, 0}, {100, 100}, {52, 100}, {50, 96}, {48, 100}, {0, 100});
  RING(deep, {0, 0}, {100, 0}, {100, 100}, {52, 100}, {50, 94}, {48, 100}, {0, 100});
  areas[0].outline = shallow;
  assert_int_equal(cautions(&site, NULL, 0, text), 0);
  areas[0].outline = deep;
  assert_int_equal(cautions(&site, NULL, 0, text), 1);
  /* two lots apart: a straight line between them leaves the pavement */
  RING(far, {120, 0}, {150, 0}, {150, 50}, {120, 50});
  RING(block, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  areas[0].outline = block;
  areas[1].outline = far;
  site.area_count = 2;
  assert_int_equal(cautions(&site, NULL, 0, text), 1);
}

static void test_zones_in_the_way(void **state) {
  (void)state;
  char text[PC_MESSAGE_MAX];
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(middle, {40, 20}, {50, 20}, {50, 30}, {40, 30});
  RING(edge, {40, 0}, {60, 0}, {60, 10}, {40, 10});
  RING(south_west, {0, 0}, {50, 0}, {50, 5}, {0, 5});
  RING(south_east, {50, 0}, {100, 0}, {100, 5}, {50, 5});
  RING(speck, {40, 20}, {40.7, 20}, {40.7, 20.7}, {40, 20.7}); /* 0.49 m² */
  RING(wedge, {0, 50}, {0, 30}, {20, 50});                     /* cuts off a corner: the rest is convex */
  pc_area area = {.outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone at_middle = zone_of("mid heap", middle), at_edge = zone_of("kerb heap", edge),
          west = zone_of("west", south_west), east = zone_of("east", south_east),
          small = zone_of("speck", speck), corner = zone_of("wedge", wedge),
          point = point_of("point", 50, 25);
  const pc_zone *zones[4] = {&point};
  assert_int_equal(cautions(&site, zones, 1, text), 0); /* a point is in nobody's way */
  zones[0] = &small;
  assert_int_equal(cautions(&site, zones, 1, text), 0);
  zones[0] = &corner;
  assert_int_equal(cautions(&site, zones, 1, text), 0);
  zones[1] = &at_middle;
  assert_int_equal(cautions(&site, zones, 2, text), 1);
  assert_non_null(strstr(text, "\"mid heap\" lies"));
  assert_null(strstr(text, "wedge"));
  zones[0] = &at_edge;
  assert_int_equal(cautions(&site, zones, 2, text), 1);
  assert_non_null(strstr(text, "\"kerb heap\", \"mid heap\" lie "));
  zones[0] = &west; /* half a side is in the way of the other half… */
  assert_int_equal(cautions(&site, zones, 1, text), 1);
  assert_non_null(strstr(text, "\"west\" lies"));
  zones[1] = &east; /* … but a whole side is in nobody's */
  assert_int_equal(cautions(&site, zones, 2, text), 0);
  pc_zone more[5];
  const pc_zone *many[5];
  pc_point squares[5][4];
  for (size_t i = 0; i < 5; i++) {
    double x = 10 + 15 * (double)i;
    char name[] = {'z', (char)('0' + i), '\0'};
    squares[i][0] = (pc_point){x, 20};
    squares[i][1] = (pc_point){x + 10, 20};
    squares[i][2] = (pc_point){x + 10, 30};
    squares[i][3] = (pc_point){x, 30};
    more[i] = zone_of(name, (pc_ring){squares[i], 4});
    many[i] = &more[i];
  }
  assert_int_equal(cautions(&site, many, 5, text), 1);
  assert_non_null(strstr(text, "\"z0\", \"z1\", \"z2\" and 2 more lie"));
}

static void test_zones_beside_the_lot(void **state) {
  (void)state;
  char text[PC_MESSAGE_MAX];
  /* A heap beyond the kerb: the pavement with it has a bay, but it stands in no way across the lot. */
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(beyond, {40, 50}, {60, 50}, {60, 60}, {40, 60});
  pc_area area = {.outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone zone = zone_of("verge", beyond);
  const pc_zone *zones = &zone;
  assert_int_equal(cautions(&site, &zones, 1, text), 1);
  assert_non_null(strstr(text, "bays"));
}

static void test_refused(void **state) {
  (void)state;
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(hall, {40, 20}, {60, 20}, {60, 30}, {40, 30});
  RING(two, {0, 0}, {10, 10});
  pc_area area = {.outline = lot};
  pc_obstacle obstacle = {.name = pc_name_of("hall"), .outline = hall};
  pc_site site = {.areas = &area, .area_count = 1, .obstacles = &obstacle, .obstacle_count = 1};
  pc_routes *routes = (pc_routes *)(void *)&site;
  pc_faults faults = {0};
  assert_int_equal(pc_routes_straight(&site, NULL, 0, &routes, &faults), PC_ERR_GEOMETRY);
  assert_null(routes);
  assert_true(pc_faults_has_key(&faults, "site.obstacles"));
  pc_faults_free(&faults);
  site.obstacle_count = 0;
  pc_zone zone = zone_of("broken", two);
  const pc_zone *zones = &zone;
  assert_int_equal(pc_routes_straight(&site, &zones, 1, &routes, &faults), PC_ERR_GEOMETRY);
  assert_null(routes);
  assert_true(pc_faults_has_key(&faults, "site"));
  pc_faults_free(&faults);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_ways),
      cmocka_unit_test(test_against_plain_distance),
      cmocka_unit_test(test_pavement_with_notches),
      cmocka_unit_test(test_zones_in_the_way),
      cmocka_unit_test(test_zones_beside_the_lot),
      cmocka_unit_test(test_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
