// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Lots from maps and back. Lengths are checked against the geodesic on the WGS 84 ellipsoid (Karney 2013, J.
 * Geodesy 87:43, as geod_inverse of PROJ's geodesic.h computes it: other code than the projection's); the
 * form of what is written against RFC 7946.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <geodesic.h>
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "io/geodesy.h"
#include "io/geojson.h"
#include "scene.h"
#include "simulate.h"
#include "validation.h"

static const double pi = 3.14159265358979323846;

/* WGS 84: equatorial radius and flattening (NGA.STND.0036, table 3.1). */
static struct geod_geodesic wgs84(void) {
  struct geod_geodesic ellipsoid;
  geod_init(&ellipsoid, 6378137, 1 / 298.257223563);
  return ellipsoid;
}

static pc_geojson read_around(const char *text, const pc_geojson_origin *origin) {
  pc_geojson map;
  pc_faults faults = {0};
  pc_status status = pc_geojson_read_text("map", text, strlen(text), origin, &map, &faults);
  if (status != PC_OK)
    fail_msg("%s: %s", faults.items[0].key, faults.items[0].message);
  pc_faults_free(&faults);
  return map;
}

static pc_geojson read_good(const char *text) {
  return read_around(text, NULL);
}

/* ---- projection ---- */

static void test_lengths(void **state) {
  (void)state;
  const struct geod_geodesic earth = wgs84();
  const struct {
    double reach_m, allowed; /* of the length */
  } cases[] = {{500, 1e-6}, {5000, 1e-6}, {14000, 4e-6}};
  for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
    double worst = 0;
    for (double lat = -80; lat <= 80; lat += 20) {
      pc_geodesy *geodesy;
      assert_int_equal(pc_geodesy_create(-179.999, lat, &geodesy), PC_OK);
      for (int turn = 0; turn < 360; turn += 30) {
        double from_lon, from_lat, to_lon, to_lat, length, azimuth, reverse;
        double c0 = cos(turn * pi / 180), s0 = sin(turn * pi / 180);
        const pc_point from = {cases[c].reach_m * c0, cases[c].reach_m * s0};
        const pc_point to = {from.x_m - 200 * s0 + 3, from.y_m + 200 * c0};
        assert_true(pc_geodesy_locate(geodesy, from, &from_lon, &from_lat));
        assert_true(pc_geodesy_locate(geodesy, to, &to_lon, &to_lat));
        geod_inverse(&earth, from_lat, from_lon, to_lat, to_lon, &length, &azimuth, &reverse);
        double flat = hypot(to.x_m - from.x_m, to.y_m - from.y_m);
        worst = fmax(worst, fabs(flat - length) / length);
      }
      pc_geodesy_free(geodesy);
    }
    char what[80];
    snprintf(what, sizeof what, "lengths %g m from the origin, worst share off", cases[c].reach_m);
    assert_published("Karney 2013, J. Geodesy 87:43 (geod_inverse of PROJ)", what, worst, 0,
                     cases[c].allowed);
  }
}

/* x is east and y north of the origin: distance and azimuth from it are the geodesic's. */
static void test_directions(void **state) {
  (void)state;
  const struct geod_geodesic earth = wgs84();
  const double lon0 = 20.001, lat0 = 59.999;
  pc_geodesy *geodesy;
  assert_int_equal(pc_geodesy_create(lon0, lat0, &geodesy), PC_OK);
  pc_point at;
  assert_true(pc_geodesy_project(geodesy, lon0, lat0, &at));
  assert_true(fabs(at.x_m) < 1e-6 && fabs(at.y_m) < 1e-6);
  for (int turn = 0; turn < 360; turn += 45) {
    double lon, lat, azimuth, back_lon, back_lat;
    geod_direct(&earth, lat0, lon0, turn, 500, &lat, &lon, &azimuth);
    assert_true(pc_geodesy_project(geodesy, lon, lat, &at));
    assert_near("distance", hypot(at.x_m, at.y_m), 500, 1e-6);
    assert_true(fabs(at.x_m - 500 * sin(turn * pi / 180)) < 1e-3);
    assert_true(fabs(at.y_m - 500 * cos(turn * pi / 180)) < 1e-3);
    assert_true(pc_geodesy_locate(geodesy, at, &back_lon, &back_lat));
    assert_true(fabs(back_lon - lon) < 1e-10 && fabs(back_lat - lat) < 1e-10);
  }
  assert_false(pc_geodesy_project(geodesy, 181, 0, &at));
  assert_false(pc_geodesy_project(geodesy, 0, NAN, &at));
  pc_geodesy_free(geodesy);
  pc_geodesy *none = geodesy;
  assert_int_equal(pc_geodesy_create(0, 91, &none), PC_ERR_RANGE);
  assert_null(none);
  assert_int_equal(pc_geodesy_create(NAN, 0, &none), PC_ERR_RANGE);
}

static void test_decimals(void **state) {
  (void)state;
  const struct {
    double value;
    int decimals;
    const char *text;
  } cases[] = {
      {0, 3, "0.000"},     {-0.0004, 3, "0.000"},   {-0.0006, 3, "-0.001"}, {12.3456789, 7, "12.3456789"},
      {-179.5, 0, "-180"}, {99.9996, 3, "100.000"}, {0.05, 2, "0.05"},      {NAN, 3, "0"}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    char text[PC_DECIMALS_MAX];
    pc_print_decimals(text, cases[i].value, cases[i].decimals);
    assert_string_equal(text, cases[i].text);
  }
}

/* ---- lots ---- */

static void turn_ring(pc_ring *ring, double turn_rad, pc_point shift) {
  for (size_t i = 0; i < ring->count; i++) {
    pc_point p = ring->points[i];
    ring->points[i] = (pc_point){p.x_m * cos(turn_rad) - p.y_m * sin(turn_rad) + shift.x_m,
                                 p.x_m * sin(turn_rad) + p.y_m * cos(turn_rad) + shift.y_m};
  }
}

static void turn_lot(pc_scenario *s, double turn_rad, pc_point shift) {
  for (size_t i = 0; i < s->site.area_count; i++) {
    turn_ring(&s->site.areas[i].outline, turn_rad, shift);
    s->site.areas[i].heading_rad += turn_rad;
  }
  for (size_t i = 0; i < s->zone_count; i++) {
    pc_ring point = {&s->zones[i].at, 1};
    turn_ring(&point, turn_rad, shift);
    turn_ring(&s->zones[i].outline, turn_rad, shift);
  }
}

/* Puts the site and zones of a map in the place of a scenario's. */
static void take_map(pc_scenario *s, pc_geojson *map) {
  pc_site_free(&s->site);
  for (size_t i = 0; i < s->zone_count; i++)
    pc_zone_free(&s->zones[i]);
  free(s->zones);
  s->site = map->site;
  s->zones = map->zones;
  s->zone_count = map->zone_count;
  map->site = (pc_site){0};
  map->zones = NULL;
  map->zone_count = 0;
  pc_geojson_free(map);
}

static pc_text write_site(const pc_scenario *s) {
  const pc_geojson_content content = {.site = &s->site, .zones = s->zones, .zone_count = s->zone_count};
  pc_text text = {0};
  pc_error error = {0};
  if (pc_geojson_write(&content, &text, &error) != PC_OK)
    fail_msg("%s: %s", error.key, error.message);
  return text;
}

/* A lot whose sides are no whole number of stations or strips: else a hair's breadth, such as that of a
 * coordinate's last decimal, would make another grid. With straight-runs, since keep-pushing compares sums of
 * many terms, and there a hair's breadth decides between bites that are equally good. */
static pc_scenario odd_lot(void) {
  static const pc_point zones[] = {{0, 71.3}, {133.7, 157.9}, {251.1, 38.9}};
  pc_scenario s = scene_rectangle(251.1, 157.9, zones, 3);
  s.policy = pc_name_of("straight-runs");
  return s;
}

/* How a lot lies on Earth makes no difference to how long it takes. */
static void test_same_time_wherever(void **state) {
  (void)state;
  const struct {
    double lon_deg, lat_deg, turn_deg;
  } places[] = {{20, 60, 0}, {20, 60, 30}, {-179.9995, -41.3, 117.25}, {-70.1, 0, 250}};
  pc_scenario flat = odd_lot();
  pc_result expected = simulate(&flat, NULL);
  for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
    pc_scenario s = odd_lot();
    turn_lot(&s, places[i].turn_deg * pi / 180, (pc_point){300, -200});
    s.site.has_origin = true;
    s.site.origin_lon_deg = places[i].lon_deg;
    s.site.origin_lat_deg = places[i].lat_deg;
    pc_text text = write_site(&s);
    /* Another origin would turn everything by the convergence of the meridians, a few thousandths of a
     * degree. */
    const pc_geojson_origin origin = {places[i].lon_deg, places[i].lat_deg};
    pc_geojson map = read_around(text.data, &origin);
    assert_true(map.site.has_origin && map.sources[PC_GEOJSON_AREAS][0].has_heading);
    take_map(&s, &map);
    pc_result found = simulate(&s, NULL);
    print_message("at [%g, %g], turned by %g degrees: %.6f s, flat %.6f s\n", places[i].lon_deg,
                  places[i].lat_deg, places[i].turn_deg, found.total_time_s, expected.total_time_s);
    assert_near("time", found.total_time_s, expected.total_time_s, 1e-6);
    assert_int_equal(found.cycles, expected.cycles);
    pc_result_free(&found);
    pc_text_free(&text);
    pc_scenario_free(&s);
  }
  pc_result_free(&expected);
  pc_scenario_free(&flat);
}

static const char everything[] =
    "{\"type\": \"FeatureCollection\", \"features\": [\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", \"name\": \"yard \\\"A\\\" \\\\ b\", "
    "\"heading\": \"-33.5 deg\"}, \"geometry\": {\"type\": \"Polygon\", \"coordinates\": ["
    /* the outer ring clockwise, the hole counter-clockwise: readers take either (RFC 7946, 3.1.6) */
    "[[20,60],[20,60.001],[20.002,60.001],[20.002,60],[20,60]],"
    "[[20.0005,60.0005],[20.0006,60.0005],[20.0006,60.0006],[20.0005,60.0005]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", \"name\": \"rest\", \"heading\": "
    "\"auto\"}, "
    "\"geometry\": {\"type\": \"MultiPolygon\", \"coordinates\": ["
    "[[[20.003,60],[20.004,60],[20.004,60.001],[20.003,60]]],"
    "[[[20.005,60],[20.006,60],[20.006,60.001],[20.005,60]]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"ground\", \"fid\": 3, \"name\": null}, "
    "\"geometry\": {\"type\": \"Polygon\", \"coordinates\": "
    "[[[20,59.9995],[20.002,59.9995],[20.002,60],[20,60],[20,59.9995]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"pole\", \"name\": \"mast\", \"radius\": \"40 "
    "cm\"}, "
    "\"geometry\": {\"type\": \"Point\", \"coordinates\": [20.001, 60.0002, 12.5]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"old-pile\"}, "
    "\"geometry\": {\"type\": \"Polygon\", \"coordinates\": "
    "[[[20.001,60.0007],[20.0012,60.0007],[20.0012,60.0008],[20.001,60.0007]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"drain\", \"name\": \"gully\", \"radius\": \"3 "
    "ft\"}, "
    "\"geometry\": {\"type\": \"MultiPoint\", \"coordinates\": [[20.0001, 60.0001], [20.0019, 60.0001]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"accessible\"}, "
    "\"geometry\": {\"type\": \"Polygon\", \"coordinates\": "
    "[[[20.0001,60.0008],[20.0002,60.0008],[20.0002,60.0009],[20.0001,60.0008]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\", \"name\": \"N\", \"height\": \"4.5 m\", "
    "\"berths\": 2.0, \"stack\": 0.25, \"volume\": \"1234.5 m3\"}, \"geometry\": "
    "{\"type\": \"Polygon\", \"coordinates\": "
    "[[[20,60.001],[20.002,60.001],[20.002,60.0011],[20,60.0011],[20,60.001]]]}},\n"
    "{\"type\": \"Feature\", \"properties\": {\"kind\": \"zone\"}, "
    "\"geometry\": {\"type\": \"Point\", \"coordinates\": [20.002, 60.0005]}}\n"
    "]}";

static void assert_same_ring(const pc_ring *a, const pc_ring *b) {
  assert_int_equal(a->count, b->count);
  assert_near("area", fabs(pc_ring_area_m2(a)), fabs(pc_ring_area_m2(b)), 1e-5);
  for (size_t i = 0; i < a->count; i++) {
    double nearest = INFINITY;
    for (size_t k = 0; k < b->count; k++)
      nearest =
          fmin(nearest, hypot(a->points[i].x_m - b->points[k].x_m, a->points[i].y_m - b->points[k].y_m));
    assert_true(nearest < 3e-4); /* 1e-9 degrees are 0.11 mm */
  }
}

static void assert_same_map(const pc_geojson *a, const pc_geojson *b) {
  const pc_site *s = &a->site, *t = &b->site;
  assert_int_equal(s->area_count, t->area_count);
  assert_int_equal(s->ground_count, t->ground_count);
  assert_int_equal(s->obstacle_count, t->obstacle_count);
  assert_int_equal(s->keep_clear_count, t->keep_clear_count);
  assert_int_equal(a->zone_count, b->zone_count);
  for (size_t i = 0; i < s->area_count; i++) {
    assert_string_equal(s->areas[i].name.text, t->areas[i].name.text);
    assert_same_ring(&s->areas[i].outline, &t->areas[i].outline);
    assert_true(fabs(s->areas[i].heading_rad - t->areas[i].heading_rad) < 1e-9);
    assert_int_equal(s->areas[i].auto_heading, t->areas[i].auto_heading);
  }
  for (size_t i = 0; i < s->ground_count; i++)
    assert_same_ring(&s->ground[i].outline, &t->ground[i].outline);
  for (size_t i = 0; i < s->obstacle_count; i++) {
    assert_string_equal(s->obstacles[i].name.text, t->obstacles[i].name.text);
    assert_int_equal(s->obstacles[i].kind, t->obstacles[i].kind);
    assert_same_ring(&s->obstacles[i].outline, &t->obstacles[i].outline);
    if (s->obstacles[i].outline.count == 0)
      assert_near("radius", t->obstacles[i].radius_m, s->obstacles[i].radius_m, 1e-9);
  }
  for (size_t i = 0; i < s->keep_clear_count; i++) {
    assert_string_equal(s->keep_clear[i].name.text, t->keep_clear[i].name.text);
    assert_int_equal(s->keep_clear[i].kind, t->keep_clear[i].kind);
    assert_same_ring(&s->keep_clear[i].outline, &t->keep_clear[i].outline);
    if (s->keep_clear[i].outline.count == 0)
      assert_true(fabs(s->keep_clear[i].at.x_m - t->keep_clear[i].at.x_m) < 3e-4);
  }
  for (size_t i = 0; i < a->zone_count; i++) {
    const pc_zone *y = &a->zones[i], *z = &b->zones[i];
    assert_string_equal(y->name.text, z->name.text);
    assert_same_ring(&y->outline, &z->outline);
    assert_near("height", z->height_m, y->height_m, 1e-9);
    assert_true(z->volume_m3 == y->volume_m3 || (isnan(z->volume_m3) && isnan(y->volume_m3)));
    assert_int_equal(z->berths, y->berths);
    assert_near("stack", z->stack, y->stack, 1e-9);
  }
}

static void test_every_kind(void **state) {
  (void)state;
  pc_geojson map = read_good(everything);
  const pc_site *site = &map.site;
  assert_int_equal(site->area_count, 3);
  assert_string_equal(site->areas[0].name.text, "yard \"A\" \\ b");
  assert_true(fabs(site->areas[0].heading_rad - -33.5 * pi / 180) < 1e-12);
  assert_string_equal(site->areas[1].name.text, "rest 1");
  assert_string_equal(site->areas[2].name.text, "rest 2");
  assert_true(site->areas[2].auto_heading);
  assert_string_equal(site->ground[0].name.text, "ground 1");
  assert_int_equal(site->obstacle_count, 3);
  assert_string_equal(site->obstacles[0].name.text, "yard \"A\" \\ b hole 1");
  assert_int_equal(site->obstacles[0].kind, PC_OBSTACLE_ISLAND);
  assert_int_equal(site->obstacles[1].kind, PC_OBSTACLE_POLE);
  assert_int_equal(site->obstacles[1].outline.count, 0);
  assert_near("radius", site->obstacles[1].radius_m, 0.4, 1e-12);
  assert_int_equal(site->obstacles[2].kind, PC_OBSTACLE_OLD_PILE);
  assert_string_equal(site->obstacles[2].name.text, "obstacle 3");
  assert_int_equal(site->keep_clear_count, 3);
  assert_string_equal(site->keep_clear[1].name.text, "gully 2");
  assert_near("radius", site->keep_clear[1].radius_m, 3 * 0.3048, 1e-12); /* NIST SP 811 */
  assert_int_equal(site->keep_clear[2].kind, PC_KEEP_ACCESSIBLE);
  assert_int_equal(map.zone_count, 2);
  assert_int_equal(map.zones[0].berths, 2);
  assert_near("volume", map.zones[0].volume_m3, 1234.5, 0);
  assert_int_equal(map.zones[1].outline.count, 0);
  assert_true(isfinite(map.zones[1].at.x_m));
  assert_int_equal(map.sources[PC_GEOJSON_AREAS][2].feature, 1);
  assert_int_equal(map.sources[PC_GEOJSON_AREAS][2].part, 1);
  /* the middle of the data */
  assert_near("longitude", site->origin_lon_deg, 20.003, 1e-9);
  assert_near("latitude", site->origin_lat_deg, 60.0003, 1e-9);
  /* of the yard: its sides are geodesics of Karney's */
  const struct geod_geodesic earth = wgs84();
  double perimeter, area;
  double lats[] = {60, 60, 60.001, 60.001}, lons[] = {20, 20.002, 20.002, 20};
  geod_polygonarea(&earth, lats, lons, 4, &area, &perimeter);
  assert_near("area", fabs(pc_ring_area_m2(&site->areas[0].outline)), fabs(area), 1e-6);
  pc_geojson_free(&map);
}

static void test_round_trip(void **state) {
  (void)state;
  pc_geojson map = read_good(everything);
  const pc_geojson_content content = {.site = &map.site, .zones = map.zones, .zone_count = map.zone_count};
  pc_text text = {0};
  assert_int_equal(pc_geojson_write(&content, &text, NULL), PC_OK);
  pc_geojson again;
  pc_faults faults = {0};
  const pc_geojson_origin origin = {map.site.origin_lon_deg, map.site.origin_lat_deg};
  assert_int_equal(pc_geojson_read_text("again", text.data, text.length, &origin, &again, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  assert_same_map(&map, &again);
  pc_faults_free(&faults);
  pc_geojson_free(&again);
  pc_geojson_free(&map);
  pc_text_free(&text);
}

/* ---- what is written ---- */

static double signed_area(const json_t *ring) {
  double twice = 0;
  for (size_t i = 0; i + 1 < json_array_size(ring); i++) {
    const json_t *a = json_array_get(ring, i), *b = json_array_get(ring, i + 1), *o = json_array_get(ring, 0);
    double ax = json_real_value(json_array_get(a, 0)) - json_real_value(json_array_get(o, 0));
    double ay = json_real_value(json_array_get(a, 1)) - json_real_value(json_array_get(o, 1));
    double bx = json_real_value(json_array_get(b, 0)) - json_real_value(json_array_get(o, 0));
    double by = json_real_value(json_array_get(b, 1)) - json_real_value(json_array_get(o, 1));
    twice += ax * by - ay * bx;
  }
  return twice / 2;
}

static void assert_position(const json_t *position) {
  assert_int_equal(json_array_size(position), 2);
  double lon = json_real_value(json_array_get(position, 0)),
         lat = json_real_value(json_array_get(position, 1));
  assert_true(fabs(lon - 20) < 0.1 && fabs(lat - 60) < 0.1); /* longitude first (3.1.1) */
}

/* RFC 7946: 3.1.6 closed rings, the outer one counter-clockwise; 3.1.4 two positions in a line; 3.2 features
 * with properties and geometry; 4 no crs. */
static void assert_rfc7946(const char *text, size_t counts[3]) {
  json_error_t problem;
  json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &problem);
  if (!root)
    fail_msg("%d: %s", problem.line, problem.text);
  assert_string_equal(json_string_value(json_object_get(root, "type")), "FeatureCollection");
  assert_null(json_object_get(root, "crs"));
  const json_t *features = json_object_get(root, "features");
  for (size_t i = 0; i < json_array_size(features); i++) {
    const json_t *feature = json_array_get(features, i), *geometry = json_object_get(feature, "geometry");
    const json_t *coordinates = json_object_get(geometry, "coordinates");
    const char *kind = json_string_value(json_object_get(json_object_get(feature, "properties"), "kind"));
    const char *type = json_string_value(json_object_get(geometry, "type"));
    assert_string_equal(json_string_value(json_object_get(feature, "type")), "Feature");
    counts[strcmp(kind, "lane") == 0 ? 1 : strcmp(kind, "path") == 0 ? 2 : 0]++;
    if (strcmp(type, "Point") == 0) {
      assert_position(coordinates);
    } else if (strcmp(type, "LineString") == 0) {
      assert_true(json_array_size(coordinates) >= 2);
      assert_position(json_array_get(coordinates, 0));
    } else {
      assert_string_equal(type, "Polygon");
      const json_t *ring = json_array_get(coordinates, 0);
      assert_true(json_array_size(ring) >= 4);
      assert_true(json_equal(json_array_get(ring, 0), json_array_get(ring, json_array_size(ring) - 1)));
      assert_true(signed_area(ring) > 0);
      for (size_t k = 0; k < json_array_size(ring); k++)
        assert_position(json_array_get(ring, k));
    }
  }
  json_decref(root);
}

static void test_lanes_and_paths(void **state) {
  (void)state;
  pc_scenario s = scene_reference(3, 1, "straight-runs");
  s.site.has_origin = true;
  s.site.origin_lon_deg = 20;
  s.site.origin_lat_deg = 60;
  pc_ring_free(&s.site.areas[0].outline);
  const pc_point clockwise[] = {{0, 0}, {0, 30}, {60, 30}, {60, 0}};
  assert_int_equal(pc_ring_copy(&s.site.areas[0].outline, clockwise, 4), PC_OK);
  for (size_t i = 0; i < 3; i++)
    s.zones[i].at = (pc_point){60 * (i > 0), 30 * (i > 1)};
  pc_lot *lot = make_lot(&s);
  pc_geojson_rows rows = {0};
  const pc_trace trace = {.row = pc_geojson_keep_row, .context = &rows};
  pc_result result = simulate_lot(lot, 1, 0, &trace);
  assert_false(rows.failed);
  size_t driven = 0;
  for (size_t i = 0; i < rows.count; i++)
    driven +=
        rows.items[i].from.x_m != rows.items[i].to.x_m || rows.items[i].from.y_m != rows.items[i].to.y_m;
  const pc_geojson_content content = {
      .site = &s.site, .lot = lot, .rows = rows.items, .row_count = rows.count};
  pc_text text = {0};
  assert_int_equal(pc_geojson_write(&content, &text, NULL), PC_OK);
  size_t counts[3] = {0, 0, 0};
  assert_rfc7946(text.data, counts);
  assert_int_equal(counts[0], 4);
  assert_int_equal(counts[1], lot->lane_sets[0].lane_count); /* a rectangle: no lane is empty */
  assert_int_equal(counts[1], 7);                            /* 30 m by swaths of 4.5 m */
  assert_true(driven > 20);
  assert_int_equal(counts[2], driven);
  assert_non_null(strstr(text.data, "\"kind\": \"path\", \"machine\": \"loader 1\", \"phase\": \"fill\""));
  assert_non_null(strstr(text.data, "\"capacity_m3\": null")); /* point zones take any amount */
  pc_geojson again = read_good(text.data);                     /* lanes and ways are passed over */
  assert_int_equal(again.site.area_count, 1);
  assert_int_equal(again.zone_count, 3);
  pc_geojson_free(&again);
  pc_text_free(&text);
  pc_geojson_rows_free(&rows);
  pc_result_free(&result);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static void test_no_origin(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  const pc_geojson_content content = {.site = &s.site, .zones = s.zones, .zone_count = s.zone_count};
  pc_text text = {0};
  pc_error error = {0};
  assert_int_equal(pc_geojson_write(&content, &text, &error), PC_ERR_MISSING);
  assert_string_equal(error.key, "site.origin");
  s.site.has_origin = true;
  s.site.origin_lat_deg = 200;
  assert_int_equal(pc_geojson_write(&content, &text, &error), PC_ERR_RANGE);
  pc_text_free(&text);
  pc_scenario_free(&s);
}

/* ---- lines ---- */

static void test_fence(void **state) {
  (void)state;
  /* Lengths of the legs by the geodesic; a strip of this width has length × width. */
  const struct geod_geodesic earth = wgs84();
  double east, north, azimuth, reverse;
  geod_inverse(&earth, 60, 20, 60, 20.002, &east, &azimuth, &reverse);
  geod_inverse(&earth, 60, 20, 60.001, 20, &north, &azimuth, &reverse);
  pc_geojson map = read_good(
      "{\"type\": \"FeatureCollection\", \"features\": ["
      "{\"type\": \"Feature\", \"properties\": {\"kind\": \"fence\", \"name\": \"F\"}, \"geometry\": "
      "{\"type\": \"LineString\", \"coordinates\": [[20,60],[20.002,60]]}},"
      "{\"type\": \"Feature\", \"properties\": {\"kind\": \"fence\", \"width\": \"1 m\"}, \"geometry\": "
      "{\"type\": \"LineString\", \"coordinates\": "
      "[[20,60],[20.002,60],[20.002,60.001],[20,60.001],[20,60]]}}]}");
  assert_string_equal(map.site.obstacles[0].name.text, "F");
  assert_near("thin strip", fabs(pc_ring_area_m2(&map.site.obstacles[0].outline)), 0.3 * east, 1e-5);
  /* Around a yard: in pieces, none of which fills the yard. */
  const pc_point middle = {0, 0};
  double sum = 0;
  assert_true(map.site.obstacle_count > 2);
  for (size_t i = 1; i < map.site.obstacle_count; i++) {
    sum += fabs(pc_ring_area_m2(&map.site.obstacles[i].outline));
    assert_false(pc_ring_contains(&map.site.obstacles[i].outline, middle));
    assert_int_equal(map.sources[PC_GEOJSON_OBSTACLES][i].feature, 1);
  }
  assert_near("strip around", sum, 2 * east + 2 * north, 0.01);
  assert_string_equal(map.site.obstacles[1].name.text, "obstacle 2 1");
  pc_geojson_free(&map);
}

static void test_across_the_date_line(void **state) {
  (void)state;
  const struct geod_geodesic earth = wgs84();
  double length, azimuth, reverse;
  geod_inverse(&earth, -17, 179.999, -17, -179.999, &length, &azimuth, &reverse);
  pc_geojson map = read_good(
      "{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\"}, \"geometry\": "
      "{\"type\": \"Polygon\", \"coordinates\": "
      "[[[179.999,-17],[-179.999,-17],[-179.999,-16.999],[179.999,-16.999],[179.999,-17]]]}}");
  const pc_point *p = map.site.areas[0].outline.points;
  assert_near("side", hypot(p[1].x_m - p[0].x_m, p[1].y_m - p[0].y_m), length, 1e-6);
  assert_true(fabs(fabs(map.site.origin_lon_deg) - 180) < 1e-7);
  pc_geojson_free(&map);
}

/* A start well before the first clock time: six hours before a deadline, one before an opening, on the full
 * hour; the first time is the one after the longest stretch without any. */
static void test_start_for_clock_times(void **state) {
  (void)state;
  static const struct {
    const char *areas[4]; /* properties */
    const char *start;    /* NULL: not given */
  } cases[] = {
      {{"\"clear_by\": \"6 h\""}, NULL},
      {{"\"clear_by\": \"04:30\""}, "22:00"},
      {{"\"clear_by\": \"05:00 +1 day\""}, "23:00"},
      {{"\"opens\": \"23:00\""}, "22:00"},
      {{"\"clear_by\": \"04:30\"", "\"clear_by\": \"03:00\"", "\"clear_by\": \"01:00\"",
        "\"opens\": \"23:00\""},
       "19:00"},
      {{"\"clear_by\": \"5 am\"", "\"opens\": \"10:30 pm\""}, "9:00 pm"},
      {{"\"clear_by\": \"5 am\"", "\"opens\": \"22:30\""}, "21:00"}, /* that reads both */
      {{"\"clear_by\": \"14:00\"", "\"opens\": \"07:30\""}, "06:00"},
      /* All round the day: between the last and the first. */
      {{"\"clear_by\": \"00:00\"", "\"clear_by\": \"06:00\"", "\"clear_by\": \"12:00\"",
        "\"clear_by\": \"18:00\""},
       "03:00"},
  };
  for (size_t c = 0; c < sizeof cases / sizeof cases[0]; c++) {
    pc_text text = {0};
    pc_text_add(&text, "{\"type\": \"FeatureCollection\", \"features\": [");
    for (size_t i = 0; i < 4 && cases[c].areas[i]; i++)
      pc_text_addf(
          &text,
          "%s{\"type\": \"Feature\", \"properties\": {\"kind\": \"area\", %s}, \"geometry\": {\"type\": "
          "\"Polygon\", \"coordinates\": [[[20.0%zu1,60],[20.0%zu2,60],[20.0%zu2,60.001],[20.0%zu1,60]]]}}",
          i ? ", " : "", cases[c].areas[i], i, i, i, i);
    pc_text_add(&text, "]}");
    char path[] = "/tmp/pc-geojson-XXXXXX";
    int file = mkstemp(path);
    assert_true(file >= 0 && write(file, text.data, text.length) == (ssize_t)text.length && close(file) == 0);
    pc_geojson map;
    pc_clock start;
    pc_faults faults = {0};
    pc_status status = pc_geojson_read_first(path, NULL, &start, &map, &faults);
    if (status != PC_OK)
      fail_msg("case %zu: %s", c, faults.items[0].message);
    assert_int_equal(start.given, cases[c].start != NULL);
    if (cases[c].start)
      assert_string_equal(pc_clock_show(&start, 0).text, cases[c].start);
    pc_geojson_free(&map);
    pc_faults_free(&faults);
    pc_text_free(&text);
    unlink(path);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_start_for_clock_times),
      cmocka_unit_test(test_lengths),
      cmocka_unit_test(test_directions),
      cmocka_unit_test(test_decimals),
      cmocka_unit_test(test_same_time_wherever),
      cmocka_unit_test(test_every_kind),
      cmocka_unit_test(test_round_trip),
      cmocka_unit_test(test_lanes_and_paths),
      cmocka_unit_test(test_no_origin),
      cmocka_unit_test(test_fence),
      cmocka_unit_test(test_across_the_date_line),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
