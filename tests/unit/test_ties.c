// SPDX-License-Identifier: GPL-3.0-or-later
/* Which sentence about ties is said when (docs/compare.md), of rows made by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/memory.h"
#include "io/tables_private.h"

/* Differences to the best, which takes 1000 s, from four nights. By the t table (from memory: t3 = 3.182)
 * they spread by half_width / 1.591. */
#define OF_FOUR(mean_s, half_s)                                                                              \
  { (mean_s), (half_s), 0.95, 0, 0, 4 }
static const pc_statistic tie = OF_FOUR(10, 30); /* no more than 4 % longer: a tie is up to 5 % */
/* s = 25.1, and for ± 30 five nights will do, 2.776·25.1/√5 = 31.2, so six: 2.571·25.1/√6 = 26.4 */
static const pc_statistic open = OF_FOUR(30, 40);
/* s = 62.9: 2.110·62.9/√18 = 31.3, so nineteen or twenty: 2.101·62.9/√19 = 30.3, 2.093·62.9/√20 = 29.4 */
static const pc_statistic wider = OF_FOUR(30, 100);
/* s = 153.4: with t102 = 1.9835 (1.9835·153.4/30)² = 102.9, so 103 */
static const pc_statistic wide = OF_FOUR(30, 244);
/* s = 18857: (1.96·18857/30)² = 1.5 million */
static const pc_statistic endless = OF_FOUR(30, 30000);
static const pc_statistic slower = OF_FOUR(80, 79);

enum { ROWS_MAX = 8 };

typedef struct ranking {
  pc_compare_row rows[ROWS_MAX];
  size_t count;
} ranking;

static void add(ranking *r, const pc_statistic *difference, bool tied) {
  pc_compare_row *row = &r->rows[r->count];
  char name[] = "a";
  name[0] = (char)(name[0] + (int)r->count++);
  *row = (pc_compare_row){.rank = (int)r->count,
                          .layout = pc_name_of(name),
                          .box = pc_name_of("box"),
                          .tied_with_best = tied,
                          .difference_to_best_s = *difference};
  row->summary.replications = 4;
  row->summary.total_time_s = (pc_statistic){1000, 10, 0.95, 0, 0, 4};
}

static ranking ranked(void) {
  ranking r = {.count = 0};
  add(&r, &(pc_statistic){0, 0, 0.95, 0, 0, 4}, true);
  return r;
}

static void assert_said(const ranking *r, bool chance, const char *said) {
  const pc_varying varies = {.layouts = true, .chance = chance};
  pc_text text = {0};
  pc_tables_ties(r->rows, r->count, &varies, &text);
  assert_false(text.failed);
  assert_string_equal(text.data ? text.data : "", said);
  pc_text_free(&text);
}

#define BY_CHANCE "Tied with it (the difference is no more than chance could make): "
#define WOULD_TELL                                                                                           \
  " would tell, by how much they vary so far (Law, Simulation Modeling and Analysis): --replications "
#define TOO_FEW "4 replications are too few to tell whether it is quicker than "

static void nothing_is_said_of_what_is_slower(void **state) {
  (void)state;
  ranking r = ranked();
  assert_said(&r, true, "");
  add(&r, &slower, false);
  assert_said(&r, true, "");
  assert_string_equal(pc_tie_word(&r.rows[1], r.rows), "");
}

static void ties_are_of_chance_or_of_rounding(void **state) {
  (void)state;
  ranking r = ranked();
  add(&r, &tie, true);
  assert_said(&r, true, BY_CHANCE "layout \"b\" with box.\n");
  assert_said(&r, false, "Tied with it (the difference is no more than rounding): layout \"b\" with box.\n");
  assert_string_equal(pc_tie_word(&r.rows[1], r.rows), "tied with best");
  assert_string_equal(pc_tie_word(&r.rows[0], r.rows), "tied with best");
}

/* Ten, the first stage of a selection, is the least that is asked for. */
static void what_is_open_asks_for_ten_at_least(void **state) {
  (void)state;
  ranking r = ranked();
  add(&r, &open, true);
  assert_int_equal(pc_replications_to_tell(&open, 1000), 6);
  assert_int_equal(pc_row_to_tell(&r.rows[1], r.rows), 10);
  assert_said(&r, true, TOO_FEW "layout \"b\" with box. About 10" WOULD_TELL "10.\n");
  assert_string_equal(pc_tie_word(&r.rows[1], r.rows), "not clear yet");
  /* the best one itself, a row that is out, and what a selection has chosen are told */
  assert_int_equal(pc_row_to_tell(&r.rows[0], r.rows), 0);
  r.rows[0].difference_to_best_s = open;
  assert_int_equal(pc_row_to_tell(&r.rows[0], r.rows), 0);
  r.rows[1].dropped_after = 12;
  assert_said(&r, true, BY_CHANCE "layout \"b\" with box.\n");
  r.rows[1].dropped_after = 0;
  r.rows[0].selected = true;
  assert_said(&r, true, BY_CHANCE "layout \"b\" with box.\n");
  r.rows[0].selected = false;
  r.rows[1].tied_with_best = false;
  assert_said(&r, true, "");
}

/* The row that needs most is told, wherever it stands, to two digits, rounded up; up to 20 as it is. */
static void the_most_that_is_needed_is_told(void **state) {
  (void)state;
  ranking r = ranked();
  add(&r, &open, true);
  add(&r, &wider, true);
  add(&r, &open, true);
  assert_true(pc_row_to_tell(&r.rows[2], r.rows) == 20);
  assert_said(&r, true,
              TOO_FEW
              "layout \"b\" with box; layout \"c\" with box; layout \"d\" with box. About "
              "20" WOULD_TELL "20.\n");
  r.rows[2].difference_to_best_s = wide;
  assert_int_equal(pc_tables_to_tell(r.rows, r.count), 103);
  assert_said(&r, true,
              TOO_FEW
              "layout \"b\" with box; layout \"c\" with box; layout \"d\" with box. About "
              "110" WOULD_TELL "110.\n");
  r.rows[2].difference_to_best_s = endless;
  assert_said(&r, true,
              TOO_FEW
              "layout \"b\" with box; layout \"c\" with box; layout \"d\" with box. No number that "
              "can be run would tell, by how much they vary.\n");
}

/* Both sentences, each with its own rows; of more than four, how many more. */
static void ties_and_what_is_open_are_kept_apart(void **state) {
  (void)state;
  ranking r = ranked();
  add(&r, &tie, true);
  add(&r, &open, true);
  for (int i = 0; i < 3; i++)
    add(&r, &tie, true);
  add(&r, &slower, false);
  assert_said(&r, true,
              BY_CHANCE
              "layout \"b\" with box; layout \"d\" with box; layout \"e\" with box; layout \"f\" "
              "with box.\n" TOO_FEW "layout \"c\" with box. About 10" WOULD_TELL "10.\n");
  add(&r, &tie, true);
  assert_said(&r, true,
              BY_CHANCE
              "layout \"b\" with box; layout \"d\" with box; layout \"e\" with box; layout \"f\" "
              "with box; and 1 more.\n" TOO_FEW "layout \"c\" with box. About 10" WOULD_TELL "10.\n");
}

/* One night: one replication, and something in the scenario that makes nights differ. */
static void one_night_is_one_with_chance(void **state) {
  (void)state;
  pc_loader loader = pc_loader_default();
  pc_scenario scenario = pc_scenario_default();
  scenario.chance = (pc_chance){.replications = scenario.chance.replications};
  scenario.loaders = &loader;
  scenario.loader_count = 1;
  assert_false(pc_is_one_night(&scenario, 1));
  double *spreads[] = {&scenario.chance.fill, &scenario.chance.carry, &scenario.chance.dump,
                       &scenario.chance.back, &scenario.chance.turn,  &loader.breakdown_mean_s};
  for (size_t i = 0; i < sizeof spreads / sizeof spreads[0]; i++) {
    double before = *spreads[i];
    *spreads[i] = 0.1;
    assert_true(pc_is_one_night(&scenario, 1));
    assert_false(pc_is_one_night(&scenario, 0));
    assert_false(pc_is_one_night(&scenario, 2));
    *spreads[i] = before;
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(nothing_is_said_of_what_is_slower),
      cmocka_unit_test(ties_are_of_chance_or_of_rounding),
      cmocka_unit_test(what_is_open_asks_for_ten_at_least),
      cmocka_unit_test(the_most_that_is_needed_is_told),
      cmocka_unit_test(ties_and_what_is_open_are_kept_apart),
      cmocka_unit_test(one_night_is_one_with_chance),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
