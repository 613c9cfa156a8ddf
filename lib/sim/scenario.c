// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/scenario.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#define QUANTITY(type, member, name, dim, low, high, otherwise, text)                                        \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_QUANTITY, .dimension = (dim), .offset = offsetof(type, member),          \
    .min = (low), .max = (high), .fallback = (otherwise), .help = (text)                                     \
  }
#define INTEGER(type, member, name, low, high, otherwise, text)                                              \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_INTEGER, .offset = offsetof(type, member), .min = (low), .max = (high),  \
    .fallback = (otherwise), .help = (text)                                                                  \
  }
#define NAME(type, member, name, needed, otherwise, text)                                                    \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_NAME, .offset = offsetof(type, member), .required = (needed),            \
    .fallback = (otherwise), .help = (text)                                                                  \
  }
#define TABLE(items)                                                                                         \
  { (items), sizeof(items) / sizeof((items)[0]) }

static const pc_field scenario_items[] = {
    NAME(pc_scenario, name, "name", false, "none", "what the lot is called, for headings"),
    NAME(pc_scenario, policy, "policy", true, "keep-pushing",
         "how a machine chooses what to push next: keep-pushing or straight-runs"),
    {.key = "full_at",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_SHARE,
     .offset = offsetof(pc_scenario, full_at),
     .min = 0.05,
     .max = 1,
     .required = true,
     .fallback = "0.95",
     .help = "how full the box is when the operator drives to a zone"},
    {.key = "work_minutes_per_hour",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_NUMBER,
     .offset = offsetof(pc_scenario, work_minutes_per_hour),
     .min = 0,
     .max = 60,
     .above_min = true,
     .required = true,
     .fallback = "60",
     .help = "minutes of work in an hour; 50 is usual where breaks and delays count"},
    {.key = "station",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_scenario, station_m),
     .min = 0.1,
     .max = 20,
     .required = true,
     .fallback = "2 m",
     .help = "length of a grid cell along the lane: smaller is finer and slower to compute"},
};

static const pc_field layout_items[] = {
    NAME(pc_layout, name, "name", true, NULL, "what this choice of pile zones is called"),
};

static const pc_field crew_items[] = {
    NAME(pc_crew_entry, loader, "loader", true, NULL, "name of a loader"),
    NAME(pc_crew_entry, box, "box", true, NULL, "name of the box it pushes"),
    INTEGER(pc_crew_entry, count, "count", 1, PC_CREW_MAX, "1", "how many such machines work"),
};

static const pc_field chance_items[] = {
    INTEGER(pc_chance, replications, "replications", 1, 100000, "1",
            "how often the lot is cleared, each time with other luck"),
    INTEGER(pc_chance, seed, "seed", 0, INT_MAX, "1",
            "start of the random numbers; the same seed, the same luck"),
    QUANTITY(pc_chance, fill, "fill", PC_DIM_SHARE, 0, 1, "0",
             "how much fill times vary: standard deviation over mean"),
    QUANTITY(pc_chance, carry, "carry", PC_DIM_SHARE, 0, 1, "0", "how much carry times vary"),
    QUANTITY(pc_chance, dump, "dump", PC_DIM_SHARE, 0, 1, "0", "how much dump times vary"),
    QUANTITY(pc_chance, turn, "turn", PC_DIM_SHARE, 0, 1, "0", "how much turning times vary"),
    QUANTITY(pc_chance, back, "return", PC_DIM_SHARE, 0, 1, "0", "how much return times vary"),
};

static const pc_field money_items[] = {
    NAME(pc_money, currency, "currency", true, "EUR", "three-letter code or sign of the currency"),
    QUANTITY(pc_money, machine_per_s, "machine", PC_DIM_PER_TIME, 0, INFINITY, "not counted",
             "cost of one machine per unit of time, without operator and fuel"),
    QUANTITY(pc_money, operator_per_s, "operator", PC_DIM_PER_TIME, 0, INFINITY, "not counted",
             "cost of one operator per unit of time"),
    QUANTITY(pc_money, fuel_per_m3, "fuel", PC_DIM_PER_VOLUME, 0, INFINITY, "not counted", "price of fuel"),
    QUANTITY(pc_money, haul_off_per_m3, "haul_off", PC_DIM_PER_VOLUME, 0, INFINITY, "not counted",
             "cost of hauling off the piled snow that no zone could take"),
};

const pc_fields pc_scenario_fields = TABLE(scenario_items);
const pc_fields pc_layout_fields = TABLE(layout_items);
const pc_fields pc_crew_fields = TABLE(crew_items);
const pc_fields pc_chance_fields = TABLE(chance_items);
const pc_fields pc_money_fields = TABLE(money_items);

pc_scenario pc_scenario_default(void) {
  return (pc_scenario){
      .snow = pc_snow_default(),
      .policy = pc_name_of("keep-pushing"),
      .full_at = 0.95,
      .work_minutes_per_hour = 60,
      .station_m = 2,
      .near = pc_near_default(),
      .siting = pc_siting_default(),
      .chance = {.replications = 1, .seed = 1},
      .money = {.currency = pc_name_of("EUR"),
                .machine_per_s = NAN,
                .operator_per_s = NAN,
                .fuel_per_m3 = NAN,
                .haul_off_per_m3 = NAN},
  };
}

pc_crew_entry pc_crew_entry_default(void) {
  return (pc_crew_entry){.count = 1};
}

static void free_names(pc_names *names) {
  free(names->items);
  *names = (pc_names){0};
}

void pc_scenario_free(pc_scenario *scenario) {
  if (!scenario)
    return;
  pc_site_free(&scenario->site);
  for (size_t i = 0; i < scenario->zone_count; i++)
    pc_zone_free(&scenario->zones[i]);
  for (size_t i = 0; i < scenario->layout_count; i++)
    free_names(&scenario->layouts[i].zones);
  for (size_t i = 0; i < scenario->crew_count; i++)
    free_names(&scenario->crew[i].areas);
  free(scenario->boxes);
  free(scenario->loaders);
  free(scenario->zones);
  free(scenario->layouts);
  free(scenario->crew);
  free_names(&scenario->compare.layouts);
  free_names(&scenario->compare.boxes);
  free_names(&scenario->compare.loaders);
  free_names(&scenario->compare.policies);
  free(scenario->compare.depths.items_m);
  *scenario = pc_scenario_default();
}
