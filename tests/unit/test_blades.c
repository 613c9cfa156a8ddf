// SPDX-License-Identifier: GPL-3.0-or-later
/* Blades where a lane is not simply all dirty from end to end: beside islands, in turns with another blade,
 * with nothing left but the lane at the building. By hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#include "night_run.h"
#include "scene.h"
#include "simulate.h"

static const double apron_m = 120.0, swath_m = 4.5;

/* An apron of so many lanes along x with 10 kg/m², its zone in the middle of the north side: a blade that
 * begins in the south and throws to the north, and a box. */
static pc_scenario apron(int lanes) {
  pc_scenario s = scene_rectangle(apron_m, lanes * swath_m, NULL, 0);
  s.snow.done_below_m = 1e-5;
  night_add_zone(&s, 0.5 * apron_m, lanes * swath_m);
  pc_box *blade = night_add_box(&s, "blade");
  blade->blade = PC_BLADE_LEFT;
  blade->height_m = blade->heap_factor_m = NAN;
  night_add_crew(&s, "loader", "blade", (pc_point){0.0, 0.5 * swath_m});
  night_add_crew(&s, "loader", "box", (pc_point){0.0, 0.5 * swath_m});
  return s;
}

static void add_island(pc_scenario *s, double x0, double y0, double x1, double y1) {
  night_add_building(s, x0, y0, x1, y1);
  s->site.obstacles[s->site.obstacle_count - 1].kind = PC_OBSTACLE_ISLAND;
}

static bool is_push(const pc_trace_row *row) {
  return row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP;
}

/* Snow now between these places, in the lane whose middle is so far north. */
static double lane_kg(const night_run *run, double y_m, double from_m, double to_m) {
  const pc_lane_set *set = &run->lot->lane_sets[0];
  double sum = 0.0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_patch *patch = &run->lot->ground->patches[set->lanes[l].patch];
    for (int i = 0; i < set->lanes[l].stations; i++) {
      pc_point at = pc_lane_point(run->lot, &set->lanes[l], patch->u0_m + (i + 0.5) * patch->station_m);
      if (fabs(at.y_m - y_m) < 0.1 && at.x_m > from_m && at.x_m < to_m)
        sum += run->world->lanes[0].slot_kg[set->lanes[l].first + (size_t)i];
    }
  }
  return sum;
}

typedef struct watched {
  bool began; /* the box has */
  int passes; /* of the blade until then */
  double blade_end_s, box_start_s;
  double beside_kg, outermost_kg; /* then: beside the island, and in the lane farthest north */
} watched;

static void watch(night_run *run, const pc_trace_row *row) {
  watched *w = run->context;
  if (row->machine == 0 && is_push(row) && !w->began) {
    w->passes++;
    w->blade_end_s = row->end_s;
  }
  if (row->machine != 1 || row->phase == PC_PHASE_IDLE || w->began)
    return;
  w->began = true;
  w->box_start_s = row->start_s;
  w->beside_kg = lane_kg(run, 1.5 * swath_m, 40.0, 60.0);
  w->outermost_kg = lane_kg(run, run->lot->zones[0].at.y_m - 0.5 * swath_m, 0.0, apron_m);
}

/* An island in the third of five lanes, from 40 to 60 m. What lies south of it in the second lane, and what
 * the blade has laid there out of the first, can not go on: 20 m of two lanes, 2 · 4.5 m · 20 m · 10 kg/m² =
 * 1,800 kg. The box takes it up in the end, once the blade has done all that it can: one pass for each lane,
 * two in the one that the island cuts. All else lies in the outermost lane by then. */
static void beside_an_island(void **state) {
  (void)state;
  for (int turned = 0; turned < 2; turned++) { /* lanes are counted from the south, or from the north */
    pc_scenario s = apron(5);
    s.site.areas[0].heading_rad = turned ? acos(-1.0) : 0.0;
    add_island(&s, 40.0, 9.1, 60.0, 13.4);
    watched w = {.began = false};
    night_run run = {.look = watch, .context = &w};
    night_simulate(&run, &s);
    assert_int_equal(w.passes, 5);
    assert_near("start", run.lot->start_kg, 10.0 * (apron_m * 5 * swath_m - 20.0 * swath_m), 1e-12);
    assert_near("beside", w.beside_kg, 1800.0, 1e-9);
    assert_near("outermost", w.outermost_kg, run.lot->start_kg - 1800.0, 1e-9);
    assert_near("the box waits no longer", w.box_start_s, w.blade_end_s, 1e-12);
    assert_false(run.world->machines[0].gone); /* it stays for what comes into its lanes again */
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_near("placed", run.result.placed_kg, run.lot->start_kg, 1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Of two lanes the blade works one: the box stays out of both until that is done, and takes up the snow of
 * both in the other one. */
static void one_lane_is_work_enough(void **state) {
  (void)state;
  for (int turned = 0; turned < 2; turned++) {
    pc_scenario s = apron(2);
    s.site.areas[0].heading_rad = turned ? acos(-1.0) : 0.0;
    watched w = {.began = false};
    night_run run = {.look = watch, .context = &w};
    night_simulate(&run, &s);
    assert_int_equal(w.passes, 1);
    assert_near("outermost", w.outermost_kg, run.lot->start_kg, 1e-12);
    assert_near("the box waits no longer", w.box_start_s, w.blade_end_s, 1e-12);
    assert_false(run.world->machines[0].gone); /* it stays for what comes into its lanes again */
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* ---- two blades ---- */

/* Two blades that begin at one place and at once do not take one lane. With a second area the other one
 * begins there: 3 s to turn by 90°, 20.25 m to its lane farthest from the zone, 3 s to turn, 2 s to lower. In
 * one area it waits for a lane of its own: each is pushed once, until the box begins. */
static void two_blades(void **state) {
  (void)state;
  for (int areas = 1; areas <= 2; areas++) {
    pc_scenario s = apron(5);
    s.crew[0].count = 2;
    s.crew[0].start = s.crew[1].start = (pc_point){0.0, 0.0};
    if (areas == 2)
      night_add_area(&s, "other", 0.0, -5 * swath_m, apron_m, 0.0);
    night_run run = {0};
    night_simulate(&run, &s);
    double began_s = NAN;
    int lanes = 0;
    bool boxes = false;
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      boxes |= row->machine == 2 && row->phase != PC_PHASE_IDLE;
      if (row->machine == 2 || !is_push(row) || boxes)
        continue;
      if (row->machine == 1 && isnan(began_s))
        began_s = row->start_s;
      int lane = (int)floor(row->to.y_m / swath_m) + 5;
      assert_int_equal(lanes >> lane & 1, 0);
      lanes |= 1 << lane;
    }
    assert_int_equal(lanes, areas == 2 ? 0x1ef : 0x1e0); /* but the outermost of each */
    if (areas == 2)
      assert_near("the other's first", began_s, 3.0 + 20.25 / 4.5 + 3.0 + 2.0, 1e-12);
    for (size_t m = 0; m < 2; m++) /* waiting for a lane, it is not cut off from its work */
      assert_false(run.world->machines[m].gone);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* ---- only where it may, and only when ---- */

/* Beside the area of the crew lies another, first in the list: not for this blade, or not open before 600 s.
 * The blade begins in its own at once, 3 s + 20.25 m at 4.5 m/s + 3 s + 2 s after the start as above, and in
 * the other one never, or not before that opens; by then it has long been done (4 passes of 54.5 s and what
 * lies between them). The box waits for it in both. */
static void not_where_it_may_not(void **state) {
  (void)state;
  for (int opens = 0; opens < 2; opens++) {
    pc_scenario s = apron(5);
    night_add_area(&s, "own", 0.0, -5 * swath_m, apron_m, 0.0);
    s.crew[0].start = (pc_point){0.0, 0.0};
    if (opens)
      s.site.areas[0].opens_s = 600.0;
    else
      night_add_name(&s.crew[0].areas, "own");
    night_run run = {0};
    night_simulate(&run, &s);
    double began_s[2] = {NAN, NAN}, own_done_s = NAN, box_s[2] = {NAN, NAN};
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      if (!is_push(row))
        continue;
      int area = night_area(&run, row);
      double *first_s = row->machine == 0 ? &began_s[area] : &box_s[area];
      *first_s = isnan(*first_s) ? row->start_s : *first_s;
      if (row->machine == 0 && area == 1 && isnan(box_s[1]))
        own_done_s = row->end_s;
    }
    assert_near("its own", began_s[1], 3.0 + 20.25 / 4.5 + 3.0 + 2.0, 1e-12);
    assert_true(own_done_s < 500.0);
    assert_true(opens ? began_s[0] >= 600.0 && began_s[0] < 700.0 : isnan(began_s[0]));
    assert_true(box_s[1] > own_done_s);
    assert_true(opens ? box_s[0] > began_s[0] : box_s[0] < began_s[1] + 60.0);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* ---- from buildings outward ---- */

/* Two buildings at the ends of six lanes of 60 m, a long one in the west and a round one in the east: of a
 * lane the slots at its ends, 1 m from there, are the nearest to them. */
static void how_far_from_buildings(void **state) {
  (void)state;
  for (int turned = 0; turned < 2; turned++) {
    pc_scenario s = scene_rectangle(60.0, 27.0, NULL, 0);
    s.policy = pc_name_of("building-out");
    s.site.areas[0].heading_rad = turned ? acos(-1.0) : 0.0;
    night_add_zone(&s, 30.0, 0.0);
    night_add_building(&s, -20.0, -2.0, -10.0, 12.0);
    night_add_building(&s, 0.0, 0.0, 1.0, 1.0);
    pc_obstacle *round = &s.site.obstacles[1];
    pc_ring_free(&round->outline);
    round->at = (pc_point){70.0, 25.0};
    round->radius_m = 5.0;
    add_island(&s, 61.0, 0.0, 62.0, 1.0); /* no building */
    night_add_crew(&s, "loader", "box", (pc_point){30.0, 0.0});
    pc_lot *lot = make_lot(&s);
    const pc_lane_set *set = &lot->lane_sets[0];
    int outwards = 0;
    for (size_t l = 0; l < set->lane_count; l++) {
      double y = pc_lane_point(lot, &set->lanes[l], 0.0).y_m, off = fmax(0.0, y - 12.0);
      double west = fmin(hypot(11.0, off), hypot(69.0, y - 25.0) - 5.0);
      double east = fmin(hypot(69.0, off), hypot(11.0, y - 25.0) - 5.0);
      assert_near("from buildings", set->from_building_m[l], fmin(west, east), 1e-9);
      assert_int_equal(set->outward[l], (turned ? east <= west : west <= east) ? 1 : -1);
      outwards += set->outward[l];
    }
    assert_int_equal(set->lane_count, 6);
    assert_true(abs(outwards) < 6); /* some this way, some that way */
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* A dock of three lanes that a blade empties over its southern border into a wider yard: what it lays over
 * from a slot of the outermost lane goes into the slot straight beside it, 4.5 m on, whichever way the yard's
 * lanes run; from nowhere else anything is laid over. */
static void over_the_border_straight_beside(void **state) {
  (void)state;
  for (int k = 0; k < 4; k++) {
    pc_scenario s = apron(3);
    pc_area *yard = night_add_area(&s, "outer", -20.0, -5 * swath_m, 140.0, 0.0);
    s.site.areas[0].into = yard->name;
    yard->heading_rad = k & 1 ? acos(-1.0) : 0.0;
    s.site.areas[0].heading_rad = k & 2 ? acos(-1.0) : 0.0;
    s.zones[0].at = (pc_point){60.0, -5 * swath_m};
    night_add_building(&s, 0.0, 20.0, apron_m, 30.0);
    pc_lot *lot = make_lot(&s);
    const pc_lane_set *set = &lot->lane_sets[0];
    int over = 0;
    for (size_t l = 0; l < set->lane_count; l++)
      for (int i = 0; i < set->lanes[l].stations; i++) {
        const pc_patch *patch = &lot->ground->patches[set->lanes[l].patch];
        const pc_beside *beside = &set->over[set->lanes[l].first + (size_t)i];
        pc_point at = pc_lane_point(lot, &set->lanes[l], patch->u0_m + (i + 0.5) * patch->station_m);
        bool outermost = set->lanes[l].patch == 0 && at.y_m < swath_m;
        assert_int_equal(beside->lane != PC_NO_ENTRY, outermost);
        if (!outermost)
          continue;
        patch = &lot->ground->patches[1];
        pc_point to = pc_lane_point(lot, &set->lanes[beside->lane],
                                    patch->u0_m + (beside->station + 0.5) * patch->station_m);
        assert_near("beside", 1000.0 + to.x_m, 1000.0 + at.x_m, 1e-9);
        assert_near("beyond the border", to.y_m, at.y_m - swath_m, 1e-9);
        over++;
      }
    assert_int_equal(over, 60);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(beside_an_island),
                                     cmocka_unit_test(one_lane_is_work_enough),
                                     cmocka_unit_test(two_blades),
                                     cmocka_unit_test(not_where_it_may_not),
                                     cmocka_unit_test(how_far_from_buildings),
                                     cmocka_unit_test(over_the_border_straight_beside)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
