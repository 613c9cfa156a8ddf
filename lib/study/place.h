// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Where to put the pile zones: k of many places, so that clearing the lot takes the least simulated time.
 *
 * Places are the scenario's zones, its place.candidates, and rectangles generated along the outlines of areas
 * and ground. A place is left out where a siting finding says "must not", or "should not" unless place.allow
 * is set; choices whose zones overlap, cut the pavement, or hold less than the piled snow are left out too.
 *
 * Choices are put in order by an estimate (the least sum of mass × way to a zone, capacities respected); the
 * most promising are simulated without chance and breakdowns, then those that differ from the best by one
 * place, until the allowance is used up. The best of the last round are replicated under common random
 * numbers and ranked by mean time. Without an allowance for all, the answer is the best of those simulated,
 * no more; what is proven is the lower bound: no choice of that many of these places can be quicker
 * (docs/place.md).
 *
 * Ownership: a placement belongs to its caller, pc_placement_free. SI units. Failures: PC_ERR_MEMORY; faults
 * for places that do not exist or too few of them; PC_ERR_GEOMETRY where no choice can be run at all. The
 * result depends on the scenario and the choice alone, not on threads. Thread-safe for different placements.
 *
 * Stopped before its end (pc_place_wanted.watch), the search gives the best of what was simulated until then,
 * with `stopped` set: maybe for fewer zones than were asked for, or for none (step_count and finalist_count
 * tell). Nothing is then said to be the best of all choices but where all were simulated, and a bound that
 * was not worked out yet is NaN.
 */
#ifndef PC_STUDY_PLACE_H
#define PC_STUDY_PLACE_H

#include "study/crossings.h"
#include "study/heading.h"
#include "study/replicate.h"

PC_BEGIN_C

enum { PC_PLACE_SITES_MAX = 300 /* places to choose among */, PC_PLACE_FINALISTS = 6 };

typedef struct pc_place_site {
  pc_zone zone; /* owned */
  bool generated, kept;
} pc_place_site;

typedef struct pc_place_choice {
  size_t sites[PC_PLACE_MAX]; /* indices of places, rising */
  size_t count;
  double haul_kgm; /* mass × way to a zone, capacities respected */
  double taken_m2; /* of the areas to clear, that its zones lie on */
  double once_s;   /* time without chance and breakdowns */
  pc_summary summary;
  pc_crossed crossed;        /* who drives across areas that are bound to others, in the first replication */
  pc_statistic difference_s; /* to the best, paired; 0 without chance */
  bool tied;                 /* with the best */
} pc_place_choice;

typedef struct pc_place_step { /* the best for one number of zones */
  size_t zones;
  bool found; /* false: no choice of so few can be run, or holds the snow */
  pc_place_choice best;
  double saved_s;        /* against the best with fewer zones, mean; NaN: nothing to compare with */
  double saved_half_s;   /* half width of its interval, paired */
  double bound_s;        /* no choice of so many of these places is quicker; NaN: not worked out */
  double least_haul_kgm; /* no choice of so many has less mass × way; NaN: not worked out */
  size_t simulated;      /* choices that were simulated */
  bool all;              /* … and those are all there are */
} pc_place_step;

typedef struct pc_placement {
  pc_place_site *sites;
  size_t site_count;
  size_t given, generated;                   /* looked at */
  size_t must_not, should_not, out_of_place; /* left out: by siting; off the pavement or at a start */
  double left_kg;                    /* bounds hold for choices that leave no more than this on the ground */
  double need_m3;                    /* piled snow that a choice has to hold */
  size_t asked;                      /* zones */
  size_t replications;               /* asked for; a summary has fewer only if the work was stopped */
  bool stopped;                      /* before its end */
  pc_place_step steps[PC_PLACE_MAX]; /* for 1 … zones; fewer if stopped before */
  size_t step_count;
  pc_place_choice
      finalists[PC_PLACE_FINALISTS]; /* of the last step, best first; none if stopped before any */
  size_t finalist_count;
} pc_placement;

typedef struct pc_place_wanted {
  const pc_choice *choice; /* its layout is of no account; may be NULL */
  size_t replications;     /* 1 at least */
  uint64_t seed;
  int threads;           /* 0: one per processor */
  const pc_watch *watch; /* may be NULL; steps are simulations */
} pc_place_wanted;

/* Finds the places. Failures as above; being stopped is none. Thread-safe for different placements. */
PC_API PC_MUST_USE pc_status pc_placement_find(const pc_scenario *scenario, const pc_place_wanted *wanted,
                                               pc_placement *placement, pc_faults *faults);
/* Chooses the headings that a scenario without zones leaves open, as pc_headings_choose does with zones: by
 * rough places, which a short search finds with lanes along the longest edges. Where it finds none, or is
 * stopped before, these are what is taken, as by pc_headings_take_longest. With zones use pc_headings_choose.
 * PC_ERR_MEMORY. */
PC_API PC_MUST_USE pc_status pc_placement_headings(pc_scenario *scenario, const pc_place_wanted *wanted,
                                                   pc_heading_report *report);
PC_API void pc_placement_free(pc_placement *placement);

PC_END_C

#endif
