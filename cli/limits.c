// SPDX-License-Identifier: GPL-3.0-or-later
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "cli.h"
#include "io/results.h"
#include "io/tables.h"
#include "sim/mix.h"

static bool has_box(const pc_scenario *scenario, const pc_mix *mix, const pc_name *box) {
  for (size_t i = 0; i < mix->count; i++)
    if (pc_name_is(&scenario->boxes[mix->boxes[i]].name, box->text))
      return true;
  return false;
}

/* Keeps the rows that the options ask for; returns how many. */
static size_t keep_wanted(const cli_options *options, const pc_scenario *scenario, pc_limits_row *rows,
                          size_t count) {
  size_t kept = 0;
  pc_mix mix;
  bool named = options->box && pc_mix_read(scenario, options->box, &mix, NULL) == PC_OK;
  for (size_t i = 0; i < count; i++)
    if ((!options->loader || pc_name_is(&rows[i].loader, options->loader)) &&
        (!named || has_box(scenario, &mix, &rows[i].box)))
      rows[kept++] = rows[i];
  return kept;
}

/* None of the loaders that are asked for takes any of the boxes. */
static cli_exit say_none(const cli_options *options, const pc_scenario *scenario) {
  pc_text text = {0};
  pc_tables_limits_left_out(scenario, options->loader, &text);
  cli_exit status = text.failed ? cli_no_memory() : CLI_USAGE;
  if (status == CLI_USAGE)
    cli_say("there is nothing to show. %.*s", (int)strcspn(text.data, "\n"), text.data);
  pc_text_free(&text);
  return status;
}

static cli_exit print(const cli_options *options, const pc_scenario *scenario) {
  size_t count = scenario->loader_count * scenario->box_count;
  pc_limits_row *rows = pc_alloc(count, sizeof *rows);
  if (!rows)
    return cli_no_memory();
  count = keep_wanted(options, scenario, rows, pc_limits_make(scenario, rows));
  if (count == 0) {
    free(rows);
    return say_none(options, scenario);
  }
  pc_text text = {0};
  pc_status status = PC_OK;
  if (options->json)
    status = pc_results_limits_json(scenario, rows, count, &text);
  else if (options->csv)
    status = pc_results_limits_csv(rows, count, &text);
  else {
    pc_tables_limits_snow(scenario, cli_units(options, scenario), &text);
    pc_tables_limits(rows, count, cli_units(options, scenario), &text);
    pc_tables_limits_left_out(scenario, options->loader, &text);
  }
  if (status != PC_OK)
    text.failed = true;
  free(rows);
  return cli_write(options, &text);
}

cli_exit cli_limits(const cli_options *options) {
  pc_scenario scenario;
  pc_choice choice;
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = cli_choose(options, &scenario, &choice);
  if (status == CLI_DONE)
    status = print(options, &scenario);
  pc_scenario_free(&scenario);
  return status;
}
