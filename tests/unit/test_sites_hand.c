// SPDX-License-Identifier: GPL-3.0-or-later
/* Whole runs on sites with obstacles whose time can be written down as a sum. No outside values: the sums
 * follow from lengths, angles and speeds alone. One lane of 4.5 m along x from (0, 0), its middle at
 * y = 2.25; machines 4.5 m wide. Speeds: push 2.2, carry 3.3, return 4.5, reverse 5/8 of that; 6 s for half a
 * turn, 2 s to lower, 8 s to dump. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#include "scene.h"
#include "simulate.h"

static const double push = 2.2, carry = 3.3, back = 4.5, reverse = 4.5 * 5 / 8, half_turn_s = 6, lower_s = 2,
                    dump_s = 8, middle = 2.25, load_kg = 1350;

static pc_ring rectangle(double x0, double y0, double x1, double y1) {
  const pc_point corners[] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  pc_ring ring;
  assert_int_equal(pc_ring_copy(&ring, corners, 4), PC_OK);
  return ring;
}

static void add_obstacle(pc_scenario *s, pc_obstacle_kind kind, pc_ring outline) {
  s->site.obstacles = realloc(s->site.obstacles, (s->site.obstacle_count + 1) * sizeof *s->site.obstacles);
  assert_non_null(s->site.obstacles);
  s->site.obstacles[s->site.obstacle_count++] =
      (pc_obstacle){.name = pc_name_of("building"), .kind = (int)kind, .outline = outline, .radius_m = NAN};
}

static void add_apron(pc_scenario *s, pc_ring outline) {
  s->site.ground = calloc(1, sizeof *s->site.ground);
  assert_non_null(s->site.ground);
  s->site.ground[0] = (pc_ground_outline){.name = pc_name_of("apron"), .outline = outline};
  s->site.ground_count = 1;
}

static void start_at(pc_scenario *s, int machines, pc_point at) {
  s->crew = calloc(1, sizeof *s->crew);
  assert_non_null(s->crew);
  s->crew_count = 1;
  s->crew[0] = pc_crew_entry_default();
  s->crew[0].loader = s->loaders[0].name;
  s->crew[0].box = s->boxes[0].name;
  s->crew[0].count = machines;
  s->crew[0].has_start = true;
  s->crew[0].start = at;
}

static pc_result done(const pc_scenario *s, const pc_trace *trace) {
  pc_result result = simulate(s, trace);
  assert_int_equal(result.reason, PC_REASON_DONE);
  return result;
}

/* ---- a building between the lane and the zone ---- */

typedef struct path {
  double length_m, bends_rad;
  pc_point into, out; /* directions of the first and last leg */
} path;

static double angle(pc_point a, pc_point b) {
  return acos((a.x_m * b.x_m + a.y_m * b.y_m) / (hypot(a.x_m, a.y_m) * hypot(b.x_m, b.y_m)));
}

static path path_of(const pc_point *points, size_t count) {
  path p = {0};
  for (size_t i = 0; i + 1 < count; i++) {
    pc_point leg = {points[i + 1].x_m - points[i].x_m, points[i + 1].y_m - points[i].y_m};
    p.length_m += hypot(leg.x_m, leg.y_m);
    if (i > 0)
      p.bends_rad += angle(p.out, leg);
    else
      p.into = leg;
    p.out = leg;
  }
  return p;
}

static double turning(double rad) {
  return half_turn_s * rad / 3.14159265358979323846;
}

static void around_a_building(void **state) {
  (void)state;
  static const pc_point zone = {30, 40}, east = {1, 0};
  pc_scenario s = scene_rectangle(50, 4.5, &zone, 1);
  add_apron(&s, rectangle(-20, -20, 100, 60));
  add_obstacle(&s, PC_OBSTACLE_BUILDING, rectangle(20, 15, 45, 20));
  start_at(&s, 1, (pc_point){0, middle});
  pc_result result = done(&s, NULL);
  /* 45 kg/m: full after 30 m, then 900 kg from the other 20 m. The machine's middle keeps 2.25 m off. */
  const pc_point first[] = {{30, middle}, {17.75, 12.75}, {17.75, 22.25}, zone};
  const pc_point second[] = {{50, middle}, {47.25, 22.25}, zone}; /* past the lower corner */
  path one = path_of(first, 4), two = path_of(second, 3);
  const pc_point home = {-one.into.x_m, -one.into.y_m};
  double there = turning(angle(east, one.into) + one.bends_rad) + one.length_m / carry;
  /* back the same way: half a turn at the pile, or in reverse, and turned round at the end */
  double forward = half_turn_s + turning(angle(home, east)) + one.length_m / back;
  double backward = turning(angle(one.into, east)) + one.length_m / reverse;
  double again = turning(one.bends_rad) + fmin(forward, backward);
  double expected = lower_s + 30 / push + there + dump_s + again + lower_s + 20 / push +
                    turning(angle(east, two.into) + two.bends_rad) + two.length_m / carry + dump_s;
  assert_near("around the building", result.total_time_s, expected, 1e-9);
  assert_near("carried", result.machines[0].carry_m, one.length_m + two.length_m, 1e-9);
  assert_near("back", result.machines[0].return_m, one.length_m, 1e-9);
  pc_result_free(&result);
  pc_scenario_free(&s);
}

/* ---- a gate ---- */

/* Two walls across the yard that end in points 5 m apart: a machine of 4.5 m gets through, though corners
 * grown by half its width touch each other. Lanes are on either side, the zone on one. */
static void between_two_points(void **state) {
  (void)state;
  static const pc_point zone = {100, 22.5};
  for (int policy = 0; policy < 2; policy++) {
    pc_scenario s = scene_rectangle(100, 45, &zone, 1);
    for (int side = -1; side <= 1; side += 2) {
      const pc_point corners[] = {{40, 22.5 + side * 23},
                                  {40, 22.5 + side * 12},
                                  {50, 22.5 + side * 2.5},
                                  {60, 22.5 + side * 12},
                                  {60, 22.5 + side * 23}};
      pc_ring wall;
      assert_int_equal(pc_ring_copy(&wall, corners, 5), PC_OK);
      add_obstacle(&s, PC_OBSTACLE_ISLAND, wall);
    }
    s.policy = pc_name_of(policy ? "keep-pushing" : "straight-runs");
    pc_result result = done(&s, NULL);
    assert_true(result.small_m2 < 0.05 * 100 * 45);
    assert_true(result.placed_kg > 0.95 * result.start_kg);
    pc_result_free(&result);
    pc_scenario_free(&s);
  }
}

/* ---- the front of a pile ---- */

/* A pile 12 m deep at the lane's beginning, filled from its far side: load k goes 12·(1 − share filled)
 * deeper than the face. `back_out` counts from where it dumped, but it leaves the zone in any case. */
static void front_of_a_pile(void **state) {
  (void)state;
  static const double back_outs[] = {0, 15};
  for (size_t b = 0; b < 2; b++) {
    pc_scenario s = scene_rectangle(200, 4.5, NULL, 0);
    s.zones = realloc(s.zones, sizeof *s.zones);
    assert_non_null(s.zones);
    s.zone_count = 1;
    s.zones[0] = pc_zone_default();
    s.zones[0].name = pc_name_of("pile");
    s.zones[0].outline = rectangle(-12, 0, 0, 4.5);
    s.zones[0].volume_m3 = 100;
    s.zones[0].stack = 0.5;
    s.snow.pile_density_kgpm3 = 450; /* 45,000 kg */
    s.loaders[0].back_out_m = back_outs[b];
    start_at(&s, 1, (pc_point){0, middle});
    pc_result result = done(&s, NULL);
    double expected = 0, deeper = 0, backed = 0;
    for (int k = 0; k < 7; k++) { /* six full ones of 30 m and one of 20 m */
      double share = k * load_kg / 45000, front = 12 * (1 - share), begin = 30 * k,
             end = fmin(begin + 30, 200);
      double beyond = fmax(0, back_outs[b] - front);
      expected += lower_s + (end - begin) / push + half_turn_s + (end + front) / carry +
                  dump_s * (1 + 0.5 * share * share);
      deeper += front;
      if (k == 6)
        break;
      expected += (front + beyond) / reverse + half_turn_s + (end - beyond) / back;
      backed += front + end;
    }
    assert_near("to the front", result.total_time_s, expected, 1e-9);
    assert_near("carried", result.machines[0].carry_m, 30 + 60 + 90 + 120 + 150 + 180 + 200 + deeper, 1e-9);
    assert_near("back", result.machines[0].return_m, backed, 1e-9);
    pc_result_free(&result);
    pc_scenario_free(&s);
  }
}

/* ---- slowly along a wall ---- */

/* A wall 5.75 m beside the lane's middle from x = 40 to 60: no more than 6.2 m from it are the slots of 2 m
 * with their middles at 39 … 61, 24 m in all. Driven over: filling 80 m, with it to the zone, back, and from
 * the end. */
static void slowly_along_a_wall(void **state) {
  (void)state;
  static const pc_point zone = {0, 2.25};
  double time[2];
  for (int slow = 0; slow < 2; slow++) {
    pc_scenario s = scene_rectangle(100, 4.5, &zone, 1);
    s.snow.depth_m = 0.0375; /* 16.875 kg/m: full after 80 m */
    add_apron(&s, rectangle(-20, -20, 120, 40));
    add_obstacle(&s, PC_OBSTACLE_BUILDING, rectangle(40, 8, 60, 12));
    start_at(&s, 1, (pc_point){0, middle});
    if (slow)
      s.near = (pc_near){.distance_m = 6.2, .speed_mps = 1.1};
    pc_result result = done(&s, NULL);
    time[slow] = result.total_time_s;
    pc_result_free(&result);
    pc_scenario_free(&s);
  }
  double plain = lower_s + 80 / push + half_turn_s + 80 / carry + dump_s + half_turn_s + 80 / back + lower_s +
                 20 / push + half_turn_s + 100 / carry + dump_s;
  assert_near("without", time[0], plain, 1e-9);
  double more = 24 * ((1 / 1.1 - 1 / push) + 2 * (1 / 1.1 - 1 / carry) + (1 / 1.1 - 1 / back));
  assert_near("slowly", time[1] - time[0], more, 1e-9);
}

/* ---- a strip along a wall ---- */

static void strip_along_a_wall(void **state) {
  (void)state;
  static const pc_point zone = {20, 0};
  static const pc_obstacle_kind kinds[] = {PC_OBSTACLE_BUILDING, PC_OBSTACLE_FENCE, PC_OBSTACLE_PARKED,
                                           PC_OBSTACLE_OLD_PILE, PC_OBSTACLE_ISLAND};
  for (size_t k = 0; k < 5; k++) {
    pc_scenario s = scene_rectangle(40, 30, &zone, 1);
    add_obstacle(&s, kinds[k], rectangle(-10, 30, 50, 40)); /* along the area's north side */
    s.near.border_m = 1;
    pc_result result = done(&s, NULL);
    double strip = kinds[k] == PC_OBSTACLE_ISLAND ? 0 : 40; /* kerbs are cleaned up to */
    assert_true(fabs(result.small_m2 - strip) <= 1e-9 * 1200);
    assert_true(fabs(result.small_kg - 10 * strip) <= 1e-9 * 12000);
    assert_near("the rest", result.start_kg, 12000 - 10 * strip, 1e-9);
    assert_near("all of it is cleared", result.placed_kg + result.left_kg, 12000 - 10 * strip, 1e-9);
    pc_result_free(&result);
    pc_scenario_free(&s);
  }
}

/* In the middle of the area the strip goes all round, with its corners; lanes that miss it by less than half
 * a box leave more. */
static void strip_around_a_building(void **state) {
  (void)state;
  static const pc_point zone = {30, 0};
  double small[2];
  for (int border = 0; border < 2; border++) {
    pc_scenario s = scene_rectangle(60, 45, &zone, 1); /* ten lanes: middles at 2.25, 6.75 … */
    add_obstacle(&s, PC_OBSTACLE_BUILDING, rectangle(20, 18, 30, 27)); /* two lanes wide */
    s.near.border_m = border;
    pc_result result = done(&s, NULL);
    small[border] = result.small_m2;
    assert_near("snow", result.small_kg, 10 * result.small_m2, 1e-9);
    assert_near("all snow", result.start_kg + result.small_kg, 10 * (60 * 45 - 10 * 9), 1e-9);
    pc_result_free(&result);
    pc_scenario_free(&s);
  }
  assert_true(small[0] == 0);
  assert_near("strip", small[1], 12 * 11 - 10 * 9, 1e-9);
}

/* ---- berths ---- */

typedef struct berths { /* the last dump of each machine */
  pc_trace_row last[PC_CREW_MAX];
  bool any[PC_CREW_MAX];
  double least_m;
  int together;
} berths;

static void note_dump(void *context, const pc_trace_row *row) {
  berths *b = context;
  if (row->phase != PC_PHASE_DUMP)
    return;
  b->last[row->machine] = *row;
  b->any[row->machine] = true;
  for (size_t o = 0; o < PC_CREW_MAX; o++) {
    const pc_trace_row *other = &b->last[o];
    if (o == row->machine || !b->any[o] || other->end_s <= row->start_s || row->end_s <= other->start_s)
      continue;
    b->together++;
    b->least_m = fmin(b->least_m, hypot(other->from.x_m - row->from.x_m, other->from.y_m - row->from.y_m));
  }
}

/* Two boxes of 4.5 m side by side need 4.5 m between their middles. */
static void berths_are_apart(void **state) {
  (void)state;
  for (int policy = 0; policy < 2; policy++)
    for (int machines = 2; machines <= 4; machines++) {
      pc_scenario s = scene_rectangle(60, 40, NULL, 0);
      s.zones = realloc(s.zones, sizeof *s.zones);
      assert_non_null(s.zones);
      s.zone_count = 1;
      s.zones[0] = pc_zone_default();
      s.zones[0].name = pc_name_of("pile");
      s.zones[0].outline = rectangle(-6, 5, 0, 35);
      s.zones[0].volume_m3 = 1e5;
      s.zones[0].berths = 2;
      s.loaders[0].dump_s = 25; /* long, so that they meet */
      s.policy = pc_name_of(policy ? "keep-pushing" : "straight-runs");
      start_at(&s, machines, (pc_point){1, 1});
      berths seen = {.least_m = INFINITY};
      pc_trace trace = {.row = note_dump, .context = &seen};
      pc_result result = done(&s, &trace);
      print_message("%s, %d machines: %d dumps side by side, at least %.3f m apart\n", s.policy.text,
                    machines, seen.together, seen.least_m);
      assert_true(seen.together >= 3);
      assert_true(seen.least_m >= 4.5 - 1e-6);
      pc_result_free(&result);
      pc_scenario_free(&s);
    }
}

typedef struct faces { /* where the way of each machine's first load comes to the pile */
  double pile_x_m, y_m[2];
  double turn_s[2]; /* of the last turn of each */
  int loads[2];
} faces;

/* It is as long as it is straight, and the turn into it, from along the lane, takes its share of half a turn.
 */
static void note_face(void *context, const pc_trace_row *row) {
  faces *f = context;
  double turn_s = f->turn_s[row->machine];
  f->turn_s[row->machine] = row->phase == PC_PHASE_TURN ? row->end_s - row->start_s : 0;
  if (row->phase != PC_PHASE_CARRY || row->zone < 0 || f->loads[row->machine]++ > 0)
    return;
  double dx = row->to.x_m - row->from.x_m, dy = row->to.y_m - row->from.y_m;
  f->y_m[row->machine] = row->from.y_m + (f->pile_x_m - row->from.x_m) / dx * dy;
  assert_near("way", row->distance_m, hypot(dx, dy), 1e-9);
  assert_near("turn", turn_s, half_turn_s - turning(atan2(fabs(dy), fabs(dx))), 1e-6);
}

/* Two lanes of 3 m, each pushed by a box of 4.5 m towards a pile along their ends: straight on, their middles
 * would come there 3 m apart, at 1.5 and 4.5 m. The one that comes second goes to the nearest place with 4.5
 * m between them: places are looked at every quarter of half a box, 0.5625 m, so by three of these, to 6.1875
 * m. With one berth it goes straight on, and waits. */
static void the_nearest_berth_beside(void **state) {
  (void)state;
  for (int k = 0; k < 12; k++) {
    int mirror = k & 1, count = 1 + k / 4;
    pc_scenario s = scene_rectangle(60, 6, NULL, 0);
    s.snow.depth_m = k & 2 ? 0.75 : 0.1; /* so deep that loads come from near by, and askew */
    s.boxes[0].overlap_m = 1.5;
    add_apron(&s, rectangle(0, -20, 60, 26));
    s.zones = realloc(s.zones, sizeof *s.zones);
    assert_non_null(s.zones);
    s.zone_count = 1;
    s.zones[0] = pc_zone_default();
    s.zones[0].name = pc_name_of("pile");
    s.zones[0].outline = rectangle(mirror ? 60 : -6, -20, mirror ? 66 : 0, 26);
    s.zones[0].volume_m3 = 1e5;
    s.zones[0].berths = count;
    s.loaders[0].dump_s = 25;
    start_at(&s, 2, (pc_point){mirror ? 59 : 1, 3});
    faces seen = {.pile_x_m = mirror ? 60 : 0};
    pc_trace trace = {.row = note_face, .context = &seen};
    pc_result result = done(&s, &trace);
    assert_near("first", seen.y_m[0], 1.5, 1e-9);
    assert_near("second", seen.y_m[1], count > 1 ? 4.5 + 3 * 0.5625 : 4.5, 1e-9);
    assert_true(count > 1 ? result.zones[0].wait_s == 0 : result.zones[0].wait_s > 0);
    pc_result_free(&result);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(around_a_building),  cmocka_unit_test(between_two_points),
      cmocka_unit_test(front_of_a_pile),    cmocka_unit_test(slowly_along_a_wall),
      cmocka_unit_test(strip_along_a_wall), cmocka_unit_test(strip_around_a_building),
      cmocka_unit_test(berths_are_apart),   cmocka_unit_test(the_nearest_berth_beside)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
