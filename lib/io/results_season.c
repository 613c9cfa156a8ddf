// SPDX-License-Identifier: GPL-3.0-or-later
/* A season and a selection as JSON. */
#include "io/results_study_private.h"
#include "study/season.h"

static json_t *make_entry(const pc_scenario *scenario, const pc_comparison *comparison,
                          const pc_season_entry *entry, bool *bad) {
  const pc_compare_row *row = &comparison->rows[entry->row];
  json_t *map = json_object(), *cost = json_object();
  put_count(map, "rank", (uint64_t)entry->rank, bad);
  pc_results_put_choice(map, row, bad);
  if (row->crew > 0)
    put_count(map, "crew", (uint64_t)row->crew, bad);
  put(map, "finished", json_boolean(entry->finished), bad);
  put(map, "time_s", pc_json_statistic(&entry->time_s, bad), bad);
  put(map, "difference_to_best_s", pc_json_statistic(&entry->difference_to_best_s, bad), bad);
  put(map, "tied_with_best", json_boolean(entry->tied_with_best), bad);
  put_number(map, "fuel_l", entry->fuel_l, bad);
  put_number(map, "unfinished_storms", entry->unfinished_storms, bad);
  put_number(map, "late_storms", entry->late_storms, bad);
  put_text(cost, "currency", scenario->money.currency.text, bad);
  put_number(cost, "working", entry->working_cost, bad);
  put_number(cost, "owning", entry->owning_cost, bad);
  put_number(cost, "total", entry->working_cost + entry->owning_cost, bad);
  put(map, "cost", cost, bad);
  return map;
}

void pc_results_put_season(json_t *root, const pc_scenario *scenario, const pc_comparison *comparison,
                           bool *bad) {
  pc_season season;
  if (scenario->season_count == 0)
    return;
  if (pc_season_make(scenario, comparison, &season) != PC_OK) {
    *bad = true;
    return;
  }
  json_t *map = json_object(), *entries = json_array();
  put_number(map, "storms", season.storms, bad);
  for (size_t i = 0; i < season.entry_count; i++)
    pc_json_append(entries, make_entry(scenario, comparison, &season.entries[i], bad), bad);
  put(map, "choices", entries, bad);
  put(root, "season", map, bad);
  pc_season_free(&season);
}

void pc_results_put_selection(json_t *root, const pc_comparison *comparison, bool *bad) {
  if (!(comparison->within_s > 0.0))
    return;
  json_t *map = json_object();
  put_text(map, "procedure", "Kim and Nelson 2001", bad);
  put_number(map, "within_s", comparison->within_s, bad);
  put_number(map, "level", 0.95, bad);
  put_count(map, "first_stage", comparison->first_stage, bad);
  put(map, "settled", json_boolean(comparison->settled), bad);
  put(map, "settled_of_finished", json_boolean(comparison->settled_of_finished), bad);
  put_count(map, "sometimes_unfinished", comparison->sometimes_unfinished, bad);
  put(root, "selection", map, bad);
}
