// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A plan found by search (docs/plan.md): eight searchers change the weights and keys of a plan a little, run
 * the lot with it, and keep what is quicker; now and then the last of them goes on from where the first one
 * is. A plan that leaves more work undone, or misses more deadlines, is never quicker. What is found is then
 * judged on other luck than the search has seen, and only if it beats keep-pushing there is it given: else
 * the plan is keep-pushing itself.
 *
 * The result depends on the lot, the seed and the number of tries, and on nothing else; with a time limit the
 * number of tries is told, so that the search can be repeated. Ownership: pc_planning_free. Failures: memory.
 * Thread-safe (arguments only).
 */
#ifndef PC_STUDY_PLAN_SEARCH_H
#define PC_STUDY_PLAN_SEARCH_H

#include "sim/plan.h"
#include "study/replicate.h"

PC_BEGIN_C

typedef struct pc_plan_search {
  double seconds; /* wall time after which no more is tried; INFINITY: none */
  size_t tries;   /* plans to try; SIZE_MAX: no limit. One of both, or `stop`, must be given. */
  uint64_t seed;
  int threads;
  bool (*stop)(void *context); /* true: end with the best so far; may be NULL */
  /* Best time so far and keep-pushing's, s; may be NULL. */
  void (*progress)(void *context, size_t tries, double best_s, double keep_s);
  void *context; /* of both */
} pc_plan_search;

typedef struct pc_planned_bite { /* in the order of its beginning */
  size_t machine;
  int load; /* of this machine, from 1; a load may take several bites */
  size_t area;
  size_t lane;         /* of the area, from 1, across it */
  double from_m, to_m; /* along the lane, from where its area begins */
  pc_point from, to;
  double start_s, end_s;
  double load_kg;  /* in the box at its end */
  int zone;        /* where the load goes; −1: aside or into another area */
  double dumped_s; /* when it lies there; NaN without a zone */
} pc_planned_bite;

typedef struct pc_planning {
  pc_plan plan;
  bool gains;   /* false: nothing better was found, the plan is keep-pushing itself */
  bool stopped; /* before its time */
  bool chance;  /* times vary: the plan is judged over replications */
  size_t tries;
  size_t search_replications;
  double search_keep_s,
      search_best_s;                  /* mean times that the search has seen: too good to be true by chance */
  pc_summary keep, straight, planned; /* on the replications of the scenario, which the search has not seen */
  pc_statistic saved_s;               /* keep-pushing less the plan, under the same luck */
  pc_planned_bite *bites;             /* of replication 0 */
  size_t bite_count;
} pc_planning;

/* Searches, and judges what it found on luck that it has not seen. */
PC_API PC_MUST_USE pc_status pc_plan_find(const pc_lot *lot, const pc_plan_search *search,
                                          pc_planning *planning);
PC_API void pc_planning_free(pc_planning *planning);
/* What a lot does that follows a plan, bite by bite; replication 0. Free *bites with free(). */
PC_API PC_MUST_USE pc_status pc_plan_bites(const pc_lot *lot, const pc_plan *plan, uint64_t seed,
                                           pc_planned_bite **bites, size_t *count);

PC_END_C

#endif
