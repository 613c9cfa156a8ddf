// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Where deadlines of areas are missed: would they be kept if areas that have more time waited? The order
 * tried is that of the deadlines, the earliest first and areas without one last, which is best for the
 * greatest delay where one crew does one thing after another (Jackson 1955, as the earliest-due-date rule in
 * scheduling textbooks). A lot is not quite that: so the order is simulated under the same luck, and told
 * only if fewer deadlines are missed with it.
 *
 * Only areas with more time wait, only for areas that are late, only where a machine works both, and never
 * against an order that the scenario wants already.
 *
 * Thread-safe for different lots.
 */
#ifndef PC_STUDY_ORDER_H
#define PC_STUDY_ORDER_H

#include "study/replicate.h"

PC_BEGIN_C

typedef struct pc_order_wait { /* indices of areas: `area` is begun when `after` is done */
  size_t area, after;
} pc_order_wait;

typedef struct pc_order {
  pc_order_wait *waits;
  size_t wait_count;          /* 0: no deadline is missed, or none is kept more often in that order */
  size_t late_now, late_then; /* missed deadlines, summed over areas and replications */
  pc_summary then;            /* with the order; only if there are waits */
} pc_order;

/* `now` is of `lot`, which is that of the scenario with this choice (may be NULL). As many replications as
 * `now` has, from the same seed. watch may be NULL; stopped, no order is found. Faults of the lot with the
 * order are no failure: then no order is found. */
PC_API PC_MUST_USE pc_status pc_order_find(const pc_scenario *scenario, const pc_choice *choice,
                                           const pc_lot *lot, const pc_summary *now, int threads,
                                           const pc_watch *watch, pc_order *order);
PC_API void pc_order_free(pc_order *order);

PC_END_C

#endif
