// SPDX-License-Identifier: GPL-3.0-or-later
/* A plan by plain rules: machines take the boxes that suit them best, and lots, the longest first, go where
 * they do the least harm. It need not be good; what is found later is measured against it. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/assign_private.h"

void pc_assign_time_route(const pc_assign_problem *p, pc_assign_route *route) {
  double now = 0.0, extra = 0.0;
  size_t from = 0;
  for (size_t i = 0; i < route->stop_count; i++) {
    size_t lot = route->stops[i].lot;
    double way = pc_assign_travel(p, from, lot + 1), work = pc_assign_work(p, route->unit, lot);
    route->stops[i].arrive_s = now + way;
    now += way + work; /* in this order, as the search for routes adds */
    route->stops[i].done_s = now;
    extra += pc_assign_extra(p, route->unit, lot);
    from = lot + 1;
  }
  route->end_s = now;
  route->paid_s = now + (p->back_to_yard && from > 0 ? pc_assign_travel(p, from, 0) : 0.0);
  route->cost = p->units[route->unit].cost_per_s * route->paid_s + extra;
}

void pc_assign_plan_free(pc_assign_plan *plan) {
  if (!plan)
    return;
  for (size_t i = 0; i < plan->route_count; i++)
    free(plan->routes[i].stops);
  free(plan->routes);
  *plan = (pc_assign_plan){0};
}

/* How much longer than the best a unit takes for the lots, on average. */
static double slowness(const pc_assign_problem *p, const double *best_s, size_t unit) {
  double sum = 0.0;
  for (size_t l = 0; l < p->lot_count; l++) {
    double work = pc_assign_work(p, unit, l);
    sum += isnan(work) ? 10.0 : best_s[l] > 0.0 ? work / best_s[l] : 1.0;
  }
  return sum;
}

static bool is_least_team(const pc_assign_problem *p, size_t unit) {
  for (size_t u = 0; u < p->unit_count; u++)
    if (p->units[u].machine == p->units[unit].machine && p->units[u].together < p->units[unit].together)
      return false;
  return true;
}

/* Forms units, the quickest first, until machines or boxes run out. */
static pc_status form_units(const pc_assign_problem *p, const double *best_s, pc_assign_plan *plan) {
  int *machines = pc_copy(p->machines, p->machine_kinds, sizeof *machines);
  int *boxes = pc_copy(p->boxes, p->box_kinds, sizeof *boxes);
  size_t room = 0;
  pc_status status = machines && boxes ? PC_OK : PC_ERR_MEMORY;
  while (status == PC_OK) {
    size_t best = p->unit_count;
    for (size_t u = 0; u < p->unit_count; u++) {
      const pc_assign_unit *unit = &p->units[u];
      if (!is_least_team(p, u) || machines[unit->machine] < unit->together ||
          boxes[unit->box] < unit->together)
        continue;
      if (best == p->unit_count || slowness(p, best_s, u) < slowness(p, best_s, best))
        best = u;
    }
    if (best == p->unit_count)
      break;
    void *routes = plan->routes;
    if (pc_reserve(&routes, &room, plan->route_count + 1, sizeof *plan->routes) != 0) {
      status = PC_ERR_MEMORY;
      break;
    }
    plan->routes = routes;
    pc_assign_route *route = &plan->routes[plan->route_count];
    *route = (pc_assign_route){.unit = best, .stops = pc_alloc(p->lot_count, sizeof *route->stops)};
    if (!route->stops) {
      status = PC_ERR_MEMORY;
      break;
    }
    plan->route_count++;
    machines[p->units[best].machine] -= p->units[best].together;
    boxes[p->units[best].box] -= p->units[best].together;
  }
  free(machines);
  free(boxes);
  return status;
}

static void insert(pc_assign_route *route, size_t at, size_t lot) {
  memmove(&route->stops[at + 1], &route->stops[at], (route->stop_count - at) * sizeof *route->stops);
  route->stops[at] = (pc_assign_stop){.lot = lot};
  route->stop_count++;
}

static void take_out(pc_assign_route *route, size_t at) {
  route->stop_count--;
  memmove(&route->stops[at], &route->stops[at + 1], (route->stop_count - at) * sizeof *route->stops);
}

/* Puts a lot where it does the least harm: the earliest end, or the least added cost. */
static bool place_lot(const pc_assign_problem *p, pc_assign_plan *plan, size_t lot) {
  double best = INFINITY;
  size_t best_route = 0, best_at = 0;
  for (size_t r = 0; r < plan->route_count; r++) {
    pc_assign_route *route = &plan->routes[r];
    if (isnan(pc_assign_work(p, route->unit, lot)))
      continue;
    pc_assign_time_route(p, route);
    double cost = route->cost;
    for (size_t at = 0; at <= route->stop_count; at++) {
      insert(route, at, lot);
      pc_assign_time_route(p, route);
      double harm = p->least == PC_LEAST_COST ? route->cost - cost : route->end_s;
      if (harm < best) {
        best = harm;
        best_route = r;
        best_at = at;
      }
      take_out(route, at);
    }
  }
  if (isinf(best))
    return false;
  insert(&plan->routes[best_route], best_at, lot);
  return true;
}

pc_status pc_assign_first(const pc_assign_problem *p, pc_assign_plan *plan) {
  double best_s[PC_LOTS_MAX];
  bool placed[PC_LOTS_MAX] = {false};
  *plan = (pc_assign_plan){0};
  for (size_t l = 0; l < p->lot_count; l++) {
    best_s[l] = INFINITY;
    for (size_t u = 0; u < p->unit_count; u++)
      best_s[l] = fmin(best_s[l], pc_assign_work(p, u, l));
  }
  pc_status status = form_units(p, best_s, plan);
  plan->found = status == PC_OK;
  for (size_t n = 0; n < p->lot_count && plan->found; n++) {
    size_t longest = p->lot_count;
    for (size_t l = 0; l < p->lot_count; l++)
      if (!placed[l] && (longest == p->lot_count || best_s[l] > best_s[longest]))
        longest = l;
    placed[longest] = true;
    plan->found = place_lot(p, plan, longest);
  }
  for (size_t r = 0; r < plan->route_count; r++) {
    pc_assign_time_route(p, &plan->routes[r]);
    plan->finish_s = fmax(plan->finish_s, plan->routes[r].end_s);
    plan->cost += plan->routes[r].cost;
  }
  return status;
}
