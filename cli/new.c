// SPDX-License-Identifier: GPL-3.0-or-later
/* A scenario to start from: the starter as it is, or one around the map of a lot. */
#include <math.h>
#include <string.h>

#include "cli.h"
#include "io/csv.h"
#include "io/geodesy.h"
#include "io/geojson.h"
#include "io/starter.h"

/* For areas whose map says nothing about lanes. */
static const char usual_heading[] = "auto";

/* The part of the starter from a line that begins with `from` up to one that begins with `to` (NULL: the
 * end). */
static void add_starter(pc_text *out, const char *from, const char *to) {
  const char *all = pc_starter_scenario(), *begin = all, *end = NULL;
  while (begin && strncmp(begin, from, strlen(from)) != 0) {
    begin = strchr(begin, '\n');
    begin = begin ? begin + 1 : NULL;
  }
  for (end = begin; end && *end && (!to || strncmp(end, to, strlen(to)) != 0);) {
    const char *line = strchr(end, '\n');
    end = line ? line + 1 : end + strlen(end);
  }
  if (begin)
    pc_text_addf(out, "%.*s", (int)(end - begin), begin);
}

/* In quotes: whatever a name holds, YAML takes it as it is. */
static void add_name(pc_text *out, const char *name) {
  pc_text_add(out, "'");
  for (; *name; name++) {
    const char letter[3] = {*name, *name == '\'' ? '\'' : '\0', '\0'};
    pc_text_add(out, letter);
  }
  pc_text_add(out, "'");
}

/* To the millimetre. */
static void add_metres(pc_text *out, double metres) {
  char text[PC_DECIMALS_MAX];
  pc_print_decimals(text, metres, 3);
  size_t length = strlen(text);
  while (text[length - 1] == '0')
    text[--length] = '\0';
  if (text[length - 1] == '.')
    text[--length] = '\0';
  pc_text_add(out, strcmp(text, "-0") == 0 ? "0" : text);
}

static void add_point(pc_text *out, pc_point point) {
  pc_text_add(out, "[");
  add_metres(out, point.x_m);
  pc_text_add(out, ", ");
  add_metres(out, point.y_m);
  pc_text_add(out, "]");
}

static void add_outline(pc_text *out, const pc_ring *ring, const char *indent) {
  pc_text_addf(out, "%soutline: [", indent);
  for (size_t i = 0; i < ring->count; i++) {
    if (i > 0)
      pc_text_add(out, i % 6 == 0 ? "," : ", ");
    if (i > 0 && i % 6 == 0)
      pc_text_addf(out, "\n%s  ", indent);
    add_point(out, ring->points[i]);
  }
  pc_text_add(out, "]\n");
}

static void add_number(pc_text *out, const char *key, double value, const char *unit) {
  char text[PC_CSV_NUMBER_MAX];
  pc_csv_print_number(text, value);
  pc_text_addf(out, "%s: %s%s%s\n", key, text, *unit ? " " : "", unit);
}

static void add_place(pc_text *out, const pc_ring *outline, pc_point at, double radius_m) {
  if (outline->count > 0) {
    add_outline(out, outline, "      ");
    return;
  }
  pc_text_add(out, "      at: ");
  add_point(out, at);
  pc_text_add(out, "\n");
  add_number(out, "      radius", radius_m, "m");
}

static void add_areas(pc_text *out, const pc_geojson *map) {
  if (map->site.area_count == 0)
    pc_text_add(out,
                "  # areas:                          # what has to be cleared: the map has no \"area\"\n"
                "  #   - name: yard\n"
                "  #     outline: [[0, 0], [120, 0], [120, 80], [0, 80]]\n");
  else
    pc_text_add(out, "  areas:                            # what has to be cleared\n");
  for (size_t i = 0; i < map->site.area_count; i++) {
    const pc_area *area = &map->site.areas[i];
    pc_text_add(out, "    - name: ");
    add_name(out, area->name.text);
    pc_text_add(out, "\n");
    add_outline(out, &area->outline, "      ");
    if (map->sources[PC_GEOJSON_AREAS][i].has_heading && !area->auto_heading)
      add_number(out, "      heading", pc_units_convert(area->heading_rad, PC_DIM_ANGLE, "deg"), "deg");
    else
      pc_text_addf(out,
                   "      heading: %-20s # direction of the lanes: auto, or counter-clockwise from east\n",
                   usual_heading);
  }
}

static void add_site(pc_text *out, const pc_geojson *map) {
  const pc_site *site = &map->site;
  char lon[PC_DECIMALS_MAX], lat[PC_DECIMALS_MAX];
  pc_print_decimals(lon, site->origin_lon_deg, 7);
  pc_print_decimals(lat, site->origin_lat_deg, 7);
  pc_text_addf(out,
               "site:\n"
               "  units: m                          # of every coordinate in this file: m or ft. Default m\n"
               "  origin: [%s, %s]   # where [0, 0] lies: longitude, latitude; y is north\n",
               lon, lat);
  add_areas(out, map);
  if (site->ground_count > 0)
    pc_text_add(out, "  ground:                           # machines may drive there, nothing is cleared\n");
  for (size_t i = 0; i < site->ground_count; i++) {
    pc_text_add(out, "    - name: ");
    add_name(out, site->ground[i].name.text);
    pc_text_add(out, "\n");
    add_outline(out, &site->ground[i].outline, "      ");
  }
  if (site->obstacle_count > 0)
    pc_text_add(out, "  obstacles:                        # what machines must drive around\n");
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *obstacle = &site->obstacles[i];
    pc_text_add(out, "    - name: ");
    add_name(out, obstacle->name.text);
    pc_text_addf(out, "\n      kind: %s\n", pc_obstacle_kind_names[obstacle->kind]);
    add_place(out, &obstacle->outline, obstacle->at, obstacle->radius_m);
  }
  if (site->keep_clear_count > 0)
    pc_text_add(out, "  keep_clear:                       # what no snow may be piled on or near\n");
  for (size_t i = 0; i < site->keep_clear_count; i++) {
    const pc_keep_clear *thing = &site->keep_clear[i];
    pc_text_add(out, "    - name: ");
    add_name(out, thing->name.text);
    pc_text_addf(out, "\n      kind: %s\n", pc_keep_clear_kind_names[thing->kind]);
    add_place(out, &thing->outline, thing->at, thing->radius_m);
  }
  pc_text_add(out, "\n");
}

/* An example beside the first area, so that it can be taken as it is. */
static void add_zone_example(pc_text *out, const pc_geojson *map) {
  double west = 0, east = 50, north = 0;
  const pc_ring *ring = map->site.area_count > 0 ? &map->site.areas[0].outline : NULL;
  for (size_t i = 0; ring && i < ring->count; i++) {
    const pc_point *corner = &ring->points[i];
    west = i == 0 ? corner->x_m : fmin(west, corner->x_m);
    east = i == 0 ? corner->x_m : fmax(east, corner->x_m);
    north = i == 0 ? corner->y_m : fmax(north, corner->y_m);
  }
  pc_point corners[] = {{west, north}, {east, north}, {east, north + 8}, {west, north + 8}};
  const pc_ring strip = {corners, 4};
  pc_text_add(
      out,
      "# Where snow may be piled: the map has nothing of the kind \"zone\". Draw zones there and make\n"
      "# this file anew, or write them here and take the \"#\" away. Without a zone nothing runs.\n"
      "# zones:\n"
      "#   - name: north                   # a strip 8 m wide along the first area\n");
  add_outline(out, &strip, "#     ");
  pc_text_add(out, "#     height: 5 m                   # the pile grows no higher. Default 5 m\n\n");
}

static void add_zones(pc_text *out, const pc_geojson *map) {
  if (map->zone_count == 0) {
    add_zone_example(out, map);
    return;
  }
  pc_text_add(out, "zones:                              # where snow may be piled\n");
  for (size_t i = 0; i < map->zone_count; i++) {
    const pc_zone *zone = &map->zones[i];
    pc_text_add(out, "  - name: ");
    add_name(out, zone->name.text);
    pc_text_add(out, "\n");
    if (zone->outline.count > 0) {
      add_outline(out, &zone->outline, "    ");
    } else {
      pc_text_add(out, "    at: ");
      add_point(out, zone->at);
      pc_text_add(out, "\n");
    }
    add_number(out, "    height", zone->height_m, "m");
    if (!isnan(zone->volume_m3))
      add_number(out, "    volume", zone->volume_m3, "m3");
    pc_text_addf(out, "    berths: %d\n", zone->berths);
    add_number(out, "    stack", zone->stack, "");
  }
  pc_text_add(
      out,
      "\n# layouts:                          # choices of zones to compare. Default: one, with all of them\n"
      "#   - {name: one pile, zones: [");
  add_name(out, map->zones[0].name.text);
  pc_text_add(out, "]}\n\n");
}

static void add_scenario(pc_text *out, const char *path, const pc_geojson *map) {
  const char *slash = strrchr(path, '/');
  pc_name file = pc_name_of(slash ? slash + 1 : path);
  for (char *at = file.text; *at; at++)
    if ((unsigned char)*at < 0x20 || *at == 0x7F)
      *at = '?';
  pc_name title = file;
  char *end = strrchr(title.text, '.');
  if (end && end != title.text)
    *end = '\0';
  pc_text_addf(
      out,
      "# A scenario for pushcycle, made from %s. Coordinates are metres from site.origin, x to\n"
      "# the east and y to the north. Boxes, loaders and the depth of snow are examples: put in yours.\n#\n",
      file.text);
  add_starter(out, "# - Every", "pushcycle:");
  add_starter(out, "pushcycle:", "name:");
  pc_text_add(out, "name: ");
  add_name(out, title.text);
  pc_text_add(out, "   # a heading for tables and maps\n\n");
  add_starter(out, "snow:", "site:");
  add_site(out, map);
  add_starter(out, "boxes:", "zones:");
  add_zones(out, map);
  add_starter(out, "# crew:", NULL);
}

static cli_exit make_from(const cli_options *options, pc_text *out) {
  pc_geojson map;
  pc_faults faults = {.units = options->units};
  pc_status status = pc_geojson_read(options->from, NULL, &map, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("%s: %s", options->from, pc_status_describe(status));
  pc_faults_free(&faults);
  if (status != PC_OK)
    return cli_exit_of(status);
  add_scenario(out, options->from, &map);
  if (map.zone_count == 0 && !options->quiet)
    cli_say("%s has no zones: say where snow may be piled before it can run", options->from);
  pc_geojson_free(&map);
  return CLI_DONE;
}

cli_exit cli_new(const cli_options *options) {
  pc_text text = {0};
  cli_exit done = CLI_DONE;
  if (options->from)
    done = make_from(options, &text);
  else
    pc_text_add(&text, pc_starter_scenario());
  if (done == CLI_DONE && !options->output)
    return cli_write(options, &text);
  if (done == CLI_DONE)
    done = text.failed ? cli_no_memory() : cli_write_new(options->output, text.data);
  pc_text_free(&text);
  return done;
}
