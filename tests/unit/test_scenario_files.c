// SPDX-License-Identifier: GPL-3.0-or-later
/* The scenario files that come with the library, the schema, files on disk. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "io/run_text.h"
#include "io/schema.h"
#include "io/starter.h"
#include "read_good.h"

/* A line of a starter, taken apart. */
typedef struct line {
  const char *text, *body, *end; /* the body is without "# ", and may end in a comment of its own */
  bool commented, key;           /* a key, and not a remark; optional if it is commented */
  bool excluded;                 /* it excludes another one */
} line;

/* The line that begins at *at, which is left at the next one; false at the end. */
static bool next_line(const char **at, line *l) {
  const char *text = *at;
  size_t length = strcspn(text, "\n"), indent = strspn(text, " ");
  if (!*text)
    return false;
  *at = text + length + (text[length] == '\n');
  *l = (line){.text = text, .body = text + indent, .end = text + length};
  l->commented = strncmp(l->body, "# ", 2) == 0;
  l->body += l->commented ? 2 : 0;
  const char *word = l->body + strspn(l->body, " ");
  word += strncmp(word, "- ", 2) == 0 ? 2 : 0;
  size_t letters = strspn(word, "abcdefghijklmnopqrstuvwxyz_");
  l->key = (letters > 0 && word[letters] == ':') || *word == '{';
  l->excluded = strncmp(word, "at:", 3) == 0 || strncmp(word, "air_temperature:", 16) == 0;
  return true;
}

/* Takes the "# " off every optional key of the starter, except those that exclude each other. */
static void uncomment(const char *text, pc_text *out) {
  line l;
  while (next_line(&text, &l))
    if (l.commented && l.key && !l.excluded)
      pc_text_addf(out, "%*s%.*s\n", (int)strspn(l.text, " "), "", (int)(l.end - l.body), l.body);
    else
      pc_text_addf(out, "%.*s\n", (int)(l.end - l.text), l.text);
}

static void test_starter(void **state) {
  (void)state;
  pc_scenario s = read_good(pc_starter_scenario(), NULL, 0, 0);
  assert_int_equal(s.zone_count, 2);
  assert_int_equal(s.box_count, 1);
  /* With every optional key in use it still reads, and the defaults that it names are the defaults. */
  pc_text text = {0};
  uncomment(pc_starter_scenario(), &text);
  pc_scenario all = read_good(text.data, NULL, 0,
                              3); /* side_plate beside heap_factor, season beside storm, density of both */
  assert_int_equal(all.crew_count, 1);
  assert_int_equal(all.site.keep_clear_count, 3);
  NEAR(all.snow.pushed_density_kgpm3, s.snow.pushed_density_kgpm3);
  NEAR(all.snow.pile_density_kgpm3, s.snow.pile_density_kgpm3);
  NEAR(all.snow.repose_angle_rad, s.snow.repose_angle_rad);
  NEAR(all.snow.done_below_m, s.snow.done_below_m);
  NEAR(all.snow.fresh_density_kgpm3, pc_snow_fresh_density(&s.snow));
  NEAR(all.boxes[0].side_leak, s.boxes[0].side_leak);
  NEAR(all.boxes[0].spill_from, s.boxes[0].spill_from);
  NEAR(all.boxes[0].leave, s.boxes[0].leave);
  NEAR(all.loaders[0].lower_s, s.loaders[0].lower_s);
  NEAR(all.loaders[0].raise_s, s.loaders[0].raise_s);
  NEAR(all.loaders[0].dump_s, s.loaders[0].dump_s);
  NEAR(all.loaders[0].shift_s, s.loaders[0].shift_s);
  NEAR(all.loaders[0].turn_s, s.loaders[0].turn_s);
  NEAR(all.loaders[0].machine_width_m, s.loaders[0].machine_width_m);
  NEAR(all.loaders[0].machine_length_m, s.loaders[0].machine_length_m);
  NEAR(all.loaders[0].drive_efficiency, s.loaders[0].drive_efficiency);
  NEAR(all.loaders[0].snow_friction, s.loaders[0].snow_friction);
  NEAR(all.loaders[0].box_friction, s.loaders[0].box_friction);
  NEAR(all.loaders[0].rolling_resistance, s.loaders[0].rolling_resistance);
  NEAR(all.zones[0].height_m, s.zones[0].height_m);
  NEAR(all.zones[0].stack, s.zones[0].stack);
  assert_int_equal(all.zones[0].berths, s.zones[0].berths);
  NEAR(all.full_at, s.full_at);
  NEAR(all.work_minutes_per_hour, s.work_minutes_per_hour);
  NEAR(all.station_m, s.station_m);
  assert_string_equal(all.policy.text, s.policy.text);
  NEAR(all.money.fuel_per_m3, 1600);
  NEAR(all.snow.snow_below_c, s.snow.snow_below_c);
  NEAR(all.snow.rain_above_c, s.snow.rain_above_c);
  NEAR(all.site.areas[0].opens_s, s.site.areas[0].opens_s);
  assert_int_equal(all.site.area_count, 2);
  assert_string_equal(all.site.areas[1].into.text, "yard");
  assert_int_equal(all.site.passages[0].machines, pc_passage_default().machines);
  assert_int_equal(all.boxes[0].blade, s.boxes[0].blade);
  NEAR(all.crew[0].from_s, pc_crew_entry_default().from_s);
  NEAR(all.keep_apart_m, s.keep_apart_m);
  assert_int_equal(all.storm_count, 2);
  assert_int_equal(all.compare.crews.count, 3);
  pc_text_free(&text);
  pc_scenario_free(&all);
  pc_scenario_free(&s);
}

/* The comment behind a key, or the end of the line. */
static const char *remark_of(const line *l) {
  for (const char *at = l->body; at + 1 < l->end; at++)
    if (at[0] == ' ' && at[1] == '#')
      return at;
  return l->end;
}

/* The keys of a line, each with its colon, as deep as they stand, "# " before what is optional. */
static void add_keys(const line *l, pc_text *out) {
  pc_text_addf(out, "%*s%s", (int)strspn(l->text, " "), "", l->commented ? "# " : "");
  pc_text_addf(out, "%*s", (int)strspn(l->body, " "), "");
  for (const char *at = l->body, *end = remark_of(l); at < end; at++) {
    size_t letters = strspn(at, "abcdefghijklmnopqrstuvwxyz_");
    if (letters > 0 && at[letters] == ':')
      pc_text_addf(out, "%.*s:", (int)letters, at);
    at += letters;
  }
  pc_text_add(out, "\n");
}

static void keys_of(const char *text, pc_text *out) {
  line l;
  while (next_line(&text, &l))
    if (l.key)
      add_keys(&l, out);
}

/* The quantity at the beginning of a text, "1 ft" of "1 ft, at most", in SI; false: there is none. */
static bool leading_quantity(const char *text, size_t length, pc_dimension dimension, double *value) {
  char quantity[64];
  size_t end = strcspn(text, ",:;(\n");
  end = end < length ? end : length;
  snprintf(quantity, sizeof quantity, "%.*s", (int)end, text);
  return pc_units_parse(quantity, dimension, value, NULL) == PC_OK;
}

/* What is named as the default in feet is the default in metres: in the same words, or the same in another
 * unit, or with an "about" that is true to 3 %. Returns 1 where there was something to convert. */
static int check_default(const char *metric, const char *us, size_t us_length) {
  static const char about[] = ", about ";
  double value, other;
  size_t same = strcspn(metric, "\n");
  if (us_length == same && strncmp(metric, us, same) == 0)
    return 0;
  for (int d = 0; d < PC_DIM_COUNT; d++) {
    if (pc_dimension_bare((pc_dimension)d) || !leading_quantity(metric, same, (pc_dimension)d, &value) ||
        !leading_quantity(us, us_length, (pc_dimension)d, &other))
      continue;
    size_t words = strcspn(us, ",:;(\n");
    if (strncmp(us + words, about, sizeof about - 1) == 0) {
      assert_true(strncmp(metric, us, words) == 0);
      us += words + sizeof about - 1;
      assert_true(leading_quantity(us, strcspn(us, "\n"), (pc_dimension)d, &other));
      assert_true(fabs(other - value) <= 0.03 * fabs(value));
    } else {
      assert_true(fabs(other - value) <= 1e-9);
    }
    return 1;
  }
  print_error("default \"%.*s\" in metres, \"%.*s\" in feet\n", (int)same, metric, (int)us_length, us);
  fail();
  return 0;
}

/* Both starters have the same keys in the same order, and tell of the same defaults. */
static void test_starters_agree(void **state) {
  (void)state;
  pc_text metric = {0}, us = {0};
  keys_of(pc_starter_scenario(), &metric);
  keys_of(pc_starter_scenario_in(PC_US), &us);
  assert_string_equal(metric.data, us.data);
  assert_non_null(strstr(us.data, "\n  # fresh_density:\n"));
  assert_non_null(strstr(us.data, "\n    # breakdown:between:repair:\n"));
  assert_string_equal(pc_starter_scenario_in(PC_METRIC), pc_starter_scenario());
  const char *a = pc_starter_scenario(), *b = pc_starter_scenario_in(PC_US);
  int converted = 0;
  for (line l, m; next_line(&a, &l);) {
    if (!l.key)
      continue;
    do
      assert_true(next_line(&b, &m));
    while (!m.key);
    const char *was = strstr(remark_of(&l), "Default "), *is = strstr(remark_of(&m), "Default ");
    bool has = was && was < l.end;
    assert_int_equal(has, is && is < m.end);
    if (has && is)
      converted += check_default(was + 8, is + 8, (size_t)(m.end - is) - 8);
  }
  assert_true(converted > 20);
  pc_text_free(&metric);
  pc_text_free(&us);
}

/* "4 in" of a body is a number and a unit; none of the units may be a metric one. */
static void expect_us_units(const line *l) {
  static const char *const metric[] = {"mm",    "cm",    "m",    "km",   "ha",    "m2", "m3",  "l",
                                       "kg",    "t",     "m/s",  "km/h", "m/s2",  "kW", "C",   "N",
                                       "kg/m3", "l/kWh", "mm/h", "cm/h", "l/min", "/l", "/m3", "l/h"};
  for (const char *at = l->body, *end = remark_of(l); at + 2 < end; at++) {
    if (at[0] < '0' || at[0] > '9' || at[1] != ' ')
      continue;
    size_t length = strcspn(at + 2, " ,}]\n");
    for (size_t i = 0; i < sizeof metric / sizeof metric[0]; i++)
      if (strlen(metric[i]) == length && strncmp(at + 2, metric[i], length) == 0) {
        print_error("%.*s\n", (int)(l->end - l->text), l->text);
        fail();
      }
  }
}

static void expect_run(const char *text) {
  const pc_override once = {"chance.replications", "1", NULL};
  pc_text json = {0}, messages = {0};
  pc_status status = pc_run_text("starter", text, &once, 1, 1, &json, &messages);
  if (status != PC_OK)
    print_error("%s\n", messages.data ? messages.data : "");
  assert_int_equal(status, PC_OK);
  assert_non_null(strstr(json.data, "\"finished\": true"));
  pc_text_free(&json);
  pc_text_free(&messages);
}

/* The starter in feet runs as it is and with every optional key in use; a foot is 0.3048 m, an inch 25.4 mm
 * (NIST SP 811, appendix B). */
static void test_starter_in_feet(void **state) {
  (void)state;
  const char *starter = pc_starter_scenario_in(PC_US), *rest = starter;
  pc_scenario s = read_good(starter, NULL, 0, 0);
  assert_int_equal(s.units, PC_US);
  assert_int_equal(s.zone_count, 2);
  NEAR(s.snow.depth_m, 4 * 0.0254);
  NEAR(fabs(pc_ring_area_m2(&s.site.areas[0].outline)), 400 * 260 * 0.3048 * 0.3048);
  pc_text text = {0};
  uncomment(starter, &text);
  pc_scenario all = read_good(text.data, NULL, 0, 3); /* as the one in metres */
  assert_int_equal(all.site.area_count, 2);
  assert_int_equal(all.crew_count, 1);
  assert_int_equal(all.storm_count, 2);
  NEAR(all.siting.hydrant_m, s.siting.hydrant_m);
  for (line l; next_line(&rest, &l);)
    if (l.key)
      expect_us_units(&l);
  expect_run(starter);
  expect_run(text.data);
  pc_text_free(&text);
  pc_scenario_free(&all);
  pc_scenario_free(&s);
}

static void test_demo(void **state) {
  (void)state;
  pc_scenario s = read_good(pc_demo_scenario(), NULL, 0, 0);
  assert_int_equal(s.box_count, 6);
  assert_int_equal(s.zone_count, 5);
  assert_int_equal(s.layout_count, 4);
  double area = 0;
  for (size_t i = 0; i < s.site.area_count; i++)
    area += fabs(pc_ring_area_m2(&s.site.areas[i].outline));
  assert_true(area > 33000 && area < 37000);
  pc_scenario_free(&s);
}

/* Reading twice gives the same, and writing the schema is repeatable; its content is checked by
 * check_schema.py. */
static void test_schema(void **state) {
  (void)state;
  pc_text once = {0}, twice = {0};
  assert_int_equal(pc_schema_write(&once), PC_OK);
  assert_int_equal(pc_schema_write(&twice), PC_OK);
  assert_string_equal(once.data, twice.data);
  assert_non_null(strstr(once.data, "https://json-schema.org/draft/2020-12/schema"));
  const pc_fields *tables[] = {&pc_snow_fields, &pc_box_fields, &pc_zone_fields, &pc_chance_fields};
  for (size_t t = 0; t < sizeof tables / sizeof tables[0]; t++) {
    for (size_t i = 0; i < tables[t]->count; i++) {
      char key[PC_KEY_MAX];
      snprintf(key, sizeof key, "\"%s\": {", tables[t]->items[i].key);
      assert_non_null(strstr(once.data, key));
    }
  }
  pc_text_free(&once);
  pc_text_free(&twice);
}

static void test_files(void **state) {
  (void)state;
  pc_scenario s;
  pc_faults faults = {0};
  assert_int_equal(pc_scenario_read("no/such.yaml", NULL, 0, &s, &faults), PC_ERR_FILE);
  assert_int_equal(faults.count, 1);
  assert_null(s.boxes);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_starter),         cmocka_unit_test(test_starters_agree),
      cmocka_unit_test(test_starter_in_feet), cmocka_unit_test(test_demo),
      cmocka_unit_test(test_schema),          cmocka_unit_test(test_files),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
