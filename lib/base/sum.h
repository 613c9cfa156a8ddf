// SPDX-License-Identifier: GPL-3.0-or-later
/* Compensated (Neumaier) summation: the error does not grow with the number of terms. Thread-safe
 * (arguments only). */
#ifndef PC_BASE_SUM_H
#define PC_BASE_SUM_H

#include <math.h>

#include "base/export.h"

PC_BEGIN_C

typedef struct pc_sum {
  double high, low;
} pc_sum;

/* Adds a term to a sum that began zeroed. */
static inline void pc_sum_add(pc_sum *sum, double term) {
  double total = sum->high + term;
  if (fabs(sum->high) >= fabs(term))
    sum->low += (sum->high - total) + term;
  else
    sum->low += (term - total) + sum->high;
  sum->high = total;
}

/* The sum so far. */
static inline double pc_sum_value(const pc_sum *sum) {
  return sum->high + sum->low;
}

PC_END_C

#endif
