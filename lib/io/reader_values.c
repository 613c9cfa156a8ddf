// SPDX-License-Identifier: GPL-3.0-or-later
/* Single values: quantities, integers, names, choices, flags, outlines, points, lists of names and of depths.
 */
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/reader.h"

const char *pc_node_shown(const pc_node *node, pc_name *room) {
  *room = pc_name_of(node->text);
  return room->text;
}

/* A scalar with something in it; else a fault. */
static bool expect_value(pc_reader *reader, const pc_node *node, const char *what) {
  if (node->faulty || !pc_reader_expect(reader, node, PC_NODE_SCALAR, what))
    return false;
  if (!pc_node_is_empty(node))
    return true;
  (void)pc_reader_fault(reader, node, PC_AT_KEY, PC_ERR_MISSING,
                        "has no value: write %s, or leave the key out", what);
  return false;
}

const char *pc_reader_text(pc_reader *reader, const pc_node *node, const char *what) {
  return expect_value(reader, node, what) ? node->text : NULL;
}

/* A clock time a little before the start means nearly a day after it, which is seldom meant. How long a night
 * of work may be is common practice, no source. */
static void caution_late(pc_reader *reader, const pc_node *node, const char *path, double after_s) {
  const double long_s = 16 * 3600.0, day_s = 24 * 3600.0;
  if (after_s < long_s || strchr(node->text, '+')) /* with "+1 day" it is meant */
    return;
  pc_name room;
  char message[PC_MESSAGE_MAX];
  const char *time = pc_node_shown(node, &room);
  pc_shown after = pc_show(after_s, PC_DIM_TIME, reader->faults->units, 4);
  bool next_day = reader->clock.minutes * 60.0 + after_s >= day_s; /* "+1 day" counts midnights */
  snprintf(message, sizeof message,
           "\"%.40s\" is %.40s after the start at %.40s; write \"%.40s%s\" if that is meant", time,
           after.text, pc_clock_show(&reader->clock, 0).text, next_day ? time : after.text,
           next_day ? " +1 day" : "");
  pc_reader_caution(reader, node, path, message);
}

/* A clock time, where a time after the start is due. */
static void read_moment(pc_reader *reader, const pc_node *node, const pc_field *field, double *value) {
  pc_error error = {0};
  char path[PC_KEY_MAX];
  pc_status status = pc_clock_read(&reader->clock, node->text, field->above_min, value, &error);
  (void)pc_node_path(node, path, sizeof path);
  if (status != PC_OK)
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, status, "%s", error.message);
  else if (reader->clock_failed) /* what it means is not known */
    pc_reader_note(reader, path);
  else
    caution_late(reader, node, path, *value);
}

/* Where a length of time is due, a clock time is likely meant well, but it is none. */
static bool refuse_moment(pc_reader *reader, const pc_node *node, pc_dimension dimension) {
  pc_name room;
  if (dimension != PC_DIM_TIME || !pc_clock_meant(node->text))
    return false;
  (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_UNIT,
                        "\"%s\" is a clock time, but this is how long something lasts, e.g. %s",
                        pc_node_shown(node, &room), pc_dimension_example(dimension));
  return true;
}

/* `word`: what else may stand there, for messages; NULL: nothing. */
static bool read_quantity(pc_reader *reader, const pc_node *node, pc_dimension dimension, const char *word,
                          double *value) {
  char what[80];
  const char *name = pc_dimension_name(dimension);
  snprintf(what, sizeof what, "%s %s, e.g. %s", *name == 'a' ? "an" : "a", name,
           pc_dimension_example(dimension));
  if (!expect_value(reader, node, what))
    return false;
  pc_error error = {0};
  if (refuse_moment(reader, node, dimension))
    return false;
  if (pc_units_parse(node->text, dimension, value, &error) != PC_OK) {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, error.status, "%s%s%s", error.message,
                          word ? ", or " : "", word ? word : "");
    return false;
  }
  pc_reader_note_unit(reader, node, dimension);
  if (dimension != PC_DIM_SHARE || !(*value > 1) || strchr(node->text, '%'))
    return true;
  pc_name room;
  (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_RANGE,
                        "\"%s\" is a share: write it as a number up to 1, or in percent, \"%s %%\"",
                        pc_node_shown(node, &room), room.text);
  return false;
}

static bool read_integer(pc_reader *reader, const pc_node *node, const char *range, int *value) {
  if (!expect_value(reader, node, "a whole number"))
    return false;
  const char *at = node->text;
  bool negative = *at == '-';
  at += *at == '-' || *at == '+';
  long long read = 0;
  bool good = *at != '\0';
  for (; *at && good; at++) {
    good = *at >= '0' && *at <= '9' && read <= INT_MAX;
    read = good ? read * 10 + (*at - '0') : read;
  }
  if (good && read <= INT_MAX) {
    *value = negative ? -(int)read : (int)read;
    return true;
  }
  pc_name room;
  (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX, "\"%s\" must be a whole number: %s",
                        pc_node_shown(node, &room), range);
  return false;
}

/* `listed`: what a list names may be made of several names. */
static bool read_name(pc_reader *reader, const pc_node *node, bool listed, pc_name *name) {
  if (!expect_value(reader, node, "a name"))
    return false;
  if (node->text[0] == '\0')
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_MISSING, "is an empty name");
  else if (!(listed ? pc_name_set_long(name, node->text) : pc_name_set(name, node->text)))
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_LIMIT, "is longer than a name may be: %d bytes",
                          (listed ? (int)PC_NAME_ROOM : (int)PC_NAME_MAX) - 1);
  else
    return true;
  return false;
}

static void read_choice(pc_reader *reader, const pc_node *node, const pc_field *field, int *value) {
  char what[PC_MESSAGE_MAX / 2];
  (void)pc_field_print_range(field, reader->faults->units, what, sizeof what);
  if (!expect_value(reader, node, what))
    return;
  size_t count = 0;
  for (; field->choices[count]; count++) {
    if (strcmp(node->text, field->choices[count]) == 0) {
      *value = (int)count;
      return;
    }
  }
  const char *near = pc_nearest_word(node->text, field->choices, count);
  pc_name room;
  (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_RANGE, "\"%s\" is not %s%s%s%s",
                        pc_node_shown(node, &room), what, near ? "; did you mean \"" : "", near ? near : "",
                        near ? "\"?" : "");
}

static void read_flag(pc_reader *reader, const pc_node *node, bool *value) {
  if (!expect_value(reader, node, "true or false"))
    return;
  pc_name room;
  if (strcmp(node->text, "true") == 0 || strcmp(node->text, "yes") == 0)
    *value = true;
  else if (strcmp(node->text, "false") == 0 || strcmp(node->text, "no") == 0)
    *value = false;
  else
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX, "\"%s\" must be true or false",
                          pc_node_shown(node, &room));
}

/* A quantity that a word may stand for. */
static void read_quantity_or_word(pc_reader *reader, const pc_node *node, const pc_field *field,
                                  void *object) {
  bool *chosen = (bool *)(void *)((char *)object + field->word_offset);
  *chosen =
      node->kind == PC_NODE_SCALAR && !node->faulty && node->text && strcmp(node->text, field->word) == 0;
  if (!*chosen)
    (void)read_quantity(reader, node, field->dimension, field->word,
                        (double *)(void *)((char *)object + field->offset));
}

/* What else may stand where a time after the start is due. */
static const char *moment_word(const pc_reader *reader, const pc_field *field) {
  if (!field->moment)
    return NULL;
  return reader->clock.given ? "a clock time, \"05:30\"" : "with starts_at a clock time, \"05:30\"";
}

void pc_reader_field(pc_reader *reader, const pc_node *node, const pc_field *field, void *object) {
  void *at = (char *)object + field->offset;
  char range[PC_MESSAGE_MAX / 2];
  switch (field->kind) {
  case PC_FIELD_QUANTITY:
    if (field->word)
      read_quantity_or_word(reader, node, field, object);
    else if (field->moment && !node->faulty && node->kind == PC_NODE_SCALAR && pc_clock_meant(node->text))
      read_moment(reader, node, field, at);
    else
      (void)read_quantity(reader, node, field->dimension, moment_word(reader, field), at);
    break;
  case PC_FIELD_INTEGER:
    (void)pc_field_print_range(field, reader->faults->units, range, sizeof range);
    (void)read_integer(reader, node, range, at);
    break;
  case PC_FIELD_NAME:
    (void)read_name(reader, node, false, at);
    break;
  case PC_FIELD_CHOICE:
    read_choice(reader, node, field, at);
    break;
  case PC_FIELD_FLAG:
    read_flag(reader, node, at);
    break;
  }
}

static bool read_coordinate(pc_reader *reader, const pc_node *node, double *value) {
  if (node->faulty || !pc_reader_expect(reader, node, PC_NODE_SCALAR, "a number"))
    return false;
  double read;
  if (pc_units_parse(node->text, PC_DIM_NUMBER, &read, NULL) == PC_OK) {
    *value = read * reader->unit_m;
    return true;
  }
  pc_name room;
  if (pc_units_parse(node->text, PC_DIM_LENGTH, &read, NULL) == PC_OK) {
    char path[PC_KEY_MAX];
    (void)pc_node_path(node, path, sizeof path);
    pc_reader_note(reader, path);
    if (reader->with_unit_count++ == 0)
      reader->with_unit = node;
  } else {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX, "\"%s\" must be a plain number",
                          pc_node_shown(node, &room));
  }
  return false;
}

void pc_reader_tell_units(pc_reader *reader) {
  pc_name room;
  char more[60] = "";
  if (reader->with_unit_count == 0)
    return;
  if (reader->with_unit_count > 1)
    snprintf(more, sizeof more, " (%zu more like it)", reader->with_unit_count - 1);
  (void)pc_reader_fault(reader, reader->with_unit, PC_AT_VALUE, PC_ERR_SYNTAX,
                        "\"%s\" must be a plain number: coordinates have no unit, site.units holds for "
                        "all%s",
                        pc_node_shown(reader->with_unit, &room), more);
}

bool pc_reader_point(pc_reader *reader, const pc_node *node, pc_point *point) {
  if (node->faulty || !pc_reader_expect(reader, node, PC_NODE_LIST, "a place as [x, y]"))
    return false;
  if (node->count != 2) {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX,
                          "a place has two coordinates, [x, y], not %zu", node->count);
    return false;
  }
  pc_point read;
  bool good = read_coordinate(reader, node->first, &read.x_m);
  good &= read_coordinate(reader, node->last, &read.y_m);
  if (good)
    *point = read;
  return good;
}

bool pc_reader_origin(pc_reader *reader, const pc_node *node, pc_site *site) {
  static const char what[] = "a place as [longitude, latitude]";
  static const double most[] = {180, 90};
  if (node->faulty || !pc_reader_expect(reader, node, PC_NODE_LIST, what))
    return false;
  if (node->count != 2) {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX, "needs %s, not %zu numbers", what,
                          node->count);
    return false;
  }
  double read[2] = {0, 0};
  bool good = true;
  const pc_node *child = node->first;
  for (size_t i = 0; i < 2; i++, child = child->next) {
    pc_name room;
    if (child->faulty || !pc_reader_expect(reader, child, PC_NODE_SCALAR, "a number of degrees")) {
      good = false;
    } else if (pc_units_parse(child->text, PC_DIM_NUMBER, &read[i], NULL) != PC_OK) {
      (void)pc_reader_fault(reader, child, PC_AT_VALUE, PC_ERR_SYNTAX,
                            "\"%s\" must be a plain number of degrees, with minus for west and south",
                            pc_node_shown(child, &room));
      good = false;
    } else if (!(fabs(read[i]) <= most[i])) {
      (void)pc_reader_fault(reader, child, PC_AT_VALUE, PC_ERR_RANGE,
                            "must be from -%.0f to %.0f degrees: %s", most[i], most[i],
                            "longitude first, then latitude");
      good = false;
    }
  }
  if (!good)
    return false;
  site->has_origin = true;
  site->origin_lon_deg = read[0];
  site->origin_lat_deg = read[1];
  return true;
}

void pc_reader_outline(pc_reader *reader, const pc_node *node, pc_ring *ring) {
  if (node->faulty || !pc_reader_expect(reader, node, PC_NODE_LIST, "a list of corners, [[x, y], [x, y], …]"))
    return;
  bool flat = node->count > 0;
  for (const pc_node *child = node->first; child; child = child->next)
    flat &= child->kind == PC_NODE_SCALAR && !child->faulty;
  if (flat) {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX,
                          "needs a pair in brackets for each corner, [[x, y], [x, y], …]");
    return;
  }
  pc_point *points = pc_alloc(node->count, sizeof *points);
  if (!points) {
    reader->no_memory = true;
    return;
  }
  size_t count = 0;
  for (const pc_node *child = node->first; child; child = child->next)
    count += pc_reader_point(reader, child, &points[count]);
  /* People often close an outline by hand; the library's rings do not repeat the first corner. */
  if (count > 3 && points[0].x_m == points[count - 1].x_m && points[0].y_m == points[count - 1].y_m)
    count--;
  free(ring->points);
  *ring = (pc_ring){.points = points, .count = count};
}

void pc_reader_names(pc_reader *reader, const pc_node *node, pc_names *names) {
  bool single = node->kind == PC_NODE_SCALAR;
  if (node->faulty || (single && !expect_value(reader, node, "a name or a list of names")) ||
      (!single && !pc_reader_expect(reader, node, PC_NODE_LIST, "a name or a list of names")))
    return;
  size_t count = single ? 1 : node->count;
  pc_name *items = pc_alloc(count, sizeof *items);
  if (!items) {
    reader->no_memory = true;
    return;
  }
  const pc_node *child = single ? node : node->first;
  for (size_t i = 0; i < count; i++, child = child->next)
    (void)read_name(reader, child, true, &items[i]);
  free(names->items);
  *names = (pc_names){.items = items, .count = count};
}

void pc_reader_depths(pc_reader *reader, const pc_node *node, pc_depths *depths) {
  bool single = node->kind == PC_NODE_SCALAR;
  if (node->faulty ||
      (!single && !pc_reader_expect(reader, node, PC_NODE_LIST, "a depth or a list of depths")))
    return;
  size_t count = single ? 1 : node->count;
  double *items = pc_alloc(count, sizeof *items);
  if (!items) {
    reader->no_memory = true;
    return;
  }
  const pc_node *child = single ? node : node->first;
  for (size_t i = 0; i < count; i++, child = child->next)
    (void)read_quantity(reader, child, PC_DIM_LENGTH, NULL, &items[i]);
  free(depths->items_m);
  *depths = (pc_depths){.items_m = items, .count = count};
}

/* "1..6": both ends, or false. */
static bool read_count_range(const char *text, int *first, int *last) {
  const char *dots = strstr(text, "..");
  if (!dots)
    return false;
  int *ends[] = {first, last};
  const char *parts[] = {text, dots + 2};
  for (size_t i = 0; i < 2; i++) {
    size_t length = strspn(parts[i], "0123456789");
    if (length == 0 || length > 4 || parts[i] + length != (i == 0 ? dots : parts[i] + strlen(parts[i])))
      return false;
    *ends[i] = (int)strtol(parts[i], NULL, 10);
  }
  return *first <= *last;
}

void pc_reader_counts(pc_reader *reader, const pc_node *node, pc_counts *counts) {
  static const char what[] = "whole numbers, such as 3, [1, 2, 4] or 1..6";
  bool single = node->kind == PC_NODE_SCALAR;
  if (node->faulty || (single && !expect_value(reader, node, what)) ||
      (!single && !pc_reader_expect(reader, node, PC_NODE_LIST, what)))
    return;
  int first = 0, last = 0;
  bool range = single && strstr(node->text, "..");
  if (range && !read_count_range(node->text, &first, &last)) {
    pc_name room;
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_SYNTAX,
                          "\"%s\" must be a range from low to high, such as 1..6, within 1..%d",
                          pc_node_shown(node, &room), (int)PC_CREW_MAX);
    return;
  }
  size_t count = range ? (size_t)(last - first) + 1 : single ? 1 : node->count;
  int *items = pc_alloc(count, sizeof *items);
  if (!items) {
    reader->no_memory = true;
    return;
  }
  char range_text[40];
  snprintf(range_text, sizeof range_text, "1 … %d", (int)PC_CREW_MAX);
  const pc_node *child = single ? node : node->first;
  for (size_t i = 0; i < count; i++, child = range ? child : child->next) {
    if (range)
      items[i] = first + (int)i;
    else
      (void)read_integer(reader, child, range_text, &items[i]);
  }
  free(counts->items);
  *counts = (pc_counts){.items = items, .count = count};
}

void pc_reader_clock(pc_reader *reader, const pc_node *node) {
  pc_error error = {0};
  reader->clock_failed = true;
  if (expect_value(reader, node, "a time of day, e.g. \"22:30\" or \"10:30 pm\"")) {
    pc_status status = pc_clock_parse(node->text, &reader->clock, &error);
    reader->clock_failed = status != PC_OK;
    if (status != PC_OK)
      (void)pc_reader_fault(reader, node, PC_AT_VALUE, status, "%s", error.message);
  }
  reader->clock.given = true;
}

void pc_reader_units(pc_reader *reader, const pc_node *node) {
  if (!expect_value(reader, node, "m or ft"))
    return;
  pc_name room;
  if (strcmp(node->text, "ft") == 0)
    reader->unit_m = 0.3048; /* exact: NIST SP 811, appendix B */
  else if (strcmp(node->text, "m") == 0)
    reader->unit_m = 1;
  else
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_UNIT, "\"%s\" must be m or ft",
                          pc_node_shown(node, &room));
}

void pc_reader_version(pc_reader *reader, const pc_node *node) {
  int version = PC_FORMAT_VERSION;
  if (read_integer(reader, node, "1", &version) && version != PC_FORMAT_VERSION)
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_RANGE,
                          "this file is of format %d; this program reads format %d only", version,
                          PC_FORMAT_VERSION);
}
