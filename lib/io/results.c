// SPDX-License-Identifier: GPL-3.0-or-later
/* JSON. */
#include "io/results.h"

#include <stdio.h>

#include "io/json_text.h"
#include "io/results_json_private.h"
#include "io/results_private.h"
#include "io/tables_private.h"
#include "sim/policy.h"

static json_t *make_mean(double mean, bool *bad) {
  json_t *map = json_object();
  put_number(map, "mean", mean, bad);
  return map;
}

static json_t *make_times(const pc_result *result, bool *bad) {
  json_t *map = json_object();
  for (size_t i = 0; i < PC_TIME_ENTRIES; i++)
    put_number(map, pc_time_entries[i].key, pc_time_total(result, i), bad);
  return map;
}

static json_t *make_cost(const pc_money *money, const pc_summary *summary, bool *bad) {
  json_t *map = json_object();
  put_text(map, "currency", money->currency.text, bad);
  put_number(map, "total", summary->cost, bad);
  put(map, "machines_included", json_boolean(isfinite(money->machine_per_s)), bad);
  put(map, "operators_included", json_boolean(isfinite(money->operator_per_s)), bad);
  put(map, "fuel_included", json_boolean(isfinite(money->fuel_per_m3) && isfinite(summary->fuel_l)), bad);
  return map;
}

static json_t *make_start(const char *format, const char *scenario, bool *bad) {
  json_t *root = json_object();
  put_text(root, "format", format, bad);
  put_count(root, "version", 1, bad);
  put_text(root, "scenario", scenario, bad);
  return root;
}

/* Writes and releases a document. */
static pc_status finish(json_t *root, bool bad, pc_text *out) {
  if (!bad)
    pc_json_print(root, JSON_INDENT(1) | JSON_REAL_PRECISION(15), out);
  json_decref(root);
  pc_text_add(out, "\n");
  return bad || out->failed ? PC_ERR_MEMORY : PC_OK;
}

/* ---- siting ---- */

static void put_siting(json_t *map, const pc_siting_entry *entry, bool *bad) {
  const pc_siting_finding *f = &entry->finding;
  bool all = f->zone == PC_SITING_ALL;
  pc_text message = {0};
  json_t *place = json_array();
  pc_siting_tell(entry, PC_METRIC, &message);
  put_text(map, "severity", pc_siting_severity_name(f->severity), bad);
  put_text(map, "rule", pc_siting_rule_name(f->rule), bad);
  put_text(map, "layout", entry->layout.text, bad);
  put(map, "zone", all ? json_null() : make_text(entry->zone.text), bad);
  put(map, "thing", f->thing.text[0] ? make_text(f->thing.text) : json_null(), bad);
  put_number(map, "distance_m", f->distance_m, bad);
  put_number(map, "limit_m", f->limit_m, bad);
  put_number(map, "area_m2", f->area_m2, bad);
  put_number(map, "need_m3", f->need_m3, bad);
  put_number(map, "room_m3", f->room_m3, bad);
  if (isfinite(f->place.x_m) && isfinite(f->place.y_m)) {
    if (json_array_append_new(place, json_real(f->place.x_m)) != 0 ||
        json_array_append_new(place, json_real(f->place.y_m)) != 0)
      *bad = true;
    put(map, "place_m", place, bad);
  } else {
    json_decref(place);
    put(map, "place_m", json_null(), bad);
  }
  put_text(map, "source", f->source, bad);
  put_text(map, "message", message.data ? message.data : "", bad);
  *bad |= message.failed;
  pc_text_free(&message);
}

static json_t *make_siting(const pc_notes *notes, bool *bad) {
  const pc_siting_report *siting = notes ? notes->siting : NULL;
  json_t *list = json_array();
  for (size_t i = 0; siting && i < siting->count; i++) {
    json_t *map = json_object();
    put_siting(map, &siting->items[i], bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static double degrees(double angle_rad) {
  return pc_units_convert(angle_rad, PC_DIM_ANGLE, "deg");
}

static json_t *make_headings(const pc_notes *notes, bool *bad) {
  const pc_heading_report *headings = notes ? notes->headings : NULL;
  json_t *list = json_array();
  for (size_t i = 0; headings && i < headings->count; i++) {
    const pc_heading_choice *choice = &headings->items[i];
    json_t *map = json_object();
    put_text(map, "area", choice->area.text, bad);
    put(map, "layout", choice->layout.text[0] ? make_text(choice->layout.text) : json_null(), bad);
    put_number(map, "heading_deg", degrees(choice->heading_rad), bad);
    put_number(map, "time_s", choice->time_s, bad);
    put(map, "finished", json_boolean(choice->finished), bad);
    put_number(map, "left_for_smaller_machine_m2", choice->small_m2, bad);
    put_number(map, "next_heading_deg", degrees(choice->next_rad), bad);
    put_number(map, "next_time_s", choice->next_s, bad);
    put_number(map, "next_left_for_smaller_machine_m2", choice->next_small_m2, bad);
    put_count(map, "candidates", choice->candidates, bad);
    put_count(map, "tried", choice->tried, bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static void put_notes(json_t *root, const pc_notes *notes, bool *bad) {
  put(root, "siting", make_siting(notes, bad), bad);
  put(root, "headings", make_headings(notes, bad), bad);
}

/* ---- run ---- */

static json_t *make_machine(const pc_lot_machine *machine, const pc_machine_result *result, bool *bad) {
  json_t *map = json_object(), *times = json_object();
  put_text(map, "name", machine->name.text, bad);
  put_text(map, "loader", machine->unit.loader.name.text, bad);
  put_text(map, "box", machine->unit.box.name.text, bad);
  put_count(map, "cycles", (uint64_t)result->cycles, bad);
  for (size_t i = 0; i < PC_TIME_ENTRIES; i++)
    put_number(times, pc_time_entries[i].key, pc_time_entry(result, i), bad);
  put(map, "time_s", times, bad);
  put_number(map, "capacity_kg", machine->unit.capacity_kg, bad);
  put_text(map, "limited_by", pc_limit_name(machine->unit.limited_by), bad);
  put_number(map, "placed_kg", result->placed_kg, bad);
  put_number(map, "fuel_l", result->fuel_l, bad);
  json_t *stops = json_object();
  put_number(map, "absent_s", result->absent_s, bad);
  put_number(map, "done_s", result->done_s, bad);
  put_number(stops, "break", result->break_s, bad);
  put_number(stops, "refuel", result->refuel_s, bad);
  put_number(stops, "repair", result->repair_s, bad);
  put(map, "stops_s", stops, bad);
  return map;
}

static json_t *make_zone(const pc_zone *zone, const pc_zone_result *result, bool *bad) {
  json_t *map = json_object();
  put_text(map, "name", zone->name.text, bad);
  put_count(map, "loads", (uint64_t)result->loads, bad);
  put_number(map, "snow_kg", result->snow_kg, bad);
  put_number(map, "volume_m3", result->volume_m3, bad);
  put_number(map, "capacity_m3", result->capacity_m3, bad);
  put_number(map, "wait_s", result->wait_s, bad);
  return map;
}

static void put_parts(json_t *root, const pc_lot *lot, const pc_result *result, bool *bad) {
  json_t *machines = json_array(), *zones = json_array();
  for (size_t i = 0; i < lot->machine_count && i < result->machine_count; i++)
    if (json_array_append_new(machines, make_machine(&lot->machines[i], &result->machines[i], bad)) != 0)
      *bad = true;
  for (size_t i = 0; i < lot->zone_count && i < result->zone_count; i++)
    if (json_array_append_new(zones, make_zone(&lot->zones[i], &result->zones[i], bad)) != 0)
      *bad = true;
  put(root, "machines", machines, bad);
  put(root, "zones", zones, bad);
}

static json_t *make_distances(const pc_result *result, bool *bad) {
  double fill = 0, carry = 0, back = 0;
  for (size_t i = 0; i < result->machine_count; i++) {
    fill += result->machines[i].fill_m;
    carry += result->machines[i].carry_m;
    back += result->machines[i].return_m;
  }
  json_t *map = json_object();
  put_number(map, "fill", fill, bad);
  put_number(map, "carry", carry, bad);
  put_number(map, "return", back, bad);
  return map;
}

static json_t *make_snow(const pc_result *result, bool *bad) {
  json_t *map = json_object();
  put_number(map, "start", result->start_kg, bad);
  put_number(map, "fallen", result->fallen_kg, bad);
  put_number(map, "placed", result->placed_kg, bad);
  put_number(map, "left", result->left_kg, bad);
  put_number(map, "haul_off", result->haul_off_kg, bad);
  return map;
}

static json_t *make_small(const pc_result *result, bool *bad) {
  json_t *map = json_object();
  put_number(map, "area_m2", result->small_m2, bad);
  put_number(map, "snow_kg", result->small_kg, bad);
  return map;
}

pc_status pc_results_run_json_with(const pc_lot *lot, const pc_summary *summary, uint64_t seed,
                                   const pc_notes *notes, pc_text *out) {
  bool bad = false;
  const pc_result *mean = &summary->mean;
  json_t *root = make_start("pushcycle-run", lot->scenario.text, &bad);
  pc_results_put_clock(root, &lot->clock, &bad);
  put_text(root, "layout", lot->layout.text, &bad);
  put_text(root, "policy", lot->policy->name, &bad);
  put_number(root, "depth_m", lot->snow.depth_m, &bad);
  put_count(root, "seed", seed, &bad);
  put_count(root, "replications", summary->replications, &bad);
  put(root, "finished", json_boolean(summary->unfinished == 0), &bad);
  put_text(root, "reason", pc_reason_name(mean->reason), &bad);
  put_count(root, "unfinished", summary->unfinished, &bad);
  put(root, "total_time_s", pc_json_statistic(&summary->total_time_s, &bad), &bad);
  put(root, "cycles", make_mean(summary->cycles, &bad), &bad);
  put(root, "time_s", make_times(mean, &bad), &bad);
  put(root, "distance_m", make_distances(mean, &bad), &bad);
  put(root, "snow_kg", make_snow(mean, &bad), &bad);
  put(root, "left_for_smaller_machine", make_small(mean, &bad), &bad);
  put_number(root, "bound_s", summary->bound.time_s, &bad);
  put_number(root, "efficiency", summary->efficiency, &bad);
  put_number(root, "fuel_l", summary->fuel_l, &bad);
  put(root, "cost", make_cost(&lot->money, summary, &bad), &bad);
  put_parts(root, lot, mean, &bad);
  pc_results_put_night(root, lot, summary, notes ? notes->depths : NULL, &bad);
  pc_ends ends = pc_ends_of(lot, summary);
  pc_results_put_ends(root, &ends, lot->machines, &bad);
  pc_results_put_crossings(root, notes ? notes->crossed : NULL, &bad);
  pc_results_put_order(root, lot, notes ? notes->order : NULL, &bad);
  put_notes(root, notes, &bad);
  return finish(root, bad, out);
}

pc_status pc_results_run_json(const pc_lot *lot, const pc_summary *summary, uint64_t seed, pc_text *out) {
  return pc_results_run_json_with(lot, summary, seed, NULL, out);
}

/* ---- compare ---- */

static json_t *make_compared_machine(const pc_lot_machine *machine, bool *bad) {
  json_t *map = json_object();
  put_text(map, "name", machine->name.text, bad);
  put_text(map, "loader", machine->unit.loader.name.text, bad);
  put_text(map, "box", machine->unit.box.name.text, bad);
  put_number(map, "capacity_kg", machine->unit.capacity_kg, bad);
  put_text(map, "limited_by", pc_limit_name(machine->unit.limited_by), bad);
  return map;
}

void pc_results_put_choice(json_t *map, const pc_compare_row *row, bool *bad) {
  put_text(map, "layout", row->layout.text, bad);
  put_text(map, "box", pc_row_box(row).text, bad);
  put_text(map, "loader", pc_row_loader(row).text, bad);
  put_text(map, "policy", row->policy.text, bad);
}

static json_t *make_compared(const pc_compare_row *row, const pc_compare_row *best, const pc_money *money,
                             bool *bad) {
  const pc_summary *summary = &row->summary;
  json_t *map = json_object(), *machines = json_array();
  put_count(map, "rank", (uint64_t)row->rank, bad);
  pc_results_put_choice(map, row, bad);
  put_number(map, "depth_m", row->depth_m, bad);
  put(map, "total_time_s", pc_json_statistic(&summary->total_time_s, bad), bad);
  put(map, "difference_to_best_s", pc_json_statistic(&row->difference_to_best_s, bad), bad);
  put(map, "tied_with_best", json_boolean(row->tied_with_best), bad);
  put_count(map, "replications_to_tell", pc_row_to_tell(row, best), bad);
  put_count(map, "replications", summary->replications, bad);
  put(map, "dropped", json_boolean(row->dropped_after > 0), bad);
  put(map, "cycles", make_mean(summary->cycles, bad), bad);
  put(map, "time_s", make_times(&summary->mean, bad), bad);
  put_number(map, "bound_s", summary->bound.time_s, bad);
  put_number(map, "efficiency", summary->efficiency, bad);
  put(map, "finished", json_boolean(summary->unfinished == 0), bad);
  put_text(map, "reason", pc_reason_name(summary->mean.reason), bad);
  put_number(map, "haul_off_kg", summary->mean.haul_off_kg, bad);
  put(map, "left_for_smaller_machine", make_small(&summary->mean, bad), bad);
  put_number(map, "fuel_l", summary->fuel_l, bad);
  put(map, "cost", make_cost(money, summary, bad), bad);
  put_text(map, "limited_by", pc_limit_name(row->limited_by), bad);
  for (size_t i = 0; i < row->machine_count; i++)
    if (json_array_append_new(machines, make_compared_machine(&row->machines[i], bad)) != 0)
      *bad = true;
  put(map, "machines", machines, bad);
  pc_results_put_use(map, row, bad);
  return map;
}

pc_status pc_results_compare_json_with(const pc_scenario *scenario, const pc_comparison *comparison,
                                       const pc_notes *notes, pc_text *out) {
  bool bad = false;
  json_t *root = make_start("pushcycle-compare", scenario->name.text, &bad), *rows = json_array();
  pc_results_put_clock(root, &scenario->clock, &bad);
  if (comparison->row_count < comparison->asked) {
    put(root, "stopped", json_true(), &bad);
    put_count(root, "combinations_asked", comparison->asked, &bad);
  }
  for (size_t i = 0, best = 0; i < comparison->row_count; i++) {
    const pc_compare_row *row = &comparison->rows[i];
    best = row->rank == 1 ? i : best;
    if (json_array_append_new(rows, make_compared(row, &comparison->rows[best], &scenario->money, &bad)) != 0)
      bad = true;
  }
  put(root, "rows", rows, &bad);
  pc_results_put_left_out(root, comparison, &bad);
  pc_results_put_selection(root, comparison, &bad);
  pc_results_put_crews(root, comparison, &bad);
  pc_results_put_season(root, scenario, comparison, &bad);
  put_notes(root, notes, &bad);
  return finish(root, bad, out);
}

pc_status pc_results_compare_json(const pc_scenario *scenario, const pc_comparison *comparison,
                                  pc_text *out) {
  return pc_results_compare_json_with(scenario, comparison, NULL, out);
}

/* ---- limits ---- */

static json_t *make_resistance(const pc_resistance *resistance, bool *bad) {
  json_t *map = json_object();
  put_number(map, "snow", resistance->snow_n, bad);
  put_number(map, "box", resistance->box_n, bad);
  put_number(map, "rolling", resistance->rolling_n, bad);
  put_number(map, "grade", resistance->grade_n, bad);
  put_number(map, "stream", resistance->stream_n, bad);
  return map;
}

static json_t *make_limits(const pc_limits_row *row, bool *bad) {
  json_t *map = json_object(), *speeds = json_array();
  put_text(map, "loader", row->loader.text, bad);
  put_text(map, "box", row->box.text, bad);
  put_number(map, "width_m", row->unit.box.width_m, bad);
  put_number(map, "swath_m", row->unit.swath_m, bad);
  put_number(map, "volume_m3", row->unit.volume_m3, bad);
  put_number(map, "volume_capacity_kg", row->unit.volume_capacity_kg, bad);
  put_number(map, "traction_capacity_kg", row->unit.traction_capacity_kg, bad);
  put_number(map, "capacity_kg", row->unit.capacity_kg, bad);
  put_number(map, "full_load_kg", row->full_load_kg, bad);
  put_number(map, "fill_length_m", row->fill_length_m, bad);
  put_number(map, "fill_time_s", row->fill_time_s, bad);
  for (size_t i = 0; i < PC_LIMIT_POINTS; i++) {
    double speed = row->push_speed_mps[i];
    if (json_array_append_new(speeds, isfinite(speed) ? json_real(speed) : json_null()) != 0)
      *bad = true;
  }
  put(map, "push_speed_mps", speeds, bad);
  put_number(map, "carry_speed_mps", row->carry_speed_mps, bad);
  put_number(map, "clearing_kgps", row->clearing_kgps, bad);
  put(map, "resistance_n", make_resistance(&row->resistance, bad), bad);
  put_text(map, "limited_by", pc_limit_name(row->unit.limited_by), bad);
  return map;
}

pc_status pc_results_limits_json(const pc_scenario *scenario, const pc_limits_row *rows, size_t count,
                                 pc_text *out) {
  bool bad = false;
  json_t *root = make_start("pushcycle-limits", scenario->name.text, &bad), *list = json_array();
  put_number(root, "depth_m", pc_limits_snow(scenario).depth_m, &bad);
  for (size_t i = 0; i < count; i++)
    if (json_array_append_new(list, make_limits(&rows[i], &bad)) != 0)
      bad = true;
  put(root, "rows", list, &bad);
  return finish(root, bad, out);
}

/* ---- check ---- */

static json_t *make_fault(const pc_error *error, bool *bad) {
  json_t *map = json_object();
  put_text(map, "kind", error->caution ? "caution" : pc_status_name(error->status), bad);
  put_text(map, "file", error->file, bad);
  put(map, "line", error->line > 0 ? json_integer(error->line) : json_null(), bad);
  put(map, "column", error->column > 0 ? json_integer(error->column) : json_null(), bad);
  put_text(map, "key", error->key, bad);
  put_text(map, "value", error->value, bad);
  put_text(map, "message", error->message, bad);
  return map;
}

/* The same keys as any caution has, then those of a finding. */
static json_t *make_siting_caution(const pc_siting_entry *entry, bool *bad) {
  json_t *map = json_object();
  char key[PC_KEY_MAX];
  bool all = entry->finding.zone == PC_SITING_ALL;
  snprintf(key, sizeof key, all ? "layouts[%zu].zones" : "zones[%zu]",
           all ? entry->layout_index : entry->finding.zone);
  put_text(map, "kind", "siting", bad);
  put_text(map, "file", "", bad);
  put(map, "line", json_null(), bad);
  put(map, "column", json_null(), bad);
  put_text(map, "key", key, bad);
  put_text(map, "value", all ? entry->layout.text : entry->zone.text, bad);
  put_siting(map, entry, bad);
  return map;
}

/* Each layout with its zones; `rooms` has the layout's row in front of those of its zones. */
static json_t *make_rooms(const pc_room_row *rooms, size_t count, bool *bad) {
  json_t *layouts = json_array();
  for (size_t i = 0; i < count;) {
    const pc_room_row *row = &rooms[i++];
    json_t *map = json_object(), *zones = json_array();
    put_text(map, "name", row->layout.text, bad);
    put_number(map, "room_m3", row->room_m3, bad);
    put_number(map, "need_m3", row->need_m3, bad);
    put(map, "holds_it", json_boolean(row->need_m3 <= row->room_m3), bad);
    for (; i < count && rooms[i].zone.text[0]; i++) {
      json_t *zone = json_object();
      put_text(zone, "name", rooms[i].zone.text, bad);
      put_number(zone, "room_m3", rooms[i].room_m3, bad);
      if (json_array_append_new(zones, zone) != 0)
        *bad = true;
    }
    put(map, "zones", zones, bad);
    if (json_array_append_new(layouts, map) != 0)
      *bad = true;
  }
  return layouts;
}

pc_status pc_results_check_json_with(const char *name, const pc_faults *faults, const pc_room_row *rooms,
                                     size_t room_count, const pc_notes *notes, pc_text *out) {
  bool bad = faults->dropped > 0;
  json_t *root = make_start("pushcycle-check", name, &bad), *lists[2] = {json_array(), json_array()};
  for (size_t i = 0; i < faults->count; i++)
    if (json_array_append_new(lists[faults->items[i].caution], make_fault(&faults->items[i], &bad)) != 0)
      bad = true;
  const pc_siting_report *siting = notes ? notes->siting : NULL;
  for (size_t i = 0; siting && i < siting->count; i++)
    if (json_array_append_new(lists[1], make_siting_caution(&siting->items[i], &bad)) != 0)
      bad = true;
  put(root, "faults", lists[0], &bad);
  put(root, "cautions", lists[1], &bad);
  put(root, "layouts", make_rooms(rooms, room_count, &bad), &bad);
  put(root, "headings", make_headings(notes, &bad), &bad);
  return finish(root, bad, out);
}

pc_status pc_results_check_json(const char *name, const pc_faults *faults, pc_text *out) {
  return pc_results_check_json_with(name, faults, NULL, 0, NULL, out);
}
