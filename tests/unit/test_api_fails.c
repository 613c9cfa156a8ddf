// SPDX-License-Identifier: GPL-3.0-or-later
/* What pushcycle.h says of failures: a function that makes or fills something does not look at what was
 * there, and after a failure what it filled may be freed. Everything is filled with rubbish before; `make
 * asan` and `make valgrind` see who frees it. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <pushcycle-io.h>

/* More than can be had, on any machine. */
static const size_t too_many = SIZE_MAX / 8;

#define RUBBISH(type, name)                                                                                  \
  type name;                                                                                                 \
  memset(&name, 0xAA, sizeof name)

typedef struct given {
  pc_scenario scenario;
  pc_lot *lot;
  pc_faults faults;
} given;

static int set_up(void **state) {
  given *g = pc_alloc(1, sizeof *g);
  const char *text = pc_starter_scenario();
  assert_non_null(g);
  assert_int_equal(pc_scenario_read_text("starter", text, strlen(text), NULL, 0, &g->scenario, &g->faults),
                   PC_OK);
  assert_int_equal(pc_lot_create(&g->scenario, NULL, &g->lot, &g->faults), PC_OK);
  *state = g;
  return 0;
}

static int tear_down(void **state) {
  given *g = *state;
  pc_lot_free(g->lot);
  pc_scenario_free(&g->scenario);
  pc_faults_free(&g->faults);
  free(g);
  return 0;
}

static void runs(void **state) {
  const given *g = *state;
  const size_t counts[] = {0, too_many};
  for (size_t i = 0; i < 2; i++) {
    RUBBISH(pc_summary, summary);
    pc_status status = pc_replicate(g->lot, counts[i], 1, 1, NULL, &summary);
    assert_int_equal(status, i == 0 ? PC_ERR_RANGE : PC_ERR_MEMORY);
    pc_summary_free(&summary);
  }
  RUBBISH(pc_summary, summary);
  assert_int_equal(pc_summary_make(g->lot, NULL, 0, &summary), PC_ERR_RANGE);
  pc_summary_free(&summary);
  RUBBISH(pc_result, result);
  assert_int_equal(pc_result_init(&result, too_many, 1), PC_ERR_MEMORY);
  pc_result_free(&result);
  RUBBISH(pc_result *, results);
  assert_int_equal(pc_results_create(g->lot, too_many, &results), PC_ERR_MEMORY);
  pc_results_free(results, too_many);
  RUBBISH(pc_engine, engine);
  assert_int_equal(pc_engine_init(&engine, NULL, 0, NULL, too_many), PC_ERR_MEMORY);
  pc_engine_free(&engine);
}

static void lots(void **state) {
  given *g = *state;
  pc_choice choice = pc_choice_default();
  choice.layout = "not there";
  RUBBISH(pc_lot *, lot);
  assert_int_equal(pc_lot_create(&g->scenario, &choice, &lot, &g->faults), PC_ERR_NAME);
  assert_null(lot);
  RUBBISH(pc_ground *, ground);
  RUBBISH(pc_error, error);
  assert_int_equal(pc_ground_create(&g->scenario.site, NULL, 0, NAN, 2.0, &ground, &error), PC_ERR_RANGE);
  assert_null(ground);
  RUBBISH(pc_ring, ring);
  const pc_ring none = {NULL, 0};
  assert_int_equal(pc_ring_grown(&none, 1.0, &ring), PC_ERR_GEOMETRY);
  pc_ring_free(&ring);
  memset(&ring, 0xAA, sizeof ring);
  assert_int_equal(pc_ring_copy(&ring, none.points, too_many), PC_ERR_MEMORY);
  pc_ring_free(&ring);
  RUBBISH(pc_heading_report, headings);
  g->scenario.site.areas[0].auto_heading = true;
  assert_int_equal(pc_headings_choose(&g->scenario, &choice, &g->faults, &headings), PC_ERR_NAME);
  g->scenario.site.areas[0].auto_heading = false;
  pc_heading_report_free(&headings);
}

static void studies(void **state) {
  given *g = *state;
  pc_name name = pc_name_of("not there");
  const pc_wanted wanted = {.layouts = {&name, 1}};
  const struct {
    pc_compare_how how;
    pc_status status;
  } wrong[] = {{{.replications = 0}, PC_ERR_RANGE},
               {{.replications = 1, .wanted = &wanted}, PC_ERR_NAME},
               {{.replications = too_many}, PC_ERR_MEMORY}};
  for (size_t i = 0; i < 3; i++) {
    RUBBISH(pc_comparison, comparison);
    assert_int_equal(pc_compare(&g->scenario, &wrong[i].how, &comparison, &g->faults), wrong[i].status);
    pc_comparison_free(&comparison);
  }
  enum { DEPTHS = 1000000 }; /* which took as many steps as there are pairs of them, some minutes */
  pc_wanted long_list = {.depths = {pc_alloc(DEPTHS, sizeof(double)), DEPTHS}};
  assert_non_null(long_list.depths.items_m);
  for (size_t i = 0; i < DEPTHS; i++)
    long_list.depths.items_m[i] = 0.1 + 1e-7 * (double)i;
  const pc_compare_how many = {.replications = 1, .wanted = &long_list};
  RUBBISH(pc_comparison, comparison);
  assert_int_equal(pc_compare(&g->scenario, &many, &comparison, &g->faults), PC_ERR_LIMIT);
  pc_comparison_free(&comparison);
  free(long_list.depths.items_m);
  const pc_place_wanted place = {.replications = 0};
  const pc_sensitivity_plan plan = {.share = 2.0};
  const pc_assign_settings settings = {.replications = 1};
  const pc_assign_problem problem = {0};
  const pc_timed timed = {0};
  const pc_fleet fleet = pc_fleet_default();
  RUBBISH(pc_placement, placement);
  RUBBISH(pc_sensitivity, sensitivity);
  RUBBISH(pc_assignment, assignment);
  RUBBISH(pc_assign_plan, assigned);
  RUBBISH(pc_fit, fit);
  assert_int_equal(pc_placement_find(&g->scenario, &place, &placement, &g->faults), PC_ERR_RANGE);
  pc_placement_free(&placement);
  assert_int_equal(pc_sensitivity_make(&g->scenario, NULL, &plan, &sensitivity, &g->faults), PC_ERR_RANGE);
  pc_sensitivity_free(&sensitivity);
  assert_int_equal(pc_assign(&fleet, NULL, 0, &settings, &assignment, &g->faults), PC_ERR_MISSING);
  pc_assignment_free(&assignment);
  assert_int_equal(pc_assign_solve(&problem, &assigned), PC_ERR_RANGE);
  pc_assign_plan_free(&assigned);
  assert_int_equal(pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &g->faults), PC_ERR_MISSING);
  pc_fit_free(&fit);
}

static void readers(void **state) {
  given *g = *state;
  const char *const texts[] = {"{", "what: is this"};
  for (size_t i = 0; i < 2; i++) {
    const char *text = texts[i];
    size_t length = strlen(text);
    RUBBISH(pc_scenario, scenario);
    RUBBISH(pc_fleet, fleet);
    RUBBISH(pc_geojson, map);
    RUBBISH(pc_storm_csv, storm);
    RUBBISH(pc_timed, timed);
    RUBBISH(pc_plan, plan);
    assert_int_not_equal(pc_scenario_read_text("x", text, length, NULL, 0, &scenario, &g->faults), PC_OK);
    pc_scenario_free(&scenario);
    assert_int_not_equal(pc_fleet_read_text("x", text, length, &fleet, &g->faults), PC_OK);
    pc_fleet_free(&fleet);
    assert_int_not_equal(pc_geojson_read_text("x", text, length, NULL, &map, &g->faults), PC_OK);
    pc_geojson_free(&map);
    assert_int_not_equal(pc_storm_csv_read_text("x", text, length, &g->scenario.snow, &storm, &g->faults),
                         PC_OK);
    pc_storm_csv_free(&storm);
    assert_int_not_equal(pc_timed_csv_read_text("x", text, length, &timed, &g->faults), PC_OK);
    pc_timed_free(&timed);
    assert_int_not_equal(pc_plan_read_text("x", text, length, g->lot, &plan, &g->faults), PC_OK);
    pc_plan_free(&plan);
  }
}

static void files_that_are_not_there(void **state) {
  given *g = *state;
  const char *const path = "not/there";
  RUBBISH(pc_scenario, scenario);
  RUBBISH(pc_fleet, fleet);
  RUBBISH(pc_geojson, map);
  RUBBISH(pc_clock, start);
  RUBBISH(pc_storm_csv, storm);
  RUBBISH(pc_timed, timed);
  RUBBISH(pc_plan, plan);
  RUBBISH(pc_shards *, shards);
  RUBBISH(pc_tree *, tree);
  assert_int_equal(pc_scenario_read(path, NULL, 0, &scenario, &g->faults), PC_ERR_FILE);
  pc_scenario_free(&scenario);
  assert_int_equal(pc_fleet_read(path, &fleet, &g->faults), PC_ERR_FILE);
  pc_fleet_free(&fleet);
  assert_int_equal(pc_geojson_read_first(path, NULL, &start, &map, &g->faults), PC_ERR_FILE);
  assert_false(start.given);
  pc_geojson_free(&map);
  assert_int_equal(pc_storm_csv_read(path, &g->scenario.snow, &storm, &g->faults), PC_ERR_FILE);
  pc_storm_csv_free(&storm);
  assert_int_equal(pc_timed_csv_read(path, &timed, &g->faults), PC_ERR_FILE);
  pc_timed_free(&timed);
  assert_int_equal(pc_plan_read(path, g->lot, &plan, &g->faults), PC_ERR_FILE);
  pc_plan_free(&plan);
  assert_int_equal(pc_shards_read(&path, 1, &shards, &g->faults), PC_ERR_FILE);
  pc_shards_free(shards);
  assert_int_equal(pc_tree_read(path, &tree, &g->faults), PC_ERR_FILE);
  pc_tree_free(tree);
}

static pc_status never(void *context, const bool *wanted, size_t first, size_t end, bool *stopped) {
  (void)context, (void)wanted, (void)first, (void)end, (void)stopped;
  fail_msg("there is nothing to observe");
  return PC_OK;
}

static double no_value(void *context, size_t system, size_t observation) {
  (void)context, (void)system, (void)observation;
  return NAN;
}

/* As transport, p-median and assignment: a problem that is none is out of range. */
static void selections_that_are_none(void **state) {
  (void)state;
  const pc_select_problem good = {
      .systems = 2, .first_stage = 2, .within = 1.0, .alpha = 0.05, .observe = never, .value = no_value};
  pc_select_problem wrong[] = {good, good, good, good, good, good};
  size_t dropped[2];
  wrong[0].systems = 0;
  wrong[1].first_stage = 1;
  wrong[2].within = 0.0;
  wrong[3].within = NAN;
  wrong[4].alpha = 1.0;
  wrong[5].alpha = NAN;
  for (size_t i = 0; i < 6; i++) {
    pc_selection selection = {.settled = true, .dropped_after = dropped};
    assert_int_equal(pc_select_least(&wrong[i], &selection), PC_ERR_RANGE);
    assert_false(selection.settled);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(runs),
      cmocka_unit_test(lots),
      cmocka_unit_test(studies),
      cmocka_unit_test(readers),
      cmocka_unit_test(files_that_are_not_there),
      cmocka_unit_test(selections_that_are_none),
  };
  return cmocka_run_group_tests(tests, set_up, tear_down);
}
