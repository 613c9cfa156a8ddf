// SPDX-License-Identifier: GPL-3.0-or-later
/* Cautions about where zones lie, and about areas that come first to no effect: with the distance by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>

#include "io/scenario.h"

/* What is said of this key; fails unless it is said once, or not at all where `words` is NULL. */
static void expect(const char *ground, const char *zone, const char *boxes, const char *crew, const char *key,
                   const char *words) {
  char text[2000];
  pc_scenario s;
  pc_faults faults = {0};
  snprintf(text, sizeof text,
           "snow: {depth: 10 cm}\n"
           "site:\n"
           "  areas:\n"
           "    - {name: west, outline: [[0, 0], [50, 0], [50, 60], [0, 60]]}\n"
           "    - {name: east, outline: [[50, 0], [100, 0], [100, 60], [50, 60]]}\n"
           "%s"
           "boxes: [%s]\n"
           "loaders: [{name: loader, speeds: {push: 7.2 km/h, carry: 3 m/s, return: 4 m/s}}]\n"
           "zones: [{name: near, at: [0, 30]}, {name: other, %s}]\n"
           "crew: [%s]\n",
           ground, boxes, zone, crew);
  pc_status status = pc_scenario_read_text("lot.yaml", text, strlen(text), NULL, 0, &s, &faults);
  size_t said = 0;
  for (size_t i = 0; i < faults.count; i++) {
    if (strcmp(faults.items[i].key, key) != 0)
      continue;
    said++;
    assert_true(faults.items[i].caution);
    if (!words || !strstr(faults.items[i].message, words))
      fail_msg("%s: %s", faults.items[i].key, faults.items[i].message);
  }
  assert_int_equal(status, PC_OK);
  assert_int_equal(said, words != NULL);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static const char box[] = "{name: wide, width: 4 m, height: 1.2 m}", crew[] = "{loader: loader, box: wide}";

/* 200 m east of the areas, and 80 m of the road that ends at 220 m; beside the road's end. */
static void zones_far_away(void **state) {
  (void)state;
  static const char road[] =
      "  ground: [{name: road, outline: [[100, 20], [220, 20], [220, 30], [100, 30]]}]\n";
  static const char roads[] =
      "  ground:\n"
      "    - {name: road, outline: [[100, 20], [220, 20], [220, 30], [100, 30]]}\n"
      "    - {name: lane, outline: [[100, 40], [110, 40], [110, 50], [100, 50]]}\n";
  static const char outline[] = "outline: [[300, 20], [310, 20], [310, 30], [300, 30]]";
  static const char *const grounds[] = {"", road, roads};
  for (size_t i = 0; i < 3; i++) {
    expect(grounds[i], outline, box, crew, "zones[1].outline", i > 0 ? "lies 80 m away" : "lies 200 m away");
    expect(grounds[i], "at: [300, 25]", box, crew, "zones[1].at",
           i > 0 ? "lies 80 m away" : "lies 200 m away");
    expect(grounds[i], "at: [100, 25]", box, crew, "zones[1].at", NULL);
    expect(grounds[i], "at: [220, 25]", box, crew, "zones[1].at", i > 0 ? NULL : "lies 120 m away");
  }
  expect(road, "outline: [[220, 20], [230, 20], [230, 30], [220, 30]]", box, crew, "zones[1].outline", NULL);
}

/* Wherever the blade stands among the boxes. */
static void nothing_comes_first_for_a_blade(void **state) {
  (void)state;
  static const char *const boxes[] = {
      "{name: plow, width: 4 m, blade: left}, {name: wide, width: 4 m, height: 1.2 m}",
      "{name: wide, width: 4 m, height: 1.2 m}, {name: plow, width: 4 m, blade: left}"};
  for (size_t i = 0; i < 2; i++) {
    expect("", "at: [100, 30]", boxes[i],
           "{loader: loader, box: wide}, {loader: loader, box: plow, first: [west]}", "crew[1].first[0]",
           "has no effect");
    expect("", "at: [100, 30]", boxes[i],
           "{loader: loader, box: plow}, {loader: loader, box: wide, first: [west]}", "crew[1].first[0]",
           NULL);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(zones_far_away),
                                     cmocka_unit_test(nothing_comes_first_for_a_blade)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
