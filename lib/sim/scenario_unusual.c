// SPDX-License-Identifier: GPL-3.0-or-later
/* Figures that are allowed but unusual, as a slip of unit makes them (16 in for 16 ft): cautions. The ranges
 * are common practice, no source. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "sim/scenario_private.h"

static const double narrow_box_m = 0.9, wide_box_m = 10.0; /* skid-steer bucket … widest pushers */
static const double fast_push_mps = 25.0 / 3.6, fast_drive_mps = 60 / 3.6, light_loader_kg = 800.0;
static const double least_power_w = 8e3, most_power_w = 800e3; /* compact loaders … the largest of all */
static const double heavy_box_share = 0.3;                     /* of the loader's mass */
/* Diesel: 0.04 gal a flywheel horsepower-hour (Peurifoy) is 0.20 l/kWh, 0.367 lb/hp-hr (EPA NR-009d) some
 * 0.27; how far others lie from these is common practice, no source. */
static const double least_per_kwh_l = 0.12, most_per_kwh_l = 0.6;
static const double least_idle_lph = 0.3, most_idle_lph = 40.0; /* small skid steers … the largest loaders */
/* An hour of a machine and of its operator, in a currency of which one unit is about as much as a euro; in
 * others only how many times the one costs the other can be looked at. */
static const double least_machine_per_h = 5.0, most_machine_per_h = 1000.0;
static const double least_operator_per_h = 5.0, most_operator_per_h = 300.0;
static const double most_operators_a_machine = 10.0, most_machines_an_operator = 50.0;
static const double hour_s = 3600.0;
static const double warm_snow_c = 5.0; /* hardly any snow falls above */
static const double density_share = 0.1;

static void check_box(const pc_box *box, size_t index, pc_faults *faults) {
  char key[PC_KEY_MAX], width[40];
  (void)snprintf(key, sizeof key, "boxes[%zu].width", index);
  (void)pc_units_print(width, sizeof width, box->width_m, PC_DIM_LENGTH, faults->units, 3);
  if (box->width_m > 0.0 && (box->width_m < narrow_box_m || box->width_m > wide_box_m))
    pc_faults_caution(faults, key,
                      "%s is unusual: boxes and blades are about %s to %s wide; is the unit right?", width,
                      pc_show(narrow_box_m, PC_DIM_LENGTH, faults->units, 1).text,
                      pc_show(wide_box_m, PC_DIM_LENGTH, faults->units, 2).text);
}

/* One figure of a loader; false comparisons where it is not given. */
static void check_figure(double value, double least, double most, pc_dimension dimension, const char *key,
                         const char *what, pc_faults *faults) {
  if (value < least || value > most)
    pc_faults_caution(faults, key, "%s is unusual: %s about %s to %s; is the unit right?",
                      pc_show(value, dimension, faults->units, 3).text, what,
                      pc_show(least, dimension, faults->units, 2).text,
                      pc_show(most, dimension, faults->units, 2).text);
}

static void check_fuels(const pc_loader *loader, size_t index, pc_faults *faults) {
  char key[PC_KEY_MAX];
  (void)snprintf(key, sizeof key, "loaders[%zu].fuel.per_kwh", index);
  check_figure(loader->fuel_per_kwh_l, least_per_kwh_l, most_per_kwh_l, PC_DIM_FUEL_WORK, key, "loaders burn",
               faults);
  (void)snprintf(key, sizeof key, "loaders[%zu].fuel.idle", index);
  check_figure(loader->fuel_idle_lph, least_idle_lph, most_idle_lph, PC_DIM_FUEL_RATE, key,
               "an engine that idles burns", faults);
}

static bool is_like_euro(const char *currency) {
  static const char *const names[] = {"EUR", "€", "USD", "$", "US$", "GBP", "£", "CHF", "CAD", "AUD"};
  bool is = false;
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
    is |= strcmp(currency, names[i]) == 0;
  return is;
}

/* A price of 0 is one that is not to be counted. */
static double price_of(double per_s) {
  return per_s > 0.0 ? per_s : (double)NAN;
}

void pc_money_check_unusual(const pc_money *money, pc_faults *faults) {
  double machine = price_of(money->machine_per_s), operators = price_of(money->operator_per_s);
  if (is_like_euro(money->currency.text)) {
    check_figure(machine, least_machine_per_h / hour_s, most_machine_per_h / hour_s, PC_DIM_PER_TIME,
                 "money.machine", "a machine costs", faults);
    check_figure(operators, least_operator_per_h / hour_s, most_operator_per_h / hour_s, PC_DIM_PER_TIME,
                 "money.operator", "an operator costs", faults);
  } else if (operators > most_operators_a_machine * machine ||
             machine > most_machines_an_operator * operators) {
    pc_faults_caution(faults, "money.operator",
                      "%s for an operator and %s for a machine lie far apart; are the units right?",
                      pc_show(operators, PC_DIM_PER_TIME, faults->units, 3).text,
                      pc_show(machine, PC_DIM_PER_TIME, faults->units, 3).text);
  }
}

/* More time lost than worked, of means: a slip, or nothing to plan with. */
static void check_loss(double works_s, double lost_s, const char *key, const char *what, pc_faults *faults) {
  if (lost_s > works_s)
    pc_faults_caution(faults, key, "%s of %s after every %s is more than is worked; are they mixed up?", what,
                      pc_show(lost_s, PC_DIM_TIME, faults->units, 3).text,
                      pc_show(works_s, PC_DIM_TIME, faults->units, 3).text);
}

/* A speed with a load is no greater than without, and none is that of a road. */
static void check_speed(const pc_loader *loader, size_t index, const char *which, double speed_mps,
                        double fast_mps, const char *what, pc_faults *faults) {
  char key[PC_KEY_MAX], shown[40];
  (void)snprintf(key, sizeof key, "loaders[%zu].speeds.%s", index, which);
  (void)pc_units_print(shown, sizeof shown, speed_mps, PC_DIM_SPEED, faults->units, 3);
  if (speed_mps > fast_mps) /* false if it is not given */
    pc_faults_caution(faults, key, "%s is unusually fast for %s; is the unit right?", shown, what);
  else if (speed_mps > loader->return_speed_mps * (1.0 + 1e-9))
    pc_faults_caution(faults, key, "%s is faster than the return without a load; are they mixed up?", shown);
}

static void check_loader(const pc_loader *loader, size_t index, pc_faults *faults) {
  char key[PC_KEY_MAX], shown[40];
  check_speed(loader, index, "push", loader->push_speed_mps, fast_push_mps, "pushing", faults);
  check_speed(loader, index, "carry", loader->carry_speed_mps, fast_drive_mps, "a load in a box", faults);
  check_speed(loader, index, "return", loader->return_speed_mps, fast_drive_mps, "a yard", faults);
  (void)snprintf(key, sizeof key, "loaders[%zu].mass", index);
  (void)pc_units_print(shown, sizeof shown, loader->mass_kg, PC_DIM_MASS, faults->units, 3);
  if (loader->mass_kg < light_loader_kg) /* false if it is not given */
    pc_faults_caution(faults, key, "%s is unusually light for a loader; is the unit right?", shown);
  (void)snprintf(key, sizeof key, "loaders[%zu].power", index);
  check_figure(loader->power_w, least_power_w, most_power_w, PC_DIM_POWER, key, "loaders have", faults);
  check_fuels(loader, index, faults);
  (void)snprintf(key, sizeof key, "loaders[%zu].breakdown.repair", index);
  check_loss(loader->breakdown_mean_s, loader->repair_mean_s, key, "a repair", faults);
}

/* Snow that falls in the warm: told once, since a record of the weather has a piece for every hour. */
static void check_warm_snow(const pc_scenario *scenario, pc_faults *faults) {
  size_t first = 0, warm = 0;
  for (size_t i = scenario->storm_count; i-- > 0;)
    if (scenario->storm[i].rate_mps > 0.0 && scenario->storm[i].temperature_c > warm_snow_c) {
      first = i;
      warm++;
    }
  if (warm == 0)
    return;
  char key[PC_KEY_MAX], more[200] = "";
  (void)snprintf(key, sizeof key, "storm[%zu].temperature", first);
  if (warm > 1)
    (void)snprintf(more, sizeof more, ", above %s in %zu further piece%s, too",
                   pc_show(warm_snow_c, PC_DIM_TEMPERATURE, faults->units, 3).text, warm - 1,
                   warm == 2 ? "" : "s");
  pc_faults_caution(faults, key, "snow falls at %s%s: is it degrees Fahrenheit, given as Celsius?",
                    pc_show(scenario->storm[first].temperature_c, PC_DIM_TEMPERATURE, faults->units, 3).text,
                    more);
}

/* A density that is given holds for the snow that lies: what falls at a temperature has the density of that.
 * Who gave both may not know; a tenth is less than such a formula can tell (chosen here, no source). */
static void check_storm_density(const pc_scenario *scenario, pc_faults *faults) {
  const pc_snow *snow = &scenario->snow;
  double depth_m = 0.0, kgpm2 = 0.0;
  for (size_t i = 0; i + 1 < scenario->storm_count; i++) {
    const pc_storm_piece *piece = &scenario->storm[i];
    double fallen_m = piece->rate_mps * (piece[1].after_s - piece->after_s);
    if (isnan(piece->temperature_c) || !(fallen_m > 0.0))
      continue;
    depth_m += fallen_m;
    kgpm2 += fallen_m * pc_storm_piece_density(piece, snow);
  }
  double given = snow->fresh_density_kgpm3, falls = depth_m > 0.0 ? kgpm2 / depth_m : NAN;
  if (!(fabs(falls - given) > density_share * given)) /* so where either is not there */
    return;
  pc_faults_caution(faults, "snow.fresh_density",
                    "%s is only for the snow that lies at the start: what falls has %s (mean), by the "
                    "temperatures of the storm and snow.density_formula",
                    pc_show(given, PC_DIM_DENSITY, faults->units, 3).text,
                    pc_show(falls, PC_DIM_DENSITY, faults->units, 3).text);
}

/* Whether a box can be mounted and lifted is for whoever sells and mounts it to say; this is far off. */
static void check_pair(const pc_scenario *scenario, size_t index, pc_faults *faults) {
  const pc_crew_entry *entry = &scenario->crew[index];
  const pc_box *box = pc_scenario_box(scenario, entry->box.text);
  const pc_loader *loader = pc_scenario_loader(scenario, entry->loader.text);
  char key[PC_KEY_MAX];
  if (!box || !loader)
    return;
  (void)snprintf(key, sizeof key, "crew[%zu].box", index);
  const pc_unit unit = pc_unit_make(loader, box, &scenario->snow, scenario->full_at);
  if (box->blade == PC_BLADE_NONE && !(unit.capacity_kg > 0))
    pc_faults_caution(faults, key,
                      "\"%.40s\" cannot push \"%.40s\" at all: it will stand still (limits tells why)",
                      loader->name.text, box->name.text);
  if (!(box->mass_kg > heavy_box_share * loader->mass_kg) || loader->boxes.count > 0)
    return; /* not so heavy, or known to be carried */
  pc_faults_caution(
      faults, key,
      "\"%.40s\" weighs more than three tenths of \"%.40s\": can that loader carry it? Only its tyres and "
      "its power are reckoned with here, and what it takes by `boxes` of the loader",
      box->name.text, loader->name.text);
}

void pc_scenario_check_unusual(const pc_scenario *scenario, pc_faults *faults) {
  for (size_t i = 0; i < scenario->box_count; i++)
    check_box(&scenario->boxes[i], i, faults);
  for (size_t i = 0; i < scenario->loader_count; i++)
    check_loader(&scenario->loaders[i], i, faults);
  for (size_t i = 0; i < scenario->crew_count; i++) {
    char key[PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "crew[%zu].breaks.for", i);
    check_loss(scenario->crew[i].break_every_s, scenario->crew[i].break_for_s, key, "a break", faults);
    check_pair(scenario, i, faults);
  }
  check_warm_snow(scenario, faults);
  check_storm_density(scenario, faults);
  pc_money_check_unusual(&scenario->money, faults);
  if (pc_money_missing(&scenario->money)[0])
    pc_faults_caution(faults, "money", "the cost is without %s", pc_money_missing(&scenario->money));
}
