// SPDX-License-Identifier: GPL-3.0-or-later
#include <string.h>

#include "cli.h"
#include "io/plan_file.h"
#include "io/results.h"
#include "io/tables.h"
#include "io/trace_csv.h"
#include "study/first_night.h"

cli_exit cli_make_lot_for(const cli_options *options, const char *policy, pc_scenario *scenario,
                          pc_heading_report *headings, pc_lot **lot) {
  pc_choice choice;
  cli_exit chosen = cli_choose(options, scenario, &choice);
  if (policy)
    choice.policy = policy;
  if (chosen == CLI_DONE)
    chosen = cli_choose_headings(options, scenario, &choice, headings);
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

cli_exit cli_make_lot(const cli_options *options, pc_scenario *scenario, pc_heading_report *headings,
                      pc_lot **lot) {
  /* with a plan the same headings as when it was made */
  bool planned = options->plan && !options->policy;
  return cli_make_lot_for(options, planned ? "keep-pushing" : NULL, scenario, headings, lot);
}

cli_exit cli_follow_plan(const cli_options *options, pc_lot *lot, pc_plan *plan) {
  pc_faults faults = {0};
  if (!options->plan)
    return CLI_DONE;
  if (options->policy) {
    cli_say("--plan and --policy exclude each other: a plan is a policy");
    return CLI_USAGE;
  }
  pc_status status = pc_plan_read(options->plan, lot, plan, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("%s: %s", options->plan, pc_status_describe(status));
  pc_faults_free(&faults);
  if (status == PC_OK)
    pc_lot_follow(lot, plan);
  return cli_exit_of(status);
}

/* All readers of the trace: the CSV file, the map, and what is told of the first night. */
typedef struct traced {
  pc_trace_csv csv;
  bool to_csv;
  pc_geojson_rows *rows; /* NULL: no map is asked for */
  pc_first_night *first;
} traced;

static void take_row(void *context, const pc_trace_row *row) {
  traced *to = context;
  if (to->to_csv)
    pc_trace_csv_row(&to->csv, row);
  if (to->rows)
    pc_geojson_keep_row(to->rows, row);
  pc_first_night_row(to->first, row);
}

static void take_depth(void *context, uint64_t replication, double time_s, size_t area, double depth_m) {
  traced *to = context;
  pc_first_night_depth(to->first, replication, time_s, area, depth_m);
}

static cli_exit write_map(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                          const pc_geojson_rows *rows) {
  const pc_geojson_content content = {
      .site = &scenario->site, .lot = lot, .rows = rows->items, .row_count = rows->count};
  return rows->failed ? cli_no_memory() : cli_write_geojson(options, &content);
}

static cli_exit replicate(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                          pc_geojson_rows *rows, pc_first_night *first, pc_summary *summary) {
  pc_trace trace;
  pc_first_night_start(first, lot, scenario);
  traced to = {.first = first, .to_csv = options->trace != NULL, .rows = options->geojson ? rows : NULL};
  bool traces = pc_first_night_trace(first, &trace) || to.to_csv || to.rows;
  trace = (pc_trace){.row = take_row, .context = &to, .depth = take_depth};
  cli_file file = {0};
  cli_exit status = CLI_DONE;
  if (options->trace) {
    status = cli_file_open(&file, options->trace);
    if (status != CLI_DONE)
      return status;
    pc_trace_csv_start(&to.csv, file.file, lot);
  }
  cli_watch watch;
  size_t wanted = (size_t)scenario->chance.replications;
  pc_status done =
      pc_replicate_watched(lot, wanted, (uint64_t)scenario->chance.seed, options->threads,
                           traces ? &trace : NULL, cli_watch_begin(&watch, options, "replications"), summary);
  if (cli_watch_end(&watch) && done == PC_OK)
    cli_say("stopped: %zu of %zu replications are done; what follows is of those", summary->replications,
            wanted);
  if (done != PC_OK) {
    cli_say("the run failed: %s", pc_status_describe(done));
    status = cli_exit_of(done);
  } else if (options->trace && pc_trace_csv_finish(&to.csv) != PC_OK) {
    cli_say("%s: %s", options->trace,
            to.csv.system_error ? strerror(to.csv.system_error) : "could not be written");
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

/* None if the run, or this, is stopped. A result is worth more than what could be said about it. */
static void find_order(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                       const pc_summary *summary, pc_order *order) {
  cli_watch watch;
  *order = (pc_order){0};
  if (options->csv || summary->replications < (size_t)scenario->chance.replications)
    return;
  const pc_watch *shown = cli_watch_begin(&watch, options, "replications");
  pc_status status =
      pc_order_find(lot, summary, (uint64_t)scenario->chance.seed, options->threads, shown, order);
  (void)cli_watch_end(&watch);
  if (status != PC_OK)
    cli_say("another order of the areas could not be tried: %s", pc_status_describe(status));
}

static pc_status write_run(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                           const pc_summary *summary, const pc_notes *notes, pc_text *text) {
  uint64_t seed = (uint64_t)scenario->chance.seed;
  if (options->json)
    return pc_results_run_json_with(lot, summary, seed, notes, text);
  if (options->csv)
    return pc_results_run_csv_with(lot, summary, seed, notes, text);
  pc_tables_run_with(lot, summary, notes, cli_units(options, scenario), text);
  return PC_OK;
}

cli_exit cli_print_run(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                       const pc_summary *summary, const pc_heading_report *headings,
                       const pc_depths_series *depths, const pc_crossed *crossed) {
  pc_text text = {0};
  pc_siting_report siting = {0};
  pc_order order;
  const pc_notes notes = {.siting = &siting,
                          .headings = headings,
                          .depths = lot->storm_end_s > 0 ? depths : NULL,
                          .order = &order,
                          .crossed = crossed};
  find_order(options, scenario, lot, summary, &order);
  cli_exit ready =
      cli_add_siting(scenario, lot->layout.text, pc_lot_snow_kg(lot) / lot->snow.pile_density_kgpm3, &siting);
  if (ready == CLI_DONE)
    text.failed |= write_run(options, scenario, lot, summary, &notes, &text) != PC_OK;
  pc_siting_report_free(&siting);
  pc_order_free(&order);
  if (ready != CLI_DONE)
    return ready;
  cli_exit written = cli_write(options, &text);
  if (written != CLI_DONE)
    return written;
  bool cut = summary->replications < (size_t)scenario->chance.replications;
  return summary->unfinished > 0 || cut ? CLI_UNFINISHED : CLI_DONE;
}

/* The same lot as cli_make_lot would make, but of its replications only those of the shard. */
static cli_exit run_shard(const cli_options *options) {
  pc_scenario scenario;
  pc_choice choice;
  pc_heading_report headings = {0};
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = cli_choose(options, &scenario, &choice);
  if (status == CLI_DONE)
    status = cli_choose_headings(options, &scenario, &choice, &headings);
  if (status == CLI_DONE)
    status = cli_write_part(options, &scenario, &choice, &headings);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return status;
}

cli_exit cli_run(const cli_options *options) {
  if (options->shard) {
    cli_exit sensible = cli_check_shard(options);
    if (options->plan) {
      cli_say("--plan and --shard exclude each other");
      return CLI_USAGE;
    }
    return sensible == CLI_DONE ? run_shard(options) : sensible;
  }
  pc_scenario scenario;
  pc_lot *lot = NULL;
  pc_summary summary = {0};
  pc_heading_report headings = {0};
  pc_geojson_rows rows = {0};
  pc_first_night first = {0};
  pc_crossed crossed = {0};
  pc_plan plan = {0};
  cli_exit status = cli_load(options, &scenario);
  if (status == CLI_DONE)
    status = cli_make_lot(options, &scenario, &headings, &lot);
  if (status == CLI_DONE)
    status = cli_follow_plan(options, lot, &plan);
  if (status == CLI_DONE)
    status = cli_check_origin(options, &scenario);
  if (status == CLI_DONE)
    status = replicate(options, &scenario, lot, &rows, &first, &summary);
  if (status == CLI_DONE &&
      (pc_first_night_failed(&first) || pc_crossings_list(&first.crossings, &crossed) != PC_OK))
    status = cli_no_memory();
  if (status == CLI_DONE && options->geojson)
    status = write_map(options, &scenario, lot, &rows);
  if (status == CLI_DONE)
    status = cli_print_run(options, &scenario, lot, &summary, &headings, &first.depths, &crossed);
  pc_crossed_free(&crossed);
  pc_first_night_free(&first);
  pc_heading_report_free(&headings);
  pc_geojson_rows_free(&rows);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_plan_free(&plan);
  pc_scenario_free(&scenario);
  return status;
}
