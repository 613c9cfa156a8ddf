// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Maps with faults (tests/geojson, as tests/support/corpus.h has it), maps at the limits, and maps that a
 * scenario names.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "corpus.h"
#include "io/geojson.h"
#include "io/scenario.h"
#include "simulate.h"

enum { CASES_MIN = 80 }; /* so that an empty folder cannot pass */

/* Two areas, one of them in two parts, an island, a pole, an old pile and two zones. */
static const char map_of_all[] =
    "{\"type\": \"FeatureCollection\", \"features\": [\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", \"name\": \"yard\"}, \"geometry\": "
    "{\"type\": \"Polygon\", \"coordinates\": [[[20,60],[20,60.001],[20.002,60.001],[20.002,60],[20,60]],"
    "[[20.0005,60.0005],[20.0006,60.0005],[20.0006,60.0006],[20.0005,60.0005]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", \"name\": \"rest\"}, \"geometry\": "
    "{\"type\": \"MultiPolygon\", \"coordinates\": [[[[20.003,60],[20.004,60],[20.004,60.001],[20.003,60]]],"
    "[[[20.005,60],[20.006,60],[20.006,60.001],[20.005,60]]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"pole\", \"radius\": \"40 cm\"}, \"geometry\": "
    "{\"type\": \"Point\", \"coordinates\": [20.001, 60.0002, 12.5]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"old-pile\"}, \"geometry\": {\"type\": \"Polygon\", "
    "\"coordinates\": [[[20.001,60.0007],[20.0012,60.0007],[20.0012,60.0008],[20.001,60.0007]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\", \"name\": \"N\"}, \"geometry\": {\"type\": "
    "\"Polygon\", \"coordinates\": "
    "[[[20,60.001],[20.002,60.001],[20.002,60.0011],[20,60.0011],[20,60.001]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\"}, \"geometry\": {\"type\": \"Point\", "
    "\"coordinates\": [20.002, 60.0005]}}]}";

/* ---- limits ---- */

static void expect_fault(const pc_text *text, pc_status status, const char *words) {
  pc_geojson map;
  pc_faults faults = {0};
  assert_int_equal(pc_geojson_read_text("map", text->data, text->length, NULL, &map, &faults), status);
  if (faults.count == 0 || !strstr(faults.items[0].message, words))
    fail_msg("\"%s\" lacks \"%s\"", faults.count ? faults.items[0].message : "", words);
  assert_null(map.zones);
  pc_faults_free(&faults);
}

static void repeat(pc_text *text, const char *head, const char *part, size_t count, const char *tail) {
  pc_text_add(text, head);
  for (size_t i = 0; i < count; i++)
    pc_text_addf(text, "%s%s", i ? "," : "", part);
  pc_text_add(text, tail);
}

static void test_limits(void **state) {
  (void)state;
  static const char head[] = "{\"type\": \"FeatureCollection\", \"features\": [";
  pc_text text = {0};
  repeat(&text, head, "{}", PC_GEOJSON_FEATURES_MAX + 1, "]}");
  expect_fault(&text, PC_ERR_LIMIT, "100000");
  text.length = 0;
  repeat(&text, head,
         "{\"type\":\"Feature\",\"properties\":{\"kind\":\"zone\"},\"geometry\":{\"type\":\"Point\","
         "\"coordinates\":[20,60]}}",
         PC_PARTS_MAX + 1, "]}");
  expect_fault(&text, PC_ERR_LIMIT, "at most 200");
  text.length = 0;
  repeat(&text, head,
         "{\"type\":\"Feature\",\"properties\":{\"kind\":\"pole\",\"radius\":\"1 "
         "m\"},\"geometry\":{\"type\":\"Point\","
         "\"coordinates\":[20,60]}}",
         PC_THINGS_MAX + 1, "]}");
  expect_fault(&text, PC_ERR_LIMIT, "at most 10000");
  text.length = 0;
  repeat(&text,
         "{\"type\":\"Feature\",\"properties\":{\"kind\":\"area\"},\"geometry\":{\"type\":\"Polygon\","
         "\"coordinates\":[[",
         "[20,60]", PC_RING_MAX + 2, "]]}}");
  expect_fault(&text, PC_ERR_LIMIT, "at most 10000 corners");
  text.length = 0;
  repeat(&text,
         "{\"type\":\"Feature\",\"properties\":{\"kind\":\"area\"},\"geometry\":{\"type\":\"MultiPoint\","
         "\"coordinates\":[",
         "[20,60]", PC_THINGS_MAX + 1, "]}}");
  expect_fault(&text, PC_ERR_LIMIT, "10001 parts");
  pc_text_free(&text);
  size_t big = 64 * 1024 * 1024 + 1;
  char *blanks = malloc(big);
  assert_non_null(blanks);
  memset(blanks, ' ', big);
  const pc_text huge = {.data = blanks, .length = big};
  expect_fault(&huge, PC_ERR_LIMIT, "64 MiB");
  free(blanks);
}

/* Given the right origin, local metres are those of the scenario that it belongs to; a wrong one is told. */
static void test_given_origin(void **state) {
  (void)state;
  pc_geojson map;
  pc_faults faults = {0};
  pc_geojson_origin origin = {20, 60};
  assert_int_equal(pc_geojson_read_text("map", map_of_all, strlen(map_of_all), &origin, &map, &faults),
                   PC_OK);
  pc_point corner = map.site.areas[0].outline.points[0];
  assert_true(hypot(corner.x_m, corner.y_m) < 1e-6);
  pc_geojson_free(&map);
  origin = (pc_geojson_origin){60, 20};
  assert_int_equal(pc_geojson_read_text("map", map_of_all, strlen(map_of_all), &origin, &map, &faults),
                   PC_ERR_RANGE);
  assert_non_null(strstr(faults.items[0].message, "away from site.origin"));
  assert_non_null(
      strstr(faults.items[0].message, "with the two swapped, here or in the map, they would lie"));
  pc_faults_free(&faults);
  origin = (pc_geojson_origin){20, 61};
  assert_int_equal(pc_geojson_read_text("map", map_of_all, strlen(map_of_all), &origin, &map, &faults),
                   PC_ERR_RANGE);
  assert_null(strstr(faults.items[0].message, "swapped"));
  pc_faults_free(&faults);
}

/* A yard of some metres there: true places, and the same the wrong way round. What is swapped lies in the
 * tropics (Tropic of Cancer, 23.44°) or the Antarctic (60° south), if anywhere. */
static void test_swapped(void **state) {
  (void)state;
  static const struct {
    double lon, lat;
    const char *told;
  } places[] = {
      {20.0, 60.0, NULL},
      {60.0, 20.0, "lie in the tropics, at longitude 60.000 and latitude 20.000: "},
      {-75.0, 45.0, NULL},
      {45.0, -75.0, "lie in the Antarctic, at longitude 45.000 and latitude -75.000: "},
      {-71.0, -41.0, NULL},
      {-41.0, -71.0, "lie in the Antarctic, at longitude -41.000 and latitude -71.000: "},
      {-3.0, 55.0, NULL},
      {55.0, -3.0, "lie in the tropics, at longitude 55.000 and latitude -3.000: "},
      {25.0, 62.0, NULL},
      {62.0, 25.0, NULL}, /* nothing there says so */
      {-68.1, -16.5, NULL},
      {166.7, -77.8, NULL}, /* high or far south, and no swap of a likelier place */
  };
  for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
    char text[500], a[2][40];
    snprintf(a[0], sizeof a[0], "%.4f", places[i].lon + 0.0005);
    snprintf(a[1], sizeof a[1], "%.4f", places[i].lat + 0.0005);
    snprintf(text, sizeof text,
             "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\"}, \"geometry\": {\"type\": "
             "\"Polygon\", \"coordinates\": [[[%.4f,%.4f],[%s,%.4f],[%s,%s],[%.4f,%s],[%.4f,%.4f]]]}}",
             places[i].lon, places[i].lat, a[0], places[i].lat, a[0], a[1], places[i].lon, a[1],
             places[i].lon, places[i].lat);
    pc_geojson map;
    pc_faults faults = {0};
    assert_int_equal(pc_geojson_read_text("map", text, strlen(text), NULL, &map, &faults), PC_OK);
    assert_int_equal(faults.count, places[i].told ? 1 : 0);
    if (places[i].told && !strstr(faults.items[0].message, places[i].told))
      fail_msg("told: %s", faults.items[0].message);
    assert_true(!places[i].told || strcmp(faults.items[0].file, "map") == 0);
    pc_geojson_free(&map);
    pc_faults_free(&faults);
  }
}

/* ---- in a scenario ---- */

static void write_file(const char *folder, const char *name, const char *text) {
  char path[512];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_true(fputs(text, file) >= 0);
  assert_int_equal(fclose(file), 0);
}

static const char machines[] =
    "boxes: [{width: 4 m, height: 1 m}]\n"
    "loaders: [{speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\n";

/* One map beside the scenario; `extra` are keys of the scenario. */
static pc_status read_with_map(const char *map, const char *extra, const pc_override *overrides, size_t count,
                               pc_scenario *s, pc_faults *faults) {
  char folder[] = "/tmp/pc-geojson-XXXXXX", path[512];
  assert_non_null(mkdtemp(folder));
  pc_text text = {0};
  pc_text_addf(&text, "%s%s", extra, machines);
  write_file(folder, "lot.yaml", text.data);
  write_file(folder, "map.geojson", map);
  snprintf(path, sizeof path, "%s/lot.yaml", folder);
  pc_status status = pc_scenario_read(path, overrides, count, s, faults);
  unlink(path);
  snprintf(path, sizeof path, "%s/map.geojson", folder);
  unlink(path);
  rmdir(folder);
  pc_text_free(&text);
  return status;
}

static const pc_error *find_fault(const pc_faults *faults, const char *key) {
  for (size_t i = 0; i < faults->count; i++)
    if (strcmp(faults->items[i].key, key) == 0)
      return &faults->items[i];
  for (size_t i = 0; i < faults->count; i++)
    print_error("%s:%d: %s: %s\n", faults->items[i].file, faults->items[i].line, faults->items[i].key,
                faults->items[i].message);
  fail_msg("no fault about %s", key);
  return NULL;
}

static void test_scenario_takes_map(void **state) {
  (void)state;
  pc_scenario s;
  pc_faults faults = {0};
  pc_status status =
      read_with_map(map_of_all,
                    "snow: {depth: 10 cm}\n"
                    "site:\n"
                    "  file: map.geojson\n"
                    "  units: ft\n" /* of what stands in the YAML only */
                    "  areas: [{name: late, outline: [[1000, 1000], [1100, 1000], [1100, 1100]]}]\n"
                    "zones: [{at: [1000, 900]}]\n"
                    "crew: [{areas: [late, rest 1]}]\n"
                    "layouts: [{name: one, zones: [N]}]\n",
                    NULL, 0, &s, &faults);
  if (status != PC_OK)
    fail_msg("%s: %s", faults.items[0].key, faults.items[0].message);
  assert_int_equal(s.site.area_count, 4);
  assert_string_equal(s.site.areas[2].name.text, "rest 2");
  assert_string_equal(s.site.areas[3].name.text, "late");
  assert_near("feet", s.site.areas[3].outline.points[0].x_m, 304.8, 1e-12);
  assert_int_equal(s.zone_count, 3);
  assert_string_equal(s.zones[0].name.text, "N");
  assert_int_equal(s.site.obstacle_count, 3);
  assert_true(s.site.has_origin);
  assert_near("longitude", s.site.origin_lon_deg, 20.003, 1e-9);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  /* site.origin moves (0, 0) */
  status = read_with_map(map_of_all, "snow: {depth: 10 cm}\nsite: {file: map.geojson, origin: [20, 60]}\n",
                         NULL, 0, &s, &faults);
  assert_int_equal(status, PC_OK);
  assert_true(hypot(s.site.areas[0].outline.points[0].x_m, s.site.areas[0].outline.points[0].y_m) < 1e-6);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  /* an override works too: here from the working directory, so it has to be a whole path */
  char folder[] = "/tmp/pc-geojson-XXXXXX", path[512];
  assert_non_null(mkdtemp(folder));
  write_file(folder, "other.geojson", map_of_all);
  snprintf(path, sizeof path, "%s/other.geojson", folder);
  const pc_override other = {.path = "site.file", .value = path};
  status = read_with_map("{}", "snow: {depth: 10 cm}\nsite: {file: map.geojson}\n", &other, 1, &s, &faults);
  assert_int_equal(status, PC_OK);
  assert_int_equal(s.site.area_count, 3);
  unlink(path);
  rmdir(folder);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* An area with a deadline, two zones, a fence that becomes two strips, and a pole that comes before it. */
static const char map_to_set[] =
    "{\"type\": \"FeatureCollection\", \"features\": ["
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"fence\", \"name\": \"rail\"}, \"geometry\": "
    "{\"type\": "
    "\"LineString\", \"coordinates\": [[20.0005,60.0002],[20.0006,60.0002],[20.0006,60.0003],"
    "[20.0005,60.0002]]}},"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", \"name\": \"yard\", \"heading\": \"auto\", "
    "\"clear_by\": \"5 h\"}, \"geometry\": {\"type\": \"Polygon\", \"coordinates\": "
    "[[[20,60],[20.002,60],[20.002,60.001],[20,60.001],[20,60]]]}},"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\", \"name\": \"a.b=c\", \"height\": \"900 "
    "m\"}, "
    "\"geometry\": {\"type\": \"Point\", \"coordinates\": [20.002, 60.0005]}},"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\"}, "
    "\"geometry\": {\"type\": \"Point\", \"coordinates\": [20, 60.0005]}},"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"pole\", \"name\": \"mast\", \"radius\": \"1 m\"}, "
    "\"geometry\": {\"type\": \"Point\", \"coordinates\": [20.001, 60.0005]}}]}";

static const char plain[] = "snow: {depth: 10 cm}\nsite: {file: map.geojson}\n";
/* The same list in both: numbers are those of the scenario's own. */
static const char mixed[] =
    "snow: {depth: 10 cm}\n"
    "site:\n"
    "  file: map.geojson\n"
    "  areas: [{name: side, outline: [[100, 100], [150, 100], [150, 150]]}]\n"
    "starts_at: \"22:00\"\n";

/* Entries of the map are reached like those of the scenario: by number as check and run count them, or by
 * name. */
static void test_set_on_map(void **state) {
  (void)state;
  pc_scenario s;
  pc_faults faults = {0};
  const pc_override sets[] = {
      {.path = "site.areas[0].heading=30 deg"},
      {.path = "site.areas[yard].clear_by=4 h"},
      {.path = "site.areas[0].loaders=[loader 1]"}, /* maps have no such property */
      {.path = "zones[a.b=c].height=4 m"},          /* what the map has wrong there goes away */
      {.path = "zones[zone 2].berths", .value = "3", .source = "--berths"},
      {.path = "zones[1].name=last"},
      {.path = "site.obstacles[0].kind=building"}, /* strips of lines come after all else */
      {.path = "site.obstacles[rail 2].name=gate"},
      {.path = "zones[1].berths=2"}, /* the last one wins */
  };
  pc_status status = read_with_map(map_to_set, plain, sets, sizeof sets / sizeof sets[0], &s, &faults);
  if (status != PC_OK)
    fail_msg("%s: %s", faults.items[0].key, faults.items[0].message);
  assert_near("heading", s.site.areas[0].heading_rad, 30 * 3.14159265358979323846 / 180, 1e-12);
  assert_false(s.site.areas[0].auto_heading);
  assert_near("deadline", s.site.areas[0].clear_by_s, 4 * 3600, 1e-9);
  assert_string_equal(s.site.areas[0].loaders.items[0].text, "loader 1");
  assert_near("height", s.zones[0].height_m, 4, 1e-12);
  assert_int_equal(s.zones[1].berths, 2);
  assert_string_equal(s.zones[1].name.text, "last");
  assert_string_equal(s.site.obstacles[0].name.text, "mast");
  assert_int_equal(s.site.obstacles[0].kind, PC_OBSTACLE_BUILDING);
  assert_string_equal(s.site.obstacles[2].name.text, "gate");
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  const pc_override both[] = {{.path = "zones[0].height=4 m"},
                              {.path = "site.areas[0].heading=30 deg"},
                              {.path = "site.areas[yard].heading=60 deg"},
                              {.path = "site.areas[yard].clear_by=\"04:00\""}};
  assert_int_equal(read_with_map(map_to_set, mixed, both, 4, &s, &faults), PC_OK);
  assert_string_equal(s.site.areas[0].name.text, "yard");
  assert_near("the map's", s.site.areas[0].heading_rad, 3.14159265358979323846 / 3, 1e-12);
  assert_near("by the clock", s.site.areas[0].clear_by_s, 6 * 3600, 1e-9);
  assert_near("the scenario's", s.site.areas[1].heading_rad, 3.14159265358979323846 / 6, 1e-12);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static void test_set_on_map_faults(void **state) {
  (void)state;
  const struct {
    const char *extra, *set, *key, *message;
  } cases[] = {
      {plain, "zones[0].heigt=4 m", "zones[0].heigt",
       "is not a known key; did you mean \"height\"? (feature \"a.b=c\")"},
      {plain, "zones[0].height=4", "zones[0].height",
       "\"4\" needs a unit of length, e.g. \"16 ft\" or \"4.9 m\" (feature \"a.b=c\")"},
      {plain, "zones[zone 2].height=900 m", "zones[1].height",
       "900 m is outside what is allowed: more than 0 m, at most 100 m (feature \"zone 2\")"},
      {plain, "zones[2].height=4 m", "zones[2].height",
       "the list \"zones\" has no entry [2]; it has 2: [0] or [a.b=c], [1] or [zone 2]"},
      {plain, "zones[c].height=4 m", "zones[c].height",
       "the list \"zones\" has no entry [c]; it has 2: [0] or [a.b=c], [1] or [zone 2]"},
      {plain, "site.ground[0].name=x", "site.ground[0].name",
       "the list \"site.ground\" has no entry [0]; it has none at all"},
      {plain, "zones[0].at=[1, 2]", "zones[0].at", "is drawn in the map of the lot: move it there, not here"},
      {plain, "site.areas[yard].outline[0]=[1, 2]", "site.areas[yard].outline[0]",
       "is drawn in the map of the lot: move it there, not here"},
      {plain, "zones[0]={at: [1, 2]}", "zones[0]", "comes from the map of the lot: set its keys one by one"},
      {plain, "zones[0].height=[", "zones[0].height", "a value is missing here"},
      {plain, "site.areas[0].after=[yrad]", "site.areas[0].after[0]",
       "no area is called \"yrad\"; did you mean \"yard\"? (feature \"yard\")"},
      {plain, "site.obstacles[mast].radius=-1 m", "site.obstacles[0].radius",
       "-1 m is outside what is allowed: 0 m … 1000 m (feature \"mast\")"},
      {mixed, "site.areas[1].heading=4 deg", "site.areas[1].heading",
       "the list \"site.areas\" has no entry [1]; it has 1: [0] or [side]; and from the map 1: [yard]"},
      {mixed, "site.areas[0].clear_by=26:00", "site.areas[0].clear_by",
       "\"26:00\" is no time of day: write 22:30 (from 00:00 to 23:59) or 10:30 pm"},
      {mixed, "site.areas[yard].clear_by=26:00", "site.areas[0].clear_by",
       "\"26:00\" is no time of day: write 22:30 (from 00:00 to 23:59) or 10:30 pm (feature \"yard\")"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_scenario s;
    pc_faults faults = {0};
    const pc_override sets[] = {{.path = "zones[a.b=c].height=4 m"}, {.path = cases[i].set}};
    assert_int_not_equal(read_with_map(map_to_set, cases[i].extra, sets, 2, &s, &faults), PC_OK);
    const pc_error *fault = find_fault(&faults, cases[i].key);
    assert_string_equal(fault->message, cases[i].message);
    assert_string_equal(fault->file, "--set");
    assert_int_equal(pc_faults_fatal(&faults), 1);
    pc_faults_free(&faults);
  }
  /* A map that cannot be read: what was set of its things is not told of. */
  pc_scenario s;
  pc_faults faults = {0};
  const pc_override set = {.path = "zones[7].height=4 m"};
  assert_int_not_equal(read_with_map("{\"type\": 5}", plain, &set, 1, &s, &faults), PC_OK);
  assert_int_equal(faults.count, 1);
  pc_faults_free(&faults);
}

/* Faults name what stands in the file by its feature, and count what stands in the YAML as the YAML does. */
static void test_scenario_faults(void **state) {
  (void)state;
  pc_scenario s;
  pc_faults faults = {0};
  static const char map[] =
      "{\"type\": \"FeatureCollection\", \"features\": ["
      "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\", \"name\": \"all\"}, \"geometry\": "
      "{\"type\": \"Point\", \"coordinates\": [20, 60]}},"
      "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", \"name\": \"yard\"}, \"geometry\": "
      "{\"type\": \"Polygon\", \"coordinates\": [[[20,60],[20.002,60],[20.002,60.001],[20,60]]]}}]}";
  pc_status status = read_with_map(map,
                                   "snow: {depth: 10 cm}\n"
                                   "site:\n"
                                   "  file: map.geojson\n"
                                   "  origin: [20, 60]\n"
                                   "  areas: [{name: yard, outline: [[50, 5], [150, 5], [150, -50]]}]\n"
                                   "zones: [{name: b, at: [0, 0], berths: 0}]\n",
                                   NULL, 0, &s, &faults);
  assert_int_not_equal(status, PC_OK);
  const pc_error *of_map = find_fault(&faults, "features[0].properties.name");
  assert_non_null(strstr(of_map->file, "/map.geojson"));
  assert_non_null(strstr(of_map->message, "(feature \"all\")"));
  const pc_error *twice = find_fault(&faults, "site.areas[0].name");
  assert_non_null(strstr(twice->file, "/lot.yaml"));
  assert_int_equal(twice->line, 5);
  assert_non_null(strstr(twice->message, "already the name of features[1]"));
  assert_non_null(strstr(find_fault(&faults, "site.areas[0].outline")->message, "overlap"));
  assert_int_equal(find_fault(&faults, "zones[0].berths")->line, 6);
  assert_int_equal(faults.count, 4);
  pc_faults_free(&faults);
  /* A map that cannot be read takes the blame for what it should have held, and for nothing else. */
  status = read_with_map("{\"type\": 5}",
                         "snow: {depth: 10}\nsite: {file: map.geojson}\n"
                         "layouts: [{name: one, zones: [N]}]\n",
                         NULL, 0, &s, &faults);
  assert_int_not_equal(status, PC_OK);
  assert_non_null(strstr(find_fault(&faults, "type")->file, "/map.geojson"));
  (void)find_fault(&faults, "snow.depth");
  assert_int_equal(faults.count, 2);
  pc_faults_free(&faults);
  /* Without a map all stays as it was; with one that has no zones, they are missed by layouts and by lots. */
  static const char no_zone[] =
      "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\"}, \"geometry\": "
      "{\"type\": \"Polygon\", \"coordinates\": [[[20,60],[20.002,60],[20.002,60.001],[20,60]]]}}";
  static const char layouts[] = "snow: {depth: 10 cm}\nsite: {file: map.geojson}\nlayouts: [{zones: [N]}]\n";
  status = read_with_map(no_zone, layouts, NULL, 0, &s, &faults);
  assert_int_equal(status, PC_ERR_MISSING);
  assert_string_equal(faults.items[0].key, "zones");
  assert_int_equal(faults.count, 1);
  pc_faults_free(&faults);
  status = read_with_map(no_zone, "snow: {depth: 10 cm}\nsite: {file: map.geojson}\n", NULL, 0, &s, &faults);
  assert_int_equal(status, PC_OK);
  pc_lot *lot;
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_ERR_MISSING);
  assert_string_equal(faults.items[0].key, "zones");
  assert_non_null(strstr(faults.items[0].file, "/lot.yaml"));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  status =
      read_with_map(no_zone, "snow: {depth: 10 cm}\nsite: {origin: [400, 60 deg]}\n", NULL, 0, &s, &faults);
  assert_int_not_equal(status, PC_OK);
  (void)find_fault(&faults, "site.areas");
  (void)find_fault(&faults, "site.origin[0]");
  (void)find_fault(&faults, "site.origin[1]");
  assert_int_equal(faults.count, 3);
  pc_faults_free(&faults);
  status =
      read_with_map(no_zone, "snow: {depth: 10 cm}\nsite: {file: no-such.geojson}\n", NULL, 0, &s, &faults);
  assert_int_equal(status, PC_ERR_FILE);
  assert_string_equal(faults.items[0].key, "site.file");
  assert_int_equal(faults.items[0].line, 2);
  assert_int_equal(faults.count, 1);
  pc_faults_free(&faults);
  status =
      read_with_map(no_zone, "snow: {depth: 10 cm}\nsite: {file: [map.geojson]}\n", NULL, 0, &s, &faults);
  assert_int_equal(status, PC_ERR_SYNTAX);
  assert_int_equal(faults.count, 1);
  pc_faults_free(&faults);
}

/* ---- the corpus ---- */

static void read_map(const char *name, const char *text, size_t length, pc_text *lines) {
  pc_geojson map;
  pc_faults faults = {0};
  pc_status status = pc_geojson_read_text(name, text, length, NULL, &map, &faults);
  assert_int_equal(status, pc_faults_status(&faults));
  assert_true(status == PC_OK || (map.zone_count == 0 && !map.site.areas));
  corpus_add_faults(&faults, lines);
  pc_geojson_free(&map);
}

static void test_corpus(void **state) {
  (void)state;
  corpus_check("geojson", ".geojson", CASES_MIN, read_map);
}

static void test_good_lot(void **state) {
  (void)state;
  char path[1024];
  corpus_folder("geojson", path, sizeof path);
  strcat(path, "/good-lot.geojson");
  pc_geojson map;
  pc_faults faults = {0};
  assert_int_equal(pc_geojson_read(path, NULL, &map, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  assert_int_equal(map.site.area_count, 2);
  assert_int_equal(map.zone_count, 2);
  pc_geojson_free(&map);
  assert_int_equal(pc_geojson_read("no/such.geojson", NULL, &map, &faults), PC_ERR_FILE);
  assert_string_equal(faults.items[0].file, "no/such.geojson");
  pc_faults_free(&faults);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_limits),          cmocka_unit_test(test_given_origin),
      cmocka_unit_test(test_swapped),         cmocka_unit_test(test_scenario_takes_map),
      cmocka_unit_test(test_set_on_map),      cmocka_unit_test(test_set_on_map_faults),
      cmocka_unit_test(test_scenario_faults), cmocka_unit_test(test_corpus),
      cmocka_unit_test(test_good_lot),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
