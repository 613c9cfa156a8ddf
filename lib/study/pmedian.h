// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The p-median problem: of many sites open p, so that the sum over all clients of the cost of the cheapest
 * open site is least. Lagrangian relaxation of "every client has one site" (subgradient steps), exchange of
 * sites for good choices, and branch and bound, so the answer is proven where the search comes to its end
 * (M. S. Daskin, Network and Discrete Location, on the Lagrangian approach to p-median).
 *
 * Costs are finite and carry the clients' weights; units are the caller's. Failures: PC_ERR_MEMORY;
 * PC_ERR_RANGE for costs that are not finite or a number of sites that cannot be. Thread-safe.
 */
#ifndef PC_STUDY_PMEDIAN_H
#define PC_STUDY_PMEDIAN_H

#include "base/status.h"

PC_BEGIN_C

enum { PC_PMEDIAN_NODES = 20000 }; /* usual limit of the search */

typedef struct pc_pmedian {
  const double *cost; /* clients × sites, row by row */
  size_t clients, sites;
  size_t open;       /* how many sites: p */
  const bool *fixed; /* per site: has to be open; NULL: none */
  size_t nodes;      /* limit of the search; 0: PC_PMEDIAN_NODES */
} pc_pmedian;

typedef struct pc_pmedian_answer {
  double cost;  /* of the sites chosen */
  double bound; /* no choice costs less; the same as cost where proven */
  bool proven;
  size_t nodes; /* of the search tree */
} pc_pmedian_answer;

/* `chosen` has room for `open` sites; they come in rising order. */
PC_API PC_MUST_USE pc_status pc_pmedian_solve(const pc_pmedian *problem, size_t *chosen,
                                              pc_pmedian_answer *answer);

PC_END_C

#endif
