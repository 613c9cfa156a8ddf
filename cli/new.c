// SPDX-License-Identifier: GPL-3.0-or-later
/* A scenario to start from: the starter as it is, or one around the map of a lot. */
#include <math.h>
#include <string.h>

#include "cli.h"
#include "io/geodesy.h"
#include "io/geojson.h"
#include "io/starter.h"
#include "io/yaml_edit.h"
#include "site/geometry.h"

/* For areas whose map says nothing about lanes. */
static const char usual_heading[] = "auto";

typedef struct maker {
  pc_text *out;
  pc_unit_system units; /* of what is written */
  pc_clock start;       /* of the clock times of a map */
} maker;

/* One of two texts, by the units. */
static const char *choose(const maker *m, const char *metric, const char *us) {
  return m->units == PC_US ? us : metric;
}

/* The part of the starter from a line that begins with `from` up to one that begins with `to` (NULL: the
 * end). */
static void add_starter(const maker *m, const char *from, const char *to) {
  const char *all = pc_starter_scenario_in(m->units), *begin = all, *end = NULL;
  while (begin && strncmp(begin, from, strlen(from)) != 0) {
    begin = strchr(begin, '\n');
    begin = begin ? begin + 1 : NULL;
  }
  for (end = begin; end && *end && (!to || strncmp(end, to, strlen(to)) != 0);) {
    const char *line = strchr(end, '\n');
    end = line ? line + 1 : end + strlen(end);
  }
  if (begin)
    pc_text_addf(m->out, "%.*s", (int)(end - begin), begin);
}

/* To the hundredth of a millimetre: a corner that lies on a long edge of another area does so still, and the
 * two do not come to overlap. */
static void add_point(const maker *m, pc_point point) {
  const char *unit = choose(m, "m", "ft");
  pc_yaml_add_pair(m->out, pc_units_convert(point.x_m, PC_DIM_LENGTH, unit),
                   pc_units_convert(point.y_m, PC_DIM_LENGTH, unit), 5);
}

static void add_outline(const maker *m, const pc_ring *ring, const char *indent) {
  pc_text *out = m->out;
  pc_text_addf(out, "%soutline: [", indent);
  for (size_t i = 0; i < ring->count; i++) {
    if (i > 0)
      pc_text_add(out, i % 6 == 0 ? "," : ", ");
    if (i > 0 && i % 6 == 0)
      pc_text_addf(out, "\n%s  ", indent);
    add_point(m, ring->points[i]);
  }
  pc_text_add(out, "]\n");
}

static void add_number(pc_text *out, const char *key, double value, const char *unit) {
  pc_yaml_add_number(out, key, value, unit);
  pc_text_add(out, "\n");
}

/* A length or volume of the map: in metres as it is, in feet to the thousandth. What is 100 m and more is cut
 * there and not rounded, since a round number of metres may be the most that is allowed. */
static void add_measure(const maker *m, const char *key, double value, pc_dimension dimension) {
  const char *unit = dimension == PC_DIM_VOLUME ? choose(m, "m3", "yd3") : choose(m, "m", "ft");
  double shown = pc_units_convert(value, dimension, unit);
  if (m->units == PC_METRIC || shown < 0.0005) {
    add_number(m->out, key, shown, unit);
    return;
  }
  pc_text_addf(m->out, "%s: ", key);
  pc_yaml_add_decimals(m->out, value < 99.9 ? shown : floor(shown * 1000) / 1000, 3);
  pc_text_addf(m->out, " %s\n", unit);
}

static void add_place(const maker *m, const pc_ring *outline, pc_point at, double radius_m) {
  if (outline->count > 0) {
    add_outline(m, outline, "      ");
    return;
  }
  pc_text_add(m->out, "      at: ");
  add_point(m, at);
  pc_text_add(m->out, "\n");
  add_measure(m, "      radius", radius_m, PC_DIM_LENGTH);
}

/* A time after the start, as the map has it: by the clock or not. */
static void add_time(const maker *m, const char *key, double after_s, bool by_clock) {
  if (by_clock)
    pc_text_addf(m->out, "%s: \"%s\"\n", key, pc_clock_show(&m->start, after_s).text);
  else
    add_number(m->out, key, after_s / 3600, "h");
}

/* What the map says of an area beside its place and heading. */
static void add_terms(const maker *m, const pc_area *area, const pc_geojson_source *source) {
  if (source->opens_by_clock || area->opens_s > 0)
    add_time(m, "      opens", area->opens_s, source->opens_by_clock);
  if (!isnan(area->clear_by_s))
    add_time(m, "      clear_by", area->clear_by_s, source->clear_by_clock);
  if (area->sweep_before_s > 0)
    add_number(m->out, "      sweep_before", area->sweep_before_s / 60, "min");
  if (area->into.text[0] == '\0')
    return;
  pc_text_add(m->out, "      into: ");
  pc_text_add_quoted(m->out, area->into.text);
  pc_text_add(m->out, "\n");
}

static void add_areas(const maker *m, const pc_geojson *map) {
  pc_text *out = m->out;
  if (map->site.area_count == 0)
    pc_text_addf(
        out,
        "  # areas:                          # what has to be cleared: the map has no \"area\"\n"
        "  #   - name: yard\n"
        "  #     outline: %s\n",
        choose(m, "[[0, 0], [120, 0], [120, 80], [0, 80]]", "[[0, 0], [400, 0], [400, 260], [0, 260]]"));
  else
    pc_text_add(out, "  areas:                            # what has to be cleared\n");
  for (size_t i = 0; i < map->site.area_count; i++) {
    const pc_area *area = &map->site.areas[i];
    pc_text_add(out, "    - name: ");
    pc_text_add_quoted(out, area->name.text);
    pc_text_add(out, "\n");
    add_outline(m, &area->outline, "      ");
    if (map->sources[PC_GEOJSON_AREAS][i].has_heading && !area->auto_heading)
      add_number(out, "      heading", pc_units_convert(area->heading_rad, PC_DIM_ANGLE, "deg"), "deg");
    else
      pc_text_addf(out,
                   "      heading: %-20s # direction of the lanes: auto, or counter-clockwise from east\n",
                   usual_heading);
    add_terms(m, area, &map->sources[PC_GEOJSON_AREAS][i]);
  }
}

static void add_site(const maker *m, const pc_geojson *map) {
  pc_text *out = m->out;
  const pc_site *site = &map->site;
  char lon[PC_DECIMALS_MAX], lat[PC_DECIMALS_MAX];
  pc_print_decimals(lon, site->origin_lon_deg, 7);
  pc_print_decimals(lat, site->origin_lat_deg, 7);
  pc_text_addf(
      out,
      "site:\n"
      "%s"
      "  origin: [%s, %s]   # where [0, 0] lies: longitude, latitude; y is north\n",
      choose(m,
             "  units: m                          # of every coordinate in this file: m or ft. Default m\n",
             "  units: ft                         # of every coordinate in this file: ft or m. Default m\n"),
      lon, lat);
  add_areas(m, map);
  if (site->ground_count > 0)
    pc_text_add(out, "  ground:                           # machines may drive there, nothing is cleared\n");
  for (size_t i = 0; i < site->ground_count; i++) {
    pc_text_add(out, "    - name: ");
    pc_text_add_quoted(out, site->ground[i].name.text);
    pc_text_add(out, "\n");
    add_outline(m, &site->ground[i].outline, "      ");
  }
  if (site->obstacle_count > 0)
    pc_text_add(out, "  obstacles:                        # what machines must drive around\n");
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *obstacle = &site->obstacles[i];
    pc_text_add(out, "    - name: ");
    pc_text_add_quoted(out, obstacle->name.text);
    pc_text_addf(out, "\n      kind: %s\n", pc_obstacle_kind_names[obstacle->kind]);
    add_place(m, &obstacle->outline, obstacle->at, obstacle->radius_m);
  }
  if (site->keep_clear_count > 0)
    pc_text_add(out, "  keep_clear:                       # what no snow may be piled on or near\n");
  for (size_t i = 0; i < site->keep_clear_count; i++) {
    const pc_keep_clear *thing = &site->keep_clear[i];
    pc_text_add(out, "    - name: ");
    pc_text_add_quoted(out, thing->name.text);
    pc_text_addf(out, "\n      kind: %s\n", pc_keep_clear_kind_names[thing->kind]);
    add_place(m, &thing->outline, thing->at, thing->radius_m);
  }
  pc_text_add(out, "\n");
}

/* Whether a strip lies on an area or an obstacle of the map; if that can't be said, it does. */
static bool is_taken(const pc_site *site, const pc_ring *strip) {
  double shared = 0;
  for (size_t i = 0; i < site->area_count; i++)
    if (pc_rings_overlap(&site->areas[i].outline, strip, &shared) != PC_OK || shared > 0)
      return true;
  for (size_t i = 0; i < site->obstacle_count; i++)
    if (site->obstacles[i].outline.count > 0 &&
        (pc_rings_overlap(&site->obstacles[i].outline, strip, &shared) != PC_OK || shared > 0))
      return true;
  return false;
}

/* The strip along this edge of a ring, outside of it. Returns the length of the edge. */
static double strip_along(const pc_ring *ring, size_t edge, double wide_m, pc_point corners[4]) {
  pc_point a = ring->points[edge], b = ring->points[(edge + 1) % ring->count];
  double length_m = hypot(b.x_m - a.x_m, b.y_m - a.y_m), near_m = fmin(0.01, 0.01 * length_m);
  double x = (b.y_m - a.y_m) / length_m, y = (a.x_m - b.x_m) / length_m; /* to the right of it */
  pc_point right = {(a.x_m + b.x_m) / 2 + near_m * x, (a.y_m + b.y_m) / 2 + near_m * y};
  double out_m = pc_ring_contains(ring, right) ? -wide_m : wide_m;
  corners[0] = a;
  corners[1] = b;
  corners[2] = (pc_point){b.x_m + out_m * x, b.y_m + out_m * y};
  corners[3] = (pc_point){a.x_m + out_m * x, a.y_m + out_m * y};
  return length_m;
}

/* Along the longest edge of the first area that has room for it, so that it can be taken as it is. */
static void find_strip(const pc_geojson *map, double wide_m, pc_point best[4]) {
  const pc_ring *ring = map->site.area_count > 0 ? &map->site.areas[0].outline : NULL;
  double longest_m = 0;
  bool free_found = false;
  best[0] = best[1] = best[2] = best[3] = (pc_point){0, 0};
  for (size_t i = 0; ring && i < ring->count; i++) {
    pc_point corners[4];
    double length_m = strip_along(ring, i, wide_m, corners);
    bool is_free = !is_taken(&map->site, &(pc_ring){corners, 4});
    if (is_free < free_found || (is_free == free_found && !(length_m > longest_m)))
      continue;
    free_found = is_free;
    longest_m = length_m;
    memcpy(best, corners, sizeof corners);
  }
}

static void add_zone_example(const maker *m, const pc_geojson *map) {
  pc_text *out = m->out;
  pc_point corners[4];
  const pc_ring strip = {corners, 4};
  find_strip(map, m->units == PC_US ? 25 * 0.3048 : 8, corners);
  pc_text_add(
      out,
      "# Where snow may be piled: the map has nothing of the kind \"zone\", and without a zone nothing\n"
      "# runs. \"pushcycle place FILE --candidates generated --output NEW.yaml\" looks for places and\n"
      "# writes them down. Or draw zones in the map and make this file anew, or write them here:\n"
      "# zones:\n"
      "#   - name: first                   # a strip ");
  pc_text_addf(out, "%s wide along the first area\n", choose(m, "8 m", "25 ft"));
  add_outline(m, &strip, "#     ");
  pc_text_addf(out, "#     height: %s # the pile grows no higher. Default 5 m%s\n\n",
               choose(m, "5 m                  ", "16 ft                "), choose(m, "", ", about 16 ft"));
}

static void add_zones(const maker *m, const pc_geojson *map) {
  pc_text *out = m->out;
  if (map->zone_count == 0) {
    add_zone_example(m, map);
    return;
  }
  pc_text_add(out, "zones:                              # where snow may be piled\n");
  for (size_t i = 0; i < map->zone_count; i++) {
    const pc_zone *zone = &map->zones[i];
    pc_text_add(out, "  - name: ");
    pc_text_add_quoted(out, zone->name.text);
    pc_text_add(out, "\n");
    if (zone->outline.count > 0) {
      add_outline(m, &zone->outline, "    ");
    } else {
      pc_text_add(out, "    at: ");
      add_point(m, zone->at);
      pc_text_add(out, "\n");
    }
    add_measure(m, "    height", zone->height_m, PC_DIM_LENGTH);
    if (!isnan(zone->volume_m3))
      add_measure(m, "    volume", zone->volume_m3, PC_DIM_VOLUME);
    pc_text_addf(out, "    berths: %d\n", zone->berths);
    add_number(out, "    stack", zone->stack, "");
  }
  pc_text_add(
      out,
      "\n# layouts:                          # choices of zones to compare. Default: one, with all of them\n"
      "#   - {name: one pile, zones: [");
  pc_text_add_quoted(out, map->zones[0].name.text);
  pc_text_add(out, "]}\n\n");
}

static void add_scenario(const maker *m, const char *path, const pc_geojson *map) {
  const char *slash = strrchr(path, '/');
  pc_text line = {0};
  pc_yaml_add_words(&line, slash ? slash + 1 : path);
  pc_name file = pc_name_of(line.data ? line.data : "");
  pc_name title = file;
  m->out->failed |= line.failed;
  pc_text_free(&line);
  char *end = strrchr(title.text, '.');
  if (end && end != title.text)
    *end = '\0';
  pc_text_addf(
      m->out,
      "# A scenario for pushcycle, made from %s. Coordinates are %s from site.origin, x to\n"
      "# the east and y to the north. Boxes, loaders and the depth of snow are examples: put in yours.\n#\n",
      file.text, choose(m, "metres", "feet"));
  add_starter(m, "# - Every", "pushcycle:");
  add_starter(m, "pushcycle:", "name:");
  pc_text_add(m->out, "name: ");
  pc_text_add_quoted(m->out, title.text);
  pc_text_add(m->out, "   # a heading for tables and maps\n");
  if (m->start.given)
    pc_text_addf(
        m->out,
        "starts_at: \"%s\"%*s# clock time at which the work starts. An example, well before the first clock "
        "time\n%36s# of the map: set it to yours\n\n",
        pc_clock_show(&m->start, 0).text, 23 - (int)strlen(pc_clock_show(&m->start, 0).text), "", "");
  else
    add_starter(m, "# starts_at:", "snow:");
  add_starter(m, "snow:", "site:");
  add_site(m, map);
  add_starter(m, "boxes:", "zones:");
  add_zones(m, map);
  add_starter(m, "# crew:", NULL);
}

static cli_exit make_from(const cli_options *options, pc_text *out) {
  pc_geojson map;
  pc_clock start;
  pc_faults faults = {.units = options->units};
  pc_status status = pc_geojson_read_first(options->from, NULL, &start, &map, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("%s: %s", options->from, pc_status_describe(status));
  pc_faults_free(&faults);
  if (status != PC_OK)
    return cli_exit_of(status);
  add_scenario(&(const maker){out, options->units, start}, options->from, &map);
  if (start.given && !options->quiet)
    cli_say("%s has clock times, but does not say when the work starts: %s stands as an example in starts_at",
            options->from, pc_clock_show(&start, 0).text);
  if (map.zone_count == 0 && !options->quiet)
    cli_say(
        "%s has no zones: before it can run, let `pushcycle place FILE --candidates generated "
        "--output NEW.yaml` look for some, or write them (an example stands in it)",
        options->from);
  pc_geojson_free(&map);
  return CLI_DONE;
}

cli_exit cli_new(const cli_options *options) {
  pc_text text = {0};
  cli_exit done = CLI_DONE;
  if (options->from)
    done = make_from(options, &text);
  else
    pc_text_add(&text, pc_starter_scenario_in(options->units));
  if (done == CLI_DONE && !options->output)
    return cli_write(options, &text);
  if (done == CLI_DONE)
    done = text.failed ? cli_no_memory() : cli_write_new(options->output, text.data);
  pc_text_free(&text);
  return done;
}
