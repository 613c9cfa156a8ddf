// SPDX-License-Identifier: GPL-3.0-or-later
/* Keys of order, shifts and storms: what they are where nobody gives them, numbers of machines, what falls.
 * That every key reaches its field is test_scenario's matter; its faults are in tests/faults. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/scenario.h"

static void near_(double found, double expected, int line) {
  if (!(fabs(found - expected) <= 1e-12 * fmax(1, fabs(expected)))) {
    print_error("line %d: found %.17g, expected %.17g\n", line, found, expected);
    fail();
  }
}
#define NEAR(found, expected) near_((found), (expected), __LINE__)

static const char minimal[] =
    "snow: {depth: 10 cm}\n"
    "site:\n"
    "  areas: [{outline: [[0, 0], [100, 0], [100, 60], [0, 60]]}]\n"
    "boxes: [{width: 4 m, height: 1.2 m}]\n"
    "loaders: [{speeds: {push: 7.2 km/h, carry: 3 m/s, return: 4 m/s}}]\n"
    "zones: [{at: [0, 30]}]\n";

static pc_scenario read_minimal(const pc_override *override) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("lot.yaml", minimal, strlen(minimal), override, override ? 1 : 0,
                                           &scenario, &faults);
  for (size_t i = 0; i < faults.count; i++)
    print_error("%s: %s\n", faults.items[i].key, faults.items[i].message);
  assert_int_equal(status, PC_OK);
  assert_int_equal(faults.count, 0);
  pc_faults_free(&faults);
  return scenario;
}

/* Every key of the night means "off" where it is not given. */
static void test_night_is_off(void **state) {
  (void)state;
  pc_scenario s = read_minimal(NULL);
  const pc_area *area = &s.site.areas[0];
  assert_int_equal(area->after.count + area->loaders.count, 0);
  assert_string_equal(area->into.text, "");
  NEAR(area->opens_s, 0);
  assert_true(isnan(area->clear_by_s));
  assert_int_equal(s.site.passage_count + s.storm_count + s.compare.crews.count, 0);
  assert_int_equal(s.boxes[0].blade, PC_BLADE_NONE);
  assert_true(isnan(s.loaders[0].tank_l) && isnan(s.loaders[0].refuel_lps));
  assert_true(isnan(s.loaders[0].breakdown_mean_s) && isnan(s.loaders[0].repair_mean_s));
  NEAR(s.keep_apart_m, 0);
  NEAR(s.snow.trigger_m, 0);
  NEAR(s.snow.snow_below_c, 0);
  NEAR(s.snow.rain_above_c, 2);
  assert_false(s.has_fuel_point);
  pc_scenario_free(&s);
  pc_crew_entry entry = pc_crew_entry_default();
  NEAR(entry.from_s, 0);
  assert_true(isnan(entry.until_s) && isnan(entry.break_every_s) && isnan(entry.break_for_s));
}

/* One number, a list and a range; names that stand for a list of one. */
static void test_crews(void **state) {
  (void)state;
  const struct {
    const char *text;
    size_t count;
    int first, last;
  } cases[] = {
      {"compare.crews=3", 1, 3, 3}, {"compare.crews=[5, 2]", 2, 5, 2}, {"compare.crews=2..6", 5, 2, 6}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_override override = {cases[i].text, NULL, NULL};
    pc_scenario s = read_minimal(&override);
    assert_int_equal(s.compare.crews.count, cases[i].count);
    assert_int_equal(s.compare.crews.items[0], cases[i].first);
    assert_int_equal(s.compare.crews.items[cases[i].count - 1], cases[i].last);
    pc_scenario_free(&s);
  }
  const char *const bad[] = {"compare.crews=1..",   "compare.crews=..3",     "compare.crews=a..b",
                             "compare.crews=1...3", "compare.crews=1..65",   "compare.crews={}",
                             "compare.crews=-1",    "compare.crews=1..99999"};
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    pc_override override = {bad[i], NULL, NULL};
    pc_scenario s;
    pc_faults faults = {0};
    assert_int_not_equal(
        pc_scenario_read_text("lot.yaml", minimal, strlen(minimal), &override, 1, &s, &faults), PC_OK);
    assert_true(pc_faults_fatal(&faults) > 0);
    assert_int_equal(strncmp(faults.items[0].key, "compare.crews", 13), 0);
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
}

/* The density of what falls follows its own temperature and wind, or else the snow's. Diamond & Lowry 1953:
 * 119 + 6.48·T; Pahaut 1976: 109 + 6·T + 26·√U. */
static void test_storm_density(void **state) {
  (void)state;
  pc_snow snow = pc_snow_default();
  pc_storm_piece piece = pc_storm_piece_default();
  NEAR(pc_storm_piece_density(&piece, &snow), 100);
  snow.fresh_density_kgpm3 = 140;
  NEAR(pc_storm_piece_density(&piece, &snow), 140);
  piece.temperature_c = -5;
  snow.density_formula = PC_DENSITY_DIAMOND_LOWRY;
  NEAR(pc_storm_piece_density(&piece, &snow), 86.6);
  snow.density_formula = PC_DENSITY_PAHAUT;
  snow.wind_mps = 4;
  NEAR(pc_storm_piece_density(&piece, &snow), 131);
  piece.wind_mps = 9;
  NEAR(pc_storm_piece_density(&piece, &snow), 157);
  NEAR(pc_snow_share(&snow, 0), 1);
  NEAR(pc_snow_share(&snow, 0.5), 0.75);
  NEAR(pc_snow_share(&snow, 2), 0);
  snow.rain_above_c = 0;
  NEAR(pc_snow_share(&snow, 0), 1);
  NEAR(pc_snow_share(&snow, 1e-9), 0);
}

/* Longer rounds than the examples in tests/faults, and orders that only look like one. */
static void check_order(const char *order, const char *key) {
  char text[2048];
  pc_scenario s;
  pc_faults faults = {0};
  snprintf(text, sizeof text, "%s%s%s", "snow: {depth: 10 cm}\nsite: {areas: [", order,
           "]}\nboxes: [{width: 4 m, height: 1.2 m}]\n"
           "loaders: [{speeds: {push: 7.2 km/h, carry: 3 m/s, return: 4 m/s}}]\nzones: [{at: [0, 5]}]\n");
  pc_status status = pc_scenario_read_text("lot.yaml", text, strlen(text), NULL, 0, &s, &faults);
  if (!key) {
    assert_int_equal(status, PC_OK);
  } else {
    assert_int_equal(status, PC_ERR_KEY);
    assert_int_equal(pc_faults_fatal(&faults), 1);
    assert_true(pc_faults_has_key(&faults, key));
  }
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

#define AREA(name, x, more)                                                                                  \
  "{name: " name ", outline: [[" x "0, 0], [" x "9, 0], [" x "9, 10], [" x "0, 10]]" more "},"

static void test_orders(void **state) {
  (void)state;
  check_order(AREA("a", "1", ", after: [b, c]") AREA("b", "2", ", after: d") AREA("c", "3", ", after: [d]")
                  AREA("d", "4", ""),
              NULL);
  check_order(AREA("a", "1", ", after: b") AREA("b", "2", ", after: c") AREA("c", "3", ", after: d")
                  AREA("d", "4", ", after: [e, b]") AREA("e", "5", ""),
              "site.areas[1].after");
  check_order(AREA("a", "1", ", into: b") AREA("b", "2", ", into: c") AREA("c", "3", "")
                  AREA("d", "4", ", into: c"),
              NULL);
  check_order(AREA("a", "1", ", into: b") AREA("b", "2", ", into: c") AREA("c", "3", ", into: d")
                  AREA("d", "4", ", into: b"),
              "site.areas[1].into");
  check_order(AREA("a", "1", ", after: b, into: b") AREA("b", "2", ""), NULL);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_night_is_off),
      cmocka_unit_test(test_crews),
      cmocka_unit_test(test_storm_density),
      cmocka_unit_test(test_orders),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
