// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/run_text.h"

#include <string.h>

#include "io/results.h"
#include "study/first_night.h"

static pc_status write_json(const pc_scenario *scenario, const pc_lot *lot, const pc_summary *summary,
                            const pc_heading_report *headings, const pc_first_night *first,
                            const pc_order *order, pc_text *json) {
  pc_siting_report siting = {0};
  pc_crossed crossed;
  const pc_notes notes = {.siting = &siting,
                          .headings = headings,
                          .depths = lot->storm_end_s > 0 ? &first->depths : NULL,
                          .order = order,
                          .crossed = &crossed};
  pc_status status = pc_crossings_list(&first->crossings, &crossed);
  if (status == PC_OK)
    status = pc_siting_report_add(&siting, scenario, lot->layout.text,
                                  pc_lot_snow_kg(lot) / lot->snow.pile_density_kgpm3);
  if (status == PC_OK)
    status = pc_results_run_json_with(lot, summary, (uint64_t)scenario->chance.seed, &notes, json);
  pc_siting_report_free(&siting);
  pc_crossed_free(&crossed);
  return status == PC_OK && json->failed ? PC_ERR_MEMORY : status;
}

static pc_status run_lot(const pc_scenario *scenario, const pc_lot *lot, const pc_heading_report *headings,
                         int threads, pc_text *json) {
  pc_first_night first;
  pc_summary summary = {0};
  pc_trace trace;
  pc_first_night_start(&first, lot, scenario);
  bool traced = pc_first_night_trace(&first, &trace);
  pc_status status = pc_replicate(lot, (size_t)scenario->chance.replications, (uint64_t)scenario->chance.seed,
                                  threads, traced ? &trace : NULL, &summary);
  if (status == PC_OK) {
    pc_order order;
    status = pc_order_find(lot, &summary, (uint64_t)scenario->chance.seed, threads, NULL, &order);
    if (status == PC_OK)
      status = write_json(scenario, lot, &summary, headings, &first, &order, json);
    pc_order_free(&order);
    pc_summary_free(&summary);
  }
  pc_first_night_free(&first);
  return status;
}

static pc_status run_scenario(pc_scenario *scenario, int threads, pc_text *json, pc_faults *faults) {
  const pc_choice choice = pc_choice_default();
  pc_heading_report headings = {0};
  pc_lot *lot = NULL;
  pc_faults chosen = {0};
  pc_status status = pc_headings_choose_watched(scenario, &choice, threads, NULL, &chosen, &headings);
  /* its cautions are those of the lot, which come again */
  if (status != PC_OK)
    pc_faults_move(faults, &chosen);
  pc_faults_free(&chosen);
  if (status == PC_OK)
    status = pc_lot_create(scenario, &choice, &lot, faults);
  if (status == PC_OK)
    status = run_lot(scenario, lot, &headings, threads, json);
  pc_lot_free(lot);
  pc_heading_report_free(&headings);
  return status;
}

pc_status pc_run_text(const char *name, const char *text, const pc_override *overrides, size_t override_count,
                      int threads, pc_text *json, pc_text *messages) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status =
      pc_scenario_read_text(name, text, strlen(text), overrides, override_count, &scenario, &faults);
  if (status == PC_OK)
    status = run_scenario(&scenario, threads, json, &faults);
  pc_scenario_free(&scenario);
  for (size_t i = 0; i < faults.count && messages; i++) {
    char line[PC_ERROR_TEXT_MAX];
    (void)pc_error_format(&faults.items[i], line, sizeof line);
    pc_text_addf(messages, "%s%s\n", faults.items[i].caution ? "caution: " : "", line);
  }
  if (status != PC_OK && messages && !pc_faults_first(&faults, 0)) /* … or none could be kept */
    pc_text_addf(messages, "%s: %s\n", name, pc_status_describe(status));
  pc_faults_free(&faults);
  return status;
}
