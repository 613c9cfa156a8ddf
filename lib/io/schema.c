// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/schema.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "io/format.h"
#include "io/json_text.h"

/* Takes over `value`; any failure on the way is kept in *good, so that building reads straight. */
static void put(json_t *object, const char *key, json_t *value, bool *good) {
  if (json_object_set_new(object, key, value) != 0)
    *good = false;
}

static void append(json_t *array, json_t *value, bool *good) {
  if (json_array_append_new(array, value) != 0)
    *good = false;
}

static void put_text(json_t *object, const char *key, pc_text *text, bool *good) {
  put(object, key, text->failed || !text->data ? NULL : json_string(text->data), good);
  pc_text_free(text);
}

static const char number_pattern[] = "([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][-+]?[0-9]+)?";

/* One unit as it may be written: m3 or m³, deg or °, C or °C. */
static void add_unit_pattern(pc_text *pattern, const char *unit, size_t length) {
  if (length == 3 && strncmp(unit, "deg", 3) == 0) {
    pc_text_add(pattern, "(deg|°)");
    return;
  }
  if (length == 1 && (*unit == 'C' || *unit == 'F'))
    pc_text_add(pattern, "°?");
  for (size_t i = 0; i < length; i++) {
    if (unit[i] == '2' || unit[i] == '3')
      pc_text_add(pattern, unit[i] == '2' ? "[2²]" : "[3³]");
    else
      pc_text_addf(pattern, "%c", unit[i]);
  }
}

/* A time of day. */
static const char clock_pattern[] =
    "^ *(([01]?[0-9]|2[0-3]):[0-5][0-9]|(0?[1-9]|1[0-2])(:[0-5][0-9])? *[aApP]\\.?[mM]\\.?)";
/* Where it counts from the start, perhaps with midnights. */
static const char days_pattern[] = " *(\\+ *[0-9]{1,2} *days?)? *$";

/* `word`: what may stand in place of a quantity; NULL: nothing. */
static void put_pattern(json_t *schema, pc_dimension dimension, const char *word, bool moment, bool *good) {
  pc_text pattern = {0};
  const char *unit = pc_dimension_units(dimension);
  bool bare = pc_dimension_bare(dimension);
  if (moment)
    pc_text_addf(&pattern, "%s%s|", clock_pattern, days_pattern);
  if (word)
    pc_text_addf(&pattern, "^%s$|", word);
  pc_text_addf(&pattern, "^ *[-+−]? *(%s *", number_pattern);
  if (*unit) {
    pc_text_add(&pattern, "(");
    for (size_t length; *unit; unit += length + (unit[length] == ' ')) {
      length = strcspn(unit, " ");
      add_unit_pattern(&pattern, unit, length);
      pc_text_add(&pattern, unit[length] ? "|" : "");
    }
    pc_text_addf(&pattern, ")%s *", bare ? "?" : "");
  }
  pc_text_addf(&pattern, ")%s$", bare ? "" : "+");
  put_text(schema, "pattern", &pattern, good);
}

static json_t *typed(const char *type, bool *good) {
  json_t *schema = json_object();
  put(schema, "type", json_string(type), good);
  return schema;
}

/* What YAML may make of a value that a person wrote without quotes. */
static void put_types(json_t *schema, const char *first, const char *second, bool *good) {
  json_t *types = json_array();
  append(types, json_string(first), good);
  append(types, json_string(second), good);
  put(schema, "type", types, good);
}

static json_t *bound(const pc_field *field, double value) {
  return field->kind == PC_FIELD_INTEGER ? json_integer((json_int_t)value) : json_real(value);
}

/* Limits can be told of plain numbers only; with units they stand in the description. */
static void put_range(json_t *schema, const pc_field *field, bool *good) {
  if (isfinite(field->min))
    put(schema, field->above_min ? "exclusiveMinimum" : "minimum", bound(field, field->min), good);
  if (isfinite(field->max))
    put(schema, "maximum", bound(field, field->max), good);
}

static void put_description(json_t *schema, const pc_field *field, bool *good) {
  char range[256];
  pc_text text = {0};
  (void)pc_field_print_range(field, PC_METRIC, range, sizeof range);
  pc_text_addf(&text, "%s.", field->help ? field->help : field->key);
  if (field->kind != PC_FIELD_CHOICE) /* its words stand in the enum */
    pc_text_addf(&text, " Allowed: %s%s.", range, field->moment ? "; with starts_at also a clock time" : "");
  if (field->fallback)
    pc_text_addf(&text, " Default: %s.", field->fallback);
  put_text(schema, "description", &text, good);
}

static json_t *field_schema(const pc_field *field, bool *good) {
  json_t *schema = json_object();
  bool bare = pc_dimension_bare(field->dimension);
  put_description(schema, field, good);
  switch (field->kind) {
  case PC_FIELD_QUANTITY:
    if (bare) {
      put_types(schema, "number", "string", good);
      put_range(schema, field, good);
    } else {
      put(schema, "type", json_string("string"), good);
    }
    put_pattern(schema, field->dimension, field->word, field->moment, good);
    break;
  case PC_FIELD_INTEGER:
    put(schema, "type", json_string("integer"), good);
    put_range(schema, field, good);
    break;
  case PC_FIELD_NAME:
    put_types(schema, "string", "number", good);
    put(schema, "minLength", json_integer(1), good);
    put(schema, "maxLength", json_integer(PC_NAME_MAX - 1), good);
    break;
  case PC_FIELD_CHOICE: {
    json_t *words = json_array();
    for (size_t i = 0; field->choices[i]; i++)
      append(words, json_string(field->choices[i]), good);
    put(schema, "enum", words, good);
    break;
  }
  case PC_FIELD_FLAG:
    put(schema, "type", json_string("boolean"), good);
    break;
  }
  return schema;
}

static json_t *point_schema(bool *good) {
  json_t *schema = typed("array", good);
  put(schema, "items", typed("number", good), good);
  put(schema, "minItems", json_integer(2), good);
  put(schema, "maxItems", json_integer(2), good);
  return schema;
}

static json_t *clock_schema(bool *good) {
  json_t *schema = typed("string", good);
  pc_text pattern = {0};
  pc_text_addf(&pattern, "%s *$", clock_pattern);
  put_text(schema, "pattern", &pattern, good);
  return schema;
}

static json_t *origin_schema(bool *good) {
  json_t *schema = point_schema(good), *places = json_array();
  for (int most = 180; most >= 90; most -= 90) {
    json_t *degrees = typed("number", good);
    put(degrees, "minimum", json_integer(-most), good);
    put(degrees, "maximum", json_integer(most), good);
    append(places, degrees, good);
  }
  put(schema, "items", json_false(), good);
  put(schema, "prefixItems", places, good);
  return schema;
}

static json_t *outline_schema(bool *good) {
  json_t *schema = typed("array", good);
  put(schema, "items", point_schema(good), good);
  put(schema, "minItems", json_integer(3), good);
  put(schema, "maxItems", json_integer(PC_RING_MAX + 1), good);
  return schema;
}

static json_t *name_schema(bool *good) {
  json_t *schema = json_object();
  put_types(schema, "string", "number", good);
  put(schema, "minLength", json_integer(1), good);
  put(schema, "maxLength", json_integer(PC_NAME_ROOM - 1), good);
  return schema;
}

static json_t *depth_schema(bool *good) {
  json_t *schema = typed("string", good);
  put_pattern(schema, PC_DIM_LENGTH, NULL, false, good);
  return schema;
}

static json_t *count_schema(bool *good) {
  json_t *schema = typed("integer", good);
  put(schema, "minimum", json_integer(1), good);
  put(schema, "maximum", json_integer(PC_CREW_MAX), good);
  return schema;
}

/* 1..6 */
static json_t *range_schema(bool *good) {
  json_t *schema = typed("string", good);
  put(schema, "pattern", json_string("^[0-9]+\\.\\.[0-9]+$"), good);
  return schema;
}

/* A single value, or a list of them. */
static json_t *one_or_more(json_t *(*single)(bool *), int needed, bool *good) {
  json_t *list = typed("array", good), *either = json_array(), *schema = json_object();
  put(list, "items", single(good), good);
  put(list, "minItems", json_integer(needed), good);
  append(either, single(good), good);
  append(either, list, good);
  put(schema, "anyOf", either, good);
  return schema;
}

static json_t *part_schema(const pc_part *part, const char *prefix, bool *good);

static json_t *member_schema(const pc_member *member, bool *good) {
  json_t *schema = NULL, *words;
  switch (member->shape) {
  case PC_SHAPE_VERSION:
    schema = json_object();
    put(schema, "const", json_integer(PC_FORMAT_VERSION), good);
    break;
  case PC_SHAPE_UNITS:
    schema = json_object();
    words = json_array();
    append(words, json_string("m"), good);
    append(words, json_string("ft"), good);
    put(schema, "enum", words, good);
    break;
  case PC_SHAPE_PART:
    schema = part_schema(member->part, "", good);
    break;
  case PC_SHAPE_PARTS:
    schema = typed("array", good);
    put(schema, "items", part_schema(member->part, "", good), good);
    if (member->required)
      put(schema, "minItems", json_integer(1), good);
    break;
  case PC_SHAPE_OUTLINE:
    schema = outline_schema(good);
    break;
  case PC_SHAPE_POINT:
    schema = point_schema(good);
    break;
  case PC_SHAPE_NAMES:
    schema = one_or_more(name_schema, member->required || member->some ? 1 : 0, good);
    break;
  case PC_SHAPE_DEPTHS:
    schema = one_or_more(depth_schema, 0, good);
    break;
  case PC_SHAPE_FILE:
    schema = typed("string", good);
    put(schema, "minLength", json_integer(1), good);
    break;
  case PC_SHAPE_CLOCK:
    schema = clock_schema(good);
    break;
  case PC_SHAPE_ORIGIN:
    schema = origin_schema(good);
    break;
  case PC_SHAPE_COUNTS:
    schema = one_or_more(count_schema, 0, good);
    append(json_object_get(schema, "anyOf"), range_schema(good), good);
    break;
  }
  put(schema, "description", json_string(member->help), good);
  return schema;
}

/* Names can be left out where the reader gives usual ones, and a crew's where there is only one to choose. */
static bool is_required(const pc_field *field) {
  return field->required && !field->unless && !field->fallback && field->kind != PC_FIELD_NAME;
}

/* Fields under `prefix`; a dot in a key makes a nested map. */
static void put_fields(json_t *properties, json_t *required, const pc_part *part, const char *prefix,
                       bool *good) {
  size_t skip = strlen(prefix);
  for (size_t i = 0; part->fields && i < part->fields->count; i++) {
    const pc_field *field = &part->fields->items[i];
    if (strncmp(field->key, prefix, skip) != 0)
      continue;
    size_t length = strcspn(field->key + skip, ".");
    char key[PC_KEY_MAX], deeper[2 * PC_KEY_MAX];
    snprintf(key, sizeof key, "%.*s", (int)length, field->key + skip);
    if (field->key[skip + length] == '\0') {
      put(properties, key, field_schema(field, good), good);
    } else if (!json_object_get(properties, key)) {
      snprintf(deeper, sizeof deeper, "%s%s.", prefix, key);
      put(properties, key, part_schema(part, deeper, good), good);
    }
    bool told = false;
    for (size_t j = 0; j < json_array_size(required); j++)
      told |= strcmp(json_string_value(json_array_get(required, j)), key) == 0;
    if (is_required(field) && !told)
      append(required, json_string(key), good);
  }
}

/* {"required": [key]} */
static json_t *needs(const char *key, bool *good) {
  json_t *schema = json_object(), *keys = json_array();
  append(keys, json_string(key), good);
  put(schema, "required", keys, good);
  return schema;
}

/* Of the site: either the key, or its file. */
static void put_or_file(json_t *schema, const char *key, bool *good) {
  json_t *either = json_array();
  append(either, needs(key, good), good);
  append(either, needs("file", good), good);
  put(schema, "anyOf", either, good);
}

/* What is required unless a choice says otherwise: either the key, or the choice with another word than its
 * first. */
static void put_unless(json_t *schema, const pc_fields *fields, bool *good) {
  for (size_t i = 0; fields && i < fields->count; i++) {
    const pc_field *field = &fields->items[i];
    const pc_field *choice = field->unless ? pc_fields_find(fields, field->unless) : NULL;
    if (!choice)
      continue;
    json_t *either = json_array(), *other = needs(choice->key, good), *word = json_object(),
           *words = json_array(), *properties = json_object();
    for (size_t w = 1; choice->choices[w]; w++)
      append(words, json_string(choice->choices[w]), good);
    put(word, "enum", words, good);
    put(properties, choice->key, word, good);
    put(other, "properties", properties, good);
    append(either, needs(field->key, good), good);
    append(either, other, good);
    put(schema, "anyOf", either, good);
  }
}

static json_t *part_schema(const pc_part *part, const char *prefix, bool *good) {
  json_t *schema = typed("object", good), *properties = json_object(), *required = json_array();
  *good &= required != NULL; /* with nothing in it it would not be missed */
  put_fields(properties, required, part, prefix, good);
  bool has_point = false;
  for (const pc_member *m = part->members; !*prefix && m && m->key; m++) {
    put(properties, m->key, member_schema(m, good), good);
    has_point |= m->shape == PC_SHAPE_POINT && strcmp(m->key, "at") == 0;
    if (m->required && m->or_file)
      put_or_file(schema, m->key, good);
    else if (m->required)
      append(required, json_string(m->key), good);
  }
  put(schema, "properties", properties, good);
  if (json_array_size(required) > 0)
    put(schema, "required", required, good);
  else
    json_decref(required);
  if (has_point) {
    json_t *either = json_array();
    append(either, needs("outline", good), good);
    append(either, needs("at", good), good);
    put(schema, "oneOf", either, good);
    if (part->fields && pc_fields_find(part->fields, "radius")) {
      json_t *with_point = json_object(), *keys = json_array();
      append(keys, json_string("radius"), good);
      put(with_point, "at", keys, good);
      put(schema, "dependentRequired", with_point, good);
    }
  }
  if (!*prefix)
    put_unless(schema, part->fields, good);
  put(schema, "additionalProperties", json_false(), good);
  return schema;
}

pc_status pc_schema_write(pc_text *text) {
  bool good = true;
  json_t *whole = json_object(), *body = part_schema(&pc_format_scenario, "", &good);
  put(whole, "$schema", json_string("https://json-schema.org/draft/2020-12/schema"), &good);
  put(whole, "title", json_string("pushcycle scenario, format 1"), &good);
  good = good && json_object_update(whole, body) == 0;
  if (good)
    pc_json_print(whole, JSON_INDENT(2) | JSON_REAL_PRECISION(15), text);
  pc_text_add(text, "\n");
  json_decref(body);
  json_decref(whole);
  return good && !text->failed ? PC_OK : PC_ERR_MEMORY;
}
