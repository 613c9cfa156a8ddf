// SPDX-License-Identifier: GPL-3.0-or-later
/* Who sets the time: when machines are done and in which area, by hand and read off the trace; who is last.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "io/tables_private.h"
#include "night_run.h"
#include "simulate.h"
#include "study/ends.h"

/* 150 m, a box to 30 m: five full loads. */
static const double length_m = 150.0, run_m = 30.0;

static pc_crew_entry *add_worker(pc_scenario *s, size_t strip, const char *area) {
  pc_crew_entry *entry = night_add_crew(s, "loader", "box", night_strip_end(s, strip));
  night_add_name(&entry->areas, area);
  return entry;
}

static pc_summary summary_of(const pc_lot *lot, size_t replications) {
  pc_summary summary;
  assert_int_equal(pc_replicate(lot, replications, 1, 1, NULL, &summary), PC_OK);
  return summary;
}

/* One comes at 1000 s and works one strip, as the other has from the start: by hand it is done 1000 s later,
 * and has been in its area alone since it came. With 50 minutes of work in an hour (Nunnally, from memory)
 * work takes 60/50 as long, and who comes by the clock comes then. */
static void two_strips_by_hand(void **state) {
  (void)state;
  static const double minutes[] = {60.0, 50.0};
  for (size_t i = 0; i < 2; i++) {
    pc_scenario s = night_strips(2, length_m, run_m);
    s.work_minutes_per_hour = minutes[i];
    add_worker(&s, 0, "a");
    add_worker(&s, 1, "b")->from_s = 1000.0;
    double work = night_strip_s(&s, length_m, run_m) * 60.0 / minutes[i];
    night_run run = {0};
    night_simulate(&run, &s);
    const pc_machine_result *machines = run.result.machines;
    assert_near("a done", machines[0].done_s, work, 1e-12);
    assert_near("b done", machines[1].done_s, 1000.0 + work, 1e-12);
    assert_int_equal(machines[0].last_area, 0);
    assert_int_equal(machines[1].last_area, 1);
    assert_true(machines[0].last_area_from_s == 0.0);
    assert_near("b from", machines[1].last_area_from_s, 1000.0, 1e-12);
    pc_summary summary = summary_of(run.lot, 1);
    pc_ends ends = pc_ends_of(run.lot, &summary);
    assert_int_equal(ends.last, 1);
    assert_int_equal(ends.before, 1);
    assert_int_equal(ends.machines[0], PC_END_BEFORE);
    assert_int_equal(ends.machines[1], PC_END_LAST);
    assert_near("before", ends.before_s, work, 1e-12);
    assert_near("last", ends.last_s, 1000.0 + work, 1e-12);
    /* it is there alone from 1000 s on, but the other is done only after that if work takes longer */
    assert_true(work < 1000.0);
    assert_string_equal(ends.area.text, "");
    pc_summary_free(&summary);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The same from 200 s on: before the other is done, so that its area alone keeps it; and nobody else may. */
static void one_area_keeps_it(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  add_worker(&s, 0, "a");
  add_worker(&s, 1, "b")->from_s = 200.0;
  double work = night_strip_s(&s, length_m, run_m);
  assert_true(work > 200.0 && 200.0 > 0.05 * (200.0 + work));
  pc_lot *lot = make_lot(&s);
  pc_summary summary = summary_of(lot, 1);
  pc_ends ends = pc_ends_of(lot, &summary);
  assert_string_equal(ends.area.text, "b");
  assert_near("from", ends.area_from_s, 200.0, 1e-12);
  assert_true(ends.area_bound);
  lot->machines[0].allowed[1] = true;
  ends = pc_ends_of(lot, &summary);
  assert_string_equal(ends.area.text, "b");
  assert_false(ends.area_bound);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* ---- who is last, of ends made by hand ---- */

static void give_ends(pc_summary *summary, const double *done_s, double total_s) {
  for (size_t m = 0; m < summary->mean.machine_count; m++)
    summary->mean.machines[m].done_s = done_s[m];
  summary->total_time_s.mean = total_s;
}

/* 5 % of 1000 s are 50 s. */
static void apart_by_more_than_a_twentieth(void **state) {
  (void)state;
  pc_scenario s = night_strips(3, length_m, run_m);
  add_worker(&s, 0, "a");
  add_worker(&s, 1, "b");
  add_worker(&s, 2, "c");
  pc_lot *lot = make_lot(&s);
  pc_summary summary = summary_of(lot, 1);
  give_ends(&summary, (double[]){950.0, 1000.0, 950.0}, 1000.0);
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  give_ends(&summary, (double[]){949.0, 1000.0, 950.0}, 1000.0);
  pc_ends ends = pc_ends_of(lot, &summary);
  assert_int_equal(ends.last, 2);
  assert_int_equal(ends.before, 1);
  assert_int_equal(ends.machines[0], PC_END_BEFORE);
  assert_true(ends.before_s == 949.0 && ends.last_s == 1000.0);
  give_ends(&summary, (double[]){NAN, 1000.0, 990.0}, 1000.0); /* has no work */
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  give_ends(&summary, (double[]){300.0, 1000.0, 990.0}, 1000.0);
  assert_int_equal(pc_ends_of(lot, &summary).before, 1);
  lot->machines[0].until_s = 900.0; /* has left, and does not wait */
  assert_int_equal(pc_ends_of(lot, &summary).before, 0);
  lot->machines[0].until_s = 1100.0;
  assert_int_equal(pc_ends_of(lot, &summary).before, 1);
  summary.unfinished = 1;
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* Two of three are last. Where both have pushed in one area only, since before the third was done, that area
 * keeps it, from when the later of them came there; by hand from what ends.h says, either side of each bound.
 */
static void the_area_of_all_that_are_last(void **state) {
  (void)state;
  static const struct {
    int area[3]; /* of the last push of each; -1: not the same in all replications */
    double from_s[3];
    bool one_area; /* the lot has no other */
    const char *name;
    double since_s;
    bool bound; /* the third may not work there */
  } cases[] = {{{1, 1, 2}, {100, 200, 900}, false, "b", 200, true},
               {{1, 1, 2}, {300, 100, 900}, false, "b", 300, true}, /* the third is done at 300 s */
               {{1, 1, 2}, {301, 100, 900}, false, "", NAN, false},
               {{1, 1, 2}, {0, NAN, 0}, false, "", NAN, false},
               {{1, 0, 1}, {0, 0, 0}, false, "", NAN, false},
               {{0, 1, 0}, {0, 0, 0}, false, "", NAN, false},
               {{-1, 1, 1}, {0, 0, 0}, false, "", NAN, false},
               {{1, -1, 1}, {0, 0, 0}, false, "", NAN, false},
               {{0, 0, 2}, {0, 0, 0}, false, "a", 0, true},
               {{2, 2, 0}, {0, 0, 0}, false, "c", 0, false},
               {{3, 3, 2}, {0, 0, 0}, false, "", NAN, false}, /* no area of this lot: parts may be damaged */
               {{0, 0, 0}, {0, 0, 0}, true, "", NAN, false}};
  pc_scenario s = night_strips(3, length_m, run_m);
  add_worker(&s, 0, "a");
  add_worker(&s, 1, "b");
  add_worker(&s, 2, "c");
  pc_lot *lot = make_lot(&s);
  pc_summary summary = summary_of(lot, 1);
  lot->machines[2].unit.loader.name = pc_name_of("other"); /* also where the lot has one area */
  give_ends(&summary, (double[]){1000.0, 960.0, 300.0}, 1000.0);
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    for (size_t m = 0; m < 3; m++) {
      summary.mean.machines[m].last_area = cases[i].area[m];
      summary.mean.machines[m].last_area_from_s = cases[i].from_s[m];
    }
    lot->area_count = cases[i].one_area ? 1 : 3;
    pc_ends ends = pc_ends_of(lot, &summary);
    lot->area_count = 3;
    assert_int_equal(ends.last, 2);
    if (strcmp(ends.area.text, cases[i].name) != 0)
      fail_msg("case %zu: \"%s\"", i, ends.area.text);
    assert_true(isnan(cases[i].since_s) ? isnan(ends.area_from_s) : ends.area_from_s == cases[i].since_s);
    assert_int_equal(ends.area_bound, cases[i].bound);
  }
  /* of those that are done before, the first may, the other may not */
  lot->machines[0].allowed[1] = true;
  summary.mean.machines[1].last_area = 1;
  give_ends(&summary, (double[]){300.0, 1000.0, 300.0}, 1000.0);
  assert_string_equal(pc_ends_of(lot, &summary).area.text, "b");
  assert_false(pc_ends_of(lot, &summary).area_bound);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* Who has no work is not among the last; who leaves as they are done does not wait; and what counts as apart
 * is a share of the whole night, which a storm may make longer than the work (5 % of 1200 s are 60 s). */
static void who_is_not_among_them(void **state) {
  (void)state;
  pc_scenario s = night_strips(3, length_m, run_m);
  add_worker(&s, 0, "a");
  add_worker(&s, 1, "b");
  add_worker(&s, 2, "c");
  pc_lot *lot = make_lot(&s);
  pc_summary summary = summary_of(lot, 1);
  give_ends(&summary, (double[]){1000.0, 300.0, NAN}, 1000.0);
  pc_ends ends = pc_ends_of(lot, &summary);
  assert_int_equal(ends.machines[0], PC_END_LAST);
  assert_int_equal(ends.machines[1], PC_END_BEFORE);
  assert_int_equal(ends.machines[2], PC_END_NEITHER);
  assert_true(ends.last == 1 && ends.last_s == 1000.0);
  lot->machine_count = 2; /* a summary of another crew says nothing */
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  lot->machine_count = 3;
  lot->machines[1].until_s = 1000.0;
  assert_int_equal(pc_ends_of(lot, &summary).before, 0);
  lot->machines[1].until_s = NAN;
  give_ends(&summary, (double[]){1000.0, 941.0, 939.0}, 1200.0);
  ends = pc_ends_of(lot, &summary);
  assert_int_equal(ends.machines[1], PC_END_LAST);
  assert_int_equal(ends.machines[2], PC_END_BEFORE);
  /* the latest of those before */
  give_ends(&summary, (double[]){400.0, 1000.0, 300.0}, 1000.0);
  ends = pc_ends_of(lot, &summary);
  assert_true(ends.before == 2 && ends.before_s == 400.0);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static void give_loads(pc_machine_result *machine, int loads, double load_s) {
  for (size_t p = 0; p < PC_PHASE_COUNT; p++)
    machine->time_s[p] = 0.0;
  machine->time_s[PC_PHASE_FILL] = 0.25 * loads * load_s;
  machine->time_s[PC_PHASE_CARRY] = 0.75 * loads * load_s;
  machine->time_s[PC_PHASE_IDLE] = 12345.0; /* is no part of a load */
  machine->cycles = loads;
}

/* Of two that are alike one is done before the other: so the last loads fell. By more than three loads of a
 * hundred seconds it is not that. */
static void those_alike_do_not_count(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  add_worker(&s, 0, "a");
  add_worker(&s, 1, "b");
  add_worker(&s, 1, "b");
  pc_lot *lot = make_lot(&s);
  pc_summary summary = summary_of(lot, 1);
  give_loads(&summary.mean.machines[1], 6, 100.0);
  give_ends(&summary, (double[]){1000.0, 1000.0, 700.0}, 1000.0);
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  give_ends(&summary, (double[]){1000.0, 1000.0, 699.0}, 1000.0);
  assert_int_equal(pc_ends_of(lot, &summary).last, 2);
  assert_int_equal(pc_ends_of(lot, &summary).machines[2], PC_END_BEFORE);
  lot->work_minutes_per_hour = 50.0; /* a load takes 120 s by the clock */
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  give_ends(&summary, (double[]){1000.0, 1000.0, 639.0}, 1000.0);
  assert_int_equal(pc_ends_of(lot, &summary).machines[2], PC_END_BEFORE);
  lot->work_minutes_per_hour = 60.0;
  summary.mean.machines[1].cycles = 0; /* brings nothing to a pile */
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  summary.mean.machines[1].cycles = 6;
  give_ends(&summary, (double[]){600.0, 1000.0, 700.0}, 1000.0);
  pc_ends ends = pc_ends_of(lot, &summary);
  assert_int_equal(ends.before, 1);
  assert_int_equal(ends.machines[2], PC_END_NEITHER);
  lot->machines[2].allowed[0] = true; /* now those two are not alike */
  assert_int_equal(pc_ends_of(lot, &summary).before, 2);
  lot->machines[0].allowed[1] = lot->machines[2].allowed[1] = true; /* now all three are */
  lot->machines[1].allowed[0] = true;
  give_loads(&summary.mean.machines[0], 6, 100.0);
  give_ends(&summary, (double[]){1000.0, 750.0, 700.0}, 1000.0);
  assert_int_equal(pc_ends_of(lot, &summary).last, 0);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* Means over replications in which it worked, and the area only where it is the same in all of them. */
static void means_of_ends(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, length_m, run_m);
  add_worker(&s, 0, "a");
  add_worker(&s, 1, "b");
  pc_lot *lot = make_lot(&s);
  pc_result *results;
  assert_int_equal(pc_results_create(lot, 3, &results), PC_OK);
  size_t done;
  assert_int_equal(pc_replicate_range(lot, 0, 3, 1, 1, NULL, NULL, results, &done), PC_OK);
  static const double ends_s[3][2] = {{100.0, 700.0}, {160.0, NAN}, {NAN, NAN}};
  for (size_t r = 0; r < 3; r++)
    for (size_t m = 0; m < 2; m++) {
      pc_machine_result *machine = &results[r].machines[m];
      machine->done_s = ends_s[r][m];
      machine->last_area_from_s = ends_s[r][m] - 50.0;
      machine->last_area = isnan(ends_s[r][m]) ? -1 : 1;
    }
  pc_summary summary;
  assert_int_equal(pc_summary_make(lot, results, 3, &summary), PC_OK);
  const pc_machine_result *mean = summary.mean.machines;
  assert_true(mean[0].done_s == 130.0 && mean[0].last_area_from_s == 80.0 && mean[0].last_area == 1);
  assert_true(mean[1].done_s == 700.0 && mean[1].last_area == 1);
  pc_summary_free(&summary);
  results[1].machines[0].last_area = 0;
  assert_int_equal(pc_summary_make(lot, results, 3, &summary), PC_OK);
  assert_int_equal(summary.mean.machines[0].last_area, -1);
  assert_true(isnan(summary.mean.machines[0].last_area_from_s));
  pc_summary_free(&summary);
  pc_results_free(results, 3);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* ---- the same as the trace shows ---- */

static bool is_work(const pc_trace_row *row) {
  return row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP || row->phase == PC_PHASE_DUMP;
}

static void hold_against_trace(const night_run *run, int m, size_t *worked) {
  const pc_machine_result *machine = &run->result.machines[m];
  double done_s = NAN;
  for (size_t i = 0; i < run->row_count; i++)
    if (run->rows[i].machine == (size_t)m && is_work(&run->rows[i]))
      done_s = run->rows[i].end_s;
  if (isnan(done_s)) {
    assert_true(isnan(machine->done_s));
    return;
  }
  ++*worked;
  assert_near("done", machine->done_s, pc_lot_clock_s(run->lot, done_s), 1e-12);
  /* before it came there it was elsewhere, after that only there */
  for (size_t i = 0; i < run->row_count; i++) {
    const pc_trace_row *row = &run->rows[i];
    int area = night_area(run, row);
    if (row->machine != (size_t)m || !is_work(row) || row->phase == PC_PHASE_DUMP || area < 0)
      continue;
    if (pc_lot_clock_s(run->lot, row->start_s) >= machine->last_area_from_s)
      assert_int_equal(area, machine->last_area);
  }
}

static void as_the_trace_shows(void **state) {
  (void)state;
  size_t worked = 0;
  for (int opens = 0; opens < 3; opens++) {
    pc_scenario s = night_strips(3, length_m, run_m);
    s.site.areas[2].opens_s = 400.0 * opens;
    night_add_crew(&s, "loader", "box", night_strip_end(&s, 0));
    add_worker(&s, 1, "b");
    add_worker(&s, 1, "b")->from_s = 9000.0; /* there is nothing left */
    night_run run = {0};
    night_simulate(&run, &s);
    for (int m = 0; m < 3; m++)
      hold_against_trace(&run, m, &worked);
    night_free(&run);
    pc_scenario_free(&s);
  }
  assert_int_equal(worked, 6);
}

/* ---- the sentence ---- */

static void the_sentence(void **state) {
  (void)state;
  pc_lot_machine machines[6];
  memset(machines, 0, sizeof machines);
  static const char *const names[] = {"p", "q", "r", "s", "t", "u"};
  pc_machine_result results[6];
  memset(results, 0, sizeof results);
  for (size_t m = 0; m < 6; m++)
    machines[m].name = pc_name_of(names[m]);
  pc_summary summary = {.total_time_s = {.mean = 7200.0}, .mean = {.machines = results, .machine_count = 6}};
  const pc_clock clock = {.given = false};
  pc_ends ends = {.last = 1, .before = 1, .last_s = 7200.0, .before_s = 3600.0, .area_from_s = NAN};
  ends.machines[0] = PC_END_LAST;
  ends.machines[1] = PC_END_BEFORE;
  results[1].done_s = 3600.0;
  pc_text out = {0};
  pc_tables_ends(&ends, machines, &summary, &clock, pc_time_unit_for(7200.0), &out);
  assert_string_equal(out.data, "Who sets the time: p, at work to the end; q is done 1.00 h before it.\n");
  pc_text_free(&out);
  out = (pc_text){0};
  ends.area = pc_name_of("docks");
  ends.area_from_s = 1800.0;
  ends.area_bound = true;
  for (size_t m = 2; m < 6; m++)
    ends.machines[m] = m == 2 ? PC_END_LAST : PC_END_BEFORE;
  ends.last = 2;
  ends.before = 4;
  results[3].done_s = 1800.0;
  results[4].done_s = results[5].done_s = 3000.0;
  pc_tables_ends(&ends, machines, &summary, &clock, pc_time_unit_for(7200.0), &out);
  assert_string_equal(out.data,
                      "Who sets the time: p and r, at work to the end, from 0.50 h on only in area "
                      "\"docks\", where no other machine may work; q is done 1.00 h before it, s "
                      "1.50 h, 2 more at least 1.00 h.\n");
  pc_text_free(&out);
  out = (pc_text){0};
  ends = (pc_ends){0};
  pc_tables_ends(&ends, machines, &summary, &clock, pc_time_unit_for(7200.0), &out);
  assert_null(out.data);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(two_strips_by_hand),
      cmocka_unit_test(one_area_keeps_it),
      cmocka_unit_test(apart_by_more_than_a_twentieth),
      cmocka_unit_test(the_area_of_all_that_are_last),
      cmocka_unit_test(who_is_not_among_them),
      cmocka_unit_test(those_alike_do_not_count),
      cmocka_unit_test(means_of_ends),
      cmocka_unit_test(as_the_trace_shows),
      cmocka_unit_test(the_sentence),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
