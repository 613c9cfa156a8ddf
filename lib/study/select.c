// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/select.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

/* ---- constants ---- */

pc_kn pc_kn_constants(size_t k, size_t n0, double alpha) {
  double freedom = (double)(n0 - 1);
  double eta = 0.5 * (pow(2.0 * alpha / (double)(k - 1), -2.0 / freedom) - 1.0);
  return (pc_kn){eta, 2.0 * eta * freedom};
}

enum { NODES = 64 };

/* Nodes and weights for an integral over the density of χ² with `freedom` degrees of freedom. */
static bool spread_nodes(double freedom, double *at, double *weight) {
  gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(NODES);
  if (!table)
    return false;
  double low = gsl_cdf_chisq_Pinv(1e-9, freedom), high = gsl_cdf_chisq_Qinv(1e-9, freedom);
  for (size_t i = 0; i < NODES; i++) {
    gsl_integration_glfixed_point(low, high, i, &at[i], &weight[i], table);
    weight[i] *= gsl_ran_chisq_pdf(at[i], freedom);
  }
  gsl_integration_glfixed_table_free(table);
  return true;
}

/* Probability of a correct selection: ∫(∫Φ(h/√(ν(1/x + 1/y)))·f(x)dx)^(k − 1)·f(y)dy. */
static double rinott_probability(const double *at, const double *weight, double freedom, size_t k, double h) {
  double outer = 0.0;
  for (size_t j = 0; j < NODES; j++) {
    double inner = 0.0;
    for (size_t i = 0; i < NODES; i++)
      inner += weight[i] * gsl_cdf_ugaussian_P(h / sqrt(freedom * (1.0 / at[i] + 1.0 / at[j])));
    outer += weight[j] * pow(inner, (double)(k - 1));
  }
  return outer;
}

double pc_rinott_h(size_t k, size_t n0, double alpha) {
  double at[NODES], weight[NODES], freedom = (double)(n0 - 1), low = 0.0, high = 1.0;
  if (!spread_nodes(freedom, at, weight))
    return NAN;
  while (high < 1e6 && rinott_probability(at, weight, freedom, k, high) < 1.0 - alpha)
    high *= 2.0;
  for (int i = 0; i < 60 && high - low > 1e-9 * high; i++) {
    double middle = 0.5 * (low + high);
    if (rinott_probability(at, weight, freedom, k, middle) < 1.0 - alpha)
      low = middle;
    else
      high = middle;
  }
  return 0.5 * (low + high);
}

size_t pc_rinott_needed(size_t k, size_t n0, double alpha, double spread, double within) {
  double need = ceil(pow(pc_rinott_h(k, n0, alpha) * spread / within, 2.0));
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
  select_state s = {.problem = problem,
                    .sums = pc_alloc(k, sizeof *s.sums),
                    .variances = pc_alloc(k * k, sizeof *s.variances),
                    .stays = pc_alloc(k, sizeof *s.stays),
                    .left = k};
  pc_status status = s.sums && s.variances && s.stays ? PC_OK : PC_ERR_MEMORY;
  selection->best = 0;
  selection->settled = false;
  selection->observed = 0;
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
