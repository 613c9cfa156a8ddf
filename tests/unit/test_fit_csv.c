// SPDX-License-Identifier: GPL-3.0-or-later
/* Timed cycles from CSV: what may stand there, every fault with its place, reasons to refuse, and the
 * fragment that comes out, which a scenario must read. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "io/results.h"
#include "io/scenario.h"
#include "io/tables.h"
#include "io/timed_cycles_csv.h"
#include "io/trace_csv.h"
#include "scene.h"
#include "simulate.h"

static pc_timed read_rows(const char *text, size_t cautions) {
  pc_timed timed;
  pc_faults faults = {0};
  pc_status status = pc_timed_csv_read_text("t.csv", text, strlen(text), &timed, &faults);
  for (size_t i = 0; i < faults.count && (status != PC_OK || faults.count != cautions); i++)
    print_error("%d: %s: %s\n", faults.items[i].line, faults.items[i].key, faults.items[i].message);
  assert_int_equal(status, PC_OK);
  assert_int_equal(faults.count, cautions);
  pc_faults_free(&faults);
  return timed;
}

static void add_lines(const pc_faults *faults, pc_text *lines) {
  for (size_t i = 0; i < faults->count; i++) {
    char line[1024];
    (void)pc_error_format(&faults->items[i], line, sizeof line);
    pc_text_addf(lines, "%s\n", line);
  }
}

static void expect_bad(const char *text, const char *expected) {
  pc_timed timed;
  pc_faults faults = {0};
  pc_text lines = {0};
  assert_int_not_equal(pc_timed_csv_read_text("t.csv", text, strlen(text), &timed, &faults), PC_OK);
  assert_null(timed.rows);
  add_lines(&faults, &lines);
  assert_string_equal(lines.data, expected);
  pc_text_free(&lines);
  pc_faults_free(&faults);
}

static void good_rows(void **state) {
  (void)state;
  pc_timed t = read_rows(
      "\xEF\xBB\xBFphase, duration_s ,distance_m,machine,direction\r\n"
      "fill,12.5,30,\"big, \"\"red\"\" one\",\r\n\r\n"
      " return ,9,40,x,reverse\nreturn,9,,x,forward\nwait,0,,x,\ndump,8,,x,",
      0);
  assert_int_equal(t.count, 4); /* no time at all tells nothing */
  assert_int_equal(t.machine_count, 2);
  assert_string_equal(t.machines[0].text, "big, \"red\" one");
  assert_int_equal(t.rows[0].phase, PC_PHASE_FILL);
  assert_true(t.rows[0].time_s == 12.5 && t.rows[0].distance_m == 30 && isnan(t.rows[0].load_kg));
  assert_int_equal(t.rows[1].line, 4);
  assert_int_equal(t.rows[1].direction, PC_DIRECTION_REVERSE);
  assert_int_equal(t.rows[2].direction, PC_DIRECTION_FORWARD);
  assert_true(isnan(t.rows[2].distance_m));
  assert_int_equal(t.rows[3].machine, 1);
  pc_timed_free(&t);
  t = read_rows("phase,start_s,end_s,weather,distance_m\ncarry,100,112,cold,40\n", 1);
  assert_true(t.rows[0].time_s == 12);
  assert_string_equal(t.machines[0].text, "loader");
  pc_timed_free(&t);
}

static void bad_headers(void **state) {
  (void)state;
  expect_bad("", "t.csv: is empty: it needs a line with the names of the columns, then rows\n");
  expect_bad("phase,duration_s\n", "t.csv: has no rows below the names of the columns\n");
  expect_bad("fase,secs\nfill,3\n",
             "t.csv:1: phase: is missing: the first line must name the columns, such as "
             "phase,duration_s,distance_m\n"
             "t.csv:1: duration_s: is missing: give duration_s, or start_s and end_s\n");
  expect_bad("phase,start_s\nfill,3\n",
             "t.csv:1: end_s: is missing: give duration_s, or start_s and end_s\n");
  expect_bad("phase,start_s,end_s,duration_s\nfill,3,4,1\n",
             "t.csv:1:21: duration_s: stands beside start_s and end_s; give one of the two\n");
  expect_bad("phase,duration_s,phase\nfill,3,fill\n", "t.csv:1:18: phase: is the name of two columns\n");
}

/* docs/fit.md: `machine` may be left out or empty. The same rows without the column, with an empty one. */
static void no_machine(void **state) {
  (void)state;
  static const char *const texts[] = {"phase,duration_s\nfill,3\nfill,4\n",
                                      "phase,duration_s,machine\nfill,3,\nfill,4,\n",
                                      "phase,duration_s,machine\nfill,3,loader\nfill,4,\n"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    pc_timed timed;
    pc_faults faults = {0};
    assert_int_equal(pc_timed_csv_read_text("t.csv", texts[i], strlen(texts[i]), &timed, &faults), PC_OK);
    assert_int_equal(faults.count, 0);
    assert_int_equal(timed.count, 2);
    assert_int_equal(timed.machine_count, 1);
    assert_string_equal(timed.machines[0].text, "loader");
    pc_timed_free(&timed);
    pc_faults_free(&faults);
  }
}

/* Every bad row is told, at its line and its character. */
static void bad_rows(void **state) {
  (void)state;
  expect_bad(
      "machine,phase,duration_s,distance_m,direction,load_kg\n"
      "a,fil,3,4,,\n"
      "Größe,fill,drei,4,,\n"
      "a,fill,,-4,,\n"
      "a,return,3,4,left,-1\n"
      "a,fill,3,4\n"
      "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef,fill,3,4,,\n"
      "a,\"fill,3,4,,\n"
      "a,fill,-3,4,,\n",
      "t.csv:2:3: phase: \"fil\" is no phase; did you mean fill?; phases: lower fill clean_up raise turn "
      "carry "
      "wait dump return idle\n"
      "t.csv:3:12: duration_s: \"drei\" must be a plain number\n"
      "t.csv:4:8: duration_s: has no value on this line\n"
      "t.csv:4:9: distance_m: must not be less than 0\n"
      "t.csv:5:14: direction: \"left\" must be forward or reverse\n"
      "t.csv:5:19: load_kg: must not be less than 0\n"
      "t.csv:6: has 4 fields where the first line names 6 columns\n"
      "t.csv:7:1: machine: must be a name of at most 63 bytes\n"
      "t.csv:8:3: a quote is opened but not closed on this line\n"
      "t.csv:9:8: duration_s: must not be less than 0\n");
  expect_bad("phase,start_s,end_s\nfill,12,11\n", "t.csv:2:9: end_s: must not be earlier than start_s\n");
  pc_timed timed;
  pc_faults faults = {0};
  assert_int_equal(pc_timed_csv_read("/nowhere/t.csv", &timed, &faults), PC_ERR_FILE);
  assert_int_equal(pc_timed_csv_read_text("t.csv", "phase\0", 6, &timed, &faults), PC_ERR_SYNTAX);
  pc_faults_free(&faults);
}

static void add_rows(pc_text *text, const char *machine, const char *phase, int count, double first_m,
                     double step_m) {
  for (int i = 0; i < count; i++) {
    double d = first_m + step_m * i;
    pc_text_addf(text, "%s,%s,%.6f,%.6f\n", machine, phase, d / 2 * (1 + 0.01 * (i % 3 - 1)), d);
  }
}

static void expect_refused(const char *text, pc_fit_by by, const char *expected) {
  pc_timed timed = read_rows(text, 0);
  pc_fit fit;
  pc_faults faults = {0};
  pc_text lines = {0};
  assert_int_not_equal(pc_fit_make(&timed, by, &fit, &faults), PC_OK);
  assert_null(fit.loaders);
  add_lines(&faults, &lines);
  assert_string_equal(lines.data, expected);
  pc_text_free(&lines);
  pc_faults_free(&faults);
  pc_timed_free(&timed);
}

/* Distances that are all alike fix no line (a singular design), few rows no speed, no rows nothing. */
static void reasons_to_refuse(void **state) {
  (void)state;
  pc_text text = {0};
  pc_text_add(&text, "machine,phase,duration_s,distance_m\n");
  add_rows(&text, "a 1", "fill", 12, 20, 5);
  add_rows(&text, "a 2", "return", 7, 20, 5);
  add_rows(&text, "a 2", "carry", 30, 50, 0.2);
  expect_refused(
      text.data, PC_FIT_BY_LOADER,
      "carry: a: all distances are alike (50 m to 55.8 m), so that speed and the time to start and stop "
      "can't be told apart; time some much shorter and longer ways too\n"
      "return: a: 7 rows are too few to tell a speed from chance; time at least 8\n");
  expect_refused(
      text.data, PC_FIT_BY_MACHINE,
      "carry: a 1: no row times it, or none has a distance\n"
      "return: a 1: no row times it, or none has a distance\n"
      "fill: a 2: no row times it, or none has a distance\n"
      "carry: a 2: all distances are alike (50 m to 55.8 m), so that speed and the time to start and stop "
      "can't be told apart; time some much shorter and longer ways too\n"
      "return: a 2: 7 rows are too few to tell a speed from chance; time at least 8\n");
  /* with what was missing it goes; a machine of which too little is known is told of, and left out */
  add_rows(&text, "a 2", "return", 9, 30, 7);
  add_rows(&text, "a 2", "carry", 9, 10, 7);
  add_rows(&text, "b", "fill", 9, 10, 7);
  pc_timed timed = read_rows(text.data, 0);
  pc_fit fit;
  pc_faults faults = {0};
  assert_int_equal(pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &faults), PC_OK);
  assert_int_equal(fit.loader_count, 1);
  assert_string_equal(fit.loaders[0].name.text, "a");
  assert_near("carry", fit.loaders[0].values[PC_FIT_CARRY].value, 2, 0.01);
  assert_int_equal(faults.count, 2);
  assert_int_equal(pc_faults_fatal(&faults), 0);
  pc_fit_free(&fit);
  pc_timed_free(&timed);
  pc_faults_free(&faults);
  pc_text_free(&text);
}

/* Loads make carries slower here by 1 % for each 100 kg: told, with how much. */
static void heavy_loads(void **state) {
  (void)state;
  pc_text text = {0};
  pc_text_add(&text, "phase,duration_s,distance_m,load_kg\n");
  for (int i = 0; i < 60; i++) {
    double d = 20 + i % 17 * 3, load = 400 + i % 7 * 200, luck = 1 + 0.01 * (i % 5 - 2);
    pc_text_addf(&text, "carry,%.6f,%g,%g\n", d / 3 * exp(load / 10000) * luck, d, load);
    pc_text_addf(&text, "fill,%.6f,%g,\nreturn,%.6f,%g,\n", d / 2 * luck, d, d / 4 * luck, d);
  }
  pc_timed timed = read_rows(text.data, 0);
  pc_fit fit;
  pc_faults faults = {0};
  assert_int_equal(pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &faults), PC_OK);
  assert_near("slower", fit.loaders[0].slower_with_load, expm1(0.12), 0.1); /* 1200 kg between them */
  pc_fit_free(&fit);
  pc_timed_free(&timed);
  pc_text_free(&text);
}

/* The trace of a run, written and read back, gives a fragment that a scenario can hold; the reference lot's
 * speeds stand in it. Legs around corners are joined: no lot is needed to see how long a way was. */
static pc_fit fit_of_trace(bool *split) {
  pc_scenario s = scene_reference(3, 2, "keep-pushing");
  s.loaders[0].carry_speed_mps = s.loaders[0].push_speed_mps;
  s.loaders[0].reverse_speed_mps = 3.5;
  s.loaders[0].raise_s = 3;
  s.chance = (pc_chance){1, 1, 0.05, 0.10, 0.20, 0.20, 0.12};
  pc_lot *lot = make_lot(&s);
  FILE *file = tmpfile();
  assert_non_null(file);
  pc_trace_csv csv;
  pc_trace_csv_start(&csv, file, lot);
  const pc_trace trace = {.row = pc_trace_csv_row, .context = &csv};
  pc_result result = simulate_lot(lot, 1, 0, &trace);
  assert_int_equal(pc_trace_csv_finish(&csv), PC_OK);
  long size = ftell(file);
  char *text = malloc((size_t)size);
  assert_non_null(text);
  rewind(file);
  assert_int_equal(fread(text, 1, (size_t)size, file), size);
  fclose(file);
  pc_timed timed;
  pc_fit fit;
  pc_faults faults = {0};
  assert_int_equal(pc_timed_csv_read_text("trace.csv", text, (size_t)size, &timed, &faults), PC_OK);
  assert_int_equal(pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  *split = fit.loaders[0].split_by_pace;
  free(text);
  pc_timed_free(&timed);
  pc_result_free(&result);
  pc_lot_free(lot);
  pc_scenario_free(&s);
  return fit;
}

static void a_fragment_to_paste(void **state) {
  (void)state;
  bool split;
  pc_fit fit = fit_of_trace(&split);
  assert_false(split);
  assert_int_equal(fit.loader_count, 1);
  pc_text text = {0};
  pc_tables_fit(&fit, "trace.csv", PC_METRIC, &text);
  pc_text_add(&text,
              "snow: {depth: 10 cm}\n"
              "site: {areas: [{name: yard, outline: [[0, 0], [50, 0], [50, 40], [0, 40]]}]}\n"
              "boxes: [{name: box, width: 4 m, height: 1 m}]\n"
              "zones: [{name: pile, at: [50, 20]}]\n");
  pc_scenario s;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("s.yaml", text.data, text.length, NULL, 0, &s, &faults);
  if (status != PC_OK)
    fail_msg("%s\n%s", faults.items[0].message, text.data);
  const pc_fit_value *v = fit.loaders[0].values;
  /* as printed: to hundredths of a km/h and of a second */
  assert_true(fabs(s.loaders[0].push_speed_mps - v[PC_FIT_PUSH].value) <= 0.0051 / 3.6);
  assert_true(fabs(s.loaders[0].return_speed_mps - v[PC_FIT_RETURN].value) <= 0.0051 / 3.6);
  assert_true(fabs(s.loaders[0].reverse_speed_mps - v[PC_FIT_REVERSE].value) <= 0.0051 / 3.6);
  assert_true(fabs(s.loaders[0].dump_s - v[PC_FIT_DUMP].value) <= 0.0051);
  assert_true(s.loaders[0].raise_s == 3 && s.loaders[0].lower_s == 2);
  assert_true(fabs(s.chance.carry - fit.carry_spread) <= 0.00051);
  assert_true(fabs(s.chance.fill - 0.05) < 0.02 && fabs(s.chance.back - 0.12) < 0.03);
  pc_scenario_free(&s);
  pc_faults_free(&faults);
  pc_text_free(&text);
  assert_int_equal(pc_results_fit_json(&fit, "trace.csv", &text), PC_OK);
  json_t *root = json_loads(text.data, 0, NULL);
  assert_non_null(root);
  const json_t *values = json_object_get(json_array_get(json_object_get(root, "loaders"), 0), "values");
  assert_int_equal(json_array_size(values), PC_FIT_COUNT);
  assert_near("push", json_real_value(json_object_get(json_array_get(values, 0), "mps")),
              v[PC_FIT_PUSH].value, 1e-14);
  json_decref(root);
  pc_text_free(&text);
  pc_fit_free(&fit);
}

/* As many names as there are, each found again, in the order in which they came. */
static void many_machines(void **state) {
  (void)state;
  enum { NAMES = 2000 };
  pc_timed timed = {0};
  for (size_t again = 0; again < 2; again++)
    for (size_t i = 0; i < NAMES; i++) {
      char name[20];
      size_t index = SIZE_MAX;
      snprintf(name, sizeof name, "loader %zu", i);
      assert_int_equal(pc_timed_machine(&timed, name, &index), PC_OK);
      assert_int_equal(index, i);
      assert_true(timed.slot_count >= 2 * timed.machine_count); /* half of them empty */
    }
  assert_int_equal(timed.machine_count, NAMES);
  assert_string_equal(timed.machines[1999].text, "loader 1999");
  pc_timed_free(&timed);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(good_rows),           cmocka_unit_test(bad_headers),
      cmocka_unit_test(no_machine),          cmocka_unit_test(bad_rows),
      cmocka_unit_test(reasons_to_refuse),   cmocka_unit_test(heavy_loads),
      cmocka_unit_test(a_fragment_to_paste), cmocka_unit_test(many_machines),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
