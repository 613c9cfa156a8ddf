// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "cli.h"
#include "io/results.h"
#include "io/tables.h"
#include "study/season.h"

/* Narrows a list to one name. */
static bool narrow(pc_names *names, const char *only) {
  if (!only)
    return true;
  pc_name *item = pc_alloc(1, sizeof *item);
  if (!item)
    return false;
  *item = pc_name_long_of(only);
  free(names->items);
  *names = (pc_names){item, 1};
  return true;
}

static bool narrow_depth(pc_wanted *wanted, double depth_m) {
  double *only = pc_alloc(1, sizeof *only);
  if (!only)
    return false;
  *only = depth_m;
  free(wanted->depths.items_m);
  wanted->depths = (pc_depths){only, 1};
  return true;
}

cli_exit cli_keep_lists_apart(const cli_options *options) {
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
  if (options->box && options->mixed) {
    cli_say("--box and --mixed exclude each other: one box, or a mix, leaves nothing to mix");
    return CLI_USAGE;
  }
  return CLI_DONE;
}

/* All rows get the same headings, of the first layout that is compared and can be worked. What a layout that
 * can't is told of is left to the comparison, unless there is no other. */
static cli_exit choose_headings(const cli_options *options, pc_scenario *scenario, pc_choice *choice,
                                pc_heading_report *headings) {
  const pc_names *wanted = &scenario->compare.layouts;
  bool all = pc_names_are_all(wanted);
  size_t count = choice->layout ? 0 : all ? scenario->layout_count : wanted->count;
  pc_faults first = {0};
  pc_status status = PC_ERR_GEOMETRY;
  for (size_t i = 0; i < count || i == 0; i++) {
    pc_faults found = {0};
    if (i < count)
      choice->layout = all ? scenario->layouts[i].name.text : wanted->items[i].text;
    status = cli_find_headings(options, scenario, choice, i == 0 ? &first : &found, headings);
    pc_faults_free(&found);
    if (status == PC_OK || status == PC_ERR_MEMORY)
      break;
  }
  if (status != PC_OK)
    cli_show_faults(&first, 0, false);
  pc_faults_free(&first);
  cli_say_headings(options, headings, cli_units(options, scenario));
  return cli_exit_of(status);
}

/* --layout and its like name one thing where the lists name several; --depth is already in the scenario. */
cli_exit cli_narrow(const cli_options *options, pc_scenario *scenario, pc_heading_report *headings) {
  pc_choice choice;
  cli_exit status = cli_keep_lists_apart(options);
  if (status == CLI_DONE)
    status = cli_choose(options, scenario, &choice);
  if (status == CLI_DONE)
    status = choose_headings(options, scenario, &choice, headings);
  if (status != CLI_DONE)
    return status;
  pc_wanted *wanted = &scenario->compare;
  if (options->depth && !narrow_depth(wanted, scenario->snow.depth_m))
    return cli_no_memory();
  bool kept = narrow(&wanted->layouts, options->layout) && narrow(&wanted->boxes, options->box) &&
              narrow(&wanted->loaders, options->loader) && narrow(&wanted->policies, options->policy);
  return kept ? CLI_DONE : cli_no_memory();
}

/* The findings of every layout that was compared, each with the deepest snow it was compared for. */
cli_exit cli_find_siting(const pc_scenario *scenario, const pc_comparison *comparison,
                         pc_siting_report *siting) {
  cli_exit status = CLI_DONE;
  for (size_t i = 0; i < comparison->row_count && status == CLI_DONE; i++) {
    const char *layout = comparison->rows[i].layout.text;
    double deepest_kg = 0;
    bool first = true;
    for (size_t j = 0; j < comparison->row_count; j++) {
      if (!pc_name_is(&comparison->rows[j].layout, layout))
        continue;
      first &= j >= i;
      deepest_kg = fmax(deepest_kg, comparison->rows[j].summary.mean.start_kg +
                                        comparison->rows[j].summary.mean.fallen_kg);
    }
    if (first)
      status = cli_add_siting(scenario, layout, deepest_kg / scenario->snow.pile_density_kgpm3, siting);
  }
  return status;
}

cli_exit cli_comparison_exit(const pc_comparison *comparison) {
  for (size_t i = 0; i < comparison->row_count; i++)
    if (comparison->rows[i].rank == 1 && comparison->rows[i].summary.unfinished > 0)
      return CLI_UNFINISHED;
  return CLI_DONE;
}

cli_exit cli_print_comparison(const cli_options *options, const pc_scenario *scenario,
                              const pc_comparison *comparison, const pc_heading_report *headings) {
  pc_text text = {0};
  pc_siting_report siting = {0};
  const pc_notes notes = {.siting = &siting, .headings = headings};
  pc_status status = PC_OK;
  cli_exit written = cli_find_siting(scenario, comparison, &siting);
  if (written != CLI_DONE) {
    pc_siting_report_free(&siting);
    return written;
  }
  if (options->json)
    status = pc_results_compare_json_with(scenario, comparison, &notes, &text);
  else if (options->csv)
    status = pc_results_compare_csv(comparison, &text);
  else
    pc_tables_compare_with(scenario, comparison, &notes, cli_units(options, scenario), &text);
  pc_siting_report_free(&siting);
  if (status != PC_OK)
    text.failed = true;
  written = cli_write(options, &text);
  return written == CLI_DONE ? cli_comparison_exit(comparison) : written;
}

/* What Ctrl-C left of the comparison. */
static cli_exit tell_stopped(const pc_comparison *comparison) {
  if (comparison->row_count == 0)
    cli_say("stopped before any of the %zu combinations was done", comparison->asked);
  else if (comparison->within_s > 0)
    cli_say("stopped: the best is not known yet to the precision asked for");
  else
    cli_say("stopped: %zu of %zu combinations are done; what follows is of those", comparison->row_count,
            comparison->asked);
  return CLI_UNFINISHED;
}

cli_exit cli_run_comparison(const cli_options *options, const pc_scenario *scenario,
                            pc_comparison *comparison) {
  pc_faults faults = {0}, told = {0};
  cli_watch watch;
  const pc_compare_how how = {.replications = (size_t)scenario->chance.replications,
                              .seed = (uint64_t)scenario->chance.seed,
                              .threads = options->threads,
                              .within_s = scenario->compare.within_s,
                              .watch = cli_watch_begin(&watch, options, "replications")};
  pc_status status = pc_compare(scenario, &how, comparison, &faults);
  bool stopped = cli_watch_end(&watch);
  cli_merge_faults(&told, &faults);
  cli_show_faults(&told, 0, !options->quiet);
  pc_faults_free(&told);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("the comparison failed: %s", pc_status_describe(status));
  pc_faults_free(&faults);
  return status == PC_OK && stopped ? tell_stopped(comparison) : cli_exit_of(status);
}

static cli_exit compare(const cli_options *options, const pc_scenario *scenario,
                        const pc_heading_report *headings) {
  pc_comparison comparison = {0};
  cli_exit run = cli_run_comparison(options, scenario, &comparison), done = run;
  if (comparison.row_count > 0)
    done = cli_print_comparison(options, scenario, &comparison, headings);
  pc_comparison_free(&comparison);
  return done == CLI_DONE ? run : done;
}

cli_exit cli_compare(const cli_options *options) {
  pc_scenario scenario;
  pc_heading_report headings = {0};
  cli_exit status = cli_check_shard(options);
  if (status != CLI_DONE)
    return status;
  status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = cli_narrow(options, &scenario, &headings);
  if (status == CLI_DONE && pc_season_want(&scenario, &scenario.compare) != PC_OK)
    status = cli_no_memory();
  if (status == CLI_DONE && options->shard && scenario.compare.within_s > 0) {
    cli_say("--within decides by what all machines found; with --shard give --replications instead");
    status = CLI_USAGE;
  }
  if (status == CLI_DONE)
    status = options->shard ? cli_write_part(options, &scenario, NULL, &headings)
                            : compare(options, &scenario, &headings);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return status;
}
