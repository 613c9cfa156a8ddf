// SPDX-License-Identifier: GPL-3.0-or-later
/* What a policy sees of a run (sim/policy.h), held against what the trace, the result and the lot say. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "scene.h"
#include "sim/policy.h"
#include "sim/run.h"
#include "simulate.h"

static double seen_kg, seen_room_kg, last_s; /* at the first question; at the last one */
static size_t questions;

static double on_slots_kg(const pc_world *world, size_t machine) {
  const pc_lot *lot = pc_view_lot(world);
  const pc_lane_set *set = &lot->lane_sets[lot->machines[machine].lane_set];
  double kg = 0.0;
  for (size_t l = 0; l < set->lane_count; l++)
    for (int i = 0; i < set->lanes[l].stations; i++)
      kg += pc_view_slot_kg(world, machine, l, i);
  return kg;
}

static size_t plain_size(const pc_lot *lot) {
  return pc_policy_find("straight-runs")->state_size(lot);
}

static pc_decision look_on(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  if (questions++ == 0) {
    seen_kg = on_slots_kg(world, machine);
    seen_room_kg = pc_view_zone_room_kg(world, 0);
  }
  assert_true(pc_view_now_s(world) >= last_s);
  last_s = pc_view_now_s(world);
  return pc_policy_find("straight-runs")->next(state, world, machine, bite);
}

static void keep_last_push(void *context, const pc_trace_row *row) {
  if (row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP)
    *(pc_trace_row *)context = *row;
}

static void as_it_is(void **state) {
  (void)state;
  const pc_policy policy = {"own", "own", plain_size, look_on};
  pc_scenario scenario = scene_reference(1, 1, "straight-runs");
  scenario.zones[0].volume_m3 = 1e5; /* a point zone has no end else */
  pc_lot *lot = make_lot(&scenario);
  pc_world *world;
  pc_result result;
  pc_trace_row push = {0};
  const pc_trace trace = {.row = keep_last_push, .context = &push};
  assert_int_equal(lot->ground->patch_count, 1);
  lot->policy = &policy;
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init_for(&result, lot), PC_OK);
  assert_int_equal(pc_world_run(world, 1, 0, &trace, &result), PC_OK);
  assert_true(result.finished && questions > 10 && last_s > 0.0);
  assert_true(fabs(seen_kg - lot->start_kg) <= 1e-9 * lot->start_kg);
  assert_true(seen_room_kg == lot->zone_capacity_kg[0]);
  /* afterwards all is as the run left it: nothing is on its way any more */
  assert_true(last_s <= result.total_time_s);
  assert_true(fabs(on_slots_kg(world, 0) - result.left_kg) <= 1e-6 * lot->start_kg);
  assert_true(isfinite(seen_room_kg));
  assert_true(fabs(pc_view_zone_room_kg(world, 0) - (seen_room_kg - result.zones[0].snow_kg)) <=
              1e-6 * lot->start_kg);
  double u_m, v_m;
  pc_patch_local(&lot->ground->patches[0], push.to, &u_m, &v_m);
  assert_true(fabs(pc_view_stop_m(world, 0) - u_m) <= 1e-6);
  assert_true(pc_view_load_kg(world, 0) == 0.0);
  pc_result_free(&result);
  pc_world_free(world);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(as_it_is)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
