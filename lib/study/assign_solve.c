// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/assign_private.h"

typedef struct solver {
  const pc_assign_problem *problem;
  pc_route_pool pool;
  double *weights; /* of the columns */
  size_t picked[2 * PC_LOTS_MAX], picked_count;
  double finish_s; /* of what is picked */
  double proven_s; /* nothing is done sooner */
  pc_steps steps;
  bool stopped; /* begin nothing more */
} solver;

static bool is_over(solver *s) {
  s->stopped = s->stopped || pc_steps_stopped(&s->steps);
  return s->stopped;
}

static int ascending(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

/* When columns end, each time once. */
static size_t list_ends(const pc_route_pool *pool, double *ends) {
  size_t count = 0;
  for (size_t i = 0; i < pool->column_count; i++)
    ends[i] = pool->columns[i].end_s;
  qsort(ends, pool->column_count, sizeof *ends, ascending);
  for (size_t i = 0; i < pool->column_count; i++)
    if (count == 0 || ends[i] > ends[count - 1])
      ends[count++] = ends[i];
  return count;
}

static pc_status search(solver *s, pc_cover *cover) {
  cover->problem = s->problem;
  cover->pool = &s->pool;
  cover->steps = &s->steps;
  pc_status status = pc_cover_solve(cover);
  s->stopped |= cover->stopped;
  pc_steps_count(&s->steps);
  return status;
}

static void keep_picked(solver *s, const pc_cover *cover) {
  memcpy(s->picked, cover->picked, sizeof s->picked);
  s->picked_count = cover->picked_count;
  s->finish_s = 0.0;
  for (size_t i = 0; i < s->picked_count; i++)
    s->finish_s = fmax(s->finish_s, s->pool.columns[s->picked[i]].end_s);
}

/* The first of ends[low … high − 1] by which all can be done, where that is known of ends[high] or of
 * nothing; with `relaxed` units may be shared out in fractions. Where a search gives up the answer is taken
 * for no, but not for proof. */
static pc_status halve(solver *s, const double *ends, size_t count, size_t low, size_t *high, bool relaxed) {
  pc_cover cover = {.cutoff = INFINITY, .relaxed = relaxed};
  while (low < *high && !is_over(s)) {
    size_t middle = low + (*high - low) / 2;
    cover.limit_s = ends[middle];
    pc_status status = search(s, &cover);
    if (status != PC_OK)
      return status;
    if (cover.covering == PC_COVERED) {
      *high = middle;
      if (relaxed)
        continue;
      keep_picked(s, &cover);
      while (*high > low && ends[*high - 1] >= s->finish_s)
        --*high;
      continue;
    }
    if (cover.covering == PC_UNCOVERABLE)
      s->proven_s = fmax(s->proven_s, ends[middle + 1 < count ? middle + 1 : middle]);
    low = middle + 1;
  }
  return PC_OK;
}

/* Among covers that are done by now, the one with the least weight. */
static pc_status improve(solver *s, double limit_s, double *bound) {
  *bound = -(double)INFINITY;
  if (is_over(s))
    return PC_OK;
  pc_cover cover = {
      .limit_s = limit_s, .weights = s->weights, .cutoff = s->picked_count > 0 ? 0.0 : (double)INFINITY};
  for (size_t i = 0; i < s->picked_count; i++)
    cover.cutoff += s->weights[s->picked[i]];
  pc_status status = search(s, &cover);
  double weight = 0.0;
  for (size_t i = 0; i < cover.picked_count; i++)
    weight += s->weights[cover.picked[i]];
  if (status == PC_OK && cover.covering == PC_COVERED && weight <= cover.cutoff)
    keep_picked(s, &cover);
  *bound = cover.bound;
  return status;
}

/* How often so many can be halved. */
static size_t halvings(size_t count) {
  size_t often = 0;
  for (; count > 0; count /= 2)
    often++;
  return often;
}

static pc_status least_time(solver *s, double *bound) {
  double *ends = pc_alloc(s->pool.column_count, sizeof *ends);
  if (!ends)
    return PC_ERR_MEMORY;
  size_t count = list_ends(&s->pool, ends), first = count, high = count;
  pc_steps_more(&s->steps, 2 * halvings(count) + 1);
  pc_status status = halve(s, ends, count, 0, &first, true);
  pc_steps_skip(&s->steps, halvings(count) - halvings(count - first));
  if (status == PC_OK && first < count)
    status = halve(s, ends, count, first, &high, false);
  *bound = s->proven_s;
  free(ends);
  double ignored;
  if (status == PC_OK && s->picked_count > 0)
    status = improve(s, s->finish_s, &ignored);
  return status;
}

/* ---- from columns to a plan ---- */

/* A lot that two routes cover stays where it takes less machine time. */
static void drop_twice(const pc_assign_problem *p, pc_assign_plan *plan) {
  for (size_t l = 0; l < p->lot_count; l++) {
    pc_assign_route *holder = NULL;
    for (size_t r = 0; r < plan->route_count; r++) {
      pc_assign_route *route = &plan->routes[r];
      size_t at = 0;
      while (at < route->stop_count && route->stops[at].lot != l)
        at++;
      if (at == route->stop_count)
        continue;
      if (!holder) {
        holder = route;
        continue;
      }
      double here = pc_assign_work(p, route->unit, l) * p->units[route->unit].together;
      double there = pc_assign_work(p, holder->unit, l) * p->units[holder->unit].together;
      pc_assign_route *loser = here < there ? holder : route;
      holder = here < there ? route : holder;
      at = 0;
      while (loser->stops[at].lot != l)
        at++;
      loser->stop_count--;
      memmove(&loser->stops[at], &loser->stops[at + 1], (loser->stop_count - at) * sizeof *loser->stops);
    }
  }
}

static void drop_empty(pc_assign_plan *plan) {
  size_t kept = 0;
  for (size_t r = 0; r < plan->route_count; r++) {
    if (plan->routes[r].stop_count > 0)
      plan->routes[kept++] = plan->routes[r];
    else
      free(plan->routes[r].stops);
  }
  plan->route_count = kept;
}

/* By machine, box, and first lot: an order that does not hang on how the plan was found. */
static int by_unit(const void *a, const void *b) {
  const pc_assign_route *x = a, *y = b;
  if (x->unit != y->unit)
    return x->unit < y->unit ? -1 : 1;
  return x->stops[0].lot < y->stops[0].lot ? -1 : x->stops[0].lot > y->stops[0].lot;
}

static pc_status make_routes(const solver *s, pc_assign_plan *plan) {
  size_t lots[PC_LOTS_MAX];
  plan->routes = pc_alloc(s->picked_count, sizeof *plan->routes);
  if (!plan->routes)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < s->picked_count; i++) {
    const pc_route_column *column = &s->pool.columns[s->picked[i]];
    pc_assign_route *route = &plan->routes[i];
    *route =
        (pc_assign_route){.unit = column->unit, .stop_count = pc_assign_routes_order(&s->pool, column, lots)};
    route->stops = pc_alloc(route->stop_count, sizeof *route->stops);
    if (!route->stops)
      return PC_ERR_MEMORY;
    plan->route_count++;
    for (size_t k = 0; k < route->stop_count; k++)
      route->stops[k].lot = lots[k];
  }
  return PC_OK;
}

static void sum_plan(const solver *s, double bound, pc_assign_plan *plan) {
  const pc_assign_problem *p = s->problem;
  drop_twice(p, plan);
  drop_empty(plan);
  for (size_t r = 0; r < plan->route_count; r++) {
    pc_assign_route *route = &plan->routes[r];
    pc_assign_time_route(p, route);
    plan->finish_s = fmax(plan->finish_s, route->end_s);
    plan->machine_s += p->units[route->unit].together * route->end_s;
    plan->cost += route->cost;
  }
  qsort(plan->routes, plan->route_count, sizeof *plan->routes, by_unit);
  double value = p->least == PC_LEAST_COST ? plan->cost : plan->finish_s;
  plan->found = true;
  plan->bound = fmin(bound, value);
  plan->gap = value > 0.0 ? (value - plan->bound) / value : 0.0;
  if (plan->gap < 1e-6) { /* what the tolerances of the solver leave */
    plan->gap = 0.0;
    plan->bound = value;
  }
}

/* The first plan's own columns stand at the end of the pool. */
static void pick_first(solver *s, const pc_assign_plan *first) {
  for (size_t i = s->pool.column_count, r = first->route_count; r > 0; r--)
    if (first->routes[r - 1].stop_count > 0)
      s->picked[s->picked_count++] = --i;
}

static pc_status solve(solver *s, const pc_assign_plan *first, pc_assign_plan *plan) {
  const pc_assign_problem *p = s->problem;
  bool cost = p->least == PC_LEAST_COST;
  double slack = 1.0 + 1e-9, bound = 0.0, plain;
  pc_status status = pc_assign_routes_find(
      p, first->found && !cost ? first->finish_s * slack : (double)INFINITY,
      first->found && cost ? first->cost * slack : (double)INFINITY, &s->steps, &s->pool);
  for (size_t r = 0; r < first->route_count && first->found && status == PC_OK; r++)
    status = pc_assign_routes_add(p, &first->routes[r], &s->pool);
  if (status != PC_OK)
    return status;
  s->weights = pc_alloc(s->pool.column_count, sizeof *s->weights);
  if (!s->weights)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < s->pool.column_count; i++) {
    const pc_route_column *c = &s->pool.columns[i];
    s->weights[i] = cost ? c->cost : p->units[c->unit].together * c->end_s;
  }
  if (cost && first->found)
    pick_first(s, first);
  if (cost)
    pc_steps_more(&s->steps, 1);
  status = cost ? improve(s, INFINITY, &bound) : least_time(s, &bound);
  if (status == PC_OK)
    status = pc_assign_bound(p, &plain);
  if (s->picked_count == 0 && first->found) /* stopped, or every search hit its limit */
    pick_first(s, first);
  plan->complete = s->pool.complete;
  plan->stopped = s->stopped;
  if (status != PC_OK || s->picked_count == 0)
    return status;
  if (!s->pool.complete)
    bound = plain; /* what was not looked at may be better than all that was */
  status = make_routes(s, plan);
  if (status == PC_OK)
    sum_plan(s, fmax(bound, plain), plan);
  return status;
}

static bool makes_sense(const pc_assign_problem *p) {
  bool good = p->lot_count > 0 && p->lot_count <= PC_LOTS_MAX && p->machine_kinds <= PC_FLEET_MAX &&
              p->box_kinds <= PC_FLEET_MAX;
  for (size_t u = 0; good && u < p->unit_count; u++)
    good =
        p->units[u].together >= 1 && p->units[u].machine < p->machine_kinds && p->units[u].box < p->box_kinds;
  return good;
}

pc_status pc_assign_solve(const pc_assign_problem *problem, pc_assign_plan *plan) {
  *plan = (pc_assign_plan){.bound = NAN, .gap = NAN};
  if (!makes_sense(problem))
    return PC_ERR_RANGE;
  solver *s = pc_alloc(1, sizeof *s);
  pc_assign_plan first;
  if (!s)
    return PC_ERR_MEMORY;
  s->problem = problem;
  pc_steps_begin(&s->steps, problem->watch, 0);
  pc_status status = pc_assign_first(problem, &first);
  if (status == PC_OK)
    status = solve(s, &first, plan);
  pc_steps_end(&s->steps);
  pc_assign_plan_free(&first);
  pc_assign_routes_free(&s->pool);
  free(s->weights);
  free(s);
  if (status != PC_OK)
    pc_assign_plan_free(plan);
  return status;
}
