// SPDX-License-Identifier: GPL-3.0-or-later
/* The work on one combination. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/policy.h"
#include "study/compare_private.h"
#include "study/replicate_private.h"

pc_status pc_row_open(const pc_scenario *scenario, const pc_choice *choice, pc_row_work *work,
                      pc_compare_row *row, pc_faults *faults) {
  *work = (pc_row_work){0};
  pc_status status = pc_lot_create(scenario, choice, &work->lot, faults);
  if (status != PC_OK) {
    work->lot = NULL;
    return status;
  }
  const pc_lot *lot = work->lot;
  pc_first_night_start(&work->first, lot, scenario);
  row->layout = lot->layout;
  row->box = pc_name_long_of(choice->box ? choice->box : "");
  row->loader = pc_name_of(choice->loader ? choice->loader : "");
  row->policy = pc_name_of(lot->policy->name);
  row->depth_m = lot->snow.depth_m;
  row->crew = choice->machines;
  row->machine_count = lot->machine_count;
  row->machines = pc_copy(lot->machines, lot->machine_count, sizeof *lot->machines);
  if (!row->machines)
    return PC_ERR_MEMORY;
  for (size_t m = 0; m < lot->machine_count; m++) {
    row->machines[m].allowed = NULL;
    row->machines[m].first = NULL;
    if (row->machines[m].unit.limited_by != PC_LIMIT_VOLUME)
      row->limited_by = row->machines[m].unit.limited_by;
  }
  return PC_OK;
}

/* Room for `more` results behind those that are there. */
static pc_status make_room(pc_row_work *work, size_t more) {
  if (more > (size_t)PTRDIFF_MAX / sizeof(pc_result) - work->room)
    return PC_ERR_MEMORY;
  pc_result *grown = realloc(work->results, (work->room + more) * sizeof *grown);
  if (!grown)
    return PC_ERR_MEMORY;
  work->results = grown;
  for (size_t i = 0; i < more; i++, work->room++)
    if (pc_result_init_for(&grown[work->room], work->lot) != PC_OK)
      return PC_ERR_MEMORY;
  return PC_OK;
}

pc_status pc_row_observe(pc_row_work *work, size_t more, uint64_t seed, int threads, pc_steps *steps) {
  pc_trace trace;
  bool traced = pc_first_night_trace(&work->first, &trace);
  size_t done = 0;
  pc_status status = make_room(work, more);
  if (status == PC_OK)
    status = pc_replicate_steps(work->lot, work->count, more, seed, threads, traced ? &trace : NULL, steps,
                                &work->results[work->count], &done);
  work->count += done;
  return status == PC_OK && pc_first_night_failed(&work->first) ? PC_ERR_MEMORY : status;
}

pc_status pc_row_fetch(pc_row_work *work, const pc_compare_source *source, size_t index, size_t replications,
                       pc_compare_row *row) {
  pc_status status = make_room(work, replications);
  if (status == PC_OK)
    status = source->fetch(source->context, index, work->lot, replications, work->results, &row->keep_up,
                           &row->crossed);
  if (status == PC_OK)
    work->count = replications;
  return status;
}

pc_status pc_row_sum_up(pc_row_work *work, pc_compare_row *row) {
  pc_status status = pc_summary_make(work->lot, work->results, work->count, &row->summary);
  if (status != PC_OK)
    return status;
  if (work->first.depths.rows > 0)
    row->keep_up = pc_depths_judge(&work->first.depths);
  if (row->crossed.count == 0 && pc_crossings_list(&work->first.crossings, &row->crossed) != PC_OK)
    return PC_ERR_MEMORY;
  row->use = pc_crew_use_of(work->lot, &row->summary.mean);
  row->ends = pc_ends_of(work->lot, &row->summary);
  return PC_OK;
}

void pc_row_close(pc_row_work *work) {
  if (!work->lot)
    return;
  pc_first_night_free(&work->first);
  pc_results_free(work->results, work->room);
  pc_lot_free(work->lot);
  *work = (pc_row_work){0};
}
