// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "cli.h"
#include "study/season.h"

enum { MAPS_MAX = 16 };

typedef struct map_set {
  pc_lot *lots[MAPS_MAX];
  pc_map_content contents[MAPS_MAX];
  size_t count;
} map_set;

static bool is_known(const map_set *maps, const char *layout) {
  for (size_t i = 0; i < maps->count; i++)
    if (pc_name_is(&maps->lots[i]->layout, layout))
      return true;
  return false;
}

/* A lot for the best row of each layout. Rows come ranked, so the best layout is the first. */
static cli_exit make_maps(const pc_scenario *scenario, const pc_comparison *comparison,
                          const pc_siting_report *siting, map_set *maps) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < comparison->row_count && status == PC_OK && maps->count < MAPS_MAX; i++) {
    const pc_compare_row *row = &comparison->rows[i];
    if (is_known(maps, row->layout.text))
      continue;
    pc_faults faults = {0};
    const pc_choice choice = {.layout = scenario->layout_count > 0 ? row->layout.text : NULL,
                              .box = row->box.text[0] ? row->box.text : NULL,
                              .loader = row->loader.text[0] ? row->loader.text : NULL,
                              .policy = row->policy.text,
                              .depth_m = row->depth_m,
                              .machines = row->crew};
    status = pc_lot_create(scenario, &choice, &maps->lots[maps->count], &faults);
    cli_show_faults(&faults, 0, false);
    pc_faults_free(&faults);
    if (status != PC_OK)
      break;
    maps->contents[maps->count] = (pc_map_content){.scenario = scenario,
                                                   .lot = maps->lots[maps->count],
                                                   .summary = &row->summary,
                                                   .siting = maps->count == 0 ? siting : NULL,
                                                   .at_s = INFINITY};
    maps->count++;
  }
  return cli_exit_of(status);
}

static cli_exit write_report(const cli_options *options, const pc_scenario *scenario,
                             const pc_comparison *comparison, const pc_heading_report *headings) {
  map_set maps = {0};
  pc_siting_report siting = {0}, best = {0};
  pc_text text = {0};
  const pc_compare_row *first = &comparison->rows[0];
  double need_m3 =
      (first->summary.mean.start_kg + first->summary.mean.fallen_kg) / scenario->snow.pile_density_kgpm3;
  cli_exit status = cli_find_siting(scenario, comparison, &siting);
  if (status == CLI_DONE)
    status = cli_add_siting(scenario, scenario->layout_count > 0 ? first->layout.text : NULL, need_m3, &best);
  if (status == CLI_DONE)
    status = make_maps(scenario, comparison, &best, &maps);
  const pc_report_content content = {.scenario = scenario,
                                     .comparison = comparison,
                                     .siting = &siting,
                                     .maps = maps.contents,
                                     .map_count = maps.count,
                                     .source = cli_scenario_name(options),
                                     .headings = headings};
  pc_picture_style style = {0};
  cli_picture_units(options, scenario, &style);
  if (status == CLI_DONE) {
    if (pc_report_write(&content, &style, &text) != PC_OK)
      text.failed = true;
    status = cli_write(options, &text);
  }
  for (size_t i = 0; i < maps.count; i++)
    pc_lot_free(maps.lots[i]);
  pc_siting_report_free(&siting);
  pc_siting_report_free(&best);
  return status == CLI_DONE ? cli_comparison_exit(comparison) : status;
}

cli_exit cli_report(const cli_options *options) {
  pc_scenario scenario;
  pc_heading_report headings = {0};
  pc_comparison comparison = {0};
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE && !options->layout && scenario.compare.layouts.count == 0 &&
      !cli_want_all_layouts(&scenario))
    status = cli_no_memory();
  if (status == CLI_DONE)
    status = cli_narrow(options, &scenario, &headings);
  if (status == CLI_DONE && pc_season_want(&scenario, &scenario.compare) != PC_OK)
    status = cli_no_memory();
  if (status == CLI_DONE)
    status = cli_run_comparison(options, &scenario, &comparison);
  if (comparison.row_count > 0) { /* all rows, or what Ctrl-C left */
    cli_exit written = write_report(options, &scenario, &comparison, &headings);
    status = written == CLI_DONE ? status : written;
  }
  pc_comparison_free(&comparison);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return status;
}
