// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <limits.h>
#include <math.h>

#include "base/random.h"
#include "validation.h"

/* Outputs of SplitMix64 for the starting state 1234567 (from memory). */
static const uint64_t known[5] = {UINT64_C(6457827717110365317), UINT64_C(3203168211198807973),
                                  UINT64_C(9817491932198370423), UINT64_C(4593380528125082431),
                                  UINT64_C(16408922859458223821)};

static void known_outputs(void **state) {
  (void)state;
  pc_stream stream = {1234567};
  int same = 0;
  for (int i = 0; i < 5; i++)
    same += pc_stream_next(&stream) == known[i];
  assert_published("SplitMix64 from 1234567 (outputs from memory)", "outputs that are the same, of 5", same,
                   5, 0);
}

static void gsl_sets_gets_and_copies(void **state) {
  (void)state;
  gsl_rng *generator = gsl_rng_alloc(pc_rng_splitmix64);
  assert_non_null(generator);
  assert_string_equal(gsl_rng_name(generator), "splitmix64");
  assert_true(gsl_rng_max(generator) == ULONG_MAX);
  assert_true(gsl_rng_min(generator) == 0);
  assert_int_equal(gsl_rng_size(generator), sizeof(pc_stream));
  gsl_rng_set(generator, 1234567);
  for (int i = 0; i < 2; i++)
    assert_true(gsl_rng_get(generator) ==
                (unsigned long)(known[i] >> (64 - CHAR_BIT * sizeof(unsigned long))));
  gsl_rng *twin = gsl_rng_clone(generator);
  assert_true(gsl_rng_uniform(twin) == (double)(known[2] >> 11) / 9007199254740992.0);
  gsl_rng_set(generator, 1234567);
  gsl_rng_set(twin, 1234567);
  for (int i = 0; i < 1000; i++) {
    double uniform = gsl_rng_uniform(generator);
    assert_true(uniform >= 0 && uniform < 1);
    assert_true(uniform == gsl_rng_uniform(twin));
  }
  gsl_rng_free(twin);
  gsl_rng_free(generator);
}

static void factor_has_mean_one_and_its_spread(void **state) {
  (void)state;
  const double spreads[] = {0.05, 0.2, 0.5};
  enum { DRAWS = 200000 };
  for (uint64_t k = 0; k < 3; k++) {
    double cv = spreads[k], sum = 0, squares = 0;
    pc_stream stream;
    pc_stream_start(&stream, 1, 0, 0, k);
    for (int i = 0; i < DRAWS; i++) {
      double factor = pc_stream_factor(&stream, cv);
      assert_true(factor > 0);
      sum += factor;
      squares += (factor - 1) * (factor - 1);
    }
    /* Mean: 4.5 standard errors. Variance: its standard error from the lognormal's fourth moment,
     * w⁴ + 2w³ + 3w² − 3 with w = 1 + cv² (Johnson, Kotz & Balakrishnan, ch. 14; from memory). */
    double w = 1 + cv * cv, kurtosis = w * w * w * w + 2 * w * w * w + 3 * w * w - 3;
    assert_true(fabs(sum / DRAWS - 1) < 4.5 * cv / sqrt(DRAWS));
    assert_true(fabs(squares / DRAWS - cv * cv) < 4.5 * cv * cv * sqrt((kurtosis - 1) / DRAWS));
  }
}

static void factor_is_lognormal(void **state) {
  (void)state;
  enum { DRAWS = 50000, BINS = 50 };
  int counts[BINS] = {0};
  double cv = 0.3, sigma = sqrt(log(1 + cv * cv)), chi = 0;
  pc_stream stream;
  pc_stream_start(&stream, 7, 1, 2, 3);
  for (int i = 0; i < DRAWS; i++) {
    double share = gsl_cdf_lognormal_P(pc_stream_factor(&stream, cv), -sigma * sigma / 2, sigma);
    counts[(int)fmin(share * BINS, BINS - 1)]++;
  }
  for (int i = 0; i < BINS; i++)
    chi += pow(counts[i] - (double)DRAWS / BINS, 2) / ((double)DRAWS / BINS);
  assert_true(chi < gsl_cdf_chisq_Pinv(1 - 1e-5, BINS - 1));
  assert_true(chi > gsl_cdf_chisq_Pinv(1e-5, BINS - 1)); /* too even would be as wrong */
}

/* Cycle times of carrying vehicles, mean (s) in minutes over 8,868 loads: loaded 4.8 (4.2), empty 7.0 (7.7),
 * unloading 10.2 (9.9): Silva Fennica 50(3) 1546 (2016), Table 1. The factor must be able to carry such a
 * spread: mean and s come back within 5 %, skewed to the right (the median below the mean). */
static void field_times_can_be_drawn(void **state) {
  (void)state;
  const double rows[][2] = {{4.8, 4.2}, {7.0, 7.7}, {10.2, 9.9}};
  enum { DRAWS = 400000 };
  for (uint64_t k = 0; k < 3; k++) {
    double mean = rows[k][0], spread = rows[k][1], sum = 0, squares = 0;
    int below = 0;
    pc_stream stream;
    pc_stream_start(&stream, 11, 0, 0, k);
    for (int i = 0; i < DRAWS; i++) {
      double time = mean * pc_stream_factor(&stream, spread / mean);
      sum += time;
      squares += (time - mean) * (time - mean);
      below += time < mean;
    }
    assert_published("Silva Fennica 50(3) 1546 (2016), Table 1", "mean of forwarder times, drawn, min",
                     sum / DRAWS, mean, 0.01 * mean);
    assert_published("Silva Fennica 50(3) 1546 (2016), Table 1", "spread of forwarder times, drawn, min",
                     sqrt(squares / DRAWS), spread, 0.05 * spread);
    /* Lognormal: P(below the mean) = Φ(σ/2). */
    double share = gsl_cdf_ugaussian_P(sqrt(log1p(pow(spread / mean, 2))) / 2);
    assert_true(fabs((double)below / DRAWS - share) < 4.5 * sqrt(share * (1 - share) / DRAWS));
    assert_true(share > 0.5);
  }
}

static void no_spread_draws_nothing(void **state) {
  (void)state;
  pc_stream stream = {99};
  assert_true(pc_stream_factor(&stream, 0) == 1.0);
  assert_true(pc_stream_factor(&stream, -1) == 1.0);
  assert_true(pc_stream_factor(&stream, NAN) == 1.0);
  assert_true(stream.state == 99);
  pc_stream_factor(&stream, 0.1);
  assert_true(stream.state != 99);
}

static void exponential_has_its_moments(void **state) {
  (void)state;
  enum { DRAWS = 200000 };
  double mean = 12.5, sum = 0;
  int longer = 0;
  pc_stream stream;
  pc_stream_start(&stream, 3, 0, 0, 0);
  for (int i = 0; i < DRAWS; i++) {
    double draw = pc_stream_exponential(&stream, mean);
    assert_true(draw >= 0);
    sum += draw;
    longer += draw > 2 * mean;
  }
  double share = exp(-2);
  assert_true(fabs(sum / DRAWS - mean) < 4.5 * mean / sqrt(DRAWS));
  assert_true(fabs((double)longer / DRAWS - share) < 4.5 * sqrt(share * (1 - share) / DRAWS));
}

/* Pairs of uniforms, one from each of two streams, must fill a 16 × 16 board evenly. */
static double board_chi_square(pc_stream one, pc_stream two) {
  enum { SIDE = 16, DRAWS = 25600 };
  int counts[SIDE][SIDE] = {{0}};
  double chi = 0, expected = (double)DRAWS / (SIDE * SIDE);
  for (int i = 0; i < DRAWS; i++)
    counts[pc_stream_next(&one) >> 60][pc_stream_next(&two) >> 60]++;
  for (int i = 0; i < SIDE * SIDE; i++)
    chi += pow(counts[i / SIDE][i % SIDE] - expected, 2) / expected;
  return chi;
}

static void neighbouring_streams_are_independent(void **state) {
  (void)state;
  double low = gsl_cdf_chisq_Pinv(1e-6, 255), high = gsl_cdf_chisq_Pinv(1 - 1e-6, 255);
  for (int axis = 0; axis < 4; axis++)
    for (uint64_t k = 0; k < 8; k++) {
      uint64_t id[4] = {1, 0, 0, 0};
      pc_stream one, two;
      id[axis] = k;
      pc_stream_start(&one, id[0], id[1], id[2], id[3]);
      id[axis] = k + 1;
      pc_stream_start(&two, id[0], id[1], id[2], id[3]);
      double chi = board_chi_square(one, two);
      assert_true(chi > low && chi < high);
    }
}

/* The first draw of each of many streams, as a run of replications uses them, must itself be uniform. */
static void first_draws_over_streams_are_uniform(void **state) {
  (void)state;
  enum { BINS = 64, STREAMS = 6400 };
  for (int axis = 0; axis < 4; axis++) {
    int counts[BINS] = {0};
    double chi = 0;
    for (uint64_t k = 0; k < STREAMS; k++) {
      uint64_t id[4] = {1, 2, 3, 4};
      pc_stream stream;
      id[axis] = k;
      pc_stream_start(&stream, id[0], id[1], id[2], id[3]);
      counts[pc_stream_next(&stream) >> 58]++;
    }
    for (int i = 0; i < BINS; i++)
      chi += pow(counts[i] - 100.0, 2) / 100.0;
    assert_true(chi < gsl_cdf_chisq_Pinv(1 - 1e-6, BINS - 1));
    assert_true(chi > gsl_cdf_chisq_Pinv(1e-6, BINS - 1));
  }
}

static void streams_depend_on_every_number_and_their_order(void **state) {
  (void)state;
  pc_stream base, again, other;
  pc_stream_start(&base, 1, 2, 3, 4);
  pc_stream_start(&again, 1, 2, 3, 4);
  assert_true(base.state == again.state);
  const uint64_t others[][4] = {{2, 2, 3, 4}, {1, 3, 3, 4}, {1, 2, 4, 4}, {1, 2, 3, 5},
                                {2, 1, 3, 4}, {1, 3, 2, 4}, {1, 2, 4, 3}, {0, 0, 0, 0}};
  for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
    pc_stream_start(&other, others[i][0], others[i][1], others[i][2], others[i][3]);
    assert_true(other.state != base.state);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(known_outputs),
      cmocka_unit_test(gsl_sets_gets_and_copies),
      cmocka_unit_test(factor_has_mean_one_and_its_spread),
      cmocka_unit_test(factor_is_lognormal),
      cmocka_unit_test(field_times_can_be_drawn),
      cmocka_unit_test(no_spread_draws_nothing),
      cmocka_unit_test(exponential_has_its_moments),
      cmocka_unit_test(neighbouring_streams_are_independent),
      cmocka_unit_test(first_draws_over_streams_are_uniform),
      cmocka_unit_test(streams_depend_on_every_number_and_their_order),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
