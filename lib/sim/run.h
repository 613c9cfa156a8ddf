// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Running a lot. A pc_world holds everything that changes in a run; make one per thread and use it for any
 * number of runs: pc_world_run allocates nothing. The result is the same for the same (lot, seed,
 * replication), whatever ran before. Thread-safety: one world, one thread; worlds of one lot run side by
 * side.
 */
#ifndef PC_SIM_RUN_H
#define PC_SIM_RUN_H

#include "sim/lot.h"
#include "sim/result.h"
#include "sim/trace.h"

PC_BEGIN_C

typedef struct pc_world pc_world;

/* The lot is borrowed: it must outlive the world. PC_ERR_MEMORY. */
PC_API PC_MUST_USE pc_status pc_world_create(const pc_lot *lot, pc_world **world);
PC_API void pc_world_free(pc_world *world);
/* Room for all that a run of this lot gives. */
PC_API PC_MUST_USE pc_status pc_result_init_for(pc_result *result, const pc_lot *lot);
/* result must come from pc_result_init_for this lot, or from pc_result_init with its counts of machines and
 * zones: then what areas and passages give is not kept, and no summary can be made of it. PC_ERR_RANGE for
 * one with other counts. trace may be NULL. */
PC_API PC_MUST_USE pc_status pc_world_run(pc_world *world, uint64_t seed, uint64_t replication,
                                          const pc_trace *trace, pc_result *result);
/* The same, but it ends as it stands when time at work would pass until_s: with bites begun (their snow is
 * off the ground) and loads on their way. INFINITY: to the end. PC_ERR_RANGE for NaN. */
PC_API PC_MUST_USE pc_status pc_world_run_until(pc_world *world, uint64_t seed, uint64_t replication,
                                                double until_s, const pc_trace *trace, pc_result *result);
/* Snow on the ground as the last run left it, kg: one entry for each cell of the lot's ground. Borrowed. */
PC_API const double *pc_world_ground_kg(const pc_world *world);
/* Turns on the check of every invariant after each event (mass, no negative cell, berths, clock); a run
 * then fails with PC_ERR_RANGE and pc_world_complaint tells what broke. For tests. */
PC_API void pc_world_check_always(pc_world *world, bool on);
PC_API const char *pc_world_complaint(const pc_world *world);

PC_END_C

#endif
