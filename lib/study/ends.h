// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Who sets the time of a night: the machines that are done last, where the others are done clearly before. SI
 * units; times by the clock, means over all replications. Thread-safe (arguments only), fails never.
 *
 * A machine is done with its last push or dump. Those that are done within PC_ENDS_APART of the total time of
 * the latest are last; the others are done before. Neither is a machine that has no work, one whose shift is
 * over by then, and one of the same loader, box and areas as one that is last, if it is done no more than
 * PC_ENDS_LOADS mean loads of that one before it: that is how the last loads fell. Who takes no load to a
 * pile (a plow) has no such measure, and then is neither, too.
 */
#ifndef PC_STUDY_ENDS_H
#define PC_STUDY_ENDS_H

#include "study/replicate.h"

PC_BEGIN_C

/* Chosen here, no source. */
#define PC_ENDS_APART 0.05
#define PC_ENDS_LOADS 3.0

typedef enum pc_end { PC_END_NEITHER, PC_END_LAST, PC_END_BEFORE } pc_end;

typedef struct pc_ends {
  size_t last, before; /* how many; both 0: nobody stands out, or some replication did not finish */
  pc_end machines[PC_MACHINES_MAX];
  double last_s, before_s; /* when the latest of each are done */
  /* The area in which alone those that are last have worked since before the others were done, in every
   * replication; "": there are several. */
  pc_name area;
  double area_from_s; /* since when; NaN without it */
  bool area_bound;    /* no other machine of the crew may work there */
} pc_ends;

/* Of a summary of this lot. */
PC_API pc_ends pc_ends_of(const pc_lot *lot, const pc_summary *summary);
/* Done so long before the latest that it counts, in a time of total_s. */
PC_API bool pc_ends_apart(double done_s, double latest_s, double total_s);

PC_END_C

#endif
