// SPDX-License-Identifier: GPL-3.0-or-later
/* Where what is carved out of an area is dropped in the other one: straight on, or else at the nearest of its
 * open slots. Against looking at every slot. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "scene.h"
#include "simulate.h"

/* An area of 30 m × 22 m in lanes along x, carved out into one that stands where it is told. */
static pc_lot *lot_with(double x0, double y0, double x1, double y1, pc_scenario *s) {
  *s = scene_rectangle(10.0, 10.0, NULL, 0);
  pc_site_free(&s->site);
  night_add_area(s, "inner", 0.0, 0.0, 30.0, 22.0)->into = pc_name_of("outer");
  night_add_area(s, "outer", x0, y0, x1, y1);
  night_add_zone(s, x0, 0.5 * (y0 + y1));
  night_add_crew(s, "loader", "box", (pc_point){0.5 * (x0 + x1), 0.5 * (y0 + y1)});
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
  for (size_t k = 0; k < 4; k++) {
    pc_scenario s;
    pc_lot *lot = lot_with(outer[k][0], outer[k][1], outer[k][2], outer[k][3], &s);
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
    pc_lot *lot = lot_with(sign > 0 ? 30 : -41, 0, sign > 0 ? 71 : 0, 22, &s);
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

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(at_the_nearest_slot), cmocka_unit_test(straight_on)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
