// SPDX-License-Identifier: GPL-3.0-or-later
/* Assigning machines and boxes to lots: published optima, plain enumeration, and plans that can be carried
 * out. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/random.h"
#include "study/assign_private.h"
#include "validation.h"

enum { LOTS = 8, UNITS = 12 };

/* A problem with room of its own, without travel and with units that cost 1 a second, unless changed. */
typedef struct bench {
  pc_assign_problem p;
  pc_assign_unit units[UNITS];
  double work[UNITS * 16], travel[17 * 17];
  int machines[UNITS], boxes[UNITS];
} bench;

static void start(bench *b, size_t units, size_t lots, pc_least least) {
  memset(b, 0, sizeof *b);
  b->p = (pc_assign_problem){.units = b->units,
                             .unit_count = units,
                             .lot_count = lots,
                             .work_s = b->work,
                             .travel_s = b->travel,
                             .machines = b->machines,
                             .boxes = b->boxes,
                             .machine_kinds = units,
                             .box_kinds = units,
                             .least = least};
  for (size_t u = 0; u < units; u++) {
    b->units[u] = (pc_assign_unit){u, u, 1, 1.0};
    b->machines[u] = b->boxes[u] = 1;
  }
}

static double unit_travel(const pc_assign_problem *p, size_t from, size_t to) {
  return p->travel_s[from * (p->lot_count + 1) + to];
}

/* Nothing in two places at once: each lot once, no more machines and boxes than there are, times that follow
 * from the ways and the work, and sums that are their parts'. */
static void check_plan(const pc_assign_problem *p, const pc_assign_plan *plan) {
  int lots[64] = {0}, machines[64] = {0}, boxes[64] = {0};
  double finish = 0, cost = 0, machine_s = 0;
  assert_true(plan->found);
  for (size_t r = 0; r < plan->route_count; r++) {
    const pc_assign_route *route = &plan->routes[r];
    const pc_assign_unit *unit = &p->units[route->unit];
    machines[unit->machine] += unit->together;
    boxes[unit->box] += unit->together;
    assert_true(route->stop_count > 0);
    double now = 0, extra = 0;
    size_t at = 0;
    for (size_t i = 0; i < route->stop_count; i++) {
      const pc_assign_stop *stop = &route->stops[i];
      lots[stop->lot]++;
      assert_true(fabs(stop->arrive_s - (now + unit_travel(p, at, stop->lot + 1))) < 1e-6);
      double work = p->work_s[route->unit * p->lot_count + stop->lot];
      assert_true(work >= 0);
      assert_true(fabs(stop->done_s - (stop->arrive_s + work)) < 1e-6);
      extra += p->work_cost ? p->work_cost[route->unit * p->lot_count + stop->lot] : 0;
      now = stop->done_s;
      at = stop->lot + 1;
    }
    assert_true(fabs(route->end_s - now) < 1e-6);
    double paid = now + (p->back_to_yard ? unit_travel(p, at, 0) : 0);
    assert_true(fabs(route->cost - (paid * unit->cost_per_s + extra)) < 1e-6);
    finish = fmax(finish, now);
    cost += route->cost;
    machine_s += now * unit->together;
  }
  for (size_t l = 0; l < p->lot_count; l++)
    assert_int_equal(lots[l], 1);
  for (size_t m = 0; m < p->machine_kinds; m++)
    assert_true(machines[m] <= p->machines[m]);
  for (size_t k = 0; k < p->box_kinds; k++)
    assert_true(boxes[k] <= p->boxes[k]);
  for (size_t r = 1; r < plan->route_count; r++) {
    const pc_assign_route *before = &plan->routes[r - 1], *route = &plan->routes[r];
    assert_true(before->unit < route->unit ||
                (before->unit == route->unit && before->stops[0].lot < route->stops[0].lot));
  }
  assert_true(fabs(finish - plan->finish_s) < 1e-6 && fabs(cost - plan->cost) < 1e-6);
  assert_true(fabs(machine_s - plan->machine_s) < 1e-6);
  double value = p->least == PC_LEAST_COST ? plan->cost : plan->finish_s;
  assert_true(plan->bound <= value * (1 + 1e-9) && plan->gap >= 0);
}

/* `source` of the optimum; NULL: a slow twin in this file. */
static void solves(const bench *b, const char *source, const char *what, double expected) {
  pc_assign_plan plan;
  assert_int_equal(pc_assign_solve(&b->p, &plan), PC_OK);
  check_plan(&b->p, &plan);
  double value = b->p.least == PC_LEAST_COST ? plan.cost : plan.finish_s;
  if (source)
    assert_published(source, what, value, expected, 1e-6 * expected);
  if (fabs(value - expected) > 1e-6 * expected)
    fail_msg("%.9g, not %.9g", value, expected);
  assert_true(plan.gap == 0);
  pc_assign_plan_free(&plan);
}

/* Graham, Bounds on multiprocessing timing anomalies, SIAM J. Appl. Math. 17 (1969) 416: on m machines the
 * jobs 2m − 1, 2m − 1, 2m − 2, 2m − 2, …, m + 1, m + 1, m, m, m take 3m at best, and 4m − 1 when the longest
 * go first. */
static void test_graham(void **state) {
  (void)state;
  for (int m = 2; m <= 5; m++) {
    bench b;
    start(&b, 1, (size_t)(2 * m + 1), PC_LEAST_TIME);
    b.machines[0] = b.boxes[0] = m;
    for (int i = 0; i < 2 * m + 1; i++)
      b.work[i] = i < 2 * m ? 2 * m - 1 - i / 2 : m;
    char what[80];
    snprintf(what, sizeof what, "least time of the worst case on %d machines", m);
    solves(&b, "Graham 1969, SIAM J. Appl. Math. 17:416", what, 3 * m);
  }
}

/* The assignment of four machines to four jobs in Winston, Operations Research ("Machineco", from memory):
 * set-up times 14 5 8 7 / 2 12 6 5 / 7 8 3 9 / 2 4 6 10, least total 15. Ways between lots keep each machine
 * to one. */
static void test_machineco(void **state) {
  (void)state;
  static const double hours[4][4] = {{14, 5, 8, 7}, {2, 12, 6, 5}, {7, 8, 3, 9}, {2, 4, 6, 10}};
  bench b;
  start(&b, 4, 4, PC_LEAST_COST);
  for (size_t u = 0; u < 4; u++)
    for (size_t l = 0; l < 4; l++)
      b.work[u * 4 + l] = hours[u][l];
  for (size_t i = 1; i <= 4; i++)
    for (size_t j = 1; j <= 4; j++)
      b.travel[i * 5 + j] = i == j ? 0 : 1000;
  solves(&b, "Winston, Operations Research, Machineco (from memory)", "least set-up time", 15);
}

/* What cannot be is refused, not searched for ever. */
static void test_refused(void **state) {
  (void)state;
  pc_assign_plan plan;
  bench b;
  start(&b, 1, 1, PC_LEAST_TIME);
  b.work[0] = 5;
  b.units[0].together = 0;
  assert_int_equal(pc_assign_solve(&b.p, &plan), PC_ERR_RANGE);
  b.units[0] = (pc_assign_unit){1, 0, 1, 1.0};
  assert_int_equal(pc_assign_solve(&b.p, &plan), PC_ERR_RANGE);
  b.units[0] = (pc_assign_unit){0, 1, 1, 1.0};
  assert_int_equal(pc_assign_solve(&b.p, &plan), PC_ERR_RANGE);
  b.units[0] = (pc_assign_unit){0, 0, 1, 1.0};
  solves(&b, NULL, NULL, 5);
  b.p.lot_count = 0;
  assert_int_equal(pc_assign_solve(&b.p, &plan), PC_ERR_RANGE);
}

/* TSPLIB burma14 (Reinelt 1991; coordinates from memory): geographical distances, shortest round trip 3323.
 * One machine that starts at the first town, does no work anywhere, and drives home. */
static void test_burma(void **state) {
  (void)state;
  static const double towns[14][2] = {{16.47, 96.10}, {16.47, 94.44}, {20.09, 92.54}, {22.39, 93.37},
                                      {25.23, 97.24}, {22.00, 96.05}, {20.47, 97.02}, {17.20, 96.29},
                                      {16.30, 97.38}, {14.05, 98.12}, {16.53, 97.38}, {21.52, 95.59},
                                      {19.41, 97.13}, {20.09, 94.55}};
  bench b;
  double rad[14][2];
  start(&b, 1, 13, PC_LEAST_COST);
  b.p.back_to_yard = true;
  for (int i = 0; i < 14; i++)
    for (int k = 0; k < 2; k++) {
      double whole = trunc(towns[i][k]);
      rad[i][k] = 3.141592 * (whole + 5.0 * (towns[i][k] - whole) / 3.0) / 180.0;
    }
  for (size_t i = 0; i < 14; i++)
    for (size_t j = 0; j < 14; j++) {
      double q1 = cos(rad[i][1] - rad[j][1]), q2 = cos(rad[i][0] - rad[j][0]),
             q3 = cos(rad[i][0] + rad[j][0]);
      b.travel[i * 14 + j] =
          i == j ? 0 : trunc(6378.388 * acos(0.5 * ((1.0 + q1) * q2 - (1.0 - q1) * q3)) + 1.0);
    }
  /* roads of whole kilometres may be a little longer than by way of a third town */
  for (size_t k = 0; k < 14; k++)
    for (size_t i = 0; i < 14; i++)
      for (size_t j = 0; j < 14; j++)
        b.travel[i * 14 + j] = fmin(b.travel[i * 14 + j], b.travel[i * 14 + k] + b.travel[k * 14 + j]);
  solves(&b, "TSPLIB burma14, Reinelt 1991 (coordinates from memory)", "shortest round trip", 3323);
}

/* ---- plain enumeration ---- */

typedef struct brute {
  const pc_assign_problem *p;
  double best;
  size_t of[LOTS]; /* member that does the lot */
  size_t units[LOTS];
  size_t count;
  double by_s; /* finite: least machine time of those that are done by then */
} brute;

/* Every order of the lots of one member. */
static double best_route(const pc_assign_problem *p, size_t unit, unsigned lots, size_t at, double now,
                         double extra) {
  if (lots == 0) {
    double paid = now + (p->back_to_yard ? unit_travel(p, at, 0) : 0);
    return p->least == PC_LEAST_COST ? paid * p->units[unit].cost_per_s + extra : now;
  }
  double best = INFINITY;
  for (size_t l = 0; l < p->lot_count; l++) {
    if (!(lots >> l & 1))
      continue;
    double work = p->work_s[unit * p->lot_count + l];
    if (isnan(work))
      return INFINITY;
    best = fmin(best, best_route(p, unit, lots & ~(1u << l), l + 1, now + unit_travel(p, at, l + 1) + work,
                                 extra + (p->work_cost ? p->work_cost[unit * p->lot_count + l] : 0)));
  }
  return best;
}

static void share_out(brute *b, size_t lot) {
  if (lot < b->p->lot_count) {
    for (size_t m = 0; m < b->count; m++) {
      b->of[lot] = m;
      share_out(b, lot + 1);
    }
    return;
  }
  double value = 0;
  for (size_t m = 0; m < b->count && value < b->best; m++) {
    unsigned lots = 0;
    for (size_t l = 0; l < b->p->lot_count; l++)
      lots |= b->of[l] == m ? 1u << l : 0;
    if (lots == 0)
      continue;
    double one = best_route(b->p, b->units[m], lots, 0, 0, 0);
    if (isfinite(b->by_s))
      value += one > b->by_s * (1 + 1e-9) ? (double)INFINITY : one * b->p->units[b->units[m]].together;
    else
      value = b->p->least == PC_LEAST_COST ? value + one : fmax(value, one);
  }
  b->best = fmin(b->best, value);
}

/* Every crew that can be formed, units in rising order. */
static void form(brute *b, size_t from, int *machines, int *boxes) {
  if (b->count > 0)
    share_out(b, 0);
  for (size_t u = from; u < b->p->unit_count && b->count < LOTS; u++) {
    const pc_assign_unit *unit = &b->p->units[u];
    if (machines[unit->machine] < unit->together || boxes[unit->box] < unit->together)
      continue;
    machines[unit->machine] -= unit->together;
    boxes[unit->box] -= unit->together;
    b->units[b->count++] = u;
    form(b, u, machines, boxes);
    b->count--;
    machines[unit->machine] += unit->together;
    boxes[unit->box] += unit->together;
  }
}

static double enumerate_by(const pc_assign_problem *p, double by_s) {
  brute b = {.p = p, .best = INFINITY, .by_s = by_s};
  int machines[UNITS], boxes[UNITS];
  memcpy(machines, p->machines, p->machine_kinds * sizeof *machines);
  memcpy(boxes, p->boxes, p->box_kinds * sizeof *boxes);
  form(&b, 0, machines, boxes);
  return b.best;
}

static double enumerate(const pc_assign_problem *p) {
  return enumerate_by(p, INFINITY);
}

static double uniform(pc_stream *luck) {
  return (double)(pc_stream_next(luck) >> 11) * 0x1p-53;
}

/* Two kinds of machines and two of boxes, alone or in pairs; lots in a square of roads; some pairs do not
 * fit. */
static void make_random(bench *b, pc_stream *luck, size_t lots, pc_least least) {
  static double extra[UNITS * LOTS];
  start(b, 8, lots, least);
  b->p.machine_kinds = b->p.box_kinds = 2;
  double power[2] = {1.0, 0.5 + uniform(luck)}, width[2] = {1.0, 0.6 + 0.8 * uniform(luck)};
  for (int k = 0; k < 2; k++) {
    b->machines[k] = 1 + (int)(2 * uniform(luck));
    b->boxes[k] = 1 + (int)(2 * uniform(luck));
  }
  for (size_t u = 0; u < 8; u++) {
    b->units[u] = (pc_assign_unit){u & 1, u >> 1 & 1, u & 4 ? 2 : 1, 0};
    b->units[u].cost_per_s = (u & 1 ? 0.7 : 1.0) * b->units[u].together;
    for (size_t l = 0; l < lots; l++) {
      double size = 600 + 600 * (double)l;
      double work = size / power[u & 1] / width[u >> 1 & 1] / (u & 4 ? 1.7 : 1) * (0.8 + 0.4 * uniform(luck));
      b->work[u * lots + l] = uniform(luck) < 0.1 ? NAN : work;
      extra[u * lots + l] = 100 * uniform(luck);
    }
  }
  b->p.work_cost = extra;
  b->p.back_to_yard = uniform(luck) < 0.5;
  double x[LOTS + 1], y[LOTS + 1];
  for (size_t i = 0; i <= lots; i++) {
    x[i] = 1500 * uniform(luck);
    y[i] = 1500 * uniform(luck);
  }
  for (size_t i = 0; i <= lots; i++)
    for (size_t j = 0; j <= lots; j++)
      b->travel[i * (lots + 1) + j] = hypot(x[i] - x[j], y[i] - y[j]);
}

static void test_enumeration(void **state) {
  (void)state;
  size_t without = 0;
  for (uint64_t seed = 1; seed <= 120; seed++) {
    bench b;
    pc_stream luck;
    pc_stream_start(&luck, seed, 0, 0, 0);
    make_random(&b, &luck, 3 + seed % 3, seed % 2 ? PC_LEAST_TIME : PC_LEAST_COST);
    double expected = enumerate(&b.p);
    if (isfinite(expected)) {
      solves(&b, NULL, NULL, expected);
      continue;
    }
    pc_assign_plan plan;
    without++;
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    assert_false(plan.found);
    pc_assign_plan_free(&plan);
  }
  assert_true(without < 60); /* else little would have been compared */
}

/* Of the plans that are done as soon, the one with the least machine time. */
static void test_least_machine_time(void **state) {
  (void)state;
  for (uint64_t seed = 1; seed <= 60; seed++) {
    bench b;
    pc_assign_plan plan;
    pc_stream luck;
    pc_stream_start(&luck, seed, 4, 0, 0);
    make_random(&b, &luck, 3 + seed % 3, PC_LEAST_TIME);
    double best = enumerate(&b.p);
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    if (plan.found) {
      double least_s = enumerate_by(&b.p, best);
      check_plan(&b.p, &plan);
      if (fabs(plan.machine_s - least_s) > 1e-6 * least_s)
        fail_msg("seed %d: %.9g s of machine time, not %.9g s", (int)seed, plan.machine_s, least_s);
    }
    pc_assign_plan_free(&plan);
  }
}

/* What machines cost is no matter where time is to be least. Jobs of 3, 3, 2, 2, 2 on two machines: the
 * longest first takes 7, the best plan 6 (Graham 1969, as above), for which the machine that would have 5 has
 * more to do, which may be the one that costs much. */
static void test_time_at_any_cost(void **state) {
  (void)state;
  static const double jobs[] = {3, 3, 2, 2, 2};
  for (size_t dear = 0; dear < 2; dear++) {
    bench b;
    start(&b, 2, 5, PC_LEAST_TIME);
    memcpy(b.work, jobs, sizeof jobs);
    memcpy(&b.work[5], jobs, sizeof jobs);
    b.units[dear].cost_per_s = 1000;
    solves(&b, NULL, NULL, 6);
  }
}

/* No plan: a lot that nobody can do; two that only one machine can do are one after another. */
static void test_nobody_can(void **state) {
  (void)state;
  for (int cost = 0; cost < 2; cost++) {
    bench b;
    pc_assign_plan plan;
    start(&b, 2, 3, cost ? PC_LEAST_COST : PC_LEAST_TIME);
    const double work[] = {100, 200, NAN, 100, NAN, NAN};
    memcpy(b.work, work, sizeof work);
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    assert_false(plan.found);
    assert_int_equal(plan.route_count, 0);
    pc_assign_plan_free(&plan);
    b.work[2] = 50;
    solves(&b, NULL, NULL, cost ? 350 : 250);
  }
}

/* The bound that needs no routes: in fractions two machines would have one lot done in 1/(1/1100 + 1/1300) =
 * 596 s, but one of them does it, and the quicker one takes 100 s to get there and 1000 s of work. */
static void test_one_lot_is_not_shared(void **state) {
  (void)state;
  bench b;
  double bound;
  start(&b, 2, 1, PC_LEAST_TIME);
  b.work[0] = 1200;
  b.work[1] = 1000;
  b.travel[1] = b.travel[2] = 100;
  assert_int_equal(pc_assign_bound(&b.p, &bound), PC_OK);
  if (fabs(bound - 1100) > 1e-9)
    fail_msg("the bound is %.9g s", bound);
  /* where each can do its own lot both are done at once, and that of the slower pair counts */
  start(&b, 2, 2, PC_LEAST_TIME);
  const double work[] = {1000, NAN, NAN, 700};
  memcpy(b.work, work, sizeof work);
  assert_int_equal(pc_assign_bound(&b.p, &bound), PC_OK);
  if (fabs(bound - 1000) > 1e-9)
    fail_msg("the bound is %.9g s", bound);
  /* three lots of 1000 s are 3000 s of work, for two machines of one kind 1500 s, the tolerance of the solver
   * off it */
  start(&b, 1, 3, PC_LEAST_TIME);
  b.machines[0] = b.boxes[0] = 2;
  for (size_t l = 0; l < 3; l++)
    b.work[l] = 1000;
  assert_int_equal(pc_assign_bound(&b.p, &bound), PC_OK);
  if (fabs(bound - 1500) > 1e-3)
    fail_msg("the bound is %.9g s", bound);
}

/* With so few routes looked at that the best are lost, plans can still be carried out, are no better than the
 * optimum, and their bounds are bounds. */
static void test_short_of_routes(void **state) {
  (void)state;
  size_t short_of = 0;
  for (uint64_t seed = 1; seed <= 40; seed++) {
    bench b;
    pc_assign_plan plan;
    pc_stream luck;
    pc_stream_start(&luck, seed, 1, 0, 0);
    make_random(&b, &luck, 5, seed % 2 ? PC_LEAST_TIME : PC_LEAST_COST);
    double best = enumerate(&b.p);
    b.p.label_limit = 3;
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    if (plan.found) {
      check_plan(&b.p, &plan);
      double value = b.p.least == PC_LEAST_COST ? plan.cost : plan.finish_s;
      assert_true(value >= best * (1 - 1e-9));
      assert_true(plan.bound <= best * (1 + 1e-9));
      assert_true(plan.complete || plan.gap == 0 || plan.bound < value);
      short_of += !plan.complete;
    }
    pc_assign_plan_free(&plan);
  }
  assert_true(short_of > 10);
}

/* Two loaders on one road, the yard at 2 km and lots at 3, −3 and −1 km, a unit of time for a kilometre. With
 * one route of each length looked at, that with the least waste, both have the first lot alone, then with one
 * more: so it is covered twice. It stays where it takes less machine time: with the second loader (5, not 6),
 * from where it takes 1 + 5 + 4 + 2 to have all done; if that is a pair (10 of machine time), with the first
 * one: 1 + 6 + 6 + 1. Whichever comes first. */
static void test_covered_twice(void **state) {
  (void)state;
  static const double at_km[] = {2, 3, -3, -1}, work[2][3] = {{6, 1, 9}, {5, 8, 2}};
  for (int k = 0; k < 4; k++) {
    bench b;
    pc_assign_plan plan;
    bool swapped = k & 1, pair = k & 2;
    size_t second = swapped ? 0 : 1, holder = pair ? 1 - second : second;
    start(&b, 2, 3, PC_LEAST_TIME);
    b.p.label_limit = 1;
    if (pair)
      b.units[second].together = b.machines[second] = b.boxes[second] = 2;
    for (size_t u = 0; u < 2; u++)
      memcpy(&b.work[3 * u], work[u == second], sizeof work[0]);
    for (size_t i = 0; i < 4; i++)
      for (size_t j = 0; j < 4; j++)
        b.travel[i * 4 + j] = fabs(at_km[i] - at_km[j]);
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    check_plan(&b.p, &plan);
    assert_int_equal(plan.route_count, 2);
    const pc_assign_route *own = &plan.routes[holder];
    assert_int_equal(own->unit, holder);
    assert_int_equal(own->stop_count, 2);
    assert_int_equal(own->stops[0].lot, 0);
    assert_true(plan.finish_s == (pair ? 14 : 12));
    pc_assign_plan_free(&plan);
  }
}

/* One step of search is not enough; the plan says by how much it may fall short. */
static void test_short_of_nodes(void **state) {
  (void)state;
  size_t gaps = 0;
  for (uint64_t seed = 1; seed <= 20; seed++) {
    bench b;
    pc_assign_plan plan;
    pc_stream luck;
    pc_stream_start(&luck, seed, 2, 0, 0);
    make_random(&b, &luck, 6, seed % 2 ? PC_LEAST_TIME : PC_LEAST_COST);
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    double best = plan.found ? (b.p.least == PC_LEAST_COST ? plan.cost : plan.finish_s) : INFINITY;
    pc_assign_plan_free(&plan);
    b.p.node_limit = 1;
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    if (plan.found) {
      check_plan(&b.p, &plan);
      assert_true(plan.bound <= best * (1 + 1e-9));
      gaps += plan.gap > 0;
    }
    pc_assign_plan_free(&plan);
  }
  assert_true(gaps > 0);
}

/* Where every machine can do every lot there is a plan, however short the search. */
static void test_short_search_still_plans(void **state) {
  (void)state;
  for (uint64_t seed = 1; seed <= 6; seed++) {
    bench b;
    pc_assign_plan plan;
    pc_stream luck;
    pc_stream_start(&luck, seed, 0, 0, 0);
    start(&b, 4, 12, PC_LEAST_TIME);
    b.p.node_limit = 1;
    for (size_t i = 0; i < 4 * 12; i++)
      b.work[i] = 600 + 3000 * uniform(&luck);
    for (size_t i = 0; i <= 12; i++)
      for (size_t j = 0; j <= 12; j++)
        b.travel[i * 13 + j] = i == j ? 0 : 100 * fabs((double)i - (double)j);
    assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
    check_plan(&b.p, &plan);
    pc_assign_plan_free(&plan);
  }
}

/* As large as a long night gets: twelve lots, four kinds of machines. The same plan twice, and its gap is
 * small. */
static void test_large(void **state) {
  (void)state;
  bench b;
  pc_assign_plan plan, again;
  pc_stream luck;
  pc_stream_start(&luck, 5, 3, 0, 0);
  start(&b, 4, 12, PC_LEAST_TIME);
  for (size_t u = 0; u < 4; u++)
    for (size_t l = 0; l < 12; l++)
      b.work[u * 12 + l] = (1000 + 500 * (double)l) * (0.8 + 0.1 * (double)u) * (0.9 + 0.2 * uniform(&luck));
  for (size_t i = 0; i <= 12; i++)
    for (size_t j = 0; j <= 12; j++)
      b.travel[i * 13 + j] = i == j ? 0 : 300;
  assert_int_equal(pc_assign_solve(&b.p, &plan), PC_OK);
  assert_int_equal(pc_assign_solve(&b.p, &again), PC_OK);
  check_plan(&b.p, &plan);
  print_message("done by %g s, gap %g\n", plan.finish_s, plan.gap);
  assert_true(plan.gap < 0.02);
  assert_true(plan.finish_s == again.finish_s && plan.route_count == again.route_count);
  for (size_t r = 0; r < plan.route_count; r++)
    assert_true(plan.routes[r].unit == again.routes[r].unit &&
                plan.routes[r].stop_count == again.routes[r].stop_count);
  pc_assign_plan_free(&plan);
  pc_assign_plan_free(&again);
}

/* ---- stopped ---- */

typedef struct stopwatch {
  size_t steps, stop_after, asked, refuse_after;
  size_t asked_before, most_between; /* questions before the last step; between two steps */
} stopwatch;

static void count_step(void *context, size_t done, size_t all) {
  stopwatch *watch = context;
  assert_true(done <= all);
  if (done > 1 && watch->asked - watch->asked_before > watch->most_between)
    watch->most_between = watch->asked - watch->asked_before;
  watch->asked_before = watch->asked;
  watch->steps = done;
}

static bool stop_now(void *context) {
  stopwatch *watch = context;
  return watch->asked++ >= watch->refuse_after || watch->steps >= watch->stop_after;
}

static double value_of(const bench *b, const pc_assign_plan *plan) {
  return b->p.least == PC_LEAST_COST ? plan->cost : plan->finish_s;
}

/* A plan that can be carried out, with a bound that the best plan keeps and a gap that follows from both. */
static pc_assign_plan stopped_plan(bench *b, double best, size_t stop_after, size_t refuse_after,
                                   stopwatch *count) {
  pc_assign_plan plan;
  *count = (stopwatch){.stop_after = stop_after, .refuse_after = refuse_after};
  const pc_watch watch = {count_step, stop_now, count};
  b->p.watch = &watch;
  assert_int_equal(pc_assign_solve(&b->p, &plan), PC_OK);
  b->p.watch = NULL;
  check_plan(&b->p, &plan);
  double value = value_of(b, &plan);
  assert_true(value >= best * (1 - 1e-9) && plan.bound <= best * (1 + 1e-9) && plan.bound > 0);
  assert_true(fabs(plan.gap - (value - plan.bound) / value) < 1e-9);
  return plan;
}

/* Stopped after every search, and at every question whether to stop (in the search for routes and within
 * GLPK, too): the plan gets no worse the longer the work goes on, and is the whole one at its end. */
static void test_stopped(void **state) {
  (void)state;
  for (int cost = 0; cost < 2; cost++) {
    bench b;
    pc_stream luck;
    pc_stream_start(&luck, 1, 0, 0, 0);
    start(&b, 4, 9, cost ? PC_LEAST_COST : PC_LEAST_TIME);
    double x[10], y[10];
    for (size_t i = 0; i < 4 * 9; i++)
      b.work[i] = 600 + 3000 * uniform(&luck);
    for (size_t i = 0; i <= 9; i++) {
      x[i] = 1500 * uniform(&luck);
      y[i] = 1500 * uniform(&luck);
    }
    for (size_t i = 0; i <= 9; i++)
      for (size_t j = 0; j <= 9; j++)
        b.travel[i * 10 + j] = hypot(x[i] - x[j], y[i] - y[j]);
    pc_assign_plan whole;
    assert_int_equal(pc_assign_solve(&b.p, &whole), PC_OK);
    assert_true(whole.gap == 0 && !whole.stopped);
    double best = value_of(&b, &whole), before = INFINITY;
    stopwatch count;
    pc_assign_plan plan = stopped_plan(&b, best, SIZE_MAX, SIZE_MAX, &count);
    assert_true(!plan.stopped && value_of(&b, &plan) == best);
    size_t steps = count.steps, questions = count.asked;
    /* once before a search, and within it: GLPK asks, too */
    assert_true(cost || count.most_between > 1);
    bool found_later = false;
    assert_true(steps >= (cost ? 1 : 4) && questions > steps);
    pc_assign_plan_free(&plan);
    for (size_t k = 0; k < steps; k++) {
      plan = stopped_plan(&b, best, k, SIZE_MAX, &count);
      assert_true(plan.stopped && count.steps == k && value_of(&b, &plan) <= before);
      assert_int_equal(plan.complete, k > 0); /* stopped from the first, no routes were looked at */
      before = value_of(&b, &plan);
      found_later |= before > best * (1 + 1e-6);
      pc_assign_plan_free(&plan);
    }
    assert_true(found_later); /* else there was nothing to search for */
    for (size_t q = 0; q < questions; q += 1 + q / 8) {
      plan = stopped_plan(&b, best, SIZE_MAX, q, &count);
      assert_true(plan.stopped && count.asked <= q + 8);
      pc_assign_plan_free(&plan);
    }
    pc_assign_plan_free(&whole);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_graham),
      cmocka_unit_test(test_refused),
      cmocka_unit_test(test_machineco),
      cmocka_unit_test(test_burma),
      cmocka_unit_test(test_enumeration),
      cmocka_unit_test(test_one_lot_is_not_shared),
      cmocka_unit_test(test_short_of_routes),
      cmocka_unit_test(test_short_search_still_plans),
      cmocka_unit_test(test_short_of_nodes),
      cmocka_unit_test(test_large),
      cmocka_unit_test(test_stopped),
      cmocka_unit_test(test_covered_twice),
      cmocka_unit_test(test_least_machine_time),
      cmocka_unit_test(test_time_at_any_cost),
      cmocka_unit_test(test_nobody_can),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
