// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A whole run in one call, text in, text out: for languages that load the library and would rather not know
 * its structs. What comes out is what `pushcycle run --json` prints.
 *
 * Ownership: both texts are the caller's, pc_text_free. Failures: those of reading a scenario and of making a
 * lot, and PC_ERR_MEMORY; what is wrong stands in `messages`. Thread-safe (arguments only).
 */
#ifndef PC_IO_RUN_TEXT_H
#define PC_IO_RUN_TEXT_H

#include "io/scenario.h"

PC_BEGIN_C

/* Runs the scenario in `text` (YAML; `name` is what messages call it) with the overrides given, in so many
 * threads (0: one per processor). The layout is the scenario's first, crew and policy are its own. Appends
 * JSON to *json, and faults and cautions to *messages (may be NULL), one a line. A run that does not finish
 * gives PC_OK: the JSON says so. */
PC_API PC_MUST_USE pc_status pc_run_text(const char *name, const char *text, const pc_override *overrides,
                                         size_t override_count, int threads, pc_text *json,
                                         pc_text *messages);

PC_END_C

#endif
