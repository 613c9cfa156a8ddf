// SPDX-License-Identifier: GPL-3.0-or-later
/* Headings that the scenario leaves open, against trying every one of them by hand with the simulator. There
 * is no published value to compare with: the checks are exhaustive search and symmetry. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/random.h"
#include "night_run.h"
#include "scene.h"
#include "simulate.h"
#include "study/heading.h"
#include "study/replicate.h"

static const double pi = 3.14159265358979323846;

static double degrees(double angle_rad) {
  return angle_rad * 180 / pi;
}

/* A yard of 60 m × 30 m turned about the origin, with one pile at the middle of its far short side. */
static pc_scenario turned_yard(double angle_rad, const char *policy) {
  double cosine = cos(angle_rad), sine = sin(angle_rad);
  pc_point pile = {60 * cosine - 15 * sine, 60 * sine + 15 * cosine};
  pc_scenario s = scene_rectangle(60, 30, &pile, 1);
  for (size_t i = 0; i < 4; i++) {
    pc_point *p = &s.site.areas[0].outline.points[i];
    *p = (pc_point){p->x_m * cosine - p->y_m * sine, p->x_m * sine + p->y_m * cosine};
  }
  s.policy = pc_name_of(policy);
  s.site.areas[0].auto_heading = true;
  return s;
}

static void assert_headings(const pc_point *points, size_t count, const double *expected_deg,
                            size_t expected) {
  double found[PC_HEADINGS_MAX];
  pc_ring ring = {(pc_point *)(uintptr_t)points, count};
  assert_int_equal(pc_heading_candidates(&ring, found), expected);
  for (size_t i = 0; i < expected; i++) {
    char told[40];
    double read_rad = -1;
    assert_true(fabs(degrees(found[i]) - expected_deg[i]) < 0.5001e-6);
    snprintf(told, sizeof told, "%.6f deg", degrees(found[i])); /* and is the same when it is read again */
    assert_int_equal(pc_units_parse(told, PC_DIM_ANGLE, &read_rad, NULL), PC_OK);
    assert_true(read_rad == found[i]);
  }
}

static void candidates_of_outlines(void **state) {
  (void)state;
  const pc_point rectangle[] = {{0, 0}, {30, 0}, {30, 60}, {0, 60}};
  assert_headings(rectangle, 4, (double[]){90, 180, 270, 0}, 4);
  /* Right triangle with sides 3, 4, 5: the long side at 180 − 36.87 = 143.13 degrees, atan(3/4). */
  const pc_point triangle[] = {{0, 0}, {40, 0}, {0, 30}};
  double slope = 180 - degrees(atan2(3, 4));
  assert_headings(triangle, 3, (double[]){slope, slope + 90, slope + 180, slope - 90, 0, 90, 180, 270}, 8);
  /* Edges within half a degree of others are no candidates: atan(0.52/60) = 0.497 degrees, atan(0.53/60) =
   * 0.506.
   */
  const pc_point almost[] = {{0, 0}, {60, 0}, {60, 30}, {0, 30.52}};
  assert_headings(almost, 4,
                  (double[]){180 - degrees(atan2(0.52, 60)), 270 - degrees(atan2(0.52, 60)),
                             360 - degrees(atan2(0.52, 60)), 90 - degrees(atan2(0.52, 60))},
                  4);
  const pc_point not_quite[] = {{0, 0}, {60, 0}, {60, 30}, {0, 30.53}};
  double found[PC_HEADINGS_MAX];
  assert_int_equal(pc_heading_candidates(&(pc_ring){(pc_point *)(uintptr_t)not_quite, 4}, found), 8);
}

static void at_most_sixteen_and_all_distinct(void **state) {
  (void)state;
  pc_point round[199];
  for (size_t i = 0; i < 199; i++) {
    double angle = 2 * pi * (double)i / 199;
    round[i] = (pc_point){50 * cos(angle), 30 * sin(angle)};
  }
  double found[PC_HEADINGS_MAX];
  assert_int_equal(pc_heading_candidates(&(pc_ring){round, 199}, found), PC_HEADINGS_MAX);
  for (size_t i = 0; i < PC_HEADINGS_MAX; i++) {
    assert_true(found[i] >= 0 && found[i] < 2 * pi);
    for (size_t j = 0; j < i; j++) {
      double apart = fabs(degrees(found[i] - found[j]));
      assert_true(fmin(apart, 360 - apart) >= 0.5 - 1e-9);
    }
  }
  assert_int_equal(pc_heading_candidates(&(pc_ring){round, 0}, found), 0);
}

/* The slow way: the longest edge that has not been looked at, the first of those as long, again and again. */
static size_t slow_candidates(const pc_ring *ring, double *found) {
  bool seen[256] = {false};
  size_t count = 0;
  for (size_t k = 0; k < ring->count; k++) {
    size_t longest = ring->count;
    double length_m = 0, heading = 0;
    for (size_t i = 0; i < ring->count; i++) {
      pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
      double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
      if (seen[i] || !(hypot(dx, dy) > length_m))
        continue;
      longest = i;
      length_m = hypot(dx, dy);
      heading = atan2(dy, dx);
    }
    if (longest == ring->count)
      break;
    seen[longest] = true;
    for (int turn = 0; turn < 4; turn++) {
      double candidate = degrees(heading) + 90 * turn;
      bool distinct = count < PC_HEADINGS_MAX;
      for (size_t i = 0; i < count; i++)
        distinct &= fabs(remainder(candidate - found[i], 360)) >= 0.5;
      if (distinct)
        found[count++] = candidate;
    }
  }
  return count;
}

/* Outlines of 3 to 200 corners, some of them twice (an edge of no length has no heading). */
static void candidates_as_the_slow_way(void **state) {
  (void)state;
  size_t all = 0;
  for (uint64_t seed = 0; seed < 200; seed++) {
    pc_stream d;
    pc_stream_start(&d, 51, seed, 0, 0);
    pc_point points[200];
    size_t count = 3 + pc_stream_next(&d) % 198;
    for (size_t i = 0; i < count; i++) {
      double angle = 2 * pi * (double)i / (double)count;
      points[i] = (pc_point){50 * cos(angle) + (double)(pc_stream_next(&d) % 1000) / 400, 30 * sin(angle)};
      if (seed % 3 == 0 && i % 5 == 1)
        points[i] = points[i - 1];
    }
    double found[PC_HEADINGS_MAX], slow[PC_HEADINGS_MAX];
    const pc_ring ring = {points, count};
    size_t expected = slow_candidates(&ring, slow);
    assert_int_equal(pc_heading_candidates(&ring, found), expected);
    for (size_t i = 0; i < expected; i++)
      assert_true(fabs(remainder(degrees(found[i]) - slow[i], 360)) < 0.5001e-6);
    all += expected;
  }
  assert_true(all > 200 * 12);
}

static double time_with(pc_scenario *s, double heading_rad) {
  s->site.areas[0].auto_heading = false;
  s->site.areas[0].heading_rad = heading_rad;
  pc_result result = simulate(s, NULL);
  double time_s = result.finished ? result.total_time_s : INFINITY;
  pc_result_free(&result);
  return time_s;
}

/* A rectangle turned by 30 degrees is worked along one of its sides, the quickest of all. */
static void brute_force_agrees(void **state) {
  (void)state;
  static const char *const policies[] = {"straight-runs", "keep-pushing"};
  for (size_t p = 0; p < 2; p++) {
    pc_scenario s = turned_yard(pi / 6, policies[p]);
    pc_faults faults = {0};
    pc_heading_report report;
    assert_int_equal(pc_headings_choose(&s, NULL, &faults, &report), PC_OK);
    assert_int_equal(faults.count, 0);
    assert_int_equal(report.count, 1);
    const pc_heading_choice *chosen = &report.items[0];
    assert_string_equal(chosen->area.text, "yard");
    assert_string_equal(chosen->layout.text, "all zones"); /* there are no others */
    assert_int_equal(chosen->candidates, 4);
    assert_true(chosen->finished);
    assert_false(s.site.areas[0].auto_heading);
    assert_true(s.site.areas[0].heading_rad == chosen->heading_rad);
    double candidates[PC_HEADINGS_MAX], best_s = INFINITY, across_s = INFINITY;
    assert_int_equal(pc_heading_candidates(&s.site.areas[0].outline, candidates), 4);
    for (size_t i = 0; i < 4; i++) {
      double off_deg = fmod(degrees(candidates[i]) + 360 - 30, 90);
      assert_true(fmin(off_deg, 90 - off_deg) < 1e-9); /* one of its sides */
      double time_s = time_with(&s, candidates[i]);
      best_s = fmin(best_s, time_s);
      if (fabs(sin(candidates[i] - chosen->heading_rad)) > 0.5)
        across_s = fmin(across_s, time_s);
    }
    pc_scenario lucky = turned_yard(pi / 6, policies[p]); /* the same, whatever breaks down */
    pc_heading_report again;
    lucky.loaders[0].breakdown_mean_s = lucky.loaders[0].repair_mean_s = 600.0;
    assert_int_equal(pc_headings_choose(&lucky, NULL, &faults, &again), PC_OK);
    assert_true(again.items[0].heading_rad == chosen->heading_rad && again.items[0].time_s == best_s);
    pc_heading_report_free(&again);
    pc_scenario_free(&lucky);
    assert_true(chosen->time_s == best_s);
    assert_true(chosen->next_s == across_s);
    assert_true(time_with(&s, chosen->heading_rad) == best_s);
    assert_true(best_s < across_s);
    pc_heading_report_free(&report);
    pc_scenario_free(&s);
  }
}

/* A triangle of sides 42, 56 and 70 m (3 : 4 : 5) has headings along four lines: the best and, of those along
 * other lines, the next best are those of simulating all eight, with what each leaves for a smaller machine.
 */
static void the_next_lies_along_another_line(void **state) {
  (void)state;
  const pc_point pile = {0, 21};
  pc_scenario s = scene_rectangle(56, 42, &pile, 1);
  s.site.areas[0].outline.count = 3;
  s.site.areas[0].outline.points[2] = (pc_point){0, 42};
  s.near.border_m = 1;
  night_add_building(&s, 12, -4, 20, 4);
  double candidates[PC_HEADINGS_MAX], times_s[PC_HEADINGS_MAX], small_m2[PC_HEADINGS_MAX];
  size_t count = pc_heading_candidates(&s.site.areas[0].outline, candidates), best = 0, next = 99;
  assert_int_equal(count, 8);
  for (size_t i = 0; i < count; i++) {
    s.site.areas[0].heading_rad = candidates[i];
    pc_result result = simulate(&s, NULL);
    assert_true(result.finished);
    times_s[i] = result.total_time_s / result.placed_kg;
    small_m2[i] = result.small_m2;
    best = times_s[i] < times_s[best] * (1 - 1e-9) ? i : best;
    pc_result_free(&result);
  }
  for (size_t i = 0; i < count; i++)
    if (fabs(sin(candidates[i] - candidates[best])) > 0.01 &&
        (next == 99 || times_s[i] < times_s[next] * (1 - 1e-9)))
      next = i;
  s.site.areas[0].auto_heading = true;
  pc_faults faults = {0};
  pc_heading_report report;
  assert_int_equal(pc_headings_choose(&s, NULL, &faults, &report), PC_OK);
  assert_true(report.items[0].heading_rad == candidates[best]);
  assert_true(report.items[0].next_rad == candidates[next]);
  assert_true(report.items[0].small_m2 == small_m2[best] && small_m2[best] > 0);
  assert_true(report.items[0].next_small_m2 == small_m2[next] && small_m2[next] != small_m2[best]);
  pc_heading_report_free(&report);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Turning the whole lot turns the choice and leaves the time as it is. */
static void turning_the_lot_turns_the_heading(void **state) {
  (void)state;
  double first_deg = 0, first_s = 0;
  for (int turn = 0; turn < 5; turn++) {
    pc_scenario s = turned_yard(pi / 180 * 37 * turn, "straight-runs");
    pc_faults faults = {0};
    pc_heading_report report;
    assert_int_equal(pc_headings_choose(&s, NULL, &faults, &report), PC_OK);
    double heading_deg = degrees(report.items[0].heading_rad) - 37 * turn;
    if (turn == 0) {
      first_deg = heading_deg;
      first_s = report.items[0].time_s;
    }
    double off = fmod(fabs(heading_deg - first_deg), 360);
    assert_true(fmin(off, 360 - off) < 1e-6);
    assert_near("time", report.items[0].time_s, first_s, 1e-6);
    pc_heading_report_free(&report);
    pc_scenario_free(&s);
  }
}

static void choice_counts(void **state) {
  (void)state;
  pc_scenario s = turned_yard(0, "straight-runs");
  const pc_choice choice = {.policy = "keep-pushing", .depth_m = 0.2};
  pc_faults faults = {0};
  pc_heading_report report;
  assert_int_equal(pc_headings_choose(&s, &choice, &faults, &report), PC_OK);
  s.policy = pc_name_of("keep-pushing");
  s.snow.depth_m = 0.2;
  assert_true(time_with(&s, report.items[0].heading_rad) == report.items[0].time_s);
  pc_heading_report_free(&report);
  pc_scenario_free(&s);
}

/* Chance is off while headings are tried, and back afterwards. */
static void chance_does_not_choose(void **state) {
  (void)state;
  pc_scenario s = turned_yard(0, "straight-runs");
  pc_faults faults = {0};
  pc_heading_report calm, windy;
  assert_int_equal(pc_headings_choose(&s, NULL, &faults, &calm), PC_OK);
  s.site.areas[0].auto_heading = true;
  s.chance = (pc_chance){.replications = 7, .seed = 3, .fill = 0.3, .carry = 0.3, .back = 0.3};
  assert_int_equal(pc_headings_choose(&s, NULL, &faults, &windy), PC_OK);
  assert_true(calm.items[0].time_s == windy.items[0].time_s);
  assert_true(calm.items[0].heading_rad == windy.items[0].heading_rad);
  assert_int_equal(s.chance.replications, 7);
  assert_true(s.chance.fill == 0.3);
  pc_heading_report_free(&calm);
  pc_heading_report_free(&windy);
  pc_scenario_free(&s);
}

/* A second yard beside the first; both are open: the second is tried with what was chosen for the first. */
static void areas_one_after_another(void **state) {
  (void)state;
  pc_scenario s = turned_yard(0, "straight-runs");
  pc_area *areas = pc_alloc(2, sizeof *areas);
  assert_non_null(areas);
  areas[0] = s.site.areas[0];
  areas[1] = pc_area_default();
  areas[1].name = pc_name_of("annex");
  areas[1].auto_heading = true;
  const pc_point corners[] = {{0, 30}, {20, 30}, {20, 70}, {0, 70}};
  assert_int_equal(pc_ring_copy(&areas[1].outline, corners, 4), PC_OK);
  free(s.site.areas);
  s.site.areas = areas;
  s.site.area_count = 2;
  pc_faults faults = {0};
  pc_heading_report report;
  assert_int_equal(pc_headings_choose(&s, NULL, &faults, &report), PC_OK);
  assert_int_equal(report.count, 2);
  assert_string_equal(report.items[1].area.text, "annex");
  double candidates[PC_HEADINGS_MAX], best_s = INFINITY;
  size_t count = pc_heading_candidates(&areas[1].outline, candidates);
  for (size_t i = 0; i < count; i++) {
    areas[1].heading_rad = candidates[i];
    best_s = fmin(best_s, time_with(&s, report.items[0].heading_rad));
  }
  assert_true(report.items[1].time_s == best_s);
  /* The first was tried with the second along its longest side, which runs north: 90 degrees. */
  areas[1].heading_rad = candidates[0];
  assert_true(fabs(degrees(candidates[0]) - 90) < 1e-9);
  assert_true(time_with(&s, report.items[0].heading_rad) == report.items[0].time_s);
  pc_heading_report_free(&report);
  pc_scenario_free(&s);
}

typedef struct countdown {
  atomic_size_t steps;
  size_t stop_after, all;
} countdown;

static void count_step(void *context, size_t done, size_t all) {
  countdown *watch = context;
  assert_true(done <= all);
  watch->all = all;
  atomic_fetch_add(&watch->steps, 1);
}

static bool stop_now(void *context) {
  countdown *watch = context;
  return atomic_load(&watch->steps) >= watch->stop_after;
}

/* Stopped after k candidates: the best of those, of one at least; and the scenario can be run. */
static void stopped_with_the_best_so_far(void **state) {
  (void)state;
  for (size_t k = 0; k <= 5; k++) {
    pc_scenario s = turned_yard(pi / 6, "keep-pushing");
    countdown count = {.stop_after = k};
    const pc_watch watch = {count_step, stop_now, &count};
    pc_faults faults = {0};
    pc_heading_report report;
    assert_int_equal(pc_headings_choose_watched(&s, NULL, 1, &watch, &faults, &report), PC_OK);
    size_t tried = k < 1 ? 1 : k > 4 ? 4 : k;
    assert_int_equal(report.items[0].tried, tried);
    assert_int_equal(report.items[0].candidates, 4);
    assert_int_equal(count.all, 4);
    assert_int_equal(atomic_load(&count.steps), tried);
    double candidates[PC_HEADINGS_MAX], best_s = INFINITY;
    (void)pc_heading_candidates(&s.site.areas[0].outline, candidates);
    for (size_t i = 0; i < tried; i++)
      best_s = fmin(best_s, time_with(&s, candidates[i]));
    assert_true(report.items[0].time_s == best_s);
    assert_true(time_with(&s, report.items[0].heading_rad) == best_s);
    assert_false(s.site.areas[0].auto_heading);
    pc_heading_report_free(&report);
    pc_scenario_free(&s);
  }
}

/* One thread or seven: the same choice, and the same refusal. */
static void threads_choose_alike(void **state) {
  (void)state;
  pc_scenario one = turned_yard(pi / 6, "keep-pushing"), seven = turned_yard(pi / 6, "keep-pushing");
  pc_faults faults = {0};
  pc_heading_report a, b;
  assert_int_equal(pc_headings_choose_watched(&one, NULL, 1, NULL, &faults, &a), PC_OK);
  assert_int_equal(pc_headings_choose_watched(&seven, NULL, 7, NULL, &faults, &b), PC_OK);
  assert_true(a.items[0].heading_rad == b.items[0].heading_rad && a.items[0].time_s == b.items[0].time_s);
  assert_true(a.items[0].next_rad == b.items[0].next_rad && a.items[0].next_s == b.items[0].next_s);
  assert_int_equal(b.items[0].tried, b.items[0].candidates);
  pc_heading_report_free(&a);
  pc_heading_report_free(&b);
  pc_scenario_free(&one);
  pc_scenario_free(&seven);
}

static void open_headings_never_run(void **state) {
  (void)state;
  pc_scenario s = turned_yard(0, "straight-runs");
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  assert_int_not_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  assert_null(lot);
  assert_int_equal(pc_faults_fatal(&faults), 1);
  assert_non_null(strstr(faults.items[0].message, "heading of area \"yard\""));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* No heading helps where no lot can be made: the fault is told, and the scenario stays as it was. */
static void what_is_wrong_is_told(void **state) {
  (void)state;
  pc_scenario s = turned_yard(0, "straight-runs");
  const pc_choice choice = {.box = "no such box", .depth_m = NAN};
  pc_faults faults = {0};
  pc_heading_report report;
  assert_int_equal(pc_headings_choose(&s, &choice, &faults, &report), PC_ERR_NAME);
  assert_int_equal(pc_faults_fatal(&faults), 1);
  assert_int_equal(report.count, 0);
  assert_true(s.site.areas[0].auto_heading);
  assert_int_equal(s.chance.replications, 1);
  pc_scenario first = turned_yard(0, "straight-runs"); /* what is wrong with the first heading */
  pc_faults own = {0};
  pc_lot *lot = NULL;
  first.site.areas[0].auto_heading = false;
  assert_int_equal(pc_lot_create(&first, &choice, &lot, &own), PC_ERR_NAME);
  assert_string_equal(faults.items[0].message, own.items[0].message);
  assert_string_equal(faults.items[0].key, own.items[0].key);
  pc_faults_free(&own);
  pc_scenario_free(&first);
  pc_faults_free(&faults);
  s.site.areas[0].auto_heading = false; /* nothing is open: nothing is done, not even looked at */
  assert_int_equal(pc_headings_choose(&s, &choice, &faults, &report), PC_OK);
  assert_int_equal(report.count, 0);
  pc_scenario_free(&s);
}

/* Piles that are too small never let a run finish; the heading that leaves least is taken, of those that
 * leave as much (but for rounding: whole loads of one size are placed) the quickest. By simulating each. */
static void the_least_bad_of_unfinished_runs(void **state) {
  (void)state;
  for (double volume_m3 = 14; volume_m3 < 38; volume_m3 += 4) {
    pc_scenario s = turned_yard(0, "straight-runs");
    s.zones[0].volume_m3 = volume_m3;
    pc_faults faults = {0};
    pc_heading_report report;
    assert_int_equal(pc_headings_choose(&s, NULL, &faults, &report), PC_OK);
    assert_false(report.items[0].finished);
    assert_true(isnan(report.items[0].next_s));
    double candidates[PC_HEADINGS_MAX], least_kg = INFINITY, least_s = INFINITY, best = NAN;
    size_t count = pc_heading_candidates(&s.site.areas[0].outline, candidates);
    for (size_t i = 0; i < count; i++) {
      s.site.areas[0].heading_rad = candidates[i];
      pc_result result = simulate(&s, NULL);
      bool alike = fabs(result.left_kg - least_kg) < 1;
      if (alike ? result.total_time_s < least_s - 1e-6 : result.left_kg < least_kg) {
        least_kg = result.left_kg;
        least_s = result.total_time_s;
        best = candidates[i];
      }
      pc_result_free(&result);
    }
    assert_true(report.items[0].heading_rad == best);
    pc_heading_report_free(&report);
    pc_scenario_free(&s);
  }
}

/* A pocket behind a gap that is too narrow: with lanes along it more than the 20 m² allowed (model.md) is out
 * of reach, so that no lot can be made; with lanes across it, it is left for a smaller machine. Whichever
 * comes first among the candidates, one that can be worked is taken, the quickest of them, and nothing is
 * said of the others. */
static void where_only_some_headings_can_be(void **state) {
  (void)state;
  const double pockets[][2] = {{6, 5}, {5, 6}};
  size_t first_made = 0;
  for (size_t k = 0; k < 2; k++) {
    const pc_point pile = {30, 0};
    double wide = pockets[k][0], deep = pockets[k][1];
    pc_scenario s = scene_rectangle(60, 40, &pile, 1);
    night_add_building(&s, 0, 39.5 - deep, wide - 1.75, 40 - deep);
    night_add_building(&s, wide, 39.5 - deep, wide + 0.5, 40);
    double candidates[PC_HEADINGS_MAX], best_s = INFINITY, best = NAN;
    size_t made = 0, count = pc_heading_candidates(&s.site.areas[0].outline, candidates);
    for (size_t i = 0; i < count; i++) {
      pc_faults refused = {0};
      pc_lot *lot = NULL;
      s.site.areas[0].heading_rad = candidates[i];
      if (pc_lot_create(&s, NULL, &lot, &refused) == PC_OK) {
        made++;
        first_made += i == 0;
        double time_s = time_with(&s, candidates[i]);
        best = time_s < best_s ? candidates[i] : best;
        best_s = fmin(best_s, time_s);
      }
      pc_lot_free(lot);
      pc_faults_free(&refused);
    }
    assert_true(made == 2 && count == 4 && isfinite(best_s));
    s.site.areas[0].auto_heading = true;
    pc_faults faults = {0};
    pc_heading_report report;
    assert_int_equal(pc_headings_choose(&s, NULL, &faults, &report), PC_OK);
    assert_true(report.items[0].heading_rad == best && report.items[0].time_s == best_s);
    assert_int_equal(faults.count, 0);
    assert_true(isnan(report.items[0].next_s)); /* across it there is none */
    pc_heading_report_free(&report);
    pc_scenario_free(&s);
  }
  assert_int_equal(first_made, 1);
}

static void *choose_alone(void *context) {
  pc_scenario s = turned_yard(pi / 6, "keep-pushing");
  pc_faults faults = {0};
  pc_heading_report report = {0};
  double *out = context;
  if (pc_headings_choose(&s, NULL, &faults, &report) == PC_OK) {
    out[0] = report.items[0].heading_rad;
    out[1] = report.items[0].time_s;
  }
  pc_heading_report_free(&report);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  return NULL;
}

/* Many at once choose the same, and the time is that of a summary by any number of threads. */
static void threads_change_nothing(void **state) {
  (void)state;
  pthread_t threads[4];
  double results[4][2] = {{0}};
  for (size_t i = 0; i < 4; i++)
    assert_int_equal(pthread_create(&threads[i], NULL, choose_alone, results[i]), 0);
  for (size_t i = 0; i < 4; i++)
    assert_int_equal(pthread_join(threads[i], NULL), 0);
  pc_scenario s = turned_yard(pi / 6, "keep-pushing");
  s.site.areas[0].auto_heading = false;
  s.site.areas[0].heading_rad = results[0][0];
  pc_lot *lot = make_lot(&s);
  for (size_t i = 0; i < 4; i++) {
    pc_summary summary;
    assert_true(results[i][0] == results[0][0] && results[i][1] == results[0][1]);
    assert_int_equal(pc_replicate(lot, 3, 1, (int)i + 1, NULL, &summary), PC_OK);
    assert_near("time", results[i][1], summary.total_time_s.mean, 1e-12);
    pc_summary_free(&summary);
  }
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(candidates_of_outlines),
      cmocka_unit_test(at_most_sixteen_and_all_distinct),
      cmocka_unit_test(brute_force_agrees),
      cmocka_unit_test(the_next_lies_along_another_line),
      cmocka_unit_test(turning_the_lot_turns_the_heading),
      cmocka_unit_test(choice_counts),
      cmocka_unit_test(chance_does_not_choose),
      cmocka_unit_test(areas_one_after_another),
      cmocka_unit_test(stopped_with_the_best_so_far),
      cmocka_unit_test(threads_choose_alike),
      cmocka_unit_test(open_headings_never_run),
      cmocka_unit_test(what_is_wrong_is_told),
      cmocka_unit_test(the_least_bad_of_unfinished_runs),
      cmocka_unit_test(threads_change_nothing),
      cmocka_unit_test(candidates_as_the_slow_way),
      cmocka_unit_test(where_only_some_headings_can_be),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
