// SPDX-License-Identifier: GPL-3.0-or-later
#include <stdlib.h>
#include <unistd.h>

#include "base/memory.h"
#include "cli.h"
#include "io/results.h"
#include "io/tables.h"

/* Narrows a list to one name. */
static bool narrow(pc_names *names, const char *only) {
  if (!only)
    return true;
  pc_name *item = pc_alloc(1, sizeof *item);
  if (!item)
    return false;
  *item = pc_name_of(only);
  free(names->items);
  *names = (pc_names){item, 1};
  return true;
}

/* --layout and its like name one thing where the lists name several; --depth is already in the scenario. */
static cli_exit narrow_all(const cli_options *options, pc_scenario *scenario) {
  const struct {
    const char *one, *list, *name;
  } pairs[] = {{options->layout, options->layouts, "layout"},
               {options->box, options->boxes, "box"},
               {options->loader, options->loaders, "loader"},
               {options->policy, options->policies, "policy"},
               {options->depth, options->depths, "depth"}};
  for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
    if (pairs[i].one && pairs[i].list) {
      cli_say("--%s and the list of the same kind exclude each other", pairs[i].name);
      return CLI_USAGE;
    }
  pc_choice choice;
  cli_exit status = cli_choose(options, scenario, &choice);
  if (status != CLI_DONE)
    return status;
  pc_wanted *wanted = &scenario->compare;
  if (options->depth)
    wanted->depths.count = 0;
  bool kept = narrow(&wanted->layouts, options->layout) && narrow(&wanted->boxes, options->box) &&
              narrow(&wanted->loaders, options->loader) && narrow(&wanted->policies, options->policy);
  return kept ? CLI_DONE : cli_no_memory();
}

static void show_progress(void *context, size_t done, size_t all) {
  (void)context;
  fprintf(stderr, done < all ? "\r%zu of %zu" : "\r%zu of %zu done\n", done, all);
  fflush(stderr);
}

static cli_exit print(const cli_options *options, const pc_scenario *scenario,
                      const pc_comparison *comparison) {
  pc_text text = {0};
  pc_status status = PC_OK;
  if (options->json)
    status = pc_results_compare_json(scenario, comparison, &text);
  else if (options->csv)
    status = pc_results_compare_csv(comparison, &text);
  else
    pc_tables_compare(scenario, comparison, options->units, &text);
  if (status != PC_OK)
    text.failed = true;
  cli_exit written = cli_write(options, &text);
  for (size_t i = 0; i < comparison->row_count && written == CLI_DONE; i++)
    if (comparison->rows[i].rank == 1 && comparison->rows[i].summary.unfinished > 0)
      written = CLI_UNFINISHED;
  return written;
}

static cli_exit compare(const cli_options *options, const pc_scenario *scenario) {
  pc_faults faults = {0};
  pc_comparison comparison = {0};
  bool watched = !options->quiet && isatty(STDERR_FILENO);
  pc_status status = pc_compare(scenario, &scenario->compare, (size_t)scenario->chance.replications,
                                (uint64_t)scenario->chance.seed, options->threads,
                                watched ? show_progress : NULL, NULL, &comparison, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("the comparison failed: %s", pc_status_describe(status));
  pc_faults_free(&faults);
  cli_exit done = cli_exit_of(status);
  if (done == CLI_DONE)
    done = print(options, scenario, &comparison);
  pc_comparison_free(&comparison);
  return done;
}

cli_exit cli_compare(const cli_options *options) {
  pc_scenario scenario;
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = narrow_all(options, &scenario);
  if (status == CLI_DONE)
    status = compare(options, &scenario);
  pc_scenario_free(&scenario);
  return status;
}
