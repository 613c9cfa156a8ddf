// SPDX-License-Identifier: GPL-3.0-or-later
/* Where what is carved out of an area is dropped in the other one: straight on, or else at the nearest of its
 * open slots. Against looking at every slot. And where the bites of it begin, by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "scene.h"
#include "simulate.h"

/* An area of 30 m × 22 m in lanes along x, carved out into one that stands where it is told, on which there
 * is an island. */
static pc_lot *lot_with(double x0, double y0, double x1, double y1, const double island[4], pc_scenario *s) {
  *s = scene_rectangle(10.0, 10.0, NULL, 0);
  pc_site_free(&s->site);
  night_add_area(s, "inner", 0.0, 0.0, 30.0, 22.0)->into = pc_name_of("outer");
  night_add_area(s, "outer", x0, y0, x1, y1);
  night_add_zone(s, x0, 0.5 * (y0 + y1));
  night_add_crew(s, "loader", "box", (pc_point){0.5 * (x0 + x1), 0.5 * (y0 + y1)});
  if (island) {
    night_add_building(s, island[0], island[1], island[2], island[3]);
    s->site.obstacles[0].kind = PC_OBSTACLE_ISLAND;
  }
  return make_lot(s);
}

/* Both ends of the lane, and all slots of the other area. */
static double nearest_m(const pc_lot *lot, const pc_lane *lane, int *sign) {
  const pc_lane_set *set = &lot->lane_sets[0];
  double least = INFINITY;
  pc_point middle = pc_lane_point(lot, lane, 15.0);
  for (size_t l = 0; l < set->lane_count; l++)
    for (int i = 0; i < set->lanes[l].stations && set->lanes[l].patch == 1; i++) {
      const pc_patch *patch = &lot->ground->patches[1];
      pc_point at = pc_lane_point(lot, &set->lanes[l], patch->u0_m + (i + 0.5) * patch->station_m);
      for (int side = -1; side <= 1; side += 2) {
        double away = hypot(at.x_m - (side > 0 ? 30.0 : 0.0), at.y_m - middle.y_m);
        if (!(set->slot_m2[set->lanes[l].first + (size_t)i] > 0.0) || !(away < least))
          continue;
        least = away;
        *sign = side;
      }
    }
  return least;
}

static void at_the_nearest_slot(void **state) {
  (void)state;
  /* above and below, at the one end and at the other: nowhere straight on */
  static const double outer[4][4] = {{0, 22, 21, 50}, {9, 22, 30, 50}, {0, -31, 21, 0}, {9, -31, 30, 0}};
  static const double corner[4][4] = {{0, 22, 6, 28}, {24, 22, 30, 28}, {0, -6, 6, 0}, {24, -6, 30, 0}};
  for (size_t i = 0; i < 8; i++) { /* open, or with an island on the nearest of it */
    size_t k = i / 2;
    pc_scenario s;
    pc_lot *lot = lot_with(outer[k][0], outer[k][1], outer[k][2], outer[k][3], i & 1 ? corner[k] : NULL, &s);
    const pc_lane_set *set = &lot->lane_sets[0];
    size_t lanes = 0;
    for (size_t l = 0; l < set->lane_count; l++) {
      if (set->lanes[l].patch != 0)
        continue;
      int sign = 0;
      double least = nearest_m(lot, &set->lanes[l], &sign);
      pc_point end = {set->exit[l] > 0 ? 30.0 : 0.0, pc_lane_point(lot, &set->lanes[l], 15.0).y_m};
      pc_point drop = pc_lane_point(lot, &set->lanes[set->drop_lane[l]], set->drop_u_m[l]);
      assert_int_equal(set->lanes[set->drop_lane[l]].patch, 1);
      assert_int_equal(set->exit[l], sign);
      assert_near("way", hypot(drop.x_m - end.x_m, drop.y_m - end.y_m), least, 1e-9);
      lanes++;
    }
    assert_true(lanes >= 4);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* East or west of it, the snow goes straight on over the border, into the first slot there. */
static void straight_on(void **state) {
  (void)state;
  for (int sign = -1; sign <= 1; sign += 2) {
    pc_scenario s;
    pc_lot *lot = lot_with(sign > 0 ? 30 : -41, 0, sign > 0 ? 71 : 0, 22, NULL, &s);
    const pc_lane_set *set = &lot->lane_sets[0];
    for (size_t l = 0; l < set->lane_count; l++) {
      if (set->lanes[l].patch != 0)
        continue;
      pc_point from = pc_lane_point(lot, &set->lanes[l], 15.0);
      pc_point drop = pc_lane_point(lot, &set->lanes[set->drop_lane[l]], set->drop_u_m[l]);
      double over = sign * (drop.x_m - (sign > 0 ? 30.0 : 0.0));
      assert_int_equal(set->exit[l], sign);
      assert_near("across", drop.y_m, from.y_m, 1e-9);
      assert_true(over > 0 && over < lot->ground->patches[0].station_m + 0.5);
    }
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* ---- bites ---- */

typedef struct bites {
  double run_m;
  bool west; /* the other area lies west of the one that is emptied */
  int count;
} bites;

/* How far from the way out. */
static double away_m(const bites *b, double x_m) {
  return b->west ? x_m : 60.0 - x_m;
}

/* A bite begins where the box will just be full at the end that leads out (decision 009): load after load, a
 * box full farther in, and nothing is left between it and the way out. */
static void watch_bites(night_run *run, const pc_trace_row *row) {
  bites *b = run->context;
  if (row->phase != PC_PHASE_FILL || night_area(run, row) != 0)
    return;
  b->count++;
  assert_near("begins", away_m(b, row->from.x_m), b->count * b->run_m, 1e-9);
  const pc_lane_set *set = &run->lot->lane_sets[0];
  const pc_patch *patch = &run->lot->ground->patches[0];
  double behind_kg = 0.0;
  for (int i = 0; i < set->lanes[0].stations; i++)
    if (away_m(b, pc_lane_point(run->lot, &set->lanes[0], patch->u0_m + (i + 0.5) * patch->station_m).x_m) <
        b->count * b->run_m - patch->station_m)
      behind_kg += run->world->lanes[0].slot_kg[set->lanes[0].first + (size_t)i];
  assert_near("behind it", 1.0 + behind_kg, 1.0, 1e-9);
  assert_near("taken", run->world->machines[row->machine].load_kg, 1350.0, 1e-9);
}

/* Snow so deep that a slot of 2 m holds more than a box, or two of them do: a strip of 60 m, of which a box
 * holds 1.5 m, 2 m or 3 m, is out with 40, 30 or 20 full loads. */
static void boxes_smaller_than_two_slots(void **state) {
  (void)state;
  static const double runs_m[] = {1.5, 2.0, 3.0};
  for (int k = 0; k < 6; k++) {
    bites b = {.run_m = runs_m[k / 2], .west = k & 1};
    pc_scenario s = night_strips(0, 1.0, b.run_m);
    night_add_area(&s, "a", 0.0, 0.0, 60.0, 4.5)->into = pc_name_of("b");
    pc_area *into = night_add_area(&s, "b", b.west ? -40.0 : 60.0, 0.0, b.west ? 0.0 : 100.0, 4.5);
    night_add_name(&into->after, "a");
    night_add_zone(&s, b.west ? -40.0 : 100.0, 2.25);
    night_add_crew(&s, "loader", "box", (pc_point){b.west ? 0.0 : 60.0, 2.25});
    night_run run = {.look = watch_bites, .context = &b};
    night_simulate(&run, &s);
    assert_int_equal(b.count, (int)(60.0 / b.run_m));
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_near("placed", run.result.placed_kg, run.result.start_kg, 1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Uneven snow: kg in each slot of 2 m, from the way out, and where bites begin, by hand. Whole slots as long
 * as they go into a box of 1,350 kg; one that does not is begun with the next bite; bare ones are driven
 * over. */
static void whole_slots_of_uneven_snow(void **state) {
  (void)state;
  static const double slots_kg[] = {600, 600, 600, 100, 1300, 0, 40, 800};
  static const double begin_m[] = {4, 8, 14, 16}, loads_kg[] = {1200, 700, 1340, 800};
  for (int west = 0; west < 2; west++) {
    pc_scenario s = night_strips(0, 1.0, 25.0);
    night_add_area(&s, "a", 0.0, 0.0, 16.0, 4.5)->into = pc_name_of("b");
    pc_area *into = night_add_area(&s, "b", west ? -40.0 : 16.0, 0.0, west ? 0.0 : 56.0, 4.5);
    night_add_name(&into->after, "a");
    night_add_zone(&s, west ? -40.0 : 56.0, 2.25);
    night_add_crew(&s, "loader", "box", (pc_point){west ? 0.0 : 16.0, 2.25});
    night_run run = {0};
    night_make(&run, &s, NULL);
    const pc_lane_set *set = &run.lot->lane_sets[0]; /* of one lane, of one strip */
    for (int i = 0; i < 8; i++) {
      int station = west ? i : 7 - i;
      double *slot_kg = &set->slot_kg[set->lanes[0].first + (size_t)station];
      run.lot->start_kg += slots_kg[i] - *slot_kg;
      *slot_kg = run.lot->cell_kg[pc_patch_cell(&run.lot->ground->patches[0], station, 0)] = slots_kg[i];
    }
    pc_world_free(run.world);
    assert_int_equal(pc_world_create(run.lot, &run.world), PC_OK);
    night_go(&run, 1, 0);
    size_t bite = 0;
    for (size_t i = 0; i < run.row_count; i++) {
      if (run.rows[i].phase != PC_PHASE_FILL || night_area(&run, &run.rows[i]) != 0)
        continue;
      assert_true(bite < 4);
      assert_near("begins", west ? run.rows[i].from.x_m : 16.0 - run.rows[i].from.x_m, begin_m[bite], 1e-9);
      for (size_t k = i; run.rows[k].phase != PC_PHASE_DUMP || k == i; k++) /* as it is dropped */
        assert_true(k == i || run.rows[k].load_kg == 0.0 ||
                    fabs(run.rows[k].load_kg - loads_kg[bite]) < 1e-9);
      bite++;
    }
    assert_int_equal(bite, 4);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Three lanes that lead out side by side: the nearest first, and each to its end before the next; the first
 * of two that are as near. Middles at 2.25, 6.75 and 11.25 m. */
static void the_nearest_lane_first(void **state) {
  (void)state;
  static const double start_y_m[] = {12.0, 1.0, 6.75};
  static const int order[][3] = {{2, 1, 0}, {0, 1, 2}, {1, 0, 2}};
  for (int k = 0; k < 3; k++) {
    pc_scenario s = night_strips(0, 1.0, 25.0);
    night_add_area(&s, "a", 0.0, 0.0, 60.0, 13.5)->into = pc_name_of("b");
    night_add_name(&night_add_area(&s, "b", 60.0, 0.0, 160.0, 13.5)->after, "a");
    night_add_zone(&s, 160.0, 6.75);
    night_add_crew(&s, "loader", "box", (pc_point){61.0, start_y_m[k]});
    night_run run = {0};
    night_simulate(&run, &s);
    int count = 0;
    for (size_t i = 0; i < run.row_count; i++)
      if (run.rows[i].phase == PC_PHASE_FILL && night_area(&run, &run.rows[i]) == 0) {
        assert_true(count < 9); /* loads of 24, 24 and 12 m */
        assert_near("lane", run.rows[i].to.y_m, 2.25 + 4.5 * order[k][count / 3], 1e-9);
        count++;
      }
    assert_int_equal(count, 9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* An area that opens later keeps nobody from the other one meanwhile; and a box that has some of that one's
 * snow in it takes it to the zone first: a bite that carves out begins empty. */
static void not_before_it_opens(void **state) {
  (void)state;
  for (double opens_s = 50.0; opens_s < 240.0; opens_s += 17.0) {
    pc_scenario s = night_strips(0, 1.0, 25.0);
    pc_area *a = night_add_area(&s, "a", 0.0, 0.0, 60.0, 4.5);
    a->into = pc_name_of("b");
    a->opens_s = opens_s;
    night_add_area(&s, "b", 60.0, 0.0, 160.0, 4.5);
    night_add_zone(&s, 160.0, 2.25);
    night_add_crew(&s, "loader", "box", (pc_point){160.0, 2.25});
    night_run run = {0};
    night_simulate(&run, &s);
    double first_s = NAN, first_a_s = NAN;
    bool empty = true;
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      bool fills = row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP;
      if (fills && night_area(&run, row) == 0) {
        assert_true(empty);
        first_a_s = isnan(first_a_s) ? row->start_s : first_a_s;
      }
      if (fills)
        first_s = isnan(first_s) ? row->start_s : first_s;
      empty = fills ? false : row->phase == PC_PHASE_DUMP ? true : empty;
    }
    assert_true(first_s < 45.0 && first_a_s >= opens_s && first_a_s < opens_s + 150.0);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* It backs off from what it has dropped, no farther than the last leg came from (model.md): from the first
 * metre of the other area by 1 m, when its load was full at the border, and by 8 m when it came from farther.
 */
static void backs_off_from_the_drop(void **state) {
  (void)state;
  static const double back_m[] = {1.0, 8.0, 8.0};
  for (int west = 0; west < 2; west++) {
    pc_scenario s = night_strips(0, 1.0, 25.0);
    s.loaders[0].back_out_m = 8.0;
    night_add_area(&s, "a", 0.0, 0.0, 60.0, 4.5)->into = pc_name_of("b");
    pc_area *into = night_add_area(&s, "b", west ? -40.0 : 60.0, 0.0, west ? 0.0 : 100.0, 4.5);
    night_add_name(&into->after, "a");
    night_add_zone(&s, west ? -40.0 : 100.0, 2.25);
    night_add_crew(&s, "loader", "box", (pc_point){west ? 0.0 : 60.0, 2.25});
    night_run run = {0};
    night_simulate(&run, &s);
    size_t drops = 0;
    double drop_x_m = west ? -1.0 : 61.0, out = west ? 1.0 : -1.0;
    for (size_t i = 0; i + 1 < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i], *next = &run.rows[i + 1];
      if (row->phase != PC_PHASE_DUMP || row->zone >= 0)
        continue;
      assert_true(drops < 3 && next->phase == PC_PHASE_RETURN && next->reverse);
      assert_near("dropped", row->to.x_m, drop_x_m, 1e-12);
      assert_near("back", next->distance_m, back_m[drops], 1e-12);
      assert_near("to", 1000.0 + next->to.x_m, 1000.0 + drop_x_m + out * back_m[drops], 1e-12);
      assert_near("on the lane", next->to.y_m, 2.25, 1e-12);
      drops++;
    }
    assert_int_equal(drops, 3);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(at_the_nearest_slot),          cmocka_unit_test(straight_on),
      cmocka_unit_test(boxes_smaller_than_two_slots), cmocka_unit_test(whole_slots_of_uneven_snow),
      cmocka_unit_test(the_nearest_lane_first),       cmocka_unit_test(not_before_it_opens),
      cmocka_unit_test(backs_off_from_the_drop)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
