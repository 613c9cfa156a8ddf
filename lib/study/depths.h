// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * How deep snow lies while it falls, and whether the crew keeps up with it. SI units; depths are means over
 * an area, as fresh snow of the lot's own density.
 *
 * The series is filled by the trace hook of one replication (pc_depths_trace). It looks closely at one
 * stretch of the storm, the one that brings the most snow: its heaviest piece and the pieces beside it that
 * fall nearly as fast. Over the second half of that stretch the crew is judged: it falls behind if the mean
 * depth over all areas grows by more than 10 % of what falls there, and is deeper at the end than the crew
 * has to let it become (the trigger depth, or done_below). By mass: what falls less what it grows is what the
 * crew clears (not what it could: a machine may be at rest because nothing it may work on is deep enough).
 * The mean says nothing of a single area: those on which nobody was are counted. In steady state a machine
 * that carries c kg a cycle of mean time T clears c/T; a storm of less than that over the area finds a depth
 * at which it is kept up with.
 *
 * Ownership: pc_depths_start, then pc_depths_free. Failures: only memory; then series.failed is set, and the
 * series is short. Thread-safety: one series belongs to one run, and so to one thread, at a time.
 */
#ifndef PC_STUDY_DEPTHS_H
#define PC_STUDY_DEPTHS_H

#include "sim/lot.h"
#include "sim/trace.h"

PC_BEGIN_C

typedef struct pc_depths_series {
  const pc_lot *lot; /* borrowed */
  double *time_s;    /* of each row */
  double *depth_m;   /* row after row, one for each area */
  size_t rows, areas;
  size_t time_capacity, depth_capacity;
  double from_s, to_s; /* the second half of the heaviest stretch; both 0: nothing falls */
  double busy_s;       /* machine time spent working within it: neither idle nor waiting */
  bool failed;
} pc_depths_series;

/* An empty series for a run of this lot. */
PC_API void pc_depths_start(pc_depths_series *series, const pc_lot *lot);
/* Hooks for a pc_trace whose context is the series. */
PC_API void pc_depths_row(void *series, const pc_trace_row *row);
PC_API void pc_depths_depth(void *series, uint64_t replication, double time_s, size_t area, double depth_m);
PC_API void pc_depths_free(pc_depths_series *series);

typedef enum pc_keeping {
  PC_KEEPING_NONE, /* nothing falls, or too short to judge */
  PC_KEEPING_UP,
  PC_KEEPING_BEHIND
} pc_keeping;

PC_API const char *pc_keeping_name(pc_keeping keeping); /* "none" "keeps up" "falls behind" */

typedef struct pc_keep_up {
  pc_keeping keeping;
  double from_s, to_s;      /* judged over this time */
  double fall_kgps;         /* snow that falls on all areas */
  double clearing_kgps;     /* what the crew clears while it works; NaN: it did not work */
  double working;           /* share of machine time spent working */
  double grown_m, fallen_m; /* mean depth over all areas: growth, and what fell */
  double deepest_m;         /* mean depth of any area, over the whole storm */
  int untouched; /* areas on which, at its end, all lies that lay there and fell, more than has to */
} pc_keep_up;

/* Whether the crew keeps up, as above. Areas that only blades work, whose windrow stays there, are in none of
 * these figures. */
PC_API pc_keep_up pc_depths_judge(const pc_depths_series *series);

PC_END_C

#endif
