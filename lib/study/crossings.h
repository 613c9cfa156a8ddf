// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Which machines drive across areas that are bound to other loaders (`loaders` of an area). That key binds
 * the work: ways lead across all pavement, so that who has a deck or a bridge in mind that carries light
 * machines only has to hear of it. Counted are the cycles with at least some metres of a way without work
 * inside, over the rows of one replication (pc_crossings_row).
 *
 * Ownership: pc_crossings_start, then pc_crossings_free; a list made of it lasts by itself, pc_crossed_free.
 * Failures: only memory; of a count `failed` is set, and nothing is counted. Thread-safety: one count belongs
 * to one run, and so to one thread, at a time.
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

/* One machine across one area. */
typedef struct pc_crossing {
  pc_name machine, area;
  int cycles; /* at least 1 */
} pc_crossing;

/* What was counted: area by area, in each machine by machine; those without a crossing are not there. */
typedef struct pc_crossed {
  pc_crossing *items;
  size_t count;
} pc_crossed;

/* Whether some area is bound to loaders, so that there is anything to count. */
PC_API bool pc_crossings_may_be(const pc_scenario *scenario);
/* None yet; nothing is ever counted where no area is bound. */
PC_API void pc_crossings_start(pc_crossings *crossings, const pc_lot *lot, const pc_scenario *scenario);
/* Hook for a pc_trace whose context it is. */
PC_API void pc_crossings_row(void *crossings, const pc_trace_row *row);
PC_API void pc_crossings_free(pc_crossings *crossings);
/* Of one machine, 0 where it may work; of PC_NO_ENTRY: of all. */
PC_API int pc_crossings_of(const pc_crossings *crossings, size_t machine, size_t area);
/* A list of it, which is filled afresh. PC_ERR_MEMORY, also where the count has failed. */
PC_API PC_MUST_USE pc_status pc_crossings_list(const pc_crossings *crossings, pc_crossed *crossed);
/* The same of replication 0 of this lot, made of this scenario, which is run for it only where some area is
 * bound. PC_ERR_MEMORY. */
PC_API PC_MUST_USE pc_status pc_crossed_find(const pc_lot *lot, const pc_scenario *scenario, uint64_t seed,
                                             pc_crossed *crossed);
/* Of all machines and areas together. */
PC_API int pc_crossed_cycles(const pc_crossed *crossed);
PC_API void pc_crossed_free(pc_crossed *crossed);

PC_END_C

#endif
