// SPDX-License-Identifier: GPL-3.0-or-later
/* The parts of placing. Not installed. */
#ifndef PC_STUDY_PLACE_PRIVATE_H
#define PC_STUDY_PLACE_PRIVATE_H

#include "base/steps.h"
#include "study/place.h"

/* ---- place_sites.c: the places ---- */

PC_MUST_USE pc_status pc_place_gather(const pc_scenario *scenario, pc_placement *placement,
                                      pc_faults *faults);

/* How much of the areas to clear a zone takes. */
PC_MUST_USE pc_status pc_place_taken(const pc_scenario *scenario, const pc_ring *ring, double *taken_m2);

/* ---- place_snow.c: the snow in blocks, and its ways to every place ---- */

typedef struct pc_place_snow {
  size_t blocks, sites;
  double *kg, *m2;    /* per block */
  double *hard;       /* per block: how much longer a kilogram takes there because not all may work there */
  double *way_m;      /* blocks × sites: from the middle; 0 for snow on the place itself */
  double *low_m;      /* … no way that a load of it takes is shorter */
  double *covered_kg; /* per site: snow that lies on it */
  double *covered_m2;
  double *start_m; /* machines × sites: least way from where a machine starts */
  double all_kg, all_m2, kgpm2;
} pc_place_snow;

/* `lot` is any lot of the scenario: its machines count, not its zones. */
PC_MUST_USE pc_status pc_place_snow_make(const pc_scenario *scenario, const pc_placement *placement,
                                         const pc_lot *lot, pc_place_snow *snow, pc_faults *faults);
void pc_place_snow_free(pc_place_snow *snow);

/* ---- place_bound.c ---- */

/* Least mass × way and least time for any choice of `zones` places that leaves no more than left_kg. `known`
 * (may be NULL) is a good choice of so many. */
PC_MUST_USE pc_status pc_place_bound(const pc_lot *lot, const pc_place_snow *snow,
                                     const pc_placement *placement, size_t zones,
                                     const pc_place_choice *known, double left_kg, pc_place_step *step);

/* ---- place_guess.c: estimates, and which choices come first ---- */

typedef struct pc_place_guess {
  size_t sites[PC_PLACE_MAX];
  size_t count;
  double value;          /* estimated machine-seconds; what does not fit costs extra */
  bool checked, allowed; /* siting of all its zones together */
} pc_place_guess;

typedef struct pc_place_guesses {
  pc_place_guess *items; /* best first */
  size_t count;
  bool all; /* every choice of that many that does not overlap is among them */
} pc_place_guesses;

typedef struct pc_place_guesser {
  const pc_scenario *scenario;
  const pc_placement *placement;
  const pc_place_snow *snow;
  double per_kg, per_kgm; /* machine-seconds: of a kilogram placed, of one brought a metre nearer */
  double *room_kg;        /* per site */
  bool *apart;            /* sites × sites: may be used together */
} pc_place_guesser;

PC_MUST_USE pc_status pc_place_guesser_make(const pc_scenario *scenario, const pc_placement *placement,
                                            const pc_place_snow *snow, const pc_lot *lot,
                                            pc_place_guesser *guesser);
void pc_place_guesser_free(pc_place_guesser *guesser);
/* The most promising choices of one more place than `fewer` (NULL: of those to keep, or of one). */
PC_MUST_USE pc_status pc_place_guess_more(const pc_place_guesser *guesser, const pc_place_guesses *fewer,
                                          pc_place_guesses *more);
/* Choices that differ from `from` in one place, best first. */
PC_MUST_USE pc_status pc_place_guess_near(const pc_place_guesser *guesser, const size_t *from, size_t count,
                                          pc_place_guesses *near);
/* Whether its zones may lie there together and hold the snow; worked out once. */
PC_MUST_USE pc_status pc_place_guess_check(const pc_place_guesser *guesser, pc_place_guess *guess);
/* Mass × way with the capacities of the zones. */
PC_MUST_USE pc_status pc_place_haul(const pc_place_guesser *guesser, const size_t *sites, size_t count,
                                    double *haul_kgm);

/* ---- place_trial.c: simulating many choices ---- */

typedef struct pc_place_trial {
  size_t sites[PC_PLACE_MAX];
  size_t count;
  bool run, made, finished;
  double time_s, left_kg; /* on the ground at the end */
  double start_kg, fallen_kg;
} pc_place_trial;

/* The scenario with these zones as its only ones, one layout for each trial and chance off; borrows
 * everything but what pc_place_trials_free releases. */
typedef struct pc_place_stage {
  const pc_scenario *whole; /* as it was read */
  pc_scenario scenario;
  pc_zone *zones;
} pc_place_stage;

PC_MUST_USE pc_status pc_place_stage_make(const pc_scenario *scenario, const pc_placement *placement,
                                          pc_place_stage *stage);
void pc_place_stage_free(pc_place_stage *stage);
/* A lot of one choice; faults may be NULL. Those about a zone have the key and the line that it has in the
 * scenario as it was read; about one that was generated, the key `place`. */
PC_MUST_USE pc_status pc_place_lot(const pc_place_stage *stage, const pc_choice *choice, const size_t *sites,
                                   size_t count, bool chance, pc_lot **lot, pc_faults *faults);
/* Each is a step. If they are stopped, *done is less than count: so many from the first on were run. */
PC_MUST_USE pc_status pc_place_run_trials(const pc_place_stage *stage, const pc_place_wanted *wanted,
                                          pc_steps *steps, pc_place_trial *trials, size_t count,
                                          size_t *done);
/* Finished before unfinished, then by time. */
bool pc_place_is_better(const pc_place_trial *a, const pc_place_trial *b);

#endif
