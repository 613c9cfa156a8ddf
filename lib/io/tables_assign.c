// SPDX-License-Identifier: GPL-3.0-or-later
/* The plan of a night over many lots, for people. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/memory.h"
#include "io/tables_private.h"

static const pc_assign_trial *trial_of(const pc_assignment *a, size_t unit, size_t lot) {
  return &a->trials[unit * a->lot_count + lot];
}

/* "2 mid loader with 14 ft" */
static pc_shown show_unit(const pc_fleet *fleet, const pc_assign_unit *unit) {
  pc_shown shown;
  char number[16] = "";
  if (unit->together > 1)
    snprintf(number, sizeof number, "%d × ", unit->together);
  snprintf(shown.text, sizeof shown.text, "%s%.60s with %.60s", number,
           fleet->machines[unit->machine].name.text, fleet->boxes[unit->box].name.text);
  return shown;
}

/* "mid loader 1", "mid loader 2 to 3": machines of a kind are numbered in the order of the plan. */
static pc_shown show_machines(const pc_fleet *fleet, const pc_assignment *a, size_t route) {
  pc_shown shown;
  const pc_assign_unit *unit = &a->units[a->plan.routes[route].unit];
  const pc_fleet_machine *machine = &fleet->machines[unit->machine];
  int first = 1;
  for (size_t r = 0; r < route; r++)
    if (a->units[a->plan.routes[r].unit].machine == unit->machine)
      first += a->units[a->plan.routes[r].unit].together;
  if (machine->count == 1)
    snprintf(shown.text, sizeof shown.text, "%s", machine->name.text);
  else if (unit->together == 1)
    snprintf(shown.text, sizeof shown.text, "%.63s %d", machine->name.text, first);
  else
    snprintf(shown.text, sizeof shown.text, "%.63s %d to %d", machine->name.text, first,
             first + unit->together - 1);
  return shown;
}

static void add_proof(const pc_assignment *a, pc_time_unit unit, pc_text *out) {
  const pc_assign_plan *plan = &a->plan;
  bool cost = a->settings.least == PC_LEAST_COST;
  if (a->untried > 0) {
    pc_text_addf(out,
                 "This may not be the best plan: stopped with %zu of %zu trials not simulated. How far it is "
                 "from the best is not known.\n",
                 a->untried, a->unit_count * a->lot_count);
    return;
  }
  if (plan->gap == 0.0) {
    pc_text_addf(out, "No plan with this fleet %s.\n", cost ? "costs less" : "is done sooner");
    return;
  }
  pc_shown bound =
      cost ? pc_show_number(plan->bound, PC_DIM_NUMBER, "", 2) : pc_show_seconds_in(plan->bound, unit);
  pc_text_addf(out, "This may not be the best plan: %s. None %s less than %s, %s below this one.\n",
               plan->stopped    ? "the search was stopped"
               : plan->complete ? "the search was ended at its limit of steps"
                                : "there are too many routes to look at them all",
               cost ? "costs" : "takes", bound.text, pc_show_percent(plan->gap, 1).text);
}

/* Fuel has a price, but what a machine of the plan burns is not known. */
static void add_fuel_note(const pc_fleet *fleet, const pc_assignment *a, pc_text *out) {
  for (size_t r = 0; r < a->plan.route_count && a->priced && !isnan(fleet->money.fuel_per_m3); r++)
    for (size_t i = 0; i < a->plan.routes[r].stop_count; i++) {
      const pc_assign_route *route = &a->plan.routes[r];
      if (!isnan(trial_of(a, route->unit, route->stops[i].lot)->fuel_l))
        continue;
      pc_text_addf(out,
                   "The cost is without the fuel of machines that have no fuel figures (fuel.per_kwh and "
                   "fuel.idle, with power, mass and traction): \"%s\" on \"%s\" is the first of them.\n",
                   fleet->machines[a->units[route->unit].machine].name.text,
                   a->lots[route->stops[i].lot].text);
      return;
    }
}

static void add_answer(const pc_fleet *fleet, const pc_assignment *a, pc_time_unit unit, pc_text *out) {
  const pc_assign_plan *plan = &a->plan;
  int machines = 0, all = 0;
  for (size_t r = 0; r < plan->route_count; r++)
    machines += a->units[plan->routes[r].unit].together;
  for (size_t m = 0; m < fleet->machine_count; m++)
    all += fleet->machines[m].count;
  if (a->impossible > 0)
    pc_text_addf(out, "%zu of %zu lots %s done", a->lot_count - a->impossible, a->lot_count,
                 a->lot_count - a->impossible == 1 ? "is" : "are");
  else
    pc_text_addf(out, "All %zu lot%s done", a->lot_count, a->lot_count == 1 ? " is" : "s are");
  if (a->hauled > 0)
    pc_text_addf(out, ", but for what the full zones of %zu can't hold,", a->hauled);
  pc_text_addf(out, " after %s with %d of %d machine%s", pc_show_seconds_in(plan->finish_s, unit).text,
               machines, all, all == 1 ? "" : "s");
  if (a->priced)
    pc_text_addf(out, ", for %s %s", fleet->money.currency.text,
                 pc_show_number(plan->cost, PC_DIM_NUMBER, "", 2).text);
  pc_text_add(out, ".\n");
  add_fuel_note(fleet, a, out);
  add_proof(a, unit, out);
}

enum { NAMES_SHOWN = 3 };

/* 'small loader on "School"' or 'mid loader 1 is done 8.3 min before it': the routes that end last, or the
 * others. Returns how many there are; without `out` it only counts. */
static size_t add_routes(const pc_fleet *fleet, const pc_assignment *a, bool last, pc_text *out) {
  const pc_assign_plan *plan = &a->plan;
  size_t count = 0;
  for (size_t r = 0; r < plan->route_count; r++) {
    const pc_assign_route *route = &plan->routes[r];
    if (route->stop_count == 0 || pc_ends_apart(route->end_s, plan->finish_s, plan->finish_s) == last ||
        count++ >= NAMES_SHOWN || !out)
      continue;
    pc_text_addf(out, "%s%s ", count > 1 ? ", " : "", show_machines(fleet, a, r).text);
    if (last) {
      pc_text_addf(out, "on \"%s\"", a->lots[route->stops[route->stop_count - 1].lot].text);
      continue;
    }
    const char *are = a->units[route->unit].together > 1 ? "are done " : "is done ";
    pc_text_addf(out, "%s%s%s", count == 1 ? are : "",
                 pc_show(plan->finish_s - route->end_s, PC_DIM_TIME, PC_METRIC, 2).text,
                 count == 1 ? " before it" : "");
  }
  if (out && count > NAMES_SHOWN)
    pc_text_addf(out, ", and %zu more", count - NAMES_SHOWN);
  return count;
}

/* Who sets the time, where others are done clearly before. */
static void add_ends(const pc_fleet *fleet, const pc_assignment *a, pc_text *out) {
  if (add_routes(fleet, a, false, NULL) == 0)
    return;
  pc_text_add(out, "Who sets the time: ");
  (void)add_routes(fleet, a, true, out);
  pc_text_add(out, ", to the end; ");
  (void)add_routes(fleet, a, false, out);
  pc_text_add(out, ".\n");
}

static void add_plan(const pc_fleet *fleet, const pc_assignment *a, pc_time_unit unit, pc_text *out) {
  pc_table table;
  pc_table_start(&table, "lllrrrlr");
  pc_table_heading(&table, "machine|box|lot|arrives|work|done|second choice|its work");
  for (size_t r = 0; r < a->plan.route_count; r++) {
    const pc_assign_route *route = &a->plan.routes[r];
    for (size_t i = 0; i < route->stop_count; i++) {
      const pc_assign_stop *stop = &route->stops[i];
      size_t second;
      pc_table_cell(&table, "%s", i == 0 ? show_machines(fleet, a, r).text : "");
      pc_table_cell(&table, "%s", i == 0 ? fleet->boxes[a->units[route->unit].box].name.text : "");
      pc_table_cell(&table, "%s", a->lots[stop->lot].text);
      pc_table_cell(&table, "%s", pc_show_seconds_in(stop->arrive_s, unit).text);
      pc_table_cell(&table, "%s", pc_show_seconds_in(trial_of(a, route->unit, stop->lot)->time_s, unit).text);
      pc_table_cell(&table, "%s", pc_show_seconds_in(stop->done_s, unit).text);
      bool has = pc_assign_second(a, stop->lot, route->unit, &second);
      pc_table_cell(&table, "%s", has ? show_unit(fleet, &a->units[second]).text : "none");
      pc_table_cell(&table, "%s",
                    has ? pc_show_seconds_in(trial_of(a, second, stop->lot)->time_s, unit).text : "");
    }
  }
  pc_table_write(&table, out);
  if (table.failed)
    out->failed = true;
  pc_table_free(&table);
}

/* An area of a lot that nobody can do, which is bound to others: said of the lot, and so not of each unit;
 * "": there is none. */
static const char *bound_area(const pc_assignment *a, size_t lot) {
  const char *why = "";
  for (size_t u = 0; u < a->unit_count; u++) {
    const pc_assign_trial *trial = trial_of(a, u, lot);
    if (trial->used || trial->fit == PC_ASSIGN_FIT_UNTRIED)
      return "";
    if (trial->fit == PC_ASSIGN_FIT_UNABLE && !why[0])
      why = trial->why;
  }
  return why;
}

/* Units that the plan could not use, each with its reason; once for all lots where it is always the same. */
static void add_left_out(const pc_fleet *fleet, const pc_assignment *a, pc_text *out) {
  bool begun = false;
  for (size_t u = 0; u < a->unit_count; u++) {
    bool same = true;
    for (size_t l = 0; l < a->lot_count; l++) {
      const pc_assign_trial *trial = trial_of(a, u, l), *first = trial_of(a, u, 0);
      same &= !trial->used && !bound_area(a, l)[0] && trial->fit == first->fit &&
              strcmp(trial->why, first->why) == 0;
    }
    for (size_t l = 0; l < a->lot_count; l++) {
      const pc_assign_trial *trial = trial_of(a, u, l);
      if (trial->used || (same && l > 0) || (trial->why[0] && strcmp(trial->why, bound_area(a, l)) == 0))
        continue;
      pc_text_add(out, begun ? "" : "\nLeft out:\n");
      begun = true;
      pc_text_addf(out, "  %s, %s%s%s: %s%s%s\n", show_unit(fleet, &a->units[u]).text,
                   same ? "all lots" : "\"", same ? "" : a->lots[l].text, same ? "" : "\"",
                   pc_assign_fit_describe(trial->fit), trial->why[0] ? ": " : "", trial->why);
    }
  }
}

static void add_troubles(const pc_assignment *a, pc_text *out) {
  for (size_t l = 0; l < a->lot_count; l++) {
    bool used = false, full = false, open = false;
    for (size_t u = 0; u < a->unit_count; u++) {
      used |= trial_of(a, u, l)->used;
      open |= trial_of(a, u, l)->fit == PC_ASSIGN_FIT_UNTRIED;
      full |= trial_of(a, u, l)->used && trial_of(a, u, l)->fit == PC_ASSIGN_FIT_FULL;
    }
    if (!used && open)
      pc_text_addf(out, "Who can do \"%s\" is not known yet.\n", a->lots[l].text);
    else if (!used)
      pc_text_addf(out, "No machine with any box can do \"%s\"%s%s.\n", a->lots[l].text,
                   bound_area(a, l)[0] ? ": " : "", bound_area(a, l));
    if (full)
      pc_text_addf(out,
                   "The zones of \"%s\" run full with every machine; what is left has to be hauled off.\n",
                   a->lots[l].text);
  }
}

void pc_tables_assign(const pc_fleet *fleet, const pc_assignment *a, pc_text *out) {
  pc_time_unit unit = pc_time_unit_for(a->plan.finish_s);
  if (a->plan.found) {
    add_answer(fleet, a, unit, out);
    add_ends(fleet, a, out);
    add_troubles(a, out);
    pc_text_add(out, "\n");
    add_plan(fleet, a, unit, out);
  } else {
    bool none = a->impossible == a->lot_count;
    pc_text_addf(out, "There is no plan%s: %s.\n", a->stopped && !none ? " yet" : "",
                 none         ? "no lot can be done"
                 : a->stopped ? "the work was stopped before one was found"
                              : "the machines and boxes do not suffice");
    add_troubles(a, out);
  }
  add_left_out(fleet, a, out);
  pc_text_addf(out,
               "\nTimes count from the yard. Deadlines and opening hours of areas are not looked at between "
               "lots. %s\n",
               pc_tables_caution_line());
}
