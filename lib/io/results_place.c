// SPDX-License-Identifier: GPL-3.0-or-later
/* Where the piles should lie, as JSON. */
#include <math.h>

#include "io/results.h"
#include "io/results_json_private.h"
#include "io/results_study_private.h"
#include "io/tables_private.h"

static json_t *make_point(pc_point point, bool *bad) {
  json_t *pair = json_array();
  if (json_array_append_new(pair, json_real(point.x_m)) != 0 ||
      json_array_append_new(pair, json_real(point.y_m)) != 0)
    *bad = true;
  return pair;
}

static json_t *make_zone(const pc_place_site *site, bool *bad) {
  json_t *map = json_object(), *outline = json_array();
  put_text(map, "name", site->zone.name.text, bad);
  put(map, "generated", json_boolean(site->generated), bad);
  put(map, "kept", json_boolean(site->kept), bad);
  for (size_t i = 0; i < site->zone.outline.count; i++)
    if (json_array_append_new(outline, make_point(site->zone.outline.points[i], bad)) != 0)
      *bad = true;
  if (site->zone.outline.count > 0) {
    put(map, "outline_m", outline, bad);
  } else {
    json_decref(outline);
    put(map, "at_m", make_point(site->zone.at, bad), bad);
  }
  put_number(map, "height_m", site->zone.height_m, bad);
  return map;
}

static json_t *make_choice(const pc_placement *placement, const pc_place_choice *choice, bool *bad) {
  json_t *map = json_object(), *zones = json_array();
  for (size_t k = 0; k < choice->count; k++)
    if (json_array_append_new(zones, make_text(placement->sites[choice->sites[k]].zone.name.text)) != 0)
      *bad = true;
  put(map, "zones", zones, bad);
  put(map, "total_time_s", pc_json_statistic(&choice->summary.total_time_s, bad), bad);
  put_number(map, "time_without_chance_s", choice->once_s, bad);
  put_number(map, "haul_kgm", choice->haul_kgm, bad);
  put_number(map, "taken_m2", choice->taken_m2, bad);
  put_number(map, "layout_bound_s", choice->summary.bound.time_s, bad);
  put(map, "finished", json_boolean(choice->summary.unfinished == 0), bad);
  put_count(map, "areas_late", pc_areas_late(&choice->summary), bad);
  pc_results_put_crossings(map, &choice->crossed, bad);
  return map;
}

static json_t *make_step(const pc_placement *placement, const pc_place_step *step, bool *bad) {
  json_t *map = json_object();
  put_count(map, "zones", step->zones, bad);
  put_count(map, "simulated", step->simulated, bad);
  put(map, "all", json_boolean(step->all), bad);
  put(map, "best", step->found ? make_choice(placement, &step->best, bad) : json_null(), bad);
  put_number(map, "saved_s", step->saved_s, bad);
  put_number(map, "saved_half_width_s", step->saved_half_s, bad);
  put_number(map, "bound_s", step->bound_s, bad);
  put_number(map, "gap", step->found ? 1.0 - step->bound_s / step->best.once_s : NAN, bad);
  put_number(map, "least_haul_kgm", step->least_haul_kgm, bad);
  return map;
}

static json_t *make_left_out(const pc_placement *placement, bool *bad) {
  json_t *map = json_object();
  put_count(map, "must_not", placement->must_not, bad);
  put_count(map, "should_not", placement->should_not, bad);
  put_count(map, "out_of_place", placement->out_of_place, bad);
  return map;
}

static json_t *make_siting(const pc_siting_report *report, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; report && i < report->count; i++) {
    const pc_siting_entry *entry = &report->items[i];
    json_t *map = json_object();
    pc_text message = {0};
    pc_siting_tell(entry, PC_METRIC, &message);
    put_text(map, "severity", pc_siting_severity_name(entry->finding.severity), bad);
    put_text(map, "rule", pc_siting_rule_name(entry->finding.rule), bad);
    put_text(map, "zone", entry->zone.text, bad);
    put_text(map, "message", message.data ? message.data : "", bad);
    put_text(map, "source", entry->finding.source, bad);
    *bad |= message.failed;
    pc_text_free(&message);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  return list;
}

static void put_finalists(json_t *root, const pc_placement *placement, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < placement->finalist_count; i++) {
    const pc_place_choice *choice = &placement->finalists[i];
    json_t *map = make_choice(placement, choice, bad);
    put_count(map, "rank", i + 1, bad);
    put(map, "difference_to_best_s", pc_json_statistic(&choice->difference_s, bad), bad);
    put(map, "tied_with_best", json_boolean(choice->tied), bad);
    if (json_array_append_new(list, map) != 0)
      *bad = true;
  }
  put(root, "finalists", list, bad);
}

pc_status pc_results_place_json(const pc_scenario *scenario, const pc_placement *placement,
                                const pc_notes *notes, pc_text *out) {
  bool bad = false;
  json_t *root = json_object(), *zones = json_array(), *steps = json_array();
  const pc_place_choice *best = &placement->finalists[0];
  put_text(root, "format", "pushcycle-place", &bad);
  put_count(root, "version", 1, &bad);
  if (placement->stopped) {
    put(root, "stopped", json_true(), &bad);
    put_count(root, "zones_asked", placement->asked, &bad);
    put_count(root, "replications_asked", placement->replications, &bad);
    put_count(root, "replications", best->summary.replications, &bad);
  }
  put_text(root, "scenario", scenario->name.text, &bad);
  put_text(root, "policy", scenario->policy.text, &bad);
  put_number(root, "depth_m", scenario->snow.depth_m, &bad);
  put_count(root, "places", placement->site_count, &bad);
  put(root, "left_out", make_left_out(placement, &bad), &bad);
  put_number(root, "need_m3", placement->need_m3, &bad);
  put_number(root, "bound_leaves_kg", placement->left_kg, &bad);
  for (size_t k = 0; k < best->count; k++)
    if (json_array_append_new(zones, make_zone(&placement->sites[best->sites[k]], &bad)) != 0)
      bad = true;
  put(root, "zones", zones, &bad);
  put(root, "total_time_s",
      placement->finalist_count > 0 ? pc_json_statistic(&best->summary.total_time_s, &bad) : json_null(),
      &bad);
  for (size_t n = 0; n < placement->step_count; n++)
    if (json_array_append_new(steps, make_step(placement, &placement->steps[n], &bad)) != 0)
      bad = true;
  put(root, "steps", steps, &bad);
  put_finalists(root, placement, &bad);
  put(root, "siting", make_siting(notes ? notes->siting : NULL, &bad), &bad);
  return pc_json_end(root, bad, out);
}
