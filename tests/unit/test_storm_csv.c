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

/* ---- gaps ---- */

static void expect_cautions(const char *text, const char *expected) {
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_text lines = {0};
  pc_snow snow = pc_snow_default();
  assert_int_equal(pc_storm_csv_read_text("s.csv", text, strlen(text), &snow, &storm, &faults), PC_OK);
  pc_text_add(&lines, "");
  for (size_t i = 0; i < faults.count; i++) {
    char line[1024];
    (void)pc_error_format(&faults.items[i], line, sizeof line);
    assert_true(faults.items[i].caution);
    pc_text_addf(&lines, "%s\n", line);
  }
  assert_string_equal(lines.data ? lines.data : "", expected);
  pc_text_free(&lines);
  pc_faults_free(&faults);
  pc_storm_csv_free(&storm);
}

/* Steps by hand: one that is much longer than those around it, all alike, is told, if snow falls in it. */
static void test_gaps(void **state) {
  (void)state;
  expect_cautions("time,rate\n0,1\n1,1\n2,2.5\n\n6,1\n7,1\n8,0\n",
                  "s.csv:6: time: jumps from 2 to 6, though rows are 60 min apart: 2.5 cm/h of snow is taken "
                  "to fall all that time\n");
  /* a row of a half-hourly record is missing; a jump at the end; two of them */
  expect_cautions(
      "time,rate\n2021-01-31T22:00,1\n2021-01-31T22:30,1\n2021-01-31T23:30,1\n"
      "2021-02-01T00:00,1\n2021-02-01T00:30,1\n2021-02-01T01:00,0\n",
      "s.csv:4: time: jumps from 2021-01-31T22:30 to 2021-01-31T23:30, though rows are 30 min "
      "apart: 1 cm/h of snow is taken to fall all that time\n");
  expect_cautions("time,rate\n0,1\n0:20,1\n0:40,1\n1:00,1\n1:20,1\n9:00,0\n",
                  "s.csv:7: time: jumps from 1:20 to 9:00, though rows are 20 min apart: 1 cm/h of snow is "
                  "taken to fall all that time\n");
  expect_cautions(
      "time,rate\n0,1\n1,1\n2,1\n4,1\n5,1\n7,1\n8,1\n9,0\n",
      "s.csv:5: time: jumps from 2 to 4, though rows are 60 min apart: 1 cm/h of snow is taken to "
      "fall all that time\n"
      "s.csv:7: time: jumps from 5 to 7, though rows are 60 min apart: 1 cm/h of snow is taken to "
      "fall all that time\n");
  pc_text many = {0};
  pc_text_add(&many, "time,rate\n");
  for (int i = 0; i < 30; i++)
    pc_text_addf(&many, "%d,1\n", 4 * (i / 3) + i % 3); /* 0 1 2, 4 5 6, …: nine gaps of 2 h */
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_snow snow = pc_snow_default();
  assert_int_equal(pc_storm_csv_read_text("s.csv", many.data, many.length, &snow, &storm, &faults), PC_OK);
  assert_int_equal(faults.count, 4);
  assert_string_equal(faults.items[3].message, "jumps so in 6 more places");
  pc_faults_free(&faults);
  pc_storm_csv_free(&storm);
  pc_text_free(&many);
}

/* Pieces as long as they happen to be, a record that goes over to longer steps, what is dry, and days. */
static void test_no_gaps(void **state) {
  (void)state;
  expect_cautions("time,rate\n0,1\n0:30,2\n6,1\n7:15,3\n8,0\n", "");
  expect_cautions("time,rate\n0,1\n1,2\n6,1\n7,3\n8,0\n", ""); /* too few to say what is usual */
  expect_cautions("time,rate\n0,1\n1,1\n2,1\n3,1\n4,1\n7,1\n10,1\n13,1\n16,0\n", "");
  expect_cautions("time,rate\n0,1\n1,1\n2,1\n3,1\n4,1\n7,1\n10,0\n", "");
  expect_cautions("time,rate\n0,1\n3,1\n6,1\n9,1\n10,1\n11,1\n12,0\n", "");
  expect_cautions("time,rate\n0,1\n1,1\n2,0\n9,1\n10,1\n11,1\n12,0\n", "");
  expect_cautions("time,rate\n0,1\n1,1\n2,1\n3.4,1\n4.4,1\n5.4,1\n6.4,0\n", "");
  expect_cautions("time,precipitation,temperature\n0,1,-5\n1,1,4\n8,1,-5\n9,1,-5\n10,1,-5\n11,0,-5\n", "");
  expect_cautions(
      "date,precipitation,temperature\n2021-01-01,1,-5\n2021-01-02,1,-5\n2021-01-09,1,-5\n"
      "2021-01-10,1,-5\n2021-01-11,1,-5\n2021-01-12,1,-5\n2021-01-13,0,-5\n",
      "");
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

static void expect_same(const char *metric, const char *us, const pc_snow *snow) {
  pc_storm_csv a = read_good(metric, snow), b = read_good(us, snow);
  assert_int_equal(a.count, b.count);
  for (size_t i = 0; i < a.count; i++) {
    NEAR(b.pieces[i].after_s, a.pieces[i].after_s);
    NEAR(b.pieces[i].rate_mps, a.pieces[i].rate_mps);
    NEAR(b.pieces[i].rain_mps, a.pieces[i].rain_mps);
    assert_int_equal(isnan(b.pieces[i].temperature_c), isnan(a.pieces[i].temperature_c));
    assert_int_equal(isnan(b.pieces[i].wind_mps), isnan(a.pieces[i].wind_mps));
    if (!isnan(a.pieces[i].temperature_c))
      NEAR(b.pieces[i].temperature_c, a.pieces[i].temperature_c);
    if (!isnan(a.pieces[i].wind_mps))
      NEAR(b.pieces[i].wind_mps, a.pieces[i].wind_mps);
  }
  NEAR(b.depth_m, a.depth_m);
  NEAR(b.snow_water_m + b.rain_water_m, a.snow_water_m + a.rain_water_m);
  pc_storm_csv_free(&a);
  pc_storm_csv_free(&b);
}

/* An inch is 2.54 cm, a mile an hour 0.44704 m/s, 23 °F are −5 °C, 14 °F −10 °C, 33.8 °F 1 °C (NIST SP 811,
 * appendix B). */
static void test_units(void **state) {
  (void)state;
  pc_snow snow = pc_snow_default();
  snow.density_formula = PC_DENSITY_PAHAUT; /* the one that asks for wind */
  static const char *const inches[] = {
      "time,rate_in/h,temperature_F,wind_mph\n0,1,23,10\n1:30,0.5,14,\n2,0,,\n",
      "time,rate_in_h,temperature_f,wind_MPH\n0,1,23,10\n1:30,0.5,14,\n2,0,,\n",
      "wind_mph,rate_mm/h,temperature_F,time\n10,25.4,23,0\n,12.7,14,1:30\n,0,,2\n",
      "time,rate_cm/h,temperature_C,wind_m/s\n0,2.54,-5,4.4704\n1:30,1.27,-10,\n2,0,,\n"};
  for (size_t i = 0; i < sizeof inches / sizeof inches[0]; i++)
    expect_same("time,rate,temperature,wind\n0,2.54,-5,4.4704\n1:30,1.27,-10,\n2,0,,\n", inches[i], &snow);
  expect_same("time,precipitation,temperature,wind\n0,2.54,1,9\n2,0,-5,9\n",
              "time,precipitation_in/h,temperature_F,wind\n0,0.1,33.8,9\n2,0,23,9\n", &snow);
  expect_same("date,precipitation,temp_min,temp_max\n2021-01-30,25.4,-10,-5\n2021-01-31,0,-5,-5\n",
              "date,precipitation_in,temp_min_F,temp_max_F\n2021-01-30,1,14,23\n2021-01-31,0,23,23\n", NULL);
  /* What is no unit of its kind is told, with what is allowed, and so is a unit twice. */
  expect_bad("time,rate_inch\n0,1\n1,0\n",
             "s.csv:1:6: rate_inch: inch is not a unit of rate of fall; allowed: mm/h cm/h in/h\n");
  expect_bad("time,rate,temperature_K,wind_knots\n0,1,270,3\n1,0,270,3\n",
             "s.csv:1:11: temperature_K: K is not a unit of temperature; allowed: C F\n"
             "s.csv:1:25: wind_knots: knots is not a unit of speed; allowed: m/s km/h mph ft/min\n");
  expect_bad("time,precipitation_in,temperature\n0,1,0\n1,0,0\n",
             "s.csv:1:6: precipitation_in: in is not a unit of rate of fall; allowed: mm/h cm/h in/h\n");
  expect_bad(
      "date,precipitation_in/h,temperature\n2021-01-01,1,0\n",
      "s.csv:1:6: precipitation_in/h: in/h is not a unit of length; allowed: mm cm m km in ft yd mi\n");
  expect_bad("time,rate_in/h,rate_mm/h\n0,1,1\n1,0,0\n",
             "s.csv:1:16: rate_mm/h: stands beside rate_in/h; give one of the two\n");
  expect_bad("time,rate_in/h,precipitation_mm/h\n0,1,1\n1,0,0\n",
             "s.csv:1:16: precipitation_mm/h: stands beside rate_in/h; give one of the two\n");
  /* A fault in a row has the name that stands above it. */
  expect_bad("time,rate_in/h,temperature_F\n0,-1,20\n1,x,20\n2,50,20\n3,0,1e3\n",
             "s.csv:2:3: rate_in/h: -1 must not be less than 0\n"
             "s.csv:3:3: rate_in/h: \"x\" must be a plain number\n"
             "s.csv:4:3: rate_in/h: 127 cm/h is outside what is allowed: 0 cm/h … 100 cm/h\n"
             "s.csv:5:5: temperature_F: 537.778 C is outside what is allowed: -60 C … 60 C\n");
}

/* Other columns of weather records are no storm in a strange unit. */
static void test_other_columns(void **state) {
  (void)state;
  static const char text[] =
      "time,precipitation,temperature,wind_speed,wind_direction,wind_gusts_mph,wind_m/s\n"
      "0,1,-3,2,180,9,2\n1,0,-3,2,180,9,2\n";
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_snow snow = pc_snow_default();
  assert_int_equal(pc_storm_csv_read_text("s.csv", text, strlen(text), &snow, &storm, &faults), PC_OK);
  assert_int_equal(faults.count, 1);
  assert_true(faults.items[0].caution);
  assert_string_equal(faults.items[0].message,
                      "columns that are not used: wind_speed, wind_direction, wind_gusts_mph");
  NEAR(storm.pieces[0].wind_mps, 2);
  pc_faults_free(&faults);
  pc_storm_csv_free(&storm);
}

static void test_faults(void **state) {
  (void)state;
  expect_bad("", "s.csv: is empty: it needs a line with the names of the columns, then rows\n");
  expect_bad("time,rate\n", "s.csv: has no rows below the names of the columns\n");
  expect_bad("time;rate\n0;1,5\n2;0\n",
             "s.csv:1: has semicolons where commas have to separate the columns (numbers then need decimal "
             "points)\n");
  expect_bad("zeit,rate\n0,1\n",
             "s.csv:1: time: is missing: the first line must name the columns, such as "
             "time,rate,temperature or time,precipitation,temperature\n");
  expect_bad("time,date,rate\n", "s.csv:1:6: date: stands beside time; give one of the two\n");
  expect_bad("time,rate,rate\n", "s.csv:1:11: rate: is the name of two columns\n");
  expect_bad("time,rate,precipitation\n",
             "s.csv:1:11: precipitation: stands beside rate; give one of the two\n");
  expect_bad("time,wind\n",
             "s.csv:1: rate: is missing: give rate in cm/h of snow, or precipitation in mm/h of water; in "
             "inches an hour as rate_in/h or precipitation_in/h\n");
  expect_bad("date,rate\n",
             "s.csv:1: precipitation: is missing: a daily record needs it, in mm, or in inches as "
             "precipitation_in\n");
  expect_bad("time,precipitation\n",
             "s.csv:1: temperature: is missing: it tells snow from rain; in C, or in F as temperature_F\n");
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
      cmocka_unit_test(test_gaps),         cmocka_unit_test(test_no_gaps),
      cmocka_unit_test(test_in_scenario),  cmocka_unit_test(test_times),
      cmocka_unit_test(test_ends),         cmocka_unit_test(test_precipitation),
      cmocka_unit_test(test_faults),       cmocka_unit_test(test_limit),
      cmocka_unit_test(test_units),        cmocka_unit_test(test_other_columns),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
