// SPDX-License-Identifier: GPL-3.0-or-later
/* Machines and boxes to lots: reads the fleet and the lots, plans, prints. */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "cli.h"
#include "io/fleet.h"
#include "io/results.h"
#include "io/tables.h"

static cli_exit read_count(const char *option, const char *value, unsigned long least, unsigned long most,
                           unsigned long *out) {
  char *end;
  if (!value)
    return CLI_DONE;
  errno = 0;
  unsigned long number = strtoul(value, &end, 10);
  if (*value < '0' || *value > '9' || *end || errno || number < least || number > most) {
    cli_say("--%s: \"%s\" is not allowed; give a whole number from %lu to %lu", option, value, least, most);
    return CLI_USAGE;
  }
  *out = number;
  return CLI_DONE;
}

static cli_exit make_settings(const cli_options *options, pc_assign_settings *settings) {
  unsigned long replications = 0, seed = 1, nodes = 0;
  cli_exit worst = CLI_DONE;
  *settings = (pc_assign_settings){.threads = options->threads};
  if (options->least && strcmp(options->least, "cost") == 0) {
    settings->least = PC_LEAST_COST;
  } else if (options->least && strcmp(options->least, "time") != 0) {
    cli_say("--least: \"%s\" is not allowed; choose time or cost", options->least);
    worst = CLI_USAGE;
  }
  if (read_count("replications", options->replications, 1, 100000, &replications) != CLI_DONE ||
      read_count("seed", options->seed, 0, 2147483647, &seed) != CLI_DONE ||
      read_count("nodes", options->nodes, 1, 1000000000, &nodes) != CLI_DONE)
    worst = CLI_USAGE;
  settings->replications = replications;
  settings->seed = seed;
  settings->node_limit = nodes;
  return worst;
}

static cli_exit tell(const cli_options *options, const char *name, pc_status status, pc_faults *faults) {
  cli_show_faults(faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(faults) == 0)
    cli_say("%s: %s", name, pc_status_describe(status));
  pc_faults_free(faults);
  return cli_exit_of(status);
}

/* Every lot is read, whatever is wrong with those before it. */
static cli_exit read_lots(const cli_options *options, pc_scenario *lots, size_t count) {
  cli_exit worst = CLI_DONE;
  for (size_t i = 0; i < count; i++) {
    pc_faults faults = {0};
    pc_heading_report headings = {0};
    pc_status status = pc_scenario_read(options->files[i + 1], NULL, 0, &lots[i], &faults);
    if (status == PC_OK) {
      const pc_choice choice = {.depth_m = NAN};
      status = cli_find_headings(options, &lots[i], &choice, &faults, &headings);
    }
    cli_say_headings(options, &headings, cli_units(options, &lots[i]));
    pc_heading_report_free(&headings);
    cli_exit one = tell(options, options->files[i + 1], status, &faults);
    if (one == CLI_DONE)
      one = cli_spare_files(options, &lots[i].origins);
    worst = one > worst ? one : worst;
  }
  return worst;
}

static cli_exit print(const cli_options *options, const pc_fleet *fleet, const pc_assignment *assignment) {
  pc_text text = {0};
  pc_status status = PC_OK;
  if (options->json)
    status = pc_results_assign_json(fleet, assignment, &text);
  else if (options->csv)
    status = pc_results_assign_csv(fleet, assignment, &text);
  else
    pc_tables_assign(fleet, assignment, &text);
  if (status != PC_OK)
    text.failed = true;
  cli_exit written = cli_write(options, &text);
  if (written != CLI_DONE)
    return written;
  bool all = assignment->impossible == 0 && assignment->hauled == 0 && !assignment->stopped;
  return assignment->plan.found && all ? CLI_DONE : CLI_UNFINISHED;
}

/* What Ctrl-C left of the planning. */
static void tell_stopped(const pc_assignment *assignment) {
  if (!assignment->plan.found)
    cli_say("stopped before a plan was found");
  else
    cli_say("stopped: what follows is the best plan so far");
}

static cli_exit assign(const cli_options *options, const pc_assign_settings *settings, const pc_fleet *fleet,
                       const pc_scenario *lots, size_t count) {
  const pc_scenario **list = pc_alloc(count, sizeof *list);
  pc_assignment assignment;
  pc_faults faults = {0};
  if (!list)
    return cli_no_memory();
  for (size_t i = 0; i < count; i++)
    list[i] = &lots[i];
  cli_watch watch;
  pc_assign_settings watched = *settings;
  watched.watch = cli_watch_begin(&watch, options, "simulations");
  watch.then = "searches";
  pc_status status = pc_assign(fleet, list, count, &watched, &assignment, &faults);
  (void)cli_watch_end(&watch);
  cli_exit done = tell(options, options->files[0], status, &faults);
  if (done == CLI_DONE) {
    if (assignment.stopped)
      tell_stopped(&assignment);
    done = print(options, fleet, &assignment);
    pc_assignment_free(&assignment);
  }
  free(list);
  return done;
}

cli_exit cli_assign(const cli_options *options) {
  pc_assign_settings settings;
  pc_fleet fleet;
  pc_faults faults = {0};
  if (options->file_count < 2) {
    cli_say("assign needs the fleet and at least one lot: pushcycle assign FLEET.yaml LOT.yaml...");
    return CLI_USAGE;
  }
  cli_exit done = make_settings(options, &settings);
  if (done != CLI_DONE)
    return done;
  size_t count = options->file_count - 1;
  pc_scenario *lots = pc_alloc(count, sizeof *lots);
  if (!lots)
    return cli_no_memory();
  for (size_t i = 0; i < count; i++)
    lots[i] = pc_scenario_default();
  pc_status status = pc_fleet_read(options->files[0], &fleet, &faults);
  done = tell(options, options->files[0], status, &faults);
  cli_exit read = read_lots(options, lots, count);
  done = read > done ? read : done;
  if (done == CLI_DONE)
    done = assign(options, &settings, &fleet, lots, count);
  for (size_t i = 0; i < count; i++)
    pc_scenario_free(&lots[i]);
  free(lots);
  pc_fleet_free(&fleet);
  return done;
}
