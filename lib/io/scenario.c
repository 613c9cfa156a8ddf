// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/scenario.h"
#include "io/csv.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/geojson_private.h"
#include "io/reader.h"
#include "io/storm_csv.h"
#include "io/tree_private.h"

/* Faults found while the text was parsed: what they name is not told again by validation. */
static void note_faults(pc_reader *reader, size_t from) {
  for (size_t i = from; i < reader->faults->count; i++)
    if (!reader->faults->items[i].caution && reader->faults->items[i].key[0])
      pc_reader_note(reader, reader->faults->items[i].key);
}

/* A crew entry need not say which loader or box if there is only one. */
static void fill_crew(pc_scenario *s) {
  for (size_t i = 0; i < s->crew_count; i++) {
    pc_crew_entry *entry = &s->crew[i];
    if (entry->loader.text[0] == '\0' && s->loader_count == 1)
      entry->loader = s->loaders[0].name;
    if (entry->box.text[0] == '\0' && s->box_count == 1)
      entry->box = s->boxes[0].name;
  }
}

/* The map of the lot that site.file names. */
typedef struct lot_file {
  pc_geojson lot;
  char *path; /* NULL: none is given */
  bool failed;
  bool merged[PC_GEOJSON_LIST_COUNT];
} lot_file;

/* A path as seen from the scenario: beside it, unless the path came from the command line. */
static char *path_beside(const char *scenario, const pc_node *node) {
  const char *slash = scenario && node->line > 0 && node->text[0] != '/' ? strrchr(scenario, '/') : NULL;
  size_t folder = slash ? (size_t)(slash - scenario) + 1 : 0, length = strlen(node->text);
  char *path = pc_alloc(folder + length + 1, 1);
  if (!path)
    return NULL;
  if (folder > 0)
    memcpy(path, scenario, folder);
  memcpy(path + folder, node->text, length + 1);
  return path;
}

/* Takes over what was found, which is freed. */
static void take(pc_reader *reader, pc_faults *found) {
  for (size_t i = 0; i < found->count; i++)
    pc_tree_push_fault(reader->faults, &found->items[i]);
  reader->no_memory |= found->dropped > 0;
  pc_faults_free(found);
}

/* The same, about a node. */
static void take_at(pc_reader *reader, const pc_node *node, pc_faults *found) {
  for (size_t i = 0; i < found->count; i++)
    pc_error_place(&found->items[i], node->file, node->line, node->column);
  take(reader, found);
}

/* What reading a file gave; that there is none to read is told of the node that names it. */
static void take_of_file(pc_reader *reader, const pc_node *node, const char *path, pc_status status,
                         pc_faults *found) {
  if (status == PC_ERR_FILE) {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, status, "\"%s\": %s", path,
                          found->count > 0 ? found->items[0].message : pc_status_describe(status));
    found->count = 0;
  }
  take(reader, found);
}

static void read_file(pc_reader *reader, const char *scenario, const pc_node *node, const pc_site *site,
                      lot_file *file) {
  const char *text = pc_reader_text(reader, node, "the name of a GeoJSON file");
  pc_faults found = pc_faults_like(reader->faults);
  file->failed = true;
  if (!text)
    return;
  file->path = path_beside(scenario, node);
  if (!file->path) {
    reader->no_memory = true;
    return;
  }
  const pc_geojson_origin origin = {site->origin_lon_deg, site->origin_lat_deg};
  pc_status status =
      pc_geojson_read_for(file->path, site->has_origin ? &origin : NULL, reader, &file->lot, &found);
  file->failed = status != PC_OK;
  take_of_file(reader, node, file->path, status, &found);
}

/* Rain takes no snow away and leaves none, but who reads a weather record should hear of it. */
static void tell_rain(pc_reader *reader, const pc_node *node, const pc_storm_csv *storm) {
  pc_faults found = pc_faults_like(reader->faults);
  if (!(storm->rain_water_m > 0))
    return;
  bool us = found.units == PC_US; /* water is told in millimetres, however much it is */
  char all[40], rain[40];
  pc_units_print_as(all, sizeof all, storm->snow_water_m + storm->rain_water_m, PC_DIM_LENGTH,
                    us ? "in" : "mm", us ? 2 : 1);
  pc_units_print_as(rain, sizeof rain, storm->rain_water_m, PC_DIM_LENGTH, us ? "in" : "mm", us ? 2 : 1);
  pc_faults_caution(&found, "storm_file",
                    "of %s of water %s fall as rain, which is left out: only snow is worked with", all, rain);
  take_at(reader, node, &found);
}

/* Rows count from the start of the work, or from the first of them, whatever the clock says. */
static void tell_clock(pc_reader *reader, const pc_node *node, const pc_storm_csv *storm,
                       const pc_clock *clock) {
  pc_faults found = pc_faults_like(reader->faults);
  enum { HALF_A_DAY_S = 12 * 3600, DAY_S = 24 * 3600 };
  bool dated = !isnan(storm->first_row_s);
  double after_s = dated              ? remainder(storm->first_row_s - 60.0 * clock->minutes, DAY_S)
                   : storm->count > 0 ? storm->pieces[0].after_s
                                      : 0;
  if (!clock->given || (dated ? fabs(after_s) < 60 : after_s < HALF_A_DAY_S))
    return;
  if (dated)
    pc_faults_caution(
        &found, "storm_file",
        "its first row, of %s, counts as the start of the work at %s: leave rows before that out",
        pc_clock_show(clock, fmod(after_s + DAY_S, DAY_S)).text, pc_clock_show(clock, 0).text);
  else
    pc_faults_caution(&found, "storm_file",
                      "its first row is %s h after the start: times in such a file are hours after the "
                      "start, not clock times",
                      pc_show_plain(after_s / 3600).text);
  take_at(reader, node, &found);
}

static void read_storm(pc_reader *reader, const char *scenario, const pc_node *root, pc_scenario *s) {
  const pc_node *node = pc_node_get(root, "storm_file");
  const char *text = node ? pc_reader_text(reader, node, "the name of a CSV file") : NULL;
  if (!text)
    return;
  if (pc_node_get(root, "storm")) {
    (void)pc_reader_fault(reader, node, PC_AT_KEY, PC_ERR_KEY, "stands beside storm; give one of the two");
    return;
  }
  char *path = path_beside(scenario, node);
  if (!path) {
    reader->no_memory = true;
    return;
  }
  pc_faults found = pc_faults_like(reader->faults);
  pc_storm_csv storm;
  pc_status status = pc_storm_csv_read(path, &s->snow, &storm, &found);
  take_of_file(reader, node, path, status, &found);
  if (status == PC_OK) {
    tell_rain(reader, node, &storm);
    tell_clock(reader, node, &storm, &reader->clock);
    s->storm = storm.pieces; /* they are the scenario's now */
    s->storm_count = storm.count;
    s->storm_last_row_s = storm.last_row_s;
  } else {
    pc_reader_note(reader, "storm_file");
  }
  pc_origins_note_file(&s->origins, "storm_file", path);
  free(path);
}

/* Puts copies of the file's things before those that stand in *to_field, a pointer to an array. */
static bool put_before(void *to_field, size_t *to_count, const void *from, size_t from_count, size_t size) {
  void *to;
  if (from_count == 0)
    return true;
  char *joined = pc_alloc(*to_count + from_count, size);
  if (!joined)
    return false;
  memcpy(&to, to_field, sizeof to);
  memcpy(joined, from, from_count * size);
  if (*to_count > 0)
    memcpy(joined + from_count * size, to, *to_count * size);
  free(to);
  to = joined;
  memcpy(to_field, &to, sizeof to);
  *to_count += from_count;
  return true;
}

#define PUT_BEFORE(list, to, from, array, number)                                                            \
  (file->merged[list] =                                                                                      \
       put_before(&(to)->array, &(to)->number, (from)->array, (from)->number, sizeof *(from)->array))

/* The file's things become the scenario's; what the file keeps of them serves to name them in faults. */
static bool merge_file(lot_file *file, pc_scenario *s) {
  const pc_geojson *lot = &file->lot;
  s->site.has_origin = lot->site.has_origin;
  s->site.origin_lon_deg = lot->site.origin_lon_deg;
  s->site.origin_lat_deg = lot->site.origin_lat_deg;
  return PUT_BEFORE(PC_GEOJSON_AREAS, &s->site, &lot->site, areas, area_count) &&
         PUT_BEFORE(PC_GEOJSON_GROUND, &s->site, &lot->site, ground, ground_count) &&
         PUT_BEFORE(PC_GEOJSON_OBSTACLES, &s->site, &lot->site, obstacles, obstacle_count) &&
         PUT_BEFORE(PC_GEOJSON_KEEP_CLEAR, &s->site, &lot->site, keep_clear, keep_clear_count) &&
         PUT_BEFORE(PC_GEOJSON_ZONES, s, lot, zones, zone_count);
}

static void release_file(lot_file *file) {
  size_t *counts[PC_GEOJSON_LIST_COUNT] = {&file->lot.site.area_count, &file->lot.site.ground_count,
                                           &file->lot.site.obstacle_count, &file->lot.site.keep_clear_count,
                                           &file->lot.zone_count};
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++)
    if (file->merged[l]) /* their outlines belong to the scenario now */
      *counts[l] = 0;
  pc_geojson_free(&file->lot);
  free(file->path);
}

/* The file of a fleet, which only `assign` reads, would be faulty at every line. */
static bool is_fleet(pc_reader *reader) {
  const pc_node *root = pc_tree_root(reader->tree);
  if (root->kind != PC_NODE_MAP || !pc_node_get(root, "machines") || pc_node_get(root, "site") ||
      pc_node_get(root, "snow"))
    return false;
  (void)pc_reader_fault(
      reader, root, PC_AT_VALUE, PC_ERR_KEY,
      "this is the file of a fleet (it has machines, no site and no snow), where the scenario "
      "of a lot is due; `assign` takes the fleet first, then the lots");
  return true;
}

static void read_tree(pc_reader *reader, const char *scenario, lot_file *file, pc_scenario *s) {
  pc_node *root = pc_tree_root(reader->tree);
  if (!pc_reader_expect(reader, root, PC_NODE_MAP,
                        "the map of a scenario, with keys such as snow, site and boxes"))
    return;
  const pc_node *units = pc_node_get(pc_node_get(root, "site"), "units");
  if (units)
    pc_reader_units(reader, units);
  if (!reader->faults->units_given) /* who measures a lot in feet reads feet */
    reader->faults->units = reader->unit_m < 1 ? PC_US : PC_METRIC;
  s->units = reader->faults->units;
  const pc_node *clock = pc_node_get(root, "starts_at");
  if (clock)
    pc_reader_clock(reader, clock);
  s->clock = reader->clock;
  const pc_node *file_node = pc_node_get(pc_node_get(root, "site"), "file");
  reader->has_file = file_node != NULL;
  pc_reader_part(reader, root, &pc_format_scenario, s);
  fill_crew(s);
  read_storm(reader, scenario, root, s);
  if (!file_node)
    return;
  read_file(reader, scenario, file_node, &s->site, file);
  if (file->path)
    pc_origins_note_file(&s->origins, "site.file", file->path);
  if (!file->failed && !merge_file(file, s))
    reader->no_memory = true;
}

/* Gives a fault of validation the place of what it is about. */
static void place_fault(const pc_tree *tree, pc_error *error) {
  bool exact;
  const pc_node *node = pc_tree_find(tree, error->key, &exact);
  if (node)
    pc_error_place(error, node->file, node->line, node->column);
}

static void note_origin(const pc_reader *reader, const lot_file *file, const char *path, pc_scenario *s) {
  pc_error error;
  (void)pc_error_set(&error, PC_OK, path, NULL, "%s", "");
  pc_geojson_translate(&file->lot, file->path ? file->path : "", &error);
  if (error.file[0] == '\0')
    place_fault(reader->tree, &error);
  pc_origins_note(&s->origins, path, &error);
}

/* What is found only when a lot is made is about these parts. */
static void note_origins(pc_reader *reader, const lot_file *file, pc_scenario *s) {
  const struct {
    const char *key;
    size_t entries;
  } parts[] = {{"snow", 0},
               {"site", 0},
               {"near", 0},
               {"near.distance", 0},
               {"policy", 0},
               {"compare", 0},
               {"site.areas", s->site.area_count},
               {"zones", s->zone_count},
               {"layouts", s->layout_count},
               {"boxes", s->box_count},
               {"loaders", s->loader_count},
               {"crew", s->crew_count},
               {"place", 0},
               {"place.candidates", s->place.candidate_count},
               {"compare.depths", s->compare.depths.count},
               {"compare.crews", s->compare.crews.count}};
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
    char path[PC_KEY_MAX];
    note_origin(reader, file, parts[i].key, s);
    for (size_t j = 0; j < parts[i].entries; j++) {
      (void)snprintf(path, sizeof path, "%s[%zu]", parts[i].key, j);
      note_origin(reader, file, path, s);
    }
  }
  reader->no_memory |= s->origins.failed;
}

/* The list that a reference stands for, or NULL. */
static const char *list_meant(const char *key) {
  static const struct {
    const char *start, *part, *list;
  } references[] = {
      {"crew[", "].loader", "loaders"},         {"crew[", "].box", "boxes"},
      {"crew[", "].areas", "site.areas"},       {"layouts[", "].zones", "zones"},
      {"site.areas[", "].after", "site.areas"}, {"site.areas[", "].into", "site.areas"},
      {"site.areas[", "].loaders", "loaders"},  {"compare.layouts", "", "layouts"},
      {"compare.boxes", "", "boxes"},           {"compare.loaders", "", "loaders"},
      {"loaders[", "].boxes", "boxes"},         {"site.areas[", "].open_to", "loaders"},
      {"site.ground[", "].open_to", "loaders"},
  };
  for (size_t i = 0; i < sizeof references / sizeof references[0]; i++)
    if (strncmp(key, references[i].start, strlen(references[i].start)) == 0 &&
        strstr(key, references[i].part))
      return references[i].list;
  return NULL;
}

/* Where a list, or a name in it, could not be read, a reference to it only looks wrong. */
static bool is_excused(const pc_reader *reader, const lot_file *file, const pc_error *error) {
  /* How many boxes and loaders there are is not known while one of them cannot be read. */
  bool crew = error->status == PC_ERR_MISSING && strcmp(error->key, "crew") == 0;
  for (size_t i = 0; crew && i < reader->slip_count; i++) {
    const char *slip = reader->slips[i].path;
    if ((strncmp(slip, "boxes[", 6) == 0 || strncmp(slip, "loaders[", 8) == 0) && !strchr(slip, '.'))
      return true;
  }
  /* A storm that cannot be read may well bring the snow that is missed. */
  bool storm = pc_reader_is_noted(reader, "storm", PC_ERR_MISSING) ||
               pc_reader_is_noted(reader, "storm_file", PC_ERR_MISSING);
  if (storm && ((error->status == PC_ERR_RANGE && strcmp(error->key, "snow.depth") == 0) ||
                (error->caution && strcmp(error->key, "snow.trigger") == 0)))
    return true;
  bool in_file = strcmp(error->key, "zones") == 0 || strcmp(error->key, "site.areas") == 0;
  if (file->failed && in_file && error->status == PC_ERR_MISSING)
    return true;
  const char *list = error->status == PC_ERR_NAME ? list_meant(error->key) : NULL;
  if (file->failed && list && (strcmp(list, "zones") == 0 || strcmp(list, "site.areas") == 0))
    return true;
  size_t length = list ? strlen(list) : 0;
  for (size_t i = 0; list && i < reader->slip_count; i++) {
    const char *slip = reader->slips[i].path;
    if (strncmp(slip, list, length) == 0 &&
        (slip[length] == '\0' || (slip[length] == '[' && strstr(slip, "].name"))))
      return true;
  }
  return false;
}

/* What is said to be missing because it could not be read, and that is told: what a cost is without, by keys
 * below. */
static bool is_aftermath(const pc_reader *reader, const pc_error *error) {
  return error->caution && strcmp(error->key, "money") == 0 &&
         pc_reader_is_noted(reader, "money", PC_ERR_MISSING);
}

static void validate(pc_reader *reader, const lot_file *file, const pc_scenario *s) {
  pc_faults found = pc_faults_like(reader->faults);
  pc_scenario_validate(s, &found);
  for (size_t i = 0; i < found.count; i++) {
    pc_error *error = &found.items[i];
    if (pc_overrides_told_map(reader, error))
      continue;
    pc_geojson_translate_for(&file->lot, file->path ? file->path : "", reader, error);
    bool in_file = error->file[0] != '\0';
    if (!in_file && (pc_reader_is_noted(reader, error->key, error->status) ||
                     is_excused(reader, file, error) || is_aftermath(reader, error)))
      continue;
    /* Pieces that a file gave have no place of their own here. */
    if (strncmp(error->key, "storm[", 6) == 0 && pc_node_get(pc_tree_root(reader->tree), "storm_file"))
      memcpy(error->key, "storm_file", sizeof "storm_file");
    if (!in_file)
      place_fault(reader->tree, error);
    pc_tree_push_fault(reader->faults, error);
  }
  reader->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

/* Line of a fault in the scenario; 0 if it is about something else, such as the map of the lot. */
static int line_in(const char *file, const pc_error *error) {
  return strcmp(file, error->file) == 0 ? error->line : 0;
}

/* In the order of the file, whichever step found them; what stands elsewhere comes first. */
static void sort_faults(pc_faults *faults, size_t from, const char *file) {
  size_t end = faults->count < PC_TREE_FAULTS_MAX ? faults->count : PC_TREE_FAULTS_MAX;
  for (size_t i = from + 1; i < end; i++) {
    pc_error now = faults->items[i];
    size_t j = i;
    for (; j > from; j--) {
      const pc_error *before = &faults->items[j - 1];
      int line = line_in(file, &now), line_before = line_in(file, before);
      if (line_before < line || (line_before == line && (line == 0 || before->column <= now.column)))
        break;
      faults->items[j] = *before;
    }
    faults->items[j] = now;
  }
}

static pc_status finish(pc_reader *reader, size_t before, pc_scenario *out) {
  pc_error here; /* for the file's name as faults have it */
  pc_error_place(&here, pc_tree_root(reader->tree)->file, 0, 0);
  sort_faults(reader->faults, before, here.file);
  pc_status status = pc_reader_end(reader, before);
  if (status != PC_OK)
    pc_scenario_free(out);
  return status;
}

static size_t faults_since(const pc_faults *faults, size_t before) {
  size_t count = 0;
  for (size_t i = before; i < faults->count; i++)
    count += !faults->items[i].caution;
  return count;
}

/* From a tree (which this frees) to a scenario. Faults from `before` on are of this file; `path` is where it
 * lies, or NULL. */
static pc_status from_tree(pc_tree *tree, const char *path, const pc_override *overrides,
                           size_t override_count, size_t before, pc_scenario *out, pc_faults *faults) {
  lot_file file = {0};
  pc_reader reader = {.tree = tree, .faults = faults, .unit_m = 1};
  pc_overrides_apply(tree, overrides, override_count, &reader);
  note_faults(&reader, before);
  bool is_map = pc_tree_root(tree)->kind == PC_NODE_MAP && !is_fleet(&reader);
  if (is_map || pc_tree_root(tree)->kind != PC_NODE_MAP)
    read_tree(&reader, path, &file, out);
  pc_reader_tell_units(&reader);
  if (is_map && !reader.no_memory) {
    validate(&reader, &file, out);
    if (faults_since(faults, before) == 0)
      pc_reader_caution_units(&reader);
    note_origins(&reader, &file, out);
  }
  release_file(&file);
  pc_status status = finish(&reader, before, out);
  free(reader.slips);
  pc_overrides_free(&reader);
  pc_tree_free(tree);
  return status;
}

pc_status pc_scenario_read(const char *path, const pc_override *overrides, size_t override_count,
                           pc_scenario *out, pc_faults *faults) {
  *out = pc_scenario_default();
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_read(path, &tree, faults);
  return tree ? from_tree(tree, path, overrides, override_count, before, out, faults) : status;
}

static pc_status from_text(const char *name, const char *path, const char *text, size_t length,
                           const pc_override *overrides, size_t override_count, pc_scenario *out,
                           pc_faults *faults) {
  *out = pc_scenario_default();
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_parse(name, text, length, &tree, faults);
  return tree ? from_tree(tree, path, overrides, override_count, before, out, faults) : status;
}

pc_status pc_scenario_read_text(const char *name, const char *text, size_t length,
                                const pc_override *overrides, size_t override_count, pc_scenario *out,
                                pc_faults *faults) {
  return from_text(name, NULL, text, length, overrides, override_count, out, faults);
}

pc_status pc_scenario_read_at(const char *path, const char *text, size_t length, pc_scenario *out,
                              pc_faults *faults) {
  return from_text(path, path, text, length, NULL, 0, out, faults);
}
