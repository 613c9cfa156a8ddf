// SPDX-License-Identifier: GPL-3.0-or-later
/* What a program may hand over that no file could: it comes back as a status, never as a crash. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <glpk.h>
#include <pushcycle-io.h>

#include "scene.h"

static pc_scenario starter(void) {
  pc_scenario scenario;
  pc_faults faults = {0};
  const char *text = pc_starter_scenario();
  assert_int_equal(pc_scenario_read_text("starter", text, strlen(text), NULL, 0, &scenario, &faults), PC_OK);
  pc_faults_free(&faults);
  return scenario;
}

static pc_lot *lot_of(const pc_scenario *scenario) {
  pc_lot *lot;
  pc_faults faults = {0};
  assert_int_equal(pc_lot_create(scenario, NULL, &lot, &faults), PC_OK);
  pc_faults_free(&faults);
  return lot;
}

/* ---- policies ---- */

static int named_zone;

static size_t straight_size(const pc_lot *lot) {
  return pc_policy_find("straight-runs")->state_size(lot);
}

static pc_decision always_dump(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  bite->zone = named_zone;
  if (pc_view_load_kg(world, machine) > 0.0)
    return PC_DECIDE_DUMP;
  return pc_policy_find("straight-runs")->next(state, world, machine, bite);
}

/* A zone that does not exist is as good as none. */
static void dump_in_no_zone(void **state) {
  (void)state;
  const int zones[] = {-1, 999, 1000000, INT32_MAX, -999};
  const pc_policy policy = {"own", "own", straight_size, always_dump};
  pc_scenario scenario = starter();
  pc_lot *lot = lot_of(&scenario);
  uint64_t hashes[5];
  lot->policy = &policy;
  for (int i = 0; i < 5; i++) {
    pc_summary summary;
    named_zone = zones[i];
    assert_int_equal(pc_replicate(lot, 1, 1, 1, NULL, &summary), PC_OK);
    hashes[i] = pc_result_hash(&summary.mean);
    assert_true(hashes[i] == hashes[0] && summary.mean.placed_kg > 0.0);
    pc_summary_free(&summary);
  }
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

/* ---- counts ---- */

static void too_many_replications(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  const size_t counts[] = {SIZE_MAX / 8 + 1, SIZE_MAX / sizeof(pc_result) + 1, SIZE_MAX};
  for (size_t i = 0; i < 3; i++)
    for (int within = 0; within < 2; within++) {
      pc_faults faults = {0};
      pc_comparison comparison;
      const pc_compare_how how = {
          .replications = counts[i], .seed = 1, .threads = 1, .within_s = within ? 60.0 : 0.0};
      assert_int_equal(pc_compare(&scenario, &how, &comparison, &faults), PC_ERR_MEMORY);
      pc_faults_free(&faults);
    }
  assert_null(pc_alloc_grid(SIZE_MAX / 2 + 1, 2, 1));
  assert_null(pc_alloc_grid((size_t)1 << (4 * sizeof(size_t)), (size_t)1 << (4 * sizeof(size_t)), 8));
  void *none = pc_alloc_grid(3, 0, 8);
  assert_non_null(none);
  free(none);
  pc_scenario_free(&scenario);
}

static void zones_to_place(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  const int counts[] = {0, -1, PC_PLACE_MAX + 1, INT32_MAX, INT32_MIN};
  for (size_t i = 0; i < 5; i++) {
    pc_faults faults = {0};
    pc_placement placement;
    const pc_place_wanted wanted = {.replications = 1, .seed = 1, .threads = 1};
    scenario.place.zones = counts[i];
    assert_int_equal(pc_placement_find(&scenario, &wanted, &placement, &faults), PC_ERR_RANGE);
    assert_string_equal(faults.items[0].key, "place.zones");
    assert_null(placement.sites);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&scenario);
}

static void no_such_shard(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  const pc_shard shards[] = {{0, 0}, {5, 2}, {0, 3}, {1, PC_SHARDS_MAX + 1}, {1, 0}};
  for (size_t i = 0; i < 5; i++) {
    pc_faults faults = {0};
    pc_text out = {0};
    assert_int_equal(pc_shard_run(&scenario, NULL, NULL, shards[i], 1, &out, &faults), PC_ERR_RANGE);
    assert_int_equal(pc_shard_compare(&scenario, NULL, shards[i], 1, &out, &faults), PC_ERR_RANGE);
    assert_true(out.length == 0 && faults.count == 2);
    pc_text_free(&out);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&scenario);
}

/* ---- results ---- */

static void rooms_of_results(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  pc_lot *lot = lot_of(&scenario);
  pc_world *world;
  pc_result bare, wrong;
  pc_summary summary;
  assert_true(lot->area_count > 0);
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init(&bare, lot->machine_count, lot->zone_count), PC_OK);
  assert_int_equal(pc_world_run(world, 1, 0, NULL, &bare), PC_OK);
  assert_true(bare.total_time_s > 0.0);
  assert_int_equal(pc_summary_make(lot, &bare, 1, &summary), PC_ERR_RANGE);
  assert_int_equal(pc_world_run_until(world, 1, 0, NAN, NULL, &bare), PC_ERR_RANGE);
  for (int more = 0; more < 2; more++) {
    assert_int_equal(pc_result_init(&wrong, lot->machine_count - 1 + 2 * (size_t)more, lot->zone_count),
                     PC_OK);
    assert_int_equal(pc_world_run(world, 1, 0, NULL, &wrong), PC_ERR_RANGE);
    pc_result_free(&wrong);
  }
  assert_int_equal(pc_result_init(&wrong, lot->machine_count, lot->zone_count - 1), PC_OK);
  assert_int_equal(pc_world_run(world, 1, 0, NULL, &wrong), PC_ERR_RANGE);
  pc_result_free(&wrong);
  pc_result_free(&bare);
  pc_world_free(world);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

/* ---- choices ---- */

static pc_status made_with(const pc_scenario *scenario, double depth_m, int machines) {
  pc_choice choice = pc_choice_default();
  pc_faults faults = {0};
  pc_lot *lot;
  choice.depth_m = depth_m;
  choice.machines = machines;
  pc_status status = pc_lot_create(scenario, &choice, &lot, &faults);
  assert_true((status == PC_OK) == (pc_faults_fatal(&faults) == 0));
  pc_lot_free(lot);
  pc_faults_free(&faults);
  return status;
}

static void choices_out_of_range(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  assert_int_equal(made_with(&scenario, NAN, 0), PC_OK);
  assert_int_equal(made_with(&scenario, 0.1, 1), PC_OK);
  assert_int_equal(made_with(&scenario, INFINITY, 0), PC_ERR_RANGE);
  assert_int_equal(made_with(&scenario, -INFINITY, 0), PC_ERR_RANGE);
  assert_int_equal(made_with(&scenario, 20.0, 0), PC_ERR_RANGE);
  assert_int_equal(made_with(&scenario, -0.1, 0), PC_ERR_RANGE);
  assert_int_equal(made_with(&scenario, NAN, -1), PC_ERR_RANGE);
  assert_int_equal(made_with(&scenario, NAN, INT32_MIN), PC_ERR_RANGE);
  for (int i = 0; i < 3; i++) {
    int crews[] = {-1, 0, PC_CREW_MAX + 1};
    pc_wanted wanted = {.crews = {&crews[i], 1}};
    const pc_compare_how how = {.wanted = &wanted, .replications = 1, .seed = 1, .threads = 1};
    pc_faults faults = {0};
    pc_comparison comparison;
    assert_int_equal(pc_compare(&scenario, &how, &comparison, &faults), PC_ERR_RANGE);
    assert_string_equal(faults.items[0].key, "compare.crews");
    pc_faults_free(&faults);
  }
  pc_scenario_free(&scenario);
}

/* ---- numbers ---- */

static void numbers_that_are_none(void **state) {
  (void)state;
  const double values[] = {1.0, 2.0, 4.0}, levels[] = {0.0, 1.0, 2.0, -1.0, NAN, INFINITY};
  for (size_t i = 0; i < 6; i++)
    assert_true(isnan(pc_statistic_of(values, 3, levels[i]).half_width));
  assert_true(pc_statistic_of(values, 3, 0.95).half_width > 0.0);
  pc_point corners[] = {{0.0, 0.0}, {1e300, 0.0}, {1e300, 1e300}, {0.0, 1e300}};
  const pc_ring huge = {corners, 4};
  double volume = 7.0;
  assert_int_equal(pc_heap_volume_m3(&huge, 3.0, 0.6, &volume), PC_ERR_RANGE);
  corners[1].x_m = NAN;
  assert_int_equal(pc_heap_volume_m3(&huge, 3.0, 0.6, &volume), PC_ERR_RANGE);
  assert_true(volume == 7.0);
}

/* ---- text of no length ---- */

static void text_of_no_length(void **state) {
  (void)state;
  pc_scenario scenario = starter(), read;
  pc_lot *lot = lot_of(&scenario);
  pc_faults faults = {0};
  pc_tree *tree;
  pc_fleet fleet;
  pc_plan plan;
  pc_geojson map;
  pc_storm_csv storm;
  pc_timed timed;
  pc_text out = {0};
  const pc_place_layout layout = {.name = "new"};
  const pc_board board = {.scenario = &scenario, .name = "s", .text = "", .threads = 1};
  for (int none = 0; none < 2; none++) {
    const char *text = none ? NULL : "";
    assert_int_equal(pc_tree_parse("x", text, 0, &tree, &faults), PC_ERR_SYNTAX);
    assert_int_equal(pc_scenario_read_text("x", text, 0, NULL, 0, &read, &faults), PC_ERR_SYNTAX);
    assert_int_equal(pc_fleet_read_text("x", text, 0, &fleet, &faults), PC_ERR_SYNTAX);
    assert_int_equal(pc_plan_read_text("x", text, 0, lot, &plan, &faults), PC_ERR_SYNTAX);
    assert_int_equal(pc_place_write("x", text, 0, &layout, &out, &faults), PC_ERR_SYNTAX);
    assert_int_equal(pc_geojson_read_text("x", text, 0, NULL, &map, &faults), PC_ERR_SYNTAX);
    assert_int_not_equal(pc_storm_csv_read_text("x", text, 0, &scenario.snow, &storm, &faults), PC_OK);
    assert_int_not_equal(pc_timed_csv_read_text("x", text, 0, &timed, &faults), PC_OK);
    assert_int_equal(pc_board_answer(&board, text, 0, &out), PC_ERR_SYNTAX);
    assert_int_equal(pc_board_scenario(&board, text, 0, &out), PC_ERR_SYNTAX);
  }
  pc_text_free(&out);
  pc_faults_free(&faults);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

/* ---- nothing to free ---- */

static void nothing_to_free(void **state) {
  (void)state;
  pc_origins_free(NULL);
  pc_faults_free(NULL);
  pc_names_free(NULL);
  pc_text_free(NULL);
  pc_geojson_free(NULL);
  pc_geojson_rows_free(NULL);
  pc_shards_free(NULL);
  pc_storm_csv_free(NULL);
  pc_table_free(NULL);
  pc_siting_report_free(NULL);
  pc_tree_free(NULL);
  pc_engine_free(NULL);
  pc_queue_free(NULL);
  pc_lot_free(NULL);
  pc_plan_free(NULL);
  pc_result_free(NULL);
  pc_world_free(NULL);
  pc_scenario_free(NULL);
  pc_ring_free(NULL);
  pc_ground_free(NULL);
  pc_site_free(NULL);
  pc_zone_free(NULL);
  pc_siting_free(NULL);
  pc_slow_free(NULL);
  pc_fleet_free(NULL);
  pc_assign_plan_free(NULL);
  pc_assignment_free(NULL);
  pc_comparison_free(NULL);
  pc_crews_free(NULL);
  pc_depths_free(NULL);
  pc_timed_free(NULL);
  pc_fit_free(NULL);
  pc_heading_report_free(NULL);
  pc_order_free(NULL);
  pc_placement_free(NULL);
  pc_planning_free(NULL);
  pc_summary_free(NULL);
  pc_results_free(NULL, 3);
  pc_season_free(NULL);
  pc_sensitivity_free(NULL);
}

/* ---- a library that the program uses, too ---- */

static int count_lines(void *info, const char *text) {
  (void)text;
  ++*(int *)info;
  return 1;
}

static void hooks_of_the_program(void **state) {
  (void)state;
  const pc_assign_unit unit = {0, 0, 1, 1};
  const double work_s[] = {5.0}, travel_s[4] = {0.0};
  const int one[] = {1};
  pc_assign_plan plan;
  const pc_assign_problem problem = {.units = &unit,
                                     .unit_count = 1,
                                     .lot_count = 1,
                                     .work_s = work_s,
                                     .travel_s = travel_s,
                                     .machines = one,
                                     .boxes = one,
                                     .machine_kinds = 1,
                                     .box_kinds = 1};
  int heard = 0;
  glp_term_hook(count_lines, &heard);
  glp_prob *own = glp_create_prob();
  assert_int_equal(pc_assign_solve(&problem, &plan), PC_OK);
  assert_true(plan.found);
  pc_assign_plan_free(&plan);
  glp_printf("one line\n");
  assert_int_equal(heard, 1);
  assert_int_equal(glp_add_rows(own, 1), 1);
  glp_delete_prob(own);
  glp_term_hook(NULL, NULL);
  glp_free_env();
}

/* ---- slow places ---- */

/* Least processor time of three tries. */
static double least_s(void (*work)(size_t), size_t size) {
  double least = INFINITY;
  for (int i = 0; i < 3; i++) {
    clock_t before = clock();
    work(size);
    least = fmin(least, (double)(clock() - before) / CLOCKS_PER_SEC);
  }
  return least;
}

static void fit_machines(size_t count) {
  static const pc_phase phases[] = {PC_PHASE_FILL, PC_PHASE_CARRY, PC_PHASE_RETURN};
  pc_timed timed = {0};
  pc_fit fit;
  pc_faults faults = {0};
  for (size_t i = 0; i < count; i++) {
    char name[40];
    pc_timed_row row = {.phase = phases[i % 3], .time_s = 9.0, .distance_m = 20.0 + (double)(i % 7)};
    snprintf(name, sizeof name, "machine %zux", i);
    assert_int_equal(pc_timed_machine(&timed, name, &row.machine), PC_OK);
    assert_int_equal(row.machine, i);
    assert_int_equal(pc_timed_add(&timed, &row), PC_OK);
  }
  assert_int_not_equal(pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &faults), PC_OK);
  assert_int_equal(faults.count, 3 * count);
  pc_faults_free(&faults);
  pc_timed_free(&timed);
}

/* Eight times the machines: eight times the work, not sixty-four times. */
static void many_machines_to_fit(void **state) {
  (void)state;
  double few_s = least_s(fit_machines, 1000), many_s = least_s(fit_machines, 8000);
  if (many_s > 24.0 * few_s)
    fail_msg("1000 machines take %g s, 8000 take %g s", few_s, many_s);
}

static void check_buildings(size_t zones) {
  enum { BUILDINGS = 1000 };
  pc_text text = {0};
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_text_add(&text,
              "pushcycle: 1\nsnow: {depth: 10 cm}\nsite:\n  areas: [{outline: [[0, 0], [200, 0], [200, 40], "
              "[0, 40]]}]\n  obstacles:\n");
  for (int b = 0; b < BUILDINGS; b++)
    pc_text_addf(&text, "    - {kind: building, outline: [[%d, 99], [%d, 99], [%d, 101]]}\n", 4 * b,
                 4 * b + 2, 4 * b + 1);
  pc_text_add(&text,
              "boxes: [{width: 4 m, height: 1.2 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, "
              "return: 15 km/h}}]\nzones:\n");
  for (size_t z = 0; z < zones; z++)
    pc_text_addf(&text, "  - {outline: [[%zu, 40], [%zu.8, 40], [%zu.8, 44], [%zu, 44]]}\n", z, z, z, z);
  assert_int_equal(pc_scenario_read_text("made", text.data, text.length, NULL, 0, &scenario, &faults), PC_OK);
  pc_scenario_free(&scenario);
  pc_text_free(&text);
  pc_faults_free(&faults);
}

/* Each building is looked at once, whatever the number of zones. */
static void many_buildings_to_check(void **state) {
  (void)state;
  double one_s = least_s(check_buildings, 1), many_s = least_s(check_buildings, 100);
  if (many_s > 5.0 * one_s)
    fail_msg("1 zone takes %g s, 100 take %g s", one_s, many_s);
}

/* ---- passages ---- */

/* Seconds that four machines wait before the gate, with so many wide places before it. */
static double gate_wait_s(int wide) {
  pc_text text = {0};
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_summary summary;
  pc_text_add(
      &text,
      "pushcycle: 1\nsnow: {depth: 10 cm}\nsite:\n  areas: [{outline: [[0, 0], [180, 0], [180, 40], "
      "[0, 40]]}]\n  ground: [{outline: [[180, 15], [220, 15], [220, 25], [180, 25]]}]\n  passages:\n");
  for (int i = 0; i < wide; i++)
    pc_text_addf(&text, "    - {outline: [[%d, -1], [%d, -1], [%d, 41], [%d, 41]], machines: 64}\n", 5 + i,
                 7 + i, 7 + i, 5 + i);
  pc_text_add(&text,
              "    - {name: gate, outline: [[181, 14], [219, 14], [219, 26], [181, 26]], machines: 1}\n"
              "boxes: [{width: 4.3 m, height: 1.2 m}]\nloaders: [{speeds: {push: 8 km/h, carry: 10 km/h, "
              "return: 15 km/h}}]\nzones: [{outline: [[220, 10], [240, 10], [240, 30], [220, 30]], berths: "
              "4}]\ncrew: [{count: 4}]\n");
  assert_int_equal(pc_scenario_read_text("made", text.data, text.length, NULL, 0, &scenario, &faults), PC_OK);
  pc_lot *lot = lot_of(&scenario);
  assert_int_equal(pc_replicate(lot, 1, 1, 1, NULL, &summary), PC_OK);
  assert_int_equal(summary.mean.passage_count, wide + 1);
  double wait_s = summary.mean.passages[wide].wait_s;
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
  pc_text_free(&text);
  pc_faults_free(&faults);
  return wait_s;
}

static void every_passage_is_heeded(void **state) {
  (void)state;
  double alone = gate_wait_s(0);
  assert_true(alone > 60.0);
  assert_true(gate_wait_s(31) == alone);
  assert_true(gate_wait_s(32) == alone);
  assert_true(gate_wait_s(150) == alone);
}

static pc_status try_run(pc_scenario *scenario, pc_faults *faults) {
  pc_lot *lot;
  pc_status status = pc_lot_create(scenario, NULL, &lot, faults);
  assert_null(lot);
  return status;
}

static pc_status try_headings(pc_scenario *scenario, pc_faults *faults) {
  pc_heading_report report;
  scenario->site.areas[0].auto_heading = true;
  pc_status status = pc_headings_choose(scenario, NULL, faults, &report);
  assert_null(report.items);
  assert_true(scenario->site.areas[0].auto_heading);
  scenario->site.areas[0].auto_heading = false;
  return status;
}

static pc_status try_compare(pc_scenario *scenario, pc_faults *faults) {
  pc_comparison comparison;
  const pc_compare_how how = {.replications = 2, .seed = 1, .threads = 1};
  return pc_compare(scenario, &how, &comparison, faults);
}

static pc_status try_shard(pc_scenario *scenario, pc_faults *faults) {
  pc_text out = {0};
  return pc_shard_run(scenario, NULL, NULL, (pc_shard){1, 2}, 1, &out, faults);
}

static pc_status try_sensitivity(pc_scenario *scenario, pc_faults *faults) {
  pc_sensitivity made = {0};
  const pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  pc_status status = pc_sensitivity_make(scenario, NULL, &plan, &made, faults);
  pc_sensitivity_free(&made);
  return status;
}

/* A scenario without zones is valid: what needs a lot says what is missing, what needs none works. */
static void no_zones_yet(void **state) {
  (void)state;
  pc_status (*const tries[])(pc_scenario *, pc_faults *) = {try_run, try_headings, try_compare, try_shard,
                                                            try_sensitivity};
  pc_scenario full = starter(), scenario = full;
  pc_faults faults = {0};
  scenario.zone_count = scenario.layout_count = 0;
  scenario.zones = NULL;
  scenario.layouts = NULL;
  scenario.compare = (pc_wanted){0};
  pc_scenario_validate(&scenario, &faults);
  assert_int_equal(pc_faults_fatal(&faults), 0);
  pc_faults_free(&faults);
  for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
    assert_int_equal(tries[i](&scenario, &faults), PC_ERR_MISSING);
    const pc_error *first = pc_faults_first(&faults, 0);
    assert_string_equal(first->key, "zones");
    assert_non_null(strstr(first->message, "`place FILE --candidates generated"));
    assert_true(first->line > 0);
    pc_faults_free(&faults);
  }
  pc_limits_row row;
  assert_int_equal(pc_limits_make(&scenario, &row), 1);
  pc_siting_report sites = {0};
  assert_int_equal(pc_siting_report_add(&sites, &scenario, "all zones", 100), PC_OK);
  pc_siting_report_free(&sites);
  const pc_map_content map = {.scenario = &scenario, .at_s = INFINITY};
  const pc_picture_style style = {0};
  const pc_board board = {.scenario = &scenario, .name = "none", .text = "", .threads = 1};
  pc_text text = {0};
  assert_int_equal(pc_picture_map(&map, &style, &text), PC_OK);
  assert_int_equal(pc_board_page(&board, NULL, &text), PC_OK);
  pc_text_free(&text);
  pc_scenario_free(&full);
}

/* ---- what is left out, and what is none ---- */

static void count_depth(void *context, uint64_t replication, double time_s, size_t area, double depth_m) {
  (void)replication, (void)time_s, (void)area;
  assert_true(depth_m >= 0.0);
  ++*(int *)context;
}

static void count_ground(void *context, const pc_trace_ground *ground) {
  assert_non_null(ground->cell_kg);
  ++*(int *)context;
}

/* Who wants the snow alone need not hear of every leg. */
static void trace_without_rows(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  scenario.storm = pc_alloc(2, sizeof *scenario.storm);
  assert_non_null(scenario.storm);
  scenario.storm_count = 2;
  scenario.storm[0] = scenario.storm[1] = pc_storm_piece_default();
  scenario.storm[0].after_s = 0.0;
  scenario.storm[0].rate_mps = 0.01 / 3600.0;
  scenario.storm[1].after_s = 3600.0;
  pc_lot *lot = lot_of(&scenario);
  int heard[2] = {0, 0};
  const pc_trace depths = {.context = &heard[0], .depth = count_depth},
                 grounds = {.context = &heard[1], .ground = count_ground}, none = {0};
  const pc_trace *traces[] = {NULL, &depths, &grounds, &none};
  double time_s[4];
  for (int i = 0; i < 4; i++) {
    pc_summary summary;
    assert_int_equal(pc_replicate(lot, 1, 1, 1, traces[i], &summary), PC_OK);
    time_s[i] = summary.total_time_s.mean;
    pc_summary_free(&summary);
    assert_true(time_s[i] == time_s[0]);
  }
  assert_true(heard[0] > 0 && heard[1] > 0);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

static pc_status count_lot(void *context, size_t row, const pc_lot *lot) {
  assert_non_null(lot);
  assert_int_equal(row, *(size_t *)context);
  ++*(size_t *)context;
  return PC_OK;
}

/* Without lists of its own a comparison takes those of the scenario, in whichever way it is asked for. */
static void compared_as_the_scenario_says(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  pc_faults faults = {0};
  size_t asked = 0, by_default = 0, seen = 0, all;
  scenario.compare.layouts.items = pc_alloc(1, sizeof(pc_name));
  assert_non_null(scenario.compare.layouts.items);
  scenario.compare.layouts.items[0] = pc_name_of("all");
  scenario.compare.layouts.count = 1;
  assert_int_equal(pc_compare_count(&scenario, &scenario.compare, &asked, &faults), PC_OK);
  assert_int_equal(asked, scenario.layout_count);
  assert_int_equal(pc_compare_count(&scenario, NULL, &by_default, &faults), PC_OK);
  assert_int_equal(by_default, asked);
  all = asked;
  assert_int_equal(pc_compare_visit(&scenario, NULL, 0, all, count_lot, &seen, &faults), PC_OK);
  assert_int_equal(seen, all);
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
}

static void outlines_of_no_size(void **state) {
  (void)state;
  const double sizes[] = {NAN, INFINITY, -INFINITY, -1.0, 1e300};
  const pc_point line[] = {{0.0, 0.0}, {10.0, 0.0}}, nowhere[] = {{0.0, 0.0}, {NAN, 0.0}};
  pc_ring ring;
  for (size_t i = 0; i < 5; i++) {
    assert_int_equal(pc_ring_along(line, 2, sizes[i], &ring), PC_ERR_GEOMETRY);
    assert_null(ring.points);
    assert_int_equal(pc_ring_round(line[0], sizes[i], &ring), PC_ERR_GEOMETRY);
    assert_null(ring.points);
  }
  assert_int_equal(pc_ring_along(nowhere, 2, 1.0, &ring), PC_ERR_GEOMETRY);
  assert_null(ring.points);
  assert_int_equal(pc_ring_round(nowhere[1], 1.0, &ring), PC_ERR_GEOMETRY);
  assert_null(ring.points);
}

static void rows_of_nobody(void **state) {
  (void)state;
  pc_timed timed = {0};
  pc_timed_row row = {.phase = PC_PHASE_DUMP, .machine = 0, .time_s = 8.0};
  assert_int_equal(pc_timed_add(&timed, &row), PC_ERR_RANGE);
  assert_int_equal(pc_timed_machine(&timed, "loader", &row.machine), PC_OK);
  assert_int_equal(pc_timed_add(&timed, &row), PC_OK);
  row.machine = 1;
  assert_int_equal(pc_timed_add(&timed, &row), PC_ERR_RANGE);
  row.machine = 0;
  row.phase = PC_PHASE_COUNT;
  assert_int_equal(pc_timed_add(&timed, &row), PC_ERR_RANGE);
  assert_int_equal(timed.count, 1);
  pc_timed_free(&timed);
}

static void pictures_of_nothing(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  pc_comparison comparison = {0};
  pc_text out = {0};
  const pc_picture_style style = {0};
  pc_chart_content chart = {&scenario, &comparison, PC_CHART_KIND_COUNT};
  assert_int_equal(pc_picture_maps(NULL, 0, &style, &out), PC_ERR_RANGE);
  assert_int_equal(pc_picture_chart(&chart, &style, &out), PC_ERR_RANGE);
  assert_int_equal(out.length, 0);
  pc_text_free(&out);
  pc_scenario_free(&scenario);
}

/* Years of one leg are drawn in as many bands as fit, not in one for each month of a million years. */
static void a_leg_of_ages(void **state) {
  (void)state;
  pc_scenario scenario = starter();
  pc_lot *lot = lot_of(&scenario);
  const double ages_s[] = {1e8, 1e13, 1e300};
  for (size_t i = 0; i < 3; i++) {
    const pc_trace_row row = {.phase = PC_PHASE_DUMP, .end_s = ages_s[i], .zone = 0};
    const pc_timeline_content content = {.lot = lot, .rows = &row, .row_count = 1, .until_s = INFINITY};
    const pc_picture_style style = {0};
    pc_text out = {0};
    assert_int_equal(pc_picture_timeline(&content, &style, &out), PC_OK);
    assert_true(out.length > 1000 && out.length < 5000000);
    pc_text_free(&out);
  }
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(dump_in_no_zone),         cmocka_unit_test(too_many_replications),
      cmocka_unit_test(zones_to_place),          cmocka_unit_test(no_such_shard),
      cmocka_unit_test(rooms_of_results),        cmocka_unit_test(choices_out_of_range),
      cmocka_unit_test(numbers_that_are_none),   cmocka_unit_test(text_of_no_length),
      cmocka_unit_test(nothing_to_free),         cmocka_unit_test(hooks_of_the_program),
      cmocka_unit_test(many_machines_to_fit),    cmocka_unit_test(many_buildings_to_check),
      cmocka_unit_test(every_passage_is_heeded), cmocka_unit_test(no_zones_yet),
      cmocka_unit_test(trace_without_rows),      cmocka_unit_test(compared_as_the_scenario_says),
      cmocka_unit_test(outlines_of_no_size),     cmocka_unit_test(rows_of_nobody),
      cmocka_unit_test(pictures_of_nothing),     cmocka_unit_test(a_leg_of_ages)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
