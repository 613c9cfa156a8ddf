// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/limits.h"

#include <math.h>

enum { PLAIN_CARRY_M = 50 }; /* the carry and return of a plain cycle, to compare boxes on one loader */

pc_snow pc_limits_snow(const pc_scenario *scenario) {
  pc_snow snow = scenario->snow;
  double falls_m = pc_storm_depth_m(scenario->storm, scenario->storm_count);
  if (snow.depth_m > 0.0 || !(falls_m > 0.0))
    return snow;
  snow.fresh_density_kgpm3 = pc_storm_kgpm2(scenario->storm, scenario->storm_count, &snow) / falls_m;
  snow.depth_m = falls_m;
  return snow;
}

static void make_row(const pc_scenario *scenario, const pc_snow *snow, const pc_loader *loader,
                     const pc_box *box, pc_limits_row *row) {
  row->loader = loader->name;
  row->box = box->name;
  row->unit = pc_unit_make(loader, box, snow, scenario->full_at);
  const pc_unit *unit = &row->unit;
  row->full_load_kg = scenario->full_at * unit->capacity_kg;
  double stream = snow->depth_m * unit->fresh_density_kgpm3 * unit->swath_m;
  double met = pc_filling_met(&unit->filling, 0.0, row->full_load_kg);
  row->fill_length_m = met / (stream * (1.0 - unit->filling.leave));
  bool moves = unit->capacity_kg > 0.0 && isfinite(row->fill_length_m);
  row->fill_time_s = moves ? pc_unit_fill_time_s(unit, 0.0, stream, row->fill_length_m) : NAN;
  for (int i = 0; i < PC_LIMIT_POINTS; i++)
    row->push_speed_mps[i] = pc_unit_push_speed(unit, row->full_load_kg * i / (PC_LIMIT_POINTS - 1), stream);
  row->carry_speed_mps = pc_unit_carry_speed(unit, row->full_load_kg);
  double cycle = unit->loader.lower_s + row->fill_time_s + unit->loader.dump_s + unit->loader.raise_s +
                 pc_leg_time_s(PLAIN_CARRY_M, row->carry_speed_mps, unit->loader.acceleration_mps2) +
                 pc_leg_time_s(PLAIN_CARRY_M, unit->loader.return_speed_mps, unit->loader.acceleration_mps2) +
                 2.0 * unit->loader.turn_s;
  row->clearing_kgps = moves ? row->full_load_kg / cycle : 0.0;
  row->resistance =
      pc_unit_resistance(unit, row->full_load_kg, stream, row->push_speed_mps[PC_LIMIT_POINTS - 1]);
}

size_t pc_limits_make(const pc_scenario *scenario, pc_limits_row *rows) {
  const pc_snow snow = pc_limits_snow(scenario);
  size_t count = 0;
  for (size_t l = 0; l < scenario->loader_count; l++)
    for (size_t b = 0; b < scenario->box_count; b++)
      if (pc_loader_takes(&scenario->loaders[l], scenario->boxes[b].name.text))
        make_row(scenario, &snow, &scenario->loaders[l], &scenario->boxes[b], &rows[count++]);
  return count;
}
