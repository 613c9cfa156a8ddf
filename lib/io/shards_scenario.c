// SPDX-License-Identifier: GPL-3.0-or-later
/* A whole scenario as JSON, by the tables that its reader walks, too: a key that is added there is carried
 * along without a word here. */
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/shards_private.h"

json_t *pc_shard_number(double value) {
  if (isnan(value))
    return json_null();
  if (isinf(value))
    return json_string(value > 0 ? "inf" : "-inf");
  return json_real(value);
}

bool pc_shard_take_number(const json_t *from, double *value) {
  const char *word = json_string_value(from);
  if (json_is_number(from))
    *value = json_number_value(from);
  else if (json_is_null(from))
    *value = NAN;
  else if (word && (strcmp(word, "inf") == 0 || strcmp(word, "-inf") == 0))
    *value = *word == '-' ? -(double)INFINITY : (double)INFINITY;
  else
    return false;
  return true;
}

static const void *at(const void *object, size_t offset) {
  return (const char *)object + offset;
}

static void *room(void *object, size_t offset) {
  return (char *)object + offset;
}

/* ---- writing ---- */

/* Appends and takes over; a NULL ends up as false. */
static bool append(json_t *list, json_t *value) {
  return json_array_append_new(list, value) == 0;
}

static json_t *finish(json_t *made, bool good) {
  if (good)
    return made;
  json_decref(made);
  return NULL;
}

static json_t *put_point(const pc_point *point) {
  json_t *pair = json_array();
  return finish(pair, append(pair, pc_shard_number(point->x_m)) && append(pair, pc_shard_number(point->y_m)));
}

static json_t *put_outline(const pc_ring *ring) {
  json_t *list = json_array();
  bool good = list != NULL;
  for (size_t i = 0; i < ring->count && good; i++)
    good = append(list, put_point(&ring->points[i]));
  return finish(list, good);
}

static json_t *put_names(const pc_names *names) {
  json_t *list = json_array();
  bool good = list != NULL;
  for (size_t i = 0; i < names->count && good; i++)
    good = append(list, json_string(names->items[i].text));
  return finish(list, good);
}

static json_t *put_depths(const pc_depths *depths) {
  json_t *list = json_array();
  bool good = list != NULL;
  for (size_t i = 0; i < depths->count && good; i++)
    good = append(list, pc_shard_number(depths->items_m[i]));
  return finish(list, good);
}

static json_t *put_counts(const pc_counts *counts) {
  json_t *list = json_array();
  bool good = list != NULL;
  for (size_t i = 0; i < counts->count && good; i++)
    good = append(list, json_integer(counts->items[i]));
  return finish(list, good);
}

static json_t *put_parts(const pc_part *part, const char *items, size_t count) {
  json_t *list = json_array();
  bool good = list != NULL;
  for (size_t i = 0; i < count && good; i++)
    good = append(list, pc_shard_put_part(part, items + i * part->size));
  return finish(list, good);
}

static json_t *put_origin(const pc_site *site) {
  const pc_point origin = {site->origin_lon_deg, site->origin_lat_deg};
  return site->has_origin ? put_point(&origin) : json_null();
}

static json_t *put_field(const pc_field *field, const void *object) {
  const void *value = at(object, field->offset);
  double number;
  int integer;
  switch (field->kind) {
  case PC_FIELD_QUANTITY:
    if (field->word && *(const bool *)at(object, field->word_offset))
      return json_string(field->word);
    memcpy(&number, value, sizeof number);
    return pc_shard_number(number);
  case PC_FIELD_INTEGER:
  case PC_FIELD_CHOICE:
    memcpy(&integer, value, sizeof integer);
    return json_integer(integer);
  case PC_FIELD_NAME:
    return json_string(((const pc_name *)value)->text);
  case PC_FIELD_FLAG:
    return json_boolean(*(const bool *)value);
  }
  return NULL;
}

static bool is_stored(const pc_member *member) {
  return member->shape != PC_SHAPE_VERSION && member->shape != PC_SHAPE_UNITS &&
         member->shape != PC_SHAPE_FILE;
}

/* A start that is not given is left out. */
static bool is_given(const pc_member *member, const void *object) {
  return member->shape != PC_SHAPE_CLOCK || ((const pc_clock *)at(object, member->offset))->given;
}

static json_t *put_member(const pc_member *member, const void *object) {
  const void *value = at(object, member->offset);
  const char *items;
  size_t count;
  switch (member->shape) {
  case PC_SHAPE_PART:
    return pc_shard_put_part(member->part, value);
  case PC_SHAPE_PARTS:
    memcpy(&items, value, sizeof items);
    memcpy(&count, at(object, member->count_offset), sizeof count);
    return put_parts(member->part, items, count);
  case PC_SHAPE_OUTLINE:
    return put_outline(value);
  case PC_SHAPE_POINT:
    if (member->flag_offset != PC_NO_FLAG && !*(const bool *)at(object, member->flag_offset))
      return json_null();
    return put_point(value);
  case PC_SHAPE_NAMES:
    return put_names(value);
  case PC_SHAPE_DEPTHS:
    return put_depths(value);
  case PC_SHAPE_COUNTS:
    return put_counts(value);
  case PC_SHAPE_ORIGIN:
    return put_origin(value);
  case PC_SHAPE_CLOCK:
    return json_string(pc_clock_show(value, 0).text);
  case PC_SHAPE_VERSION:
  case PC_SHAPE_UNITS:
  case PC_SHAPE_FILE:
    break;
  }
  return NULL;
}

json_t *pc_shard_put_part(const pc_part *part, const void *object) {
  json_t *map = json_object();
  bool good = map != NULL;
  for (size_t i = 0; part->fields && i < part->fields->count && good; i++) {
    const pc_field *field = &part->fields->items[i];
    good = json_object_set_new(map, field->key, put_field(field, object)) == 0;
  }
  for (const pc_member *m = part->members; m && m->key && good; m++)
    if (is_stored(m) && is_given(m, object))
      good = json_object_set_new(map, m->key, put_member(m, object)) == 0;
  return finish(map, good);
}

/* ---- reading ---- */

static bool take_point(const json_t *from, pc_point *point) {
  return json_array_size(from) == 2 && pc_shard_take_number(json_array_get(from, 0), &point->x_m) &&
         pc_shard_take_number(json_array_get(from, 1), &point->y_m);
}

/* Zeroed room for the entries of a list, NULL for an empty one; false if it is no list or memory is short. */
static bool make_list(const json_t *from, size_t size, void **items, bool *no_memory) {
  size_t count = json_array_size(from);
  *items = count > 0 ? pc_alloc(count, size) : NULL;
  *no_memory |= count > 0 && !*items;
  return json_is_array(from) && (count == 0 || *items);
}

static bool take_outline(const json_t *from, pc_ring *ring, bool *no_memory) {
  void *points;
  bool good = make_list(from, sizeof *ring->points, &points, no_memory);
  ring->points = points;
  ring->count = points ? json_array_size(from) : 0;
  for (size_t i = 0; i < ring->count && good; i++)
    good = take_point(json_array_get(from, i), &ring->points[i]);
  return good;
}

static bool take_name(const json_t *from, pc_name *name) {
  const char *text = json_string_value(from);
  return text && pc_name_set(name, text);
}

static bool take_long_name(const json_t *from, pc_name *name) {
  const char *text = json_string_value(from);
  return text && pc_name_set_long(name, text);
}

static bool take_names(const json_t *from, pc_names *names, bool *no_memory) {
  void *items;
  bool good = make_list(from, sizeof *names->items, &items, no_memory);
  names->items = items;
  names->count = items ? json_array_size(from) : 0;
  for (size_t i = 0; i < names->count && good; i++)
    good = take_long_name(json_array_get(from, i), &names->items[i]);
  return good;
}

static bool take_depths(const json_t *from, pc_depths *depths, bool *no_memory) {
  void *items;
  bool good = make_list(from, sizeof *depths->items_m, &items, no_memory);
  depths->items_m = items;
  depths->count = items ? json_array_size(from) : 0;
  for (size_t i = 0; i < depths->count && good; i++)
    good = pc_shard_take_number(json_array_get(from, i), &depths->items_m[i]);
  return good;
}

static bool take_integer(const json_t *from, int *value) {
  json_int_t number = json_integer_value(from);
  if (!json_is_integer(from) || number < INT_MIN || number > INT_MAX)
    return false;
  *value = (int)number;
  return true;
}

static bool take_counts(const json_t *from, pc_counts *counts, bool *no_memory) {
  void *items;
  bool good = make_list(from, sizeof *counts->items, &items, no_memory);
  counts->items = items;
  counts->count = items ? json_array_size(from) : 0;
  for (size_t i = 0; i < counts->count && good; i++)
    good = take_integer(json_array_get(from, i), &counts->items[i]);
  return good;
}

static bool take_parts(const pc_member *member, const json_t *from, void *object, bool *no_memory) {
  const pc_part *part = member->part;
  void *items;
  bool good = make_list(from, part->size, &items, no_memory);
  size_t count = items ? json_array_size(from) : 0;
  for (size_t i = 0; i < count && part->init; i++)
    part->init((char *)items + i * part->size);
  memcpy(room(object, member->offset), &items, sizeof items);
  memcpy(room(object, member->count_offset), &count, sizeof count);
  for (size_t i = 0; i < count && good; i++)
    good = pc_shard_take_part(part, json_array_get(from, i), (char *)items + i * part->size, no_memory);
  return good;
}

static bool take_origin(const json_t *from, pc_site *site) {
  pc_point origin = {0, 0};
  if (json_is_null(from))
    return true;
  site->has_origin = take_point(from, &origin);
  site->origin_lon_deg = origin.x_m;
  site->origin_lat_deg = origin.y_m;
  return site->has_origin;
}

static bool take_clock(const json_t *from, pc_clock *clock) {
  const char *text = json_string_value(from);
  return !from || (text && pc_clock_parse(text, clock, NULL) == PC_OK);
}

static bool take_choice(const pc_field *field, const json_t *from, int *value) {
  int count = 0;
  while (field->choices[count])
    count++;
  return take_integer(from, value) && *value >= 0 && *value < count;
}

static bool take_field(const pc_field *field, const json_t *from, void *object) {
  void *value = room(object, field->offset);
  const char *word = json_string_value(from);
  bool is_word;
  switch (field->kind) {
  case PC_FIELD_QUANTITY:
    is_word = field->word && word && strcmp(word, field->word) == 0;
    if (field->word)
      *(bool *)room(object, field->word_offset) = is_word;
    return is_word || pc_shard_take_number(from, value);
  case PC_FIELD_INTEGER:
    return take_integer(from, value);
  case PC_FIELD_CHOICE:
    return take_choice(field, from, value);
  case PC_FIELD_NAME:
    return take_name(from, value);
  case PC_FIELD_FLAG:
    *(bool *)value = json_is_true(from);
    return json_is_boolean(from);
  }
  return false;
}

static bool take_member(const pc_member *member, const json_t *from, void *object, bool *no_memory) {
  void *value = room(object, member->offset);
  switch (member->shape) {
  case PC_SHAPE_PART:
    return pc_shard_take_part(member->part, from, value, no_memory);
  case PC_SHAPE_PARTS:
    return take_parts(member, from, object, no_memory);
  case PC_SHAPE_OUTLINE:
    return take_outline(from, value, no_memory);
  case PC_SHAPE_POINT:
    if (member->flag_offset == PC_NO_FLAG)
      return take_point(from, value);
    *(bool *)room(object, member->flag_offset) = !json_is_null(from);
    return json_is_null(from) || take_point(from, value);
  case PC_SHAPE_NAMES:
    return take_names(from, value, no_memory);
  case PC_SHAPE_DEPTHS:
    return take_depths(from, value, no_memory);
  case PC_SHAPE_COUNTS:
    return take_counts(from, value, no_memory);
  case PC_SHAPE_ORIGIN:
    return take_origin(from, value);
  case PC_SHAPE_CLOCK:
    return take_clock(from, value);
  case PC_SHAPE_VERSION:
  case PC_SHAPE_UNITS:
  case PC_SHAPE_FILE:
    break;
  }
  return false;
}

bool pc_shard_take_part(const pc_part *part, const json_t *from, void *object, bool *no_memory) {
  bool good = json_is_object(from);
  for (size_t i = 0; part->fields && i < part->fields->count && good; i++) {
    const pc_field *field = &part->fields->items[i];
    good = take_field(field, json_object_get(from, field->key), object);
  }
  for (const pc_member *m = part->members; m && m->key && good; m++)
    if (is_stored(m))
      good = take_member(m, json_object_get(from, m->key), object, no_memory);
  return good;
}
