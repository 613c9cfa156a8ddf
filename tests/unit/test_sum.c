// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "base/sum.h"
#include "validation.h"

static void small_terms_survive_large_ones(void **state) {
  (void)state;
  /* Neumaier 1974, ZAMM 54:39; the sequence is the usual demonstration (from memory). Plain addition
   * gives 0. */
  const double terms[] = {1.0, 1e100, 1.0, -1e100};
  pc_sum sum = {0};
  double plain = 0;
  for (int i = 0; i < 4; i++) {
    pc_sum_add(&sum, terms[i]);
    plain += terms[i];
  }
  assert_published("Neumaier 1974, ZAMM 54:39 (sequence from memory)", "1 + 1e100 + 1 - 1e100",
                   pc_sum_value(&sum), 2.0, 0);
  assert_true(plain == 0.0);
}

static void ten_million_tenths(void **state) {
  (void)state;
  pc_sum sum = {0};
  double plain = 0;
  for (int i = 0; i < 10000000; i++) {
    pc_sum_add(&sum, 0.1);
    plain += 0.1;
  }
  /* 1e7 times the double nearest to 0.1 is 1e6 + 5.55e-11 exactly: 1e6 to the last bit but one. */
  assert_true(fabs(pc_sum_value(&sum) - 1e6) <= 1.2e-10);
  assert_true(fabs(plain - 1e6) > 1e-5);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(small_terms_survive_large_ones),
      cmocka_unit_test(ten_million_tenths),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
