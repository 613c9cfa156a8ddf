// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The lower bound on the time to clear a lot: see docs/bound.md for the proof. Thread-safe.
 * left_kg is what may stay on the ground (film, windrows too thin to clean): the bound holds for every order
 * of work that leaves no more than that, of any policy, as long as snow that rolls off a box is not used to
 * bring snow nearer to a zone.
 */
#ifndef PC_STUDY_BOUND_H
#define PC_STUDY_BOUND_H

#include "sim/lot.h"

PC_BEGIN_C

typedef struct pc_bound {
  double time_s;  /* no order of work by this crew can be quicker */
  double plain_s; /* the plain forms alone, without turns and ways back: every lot has them */
  double loads;   /* least number of dumps */
  double fixed_s, push_s, carry_s, empty_s;   /* machine-seconds, before dividing by the machines */
  double mass_kg, loaded_m, whole_m, sweep_m; /* least mass to move and least ways */
} pc_bound;

/* left_kg: snow that may be left lying. All 0 where there is nothing to do. PC_ERR_MEMORY. */
PC_API PC_MUST_USE pc_status pc_bound_make(const pc_lot *lot, double left_kg, pc_bound *bound);

PC_END_C

#endif
