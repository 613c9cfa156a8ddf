// SPDX-License-Identifier: GPL-3.0-or-later
/* How many machines, as text: a table for each depth, and where another machine no longer pays. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"

enum { GROUPS_SHOWN = 8 };

static pc_shown show_signed(double value, int decimals) {
  pc_shown shown;
  snprintf(shown.text, sizeof shown.text, "%s%.60s", value > 0 ? "+" : "",
           pc_show_number(value, PC_DIM_NUMBER, "", decimals).text);
  return shown;
}

/* Snow falls, so that each crew either keeps up with it or does not. */
static bool has_storm(const pc_comparison *comparison) {
  return comparison->rows[0].keep_up.keeping != PC_KEEPING_NONE;
}

static bool any_late(const pc_comparison *comparison) {
  for (size_t i = 0; i < comparison->row_count; i++)
    if (pc_areas_late(&comparison->rows[i].summary) > 0)
      return true;
  return false;
}

static bool has_prices(const pc_comparison *comparison) {
  return !isnan(comparison->rows[0].summary.cost);
}

/* Layout, box, loader, policy, as far as they vary. */
void pc_tables_label_cells(pc_table *table, const pc_compare_row *row, const pc_varying *varies) {
  if (varies->layouts)
    pc_table_cell(table, "%s", row->layout.text);
  if (varies->boxes)
    pc_table_cell(table, "%s", pc_row_box(row).text);
  if (varies->loaders)
    pc_table_cell(table, "%s", pc_row_loader(row).text);
  if (varies->policies)
    pc_table_cell(table, "%s", row->policy.text);
}

static void add_step(pc_table *table, const pc_comparison *comparison, const pc_crew_step *step,
                     const pc_varying *varies, pc_unit_system system) {
  const pc_compare_row *row = &comparison->rows[step->row];
  const pc_crew_use *use = &row->use;
  pc_tables_label_cells(table, row, varies);
  pc_table_cell(table, "%d", step->machines);
  if (step->finished)
    pc_table_cell(table, "%s",
                  pc_show_number(step->time_s, PC_DIM_TIME, varies->time.name, varies->time.decimals).text);
  else if (row->summary.unfinished < row->summary.replications)
    pc_table_cell(table, "unfinished in %zu of %zu nights", row->summary.unfinished,
                  row->summary.replications);
  else
    pc_table_cell(table, "unfinished");
  pc_table_cell(table, "%s", pc_show_number(step->speed_up, PC_DIM_NUMBER, "", 2).text);
  if (has_prices(comparison)) {
    pc_table_cell(table, "%s", pc_show_number(step->cost, PC_DIM_NUMBER, "", 2).text);
    pc_table_cell(table, "%s",
                  isnan(step->cost_difference) ? "-" : show_signed(step->cost_difference, 2).text);
  }
  pc_table_cell(table, "%s", pc_show_percent(use->working, 0).text);
  pc_table_cell(table, "%s", pc_show_percent(use->waiting, 0).text);
  if (use->waits_at.text[0])
    pc_table_cell(table, "%s%s (%s)", use->waits_in_passage ? "passage " : "zone ", use->waits_at.text,
                  pc_show(use->waits_s, PC_DIM_TIME, PC_METRIC, 3).text);
  else
    pc_table_cell(table, "-");
  pc_table_cell(table, "%s", pc_show_number(use->match_factor, PC_DIM_NUMBER, "", 2).text);
  if (has_storm(comparison)) {
    pc_table_cell(table, "%s", pc_keeping_name(row->keep_up.keeping));
    pc_table_cell(table, "%s", pc_show_depth(row->keep_up.deepest_m, system).text);
  }
  size_t late = pc_areas_late(&row->summary);
  if (any_late(comparison) && late == 0)
    pc_table_cell(table, "kept");
  else if (any_late(comparison))
    pc_table_cell(table, "%zu area%s late%s", late, late == 1 ? "" : "s", pc_late_nights(&row->summary).text);
}

static void start_table(pc_table *table, const pc_comparison *comparison, const pc_money *money,
                        const pc_varying *varies, char *alignment, size_t size) {
  char words[480], cost[120] = "";
  if (has_prices(comparison))
    snprintf(cost, sizeof cost, "|cost %.63s|to the one before", money->currency.text);
  bool late = any_late(comparison);
  snprintf(alignment, size, "%s%s%s%srrr%srrlr%s%s", varies->layouts ? "l" : "", varies->boxes ? "l" : "",
           varies->loaders ? "l" : "", varies->policies ? "l" : "", *cost ? "rr" : "",
           has_storm(comparison) ? "lr" : "", late ? "l" : "");
  snprintf(words, sizeof words,
           "%s%s%s%s%s|time %s|speed-up%s|working|waiting|waits most at|match factor%s%s",
           varies->layouts ? "layout|" : "", varies->boxes ? "box|" : "", varies->loaders ? "loader|" : "",
           varies->policies ? "policy|" : "", pc_machines_heading(varies).text + 1, varies->time.name, cost,
           has_storm(comparison) ? "|storm|deepest (mean)" : "", late ? "|deadlines" : "");
  pc_table_start(table, alignment);
  pc_table_heading(table, words);
}

pc_shown pc_show_machines(int machines, const pc_varying *varies) {
  pc_shown shown;
  char stay[60] = "";
  if (varies->stay > 0)
    snprintf(stay, sizeof stay, " beside the %zu that stay%s", varies->stay, varies->stay == 1 ? "s" : "");
  snprintf(shown.text, sizeof shown.text, "%d machine%s%s", machines, machines == 1 ? "" : "s", stay);
  return shown;
}

pc_shown pc_machines_heading(const pc_varying *varies) {
  pc_shown shown = {"|machines"};
  if (varies->stay > 0)
    snprintf(shown.text, sizeof shown.text, "|machines (+ %zu)", varies->stay);
  return shown;
}

static void add_group_label(const pc_compare_row *row, bool mixed, const pc_varying *varies, pc_text *out) {
  pc_text_add(out, "  ");
  if (!varies->layouts && !varies->boxes && !varies->loaders && !varies->policies)
    return;
  const char *own = row->box.text[0] ? row->box.text : "the crew's own boxes";
  pc_text_addf(out, "Layout \"%s\" with %s", row->layout.text,
               mixed ? "the best boxes for each number" : own);
  if (varies->loaders)
    pc_text_addf(out, " on %s", pc_row_loader(row).text);
  if (varies->policies)
    pc_text_addf(out, ", %s", row->policy.text);
  pc_text_add(out, ": ");
}

/* The smallest crew that the storm does not leave behind. */
static void add_storm_verdict(const pc_comparison *comparison, const pc_crews *crews,
                              const pc_crew_group *group, const pc_varying *varies, pc_text *out) {
  if (!has_storm(comparison))
    return;
  for (size_t i = 0; i < group->count; i++) {
    const pc_crew_step *step = &crews->steps[group->first + i];
    if (comparison->rows[step->row].keep_up.keeping != PC_KEEPING_UP)
      continue;
    pc_text_addf(out, "%s %s up with the storm%s. ", pc_show_machines(step->machines, varies).text,
                 step->machines == 1 && varies->stay == 0 ? "keeps" : "keep",
                 step->late ? ", but not with every deadline" : "");
    return;
  }
  pc_text_add(out, "None of these crews keeps up with the storm. ");
}

/* Which number costs least, and whether steps beyond it pay. Where deadlines ask for more machines than cost
 * does, that is the answer, and what cost alone would say comes after it. */
static void add_cost_verdict(const pc_crew_step *steps, const pc_crew_group *group, const pc_money *money,
                             const pc_varying *varies, pc_text *out) {
  int least = group->least_cost, last = group->last_that_pays, most = steps[group->count - 1].machines;
  bool late = false, fewer = false;
  for (size_t i = 0; i < group->count; i++) {
    late |= steps[i].finished && steps[i].late;
    fewer |= steps[i].finished && steps[i].late && steps[i].machines < least;
  }
  for (size_t i = 0; i < group->count; i++)
    if (steps[i].machines == least)
      pc_text_addf(out, "%s cost%s least%s, %s %s", pc_show_machines(least, varies).text,
                   least == 1 && varies->stay == 0 ? "s" : "",
                   steps[i].late ? ", but none of them is in time"
                   : late        ? " of those in time"
                                 : "",
                   money->currency.text, pc_show_number(steps[i].cost, PC_DIM_NUMBER, "", 2).text);
  if (last == 0)
    pc_text_add(out, fewer ? ". (Fewer are late; by cost alone, no further machine pays.) "
                           : "; no further machine saves more than it costs. ");
  else if (last < least && fewer)
    pc_text_addf(out, ". (Fewer are late; by cost alone, the step to %d is the last that pays.) ", last);
  else if (last > least)
    pc_text_addf(out,
                 "; of the steps beyond, the one to %d saves more than it costs by itself, but not enough to "
                 "make up for "
                 "those before it. ",
                 last);
  else if (last == most)
    pc_text_addf(out, "; the step to %d still saves more than it costs, and more were not compared. ", last);
  else
    pc_text_addf(
        out, "; the step to %d is the last that saves more than it costs: another machine no longer pays. ",
        last);
}

/* Waiting at one place is worth a word from this share of all machine time on; chosen here, no source. */
static const double waiting_tells = 0.05;

static double waits_there(const pc_compare_row *row) {
  double all = row->summary.total_time_s.mean * (double)row->machine_count;
  return all > 0 ? row->use.waits_s / all : 0;
}

static bool has_limit(const pc_compare_row *row) {
  return row->use.limit.text[0] || (row->use.waits_at.text[0] && waits_there(row) >= waiting_tells);
}

/* The machine or the place that the others wait for, as far as the runs bear it out. */
static void add_limit(const pc_compare_row *row, int machines, const pc_varying *varies, pc_text *out) {
  const pc_crew_use *use = &row->use;
  const char *box = "";
  for (size_t m = 0; m < row->machine_count; m++)
    if (pc_name_is(&row->machines[m].name, use->limit.text))
      box = row->machines[m].unit.box.name.text;
  pc_text_addf(out, "  What holds %s back: ", pc_show_machines(machines, varies).text);
  if (use->limit.text[0]) {
    pc_text_addf(out, "%s with %s", use->limit.text, box);
    if (use->limit_area.text[0])
      pc_text_addf(out, ", in area \"%s\"", use->limit_area.text);
    if (use->limit_count > 1)
      pc_text_addf(out, ", and %d more", use->limit_count - 1);
    pc_text_addf(out, ": busy %s of the time, the others %s.", pc_show_percent(use->limit_busy, 0).text,
                 pc_show_percent(use->others_busy, 0).text);
    if (use->limit_kept)
      pc_text_addf(out, " %s whatever the number.", use->limit_count > 1 ? "They stay" : "It stays");
  }
  if (use->waits_at.text[0] && waits_there(row) >= waiting_tells)
    pc_text_addf(out, "%s%s %s: machines wait there %s of their time.", use->limit.text[0] ? " And " : "",
                 use->waits_in_passage ? "passage" : "zone", use->waits_at.text,
                 pc_show_percent(waits_there(row), 0).text);
  pc_text_add(out, "\n");
}

/* The number that the advice comes to, or, if nothing stands out there, the next larger one. */
static void add_limits(const pc_comparison *comparison, const pc_crew_step *steps, const pc_crew_group *group,
                       const pc_varying *varies, pc_text *out) {
  int kept = has_prices(comparison) ? group->last_that_pays : group->last_that_saves;
  for (size_t i = 0; i < group->count; i++) {
    const pc_compare_row *row = &comparison->rows[steps[i].row];
    if (!steps[i].finished || steps[i].machines < kept || !has_limit(row))
      continue;
    add_limit(row, steps[i].machines, varies, out);
    return;
  }
}

/* Where another machine no longer pays, in money and in time. */
static void add_verdict(const pc_comparison *comparison, const pc_crews *crews, const pc_crew_group *group,
                        const pc_money *money, const pc_varying *varies, pc_text *out) {
  const pc_crew_step *steps = &crews->steps[group->first];
  int saving = (int)lround(100 * PC_CREW_SAVING), last = group->last_that_saves;
  if (has_prices(comparison) && group->least_cost > 0)
    add_cost_verdict(steps, group, money, varies, out);
  if (has_storm(comparison))
    pc_text_add(out,
                "All are at it until the storm ends, so that depth and deadlines tell more of a crew than "
                "its time. ");
  if (last == 0) {
    pc_text_addf(out, "No step saves %d %% of the time with each machine.\n", saving);
    return;
  }
  pc_text_addf(out,
               "The last step that saves at least %d %% of the time with each machine is the one to %d%s.\n",
               saving, last, last == steps[group->count - 1].machines ? "; more were not compared" : "");
}

void pc_tables_crews_fill(const pc_scenario *scenario, const pc_comparison *comparison, const pc_crews *crews,
                          double depth_m, const pc_varying *varies, pc_unit_system system,
                          char alignment[PC_COMPARE_COLUMNS], pc_table *table, pc_text *words) {
  size_t groups = 0;
  start_table(table, comparison, &scenario->money, varies, alignment, PC_COMPARE_COLUMNS);
  for (size_t g = 0; g < crews->group_count; g++) {
    const pc_crew_group *group = &crews->groups[g];
    const pc_crew_step *steps = &crews->steps[group->first];
    const pc_compare_row *row = &comparison->rows[steps[group->count - 1].row];
    if (row->depth_m != depth_m || ++groups > GROUPS_SHOWN)
      continue;
    for (size_t i = 0; i < group->count; i++)
      add_step(table, comparison, &steps[i], varies, system);
    add_group_label(row, comparison->mixed, varies, words);
    add_storm_verdict(comparison, crews, group, varies, words);
    add_verdict(comparison, crews, group, &scenario->money, varies, words);
    add_limits(comparison, steps, group, varies, words);
  }
  if (groups > GROUPS_SHOWN)
    pc_text_addf(words, "  The other %zu are in --json and --csv.\n", groups - GROUPS_SHOWN);
}

void pc_tables_crews_head(double depth_m, const pc_varying *varies, pc_unit_system system, pc_text *out) {
  pc_text_add(out, "How many machines");
  if (varies->depths)
    pc_text_addf(out, ", with %s", pc_show_snow(depth_m, varies, system).text);
  pc_text_add(out, "\n");
}

void pc_tables_crews_words(const pc_comparison *comparison, pc_text *out) {
  pc_text_add(
      out,
      "  Speed-up: against one machine. Working and waiting: shares of all machine time. Match factor: "
      "machines × dump time / cycle time at the busiest berth; above 1 they queue.\n");
  const pc_compare_row *first = &comparison->rows[0];
  if (first->machine_count > (size_t)first->crew)
    pc_text_addf(out, "  Machines that stay whatever the number, beside these: %zu.\n",
                 first->machine_count - (size_t)first->crew);
}

static void add_depth(const pc_scenario *scenario, const pc_comparison *comparison, const pc_crews *crews,
                      double depth_m, const pc_varying *varies, pc_unit_system system, pc_text *out) {
  char alignment[PC_COMPARE_COLUMNS];
  pc_table table;
  pc_text words = {0};
  pc_tables_crews_fill(scenario, comparison, crews, depth_m, varies, system, alignment, &table, &words);
  pc_text_add(out, "\n");
  pc_tables_crews_head(depth_m, varies, system, out);
  pc_table_write(&table, out);
  pc_text_add(out, words.data ? words.data : "");
  out->failed |= words.failed;
  pc_text_free(&words);
  pc_table_free(&table);
}

void pc_tables_crews(const pc_scenario *scenario, const pc_comparison *comparison, const pc_varying *varies,
                     pc_unit_system system, pc_text *out) {
  pc_crews crews;
  if (!varies->machines)
    return;
  if (pc_crews_make(comparison, &crews) != PC_OK) {
    out->failed = true;
    return;
  }
  for (size_t i = 0; i < comparison->row_count; i++)
    if (i == 0 || comparison->rows[i].depth_m != comparison->rows[i - 1].depth_m)
      add_depth(scenario, comparison, &crews, comparison->rows[i].depth_m, varies, system, out);
  pc_tables_crews_words(comparison, out);
  pc_crews_free(&crews);
}
