// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The simulator against an outside engine: the same lot and policy written a second time, plainly, as a SimPy
 * model (tests/twin/reference.py; SimPy 3, Debian python3-simpy3), phase by phase and machine by machine.
 * PC_SOURCE_DIR names the folder that holds tests/; without it the tests run from there.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "scene.h"
#include "sim/run.h"

typedef struct twin_case {
  size_t zones;
  int machines, berths;
  double depth_m, station_m, turn_s;
} twin_case;

static void near(const char *what, size_t machine, double value, double expected, double scale) {
  if (!(fabs(value - expected) <= 1e-9 * scale))
    fail_msg("machine %zu, %s: %.12g here, %.12g in the twin", machine, what, value, expected);
}

static json_t *run_twin(const pc_lot *lot, const twin_case *c) {
  const pc_loader *l = &lot->machines[0].unit.loader;
  json_t *zones = json_array();
  for (size_t z = 0; z < lot->zone_count; z++)
    json_array_append_new(zones, json_pack("[ff]", lot->zones[z].at.x_m, lot->zones[z].at.y_m));
  json_t *in = json_pack("{sf sf sf sf sf sf sf sf}", "length", 250.0, "width", 160.0, "swath", 4.5,
                         "station", c->station_m, "depth", c->depth_m, "density", 100.0, "done_below",
                         lot->snow.done_below_m, "capacity", 1350.0);
  json_t *more = json_pack("{sf sf sf sf sf sf sf s[ff] so si si}", "push", l->push_speed_mps, "carry",
                           l->carry_speed_mps, "return", l->return_speed_mps, "reverse", l->reverse_speed_mps,
                           "turn", l->turn_s, "lower", l->lower_s, "dump", l->dump_s, "start", 0.0, 0.0,
                           "zones", zones, "berths", c->berths, "machines", c->machines);
  assert_non_null(in);
  assert_non_null(more);
  json_object_update(in, more);
  char *text = json_dumps(in, JSON_REAL_PRECISION(17));
  const char *root = getenv("PC_SOURCE_DIR");
  char command[4096];
  int length = snprintf(command, sizeof command, "/usr/bin/python3 '%s/tests/twin/reference.py' '%s'",
                        root ? root : ".", text);
  assert_true(length > 0 && (size_t)length < sizeof command);
  free(text);
  json_decref(in);
  json_decref(more);
  FILE *pipe = popen(command, "r");
  assert_non_null(pipe);
  json_error_t error;
  json_t *out = json_loadf(pipe, 0, &error);
  int status = pclose(pipe);
  if (!out || status != 0)
    fail_msg("the twin failed (status %d): %s", status, out ? "" : error.text);
  return out;
}

static void same_as_twin(const twin_case *c) {
  pc_scenario scenario = scene_reference(c->zones, c->machines, "straight-runs");
  scenario.snow.depth_m = c->depth_m;
  scenario.station_m = c->station_m;
  scenario.loaders[0].turn_s = c->turn_s;
  for (size_t z = 0; z < scenario.zone_count; z++)
    scenario.zones[z].berths = c->berths;
  pc_faults faults = {0};
  pc_lot *lot;
  pc_world *world;
  pc_result result;
  assert_int_equal(pc_lot_create(&scenario, NULL, &lot, &faults), PC_OK);
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init(&result, lot->machine_count, lot->zone_count), PC_OK);
  assert_int_equal(pc_world_run(world, 1, 0, NULL, &result), PC_OK);
  assert_int_equal(result.reason, PC_REASON_DONE);

  json_t *twin = run_twin(lot, c), *machines = json_object_get(twin, "machines");
  double total = json_real_value(json_object_get(twin, "total_time_s"));
  assert_true(total > 1000.0);
  assert_int_equal(json_array_size(machines), lot->machine_count);
  for (size_t m = 0; m < lot->machine_count; m++) {
    const json_t *machine = json_array_get(machines, m), *times = json_object_get(machine, "time_s");
    assert_int_equal(json_object_size(times), PC_PHASE_COUNT);
    for (int p = 0; p < PC_PHASE_COUNT; p++) {
      const char *name = pc_phase_name((pc_phase)p);
      const json_t *time = json_object_get(times, name);
      assert_non_null(time);
      /* idle is what is left of the total, so its rounding is that of the total */
      double scale = p == PC_PHASE_IDLE ? total : fmax(1.0, json_number_value(time));
      near(name, m, result.machines[m].time_s[p], json_number_value(time), scale);
    }
    assert_int_equal(result.machines[m].cycles, json_integer_value(json_object_get(machine, "cycles")));
  }
  near("total", 0, result.total_time_s, total, total);

  json_decref(twin);
  pc_result_free(&result);
  pc_world_free(world);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
  pc_faults_free(&faults);
}

static void one_machine(void **state) {
  (void)state;
  same_as_twin(&(twin_case){3, 1, 1, 0.10, 2.0, 6.0});
}

static void four_machines(void **state) {
  (void)state;
  same_as_twin(&(twin_case){3, 4, 1, 0.10, 2.0, 6.0});
}

/* Depths and stations at which a full box ends inside a slot, one zone that all have to wait for, two berths.
 */
static void other_cases(void **state) {
  (void)state;
  static const twin_case cases[] = {{3, 1, 1, 0.137, 2.0, 6.0}, {3, 4, 1, 0.083, 1.7, 8.0},
                                    {1, 6, 1, 0.121, 2.0, 6.0}, {1, 6, 2, 0.121, 2.0, 6.0},
                                    {2, 3, 1, 0.211, 2.9, 4.0}, {5, 2, 1, 0.064, 1.3, 6.0}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
    same_as_twin(&cases[i]);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(one_machine), cmocka_unit_test(four_machines),
                                     cmocka_unit_test(other_cases)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
