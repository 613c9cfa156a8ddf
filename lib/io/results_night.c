// SPDX-License-Identifier: GPL-3.0-or-later
/* JSON of the night: areas, passages, the storm; and of how many machines. */
#include <math.h>

#include "io/results.h"
#include "io/results_json_private.h"
#include "io/tables_private.h"

/* ---- the night ---- */

static json_t *make_areas(const pc_lot *lot, const pc_summary *summary, bool *bad) {
  const pc_result *mean = &summary->mean;
  json_t *list = json_array();
  for (size_t a = 0; summary->area_late && summary->area_clear && a < lot->area_count && a < mean->area_count;
       a++) {
    json_t *map = json_object();
    put_text(map, "name", lot->areas[a].name.text, bad);
    put_number(map, "done_s", mean->areas[a].done_s, bad);
    put_number(map, "clear_by_s", lot->areas[a].clear_by_s, bad);
    put(map, "late", json_boolean(summary->area_late[a] > 0), bad);
    put_number(map, "ready_s", mean->areas[a].ready_s, bad);
    put_number(map, "late_s", isnan(lot->areas[a].clear_by_s) ? NAN : mean->areas[a].late_s, bad);
    put_count(map, "late_replications", summary->area_late[a], bad);
    put_count(map, "clear_replications", summary->area_clear[a], bad);
    put_number(map, "max_depth_m", mean->areas[a].max_depth_m, bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static json_t *make_passages(const pc_lot *lot, const pc_result *mean, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < lot->passage_count && i < mean->passage_count; i++) {
    json_t *map = json_object();
    put_text(map, "name", lot->passages[i].name.text, bad);
    put_number(map, "wait_s", mean->passages[i].wait_s, bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static json_t *make_keeps_up(const pc_keep_up *up) {
  return up->keeping == PC_KEEPING_NONE ? json_null() : json_boolean(up->keeping == PC_KEEPING_UP);
}

static json_t *make_storm(const pc_depths_series *depths, bool *bad) {
  if (!depths)
    return json_null();
  pc_keep_up up = pc_depths_judge(depths);
  json_t *map = json_object();
  put(map, "keeps_up", make_keeps_up(&up), bad);
  put_number(map, "from_s", up.from_s, bad);
  put_number(map, "to_s", up.to_s, bad);
  put_number(map, "fall_kgps", up.fall_kgps, bad);
  put_number(map, "clearing_kgps", up.clearing_kgps, bad);
  put_number(map, "working_share", up.working, bad);
  put_number(map, "grown_m", up.grown_m, bad);
  put_number(map, "fallen_m", up.fallen_m, bad);
  put_number(map, "deepest_m", up.deepest_m, bad);
  put_count(map, "untouched_areas", (uint64_t)up.untouched, bad);
  return map;
}

enum { DEPTH_ROWS_MAX = 300 };

/* Evenly thinned where there are many; the first and the last stay. */
static json_t *make_depths(const pc_depths_series *depths, bool *bad) {
  json_t *list = json_array();
  size_t rows = depths ? depths->rows : 0, shown = rows < DEPTH_ROWS_MAX ? rows : DEPTH_ROWS_MAX;
  for (size_t i = 0; i < shown; i++) {
    size_t row = shown == rows ? i : i * (rows - 1) / (DEPTH_ROWS_MAX - 1);
    json_t *map = json_object(), *values = json_array();
    put_number(map, "time_s", depths->time_s[row], bad);
    for (size_t a = 0; a < depths->areas; a++)
      if (json_array_append_new(values, json_real(depths->depth_m[row * depths->areas + a])) != 0)
        *bad = true;
    put(map, "depth_m", values, bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  *bad |= depths && depths->failed;
  return list;
}

void pc_results_put_night(json_t *root, const pc_lot *lot, const pc_summary *summary,
                          const pc_depths_series *depths, bool *bad) {
  put(root, "areas", make_areas(lot, summary, bad), bad);
  put(root, "passages", make_passages(lot, &summary->mean, bad), bad);
  put(root, "storm", make_storm(depths, bad), bad);
  put(root, "depth_over_time", make_depths(depths, bad), bad);
}

void pc_results_put_order(json_t *root, const pc_lot *lot, const pc_order *order, bool *bad) {
  if (!order || order->end != PC_ORDER_HELPS) {
    put(root, "order", json_null(), bad);
    return;
  }
  json_t *map = json_object(), *areas = json_array(), *machines = json_array(), *sweeps = json_array();
  for (size_t i = 0; i < order->sweep_count; i++)
    if (json_array_append_new(sweeps, json_real(order->sweeps_s[i])) != 0)
      *bad = true;
  for (size_t i = 0; i < order->area_count; i++)
    if (json_array_append_new(areas, json_string(lot->areas[order->areas[i]].name.text)) != 0)
      *bad = true;
  for (size_t i = 0; i < order->machine_count; i++)
    if (json_array_append_new(machines, json_string(lot->machines[order->machines[i]].name.text)) != 0)
      *bad = true;
  put(map, "first", areas, bad);
  put(map, "machines", machines, bad);
  put_number(map, "sweep_before_s", order->sweep_before_s, bad);
  put(map, "sweeps_tried_s", sweeps, bad);
  put_count(map, "late_now", order->late_now, bad);
  put_count(map, "late_then", order->late_then, bad);
  put(map, "total_time_s", pc_json_statistic(&order->then.total_time_s, bad), bad);
  put(map, "areas", make_areas(lot, &order->then, bad), bad);
  put(root, "order", map, bad);
}

/* ---- crews ---- */

static void put_machines(json_t *map, const char *key, int machines, bool *bad) {
  put(map, key, machines > 0 ? json_integer(machines) : json_null(), bad);
}

static json_t *make_waiting(const pc_crew_use *use, bool *bad) {
  if (!use->waits_at.text[0])
    return json_null();
  json_t *map = json_object();
  put_text(map, "kind", use->waits_in_passage ? "passage" : "zone", bad);
  put_text(map, "name", use->waits_at.text, bad);
  put_number(map, "wait_s", use->waits_s, bad);
  return map;
}

static json_t *make_limit(const pc_crew_use *use, bool *bad) {
  if (!use->limit.text[0])
    return json_null();
  json_t *map = json_object();
  put_text(map, "machine", use->limit.text, bad);
  put(map, "area", use->limit_area.text[0] ? json_string(use->limit_area.text) : json_null(), bad);
  put_count(map, "machines_as_busy", (uint64_t)use->limit_count, bad);
  put_number(map, "busy_share", use->limit_busy, bad);
  put_number(map, "others_busy_share", use->others_busy, bad);
  return map;
}

static json_t *make_ends(const pc_ends *ends, const pc_lot_machine *machines, bool *bad) {
  json_t *map = json_object(), *last = json_array(), *before = json_array();
  for (size_t m = 0; m < PC_MACHINES_MAX; m++)
    if (ends->machines[m] != PC_END_NEITHER &&
        json_array_append_new(ends->machines[m] == PC_END_LAST ? last : before,
                              make_text(machines[m].name.text)) != 0)
      *bad = true;
  put(map, "machines", last, bad);
  put_number(map, "done_s", ends->last_s, bad);
  put(map, "area", ends->area.text[0] ? make_text(ends->area.text) : json_null(), bad);
  put_number(map, "area_from_s", ends->area_from_s, bad);
  put(map, "no_other_may_work_there", json_boolean(ends->area_bound), bad);
  put(map, "others", before, bad);
  put_number(map, "others_done_s", ends->before_s, bad);
  return map;
}

void pc_results_put_ends(json_t *map, const pc_ends *ends, const pc_lot_machine *machines, bool *bad) {
  put(map, "sets_the_time", ends->last > 0 ? make_ends(ends, machines, bad) : json_null(), bad);
}

static json_t *make_crossings(const pc_crossed *crossed, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < crossed->count; i++) {
    json_t *map = json_object();
    put_text(map, "machine", crossed->items[i].machine.text, bad);
    put_text(map, "area", crossed->items[i].area.text, bad);
    put_count(map, "cycles", (uint64_t)crossed->items[i].cycles, bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

void pc_results_put_crossings(json_t *map, const pc_crossed *crossed, bool *bad) {
  put(map, "crossings", crossed ? make_crossings(crossed, bad) : json_null(), bad);
}

void pc_results_put_use(json_t *map, const pc_compare_row *row, bool *bad) {
  const pc_summary *summary = &row->summary;
  put_count(map, "machine_count", row->machine_count, bad);
  put_machines(map, "crew", row->crew, bad);
  put_count(map, "replications", summary->replications, bad);
  put_count(map, "unfinished", summary->unfinished, bad);
  put_count(map, "areas_late", pc_areas_late(summary), bad);
  put(map, "keeps_up", make_keeps_up(&row->keep_up), bad);
  put_number(map, "working_share", row->use.working, bad);
  put_number(map, "waiting_share", row->use.waiting, bad);
  put_number(map, "match_factor", row->use.match_factor, bad);
  put(map, "waits_most_at", make_waiting(&row->use, bad), bad);
  put(map, "held_back_by", make_limit(&row->use, bad), bad);
  pc_results_put_ends(map, &row->ends, row->machines, bad);
  pc_results_put_crossings(map, &row->crossed, bad);
}

static json_t *make_step(const pc_comparison *comparison, const pc_crew_step *step, bool *bad) {
  json_t *map = json_object();
  put_count(map, "machines", (uint64_t)step->machines, bad);
  put_text(map, "box", pc_row_box(&comparison->rows[step->row]).text, bad);
  put(map, "finished", json_boolean(step->finished), bad);
  put_number(map, "time_s", step->time_s, bad);
  put_number(map, "speed_up", step->speed_up, bad);
  put_number(map, "saved_s", step->saved_s, bad);
  put_number(map, "cost", step->cost, bad);
  put_number(map, "cost_difference", step->cost_difference, bad);
  put(map, "pays", json_boolean(step->pays), bad);
  put(map, "saves_10_percent", json_boolean(step->saves), bad);
  return map;
}

static json_t *make_group(const pc_comparison *comparison, const pc_crews *crews, const pc_crew_group *group,
                          bool *bad) {
  const pc_crew_step *step = &crews->steps[group->first];
  const pc_compare_row *row = &comparison->rows[step[group->count - 1].row];
  pc_shown box = pc_row_box(row);
  pc_shown loader = pc_row_loader(row);
  json_t *map = json_object(), *steps = json_array();
  put_text(map, "layout", row->layout.text, bad);
  put(map, "box", comparison->mixed ? json_null() : json_string(box.text), bad);
  put_text(map, "loader", loader.text, bad);
  put_text(map, "policy", row->policy.text, bad);
  put_number(map, "depth_m", row->depth_m, bad);
  put_machines(map, "least_cost", group->least_cost, bad);
  put_machines(map, "last_that_pays", group->last_that_pays, bad);
  put_machines(map, "last_that_saves_10_percent", group->last_that_saves, bad);
  for (size_t i = 0; i < group->count; i++)
    if (json_array_append_new(steps, make_step(comparison, &step[i], bad)) != 0)
      *bad = true;
  put(map, "steps", steps, bad);
  return map;
}

static json_t *make_crews(const pc_comparison *comparison, bool *bad) {
  pc_crews crews;
  json_t *list = json_array();
  if (pc_crews_make(comparison, &crews) != PC_OK) {
    *bad = true;
    return list;
  }
  for (size_t g = 0; g < crews.group_count; g++)
    if (json_array_append_new(list, make_group(comparison, &crews, &crews.groups[g], bad)) != 0)
      *bad = true;
  pc_crews_free(&crews);
  return list;
}

void pc_results_put_crews(json_t *root, const pc_comparison *comparison, bool *bad) {
  put(root, "crews", make_crews(comparison, bad), bad);
}
