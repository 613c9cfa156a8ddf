// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/pmedian.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"

enum { ROOT_STEPS = 600, NODE_STEPS = 80, PATIENCE = 25 };
/* Costs nearer to each other than this share are the same. */
static const double same = 1e-10;

enum { FREE, OPEN, CLOSED };

typedef struct search {
  const pc_pmedian *p;
  size_t n, m; /* clients, sites */
  size_t *best;
  double best_cost;
  double *price;      /* per client: of being served */
  double *best_price; /* those that gave the node's bound */
  double *gain;       /* per site: what opening it costs at these prices, ≤ 0 */
  double *best_gain;
  unsigned char *state; /* per site, of the node at work */
  size_t *order;        /* free sites, most gain first */
  size_t *trial;        /* a choice of sites */
  int *served;          /* per client */
  size_t nodes, limit;
  double unproven; /* least bound of what was given up */
} search;

static double cost_of(const search *s, const size_t *sites) {
  pc_sum sum = {0};
  for (size_t i = 0; i < s->n; i++) {
    const double *row = &s->p->cost[i * s->m];
    double least = INFINITY;
    for (size_t k = 0; k < s->p->open; k++)
      least = fmin(least, row[sites[k]]);
    pc_sum_add(&sum, least);
  }
  return pc_sum_value(&sum);
}

static void keep_if_better(search *s, const size_t *sites) {
  double cost = cost_of(s, sites);
  if (!(cost < s->best_cost))
    return;
  s->best_cost = cost;
  memcpy(s->best, sites, s->p->open * sizeof *sites);
}

static bool is_among(const size_t *sites, size_t count, size_t site) {
  for (size_t k = 0; k < count; k++)
    if (sites[k] == site)
      return true;
  return false;
}

static bool is_fixed(const search *s, size_t site) {
  return s->p->fixed && s->p->fixed[site];
}

/* One site after another, each the one that saves most; `near` is work space, one per client. */
static void choose_greedily(search *s, double *near) {
  size_t *chosen = s->trial, count = 0;
  for (size_t i = 0; i < s->n; i++)
    near[i] = INFINITY;
  for (size_t j = 0; j < s->m; j++)
    if (is_fixed(s, j))
      chosen[count++] = j;
  for (size_t k = 0; k < s->p->open; k++) {
    size_t pick = k < count ? chosen[k] : s->m;
    double least = INFINITY;
    for (size_t j = 0; j < s->m && k >= count; j++) {
      double sum = 0.0;
      if (is_among(chosen, k, j))
        continue;
      for (size_t i = 0; i < s->n; i++)
        sum += fmin(near[i], s->p->cost[i * s->m + j]);
      if (sum < least || pick == s->m) {
        least = sum;
        pick = j;
      }
    }
    chosen[k] = pick;
    for (size_t i = 0; i < s->n; i++)
      near[i] = fmin(near[i], s->p->cost[i * s->m + pick]);
  }
  keep_if_better(s, chosen);
}

/* Exchanges one site for another while that saves something. */
static void exchange(search *s, double *others) {
  bool better = s->p->open > 0;
  while (better) {
    better = false;
    for (size_t k = 0; k < s->p->open; k++) {
      if (is_fixed(s, s->best[k]))
        continue;
      memcpy(s->trial, s->best, s->p->open * sizeof *s->trial);
      for (size_t i = 0; i < s->n; i++) {
        others[i] = INFINITY;
        for (size_t l = 0; l < s->p->open; l++)
          if (l != k)
            others[i] = fmin(others[i], s->p->cost[i * s->m + s->best[l]]);
      }
      for (size_t j = 0; j < s->m; j++) {
        double sum = 0.0;
        if (is_among(s->best, s->p->open, j))
          continue;
        for (size_t i = 0; i < s->n; i++)
          sum += fmin(others[i], s->p->cost[i * s->m + j]);
        if (!(sum < s->best_cost * (1.0 - same)))
          continue;
        double before = s->best_cost;
        s->trial[k] = j;
        keep_if_better(s, s->trial);
        better |= s->best_cost < before;
      }
    }
  }
}

/* The free sites with most gain, as many as are still to open, to the front of `order`; equal ones by number.
 */
static size_t rank_sites(search *s, size_t wanted) {
  size_t count = 0;
  for (size_t j = 0; j < s->m; j++)
    if (s->state[j] == FREE)
      s->order[count++] = j;
  for (size_t k = 0; k < count && k <= wanted; k++) {
    size_t least = k;
    for (size_t l = k + 1; l < count; l++)
      if (s->gain[s->order[l]] < s->gain[s->order[least]])
        least = l;
    size_t moved = s->order[least];
    memmove(&s->order[k + 1], &s->order[k], (least - k) * sizeof moved);
    s->order[k] = moved;
  }
  return count;
}

static size_t count_state(const search *s, unsigned char state) {
  size_t count = 0;
  for (size_t j = 0; j < s->m; j++)
    count += s->state[j] == state;
  return count;
}

/* The relaxation at the present prices: its value, the sites it opens (into `trial`), and how often each
 * client is served. */
static double relax(search *s) {
  pc_sum value = {0};
  size_t opened = 0, still = s->p->open - count_state(s, OPEN);
  memset(s->gain, 0, s->m * sizeof *s->gain);
  for (size_t i = 0; i < s->n; i++) {
    const double *row = &s->p->cost[i * s->m];
    for (size_t j = 0; j < s->m; j++)
      s->gain[j] += fmin(0.0, row[j] - s->price[i]);
    pc_sum_add(&value, s->price[i]);
  }
  (void)rank_sites(s, still);
  for (size_t j = 0; j < s->m; j++)
    if (s->state[j] == OPEN)
      s->trial[opened++] = j;
  memcpy(&s->trial[opened], s->order, still * sizeof *s->trial);
  for (size_t k = 0; k < s->p->open; k++)
    pc_sum_add(&value, s->gain[s->trial[k]]);
  for (size_t i = 0; i < s->n; i++) {
    s->served[i] = 0;
    for (size_t k = 0; k < s->p->open; k++)
      s->served[i] += s->p->cost[i * s->m + s->trial[k]] < s->price[i];
  }
  return pc_sum_value(&value);
}

/* Raises the prices of clients that nobody serves, lowers those of clients served twice. False: all are
 * served once, so the bound is exact. */
static bool step_prices(search *s, double value, double pace) {
  double norm = 0.0;
  for (size_t i = 0; i < s->n; i++)
    norm += (double)((1 - s->served[i]) * (1 - s->served[i]));
  if (!(norm > 0.0))
    return false;
  double step = pace * (1.01 * s->best_cost - value) / norm;
  for (size_t i = 0; i < s->n; i++)
    s->price[i] += step * (double)(1 - s->served[i]);
  return true;
}

/* Best bound of the node in some steps from the present prices; leaves the prices and gains that gave it. */
static double bound_node(search *s, int steps) {
  double best = -INFINITY, pace = 1.5;
  int since = 0;
  for (int t = 0; t < steps; t++) {
    double value = relax(s);
    keep_if_better(s, s->trial);
    if (value > best) {
      since = value > best + 1e-6 * fabs(best) ? 0 : since + 1;
      best = value;
      memcpy(s->best_price, s->price, s->n * sizeof *s->price);
      memcpy(s->best_gain, s->gain, s->m * sizeof *s->gain);
    } else {
      since++;
    }
    if (best >= s->best_cost * (1.0 - same) || !step_prices(s, value, pace))
      break;
    if (since >= PATIENCE) {
      since = 0;
      pace *= 0.5;
      memcpy(s->price, s->best_price, s->n * sizeof *s->price);
    }
    if (pace < 1e-4)
      break;
  }
  memcpy(s->price, s->best_price, s->n * sizeof *s->price);
  memcpy(s->gain, s->best_gain, s->m * sizeof *s->gain);
  return best;
}

/* Sites that no better choice can open, or leave closed. */
static void fix_sites(search *s, double bound) {
  size_t still = s->p->open - count_state(s, OPEN), count = rank_sites(s, still);
  if (still == 0 || still >= count)
    return;
  double last = s->gain[s->order[still - 1]], next = s->gain[s->order[still]];
  double limit = s->best_cost * (1.0 - same);
  for (size_t k = 0; k < count; k++) {
    size_t j = s->order[k];
    if (k < still && bound - s->gain[j] + next >= limit)
      s->state[j] = OPEN;
    else if (k >= still && bound - last + s->gain[j] >= limit)
      s->state[j] = CLOSED;
  }
}

/* Nothing is left to choose: the one choice is looked at. */
static bool is_leaf(search *s) {
  size_t open = count_state(s, OPEN), free_ones = count_state(s, FREE);
  if (open < s->p->open && open + free_ones > s->p->open)
    return false;
  if (open + free_ones < s->p->open) /* what was fixed leaves no better choice at all */
    return true;
  size_t count = 0;
  for (size_t j = 0; j < s->m && count < s->p->open; j++)
    if (s->state[j] == OPEN || (s->state[j] == FREE && open + free_ones == s->p->open))
      s->trial[count++] = j;
  keep_if_better(s, s->trial);
  return true;
}

/* Depth first; at every node of the stack one state per site. */
static pc_status branch(search *s) {
  size_t room = 0, depth = 0;
  void *stack = NULL;
  if (pc_reserve(&stack, &room, 1, s->m) != 0)
    return PC_ERR_MEMORY;
  for (size_t j = 0; j < s->m; j++)
    ((unsigned char *)stack)[j] = is_fixed(s, j) ? OPEN : FREE;
  depth = 1;
  pc_status status = PC_OK;
  while (depth > 0 && status == PC_OK) {
    memcpy(s->state, (unsigned char *)stack + --depth * s->m, s->m);
    if (is_leaf(s))
      continue;
    double bound = bound_node(s, s->nodes == 0 ? ROOT_STEPS : NODE_STEPS);
    s->nodes++;
    if (bound >= s->best_cost * (1.0 - same))
      continue;
    if (s->nodes >= s->limit) {
      s->unproven = fmin(s->unproven, bound);
      continue;
    }
    fix_sites(s, bound);
    if (is_leaf(s))
      continue;
    (void)rank_sites(s, 1);
    size_t pick = s->order[0];
    if (pc_reserve(&stack, &room, depth + 2, s->m) != 0) {
      status = PC_ERR_MEMORY;
      break;
    }
    s->state[pick] = CLOSED;
    memcpy((unsigned char *)stack + depth++ * s->m, s->state, s->m);
    s->state[pick] = OPEN;
    memcpy((unsigned char *)stack + depth++ * s->m, s->state, s->m);
  }
  free(stack);
  return status;
}

static int rising(const void *a, const void *b) {
  size_t x = *(const size_t *)a, y = *(const size_t *)b;
  return (x > y) - (x < y);
}

static bool is_sound(const pc_pmedian *p) {
  size_t fixed = 0;
  for (size_t j = 0; p->fixed && j < p->sites; j++)
    fixed += p->fixed[j];
  if (p->open < 1 || p->open > p->sites || fixed > p->open)
    return false;
  for (size_t i = 0; i < p->clients * p->sites; i++)
    if (!isfinite(p->cost[i]))
      return false;
  return true;
}

/* First prices: what each client costs in the best choice known. */
static void first_prices(search *s) {
  for (size_t i = 0; i < s->n; i++) {
    s->price[i] = INFINITY;
    for (size_t k = 0; k < s->p->open; k++)
      s->price[i] = fmin(s->price[i], s->p->cost[i * s->m + s->best[k]]);
  }
}

static bool make_room(search *s) {
  s->price = pc_alloc(s->n, sizeof *s->price);
  s->best_price = pc_alloc(s->n, sizeof *s->best_price);
  s->served = pc_alloc(s->n, sizeof *s->served);
  s->gain = pc_alloc(s->m, sizeof *s->gain);
  s->best_gain = pc_alloc(s->m, sizeof *s->best_gain);
  s->state = pc_alloc(s->m, sizeof *s->state);
  s->order = pc_alloc(s->m, sizeof *s->order);
  s->trial = pc_alloc(s->m, sizeof *s->trial);
  return s->price && s->best_price && s->served && s->gain && s->best_gain && s->state && s->order &&
         s->trial;
}

pc_status pc_pmedian_solve(const pc_pmedian *problem, size_t *chosen, pc_pmedian_answer *answer) {
  *answer = (pc_pmedian_answer){0};
  if (!is_sound(problem))
    return PC_ERR_RANGE;
  search s = {.p = problem,
              .n = problem->clients,
              .m = problem->sites,
              .best = chosen,
              .best_cost = INFINITY,
              .limit = problem->nodes ? problem->nodes : PC_PMEDIAN_NODES,
              .unproven = INFINITY};
  pc_status status = PC_ERR_MEMORY;
  if (make_room(&s)) {
    choose_greedily(&s, s.price);
    exchange(&s, s.price);
    first_prices(&s);
    status = branch(&s);
  }
  if (status == PC_OK) {
    qsort(chosen, problem->open, sizeof *chosen, rising);
    double bound = fmin(s.unproven, s.best_cost);
    *answer = (pc_pmedian_answer){s.best_cost, bound, !(s.unproven < s.best_cost), s.nodes};
  }
  free(s.price);
  free(s.best_price);
  free(s.served);
  free(s.gain);
  free(s.best_gain);
  free(s.state);
  free(s.order);
  free(s.trial);
  return status;
}
