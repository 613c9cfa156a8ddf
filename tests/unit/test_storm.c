// SPDX-License-Identifier: GPL-3.0-or-later
/* Falling snow: what falls by hand and by published densities, mass, when work begins and begins anew, storms
 * longer than the work, and a week of January 2012. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "io/storm_csv.h"
#include "night_run.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"

static const double cm_per_h = 0.01 / 3600.0;

static double first_work_s(const night_run *run) {
  double first = INFINITY;
  for (size_t i = 0; i < run->row_count; i++)
    if (run->rows[i].phase != PC_PHASE_IDLE)
      first = fmin(first, run->rows[i].start_s);
  return first;
}

/* ---- what falls ---- */

/* Densities of fresh snow, kg/m³, at 0, −5 and −10 °C: 67.92 + 51.25·exp(T/2.59), Hedstrom & Pomeroy 1998
 * (Hydrol. Process. 12:1611); 50 + 1.7·(T + 15)^1.5, Anderson 1976 (NOAA Tech. Rep. NWS 19). At +2 °C:
 * Pomeroy & Gray 1995 (NHRI Science Report 7) and Anderson with T + 15 capped. At (−5 °C, 4 m/s): Pahaut
 * 1976. At −5 °C: Diamond & Lowry 1953. */
static void falls_as_published(void **state) {
  (void)state;
  static const struct {
    int formula;
    double temperature_c, wind_mps, density;
  } rows[] = {
      {PC_DENSITY_HEDSTROM_POMEROY, 0, 0, 119.170},
      {PC_DENSITY_HEDSTROM_POMEROY, -5, 0, 75.355},
      {PC_DENSITY_HEDSTROM_POMEROY, -10, 0, 68.999},
      {PC_DENSITY_HEDSTROM_POMEROY, 2, 0, 159.17},
      {PC_DENSITY_ANDERSON, 0, 0, 148.761},
      {PC_DENSITY_ANDERSON, -5, 0, 103.759},
      {PC_DENSITY_ANDERSON, -10, 0, 69.007},
      {PC_DENSITY_ANDERSON, 2, 0, 169.158},
      {PC_DENSITY_PAHAUT, -5, 4, 131},
      {PC_DENSITY_PAHAUT, 0, 4, 161},
      {PC_DENSITY_DIAMOND_LOWRY, -5, 0, 86.6},
      {PC_DENSITY_DIAMOND_LOWRY, 0, 0, 119},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    pc_scenario s = night_strips(1, 60.0, 30.0);
    s.snow.depth_m = 0.0;
    s.snow.density_formula = rows[i].formula;
    s.snow.done_below_m = 0.01;
    night_add_storm(&s, 0.0,
                    2.0 * cm_per_h); /* 3 h at its own temperature, then 1 h at the snow's 100 kg/m³ */
    night_add_storm(&s, 3.0 * 3600.0, 1.0 * cm_per_h);
    night_add_storm(&s, 4.0 * 3600.0, 0.0);
    s.storm[0].temperature_c = rows[i].temperature_c;
    s.storm[0].wind_mps = rows[i].wind_mps;
    night_run run = {0};
    night_simulate(&run, &s);
    assert_near("fallen", run.result.fallen_kg, 60.0 * 4.5 * (0.06 * rows[i].density + 0.01 * 100.0), 1e-5);
    assert_near("mass", run.result.placed_kg + run.result.left_kg, run.result.fallen_kg, 1e-9);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Storms of random pieces on random crews: start + fallen = placed + left, and what falls is Σ rate × density
 * × time × area, summed here. Every invariant after every event. */
static void mass_in_random_storms(void **state) {
  (void)state;
  size_t pieces = 0;
  for (uint64_t seed = 0; seed < 60; seed++) {
    pc_stream stream;
    pc_stream_start(&stream, seed, 3, 0, 0);
    double length = random_between(&stream, 30.0, 80.0), width = random_between(&stream, 10.0, 40.0);
    pc_scenario s = scene_rectangle(length, width, NULL, 0);
    night_add_zone(&s, length, 0.5 * width);
    static const char *const policies[] = {"straight-runs", "keep-pushing", "building-out"};
    s.policy = pc_name_of(policies[seed % 3]);
    s.snow.depth_m = seed % 4 ? random_between(&stream, 0.0, 0.2) : 0.0;
    s.snow.trigger_m = seed % 2 ? random_between(&stream, 0.0, 0.1) : 0.0;
    s.boxes[0].side_leak = 0.02, s.boxes[0].spill_from = 0.85, s.boxes[0].leave = 0.01, s.full_at = 0.95;
    for (uint64_t m = 0; m < 1 + seed % 3; m++)
      night_add_crew(&s, "loader", "box", (pc_point){0.0, 0.0});
    if (seed % 5 == 1) { /* two widths of lanes */
      night_add_box(&s, "narrow")->width_m = 3.0;
      s.crew[0].box = pc_name_of("narrow");
    }
    if (seed % 5 == 2 && s.crew_count > 1) {
      pc_box *blade = night_add_box(&s, "blade");
      blade->blade = PC_BLADE_LEFT;
      s.crew[0].box = pc_name_of("blade");
    }
    size_t count = 1 + (size_t)(pc_stream_next(&stream) % 8);
    double time = random_between(&stream, 0.0, 1000.0), sum = 0.0;
    for (size_t i = 0; i < count; i++) {
      double rate = i % 3 == 2 ? 0.0 : random_between(&stream, 0.0, 5.0) * cm_per_h;
      double lasts = random_between(&stream, 10.0, 4000.0);
      night_add_storm(&s, time, rate);
      if (i % 2)
        s.storm[i].temperature_c = random_between(&stream, -15.0, 0.0);
      double density = i % 2 ? 67.92 + 51.25 * exp(s.storm[i].temperature_c / 2.59) : 100.0;
      sum += rate * lasts * density;
      time += lasts;
    }
    night_add_storm(&s, time, 0.0);
    pieces += count;
    night_run run = {0};
    night_make(&run, &s, NULL);
    night_go(&run, seed, 0);
    assert_near("start", run.result.start_kg, length * width * s.snow.depth_m * 100.0, 1e-9);
    assert_near("fallen", run.result.fallen_kg, length * width * sum, 1e-9);
    assert_near("mass", run.result.placed_kg + run.result.left_kg, run.result.start_kg + run.result.fallen_kg,
                1e-9);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
  print_message("%zu pieces of storms\n", pieces);
}

/* ---- when work begins ---- */

/* At 2 cm/h on 1 cm that lies there, 4 cm lie after 90 min. */
static void waits_for_the_trigger(void **state) {
  (void)state;
  static const struct {
    double trigger_cm, begins_min; /* the storm is over after three hours: then work begins in any case */
  } rows[] = {{0.5, 0}, {2.0, 30}, {4.0, 90}, {5.0, 120}, {6.9, 177}, {50.0, 180}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    pc_scenario s = night_strips(1, 60.0, 30.0);
    s.snow.depth_m = 0.01;
    s.snow.done_below_m = 0.005;
    s.snow.trigger_m = 0.01 * rows[i].trigger_cm;
    night_add_storm(&s, 0.0, 2.0 * cm_per_h);
    night_add_storm(&s, 3.0 * 3600.0, 0.0);
    night_add_crew(&s, "loader", "box", s.zones[0].at);
    night_run run = {0};
    night_simulate(&run, &s);
    /* snow comes in steps of two minutes */
    double begins = 120.0 * ceil(rows[i].begins_min / 2.0), found = first_work_s(&run);
    if (!(fabs(found - begins) <= 1e-6))
      fail_msg("trigger %g cm: begins at %g s, by hand at %g", rows[i].trigger_cm, found, begins);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The lot is clear long before the storm; it is cleared again when 3 cm lie there, 90 min after the storm has
 * begun, and once more at its end for what has come since. */
static void snow_after_the_work(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, 60.0, 30.0);
  s.snow.done_below_m = 0.005;
  s.snow.trigger_m = 0.03;
  night_add_storm(&s, 2.0 * 3600.0, 2.0 * cm_per_h);
  night_add_storm(&s, 4.0 * 3600.0, 0.0);
  night_add_crew(&s, "loader", "box", s.zones[0].at);
  night_run run = {0};
  night_simulate(&run, &s);
  double work = night_strip_s(&s, 60.0, 30.0), again = INFINITY, once_more = INFINITY;
  for (size_t i = 0; i < run.row_count; i++) {
    const pc_trace_row *row = &run.rows[i];
    if (row->phase != PC_PHASE_FILL && row->phase != PC_PHASE_CLEAN_UP)
      continue;
    if (row->start_s > work)
      again = fmin(again, row->start_s);
    if (row->start_s > 4.0 * 3600.0)
      once_more = fmin(once_more, row->start_s);
    assert_true(row->start_s < work || row->start_s >= 3.5 * 3600.0);
  }
  assert_true(again >= 3.5 * 3600.0 && again < 3.5 * 3600.0 + 240.0);
  assert_true(once_more >= 4.0 * 3600.0 && once_more < 4.0 * 3600.0 + 60.0);
  assert_near("fallen", run.result.fallen_kg, 0.04 * 100.0 * 60.0 * 4.5, 1e-12);
  assert_near("all", run.result.placed_kg, run.result.start_kg + run.result.fallen_kg, 0.02);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_true(run.result.areas[0].done_s > 4.0 * 3600.0);
  night_free(&run);
  pc_scenario_free(&s);
}

/* 3 cm/h for three hours, trigger 6 cm: swept from 2 h on, and 3 cm lie again at the middle of the storm. A
 * gram pushed onto a slot then makes nobody clean it; as much as a clean-up is for does, as where no snow
 * falls; and without any of that it is dirty once 6 cm lie there. */
static void what_is_pushed_onto_swept_ground(void **state) {
  (void)state;
  pc_scenario s = night_strips(1, 60.0, 30.0);
  s.snow.depth_m = 0.0;
  s.snow.trigger_m = 0.06;
  night_add_storm(&s, 0.0, 3.0 * cm_per_h);
  night_add_storm(&s, 6.0 * 3600.0, 0.0);
  night_add_crew(&s, "loader", "box", s.zones[0].at);
  night_run run = {0};
  night_make(&run, &s, NULL);
  assert_int_equal(pc_world_run_until(run.world, 1, 0, 3.0 * 3600.0, NULL, &run.result), PC_OK);
  pc_world *world = run.world;
  const pc_lane_state *lanes = &world->lanes[0];
  const pc_lane_set *set = &run.lot->lane_sets[0];
  size_t cell = pc_patch_cell(&run.lot->ground->patches[0], 7, set->lanes[0].strip0);
  assert_int_equal(lanes->total_dirty, 0);
  assert_true(lanes->slot_kg[7] > 2.0 * set->thin_kg[0]);
  world->cell_kg[cell] += 0.001;
  pc_refresh_slot(world, 0, 0, 7);
  assert_int_equal(lanes->total_dirty, 0);
  world->cell_kg[cell] += 0.9 * set->thin_kg[0]; /* with the film that the box left just above it */
  pc_refresh_slot(world, 0, 0, 7);
  double film = lanes->slot_kg[7] - 0.001 - 0.9 * set->thin_kg[0];
  film -= (world->fallen_kgpm2 - world->cell_bare_kgpm2[cell]) * set->slot_cells_m2[7];
  assert_int_equal(lanes->dirty[7], film + 0.001 + 0.9 * set->thin_kg[0] > set->thin_kg[0]);
  world->cell_kg[cell] += 0.2 * set->thin_kg[0];
  pc_refresh_slot(world, 0, 0, 7);
  assert_int_equal(lanes->dirty[7], 1);
  assert_int_equal(lanes->total_dirty, 1);
  size_t other = pc_patch_cell(&run.lot->ground->patches[0], 9, set->lanes[0].strip0);
  double more = pc_trigger_kgpm2(world) * set->slot_m2[9] - lanes->slot_kg[9];
  assert_true(more > 0.0);
  world->cell_bare_kgpm2[other] = 0.0; /* as if all of it had fallen there */
  world->cell_kg[other] += more * 1.001;
  pc_refresh_slot(world, 0, 0, 9);
  assert_int_equal(lanes->dirty[9], 1);
  night_free(&run);
  pc_scenario_free(&s);
}

/* Side by side lanes: a box that leaks next to nothing pushes as far in a storm as one that leaks nothing. */
static void a_gram_is_no_windrow(void **state) {
  (void)state;
  double pushed_m[2] = {0.0, 0.0};
  for (size_t k = 0; k < 2; k++) {
    pc_scenario s = night_strips(1, 60.0, 30.0);
    s.site.areas[0].outline.points[2].y_m += 9 * 4.5; /* ten lanes */
    s.site.areas[0].outline.points[3].y_m += 9 * 4.5;
    s.snow.depth_m = 0.0;
    s.snow.trigger_m = 0.06;
    s.boxes[0].side_leak = k == 0 ? 0.0 : 1e-6;
    night_add_storm(&s, 0.0, 3.0 * cm_per_h);
    night_add_storm(&s, 6.0 * 3600.0, 0.0);
    night_add_crew(&s, "loader", "box", s.zones[0].at);
    night_run run = {0};
    night_simulate(&run, &s);
    for (size_t i = 0; i < run.row_count; i++)
      if (run.rows[i].phase == PC_PHASE_FILL || run.rows[i].phase == PC_PHASE_CLEAN_UP)
        pushed_m[k] += run.rows[i].distance_m;
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
  if (!(pushed_m[0] > 1000.0 && fabs(pushed_m[1] - pushed_m[0]) < 0.05 * pushed_m[0]))
    fail_msg("%g m without a leak, %g m with one of a millionth", pushed_m[0], pushed_m[1]);
}

/* Common practice, no source: nobody is sent out for two metres of snow. Swept slot by slot, an area is as
 * deep as the trigger again slot by slot; the machine comes for a full load, or, where the area never has
 * one, for half of it. So from one rest to the next while snow falls it brings in no less, but for a film. */
static void comes_for_a_full_load(void **state) {
  (void)state;
  for (size_t k = 0; k < 2; k++) {
    pc_scenario s = night_strips(1, k == 0 ? 60.0 : 6.0, 30.0);
    s.site.areas[0].outline.points[2].y_m += 9 * 4.5; /* ten lanes */
    s.site.areas[0].outline.points[3].y_m += 9 * 4.5;
    s.snow.depth_m = 0.03;
    s.snow.trigger_m = 0.04, s.snow.done_below_m = 0.01;
    s.boxes[0].side_leak = 0.02, s.boxes[0].spill_from = 0.85, s.full_at = 0.95;
    night_add_storm(&s, 0.0, 2.0 * cm_per_h);
    night_add_storm(&s, 12.0 * 3600.0, 0.0);
    night_add_crew(&s, "loader", "box", s.zones[0].at);
    night_run run = {0};
    night_simulate(&run, &s);
    double area_m2 = (k == 0 ? 60.0 : 6.0) * 45.0,
           least = fmin(run.lot->lane_sets[0].load_kg, 0.5 * 0.04 * 100.0 * area_m2);
    double brought_kg = 0.0;
    size_t rounds = 0;
    for (size_t i = 0; i < run.row_count && run.rows[i].end_s < 12.0 * 3600.0; i++) {
      if (run.rows[i].phase == PC_PHASE_DUMP)
        brought_kg += run.rows[i].load_kg;
      if (run.rows[i].phase != PC_PHASE_IDLE)
        continue;
      if (brought_kg > 0.0 && brought_kg < 0.98 * least)
        fail_msg("%g kg in the round that ends after %g h, of %g kg", brought_kg,
                 run.rows[i].start_s / 3600.0, least);
      if (brought_kg > 0)
        print_message("%g h: %g kg\n", run.rows[i].start_s / 3600, brought_kg);
      rounds += brought_kg > 0.0;
      brought_kg = 0.0;
    }
    assert_true(rounds >= 3);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The order of areas holds in a storm that begins on bare ground: none is done before it was ever white. */
static void order_in_a_storm(void **state) {
  (void)state;
  static const double triggers[] = {0.0, 0.02, 0.04};
  for (size_t i = 0; i < 3; i++) {
    pc_scenario s = night_strips(2, 60.0, 30.0);
    night_add_name(&s.site.areas[0].after, "b");
    s.snow.depth_m = 0.0;
    s.snow.trigger_m = triggers[i];
    s.snow.done_below_m = 0.01;
    night_add_storm(&s, 0.0, 2.0 * cm_per_h);
    night_add_storm(&s, 4.0 * 3600.0, 0.0);
    for (size_t m = 0; m < 2; m++)
      night_add_crew(&s, "loader", "box", s.zones[m].at);
    night_run run = {0};
    night_simulate(&run, &s);
    double first_a = INFINITY, first_b_end = NAN;
    for (size_t r = 0; r < run.row_count; r++) {
      if (run.rows[r].phase != PC_PHASE_FILL)
        continue;
      if (night_area(&run, &run.rows[r]) == 0)
        first_a = fmin(first_a, run.rows[r].start_s);
      else if (isnan(first_b_end))
        first_b_end = run.rows[r].end_s;
    }
    assert_true(first_a >= first_b_end);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* ---- long storms ---- */

enum { HOURS = 10 };

typedef struct depths {
  double sum[HOURS + 1];
  int count[HOURS + 1];
} depths;

static void keep_depth(night_run *run, double time_s, size_t area, double depth_m) {
  (void)area;
  depths *d = run->context;
  size_t hour = (size_t)(time_s / 3600.0);
  if (hour <= HOURS) {
    d->sum[hour] += depth_m;
    d->count[hour]++;
  }
}

/* Ten hours of snow on one lane of 20 m, 300 m from its pile, at `share` of what one machine can clear at
 * best. A load of c = 337.5 kg takes T(f) seconds on average over the lane, f metres being its fill: two
 * turns, lower and dump, out to the middle of the lane and back, f at push speed on the way. Deep snow: f →
 * 0. */
static const double lane_m = 20.0, away_m = 300.0, box_kg = 337.5;

static double cycle_s(double fill_m) {
  double out = away_m + 0.5 * (lane_m - fill_m);
  return 6.0 + out / 4.5 + 2.0 + fill_m / 2.2 + 6.0 + (out + fill_m) / 3.3 + 8.0;
}

static depths long_storm(double share, double *rate_kgps) {
  pc_scenario s = night_strips(1, lane_m, 30.0);
  night_add_ground(&s, lane_m, 0.0, lane_m + away_m, 4.5);
  s.zones[0].at.x_m = lane_m + away_m;
  s.boxes[0].height_m = 0.3; /* 4.5 × 0.3 × 1.0 m³ × 250 kg/m³ */
  *rate_kgps = share * box_kg / cycle_s(0.0);
  s.snow.depth_m = 0.0;
  s.snow.done_below_m = 0.01;
  night_add_storm(&s, 0.0, *rate_kgps / (lane_m * 4.5 * 100.0));
  night_add_storm(&s, HOURS * 3600.0, 0.0);
  night_add_crew(&s, "loader", "box", s.zones[0].at);
  depths found = {0};
  night_run run = {.depth = keep_depth, .context = &found};
  night_simulate(&run, &s);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_near("fallen", run.result.fallen_kg, *rate_kgps * HOURS * 3600.0, 1e-9);
  night_free(&run);
  pc_scenario_free(&s);
  return found;
}

static void below_and_above_what_one_machine_clears(void **state) {
  (void)state;
  double rate;
  depths d = long_storm(0.7, &rate);
  double fifth = d.sum[4] / d.count[4], last = d.sum[9] / d.count[9];
  print_message("at 0.7 of what can be cleared: %.3f m lie in the 5th hour, %.3f m in the 10th\n", fifth,
                last);
  assert_near("steady", last, fifth, 0.1);
  d = long_storm(1.3, &rate);
  fifth = d.sum[4] / d.count[4], last = d.sum[9] / d.count[9];
  double fill = box_kg / (0.5 * (fifth + last) * 100.0 * 4.5);
  double growth = (rate - box_kg / cycle_s(fill)) * 5.0 * 3600.0 / (lane_m * 4.5 * 100.0);
  print_message("at 1.3: %.3f m in the 5th hour, %.3f m in the 10th: grows by %.3f m, by hand %.3f m\n",
                fifth, last, last - fifth, growth);
  assert_near("growth", last - fifth, growth, 0.15);
}

/* ---- a week of 2012 ---- */

/* Daily weather of Seattle, 14 to 20 January 2012: 68.5 mm of water in all (records of NOAA; see
 * tests/data/README.md). */
static void january_2012(void **state) {
  (void)state;
  pc_scenario s = scene_rectangle(60.0, 30.0, NULL, 0);
  night_add_zone(&s, 60.0, 15.0);
  s.snow.depth_m = 0.0;
  s.snow.fresh_density_kgpm3 = NAN;
  s.snow.trigger_m = 0.03;
  pc_storm_csv storm;
  pc_faults faults = {0};
  char path[512];
  const char *source = getenv("PC_SOURCE_DIR");
  snprintf(path, sizeof path, "%s/tests/data/storm-2012.csv", source ? source : ".");
  assert_int_equal(pc_storm_csv_read(path, &s.snow, &storm, &faults), PC_OK);
  assert_near("water", storm.snow_water_m + storm.rain_water_m, 0.0685, 1e-9);
  pc_faults_free(&faults);
  s.storm = storm.pieces;
  s.storm_count = storm.count;
  night_run run = {0};
  night_simulate(&run, &s);
  print_message(
      "%.1f mm of snow water, %.1f mm of rain; %.0f kg of snow fallen, %d loads, ended after %.1f h (%s)\n",
      1000 * storm.snow_water_m, 1000 * storm.rain_water_m, run.result.fallen_kg, run.result.cycles,
      run.result.total_time_s / 3600, pc_reason_name(run.result.reason));
  assert_near("fallen", run.result.fallen_kg, storm.snow_water_m * 1000.0 * 60.0 * 30.0, 1e-9);
  assert_near("mass", run.result.placed_kg + run.result.left_kg, run.result.fallen_kg, 1e-9);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_true(run.result.cycles > 10);
  night_free(&run);
  pc_scenario_free(&s);
}

/* Bare ground in a storm is not done with: what has to wait for it waits until it has been cleared, though
 * the crew stands where it waits. */
static void bare_ground_is_not_done(void **state) {
  (void)state;
  pc_scenario s = night_strips(2, 60.0, 30.0);
  s.snow.depth_m = 0.0;
  s.snow.done_below_m = 0.005;
  s.snow.trigger_m = 0.02;
  night_add_name(&s.site.areas[1].after, "a");
  night_add_storm(&s, 0.0, 2.0 * cm_per_h);
  night_add_storm(&s, 2.0 * 3600.0, 0.0);
  night_add_crew(&s, "loader", "box", s.zones[1].at);
  night_run run = {0};
  night_simulate(&run, &s);
  double first_s[2] = {INFINITY, INFINITY}, filled_s = INFINITY;
  for (size_t i = 0; i < run.row_count; i++) {
    int area = night_area(&run, &run.rows[i]);
    if (run.rows[i].phase != PC_PHASE_FILL || area < 0)
      continue;
    first_s[area] = fmin(first_s[area], run.rows[i].start_s);
    filled_s = area == 0 ? fmin(filled_s, run.rows[i].end_s) : filled_s;
  }
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_true(first_s[0] >= 3600.0);                            /* 2 cm lie there */
  assert_true(first_s[1] >= filled_s && first_s[1] < INFINITY); /* one load takes all of it */
  night_free(&run);
  pc_scenario_free(&s);
}

/* An area where no box has room has no work, so nothing waits for it; whichever of the two it is in the list.
 */
static void nothing_waits_for_ground_out_of_reach(void **state) {
  (void)state;
  for (size_t small = 0; small < 2; small++) {
    pc_scenario s = scene_rectangle(60.0, 30.0, NULL, 0);
    s.snow.depth_m = 0.0;
    s.snow.done_below_m = 0.005;
    s.snow.trigger_m = 0.02;
    night_add_zone(&s, 60.0, 15.0);
    night_add_area(&s, "nook", 0.0, 30.0, 1.5, 31.5);
    if (small == 0) {
      pc_area yard = s.site.areas[0];
      s.site.areas[0] = s.site.areas[1];
      s.site.areas[1] = yard;
    }
    night_add_name(&s.site.areas[1 - small].after, "nook");
    night_add_storm(&s, 0.0, 2.0 * cm_per_h);
    night_add_storm(&s, 3.0 * 3600.0, 0.0);
    night_add_crew(&s, "loader", "box", s.zones[0].at);
    night_run run = {0};
    night_simulate(&run, &s);
    assert_near("begins", first_work_s(&run), 3600.0, 1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(falls_as_published),
      cmocka_unit_test(mass_in_random_storms),
      cmocka_unit_test(waits_for_the_trigger),
      cmocka_unit_test(snow_after_the_work),
      cmocka_unit_test(order_in_a_storm),
      cmocka_unit_test(below_and_above_what_one_machine_clears),
      cmocka_unit_test(january_2012),
      cmocka_unit_test(what_is_pushed_onto_swept_ground),
      cmocka_unit_test(a_gram_is_no_windrow),
      cmocka_unit_test(comes_for_a_full_load),
      cmocka_unit_test(bare_ground_is_not_done),
      cmocka_unit_test(nothing_waits_for_ground_out_of_reach),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
