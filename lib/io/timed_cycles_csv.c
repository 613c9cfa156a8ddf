// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/timed_cycles_csv.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/csv_table.h"
#include "io/tree_private.h"

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
static const char *const unused_names[] = {"replication", "cycle", "swath_m", "box", "zone", NULL};

/* Who measures ways in feet reads feet. */
static pc_unit_system units_of(const pc_csv_table *t) {
  static const char *const us[] = {"in", "ft", "yd", "mi"};
  for (size_t i = 0; t->heading[COLUMN_DISTANCE] && i < sizeof us / sizeof us[0]; i++)
    if (strcmp(t->unit[COLUMN_DISTANCE], us[i]) == 0)
      return PC_US;
  return PC_METRIC;
}

static void check_columns(pc_csv_table *t) {
  ((pc_timed *)t->context)->units = units_of(t);
  bool duration = pc_csv_has(t, COLUMN_DURATION), start = pc_csv_has(t, COLUMN_START),
       end = pc_csv_has(t, COLUMN_END);
  if (!pc_csv_has(t, COLUMN_PHASE))
    pc_csv_fault(t, PC_ERR_MISSING, "phase",
                 "is missing: the first line must name the columns, such as phase,duration_s,distance_m");
  if (!duration && !(start && end))
    pc_csv_fault(t, PC_ERR_MISSING,
                 start ? "end_s"
                 : end ? "start_s"
                       : "duration_s",
                 "is missing: give duration_s, or start_s and end_s");
  if (duration && start && end)
    pc_csv_fault_in(t, COLUMN_DURATION, PC_ERR_KEY, "stands beside start_s and end_s; give one of the two");
}

static pc_phase read_phase(pc_csv_table *t) {
  const char *words[PC_PHASE_COUNT];
  const char *text = pc_csv_text(t, COLUMN_PHASE);
  for (int p = 0; p < PC_PHASE_COUNT; p++) {
    words[p] = pc_phase_name((pc_phase)p);
    if (strcmp(text, words[p]) == 0)
      return (pc_phase)p;
  }
  const char *near = strcmp(text, "push") == 0 ? pc_phase_name(PC_PHASE_FILL) /* as speeds.push is */
                                               : pc_nearest_word(text, words, PC_PHASE_COUNT);
  pc_csv_fault_in(
      t, COLUMN_PHASE, PC_ERR_NAME,
      "\"%.40s\" is no phase%s%s%s; phases: lower fill clean_up raise turn carry wait dump return idle", text,
      near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
  return PC_PHASE_COUNT;
}

static pc_timed_direction read_direction(pc_csv_table *t) {
  if (!pc_csv_has(t, COLUMN_DIRECTION))
    return PC_DIRECTION_UNKNOWN;
  const char *text = pc_csv_text(t, COLUMN_DIRECTION);
  if (strcmp(text, "forward") == 0)
    return PC_DIRECTION_FORWARD;
  if (strcmp(text, "reverse") == 0)
    return PC_DIRECTION_REVERSE;
  if (*text)
    pc_csv_fault_in(t, COLUMN_DIRECTION, PC_ERR_NAME, "\"%.40s\" must be forward or reverse", text);
  return PC_DIRECTION_UNKNOWN;
}

static double read_duration(pc_csv_table *t) {
  const int which = pc_csv_has(t, COLUMN_DURATION) ? COLUMN_DURATION : COLUMN_END;
  double time = which == COLUMN_DURATION
                    ? pc_csv_number(t, COLUMN_DURATION, false)
                    : pc_csv_number(t, COLUMN_END, false) - pc_csv_number(t, COLUMN_START, false);
  if (time < 0)
    pc_csv_fault_in(t, which, PC_ERR_RANGE,
                    which == COLUMN_END ? "must not be earlier than start_s" : "must not be less than 0");
  return time;
}

static void add_row(pc_csv_table *t, pc_timed_row *row) {
  const char *machine = pc_csv_has(t, COLUMN_MACHINE) ? pc_csv_text(t, COLUMN_MACHINE) : "";
  pc_name name;
  if (*machine == '\0')
    machine = "loader"; /* left out, or empty: one machine */
  if (!pc_name_set(&name, machine)) {
    pc_csv_fault_in(t, COLUMN_MACHINE, PC_ERR_RANGE, "must be a name of at most %d bytes",
                    (int)PC_NAME_MAX - 1);
    return;
  }
  pc_timed *timed = t->context;
  t->no_memory |=
      pc_timed_machine(timed, machine, &row->machine) != PC_OK || pc_timed_add(timed, row) != PC_OK;
}

static void read_row(pc_csv_table *t) {
  pc_timed_row row = {.line = t->line, .phase = read_phase(t), .time_s = read_duration(t)};
  row.distance_m = pc_csv_number(t, COLUMN_DISTANCE, true);
  row.load_kg = pc_csv_number(t, COLUMN_LOAD, true);
  row.from = (pc_point){pc_csv_number(t, COLUMN_X0, true), pc_csv_number(t, COLUMN_Y0, true)};
  row.to = (pc_point){pc_csv_number(t, COLUMN_X1, true), pc_csv_number(t, COLUMN_Y1, true)};
  row.direction = read_direction(t);
  if (row.distance_m < 0)
    pc_csv_fault_in(t, COLUMN_DISTANCE, PC_ERR_RANGE, "must not be less than 0");
  if (row.load_kg < 0)
    pc_csv_fault_in(t, COLUMN_LOAD, PC_ERR_RANGE, "must not be less than 0");
  if (!t->row_failed && row.time_s > 0)
    add_row(t, &row);
}

static bool has_rows(const pc_csv_table *t) {
  return ((const pc_timed *)t->context)->count > 0;
}

static const pc_csv_measure *measures(const pc_csv_table *t) {
  static const pc_csv_measure units[COLUMN_COUNT] = {[COLUMN_DURATION] = {PC_DIM_TIME, "s"},
                                                     [COLUMN_DISTANCE] = {PC_DIM_LENGTH, "m"},
                                                     [COLUMN_LOAD] = {PC_DIM_MASS, "kg"}};
  (void)t;
  return units;
}

static const pc_csv_reader timed_reader = {.what = "the timed cycles",
                                           .columns = column_names,
                                           .column_count = COLUMN_COUNT,
                                           .silent = unused_names,
                                           .check = check_columns,
                                           .row = read_row,
                                           .has_rows = has_rows,
                                           .measures = measures};

pc_status pc_timed_csv_read_text(const char *name, const char *text, size_t length, pc_timed *timed,
                                 pc_faults *faults) {
  *timed = (pc_timed){0};
  size_t before = faults->count;
  pc_csv_table t = {.reader = &timed_reader, .context = timed, .name = name, .faults = faults};
  pc_csv_table_read(&t, text, length);
  if (!faults->units_given)
    faults->units = timed->units;
  pc_status status = pc_csv_table_end(&t, before);
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
