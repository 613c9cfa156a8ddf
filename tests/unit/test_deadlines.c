// SPDX-License-Identifier: GPL-3.0-or-later
/* Deadlines of areas: kept or missed, and by how much. Times by hand where the work is one machine on a
 * strip; while snow falls, against a property that any notion of "clear at a moment" has: as no policy looks
 * at deadlines, moving one changes nothing of the night, so an area that is late by d for a deadline at t is
 * late for every deadline between t and t + d, clear at the same moment, and in time for one at t + d. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "night_run.h"
#include "read_good.h"
#include "simulate.h"
#include "study/replicate.h"

static const double length_m = 150.0, run_m = 30.0, hour_s = 3600.0;

static pc_area_result judged(pc_scenario *s, size_t area, double clear_by_s) {
  s->site.areas[area].clear_by_s = clear_by_s;
  night_run run = {0};
  night_simulate(&run, s);
  pc_area_result found = run.result.areas[area];
  night_free(&run);
  return found;
}

/* Clear for the first time at T, by hand; white again under the trigger until the storm is over at 4 h, and
 * cleared once more then. What counts for a deadline is T. */
static void the_first_time_after_it_counts(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  s.crew_count = 0;
  night_add_crew(&s, "loader", "box", night_strip_end(&s, 0));
  double clear_s = night_strip_s(&s, length_m, run_m) - night_last_carry_s(&s, length_m);
  s.snow.trigger_m = 0.05;
  night_add_storm(&s, 2.0 * hour_s, 0.01 / hour_s);
  night_add_storm(&s, 4.0 * hour_s, 0.0);
  const double before[] = {60.0, 0.5 * clear_s, clear_s - 1.0};
  for (size_t i = 0; i < 3; i++) {
    pc_area_result area = judged(&s, 0, before[i]);
    assert_true(area.late);
    assert_near("ready", area.ready_s, clear_s, 1e-12);
    assert_near("late by", area.late_s, clear_s - before[i], 1e-9);
    assert_true(area.done_s > 4.0 * hour_s);
  }
  const double after[] = {clear_s + 1.0, 2.0 * hour_s, 3.9 * hour_s};
  for (size_t i = 0; i < 3; i++) {
    pc_area_result area = judged(&s, 0, after[i]);
    assert_false(area.late);
    assert_near("ready", area.ready_s, clear_s, 1e-12);
    assert_true(area.late_s == 0.0 && area.done_s > 4.0 * hour_s);
  }
  pc_area_result none = judged(&s, 0, NAN);
  assert_true(!none.late && isnan(none.ready_s) && isnan(none.late_s));
  pc_scenario_free(&s);
}

/* Nothing lies there before 1 h, and nothing has to be pushed before the trigger is reached at 2 h. */
static void bare_ground_is_in_time(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  night_add_crew(&s, "loader", "box", night_strip_end(&s, 0));
  s.snow.depth_m = 0.0;
  s.snow.trigger_m = 0.03;
  night_add_storm(&s, 0.0, 0.0);
  night_add_storm(&s, 1.0 * hour_s, 0.03 / hour_s);
  night_add_storm(&s, 3.0 * hour_s, 0.0);
  assert_false(judged(&s, 0, 0.5 * hour_s).late);
  assert_false(judged(&s, 0, 1.9 * hour_s).late);
  assert_true(judged(&s, 0, 2.02 * hour_s).late);
  pc_scenario_free(&s);
}

/* Half an hour before its deadline all of the strip is swept, once, though the snow is far from the trigger:
 * by hand as a strip with as much snow as has fallen since. What falls after that waits for the end of the
 * storm. */
static void swept_for_its_deadline(void **state) {
  (void)state;
  static const double before_s[] = {0.0, 1800.0, 3600.0, 5.0 * 3600.0, 0.5 * 3600.0};
  for (size_t i = 0; i < 5; i++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    night_add_crew(&s, "loader", "box", night_strip_end(&s, 0));
    s.snow.trigger_m = 0.08;
    night_add_storm(&s, 0.0, 0.01 / hour_s);
    night_add_storm(&s, 6.0 * hour_s, 0.0);
    double due_s = i < 4 ? 4.0 * hour_s : 7.0 * hour_s; /* the last one's sweep would be after the storm */
    s.site.areas[0].clear_by_s = due_s;
    s.site.areas[0].sweep_before_s = before_s[i];
    double clear_s = night_strip_s(&s, length_m, run_m), sweep_s = fmax(0.0, due_s - before_s[i]);
    bool swept = before_s[i] > 0.0 && i < 3;
    night_run run = {0};
    night_simulate(&run, &s);
    double first_s = INFINITY, last_s = -INFINITY;
    for (size_t r = 0; r < run.row_count; r++)
      if (run.rows[r].phase == PC_PHASE_FILL && run.rows[r].start_s > clear_s + 120.0 &&
          run.rows[r].end_s < 6.0 * hour_s) {
        first_s = fmin(first_s, run.rows[r].start_s);
        last_s = fmax(last_s, run.rows[r].end_s);
      }
    assert_true(swept == isfinite(first_s));
    if (swept) {
      assert_true(first_s >= sweep_s && first_s < sweep_s + 60.0); /* a turn, the way back, lowering */
      assert_true(last_s < due_s);
      assert_near("ready", run.result.areas[0].ready_s, last_s, 1e-12);
    }
    assert_false(run.result.areas[0].late);
    assert_near("all", run.result.placed_kg + run.result.left_kg, run.result.start_kg + run.result.fallen_kg,
                1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

static const char storm_yard[] =
    "pushcycle: 1\nname: yard\nsnow: {depth: 6 cm, trigger: 2 cm}\n"
    "storm: [{after: 0 h, rate: 1.5 cm/h}, {after: 1 h, rate: 4 cm/h}, {after: 3 h, rate: 0 cm/h}]\n"
    "site:\n  areas:\n"
    "    - {name: yard, outline: [[0,0],[90,0],[90,60],[0,60]]}\n"
    "    - {name: dock, outline: [[0,60],[90,60],[90,75],[0,75]]}\n"
    "    - {name: court, outline: [[90,60],[120,60],[120,75],[90,75]]}\n"
    "boxes: [{name: 12 ft, width: 12 ft, height: 42 in}]\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 10 km/h, return: 14 km/h}}]\n"
    "zones: [{name: east, outline: [[90,0],[102,0],[102,60],[90,60]], height: 4 m}]\n"
    "crew:\n  - {loader: loader, box: 12 ft, start: [5, 5]}\n  - {loader: loader, box: 12 ft, start: [80, "
    "5]}\n";

/* Where time is stepped over in full, no deadline is told another tale than its neighbours. */
static void deadlines_agree_with_each_other(void **state) {
  (void)state;
  pc_scenario s = read_good(storm_yard, NULL, 0, 0);
  size_t late = 0, kept = 0, spells = 0;
  for (size_t a = 0; a < s.site.area_count; a++) {
    double ready_s = NAN;
    for (double t = 600.0; t < 4.0 * hour_s; t += 150.0) {
      pc_area_result area = judged(&s, a, t);
      assert_true(area.late || (area.late_s == 0.0 && area.ready_s <= t));
      if (t < ready_s) { /* still in the spell that began before */
        assert_true(area.late);
        assert_near("ready", area.ready_s, ready_s, 1e-12);
      } else if (area.late) {
        assert_true(area.ready_s > t);
        assert_near("late by", area.late_s, area.ready_s - t, 1e-9);
        ready_s = area.ready_s;
        pc_area_result there = judged(&s, a, ready_s);
        assert_false(there.late);
        assert_near("ready", there.ready_s, ready_s, 1e-12);
        assert_true(judged(&s, a, ready_s - 0.01).late);
        spells++;
      }
      late += area.late;
      kept += !area.late;
    }
    s.site.areas[a].clear_by_s = NAN;
  }
  print_message("%zu deadlines missed in %zu spells, %zu kept\n", late, spells, kept);
  assert_true(spells >= 6 && kept > 20 && late > 20);
  pc_scenario_free(&s);
}

/* An area that only blades may work is clear when they are done: the windrow they leave is nobody's. */
static void blades_alone(void **state) {
  (void)state;
  static const char *const storms[] = {"",
                                       "storm: [{after: 0 h, rate: 1 cm/h}, {after: 2 h, rate: 0 cm/h}]\n"};
  for (size_t i = 0; i < 2; i++) {
    char text[1600];
    snprintf(
        text, sizeof text,
        "pushcycle: 1\nname: Night\nsnow: {depth: 4 cm%s}\n%s"
        "site:\n  areas:\n"
        "    - {name: yard, outline: [[0,0],[120,0],[120,60],[0,60]], after: [strip]}\n"
        "    - {name: strip, outline: [[0,60],[120,60],[120,70],[0,70]], clear_by: 1 min}\n"
        "boxes: [{name: 12 ft, width: 12 ft, height: 42 in}, {name: blade, width: 10 ft, blade: right}]\n"
        "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 10 km/h, return: 14 km/h}}]\n"
        "zones: [{name: east, outline: [[120,0],[132,0],[132,60],[120,60]], height: 4 m}]\n"
        "crew:\n  - {loader: loader, box: 12 ft, start: [10, 10], areas: [yard]}\n"
        "  - {loader: loader, box: blade, start: [5, 65], areas: [strip]}\n",
        i ? ", trigger: 3 cm" : "", storms[i]);
    pc_scenario s = read_good(text, NULL, 0, 0);
    night_run run = {0};
    night_simulate(&run, &s);
    double laid_s = 0.0, begun_s = INFINITY;
    for (size_t k = 0; k < run.row_count; k++) {
      const pc_trace_row *row = &run.rows[k];
      if (row->phase == PC_PHASE_FILL && row->machine == 1 && row->start_s < hour_s)
        laid_s = fmax(laid_s, row->end_s);
      if (row->phase == PC_PHASE_FILL && row->machine == 0)
        begun_s = fmin(begun_s, row->start_s);
    }
    assert_true(laid_s > 60.0);
    assert_near("ready", run.result.areas[1].ready_s, laid_s, 1e-12);
    assert_true(begun_s > laid_s); /* what waits for the strip does wait */
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Means are over the nights that have a number: by how much it is late, over those in which it is. */
static void means_over_nights(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  night_add_crew(&s, "loader", "box", night_strip_end(&s, 0));
  s.site.areas[0].clear_by_s = 1000.0;
  night_run runs[4] = {{0}};
  pc_result nights[4];
  static const pc_area_result areas[4] = {{.done_s = 900, .ready_s = 900},
                                          {.done_s = 2000, .ready_s = 1300, .late_s = 300, .late = true},
                                          {.done_s = NAN, .ready_s = NAN, .late_s = NAN, .late = true},
                                          {.done_s = 1100, .ready_s = 1100, .late_s = 100, .late = true}};
  for (size_t r = 0; r < 4; r++) {
    night_simulate(&runs[r], &s);
    nights[r] = runs[r].result;
    nights[r].areas[0] = areas[r];
  }
  const pc_lot *lot = runs[0].lot;
  pc_summary summary;
  assert_int_equal(pc_summary_make(lot, nights, 4, &summary), PC_OK);
  assert_int_equal(summary.area_late[0], 3);
  assert_int_equal(summary.area_clear[0], 3);
  assert_near("done", summary.mean.areas[0].done_s, 4000.0 / 3, 1e-15);
  assert_near("ready", summary.mean.areas[0].ready_s, 1100, 1e-15);
  assert_near("late by", summary.mean.areas[0].late_s, 200, 1e-15);
  pc_summary_free(&summary);
  assert_int_equal(pc_summary_make(lot, nights, 1, &summary), PC_OK);
  assert_true(summary.mean.areas[0].late_s == 0.0);
  pc_summary_free(&summary);
  for (size_t r = 0; r < 4; r++)
    night_free(&runs[r]);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_first_time_after_it_counts),
      cmocka_unit_test(bare_ground_is_in_time),
      cmocka_unit_test(deadlines_agree_with_each_other),
      cmocka_unit_test(blades_alone),
      cmocka_unit_test(means_over_nights),
      cmocka_unit_test(swept_for_its_deadline),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
