// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Replications of one lot, in threads, and their summary. Replication r uses streams hashed from (seed, r),
 * so the summary is the same for any number of threads. Thread-safe: several may work on one lot at once.
 */
#ifndef PC_STUDY_REPLICATE_H
#define PC_STUDY_REPLICATE_H

#include "base/watch.h"
#include "sim/run.h"
#include "study/bound.h"

PC_BEGIN_C

typedef struct pc_statistic {
  double mean, half_width, level, min, max; /* half_width 0 for one replication */
  size_t count;
} pc_statistic;

/* Mean with a two-sided Student t interval at `level` (0.95), which lies between 0 and 1; else the half width
 * is NaN. */
PC_API pc_statistic pc_statistic_of(const double *values, size_t count, double level);
/* The same of a[i] − b[i]: of times of two lots in the same nights, whose luck is the same. */
PC_API pc_statistic pc_statistic_of_differences(const double *a, const double *b, size_t count, double level);

/* Standard deviation of the values; 0 for fewer than two. */
PC_API double pc_statistic_spread(const pc_statistic *statistic);

enum { PC_REPLICATIONS_TOLD = 100000 };
/* A difference that is less than this share of the time is a tie. Chosen here, no source. */
#define PC_TIE_SHARE 0.05

/* Replications after which the interval is no wider than ± half_width (> 0), if the values go on varying as
 * they do: the least i from `count` on with t(i − 1)·s/√i ≤ half_width (Law, Simulation Modeling and
 * Analysis, confidence interval with a specified precision, absolute error; from memory). At most
 * PC_REPLICATIONS_TOLD; 0 for fewer than two values. */
PC_API size_t pc_replications_for(const pc_statistic *statistic, double half_width);
/* A difference of two times, paired, whose interval includes 0: replications that would tell, or 0 if it is a
 * tie, that is, if neither can be longer by more than PC_TIE_SHARE of time_s. "Would tell" is: the interval
 * no longer includes 0 or is as narrow as that, if the mean stays where it is. */
PC_API size_t pc_replications_to_tell(const pc_statistic *difference, double time_s);

typedef struct pc_summary {
  pc_statistic total_time_s;
  double *times_s; /* total time of every replication, in order */
  size_t replications;
  size_t unfinished; /* replications that did not finish */
  /* Per area: replications in which it missed its deadline, and in which it was clear at the end. */
  size_t *area_late, *area_clear;
  pc_result mean; /* every number averaged over replications; reason of the first that did not finish; when an
                     area is clear, or ready: over those in which it was; by how much it is late: over those
                     in which it was late (0: in none) */
  double cycles;  /* mean */
  pc_bound bound;
  double efficiency; /* bound / mean time; NaN if a replication did not finish */
  double fuel_l;     /* NaN if the scenario does not give what is needed */
  double cost; /* of what has a price (pc_money_missing: what has none), without fuel if fuel_l is not known;
                  NaN: nothing has */
} pc_summary;

/* threads 0: one per processor. trace (may be NULL) gets replication 0 only. */
PC_API PC_MUST_USE pc_status pc_replicate(const pc_lot *lot, size_t replications, uint64_t seed, int threads,
                                          const pc_trace *trace, pc_summary *summary);
/* The same, watched: each replication is a step. If it is stopped, the summary is of replications 0 … n − 1
 * with n = summary->replications, at least 1. */
PC_API PC_MUST_USE pc_status pc_replicate_watched(const pc_lot *lot, size_t replications, uint64_t seed,
                                                  int threads, const pc_trace *trace, const pc_watch *watch,
                                                  pc_summary *summary);
PC_API void pc_summary_free(pc_summary *summary);

/* The same in steps, for replications that are run in several places. */
/* Rooms for the results of `count` replications. */
PC_API PC_MUST_USE pc_status pc_results_create(const pc_lot *lot, size_t count, pc_result **results);
PC_API void pc_results_free(pc_result *results, size_t count);
/* Replications first … first + count − 1 into results[0 … count − 1]; trace gets replication 0 only. Watched
 * (watch may be NULL), each is a step; if it is stopped, *done of them are there, from the first on and at
 * least one, and the other rooms say nothing. */
PC_API PC_MUST_USE pc_status pc_replicate_range(const pc_lot *lot, size_t first, size_t count, uint64_t seed,
                                                int threads, const pc_trace *trace, const pc_watch *watch,
                                                pc_result *results, size_t *done);
/* The summary of replications 0 … count − 1, the same to the last bit as pc_replicate gives. PC_ERR_RANGE for
 * none, and for results that do not have a room for each machine, zone, area and passage of the lot
 * (pc_results_create, pc_result_init_for). */
PC_API PC_MUST_USE pc_status pc_summary_make(const pc_lot *lot, const pc_result *results, size_t count,
                                             pc_summary *summary);

PC_END_C

#endif
