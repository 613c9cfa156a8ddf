// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Reads a storm from CSV (RFC 4180, a header line first) into pieces of a scenario's storm. Columns, in any
 * order:
 *
 *   - time: hours from the start of the work, as 1.5 or 1:30; or ISO 8601, 2021-01-31T18:30, which counts
 *     from the first row (also with a space, seconds, Z or an offset)
 *   - rate: depth of fresh snow, cm/h; or precipitation: water, mm/h, rain and snow told apart by temperature
 *   - temperature: of the air, °C; needed with precipitation
 *   - wind: m/s; may be left out
 *
 * A name may end in another unit: rate_in/h (or rate_in_h), precipitation_in/h, temperature_F, wind_mph. One
 * that is no unit of its kind is a fault.
 *
 * A row holds until the next one. The last row holds as long as the one before it; then nothing falls.
 *
 * A daily record has `date` (2021-01-31 or 2021/01/31) in place of `time`, precipitation as the day's total
 * in mm (or precipitation_in), and temperature, or temp_min and temp_max, whose mean is taken. A day holds
 * 24 h, and nothing falls on days that are left out.
 *
 * Of precipitation at air temperature T the share pc_snow_share(T) is snow. Its depth follows from the
 * density formula of the snow, even where fresh_density is given, since that stands for the snow on the
 * ground at the start. Rain is kept in rain_mps and in the totals, and no depth comes of it.
 *
 * Failures: every fault is added with file, line and column name; *out then holds nothing. Columns that are
 * not used are named in a caution. Ownership: on PC_OK the caller frees *out with pc_storm_csv_free.
 * Thread-safe (arguments only).
 */
#ifndef PC_IO_STORM_CSV_H
#define PC_IO_STORM_CSV_H

#include "sim/scenario.h"

PC_BEGIN_C

typedef struct pc_storm_csv {
  pc_storm_piece *pieces;
  size_t count;
  double depth_m;                    /* fresh snow in all, were none of it cleared or settled */
  double snow_water_m, rain_water_m; /* depth of water in all */
  double last_row_s;  /* how long the last row was taken to hold; 0: it ends the storm itself */
  double first_row_s; /* of rows with date and time of day, the first one from 1970-01-01, UTC; else NaN */
} pc_storm_csv;

/* Reads a file. `snow` gives what the depth of fresh snow follows from. */
PC_API PC_MUST_USE pc_status pc_storm_csv_read(const char *path, const pc_snow *snow, pc_storm_csv *out,
                                               pc_faults *faults);
/* Text in memory; `name` is what faults call it. */
PC_API PC_MUST_USE pc_status pc_storm_csv_read_text(const char *name, const char *text, size_t length,
                                                    const pc_snow *snow, pc_storm_csv *out,
                                                    pc_faults *faults);
PC_API void pc_storm_csv_free(pc_storm_csv *storm);

PC_END_C

#endif
