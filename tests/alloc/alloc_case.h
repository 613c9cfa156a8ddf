// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * One piece of work, done again and again while each of its allocations fails in turn: once alone, and once
 * with all after it. Each time it must report PC_ERR_MEMORY, or have managed without that block and give the
 * same text as always; nothing may be left allocated; and the next time it must work again.
 *
 * FAULTS_MOST in the environment says how many places to try of each piece, evenly spread (0: every one).
 */
#ifndef PC_TESTS_ALLOC_CASE_H
#define PC_TESTS_ALLOC_CASE_H

#include "base/status.h"
#include "base/text.h"
#include "sim/scenario.h"

/* Does the work, adds what came of it to `out`, and frees all it made but `out`. A call whose status differs
 * from what `out` needs to say returns the status. */
typedef pc_status alloc_work(void *context, pc_text *out);

/* Fails the test unless all is as above. `most`: places to try unless the environment says otherwise. */
void alloc_check(const char *name, size_t most, alloc_work *work, void *context);

/* Frees the faults; PC_ERR_MEMORY if some could not be kept, else `status`. */
pc_status alloc_status(pc_status status, pc_faults *faults);

/* Reads a scenario below tests, which must be good. */
void alloc_scenario(const char *name, pc_scenario *scenario);
/* Path of a file below tests; good until the next call. */
const char *alloc_path(const char *name);
/* The text of a file below tests, to be freed. */
char *alloc_text(const char *name, size_t *length);

#endif
