// SPDX-License-Identifier: GPL-3.0-or-later
/* Geometries of GeoJSON: Point, LineString, Polygon, and several of them. */
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/geodesy.h"
#include "io/geojson_private.h"

const char *pc_geojson_what_is(const json_t *value) {
  if (!value)
    return "nothing";
  switch (json_typeof(value)) {
  case JSON_OBJECT:
    return "an object";
  case JSON_ARRAY:
    return "an array";
  case JSON_STRING:
    return "a text";
  case JSON_INTEGER:
  case JSON_REAL:
    return "a number";
  case JSON_TRUE:
  case JSON_FALSE:
    return "true or false";
  case JSON_NULL:
    break;
  }
  return "null";
}

static bool read_position(pc_reading *r, const json_t *value, const char *key, pc_point *out) {
  static const char *const names[] = {"longitude", "latitude"};
  static const double most[] = {180, 90};
  if (json_is_array(json_array_get(value, 0))) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "the coordinates are nested too deep: a position is due here");
    return false;
  }
  if (!json_is_array(value) || json_array_size(value) < 2) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "a position is [longitude, latitude], not %s",
                     json_is_array(value) ? "an array of fewer than two numbers" : pc_geojson_what_is(value));
    return false;
  }
  double read[2];
  for (size_t i = 0; i < 2; i++) {
    const json_t *number = json_array_get(value, i);
    if (!json_is_number(number)) {
      pc_reading_fault(r, PC_ERR_SYNTAX, key, "a %s must be a number, not %s", names[i],
                       pc_geojson_what_is(number));
      return false;
    }
    read[i] = json_number_value(number);
    if (fabs(read[i]) <= most[i])
      continue;
    char shown[PC_DECIMALS_MAX];
    pc_print_decimals(shown, read[i], 3);
    pc_reading_fault(r, PC_ERR_RANGE, key, "a %s is between -%.0f and %.0f degrees, %s is not: %s", names[i],
                     most[i], most[i], fabs(read[i]) < 1e12 ? shown : "this huge number",
                     fabs(read[i]) > 360 ? "save the file with longitude and latitude (WGS 84), not in metres"
                                         : "longitude comes first, then latitude");
    return false;
  }
  *out = (pc_point){read[0], read[1]};
  return true;
}

/* Positions of a line (closed: of a polygon's ring, whose repeated last one is dropped). */
static bool read_positions(pc_reading *r, const json_t *value, const char *key, bool closed, pc_ring *out) {
  const char *noun = closed ? "ring" : "line";
  if (!json_is_array(value)) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key,
                     "a %s is an array of positions, [[longitude, latitude], …], not %s", noun,
                     pc_geojson_what_is(value));
    return false;
  }
  size_t count = json_array_size(value);
  const json_t *first = json_array_get(value, 0);
  if (json_is_number(first) || json_is_array(json_array_get(json_array_get(first, 0), 0)) ||
      (closed && json_is_array(json_array_get(first, 0)))) {
    pc_reading_fault(
        r, PC_ERR_SYNTAX, key,
        "the coordinates are nested too %s: a %s is an array of positions, [[longitude, latitude], …]",
        json_is_number(first) ? "little" : "deep", noun);
    return false;
  }
  if (count > PC_RING_MAX + 1) {
    pc_reading_fault(r, PC_ERR_LIMIT, key, "a %s may have at most %d corners, this one has %zu positions",
                     noun, (int)PC_RING_MAX, count);
    return false;
  }
  if (count < (closed ? 4 : 2)) {
    pc_reading_fault(r, PC_ERR_GEOMETRY, key, "a %s needs at least %s, this one has %zu", noun,
                     closed ? "four positions, the last the same as the first" : "two positions", count);
    return false;
  }
  pc_point *points = pc_alloc(count, sizeof *points);
  if (!points) {
    r->no_memory = true;
    return false;
  }
  bool good = true;
  for (size_t i = 0; i < count; i++) {
    char deeper[2 * PC_KEY_MAX];
    (void)snprintf(deeper, sizeof deeper, "%s[%zu]", key, i);
    good &= read_position(r, json_array_get(value, i), deeper, &points[i]);
  }
  bool open = points[0].x_m != points[count - 1].x_m || points[0].y_m != points[count - 1].y_m;
  if (good && closed && open) {
    char lon[PC_DECIMALS_MAX], lat[PC_DECIMALS_MAX];
    pc_print_decimals(lon, points[count - 1].x_m, 7);
    pc_print_decimals(lat, points[count - 1].y_m, 7);
    pc_reading_fault(r, PC_ERR_GEOMETRY, key,
                     "the ring is open: it ends at [%s, %s]; its last position must repeat its first", lon,
                     lat);
    good = false;
  }
  *out = (pc_ring){points, closed ? count - 1 : count};
  if (!good)
    pc_ring_free(out);
  return good;
}

static bool add_ring(pc_reading *r, pc_shape_read *to, pc_ring *ring) {
  void *rings = to->rings;
  if (pc_reserve(&rings, &to->capacity, to->count + 1, sizeof *to->rings) != 0) {
    r->no_memory = true;
    pc_ring_free(ring);
    return false;
  }
  to->rings = rings;
  to->rings[to->count++] = *ring;
  return true;
}

static bool read_rings(pc_reading *r, const json_t *value, const char *key, pc_shape_read *out) {
  if (!json_is_array(value) || json_array_size(value) == 0) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "a polygon is an array of rings, the outer one first, not %s",
                     json_is_array(value) ? "an empty array" : pc_geojson_what_is(value));
    return false;
  }
  bool good = true;
  for (size_t i = 0; i < json_array_size(value); i++) {
    char deeper[2 * PC_KEY_MAX];
    pc_ring ring = {0};
    (void)snprintf(deeper, sizeof deeper, "%s[%zu]", key, i);
    good &= read_positions(r, json_array_get(value, i), deeper, true, &ring) && add_ring(r, out, &ring);
  }
  return good;
}

static void free_shape(pc_shape_read *one) {
  for (size_t i = 0; i < one->count; i++)
    pc_ring_free(&one->rings[i]);
  free(one->rings);
}

/* One Point, LineString or Polygon; nothing is added if it has a fault. */
static bool read_shape(pc_reading *r, const json_t *coordinates, pc_geojson_form form, int part,
                       const char *key, pc_shapes_read *out) {
  pc_shape_read made = {.form = form, .part = part};
  pc_ring ring = {0};
  bool good;
  pc_point at;
  if (form == PC_FORM_POLYGON) {
    good = read_rings(r, coordinates, key, &made);
  } else if (form == PC_FORM_LINE) {
    good = read_positions(r, coordinates, key, false, &ring) && add_ring(r, &made, &ring);
  } else {
    good = read_position(r, coordinates, key, &at);
    if (good && pc_ring_copy(&ring, &at, 1) != PC_OK)
      r->no_memory = true;
    good = good && !r->no_memory && add_ring(r, &made, &ring);
  }
  void *items = out->items;
  if (good && pc_reserve(&items, &out->capacity, out->count + 1, sizeof *out->items) != 0)
    r->no_memory = true;
  if (!good || r->no_memory) {
    free_shape(&made);
    return false;
  }
  out->items = items;
  out->items[out->count++] = made;
  return true;
}

static const struct {
  const char *type;
  pc_geojson_form form;
  bool multi;
} geometry_types[] = {{"Point", PC_FORM_POINT, false},         {"LineString", PC_FORM_LINE, false},
                      {"Polygon", PC_FORM_POLYGON, false},     {"MultiPoint", PC_FORM_POINT, true},
                      {"MultiLineString", PC_FORM_LINE, true}, {"MultiPolygon", PC_FORM_POLYGON, true}};

enum { TYPE_COUNT = sizeof geometry_types / sizeof geometry_types[0] };

/* Index of a geometry's type, or TYPE_COUNT after a fault. */
static size_t find_type(pc_reading *r, const json_t *geometry, const char *key) {
  const char *type = json_string_value(json_object_get(geometry, "type"));
  size_t i = 0;
  while (type && i < TYPE_COUNT && strcmp(type, geometry_types[i].type) != 0)
    i++;
  if (type && i < TYPE_COUNT)
    return i;
  char deeper[2 * PC_KEY_MAX];
  (void)snprintf(deeper, sizeof deeper, "%s.type", key);
  if (!type)
    pc_reading_fault(r, PC_ERR_MISSING, deeper, "a geometry needs a type, such as \"Polygon\"");
  else if (strcmp(type, "GeometryCollection") == 0)
    pc_reading_fault(r, PC_ERR_GEOMETRY, deeper,
                     "a GeometryCollection is not taken: make one feature for each shape");
  else
    pc_reading_fault(r, PC_ERR_SYNTAX, deeper,
                     "\"%s\" is no type of geometry; Polygon, MultiPolygon, Point and LineString are taken",
                     pc_name_of(type).text);
  return TYPE_COUNT;
}

bool pc_reading_geometry(pc_reading *r, const json_t *geometry, const char *prefix, pc_shapes_read *out) {
  char key[PC_KEY_MAX], deeper[2 * PC_KEY_MAX];
  (void)snprintf(key, sizeof key, "%s.geometry", prefix);
  if (!json_is_object(geometry)) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "a feature needs a geometry, not %s",
                     pc_geojson_what_is(geometry));
    return false;
  }
  size_t type = find_type(r, geometry, key);
  if (type == TYPE_COUNT)
    return false;
  (void)snprintf(key, sizeof key, "%s.geometry.coordinates", prefix);
  const json_t *coordinates = json_object_get(geometry, "coordinates");
  if (!geometry_types[type].multi)
    return read_shape(r, coordinates, geometry_types[type].form, -1, key, out);
  if (!json_is_array(coordinates) || json_array_size(coordinates) == 0) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "a %s is an array with at least one part, not %s",
                     geometry_types[type].type,
                     json_is_array(coordinates) ? "an empty one" : pc_geojson_what_is(coordinates));
    return false;
  }
  size_t count = json_array_size(coordinates);
  if (count > PC_THINGS_MAX) {
    pc_reading_fault(r, PC_ERR_LIMIT, key, "has %zu parts; at most %d are possible", count,
                     (int)PC_THINGS_MAX);
    return false;
  }
  bool good = true;
  for (size_t i = 0; i < count; i++) {
    (void)snprintf(deeper, sizeof deeper, "%s[%zu]", key, i);
    good &= read_shape(r, json_array_get(coordinates, i), geometry_types[type].form, (int)i, deeper, out);
  }
  return good;
}

void pc_shapes_free(pc_shapes_read *all) {
  for (size_t i = 0; i < all->count; i++)
    free_shape(&all->items[i]);
  free(all->items);
}

static const char *const wgs84_names[] = {"CRS84", "4326", "4979", "WGS84", "WGS 84", "CRS84h"};

/* The old standard let a file name its coordinate system; the present one has only WGS 84. */
void pc_reading_crs(pc_reading *r, const json_t *root) {
  const json_t *crs = json_object_get(root, "crs");
  if (!crs || json_is_null(crs))
    return;
  const char *name = json_string_value(json_object_get(json_object_get(crs, "properties"), "name"));
  for (size_t i = 0; name && i < sizeof wgs84_names / sizeof wgs84_names[0]; i++) {
    size_t length = strlen(name), end = strlen(wgs84_names[i]);
    if (length >= end && strcmp(name + length - end, wgs84_names[i]) == 0)
      return;
  }
  if (name)
    pc_reading_fault(r, PC_ERR_GEOMETRY, "crs",
                     "\"%s\" is not WGS 84: save the file with longitude and latitude (EPSG:4326)",
                     pc_name_of(name).text);
  else
    pc_reading_caution(r, "crs", "is not understood: the coordinates are taken as longitude and latitude");
}
