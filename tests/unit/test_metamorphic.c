// SPDX-License-Identifier: GPL-3.0-or-later
/* What must not change a result, or must change it in a known way. No outside values are needed: the checks
 * follow from geometry and from the units alone. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/units.h"
#include "scene.h"
#include "simulate.h"
#include "study/replicate.h"

static const char *const policies[] = {"straight-runs", "keep-pushing"};

/* A lot without symmetry, so that no two choices are equally good: 85 × 61 m (43 stations: no border in the
 * middle), two zones, spill on or off. */
static pc_scenario plain_scene(const char *policy, int machines, bool spill) {
  static const pc_point zones[] = {{0, 17}, {85, 41}};
  pc_scenario s = scene_rectangle(85, 61, zones, 2);
  s.policy = pc_name_of(policy);
  s.snow.depth_m = 0.117;
  s.crew = calloc(1, sizeof *s.crew);
  assert_non_null(s.crew);
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = s.boxes[0].name;
  s.crew[0].count = machines;
  s.crew[0].has_start = true;
  s.crew[0].start = (pc_point){3, 2};
  if (spill) {
    s.boxes[0].side_leak = 0.03;
    s.boxes[0].spill_from = 0.8;
    s.boxes[0].leave = 0.01;
    s.full_at = 0.93;
  }
  return s;
}

/* Every place of the scenario: x → cos·x − sin·y + dx, y → flip·(…) */
static void move(pc_scenario *s, double angle, double flip, pc_point by) {
  double c = cos(angle), w = sin(angle);
  pc_point *places[64];
  size_t count = 0;
  for (size_t i = 0; i < s->site.areas[0].outline.count; i++)
    places[count++] = &s->site.areas[0].outline.points[i];
  for (size_t z = 0; z < s->zone_count; z++)
    places[count++] = &s->zones[z].at;
  places[count++] = &s->crew[0].start;
  for (size_t i = 0; i < count; i++) {
    double x = places[i]->x_m, y = flip * places[i]->y_m;
    *places[i] = (pc_point){c * x - w * y + by.x_m, w * x + c * y + by.y_m};
  }
  s->site.areas[0].heading_rad = flip * s->site.areas[0].heading_rad + angle;
}

static double time_of(const pc_scenario *s) {
  pc_result result = simulate(s, NULL);
  assert_int_equal(result.reason, PC_REASON_DONE);
  double time = result.total_time_s;
  pc_result_free(&result);
  return time;
}

/* 83 m: 42 stations. */
static void shorten(pc_scenario *s) {
  s->zones[1].at.x_m = 83.0;
  for (size_t i = 0; i < s->site.areas[0].outline.count; i++)
    if (s->site.areas[0].outline.points[i].x_m > 0.0)
      s->site.areas[0].outline.points[i].x_m = 83.0;
}

/* With an even number of stations a machine may stop just as far from either end of the next lane; for
 * straight-runs that tie must not hang on the rounding of rotated coordinates. (keep-pushing compares sums of
 * many terms: equally good bites may there swap places by rounding, so it is held to lots without ties.) */
static void rotated_and_shifted(void **state) {
  (void)state;
  static const double angles[] = {0.0, 0.3, 1.5707963267948966, 2.0, -2.9};
  for (int variant = 0; variant < 16; variant++) {
    int even = variant >> 3 & 1, p = even ? 0 : variant & 1, machines = variant & 2 ? 3 : 1,
        spill = variant >> 2 & 1;
    double expected = 0.0;
    for (size_t a = 0; a <= sizeof angles / sizeof *angles; a++) {
      pc_scenario s = plain_scene(policies[p], machines, spill);
      if (even)
        shorten(&s);
      if (a == 0) {
        expected = time_of(&s);
      } else {
        move(&s, angles[a - 1], 1.0, (pc_point){-431.7, 1208.3});
        char what[80];
        snprintf(what, sizeof what, "%s, %d machines, spill %d, turned by %g", policies[p], machines, spill,
                 angles[a - 1]);
        assert_near(what, time_of(&s), expected, p == 0 ? 1e-9 : 1e-6);
      }
      pc_scenario_free(&s);
    }
  }
}

/* x → −x with the heading as it was: the lanes keep their order (which straight-runs goes by) and every way,
 * turn and bite becomes its mirror image. Machines start facing along the heading, which is not mirrored:
 * from a corner the first turn is a right angle all the same in straight-runs; for keep-pushing, which may
 * start anywhere, turns take no time. */
static void mirrored(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++)
    for (int spill = 0; spill < 2; spill++) {
      pc_scenario s = plain_scene(policies[p], 1, spill);
      s.crew[0].start = (pc_point){0, 0};
      if (p == 1)
        s.loaders[0].turn_s = 0.0;
      double expected = time_of(&s);
      move(&s, 3.14159265358979323846, -1.0, (pc_point){0, 0});
      s.site.areas[0].heading_rad = 0.0;
      assert_near(policies[p], time_of(&s), expected, p == 0 ? 1e-9 : 1e-6);
      pc_scenario_free(&s);
    }
}

/* The same lot written in feet and read back: 1 ft = 0.3048 m exactly (international foot, 1959). */
static void feet_or_metres(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++) {
    pc_scenario s = plain_scene(policies[p], 2, true);
    double expected = time_of(&s);
    double *lengths[] = {&s.boxes[0].width_m, &s.boxes[0].height_m, &s.boxes[0].heap_factor_m,
                         &s.snow.depth_m,     &s.snow.done_below_m, &s.station_m};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
      char text[40];
      snprintf(text, sizeof text, "%.17g ft", *lengths[i] / 0.3048);
      pc_error error = {0};
      assert_int_equal(pc_units_parse(text, PC_DIM_LENGTH, lengths[i], &error), PC_OK);
    }
    for (size_t i = 0; i < s.site.areas[0].outline.count; i++) {
      pc_point *at = &s.site.areas[0].outline.points[i];
      *at = (pc_point){at->x_m / 0.3048 * 0.3048, at->y_m / 0.3048 * 0.3048};
    }
    assert_near(policies[p], time_of(&s), expected, p == 0 ? 1e-9 : 1e-6);
    pc_scenario_free(&s);
  }
}

static void twice_as_fast(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++)
    for (int machines = 1; machines <= 4; machines++) {
      pc_scenario s = plain_scene(policies[p], machines, true);
      pc_loader *l = &s.loaders[0];
      l->raise_s = 1.5;
      l->shift_s = 1.25;
      l->back_out_m = 5.0;
      double expected = 0.5 * time_of(&s);
      double *speeds[] = {&l->push_speed_mps, &l->carry_speed_mps, &l->return_speed_mps};
      double *times[] = {&l->lower_s, &l->raise_s, &l->dump_s, &l->shift_s, &l->turn_s};
      for (size_t i = 0; i < sizeof speeds / sizeof *speeds; i++)
        *speeds[i] *= 2.0;
      for (size_t i = 0; i < sizeof times / sizeof *times; i++)
        *times[i] *= 0.5;
      assert_near(policies[p], time_of(&s), expected, 1e-12); /* powers of two: no rounding at all */
      pc_scenario_free(&s);
    }
}

/* Deeper snow is never quicker to clear, but for what a policy gains or loses by luck in its choices: a box
 * that happens to be full just at a zone saves a trip. One machine, steps of a quarter of the depth. */
static void deeper_is_never_quicker(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++) {
    double before = 0.0;
    for (double depth = 0.04; depth < 0.5; depth *= 1.25) {
      pc_scenario s = plain_scene(policies[p], 1, false);
      s.snow.depth_m = depth;
      double time = time_of(&s);
      if (!(time >= before))
        fail_msg("%s: %g m takes %g s, a fifth less snow %g s", policies[p], depth, time, before);
      before = time;
      pc_scenario_free(&s);
    }
  }
}

static void two_kinds(pc_scenario *s, bool swapped) {
  pc_loader *loaders = calloc(2, sizeof *loaders);
  pc_crew_entry *crew = calloc(2, sizeof *crew);
  assert_true(loaders && crew);
  loaders[0] = loaders[1] = s->loaders[0];
  loaders[1].name = pc_name_of("quick");
  loaders[1].push_speed_mps *= 1.07;
  loaders[1].return_speed_mps *= 1.13;
  crew[0] = crew[1] = s->crew[0];
  crew[!swapped].loader = loaders[1].name;
  free(s->loaders);
  free(s->crew);
  s->loaders = loaders;
  s->loader_count = 2;
  s->crew = crew;
  s->crew_count = 2;
  crew[swapped].start = (pc_point){3, 2};
  crew[!swapped].start = (pc_point){80, 58};
}

/* Two machines that differ and have an area each: which of them is written first is no matter. (Where they
 * compete for the same lane at the same moment, the first written has it.) */
static void order_of_machines(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++) {
    double time[2];
    for (int swapped = 0; swapped < 2; swapped++) {
      pc_scenario s = plain_scene(policies[p], 1, false);
      two_kinds(&s, swapped);
      pc_area *areas = calloc(2, sizeof *areas);
      assert_non_null(areas);
      const pc_point low[] = {{0, 0}, {85, 0}, {85, 27}, {0, 27}},
                     high[] = {{0, 27}, {85, 27}, {85, 61}, {0, 61}};
      for (int a = 0; a < 2; a++) {
        areas[a] = pc_area_default();
        areas[a].name = pc_name_of(a ? "high" : "low");
        assert_int_equal(pc_ring_copy(&areas[a].outline, a ? high : low, 4), PC_OK);
        pc_names *names = &s.crew[a ? !swapped : swapped].areas;
        names->items = calloc(1, sizeof *names->items);
        assert_non_null(names->items);
        names->items[0] = areas[a].name;
        names->count = 1;
      }
      pc_ring_free(&s.site.areas[0].outline);
      free(s.site.areas);
      s.site.areas = areas;
      s.site.area_count = 2;
      time[swapped] = time_of(&s);
      pc_scenario_free(&s);
    }
    assert_near(policies[p], time[1], time[0], 1e-12);
  }
}

static void chancy(pc_scenario *s) {
  s->chance.fill = 0.05;
  s->chance.carry = 0.10;
  s->chance.dump = 0.20;
  s->chance.back = 0.10;
  s->chance.turn = 0.20;
}

static void reused_world_is_like_new(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++) {
    pc_scenario s = plain_scene(policies[p], 3, true);
    chancy(&s);
    pc_lot *lot = make_lot(&s);
    pc_world *used;
    pc_result result;
    assert_int_equal(pc_world_create(lot, &used), PC_OK);
    assert_int_equal(pc_result_init(&result, lot->machine_count, lot->zone_count), PC_OK);
    uint64_t first = 0;
    for (uint64_t r = 0; r < 6; r++) {
      pc_result fresh = simulate_lot(lot, 5, r % 3, NULL);
      assert_int_equal(pc_world_run(used, 5, r % 3, NULL, &result), PC_OK);
      uint64_t hash = pc_result_hash(&result);
      assert_true(hash == pc_result_hash(&fresh));
      if (r == 0)
        first = hash;
      assert_true((hash == first) == (r % 3 == 0)); /* other luck, other result */
      pc_result_free(&fresh);
    }
    pc_result_free(&result);
    pc_world_free(used);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

static void threads_make_no_difference(void **state) {
  (void)state;
  static const int threads[] = {1, 2, 8};
  for (int p = 0; p < 2; p++) {
    pc_scenario s = plain_scene(policies[p], 3, true);
    chancy(&s);
    pc_lot *lot = make_lot(&s);
    uint64_t hash = 0;
    double first[11];
    for (size_t t = 0; t < 3; t++) {
      pc_summary summary;
      assert_int_equal(pc_replicate(lot, 11, 9, threads[t], NULL, &summary), PC_OK);
      for (size_t r = 0; r < 11; r++) {
        if (t == 0)
          first[r] = summary.times_s[r];
        assert_true(summary.times_s[r] == first[r]);
      }
      if (t == 0)
        hash = pc_result_hash(&summary.mean);
      assert_true(pc_result_hash(&summary.mean) == hash);
      pc_summary_free(&summary);
    }
    /* and they are those of runs made one by one */
    for (size_t r = 0; r < 11; r++) {
      pc_result one = simulate_lot(lot, 9, r, NULL);
      assert_true(one.total_time_s == first[r]);
      pc_result_free(&one);
    }
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rotated_and_shifted),      cmocka_unit_test(mirrored),
      cmocka_unit_test(feet_or_metres),           cmocka_unit_test(twice_as_fast),
      cmocka_unit_test(deeper_is_never_quicker),  cmocka_unit_test(order_of_machines),
      cmocka_unit_test(reused_world_is_like_new), cmocka_unit_test(threads_make_no_difference)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
