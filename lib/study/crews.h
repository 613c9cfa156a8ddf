// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * How many machines: what a comparison over several numbers of machines says. SI units.
 *
 * Rows that are alike in all but the number of machines are one group; each is a step of it, fewest machines
 * first. Where boxes were mixed over the machines, rows that differ in boxes are one group too, and the step
 * to a number is the quickest row with it, of those in time if there are any. Only rows that finished take
 * part in speed-up, cost and "pays": the others leave NaN.
 *
 * Match factor (definition of estimating handbooks, from memory): n·S/T with n machines, S the time a load
 * takes at the place that serves them, T the time of a cycle without waiting. Below 1 the machines have time
 * to spare there, above 1 they queue. Here the servers are the berths: S is the mean dump time, for the zone
 * with the largest share of the loads for each of its berths.
 *
 * Ownership: pc_crews_make fills the caller's pc_crews, which pc_crews_free releases; it borrows nothing.
 * Failures: PC_ERR_MEMORY. Thread-safe (arguments only).
 */
#ifndef PC_STUDY_CREWS_H
#define PC_STUDY_CREWS_H

#include "sim/lot.h"
#include "sim/result.h"

PC_BEGIN_C

struct pc_comparison;

/* How a crew spends its time. Shares are of all machine time, pauses and repairs included. */
typedef struct pc_crew_use {
  double working, waiting; /* the rest stands idle */
  double match_factor;     /* NaN: nothing was dumped */
  pc_name waits_at;        /* the zone or passage with the most waiting; "" = there was none */
  bool waits_in_passage;
  double waits_s; /* machine time spent waiting there */
  /* What holds the crew back, if its machines say so: one that is busy nearly all the time (PC_CREW_BUSY)
   * while the others are so much less (PC_CREW_SPARE). Pauses, repairs and hours off count as busy. */
  pc_name limit;                  /* the busiest; "": none stands out */
  pc_name limit_area;             /* the only area that it may work in; "": there are several */
  int limit_count;                /* machines that are as busy, it included */
  bool limit_kept;                /* all of them stay whatever the number (`keep`) */
  double limit_busy, others_busy; /* shares of their time */
} pc_crew_use;

typedef struct pc_crew_step {
  size_t row;   /* of the comparison */
  int machines; /* the number asked for, without those that stay whatever it is */
  bool finished;
  bool late;           /* some area missed its deadline in some replication */
  double time_s, cost; /* means; cost NaN: prices are not given */
  double speed_up;     /* time of one machine over this one's; NaN if one was not compared or not finished */
  double saved_s;      /* by the step from the finished one before; NaN: there is none */
  double cost_difference; /* to the finished one before; NaN: there is none, or no prices */
  bool pays;  /* that step: cheaper than the one before, or, without prices, at least 10 % of the time saved
                 with each machine added */
  bool saves; /* that step saves at least 10 % of the time with each machine added, whatever it costs */
} pc_crew_step;

typedef struct pc_crew_group {
  size_t first, count; /* steps */
  int least_cost;      /* machines, of those that are in time if any is; 0: no prices, or nothing finished */
  int last_that_pays;  /* machines after the last step that pays; 0: none does */
  int last_that_saves; /* machines after the last step that saves at least 10 % each; 0: none does */
} pc_crew_group;

typedef struct pc_crews {
  pc_crew_step *steps; /* group after group */
  size_t step_count;
  pc_crew_group *groups; /* in the order of their best rows */
  size_t group_count;
} pc_crews;

/* What one more machine has to save of the time to count as worth it without prices. */
#define PC_CREW_SAVING 0.10

/* A machine holds the others back if it is busy for this share of the time, and they for so much less.
 * Machines within PC_CREW_ALIKE of the busiest count as such, too. Chosen here, no source. */
#define PC_CREW_BUSY 0.90
#define PC_CREW_SPARE 0.15
#define PC_CREW_ALIKE 0.05

/* n·S/T as above. */
PC_API double pc_match_factor(double machines, double serve_s, double cycle_s);
/* How a crew spends its time, from the mean result of its runs. */
PC_API pc_crew_use pc_crew_use_of(const pc_lot *lot, const pc_result *mean);
/* Empty if no group has more than one number of machines. */
PC_API PC_MUST_USE pc_status pc_crews_make(const struct pc_comparison *comparison, pc_crews *crews);
PC_API void pc_crews_free(pc_crews *crews);

PC_END_C

#endif
