// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/reader.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/tree_private.h"

void pc_reader_note(pc_reader *reader, const char *path) {
  void *slips = reader->slips;
  if (reader->slip_count > PC_TREE_FAULTS_MAX)
    return;
  if (pc_reserve(&slips, &reader->slip_capacity, reader->slip_count + 1, sizeof *reader->slips) != 0) {
    reader->no_memory = true;
    return;
  }
  reader->slips = slips;
  snprintf(reader->slips[reader->slip_count++].path, PC_KEY_MAX, "%s", path);
}

/* True if `path` is `top` or lies below it. */
static bool is_within(const char *path, const char *top) {
  size_t length = strlen(top);
  if (strncmp(path, top, length) != 0)
    return false;
  char next = path[length];
  return length == 0 || next == '\0' || next == '.' || next == '[';
}

bool pc_reader_is_noted(const pc_reader *reader, const char *path, pc_status status) {
  size_t length = strlen(path);
  for (size_t i = 0; i < reader->slip_count; i++) {
    const char *slip = reader->slips[i].path;
    if (is_within(path, slip))
      return true;
    /* What an entry of a list has wrong, the list has wrong; and what could not be read is not missing. */
    bool below = length > 0 && is_within(slip, path);
    if (below && (slip[length] == '[' || status == PC_ERR_MISSING))
      return true;
  }
  return false;
}

pc_status pc_reader_fault(pc_reader *reader, const pc_node *node, pc_node_place place, pc_status status,
                          const char *format, ...) {
  char message[2 * PC_MESSAGE_MAX], path[PC_KEY_MAX];
  va_list arguments;
  va_start(arguments, format);
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  va_end(arguments);
  (void)pc_node_path(node, path, sizeof path);
  pc_reader_note(reader, path);
  return pc_node_fault(node, place, reader->faults, status, "%s", message);
}

bool pc_reader_expect(pc_reader *reader, const pc_node *node, pc_node_kind kind, const char *what) {
  if (node->faulty || node->kind == kind)
    return node->kind == kind;
  pc_name room;
  if (node->kind != PC_NODE_SCALAR)
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX, "needs %s, not %s", what,
                          node->kind == PC_NODE_LIST ? "a list" : "a map");
  else if (pc_node_is_empty(node))
    (void)pc_reader_fault(reader, node, node->key ? PC_AT_KEY : PC_AT_VALUE, PC_ERR_MISSING,
                          "has nothing behind it: it needs %s", what);
  else
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX, "needs %s, not \"%s\"", what,
                          pc_node_shown(node, &room));
  return false;
}

/* Path of a key of a map, whether it is there or not. */
static void key_path(const pc_node *map, const char *key, char path[2 * PC_KEY_MAX]) {
  int length = pc_node_path(map, path, 2 * PC_KEY_MAX);
  size_t used = length > 0 && length < 2 * PC_KEY_MAX ? (size_t)length : 0;
  snprintf(path + used, 2 * PC_KEY_MAX - used, "%s%s", used ? "." : "", key);
}

/* A fault about a key that a map should have, told at the map; unless it is told already. */
static void check_given(pc_reader *reader, const pc_node *map, const char *key, const char *help) {
  char path[2 * PC_KEY_MAX];
  key_path(map, key, path);
  if (pc_node_get(map, key) || pc_reader_is_noted(reader, path, PC_ERR_MISSING))
    return;
  pc_error error;
  (void)pc_error_set(&error, PC_ERR_MISSING, path, NULL, "is required (%s)", help);
  pc_error_place(&error, map->file, map->line, map->column);
  pc_tree_push_fault(reader->faults, &error);
  pc_reader_note(reader, error.key);
}

enum { WORDS_MAX = 64 };

/* The keys that a map may have, `prefix` ("speeds.") deep in its part; for messages. */
typedef struct words {
  char room[WORDS_MAX][32];
  const char *items[WORDS_MAX];
  size_t count;
} words;

static void add_word(words *known, const char *word, size_t length) {
  for (size_t i = 0; i < known->count; i++)
    if (strncmp(known->items[i], word, length) == 0 && known->items[i][length] == '\0')
      return;
  if (known->count == WORDS_MAX || length >= sizeof known->room[0])
    return;
  memcpy(known->room[known->count], word, length);
  known->room[known->count][length] = '\0';
  known->items[known->count] = known->room[known->count];
  known->count++;
}

static void collect_words(words *known, const pc_part *part, const char *prefix) {
  known->count = 0;
  for (size_t i = 0; part->fields && i < part->fields->count; i++) {
    const char *key = part->fields->items[i].key;
    if (strncmp(key, prefix, strlen(prefix)) == 0)
      add_word(known, key + strlen(prefix), strcspn(key + strlen(prefix), "."));
  }
  for (const pc_member *m = part->members; !*prefix && m && m->key; m++)
    add_word(known, m->key, strlen(m->key));
}

/* Eats a word at the start of `text`, with or without its last s, and the blank or dash behind it. */
static const char *after_word(const char *text, const char *word, size_t length) {
  if (strncmp(text, word, length) != 0) {
    if (length < 2 || word[--length] != 's' || strncmp(text, word, length) != 0)
      return NULL;
  }
  text += length;
  return *text == '_' || *text == '-' || *text == ' ' ? text + 1 : text;
}

/* The field "speeds.push" that is meant by push_speed, speed_push and the like; NULL if there is none. */
static const char *meant_within(const pc_part *part, const char *key) {
  for (size_t i = 0; part->fields && i < part->fields->count; i++) {
    const char *field = part->fields->items[i].key, *dot = strchr(field, '.'), *rest;
    if (!dot || strchr(dot + 1, '.'))
      continue;
    size_t outer = (size_t)(dot - field), inner = strlen(dot + 1);
    if (((rest = after_word(key, dot + 1, inner)) && (rest = after_word(rest, field, outer)) && !*rest) ||
        ((rest = after_word(key, field, outer)) && (rest = after_word(rest, dot + 1, inner)) && !*rest))
      return field;
  }
  return NULL;
}

static void unknown_key(pc_reader *reader, const pc_node *node, const pc_part *part, const char *prefix) {
  const char *dot = strchr(node->key, '.');
  if (dot && !*prefix && part->fields && pc_fields_find(part->fields, node->key)) {
    (void)pc_reader_fault(reader, node, PC_AT_KEY, PC_ERR_KEY, "must be written as a map: \"%.*s: {%s: …}\"",
                          (int)(dot - node->key), node->key, dot + 1);
    return;
  }
  const char *within = *prefix ? NULL : meant_within(part, node->key);
  if (within) {
    char path[2 * PC_KEY_MAX];
    int outer = (int)strcspn(within, ".");
    (void)pc_reader_fault(reader, node, PC_AT_KEY, PC_ERR_KEY,
                          "is not a known key; did you mean \"%.*s: {%s: …}\"?", outer, within,
                          within + outer + 1);
    key_path(node->parent, within, path);
    pc_reader_note(reader, path);
    return;
  }
  words known;
  collect_words(&known, part, prefix);
  const char *near = pc_nearest_word(node->key, known.items, known.count);
  if (near) {
    (void)pc_reader_fault(reader, node, PC_AT_KEY, PC_ERR_KEY, "is not a known key; did you mean \"%s\"?",
                          near);
    /* What was meant is not missing as well. */
    char path[2 * PC_KEY_MAX];
    key_path(node->parent, near, path);
    if (!pc_node_get(node->parent, near))
      pc_reader_note(reader, path);
    return;
  }
  pc_text list = {0};
  for (size_t i = 0; i < known.count; i++)
    pc_text_addf(&list, "%s%s", i ? ", " : "", known.items[i]);
  (void)pc_reader_fault(reader, node, PC_AT_KEY, PC_ERR_KEY, "is not a known key; known here are: %s",
                        list.data ? list.data : "");
  pc_text_free(&list);
}

static pc_name *entry_name(const pc_part *part, char *object) {
  return (pc_name *)(void *)(object + part->name_offset);
}

static void give_name(const pc_part *part, char *object, size_t index) {
  if (!part->usual_name)
    return;
  pc_name *name = entry_name(part, object);
  if (name->text[0] == '\0')
    snprintf(name->text, sizeof name->text, "%s %zu", part->usual_name, index + 1);
}

/* Entries that cannot be read keep their place with defaults, so that paths in later faults stay right. */
static void read_parts(pc_reader *reader, const pc_node *list, const pc_member *member, char *object) {
  char what[40];
  snprintf(what, sizeof what, "a list, each entry with \"- \" in front");
  if (list->faulty || !pc_reader_expect(reader, list, PC_NODE_LIST, what))
    return;
  const pc_part *part = member->part;
  char *items = pc_alloc(list->count, part->size);
  if (!items) {
    reader->no_memory = true;
    return;
  }
  size_t index = 0;
  for (const pc_node *entry = list->first; entry; entry = entry->next, index++) {
    char *item = items + index * part->size;
    if (part->init)
      part->init(item);
    if (pc_reader_expect(reader, entry, PC_NODE_MAP, "a map of keys and values"))
      pc_reader_part(reader, entry, part, item);
    else if (part->usual_name) /* "- 16 ft" is likely meant as a name that others refer to */
      *entry_name(part, item) = pc_name_of(entry->text);
    give_name(part, item, index);
  }
  void *pointer = items;
  memcpy(object + member->offset, &pointer, sizeof pointer);
  memcpy(object + member->count_offset, &list->count, sizeof list->count);
}

static void read_member(pc_reader *reader, const pc_node *node, const pc_member *member, char *object) {
  void *at = object + member->offset;
  switch (member->shape) {
  case PC_SHAPE_VERSION:
    pc_reader_version(reader, node);
    break;
  case PC_SHAPE_UNITS: /* read already: coordinates and times may stand before it */
  case PC_SHAPE_CLOCK:
  case PC_SHAPE_FILE: /* read by itself */
    break;
  case PC_SHAPE_ORIGIN:
    (void)pc_reader_origin(reader, node, at);
    break;
  case PC_SHAPE_PART:
    if (pc_reader_expect(reader, node, PC_NODE_MAP, "a map of keys and values"))
      pc_reader_part(reader, node, member->part, at);
    break;
  case PC_SHAPE_PARTS:
    read_parts(reader, node, member, object);
    break;
  case PC_SHAPE_OUTLINE:
    pc_reader_outline(reader, node, at);
    break;
  case PC_SHAPE_POINT:
    if (pc_reader_point(reader, node, at) && member->flag_offset != PC_NO_FLAG)
      *(bool *)(object + member->flag_offset) = true;
    break;
  case PC_SHAPE_NAMES:
    if (member->some && node->kind == PC_NODE_LIST && node->count == 0)
      (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_RANGE,
                            "names none; give one at least, or leave the key out for all");
    else
      pc_reader_names(reader, node, at);
    break;
  case PC_SHAPE_DEPTHS:
    pc_reader_depths(reader, node, at);
    break;
  case PC_SHAPE_COUNTS:
    pc_reader_counts(reader, node, at);
    break;
  }
}

static bool has_prefix(const pc_fields *fields, const char *prefix) {
  for (size_t i = 0; fields && i < fields->count; i++)
    if (strncmp(fields->items[i].key, prefix, strlen(prefix)) == 0)
      return true;
  return false;
}

/* Fields whose key starts with `prefix`; a dot in a key makes a nested map. */
static void read_fields(pc_reader *reader, const pc_node *map, const pc_part *part, const char *prefix,
                        void *object) {
  for (const pc_node *child = map->first; child; child = child->next) {
    char key[PC_KEY_MAX];
    int length = snprintf(key, sizeof key - 1, "%s%s", prefix, child->key);
    bool fits = length > 0 && (size_t)length < sizeof key - 1 && !strchr(child->key, '.');
    const pc_field *field = fits && part->fields ? pc_fields_find(part->fields, key) : NULL;
    const pc_member *member = *prefix ? NULL : part->members;
    while (member && member->key && strcmp(member->key, child->key) != 0)
      member++;
    if (field) {
      pc_reader_field(reader, child, field, object);
    } else if (member && member->key) {
      read_member(reader, child, member, object);
    } else if (fits && has_prefix(part->fields, strcat(key, "."))) {
      if (pc_reader_expect(reader, child, PC_NODE_MAP, "a map of keys and values"))
        read_fields(reader, child, part, key, object);
    } else {
      unknown_key(reader, child, part, prefix);
    }
  }
}

/* Whether a field is needed cannot be told while the choice that decides it cannot be read. */
static void note_undecided(pc_reader *reader, const pc_node *map, const pc_part *part) {
  for (size_t i = 0; part->fields && i < part->fields->count; i++) {
    const pc_field *field = &part->fields->items[i];
    char path[2 * PC_KEY_MAX];
    if (!field->unless || pc_node_get(map, field->key))
      continue;
    key_path(map, field->unless, path);
    if (!pc_reader_is_noted(reader, path, PC_ERR_RANGE))
      continue;
    key_path(map, field->key, path);
    pc_reader_note(reader, path);
  }
}

/* Required choices and numbers have no value that means "not given", so only the file can tell. */
static void check_required(pc_reader *reader, const pc_node *map, const pc_part *part) {
  for (size_t i = 0; part->fields && i < part->fields->count; i++) {
    const pc_field *field = &part->fields->items[i];
    if (!field->required || field->fallback || field->kind == PC_FIELD_QUANTITY ||
        field->kind == PC_FIELD_NAME)
      continue;
    char what[PC_MESSAGE_MAX / 2];
    (void)pc_field_print_range(field, reader->faults->units, what, sizeof what);
    check_given(reader, map, field->key, what);
  }
  for (const pc_member *m = part->members; m && m->key; m++)
    if (m->required && !(m->or_file && reader->has_file))
      check_given(reader, map, m->key, m->help);
}

/* Things that are an outline or a point have to be one of them. */
static void check_one_place(pc_reader *reader, const pc_node *map, const pc_part *part) {
  const pc_member *point = part->members;
  while (point && point->key && strcmp(point->key, "at") != 0)
    point++;
  if (!point || !point->key)
    return;
  const pc_node *outline = pc_node_get(map, "outline"), *at = pc_node_get(map, "at");
  const pc_field *radius = pc_fields_find(part->fields, "radius");
  if (outline && at)
    (void)pc_reader_fault(reader, at, PC_AT_KEY, PC_ERR_KEY, "give an outline or a point `at`, not both");
  else if (!outline && !at)
    check_given(reader, map, "outline", "its corners in order, [[x, y], [x, y], …]; or a point, at: [x, y]");
  else if (at && radius)
    check_given(reader, map, "radius", radius->help);
}

void pc_reader_part(pc_reader *reader, const pc_node *map, const pc_part *part, void *object) {
  read_fields(reader, map, part, "", object);
  note_undecided(reader, map, part);
  check_required(reader, map, part);
  check_one_place(reader, map, part);
}

void pc_reader_over(pc_reader *reader, const pc_node *map, const pc_part *part, void *object) {
  read_fields(reader, map, part, "", object);
}

pc_status pc_reader_end(pc_reader *reader, size_t before) {
  const pc_error *first = pc_faults_first(reader->faults, before);
  pc_status status = first ? first->status : PC_OK;
  if (reader->no_memory || reader->faults->dropped > 0) { /* then there may be more faults than are told */
    pc_status memory =
        pc_faults_add(reader->faults, PC_ERR_MEMORY, NULL, NULL, "there is not enough memory to read this");
    status = status == PC_OK ? memory : status;
  }
  return status;
}
