// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "validation.h"

static void assert_near(double value, double expected, double relative) {
  double slack = relative * fmax(fabs(expected), 1e-300);
  if (!(fabs(value - expected) <= slack))
    fail_msg("%.15g is not within %g (relative) of %.15g", value, relative, expected);
}

static double parse(const char *text, pc_dimension dimension) {
  double value = NAN;
  pc_error error;
  if (pc_units_parse(text, dimension, &value, &error) != PC_OK)
    fail_msg("%s", error.message);
  return value;
}

typedef struct sample {
  const char *text;
  pc_dimension dimension;
  double expected;
} sample;

/* NIST SP 811 (2008), appendix B.8 (from memory): 7 digits, or in full where it is exact. */
static void factors_agree_with_the_published_table(void **state) {
  (void)state;
  const sample samples[] = {
      {"1 in", PC_DIM_LENGTH, 0.0254},
      {"1 ft", PC_DIM_LENGTH, 0.3048},
      {"1 yd", PC_DIM_LENGTH, 0.9144},
      {"1 mi", PC_DIM_LENGTH, 1609.344},
      {"1 ft2", PC_DIM_AREA, 0.09290304},
      {"1 ac", PC_DIM_AREA, 4046.8564224}, /* international foot; SP 811 prints the US survey acre */
      {"1 ha", PC_DIM_AREA, 1e4},
      {"1 ft3", PC_DIM_VOLUME, 2.831685e-2},
      {"1 yd3", PC_DIM_VOLUME, 7.645549e-1},
      {"1 l", PC_DIM_VOLUME, 1e-3},
      {"1 lb", PC_DIM_MASS, 0.45359237},
      {"1 ton", PC_DIM_MASS, 907.1847},
      {"1 t", PC_DIM_MASS, 1000},
      {"1 lb/ft3", PC_DIM_DENSITY, 16.01846},
      {"1 mph", PC_DIM_SPEED, 0.44704},
      {"1 ft/min", PC_DIM_SPEED, 0.00508},
      {"1 km/h", PC_DIM_SPEED, 2.777778e-1},
      {"1 ft/s2", PC_DIM_ACCELERATION, 0.3048},
      {"1 min", PC_DIM_TIME, 60},
      {"1 h", PC_DIM_TIME, 3600},
      {"1 hp", PC_DIM_POWER, 745.6999}, /* 550 ft·lbf/s */
      {"1 lbf", PC_DIM_FORCE, 4.448222},
      {"1 deg", PC_DIM_ANGLE, 1.745329e-2},
      {"1 /gal", PC_DIM_PER_VOLUME, 1 / 3.785412e-3},
      {"1 /yd3", PC_DIM_PER_VOLUME, 1 / 7.645549e-1},
      {"1 in/h", PC_DIM_FALL_RATE, 0.0254 / 3600},
      {"1 gal", PC_DIM_FUEL, 3.785412},
      {"1 gal/h", PC_DIM_FUEL_RATE, 3.785412},
      {"1 gal/min", PC_DIM_FUEL_FLOW, 3.785412 / 60},
      {"1 gal/hph", PC_DIM_FUEL_WORK, 3.785412 / 0.7456999},
  };
  for (size_t i = 0; i < sizeof samples / sizeof samples[0]; i++)
    assert_published("NIST SP 811 (2008), appendix B.8 (from memory)", samples[i].text,
                     parse(samples[i].text, samples[i].dimension), samples[i].expected,
                     3e-7 * samples[i].expected);
}

/* Decimal factors must give the very double a program would write. */
static void quantities_are_read_exactly(void **state) {
  (void)state;
  const sample samples[] = {
      {"16 ft", PC_DIM_LENGTH, 4.8768},
      {"16ft", PC_DIM_LENGTH, 4.8768},
      {"10 cm", PC_DIM_LENGTH, 0.1},
      {"10cm", PC_DIM_LENGTH, 0.1},
      {"15 mm", PC_DIM_LENGTH, 0.015},
      {"6 ft 3 in", PC_DIM_LENGTH, 1.905},
      {"6ft 3in", PC_DIM_LENGTH, 1.905},
      {"-6 ft 3 in", PC_DIM_LENGTH, -1.905},
      {"- 2 m", PC_DIM_LENGTH, -2},
      {"+2 m", PC_DIM_LENGTH, 2},
      {"\xE2\x88\x92"
       "2 m",
       PC_DIM_LENGTH, -2},
      {" \t2  m ", PC_DIM_LENGTH, 2},
      {".5 m", PC_DIM_LENGTH, 0.5},
      {"5. m", PC_DIM_LENGTH, 5},
      {"0 m", PC_DIM_LENGTH, 0},
      {"1 km 20 m 5 cm", PC_DIM_LENGTH, 1020.05},
      {"1.2e-3 kg", PC_DIM_MASS, 1.2e-3},
      {"1E+2 kg", PC_DIM_MASS, 100},
      {"0.1234567890123456789 kg", PC_DIM_MASS, 0.1234567890123456789},
      {"0e99999 kg", PC_DIM_MASS, 0},
      {"5 %", PC_DIM_SHARE, 0.05},
      {"5%", PC_DIM_SHARE, 0.05},
      {"0.05", PC_DIM_SHARE, 0.05},
      {"-3 %", PC_DIM_SHARE, -0.03},
      {"0.25", PC_DIM_NUMBER, 0.25},
      {"-4", PC_DIM_NUMBER, -4},
      {"0 C", PC_DIM_TEMPERATURE, 0},
      {"-40 F", PC_DIM_TEMPERATURE, -40}, /* the two scales cross */
      {"32 F", PC_DIM_TEMPERATURE, 0},
      {"212 F", PC_DIM_TEMPERATURE, 100},
      {"-5 \xC2\xB0"
       "C",
       PC_DIM_TEMPERATURE, -5},
      {"23 \xC2\xB0"
       "F",
       PC_DIM_TEMPERATURE, -5},
      {"3 m\xC2\xB2", PC_DIM_AREA, 3},
      {"900 m\xC2\xB3", PC_DIM_VOLUME, 900},
      {"100 ft\xC2\xB2", PC_DIM_AREA, 9.290304},
      {"0.8 m/s\xC2\xB2", PC_DIM_ACCELERATION, 0.8},
      {"180 deg", PC_DIM_ANGLE, 3.14159265358979323846},
      {"180\xC2\xB0", PC_DIM_ANGLE, 3.14159265358979323846},
      {"36 km/h", PC_DIM_SPEED, 10},
      {"95 /h", PC_DIM_PER_TIME, 95 / 3600.0},
      {"95/h", PC_DIM_PER_TIME, 95 / 3600.0},
      {"1.60 /l", PC_DIM_PER_VOLUME, 1600},
      {"12 /m3", PC_DIM_PER_VOLUME, 12},
      {"2 cm/h", PC_DIM_FALL_RATE, 0.02 / 3600},
      {"25 kN", PC_DIM_FORCE, 25000},
      {"1 gal", PC_DIM_FUEL, 3.785411784},
      {"50gal", PC_DIM_FUEL, 189.2705892},
      {"200", PC_DIM_FUEL, 200},
      {"200 l", PC_DIM_FUEL, 200},
      {"4", PC_DIM_FUEL_RATE, 4},
      {"60 l/min", PC_DIM_FUEL_FLOW, 1},
      {"0.25 l/kWh", PC_DIM_FUEL_WORK, 0.25},
      {"1 h 30 min", PC_DIM_TIME, 5400},
      {"125 kW", PC_DIM_POWER, 125000},
      {"500 W", PC_DIM_POWER, 500},
  };
  for (size_t i = 0; i < sizeof samples / sizeof samples[0]; i++)
    assert_near(parse(samples[i].text, samples[i].dimension), samples[i].expected, 3e-16);
}

typedef struct fault {
  const char *text;
  pc_dimension dimension;
  pc_status status;
  const char *says;
} fault;

static const fault faulty[] = {
    {"16", PC_DIM_LENGTH, PC_ERR_UNIT, "\"16\" needs a unit of length, e.g. \"16 ft\" or \"4.9 m\""},
    {"6 ft 3", PC_DIM_LENGTH, PC_ERR_UNIT, "needs a unit of length"},
    {"6 3 in", PC_DIM_LENGTH, PC_ERR_UNIT, "needs a unit of length"},
    {"16 Ft", PC_DIM_LENGTH, PC_ERR_UNIT, "did you mean ft?"},
    {"16 feet", PC_DIM_LENGTH, PC_ERR_UNIT, "did you mean ft?"},
    {"6'", PC_DIM_LENGTH, PC_ERR_UNIT, "did you mean ft?"},
    {"6 ft, 3 in", PC_DIM_LENGTH, PC_ERR_UNIT, "did you mean ft?"},
    {"8 kmh", PC_DIM_SPEED, PC_ERR_UNIT, "did you mean km/h?"},
    {"8 KM/H", PC_DIM_SPEED, PC_ERR_UNIT, "did you mean km/h?"},
    {"8 kw", PC_DIM_POWER, PC_ERR_UNIT, "did you mean kW?"},
    {"5 c", PC_DIM_TEMPERATURE, PC_ERR_UNIT, "did you mean C?"},
    {"16 kg", PC_DIM_LENGTH, PC_ERR_UNIT,
     "kg is a unit of mass, not of length; allowed: mm cm m km in ft yd mi"},
    {"5 bananas", PC_DIM_MASS, PC_ERR_UNIT, "bananas is not a unit of mass; allowed: kg t lb ton"},
    {"16 feet", PC_DIM_MASS, PC_ERR_UNIT, "feet is not a unit of mass; allowed: kg t lb ton"},
    {"0x10 m", PC_DIM_LENGTH, PC_ERR_UNIT, "x10 is not a unit of length"},
    {"1 metreswithmanymoreletters", PC_DIM_LENGTH, PC_ERR_UNIT, "has no unit of length"},
    {"5 m", PC_DIM_NUMBER, PC_ERR_UNIT, "must be a plain number without a unit"},
    {"5 m", PC_DIM_SHARE, PC_ERR_UNIT, "m is a unit of length, not of share; allowed: %"},
    {"1 m", PC_DIM_COUNT, PC_ERR_UNIT, "not of unknown"},
    {"4,9 m", PC_DIM_LENGTH, PC_ERR_SYNTAX, "has a comma in its number; write a decimal point"},
    {"1,350 kg", PC_DIM_MASS, PC_ERR_SYNTAX, "no thousands separators"},
    {"0,5", PC_DIM_SHARE, PC_ERR_SYNTAX, "has a comma"},
    {"", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is empty; write a length, e.g. \"16 ft\""},
    {"   ", PC_DIM_NUMBER, PC_ERR_SYNTAX, "is empty; write a number"},
    {"wide", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is not a number with a unit"},
    {"nan m", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is not a number with a unit"},
    {"inf m", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is not a number with a unit"},
    {". m", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is not a number with a unit"},
    {"-", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is not a number with a unit"},
    {"6 ft in", PC_DIM_LENGTH, PC_ERR_SYNTAX, "is not a number with a unit"},
    {"6 ft -3 in", PC_DIM_LENGTH, PC_ERR_SYNTAX, "sign in the wrong place"},
    {"6 ft +3 in", PC_DIM_LENGTH, PC_ERR_SYNTAX, "sign in the wrong place"},
    {"5e+ m", PC_DIM_LENGTH, PC_ERR_UNIT, "e+ is not a unit of length"},
    {"--6 ft", PC_DIM_LENGTH, PC_ERR_SYNTAX, "sign in the wrong place"},
    {"3 in 6 ft", PC_DIM_LENGTH, PC_ERR_SYNTAX, "from the larger unit to the smaller"},
    {"3 ft 6 ft", PC_DIM_LENGTH, PC_ERR_SYNTAX, "each unit once"},
    {"5 3", PC_DIM_NUMBER, PC_ERR_SYNTAX, "more than one number"},
    {"1 5 %", PC_DIM_SHARE, PC_ERR_SYNTAX, "more than one number"},
    {"5 C 3 F", PC_DIM_TEMPERATURE, PC_ERR_SYNTAX, "more than one number"},
    {"1e400 m", PC_DIM_LENGTH, PC_ERR_RANGE, "too large or too small"},
    {"1e999999999999999999 m", PC_DIM_LENGTH, PC_ERR_RANGE, "too large or too small"},
    {"1e308 km", PC_DIM_LENGTH, PC_ERR_RANGE, "too large or too small"},
    {"1e-400 m", PC_DIM_LENGTH, PC_ERR_RANGE, "too large or too small"},
};

static void faults_say_what_is_allowed(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof faulty / sizeof faulty[0]; i++) {
    double value = 42;
    pc_error error;
    pc_status status = pc_units_parse(faulty[i].text, faulty[i].dimension, &value, &error);
    if (status != faulty[i].status || !strstr(error.message, faulty[i].says))
      fail_msg("%s: status %s, message: %s", faulty[i].text, pc_status_name(status), error.message);
    assert_int_equal(error.status, status);
    assert_string_equal(error.value, faulty[i].text);
    assert_string_equal(error.key, "");
    assert_true(value == 42.0);
    assert_int_equal(pc_units_parse(faulty[i].text, faulty[i].dimension, &value, NULL), status);
  }
}

static void endless_text_is_a_fault(void **state) {
  (void)state;
  char text[5000];
  double value = 42;
  pc_error error;
  memset(text, '1', sizeof text);
  text[4999] = '\0';
  assert_int_equal(pc_units_parse(text, PC_DIM_NUMBER, &value, &error), PC_ERR_LIMIT);
  assert_non_null(strstr(error.message, "120"));
  /* As many digits as are allowed. */
  memset(text, '0', sizeof text);
  memcpy(text, "0.", 2);
  strcpy(text + 118, "1");
  assert_int_equal(pc_units_parse(text, PC_DIM_NUMBER, &value, &error), PC_OK);
  assert_near(value, 1e-117, 1e-15);
}

/* Listed units, and no others, are accepted; each converts back. */
static void unit_lists_are_true(void **state) {
  (void)state;
  for (int d = 0; d < PC_DIM_COUNT; d++) {
    pc_dimension dimension = (pc_dimension)d;
    char list[100], text[100], *rest = list;
    snprintf(list, sizeof list, "%s", pc_dimension_units(dimension));
    assert_string_not_equal(pc_dimension_name(dimension), "unknown");
    for (char *name; (name = strtok_r(rest, " ", &rest));) {
      snprintf(text, sizeof text, "7 %s", name);
      assert_near(pc_units_convert(parse(text, dimension), dimension, name), 7, 1e-15);
    }
    /* The examples given in messages must themselves be accepted. */
    snprintf(text, sizeof text, "%s", pc_dimension_example(dimension));
    char *first = strtok_r(text, "\"", &rest);
    assert_non_null(first);
    parse(first, dimension);
    strtok_r(NULL, "\"", &rest);
    char *second = strtok_r(NULL, "\"", &rest);
    if (second)
      parse(second, dimension);
  }
  assert_true(isnan(pc_units_convert(1, PC_DIM_LENGTH, "kg")));
  assert_true(isnan(pc_units_convert(1, PC_DIM_COUNT, "m")));
  /* From unit to unit, rounded once: NIST SP 811, appendix B, and Celsius to Fahrenheit, section B.8. */
  assert_true(pc_units_change(1, PC_DIM_FALL_RATE, "in/h", "cm/h") == 2.54);
  assert_true(pc_units_change(1, PC_DIM_LENGTH, "in", "mm") == 25.4);
  assert_true(pc_units_change(10, PC_DIM_SPEED, "mph", "m/s") == 4.4704);
  assert_true(pc_units_change(23, PC_DIM_TEMPERATURE, "F", "C") == -5);
  assert_true(pc_units_change(-40, PC_DIM_TEMPERATURE, "C", "F") == -40);
  assert_true(pc_units_change(0.1, PC_DIM_FALL_RATE, "cm/h", "cm/h") == 0.1);
  assert_true(isnan(pc_units_change(1, PC_DIM_LENGTH, "m", "kg")));
  assert_true(isnan(pc_units_change(1, PC_DIM_LENGTH, "lb", "m")));
  assert_string_equal(pc_dimension_name(PC_DIM_COUNT), "unknown");
  assert_string_equal(pc_dimension_units((pc_dimension)-1), "");
  assert_string_equal(pc_dimension_example(PC_DIM_COUNT), "");
}

typedef struct printed {
  double value;
  pc_dimension dimension;
  const char *metric, *us;
} printed;

static const printed prints[] = {
    {4.8768, PC_DIM_LENGTH, "4.88 m", "16 ft"},
    {0.1, PC_DIM_LENGTH, "10 cm", "3.94 in"},
    {0.3048, PC_DIM_LENGTH, "30.5 cm", "1 ft"},
    {0.004, PC_DIM_LENGTH, "4 mm", "0.157 in"},
    {0, PC_DIM_LENGTH, "0 m", "0 ft"},
    {-4.8768, PC_DIM_LENGTH, "-4.88 m", "-16 ft"},
    {1609.344, PC_DIM_LENGTH, "1609 m", "1 mi"},
    {25000, PC_DIM_LENGTH, "25 km", "15.5 mi"},
    {0.9996, PC_DIM_LENGTH, "100 cm", "3.28 ft"},
    {9.996, PC_DIM_LENGTH, "10 m", "32.8 ft"},
    {500, PC_DIM_AREA, "500 m2", "5382 ft2"},
    {3000, PC_DIM_AREA, "3000 m2", "32,292 ft2"},
    {40000, PC_DIM_AREA, "4 ha", "9.88 ac"},
    {900, PC_DIM_VOLUME, "900 m3", "1177 yd3"},
    {12345, PC_DIM_VOLUME, "12,345 m3", "16,147 yd3"},
    {1234567, PC_DIM_VOLUME, "1,234,567 m3", "1,614,753 yd3"},
    {0.005, PC_DIM_VOLUME, "5 l", "0.177 ft3"},
    {1350, PC_DIM_MASS, "1350 kg", "2976 lb"},
    {14000, PC_DIM_MASS, "14 t", "15.4 ton"},
    {100, PC_DIM_DENSITY, "100 kg/m3", "6.24 lb/ft3"},
    {2.5, PC_DIM_SPEED, "9 km/h", "5.59 mph"},
    {0.8, PC_DIM_ACCELERATION, "0.8 m/s2", "2.62 ft/s2"},
    {83.2, PC_DIM_TIME, "83.2 s", "83.2 s"},
    {750, PC_DIM_TIME, "12.5 min", "12.5 min"},
    {12312, PC_DIM_TIME, "3.42 h", "3.42 h"},
    {0, PC_DIM_TIME, "0 s", "0 s"},
    {125000, PC_DIM_POWER, "125 kW", "168 hp"},
    {50, PC_DIM_POWER, "50 W", "0.0671 hp"},
    {0, PC_DIM_POWER, "0 kW", "0 hp"},
    {-5, PC_DIM_TEMPERATURE, "-5 C", "23 F"},
    {0, PC_DIM_TEMPERATURE, "0 C", "32 F"},
    {0.02 / 3600, PC_DIM_FALL_RATE, "2 cm/h", "0.787 in/h"},
    {0.002 / 3600, PC_DIM_FALL_RATE, "2 mm/h", "0.0787 in/h"},
    {6258.99, PC_DIM_FORCE, "6.26 kN", "1407 lbf"},
    {500, PC_DIM_FORCE, "500 N", "112 lbf"},
    {95 / 3600.0, PC_DIM_PER_TIME, "95 /h", "95 /h"},
    {12, PC_DIM_PER_VOLUME, "12 /m3", "9.17 /yd3"},
    {1600, PC_DIM_PER_VOLUME, "1.6 /l", "6.06 /gal"},
    {0.05, PC_DIM_SHARE, "5 %", "5 %"},
    {0.25, PC_DIM_NUMBER, "0.25", "0.25"},
    {9999, PC_DIM_NUMBER, "9999", "9999"},
    {10000, PC_DIM_NUMBER, "10,000", "10,000"},
    {-123456.7, PC_DIM_NUMBER, "-123,457", "-123,457"},
    {1e20, PC_DIM_NUMBER, "1.00e+20", "1.00e+20"},
    {1.5e-9, PC_DIM_NUMBER, "1.50e-09", "1.50e-09"},
    {NAN, PC_DIM_LENGTH, "-", "-"},
    {INFINITY, PC_DIM_LENGTH, "-", "-"},
    {3, PC_DIM_COUNT, "3", "3"},
};

static void values_print_in_a_unit_fit_for_their_size(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof prints / sizeof prints[0]; i++) {
    char text[60];
    int length = pc_units_print(text, sizeof text, prints[i].value, prints[i].dimension, PC_METRIC, 3);
    assert_string_equal(text, prints[i].metric);
    assert_int_equal(length, strlen(text));
    pc_units_print(text, sizeof text, prints[i].value, prints[i].dimension, PC_US, 3);
    assert_string_equal(text, prints[i].us);
  }
  char little[4];
  assert_int_equal(pc_units_print(little, sizeof little, 4.8768, PC_DIM_LENGTH, PC_METRIC, 3), 6);
  assert_string_equal(little, "4.8");
}

static void columns_print_with_one_unit(void **state) {
  (void)state;
  char text[60];
  assert_int_equal(pc_units_print_as(text, sizeof text, 4.8768, PC_DIM_LENGTH, "ft", 1), 7);
  assert_string_equal(text, "16.0 ft");
  pc_units_print_as(text, sizeof text, 12345.678, PC_DIM_LENGTH, "m", 2);
  assert_string_equal(text, "12,345.68 m");
  pc_units_print_as(text, sizeof text, -0.001, PC_DIM_LENGTH, "m", 1);
  assert_string_equal(text, "0.0 m");
  pc_units_print_as(text, sizeof text, 0.5, PC_DIM_NUMBER, "", -3);
  assert_string_equal(text, "0");
  pc_units_print_as(text, sizeof text, 1e300, PC_DIM_LENGTH, "m", 15);
  assert_string_equal(text, "1.000000e+300 m");
  pc_units_print_as(text, sizeof text, NAN, PC_DIM_LENGTH, "m", 1);
  assert_string_equal(text, "-");
  assert_int_equal(pc_units_print_as(text, sizeof text, 1, PC_DIM_LENGTH, "kg", 1), -1);
}

/* What is printed with all its digits reads back to the same value. */
/* 1 m = 1/0.3048 ft (NIST SP 811, appendix B): 12.345 m = 40.5019… ft, 10,000 m = 32,808.3989… ft. */
static void places_print_as_files_write_them(void **state) {
  (void)state;
  assert_string_equal(pc_show_place(12.345678, -0.0001, PC_METRIC).text, "[12.35, 0] m");
  assert_string_equal(pc_show_place(12.345, 10000, PC_US).text, "[40.5, 32808.4] ft");
  assert_string_equal(pc_show_place(NAN, -INFINITY, PC_METRIC).text, "[-, -] m");
  assert_string_equal(pc_show(0.3048, PC_DIM_LENGTH, PC_US, 3).text, "1 ft");
}

static void print_and_parse_agree(void **state) {
  (void)state;
  for (int d = 0; d < PC_DIM_COUNT; d++)
    for (int system = PC_METRIC; system <= PC_US; system++)
      for (double value = 1.2345678901e-3; value < 9000; value *= 7.7) {
        char text[80], plain[80], *to = plain;
        pc_units_print(text, sizeof text, value, (pc_dimension)d, (pc_unit_system)system, 17);
        for (const char *from = text; *from; from++)
          if (*from != ',')
            *to++ = *from;
        *to = '\0';
        if (d == PC_DIM_TEMPERATURE)
          assert_true(fabs(parse(plain, (pc_dimension)d) - value) < 1e-12);
        else
          assert_near(parse(plain, (pc_dimension)d), value, 1e-14);
      }
}

/* Builds a locale with a decimal comma in a directory of its own (POSIX localedef), and switches to it. */
static bool use_comma_locale(char *directory) {
  char command[400], text[16];
  if (!mkdtemp(directory))
    return false;
  snprintf(command, sizeof command,
           "cd '%s' && printf 'LC_NUMERIC\\ndecimal_point \"<U002C>\"\\nthousands_sep \"<U002E>\"\\n"
           "grouping 3;3\\nEND LC_NUMERIC\\n' >source && localedef -c -i source -f UTF-8 ./xx_XX >log 2>&1",
           directory);
  /* Its exit status only tells that the other categories are missing; what counts is what printf does. */
  int ended = system(command);
  if (ended == -1 || setenv("LOCPATH", directory, 1) != 0 || !setlocale(LC_NUMERIC, "xx_XX"))
    return false;
  return snprintf(text, sizeof text, "%.1f", 0.5) == 3 && text[1] == ',';
}

/* Also after a failure, so that nothing stays behind. */
static int leave_comma_locale(void **state) {
  char *directory = *state, command[64];
  setlocale(LC_NUMERIC, "C");
  snprintf(command, sizeof command, "rm -rf '%s'", directory);
  int ended = system(command);
  free(directory);
  return ended;
}

static void the_locale_does_not_matter(void **state) {
  char *directory = strdup("/tmp/comma-XXXXXX");
  assert_non_null(directory);
  *state = directory;
  if (!use_comma_locale(directory))
    fail_msg("%s", "no locale with a decimal comma could be built: localedef and its UTF-8 map are needed");
  factors_agree_with_the_published_table(state);
  quantities_are_read_exactly(state);
  faults_say_what_is_allowed(state);
  values_print_in_a_unit_fit_for_their_size(state);
  columns_print_with_one_unit(state);
  print_and_parse_agree(state);
}

/* Depths of snow stay in one unit, as far as snow may lie. */
static void depths_stay_in_one_unit(void **state) {
  (void)state;
  assert_string_equal(pc_show_depth(0.0254, PC_US).text, "1 in");
  assert_string_equal(pc_show_depth(0.381, PC_US).text, "15 in");
  assert_string_equal(pc_show_depth(2.54, PC_US).text, "100 in");
  assert_string_equal(pc_show_depth(0, PC_US).text, "0 in");
  assert_string_equal(pc_show_depth(3.048, PC_US).text, "10 ft");
  assert_string_equal(pc_show_depth(0.125, PC_METRIC).text, "12.5 cm");
  assert_string_equal(pc_show_depth(1.2, PC_METRIC).text, "120 cm");
  assert_string_equal(pc_show_depth(0.008, PC_METRIC).text, "8 mm");
  assert_string_equal(pc_show_depth(4, PC_METRIC).text, "4 m");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(depths_stay_in_one_unit),
      cmocka_unit_test(factors_agree_with_the_published_table),
      cmocka_unit_test(quantities_are_read_exactly),
      cmocka_unit_test(faults_say_what_is_allowed),
      cmocka_unit_test(endless_text_is_a_fault),
      cmocka_unit_test(unit_lists_are_true),
      cmocka_unit_test(values_print_in_a_unit_fit_for_their_size),
      cmocka_unit_test(columns_print_with_one_unit),
      cmocka_unit_test(places_print_as_files_write_them),
      cmocka_unit_test(print_and_parse_agree),
      cmocka_unit_test_teardown(the_locale_does_not_matter, leave_comma_locale),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
