// SPDX-License-Identifier: GPL-3.0-or-later
/* One run as text. */
#include <math.h>
#include <stdio.h>

#include "io/tables_private.h"
#include "sim/policy.h"

static void add_unfinished(const pc_lot *lot, const pc_summary *summary, pc_unit_system system,
                           pc_text *out) {
  const pc_result *mean = &summary->mean;
  double volume_m3 = mean->haul_off_kg / lot->snow.pile_density_kgpm3;
  if (summary->unfinished < summary->replications)
    pc_text_addf(out, "but %zu of %zu nights did not finish (%s): on average ", summary->unfinished,
                 summary->replications, pc_reason_name(mean->reason));
  else
    pc_text_addf(out, "not finished (%s): ", pc_reason_name(mean->reason));
  if (volume_m3 > 0)
    pc_text_addf(out, "%s of piled snow to be hauled off", pc_show(volume_m3, PC_DIM_VOLUME, system, 3).text);
  else
    pc_text_addf(out, "%s of snow is left", pc_show(mean->left_kg, PC_DIM_MASS, system, 3).text);
}

/* From when to when that is. */
static void add_clock(const pc_lot *lot, const pc_summary *summary, pc_text *out) {
  if (!lot->clock.given)
    return;
  pc_text_addf(out, ": clear at %s%s ", pc_clock_show(&lot->clock, summary->total_time_s.mean).text,
               pc_varies(&summary->total_time_s) ? " on average" : "");
  pc_text_addf(out, "after a start at %s", pc_clock_show(&lot->clock, 0).text);
}

static void add_answer(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  bool finished = summary->unfinished == 0;
  pc_time_unit unit = pc_run_time_unit(lot, summary);
  pc_text_addf(out, "%s %s%s, ",
               summary->unfinished < summary->replications || finished ? "Total time" : "Stopped after",
               pc_show_time_in(&summary->total_time_s, unit).text,
               pc_varies(&summary->total_time_s) ? " (95 %)" : "");
  if (finished) {
    pc_text_add(out, "finished");
    add_clock(lot, summary, out);
  } else
    add_unfinished(lot, summary, system, out);
  /* The bound is one on clearing the lot: a run that stopped early has nothing to show against it. */
  if (finished)
    pc_text_addf(out, "; lower bound %s (efficiency %s)",
                 pc_show_seconds_in(summary->bound.time_s, unit).text,
                 pc_show_percent(summary->efficiency, 0).text);
  pc_text_add(out, ".\n");
}

/* What lies at the start, what falls, or both. */
static void add_snow(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  bool storm = lot->fall_kgpm2 > 0.0;
  if (!storm || lot->snow.depth_m > 0.0)
    pc_text_addf(out, ", %s of snow at %s (%s)", pc_show_depth(lot->snow.depth_m, system).text,
                 pc_show(lot->fresh_density_kgpm3, PC_DIM_DENSITY, system, 3).text,
                 pc_show(lot->start_kg, PC_DIM_MASS, system, 3).text);
  if (!storm)
    return;
  double depth_m = lot->fall_m;
  pc_text_addf(out, ", %s%s (%s) by ", pc_show_depth(depth_m, system).text,
               lot->snow.depth_m > 0.0 ? " more fall" : " of snow fall",
               pc_show(summary->mean.fallen_kg, PC_DIM_MASS, system, 3).text);
  pc_text_add(out, pc_show_moment(&lot->clock, pc_lot_clock_s(lot, lot->storm_end_s), system, 3).text);
}

static void add_setting(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  pc_text_addf(out, "%s%slayout \"%s\", policy %s", lot->scenario.text, lot->scenario.text[0] ? ": " : "",
               lot->layout.text, lot->policy->name);
  add_snow(lot, summary, system, out);
  if (summary->replications > 1)
    pc_text_addf(out, ", %zu replications", summary->replications);
  pc_text_add(out, ".\n");
  if (summary->replications > 1 && summary->unfinished == 0 && !pc_varies(&summary->total_time_s))
    pc_text_addf(out,
                 "All %zu replications took the same time: nothing varies by chance here (`chance`, "
                 "`breakdown`), so one is enough.\n",
                 summary->replications);
}

static pc_shown share(const pc_machine_result *machine, double time_s) {
  double total = pc_machine_all_s(machine);
  return pc_show_percent(total > 0 ? time_s / total : 0, 1);
}

static void add_machines(const pc_lot *lot, const pc_result *mean, pc_unit_system system, pc_text *out) {
  static const pc_phase shown[] = {PC_PHASE_FILL, PC_PHASE_CLEAN_UP, PC_PHASE_CARRY, PC_PHASE_RETURN,
                                   PC_PHASE_TURN, PC_PHASE_DUMP,     PC_PHASE_WAIT,  PC_PHASE_IDLE};
  pc_table table;
  pc_table_start(&table, "llrrlrrrrrrrrr");
  pc_table_heading(&table,
                   "machine|box|loads|capacity|limited by|push|clean-up|carry|return|turn|dump|"
                   "wait|idle|lower/raise");
  for (size_t i = 0; i < lot->machine_count && i < mean->machine_count; i++) {
    const pc_unit *unit = &lot->machines[i].unit;
    const pc_machine_result *machine = &mean->machines[i];
    pc_table_cell(&table, "%s", lot->machines[i].name.text);
    pc_table_cell(&table, "%s", unit->box.name.text);
    pc_table_cell(&table, "%d", machine->cycles);
    bool blade = unit->box.blade != PC_BLADE_NONE; /* has no loads */
    pc_table_cell(&table, "%s", blade ? "-" : pc_show(unit->capacity_kg, PC_DIM_MASS, system, 3).text);
    pc_table_cell(&table, "%s", blade ? "-" : pc_limit_name(unit->limited_by));
    for (size_t j = 0; j < sizeof shown / sizeof shown[0]; j++)
      pc_table_cell(&table, "%s", share(machine, machine->time_s[shown[j]]).text);
    double both_s = machine->time_s[PC_PHASE_LOWER] + machine->time_s[PC_PHASE_RAISE];
    pc_table_cell(&table, "%s", share(machine, both_s).text);
  }
  pc_text_add(out, "\nMachines, and how each spends its time\n");
  pc_table_write(&table, out);
  pc_table_free(&table);
}

static void add_zones(const pc_lot *lot, const pc_result *mean, pc_unit_system system, pc_text *out) {
  pc_table table;
  pc_table_start(&table, "lrrrrr");
  pc_table_heading(&table, "zone|loads|piled snow|capacity|full|waiting there");
  for (size_t i = 0; i < lot->zone_count && i < mean->zone_count; i++) {
    const pc_zone_result *zone = &mean->zones[i];
    bool limited = isfinite(zone->capacity_m3) && zone->capacity_m3 > 0;
    pc_table_cell(&table, "%s", lot->zones[i].name.text);
    pc_table_cell(&table, "%d", zone->loads);
    pc_table_cell(&table, "%s", pc_show(zone->volume_m3, PC_DIM_VOLUME, system, 3).text);
    pc_table_cell(&table, "%s",
                  isinf(zone->capacity_m3) ? "no limit"
                                           : pc_show(zone->capacity_m3, PC_DIM_VOLUME, system, 3).text);
    pc_table_cell(&table, "%s", limited ? pc_show_percent(zone->volume_m3 / zone->capacity_m3, 0).text : "-");
    pc_table_cell(&table, "%s", pc_show(zone->wait_s, PC_DIM_TIME, system, 3).text);
  }
  pc_text_add(out, "\nPile zones\n");
  pc_table_write(&table, out);
  pc_table_free(&table);
}

static pc_shown show_fuel(double fuel_l, pc_unit_system system) {
  pc_shown shown;
  (void)pc_units_print_as(shown.text, sizeof shown.text, fuel_l, PC_DIM_FUEL, system == PC_US ? "gal" : "l",
                          fuel_l < 100 ? 1 : 0);
  return shown;
}

static void add_rest(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  const pc_result *mean = &summary->mean;
  double fill_m = 0, carry_m = 0, back_m = 0;
  for (size_t i = 0; i < mean->machine_count; i++) {
    fill_m += mean->machines[i].fill_m;
    carry_m += mean->machines[i].carry_m;
    back_m += mean->machines[i].return_m;
  }
  pc_text_addf(out, "\nDriven: %s pushing, ", pc_show(fill_m, PC_DIM_LENGTH, system, 3).text);
  pc_text_addf(out, "%s carrying, ", pc_show(carry_m, PC_DIM_LENGTH, system, 3).text);
  pc_text_addf(out, "%s returning, in %s loads.\n", pc_show(back_m, PC_DIM_LENGTH, system, 3).text,
               pc_show_number(summary->cycles, PC_DIM_NUMBER, "", summary->replications > 1 ? 1 : 0).text);
  pc_text_addf(out, "Snow: %s at the start, ", pc_show(mean->start_kg, PC_DIM_MASS, system, 4).text);
  if (mean->fallen_kg > 0)
    pc_text_addf(out, "%s fallen since, ", pc_show(mean->fallen_kg, PC_DIM_MASS, system, 4).text);
  pc_text_addf(out, "%s piled, ", pc_show(mean->placed_kg, PC_DIM_MASS, system, 4).text);
  bool ridge = false;
  for (size_t a = 0; a < lot->area_count; a++)
    ridge |= pc_lot_leaves_ridge(lot, a);
  pc_text_addf(out, "%s left (film and thin windrows%s%s).\n",
               pc_show(mean->left_kg, PC_DIM_MASS, system, 3).text,
               ridge ? ", and those of blades that nobody takes" : "",
               summary->unfinished ? ", and what could not be cleared" : "");
  if (mean->small_m2 > 0) {
    pc_text_addf(out, "For a smaller machine: %s with ",
                 pc_show(mean->small_m2, PC_DIM_AREA, system, 3).text);
    pc_text_addf(
        out,
        "%s of snow, which no lane of the boxes of this crew reaches; it is in none of the sums above.\n",
        pc_show(mean->small_kg, PC_DIM_MASS, system, 3).text);
  }
  if (isfinite(summary->fuel_l))
    pc_text_addf(out, "Fuel: %s.\n", show_fuel(summary->fuel_l, system).text);
  if (isfinite(summary->cost))
    pc_text_addf(out, "Cost: %s %s.\n", lot->money.currency.text,
                 pc_show_number(summary->cost, PC_DIM_NUMBER, "", 2).text);
  if (isfinite(summary->cost)) {
    pc_tables_standing_note(lot, summary, out);
    pc_tables_rates_note(&lot->money, out);
    pc_tables_haul_note(&lot->money, summary->mean.haul_off_kg, out);
  }
  (void)pc_tables_fuel_note(&lot->money, lot->machines, lot->machine_count, summary, out);
}

void pc_tables_run_with(const pc_lot *lot, const pc_summary *summary, const pc_notes *notes,
                        pc_unit_system system, pc_text *out) {
  add_answer(lot, summary, system, out);
  pc_tables_deadlines(lot, summary, out);
  pc_tables_order(lot, summary, notes ? notes->order : NULL, notes ? notes->headings : NULL, out);
  pc_tables_keep_up(notes ? notes->depths : NULL, lot, summary, system, out);
  pc_tables_run_ends(lot, summary, out);
  pc_tables_crossings(notes ? notes->crossed : NULL, out);
  add_setting(lot, summary, system, out);
  add_machines(lot, &summary->mean, system, out);
  add_zones(lot, &summary->mean, system, out);
  pc_tables_night(lot, summary, system, out);
  add_rest(lot, summary, system, out);
  if (notes && notes->siting)
    pc_tables_siting(notes->siting, PC_SITING_LINES, system, out);
  pc_text_addf(out, "\n%s", pc_tables_caution_line());
}

void pc_tables_run(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out) {
  pc_tables_run_with(lot, summary, NULL, system, out);
}
