// SPDX-License-Identifier: GPL-3.0-or-later
/* The parts of a sensitivity study. Not installed. */
#ifndef PC_STUDY_SENSITIVITY_PRIVATE_H
#define PC_STUDY_SENSITIVITY_PRIVATE_H

#include "base/steps.h"
#include "study/sensitivity.h"

/* One evaluation: times of all replications, and whether all finished. */
typedef struct pc_trial {
  double *times_s; /* free(); NULL if it was stopped or no lot could be made */
  bool stopped;    /* before all replications were there */
  double mean_s;
  bool finished;
  pc_reason reason;
} pc_trial;

/* Each replication is a step. Faults are those of making the lot. */
PC_MUST_USE pc_status pc_trial_run(const pc_scenario *scenario, const pc_choice *choice,
                                   const pc_sensitivity_plan *plan, pc_steps *steps, pc_trial *trial,
                                   pc_faults *faults);

/* Trials that the search for break-evens foresees. */
size_t pc_break_even_trials(const pc_scenario *scenario, const pc_choice *choice);
PC_MUST_USE pc_status pc_break_even_find(const pc_scenario *scenario, const pc_choice *choice,
                                         const pc_sensitivity_plan *plan, pc_steps *steps,
                                         pc_sensitivity *out, pc_faults *faults);

#endif
