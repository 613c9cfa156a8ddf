// SPDX-License-Identifier: GPL-3.0-or-later
/* A night to look at, as one HTML file: one run, or two side by side. */
#include <math.h>
#include <string.h>

#include "cli.h"
#include "io/replay.h"
#include "sim/policy.h"

/* What was recorded of one run, and what sets it apart. */
typedef struct recorded {
  pc_text json, label; /* label: at first all machines with their boxes */
  pc_name layout, policy;
  double depth_m;
  size_t machine_count;
} recorded;

typedef struct recording {
  recorded runs[PC_REPLAY_RUNS_MAX];
  size_t count;
  uint64_t seed;
  bool unfinished;
} recording;

static pc_status record_lot(void *context, size_t row, const pc_lot *lot) {
  (void)row;
  recording *all = context;
  recorded *run = &all->runs[all->count++];
  bool finished = true;
  run->layout = lot->layout;
  run->policy = pc_name_of(lot->policy->name);
  run->depth_m = lot->snow.depth_m;
  run->machine_count = lot->machine_count;
  for (size_t m = 0; m < lot->machine_count; m++)
    pc_text_addf(&run->label, "%s%s with %s", m ? ", " : "", lot->machines[m].name.text,
                 lot->machines[m].unit.box.name.text);
  pc_status status = pc_replay_record(lot, all->seed, &run->json, &finished);
  all->unfinished |= !finished;
  return status == PC_OK && run->label.failed ? PC_ERR_MEMORY : status;
}

/* Names what differs, or the layout if there is nothing to tell apart. */
static void label_runs(recording *all, pc_unit_system units) {
  const recorded *a = &all->runs[0], *b = &all->runs[all->count - 1];
  bool layout = strcmp(a->layout.text, b->layout.text) != 0;
  bool policy = strcmp(a->policy.text, b->policy.text) != 0, depth = a->depth_m != b->depth_m;
  bool count = a->machine_count != b->machine_count;
  bool crew = !count && a->label.data && b->label.data && strcmp(a->label.data, b->label.data) != 0;
  for (size_t i = 0; i < all->count; i++) {
    recorded *run = &all->runs[i];
    pc_text label = {0};
    pc_shown depth_text = pc_show_depth(run->depth_m, units);
    const char *parts[] = {layout ? run->layout.text : NULL, policy ? run->policy.text : NULL,
                           depth ? depth_text.text : NULL, crew ? run->label.data : NULL};
    for (size_t k = 0; k < sizeof parts / sizeof parts[0]; k++)
      if (parts[k])
        pc_text_addf(&label, "%s%s", label.length > 0 ? ", " : "", parts[k]);
    if (count)
      pc_text_addf(&label, "%s%zu machine%s", label.length > 0 ? ", " : "", run->machine_count,
                   run->machine_count == 1 ? "" : "s");
    if (all->count < 2)
      pc_text_addf(&label, "layout \"%s\", %s", run->layout.text, run->policy.text);
    else if (label.length == 0)
      pc_text_add(&label, run->layout.text);
    pc_text_free(&run->label);
    run->label = label;
  }
}

static cli_exit write_page(const cli_options *options, const pc_scenario *scenario, recording *all) {
  pc_text page = {0};
  pc_replay_run runs[PC_REPLAY_RUNS_MAX];
  label_runs(all, cli_units(options, scenario));
  for (size_t i = 0; i < all->count; i++) {
    if (!all->runs[i].label.data)
      return cli_no_memory();
    runs[i] = (pc_replay_run){all->runs[i].label.data, all->runs[i].json.data};
  }
  if (pc_replay_page(scenario, runs, all->count, cli_units(options, scenario), &page) != PC_OK)
    page.failed = true;
  cli_exit written = cli_write(options, &page);
  return written == CLI_DONE && all->unfinished ? CLI_UNFINISHED : written;
}

/* Only what the options ask for: the lists of the scenario are for `compare`. */
static pc_wanted wanted_of(const cli_options *options, const pc_scenario *scenario, pc_name only[4]) {
  const pc_wanted *lists = &scenario->compare;
  const char *names[4] = {options->layout, options->box, options->loader, options->policy};
  const char *given[4] = {options->layouts, options->boxes, options->loaders, options->policies};
  const pc_names *from[4] = {&lists->layouts, &lists->boxes, &lists->loaders, &lists->policies};
  pc_names taken[4] = {{0}};
  for (size_t i = 0; i < 4; i++) {
    only[i] = pc_name_long_of(names[i] ? names[i] : "");
    taken[i] = names[i] ? (pc_names){&only[i], 1} : given[i] ? *from[i] : (pc_names){0};
  }
  pc_wanted wanted = {.layouts = taken[0], .boxes = taken[1], .loaders = taken[2], .policies = taken[3]};
  if (options->depths)
    wanted.depths = lists->depths;
  if (options->crews)
    wanted.crews = lists->crews;
  return wanted;
}

static cli_exit replay(const cli_options *options, const pc_scenario *scenario, recording *all) {
  pc_faults faults = {0};
  pc_name only[4];
  size_t count = 0;
  pc_wanted wanted = wanted_of(options, scenario, only);
  pc_status status = pc_compare_count(scenario, &wanted, &count, &faults);
  if (status == PC_OK && count > PC_REPLAY_RUNS_MAX) {
    cli_say("replay shows one run or two side by side, but the lists make %zu; name fewer", count);
    pc_faults_free(&faults);
    return CLI_USAGE;
  }
  all->seed = (uint64_t)scenario->chance.seed;
  if (status == PC_OK)
    status = pc_compare_visit(scenario, &wanted, 0, count, record_lot, all, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status == PC_ERR_LIMIT && pc_faults_fatal(&faults) == 0)
    cli_say("the lot has more than %d cells, which is too much for a page; a longer `station` makes fewer",
            PC_REPLAY_CELLS_MAX);
  else if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("the run failed: %s", pc_status_describe(status));
  pc_faults_free(&faults);
  return status == PC_OK ? write_page(options, scenario, all) : cli_exit_of(status);
}

cli_exit cli_replay(const cli_options *options) {
  pc_scenario scenario;
  pc_choice choice;
  pc_heading_report headings = {0};
  recording all = {0};
  cli_exit done = cli_load(options, &scenario);
  if (done == CLI_DONE)
    done = cli_keep_lists_apart(options);
  if (done == CLI_DONE)
    done = cli_choose(options, &scenario, &choice);
  if (done == CLI_DONE)
    done = cli_choose_headings(options, &scenario, &choice, &headings);
  if (done == CLI_DONE)
    done = replay(options, &scenario, &all);
  for (size_t i = 0; i < PC_REPLAY_RUNS_MAX; i++) {
    pc_text_free(&all.runs[i].json);
    pc_text_free(&all.runs[i].label);
  }
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return done;
}
