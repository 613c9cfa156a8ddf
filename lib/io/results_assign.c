// SPDX-License-Identifier: GPL-3.0-or-later
/* The plan of a night over many lots, as JSON and CSV. */
#include <stdlib.h>
#include <string.h>

#include "io/csv.h"
#include "io/json_text.h"
#include "io/results.h"
#include "io/results_json_private.h"

static const pc_assign_trial *trial_of(const pc_assignment *a, size_t unit, size_t lot) {
  return &a->trials[unit * a->lot_count + lot];
}

static void put_unit(json_t *map, const pc_fleet *fleet, const pc_assign_unit *unit, bool *bad) {
  put_text(map, "machine", fleet->machines[unit->machine].name.text, bad);
  put_text(map, "box", fleet->boxes[unit->box].name.text, bad);
  put_count(map, "together", (uint64_t)unit->together, bad);
}

static json_t *make_second(const pc_fleet *fleet, const pc_assignment *a, size_t lot, size_t unit,
                           bool *bad) {
  size_t second;
  if (!pc_assign_second(a, lot, unit, &second))
    return json_null();
  json_t *map = json_object();
  put_unit(map, fleet, &a->units[second], bad);
  put_number(map, "work_s", trial_of(a, second, lot)->time_s, bad);
  return map;
}

static json_t *make_stops(const pc_fleet *fleet, const pc_assignment *a, const pc_assign_route *route,
                          bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < route->stop_count; i++) {
    const pc_assign_stop *stop = &route->stops[i];
    json_t *map = json_object();
    put_text(map, "lot", a->lots[stop->lot].text, bad);
    put_number(map, "arrive_s", stop->arrive_s, bad);
    put_number(map, "work_s", trial_of(a, route->unit, stop->lot)->time_s, bad);
    put_number(map, "done_s", stop->done_s, bad);
    put(map, "second_choice", make_second(fleet, a, stop->lot, route->unit, bad), bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static json_t *make_routes(const pc_fleet *fleet, const pc_assignment *a, bool *bad) {
  json_t *list = json_array();
  for (size_t r = 0; r < a->plan.route_count; r++) {
    const pc_assign_route *route = &a->plan.routes[r];
    json_t *map = json_object();
    put_unit(map, fleet, &a->units[route->unit], bad);
    put(map, "stops", make_stops(fleet, a, route, bad), bad);
    put_number(map, "end_s", route->end_s, bad);
    put_number(map, "paid_s", route->paid_s, bad);
    put_number(map, "cost", a->priced ? route->cost : (double)NAN, bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static const char *word_of(pc_assign_fit fit) {
  static const char *const words[] = {"done", "zones full", "traction", "lot", "unable", "untried"};
  return words[fit];
}

/* Every unit on every lot: what the plan was made from. */
static json_t *make_trials(const pc_fleet *fleet, const pc_assignment *a, bool *bad) {
  json_t *list = json_array();
  for (size_t u = 0; u < a->unit_count; u++)
    for (size_t l = 0; l < a->lot_count; l++) {
      const pc_assign_trial *trial = trial_of(a, u, l);
      json_t *map = json_object();
      put_unit(map, fleet, &a->units[u], bad);
      put_text(map, "lot", a->lots[l].text, bad);
      put_text(map, "result", word_of(trial->fit), bad);
      put(map, "used", json_boolean(trial->used), bad);
      put_number(map, "work_s", trial->time_s, bad);
      put_number(map, "fuel_l", trial->fuel_l, bad);
      put_text(map, "why", trial->why, bad);
      if (json_array_append_new(list, map) != 0)
        *bad = true;
    }
  return list;
}

pc_status pc_results_assign_json(const pc_fleet *fleet, const pc_assignment *a, pc_text *out) {
  bool bad = false, cost = a->settings.least == PC_LEAST_COST;
  const pc_assign_plan *plan = &a->plan;
  json_t *root = json_object();
  put_text(root, "format", "pushcycle-assign", &bad);
  put_count(root, "version", 1, &bad);
  if (a->stopped) {
    put(root, "stopped", json_true(), &bad);
    put_count(root, "trials_untried", a->untried, &bad);
    put_count(root, "lots_open", a->open, &bad);
  }
  put_text(root, "fleet", fleet->name.text, &bad);
  put_text(root, "least", cost ? "cost" : "time", &bad);
  put_count(root, "replications", a->settings.replications > 0 ? a->settings.replications : 1, &bad);
  put(root, "chance", json_boolean(a->settings.replications > 0), &bad);
  put(root, "found", json_boolean(plan->found), &bad);
  put_count(root, "lots", a->lot_count, &bad);
  put_count(root, "lots_impossible", a->impossible, &bad);
  put_count(root, "lots_with_full_zones", a->hauled, &bad);
  put_number(root, "finish_s", plan->found ? plan->finish_s : (double)NAN, &bad);
  put_number(root, "machine_time_s", plan->found ? plan->machine_s : (double)NAN, &bad);
  json_t *money = json_object();
  put_text(money, "currency", fleet->money.currency.text, &bad);
  put_number(money, "total", plan->found && a->priced ? plan->cost : (double)NAN, &bad);
  put(root, "cost", money, &bad);
  put_number(root, "bound_s", plan->found && !cost ? plan->bound : (double)NAN, &bad);
  put_number(root, "bound_cost", plan->found && cost ? plan->bound : (double)NAN, &bad);
  put_number(root, "gap", plan->found ? plan->gap : (double)NAN, &bad);
  put(root, "routes", make_routes(fleet, a, &bad), &bad);
  put(root, "trials", make_trials(fleet, a, &bad), &bad);
  if (!bad)
    pc_json_print(root, JSON_INDENT(1) | JSON_REAL_PRECISION(15), out);
  json_decref(root);
  pc_text_add(out, "\n");
  return bad || out->failed ? PC_ERR_MEMORY : PC_OK;
}

pc_status pc_results_assign_csv(const pc_fleet *fleet, const pc_assignment *a, pc_text *out) {
  pc_text_add(out,
              "route,machine,box,together,stop,lot,arrive_s,work_s,done_s,second_machine,second_box,"
              "second_together,second_work_s\n");
  for (size_t r = 0; r < a->plan.route_count; r++) {
    const pc_assign_route *route = &a->plan.routes[r];
    const pc_assign_unit *unit = &a->units[route->unit];
    for (size_t i = 0; i < route->stop_count; i++) {
      const pc_assign_stop *stop = &route->stops[i];
      size_t second;
      pc_text_addf(out, "%zu", r + 1);
      pc_csv_next_text(out, fleet->machines[unit->machine].name.text);
      pc_csv_next_text(out, fleet->boxes[unit->box].name.text);
      pc_text_addf(out, ",%d,%zu", unit->together, i + 1);
      pc_csv_next_text(out, a->lots[stop->lot].text);
      pc_csv_next_number(out, stop->arrive_s);
      pc_csv_next_number(out, trial_of(a, route->unit, stop->lot)->time_s);
      pc_csv_next_number(out, stop->done_s);
      if (pc_assign_second(a, stop->lot, route->unit, &second)) {
        pc_csv_next_text(out, fleet->machines[a->units[second].machine].name.text);
        pc_csv_next_text(out, fleet->boxes[a->units[second].box].name.text);
        pc_text_addf(out, ",%d", a->units[second].together);
        pc_csv_next_number(out, trial_of(a, second, stop->lot)->time_s);
        pc_text_add(out, "\n");
      } else {
        pc_text_add(out, ",,,,\n");
      }
    }
  }
  return out->failed ? PC_ERR_MEMORY : PC_OK;
}
