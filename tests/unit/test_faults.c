// SPDX-License-Identifier: GPL-3.0-or-later
/* Malformed scenarios: tests/faults, as tests/support/corpus.h has it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "corpus.h"
#include "io/scenario.h"

enum { CASES_MIN = 75 }; /* so that an empty folder cannot pass */

static void read_scenario(const char *name, const char *text, size_t length, pc_text *lines) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text(name, text, length, NULL, 0, &scenario, &faults);
  assert_int_equal(status, pc_faults_status(&faults));
  if (status != PC_OK) {
    assert_null(scenario.boxes);
    assert_int_equal(scenario.zone_count, 0);
  }
  corpus_add_faults(&faults, lines);
  pc_scenario_free(&scenario);
}

static void test_corpus(void **state) {
  (void)state;
  corpus_check("faults", ".yaml", CASES_MIN, read_scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_corpus)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
