// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>

#include "cli.h"

static cli_exit write_brief(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                            const cli_night *night, const pc_picture_style *style) {
  pc_siting_report siting = {0};
  pc_text text = {0};
  cli_exit status =
      cli_add_siting(scenario, lot->layout.text, pc_lot_snow_kg(lot) / lot->snow.pile_density_kgpm3, &siting);
  const pc_brief_content content = {.scenario = scenario,
                                    .lot = lot,
                                    .summary = &night->summary,
                                    .results = night->results,
                                    .siting = &siting,
                                    .rows = night->rows.items,
                                    .row_count = night->rows.count};
  if (status == CLI_DONE) {
    if (pc_brief_write(&content, style, &text) != PC_OK)
      text.failed = true;
    status = cli_write(options, &text);
  }
  pc_siting_report_free(&siting);
  return status == CLI_DONE && (night->summary.unfinished > 0 || night->stopped) ? CLI_UNFINISHED : status;
}

cli_exit cli_brief(const cli_options *options) {
  pc_picture_style style;
  pc_scenario scenario;
  pc_heading_report headings = {0};
  pc_lot *lot = NULL;
  cli_night night = {0};
  pc_plan plan = {0};
  cli_options pdf = *options;
  pdf.format = "pdf"; /* whatever the file is called */
  cli_exit status = cli_picture_style(&pdf, &style);
  if (status == CLI_DONE)
    status = cli_check_terminal(options, true);
  if (status != CLI_DONE)
    return status;
  status = cli_load(options, &scenario);
  cli_picture_units(options, &scenario, &style);
  if (status == CLI_DONE)
    status = cli_make_lot(options, &scenario, &headings, &lot);
  if (status == CLI_DONE)
    status = cli_follow_plan(options, lot, &plan);
  if (status == CLI_DONE)
    status = cli_night_run(options, &scenario, lot, INFINITY, &night);
  if (status == CLI_DONE)
    status = write_brief(options, &scenario, lot, &night, &style);
  cli_night_free(&night);
  pc_lot_free(lot);
  pc_plan_free(&plan);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return status;
}
