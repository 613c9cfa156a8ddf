// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/units.h"
#include "sim/policy.h"

static const double level = 0.95;

/* A list of names to go through; one NULL entry stands for "as the scenario says". */
typedef struct choices {
  const char **items;
  size_t count;
} choices;

static bool is_all(const pc_names *names) {
  return names->count == 1 && pc_name_is(&names->items[0], "all");
}

/* `known` are structs that begin with their pc_name. */
static pc_status list_choices(const pc_names *wanted, const void *known, size_t stride, size_t known_count,
                              choices *list) {
  bool all = is_all(wanted) && known_count > 0;
  list->count = all ? known_count : wanted->count;
  list->items = pc_alloc(list->count + 1, sizeof *list->items);
  if (!list->items)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < list->count; i++)
    list->items[i] = all ? ((const pc_name *)(const void *)((const char *)known + i * stride))->text
                         : wanted->items[i].text;
  if (list->count == 0)
    list->count = 1; /* the NULL that pc_alloc left there */
  if (list->count == 1 && list->items[0] && strcmp(list->items[0], "all") == 0)
    list->items[0] = NULL;
  return PC_OK;
}

/* "all" boxes are those that carry snow: a blade in their place would clear nothing. */
static void leave_out_blades(const pc_scenario *scenario, const pc_names *wanted, choices *list) {
  size_t kept = 0;
  for (size_t i = 0; is_all(wanted) && i < list->count && list->count == scenario->box_count; i++)
    if (scenario->boxes[i].blade == PC_BLADE_NONE)
      list->items[kept++] = list->items[i];
  if (kept > 0)
    list->count = kept;
}

static pc_status list_policies(const pc_names *wanted, choices *list) {
  pc_name names[16];
  size_t count = 0;
  while (count < 16 && pc_policy_at(count)) {
    names[count] = pc_name_of(pc_policy_at(count)->name);
    count++;
  }
  pc_status status = list_choices(wanted, names, sizeof *names, count, list);
  for (size_t i = 0; status == PC_OK && i < list->count; i++)
    if (list->items[i] && is_all(wanted))
      list->items[i] = pc_policy_at(i)->name; /* names[] does not outlive this function */
  return status;
}

/* How the replications of a row come about: run here, or fetched from where they were run. */
typedef struct means {
  size_t replications;
  uint64_t seed;
  int threads;
  const pc_compare_source *source; /* NULL: run here */
} means;

static pc_status fetch_row(const pc_lot *lot, const means *by, size_t index, pc_compare_row *row) {
  pc_result *results;
  pc_status status = pc_results_create(lot, by->replications, &results);
  if (status == PC_OK)
    status = by->source->fetch(by->source->context, index, lot, by->replications, results, &row->keep_up);
  if (status == PC_OK)
    status = pc_summary_make(lot, results, by->replications, &row->summary);
  pc_results_free(results, by->replications);
  return status;
}

/* Where snow falls, the first replication also tells whether the crew keeps up with it. */
static pc_status replicate_row(const pc_lot *lot, const means *by, size_t index, pc_compare_row *row) {
  if (by->source)
    return fetch_row(lot, by, index, row);
  pc_depths_series depths;
  pc_depths_start(&depths, lot);
  const pc_trace trace = {.row = pc_depths_row, .context = &depths, .depth = pc_depths_depth};
  pc_status status = pc_replicate(lot, by->replications, by->seed, by->threads,
                                  lot->storm_end_s > 0.0 ? &trace : NULL, &row->summary);
  if (status == PC_OK && depths.failed)
    status = PC_ERR_MEMORY;
  if (status == PC_OK)
    row->keep_up = pc_depths_judge(&depths);
  pc_depths_free(&depths);
  return status;
}

static pc_status run_row(const pc_scenario *scenario, const pc_choice *choice, const means *by, size_t index,
                         pc_compare_row *row, pc_faults *faults) {
  pc_lot *lot;
  pc_status status = pc_lot_create(scenario, choice, &lot, faults);
  if (status != PC_OK)
    return status;
  row->layout = lot->layout;
  row->box = pc_name_of(choice->box ? choice->box : "");
  row->loader = pc_name_of(choice->loader ? choice->loader : "");
  row->policy = pc_name_of(lot->policy->name);
  row->depth_m = lot->snow.depth_m;
  row->crew = choice->machines;
  row->machine_count = lot->machine_count;
  row->machines = pc_copy(lot->machines, lot->machine_count, sizeof *lot->machines);
  status = row->machines ? replicate_row(lot, by, index, row) : PC_ERR_MEMORY;
  for (size_t m = 0; row->machines && m < lot->machine_count; m++) {
    row->machines[m].allowed = NULL;
    if (row->machines[m].unit.limited_by != PC_LIMIT_VOLUME)
      row->limited_by = row->machines[m].unit.limited_by;
  }
  if (status == PC_OK)
    row->use = pc_crew_use_of(lot, &row->summary.mean);
  pc_lot_free(lot);
  if (status == PC_ERR_MEMORY)
    pc_faults_add(faults, status, NULL, NULL, "out of memory");
  return status;
}

static int better_first(const void *a, const void *b) {
  const pc_compare_row *x = a, *y = b;
  if (x->depth_m != y->depth_m)
    return x->depth_m < y->depth_m ? -1 : 1;
  bool fx = x->summary.unfinished == 0, fy = y->summary.unfinished == 0;
  if (fx != fy)
    return fx ? -1 : 1;
  if (!fx && x->summary.mean.left_kg != y->summary.mean.left_kg)
    return x->summary.mean.left_kg < y->summary.mean.left_kg ? -1 : 1;
  double tx = x->summary.total_time_s.mean, ty = y->summary.total_time_s.mean;
  if (tx != ty)
    return tx < ty ? -1 : 1;
  return x->rank - y->rank; /* the order asked for */
}

/* Ranks the rows of one depth (already sorted) and works out their differences to the first. */
static pc_status rank_rows(pc_compare_row *rows, size_t count, size_t replications) {
  double *differences = pc_alloc(replications, sizeof *differences);
  if (!differences)
    return PC_ERR_MEMORY;
  /* Bonferroni: with m − 1 intervals at 1 − α/(m − 1) each, all hold together with at least 1 − α */
  double adjusted = count > 2 ? 1.0 - (1.0 - level) / (double)(count - 1) : level;
  for (size_t i = 0; i < count; i++) {
    for (size_t r = 0; r < replications; r++)
      differences[r] = rows[i].summary.times_s[r] - rows[0].summary.times_s[r];
    rows[i].rank = (int)i + 1;
    rows[i].difference_to_best_s = pc_statistic_of(differences, replications, adjusted);
    pc_statistic *d = &rows[i].difference_to_best_s;
    bool same_end = rows[i].summary.unfinished == 0 && rows[0].summary.unfinished == 0;
    rows[i].tied_with_best = same_end && d->mean - d->half_width <= 0.0;
  }
  free(differences);
  return PC_OK;
}

static pc_status rank_all(pc_comparison *comparison, size_t replications) {
  qsort(comparison->rows, comparison->row_count, sizeof *comparison->rows, better_first);
  for (size_t first = 0; first < comparison->row_count;) {
    size_t end = first + 1;
    while (end < comparison->row_count && comparison->rows[end].depth_m == comparison->rows[first].depth_m)
      end++;
    pc_status status = rank_rows(&comparison->rows[first], end - first, replications);
    if (status != PC_OK)
      return status;
    first = end;
  }
  return PC_OK;
}

typedef struct plan {
  choices layouts, boxes, loaders, policies;
  double *depths_m; /* at least one: NaN as the scenario says */
  int *machines;    /* at least one: 0 as the crew has them */
  size_t depth_count, machine_count, count;
} compare_plan;

static void tell_twice(pc_faults *faults, const char *key, double value, pc_dimension dimension) {
  char text[40];
  pc_units_print(text, sizeof text, value, dimension, PC_METRIC, 3);
  pc_faults_caution(faults, key, "%s stands there more than once; it is compared once", text);
}

/* Depths and numbers of machines, each once; those given twice are told of. */
static pc_status list_numbers(const pc_wanted *wanted, compare_plan *plan, pc_faults *faults) {
  plan->depths_m = pc_alloc(wanted->depths.count + 1, sizeof *plan->depths_m);
  plan->machines = pc_alloc(wanted->crews.count + 1, sizeof *plan->machines);
  if (!plan->depths_m || !plan->machines)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < wanted->depths.count; i++) {
    size_t k = 0;
    while (k < plan->depth_count && plan->depths_m[k] != wanted->depths.items_m[i])
      k++;
    if (k == plan->depth_count)
      plan->depths_m[plan->depth_count++] = wanted->depths.items_m[i];
    else
      tell_twice(faults, "compare.depths", wanted->depths.items_m[i], PC_DIM_LENGTH);
  }
  for (size_t i = 0; i < wanted->crews.count; i++) {
    size_t k = 0;
    while (k < plan->machine_count && plan->machines[k] != wanted->crews.items[i])
      k++;
    if (k == plan->machine_count)
      plan->machines[plan->machine_count++] = wanted->crews.items[i];
    else
      tell_twice(faults, "compare.crews", wanted->crews.items[i], PC_DIM_NUMBER);
  }
  if (plan->depth_count == 0)
    plan->depths_m[plan->depth_count++] = NAN;
  if (plan->machine_count == 0)
    plan->machine_count = 1; /* the 0 that pc_alloc left there */
  return PC_OK;
}

static pc_status make_plan(const pc_scenario *scenario, const pc_wanted *wanted, compare_plan *plan,
                           pc_faults *faults) {
  pc_status status = list_choices(&wanted->layouts, scenario->layouts, sizeof *scenario->layouts,
                                  scenario->layout_count, &plan->layouts);
  if (status == PC_OK)
    status = list_choices(&wanted->boxes, scenario->boxes, sizeof *scenario->boxes, scenario->box_count,
                          &plan->boxes);
  if (status == PC_OK)
    leave_out_blades(scenario, &wanted->boxes, &plan->boxes);
  if (status == PC_OK)
    status = list_choices(&wanted->loaders, scenario->loaders, sizeof *scenario->loaders,
                          scenario->loader_count, &plan->loaders);
  if (status == PC_OK)
    status = list_policies(&wanted->policies, &plan->policies);
  if (status == PC_OK)
    status = list_numbers(wanted, plan, faults);
  if (status != PC_OK)
    return pc_faults_add(faults, status, NULL, NULL, "out of memory");
  plan->count = plan->layouts.count * plan->boxes.count * plan->loaders.count * plan->policies.count *
                plan->depth_count * plan->machine_count;
  if (plan->count > PC_COMPARE_MAX)
    return pc_faults_add(faults, PC_ERR_LIMIT, "compare", NULL,
                         "asks for %zu combinations; at most %d are compared", plan->count,
                         (int)PC_COMPARE_MAX);
  return PC_OK;
}

/* Rows of one layout and depth. */
static size_t rows_of_layout(const compare_plan *plan) {
  return plan->machine_count * plan->boxes.count * plan->loaders.count * plan->policies.count;
}

/* The i-th combination: depth outermost, layout next, number of machines innermost. */
static pc_choice choice_at(const compare_plan *plan, size_t i) {
  pc_choice choice = {.machines = plan->machines[i % plan->machine_count]};
  i /= plan->machine_count;
  choice.box = plan->boxes.items[i % plan->boxes.count];
  i /= plan->boxes.count;
  choice.loader = plan->loaders.items[i % plan->loaders.count];
  i /= plan->loaders.count;
  choice.policy = plan->policies.items[i % plan->policies.count];
  i /= plan->policies.count;
  choice.layout = plan->layouts.items[i % plan->layouts.count];
  choice.depth_m = plan->depths_m[i / plan->layouts.count];
  return choice;
}

static void free_plan(compare_plan *plan) {
  free(plan->layouts.items);
  free(plan->boxes.items);
  free(plan->loaders.items);
  free(plan->policies.items);
  free(plan->depths_m);
  free(plan->machines);
}

pc_status pc_compare_count(const pc_scenario *scenario, const pc_wanted *wanted, size_t *count,
                           pc_faults *faults) {
  compare_plan plan = {0};
  pc_status status = make_plan(scenario, wanted, &plan, faults);
  *count = status == PC_OK ? plan.count : 0;
  free_plan(&plan);
  return status;
}

pc_status pc_compare_visit(const pc_scenario *scenario, const pc_wanted *wanted, size_t first, size_t end,
                           pc_status (*visit)(void *context, size_t row, const pc_lot *lot), void *context,
                           pc_faults *faults) {
  compare_plan plan = {0};
  pc_status status = make_plan(scenario, wanted, &plan, faults);
  for (size_t i = first; i < end && i < plan.count && status == PC_OK; i++) {
    pc_choice choice = choice_at(&plan, i);
    pc_lot *lot;
    status = pc_lot_create(scenario, &choice, &lot, faults);
    if (status != PC_OK)
      break;
    status = visit(context, i, lot);
    pc_lot_free(lot);
  }
  free_plan(&plan);
  return status;
}

typedef struct compare_watch {
  void (*progress)(void *context, size_t done, size_t all);
  void *context;
} compare_watch;

static pc_status compare_by(const pc_scenario *scenario, const pc_wanted *wanted, const means *by,
                            const compare_watch *watch, pc_comparison *comparison, pc_faults *faults) {
  memset(comparison, 0, sizeof *comparison);
  compare_plan plan = {0};
  pc_status status = make_plan(scenario, wanted, &plan, faults);
  if (status != PC_OK)
    goto out;
  comparison->rows = pc_alloc(plan.count, sizeof *comparison->rows);
  if (!comparison->rows) {
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
    goto out;
  }
  comparison->row_count = plan.count;
  for (size_t i = 0; i < plan.count && status == PC_OK; i++) {
    pc_choice choice = choice_at(&plan, i);
    /* cautions are the same for every row of a layout: keep those of the first box only */
    pc_faults unheard = {0};
    size_t each = rows_of_layout(&plan);
    bool heard = i % each == 0 && i / each < plan.layouts.count;
    comparison->rows[i].rank = (int)i;
    status = run_row(scenario, &choice, by, i, &comparison->rows[i], heard ? faults : &unheard);
    for (size_t k = 0; !heard && status != PC_OK && k < unheard.count; k++)
      pc_faults_push(faults, &unheard.items[k]);
    pc_faults_free(&unheard);
    if (watch->progress)
      watch->progress(watch->context, i + 1, plan.count);
  }
  if (status == PC_OK)
    status = rank_all(comparison, by->replications);
out:
  free_plan(&plan);
  if (status != PC_OK)
    pc_comparison_free(comparison);
  return status;
}

pc_status pc_compare(const pc_scenario *scenario, const pc_wanted *wanted, size_t replications, uint64_t seed,
                     int threads, void (*progress)(void *context, size_t done, size_t all), void *context,
                     pc_comparison *comparison, pc_faults *faults) {
  const means by = {replications, seed, threads, NULL};
  const compare_watch watch = {progress, context};
  return compare_by(scenario, wanted, &by, &watch, comparison, faults);
}

pc_status pc_compare_fetched(const pc_scenario *scenario, const pc_wanted *wanted, size_t replications,
                             const pc_compare_source *source, pc_comparison *comparison, pc_faults *faults) {
  const means by = {.replications = replications, .source = source};
  const compare_watch watch = {0};
  return compare_by(scenario, wanted, &by, &watch, comparison, faults);
}

void pc_comparison_free(pc_comparison *comparison) {
  for (size_t i = 0; i < comparison->row_count; i++) {
    pc_summary_free(&comparison->rows[i].summary);
    free(comparison->rows[i].machines);
  }
  free(comparison->rows);
  memset(comparison, 0, sizeof *comparison);
}
