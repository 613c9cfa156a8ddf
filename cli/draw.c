// SPDX-License-Identifier: GPL-3.0-or-later
/* pushcycle draw: maps, timelines and charts. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/memory.h"
#include "cli.h"
#include "io/pictures.h"

#define WAYS_BEFORE_S 600.0 /* of a snapshot: older ways are not shown */

/* ---- options ---- */

static cli_exit read_time(const cli_options *options, double *at_s) {
  pc_error error;
  *at_s = INFINITY;
  if (options->at && pc_clock_meant(options->at)) /* read_clock, once the scenario is known */
    return CLI_DONE;
  if (!options->at || pc_units_parse(options->at, PC_DIM_TIME, at_s, &error) == PC_OK) {
    if (*at_s >= 0)
      return CLI_DONE;
    cli_say("--at: \"%s\" is not allowed; give a time of 0 s or more", options->at);
    return CLI_USAGE;
  }
  cli_say("--at: %s, or where the scenario has starts_at a clock time, \"05:30\"", error.message);
  return CLI_USAGE;
}

/* --at as a clock time. */
static cli_exit read_clock(const cli_options *options, const pc_scenario *scenario, double *at_s) {
  pc_error error;
  if (!options->at || !pc_clock_meant(options->at) ||
      pc_clock_read(&scenario->clock, options->at, false, at_s, &error) == PC_OK)
    return CLI_DONE;
  cli_say("--at: %s", error.message);
  return CLI_USAGE;
}

typedef struct layers {
  bool snow, ways, lanes, flows;
  bool chosen; /* by the option */
} layers;

static cli_exit read_layers(const cli_options *options, layers *out) {
  *out = (layers){.snow = true, .ways = true};
  if (!options->layers)
    return CLI_DONE;
  *out = (layers){.chosen = true};
  for (const char *at = options->layers;;) {
    size_t length = strcspn(at, ",");
    if (length == 4 && strncmp(at, "snow", 4) == 0)
      out->snow = true;
    else if (length == 4 && strncmp(at, "ways", 4) == 0)
      out->ways = true;
    else if (length == 5 && strncmp(at, "lanes", 5) == 0)
      out->lanes = true;
    else if (length == 5 && strncmp(at, "flows", 5) == 0)
      out->flows = true;
    else if (strcmp(options->layers, "none") != 0) {
      cli_say(
          "--layers: \"%s\" is not allowed; choose of snow, flows, ways and lanes, as in \"snow,lanes\", or "
          "none",
          options->layers);
      return CLI_USAGE;
    }
    if (at[length] == '\0')
      return CLI_DONE;
    at += length + 1;
  }
}

/* ---- one lot, run ---- */

static cli_exit finish(const cli_options *options, pc_status status, pc_text *text) {
  if (status != PC_OK)
    text->failed = true;
  return cli_write(options, text);
}

typedef struct drawing { /* of map and timeline */
  const cli_options *options;
  pc_picture_style style;
  double at_s;
  layers layers;
} drawing;

/* Single ways of a few loads can be followed; of a night with many the flows are shown instead. */
enum { LOADS_TO_FOLLOW = 40 };

static layers layers_of(const drawing *job, const cli_night *night) {
  layers shown = job->layers;
  size_t loads = 0;
  for (size_t i = 0; i < night->rows.count; i++)
    loads += night->rows.items[i].phase == PC_PHASE_DUMP;
  if (!shown.chosen && !isfinite(job->at_s) && loads > LOADS_TO_FOLLOW) {
    shown.flows = true;
    shown.ways = false;
  }
  return shown;
}

/* What of the night lies on the map. */
static void add_layers(const drawing *job, const cli_night *night, pc_map_content *content) {
  const layers shown = layers_of(job, night);
  content->standing = isfinite(job->at_s) ? &night->standing : NULL;
  content->ground_kg = shown.snow ? pc_world_ground_kg(night->world) : NULL;
  content->at_s = job->at_s;
  content->rows = night->rows.items;
  content->row_count = night->rows.count;
  content->from_s = isfinite(job->at_s) ? job->at_s - WAYS_BEFORE_S : 0;
  content->until_s = job->at_s;
  content->lanes = shown.lanes;
  content->flows = shown.flows;
  content->no_ways = !shown.ways;
}

static cli_exit draw_map(const drawing *job, const pc_scenario *scenario, const pc_lot *lot,
                         const cli_night *night) {
  pc_siting_report siting = {0};
  pc_text text = {0};
  cli_exit status =
      cli_add_siting(scenario, lot->layout.text, pc_lot_snow_kg(lot) / lot->snow.pile_density_kgpm3, &siting);
  pc_map_content content = {.scenario = scenario, .lot = lot, .summary = &night->summary, .siting = &siting};
  add_layers(job, night, &content);
  if (status == CLI_DONE)
    status = finish(job->options, pc_picture_map(&content, &job->style, &text), &text);
  pc_siting_report_free(&siting);
  return status;
}

static cli_exit draw_timeline(const drawing *job, const pc_lot *lot, const cli_night *night) {
  pc_text text = {0};
  const pc_timeline_content content = {.lot = lot,
                                       .rows = night->rows.items,
                                       .row_count = night->rows.count,
                                       .from_s = isfinite(job->at_s) ? job->at_s : 0,
                                       .until_s = INFINITY};
  return finish(job->options, pc_picture_timeline(&content, &job->style, &text), &text);
}

/* "3:23 am (5.88 h after the start)". */
static void add_moment(const pc_lot *lot, double after_s, pc_text *out) {
  pc_shown after = pc_show(after_s, PC_DIM_TIME, PC_METRIC, 3); /* times are the same in all units */
  if (lot->clock.given)
    pc_text_addf(out, "%s (%s after the start)", pc_clock_show(&lot->clock, after_s).text, after.text);
  else
    pc_text_addf(out, "%s after the start", after.text);
}

/* After the end of the first night, which is the one that is drawn, there is nothing to show; `end_s` of the
 * layout that takes longest. */
static cli_exit check_end(const drawing *job, const pc_lot *lot, double end_s) {
  if (!isfinite(job->at_s) || job->at_s <= end_s)
    return CLI_DONE;
  pc_text text = {0};
  pc_text_addf(&text, "--at: \"%s\" is too late: ", job->options->at);
  add_moment(lot, job->at_s, &text);
  pc_text_add(&text, ", and the night that is drawn ends at ");
  add_moment(lot, end_s, &text);
  cli_say("%s", text.data ? text.data : "--at: is after the end of the night");
  pc_text_free(&text);
  return CLI_USAGE;
}

/* What is asked for takes a run. */
static bool needs_run(const drawing *job) {
  const layers *shown = &job->layers;
  return job->options->at || job->options->plan ||
         (shown->chosen && (shown->snow || shown->ways || shown->lanes || shown->flows));
}

/* Without zones nothing can be simulated, but what lies where can be shown. */
static cli_exit draw_site(const drawing *job, pc_scenario *scenario) {
  pc_choice choice;
  pc_text text = {0};
  const pc_map_content content = {.scenario = scenario, .at_s = INFINITY};
  cli_exit status = cli_choose(job->options, scenario, &choice); /* that its names exist */
  for (size_t i = 0; status == CLI_DONE && choice.loader && i < scenario->crew_count; i++)
    if (!scenario->crew[i].keep) /* machines are called by it */
      scenario->crew[i].loader = pc_name_of(choice.loader);
  return status == CLI_DONE ? finish(job->options, pc_picture_map(&content, &job->style, &text), &text)
                            : status;
}

static cli_exit draw_one(const drawing *job, pc_scenario *scenario, bool timeline) {
  pc_heading_report headings = {0};
  pc_lot *lot = NULL;
  cli_night night = {0};
  pc_plan plan = {0};
  cli_exit status = cli_make_lot(job->options, scenario, &headings, &lot);
  if (status == CLI_DONE)
    status = cli_follow_plan(job->options, lot, &plan);
  if (status == CLI_DONE)
    status = cli_night_run(job->options, scenario, lot, timeline ? INFINITY : job->at_s, &night);
  if (status == CLI_DONE)
    status = check_end(job, lot, night.results[0].total_time_s);
  if (status == CLI_DONE)
    status = timeline ? draw_timeline(job, lot, &night) : draw_map(job, scenario, lot, &night);
  if (status == CLI_DONE && (night.summary.unfinished > 0 || night.stopped))
    status = CLI_UNFINISHED;
  cli_night_free(&night);
  pc_lot_free(lot);
  pc_plan_free(&plan);
  pc_heading_report_free(&headings);
  return status;
}

/* ---- several layouts ---- */

typedef struct side_by_side {
  size_t count, drawn; /* drawn: fewer if Ctrl-C came */
  pc_lot **lots;
  cli_night *nights;
  pc_map_content *contents;
} side_by_side;

static void free_several(side_by_side *all) {
  for (size_t i = 0; i < all->count; i++) {
    if (all->nights)
      cli_night_free(&all->nights[i]);
    if (all->lots)
      pc_lot_free(all->lots[i]);
  }
  free(all->lots);
  free(all->nights);
  free(all->contents);
}

/* Those of which all replications are there, but at least the first. */
static void cut_several(side_by_side *all, size_t stopped) {
  all->drawn = stopped > 0 ? stopped : 1;
  cli_say("%zu of %zu layouts are drawn", all->drawn, all->count);
}

static cli_exit run_several(const drawing *job, pc_scenario *scenario, side_by_side *all) {
  const pc_names *names = &scenario->compare.layouts;
  bool every = pc_names_are_all(names);
  pc_heading_report headings = {0};
  cli_exit status = CLI_DONE;
  double end_s = 0;
  for (size_t i = 0; i < all->count && status == CLI_DONE; i++) {
    cli_options one = *job->options;
    one.quiet |= i > 0; /* cautions are much the same */
    one.layout = scenario->layout_count == 0 ? NULL
                 : every                     ? scenario->layouts[i].name.text
                                             : names->items[i].text;
    status = cli_make_lot(&one, scenario, &headings, &all->lots[i]);
    if (status == CLI_DONE)
      status = cli_night_run(&one, scenario, all->lots[i], job->at_s, &all->nights[i]);
    if (status != CLI_DONE)
      break;
    all->contents[i] =
        (pc_map_content){.scenario = scenario, .lot = all->lots[i], .summary = &all->nights[i].summary};
    add_layers(job, &all->nights[i], &all->contents[i]);
    end_s = fmax(end_s, all->nights[i].results[0].total_time_s);
    if (all->nights[i].stopped) {
      cut_several(all, i);
      break;
    }
  }
  pc_heading_report_free(&headings);
  return status == CLI_DONE ? check_end(job, all->lots[0], end_s) : status;
}

/* Maps side by side are of one kind: if one night has too many loads to follow, all show flows. */
static void make_alike(side_by_side *all) {
  bool flows = false;
  for (size_t i = 0; i < all->drawn; i++)
    flows |= all->contents[i].flows;
  for (size_t i = 0; i < all->drawn && flows; i++) {
    all->contents[i].flows = true;
    all->contents[i].no_ways = true;
  }
}

static cli_exit draw_several(const drawing *job, pc_scenario *scenario) {
  const pc_names *names = &scenario->compare.layouts;
  bool every = pc_names_are_all(names);
  side_by_side all = {.count = every ? scenario->layout_count : names->count};
  all.count = all.count ? all.count : 1;
  all.drawn = all.count;
  all.lots = pc_alloc(all.count, sizeof *all.lots);
  all.nights = pc_alloc(all.count, sizeof *all.nights);
  all.contents = pc_alloc(all.count, sizeof *all.contents);
  pc_text text = {0};
  cli_exit status = all.lots && all.nights && all.contents ? CLI_DONE : cli_no_memory();
  if (status == CLI_DONE)
    status = run_several(job, scenario, &all);
  if (!job->layers.chosen)
    make_alike(&all);
  if (status == CLI_DONE)
    status = finish(job->options, pc_picture_maps(all.contents, all.drawn, &job->style, &text), &text);
  size_t unfinished = 0;
  bool stopped = false;
  for (size_t i = 0; i < all.count && status == CLI_DONE; i++) {
    unfinished += i < all.drawn && all.nights[i].summary.unfinished > 0;
    stopped |= all.nights[i].stopped;
  }
  if (status == CLI_DONE && (unfinished == all.drawn || stopped))
    status = CLI_UNFINISHED;
  free_several(&all);
  return status;
}

/* ---- charts ---- */

static cli_exit read_kind(const cli_options *options, pc_chart_kind *kind) {
  *kind = PC_CHART_LAYOUTS;
  if (!options->of)
    return CLI_DONE;
  for (int i = 0; i < PC_CHART_KIND_COUNT; i++)
    if (strcmp(options->of, pc_chart_kind_names[i]) == 0) {
      *kind = (pc_chart_kind)i;
      return CLI_DONE;
    }
  const char *near = pc_nearest_word(options->of, pc_chart_kind_names, PC_CHART_KIND_COUNT);
  cli_say("--of: \"%s\" is not allowed%s%s%s; choose layouts, split, depth, crew or zones", options->of,
          near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
  return CLI_USAGE;
}

/* Half the depth to double. */
static bool want_depths(pc_scenario *scenario) {
  static const double shares[] = {0.5, 0.75, 1, 1.5, 2};
  enum { COUNT = sizeof shares / sizeof shares[0] };
  double *items_m = pc_alloc(COUNT, sizeof *items_m);
  if (!items_m)
    return false;
  for (size_t i = 0; i < COUNT; i++)
    items_m[i] = shares[i] * scenario->snow.depth_m;
  free(scenario->compare.depths.items_m);
  scenario->compare.depths = (pc_depths){items_m, COUNT};
  return true;
}

static bool want_crews(pc_scenario *scenario) {
  enum { COUNT = 6 };
  int *items = pc_alloc(COUNT, sizeof *items);
  if (!items)
    return false;
  for (int i = 0; i < COUNT; i++)
    items[i] = i + 1;
  free(scenario->compare.crews.items);
  scenario->compare.crews = (pc_counts){items, COUNT};
  return true;
}

/* What a chart needs that neither options nor scenario name: a line for each layout, with the crew's own
 * boxes; depths and crews to go along the axis. */
static cli_exit want(const cli_options *options, pc_scenario *scenario, pc_chart_kind kind) {
  pc_wanted *wanted = &scenario->compare;
  bool kept = true;
  if (!options->layout && !options->layouts && (kind == PC_CHART_ZONES || wanted->layouts.count == 0))
    kept = cli_want_all_layouts(scenario);
  if (kind == PC_CHART_LAYOUTS || kind == PC_CHART_SPLIT)
    return kept ? CLI_DONE : cli_no_memory();
  if (!options->boxes && !options->box)
    pc_names_free(&wanted->boxes);
  wanted->mixed = options->mixed;
  if (kind != PC_CHART_DEPTH && !options->depths)
    wanted->depths.count = 0;
  if (kind != PC_CHART_CREW && !options->crews)
    wanted->crews.count = 0;
  if (kind == PC_CHART_DEPTH && wanted->depths.count < 2) {
    if (options->depths || !(scenario->snow.depth_m > 0)) {
      cli_say("a chart of depth needs two depths or more: --depths \"5 cm,10 cm,20 cm\"");
      return CLI_USAGE;
    }
    kept &= want_depths(scenario);
  }
  if (kind == PC_CHART_CREW && !options->crews && wanted->crews.count < 2)
    kept &= want_crews(scenario);
  return kept ? CLI_DONE : cli_no_memory();
}

static cli_exit draw_chart(const drawing *job, pc_scenario *scenario) {
  pc_heading_report headings = {0};
  pc_comparison comparison = {0};
  pc_chart_kind kind;
  pc_text text = {0};
  cli_exit status = read_kind(job->options, &kind);
  if (status == CLI_DONE)
    status = want(job->options, scenario, kind);
  if (status == CLI_DONE)
    status = cli_narrow(job->options, scenario, &headings);
  if (status == CLI_DONE)
    status = cli_run_comparison(job->options, scenario, &comparison);
  const pc_chart_content content = {scenario, &comparison, kind};
  if (comparison.row_count > 0) { /* all rows, or what Ctrl-C left */
    cli_exit drawn = finish(job->options, pc_picture_chart(&content, &job->style, &text), &text);
    if (drawn == CLI_DONE)
      drawn = cli_comparison_exit(&comparison);
    status = drawn == CLI_DONE ? status : drawn;
  }
  pc_comparison_free(&comparison);
  pc_heading_report_free(&headings);
  return status;
}

static cli_exit check_subject(const cli_options *options) {
  static const char *const words[] = {"map", "timeline", "chart"};
  if (!options->subject) {
    cli_say("draw what? map, timeline or chart, as in `pushcycle draw map`");
    return CLI_USAGE;
  }
  for (size_t i = 0; i < 3; i++)
    if (strcmp(options->subject, words[i]) == 0)
      return CLI_DONE;
  const char *near = pc_nearest_word(options->subject, words, 3);
  cli_say("draw: \"%s\" can not be drawn%s%s%s; choose map, timeline or chart, then the scenario",
          options->subject, near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
  return CLI_USAGE;
}

cli_exit cli_draw(const cli_options *options) {
  drawing job = {.options = options};
  pc_scenario scenario;
  cli_exit status = check_subject(options);
  if (status == CLI_DONE)
    status = cli_picture_style(options, &job.style);
  if (status == CLI_DONE)
    status = cli_check_terminal(options, job.style.format != PC_PICTURE_SVG);
  if (status == CLI_DONE)
    status = read_time(options, &job.at_s);
  if (status == CLI_DONE)
    status = read_layers(options, &job.layers);
  if (status != CLI_DONE)
    return status;
  status = cli_load(options, &scenario);
  cli_picture_units(options, &scenario, &job.style);
  if (status == CLI_DONE)
    status = read_clock(options, &scenario, &job.at_s);
  if (status == CLI_DONE && options->plan && (strcmp(options->subject, "chart") == 0 || options->layouts)) {
    cli_say("--plan is of one lot: `draw map` or `draw timeline` of one layout follows it");
    status = CLI_USAGE;
  }
  if (status == CLI_DONE && strcmp(options->subject, "chart") == 0)
    status = draw_chart(&job, &scenario);
  else if (status == CLI_DONE && strcmp(options->subject, "timeline") == 0)
    status = draw_one(&job, &scenario, true);
  else if (status == CLI_DONE && scenario.zone_count == 0 && !options->layouts && !needs_run(&job))
    status = draw_site(&job, &scenario);
  else if (status == CLI_DONE)
    status = options->layouts ? draw_several(&job, &scenario) : draw_one(&job, &scenario, false);
  pc_scenario_free(&scenario);
  return status;
}
