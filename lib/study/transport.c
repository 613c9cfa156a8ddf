// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/transport.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"

static const size_t nobody = (size_t)-1;

typedef struct work {
  const pc_transport *p;
  size_t n;      /* destinations */
  double *flow;  /* sources × n */
  double *left;  /* room still free */
  double *move;  /* n × n: least cost of moving what is in a over to b */
  size_t *mover; /* … and the source whose amount moves, or nobody */
  double *far;   /* of the search: least cost up to each destination */
  size_t *from;  /* … coming from this one; nobody: straight from the source */
} work;

static bool is_sound(const pc_transport *p) {
  double supply = 0.0, room = 0.0;
  for (size_t i = 0; i < p->sources; i++) {
    if (!(p->supply[i] >= 0.0) || isinf(p->supply[i]))
      return false;
    supply += p->supply[i];
  }
  for (size_t j = 0; j < p->destinations; j++) {
    if (!(p->room[j] >= 0.0))
      return false;
    room += p->room[j];
  }
  for (size_t i = 0; i < p->sources * p->destinations; i++)
    if (!isfinite(p->cost[i]))
      return false;
  return supply <= room * (1.0 + 1e-12);
}

/* What source i has in a may now be moved on. */
static void offer(work *w, size_t i, size_t a) {
  const double *cost = &w->p->cost[i * w->n];
  for (size_t b = 0; b < w->n; b++)
    if (b != a && cost[b] - cost[a] < w->move[a * w->n + b]) {
      w->move[a * w->n + b] = cost[b] - cost[a];
      w->mover[a * w->n + b] = i;
    }
}

/* Some source has nothing left in a: the cheapest movers are looked for anew. */
static void renew(work *w, size_t a) {
  for (size_t b = 0; b < w->n; b++) {
    w->move[a * w->n + b] = INFINITY;
    w->mover[a * w->n + b] = nobody;
  }
  for (size_t i = 0; i < w->p->sources; i++)
    if (w->flow[i * w->n + a] > 0.0)
      offer(w, i, a);
}

/* The destination with room that source i reaches at the least cost, others making way; or nobody. */
static size_t search(work *w, size_t i) {
  for (size_t j = 0; j < w->n; j++) {
    w->far[j] = w->p->cost[i * w->n + j];
    w->from[j] = nobody;
  }
  bool better = true;
  for (size_t round = 0; round < w->n && better; round++) {
    better = false;
    for (size_t a = 0; a < w->n; a++)
      for (size_t b = 0; b < w->n; b++) {
        double way = w->far[a] + w->move[a * w->n + b];
        if (a == b || !(way < w->far[b] - 1e-12 * (fabs(w->far[b]) + fabs(way))))
          continue;
        w->far[b] = way;
        w->from[b] = a;
        better = true;
      }
  }
  size_t end = nobody;
  for (size_t j = 0; j < w->n; j++)
    if (w->left[j] > 0.0 && (end == nobody || w->far[j] < w->far[end]))
      end = j;
  return end;
}

static double most(const work *w, double amount, size_t end) {
  amount = fmin(amount, w->left[end]);
  for (size_t b = end; w->from[b] != nobody; b = w->from[b]) {
    size_t a = w->from[b];
    amount = fmin(amount, w->flow[w->mover[a * w->n + b] * w->n + a]);
  }
  return amount;
}

/* Puts `amount` of source i into the destinations on the way to `end`, each passing on as much. */
static void push(work *w, size_t i, size_t end, double amount) {
  size_t first = end;
  w->left[end] -= amount;
  for (size_t b = end; w->from[b] != nobody; b = w->from[b]) {
    size_t a = w->from[b], mover = w->mover[a * w->n + b];
    w->flow[mover * w->n + a] -= amount;
    w->flow[mover * w->n + b] += amount;
    first = a;
  }
  w->flow[i * w->n + first] += amount;
  offer(w, i, first);
  for (size_t b = end; w->from[b] != nobody; b = w->from[b])
    offer(w, w->mover[w->from[b] * w->n + b], b);
  for (size_t b = end; w->from[b] != nobody; b = w->from[b]) {
    size_t a = w->from[b];
    if (!(w->flow[w->mover[a * w->n + b] * w->n + a] > 0.0))
      renew(w, a);
  }
}

static pc_status send_all(work *w, double supply, double slack) {
  size_t most_steps = 100 * (w->p->sources + 1) * (w->n + 1), steps = 0;
  for (size_t i = 0; i < w->p->sources; i++) {
    double amount = w->p->supply[i];
    while (amount > slack) {
      size_t end = search(w, i);
      if (end == nobody) /* rounding: the sums were compared before */
        break;
      double some = most(w, amount, end);
      push(w, i, end, some);
      amount -= some;
      if (++steps > most_steps)
        return PC_ERR_LIMIT;
    }
    if (amount > 1e-9 * supply)
      return PC_ERR_RANGE;
  }
  return PC_OK;
}

pc_status pc_transport_solve(const pc_transport *problem, double *flow, double *total) {
  size_t n = problem->destinations, m = problem->sources;
  if (!is_sound(problem))
    return PC_ERR_RANGE;
  work w = {.p = problem, .n = n};
  pc_status status = PC_ERR_MEMORY;
  pc_sum supply = {0}, sum = {0};
  w.flow = pc_alloc_grid(m, n, sizeof *w.flow);
  w.left = pc_copy(problem->room, n, sizeof *w.left);
  w.move = pc_alloc_grid(n, n, sizeof *w.move);
  w.mover = pc_alloc_grid(n, n, sizeof *w.mover);
  w.far = pc_alloc(n, sizeof *w.far);
  w.from = pc_alloc(n, sizeof *w.from);
  if (!w.flow || !w.left || !w.move || !w.mover || !w.far || !w.from)
    goto out;
  for (size_t a = 0; a < n; a++)
    renew(&w, a);
  for (size_t i = 0; i < m; i++)
    pc_sum_add(&supply, problem->supply[i]);
  status = send_all(&w, pc_sum_value(&supply), 1e-14 * pc_sum_value(&supply));
  for (size_t i = 0; i < m * n && status == PC_OK; i++) {
    pc_sum_add(&sum, w.flow[i] * problem->cost[i]);
    if (flow)
      flow[i] = w.flow[i];
  }
  if (status == PC_OK)
    *total = pc_sum_value(&sum);
out:
  free(w.flow);
  free(w.left);
  free(w.move);
  free(w.mover);
  free(w.far);
  free(w.from);
  return status;
}
