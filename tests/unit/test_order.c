// SPDX-License-Identifier: GPL-3.0-or-later
/* Areas worked first for their deadlines: what the search says against runs of the scenario with that written
 * into it, and against every order of areas that wait for each other. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "read_good.h"
#include "study/order.h"

/* Three yards beside each other, two loaders, and a pile zone at the top of each yard. */
static const char lot_text[] =
    "name: Three yards\n"
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, pile_density: 400 kg/m3%s}\n"
    "%ssite:\n"
    "  areas:\n"
    "    - {name: west, heading: 0 deg, outline: [[0, 0], [40, 0], [40, 40], [0, 40]], %s}\n"
    "    - {name: middle, heading: 0 deg, outline: [[40, 0], [80, 0], [80, 40], [40, 40]], %s}\n"
    "    - {name: east, heading: 0 deg, outline: [[80, 0], [120, 0], [120, 40], [80, 40]], %s}\n"
    "boxes: [{name: wide, width: 4 m, height: 1 m}]\n"
    "loaders:\n"
    "  - {name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}\n"
    "  - {name: other, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}\n"
    "zones:\n"
    "  - {name: a, outline: [[0, 40], [40, 40], [40, 46], [0, 46]], height: 5 m%s}\n"
    "  - {name: b, outline: [[40, 40], [80, 40], [80, 46], [40, 46]], height: 5 m%s}\n"
    "  - {name: c, outline: [[80, 40], [120, 40], [120, 46], [80, 46]], height: 5 m%s}\n"
    "crew: [%s]\n"
    "chance: {replications: 6, seed: 7, fill: 10 %%, carry: 10 %%}\n";

static const char usual_crew[] =
    "{loader: loader, box: wide, count: 2, start: [20, 0]}, "
    "{loader: other, box: wide, start: [100, 0]}";

static const char *more_snow = "", *storm = "", *small_piles = "";

enum { NIGHTS = 6, FEW = 5 };

static size_t nights = NIGHTS;
static uint64_t seed = 7;

typedef struct yards {
  pc_scenario scenario;
  pc_lot *lot;
  pc_summary summary;
} yards;

static void simulate(yards *y, const char *west, const char *middle, const char *east, const char *crew) {
  char text[3000];
  pc_faults faults = {0};
  snprintf(text, sizeof text, lot_text, more_snow, storm, west, middle, east, small_piles, small_piles,
           small_piles, crew);
  y->scenario = read_good(text, NULL, 0, 0);
  assert_int_equal(pc_lot_create(&y->scenario, NULL, &y->lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(y->lot, nights, seed, 1, NULL, &y->summary), PC_OK);
  pc_faults_free(&faults);
}

static void end(yards *y) {
  pc_summary_free(&y->summary);
  pc_lot_free(y->lot);
  pc_scenario_free(&y->scenario);
}

static pc_order order_of(const yards *y) {
  pc_order order;
  assert_int_equal(pc_order_find(y->lot, &y->summary, seed, 1, NULL, &order), PC_OK);
  return order;
}

static size_t late_in(const yards *y) {
  return y->summary.area_late[0] + y->summary.area_late[1] + y->summary.area_late[2];
}

/* Part of the time that all three take: too little for the middle one unless it comes first. */
static void middle_by(char key[40], double share) {
  yards all;
  simulate(&all, "opens: 0 s", "opens: 0 s", "opens: 0 s", usual_crew);
  snprintf(key, 40, "clear_by: %.3f s", share * all.summary.mean.total_time_s);
  end(&all);
}

/* The night that the search tells of is that of the scenario with this crew, to the last bit. */
static void assert_then(const pc_order *order, const char *west, const char *middle, const char *east,
                        const char *crew) {
  yards by_hand;
  simulate(&by_hand, west, middle, east, crew);
  assert_int_equal(late_in(&by_hand), order->late_then);
  assert_true(by_hand.summary.mean.total_time_s == order->then.mean.total_time_s);
  for (size_t a = 0; a < 3; a++)
    assert_true(by_hand.summary.mean.areas[a].done_s == order->then.mean.areas[a].done_s);
  end(&by_hand);
}

static void the_late_one_first(void **state) {
  (void)state;
  yards now;
  char by[40];
  middle_by(by, 0.5);
  simulate(&now, "opens: 0 s", by, "opens: 0 s", usual_crew);
  assert_int_equal(late_in(&now), NIGHTS);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.area_count, 1);
  assert_int_equal(order.areas[0], 1);
  assert_int_equal(order.late_now, NIGHTS);
  assert_int_equal(order.late_then, 0);
  assert_true(order.by_all);
  assert_int_equal(order.machine_count, 3);
  assert_then(&order, "opens: 0 s", by, "opens: 0 s",
              "{loader: loader, box: wide, count: 2, start: [20, 0], first: [middle]}, "
              "{loader: other, box: wide, start: [100, 0], first: [middle]}");
  pc_order_free(&order);
  end(&now);
}

/* With more time one machine does, and the others get on with the rest: sooner done than with all. */
static void one_machine_is_enough(void **state) {
  (void)state;
  yards now, all;
  char by[40];
  middle_by(by, 0.9);
  simulate(&now, "opens: 0 s", by, "opens: 0 s", usual_crew);
  assert_int_equal(late_in(&now), NIGHTS);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.late_then, 0);
  assert_false(order.by_all);
  assert_int_equal(order.machine_count, 1);
  assert_then(&order, "opens: 0 s", by, "opens: 0 s",
              order.machines[0] == 0 ? "{loader: loader, box: wide, start: [20, 0], first: [middle]}, "
                                       "{loader: loader, box: wide, start: [20, 0]}, "
                                       "{loader: other, box: wide, start: [100, 0]}"
                                     : "{loader: loader, box: wide, count: 2, start: [20, 0]}, "
                                       "{loader: other, box: wide, start: [100, 0], first: [middle]}");
  simulate(&all, "opens: 0 s", by, "opens: 0 s",
           "{loader: loader, box: wide, count: 2, start: [20, 0], first: [middle]}, "
           "{loader: other, box: wide, start: [100, 0], first: [middle]}");
  assert_true(order.then.mean.total_time_s <= all.summary.mean.total_time_s);
  end(&all);
  pc_order_free(&order);
  end(&now);
}

/* What a late area has to wait for is worked before it. */
static void what_it_waits_for_before_it(void **state) {
  (void)state;
  yards now;
  char by[40], keys[80];
  middle_by(by, 0.8);
  snprintf(keys, sizeof keys, "%s, after: [east]", by);
  simulate(&now, "opens: 0 s", keys, "opens: 0 s", usual_crew);
  assert_true(late_in(&now) > 0);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.area_count, 2);
  assert_int_equal(order.areas[0], 2);
  assert_int_equal(order.areas[1], 1);
  assert_true(order.late_then < order.late_now);
  pc_order_free(&order);
  end(&now);
}

/* Deadlines one after another: no order in which areas wait for each other misses fewer (Jackson 1955: the
 * earliest due date first; from memory). */
static void no_order_is_better(void **state) {
  (void)state;
  static const char *const orders[6][3] = {
      {"opens: 0 s", "after: [west]", "after: [middle]"}, {"opens: 0 s", "after: [east]", "after: [west]"},
      {"after: [middle]", "opens: 0 s", "after: [west]"}, {"after: [east]", "opens: 0 s", "after: [middle]"},
      {"after: [east]", "after: [west]", "opens: 0 s"},   {"after: [middle]", "after: [east]", "opens: 0 s"}};
  char first[40], second[40], third[40], keys[3][100];
  middle_by(first, 0.42);
  middle_by(second, 0.78);
  middle_by(third, 1.15);
  yards now;
  simulate(&now, third, first, second, usual_crew);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.areas[0], 1);
  assert_true(order.late_then < order.late_now);
  for (size_t i = 0; i < 6; i++) {
    yards other;
    snprintf(keys[0], sizeof keys[0], "%s, %s", orders[i][0], third);
    snprintf(keys[1], sizeof keys[1], "%s, %s", orders[i][1], first);
    snprintf(keys[2], sizeof keys[2], "%s, %s", orders[i][2], second);
    simulate(&other, keys[0], keys[1], keys[2], usual_crew);
    assert_true(late_in(&other) >= order.late_then);
    end(&other);
  }
  pc_order_free(&order);
  end(&now);
}

static void expect_none(const char *west, const char *middle, const char *east, const char *crew,
                        pc_order_end found) {
  yards now;
  simulate(&now, west, middle, east, crew);
  assert_int_equal(late_in(&now) > 0, found != PC_ORDER_NOT_ASKED);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, found);
  assert_int_equal(order.area_count, 0);
  assert_null(order.areas);
  assert_null(order.machines);
  end(&now);
}

static void nothing_to_say(void **state) {
  (void)state;
  char half[40];
  middle_by(half, 0.5);
  expect_none("opens: 0 s", "clear_by: 10 h", "opens: 0 s", usual_crew, PC_ORDER_NOT_ASKED);
  expect_none("after: [middle]", half, "after: [middle]", usual_crew,
              PC_ORDER_NOT_ASKED); /* it is first already */
  /* who works it has nothing else to do, or works it first already */
  expect_none("opens: 0 s", "clear_by: 1 s", "opens: 0 s",
              "{loader: loader, box: wide, start: [60, 0], areas: [middle]}, "
              "{loader: other, box: wide, start: [100, 0], areas: [west, east]}",
              PC_ORDER_NOTHING_WAITS);
  expect_none("opens: 0 s", "clear_by: 1 s", "opens: 0 s",
              "{loader: loader, box: wide, count: 2, start: [60, 0], first: [middle]}",
              PC_ORDER_NOTHING_WAITS);
  /* it opens so late that the others are done by then */
  expect_none("opens: 0 s", "opens: 2 h, clear_by: 2.001 h", "opens: 0 s", usual_crew, PC_ORDER_NO_HELP);
}

/* A deadline that no order keeps is missed by less: told, as it helps. */
static void less_late(void **state) {
  (void)state;
  yards now;
  simulate(&now, "opens: 0 s", "clear_by: 1 s", "opens: 0 s", usual_crew);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.late_now, NIGHTS);
  assert_int_equal(order.late_then, NIGHTS);
  assert_true(order.then.mean.areas[1].done_s < 0.9 * now.summary.mean.areas[1].done_s);
  pc_order_free(&order);
  end(&now);
}

/* Only machines that work the late area put it first. */
static void only_who_works_there(void **state) {
  (void)state;
  char by[40], keys[100];
  middle_by(by, 0.6);
  snprintf(keys, sizeof keys, "%s, loaders: [loader]", by);
  yards now;
  simulate(&now, "loaders: [loader]", keys, "loaders: [other]", usual_crew);
  assert_true(late_in(&now) > 0);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  for (size_t i = 0; i < order.machine_count; i++)
    assert_true(order.machines[i] < 2);
  pc_order_free(&order);
  end(&now);
}

/* While it snows: what comes first is not enough where thin snow lies at the deadline; with a sweep it is
 * clear, in every night, and the night that is told of is that of the scenario with all that written into it.
 */
static void with_a_sweep_in_a_storm(void **state) {
  (void)state;
  static const double due_h[] = {1.6, 2.35, 2.5, 3.55};
  size_t sweeps = 0, alone = 0;
  more_snow = ", trigger: 3 cm";
  storm = "storm: [{after: 0 h, rate: 2.5 cm/h}, {after: 4 h, rate: 0 cm/h}]\n";
  for (size_t i = 0; i < 2 * (sizeof due_h / sizeof due_h[0]); i++) {
    bool first = i % 2; /* already, for all: then only a sweep can help */
    char by[40], keys[80], crew[400] = "";
    snprintf(by, sizeof by, "clear_by: %g h", due_h[i / 2]);
    yards now;
    simulate(&now, "opens: 0 s", by, "opens: 0 s",
             first ? "{loader: loader, box: wide, count: 2, start: [20, 0], first: [middle]}, "
                     "{loader: other, box: wide, start: [100, 0], first: [middle]}"
                   : usual_crew);
    pc_order order = order_of(&now);
    if (late_in(&now) == 0 || order.end != PC_ORDER_HELPS) {
      pc_order_free(&order);
      end(&now);
      continue;
    }
    assert_true(order.late_then < order.late_now ||
                order.then.mean.areas[1].late_s < now.summary.mean.areas[1].late_s);
    if (first)
      assert_true(order.machine_count == 0 && order.sweep_before_s > 0);
    for (size_t m = 0; m < 3; m++) {
      bool does = first;
      for (size_t k = 0; k < order.machine_count; k++)
        does |= order.machines[k] == m;
      snprintf(crew + strlen(crew), sizeof crew - strlen(crew), "%s{loader: %s, box: wide, start: [%d, 0]%s}",
               m > 0 ? ", " : "", m < 2 ? "loader" : "other", m < 2 ? 20 : 100,
               does ? ", first: [middle]" : "");
    }
    snprintf(keys, sizeof keys, "%s, sweep_before: %g s", by, order.sweep_before_s);
    assert_then(&order, "opens: 0 s", keys, "opens: 0 s", crew);
    sweeps += order.sweep_before_s > 0 && order.late_then == 0;
    alone += order.machine_count == 0;
    pc_order_free(&order);
    end(&now);
  }
  more_snow = storm = "";
  print_message("%zu kept by a sweep, %zu of them without anything else\n", sweeps, alone);
  assert_true(sweeps >= 2 && alone >= 1);
}

/* What the order found is worth is its delay against that of the run, whatever it is that made the run so
 * late: at least a tenth less, as far as as many deadlines are missed; a run that misses fewer is better,
 * however late, and one in which an area is never clear is worse than any. */
static void a_tenth_less_at_least(void **state) {
  (void)state;
  yards now;
  simulate(&now, "opens: 0 s", "clear_by: 1 s", "opens: 0 s", usual_crew);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  double then_s = order.then.mean.areas[1].late_s, late_s = now.summary.mean.areas[1].late_s;
  const struct {
    size_t nights;
    double late_s;
    pc_order_end end;
  } known[] = {
      {NIGHTS, then_s / 0.9 * 1.001, PC_ORDER_HELPS}, {NIGHTS, then_s / 0.9 * 0.999, PC_ORDER_NO_HELP},
      {NIGHTS, then_s * 1.001, PC_ORDER_NO_HELP},     {NIGHTS, then_s * 0.5, PC_ORDER_NO_HELP},
      {NIGHTS - 1, then_s * 100, PC_ORDER_NO_HELP},   {NIGHTS, NAN, PC_ORDER_HELPS}};
  pc_order_free(&order);
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
    now.summary.area_late[1] = known[i].nights;
    now.summary.mean.areas[1].late_s = known[i].late_s;
    order = order_of(&now);
    assert_int_equal(order.end, known[i].end);
    pc_order_free(&order);
  }
  /* what is left undone counts before deadlines: here the order leaves nothing */
  now.summary.area_late[1] = NIGHTS - 1;
  now.summary.mean.areas[1].late_s = late_s;
  now.summary.unfinished = 1;
  order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  pc_order_free(&order);
  end(&now);
}

/* Where piles are too small for all the snow, no order has it done: one that keeps a deadline is told, but
 * not beside a run that leaves something undone in fewer nights. */
static void no_more_undone(void **state) {
  (void)state;
  yards now;
  char by[40];
  middle_by(by, 0.5);
  small_piles = ", volume: 25 m3";
  simulate(&now, "opens: 0 s", by, "opens: 0 s", usual_crew);
  assert_int_equal(now.summary.unfinished, NIGHTS);
  assert_int_equal(late_in(&now), NIGHTS);
  pc_order order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_HELPS);
  assert_int_equal(order.then.unfinished, NIGHTS);
  assert_true(order.late_then < NIGHTS);
  pc_order_free(&order);
  now.summary.unfinished = NIGHTS - 1;
  order = order_of(&now);
  assert_int_equal(order.end, PC_ORDER_NO_HELP);
  pc_order_free(&order);
  small_piles = "";
  end(&now);
}

/* The rule of docs/order.md: fewer nights with something undone, fewer missed deadlines, less delay by a
 * tenth, less time for all of it. */
static bool is_better(const yards *a, const yards *b) {
  double by_a = (double)late_in(a) * a->summary.mean.areas[1].late_s,
         by_b = (double)late_in(b) * b->summary.mean.areas[1].late_s;
  if (a->summary.unfinished != b->summary.unfinished)
    return a->summary.unfinished < b->summary.unfinished;
  if (late_in(a) != late_in(b))
    return late_in(a) < late_in(b);
  if (by_a < 0.9 * by_b || by_b < 0.9 * by_a)
    return by_a < by_b;
  return a->summary.total_time_s.mean < b->summary.total_time_s.mean;
}

static const char *const first_by[] = {
    "{loader: loader, box: wide, count: 2, start: [20, 0], first: [middle]}, "
    "{loader: other, box: wide, start: [100, 0], first: [middle]}",
    "{loader: loader, box: wide, start: [20, 0], first: [middle]}, "
    "{loader: loader, box: wide, start: [20, 0]}, {loader: other, box: wide, start: [100, 0]}",
    "{loader: loader, box: wide, count: 2, start: [20, 0]}, "
    "{loader: other, box: wide, start: [100, 0], first: [middle]}"};

/* The search by hand, with the middle yard's deadline: the best of all machines (0) and of each kind alone in
 * five nights, and against it all machines in as many nights as there are. */
static void search_by_hand(const char *by, size_t all_nights, size_t *in_few, size_t *in_all, yards *best) {
  yards tried[3], all;
  nights = all_nights < FEW ? all_nights : FEW;
  *in_few = *in_all = 0;
  for (size_t i = 0; i < 3; i++) {
    simulate(&tried[i], "opens: 0 s", by, "opens: 0 s", first_by[i]);
    if (i > 0 && is_better(&tried[i], &tried[*in_few]))
      *in_few = i;
  }
  for (size_t i = 0; i < 3; i++)
    end(&tried[i]);
  nights = all_nights;
  simulate(best, "opens: 0 s", by, "opens: 0 s", first_by[*in_few]);
  simulate(&all, "opens: 0 s", by, "opens: 0 s", first_by[0]);
  if (*in_few > 0 && (all_nights <= FEW || !is_better(&all, best))) {
    *in_all = *in_few;
    end(&all);
    return;
  }
  end(best);
  *best = all;
}

/* A moment after one machine alone has the middle yard clear in the slowest of the first five nights. */
static void kept_in_a_few(char key[40]) {
  yards alone;
  pc_result *results;
  size_t done;
  double slowest_s = 0;
  simulate(&alone, "opens: 0 s", "clear_by: 10 h", "opens: 0 s", first_by[2]);
  assert_int_equal(pc_results_create(alone.lot, FEW, &results), PC_OK);
  assert_int_equal(pc_replicate_range(alone.lot, 0, FEW, seed, 1, NULL, NULL, results, &done), PC_OK);
  for (size_t r = 0; r < FEW; r++)
    slowest_s = fmax(slowest_s, results[r].areas[1].done_s);
  pc_results_free(results, FEW);
  snprintf(key, 40, "clear_by: %.3f s", slowest_s + 0.1);
  end(&alone);
}

/* Five nights may hide that a deadline is missed in another: then all machines are told. */
static void luck_in_a_few_nights(void **state) {
  (void)state;
  size_t turned = 0, alone = 0;
  for (seed = 1; seed <= 8; seed++) {
    char by[40];
    size_t in_few, in_all;
    yards now, best;
    kept_in_a_few(by);
    search_by_hand(by, 24, &in_few, &in_all, &best);
    simulate(&now, "opens: 0 s", by, "opens: 0 s", usual_crew);
    pc_order order = order_of(&now);
    assert_int_equal(order.end, PC_ORDER_HELPS);
    turned += in_few > 0 && in_all == 0;
    alone += in_all > 0;
    assert_int_equal(order.by_all, in_all == 0);
    assert_int_equal(order.machine_count, in_all == 0 ? 3 : 1);
    assert_int_equal(order.machines[0], in_all == 2 ? 2 : 0);
    assert_int_equal(order.late_then, late_in(&best));
    assert_true(order.then.mean.total_time_s == best.summary.mean.total_time_s);
    pc_order_free(&order);
    end(&best);
    end(&now);
  }
  nights = NIGHTS;
  seed = 7;
  print_message("%zu times one machine, %zu times all where five nights said one\n", alone, turned);
  assert_true(alone > 0 && turned > 0);
}

/* In as many nights as that, or fewer, there is nothing more to run. */
static void a_few_nights_at_all(void **state) {
  (void)state;
  static const double shares[] = {0.5, 0.6, 0.8, 0.87, 0.9};
  size_t by_all = 0;
  for (size_t i = 0; i < 10; i++) {
    char by[40];
    size_t in_few, in_all;
    yards now, best;
    nights = i % 2 ? FEW : 3;
    middle_by(by, shares[i / 2]);
    search_by_hand(by, nights, &in_few, &in_all, &best);
    assert_int_equal(in_few, in_all);
    simulate(&now, "opens: 0 s", by, "opens: 0 s", usual_crew);
    pc_order order = order_of(&now);
    assert_int_equal(order.end, PC_ORDER_HELPS);
    by_all += order.by_all;
    assert_int_equal(order.machine_count, in_all == 0 ? 3 : 1);
    assert_int_equal(order.then.replications, nights);
    assert_true(order.then.mean.total_time_s == best.summary.mean.total_time_s);
    pc_order_free(&order);
    end(&best);
    end(&now);
  }
  nights = NIGHTS;
  assert_true(by_all >= 4 && by_all <= 8);
}

static bool at_once(void *context) {
  (void)context;
  return true;
}

typedef struct steps_told {
  size_t done, all, first_all;
} steps_told;

static void tell_steps(void *context, size_t done, size_t all) {
  steps_told *told = context;
  assert_true(done >= told->done && done <= all);
  told->first_all = told->done == 0 ? all : told->first_all;
  told->done = done;
  told->all = all;
}

/* Steps are replications. As many are told at first as there can be: all machines and each of two kinds, in a
 * storm eight trials with sweeps, and two with all nights; as many are told at last as there were. */
static void steps_add_up(void **state) {
  (void)state;
  static const size_t all_nights[] = {3, NIGHTS, NIGHTS};
  for (size_t i = 0; i < 3; i++) {
    yards now;
    steps_told told = {0};
    const pc_watch watch = {tell_steps, NULL, &told};
    pc_order order;
    nights = all_nights[i];
    if (i == 2) {
      more_snow = ", trigger: 3 cm";
      storm = "storm: [{after: 0 h, rate: 2.5 cm/h}, {after: 4 h, rate: 0 cm/h}]\n";
    }
    simulate(&now, "opens: 0 s", "clear_by: 1 s", "opens: 0 s", usual_crew);
    assert_true(late_in(&now) > 0);
    assert_int_equal(pc_order_find(now.lot, &now.summary, 7, 1, &watch, &order), PC_OK);
    size_t few = nights < FEW ? nights : FEW;
    assert_int_equal(told.first_all, few * (i == 2 ? 11U : 3U) + (nights > FEW ? 2 * nights : 0));
    assert_int_equal(told.done, told.all);
    pc_order_free(&order);
    end(&now);
  }
  more_snow = storm = "";
  nights = NIGHTS;
}

static void stopped_says_nothing(void **state) {
  (void)state;
  char by[40];
  middle_by(by, 0.5);
  yards now;
  simulate(&now, "opens: 0 s", by, "opens: 0 s", usual_crew);
  const pc_watch watch = {NULL, at_once, NULL};
  pc_order order;
  assert_int_equal(pc_order_find(now.lot, &now.summary, 7, 1, &watch, &order), PC_OK);
  assert_int_equal(order.end, PC_ORDER_NOT_ASKED);
  assert_int_equal(order.area_count, 0);
  end(&now);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(the_late_one_first),
                                     cmocka_unit_test(one_machine_is_enough),
                                     cmocka_unit_test(what_it_waits_for_before_it),
                                     cmocka_unit_test(no_order_is_better),
                                     cmocka_unit_test(nothing_to_say),
                                     cmocka_unit_test(less_late),
                                     cmocka_unit_test(a_tenth_less_at_least),
                                     cmocka_unit_test(no_more_undone),
                                     cmocka_unit_test(luck_in_a_few_nights),
                                     cmocka_unit_test(a_few_nights_at_all),
                                     cmocka_unit_test(only_who_works_there),
                                     cmocka_unit_test(with_a_sweep_in_a_storm),
                                     cmocka_unit_test(steps_add_up),
                                     cmocka_unit_test(stopped_says_nothing)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
