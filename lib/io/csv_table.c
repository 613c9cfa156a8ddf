// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/csv_table.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/units.h"
#include "io/csv.h"
#include "io/tree_private.h"

/* ---- faults ---- */

static void push(pc_csv_table *t, int at, pc_status status, const char *key, const char *format,
                 va_list arguments) {
  char message[PC_MESSAGE_MAX];
  pc_error error;
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  (void)pc_error_set(&error, status, key, NULL, "%s", message);
  pc_error_place(&error, t->name, t->line, at);
  pc_tree_push_fault(t->faults, &error);
  t->failed = t->row_failed = true;
}

static int column_of(const pc_csv_table *t, const char *name) {
  int c = 0;
  while (c < t->reader->column_count && strcmp(name, t->reader->columns[c]) != 0)
    c++;
  return c;
}

const char *pc_csv_called(const pc_csv_table *t, int column) {
  return t->heading[column] ? t->heading[column] : t->reader->columns[column];
}

/* Where a column has its field; 0: it is not there. */
static int place_of(const pc_csv_table *t, int column) {
  return pc_csv_has(t, column) ? t->fields[t->place[column]].at : 0;
}

void pc_csv_fault(pc_csv_table *t, pc_status status, const char *key, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  int column = key ? column_of(t, key) : t->reader->column_count;
  if (column < t->reader->column_count)
    push(t, place_of(t, column), status, pc_csv_called(t, column), format, arguments);
  else
    push(t, 0, status, key, format, arguments);
  va_end(arguments);
}

void pc_csv_fault_in(pc_csv_table *t, int column, pc_status status, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  push(t, place_of(t, column), status, pc_csv_called(t, column), format, arguments);
  va_end(arguments);
}

static void fault_at(pc_csv_table *t, int at, const char *key, const char *format, ...) PC_PRINTF(4, 5);

static void fault_at(pc_csv_table *t, int at, const char *key, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  push(t, at, key ? PC_ERR_KEY : PC_ERR_SYNTAX, key, format, arguments);
  va_end(arguments);
}

/* ---- fields of a line ---- */

static int characters(const char *from, const char *to) {
  int count = 0;
  for (; from < to; from++)
    count += (*from & 0xC0) != 0x80;
  return count;
}

/* Where the field that begins here ends: at a comma or the end of the line; NULL: a quote is open. */
static char *field_end(char *at) {
  at += strspn(at, " \t");
  if (*at != '"')
    return at + strcspn(at, ",");
  for (at++; *at; at++) {
    if (*at == '"' && at[1] != '"')
      return at + 1 + strcspn(at + 1, ",");
    at += *at == '"';
  }
  return NULL;
}

/* Takes quotes and blanks off a terminated field. */
static char *strip(char *text) {
  text += strspn(text, " \t");
  size_t length = strlen(text);
  while (length > 0 && strchr(" \t", text[length - 1]))
    text[--length] = '\0';
  if (*text != '"')
    return text;
  char *to = text;
  for (const char *from = text + 1; *from && (*from != '"' || from[1] == '"'); from++) {
    from += *from == '"';
    *to++ = *from;
  }
  *to = '\0';
  return text;
}

/* Number of fields; 0 after a fault. */
static size_t split(pc_csv_table *t, char *line) {
  size_t count = 0;
  int at = 1;
  for (char *from = line; from; count++) {
    if (count == PC_CSV_FIELDS_MAX) {
      pc_csv_fault(t, PC_ERR_LIMIT, NULL, "has more than %d columns", (int)PC_CSV_FIELDS_MAX);
      return 0;
    }
    char *end = field_end(from);
    if (!end) {
      fault_at(t, at, NULL, "a quote is opened but not closed on this line");
      return 0;
    }
    bool more = *end == ',';
    int next = at + characters(from, end) + 1;
    *end = '\0';
    t->fields[count] = (pc_csv_field){strip(from), at};
    from = more ? end + 1 : NULL;
    at = next;
  }
  return count;
}

bool pc_csv_has(const pc_csv_table *t, int column) {
  return t->place[column] < PC_CSV_FIELDS_MAX;
}

const char *pc_csv_text(const pc_csv_table *t, int column) {
  return t->fields[t->place[column]].text;
}

static double to_own_unit(pc_csv_table *t, int column, double value) {
  const pc_csv_measure *measure = &t->reader->measures(t)[column];
  double own = pc_units_change(value, measure->dimension, t->unit[column], measure->unit);
  if (isfinite(own))
    return own;
  pc_csv_fault_in(t, column, PC_ERR_RANGE, "\"%.40s\" is too large a number", pc_csv_text(t, column));
  return NAN;
}

double pc_csv_number(pc_csv_table *t, int column, bool optional) {
  double value;
  if (!pc_csv_has(t, column))
    return NAN;
  const char *text = pc_csv_text(t, column);
  if (!*text && optional)
    return NAN;
  if (*text && pc_units_parse(text, PC_DIM_NUMBER, &value, NULL) == PC_OK)
    return t->heading[column] ? to_own_unit(t, column, value) : value;
  if (*text)
    pc_csv_fault_in(t, column, PC_ERR_SYNTAX, "\"%.40s\" must be a plain number", text);
  else
    pc_csv_fault_in(t, column, PC_ERR_MISSING, "has no value on this line");
  return NAN;
}

/* ---- lines ---- */

static bool is_silent(const pc_csv_table *t, const char *name) {
  for (const char *const *word = t->reader->silent; word && *word; word++)
    if (strcmp(*word, name) == 0)
      return true;
  return false;
}

/* Length of a column's name without its unit: 8 of distance_m, all of rate. */
static size_t stem_of(const char *column, const char *unit) {
  const char *end = strrchr(column, '_');
  return end && strcmp(end + 1, unit) == 0 ? (size_t)(end - column) : strlen(column);
}

/* Capitals count as small letters; ASCII only: tolower() would depend on the locale. */
static bool same_letters(const char *text, const char *small) {
  for (; *text && *small; text++, small++)
    if ((*text >= 'A' && *text <= 'Z' ? *text - 'A' + 'a' : *text) != *small)
      return false;
  return *text == *small;
}

/* A last word that marks a number, a name or a remark, as tables have them that some program wrote: "load_no"
 * is no load in another unit. Chosen here, no source; none of them is a unit. */
static bool is_label(const char *name) {
  static const char *const marks[] = {"no",   "nr",   "num",  "number", "id",      "index",  "count",
                                      "name", "type", "note", "notes",  "comment", "remark", "source"};
  const char *last = strrchr(name, '_');
  for (size_t i = 0; last && i < sizeof marks / sizeof marks[0]; i++)
    if (same_letters(last + 1, marks[i]))
      return true;
  return false;
}

/* Adds the column that is missing and is called the same but for its unit, if there is one: distance_m of
 * distance, or wind of wind_gust. */
static void add_wanted(const pc_csv_table *t, const char *name, pc_text *out) {
  static const char *const words[][2] = {{"m", "metres"}, {"s", "seconds"}, {"kg", "kilograms"}};
  const pc_csv_measure *measures = t->reader->measures ? t->reader->measures(t) : NULL;
  for (int c = 0; c < t->reader->column_count; c++) {
    const char *column = t->reader->columns[c], *unit = measures ? measures[c].unit : NULL;
    for (size_t w = 0; !unit && w < sizeof words / sizeof words[0]; w++)
      unit = stem_of(column, words[w][0]) < strlen(column) ? words[w][0] : NULL;
    size_t length = unit ? stem_of(column, unit) : strlen(column);
    if (pc_csv_has(t, c) || is_label(name) || strncmp(name, column, length) != 0 ||
        (name[length] && name[length] != '_'))
      continue;
    for (size_t w = 0; unit && w < sizeof words / sizeof words[0]; w++)
      unit = strcmp(unit, words[w][0]) == 0 ? words[w][1] : unit;
    pc_text_addf(out, " (wanted as %s%s%s)", column, unit ? ", in " : "", unit ? unit : "");
    return;
  }
}

static bool is_no_unit(const pc_csv_table *t, const char *word) {
  if (*word >= '0' && *word <= '9') /* wind_10m: a height, say */
    return true;
  for (const char *const *other = t->reader->no_units; other && *other; other++)
    if (strncmp(word, *other, strlen(*other)) == 0 && strchr("_", word[strlen(*other)]))
      return true;
  return false;
}

/* The column that a name with another unit stands for, "distance_ft" for distance_m, and that unit; else
 * column_count. */
static int measure_of(const pc_csv_table *t, const pc_csv_measure *measures, const char *name,
                      const char **unit) {
  int c = 0;
  for (; c < t->reader->column_count; c++) {
    const char *column = t->reader->columns[c];
    size_t stem = measures[c].unit ? stem_of(column, measures[c].unit) : 0;
    if (stem == 0 || strncmp(name, column, stem) != 0 || name[stem] != '_' || !name[stem + 1])
      continue;
    *unit = name + stem + 1;
    if (column_of(t, name) == t->reader->column_count && !is_label(name) && !is_no_unit(t, *unit))
      break;
  }
  return c;
}

static char plain_letter(char letter) {
  return letter == '_' ? '/' : (char)(letter >= 'A' && letter <= 'Z' ? letter + ('a' - 'A') : letter);
}

/* Finds "in_h" among "mm/h cm/h in/h" and puts it down as it is called there; false: it is not there. */
static bool find_unit(pc_dimension dimension, const char *word, char *unit) {
  for (const char *at = pc_dimension_units(dimension); *at; at += strspn(at, " ")) {
    size_t length = strcspn(at, " "), same = 0;
    while (same < length && plain_letter(word[same]) == plain_letter(at[same]))
      same++;
    if (same == length && !word[same] && length < PC_CSV_UNIT_MAX) {
      memcpy(unit, at, length);
      unit[length] = '\0';
      return true;
    }
    at += length;
  }
  return false;
}

/* Columns in other units take the place of those that are not there. */
static void find_measures(pc_csv_table *t) {
  const pc_csv_measure *measures = t->reader->measures ? t->reader->measures(t) : NULL;
  for (size_t i = 0; measures && i < t->width; i++) {
    const char *unit = NULL;
    const pc_csv_field *f = &t->fields[i];
    int c = measure_of(t, measures, f->text, &unit);
    if (c == t->reader->column_count || (pc_csv_has(t, c) && !t->heading[c]))
      continue; /* beside the column itself it is one of those that are not used */
    if (t->heading[c]) {
      fault_at(t, f->at, f->text, "stands beside %.40s; give one of the two", t->heading[c]);
      continue;
    }
    if (!find_unit(measures[c].dimension, unit, t->unit[c])) {
      fault_at(t, f->at, f->text, "%.40s is not a unit of %s; allowed: %s", unit,
               pc_dimension_name(measures[c].dimension), pc_dimension_units(measures[c].dimension));
      continue;
    }
    t->heading[c] = f->text;
    t->place[c] = i;
  }
}

static void tell_unused(pc_csv_table *t) {
  pc_faults found = {0};
  pc_text unused = {0};
  for (size_t i = 0; i < t->width; i++) {
    const char *name = t->fields[i].text;
    bool used = false;
    for (int c = 0; c < t->reader->column_count; c++)
      used |= t->heading[c] == name;
    if (used || column_of(t, name) < t->reader->column_count || is_silent(t, name))
      continue;
    pc_text_addf(&unused, "%s%.40s", unused.length ? ", " : "", name);
    add_wanted(t, name, &unused);
  }
  t->no_memory |= unused.failed;
  if (unused.data && !unused.failed)
    pc_faults_caution(&found, "", "columns that are not used: %.200s", unused.data);
  t->no_memory |= pc_tree_push_found(t->faults, &found, t->name, t->line) > 0;
  pc_text_free(&unused);
}

static void read_header(pc_csv_table *t, char *line) {
  const pc_csv_reader *reader = t->reader;
  t->width = split(t, line);
  const char *other = t->width == 1 ? strpbrk(t->fields[0].text, ";\t") : NULL;
  if (other) {
    pc_csv_fault(t, PC_ERR_SYNTAX, NULL,
                 "has %s where commas have to separate the columns (numbers then need decimal points)",
                 *other == ';' ? "semicolons" : "tabs");
    return;
  }
  for (size_t i = 0; i < t->width; i++) {
    const pc_csv_field *f = &t->fields[i];
    int c = column_of(t, f->text);
    if (c < reader->column_count && pc_csv_has(t, c))
      fault_at(t, f->at, reader->columns[c], "is the name of two columns");
    else if (c < reader->column_count)
      t->place[c] = i;
  }
  find_measures(t);
  if (t->width > 0 && !t->failed)
    reader->check(t);
  if (!t->failed)
    tell_unused(t);
}

static void read_row(pc_csv_table *t, char *line) {
  t->row_failed = false;
  size_t width = split(t, line);
  if (width > 0 && width != t->width)
    pc_csv_fault(t, PC_ERR_SYNTAX, NULL, "has %zu fields where the first line names %zu columns", width,
                 t->width);
  if (!t->row_failed)
    t->reader->row(t);
}

static void read_lines(pc_csv_table *t, char *text) {
  bool header = false;
  for (char *line; (line = pc_csv_next_line(&text, &t->line));) {
    if (header) {
      read_row(t, line);
    } else {
      read_header(t, line);
      header = true;
      if (t->failed)
        return; /* without its columns nothing can be read */
    }
    if (t->no_memory || t->full)
      return;
  }
  t->line = 0;
  if (!header)
    pc_csv_fault(t, PC_ERR_MISSING, NULL,
                 "is empty: it needs a line with the names of the columns, then rows");
  else if (!t->failed && !t->reader->has_rows(t))
    pc_csv_fault(t, PC_ERR_MISSING, NULL, "has no rows below the names of the columns");
}

void pc_csv_table_read(pc_csv_table *t, const char *text, size_t length) {
  for (int c = 0; c < t->reader->column_count; c++)
    t->place[c] = PC_CSV_FIELDS_MAX;
  char *copy = pc_alloc(length + 1, 1);
  if (copy) {
    if (length > 0) /* else text may be NULL */
      memcpy(copy, text, length);
    if (strlen(copy) < length)
      pc_csv_fault(t, PC_ERR_SYNTAX, NULL, "is no text: it holds zero bytes");
    else
      read_lines(t, copy + (strncmp(copy, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0));
  }
  t->no_memory |= !copy;
  memset(t->heading, 0, sizeof t->heading); /* they lie in the copy */
  free(copy);
  t->line = 0;
}

pc_status pc_csv_table_end(const pc_csv_table *t, size_t before) {
  const pc_error *first = pc_faults_first(t->faults, before);
  pc_status status = first ? first->status : PC_OK;
  if (t->no_memory || (t->failed && status == PC_OK))
    status = pc_faults_add(t->faults, PC_ERR_MEMORY, NULL, NULL, "there is not enough memory to read %s",
                           t->reader->what);
  return status;
}
