// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/select.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

/* ---- constants ---- */

pc_kn pc_kn_constants(size_t k, size_t n0, double alpha) {
  double freedom = (double)(n0 - 1);
  double eta = 0.5 * (pow(2.0 * alpha / (double)(k - 1), -2.0 / freedom) - 1.0);
  return (pc_kn){eta, 2.0 * eta * freedom};
}

/*
 * Rinott's constant. With x = ν·e^u the χ² of ν degrees of freedom has the density c·exp((ν/2)·(u − e^u)) in
 * u, and what is selected wrongly is 1 − ∫(1 − q(v))^(k − 1)·f(v)dv with q(v) = ∫Q(h/√(e^−u + e^−v))·f(u)du
 * and Q the upper tail of the normal law. All of it is analytic in u and v and dies away on both sides, so
 * the trapezoidal rule is as good as any (its error falls with e^(−π²/step)), for ν = 1 as for ν of a
 * million; and as only tails are added up, nothing cancels.
 */
typedef struct spread_nodes {
  double *inverse, *weight; /* e^−u; weights add up to 1 */
  size_t count;
} spread_nodes;

/* Where the density in u has fallen by e^−fall from its top, which is at 0: on the one side or the other. */
static double fallen_at(double freedom, double fall, double side) {
  double near = 0.0, far = side;
  while (0.5 * freedom * (expm1(far) - far) < fall)
    far *= 2.0;
  for (int i = 0; i < 60; i++) {
    double middle = 0.5 * (near + far);
    if (0.5 * freedom * (expm1(middle) - middle) < fall)
      near = middle;
    else
      far = middle;
  }
  return far;
}

/* What lies outside is by `fall` powers of e less likely than the middle. */
static bool make_nodes(double freedom, double fall, spread_nodes *nodes) {
  double low = fallen_at(freedom, fall, -1.0), high = fallen_at(freedom, fall, 1.0);
  double most = fmin(0.2, 0.4 * sqrt(2.0 / freedom)), sum = 0.0;
  nodes->count = (size_t)ceil((high - low) / most) + 1;
  nodes->inverse = pc_alloc(nodes->count, sizeof *nodes->inverse);
  nodes->weight = pc_alloc(nodes->count, sizeof *nodes->weight);
  if (!nodes->inverse || !nodes->weight)
    return false;
  for (size_t i = 0; i < nodes->count; i++) {
    double u = low + (high - low) * (double)i / (double)(nodes->count - 1);
    nodes->inverse[i] = exp(-u);
    nodes->weight[i] = exp(-0.5 * freedom * (expm1(u) - u));
    sum += nodes->weight[i];
  }
  for (size_t i = 0; i < nodes->count; i++)
    nodes->weight[i] /= sum;
  return true;
}

/* Probability of a wrong selection. */
static double rinott_wrong(const spread_nodes *nodes, double k, double h) {
  double outer = 0.0;
  for (size_t j = 0; j < nodes->count; j++) {
    double inner = 0.0;
    for (size_t i = 0; i < nodes->count; i++)
      inner += nodes->weight[i] * 0.5 * erfc(h / sqrt(2.0 * (nodes->inverse[i] + nodes->inverse[j])));
    outer -= nodes->weight[j] * expm1((k - 1.0) * log1p(-fmin(inner, 0.5)));
  }
  return outer;
}

/* Where ln h is between these two; the chance falls with h, in its tails nearly as a power. */
static double solve_rinott(const spread_nodes *nodes, double k, double alpha, double low, double high) {
  double at_low = log(rinott_wrong(nodes, k, exp(low)) / alpha),
         at_high = log(rinott_wrong(nodes, k, exp(high)) / alpha);
  for (int i = 0; i < 100 && high - low > 1e-8; i++) {
    double share = at_low / (at_low - at_high); /* now and then a half, lest one end stays where it is */
    double middle = low + (high - low) * (i % 3 == 2 ? 0.5 : fmin(fmax(share, 1e-3), 1.0 - 1e-3));
    double here = log(rinott_wrong(nodes, k, exp(middle)) / alpha);
    if (here > 0.0) {
      low = middle;
      at_low = here;
    } else {
      high = middle;
      at_high = here;
    }
  }
  return exp(0.5 * (low + high));
}

double pc_rinott_h(size_t k, size_t n0, double alpha) {
  const double log_step = log(4.0), least = log(1e-6), most = log(1e60);
  double systems = (double)k, high = 0.0, h = NAN;
  if (k < 2 || n0 < 2 || !(alpha >= PC_RINOTT_ALPHA_MIN && alpha < 1.0) || systems > PC_RINOTT_SYSTEMS_MAX)
    return NAN;
  spread_nodes nodes = {0};
  if (make_nodes((double)(n0 - 1), 20.0 + log(systems / alpha), &nodes)) {
    while (high < most && rinott_wrong(&nodes, systems, exp(high)) >= alpha)
      high += log_step;
    while (high > least && rinott_wrong(&nodes, systems, exp(high - log_step)) < alpha)
      high -= log_step;
    if (high <= least)
      h = 0.0; /* whichever is taken, it is right often enough */
    else if (high < most)
      h = solve_rinott(&nodes, systems, alpha, high - log_step, high);
  }
  free(nodes.inverse);
  free(nodes.weight);
  return h;
}

size_t pc_rinott_needed(size_t k, size_t n0, double alpha, double spread, double within) {
  double need = ceil(pow(pc_rinott_h(k, n0, alpha) * spread / within, 2.0));
  if (!(need < 0x1p53)) /* NaN too */
    return 0;
  return need > (double)n0 ? (size_t)need : n0;
}

/* ---- selecting ---- */

typedef struct select_state {
  const pc_select_problem *problem;
  double *sums;      /* of all observations so far */
  double *variances; /* of the first differences, systems × systems */
  bool *stays;
  size_t left;
  double h2;
} select_state;

static double value(const select_state *s, size_t system, size_t observation) {
  return s->problem->value(s->problem->context, system, observation);
}

static double first_variance(const select_state *s, size_t i, size_t l) {
  size_t n = s->problem->first_stage;
  double mean = (s->sums[i] - s->sums[l]) / (double)n, squares = 0.0;
  for (size_t r = 0; r < n; r++) {
    double off = value(s, i, r) - value(s, l, r) - mean;
    squares += off * off;
  }
  return squares / (double)(n - 1);
}

/* Drops what is worse than another by more than chance allows after r observations. */
static void screen(select_state *s, size_t r, size_t *dropped_after) {
  const pc_select_problem *p = s->problem;
  double within = p->within, n = (double)r;
  for (size_t i = 0; i < p->systems; i++) {
    if (!s->stays[i])
      continue;
    bool drops = false;
    for (size_t l = 0; l < p->systems && !drops; l++) {
      bool there = s->stays[l] || dropped_after[l] == r; /* dropped in this round: still to compare with */
      if (l == i || !there)
        continue;
      double reach =
          fmax(0.0, within / (2.0 * n) * (s->h2 * s->variances[i * p->systems + l] / (within * within) - n));
      drops = (s->sums[i] - s->sums[l]) / n > reach;
    }
    if (drops) {
      s->stays[i] = false;
      dropped_after[i] = r;
      s->left--;
    }
  }
}

static size_t least_of(const select_state *s) {
  size_t best = s->problem->systems;
  for (size_t i = 0; i < s->problem->systems; i++)
    if (s->stays[i] && (best == s->problem->systems || s->sums[i] < s->sums[best]))
      best = i;
  return best;
}

/* Most observations that a pair which is still there can need. */
static double most_needed(const select_state *s) {
  double most = 0.0, within = s->problem->within;
  for (size_t i = 0; i < s->problem->systems; i++)
    for (size_t l = 0; l < s->problem->systems; l++)
      if (i != l && s->stays[i] && s->stays[l])
        most = fmax(most, floor(s->h2 * s->variances[i * s->problem->systems + l] / (within * within)));
  return most;
}

static void add_observations(select_state *s, size_t first, size_t end) {
  for (size_t i = 0; i < s->problem->systems; i++)
    for (size_t r = first; s->stays[i] && r < end; r++)
      s->sums[i] += value(s, i, r);
}

static pc_status select_with(select_state *s, pc_selection *out) {
  const pc_select_problem *p = s->problem;
  bool stopped = false;
  size_t r = p->first_stage;
  pc_status status = p->observe(p->context, s->stays, 0, r, &stopped);
  if (status != PC_OK || stopped)
    return status;
  add_observations(s, 0, r);
  for (size_t i = 0; i < p->systems; i++)
    for (size_t l = 0; l < p->systems; l++)
      s->variances[i * p->systems + l] = first_variance(s, i, l);
  for (;;) {
    double needed = most_needed(s);
    screen(s, r, out->dropped_after);
    out->best = least_of(s);
    out->observed = r;
    out->settled = s->left == 1 || (double)r > needed;
    if (out->settled || (p->most > 0 && r >= p->most))
      return PC_OK;
    status = p->observe(p->context, s->stays, r, r + 1, &stopped);
    if (status != PC_OK || stopped)
      return status;
    add_observations(s, r, r + 1);
    r++;
  }
}

pc_status pc_select_least(const pc_select_problem *problem, pc_selection *selection) {
  size_t k = problem->systems;
  *selection = (pc_selection){.dropped_after = selection->dropped_after};
  if (k < 1 || problem->first_stage < 2 || !(problem->within > 0.0) ||
      !(problem->alpha > 0.0 && problem->alpha < 1.0))
    return PC_ERR_RANGE;
  select_state s = {.problem = problem,
                    .sums = pc_alloc(k, sizeof *s.sums),
                    .variances = pc_alloc_grid(k, k, sizeof *s.variances),
                    .stays = pc_alloc(k, sizeof *s.stays),
                    .left = k};
  pc_status status = s.sums && s.variances && s.stays ? PC_OK : PC_ERR_MEMORY;
  if (status == PC_OK) {
    s.h2 = k > 1 ? pc_kn_constants(k, problem->first_stage, problem->alpha).h2 : 0.0;
    for (size_t i = 0; i < k; i++) {
      s.stays[i] = true;
      selection->dropped_after[i] = 0;
    }
    status = select_with(&s, selection);
  }
  free(s.sums);
  free(s.variances);
  free(s.stays);
  return status;
}
