// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Whole random scenarios, the same for the same seed: one area with obstacles (random_site.h), or one to four
 * areas side by side that wait for each other, carry their snow into each other, have deadlines and are for
 * some loaders only; passages, ground, old piles; boxes, blades, loaders with and without physical limits,
 * tanks and breakdowns; crews with shifts and breaks; storms; layouts, policies, chance. Most are valid, some
 * are not: whoever takes one validates it.
 *
 * Tests keep seeds that once failed, so what a seed gives must not change: new kinds of things are drawn from
 * streams of their own (see `stream_of` in the source). Out of memory ends the program. Thread-safe.
 */
#ifndef PC_TESTS_RANDOM_SCENARIO_H
#define PC_TESTS_RANDOM_SCENARIO_H

#include "sim/scenario.h"

/* Free with pc_scenario_free. */
pc_scenario random_scenario(uint64_t seed);

/* How a random scenario ended. */
typedef enum soak_end {
  SOAK_DONE,
  SOAK_FULL,    /* pile zones full */
  SOAK_STUCK,   /* no machine could move its load */
  SOAK_STOPPED, /* work was left that nobody could do */
  SOAK_REFUSED, /* not valid */
  SOAK_NO_LOT,  /* valid, but no lot could be made of it: faults say why */
  SOAK_BROKEN,  /* something is wrong with the library */
  SOAK_ENDS
} soak_end;

extern const char *const soak_end_names[SOAK_ENDS];

/* Runs the scenario of a seed with all invariants checked after each event, and looks at what comes of it:
 * mass, times, bound, and every 16th seed a second run that must give the same. `why` gets a word for
 * SOAK_BROKEN and SOAK_NO_LOT. */
soak_end soak_run(uint64_t seed, char *why, size_t size);

#endif
