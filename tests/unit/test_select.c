// SPDX-License-Identifier: GPL-3.0-or-later
/* Ranking and selection, intervals that hold, seasons, and comparisons that are watched or stopped. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "base/memory.h"
#include "base/random.h"
#include "scene.h"
#include "study/compare.h"
#include "study/season.h"
#include "study/select.h"
#include "validation.h"

static void assert_near(double got, double wanted, double tolerance) {
  if (!(fabs(got - wanted) <= tolerance))
    fail_msg("got %.12g, wanted %.12g within %g", got, wanted, tolerance);
}

/* ---- constants ---- */

/* Kim & Nelson 2001, computed from their formulas (check by a second program, six digits). */
static void kn_constants(void **state) {
  (void)state;
  const struct {
    size_t k, n0;
    double eta, h2;
  } known[] = {{2, 10, 0.334050, 6.01290}, {5, 10, 0.634967, 11.42941}, {10, 20, 0.302934, 11.51148}};
  for (size_t i = 0; i < 3; i++) {
    pc_kn kn = pc_kn_constants(known[i].k, known[i].n0, 0.05);
    static const char source[] = "Kim & Nelson 2001 (computed from their formulas by a second program)";
    char what[80];
    snprintf(what, sizeof what, "eta for %zu systems, first stage %zu", known[i].k, known[i].n0);
    assert_published(source, what, kn.eta, known[i].eta, 5e-7);
    snprintf(what, sizeof what, "h2 for %zu systems, first stage %zu", known[i].k, known[i].n0);
    assert_published(source, what, kn.h2, known[i].h2, 5e-6);
  }
}

/* Published table of Rinott's h for P* = 0.95 and n0 = 20: 2.453, 3.385, 3.875 with 2, 5 and 10 systems. */
static void rinott_constants(void **state) {
  (void)state;
  assert_published("Table of Rinott's h, P* = 0.95, n0 = 20", "h for 2 systems", pc_rinott_h(2, 20, 0.05),
                   2.453, 1e-3);
  assert_published("Table of Rinott's h, P* = 0.95, n0 = 20", "h for 5 systems", pc_rinott_h(5, 20, 0.05),
                   3.385, 1e-3);
  assert_published("Table of Rinott's h, P* = 0.95, n0 = 20", "h for 10 systems", pc_rinott_h(10, 20, 0.05),
                   3.875, 1e-3);
  assert_int_equal(pc_rinott_needed(5, 20, 0.05, 2, 1), 46); /* (3.385·2)² = 45.8 */
  assert_int_equal(pc_rinott_needed(5, 20, 0.05, 0.5, 1), 20);
}

/* For two systems h is a quantile of the difference of two variables of Student's t: by adding up the one's
 * density times the other's distribution, in steps of equal chance. */
static double chance_below(double h, double freedom) {
  enum { PIECES = 4000 };
  double sum = 0.0;
  for (int i = 0; i < PIECES; i++)
    sum += gsl_cdf_tdist_P(h + gsl_cdf_tdist_Pinv((i + 0.5) / PIECES, freedom), freedom);
  return sum / PIECES;
}

static void rinott_for_any_number(void **state) {
  (void)state;
  const double pi = 3.141592653589793;
  const double alphas[] = {0.45, 0.05, 1e-3, 1e-9};
  /* n0 = 2: both are Cauchy's, and so is their difference, twice as wide */
  for (size_t i = 0; i < 4; i++) {
    double exact = 2.0 / tan(pi * alphas[i]);
    assert_near(pc_rinott_h(2, 2, alphas[i]), exact, 1e-6 * exact);
  }
  for (size_t n0 = 3; n0 < 40; n0 += 4)
    assert_near(chance_below(pc_rinott_h(2, n0, 0.05), (double)(n0 - 1)), 0.95, 2e-5);
  /* many observations: the normal law, without a jump on the way there */
  for (size_t k = 2; k < 300; k += 99) {
    double normal = sqrt(2.0) * gsl_cdf_ugaussian_Pinv(pow(0.95, 1.0 / (double)(k - 1))), before = INFINITY;
    for (size_t n0 = 100; n0 < 10000000; n0 += n0 / 3) {
      double h = pc_rinott_h(k, n0, 0.05);
      assert_true(h < before && h > normal);
      before = h;
    }
    assert_near(before, normal, 1e-5 * normal);
    assert_near(pc_rinott_h(k, SIZE_MAX, 0.05), normal, 1e-6 * normal);
  }
  /* very many systems: the worst of k − 1 tails of 2/(π·h)·(1 + …), so that h goes with k */
  double wide = pc_rinott_h(1000000000, 2, 1e-9);
  assert_near(wide * pi / 1e18, 1.0, 1e-4);
}

/* Never how far the search went. */
static void rinott_for_none(void **state) {
  (void)state;
  assert_true(isnan(pc_rinott_h(1, 20, 0.05)) && isnan(pc_rinott_h(0, 20, 0.05)));
  assert_true(isnan(pc_rinott_h(2, 1, 0.05)) && isnan(pc_rinott_h(2, 0, 0.05)));
  assert_true(isnan(pc_rinott_h(2, 20, 0.0)) && isnan(pc_rinott_h(2, 20, 1.0)));
  assert_true(isnan(pc_rinott_h(2, 20, NAN)) && isnan(pc_rinott_h(2, 20, 1e-300)));
  assert_true(isnan(pc_rinott_h(SIZE_MAX, 20, 0.05)));
  assert_true(pc_rinott_h(2, 2, 0.6) == 0.0);
  assert_int_equal(pc_rinott_needed(1, 20, 0.05, 1.0, 1.0), 0);
  assert_int_equal(pc_rinott_needed(2, 20, 0.05, 1e30, 1.0), 0);
  assert_int_equal(pc_rinott_needed(2, 20, 0.05, 1.0, 0.0), 0);
  assert_int_equal(pc_rinott_needed(2, 20, 0.05, 0.0, 1.0), 20);
}

/* Intervals are as wide as GSL's quantile makes them; for the one of Cauchy's, which has a closed form, as
 * the tangent does. */
static void student(void **state) {
  (void)state;
  enum { MOST_VALUES = 1500 };
  static double values[MOST_VALUES];
  for (int i = 0; i < MOST_VALUES; i++)
    values[i] = i % 2;
  for (size_t n = 2; n <= MOST_VALUES; n = 2 * n - (n % 3 == 0))
    for (int i = 1; i < 70; i++) {
      pc_statistic s = pc_statistic_of(values, n, 1.0 - exp(-0.5 * i));
      double share = 0.5 + 0.5 * s.level, spread = 0.0;
      for (size_t k = 0; k < n; k++)
        spread += (values[k] - s.mean) * (values[k] - s.mean);
      double exact =
          n == 2 ? tan(3.141592653589793 * (share - 0.5)) : gsl_cdf_tdist_Pinv(share, (double)n - 1.0);
      assert_near(s.half_width / sqrt(spread / (double)(n - 1) / (double)n) / exact, 1.0, 1e-9);
    }
}

/* Capital recovery A/P at 8 % over 5 years is 0.2504565 in every table of engineering economy. */
static void capital_recovery(void **state) {
  (void)state;
  assert_published("Tables of engineering economy", "A/P at 8 % over 5 years", pc_capital_recovery(0.08, 5),
                   0.2504565, 5e-8);
  assert_near(pc_capital_recovery(0, 8), 0.125, 1e-15);
}

/* ---- the procedure on made-up systems ---- */

enum { MOST = 4000, SYSTEMS = 5 };

typedef struct made_up {
  double means[SYSTEMS], spread, shared; /* share of the variance that all systems have in common */
  uint64_t seed;
  size_t asked;
  size_t systems;      /* 0: SYSTEMS */
  size_t fails, after; /* this system fails after so many observations; 0: none does */
} made_up;

static double normal_of(uint64_t seed, uint64_t observation, uint64_t system) {
  pc_stream stream;
  pc_stream_start(&stream, seed, observation, system, 0);
  return gsl_cdf_ugaussian_Pinv(((double)(pc_stream_next(&stream) >> 11) + 0.5) / 9007199254740992.0);
}

static pc_status make_some(void *context, const bool *wanted, size_t first, size_t end, bool *stopped) {
  made_up *m = context;
  for (size_t i = 0; i < (m->systems > 0 ? m->systems : SYSTEMS); i++)
    m->asked += wanted[i] ? end - first : 0;
  *stopped = end > MOST;
  return PC_OK;
}

static double made_value(void *context, size_t system, size_t observation) {
  const made_up *m = context;
  if (m->after > 0 && system == m->fails && observation >= m->after)
    return INFINITY;
  double own = normal_of(m->seed, observation, system), common = normal_of(m->seed, observation, 99);
  return m->means[system] + m->spread * (sqrt(1 - m->shared) * own + sqrt(m->shared) * common);
}

/* How often the best is selected of `tries`, with all others worse by exactly `within` (the hardest case). */
static int count_right(double shared, int tries, size_t *observations) {
  int right = 0;
  *observations = 0;
  for (int t = 0; t < tries; t++) {
    made_up m = {.means = {1, 1, 0, 1, 1}, .spread = 2, .shared = shared, .seed = (uint64_t)t + 1};
    size_t dropped[SYSTEMS];
    pc_selection found = {.dropped_after = dropped};
    const pc_select_problem problem = {.systems = SYSTEMS,
                                       .first_stage = 10,
                                       .within = 1,
                                       .alpha = 0.05,
                                       .observe = make_some,
                                       .value = made_value,
                                       .context = &m};
    assert_int_equal(pc_select_least(&problem, &found), PC_OK);
    assert_true(found.settled);
    assert_int_equal(dropped[found.best], 0);
    right += found.best == 2;
    *observations += m.asked;
  }
  return right;
}

/* Kim & Nelson 2001, theorem 1: right with 95 % or more. 1,000 tries: below 0.95 − 3·√(0.95·0.05/1000) =
 * 0.929 would be no chance. Common random numbers take fewer observations, as they say in section 5. */
static void selects_the_best(void **state) {
  (void)state;
  size_t alone, in_common;
  int right = count_right(0, 1000, &alone);
  assert_true(right >= 929);
  right = count_right(0.8, 1000, &in_common);
  assert_true(right >= 929);
  assert_true(in_common < alone / 2);
}

static void gives_up_and_stops(void **state) {
  (void)state;
  made_up m = {.means = {0, 0, 0, 0, 0}, .spread = 50, .seed = 7};
  size_t dropped[SYSTEMS];
  pc_selection found = {.dropped_after = dropped};
  pc_select_problem problem = {SYSTEMS, 10, 40, 1, 0.05, make_some, made_value, &m};
  assert_int_equal(pc_select_least(&problem, &found), PC_OK);
  assert_false(found.settled);
  assert_int_equal(found.observed, 40);
  problem.most = 0;
  assert_int_equal(pc_select_least(&problem, &found), PC_OK); /* stopped by the source of observations */
  assert_false(found.settled);
  problem.systems = m.systems = 1;
  assert_int_equal(pc_select_least(&problem, &found), PC_OK);
  assert_true(found.settled);
  assert_int_equal(found.best, 0);
}

/* The best fails once: it is out from then on, and the next best is found. */
static void what_fails_drops_out(void **state) {
  (void)state;
  made_up m = {.means = {5, 5, 0, 1.5, 5}, .spread = 3, .seed = 3, .fails = 2, .after = 12};
  size_t dropped[SYSTEMS];
  pc_selection found = {.dropped_after = dropped};
  const pc_select_problem problem = {SYSTEMS, 10, 0, 0.5, 0.05, make_some, made_value, &m};
  assert_int_equal(pc_select_least(&problem, &found), PC_OK);
  assert_true(found.settled);
  assert_int_equal(found.best, 3);
  assert_int_equal(dropped[2], 13);
}

/* ---- intervals of real runs ---- */

/* One machine, lanes in order, no waiting: luck changes no decision and every factor has mean 1, so that the
 * expected total is the total without chance. 95 % intervals of ten nights hold it in 950 of 1,000 seeds, by
 * the binomial ± 3·6.9; lognormal times are skewed a little, which costs less than a percent here. */
static void intervals_hold(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  s.snow.depth_m = 0.02;
  pc_lot *lot;
  pc_faults faults = {0};
  pc_summary summary;
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(lot, 1, 1, 1, NULL, &summary), PC_OK);
  double truth_s = summary.total_time_s.mean;
  pc_summary_free(&summary);
  pc_lot_free(lot);
  s.chance = (pc_chance){
      .replications = 1, .seed = 1, .fill = 0.05, .carry = 0.1, .dump = 0.2, .turn = 0.2, .back = 0.1};
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  int held = 0;
  for (uint64_t seed = 1; seed <= 1000; seed++) {
    assert_int_equal(pc_replicate(lot, 10, seed, 0, NULL, &summary), PC_OK);
    if (seed == 1) { /* the spread is that of the values */
      double sum = 0;
      for (size_t r = 0; r < 10; r++)
        sum += pow(summary.times_s[r] - summary.total_time_s.mean, 2) / 9;
      assert_near(pc_statistic_spread(&summary.total_time_s), sqrt(sum), 1e-9);
    }
    held += fabs(summary.total_time_s.mean - truth_s) <= summary.total_time_s.half_width;
    pc_summary_free(&summary);
  }
  assert_true(held >= 950 - 21 && held <= 950 + 21);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* ---- comparisons ---- */

static pc_scenario four_policies(void) {
  pc_scenario s = scene_reference(2, 2, "keep-pushing");
  s.snow.depth_m = 0.05;
  s.chance.carry = s.chance.dump = s.chance.turn = 0.3;
  return s;
}

static void compare_selects(void **state) {
  (void)state;
  pc_scenario s = four_policies();
  pc_name all[] = {pc_name_of("all")};
  double depths[] = {0.05, 0.1};
  const pc_wanted wanted = {.policies = {all, 1}, .depths = {depths, 2}};
  pc_comparison first = {0};
  for (int threads = 1; threads <= 4; threads *= 2) {
    pc_comparison c;
    pc_faults faults = {0};
    const pc_compare_how how = {
        .wanted = &wanted, .replications = 10, .seed = 3, .threads = threads, .within_s = 20};
    assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
    assert_true(c.settled);
    assert_int_equal(c.first_stage, 10);
    for (size_t i = 0; i < c.row_count; i++) {
      const pc_compare_row *row = &c.rows[i];
      assert_true(row->selected == (row->rank == 1));
      assert_true(row->summary.replications >= 10);
      assert_true(row->dropped_after == 0 || row->dropped_after == row->summary.replications);
      assert_true(row->rank > 1 || row->dropped_after == 0);
      if (threads > 1) {
        assert_int_equal(row->summary.replications, first.rows[i].summary.replications);
        assert_memory_equal(row->summary.times_s, first.rows[i].summary.times_s,
                            row->summary.replications * sizeof *row->summary.times_s);
      }
    }
    if (threads == 1)
      first = c;
    else
      pc_comparison_free(&c);
    pc_faults_free(&faults);
  }
  pc_comparison_free(&first);
  pc_scenario_free(&s);
}

/* Three boxes: one a little narrower, one that holds a little less. The last is known to be worse after ten
 * nights, the other two take longer to tell apart: should the later nights be long ones, the mean of what was
 * selected is more than that of ten nights of the worse box. It comes first all the same, and the others by
 * their differences to it over the nights that both have. */
static void what_is_selected_comes_first(void **state) {
  (void)state;
  const pc_point zone[] = {{60, 20}};
  pc_scenario s = scene_rectangle(60, 40, zone, 1);
  pc_box boxes[3] = {s.boxes[0], s.boxes[0], s.boxes[0]}, *own = s.boxes;
  pc_name all[] = {pc_name_of("all")};
  const pc_wanted wanted = {.boxes = {all, 1}};
  size_t longer = 0;
  s.chance.fill = s.chance.carry = s.chance.dump = s.chance.turn = s.chance.back = 0.2;
  boxes[1].name = pc_name_of("narrower");
  boxes[1].width_m = 4.4;
  boxes[2].name = pc_name_of("smaller");
  boxes[2].heap_factor_m *= 0.9999;
  s.boxes = boxes;
  s.box_count = 3;
  for (uint64_t seed = 1; seed <= 20; seed++) {
    pc_comparison c;
    pc_faults faults = {0};
    const pc_compare_how how = {
        .wanted = &wanted, .replications = 10, .seed = seed, .threads = 1, .within_s = 2};
    assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
    assert_int_equal(c.row_count, 3);
    const pc_summary *best = &c.rows[0].summary;
    for (size_t i = 0; i < 3; i++) {
      const pc_compare_row *row = &c.rows[i];
      double sum = 0;
      for (size_t r = 0; r < row->summary.replications; r++)
        sum += row->summary.times_s[r] - best->times_s[r];
      assert_true(row->summary.replications <= best->replications);
      assert_int_equal(row->selected, i == 0);
      assert_int_equal(row->rank, i + 1);
      assert_near(row->difference_to_best_s.mean, sum / (double)row->summary.replications, 1e-9);
      assert_true(i == 0 || row->difference_to_best_s.mean >= c.rows[i - 1].difference_to_best_s.mean);
      longer += row->summary.total_time_s.mean < best->total_time_s.mean;
    }
    pc_comparison_free(&c);
    pc_faults_free(&faults);
  }
  assert_true(longer > 0); /* else times alone would have told */
  s.boxes = own;
  s.box_count = 1;
  pc_scenario_free(&s);
}

/* Rows that share no luck differ, but the rows of any number of threads are the same, to the last bit. */
static void threads_make_no_difference(void **state) {
  (void)state;
  pc_scenario s = four_policies();
  double depths[] = {0.03, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.1, 0.11};
  const pc_wanted wanted = {.depths = {depths, 9}};
  pc_comparison one, two;
  pc_faults faults = {0};
  pc_compare_how how = {.wanted = &wanted, .replications = 3, .seed = 5, .threads = 1};
  assert_int_equal(pc_compare(&s, &how, &one, &faults), PC_OK);
  how.threads = 2; /* fewer than a quarter of the rows: a row for each thread */
  assert_int_equal(pc_compare(&s, &how, &two, &faults), PC_OK);
  assert_int_equal(one.row_count, 9);
  assert_int_equal(two.row_count, 9);
  for (size_t i = 0; i < 9; i++)
    assert_memory_equal(one.rows[i].summary.times_s, two.rows[i].summary.times_s, 3 * sizeof(double));
  pc_comparison_free(&one);
  pc_comparison_free(&two);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

typedef struct stopwatch {
  size_t steps, stop_after, all;
} stopwatch;

static void count_step(void *context, size_t done, size_t all) {
  stopwatch *watch = context;
  assert_int_equal(done, watch->steps + 1);
  watch->steps = done;
  watch->all = all;
}

static bool stop_now(void *context) {
  const stopwatch *watch = context;
  return watch->steps >= watch->stop_after;
}

static void stopping_keeps_what_is_done(void **state) {
  (void)state;
  pc_scenario s = four_policies();
  pc_name all[] = {pc_name_of("all")};
  const pc_wanted wanted = {.policies = {all, 1}};
  pc_comparison c;
  pc_faults faults = {0};
  stopwatch count = {.stop_after = 12};
  const pc_watch watch = {count_step, stop_now, &count};
  pc_compare_how how = {.wanted = &wanted, .replications = 10, .seed = 1, .threads = 1, .watch = &watch};
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_int_equal(c.row_count, 1); /* the second was stopped half-way */
  assert_true(c.asked > 1);
  assert_int_equal(count.all, 10 * c.asked);
  assert_int_equal(c.rows[0].summary.replications, 10);
  pc_comparison_free(&c);
  count = (stopwatch){.stop_after = 0};
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_int_equal(c.row_count, 0);
  pc_comparison_free(&c);
  how.within_s = 1;
  count = (stopwatch){.stop_after = 35};
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_int_equal(c.row_count, c.asked);
  assert_false(c.settled);
  pc_comparison_free(&c);
  pc_lot *lot;
  pc_summary part, whole;
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  count = (stopwatch){.stop_after = 4};
  assert_int_equal(pc_replicate_watched(lot, 20, 1, 1, NULL, &watch, &part), PC_OK);
  assert_int_equal(part.replications, 4);
  assert_int_equal(pc_replicate(lot, 4, 1, 2, NULL, &whole), PC_OK);
  assert_memory_equal(part.times_s, whole.times_s, 4 * sizeof(double));
  assert_true(part.total_time_s.half_width == whole.total_time_s.half_width);
  pc_summary_free(&part);
  pc_summary_free(&whole);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* ---- seasons ---- */

/* Sums by hand: 3 storms of 4 cm and 2.5 of 10 cm; boxes of 9000 over 5 seasons at 8 %. */
static void season_by_hand(void **state) {
  (void)state;
  pc_scenario s = four_policies();
  pc_season_storm storms[] = {{0.04, 3}, {0.1, 2.5}};
  s.season = storms;
  s.season_count = 2;
  s.money.machine_per_s = 100.0 / 3600;
  s.money.operator_per_s = 40.0 / 3600;
  s.money.interest = 0.08;
  s.boxes[0].price = 9000;
  s.boxes[0].seasons = 5;
  pc_name policies[] = {pc_name_of("straight-runs"), pc_name_of("keep-pushing")};
  pc_wanted wanted = {.policies = {policies, 2}};
  pc_comparison c;
  pc_season season;
  pc_faults faults = {0};
  const pc_compare_how how = {.wanted = &wanted, .replications = 5, .seed = 1};
  assert_int_equal(pc_season_want(&s, &wanted), PC_OK);
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_int_equal(c.row_count, 4); /* the depths of the season */
  assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
  assert_int_equal(season.entry_count, 2);
  assert_near(season.storms, 5.5, 0);
  for (size_t e = 0; e < 2; e++) {
    const pc_season_entry *entry = &season.entries[e];
    double hours = 0, cost = 0;
    for (size_t i = 0; i < 4; i++)
      if (strcmp(c.rows[i].policy.text, c.rows[entry->row].policy.text) == 0) {
        double n = c.rows[i].depth_m < 0.05 ? 3 : 2.5;
        hours += n * c.rows[i].summary.total_time_s.mean;
        cost += n * c.rows[i].summary.total_time_s.mean / 3600 * 140 * 2; /* two machines */
      }
    assert_near(entry->time_s.mean, hours, 1e-6);
    assert_near(entry->working_cost, cost, 1e-6);
    assert_near(entry->owning_cost, 2 * 9000 * 0.2504565, 1e-3);
  }
  assert_string_equal(c.rows[season.entries[0].row].policy.text, "keep-pushing");
  assert_int_equal(season.cheapest, 0);
  assert_near(season.entries[1].difference_to_best_s.mean,
              season.entries[1].time_s.mean - season.entries[0].time_s.mean, 1e-6);
  assert_true(season.entries[0].late_storms == 0 && season.entries[1].late_storms == 0);
  pc_season_free(&season);
  /* late in two of five nights with less snow, and in all with more: 3 * 2 / 5 + 2.5 storms; in time comes
   * before money */
  for (size_t i = 0; i < 4; i++)
    if (strcmp(c.rows[i].policy.text, "keep-pushing") == 0)
      c.rows[i].summary.area_late[0] = c.rows[i].depth_m < 0.05 ? 2 : 5;
  assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
  assert_near(season.entries[0].late_storms, 3.7, 1e-12);
  assert_int_equal(season.cheapest, 1);
  pc_season_free(&season);
  for (size_t i = 0; i < 4; i++)
    c.rows[i].summary.area_late[0] = 1;
  assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
  assert_near(season.entries[1].late_storms, 1.1, 1e-12);
  assert_int_equal(season.cheapest, 0); /* none is in time: money decides */
  pc_season_free(&season);
  /* what leaves one storm undone ranks last and is nowhere the cheapest, whatever its time */
  for (size_t i = 0; i < 4; i++)
    c.rows[i].summary.unfinished =
        strcmp(c.rows[i].policy.text, "keep-pushing") == 0 && c.rows[i].depth_m < 0.05;
  assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
  assert_string_equal(c.rows[season.entries[0].row].policy.text, "straight-runs");
  assert_true(season.entries[0].finished && !season.entries[1].finished);
  assert_true(season.entries[1].time_s.mean < season.entries[0].time_s.mean);
  assert_int_equal(season.cheapest, 0);
  pc_season_free(&season);
  pc_comparison_free(&c);
  free(wanted.depths.items_m);
  double only[] = {0.04};
  const pc_wanted narrow = {.depths = {only, 1}};
  const pc_compare_how one = {.wanted = &narrow, .replications = 1, .seed = 1};
  assert_int_equal(pc_compare(&s, &one, &c, &faults), PC_OK);
  assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
  assert_int_equal(season.entry_count, 0); /* not all depths are there */
  pc_season_free(&season);
  const pc_comparison stopped = {0}; /* before the first row was done */
  assert_int_equal(pc_season_make(&s, &stopped, &season), PC_OK);
  assert_int_equal(season.entry_count, 0);
  pc_season_free(&season);
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  s.season = NULL;
  s.season_count = 0;
  pc_scenario_free(&s);
}

/* ---- intervals of several at once ---- */

/* Student's t with four degrees of freedom, in closed form. */
static double t4_below(double t) {
  double u = 1 + t * t / 4;
  return 0.5 + 0.375 * (t / sqrt(u)) * (1 - t * t / (12 * u));
}

/* The share of the t distribution that an interval of five differences spans. */
static double spanned(const double differences[5], double half_width) {
  double mean = 0, square = 0;
  for (int r = 0; r < 5; r++)
    mean += differences[r] / 5;
  for (int r = 0; r < 5; r++)
    square += (differences[r] - mean) * (differences[r] - mean) / 4;
  return 2 * t4_below(half_width / sqrt(square / 5)) - 1;
}

/* Of m rows m - 1 are compared to the best, each at 1 - 0.05/(m - 1), so that all hold together with 95 %
 * (Bonferroni); those of a depth and those of a season. */
static void intervals_hold_together(void **state) {
  (void)state;
  pc_scenario s = four_policies();
  pc_season_storm storms[] = {{0.04, 3}, {0.1, 2.5}};
  s.season = storms;
  s.season_count = 2;
  s.chance.fill = s.chance.carry = 0.2;
  pc_name policies[] = {pc_name_of("straight-runs"), pc_name_of("keep-pushing"), pc_name_of("building-out")};
  for (size_t m = 2; m <= 3; m++) {
    pc_wanted wanted = {.policies = {policies, m}};
    pc_comparison c;
    pc_season season;
    pc_faults faults = {0};
    const pc_compare_how how = {.wanted = &wanted, .replications = 5, .seed = 1};
    assert_int_equal(pc_season_want(&s, &wanted), PC_OK);
    assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
    assert_int_equal(c.row_count, 2 * m);
    double level = 1 - 0.05 / (double)(m - 1);
    for (size_t i = 0; i < c.row_count; i++) {
      double d[5];
      for (size_t r = 0; r < 5; r++)
        d[r] = c.rows[i].summary.times_s[r] - c.rows[i - i % m].summary.times_s[r];
      if (i % m > 0)
        assert_near(spanned(d, c.rows[i].difference_to_best_s.half_width), level, 1e-9);
    }
    assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
    for (size_t e = 1; e < season.entry_count; e++) {
      double d[5] = {0};
      for (size_t i = 0; i < c.row_count; i++) {
        bool own = strcmp(c.rows[i].policy.text, c.rows[season.entries[e].row].policy.text) == 0;
        bool best = strcmp(c.rows[i].policy.text, c.rows[season.entries[0].row].policy.text) == 0;
        double n = c.rows[i].depth_m < 0.05 ? 3 : 2.5;
        for (size_t r = 0; r < 5; r++)
          d[r] += n * ((double)own - (double)best) * c.rows[i].summary.times_s[r];
      }
      assert_near(spanned(d, season.entries[e].difference_to_best_s.half_width), level, 1e-9);
    }
    pc_season_free(&season);
    pc_comparison_free(&c);
    pc_faults_free(&faults);
    free(wanted.depths.items_m);
  }
  s.season = NULL;
  s.season_count = 0;
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(intervals_hold_together),
      cmocka_unit_test(kn_constants),
      cmocka_unit_test(rinott_constants),
      cmocka_unit_test(rinott_for_any_number),
      cmocka_unit_test(rinott_for_none),
      cmocka_unit_test(student),
      cmocka_unit_test(capital_recovery),
      cmocka_unit_test(selects_the_best),
      cmocka_unit_test(gives_up_and_stops),
      cmocka_unit_test(what_fails_drops_out),
      cmocka_unit_test(intervals_hold),
      cmocka_unit_test(compare_selects),
      cmocka_unit_test(what_is_selected_comes_first),
      cmocka_unit_test(threads_make_no_difference),
      cmocka_unit_test(stopping_keeps_what_is_done),
      cmocka_unit_test(season_by_hand),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
