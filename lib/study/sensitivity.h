// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Which inputs matter, and where a ranking turns. SI units.
 *
 * Each input is made smaller and larger by the same share (or as far as its range allows), with all else as
 * it is and the same luck (common random numbers); loaders and boxes that the crew uses change together. An
 * elasticity is the change of the total time in per cent for one per cent of the input,
 * ln(T₁/T₀) / ln(x₁/x₀), with a Student t interval over the replications. Speeds and times alone decide the
 * time: T is homogeneous of degree −1 in all speeds (without an acceleration) and +1 in all fixed times, so
 * their elasticities are the shares of driving and of standing, as long as decisions stay the same.
 *
 * Break-even: two boxes, or two layouts, whose order turns with the depth of the snow. Depths are tried on a
 * grid of equal ratios between two limits; where the order turns between two of them, bisection finds the
 * depth to a thousandth. What does not finish is slower than what does. Compared are the boxes of the
 * scenario's `compare` list (all, without one) on every machine that may change, and, where its machines
 * differ, the crew's own; what no lot can be made of is left out.
 *
 * Ownership: pc_sensitivity_free. Failures: PC_ERR_MEMORY, and the faults of making a lot. If the work is not
 * finished as the scenario stands, there are no rows and base_finished is false. The result does not depend
 * on threads. Thread-safe (arguments only).
 *
 * Stopped before its end (pc_sensitivity_plan.watch), the study has `stopped` set and the rows of those
 * inputs that are done, the same as without a stop; the others stand among those left out, marked.
 * Break-evens of boxes are there if all of them are, and so are those of layouts. Stopped before even the
 * scenario as it stands was simulated, it has base_s.count 0 and nothing else.
 */
#ifndef PC_STUDY_SENSITIVITY_H
#define PC_STUDY_SENSITIVITY_H

#include "sim/lot.h"
#include "study/replicate.h"

PC_BEGIN_C

typedef struct pc_sensitivity_plan {
  double share; /* by how much inputs change, 0 … 0.5; default 0.1 */
  double least_m,
      most_m; /* depths between which to look for break-evens; NaN: a third and three times the depth */
  size_t replications;   /* default 1 */
  uint64_t seed;         /* default 1 */
  int threads;           /* 0: one per processor */
  bool break_even;       /* look for them; default true */
  const pc_watch *watch; /* may be NULL, the default; steps are replications */
} pc_sensitivity_plan;

PC_API pc_sensitivity_plan pc_sensitivity_plan_default(void);

typedef struct pc_sensitivity_row {
  char key[PC_KEY_MAX]; /* "snow.depth", "loaders.speeds.push" */
  pc_dimension dimension;
  double now_least, now_most; /* its value now; the two differ where loaders or boxes do */
  double low, high;           /* factors that it was tried at; 1: this side could not be tried */
  pc_statistic low_s, high_s; /* change of the total time; 0 where not tried */
  pc_statistic elasticity;
  double swing_s;            /* between the two: rows are sorted by it, largest first */
  char note[PC_MESSAGE_MAX]; /* why one side could not be tried; "" = both were */
} pc_sensitivity_row;

typedef struct pc_left_out {
  char key[PC_KEY_MAX];
  char reason[PC_MESSAGE_MAX];
  bool stopped; /* before it was done; else it can't be changed */
} pc_left_out;

typedef struct pc_break_even {
  bool of_layouts;      /* else of boxes */
  pc_name below, above; /* the quicker one below this depth, and above it */
  double depth_m;       /* NaN: the first is quicker at all depths that were tried */
  double least, most; /* how much quicker, as a share: the largest found below the depth, and above it, up to
                         the next turn */
} pc_break_even;

typedef struct pc_no_turn { /* a box or a layout of which no lot can be made */
  bool of_layouts;
  pc_name name;
  char reason[PC_MESSAGE_MAX];
} pc_no_turn;

typedef struct pc_sensitivity {
  bool base_finished;
  pc_reason base_reason;
  pc_statistic base_s; /* total time as the scenario stands */
  double share;
  bool stopped;       /* before the end */
  bool turns_missing; /* … so that break-evens of boxes, layouts or both are not there */
  pc_sensitivity_row *rows;
  size_t row_count;
  pc_left_out *left_out;
  size_t left_out_count;
  double least_m, most_m; /* depths tried */
  pc_break_even
      *break_evens; /* pair by pair, of the best three boxes and the best three layouts; then by depth */
  size_t break_even_count, break_even_room;
  pc_no_turn *no_turns; /* left out of these: a single one that is left is not compared */
  size_t no_turn_count, no_turn_room;
} pc_sensitivity;

/* choice (may be NULL) as in sim/lot.h. Being stopped is no failure. Thread-safe (arguments only). */
PC_API PC_MUST_USE pc_status pc_sensitivity_make(const pc_scenario *scenario, const pc_choice *choice,
                                                 const pc_sensitivity_plan *plan, pc_sensitivity *out,
                                                 pc_faults *faults);
PC_API void pc_sensitivity_free(pc_sensitivity *sensitivity);

/* Depth at which two choices of one scenario take the same time, between two depths at which their order
 * differs; bisection to a thousandth. PC_ERR_RANGE if the order is the same at both, or the depths are not in
 * order, or there are no replications; the status of pc_lot_create for what can't be made. Faults say which.
 * plan->watch is of no account here. Thread-safe (arguments only). */
PC_API PC_MUST_USE pc_status pc_break_even_depth(const pc_scenario *scenario, const pc_choice *a,
                                                 const pc_choice *b, const pc_sensitivity_plan *plan,
                                                 double least_m, double most_m, double *depth_m,
                                                 pc_faults *faults);

PC_END_C

#endif
