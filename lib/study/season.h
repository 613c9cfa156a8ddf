// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A season: what a comparison over the depths of a usual season's storms comes to in time and money. SI
 * units.
 *
 * A choice (layout, box, loader, policy, number of machines) is one entry if all depths of the season were
 * compared with it. Its time is Σ storms × time of such a storm; replication by replication, so that
 * differences between entries are paired as they are within one depth. The interval is that of the mean: how
 * well the simulation knows it, not how seasons differ.
 *
 * Cost: Σ storms × cost of such a storm, and what owning the boxes costs: price × A/P, the capital recovery
 * factor i(1 + i)ⁿ/((1 + i)ⁿ − 1) of engineering economy (1/n without interest), for every machine's box
 * that has a price.
 *
 * Ownership: pc_season_make fills the caller's pc_season, pc_season_free releases it; it borrows nothing.
 * Failures: PC_ERR_MEMORY. Thread-safe (arguments only).
 */
#ifndef PC_STUDY_SEASON_H
#define PC_STUDY_SEASON_H

#include "study/compare.h"

PC_BEGIN_C

typedef struct pc_season_entry {
  int rank;   /* by the nights that do not finish, the fewest first, then by time */
  size_t row; /* of the comparison: its first */
  bool finished;
  pc_statistic time_s;
  pc_statistic difference_to_best_s; /* paired; adjusted by Bonferroni over the entries */
  bool tied_with_best;
  double working_cost, owning_cost; /* NaN without prices; 0 if no box has a price */
  double fuel_l;                    /* NaN without figures */
  double late_storms; /* storms in which some area misses its deadline, on average: at least so many, by the
                         area that is late most often */
  double unfinished_storms; /* storms in which the work is not finished, on average */
} pc_season_entry;

typedef struct pc_season {
  pc_season_entry *entries; /* by rank */
  size_t entry_count;
  double storms;
  size_t cheapest; /* entry with the least cost, of those that miss no deadline if there are any; entry_count:
                      no prices, or none finishes */
} pc_season;

/* Capital recovery factor A/P for interest i a period over n > 0 periods. */
PC_API double pc_capital_recovery(double interest, double periods);
/* Where nothing is said of depths, those of the season are to be compared. */
PC_API PC_MUST_USE pc_status pc_season_want(const pc_scenario *scenario, pc_wanted *wanted);
/* Empty if the scenario has no season, or its depths were not all compared. */
PC_API PC_MUST_USE pc_status pc_season_make(const pc_scenario *scenario, const pc_comparison *comparison,
                                            pc_season *season);
PC_API void pc_season_free(pc_season *season);

PC_END_C

#endif
