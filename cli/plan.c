// SPDX-License-Identifier: GPL-3.0-or-later
#include <errno.h>
#include <math.h>
#include <stdlib.h>

#include "cli.h"
#include "io/plan_file.h"
#include "io/tables.h"

enum { USUAL_SECONDS = 10 };

static void show_progress(void *context, size_t tries, double best_s, double keep_s) {
  (void)context;
  fprintf(stderr, "\r%zu plans tried, the best %.1f %% quicker ", tries, 100.0 * (1.0 - best_s / keep_s));
  fflush(stderr);
}

static cli_exit read_limits(const cli_options *options, pc_plan_search *search) {
  char *end = NULL;
  search->tries = options->tries > 0 ? (size_t)options->tries : SIZE_MAX;
  search->seconds = options->tries > 0 && !options->seconds ? INFINITY : (double)USUAL_SECONDS;
  if (!options->seconds)
    return CLI_DONE;
  errno = 0;
  search->seconds = strtod(options->seconds, &end);
  if (end != options->seconds && *end == '\0' && errno == 0 && search->seconds > 0.0 &&
      search->seconds <= 86400.0)
    return CLI_DONE;
  cli_say("--seconds: \"%s\" is not allowed; give a number above 0 and up to 86400", options->seconds);
  return CLI_USAGE;
}

static cli_exit save(const cli_options *options, const pc_lot *lot, const pc_planning *found, uint64_t seed,
                     const pc_notes *notes) {
  pc_text text = {0};
  cli_options to = *options;
  to.output = options->save;
  if (!options->save)
    return CLI_DONE;
  if (pc_results_plan_json(lot, found, seed, notes, &text) != PC_OK)
    text.failed = true;
  return cli_write(&to, &text);
}

static cli_exit print(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                      const pc_planning *found, const pc_notes *notes) {
  uint64_t seed = (uint64_t)scenario->chance.seed;
  pc_text text = {0};
  pc_status status = PC_OK;
  if (options->json)
    status = pc_results_plan_json(lot, found, seed, notes, &text);
  else if (options->csv)
    status = pc_results_plan_csv(lot, found, &text);
  else
    pc_tables_plan(lot, found, seed, notes, cli_units(options, scenario), &text);
  if (status != PC_OK)
    text.failed = true;
  cli_exit written = cli_write(options, &text);
  return written == CLI_DONE && found->planned.unfinished > 0 ? CLI_UNFINISHED : written;
}

/* Before a long search: the file can be written. */
static cli_exit check_save(const cli_options *options) {
  cli_file file = {0};
  cli_exit opened = options->save ? cli_file_open(&file, options->save) : CLI_DONE;
  if (options->save && opened == CLI_DONE)
    cli_file_abandon(&file);
  return opened;
}

/* With what the plan, once it is followed, leads across. */
static cli_exit tell(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                     const pc_planning *found, uint64_t seed) {
  pc_lot planned = *lot;
  pc_crossed crossed;
  const pc_notes notes = {.crossed = &crossed};
  pc_lot_follow(&planned, &found->plan);
  if (pc_crossed_find(&planned, scenario, seed, &crossed) != PC_OK)
    return cli_no_memory();
  cli_exit done = save(options, lot, found, seed, &notes);
  if (done == CLI_DONE)
    done = print(options, scenario, lot, found, &notes);
  pc_crossed_free(&crossed);
  return done;
}

static cli_exit find(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                     pc_plan_search search) {
  pc_planning found;
  cli_watch watch;
  const pc_watch *shown = cli_watch_begin(&watch, options, "plans");
  search.stop = shown->stop;
  search.progress = shown->progress ? show_progress : NULL; /* how much is gained, not how much is left */
  pc_status status = pc_plan_find(lot, &search, &found);
  if (shown->progress)
    fputc('\n', stderr);
  (void)cli_watch_end(&watch);
  if (status != PC_OK) {
    cli_say("the search failed: %s", pc_status_describe(status));
    return cli_exit_of(status);
  }
  if (found.stopped && !options->quiet)
    cli_say("stopped after %zu plans: this is the best so far", found.tries);
  cli_exit done = tell(options, scenario, lot, &found, search.seed);
  pc_planning_free(&found);
  return done;
}

cli_exit cli_plan(const cli_options *options) {
  pc_scenario scenario;
  pc_heading_report headings = {0};
  pc_plan_search search = {.threads = options->threads};
  pc_lot *lot = NULL;
  cli_exit sensible = read_limits(options, &search);
  if (sensible == CLI_DONE)
    sensible = check_save(options);
  if (sensible != CLI_DONE)
    return sensible;
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = cli_make_lot_for(options, "keep-pushing", &scenario, &headings, &lot);
  search.seed = (uint64_t)scenario.chance.seed;
  if (status == CLI_DONE)
    status = find(options, &scenario, lot, search);
  pc_heading_report_free(&headings);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
  return status;
}
