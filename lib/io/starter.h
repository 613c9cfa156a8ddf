// SPDX-License-Identifier: GPL-3.0-or-later
/* Scenario files that come with the library, as text. Constant; nothing to free; thread-safe. */
#ifndef PC_IO_STARTER_H
#define PC_IO_STARTER_H

#include "base/status.h"

PC_BEGIN_C

/* A commented scenario to start from: it runs as it is, and shows every optional key. */
PC_API const char *pc_starter_scenario(void);
/* The built-in demonstration lot: an invented ferry terminal. */
PC_API const char *pc_demo_scenario(void);
/* The starter as a reader of these units would write it: with PC_US one in feet, inches, miles per hour,
 * pounds and gallons, with the same keys in the same order; else pc_starter_scenario(). */
PC_API const char *pc_starter_scenario_in(pc_unit_system units);

PC_END_C

#endif
