// SPDX-License-Identifier: GPL-3.0-or-later
/* The transportation problem: examples of textbooks, and for random ones the proof that no round of exchanges
 * would save anything. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "base/random.h"
#include "study/transport.h"
#include "validation.h"

enum { MOST = 64 };

static void assert_near(double got, double wanted, double tolerance) {
  if (!(fabs(got - wanted) <= tolerance))
    fail_msg("got %.12g, wanted %.12g within %g", got, wanted, tolerance);
}

static double uniform(pc_stream *stream) {
  return (double)(pc_stream_next(stream) >> 11) * 0x1p-53;
}

static void check_plan(const pc_transport *p, const double *flow, double total) {
  double sum = 0.0;
  for (size_t i = 0; i < p->sources; i++) {
    double out = 0.0;
    for (size_t j = 0; j < p->destinations; j++) {
      assert_true(flow[i * p->destinations + j] >= 0.0);
      out += flow[i * p->destinations + j];
      sum += flow[i * p->destinations + j] * p->cost[i * p->destinations + j];
    }
    assert_near(out, p->supply[i], 1e-9 * (1.0 + p->supply[i]));
  }
  for (size_t j = 0; j < p->destinations; j++) {
    double in = 0.0;
    for (size_t i = 0; i < p->sources; i++)
      in += flow[i * p->destinations + j];
    assert_true(in <= p->room[j] + 1e-9 * (1.0 + in));
  }
  assert_near(sum, total, 1e-9 * (1.0 + fabs(total)));
}

static double solve(const double *supply, size_t sources, const double *room, size_t destinations,
                    const double *cost) {
  const pc_transport problem = {supply, sources, room, destinations, cost};
  double flow[MOST], total = NAN;
  assert_int_equal(pc_transport_solve(&problem, flow, &total), PC_OK);
  check_plan(&problem, flow, total);
  return total;
}

/* The tables are given from memory; that they lead to the published optima vouches for them. */
static void test_textbooks(void **state) {
  (void)state;
  /* Winston, Operations Research: the Powerco problem, 1020 */
  static const double powerco[] = {8, 6, 10, 9, 9, 12, 13, 7, 14, 9, 16, 5};
  static const double plants[] = {35, 50, 40}, cities[] = {45, 20, 30, 30};
  assert_published("Winston, Operations Research, Powerco (from memory)", "least cost of transport",
                   solve(plants, 3, cities, 4, powerco), 1020.0, 1e-9);
  /* Hillier & Lieberman, Introduction to Operations Research: the P&T Company, 152,535 */
  static const double peas[] = {464, 513, 654, 867, 352, 416, 690, 791, 995, 682, 388, 685};
  static const double canneries[] = {75, 125, 100}, warehouses[] = {80, 65, 70, 85};
  assert_published("Hillier & Lieberman, Introduction to Operations Research, P&T Company (from memory)",
                   "least cost of transport", solve(canneries, 3, warehouses, 4, peas), 152535.0, 1e-9);
  /* Dantzig 1963, Linear Programming and Extensions, 3.3: distances in thousands of miles, freight 90 a
   * thousand miles and thousand cases: 153.675 */
  static const double miles[] = {2.5, 2.5, 1.7, 1.8, 1.8, 1.4}; /* from each market to both plants */
  static const double sold[] = {325, 300, 275}, made[] = {350, 600};
  assert_published("Dantzig 1963, Linear Programming and Extensions, 3.3 (from memory)",
                   "least cost of transport", solve(sold, 3, made, 2, miles) * 90.0 / 1000.0, 153.675, 1e-9);
}

/* The example of lp.transport in the manual of the lpSolve package: 7790. */
static void test_manual(void **state) {
  (void)state;
  enum { ROWS = 8, COLUMNS = 5 };
  double cost[ROWS][COLUMNS];
  for (int i = 0; i < ROWS; i++)
    for (int j = 0; j < COLUMNS; j++)
      cost[i][j] = 10000;
  cost[3][0] = 0;
  for (int i = 0; i < ROWS; i++)
    if (i != 3)
      cost[i][4] = 0;
  cost[0][1] = cost[1][2] = cost[2][3] = 7;
  cost[0][2] = cost[1][3] = 7.7;
  cost[4][0] = cost[6][2] = 8;
  cost[0][3] = 8.4;
  cost[5][1] = 9;
  cost[7][3] = 10;
  cost[3][1] = 0.7;
  cost[3][2] = 1.4;
  cost[3][3] = 2.1;
  static const double rows[] = {200, 300, 350, 200, 100, 50, 100, 150}, columns[] = {250, 100, 400, 500, 200};
  assert_published("lpSolve package, manual, lp.transport", "least cost of transport",
                   solve(rows, ROWS, columns, COLUMNS, &cost[0][0]), 7790.0, 1e-6);
}

/* No cheaper plan exists if no circle of moves between destinations, one with room to spare among them or
 * not, saves anything (the negative-cycle criterion of network flows). */
static void check_no_circle(const pc_transport *p, const double *flow) {
  size_t n = p->destinations;
  double way[MOST + 1] = {0};
  double move[MOST][MOST];
  for (size_t a = 0; a < n; a++)
    for (size_t b = 0; b < n; b++) {
      move[a][b] = INFINITY;
      for (size_t i = 0; i < p->sources; i++)
        if (flow[i * n + a] > 1e-9)
          move[a][b] = fmin(move[a][b], p->cost[i * n + b] - p->cost[i * n + a]);
    }
  /* the outside, number n: into it from everywhere that holds something, out of it where room is left */
  double in[MOST];
  for (size_t j = 0; j < n; j++) {
    in[j] = 0.0;
    for (size_t i = 0; i < p->sources; i++)
      in[j] += flow[i * n + j];
  }
  for (size_t round = 0; round <= n + 1; round++) {
    bool better = false;
    for (size_t a = 0; a < n; a++) {
      for (size_t b = 0; b < n; b++)
        if (way[a] + move[a][b] < way[b] - 1e-7) {
          way[b] = way[a] + move[a][b];
          better = true;
        }
      if (in[a] < p->room[a] - 1e-9 && way[a] < way[n] - 1e-7) { /* what comes to a may stay there */
        way[n] = way[a];
        better = true;
      }
      if (in[a] > 1e-9 && way[n] < way[a] - 1e-7) {
        way[a] = way[n];
        better = true;
      }
    }
    if (!better)
      return;
  }
  fail_msg("a circle of moves would save something");
}

static void test_random(void **state) {
  (void)state;
  enum { SOURCES = 12, DESTINATIONS = 5 };
  for (uint64_t seed = 1; seed <= 300; seed++) {
    double supply[SOURCES], room[DESTINATIONS], cost[SOURCES * DESTINATIONS], flow[SOURCES * DESTINATIONS];
    double sum = 0.0, total;
    pc_stream stream;
    pc_stream_start(&stream, seed, 0, 0, 0);
    for (size_t i = 0; i < SOURCES; i++)
      sum += supply[i] = seed % 2 ? floor(10.0 * uniform(&stream)) : uniform(&stream);
    for (size_t i = 0; i < SOURCES * DESTINATIONS; i++)
      cost[i] = seed % 2 ? floor(20.0 * uniform(&stream)) : uniform(&stream);
    for (size_t j = 0; j < DESTINATIONS; j++)
      room[j] = sum / DESTINATIONS * (seed % 3 == 0 ? 1.0 : 1.0 + uniform(&stream));
    const pc_transport problem = {supply, SOURCES, room, DESTINATIONS, cost};
    assert_int_equal(pc_transport_solve(&problem, flow, &total), PC_OK);
    check_plan(&problem, flow, total);
    check_no_circle(&problem, flow);
  }
}

static void test_refused(void **state) {
  (void)state;
  double supply[] = {1, 1}, room[] = {1, 0.5}, cost[] = {1, 2, 3, 4}, total = NAN;
  pc_transport problem = {supply, 2, room, 2, cost};
  assert_int_equal(pc_transport_solve(&problem, NULL, &total), PC_ERR_RANGE); /* too little room */
  room[1] = INFINITY;
  assert_int_equal(pc_transport_solve(&problem, NULL, &total), PC_OK);
  assert_near(total, 5.0, 1e-12);
  supply[0] = -1;
  assert_int_equal(pc_transport_solve(&problem, NULL, &total), PC_ERR_RANGE);
  supply[0] = 1;
  cost[2] = NAN;
  assert_int_equal(pc_transport_solve(&problem, NULL, &total), PC_ERR_RANGE);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_textbooks), cmocka_unit_test(test_manual),
                                     cmocka_unit_test(test_random), cmocka_unit_test(test_refused)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
