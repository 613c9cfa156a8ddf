// SPDX-License-Identifier: GPL-3.0-or-later
/* What a site may look like is this library's own contract (site.h); overlaps are plain areas. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "site/site.h"

#define RING(name, ...)                                                                                      \
  pc_point name##_points[] = {__VA_ARGS__};                                                                  \
  pc_ring name = {name##_points, sizeof name##_points / sizeof name##_points[0]}

static size_t count_key(const pc_faults *faults, const char *key, pc_status status) {
  size_t found = 0;
  for (size_t i = 0; i < faults->count; i++)
    if (strcmp(faults->items[i].key, key) == 0 && faults->items[i].status == status)
      found++;
  return found;
}

static const char *message_of(const pc_faults *faults, const char *key) {
  for (size_t i = 0; i < faults->count; i++)
    if (strcmp(faults->items[i].key, key) == 0)
      return faults->items[i].message;
  fail_msg("no fault at %s", key);
  return "";
}

static void test_defaults(void **state) {
  (void)state;
  pc_area area = pc_area_default();
  assert_true(area.heading_rad == 0);
  assert_true(area.opens_s == 0);
  assert_true(isnan(area.clear_by_s));
  assert_int_equal(area.after.count + area.loaders.count, 0);
  assert_string_equal(area.into.text, "");
  pc_passage passage = pc_passage_default();
  assert_int_equal(passage.machines, 1);
  assert_true(isnan(passage.radius_m) && isnan(passage.at.x_m));
  assert_int_equal(area.outline.count, 0);
  pc_zone zone = pc_zone_default();
  assert_true(zone.height_m == 5);
  assert_true(isnan(zone.volume_m3));
  assert_int_equal(zone.berths, 1);
  assert_true(zone.stack == 0.5);
  assert_int_equal(zone.outline.count, 0);
}

/* Every documented default in words is the one in the struct, and every field is described. */
static void test_tables(void **state) {
  (void)state;
  const pc_fields *tables[] = {&pc_area_fields,       &pc_ground_outline_fields, &pc_obstacle_fields,
                               &pc_keep_clear_fields, &pc_passage_fields,        &pc_zone_fields};
  for (size_t t = 0; t < sizeof tables / sizeof tables[0]; t++)
    for (size_t i = 0; i < tables[t]->count; i++) {
      const pc_field *field = &tables[t]->items[i];
      assert_true(field->help && strlen(field->help) > 5);
      assert_true(field->required == (field->fallback == NULL));
      assert_ptr_equal(pc_fields_find(tables[t], field->key), field);
    }
  pc_zone zone = pc_zone_default();
  double height = 0, heading = 1;
  assert_int_equal(
      pc_units_parse(pc_fields_find(&pc_zone_fields, "height")->fallback, PC_DIM_LENGTH, &height, NULL),
      PC_OK);
  assert_true(height == zone.height_m);
  assert_true(atoi(pc_fields_find(&pc_zone_fields, "berths")->fallback) == zone.berths);
  assert_true(strtod(pc_fields_find(&pc_zone_fields, "stack")->fallback, NULL) == zone.stack);
  assert_int_equal(
      pc_units_parse(pc_fields_find(&pc_area_fields, "heading")->fallback, PC_DIM_ANGLE, &heading, NULL),
      PC_OK);
  assert_true(heading == 0);
  assert_string_equal(pc_fields_find(&pc_obstacle_fields, "kind")->fallback, pc_obstacle_kind_names[0]);
  int kinds = 0;
  while (pc_obstacle_kind_names[kinds])
    kinds++;
  assert_int_equal(kinds, PC_OBSTACLE_KIND_COUNT);
  assert_string_equal(pc_obstacle_kind_names[PC_OBSTACLE_FENCE], "fence");
  for (kinds = 0; pc_keep_clear_kind_names[kinds];)
    kinds++;
  assert_int_equal(kinds, PC_KEEP_KIND_COUNT);
  assert_string_equal(pc_keep_clear_kind_names[PC_KEEP_SIGHT], "sight");
}

static void test_good_site(void **state) {
  (void)state;
  RING(west, {0, 0}, {50, 0}, {50, 40}, {0, 40});
  RING(east, {50, 40}, {90, 40}, {90, 0}, {50, 0}); /* clockwise, shares a side */
  RING(hall, {10, 10}, {20, 10}, {20, 20}, {10, 20});
  pc_area areas[] = {{.name = pc_name_of("west"), .outline = west, .clear_by_s = NAN},
                     {.name = pc_name_of("east"),
                      .outline = east,
                      .heading_rad = -25,
                      .clear_by_s = NAN}};                                      /* any angle will do */
  pc_ground_outline ground[] = {{.name = pc_name_of("west"), .outline = hall}}; /* other list, same name */
  pc_obstacle obstacles[] = {{.name = pc_name_of("hall"), .outline = hall}};
  pc_keep_clear keep[] = {{.name = pc_name_of("hydrant"), .at = {3, 4}, .radius_m = 1},
                          {.name = pc_name_of("view"), .kind = PC_KEEP_SIGHT, .outline = hall}};
  pc_site site = {.areas = areas, .area_count = 2, .ground = ground, .ground_count = 1};
  site.obstacles = obstacles;
  site.obstacle_count = 1;
  site.keep_clear = keep;
  site.keep_clear_count = 2;
  pc_faults faults = {0};
  pc_site_validate(&site, &faults);
  if (faults.count > 0)
    fail_msg("%s: %s", faults.items[0].key, faults.items[0].message);
  pc_faults_free(&faults);
}

static void test_every_fault_at_once(void **state) {
  (void)state;
  RING(lot, {0, 0}, {50, 0}, {50, 40}, {0, 40});
  RING(bow, {0, 0}, {10, 10}, {10, 0}, {0, 10});
  pc_ring none = {NULL, 0};
  pc_area areas[] = {{.name = pc_name_of("a"), .outline = bow, .clear_by_s = NAN},
                     {.name = pc_name_of("b"), .outline = lot, .heading_rad = INFINITY, .clear_by_s = NAN},
                     {.name = pc_name_of("a"), .outline = none, .clear_by_s = NAN},
                     {.outline = none, .heading_rad = NAN, .clear_by_s = NAN}};
  pc_ground_outline ground[] = {{.outline = bow}};
  pc_obstacle obstacles[] = {{.name = pc_name_of("o"), .kind = 99, .outline = lot},
                             {.name = pc_name_of("o"), .outline = bow}};
  pc_keep_clear keep[] = {{.name = pc_name_of("k"), .at = {1, 2}},
                          {.name = pc_name_of("l"), .at = {NAN, 2}, .radius_m = 1},
                          {.name = pc_name_of("m"), .kind = -1, .outline = bow}};
  pc_site site = {.areas = areas, .area_count = 4, .ground = ground, .ground_count = 1};
  site.obstacles = obstacles;
  site.obstacle_count = 2;
  site.keep_clear = keep;
  site.keep_clear_count = 3;
  pc_faults faults = {0};
  pc_site_validate(&site, &faults);
  assert_int_equal(count_key(&faults, "site.areas[0].outline", PC_ERR_GEOMETRY), 1);
  assert_non_null(strstr(message_of(&faults, "site.areas[0].outline"), "[5, 5]"));
  assert_int_equal(count_key(&faults, "site.areas[1].heading", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "site.areas[2].name", PC_ERR_NAME), 1);
  assert_non_null(
      strstr(message_of(&faults, "site.areas[2].name"), "\"a\" is already the name of site.areas[0]"));
  assert_int_equal(count_key(&faults, "site.areas[2].outline", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "site.areas[3].name", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "site.areas[3].heading", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "site.areas[3].outline", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "site.ground[0].name", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "site.ground[0].outline", PC_ERR_GEOMETRY), 1);
  assert_int_equal(count_key(&faults, "site.obstacles[0].kind", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "site.obstacles[1].name", PC_ERR_NAME), 1);
  assert_int_equal(count_key(&faults, "site.obstacles[1].outline", PC_ERR_GEOMETRY), 1);
  assert_int_equal(count_key(&faults, "site.keep_clear[0]", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "site.keep_clear[1]", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "site.keep_clear[2].kind", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "site.keep_clear[2].outline", PC_ERR_GEOMETRY), 1);
  assert_int_equal(faults.count, 16); /* these and no other */
  pc_faults_free(&faults);
}

static void test_no_area(void **state) {
  (void)state;
  pc_site site = {0};
  pc_faults faults = {0};
  pc_site_validate(&site, &faults);
  assert_int_equal(faults.count, 1);
  assert_int_equal(count_key(&faults, "site.areas", PC_ERR_MISSING), 1);
  pc_faults_free(&faults);
  pc_site_free(&site);
}

/* Faults of two 10 × 10 m areas of which the second starts at x. */
static size_t overlap_at(double x, char message[PC_MESSAGE_MAX]) {
  RING(left, {0, 0}, {10, 0}, {10, 10}, {0, 10});
  RING(right, {x, 0}, {x + 10, 0}, {x + 10, 10}, {x, 10});
  pc_area areas[] = {{.name = pc_name_of("left"), .outline = left, .clear_by_s = NAN},
                     {.name = pc_name_of("right"), .outline = right, .clear_by_s = NAN}};
  pc_site site = {.areas = areas, .area_count = 2};
  pc_faults faults = {0};
  pc_site_validate(&site, &faults);
  size_t found = count_key(&faults, "site.areas[1].outline", PC_ERR_GEOMETRY);
  assert_int_equal(found, faults.count);
  if (found > 0)
    memcpy(message, faults.items[0].message, PC_MESSAGE_MAX);
  pc_faults_free(&faults);
  return found;
}

static void test_overlaps(void **state) {
  (void)state;
  char message[PC_MESSAGE_MAX] = "";
  assert_int_equal(overlap_at(10, message), 0);
  assert_int_equal(overlap_at(10 - 0.099, message), 0); /* m, of what gaps in a drawing may be */
  assert_int_equal(overlap_at(10 - 0.101, message), 1);
  assert_int_equal(overlap_at(8, message), 1);
  assert_non_null(strstr(message, "\"left\" and \"right\" overlap by 20"));
}

static void test_zone(void **state) {
  (void)state;
  RING(good, {0, 0}, {10, 0}, {0, 10});
  RING(bow, {0, 0}, {10, 10}, {10, 0}, {0, 10});
  pc_faults faults = {0};
  pc_zone zone = pc_zone_default();
  zone.name = pc_name_of("north");
  zone.outline = good;
  pc_zone_validate(&zone, "zones[2]", &faults);
  assert_int_equal(faults.count, 0);
  zone.outline = (pc_ring){NULL, 0};
  zone.at = (pc_point){0, 0};
  pc_zone_validate(&zone, "zones[2]", &faults);
  assert_int_equal(faults.count, 0);
  zone = pc_zone_default(); /* neither outline nor point nor name */
  pc_zone_validate(&zone, "zones[2]", &faults);
  assert_int_equal(faults.count, 2);
  assert_int_equal(count_key(&faults, "zones[2]", PC_ERR_MISSING), 1);
  assert_int_equal(count_key(&faults, "zones[2].name", PC_ERR_MISSING), 1);
  pc_faults_free(&faults);
  zone = (pc_zone){
      .name = pc_name_of("n"), .outline = bow, .height_m = 0, .volume_m3 = -1, .berths = 0, .stack = -1};
  pc_zone_validate(&zone, "zones[2]", &faults);
  assert_int_equal(faults.count, 5);
  assert_int_equal(count_key(&faults, "zones[2].outline", PC_ERR_GEOMETRY), 1);
  assert_int_equal(count_key(&faults, "zones[2].height", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "zones[2].volume", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "zones[2].berths", PC_ERR_RANGE), 1);
  assert_int_equal(count_key(&faults, "zones[2].stack", PC_ERR_RANGE), 1);
  pc_faults_free(&faults);
  zone = pc_zone_default();
  zone.name = pc_name_of("n");
  zone.outline = good;
  zone.height_m = zone.stack = NAN; /* what has a default must not be left unknown */
  pc_zone_validate(&zone, "zones[0]", &faults);
  assert_int_equal(faults.count, 2);
  pc_faults_free(&faults);
}

static void test_release(void **state) {
  (void)state;
  pc_site site = {0};
  RING(lot, {0, 0}, {50, 0}, {50, 40});
  site.areas = pc_alloc(1, sizeof *site.areas);
  site.ground = pc_alloc(1, sizeof *site.ground);
  site.obstacles = pc_alloc(1, sizeof *site.obstacles);
  site.keep_clear = pc_alloc(1, sizeof *site.keep_clear);
  site.passages = pc_alloc(1, sizeof *site.passages);
  site.area_count = site.ground_count = site.obstacle_count = site.keep_clear_count = site.passage_count = 1;
  site.areas[0].after = (pc_names){pc_alloc(2, sizeof(pc_name)), 2};
  site.areas[0].loaders = (pc_names){pc_alloc(1, sizeof(pc_name)), 1};
  assert_int_equal(pc_ring_copy(&site.passages[0].outline, lot.points, 3), PC_OK);
  assert_int_equal(pc_ring_copy(&site.areas[0].outline, lot.points, 3), PC_OK);
  assert_int_equal(pc_ring_copy(&site.ground[0].outline, lot.points, 3), PC_OK);
  assert_int_equal(pc_ring_copy(&site.obstacles[0].outline, lot.points, 3), PC_OK);
  assert_int_equal(pc_ring_copy(&site.keep_clear[0].outline, lot.points, 3), PC_OK);
  pc_site_free(&site); /* a leak shows under the address sanitizer */
  assert_int_equal(site.area_count, 0);
  assert_null(site.areas);
  pc_site_free(&site);
  pc_zone zone = pc_zone_default();
  assert_int_equal(pc_ring_copy(&zone.outline, lot.points, 3), PC_OK);
  pc_zone_free(&zone);
  assert_null(zone.outline.points);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_defaults),  cmocka_unit_test(test_tables),
      cmocka_unit_test(test_good_site), cmocka_unit_test(test_every_fault_at_once),
      cmocka_unit_test(test_no_area),   cmocka_unit_test(test_overlaps),
      cmocka_unit_test(test_zone),      cmocka_unit_test(test_release),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
