// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Plans in files ("pushcycle-plan", version 1): what `plan` writes and `run --plan` follows. Only the member
 * "policy" is needed to follow a plan; the rest is for people and for other programs. Numbers are SI, the
 * unit in every key. Failures: PC_ERR_MEMORY; for reading, faults with file, line and key. Thread-safe
 * (arguments only).
 */
#ifndef PC_IO_PLAN_FILE_H
#define PC_IO_PLAN_FILE_H

#include "base/text.h"
#include "io/tables_siting.h"
#include "study/plan_search.h"

PC_BEGIN_C

/* The whole plan, with the crossings of the notes (which may be NULL). CSV has its bites only, one a row. */
PC_API PC_MUST_USE pc_status pc_results_plan_json(const pc_lot *lot, const pc_planning *planning,
                                                  uint64_t seed, const pc_notes *notes, pc_text *out);
PC_API PC_MUST_USE pc_status pc_results_plan_csv(const pc_lot *lot, const pc_planning *planning,
                                                 pc_text *out);
/* Reads what the lot is to follow; free with pc_plan_free. A plan for other lanes or another layout is a
 * fault. */
PC_API PC_MUST_USE pc_status pc_plan_read(const char *path, const pc_lot *lot, pc_plan *plan,
                                          pc_faults *faults);
PC_API PC_MUST_USE pc_status pc_plan_read_text(const char *name, const char *text, size_t length,
                                               const pc_lot *lot, pc_plan *plan, pc_faults *faults);

PC_END_C

#endif
