// SPDX-License-Identifier: GPL-3.0-or-later
/* Siting rules against hand geometry and published limits:
 * - NFPA 1 (2015) 18.5.7: 36 in (914 mm) clear all round a hydrant, 60 in in front of connections over 2.5
 * in;
 * - 28 CFR 36.211: nothing on accessible parking spaces and routes;
 * - AASHTO Green Book: intersection sight distance 1.47·V·t.
 * Every other limit is common practice, no source: there only the geometry is checked. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_siting.h"
#include "simulate.h"
#include "validation.h"

/* The yard is 100 m × 60 m; every scene has its things on it. */
typedef struct scene {
  pc_area area;
  pc_ground_outline ground;
  pc_obstacle obstacles[4];
  pc_keep_clear keep[4];
  pc_zone zones[3];
  pc_point corners[12][8];
  size_t rings;
  pc_site site;
  size_t zone_count;
  pc_siting limits;
  pc_siting_list found;
} scene;

static pc_ring rectangle(scene *s, double x0, double y0, double x1, double y1) {
  pc_point *at = s->corners[s->rings++];
  at[0] = (pc_point){x0, y0};
  at[1] = (pc_point){x1, y0};
  at[2] = (pc_point){x1, y1};
  at[3] = (pc_point){x0, y1};
  return (pc_ring){at, 4};
}

static void start(scene *s) {
  memset(s, 0, sizeof *s);
  s->limits = pc_siting_default();
  s->area.outline = rectangle(s, 0, 0, 100, 60);
  s->site = (pc_site){.areas = &s->area, .area_count = 1, .obstacles = s->obstacles, .keep_clear = s->keep};
}

static pc_zone *add_zone(scene *s, double x0, double y0, double x1, double y1) {
  pc_zone *zone = &s->zones[s->zone_count];
  *zone = pc_zone_default();
  zone->name = pc_name_of(s->zone_count == 0 ? "A" : s->zone_count == 1 ? "B" : "C");
  if (x1 > x0)
    zone->outline = rectangle(s, x0, y0, x1, y1);
  else
    zone->at = (pc_point){x0, y0};
  s->zone_count++;
  return zone;
}

static void add_obstacle(scene *s, pc_obstacle_kind kind, double x0, double y0, double x1, double y1) {
  pc_obstacle *thing = &s->obstacles[s->site.obstacle_count++];
  *thing =
      (pc_obstacle){.name = pc_name_of("thing"), .kind = (int)kind, .outline = rectangle(s, x0, y0, x1, y1)};
}

static void add_point(scene *s, pc_keep_clear_kind kind, double x, double y, double radius_m) {
  pc_keep_clear *thing = &s->keep[s->site.keep_clear_count++];
  *thing =
      (pc_keep_clear){.name = pc_name_of("point"), .kind = (int)kind, .at = {x, y}, .radius_m = radius_m};
}

static void add_stall(scene *s, pc_keep_clear_kind kind, double x0, double y0, double x1, double y1) {
  pc_keep_clear *thing = &s->keep[s->site.keep_clear_count++];
  *thing = (pc_keep_clear){
      .name = pc_name_of("stall"), .kind = (int)kind, .outline = rectangle(s, x0, y0, x1, y1)};
}

static const pc_siting_finding *check_room_too(scene *s, size_t expected, double need_m3,
                                               const double *capacity_m3) {
  const pc_zone *zones[3] = {&s->zones[0], &s->zones[1], &s->zones[2]};
  pc_siting_free(&s->found);
  assert_int_equal(
      pc_siting_check(&s->site, zones, s->zone_count, &s->limits, need_m3, capacity_m3, &s->found), PC_OK);
  for (size_t i = 0; i < s->found.count && s->found.count != expected; i++) {
    pc_text text = {0};
    const pc_siting_finding *f = &s->found.items[i];
    pc_siting_describe(f, f->zone < 3 ? s->zones[f->zone].name.text : "all", PC_METRIC, &text);
    print_message("%s: %s\n", pc_siting_rule_name(f->rule), text.data);
    pc_text_free(&text);
  }
  assert_int_equal(s->found.count, expected);
  return s->found.items;
}

static const pc_siting_finding *check(scene *s, size_t expected) {
  return check_room_too(s, expected, NAN, NULL);
}

static void assert_place(const pc_siting_finding *f, double x, double y) {
  assert_true(fabs(f->place.x_m - x) < 1e-9 && fabs(f->place.y_m - y) < 1e-9);
}

static void assert_reads(const pc_siting_finding *f, const char *zone, pc_unit_system system,
                         const char *expected) {
  pc_text text = {0};
  pc_siting_describe(f, zone, system, &text);
  assert_string_equal(text.data, expected);
  pc_text_free(&text);
}

/* NFPA 1 (2015) 18.5.7: 36 in all round, which the code also gives as 914 mm. */
static void hydrant_all_round(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 10, 10, 20, 20);
  add_point(&s, PC_KEEP_HYDRANT, 20.90, 15, 0.1);
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_HYDRANT);
  assert_int_equal(f->severity, PC_SITING_MUST_NOT);
  assert_near("distance", f->distance_m, 0.90, 1e-9);
  assert_published("NFPA 1 (2015), 18.5.7", "clear all round a hydrant, m", f->limit_m, 0.914, 5e-4);
  assert_place(f, 20, 15);
  assert_string_equal(f->source, "NFPA 1 (2015), 18.5.7");
  assert_reads(f, "A", PC_METRIC, "zone \"A\" is 90 cm from hydrant \"point\"; 91.4 cm stay clear");
  /* 0.92 m is more than 914 mm, but less than the 60 in (1.524 m) that a large connection needs in front. */
  s.keep[0].at.x_m = 20.92;
  f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_HYDRANT_FRONT);
  assert_int_equal(f->severity, PC_SITING_LOOK);
  assert_near("60 in in metres", f->limit_m, 1.524, 1e-9);
  s.keep[0].at.x_m = 21.52; /* 59.8 in */
  check(&s, 1);
  s.keep[0].at.x_m = 21.53; /* 60.2 in */
  check(&s, 0);
  /* Round the corner: (3, 4, 5) triangle scaled to 0.9 and 0.95 m. */
  s.limits.hydrant_front_m = 0;
  s.keep[0].at = (pc_point){20 + 0.54, 20 + 0.72};
  f = check(&s, 1);
  assert_near("distance from the corner", f->distance_m, 0.9, 1e-9);
  assert_place(f, 20, 20);
  s.keep[0].at = (pc_point){20 + 0.57, 20 + 0.76};
  check(&s, 0);
  pc_siting_free(&s.found);
}

/* A radius says how far no snow may lie; a limit of the user's own replaces the default. */
static void the_larger_of_radius_and_limit_counts(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 10, 10, 20, 20);
  add_point(&s, PC_KEEP_HYDRANT, 22.9, 15, 3);
  const pc_siting_finding *f = check(&s, 1);
  assert_near("distance", f->distance_m, 2.9, 1e-9);
  assert_near("limit", f->limit_m, 3, 1e-12);
  s.keep[0].radius_m = 2.8;
  check(&s, 0);
  s.limits.hydrant_m = 2.95;
  f = check(&s, 1);
  assert_near("limit", f->limit_m, 2.95, 1e-12);
  pc_siting_free(&s.found);
}

/* 28 CFR 36.211: accessible spaces and routes are kept free; next to one is not on it. */
static void nothing_on_accessible_spaces(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 10, 10, 20, 20);
  add_stall(&s, PC_KEEP_ACCESSIBLE, 18, 12, 24, 16); /* 2 m × 4 m of it under the pile */
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_ACCESSIBLE);
  assert_int_equal(f->severity, PC_SITING_MUST_NOT);
  assert_near("shared area", f->area_m2, 8, 1e-9);
  assert_true(f->distance_m == 0 && f->limit_m == 0);
  assert_true(f->place.x_m > 18 && f->place.x_m < 20 && f->place.y_m > 12 && f->place.y_m < 16);
  assert_string_equal(f->source, "28 CFR 36.211");
  assert_reads(f, "A", PC_METRIC, "zone \"A\" lies on accessible space or route \"stall\", 8 m2 of it");
  assert_reads(f, "A", PC_US, "zone \"A\" lies on accessible space or route \"stall\", 86.1 ft2 of it");
  s.keep[0].outline.points[0].x_m = s.keep[0].outline.points[3].x_m = 20; /* side by side */
  check(&s, 0);
  s.limits.accessible_m = 0.5; /* unless the user wants a margin */
  f = check(&s, 1);
  assert_true(isnan(f->area_m2));
  assert_reads(f, "A", PC_METRIC, "zone \"A\" touches accessible space or route \"stall\"; 50 cm stay clear");
  pc_siting_free(&s.found);
}

/* AASHTO Green Book: 1.47·V·t with V = 35 mph (1609.344 m to the mile) and t = 7.5 s is published as 385.9
 * ft. */
static void sight_distance_of_the_green_book(void **state) {
  (void)state;
  double feet = pc_sight_distance_m(35 * 1609.344 / 3600, 7.5) / 0.3048;
  assert_published("AASHTO Green Book", "sight distance at 35 mph, 7.5 s, ft", feet, 385.9, 0.05);
}

static void nothing_in_a_sight_triangle(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 90, 10, 100, 30);
  /* An exit at the corner (100, 0): a triangle with legs of 20 m along both streets. */
  pc_keep_clear *sight = &s.keep[s.site.keep_clear_count++];
  pc_point triangle[] = {{80, 0}, {100, 0}, {100, 20}};
  *sight = (pc_keep_clear){.name = pc_name_of("exit"), .kind = PC_KEEP_SIGHT, .outline = {triangle, 3}};
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_SIGHT);
  /* y = x − 80 is the triangle's long side: above y = 10 it leaves a triangle with legs of 10 m. */
  assert_near("shared area", f->area_m2, 50, 1e-9);
  pc_siting_free(&s.found);
}

/* Limits: common practice, no source. */
static void buildings_fences_doors_drains(void **state) {
  (void)state;
  scene s;
  start(&s);
  s.limits.lane_m = 0; /* gaps are another test */
  add_zone(&s, 10, 10, 20, 20);
  add_obstacle(&s, PC_OBSTACLE_BUILDING, 21.9, 0, 40, 30);
  add_obstacle(&s, PC_OBSTACLE_FENCE, 0, 20.9, 20, 21);
  add_stall(&s, PC_KEEP_DOOR, 21.9, 14, 22, 15);
  add_stall(&s, PC_KEEP_DRAIN, 9, 12, 9.5, 12.5);
  const pc_siting_finding *f = check(&s, 4);
  static const struct {
    pc_siting_rule rule;
    double distance_m, limit_m;
  } expected[] = {{PC_SITING_BUILDING, 1.9, 2},
                  {PC_SITING_FENCE, 0.9, 1},
                  {PC_SITING_DRAIN, 0.5, 1},
                  {PC_SITING_DOOR, 1.9, 2}};
  for (size_t i = 0; i < 4; i++) {
    assert_int_equal(f[i].rule, expected[i].rule);
    assert_int_equal(f[i].severity, PC_SITING_SHOULD_NOT);
    assert_near("distance", f[i].distance_m, expected[i].distance_m, 1e-9);
    assert_near("limit", f[i].limit_m, expected[i].limit_m, 1e-12);
    assert_string_equal(f[i].source, "common practice, no source");
  }
  s.limits.building_m = 1.9; /* exactly at the limit is allowed, whatever the rounding of 21.9 − 20 */
  s.limits.door_m = s.limits.fence_m = s.limits.drain_m = 0;
  check(&s, 0);
  pc_siting_free(&s.found);
}

static void zones_on_obstacles(void **state) {
  (void)state;
  scene s;
  start(&s);
  s.limits.lane_m = 0;
  add_zone(&s, 10, 10, 20, 20);
  static const pc_obstacle_kind kinds[] = {PC_OBSTACLE_ISLAND, PC_OBSTACLE_PARKED, PC_OBSTACLE_OLD_PILE};
  add_obstacle(&s, PC_OBSTACLE_ISLAND, 20, 10, 30, 20); /* alongside */
  for (size_t i = 0; i < 3; i++) {
    s.obstacles[0].kind = (int)kinds[i];
    check(&s, 0);
    s.obstacles[0].outline.points[0].x_m = s.obstacles[0].outline.points[3].x_m = 19;
    const pc_siting_finding *f = check(&s, 1);
    assert_int_equal(f->rule, PC_SITING_OBSTACLE);
    assert_near("shared area", f->area_m2, 10, 1e-9);
    s.obstacles[0].outline.points[0].x_m = s.obstacles[0].outline.points[3].x_m = 20;
  }
  /* A round pole: 0.3 m thick at 0.2 m from the edge is under the pile in part, at 0.4 m it is not. */
  s.obstacles[0] =
      (pc_obstacle){.name = pc_name_of("pole"), .kind = PC_OBSTACLE_POLE, .at = {20.2, 15}, .radius_m = 0.3};
  const pc_siting_finding *f = check(&s, 1);
  /* circular segment cut off at h = 0.2 from the middle: r²·acos(h/r) − h·√(r² − h²); an inscribed polygon */
  double segment = 0.09 * acos(0.2 / 0.3) - 0.2 * sqrt(0.09 - 0.04);
  assert_near("segment", f->area_m2, segment, 0.02);
  s.obstacles[0].at.x_m = 20.4;
  check(&s, 0);
  s.limits.obstacle_m = 0.2;
  f = check(&s, 1);
  assert_near("distance to a round pole", f->distance_m, 0.1, 1e-9);
  assert_place(f, 20, 15);
  pc_siting_free(&s.found);
}

static void point_zones(void **state) {
  (void)state;
  scene s;
  start(&s);
  s.limits.lane_m = 0;
  add_zone(&s, 50, 30, 0, 0);
  add_obstacle(&s, PC_OBSTACLE_BUILDING, 51.5, 20, 60, 40);
  add_point(&s, PC_KEEP_HYDRANT, 50, 30.9, 0.1);
  add_stall(&s, PC_KEEP_ACCESSIBLE, 48, 28, 52, 31);
  const pc_siting_finding *f = check(&s, 3);
  assert_int_equal(f[0].rule, PC_SITING_HYDRANT);
  assert_near("to the hydrant", f[0].distance_m, 0.9, 1e-9);
  assert_int_equal(f[1].rule, PC_SITING_ACCESSIBLE);
  assert_true(f[1].area_m2 == 0); /* on it, but a point covers nothing */
  assert_reads(&f[1], "A", PC_METRIC, "zone \"A\" lies on accessible space or route \"stall\"");
  assert_int_equal(f[2].rule, PC_SITING_BUILDING);
  assert_near("to the building", f[2].distance_m, 1.5, 1e-9);
  s.site.obstacle_count = s.site.keep_clear_count = 0;
  s.zones[0].at = (pc_point){103, 64}; /* (3, 4, 5) off the corner (100, 60) */
  f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_PAVEMENT);
  assert_near("off the pavement", f->distance_m, 5, 1e-9);
  pc_siting_free(&s.found);
}

static void beyond_the_pavement(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 95, 10, 107, 30); /* 7 m × 20 m of it beyond x = 100 */
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_PAVEMENT);
  assert_int_equal(f->severity, PC_SITING_LOOK);
  assert_near("area beyond", f->area_m2, 140, 1e-9);
  assert_near("reach", f->distance_m, 7, 1e-9);
  assert_near("place", f->place.x_m, 107, 1e-9);
  s.ground.outline = rectangle(&s, 100, 0, 106.6, 60); /* drawn ground counts: 0.4 m is left */
  s.site.ground = &s.ground;
  s.site.ground_count = 1;
  check(&s, 0);
  s.limits.pavement_m = 0.3;
  f = check(&s, 1);
  assert_near("area beyond", f->area_m2, 8, 1e-9);
  pc_siting_free(&s.found);
}

/* A zone across a bay of the pavement: all corners of what lies beyond are at the edge of some pavement. The
 * point farthest from it is (110, 30), 10 m from each of the three sides. */
static void across_a_bay_of_the_pavement(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 100, 10, 110, 50);
  const pc_ground_outline arms[] = {{.outline = rectangle(&s, 100, 0, 120, 20)},
                                    {.outline = rectangle(&s, 100, 40, 120, 60)}};
  s.site.ground = (pc_ground_outline *)arms;
  s.site.ground_count = 2;
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_PAVEMENT);
  assert_near("area beyond", f->area_m2, 200, 1e-9);
  assert_near("reach", f->distance_m, 10, 0.3);
  assert_near("place", f->place.x_m, 110, 0.4);
  assert_near("place", f->place.y_m, 30, 0.4);
  s.limits.pavement_m = 10.4;
  check(&s, 0);
  pc_siting_free(&s.found);
}

static void room_for_the_snow(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 0, 0, 10, 10);
  add_zone(&s, 90, 0, 100, 10);
  const double room[] = {100, 251};
  check_room_too(&s, 0, 351, room);
  const pc_siting_finding *f = check_room_too(&s, 1, 400, room);
  assert_int_equal(f->rule, PC_SITING_ROOM);
  assert_true(f->zone == PC_SITING_ALL);
  assert_near("need", f->need_m3, 400, 1e-12);
  assert_near("room", f->room_m3, 351, 1e-12);
  assert_reads(
      f, "both", PC_METRIC,
      "the zones of layout \"both\" hold 351 m3 together, but the snow makes 400 m3 of piled snow: 49 "
      "m3 would have to be hauled off");
  const double endless[] = {100, INFINITY};
  check_room_too(&s, 0, 1e9, endless);
  check_room_too(&s, 0, NAN, room);
  pc_siting_free(&s.found);
}

/* The yard is 60 m deep. A zone right across it cuts it; one that leaves 3 m does not, but no 4 m machine way
 * is left; one that leaves 5 m is no concern. */
static void ways_past_a_zone(void **state) {
  (void)state;
  static const struct {
    double y1;
    int rule; /* -1: none */
  } cases[] = {{60, PC_SITING_CUT}, {57, PC_SITING_NARROW}, {56.1, PC_SITING_NARROW}, {55.9, -1}, {30, -1}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    scene s;
    start(&s);
    add_zone(&s, 40, 0, 50, cases[i].y1);
    const pc_siting_finding *f = check(&s, cases[i].rule >= 0);
    if (cases[i].rule >= 0) {
      assert_int_equal(f->rule, cases[i].rule);
      assert_int_equal(f->zone, 0);
      assert_true(f->place.x_m > 40 && f->place.x_m < 50);
    }
    pc_siting_free(&s.found);
  }
}

/* Neither of two zones cuts the yard alone. */
static void zones_that_cut_together(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 40, 0, 50, 30);
  add_zone(&s, 40, 30, 50, 60);
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_CUT);
  assert_true(f->zone == PC_SITING_ALL);
  assert_reads(f, "both", PC_METRIC,
               "the zones of layout \"both\" cut the pavement into parts that no way connects");
  s.site.ground = &s.ground; /* a way round outside */
  s.site.ground_count = 1;
  s.ground.outline = rectangle(&s, 0, -10, 100, 0);
  check(&s, 0);
  pc_siting_free(&s.found);
}

/* A seam in the drawing of the pavement that ways are led over (lib/site/weld.c) parts nothing: the way round
 * a zone that cuts the yard lies beyond it. A gap in earnest does. */
static void seams_in_the_pavement(void **state) {
  (void)state;
  static const double bridged_m[] = {0, 1e-9, 1e-6, 0.01, 0.099}, open_m[] = {0.101, 1, 3};
  scene s;
  start(&s);
  add_zone(&s, 40, 0, 50, 60);
  s.site.ground = &s.ground;
  s.site.ground_count = 1;
  for (size_t i = 0; i < sizeof bridged_m / sizeof bridged_m[0]; i++) {
    s.ground.outline = rectangle(&s, 0, -10 - bridged_m[i], 100, -bridged_m[i]);
    check(&s, 0);
  }
  for (size_t i = 0; i < sizeof open_m / sizeof open_m[0]; i++) {
    s.ground.outline = rectangle(&s, 0, -10 - open_m[i], 100, -open_m[i]);
    assert_int_equal(check(&s, 1)->rule, PC_SITING_CUT);
  }
  pc_siting_free(&s.found);
}

/* A corner of pavement behind a zone in which nothing but slivers would be lost is no cut. */
static void slivers_do_not_count(void **state) {
  (void)state;
  scene s;
  start(&s);
  /* A bar across the corner: it cuts off a triangle of 3 m × 3 m / 2 = 4.5 m², then of 3.3 m: 5.4 m². */
  pc_point bar[] = {{3, 0}, {8, 0}, {0, 8}, {0, 3}};
  s.zones[0] = pc_zone_default();
  s.zones[0].outline = (pc_ring){bar, 4};
  s.zone_count = 1;
  check(&s, 0);
  bar[0].x_m = bar[3].y_m = 3.3;
  assert_int_equal(check(&s, 1)->rule, PC_SITING_CUT);
  pc_siting_free(&s.found);
}

static void gaps_to_obstacles(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 10, 10, 20, 20);
  add_obstacle(&s, PC_OBSTACLE_BUILDING, 23, 12, 40, 18); /* 3 m between: more than 2, less than a lane */
  const pc_siting_finding *f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_GAP);
  assert_near("gap", f->distance_m, 3, 1e-9);
  assert_near("lane", f->limit_m, 4, 1e-12);
  assert_reads(f, "A", PC_METRIC,
               "zone \"A\" is 3 m from obstacle \"thing\"; a way for machines should be 4 m wide");
  s.limits.lane_m = 2.9;
  check(&s, 0);
  s.limits.lane_m = 4;
  s.limits.building_m = 3.5; /* too near altogether: told once */
  f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_BUILDING);
  s.limits.building_m = 2;
  add_zone(&s, 20, 10, 23, 20); /* the gap is filled by another pile, which is too near instead */
  f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_BUILDING);
  assert_int_equal(f->zone, 1);
  /* From a round bollard the gap is measured at its edge. */
  s.zone_count = 1;
  s.obstacles[0] =
      (pc_obstacle){.name = pc_name_of("bollard"), .kind = PC_OBSTACLE_POLE, .at = {24, 15}, .radius_m = 1};
  f = check(&s, 1);
  assert_int_equal(f->rule, PC_SITING_GAP);
  assert_near("gap", f->distance_m, 3, 1e-9);
  /* Off the pavement there is no way to keep: a house 3 m beyond a zone at the edge. */
  s.zone_count = 0;
  s.rings = 1;
  s.site.obstacle_count = 0;
  add_zone(&s, 90, 10, 100, 20);
  add_obstacle(&s, PC_OBSTACLE_BUILDING, 103, 0, 110, 60);
  check(&s, 0);
  pc_siting_free(&s.found);
}

/* Most severe first, then by rule, then by zone. */
static void findings_are_in_order(void **state) {
  (void)state;
  scene s;
  start(&s);
  s.limits.lane_m = 0;
  add_zone(&s, 10, 10, 20, 20);
  add_zone(&s, 80, 10, 90, 20);
  add_point(&s, PC_KEEP_DRAIN, 85, 15, 0.1);
  add_stall(&s, PC_KEEP_ACCESSIBLE, 88, 12, 95, 15);
  add_point(&s, PC_KEEP_HYDRANT, 15, 20.5, 0.1);
  add_point(&s, PC_KEEP_HYDRANT, 15, 8.6, 0.1); /* 1.4 m: only the front */
  const pc_siting_finding *f = check(&s, 4);
  static const int rules[] = {PC_SITING_HYDRANT, PC_SITING_ACCESSIBLE, PC_SITING_DRAIN,
                              PC_SITING_HYDRANT_FRONT};
  static const size_t zones[] = {0, 1, 1, 0};
  for (size_t i = 0; i < 4; i++) {
    assert_int_equal(f[i].rule, rules[i]);
    assert_int_equal(f[i].zone, zones[i]);
    assert_true(i == 0 || f[i].severity >= f[i - 1].severity);
  }
  pc_siting_free(&s.found);
  /* what is alike, as in the site */
  start(&s);
  s.limits.lane_m = 0;
  add_zone(&s, 10, 10, 20, 20);
  add_point(&s, PC_KEEP_DRAIN, 15, 18, 0.1);
  add_point(&s, PC_KEEP_DRAIN, 12, 15, 0.1);
  add_point(&s, PC_KEEP_DRAIN, 17, 11, 0.1);
  for (size_t i = 0; i < 3; i++)
    s.keep[i].name = pc_name_of(i == 0 ? "north" : i == 1 ? "west" : "south");
  f = check(&s, 3);
  for (size_t i = 0; i < 3; i++)
    assert_string_equal(f[i].thing.text, s.keep[i].name.text);
  pc_siting_free(&s.found);
}

/* The same scene moved far off and turned gives the same distances: nothing hangs on the axes. */
static void turning_the_site_changes_nothing(void **state) {
  (void)state;
  for (int turn = 0; turn < 12; turn++) {
    scene s;
    start(&s);
    add_zone(&s, 10, 10, 20, 20);
    add_obstacle(&s, PC_OBSTACLE_BUILDING, 21.5, 21, 40, 30);
    add_point(&s, PC_KEEP_HYDRANT, 9.5, 15, 0.1);
    double angle = 0.5236 * turn + 0.1, cosine = cos(angle), sine = sin(angle);
    for (size_t r = 0; r < s.rings; r++)
      for (size_t i = 0; i < 4; i++) {
        pc_point *p = &s.corners[r][i];
        *p = (pc_point){5000 + cosine * p->x_m - sine * p->y_m, 7000 + sine * p->x_m + cosine * p->y_m};
      }
    s.keep[0].at = (pc_point){5000 + cosine * 9.5 - sine * 15, 7000 + sine * 9.5 + cosine * 15};
    const pc_siting_finding *f = check(&s, 2);
    assert_near("hydrant", f[0].distance_m, 0.5, 1e-6);
    assert_near("building", f[1].distance_m, hypot(1.5, 1), 1e-6);
    pc_siting_free(&s.found);
  }
}

static void words_for_everything(void **state) {
  (void)state;
  for (int rule = 0; rule < PC_SITING_RULE_COUNT; rule++) {
    assert_true(strlen(pc_siting_rule_name(rule)) > 2);
    assert_true(strlen(pc_siting_source(rule)) > 2);
    for (int other = 0; other < rule; other++)
      assert_string_not_equal(pc_siting_rule_name(rule), pc_siting_rule_name(other));
  }
  assert_string_equal(pc_siting_rule_name(PC_SITING_RULE_COUNT), "unknown");
  assert_string_equal(pc_siting_rule_name(-1), "unknown");
  assert_string_equal(pc_siting_severity_name(PC_SITING_MUST_NOT), "must not");
  assert_string_equal(pc_siting_severity_name(PC_SITING_SEVERITY_COUNT), "unknown");
}

static void defaults_are_what_the_table_says(void **state) {
  (void)state;
  const pc_siting defaults = pc_siting_default();
  pc_faults faults = {0};
  pc_fields_validate(&pc_siting_fields, &defaults, "siting", &faults);
  assert_int_equal(faults.count, 0);
  for (size_t i = 0; i < pc_siting_fields.count; i++) {
    const pc_field *field = &pc_siting_fields.items[i];
    char word[40];
    double value = NAN;
    snprintf(word, sizeof word, "%.*s", (int)strcspn(field->fallback, ":"), field->fallback);
    assert_int_equal(pc_units_parse(word, PC_DIM_LENGTH, &value, NULL), PC_OK);
    assert_true(value == *(const double *)(const void *)((const char *)&defaults + field->offset));
  }
}

/* ---- gathered over layouts ---- */

/* Two layouts share zone A, whose hydrant is told of once; only the first layout has too little room. */
static void one_report_for_several_layouts(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 10, 10, 20, 20)->volume_m3 = 50;
  add_zone(&s, 80, 10, 90, 20)->volume_m3 = 500;
  add_point(&s, PC_KEEP_HYDRANT, 20.5, 15, 0.1);
  add_point(&s, PC_KEEP_HYDRANT, 85, 20.5, 0.1);
  pc_name first[] = {s.zones[0].name}, second[] = {s.zones[0].name, s.zones[1].name};
  pc_layout layouts[] = {{pc_name_of("one"), {first, 1}}, {pc_name_of("two"), {second, 2}}};
  pc_scenario scenario = pc_scenario_default();
  scenario.site = s.site;
  scenario.zones = s.zones;
  scenario.zone_count = 2;
  pc_siting_report report = {0};
  assert_int_equal(pc_siting_report_add(&report, &scenario, NULL, 400), PC_OK); /* no layouts: all zones */
  assert_int_equal(report.count, 2);
  assert_string_equal(report.items[0].layout.text, "all zones");
  pc_siting_report_free(&report);
  scenario.layouts = layouts;
  scenario.layout_count = 2;
  assert_int_equal(pc_siting_report_add(&report, &scenario, "one", 400), PC_OK);
  assert_int_equal(report.count, 2);
  assert_int_equal(pc_siting_report_add(&report, &scenario, "two", 400), PC_OK);
  assert_int_equal(report.count, 3);
  static const char *const zones[] = {"A", "B", ""}, *const where[] = {"one", "two", "one"};
  for (size_t i = 0; i < 3; i++) {
    assert_string_equal(report.items[i].zone.text, zones[i]);
    assert_string_equal(report.items[i].layout.text, where[i]);
    assert_true(report.items[i].finding.zone == (i < 2 ? i : PC_SITING_ALL));
  }
  assert_int_equal(pc_siting_report_add(&report, &scenario, "three", 400), PC_ERR_NAME);
  pc_text text = {0};
  pc_tables_siting(&report, 2, PC_METRIC, &text);
  assert_string_equal(text.data,
                      "\nWhere the piles would lie\n"
                      "  must not: zone \"A\" is 50 cm from hydrant \"point\"; 91.4 cm stay clear (NFPA 1 "
                      "(2015), 18.5.7)\n"
                      "  must not: zone \"B\" is 50 cm from hydrant \"point\"; 91.4 cm stay clear (NFPA 1 "
                      "(2015), 18.5.7)\n"
                      "  and 1 more: see `pushcycle check`\n");
  pc_text_free(&text);
  pc_tables_siting_table(&report, PC_US, &text);
  assert_non_null(strstr(text.data, "all of layout one"));
  assert_non_null(strstr(text.data, "3 ft"));
  pc_text_free(&text);
  pc_siting_report_free(&report);
  pc_tables_siting(&report, 5, PC_METRIC, &text); /* nothing found, nothing said */
  pc_tables_siting_table(&report, PC_METRIC, &text);
  assert_int_equal(text.length, 0);
}

/* What ways a zone leaves is told once, too, but not lost where another zone of the first layout did worse.
 */
static void ways_are_told_once(void **state) {
  (void)state;
  scene s;
  start(&s);
  add_zone(&s, 20, 0, 30, 60); /* A cuts the yard, B leaves 3 m */
  add_zone(&s, 60, 0, 70, 57);
  pc_name both[] = {s.zones[0].name, s.zones[1].name}, only[] = {s.zones[1].name};
  pc_layout layouts[] = {
      {pc_name_of("one"), {both, 2}}, {pc_name_of("two"), {only, 1}}, {pc_name_of("three"), {only, 1}}};
  pc_scenario scenario = pc_scenario_default();
  scenario.site = s.site;
  scenario.zones = s.zones;
  scenario.zone_count = 2;
  scenario.layouts = layouts;
  scenario.layout_count = 3;
  pc_siting_report report = {0};
  static const size_t expected[] = {1, 2, 2};
  for (size_t i = 0; i < 3; i++) {
    assert_int_equal(pc_siting_report_add(&report, &scenario, layouts[i].name.text, NAN), PC_OK);
    assert_int_equal(report.count, expected[i]);
  }
  assert_int_equal(report.items[0].finding.rule, PC_SITING_CUT);
  assert_string_equal(report.items[0].zone.text, "A");
  assert_int_equal(report.items[1].finding.rule, PC_SITING_NARROW);
  assert_string_equal(report.items[1].zone.text, "B");
  assert_string_equal(report.items[1].layout.text, "two");
  pc_siting_report_free(&report);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(hydrant_all_round),
      cmocka_unit_test(the_larger_of_radius_and_limit_counts),
      cmocka_unit_test(nothing_on_accessible_spaces),
      cmocka_unit_test(sight_distance_of_the_green_book),
      cmocka_unit_test(nothing_in_a_sight_triangle),
      cmocka_unit_test(buildings_fences_doors_drains),
      cmocka_unit_test(zones_on_obstacles),
      cmocka_unit_test(point_zones),
      cmocka_unit_test(beyond_the_pavement),
      cmocka_unit_test(across_a_bay_of_the_pavement),
      cmocka_unit_test(room_for_the_snow),
      cmocka_unit_test(ways_past_a_zone),
      cmocka_unit_test(zones_that_cut_together),
      cmocka_unit_test(seams_in_the_pavement),
      cmocka_unit_test(slivers_do_not_count),
      cmocka_unit_test(gaps_to_obstacles),
      cmocka_unit_test(findings_are_in_order),
      cmocka_unit_test(turning_the_site_changes_nothing),
      cmocka_unit_test(words_for_everything),
      cmocka_unit_test(defaults_are_what_the_table_says),
      cmocka_unit_test(one_report_for_several_layouts),
      cmocka_unit_test(ways_are_told_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
