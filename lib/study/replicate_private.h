// SPDX-License-Identifier: GPL-3.0-or-later
/* Inside lib/study: replications that can be watched and stopped. */
#ifndef PC_STUDY_REPLICATE_PRIVATE_H
#define PC_STUDY_REPLICATE_PRIVATE_H

#include "base/steps.h"
#include "study/replicate.h"

/* Runs replication 0. The result is the caller's to free, also on failure. */
PC_MUST_USE pc_status pc_run_once(const pc_lot *lot, uint64_t seed, const pc_trace *trace, pc_result *result);
/* Replications first … first + count − 1; each counts as a step. If the steps are stopped, *done is less than
 * count: so many from the first on are there, but always at least one. */
PC_MUST_USE pc_status pc_replicate_steps(const pc_lot *lot, size_t first, size_t count, uint64_t seed,
                                         int threads, const pc_trace *trace, pc_steps *steps,
                                         pc_result *results, size_t *done);
/* The same, summed up. */
PC_MUST_USE pc_status pc_replicate_summary(const pc_lot *lot, size_t replications, uint64_t seed, int threads,
                                           const pc_trace *trace, pc_steps *steps, pc_summary *summary);
/* Of the total times, over the replications that both have. */
pc_statistic pc_summary_difference(const pc_summary *a, const pc_summary *b, double level);
/* Level of each of the count − 1 intervals of differences to one of `count`, so that all hold together with
 * at least this level (Bonferroni). */
double pc_level_of_each(double level, size_t count);
/* Which of two comes first by how they end, before any time is looked at: that which finishes in the larger
 * share of its nights; of two that never do, that which leaves less, by a kilogram. Negative: a, positive: b,
 * 0: neither. */
int pc_summary_order_of_ends(const pc_summary *a, const pc_summary *b);
/* Missed deadlines, summed over areas and replications. */
size_t pc_summary_late(const pc_summary *summary);

#endif
