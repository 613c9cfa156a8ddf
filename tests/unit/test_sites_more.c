// SPDX-License-Identifier: GPL-3.0-or-later
/* Sites with obstacles: what must not change a result or may change it in one direction only, mean distances
 * over a lot with a hole, and a car park with 300 vehicles. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/random.h"
#include "base/sum.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"

/* Fails unless |value − expected| ≤ slack. */
static void close_to(const char *what, double value, double expected, double slack) {
  if (!(fabs(value - expected) <= slack))
    fail_msg("%s: %.12g, expected %.12g (off by %g, allowed %g)", what, value, expected, value - expected,
             slack);
}

static pc_ring ring_of(double x0, double y0, double x1, double y1) {
  const pc_point corners[] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  pc_ring ring;
  assert_int_equal(pc_ring_copy(&ring, corners, 4), PC_OK);
  return ring;
}

static void add_block(pc_scenario *s, pc_ring outline) {
  s->site.obstacles = realloc(s->site.obstacles, (s->site.obstacle_count + 1) * sizeof *s->site.obstacles);
  assert_non_null(s->site.obstacles);
  s->site.obstacles[s->site.obstacle_count++] = (pc_obstacle){
      .name = pc_name_of("block"), .kind = PC_OBSTACLE_ISLAND, .outline = outline, .radius_m = NAN};
}

/* 85 × 61 m with two zones on its sides, an apron around it, and two blocks inside. */
static pc_scenario yard(const char *policy, int machines) {
  static const pc_point zones[] = {{-20, 17}, {101, 41}};
  pc_scenario s = scene_rectangle(85, 61, zones, 2);
  s.policy = pc_name_of(policy);
  s.site.ground = calloc(1, sizeof *s.site.ground);
  s.crew = calloc(1, sizeof *s.crew);
  assert_true(s.site.ground && s.crew);
  s.site.ground[0] = (pc_ground_outline){.name = pc_name_of("apron"), .outline = ring_of(-30, -30, 115, 91)};
  s.site.ground_count = 1;
  add_block(&s, ring_of(31.3, 17.2, 44.9, 30.1));
  add_block(&s, ring_of(60.2, 38.4, 62.1, 52.7));
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = s.boxes[0].name;
  s.crew[0].count = machines;
  s.crew[0].has_start = true;
  s.crew[0].start = (pc_point){3, 2};
  return s;
}

static pc_point moved(pc_point p, double turn, pc_point by) {
  return (pc_point){cos(turn) * p.x_m - sin(turn) * p.y_m + by.x_m,
                    sin(turn) * p.x_m + cos(turn) * p.y_m + by.y_m};
}

static void move_ring(pc_ring *ring, double turn, pc_point by) {
  for (size_t i = 0; i < ring->count; i++)
    ring->points[i] = moved(ring->points[i], turn, by);
}

static void move_site(pc_scenario *s, double turn, pc_point by) {
  move_ring(&s->site.areas[0].outline, turn, by);
  s->site.areas[0].heading_rad += turn;
  for (size_t i = 0; i < s->site.ground_count; i++)
    move_ring(&s->site.ground[i].outline, turn, by);
  for (size_t i = 0; i < s->site.obstacle_count; i++)
    move_ring(&s->site.obstacles[i].outline, turn, by);
  for (size_t z = 0; z < s->zone_count; z++) {
    s->zones[z].at = moved(s->zones[z].at, turn, by);
    move_ring(&s->zones[z].outline, turn, by);
  }
  s->crew[0].start = moved(s->crew[0].start, turn, by);
}

static pc_result done(const pc_scenario *s) {
  pc_result result = simulate(s, NULL);
  assert_int_equal(result.reason, PC_REASON_DONE);
  return result;
}

static double time_of(const pc_scenario *s) {
  pc_result result = done(s);
  double time = result.total_time_s;
  pc_result_free(&result);
  return time;
}

static void rotated_and_shifted(void **state) {
  (void)state;
  static const double turns[] = {0.3, 1.5707963267948966, 2.0, -2.9};
  for (int machines = 1; machines <= 3; machines += 2) {
    pc_scenario s = yard("straight-runs", machines);
    double expected = time_of(&s);
    pc_scenario_free(&s);
    for (size_t t = 0; t < sizeof turns / sizeof *turns; t++) {
      s = yard("straight-runs", machines);
      move_site(&s, turns[t], (pc_point){-431.7, 1208.3});
      assert_near("turned", time_of(&s), expected, 1e-6);
      pc_scenario_free(&s);
    }
  }
}

/* Ways are not straight before, so nothing changes in kind. */
static void far_obstacle(void **state) {
  (void)state;
  static const char *const policies[] = {"straight-runs", "keep-pushing"};
  for (size_t p = 0; p < 2; p++) {
    pc_scenario s = yard(policies[p], 2);
    double expected = time_of(&s);
    add_block(&s, ring_of(900, 900, 910, 915)); /* off the pavement */
    assert_near("off the pavement", time_of(&s), expected, 1e-6);
    add_block(&s, ring_of(-29, 85, -25, 90)); /* in a corner of the apron */
    assert_near("in a corner", time_of(&s), expected, 1e-6);
    pc_scenario_free(&s);
  }
}

/* Common sense, no source: what stands between the lanes and the zones costs time. The lanes stay as they
 * are. The policy looks only one load ahead, so a little may be gained by luck. */
static void obstacle_in_the_way(void **state) {
  (void)state;
  pc_stream stream;
  pc_stream_start(&stream, 77, 0, 0, 0);
  pc_scenario plain = yard("straight-runs", 1);
  double before = time_of(&plain), least = INFINITY, most = 0;
  pc_scenario_free(&plain);
  for (int i = 0; i < 40; i++) {
    pc_scenario s = yard("straight-runs", 1);
    double x = i % 2 ? random_between(&stream, 88, 94) : random_between(&stream, -14, -8);
    double y = random_between(&stream, -10, 60), high = random_between(&stream, 3, 25);
    add_block(&s, ring_of(x, y, x + 2.5, y + high));
    double ratio = time_of(&s) / before;
    least = fmin(least, ratio);
    most = fmax(most, ratio);
    pc_scenario_free(&s);
  }
  print_message("an obstacle on the way: %.4f … %.4f of the time without\n", least, most);
  assert_true(least >= 0.98);
  assert_true(most > 1.001); /* they were in the way */
}

/* Ways to the nearest zone from every slot; 0 where a machine of this width does not get to. */
static double *ways_of(double machine_width_m, size_t *slots) {
  pc_scenario s = yard("straight-runs", 1);
  for (int i = 0; i < 3; i++) /* three more on the apron, before a zone */
    add_block(&s, ring_of(-9 + i, 3.5 + 11 * i, -6 + i, 9.25 + 11 * i));
  s.loaders[0].machine_width_m = machine_width_m;
  pc_lot *lot = make_lot(&s);
  const pc_lane_set *set = &lot->lane_sets[0];
  close_to("half of it", set->half_width_m, 0.5 * machine_width_m, 1e-12);
  *slots = set->slot_count;
  double *ways = malloc(set->slot_count * sizeof *ways);
  assert_non_null(ways);
  for (size_t slot = 0; slot < set->slot_count; slot++)
    ways[slot] = set->slot_m2[slot] > 0 ? set->slot_way_m[slot] : 0;
  pc_lot_free(lot);
  pc_scenario_free(&s);
  return ways;
}

/* The lanes are the box's, the ways the machine's: a wider one has less room. But corners nearer to a line
 * than 2 % of half the width are left out, and a leg that begins nearer to something than half the width, or
 * ends at a pile, may cut the corner there: where a gap beside it is too narrow for the wider one to keep off
 * both sides, that is more than for the other. So a few ways become shorter, by less than half the width. */
static void wider_is_never_shorter(void **state) {
  (void)state;
  static const double widths[] = {4.5, 4.8, 5.5, 6.5, 8};
  size_t slots, longer = 0, shorter = 0, compared = 0;
  double gained = 0;
  double *before = ways_of(widths[0], &slots);
  for (size_t k = 1; k < sizeof widths / sizeof *widths; k++) {
    double *ways = ways_of(widths[k], &slots);
    for (size_t slot = 0; slot < slots; slot++) {
      if (!(ways[slot] > 0 && before[slot] > 0))
        continue;
      compared++;
      longer += ways[slot] > before[slot] + 1e-6;
      gained = fmax(gained, before[slot] - ways[slot]);
      shorter += ways[slot] < before[slot] - 0.02 * widths[k];
      if (ways[slot] < before[slot] - 0.5 * widths[k])
        fail_msg("slot %zu: %.9f m with a width of %g m, %.9f m with less", slot, ways[slot], widths[k],
                 before[slot]);
    }
    free(before);
    before = ways;
  }
  free(before);
  print_message("%zu of %zu ways became longer, %zu shorter, by at most %.3f m\n", longer, compared, shorter,
                gained);
  assert_true(compared > 2000 && longer > 100 && shorter < compared / 100);
}

/* ---- mean distances with a hole ---- */

/* Mean distance of a W × H rectangle to a corner: d/3 + W²/(6H)·asinh(H/W) + H²/(6W)·asinh(W/H), d the
 * diagonal (MathWorld, "Square Point Picking", for the square: 0.7651957). */
static double to_corner(double w, double h) {
  return hypot(w, h) / 3 + w * w / (6 * h) * asinh(h / w) + h * h / (6 * w) * asinh(w / h);
}

typedef struct rect {
  double x0, y0, x1, y1;
} rect;

/* ∫ distance over a rectangle: signed sums over the rectangles between the point and each corner. */
static double moment(rect r, pc_point p) {
  const double u[] = {r.x0 - p.x_m, r.x1 - p.x_m}, v[] = {r.y0 - p.y_m, r.y1 - p.y_m};
  double sum = 0;
  for (int i = 0; i < 2; i++)
    for (int j = 0; j < 2; j++)
      if (u[i] != 0 && v[j] != 0)
        sum += (i == j ? 1 : -1) * u[i] * v[j] * to_corner(fabs(u[i]), fabs(v[j]));
  return sum;
}

static double area_of(rect r) {
  return (r.x1 - r.x0) * (r.y1 - r.y0);
}

static double grid_mean(const pc_ground *ground, pc_point p) {
  const pc_patch *patch = &ground->patches[0];
  pc_sum sum = {0, 0};
  for (int i = 0; i < patch->stations; i++)
    for (int j = 0; j < patch->strips; j++) {
      pc_point at = pc_patch_world(patch, patch->u0_m + (i + 0.5) * patch->station_m,
                                   patch->v0_m + (j + 0.5) * patch->strip_m);
      pc_sum_add(&sum, hypot(at.x_m - p.x_m, at.y_m - p.y_m) * ground->cell_m2[pc_patch_cell(patch, i, j)]);
    }
  return pc_sum_value(&sum) / patch->area_m2;
}

static void mean_distances_with_a_hole(void **state) {
  (void)state;
  close_to("unit square, corner", moment((rect){0, 0, 1, 1}, (pc_point){0, 0}), 0.7651957, 5e-8);
  close_to("unit square, centre", moment((rect){0, 0, 1, 1}, (pc_point){0.5, 0.5}), 0.3825979, 5e-8);
  close_to("unit square, side", moment((rect){0, 0, 1, 1}, (pc_point){0.5, 0}), 0.5932334, 5e-8);
  const rect lot = {0, 0, 200, 100};
  const rect holes[] = {
      {0, 0, 100, 50}, {75, 0, 125, 50}, {50, 25, 150, 75}, {120, 60, 190, 90}, {33.3, 11.7, 71.9, 86.2}};
  const pc_point places[] = {{0, 0}, {100, 50}, {100, 0}, {0, 50}, {200, 100}};
  pc_area area = pc_area_default();
  area.outline = ring_of(lot.x0, lot.y0, lot.x1, lot.y1);
  pc_site site = {.areas = &area, .area_count = 1};
  for (size_t k = 0; k < sizeof holes / sizeof *holes; k++) {
    pc_ring hole = ring_of(holes[k].x0, holes[k].y0, holes[k].x1, holes[k].y1);
    const pc_ring *list = &hole;
    pc_ground *ground = NULL;
    assert_int_equal(pc_ground_create(&site, &list, 1, 0.5, 0.5, &ground, NULL), PC_OK);
    close_to("area", ground->patches[0].area_m2, area_of(lot) - area_of(holes[k]), 1e-6);
    for (size_t p = 0; p < sizeof places / sizeof *places; p++) {
      double want =
          (moment(lot, places[p]) - moment(holes[k], places[p])) / (area_of(lot) - area_of(holes[k]));
      /* Midpoint rule: off by cell²/24 · mean of 1/distance. Along the edges of the last hole a cell's middle
       * is up to a quarter of a cell from that of its part: 0.125 m on 226 m of 20,000 m². */
      close_to("mean distance", grid_mean(ground, places[p]), want, k == 4 ? 2e-3 : 1e-3);
    }
    pc_ground_free(ground);
    pc_ring_free(&hole);
  }
  pc_ring_free(&area.outline);
}

/* ---- a car park ---- */

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void parked(void **state) {
  (void)state;
  for (int rows = 0; rows < 2; rows++)
    for (int policy = 0; policy < 2; policy++) {
      pc_scenario s = scene_parked(300, rows);
      s.policy = pc_name_of(policy ? "keep-pushing" : "straight-runs");
      double begin = seconds();
      pc_lot *lot = make_lot(&s);
      double made = seconds();
      pc_world *world;
      pc_result r;
      assert_int_equal(pc_world_create(lot, &world), PC_OK);
      assert_int_equal(pc_result_init(&r, lot->machine_count, lot->zone_count), PC_OK);
      assert_int_equal(pc_world_run(world, 1, 0, NULL, &r), PC_OK);
      double ran = seconds();
      print_message(
          "300 vehicles %s, %s: lot %.2f s, run %.3f s: %.1f h of work, %d loads, %s; %.0f m2 for a smaller "
          "machine\n",
          rows ? "in rows" : "scattered", s.policy.text, made - begin, ran - made, r.total_time_s / 3600,
          r.cycles, pc_reason_name(r.reason), r.small_m2);
      assert_true(r.reason == PC_REASON_DONE || r.reason == PC_REASON_ZONES_FULL);
      assert_near("snow", r.placed_kg + r.left_kg, r.start_kg, 1e-9);
      assert_near("all snow", r.start_kg + r.small_kg, 10 * (300 * 240 - 300 * 4.4 * 1.8), 1e-9);
      assert_true(r.cycles > 0 && r.small_m2 < 0.5 * 300 * 240);
      pc_world_free(world);
      pc_result_free(&r);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rotated_and_shifted),        cmocka_unit_test(far_obstacle),
      cmocka_unit_test(obstacle_in_the_way),        cmocka_unit_test(wider_is_never_shorter),
      cmocka_unit_test(mean_distances_with_a_hole), cmocka_unit_test(parked),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
