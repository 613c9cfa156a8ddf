// SPDX-License-Identifier: GPL-3.0-or-later
/* Where the piles should lie, as text. */
#include <math.h>
#include <stdio.h>

#include "io/tables_private.h"

static void add_names(const pc_placement *placement, const pc_place_choice *choice, pc_text *out) {
  for (size_t k = 0; k < choice->count; k++)
    pc_text_addf(out, "%s%s", k ? ", " : "", placement->sites[choice->sites[k]].zone.name.text);
}

static void add_name_cell(pc_table *table, const pc_placement *placement, const pc_place_choice *choice) {
  pc_text names = {0};
  add_names(placement, choice, &names);
  pc_table_cell(table, "%s", names.data ? names.data : "");
  table->failed |= names.failed;
  pc_text_free(&names);
}

static const pc_place_step *last_step(const pc_placement *placement) {
  return &placement->steps[placement->step_count - 1];
}

static const char *zones_word(size_t count) {
  return count == 1 ? "pile zone" : "pile zones";
}

/* What the search was stopped before. */
static void add_stop(const pc_placement *placement, pc_text *out) {
  const pc_place_step *last = last_step(placement);
  size_t done = placement->finalists[0].summary.replications;
  pc_text_addf(out, "Stopped: the search is not complete. %zu choice%s of %zu %s simulated%s.\n",
               last->simulated, last->simulated == 1 ? "" : "s", last->zones,
               last->simulated == 1 ? "was" : "were",
               last->all ? ", which is all of them" : "; others may be better");
  if (last->zones < placement->asked)
    pc_text_addf(out, "Choices of more zones, up to the %zu that were asked for, were not looked at.\n",
                 placement->asked);
  if (done < placement->replications)
    pc_text_addf(out, "The time is that of %zu of %zu replications.\n", done, placement->replications);
}

static void add_bound(const pc_placement *placement, pc_time_unit unit, pc_text *out) {
  const pc_place_step *last = last_step(placement);
  const pc_place_choice *best = &placement->finalists[0];
  if (isnan(last->bound_s)) {
    pc_text_add(out, "A lower bound for all choices was not worked out.\n");
    return;
  }
  pc_text_addf(out, "Lower bound for any %zu of the %zu places: ", best->count, placement->site_count);
  pc_text_addf(out, "%s (gap %s); the bound of this layout itself is ",
               pc_show_seconds_in(last->bound_s, unit).text,
               pc_show_percent(fmax(0.0, 1.0 - last->bound_s / best->once_s), 0).text);
  pc_text_addf(out, "%s: what lies between them the places can change, the rest is the order of work.\n",
               pc_show_seconds_in(fmax(last->bound_s, best->summary.bound.time_s), unit).text);
}

/* Places are chosen for the time of all of it, whatever has to be clear sooner. */
static void add_late(const pc_scenario *scenario, const pc_summary *summary, pc_text *out) {
  size_t late = pc_areas_late(summary), told = 0;
  if (late == 0 || summary->mean.area_count != scenario->site.area_count)
    return;
  pc_text_add(out, "With this choice ");
  for (size_t a = 0; a < scenario->site.area_count; a++)
    if (summary->area_late[a] > 0 && told++ < 3)
      pc_text_addf(out, "%s\"%s\"", told > 1 ? ", " : "", scenario->site.areas[a].name.text);
  if (late > 3)
    pc_text_addf(out, " and %zu more", late - 3);
  pc_text_addf(out,
               " %s: places are chosen for the time of all of it; `pushcycle run` on this layout says by how "
               "much, and what would keep %s.\n",
               late == 1 ? "misses its deadline" : "miss their deadlines", late == 1 ? "it" : "them");
}

static void add_answer(const pc_scenario *scenario, const pc_placement *placement, bool one_night,
                       pc_time_unit unit, pc_unit_system system, pc_text *out) {
  const pc_place_step *last = last_step(placement);
  const pc_place_choice *best = &placement->finalists[0];
  pc_text_addf(out, "Best %zu %s%s: ", best->count, zones_word(best->count),
               placement->stopped ? " so far" : "");
  add_names(placement, best, out);
  pc_text_addf(out, "; total time %s", pc_show_time_in(&best->summary.total_time_s, unit).text);
  pc_text_addf(out, "%s%s.\n", pc_varies(&best->summary.total_time_s) ? " (95 %)" : "",
               one_night ? " in the one night simulated" : "");
  if (one_night)
    pc_text_add(out, pc_one_night_line());
  add_late(scenario, &best->summary, out);
  pc_tables_crossings(&best->crossed, out);
  if (placement->stopped)
    add_stop(placement, out);
  add_bound(placement, unit, out);
  if (last->least_haul_kgm > 0.0)
    pc_text_addf(out, "Its mass times way to a zone is %s times the proven least of any choice.\n",
                 pc_show_number(best->haul_kgm / last->least_haul_kgm, PC_DIM_NUMBER, "", 2).text);
  if (best->taken_m2 > 1.0)
    pc_text_addf(out, "The zones take %s of the areas to be cleared.\n",
                 pc_show(best->taken_m2, PC_DIM_AREA, system, 3).text);
  if (last->all && !placement->stopped)
    pc_text_addf(out, "Every choice of %zu was simulated.\n", best->count);
}

static void add_places(const pc_placement *placement, pc_unit_system system, pc_text *out) {
  const pc_place_choice *best = &placement->finalists[0];
  const pc_result *mean = &best->summary.mean;
  pc_table table;
  pc_text_add(out, "\nThe places\n");
  pc_table_start(&table, "llrrrrr");
  char words[120];
  const char *length = pc_column_length(system);
  snprintf(words, sizeof words, "zone|kind|middle x %s|y %s|loads|piled snow %s|capacity %s", length, length,
           pc_column_volume(system), pc_column_volume(system));
  pc_table_heading(&table, words);
  for (size_t k = 0; k < best->count && k < mean->zone_count; k++) {
    const pc_place_site *site = &placement->sites[best->sites[k]];
    pc_point middle = site->zone.outline.count > 0 ? pc_ring_centroid(&site->zone.outline) : site->zone.at;
    pc_table_cell(&table, "%s", site->zone.name.text);
    pc_table_cell(&table, "%s", site->kept ? "kept" : site->generated ? "generated" : "given");
    pc_table_cell(&table, "%s", pc_show_number(middle.x_m, PC_DIM_LENGTH, length, 1).text);
    pc_table_cell(&table, "%s", pc_show_number(middle.y_m, PC_DIM_LENGTH, length, 1).text);
    pc_table_cell(&table, "%d", mean->zones[k].loads);
    pc_table_cell(&table, "%s",
                  pc_show_number(mean->zones[k].volume_m3, PC_DIM_VOLUME, pc_column_volume(system), 0).text);
    pc_table_cell(
        &table, "%s",
        isinf(mean->zones[k].capacity_m3)
            ? "no limit"
            : pc_show_number(mean->zones[k].capacity_m3, PC_DIM_VOLUME, pc_column_volume(system), 0).text);
  }
  pc_table_write(&table, out);
  out->failed |= table.failed;
  pc_table_free(&table);
}

static void add_steps(const pc_placement *placement, pc_time_unit unit, pc_text *out) {
  char words[160];
  pc_table table;
  pc_text_add(out, "\nWhat each further zone is worth\n");
  pc_table_start(&table, "rrrrrl");
  snprintf(words, sizeof words, "zones|time %s|saves %s|lower bound %s|simulated|best places", unit.name,
           unit.name, unit.name);
  pc_table_heading(&table, words);
  for (size_t n = 0; n < placement->step_count; n++) {
    const pc_place_step *step = &placement->steps[n];
    pc_table_cell(&table, "%zu", step->zones);
    if (!step->found) {
      pc_table_cell(&table, "-");
      pc_table_cell(&table, "-");
      pc_table_cell(&table, "-");
      pc_table_cell(&table, "%zu", step->simulated);
      pc_table_cell(&table, "none holds the snow and can be worked");
      continue;
    }
    pc_table_cell(
        &table, "%s",
        pc_show_number(step->best.summary.total_time_s.mean, PC_DIM_TIME, unit.name, unit.decimals).text);
    if (isnan(step->saved_s))
      pc_table_cell(&table, "-");
    else if (step->saved_half_s > 0.5)
      pc_table_cell(&table, "%s ± %s",
                    pc_show_number(step->saved_s, PC_DIM_TIME, unit.name, unit.decimals).text,
                    pc_show_number(step->saved_half_s, PC_DIM_TIME, unit.name, unit.decimals).text);
    else
      pc_table_cell(&table, "%s", pc_show_number(step->saved_s, PC_DIM_TIME, unit.name, unit.decimals).text);
    pc_table_cell(&table, "%s",
                  isnan(step->bound_s)
                      ? "-"
                      : pc_show_number(step->bound_s, PC_DIM_TIME, unit.name, unit.decimals).text);
    pc_table_cell(&table, "%zu%s", step->simulated, step->all ? " (all)" : "");
    add_name_cell(&table, placement, &step->best);
  }
  pc_table_write(&table, out);
  out->failed |= table.failed;
  pc_table_free(&table);
}

static const char *ordinal(size_t n) {
  static const char *const words[] = {"first", "second", "third",   "fourth",
                                      "fifth", "sixth",  "seventh", "eighth"};
  return n >= 1 && n <= sizeof words / sizeof *words ? words[n - 1] : "last";
}

/* "The third zone saves 38 min a storm." */
static void add_worth(const pc_placement *placement, pc_time_unit unit, pc_text *out) {
  for (size_t n = 0; n < placement->step_count; n++) {
    const pc_place_step *step = &placement->steps[n];
    if (!step->found || isnan(step->saved_s) || step->best.summary.replications < placement->replications)
      continue;
    bool told = fabs(step->saved_s) > step->saved_half_s && fabs(step->saved_s) >= 1.0;
    if (!told)
      pc_text_addf(out, "  The %s zone makes no difference that shows.\n", ordinal(step->zones));
    else
      pc_text_addf(out, "  The %s zone %s %s a storm.\n", ordinal(step->zones),
                   step->saved_s > 0.0 ? "saves" : "costs",
                   pc_show_seconds_in(fabs(step->saved_s), unit).text);
  }
}

static void add_finalists(const pc_placement *placement, pc_time_unit unit, pc_text *out) {
  char words[120];
  pc_table table;
  if (placement->finalist_count < 2)
    return;
  double best_s = placement->finalists[0].summary.total_time_s.mean;
  pc_text_add(out, "\nRunners-up\n");
  pc_table_start(&table, "rrrll");
  snprintf(words, sizeof words, "rank|time %s|to the best %s||places", unit.name, unit.name);
  pc_table_heading(&table, words);
  for (size_t i = 0; i < placement->finalist_count; i++) {
    const pc_place_choice *choice = &placement->finalists[i];
    pc_table_cell(&table, "%zu", i + 1);
    pc_table_cell(
        &table, "%s",
        pc_show_number(choice->summary.total_time_s.mean, PC_DIM_TIME, unit.name, unit.decimals).text);
    if (i == 0)
      pc_table_cell(&table, "-");
    else if (choice->difference_s.half_width > 0.5)
      pc_table_cell(
          &table, "+%s ± %s",
          pc_show_number(choice->difference_s.mean, PC_DIM_TIME, unit.name, unit.decimals).text,
          pc_show_number(choice->difference_s.half_width, PC_DIM_TIME, unit.name, unit.decimals).text);
    else
      pc_table_cell(&table, "+%s",
                    pc_show_number(choice->difference_s.mean, PC_DIM_TIME, unit.name, unit.decimals).text);
    bool unclear = pc_replications_to_tell(&choice->difference_s, best_s) > 0;
    const char *tie = i == 0 || !choice->tied ? "" : unclear ? "not clear yet" : "as good";
    pc_shown across = pc_crossings_word(&choice->crossed);
    pc_table_cell(&table, "%s%s%s", tie, *tie && *across.text ? ", " : "", across.text);
    add_name_cell(&table, placement, choice);
  }
  pc_table_write(&table, out);
  out->failed |= table.failed;
  pc_table_free(&table);
}

/* Of all times told: zones that save next to nothing, and runners-up that are as good, do not count. */
static pc_time_unit unit_of(const pc_placement *placement) {
  double longest = placement->finalists[0].summary.total_time_s.mean, least = INFINITY;
  for (size_t n = 0; n < placement->step_count; n++) {
    const pc_place_step *step = &placement->steps[n];
    double saved = fabs(step->saved_s);
    if (step->found)
      longest = fmax(longest, step->best.summary.total_time_s.mean);
    if (step->found && saved > step->saved_half_s && saved >= 1.0)
      least = fmin(least, saved);
  }
  for (size_t i = 1; i < placement->finalist_count; i++)
    if (!placement->finalists[i].tied)
      least = fmin(least, placement->finalists[i].difference_s.mean);
  return pc_time_unit_for_both(longest, least);
}

/* A drive that nobody has drawn keeps no place off. */
static void add_drives(const pc_site *site, pc_text *out) {
  size_t drawn = 0;
  for (size_t i = 0; i < site->keep_clear_count; i++)
    drawn += site->keep_clear[i].kind == PC_KEEP_NO_PILES;
  if (drawn > 0)
    pc_text_addf(
        out,
        "Kept free: %zu ground%s without piles. Is each drive of fire engines and ambulances drawn so? "
        "A place may lie on one that is not.\n",
        drawn, drawn == 1 ? "" : "s");
  else
    pc_text_add(
        out,
        "No ground without piles is drawn (`keep_clear`, kind `no-piles`): a place may lie where fire "
        "engines and ambulances drive. Draw these drives, or look at the places before they are "
        "used.\n");
}

void pc_tables_place(const pc_scenario *scenario, const pc_placement *placement, const pc_notes *notes,
                     pc_unit_system system, pc_text *out) {
  if (placement->finalist_count == 0) {
    pc_text_add(out, "Stopped before any choice of places was found that can be worked.\n");
    return;
  }
  pc_time_unit unit = unit_of(placement);
  add_answer(scenario, placement, pc_is_one_night(scenario, placement->finalists[0].summary.replications),
             unit, system, out);
  pc_text_addf(out, "%s%spolicy %s, %zu places to choose among: %zu given, %zu generated; left out: ",
               scenario->name.text, scenario->name.text[0] ? ": " : "", scenario->policy.text,
               placement->site_count, placement->given, placement->generated);
  pc_text_addf(out, "%zu must not be used, %zu should not, %zu off the pavement or in the way.\n",
               placement->must_not, placement->should_not, placement->out_of_place);
  pc_text_addf(out, "Every choice has to hold %s of piled snow.\n",
               pc_show(placement->need_m3, PC_DIM_VOLUME, system, 3).text);
  add_drives(&scenario->site, out);
  add_places(placement, system, out);
  add_steps(placement, unit, out);
  add_worth(placement, unit, out);
  add_finalists(placement, unit, out);
  if (!isnan(last_step(placement)->bound_s))
    pc_text_addf(out,
                 "\nThe bound holds for every order of work that leaves no more than %s on the ground.\n",
                 pc_show(placement->left_kg, PC_DIM_MASS, system, 3).text);
  if (notes && notes->siting)
    pc_tables_siting(notes->siting, PC_SITING_LINES, system, out);
  pc_text_addf(out, "\n%s", pc_tables_caution_line());
}
