// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Every wanted combination of layouts × boxes × loaders × policies × depths × numbers of machines, run with
 * common random numbers and ranked by mean total time within one depth, whatever the number of machines: more
 * machines are usually quicker, and crews.h weighs what they cost. Before time comes the share of nights that
 * are finished; of rows that never are, the one that leaves less is first. A combination of which no lot can
 * be made (a box too wide for the only gate, …) is left out and listed, with a caution; only if that is so of
 * all is it a fault. A depth or a number of machines that is asked for twice is compared once, with a
 * caution. Difference to the best: paired by replication, Student t, Bonferroni over the rows compared.
 * Thread-safe (arguments only).
 */
#ifndef PC_STUDY_COMPARE_H
#define PC_STUDY_COMPARE_H

#include "base/watch.h"
#include "study/crews.h"
#include "study/crossings.h"
#include "study/depths.h"
#include "study/ends.h"
#include "study/replicate.h"

PC_BEGIN_C

typedef struct pc_compare_row {
  int rank;                            /* 1 = best of its depth */
  pc_name layout, box, loader, policy; /* box, loader "" = as the crew has it */
  double depth_m;
  pc_summary summary;
  pc_statistic difference_to_best_s; /* half_width: adjusted interval; 0 without chance */
  bool tied_with_best;               /* the interval includes 0 */
  pc_limit limited_by;  /* of the last machine that something other than volume limits; see machines */
  int crew;             /* the number of machines that was asked for; 0: as the crew has them */
  size_t machine_count; /* of all, those included that stay whatever the number (`keep`) */
  pc_lot_machine
      *machines;      /* copy of name and unit of each machine, for reports; allowed and first are NULL */
  pc_crew_use use;    /* how the crew spends its time */
  pc_ends ends;       /* who of it sets the time */
  pc_keep_up keep_up; /* with the storm, in the first replication; NONE without one */
  pc_crossed crossed; /* who drives across areas that are bound to others, in the first replication */
  /* Of a selection (pc_compare_how.within_s) only: */
  bool selected;        /* as the best of its depth */
  size_t dropped_after; /* replications after which it was out of the running; 0: it stayed to the end */
} pc_compare_row;

typedef struct pc_compare_left_out {   /* no lot can be made of it */
  pc_name layout, box, loader, policy; /* box, loader "" = as the crew has it */
  double depth_m;
  int crew;     /* as in pc_compare_row */
  pc_error why; /* the first fault */
} pc_compare_left_out;

typedef struct pc_comparison {
  pc_compare_row *rows; /* by depth, then rank */
  size_t row_count;
  size_t asked; /* combinations asked for, without those left out; more than row_count if the work was stopped
                   before its end */
  bool mixed;   /* its boxes were mixed over the machines */
  /* Of a selection only: */
  double within_s;    /* 0: there was none */
  size_t first_stage; /* replications of every row */
  bool settled; /* for every depth the best is known to within within_s, at 95 %: not where some row finished
                   in some of its nights only, as how often a row finishes is not known so well */
  bool settled_of_finished;      /* the same among the rows that finished in each of their nights */
  size_t sometimes_unfinished;   /* rows that finished in some of their nights only */
  pc_compare_left_out *left_out; /* in the order asked for */
  size_t left_out_count;
} pc_comparison;

enum {
  PC_COMPARE_MAX = 10000,
  PC_SELECT_ROWS_MAX = 200, /* rows among which a selection is made */
  PC_SELECT_FIRST = 10,     /* replications of its first stage, at least */
  PC_SELECT_MOST = 1000     /* replications of one row after which it gives up */
};

typedef struct pc_compare_how {
  const pc_wanted *wanted; /* lists as in the scenario's compare block; NULL: that block itself */
  size_t replications;     /* of each combination; of a selection's first stage, at least PC_SELECT_FIRST */
  uint64_t seed;
  int threads; /* 0: one per processor */
  /* More than 0: a selection. Replications go on, and what is clearly worse drops out, until the best of each
   * depth is known: with 95 % probability the row that is selected is the best one, if that is better than
   * all others by at least within_s (study/select.h). A row drops out after a night that it did not
   * finish: of how often that happens nothing is promised. */
  double within_s;
  const pc_watch
      *watch; /* may be NULL; steps are replications. Stopped: rows that were not run to their end
                 are left out; a selection keeps those that have replications, and is not settled. */
} pc_compare_how;

/* The combinations of how->wanted. An empty list means the scenario's own value. */
PC_API PC_MUST_USE pc_status pc_compare(const pc_scenario *scenario, const pc_compare_how *how,
                                        pc_comparison *comparison, pc_faults *faults);
PC_API void pc_comparison_free(pc_comparison *comparison);
/* 'layout "north" with 16 ft': all of its choices but policy and depth, on which no lot fails. snprintf's
 * return value. */
PC_API int pc_compare_left_out_format(const pc_compare_left_out *left_out, char *text, size_t size);

/* ---- a comparison whose replications are run in several places (io/shards.h) ---- */

/* Number of combinations. Here and below `wanted` may be NULL, as in pc_compare_how. */
PC_API PC_MUST_USE pc_status pc_compare_count(const pc_scenario *scenario, const pc_wanted *wanted,
                                              size_t *count, pc_faults *faults);
/* Makes the lots of combinations first … end − 1 one after the other, in the order in which pc_compare runs
 * them, and hands each to `visit`, which must not keep it; what it returns ends the tour unless PC_OK. */
PC_API PC_MUST_USE pc_status pc_compare_visit(
    const pc_scenario *scenario, const pc_wanted *wanted, size_t first, size_t end,
    pc_status (*visit)(void *context, size_t row, const pc_lot *lot), void *context, pc_faults *faults);

/* The same, but what pc_compare would leave out is no fault: `visit` gets a lot of NULL, and `faults` a
 * caution. */
PC_API PC_MUST_USE pc_status pc_compare_visit_each(
    const pc_scenario *scenario, const pc_wanted *wanted, size_t first, size_t end,
    pc_status (*visit)(void *context, size_t row, const pc_lot *lot), void *context, pc_faults *faults);

/* Gives what was run elsewhere. */
typedef struct pc_compare_source {
  void *context;
  /* Fills the results (rooms are there already, pc_results_create) and, where snow falls, *keep_up; where
   * pc_crossings_may_be, *crossed, which then is whoever's that fetches, also on failure. */
  pc_status (*fetch)(void *context, size_t row, const pc_lot *lot, size_t replications, pc_result *results,
                     pc_keep_up *keep_up, pc_crossed *crossed);
} pc_compare_source;

/* The same as pc_compare to the last bit, with results that are fetched. */
PC_API PC_MUST_USE pc_status pc_compare_fetched(const pc_scenario *scenario, const pc_wanted *wanted,
                                                size_t replications, const pc_compare_source *source,
                                                pc_comparison *comparison, pc_faults *faults);

PC_END_C

#endif
