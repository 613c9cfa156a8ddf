// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Where deadlines of areas are missed: would they be kept if areas that have more time waited? The order
 * tried is that of the deadlines, the earliest first and areas without one last, which is best for the
 * greatest delay where one crew does one thing after another (Jackson 1955, as the earliest-due-date rule in
 * scheduling textbooks). A lot is not quite that: so the order is simulated under the same luck, and is
 * of help only if fewer deadlines are missed with it, or as many by less.
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

typedef enum pc_order_end {
  PC_ORDER_NOT_ASKED, /* no deadline is missed, there is one area, a plan is followed, or it was stopped */
  PC_ORDER_NOTHING_WAITS, /* no area has more time than one that is late and a machine in common with it */
  PC_ORDER_NO_HELP,       /* deadlines are missed as often, and by as much, in that order */
  PC_ORDER_HELPS
} pc_order_end;

typedef struct pc_order {
  pc_order_end end;
  pc_order_wait *waits;
  size_t wait_count;          /* 0 unless it helps */
  size_t late_now, late_then; /* missed deadlines, summed over areas and replications */
  pc_summary then;            /* with the order; only if it helps */
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
