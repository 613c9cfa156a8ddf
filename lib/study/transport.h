// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The transportation problem: what lies at some places goes to others that hold only so much, at the least
 * sum of amount × cost. Solved exactly (to rounding) by shortest augmenting paths between the destinations,
 * so it is quick where there are many sources and few destinations.
 *
 * Units are the caller's. Nothing is kept. Failures: PC_ERR_MEMORY; PC_ERR_RANGE for a negative or infinite
 * number, or where the destinations hold less than there is; PC_ERR_LIMIT if it does not come to an end.
 * Thread-safe.
 */
#ifndef PC_STUDY_TRANSPORT_H
#define PC_STUDY_TRANSPORT_H

#include "base/status.h"

PC_BEGIN_C

typedef struct pc_transport {
  const double *supply; /* per source; all of it has to go */
  size_t sources;
  const double *room; /* per destination; INFINITY: no limit */
  size_t destinations;
  const double *cost; /* sources × destinations, row by row */
} pc_transport;

/* flow (may be NULL) has the shape of cost. */
PC_API PC_MUST_USE pc_status pc_transport_solve(const pc_transport *problem, double *flow, double *total);

PC_END_C

#endif
