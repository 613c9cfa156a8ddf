// SPDX-License-Identifier: GPL-3.0-or-later
/* What the two halves of the GeoJSON reader share: features to drafts in degrees (geojson.c), drafts to a
 * site in metres (geojson_site.c). Not installed. */
#ifndef PC_IO_GEOJSON_PRIVATE_H
#define PC_IO_GEOJSON_PRIVATE_H

#include <jansson.h>

#include "io/geojson.h"
#include "io/reader.h"

typedef enum pc_geojson_form { PC_FORM_POINT, PC_FORM_LINE, PC_FORM_POLYGON } pc_geojson_form;

/* One thing of the lot, with its place still in degrees (x_m longitude, y_m latitude). */
typedef struct pc_draft {
  pc_geojson_list list;
  pc_geojson_source source;
  union {
    pc_area area;
    pc_ground_outline ground;
    pc_obstacle obstacle;
    pc_keep_clear keep_clear;
    pc_zone zone;
  } as;
  pc_geojson_form form;
  pc_ring place;  /* owned */
  double width_m; /* of a line */
} pc_draft;

typedef struct pc_drafts {
  pc_draft *items;
  size_t count, capacity;
  size_t per_list[PC_GEOJSON_LIST_COUNT];
} pc_drafts;

/* The name of a draft, whatever it is. */
pc_name *pc_draft_name(pc_draft *draft);
/* Adds a draft and takes over its place; false if memory is short (then the place is freed). */
PC_MUST_USE bool pc_drafts_add(pc_drafts *drafts, const pc_draft *draft);
void pc_drafts_free(pc_drafts *drafts);

/* pc_geojson_read for the scenario at hand: clock times count from its start, and what was set on the command
 * line of the things of the map holds. */
PC_MUST_USE pc_status pc_geojson_read_for(const char *path, const pc_geojson_origin *origin,
                                          pc_reader *scenario, pc_geojson *out, pc_faults *faults);
/* A start for a map: a full hour well before the first of its clock times, the first after the longest
 * stretch of the day without any. Not given if it has none. */
pc_clock pc_geojson_start(const json_t *root);
/* Which times of an area the properties give by the clock. */
void pc_geojson_note_clock(const json_t *properties, pc_geojson_source *source);
/* Of a degree of latitude; good enough to tell a lot from a country. */
#define PC_DEGREE_M 111200.0
/* Longitudes as one stretch, also where the lot lies on the 180th meridian. */
double pc_longitude_beside(double lon_deg, double other_deg);
/* How far a place is from another, roughly. */
double pc_geojson_away_m(const pc_geojson_origin *place, const pc_geojson_origin *from);
/* A caution where a map lies in the tropics or the Antarctic, but would lie where snow is cleared if its
 * longitudes and latitudes were swapped. */
void pc_geojson_tell_swapped(const char *name, const pc_geojson_origin *place, pc_faults *faults);
/* Projects, puts in what was set (scenario: NULL if none is at hand) and checks; faults are added under the
 * file's name. False if memory is short. */
PC_MUST_USE bool pc_drafts_place(pc_drafts *drafts, const char *name, const pc_geojson_origin *origin,
                                 pc_reader *scenario, pc_geojson *out, pc_faults *faults);

/* "site.areas", … */
extern const char *const pc_geojson_list_keys[PC_GEOJSON_LIST_COUNT];
size_t pc_geojson_count(const pc_geojson *geojson, pc_geojson_list list);
/* A pc_area, a pc_zone, …; all begin with their name. */
void *pc_geojson_entry(const pc_geojson *geojson, pc_geojson_list list, size_t index);

/* Puts the overrides that were kept back into the things of the map (override.c). */
void pc_overrides_apply_map(pc_reader *scenario, pc_geojson *map);
/* Where on the command line the value was set that a key ("zones[0].height") of a thing of the map has, or
 * NULL. */
const pc_node *pc_overrides_find_map(const pc_reader *scenario, const char *key);
/* True for a fault about such a value if what was set could not be read, and that is told. */
bool pc_overrides_told_map(const pc_reader *scenario, const pc_error *error);
/* pc_geojson_translate, with what was set. */
void pc_geojson_translate_for(const pc_geojson *geojson, const char *name, const pc_reader *scenario,
                              pc_error *error);
/* Puts ` (feature "name")` at the end of a message. */
void pc_geojson_sign(pc_error *error, const char *feature);

/* One Point, LineString or Polygon of a feature's geometry. */
typedef struct pc_shape_read {
  pc_geojson_form form;
  pc_ring *rings; /* degrees; a point is a ring of one */
  size_t count, capacity;
  int part;
} pc_shape_read;

typedef struct pc_shapes_read {
  pc_shape_read *items;
  size_t count, capacity;
} pc_shapes_read;

typedef struct pc_reading {
  const char *file;
  pc_tree *tree; /* properties as nodes, so that the scenario's reader can take them */
  const char *node_file;
  pc_reader reader;
  pc_faults found; /* of the feature at hand */
  pc_drafts drafts;
  size_t feature;
  bool no_memory;
} pc_reading;

/* Faults and cautions of the feature at hand; keys are whole paths, "features[3].geometry". */
void pc_reading_fault(pc_reading *r, pc_status status, const char *key, const char *format, ...)
    PC_PRINTF(4, 5);
void pc_reading_caution(pc_reading *r, const char *key, const char *format, ...) PC_PRINTF(3, 4);
/* "an array", "a number", "nothing", … for messages. */
const char *pc_geojson_what_is(const json_t *value);
/* The shapes of a geometry; false if something is wrong with it, and then only sound shapes are given. */
bool pc_reading_geometry(pc_reading *r, const json_t *geometry, const char *prefix, pc_shapes_read *out);
/* A fault if the file says that its coordinates are not on WGS 84. */
void pc_reading_crs(pc_reading *r, const json_t *root);
void pc_shapes_free(pc_shapes_read *all);

#endif
