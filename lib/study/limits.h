// SPDX-License-Identifier: GPL-3.0-or-later
/* For each loader × box: what it holds, how far it fills, how fast it pushes, and what limits it. Thread-safe
 * (arguments only). */
#ifndef PC_STUDY_LIMITS_H
#define PC_STUDY_LIMITS_H

#include "sim/scenario.h"

PC_BEGIN_C

enum { PC_LIMIT_POINTS = 5 };

typedef struct pc_limits_row {
  pc_name loader, box;
  pc_unit unit;
  double full_load_kg;  /* full_at × capacity */
  double fill_length_m; /* way to a full box in pc_limits_snow; INFINITY if it never fills */
  double fill_time_s;
  double push_speed_mps[PC_LIMIT_POINTS]; /* at 0, 25, 50, 75, 100 % of the full load */
  double carry_speed_mps;                 /* with the full load */
  double clearing_kgps;     /* full load over the time to fill and to carry it 50 m and return: the rate of a
                               plain cycle, to compare boxes on one loader */
  pc_resistance resistance; /* at full load and push speed */
} pc_limits_row;

/* The snow that limits are told for: that of the scenario; where none lies at the start but a storm falls,
 * all that falls, with its mean density, as if it lay at once. Cannot fail. */
PC_API pc_snow pc_limits_snow(const pc_scenario *scenario);
/* rows must have room for loader_count × box_count; loaders outer. Returns how many there are: boxes that a
 * loader can't carry (`boxes` of a loader) have none. */
PC_API size_t pc_limits_make(const pc_scenario *scenario, pc_limits_row *rows);

PC_END_C

#endif
