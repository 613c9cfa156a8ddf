// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/storm_csv.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/csv_table.h"
#include "io/storm_time_private.h"
#include "io/tree_private.h"

static const double hour_s = 3600, day_s = 24 * 3600.0;
static const double water_kgpm3 = 1000;

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

typedef struct row_place { /* where a piece comes from, and its time as it stands there */
  int line;
  char time[28];
} row_place;

typedef struct record { /* the storm so far */
  const pc_snow *snow;
  pc_storm_piece *pieces;
  row_place *places; /* of each of them, but in a daily record */
  size_t count, capacity, place_capacity;
  pc_storm_time clock; /* how the first row gives its time */
  double origin_s;     /* ISO 8601: when the first row is */
} record;

/* What a column is in, unless its name says so. Of a day the total is given. */
static const pc_csv_measure *measures(const pc_csv_table *t) {
  static const pc_csv_measure rates[COLUMN_COUNT] = {
      [COLUMN_RATE] = {PC_DIM_FALL_RATE, "cm/h"},       [COLUMN_PRECIPITATION] = {PC_DIM_FALL_RATE, "mm/h"},
      [COLUMN_TEMPERATURE] = {PC_DIM_TEMPERATURE, "C"}, [COLUMN_TEMP_MIN] = {PC_DIM_TEMPERATURE, "C"},
      [COLUMN_TEMP_MAX] = {PC_DIM_TEMPERATURE, "C"},    [COLUMN_WIND] = {PC_DIM_SPEED, "m/s"}};
  static const pc_csv_measure totals[COLUMN_COUNT] = {[COLUMN_PRECIPITATION] = {PC_DIM_LENGTH, "mm"},
                                                      [COLUMN_TEMPERATURE] = {PC_DIM_TEMPERATURE, "C"},
                                                      [COLUMN_TEMP_MIN] = {PC_DIM_TEMPERATURE, "C"},
                                                      [COLUMN_TEMP_MAX] = {PC_DIM_TEMPERATURE, "C"},
                                                      [COLUMN_WIND] = {PC_DIM_SPEED, "m/s"}};
  return pc_csv_has(t, COLUMN_DATE) ? totals : rates;
}

/* Weather records have more columns than a storm needs: wind_direction, precipitation_probability. */
static const char *const no_units[] = {"speed",    "gust",    "gusts",       "direction", "dir",   "chill",
                                       "type",     "kind",    "probability", "max",       "min",   "mean",
                                       "avg",      "average", "sum",         "total",     "hours", "dew",
                                       "apparent", "feels",   "wet",         NULL};

/* Which columns a storm needs, and which exclude each other. */
static void check_columns(pc_csv_table *t) {
  bool daily = pc_csv_has(t, COLUMN_DATE),
       span = pc_csv_has(t, COLUMN_TEMP_MIN) && pc_csv_has(t, COLUMN_TEMP_MAX);
  if (!pc_csv_has(t, COLUMN_TIME) && !daily)
    pc_csv_fault(t, PC_ERR_MISSING, "time",
                 "is missing: the first line must name the columns, such as "
                 "time,rate,temperature or time,precipitation,temperature");
  else if (pc_csv_has(t, COLUMN_TIME) && daily)
    pc_csv_fault_in(t, COLUMN_DATE, PC_ERR_KEY, "stands beside time; give one of the two");
  else if (pc_csv_has(t, COLUMN_RATE) && pc_csv_has(t, COLUMN_PRECIPITATION))
    pc_csv_fault_in(t, COLUMN_PRECIPITATION, PC_ERR_KEY, "stands beside %.40s; give one of the two",
                    pc_csv_called(t, COLUMN_RATE));
  else if (daily && !pc_csv_has(t, COLUMN_PRECIPITATION))
    pc_csv_fault(t, PC_ERR_MISSING, "precipitation",
                 "is missing: a daily record needs it, in mm, or in inches as precipitation_in");
  else if (!pc_csv_has(t, COLUMN_RATE) && !pc_csv_has(t, COLUMN_PRECIPITATION))
    pc_csv_fault(t, PC_ERR_MISSING, "rate",
                 "is missing: give rate in cm/h of snow, or precipitation in mm/h of "
                 "water; in inches an hour as rate_in/h or precipitation_in/h");
  else if (pc_csv_has(t, COLUMN_PRECIPITATION) && !pc_csv_has(t, COLUMN_TEMPERATURE) && !span)
    pc_csv_fault(t, PC_ERR_MISSING, "temperature",
                 "is missing: it tells snow from rain; in C, or in F as temperature_F");
}

/* Seconds from the start; NaN after a fault. */
static double row_time(pc_csv_table *t) {
  record *r = t->context;
  const int which = pc_csv_has(t, COLUMN_DATE) ? COLUMN_DATE : COLUMN_TIME;
  const char *text = pc_csv_text(t, which);
  double time_s = NAN;
  pc_storm_time clock = pc_storm_time_read(text, &time_s);
  bool daily = which == COLUMN_DATE;
  if (daily && clock != PC_STORM_TIME_DATE)
    pc_csv_fault_in(t, COLUMN_DATE, PC_ERR_SYNTAX, "\"%.40s\" must be a day, such as 2021-01-31", text);
  else if (clock == PC_STORM_TIME_NONE)
    pc_csv_fault_in(t, COLUMN_TIME, PC_ERR_SYNTAX,
                    "\"%.40s\" must be hours (1.5 or 1:30) or ISO 8601 (2021-01-31T18:30)", text);
  else if (clock == PC_STORM_TIME_DATE && !daily)
    pc_csv_fault_in(t, COLUMN_TIME, PC_ERR_SYNTAX,
                    "\"%.40s\" has no time of day; a daily record calls this column date", text);
  else if (r->clock != PC_STORM_TIME_NONE && clock != r->clock)
    pc_csv_fault_in(t, COLUMN_TIME, PC_ERR_SYNTAX,
                    "\"%.40s\" is written in another way than the time of the first row", text);
  else {
    if (r->clock == PC_STORM_TIME_NONE)
      r->origin_s = clock == PC_STORM_TIME_HOURS ? 0 : time_s;
    r->clock = clock;
    return time_s - r->origin_s;
  }
  return NAN;
}

/* Water to snow and rain. */
static void split_water(pc_csv_table *t, double water_mps, pc_storm_piece *piece) {
  const pc_snow *made = ((const record *)t->context)->snow;
  double snow = pc_snow_share(made, piece->temperature_c);
  double density = pc_storm_piece_density(piece, made);
  const pc_field *field = pc_fields_find(&pc_snow_fields, "fresh_density");
  piece->rain_mps = (1 - snow) * water_mps;
  if (!(snow * water_mps > 0))
    return;
  if (field && !(density >= field->min && density <= field->max))
    pc_csv_fault_in(t, COLUMN_TEMPERATURE, PC_ERR_RANGE,
                    "gives a fresh density of %s: choose another snow.density_formula",
                    pc_show(density, PC_DIM_DENSITY, t->faults->units, 4).text);
  else
    piece->rate_mps = snow * water_mps * water_kgpm3 / density;
}

/* What the row says is within the limits of a storm's pieces; else each fault at this line. */
static void check_piece(pc_csv_table *t, const pc_storm_piece *piece) {
  pc_faults found = pc_faults_like(t->faults);
  pc_fields_validate(&pc_storm_fields, piece, "", &found);
  for (size_t i = 0; i < found.count; i++)
    pc_csv_fault(t, found.items[i].status, found.items[i].key, "%s", found.items[i].message);
  t->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

static void add_piece(pc_csv_table *t, const pc_storm_piece *piece) {
  record *r = t->context;
  void *pieces = r->pieces;
  if (r->count == PC_STORM_MAX) {
    pc_csv_fault(t, PC_ERR_LIMIT, NULL, "has more than %d pieces", (int)PC_STORM_MAX);
    t->full = true;
    return;
  }
  if (pc_reserve(&pieces, &r->capacity, r->count + 1, sizeof *r->pieces) != 0) {
    t->no_memory = true;
    return;
  }
  r->pieces = pieces;
  r->pieces[r->count++] = *piece;
}

/* Of the piece that is to be added next. */
static void note_place(pc_csv_table *t) {
  record *r = t->context;
  void *places = r->places;
  if (pc_reserve(&places, &r->place_capacity, r->count + 1, sizeof *r->places) != 0) {
    t->no_memory = true;
    return;
  }
  r->places = places;
  r->places[r->count].line = t->line;
  (void)snprintf(r->places[r->count].time, sizeof r->places->time, "%s", pc_csv_text(t, COLUMN_TIME));
}

static void add_dry(pc_csv_table *t, double after_s) {
  pc_storm_piece dry = pc_storm_piece_default();
  dry.after_s = after_s;
  add_piece(t, &dry);
}

static double temperature_c(pc_csv_table *t, bool optional) {
  if (pc_csv_has(t, COLUMN_TEMPERATURE))
    return pc_csv_number(t, COLUMN_TEMPERATURE, optional);
  return (pc_csv_number(t, COLUMN_TEMP_MIN, optional) + pc_csv_number(t, COLUMN_TEMP_MAX, optional)) / 2;
}

static void read_row(pc_csv_table *t) {
  record *r = t->context;
  bool daily = pc_csv_has(t, COLUMN_DATE), water = pc_csv_has(t, COLUMN_PRECIPITATION);
  const int which = water ? COLUMN_PRECIPITATION : COLUMN_RATE;
  pc_storm_piece piece = pc_storm_piece_default();
  piece.after_s = row_time(t);
  piece.temperature_c = temperature_c(t, !water);
  piece.wind_mps = pc_csv_number(t, COLUMN_WIND, true);
  double amount = pc_csv_number(t, which, false);
  if (amount < 0)
    pc_csv_fault_in(t, which, PC_ERR_RANGE, "%.40s must not be less than 0", pc_csv_text(t, which));
  if (!t->row_failed && water)
    split_water(t, amount / 1000 / (daily ? day_s : hour_s), &piece);
  else if (!t->row_failed)
    piece.rate_mps = amount / 100 / hour_s;
  double last_s = r->count > 0 ? r->pieces[r->count - 1].after_s : -INFINITY;
  if (!t->row_failed && piece.after_s <= last_s)
    pc_csv_fault_in(t, daily ? COLUMN_DATE : COLUMN_TIME, PC_ERR_RANGE,
                    "must be later than on the line before it");
  if (!t->row_failed)
    check_piece(t, &piece);
  if (!t->row_failed && daily && r->count > 0 && piece.after_s > last_s + 1.5 * day_s)
    add_dry(t, last_s + day_s);
  if (!t->row_failed && !daily)
    note_place(t);
  if (!t->row_failed)
    add_piece(t, &piece);
}

static bool has_rows(const pc_csv_table *t) {
  return ((const record *)t->context)->count > 0;
}

static const pc_csv_reader storm_reader = {.what = "the storm",
                                           .columns = column_names,
                                           .column_count = COLUMN_COUNT,
                                           .check = check_columns,
                                           .row = read_row,
                                           .has_rows = has_rows,
                                           .measures = measures,
                                           .no_units = no_units};

/* ---- gaps ---- */

enum { NEAREST_STEPS = 4, GAPS_TOLD = 3 };
/* Chosen here, no source: a step so much longer than the usual one is a gap, and steps are alike that differ
 * by no more than that share. */
static const double gap_times = 1.5, alike_share = 0.01;

static double step_s(const record *r, size_t i) {
  return r->pieces[i + 1].after_s - r->pieces[i].after_s;
}

static bool is_alike(double a_s, double b_s) {
  return fabs(a_s - b_s) <= alike_share * fabs(b_s);
}

/* The usual step around step i: that of the steps beside it, and of all but one of the four nearest at least;
 * NaN: there is none. Where a record goes over from hours to days, no step is a gap. */
static double usual_step_s(const record *r, size_t i) {
  size_t steps = r->count - 1, first = i > NEAREST_STEPS / 2 ? i - NEAREST_STEPS / 2 : 0;
  if (steps < NEAREST_STEPS + 1)
    return NAN;
  if (first + NEAREST_STEPS >= steps)
    first = steps - NEAREST_STEPS - 1;
  double usual_s = step_s(r, i > 0 ? i - 1 : i + 1);
  size_t alike = 0;
  for (size_t k = first; k <= first + NEAREST_STEPS; k++)
    alike += k != i && is_alike(step_s(r, k), usual_s);
  bool beside = i + 1 == steps || is_alike(step_s(r, i + 1), usual_s);
  return beside && alike + 1 >= NEAREST_STEPS ? usual_s : NAN;
}

/* The row before a gap holds over all of it: that may be meant, or a row is missing. */
static void tell_gaps(pc_csv_table *t) {
  const record *r = t->context;
  pc_faults found = pc_faults_like(t->faults);
  size_t gaps = 0;
  for (size_t i = 0; i + 1 < r->count && !pc_csv_has(t, COLUMN_DATE); i++) {
    double usual_s = usual_step_s(r, i);
    if (!(r->pieces[i].rate_mps > 0) || !(step_s(r, i) > gap_times * usual_s) || ++gaps > GAPS_TOLD)
      continue; /* never for NaN */
    pc_faults_caution(
        &found, column_names[COLUMN_TIME],
        "jumps from %s to %s, though rows are %s apart: %s of snow is taken to fall all that time",
        r->places[i].time, r->places[i + 1].time, pc_show(usual_s, PC_DIM_TIME, found.units, 2).text,
        pc_show(r->pieces[i].rate_mps, PC_DIM_FALL_RATE, found.units, 2).text);
    if (found.count > 0)
      pc_error_place(&found.items[found.count - 1], t->name, r->places[i + 1].line, 0);
  }
  if (gaps > GAPS_TOLD)
    pc_faults_caution(&found, column_names[COLUMN_TIME], "jumps so in %zu more places", gaps - GAPS_TOLD);
  t->no_memory |= pc_tree_push_found(t->faults, &found, t->name, 0) > 0;
}

/* After the last row nothing falls. How long that holds, if something falls in it; else 0. */
static double end_storm(pc_csv_table *t) {
  const record *r = t->context;
  const pc_storm_piece last = r->pieces[r->count - 1]; /* a copy: adding moves the pieces */
  double lasts_s = 0;
  if (!(last.rate_mps > 0) && !(last.rain_mps > 0))
    return 0;
  if (pc_csv_has(t, COLUMN_DATE))
    lasts_s = day_s;
  else if (r->count > 1)
    lasts_s = last.after_s - r->pieces[r->count - 2].after_s;
  if (lasts_s > 0)
    add_dry(t, last.after_s + lasts_s);
  else
    pc_csv_fault(t, PC_ERR_MISSING, NULL,
                 "has one row only, so nobody knows how long it holds: add a row with 0");
  return lasts_s;
}

static void sum_up(const pc_snow *snow, pc_storm_csv *out) {
  out->depth_m = pc_storm_depth_m(out->pieces, out->count);
  for (size_t i = 0; i + 1 < out->count; i++) {
    const pc_storm_piece *piece = &out->pieces[i];
    double lasts_s = out->pieces[i + 1].after_s - piece->after_s;
    out->rain_water_m += piece->rain_mps * lasts_s;
    if (piece->rate_mps > 0)
      out->snow_water_m += piece->rate_mps * pc_storm_piece_density(piece, snow) / water_kgpm3 * lasts_s;
  }
}

pc_status pc_storm_csv_read_text(const char *name, const char *text, size_t length, const pc_snow *snow,
                                 pc_storm_csv *out, pc_faults *faults) {
  *out = (pc_storm_csv){0};
  size_t before = faults->count;
  record r = {.snow = snow};
  pc_csv_table t = {.reader = &storm_reader, .context = &r, .name = name, .faults = faults};
  pc_csv_table_read(&t, text, length);
  if (!t.failed && !t.no_memory) {
    tell_gaps(&t);
    out->last_row_s = end_storm(&t);
  }
  free(r.places);
  out->first_row_s = r.clock == PC_STORM_TIME_MOMENT ? r.origin_s : NAN;
  pc_status status = pc_csv_table_end(&t, before);
  if (status != PC_OK) {
    free(r.pieces);
    *out = (pc_storm_csv){0};
    return status;
  }
  out->pieces = r.pieces;
  out->count = r.count;
  sum_up(snow, out);
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
  if (!storm)
    return;
  free(storm->pieces);
  *storm = (pc_storm_csv){0};
}
