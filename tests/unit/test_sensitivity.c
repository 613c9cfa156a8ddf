// SPDX-License-Identifier: GPL-3.0-or-later
/* Elasticities against closed forms, break-even depths against a fine scan, and what is left out. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "scene.h"
#include "simulate.h"
#include "study/sensitivity.h"

static pc_sensitivity study(const pc_scenario *scenario, const pc_sensitivity_plan *plan) {
  pc_sensitivity found;
  pc_faults faults = {0};
  pc_status status = pc_sensitivity_make(scenario, NULL, plan, &found, &faults);
  if (status != PC_OK)
    fail_msg("%s: %s", pc_status_name(status), faults.count > 0 ? faults.items[0].message : "");
  pc_faults_free(&faults);
  return found;
}

static const pc_sensitivity_row *row_of(const pc_sensitivity *s, const char *key) {
  for (size_t i = 0; i < s->row_count; i++)
    if (strcmp(s->rows[i].key, key) == 0)
      return &s->rows[i];
  fail_msg("no row %s", key);
  return NULL;
}

static const char *reason_of(const pc_sensitivity *s, const char *key) {
  for (size_t i = 0; i < s->left_out_count; i++)
    if (strcmp(s->left_out[i].key, key) == 0)
      return s->left_out[i].reason;
  fail_msg("%s is not left out", key);
  return NULL;
}

static double elasticity(const pc_sensitivity *s, const char *key) {
  return row_of(s, key)->elasticity.mean;
}

static pc_sensitivity_plan plain(double share) {
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  plan.share = share;
  plan.break_even = false;
  plan.threads = 1;
  return plan;
}

/* T = Σ ways/speeds + Σ fixed times: homogeneous of degree −1 in the speeds and +1 in the times, so by
 * Euler's theorem the elasticities add up to −(share of driving) and +(share of standing), and those of a
 * fixed time are its own share. Steps of 1 % leave errors of their square. */
static void elasticities_are_shares(void **state) {
  (void)state;
  pc_scenario s = scene_reference(3, 1, "straight-runs");
  s.loaders[0].raise_s = 3;
  s.loaders[0].shift_s = 1;
  pc_result r = simulate(&s, NULL);
  const double *time = r.machines[0].time_s;
  double driving =
      time[PC_PHASE_FILL] + time[PC_PHASE_CLEAN_UP] + time[PC_PHASE_CARRY] + time[PC_PHASE_RETURN];
  double all = r.total_time_s;
  pc_sensitivity_plan plan = plain(0.01);
  pc_sensitivity found = study(&s, &plan);
  double speeds = elasticity(&found, "loaders.speeds.push") + elasticity(&found, "loaders.speeds.carry") +
                  elasticity(&found, "loaders.speeds.return");
  double times = elasticity(&found, "loaders.times.lower") + elasticity(&found, "loaders.times.raise") +
                 elasticity(&found, "loaders.times.dump") + elasticity(&found, "loaders.times.shift") +
                 elasticity(&found, "loaders.times.turn");
  assert_near("base", found.base_s.mean, all, 1e-12);
  assert_true(driving / all > 0.3 && driving / all < 0.9); /* both kinds count here */
  assert_true(fabs(speeds + driving / all) < 1e-3);
  assert_true(fabs(times - (1 - driving / all)) < 1e-3);
  assert_true(fabs(elasticity(&found, "loaders.times.dump") - time[PC_PHASE_DUMP] / all) < 1e-4);
  assert_true(fabs(elasticity(&found, "loaders.times.lower") - time[PC_PHASE_LOWER] / all) < 1e-4);
  pc_sensitivity_free(&found);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* Without fixed times, twice the speeds halve the time: the elasticities of the speeds add up to −1. */
static void speeds_alone_decide(void **state) {
  (void)state;
  pc_scenario s = scene_reference(2, 1, "straight-runs");
  pc_loader *l = &s.loaders[0];
  l->lower_s = l->raise_s = l->dump_s = l->shift_s = l->turn_s = 0;
  pc_result once = simulate(&s, NULL);
  pc_sensitivity_plan plan = plain(0.01);
  pc_sensitivity found = study(&s, &plan);
  double sum = elasticity(&found, "loaders.speeds.push") + elasticity(&found, "loaders.speeds.carry") +
               elasticity(&found, "loaders.speeds.return");
  assert_true(fabs(sum + 1) < 1e-3);
  assert_string_equal(reason_of(&found, "loaders.times.dump"), "it is 0, of which a share is nothing");
  l->push_speed_mps *= 2;
  l->carry_speed_mps *= 2;
  l->return_speed_mps *= 2;
  pc_result twice = simulate(&s, NULL);
  assert_near("half the time", twice.total_time_s, once.total_time_s / 2, 1e-9);
  pc_sensitivity_free(&found);
  pc_result_free(&once);
  pc_result_free(&twice);
  pc_scenario_free(&s);
}

/* Mass is what fills boxes: depth and density of the fresh snow do the same; pushed density and heap factor
 * too. */
static void what_does_the_same_counts_the_same(void **state) {
  (void)state;
  pc_scenario s = scene_reference(2, 1, "straight-runs");
  s.snow.done_below_m = 1e-4; /* a depth too, which would tell the two apart */
  pc_sensitivity_plan plan = plain(0.1);
  pc_sensitivity found = study(&s, &plan);
  assert_near("fresh density", elasticity(&found, "snow.fresh_density"), elasticity(&found, "snow.depth"),
              1e-9);
  assert_near("heap factor", elasticity(&found, "boxes.heap_factor"),
              elasticity(&found, "snow.pushed_density"), 1e-9);
  assert_true(elasticity(&found, "snow.depth") > 0 && elasticity(&found, "boxes.heap_factor") < 0);
  for (size_t i = 1; i < found.row_count; i++)
    assert_true(found.rows[i].swing_s <= found.rows[i - 1].swing_s);
  pc_sensitivity_free(&found);
  pc_scenario_free(&s);
}

/* A storm with each rate by itself made as much smaller and larger: the plain way, which a study must agree
 * with. */
static double time_at_rates(const pc_scenario *scenario, double factor) {
  pc_scenario s = *scenario;
  s.storm = pc_copy(scenario->storm, scenario->storm_count, sizeof *scenario->storm);
  assert_non_null(s.storm);
  for (size_t i = 0; i < s.storm_count; i++)
    s.storm[i].rate_mps *= factor;
  pc_result r = simulate(&s, NULL);
  double time_s = r.total_time_s;
  pc_result_free(&r);
  free(s.storm);
  return time_s;
}

/* 2 cm/h for 15 min, a pause, 0.9 m/h for 2 min, by whose end the work is not done. What does not fall is no
 * rate, and the second one may be no more than 1 m/h: by 1/0.9, an eleventh. */
static void all_rates_of_a_storm_change_together(void **state) {
  (void)state;
  const double pieces[][2] = {{0, 0.02 / 3600}, {900, 0}, {1000, 0.9 / 3600}, {1120, 0}};
  pc_scenario s = scene_reference(2, 1, "straight-runs");
  s.storm = pc_alloc(4, sizeof *s.storm);
  assert_non_null(s.storm);
  s.storm_count = 4;
  for (size_t i = 0; i < 4; i++) {
    s.storm[i] = pc_storm_piece_default();
    s.storm[i].after_s = pieces[i][0];
    s.storm[i].rate_mps = pieces[i][1];
  }
  s.storm[2].temperature_c = -5; /* its density is its own */
  pc_sensitivity_plan plan = plain(0.2);
  pc_sensitivity found = study(&s, &plan);
  const pc_sensitivity_row *rate = row_of(&found, "storm.rate");
  assert_int_equal(rate->dimension, PC_DIM_FALL_RATE);
  assert_near("least", rate->now_least * 3600, 0.02, 1e-12);
  assert_near("most", rate->now_most * 3600, 0.9, 1e-12);
  assert_near("smaller", rate->low, 0.8, 1e-12);
  assert_near("larger", rate->high, 1 / 0.9, 1e-12);
  double base_s = time_at_rates(&s, 1), less_s = time_at_rates(&s, 0.8), more_s = time_at_rates(&s, 1 / 0.9);
  print_message("%g s, with less snow %g s, with more %g s\n", base_s, less_s, more_s);
  assert_true(base_s > 1120 && less_s < base_s && more_s > base_s);
  assert_near("base", found.base_s.mean, base_s, 1e-12);
  assert_near("change", rate->low_s.mean, less_s - base_s, 1e-9);
  assert_near("change", rate->high_s.mean, more_s - base_s, 1e-9);
  assert_near("elasticity", rate->elasticity.mean, log(more_s / less_s) / log(1 / 0.9 / 0.8), 1e-9);
  s.boxes[0].width_m *= 0.8; /* tried after the rates, with the storm as it is */
  assert_near("width", row_of(&found, "boxes.width")->low_s.mean, time_at_rates(&s, 1) - base_s, 1e-9);
  s.boxes[0].width_m /= 0.8;
  assert_true(s.storm[0].rate_mps == pieces[0][1] && s.storm[2].rate_mps == pieces[2][1]);
  pc_sensitivity_free(&found);
  /* a storm in which nothing falls, and none at all */
  s.storm[0].rate_mps = s.storm[2].rate_mps = 0;
  found = study(&s, &plan);
  assert_string_equal(reason_of(&found, "storm.rate"), "it is not given");
  double width_s = row_of(&found, "boxes.width")->low_s.mean;
  pc_sensitivity_free(&found);
  s.storm_count = 0;
  found = study(&s, &plan);
  assert_string_equal(reason_of(&found, "storm.rate"), "it is not given");
  assert_near("box", row_of(&found, "boxes.width")->low_s.mean, width_s, 1e-12);
  pc_sensitivity_free(&found);
  pc_scenario_free(&s);
}

/* All that two studies say is the same. */
static void assert_alike(const pc_sensitivity *a, const pc_sensitivity *b) {
  assert_int_equal(a->row_count, b->row_count);
  assert_int_equal(a->left_out_count, b->left_out_count);
  assert_near("base", a->base_s.mean, b->base_s.mean, 1e-12);
  for (size_t i = 0; i < a->row_count; i++) {
    const pc_sensitivity_row *row = &a->rows[i], *other = row_of(b, row->key);
    assert_near(row->key, row->now_least, other->now_least, 1e-12);
    assert_near(row->key, row->now_most, other->now_most, 1e-12);
    assert_near(row->key, row->low_s.mean, other->low_s.mean, 1e-9);
    assert_near(row->key, row->high_s.mean, other->high_s.mean, 1e-9);
    assert_string_equal(row->note, other->note);
  }
}

/* What follows from something else that is given (the density from the temperature, docs/model.md; the heap
 * factor from the height; the depth from the choice) is an input as if it were given itself. */
static void what_follows_is_an_input(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  pc_sensitivity_plan plan = plain(0.1);
  pc_sensitivity follows, given;
  pc_choice choice = pc_choice_default();
  pc_faults faults = {0};
  choice.depth_m = 0.06;
  s.snow.fresh_density_kgpm3 = NAN;
  s.snow.air_temperature_c = -5;
  s.boxes[0].heap_factor_m = NAN;
  assert_int_equal(pc_sensitivity_make(&s, &choice, &plan, &follows, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  assert_true(isnan(s.snow.fresh_density_kgpm3) && s.snow.air_temperature_c == -5);
  s.snow.fresh_density_kgpm3 = 67.92 + 51.25 * exp(-5 / 2.59);
  s.snow.air_temperature_c = NAN;
  s.boxes[0].heap_factor_m = 0.8 * s.boxes[0].height_m;
  s.snow.depth_m = 0.06;
  given = study(&s, &plan);
  assert_alike(&follows, &given);
  assert_near("density", row_of(&follows, "snow.fresh_density")->now_most, s.snow.fresh_density_kgpm3, 1e-12);
  assert_near("depth", row_of(&follows, "snow.depth")->now_most, 0.06, 1e-12);
  assert_true(row_of(&follows, "snow.fresh_density")->low == 0.9);
  pc_sensitivity_free(&follows);
  pc_sensitivity_free(&given);
  pc_scenario_free(&s);
}

/* A box and a loader that nobody uses are no inputs, though they lie at the ends of their ranges. */
static void what_nobody_uses_is_no_input(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  pc_sensitivity_plan plan = plain(0.1);
  pc_sensitivity alone = study(&s, &plan), beside;
  pc_box boxes[2] = {s.boxes[0], s.boxes[0]}, *box = s.boxes;
  pc_loader loaders[2] = {s.loaders[0], s.loaders[0]}, *loader = s.loaders;
  boxes[1].name = pc_name_of("widest");
  boxes[1].width_m = pc_fields_find(&pc_box_fields, "width")->max;
  boxes[1].overlap_m = 0.2;
  loaders[1].name = pc_name_of("quickest");
  loaders[1].return_speed_mps = pc_fields_find(&pc_loader_fields, "speeds.return")->max;
  loaders[1].traction = 0.3;
  s.boxes = boxes;
  s.loaders = loaders;
  s.box_count = s.loader_count = 2;
  beside = study(&s, &plan);
  assert_alike(&beside, &alone);
  assert_true(row_of(&beside, "boxes.width")->high == 1.1);
  assert_true(row_of(&beside, "loaders.speeds.return")->high == 1.1);
  pc_sensitivity_free(&alone);
  pc_sensitivity_free(&beside);
  s.boxes = box;
  s.loaders = loader;
  s.box_count = s.loader_count = 1;
  pc_scenario_free(&s);
}

/* Snow that is hardly deeper than what may lie: a tenth less of it is no work, unless more falls. */
static void hardly_any_snow(void **state) {
  (void)state;
  pc_storm_piece fall[2] = {pc_storm_piece_default(), pc_storm_piece_default()};
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  pc_sensitivity_plan plan = plain(0.1);
  s.snow.done_below_m = 0.01;
  s.snow.depth_m = 0.0105;
  pc_sensitivity found = study(&s, &plan);
  const pc_sensitivity_row *depth = row_of(&found, "snow.depth");
  assert_true(depth->low == 1 && depth->high == 1.1);
  assert_string_equal(depth->note, "smaller: snow.depth is not more than snow.done_below");
  pc_sensitivity_free(&found);
  fall[0].after_s = 0;
  fall[0].rate_mps = 0.02 / 3600;
  fall[1].after_s = 1800;
  fall[1].rate_mps = 0;
  s.storm = fall;
  s.storm_count = 2;
  found = study(&s, &plan);
  depth = row_of(&found, "snow.depth");
  assert_true(depth->low == 0.9 && depth->high == 1.1);
  assert_string_equal(depth->note, "");
  pc_result less;
  s.snow.depth_m = 0.9 * 0.0105;
  less = simulate(&s, NULL);
  assert_near("less", found.base_s.mean + depth->low_s.mean, less.total_time_s, 1e-12);
  pc_result_free(&less);
  pc_sensitivity_free(&found);
  s.storm = NULL;
  s.storm_count = 0;
  pc_scenario_free(&s);
}

static void ends_of_ranges(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  s.snow.pile_density_kgpm3 = 260; /* pushed snow of 275 would be denser than the pile */
  s.loaders[0].back_out_m = 5;
  s.loaders[0].return_speed_mps = 48; /* at most 50 */
  pc_sensitivity_plan plan = plain(0.1);
  pc_sensitivity found = study(&s, &plan);
  const pc_sensitivity_row *full = row_of(&found, "full_at"), *pushed = row_of(&found, "snow.pushed_density");
  assert_true(full->high == 1 && full->low == 0.9); /* it is 1, and may be no more */
  assert_string_equal(full->note, "larger: it is at the end of its range");
  assert_true(full->high_s.mean == 0 && full->low_s.mean != 0);
  assert_true(pushed->high == 1 && pushed->low == 0.9);
  assert_non_null(strstr(pushed->note, "larger: snow."));
  assert_near("return", row_of(&found, "loaders.speeds.return")->high, 50.0 / 48.0, 1e-12);
  assert_string_equal(reason_of(&found, "loaders.acceleration"), "it is not given");
  assert_string_equal(reason_of(&found, "loaders.traction"), "it is not given");
  assert_string_equal(reason_of(&found, "boxes.overlap"), "it is 0, of which a share is nothing");
  pc_sensitivity_free(&found);
  pc_scenario_free(&s);
}

static void work_that_does_not_end(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  s.zones[0].volume_m3 = 20;
  pc_sensitivity_plan plan = plain(0.1);
  pc_sensitivity found = study(&s, &plan);
  assert_false(found.base_finished);
  assert_int_equal(found.base_reason, PC_REASON_ZONES_FULL);
  assert_int_equal(found.row_count, 0);
  pc_sensitivity_free(&found);
  pc_scenario_free(&s);
}

static void plans_that_are_none(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "straight-runs");
  pc_sensitivity found;
  const double shares[] = {0, -0.1, 0.6, NAN};
  for (int i = 0; i < 6; i++) {
    pc_faults faults = {0};
    pc_sensitivity_plan plan = pc_sensitivity_plan_default();
    if (i < 4) {
      plan.share = shares[i];
    } else {
      plan.least_m = i == 4 ? 0.3 : 0.005; /* falling; below done_below */
      plan.most_m = 0.2;
    }
    assert_int_equal(pc_sensitivity_make(&s, NULL, &plan, &found, &faults), PC_ERR_RANGE);
    assert_int_equal(faults.count, 1);
    assert_int_equal(found.row_count, 0);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&s);
}

/* ---- break-even ---- */

/* A wide low box and a narrow deep one: the first saves ways over thin snow, the second loads of deep snow.
 */
static pc_scenario two_boxes(void) {
  const pc_point zone[] = {{80, 30}};
  pc_scenario s = scene_rectangle(80, 60, zone, 1);
  pc_box *boxes = pc_alloc(2, sizeof *boxes);
  assert_non_null(boxes);
  boxes[0] = boxes[1] = s.boxes[0];
  boxes[0].name = pc_name_of("wide");
  boxes[0].width_m = 6;
  boxes[0].heap_factor_m = 0.6;
  boxes[1].name = pc_name_of("deep");
  boxes[1].width_m = 4;
  boxes[1].heap_factor_m = 1.8;
  free(s.boxes);
  s.boxes = boxes;
  s.box_count = 2;
  s.crew = pc_alloc(1, sizeof *s.crew);
  assert_non_null(s.crew);
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = boxes[0].name;
  return s;
}

static double time_with(const pc_scenario *s, const char *box, double depth_m) {
  const pc_choice choice = {.box = box, .depth_m = depth_m};
  pc_faults faults = {0};
  pc_lot *lot;
  assert_int_equal(pc_lot_create(s, &choice, &lot, &faults), PC_OK);
  pc_result r = simulate_lot(lot, 1, 0, NULL);
  double time = r.finished ? r.total_time_s : (double)INFINITY;
  pc_result_free(&r);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  return time;
}

static void break_even_as_a_fine_scan_finds_it(void **state) {
  (void)state;
  enum { STEPS = 500 };
  pc_scenario s = two_boxes();
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  double least = 0.02, most = 0.30, turns[STEPS];
  plan.least_m = least;
  plan.most_m = most;
  size_t count = 0, met = 0;
  int before = 0;
  for (int i = 0; i <= STEPS; i++) {
    double depth = least * pow(most / least, i / (double)STEPS);
    double wide = time_with(&s, "wide", depth), deep = time_with(&s, "deep", depth);
    int now = wide < deep ? -1 : 1;
    if (before != 0 && now != before)
      turns[count++] = depth;
    before = now;
  }
  assert_true(count >= 1);
  pc_sensitivity found = study(&s, &plan);
  assert_true(found.break_even_count >= 1 && found.break_even_count <= count);
  assert_string_equal(found.break_evens[0].below.text, "wide");
  assert_string_equal(found.break_evens[found.break_even_count - 1].above.text, "deep");
  for (size_t i = 0; i < found.break_even_count; i++) {
    const pc_break_even *turn = &found.break_evens[i];
    assert_false(turn->of_layouts);
    assert_true(turn->least > 0 && turn->most > 0);
    bool near = false;
    for (size_t k = 0; k < count; k++) /* a step of the scan is 0.54 % wide */
      near |= turn->depth_m <= turns[k] * 1.001 && turn->depth_m >= turns[k] / 1.007;
    met += near;
  }
  assert_int_equal(met, found.break_even_count);
  pc_sensitivity_free(&found);
  /* on its own */
  const pc_choice wide = {.box = "wide", .depth_m = NAN}, deep = {.box = "deep", .depth_m = NAN};
  pc_faults faults = {0};
  double depth;
  assert_int_equal(pc_break_even_depth(&s, &wide, &deep, &plan, least, most, &depth, &faults), PC_OK);
  double below = depth * 0.999, above = depth * 1.001;
  assert_true((time_with(&s, "wide", below) < time_with(&s, "deep", below)) !=
              (time_with(&s, "wide", above) < time_with(&s, "deep", above)));
  assert_int_equal(pc_break_even_depth(&s, &wide, &wide, &plan, least, most, &depth, &faults), PC_ERR_RANGE);
  assert_non_null(strstr(faults.items[0].message, "the same at both"));
  pc_faults_free(&faults);
  assert_int_equal(pc_break_even_depth(&s, &wide, &deep, &plan, most, least, &depth, &faults), PC_ERR_RANGE);
  assert_non_null(strstr(faults.items[0].message, "less than the most"));
  pc_faults_free(&faults);
  const pc_choice unknown = {.box = "no such box", .depth_m = NAN};
  assert_int_equal(pc_break_even_depth(&s, &wide, &unknown, &plan, least, most, &depth, &faults),
                   PC_ERR_NAME);
  assert_non_null(strstr(faults.items[0].message, "no such box"));
  pc_faults_free(&faults);
  pc_sensitivity_plan none = plan;
  none.replications = 0;
  assert_int_equal(pc_break_even_depth(&s, &wide, &deep, &none, least, most, &depth, &faults), PC_ERR_RANGE);
  assert_string_equal(faults.items[0].key, "chance.replications");
  pc_faults_free(&faults);
  assert_int_equal(faults.count, 0);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Two boxes of which one is better in everything never change places. */
static void no_turn(void **state) {
  (void)state;
  pc_scenario s = two_boxes();
  s.boxes[0].heap_factor_m = 1.8;
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  pc_sensitivity found = study(&s, &plan);
  assert_int_equal(found.break_even_count, 1);
  assert_true(isnan(found.break_evens[0].depth_m));
  assert_string_equal(found.break_evens[0].below.text, "wide");
  assert_near("least depth", found.least_m, 0.1 / 3, 1e-12);
  assert_near("most depth", found.most_m, 0.3, 1e-12);
  pc_sensitivity_free(&found);
  pc_scenario_free(&s);
}

/* ---- chance ---- */

static void the_same_for_any_number_of_threads(void **state) {
  (void)state;
  pc_scenario s = two_boxes();
  s.chance = (pc_chance){8, 3, 0.05, 0.1, 0.2, 0.2, 0.1};
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  plan.replications = 8;
  plan.threads = 1;
  pc_sensitivity one = study(&s, &plan);
  plan.threads = 3;
  pc_sensitivity three = study(&s, &plan);
  assert_int_equal(one.row_count, three.row_count);
  assert_int_equal(one.break_even_count, three.break_even_count);
  for (size_t i = 0; i < one.row_count; i++) {
    assert_string_equal(one.rows[i].key, three.rows[i].key);
    assert_true(one.rows[i].elasticity.mean == three.rows[i].elasticity.mean);
    assert_true(one.rows[i].elasticity.half_width == three.rows[i].elasticity.half_width);
    assert_true(one.rows[i].swing_s == three.rows[i].swing_s);
    assert_true(one.rows[i].swing_s == fabs(one.rows[i].high_s.mean - one.rows[i].low_s.mean));
    assert_true(one.rows[i].high_s.level == 0.95 && one.rows[i].elasticity.level == 0.95);
  }
  for (size_t i = 0; i < one.break_even_count; i++)
    assert_memory_equal(&one.break_evens[i].depth_m, &three.break_evens[i].depth_m, sizeof(double));
  /* the same luck on both sides: the interval of a dump time's share is far narrower than that of the time
   * itself */
  const pc_sensitivity_row *dump = row_of(&one, "loaders.times.dump");
  assert_true(dump->elasticity.half_width > 0);
  assert_true(dump->high_s.half_width < 0.5 * one.base_s.half_width);
  pc_sensitivity_free(&one);
  pc_sensitivity_free(&three);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(elasticities_are_shares),
      cmocka_unit_test(speeds_alone_decide),
      cmocka_unit_test(what_does_the_same_counts_the_same),
      cmocka_unit_test(all_rates_of_a_storm_change_together),
      cmocka_unit_test(what_follows_is_an_input),
      cmocka_unit_test(what_nobody_uses_is_no_input),
      cmocka_unit_test(hardly_any_snow),
      cmocka_unit_test(ends_of_ranges),
      cmocka_unit_test(work_that_does_not_end),
      cmocka_unit_test(plans_that_are_none),
      cmocka_unit_test(break_even_as_a_fine_scan_finds_it),
      cmocka_unit_test(no_turn),
      cmocka_unit_test(the_same_for_any_number_of_threads),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
