// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A scenario: everything a user states about one lot. Plain structs, SI, references by name. Fill it from
 * pc_scenario_default(), or read it from a file with pc_scenario_read() of libpushcycle-io, then
 * pc_scenario_validate(), then make lots from it (sim/lot.h).
 *
 * Ownership: arrays belong to the scenario (malloc'd); pc_scenario_free releases them.
 */
#ifndef PC_SIM_SCENARIO_H
#define PC_SIM_SCENARIO_H

#include <stdint.h>

#include "machine/loader.h"
#include "site/site.h"
#include "site/siting.h"

enum {
  PC_PARTS_MAX = 200,    /* boxes, loaders, zones, layouts, areas, ground outlines, crew entries: each */
  PC_THINGS_MAX = 10000, /* obstacles, things to keep clear of: each */
  PC_CREW_MAX = 64       /* machines of the whole crew */
};

typedef struct pc_names {
  pc_name *items;
  size_t count;
} pc_names;

typedef struct pc_layout { /* a choice of pile zones */
  pc_name name;
  pc_names zones;
} pc_layout;

typedef struct pc_crew_entry {
  pc_name loader, box;
  int count; /* default 1 */
  bool has_start;
  pc_point start; /* without one: the first corner of the first area it works */
  pc_names areas; /* empty: all */
} pc_crew_entry;

typedef struct pc_chance { /* coefficients of variation, lognormal with mean 1; all 0 = no chance */
  int replications;        /* default 1 */
  int seed;                /* default 1 */
  double fill, carry, dump, turn, back; /* `back` is the return; key "return" */
} pc_chance;

typedef struct pc_money {               /* NaN: not given */
  pc_name currency;                     /* default "EUR" */
  double machine_per_s, operator_per_s; /* per machine */
  double fuel_per_m3, haul_off_per_m3;
} pc_money;

typedef struct pc_depths {
  double *items_m;
  size_t count;
} pc_depths;

typedef struct pc_wanted { /* what `compare` should compare; an empty list means the scenario's own value,
                              the single name "all" means every one (depths have no "all") */
  pc_names layouts, boxes, loaders, policies;
  pc_depths depths;
} pc_wanted;

typedef struct pc_scenario {
  pc_name name;
  pc_snow snow;
  pc_site site;
  pc_box *boxes;
  size_t box_count;
  pc_loader *loaders;
  size_t loader_count;
  pc_zone *zones;
  size_t zone_count;
  pc_layout *layouts; /* none: one layout named "all zones" */
  size_t layout_count;
  pc_crew_entry *crew; /* none, with one box and one loader: one machine of those */
  size_t crew_count;
  pc_name policy;               /* default keep-pushing */
  double full_at;               /* default 0.95 */
  double work_minutes_per_hour; /* default 60 */
  double station_m;             /* length of a grid cell along the lane, default 2 m */
  pc_near near;                 /* care close to obstacles; default none */
  pc_siting siting;             /* limits of the cautions about where zones lie */
  pc_chance chance;
  pc_money money;
  pc_wanted compare;
} pc_scenario;

/* Tables of the scenario's own scalar fields and of its parts. */
PC_API extern const pc_fields pc_scenario_fields; /* name, policy, full_at, work_minutes_per_hour, station */
PC_API extern const pc_fields pc_layout_fields, pc_crew_fields, pc_chance_fields, pc_money_fields;

PC_API pc_scenario pc_scenario_default(void);
PC_API pc_crew_entry pc_crew_entry_default(void);
/* Every fault and caution. Keys are the paths of the scenario file (boxes[1].width, crew[0].loader). */
PC_API void pc_scenario_validate(const pc_scenario *scenario, pc_faults *faults);
PC_API void pc_scenario_free(pc_scenario *scenario);

#endif
