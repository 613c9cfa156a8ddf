// SPDX-License-Identifier: GPL-3.0-or-later
#include <string.h>

#include "cli.h"
#include "io/results.h"
#include "io/tables.h"
#include "io/timed_cycles_csv.h"

static cli_exit read_by(const cli_options *options, pc_fit_by *by) {
  *by = PC_FIT_BY_LOADER;
  if (!options->by || strcmp(options->by, "loader") == 0)
    return CLI_DONE;
  *by = PC_FIT_BY_MACHINE;
  if (strcmp(options->by, "machine") == 0)
    return CLI_DONE;
  cli_say("--by: \"%s\" is not allowed; choose loader or machine", options->by);
  return CLI_USAGE;
}

static cli_exit print(const cli_options *options, const pc_timed *timed, const pc_fit *fit) {
  pc_text text = {0};
  const char *name = strcmp(options->scenario, "-") == 0 ? "standard input" : options->scenario;
  if (!options->json)
    pc_tables_fit(fit, name, options->units_given ? options->units : timed->units, &text);
  else if (pc_results_fit_json(fit, name, &text) != PC_OK)
    text.failed = true;
  return cli_write(options, &text);
}

cli_exit cli_fit(const cli_options *options) {
  pc_fit_by by;
  pc_timed timed;
  pc_fit fit = {0};
  pc_faults faults = {.units = options->units, .units_given = options->units_given};
  if (!options->scenario) {
    cli_say("fit needs a CSV file of timed cycles; `pushcycle fit --help` says what stands in it");
    return CLI_USAGE;
  }
  cli_exit exit = read_by(options, &by);
  if (exit != CLI_DONE)
    return exit;
  pc_status status = pc_timed_csv_read(options->scenario, &timed, &faults);
  /* from here on what is said is of all rows together: it has a file, but no line */
  size_t first = faults.count;
  if (status == PC_OK)
    status = pc_fit_make(&timed, by, &fit, &faults);
  for (size_t i = first; i < faults.count; i++)
    pc_error_place(&faults.items[i], options->scenario, 0, 0);
  cli_show_faults(&faults, 0, !options->quiet);
  exit = cli_exit_of(status);
  if (exit == CLI_DONE)
    exit = print(options, &timed, &fit);
  pc_fit_free(&fit);
  pc_timed_free(&timed);
  pc_faults_free(&faults);
  return exit;
}
