// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "simulate.h"

void assert_near(const char *what, double value, double expected, double relative) {
  if (!(fabs(value - expected) <= relative * fabs(expected)))
    fail_msg("%s: %.15g, expected %.15g (off by %g, allowed %g of it)", what, value, expected,
             value - expected, relative);
}

pc_lot *make_lot(const pc_scenario *scenario) {
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  pc_status status = pc_lot_create(scenario, NULL, &lot, &faults);
  if (status != PC_OK)
    fail_msg("no lot: %s: %s", faults.count > 0 ? faults.items[0].key : "",
             faults.count > 0 ? faults.items[0].message : "");
  pc_faults_free(&faults);
  return lot;
}

pc_result simulate_lot(const pc_lot *lot, uint64_t seed, uint64_t replication, const pc_trace *trace) {
  pc_world *world;
  pc_result result;
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init(&result, lot->machine_count, lot->zone_count), PC_OK);
  pc_world_check_always(world,
                        lot->ground->cell_count < 20000); /* it walks over all cells after each event */
  pc_status status = pc_world_run(world, seed, replication, trace, &result);
  if (status != PC_OK)
    fail_msg("the run broke off (%s): %s", pc_status_name(status), pc_world_complaint(world));
  pc_world_free(world);
  return result;
}

pc_result simulate(const pc_scenario *scenario, const pc_trace *trace) {
  pc_lot *lot = make_lot(scenario);
  pc_result result = simulate_lot(lot, 1, 0, trace);
  pc_lot_free(lot);
  return result;
}
