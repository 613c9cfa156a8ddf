// SPDX-License-Identifier: GPL-3.0-or-later
/* Boxes that do not fit: two areas with a gate between them. What is to be expected is plain geometry: a box
 * gets through a gate that is wider than it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "read_good.h"
#include "sim/world.h"
#include "simulate.h"
#include "study/compare.h"

/* Two areas of 30 × 20 m, 6 m apart; the zone lies at the end of the first. Boxes of 3, 4 and 5 m. */
static pc_scenario gated(double gate_m, const char *crew) {
  char text[2000];
  snprintf(
      text, sizeof text,
      "pushcycle: 1\nname: gated\nsnow: {depth: 10 cm, fresh_density: 100 kg/m3}\nsite:\n  areas:\n"
      "    - {name: main, outline: [[0,0],[30,0],[30,20],[0,20]], heading: 0 deg}\n"
      "    - {name: annex, outline: [[0,26],[30,26],[30,46],[0,46]], heading: 0 deg}\n"
      "  ground:\n    - {name: gate, outline: [[8,20],[%.17g,20],[%.17g,26],[8,26]]}\n"
      "    - {name: strip, outline: [[30,0],[45,0],[45,20],[30,20]]}\n"
      "boxes:\n  - {name: three, width: 3 m, height: 1.2 m}\n  - {name: four, width: 4 m, height: 1.2 m}\n  "
      "- {name: five, width: 5 m, height: 1.2 m}\n"
      "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 10 km/h, return: 14 km/h}, machine_width: 2 "
      "m}]\n"
      "zones: [{name: end, outline: [[32,2],[43,2],[43,18],[32,18]]}]\n"
      "crew:\n%s",
      8 + gate_m, 8 + gate_m, crew);
  return read_good(text, NULL, 0, 0);
}

/* The caution of a lot of the scenario that has all these words, if there is one. */
static bool is_told(const pc_faults *faults, const char *machine, const char *words) {
  for (size_t i = 0; i < faults->count; i++)
    if (faults->items[i].caution && strstr(faults->items[i].message, machine) &&
        strstr(faults->items[i].message, words))
      return true;
  return false;
}

static void told_where_the_gate_is_too_narrow(void **state) {
  (void)state;
  static const double gates_m[] = {3.5, 4.5, 5.5};
  static const double boxes_m[] = {3, 4, 5};
  static const char *const names[] = {"\"loader 1\" with three", "\"loader 2\" with four",
                                      "\"loader 3\" with five"};
  for (size_t g = 0; g < 3; g++) {
    pc_scenario s = gated(gates_m[g],
                          "  - {loader: loader, box: three, start: [5,5]}\n"
                          "  - {loader: loader, box: four, start: [5,10]}\n"
                          "  - {loader: loader, box: five, start: [5,15]}\n");
    pc_faults faults = {0};
    pc_lot *lot;
    assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
    for (size_t m = 0; m < 3; m++) {
      assert_true(is_told(&faults, names[m], "can't get to area \"annex\"") == (boxes_m[m] > gates_m[g]));
      assert_false(is_told(&faults, names[m], "\"main\""));
      assert_false(is_told(&faults, names[m], "nothing to do"));
    }
    pc_faults_free(&faults);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* What is told is so: the machine does not fetch one load. The other one does. */
static void who_has_nothing_to_do_does_nothing(void **state) {
  (void)state;
  pc_scenario s = gated(3.5,
                        "  - {loader: loader, box: five, start: [5,5], areas: [annex]}\n"
                        "  - {loader: loader, box: three, start: [5,15]}\n");
  pc_faults faults = {0};
  pc_lot *lot;
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  assert_true(is_told(&faults, "\"loader 1\" with five", "so it has nothing to do"));
  assert_int_equal(faults.count, 1);
  assert_string_equal(faults.items[0].key, "crew");
  pc_faults_free(&faults);
  pc_lot_free(lot);
  pc_result result = simulate(&s, NULL);
  assert_int_equal(result.machines[0].cycles, 0);
  assert_true(result.machines[1].cycles > 0);
  pc_result_free(&result);
  pc_scenario_free(&s);
}

/* Machines of one loader and box are told of once, but not together with one that is bound to other areas. */
static void alike_machines_are_told_of_once(void **state) {
  (void)state;
  pc_scenario s = gated(3.5,
                        "  - {loader: loader, box: five, start: [5,5], count: 3}\n"
                        "  - {loader: loader, box: five, start: [5,9], areas: [annex]}\n"
                        "  - {loader: loader, box: five, start: [5,12], areas: [main]}\n"
                        "  - {loader: loader, box: three, start: [5,15]}\n");
  pc_faults faults = {0};
  pc_lot *lot;
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  assert_true(is_told(&faults, "\"loader 1\" (and 2 more like it) with five", "can't get to area \"annex\""));
  assert_true(is_told(&faults, "\"loader 4\" with five", "so it has nothing to do"));
  assert_int_equal(faults.count, 2);
  pc_faults_free(&faults);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* ---- comparisons ---- */

static const char *const one_machine = "  - {loader: loader, box: three, start: [5,5]}\n";

typedef struct progress {
  size_t done, all;
} progress;

static void count_step(void *context, size_t done, size_t all) {
  *(progress *)context = (progress){done, all};
}

static pc_status compare_boxes(const pc_scenario *s, const char *const *boxes, size_t count, int threads,
                               double within_s, pc_comparison *c, pc_faults *faults) {
  pc_name names[4], policies[2] = {pc_name_of("keep-pushing"), pc_name_of("straight-runs")};
  double depths[] = {0.1, 0.15};
  for (size_t i = 0; i < count; i++)
    names[i] = pc_name_of(boxes[i]);
  progress steps = {0};
  const pc_watch watch = {.progress = count_step, .context = &steps};
  const pc_wanted wanted = {.boxes = {names, count}, .policies = {policies, 2}, .depths = {depths, 2}};
  const pc_compare_how how = {.wanted = &wanted,
                              .replications = 10,
                              .seed = 7,
                              .threads = threads,
                              .within_s = within_s,
                              .watch = &watch};
  pc_status status = pc_compare(s, &how, c, faults);
  if (status == PC_OK)
    assert_true(steps.done > 0 && steps.done == steps.all);
  return status;
}

static void assert_same(const pc_comparison *a, const pc_comparison *b) {
  assert_int_equal(a->row_count, b->row_count);
  assert_int_equal(a->asked, b->asked);
  for (size_t i = 0; i < a->row_count; i++) {
    const pc_compare_row *x = &a->rows[i], *y = &b->rows[i];
    assert_string_equal(x->box.text, y->box.text);
    assert_string_equal(x->policy.text, y->policy.text);
    assert_int_equal(x->rank, y->rank);
    assert_int_equal(x->selected, y->selected);
    assert_int_equal(x->tied_with_best, y->tied_with_best);
    assert_int_equal(x->summary.replications, y->summary.replications);
    assert_memory_equal(x->summary.times_s, y->summary.times_s, x->summary.replications * sizeof(double));
    assert_memory_equal(&x->difference_to_best_s, &y->difference_to_best_s, sizeof x->difference_to_best_s);
  }
}

/* Rows that can be made are to the last bit those of a comparison in which the others were not asked for. */
static void what_fits_is_ranked_as_alone(void **state) {
  (void)state;
  static const char *const all[] = {"five", "three", "four"}, *const fitting[] = {"three", "four"};
  pc_scenario s = gated(4.5, one_machine);
  s.chance.carry = 0.3;
  for (int threads = 1; threads <= 2; threads++)
    for (double within_s = 0; within_s <= 30; within_s += 30) {
      pc_comparison c, alone;
      pc_faults faults = {0}, none = {0};
      assert_int_equal(compare_boxes(&s, all, 3, threads, within_s, &c, &faults), PC_OK);
      assert_int_equal(compare_boxes(&s, fitting, 2, threads, within_s, &alone, &none), PC_OK);
      assert_same(&c, &alone);
      assert_int_equal(alone.left_out_count, 0);
      assert_int_equal(none.count, 0);
      assert_int_equal(c.left_out_count, 4); /* two policies, two depths */
      for (size_t i = 0; i < 4; i++) {
        assert_string_equal(c.left_out[i].layout.text, "all zones");
        assert_string_equal(c.left_out[i].box.text, "five");
        assert_string_equal(c.left_out[i].loader.text, "");
        assert_string_equal(c.left_out[i].policy.text, i % 2 ? "straight-runs" : "keep-pushing");
        assert_true(c.left_out[i].depth_m == (i < 2 ? 0.1 : 0.15));
        assert_int_equal(c.left_out[i].why.status, PC_ERR_GEOMETRY);
        assert_non_null(strstr(c.left_out[i].why.message, "area \"annex\""));
      }
      assert_int_equal(faults.count, 1);
      assert_int_equal(pc_faults_fatal(&faults), 0);
      assert_true(
          is_told(&faults, "left out: layout \"all zones\" with five: ", "by \"loader 1\" with five"));
      pc_comparison_free(&c);
      pc_comparison_free(&alone);
      pc_faults_free(&faults);
    }
  pc_scenario_free(&s);
}

static void nothing_that_fits_is_a_fault(void **state) {
  (void)state;
  static const char *const boxes[] = {"four", "five"}, *const unknown[] = {"three", "six"};
  pc_scenario s = gated(3.5, one_machine);
  for (int threads = 1; threads <= 2; threads++)
    for (double within_s = 0; within_s <= 30; within_s += 30) {
      pc_comparison c;
      pc_faults faults = {0};
      assert_int_equal(compare_boxes(&s, boxes, 2, threads, within_s, &c, &faults), PC_ERR_GEOMETRY);
      assert_int_equal(c.row_count + c.left_out_count, 0);
      assert_int_equal(pc_faults_fatal(&faults), 2); /* one for each box */
      assert_non_null(strstr(faults.items[0].message, "with four"));
      assert_non_null(strstr(faults.items[1].message, "with five"));
      pc_faults_free(&faults);
      assert_int_equal(compare_boxes(&s, unknown, 2, threads, within_s, &c, &faults), PC_ERR_NAME);
      assert_int_equal(c.row_count + c.left_out_count, 0);
      assert_true(pc_faults_fatal(&faults) > 0);
      pc_faults_free(&faults);
    }
  pc_scenario_free(&s);
}

typedef struct tour {
  size_t visits, lots;
} tour;

static pc_status visit(void *context, size_t row, const pc_lot *lot) {
  tour *t = context;
  assert_int_equal(row, t->visits++);
  t->lots += lot != NULL;
  return PC_OK;
}

static void a_tour_may_leave_out(void **state) {
  (void)state;
  pc_name names[] = {pc_name_of("three"), pc_name_of("five"), pc_name_of("four")};
  const pc_wanted wanted = {.boxes = {names, 3}};
  pc_scenario s = gated(4.5, one_machine);
  pc_faults faults = {0};
  tour t = {0};
  assert_int_equal(pc_compare_visit_each(&s, &wanted, 0, 3, visit, &t, &faults), PC_OK);
  assert_int_equal(t.visits, 3);
  assert_int_equal(t.lots, 2);
  assert_int_equal(faults.count, 1);
  assert_true(faults.items[0].caution);
  pc_faults_free(&faults);
  t = (tour){0};
  assert_int_equal(pc_compare_visit(&s, &wanted, 0, 3, visit, &t, &faults), PC_ERR_GEOMETRY);
  assert_int_equal(t.visits, 1);
  assert_int_equal(pc_faults_fatal(&faults), 1);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static void left_out_in_words(void **state) {
  (void)state;
  char text[200];
  pc_compare_left_out left_out = {.layout = pc_name_of("north"), .box = pc_name_of("16 ft")};
  pc_compare_left_out_format(&left_out, text, sizeof text);
  assert_string_equal(text, "layout \"north\" with 16 ft");
  left_out.loader = pc_name_of("big");
  left_out.crew = 1;
  pc_compare_left_out_format(&left_out, text, sizeof text);
  assert_string_equal(text, "layout \"north\" with 16 ft on big, 1 machine");
  left_out.box = pc_name_of("");
  left_out.crew = 3;
  pc_compare_left_out_format(&left_out, text, sizeof text);
  assert_string_equal(text, "layout \"north\" with the boxes that the crew has on big, 3 machines");
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(told_where_the_gate_is_too_narrow),
                                     cmocka_unit_test(who_has_nothing_to_do_does_nothing),
                                     cmocka_unit_test(alike_machines_are_told_of_once),
                                     cmocka_unit_test(what_fits_is_ranked_as_alone),
                                     cmocka_unit_test(nothing_that_fits_is_a_fault),
                                     cmocka_unit_test(a_tour_may_leave_out),
                                     cmocka_unit_test(left_out_in_words)};
  return cmocka_run_group_tests_name("fits", tests, NULL, NULL);
}
