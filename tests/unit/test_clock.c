// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "io/scenario.h"
#include "sim/lot.h"

static pc_clock start_at(const char *text) {
  pc_clock clock = {0};
  pc_error error;
  if (pc_clock_parse(text, &clock, &error) != PC_OK)
    fail_msg("%s", error.message);
  return clock;
}

static double after_h(const pc_clock *start, const char *text, bool later) {
  double after_s = NAN;
  pc_error error;
  if (pc_clock_read(start, text, later, &after_s, &error) != PC_OK)
    fail_msg("%s", error.message);
  return after_s / 3600;
}

typedef struct sample {
  const char *text;
  int minutes;
  bool twelve;
} sample;

static void check_samples(const sample *samples, size_t count) {
  for (size_t i = 0; i < count; i++) {
    pc_clock clock = start_at(samples[i].text);
    assert_true(clock.given);
    if (clock.minutes != samples[i].minutes || clock.twelve != samples[i].twelve)
      fail_msg("%s: %d", samples[i].text, clock.minutes);
    assert_true(pc_clock_meant(samples[i].text));
  }
}

/* ISO 8601-1, local time of day hh:mm (from memory): 00 to 23 and 00 to 59, midnight is 00:00. That an hour
 * may have one digit is common practice, no source. */
static void hours_of_a_day_are_read(void **state) {
  (void)state;
  static const sample samples[] = {{"00:00", 0, false},    {"22:30", 1350, false}, {"12:00", 720, false},
                                   {"23:59", 1439, false}, {"9:05", 545, false},   {" 07:00 ", 420, false}};
  check_samples(samples, sizeof samples / sizeof samples[0]);
}

/* Common practice, no source: 12 am is midnight, 12 pm is noon. */
static void am_and_pm_are_read(void **state) {
  (void)state;
  static const sample samples[] = {
      {"12 am", 0, true},       {"12:00 am", 0, true},      {"12:59 am", 59, true},
      {"1:00 am", 60, true},    {"11:59 am", 719, true},    {"12 pm", 720, true},
      {"12:30 pm", 750, true},  {"10:30 pm", 1350, true},   {"10:30pm", 1350, true},
      {"10:30 PM", 1350, true}, {"10:30 p.m.", 1350, true}, {"11:59 Pm", 1439, true}};
  check_samples(samples, sizeof samples / sizeof samples[0]);
}

static void what_is_no_time_of_day_is_refused(void **state) {
  (void)state;
  static const char *const bad[] = {"24:00",    "25:10",        "22:60",     "7",     "07:5",
                                    "07:005",   "22:30:00",     "13:00 pm",  "0 am",  "0:30 pm",
                                    "10:30 xm", "22:30 +1 day", "",          "am",    "-5:00",
                                    "100:00",   "22:30 h",      "10:60 pm",  "22.30", "10 p",
                                    "22: 30",   "10:30 pm pm",  "7:00 am +0"};
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    pc_clock clock = {.minutes = 77};
    pc_error error = {0};
    if (pc_clock_parse(bad[i], &clock, &error) != PC_ERR_RANGE || clock.minutes != 77 || clock.given)
      fail_msg("\"%s\" is taken", bad[i]);
    assert_string_equal(error.value, bad[i]);
    assert_non_null(
        strstr(error.message, "is no time of day: write 22:30 (from 00:00 to 23:59) or 10:30 pm"));
    assert_int_equal(pc_clock_parse(bad[i], &clock, NULL), PC_ERR_RANGE);
  }
}

static void what_is_meant_as_a_time_of_day_is_told_from_quantities(void **state) {
  (void)state;
  static const char *const meant[] = {"22:30", "25:10", "5 am",         "5am",
                                      "11 PM", "5:3",   "05:00 +1 day", " 7:00"},
                           *const other[] = {"6 h",  "90 min", "1.5 h", "8 s", "",    "m",
                                             "5 mi", "6 h :",  "am",    "5 a", "5 pt"};
  for (size_t i = 0; i < sizeof meant / sizeof meant[0]; i++)
    if (!pc_clock_meant(meant[i]))
      fail_msg("\"%s\" is not seen as a clock time", meant[i]);
  for (size_t i = 0; i < sizeof other / sizeof other[0]; i++)
    if (pc_clock_meant(other[i]))
      fail_msg("\"%s\" is seen as a clock time", other[i]);
}

static void times_are_the_first_from_the_start_on(void **state) {
  (void)state;
  const pc_clock start = start_at("22:30"), noon = start_at("12 pm"), midnight = start_at("00:00");
  assert_true(after_h(&start, "05:00", false) == 6.5);
  assert_true(after_h(&start, "5 am", true) == 6.5);
  assert_true(after_h(&start, "22:31", false) * 60 == 1);
  assert_true(after_h(&start, "22:29", false) * 60 == 24 * 60 - 1);
  assert_true(after_h(&start, "00:00", false) == 1.5);
  assert_true(after_h(&start, "22:30", false) == 0);
  assert_true(after_h(&start, "22:30", true) == 24);
  assert_true(after_h(&start, "22:30 +1 day", true) == 24);
  assert_true(after_h(&start, "05:00 +1 day", false) == 6.5);
  assert_true(after_h(&start, "05:00 +2 days", false) == 30.5);
  assert_true(after_h(&start, "23:00 + 1 day", false) == 24.5);
  assert_true(after_h(&noon, "11:59 am", false) * 60 == 24 * 60 - 1);
  assert_true(after_h(&noon, "12 am", false) == 12);
  assert_true(after_h(&noon, "13:30", false) == 1.5);
  assert_true(after_h(&midnight, "23:59", false) * 60 == 24 * 60 - 1);
}

static void faults_say_what_is_missing(void **state) {
  (void)state;
  const pc_clock none = {0}, pm = start_at("10:30 pm");
  double after_s = 7;
  pc_error error;
  assert_int_equal(pc_clock_read(&none, "05:00", false, &after_s, &error), PC_ERR_MISSING);
  assert_non_null(strstr(error.message, "add starts_at: \"22:30\""));
  assert_int_equal(pc_clock_read(&none, "25:00", false, &after_s, &error), PC_ERR_RANGE);
  assert_int_equal(pc_clock_read(&pm, "5:30", false, &after_s, &error), PC_ERR_SYNTAX);
  assert_non_null(strstr(error.message, "write \"5:30 am\" or \"5:30 pm\""));
  assert_int_equal(pc_clock_read(&pm, "05:00 +x day", false, &after_s, &error), PC_ERR_RANGE);
  assert_int_equal(pc_clock_read(&pm, "05:00 am +1 night", false, &after_s, NULL), PC_ERR_RANGE);
  assert_int_equal(pc_clock_read(&pm, "05:00 am +0 days", false, &after_s, NULL), PC_ERR_RANGE);
  assert_true(after_s == 7);
  assert_true(after_h(&pm, "23:00", false) == 0.5);
  assert_true(after_h(&pm, "00:30", false) == 2);
}

static void times_are_shown_in_the_form_of_the_start(void **state) {
  (void)state;
  const pc_clock start = start_at("22:30"), pm = start_at("10:30 pm");
  static const struct {
    double after_h;
    const char *plain, *half;
  } samples[] = {{0, "22:30", "10:30 pm"},
                 {1.5, "00:00", "12:00 am"},
                 {2.25, "00:45", "12:45 am"},
                 {6.5, "05:00", "5:00 am"},
                 {13.5, "12:00", "12:00 pm"},
                 {14.5, "13:00", "1:00 pm"},
                 {23.99, "22:29", "10:29 pm"},
                 {24, "22:30 +1 day", "10:30 pm +1 day"},
                 {25.5, "00:00 +2 days", "12:00 am +2 days"},
                 {30.5, "05:00 +2 days", "5:00 am +2 days"},
                 {-0.75, "21:45", "9:45 pm"}};
  for (size_t i = 0; i < sizeof samples / sizeof samples[0]; i++) {
    assert_string_equal(pc_clock_show(&start, samples[i].after_h * 3600).text, samples[i].plain);
    assert_string_equal(pc_clock_show(&pm, samples[i].after_h * 3600).text, samples[i].half);
  }
  assert_string_equal(pc_clock_show(&start, 29.9).text, "22:30");
  assert_string_equal(pc_clock_show(&start, 30).text, "22:31");
  assert_string_equal(pc_clock_show(&start, 86400 - 30).text, "22:30 +1 day");
  assert_string_equal(pc_clock_show_seconds(&start, 29.6).text, "22:30:30");
  assert_string_equal(pc_clock_show_seconds(&pm, 5400 + 5).text, "12:00:05 am");
  assert_string_equal(pc_clock_show(&start, NAN).text, "-");
  assert_string_equal(pc_clock_show(&start, (double)INFINITY).text, "-");
}

/* The first day has no "+0 days", up to its last second; what lies before the start has no day either. */
static void days_are_named_from_the_second_on(void **state) {
  (void)state;
  const pc_clock midnight = start_at("00:00"), evening = start_at("22:30"), noon = start_at("12 pm");
  const double day_s = 86400;
  for (double after_s = 0; after_s < day_s; after_s += 599)
    for (int seconds = 0; seconds < 2; seconds++) {
      pc_shown shown =
          seconds ? pc_clock_show_seconds(&midnight, after_s) : pc_clock_show(&midnight, after_s);
      if (strpbrk(shown.text, "+d"))
        fail_msg("%g s after the start: %s", after_s, shown.text);
    }
  assert_string_equal(pc_clock_show_seconds(&midnight, day_s - 1).text, "23:59:59");
  assert_string_equal(pc_clock_show_seconds(&evening, day_s - 1).text, "22:29:59");
  assert_string_equal(pc_clock_show_seconds(&evening, day_s - 0.4).text, "22:30:00 +1 day");
  assert_string_equal(pc_clock_show(&midnight, day_s).text, "00:00 +1 day");
  assert_string_equal(pc_clock_show(&noon, 2 * day_s).text, "12:00 pm +2 days");
  assert_string_equal(pc_clock_show(&evening, -day_s).text, "22:30");
  assert_string_equal(pc_clock_show(&midnight, -25 * 3600.0).text, "23:00");
  assert_string_equal(pc_clock_show_seconds(&midnight, -2 * day_s - 1).text, "23:59:59");
}

/* Whatever is shown is read as what it was: every start in steps, every minute of three days. */
static void what_is_shown_is_read_again(void **state) {
  (void)state;
  for (int twelve = 0; twelve < 2; twelve++)
    for (int minutes = 0; minutes < 1440; minutes += 97) {
      const pc_clock start = {.given = true, .twelve = twelve == 1, .minutes = minutes};
      for (int after = 0; after < 3 * 1440; after++) {
        double read = -1;
        pc_shown shown = pc_clock_show(&start, 60.0 * after);
        assert_int_equal(pc_clock_read(&start, shown.text, after == 1440, &read, NULL), PC_OK);
        if (read != 60.0 * after)
          fail_msg("%s is %g min, not %d", shown.text, read / 60, after);
      }
    }
}

/* ---- in a scenario ---- */

static const char scenario_form[] =
    "%ssnow: {depth: 5 cm}\n"
    "site:\n"
    "  areas:\n"
    "    - {name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]], opens: %s, clear_by: %s}\n"
    "boxes: [{name: wide, width: 4 m, height: 1 m}]\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
    "zones: [{name: east, outline: [[40, 0], [46, 0], [46, 20], [40, 20]]}]\n"
    "crew: [{loader: loader, box: wide, from: %s, until: %s}]\n"
    "storm: [{after: %s, rate: 1 cm/h}, {after: %s, rate: 0 cm/h}]\n";

static pc_scenario read_scenario(const char *start, const char *const times[6]) {
  char text[2000];
  pc_scenario scenario;
  pc_faults faults = {0};
  int length = snprintf(text, sizeof text, scenario_form, start, times[0], times[1], times[2], times[3],
                        times[4], times[5]);
  pc_status status = pc_scenario_read_text("lot.yaml", text, (size_t)length, NULL, 0, &scenario, &faults);
  if (status != PC_OK)
    fail_msg("%s", faults.items[0].message);
  pc_faults_free(&faults);
  return scenario;
}

static void assert_times(const pc_scenario *s, const double hours[6]) {
  const double found[] = {s->site.areas[0].opens_s, s->site.areas[0].clear_by_s, s->crew[0].from_s,
                          s->crew[0].until_s,       s->storm[0].after_s,         s->storm[1].after_s};
  for (size_t i = 0; i < 6; i++)
    if (found[i] != hours[i] * 3600)
      fail_msg("time %zu: %g h, not %g h", i, found[i] / 3600, hours[i]);
}

/* Quoted or not, in either form: the same scenario as with times after the start. */
static void a_scenario_takes_them_for_times_after_the_start(void **state) {
  (void)state;
  static const char *const starts[] = {"starts_at: 22:30\n", "starts_at: \"10:30 pm\"\n",
                                       "starts_at: 10:30 PM\n"};
  static const char *const forms[][6] = {{"\"23:00\"", "05:00", "22:30", "22:30", "22:30", "04:15"},
                                         {"11 pm", "\"5:00 am\"", "22:30", "10:30 pm", "10:30 pm", "4:15 am"},
                                         {"0.5 h", "390 min", "0 h", "10:30 pm", "0 s", "5 h 45 min"}};
  static const double hours[] = {0.5, 6.5, 0, 24, 0, 5.75};
  for (size_t i = 0; i < 3; i++) {
    pc_scenario s = read_scenario(starts[i], forms[i]);
    assert_times(&s, hours);
    assert_true(s.clock.given && s.clock.minutes == 1350 && s.clock.twelve == (i > 0));
    const pc_choice choice = {0};
    pc_lot *lot;
    pc_faults faults = {0};
    assert_int_equal(pc_lot_create(&s, &choice, &lot, &faults), PC_OK);
    assert_true(lot->clock.given && lot->clock.minutes == 1350);
    pc_lot_free(lot);
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
  static const char *const plain[] = {"1 h", "6 h", "0 h", "8 h", "0 h", "3 h"};
  static const double plain_hours[] = {1, 6, 0, 8, 0, 3};
  pc_scenario s = read_scenario("", plain);
  assert_times(&s, plain_hours);
  assert_false(s.clock.given);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(hours_of_a_day_are_read),
      cmocka_unit_test(am_and_pm_are_read),
      cmocka_unit_test(what_is_no_time_of_day_is_refused),
      cmocka_unit_test(what_is_meant_as_a_time_of_day_is_told_from_quantities),
      cmocka_unit_test(times_are_the_first_from_the_start_on),
      cmocka_unit_test(faults_say_what_is_missing),
      cmocka_unit_test(times_are_shown_in_the_form_of_the_start),
      cmocka_unit_test(days_are_named_from_the_second_on),
      cmocka_unit_test(what_is_shown_is_read_again),
      cmocka_unit_test(a_scenario_takes_them_for_times_after_the_start),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
