// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Which machines drive across areas that are bound to other loaders (`loaders` of an area). That key binds
 * the work: ways lead across all pavement, so that who has a deck or a bridge in mind that carries light
 * machines only has to hear of it. Counted are the cycles with at least some metres of a way without work
 * inside, over the rows of one replication (pc_crossings_row).
 *
 * Ownership: pc_crossings_start, then pc_crossings_free. Failures: only memory; then `failed` is set, and
 * nothing is counted. Thread-safety: one count belongs to one run, and so to one thread, at a time.
 */
#ifndef PC_STUDY_CROSSINGS_H
#define PC_STUDY_CROSSINGS_H

#include "sim/lot.h"
#include "sim/trace.h"

PC_BEGIN_C

typedef struct pc_crossings {
  const pc_lot *lot;           /* borrowed */
  const pc_scenario *scenario; /* borrowed */
  int *cycles;                 /* machines × areas: how many led across */
  int *last;                   /* machines × areas: the last of them that is counted */
  bool failed;
} pc_crossings;

/* None yet; nothing is ever counted where no area is bound. */
PC_API void pc_crossings_start(pc_crossings *crossings, const pc_lot *lot, const pc_scenario *scenario);
/* Hook for a pc_trace whose context it is. */
PC_API void pc_crossings_row(void *crossings, const pc_trace_row *row);
PC_API void pc_crossings_free(pc_crossings *crossings);
/* Of one machine, 0 where it may work; of PC_NO_ENTRY: of all. */
PC_API int pc_crossings_of(const pc_crossings *crossings, size_t machine, size_t area);

PC_END_C

#endif
