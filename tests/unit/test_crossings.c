// SPDX-License-Identifier: GPL-3.0-or-later
/* Ways across areas that are bound to other loaders: counted by hand on a strip, and how they are told. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "io/tables_private.h"
#include "night_run.h"
#include "scene.h"
#include "simulate.h"
#include "study/crossings.h"
#include "study/first_night.h"

static const double strip_m = 150.0, run_m = 30.0, wide_m = 4.5;

/* A deck of this length that is the small loader's, and a strip of five full loads east of it, the big one's.
 * Its pile lies in the west, beyond the deck, or at the strip's other end; that of the deck is there, too. */
static pc_scenario deck_and_strip(double deck_m, bool west) {
  pc_scenario s = night_strips(1, strip_m, run_m);
  pc_site_free(&s.site);
  night_add_area(&s, "strip", deck_m, 0.0, deck_m + strip_m, wide_m);
  night_add_name(&night_add_area(&s, "deck", 0.0, 0.0, deck_m, wide_m)->loaders, "small");
  s.zones[0].at = (pc_point){west ? 0.0 : deck_m + strip_m, 0.5 * wide_m};
  night_add_loader(&s, "small");
  night_add_name(&night_add_crew(&s, "loader", "box", s.zones[0].at)->areas, "strip");
  night_add_name(&night_add_crew(&s, "small", "box", (pc_point){0.0, 0.5 * wide_m})->areas, "deck");
  return s;
}

static pc_crossed found(const pc_scenario *s, int *loads) {
  pc_crossed crossed;
  pc_lot *lot = make_lot(s);
  pc_summary summary;
  assert_int_equal(pc_replicate(lot, 1, 1, 1, NULL, &summary), PC_OK);
  assert_int_equal(summary.unfinished, 0);
  *loads = summary.mean.machines[0].cycles;
  assert_int_equal(pc_crossed_find(lot, s, 1, &crossed), PC_OK);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  return crossed;
}

/* By hand: 150 m in loads of 30 m are five, and each is carried across the deck. One of 4 m is none: less
 * than 5 m of way lie in it. */
static void five_loads_by_hand(void **state) {
  (void)state;
  static const double decks_m[] = {20.0, 6.0, 4.0};
  for (size_t i = 0; i < 3; i++)
    for (int west = 0; west < 2; west++) {
      pc_scenario s = deck_and_strip(decks_m[i], west);
      int loads;
      pc_crossed crossed = found(&s, &loads);
      assert_int_equal(loads, 5);
      if (!west || decks_m[i] < 5.0) {
        assert_int_equal(crossed.count, 0);
        assert_int_equal(pc_crossed_cycles(&crossed), 0);
      } else {
        assert_int_equal(crossed.count, 1);
        assert_string_equal(crossed.items[0].machine.text, "loader 1");
        assert_string_equal(crossed.items[0].area.text, "deck");
        assert_int_equal(crossed.items[0].cycles, 5);
        assert_int_equal(pc_crossed_cycles(&crossed), 5);
      }
      pc_crossed_free(&crossed);
      pc_scenario_free(&s);
    }
}

/* Where nothing is bound nothing is run: there is no lot to run. */
static void nothing_bound(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, strip_m, run_m);
  pc_crossed crossed;
  assert_false(pc_crossings_may_be(&s));
  assert_int_equal(pc_crossed_find(NULL, &s, 1, &crossed), PC_OK);
  assert_int_equal(crossed.count, 0);
  night_add_name(&s.site.areas[0].loaders, "loader");
  assert_true(pc_crossings_may_be(&s));
  pc_scenario_free(&s);
}

static pc_trace_row row_of(size_t machine, int cycle, pc_phase phase, double from_x, double to_x) {
  return (pc_trace_row){.machine = machine,
                        .cycle = cycle,
                        .phase = phase,
                        .from = {from_x, 0.5 * wide_m},
                        .to = {to_x, 0.5 * wide_m}};
}

/* Rows made by hand. Counted is a cycle, once, of ways without work, of who may not work there. */
static void which_rows_count(void **state) {
  (void)state;
  pc_scenario s = deck_and_strip(20.0, true);
  pc_lot *lot = make_lot(&s);
  pc_first_night night;
  pc_trace trace;
  pc_first_night_start(&night, lot, &s);
  assert_true(pc_first_night_trace(&night, &trace));
  const struct {
    pc_trace_row row;
    int then;
  } rows[] = {{row_of(0, 1, PC_PHASE_FILL, 60, 0), 0},   {row_of(0, 1, PC_PHASE_CARRY, 60, 16), 0},
              {row_of(0, 1, PC_PHASE_CARRY, 60, 14), 1}, {row_of(0, 1, PC_PHASE_RETURN, 0, 60), 1},
              {row_of(1, 1, PC_PHASE_CARRY, 60, 0), 1},  {row_of(0, 2, PC_PHASE_RETURN, 0, 60), 2},
              {row_of(0, 2, PC_PHASE_CARRY, 60, 0), 2},  {row_of(0, 3, PC_PHASE_CARRY, 60, 21), 2},
              {row_of(0, 3, PC_PHASE_TURN, 0, 10), 2},   {row_of(0, 9, PC_PHASE_CARRY, 0, 60), 3}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    trace.row(trace.context, &rows[i].row);
    assert_int_equal(pc_crossings_of(&night.crossings, PC_NO_ENTRY, 1), rows[i].then);
    assert_int_equal(pc_crossings_of(&night.crossings, 0, 1), rows[i].then);
    assert_int_equal(pc_crossings_of(&night.crossings, 1, 1), 0);
  }
  pc_crossed crossed;
  assert_int_equal(pc_crossings_list(&night.crossings, &crossed), PC_OK);
  assert_int_equal(crossed.count, 1);
  assert_int_equal(pc_crossed_cycles(&crossed), 3);
  pc_crossed_free(&crossed);
  night.crossings.failed = true;
  assert_int_equal(pc_crossings_list(&night.crossings, &crossed), PC_ERR_MEMORY);
  assert_true(pc_first_night_failed(&night));
  pc_first_night_free(&night);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* A trace is wanted only where snow falls or an area is bound, and no other part is filled. */
static void what_the_first_night_needs(void **state) {
  (void)state;
  for (int falls = 0; falls < 2; falls++)
    for (int bound = 0; bound < 2; bound++) {
      pc_scenario s = night_strips(1, strip_m, run_m);
      night_add_crew(&s, "loader", "box", night_strip_end(&s, 0));
      if (bound)
        night_add_name(&s.site.areas[0].loaders, "loader");
      if (falls) {
        night_add_storm(&s, 0.0, 1e-6);
        night_add_storm(&s, 600.0, 0.0);
      }
      pc_lot *lot = make_lot(&s);
      pc_first_night night;
      pc_trace trace;
      pc_result result;
      pc_world *world;
      pc_first_night_start(&night, lot, &s);
      assert_int_equal(pc_first_night_trace(&night, &trace), falls || bound);
      assert_int_equal(pc_world_create(lot, &world), PC_OK);
      assert_int_equal(pc_result_init_for(&result, lot), PC_OK);
      assert_int_equal(pc_world_run(world, 1, 0, &trace, &result), PC_OK);
      assert_int_equal(night.depths.rows > 0, falls);
      assert_int_equal(night.crossings.cycles != NULL, bound);
      assert_false(pc_first_night_failed(&night));
      pc_result_free(&result);
      pc_world_free(world);
      pc_first_night_free(&night);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
}

/* ---- how they are told ---- */

static pc_crossing crossing(const char *machine, const char *area, int cycles) {
  return (pc_crossing){pc_name_of(machine), pc_name_of(area), cycles};
}

static void the_sentences(void **state) {
  (void)state;
  pc_crossing items[] = {crossing("big 1", "deck", 1), crossing("big 2", "ramp", 3),
                         crossing("big 3", "ramp", 4)};
  pc_crossed crossed = {items, 3};
  pc_text out = {0};
  pc_tables_crossings(&crossed, &out);
  assert_string_equal(
      out.data,
      "Caution: in 1 cycle of the first night big 1 drives across area \"deck\", which is bound to other "
      "loaders: that binds the work, not the ways (`open_to` does). Does it carry it, and is there room?\n"
      "Caution: in 7 cycles of the first night big 2 and 1 more drive across area \"ramp\", which is bound "
      "to "
      "other loaders: that binds the work, not the ways (`open_to` does). Does it carry them, and is there "
      "room?\n");
  assert_string_equal(pc_crossings_word(&crossed).text, "drives across 2 areas bound to others");
  pc_text_free(&out);
  crossed.count = 1;
  assert_string_equal(pc_crossings_word(&crossed).text, "drives across deck in 1 cycle");
  crossed = (pc_crossed){&items[1], 2};
  assert_string_equal(pc_crossings_word(&crossed).text, "drives across ramp in 7 cycles");
  crossed.count = 0;
  out = (pc_text){0};
  assert_string_equal(pc_crossings_word(&crossed).text, "");
  pc_tables_crossings(&crossed, &out);
  pc_tables_crossings(NULL, &out);
  assert_null(out.data);
}

static pc_compare_row row_named(const char *layout, double longer_s) {
  return (pc_compare_row){.layout = pc_name_of(layout),
                          .box = pc_name_of("wide"),
                          .summary = {.total_time_s = {.mean = 7200.0 + longer_s}},
                          .difference_to_best_s = {.mean = longer_s}};
}

/* Ranked rows made by hand: of those without such a way the quickest that finishes is told. */
static void beside_the_best(void **state) {
  (void)state;
  pc_crossing items[] = {crossing("big 1", "deck", 9)};
  pc_compare_row rows[] = {row_named("p", 0.0), row_named("q", 900.0), row_named("r", 1800.0),
                           row_named("s", 3600.0)};
  pc_varying varies = {.time = pc_time_unit_for(7200.0), .layouts = true};
  pc_text out = {0};
  rows[0].crossed = rows[1].crossed = (pc_crossed){items, 1};
  rows[2].summary.unfinished = 1;
  pc_tables_compare_crossings(rows, 4, &varies, &out);
  assert_non_null(strstr(out.data, "across area \"deck\""));
  assert_non_null(strstr(out.data,
                         "\nThe quickest that drives across no such area: layout \"s\" with wide, 1.00 h "
                         "longer.\n"));
  pc_text_free(&out);
  out = (pc_text){0};
  pc_tables_compare_crossings(rows, 3, &varies, &out);
  assert_non_null(strstr(out.data, "\nNone of the 3 finishes without such ways.\n"));
  pc_text_free(&out);
  out = (pc_text){0};
  pc_tables_compare_crossings(rows, 1, &varies, &out); /* there is no other */
  assert_null(strstr(out.data, "None of"));
  pc_text_free(&out);
  out = (pc_text){0};
  rows[0].crossed.count = 0; /* the best has none */
  pc_tables_compare_crossings(rows, 4, &varies, &out);
  assert_null(out.data);
}

/* The word stands in the table only where it tells rows apart, whoever it is that drives and however often.
 */
static void where_rows_differ(void **state) {
  (void)state;
  pc_crossing few[] = {crossing("big 1", "deck", 9), crossing("big 1", "ramp", 2)};
  pc_crossing more[] = {crossing("big 1", "deck", 1), crossing("big 2", "deck", 3),
                        crossing("big 2", "ramp", 1)};
  pc_compare_row rows[2] = {{.rank = 1}, {.rank = 2}};
  const pc_comparison comparison = {.rows = rows, .row_count = 2};
  static const struct {
    size_t few, more;
    bool differ;
  } cases[] = {{0, 0, false}, {2, 3, false}, {1, 1, false}, {1, 2, false},
               {1, 3, true},  {2, 2, true},  {0, 1, true}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    rows[0].crossed = (pc_crossed){few, cases[i].few};
    rows[1].crossed = (pc_crossed){more, cases[i].more};
    assert_int_equal(pc_crossings_differ(&comparison), cases[i].differ);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(five_loads_by_hand), cmocka_unit_test(nothing_bound),
      cmocka_unit_test(which_rows_count),   cmocka_unit_test(what_the_first_night_needs),
      cmocka_unit_test(the_sentences),      cmocka_unit_test(beside_the_best),
      cmocka_unit_test(where_rows_differ),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
