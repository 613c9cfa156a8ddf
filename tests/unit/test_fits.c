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

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(told_where_the_gate_is_too_narrow),
                                     cmocka_unit_test(who_has_nothing_to_do_does_nothing),
                                     cmocka_unit_test(alike_machines_are_told_of_once)};
  return cmocka_run_group_tests_name("fits", tests, NULL, NULL);
}
