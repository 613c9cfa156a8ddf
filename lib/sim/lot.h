// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A lot: one combination of a scenario (layout, boxes, policy, depth) made ready to run. Constant once
 * made, so any number of threads may run it at once. Owned by the caller: pc_lot_free.
 */
#ifndef PC_SIM_LOT_H
#define PC_SIM_LOT_H

#include "sim/scenario.h"
#include "site/ground.h"
#include "site/slow.h"
#include "site/way_place.h"

PC_BEGIN_C

struct pc_policy;
struct pc_plan;

/* NULL or NaN: as the scenario says; begin with pc_choice_default(), not with {0}. PC_ERR_RANGE for a depth
 * or a number of machines that a scenario could not have. */
typedef struct pc_choice {
  const char *layout; /* default: the first */
  const char *box;    /* put this box on every machine, or these in turn (sim/mix.h) */
  const char *loader; /* put this loader in every place of the crew */
  const char *policy;
  double depth_m; /* 0 only where snow falls: bare ground at the start */
  int machines;   /* 0: as the crew has them; else that many: the crew's machines in order, and begun anew */
  bool without_luck; /* no chance and no breakdowns: every night is the same */
} pc_choice;

typedef struct pc_lane {
  int patch;
  int strip0, strips; /* the strips it covers */
  double v_m;         /* centre line, in the patch's frame */
  double width_m;
  size_t first; /* index of its station 0 in the lane set's arrays */
  int stations;
} pc_lane;

enum { PC_WALL_LOW = 1, PC_WALL_HIGH = 2 };

typedef enum pc_lost { PC_LOST_NOT, PC_LOST_TO_ZONES, PC_LOST_FROM_START } pc_lost; /* no way there is */

/* Where a machine stands that works at a slot: on the line between two nodes of the routes. */
typedef struct pc_slot_way {
  size_t node;          /* PC_NO_NODE: closed to the machines of this lane set */
  double low_m, high_m; /* u of that node and of the next; outside of them it is at the nearer one */
  unsigned char walls;  /* PC_WALL_LOW, PC_WALL_HIGH: the box too can't get beyond them */
  unsigned char lost;   /* pc_lost: closed, though the machine has room there */
} pc_slot_way;

#define PC_NO_ENTRY SIZE_MAX

typedef struct pc_beside { /* a slot of another area */
  size_t lane;             /* PC_NO_ENTRY: none */
  int station;
} pc_beside;

/* The lanes of one box swath over the whole site, for machines that may drive on the same pavement; a slot is
 * one station of one lane. */
typedef struct pc_lane_set {
  int strips_per_lane;
  pc_lane *lanes;
  size_t lane_count;
  size_t *patch_lane;        /* first lane of each patch, and the end: patch_count + 1 entries */
  size_t *patch_strip;       /* where the strips of each patch begin in strip_lane */
  size_t *strip_lane;        /* the lane of each strip */
  double *slot_m2, *slot_kg; /* area (0: closed) and snow at the start */
  double *slot_cells_m2;     /* area of its cells, closed or not */
  int *open_low, *open_high; /* of an open slot: the stations at which the gapless stretch around it ends */
  unsigned char *slot_slow;  /* near things: go slowly there; NULL: nowhere */
  double *slot_way_m;        /* way from the slot's middle to the nearest zone */
  double *from_building_m;   /* per lane: the least distance of its open slots from a building (without
                                buildings: how much nearer to a pile they are than the farthest of all) */
  int *outward;              /* per lane: the direction along it that leads away from there */
  int *exit;         /* per lane of an area that is carved out: the direction of its way out; else 0 */
  size_t *drop_lane; /* where what is carved out is dropped: a lane of the other area, and where along it */
  double *drop_u_m;
  pc_beside
      *over; /* per slot: where a blade lays snow over the border of an area with `into`; NULL: nowhere */
  double *thin_kg; /* per lane: a swept slot with less than this needs no clean-up */
  size_t slot_count;
  double load_kg;         /* the least full load of its machines; 0 where one has a blade */
  double half_width_m;    /* of its widest machine or box */
  bool *closed;           /* per outline of pc_site_pavement: closed to its machines; NULL: all is open */
  pc_slot_way *slot_ways; /* NULL: no obstacles, all is open */
  pc_routes *routes;
  bool owns_routes;
} pc_lane_set;

typedef struct pc_small_place { /* a stretch that no machine of the crew can clear */
  pc_point at;
  double area_m2;
} pc_small_place;

typedef struct pc_lot_machine {
  pc_name name; /* "mid loader 1" */
  pc_unit unit;
  size_t lane_set;
  size_t entry; /* of the scenario's crew; PC_NO_ENTRY: that has no crew, and this is the one machine */
  pc_point start;
  bool *allowed;        /* per patch: may work there */
  unsigned char *first; /* per patch: 1, it works there before all others until it is clear at its deadline or
                           after; 2, next; …; 0, in its turn. NULL: all in their turn */
  double from_s, until_s;            /* time at work; until NaN: to the end */
  double break_every_s, break_for_s; /* NaN: no breaks */
  pc_point fuel_at;
  int first_count; /* highest number in `first` */
  bool keep;       /* stays as it is, whatever is tried on the others */
} pc_lot_machine;

typedef struct pc_extent { /* the least rectangle along the axes around something */
  pc_point low, high;
} pc_extent;

typedef struct pc_lot_area { /* one for each patch of the ground */
  pc_name name;
  double opens_s, clear_by_s; /* time at work; by the clock, NaN: no deadline */
  double sweep_before_s;      /* of the clock; 0: no sweep of its own before the deadline */
  bool *after;                /* per area: has to be done before */
  int into;                   /* area that its snow is carried into; −1: to zones */
  int outward; /* across its lanes, away from buildings: +1 towards higher lane numbers, else −1 */
} pc_lot_area;

/* Snow that only some machines may move, as the lower bound counts it. */
typedef struct pc_lot_share {
  size_t area;       /* all that is tied to the machines that may work there; PC_NO_ENTRY: all, for all */
  size_t lane_set;   /* the lanes by which it is counted */
  bool *closed;      /* per outline of pc_site_pavement: closed to all of them; NULL: none is */
  pc_routes *routes; /* ways that none of them can beat, whatever its width; nodes: those of that lane set */
  bool owns_routes;
} pc_lot_share;

typedef struct pc_lot_passage {
  pc_name name;
  pc_ring outline;
  int machines; /* at once */
} pc_lot_passage;

typedef struct pc_fall { /* what falls from `after_s` to the next one, in time at work */
  double after_s, kgpm2ps, depth_mps;
} pc_fall;

typedef struct pc_lot {
  pc_name scenario, layout;
  pc_snow snow;
  double fresh_density_kgpm3;
  const struct pc_policy *policy;
  const struct pc_plan *plan; /* what the policy "planned" follows; borrowed; NULL: none */
  double full_at, work_minutes_per_hour;
  pc_chance chance;
  pc_money money;
  pc_ground *ground;
  double *cell_kg; /* at the start */
  pc_zone *zones;  /* deep copies, in the layout's order */
  const pc_zone **zone_list;
  double *zone_capacity_kg;
  pc_extent *zone_extent;
  size_t zone_count;
  pc_slow *slow; /* NULL: nowhere */
  double near_speed_mps;
  pc_lot_share *shares; /* of the snow, for the lower bound; the first: all of it, for the whole crew */
  size_t share_count;
  const pc_routes *routes; /* of that one: ways that no machine can beat */
  pc_lane_set *lane_sets;
  size_t lane_set_count;
  pc_lot_machine *machines;
  size_t machine_count;
  pc_lot_area *areas;
  size_t area_count;
  bool has_blades, has_carving;
  pc_lot_passage *passages;
  size_t passage_count;
  pc_fall *falls; /* the last one lasts for ever */
  size_t fall_count;
  double storm_end_s; /* time at work; 0: nothing falls */
  double fall_kgpm2;  /* all that falls */
  double fall_m;      /* its depth as it falls */
  double lying_kgpm3; /* mean density of all fresh snow, lying and falling: masses on the ground as depths */
  double keep_apart_m;
  double start_kg;           /* on the lane grid */
  double small_m2, small_kg; /* left for a smaller machine: off the grid, in no other sum */
  pc_small_place *small;     /* the stretches of it (without borders along walls), largest first */
  size_t small_count;
  pc_clock clock; /* when the work starts, as the scenario has it; no run depends on it */
} pc_lot;

enum { PC_MACHINES_MAX = PC_CREW_MAX, PC_LOADS_MAX = 1000000 };

/* All as the scenario says. */
PC_API pc_choice pc_choice_default(void);
/* Makes a lot from a valid scenario. Faults name what does not exist or does not fit; cautions too go to
 * `faults`. The scenario is not kept. */
PC_API PC_MUST_USE pc_status pc_lot_create(const pc_scenario *scenario, const pc_choice *choice, pc_lot **lot,
                                           pc_faults *faults);
PC_API void pc_lot_free(pc_lot *lot);
/* All the snow of the night on the lane grid: what lies at the start and what falls. */
PC_API double pc_lot_snow_kg(const pc_lot *lot);
/* Whether no others may work in an area than those that may in `to`, and its snow stays there or goes to the
 * zones. PC_NO_ENTRY: true. */
PC_API bool pc_lot_is_tied_to(const pc_lot *lot, size_t area, size_t to);
/* The first machine with a blade that may work this area; PC_NO_ENTRY: none. */
PC_API size_t pc_lot_blade_of(const pc_lot *lot, size_t area);
/* Only blades work in this area, and what they lay along its outer edge is taken by nobody: not even laid
 * over into another area, or that does not lie beside it. */
PC_API bool pc_lot_leaves_ridge(const pc_lot *lot, size_t area);

/* Machines work work_minutes_per_hour minutes of every hour by the clock. Inside a run time is time at work;
 * what goes by the clock (areas that open, shifts, breaks, the storm) is kept in it, too. */
static inline double pc_lot_work_s(const pc_lot *lot, double clock_s) {
  return clock_s * (lot->work_minutes_per_hour / 60.0);
}

/* The other way round: time by the clock of time at work. */
static inline double pc_lot_clock_s(const pc_lot *lot, double work_s) {
  return work_s * (60.0 / lot->work_minutes_per_hour);
}

/* The lane that covers a strip of a patch. */
static inline size_t pc_lane_of_strip(const pc_lane_set *set, size_t patch, int strip) {
  return set->strip_lane[set->patch_strip[patch] + (size_t)strip];
}

/* Whether there is ground beside a slot of a lane on this side (+1: of higher lane numbers) in the same area.
 */
static inline bool pc_lane_has_beside(const pc_lot *lot, const pc_lane *lane, int station, int side) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  int strip = side > 0 ? lane->strip0 + lane->strips : lane->strip0 - 1;
  return strip >= 0 && strip < patch->strips &&
         lot->ground->cell_m2[pc_patch_cell(patch, station, strip)] > 0.0;
}

/* Centre of a slot in the world. */
static inline pc_point pc_lane_point(const pc_lot *lot, const pc_lane *lane, double u_m) {
  return pc_patch_world(&lot->ground->patches[lane->patch], u_m, lane->v_m);
}

/* Where a machine stands at a place of a lane, as part of its slot; only where there are slot_ways. */
static inline const pc_slot_way *pc_lot_slot_way(const pc_lane_set *set, const pc_patch *patch,
                                                 const pc_lane *lane, double u_m) {
  double station = (u_m - patch->u0_m) / patch->station_m;
  int i = station <= 0.0 ? 0 : station >= lane->stations ? lane->stations - 1 : (int)station;
  const pc_slot_way *way = &set->slot_ways[lane->first + (size_t)i];
  /* on the border of two slots, of which one is closed: in the other */
  if (way->node == PC_NO_NODE && i > 0 && station - i < 1e-6)
    return way - 1;
  if (way->node == PC_NO_NODE && i + 1 < lane->stations && station - i > 1.0 - 1e-6)
    return way + 1;
  return way;
}

/* The place itself, kept within what a machine can reach of its slot. */
static inline pc_place pc_lot_place(const pc_lot *lot, const pc_lane_set *set, const pc_lane *lane,
                                    double u_m) {
  const pc_slot_way *way =
      set->slot_ways ? pc_lot_slot_way(set, &lot->ground->patches[lane->patch], lane, u_m) : NULL;
  if (!way || way->node == PC_NO_NODE)
    return pc_place_at(pc_lane_point(lot, lane, u_m));
  double u = u_m < way->low_m ? way->low_m : u_m > way->high_m ? way->high_m : u_m;
  double share = way->high_m > way->low_m ? (u - way->low_m) / (way->high_m - way->low_m) : 0.0;
  const pc_place place = {pc_lane_point(lot, lane, u), way->node, share};
  return place;
}

PC_END_C

#endif
