// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/order.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/replicate_private.h"

enum {
  KINDS_TRIED = 8, /* machines that are tried alone */
  REPLICATIONS_FEW = 5
};

/* Deadlines missed by a tenth less are missed by less: not for a minute or two, as an order also has its
 * price. */
static const double clearly_less = 0.9;

/* ---- what comes first, and for whom ---- */

static bool is_listed(const size_t *list, size_t count, size_t item) {
  for (size_t i = 0; i < count; i++)
    if (list[i] == item)
      return true;
  return false;
}

/* An area, after those that have to be done before it. */
static void add_area(const pc_lot *lot, size_t area, pc_order *order) {
  if (is_listed(order->areas, order->area_count, area) || order->area_count >= UCHAR_MAX)
    return;
  for (size_t before = 0; before < lot->area_count; before++)
    if (lot->areas[area].after[before]) /* these do not go in a circle */
      add_area(lot, before, order);
  order->areas[order->area_count++] = area;
}

/* Late areas, the earliest deadline first. */
static void add_late(const pc_lot *lot, const pc_summary *now, pc_order *order) {
  for (;;) {
    size_t next = lot->area_count;
    for (size_t a = 0; a < lot->area_count; a++)
      if (now->area_late[a] > 0 && !is_listed(order->areas, order->area_count, a) &&
          (next == lot->area_count || lot->areas[a].clear_by_s < lot->areas[next].clear_by_s))
        next = a;
    if (next == lot->area_count || order->area_count >= UCHAR_MAX)
      return;
    add_area(lot, next, order);
  }
}

/* It works one of these areas, and something that could wait for it: another area, or a later one of these.
 */
static bool can_put_first(const pc_lot *lot, const pc_order *order, size_t m) {
  const pc_lot_machine *machine = &lot->machines[m];
  size_t works = 0, of_these = 0;
  bool changes = false;
  if (machine->unit.box.blade != PC_BLADE_NONE || machine->unit.capacity_kg <= 0.0)
    return false;
  for (size_t a = 0; a < lot->area_count; a++)
    works += machine->allowed[a] && lot->areas[a].into < 0;
  for (size_t i = 0; i < order->area_count; i++) {
    size_t a = order->areas[i];
    if (!machine->allowed[a] || lot->areas[a].into >= 0)
      continue;
    of_these++;
    changes |= !machine->first || machine->first[a] != of_these;
  }
  return changes && works > 1;
}

static void add_machines(const pc_lot *lot, pc_order *order) {
  for (size_t m = 0; m < lot->machine_count; m++)
    if (can_put_first(lot, order, m))
      order->machines[order->machine_count++] = m;
}

/* Which of two machines works these areas first makes no difference. */
static bool are_alike(const pc_lot *lot, const pc_lot_machine *a, const pc_lot_machine *b) {
  return pc_name_is(&a->unit.loader.name, b->unit.loader.name.text) &&
         pc_name_is(&a->unit.box.name, b->unit.box.name.text) && a->start.x_m == b->start.x_m &&
         a->start.y_m == b->start.y_m && a->first_count == b->first_count &&
         memcmp(a->allowed, b->allowed, lot->area_count * sizeof *a->allowed) == 0;
}

/* ---- trying ---- */

typedef struct hunt {
  const pc_lot *lot;
  const pc_order *order; /* its areas, and all machines that can put them first */
  uint64_t seed;
  int threads;
  pc_steps *steps;
} hunt;

/* The lot as one in which these machines work the areas first, and then what came first for them before. */
static pc_status run_first(const hunt *h, const size_t *machines, size_t count, size_t replications,
                           pc_summary *summary) {
  pc_lot then = *h->lot;
  size_t areas = then.area_count;
  unsigned char *first = pc_alloc(count * areas, sizeof *first);
  then.machines = pc_copy(then.machines, then.machine_count, sizeof *then.machines);
  pc_status status = first && then.machines ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < count && status == PC_OK; i++) {
    pc_lot_machine *machine = &then.machines[machines[i]];
    unsigned char *ranks = &first[i * areas], rank = 0;
    for (size_t k = 0; k < h->order->area_count; k++)
      if (machine->allowed[h->order->areas[k]] && then.areas[h->order->areas[k]].into < 0)
        ranks[h->order->areas[k]] = ++rank;
    for (int old = 1; old <= machine->first_count; old++)
      for (size_t a = 0; a < areas && rank < UCHAR_MAX; a++)
        if (machine->first[a] == old && ranks[a] == 0)
          ranks[a] = ++rank;
    machine->first = ranks;
    machine->first_count = rank;
  }
  if (status == PC_OK)
    status = pc_replicate_summary(&then, replications, h->seed, h->threads, NULL, h->steps, summary);
  free(first);
  free(then.machines);
  return status;
}

/* By how much deadlines are missed: mean times, summed over areas; INFINITY if one that has to is never
 * clear. */
static double late_by_s(const pc_lot *lot, const pc_summary *summary) {
  double sum = 0.0;
  for (size_t a = 0; a < lot->area_count; a++) {
    double by_s = lot->areas[a].clear_by_s, done_s = summary->mean.areas[a].done_s;
    if (!isnan(by_s))
      sum += isnan(done_s) ? INFINITY : fmax(0.0, done_s - by_s);
  }
  return sum;
}

/* Fewer deadlines are missed, or as many by less; 0: neither is better in this, 1: the first, −1: the other.
 */
static int compare_delays(const pc_lot *lot, const pc_summary *a, const pc_summary *b) {
  size_t late_a = pc_summary_late(a), late_b = pc_summary_late(b);
  double by_a = late_by_s(lot, a), by_b = late_by_s(lot, b);
  if (a->unfinished != b->unfinished)
    return a->unfinished < b->unfinished ? 1 : -1;
  if (late_a != late_b)
    return late_a < late_b ? 1 : -1;
  return by_a < clearly_less * by_b ? 1 : by_b < clearly_less * by_a ? -1 : 0;
}

static bool is_better(const pc_lot *lot, const pc_summary *a, const pc_summary *b) {
  int delays = compare_delays(lot, a, b);
  return delays > 0 || (delays == 0 && a->total_time_s.mean < b->total_time_s.mean);
}

/* The machines to try alone: of those that are alike, the first. */
static size_t find_kinds(const pc_lot *lot, const pc_order *order, size_t kinds[KINDS_TRIED]) {
  size_t count = 0;
  for (size_t i = 0; i < order->machine_count && count < KINDS_TRIED && order->machine_count > 1; i++) {
    bool known = false;
    for (size_t k = 0; k < count && !known; k++)
      known = are_alike(lot, &lot->machines[kinds[k]], &lot->machines[order->machines[i]]);
    if (!known)
      kinds[count++] = order->machines[i];
  }
  return count;
}

/* Finds whether all of them, or which alone; the summary of that. */
static pc_status find_best(const hunt *h, const size_t *kinds, size_t kind_count, size_t replications,
                           size_t *best, pc_summary *summary) {
  *best = kind_count;
  pc_status status = run_first(h, h->order->machines, h->order->machine_count, replications, summary);
  for (size_t k = 0; k < kind_count && status == PC_OK && !pc_steps_stopped(h->steps); k++) {
    pc_summary alone = {0};
    status = run_first(h, &kinds[k], 1, replications, &alone);
    if (status == PC_OK && is_better(h->lot, &alone, summary)) {
      pc_summary_free(summary);
      *summary = alone;
      *best = k;
    } else {
      pc_summary_free(&alone);
    }
  }
  return status;
}

static pc_status try_order(const pc_lot *lot, const pc_summary *now, uint64_t seed, int threads,
                           const pc_watch *watch, pc_order *order) {
  size_t kinds[KINDS_TRIED], best = 0;
  size_t kind_count = find_kinds(lot, order, kinds);
  size_t all = now->replications, few = all < REPLICATIONS_FEW ? all : REPLICATIONS_FEW;
  pc_steps steps;
  const hunt h = {lot, order, seed, threads, &steps};
  pc_steps_begin(&steps, watch, few * (kind_count + 1) + (few < all ? all : 0));
  pc_status status = find_best(&h, kinds, kind_count, few, &best, &order->then);
  order->by_all = best == kind_count;
  if (!order->by_all) {
    order->machines[0] = kinds[best];
    order->machine_count = 1;
  }
  if (few < all && status == PC_OK && !pc_steps_stopped(&steps)) {
    pc_summary_free(&order->then);
    status = run_first(&h, order->machines, order->machine_count, all, &order->then);
  }
  bool stopped = pc_steps_stopped(&steps);
  pc_steps_end(&steps);
  if (status != PC_OK || stopped)
    return status;
  order->late_now = pc_summary_late(now);
  order->late_then = pc_summary_late(&order->then);
  order->end = compare_delays(lot, &order->then, now) > 0 ? PC_ORDER_HELPS : PC_ORDER_NO_HELP;
  return PC_OK;
}

pc_status pc_order_find(const pc_lot *lot, const pc_summary *now, uint64_t seed, int threads,
                        const pc_watch *watch, pc_order *order) {
  pc_status status = PC_OK;
  *order = (pc_order){0};
  if (lot->area_count < 2 || pc_summary_late(now) == 0 || lot->plan)
    return PC_OK;
  order->areas = pc_alloc(lot->area_count, sizeof *order->areas);
  order->machines = pc_alloc(lot->machine_count, sizeof *order->machines);
  if (!order->areas || !order->machines) {
    status = PC_ERR_MEMORY;
  } else {
    add_late(lot, now, order);
    add_machines(lot, order);
    if (order->machine_count == 0)
      order->end = PC_ORDER_NOTHING_WAITS;
    else
      status = try_order(lot, now, seed, threads, watch, order);
  }
  pc_order_end end = status == PC_OK ? order->end : PC_ORDER_NOT_ASKED;
  if (end != PC_ORDER_HELPS)
    pc_order_free(order);
  order->end = end;
  return status;
}

void pc_order_free(pc_order *order) {
  pc_summary_free(&order->then);
  free(order->areas);
  free(order->machines);
  *order = (pc_order){0};
}
