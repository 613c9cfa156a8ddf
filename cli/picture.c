// SPDX-License-Identifier: GPL-3.0-or-later
/* What the commands that draw share: the kind of picture, and a lot that has been run. */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/memory.h"
#include "cli.h"

cli_exit cli_picture_style(const cli_options *options, pc_picture_style *style) {
  static const char *const formats[] = {"svg", "pdf", "png"};
  *style = (pc_picture_style){0};
  if (options->paper && strcmp(options->paper, "a4") != 0 && strcmp(options->paper, "letter") != 0) {
    cli_say("--paper: \"%s\" is not allowed; choose a4 or letter", options->paper);
    return CLI_USAGE;
  }
  if (options->paper)
    style->paper = strcmp(options->paper, "a4") == 0 ? PC_PAPER_A4 : PC_PAPER_LETTER;
  for (int i = 0; options->format; i++) {
    if (i == 3) {
      cli_say("--format: \"%s\" is not allowed; choose svg, pdf or png", options->format);
      return CLI_USAGE;
    }
    style->format = (pc_picture_format)i;
    if (strcmp(options->format, formats[i]) == 0)
      return CLI_DONE;
  }
  if (options->output && !pc_picture_format_of(options->output, &style->format)) {
    cli_say("--output: \"%s\" does not end in .svg, .pdf or .png; add --format", options->output);
    return CLI_USAGE;
  }
  return CLI_DONE;
}

void cli_picture_units(const cli_options *options, const pc_scenario *scenario, pc_picture_style *style) {
  style->units = cli_units(options, scenario);
  if (!options->paper)
    style->paper = style->units == PC_US ? PC_PAPER_LETTER : PC_PAPER_A4;
}

cli_exit cli_check_terminal(const cli_options *options, bool binary) {
  if (!binary || options->output || !isatty(STDOUT_FILENO))
    return CLI_DONE;
  cli_say("a picture of this kind is nothing for a terminal; name a file with --output");
  return CLI_USAGE;
}

cli_exit cli_night_run(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                       double until_s, cli_night *night) {
  *night = (cli_night){0};
  const pc_trace trace = {.row = pc_geojson_keep_row, .context = &night->rows};
  uint64_t seed = (uint64_t)scenario->chance.seed;
  size_t count = (size_t)scenario->chance.replications;
  cli_watch watch;
  pc_status status = pc_results_create(lot, count, &night->results);
  night->room = status == PC_OK ? count : 0;
  if (status == PC_OK) {
    status =
        pc_replicate_range(lot, 0, count, seed, options->threads, &trace,
                           cli_watch_begin(&watch, options, "replications"), night->results, &night->count);
    (void)cli_watch_end(&watch);
  }
  night->stopped = status == PC_OK && night->count < count;
  if (night->stopped)
    cli_say("stopped: %zu of %zu replications are done; what follows is of those", night->count, count);
  if (status == PC_OK)
    status = pc_summary_make(lot, night->results, night->count, &night->summary);
  if (status == PC_OK)
    status = pc_world_create(lot, &night->world);
  if (status == PC_OK)
    status = pc_result_init_for(&night->standing, lot);
  if (status == PC_OK)
    status = pc_world_run_until(night->world, seed, 0, pc_lot_work_s(lot, until_s), NULL, &night->standing);
  if (status == PC_OK && night->rows.failed)
    status = PC_ERR_MEMORY;
  if (status != PC_OK)
    cli_say("the run failed: %s", pc_status_describe(status));
  return cli_exit_of(status);
}

void cli_night_free(cli_night *night) {
  pc_geojson_rows_free(&night->rows);
  pc_summary_free(&night->summary);
  if (night->results)
    pc_results_free(night->results, night->room);
  pc_result_free(&night->standing);
  pc_world_free(night->world);
  *night = (cli_night){0};
}

bool cli_want_all_layouts(pc_scenario *scenario) {
  pc_name *item = pc_alloc(1, sizeof *item);
  if (!item)
    return false;
  *item = pc_name_of("all");
  pc_names_free(&scenario->compare.layouts);
  scenario->compare.layouts = (pc_names){item, 1};
  return true;
}
