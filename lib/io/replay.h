// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A night to look at: one run, or two side by side, as one HTML file that needs nothing else and no network.
 *
 * pc_replay_record runs replication 0 of a lot and gives it as JSON: the lane grid, every leg of every
 * machine, every change of the ground, and the results as pc_results_run_json writes them. Times are kept to
 * a millisecond, places to a centimetre, loads to 100 g, and snow to 1/32 of all that lies and falls on a
 * square metre. pc_replay_page puts recorded runs into the page.
 *
 * Ownership: text goes into the caller's pc_text. Failures: PC_ERR_LIMIT for more than PC_REPLAY_CELLS_MAX
 * cells, PC_ERR_RANGE for no runs, PC_ERR_MEMORY, and what a run gives. Thread-safe (arguments only).
 */
#ifndef PC_IO_REPLAY_H
#define PC_IO_REPLAY_H

#include "study/replicate.h"

PC_BEGIN_C

enum { PC_REPLAY_CELLS_MAX = 1000000, PC_REPLAY_RUNS_MAX = 2 };

typedef struct pc_replay_run {
  const char *label; /* what sets it apart from the other */
  const char *json;  /* of pc_replay_record */
} pc_replay_run;

/* *finished (may be NULL): whether all of the work was done. */
PC_API PC_MUST_USE pc_status pc_replay_record(const pc_lot *lot, uint64_t seed, pc_text *out, bool *finished);
/* The scenario is the one that the lots were made from. */
PC_API PC_MUST_USE pc_status pc_replay_page(const pc_scenario *scenario, const pc_replay_run *runs,
                                            size_t count, pc_unit_system units, pc_text *out);

PC_END_C

#endif
