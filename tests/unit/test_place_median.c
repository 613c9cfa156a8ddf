// SPDX-License-Identifier: GPL-3.0-or-later
/* The p-median problem, against optima of published data and against trying every choice. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "base/random.h"
#include "study/pmedian.h"
#include "validation.h"

enum { POINTS = 155, MOST = 8 };

static void assert_near(double got, double wanted, double tolerance) {
  if (!(fabs(got - wanted) <= tolerance))
    fail_msg("got %.12g, wanted %.12g within %g", got, wanted, tolerance);
}

static double uniform(pc_stream *stream) {
  return (double)(pc_stream_next(stream) >> 11) * 0x1p-53;
}

/* Places of the 155 samples of the meuse data (tests/data/README.md); a site and a client at each. */
static void read_costs(double *cost) {
  double x[POINTS], y[POINTS];
  char line[80], path[512];
  const char *source = getenv("PC_SOURCE_DIR");
  snprintf(path, sizeof path, "%s/tests/data/meuse.csv", source ? source : ".");
  FILE *file = fopen(path, "r");
  assert_non_null(file);
  assert_non_null(fgets(line, sizeof line, file));
  for (int i = 0; i < POINTS; i++) {
    assert_non_null(fgets(line, sizeof line, file));
    assert_int_equal(sscanf(line, "%lf,%lf", &x[i], &y[i]), 2);
  }
  assert_null(fgets(line, sizeof line, file));
  fclose(file);
  for (int i = 0; i < POINTS; i++)
    for (int j = 0; j < POINTS; j++)
      cost[i * POINTS + j] = hypot(x[i] - x[j], y[i] - y[j]);
}

static void test_meuse(void **state) {
  (void)state;
  /* Optima of the p-median problem on these places with Euclidean distances and weight 1, worked out with an
   * exact solver of another origin; sites are numbered from 1. */
  static const struct {
    size_t open;
    double cost;
    size_t sites[MOST];
  } known[] = {{1, 178147.7077, {120}},
               {2, 99332.4387, {38, 98}},
               {3, 72633.6119, {120, 133, 138}},
               {4, 61011.7921, {0}},
               {5, 54661.9374, {0}}};
  double *cost = calloc(POINTS * POINTS, sizeof *cost);
  assert_non_null(cost);
  read_costs(cost);
  for (size_t k = 0; k < sizeof known / sizeof *known; k++) {
    size_t chosen[MOST];
    pc_pmedian_answer answer;
    const pc_pmedian problem = {.cost = cost, .clients = POINTS, .sites = POINTS, .open = known[k].open};
    assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_OK);
    assert_true(answer.proven);
    char what[80];
    snprintf(what, sizeof what, "p-median of the meuse places, p = %zu, m", known[k].open);
    assert_published("An exact solver of another origin; places: R package sp", what, answer.cost,
                     known[k].cost, 5e-4);
    assert_near(answer.bound, known[k].cost, 5e-4);
    for (size_t j = 0; j < known[k].open && known[k].sites[0]; j++)
      assert_int_equal(chosen[j] + 1, known[k].sites[j]);
  }
  free(cost);
}

static double cost_of(const double *cost, size_t clients, size_t sites, unsigned choice) {
  double sum = 0.0;
  for (size_t i = 0; i < clients; i++) {
    double least = INFINITY;
    for (size_t j = 0; j < sites; j++)
      if (choice >> j & 1U)
        least = fmin(least, cost[i * sites + j]);
    sum += least;
  }
  return sum;
}

static size_t bits(unsigned choice) {
  size_t count = 0;
  for (; choice; choice &= choice - 1)
    count++;
  return count;
}

/* Costs that obey no geometry, where the relaxation leaves gaps and the search has to branch; every choice of
 * sites is tried. One seed of three keeps a site. */
static void test_every_choice(void **state) {
  (void)state;
  enum { CLIENTS = 30, SITES = 12 };
  size_t branched = 0;
  for (uint64_t seed = 1; seed <= 40; seed++) {
    double cost[CLIENTS * SITES];
    bool fixed[SITES] = {false};
    pc_stream stream;
    pc_stream_start(&stream, seed, 0, 0, 0);
    for (size_t i = 0; i < CLIENTS * SITES; i++)
      cost[i] = floor(100.0 * uniform(&stream));
    fixed[seed % SITES] = seed % 3 == 0;
    for (size_t open = 1; open <= 6; open++) {
      double least = INFINITY;
      for (unsigned choice = 0; choice < 1U << SITES; choice++)
        if (bits(choice) == open && (seed % 3 != 0 || (choice >> (seed % SITES) & 1U)))
          least = fmin(least, cost_of(cost, CLIENTS, SITES, choice));
      size_t chosen[SITES];
      pc_pmedian_answer answer;
      const pc_pmedian problem = {
          .cost = cost, .clients = CLIENTS, .sites = SITES, .open = open, .fixed = fixed};
      assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_OK);
      assert_true(answer.proven);
      assert_near(answer.cost, least, 1e-9);
      unsigned choice = 0;
      for (size_t k = 0; k < open; k++)
        choice |= 1U << chosen[k];
      assert_near(cost_of(cost, CLIENTS, SITES, choice), least, 1e-9);
      branched += answer.nodes > 1;
      /* cut short, the bound still holds */
      const pc_pmedian hasty = {
          .cost = cost, .clients = CLIENTS, .sites = SITES, .open = open, .fixed = fixed, .nodes = 1};
      assert_int_equal(pc_pmedian_solve(&hasty, chosen, &answer), PC_OK);
      assert_true(answer.bound <= least + 1e-9 && answer.cost >= least - 1e-9);
    }
  }
  assert_true(branched > 20); /* else the search was not tried */
}

static void test_refused(void **state) {
  (void)state;
  double cost[4] = {1, 2, 3, INFINITY};
  bool fixed[2] = {true, true};
  size_t chosen[2];
  pc_pmedian_answer answer;
  pc_pmedian problem = {.cost = cost, .clients = 2, .sites = 2, .open = 1};
  assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_ERR_RANGE);
  cost[3] = 4;
  problem.open = 3;
  assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_ERR_RANGE);
  problem.open = 0;
  assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_ERR_RANGE);
  problem.open = 1;
  problem.fixed = fixed;
  assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_ERR_RANGE);
  problem.open = 2;
  assert_int_equal(pc_pmedian_solve(&problem, chosen, &answer), PC_OK);
  assert_near(answer.cost, 4.0, 1e-12);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_meuse), cmocka_unit_test(test_every_choice),
                                     cmocka_unit_test(test_refused)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
