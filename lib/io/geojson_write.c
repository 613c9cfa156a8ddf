// SPDX-License-Identifier: GPL-3.0-or-later
/* A lot, its lanes and driven ways as GeoJSON. Text is put together here and not by a JSON library, so that
 * every coordinate has the same number of decimals. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/csv.h"
#include "io/geodesy.h"
#include "io/geojson.h"
#include "sim/result.h"

/* Of degrees: 1e-9 is a tenth of a millimetre. */
enum { PLACE_DECIMALS = 9 };

typedef struct writer {
  const pc_geojson_content *content;
  const pc_geodesy *geodesy;
  pc_text *out;
  bool lost; /* a point that cannot be told as longitude and latitude */
  bool any;
} writer;

static void add_string(pc_text *out, const char *text) {
  pc_text_add(out, "\"");
  for (; *text; text++) {
    char letter[2] = {*text, '\0'};
    if (*text == '"' || *text == '\\')
      pc_text_add(out, "\\");
    if ((unsigned char)*text < 0x20)
      pc_text_addf(out, "\\u%04x", (unsigned)(unsigned char)*text);
    else
      pc_text_add(out, letter);
  }
  pc_text_add(out, "\"");
}

static void start(writer *w, const char *kind) {
  pc_text_add(w->out, w->any ? ",\n" : "\n");
  w->any = true;
  pc_text_addf(w->out, "{\"type\": \"Feature\", \"properties\": {\"kind\": \"%s\"", kind);
}

static void add_text(writer *w, const char *key, const char *value) {
  pc_text_addf(w->out, ", \"%s\": ", key);
  add_string(w->out, value);
}

static void add_number(writer *w, const char *key, double value) {
  char text[PC_CSV_NUMBER_MAX];
  pc_csv_print_number(text, value);
  pc_text_addf(w->out, ", \"%s\": %s", key, text[0] ? text : "null"); /* JSON has no word for infinity */
}

/* As the scenario format has it, "4 m", so that it can be read back. */
static void add_quantity(writer *w, const char *key, double value, const char *unit) {
  char text[PC_CSV_NUMBER_MAX];
  if (!isfinite(value))
    return;
  pc_csv_print_number(text, value);
  pc_text_addf(w->out, ", \"%s\": \"%s%s%s\"", key, text, *unit ? " " : "", unit);
}

static void add_position(writer *w, pc_point point) {
  double lon, lat;
  char lon_text[PC_DECIMALS_MAX], lat_text[PC_DECIMALS_MAX];
  if (!pc_geodesy_locate(w->geodesy, point, &lon, &lat)) {
    w->lost = true;
    return;
  }
  pc_print_decimals(lon_text, lon, PLACE_DECIMALS);
  pc_print_decimals(lat_text, lat, PLACE_DECIMALS);
  pc_text_addf(w->out, "[%s, %s]", lon_text, lat_text);
}

static void finish_point(writer *w, pc_point at) {
  pc_text_add(w->out, "}, \"geometry\": {\"type\": \"Point\", \"coordinates\": ");
  add_position(w, at);
  pc_text_add(w->out, "}}");
}

static void finish_line(writer *w, pc_point from, pc_point to) {
  pc_text_add(w->out, "}, \"geometry\": {\"type\": \"LineString\", \"coordinates\": [");
  add_position(w, from);
  pc_text_add(w->out, ", ");
  add_position(w, to);
  pc_text_add(w->out, "]}}");
}

/* Counter-clockwise and closed, as RFC 7946 wants it. */
static void finish_polygon(writer *w, const pc_ring *ring) {
  bool backwards = pc_ring_area_m2(ring) < 0;
  pc_text_add(w->out, "}, \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [[");
  for (size_t i = 0; i <= ring->count; i++) {
    size_t corner = i % ring->count;
    pc_text_add(w->out, i > 0 ? ", " : "");
    add_position(w, ring->points[backwards ? (ring->count - corner) % ring->count : corner]);
  }
  pc_text_add(w->out, "]]}}");
}

static void finish_place(writer *w, const pc_ring *outline, pc_point at) {
  if (outline->count > 0)
    finish_polygon(w, outline);
  else
    finish_point(w, at);
}

/* A time after the start: by the clock if the scenario goes by one and the clock time means just that, so
 * that the map says what people say; else in hours. */
static void add_time(writer *w, const char *key, double after_s) {
  const pc_clock *clock = w->content->lot ? &w->content->lot->clock : NULL;
  bool same = false;
  double read_s;
  if (clock && clock->given && isfinite(after_s)) {
    pc_shown shown = pc_clock_show(clock, after_s);
    same = pc_clock_read(clock, shown.text, false, &read_s, NULL) == PC_OK && fabs(read_s - after_s) < 1e-3;
    if (same)
      add_text(w, key, shown.text);
  }
  if (!same)
    add_quantity(w, key, after_s / 3600, "h");
}

/* What else the map can say of an area. */
static void add_terms(writer *w, const pc_area *area) {
  if (area->opens_s > 0)
    add_time(w, "opens", area->opens_s);
  if (!isnan(area->clear_by_s))
    add_time(w, "clear_by", area->clear_by_s);
  if (area->sweep_before_s > 0)
    add_quantity(w, "sweep_before", area->sweep_before_s / 60, "min");
  if (area->into.text[0])
    add_text(w, "into", area->into.text);
}

static void add_site(writer *w, const pc_site *site) {
  for (size_t i = 0; i < site->area_count; i++) {
    const pc_area *area = &site->areas[i];
    start(w, "area");
    add_text(w, "name", area->name.text);
    if (area->auto_heading)
      add_text(w, "heading", "auto");
    else
      add_quantity(w, "heading", pc_units_convert(area->heading_rad, PC_DIM_ANGLE, "deg"), "deg");
    add_terms(w, area);
    finish_polygon(w, &area->outline);
  }
  for (size_t i = 0; i < site->ground_count; i++) {
    start(w, "ground");
    add_text(w, "name", site->ground[i].name.text);
    finish_polygon(w, &site->ground[i].outline);
  }
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *obstacle = &site->obstacles[i];
    start(w, pc_obstacle_kind_names[obstacle->kind]);
    add_text(w, "name", obstacle->name.text);
    if (obstacle->outline.count == 0)
      add_quantity(w, "radius", obstacle->radius_m, "m");
    finish_place(w, &obstacle->outline, obstacle->at);
  }
  for (size_t i = 0; i < site->keep_clear_count; i++) {
    const pc_keep_clear *thing = &site->keep_clear[i];
    start(w, pc_keep_clear_kind_names[thing->kind]);
    add_text(w, "name", thing->name.text);
    if (thing->outline.count == 0)
      add_quantity(w, "radius", thing->radius_m, "m");
    finish_place(w, &thing->outline, thing->at);
  }
}

static void add_zones(writer *w) {
  const pc_lot *lot = w->content->lot;
  bool of_lot = lot && !w->content->zones;
  const pc_zone *zones = of_lot ? lot->zones : w->content->zones;
  size_t count = of_lot ? lot->zone_count : w->content->zone_count;
  for (size_t i = 0; i < count; i++) {
    start(w, "zone");
    add_text(w, "name", zones[i].name.text);
    add_quantity(w, "height", zones[i].height_m, "m");
    add_quantity(w, "volume", zones[i].volume_m3, "m3");
    add_number(w, "berths", zones[i].berths);
    add_quantity(w, "stack", zones[i].stack, "");
    for (size_t k = 0; lot && k < lot->zone_count; k++)
      if (pc_name_is(&zones[i].name, lot->zones[k].name.text)) /* null: without limit */
        add_number(w, "capacity_m3", lot->zone_capacity_kg[k] / lot->snow.pile_density_kgpm3);
    finish_place(w, &zones[i].outline, zones[i].at);
  }
}

/* The stretch of a lane that has pavement under it; false if it has none. */
static bool lane_ends(const pc_lot *lot, const pc_lane_set *set, const pc_lane *lane, pc_point *from,
                      pc_point *to) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  int first = 0, last = lane->stations;
  while (first < last && !(set->slot_m2[lane->first + (size_t)first] > 0))
    first++;
  while (last > first && !(set->slot_m2[lane->first + (size_t)last - 1] > 0))
    last--;
  *from = pc_lane_point(lot, lane, patch->u0_m + first * patch->station_m);
  *to = pc_lane_point(lot, lane, patch->u0_m + last * patch->station_m);
  return first < last;
}

static void add_lanes(writer *w) {
  const pc_lot *lot = w->content->lot;
  if (!lot || lot->lane_set_count == 0)
    return;
  const pc_lane_set *set = &lot->lane_sets[0];
  for (size_t i = 0; i < set->lane_count; i++) {
    const pc_lane *lane = &set->lanes[i];
    pc_point from, to;
    if (!lane_ends(lot, set, lane, &from, &to))
      continue;
    start(w, "lane");
    if ((size_t)lane->patch < w->content->site->area_count)
      add_text(w, "area", w->content->site->areas[lane->patch].name.text);
    add_number(w, "lane", (double)(i - set->patch_lane[lane->patch]) + 1);
    add_number(w, "width_m", lane->width_m);
    finish_line(w, from, to);
  }
}

/* Only legs that lead somewhere: a line needs two places. */
static void add_rows(writer *w) {
  const pc_lot *lot = w->content->lot;
  for (size_t i = 0; lot && i < w->content->row_count; i++) {
    const pc_trace_row *row = &w->content->rows[i];
    if (row->from.x_m == row->to.x_m && row->from.y_m == row->to.y_m)
      continue;
    start(w, "path");
    add_text(w, "machine", row->machine < lot->machine_count ? lot->machines[row->machine].name.text : "");
    add_text(w, "phase", pc_phase_name(row->phase));
    add_number(w, "cycle", row->cycle);
    add_number(w, "start_s", row->start_s);
    add_number(w, "end_s", row->end_s);
    add_number(w, "load_kg", row->load_kg);
    finish_line(w, row->from, row->to);
  }
}

pc_status pc_geojson_write(const pc_geojson_content *content, pc_text *text, pc_error *error) {
  const pc_site *site = content->site;
  pc_geodesy *geodesy;
  if (!site->has_origin)
    return pc_error_set(error, PC_ERR_MISSING, "site.origin", NULL,
                        "is required for a map: the longitude and latitude of [0, 0], in degrees");
  pc_status status = pc_geodesy_create(site->origin_lon_deg, site->origin_lat_deg, &geodesy);
  if (status != PC_OK)
    return pc_error_set(error, status, "site.origin", NULL, "%s", pc_status_describe(status));
  writer w = {.content = content, .geodesy = geodesy, .out = text};
  pc_text_add(text, "{\"type\": \"FeatureCollection\",\n\"features\": [");
  add_site(&w, site);
  add_zones(&w);
  add_lanes(&w);
  add_rows(&w);
  pc_text_add(text, "\n]}\n");
  pc_geodesy_free(geodesy);
  if (w.lost)
    return pc_error_set(error, PC_ERR_RANGE, "site.origin", NULL,
                        "parts of the site lie too far from it to be shown on a map");
  if (text->failed)
    return pc_error_set(error, PC_ERR_MEMORY, NULL, NULL, "%s", pc_status_describe(PC_ERR_MEMORY));
  return PC_OK;
}

void pc_geojson_keep_row(void *context, const pc_trace_row *row) {
  pc_geojson_rows *rows = context;
  void *items = rows->items;
  if (rows->failed || pc_reserve(&items, &rows->capacity, rows->count + 1, sizeof *rows->items) != 0) {
    rows->failed = true;
    return;
  }
  rows->items = items;
  rows->items[rows->count++] = *row;
}

void pc_geojson_rows_free(pc_geojson_rows *rows) {
  if (!rows)
    return;
  free(rows->items);
  *rows = (pc_geojson_rows){0};
}
