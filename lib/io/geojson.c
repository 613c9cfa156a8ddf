// SPDX-License-Identifier: GPL-3.0-or-later
/* From JSON to drafts: features, their kinds, their properties, their geometry in degrees. */
#include "io/geojson.h"

#include <jansson.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/geodesy.h"
#include "io/geojson_private.h"
#include "io/json_text.h"
#include "io/tree_private.h"

typedef struct kind {
  const char *word;
  pc_geojson_list list;
  int index;  /* in the list's own choice of kinds */
  bool drawn; /* our own lanes and ways: written for people, not read */
} kind;

static const char *const usual_names[PC_GEOJSON_LIST_COUNT] = {"area", "ground", "obstacle", "keep clear",
                                                               "zone"};
static const pc_fields *const list_fields[PC_GEOJSON_LIST_COUNT] = {
    &pc_area_fields, &pc_ground_outline_fields, &pc_obstacle_fields, &pc_keep_clear_fields, &pc_zone_fields};

static const pc_field width_field = {.key = "width",
                                     .kind = PC_FIELD_QUANTITY,
                                     .dimension = PC_DIM_LENGTH,
                                     .offset = offsetof(pc_draft, width_m),
                                     .min = 0,
                                     .max = 100,
                                     .above_min = true,
                                     .fallback = "0.3 m",
                                     .help = "how thick a fence drawn as a line is"};
static const pc_fields width_fields = {&width_field, 1};

/* ---- faults ---- */

static void add(pc_reading *r, pc_status status, bool caution, const char *key, const char *format,
                va_list arguments) PC_PRINTF(5, 0);

static void add(pc_reading *r, pc_status status, bool caution, const char *key, const char *format,
                va_list arguments) {
  char message[2 * PC_MESSAGE_MAX];
  pc_error error;
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  (void)pc_error_set(&error, status, key, NULL, "%s", message);
  error.caution = caution;
  pc_error_place(&error, r->file, 0, 0);
  pc_tree_push_fault(&r->found, &error);
}

void pc_reading_fault(pc_reading *r, pc_status status, const char *key, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  add(r, status, false, key, format, arguments);
  va_end(arguments);
}

void pc_reading_caution(pc_reading *r, const char *key, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  add(r, PC_OK, true, key, format, arguments);
  va_end(arguments);
}

/* Hands what was found on the feature over to the caller's list, each with the feature's name. */
static void hand_over(pc_reading *r, const char *feature, pc_faults *faults) {
  for (size_t i = 0; i < r->found.count; i++) {
    if (feature)
      pc_geojson_sign(&r->found.items[i], feature);
    pc_tree_push_fault(faults, &r->found.items[i]);
  }
  faults->dropped += r->found.dropped;
  r->found.count = r->found.dropped = 0;
}

/* ---- kinds ---- */

enum { KINDS_MAX = 64 };

static size_t list_kinds(kind *kinds) {
  size_t count = 0;
  kinds[count++] = (kind){"area", PC_GEOJSON_AREAS, 0, false};
  kinds[count++] = (kind){"ground", PC_GEOJSON_GROUND, 0, false};
  kinds[count++] = (kind){"zone", PC_GEOJSON_ZONES, 0, false};
  for (int i = 0; pc_obstacle_kind_names[i] && count < KINDS_MAX; i++)
    kinds[count++] = (kind){pc_obstacle_kind_names[i], PC_GEOJSON_OBSTACLES, i, false};
  for (int i = 0; pc_keep_clear_kind_names[i] && count < KINDS_MAX; i++)
    kinds[count++] = (kind){pc_keep_clear_kind_names[i], PC_GEOJSON_KEEP_CLEAR, i, false};
  return count;
}

/* "area, ground, …" */
static void print_kinds(const kind *kinds, size_t count, pc_text *out) {
  for (size_t i = 0; i < count; i++)
    pc_text_addf(out, "%s%s", i ? ", " : "", kinds[i].word);
}

static void missing_kind(pc_reading *r, const json_t *properties, const kind *kinds, size_t count,
                         const char *key) {
  static const char *const words[] = {"kind"};
  const char *near = NULL, *name;
  json_t *value;
  pc_text list = {0};
  print_kinds(kinds, count, &list);
  json_object_foreach((json_t *)properties, name, value) if (!near && pc_nearest_word(name, words, 1)) near =
      name;
  pc_reading_fault(r, PC_ERR_MISSING, key, "is required for a polygon: one of %s%s%s%s",
                   list.data ? list.data : "", near ? " (is \"" : "", near ? pc_name_of(near).text : "",
                   near ? "\" meant to be it?)" : "");
  pc_text_free(&list);
}

/* What a feature is; false if that is a fault, or if it is nothing to do with the lot (told as a caution). */
static bool find_kind(pc_reading *r, const json_t *properties, const json_t *geometry, const char *prefix,
                      kind *out) {
  kind kinds[KINDS_MAX];
  const char *words[KINDS_MAX];
  size_t count = list_kinds(kinds);
  char key[PC_KEY_MAX];
  (void)snprintf(key, sizeof key, "%s.properties.kind", prefix);
  const json_t *value = json_object_get(properties, "kind");
  if (!value || json_is_null(value)) {
    const char *type = json_string_value(json_object_get(geometry, "type"));
    if (type && strstr(type, "Polygon"))
      missing_kind(r, properties, kinds, count, key);
    else
      pc_reading_caution(r, key, "is not given: this feature is left out");
    return false;
  }
  if (!json_is_string(value)) {
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "must be a text such as \"area\", not %s",
                     pc_geojson_what_is(value));
    return false;
  }
  const char *word = json_string_value(value);
  *out = (kind){.word = word, .drawn = strcmp(word, "lane") == 0 || strcmp(word, "path") == 0};
  for (size_t i = 0; i < count; i++) {
    words[i] = kinds[i].word;
    if (strcmp(word, kinds[i].word) == 0) {
      *out = kinds[i];
      return true;
    }
  }
  if (out->drawn)
    return true;
  const char *near = pc_nearest_word(word, words, count);
  pc_text list = {0};
  print_kinds(kinds, count, &list);
  pc_reading_fault(r, PC_ERR_RANGE, key, "\"%s\" is none of %s%s%s%s", pc_name_of(word).text,
                   list.data ? list.data : "", near ? "; did you mean \"" : "", near ? near : "",
                   near ? "\"?" : "");
  pc_text_free(&list);
  return false;
}

/* ---- properties ---- */

/* GIS programs write null or "" in every column that a feature does not use. */
static const json_t *given(const json_t *properties, const char *key) {
  const json_t *value = json_object_get(properties, key);
  bool empty = json_is_null(value) || (json_is_string(value) && json_string_length(value) == 0);
  return empty ? NULL : value;
}

/* A JSON value as a node of the scenario's reader. Whole numbers lose their ".0": 2.0 berths are 2. */
static pc_node *make_node(pc_reading *r, pc_node *map, const char *key, const json_t *value) {
  char number[PC_DECIMALS_MAX];
  pc_text printed = {0};
  const char *text = "";
  double real = json_number_value(value);
  if (json_is_string(value)) {
    text = json_string_value(value);
  } else if (json_is_boolean(value)) {
    text = json_is_true(value) ? "true" : "false";
  } else if (json_is_number(value) && fabs(real) < 1e9 && real == floor(real)) {
    pc_print_decimals(number, real, 0);
    text = number;
  } else if (json_is_number(value)) {
    pc_json_print(value, JSON_ENCODE_ANY | JSON_REAL_PRECISION(15), &printed);
    text = printed.failed ? NULL : printed.data;
  }
  pc_node_kind form = json_is_object(value)  ? PC_NODE_MAP
                      : json_is_array(value) ? PC_NODE_LIST
                                             : PC_NODE_SCALAR;
  pc_node *node = pc_tree_new_node(r->tree, form, r->node_file);
  const char *copy = text ? pc_tree_copy_text(r->tree, text, strlen(text)) : NULL;
  const char *key_copy = pc_tree_copy_text(r->tree, key, strlen(key));
  pc_text_free(&printed);
  if (!node || !copy || !key_copy) {
    r->no_memory = true;
    return NULL;
  }
  node->text = copy;
  node->key = key_copy;
  node->quoted = json_is_string(value);
  pc_node_append(map, node);
  return node;
}

/* The node "features[i].properties", under which properties are put. */
static pc_node *make_properties(pc_reading *r) {
  pc_node *root = pc_tree_new_node(r->tree, PC_NODE_MAP, r->node_file);
  pc_node *list = pc_tree_new_node(r->tree, PC_NODE_LIST, r->node_file);
  pc_node *feature = pc_tree_new_node(r->tree, PC_NODE_MAP, r->node_file);
  pc_node *properties = pc_tree_new_node(r->tree, PC_NODE_MAP, r->node_file);
  if (!root || !list || !feature || !properties) {
    r->no_memory = true;
    return NULL;
  }
  list->key = "features";
  pc_node_append(root, list);
  list->count = r->feature; /* its place in the file, without nodes for the features before it */
  pc_node_append(list, feature);
  properties->key = "properties";
  pc_node_append(feature, properties);
  return properties;
}

/* One property that a field table knows. */
static void read_property(pc_reading *r, pc_node *map, const json_t *properties, const pc_field *field,
                          void *object) {
  const json_t *value = given(properties, field->key);
  pc_node *node = value ? make_node(r, map, field->key, value) : NULL;
  if (!node)
    return;
  if (field->kind == PC_FIELD_NAME && !pc_is_line(node->text))
    (void)pc_reader_fault(&r->reader, node, PC_AT_VALUE, PC_ERR_SYNTAX,
                          "a name must not hold line breaks or other control characters");
  else
    pc_reader_field(&r->reader, node, field, object);
}

/* Properties with a name that is nearly one of ours: likely a slip, and then not what was meant. */
static void check_near_misses(pc_reading *r, const json_t *properties, const pc_fields *fields,
                              bool has_width, const char *prefix) {
  enum { WORDS_MAX = 40 };
  const char *words[WORDS_MAX], *name;
  size_t count = 0;
  words[count++] = "kind";
  if (has_width)
    words[count++] = "width";
  for (size_t i = 0; i < fields->count && count < WORDS_MAX; i++)
    if (strcmp(fields->items[i].key, "kind") != 0)
      words[count++] = fields->items[i].key;
  json_t *value;
  json_object_foreach((json_t *)properties, name, value) {
    bool known = false;
    for (size_t i = 0; i < count; i++)
      known |= strcmp(name, words[i]) == 0;
    const char *near = known || json_is_null(value) ? NULL : pc_nearest_word(name, words, count);
    if (!near || given(properties, near))
      continue;
    char key[2 * PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "%s.properties.%s", prefix, pc_name_of(name).text);
    pc_reading_caution(r, key, "is not a known property and is left out; did you mean \"%s\"?", near);
  }
}

static pc_draft make_draft(const kind *what) {
  pc_draft draft = {.list = what->list, .width_m = 0.3};
  switch (what->list) {
  case PC_GEOJSON_AREAS:
    draft.as.area = pc_area_default();
    break;
  case PC_GEOJSON_OBSTACLES:
    draft.as.obstacle = (pc_obstacle){.kind = what->index, .at = {NAN, NAN}, .radius_m = NAN};
    break;
  case PC_GEOJSON_KEEP_CLEAR:
    draft.as.keep_clear = (pc_keep_clear){.kind = what->index, .at = {NAN, NAN}, .radius_m = NAN};
    break;
  case PC_GEOJSON_ZONES:
    draft.as.zone = pc_zone_default();
    break;
  default:
    break;
  }
  return draft;
}

static pc_draft read_properties(pc_reading *r, const json_t *properties, const kind *what, bool is_line,
                                const char *prefix) {
  pc_draft draft = make_draft(what);
  const pc_fields *fields = list_fields[what->list];
  bool has_width = is_line && what->list == PC_GEOJSON_OBSTACLES;
  pc_node *map = make_properties(r);
  if (!map)
    return draft;
  for (size_t i = 0; i < fields->count; i++)
    if (strcmp(fields->items[i].key, "kind") != 0)
      read_property(r, map, properties, &fields->items[i], &draft.as);
  draft.source.has_heading = given(properties, "heading") != NULL;
  pc_geojson_note_clock(properties, &draft.source);
  if (has_width) {
    char key[PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "%s.properties", prefix);
    read_property(r, map, properties, &width_field, &draft);
    pc_faults bad = pc_faults_like(&r->found);
    pc_fields_validate(&width_fields, &draft, key, &bad);
    if (bad.count > 0)
      draft.width_m = 0.3; /* told; the line is looked at all the same */
    for (size_t i = 0; i < bad.count; i++)
      pc_reading_fault(r, bad.items[i].status, bad.items[i].key, "%s", bad.items[i].message);
    r->no_memory |= bad.dropped > 0;
    pc_faults_free(&bad);
  }
  check_near_misses(r, properties, fields, has_width, prefix);
  return draft;
}

/* ---- features ---- */

static const char *form_name(pc_geojson_form form) {
  return form == PC_FORM_POINT ? "a point" : form == PC_FORM_LINE ? "a line" : "a polygon";
}

/* A radius that could not be read is told already; either way the thing is not looked at any further. */
static bool check_radius(pc_reading *r, const pc_draft *draft, const char *prefix) {
  double radius =
      draft->list == PC_GEOJSON_OBSTACLES ? draft->as.obstacle.radius_m : draft->as.keep_clear.radius_m;
  char key[PC_KEY_MAX];
  if (radius <= 0) {
    (void)snprintf(key, sizeof key, "%s.properties.radius", prefix);
    pc_reading_fault(r, PC_ERR_RANGE, key, "must be more than 0");
  }
  return radius > 0;
}

/* Whether a thing of this kind may have this form, with a fault if not. */
static bool check_form(pc_reading *r, const kind *what, const pc_draft *draft, pc_geojson_form form,
                       const json_t *properties, const char *prefix) {
  bool fence = what->list == PC_GEOJSON_OBSTACLES && what->index == PC_OBSTACLE_FENCE;
  bool flat = what->list == PC_GEOJSON_AREAS || what->list == PC_GEOJSON_GROUND;
  char key[PC_KEY_MAX];
  if ((form == PC_FORM_LINE && !fence) || (form == PC_FORM_POINT && flat)) {
    (void)snprintf(key, sizeof key, "%s.geometry.type", prefix);
    pc_reading_fault(r, PC_ERR_GEOMETRY, key, "\"%s\" cannot be %s: draw a polygon%s", what->word,
                     form_name(form), flat ? "" : ", or a point");
    return false;
  }
  if (form != PC_FORM_POINT || what->list == PC_GEOJSON_ZONES)
    return true;
  if (given(properties, "radius"))
    return check_radius(r, draft, prefix);
  (void)snprintf(key, sizeof key, "%s.properties.radius", prefix);
  pc_reading_fault(r, PC_ERR_MISSING, key, "is required for a point (%s)",
                   pc_fields_find(list_fields[what->list], "radius")->help);
  return false;
}

/* Takes over the ring as the place of one more thing. */
static void keep(pc_reading *r, pc_draft *draft, const char *name, pc_ring *place) {
  *pc_draft_name(draft) = pc_name_of(name);
  draft->place = *place;
  *place = (pc_ring){0};
  if (!pc_drafts_add(&r->drafts, draft))
    r->no_memory = true;
}

/* Holes are islands where machines drive; anywhere else nobody could say what they are. */
static void keep_holes(pc_reading *r, const pc_draft *around, pc_shape_read *from, const char *name,
                       const char *prefix) {
  bool is_pavement = around->list == PC_GEOJSON_AREAS || around->list == PC_GEOJSON_GROUND;
  for (size_t i = 1; i < from->count; i++) {
    char text[4 * PC_NAME_MAX], key[PC_KEY_MAX];
    if (is_pavement) {
      const kind island = {.list = PC_GEOJSON_OBSTACLES, .index = PC_OBSTACLE_ISLAND};
      pc_draft hole = make_draft(&island);
      hole.source = around->source;
      hole.source.ring = (int)i;
      hole.form = PC_FORM_POLYGON;
      (void)snprintf(text, sizeof text, "%s hole %zu", name, i);
      keep(r, &hole, text, &from->rings[i]);
      continue;
    }
    if (from->part >= 0)
      (void)snprintf(key, sizeof key, "%s.geometry.coordinates[%d][%zu]", prefix, from->part, i);
    else
      (void)snprintf(key, sizeof key, "%s.geometry.coordinates[%zu]", prefix, i);
    pc_reading_fault(r, PC_ERR_GEOMETRY, key, "a polygon may have holes in an area or ground only");
  }
}

static void keep_shapes(pc_reading *r, const pc_draft *like, pc_shapes_read *shapes, const char *prefix) {
  pc_draft draft = *like;
  const pc_name given_name = *pc_draft_name(&draft);
  for (size_t i = 0; i < shapes->count && !r->no_memory; i++) {
    pc_shape_read *from = &shapes->items[i];
    char name[2 * PC_NAME_MAX];
    draft = *like;
    draft.form = from->form;
    draft.source.feature = r->feature;
    draft.source.part = from->part;
    draft.source.ring = from->form == PC_FORM_POLYGON ? 0 : -1;
    if (given_name.text[0] == '\0')
      (void)snprintf(name, sizeof name, "%s %zu", usual_names[like->list],
                     r->drafts.per_list[like->list] + 1);
    else if (shapes->count > 1)
      (void)snprintf(name, sizeof name, "%.63s %zu", given_name.text, i + 1);
    else
      (void)snprintf(name, sizeof name, "%.63s", given_name.text);
    keep(r, &draft, name, &from->rings[0]);
    keep_holes(r, &draft, from, name, prefix);
  }
}

/* A feature that is one thing of the lot, or several of a kind. */
static void read_thing(pc_reading *r, const json_t *feature, const char *prefix) {
  const json_t *properties = json_object_get(feature, "properties");
  const json_t *geometry = json_object_get(feature, "geometry");
  kind what;
  char key[PC_KEY_MAX];
  bool known = find_kind(r, properties, geometry, prefix, &what);
  if (known && what.drawn)
    return;
  if (json_is_null(geometry)) {
    (void)snprintf(key, sizeof key, "%s.geometry", prefix);
    if (known)
      pc_reading_caution(r, key, "is null: this feature has no place and is left out");
    return;
  }
  pc_shapes_read shapes = {0};
  bool sound = pc_reading_geometry(r, geometry, prefix, &shapes);
  pc_geojson_form form = shapes.count > 0 ? shapes.items[0].form : PC_FORM_POLYGON;
  if (known) {
    pc_draft draft = read_properties(r, properties, &what, form == PC_FORM_LINE, prefix);
    bool fits = shapes.count == 0 || check_form(r, &what, &draft, form, properties, prefix);
    if (sound && fits)
      keep_shapes(r, &draft, &shapes, prefix);
  }
  pc_shapes_free(&shapes);
}

static void read_feature(pc_reading *r, const json_t *feature, pc_faults *faults) {
  char prefix[64], key[PC_KEY_MAX];
  (void)snprintf(prefix, sizeof prefix, "features[%zu]", r->feature);
  const char *type = json_string_value(json_object_get(feature, "type"));
  const json_t *properties = json_object_get(feature, "properties");
  if (!json_is_object(feature)) {
    pc_reading_fault(r, PC_ERR_SYNTAX, prefix, "must be a feature (an object), not %s",
                     pc_geojson_what_is(feature));
  } else if (!type || strcmp(type, "Feature") != 0) {
    (void)snprintf(key, sizeof key, "%s.type", prefix);
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "must be \"Feature\"%s%s%s", type ? ", not \"" : "",
                     type ? pc_name_of(type).text : "", type ? "\"" : "");
  } else if (properties && !json_is_null(properties) && !json_is_object(properties)) {
    (void)snprintf(key, sizeof key, "%s.properties", prefix);
    pc_reading_fault(r, PC_ERR_SYNTAX, key, "must be an object, not %s", pc_geojson_what_is(properties));
  } else {
    read_thing(r, feature, prefix);
  }
  hand_over(r, json_string_value(json_object_get(properties, "name")), faults);
}

/* ---- files ---- */

static void read_root(pc_reading *r, const json_t *root, pc_faults *faults) {
  const char *type = json_string_value(json_object_get(root, "type"));
  const json_t *features = json_object_get(root, "features");
  if (!json_is_object(root)) {
    pc_reading_fault(r, PC_ERR_SYNTAX, NULL, "must be a FeatureCollection (an object), not %s",
                     pc_geojson_what_is(root));
  } else if (type && strcmp(type, "Feature") == 0) {
    pc_reading_crs(r, root);
    read_feature(r, root, faults);
  } else if (!type || strcmp(type, "FeatureCollection") != 0) {
    pc_reading_fault(r, PC_ERR_SYNTAX, "type", "must be \"FeatureCollection\"%s%s%s", type ? ", not \"" : "",
                     type ? pc_name_of(type).text : "", type ? "\"" : "");
  } else if (!json_is_array(features)) {
    pc_reading_fault(r, PC_ERR_SYNTAX, "features", "must be an array of features, not %s",
                     pc_geojson_what_is(features));
  } else if (json_array_size(features) > PC_GEOJSON_FEATURES_MAX) {
    pc_reading_fault(r, PC_ERR_LIMIT, "features", "has %zu features; at most %d are possible",
                     json_array_size(features), (int)PC_GEOJSON_FEATURES_MAX);
  } else {
    pc_reading_crs(r, root);
    hand_over(r, NULL, faults);
    for (r->feature = 0; r->feature < json_array_size(features) && !r->no_memory; r->feature++)
      read_feature(r, json_array_get(features, r->feature), faults);
  }
  hand_over(r, NULL, faults);
}

/* jansson's messages quote the file, line breaks and all. */
static void json_fault(const char *name, const json_error_t *problem, pc_faults *faults) {
  pc_error error;
  enum json_error_code code = json_error_code(problem);
  if (code == json_error_stack_overflow)
    (void)pc_error_set(&error, PC_ERR_LIMIT, NULL, NULL,
                       "is nested deeper than any map: at most 2048 levels");
  else if (code == json_error_null_character || code == json_error_null_byte_in_key)
    (void)pc_error_set(&error, PC_ERR_SYNTAX, NULL, NULL,
                       "a text holds the character \\u0000, which is not taken");
  else
    (void)pc_error_set(&error, PC_ERR_SYNTAX, NULL, NULL, "is not JSON: %s", problem->text);
  for (char *at = error.message; *at; at++)
    if ((unsigned char)*at < 0x20)
      *at = ' ';
  pc_error_place(&error, name, problem->line > 0 ? problem->line : 0,
                 problem->line > 0 ? problem->column : 0);
  pc_tree_push_fault(faults, &error);
}

static void plain_fault(const char *name, pc_status status, pc_faults *faults, const char *message) {
  pc_error error;
  (void)pc_error_set(&error, status, NULL, NULL, "%s", message);
  pc_error_place(&error, name, 0, 0);
  pc_tree_push_fault(faults, &error);
}

/* From features to a lot; false if memory is short. */
static bool read_lot(const char *name, const json_t *root, const pc_geojson_origin *origin,
                     pc_reader *scenario, pc_geojson *out, pc_faults *faults) {
  pc_reading r = {.file = name, .tree = pc_tree_create(), .found = pc_faults_like(faults)};
  size_t before = pc_faults_fatal(faults);
  r.node_file = r.tree ? pc_tree_copy_text(r.tree, name, strlen(name)) : NULL;
  r.no_memory = !r.node_file;
  r.reader = (pc_reader){.tree = r.tree, .faults = &r.found, .unit_m = 1};
  if (scenario && scenario->seeks_start)
    scenario->clock = pc_geojson_start(root);
  if (scenario) {
    r.reader.clock = scenario->clock;
    r.reader.clock_failed = scenario->clock_failed;
  }
  if (!r.no_memory)
    read_root(&r, root, faults);
  if (r.drafts.count == 0 && !r.no_memory && pc_faults_fatal(faults) == before)
    plain_fault(name, PC_ERR_MISSING, faults,
                "has nothing of a lot in it: no feature has a kind, such as \"area\" or \"zone\"");
  if (!r.no_memory && !r.reader.no_memory && r.drafts.count > 0)
    r.no_memory = !pc_drafts_place(&r.drafts, name, origin, scenario, out, faults);
  bool enough = !r.no_memory && !r.reader.no_memory;
  pc_drafts_free(&r.drafts);
  pc_faults_free(&r.found);
  free(r.reader.slips);
  pc_tree_free(r.tree);
  return enough;
}

static pc_status read_text(const char *name, const char *text, size_t length, const pc_geojson_origin *origin,
                           pc_reader *scenario, pc_geojson *out, pc_faults *faults) {
  size_t before = faults->count, skip = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
  json_error_t problem;
  json_t *root = NULL;
  bool no_memory = false;
  *out = (pc_geojson){0};
  if (length > PC_TREE_BYTES_MAX)
    plain_fault(name, PC_ERR_LIMIT, faults, "is larger than 64 MiB, the limit for one file");
  else if (length == skip)
    plain_fault(name, PC_ERR_SYNTAX, faults, "the file is empty");
  else if (!(root = pc_json_parse(text + skip, length - skip, &problem, &no_memory)) && !no_memory)
    json_fault(name, &problem, faults);
  bool enough = root ? read_lot(name, root, origin, scenario, out, faults) : !no_memory;
  json_decref(root);
  const pc_error *first = pc_faults_first(faults, before);
  pc_status status = first ? first->status : PC_OK;
  if (!enough || faults->dropped > 0) { /* then there may be more faults than are told */
    plain_fault(name, PC_ERR_MEMORY, faults, "there is not enough memory to read this");
    status = status == PC_OK ? PC_ERR_MEMORY : status;
  }
  if (status != PC_OK)
    pc_geojson_free(out);
  return status;
}

pc_status pc_geojson_read_text(const char *name, const char *text, size_t length,
                               const pc_geojson_origin *origin, pc_geojson *out, pc_faults *faults) {
  return read_text(name, text, length, origin, NULL, out, faults);
}

pc_status pc_geojson_read_for(const char *path, const pc_geojson_origin *origin, pc_reader *scenario,
                              pc_geojson *out, pc_faults *faults) {
  void *text;
  size_t length;
  *out = (pc_geojson){0};
  pc_status status = pc_file_read(path, &text, &length, faults);
  if (status == PC_OK)
    status = read_text(strcmp(path, "-") == 0 ? "standard input" : path, text, length, origin, scenario, out,
                       faults);
  free(text);
  return status;
}

pc_status pc_geojson_read(const char *path, const pc_geojson_origin *origin, pc_geojson *out,
                          pc_faults *faults) {
  return pc_geojson_read_for(path, origin, NULL, out, faults);
}
