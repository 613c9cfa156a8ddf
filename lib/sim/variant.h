// SPDX-License-Identifier: GPL-3.0-or-later
/* A scenario with something else in it. Internal: not installed. Thread-safe (arguments only). */
#ifndef PC_SIM_VARIANT_H
#define PC_SIM_VARIANT_H

#include "sim/scenario.h"

/* A copy whose areas, storm, boxes, loaders and crew can be changed, each list with room for one more; what
 * they refer to, and all else, is borrowed. End with pc_variant_free, also on failure. PC_ERR_MEMORY. */
PC_MUST_USE pc_status pc_variant_make(const pc_scenario *scenario, pc_scenario *variant);
void pc_variant_free(pc_scenario *variant);

#endif
