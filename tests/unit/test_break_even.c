// SPDX-License-Identifier: GPL-3.0-or-later
/* Depths at which the order of boxes and layouts turns (docs/model.md): which are compared, over which
 * depths, and by how much one is quicker on either side of a turn, against runs at the same depths. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "read_good.h"
#include "simulate.h"
#include "study/sensitivity.h"

enum { GRID = 9 };

static const char yard[] =
    "name: Yard\n"
    "snow: {depth: 12 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3}\n"
    "site: {areas: [{name: yard, heading: 0 deg, outline: [[0, 0], [50, 0], [50, 24], [0, 24]]}]}\n"
    "boxes:\n"
    "  - {name: wide, width: 6 m, height: 1.2 m, heap_factor: 0.6 m}\n"
    "  - {name: plow, width: 4 m, blade: right}\n"
    "  - {name: deep, width: 4 m, height: 1.2 m, heap_factor: 1.8 m}\n"
    "  - {name: mean, width: 5 m, height: 1.2 m, heap_factor: 1 m}\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
    "zones: [{name: near, at: [50, 12]}, {name: corner, at: [0, 0]}]\n"
    "layouts: [{name: one, zones: [near]}, {name: two, zones: [corner]}]\n"
    "crew: [{loader: loader, box: wide}]\n";

static pc_sensitivity study(const pc_scenario *s, const pc_choice *choice) {
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  pc_sensitivity found;
  pc_faults faults = {0};
  plan.threads = 1;
  assert_int_equal(pc_sensitivity_make(s, choice, &plan, &found, &faults), PC_OK);
  pc_faults_free(&faults);
  return found;
}

static double time_with(const pc_scenario *s, const char *box, double depth_m) {
  pc_choice choice = pc_choice_default();
  pc_faults faults = {0};
  pc_lot *lot;
  choice.box = box;
  choice.depth_m = depth_m;
  assert_int_equal(pc_lot_create(s, &choice, &lot, &faults), PC_OK);
  pc_result r = simulate_lot(lot, 1, 0, NULL);
  double time = r.finished ? r.total_time_s : (double)INFINITY;
  pc_result_free(&r);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  return time;
}

/* Nine depths in steps of one ratio, from a third of the depth to three times. By how much of the slower
 * one's time the quicker one is quicker at most: before the first turn, and after the last one. */
static void check_turn(const pc_scenario *s, const pc_sensitivity *found, const pc_break_even *turn) {
  double below = 0, above = 0;
  for (int g = 0; g < GRID; g++) {
    double depth_m = found->least_m * pow(found->most_m / found->least_m, g / (GRID - 1.0));
    double a = time_with(s, turn->below.text, depth_m), b = time_with(s, turn->above.text, depth_m);
    double by = fabs(a - b) / fmax(a, b);
    assert_true((a < b) == (depth_m < turn->depth_m));
    if (depth_m < turn->depth_m)
      below = fmax(below, by);
    else
      above = fmax(above, by);
  }
  assert_near("below", turn->least, below, 1e-9);
  assert_near("above", turn->most, above, 1e-9);
}

static void boxes_that_carry_pair_by_pair(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_choice choice = pc_choice_default();
  choice.layout = "one"; /* layouts are not compared then */
  pc_sensitivity found = study(&s, &choice);
  size_t turns = 0;
  assert_near("least", found.least_m, 0.04, 1e-12);
  assert_near("most", found.most_m, 0.36, 1e-12);
  assert_true(found.break_even_count >= 3);
  for (size_t i = 0; i < found.break_even_count; i++) {
    const pc_break_even *turn = &found.break_evens[i];
    assert_false(turn->of_layouts);
    assert_string_not_equal(turn->below.text, "plow");
    assert_string_not_equal(turn->above.text, "plow");
    if (strcmp(turn->below.text, turn->above.text) == 0)
      continue;
    turns++;
    check_turn(&s, &found, turn);
  }
  assert_true(turns >= 1);
  assert_int_equal(found.no_turn_count, 0); /* a plow is no box that carries: nothing to tell of it */
  pc_sensitivity_free(&found);
  /* those that are named alone, and from one and a half times the depth that may be left on */
  pc_name named[] = {pc_name_of("wide"), pc_name_of("deep")};
  s.compare.boxes = (pc_names){named, 2};
  s.snow.done_below_m = 0.05;
  found = study(&s, &choice);
  assert_near("least", found.least_m, 0.075, 1e-12);
  for (size_t i = 0; i < found.break_even_count; i++) {
    assert_string_not_equal(found.break_evens[i].below.text, "mean");
    assert_string_not_equal(found.break_evens[i].above.text, "mean");
  }
  assert_int_equal(found.break_even_count, 1);
  pc_sensitivity_free(&found);
  s.compare.boxes = (pc_names){NULL, 0};
  pc_scenario_free(&s);
}

/* With a box chosen there are layouts to compare; the one whose pile lies in the middle of a side is quicker
 * at every depth. Where one does not finish, the other is quicker by all of its time. */
static void layouts_too(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_choice choice = pc_choice_default();
  choice.box = "deep";
  s.zones[0].at = (pc_point){25, 24};
  for (int full = 0; full < 2; full++) {
    s.zones[1].volume_m3 = full ? 1 : (double)NAN;
    pc_sensitivity found = study(&s, &choice);
    assert_int_equal(found.break_even_count, 1);
    const pc_break_even *turn = &found.break_evens[0];
    assert_true(turn->of_layouts && isnan(turn->depth_m));
    assert_string_equal(turn->below.text, "one");
    assert_string_equal(turn->above.text, "one");
    assert_true(full ? turn->most == 1 && turn->least == 1 : turn->most > 0 && turn->most < 0.9);
    pc_sensitivity_free(&found);
  }
  pc_scenario_free(&s);
}

/* Of two boxes that differ in their names alone neither is quicker, at any depth: nothing is said of them,
 * and no depth at which they turn is found. A third one is told beside each of them alike. */
static void twins_have_no_order(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_choice choice = pc_choice_default(), one = choice, other = choice;
  choice.layout = one.layout = other.layout = "one";
  one.box = "wide";
  other.box = "mean";
  s.boxes[3].width_m = s.boxes[0].width_m;
  s.boxes[3].heap_factor_m = s.boxes[0].heap_factor_m;
  pc_sensitivity found = study(&s, &choice);
  assert_int_equal(found.break_even_count, 2); /* each of them and the deep one */
  const pc_break_even *turns = found.break_evens;
  assert_string_equal(turns[0].above.text, "deep");
  assert_string_equal(turns[1].above.text, "deep");
  assert_memory_equal(&turns[0].depth_m, &turns[1].depth_m, sizeof turns[0].depth_m);
  assert_true(turns[0].least == turns[1].least && turns[0].most == turns[1].most && turns[0].most > 0);
  pc_sensitivity_free(&found);
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  pc_faults faults = {0};
  double depth_m;
  assert_int_equal(pc_break_even_depth(&s, &one, &other, &plan, 0.04, 0.36, &depth_m, &faults), PC_ERR_RANGE);
  assert_non_null(strstr(faults.items[0].message, "the same at both"));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

typedef struct stopwatch {
  size_t steps, stop_after;
} stopwatch;

static void count_step(void *context, size_t done, size_t all) {
  (void)all;
  ((stopwatch *)context)->steps = done;
}

static bool stop_now(void *context) {
  const stopwatch *watch = context;
  return watch->steps >= watch->stop_after;
}

/* Stopped after any number of steps: either all depths are told that are told of the whole, or none, and that
 * they are missing. */
static void all_turns_or_none(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_choice choice = pc_choice_default();
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  pc_faults faults = {0};
  stopwatch count = {.stop_after = SIZE_MAX};
  const pc_watch watch = {count_step, stop_now, &count};
  size_t missing = 0, whole_steps;
  choice.layout = "one";
  plan.watch = &watch;
  plan.threads = 1;
  pc_sensitivity whole, part;
  assert_int_equal(pc_sensitivity_make(&s, &choice, &plan, &whole, &faults), PC_OK);
  assert_false(whole.stopped || whole.turns_missing);
  whole_steps = count.steps;
  for (size_t k = 0; k <= whole_steps; k += k < 30 ? 10 : 1) {
    count = (stopwatch){.stop_after = k};
    assert_int_equal(pc_sensitivity_make(&s, &choice, &plan, &part, &faults), PC_OK);
    assert_int_equal(part.stopped, k < whole_steps);
    assert_true(part.turns_missing || part.break_even_count == whole.break_even_count);
    assert_true(!part.turns_missing || part.break_even_count == 0);
    for (size_t i = 0; i < part.break_even_count; i++)
      assert_memory_equal(&part.break_evens[i].depth_m, &whole.break_evens[i].depth_m, sizeof(double));
    missing += part.turns_missing;
    pc_sensitivity_free(&part);
  }
  assert_true(missing > 20);
  pc_sensitivity_free(&whole);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Two boxes of which now the one and now the other is quicker, as loads happen to come out even: as many
 * turns as the order changes over the nine depths, each between two depths where it does, and with the order
 * told on either side of it, a thousandth away. */
static void turns_between_turns(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_choice choice = pc_choice_default();
  pc_name named[] = {pc_name_of("deep"), pc_name_of("mean")};
  size_t most = 0;
  choice.layout = "one";
  s.compare.boxes = (pc_names){named, 2};
  s.boxes[3].width_m = s.boxes[2].width_m;
  for (int k = 1; k <= 6; k++) {
    s.boxes[3].heap_factor_m = (1 + 0.02 * k) * s.boxes[2].heap_factor_m;
    s.boxes[3].mass_kg = 0;
    s.boxes[3].overlap_m = s.boxes[2].overlap_m + 0.02 * k;
    pc_sensitivity found = study(&s, &choice);
    double last_m = NAN;
    size_t turns = 0;
    int order = 0;
    for (int g = 0; g < GRID; g++) {
      double depth_m = found.least_m * pow(found.most_m / found.least_m, g / (GRID - 1.0));
      double a = time_with(&s, "deep", depth_m), b = time_with(&s, "mean", depth_m);
      int now = a < b ? -1 : a > b;
      if (now != 0 && order != 0 && now != order) {
        assert_true(turns < found.break_even_count);
        const pc_break_even *turn = &found.break_evens[turns++];
        assert_string_equal(turn->below.text, order < 0 ? "deep" : "mean");
        assert_string_equal(turn->above.text, now < 0 ? "deep" : "mean");
        assert_true(turn->depth_m > last_m && turn->depth_m < depth_m);
      }
      if (now != 0) {
        order = now;
        last_m = depth_m;
      }
    }
    most = turns > most ? turns : most;
    assert_int_equal(found.break_even_count, turns > 0 ? turns : order != 0);
    pc_sensitivity_free(&found);
  }
  print_message("%zu turns at most\n", most);
  assert_true(most >= 2);
  s.compare.boxes = (pc_names){NULL, 0};
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(boxes_that_carry_pair_by_pair), cmocka_unit_test(layouts_too),
      cmocka_unit_test(twins_have_no_order),           cmocka_unit_test(all_turns_or_none),
      cmocka_unit_test(turns_between_turns),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
