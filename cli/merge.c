// SPDX-License-Identifier: GPL-3.0-or-later
/* Work cut into shards: writing the part of one, and joining them all. */
#include "io/shards.h"

#include "cli.h"

cli_exit cli_check_shard(const cli_options *options) {
  pc_shard shard;
  if (!options->shard)
    return CLI_DONE;
  if (!pc_shard_parse(options->shard, &shard)) {
    cli_say("--shard: \"%s\" is not allowed; give which shard of how many, from 1/1 to %d/%d, e.g. 2/7",
            options->shard, (int)PC_SHARDS_MAX, (int)PC_SHARDS_MAX);
    return CLI_USAGE;
  }
  if (!options->json && !options->csv && !options->trace && !options->geojson)
    return CLI_DONE;
  cli_say("--shard writes a part, which does not go with --%s%s",
          options->json    ? "json"
          : options->csv   ? "csv"
          : options->trace ? "trace"
                           : "geojson",
          options->json || options->csv ? "; give that to `pushcycle merge`" : "");
  return CLI_USAGE;
}

cli_exit cli_write_part(const cli_options *options, const pc_scenario *scenario, const pc_choice *choice,
                        const pc_heading_report *headings) {
  pc_shard shard;
  pc_text text = {0};
  pc_faults faults = {0}, told = {0};
  if (!pc_shard_parse(options->shard, &shard))
    return CLI_USAGE;
  cli_watch watched;
  const pc_watch *watch = cli_watch_begin(&watched, options, "replications");
  size_t left;
  pc_status status = choice ? pc_shard_run_watched(scenario, choice, headings, shard, options->threads, watch,
                                                   &left, &text, &faults)
                            : pc_shard_compare_watched(scenario, headings, shard, options->threads, watch,
                                                       &left, &text, &faults);
  (void)cli_watch_end(&watched);
  cli_merge_faults(&told, &faults);
  cli_show_faults(&told, 0, !options->quiet);
  pc_faults_free(&told);
  pc_faults_free(&faults);
  if (status == PC_OK && left == 0)
    return cli_write(options, &text);
  pc_text_free(&text);
  if (status == PC_OK) {
    cli_say(
        "stopped with %zu replication%s of shard %s left: a part is written whole or not at all, so there is "
        "none; run this shard again",
        left, left == 1 ? "" : "s", options->shard);
    return CLI_UNFINISHED;
  }
  return cli_exit_of(status);
}

static cli_exit print(const cli_options *options, const pc_shards *shards, pc_faults *faults) {
  const pc_scenario *scenario = pc_shards_scenario(shards);
  const pc_heading_report *headings = pc_shards_headings(shards);
  pc_comparison comparison = {0};
  pc_lot *lot = NULL;
  pc_summary summary = {0};
  pc_depths_series depths = {0};
  pc_crossed crossed = {0};
  bool is_run = pc_shards_is_run(shards);
  pc_faults told = {0};
  pc_status status = is_run ? pc_shards_run(shards, &lot, &summary, &depths, &crossed, faults)
                            : pc_shards_compare(shards, &comparison, faults);
  cli_merge_faults(&told, faults);
  cli_show_faults(&told, 0, !options->quiet);
  pc_faults_free(&told);
  cli_exit done = cli_exit_of(status);
  if (done == CLI_DONE) {
    cli_say_headings(options, headings, cli_units(options, scenario));
    done = is_run ? cli_print_run(options, scenario, lot, &summary, headings, &depths, &crossed)
                  : cli_print_comparison(options, scenario, &comparison, headings);
  }
  pc_depths_free(&depths);
  pc_crossed_free(&crossed);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_comparison_free(&comparison);
  return done;
}

cli_exit cli_merge(const cli_options *options) {
  pc_faults faults = {.units = options->units, .units_given = options->units_given};
  pc_shards *shards;
  if (options->file_count == 0) {
    cli_say("merge needs the parts to join: pushcycle merge part-*");
    return CLI_USAGE;
  }
  pc_status status = pc_shards_read(options->files, options->file_count, &shards, &faults);
  cli_exit done = cli_exit_of(status);
  if (status == PC_OK)
    done = print(options, shards, &faults);
  else
    cli_show_faults(&faults, 0, true);
  pc_faults_free(&faults);
  pc_shards_free(shards);
  return done;
}
