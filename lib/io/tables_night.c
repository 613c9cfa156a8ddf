// SPDX-License-Identifier: GPL-3.0-or-later
/* The night in one run as text: deadlines, the storm, areas, narrow passages, stops. */
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/csv.h"
#include "io/tables_private.h"

/* Results made by hand may lack the areas of their lot. */
static bool has_areas(const pc_lot *lot, const pc_summary *summary) {
  return summary->mean.areas && summary->area_late && summary->area_clear &&
         summary->mean.area_count == lot->area_count;
}

size_t pc_areas_late(const pc_summary *summary) {
  size_t late = 0;
  for (size_t a = 0; summary->area_late && a < summary->mean.area_count; a++)
    late += summary->area_late[a] > 0;
  return late;
}

/* ---- deadlines ---- */

pc_time_unit pc_run_time_unit(const pc_lot *lot, const pc_summary *summary) {
  double longest = summary->total_time_s.mean, least = INFINITY;
  /* beside clock times there is nothing that needs it, and a deadline must not change how a total reads */
  for (size_t a = 0; has_areas(lot, summary) && a < lot->area_count && !lot->clock.given; a++) {
    const pc_area_result *area = &summary->mean.areas[a];
    longest = fmax(longest, fmax(lot->areas[a].clear_by_s, area->done_s)); /* fmax passes over what is NaN */
    if (summary->area_late[a] > 0 && area->late_s > 0.0)
      least = fmin(least, area->late_s);
  }
  return pc_time_unit_for_both(longest, least);
}

/* Beside clock times it needs no unit in common with them, and 8 min say more than 0.13 h. */
pc_shown pc_show_late(const pc_clock *clock, double late_s, pc_time_unit unit) {
  return pc_show_seconds_in(late_s, clock->given ? pc_time_unit_for(late_s) : unit);
}

bool pc_tables_deadline(const pc_lot *lot, const pc_summary *summary, size_t a, pc_text *out) {
  if (!has_areas(lot, summary) || summary->area_late[a] == 0)
    return false;
  const pc_area_result *area = &summary->mean.areas[a];
  size_t late = summary->area_late[a], nights = summary->replications;
  pc_time_unit unit = pc_run_time_unit(lot, summary);
  pc_shown by = pc_show_when(&lot->clock, lot->areas[a].clear_by_s, unit);
  pc_text_addf(out, "Area \"%s\" ", lot->areas[a].name.text);
  if (late < nights) {
    pc_text_addf(out, "misses its deadline at %s in %zu of %zu nights", by.text, late, nights);
    if (isnan(area->late_s))
      pc_text_add(out, "; then it is not clear after it either.");
    else
      pc_text_addf(out, ", by %s%s.", pc_show_late(&lot->clock, area->late_s, unit).text,
                   late > 1 ? " on average" : "");
  } else if (isnan(area->late_s)) {
    pc_text_addf(out, "misses its deadline at %s: it is never clear%s.", by.text,
                 isnan(area->done_s) ? "" : " at it or after it");
  } else {
    pc_text_addf(out, "is clear at %s, ", pc_show_when(&lot->clock, area->ready_s, unit).text);
    pc_text_addf(out, "%s after its deadline.", pc_show_late(&lot->clock, area->late_s, unit).text);
  }
  return true;
}

void pc_tables_deadlines(const pc_lot *lot, const pc_summary *summary, pc_text *out) {
  for (size_t a = 0; a < lot->area_count; a++)
    if (pc_tables_deadline(lot, summary, a, out))
      pc_text_add(out, "\n");
}

/* As YAML takes it. */
static void add_name(const char *name, pc_text *out) {
  size_t length = strlen(name);
  if (strpbrk(name, ",[]{}:#&*!|>%@`\"'") || strchr("-? ", name[0]) || name[length - 1] == ' ')
    pc_text_add_quoted(out, name);
  else
    pc_text_add(out, name);
}

/* [dock court, yard]: what would come first for the i-th of these machines. */
static void add_ranks(const pc_lot *lot, const pc_order *order, size_t i, pc_text *out) {
  const unsigned char *ranks = &order->ranks[i * lot->area_count];
  const char *between = "[";
  for (int rank = 1; rank <= UCHAR_MAX; rank++)
    for (size_t a = 0; a < lot->area_count; a++)
      if (ranks[a] == rank) {
        pc_text_add(out, between);
        add_name(lot->areas[a].name.text, out);
        between = ", ";
      }
  pc_text_add(out, "]");
}

static size_t machines_of(const pc_lot *lot, size_t entry) {
  size_t count = 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    count += lot->machines[m].entry == entry;
  return count;
}

/* --set "…": an option to be pasted. Frees its argument. */
static void add_set(pc_text *argument, pc_text *out) {
  pc_text_add(out, "--set ");
  pc_text_add_shell(out, argument->data ? argument->data : "");
  out->failed |= argument->failed;
  pc_text_free(argument);
}

/* How to have it: --set "crew[1].first=[dock court]" … */
static void add_how(const pc_lot *lot, const pc_order *order, pc_text *out) {
  for (size_t i = 0, told; i < order->machine_count; i += told) {
    const pc_lot_machine *machine = &lot->machines[order->machines[i]];
    told = 1;
    while (i + told < order->machine_count &&
           lot->machines[order->machines[i + told]].entry == machine->entry)
      told++;
    pc_text_add(out, i > 0 ? " " : "");
    if (machine->entry == PC_NO_ENTRY) {
      pc_text argument = {0};
      pc_text_add(&argument, "crew=[{loader: ");
      add_name(machine->unit.loader.name.text, &argument);
      pc_text_add(&argument, ", box: ");
      add_name(machine->unit.box.name.text, &argument);
      pc_text_add(&argument, ", first: ");
      add_ranks(lot, order, i, &argument);
      pc_text_add(&argument, "}]");
      add_set(&argument, out);
    } else if (told == machines_of(lot, machine->entry)) {
      pc_text argument = {0};
      pc_text_addf(&argument, "crew[%zu].first=", machine->entry);
      add_ranks(lot, order, i, &argument);
      add_set(&argument, out);
    } else {
      pc_text_addf(out, "%s%sas an entry of its own in crew, with first: ",
                   order->machine_count > 1 ? machine->name.text : "", order->machine_count > 1 ? " " : "");
      add_ranks(lot, order, i, out);
    }
  }
}

/* By its name: numbers are those of the scenario's own list, and the area may be the map's. A number only
 * where the name could not be read back. */
static void add_area_path(const pc_lot *lot, size_t a, pc_text *out) {
  const char *name = lot->areas[a].name.text;
  if (strchr(name, ']') || name[strspn(name, "0123456789")] == '\0')
    pc_text_addf(out, "site.areas[%zu]", a);
  else
    pc_text_addf(out, "site.areas[%s]", name);
}

/* --set "site.areas[dock].sweep_before=15 min" … */
static void add_sweeps(const pc_lot *lot, const pc_order *order, pc_text *out) {
  for (size_t i = 0; i < order->area_count && order->sweep_before_s > 0.0; i++)
    if (!isnan(lot->areas[order->areas[i]].clear_by_s)) {
      pc_text argument = {0};
      add_area_path(lot, order->areas[i], &argument);
      pc_text_addf(&argument, ".sweep_before=%.0f min", order->sweep_before_s / 60.0);
      pc_text_add(out, i > 0 || order->machine_count > 0 ? " " : "");
      add_set(&argument, out);
    }
}

/* 'With "dock court" and then "yard" worked first by mid loader 1, and swept from 15 min before (…' */
static void add_first(const pc_lot *lot, const pc_order *order, pc_text *out) {
  bool several = order->area_count > 1;
  for (size_t i = 0; i < order->area_count; i++)
    pc_text_addf(out, "%s\"%s\"",
                 i == 0                      ? "With "
                 : i + 1 < order->area_count ? ", "
                                             : " and then ",
                 lot->areas[order->areas[i]].name.text);
  if (order->by_all && order->machine_count > 1)
    pc_text_addf(out, " worked first by %s",
                 order->machine_count == lot->machine_count ? "all machines" : "all machines that can");
  else if (order->machine_count > 0)
    pc_text_addf(out, " worked first by %s", lot->machines[order->machines[0]].name.text);
  if (order->sweep_before_s > 0.0)
    pc_text_addf(out, "%s swept, however thin the snow, from %.0f min before %s",
                 order->machine_count > 0 ? ", and" : "", order->sweep_before_s / 60.0,
                 several ? "their deadlines" : "its deadline");
  pc_text_add(out, " (");
  add_how(lot, order, out);
  add_sweeps(lot, order, out);
}

static void add_area_then(const pc_lot *lot, const pc_summary *then, size_t a, pc_time_unit unit,
                          pc_text *out) {
  const pc_area_result *area = &then->mean.areas[a];
  size_t late = then->area_late[a], nights = then->replications;
  if (isnan(area->ready_s)) {
    pc_text_addf(out, "\"%s\" is never clear", lot->areas[a].name.text);
    return;
  }
  pc_text_addf(out, "\"%s\" is clear at %s", lot->areas[a].name.text,
               pc_show_when(&lot->clock, area->ready_s, unit).text);
  if (late == 0)
    pc_text_add(out, nights == 1 ? ", in time" : ", in time in every night");
  else if (nights > 1)
    pc_text_addf(out, " on average, late in %zu of %zu nights", late, nights);
  if (late > 0 && area->late_s > 0.0)
    pc_text_addf(out, ", %s after its deadline%s", pc_show_late(&lot->clock, area->late_s, unit).text,
                 late > 1 && late < nights ? " in those"
                 : late < nights           ? " then"
                                           : "");
}

/* Chosen for this run, they may be chosen otherwise once something else comes first. */
static void add_headings(const pc_lot *lot, const pc_heading_report *headings, pc_text *out) {
  for (size_t i = 0; headings && i < headings->count; i++)
    for (size_t a = 0; a < lot->area_count; a++)
      if (pc_name_is(&lot->areas[a].name, headings->items[i].area.text)) {
        pc_text argument = {0};
        add_area_path(lot, a, &argument);
        pc_text_addf(
            &argument, ".heading=%s deg",
            pc_show_plain(pc_units_convert(headings->items[i].heading_rad, PC_DIM_ANGLE, "deg")).text);
        pc_text_add(out, " ");
        add_set(&argument, out);
      }
}

/* Which sweeps were tried; another may do better. */
static void add_tried(const pc_order *order, pc_text *out) {
  if (order->sweep_count == 0)
    return;
  pc_text_add(out, "Tried: with no sweep, and swept from ");
  for (size_t i = 0; i < order->sweep_count; i++)
    pc_text_addf(out, "%s%.0f",
                 i == 0                       ? ""
                 : i + 1 < order->sweep_count ? ", "
                                              : " and ",
                 order->sweeps_s[i] / 60);
  pc_text_add(out, " min before the deadline.\n");
}

void pc_tables_order(const pc_lot *lot, const pc_summary *now, const pc_order *order,
                     const pc_heading_report *headings, pc_text *out) {
  if (!order || order->end == PC_ORDER_NOT_ASKED)
    return;
  if (order->end != PC_ORDER_HELPS) {
    pc_text_add(out, order->end == PC_ORDER_NO_HELP && order->sweep_count > 0
                         ? "Worked before all others, or swept before its deadline, what is late would be as "
                           "late.\n"
                     : order->end == PC_ORDER_NO_HELP
                         ? "Worked before all others, what is late would be as late.\n"
                         : "No machine that works what is late has other work that could wait, or it works "
                           "that first already.\n");
    add_tried(order, out);
    return;
  }
  pc_time_unit unit = pc_run_time_unit(lot, now);
  add_first(lot, order, out);
  add_headings(lot, headings, out);
  const char *between = "): ";
  for (size_t a = 0; a < lot->area_count; a++) {
    if (now->area_late[a] == 0 && order->then.area_late[a] == 0)
      continue;
    pc_text_add(out, between);
    add_area_then(lot, &order->then, a, unit, out);
    between = "; ";
  }
  pc_shown then = pc_show_seconds_in(order->then.total_time_s.mean, unit),
           was = pc_show_seconds_in(now->total_time_s.mean, unit);
  if (now->unfinished > 0 || order->then.unfinished > 0)
    pc_text_add(out, "; not all of it is cleared, with that order or without.\n");
  else if (strcmp(then.text, was.text) == 0)
    pc_text_addf(out, "; all of it takes %s, as now.\n", was.text);
  else
    pc_text_addf(out, "; all of it takes %s instead of %s.\n", then.text, was.text);
  if (order->late_then > 0) /* else nobody looks for another */
    add_tried(order, out);
}

/* ---- the storm ---- */

static pc_shown show_rate(double kgps, pc_unit_system system) {
  pc_shown shown;
  const char *unit = pc_column_mass(system);
  snprintf(shown.text, sizeof shown.text, "%.20s %s/h",
           pc_show_number(3600.0 * kgps, PC_DIM_MASS, unit, 1).text, unit);
  return shown;
}

/* What is cleared, not what could be: a machine at rest may have nothing that it may work on. */
static void add_behind(const pc_keep_up *up, pc_unit_system system, pc_text *out) {
  double share = up->fallen_m > 0 ? fmax(0, 1 - up->grown_m / up->fallen_m) : 0;
  pc_text_addf(out, "Storm: the crew can't keep up: snow falls faster (%s) than it is cleared (",
               show_rate(up->fall_kgps, system).text);
  if (isnan(up->clearing_kgps))
    pc_text_add(out, "nobody is at work");
  else
    pc_text_add(out, show_rate(share * up->fall_kgps, system).text);
  pc_text_addf(out, "): %s of the ", pc_show(up->grown_m, PC_DIM_LENGTH, system, 2).text);
  pc_text_addf(out, "%s that fall in the second half of the heaviest stretch stay on the ground",
               pc_show(up->fallen_m, PC_DIM_LENGTH, system, 2).text);
  if (up->working > 0.0 && up->working < 0.95)
    pc_text_addf(out, "; its machines are at work %s of their time then",
                 pc_show_percent(up->working, 0).text);
  pc_text_add(out, ".\n");
}

size_t pc_first_late(const pc_summary *summary) {
  size_t a = 0;
  while (summary->area_late && a < summary->mean.area_count && summary->area_late[a] == 0)
    a++;
  return a;
}

/* A crew that keeps up with the snow may be late all the same; both in one sentence, lest they seem to
 * differ. */
static void add_late(const pc_lateness *late, const char *but, pc_text *out) {
  const pc_summary *summary = late->summary;
  size_t areas = pc_areas_late(summary), a = pc_first_late(summary);
  pc_shown nights = pc_late_nights(summary);
  if (areas == 0)
    return;
  if (areas > 1)
    pc_text_addf(out, "; %s %zu areas are late%s", but, areas, nights.text);
  else if (*nights.text)
    pc_text_addf(out, "; %s area \"%s\" is late%s", but, late->first, nights.text);
  else if (isnan(summary->mean.areas[a].ready_s))
    pc_text_addf(out, "; %s area \"%s\" is never clear", but, late->first);
  else
    pc_text_addf(out, "; %s area \"%s\" is late, clear at %s%s", but, late->first,
                 pc_show_when(late->clock, summary->mean.areas[a].ready_s, late->unit).text,
                 summary->replications > 1 ? " on average" : "");
}

void pc_tables_kept_up(const pc_keep_up *up, const pc_lateness *late, pc_unit_system system, pc_text *out) {
  if (up->keeping == PC_KEEPING_BEHIND)
    add_behind(up, system, out);
  if (up->keeping != PC_KEEPING_UP)
    return;
  if (up->untouched > 0)
    pc_text_addf(out,
                 "Storm: the crew keeps up with the snow if all areas are taken together, with %s in the "
                 "heaviest stretch; but %d area%s lie%s untouched until it ends, under up to %s (mean)",
                 show_rate(up->fall_kgps, system).text, up->untouched, up->untouched == 1 ? "" : "s",
                 up->untouched == 1 ? "s" : "", pc_show(up->deepest_m, PC_DIM_LENGTH, system, 2).text);
  else
    pc_text_addf(
        out,
        "Storm: the crew keeps up with the snow: never more than %s on any area (mean), with %s in the "
        "heaviest stretch",
        pc_show(up->deepest_m, PC_DIM_LENGTH, system, 2).text, show_rate(up->fall_kgps, system).text);
  add_late(late, up->untouched > 0 ? "and" : "but", out);
  pc_text_add(out, ".\n");
}

/* Without a trigger a crew is out all night for next to nothing: that it can let snow lie first is not seen.
 */
static void add_no_trigger(const pc_lot *lot, pc_unit_system system, pc_text *out) {
  if (lot->snow.trigger_m > lot->snow.done_below_m || !(lot->fall_m > 2.0 * lot->snow.done_below_m))
    return;
  pc_text_addf(
      out,
      "  While it snows they go out for every %s (done_below): with a snow.trigger, %s, say, they let so "
      "much lie first.\n",
      pc_show(lot->snow.done_below_m, PC_DIM_LENGTH, system, 2).text, system == PC_US ? "2 in" : "5 cm");
}

void pc_tables_keep_up(const pc_depths_series *series, const pc_lot *lot, const pc_summary *summary,
                       pc_unit_system system, pc_text *out) {
  if (!series)
    return;
  if (series->failed) {
    out->failed = true;
    return;
  }
  pc_keep_up up = pc_depths_judge(series);
  size_t a = pc_first_late(summary);
  const pc_lateness late = {.summary = summary,
                            .first =
                                has_areas(lot, summary) && a < lot->area_count ? lot->areas[a].name.text : "",
                            .clock = &lot->clock,
                            .unit = pc_run_time_unit(lot, summary)};
  pc_tables_kept_up(&up, &late, system, out);
  add_no_trigger(lot, system, out);
}

/* ---- areas ---- */

/* What the areas of this lot have to show. */
typedef struct shown_columns {
  bool deadlines, storm;
  pc_time_unit time;
} shown_columns;

static shown_columns find_columns(const pc_lot *lot, const pc_summary *summary) {
  shown_columns shown = {.storm = lot->storm_end_s > 0.0, .time = pc_run_time_unit(lot, summary)};
  for (size_t a = 0; a < lot->area_count; a++)
    shown.deadlines |= !isnan(lot->areas[a].clear_by_s);
  return shown;
}

static void add_when_clear(pc_table *table, const pc_lot *lot, const pc_summary *summary, size_t a,
                           const shown_columns *shown) {
  size_t clear = summary->area_clear[a], nights = summary->replications;
  pc_shown time = {"never"};
  if (clear > 0)
    time = pc_show_when(&lot->clock, summary->mean.areas[a].done_s, shown->time);
  if (clear > 0 && clear < nights)
    pc_table_cell(table, "%s in %zu of %zu nights", time.text, clear, nights);
  else
    pc_table_cell(table, "%s", time.text);
}

static void add_lateness(pc_table *table, const pc_lot *lot, const pc_summary *summary, size_t a,
                         const shown_columns *shown) {
  double by_s = lot->areas[a].clear_by_s, late_s = summary->mean.areas[a].late_s;
  size_t late = summary->area_late[a];
  pc_table_cell(table, "%s", isnan(by_s) ? "-" : pc_show_when(&lot->clock, by_s, shown->time).text);
  if (isnan(by_s))
    pc_table_cell(table, "-");
  else if (late == 0)
    pc_table_cell(table, "kept");
  else if (summary->replications > 1)
    pc_table_cell(table, "late in %zu of %zu nights", late, summary->replications);
  else if (isnan(late_s))
    pc_table_cell(table, "missed");
  else
    pc_table_cell(table, "%s late", pc_show_late(&lot->clock, late_s, shown->time).text);
}

static void add_areas(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  if (!has_areas(lot, summary))
    return;
  shown_columns shown = find_columns(lot, summary);
  if (lot->area_count < 2 && !shown.deadlines && !shown.storm)
    return;
  char alignment[8], words[96];
  snprintf(alignment, sizeof alignment, "lr%s%s", shown.deadlines ? "rl" : "", shown.storm ? "r" : "");
  /* while snow falls an area is cleared anew: that it is clear late says nothing of a deadline before */
  snprintf(words, sizeof words, "area|clear%s at%s%s", shown.storm ? " for good" : "",
           shown.deadlines ? "|deadline|" : "", shown.storm ? "|deepest (mean)" : "");
  pc_table table;
  pc_table_start(&table, alignment);
  pc_table_heading(&table, words);
  for (size_t a = 0; a < lot->area_count; a++) {
    pc_table_cell(&table, "%s", lot->areas[a].name.text);
    add_when_clear(&table, lot, summary, a, &shown);
    if (shown.deadlines)
      add_lateness(&table, lot, summary, a, &shown);
    if (shown.storm)
      pc_table_cell(&table, "%s", pc_show_depth(summary->mean.areas[a].max_depth_m, system).text);
  }
  pc_text_add(out, "\nAreas\n");
  pc_table_write(&table, out);
  pc_table_free(&table);
}

/* ---- passages and stops ---- */

static void add_passages(const pc_lot *lot, const pc_result *mean, pc_unit_system system, pc_text *out) {
  if (lot->passage_count == 0 || mean->passage_count != lot->passage_count)
    return;
  pc_table table;
  pc_table_start(&table, "lrr");
  pc_table_heading(&table, "passage|machines at once|waiting for it");
  for (size_t i = 0; i < lot->passage_count; i++) {
    pc_table_cell(&table, "%s", lot->passages[i].name.text);
    pc_table_cell(&table, "%d", lot->passages[i].machines);
    pc_table_cell(&table, "%s", pc_show(mean->passages[i].wait_s, PC_DIM_TIME, system, 3).text);
  }
  pc_text_add(out, "\nNarrow passages\n");
  pc_table_write(&table, out);
  pc_table_free(&table);
}

static void add_stops(const pc_lot *lot, const pc_result *mean, pc_unit_system system, pc_text *out) {
  bool breaks = false, refuelling = false, repairs = false;
  for (size_t m = 0; m < mean->machine_count; m++) {
    breaks |= mean->machines[m].break_s > 0.0;
    refuelling |= mean->machines[m].refuel_s > 0.0;
    repairs |= mean->machines[m].repair_s > 0.0;
  }
  if (!breaks && !refuelling && !repairs)
    return;
  char alignment[8], words[64];
  snprintf(alignment, sizeof alignment, "l%s%s%s", breaks ? "r" : "", refuelling ? "r" : "",
           repairs ? "r" : "");
  snprintf(words, sizeof words, "machine%s%s%s", breaks ? "|breaks" : "", refuelling ? "|refuelling" : "",
           repairs ? "|repairs" : "");
  pc_table table;
  pc_table_start(&table, alignment);
  pc_table_heading(&table, words);
  for (size_t m = 0; m < mean->machine_count && m < lot->machine_count; m++) {
    const pc_machine_result *machine = &mean->machines[m];
    pc_table_cell(&table, "%s", lot->machines[m].name.text);
    if (breaks)
      pc_table_cell(&table, "%s", pc_show(machine->break_s, PC_DIM_TIME, system, 3).text);
    if (refuelling)
      pc_table_cell(&table, "%s", pc_show(machine->refuel_s, PC_DIM_TIME, system, 3).text);
    if (repairs)
      pc_table_cell(&table, "%s", pc_show(machine->repair_s, PC_DIM_TIME, system, 3).text);
  }
  pc_text_add(out, "\nStops\n");
  pc_table_write(&table, out);
  pc_table_free(&table);
}

void pc_tables_night(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  add_areas(lot, summary, system, out);
  add_passages(lot, &summary->mean, system, out);
  add_stops(lot, &summary->mean, system, out);
}

/* ---- cost ---- */

void pc_tables_rates_note(const pc_money *money, pc_text *out) {
  if (pc_money_missing(money)[0])
    pc_text_addf(out, "The cost is without %s.\n", pc_money_missing(money));
}

void pc_tables_haul_note(const pc_money *money, double haul_off_kg, pc_text *out) {
  if (isnan(money->haul_off_per_m3) && haul_off_kg > 0.0)
    pc_text_add(out,
                "The cost is without hauling off what the zones can't hold: money.haul_off is not given.\n");
}

bool pc_tables_fuel_note(const pc_money *money, const pc_lot_machine *machines, size_t count,
                         const pc_summary *summary, pc_text *out) {
  if (isnan(money->fuel_per_m3) || !isnan(summary->fuel_l))
    return false;
  for (size_t m = 0; m < count; m++) {
    const pc_unit *unit = &machines[m].unit;
    if (unit->physical && !isnan(unit->loader.fuel_per_kwh_l) && !isnan(unit->loader.fuel_idle_lph))
      continue;
    pc_text_addf(out,
                 "%s: loader \"%s\" has no fuel figures (fuel.per_kwh and fuel.idle, with power, mass and "
                 "traction).\n",
                 isnan(summary->cost) ? "No cost is worked out, as only fuel has a price"
                                      : "The cost is without fuel",
                 unit->loader.name.text);
    return true;
  }
  return false;
}
