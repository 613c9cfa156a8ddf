// SPDX-License-Identifier: GPL-3.0-or-later
/* When areas open and who works them, shifts, breaks, refuelling, breakdowns, numbers of machines: times by
 * hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "simulate.h"

/* 150 m, a box to 30 m: five full loads. */
static const double length_m = 150.0, run_m = 30.0;

static pc_crew_entry *add_worker(pc_scenario *s, size_t strip, const char *loader, const char *area) {
  pc_crew_entry *entry = night_add_crew(s, loader, "box", night_strip_end(s, strip));
  if (area)
    night_add_name(&entry->areas, area);
  return entry;
}

/* First and last moment of a phase that sweeps an area. */
static double first_fill_s(const night_run *run, int area) {
  double first = INFINITY;
  for (size_t i = 0; i < run->row_count; i++)
    if (run->rows[i].phase == PC_PHASE_FILL && night_area(run, &run->rows[i]) == area)
      first = fmin(first, run->rows[i].start_s);
  return first;
}

static double last_fill_s(const night_run *run, int area) {
  double last = -INFINITY;
  for (size_t i = 0; i < run->row_count; i++)
    if (run->rows[i].phase == PC_PHASE_FILL && night_area(run, &run->rows[i]) == area)
      last = fmax(last, run->rows[i].end_s);
  return last;
}

/* ---- areas ---- */

static void opens_at_a_time(void **state) {
  (void)state;
  static const double opens[] = {0.0, 60.0, 3600.0, 7201.5};
  for (size_t i = 0; i < sizeof opens / sizeof opens[0]; i++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    s.site.areas[0].opens_s = opens[i];
    s.site.areas[0].clear_by_s = opens[i] + 100.0;
    add_worker(&s, 0, "loader", NULL);
    night_run run = {0};
    night_simulate(&run, &s);
    double work = night_strip_s(&s, length_m, run_m);
    assert_near("total", run.result.total_time_s, opens[i] + work, 1e-12);
    assert_near("idle", run.result.machines[0].time_s[PC_PHASE_IDLE], opens[i], 1e-12);
    assert_near("first fill", first_fill_s(&run, 0), opens[i] + 6.0 + 2.0, 1e-12); /* turn, lower */
    assert_near("done", run.result.areas[0].done_s, opens[i] + work - night_last_carry_s(&s, length_m),
                1e-12);
    assert_true(run.result.areas[0].late);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* With a 50-minute hour (as handbooks of estimating take it: Nunnally, from memory) work takes 60/50 as long;
 * what goes by the clock comes when the clock says so. */
static void hours_of_work_do_not_move_the_clock(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  s.work_minutes_per_hour = 50.0;
  s.site.areas[0].opens_s = 3600.0;
  add_worker(&s, 0, "loader", "a");
  add_worker(&s, 1, "loader", "b")->from_s = 1800.0;
  night_run run = {0};
  night_simulate(&run, &s);
  double work = night_strip_s(&s, length_m, run_m) * 60.0 / 50.0;
  double carry = night_last_carry_s(&s, length_m) * 60.0 / 50.0;
  assert_near("a done", run.result.areas[0].done_s, 3600.0 + work - carry, 1e-12);
  assert_near("b done", run.result.areas[1].done_s, 1800.0 + work - carry, 1e-12);
  assert_near("total", run.result.total_time_s, 3600.0 + work, 1e-12);
  night_free(&run);
  pc_scenario_free(&s);
}

/* A break of 108 s every 120 s by the clock, in a 50-minute hour: 90 s every 100 s of time at work, which is
 * two breaks (counted by hand in `breaks`). */
static void breaks_by_the_clock(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  s.work_minutes_per_hour = 50.0;
  pc_crew_entry *worker = add_worker(&s, 0, "loader", NULL);
  worker->break_every_s = 120.0;
  worker->break_for_s = 108.0;
  night_run run = {0};
  night_simulate(&run, &s);
  assert_near("breaks", run.result.machines[0].break_s, 2.0 * 108.0, 1e-12);
  assert_near("total", run.result.total_time_s,
              2.0 * 108.0 + night_strip_s(&s, length_m, run_m) * 60.0 / 50.0, 1e-12);
  night_free(&run);
  pc_scenario_free(&s);
}

/* Snow falls for two hours by the clock, whatever the hour of work: all of it, and no run ends before. */
static void storm_by_the_clock(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  s.work_minutes_per_hour = 50.0;
  night_add_storm(&s, 0.0, 0.01 / 3600.0);
  night_add_storm(&s, 7200.0, 0.0);
  add_worker(&s, 0, "loader", NULL);
  night_run run = {0};
  night_simulate(&run, &s);
  double kg = 0.02 * run.lot->fresh_density_kgpm3 * length_m * 4.5;
  assert_near("fallen", run.result.fallen_kg, kg, 1e-9);
  assert_true(run.result.total_time_s >= 7200.0 && run.result.total_time_s < 7200.0 + 1200.0);
  night_free(&run);
  pc_scenario_free(&s);
}

/* The first strip of the grid waits for the second one. */
static void after_another(void **state) {
  (void)state;
  for (int machines = 1; machines <= 2; machines++) {
    pc_scenario s = night_strips(2, length_m, run_m);
    night_add_name(&s.site.areas[0].after, "b");
    add_worker(&s, 1, "loader", machines == 2 ? "b" : NULL);
    if (machines == 2)
      add_worker(&s, 0, "loader", "a");
    night_run run = {0};
    night_simulate(&run, &s);
    double work = night_strip_s(&s, length_m, run_m), carry = night_last_carry_s(&s, length_m);
    double opened = work - carry; /* when the last box of b is full */
    assert_near("b done", run.result.areas[1].done_s, opened, 1e-12);
    assert_near("b's last fill", last_fill_s(&run, 1), opened, 1e-12);
    assert_true(first_fill_s(&run, 0) > opened);
    /* one machine: the two zones are 4.5 m apart, and it turns twice by 90° instead of once by 180° */
    double expected = machines == 2 ? opened + work : work + 4.5 / 4.5 + work;
    assert_near("total", run.result.total_time_s, expected, 1e-12);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The last bite's snow is off the ground when the bite begins, but its area is done only when the bite ends,
 * whatever is finished elsewhere in between. */
static void others_end_bites_meanwhile(void **state) {
  (void)state;
  for (double from = 0.0; from < 130.0; from += 7.0) {
    pc_scenario s = night_strips(3, length_m, run_m);
    night_add_name(&s.site.areas[0].after, "b");
    add_worker(&s, 0, "loader", "a");
    add_worker(&s, 1, "loader", "b");
    add_worker(&s, 2, "loader", "c")->from_s = from;
    night_run run = {0};
    night_simulate(&run, &s);
    double work = night_strip_s(&s, length_m, run_m), carry = night_last_carry_s(&s, length_m);
    assert_near("b done", run.result.areas[1].done_s, work - carry, 1e-12);
    assert_near("total", run.result.total_time_s, work - carry + work, 1e-12);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

static void chain_of_three(void **state) {
  (void)state;
  pc_scenario s = night_strips(3, length_m, run_m);
  night_add_name(&s.site.areas[0].after, "c");
  night_add_name(&s.site.areas[1].after, "a");
  add_worker(&s, 0, "loader", "a");
  add_worker(&s, 1, "loader", "b");
  add_worker(&s, 2, "loader", "c");
  night_run run = {0};
  night_simulate(&run, &s);
  double work = night_strip_s(&s, length_m, run_m), fills = work - night_last_carry_s(&s, length_m);
  assert_near("c", run.result.areas[2].done_s, fills, 1e-12);
  assert_near("a", run.result.areas[0].done_s, 2 * fills, 1e-12);
  assert_near("b", run.result.areas[1].done_s, 3 * fills, 1e-12);
  assert_near("total", run.result.total_time_s, 2 * fills + work, 1e-12);
  night_free(&run);
  pc_scenario_free(&s);
}

/* An area with nothing to do is done as soon as it opens, whether at the start or in the middle of a chain.
 * The machine is too wide for it: what lies there is for a smaller one. */
static void nothing_to_do_in_one(void **state) {
  (void)state;
  for (int where = 0; where < 2; where++) {
    pc_scenario s = night_strips(2, length_m, run_m);
    pc_area *nook = night_add_area(&s, "nook", 20.0, 9.0, 40.0, 13.5);
    night_add_building(&s, 20.5, 10.0, 39.5, 13.0);
    if (where == 1)
      night_add_name(&nook->after, "a");
    night_add_name(&s.site.areas[1].after, "nook");
    add_worker(&s, 0, "loader", NULL);
    night_run run = {0};
    night_simulate(&run, &s);
    assert_true(run.result.small_m2 > 20.0);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_near("placed", run.result.placed_kg, 2 * 5 * 1350.0, 1e-9);
    assert_true(first_fill_s(&run, 1) > (where == 1 ? last_fill_s(&run, 0) : 0.0));
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Nor does it hold up others while snow falls: it will never be white where anybody gets to. */
static void nothing_to_do_in_a_storm(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  night_add_area(&s, "nook", 20.0, 9.0, 40.0, 13.5);
  night_add_building(&s, 20.5, 10.0, 39.5, 13.0);
  night_add_name(&s.site.areas[1].after, "nook");
  s.snow.done_below_m = 0.005;
  s.snow.trigger_m = 0.05;
  night_add_storm(&s, 0.0, 0.01 / 3600.0);
  night_add_storm(&s, 7200.0, 0.0);
  add_worker(&s, 0, "loader", "a");
  add_worker(&s, 1, "loader", "b");
  night_run run = {0};
  night_simulate(&run, &s);
  assert_near("first fill", first_fill_s(&run, 1), 6.0 + 2.0, 1e-12);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  night_free(&run);
  pc_scenario_free(&s);
}

static void who_works_where(void **state) {
  (void)state;
  pc_scenario s = night_strips(3, length_m, run_m);
  night_add_loader(&s, "other");
  night_add_loader(&s, "third");
  night_add_name(&s.site.areas[0].loaders, "other");
  night_add_name(&s.site.areas[1].loaders, "loader");
  night_add_name(&s.site.areas[2].loaders, "third"); /* nobody of the crew */
  add_worker(&s, 0, "loader", NULL);
  add_worker(&s, 1, "other", NULL);
  night_run run = {0};
  night_simulate(&run, &s);
  for (size_t i = 0; i < run.row_count; i++)
    if (run.rows[i].phase == PC_PHASE_FILL)
      assert_int_equal(night_area(&run, &run.rows[i]), run.rows[i].machine == 0 ? 1 : 0);
  assert_int_equal(run.result.reason, PC_REASON_STOPPED);
  assert_false(run.result.finished);
  assert_string_equal(pc_reason_name(run.result.reason), "stopped with work left");
  assert_near("left", run.result.left_kg, 5 * 1350.0, 1e-9);
  assert_true(isnan(run.result.areas[2].done_s));
  assert_true(isfinite(run.result.areas[0].done_s) && isfinite(run.result.areas[1].done_s));
  night_free(&run);
  pc_scenario_free(&s);
}

/* ---- shifts ---- */

/* A shift ends after the load under way: by hand, the first load whose dump ends at or after `until`. */
static void leaves_with_an_empty_box(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  pc_crew_entry *entry = add_worker(&s, 0, "loader", NULL);
  for (int last = 1; last <= 4; last++) {
    double before = 0.0, at;
    for (int i = 1; i < last; i++)
      before += night_load_s(&s, length_m, run_m, i);
    at = before + night_load_s(&s, length_m, run_m, last);
    const double untils[] = {before + 0.5, at - 20.0, at - 1e-6};
    for (size_t u = 0; u < 3; u++) {
      entry->until_s = untils[u];
      night_run run = {0};
      night_simulate(&run, &s);
      assert_int_equal(run.result.cycles, last);
      assert_near("total", run.result.total_time_s, at, 1e-12);
      assert_near("left", run.result.left_kg, (5 - last) * 1350.0, 1e-9);
      assert_true(run.world->machines[0].load_kg == 0.0);
      assert_int_equal(run.result.reason, PC_REASON_STOPPED);
      night_free(&run);
    }
  }
  pc_scenario_free(&s);
}

/* Part loads too are taken to a zone before leaving. */
static void leaves_in_the_middle(void **state) {
  (void)state;
  for (int i = 0; i < 40; i++) {
    pc_scenario s = night_strips(1, 60, 25);
    for (int more = 0; more < 3; more++) {
      const char name[] = {(char)('b' + more), '\0'};
      night_add_area(&s, name, 0, 4.5 + 13.5 * more, 60, 18.0 + 13.5 * more);
    }
    s.policy = pc_name_of(i % 2 ? "keep-pushing" : "straight-runs");
    for (int m = 0; m < 3; m++)
      add_worker(&s, 0, "loader", NULL)->until_s = 40.0 + 37.0 * i + 11.0 * m;
    night_run run = {0};
    night_simulate(&run, &s);
    for (size_t m = 0; m < 3; m++) {
      assert_true(run.world->machines[m].load_kg == 0.0);
      double start = 0.0; /* nothing begins after the end of the shift but taking a load to its zone */
      for (size_t r = 0; r < run.row_count; r++)
        if (run.rows[r].machine == m && run.rows[r].phase == PC_PHASE_LOWER)
          start = fmax(start, run.rows[r].start_s);
      assert_true(start <= 40.0 + 37.0 * i + 11.0 * (double)m + 60.0);
    }
    assert_near("mass", run.result.placed_kg + run.result.left_kg, run.result.start_kg, 1e-9);
    assert_int_equal(run.result.reason == PC_REASON_DONE, run.result.left_kg < 1.0);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* One has a lane to itself, takes a long break after its first load, and leaves at the end of it. The other
 * has waited, and does the other four. */
static void leaves_its_lane_to_another(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  pc_crew_entry *entry = add_worker(&s, 0, "loader", NULL);
  entry->until_s = 300.0;
  entry->break_every_s = 40.0;
  entry->break_for_s = 500.0;
  add_worker(&s, 0, "loader", NULL);
  night_run run = {0};
  night_simulate(&run, &s);
  assert_int_equal(run.result.machines[0].cycles, 1);
  assert_int_equal(run.result.machines[1].cycles, 4);
  assert_near("total", run.result.total_time_s, 500.0 + night_strip_s(&s, length_m, run_m), 1e-12);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  night_free(&run);
  pc_scenario_free(&s);
}

static void comes_later(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  add_worker(&s, 0, "loader", "a");
  add_worker(&s, 1, "loader", "b")->from_s = 250.0;
  night_run run = {0};
  night_simulate(&run, &s);
  assert_near("total", run.result.total_time_s, 250.0 + night_strip_s(&s, length_m, run_m), 1e-12);
  assert_near("first fill", first_fill_s(&run, 1), 250.0 + 6.0 + 2.0, 1e-12);
  assert_near("idle", run.result.machines[1].time_s[PC_PHASE_IDLE], 250.0, 1e-12);
  night_free(&run);
  pc_scenario_free(&s);
}

/* ---- standing still ---- */

/* Breaks fall between loads: one is taken before load i if the time is up then. After the last load there is
 * none. */
static void breaks(void **state) {
  (void)state;
  static const double every[] = {44.0, 50.0, 100.0, 200.0, 300.0, 1e4};
  static const int taken[] = {4, 3, 2, 1, 0, 0};
  for (size_t e = 0; e < sizeof every / sizeof every[0]; e++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    pc_crew_entry *entry = add_worker(&s, 0, "loader", NULL);
    entry->break_every_s = every[e];
    entry->break_for_s = 90.0;
    double time = 0.0, next = every[e];
    int count = 0;
    for (int i = 1; i <= 5; i++) {
      if (time >= next) {
        time += 90.0;
        next = time + every[e];
        count++;
      }
      time += night_load_s(&s, length_m, run_m, i);
    }
    assert_int_equal(count, taken[e]); /* loads take 45, 60, 76, 92 and 108 s: counted by hand */
    night_run run = {0};
    night_simulate(&run, &s);
    assert_near("total", run.result.total_time_s, night_strip_s(&s, length_m, run_m) + 90.0 * taken[e],
                1e-12);
    assert_near("break", run.result.machines[0].break_s, 90.0 * taken[e], 1e-12);
    assert_int_equal(night_count(&run, 0, PC_PHASE_IDLE), taken[e]);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Burnt while working: 0.59 × power × hours × litres per kWh (load factor of loaders: EPA NONROAD, NR-005 and
 * NR-009d), so 0.59 · 125 kW · 0.25 l/kWh = 18.4375 l/h; standing 4 l/h. */
static void refuelling(void **state) {
  (void)state;
  for (int kind = 0; kind < 4; kind++)
    for (double tank = 1.0; tank < 8.0; tank += 1.5) {
      bool away = kind % 2;
      double minutes = kind < 2 ? 60.0 : 40.0,
             pauses = 60.0 / minutes - 1.0; /* it idles in the pauses, too */
      pc_scenario s = night_strips(1, 600.0, run_m);
      s.work_minutes_per_hour = minutes;
      pc_loader *l = &s.loaders[0];
      l->power_w = 125e3, l->mass_kg = 14e3, l->traction = 0.6; /* far above what the snow needs */
      l->fuel_per_kwh_l = 0.25, l->fuel_idle_lph = 4.0;
      l->tank_l = tank, l->refuel_lps = 0.05;
      s.has_fuel_point = true;
      s.fuel_point = (pc_point){away ? 570.0 : 600.0, 2.25};
      add_worker(&s, 0, "loader", NULL);
      double time = 0.0, working = 0.0, standing = 0.0, mark = 0.0, refuel = 0.0;
      int count = 0;
      bool at_point = false;
      for (int i = 1; i <= 20; i++) {
        double used = working / 3600.0 * 18.4375 + (standing + pauses * time) / 3600.0 * 4.0 - mark;
        at_point = used >= 0.9 * tank;
        if (at_point) { /* 30 m in reverse, at 5/8 of the return speed, facing the pile */
          double drive = away ? 30.0 / (0.625 * 4.5) : 0.0;
          working += drive, standing += used / 0.05, time += drive + used / 0.05,
              refuel += drive + used / 0.05;
          mark += used;
          count++;
        }
        double load = night_load_s(&s, 600.0, run_m, i); /* from the fuel point the way out is 30 m less … */
        if (at_point && away)
          load += i == 1 ? 0.0 : -30.0 / 4.5;
        working += load, time += load;
      }
      night_run run = {0};
      night_simulate(&run, &s);
      assert_near("refuel time", run.result.machines[0].refuel_s, refuel, 1e-9);
      assert_near("total", run.result.total_time_s, time * 60.0 / minutes, 1e-9);
      assert_int_equal(night_count(&run, 0, PC_PHASE_IDLE), count);
      assert_near("fuel", run.result.machines[0].fuel_l,
                  working / 3600.0 * 18.4375 + (standing + pauses * time) / 3600.0 * 4.0, 1e-9);
      assert_true(tank > 7.0 || count >= 2);
      night_free(&run);
      pc_scenario_free(&s);
    }
}

/* A machine burns nothing before it comes and after it leaves: whenever it works one strip it is the same;
 * one that comes after the end burns nothing at all, nor does it go to refuel as it comes. */
static void fuel_of_who_is_absent(void **state) {
  (void)state;
  double burnt = NAN;
  for (int kind = 0; kind < 5; kind++) {
    pc_scenario s = night_strips(2, 600.0, run_m);
    pc_loader *l = &s.loaders[0];
    l->power_w = 125e3, l->mass_kg = 14e3, l->traction = 0.6;
    l->fuel_per_kwh_l = 0.25, l->fuel_idle_lph = 4.0;
    s.work_minutes_per_hour = kind == 3 ? 50.0 : 60.0;
    add_worker(&s, 0, "loader", NULL);
    add_worker(&s, 1, "loader", NULL);
    night_add_name(&s.crew[0].areas, "a");
    night_add_name(&s.crew[1].areas, "b");
    double from_s = kind == 1 ? 3600.0 : kind == 4 ? 36000.0 : 0.0;
    s.crew[1].from_s = from_s;
    s.crew[0].until_s = kind == 2 ? 20.0 : NAN; /* leaves after its first load, the other works on */
    if (kind == 4)
      l->tank_l = 40.0, l->refuel_lps = 0.05, s.has_fuel_point = true, s.fuel_point = (pc_point){600.0, 2.25};
    night_run run = {0};
    night_simulate(&run, &s);
    const pc_machine_result *late = &run.result.machines[1], *early = &run.result.machines[0];
    burnt = kind == 0 ? late->fuel_l : burnt;
    assert_near("absent", 1.0 + late->absent_s, 1.0 + from_s, 1e-12);
    assert_int_equal(late->refuel_s > 0.0, false);
    if (kind != 3)
      assert_near("fuel", late->fuel_l, burnt, 1e-9);
    else /* pauses are idled through: ten minutes of each hour */
      assert_near("pauses", late->fuel_l, burnt + run.result.total_time_s / 6.0 / 3600.0 * 4.0, 1e-9);
    if (kind == 2) {
      double here = run.result.total_time_s - early->absent_s;
      assert_true(here >= 20.0 && here < 0.2 * run.result.total_time_s);
      assert_near("leaver", early->fuel_l, here / 3600.0 * 18.4375, 1e-9);
    }
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Without luck a night is the one without chance and breakdowns, under any seed. */
static void without_luck(void **state) {
  (void)state;
  double times[3];
  for (int kind = 0; kind < 3; kind++) {
    pc_scenario s = night_strips(1, length_m, run_m);
    if (kind > 0) {
      s.loaders[0].breakdown_mean_s = 150.0;
      s.loaders[0].repair_mean_s = 400.0;
      s.chance.fill = s.chance.carry = 0.3;
    }
    add_worker(&s, 0, "loader", NULL);
    pc_choice choice = pc_choice_default();
    choice.without_luck = kind > 0;
    night_run run = {0};
    night_make(&run, &s, &choice);
    night_go(&run, (uint64_t)kind + 1, 0);
    times[kind] = run.result.total_time_s;
    night_free(&run);
    pc_scenario_free(&s);
  }
  assert_true(times[1] == times[0] && times[2] == times[0]);
}

/* Exponential running times: breakdowns in W hours of work are Poisson with mean W / (mean between), of
 * variance the same; repairs have their own mean and the standard deviation of it (renewal theory, any
 * textbook). Those in the last load are not seen, as the work is over then. */
static void breakdowns(void **state) {
  (void)state;
  enum { REPLICATIONS = 200 };
  pc_scenario s = night_strips(1, length_m, run_m);
  s.loaders[0].breakdown_mean_s = 150.0;
  s.loaders[0].repair_mean_s = 400.0;
  add_worker(&s, 0, "loader", NULL);
  double work = night_strip_s(&s, length_m, run_m), last = night_load_s(&s, length_m, run_m, 5);
  double repair = 0.0, count = 0.0;
  night_run run = {0};
  night_make(&run, &s, NULL);
  for (uint64_t r = 0; r < REPLICATIONS; r++) {
    night_go(&run, 7, r);
    size_t here = night_count(&run, 0, PC_PHASE_IDLE);
    count += (double)here;
    repair += run.result.machines[0].repair_s;
    assert_near("total", run.result.total_time_s, work + run.result.machines[0].repair_s, 1e-12);
  }
  double expected = REPLICATIONS * (work - last) / 150.0;
  print_message("breakdowns: %.0f, expected %.1f ± %.1f; mean repair %.1f s, expected 400 ± %.1f\n", count,
                expected, sqrt(expected), repair / count, 400.0 / sqrt(count));
  assert_true(fabs(count - expected) <= 4.0 * sqrt(expected));
  assert_true(fabs(repair / count - 400.0) <= 4.0 * 400.0 / sqrt(count));
  night_free(&run);
  pc_scenario_free(&s);
}

/* What falls due in the last load or later does not lengthen the night: the lot is clear. */
static void no_stops_after_the_work(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, length_m, run_m);
  double work = night_strip_s(&s, length_m, run_m);
  pc_crew_entry *entry = add_worker(&s, 0, "loader", NULL);
  entry->break_every_s = work - 10.0;
  entry->break_for_s = 1800.0;
  night_run run = {0};
  night_simulate(&run, &s);
  assert_near("total", run.result.total_time_s, work, 1e-12);
  assert_true(run.result.machines[0].break_s == 0.0);
  night_free(&run);
  pc_scenario_free(&s);
}

/* ---- crews ---- */

static void numbers_of_machines(void **state) {
  (void)state;
  static const char *const names[] = {"loader 1", "loader 2", "other 1",  "loader 3",
                                      "loader 4", "other 2",  "loader 5", "loader 6"};
  pc_scenario s = night_strips(1, 60.0, run_m);
  night_add_loader(&s, "other");
  add_worker(&s, 0, "loader", NULL)->count = 2;
  add_worker(&s, 0, "other", NULL);
  for (int n = 0; n <= 8; n++) {
    pc_choice choice = {.depth_m = NAN, .machines = n};
    night_run run = {0};
    night_make(&run, &s, &choice);
    assert_int_equal(run.lot->machine_count, n > 0 ? n : 3);
    for (size_t m = 0; m < run.lot->machine_count; m++)
      assert_string_equal(run.lot->machines[m].name.text, names[m]);
    night_go(&run, 1, 0);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
  }
  pc_choice choice = {.depth_m = NAN, .machines = PC_MACHINES_MAX};
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  assert_int_equal(pc_lot_create(&s, &choice, &lot, &faults), PC_OK);
  pc_lot_free(lot);
  choice.machines++;
  assert_int_equal(pc_lot_create(&s, &choice, &lot, &faults), PC_ERR_LIMIT);
  assert_null(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Two machines on strips of their own take the time of one of them; one with all speeds doubled and all fixed
 * times halved takes half of either strip and the way between them, 4.5 m at twice the return speed. */
static void one_of_double_speed(void **state) {
  (void)state;
  for (int accelerates = 0; accelerates < 2; accelerates++) {
    pc_scenario s = night_strips(2, length_m, run_m), one = night_strips(1, length_m, run_m);
    s.loaders[0].acceleration_mps2 = one.loaders[0].acceleration_mps2 = accelerates ? 0.5 : NAN;
    add_worker(&s, 0, "loader", "a");
    add_worker(&s, 1, "loader", "b");
    add_worker(&one, 0, "loader", NULL);
    pc_result both = simulate(&s, NULL), alone = simulate(&one, NULL);
    assert_near("two machines", both.total_time_s, alone.total_time_s, 1e-12);
    if (!accelerates)
      assert_near("by hand", alone.total_time_s, night_strip_s(&one, length_m, run_m), 1e-12);
    pc_loader *l = &s.loaders[0];
    l->push_speed_mps *= 2, l->carry_speed_mps *= 2, l->return_speed_mps *= 2;
    l->acceleration_mps2 *= 4; /* then legs too short for the top speed take half the time as well */
    l->turn_s /= 2, l->lower_s /= 2, l->dump_s /= 2;
    pc_choice choice = {.depth_m = NAN, .machines = 1};
    pc_names_free(&s.crew[0].areas);
    night_run run = {0};
    night_make(&run, &s, &choice);
    night_go(&run, 1, 0);
    double between = accelerates ? 2.0 * sqrt(4.5 / 2.0) : 4.5 / 9.0;
    assert_near("one machine", run.result.total_time_s, alone.total_time_s + between, 1e-12);
    night_free(&run);
    pc_result_free(&both);
    pc_result_free(&alone);
    pc_scenario_free(&s);
    pc_scenario_free(&one);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(opens_at_a_time),
      cmocka_unit_test(after_another),
      cmocka_unit_test(others_end_bites_meanwhile),
      cmocka_unit_test(chain_of_three),
      cmocka_unit_test(nothing_to_do_in_one),
      cmocka_unit_test(nothing_to_do_in_a_storm),
      cmocka_unit_test(who_works_where),
      cmocka_unit_test(leaves_with_an_empty_box),
      cmocka_unit_test(leaves_in_the_middle),
      cmocka_unit_test(leaves_its_lane_to_another),
      cmocka_unit_test(comes_later),
      cmocka_unit_test(hours_of_work_do_not_move_the_clock),
      cmocka_unit_test(breaks_by_the_clock),
      cmocka_unit_test(storm_by_the_clock),
      cmocka_unit_test(breaks),
      cmocka_unit_test(refuelling),
      cmocka_unit_test(fuel_of_who_is_absent),
      cmocka_unit_test(without_luck),
      cmocka_unit_test(breakdowns),
      cmocka_unit_test(no_stops_after_the_work),
      cmocka_unit_test(numbers_of_machines),
      cmocka_unit_test(one_of_double_speed),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
