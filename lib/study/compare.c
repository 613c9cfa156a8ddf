// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/compare.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "study/compare_private.h"
#include "study/replicate_private.h"

static const double level = 0.95;

/* ---- ranking ---- */

/* Rows of one depth with an order that chance has no part in: negative, positive, or 0 if their times decide.
 */
static int order_of_ends(const pc_compare_row *x, const pc_compare_row *y) {
  if (x->depth_m != y->depth_m)
    return x->depth_m < y->depth_m ? -1 : 1;
  return pc_summary_order_of_ends(&x->summary, &y->summary);
}

static int better_first(const void *a, const void *b) {
  const pc_compare_row *x = a, *y = b;
  int ends = order_of_ends(x, y);
  double tx = x->summary.total_time_s.mean, ty = y->summary.total_time_s.mean;
  if (ends != 0)
    return ends;
  if (tx != ty)
    return tx < ty ? -1 : 1;
  return x->rank - y->rank; /* the order asked for */
}

/* Where rows have replications of different number, their differences over common ones say more. */
static int nearer_first(const void *a, const void *b) {
  const pc_compare_row *x = a, *y = b;
  int ends = order_of_ends(x, y);
  double dx = x->difference_to_best_s.mean, dy = y->difference_to_best_s.mean;
  if (ends != 0)
    return ends;
  if (x->selected != y->selected)
    return x->selected ? -1 : 1;
  if (dx != dy)
    return dx < dy ? -1 : 1;
  return x->rank - y->rank;
}

static void rank_rows(pc_compare_row *rows, size_t count) {
  for (size_t i = 0; i < count; i++) {
    const pc_statistic *d = &rows[i].difference_to_best_s;
    bool same_end = rows[i].summary.unfinished == 0 && rows[0].summary.unfinished == 0;
    rows[i].rank = (int)i + 1;
    rows[i].tied_with_best = same_end && d->mean - d->half_width <= 0.0;
  }
}

static const pc_compare_row *selected_of(const pc_compare_row *rows, size_t count) {
  for (size_t i = 0; i < count; i++)
    if (rows[i].selected)
      return &rows[i];
  return &rows[0];
}

static void rank_all(pc_comparison *comparison) {
  qsort(comparison->rows, comparison->row_count, sizeof *comparison->rows, better_first);
  for (size_t first = 0; first < comparison->row_count;) {
    pc_compare_row *rows = &comparison->rows[first];
    size_t count = 1;
    while (first + count < comparison->row_count && rows[count].depth_m == rows[0].depth_m)
      count++;
    const pc_compare_row *best = selected_of(rows, count);
    for (size_t i = 0; i < count; i++)
      rows[i].difference_to_best_s =
          pc_summary_difference(&rows[i].summary, &best->summary, pc_level_of_each(level, count));
    if (best->selected)
      qsort(rows, count, sizeof *rows, nearer_first);
    rank_rows(rows, count);
    first += count;
  }
}

/* ---- running ---- */

/* All that the threads of a comparison share; which of them works on a combination makes no difference. */
typedef struct compare_task {
  const pc_scenario *scenario;
  const pc_compare_plan *plan;
  const pc_compare_how *how;
  const pc_compare_source *source; /* NULL: run here */
  pc_compare_row *rows;
  bool *complete;
  pc_faults *faults; /* of each row */
  pc_steps *steps;
  int threads_each;
} compare_task;

static pc_status run_row(void *context, size_t i) {
  const compare_task *task = context;
  const pc_compare_how *how = task->how;
  pc_choice choice = pc_compare_choice_at(task->plan, i);
  pc_compare_row *row = &task->rows[i];
  pc_row_work work;
  pc_status status = pc_row_open(task->scenario, &choice, &work, row, &task->faults[i]);
  if (pc_compare_leaves_out(status, &task->faults[i])) {
    pc_steps_skip(task->steps, how->replications);
    return PC_OK;
  }
  if (status == PC_OK)
    status = task->source
                 ? pc_row_fetch(&work, task->source, i, how->replications, row)
                 : pc_row_observe(&work, how->replications, how->seed, task->threads_each, task->steps);
  task->complete[i] = status == PC_OK && work.count == how->replications;
  if (task->complete[i])
    status = pc_row_sum_up(&work, row);
  pc_row_close(&work);
  if (status == PC_ERR_MEMORY)
    pc_faults_add(&task->faults[i], status, NULL, NULL, "out of memory");
  return status;
}

static bool is_stopped(void *context) {
  const compare_task *task = context;
  return pc_steps_stopped(task->steps);
}

/* With many combinations each thread works on one of its own, with few all work on the same. */
static pc_status run_plan(compare_task *task, pc_comparison *comparison, pc_faults *faults) {
  size_t count = task->plan->count, threads = pc_parts_for(task->how->threads, PC_PARTS_AT_ONCE_MAX);
  size_t parts = task->source || count < 4 * threads ? 1 : threads;
  task->threads_each = parts > 1 ? 1 : (int)threads;
  task->complete = pc_alloc(count, sizeof *task->complete);
  task->faults = pc_alloc(count, sizeof *task->faults);
  pc_status status = PC_ERR_MEMORY;
  if (task->complete && task->faults) {
    for (size_t i = 0; i < count; i++)
      task->faults[i] = pc_faults_like(faults);
    status = pc_parallel_each(parts, count, run_row, is_stopped, task);
    status = pc_compare_settle(task->scenario, task->plan, status, task->complete, task->faults, comparison,
                               faults);
  }
  free(task->complete);
  free(task->faults);
  return status;
}

static pc_status compare_by(const pc_scenario *scenario, const pc_compare_how *how,
                            const pc_compare_source *source, pc_comparison *comparison, pc_faults *faults) {
  *comparison = (pc_comparison){0};
  if (how->replications == 0 && !(how->within_s > 0.0))
    return pc_faults_add(faults, PC_ERR_RANGE, "chance.replications", NULL, "at least 1 is needed");
  pc_compare_plan plan = {0};
  pc_steps steps = {0};
  pc_status status = pc_compare_plan_make(scenario, how->wanted, &plan, faults);
  if (status == PC_OK && !(comparison->rows = pc_alloc(plan.count, sizeof *comparison->rows)))
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  if (status != PC_OK)
    goto out;
  comparison->row_count = comparison->asked = plan.count;
  comparison->mixed = plan.mixes != NULL;
  for (size_t i = 0; i < plan.count; i++)
    comparison->rows[i].rank = (int)i;
  pc_steps_begin(&steps, how->watch, plan.count * how->replications);
  if (how->within_s > 0.0) {
    status = pc_compare_select(scenario, &plan, how, &steps, comparison, faults);
  } else {
    compare_task task = {.scenario = scenario,
                         .plan = &plan,
                         .how = how,
                         .source = source,
                         .rows = comparison->rows,
                         .steps = &steps};
    status = run_plan(&task, comparison, faults);
  }
  pc_steps_end(&steps);
  if (status == PC_OK)
    rank_all(comparison);
out:
  pc_compare_plan_free(&plan);
  if (status != PC_OK)
    pc_comparison_free(comparison);
  return status;
}

pc_status pc_compare(const pc_scenario *scenario, const pc_compare_how *how, pc_comparison *comparison,
                     pc_faults *faults) {
  return compare_by(scenario, how, NULL, comparison, faults);
}

pc_status pc_compare_fetched(const pc_scenario *scenario, const pc_wanted *wanted, size_t replications,
                             const pc_compare_source *source, pc_comparison *comparison, pc_faults *faults) {
  const pc_compare_how how = {.wanted = wanted, .replications = replications};
  return compare_by(scenario, &how, source, comparison, faults);
}

pc_status pc_compare_count(const pc_scenario *scenario, const pc_wanted *wanted, size_t *count,
                           pc_faults *faults) {
  pc_compare_plan plan = {0};
  pc_status status = pc_compare_plan_make(scenario, wanted, &plan, faults);
  *count = status == PC_OK ? plan.count : 0;
  pc_compare_plan_free(&plan);
  return status;
}

/* Makes lots and hands them out; `leaves_out`: NULL in place of those that can't be made. */
static pc_status visit_lots(const pc_scenario *scenario, const pc_wanted *wanted, size_t first, size_t end,
                            pc_status (*visit)(void *context, size_t row, const pc_lot *lot), void *context,
                            bool leaves_out, pc_faults *faults) {
  pc_compare_plan plan = {0};
  pc_status status = pc_compare_plan_make(scenario, wanted, &plan, faults);
  for (size_t i = first; i < end && i < plan.count && status == PC_OK; i++) {
    pc_choice choice = pc_compare_choice_at(&plan, i);
    pc_faults found = pc_faults_like(faults);
    pc_lot *lot = NULL;
    status = pc_lot_create(scenario, &choice, &lot, &found);
    if (leaves_out && pc_compare_leaves_out(status, &found)) {
      status = PC_OK;
      pc_compare_tell_left_out(scenario, &choice, &found, faults);
    } else {
      pc_faults_move(faults, &found);
    }
    pc_faults_free(&found);
    if (status == PC_OK)
      status = visit(context, i, lot);
    pc_lot_free(lot);
  }
  pc_compare_plan_free(&plan);
  return status;
}

pc_status pc_compare_visit(const pc_scenario *scenario, const pc_wanted *wanted, size_t first, size_t end,
                           pc_status (*visit)(void *context, size_t row, const pc_lot *lot), void *context,
                           pc_faults *faults) {
  return visit_lots(scenario, wanted, first, end, visit, context, false, faults);
}

pc_status pc_compare_visit_each(const pc_scenario *scenario, const pc_wanted *wanted, size_t first,
                                size_t end, pc_status (*visit)(void *context, size_t row, const pc_lot *lot),
                                void *context, pc_faults *faults) {
  return visit_lots(scenario, wanted, first, end, visit, context, true, faults);
}

void pc_comparison_free(pc_comparison *comparison) {
  if (!comparison)
    return;
  for (size_t i = 0; i < comparison->row_count; i++) {
    pc_summary_free(&comparison->rows[i].summary);
    pc_crossed_free(&comparison->rows[i].crossed);
    free(comparison->rows[i].machines);
  }
  free(comparison->rows);
  free(comparison->left_out);
  memset(comparison, 0, sizeof *comparison);
}
