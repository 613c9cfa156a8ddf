// SPDX-License-Identifier: GPL-3.0-or-later
/* Statistics, the lower bound, replication and comparison. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/memory.h"
#include "base/random.h"
#include "scene.h"
#include "sim/plan.h"
#include "study/compare.h"
#include "study/limits.h"

static void assert_near(double got, double wanted, double tolerance) {
  if (!(fabs(got - wanted) <= tolerance))
    fail_msg("got %.12g, wanted %.12g within %g", got, wanted, tolerance);
}

static pc_lot *must_lot(const pc_scenario *scenario, const pc_choice *choice) {
  pc_lot *lot = NULL;
  pc_faults faults = {0};
  pc_status status = pc_lot_create(scenario, choice, &lot, &faults);
  if (status != PC_OK)
    fail_msg("%s", faults.count > 0 ? faults.items[0].message : pc_status_name(status));
  pc_faults_free(&faults);
  return lot;
}

static pc_result run_once(const pc_lot *lot, bool check) {
  pc_world *world;
  pc_result result;
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init(&result, lot->machine_count, lot->zone_count), PC_OK);
  pc_world_check_always(world, check);
  if (pc_world_run(world, 1, 0, NULL, &result) != PC_OK)
    fail_msg("%s", pc_world_complaint(world));
  pc_world_free(world);
  return result;
}

/* Law & Kelton, Simulation Modeling and Analysis, two-system example: mean difference 4.978, 90 % interval
 * [1.65, 8.31]. */
static void paired_interval(void **state) {
  (void)state;
  const double a[] = {126.97, 124.31, 126.68, 122.66, 127.23}, b[] = {118.21, 120.22, 122.45, 122.68, 119.40};
  double difference[5];
  for (int i = 0; i < 5; i++)
    difference[i] = a[i] - b[i];
  pc_statistic s = pc_statistic_of_differences(a, b, 5, 0.90), twin = pc_statistic_of(difference, 5, 0.90);
  assert_memory_equal(&s, &twin, sizeof s);
  assert_near(s.mean, 4.978, 5e-4);
  assert_near(s.mean - s.half_width, 1.65, 5e-3);
  assert_near(s.mean + s.half_width, 8.31, 5e-3);
}

/* Montgomery & Runger, parking data: n = 14, mean 1.21429, s 12.68493 → 90 % interval [−4.789, 7.218]. Any 14
 * values with that mean and deviation have that interval. */
static void interval_from_moments(void **state) {
  (void)state;
  double values[14], spread = 12.68493 * sqrt(13.0 / 14.0);
  for (int i = 0; i < 14; i++)
    values[i] = 1.21429 + (i % 2 ? spread : -spread);
  pc_statistic s = pc_statistic_of(values, 14, 0.90);
  assert_near(s.mean - s.half_width, -4.789, 2e-3);
  assert_near(s.mean + s.half_width, 7.218, 2e-3);
}

/* The same example of Law & Kelton: its own interval, ± 3.33, takes its five values. For ± 1.65 by hand with
 * their spread s = 3.33·√5/2.132 = 3.49 and the t table (t13 = 1.771, t14 = 1.761, from memory): 14 values
 * give 1.771·3.49/√14 = 1.653, 15 give 1.761·3.49/√15 = 1.588. */
static void replications_for_a_width(void **state) {
  (void)state;
  const double difference[] = {126.97 - 118.21, 124.31 - 120.22, 126.68 - 122.45, 122.66 - 122.68,
                               127.23 - 119.40};
  pc_statistic s = pc_statistic_of(difference, 5, 0.90);
  assert_int_equal(pc_replications_for(&s, s.half_width), 5);
  assert_int_equal(pc_replications_for(&s, 1.65), 15);
  assert_int_equal(pc_replications_for(&s, 1e-9), PC_REPLICATIONS_TOLD);
  assert_int_equal(pc_replications_for(&(pc_statistic){.count = 1}, 1), 0);
}

/* Two values are the least that have an interval. By hand with the t table (from memory: t1 = 12.706, t2
 * = 4.303, t3 = 3.182, t4 = 2.776): 0 and 2 spread by s = √2, so ± 12.706·√2/√2; ± 2 takes five, 2.776·√2/√5
 * = 1.76, as four give 3.182·√2/2 = 2.25. */
static void two_values_have_an_interval(void **state) {
  (void)state;
  pc_statistic s = pc_statistic_of((const double[]){0, 2}, 2, 0.95);
  assert_near(s.half_width, 12.706, 5e-4);
  assert_near(pc_statistic_spread(&s), sqrt(2), 1e-9);
  assert_int_equal(pc_replications_for(&s, 2), 5);
  /* 1 ± 12.7 s of 100 s: told from a tie by ± 4, of three values: 4.303·√2/√3 = 3.51 */
  assert_int_equal(pc_replications_to_tell(&s, 100), 3);
  s = pc_statistic_of((const double[]){2}, 1, 0.95);
  assert_true(s.half_width == 0 && pc_statistic_spread(&s) == 0);
  assert_int_equal(pc_replications_for(&s, 2), 0);
  assert_int_equal(pc_replications_to_tell(&s, 100), 0);
}

/* Twenty per cent apart on average, anything between −9 and 49 %: no tie. One per cent ± 2: a tie. */
static void a_tie_is_tight(void **state) {
  (void)state;
  pc_statistic apart = {.mean = 20, .half_width = 29, .level = 0.95, .count = 3};
  size_t need = pc_replications_to_tell(&apart, 100);
  /* t2 = 4.303, so s = 11.67; 4 values: 3.182·11.67/2 = 18.6 (t table, from memory) */
  assert_int_equal(need, 4);
  assert_int_equal(pc_replications_to_tell(&(pc_statistic){1, 2, 0.95, 0, 0, 3}, 100), 0);
  /* one per cent ± 4: 5 % at most, the bound of a tie (replicate.h), is one */
  assert_int_equal(pc_replications_to_tell(&(pc_statistic){1, 4, 0.95, 0, 0, 3}, 100), 0);
  /* ± 4.5 is more than that; to be one, ± 4 has to be reached: s = 1.81, 3.182·1.81/2 = 2.88 */
  assert_int_equal(pc_replications_to_tell(&(pc_statistic){1, 4.5, 0.95, 0, 0, 3}, 100), 4);
  /* an interval that ends at 0 */
  assert_int_equal(pc_replications_to_tell(&(pc_statistic){20, 20, 0.95, 0, 0, 3}, 100), 0);
  assert_int_equal(pc_replications_to_tell(&(pc_statistic){20, 19, 0.95, 0, 0, 3}, 100),
                   0); /* it is slower */
  assert_int_equal(pc_replications_to_tell(&(pc_statistic){0, 0, 0.95, 0, 0, 1}, 100), 0);
}

static void one_value_has_no_interval(void **state) {
  (void)state;
  double value = 3.0;
  pc_statistic s = pc_statistic_of(&value, 1, 0.95);
  assert_true(s.mean == 3.0 && s.half_width == 0.0 && s.min == 3.0 && s.max == 3.0);
}

/* A lane with a zone at its end: the bound's parts by hand. 90 × 4.5 m, 10 kg/m², 1,350 kg a load: 30 m a
 * load, 3 loads (check of the parts, closed form). Mean way to the zone 45 m: D = 3 × 45 = 135 m. */
static void bound_by_hand(void **state) {
  (void)state;
  const pc_point zone[] = {{90, 2.25}};
  pc_scenario s = scene_rectangle(90, 4.5, zone, 1);
  s.station_m = 0.5;
  pc_lot *lot = must_lot(&s, NULL);
  pc_bound bound;
  assert_int_equal(pc_bound_make(lot, 0.0, &bound), PC_OK);
  assert_near(bound.loads, 3, 0);
  assert_near(bound.fixed_s, 30, 1e-9);
  assert_near(bound.sweep_m, 90, 1e-9);
  assert_near(bound.push_s, 90 / 2.2, 1e-9);
  assert_near(bound.loaded_m, 135,
              0.2); /* each place counts from the nearer end of its sixteenth of a metre */
  assert_true(bound.loaded_m <= 135 + 1e-9);
  assert_true(bound.time_s >= bound.plain_s);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static double uniform(pc_stream *stream, double low, double high) {
  return low + (high - low) * (double)(pc_stream_next(stream) >> 11) * 0x1p-53;
}

static void random_case(uint64_t number) {
  pc_stream stream;
  pc_stream_start(&stream, 7, number, 0, 0);
  bool small = number >= 150; /* so that many take little time */
  double length = uniform(&stream, 20, small ? 80 : 200), width = uniform(&stream, 6, small ? 50 : 120);
  pc_point zones[4];
  size_t count = 1 + (size_t)uniform(&stream, 0, 3.999);
  for (size_t z = 0; z < count; z++)
    zones[z] = (pc_point){uniform(&stream, 0, 1) < 0.5 ? 0 : length, uniform(&stream, 0, width)};
  pc_scenario s = scene_rectangle(length, width, zones, count);
  s.site.areas[0].heading_rad = number % 3 == 0 ? uniform(&stream, 0, 3) : 0.0;
  s.snow.depth_m = uniform(&stream, 0.03, 0.3);
  s.boxes[0].width_m = uniform(&stream, 2.5, 6);
  s.loaders[0].turn_s = uniform(&stream, 0, 10);
  s.loaders[0].reverse_speed_mps = uniform(&stream, 1, 5);
  if (number % 4 == 2)
    s.loaders[0].back_out_m = uniform(&stream, 0, 10);
  if (number % 7 == 3)
    s.loaders[0].carry_speed_mps = uniform(&stream, 2.2, 5);
  if (number % 2) {
    s.boxes[0].side_leak = 0.02;
    s.boxes[0].spill_from = 0.85;
    s.boxes[0].leave = 0.01;
    s.full_at = 0.95;
  }
  s.crew = pc_alloc(1, sizeof *s.crew);
  assert_non_null(s.crew);
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = s.boxes[0].name;
  s.crew[0].count = 1 + (int)(number % 3);
  const char *const policies[] = {"straight-runs", "keep-pushing", "keep-pushing", "building-out"};
  for (int p = 0; p < 4; p++) {
    pc_choice choice = {.policy = policies[p], .depth_m = NAN};
    pc_lot *lot = must_lot(&s, &choice);
    pc_plan plan;
    assert_int_equal(pc_plan_init(&plan, lot), PC_OK);
    if (p == 2) { /* any order of work */
      plan.weights.starts = (int)uniform(&stream, 0, 8.999);
      plan.weights.part = uniform(&stream, 0, 3);
      plan.weights.load_s = uniform(&stream, -30, 30);
      plan.rate_spkg = 0.05;
      for (size_t k = 0; k < plan.key_count; k++)
        plan.keys[k] = (int16_t)uniform(&stream, -600, 600);
      pc_lot_follow(lot, &plan);
    }
    pc_result result = run_once(lot, number % 5 == 0);
    pc_bound bound;
    assert_int_equal(pc_bound_make(lot, result.left_kg, &bound), PC_OK);
    assert_true(bound.time_s > 0.0);
    if (bound.time_s > result.total_time_s * (1.0 + 1e-9) || !result.finished)
      fail_msg("case %llu, %s: bound %.3f, time %.3f, %s", (unsigned long long)number, policies[p],
               bound.time_s, result.total_time_s, pc_reason_name(result.reason));
    pc_plan_free(&plan);
    pc_result_free(&result);
    pc_lot_free(lot);
  }
  pc_scenario_free(&s);
}

static void bound_is_below_every_run(void **state) {
  (void)state;
  for (uint64_t number = 0; number < 1000; number++)
    random_case(number);
}

/* The quality of keep-pushing on the reference lot, one machine, 1, 2, 3 and 5 zones: quicker than
 * straight-runs, and no farther from the bound than when this was written (docs/performance.md). */
static void keep_pushing_on_the_reference_lot(void **state) {
  (void)state;
  const size_t zones[] = {1, 2, 3, 5};
  const double reached[] = {0.885, 0.835, 0.795, 0.725};
  for (int i = 0; i < 4; i++) {
    pc_scenario s = scene_reference(zones[i], 1, "keep-pushing");
    pc_choice straight = {.policy = "straight-runs", .depth_m = NAN};
    pc_lot *lot = must_lot(&s, NULL), *other = must_lot(&s, &straight);
    pc_result keep = run_once(lot, false), plain = run_once(other, false);
    pc_bound bound;
    assert_int_equal(pc_bound_make(lot, keep.left_kg, &bound), PC_OK);
    assert_true(keep.total_time_s < plain.total_time_s);
    if (bound.time_s < reached[i] * keep.total_time_s)
      fail_msg("%zu zones: efficiency %.4f", zones[i], bound.time_s / keep.total_time_s);
    pc_result_free(&keep);
    pc_result_free(&plain);
    pc_lot_free(lot);
    pc_lot_free(other);
    pc_scenario_free(&s);
  }
}

static void same_summary_for_any_number_of_threads(void **state) {
  (void)state;
  pc_scenario s = scene_reference(3, 2, "keep-pushing");
  s.chance.fill = s.chance.carry = s.chance.dump = s.chance.turn = s.chance.back = 0.2;
  pc_lot *lot = must_lot(&s, NULL);
  pc_summary one, two, eight;
  assert_int_equal(pc_replicate(lot, 8, 42, 1, NULL, &one), PC_OK);
  assert_int_equal(pc_replicate(lot, 8, 42, 2, NULL, &two), PC_OK);
  assert_int_equal(pc_replicate(lot, 8, 42, 8, NULL, &eight), PC_OK);
  assert_memory_equal(one.times_s, two.times_s, 8 * sizeof(double));
  assert_memory_equal(one.times_s, eight.times_s, 8 * sizeof(double));
  assert_true(pc_result_hash(&one.mean) == pc_result_hash(&eight.mean));
  assert_true(one.total_time_s.half_width > 0.0 && one.total_time_s.min < one.total_time_s.max);
  pc_summary other;
  assert_int_equal(pc_replicate(lot, 8, 43, 1, NULL, &other), PC_OK);
  assert_memory_not_equal(one.times_s, other.times_s, 8 * sizeof(double));
  pc_summary_free(&one);
  pc_summary_free(&two);
  pc_summary_free(&eight);
  pc_summary_free(&other);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static void comparison_ranks_by_depth(void **state) {
  (void)state;
  pc_scenario s = scene_reference(2, 1, "straight-runs");
  pc_name policies[] = {pc_name_of("straight-runs"), pc_name_of("keep-pushing")};
  double depths[] = {0.05, 0.10};
  pc_wanted wanted = {.policies = {policies, 2}, .depths = {depths, 2}};
  pc_comparison c;
  pc_faults faults = {0};
  assert_int_equal(
      pc_compare(&s, &(pc_compare_how){.wanted = &wanted, .replications = 1, .seed = 1, .threads = 1}, &c,
                 &faults),
      PC_OK);
  assert_int_equal(c.row_count, 4);
  for (size_t i = 0; i < 4; i++) {
    assert_int_equal(c.rows[i].rank, (int)(i % 2) + 1);
    assert_near(c.rows[i].depth_m, depths[i / 2], 0);
    assert_string_equal(c.rows[i].policy.text, policies[1 - i % 2].text);
    assert_near(c.rows[i].difference_to_best_s.mean,
                c.rows[i].summary.total_time_s.mean - c.rows[i - i % 2].summary.total_time_s.mean, 1e-9);
    assert_true(c.rows[i].tied_with_best == (i % 2 == 0));
  }
  pc_comparison_free(&c);
  pc_name nobody[] = {pc_name_of("stop-and-go")};
  wanted.policies = (pc_names){nobody, 1};
  assert_int_equal(
      pc_compare(&s, &(pc_compare_how){.wanted = &wanted, .replications = 1, .seed = 1, .threads = 1}, &c,
                 &faults),
      PC_ERR_NAME);
  assert_true(faults.count > 0);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static void limits_name_what_limits(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 0}};
  pc_scenario s = scene_rectangle(50, 50, zone, 1);
  pc_limits_row row;
  pc_limits_make(&s, &row);
  assert_int_equal(row.unit.limited_by, PC_LIMIT_VOLUME);
  assert_near(row.full_load_kg, 1350, 1e-9);
  assert_near(row.fill_length_m, 30, 1e-9); /* 1,350 kg / (10 kg/m² × 4.5 m) */
  assert_near(row.fill_time_s, 30 / 2.2, 1e-6);
  s.loaders[0].power_w = 60e3;
  s.loaders[0].mass_kg = 6000;
  s.loaders[0].traction = 0.10; /* ice: handbook value, from memory */
  pc_limits_make(&s, &row);
  assert_int_equal(row.unit.limited_by, PC_LIMIT_TRACTION);
  s.loaders[0].traction = 0.9; /* dry concrete: handbook value, from memory */
  s.loaders[0].power_w = 10e3;
  pc_limits_make(&s, &row);
  assert_int_equal(row.unit.limited_by, PC_LIMIT_POWER);
  pc_scenario_free(&s);
}

/* What falls, as a lot has it in its runs: another way to the same depth and density. */
static void limits_take_what_falls(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 0}};
  pc_scenario s = scene_rectangle(50, 50, zone, 1);
  s.storm = pc_alloc(3, sizeof *s.storm);
  assert_non_null(s.storm);
  s.storm_count = 3;
  for (size_t i = 0; i < 3; i++)
    s.storm[i] = pc_storm_piece_default();
  s.storm[0] = (pc_storm_piece){.after_s = 600, .rate_mps = 0.02 / 3600, .temperature_c = -8, .wind_mps = 2};
  s.storm[1] = (pc_storm_piece){.after_s = 4200, .rate_mps = 0.01 / 3600, .temperature_c = -1, .wind_mps = 5};
  s.storm[2].after_s = 11400;
  s.snow.depth_m = 0;
  const pc_snow snow = pc_limits_snow(&s);
  assert_near(snow.depth_m, 0.04, 1e-12);
  pc_lot *lot = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  assert_near(snow.fresh_density_kgpm3, lot->lying_kgpm3, 1e-9);
  assert_near(snow.depth_m * snow.fresh_density_kgpm3, lot->fall_kgpm2, 1e-9);
  pc_limits_row row;
  pc_limits_make(&s, &row);
  assert_true(row.clearing_kgps > 0);
  assert_near(row.fill_length_m, 1350 / (lot->fall_kgpm2 * 4.5), 1e-6);
  s.snow.depth_m = 0.1;
  assert_near(pc_limits_snow(&s).depth_m, 0.1, 0);
  assert_near(pc_limits_snow(&s).fresh_density_kgpm3, s.snow.fresh_density_kgpm3, 0);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Every choice of prices: the cost is the sum of what each alone makes it, by plain arithmetic, and NaN
 * without any. Fuel figures and a zone too small for all of the snow, so that each has something to count. */
static void what_has_a_price_is_counted(void **state) {
  (void)state;
  const pc_point at[1] = {{0, 10}};
  pc_scenario s = scene_rectangle(60, 20, at, 1);
  s.crew = pc_alloc(1, sizeof *s.crew);
  assert_non_null(s.crew);
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = s.boxes[0].name;
  s.crew[0].count = 2;
  s.zones[0].volume_m3 = 10;
  s.loaders[0].power_w = 125e3;
  s.loaders[0].mass_kg = 14e3;
  s.loaders[0].traction = 0.5;
  s.loaders[0].fuel_per_kwh_l = 0.25;
  s.loaders[0].fuel_idle_lph = 4;
  for (unsigned given = 0; given < 16; given++) {
    s.money.machine_per_s = given & 1u ? 0.03 : (double)NAN;
    s.money.operator_per_s = given & 2u ? 0.01 : (double)NAN;
    s.money.fuel_per_m3 = given & 4u ? 1600 : (double)NAN;
    s.money.haul_off_per_m3 = given & 8u ? 12 : (double)NAN;
    pc_lot *lot = must_lot(&s, NULL);
    pc_summary made;
    assert_int_equal(pc_replicate(lot, 1, 1, 1, NULL, &made), PC_OK);
    double time_s = made.total_time_s.mean, hauled_kg = made.mean.haul_off_kg;
    assert_true(time_s > 60 && made.fuel_l > 0.1 && hauled_kg > 100);
    double sum = (given & 1u ? 2 * 0.03 * time_s : 0) + (given & 2u ? 2 * 0.01 * time_s : 0) +
                 (given & 4u ? 1.6 * made.fuel_l : 0) +
                 (given & 8u ? 12 * hauled_kg / s.snow.pile_density_kgpm3 : 0);
    if (given == 0)
      assert_true(isnan(made.cost));
    else
      assert_near(made.cost, sum, 1e-9 * sum);
    assert_int_equal(pc_money_missing(&s.money)[0] == '\0', given == 0 || (given & 3u) == 3u);
    pc_summary_free(&made);
    pc_lot_free(lot);
  }
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(paired_interval),
      cmocka_unit_test(interval_from_moments),
      cmocka_unit_test(replications_for_a_width),
      cmocka_unit_test(two_values_have_an_interval),
      cmocka_unit_test(a_tie_is_tight),
      cmocka_unit_test(one_value_has_no_interval),
      cmocka_unit_test(bound_by_hand),
      cmocka_unit_test(bound_is_below_every_run),
      cmocka_unit_test(keep_pushing_on_the_reference_lot),
      cmocka_unit_test(same_summary_for_any_number_of_threads),
      cmocka_unit_test(comparison_ranks_by_depth),
      cmocka_unit_test(limits_name_what_limits),
      cmocka_unit_test(limits_take_what_falls),
      cmocka_unit_test(what_has_a_price_is_counted),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
