// SPDX-License-Identifier: GPL-3.0-or-later
/* Machines in each other's way: narrow passages by hand and followed through traces, machines that keep
 * apart, and the same bytes from any number of threads. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "night_run.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"
#include "study/replicate.h"

/* ---- passages by hand ---- */

/* Two strips of 90 m, three boxes each, both zones 60 m beyond their ends; between them a passage of 20 m. */
static pc_scenario passage_scene(size_t machines, int at_once) {
  pc_scenario s = night_strips(machines, 90.0, 30.0);
  night_add_ground(&s, 90.0, 0.0, 150.0, 4.5 * (double)machines);
  for (size_t z = 0; z < machines; z++) {
    s.zones[z].at.x_m = 150.0;
    const char area[] = {(char)('a' + (int)z), '\0'};
    night_add_name(&night_add_crew(&s, "loader", "box", s.zones[z].at)->areas, area);
  }
  night_add_passage(&s, 110.0, -1.0, 130.0, 4.5 * (double)machines + 1.0, at_once);
  return s;
}

/* One machine without another: 6 s to turn, out, lower, fill, turn, back, dump. */
static double alone_s(void) {
  double sum = 0.0;
  for (int i = 1; i <= 3; i++)
    sum += 6.0 + (60.0 + 30.0 * (i - 1)) / 4.5 + 2.0 + 30.0 / 2.2 + 6.0 + (60.0 + 30.0 * i) / 3.3 + 8.0;
  return sum;
}

/* Both set out at once. The second waits until the first is through, 20 m at 4.5 m/s; on the way back it is
 * that much behind, and waits again until it is 20 m at 3.3 m/s behind; then they never meet in the passage.
 */
static void two_machines_one_passage(void **state) {
  (void)state;
  for (int at_once = 1; at_once <= 2; at_once++) {
    pc_scenario s = passage_scene(2, at_once);
    night_run run = {0};
    night_simulate(&run, &s);
    double waited = at_once == 1 ? 20.0 / 3.3 : 0.0;
    assert_near("total", run.result.total_time_s, alone_s() + waited, 1e-12);
    assert_near("wait", run.result.passages[0].wait_s, waited, 1e-12);
    assert_int_equal(night_count(&run, 0, PC_PHASE_WAIT), 0);
    assert_int_equal(night_count(&run, 1, PC_PHASE_WAIT), at_once == 1 ? 2 : 0);
    assert_near("of the machine", run.result.machines[1].time_s[PC_PHASE_WAIT], waited, 1e-12);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* As many as fit go at once; with three for a passage of two, only one waits. */
static void more_machines(void **state) {
  (void)state;
  for (size_t machines = 2; machines <= 4; machines++) {
    pc_scenario s = passage_scene(machines, (int)machines);
    night_run run = {0};
    night_simulate(&run, &s);
    assert_near("total", run.result.total_time_s, alone_s(), 1e-12);
    assert_true(run.result.passages[0].wait_s == 0.0);
    night_free(&run);
    pc_scenario_free(&s);
  }
  pc_scenario s = passage_scene(3, 2);
  night_run run = {0};
  night_simulate(&run, &s);
  for (size_t m = 0; m < 3; m++)
    assert_near("machine", run.result.machines[m].time_s[PC_PHASE_WAIT], m == 2 ? 20.0 / 3.3 : 0.0, 1e-12);
  night_free(&run);
  pc_scenario_free(&s);
}

/* Two that pass one after the other are never inside together: a passage for two has room for a third all the
 * time. The third is slow, so that it is inside for as long as both of them; it starts at 10 s, and they at 0
 * and 9 s. */
static void one_after_the_other(void **state) {
  (void)state;
  pc_scenario s = passage_scene(3, 2);
  night_add_loader(&s, "slow")->return_speed_mps = 1.0;
  s.crew[2].loader = pc_name_of("slow");
  s.crew[1].from_s = 9.0;
  night_run run = {0};
  night_simulate(&run, &s);
  double first_out = INFINITY;
  for (size_t i = 0; i < run.row_count; i++)
    if (run.rows[i].machine == 2 && run.rows[i].phase == PC_PHASE_RETURN)
      first_out = fmin(first_out, run.rows[i].start_s);
  assert_near("the slow one", first_out, 6.0, 1e-12);
  assert_true(run.result.machines[1].time_s[PC_PHASE_WAIT] == 0.0);
  night_free(&run);
  pc_scenario_free(&s);
}

/* ---- passages in traces ---- */

typedef struct moment {
  double time_s;
  int step; /* +1 enters, −1 leaves */
} moment;

static int by_time(const void *a, const void *b) {
  const moment *x = a, *y = b;
  return x->time_s < y->time_s ? -1 : x->time_s > y->time_s ? 1 : x->step - y->step;
}

/* Where a leg is inside a rectangle x0 … x1, y0 … y1, 0 … 1 along it (Liang and Barsky's clipping). */
static bool clip(const pc_ring *ring, const pc_trace_row *row, double *enter, double *leave) {
  pc_point low = ring->points[0], high = ring->points[2];
  double d[] = {row->to.x_m - row->from.x_m, row->to.y_m - row->from.y_m};
  double below[] = {low.x_m - row->from.x_m, low.y_m - row->from.y_m};
  double above[] = {high.x_m - row->from.x_m, high.y_m - row->from.y_m};
  *enter = 0.0, *leave = 1.0;
  for (int k = 0; k < 2; k++) {
    if (d[k] == 0.0) {
      if (below[k] > 0.0 || above[k] < 0.0)
        return false;
      continue;
    }
    double a = below[k] / d[k], b = above[k] / d[k];
    *enter = fmax(*enter, fmin(a, b));
    *leave = fmin(*leave, fmax(a, b));
  }
  return *leave > *enter;
}

/* How long more machines are driving inside than may be, by the trace. */
static double crowded_s(const night_run *run, size_t passage) {
  const pc_lot_passage *p = &run->lot->passages[passage];
  moment *moments = calloc(2 * run->row_count + 1, sizeof *moments);
  assert_non_null(moments);
  size_t count = 0;
  for (size_t i = 0; i < run->row_count; i++) {
    const pc_trace_row *row = &run->rows[i];
    double enter, leave;
    if ((row->phase != PC_PHASE_RETURN && row->phase != PC_PHASE_CARRY) || !(row->end_s > row->start_s) ||
        !clip(&p->outline, row, &enter, &leave))
      continue;
    double time = row->end_s - row->start_s;
    moments[count++] = (moment){row->start_s + enter * time, 1};
    moments[count++] = (moment){row->start_s + leave * time, -1};
  }
  qsort(moments, count, sizeof *moments, by_time);
  int inside = 0;
  double sum = 0.0;
  for (size_t i = 0; i < count; i++) {
    if (inside > p->machines)
      sum += moments[i].time_s - moments[i - 1].time_s;
    inside += moments[i].step;
  }
  free(moments);
  return sum;
}

static void add_random_passages(pc_scenario *s, pc_stream *stream, double length_m, double width_m) {
  for (int k = 0; k < 2; k++) {
    double x = random_between(stream, 0.0, 0.8 * length_m), y = random_between(stream, 0.0, 0.6 * width_m);
    double x1 = x + random_between(stream, 3.0, 0.4 * length_m),
           y1 = y + random_between(stream, 3.0, width_m);
    night_add_passage(s, x, y, x1, y1, 1 + (int)(pc_stream_next(stream) % 2));
  }
}

/* A lot of one area with two to five machines, chance, and two passages somewhere. */
static pc_scenario busy_scene(uint64_t seed) {
  pc_stream stream;
  pc_stream_start(&stream, seed, 0, 0, 0);
  double length = random_between(&stream, 40.0, 120.0), width = random_between(&stream, 20.0, 60.0);
  pc_scenario s = scene_rectangle(length, width, NULL, 0);
  night_add_zone(&s, length, random_between(&stream, 0.0, width))->berths = 2;
  night_add_zone(&s, random_between(&stream, 0.0, length), width);
  static const char *const policies[] = {"straight-runs", "keep-pushing", "building-out"};
  s.policy = pc_name_of(policies[seed % 3]);
  size_t machines = 2 + (size_t)(pc_stream_next(&stream) % 4);
  for (size_t m = 0; m < machines; m++)
    night_add_crew(&s, "loader", "box", (pc_point){0.0, random_between(&stream, 0.0, width)});
  add_random_passages(&s, &stream, length, width);
  if (seed % 2)
    s.chance.carry = s.chance.back = s.chance.fill = s.chance.turn = s.chance.dump = 0.3;
  return s;
}

static void bookings_hold(void **state) {
  (void)state;
  double waited = 0.0, most = 0.0;
  for (uint64_t seed = 0; seed < 60; seed++) {
    pc_scenario s = busy_scene(seed);
    night_run run = {0};
    night_make(&run, &s, NULL);
    night_go(&run, seed, 0);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    for (size_t p = 0; p < run.lot->passage_count; p++) {
      most = fmax(most, crowded_s(&run, p));
      waited += run.result.passages[p].wait_s;
    }
    night_free(&run);
    pc_scenario_free(&s);
  }
  print_message("straight ways: waited %.0f s in all; more inside than fit for at most %.2g s in a run\n",
                waited, most);
  assert_true(waited > 1000.0);
  assert_true(most < 1e-6);
}

/* Ways around buildings turn at corners, and the time for that is spread over the way when it is booked: so
 * one may be inside up to the time of its turns earlier or later than it has booked. Without time for turning
 * nobody is. */
static void bookings_around_corners(void **state) {
  (void)state;
  double waited[2] = {0}, most[2] = {0}, driven[2] = {0};
  for (int turns = 0; turns < 2; turns++)
    for (uint64_t seed = 0; seed < 40; seed++) {
      pc_scenario s = busy_scene(seed);
      double length = s.site.areas[0].outline.points[2].x_m, width = s.site.areas[0].outline.points[2].y_m;
      night_add_building(&s, 0.3 * length, 0.35 * width, 0.4 * length, 0.5 * width);
      night_add_building(&s, 0.65 * length, 0.4 * width, 0.7 * length, 0.6 * width);
      for (size_t m = 0; m < s.crew_count; m++)
        s.crew[m].start = (pc_point){0.0, 0.5 * width};
      s.loaders[0].turn_s = turns ? 6.0 : 0.0;
      night_run run = {0};
      night_make(&run, &s, NULL);
      night_go(&run, seed, 0);
      assert_int_equal(run.result.reason, PC_REASON_DONE);
      for (size_t p = 0; p < run.lot->passage_count; p++) {
        most[turns] = fmax(most[turns], crowded_s(&run, p));
        waited[turns] += run.result.passages[p].wait_s;
      }
      driven[turns] += night_time_s(&run, -1, PC_PHASE_CARRY) + night_time_s(&run, -1, PC_PHASE_RETURN);
      night_free(&run);
      pc_scenario_free(&s);
    }
  for (int turns = 0; turns < 2; turns++)
    print_message(
        "corners, turning in %d s: waited %.0f s, driven %.0f s; crowded for at most %.3g s in a run\n",
        6 * turns, waited[turns], driven[turns], most[turns]);
  assert_true(most[0] < 1e-6);
  assert_true(most[1] < 0.01 * driven[1] / 40.0);
}

/* ---- keeping apart ---- */

typedef struct gap {
  double least_m;
  size_t pairs;
} gap;

/* Two yards side by side, lanes along both: claims in different ones, by the distance of their rectangles. */
static void measure_across(night_run *run, const pc_trace_row *row) {
  (void)row;
  gap *found = run->context;
  const pc_claim *x = &run->world->machines[0].claim, *y = &run->world->machines[1].claim;
  if (x->patch < 0 || y->patch < 0 || x->patch == y->patch)
    return;
  const pc_patch *a = &run->lot->ground->patches[x->patch], *b = &run->lot->ground->patches[y->patch];
  double along = fmax(0.0, fmax(x->low_m - y->high_m, y->low_m - x->high_m));
  double low_a = a->v0_m + x->strip0 * a->strip_m, high_a = a->v0_m + x->strip1 * a->strip_m;
  double low_b = b->v0_m + y->strip0 * b->strip_m, high_b = b->v0_m + y->strip1 * b->strip_m;
  double across = fmax(0.0, fmax(low_a - high_b, low_b - high_a));
  found->least_m = fmin(found->least_m, hypot(along, across));
  found->pairs++;
}

static void apart_across_areas(void **state) {
  (void)state;
  for (int keep = 0; keep < 2; keep++) {
    static const pc_point zones[] = {{0, 40}, {100, 40}},
                          corners[] = {{0, 40}, {100, 40}, {100, 80}, {0, 80}};
    pc_scenario s = scene_rectangle(100, 40, zones, 2);
    pc_area *areas = pc_alloc(2, sizeof *areas);
    assert_non_null(areas);
    areas[0] = s.site.areas[0];
    areas[1] = pc_area_default();
    areas[1].name = pc_name_of("other");
    assert_int_equal(pc_ring_copy(&areas[1].outline, corners, 4), PC_OK);
    free(s.site.areas);
    s.site.areas = areas;
    s.site.area_count = 2;
    s.policy = pc_name_of("keep-pushing");
    s.crew = pc_alloc(1, sizeof *s.crew);
    assert_non_null(s.crew);
    s.crew_count = 1;
    s.crew[0] = pc_crew_entry_default();
    s.crew[0].loader = s.loaders[0].name;
    s.crew[0].box = s.boxes[0].name;
    s.crew[0].count = 2;
    s.keep_apart_m = keep ? 20.0 : 0.0;
    gap found = {INFINITY, 0};
    night_run run = {.look = measure_across, .context = &found};
    night_make(&run, &s, NULL);
    night_go(&run, 1, 0);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_true(found.pairs > 0);
    assert_true(keep ? found.least_m >= 20.0 - 1e-9 : found.least_m < 20.0); /* else the test shows nothing */
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Distance of two claimed stretches of one area, as rectangles. */
static void measure_gaps(night_run *run, const pc_trace_row *row) {
  (void)row;
  gap *found = run->context;
  for (size_t a = 0; a < run->lot->machine_count; a++)
    for (size_t b = a + 1; b < run->lot->machine_count; b++) {
      const pc_claim *x = &run->world->machines[a].claim, *y = &run->world->machines[b].claim;
      if (x->patch < 0 || x->patch != y->patch)
        continue;
      double strip = run->lot->ground->patches[x->patch].strip_m;
      double along = fmax(0.0, fmax(x->low_m - y->high_m, y->low_m - x->high_m));
      double across = strip * fmax(0, fmax(x->strip0 - y->strip1, y->strip0 - x->strip1));
      /* near in both directions at once: a claim is refused by the square around it, not by the circle */
      found->least_m = fmin(found->least_m, fmax(along, across));
      found->pairs++;
    }
}

static void nobody_is_near(void **state) {
  (void)state;
  size_t pairs = 0;
  double tightest = INFINITY;
  for (uint64_t seed = 0; seed < 45; seed++) {
    static const double aparts[] = {3.0, 8.0, 20.0, 45.0};
    pc_scenario s = busy_scene(seed);
    s.site.passage_count = seed % 2 ? s.site.passage_count : 0;
    size_t kept = s.site.passage_count;
    s.keep_apart_m = aparts[seed % 4];
    if (seed % 5 == 0) {
      night_add_box(&s, "narrow")->width_m = 3.1;
      s.crew[1].box = pc_name_of("narrow");
    }
    gap found = {INFINITY, 0};
    night_run run = {.look = measure_gaps, .context = &found};
    night_make(&run, &s, NULL);
    night_go(&run, seed, 0);
    assert_true(run.result.reason == PC_REASON_DONE);
    if (!(found.least_m >= s.keep_apart_m - 1e-9))
      fail_msg("seed %d: %g m apart, asked for %g", (int)seed, found.least_m, s.keep_apart_m);
    tightest = fmin(tightest, found.least_m / s.keep_apart_m);
    pairs += found.pairs;
    night_free(&run);
    s.site.passage_count = kept ? kept : 2;
    pc_scenario_free(&s);
  }
  print_message("keep apart: %zu pairs seen, the nearest at %.3f of what was asked for\n", pairs, tightest);
  assert_true(pairs > 1000);
}

/* ---- the same bytes ---- */

static void any_number_of_threads(void **state) {
  (void)state;
  pc_scenario s = busy_scene(7);
  for (size_t p = 0; p < s.site.passage_count; p++)
    s.site.passages[p].machines = 1;
  s.loaders[0].breakdown_mean_s = 900.0, s.loaders[0].repair_mean_s = 300.0;
  s.crew[0].break_every_s = 1200.0, s.crew[0].break_for_s = 200.0;
  s.keep_apart_m = 6.0;
  s.snow.depth_m = 0.02;
  night_add_storm(&s, 0.0, 0.03 / 3600.0);
  night_add_storm(&s, 5400.0, 0.0);
  pc_lot *lot = make_lot(&s);
  pc_summary summaries[4];
  static const int threads[] = {1, 2, 8, 1};
  enum { REPLICATIONS = 24 };
  for (int k = 0; k < 4; k++)
    assert_int_equal(pc_replicate(lot, REPLICATIONS, 3, threads[k], NULL, &summaries[k]), PC_OK);
  assert_true(summaries[0].mean.passages[0].wait_s + summaries[0].mean.passages[1].wait_s > 0.0);
  assert_true(summaries[0].mean.machines[0].repair_s > 0.0 && summaries[0].mean.fallen_kg > 0.0);
  assert_true(summaries[0].total_time_s.max > summaries[0].total_time_s.min);
  for (int k = 1; k < 4; k++) {
    const pc_result *a = &summaries[0].mean, *b = &summaries[k].mean;
    assert_memory_equal(summaries[0].times_s, summaries[k].times_s, REPLICATIONS * sizeof(double));
    assert_true(pc_result_hash(a) == pc_result_hash(b));
    for (size_t m = 0; m < a->machine_count; m++)
      assert_memory_equal(&a->machines[m].time_s, &b->machines[m].time_s, sizeof a->machines[m].time_s);
    for (size_t i = 0; i < a->area_count; i++)
      assert_true(a->areas[i].done_s == b->areas[i].done_s &&
                  a->areas[i].max_depth_m == b->areas[i].max_depth_m);
    for (size_t i = 0; i < a->passage_count; i++)
      assert_true(a->passages[i].wait_s == b->passages[i].wait_s);
  }
  for (int k = 0; k < 4; k++)
    pc_summary_free(&summaries[k]);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(two_machines_one_passage), cmocka_unit_test(more_machines),
      cmocka_unit_test(one_after_the_other),      cmocka_unit_test(bookings_hold),
      cmocka_unit_test(bookings_around_corners),  cmocka_unit_test(nobody_is_near),
      cmocka_unit_test(apart_across_areas),       cmocka_unit_test(any_number_of_threads),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
