// SPDX-License-Identifier: GPL-3.0-or-later
/* Where to put the pile zones, and the scenario with them as one more layout. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "cli.h"
#include "io/csv.h"
#include "io/moved.h"
#include "io/place_write.h"
#include "io/results.h"
#include "io/tables.h"

/* ---- the layout ---- */

/* "placed 3", or "placed 3 (2)" if that is taken. */
static pc_name layout_name(const pc_scenario *scenario, size_t zones) {
  pc_name name = {""};
  snprintf(name.text, sizeof name.text, "placed %zu", zones);
  for (int n = 2; pc_scenario_layout(scenario, name.text); n++)
    snprintf(name.text, sizeof name.text, "placed %zu (%d)", zones, n);
  return name;
}

/* The findings of the best choice, as if it were a layout already. */
static cli_exit find_siting(const pc_scenario *scenario, const pc_placement *placement,
                            pc_siting_report *siting) {
  const pc_place_choice *best = &placement->finalists[0];
  pc_name names[PC_PLACE_MAX];
  pc_zone zones[PC_PLACE_MAX];
  pc_layout layout = {layout_name(scenario, best->count), {names, best->count}};
  for (size_t k = 0; k < best->count; k++) {
    zones[k] = placement->sites[best->sites[k]].zone; /* borrowed */
    names[k] = zones[k].name;
  }
  pc_scenario with = *scenario;
  with.zones = zones;
  with.zone_count = best->count;
  with.layouts = &layout;
  with.layout_count = 1;
  return cli_add_siting(&with, layout.name.text, placement->need_m3, siting);
}

/* ---- the scenario with it ---- */

static void add_option(const char *name, const char *value, pc_text *out) {
  if (!value)
    return;
  pc_text_addf(out, " --%s ", name);
  pc_text_add_shell(out, value);
}

/* What the search was told on the command line, and the headings chosen for it: without them the command that
 * follows would answer something else. */
static void add_same_answer(const cli_options *options, const pc_heading_report *headings, pc_text *out) {
  add_option("box", options->box, out);
  add_option("loader", options->loader, out);
  add_option("policy", options->policy, out);
  add_option("depth", options->depth, out);
  add_option("replications", options->replications, out);
  add_option("seed", options->seed, out);
  for (size_t i = 0; i < options->override_count; i++)
    if (strncmp(options->overrides[i].path, "place.", 6) != 0) /* where to look, which is done */
      add_option("set", options->overrides[i].path, out);
  for (size_t i = 0; i < headings->count; i++) {
    const pc_heading_choice *one = &headings->items[i];
    pc_text set = {0};
    if (strchr(one->area.text, ']') || one->area.text[strspn(one->area.text, "0123456789")] == '\0')
      continue; /* a name that --set could not find */
    pc_text_addf(&set, "site.areas[%s].heading=%s deg", one->area.text,
                 pc_show_plain(pc_units_convert(one->heading_rad, PC_DIM_ANGLE, "deg")).text);
    add_option("set", set.data ? set.data : "", out);
    out->failed |= set.failed;
    pc_text_free(&set);
  }
}

static void say_written(const cli_options *options, const pc_heading_report *headings, const char *layout) {
  const char *path = options->output;
  pc_text pasted = {0};
  if (strpbrk(path, " \t\n\"'$`\\!*?[]#~=%&;<>|(){}"))
    pc_text_add_shell(&pasted, path);
  else
    pc_text_add(&pasted, path);
  add_option("layout", layout, &pasted);
  add_same_answer(options, headings, &pasted);
  if (!pasted.failed)
    cli_say("%s has the layout \"%s\" now: pushcycle run %s", path, layout, pasted.data);
  pc_text_free(&pasted);
}

static cli_exit write_scenario(const cli_options *options, const pc_scenario *scenario, const pc_text *text,
                               const pc_heading_report *headings, const pc_placement *placement) {
  const pc_place_choice *best = &placement->finalists[0];
  const pc_zone *zones[PC_PLACE_MAX];
  bool is_new[PC_PLACE_MAX];
  pc_name name = layout_name(scenario, best->count);
  for (size_t k = 0; k < best->count; k++) {
    zones[k] = &placement->sites[best->sites[k]].zone;
    is_new[k] = !pc_scenario_zone(scenario, zones[k]->name.text);
  }
  const pc_place_layout layout = {name.text,   zones,           is_new,
                                  best->count, scenario->zones, scenario->zone_count};
  pc_text made = {0};
  pc_faults faults = {.units = cli_units(options, scenario)};
  pc_status status =
      pc_place_write(cli_scenario_name(options), text->data, text->length, &layout, &made, &faults);
  if (status == PC_OK)
    status = pc_scenario_move(cli_scenario_name(options), options->output, &made, &faults);
  cli_show_faults(&faults, 0, false);
  cli_exit done = cli_exit_of(status);
  if (done == CLI_DONE)
    done = cli_write_new(options->output, made.data);
  if (done == CLI_DONE && !options->quiet)
    say_written(options, headings, name.text);
  pc_faults_free(&faults);
  pc_text_free(&made);
  return done;
}

/* ---- the whole ---- */

static cli_exit print(const cli_options *options, const pc_scenario *scenario,
                      const pc_placement *placement) {
  pc_text text = {0};
  pc_siting_report siting = {0};
  const pc_notes notes = {.siting = &siting};
  cli_options to_stdout = *options; /* the file is for the scenario */
  to_stdout.output = NULL;
  cli_exit done = find_siting(scenario, placement, &siting);
  if (done == CLI_DONE && options->json)
    text.failed |= pc_results_place_json(scenario, placement, &notes, &text) != PC_OK;
  else if (done == CLI_DONE)
    pc_tables_place(scenario, placement, &notes, cli_units(options, scenario), &text);
  pc_siting_report_free(&siting);
  if (done == CLI_DONE)
    return cli_write(&to_stdout, &text);
  pc_text_free(&text);
  return done;
}

/* What Ctrl-C left of the search. */
static void tell_stopped(const pc_placement *placement) {
  if (placement->finalist_count == 0)
    cli_say("stopped before any choice of places was found that can be worked");
  else
    cli_say("stopped: what follows is the best so far");
}

/* Without zones by rough places. */
static cli_exit choose_headings(const cli_options *options, pc_scenario *scenario, const pc_choice *choice,
                                pc_heading_report *headings) {
  if (scenario->zone_count > 0)
    return cli_choose_headings(options, scenario, choice, headings);
  cli_watch watch;
  const pc_place_wanted wanted = {.choice = choice,
                                  .replications = 1,
                                  .seed = (uint64_t)scenario->chance.seed,
                                  .threads = options->threads,
                                  .watch = cli_watch_begin(&watch, options, "simulations for headings")};
  pc_status status = pc_placement_headings(scenario, &wanted, headings);
  (void)cli_watch_end(&watch);
  if (status != PC_OK)
    return cli_no_memory();
  cli_say_headings(options, headings, cli_units(options, scenario));
  return CLI_DONE;
}

static cli_exit place(const cli_options *options, const pc_scenario *scenario, const pc_text *text,
                      const pc_choice *choice, const pc_heading_report *headings) {
  pc_faults faults = {0};
  pc_placement placement = {0};
  cli_watch watch;
  const pc_place_wanted wanted = {.choice = choice,
                                  .replications = (size_t)scenario->chance.replications,
                                  .seed = (uint64_t)scenario->chance.seed,
                                  .threads = options->threads,
                                  .watch = cli_watch_begin(&watch, options, "simulations")};
  pc_status status = pc_placement_find(scenario, &wanted, &placement, &faults);
  (void)cli_watch_end(&watch);
  cli_show_faults(&faults, 0, false);
  pc_faults_free(&faults);
  cli_exit done = cli_exit_of(status);
  if (done == CLI_DONE && placement.stopped)
    tell_stopped(&placement);
  if (done == CLI_DONE && placement.finalist_count > 0)
    done = print(options, scenario, &placement);
  if (done == CLI_DONE && placement.finalist_count > 0 && options->output)
    done = write_scenario(options, scenario, text, headings, &placement);
  if (done == CLI_DONE && (placement.stopped || placement.finalists[0].summary.unfinished > 0))
    done = CLI_UNFINISHED;
  pc_placement_free(&placement);
  return done;
}

cli_exit cli_place(const cli_options *options) {
  pc_scenario scenario = pc_scenario_default();
  pc_heading_report headings = {0};
  pc_choice choice;
  pc_text text = {0};
  cli_exit done = cli_check_new(options); /* before the long search */
  if (done == CLI_DONE)
    done = cli_load_text(options, &scenario, &text);
  if (done == CLI_DONE)
    done = cli_choose(options, &scenario, &choice);
  if (done == CLI_DONE)
    done = choose_headings(options, &scenario, &choice, &headings);
  if (done == CLI_DONE)
    done = place(options, &scenario, &text, &choice, &headings);
  pc_text_free(&text);
  pc_heading_report_free(&headings);
  pc_scenario_free(&scenario);
  return done;
}
