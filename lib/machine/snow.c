// SPDX-License-Identifier: GPL-3.0-or-later
#include "machine/snow.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>

/* Fluffiest snow seen in the field, and ice without pores: Judson & Doesken 2000, BAMS 81:1577, for the
 * first. */
#define DENSITY_MIN 10.0
#define DENSITY_MAX 917.0
#define DEGREE (3.14159265358979323846 / 180.0)

static const double unstated_density_kgpm3 = 100;

static const char *const formula_names[] = {"hedstrom-pomeroy", "anderson", "pahaut", "diamond-lowry", NULL};

_Static_assert(sizeof formula_names / sizeof formula_names[0] == PC_DENSITY_FORMULA_COUNT + 1,
               "one name for each formula");

static const pc_field snow_items[] = {
    {.key = "depth",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_snow, depth_m),
     .min = 0,
     .max = 5,
     .required = true,
     .help = "depth of the fresh snow on the ground at the start"},
    {.key = "fresh_density",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_DENSITY,
     .offset = offsetof(pc_snow, fresh_density_kgpm3),
     .min = DENSITY_MIN,
     .max = DENSITY_MAX,
     .fallback = "from air_temperature, or 100 kg/m3",
     .help = "density of the snow as it lies; new snow weighs 50 to 200 kg/m3"},
    {.key = "air_temperature",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TEMPERATURE,
     .offset = offsetof(pc_snow, air_temperature_c),
     .min = -60,
     .max = 15,
     .fallback = "not used",
     .help = "air temperature during the snowfall; gives the fresh density when that is not known"},
    {.key = "wind",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_SPEED,
     .offset = offsetof(pc_snow, wind_mps),
     .min = 0,
     .max = 60,
     .fallback = "0 m/s",
     .help = "wind speed during the snowfall; only the pahaut formula uses it"},
    {.key = "density_formula",
     .kind = PC_FIELD_CHOICE,
     .offset = offsetof(pc_snow, density_formula),
     .choices = formula_names,
     .fallback = "hedstrom-pomeroy",
     .help = "published formula that turns air temperature into fresh density"},
    {.key = "pushed_density",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_DENSITY,
     .offset = offsetof(pc_snow, pushed_density_kgpm3),
     .min = DENSITY_MIN,
     .max = DENSITY_MAX,
     .fallback = "250 kg/m3",
     .help = "density of the snow once it rolls in the box"},
    {.key = "pile_density",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_DENSITY,
     .offset = offsetof(pc_snow, pile_density_kgpm3),
     .min = DENSITY_MIN,
     .max = DENSITY_MAX,
     .fallback = "450 kg/m3",
     .help = "density of the snow stacked in a pile"},
    {.key = "repose_angle",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_ANGLE,
     .offset = offsetof(pc_snow, repose_angle_rad),
     .min = 5 * DEGREE,
     .max = 80 * DEGREE,
     .fallback = "40 deg",
     .help = "slope at which loose snow comes to rest, in the box and in a pile"},
    {.key = "done_below",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_snow, done_below_m),
     .min = 1e-5,
     .max = 1,
     .fallback = "1 cm",
     .help = "mean depth over a swath below which a windrow needs no clean-up pass"},
    {.key = "trigger",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_snow, trigger_m),
     .min = 0,
     .max = 5,
     .fallback = "0 cm (at once)",
     .help = "depth of snow on the ground at which work begins, where a storm is given"},
    {.key = "snow_below",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TEMPERATURE,
     .offset = offsetof(pc_snow, snow_below_c),
     .min = -20,
     .max = 20,
     .fallback = "0 C (an assumption)",
     .help = "all that falls is snow up to this air temperature, for weather records of precipitation"},
    {.key = "rain_above",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TEMPERATURE,
     .offset = offsetof(pc_snow, rain_above_c),
     .min = -20,
     .max = 20,
     .fallback = "2 C (an assumption)",
     .help = "all that falls is rain from this air temperature on; in between the mix goes evenly"},
};

const pc_fields pc_snow_fields = {snow_items, sizeof snow_items / sizeof snow_items[0]};

pc_snow pc_snow_default(void) {
  return (pc_snow){.depth_m = NAN,
                   .fresh_density_kgpm3 = NAN,
                   .air_temperature_c = NAN,
                   .wind_mps = 0,
                   .density_formula = PC_DENSITY_HEDSTROM_POMEROY,
                   .pushed_density_kgpm3 = 250,
                   .pile_density_kgpm3 = 450,
                   .repose_angle_rad = 40 * DEGREE,
                   .done_below_m = 0.01,
                   .trigger_m = 0,
                   .snow_below_c = 0,
                   .rain_above_c = 2};
}

static void key_of(char key[PC_KEY_MAX], const char *prefix, const char *name) {
  bool has_prefix = prefix && prefix[0];
  snprintf(key, PC_KEY_MAX, "%s%s%s", has_prefix ? prefix : "", has_prefix ? "." : "", name);
}

static pc_shown show_density(double density_kgpm3, const pc_faults *faults) {
  return pc_show(density_kgpm3, PC_DIM_DENSITY, faults->units, 4);
}

static void check_temperature(const pc_snow *snow, const char *prefix, pc_faults *faults) {
  char key[PC_KEY_MAX];
  key_of(key, prefix, "air_temperature");
  if (isnan(snow->air_temperature_c))
    return;
  if (!isnan(snow->fresh_density_kgpm3)) {
    pc_faults_add(faults, PC_ERR_KEY, key, NULL,
                  "stands beside fresh_density; give one of the two, since each fixes the density");
    return;
  }
  double density = pc_snow_fresh_density(snow);
  if (density >= DENSITY_MIN && density <= DENSITY_MAX)
    return;
  pc_shown shown = show_density(density, faults);
  pc_faults_add(faults, PC_ERR_RANGE, key, shown.text,
                "gives a fresh density of %s, outside %s … %s; give fresh_density or another density_formula",
                shown.text, show_density(DENSITY_MIN, faults).text, show_density(DENSITY_MAX, faults).text);
}

/* Snow only gets denser on its way; a box that "packs" lighter than what lies there is a typing slip. */
static void check_order(double lighter, const char *lighter_name, double denser, const char *denser_name,
                        const char *prefix, pc_faults *faults) {
  if (!(lighter > denser))
    return;
  char key[PC_KEY_MAX];
  key_of(key, prefix, denser_name);
  pc_shown shown = show_density(denser, faults);
  pc_faults_add(faults, PC_ERR_RANGE, key, shown.text,
                "%s is less than %s (%s); snow gets denser from ground to box to pile", shown.text,
                lighter_name, show_density(lighter, faults).text);
}

/* Equal is allowed: a sharp change, rain from there on. */
static void check_phases(const pc_snow *snow, const char *prefix, pc_faults *faults) {
  if (!(snow->snow_below_c > snow->rain_above_c))
    return;
  char key[PC_KEY_MAX], below[32], above[32];
  key_of(key, prefix, "rain_above");
  pc_units_print(below, sizeof below, snow->snow_below_c, PC_DIM_TEMPERATURE, faults->units, 3);
  pc_units_print(above, sizeof above, snow->rain_above_c, PC_DIM_TEMPERATURE, faults->units, 3);
  pc_faults_add(faults, PC_ERR_RANGE, key, above, "%s is colder than snow_below (%s)", above, below);
}

void pc_snow_validate(const pc_snow *snow, const char *prefix, pc_faults *faults) {
  pc_snow defaults = pc_snow_default();
  size_t before = pc_faults_fatal(faults);
  pc_fields_validate(&pc_snow_fields, snow, prefix, faults);
  pc_fields_check_defaults(&pc_snow_fields, snow, &defaults, prefix, faults);
  check_temperature(snow, prefix, faults);
  check_phases(snow, prefix, faults);
  if (pc_faults_fatal(faults) > before)
    return; /* comparing densities that are wrong themselves would only confuse */
  check_order(pc_snow_fresh_density(snow), "fresh_density", snow->pushed_density_kgpm3, "pushed_density",
              prefix, faults);
  check_order(snow->pushed_density_kgpm3, "pushed_density", snow->pile_density_kgpm3, "pile_density", prefix,
              faults);
}

double pc_snow_density(pc_density_formula formula, double temperature_c, double wind_mps) {
  switch (formula) {
  case PC_DENSITY_HEDSTROM_POMEROY:
    return temperature_c <= 0 ? 67.92 + 51.25 * exp(temperature_c / 2.59)
                              : fmin(119.17 + 20 * temperature_c, 200);
  case PC_DENSITY_ANDERSON:
    return temperature_c > -15 ? 50 + 1.7 * pow(fmin(temperature_c, 2) + 15, 1.5) : 50;
  case PC_DENSITY_PAHAUT:
    return fmax(50, 109 + 6 * temperature_c + 26 * sqrt(wind_mps));
  case PC_DENSITY_DIAMOND_LOWRY:
    return 119 + 6.48 * temperature_c;
  case PC_DENSITY_FORMULA_COUNT:
    break;
  }
  return NAN;
}

double pc_snow_share(const pc_snow *snow, double temperature_c) {
  if (temperature_c <= snow->snow_below_c)
    return 1;
  if (temperature_c >= snow->rain_above_c)
    return 0;
  return (snow->rain_above_c - temperature_c) / (snow->rain_above_c - snow->snow_below_c);
}

double pc_snow_fresh_density(const pc_snow *snow) {
  if (!isnan(snow->fresh_density_kgpm3))
    return snow->fresh_density_kgpm3;
  if (isnan(snow->air_temperature_c))
    return unstated_density_kgpm3;
  return pc_snow_density((pc_density_formula)snow->density_formula, snow->air_temperature_c, snow->wind_mps);
}
