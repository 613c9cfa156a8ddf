// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What the fuzz targets share. Each target is one file with one function, LLVMFuzzerTestOneInput: libFuzzer
 * calls it with inputs that it makes up (`make fuzz`), replay.c with those that are kept in tests/fuzz/corpus
 * (`make test`). A target aborts where a promise of the library is broken.
 */
#ifndef PC_TESTS_FUZZ_H
#define PC_TESTS_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/status.h"
#include "sim/scenario.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define FUZZ_MUST(condition)                                                                                 \
  do {                                                                                                       \
    if (!(condition)) {                                                                                      \
      fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #condition);                                \
      abort();                                                                                               \
    }                                                                                                        \
  } while (0)

/* A reader's faults: each has a message and prints, and the status is that of the first; frees them. */
void fuzz_check_faults(pc_status status, pc_faults *faults);
/* Small enough to be run in a moment. */
bool fuzz_is_small(const pc_scenario *scenario);
/* Makes the lot and runs it once with all invariants checked after each event. */
void fuzz_run(const pc_scenario *scenario);

#endif
