// SPDX-License-Identifier: GPL-3.0-or-later
/* The parts of a sensitivity study. Not installed. */
#ifndef PC_STUDY_SENSITIVITY_PRIVATE_H
#define PC_STUDY_SENSITIVITY_PRIVATE_H

#include "study/sensitivity.h"

/* One evaluation: times of all replications, and whether all finished. */
typedef struct pc_trial {
  double *times_s; /* free() */
  double mean_s;
  bool finished;
  pc_reason reason;
} pc_trial;

/* Faults are those of making the lot. */
PC_MUST_USE pc_status pc_trial_run(const pc_scenario *scenario, const pc_choice *choice,
                                   const pc_sensitivity_plan *plan, pc_trial *trial, pc_faults *faults);

typedef struct pc_study_progress {
  void (*tell)(void *context, size_t done, size_t all);
  void *context;
  size_t done, all;
} pc_study_progress;

void pc_study_step(pc_study_progress *progress);
/* Trials that the search for break-evens foresees. */
size_t pc_break_even_trials(const pc_scenario *scenario, const pc_choice *choice);
PC_MUST_USE pc_status pc_break_even_find(const pc_scenario *scenario, const pc_choice *choice,
                                         const pc_sensitivity_plan *plan, pc_study_progress *progress,
                                         pc_sensitivity *out, pc_faults *faults);

#endif
