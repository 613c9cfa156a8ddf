// SPDX-License-Identifier: GPL-3.0-or-later
/* Times as a storm's CSV may give them. Internal to libpushcycle-io; not installed. */
#ifndef PC_IO_STORM_TIME_PRIVATE_H
#define PC_IO_STORM_TIME_PRIVATE_H

typedef enum pc_storm_time {
  PC_STORM_TIME_NONE,  /* no time at all */
  PC_STORM_TIME_HOURS, /* 1.5, 1:30, 1:30:00: from the start */
  PC_STORM_TIME_DATE,  /* 2021-01-31, 2021/01/31 */
  PC_STORM_TIME_MOMENT /* 2021-01-31T18:30, with seconds, Z or an offset if wanted */
} pc_storm_time;

/* Which of them the text is, and its seconds: from the start, or from 1970-01-01 UTC. A moment without an
 * offset counts as UTC. */
pc_storm_time pc_storm_time_read(const char *text, double *time_s);

#endif
