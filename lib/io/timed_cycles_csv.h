// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Timed cycles from CSV (RFC 4180), for study/fit.h: a header line that names the columns, then one row per
 * phase that was timed. The trace of a run is such a file. SI units.
 *
 *   phase                  needed: lower fill clean_up raise turn carry wait dump return idle
 *   duration_s             needed, or else start_s and end_s
 *   distance_m             way driven, for fill, clean_up, carry and return; may be empty
 *   machine                whose it is; without it all rows are of one machine, "loader"
 *   direction              forward or reverse, of return; its speeds are not known without; may be empty
 *   load_kg                what was in the box; may be empty
 *   x0_m y0_m x1_m y1_m    where a leg began and ended; legs of one way around corners are then joined
 *
 * The names of duration, distance and load may end in another unit: duration_min, distance_ft, load_lb. One
 * that is no unit of its kind is a fault. pc_timed.units is US where the distance is, and so are the faults',
 * unless faults->units_given.
 *
 * Rows of one machine stand in the order in which things happened. Other columns are not used: a caution
 * names those that no trace has. Rows of no time at all are left out.
 *
 * Ownership: pc_timed_free. Failures: every fault with file, line and column; PC_ERR_FILE, PC_ERR_MEMORY.
 * Independent of the locale. Thread-safe (arguments only).
 */
#ifndef PC_IO_TIMED_CYCLES_CSV_H
#define PC_IO_TIMED_CYCLES_CSV_H

#include "study/fit.h"

PC_BEGIN_C

/* "-" is standard input. */
PC_API PC_MUST_USE pc_status pc_timed_csv_read(const char *path, pc_timed *timed, pc_faults *faults);
/* `name` is what faults call the file. */
PC_API PC_MUST_USE pc_status pc_timed_csv_read_text(const char *name, const char *text, size_t length,
                                                    pc_timed *timed, pc_faults *faults);

PC_END_C

#endif
