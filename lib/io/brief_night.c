// SPDX-License-Identifier: GPL-3.0-or-later
/* What the brief says of the night: when the work and the storm begin and end, deadlines, shifts, breaks. */
#include <math.h>
#include <stdio.h>

#include "io/brief_private.h"
#include "io/csv.h"
#include "io/tables_private.h"
#include "study/crossings.h"

const pc_type pc_brief_item = {.size = 7.6};

/* To the millisecond: what the scenario gives as a round time is one again. */
double pc_brief_clock_s(const pc_lot *lot, double work_s) {
  return round(pc_lot_clock_s(lot, work_s) * 1e3) / 1e3;
}

/* After the last word of a moment; clock times need none. */
static const char *after(const pc_lot *lot) {
  return lot->clock.given ? "" : " after the start";
}

static pc_shown moment(const pc_lot *lot, double clock_s, pc_unit_system units) {
  return pc_show_moment(&lot->clock, clock_s, units, 3);
}

/* When the snow is as deep as the trigger, or the storm over without that: only then does the work begin
 * (sim/storm.c). In time at work; 0: at once. */
static double begins_s(const pc_lot *lot, bool *deep) {
  double depth_m = lot->snow.depth_m, trigger_m = lot->snow.trigger_m;
  *deep = true;
  if (!(trigger_m > depth_m) || !(lot->storm_end_s > 0))
    return 0;
  for (size_t i = 0; i + 1 < lot->fall_count; i++) {
    const pc_fall *fall = &lot->falls[i];
    double more_m = fall->depth_mps * (lot->falls[i + 1].after_s - fall->after_s);
    if (more_m > 0 && depth_m + more_m >= trigger_m * (1 - 1e-12))
      return fall->after_s + (trigger_m - depth_m) / fall->depth_mps;
    depth_m += more_m;
  }
  *deep = false;
  return lot->storm_end_s;
}

/* When all snow of an area is to be pushed for its deadline, by the clock; NaN: never, or it is anyhow. */
static double sweep_s(const pc_lot *lot, size_t area) {
  const pc_lot_area *of = &lot->areas[area];
  double from_s = fmax(0, of->clear_by_s - of->sweep_before_s);
  bool thin =
      lot->snow.trigger_m > lot->snow.done_below_m && from_s < pc_brief_clock_s(lot, lot->storm_end_s);
  return of->sweep_before_s > 0 && thin && !isnan(of->clear_by_s) ? from_s : NAN;
}

/* The area whose sweep comes before the snow lies deep enough, and so begins the work: of those that the
 * machine works, or of all where snow lies already, which may be pushed everywhere from then on. -1: none. */
static int begins_with(const pc_lot *lot, size_t machine, double *begins_s) {
  bool anywhere = machine == PC_BRIEF_ALL || lot->snow.depth_m > lot->snow.done_below_m;
  int first = -1;
  for (size_t a = 0; a < lot->area_count; a++) {
    double from_s = sweep_s(lot, a);
    if ((anywhere || lot->machines[machine].allowed[a]) && from_s < *begins_s) { /* never for NaN */
      *begins_s = from_s;
      first = (int)a;
    }
  }
  return first;
}

void pc_brief_start(pc_column *column, const pc_lot *lot, size_t machine, bool shift, pc_unit_system units) {
  bool deep;
  double begins = pc_brief_clock_s(lot, begins_s(lot, &deep));
  int area = begins_with(lot, machine, &begins);
  if (lot->clock.given && !shift)
    pc_column_addf(column, &pc_brief_item, 0, begins > 0 ? "Be there at %s." : "The work starts at %s.",
                   pc_clock_show(&lot->clock, 0).text);
  if (begins > 0 && area >= 0)
    pc_column_addf(column, &pc_brief_item, 0,
                   "The work begins at %s%s: %s is to be pushed then for its deadline.",
                   moment(lot, begins, units).text, after(lot), lot->areas[area].name.text);
  else if (begins > 0 && deep)
    pc_column_addf(column, &pc_brief_item, 0, "The work begins once %s of snow lies, at about %s%s.",
                   pc_show(lot->snow.trigger_m, PC_DIM_LENGTH, units, 3).text,
                   moment(lot, begins, units).text, after(lot));
  else if (begins > 0)
    pc_column_addf(column, &pc_brief_item, 0,
                   "The snow never gets as deep as %s: the work begins when the storm is over, at %s%s.",
                   pc_show(lot->snow.trigger_m, PC_DIM_LENGTH, units, 3).text,
                   moment(lot, begins, units).text, after(lot));
}

void pc_brief_storm(pc_column *column, const pc_lot *lot, pc_unit_system units) {
  for (size_t i = 0; i < lot->fall_count && lot->storm_end_s > 0; i++)
    if (lot->falls[i].depth_mps > 0) { /* the first that falls */
      double from_s = pc_brief_clock_s(lot, lot->falls[i].after_s);
      pc_column_addf(column, &pc_brief_item, 0, "Snow falls from %s to %s%s.",
                     from_s > 0 || lot->clock.given ? moment(lot, from_s, units).text : "the start",
                     moment(lot, pc_brief_clock_s(lot, lot->storm_end_s), units).text, after(lot));
      return;
    }
}

void pc_brief_pauses(pc_column *column, const pc_lot *lot) {
  if (lot->work_minutes_per_hour < 60)
    pc_column_addf(column, &pc_brief_item, 0,
                   "%s min of each hour are worked; the pauses come on top of the times at work.",
                   pc_show_plain(lot->work_minutes_per_hour).text);
}

/* Pavement that is closed to the machine. */
static void add_kept_off(pc_column *column, const pc_brief_content *content, size_t machine) {
  const pc_lot *lot = content->lot;
  const pc_site *site = &content->scenario->site;
  const bool *closed = lot->lane_sets[lot->machines[machine].lane_set].closed;
  pc_text words = {0};
  for (size_t i = 0; closed && i < pc_site_pavement_count(site); i++)
    if (closed[i])
      pc_text_addf(&words, "%s %s", words.length > 0 ? "," : "Keep off (cross-hatched), it is closed to you:",
                   pc_site_pavement_at(site, i).name);
  if (words.length > 0)
    pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
  pc_text_free(&words);
}

void pc_brief_across(pc_column *column, const pc_brief_content *content, size_t machine) {
  const pc_lot *lot = content->lot;
  add_kept_off(column, content, machine);
  pc_crossings crossings;
  pc_crossings_start(&crossings, lot, content->scenario);
  for (size_t i = 0; i < content->row_count; i++)
    if (content->rows[i].machine == machine)
      pc_crossings_row(&crossings, &content->rows[i]);
  for (size_t a = 0; a < lot->area_count; a++) {
    int cycles = pc_crossings_of(&crossings, machine, a);
    if (cycles > 0)
      pc_column_addf(
          column, &pc_brief_item, 0,
          "%s is for others to work, but %d of your ways led across it: ask first whether it carries you.",
          lot->areas[a].name.text, cycles);
  }
  if (crossings.failed)
    pc_canvas_fail(column->canvas);
  pc_crossings_free(&crossings);
}

/* By how much an area is late that is. */
static void add_delay(const pc_summary *summary, size_t area, pc_unit_system units, pc_text *words) {
  const pc_area_result *mean = &summary->mean.areas[area];
  if (isnan(mean->late_s)) {
    pc_text_add(words, ", never clear");
    return;
  }
  pc_text_addf(words, ", by %s", pc_show(mean->late_s, PC_DIM_TIME, units, 2).text);
  if (summary->area_late[area] > 1)
    pc_text_add(words, " on average");
}

void pc_brief_deadlines(pc_column *column, const pc_brief_content *content, pc_unit_system units) {
  const pc_lot *lot = content->lot;
  const pc_summary *summary = content->summary;
  for (size_t a = 0; a < lot->area_count; a++) {
    pc_text words = {0};
    if (isnan(lot->areas[a].clear_by_s))
      continue;
    pc_text_addf(&words, "%s has to be clear %s%s%s; late in %zu of %zu nights", lot->areas[a].name.text,
                 lot->clock.given ? "by " : "", moment(lot, lot->areas[a].clear_by_s, units).text, after(lot),
                 summary->area_late[a], summary->replications);
    if (summary->area_late[a] > 0)
      add_delay(summary, a, units, &words);
    pc_text_add(&words, ".");
    pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
  }
}

/* When breaks are due until the end of its work: they count from the start of the shift (sim/stops.c). */
static void add_due(const pc_lot *lot, const pc_lot_machine *own, double end_s, pc_text *words) {
  enum { DUE_SHOWN = 6 };
  double from_s = pc_brief_clock_s(lot, own->from_s), every_s = pc_brief_clock_s(lot, own->break_every_s);
  double for_s = pc_brief_clock_s(lot, own->break_for_s);
  double due_s = from_s + every_s;
  for (int i = 0; i < DUE_SHOWN && due_s < end_s; i++, due_s += for_s + every_s)
    pc_text_addf(words, "%s%s", i == 0 ? ", due at about " : ", ", pc_clock_show(&lot->clock, due_s).text);
  if (due_s < end_s && every_s > 0)
    pc_text_add(words, ", …");
}

int pc_brief_first_area(const pc_lot *lot, size_t machine, int rank) {
  const pc_lot_machine *own = &lot->machines[machine];
  bool blade = own->unit.box.blade != PC_BLADE_NONE; /* has an order of its own, as who carves out */
  for (size_t a = 0; a < lot->area_count && !blade && rank <= own->first_count; a++)
    if (own->first[a] == rank && own->allowed[a] && lot->areas[a].into < 0)
      return (int)a;
  return -1;
}

void pc_brief_first(pc_column *column, const pc_lot *lot, size_t machine, pc_unit_system units) {
  for (int rank = 1; rank <= lot->machines[machine].first_count; rank++) {
    int area = pc_brief_first_area(lot, machine, rank);
    if (area < 0)
      continue;
    double by_s = lot->areas[area].clear_by_s;
    char until[256] = "";
    if (!isnan(by_s))
      snprintf(until, sizeof until, ", until it is clear %s%s%s or later", lot->clock.given ? "at " : "",
               moment(lot, by_s, units).text, after(lot));
    pc_column_addf(column, &pc_brief_item, 0, "%s comes %s: work it whenever there is snow to push%s.",
                   lot->areas[area].name.text, rank == 1 ? "first" : "next", until);
  }
}

void pc_brief_sweeps(pc_column *column, const pc_lot *lot, size_t machine, pc_unit_system units) {
  for (size_t a = 0; a < lot->area_count; a++) {
    double from_s = sweep_s(lot, a);
    if (isnan(from_s) || !lot->machines[machine].allowed[a])
      continue;
    pc_shown from = moment(lot, from_s, units);
    pc_column_addf(column, &pc_brief_item, 0,
                   "%s: from %s%s on push all snow there, however thin, to have it clear %s%s%s.",
                   lot->areas[a].name.text, from.text, after(lot), lot->clock.given ? "at " : "",
                   moment(lot, lot->areas[a].clear_by_s, units).text, after(lot));
  }
}

/* "dock apron and west drive" */
static size_t add_awaited(const pc_lot *lot, size_t area, pc_text *words) {
  size_t count = 0, told = 0;
  for (size_t other = 0; other < lot->area_count; other++)
    count += lot->areas[area].after[other];
  for (size_t other = 0; other < lot->area_count; other++)
    if (lot->areas[area].after[other]) {
      pc_text_addf(words, "%s%s",
                   told == 0           ? ""
                   : told + 1 == count ? " and "
                                       : ", ",
                   lot->areas[other].name.text);
      told++;
    }
  return count;
}

static const char *is_clear(size_t count) {
  return count == 1 ? " is clear" : " are clear";
}

void pc_brief_once(const pc_lot *lot, size_t area, pc_text *words) {
  pc_text awaited = {0};
  size_t count = add_awaited(lot, area, &awaited);
  if (count > 0)
    pc_text_addf(words, ", once %s%s", awaited.data ? awaited.data : "", is_clear(count));
  words->failed |= awaited.failed;
  pc_text_free(&awaited);
}

void pc_brief_waits(pc_column *column, const pc_lot *lot, size_t machine, pc_unit_system units) {
  for (size_t a = 0; a < lot->area_count; a++) {
    pc_text words = {0}, awaited = {0};
    double opens_s = pc_brief_clock_s(lot, lot->areas[a].opens_s);
    size_t count = add_awaited(lot, a, &awaited);
    if ((machine == PC_BRIEF_ALL || lot->machines[machine].allowed[a]) && (opens_s > 0 || count > 0)) {
      pc_text_addf(&words, "%s: wait", lot->areas[a].name.text);
      if (opens_s > 0)
        pc_text_addf(&words, " until %s%s", moment(lot, opens_s, units).text, after(lot));
      if (count > 0)
        pc_text_addf(&words, "%s until %s%s, whatever the clock says", opens_s > 0 ? ", and" : "",
                     awaited.data ? awaited.data : "", is_clear(count));
      pc_text_add(&words, ".");
      words.failed |= awaited.failed;
      pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
    }
    pc_text_free(&words);
    pc_text_free(&awaited);
  }
}

void pc_brief_come_back(pc_column *column, const pc_lot *lot, pc_unit_system units) {
  if (!(lot->storm_end_s > 0))
    return;
  double depth_m = fmax(lot->snow.trigger_m, lot->snow.done_below_m);
  pc_column_addf(column, &pc_brief_item, 0, "While it snows come back once more than %s lies there again.",
                 pc_show(depth_m, PC_DIM_LENGTH, units, 3).text);
}

int pc_brief_area_of(const pc_lot *lot, const pc_trace_row *row, size_t machine) {
  pc_point middle = {(row->from.x_m + row->to.x_m) / 2, (row->from.y_m + row->to.y_m) / 2};
  if (row->machine != machine || (row->phase != PC_PHASE_FILL && row->phase != PC_PHASE_CLEAN_UP))
    return -1;
  int area = pc_ground_find(lot->ground, middle);
  /* the middle of a lane that straddles an edge may lie beyond it */
  return area >= 0 && lot->machines[machine].allowed[area] ? area : -1;
}

/* A push there after so long a time without one is another visit. */
static const double away_s = 20 * 60.0;

void pc_brief_again(const pc_brief_content *content, size_t machine, size_t area, pc_text *words) {
  enum { VISITS_SHOWN = 5 };
  const pc_lot *lot = content->lot;
  double last_s = NAN;
  int visits = 0;
  for (size_t i = 0; i < content->row_count && lot->storm_end_s > 0; i++) {
    const pc_trace_row *row = &content->rows[i];
    if (pc_brief_area_of(lot, row, machine) != (int)area)
      continue;
    bool again = row->start_s - last_s > away_s; /* never for NaN */
    last_s = row->end_s;
    if (again && visits++ < VISITS_SHOWN)
      pc_text_addf(words, "%s%s", visits == 1 ? "; again from " : ", ",
                   pc_show_clock(&lot->clock, pc_brief_clock_s(lot, row->start_s)).text);
  }
  if (visits > 0 && !lot->clock.given)
    pc_text_add(words, " h");
  if (visits > VISITS_SHOWN)
    pc_text_addf(words, " and %d more", visits - VISITS_SHOWN);
}

void pc_brief_shift(pc_column *column, const pc_brief_content *content, size_t machine,
                    pc_unit_system units) {
  const pc_lot *lot = content->lot;
  const pc_lot_machine *own = &lot->machines[machine];
  pc_brief_pauses(column, lot);
  double from_s = pc_brief_clock_s(lot, own->from_s), until_s = pc_brief_clock_s(lot, own->until_s);
  bool shift = own->from_s > 0 || !isnan(own->until_s);
  if (shift)
    pc_column_addf(column, &pc_brief_item, 0, "Your shift: from %s to %s%s.", moment(lot, from_s, units).text,
                   isnan(until_s) ? "the end" : moment(lot, until_s, units).text, after(lot));
  pc_brief_start(column, lot, machine, shift, units);
  if (isnan(own->break_every_s))
    return;
  pc_text words = {0};
  pc_text_addf(&words, "Breaks: %s after every %s",
               pc_show(pc_brief_clock_s(lot, own->break_for_s), PC_DIM_TIME, units, 3).text,
               pc_show(pc_brief_clock_s(lot, own->break_every_s), PC_DIM_TIME, units, 3).text);
  if (lot->clock.given)
    add_due(lot, own, fmin(content->summary->total_time_s.mean, isnan(until_s) ? INFINITY : until_s), &words);
  pc_text_add(&words, ". While you wait for work take one as soon as it is due.");
  pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
  pc_text_free(&words);
}
