// SPDX-License-Identifier: GPL-3.0-or-later
/* The steps of pc_assign_solve. Not installed. */
#ifndef PC_STUDY_ASSIGN_PRIVATE_H
#define PC_STUDY_ASSIGN_PRIVATE_H

#include "base/steps.h"
#include "study/assign.h"

/* A route as it is found: one more lot after another route. */
typedef struct pc_route_label {
  uint64_t lots;   /* one bit each */
  uint32_t before; /* label; PC_NO_LABEL: it comes from the yard */
  uint32_t last;
  double end_s, extra; /* extra: sum of work_cost */
} pc_route_label;

#define PC_NO_LABEL UINT32_MAX

/* A set of lots for a unit, in its best order. */
typedef struct pc_route_column {
  size_t unit;
  uint32_t label;
  uint64_t lots;
  double end_s, paid_s, cost;
} pc_route_column;

typedef struct pc_route_pool {
  pc_route_label *labels;
  size_t label_count, label_room;
  pc_route_column *columns;
  size_t column_count, column_room;
  bool complete; /* nothing that matters was left out */
} pc_route_pool;

static inline double pc_assign_travel(const pc_assign_problem *p, size_t from, size_t to) {
  return p->travel_s[from * (p->lot_count + 1) + to];
}

static inline double pc_assign_work(const pc_assign_problem *p, size_t unit, size_t lot) {
  return p->work_s[unit * p->lot_count + lot];
}

static inline double pc_assign_extra(const pc_assign_problem *p, size_t unit, size_t lot) {
  return p->work_cost ? p->work_cost[unit * p->lot_count + lot] : 0.0;
}

/* Times and cost of a route whose unit and lots in order are set. */
void pc_assign_time_route(const pc_assign_problem *p, pc_assign_route *route);

/* assign_routes.c: every set of lots for every unit that ends by limit_s and costs no more than limit_cost.
 * If the steps are stopped, some of them, and the pool is not complete. */
pc_status pc_assign_routes_find(const pc_assign_problem *p, double limit_s, double limit_cost,
                                const pc_steps *steps, pc_route_pool *pool);
/* Adds one route, lots in this order. */
pc_status pc_assign_routes_add(const pc_assign_problem *p, const pc_assign_route *route, pc_route_pool *pool);
void pc_assign_routes_free(pc_route_pool *pool);
/* The lots of a column in order; returns how many. */
size_t pc_assign_routes_order(const pc_route_pool *pool, const pc_route_column *column,
                              size_t lots[PC_LOTS_MAX]);

/* assign_first.c: a plan by plain rules, to start from; plan->found tells whether there is one. */
pc_status pc_assign_first(const pc_assign_problem *p, pc_assign_plan *plan);

/* assign_cover.c */
typedef enum pc_covering { PC_COVERED, PC_UNCOVERABLE, PC_COVER_UNKNOWN } pc_covering;

typedef struct pc_cover {
  /* in */
  const pc_assign_problem *problem;
  const pc_route_pool *pool;
  double limit_s;        /* columns that end later are left out */
  const double *weights; /* of the columns; NULL: any cover will do */
  double cutoff;         /* the weight of a cover that is known; INFINITY: none */
  bool relaxed;          /* without integers */
  const pc_steps *steps; /* asked whether they are stopped */
  /* out */
  pc_covering covering; /* PC_COVER_UNKNOWN: the limit of nodes or a stop came first, and nothing is picked */
  bool stopped;         /* by the steps */
  bool proven;          /* what is picked is the best */
  double bound;         /* on the weight of any cover */
  size_t picked[2 * PC_LOTS_MAX];
  size_t picked_count;
} pc_cover;

pc_status pc_cover_solve(pc_cover *cover);
/* Least time or cost that the work alone takes, whatever the routes: a bound that needs none of them. */
pc_status pc_assign_bound(const pc_assign_problem *p, double *bound);

#endif
