// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Ranking and selection: which of k systems has the least mean, found with as few observations as it takes.
 *
 * Procedure of Kim & Nelson (2001), "A fully sequential procedure for indifference-zone selection in
 * simulation", ACM Transactions on Modeling and Computer Simulation 11(3):251, with c = 1. Observations of
 * one number may be correlated between systems (common random numbers). If the best is better than every
 * other by at least δ, it is selected with probability 1 − α or more (observations normal):
 *
 *   η = ½·((2α/(k − 1))^(−2/(n0 − 1)) − 1),  h² = 2·η·(n0 − 1)
 *   S²il = variance of the first n0 differences between i and l
 *   after r observations i drops out if its mean exceeds that of some l still there by more than
 *   max(0, δ/(2r)·(h²·S²il/δ² − r))
 *
 * Two-stage procedure of Rinott (1978), "On two-stage selection procedures and related
 * probability-inequalities", Communications in Statistics A7(8):799: system i needs
 * max(n0, ⌈(h·Si/δ)²⌉) independent observations. It takes more of them, but tells beforehand how many.
 *
 * Units are the caller's. Thread-safe (arguments only).
 */
#ifndef PC_STUDY_SELECT_H
#define PC_STUDY_SELECT_H

#include "base/status.h"

PC_BEGIN_C

typedef struct pc_kn {
  double eta, h2;
} pc_kn;

/* k ≥ 2 systems, n0 ≥ 2 observations of each at first, 0 < α < 1. */
PC_API pc_kn pc_kn_constants(size_t k, size_t n0, double alpha);

/* What pc_rinott_h answers for. */
#define PC_RINOTT_SYSTEMS_MAX 1e12
#define PC_RINOTT_ALPHA_MIN 1e-12
/* h of Rinott's procedure for k ≥ 2 systems and any n0 ≥ 2; by quadrature, to 1e-6 of itself. 0 where any
 * system may be taken (1 − α no more than one in 2^(k − 1)). NaN for fewer than two systems or observations,
 * beyond the two bounds above, or if memory is short. */
PC_API double pc_rinott_h(size_t k, size_t n0, double alpha);

/* Observations of a system whose first n0 have this standard deviation; 0: not known, as h is not (see
 * there), or 2^53 or more. */
PC_API size_t pc_rinott_needed(size_t k, size_t n0, double alpha, double spread, double within);

typedef struct pc_select_problem {
  size_t systems;     /* at least 1 */
  size_t first_stage; /* n0, at least 2 */
  size_t most;        /* observations of one system after which it gives up; 0: never */
  double within;      /* δ, more than 0 */
  double alpha;
  /* Makes observations first … end − 1 of each system whose `wanted` is set. *stopped: give up, with fewer
   * for some perhaps. */
  pc_status (*observe)(void *context, const bool *wanted, size_t first, size_t end, bool *stopped);
  /* What was observed; INFINITY after the first stage: the system failed, and drops out. */
  double (*value)(void *context, size_t system, size_t observation);
  void *context;
} pc_select_problem;

typedef struct pc_selection {
  size_t best;           /* the system selected; if not settled, that with the least mean of those left */
  bool settled;          /* the procedure came to its end */
  size_t observed;       /* of the systems that stayed */
  size_t *dropped_after; /* observations after which each dropped out; 0: it stayed. The caller's, one each */
} pc_selection;

/* PC_ERR_MEMORY, or what observe returned; PC_ERR_RANGE for a problem that is none (see its members; α lies
 * between 0 and 1). */
PC_API PC_MUST_USE pc_status pc_select_least(const pc_select_problem *problem, pc_selection *selection);

PC_END_C

#endif
