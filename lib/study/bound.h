// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The lower bound on the time to clear a lot: see docs/bound.md for the proof. Thread-safe.
 * left_kg is what may stay on the ground (film, windrows too thin to clean): the bound holds for every order
 * of work that leaves no more than that. plain_s holds however a lane is swept; time_s, where it is larger,
 * for work that meets the snow as it fell and does not first gather it into windrows: not under building-out,
 * or a policy that is not built in. So lots that differ in their policy alone may have different bounds.
 */
#ifndef PC_STUDY_BOUND_H
#define PC_STUDY_BOUND_H

#include "sim/lot.h"

PC_BEGIN_C

typedef struct pc_bound {
  double time_s;  /* no order of work by this crew can be quicker (of the kind told above) */
  double plain_s; /* the plain form: every metre pushed counts as a full load brought nearer */
  double loads;   /* least number of dumps */
  double fixed_s, push_s, carry_s, empty_s;   /* machine-seconds, before dividing by the machines */
  double mass_kg, loaded_m, whole_m, sweep_m; /* least mass to move and least ways */
} pc_bound;

/* left_kg: snow that may be left lying. All 0 where there is nothing to do. PC_ERR_MEMORY. */
PC_API PC_MUST_USE pc_status pc_bound_make(const pc_lot *lot, double left_kg, pc_bound *bound);

PC_END_C

#endif
