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

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_some)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
