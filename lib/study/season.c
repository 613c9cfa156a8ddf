// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/season.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/replicate_private.h"

static const double level = 0.95;

double pc_capital_recovery(double interest, double periods) {
  if (!(interest > 0.0))
    return 1.0 / periods;
  return interest / -expm1(-periods * log1p(interest));
}

pc_status pc_season_want(const pc_scenario *scenario, pc_wanted *wanted) {
  if (wanted->depths.count > 0 || scenario->season_count == 0)
    return PC_OK;
  double *depths_m = pc_alloc(scenario->season_count, sizeof *depths_m);
  if (!depths_m)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < scenario->season_count; i++)
    depths_m[i] = scenario->season[i].depth_m;
  free(wanted->depths.items_m);
  wanted->depths = (pc_depths){depths_m, scenario->season_count};
  return PC_OK;
}

static bool same_choice(const pc_compare_row *a, const pc_compare_row *b) {
  return a->crew == b->crew && strcmp(a->layout.text, b->layout.text) == 0 &&
         strcmp(a->box.text, b->box.text) == 0 && strcmp(a->loader.text, b->loader.text) == 0 &&
         strcmp(a->policy.text, b->policy.text) == 0;
}

static const pc_compare_row *find_row(const pc_comparison *comparison, const pc_compare_row *like,
                                      double depth_m) {
  for (size_t i = 0; i < comparison->row_count; i++)
    if (comparison->rows[i].depth_m == depth_m && same_choice(&comparison->rows[i], like))
      return &comparison->rows[i];
  return NULL;
}

static double owning_cost(const pc_scenario *scenario, const pc_compare_row *row) {
  double sum = 0.0;
  for (size_t m = 0; m < row->machine_count; m++) {
    const pc_box *box = &row->machines[m].unit.box;
    if (!isnan(box->price))
      sum += box->price * pc_capital_recovery(scenario->money.interest, box->seasons);
  }
  return sum;
}

/* Of the nights, those in which the area that is late most often is late. */
static double late_share(const pc_summary *summary) {
  size_t most = 0;
  for (size_t a = 0; summary->area_late && a < summary->mean.area_count; a++)
    most = summary->area_late[a] > most ? summary->area_late[a] : most;
  return (double)most / (double)summary->replications;
}

/* One choice over all storms. times_s gets a value for each replication that all rows have; false if some
 * depth was not compared. */
static bool add_up(const pc_scenario *scenario, const pc_comparison *comparison, size_t row, double *times_s,
                   size_t replications, pc_season_entry *entry) {
  const pc_compare_row *like = &comparison->rows[row];
  *entry = (pc_season_entry){.row = row, .finished = true};
  memset(times_s, 0, replications * sizeof *times_s);
  for (size_t j = 0; j < scenario->season_count; j++) {
    double storms = scenario->season[j].storms;
    const pc_compare_row *found = find_row(comparison, like, scenario->season[j].depth_m);
    if (!found)
      return false;
    entry->finished &= found->summary.unfinished == 0;
    entry->unfinished_storms +=
        storms * (double)found->summary.unfinished / (double)found->summary.replications;
    entry->working_cost += storms * found->summary.cost;
    entry->fuel_l += storms * found->summary.fuel_l;
    entry->late_storms += storms * late_share(&found->summary);
    for (size_t r = 0; r < replications; r++)
      times_s[r] += storms * found->summary.times_s[r];
  }
  entry->owning_cost = isnan(entry->working_cost) ? NAN : owning_cost(scenario, like);
  entry->time_s = pc_statistic_of(times_s, replications, level);
  return true;
}

static bool is_first(const pc_comparison *comparison, size_t row) {
  for (size_t i = 0; i < row; i++)
    if (same_choice(&comparison->rows[i], &comparison->rows[row]))
      return false;
  return true;
}

static bool comes_before(const pc_season_entry *a, const pc_season_entry *b) {
  if (a->unfinished_storms != b->unfinished_storms)
    return a->unfinished_storms < b->unfinished_storms;
  return a->time_s.mean < b->time_s.mean;
}

/* Quickest first, each with its times. */
static void sort_entries(pc_season *season, double **times_s) {
  for (size_t i = 1; i < season->entry_count; i++)
    for (size_t j = i; j > 0 && comes_before(&season->entries[j], &season->entries[j - 1]); j--) {
      pc_season_entry entry = season->entries[j];
      double *times = times_s[j];
      season->entries[j] = season->entries[j - 1];
      season->entries[j - 1] = entry;
      times_s[j] = times_s[j - 1];
      times_s[j - 1] = times;
    }
}

/* Being in time comes first; of two that cost as much, the quicker one (it comes later here). */
static bool costs_less(const pc_season_entry *a, const pc_season_entry *b) {
  bool late_a = a->late_storms > 0.0, late_b = b->late_storms > 0.0;
  double cost_a = a->working_cost + a->owning_cost, cost_b = b->working_cost + b->owning_cost;
  return late_a != late_b ? late_b : cost_a <= cost_b;
}

static void rank_entries(pc_season *season, double *const *times_s, size_t replications) {
  size_t count = season->entry_count;
  double adjusted = pc_level_of_each(level, count);
  season->cheapest = count;
  for (size_t i = count; i-- > 0;) {
    pc_season_entry *entry = &season->entries[i];
    entry->rank = (int)i + 1;
    entry->difference_to_best_s = pc_statistic_of_differences(times_s[i], times_s[0], replications, adjusted);
    entry->tied_with_best = entry->finished == season->entries[0].finished &&
                            entry->difference_to_best_s.mean - entry->difference_to_best_s.half_width <= 0.0;
    if (entry->finished && !isnan(entry->working_cost) &&
        (season->cheapest == count || costs_less(entry, &season->entries[season->cheapest])))
      season->cheapest = i;
  }
}

static size_t least_replications(const pc_comparison *comparison) {
  size_t least = comparison->rows[0].summary.replications;
  for (size_t i = 1; i < comparison->row_count; i++)
    least =
        comparison->rows[i].summary.replications < least ? comparison->rows[i].summary.replications : least;
  return least;
}

pc_status pc_season_make(const pc_scenario *scenario, const pc_comparison *comparison, pc_season *season) {
  *season = (pc_season){0};
  size_t rows = comparison->row_count;
  if (scenario->season_count == 0 || rows == 0)
    return PC_OK;
  size_t replications = least_replications(comparison);
  double **times_s = pc_alloc(rows, sizeof *times_s);
  double *values = pc_alloc_grid(rows, replications, sizeof *values);
  season->entries = pc_alloc(rows, sizeof *season->entries);
  pc_status status = times_s && values && season->entries ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < rows && status == PC_OK; i++) {
    double *times = &values[season->entry_count * replications];
    if (!is_first(comparison, i) ||
        !add_up(scenario, comparison, i, times, replications, &season->entries[season->entry_count]))
      continue;
    times_s[season->entry_count++] = times;
  }
  for (size_t j = 0; j < scenario->season_count; j++)
    season->storms += scenario->season[j].storms;
  if (status == PC_OK && season->entry_count > 0) {
    sort_entries(season, times_s);
    rank_entries(season, times_s, replications);
  }
  free(times_s);
  free(values);
  if (status != PC_OK)
    pc_season_free(season);
  return status;
}

void pc_season_free(pc_season *season) {
  if (!season)
    return;
  free(season->entries);
  *season = (pc_season){0};
}
