// SPDX-License-Identifier: GPL-3.0-or-later
/* Lots on which the lower bound is easily too high: made up so that what it supposes is strained. A bound
 * above a run is wrong whatever the reason; how near it has to come is our own choice. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include <math.h>

#include "base/memory.h"
#include "io/scenario.h"
#include "scene.h"
#include "sim/policy.h"
#include "simulate.h"
#include "study/bound.h"

/* Bound / time of one run of a scenario without chance. */
static double efficiency(const char *text) {
  pc_scenario scenario = {0};
  pc_faults faults = {0};
  if (pc_scenario_read_text("case", text, strlen(text), NULL, 0, &scenario, &faults) != PC_OK)
    fail_msg("%s", faults.count > 0 ? faults.items[0].message : "not read");
  pc_lot *lot = make_lot(&scenario);
  pc_result result = simulate_lot(lot, 1, 0, NULL);
  pc_bound bound;
  assert_int_equal(result.reason, PC_REASON_DONE);
  assert_int_equal(pc_bound_make(lot, result.left_kg, &bound), PC_OK);
  double ratio = bound.time_s / result.total_time_s;
  pc_result_free(&result);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
  return ratio;
}

/* Two boxes whose swaths span the same number of strips share lanes: each metre of lane is a metre to drive
 * for either. The narrower does nearly all, and pushing is far slower than carrying. */
static void unlike_swaths_on_the_same_lanes(void **state) {
  (void)state;
  static const double narrow[] = {0.31, 1.0, 3.5}, wide[] = {0.59, 1.19, 3.65};
  for (size_t i = 0; i < sizeof narrow / sizeof *narrow; i++) {
    char text[1600];
    double n = narrow[i];
    (void)snprintf(
        text, sizeof text,
        "pushcycle: 1\n"
        "snow: {depth: 1 cm, done_below: 0.1 cm, pushed_density: 900 kg/m3, pile_density: 910 kg/m3}\n"
        "site: {areas: [{name: a, outline: [[0,0],[200,0],[200,%g],[0,%g]], loaders: [fast]},\n"
        "  {name: b, outline: [[200,0],[201,0],[201,%g],[200,%g]], loaders: [slow]}]}\n"
        "boxes: [{name: n, width: %g m, height: 1.2 m, heap_factor: 9 m, overlap: 0 m, side_leak: 0,\n"
        "  spill_from: 1, leave: 0}, {name: w, width: %g m, height: 1.2 m, overlap: 0 m, heap_factor: 9 m,\n"
        "  side_leak: 0, spill_from: 1, leave: 0}]\n"
        "loaders: [{name: fast, speeds: {push: 2 km/h, carry: 40 km/h, return: 40 km/h}, back_out: 0 m,\n"
        "  times: {lower: 0 s, raise: 0 s, dump: 0 s, turn: 0 s, shift: 0 s}},\n"
        "  {name: slow, speeds: {push: 0.036 km/h, carry: 40 km/h, return: 40 km/h}}]\n"
        "zones: [{name: z, at: [200, %g]}]\n"
        "crew: [{loader: fast, box: n, start: [0, 0]}, {loader: slow, box: w, start: [200, 0], areas: [b]}]\n"
        "policy: straight-runs\n",
        2 * n, 2 * n, 2 * n, 2 * n, n, wide[i], n);
    double ratio = efficiency(text);
    if (!(ratio <= 1.0 && ratio > 0.8))
      fail_msg("swaths %g and %g m: the bound is %g of the run", n, wide[i], ratio);
  }
}

/* The crew leaves while too little is still to come for more work: the night ends with its shift. */
static void all_leave_before_the_storm_ends(void **state) {
  (void)state;
  static const char text[] =
      "pushcycle: 1\n"
      "snow: {depth: 5 cm, trigger: 0 cm}\n"
      "site: {areas: [{name: a, outline: [[0,0],[60,0],[60,12],[0,12]]}]}\n"
      "boxes: [{name: b, width: 4 m, height: 1.2 m}]\n"
      "loaders: [{name: l, speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}}]\n"
      "zones: [{name: z, at: [60, 6]}]\n"
      "crew: [{loader: l, box: b, until: 1 h}]\n"
      "storm: [{after: 0 h, rate: 0.5 cm/h}, {after: 50 min, rate: 0.1 cm/h}, {after: 3 h, rate: 0 cm/h}]\n";
  double ratio = efficiency(text);
  if (!(ratio <= 1.0 && ratio > 0.01))
    fail_msg("the bound is %g of the run", ratio);
}

/* One load, and the machine stands where it is: nothing is driven empty. */
static void the_first_load_needs_no_way_there(void **state) {
  (void)state;
  static const char text[] =
      "pushcycle: 1\n"
      "snow: {depth: 10 cm, fresh_density: 100 kg/m3, done_below: 0.1 cm}\n"
      "site: {areas: [{name: a, outline: [[100,0],[110,0],[110,4],[100,4]]}], ground: [{name: way, outline: "
      "[[0,0],[100,0],[100,4],[0,4]]}]}\n"
      "boxes: [{name: b, width: 4 m, height: 1.2 m, heap_factor: 0.34 m, overlap: 0 m, side_leak: 0, "
      "spill_from: 1, leave: 0}]\n"
      "loaders: [{name: l, speeds: {push: 8 km/h, carry: 10 km/h, return: 15 km/h}, back_out: 0 m, times: "
      "{lower: 2 s, raise: 0 s, dump: 8 s, turn: 0 s, shift: 0 s}}]\n"
      "zones: [{name: z, at: [0, 2]}]\n"
      "crew: [{loader: l, box: b, start: [110, 2]}]\n"
      "full_at: 0.99\n";
  double ratio = efficiency(text);
  if (!(ratio <= 1.0 && ratio > 0.9))
    fail_msg("the bound is %g of the run", ratio);
}

/* A blade lays all snow of a deep yard to its outer edge, from where the way to the pile is short: by where
 * the snow lay at the start the bound would be above the run. */
static void a_blade_brings_snow_nearer(void **state) {
  (void)state;
  static const char text[] =
      "pushcycle: 1\n"
      "snow: {depth: 10 cm, fresh_density: 100 kg/m3, done_below: 0.1 cm}\n"
      "site:\n"
      "  areas: [{name: a, outline: [[0,0],[40,0],[40,200],[0,200]], heading: 0 deg}]\n"
      "  obstacles: [{name: hall, kind: building, outline: [[0,200],[40,200],[40,220],[0,220]]}]\n"
      "boxes: [{name: b, width: 4 m, height: 1.2 m, heap_factor: 0.5 m, overlap: 0 m, side_leak: 0, "
      "spill_from: 1, leave: 0}, {name: plow, width: 4 m, blade: right, leave: 0, overlap: 0 m}]\n"
      "loaders:\n"
      "  - {name: l, speeds: {push: 8 km/h, carry: 1.5 km/h, return: 12 km/h}, back_out: 0 m, times: {lower: "
      "0 s, raise: 0 s, dump: 0 s, turn: 0 s, shift: 0 s}}\n"
      "  - {name: t, speeds: {push: 40 km/h, carry: 40 km/h, return: 40 km/h}, back_out: 0 m, times: {lower: "
      "0 s, raise: 0 s, dump: 0 s, turn: 0 s, shift: 0 s}}\n"
      "zones: [{name: z, outline: [[0,-10],[40,-10],[40,0],[0,0]]}]\n"
      "crew:\n"
      "  - {loader: t, box: plow, start: [0, 198]}\n"
      "  - {loader: l, box: b, start: [20, 0], count: 4}\n";
  double ratio = efficiency(text);
  if (!(ratio <= 1.0))
    fail_msg("the bound is %g of the run", ratio);
}

/* Two lanes, two full boxes in each. From the far end on, the first box is full halfway, runs on along the
 * lane to its pile, and pushes what lies there aside into a row twice as thick: the next ones fill over half
 * the way. A bound that supposed snow met as it fell would be 5 % above the run. */
static void full_boxes_run_along_uncleared_lanes(void **state) {
  (void)state;
  static const char format[] =
      "pushcycle: 1\n"
      "snow: {depth: 7.8 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, done_below: 0.1 cm}\n"
      "site: {areas: [{name: a, heading: 0 deg, outline: [[0,0],[56,0],[56,7.3],[0,7.3]]}]}\n"
      "boxes: [{name: b, width: 3.65 m, height: 1 m, heap_factor: 0.874 m, overlap: 0 m, side_leak: 0,\n"
      "  spill_from: 1, leave: 0}]\n"
      "loaders: [{name: l, speeds: {push: 6.7 km/h, carry: 6.7 km/h, return: 35 km/h, reverse: 33 km/h},\n"
      "  back_out: 0 m, times: {lower: 0 s, raise: 0 s, dump: 3.7 s, turn: 0 s, shift: 0 s}}]\n"
      "zones: [{name: x, at: [56, 5.1]}, {name: y, at: [56, 2.6]}, {name: z, at: [56, 0.45]}]\n"
      "crew: [{loader: l, box: b, start: [29, 1]}]\n"
      "full_at: 1\n"
      "policy: %s\n";
  static const char *const policies[] = {"building-out", "straight-runs", "keep-pushing"};
  for (size_t i = 0; i < sizeof policies / sizeof policies[0]; i++) {
    char text[1600];
    (void)snprintf(text, sizeof text, format, policies[i]);
    double ratio = efficiency(text);
    print_message("%s: the bound is %g of the run\n", policies[i], ratio);
    if (!(ratio <= 1.0 && ratio > 0.47))
      fail_msg("%s: the bound is %g of the run", policies[i], ratio);
  }
}

/* The bound is one on every order of work, so the policy does not matter, be it one of one's own. */
static void one_bound_for_all_policies(void **state) {
  (void)state;
  static const char *const names[] = {"keep-pushing", "straight-runs", "building-out", "own"};
  const pc_point zone[] = {{90, 2}};
  pc_scenario s = scene_rectangle(90, 30, zone, 1);
  pc_lot *lot = make_lot(&s);
  pc_policy policy = *lot->policy;
  double first_s = NAN;
  lot->policy = &policy;
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    pc_bound bound;
    policy.name = names[i];
    assert_int_equal(pc_bound_make(lot, 0, &bound), PC_OK);
    assert_true(bound.time_s > 1.05 * bound.plain_s && bound.plain_s > 0);
    first_s = i == 0 ? bound.time_s : first_s;
    assert_true(bound.time_s == first_s);
  }
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* A loader whose box runs on a slant within its lane takes up snow there, so a bound that had it taken up in
 * the middle of the lane would be too high; and it sweeps metres for the little that pushing takes longer
 * than carrying. One lane, its pile beside the end. */
static void boxes_run_on_a_slant(void **state) {
  (void)state;
  double nearest = 0;
  for (double aside_m = 1; aside_m <= 12; aside_m += 1)
    for (double load_m = 5; load_m <= 60; load_m += 5) {
      const pc_point zone[] = {{30, 2.25 + aside_m}};
      pc_scenario s = scene_rectangle(30, 4.5, zone, 1);
      pc_loader *l = &s.loaders[0];
      s.station_m = 0.5;
      s.boxes[0].heap_factor_m = load_m / 30;
      l->lower_s = l->raise_s = l->shift_s = l->turn_s = 0;
      l->dump_s = 1;
      l->push_speed_mps = l->carry_speed_mps = 1;
      l->return_speed_mps = l->reverse_speed_mps = 20;
      s.crew = pc_alloc(1, sizeof *s.crew);
      assert_non_null(s.crew);
      s.crew_count = 1;
      s.crew[0] = pc_crew_entry_default();
      s.crew[0].loader = l->name;
      s.crew[0].box = s.boxes[0].name;
      s.crew[0].has_start = true;
      s.crew[0].start = (pc_point){0, 2.25};
      pc_lot *lot = make_lot(&s);
      pc_result result = simulate_lot(lot, 1, 0, NULL);
      pc_bound bound;
      assert_int_equal(pc_bound_make(lot, result.left_kg, &bound), PC_OK);
      double ratio = bound.time_s / result.total_time_s;
      nearest = fmax(nearest, ratio);
      if (!(ratio <= 1.0))
        fail_msg("%g m aside, %g m a load: the bound is %g of the run", aside_m, load_m, ratio);
      pc_result_free(&result);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
  print_message("on a slant: the bound is %g of a run at most\n", nearest);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(unlike_swaths_on_the_same_lanes),
      cmocka_unit_test(all_leave_before_the_storm_ends),
      cmocka_unit_test(the_first_load_needs_no_way_there),
      cmocka_unit_test(a_blade_brings_snow_nearer),
      cmocka_unit_test(full_boxes_run_along_uncleared_lanes),
      cmocka_unit_test(one_bound_for_all_policies),
      cmocka_unit_test(boxes_run_on_a_slant),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
