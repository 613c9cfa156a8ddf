// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A lot: one combination of a scenario (layout, boxes, policy, depth) made ready to run. Constant once
 * made, so any number of threads may run it at once. Owned by the caller: pc_lot_free.
 */
#ifndef PC_SIM_LOT_H
#define PC_SIM_LOT_H

#include "sim/scenario.h"
#include "site/ground.h"
#include "site/routes.h"

struct pc_policy;

typedef struct pc_choice { /* NULL or NaN: as the scenario says */
  const char *layout;      /* default: the first */
  const char *box;         /* put this box on every machine */
  const char *loader;      /* put this loader in every place of the crew */
  const char *policy;
  double depth_m;
} pc_choice;

typedef struct pc_lane {
  int patch;
  int strip0, strips; /* the strips it covers */
  double v_m;         /* centre line, in the patch's frame */
  double width_m;
  size_t first; /* index of its station 0 in the lane set's arrays */
  int stations;
} pc_lane;

/* The lanes of one box swath over the whole site; a slot is one station of one lane. */
typedef struct pc_lane_set {
  int strips_per_lane;
  pc_lane *lanes;
  size_t lane_count;
  size_t *patch_lane;        /* first lane of each patch, and the end: patch_count + 1 entries */
  double *slot_m2, *slot_kg; /* area and snow at the start */
  double *slot_way_m;        /* way from the slot's middle to the nearest zone */
  double *thin_kg;           /* per lane: a swept slot with less than this needs no clean-up */
  size_t slot_count;
} pc_lane_set;

typedef struct pc_lot_machine {
  pc_name name; /* "mid loader 1" */
  pc_unit unit;
  size_t lane_set;
  pc_point start;
  bool *allowed; /* per patch: may work there */
} pc_lot_machine;

typedef struct pc_lot {
  pc_name scenario, layout;
  pc_snow snow;
  double fresh_density_kgpm3;
  const struct pc_policy *policy;
  double full_at, work_minutes_per_hour;
  pc_chance chance;
  pc_money money;
  pc_ground *ground;
  double *cell_kg; /* at the start */
  pc_zone *zones;  /* deep copies, in the layout's order */
  const pc_zone **zone_list;
  double *zone_capacity_kg;
  size_t zone_count;
  pc_routes *routes;
  pc_lane_set *lane_sets;
  size_t lane_set_count;
  pc_lot_machine *machines;
  size_t machine_count;
  double start_kg;
} pc_lot;

enum { PC_MACHINES_MAX = 64 };

/* Makes a lot from a valid scenario. Faults name what does not exist or does not fit; cautions too go to
 * `faults`. The scenario is not kept. */
PC_API PC_MUST_USE pc_status pc_lot_create(const pc_scenario *scenario, const pc_choice *choice, pc_lot **lot,
                                           pc_faults *faults);
PC_API void pc_lot_free(pc_lot *lot);

/* Centre of a slot in the world. */
static inline pc_point pc_lane_point(const pc_lot *lot, const pc_lane *lane, double u_m) {
  return pc_patch_world(&lot->ground->patches[lane->patch], u_m, lane->v_m);
}

#endif
