// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/order.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "study/replicate_private.h"

/* ---- which areas wait ---- */

static bool share_machine(const pc_lot *lot, size_t a, size_t b) {
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].allowed[a] && lot->machines[m].allowed[b])
      return true;
  return false;
}

/* Which area has to wait for which, be it by way of others: one row for each area. Adds one such pair, and
 * all that follows from it. */
static void add_wait(bool *waits, size_t count, size_t area, size_t after) {
  for (size_t a = 0; a < count; a++)
    for (size_t b = 0; b < count && (a == area || waits[a * count + area]); b++)
      waits[a * count + b] |= b == after || waits[after * count + b];
}

static double due_s(const pc_lot *lot, size_t area) {
  double due = lot->areas[area].clear_by_s;
  return isnan(due) ? INFINITY : due;
}

static bool may_wait(const pc_lot *lot, const bool *waits, size_t area, size_t late) {
  return area != late && due_s(lot, area) > due_s(lot, late) && lot->areas[area].into != (int)late &&
         share_machine(lot, area, late) && !waits[area * lot->area_count + late] &&
         !waits[late * lot->area_count + area];
}

static pc_status choose_waits(const pc_lot *lot, const pc_summary *now, pc_order *order) {
  size_t count = lot->area_count;
  bool *waits = pc_alloc(count * count, sizeof *waits);
  order->waits = pc_alloc(count * count, sizeof *order->waits);
  if (!waits || !order->waits) {
    free(waits);
    return PC_ERR_MEMORY;
  }
  for (size_t a = 0; a < count; a++)
    for (size_t b = 0; b < count; b++)
      if (lot->areas[a].after[b])
        add_wait(waits, count, a, b);
  for (size_t late = 0; late < count; late++)
    for (size_t a = 0; a < count && now->area_late[late] > 0; a++)
      if (may_wait(lot, waits, a, late)) {
        add_wait(waits, count, a, late);
        order->waits[order->wait_count++] = (pc_order_wait){a, late};
      }
  free(waits);
  return PC_OK;
}

/* ---- trying ---- */

/* A scenario's areas with the order in their lists of what comes before. */
static pc_area *areas_in_order(const pc_scenario *scenario, const pc_order *order) {
  size_t count = scenario->site.area_count;
  pc_area *areas = pc_copy(scenario->site.areas, count, sizeof *areas);
  bool whole = areas != NULL;
  for (size_t a = 0; areas && a < count; a++) {
    const pc_names *was = &scenario->site.areas[a].after;
    pc_names *after = &areas[a].after;
    *after = (pc_names){pc_alloc(was->count + order->wait_count, sizeof *after->items), 0};
    whole &= after->items != NULL;
    for (size_t i = 0; after->items && i < was->count; i++)
      after->items[after->count++] = was->items[i];
    for (size_t i = 0; after->items && i < order->wait_count; i++)
      if (order->waits[i].area == a)
        after->items[after->count++] = scenario->site.areas[order->waits[i].after].name;
  }
  if (whole)
    return areas;
  for (size_t a = 0; areas && a < count; a++)
    pc_names_free(&areas[a].after);
  free(areas);
  return NULL;
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

/* Not for a minute or two, as an order also has its price. */
static const double worth_telling = 0.9;

static bool helps(const pc_lot *lot, const pc_summary *now, const pc_order *order) {
  const pc_summary *then = &order->then;
  if (then->unfinished > now->unfinished || order->late_then > order->late_now)
    return false;
  return order->late_then < order->late_now || late_by_s(lot, then) < worth_telling * late_by_s(lot, now);
}

/* Simulates the order, unless no lot can be made with it. */
static pc_status try_order(const pc_scenario *scenario, const pc_choice *choice, const pc_summary *now,
                           int threads, const pc_watch *watch, pc_order *order) {
  pc_scenario then = *scenario;
  pc_lot *lot = NULL;
  pc_faults faults = {.units = scenario->units};
  then.site.areas = areas_in_order(scenario, order);
  pc_status status = then.site.areas ? pc_lot_create(&then, choice, &lot, &faults) : PC_ERR_MEMORY;
  if (status == PC_OK) {
    status = pc_replicate_watched(lot, now->replications, (uint64_t)scenario->chance.seed, threads, NULL,
                                  watch, &order->then);
    if (status == PC_OK && order->then.replications == now->replications) {
      order->late_now = pc_summary_late(now);
      order->late_then = pc_summary_late(&order->then);
      order->end = helps(lot, now, order) ? PC_ORDER_HELPS : PC_ORDER_NO_HELP;
    }
  } else if (status != PC_ERR_MEMORY) {
    status = PC_OK;
  }
  for (size_t a = 0; then.site.areas && a < then.site.area_count; a++)
    pc_names_free(&then.site.areas[a].after);
  free(then.site.areas);
  pc_faults_free(&faults);
  pc_lot_free(lot);
  return status;
}

pc_status pc_order_find(const pc_scenario *scenario, const pc_choice *choice, const pc_lot *lot,
                        const pc_summary *now, int threads, const pc_watch *watch, pc_order *order) {
  *order = (pc_order){0};
  if (lot->area_count < 2 || pc_summary_late(now) == 0 || lot->plan)
    return PC_OK;
  pc_status status = choose_waits(lot, now, order);
  if (status == PC_OK && order->wait_count == 0)
    order->end = PC_ORDER_NOTHING_WAITS;
  else if (status == PC_OK)
    status = try_order(scenario, choice, now, threads, watch, order);
  pc_order_end end = status == PC_OK ? order->end : PC_ORDER_NOT_ASKED;
  if (end != PC_ORDER_HELPS)
    pc_order_free(order);
  order->end = end;
  return status;
}

void pc_order_free(pc_order *order) {
  pc_summary_free(&order->then);
  free(order->waits);
  *order = (pc_order){0};
}
