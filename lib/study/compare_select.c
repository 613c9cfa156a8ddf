// SPDX-License-Identifier: GPL-3.0-or-later
/* A comparison that goes on until the best row of each depth is known. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "study/compare_private.h"
#include "study/select.h"

static const double alpha = 0.05;

/* The rows of one depth. */
typedef struct group {
  const pc_scenario *scenario;
  const pc_compare_plan *plan;
  const pc_compare_how *how;
  pc_steps *steps;
  size_t first, count;  /* rows of the plan */
  pc_compare_row *rows; /* all of the comparison */
  pc_faults *faults;
  pc_row_work *works; /* of the rows of this depth */
  bool *left_out;     /* of them: no lot can be made */
  size_t *among;      /* those that finish: what is selected from, as indices into works */
  size_t *dropped;
} group;

/* What the threads of one round share. */
typedef struct round_task {
  group *g;
  const size_t *systems; /* works to observe */
  size_t count, more;
  bool opens;
  int threads_each;
} round_task;

static pc_status observe_one(void *context, size_t i) {
  const round_task *task = context;
  group *g = task->g;
  size_t w = task->systems[i];
  size_t row = g->first + w;
  pc_status status = PC_OK;
  if (task->opens) {
    pc_choice choice = pc_compare_choice_at(g->plan, row);
    status = pc_row_open(g->scenario, &choice, &g->works[w], &g->rows[row], &g->faults[row]);
    if (pc_compare_leaves_out(status, &g->faults[row])) {
      g->left_out[w] = true;
      pc_steps_skip(g->steps, task->more);
      return PC_OK;
    }
  }
  if (status == PC_OK)
    status = pc_row_observe(&g->works[w], task->more, g->how->seed, task->threads_each, g->steps);
  if (status == PC_ERR_MEMORY)
    pc_faults_add(&g->faults[row], status, NULL, NULL, "out of memory");
  return status;
}

static bool is_stopped(void *context) {
  const round_task *task = context;
  return pc_steps_stopped(task->g->steps);
}

static pc_status observe_round(round_task *task) {
  size_t threads = pc_parts_for(task->g->how->threads, PC_PARTS_AT_ONCE_MAX);
  size_t parts = pc_parts_for((int)threads, task->count);
  task->threads_each = parts > 0 && threads > parts ? (int)(threads / parts) : 1;
  return pc_parallel_each(parts, task->count, observe_one, is_stopped, task);
}

static bool finished_each(const pc_row_work *work) {
  for (size_t r = 0; r < work->count; r++)
    if (!work->results[r].finished)
      return false;
  return true;
}

static pc_status observe(void *context, const bool *wanted, size_t first, size_t end, bool *stopped) {
  group *g = context;
  size_t *systems = pc_alloc(g->count, sizeof *systems), count = 0;
  if (!systems)
    return PC_ERR_MEMORY;
  for (size_t i = 0; first > 0 && i < g->count; i++) /* the first stage is there already */
    if (g->among[i] < g->count && wanted[i])
      systems[count++] = g->among[i];
  round_task task = {.g = g, .systems = systems, .count = count, .more = end - first};
  pc_status status = count > 0 ? observe_round(&task) : PC_OK;
  bool all_fail = count > 0;
  for (size_t i = 0; i < count && status == PC_OK; i++) {
    *stopped |= g->works[systems[i]].count < end;
    all_fail &= !finished_each(&g->works[systems[i]]);
  }
  *stopped |= all_fail; /* nothing is left to select from */
  free(systems);
  return status;
}

/* A night that was broken off has no total time. */
static double value(void *context, size_t system, size_t observation) {
  const group *g = context;
  const pc_result *result = &g->works[g->among[system]].results[observation];
  return result->finished ? result->total_time_s : (double)INFINITY;
}

static pc_status first_stage(group *g, size_t n0) {
  size_t *systems = pc_alloc(g->count, sizeof *systems);
  if (!systems)
    return PC_ERR_MEMORY;
  for (size_t w = 0; w < g->count; w++)
    systems[w] = w;
  round_task task = {.g = g, .systems = systems, .count = g->count, .more = n0, .opens = true};
  pc_status status = observe_round(&task);
  free(systems);
  return status;
}

/* Rows that do not finish are no candidates, nor those left out. False if some row was stopped in the first
 * stage. */
static bool find_candidates(group *g, size_t n0, size_t *systems) {
  bool whole = true;
  *systems = 0;
  for (size_t w = 0; w < g->count; w++) {
    g->among[w] = g->count;
    if (g->left_out[w])
      continue;
    whole &= g->works[w].count == n0;
    if (finished_each(&g->works[w]) && g->works[w].count == n0)
      g->among[(*systems)++] = w;
  }
  return whole;
}

static pc_status select_from(group *g, size_t n0, pc_comparison *comparison) {
  size_t systems;
  if (!find_candidates(g, n0, &systems) || systems == 0) {
    comparison->settled_of_finished = false;
    return PC_OK;
  }
  const pc_select_problem problem = {.systems = systems,
                                     .first_stage = n0,
                                     .most = PC_SELECT_MOST > n0 ? PC_SELECT_MOST : n0,
                                     .within = g->how->within_s,
                                     .alpha = alpha,
                                     .observe = observe,
                                     .value = value,
                                     .context = g};
  pc_selection selection = {.dropped_after = g->dropped};
  pc_status status = pc_select_least(&problem, &selection);
  if (status != PC_OK)
    return status;
  comparison->settled_of_finished &= selection.settled && finished_each(&g->works[g->among[selection.best]]);
  g->rows[g->first + g->among[selection.best]].selected = true;
  for (size_t i = 0; i < systems; i++)
    g->rows[g->first + g->among[i]].dropped_after = g->dropped[i];
  return PC_OK;
}

static pc_status do_group(group *g, size_t n0, pc_comparison *comparison, bool *complete) {
  g->works = pc_alloc(g->count, sizeof *g->works);
  g->among = pc_alloc(g->count, sizeof *g->among);
  g->dropped = pc_alloc(g->count, sizeof *g->dropped);
  g->left_out = pc_alloc(g->count, sizeof *g->left_out);
  pc_status status = g->works && g->among && g->dropped && g->left_out ? first_stage(g, n0) : PC_ERR_MEMORY;
  if (status == PC_OK)
    status = select_from(g, n0, comparison);
  for (size_t w = 0; g->works && w < g->count; w++) {
    complete[g->first + w] = status == PC_OK && g->works[w].count > 0;
    if (complete[g->first + w])
      status = pc_row_sum_up(&g->works[w], &g->rows[g->first + w]);
    pc_row_close(&g->works[w]);
  }
  free(g->works);
  free(g->among);
  free(g->dropped);
  free(g->left_out);
  return status;
}

/* What the procedure says of times is said of rows that finish; of the others it knows nothing. */
static void judge(pc_comparison *comparison) {
  for (size_t i = 0; i < comparison->row_count; i++) {
    const pc_summary *summary = &comparison->rows[i].summary;
    comparison->sometimes_unfinished +=
        summary->unfinished > 0 && summary->unfinished < summary->replications;
  }
  comparison->settled = comparison->settled_of_finished && comparison->sometimes_unfinished == 0;
}

pc_status pc_compare_select(const pc_scenario *scenario, const pc_compare_plan *plan,
                            const pc_compare_how *how, pc_steps *steps, pc_comparison *comparison,
                            pc_faults *faults) {
  size_t each = plan->count / plan->depth_count;
  if (each > PC_SELECT_ROWS_MAX)
    return pc_faults_add(faults, PC_ERR_LIMIT, "compare", NULL,
                         "asks for %zu combinations of each depth; a selection is made among %d at most",
                         each, (int)PC_SELECT_ROWS_MAX);
  size_t n0 = how->replications > PC_SELECT_FIRST ? how->replications : PC_SELECT_FIRST;
  comparison->within_s = how->within_s;
  comparison->first_stage = n0;
  comparison->settled_of_finished = true;
  group g = {.scenario = scenario, .plan = plan, .how = how, .steps = steps, .rows = comparison->rows};
  bool *complete = pc_alloc(plan->count, sizeof *complete);
  g.faults = pc_alloc(plan->count, sizeof *g.faults);
  pc_status status = complete && g.faults ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < plan->count && g.faults; i++)
    g.faults[i] = pc_faults_like(faults);
  for (size_t d = 0; d < plan->depth_count && status == PC_OK; d++) {
    g.first = d * each;
    g.count = each;
    if (pc_steps_stopped(steps))
      comparison->settled_of_finished = false;
    else
      status = do_group(&g, n0, comparison, complete);
  }
  if (complete && g.faults)
    status = pc_compare_settle(scenario, plan, status, complete, g.faults, comparison, faults);
  if (status == PC_OK)
    judge(comparison);
  free(complete);
  free(g.faults);
  return status == PC_ERR_MEMORY ? pc_faults_add(faults, status, NULL, NULL, "out of memory") : status;
}
