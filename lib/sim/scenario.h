// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A scenario: everything a user states about one lot. Plain structs, SI, references by name. Fill it from
 * pc_scenario_default(), or read it from a file with pc_scenario_read() of libpushcycle-io, then
 * pc_scenario_validate(), then make lots from it (sim/lot.h).
 *
 * Ownership: arrays belong to the scenario (malloc'd); pc_scenario_free releases them.
 * Thread-safety: arguments only; a scenario that nobody changes may be read by several threads.
 */
#ifndef PC_SIM_SCENARIO_H
#define PC_SIM_SCENARIO_H

#include <stdint.h>

#include "base/clock.h"
#include "base/origins.h"
#include "machine/loader.h"
#include "site/site.h"
#include "site/siting.h"

PC_BEGIN_C

enum {
  PC_PARTS_MAX = 200,    /* boxes, loaders, zones, layouts, areas, ground outlines, crew entries: each */
  PC_THINGS_MAX = 10000, /* obstacles, things to keep clear of: each */
  PC_CREW_MAX = 64,      /* machines of the whole crew */
  PC_STORM_MAX = 20000   /* pieces of a storm */
};

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
  pc_names first; /* of these, the areas it works before all others, in this order, as long as there is
                     something to push, until they are clear at their deadline or after it; empty: none */
  double from_s, until_s;            /* at work from … until; default 0, NaN: to the end */
  double break_every_s, break_for_s; /* keys breaks.every, breaks.for; NaN: no breaks */
  bool keep; /* stays as it is when other boxes, loaders or numbers of machines are tried */
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
  double interest; /* a year, for what owning boxes costs a season; default 0 */
} pc_money;

/* Of a machine with its operator, as far as these are given; NaN: neither is. */
PC_API double pc_money_per_s(const pc_money *money);
/* "operators: money.operator is not given": what a cost is without, though there are prices; "": nothing. */
PC_API const char *pc_money_missing(const pc_money *money);
/* Cautions of prices per time that look like a slip of unit: a price of an hour given as one of a minute. */
PC_API void pc_money_check_unusual(const pc_money *money, pc_faults *faults);

typedef struct pc_depths {
  double *items_m;
  size_t count;
} pc_depths;

typedef struct pc_counts {
  int *items;
  size_t count;
} pc_counts;

/* Stands in the lists of boxes and loaders to compare for what the crew has, unless one is so called. */
#define PC_OWN "own"

typedef struct pc_wanted { /* what `compare` should compare; an empty list means the scenario's own value,
                              the single name "all" means every one (depths have no "all"), and where the
                              crew's machines differ, also as they are */
  pc_names layouts, boxes, loaders, policies; /* a box may be a mix (sim/mix.h) */
  bool mixed; /* beside these boxes on every machine, every other way to put them on the crew's machines,
                 for each number of them in `crews`; an empty list of boxes means all */
  pc_depths depths;
  pc_counts crews; /* numbers of machines to try: n machines are the first n of the crew written out, entry by
                      entry and each as often as its count, and begun anew as often as needed */
  double within_s; /* more than 0: replications go on until the best is known to within it; default 0 */
} pc_wanted;

/* Storms of a usual season that bring about this depth of snow. */
typedef struct pc_season_storm {
  double depth_m;
  double storms; /* how many */
} pc_season_storm;

/* What falls from `after_s` until the next piece begins. The last piece lasts to the end. */
typedef struct pc_storm_piece {
  double after_s;       /* from the start of the work; strictly rising */
  double rate_mps;      /* depth of fresh snow per time; default 0 */
  double temperature_c; /* NaN: density as `snow` says */
  double wind_mps;      /* NaN: as `snow` says */
  double rain_mps;      /* depth of rain water per time, for reports only; default 0 */
} pc_storm_piece;

enum { PC_PLACE_MAX = 8 };

/* What `place` should do: choose pile zones among many places (study/place.h). */
typedef struct pc_placing {
  int zones;                          /* how many; default 3 */
  double length_m, width_m, height_m; /* of places that are generated; default 40 m, 10 m, 5 m */
  double step_m;                      /* how far apart they are; NaN: chosen so that there are some 60 */
  bool allow;          /* also places that good practice speaks against; never those that a law does */
  bool off_areas;      /* none is generated on an area that has to be cleared */
  int simulations;     /* how many choices of each number of zones are simulated; 0: by the size of the lot */
  pc_zone *candidates; /* further places, beside the zones; one with a zone's name is that zone */
  size_t candidate_count;
  pc_names among; /* names of zones and candidates, "generated", "all"; empty: all */
  pc_names keep;  /* to be among those chosen, in any case */
} pc_placing;

typedef struct pc_scenario {
  pc_name name;
  pc_snow snow;
  pc_site site;
  pc_box *boxes;
  size_t box_count;
  pc_loader *loaders;
  size_t loader_count;
  pc_zone *zones; /* none: valid, and study/place.h looks for some, but no lot can be made */
  size_t zone_count;
  pc_layout *layouts; /* none: one layout named "all zones" */
  size_t layout_count;
  pc_crew_entry *crew; /* none, with one box and one loader: one machine of those */
  size_t crew_count;
  pc_name policy;               /* default keep-pushing */
  double full_at;               /* default 0.95 */
  double work_minutes_per_hour; /* default 60 */
  double station_m;             /* length of a grid cell along the lane, default 2 m */
  double keep_apart_m;          /* machines that push keep this far from one another; default 0: off */
  bool has_fuel_point;
  pc_point fuel_point;   /* where to refuel; without one each machine does so where it started */
  pc_storm_piece *storm; /* none: no snow falls during the work */
  size_t storm_count;
  pc_near near;     /* care close to obstacles; default none */
  pc_siting siting; /* limits of the cautions about where zones lie */
  pc_chance chance;
  pc_money money;
  pc_season_storm *season; /* none: a comparison says nothing of seasons */
  size_t season_count;
  pc_wanted compare;
  pc_placing place;
  pc_unit_system units;    /* in which people are shown it and its results; default PC_US if its file has
                              coordinates in feet */
  pc_origins origins;      /* where its parts stand in their files; none: it was not read from one */
  double storm_last_row_s; /* of a storm file: how long its last row, which has no end, is taken to hold; 0:
                              there is no such row */
  pc_clock clock;          /* when the work starts; not given: people are shown times after the start */
} pc_scenario;

/* Tables of the scenario's own scalar fields and of its parts. */
PC_API extern const pc_fields pc_scenario_fields; /* name, policy, full_at, … */
PC_API extern const pc_fields pc_layout_fields, pc_crew_fields, pc_chance_fields, pc_money_fields,
    pc_storm_fields, pc_placing_fields, pc_season_fields, pc_wanted_fields;

PC_API pc_scenario pc_scenario_default(void);
PC_API pc_crew_entry pc_crew_entry_default(void);
/* Whether machines of this entry, with this loader, may work the area: crews may be bound to areas, and areas
 * to loaders. */
static inline bool pc_crew_may_work(const pc_crew_entry *entry, const char *loader, const pc_area *area) {
  return (entry->areas.count == 0 || pc_names_have(&entry->areas, area->name.text)) &&
         pc_area_takes(area, loader);
}
PC_API pc_storm_piece pc_storm_piece_default(void);
PC_API pc_placing pc_placing_default(void);
/* Density of what falls in this piece, kg/m³: by its temperature, else the fresh density of `snow`. */
PC_API double pc_storm_piece_density(const pc_storm_piece *piece, const pc_snow *snow);
/* Depth of fresh snow that falls in all pieces but the last, which has no end. */
PC_API double pc_storm_depth_m(const pc_storm_piece *pieces, size_t count);
/* Mass of it per area, kg/m2: each piece with its own density. Cannot fail. */
PC_API double pc_storm_kgpm2(const pc_storm_piece *pieces, size_t count, const pc_snow *snow);
/* Every fault and caution. Keys are the paths of the scenario file (boxes[1].width, crew[0].loader). */
PC_API void pc_scenario_validate(const pc_scenario *scenario, pc_faults *faults);
/* Gives faults from number `first` on the places of their keys in the scenario's files. */
PC_API void pc_scenario_place_faults(const pc_scenario *scenario, pc_faults *faults, size_t first);
PC_API void pc_scenario_free(pc_scenario *scenario);

/* What the scenario has of this name; NULL: nothing. */
PC_API const pc_box *pc_scenario_box(const pc_scenario *scenario, const char *name);
PC_API const pc_loader *pc_scenario_loader(const pc_scenario *scenario, const char *name);
PC_API const pc_zone *pc_scenario_zone(const pc_scenario *scenario, const char *name);
PC_API const pc_layout *pc_scenario_layout(const pc_scenario *scenario, const char *name);
/* A zone, or else a candidate of `place`. */
PC_API const pc_zone *pc_scenario_place(const pc_scenario *scenario, const char *name);

/* Machines of the crew whose start is given, called as in results; those without one are left out. */
typedef struct pc_crew_start {
  pc_name name;
  pc_point at;
} pc_crew_start;
PC_API size_t pc_crew_starts(const pc_scenario *scenario, pc_crew_start starts[PC_CREW_MAX]);

PC_END_C

#endif
