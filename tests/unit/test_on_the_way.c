// SPDX-License-Identifier: GPL-3.0-or-later
/* What a way meets: dirty ground and places near things, against looking at a place every few millimetres. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "io/scenario.h"
#include "io/starter.h"
#include "random_scenario.h"
#include "sim/policies.h"
#include "simulate.h"

/* ---- dirty ground ---- */

static bool is_dirty(const pc_world *world, size_t set_index, size_t p, pc_point at) {
  const pc_lane_set *set = &world->lot->lane_sets[set_index];
  const pc_lane_state *state = &world->lanes[set_index];
  const pc_patch *patch = &world->lot->ground->patches[p];
  double u, v;
  pc_patch_local(patch, at, &u, &v);
  double station = (u - patch->u0_m) / patch->station_m, strip = (v - patch->v0_m) / patch->strip_m;
  if (!(station >= 0.0 && station < patch->stations && strip >= 0.0 && strip < patch->strips))
    return false;
  const pc_lane *lane = &set->lanes[pc_lane_of_strip(set, p, (int)strip)];
  size_t slot = lane->first + (size_t)station;
  double within = station - floor(station);
  return state->dirty[slot] && within >= state->low[slot] && within <= state->high[slot];
}

/* *once: where any area is dirty; *each: each area for itself. */
static void look_closely(const pc_world *world, size_t set, pc_point from, pc_point to, double *once,
                         double *each) {
  double length = hypot(to.x_m - from.x_m, to.y_m - from.y_m);
  int steps = (int)ceil(length / 0.004);
  *once = *each = 0.0;
  for (int k = 0; k < steps; k++) {
    double share = (k + 0.5) / steps;
    pc_point at = {from.x_m + share * (to.x_m - from.x_m), from.y_m + share * (to.y_m - from.y_m)};
    int found = 0;
    for (size_t p = 0; p < world->lot->ground->patch_count; p++)
      found += is_dirty(world, set, p, at);
    *once += found > 0 ? length / steps : 0.0;
    *each += found * (length / steps);
  }
}

static pc_stream stream;
static long legs, dirty_legs;

static double drawn(double low, double high) {
  return low + (high - low) * ((double)(pc_stream_next(&stream) >> 11) * 0x1p-53);
}

/* From the machine to somewhere on an area of the lot. */
static pc_point somewhere(const pc_lot *lot) {
  const pc_patch *patch = &lot->ground->patches[pc_stream_next(&stream) % lot->ground->patch_count];
  return pc_patch_world(patch, drawn(patch->u0_m, patch->u0_m + patch->stations * patch->station_m),
                        drawn(patch->v0_m, patch->v0_m + patch->strips * patch->strip_m));
}

static void check_leg(const pc_world *world, size_t machine) {
  size_t set = world->lot->machines[machine].lane_set;
  const pc_point points[2] = {world->machines[machine].at, somewhere(world->lot)};
  double length = hypot(points[1].x_m - points[0].x_m, points[1].y_m - points[0].y_m), once, each;
  double found = pc_world_dirty_length_m(world, set, points, 2);
  look_closely(world, set, points[0], points[1], &once, &each);
  double slack = 0.05 + 0.001 * length; /* each border is met to 4 mm */
  legs++;
  dirty_legs += found > 0.0 && found < length;
  if (!(found >= once - slack && found <= fmin(each, length) + slack))
    fail_msg("at %g s, %g m from %g, %g to %g, %g: %g m dirty, not %g to %g", world->engine.now_s, length,
             points[0].x_m, points[0].y_m, points[1].x_m, points[1].y_m, found, once, fmin(each, length));
}

static pc_decision looking_next(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  check_leg(world, machine);
  return pc_policy_straight_runs.next(state, world, machine, bite);
}

static void dirty_ground(void **state) {
  (void)state;
  pc_policy looking = pc_policy_straight_runs;
  looking.next = looking_next;
  pc_stream_start(&stream, 3, 0, 0, 0);
  legs = dirty_legs = 0;
  for (uint64_t seed = 1; seed <= 60; seed++) {
    pc_scenario scenario = random_scenario(seed);
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    pc_scenario_validate(&scenario, &faults);
    if (pc_faults_fatal(&faults) == 0 && pc_lot_create(&scenario, NULL, &lot, &faults) == PC_OK) {
      lot->policy = &looking;
      pc_result result = simulate_lot(lot, seed, 0, NULL);
      pc_result_free(&result);
    }
    pc_lot_free(lot);
    pc_faults_free(&faults);
    pc_scenario_free(&scenario);
  }
  assert_true(legs > 5000 && dirty_legs > 2000);
}

/* ---- near things ---- */

static pc_lot *demonstration_lot(pc_scenario *scenario) {
  pc_faults faults = {0};
  const char *text = pc_demo_scenario();
  assert_int_equal(pc_scenario_read_text("demonstration lot", text, strlen(text), NULL, 0, scenario, &faults),
                   PC_OK);
  pc_faults_free(&faults);
  return make_lot(scenario);
}

/* docs/model.md: a leg is slow as far as its samples, at most 2 m apart, are. */
static double slow_by_samples(const pc_slow *slow, pc_point from, pc_point to, double apart_m) {
  double length = hypot(to.x_m - from.x_m, to.y_m - from.y_m);
  int steps = (int)ceil(length / apart_m), found = 0;
  for (int k = 0; k < steps; k++) {
    double share = (k + 0.5) / steps;
    found += pc_slow_at(
        slow, (pc_point){from.x_m + share * (to.x_m - from.x_m), from.y_m + share * (to.y_m - from.y_m)});
  }
  return steps > 0 ? length * found / steps : 0.0;
}

static void near_things(void **state) {
  (void)state;
  pc_scenario scenario = {0};
  pc_lot *lot = demonstration_lot(&scenario);
  double all = 0.0, fine = 0.0;
  assert_non_null(lot->slow);
  pc_stream_start(&stream, 4, 0, 0, 0);
  for (int k = 0; k < 20000; k++) {
    pc_point from = somewhere(lot), to = somewhere(lot);
    double found = pc_slow_length_m(lot->slow, from, to);
    assert_near("slow length", found, slow_by_samples(lot->slow, from, to, 2.0), 1e-12);
    all += found;
    fine += k < 2000 ? slow_by_samples(lot->slow, from, to, 0.05) - found : 0.0;
  }
  assert_true(all > 1e5 && fabs(fine) < 0.01 * 0.1 * all); /* on average the samples are enough */
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(dirty_ground),
      cmocka_unit_test(near_things),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
