// SPDX-License-Identifier: GPL-3.0-or-later
/* Two parts of the report: how many machines, and the storm. */
#include <math.h>

#include "io/report_private.h"

/* Rows of one depth stand together; true for the first of them. */
static bool begins_depth(const pc_comparison *comparison, size_t row) {
  return row == 0 || comparison->rows[row].depth_m != comparison->rows[row - 1].depth_m;
}

/* ---- how many machines ---- */

pc_status pc_report_crews(const pc_report_content *content, const pc_varying *varies, pc_unit_system units,
                          pc_text *out) {
  const pc_comparison *comparison = content->comparison;
  pc_crews crews;
  if (!varies->machines)
    return PC_OK;
  pc_status status = pc_crews_make(comparison, &crews);
  if (status != PC_OK)
    return status;
  pc_report_start(out, "crews");
  pc_text meaning = {0};
  for (size_t i = 0; i < comparison->row_count; i++) {
    if (!begins_depth(comparison, i))
      continue;
    char alignment[PC_COMPARE_COLUMNS];
    pc_table table;
    pc_text title = {0}, words = {0};
    double depth_m = comparison->rows[i].depth_m;
    pc_tables_crews_head(depth_m, varies, units, &title);
    pc_tables_crews_fill(content->scenario, comparison, &crews, depth_m, varies, units, alignment, &table,
                         &words);
    if (varies->depths)
      pc_report_line(&title, "h3", out);
    pc_report_table(out, &table, alignment, "How many machines",
                    "Crews of growing number: what each further machine saves and costs.");
    pc_report_lines(words.data, out);
    out->failed |= words.failed;
    pc_table_free(&table);
    pc_text_free(&title);
    pc_text_free(&words);
  }
  pc_tables_crews_words(comparison, &meaning);
  pc_report_lines(meaning.data, out);
  out->failed |= meaning.failed;
  pc_text_free(&meaning);
  pc_report_end(out);
  pc_crews_free(&crews);
  return PC_OK;
}

/* ---- the storm ---- */

enum { PIECES_SHOWN = 24 };

/* The last piece lasts to the end, and nothing falls in it. */
static double end_of_piece(const pc_scenario *scenario, size_t piece) {
  return piece + 1 < scenario->storm_count ? scenario->storm[piece + 1].after_s : INFINITY;
}

static void add_sum(const pc_scenario *scenario, pc_unit_system units, pc_text *out) {
  double end_s = 0, heaviest_mps = 0;
  for (size_t i = 0; i < scenario->storm_count; i++) {
    const pc_storm_piece *piece = &scenario->storm[i];
    if (!(piece->rate_mps > 0) || !isfinite(end_of_piece(scenario, i)))
      continue;
    end_s = end_of_piece(scenario, i);
    heaviest_mps = fmax(heaviest_mps, piece->rate_mps);
  }
  pc_text_addf(out, "%s of fresh snow fall until %s%s",
               pc_show_depth(pc_storm_depth_m(scenario->storm, scenario->storm_count), units).text,
               pc_show_moment(&scenario->clock, end_s, units, 3).text,
               scenario->clock.given ? "" : " after the start of the work");
  bool bare = !(scenario->snow.depth_m > 0);
  pc_text_addf(out, ", at most %s; %s %s at the start.\n",
               pc_show(heaviest_mps, PC_DIM_FALL_RATE, units, 3).text,
               bare ? "no snow" : pc_show_depth(scenario->snow.depth_m, units).text, bare ? "lies" : "lie");
}

static void add_pieces(const pc_scenario *scenario, pc_unit_system units, pc_text *out) {
  pc_table table;
  size_t count = scenario->storm_count;
  pc_table_start(&table, "rrrr");
  pc_table_heading(&table, "from|to|rate|fresh snow");
  for (size_t i = 0; i < count && i < PIECES_SHOWN; i++) {
    const pc_storm_piece *piece = &scenario->storm[i];
    double end_s = end_of_piece(scenario, i);
    pc_table_cell(&table, "%s", pc_show_moment(&scenario->clock, piece->after_s, units, 3).text);
    pc_table_cell(&table, "%s",
                  isfinite(end_s) ? pc_show_moment(&scenario->clock, end_s, units, 3).text : "the end");
    pc_table_cell(&table, "%s", pc_show(piece->rate_mps, PC_DIM_FALL_RATE, units, 3).text);
    if (isfinite(end_s))
      pc_table_cell(&table, "%s",
                    pc_show(piece->rate_mps * (end_s - piece->after_s), PC_DIM_LENGTH, units, 3).text);
    else
      pc_table_cell(&table, "-");
  }
  pc_report_table(out, &table, "rrrr", "The storm",
                  scenario->clock.given ? "What falls, piece by piece."
                                        : "What falls, piece by piece; times from the start of the work.");
  if (count > PIECES_SHOWN)
    pc_text_addf(out, "<p>The other %zu pieces are in the scenario.</p>\n", count - PIECES_SHOWN);
  pc_table_free(&table);
}

/* How many rows of a depth keep up. */
static void count_keeping(const pc_comparison *comparison, size_t first, pc_text *out) {
  size_t keep = 0, count = 0;
  for (size_t i = first; i < comparison->row_count && (i == first || !begins_depth(comparison, i)); i++) {
    keep += comparison->rows[i].keep_up.keeping == PC_KEEPING_UP;
    count++;
  }
  if (count > 1)
    pc_text_addf(out, "Of %zu combinations %zu keep%s up with the storm.\n", count, keep,
                 keep == 1 ? "s" : "");
}

static void add_deadlines(const pc_scenario *scenario, const pc_compare_row *row, pc_time_unit unit,
                          pc_text *out) {
  const pc_summary *summary = &row->summary;
  if (!summary->area_late || summary->mean.area_count != scenario->site.area_count)
    return;
  for (size_t a = 0; a < scenario->site.area_count; a++) {
    const pc_area *area = &scenario->site.areas[a];
    size_t late = summary->area_late[a], nights = summary->replications;
    if (isnan(area->clear_by_s))
      continue;
    pc_text_addf(out, "Area \"%s\", to be clear at %s: ", area->name.text,
                 pc_show_when(&scenario->clock, area->clear_by_s, unit).text);
    const pc_area_result *mean = &summary->mean.areas[a];
    if (late == 0)
      pc_text_addf(out, "the deadline is met (clear at %s%s)",
                   pc_show_when(&scenario->clock, mean->ready_s, unit).text, nights > 1 ? " on average" : "");
    else if (late == nights)
      pc_text_add(out, "the deadline is missed");
    else
      pc_text_addf(out, "the deadline is missed in %zu of %zu nights", late, nights);
    if (late > 0 && !isnan(mean->late_s))
      pc_text_addf(out, " by %s%s", pc_show_late(&scenario->clock, mean->late_s, unit).text,
                   late > 1 ? " on average" : "");
    pc_text_add(out, ".\n");
  }
}

void pc_report_storm(const pc_report_content *content, const pc_varying *varies, pc_unit_system units,
                     pc_text *out) {
  const pc_comparison *comparison = content->comparison;
  const pc_scenario *scenario = content->scenario;
  pc_text sum = {0};
  if (scenario->storm_count == 0)
    return;
  pc_report_start(out, "storm");
  add_sum(scenario, units, &sum);
  pc_report_line(&sum, "p", out);
  pc_text_free(&sum);
  for (size_t i = 0; i < comparison->row_count; i++) {
    pc_text title = {0}, words = {0};
    const pc_compare_row *row = &comparison->rows[i];
    if (!begins_depth(comparison, i))
      continue;
    if (varies->depths)
      pc_text_addf(&title, "With %s of snow at the start, ", pc_show_depth(row->depth_m, units).text);
    pc_text_add(&title, varies->depths ? "the best, " : "The best, ");
    pc_tables_label(row, varies, &title);
    pc_report_line(&title, "h3", out);
    size_t a = pc_first_late(&row->summary);
    const pc_lateness late = {.summary = &row->summary,
                              .first = a < scenario->site.area_count ? scenario->site.areas[a].name.text : "",
                              .clock = &scenario->clock,
                              .unit = varies->time};
    pc_tables_kept_up(&row->keep_up, &late, units, &words);
    add_deadlines(scenario, row, varies->time, &words);
    count_keeping(comparison, i, &words);
    pc_report_lines(words.data, out);
    out->failed |= words.failed;
    pc_text_free(&title);
    pc_text_free(&words);
  }
  add_pieces(scenario, units, out);
  pc_report_end(out);
}
