// SPDX-License-Identifier: GPL-3.0-or-later
/* Every fault and caution of a scenario, and what it amounts to. Lots are made but not run, so that what a
 * run would refuse is found here too. */
#include <math.h>
#include <string.h>

#include "base/sum.h"
#include "cli.h"
#include "io/results.h"
#include "io/tables.h"

typedef struct shown {
  char text[48];
} shown;

static shown show(double value, pc_dimension dimension, pc_unit_system system) {
  shown made;
  pc_units_print(made.text, sizeof made.text, value, dimension, system, 3);
  return made;
}

static const char *layout_name(const pc_scenario *scenario, size_t index) {
  return scenario->layout_count > 0 ? scenario->layouts[index].name.text : "all zones";
}

/* Adds the faults of one layout that are not known yet: most are the same for every layout. */
static void merge(pc_faults *faults, const pc_faults *found) {
  for (size_t i = 0; i < found->count; i++) {
    const pc_error *error = &found->items[i];
    bool known = false;
    for (size_t j = 0; j < faults->count && !known; j++)
      known = faults->items[j].caution == error->caution && strcmp(faults->items[j].key, error->key) == 0 &&
              strcmp(faults->items[j].message, error->message) == 0;
    if (!known)
      pc_faults_push(faults, error);
  }
  faults->dropped += found->dropped;
}

static double capacity_m3(const pc_lot *lot) {
  pc_sum sum = {0};
  for (size_t i = 0; i < lot->zone_count; i++)
    pc_sum_add(&sum, lot->zone_capacity_kg[i] / lot->snow.pile_density_kgpm3);
  return pc_sum_value(&sum);
}

static void check_room(const pc_lot *lot, size_t index, pc_unit_system system, pc_faults *faults) {
  double room = capacity_m3(lot), need = lot->start_kg / lot->snow.pile_density_kgpm3;
  if (!(need > room))
    return;
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "layouts[%zu].zones", index);
  pc_faults_caution(
      faults, key,
      "the zones of layout \"%s\" hold %s together, but %s of snow makes %s of piled snow: %s would "
      "have to be hauled off",
      lot->layout.text, show(room, PC_DIM_VOLUME, system).text,
      show(lot->snow.depth_m, PC_DIM_LENGTH, system).text, show(need, PC_DIM_VOLUME, system).text,
      show(need - room, PC_DIM_VOLUME, system).text);
}

static void add_layout(const pc_lot *lot, pc_unit_system system, pc_table *table) {
  double room = capacity_m3(lot), need = lot->start_kg / lot->snow.pile_density_kgpm3;
  pc_table_cell(table, "%s", lot->layout.text);
  pc_table_cell(table, "%zu", lot->zone_count);
  pc_table_cell(table, "%s", isinf(room) ? "no limit" : show(room, PC_DIM_VOLUME, system).text);
  pc_table_cell(table, "%s", show(need, PC_DIM_VOLUME, system).text);
  pc_table_cell(table, "%s", need > room ? "no" : "yes");
  for (size_t i = 0; i < lot->zone_count; i++) {
    double zone_m3 = lot->zone_capacity_kg[i] / lot->snow.pile_density_kgpm3;
    pc_table_cell(table, "  %s", lot->zones[i].name.text);
    pc_table_cell(table, "%s", "");
    pc_table_cell(table, "%s", isinf(zone_m3) ? "no limit" : show(zone_m3, PC_DIM_VOLUME, system).text);
    pc_table_cell(table, "%s", "");
    pc_table_cell(table, "%s", "");
  }
}

static void check_layouts(const cli_options *options, const pc_scenario *scenario, pc_table *table,
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
    if (status == PC_OK) {
      check_room(lot, i, options->units, &found);
      add_layout(lot, options->units, table);
    }
    merge(faults, &found);
    pc_faults_free(&found);
    pc_lot_free(lot);
  }
}

static void add_sums(const pc_scenario *scenario, pc_unit_system system, pc_text *out) {
  pc_sum area = {0};
  size_t machines = 0;
  for (size_t i = 0; i < scenario->site.area_count; i++)
    pc_sum_add(&area, fabs(pc_ring_area_m2(&scenario->site.areas[i].outline)));
  for (size_t i = 0; i < scenario->crew_count; i++)
    machines += (size_t)scenario->crew[i].count;
  if (scenario->crew_count == 0)
    machines = 1;
  double area_m2 = pc_sum_value(&area), density = pc_snow_fresh_density(&scenario->snow);
  pc_text_addf(out, "\nTo clear: %zu area%s, %s", scenario->site.area_count,
               scenario->site.area_count == 1 ? "" : "s", show(area_m2, PC_DIM_AREA, system).text);
  if (system == PC_METRIC && area_m2 >= 10000)
    pc_text_addf(out, " (%s m2)", show(area_m2, PC_DIM_NUMBER, system).text);
  pc_text_addf(out, ", zones on them included; %s of snow at %s: about %s.\n",
               show(scenario->snow.depth_m, PC_DIM_LENGTH, system).text,
               show(density, PC_DIM_DENSITY, system).text,
               show(area_m2 * density * scenario->snow.depth_m, PC_DIM_MASS, system).text);
  pc_text_addf(out, "With: %zu machine%s of %zu loader%s and %zu box%s.\n", machines,
               machines == 1 ? "" : "s", scenario->loader_count, scenario->loader_count == 1 ? "" : "s",
               scenario->box_count, scenario->box_count == 1 ? "" : "es");
}

static void add_answer(const cli_options *options, const pc_faults *faults, pc_text *out) {
  size_t fatal = pc_faults_fatal(faults), cautions = faults->count + faults->dropped - fatal;
  char text[PC_FILE_MAX + PC_KEY_MAX + PC_MESSAGE_MAX + 64];
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

static cli_exit print(const cli_options *options, const pc_scenario *scenario, const pc_table *table,
                      const pc_faults *faults, pc_status status) {
  pc_text text = {0};
  cli_show_faults(faults, 0, false);
  if (options->json) {
    if (pc_results_check_json(cli_scenario_name(options), faults, &text) != PC_OK)
      text.failed = true;
  } else {
    add_answer(options, faults, &text);
    if (status == PC_OK) {
      add_sums(scenario, options->units, &text);
      pc_text_add(&text, "\n");
      pc_table_write(table, &text);
      pc_text_add(&text, "\n");
      pc_tables_cautions(&text);
    }
  }
  cli_exit written = cli_write(options, &text);
  return written != CLI_DONE ? written : cli_exit_of(status);
}

cli_exit cli_check(const cli_options *options) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_table table;
  pc_choice choice;
  if (!options->scenario && !options->quiet)
    cli_say("no scenario given: this is the built-in demonstration lot");
  pc_table_start(&table, "lrrrl");
  pc_table_heading(&table, "layout|zones|room|piled snow|holds it");
  pc_status status = cli_read(options, &scenario, &faults);
  cli_exit done = status == PC_OK ? cli_choose(options, &scenario, &choice) : CLI_DONE;
  if (done == CLI_DONE && status == PC_OK) {
    check_layouts(options, &scenario, &table, &faults);
    status = pc_faults_status(&faults);
  }
  if (done == CLI_DONE)
    done = print(options, &scenario, &table, &faults, status);
  pc_table_free(&table);
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
  return done;
}
