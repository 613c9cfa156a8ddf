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

#include "io/schema.h"
#include "io/starter.h"
#include "read_good.h"

/* Takes the "# " off every optional key of the starter, except those that exclude each other. */
static void uncomment(const char *text, pc_text *out) {
  while (*text) {
    size_t length = strcspn(text, "\n"), indent = strspn(text, " ");
    const char *body = text + indent + 2;
    bool comment = strncmp(text + indent, "# ", 2) == 0;
    const char *word = body + strspn(body, " ");
    word += strncmp(word, "- ", 2) == 0 ? 2 : 0;
    size_t letters = strspn(word, "abcdefghijklmnopqrstuvwxyz_");
    bool key = comment && ((letters > 0 && word[letters] == ':') || *word == '{');
    bool excluded = strncmp(word, "at:", 3) == 0 || strncmp(word, "air_temperature:", 16) == 0;
    if (key && !excluded)
      pc_text_addf(out, "%.*s%.*s\n", (int)indent, text, (int)(length - indent - 2), body);
    else
      pc_text_addf(out, "%.*s\n", (int)length, text);
    text += length + (text[length] == '\n');
  }
}

static void test_starter(void **state) {
  (void)state;
  pc_scenario s = read_good(pc_starter_scenario(), NULL, 0, 0);
  assert_int_equal(s.zone_count, 2);
  assert_int_equal(s.box_count, 1);
  /* With every optional key in use it still reads, and the defaults that it names are the defaults. */
  pc_text text = {0};
  uncomment(pc_starter_scenario(), &text);
  pc_scenario all = read_good(text.data, NULL, 0, 2); /* side_plate beside heap_factor, season beside storm */
  assert_int_equal(all.crew_count, 1);
  assert_int_equal(all.site.keep_clear_count, 2);
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
      cmocka_unit_test(test_starter),
      cmocka_unit_test(test_demo),
      cmocka_unit_test(test_schema),
      cmocka_unit_test(test_files),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
