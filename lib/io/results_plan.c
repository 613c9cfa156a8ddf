// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>

#include "io/csv.h"
#include "io/plan_file.h"
#include "io/results_json_private.h"
#include "io/results_study_private.h"

static json_t *make_keys(const pc_plan *plan, bool *bad) {
  const size_t each = 2 * PC_PLAN_SECTIONS;
  json_t *lanes = json_array();
  for (size_t l = 0; l < plan->key_count / each; l++) {
    json_t *lane = json_array();
    for (size_t k = 0; k < each; k++)
      pc_json_append(lane, json_integer(plan->keys[l * each + k]), bad);
    pc_json_append(lanes, lane, bad);
  }
  return lanes;
}

static json_t *make_policy(const pc_plan *plan, bool *bad) {
  const pc_plan_weights *w = &plan->weights;
  json_t *map = json_object();
  put_number(map, "ideal", w->ideal, bad);
  put_number(map, "spill", w->spill, bad);
  put_number(map, "dirty", w->dirty, bad);
  put_number(map, "wait", w->wait, bad);
  put_number(map, "empty", w->empty, bad);
  put_number(map, "part", w->part, bad);
  put_number(map, "load_s", w->load_s, bad);
  put_count(map, "starts", (uint64_t)w->starts, bad);
  put_number(map, "rate_spkg", plan->rate_spkg, bad);
  put(map, "keys", make_keys(plan, bad), bad);
  return map;
}

static json_t *make_bite(const pc_lot *lot, const pc_planned_bite *bite, bool *bad) {
  json_t *map = json_object();
  put_text(map, "machine", lot->machines[bite->machine].name.text, bad);
  put_count(map, "load", (uint64_t)bite->load, bad);
  put_text(map, "area", lot->areas[bite->area].name.text, bad);
  put_count(map, "lane", bite->lane, bad);
  put_number(map, "from_m", bite->from_m, bad);
  put_number(map, "to_m", bite->to_m, bad);
  put_number(map, "x0_m", bite->from.x_m, bad);
  put_number(map, "y0_m", bite->from.y_m, bad);
  put_number(map, "x1_m", bite->to.x_m, bad);
  put_number(map, "y1_m", bite->to.y_m, bad);
  put_number(map, "start_s", bite->start_s, bad);
  put_number(map, "end_s", bite->end_s, bad);
  put_number(map, "load_kg", bite->load_kg, bad);
  put(map, "zone", bite->zone >= 0 ? make_text(lot->zones[bite->zone].name.text) : json_null(), bad);
  put_number(map, "dumped_s", bite->dumped_s, bad);
  return map;
}

pc_status pc_results_plan_json(const pc_lot *lot, const pc_planning *p, uint64_t seed, const pc_notes *notes,
                               pc_text *out) {
  bool bad = false;
  json_t *root = json_object(), *order = json_array();
  put_text(root, "format", "pushcycle-plan", &bad);
  put_count(root, "version", 1, &bad);
  put_text(root, "scenario", lot->scenario.text, &bad);
  pc_results_put_clock(root, &lot->clock, &bad);
  put_text(root, "layout", lot->layout.text, &bad);
  put_count(root, "seed", seed, &bad);
  put_count(root, "tries", p->tries, &bad);
  put(root, "stopped", json_boolean(p->stopped), &bad);
  put(root, "gains", json_boolean(p->gains), &bad);
  put_count(root, "replications", p->planned.replications, &bad);
  put(root, "finished", json_boolean(p->planned.mean.finished), &bad);
  put_text(root, "reason", pc_reason_name(p->planned.mean.reason), &bad);
  put(root, "total_time_s", pc_json_statistic(&p->planned.total_time_s, &bad), &bad);
  put(root, "keep_pushing_s", pc_json_statistic(&p->keep.total_time_s, &bad), &bad);
  put(root, "straight_runs_s", pc_json_statistic(&p->straight.total_time_s, &bad), &bad);
  put(root, "saved_s", pc_json_statistic(&p->saved_s, &bad), &bad);
  put_number(root, "bound_s", p->planned.bound.time_s, &bad);
  put_number(root, "efficiency", p->planned.efficiency, &bad);
  put_number(root, "keep_pushing_efficiency", p->keep.efficiency, &bad);
  pc_results_put_crossings(root, notes ? notes->crossed : NULL, &bad);
  put(root, "policy", make_policy(&p->plan, &bad), &bad);
  for (size_t i = 0; i < p->bite_count; i++)
    pc_json_append(order, make_bite(lot, &p->bites[i], &bad), &bad);
  put(root, "order", order, &bad);
  return pc_json_end(root, bad, out);
}

pc_status pc_results_plan_csv(const pc_lot *lot, const pc_planning *p, pc_text *out) {
  pc_text_add(out,
              "machine,load,area,lane,from_m,to_m,x0_m,y0_m,x1_m,y1_m,start_s,end_s,load_kg,zone,"
              "dumped_s\n");
  for (size_t i = 0; i < p->bite_count; i++) {
    const pc_planned_bite *bite = &p->bites[i];
    const double numbers[] = {bite->from_m, bite->to_m,    bite->from.x_m, bite->from.y_m, bite->to.x_m,
                              bite->to.y_m, bite->start_s, bite->end_s,    bite->load_kg};
    char text[PC_CSV_NUMBER_MAX];
    pc_csv_add_text(out, lot->machines[bite->machine].name.text);
    pc_text_addf(out, ",%d,", bite->load);
    pc_csv_add_text(out, lot->areas[bite->area].name.text);
    pc_text_addf(out, ",%zu", bite->lane);
    for (size_t k = 0; k < sizeof numbers / sizeof numbers[0]; k++) {
      pc_csv_print_number(text, numbers[k]);
      pc_text_addf(out, ",%s", text);
    }
    pc_text_add(out, ",");
    pc_csv_add_text(out, bite->zone >= 0 ? lot->zones[bite->zone].name.text : "");
    pc_csv_print_number(text, bite->dumped_s);
    pc_text_addf(out, ",%s\n", text);
  }
  return out->failed ? PC_ERR_MEMORY : PC_OK;
}
