// SPDX-License-Identifier: GPL-3.0-or-later
/* The built-in policies. Not installed. */
#ifndef PC_SIM_POLICIES_H
#define PC_SIM_POLICIES_H

#include "sim/world.h"

extern const pc_policy pc_policy_straight_runs, pc_policy_keep_pushing, pc_policy_building_out;
/* keep-pushing by the weights and keys of the world's plan; not in the list, as it needs one. */
extern const pc_policy pc_policy_planned;

/* Next dirty slot at or after `station` in direction `sign`, -1 if there is none. */
int pc_next_dirty(const pc_lane_state *state, const pc_lane *lane, int station, int sign);
/* Last dirty slot that can be reached from `station` without crossing a gap in the pavement. */
int pc_last_dirty(const pc_lane_set *set, const pc_lane_state *state, const pc_lane *lane, int station,
                  int sign);

static inline double pc_slot_low_m(const pc_lot *lot, const pc_lane *lane, int station) {
  return lot->ground->patches[lane->patch].u0_m + station * lot->ground->patches[lane->patch].station_m;
}

#endif
