// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Every wanted combination of layouts × boxes × loaders × policies × depths × numbers of machines, run with
 * common random numbers and ranked by mean total time within one depth, whatever the number of machines: more
 * machines are usually quicker, and crews.h weighs what they cost. A row that is not finished ranks behind
 * all that are. A depth or a number of machines that is asked for twice is compared once, with a caution.
 * Difference to the best: paired by replication, Student t, Bonferroni over the rows compared.
 */
#ifndef PC_STUDY_COMPARE_H
#define PC_STUDY_COMPARE_H

#include "study/crews.h"
#include "study/depths.h"
#include "study/replicate.h"

typedef struct pc_compare_row {
  int rank;                            /* 1 = best of its depth */
  pc_name layout, box, loader, policy; /* box, loader "" = as the crew has it */
  double depth_m;
  pc_summary summary;
  pc_statistic difference_to_best_s; /* half_width: adjusted interval; 0 without chance */
  bool tied_with_best;               /* the interval includes 0 */
  pc_limit limited_by;      /* of the last machine that something other than volume limits; see machines */
  int crew;                 /* the number of machines that was asked for; 0: as the crew has them */
  size_t machine_count;     /* of all, those included that stay whatever the number (`keep`) */
  pc_lot_machine *machines; /* copy of name and unit of each machine, for reports; allowed is NULL */
  pc_crew_use use;          /* how the crew spends its time */
  pc_keep_up keep_up;       /* with the storm, in the first replication; NONE without one */
} pc_compare_row;

typedef struct pc_comparison {
  pc_compare_row *rows; /* by depth, then rank */
  size_t row_count;
} pc_comparison;

enum { PC_COMPARE_MAX = 10000 };

/* wanted: lists as in the scenario's compare block (empty = scenario's own). progress (may be NULL) is
 * called after each row. */
PC_API PC_MUST_USE pc_status pc_compare(const pc_scenario *scenario, const pc_wanted *wanted,
                                        size_t replications, uint64_t seed, int threads,
                                        void (*progress)(void *context, size_t done, size_t all),
                                        void *context, pc_comparison *comparison, pc_faults *faults);
PC_API void pc_comparison_free(pc_comparison *comparison);

/* ---- a comparison whose replications are run in several places (io/shards.h) ---- */

/* Number of combinations. */
PC_API PC_MUST_USE pc_status pc_compare_count(const pc_scenario *scenario, const pc_wanted *wanted,
                                              size_t *count, pc_faults *faults);
/* Makes the lots of combinations first … end − 1 one after the other, in the order in which pc_compare runs
 * them, and hands each to `visit`, which must not keep it; what it returns ends the tour unless PC_OK. */
PC_API PC_MUST_USE pc_status pc_compare_visit(
    const pc_scenario *scenario, const pc_wanted *wanted, size_t first, size_t end,
    pc_status (*visit)(void *context, size_t row, const pc_lot *lot), void *context, pc_faults *faults);

/* Gives what was run elsewhere. */
typedef struct pc_compare_source {
  void *context;
  /* Fills the results (rooms are there already, pc_results_create) and, where snow falls, *keep_up. */
  pc_status (*fetch)(void *context, size_t row, const pc_lot *lot, size_t replications, pc_result *results,
                     pc_keep_up *keep_up);
} pc_compare_source;

/* The same as pc_compare to the last bit, with results that are fetched. */
PC_API PC_MUST_USE pc_status pc_compare_fetched(const pc_scenario *scenario, const pc_wanted *wanted,
                                                size_t replications, const pc_compare_source *source,
                                                pc_comparison *comparison, pc_faults *faults);

#endif
