// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/units.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

/* SI = (x − offset) · times / per. Times and per are whole numbers where the definition allows it, so that
 * "10 cm" is the very double 0.1 and "16 ft" the very double 4.8768. */
typedef struct unit {
  pc_dimension dimension;
  const char *name;
  double times, per, offset;
} unit;

static const double pi = 3.14159265358979323846;

/* NIST SP 811, appendix B, for the exact factors. The horsepower is 550 · 0.3048 · 0.45359237 · 9.80665 W. */
static const unit units[] = {
    {PC_DIM_NUMBER, "", 1, 1, 0},
    {PC_DIM_SHARE, "", 1, 1, 0},
    {PC_DIM_SHARE, "%", 1, 100, 0},
    {PC_DIM_LENGTH, "mm", 1, 1000, 0},
    {PC_DIM_LENGTH, "cm", 1, 100, 0},
    {PC_DIM_LENGTH, "m", 1, 1, 0},
    {PC_DIM_LENGTH, "km", 1000, 1, 0},
    {PC_DIM_LENGTH, "in", 254, 10000, 0},
    {PC_DIM_LENGTH, "ft", 3048, 10000, 0},
    {PC_DIM_LENGTH, "yd", 9144, 10000, 0},
    {PC_DIM_LENGTH, "mi", 1609344, 1000, 0},
    {PC_DIM_AREA, "m2", 1, 1, 0},
    {PC_DIM_AREA, "ha", 10000, 1, 0},
    {PC_DIM_AREA, "ft2", 9290304, 1e8, 0},
    {PC_DIM_AREA, "ac", 40468564224.0, 1e7, 0},
    {PC_DIM_VOLUME, "m3", 1, 1, 0},
    {PC_DIM_VOLUME, "l", 1, 1000, 0},
    {PC_DIM_VOLUME, "ft3", 28316846592.0, 1e12, 0},
    {PC_DIM_VOLUME, "yd3", 764554857984.0, 1e12, 0},
    {PC_DIM_MASS, "kg", 1, 1, 0},
    {PC_DIM_MASS, "t", 1000, 1, 0},
    {PC_DIM_MASS, "lb", 45359237, 1e8, 0},
    {PC_DIM_MASS, "ton", 90718474, 1e5, 0},
    {PC_DIM_DENSITY, "kg/m3", 1, 1, 0},
    {PC_DIM_DENSITY, "lb/ft3", 453592370000.0, 28316846592.0, 0},
    {PC_DIM_SPEED, "m/s", 1, 1, 0},
    {PC_DIM_SPEED, "km/h", 1000, 3600, 0},
    {PC_DIM_SPEED, "mph", 44704, 1e5, 0},
    {PC_DIM_SPEED, "ft/min", 3048, 600000, 0},
    {PC_DIM_ACCELERATION, "m/s2", 1, 1, 0},
    {PC_DIM_ACCELERATION, "ft/s2", 3048, 10000, 0},
    {PC_DIM_TIME, "s", 1, 1, 0},
    {PC_DIM_TIME, "min", 60, 1, 0},
    {PC_DIM_TIME, "h", 3600, 1, 0},
    {PC_DIM_POWER, "kW", 1000, 1, 0},
    {PC_DIM_POWER, "hp", 745.69987158227022, 1, 0},
    {PC_DIM_POWER, "W", 1, 1, 0},
    {PC_DIM_ANGLE, "deg", pi, 180, 0},
    {PC_DIM_ANGLE, "rad", 1, 1, 0},
    {PC_DIM_TEMPERATURE, "C", 1, 1, 0},
    {PC_DIM_TEMPERATURE, "F", 5, 9, 32},
    {PC_DIM_FALL_RATE, "mm/h", 1, 3600000, 0},
    {PC_DIM_FALL_RATE, "cm/h", 1, 360000, 0},
    {PC_DIM_FALL_RATE, "in/h", 254, 36000000, 0},
    {PC_DIM_FORCE, "N", 1, 1, 0},
    {PC_DIM_FORCE, "kN", 1000, 1, 0},
    {PC_DIM_FORCE, "lbf", 4.4482216152605, 1, 0},
    {PC_DIM_PER_TIME, "/s", 1, 1, 0},
    {PC_DIM_PER_TIME, "/min", 1, 60, 0},
    {PC_DIM_PER_TIME, "/h", 1, 3600, 0},
    {PC_DIM_PER_VOLUME, "/l", 1000, 1, 0},
    {PC_DIM_PER_VOLUME, "/m3", 1, 1, 0},
    {PC_DIM_PER_VOLUME, "/gal", 1e12, 3785411784.0, 0},
    {PC_DIM_PER_VOLUME, "/yd3", 1e12, 764554857984.0, 0},
    {PC_DIM_FUEL, "", 1, 1, 0},
    {PC_DIM_FUEL, "l", 1, 1, 0},
    {PC_DIM_FUEL, "gal", 3785411784.0, 1e9, 0},
    {PC_DIM_FUEL_RATE, "", 1, 1, 0},
    {PC_DIM_FUEL_RATE, "l/h", 1, 1, 0},
    {PC_DIM_FUEL_RATE, "gal/h", 3785411784.0, 1e9, 0},
    {PC_DIM_FUEL_WORK, "", 1, 1, 0},
    {PC_DIM_FUEL_WORK, "l/kWh", 1, 1, 0},
    {PC_DIM_FUEL_WORK, "gal/hph", 3.785411784, 0.74569987158227022, 0},
    {PC_DIM_FUEL_FLOW, "", 1, 1, 0},
    {PC_DIM_FUEL_FLOW, "l/s", 1, 1, 0},
    {PC_DIM_FUEL_FLOW, "l/min", 1, 60, 0},
    {PC_DIM_FUEL_FLOW, "gal/min", 3785411784.0, 6e10, 0},
};

enum { UNIT_COUNT = sizeof units / sizeof units[0] };

typedef struct dimension_text {
  const char *name, *units, *example;
} dimension_text;

static const dimension_text dimension_texts[PC_DIM_COUNT] = {
    [PC_DIM_NUMBER] = {"number", "", "\"2\" or \"0.25\""},
    [PC_DIM_SHARE] = {"share", "%", "\"0.05\" or \"5 %\""},
    [PC_DIM_LENGTH] = {"length", "mm cm m km in ft yd mi", "\"16 ft\" or \"4.9 m\""},
    [PC_DIM_AREA] = {"area", "m2 ha ft2 ac", "\"2 ac\" or \"0.8 ha\""},
    [PC_DIM_VOLUME] = {"volume", "m3 l ft3 yd3", "\"900 m3\" or \"1200 yd3\""},
    [PC_DIM_MASS] = {"mass", "kg t lb ton", "\"14 t\" or \"2900 lb\""},
    [PC_DIM_DENSITY] = {"density", "kg/m3 lb/ft3", "\"100 kg/m3\" or \"6 lb/ft3\""},
    [PC_DIM_SPEED] = {"speed", "m/s km/h mph ft/min", "\"8 km/h\" or \"5 mph\""},
    [PC_DIM_ACCELERATION] = {"acceleration", "m/s2 ft/s2", "\"0.8 m/s2\" or \"2.6 ft/s2\""},
    [PC_DIM_TIME] = {"time", "s min h", "\"8 s\" or \"1.5 h\""},
    [PC_DIM_POWER] = {"power", "kW hp W", "\"125 kW\" or \"170 hp\""},
    [PC_DIM_ANGLE] = {"angle", "deg rad", "\"40 deg\" or \"0.7 rad\""},
    [PC_DIM_TEMPERATURE] = {"temperature", "C F", "\"-5 C\" or \"23 F\""},
    [PC_DIM_FALL_RATE] = {"rate of fall", "mm/h cm/h in/h", "\"2 cm/h\" or \"1 in/h\""},
    [PC_DIM_FORCE] = {"force", "N kN lbf", "\"25 kN\" or \"5600 lbf\""},
    [PC_DIM_PER_TIME] = {"amount per time", "/s /min /h", "\"95 /h\""},
    [PC_DIM_PER_VOLUME] = {"amount per volume", "/l /m3 /gal /yd3", "\"1.60 /l\" or \"12 /m3\""},
    [PC_DIM_FUEL] = {"fuel", "l gal", "\"200 l\" or \"50 gal\""},
    [PC_DIM_FUEL_RATE] = {"fuel per time", "l/h gal/h", "\"4 l/h\" or \"1 gal/h\""},
    [PC_DIM_FUEL_WORK] = {"fuel per work", "l/kWh gal/hph", "\"0.25 l/kWh\" or \"0.05 gal/hph\""},
    [PC_DIM_FUEL_FLOW] = {"fuel flow", "l/s l/min gal/min", "\"60 l/min\" or \"15 gal/min\""},
};

static const dimension_text *find_dimension(pc_dimension dimension) {
  static const dimension_text unknown = {"unknown", "", ""};
  return (unsigned)dimension < PC_DIM_COUNT ? &dimension_texts[dimension] : &unknown;
}

const char *pc_dimension_name(pc_dimension dimension) {
  return find_dimension(dimension)->name;
}

const char *pc_dimension_units(pc_dimension dimension) {
  return find_dimension(dimension)->units;
}

const char *pc_dimension_example(pc_dimension dimension) {
  return find_dimension(dimension)->example;
}

static const unit *find_unit(pc_dimension dimension, const char *name) {
  for (size_t i = 0; i < UNIT_COUNT; i++)
    if (units[i].dimension == dimension && strcmp(units[i].name, name) == 0)
      return &units[i];
  return NULL;
}

bool pc_dimension_bare(pc_dimension dimension) {
  return find_unit(dimension, "") != NULL;
}

static double to_unit(const unit *to, double value) {
  return value * to->per / to->times + to->offset;
}

double pc_units_convert(double value, pc_dimension dimension, const char *name) {
  const unit *to = find_unit(dimension, name);
  return to ? to_unit(to, value) : (double)NAN;
}

double pc_units_change(double value, pc_dimension dimension, const char *from, const char *to) {
  const unit *a = find_unit(dimension, from), *b = find_unit(dimension, to);
  if (!a || !b)
    return (double)NAN;
  if (a == b)
    return value;
  return (value - a->offset) * (a->times * b->per) / (a->per * b->times) + b->offset; /* rounded late */
}

/* ---- reading ---- */

enum { TEXT_MAX = 120, UNIT_NAME_MAX = 24 };

/* What people write for a unit when they do not know its name here; only used to make a suggestion. */
static const char *const slips[][2] = {
    {"meter", "m"},    {"meters", "m"},    {"metre", "m"},     {"metres", "m"},    {"foot", "ft"},
    {"feet", "ft"},    {"'", "ft"},        {"inch", "in"},     {"inches", "in"},   {"\"", "in"},
    {"yards", "yd"},   {"mile", "mi"},     {"miles", "mi"},    {"acre", "ac"},     {"acres", "ac"},
    {"sqft", "ft2"},   {"sqm", "m2"},      {"liter", "l"},     {"litre", "l"},     {"cy", "yd3"},
    {"pounds", "lb"},  {"lbs", "lb"},      {"tonne", "t"},     {"tonnes", "t"},    {"tons", "ton"},
    {"kph", "km/h"},   {"kmh", "km/h"},    {"mps", "m/s"},     {"fpm", "ft/min"},  {"sec", "s"},
    {"secs", "s"},     {"seconds", "s"},   {"minutes", "min"}, {"mins", "min"},    {"hr", "h"},
    {"hrs", "h"},      {"hour", "h"},      {"hours", "h"},     {"degrees", "deg"}, {"radians", "rad"},
    {"pcf", "lb/ft3"}, {"gallon", "gal"},  {"gallons", "gal"}, {"liters", "l"},    {"litres", "l"},
    {"gph", "gal/h"},  {"gpm", "gal/min"}, {"mi/h", "mph"},    {"mi/hr", "mph"},   {"miles/h", "mph"},
    {"km/hr", "km/h"}};

/* The unit of this dimension that was probably meant, or NULL. */
static const char *suggest_unit(pc_dimension dimension, const char *name) {
  const char *names[16];
  size_t count = 0;
  for (size_t i = 0; i < UNIT_COUNT; i++)
    if (units[i].dimension == dimension && units[i].name[0] && count < 16)
      names[count++] = units[i].name;
  for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++)
    if (strcmp(name, slips[i][0]) == 0 && find_unit(dimension, slips[i][1]))
      return slips[i][1];
  return pc_nearest_word(name, names, count);
}

static bool is_digit(char letter) {
  return letter >= '0' && letter <= '9';
}

static bool is_space(char letter) {
  return letter == ' ' || letter == '\t';
}

static const char *skip_space(const char *at) {
  while (is_space(*at))
    at++;
  return at;
}

/* Reads "12", "1.5", ".5", "1e-3". The digits are handed to strtod as one whole number with an exponent
 * ("15e-1"), so that no decimal point is left for the locale to disagree with; rounding stays exact.
 * Returns the end, or NULL if there is no number. */
static const char *read_number(const char *at, double *value) {
  char plain[TEXT_MAX + 32];
  size_t count = 0;
  long exponent = 0;
  for (; is_digit(*at); at++)
    plain[count++] = *at;
  if (*at == '.')
    for (at++; is_digit(*at); at++, exponent--)
      plain[count++] = *at;
  if (count == 0)
    return NULL;
  if (*at == 'e' || *at == 'E') {
    bool negative = at[1] == '-';
    const char *digit = at + 1 + (negative || at[1] == '+');
    if (is_digit(*digit)) {
      long given = 0;
      for (; is_digit(*digit); digit++)
        given = given < 100000 ? 10 * given + (*digit - '0') : given;
      exponent += negative ? -given : given;
      at = digit;
    }
  }
  snprintf(plain + count, sizeof plain - count, "e%ld", exponent);
  *value = strtod(plain, NULL);
  /* Digits other than 0 that come to nothing are as far out of range as an overflow. */
  if (*value == 0.0 && strspn(plain, "0") < count)
    *value = (double)INFINITY;
  return at;
}

/* Copies the unit name at `at` in plain letters (² ³ °C ° → 2 3 C deg). Returns its end, or NULL if it is
 * too long to be a unit. */
static const char *read_unit_name(const char *at, char *name) {
  size_t count = 0;
  while (*at && !is_space(*at)) {
    const char *plain = NULL;
    size_t eaten = 2;
    if (strncmp(at, "\xC2\xB2", 2) == 0)
      plain = "2";
    else if (strncmp(at, "\xC2\xB3", 2) == 0)
      plain = "3";
    else if (strncmp(at, "\xC2\xB0", 2) == 0)
      plain = at[2] == 'C' || at[2] == 'F' ? "" : "deg";
    else
      eaten = 1;
    size_t length = plain ? strlen(plain) : 1;
    if (count + length >= UNIT_NAME_MAX)
      return NULL;
    memcpy(name + count, plain ? plain : at, length);
    count += length;
    at += eaten;
  }
  name[count] = '\0';
  return at;
}

static pc_status fail_unit(const char *text, pc_dimension dimension, const char *name, pc_error *error) {
  const dimension_text *due = find_dimension(dimension);
  pc_name shown = pc_name_of(text);
  if (dimension == PC_DIM_NUMBER)
    return pc_error_set(error, PC_ERR_UNIT, NULL, text,
                        "\"%s\" must be a plain number without a unit, e.g. %s", shown.text, due->example);
  if (name[0] == '\0')
    return pc_error_set(error, PC_ERR_UNIT, NULL, text, "\"%s\" needs a unit of %s, e.g. %s", shown.text,
                        due->name, due->example);
  for (size_t i = 0; i < UNIT_COUNT; i++)
    if (strcmp(units[i].name, name) == 0)
      return pc_error_set(error, PC_ERR_UNIT, NULL, text,
                          "\"%s\": %s is a unit of %s, not of %s; allowed: %s, e.g. %s", shown.text, name,
                          pc_dimension_name(units[i].dimension), due->name, due->units, due->example);
  const char *meant = suggest_unit(dimension, name);
  if (meant)
    return pc_error_set(error, PC_ERR_UNIT, NULL, text,
                        "\"%s\": %s is not a unit of %s; did you mean %s? Allowed: %s", shown.text, name,
                        due->name, meant, due->units);
  return pc_error_set(error, PC_ERR_UNIT, NULL, text, "\"%s\": %s is not a unit of %s; allowed: %s, e.g. %s",
                      shown.text, name, due->name, due->units, due->example);
}

static pc_status fail_number(const char *text, const char *at, pc_dimension dimension, pc_error *error) {
  pc_name shown = pc_name_of(text);
  const char *example = find_dimension(dimension)->example;
  if (*at == '-' || *at == '+')
    return pc_error_set(error, PC_ERR_SYNTAX, NULL, text,
                        "\"%s\" has a sign in the wrong place; one sign may stand in front of the whole",
                        shown.text);
  return pc_error_set(error, PC_ERR_SYNTAX, NULL, text, "\"%s\" is not a number with a unit, e.g. %s",
                      shown.text, example);
}

static pc_status fail_comma(const char *text, pc_dimension dimension, pc_error *error) {
  return pc_error_set(error, PC_ERR_SYNTAX, NULL, text,
                      "\"%s\" has a comma in its number; write a decimal point, and no thousands separators, "
                      "e.g. %s",
                      pc_name_of(text).text, find_dimension(dimension)->example);
}

/* Adds up the pairs from `at` on; the sign is the caller's. */
static pc_status read_pairs(const char *text, const char *at, pc_dimension dimension, double *sum,
                            const unit **last, pc_error *error) {
  bool single = pc_dimension_bare(dimension) || dimension == PC_DIM_TEMPERATURE;
  *last = NULL;
  *sum = 0;
  do {
    double number = 0;
    char name[UNIT_NAME_MAX];
    const char *end = read_number(at, &number);
    if (!end)
      return fail_number(text, at, dimension, error);
    if (*end == ',')
      return fail_comma(text, dimension, error);
    end = skip_space(end);
    at = is_digit(*end) ? end : read_unit_name(end, name);
    if (!at)
      return pc_error_set(error, PC_ERR_UNIT, NULL, text, "\"%s\" has no unit of %s; allowed: %s",
                          pc_name_of(text).text, find_dimension(dimension)->name,
                          find_dimension(dimension)->units);
    if (at == end)
      name[0] = '\0';
    const unit *read = find_unit(dimension, name);
    if (!read)
      return fail_unit(text, dimension, name, error);
    if (*last && (single || read->times / read->per >= (*last)->times / (*last)->per))
      return pc_error_set(error, PC_ERR_SYNTAX, NULL, text, "\"%s\" %s", pc_name_of(text).text,
                          single ? "has more than one number where one is due"
                                 : "must go from the larger unit to the smaller, each unit once");
    *last = read;
    *sum += number * read->times / read->per;
    at = skip_space(at);
  } while (*at);
  return PC_OK;
}

pc_status pc_units_parse(const char *text, pc_dimension dimension, double *value, pc_error *error) {
  pc_name shown = pc_name_of(text);
  if (strlen(text) > TEXT_MAX)
    return pc_error_set(error, PC_ERR_LIMIT, NULL, text,
                        "\"%s…\" is longer than a quantity may be (%d bytes)", shown.text, TEXT_MAX);
  const char *at = skip_space(text);
  if (*at == '\0')
    return pc_error_set(error, PC_ERR_SYNTAX, NULL, text, "is empty; write a %s, e.g. %s",
                        pc_dimension_name(dimension), pc_dimension_example(dimension));
  double sign = 1, sum;
  if (*at == '-' || *at == '+')
    sign = *at++ == '-' ? -1 : 1;
  else if (strncmp(at, "\xE2\x88\x92", 3) == 0) { /* the typographic minus */
    sign = -1;
    at += 3;
  }
  const unit *last;
  pc_status status = read_pairs(text, skip_space(at), dimension, &sum, &last, error);
  if (status != PC_OK)
    return status;
  /* Only temperatures have an offset, and they are one pair. */
  double read = sign * sum;
  if (last->offset != 0)
    read = (sign * sum * last->per / last->times - last->offset) * last->times / last->per;
  if (!isfinite(read))
    return pc_error_set(error, PC_ERR_RANGE, NULL, text, "\"%s\" is too large or too small a number",
                        shown.text);
  *value = read;
  return PC_OK;
}

/* ---- printing ---- */

enum { NUMBER_MAX = 80 };

/* The unit to print with from this size (SI) on; the first of each kind is also the one for zero. */
typedef struct rung {
  pc_dimension dimension;
  pc_unit_system system;
  double from;
  const char *name;
} rung;

static const rung ladder[] = {
    {PC_DIM_NUMBER, PC_METRIC, 0, ""},
    {PC_DIM_SHARE, PC_METRIC, 0, "%"},
    {PC_DIM_LENGTH, PC_METRIC, 1, "m"},
    {PC_DIM_LENGTH, PC_METRIC, 0, "mm"},
    {PC_DIM_LENGTH, PC_METRIC, 0.01, "cm"},
    {PC_DIM_LENGTH, PC_METRIC, 10000, "km"},
    {PC_DIM_LENGTH, PC_US, 0.3048, "ft"},
    {PC_DIM_LENGTH, PC_US, 0, "in"},
    {PC_DIM_LENGTH, PC_US, 1609.344, "mi"},
    {PC_DIM_AREA, PC_METRIC, 0, "m2"},
    {PC_DIM_AREA, PC_METRIC, 10000, "ha"},
    {PC_DIM_AREA, PC_US, 0, "ft2"},
    {PC_DIM_AREA, PC_US, 4046.8564224, "ac"},
    {PC_DIM_VOLUME, PC_METRIC, 0.01, "m3"},
    {PC_DIM_VOLUME, PC_METRIC, 0, "l"},
    {PC_DIM_VOLUME, PC_US, 0.764554857984, "yd3"},
    {PC_DIM_VOLUME, PC_US, 0, "ft3"},
    {PC_DIM_MASS, PC_METRIC, 0, "kg"},
    {PC_DIM_MASS, PC_METRIC, 10000, "t"},
    {PC_DIM_MASS, PC_US, 0, "lb"},
    {PC_DIM_MASS, PC_US, 9071.8474, "ton"},
    {PC_DIM_DENSITY, PC_METRIC, 0, "kg/m3"},
    {PC_DIM_DENSITY, PC_US, 0, "lb/ft3"},
    {PC_DIM_SPEED, PC_METRIC, 0, "km/h"},
    {PC_DIM_SPEED, PC_US, 0, "mph"},
    {PC_DIM_ACCELERATION, PC_METRIC, 0, "m/s2"},
    {PC_DIM_ACCELERATION, PC_US, 0, "ft/s2"},
    {PC_DIM_TIME, PC_METRIC, 0, "s"},
    {PC_DIM_TIME, PC_METRIC, 120, "min"},
    {PC_DIM_TIME, PC_METRIC, 7200, "h"},
    {PC_DIM_POWER, PC_METRIC, 100, "kW"},
    {PC_DIM_POWER, PC_METRIC, 0, "W"},
    {PC_DIM_POWER, PC_US, 0, "hp"},
    {PC_DIM_ANGLE, PC_METRIC, 0, "deg"},
    {PC_DIM_TEMPERATURE, PC_METRIC, 0, "C"},
    {PC_DIM_TEMPERATURE, PC_US, 0, "F"},
    {PC_DIM_FALL_RATE, PC_METRIC, 1 / 360000.0, "cm/h"},
    {PC_DIM_FALL_RATE, PC_METRIC, 0, "mm/h"},
    {PC_DIM_FALL_RATE, PC_US, 0, "in/h"},
    {PC_DIM_FORCE, PC_METRIC, 0, "N"},
    {PC_DIM_FORCE, PC_METRIC, 1000, "kN"},
    {PC_DIM_FORCE, PC_US, 0, "lbf"},
    {PC_DIM_PER_TIME, PC_METRIC, 0, "/h"},
    {PC_DIM_PER_VOLUME, PC_METRIC, 0, "/m3"},
    {PC_DIM_PER_VOLUME, PC_METRIC, 300, "/l"}, /* fuel costs hundreds per m³, hauling tens */
    {PC_DIM_PER_VOLUME, PC_US, 0, "/yd3"},
    {PC_DIM_PER_VOLUME, PC_US, 300, "/gal"},
    {PC_DIM_FUEL, PC_METRIC, 0, "l"},
    {PC_DIM_FUEL, PC_US, 0, "gal"},
    {PC_DIM_FUEL_RATE, PC_METRIC, 0, "l/h"},
    {PC_DIM_FUEL_RATE, PC_US, 0, "gal/h"},
    {PC_DIM_FUEL_WORK, PC_METRIC, 0, "l/kWh"},
    {PC_DIM_FUEL_WORK, PC_US, 0, "gal/hph"},
    {PC_DIM_FUEL_FLOW, PC_METRIC, 0, "l/s"},
    {PC_DIM_FUEL_FLOW, PC_US, 0, "gal/min"},
};

static const unit *choose_unit(pc_dimension dimension, pc_unit_system system, double value) {
  const rung *chosen = NULL;
  double size = fabs(value) * (1 + 1e-12); /* 0.3048 m that lost its last bit is still a foot */
  for (size_t i = 0; i < sizeof ladder / sizeof ladder[0]; i++) {
    const rung *step = &ladder[i];
    if (step->dimension != dimension || step->system != system)
      continue;
    if (!chosen || (size > 0 && size >= step->from && (size < chosen->from || step->from > chosen->from)))
      chosen = step;
  }
  if (!chosen && system != PC_METRIC)
    return choose_unit(dimension, PC_METRIC, value);
  return chosen ? find_unit(dimension, chosen->name) : NULL;
}

/* Makes printf's number independent of the locale: whatever is neither digit, sign nor exponent is the
 * locale's decimal point. */
static void plain_point(char *text) {
  char *to = text;
  for (const char *from = text; *from; from++) {
    if (is_digit(*from) || *from == '-' || *from == '+' || *from == 'e')
      *to++ = *from;
    else if (to == text || to[-1] != '.')
      *to++ = '.';
  }
  *to = '\0';
}

static void strip_zeros(char *text) {
  char *point = strchr(text, '.');
  if (!point)
    return;
  char *end = text + strlen(text);
  while (end[-1] == '0')
    end--;
  if (end[-1] == '.')
    end--;
  *end = '\0';
}

/* "-0.0" → "0.0". */
static void strip_minus_of_zero(char *text) {
  if (text[0] == '-' && strspn(text + 1, "0.") == strlen(text + 1))
    memmove(text, text + 1, strlen(text));
}

/* Commas from 10,000 on: four digits read well without. */
static void separate_thousands(char *text) {
  char *first = text + (*text == '-');
  size_t whole = strspn(first, "0123456789");
  if (whole < 5)
    return;
  for (size_t left = whole; left > 3;) {
    left -= 3;
    memmove(first + left + 1, first + left, strlen(first + left) + 1);
    first[left] = ',';
  }
}

static void print_fixed(char text[NUMBER_MAX], double value, int decimals) {
  if (fabs(value) >= 1e15) {
    snprintf(text, NUMBER_MAX, "%.6e", value);
    plain_point(text);
    return;
  }
  snprintf(text, NUMBER_MAX, "%.*f", decimals, value);
  plain_point(text);
  strip_minus_of_zero(text);
  separate_thousands(text);
}

static int clamp(int value, int least, int most) {
  return value < least ? least : value > most ? most : value;
}

static void print_digits(char text[NUMBER_MAX], double value, int digits) {
  digits = clamp(digits, 1, 17);
  /* The exponent after rounding: 9.996 to three digits is 10.0. */
  snprintf(text, NUMBER_MAX, "%.*e", digits - 1, value);
  long exponent = strtol(strchr(text, 'e') + 1, NULL, 10);
  if (value != 0 && (exponent < -6 || exponent >= 15)) {
    plain_point(text);
    return;
  }
  print_fixed(text, value, clamp(digits - 1 - (int)exponent, 0, 22));
  strip_zeros(text);
}

int pc_units_print(char *text, size_t size, double value, pc_dimension dimension, pc_unit_system system,
                   int digits) {
  const unit *with = choose_unit(dimension, system, value);
  double number = with ? to_unit(with, value) : value;
  if (!isfinite(number))
    return snprintf(text, size, "-");
  char printed[NUMBER_MAX];
  print_digits(printed, number, digits);
  const char *name = with ? with->name : "";
  return snprintf(text, size, "%s%s%s", printed, *name ? " " : "", name);
}

int pc_units_print_as(char *text, size_t size, double value, pc_dimension dimension, const char *name,
                      int decimals) {
  const unit *with = find_unit(dimension, name);
  if (!with)
    return -1;
  double number = to_unit(with, value);
  if (!isfinite(number))
    return snprintf(text, size, "-");
  char printed[NUMBER_MAX];
  print_fixed(printed, number, clamp(decimals, 0, 15));
  return snprintf(text, size, "%s%s%s", printed, *name ? " " : "", name);
}

pc_shown pc_show(double value, pc_dimension dimension, pc_unit_system system, int digits) {
  pc_shown shown;
  pc_units_print(shown.text, sizeof shown.text, value, dimension, system, digits);
  return shown;
}

pc_shown pc_show_depth(double depth_m, pc_unit_system system) {
  const char *name = system == PC_US ? "in" : "cm";
  char printed[NUMBER_MAX];
  pc_shown shown = {"0 in"};
  if (!(depth_m > 0.1 && depth_m < PC_DEPTH_MOST))
    return depth_m == 0 && system == PC_US ? shown : pc_show(depth_m, PC_DIM_LENGTH, system, 3);
  print_digits(printed, to_unit(find_unit(PC_DIM_LENGTH, name), depth_m), 3);
  snprintf(shown.text, sizeof shown.text, "%.60s %s", printed, name);
  return shown;
}

/* As a file has it: no commas, and no zeros at the end. */
static void print_coordinate(char text[NUMBER_MAX], double value) {
  snprintf(text, NUMBER_MAX, "%.2f", value);
  plain_point(text);
  strip_zeros(text);
  strip_minus_of_zero(text);
  if (!isfinite(value))
    memcpy(text, "-", sizeof "-");
}

pc_shown pc_show_place(double x_m, double y_m, pc_unit_system system) {
  const char *name = system == PC_US ? "ft" : "m";
  const unit *with = find_unit(PC_DIM_LENGTH, name);
  char x[NUMBER_MAX], y[NUMBER_MAX];
  pc_shown shown;
  print_coordinate(x, to_unit(with, x_m));
  print_coordinate(y, to_unit(with, y_m));
  snprintf(shown.text, sizeof shown.text, "[%.60s, %.60s] %s", x, y, name);
  return shown;
}
