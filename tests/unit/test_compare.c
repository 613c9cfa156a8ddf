// SPDX-License-Identifier: GPL-3.0-or-later
/* What a comparison ranks where not all of it finishes, what it selects among, and what "all" boxes are
 * (docs/compare.md), on a yard of which the zones can be too small. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "read_good.h"
#include "study/compare.h"
#include "study/replicate_private.h"
#include "study/season.h"
#include "study/select.h"

/* 14.4 t of snow, 36 m³ in a pile. */
static const char yard[] =
    "name: Yard\n"
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, pile_density: 400 kg/m3}\n"
    "site: {areas: [{name: yard, heading: 0 deg, outline: [[0, 0], [60, 0], [60, 24], [0, 24]]}]}\n"
    "boxes:\n"
    "  - {name: box, width: 4 m, height: 1 m}\n"
    "  - {name: plow, width: 4 m, blade: right}\n"
    "  - {name: twin, width: 4 m, height: 1 m}\n"
    "  - {name: low, width: 4 m, height: 0.99 m}\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
    "zones:\n"
    "  - {name: least, at: [60, 6], volume: 10 m3}\n"
    "  - {name: less, at: [60, 12], volume: 25 m3}\n"
    "  - {name: enough, at: [0, 12], volume: 60 m3}\n"
    "layouts:\n"
    "  - {name: least, zones: [least]}\n"
    "  - {name: less, zones: [less]}\n"
    "  - {name: enough, zones: [enough]}\n"
    "crew: [{loader: loader, box: box}]\n"
    "chance: {replications: 4, seed: 3, fill: 10 %, carry: 20 %, dump: 20 %}\n"
    "money: {machine: 0 /h, operator: 0 /h}\n";

static pc_name all_word[1];

static pc_names all(void) {
  all_word[0] = pc_name_of("all");
  return (pc_names){all_word, 1};
}

static pc_comparison compared(const pc_scenario *s, const pc_wanted *wanted, size_t replications,
                              double within_s, uint64_t seed) {
  pc_comparison c;
  pc_faults faults = {0};
  const pc_compare_how how = {
      .wanted = wanted, .replications = replications, .seed = seed, .threads = 1, .within_s = within_s};
  assert_int_equal(pc_compare(s, &how, &c, &faults), PC_OK);
  pc_faults_free(&faults);
  return c;
}

/* Who finishes comes first, however long that takes; of the others, who leaves less, though who leaves more
 * is sooner at the end of its zone. */
static void who_leaves_less_comes_first(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  const pc_wanted wanted = {.layouts = all()};
  pc_comparison c = compared(&s, &wanted, 4, 0, 3);
  static const char *const order[] = {"enough", "less", "least"};
  assert_int_equal(c.row_count, 3);
  for (size_t i = 0; i < 3; i++) {
    assert_string_equal(c.rows[i].layout.text, order[i]);
    assert_int_equal(c.rows[i].rank, (int)i + 1);
    assert_int_equal(c.rows[i].summary.unfinished, i == 0 ? 0 : 4);
    assert_true(c.rows[i].tied_with_best == (i == 0));
  }
  assert_true(c.rows[1].summary.mean.left_kg < c.rows[2].summary.mean.left_kg);
  assert_true(c.rows[0].summary.total_time_s.mean > c.rows[1].summary.total_time_s.mean);
  assert_true(c.rows[1].summary.total_time_s.mean > c.rows[2].summary.total_time_s.mean);
  pc_comparison_free(&c);
  pc_scenario_free(&s);
}

/* Whole loads of one size are placed: what is left is the same but for the rounding of a long sum (as that of
 * 9,900 kg by headings in test_heading.c), and then the time decides. */
static void rounding_leaves_nothing_less(void **state) {
  (void)state;
  pc_summary a = {.replications = 2, .unfinished = 2, .mean = {.left_kg = 9900.0}}, b = a;
  b.mean.left_kg = 9899.9999999999982;
  assert_int_equal(pc_summary_order_of_ends(&a, &b), 0);
  assert_int_equal(pc_summary_order_of_ends(&b, &a), 0);
  b.mean.left_kg = 9898.0;
  assert_true(pc_summary_order_of_ends(&a, &b) > 0 && pc_summary_order_of_ends(&b, &a) < 0);
  a.unfinished = b.unfinished = 1; /* of nights some of which finish, what is left says nothing */
  assert_int_equal(pc_summary_order_of_ends(&a, &b), 0);
}

/* What does not finish is not selected, though it is sooner at its end, and is run no longer for it. */
static void what_does_not_finish_is_not_selected(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  const pc_wanted wanted = {.layouts = all()};
  pc_comparison c = compared(&s, &wanted, 10, 5, 3);
  assert_int_equal(c.row_count, 3);
  assert_true(c.settled);
  for (size_t i = 0; i < 3; i++) {
    assert_true(c.rows[i].selected == (i == 0));
    assert_int_equal(c.rows[i].dropped_after, 0);
    assert_int_equal(c.rows[i].summary.replications, 10);
  }
  assert_string_equal(c.rows[0].layout.text, "enough");
  pc_comparison_free(&c);
  pc_scenario_free(&s);
}

/* With 5 cm two layouts finish, and to tell them apart to a billionth of a second takes more than the
 * thousand replications after which it gives up; with 10 cm there is one that finishes, and nothing to tell.
 * All is settled only if every depth is. */
static void settled_is_said_of_every_depth(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  double depths[] = {0.05, 0.10};
  for (size_t first = 0; first < 2; first++) {
    pc_name layouts[] = {pc_name_of("less"), pc_name_of("enough")};
    double turned[] = {depths[first], depths[1 - first]};
    const pc_wanted both = {.layouts = {layouts, 2}, .depths = {turned, 2}};
    pc_comparison c = compared(&s, &both, 10, 1e-9, 3);
    assert_int_equal(c.row_count, 4);
    assert_false(c.settled);
    for (size_t i = 0; i < 4; i++)
      assert_int_equal(c.rows[i].summary.replications, c.rows[i].depth_m < 0.06 ? PC_SELECT_MOST : 10);
    pc_comparison_free(&c);
    const pc_wanted one = {.layouts = {layouts, 2}, .depths = {&depths[1], 1}};
    c = compared(&s, &one, 10, 1e-9, 3);
    assert_true(c.settled);
    pc_comparison_free(&c);
  }
  pc_scenario_free(&s);
}

typedef struct nights {
  pc_summary summaries[2];
} nights;

static pc_status observed(void *context, const bool *wanted, size_t first, size_t end, bool *stopped) {
  (void)context, (void)wanted, (void)first, (void)end;
  *stopped = false;
  return PC_OK;
}

static double time_of(void *context, size_t system, size_t observation) {
  const nights *n = context;
  return n->summaries[system].times_s[observation];
}

/* The promise is 95 %: the same as Kim and Nelson's procedure at α = 0.05 on the times of those nights. */
static void selects_with_95_percent(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_name boxes[] = {pc_name_of("box"), pc_name_of("low")};
  pc_name layout = pc_name_of("enough");
  const pc_wanted wanted = {.layouts = {&layout, 1}, .boxes = {boxes, 2}};
  nights n;
  size_t later = 0;
  pc_faults faults = {0};
  for (size_t i = 0; i < 2; i++) {
    pc_choice choice = pc_choice_default();
    pc_lot *lot;
    choice.layout = "enough";
    choice.box = boxes[i].text;
    assert_int_equal(pc_lot_create(&s, &choice, &lot, &faults), PC_OK);
    assert_int_equal(pc_replicate(lot, PC_SELECT_MOST, 3, 1, NULL, &n.summaries[i]), PC_OK);
    pc_lot_free(lot);
  }
  for (double within_s = 0.1; within_s < 2; within_s *= 1.5) {
    size_t dropped[2];
    pc_selection found = {.dropped_after = dropped};
    const pc_select_problem problem = {2, 10, PC_SELECT_MOST, within_s, 0.05, observed, time_of, &n};
    assert_int_equal(pc_select_least(&problem, &found), PC_OK);
    pc_comparison c = compared(&s, &wanted, 10, within_s, 3);
    assert_true(c.settled == found.settled && c.rows[0].selected);
    for (size_t i = 0; i < 2; i++) {
      size_t system = strcmp(c.rows[i].box.text, "low") == 0;
      assert_true(c.rows[i].selected == (system == found.best));
      assert_int_equal(c.rows[i].dropped_after, dropped[system]);
      later += dropped[system] > 10;
    }
    pc_comparison_free(&c);
  }
  assert_true(later > 3); /* else α would make no difference */
  pc_summary_free(&n.summaries[0]);
  pc_summary_free(&n.summaries[1]);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* "all" boxes are those that carry snow; a blade is compared only if it is named. */
static void all_boxes_are_those_that_carry(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_name layout = pc_name_of("enough");
  const pc_wanted wanted = {.layouts = {&layout, 1}, .boxes = all()};
  pc_comparison c = compared(&s, &wanted, 1, 0, 3);
  assert_int_equal(c.row_count, 3);
  for (size_t i = 0; i < 3; i++) {
    assert_string_not_equal(c.rows[i].box.text, "plow");
    assert_int_equal(c.rows[i].summary.unfinished, 0);
  }
  pc_comparison_free(&c);
  pc_name plow = pc_name_of("plow");
  const pc_wanted named = {.layouts = {&layout, 1}, .boxes = {&plow, 1}};
  c = compared(&s, &named, 1, 0, 3);
  assert_int_equal(c.row_count, 1);
  assert_string_equal(c.rows[0].box.text, "plow");
  pc_comparison_free(&c);
  pc_scenario_free(&s);
}

/* Of two choices that cost as much (here: nothing) a season, the cheapest is the quicker one. */
static void of_equal_costs_the_quicker(void **state) {
  (void)state;
  pc_scenario s = read_good(yard, NULL, 0, 0);
  pc_season_storm storms[] = {{0.05, 2}, {0.10, 1}};
  s.season = storms;
  s.season_count = 2;
  pc_name layout = pc_name_of("enough"), boxes[] = {pc_name_of("low"), pc_name_of("box")};
  pc_wanted wanted = {.layouts = {&layout, 1}, .boxes = {boxes, 2}};
  pc_season season;
  assert_int_equal(pc_season_want(&s, &wanted), PC_OK);
  pc_comparison c = compared(&s, &wanted, 2, 0, 3);
  assert_int_equal(pc_season_make(&s, &c, &season), PC_OK);
  assert_int_equal(season.entry_count, 2);
  for (size_t e = 0; e < 2; e++)
    assert_true(season.entries[e].working_cost == 0 && season.entries[e].owning_cost == 0);
  assert_true(season.entries[0].time_s.mean < season.entries[1].time_s.mean);
  assert_int_equal(season.cheapest, 0);
  pc_season_free(&season);
  pc_comparison_free(&c);
  free(wanted.depths.items_m);
  s.season = NULL;
  s.season_count = 0;
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(who_leaves_less_comes_first),
      cmocka_unit_test(rounding_leaves_nothing_less),
      cmocka_unit_test(what_does_not_finish_is_not_selected),
      cmocka_unit_test(settled_is_said_of_every_depth),
      cmocka_unit_test(selects_with_95_percent),
      cmocka_unit_test(all_boxes_are_those_that_carry),
      cmocka_unit_test(of_equal_costs_the_quicker),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
