// SPDX-License-Identifier: GPL-3.0-or-later
/* Areas that a machine works before all others. What is to be expected follows from the rule itself: as long
 * as there is snow to push in such an area, no bite is taken elsewhere by a machine that works alone. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "read_good.h"
#include "simulate.h"

enum { AREAS = 3, BITES_MAX = 4000 };

/* Three yards beside each other, 40 m wide, with a pile zone at the top of each. */
static pc_scenario yards(const char *policy, const char *south, const char *crew, const char *more) {
  char text[3000];
  snprintf(
      text, sizeof text,
      "pushcycle: 1\nname: Three yards\npolicy: %s\n"
      "snow: {depth: 10 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, pile_density: 400 kg/m3}\n"
      "site:\n  areas:\n"
      "    - {name: west, heading: 0 deg, outline: [[0, 0], [40, 0], [40, 40], [0, 40]]}\n"
      "    - {name: middle, heading: 0 deg, outline: [[40, 0], [80, 0], [80, 40], [40, 40]]%s}\n"
      "    - {name: east, heading: 0 deg, outline: [[80, 0], [120, 0], [120, 40], [80, 40]]}\n"
      "boxes: [{name: wide, width: 4 m, height: 1 m}, {name: blade, width: 3 m, blade: left}]\n"
      "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
      "zones:\n"
      "  - {name: a, outline: [[0, 40], [40, 40], [40, 46], [0, 46]], height: 5 m}\n"
      "  - {name: b, outline: [[40, 40], [80, 40], [80, 46], [40, 46]], height: 5 m}\n"
      "  - {name: c, outline: [[80, 40], [120, 40], [120, 46], [80, 46]], height: 5 m}\n"
      "crew: [%s]\n%s",
      policy, south, crew, more);
  return read_good(text, NULL, 0, 0);
}

typedef struct bite {
  double start_s;
  size_t area, machine;
} bite;

typedef struct night {
  bite bites[BITES_MAX];
  size_t count;
} night;

/* Yards are 40 m wide each; a bite belongs to where its middle lies. */
static void take(void *context, const pc_trace_row *row) {
  night *n = context;
  if ((row->phase != PC_PHASE_FILL && row->phase != PC_PHASE_CLEAN_UP) || n->count == BITES_MAX)
    return;
  size_t area = (size_t)(0.5 * (row->from.x_m + row->to.x_m) / 40.0);
  n->bites[n->count++] = (bite){row->start_s, area, row->machine};
}

static pc_result run(const pc_scenario *s, night *n) {
  n->count = 0;
  pc_lot *lot = make_lot(s);
  pc_result result;
  pc_world *world;
  const pc_trace trace = {.row = take, .context = n};
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init_for(&result, lot), PC_OK);
  pc_world_check_always(world, true);
  assert_int_equal(pc_world_run(world, 1, 0, &trace, &result), PC_OK);
  assert_true(result.finished);
  pc_world_free(world);
  pc_lot_free(lot);
  return result;
}

/* One machine: yards are done one after the other as `first` has it, and then in any order. */
static void in_the_order_given(void **state) {
  (void)state;
  static const char *const policies[] = {"keep-pushing", "straight-runs", "building-out"};
  static const struct {
    const char *names;
    size_t order[AREAS], count;
  } lists[] = {{"[east]", {2}, 1}, {"[middle, west]", {1, 0}, 2}, {"[east, middle, west]", {2, 1, 0}, 3}};
  for (size_t p = 0; p < 3; p++)
    for (size_t k = 0; k < 3; k++) {
      char crew[200];
      night n;
      snprintf(crew, sizeof crew, "{loader: loader, box: wide, start: [1, 1], first: %s}", lists[k].names);
      pc_scenario s = yards(policies[p], "", crew, "");
      pc_result r = run(&s, &n);
      assert_true(n.count > 60);
      for (size_t i = 0; i < n.count; i++)
        for (size_t rank = 0; rank < lists[k].count; rank++) {
          size_t area = lists[k].order[rank];
          if (n.bites[i].start_s < r.areas[area].done_s - 1e-9 && n.bites[i].area != area) {
            bool earlier = false; /* one of a lower rank is still to be done */
            for (size_t q = 0; q < rank; q++)
              earlier |= n.bites[i].area == lists[k].order[q];
            if (!earlier)
              fail_msg("%s, first %s: at %.0f s it pushes in yard %zu", policies[p], lists[k].names,
                       n.bites[i].start_s, n.bites[i].area);
          }
        }
      pc_result_free(&r);
      pc_scenario_free(&s);
    }
}

/* Two machines: the other one is not bound by it, and neither stands idle. */
static void only_for_whom_it_is_said(void **state) {
  (void)state;
  night n;
  pc_scenario s = yards("keep-pushing", "",
                        "{loader: loader, box: wide, start: [1, 1], first: [east]}, "
                        "{loader: loader, box: wide, start: [1, 9]}",
                        "");
  pc_result r = run(&s, &n);
  size_t elsewhere = 0;
  for (size_t i = 0; i < n.count; i++) {
    if (n.bites[i].start_s >= 0.9 * r.areas[2].done_s) /* the last bites may all be claimed by the other */
      continue;
    if (n.bites[i].machine == 0)
      assert_int_equal(n.bites[i].area, 2);
    elsewhere += n.bites[i].machine == 1 && n.bites[i].area != 2;
  }
  assert_true(elsewhere > 10);
  assert_true(r.machines[0].time_s[PC_PHASE_IDLE] < 0.05 * r.total_time_s);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* Share of the middle yard, which is a third of the ground, in the bites of some hours. */
static double share_of_middle(const night *n, double from_s, double to_s) {
  size_t there = 0, all = 0;
  for (size_t i = 0; i < n->count; i++) {
    bool within = n->bites[i].start_s >= from_s && n->bites[i].start_s < to_s;
    all += within;
    there += within && n->bites[i].area == 1;
  }
  assert_true(all > 100);
  return (double)there / (double)all;
}

/* Snow falls faster than one machine clears all three: the yard is worked again whenever it is there, until
 * it is clear at its deadline or after: then it gets no more than its third. */
static void until_it_is_clear_at_its_deadline(void **state) {
  (void)state;
  static const char storm[] = "storm: [{after: 0 h, rate: 6 cm/h}, {after: 5 h, rate: 0 cm/h}]\n";
  static const char *const crews[] = {"{loader: loader, box: wide, start: [1, 1], first: [middle]}",
                                      "{loader: loader, box: wide, start: [1, 1]}"};
  double before[2], after[2];
  for (int k = 0; k < 2; k++) {
    night n;
    pc_scenario s = yards("keep-pushing", ", clear_by: 2 h", crews[k], storm);
    pc_result r = run(&s, &n);
    before[k] = share_of_middle(&n, 0.0, 2 * 3600.0);
    after[k] = share_of_middle(&n, 2.5 * 3600.0, 5 * 3600.0);
    pc_result_free(&r);
    pc_scenario_free(&s);
  }
  assert_true(before[0] > 0.7 && before[1] < 0.45);
  assert_true(after[0] < 0.45 && after[1] < 0.45);
}

/* An area that opens later comes first from then on. */
static void once_it_is_open(void **state) {
  (void)state;
  night n;
  pc_scenario s = yards("keep-pushing", ", opens: 10 min",
                        "{loader: loader, box: wide, start: [1, 1], first: [middle]}", "");
  pc_result r = run(&s, &n);
  bool worked = false;
  for (size_t i = 0; i < n.count; i++) {
    if (n.bites[i].start_s < 600.0)
      assert_int_not_equal(n.bites[i].area, 1);
    /* a part load of before is taken to a pile, and a bite that was begun is ended */
    if (n.bites[i].start_s > 700.0 && n.bites[i].start_s < r.areas[1].done_s - 1e-9)
      assert_int_equal(n.bites[i].area, 1);
    worked |= n.bites[i].area == 1;
  }
  assert_true(worked && n.bites[0].start_s < 60.0);
  /* until it opens, nothing is otherwise than without */
  pc_scenario usual =
      yards("keep-pushing", ", opens: 10 min", "{loader: loader, box: wide, start: [1, 1]}", "");
  night plain;
  pc_result u = run(&usual, &plain);
  for (size_t i = 0; i < n.count && n.bites[i].start_s < 600.0; i++) {
    assert_true(n.bites[i].start_s == plain.bites[i].start_s);
    assert_int_equal(n.bites[i].area, plain.bites[i].area);
  }
  pc_result_free(&r);
  pc_result_free(&u);
  pc_scenario_free(&s);
  pc_scenario_free(&usual);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(in_the_order_given),
      cmocka_unit_test(only_for_whom_it_is_said),
      cmocka_unit_test(until_it_is_clear_at_its_deadline),
      cmocka_unit_test(once_it_is_open),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
