// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Times of day: the clock time at which the work starts, clock times as times after that start, and back.
 *
 * A time of day is hours and minutes, "22:30" (00:00 to 23:59, ISO 8601-1), or with am or pm: "10:30 pm",
 * "10 pm", "12 am" is midnight and "12 pm" noon. There is no date and no time zone: a day has 24 hours, and a
 * night in which the clocks change is the user's to mind. Times after the start are in seconds, as
 * everywhere.
 *
 * Thread-safe (arguments only).
 */
#ifndef PC_BASE_CLOCK_H
#define PC_BASE_CLOCK_H

#include "base/units.h"

PC_BEGIN_C

typedef struct pc_clock { /* when the work starts; zero-initialised: not given */
  bool given;
  bool twelve; /* written with am or pm: then all clock times are shown so */
  int minutes; /* since midnight, 0 … 1439 */
} pc_clock;

/* True if the text is meant as a time of day, whether it is one or not: "22:30", "25:10", "10 pm". */
PC_API bool pc_clock_meant(const char *text);
/* Reads a time of day as the start. On failure *clock is untouched and *error (may be NULL) says what is
 * allowed, as pc_units_parse does. */
PC_API PC_MUST_USE pc_status pc_clock_parse(const char *text, pc_clock *clock, pc_error *error);
/* Reads a time of day as a time after the start: the first such time from the start on. One equal to the
 * start is the start itself, or with `later` the same time a day later. "05:00 +2 days" counts midnights
 * since the start. Where the start has am or pm, a time that could be either is a fault. Fails as
 * pc_clock_parse does, and where no start is given. */
PC_API PC_MUST_USE pc_status pc_clock_read(const pc_clock *start, const char *text, bool later,
                                           double *after_s, pc_error *error);
/* The clock time so long after a start that is given, to the nearest minute, in the form of the start:
 * "05:00", "5:00 am". From a day after the start on, where the same time has been before, with the number of
 * midnights since: "05:00 +2 days". "-" for what is not finite, and for 1e9 s (32 years) or more. */
PC_API pc_shown pc_clock_show(const pc_clock *start, double after_s);
/* The same with seconds: "05:00:30", "5:00:30 am". */
PC_API pc_shown pc_clock_show_seconds(const pc_clock *start, double after_s);

PC_END_C

#endif
