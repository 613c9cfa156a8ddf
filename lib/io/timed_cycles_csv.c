// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/timed_cycles_csv.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/csv.h"
#include "io/tree_private.h"

enum { FIELDS_MAX = 64 };

typedef enum column {
  COLUMN_PHASE,
  COLUMN_DURATION,
  COLUMN_START,
  COLUMN_END,
  COLUMN_DISTANCE,
  COLUMN_MACHINE,
  COLUMN_DIRECTION,
  COLUMN_LOAD,
  COLUMN_X0,
  COLUMN_Y0,
  COLUMN_X1,
  COLUMN_Y1,
  COLUMN_COUNT
} column;

static const char *const column_names[] = {"phase",      "duration_s", "start_s",   "end_s",
                                           "distance_m", "machine",    "direction", "load_kg",
                                           "x0_m",       "y0_m",       "x1_m",      "y1_m"};
/* A trace has these, and a fit no use for them. */
static const char *const unused_names[] = {"replication", "cycle", "swath_m", "box", "zone"};

typedef struct field {
  char *text;
  int at; /* character in the line, from 1 */
} field;

typedef struct table {
  const char *name;
  pc_faults *faults;
  pc_timed *timed;
  int line;
  size_t place[COLUMN_COUNT]; /* of each column in a row; FIELDS_MAX: not there */
  size_t width;               /* fields in the header */
  field fields[FIELDS_MAX];
  bool failed, no_memory;
} table;

static void complain(table *t, int at, pc_status status, const char *key, const char *format, ...)
    PC_PRINTF(5, 6);

static void complain(table *t, int at, pc_status status, const char *key, const char *format, ...) {
  char message[PC_MESSAGE_MAX];
  pc_error error;
  va_list arguments;
  va_start(arguments, format);
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  va_end(arguments);
  (void)pc_error_set(&error, status, key, NULL, "%s", message);
  pc_error_place(&error, t->name, t->line, at);
  pc_tree_push_fault(t->faults, &error);
  t->failed = true;
}

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
static size_t split(table *t, char *line) {
  size_t count = 0;
  int at = 1;
  for (char *from = line; from; count++) {
    if (count == FIELDS_MAX) {
      complain(t, 0, PC_ERR_LIMIT, NULL, "has more than %d columns", (int)FIELDS_MAX);
      return 0;
    }
    char *end = field_end(from);
    if (!end) {
      complain(t, at, PC_ERR_SYNTAX, NULL, "a quote is opened but not closed on this line");
      return 0;
    }
    bool more = *end == ',';
    int next = at + characters(from, end) + 1;
    *end = '\0';
    t->fields[count] = (field){strip(from), at};
    from = more ? end + 1 : NULL;
    at = next;
  }
  return count;
}

static bool has(const table *t, column which) {
  return t->place[which] < FIELDS_MAX;
}

static void check_columns(table *t) {
  bool duration = has(t, COLUMN_DURATION), start = has(t, COLUMN_START), end = has(t, COLUMN_END);
  if (!has(t, COLUMN_PHASE))
    complain(t, 0, PC_ERR_MISSING, "phase",
             "is missing: the first line must name the columns, such as phase,duration_s,distance_m");
  if (!duration && !(start && end))
    complain(t, 0, PC_ERR_MISSING,
             start ? "end_s"
             : end ? "start_s"
                   : "duration_s",
             "is missing: give duration_s, or start_s and end_s");
  if (duration && start && end)
    complain(t, t->fields[t->place[COLUMN_DURATION]].at, PC_ERR_KEY, "duration_s",
             "stands beside start_s and end_s; give one of the two");
}

static bool is_unused(const char *name) {
  for (size_t i = 0; i < sizeof unused_names / sizeof unused_names[0]; i++)
    if (strcmp(name, unused_names[i]) == 0)
      return true;
  return false;
}

static void tell_unused(table *t, const pc_text *unused) {
  pc_faults found = {0};
  t->no_memory |= unused->failed;
  if (!unused->data || unused->failed || t->failed)
    return;
  pc_faults_caution(&found, "", "columns that are not used: %.200s", unused->data);
  for (size_t i = 0; i < found.count; i++) {
    pc_error_place(&found.items[i], t->name, t->line, 0);
    pc_tree_push_fault(t->faults, &found.items[i]);
  }
  t->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

static void read_header(table *t, char *line) {
  pc_text unused = {0};
  for (int c = 0; c < COLUMN_COUNT; c++)
    t->place[c] = FIELDS_MAX;
  t->width = split(t, line);
  for (size_t i = 0; i < t->width; i++) {
    int c = 0;
    while (c < COLUMN_COUNT && strcmp(t->fields[i].text, column_names[c]) != 0)
      c++;
    if (c < COLUMN_COUNT && has(t, (column)c))
      complain(t, t->fields[i].at, PC_ERR_KEY, column_names[c], "is the name of two columns");
    else if (c < COLUMN_COUNT)
      t->place[c] = i;
    else if (!is_unused(t->fields[i].text))
      pc_text_addf(&unused, "%s%.40s", unused.length ? ", " : "", t->fields[i].text);
  }
  if (t->width > 0 && !t->failed)
    check_columns(t);
  tell_unused(t, &unused);
  pc_text_free(&unused);
}

/* The number in a column; NaN where the column, or with `optional` its value, is missing. */
static double number(table *t, column which, bool optional) {
  double value;
  if (!has(t, which))
    return NAN;
  const field *f = &t->fields[t->place[which]];
  if (!*f->text && optional)
    return NAN;
  if (*f->text && pc_units_parse(f->text, PC_DIM_NUMBER, &value, NULL) == PC_OK)
    return value;
  if (*f->text)
    complain(t, f->at, PC_ERR_SYNTAX, column_names[which], "\"%.40s\" must be a plain number", f->text);
  else
    complain(t, f->at, PC_ERR_MISSING, column_names[which], "has no value on this line");
  return NAN;
}

static pc_phase read_phase(table *t) {
  const char *words[PC_PHASE_COUNT];
  const field *f = &t->fields[t->place[COLUMN_PHASE]];
  for (int p = 0; p < PC_PHASE_COUNT; p++) {
    words[p] = pc_phase_name((pc_phase)p);
    if (strcmp(f->text, words[p]) == 0)
      return (pc_phase)p;
  }
  const char *near = pc_nearest_word(f->text, words, PC_PHASE_COUNT);
  complain(t, f->at, PC_ERR_NAME, "phase",
           "\"%.40s\" is no phase%s%s%s; phases: lower fill clean_up raise turn carry wait dump return idle",
           f->text, near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
  return PC_PHASE_COUNT;
}

static pc_timed_direction read_direction(table *t) {
  if (!has(t, COLUMN_DIRECTION))
    return PC_DIRECTION_UNKNOWN;
  const field *f = &t->fields[t->place[COLUMN_DIRECTION]];
  if (strcmp(f->text, "forward") == 0)
    return PC_DIRECTION_FORWARD;
  if (strcmp(f->text, "reverse") == 0)
    return PC_DIRECTION_REVERSE;
  if (*f->text)
    complain(t, f->at, PC_ERR_NAME, "direction", "\"%.40s\" must be forward or reverse", f->text);
  return PC_DIRECTION_UNKNOWN;
}

static double read_duration(table *t) {
  column which = has(t, COLUMN_DURATION) ? COLUMN_DURATION : COLUMN_END;
  double time = which == COLUMN_DURATION ? number(t, COLUMN_DURATION, false)
                                         : number(t, COLUMN_END, false) - number(t, COLUMN_START, false);
  if (time < 0)
    complain(t, t->fields[t->place[which]].at, PC_ERR_RANGE, column_names[which],
             which == COLUMN_END ? "must not be earlier than start_s" : "must not be less than 0");
  return time;
}

static void add_row(table *t, pc_timed_row *row) {
  const char *machine = has(t, COLUMN_MACHINE) ? t->fields[t->place[COLUMN_MACHINE]].text : "loader";
  pc_name name;
  if (*machine == '\0' || !pc_name_set(&name, machine)) {
    complain(t, t->fields[t->place[COLUMN_MACHINE]].at, PC_ERR_RANGE, "machine",
             "must be a name of 1 to %d bytes", (int)PC_NAME_MAX - 1);
    return;
  }
  t->no_memory |=
      pc_timed_machine(t->timed, machine, &row->machine) != PC_OK || pc_timed_add(t->timed, row) != PC_OK;
}

static void read_row(table *t, char *line) {
  bool failed = t->failed;
  t->failed = false; /* of this row, for now */
  size_t width = split(t, line);
  if (width > 0 && width != t->width)
    complain(t, 0, PC_ERR_SYNTAX, NULL, "has %zu fields where the first line names %zu columns", width,
             t->width);
  if (!t->failed) {
    pc_timed_row row = {.line = t->line, .phase = read_phase(t), .time_s = read_duration(t)};
    row.distance_m = number(t, COLUMN_DISTANCE, true);
    row.load_kg = number(t, COLUMN_LOAD, true);
    row.from = (pc_point){number(t, COLUMN_X0, true), number(t, COLUMN_Y0, true)};
    row.to = (pc_point){number(t, COLUMN_X1, true), number(t, COLUMN_Y1, true)};
    row.direction = read_direction(t);
    if (row.distance_m < 0)
      complain(t, t->fields[t->place[COLUMN_DISTANCE]].at, PC_ERR_RANGE, "distance_m",
               "must not be less than 0");
    if (row.load_kg < 0)
      complain(t, t->fields[t->place[COLUMN_LOAD]].at, PC_ERR_RANGE, "load_kg", "must not be less than 0");
    if (!t->failed && row.time_s > 0)
      add_row(t, &row);
  }
  t->failed |= failed;
}

static void read_lines(table *t, char *text) {
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
    if (t->no_memory)
      return;
  }
  t->line = 0;
  if (!header)
    complain(t, 0, PC_ERR_MISSING, NULL,
             "is empty: it needs a line with the names of the columns, then rows");
  else if (!t->failed && t->timed->count == 0)
    complain(t, 0, PC_ERR_MISSING, NULL, "has no rows below the names of the columns");
}

pc_status pc_timed_csv_read_text(const char *name, const char *text, size_t length, pc_timed *timed,
                                 pc_faults *faults) {
  *timed = (pc_timed){0};
  size_t before = faults->count;
  table t = {.name = name, .faults = faults, .timed = timed};
  char *copy = pc_alloc(length + 1, 1);
  if (copy) {
    memcpy(copy, text, length);
    if (strlen(copy) < length)
      complain(&t, 0, PC_ERR_SYNTAX, NULL, "is no text: it holds zero bytes");
    else
      read_lines(&t, copy + (strncmp(copy, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0));
  }
  t.no_memory |= !copy;
  free(copy);
  pc_status status = PC_OK;
  for (size_t i = before; i < faults->count && status == PC_OK; i++)
    if (!faults->items[i].caution)
      status = faults->items[i].status;
  if (t.no_memory || (t.failed && status == PC_OK))
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL,
                           "there is not enough memory to read the timed cycles");
  if (status != PC_OK)
    pc_timed_free(timed);
  return status;
}

pc_status pc_timed_csv_read(const char *path, pc_timed *timed, pc_faults *faults) {
  void *text;
  size_t length;
  *timed = (pc_timed){0};
  pc_status status = pc_file_read(path, &text, &length, faults);
  if (status == PC_OK)
    status = pc_timed_csv_read_text(path, text, length, timed, faults);
  free(text);
  return status;
}
