// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/storm_csv.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/csv.h"
#include "io/storm_time_private.h"
#include "io/tree_private.h"

static const double hour_s = 3600, day_s = 24 * 3600.0;
static const double water_kgpm3 = 1000;

enum { FIELDS_MAX = 64 };

typedef enum column {
  COLUMN_TIME,
  COLUMN_DATE,
  COLUMN_RATE,
  COLUMN_PRECIPITATION,
  COLUMN_TEMPERATURE,
  COLUMN_TEMP_MIN,
  COLUMN_TEMP_MAX,
  COLUMN_WIND,
  COLUMN_COUNT
} column;

static const char *const column_names[] = {"time",        "date",     "rate",     "precipitation",
                                           "temperature", "temp_min", "temp_max", "wind"};

typedef struct table {
  const char *name;
  const pc_snow *snow;
  pc_faults *faults;
  int line;
  size_t place[COLUMN_COUNT]; /* of each column in a row; FIELDS_MAX: not there */
  size_t width;               /* fields in the header */
  char *fields[FIELDS_MAX];
  pc_storm_piece *pieces;
  size_t count, capacity;
  pc_clock clock;  /* how the first row gives its time */
  double origin_s; /* ISO 8601: when the first row is */
  bool failed, full, no_memory;
} table;

static void complain(table *t, pc_status status, const char *key, const char *format, ...) PC_PRINTF(4, 5);

static void complain(table *t, pc_status status, const char *key, const char *format, ...) {
  char message[PC_MESSAGE_MAX];
  pc_error error;
  va_list arguments;
  va_start(arguments, format);
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  va_end(arguments);
  (void)pc_error_set(&error, status, key, NULL, "%s", message);
  pc_error_place(&error, t->name, t->line, 0);
  pc_tree_push_fault(t->faults, &error);
  t->failed = true;
}

static char *trim(char *text) {
  text += strspn(text, " \t");
  size_t length = strlen(text);
  while (length > 0 && strchr(" \t", text[length - 1]))
    text[--length] = '\0';
  return text;
}

/* Ends the field at *from, which it takes the quotes off; *from goes to the next, or NULL. False: a quote is
 * open. */
static bool take_field(char **from, char **field) {
  char *at = *from + strspn(*from, " \t");
  if (*at != '"') {
    *field = *from;
    *from += strcspn(*from, ",");
  } else {
    char *to = *field = at;
    for (at++; *at && (*at != '"' || at[1] == '"'); at++) {
      at += *at == '"';
      *to++ = *at;
    }
    if (!*at)
      return false;
    *from = at + 1 + strcspn(at + 1, ",");
    *to = '\0';
  }
  bool more = **from == ',';
  **from = '\0';
  *from = more ? *from + 1 : NULL;
  *field = trim(*field);
  return true;
}

/* Number of fields; 0 after a fault. */
static size_t split(table *t, char *line) {
  size_t count = 0;
  while (line && count < FIELDS_MAX) {
    if (!take_field(&line, &t->fields[count++])) {
      complain(t, PC_ERR_SYNTAX, NULL, "a quote is opened but not closed on this line");
      return 0;
    }
  }
  if (!line)
    return count;
  complain(t, PC_ERR_LIMIT, NULL, "has more than %d columns", (int)FIELDS_MAX);
  return 0;
}

static bool has(const table *t, column which) {
  return t->place[which] < FIELDS_MAX;
}

/* Which columns a storm needs, and which exclude each other. */
static void check_columns(table *t) {
  bool daily = has(t, COLUMN_DATE), span = has(t, COLUMN_TEMP_MIN) && has(t, COLUMN_TEMP_MAX);
  if (!has(t, COLUMN_TIME) && !daily)
    complain(t, PC_ERR_MISSING, "time",
             "is missing: the first line must name the columns, such as "
             "time,rate,temperature or time,precipitation,temperature");
  else if (has(t, COLUMN_TIME) && daily)
    complain(t, PC_ERR_KEY, "date", "stands beside time; give one of the two");
  else if (has(t, COLUMN_RATE) && has(t, COLUMN_PRECIPITATION))
    complain(t, PC_ERR_KEY, "precipitation", "stands beside rate; give one of the two");
  else if (daily && !has(t, COLUMN_PRECIPITATION))
    complain(t, PC_ERR_MISSING, "precipitation", "is missing: a daily record needs it, in mm");
  else if (!has(t, COLUMN_RATE) && !has(t, COLUMN_PRECIPITATION))
    complain(t, PC_ERR_MISSING, "rate",
             "is missing: give rate in cm/h of snow, or precipitation in mm/h of "
             "water");
  else if (has(t, COLUMN_PRECIPITATION) && !has(t, COLUMN_TEMPERATURE) && !span)
    complain(t, PC_ERR_MISSING, "temperature", "is missing: it tells snow from rain");
}

static void read_header(table *t, char *line) {
  pc_text unused = {0};
  for (int c = 0; c < COLUMN_COUNT; c++)
    t->place[c] = FIELDS_MAX;
  t->width = split(t, line);
  for (size_t i = 0; i < t->width; i++) {
    int c = 0;
    while (c < COLUMN_COUNT && strcmp(t->fields[i], column_names[c]) != 0)
      c++;
    if (c == COLUMN_COUNT)
      pc_text_addf(&unused, "%s%.40s", unused.length ? ", " : "", t->fields[i]);
    else if (has(t, (column)c))
      complain(t, PC_ERR_KEY, column_names[c], "is the name of two columns");
    else
      t->place[c] = i;
  }
  if (t->width > 0 && !t->failed)
    check_columns(t);
  t->no_memory |= unused.failed;
  if (unused.data && !unused.failed && !t->failed) {
    pc_faults found = {0};
    pc_faults_caution(&found, "", "columns that are not used: %.200s", unused.data);
    for (size_t i = 0; i < found.count; i++) {
      pc_error_place(&found.items[i], t->name, t->line, 0);
      pc_tree_push_fault(t->faults, &found.items[i]);
    }
    t->no_memory |= found.dropped > 0;
    pc_faults_free(&found);
  }
  pc_text_free(&unused);
}

/* The number in a column; NaN where the column, or with `optional` its value, is missing. */
static double number(table *t, column which, bool optional) {
  double value;
  if (!has(t, which))
    return NAN;
  const char *text = t->fields[t->place[which]];
  if (!*text && optional)
    return NAN;
  if (*text && pc_units_parse(text, PC_DIM_NUMBER, &value, NULL) == PC_OK)
    return value;
  if (*text)
    complain(t, PC_ERR_SYNTAX, column_names[which], "\"%.40s\" must be a plain number", text);
  else
    complain(t, PC_ERR_MISSING, column_names[which], "has no value on this line");
  return NAN;
}

/* Seconds from the start; NaN after a fault. */
static double row_time(table *t) {
  column which = has(t, COLUMN_DATE) ? COLUMN_DATE : COLUMN_TIME;
  const char *text = t->fields[t->place[which]];
  double time_s = NAN;
  pc_clock clock = pc_clock_read(text, &time_s);
  bool daily = which == COLUMN_DATE;
  if (daily && clock != PC_CLOCK_DATE)
    complain(t, PC_ERR_SYNTAX, "date", "\"%.40s\" must be a day, such as 2021-01-31", text);
  else if (clock == PC_CLOCK_NONE)
    complain(t, PC_ERR_SYNTAX, "time", "\"%.40s\" must be hours (1.5 or 1:30) or ISO 8601 (2021-01-31T18:30)",
             text);
  else if (clock == PC_CLOCK_DATE && !daily)
    complain(t, PC_ERR_SYNTAX, "time", "\"%.40s\" has no time of day; a daily record calls this column date",
             text);
  else if (t->clock != PC_CLOCK_NONE && clock != t->clock)
    complain(t, PC_ERR_SYNTAX, "time", "\"%.40s\" is written in another way than the time of the first row",
             text);
  else {
    if (t->clock == PC_CLOCK_NONE)
      t->origin_s = clock == PC_CLOCK_HOURS ? 0 : time_s;
    t->clock = clock;
    return time_s - t->origin_s;
  }
  return NAN;
}

/* Water to snow and rain. */
static void split_water(table *t, double water_mps, pc_storm_piece *piece) {
  double snow = pc_snow_share(t->snow, piece->temperature_c);
  double density = pc_storm_piece_density(piece, t->snow);
  const pc_field *field = pc_fields_find(&pc_snow_fields, "fresh_density");
  piece->rain_mps = (1 - snow) * water_mps;
  if (!(snow * water_mps > 0))
    return;
  if (field && !(density >= field->min && density <= field->max))
    complain(t, PC_ERR_RANGE, "temperature",
             "gives a fresh density of %s: choose another snow.density_formula",
             pc_show(density, PC_DIM_DENSITY, t->faults->units, 4).text);
  else
    piece->rate_mps = snow * water_mps * water_kgpm3 / density;
}

/* What the row says is within the limits of a storm's pieces; else each fault at this line. */
static void check_piece(table *t, const pc_storm_piece *piece) {
  pc_faults found = pc_faults_like(t->faults);
  pc_fields_validate(&pc_storm_fields, piece, "", &found);
  for (size_t i = 0; i < found.count; i++)
    complain(t, found.items[i].status, found.items[i].key, "%s", found.items[i].message);
  t->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

static void add_piece(table *t, const pc_storm_piece *piece) {
  void *pieces = t->pieces;
  if (t->count == PC_STORM_MAX) {
    complain(t, PC_ERR_LIMIT, NULL, "has more than %d pieces", (int)PC_STORM_MAX);
    t->full = true;
    return;
  }
  if (pc_reserve(&pieces, &t->capacity, t->count + 1, sizeof *t->pieces) != 0) {
    t->no_memory = true;
    return;
  }
  t->pieces = pieces;
  t->pieces[t->count++] = *piece;
}

static void add_dry(table *t, double after_s) {
  pc_storm_piece dry = pc_storm_piece_default();
  dry.after_s = after_s;
  add_piece(t, &dry);
}

static void read_row(table *t, char *line) {
  bool failed = t->failed, daily = has(t, COLUMN_DATE), water = has(t, COLUMN_PRECIPITATION);
  t->failed = false; /* of this row, for now */
  size_t width = split(t, line);
  if (width > 0 && width != t->width)
    complain(t, PC_ERR_SYNTAX, NULL, "has %zu fields where the first line names %zu columns", width,
             t->width);
  if (!t->failed) {
    pc_storm_piece piece = pc_storm_piece_default();
    piece.after_s = row_time(t);
    piece.temperature_c = has(t, COLUMN_TEMPERATURE)
                              ? number(t, COLUMN_TEMPERATURE, !water)
                              : (number(t, COLUMN_TEMP_MIN, !water) + number(t, COLUMN_TEMP_MAX, !water)) / 2;
    piece.wind_mps = number(t, COLUMN_WIND, true);
    double amount = number(t, water ? COLUMN_PRECIPITATION : COLUMN_RATE, false);
    if (amount < 0)
      complain(t, PC_ERR_RANGE, column_names[water ? COLUMN_PRECIPITATION : COLUMN_RATE],
               "%.6g must not be less than 0", amount);
    if (!t->failed && water)
      split_water(t, amount / 1000 / (daily ? day_s : hour_s), &piece);
    else if (!t->failed)
      piece.rate_mps = amount / 100 / hour_s;
    double last_s = t->count > 0 ? t->pieces[t->count - 1].after_s : -INFINITY;
    if (!t->failed && piece.after_s <= last_s)
      complain(t, PC_ERR_RANGE, column_names[daily ? COLUMN_DATE : COLUMN_TIME],
               "must be later than on the line before it");
    if (!t->failed)
      check_piece(t, &piece);
    if (!t->failed && daily && t->count > 0 && piece.after_s > last_s + 1.5 * day_s)
      add_dry(t, last_s + day_s);
    if (!t->failed)
      add_piece(t, &piece);
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
    if (t->no_memory || t->full)
      return;
  }
  t->line = 0;
  if (!header)
    complain(t, PC_ERR_MISSING, NULL, "is empty: it needs a line with the names of the columns, then rows");
  else if (!t->failed && t->count == 0)
    complain(t, PC_ERR_MISSING, NULL, "has no rows below the names of the columns");
}

/* After the last row nothing falls. */
static void end_storm(table *t) {
  const pc_storm_piece *last = &t->pieces[t->count - 1];
  if (!(last->rate_mps > 0) && !(last->rain_mps > 0))
    return;
  if (has(t, COLUMN_DATE))
    add_dry(t, last->after_s + day_s);
  else if (t->count > 1)
    add_dry(t, 2 * last->after_s - last[-1].after_s);
  else
    complain(t, PC_ERR_MISSING, NULL,
             "has one row only, so nobody knows how long it holds: add a row with 0");
}

static void sum_up(const table *t, pc_storm_csv *out) {
  for (size_t i = 0; i + 1 < out->count; i++) {
    const pc_storm_piece *piece = &out->pieces[i];
    double lasts_s = out->pieces[i + 1].after_s - piece->after_s;
    out->depth_m += piece->rate_mps * lasts_s;
    out->rain_water_m += piece->rain_mps * lasts_s;
    if (piece->rate_mps > 0)
      out->snow_water_m += piece->rate_mps * pc_storm_piece_density(piece, t->snow) / water_kgpm3 * lasts_s;
  }
}

pc_status pc_storm_csv_read_text(const char *name, const char *text, size_t length, const pc_snow *snow,
                                 pc_storm_csv *out, pc_faults *faults) {
  *out = (pc_storm_csv){0};
  size_t before = faults->count;
  table t = {.name = name, .snow = snow, .faults = faults};
  char *copy = pc_alloc(length + 1, 1);
  if (copy) {
    memcpy(copy, text, length);
    if (strlen(copy) < length)
      complain(&t, PC_ERR_SYNTAX, NULL, "is no text: it holds zero bytes");
    else
      read_lines(&t, copy + (strncmp(copy, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0));
  }
  t.no_memory |= !copy;
  free(copy);
  t.line = 0; /* what is told from here on is about the whole file */
  if (!t.failed && !t.no_memory)
    end_storm(&t);
  pc_status status = PC_OK;
  for (size_t i = before; i < faults->count && status == PC_OK; i++)
    if (!faults->items[i].caution)
      status = faults->items[i].status;
  if (t.no_memory || (t.failed && status == PC_OK))
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "there is not enough memory to read the storm");
  if (status != PC_OK) {
    free(t.pieces);
    return status;
  }
  out->pieces = t.pieces;
  out->count = t.count;
  sum_up(&t, out);
  return PC_OK;
}

pc_status pc_storm_csv_read(const char *path, const pc_snow *snow, pc_storm_csv *out, pc_faults *faults) {
  void *text;
  size_t length;
  *out = (pc_storm_csv){0};
  pc_status status = pc_file_read(path, &text, &length, faults);
  if (status == PC_OK)
    status = pc_storm_csv_read_text(path, text, length, snow, out, faults);
  free(text);
  return status;
}

void pc_storm_csv_free(pc_storm_csv *storm) {
  free(storm->pieces);
  *storm = (pc_storm_csv){0};
}
