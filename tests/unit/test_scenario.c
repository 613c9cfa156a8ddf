// SPDX-License-Identifier: GPL-3.0-or-later
/* Scenario files: every key to its field, defaults, overrides, names, one message for one slip. Factors in
 * the expected values are those of NIST SP 811, appendix B (foot, inch, pound, mile, horsepower). */
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
#include "io/schema.h"
#include "io/starter.h"
#include "io/tree.h"
#include "read_good.h"

/* Reads something faulty; all faults, one a line. The caller frees *lines. */
static void read_bad(const char *text, const pc_override *overrides, size_t count, pc_text *lines) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status =
      pc_scenario_read_text("lot.yaml", text, strlen(text), overrides, count, &scenario, &faults);
  assert_int_not_equal(status, PC_OK);
  assert_null(scenario.boxes);
  for (size_t i = 0; i < faults.count; i++) {
    char line[1024];
    (void)pc_error_format(&faults.items[i], line, sizeof line);
    pc_text_addf(lines, "%s\n", line);
  }
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
}

static void expect_bad(const char *text, const pc_override *overrides, size_t count, const char *expected) {
  pc_text lines = {0};
  read_bad(text, overrides, count, &lines);
  assert_string_equal(lines.data, expected);
  pc_text_free(&lines);
}

static const char minimal[] =
    "snow: {depth: 10 cm}\n"
    "site:\n"
    "  areas: [{outline: [[0, 0], [100, 0], [100, 60], [0, 60]]}]\n"
    "boxes: [{width: 4 m, height: 1.2 m}]\n"
    "loaders: [{speeds: {push: 7.2 km/h, carry: 3 m/s, return: 4 m/s}}]\n"
    "zones: [{at: [0, 30]}]\n";

static const char full[] =
    "pushcycle: 1\n"
    "name: Test lot\n"
    "snow: {depth: 4 in, fresh_density: 6 lb/ft3, pushed_density: 251 kg/m3, pile_density: 452 kg/m3,\n"
    "       repose_angle: 41 deg, done_below: 12 mm, trigger: 2 in, snow_below: -1 C, rain_above: 34 F}\n"
    "site:\n"
    "  areas:\n"
    "    - {name: east, outline: [[0, 0], [100, 0], [100, 60], [0, 60]], heading: 90 deg, after: []}\n"
    "    - {name: road, outline: [[100, 0], [130, 0], [130, 60], [100, 60], [100, 0]], after: east,\n"
    "       loaders: [mid], into: east, opens: 30 min, clear_by: 6 h, sweep_before: 20 min,\n"
    "       open_to: mid}\n"
    "  ground:\n"
    "    - {name: apron, open_to: [mid], outline: [[0, -10], [130, -10], [130, 0], [0, 0]]}\n"
    "  obstacles:\n"
    "    - {name: stone, kind: island, outline: [[10, 10], [12, 10], [12, 12]]}\n"
    "    - {name: mast, kind: pole, at: [20, 21], radius: 40 cm}\n"
    "  origin: [-0.5, 60.25]\n"
    "  keep_clear:\n"
    "    - {name: tap, kind: hydrant, at: [3, 4], radius: 1.5 m}\n"
    "    - {name: ramp, kind: accessible, outline: [[30, 0], [36, 0], [36, 5]]}\n"
    "  passages:\n"
    "    - {name: gate, outline: [[99, 0], [101, 0], [101, 60]], machines: 2}\n"
    "    - {name: arch, at: [50, 5], radius: 3 m}\n"
    "  units: m\n"
    "boxes:\n"
    "  - {name: 16 ft, width: 16 ft, height: 48 in, heap_factor: 3 ft, side_plate: 40 in, mass: 2900 lb,\n"
    "     overlap: 1 ft, side_leak: 3 %, spill_from: 0.8, leave: 0.02}\n"
    "  - {name: 12 ft, width: 12 ft, height: 42 in}\n"
    "  - {name: wing, width: 3 m, blade: right, price: 4200, seasons: 6.5, count: 2}\n"
    "loaders:\n"
    "  - name: mid\n"
    "    speeds: {push: 5 mph, carry: 12 km/h, return: 4 m/s, reverse: 300 ft/min}\n"
    "    acceleration: 0.8 m/s2\n"
    "    times: {lower: 2.1 s, raise: 2.2 s, dump: 0.15 min, shift: 1.6 s, turn: 8.5 s}\n"
    "    machine_width: 2.6 m\n"
    "    machine_length: 7.9 m\n"
    "    back_out: 6 m\n"
    "    power: 170 hp\n"
    "    mass: 14 t\n"
    "    traction: 0.26\n"
    "    drive_efficiency: 71 %\n"
    "    snow_friction: 0.41\n"
    "    box_friction: 0.31\n"
    "    rolling_resistance: 0.051\n"
    "    grade: 1 %\n"
    "    fuel: {per_kwh: 0.25, idle: 4.5, tank: 180, refuel: 1.25}\n"
    "    breakdown: {between: 40 h, repair: 90 min}\n"
    "    boxes: [wing, 16 ft]\n"
    "zones:\n"
    "  - {name: west, outline: [[-8, 0], [0, 0], [0, 60], [-8, 60]], height: 4 m, berths: 2, stack: 0.6}\n"
    "  - {name: north, at: [50, 60], volume: 900 m3}\n"
    "layouts:\n"
    "  - {name: one, zones: west}\n"
    "  - {name: both, zones: [west, north]}\n"
    "crew:\n"
    "  - {loader: mid, box: 16 ft, count: 2, start: [5, 6], areas: [east, road], first: [east], from: 10 "
    "min,\n"
    "     until: 8 h, breaks: {every: 4 h, for: 30 min}, keep: true}\n"
    "policy: straight-runs\n"
    "full_at: 90 %\n"
    "work_minutes_per_hour: 50\n"
    "station: 1.5 m\n"
    "keep_apart: 15 ft\n"
    "fuel_point: [7, 8]\n"
    "storm:\n"
    "  - {after: 0 h, rate: 1 in/h, temperature: 23 F, wind: 18 km/h}\n"
    "  - {after: 90 min, rate: 2 cm/h}\n"
    "  - {after: 3 h, rate: 0 cm/h}\n"
    "chance: {replications: 31, seed: 7, fill: 5 %, carry: 0.11, dump: 20 %, return: 12 %, turn: 21 %}\n"
    "near: {distance: 6 ft, speed: 5.5 km/h, border: 0.4 m}\n"
    "siting: {building: 2.1 m, fence: 2.2 m, obstacle: 2.3 m, hydrant: 40 in, hydrant_front: 61 in,\n"
    "         drain: 2.4 m, door: 2.5 m, accessible: 2.6 m, sight: 2.7 m, pavement: 2.8 m, lane: 2.9 m}\n"
    "money: {currency: USD, machine: 90 /h, operator: 36 /h, fuel: 1.60 /l, haul_off: 12 /m3, interest: 7 "
    "%}\n"
    "season: [{depth: 6 cm, storms: 9}, {depth: 5 in, storms: 2.5}]\n"
    "compare: {layouts: all, boxes: [16 ft, 12 ft], loaders: mid, policies: [a, b], within: 2.5 min, mixed: "
    "true, depths: "
    "[10 cm, 20 "
    "cm],\n"
    "          crews: [1, 2, 5]}\n";

static const char weather[] =
    "snow: {depth: 10 cm, air_temperature: 23 F, wind: 3 m/s, density_formula: pahaut}\n";

static void check_snow_and_site(const pc_scenario *s) {
  NEAR(s->snow.depth_m, 0.1016);
  NEAR(s->snow.fresh_density_kgpm3, 6 * 0.45359237 / (0.3048 * 0.3048 * 0.3048));
  NEAR(s->snow.pushed_density_kgpm3, 251);
  NEAR(s->snow.pile_density_kgpm3, 452);
  NEAR(s->snow.repose_angle_rad, 41 * 3.14159265358979323846 / 180);
  NEAR(s->snow.done_below_m, 0.012);
  assert_int_equal(s->site.area_count, 2);
  assert_string_equal(s->site.areas[0].name.text, "east");
  NEAR(s->site.areas[0].heading_rad, 3.14159265358979323846 / 2);
  assert_int_equal(s->site.areas[0].outline.count, 4);
  NEAR(s->site.areas[0].outline.points[2].x_m, 100);
  NEAR(s->site.areas[0].outline.points[2].y_m, 60);
  assert_int_equal(s->site.areas[1].outline.count, 4); /* the first corner was repeated */
  assert_int_equal(s->site.ground_count, 1);
  assert_string_equal(s->site.ground[0].name.text, "apron");
  NEAR(s->site.ground[0].outline.points[0].y_m, -10);
  assert_int_equal(s->site.obstacle_count, 2);
  assert_int_equal(s->site.obstacles[1].outline.count, 0);
  NEAR(s->site.obstacles[1].at.y_m, 21);
  NEAR(s->site.obstacles[1].radius_m, 0.4);
  NEAR(s->site.origin_lon_deg, -0.5);
  NEAR(s->site.origin_lat_deg, 60.25);
  assert_string_equal(s->site.obstacles[0].name.text, "stone");
  assert_int_equal(s->site.obstacles[0].kind, PC_OBSTACLE_ISLAND);
  assert_int_equal(s->site.obstacles[0].outline.count, 3);
  assert_int_equal(s->site.keep_clear_count, 2);
  assert_string_equal(s->site.keep_clear[0].name.text, "tap");
  assert_int_equal(s->site.keep_clear[0].kind, PC_KEEP_HYDRANT);
  NEAR(s->site.keep_clear[0].at.x_m, 3);
  NEAR(s->site.keep_clear[0].at.y_m, 4);
  NEAR(s->site.keep_clear[0].radius_m, 1.5);
  assert_int_equal(s->site.keep_clear[1].kind, PC_KEEP_ACCESSIBLE);
  assert_int_equal(s->site.keep_clear[1].outline.count, 3);
}

static void check_machines(const pc_scenario *s) {
  assert_int_equal(s->box_count, 3);
  const pc_box *box = &s->boxes[0];
  assert_string_equal(box->name.text, "16 ft");
  NEAR(box->width_m, 4.8768);
  NEAR(box->height_m, 1.2192);
  NEAR(box->heap_factor_m, 0.9144);
  NEAR(box->side_plate_m, 1.016);
  NEAR(box->mass_kg, 2900 * 0.45359237);
  NEAR(box->overlap_m, 0.3048);
  NEAR(box->side_leak, 0.03);
  NEAR(box->spill_from, 0.8);
  NEAR(box->leave, 0.02);
  NEAR(s->boxes[1].width_m, 3.6576);
  assert_int_equal(s->loader_count, 1);
  const pc_loader *loader = &s->loaders[0];
  assert_string_equal(loader->name.text, "mid");
  NEAR(loader->push_speed_mps, 5 * 1609.344 / 3600);
  NEAR(loader->carry_speed_mps, 12 / 3.6);
  NEAR(loader->return_speed_mps, 4);
  NEAR(loader->reverse_speed_mps, 300 * 0.3048 / 60);
  NEAR(loader->acceleration_mps2, 0.8);
  NEAR(loader->lower_s, 2.1);
  NEAR(loader->raise_s, 2.2);
  NEAR(loader->dump_s, 9);
  NEAR(loader->shift_s, 1.6);
  NEAR(loader->turn_s, 8.5);
  NEAR(loader->machine_width_m, 2.6);
  NEAR(loader->machine_length_m, 7.9);
  NEAR(loader->back_out_m, 6);
  NEAR(loader->power_w, 170 * 550 * 0.3048 * 0.45359237 * 9.80665);
  NEAR(loader->mass_kg, 14000);
  NEAR(loader->traction, 0.26);
  NEAR(loader->drive_efficiency, 0.71);
  NEAR(loader->snow_friction, 0.41);
  NEAR(loader->box_friction, 0.31);
  NEAR(loader->rolling_resistance, 0.051);
  NEAR(loader->grade, 0.01);
  NEAR(loader->fuel_per_kwh_l, 0.25);
  NEAR(loader->fuel_idle_lph, 4.5);
}

static void check_plan(const pc_scenario *s) {
  assert_int_equal(s->zone_count, 2);
  assert_string_equal(s->zones[0].name.text, "west");
  assert_int_equal(s->zones[0].outline.count, 4);
  NEAR(s->zones[0].height_m, 4);
  assert_int_equal(s->zones[0].berths, 2);
  NEAR(s->zones[0].stack, 0.6);
  assert_int_equal(s->zones[1].outline.count, 0);
  NEAR(s->zones[1].at.x_m, 50);
  NEAR(s->zones[1].volume_m3, 900);
  assert_int_equal(s->layout_count, 2);
  assert_string_equal(s->layouts[0].name.text, "one");
  assert_int_equal(s->layouts[0].zones.count, 1);
  assert_string_equal(s->layouts[0].zones.items[0].text, "west");
  assert_string_equal(s->layouts[1].zones.items[1].text, "north");
  assert_int_equal(s->crew_count, 1);
  assert_string_equal(s->crew[0].loader.text, "mid");
  assert_string_equal(s->crew[0].box.text, "16 ft");
  assert_int_equal(s->crew[0].count, 2);
  assert_true(s->crew[0].has_start);
  NEAR(s->crew[0].start.x_m, 5);
  NEAR(s->crew[0].start.y_m, 6);
  assert_int_equal(s->crew[0].areas.count, 2);
  assert_string_equal(s->crew[0].areas.items[1].text, "road");
  assert_int_equal(s->crew[0].first.count, 1);
  assert_string_equal(s->crew[0].first.items[0].text, "east");
  assert_string_equal(s->name.text, "Test lot");
  assert_string_equal(s->policy.text, "straight-runs");
  NEAR(s->full_at, 0.9);
  NEAR(s->work_minutes_per_hour, 50);
  NEAR(s->station_m, 1.5);
}

static void check_study(const pc_scenario *s) {
  assert_int_equal(s->chance.replications, 31);
  assert_int_equal(s->chance.seed, 7);
  NEAR(s->near.distance_m, 6 * 0.3048);
  NEAR(s->near.speed_mps, 5.5 / 3.6);
  NEAR(s->near.border_m, 0.4);
  const pc_siting *siting = &s->siting;
  const double limits[] = {siting->building_m, siting->fence_m,    siting->obstacle_m,
                           siting->drain_m,    siting->door_m,     siting->accessible_m,
                           siting->sight_m,    siting->pavement_m, siting->lane_m};
  for (size_t i = 0; i < 9; i++)
    NEAR(limits[i], 2.1 + 0.1 * (double)i);
  NEAR(siting->hydrant_m, 40 * 0.0254);
  NEAR(siting->hydrant_front_m, 61 * 0.0254);
  NEAR(s->chance.fill, 0.05);
  NEAR(s->chance.carry, 0.11);
  NEAR(s->chance.dump, 0.2);
  NEAR(s->chance.back, 0.12);
  NEAR(s->chance.turn, 0.21);
  assert_string_equal(s->money.currency.text, "USD");
  NEAR(s->money.machine_per_s, 90.0 / 3600);
  NEAR(s->money.operator_per_s, 36.0 / 3600);
  NEAR(s->money.fuel_per_m3, 1600);
  NEAR(s->money.haul_off_per_m3, 12);
  NEAR(s->money.interest, 0.07);
  assert_int_equal(s->season_count, 2);
  NEAR(s->season[0].depth_m, 0.06);
  NEAR(s->season[0].storms, 9);
  NEAR(s->season[1].depth_m, 5 * 0.0254);
  NEAR(s->season[1].storms, 2.5);
  NEAR(s->compare.within_s, 150);
  assert_true(s->compare.mixed);
  assert_int_equal(s->compare.layouts.count, 1);
  assert_string_equal(s->compare.layouts.items[0].text, "all");
  assert_int_equal(s->compare.boxes.count, 2);
  assert_string_equal(s->compare.boxes.items[1].text, "12 ft");
  assert_string_equal(s->compare.loaders.items[0].text, "mid");
  assert_string_equal(s->compare.policies.items[1].text, "b");
  assert_int_equal(s->compare.depths.count, 2);
  NEAR(s->compare.depths.items_m[1], 0.2);
}

/* A word may stand in place of a heading; an angle given later takes it back. */
static void check_night(const pc_scenario *s) {
  const pc_area *road = &s->site.areas[1];
  NEAR(s->snow.trigger_m, 2 * 0.0254);
  NEAR(s->snow.snow_below_c, -1);
  NEAR(s->snow.rain_above_c, 10.0 / 9);
  assert_int_equal(s->site.areas[0].after.count, 0);
  assert_int_equal(road->after.count, 1);
  assert_string_equal(road->after.items[0].text, "east");
  assert_int_equal(road->loaders.count, 1);
  assert_string_equal(road->loaders.items[0].text, "mid");
  assert_int_equal(s->site.areas[0].open_to.count, 0);
  assert_int_equal(road->open_to.count, 1);
  assert_string_equal(road->open_to.items[0].text, "mid");
  assert_int_equal(s->site.ground[0].open_to.count, 1);
  assert_string_equal(s->site.ground[0].open_to.items[0].text, "mid");
  assert_string_equal(road->into.text, "east");
  NEAR(road->opens_s, 1800);
  NEAR(road->clear_by_s, 21600);
  NEAR(road->sweep_before_s, 1200);
  assert_int_equal(s->site.passage_count, 2);
  assert_int_equal(s->site.passages[0].machines, 2);
  assert_int_equal(s->site.passages[0].outline.count, 3);
  assert_int_equal(s->site.passages[1].machines, 1);
  NEAR(s->site.passages[1].at.x_m, 50);
  NEAR(s->site.passages[1].radius_m, 3);
  assert_int_equal(s->boxes[0].blade, PC_BLADE_NONE);
  assert_int_equal(s->boxes[2].blade, PC_BLADE_RIGHT);
  assert_true(isnan(s->boxes[0].price));
  NEAR(s->boxes[0].seasons, 8);
  NEAR(s->boxes[2].price, 4200);
  NEAR(s->boxes[2].seasons, 6.5);
  assert_int_equal(s->boxes[0].count, 64);
  assert_int_equal(s->boxes[2].count, 2);
  assert_true(isnan(s->boxes[2].height_m));
  NEAR(s->loaders[0].tank_l, 180);
  NEAR(s->loaders[0].refuel_lps, 1.25);
  NEAR(s->loaders[0].breakdown_mean_s, 144000);
  NEAR(s->loaders[0].repair_mean_s, 5400);
  assert_int_equal(s->loaders[0].boxes.count, 2);
  assert_string_equal(s->loaders[0].boxes.items[0].text, "wing");
  NEAR(s->crew[0].from_s, 600);
  NEAR(s->crew[0].until_s, 28800);
  assert_true(s->crew[0].keep);
  NEAR(s->crew[0].break_every_s, 14400);
  NEAR(s->crew[0].break_for_s, 1800);
  NEAR(s->keep_apart_m, 15 * 0.3048);
  assert_true(s->has_fuel_point);
  NEAR(s->fuel_point.x_m, 7);
  NEAR(s->fuel_point.y_m, 8);
  assert_int_equal(s->storm_count, 3);
  NEAR(s->storm[0].rate_mps, 0.0254 / 3600);
  NEAR(s->storm[0].temperature_c, -5);
  NEAR(s->storm[0].wind_mps, 5);
  NEAR(s->storm[1].after_s, 5400);
  NEAR(s->storm[1].rate_mps, 0.02 / 3600);
  assert_true(isnan(s->storm[1].temperature_c) && isnan(s->storm[1].wind_mps));
  NEAR(s->storm[2].rate_mps, 0);
  assert_int_equal(s->compare.crews.count, 3);
  assert_int_equal(s->compare.crews.items[2], 5);
}

static void test_heading_left_open(void **state) {
  (void)state;
  const pc_override open = {.path = "site.areas[0].heading", .value = "auto", .source = "--set"};
  const pc_override again[] = {open, {.path = "site.areas[0].heading", .value = "30 deg", .source = "--set"}};
  pc_scenario s = read_good(minimal, NULL, 0, 0);
  assert_false(s.site.areas[0].auto_heading);
  pc_scenario_free(&s);
  s = read_good(minimal, &open, 1, 0);
  assert_true(s.site.areas[0].auto_heading);
  pc_scenario_free(&s);
  s = read_good(minimal, again, 2, 0);
  assert_false(s.site.areas[0].auto_heading);
  NEAR(s.site.areas[0].heading_rad, 3.14159265358979323846 / 6);
  pc_scenario_free(&s);
}

static void test_every_key(void **state) {
  (void)state;
  /* side_plate beside heap_factor, season beside storm, a density that does not hold for what falls */
  pc_scenario s = read_good(full, NULL, 0, 3);
  check_snow_and_site(&s);
  check_machines(&s);
  check_plan(&s);
  check_study(&s);
  check_night(&s);
  pc_scenario_free(&s);
  char text[4096];
  snprintf(text, sizeof text, "%s%s", weather, strchr(minimal, '\n') + 1);
  s = read_good(text, NULL, 0, 0);
  NEAR(s.snow.air_temperature_c, -5);
  NEAR(s.snow.wind_mps, 3);
  assert_int_equal(s.snow.density_formula, PC_DENSITY_PAHAUT);
  pc_scenario_free(&s);
}

/* Keeps test_every_key complete: each key of each table stands in one of its texts. */
static void test_no_key_forgotten(void **state) {
  (void)state;
  const struct {
    const pc_fields *fields;
    const char *places[2];
  } tables[] = {
      {&pc_scenario_fields, {"", ""}},
      {&pc_snow_fields, {"snow", "snow"}},
      {&pc_box_fields, {"boxes[0]", "boxes[2]"}},
      {&pc_loader_fields, {"loaders[0]", ""}},
      {&pc_area_fields, {"site.areas[0]", "site.areas[1]"}},
      {&pc_ground_outline_fields, {"site.ground[0]", ""}},
      {&pc_obstacle_fields, {"site.obstacles[0]", "site.obstacles[1]"}},
      {&pc_keep_clear_fields, {"site.keep_clear[0]", ""}},
      {&pc_passage_fields, {"site.passages[0]", "site.passages[1]"}},
      {&pc_zone_fields, {"zones[0]", "zones[1]"}},
      {&pc_storm_fields, {"storm[0]", ""}},
      {&pc_layout_fields, {"layouts[0]", ""}},
      {&pc_crew_fields, {"crew[0]", ""}},
      {&pc_near_fields, {"near", ""}},
      {&pc_siting_fields, {"siting", ""}},
      {&pc_chance_fields, {"chance", ""}},
      {&pc_money_fields, {"money", ""}},
      {&pc_season_fields, {"season[0]", ""}},
      {&pc_wanted_fields, {"compare", ""}},
  };
  pc_tree *trees[2];
  pc_faults faults = {0};
  assert_int_equal(pc_tree_parse("full", full, strlen(full), &trees[0], &faults), PC_OK);
  assert_int_equal(pc_tree_parse("weather", weather, strlen(weather), &trees[1], &faults), PC_OK);
  size_t missing = 0;
  for (size_t t = 0; t < sizeof tables / sizeof tables[0]; t++) {
    for (size_t i = 0; i < tables[t].fields->count; i++) {
      bool found = false;
      for (int tree = 0; tree < 2; tree++) {
        for (int place = 0; place < 2; place++) {
          char path[PC_KEY_MAX];
          bool exact;
          const char *start = tables[t].places[place];
          snprintf(path, sizeof path, "%s%s%s", start, *start ? "." : "", tables[t].fields->items[i].key);
          (void)pc_tree_find(trees[tree], path, &exact);
          found |= exact;
        }
      }
      if (!found)
        print_error("no test reads %s.%s\n", tables[t].places[0], tables[t].fields->items[i].key);
      missing += !found;
    }
  }
  assert_int_equal(missing, 0);
  pc_tree_free(trees[0]);
  pc_tree_free(trees[1]);
}

static void test_minimal(void **state) {
  (void)state;
  pc_scenario s = read_good(minimal, NULL, 0, 0);
  pc_scenario usual = pc_scenario_default();
  pc_box box = pc_box_default();
  pc_loader loader = pc_loader_default();
  assert_string_equal(s.site.areas[0].name.text, "area 1");
  assert_string_equal(s.boxes[0].name.text, "box 1");
  assert_string_equal(s.loaders[0].name.text, "loader 1");
  assert_string_equal(s.zones[0].name.text, "zone 1");
  NEAR(s.loaders[0].push_speed_mps, 2);
  NEAR(s.boxes[0].overlap_m, box.overlap_m);
  NEAR(s.loaders[0].dump_s, loader.dump_s);
  assert_true(isnan(s.loaders[0].power_w));
  assert_true(isnan(s.zones[0].volume_m3));
  assert_int_equal(s.zones[0].berths, 1);
  assert_int_equal(s.layout_count, 0);
  assert_int_equal(s.crew_count, 0);
  assert_string_equal(s.policy.text, "keep-pushing");
  NEAR(s.full_at, 0.95);
  NEAR(s.work_minutes_per_hour, 60);
  NEAR(s.station_m, 2);
  assert_int_equal(s.chance.replications, 1);
  NEAR(s.chance.fill, 0);
  assert_true(isnan(s.money.machine_per_s));
  assert_int_equal(s.compare.boxes.count, 0);
  NEAR(s.snow.repose_angle_rad, usual.snow.repose_angle_rad);
  pc_scenario_free(&s);
}

/* The same lot in feet is the same lot; the unit may stand after the coordinates. */
static void test_feet(void **state) {
  (void)state;
  const char *feet =
      "snow: {depth: 10 cm}\n"
      "site:\n"
      "  areas: [{outline: [[0, 0], [100, 0], [100, 60.5], [0, 60.5]]}]\n"
      "  units: ft\n"
      "boxes: [{width: 4 m, height: 1.2 m}]\n"
      "loaders: [{speeds: {push: 7.2 km/h, carry: 3 m/s, return: 4 m/s}}]\n"
      "zones: [{at: [0, 30]}]\n"
      "crew: [{start: [10, 20]}]\n";
  pc_scenario s = read_good(feet, NULL, 0, 0);
  NEAR(s.site.areas[0].outline.points[2].x_m, 30.48);
  NEAR(s.site.areas[0].outline.points[2].y_m, 60.5 * 0.3048);
  NEAR(s.zones[0].at.y_m, 9.144);
  NEAR(s.crew[0].start.x_m, 3.048);
  assert_string_equal(s.crew[0].loader.text, "loader 1"); /* the only one there is */
  assert_string_equal(s.crew[0].box.text, "box 1");
  pc_scenario_free(&s);
}

static void test_overrides(void **state) {
  (void)state;
  const pc_override sets[] = {
      {.path = "snow.depth=15 cm"},
      {.path = "boxes[0].width", .value = "12ft", .source = "--box-width"},
      {.path = "zones[west].berths=3"},
      {.path = "loaders[mid].speeds.push=2 m/s"},
      {.path = "compare.depths=[5 cm, 6 cm]"},
      {.path = "chance={fill: 7 %}"},
      {.path = "snow.done_below=9 mm"},
      {.path = "snow.done_below=8 mm"}, /* the last one wins */
  };
  pc_scenario s = read_good(full, sets, sizeof sets / sizeof sets[0], 3);
  NEAR(s.snow.depth_m, 0.15);
  NEAR(s.boxes[0].width_m, 3.6576);
  assert_int_equal(s.zones[0].berths, 3);
  NEAR(s.loaders[0].push_speed_mps, 2);
  NEAR(s.loaders[0].carry_speed_mps, 12 / 3.6);
  assert_int_equal(s.compare.depths.count, 2);
  NEAR(s.compare.depths.items_m[0], 0.05);
  NEAR(s.chance.fill, 0.07);
  assert_int_equal(s.chance.replications, 1); /* the whole map was replaced */
  NEAR(s.snow.done_below_m, 0.008);
  pc_scenario_free(&s);
  /* Maps that are missing on the way are made. */
  const pc_override made[] = {{.path = "money.fuel=2 /l"},
                              {.path = "loaders[0].times.dump=5 s"},
                              {.path = "site.units=ft"},
                              {.path = "boxes[box 1].overlap=40 cm"}}; /* as results call it */
  s = read_good(minimal, made, 4, 1); /* the cost is without machines and operators */
  NEAR(s.money.fuel_per_m3, 2000);
  NEAR(s.loaders[0].dump_s, 5);
  NEAR(s.boxes[0].overlap_m, 0.4);
  NEAR(s.site.areas[0].outline.points[1].x_m, 30.48);
  pc_scenario_free(&s);
}

static void test_override_faults(void **state) {
  (void)state;
  const struct {
    pc_override set;
    const char *line;
  } cases[] = {
      {{.path = "snow.depth=16"},
       "--set: snow.depth: \"16\" needs a unit of length, e.g. \"16 ft\" or \"4.9 m\"\n"},
      {{.path = "snow.depth", .value = "9 m", .source = "--depth"},
       "--depth: snow.depth: 9 m is outside what is allowed: 0 m … 5 m\n"},
      {{.path = "boxes[1].width=3 m"},
       "--set: boxes[1].width: the list \"boxes\" has no entry [1]; it has 1: [0]\n"},
      {{.path = "boxes[big].width=3 m"},
       "--set: boxes[big].width: the list \"boxes\" has no entry [big]; it has 1: [0]\n"},
      {{.path = "snow.depth.x=1"},
       "--set: snow.depth.x: \"snow.depth\" is not a map, so it has no key \"x\"\n"},
      {{.path = "crew[0].count=2"},
       "--set: crew[0].count: leads to nothing: the scenario has no such list\n"},
      {{.path = "snow.dept=1 cm"}, "--set: snow.dept: is not a known key; did you mean \"depth\"?\n"},
      {{.path = "snow.depth"}, "--set: snow.depth: needs a value: write KEY.PATH=VALUE\n"},
      {{.path = "snow..depth=1 cm"},
       "--set: snow..depth: is not a path: write it as snow.depth, boxes[0].width or zones[west].berths\n"},
      {{.path = "boxes[0=1 cm"}, "--set: boxes[0=1 cm: needs a value: write KEY.PATH=VALUE\n"},
      {{.path = "=1 cm"}, "--set: a path is missing before the \"=\"\n"},
      {{.path = "chance=[1"},
       "--set: chance: a comma or a closing ] is missing before this (it belongs to what starts on line "
       "1)\n"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
    expect_bad(minimal, &cases[i].set, 1, cases[i].line);
  pc_text deep = {0};
  for (int i = 0; i < 100; i++)
    pc_text_add(&deep, "a.");
  pc_text_add(&deep, "a=1");
  pc_text lines = {0};
  read_bad(minimal, &(pc_override){.path = deep.data}, 1, &lines);
  assert_non_null(strstr(lines.data, "has too many steps"));
  pc_text_free(&lines);
  pc_text_free(&deep);
}

/* What the file has wrong goes away when an option replaces it. */
static void test_override_mends(void **state) {
  (void)state;
  char text[1024];
  snprintf(text, sizeof text, "snow: {depth: deep}\n%s", strchr(minimal, '\n') + 1);
  const pc_override mend = {.path = "snow.depth=10 cm"};
  pc_scenario s = read_good(text, &mend, 1, 0);
  NEAR(s.snow.depth_m, 0.1);
  pc_scenario_free(&s);
}

/* One slip, one message: what follows from a fault is not told again. */
static void test_suppression(void **state) {
  (void)state;
  const pc_override unit = {.path = "boxes[0].width=4"}, name = {.path = "boxes[0].nam=big"},
                    list = {.path = "boxes=big"}, near = {.path = "loaders[0]={speed: {push: 1 m/s}}"};
  expect_bad(minimal, &unit, 1,
             "--set: boxes[0].width: \"4\" needs a unit of length, e.g. \"16 ft\" or \"4.9 m\"\n");
  char text[1024];
  snprintf(text, sizeof text, "%screw: [{box: big, loader: loader 1}]\n", minimal);
  expect_bad(text, &name, 1, "--set: boxes[0].nam: is not a known key; did you mean \"name\"?\n");
  expect_bad(text, &list, 1, "--set: boxes: needs a list, each entry with \"- \" in front, not \"big\"\n");
  expect_bad(minimal, &near, 1, "--set: loaders[0].speed: is not a known key; did you mean \"speeds\"?\n");
}

/* Two slips, two messages, in the order of the file. */
static void test_all_at_once(void **state) {
  (void)state;
  const char *text =
      "snow: {depth: 10 cm}\n"
      "site:\n"
      "  areas: [{outline: [[0, 0], [100, 0], [100, 60], [0, 60]]}]\n"
      "boxes: [{width: 4, height: 1.2 m, overlap: -1 m}]\n"
      "loaders: [{speeds: {push: 7.2 km/h, carry: 3 m/s, return: 0 m/s}}]\n"
      "zones: [{at: [0, 30], berths: 0}]\n"
      "color: red\n";
  expect_bad(
      text, NULL, 0,
      "lot.yaml:4:17: boxes[0].width: \"4\" needs a unit of length, e.g. \"16 ft\" or \"4.9 m\"\n"
      "lot.yaml:4:44: boxes[0].overlap: -1 m is outside what is allowed: 0 m … 5 m\n"
      "lot.yaml:5:59: loaders[0].speeds.return: 0 km/h is outside what is allowed: 0.036 km/h … 180 km/h\n"
      "lot.yaml:6:31: zones[0].berths: 0 is outside what is allowed: 1 … 1000\n"
      "lot.yaml:7:1: color: is not a known key; known here are: name, policy, full_at, "
      "work_minutes_per_hour, "
      "station, keep_apart, pushcycle, starts_at, snow, site, boxes, loaders, zones, layouts, crew, near, "
      "siting, "
      "chance, "
      "money, season, compare, place, fuel_point, storm, storm_file\n");
}

/* Structs filled by a program get the same checks, without any file. */
static void test_validate_alone(void **state) {
  (void)state;
  pc_scenario s = pc_scenario_default();
  pc_faults faults = {0};
  pc_scenario_validate(&s, &faults);
  assert_true(pc_faults_has_key(&faults, "snow.depth"));
  assert_true(pc_faults_has_key(&faults, "site.areas"));
  assert_true(pc_faults_has_key(&faults, "boxes"));
  assert_true(pc_faults_has_key(&faults, "loaders"));
  assert_false(pc_faults_has_key(&faults, "zones")); /* they may come later */
  assert_false(pc_faults_has_key(&faults, "crew"));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  s = read_good(full, NULL, 0, 3);
  s.chance.fill = NAN;
  s.full_at = NAN;
  s.station_m = INFINITY;
  s.crew[0].start.x_m = NAN;
  s.compare.depths.items_m[0] = NAN;
  s.keep_apart_m = NAN;
  s.site.areas[0].opens_s = NAN;
  s.snow.trigger_m = NAN;
  s.crew[0].from_s = NAN;
  s.storm[1].rate_mps = NAN;
  s.fuel_point.y_m = NAN;
  s.compare.crews.items[0] = -1;
  pc_scenario_validate(&s, &faults);
  const char *keys[] = {"chance.fill",         "full_at",           "station",
                        "crew[0].start",       "compare.depths[0]", "keep_apart",
                        "site.areas[0].opens", "snow.trigger",      "crew[0].from",
                        "storm[1].rate",       "fuel_point",        "compare.crews[0]"};
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
    assert_true(pc_faults_has_key(&faults, keys[i]));
  assert_int_equal(pc_faults_fatal(&faults), 12);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_key),
      cmocka_unit_test(test_no_key_forgotten),
      cmocka_unit_test(test_heading_left_open),
      cmocka_unit_test(test_minimal),
      cmocka_unit_test(test_feet),
      cmocka_unit_test(test_overrides),
      cmocka_unit_test(test_override_faults),
      cmocka_unit_test(test_override_mends),
      cmocka_unit_test(test_suppression),
      cmocka_unit_test(test_all_at_once),
      cmocka_unit_test(test_validate_alone),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
