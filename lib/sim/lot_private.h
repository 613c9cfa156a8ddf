// SPDX-License-Identifier: GPL-3.0-or-later
/* How a lot is put together: lot.c chooses, lot_lanes.c lays the lanes, lot_ways.c finds where machines get
 * to, lot_reach.c tells of those that don't, lot_shares.c says what the lower bound counts for whom. Not
 * installed. */
#ifndef PC_SIM_LOT_PRIVATE_H
#define PC_SIM_LOT_PRIVATE_H

#include "sim/lot.h"
#include "site/blocked.h"
#include "site/routes.h"

/* Areas' times and order, passages, the storm. */
PC_MUST_USE pc_status pc_lot_keep_night(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults);
void pc_lot_free_night(pc_lot *lot);
/* How each lane lies to the buildings; after the slots are filled. */
void pc_lot_find_outward(const pc_lot *lot, const pc_site *site, pc_lane_set *set);
/* The side of each area to which blades lay its snow; after the lanes of all sets are measured. */
void pc_lot_find_sides(pc_lot *lot);
/* Where lanes of areas that are carved out lead to, and where blades lay snow over their borders. */
PC_MUST_USE pc_status pc_lot_find_exits(const pc_lot *lot, pc_lane_set *set);
/* A caution for each area that only blades work, and whose windrow nobody takes. */
void pc_lot_tell_ridges(const pc_lot *lot, pc_faults *faults);
/* Ground and lanes for every machine; strips are counted, nothing is closed yet. */
PC_MUST_USE pc_status pc_lot_lay_ground(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults);
/* Ways for every lane set: closes slots that its machines can't get to, takes what no machine of the crew can
 * get to off the grid, and fills the slots. */
PC_MUST_USE pc_status pc_lot_find_ways(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults);
/* Area and snow of each slot from its cells, and the way to the nearest zone. */
void pc_lot_fill_slots(const pc_lot *lot, pc_lane_set *set);

/* Faults of zones that nobody gets to, and of ground with room for a machine to which no way leads any of
 * them. After slots are closed. */
PC_MUST_USE pc_status pc_lot_check_reached(const pc_lot *lot, const pc_scenario *scenario, pc_faults *faults);
/* A caution for each machine that can't get to some of the areas it may work in: none of its slots there is
 * open. After slots are closed, before what is small is taken off the grid. */
void pc_lot_tell_out_of_reach(const pc_lot *lot, const pc_scenario *scenario, pc_faults *faults);

/* Takes the cells that are closed to everyone off the grid and lists the stretches of each strip; the largest
 * has a place that lies on it, the others one that may be cut off. PC_ERR_MEMORY. */
PC_MUST_USE pc_status pc_lot_take_off_small(pc_lot *lot, const pc_site *site);
/* A caution of what is left for a smaller machine, if it is worth a word. */
void pc_lot_tell_small(const pc_lot *lot, pc_faults *faults);

/* Whether some machine with these lanes has to do with the area. */
bool pc_lot_is_anyones(const pc_lot *lot, const pc_lane_set *set, int patch);
/* Which snow is tied to which machines; after the lanes are laid. PC_ERR_MEMORY. */
PC_MUST_USE pc_status pc_lot_find_shares(pc_lot *lot, const pc_site *site);
/* The ways of those shares that are counted by this lane set, whose nodes are given. */
PC_MUST_USE pc_status pc_lot_net_of_shares(pc_lot *lot, const pc_site *site, size_t set,
                                           const pc_point *nodes, size_t node_count, pc_faults *faults);
void pc_lot_free_shares(pc_lot *lot);

/* Half the width that a machine of this lane set needs: the wider of machine and box. */
double pc_lot_half_width_m(const pc_lot *lot, size_t set);

#endif
