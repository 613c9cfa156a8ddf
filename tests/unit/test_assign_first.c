// SPDX-License-Identifier: GPL-3.0-or-later
/* The plan that a search for better ones starts from: the lot that takes longest first, each where it adds
 * least to the cost, or where its route ends soonest. Against timing every route anew. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "base/random.h"
#include "study/assign_private.h"

enum { LOTS = 5, UNITS = 3 };

typedef struct twin {
  double work_s[UNITS * LOTS], travel_s[(LOTS + 1) * (LOTS + 1)];
  size_t lots[UNITS][LOTS], counts[UNITS];
  double end_s[UNITS];
} twin;

static double uniform(pc_stream *luck) {
  return (double)(pc_stream_next(luck) >> 11) * 0x1p-53;
}

static void make_random(twin *t, pc_stream *luck) {
  *t = (twin){0};
  for (size_t i = 0; i < UNITS * LOTS; i++)
    t->work_s[i] = 100 + 900 * uniform(luck);
  for (size_t i = 0; i <= LOTS; i++)
    for (size_t j = 0; j <= LOTS; j++)
      t->travel_s[i * (LOTS + 1) + j] = i == j ? 0 : 300 + 300 * uniform(luck);
}

/* When a unit is done that clears one more lot, as its `at`th. */
static double end_with(const twin *t, size_t unit, size_t lot, size_t at) {
  double now = 0;
  size_t from = 0;
  for (size_t i = 0; i <= t->counts[unit]; i++) {
    size_t next = i == at ? lot : t->lots[unit][i < at ? i : i - 1];
    now += t->travel_s[from * (LOTS + 1) + next + 1] + t->work_s[unit * LOTS + next];
    from = next + 1;
  }
  return now;
}

static void place(twin *t, size_t lot, bool cost) {
  size_t unit = 0, best_at = 0;
  double least = INFINITY;
  for (size_t u = 0; u < UNITS; u++)
    for (size_t at = 0; at <= t->counts[u]; at++) {
      double harm = end_with(t, u, lot, at) - (cost ? t->end_s[u] : 0);
      if (harm < least) {
        least = harm;
        unit = u;
        best_at = at;
      }
    }
  t->end_s[unit] = end_with(t, unit, lot, best_at);
  for (size_t i = t->counts[unit]++; i > best_at; i--)
    t->lots[unit][i] = t->lots[unit][i - 1];
  t->lots[unit][best_at] = lot;
}

static void place_all(twin *t, bool cost) {
  bool placed[LOTS] = {false};
  for (size_t n = 0; n < LOTS; n++) {
    size_t next = LOTS;
    double longest = 0;
    for (size_t l = 0; l < LOTS; l++) {
      double quickest = INFINITY;
      for (size_t u = 0; u < UNITS; u++)
        quickest = fmin(quickest, t->work_s[u * LOTS + l]);
      if (!placed[l] && quickest > longest) {
        longest = quickest;
        next = l;
      }
    }
    placed[next] = true;
    place(t, next, cost);
  }
}

static void longest_first(void **state) {
  (void)state;
  for (uint64_t seed = 1; seed <= 200; seed++) {
    bool cost = seed % 2;
    twin t;
    pc_stream luck;
    pc_assign_plan plan;
    pc_stream_start(&luck, seed, 5, 0, 0);
    make_random(&t, &luck);
    const pc_assign_unit units[UNITS] = {{0, 0, 1, 1.0}, {1, 1, 1, 1.0}, {2, 2, 1, 1.0}};
    const int one_each[UNITS] = {1, 1, 1};
    const pc_assign_problem problem = {.units = units,
                                       .unit_count = UNITS,
                                       .lot_count = LOTS,
                                       .work_s = t.work_s,
                                       .travel_s = t.travel_s,
                                       .machines = one_each,
                                       .boxes = one_each,
                                       .machine_kinds = UNITS,
                                       .box_kinds = UNITS,
                                       .least = cost ? PC_LEAST_COST : PC_LEAST_TIME};
    place_all(&t, cost);
    assert_int_equal(pc_assign_first(&problem, &plan), PC_OK);
    assert_true(plan.found);
    assert_int_equal(plan.route_count, UNITS);
    double finish = 0, all = 0;
    for (size_t u = 0; u < UNITS; u++) {
      finish = fmax(finish, t.end_s[u]);
      all += t.end_s[u];
    }
    assert_true(fabs(plan.finish_s - finish) < 1e-6 && fabs(plan.cost - all) < 1e-6);
    for (size_t r = 0; r < UNITS; r++) {
      size_t unit = plan.routes[r].unit;
      assert_int_equal(plan.routes[r].stop_count, t.counts[unit]);
      for (size_t i = 0; i < t.counts[unit]; i++)
        assert_int_equal(plan.routes[r].stops[i].lot, t.lots[unit][i]);
    }
    pc_assign_plan_free(&plan);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(longest_first)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
