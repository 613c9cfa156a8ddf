// SPDX-License-Identifier: GPL-3.0-or-later
/* Areas in the order of their deadlines: what the search says against runs of the scenario with that order
 * written into it, and against every other order. */
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
#include "study/order.h"

/* Three yards beside each other, two loaders, and a pile zone at the top of each yard. */
static const char lot_text[] =
    "name: Three yards\n"
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, pile_density: 400 kg/m3}\n"
    "site:\n"
    "  areas:\n"
    "    - {name: west, heading: 0 deg, outline: [[0, 0], [40, 0], [40, 40], [0, 40]], %s}\n"
    "    - {name: middle, heading: 0 deg, outline: [[40, 0], [80, 0], [80, 40], [40, 40]], %s}\n"
    "    - {name: east, heading: 0 deg, outline: [[80, 0], [120, 0], [120, 40], [80, 40]], %s}\n"
    "boxes: [{name: wide, width: 4 m, height: 1 m}]\n"
    "loaders:\n"
    "  - {name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}\n"
    "  - {name: other, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}\n"
    "zones:\n"
    "  - {name: a, outline: [[0, 40], [40, 40], [40, 46], [0, 46]], height: 5 m}\n"
    "  - {name: b, outline: [[40, 40], [80, 40], [80, 46], [40, 46]], height: 5 m}\n"
    "  - {name: c, outline: [[80, 40], [120, 40], [120, 46], [80, 46]], height: 5 m}\n"
    "crew: [{loader: loader, box: wide, count: 2, start: [20, 0]}, {loader: other, box: wide, start: [100, "
    "0]%s}]\n"
    "chance: {replications: 5, seed: 7, fill: 10 %%, carry: 10 %%}\n";

typedef struct yards {
  pc_scenario scenario;
  pc_lot *lot;
  pc_summary summary;
} yards;

static void simulate(yards *y, const char *west, const char *middle, const char *east, const char *other) {
  char text[3000];
  pc_faults faults = {0};
  snprintf(text, sizeof text, lot_text, west, middle, east, other);
  y->scenario = read_good(text, NULL, 0, 0);
  assert_int_equal(pc_lot_create(&y->scenario, NULL, &y->lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(y->lot, 5, 7, 1, NULL, &y->summary), PC_OK);
  pc_faults_free(&faults);
}

static void end(yards *y) {
  pc_summary_free(&y->summary);
  pc_lot_free(y->lot);
  pc_scenario_free(&y->scenario);
}

static pc_order order_of(const yards *y) {
  pc_order order;
  assert_int_equal(pc_order_find(&y->scenario, NULL, y->lot, &y->summary, 1, NULL, &order), PC_OK);
  return order;
}

static size_t late_in(const yards *y) {
  return y->summary.area_late[0] + y->summary.area_late[1] + y->summary.area_late[2];
}

/* Half of the time that all three take: too little for the middle one unless it comes first. */
static void middle_by(char key[40], double share) {
  yards all;
  simulate(&all, "opens: 0 s", "opens: 0 s", "opens: 0 s", "");
  snprintf(key, 40, "clear_by: %.3f s", share * all.summary.mean.total_time_s);
  end(&all);
}

static void the_late_one_first(void **state) {
  (void)state;
  yards now, by_hand;
  char by[40];
  middle_by(by, 0.5);
  simulate(&now, "opens: 0 s", by, "opens: 0 s", "");
  assert_int_equal(late_in(&now), 5);
  pc_order order = order_of(&now);
  assert_int_equal(order.wait_count, 2);
  assert_int_equal(order.waits[0].area, 0);
  assert_int_equal(order.waits[0].after, 1);
  assert_int_equal(order.waits[1].area, 2);
  assert_int_equal(order.waits[1].after, 1);
  assert_int_equal(order.late_now, 5);
  assert_int_equal(order.late_then, 0);
  simulate(&by_hand, "after: [middle]", by, "after: [middle]", "");
  assert_true(by_hand.summary.mean.total_time_s == order.then.mean.total_time_s);
  for (size_t a = 0; a < 3; a++)
    assert_true(by_hand.summary.mean.areas[a].done_s == order.then.mean.areas[a].done_s);
  assert_int_equal(late_in(&by_hand), 0);
  pc_order_free(&order);
  end(&by_hand);
  end(&now);
}

/* What waits already goes on waiting for the same, too. */
static void with_what_waits_already(void **state) {
  (void)state;
  yards now, by_hand;
  char by[40];
  middle_by(by, 0.5);
  simulate(&now, "opens: 0 s", by, "after: [west]", "");
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.wait_count, 1); /* the west does; the east waits for that one */
  simulate(&by_hand, "after: [middle]", by, "after: [west]", "");
  assert_true(by_hand.summary.mean.total_time_s == order.then.mean.total_time_s);
  assert_true(by_hand.summary.mean.areas[2].done_s == order.then.mean.areas[2].done_s);
  pc_order_free(&order);
  end(&by_hand);
  end(&now);
}

/* Deadlines one after another: no other order of the three misses fewer (Jackson 1955: the earliest due date
 * first; from memory). */
static void no_order_is_better(void **state) {
  (void)state;
  static const char *const orders[6][3] = {
      {"opens: 0 s", "after: [west]", "after: [middle]"}, {"opens: 0 s", "after: [east]", "after: [west]"},
      {"after: [middle]", "opens: 0 s", "after: [west]"}, {"after: [east]", "opens: 0 s", "after: [middle]"},
      {"after: [east]", "after: [west]", "opens: 0 s"},   {"after: [middle]", "after: [east]", "opens: 0 s"}};
  char first[40], second[40], third[40], keys[3][100];
  middle_by(first, 0.42);
  middle_by(second, 0.78);
  middle_by(third, 1.15);
  yards now;
  simulate(&now, third, first, second, "");
  pc_order order = order_of(&now);
  assert_true(order.wait_count > 0);
  assert_true(order.late_then < order.late_now);
  for (size_t i = 0; i < 6; i++) {
    yards other;
    snprintf(keys[0], sizeof keys[0], "%s, %s", orders[i][0], third);
    snprintf(keys[1], sizeof keys[1], "%s, %s", orders[i][1], first);
    snprintf(keys[2], sizeof keys[2], "%s, %s", orders[i][2], second);
    simulate(&other, keys[0], keys[1], keys[2], "");
    assert_true(late_in(&other) >= order.late_then);
    end(&other);
  }
  pc_order_free(&order);
  end(&now);
}

static void expect_none(const char *west, const char *middle, const char *east, pc_order_end found) {
  yards now;
  simulate(&now, west, middle, east, "");
  assert_int_equal(late_in(&now) > 0, found != PC_ORDER_NOT_ASKED);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, found);
  assert_int_equal(order.wait_count, 0);
  assert_null(order.waits);
  end(&now);
}

static void nothing_to_say(void **state) {
  (void)state;
  char half[40], both[100];
  middle_by(half, 0.5);
  expect_none("opens: 0 s", "clear_by: 10 h", "opens: 0 s", PC_ORDER_NOT_ASKED);
  expect_none("after: [middle]", half, "after: [middle]", PC_ORDER_NOT_ASKED); /* it is first already */
  snprintf(both, sizeof both, "%s, after: [west, east]", half);
  expect_none("opens: 0 s", both, "opens: 0 s", PC_ORDER_NOTHING_WAITS); /* it is last on purpose */
  snprintf(both, sizeof both, "%s, after: [west]", half);                /* and by way of another one */
  expect_none("after: [east]", both, "opens: 0 s", PC_ORDER_NOTHING_WAITS);
  expect_none(half, half, half, PC_ORDER_NOTHING_WAITS);
  /* it opens so late that the others are done by then: waiting for it is only the worse */
  expect_none("opens: 0 s", "opens: 2 h, clear_by: 2.001 h", "clear_by: 3 h", PC_ORDER_NO_HELP);
}

/* A deadline that no order keeps is missed by less: told, as it helps. */
static void less_late(void **state) {
  (void)state;
  yards now;
  simulate(&now, "opens: 0 s", "clear_by: 1 s", "opens: 0 s", "");
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.late_now, 5);
  assert_int_equal(order.late_then, 5);
  assert_true(order.then.mean.areas[1].done_s < 0.9 * now.summary.mean.areas[1].done_s);
  pc_order_free(&order);
  end(&now);
}

/* Who has no machine in common does not wait. */
static void others_do_not_wait(void **state) {
  (void)state;
  char by[40], keys[100];
  middle_by(by, 0.6);
  snprintf(keys, sizeof keys, "%s, loaders: [loader]", by);
  yards now;
  simulate(&now, "loaders: [loader]", keys, "loaders: [other]", "");
  assert_true(late_in(&now) > 0);
  pc_order order = order_of(&now);
  assert_int_equal(order.wait_count, 1);
  assert_int_equal(order.waits[0].area, 0);
  assert_int_equal(order.waits[0].after, 1);
  pc_order_free(&order);
  end(&now);
}

static bool at_once(void *context) {
  (void)context;
  return true;
}

static void stopped_says_nothing(void **state) {
  (void)state;
  char by[40];
  middle_by(by, 0.5);
  yards now;
  simulate(&now, "opens: 0 s", by, "opens: 0 s", "");
  const pc_watch watch = {NULL, at_once, NULL};
  pc_order order;
  assert_int_equal(pc_order_find(&now.scenario, NULL, now.lot, &now.summary, 1, &watch, &order), PC_OK);
  assert_int_equal(order.end, PC_ORDER_NOT_ASKED);
  assert_int_equal(order.wait_count, 0);
  end(&now);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_late_one_first),  cmocka_unit_test(with_what_waits_already),
      cmocka_unit_test(no_order_is_better),  cmocka_unit_test(nothing_to_say),
      cmocka_unit_test(less_late),           cmocka_unit_test(others_do_not_wait),
      cmocka_unit_test(stopped_says_nothing)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
