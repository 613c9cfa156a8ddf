// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/order.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "study/replicate_private.h"

enum {
  KINDS_TRIED = 8, /* machines that are tried alone */
  REPLICATIONS_FEW = 5
};

/* How long before their deadlines late areas are swept, in a storm; chosen by trial, no source. */
static const double sweeps_s[PC_ORDER_SWEEPS] = {900.0, 1800.0, 2700.0, 3600.0};

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

/* Which of two machines works these areas first makes no difference: they are of one entry of the crew, and
 * have the same box. */
static bool are_alike(const pc_lot_machine *a, const pc_lot_machine *b) {
  return a->entry == b->entry && pc_name_is(&a->unit.box.name, b->unit.box.name.text);
}

/* ---- trying ---- */

typedef struct hunt {
  const pc_lot *lot;
  const pc_order *order; /* its areas, and all machines that can put them first */
  uint64_t seed;
  int threads;
  pc_steps *steps;
  bool can_sweep;
} hunt;

/* While snow falls, thin snow is left lying: it can be swept for a deadline. */
static bool can_sweep(const pc_lot *lot) {
  return lot->storm_end_s > 0.0 && lot->snow.trigger_m > lot->snow.done_below_m;
}

/* What comes first for a machine if these areas do: what came first before follows. Returns how many. */
static int rank_areas(const hunt *h, const pc_lot_machine *machine, unsigned char *ranks) {
  const pc_lot *lot = h->lot;
  unsigned char rank = 0;
  for (size_t k = 0; k < h->order->area_count; k++)
    if (machine->allowed[h->order->areas[k]] && lot->areas[h->order->areas[k]].into < 0)
      ranks[h->order->areas[k]] = ++rank;
  for (int old = 1; old <= machine->first_count; old++)
    for (size_t a = 0; a < lot->area_count && rank < UCHAR_MAX; a++)
      if (machine->first[a] == old && ranks[a] == 0)
        ranks[a] = ++rank;
  return rank;
}

/* One way to have late areas clear: worked first by these machines, and swept so long before their deadlines.
 */
typedef struct way {
  const size_t *machines;
  size_t count;
  double sweep_s; /* 0: not */
} way;

static void sweep_areas(const hunt *h, double sweep_s, pc_lot_area *areas) {
  for (size_t i = 0; i < h->order->area_count; i++) {
    pc_lot_area *area = &areas[h->order->areas[i]];
    if (!isnan(area->clear_by_s))
      area->sweep_before_s = fmax(area->sweep_before_s, sweep_s);
  }
}

/* The lot as one in which the areas are worked in this way. `ranks` has a row for each machine, all 0. */
static pc_status run_first(const hunt *h, const way *w, size_t replications, unsigned char *ranks,
                           pc_summary *summary) {
  pc_lot then = *h->lot;
  then.machines = pc_copy(then.machines, then.machine_count, sizeof *then.machines);
  then.areas = pc_copy(then.areas, then.area_count, sizeof *then.areas);
  pc_status status = then.machines && then.areas ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < w->count && status == PC_OK; i++) {
    pc_lot_machine *machine = &then.machines[w->machines[i]];
    unsigned char *own = &ranks[i * then.area_count];
    machine->first_count = rank_areas(h, machine, own);
    machine->first = own;
  }
  if (status == PC_OK) {
    sweep_areas(h, w->sweep_s, then.areas);
    status = pc_replicate_summary(&then, replications, h->seed, h->threads, NULL, h->steps, summary);
  }
  free(then.machines);
  free(then.areas);
  return status;
}

/* By how much deadlines are missed, summed over areas and nights; INFINITY if one is never clear after it. */
static double late_by_s(const pc_lot *lot, const pc_summary *summary) {
  double sum = 0.0;
  for (size_t a = 0; a < lot->area_count; a++) {
    double late_s = summary->mean.areas[a].late_s;
    if (summary->area_late[a] > 0)
      sum += isnan(late_s) ? INFINITY : (double)summary->area_late[a] * late_s;
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
      known = are_alike(&lot->machines[kinds[k]], &lot->machines[order->machines[i]]);
    if (!known)
      kinds[count++] = order->machines[i];
  }
  return count;
}

typedef struct trial {
  size_t *machines;
  size_t count;
  double sweep_s;
  unsigned char *ranks; /* NULL: nothing has been tried */
  pc_summary then;
} trial;

static void end_trial(trial *t) {
  pc_summary_free(&t->then);
  free(t->machines);
  free(t->ranks);
  *t = (trial){0};
}

/* End with end_trial, also on failure. */
static pc_status run_trial(const hunt *h, const way *w, size_t replications, trial *t) {
  *t = (trial){.machines = pc_alloc(w->count + 1, sizeof *t->machines),
               .count = w->count,
               .sweep_s = w->sweep_s,
               .ranks = pc_alloc_grid(w->count, h->lot->area_count, sizeof *t->ranks)};
  for (size_t i = 0; t->machines && i < w->count; i++)
    t->machines[i] = w->machines[i];
  return t->machines && t->ranks ? run_first(h, w, replications, t->ranks, &t->then) : PC_ERR_MEMORY;
}

/* One more trial, unless it is stopped; the better one is kept in `best`, and the other ended. */
static pc_status run_against(const hunt *h, const way *w, size_t replications, trial *best) {
  trial other;
  if (pc_steps_stopped(h->steps))
    return PC_OK;
  pc_status status = run_trial(h, w, replications, &other);
  if (status == PC_OK && (!best->ranks || is_better(h->lot, &other.then, &best->then))) {
    trial worse = *best;
    *best = other;
    other = worse;
  }
  end_trial(&other);
  return status;
}

/* All machines that can, and each kind of them alone. */
static pc_status try_machines(const hunt *h, const size_t *kinds, size_t kind_count, size_t few,
                              trial *best) {
  const way all = {h->order->machines, h->order->machine_count, 0.0};
  pc_status status = all.count > 0 ? run_against(h, &all, few, best) : PC_OK;
  for (size_t k = 0; k < kind_count && status == PC_OK; k++)
    status = run_against(h, &(way){&kinds[k], 1, 0.0}, few, best);
  return status;
}

/* The best of these, and all machines, with a sweep before the deadlines. */
static pc_status try_sweeps(const hunt *h, size_t few, trial *best) {
  const pc_order *order = h->order;
  size_t alone = best->count > 0 ? best->machines[0] : 0;
  bool by_one = best->count > 0 && best->count < order->machine_count;
  pc_status status = PC_OK;
  for (size_t i = 0; i < PC_ORDER_SWEEPS && status == PC_OK; i++) {
    status = run_against(h, &(way){order->machines, order->machine_count, sweeps_s[i]}, few, best);
    if (status == PC_OK && by_one)
      status = run_against(h, &(way){&alone, 1, sweeps_s[i]}, few, best);
    else
      pc_steps_skip(h->steps, few);
  }
  return status;
}

/* The best of all these, in few replications; in all of them, where those are more, that and the same with
 * all machines: luck in a few nights must not hide what keeps a deadline in every one. */
static pc_status find_best(const hunt *h, const size_t *kinds, size_t kind_count, size_t few, size_t all,
                           trial *best) {
  const pc_order *order = h->order;
  pc_status status = try_machines(h, kinds, kind_count, few, best);
  if (status == PC_OK && h->can_sweep)
    status = try_sweeps(h, few, best);
  if (status != PC_OK || few == all || pc_steps_stopped(h->steps))
    return status;
  trial full;
  bool alone = best->count < order->machine_count;
  status = run_trial(h, &(way){best->machines, best->count, best->sweep_s}, all, &full);
  end_trial(best);
  *best = full;
  if (!alone)
    pc_steps_skip(h->steps, all);
  else if (status == PC_OK)
    status = run_against(h, &(way){order->machines, order->machine_count, best->sweep_s}, all, best);
  return status;
}

static pc_status try_order(const pc_lot *lot, const pc_summary *now, uint64_t seed, int threads,
                           const pc_watch *watch, pc_order *order) {
  size_t kinds[KINDS_TRIED];
  size_t kind_count = find_kinds(lot, order, kinds);
  size_t all = now->replications, few = all < REPLICATIONS_FEW ? all : REPLICATIONS_FEW;
  pc_steps steps;
  trial best = {0};
  const hunt h = {lot, order, seed, threads, &steps, can_sweep(lot)};
  size_t trials = kind_count + (order->machine_count > 0) + (h.can_sweep ? 2 * PC_ORDER_SWEEPS : 0);
  pc_steps_begin(&steps, watch, few * trials + (few < all ? 2 * all : 0));
  pc_status status = find_best(&h, kinds, kind_count, few, all, &best);
  bool stopped = pc_steps_stopped(&steps);
  pc_steps_end(&steps);
  if (status != PC_OK || stopped) {
    end_trial(&best);
    return status;
  }
  free(order->machines);
  order->by_all = best.count == order->machine_count;
  order->machines = best.machines;
  order->machine_count = best.count;
  order->ranks = best.ranks;
  order->sweep_before_s = best.sweep_s;
  order->then = best.then;
  order->late_now = pc_summary_late(now);
  order->late_then = pc_summary_late(&order->then);
  order->end = compare_delays(lot, &order->then, now) > 0 ? PC_ORDER_HELPS : PC_ORDER_NO_HELP;
  return PC_OK;
}

pc_status pc_order_find(const pc_lot *lot, const pc_summary *now, uint64_t seed, int threads,
                        const pc_watch *watch, pc_order *order) {
  pc_status status = PC_OK;
  *order = (pc_order){0};
  if ((lot->area_count < 2 && !can_sweep(lot)) || pc_summary_late(now) == 0 || lot->plan)
    return PC_OK;
  order->areas = pc_alloc(lot->area_count, sizeof *order->areas);
  order->machines = pc_alloc(lot->machine_count, sizeof *order->machines);
  if (!order->areas || !order->machines) {
    status = PC_ERR_MEMORY;
  } else {
    add_late(lot, now, order);
    add_machines(lot, order);
    if (order->machine_count == 0 && !can_sweep(lot))
      order->end = PC_ORDER_NOTHING_WAITS;
    else
      status = try_order(lot, now, seed, threads, watch, order);
  }
  pc_order_end end = status == PC_OK ? order->end : PC_ORDER_NOT_ASKED;
  if (end != PC_ORDER_HELPS)
    pc_order_free(order);
  order->end = end;
  if ((end == PC_ORDER_HELPS || end == PC_ORDER_NO_HELP) && can_sweep(lot))
    while (order->sweep_count < PC_ORDER_SWEEPS) {
      order->sweeps_s[order->sweep_count] = sweeps_s[order->sweep_count];
      order->sweep_count++;
    }
  return status;
}

void pc_order_free(pc_order *order) {
  if (!order)
    return;
  pc_summary_free(&order->then);
  free(order->areas);
  free(order->machines);
  free(order->ranks);
  *order = (pc_order){0};
}
