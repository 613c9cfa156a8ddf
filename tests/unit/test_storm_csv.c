// SPDX-License-Identifier: GPL-3.0-or-later
/* Storms from CSV: a real daily record, the ways to write a time, what is wrong with a file. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "io/scenario.h"
#include "io/storm_csv.h"

static void near_(double found, double expected, double slack, int line) {
  if (!(fabs(found - expected) <= slack * fmax(1e-6, fabs(expected)))) {
    print_error("line %d: found %.17g, expected %.17g\n", line, found, expected);
    fail();
  }
}
#define NEAR(found, expected) near_((found), (expected), 1e-12, __LINE__)

static void source_path(const char *rest, char *path, size_t size) {
  const char *source = getenv("PC_SOURCE_DIR");
  snprintf(path, size, "%s/%s", source ? source : ".", rest);
}

static pc_storm_csv read_good(const char *text, const pc_snow *snow) {
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_snow usual = pc_snow_default();
  pc_status status =
      pc_storm_csv_read_text("s.csv", text, strlen(text), snow ? snow : &usual, &storm, &faults);
  for (size_t i = 0; i < faults.count; i++)
    print_error("%d: %s: %s\n", faults.items[i].line, faults.items[i].key, faults.items[i].message);
  assert_int_equal(status, PC_OK);
  assert_int_equal(faults.count, 0);
  pc_faults_free(&faults);
  return storm;
}

/* A row holds until the next one, so the last one has no end of its own. */
static void test_last_row(void **state) {
  (void)state;
  pc_storm_csv open = read_good("time,rate\n0,1\n3,1\n5,2\n", NULL);
  NEAR(open.last_row_s, 2 * 3600);
  NEAR(open.pieces[3].after_s, 7 * 3600);
  NEAR(open.depth_m, 0.09); /* 3 h + 2 h of 1 cm/h, 2 h of 2 cm/h */
  pc_storm_csv_free(&open);
  pc_storm_csv ended = read_good("time,rate\n0,1\n3,1\n5,0\n", NULL);
  assert_true(ended.last_row_s == 0);
  NEAR(ended.depth_m, 0.05);
  pc_storm_csv_free(&ended);
}

static void expect_bad(const char *text, const char *expected) {
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_text lines = {0};
  pc_snow snow = pc_snow_default();
  assert_int_not_equal(pc_storm_csv_read_text("s.csv", text, strlen(text), &snow, &storm, &faults), PC_OK);
  assert_null(storm.pieces);
  assert_int_equal(storm.count, 0);
  for (size_t i = 0; i < faults.count; i++) {
    char line[1024];
    (void)pc_error_format(&faults.items[i], line, sizeof line);
    pc_text_addf(&lines, "%s\n", line);
  }
  assert_string_equal(lines.data, expected);
  pc_text_free(&lines);
  pc_faults_free(&faults);
}

/* 14 to 20 January 2012, daily record of a US government weather station (tests/data/README.md): 68.5 mm of
 * water. What is snow and what rain, and how deep, was worked out by hand from the mean temperatures: a
 * linear mix from 0 to 2 °C, density by Hedstrom & Pomeroy 1998 and Pomeroy & Gray 1995. */
static void test_daily_record(void **state) {
  (void)state;
  char path[1024];
  source_path("tests/data/storm-2012.csv", path, sizeof path);
  pc_snow snow = pc_snow_default();
  pc_storm_csv storm;
  pc_faults faults = {0};
  assert_int_equal(pc_storm_csv_read(path, &snow, &storm, &faults), PC_OK);
  assert_int_equal(faults.count, 1); /* the column `weather` is not used */
  assert_true(faults.items[0].caution);
  assert_non_null(strstr(faults.items[0].message, "weather"));
  pc_faults_free(&faults);
  NEAR(storm.snow_water_m + storm.rain_water_m, 0.0685);
  NEAR(storm.snow_water_m, 0.0442175);
  NEAR(storm.rain_water_m, 0.0242825);
  NEAR(storm.depth_m, 0.45205313616103193);
  assert_int_equal(storm.count, 8); /* seven days, and the end */
  NEAR(storm.pieces[1].after_s, 86400);
  NEAR(storm.pieces[1].temperature_c, -1.1);
  NEAR(storm.pieces[1].wind_mps, 3.2);
  NEAR(storm.pieces[0].rate_mps, 0);
  NEAR(storm.pieces[0].rain_mps, 0.0041 / 86400);
  NEAR(storm.pieces[7].after_s, 7 * 86400.0);
  NEAR(storm.pieces[7].rate_mps, 0);
  NEAR(storm.pieces[7].rain_mps, 0);
  pc_storm_csv_free(&storm);
  /* With other limits for rain and snow every drop is still there. */
  snow.snow_below_c = snow.rain_above_c = 4;
  assert_int_equal(pc_storm_csv_read(path, &snow, &storm, &faults), PC_OK);
  NEAR(storm.snow_water_m, 0.0685);
  NEAR(storm.rain_water_m, 0);
  pc_faults_free(&faults);
  pc_storm_csv_free(&storm);
}

/* The same through a scenario: the rain is reported, the snow comes. */
static void test_in_scenario(void **state) {
  (void)state;
  static const char text[] =
      "snow: {depth: 0 cm, trigger: 3 cm}\n"
      "site:\n"
      "  areas: [{outline: [[0, 0], [100, 0], [100, 60], [0, 60]]}]\n"
      "boxes: [{width: 4 m, height: 1.2 m}]\n"
      "loaders: [{speeds: {push: 2 m/s, carry: 3 m/s, return: 4 m/s}}]\n"
      "zones: [{at: [0, 30]}]\n";
  char path[1024];
  source_path("tests/data/storm-2012.csv", path, sizeof path);
  pc_override override = {"storm_file", path, NULL};
  pc_scenario s;
  pc_faults faults = {0};
  assert_int_equal(pc_scenario_read_text("lot.yaml", text, strlen(text), &override, 1, &s, &faults), PC_OK);
  assert_int_equal(s.storm_count, 8);
  NEAR(s.storm[3].rain_mps, 0.0066825 / 86400);
  bool told = false;
  for (size_t i = 0; i < faults.count; i++)
    told |= faults.items[i].caution && strcmp(faults.items[i].key, "storm_file") == 0 &&
            strstr(faults.items[i].message, "68.5 mm of water 24.3 mm fall as rain");
  assert_true(told);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  /* A density that only the whole scenario can judge is told at the file's key. */
  pc_override dense[] = {{"storm_file", path, NULL}, {"snow.pushed_density", "110 kg/m3", NULL}};
  assert_int_not_equal(pc_scenario_read_text("lot.yaml", text, strlen(text), dense, 2, &s, &faults), PC_OK);
  assert_true(pc_faults_has_key(&faults, "storm_file"));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Hours, h:mm and ISO 8601 say the same: 2 cm/h for an hour and a half, then 1 cm/h for half an hour. */
static void test_times(void **state) {
  (void)state;
  static const char *const texts[] = {
      "time,rate,temperature\n0,2,-3\n1.5,1,-4\n2,0,\n",
      "time,rate,temperature\r\n0:00,2,-3\r\n1:30,1,-4\r\n2:00:00,0,\r\n",
      "\xEF\xBB\xBFtemperature, rate ,time\n-3,2,2021-12-31T23:00Z\n-4,1,2022-01-01T00:30:00Z\n"
      "\n,0,2022-01-01T01:00:00.0Z",
      "time,rate,temperature\n2020-02-28 23:00,2,-3\n2020-02-29 00:30,1,-4\n2020-02-29 01:00,0,\n",
      "time,\"rate\",temperature\n\"2021-12-31T23:00+01:00\",2,-3\n2022-01-01T02:30+0300,1,-4\n"
      "2021-12-31T19:00-05,0,\n",
      "time,rate,temperature\n0,2,-3\n1.5,1,-4\n2,0,-5\n",
  };
  for (size_t t = 0; t < sizeof texts / sizeof texts[0]; t++) {
    pc_storm_csv storm = read_good(texts[t], NULL);
    assert_int_equal(storm.count, 3);
    NEAR(storm.pieces[0].after_s, 0);
    NEAR(storm.pieces[1].after_s, 5400);
    NEAR(storm.pieces[2].after_s, 7200);
    NEAR(storm.pieces[0].rate_mps, 0.02 / 3600);
    NEAR(storm.pieces[1].temperature_c, -4);
    NEAR(storm.pieces[2].rate_mps, 0);
    NEAR(storm.depth_m, 0.035);
    NEAR(storm.rain_water_m, 0);
    pc_storm_csv_free(&storm);
  }
}

/* The last row holds as long as the one before it; days that are left out are dry. */
static void test_ends(void **state) {
  (void)state;
  pc_storm_csv storm = read_good("time,rate\n1,2\n4,1\n", NULL);
  assert_int_equal(storm.count, 3);
  NEAR(storm.pieces[2].after_s, 7 * 3600.0);
  NEAR(storm.depth_m, 0.09);
  NEAR(storm.snow_water_m, 0.009); /* 100 kg/m³ where nothing else is said */
  assert_true(isnan(storm.pieces[0].temperature_c) && isnan(storm.pieces[0].wind_mps));
  pc_storm_csv_free(&storm);
  storm = read_good("date,precipitation,temperature\n2021-01-30,10,-2\n2021-02-02,5,-2\n", NULL);
  assert_int_equal(storm.count, 4);
  NEAR(storm.pieces[1].after_s, 86400);
  NEAR(storm.pieces[1].rate_mps, 0);
  NEAR(storm.pieces[2].after_s, 3 * 86400.0);
  NEAR(storm.pieces[3].after_s, 4 * 86400.0);
  NEAR(storm.snow_water_m, 0.015);
  pc_storm_csv_free(&storm);
  storm = read_good("time,rate\n0,0\n", NULL);
  assert_int_equal(storm.count, 1);
  pc_storm_csv_free(&storm);
}

/* mm/h of water; wind matters with the formula of Pahaut 1976: 109 + 6·T + 26·√U. */
static void test_precipitation(void **state) {
  (void)state;
  pc_snow snow = pc_snow_default();
  snow.density_formula = PC_DENSITY_PAHAUT;
  pc_storm_csv storm = read_good("time,precipitation,temperature,wind\n0,3,-4,9\n2,0,-4,9\n", &snow);
  NEAR(storm.pieces[0].rate_mps, 0.003 / 3600 * 1000 / 163);
  NEAR(storm.snow_water_m, 0.006);
  pc_storm_csv_free(&storm);
}

static void test_faults(void **state) {
  (void)state;
  expect_bad("", "s.csv: is empty: it needs a line with the names of the columns, then rows\n");
  expect_bad("time,rate\n", "s.csv: has no rows below the names of the columns\n");
  expect_bad("zeit;rate\n0;1\n",
             "s.csv:1: time: is missing: the first line must name the columns, such as "
             "time,rate,temperature or time,precipitation,temperature\n");
  expect_bad("time,date,rate\n", "s.csv:1:6: date: stands beside time; give one of the two\n");
  expect_bad("time,rate,rate\n", "s.csv:1:11: rate: is the name of two columns\n");
  expect_bad("time,rate,precipitation\n",
             "s.csv:1:11: precipitation: stands beside rate; give one of the two\n");
  expect_bad("time,wind\n",
             "s.csv:1: rate: is missing: give rate in cm/h of snow, or precipitation in mm/h of water\n");
  expect_bad("date,rate\n", "s.csv:1: precipitation: is missing: a daily record needs it, in mm\n");
  expect_bad("time,precipitation\n", "s.csv:1: temperature: is missing: it tells snow from rain\n");
  expect_bad("time,rate\n0,\"1\n", "s.csv:2:3: a quote is opened but not closed on this line\n");
  expect_bad("time,rate\n0,1,2\n", "s.csv:2: has 3 fields where the first line names 2 columns\n");
  expect_bad("time,rate\n0,1\n",
             "s.csv: has one row only, so nobody knows how long it holds: add a row "
             "with 0\n");
  expect_bad("time,rate\n0,two\n1,\n2,-1\n3,101\n3,0\n",
             "s.csv:2:3: rate: \"two\" must be a plain number\n"
             "s.csv:3:3: rate: has no value on this line\n"
             "s.csv:4:3: rate: -1 must not be less than 0\n"
             "s.csv:5:3: rate: 101 cm/h is outside what is allowed: 0 cm/h … 100 cm/h\n");
  expect_bad(
      "time,rate\n0,1\n0,1\n2021-01-01T10:00,1\n2021-01-01,1\n1:60,1\n",
      "s.csv:3:1: time: must be later than on the line before it\n"
      "s.csv:4:1: time: \"2021-01-01T10:00\" is written in another way than the time of the first row\n"
      "s.csv:5:1: time: \"2021-01-01\" has no time of day; a daily record calls this column date\n"
      "s.csv:6:1: time: \"1:60\" must be hours (1.5 or 1:30) or ISO 8601 (2021-01-31T18:30)\n");
  expect_bad(
      "date,precipitation,temperature\n2021-02-29,1,0\n2021/02-01,1,0\n2021-13-01,1,0\n2021-1-01,1,0\n",
      "s.csv:2:1: date: \"2021-02-29\" must be a day, such as 2021-01-31\n"
      "s.csv:3:1: date: \"2021/02-01\" must be a day, such as 2021-01-31\n"
      "s.csv:4:1: date: \"2021-13-01\" must be a day, such as 2021-01-31\n"
      "s.csv:5:1: date: \"2021-1-01\" must be a day, such as 2021-01-31\n");
  expect_bad("time,precipitation,temperature\n0,1,\n1,1,99\n",
             "s.csv:2:5: temperature: has no value on this line\n"
             "s.csv:3:5: temperature: 99 C is outside what is allowed: -60 C … 60 C\n");
  pc_snow snow = pc_snow_default();
  snow.density_formula = PC_DENSITY_DIAMOND_LOWRY; /* 119 − 6.48·20 < 0 */
  pc_storm_csv storm;
  pc_faults faults = {0};
  static const char cold[] = "time,precipitation,temperature\n0,1,-20\n1,0,-20\n";
  assert_int_equal(pc_storm_csv_read_text("s.csv", cold, strlen(cold), &snow, &storm, &faults), PC_ERR_RANGE);
  assert_int_equal(pc_faults_fatal(&faults), 1);
  pc_faults_free(&faults);
  assert_int_equal(pc_storm_csv_read("no/such.csv", &snow, &storm, &faults), PC_ERR_FILE);
  pc_faults_free(&faults);
  static const char zero[] = "time,rate\n0,1\0\n1,0\n";
  assert_int_equal(pc_storm_csv_read_text("s.csv", zero, sizeof zero - 1, &snow, &storm, &faults),
                   PC_ERR_SYNTAX);
  pc_faults_free(&faults);
}

/* One row more than a storm may have. */
static void test_limit(void **state) {
  (void)state;
  pc_text text = {0};
  pc_text_add(&text, "time,rate\n");
  for (int i = 0; i <= PC_STORM_MAX + 5; i++)
    pc_text_addf(&text, "0:%02d:%02d.%03d,1\n", i / 60000, i / 1000 % 60, i % 1000);
  assert_false(text.failed);
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_snow snow = pc_snow_default();
  assert_int_equal(pc_storm_csv_read_text("s.csv", text.data, text.length, &snow, &storm, &faults),
                   PC_ERR_LIMIT);
  assert_int_equal(faults.count, 1);
  pc_faults_free(&faults);
  pc_text_free(&text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_daily_record), cmocka_unit_test(test_last_row),
      cmocka_unit_test(test_in_scenario),  cmocka_unit_test(test_times),
      cmocka_unit_test(test_ends),         cmocka_unit_test(test_precipitation),
      cmocka_unit_test(test_faults),       cmocka_unit_test(test_limit),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
