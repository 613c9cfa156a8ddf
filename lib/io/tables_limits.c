// SPDX-License-Identifier: GPL-3.0-or-later
/* Limits of loader × box as text. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"

static pc_shown mass_or_dash(double mass_kg, pc_unit_system system) {
  if (isinf(mass_kg))
    return (pc_shown){"not limited"};
  return pc_show_number(fmax(mass_kg, 0), PC_DIM_MASS, pc_column_mass(system), 2);
}

/* It holds nothing, so that nothing limits what it holds. */
static void add_blade(pc_table *table, const pc_limits_row *row, pc_unit_system system) {
  const char *length = pc_column_length(system), *speed = pc_column_speed(system);
  pc_table_cell(table, "%s", row->box.text);
  pc_table_cell(table, "%s", pc_show_number(row->unit.box.width_m, PC_DIM_LENGTH, length, 2).text);
  for (int k = 0; k < 5; k++)
    pc_table_cell(table, "-");
  pc_table_cell(table, "%s", pc_show_number(row->push_speed_mps[0], PC_DIM_SPEED, speed, 1).text);
  for (int k = 0; k < 3; k++)
    pc_table_cell(table, "-");
  pc_table_cell(table, "a blade");
}

static void add_table(const pc_limits_row *rows, size_t count, pc_unit_system system, pc_text *out) {
  const char *length = pc_column_length(system), *mass = pc_column_mass(system);
  const char *speed = pc_column_speed(system), *volume = pc_column_volume(system);
  char words[400];
  snprintf(words, sizeof words,
           "box|width %s|fill %s|holds %s|tyres push %s|capacity %s|fills in %s|push empty %s|push full %s|"
           "carry full %s|rate %s/h|limited by",
           length, volume, mass, mass, mass, length, speed, speed, speed, mass);
  pc_table table;
  pc_table_start(&table, "lrrrrrrrrrrl");
  pc_table_heading(&table, words);
  for (size_t i = 0; i < count; i++) {
    const pc_limits_row *row = &rows[i];
    const pc_unit *unit = &row->unit;
    if (unit->box.blade != PC_BLADE_NONE) {
      add_blade(&table, row, system);
      continue;
    }
    pc_table_cell(&table, "%s", row->box.text);
    pc_table_cell(&table, "%s", pc_show_number(unit->box.width_m, PC_DIM_LENGTH, length, 2).text);
    pc_table_cell(&table, "%s", pc_show_number(unit->volume_m3, PC_DIM_VOLUME, volume, 1).text);
    pc_table_cell(&table, "%s", mass_or_dash(unit->volume_capacity_kg, system).text);
    pc_table_cell(&table, "%s", mass_or_dash(unit->traction_capacity_kg, system).text);
    pc_table_cell(&table, "%s", mass_or_dash(unit->capacity_kg, system).text);
    pc_table_cell(&table, "%s",
                  isinf(row->fill_length_m)
                      ? "never"
                      : pc_show_number(row->fill_length_m, PC_DIM_LENGTH, length, 1).text);
    pc_table_cell(&table, "%s", pc_show_number(row->push_speed_mps[0], PC_DIM_SPEED, speed, 1).text);
    pc_table_cell(&table, "%s",
                  pc_show_number(row->push_speed_mps[PC_LIMIT_POINTS - 1], PC_DIM_SPEED, speed, 1).text);
    pc_table_cell(&table, "%s", pc_show_number(row->carry_speed_mps, PC_DIM_SPEED, speed, 1).text);
    pc_table_cell(&table, "%s", pc_show_number(3600 * row->clearing_kgps, PC_DIM_MASS, mass, 0).text);
    pc_table_cell(&table, "%s", pc_limit_name(unit->limited_by));
  }
  pc_table_write(&table, out);
  pc_table_free(&table);
}

/* Why a wider box than the best one brings no more. */
static void add_why_not(const pc_limits_row *best, const pc_limits_row *wide, pc_unit_system system,
                        pc_text *out) {
  const pc_unit *unit = &wide->unit;
  const char *speed = pc_column_speed(system);
  double full = wide->push_speed_mps[PC_LIMIT_POINTS - 1], given = unit->loader.push_speed_mps;
  pc_text_addf(out, "  %s holds more (%s), but ", wide->box.text,
               pc_show(unit->volume_capacity_kg, PC_DIM_MASS, system, 3).text);
  if (unit->capacity_kg <= 0)
    pc_text_add(out, "the tyres cannot even push it empty");
  else if (unit->limited_by == PC_LIMIT_TRACTION)
    pc_text_addf(out, "the tyres can push only %s",
                 pc_show(unit->traction_capacity_kg, PC_DIM_MASS, system, 3).text);
  else if (unit->limited_by == PC_LIMIT_POWER)
    pc_text_addf(out, "at full load the engine pushes it at %s of the %s %s given",
                 pc_show_number(full, PC_DIM_SPEED, speed, 1).text,
                 pc_show_number(given, PC_DIM_SPEED, speed, 1).text, speed);
  else
    pc_text_add(out, "fills no faster for it");
  pc_text_addf(out, ": %s %s/h against ",
               pc_show_number(3600 * wide->clearing_kgps, PC_DIM_MASS, pc_column_mass(system), 0).text,
               pc_column_mass(system));
  pc_text_addf(out, "%s.\n",
               pc_show_number(3600 * best->clearing_kgps, PC_DIM_MASS, pc_column_mass(system), 0).text);
}

static void add_resistance(const pc_limits_row *row, pc_unit_system system, pc_text *out) {
  const pc_resistance *r = &row->resistance;
  const struct {
    const char *name;
    double force_n;
  } terms[] = {{"snow in the box rubbing on the pavement", r->snow_n},
               {"the box itself", r->box_n},
               {"rolling", r->rolling_n},
               {"grade", r->grade_n},
               {"snow brought up to speed", r->stream_n}};
  double all_n = r->static_n + r->stream_n;
  const char *how = row->unit.box.blade != PC_BLADE_NONE ? "the" : "a full";
  pc_text_addf(out, "  Resistance with %s %s: %s", how, row->box.text,
               pc_show(all_n, PC_DIM_FORCE, system, 3).text);
  const char *before = " = ";
  for (size_t i = 0; i < sizeof terms / sizeof terms[0]; i++) {
    if (terms[i].force_n == 0)
      continue;
    pc_text_addf(out, "%s%s %s", before, pc_show(terms[i].force_n, PC_DIM_FORCE, system, 3).text,
                 terms[i].name);
    before = " + ";
  }
  pc_text_add(out, ".\n");
}

static void add_loader(const pc_limits_row *rows, size_t count, pc_unit_system system, pc_text *out) {
  const pc_limits_row *best = &rows[0], *widest = &rows[0];
  bool holds = false; /* any of them, as no blade does */
  for (size_t i = 0; i < count; i++) {
    holds |= rows[i].unit.box.blade == PC_BLADE_NONE;
    if (rows[i].clearing_kgps > best->clearing_kgps)
      best = &rows[i];
    if (rows[i].unit.box.width_m > widest->unit.box.width_m)
      widest = &rows[i];
  }
  pc_text_addf(out, "%s\n", rows[0].loader.text);
  add_table(rows, count, system, out);
  if (!holds)
    pc_text_add(out, "  A blade holds nothing and lays its snow aside: it has no rate.\n");
  else if (!(best->clearing_kgps > 0))
    pc_text_add(out, "  It can push none of these boxes.\n");
  else
    pc_text_addf(out, "  Best box by this rate: %s, %s %s/h%s.\n", best->box.text,
                 pc_show_number(3600 * best->clearing_kgps, PC_DIM_MASS, pc_column_mass(system), 0).text,
                 pc_column_mass(system), best == widest && count > 1 ? ", the widest" : "");
  for (size_t i = 0; i < count; i++)
    if (best->clearing_kgps > 0 && rows[i].unit.box.width_m > best->unit.box.width_m)
      add_why_not(best, &rows[i], system, out);
  if (!rows[0].unit.physical && holds)
    pc_text_add(out,
                "  Nothing but volume limits it here: give power, mass and traction of the loader to see "
                "what it can push.\n");
  else if (rows[0].unit.physical)
    for (size_t i = 0; i < count; i++)
      add_resistance(&rows[i], system, out);
}

void pc_tables_limits_snow(const pc_scenario *scenario, pc_unit_system system, pc_text *out) {
  const pc_snow snow = pc_limits_snow(scenario);
  pc_shown depth = pc_show_depth(snow.depth_m, system);
  pc_shown density = pc_show(pc_snow_fresh_density(&snow), PC_DIM_DENSITY, system, 3);
  if (snow.depth_m > scenario->snow.depth_m)
    pc_text_addf(
        out, "No snow lies at the start, so this is for all that falls, as if it lay at once: %s at %s.\n\n",
        depth.text, density.text);
  else
    pc_text_addf(out, "For %s of snow at %s%s.\n\n", depth.text, density.text,
                 scenario->storm_count > 0 ? ", as it lies at the start; what falls later is left out" : "");
}

void pc_tables_limits_left_out(const pc_scenario *scenario, const char *loader, pc_text *out) {
  size_t told = 0;
  for (size_t l = 0; l < scenario->loader_count; l++) {
    const pc_loader *one = &scenario->loaders[l];
    size_t before = told, of_one = told;
    for (size_t b = 0; b < scenario->box_count && (!loader || pc_name_is(&one->name, loader)); b++) {
      const char *box = scenario->boxes[b].name.text;
      if (pc_loader_takes(one, box))
        continue;
      pc_text_add(out, told == 0 ? "Left out, as the loader does not take the box: " : "");
      if (of_one == told)
        pc_text_addf(out, "%s%s with ", before > 0 ? "; " : "", one->name.text);
      pc_text_addf(out, "%s%s", of_one < told ? ", " : "", box);
      told++;
    }
  }
  pc_text_add(out, told > 0 ? ".\n" : "");
}

void pc_tables_limits(const pc_limits_row *rows, size_t count, pc_unit_system system, pc_text *out) {
  for (size_t first = 0, end; first < count; first = end) {
    for (end = first + 1; end < count && strcmp(rows[end].loader.text, rows[first].loader.text) == 0;)
      end++;
    if (first > 0)
      pc_text_add(out, "\n");
    add_loader(&rows[first], end - first, system, out);
  }
  pc_text_addf(out, "\nRate: a full load over the time to fill it, carry it %s and come back.\n",
               pc_show(50, PC_DIM_LENGTH, system, 2).text);
}
