// SPDX-License-Identifier: GPL-3.0-or-later
#include "validation.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

/* Digits enough to see the slack, and no more: the page must not change with the last bit. Where nothing is
 * expected, what is left is rounding, and its size says enough. */
static int digits_of(double expected, double slack) {
  if (expected == 0)
    return 1;
  double size = fmax(fabs(expected), 1e-12);
  double digits = slack > 0 ? ceil(log10(size / slack)) + 1 : 10;
  return (int)fmin(fmax(digits, 3), 10);
}

static void record(const char *source, const char *what, double got, double expected, double slack) {
  const char *path = getenv("PC_VALIDATION");
  if (!path)
    return;
  char numbers[120];
  snprintf(numbers, sizeof numbers, "%.10g\t%.*g\t%.2g", expected, digits_of(expected, slack), got, slack);
  for (char *c = numbers; *c; c++) /* some tests change the locale */
    *c = *c == ',' ? '.' : *c;
  FILE *file = fopen(path, "a");
  if (!file)
    fail_msg("%s: cannot be written", path);
  bool written = fprintf(file, "%s\t%s\t%s\n", source, what, numbers) >= 0;
  if (fclose(file) != 0 || !written)
    fail_msg("%s: cannot be written", path);
}

void assert_published(const char *source, const char *what, double got, double expected, double slack) {
  record(source, what, got, expected, slack);
  if (!(fabs(got - expected) <= slack))
    fail_msg("%s: %.10g, but %s has %.10g (within %g)", what, got, source, expected, slack);
}
