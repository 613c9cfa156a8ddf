// SPDX-License-Identifier: GPL-3.0-or-later
/* A comparison as text: the answer, the ranked table, and why. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/tables_private.h"

static bool finished(const pc_compare_row *row) {
  return row->summary.unfinished == 0;
}

pc_varying pc_varying_of(const pc_comparison *comparison) {
  pc_varying found = {.least_small_m2 = INFINITY};
  double longest = 0, least = INFINITY;
  const pc_compare_row *first = comparison->rows;
  for (size_t i = 1; i < comparison->row_count; i++)
    found.machines |= comparison->rows[i].crew != first->crew;
  if (found.machines && first->machine_count > (size_t)first->crew)
    found.stay = first->machine_count - (size_t)first->crew;
  for (size_t i = 0; i < comparison->row_count; i++) {
    const pc_compare_row *row = &comparison->rows[i];
    pc_shown box = pc_row_box(row), first_box = pc_row_box(first);
    pc_shown loader = pc_row_loader(row), first_loader = pc_row_loader(first);
    found.layouts |= strcmp(row->layout.text, first->layout.text) != 0;
    /* a crew of another number has other machines anyway */
    found.boxes |= strcmp(row->box.text, first->box.text) != 0 ||
                   (!found.machines && strcmp(box.text, first_box.text) != 0);
    found.loaders |= strcmp(row->loader.text, first->loader.text) != 0 ||
                     (!found.machines && strcmp(loader.text, first_loader.text) != 0);
    found.policies |= strcmp(row->policy.text, first->policy.text) != 0;
    found.depths |= row->depth_m != first->depth_m;
    found.replications |= row->summary.replications > 1;
    found.chance |= pc_varies(&row->summary.total_time_s) || pc_varies(&row->difference_to_best_s);
    found.cost |= !isnan(row->summary.cost);
    found.finish |= row->summary.unfinished == 0;
    found.least_small_m2 = fmin(found.least_small_m2, row->summary.mean.small_m2);
    longest = fmax(longest, row->summary.total_time_s.mean);
    if (row->rank > 1 && !row->tied_with_best && finished(row))
      least = fmin(least, row->difference_to_best_s.mean);
  }
  found.crossings = pc_crossings_differ(comparison);
  found.time = pc_time_unit_for_both(longest, least);
  return found;
}

pc_varying pc_varying_in(const pc_scenario *scenario, const pc_comparison *comparison) {
  pc_varying found = pc_varying_of(comparison);
  found.one_night =
      comparison->row_count > 0 && pc_is_one_night(scenario, comparison->rows[0].summary.replications);
  found.currency = scenario->money.currency.text;
  found.falls_m = pc_storm_depth_m(scenario->storm, scenario->storm_count);
  found.clock = scenario->clock;
  return found;
}

pc_shown pc_show_snow(double depth_m, const pc_varying *varies, pc_unit_system system) {
  return pc_show_snow_of(depth_m, varies->falls_m, system);
}

/* ---- the answer ---- */

void pc_tables_label(const pc_compare_row *row, const pc_varying *varies, pc_text *out) {
  pc_text_addf(out, "layout \"%s\" with %s", row->layout.text, pc_row_box(row).text);
  if (varies->loaders)
    pc_text_addf(out, " on %s", pc_row_loader(row).text);
  if (varies->machines)
    pc_text_addf(out, ", %s", pc_show_machines(row->crew, varies).text);
  if (varies->policies)
    pc_text_addf(out, ", %s", row->policy.text);
}

/* The first row that is really slower than the best, or NULL. */
static const pc_compare_row *first_slower(const pc_compare_row *rows, size_t count) {
  for (size_t i = 1; i < count; i++)
    if (!rows[i].tied_with_best && finished(&rows[i]))
      return &rows[i];
  return NULL;
}

double pc_tables_left_more_m2(const pc_compare_row *row, const pc_varying *varies) {
  const pc_result *mean = &row->summary.mean;
  double more = mean->small_m2 - varies->least_small_m2;
  double share =
      mean->small_m2 > 0 ? more / mean->small_m2 * mean->small_kg / (mean->start_kg + mean->fallen_kg) : 0;
  return share > 0.005 ? more : 0;
}

/* Areas that the quickest row clears too late. */
static void add_late(const pc_summary *summary, pc_text *out) {
  size_t areas = pc_areas_late(summary);
  if (areas > 0)
    pc_text_addf(out, ", but %zu area%s late%s", areas, areas == 1 ? " is" : "s are",
                 pc_late_nights(summary).text);
}

/* Where the quickest row misses a deadline: the quickest that misses none, in any night. Rows are of one
 * depth, and of several the sentence names it: with less snow they may be kept. */
static void add_in_time(const pc_compare_row *rows, size_t count, const pc_varying *varies,
                        pc_unit_system system, pc_text *out) {
  size_t i = 1;
  if (count < 2 || pc_areas_late(&rows[0].summary) == 0)
    return;
  while (i < count && (!finished(&rows[i]) || pc_areas_late(&rows[i].summary) > 0))
    i++;
  const char *hint = rows[0].summary.mean.area_count > 1
                         ? " `pushcycle run` says whether working those areas first keeps them."
                         : "";
  if (varies->depths)
    pc_text_addf(out, "With %s ", pc_show_snow(rows[0].depth_m, varies, system).text);
  if (i == count) {
    pc_text_addf(out, "%sone of the %zu keeps all deadlines.%s\n", varies->depths ? "n" : "N", count, hint);
    return;
  }
  pc_text_addf(out, "%she quickest that keeps all deadlines: ", varies->depths ? "t" : "T");
  pc_tables_label(&rows[i], varies, out);
  const pc_statistic *more = &rows[i].difference_to_best_s;
  pc_text_addf(out, ", %s longer%s", pc_show_time_in(more, varies->time).text,
               pc_tables_doubt(more, varies->time));
  if (varies->clock.given)
    pc_text_addf(out, ": clear at %s", pc_clock_show(&varies->clock, rows[i].summary.total_time_s.mean).text);
  pc_text_addf(out, ".%s\n", hint);
}

/* Where the machines that may change have boxes of their own: which has which. */
static void add_boxes(const pc_compare_row *row, pc_text *out) {
  const pc_name *first = NULL;
  bool differ = false;
  size_t left = 0, told = 0;
  for (size_t m = 0; m < row->machine_count; m++) {
    const pc_name *box = &row->machines[m].unit.box.name;
    if (row->machines[m].keep)
      continue;
    differ |= first && !pc_name_is(box, first->text);
    first = box;
    left++;
  }
  if (!differ)
    return;
  pc_text_add(out, "That is ");
  for (size_t m = 0; m < row->machine_count; m++) {
    if (row->machines[m].keep)
      continue;
    pc_text_addf(out, "%s%s on %s",
                 told == 0          ? ""
                 : told + 1 == left ? " and "
                                    : ", ",
                 row->machines[m].unit.box.name.text, row->machines[m].name.text);
    told++;
  }
  pc_text_add(out, ".\n");
}

/* Where even the best row does not finish, or not in every night. */
static void add_unfinished(const pc_compare_row *best, size_t count, const pc_varying *varies,
                           pc_unit_system system, pc_text *out) {
  const pc_summary *summary = &best->summary;
  bool sometimes = summary->unfinished < summary->replications;
  pc_text_addf(out, "%sone of the %zu finishes%s (%s); nearest is ", varies->depths ? "n" : "N", count,
               sometimes ? " in every night" : "", pc_reason_name(summary->mean.reason));
  pc_tables_label(best, varies, out);
  if (sometimes)
    pc_text_addf(out, ", which does not in %zu of %zu nights.\n", summary->unfinished, summary->replications);
  else
    pc_text_addf(out, ", which leaves %s.\n", pc_show(summary->mean.left_kg, PC_DIM_MASS, system, 3).text);
}

/* What one night can say of rows that chance would order otherwise in another. */
static const char in_one_night[] = " in the one night simulated";

static void add_answer(const pc_compare_row *rows, size_t count, const pc_varying *varies,
                       pc_unit_system system, pc_text *out) {
  const pc_compare_row *best = &rows[0], *next = first_slower(rows, count);
  if (varies->depths)
    pc_text_addf(out, "With %s: ", pc_show_snow(best->depth_m, varies, system).text);
  if (!finished(best)) {
    add_unfinished(best, count, varies, system, out);
    return;
  }
  pc_text_addf(out, "%suickest%s", varies->depths ? "q" : "Q", varies->one_night ? in_one_night : "");
  pc_text_add(out, varies->depths ? " is " : ": ");
  pc_tables_label(best, varies, out);
  double best_s = best->summary.total_time_s.mean;
  pc_text_addf(out, ", %s%s", pc_show_time_in(&best->summary.total_time_s, varies->time).text,
               pc_varies(&best->summary.total_time_s) ? " (95 %)" : "");
  if (varies->clock.given)
    pc_text_addf(out, ", clear at %s%s", pc_clock_show(&varies->clock, best_s).text,
                 pc_varies(&best->summary.total_time_s) ? " on average" : "");
  add_late(&best->summary, out);
  if (next) {
    const pc_statistic *slower = &next->difference_to_best_s;
    pc_text_addf(out, ". %s, ",
                 count == 2          ? "The other one"
                 : varies->one_night ? "The next"
                                     : "The next that is really slower");
    pc_tables_label(next, varies, out);
    pc_text_addf(out, ", takes %s longer", pc_show_time_in(slower, varies->time).text);
    if (best_s > 0)
      pc_text_addf(out, " (%s)", pc_show_percent(slower->mean / best_s, 1).text);
    pc_text_add(out, pc_tables_doubt(slower, varies->time));
  }
  pc_text_add(out, ".\n");
  if (varies->boxes)
    add_boxes(best, out);
  add_in_time(rows, count, varies, system, out);
  if (pc_tables_left_more_m2(best, varies) > 0)
    pc_text_addf(out,
                 "It leaves %s more to a smaller machine than others do: they clear more in their time.\n",
                 pc_show(pc_tables_left_more_m2(best, varies), PC_DIM_AREA, system, 2).text);
  if (!varies->machines) /* else what holds the crew back stands below the table of crews */
    pc_tables_ends(&best->ends, best->machines, &best->summary, &varies->clock, varies->time, out);
  pc_tables_compare_crossings(rows, count, varies, out);
  pc_tables_ties(rows, count, varies, out);
}

/* ---- the table ---- */

/* Shares of the time in which machines work or wait; standing idle is left out. */
static void add_shares(pc_table *table, const pc_result *mean) {
  static const pc_phase shown[] = {PC_PHASE_FILL, PC_PHASE_CARRY, PC_PHASE_RETURN,
                                   PC_PHASE_TURN, PC_PHASE_WAIT,  PC_PHASE_CLEAN_UP};
  double sums[PC_PHASE_COUNT] = {0}, all = 0;
  for (size_t i = 0; i < mean->machine_count; i++)
    for (size_t j = 0; j < PC_PHASE_COUNT; j++) {
      sums[j] += mean->machines[i].time_s[j];
      all += j == PC_PHASE_IDLE ? 0 : mean->machines[i].time_s[j];
    }
  for (size_t i = 0; i < sizeof shown / sizeof shown[0]; i++)
    pc_table_cell(table, "%s", pc_show_percent(all > 0 ? sums[shown[i]] / all : 0, 0).text);
}

static void add_remark(pc_table *table, const pc_compare_row *row, const pc_compare_row *best,
                       const pc_varying *varies, pc_unit_system system) {
  const pc_summary *summary = &row->summary;
  char late[120] = "", nights[64] = "", left[200] = "";
  double left_m2 = pc_tables_left_more_m2(row, varies);
  size_t areas = pc_areas_late(summary);
  pc_shown crossings = pc_crossings_word(&row->crossed);
  const char *across = varies->crossings ? crossings.text : "";
  if (!finished(row)) {
    if (summary->unfinished < summary->replications)
      snprintf(nights, sizeof nights, " in %zu of %zu nights", summary->unfinished, summary->replications);
    pc_table_cell(table, "%s%s%s%s", pc_reason_name(summary->mean.reason), nights, *across ? ", " : "",
                  across);
    return;
  }
  if (row->dropped_after > 0)
    snprintf(nights, sizeof nights, "out after %zu", row->dropped_after);
  const char *standing = row->rank == 1 ? "best" : row->dropped_after ? nights : pc_tie_word(row, best);
  if (areas > 0)
    snprintf(late, sizeof late, "%s%zu area%s late%.80s", *standing ? ", " : "", areas, areas == 1 ? "" : "s",
             pc_late_nights(summary).text);
  if (left_m2 > 0)
    snprintf(left, sizeof left, "%sleaves %s more", *standing || *late ? ", " : "",
             pc_show(left_m2, PC_DIM_AREA, system, 2).text);
  pc_table_cell(table, "%s%s%s%s%s", standing, late, left,
                *across && (*standing || *late || *left) ? ", " : "", across);
}

static void add_row(pc_table *table, const pc_compare_row *row, const pc_compare_row *best,
                    const pc_varying *varies, pc_unit_system system) {
  const pc_summary *summary = &row->summary;
  const pc_statistic *total = &summary->total_time_s, *more = &row->difference_to_best_s;
  const char *unit = varies->time.name;
  int decimals = varies->time.decimals;
  pc_table_cell(table, "%d", row->rank);
  if (varies->depths)
    pc_table_cell(table, "%s", pc_show_depth(row->depth_m, system).text);
  pc_table_cell(table, "%s", row->layout.text);
  pc_table_cell(table, "%s", pc_row_box(row).text);
  if (varies->loaders)
    pc_table_cell(table, "%s", pc_row_loader(row).text);
  if (varies->machines)
    pc_table_cell(table, "%d", row->crew);
  if (varies->policies)
    pc_table_cell(table, "%s", row->policy.text);
  pc_table_cell(table, "%s", pc_show_number(total->mean, PC_DIM_TIME, unit, decimals).text);
  if (varies->chance)
    pc_table_cell(table, "%s", pc_show_number(total->half_width, PC_DIM_TIME, unit, decimals).text);
  pc_table_cell(table, "%s",
                finished(row) ? pc_show_number(more->mean, PC_DIM_TIME, unit, decimals).text : "-");
  if (varies->chance)
    pc_table_cell(table, "%s",
                  finished(row) ? pc_show_number(more->half_width, PC_DIM_TIME, unit, decimals).text : "");
  if (varies->cost)
    pc_table_cell(table, "%s", pc_show_number(summary->cost, PC_DIM_NUMBER, "", 0).text);
  add_remark(table, row, best, varies, system);
  pc_table_cell(table, "%s", pc_show_number(summary->cycles, PC_DIM_NUMBER, "", varies->chance ? 1 : 0).text);
  add_shares(table, &summary->mean);
  pc_table_cell(table, "%s", finished(row) ? pc_show_percent(summary->efficiency, 0).text : "-");
  pc_table_cell(table, "%s", pc_join_words(row->machines, row->machine_count, PC_WORD_LIMIT).text);
}

void pc_tables_compare_fill(const pc_comparison *comparison, const pc_varying *varies, pc_unit_system system,
                            char alignment[PC_COMPARE_COLUMNS], pc_table *table) {
  char words[400], costs[80] = "";
  if (varies->cost)
    snprintf(costs, sizeof costs, "|cost %.60s", varies->currency ? varies->currency : "");
  const char *interval = varies->chance ? "r" : "", *heading = varies->chance ? "|±" : "";
  snprintf(alignment, PC_COMPARE_COLUMNS, "r%sll%s%s%sr%sr%s%slrrrrrrrrl", varies->depths ? "r" : "",
           varies->loaders ? "l" : "", varies->machines ? "r" : "", varies->policies ? "l" : "", interval,
           interval, varies->cost ? "r" : "");
  snprintf(words, sizeof words,
           "rank%s|layout|box%s%s%s|time %s%s|to best %s%s%s||loads|push|carry|return|turn|wait|clean-up|"
           "efficiency|limited by",
           varies->depths ? "|depth" : "", varies->loaders ? "|loader" : "",
           varies->machines ? pc_machines_heading(varies).text : "", varies->policies ? "|policy" : "",
           varies->time.name, heading, varies->time.name, heading, costs);
  pc_table_start(table, alignment);
  pc_table_heading(table, words);
  const pc_compare_row *best = comparison->rows;
  for (size_t i = 0; i < comparison->row_count; i++) {
    best = comparison->rows[i].rank == 1 ? &comparison->rows[i] : best;
    add_row(table, &comparison->rows[i], best, varies, system);
  }
}

void pc_tables_compare_costs(const pc_money *money, const pc_comparison *comparison, pc_text *out) {
  bool noted = false, costs = false;
  double haul_off_kg = 0.0; /* of the row that leaves most */
  for (size_t i = 0; i < comparison->row_count; i++) {
    costs |= !isnan(comparison->rows[i].summary.cost);
    haul_off_kg = fmax(haul_off_kg, comparison->rows[i].summary.mean.haul_off_kg);
  }
  if (costs) {
    pc_tables_rates_note(money, out);
    pc_tables_haul_note(money, haul_off_kg, out);
  }
  for (size_t i = 0; !noted && i < comparison->row_count; i++) {
    const pc_compare_row *row = &comparison->rows[i];
    noted = pc_tables_fuel_note(money, row->machines, row->machine_count, &row->summary, out);
  }
}

void pc_tables_compare_headings(const pc_heading_report *headings, const pc_varying *varies, pc_text *out) {
  if (!headings || headings->count == 0 || !(varies->layouts || varies->boxes || varies->loaders))
    return;
  pc_text_addf(
      out,
      "Lanes are the same in all rows: where `heading` is auto they were chosen with layout \"%s\"%s%s. "
      "Other rows might do better with others: --layout, --box and --loader have them chosen for what "
      "they name.\n",
      headings->items[0].layout.text, varies->boxes ? " and the crew's own boxes" : "",
      varies->loaders ? " and the crew's own loaders" : "");
}

static void add_table(const pc_comparison *comparison, const pc_varying *varies, pc_unit_system system,
                      pc_text *out) {
  char alignment[PC_COMPARE_COLUMNS];
  pc_table table;
  pc_tables_compare_fill(comparison, varies, system, alignment, &table);
  pc_table_write(&table, out);
  pc_table_free(&table);
}

/* ---- why ---- */

/* A loader with a box, met in the rows. */
typedef struct pair {
  const pc_unit *unit;
  double depth_m;
} pair;

static bool same_pair(const pc_unit *a, const pc_unit *b) {
  return pc_name_is(&a->loader.name, b->loader.name.text) && pc_name_is(&a->box.name, b->box.name.text);
}

/* Rows of one depth: the pairs in them. `pairs` has room for all. */
static size_t find_pairs(const pc_compare_row *rows, size_t count, pair *pairs) {
  size_t found = 0;
  for (size_t i = 0; i < count; i++)
    for (size_t j = 0; j < rows[i].machine_count; j++) {
      const pc_unit *unit = &rows[i].machines[j].unit;
      size_t k = 0;
      while (k < found && !same_pair(pairs[k].unit, unit))
        k++;
      if (k == found)
        pairs[found++] = (pair){.unit = unit, .depth_m = rows[i].depth_m};
    }
  return found;
}

static double full_load_kg(const pc_unit *unit, double full_at) {
  return fmin(full_at * unit->volume_capacity_kg, unit->capacity_kg);
}

/* Push speed with a full box in the snow of this depth. */
static double full_push_mps(const pair *of, double full_at) {
  const pc_unit *unit = of->unit;
  return pc_unit_push_speed(unit, full_load_kg(unit, full_at),
                            unit->fresh_density_kgpm3 * of->depth_m * unit->swath_m);
}

static void add_pair(const pair *of, double full_at, pc_unit_system system, pc_text *out) {
  const pc_unit *unit = of->unit;
  double given = unit->loader.push_speed_mps, full = full_push_mps(of, full_at);
  if (unit->box.blade != PC_BLADE_NONE) {
    pc_text_addf(out, "  %s with %s: a blade, holds nothing and lays its snow aside.\n",
                 unit->loader.name.text, unit->box.name.text);
    return;
  }
  pc_text_addf(out, "  %s with %s: limited by %s; holds %s", unit->loader.name.text, unit->box.name.text,
               pc_limit_name(unit->limited_by),
               pc_show(unit->volume_capacity_kg, PC_DIM_MASS, system, 3).text);
  if (!unit->physical) {
    pc_text_add(out, " (power, mass and traction of this loader are not given).\n");
    return;
  }
  pc_text_addf(out, ", the tyres can push %s",
               pc_show(fmax(unit->traction_capacity_kg, 0), PC_DIM_MASS, system, 3).text);
  const char *speed = pc_column_speed(system);
  pc_text_addf(out, "; pushes a full load at %s of the %s %s given",
               pc_show_number(full, PC_DIM_SPEED, speed, 1).text,
               pc_show_number(given, PC_DIM_SPEED, speed, 1).text, speed);
  double load_kg = full_load_kg(unit, full_at);
  pc_text_addf(out, ", carries it at %s of %s %s.\n",
               pc_show_number(pc_unit_carry_speed(unit, load_kg), PC_DIM_SPEED, speed, 1).text,
               pc_show_number(unit->loader.carry_speed_mps, PC_DIM_SPEED, speed, 1).text, speed);
}

/* Width of the box of every machine that may change, or NaN if they differ. */
static double common_width_m(const pc_compare_row *row) {
  const pc_box *first = NULL;
  for (size_t i = 0; i < row->machine_count; i++) {
    const pc_box *box = &row->machines[i].unit.box;
    if (row->machines[i].keep)
      continue;
    if (first && !pc_name_is(&box->name, first->name.text))
      return NAN;
    first = box;
  }
  return first ? first->width_m : NAN;
}

/* The machine whose limit tells most: traction before power before volume. */
static const pc_unit *telling_unit(const pc_compare_row *row) {
  const pc_unit *unit = &row->machines[0].unit;
  for (size_t i = 1; i < row->machine_count; i++) {
    const pc_unit *other = &row->machines[i].unit;
    if (unit->limited_by != PC_LIMIT_TRACTION && other->limited_by != PC_LIMIT_VOLUME)
      unit = unit->limited_by == PC_LIMIT_POWER && other->limited_by == PC_LIMIT_POWER ? unit : other;
  }
  return unit;
}

static void add_reason(const pc_compare_row *row, double full_at, pc_unit_system system, pc_text *out) {
  const pc_unit *unit = telling_unit(row);
  const char *speed = pc_column_speed(system);
  if (unit->limited_by == PC_LIMIT_TRACTION)
    pc_text_addf(out, " It could hold %s, but the tyres of %s push only %s.",
                 pc_show(unit->volume_capacity_kg, PC_DIM_MASS, system, 3).text, unit->loader.name.text,
                 pc_show(fmax(unit->traction_capacity_kg, 0), PC_DIM_MASS, system, 3).text);
  else if (unit->limited_by == PC_LIMIT_POWER)
    pc_text_addf(
        out, " Full, the engine of %s pushes it at %s %s instead of %s.", unit->loader.name.text,
        pc_show_number(full_push_mps(&(pair){unit, row->depth_m}, full_at), PC_DIM_SPEED, speed, 1).text,
        speed, pc_show_number(unit->loader.push_speed_mps, PC_DIM_SPEED, speed, 1).text);
  else
    pc_text_add(out, " Its limit is volume, so it is the lanes and loads of this lot that do not suit it.");
}

/* A sentence where the widest box is not the quickest, for rows with the same loaders and as many machines as
 * row `first`. */
static void add_widest(const pc_compare_row *rows, size_t count, size_t first, double full_at,
                       pc_time_unit unit, pc_unit_system system, pc_text *out) {
  const pc_compare_row *widest = NULL, *quickest = NULL;
  pc_shown loaders = pc_row_loader(&rows[first]);
  for (size_t i = first; i < count; i++) {
    double width = common_width_m(&rows[i]);
    if (isnan(width) || rows[i].crew != rows[first].crew ||
        strcmp(pc_row_loader(&rows[i]).text, loaders.text) != 0)
      continue;
    /* Rows come ranked: the first of a width is its quickest. */
    if (!widest || width > common_width_m(widest))
      widest = &rows[i];
    if (!quickest && finished(&rows[i]))
      quickest = &rows[i];
  }
  if (!widest || !quickest || common_width_m(widest) <= common_width_m(quickest))
    return;
  pc_text_addf(out, "  So the widest box is not the quickest on %s: %s ", loaders.text,
               pc_row_box(widest).text);
  const pc_statistic *slow = &widest->summary.total_time_s, *quick = &quickest->summary.total_time_s;
  if (finished(widest))
    pc_text_addf(out, "takes %s, ", pc_show_time_in(slow, unit).text);
  else
    pc_text_addf(out, "does not finish (%s), ", pc_reason_name(widest->summary.mean.reason));
  pc_text_addf(out, "%s takes %s.", pc_row_box(quickest).text, pc_show_time_in(quick, unit).text);
  add_reason(widest, full_at, system, out);
  if (finished(widest) && widest->tied_with_best)
    pc_text_add(out, pc_row_to_tell(widest, &rows[0]) > 0
                         ? " Too few replications to tell."
                         : " The difference is within what chance could make.");
  pc_text_add(out, "\n");
}

static void add_why(const pc_compare_row *rows, size_t count, double full_at, pc_time_unit unit,
                    pc_unit_system system, pc_text *out) {
  size_t machines = 0;
  for (size_t i = 0; i < count; i++)
    machines += rows[i].machine_count;
  pair *pairs = pc_alloc(machines, sizeof *pairs);
  if (!pairs) {
    out->failed = true;
    return;
  }
  size_t found = find_pairs(rows, count, pairs);
  bool volume_only = true;
  for (size_t i = 0; i < found; i++) {
    add_pair(&pairs[i], full_at, system, out);
    volume_only &= pairs[i].unit->limited_by == PC_LIMIT_VOLUME;
  }
  if (volume_only && found > 1)
    pc_text_add(out, "  Volume is the only limit here: what a box holds decides how many loads it takes.\n");
  for (size_t i = 0; i < count; i++) {
    bool first = rows[i].crew == rows[0].crew; /* with these loaders */
    for (size_t j = 0; j < i && first; j++)
      first = strcmp(pc_row_loader(&rows[j]).text, pc_row_loader(&rows[i]).text) != 0;
    if (first)
      add_widest(rows, count, i, full_at, unit, system, out);
  }
  free(pairs);
}

/* Rows of one depth stand together: the end of those that begin with `first`. */
static size_t end_of_depth(const pc_comparison *comparison, size_t first) {
  size_t end = first + 1;
  while (end < comparison->row_count && comparison->rows[end].depth_m == comparison->rows[first].depth_m)
    end++;
  return end;
}

void pc_tables_compare_answer(const pc_comparison *comparison, const pc_varying *varies,
                              pc_unit_system system, pc_text *out) {
  for (size_t first = 0, end; first < comparison->row_count; first = end) {
    end = end_of_depth(comparison, first);
    add_answer(&comparison->rows[first], end - first, varies, system, out);
  }
  if (comparison->row_count < comparison->asked)
    pc_text_addf(out, "Stopped: %zu of %zu combinations are done; those that are not may be better.\n",
                 comparison->row_count, comparison->asked);
}

void pc_tables_compare_why(const pc_scenario *scenario, const pc_comparison *comparison,
                           const pc_varying *varies, pc_unit_system system, pc_text *out) {
  for (size_t first = 0, end; first < comparison->row_count; first = end) {
    const pc_compare_row *rows = &comparison->rows[first];
    end = end_of_depth(comparison, first);
    pc_text_add(out, "\nWhy");
    if (varies->depths)
      pc_text_addf(out, ", with %s", pc_show_snow(rows->depth_m, varies, system).text);
    pc_text_add(out, "\n");
    add_why(rows, end - first, scenario->full_at, varies->time, system, out);
  }
}

void pc_tables_compare_with(const pc_scenario *scenario, const pc_comparison *comparison,
                            const pc_notes *notes, pc_unit_system system, pc_text *out) {
  if (comparison->row_count == 0)
    return;
  pc_varying varies = pc_varying_in(scenario, comparison);
  pc_tables_compare_answer(comparison, &varies, system, out);
  pc_text_add(out, "\n");
  add_table(comparison, &varies, system, out);
  pc_tables_left_out(comparison, out);
  pc_tables_compare_headings(notes ? notes->headings : NULL, &varies, out);
  pc_tables_compare_costs(&scenario->money, comparison, out);
  if (varies.replications && !varies.chance && varies.finish)
    pc_text_add(out,
                "Every replication took the same time: nothing varies by chance here (`chance`, "
                "`breakdown`), so one is enough.\n");
  if (varies.one_night)
    pc_text_add(out, pc_one_night_line());
  pc_tables_selection(comparison, &varies, system, out);
  pc_tables_crews(scenario, comparison, &varies, system, out);
  pc_tables_season(scenario, comparison, &varies, system, out);
  pc_tables_compare_why(scenario, comparison, &varies, system, out);
  if (notes && notes->siting)
    pc_tables_siting(notes->siting, PC_SITING_LINES, system, out);
  pc_text_addf(out, "\n%s", pc_tables_caution_line());
}

void pc_tables_compare(const pc_scenario *scenario, const pc_comparison *comparison, pc_unit_system system,
                       pc_text *out) {
  pc_tables_compare_with(scenario, comparison, NULL, system, out);
}
