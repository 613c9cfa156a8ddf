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
#define LATER_THAN_0(type, member, name, dim, high, otherwise, text)                                         \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_QUANTITY, .dimension = (dim), .offset = offsetof(type, member),          \
    .max = (high), .above_min = true, .fallback = (otherwise), .help = (text)                                \
  }
#define INTEGER(type, member, name, low, high, otherwise, text)                                              \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_INTEGER, .offset = offsetof(type, member), .min = (low), .max = (high),  \
    .fallback = (otherwise), .help = (text)                                                                  \
  }
/* Nothing in a night's work lasts longer than a month. */
#define LONGEST_S (30 * 24 * 3600.0)

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
         "how a machine chooses what to push next: keep-pushing, straight-runs or building-out"),
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
     .min = 1,
     .max = 60,
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
    QUANTITY(pc_scenario, keep_apart_m, "keep_apart", PC_DIM_LENGTH, 0, 100, "0 m: off",
             "how far machines keep from one another while they push"),
};

static const pc_field layout_items[] = {
    NAME(pc_layout, name, "name", true, NULL, "what this choice of pile zones is called"),
};

static const pc_field crew_items[] = {
    NAME(pc_crew_entry, loader, "loader", true, NULL, "name of a loader"),
    NAME(pc_crew_entry, box, "box", true, NULL, "name of the box it pushes"),
    INTEGER(pc_crew_entry, count, "count", 1, PC_CREW_MAX, "1", "how many such machines work"),
    {.key = "from",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_crew_entry, from_s),
     .max = LONGEST_S,
     .fallback = "0 h: from the start",
     .help = "how long after the start their work begins",
     .moment = true},
    {.key = "until",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_crew_entry, until_s),
     .max = LONGEST_S,
     .above_min = true,
     .fallback = "to the end",
     .help = "how long after the start their work ends",
     .moment = true},
    /* not nothing: after a break there has to be time to set out, or a night has no end */
    QUANTITY(pc_crew_entry, break_every_s, "breaks.every", PC_DIM_TIME, 0.001, LONGEST_S, "no breaks",
             "how long they work from one break to the next"),
    LATER_THAN_0(pc_crew_entry, break_for_s, "breaks.for", PC_DIM_TIME, LONGEST_S, "no breaks",
                 "how long a break lasts"),
    {.key = "keep",
     .kind = PC_FIELD_FLAG,
     .offset = offsetof(pc_crew_entry, keep),
     .fallback = "false",
     .help = "true: these machines stay as they are when other boxes, loaders or numbers are tried"},
};

static const pc_field storm_items[] = {
    {.key = "after",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_storm_piece, after_s),
     .min = 0,
     .max = LONGEST_S,
     .required = true,
     .help = "how long after the start this begins; it holds until the next piece",
     .moment = true},
    QUANTITY(pc_storm_piece, rate_mps, "rate", PC_DIM_FALL_RATE, 0, 1.0 / 3600, "0 cm/h: nothing falls",
             "how fast the depth of fresh snow grows, were none of it cleared"),
    QUANTITY(pc_storm_piece, temperature_c, "temperature", PC_DIM_TEMPERATURE, -60, 60,
             "the fresh density of snow", "air temperature; gives the density of what falls"),
    QUANTITY(pc_storm_piece, wind_mps, "wind", PC_DIM_SPEED, 0, 60, "as snow.wind",
             "wind speed; only the pahaut formula uses it"),
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
    QUANTITY(pc_money, interest, "interest", PC_DIM_SHARE, 0, 1, "0 %",
             "interest a year, for what owning boxes costs a season"),
};

static const pc_field season_items[] = {
    {.key = "depth",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_season_storm, depth_m),
     .min = 0,
     .max = 3,
     .above_min = true,
     .required = true,
     .help = "depth of snow that such a storm brings"},
    {.key = "storms",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_NUMBER,
     .offset = offsetof(pc_season_storm, storms),
     .min = 0,
     .max = 1000,
     .required = true,
     .help = "how many such storms a usual season has; 2.5 is allowed"},
};

static const pc_field wanted_items[] = {
    QUANTITY(pc_wanted, within_s, "within", PC_DIM_TIME, 0, LONGEST_S, "0 s: the replications given",
             "go on with replications until the best is known to within this time (95 %)"),
    {.key = "mixed",
     .kind = PC_FIELD_FLAG,
     .offset = offsetof(pc_wanted, mixed),
     .fallback = "false",
     .help = "true: also every way to put these boxes on the machines of the crew, each its own"},
};

const pc_fields pc_season_fields = TABLE(season_items);
const pc_fields pc_wanted_fields = TABLE(wanted_items);
const pc_fields pc_scenario_fields = TABLE(scenario_items);
const pc_fields pc_layout_fields = TABLE(layout_items);
const pc_fields pc_crew_fields = TABLE(crew_items);
const pc_fields pc_chance_fields = TABLE(chance_items);
const pc_fields pc_money_fields = TABLE(money_items);
const pc_fields pc_storm_fields = TABLE(storm_items);

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
      .place = pc_placing_default(),
  };
}

pc_crew_entry pc_crew_entry_default(void) {
  return (pc_crew_entry){.count = 1, .until_s = NAN, .break_every_s = NAN, .break_for_s = NAN};
}

pc_storm_piece pc_storm_piece_default(void) {
  return (pc_storm_piece){.after_s = NAN, .temperature_c = NAN, .wind_mps = NAN};
}

double pc_money_per_s(const pc_money *money) {
  if (isnan(money->machine_per_s) || isnan(money->operator_per_s))
    return isnan(money->machine_per_s) ? money->operator_per_s : money->machine_per_s;
  return money->machine_per_s + money->operator_per_s;
}

const char *pc_money_missing(const pc_money *money) {
  bool machine = !isnan(money->machine_per_s), operators = !isnan(money->operator_per_s);
  if (machine && !operators)
    return "operators: money.operator is not given";
  if (operators && !machine)
    return "machines: money.machine is not given";
  bool others = !isnan(money->fuel_per_m3) || !isnan(money->haul_off_per_m3);
  return others && !machine ? "machines and operators: money.machine and money.operator are not given" : "";
}

double pc_storm_piece_density(const pc_storm_piece *piece, const pc_snow *snow) {
  if (isnan(piece->temperature_c))
    return pc_snow_fresh_density(snow);
  return pc_snow_density((pc_density_formula)snow->density_formula, piece->temperature_c,
                         isnan(piece->wind_mps) ? snow->wind_mps : piece->wind_mps);
}

double pc_storm_depth_m(const pc_storm_piece *pieces, size_t count) {
  double sum = 0;
  for (size_t i = 0; i + 1 < count; i++)
    sum += pieces[i].rate_mps * (pieces[i + 1].after_s - pieces[i].after_s);
  return sum;
}

double pc_storm_kgpm2(const pc_storm_piece *pieces, size_t count, const pc_snow *snow) {
  double sum = 0;
  for (size_t i = 0; i + 1 < count; i++)
    if (pieces[i].rate_mps > 0)
      sum += pieces[i].rate_mps * (pieces[i + 1].after_s - pieces[i].after_s) *
             pc_storm_piece_density(&pieces[i], snow);
  return sum;
}

void pc_scenario_place_faults(const pc_scenario *scenario, pc_faults *faults, size_t first) {
  pc_origins_place(&scenario->origins, faults, first);
}

const pc_box *pc_scenario_box(const pc_scenario *s, const char *name) {
  size_t i = pc_name_find(s->boxes, s->box_count, sizeof *s->boxes, name);
  return i < s->box_count ? &s->boxes[i] : NULL;
}

const pc_loader *pc_scenario_loader(const pc_scenario *s, const char *name) {
  size_t i = pc_name_find(s->loaders, s->loader_count, sizeof *s->loaders, name);
  return i < s->loader_count ? &s->loaders[i] : NULL;
}

const pc_zone *pc_scenario_zone(const pc_scenario *s, const char *name) {
  size_t i = pc_name_find(s->zones, s->zone_count, sizeof *s->zones, name);
  return i < s->zone_count ? &s->zones[i] : NULL;
}

const pc_layout *pc_scenario_layout(const pc_scenario *s, const char *name) {
  size_t i = pc_name_find(s->layouts, s->layout_count, sizeof *s->layouts, name);
  return i < s->layout_count ? &s->layouts[i] : NULL;
}

const pc_zone *pc_scenario_place(const pc_scenario *s, const char *name) {
  const pc_zone *zone = pc_scenario_zone(s, name), *all = s->place.candidates;
  size_t i = zone ? 0 : pc_name_find(all, s->place.candidate_count, sizeof *all, name);
  return zone ? zone : i < s->place.candidate_count ? &all[i] : NULL;
}

void pc_scenario_free(pc_scenario *scenario) {
  if (!scenario)
    return;
  pc_site_free(&scenario->site);
  for (size_t i = 0; i < scenario->zone_count; i++)
    pc_zone_free(&scenario->zones[i]);
  for (size_t i = 0; i < scenario->layout_count; i++)
    pc_names_free(&scenario->layouts[i].zones);
  for (size_t i = 0; i < scenario->crew_count; i++) {
    pc_names_free(&scenario->crew[i].areas);
    pc_names_free(&scenario->crew[i].first);
  }
  for (size_t i = 0; i < scenario->loader_count; i++)
    pc_names_free(&scenario->loaders[i].boxes);
  free(scenario->boxes);
  free(scenario->loaders);
  free(scenario->zones);
  free(scenario->layouts);
  free(scenario->crew);
  pc_names_free(&scenario->compare.layouts);
  pc_names_free(&scenario->compare.boxes);
  pc_names_free(&scenario->compare.loaders);
  pc_names_free(&scenario->compare.policies);
  free(scenario->compare.depths.items_m);
  free(scenario->compare.crews.items);
  free(scenario->storm);
  free(scenario->season);
  for (size_t i = 0; i < scenario->place.candidate_count; i++)
    pc_zone_free(&scenario->place.candidates[i]);
  free(scenario->place.candidates);
  pc_names_free(&scenario->place.among);
  pc_names_free(&scenario->place.keep);
  pc_origins_free(&scenario->origins);
  *scenario = pc_scenario_default();
}
