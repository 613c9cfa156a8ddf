// SPDX-License-Identifier: GPL-3.0-or-later
/* Runs a scenario in a test, with every invariant checked after every event; fails the test if anything goes
 * wrong. */
#ifndef PC_TESTS_SIMULATE_H
#define PC_TESTS_SIMULATE_H

#include "sim/run.h"

/* The result must be freed with pc_result_free. trace may be NULL. */
pc_result simulate_lot(const pc_lot *lot, uint64_t seed, uint64_t replication, const pc_trace *trace);
pc_result simulate(const pc_scenario *scenario, const pc_trace *trace);
pc_lot *make_lot(const pc_scenario *scenario);
/* Fails unless |value − expected| ≤ relative·|expected|. */
void assert_near(const char *what, double value, double expected, double relative);

#endif
