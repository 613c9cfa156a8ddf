// SPDX-License-Identifier: GPL-3.0-or-later
/* A season as text. */
#include <stdio.h>

#include "io/csv.h"
#include "io/tables_private.h"

enum { ENTRIES_SHOWN = 12 };

/* How it stands beside the quickest, in how many storms it is late, and what it leaves. */
static void add_remark(pc_table *table, const pc_compare_row *row, const pc_season *season,
                       const pc_season_entry *entry, const pc_varying *varies, pc_unit_system system) {
  const char *standing = "", *between = "";
  double left_m2 = pc_tables_left_more_m2(row, varies);
  char late[80] = "", left[160] = "";
  if (entry->finished && entry->rank == 1)
    standing = "quickest";
  else if (entry->finished && entry->tied_with_best)
    standing = pc_replications_to_tell(&entry->difference_to_best_s, season->entries[0].time_s.mean) > 0
                   ? "not clear yet"
                   : "tied with it";
  between = *standing ? ", " : "";
  if (entry->late_storms > 0)
    snprintf(late, sizeof late, "%slate in %.20s of %.20s storms", between,
             pc_show_number(entry->late_storms, PC_DIM_NUMBER, "", 1).text,
             pc_show_plain(season->storms).text);
  between = *standing || *late ? ", " : "";
  if (left_m2 > 0)
    snprintf(left, sizeof left, "%sleaves %s more", between, pc_show(left_m2, PC_DIM_AREA, system, 2).text);
  pc_table_cell(table, "%s%s%s", standing, late, left);
}

static void add_entry(pc_table *table, const pc_comparison *comparison, const pc_season *season,
                      const pc_season_entry *entry, const pc_varying *varies, pc_unit_system system) {
  const pc_compare_row *row = &comparison->rows[entry->row];
  const pc_time_unit unit = {"h", 1};
  double cost = entry->working_cost + entry->owning_cost;
  bool prices = season->cheapest < season->entry_count;
  pc_table_cell(table, "%d", entry->rank);
  pc_tables_label_cells(table, row, varies);
  if (varies->machines)
    pc_table_cell(table, "%d", row->crew);
  pc_table_cell(table, "%s", pc_show_number(entry->time_s.mean, PC_DIM_TIME, "h", 1).text);
  if (entry->finished)
    pc_table_cell(table, "%s", pc_show_time_in(&entry->difference_to_best_s, unit).text);
  else if (entry->unfinished_storms >= season->storms)
    pc_table_cell(table, "not finished");
  else
    pc_table_cell(table, "not finished in %s of %s storms",
                  pc_show_number(entry->unfinished_storms, PC_DIM_NUMBER, "", 1).text,
                  pc_show_plain(season->storms).text);
  if (prices) {
    pc_table_cell(table, "%s", pc_show_number(entry->working_cost, PC_DIM_NUMBER, "", 0).text);
    pc_table_cell(table, "%s", pc_show_number(entry->owning_cost, PC_DIM_NUMBER, "", 0).text);
    pc_table_cell(table, "%s", pc_show_number(cost, PC_DIM_NUMBER, "", 0).text);
  }
  add_remark(table, row, season, entry, varies, system);
}

void pc_tables_season_fill(const pc_scenario *scenario, const pc_comparison *comparison,
                           const pc_season *season, const pc_varying *varies, pc_unit_system system,
                           char alignment[PC_COMPARE_COLUMNS], pc_table *table) {
  char words[640], costs[240] = "";
  const char *currency = scenario->money.currency.text;
  bool prices = season->cheapest < season->entry_count;
  if (prices)
    snprintf(costs, sizeof costs, "working %.63s|owning %.63s|cost %.63s|", currency, currency, currency);
  snprintf(alignment, PC_COMPARE_COLUMNS, "r%s%s%s%s%srr%sl", varies->layouts ? "l" : "",
           varies->boxes ? "l" : "", varies->loaders ? "l" : "", varies->policies ? "l" : "",
           varies->machines ? "r" : "", prices ? "rrr" : "");
  snprintf(words, sizeof words, "rank|%s%s%s%s%s%sh a season|to best|%s", varies->layouts ? "layout|" : "",
           varies->boxes ? "box|" : "", varies->loaders ? "loader|" : "", varies->policies ? "policy|" : "",
           varies->machines ? pc_machines_heading(varies).text + 1 : "", varies->machines ? "|" : "", costs);
  pc_table_start(table, alignment);
  pc_table_heading(table, words);
  for (size_t i = 0; i < season->entry_count && i < ENTRIES_SHOWN; i++)
    add_entry(table, comparison, season, &season->entries[i], varies, system);
}

static void add_cheapest(const pc_scenario *scenario, const pc_comparison *comparison,
                         const pc_season *season, const pc_varying *varies, pc_text *out) {
  const pc_season_entry *entry = &season->entries[season->cheapest];
  size_t late = 0;
  for (size_t i = 0; i < season->entry_count; i++)
    late += season->entries[i].late_storms > 0;
  pc_text_add(out,
              late > 0 && entry->late_storms <= 0 ? "  Least cost of those in time: " : "  Least cost: ");
  pc_tables_label(&comparison->rows[entry->row], varies, out);
  pc_text_addf(out, ", %s %s a season", scenario->money.currency.text,
               pc_show_number(entry->working_cost + entry->owning_cost, PC_DIM_NUMBER, "", 0).text);
  if (entry->late_storms > 0)
    pc_text_addf(out, ", but it misses a deadline in about %s of %s storms, and %s is in time in all of them",
                 pc_show_number(entry->late_storms, PC_DIM_NUMBER, "", 1).text,
                 pc_show_plain(season->storms).text,
                 season->entry_count == 1 ? "nothing else" : "none of these");
  if (season->cheapest > 0)
    pc_text_addf(out, "; the quickest costs %s more",
                 pc_show_number(season->entries[0].working_cost + season->entries[0].owning_cost -
                                    entry->working_cost - entry->owning_cost,
                                PC_DIM_NUMBER, "", 0)
                     .text);
  pc_text_add(out, ".\n");
  bool owned = false;
  for (size_t i = 0; i < season->entry_count; i++)
    owned |= season->entries[i].owning_cost > 0.0;
  if (!owned)
    pc_text_add(out, "  Boxes have no `price`: what owning them costs is not in it.\n");
}

void pc_tables_season_head(const pc_scenario *scenario, const pc_season *season, pc_unit_system system,
                           pc_text *out) {
  pc_text_addf(out, "A season of %s storms (", pc_show_plain(season->storms).text);
  for (size_t i = 0; i < scenario->season_count; i++)
    pc_text_addf(out, "%s%s of %s", i ? ", " : "", pc_show_plain(scenario->season[i].storms).text,
                 pc_show_depth(scenario->season[i].depth_m, system).text);
  double falls_m = pc_storm_depth_m(scenario->storm, scenario->storm_count);
  if (falls_m > 0)
    pc_text_addf(out, "; each with %s falling on top", pc_show_depth(falls_m, system).text);
  pc_text_add(out, ")\n");
}

void pc_tables_season_words(const pc_scenario *scenario, const pc_comparison *comparison,
                            const pc_season *season, const pc_varying *varies, pc_text *out) {
  if (season->entry_count > ENTRIES_SHOWN)
    pc_text_addf(out, "  and %zu more, slower ones; --json has all\n",
                 season->entry_count - (size_t)ENTRIES_SHOWN);
  if (season->cheapest < season->entry_count)
    add_cheapest(scenario, comparison, season, varies, out);
}

void pc_tables_season(const pc_scenario *scenario, const pc_comparison *comparison, const pc_varying *varies,
                      pc_unit_system system, pc_text *out) {
  pc_season season;
  if (pc_season_make(scenario, comparison, &season) != PC_OK) {
    out->failed = true;
    return;
  }
  if (season.entry_count > 0) {
    char alignment[PC_COMPARE_COLUMNS];
    pc_table table;
    pc_text_add(out, "\n");
    pc_tables_season_head(scenario, &season, system, out);
    pc_tables_season_fill(scenario, comparison, &season, varies, system, alignment, &table);
    pc_table_write(&table, out);
    pc_table_free(&table);
    pc_tables_season_words(scenario, comparison, &season, varies, out);
  } else if (scenario->season_count > 0) {
    pc_text_add(out, "\nNothing is said of the season: not all depths of its storms are compared.\n");
  }
  pc_season_free(&season);
}
