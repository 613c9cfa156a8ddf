// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Lots from maps and back: GeoJSON (RFC 7946), longitude and latitude on WGS 84 in a file, local metres here.
 *
 * What a feature is stands in its property "kind": area, ground, zone, one of pc_obstacle_kind_names or one
 * of pc_keep_clear_kind_names. Its other properties are those of the scenario format, quantities as text with
 * their unit ("height": "4 m"). Local metres come from a transverse Mercator projection; (0, 0) is the
 * origin, y points north there.
 *
 * Ownership: what is read belongs to the caller, pc_geojson_free. Failures: every fault of a file is added to
 * `faults` with the file's name and the feature ("features[3].geometry.coordinates[0]"); the status of the
 * first is returned, and the result is then empty. Cautions may be added although PC_OK is returned.
 * Thread-safety: arguments only.
 */
#ifndef PC_IO_GEOJSON_H
#define PC_IO_GEOJSON_H

#include "sim/lot.h"
#include "sim/trace.h"

PC_BEGIN_C

enum { PC_GEOJSON_FEATURES_MAX = 100000 };

typedef enum pc_geojson_list {
  PC_GEOJSON_AREAS,
  PC_GEOJSON_GROUND,
  PC_GEOJSON_OBSTACLES,
  PC_GEOJSON_KEEP_CLEAR,
  PC_GEOJSON_ZONES,
  PC_GEOJSON_LIST_COUNT
} pc_geojson_list;

/* Where in the file one thing came from. */
typedef struct pc_geojson_source {
  size_t feature; /* its index in the file */
  int part;       /* of a MultiPolygon, MultiPoint or MultiLineString; -1: the feature is one thing */
  int ring;       /* of a polygon: 0 outside, others are holes; -1: no polygon */
  bool has_heading;
  bool opens_by_clock, clear_by_clock; /* of an area: given as a clock time */
} pc_geojson_source;

typedef struct pc_geojson_origin {
  double lon_deg, lat_deg;
} pc_geojson_origin;

typedef struct pc_geojson {
  pc_site site; /* has_origin is true */
  pc_zone *zones;
  size_t zone_count;
  pc_geojson_source *sources[PC_GEOJSON_LIST_COUNT]; /* as many as the list has entries */
} pc_geojson;

/* Reads a file; "-" is standard input. Without an origin (NULL) it is the middle of the data, to 1e-7
 * degrees. What is read has been validated, but for what only the whole scenario can tell. */
PC_API PC_MUST_USE pc_status pc_geojson_read(const char *path, const pc_geojson_origin *origin,
                                             pc_geojson *out, pc_faults *faults);
/* pc_geojson_read for a map that no scenario belongs to yet: if its areas give clock times, they count from
 * *start, which becomes a full hour well before the first of them (an example: only people know); else it is
 * not given. */
PC_API PC_MUST_USE pc_status pc_geojson_read_first(const char *path, const pc_geojson_origin *origin,
                                                   pc_clock *start, pc_geojson *out, pc_faults *faults);
/* Reads text in memory; `name` is what faults call it. */
PC_API PC_MUST_USE pc_status pc_geojson_read_text(const char *name, const char *text, size_t length,
                                                  const pc_geojson_origin *origin, pc_geojson *out,
                                                  pc_faults *faults);
PC_API void pc_geojson_free(pc_geojson *geojson);

/* For faults of a site into which a file's things were put first: lets the key "site.areas[2].outline" of a
 * thing from the file say "features[7].geometry…", with `name` as the fault's file; counts the others down by
 * as many as the file has, so that they fit the scenario. */
PC_API void pc_geojson_translate(const pc_geojson *geojson, const char *name, pc_error *error);

/* What to write; everything is borrowed, and valid (pc_site_validate). */
typedef struct pc_geojson_content {
  const pc_site *site;  /* needs an origin */
  const pc_zone *zones; /* NULL: those of `lot` */
  size_t zone_count;
  const pc_lot *lot;        /* what zones hold, and lanes; may be NULL */
  const pc_trace_row *rows; /* driven ways, of `lot`; may be NULL */
  size_t row_count;
} pc_geojson_content;

/* Adds a FeatureCollection to `text`. PC_ERR_MISSING without an origin; *error (may be NULL) says so. */
PC_API PC_MUST_USE pc_status pc_geojson_write(const pc_geojson_content *content, pc_text *text,
                                              pc_error *error);

/* Keeps the rows of a trace: the hook to hand to a run is {pc_geojson_keep_row, rows}. Zero-initialise. */
typedef struct pc_geojson_rows {
  pc_trace_row *items;
  size_t count, capacity;
  bool failed; /* memory was short: rows are missing */
} pc_geojson_rows;

/* The hook; `rows` is a pc_geojson_rows. */
PC_API void pc_geojson_keep_row(void *rows, const pc_trace_row *row);
PC_API void pc_geojson_rows_free(pc_geojson_rows *rows);

PC_END_C

#endif
