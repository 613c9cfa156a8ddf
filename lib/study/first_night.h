// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What is read off the rows of replication 0 while it runs: how deep snow lies while it falls (depths.h), and
 * ways across areas that are bound to other loaders (crossings.h). SI units.
 *
 * Ownership: pc_first_night_start, then pc_first_night_free. Failures: only memory; then
 * pc_first_night_failed. Thread-safety: one belongs to one run, and so to one thread, at a time.
 */
#ifndef PC_STUDY_FIRST_NIGHT_H
#define PC_STUDY_FIRST_NIGHT_H

#include "study/crossings.h"
#include "study/depths.h"

PC_BEGIN_C

typedef struct pc_first_night {
  pc_depths_series depths; /* without rows where no snow falls */
  pc_crossings crossings;  /* counts nothing where no area is bound */
} pc_first_night;

/* Nothing read yet, of this lot, which was made of this scenario; both are borrowed. */
PC_API void pc_first_night_start(pc_first_night *night, const pc_lot *lot, const pc_scenario *scenario);
/* The trace that fills it, whose context it is: it stays where it is until the run has ended. False if there
 * is nothing to read, so that the run needs no trace. */
PC_API bool pc_first_night_trace(pc_first_night *night, pc_trace *trace);
/* The hooks of that trace, for who reads more beside. */
PC_API void pc_first_night_row(void *night, const pc_trace_row *row);
PC_API void pc_first_night_depth(void *night, uint64_t replication, double time_s, size_t area,
                                 double depth_m);
PC_API bool pc_first_night_failed(const pc_first_night *night);
PC_API void pc_first_night_free(pc_first_night *night);

PC_END_C

#endif
