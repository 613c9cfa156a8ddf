// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What keep-pushing remembers: for each lane the bites that are of interest there, as judged when the lane
 * changed last. keep_options.c makes them, policy_keep.c chooses among them. Internal to lib/sim.
 */
#ifndef PC_SIM_KEEP_H
#define PC_SIM_KEEP_H

#include "sim/policies.h"

enum { PC_KEEP_OPTIONS = 40 };

/* Ties go to the first: less by more than rounding, so that a turned or shifted lot is worked alike. */
static inline bool pc_clearly_less(double a, double b) {
  return a < b - 1e-9 * (1e-3 + fabs(a));
}

/* The least that a turn can be, as a share of half a turn, by its cosine and without an arc cosine: that lies
 * above its chord from (0, π/2) to (1, 0), and above its tangent at 0 before that. */
static inline double pc_least_turn(double cosine) {
  return 0.5 - pc_greater(0.5 * cosine, 0.31830988618379067 * cosine); /* 1/π */
}

typedef struct pc_option { /* what every decision looks at comes first */
  pc_point start, push;
  double waste_s; /* after_s − ideal_s */
  double gain_kg;
  double most_s; /* that it saves a machine with a part load */
  double from_m, to_m, stop_m;
  double after_s, ideal_s; /* fill, turn, carry, dump; the least that its snow costs anyhow */
  int zone;
  uint32_t version; /* of the lane when it was judged */
} pc_option;

typedef struct pc_lane_options {
  uint32_t version; /* of the lane when they were made; 0 = never */
  int count;
  int offered; /* all of them, or none while the machine may not work the lane's area */
  pc_option *items;
} pc_lane_options;

typedef struct pc_keep_machine {
  pc_plan_weights weights;
  size_t rotation;
  double usual_score;     /* running mean of the waste per kilogram */
  double fullness;        /* zones that had room when the options were made */
  int offered;            /* options of all lanes, now */
  pc_lane_options *lanes; /* of its lane set; NULL until it is asked first */
} pc_keep_machine;

static inline const pc_keep_machine *pc_keep_of(const pc_world *world, size_t machine) {
  return (const pc_keep_machine *)world->policy_state + machine;
}

typedef struct pc_maker {
  const pc_world *world;
  size_t machine, lane_index;
  const pc_lane *lane;
  const pc_unit *unit;
  pc_lane_options *list;
  const pc_option *known; /* options judged before; NULL: judge all afresh */
  int known_count;
  double rate, gate_s; /* of interest only if time less ideal time less rate × gain can be below the gate */
} pc_maker;

/* Brings all options of a machine up to date. */
void pc_keep_renew(const pc_world *world, size_t machine, pc_keep_machine *own);
/* Time and worth of a bite with load_kg in the box already. False if it gives nothing or has nowhere to go.
 */
bool pc_keep_judge(const pc_maker *mk, double from_m, double to_m, double load_kg, pc_option *result);
/* The least time that a load needs from a place of the lane to the end of its dump. */
double pc_keep_least_after_s(const pc_maker *mk, double from_m, int sign);
/* The most ideal time, less what the plan adds, of a part of this option that brings no more than gain_kg. */
double pc_keep_most_ideal_s(const pc_maker *mk, const pc_option *o, double gain_kg);
/* Turn, carry, dump and wait of a load at the quickest zone for it. */
double pc_keep_zone_s(const pc_world *world, size_t machine, const pc_place *from, pc_point facing,
                      double load_kg);

#endif
