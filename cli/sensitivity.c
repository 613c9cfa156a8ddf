// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>

#include "cli.h"
#include "io/results.h"
#include "io/tables.h"

static cli_exit read_share(const cli_options *options, double *share) {
  pc_error error;
  if (!options->by)
    return CLI_DONE;
  if (pc_units_parse(options->by, PC_DIM_SHARE, share, &error) == PC_OK && *share > 0 && *share <= 0.5)
    return CLI_DONE;
  cli_say("--by: \"%s\" is not allowed; give a share of more than 0 and at most 50 %%, such as \"10 %%\"",
          options->by);
  return CLI_USAGE;
}

/* --depths stands in the scenario's list by now. */
static cli_exit read_depths(const cli_options *options, const pc_scenario *scenario,
                            pc_sensitivity_plan *plan) {
  const pc_depths *depths = &scenario->compare.depths;
  if (!options->depths)
    return CLI_DONE;
  if (options->layout && options->box) {
    cli_say("--depths: with both --layout and --box there is nothing whose order could turn between them");
    return CLI_USAGE;
  }
  plan->least_m = INFINITY;
  plan->most_m = -INFINITY;
  for (size_t i = 0; i < depths->count; i++) {
    plan->least_m = fmin(plan->least_m, depths->items_m[i]);
    plan->most_m = fmax(plan->most_m, depths->items_m[i]);
  }
  if (plan->most_m > plan->least_m)
    return CLI_DONE;
  cli_say("--depths: \"%s\" must be two depths to look between, such as \"3 cm,30 cm\"", options->depths);
  return CLI_USAGE;
}

static cli_exit print(const cli_options *options, const pc_scenario *scenario, const pc_sensitivity *found) {
  pc_text text = {0};
  pc_status status = PC_OK;
  if (options->json)
    status = pc_results_sensitivity_json(found, scenario->name.text, &text);
  else if (options->csv)
    status = pc_results_sensitivity_csv(found, &text);
  else
    pc_tables_sensitivity(found, cli_units(options, scenario), &text);
  if (status != PC_OK)
    text.failed = true;
  cli_exit written = cli_write(options, &text);
  return written == CLI_DONE && !found->base_finished ? CLI_UNFINISHED : written;
}

/* What Ctrl-C left of the study. */
static void tell_stopped(const pc_sensitivity *found) {
  size_t open = 0;
  for (size_t i = 0; i < found->left_out_count; i++)
    open += found->left_out[i].stopped;
  if (found->base_s.count == 0)
    cli_say("stopped before the night as it stands was simulated");
  else
    cli_say("stopped: %zu of %zu inputs are done; what follows is of those",
            found->row_count + found->left_out_count - open, found->row_count + found->left_out_count);
}

static cli_exit study(const cli_options *options, const pc_scenario *scenario, const pc_choice *choice,
                      const pc_sensitivity_plan *plan) {
  pc_sensitivity found;
  pc_faults faults = {0};
  cli_watch watch;
  pc_sensitivity_plan watched = *plan;
  watched.watch = cli_watch_begin(&watch, options, "replications");
  pc_status status = pc_sensitivity_make(scenario, choice, &watched, &found, &faults);
  (void)cli_watch_end(&watch);
  cli_show_faults(&faults, 0, !options->quiet);
  pc_faults_free(&faults);
  cli_exit done = cli_exit_of(status);
  if (done == CLI_DONE && found.stopped)
    tell_stopped(&found);
  if (done == CLI_DONE && found.base_s.count > 0)
    done = print(options, scenario, &found);
  if (done == CLI_DONE && found.stopped)
    done = CLI_UNFINISHED;
  pc_sensitivity_free(&found);
  return done;
}

cli_exit cli_sensitivity(const cli_options *options) {
  pc_scenario scenario;
  pc_choice choice;
  pc_heading_report headings = {0};
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = read_share(options, &plan.share);
  if (status == CLI_DONE)
    status = read_depths(options, &scenario, &plan);
  if (status == CLI_DONE)
    status = cli_choose(options, &scenario, &choice);
  if (status == CLI_DONE)
    status = cli_choose_headings(options, &scenario, &choice, &headings);
  plan.replications = (size_t)scenario.chance.replications;
  plan.seed = (uint64_t)scenario.chance.seed;
  plan.threads = options->threads;
  if (status == CLI_DONE)
    status = study(options, &scenario, &choice, &plan);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return status;
}
