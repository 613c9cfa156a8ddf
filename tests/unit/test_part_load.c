// SPDX-License-Identifier: GPL-3.0-or-later
/* What a part load meets on its way to a zone along the lane just worked: taken while there is room in the
 * box and in the zone, then pushed to both sides (docs/model.md). By hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "sim/policy.h"
#include "simulate.h"

static int asked_zone;

/* One bite of 10 m in the middle lane of three, and then to the zone asked for; no more than that. */
static size_t one_int(const pc_lot *lot) {
  (void)lot;
  return sizeof(int);
}

static pc_decision one_bite(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  int *asked = state;
  (void)world;
  (void)machine;
  *bite = (pc_bite){1, 0.0, 10.0, *asked > 0 ? asked_zone : -1};
  ++*asked;
  return *asked == 1 ? PC_DECIDE_BITE : *asked == 2 ? PC_DECIDE_DUMP : PC_DECIDE_WAIT;
}

static double lane_kg(const night_run *run, size_t lane) {
  const pc_lane *l = &run->lot->lane_sets[0].lanes[lane];
  double sum = 0.0;
  for (int i = 0; i < l->stations; i++)
    sum += run->world->lanes[0].slot_kg[l->first + (size_t)i];
  return sum;
}

static void go_with_one_bite(night_run *run, const pc_scenario *s) {
  static const pc_policy policy = {"one bite", "one bite", one_int, one_bite};
  night_make(run, s, NULL);
  pc_world_free(run->world);
  run->lot->policy = &policy;
  assert_int_equal(pc_world_create(run->lot, &run->world), PC_OK);
  night_go(run, 1, 0);
}

/* Three lanes of 60 m with 54 kg a metre; a box of 1,350 kg that is full at nine tenths; the zone at the end
 * of the middle one. The bite gives 540 kg; of the 50 m before it the box takes 12.5 m and is full. In a zone
 * with room for 810 kg it is as good as full after 5 m. What it then drives through goes to both sides, half
 * each. */
static void a_part_load_takes_what_it_meets(void **state) {
  (void)state;
  static const double room_kg[] = {INFINITY, 810.0, 540.0};
  static const double load_kg[] = {1215.0, 810.0, 540.0};
  for (size_t k = 0; k < 3; k++) {
    pc_scenario s = night_strips(0, 1.0, 25.0);
    s.full_at = 0.9;
    night_add_area(&s, "yard", 0.0, 0.0, 60.0, 13.5);
    pc_zone *zone = night_add_zone(&s, 60.0, 6.75);
    if (isfinite(room_kg[k]))
      zone->volume_m3 = room_kg[k] / s.snow.pile_density_kgpm3;
    night_add_crew(&s, "loader", "box", (pc_point){0.0, 6.75});
    night_run run = {0};
    asked_zone = 0;
    go_with_one_bite(&run, &s);
    double left_kg = 60.0 * 54.0 - load_kg[k];
    assert_near("placed", run.result.placed_kg, load_kg[k], 1e-9);
    assert_near("lane", 1.0 + lane_kg(&run, 1), 1.0, 1e-9);
    assert_near("beside", lane_kg(&run, 0), 60.0 * 54.0 + 0.5 * left_kg, 1e-9);
    assert_near("on the other side", lane_kg(&run, 2), 60.0 * 54.0 + 0.5 * left_kg, 1e-9);
    /* all of it at push speed, as it was dirty */
    assert_near("carry", night_time_s(&run, 0, PC_PHASE_CARRY), 50.0 / 2.2, 1e-9);
    assert_int_equal(run.result.zones[0].loads, 1);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Which zone a load of 540 kg goes to (policy.h): the one asked for; where that has no room or does not
 * exist, the nearest with room. The first lies abeam of the end of the bite, the second 50 m on, the third a
 * little nearer than the first, but has room for 100 kg only. */
static void a_load_goes_to_the_nearest_with_room(void **state) {
  (void)state;
  static const struct {
    int asked;
    double first_has_kg; /* room */
    size_t goes_to;
  } cases[] = {{0, 540, 0}, {1, 540, 1}, {2, 540, 0},  {3, 540, 0},  {99, 540, 0}, {-1, 540, 0},
               {0, 539, 1}, {1, 539, 1}, {-1, 539, 1}, {99, 539, 1}, {2, 539, 1}};
  for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
    pc_scenario s = night_strips(0, 1.0, 25.0);
    night_add_area(&s, "yard", 0.0, 0.0, 60.0, 13.5);
    night_add_zone(&s, 10.0, 0.0)->volume_m3 = cases[k].first_has_kg / s.snow.pile_density_kgpm3;
    night_add_zone(&s, 16.0, 0.0);
    night_add_zone(&s, 10.0, 13.4)->volume_m3 = 100.0 / s.snow.pile_density_kgpm3;
    night_add_crew(&s, "loader", "box", (pc_point){0.0, 6.75});
    night_run run = {0};
    asked_zone = cases[k].asked;
    go_with_one_bite(&run, &s);
    for (size_t z = 0; z < 3; z++)
      if (run.result.zones[z].loads != (z == cases[k].goes_to))
        fail_msg("case %zu: zone %zu has %d loads", k, z, (int)run.result.zones[z].loads);
    assert_near("placed", run.result.placed_kg, 540.0, 1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(a_part_load_takes_what_it_meets),
                                     cmocka_unit_test(a_load_goes_to_the_nearest_with_room)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
