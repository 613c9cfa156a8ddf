// SPDX-License-Identifier: GPL-3.0-or-later
/* The built-in policies. Not installed. */
#ifndef PC_SIM_POLICIES_H
#define PC_SIM_POLICIES_H

#include <string.h>

#include "sim/world.h"

extern const pc_policy pc_policy_straight_runs, pc_policy_keep_pushing, pc_policy_building_out;
/* keep-pushing by the weights and keys of the world's plan; not in the list, as it needs one. */
extern const pc_policy pc_policy_planned;

/* The last flag that is set of from … to, downwards: eight at a time. −1: none. */
static inline int pc_scan_down(const unsigned char *flags, int from, int to) {
  int i = from;
  for (uint64_t eight; i - 7 >= to; i -= 8) {
    memcpy(&eight, &flags[i - 7], sizeof eight);
    if (eight != 0)
      break;
  }
  while (i >= to && !flags[i])
    i--;
  return i >= to ? i : -1;
}

/* The first flag that is set of from … to (included), −1: none. */
static inline int pc_scan_up(const unsigned char *flags, int from, int to) {
  const unsigned char *found = from <= to ? memchr(&flags[from], 1, (size_t)(to - from) + 1) : NULL;
  return found ? (int)(found - flags) : -1;
}

/* Next dirty slot at or after `station` in direction `sign`, -1 if there is none. */
static inline int pc_next_dirty(const pc_lane_state *state, const pc_lane *lane, int station, int sign) {
  const unsigned char *dirty = &state->dirty[lane->first];
  return sign > 0 ? pc_scan_up(dirty, station, lane->stations - 1) : pc_scan_down(dirty, station, 0);
}

/* Last dirty slot that can be reached from an open one without crossing a gap in the pavement; that one
 * itself if none is dirty. */
static inline int pc_last_dirty(const pc_lane_set *set, const pc_lane_state *state, const pc_lane *lane,
                                int station, int sign) {
  const unsigned char *dirty = &state->dirty[lane->first];
  size_t slot = lane->first + (size_t)station;
  int last = sign > 0 ? pc_scan_down(dirty, set->open_high[slot], station)
                      : pc_scan_up(dirty, set->open_low[slot], station);
  return last < 0 ? station : last;
}

static inline double pc_slot_low_m(const pc_lot *lot, const pc_lane *lane, int station) {
  return lot->ground->patches[lane->patch].u0_m + station * lot->ground->patches[lane->patch].station_m;
}

#endif
