// SPDX-License-Identifier: GPL-3.0-or-later
/* Breaks that fall due while a machine waits (docs/model.md, the night): times by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "simulate.h"

/* 150 m, a box to 30 m: five full loads, which take 45, 60, 76, 92 and 108 s. */
static const double length_m = 150.0, run_m = 30.0;

static pc_crew_entry *add_worker(pc_scenario *s, size_t strip, const char *area) {
  pc_crew_entry *entry = night_add_crew(s, "loader", "box", night_strip_end(s, strip));
  if (area)
    night_add_name(&entry->areas, area);
  return entry;
}

static void give_breaks(pc_crew_entry *entry, double every_s, double for_s) {
  entry->break_every_s = every_s;
  entry->break_for_s = for_s;
}

/* An area opens after an hour; the work ends some 381 s later. */
static void until_an_area_opens(void **state) {
  (void)state;
  static const struct {
    double every_s, for_s;
    double told_s, longer_s; /* in breaks; than without */
  } cases[] = {
      {1200, 300, 600, 0},   /* 1200 … 1500, 2700 … 3000, then due at 4200: never */
      {1000, 60, 180, 0},    /* 1000, 2060 and 3120, then due at 4180 */
      {3300, 300, 300, 0},   /* is at its end when the area opens */
      {3500, 300, 300, 200}, /* only the rest */
      {3600, 300, 300, 300}, /* due when the area opens: all of it */
      {3590, 3600, 3600, 3590}, {3700, 300, 300, 300}, /* from work: after the second load, at 3705 s */
      {1700, 300, 600, 300},                           /* 1700 … 2000; due again at 3700 */
      {3500, 150, 150, 50},                            /* and then not before 7150 */
      {1e-3, 1e-3, 1800, -1}, /* who rests half of the time does so for half of the wait; the rest is not told
                               */
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    s.site.areas[0].opens_s = 3600.0;
    give_breaks(add_worker(&s, 0, NULL), cases[i].every_s, cases[i].for_s);
    double work = night_strip_s(&s, length_m, run_m), told = cases[i].told_s, longer = cases[i].longer_s;
    night_run run = {0};
    night_simulate(&run, &s);
    if (longer >= 0) {
      assert_near("total", run.result.total_time_s, 3600.0 + work + longer, 1e-12);
      assert_near("breaks", run.result.machines[0].break_s, told, 1e-12);
      assert_near("idle", run.result.machines[0].time_s[PC_PHASE_IDLE], 3600.0 + longer, 1e-12);
    } else {
      assert_true(fabs(run.result.machines[0].break_s - told) < 1.0);
    }
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The same by the clock where hours are of 50 minutes. */
static void by_the_clock(void **state) {
  (void)state;
  for (int rest = 0; rest < 2; rest++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    s.work_minutes_per_hour = 50.0;
    s.site.areas[0].opens_s = 3600.0;
    give_breaks(add_worker(&s, 0, NULL), rest ? 3500.0 : 1200.0, 300.0);
    night_run run = {0};
    night_simulate(&run, &s);
    double work = night_strip_s(&s, length_m, run_m) * 60.0 / 50.0;
    assert_near("total", run.result.total_time_s, 3600.0 + work + 200.0 * rest, 1e-12);
    assert_near("breaks", run.result.machines[0].break_s, rest ? 300.0 : 600.0, 1e-12);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The snow never gets as deep as the trigger, so that work begins when the storm is over, after two hours. */
static void until_the_trigger(void **state) {
  (void)state;
  double total[3];
  static const double every_s[] = {INFINITY, 2000.0, 7000.0};
  for (size_t i = 0; i < 3; i++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    s.snow.trigger_m = 5.0;
    night_add_storm(&s, 0.0, 0.01 / 3600.0);
    night_add_storm(&s, 7200.0, 0.0);
    pc_crew_entry *worker = add_worker(&s, 0, NULL);
    if (i > 0)
      give_breaks(worker, every_s[i], 300.0);
    night_run run = {0};
    night_simulate(&run, &s);
    total[i] = run.result.total_time_s;
    /* 2000, 4300 and 6600 … 6900, then due at 8900; 7000 … 7300 */
    assert_near("breaks", run.result.machines[0].break_s, i == 0 ? 0.0 : i == 1 ? 900.0 : 300.0, 1e-12);
    night_free(&run);
    pc_scenario_free(&s);
  }
  assert_true(total[0] > 7200.0 && total[0] < 8900.0);
  assert_near("all of them while it waits", total[1], total[0], 1e-12);
  assert_near("the rest", total[2], total[0] + 100.0, 1e-12);
}

/* The first strip waits for the second, whose machine comes late and ends bites and dumps meanwhile, at each
 * of which the first one asks whether it may begin. */
static void until_others_are_done(void **state) {
  (void)state;
  for (int rest = 0; rest < 2; rest++) {
    pc_scenario s = night_strips(2, length_m, run_m);
    night_add_name(&s.site.areas[0].after, "b");
    give_breaks(add_worker(&s, 0, "a"), rest ? 1250.0 : 1100.0, 100.0);
    add_worker(&s, 1, "b")->from_s = 1000.0;
    double work = night_strip_s(&s, length_m, run_m);
    double opened = 1000.0 + work - night_last_carry_s(&s, length_m);
    assert_true(opened > 1250.0 && opened < 1350.0);
    night_run run = {0};
    night_simulate(&run, &s);
    assert_near("total", run.result.total_time_s, (rest ? 1350.0 : opened) + work, 1e-12);
    assert_near("breaks", run.result.machines[0].break_s, 100.0, 1e-12);
    assert_true(run.result.machines[1].break_s == 0.0);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Who has done his own and waits while another works rests at nobody's cost: one break after the other, or
 * one that would be longer than the night, of which nothing is told then. */
static void until_the_end(void **state) {
  (void)state;
  for (int endless = 0; endless < 2; endless++) {
    pc_scenario s = night_strips(2, length_m, run_m);
    give_breaks(add_worker(&s, 0, "a"), 500.0, endless ? 10000.0 : 100.0);
    add_worker(&s, 1, "b")->from_s = 1000.0;
    double work = night_strip_s(&s, length_m, run_m);
    assert_true(work < 500.0);
    night_run run = {0};
    night_simulate(&run, &s);
    assert_near("total", run.result.total_time_s, 1000.0 + work, 1e-12);
    assert_near("breaks", run.result.machines[0].break_s, endless ? 0.0 : 200.0, 1e-12); /* 500, 1100 */
    assert_near("idle", run.result.machines[0].time_s[PC_PHASE_IDLE], 1000.0, 1e-12);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* It snows for two hours more, so thinly that there is nothing to do: who rests when that ends need not come
 * back, but the night was as long as the storm, or as the shift. */
static void until_the_storm_ends(void **state) {
  (void)state;
  static const double shift_s[] = {INFINITY, 8000.0, 7000.0};
  for (size_t i = 0; i < 3; i++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    s.snow.trigger_m = 0.5 * s.snow.depth_m;
    night_add_storm(&s, 0.0, 1e-12 / 3600.0);
    night_add_storm(&s, 7200.0, 0.0);
    pc_crew_entry *worker = add_worker(&s, 0, NULL);
    give_breaks(worker, 6900.0, 1800.0);
    if (isfinite(shift_s[i]))
      worker->until_s = shift_s[i];
    night_run run = {0};
    night_simulate(&run, &s);
    double ends_s = fmin(7200.0, shift_s[i]);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_near("total", run.result.total_time_s, ends_s, 1e-12);
    assert_near("idle", run.result.machines[0].time_s[PC_PHASE_IDLE],
                ends_s - night_strip_s(&s, length_m, run_m), 1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Its shift ends while it waits: it does not stay for the rest of a break. */
static void until_the_shift_ends(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  s.site.areas[0].opens_s = 1300.0;
  pc_crew_entry *worker = add_worker(&s, 0, NULL);
  give_breaks(worker, 1200.0, 300.0);
  worker->until_s = 1250.0;
  night_run run = {0};
  night_simulate(&run, &s);
  assert_int_equal(run.result.reason, PC_REASON_STOPPED);
  assert_near("total", run.result.total_time_s, 1300.0, 1e-12);
  assert_true(run.result.machines[0].break_s == 0.0);
  night_free(&run);
  pc_scenario_free(&s);
}

/* One rests in its wait while what it waited for is there for another, who takes it: it is clear before the
 * break is over. */
static void another_does_it_meanwhile(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  s.site.areas[0].opens_s = 3600.0;
  give_breaks(add_worker(&s, 0, NULL), 3500.0, 2000.0);
  add_worker(&s, 0, NULL);
  double work = night_strip_s(&s, length_m, run_m);
  night_run run = {0};
  night_simulate(&run, &s);
  assert_near("total", run.result.total_time_s, 3600.0 + work, 1e-12);
  assert_int_equal(run.result.machines[0].cycles, 0);
  assert_int_equal(run.result.machines[1].cycles, 5);
  night_free(&run);
  pc_scenario_free(&s);
}

/* From work, too: the first of two is done with its strip and due for half an hour, the other comes 200 s
 * later and has its strip to do. Both strips take as long, so all is clear and piled 200 s after the first is
 * done. */
static void from_work_to_the_end(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  double work = night_strip_s(&s, length_m, run_m);
  give_breaks(add_worker(&s, 0, "a"), work - 10.0, 1800.0);
  add_worker(&s, 1, "b")->from_s = 200.0;
  night_run run = {0};
  night_simulate(&run, &s);
  assert_near("total", run.result.total_time_s, 200.0 + work, 1e-12);
  assert_near("breaks", run.result.machines[0].break_s, 200.0, 1e-9);
  assert_near("idle", run.result.machines[0].time_s[PC_PHASE_IDLE], 200.0, 1e-9);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  night_free(&run);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(until_an_area_opens),
      cmocka_unit_test(by_the_clock),
      cmocka_unit_test(until_the_trigger),
      cmocka_unit_test(until_others_are_done),
      cmocka_unit_test(until_the_end),
      cmocka_unit_test(from_work_to_the_end),
      cmocka_unit_test(until_the_storm_ends),
      cmocka_unit_test(until_the_shift_ends),
      cmocka_unit_test(another_does_it_meanwhile),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
