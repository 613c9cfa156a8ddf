// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "read_good.h"

void near_(double found, double expected, int line) {
  if (!(fabs(found - expected) <= 1e-12 * fmax(1, fabs(expected)))) {
    print_error("line %d: found %.17g, expected %.17g\n", line, found, expected);
    fail();
  }
}
static void show(const pc_faults *faults) {
  for (size_t i = 0; i < faults->count; i++) {
    char line[1024];
    (void)pc_error_format(&faults->items[i], line, sizeof line);
    print_error("%s\n", line);
  }
}

pc_scenario read_good(const char *text, const pc_override *overrides, size_t count, size_t cautions) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status =
      pc_scenario_read_text("lot.yaml", text, strlen(text), overrides, count, &scenario, &faults);
  if (status != PC_OK || faults.count != cautions)
    show(&faults);
  assert_int_equal(status, PC_OK);
  assert_int_equal(faults.count, cautions);
  pc_faults_free(&faults);
  return scenario;
}
