// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The trace of a run as CSV (RFC 4180, but for lines that end in a line feed alone): one row per leg or
 * wait, SI units, time at work, numbers with ten significant digits whatever the locale.
 *
 * The file is borrowed: the caller opens it before and closes it after. Rows cannot report a failure while
 * the run goes on, so write errors are kept and come back from pc_trace_csv_finish.
 * Thread-safety: one trace belongs to one thread at a time.
 */
#ifndef PC_IO_TRACE_CSV_H
#define PC_IO_TRACE_CSV_H

#include <stdio.h>

#include "sim/lot.h"
#include "sim/trace.h"

PC_BEGIN_C

typedef struct pc_trace_csv {
  FILE *file;
  const pc_lot *lot; /* names of machines, boxes and zones; borrowed */
  bool failed;
  int system_error; /* errno of the first failure, 0 if the system gave none */
} pc_trace_csv;

/* Writes the header line. The hook to hand to a run is {pc_trace_csv_row, csv}. */
PC_API void pc_trace_csv_start(pc_trace_csv *csv, FILE *file, const pc_lot *lot);
PC_API void pc_trace_csv_row(void *csv, const pc_trace_row *row);
/* Flushes. PC_ERR_FILE if anything could not be written. */
PC_API PC_MUST_USE pc_status pc_trace_csv_finish(pc_trace_csv *csv);

PC_END_C

#endif
