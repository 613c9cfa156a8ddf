// SPDX-License-Identifier: GPL-3.0-or-later
/* A few hundred random scenarios, and those that once went wrong (`make soak` runs many more). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <inttypes.h>

#include "random_scenario.h"

enum { SEEDS = 300 };

static soak_end run(uint64_t seed) {
  char why[400];
  soak_end end = soak_run(seed, why, sizeof why);
  if (end == SOAK_BROKEN)
    fail_msg("seed %" PRIu64 ": %s", seed, why);
  return end;
}

static void test_some(void **state) {
  (void)state;
  size_t ends[SOAK_ENDS] = {0};
  for (uint64_t seed = 1; seed <= SEEDS; seed++)
    ends[run(seed)]++;
  for (int e = 0; e < SOAK_ENDS; e++)
    print_message("%s %zu\n", soak_end_names[e], ends[e]);
  assert_true(ends[SOAK_DONE] > SEEDS / 2); /* else little would have been tried */
  assert_true(ends[SOAK_FULL] > 0 && ends[SOAK_STOPPED] > 0 && ends[SOAK_REFUSED] > 0);
}

/* Seeds with which something was wrong once. */
static void test_again(void **state) {
  (void)state;
  static const uint64_t seeds[] = {
      1620, /* a box that was full but for rounding bit into nothing for ever */
      1862, /* a machine set out for a fuel point that it could not get to from where it stood */
      2163, /* straight-runs, and 2673, 2894: to a start beyond an obstacle that no way led to */
      2673,  2894,
      4017,         /* worked where no way led on with half a width to both sides, and 9041: stayed there */
      9041,  36605, /* nothing was to be done, but the bound took rounding for a load; 71452, too */
      71452,
  };
  for (size_t i = 0; i < sizeof seeds / sizeof seeds[0]; i++)
    assert_int_equal(run(seeds[i]), SOAK_DONE);
  /* a blade that gets to no more of its work is not waited for; a zone without room for one load is full,
   * though a blade carries nothing there */
  assert_int_equal(run(13507), SOAK_FULL);
  assert_int_equal(run(107464), SOAK_DONE); /* two blades laid the same snow to and fro for ever */
  /* a load that was to be carried out of an area, full where no way led on */
  assert_int_equal(run(4018), SOAK_STOPPED);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_some), cmocka_unit_test(test_again)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
