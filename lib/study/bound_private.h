// SPDX-License-Identifier: GPL-3.0-or-later
/* The parts of the lower bound. Not installed. */
#ifndef PC_STUDY_BOUND_PRIVATE_H
#define PC_STUDY_BOUND_PRIVATE_H

#include "study/bound.h"

typedef struct pc_bound_best { /* the best of each figure over the machines; load_kg 0: none carries anything
                                */
  double load_kg, swath_m, least_swath_m;
  double push_mps, carry_mps;                 /* carry: the larger of push and carry */
  double forward_mps, reverse_mps, empty_mps; /* carry counts, too; empty: the largest of these */
  double lower_s, raise_s, dump_s, turn_s, back_out_m;
} pc_bound_best;

/* While snow falls, what is thinner than the trigger is not dirty: a box that runs along its lane to the pile
 * may take it up without slowing down to push. */
static inline bool pc_bound_sweeps_carrying(const pc_lot *lot) {
  return lot->storm_end_s > 0.0;
}

pc_bound_best pc_bound_best_of(const pc_lot *lot);
/* The parts of the plain form, from the mass and the ways loaded and swept: loads, whole_m and machine
 * seconds. starts_m: the least ways from all starts to a zone, together. */
void pc_bound_plain(const pc_bound_best *best, double machines, double starts_m, pc_bound *bound);
/* Least way from where a machine starts to a zone. */
double pc_bound_start_way_m(const pc_lot *lot, size_t machine);
/* The end of the storm by the clock, which no run ends before; 0 if nothing falls, or all have left by then.
 */
double pc_bound_storm_s(const pc_lot *lot);
/* Least time for a crew of different machines to place mass_kg, of which Σ mass × way is haul_kgm, and to
 * sweep area_m2 (seconds, all machines at work from the start). */
double pc_bound_crew_s(const pc_lot *lot, double mass_kg, double haul_kgm, double area_m2);
/* The same for those of the crew that may work in an area. */
double pc_bound_crew_in_s(const pc_lot *lot, size_t area, double mass_kg, double haul_kgm, double area_m2);
/* The same where the least ways from the starts to a zone are given, one per machine. */
double pc_bound_crew_from_s(const pc_lot *lot, const double *start_m, double mass_kg, double haul_kgm,
                            double area_m2);
/* A loaded box that runs along its lane on the straight way to its pile takes up, or pushes aside, what lies
 * there, as long as it stays within the lane for at least the lane's width: so at most one across in two
 * along. True if it may pass like that within `half` beside, and half a `part` along from, (u, v). */
bool pc_bound_slants(const pc_lot *lot, const pc_patch *patch, size_t zone, double u_m, double v_m,
                     double half, double part);
/* bound_cycle.c: least machine time for placing mass_kg while left_kg stay, counted by whole cycles; 0 where
 * that form does not apply. */
PC_MUST_USE pc_status pc_bound_cycles_s(const pc_lot *lot, double mass_kg, double left_kg, double *machine_s);

#endif
