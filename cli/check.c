// SPDX-License-Identifier: GPL-3.0-or-later
/* Every fault and caution of a scenario, and what it amounts to. Lots are made but not run, so that what a
 * run would refuse is found here too. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "cli.h"
#include "io/results.h"
#include "io/tables.h"

static const char *layout_name(const pc_scenario *scenario, size_t index) {
  return scenario->layout_count > 0 ? scenario->layouts[index].name.text : "all zones";
}

static double capacity_m3(const pc_lot *lot) {
  pc_sum sum = {0};
  for (size_t i = 0; i < lot->zone_count; i++)
    pc_sum_add(&sum, lot->zone_capacity_kg[i] / lot->snow.pile_density_kgpm3);
  return pc_sum_value(&sum);
}

/* What is known of the layouts, for every way of showing it. */
typedef struct findings {
  pc_room_row *rooms;
  size_t room_count, room_capacity;
  pc_siting_report siting;
  pc_heading_report headings;
  bool failed; /* out of memory */
} findings;

static void add_room(findings *found, const pc_room_row *row) {
  void *rooms = found->rooms;
  if (pc_reserve(&rooms, &found->room_capacity, found->room_count + 1, sizeof *row) != 0) {
    found->failed = true;
    return;
  }
  found->rooms = rooms;
  found->rooms[found->room_count++] = *row;
}

static void add_layout(const pc_lot *lot, const pc_scenario *scenario, findings *found) {
  double density = lot->snow.pile_density_kgpm3, need_m3 = pc_lot_snow_kg(lot) / density;
  const pc_room_row whole = {
      .layout = lot->layout, .zones = lot->zone_count, .room_m3 = capacity_m3(lot), .need_m3 = need_m3};
  add_room(found, &whole);
  for (size_t i = 0; i < lot->zone_count; i++) {
    const pc_room_row one = {.layout = lot->layout,
                             .zone = lot->zones[i].name,
                             .room_m3 = lot->zone_capacity_kg[i] / density,
                             .need_m3 = NAN};
    add_room(found, &one);
  }
  if (cli_add_siting(scenario, lot->layout.text, need_m3, &found->siting) != CLI_DONE)
    found->failed = true;
}

static void add_rooms(const findings *found, pc_unit_system system, pc_text *out) {
  pc_table table;
  pc_table_start(&table, "lrrrl");
  pc_table_heading(&table, "layout|zones|room|piled snow|holds it");
  for (size_t i = 0; i < found->room_count; i++) {
    const pc_room_row *row = &found->rooms[i];
    bool whole = row->zone.text[0] == '\0';
    pc_table_cell(&table, "%s%s", whole ? "" : "  ", whole ? row->layout.text : row->zone.text);
    if (whole)
      pc_table_cell(&table, "%zu", row->zones);
    else
      pc_table_cell(&table, "%s", "");
    pc_table_cell(&table, "%s",
                  isinf(row->room_m3) ? "no limit" : pc_show(row->room_m3, PC_DIM_VOLUME, system, 3).text);
    pc_table_cell(&table, "%s", whole ? pc_show(row->need_m3, PC_DIM_VOLUME, system, 3).text : "");
    pc_table_cell(&table, "%s", !whole ? "" : row->need_m3 > row->room_m3 ? "no" : "yes");
  }
  pc_table_write(&table, out);
  pc_table_free(&table);
}

static void check_layouts(const cli_options *options, const pc_scenario *scenario, findings *all,
                          pc_faults *faults) {
  size_t count = scenario->layout_count > 0 ? scenario->layout_count : 1;
  for (size_t i = 0; i < count; i++) {
    if (options->layout && strcmp(layout_name(scenario, i), options->layout) != 0)
      continue;
    pc_lot *lot = NULL;
    pc_faults found = {0};
    const pc_choice choice = {.layout = layout_name(scenario, i), .depth_m = NAN};
    pc_status status = pc_lot_create(scenario, &choice, &lot, &found);
    if (status != PC_OK && pc_faults_fatal(&found) == 0)
      pc_faults_add(&found, status, "layouts", choice.layout, "%s", pc_status_describe(status));
    if (status == PC_OK)
      add_layout(lot, scenario, all);
    cli_merge_faults(faults, &found);
    pc_faults_free(&found);
    pc_lot_free(lot);
  }
}

/* Of all areas to clear, with what stands on them. */
static double area_m2(const pc_scenario *scenario) {
  pc_sum area = {0};
  for (size_t i = 0; i < scenario->site.area_count; i++)
    pc_sum_add(&area, fabs(pc_ring_area_m2(&scenario->site.areas[i].outline)));
  return pc_sum_value(&area);
}

static void add_sums(const pc_scenario *scenario, pc_unit_system system, pc_text *out) {
  size_t machines = 0;
  for (size_t i = 0; i < scenario->crew_count; i++)
    machines += (size_t)scenario->crew[i].count;
  if (scenario->crew_count == 0)
    machines = 1;
  double all_m2 = area_m2(scenario), density = pc_snow_fresh_density(&scenario->snow);
  pc_text_addf(out, "\nTo clear: %zu area%s, %s", scenario->site.area_count,
               scenario->site.area_count == 1 ? "" : "s", pc_show(all_m2, PC_DIM_AREA, system, 3).text);
  if (system == PC_METRIC && all_m2 >= 10000)
    pc_text_addf(out, " (%s m2)", pc_show(all_m2, PC_DIM_NUMBER, system, 3).text);
  pc_text_add(out, ", zones and obstacles on them included; ");
  if (!(scenario->snow.depth_m > 0))
    pc_text_add(out, "no snow lies at the start.\n");
  else
    pc_text_addf(out, "%s of snow at %s: about %s.\n", pc_show_depth(scenario->snow.depth_m, system).text,
                 pc_show(density, PC_DIM_DENSITY, system, 3).text,
                 pc_show(all_m2 * density * scenario->snow.depth_m, PC_DIM_MASS, system, 3).text);
  pc_text_addf(out, "With: %zu machine%s of %zu loader%s and %zu box%s.\n", machines,
               machines == 1 ? "" : "s", scenario->loader_count, scenario->loader_count == 1 ? "" : "s",
               scenario->box_count, scenario->box_count == 1 ? "" : "es");
}

static pc_shown show_moment(const pc_scenario *scenario, double after_s, pc_unit_system system) {
  const pc_clock *clock = &scenario->clock;
  return clock->given ? pc_clock_show(clock, after_s) : pc_show(after_s, PC_DIM_TIME, system, 3);
}

/* From when, if not from the start, and until when snow falls, and what was taken for granted in that. */
static void add_storm(const pc_scenario *scenario, pc_unit_system system, pc_text *out) {
  double from_s = NAN, end_s = 0, last_s = scenario->storm_last_row_s;
  for (size_t i = 0; i + 1 < scenario->storm_count; i++)
    if (scenario->storm[i].rate_mps > 0) {
      from_s = fmin(from_s, scenario->storm[i].after_s);
      end_s = scenario->storm[i + 1].after_s;
    }
  if (!(end_s > 0))
    return;
  double depth_m = pc_storm_depth_m(scenario->storm, scenario->storm_count);
  double kgpm2 = pc_storm_kgpm2(scenario->storm, scenario->storm_count, &scenario->snow);
  pc_text_addf(out, "Storm: %s of fresh snow at %s fall", pc_show_depth(depth_m, system).text,
               pc_show(kgpm2 / depth_m, PC_DIM_DENSITY, system, 3).text);
  if (from_s > 0)
    pc_text_addf(out, " from %s", show_moment(scenario, from_s, system).text);
  pc_text_addf(out, " until %s%s: about %s more.", show_moment(scenario, end_s, system).text,
               scenario->clock.given ? "" : " after the start",
               pc_show(area_m2(scenario) * kgpm2, PC_DIM_MASS, system, 3).text);
  bool snow_to_the_end = scenario->storm[scenario->storm_count - 2].rate_mps > 0;
  if (last_s > 0 && snow_to_the_end)
    pc_text_addf(
        out,
        " The last row of its file has no end: it is taken to hold for %s (as long as the row before it; in "
        "a daily record a day). A row with 0 would end it.",
        pc_show(last_s, PC_DIM_TIME, system, 3).text);
  pc_text_add(out, "\n");
}

static void add_answer(const cli_options *options, const pc_faults *faults, size_t sited, pc_text *out) {
  size_t fatal = pc_faults_fatal(faults), cautions = faults->count + faults->dropped - fatal + sited;
  char text[PC_ERROR_TEXT_MAX];
  if (fatal == 0)
    pc_text_addf(out, "%s: no faults", cli_scenario_name(options));
  else
    pc_text_addf(out, "%s: %zu fault%s", cli_scenario_name(options), fatal, fatal == 1 ? "" : "s");
  pc_text_addf(out, ", %zu caution%s\n", cautions, cautions == 1 ? "" : "s");
  for (size_t i = 0; i < faults->count; i++) {
    if (!faults->items[i].caution)
      continue;
    pc_error_format(&faults->items[i], text, sizeof text);
    pc_text_addf(out, "caution: %s\n", text);
  }
}

static cli_exit print(const cli_options *options, const pc_scenario *scenario, const findings *found,
                      const pc_faults *faults, pc_status status) {
  pc_text text = {.failed = found->failed};
  const pc_notes notes = {.siting = &found->siting, .headings = &found->headings};
  cli_show_faults(faults, 0, false);
  if (options->json) {
    if (pc_results_check_json_with(cli_scenario_name(options), faults, found->rooms, found->room_count,
                                   &notes, &text) != PC_OK)
      text.failed = true;
  } else {
    add_answer(options, faults, found->siting.count, &text);
    if (status == PC_OK) {
      pc_unit_system units = cli_units(options, scenario);
      add_sums(scenario, units, &text);
      add_storm(scenario, units, &text);
      pc_text_add(&text, "\n");
      add_rooms(found, units, &text);
      pc_text_add(&text, "\n");
      pc_tables_siting_table(&found->siting, units, &text);
      pc_text_add(&text, found->siting.count > 0 ? "\n" : "");
      pc_tables_cautions(&text);
    }
  }
  cli_exit written = cli_write(options, &text);
  return written != CLI_DONE ? written : cli_exit_of(status);
}

/* All zones, and the lanes of the layout that was asked for, or the first. */
static cli_exit write_map(const cli_options *options, const pc_scenario *scenario, const pc_choice *choice) {
  pc_lot *lot = NULL;
  pc_faults known = {0}; /* told already */
  cli_exit done = cli_check_origin(options, scenario);
  if (done == CLI_DONE)
    done = cli_exit_of(pc_lot_create(scenario, choice, &lot, &known));
  const pc_geojson_content content = {
      .site = &scenario->site, .zones = scenario->zones, .zone_count = scenario->zone_count, .lot = lot};
  if (done == CLI_DONE)
    done = cli_write_geojson(options, &content);
  pc_faults_free(&known);
  pc_lot_free(lot);
  return done;
}

cli_exit cli_check(const cli_options *options) {
  pc_scenario scenario;
  pc_faults faults = {0};
  findings found = {0};
  pc_choice choice;
  if (!options->scenario && !options->quiet)
    cli_say("no scenario given: this is the built-in demonstration lot");
  pc_status status;
  cli_exit done = cli_read(options, &scenario, &faults, &status);
  if (done != CLI_DONE)
    cli_show_faults(&faults, 0, false);
  if (done == CLI_DONE && status == PC_OK)
    done = cli_choose(options, &scenario, &choice);
  if (done == CLI_DONE && status == PC_OK)
    status = cli_find_headings(options, &scenario, &choice, &faults, &found.headings);
  cli_say_headings(options, &found.headings, cli_units(options, &scenario));
  if (done == CLI_DONE && status == PC_OK) {
    check_layouts(options, &scenario, &found, &faults);
    status = pc_faults_status(&faults);
  }
  if (done == CLI_DONE && status == PC_OK && options->geojson)
    done = write_map(options, &scenario, &choice);
  if (done == CLI_DONE)
    done = print(options, &scenario, &found, &faults, status);
  pc_heading_report_free(&found.headings);
  pc_siting_report_free(&found.siting);
  free(found.rooms);
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
  return done;
}
