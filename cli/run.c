// SPDX-License-Identifier: GPL-3.0-or-later
#include <string.h>

#include "cli.h"
#include "io/results.h"
#include "io/tables.h"
#include "io/trace_csv.h"

static cli_exit make_lot(const cli_options *options, const pc_scenario *scenario, pc_lot **lot) {
  pc_choice choice;
  cli_exit chosen = cli_choose(options, scenario, &choice);
  if (chosen != CLI_DONE)
    return chosen;
  pc_faults faults = {0};
  pc_status status = pc_lot_create(scenario, &choice, lot, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("%s", pc_status_describe(status));
  pc_faults_free(&faults);
  return cli_exit_of(status);
}

static cli_exit replicate(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                          pc_summary *summary) {
  pc_trace_csv csv = {0};
  const pc_trace trace = {pc_trace_csv_row, &csv};
  cli_file file = {0};
  cli_exit status = CLI_DONE;
  if (options->trace) {
    status = cli_file_open(&file, options->trace);
    if (status != CLI_DONE)
      return status;
    pc_trace_csv_start(&csv, file.file, lot);
  }
  pc_status done = pc_replicate(lot, (size_t)scenario->chance.replications, (uint64_t)scenario->chance.seed,
                                options->threads, options->trace ? &trace : NULL, summary);
  if (done != PC_OK) {
    cli_say("the run failed: %s", pc_status_describe(done));
    status = cli_exit_of(done);
  } else if (options->trace && pc_trace_csv_finish(&csv) != PC_OK) {
    cli_say("%s: %s", options->trace, csv.system_error ? strerror(csv.system_error) : "could not be written");
    status = CLI_FILE;
    pc_summary_free(summary);
  }
  if (!options->trace)
    return status;
  if (status == CLI_DONE)
    return cli_file_commit(&file);
  cli_file_abandon(&file);
  return status;
}

static cli_exit print(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                      const pc_summary *summary) {
  pc_text text = {0};
  uint64_t seed = (uint64_t)scenario->chance.seed;
  pc_status status = PC_OK;
  if (options->json)
    status = pc_results_run_json(lot, summary, seed, &text);
  else if (options->csv)
    status = pc_results_run_csv(lot, summary, seed, &text);
  else
    pc_tables_run(lot, summary, options->units, &text);
  if (status != PC_OK)
    text.failed = true;
  cli_exit written = cli_write(options, &text);
  if (written != CLI_DONE)
    return written;
  return summary->unfinished > 0 ? CLI_UNFINISHED : CLI_DONE;
}

cli_exit cli_run(const cli_options *options) {
  pc_scenario scenario;
  pc_lot *lot = NULL;
  pc_summary summary = {0};
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = make_lot(options, &scenario, &lot);
  if (status == CLI_DONE)
    status = replicate(options, &scenario, lot, &summary);
  if (status == CLI_DONE)
    status = print(options, &scenario, lot, &summary);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
  return status;
}
