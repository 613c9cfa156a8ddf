// SPDX-License-Identifier: GPL-3.0-or-later
/* Fitting timed cycles: one curve against an independent robust regression, known curves, a published spread;
 * whole loaders against what the simulator was given. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "io/scenario.h"
#include "io/starter.h"
#include "scene.h"
#include "simulate.h"
#include "study/fit.h"
#include "validation.h"

enum { ROWS = 400, SEEDS = 100 };

/* ---- one curve ---- */

/* Distances from 5 to 105 m, times of a curve with lognormal luck; every `slip`-th row is off by a factor
 * of 4. */
static void make_rows(double speed, double acceleration, double cv, int slip, uint64_t seed, double *distance,
                      double *time) {
  pc_stream stream;
  pc_stream_start(&stream, seed, 0, 0, 0);
  for (int i = 0; i < ROWS; i++) {
    distance[i] = 5.0 + 100.0 * (double)(pc_stream_next(&stream) >> 11) * 0x1p-53;
    time[i] = pc_leg_time_s(distance[i], speed, acceleration) * pc_stream_factor(&stream, cv);
    if (slip > 0 && i % slip == 0)
      time[i] *= 4.0;
  }
}

/* Bisquare M-estimate of GSL (DuMouchel & O'Brien 1989; Street, Carroll & Ruppert 1988), an independent
 * implementation: y = X·c. */
static void gsl_bisquare(const gsl_matrix *x, const gsl_vector *y, gsl_vector *c, gsl_matrix *covariance) {
  gsl_multifit_robust_workspace *w =
      gsl_multifit_robust_alloc(gsl_multifit_robust_bisquare, x->size1, x->size2);
  assert_int_equal(gsl_multifit_robust_maxiter(1000, w), 0);
  assert_int_equal(gsl_multifit_robust(x, y, c, covariance, w), 0);
  gsl_multifit_robust_free(w);
}

static void a_mean_as_another_program_finds_it(void **state) {
  (void)state;
  double distance[ROWS], time[ROWS];
  gsl_matrix *x = gsl_matrix_alloc(ROWS, 1), *covariance = gsl_matrix_alloc(1, 1);
  gsl_vector *y = gsl_vector_alloc(ROWS), *c = gsl_vector_alloc(1);
  for (uint64_t seed = 1; seed <= 20; seed++) {
    pc_curve curve;
    make_rows(1, NAN, 0.3, seed % 2 ? 15 : 0, seed, distance, time);
    for (size_t i = 0; i < ROWS; i++) {
      gsl_matrix_set(x, i, 0, 1.0);
      gsl_vector_set(y, i, log(time[i] / distance[i]));
      time[i] /= distance[i];
    }
    gsl_bisquare(x, y, c, covariance);
    assert_int_equal(pc_curve_fit(NULL, time, ROWS, PC_CURVE_TIME, &curve), PC_OK);
    assert_near("the median", curve.start_s / curve.middle, exp(gsl_vector_get(c, 0)), 1e-7);
    /* GSL's variance is never less than ours: it mixes in that of least squares, which slips blow up */
    double found = sqrt(curve.start_var) / curve.start_s, other = sqrt(gsl_matrix_get(covariance, 0, 0));
    if (seed % 2 == 0)
      assert_near("its error", found, other,
                  0.06); /* ours has the error of σ as well: 1 + σ²/2 of the variance */
    else
      assert_true(found <= 1.06 * other);
  }
  gsl_matrix_free(x);
  gsl_matrix_free(covariance);
  gsl_vector_free(y);
  gsl_vector_free(c);
}

/* Where ours has settled, a linear robust regression of what is left on the curve's own slopes finds nothing.
 */
static void a_curve_as_another_program_finds_it(void **state) {
  (void)state;
  double distance[ROWS], time[ROWS];
  gsl_matrix *x = gsl_matrix_alloc(ROWS, 2), *covariance = gsl_matrix_alloc(2, 2);
  gsl_vector *y = gsl_vector_alloc(ROWS), *c = gsl_vector_alloc(2);
  for (uint64_t seed = 1; seed <= 20; seed++) {
    pc_curve curve;
    make_rows(4, 0.5, 0.15, seed % 2 ? 15 : 0, seed, distance, time);
    assert_int_equal(pc_curve_fit(distance, time, ROWS, PC_CURVE_BOTH, &curve), PC_OK);
    double p = curve.slowness / curve.middle, k = curve.start_s / curve.middle;
    for (size_t i = 0; i < ROWS; i++) {
      bool slow = p * distance[i] < k; /* the speed is not reached */
      double f = slow ? 2 * sqrt(distance[i] * p * k) : p * distance[i] + k;
      gsl_matrix_set(x, i, 0, slow ? 0.5 / p : distance[i] / f);
      gsl_matrix_set(x, i, 1, slow ? 0.5 / k : 1 / f);
      gsl_vector_set(y, i, log(time[i] / f) + p * gsl_matrix_get(x, i, 0) + k * gsl_matrix_get(x, i, 1));
    }
    gsl_bisquare(x, y, c, covariance);
    assert_near("slowness", p, gsl_vector_get(c, 0), 1e-6);
    assert_near("start", k, gsl_vector_get(c, 1), 1e-6);
    if (seed % 2 == 0) {
      assert_near("error of the slowness", sqrt(curve.slowness_var) / curve.middle,
                  sqrt(gsl_matrix_get(covariance, 0, 0)), 0.06);
      assert_near("error of the start", sqrt(curve.start_var) / curve.middle,
                  sqrt(gsl_matrix_get(covariance, 1, 1)), 0.06);
    }
  }
  gsl_matrix_free(x);
  gsl_matrix_free(covariance);
  gsl_vector_free(y);
  gsl_vector_free(c);
}

/* t = L/v + v/a where L ≥ v²/a, else 2·√(L/a): v 5, a 0.5 gives L 50: 20 s, 150: 40 s, and L 5: 6.3246 s
 * (trapezoid of kinematics; elementary). */
static void known_curve(void **state) {
  (void)state;
  double distance[] = {5, 12.5, 20, 50, 75, 100, 150, 200, 300};
  double time[9];
  pc_curve curve;
  for (int i = 0; i < 9; i++)
    time[i] = distance[i] >= 50 ? distance[i] / 5 + 10 : 2 * sqrt(distance[i] / 0.5);
  assert_near("150 m", time[6], 40, 1e-15);
  assert_near("5 m", time[0], 6.32455532, 1e-8);
  assert_int_equal(pc_curve_fit(distance, time, 9, PC_CURVE_BOTH, &curve), PC_OK);
  assert_near("slowness", curve.slowness, 0.2, 1e-6);
  assert_near("start", curve.start_s, 10, 1e-6);
  assert_near("time of 20 m", pc_curve_time_s(&curve, 20), 12.6491106, 1e-6);
  assert_near("time of 120 m", pc_curve_time_s(&curve, 120), 34, 1e-6);
}

/* Spread of forwarder cycle times, mean and standard deviation in minutes: drive loaded 4.8 (4.2), drive
 * empty 7.0 (7.7), unload 10.2 (9.9): Silva Fennica 50(3) 1546 (2016), Table 1. Rows are the quantiles of
 * lognormals of these moments, a right-skewed distribution as theirs; cutting the upper half of the last
 * row's share loses a little. */
static void published_spread(void **state) {
  (void)state;
  static const double mean[] = {4.8, 7.0, 10.2}, sd[] = {4.2, 7.7, 9.9};
  enum { N = 8868 };
  double *time = malloc(N * sizeof *time);
  assert_non_null(time);
  for (int k = 0; k < 3; k++) {
    pc_curve curve;
    double s2 = log(1 + sd[k] * sd[k] / mean[k] / mean[k]), s = sqrt(s2);
    for (int i = 0; i < N; i++)
      time[i] = 60 * gsl_cdf_lognormal_Pinv((i + 0.5) / N, log(mean[k]) - s2 / 2, s);
    assert_int_equal(pc_curve_fit(NULL, time, N, PC_CURVE_TIME, &curve), PC_OK);
    assert_published("Silva Fennica 50(3) 1546 (2016), Table 1", "mean of forwarder times, fitted, min",
                     curve.start_s / 60, mean[k], 0.005 * mean[k]);
    assert_near("spread", sqrt(expm1(curve.sigma * curve.sigma)), sd[k] / mean[k], 0.01);
  }
  free(time);
}

/* One row in ten is off by a factor of 4: the speed stays within its error, and those rows are told. */
static void slips_of_the_watch(void **state) {
  (void)state;
  double distance[ROWS], time[ROWS];
  for (uint64_t seed = 1; seed <= 10; seed++) {
    pc_curve curve;
    make_rows(3, NAN, 0.1, 10, seed, distance, time);
    assert_int_equal(pc_curve_fit(distance, time, ROWS, PC_CURVE_SPEED, &curve), PC_OK);
    assert_true(fabs(curve.slowness - 1.0 / 3) < 3.3 * sqrt(curve.slowness_var));
    assert_true(curve.down >= ROWS / 10 && curve.down <= ROWS / 10 + ROWS / 20);
    assert_near("spread", sqrt(expm1(curve.sigma * curve.sigma)), 0.1, 0.15);
  }
}

static void what_does_not_fix_a_curve(void **state) {
  (void)state;
  double alike[] = {30, 30, 30, 30, 30, 30}, some[] = {10, 20, 30, 40, 50, 60};
  double time[] = {10, 11, 9, 10, 12, 10}, zero[] = {10, 0, 9, 10, 12, 10};
  pc_curve curve;
  assert_int_equal(pc_curve_fit(alike, time, 6, PC_CURVE_BOTH, &curve), PC_ERR_RANGE);
  assert_int_equal(pc_curve_fit(alike, time, 6, PC_CURVE_SPEED, &curve), PC_OK);
  assert_int_equal(pc_curve_fit(some, zero, 6, PC_CURVE_SPEED, &curve), PC_ERR_RANGE);
  assert_int_equal(pc_curve_fit(zero, time, 6, PC_CURVE_SPEED, &curve), PC_ERR_RANGE);
  assert_int_equal(pc_curve_fit(NULL, time, 6, PC_CURVE_SPEED, &curve), PC_ERR_RANGE);
  assert_int_equal(pc_curve_fit(some, time, 3, PC_CURVE_BOTH, &curve), PC_ERR_RANGE);
}

/* ---- loaders ---- */

typedef struct keeper {
  const pc_lot *lot;
  pc_timed timed;
  bool silent;  /* says no direction */
  int few, had; /* returns forward that are timed, 0: all; so far */
} keeper;

static void keep(void *context, const pc_trace_row *row) {
  keeper *k = context;
  if (row->phase == PC_PHASE_RETURN && !row->reverse && k->few > 0 && ++k->had > k->few)
    return;
  pc_timed_row timed = {.phase = row->phase,
                        .time_s = row->end_s - row->start_s,
                        .distance_m = row->distance_m,
                        .load_kg = row->load_kg,
                        .from = row->from,
                        .to = row->to,
                        .direction = k->silent      ? PC_DIRECTION_UNKNOWN
                                     : row->reverse ? PC_DIRECTION_REVERSE
                                                    : PC_DIRECTION_FORWARD};
  assert_int_equal(pc_timed_machine(&k->timed, k->lot->machines[row->machine].name.text, &timed.machine),
                   PC_OK);
  assert_int_equal(pc_timed_add(&k->timed, &timed), PC_OK);
}

static pc_fit fit_run_of(keeper k, pc_world *world, uint64_t seed) {
  const pc_lot *lot = k.lot;
  pc_trace trace = {.row = keep, .context = &k};
  pc_result result;
  pc_fit fit;
  pc_faults faults = {0};
  assert_int_equal(pc_result_init_for(&result, lot), PC_OK);
  assert_int_equal(pc_world_run(world, seed, 0, &trace, &result), PC_OK);
  assert_int_equal(pc_fit_make(&k.timed, PC_FIT_BY_LOADER, &fit, &faults), PC_OK);
  pc_timed_free(&k.timed);
  pc_result_free(&result);
  pc_faults_free(&faults);
  return fit;
}

static pc_fit fit_run(const pc_lot *lot, pc_world *world, uint64_t seed) {
  return fit_run_of((keeper){.lot = lot}, world, seed);
}

static const pc_fit_loader *loader_named(const pc_fit *fit, const char *name) {
  for (size_t i = 0; i < fit->loader_count; i++)
    if (pc_name_is(&fit->loaders[i].name, name))
      return &fit->loaders[i];
  fail_msg("no loader %s", name);
  return NULL;
}

/* What was put in, and how often it lay within 1.96 errors of what was found, for values and for spreads. */
typedef struct expected {
  pc_fit_what what;
  double value, spread; /* spread NaN: none to be found */
  int hits, spread_hits;
} expected;

static void count_hits(const pc_fit_loader *loader, expected *items, size_t count) {
  for (size_t i = 0; i < count; i++) {
    const pc_fit_value *found = &loader->values[items[i].what];
    if (isnan(found->value))
      fail_msg("%s is not found", pc_fit_key(items[i].what));
    items[i].hits += fabs(found->value - items[i].value) <= 1.96 * found->error;
    items[i].spread_hits += fabs(found->spread - items[i].spread) <= 1.96 * found->spread_error;
  }
}

/* With intervals that are right, hits of 100 are binomial(100, 0.95): below `least` in one of a thousand. */
static void judge_hits(const expected *items, size_t count, const char *who) {
  unsigned least = 0;
  while (gsl_cdf_binomial_P(least, 0.95, SEEDS) < 0.001)
    least++;
  assert_int_equal(least, 87); /* P(X ≤ 86) = 0.0005, P(X ≤ 87) = 0.0015 */
  for (size_t i = 0; i < count; i++) {
    if (getenv("PC_SHOW"))
      print_message("%s %s: %d and %d of %d\n", who, pc_fit_key(items[i].what), items[i].hits,
                    items[i].spread_hits, SEEDS);
    if (items[i].hits < (int)least || (!isnan(items[i].spread) && items[i].spread_hits < (int)least))
      fail_msg("%s %s: %d and %d hits of %d, at least %u expected", who, pc_fit_key(items[i].what),
               items[i].hits, items[i].spread_hits, SEEDS, least);
  }
}

/* Loads that cross uncleared snow go at push speed, which a row does not say: here the two speeds are alike,
 * so each row is of a known speed. All of its returns are in reverse. */
static void reference_lot_is_recovered(void **state) {
  (void)state;
  for (int with = 0; with < 2; with++) {
    pc_scenario s = scene_reference(3, 1, "straight-runs");
    s.loaders[0].carry_speed_mps = s.loaders[0].push_speed_mps;
    s.loaders[0].reverse_speed_mps = s.loaders[0].return_speed_mps;
    s.loaders[0].acceleration_mps2 = with ? 0.8 : NAN;
    s.loaders[0].raise_s = 3;
    s.chance = (pc_chance){1, 1, 0.05, 0.10, 0.20, 0.20, 0.12};
    expected items[] = {{PC_FIT_PUSH, 2.2, 0.05, 0, 0},
                        {PC_FIT_CARRY, 2.2, 0.10, 0, 0},
                        {PC_FIT_REVERSE, 4.5, 0.12, 0, 0},
                        {PC_FIT_DUMP, 8, 0.20, 0, 0},
                        {PC_FIT_ACCELERATION, 0.8, NAN, 0, 0}};
    pc_lot *lot = make_lot(&s);
    pc_world *world;
    assert_int_equal(pc_world_create(lot, &world), PC_OK);
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
      pc_fit fit = fit_run(lot, world, seed);
      assert_int_equal(fit.loader_count, 1);
      const pc_fit_loader *loader = &fit.loaders[0];
      assert_string_equal(loader->name.text, "loader");
      assert_true(loader->told && !loader->split_by_pace);
      assert_true(isnan(loader->values[PC_FIT_RETURN].value));
      assert_int_equal(loader->values[PC_FIT_RETURN].word, PC_FIT_TOO_FEW);
      assert_near("lower", loader->values[PC_FIT_LOWER].value, 2, 1e-6);
      assert_near("raise", loader->values[PC_FIT_RAISE].value, 3, 1e-6);
      assert_true(loader->values[PC_FIT_TURN].value < s.loaders[0].turn_s);
      count_hits(loader, items, with ? 5 : 4);
      pc_fit_free(&fit);
    }
    judge_hits(items, with ? 5 : 4, with ? "reference lot, accelerating" : "reference lot");
    pc_world_free(world);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* Returns forward at 4 m/s and in reverse at 2.5, with an acceleration. Where turns
 * are slow, twelve of those forward are timed at most, too few to show the acceleration by themselves. Where
 * rows do not say which is which, nothing may look sure. */
static void returns_both_ways_are_recovered(void **state) {
  (void)state;
  for (int many = 0; many < 2; many++) {
    pc_scenario s = scene_reference(3, 1, "keep-pushing");
    s.loaders[0].return_speed_mps = 4;
    s.loaders[0].reverse_speed_mps = 2.5;
    s.loaders[0].acceleration_mps2 = 0.8;
    s.loaders[0].turn_s = many ? 3 : 8;
    s.chance = (pc_chance){1, 1, 0.05, 0.10, 0.20, 0.10, 0.20};
    expected items[] = {{PC_FIT_RETURN, 4, NAN, 0, 0}, {PC_FIT_REVERSE, 2.5, NAN, 0, 0}};
    pc_lot *lot = make_lot(&s);
    pc_world *world;
    size_t rows = 0, missed = 0;
    assert_int_equal(pc_world_create(lot, &world), PC_OK);
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
      pc_fit fit = fit_run_of((keeper){.lot = lot, .few = many ? 0 : 12}, world, seed);
      bool unknown = isnan(fit.loaders[0].values[PC_FIT_RETURN].value); /* twelve ways may all be too short */
      if (unknown)
        assert_int_equal(fit.loaders[0].values[PC_FIT_RETURN].word, PC_FIT_TOO_FEW);
      missed += unknown;
      count_hits(&fit.loaders[0], &items[unknown], unknown ? 1 : 2);
      rows += fit.loaders[0].values[PC_FIT_RETURN].rows;
      pc_fit_free(&fit);
      fit = fit_run_of((keeper){.lot = lot, .silent = true}, world, seed);
      const pc_fit_value *back = &fit.loaders[0].values[PC_FIT_RETURN];
      assert_false(fit.loaders[0].told);
      assert_true(isnan(back->error) && isnan(back->spread) && isnan(fit.return_spread));
      assert_true(back->word == PC_FIT_MIXED || back->word == PC_FIT_BY_PACE);
      pc_fit_free(&fit);
    }
    assert_true(missed <= (many ? 0 : 5));
    assert_true(many ? rows > 100 * SEEDS : rows <= 12 * SEEDS);
    judge_hits(items, 2, many ? "many forward" : "few forward");
    pc_world_free(world);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* The same for the demonstration lot with its whole crew, without what a row cannot tell: limits of power,
 * slow stretches near things, and dump times that grow with the pile. */
static void demonstration_lot_is_recovered(void **state) {
  (void)state;
  const char *text = pc_demo_scenario();
  pc_scenario s;
  pc_faults faults = {0};
  assert_int_equal(pc_scenario_read_text("demo", text, strlen(text), NULL, 0, &s, &faults), PC_OK);
  pc_faults_free(&faults);
  for (size_t i = 0; i < s.loader_count; i++) {
    pc_loader *l = &s.loaders[i];
    l->power_w = l->mass_kg = l->traction = NAN;
    l->carry_speed_mps = l->push_speed_mps;
    l->reverse_speed_mps = l->return_speed_mps;
  }
  for (size_t i = 0; i < s.zone_count; i++)
    s.zones[i].stack = 0;
  s.near.distance_m = 0;
  static const char *const names[] = {"mid loader", "small loader"};
  expected items[2][5];
  for (int k = 0; k < 2; k++) {
    const pc_loader *l = &s.loaders[k];
    assert_string_equal(l->name.text, names[k]);
    const expected now[] = {{PC_FIT_PUSH, l->push_speed_mps, s.chance.fill, 0, 0},
                            {PC_FIT_CARRY, l->carry_speed_mps, s.chance.carry, 0, 0},
                            {PC_FIT_REVERSE, l->return_speed_mps, s.chance.back, 0, 0},
                            {PC_FIT_DUMP, l->dump_s, s.chance.dump, 0, 0},
                            {PC_FIT_ACCELERATION, 0.8, NAN, 0, 0}};
    memcpy(items[k], now, sizeof now);
  }
  pc_lot *lot = make_lot(&s);
  pc_world *world;
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  for (uint64_t seed = 1; seed <= SEEDS; seed++) {
    pc_fit fit = fit_run(lot, world, seed);
    for (int k = 0; k < 2; k++)
      count_hits(loader_named(&fit, names[k]), items[k], 5);
    pc_fit_free(&fit);
  }
  for (int k = 0; k < 2; k++)
    judge_hits(items[k], 5, names[k]);
  pc_world_free(world);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* Forward 4.5 m/s, in reverse 2.25: told apart by pace alone, and exactly where rows say it. */
static void two_paces(void **state) {
  (void)state;
  for (int told = 0; told < 2; told++) {
    pc_timed timed = {0};
    pc_stream stream;
    pc_fit fit;
    pc_faults faults = {0};
    size_t machine;
    pc_stream_start(&stream, 7, 0, 0, 0);
    assert_int_equal(pc_timed_machine(&timed, "loader 1", &machine), PC_OK);
    for (int i = 0; i < 300; i++) {
      static const pc_phase phases[] = {PC_PHASE_FILL, PC_PHASE_CARRY, PC_PHASE_RETURN};
      double d = 20 + i % 60, factor = pc_stream_factor(&stream, 0.08);
      bool back = i % 5 == 2;
      double speed = i % 3 == 2 ? (back ? 2.25 : 4.5) : i % 3 == 1 ? 3.3 : 2.2;
      pc_timed_row row = {.phase = phases[i % 3],
                          .time_s = d / speed * factor,
                          .distance_m = d,
                          .load_kg = NAN,
                          .from = {NAN, NAN},
                          .to = {NAN, NAN},
                          .direction = !told || i % 3 != 2 ? PC_DIRECTION_UNKNOWN
                                       : back              ? PC_DIRECTION_REVERSE
                                                           : PC_DIRECTION_FORWARD};
      assert_int_equal(pc_timed_add(&timed, &row), PC_OK);
    }
    assert_int_equal(pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &faults), PC_OK);
    const pc_fit_value *v = fit.loaders[0].values;
    assert_int_equal(fit.loaders[0].split_by_pace, !told);
    assert_int_equal(v[PC_FIT_REVERSE].rows, 20);
    assert_int_equal(v[PC_FIT_RETURN].rows, 80);
    for (int i = 0; i < 2; i++) { /* no error where nobody says which is which */
      const pc_fit_value *back = &v[PC_FIT_RETURN + i];
      double off = fabs(back->value - (i == 0 ? 4.5 : 2.25));
      assert_true(told ? off < 3.3 * back->error : off < 0.1 && isnan(back->error));
      assert_int_equal(back->word == PC_FIT_BY_PACE, !told);
    }
    assert_int_equal(isnan(v[PC_FIT_RETURN].spread), !told);
    assert_true(isnan(v[PC_FIT_DUMP].value) && isnan(v[PC_FIT_ACCELERATION].value));
    pc_fit_free(&fit);
    pc_timed_free(&timed);
    pc_faults_free(&faults);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_mean_as_another_program_finds_it),
      cmocka_unit_test(a_curve_as_another_program_finds_it),
      cmocka_unit_test(known_curve),
      cmocka_unit_test(published_spread),
      cmocka_unit_test(slips_of_the_watch),
      cmocka_unit_test(what_does_not_fix_a_curve),
      cmocka_unit_test(two_paces),
      cmocka_unit_test(reference_lot_is_recovered),
      cmocka_unit_test(returns_both_ways_are_recovered),
      cmocka_unit_test(demonstration_lot_is_recovered),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
