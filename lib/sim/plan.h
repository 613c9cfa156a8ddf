// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A plan: an order of work as weights and keys of keep-pushing's score. A machine that follows one looks at
 * the same kinds of bites as with keep-pushing, and at some that begin within a run of snow, and takes the
 * one with the least waste; the plan says what counts how much, and which stretches to take sooner or later.
 * It is a rule and no timetable, so it stays valid when phases take longer than foreseen.
 *
 * Units: seconds, kilograms; weights are factors. A plan fits the lot that it was made for, and every lot
 * with the same lanes. Ownership: pc_plan_free. Thread-safety: a plan that nobody changes may be followed by
 * any number of worlds.
 */
#ifndef PC_SIM_PLAN_H
#define PC_SIM_PLAN_H

#include <stdint.h>

#include "sim/lot.h"
#include "sim/run.h"

PC_BEGIN_C

enum {
  PC_PLAN_SECTIONS = 8,    /* stretches of a lane that have keys of their own, equally long */
  PC_PLAN_KEY_MAX = 30000, /* thousandths */
  PC_PLAN_STARTS_MAX = 8   /* more would find no room among the options of a lane */
};

typedef struct pc_plan_weights { /* of the parts of a bite's waste; keep-pushing's own are the default */
  double ideal;  /* of the ideal time of its snow: 0: mass per time alone; 1: far snow costs nothing extra */
  double spill;  /* of a spilled kilogram against a carried one */
  double dirty;  /* of time lost on uncleared ground on the way to the zone */
  double wait;   /* of the expected wait there */
  double empty;  /* of the way to its start */
  double part;   /* of what filling up a part load saves */
  double load_s; /* added to each bite: above 0 fuller boxes are preferred */
  int starts; /* starts within a run of snow, each a full load from the one before; 0 … PC_PLAN_STARTS_MAX */
} pc_plan_weights;

typedef struct pc_plan {
  pc_plan_weights weights;
  double rate_spkg; /* what a key of 1000 stands for: the crew's mean machine time per kilogram */
  int16_t *keys;    /* waste added to bites whose middle lies in a section, per kilogram, in thousandths of
                       rate_spkg; NULL: none, and key_count is 0. By lane (of all lane sets, one after the
                       other), direction (towards falling, rising u), section. */
  size_t key_count;
} pc_plan;

PC_API pc_plan_weights pc_plan_weights_default(void);
/* Number of keys for a lot. */
PC_API size_t pc_plan_key_count(const pc_lot *lot);
/* A plan that does as keep-pushing does; free with pc_plan_free. */
PC_API PC_MUST_USE pc_status pc_plan_init(pc_plan *plan, const pc_lot *lot);
/* Both made for the same lot, *to with keys (pc_plan_init). */
PC_API void pc_plan_assign(pc_plan *to, const pc_plan *from);
PC_API void pc_plan_free(pc_plan *plan);
/* Faults for every value out of range, and if the keys do not fit the lot. */
PC_API PC_MUST_USE pc_status pc_plan_validate(const pc_plan *plan, const pc_lot *lot, pc_faults *faults);

/* All worlds made of the lot from now on follow the plan, under the policy "planned"; those made before keep
 * to what they were made for. The plan is borrowed. */
PC_API void pc_lot_follow(pc_lot *lot, const pc_plan *plan);
/* Only this world, made for a lot that follows some plan, from its next run on. */
PC_API void pc_world_follow(pc_world *world, const pc_plan *plan);

PC_END_C

#endif
