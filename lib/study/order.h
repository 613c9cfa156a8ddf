// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Where deadlines of areas are missed: would they be kept if those areas were worked first? Tried is the
 * order of the deadlines, the earliest first, which is best for the greatest delay where one crew does one
 * thing after another (Jackson 1955, as the earliest-due-date rule in scheduling textbooks); areas that a
 * late one has to wait for come before it. A lot is not quite such a line: so it is simulated, under the same
 * luck, once with all machines that can, and once with each kind of them alone, as the others then have their
 * work done sooner. Of these the best is found in few replications; that one and the one with all machines
 * are run with as many as there were, and the better of the two is told. While snow falls, and lies thin
 * until it is as deep as the trigger, that is tried also with a sweep of late areas 15, 30, 45 and 60 min
 * before their deadlines.
 *
 * It is of help only if fewer deadlines are missed, or as many by less.
 *
 * Thread-safe for different lots.
 */
#ifndef PC_STUDY_ORDER_H
#define PC_STUDY_ORDER_H

#include "study/replicate.h"

PC_BEGIN_C

typedef enum pc_order_end {
  PC_ORDER_NOT_ASKED, /* no deadline is missed, there is one area, a plan is followed, or it was stopped */
  PC_ORDER_NOTHING_WAITS, /* no machine that works a late area has other work that could wait */
  PC_ORDER_NO_HELP,       /* deadlines are missed as often, and by as much, with all that was tried */
  PC_ORDER_HELPS
} pc_order_end;

enum { PC_ORDER_SWEEPS = 4 };

typedef struct pc_order {
  pc_order_end end;
  size_t *areas; /* to be worked before all others, in this order; indices in the lot, as all here */
  size_t area_count;
  size_t *machines; /* by these; none: as they come, with a sweep */
  size_t machine_count;
  unsigned char *ranks;  /* machine_count rows of the lot's areas: `first` of that machine then, as in
                            pc_lot_machine; what came first for it before follows */
  double sweep_before_s; /* and swept so long before their deadlines (site/site.h); 0: not */
  double sweeps_s[PC_ORDER_SWEEPS]; /* the sweeps that were tried, also if none helps */
  size_t sweep_count;               /* 0: none, as no thin snow is left lying */
  bool by_all;                      /* these are all that can */
  size_t late_now, late_then;       /* missed deadlines, summed over areas and replications */
  pc_summary then;                  /* with that; only if it helps, as all but `end` and the sweeps */
} pc_order;

/* `now` is of `lot`. As many replications as `now` has, from the same seed; threads 0: one per processor.
 * watch may be NULL, steps are replications; stopped, no order is found. */
PC_API PC_MUST_USE pc_status pc_order_find(const pc_lot *lot, const pc_summary *now, uint64_t seed,
                                           int threads, const pc_watch *watch, pc_order *order);
PC_API void pc_order_free(pc_order *order);

PC_END_C

#endif
