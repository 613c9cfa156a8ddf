// SPDX-License-Identifier: GPL-3.0-or-later
/* What a plan comes to, bite by bite: read off the trace of a run. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "study/plan_search.h"
#include "study/replicate_private.h"

typedef struct listing {
  const pc_lot *lot;
  pc_planned_bite *items;
  size_t count, capacity;
  bool failed;
  size_t open[PC_MACHINES_MAX]; /* per machine: first bite of the load in its box, plus 1; 0: none */
  int loads[PC_MACHINES_MAX];
} listing;

/* The lane of the machine whose centre line is nearest to this place. */
static void find_lane(const pc_lot *lot, pc_planned_bite *bite) {
  const pc_lane_set *set = &lot->lane_sets[lot->machines[bite->machine].lane_set];
  const pc_point middle = {0.5 * (bite->from.x_m + bite->to.x_m), 0.5 * (bite->from.y_m + bite->to.y_m)};
  double nearest = INFINITY;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    double u, v, low = patch->u0_m, high = low + patch->stations * patch->station_m;
    pc_patch_local(patch, middle, &u, &v);
    double off = fabs(v - lane->v_m) + fmax(0.0, fmax(low - u, u - high));
    if (off >= nearest)
      continue;
    nearest = off;
    bite->area = (size_t)lane->patch;
    bite->lane = l - set->patch_lane[lane->patch] + 1;
    pc_patch_local(patch, bite->from, &u, &v);
    bite->from_m = u - low;
    pc_patch_local(patch, bite->to, &u, &v);
    bite->to_m = u - low;
  }
}

static void add_bite(listing *list, const pc_trace_row *row) {
  void *items = list->items;
  if (pc_reserve(&items, &list->capacity, list->count + 1, sizeof *list->items) != 0) {
    list->failed = true;
    return;
  }
  list->items = items;
  if (list->open[row->machine] == 0) {
    list->open[row->machine] = list->count + 1;
    list->loads[row->machine]++;
  }
  pc_planned_bite *bite = &list->items[list->count++];
  *bite = (pc_planned_bite){.machine = row->machine,
                            .load = list->loads[row->machine],
                            .from = row->from,
                            .to = row->to,
                            .start_s = row->start_s,
                            .end_s = row->end_s,
                            .load_kg = row->load_kg,
                            .zone = -1,
                            .dumped_s = NAN};
  find_lane(list->lot, bite);
}

static void take_row(void *context, const pc_trace_row *row) {
  listing *list = context;
  if (row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP) {
    add_bite(list, row);
    return;
  }
  bool emptied = row->phase == PC_PHASE_DUMP || (row->phase == PC_PHASE_RETURN && row->load_kg <= 0.0);
  if (!emptied || list->open[row->machine] == 0)
    return;
  for (size_t i = list->open[row->machine] - 1; i < list->count && row->phase == PC_PHASE_DUMP; i++)
    if (list->items[i].machine == row->machine) {
      list->items[i].zone = row->zone;
      list->items[i].dumped_s = row->end_s;
    }
  list->open[row->machine] = 0;
}

static int by_start(const void *a, const void *b) {
  const pc_planned_bite *x = a, *y = b;
  if (x->start_s != y->start_s)
    return x->start_s < y->start_s ? -1 : 1;
  return (x->machine > y->machine) - (x->machine < y->machine);
}

pc_status pc_plan_bites(const pc_lot *lot, const pc_plan *plan, uint64_t seed, pc_planned_bite **bites,
                        size_t *count) {
  pc_lot following = *lot;
  pc_result result;
  listing list = {.lot = lot};
  const pc_trace trace = {.row = take_row, .context = &list};
  pc_lot_follow(&following, plan);
  *bites = NULL;
  *count = 0;
  pc_status status = pc_run_once(&following, seed, &trace, &result);
  pc_result_free(&result);
  if (status == PC_OK && list.failed)
    status = PC_ERR_MEMORY;
  if (status != PC_OK) {
    free(list.items);
    return status;
  }
  if (list.count > 0)
    qsort(list.items, list.count, sizeof *list.items, by_start);
  for (size_t i = 0; i < list.count; i++) {
    list.items[i].start_s = pc_lot_clock_s(lot, list.items[i].start_s);
    list.items[i].end_s = pc_lot_clock_s(lot, list.items[i].end_s);
    list.items[i].dumped_s = pc_lot_clock_s(lot, list.items[i].dumped_s);
  }
  *bites = list.items;
  *count = list.count;
  return PC_OK;
}
