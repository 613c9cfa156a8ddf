// SPDX-License-Identifier: GPL-3.0-or-later
/* The trace hooks of a run; each may be NULL. `row` is called once for every leg or wait, in order of its
 * start for each machine. They must return: no exception, no jump. Thread-safety: one run calls them from one
 * thread; a hook that several runs share is their own business. */
#ifndef PC_SIM_TRACE_H
#define PC_SIM_TRACE_H

#include "sim/result.h"
#include "site/geometry.h"

PC_BEGIN_C

typedef struct pc_trace_row {
  uint64_t replication;
  size_t machine;
  int cycle; /* 1-based */
  pc_phase phase;
  double start_s, end_s;
  pc_point from, to;
  double distance_m, load_kg, swath_m;
  int zone;     /* index in the layout, or -1 */
  bool reverse; /* drives backwards */
} pc_trace_row;

/* The ground after a machine has changed it: by the leg that it drives since its row was written, or by what
 * it dropped just now. */
typedef struct pc_trace_ground {
  uint64_t replication;
  double time_s;
  size_t machine;
  const double *cell_kg; /* one per cell of the lot's ground; only for as long as the call lasts */
  double fallen_kgpm2;   /* so far, on every cell: part of cell_kg */
} pc_trace_ground;

/* All times are time at work; pc_lot_clock_s makes time by the clock of it. */
typedef struct pc_trace {
  void (*row)(void *context, const pc_trace_row *row);
  void *context;
  /* Mean depth of snow on an area, as fresh snow, each time when snow has fallen. */
  void (*depth)(void *context, uint64_t replication, double time_s, size_t area, double depth_m);
  /* Each time when a machine has changed the ground. */
  void (*ground)(void *context, const pc_trace_ground *ground);
} pc_trace;

PC_END_C

#endif
