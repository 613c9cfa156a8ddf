// SPDX-License-Identifier: GPL-3.0-or-later
/* From timed rows to what is fitted: whose rows they are, which legs are one way, what tells nothing. All
 * rows lie on their curves, so that speeds and numbers are known by hand (docs/fit.md, study/fit.h). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "simulate.h"
#include "study/fit.h"

static void add(pc_timed *timed, const char *machine, pc_timed_row row) {
  assert_int_equal(pc_timed_machine(timed, machine, &row.machine), PC_OK);
  assert_int_equal(pc_timed_add(timed, &row), PC_OK);
}

static pc_timed_row row_of(pc_phase phase, double time_s, double distance_m) {
  return (pc_timed_row){.phase = phase,
                        .time_s = time_s,
                        .distance_m = distance_m,
                        .load_kg = NAN,
                        .from = {NAN, NAN},
                        .to = {NAN, NAN}};
}

static pc_fit made(const pc_timed *timed, pc_fit_by by) {
  pc_fit fit;
  pc_faults faults = {0};
  assert_int_equal(pc_fit_make(timed, by, &fit, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  pc_faults_free(&faults);
  return fit;
}

/* A number behind a blank is that of one of several alike; by machine each stays on its own. Rows of all come
 * mixed; groups stand in the order of their first machines. */
static void whose_rows(void **state) {
  (void)state;
  static const struct {
    const char *machine, *loader;
    double push_mps;
  } all[] = {{"mid 1", "mid", 2},   {"small 12", "small", 3}, {"mid 2", "mid", 2},
             {"mid2", "mid2", 1.5}, {"7", "7", 1.2},          {"mid", "mid", 2},
             {"a 10", "a", 1.1},    {"small 3", "small", 3},  {"big 4 x", "big 4 x", 1.7}};
  static const char *const order[] = {"mid", "small", "mid2", "7", "a", "big 4 x"};
  static const size_t machines[] = {3, 2, 1, 1, 1, 1};
  enum { COUNT = sizeof all / sizeof all[0], ROWS = 10 };
  pc_timed timed = {0};
  for (int i = 1; i <= ROWS; i++)
    for (size_t m = 0; m < COUNT; m++) {
      add(&timed, all[m].machine, row_of(PC_PHASE_FILL, 10 * i / all[m].push_mps, 10 * i));
      add(&timed, all[m].machine, row_of(PC_PHASE_CARRY, 10 * i / 3.0, 10 * i));
      add(&timed, all[m].machine, row_of(PC_PHASE_DUMP, 8, NAN));
      add(&timed, all[m].machine, row_of(PC_PHASE_RETURN, 10 * i / 4.0, 10 * i));
    }
  pc_fit fit = made(&timed, PC_FIT_BY_LOADER);
  assert_int_equal(fit.loader_count, 6);
  for (size_t g = 0; g < 6; g++) {
    const pc_fit_loader *loader = &fit.loaders[g];
    assert_string_equal(loader->name.text, order[g]);
    assert_int_equal(loader->rows, machines[g] * 4 * ROWS);
    assert_int_equal(loader->values[PC_FIT_PUSH].rows, machines[g] * ROWS);
    assert_int_equal(loader->left_out, 0);
    size_t first = 0;
    while (!pc_name_is(&loader->name, all[first].loader))
      first++;
    assert_near("push", loader->values[PC_FIT_PUSH].value, all[first].push_mps, 1e-9);
    assert_near("dump", loader->values[PC_FIT_DUMP].value, 8, 1e-9);
  }
  pc_fit_free(&fit);
  fit = made(&timed, PC_FIT_BY_MACHINE);
  assert_int_equal(fit.loader_count, COUNT);
  for (size_t m = 0; m < COUNT; m++) {
    assert_string_equal(fit.loaders[m].name.text, all[m].machine);
    assert_int_equal(fit.loaders[m].rows, 4 * ROWS);
    assert_near("push", fit.loaders[m].values[PC_FIT_PUSH].value, all[m].push_mps, 1e-9);
  }
  pc_fit_free(&fit);
  pc_timed_free(&timed);
}

static pc_timed_row leg(pc_phase phase, double time_s, pc_point from, pc_point to) {
  pc_timed_row row = row_of(phase, time_s, hypot(to.x_m - from.x_m, to.y_m - from.y_m));
  row.from = from;
  row.to = to;
  return row;
}

static void add_return(pc_timed *timed, pc_timed_direction direction, double time_s, pc_point from,
                       pc_point to) {
  pc_timed_row row = leg(PC_PHASE_RETURN, time_s, from, to);
  row.direction = direction;
  add(timed, "m", row);
}

/* Ways round a corner, in parts of each of their times, so that only together they lie on their curves: 3 m/s
 * loaded, back in reverse at 2.5 m/s and forward at 4 m/s in turns. Rows of another machine come between.
 * Every fifth time the second leg begins a metre off: two ways, each on its curve. */
static void add_cycle(pc_timed *timed, int i) {
  bool reverse = i % 2, apart = i % 5 == 0;
  pc_timed_direction direction = reverse ? PC_DIRECTION_REVERSE : PC_DIRECTION_FORWARD;
  double x = 10 * i, y = 5 * i, back_s = 20 * i / (reverse ? 2.5 : 4);
  add(timed, "m", row_of(PC_PHASE_LOWER, 2, NAN));
  add(timed, "m", row_of(PC_PHASE_FILL, x / 2, x));
  add(timed, "m", leg(PC_PHASE_CARRY, apart ? x / 3 : 0.7 * (x + y) / 3, (pc_point){0, 0}, (pc_point){x, 0}));
  add(timed, "other", row_of(PC_PHASE_FILL, x / 2, x));
  add(timed, "other", leg(PC_PHASE_CARRY, x / 3, (pc_point){x, 0}, (pc_point){x, x}));
  add(timed, "m", row_of(PC_PHASE_TURN, 4, NAN));
  double begin = apart ? 1 : 0;
  add(timed, "m",
      leg(PC_PHASE_CARRY, apart ? (y - 1) / 3 : 0.3 * (x + y) / 3, (pc_point){x, begin}, (pc_point){x, y}));
  add(timed, "m", row_of(PC_PHASE_DUMP, 8, NAN));
  add(timed, "m", row_of(PC_PHASE_RAISE, 3, NAN));
  add(timed, "m", row_of(PC_PHASE_TURN, 1, NAN));
  add_return(timed, PC_DIRECTION_REVERSE, 8 / 2.5, (pc_point){x, y}, (pc_point){x, y + 8});
  add_return(timed, direction, 0.2 * back_s, (pc_point){x, y + 8}, (pc_point){x, y + 8 + 15 * i});
  add(timed, "other", row_of(PC_PHASE_RETURN, x / 4, x));
  add(timed, "m", row_of(PC_PHASE_TURN, 4, NAN));
  add_return(timed, direction, 0.8 * back_s, (pc_point){x, y + 8 + 15 * i},
             (pc_point){x + y, y + 8 + 15 * i});
  add(timed, "m", row_of(PC_PHASE_WAIT, 5, NAN));
}

/* Legs that follow one another are one way; backing out of a pile is a way of its own, also before one in
 * reverse. What is too short tells nothing: under half a metre, or no time. */
static void which_legs_are_one_way(void **state) {
  (void)state;
  enum { CYCLES = 20, APART = CYCLES / 5 };
  pc_timed timed = {0};
  for (int i = 1; i <= CYCLES; i++)
    add_cycle(&timed, i);
  add(&timed, "m", row_of(PC_PHASE_FILL, 0.25, 0.5));
  add(&timed, "m", row_of(PC_PHASE_FILL, 0.2, 0.4));
  add(&timed, "m", row_of(PC_PHASE_DUMP, 0.04, NAN));
  pc_fit fit = made(&timed, PC_FIT_BY_LOADER);
  assert_int_equal(fit.loader_count, 2);
  const pc_fit_loader *m = &fit.loaders[0];
  static const struct {
    pc_fit_what what;
    double value;
    size_t rows;
  } expected[] = {{PC_FIT_PUSH, 2, CYCLES + 1},   {PC_FIT_CARRY, 3, CYCLES + APART},
                  {PC_FIT_RETURN, 4, CYCLES / 2}, {PC_FIT_REVERSE, 2.5, CYCLES + CYCLES / 2},
                  {PC_FIT_LOWER, 2, CYCLES},      {PC_FIT_RAISE, 3, CYCLES},
                  {PC_FIT_DUMP, 8, CYCLES},       {PC_FIT_TURN, 3, 3 * CYCLES}};
  for (size_t k = 0; k < sizeof expected / sizeof expected[0]; k++) {
    const pc_fit_value *value = &m->values[expected[k].what];
    assert_near(pc_fit_key(expected[k].what), value->value, expected[k].value, 1e-9);
    assert_int_equal(value->rows, expected[k].rows);
    assert_int_equal(value->down, 0);
  }
  assert_true(m->told && !m->split_by_pace);
  /* a time to start that rounding makes up is none */
  assert_true(isnan(m->values[PC_FIT_ACCELERATION].value) &&
              isnan(fit.loaders[1].values[PC_FIT_ACCELERATION].value));
  assert_int_equal(m->rows, 11 * CYCLES + APART + 3); /* of a way in two legs one counts */
  assert_int_equal(m->left_out, 2);
  assert_int_equal(fit.loaders[1].rows, 3 * CYCLES);
  pc_fit_free(&fit);
  pc_timed_free(&timed);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(whose_rows), cmocka_unit_test(which_legs_are_one_way)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
