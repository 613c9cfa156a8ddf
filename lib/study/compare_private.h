// SPDX-License-Identifier: GPL-3.0-or-later
/* Inside a comparison: the combinations it goes through, and the work on one of them. */
#ifndef PC_STUDY_COMPARE_PRIVATE_H
#define PC_STUDY_COMPARE_PRIVATE_H

#include "base/steps.h"
#include "study/compare.h"
#include "study/first_night.h"

/* ---- compare_plan.c ---- */

/* A list of names to go through; one NULL entry stands for "as the scenario says". */
typedef struct pc_choices {
  const char **items;
  size_t count;
} pc_choices;

/* So many machines, and their boxes. */
typedef struct pc_equipped {
  const char *box; /* NULL: as the crew has them */
  int machines;    /* 0: as the crew has them */
} pc_equipped;

typedef struct pc_compare_plan {
  pc_choices layouts, boxes, loaders, policies;
  double *depths_m; /* at least one: NaN as the scenario says */
  int *machines;    /* at least one: 0 as the crew has them */
  size_t depth_count, machine_count;
  pc_equipped *crews; /* each of the boxes for each number of machines, then the mixes */
  size_t crew_count, count;
  pc_name *mixes; /* the names of those; NULL: none */
} pc_compare_plan;

/* Free with pc_compare_plan_free, also on failure. */
PC_MUST_USE pc_status pc_compare_plan_make(const pc_scenario *scenario, const pc_wanted *wanted,
                                           pc_compare_plan *plan, pc_faults *faults);
void pc_compare_plan_free(pc_compare_plan *plan);
/* The i-th combination: depth outermost, layout next, boxes and number of machines innermost. */
pc_choice pc_compare_choice_at(const pc_compare_plan *plan, size_t i);
/* A choice (NULL: what the scenario has) is one before it under another name. */
void pc_compare_tell_repeat(const char *key, const char *choice, pc_faults *faults);
/* Rows of one layout and depth. */
size_t pc_compare_rows_of_layout(const pc_compare_plan *plan);

/* ---- compare_mixes.c ---- */

/* Adds to the crews of the plan, for each number of machines, every other way to put the boxes on them that
 * their loaders take; `any`: these boxes were not named one by one. */
PC_MUST_USE pc_status pc_compare_add_mixes(const pc_scenario *scenario, bool any, pc_compare_plan *plan,
                                           pc_faults *faults);

/* Takes out boxes and mixes, and the crew's own boxes, that come to the same as one before; they are told of,
 * but for the crew's own where they were not asked for (`any`). */
void pc_compare_drop_repeats(const pc_scenario *scenario, bool any, pc_compare_plan *plan, pc_faults *faults);

/* ---- compare_left_out.c ---- */

/* Of what pc_row_open or pc_lot_create said: no lot can be made of this combination, which says nothing of
 * the others. */
bool pc_compare_leaves_out(pc_status status, const pc_faults *found);
/* A caution for each fault of a combination that is left out. */
void pc_compare_tell_left_out(const pc_scenario *scenario, const pc_choice *choice, const pc_faults *found,
                              pc_faults *faults);
/* After all rows were tried with this status: lists what is left out, takes rows out that are not complete,
 * hands on what was found for each row, and frees it. If all are left out, that is the fault which is
 * returned. */
PC_MUST_USE pc_status pc_compare_settle(const pc_scenario *scenario, const pc_compare_plan *plan,
                                        pc_status status, const bool *complete, pc_faults *found,
                                        pc_comparison *comparison, pc_faults *faults);

/* ---- compare_row.c ---- */

/* A combination that is being simulated. */
typedef struct pc_row_work {
  pc_lot *lot;
  pc_result *results;
  size_t count, room;
  pc_first_night first;
} pc_row_work;

/* Makes the lot and fills what the row says of it. End with pc_row_close, also on failure. */
PC_MUST_USE pc_status pc_row_open(const pc_scenario *scenario, const pc_choice *choice, pc_row_work *work,
                                  pc_compare_row *row, pc_faults *faults);
/* So many more replications, less if the steps are stopped: work->count tells. */
PC_MUST_USE pc_status pc_row_observe(pc_row_work *work, size_t more, uint64_t seed, int threads,
                                     pc_steps *steps);
/* The same, with results that were made elsewhere; index is that of the combination. */
PC_MUST_USE pc_status pc_row_fetch(pc_row_work *work, const pc_compare_source *source, size_t index,
                                   size_t replications, pc_compare_row *row);
/* Sums up what there is. */
PC_MUST_USE pc_status pc_row_sum_up(pc_row_work *work, pc_compare_row *row);
void pc_row_close(pc_row_work *work);

/* ---- compare_select.c ---- */

/* All combinations with as many replications each as it takes to find the best of each depth to within
 * how->within_s. */
PC_MUST_USE pc_status pc_compare_select(const pc_scenario *scenario, const pc_compare_plan *plan,
                                        const pc_compare_how *how, pc_steps *steps, pc_comparison *comparison,
                                        pc_faults *faults);

#endif
