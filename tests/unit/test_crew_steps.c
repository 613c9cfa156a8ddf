// SPDX-License-Identifier: GPL-3.0-or-later
/* Where another machine no longer pays: what each step from one number of machines to the next is worth.
 * Times and costs by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "io/tables.h"
#include "scene.h"
#include "simulate.h"
#include "study/compare.h"
#include "study/crews.h"

static pc_compare_row row_of(const char *layout, size_t machines, double time_s, double cost) {
  pc_compare_row row = {
      .layout = pc_name_of(layout), .depth_m = 0.1, .crew = (int)machines, .machine_count = machines};
  row.summary.total_time_s.mean = time_s;
  row.summary.cost = cost;
  row.summary.replications = 1;
  return row;
}

static void steps_are_weighed(void **state) {
  (void)state;
  /* 36 an hour for each machine: cost 0.01 × n × time, less and more in turn */
  pc_compare_row rows[] = {row_of("north", 4, 280, 11.2), row_of("north", 2, 480, 9.6),
                           row_of("south", 2, 500, 10),   row_of("north", 1, 1000, 10),
                           row_of("north", 3, 330, 9.9),  row_of("south", 1, 900, 9)};
  pc_comparison c = {.rows = rows, .row_count = 6};
  pc_crews crews;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_int_equal(crews.group_count, 2);
  assert_int_equal(crews.step_count, 6);
  const pc_crew_group *north = &crews.groups[0], *south = &crews.groups[1];
  assert_int_equal(north->count, 4);
  assert_int_equal(south->count, 2);
  const pc_crew_step *steps = &crews.steps[north->first];
  for (int i = 0; i < 4; i++)
    assert_int_equal(steps[i].machines, i + 1);
  assert_near("speed-up", steps[1].speed_up, 1000.0 / 480, 1e-15);
  assert_near("speed-up", steps[3].speed_up, 1000.0 / 280, 1e-15);
  assert_true(isnan(steps[0].saved_s) && isnan(steps[0].cost_difference) && !steps[0].pays);
  assert_near("saved", steps[2].saved_s, 150, 1e-15);
  assert_near("cost difference", steps[1].cost_difference, -0.4, 1e-12);
  assert_true(steps[1].pays && !steps[2].pays && !steps[3].pays);
  assert_true(steps[1].saves && steps[2].saves && steps[3].saves); /* 280 < 0.9 × 330 */
  assert_int_equal(north->least_cost, 2);
  assert_int_equal(north->last_that_pays, 2);
  assert_int_equal(north->last_that_saves, 4);
  assert_int_equal(south->least_cost, 1);
  assert_int_equal(south->last_that_pays, 0);
  pc_crews_free(&crews);
}

/* Another machine pays if the cost falls: not if it stays the same. */
static void as_much_does_not_pay(void **state) {
  (void)state;
  pc_compare_row rows[] = {row_of("north", 1, 1000, 10), row_of("north", 2, 500, 10),
                           row_of("north", 3, 330, 9.5)};
  pc_comparison c = {.rows = rows, .row_count = 3};
  pc_crews crews;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_true(crews.steps[1].cost_difference == 0 && !crews.steps[1].pays && crews.steps[2].pays);
  pc_crews_free(&crews);
}

static void without_prices_time_decides(void **state) {
  (void)state;
  /* 2 → 4: two machines more have to save 19 %, 1 − 0.9²; 410 → 340 saves 17 %, 410 → 330 19.5 % */
  pc_compare_row rows[] = {row_of("north", 4, 340, NAN), row_of("north", 2, 410, NAN)};
  pc_comparison c = {.rows = rows, .row_count = 2};
  pc_crews crews;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_true(isnan(crews.steps[1].speed_up)); /* one machine was not compared */
  assert_int_equal(crews.groups[0].least_cost, 0);
  assert_int_equal(crews.groups[0].last_that_pays, 0);
  assert_int_equal(crews.groups[0].last_that_saves, 0);
  pc_crews_free(&crews);
  rows[0].summary.total_time_s.mean = 330;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_int_equal(crews.groups[0].last_that_pays, 4);
  assert_int_equal(crews.groups[0].last_that_saves, 4);
  pc_crews_free(&crews);
}

/* Exactly 10 % with one machine more is enough, by crews.h. */
static void a_tenth_saved_is_enough(void **state) {
  (void)state;
  pc_compare_row rows[] = {row_of("north", 2, 900, NAN), row_of("north", 1, 1000, NAN)};
  pc_comparison c = {.rows = rows, .row_count = 2};
  for (int more = 0; more < 2; more++) {
    pc_crews crews;
    rows[0].summary.total_time_s.mean = 900 + more;
    assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
    assert_int_equal(crews.groups[0].last_that_saves, more ? 0 : 2);
    pc_crews_free(&crews);
  }
  pc_crews crews; /* where nothing is to be done, nothing is saved */
  rows[0].summary.total_time_s.mean = rows[1].summary.total_time_s.mean = 0;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_int_equal(crews.groups[0].last_that_saves, 0);
  assert_int_equal(crews.groups[0].last_that_pays, 0);
  pc_crews_free(&crews);
}

/* Where boxes were mixed, the step to a number is its quickest row, but one in time before one that is late,
 * and one that was done before either. */
static void the_best_boxes_make_the_step(void **state) {
  (void)state;
  pc_compare_row rows[] = {row_of("north", 3, 300, 9), row_of("north", 3, 310, 8), row_of("north", 2, 400, 8),
                           row_of("north", 2, 450, 9), row_of("south", 1, 700, 7), row_of("north", 1, 900, 9),
                           row_of("north", 1, 950, 1), row_of("north", 3, 100, 1)};
  const char *const boxes[] = {"A + B + A", "A + 2 x B", "A", "A + B", "A", "B", "A", "B"};
  size_t late[] = {1}, in_time[] = {0};
  for (size_t i = 0; i < 8; i++) {
    rows[i].box = pc_name_of(boxes[i]);
    rows[i].summary.mean.area_count = 1;
    rows[i].summary.area_late = i == 0 || i == 5 || i == 6 ? late : in_time;
  }
  rows[7].summary.unfinished = 1;
  pc_comparison c = {.rows = rows, .row_count = 8, .mixed = true};
  pc_crews crews;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_int_equal(crews.group_count, 2);
  const pc_crew_group *north = &crews.groups[0], *south = &crews.groups[1];
  assert_int_equal(north->count, 3);
  assert_int_equal(crews.step_count, 4);
  assert_int_equal(south->first, 3);
  assert_int_equal(crews.steps[north->first + 0].row, 5); /* both are late */
  assert_int_equal(crews.steps[north->first + 1].row, 2);
  assert_int_equal(crews.steps[north->first + 2].row, 1);
  assert_near("saved", crews.steps[north->first + 2].saved_s, 90, 1e-15);
  assert_int_equal(north->least_cost, 2); /* three cost as much */
  pc_crews_free(&crews);
  c.mixed = false; /* then each choice of boxes is a group of its own */
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_int_equal(crews.step_count, 8);
  pc_crews_free(&crews);
}

static void what_is_not_finished_is_not_weighed(void **state) {
  (void)state;
  pc_compare_row rows[] = {row_of("north", 3, 330, 9), row_of("north", 2, 10, 0.2),
                           row_of("north", 1, 1000, 10)};
  rows[1].summary.unfinished = 1;
  pc_comparison c = {.rows = rows, .row_count = 3};
  pc_crews crews;
  assert_int_equal(pc_crews_make(&c, &crews), PC_OK);
  assert_false(crews.steps[1].finished);
  assert_true(isnan(crews.steps[1].speed_up) && !crews.steps[1].pays);
  assert_near("saved", crews.steps[2].saved_s, 670, 1e-15);
  assert_int_equal(crews.groups[0].least_cost, 3);
  assert_int_equal(crews.groups[0].last_that_pays, 3);
  pc_crews_free(&crews);
  pc_comparison same = {.rows = rows, .row_count = 1};
  assert_int_equal(pc_crews_make(&same, &crews), PC_OK);
  assert_int_equal(crews.group_count, 0);
  pc_crews_free(&crews);
}

static void what_stands_twice_is_compared_once(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 10}};
  pc_scenario s = scene_rectangle(20, 20, zone, 1);
  int machines[] = {2, 1, 2};
  double depths[] = {0.05, 0.1, 0.05};
  pc_wanted wanted = {.crews = {machines, 3}, .depths = {depths, 3}};
  pc_faults faults = {0};
  pc_comparison c;
  assert_int_equal(
      pc_compare(&s, &(pc_compare_how){.wanted = &wanted, .replications = 1, .seed = 1, .threads = 1}, &c,
                 &faults),
      PC_OK);
  assert_int_equal(c.row_count, 4);
  for (size_t i = 0; i < 4; i++) { /* ranked within a depth, whatever the number of machines */
    assert_int_equal(c.rows[i].rank, (int)(i % 2) + 1);
    assert_near("depth", c.rows[i].depth_m, i < 2 ? 0.05 : 0.1, 0);
  }
  assert_int_equal(pc_faults_fatal(&faults), 0);
  bool depth_told = false, crew_told = false;
  for (size_t i = 0; i < faults.count; i++) {
    depth_told |=
        strcmp(faults.items[i].key, "compare.depths") == 0 && strstr(faults.items[i].message, "5 cm");
    crew_told |= strcmp(faults.items[i].key, "compare.crews") == 0 && strstr(faults.items[i].message, "2 ");
  }
  assert_true(depth_told && crew_told);
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(steps_are_weighed),
      cmocka_unit_test(as_much_does_not_pay),
      cmocka_unit_test(without_prices_time_decides),
      cmocka_unit_test(a_tenth_saved_is_enough),
      cmocka_unit_test(the_best_boxes_make_the_step),
      cmocka_unit_test(what_is_not_finished_is_not_weighed),
      cmocka_unit_test(what_stands_twice_is_compared_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
