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

static pc_routes *straight_over(const pc_site *site, const pc_zone *const *zones, size_t count) {
  pc_routes *routes = NULL;
  assert_int_equal(pc_routes_straight(site, zones, count, &routes), PC_OK);
  assert_non_null(routes);
  return routes;
}

/* The way to a zone; whatever else it says must fit its length and end. */
static double to_zone(const pc_routes *routes, pc_point from, size_t zone, pc_point *end) {
  pc_place place = pc_place_at(from);
  pc_way way;
  pc_point points[PC_WAY_POINTS_MAX];
  pc_routes_to_zone(routes, &place, zone, &way);
  close_to(way.bends_rad, 0, 0);
  assert_int_equal(way.out, PC_NO_CORNER);
  assert_int_equal(way.in, PC_NO_CORNER);
  assert_memory_equal(&way.first, &way.end, sizeof way.end);
  assert_memory_equal(&way.last, &from, sizeof from);
  assert_int_equal(pc_routes_path(routes, from, &way, points), 2);
  assert_memory_equal(&points[0], &from, sizeof from);
  assert_memory_equal(&points[1], &way.end, sizeof way.end);
  *end = way.end;
  return way.length_m;
}

static double between(const pc_routes *routes, pc_point from, pc_point to) {
  pc_place start = pc_place_at(from), end = pc_place_at(to);
  pc_outlook outlook;
  pc_way way;
  pc_routes_look(routes, &start, false, &outlook);
  pc_routes_between(routes, &outlook, &end, &way);
  assert_memory_equal(&way.end, &to, sizeof to);
  assert_memory_equal(&way.last, &from, sizeof from);
  return way.length_m;
}

static void test_ways(void **state) {
  (void)state;
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(side, {100, 0}, {110, 0}, {110, 50}, {100, 50});
  pc_area area = {.outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone face = zone_of("east side", side), point = point_of("corner", 3, 4);
  const pc_zone *zones[] = {&face, &point};
  pc_routes *routes = straight_over(&site, zones, 2);
  assert_int_equal(routes->zone_count, 2);
  assert_string_equal(routes->kind->name, "straight");
  pc_point end;
  close_to(to_zone(routes, (pc_point){40, 20}, 0, &end), 60, 0);
  close_to(end.x_m, 100, 0);
  close_to(end.y_m, 20, 1e-15);
  close_to(to_zone(routes, (pc_point){97, -4}, 0, &end), 5, 1e-15); /* 3-4-5 to the corner */
  close_to(end.x_m, 100, 0);
  close_to(end.y_m, 0, 0);
  close_to(to_zone(routes, (pc_point){105, 20}, 0, &end), 0, 0); /* already there */
  close_to(end.x_m, 105, 0);
  close_to(end.y_m, 20, 0);
  close_to(to_zone(routes, (pc_point){0, 0}, 1, &end), 5, 1e-15);
  close_to(end.x_m, 3, 0);
  close_to(end.y_m, 4, 0);
  close_to(between(routes, (pc_point){1, 1}, (pc_point){6, 13}), 13, 0); /* 5-12-13 */
  assert_true(pc_routes_clear(routes, (pc_point){1, 1}, (pc_point){6, 13}));
  assert_true(pc_routes_face_node(routes, 0, (pc_point){100, 20}) == PC_NO_NODE);
  pc_routes_free(routes);
  pc_routes_free(NULL);
}

/* Of a zone, only the sides with pavement beside them take loads. */
static void test_faces(void **state) {
  (void)state;
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(apron, {110, 20}, {120, 20}, {120, 40}, {110, 40});
  RING(side, {100, 50}, {110, 50}, {110, 0}, {100, 0}); /* clockwise */
  RING(heap, {20, 20}, {30, 20}, {30, 25}, {20, 25});
  pc_area area = {.outline = lot};
  pc_ground_outline ground = {.outline = apron};
  pc_site site = {.areas = &area, .area_count = 1, .ground = &ground, .ground_count = 1};
  pc_zone beside = zone_of("beside", side), within = zone_of("within", heap), point = point_of("p", 3, 4);
  const pc_zone *zones[] = {&beside, &within, &point};
  pc_routes *routes = straight_over(&site, zones, 3);
  const pc_faces *faces = &routes->faces;
  assert_int_equal(faces->zone_count, 3);
  double length[3] = {0, 0, 0};
  for (size_t z = 0; z < 3; z++)
    for (size_t k = faces->first[z]; k < faces->first[z + 1]; k++)
      length[z] +=
          hypot(faces->items[k].b.x_m - faces->items[k].a.x_m, faces->items[k].b.y_m - faces->items[k].a.y_m);
  close_to(length[0], 50 + 20, 1e-9); /* the west side whole, the east side along the apron */
  close_to(faces->depth_m[0], 500.0 / 70, 1e-9);
  close_to(length[1], 30, 1e-9); /* all round */
  close_to(faces->depth_m[1], 50.0 / 30, 1e-9);
  close_to(length[2], 0, 0);
  close_to(faces->depth_m[2], 0, 0);
  assert_int_equal(faces->first[3] - faces->first[2], 1);
  pc_point at;
  size_t face = 99;
  close_to(pc_faces_nearest_m(faces, 0, (pc_point){125, 50}, &at, &face), hypot(15, 10), 1e-12);
  close_to(at.x_m, 110, 0);
  close_to(at.y_m, 40, 1e-12);
  assert_true(face >= faces->first[0] && face < faces->first[1]);
  pc_routes_free(routes);
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
  pc_routes *routes = straight_over(&site, zones, 2);
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
      close_to(to_zone(routes, from, z, &end), want, 1e-12);
      close_to(hypot(end.x_m - from.x_m, end.y_m - from.y_m), want, 1e-12);
    }
  }
  pc_routes_free(routes);
}

static bool may_be_straight(const pc_site *site, const pc_zone *const *zones, size_t count) {
  bool straight = false;
  assert_int_equal(pc_routes_may_be_straight(site, zones, count, &straight), PC_OK);
  return straight;
}

static void test_pavement_with_notches(void **state) {
  (void)state;
  RING(ell, {0, 0}, {100, 0}, {100, 50}, {50, 50}, {50, 100}, {0, 100});
  RING(rest, {50, 50}, {100, 50}, {100, 100}, {50, 100});
  pc_area areas[] = {{.outline = ell}, {.outline = rest}};
  pc_site site = {.areas = areas, .area_count = 1};
  assert_false(may_be_straight(&site, NULL, 0));
  site.area_count = 2; /* a second area fills the notch */
  assert_true(may_be_straight(&site, NULL, 0));
  pc_ground_outline apron = {.outline = rest}; /* so does pavement that isn't cleared, or a zone */
  site = (pc_site){.areas = areas, .area_count = 1, .ground = &apron, .ground_count = 1};
  assert_true(may_be_straight(&site, NULL, 0));
  pc_zone zone = zone_of("yard", rest);
  const pc_zone *zones = &zone;
  site = (pc_site){.areas = areas, .area_count = 1};
  assert_true(may_be_straight(&site, &zones, 1));
  /* 0.1 %: a 100 × 100 m lot less a triangular notch in one side, 4 m wide and 4 or 6 m deep: 8 or 12 m². */
  RING(shallow, {0, 0}, {100, 0}, {100, 100}, {52, 100}, {50, 96}, {48, 100}, {0, 100});
  RING(deep, {0, 0}, {100, 0}, {100, 100}, {52, 100}, {50, 94}, {48, 100}, {0, 100});
  areas[0].outline = shallow;
  assert_true(may_be_straight(&site, NULL, 0));
  areas[0].outline = deep;
  assert_false(may_be_straight(&site, NULL, 0));
  /* two lots apart: a straight line between them leaves the pavement */
  RING(far, {120, 0}, {150, 0}, {150, 50}, {120, 50});
  RING(block, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  areas[0].outline = block;
  areas[1].outline = far;
  site.area_count = 2;
  assert_false(may_be_straight(&site, NULL, 0));
}

static void test_zones_in_the_way(void **state) {
  (void)state;
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
  assert_true(may_be_straight(&site, zones, 1)); /* a point is in nobody's way */
  zones[0] = &small;
  assert_true(may_be_straight(&site, zones, 1));
  zones[0] = &corner;
  assert_true(may_be_straight(&site, zones, 1));
  zones[1] = &at_middle;
  assert_false(may_be_straight(&site, zones, 2));
  zones[0] = &at_edge;
  assert_false(may_be_straight(&site, zones, 2));
  zones[0] = &west; /* half a side is in the way of the other half… */
  assert_false(may_be_straight(&site, zones, 1));
  zones[1] = &east; /* … but a whole side is in nobody's */
  assert_true(may_be_straight(&site, zones, 2));
}

static void test_zones_beside_the_lot(void **state) {
  (void)state;
  /* A heap beyond the kerb: the pavement with it has a bay, but it stands in no way across the lot. */
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(beyond, {40, 50}, {60, 50}, {60, 60}, {40, 60});
  pc_area area = {.outline = lot};
  pc_site site = {.areas = &area, .area_count = 1};
  pc_zone zone = zone_of("verge", beyond);
  const pc_zone *zones = &zone;
  assert_false(may_be_straight(&site, &zones, 1));
}

static void test_refused(void **state) {
  (void)state;
  RING(lot, {0, 0}, {100, 0}, {100, 50}, {0, 50});
  RING(hall, {40, 20}, {60, 20}, {60, 30}, {40, 30});
  RING(two, {0, 0}, {10, 10});
  pc_area area = {.outline = lot};
  pc_obstacle obstacle = {.name = pc_name_of("hall"), .outline = hall};
  pc_site site = {.areas = &area, .area_count = 1, .obstacles = &obstacle, .obstacle_count = 1};
  pc_zone zone = zone_of("broken", two);
  const pc_zone *zones = &zone;
  bool straight = true;
  assert_int_equal(pc_routes_may_be_straight(&site, NULL, 0, &straight), PC_OK);
  assert_false(straight); /* something stands there */
  site.obstacle_count = 0;
  assert_int_equal(pc_routes_may_be_straight(&site, NULL, 0, &straight), PC_OK);
  assert_true(straight);
  assert_int_equal(pc_routes_may_be_straight(&site, &zones, 1, &straight), PC_ERR_GEOMETRY);
  assert_false(straight);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_ways),
      cmocka_unit_test(test_faces),
      cmocka_unit_test(test_against_plain_distance),
      cmocka_unit_test(test_pavement_with_notches),
      cmocka_unit_test(test_zones_in_the_way),
      cmocka_unit_test(test_zones_beside_the_lot),
      cmocka_unit_test(test_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
