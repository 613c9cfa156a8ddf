// SPDX-License-Identifier: GPL-3.0-or-later
/* Reading scenarios that must be good. */
#ifndef PC_TESTS_READ_GOOD_H
#define PC_TESTS_READ_GOOD_H

#include "io/scenario.h"

/* Fails unless both agree to 1e-12. */
void near_(double found, double expected, int line);
#define NEAR(found, expected) near_((found), (expected), __LINE__)

/* Reads a text as "lot.yaml"; fails, and shows what was found, unless there are just so many cautions. */
pc_scenario read_good(const char *text, const pc_override *overrides, size_t count, size_t cautions);

#endif
