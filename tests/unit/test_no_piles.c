// SPDX-License-Identifier: GPL-3.0-or-later
/* Ground that stays free of piles (keep_clear of kind no-piles): fire lanes, reserved stalls. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "drawn.h"
#include "simulate.h"
#include "site/siting.h"
#include "study/place.h"

/* A lane of 6 m along the south of the yard; the east zone reaches 2 m over its end, the north one touches
 * it. */
static const char lot[] =
    "pushcycle: 1\n"
    "name: Fire lane\n"
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, pile_density: 400 kg/m3}\n"
    "site:\n"
    "  areas:\n"
    "    - {name: yard, outline: [[0, 0], [60, 0], [60, 40], [0, 40]]}\n"
    "  ground:\n"
    "    - {name: margin, outline: [[-8, -8], [68, -8], [68, 48], [-8, 48]]}\n"
    "  keep_clear:\n"
    "    - {name: fire lane, kind: no-piles, outline: [[0, -4], [60, -4], [60, 2], [0, 2]]}\n"
    "    - {name: reserved, kind: no-piles, at: [30, 47], radius: 3 m}\n"
    "boxes: [{name: wide, width: 4 m, height: 1 m}]\n"
    "loaders:\n"
    "  - {name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}, machine_width: 2.5 m}\n"
    "crew: [{loader: loader, box: wide, start: [30, 20]}]\n"
    "zones:\n"
    "  - {name: east, outline: [[58, 0], [68, 0], [68, 14], [58, 14]], height: 5 m}\n"
    "  - {name: north, outline: [[-8, 2], [4, 2], [4, 14], [-8, 14]], height: 5 m}\n"
    "chance: {replications: 1}\n"
    "place: {zones: 2, length: 14 m, width: 7 m, step: 7 m, allow: true, simulations: 4}\n";

static pc_scenario read_lot(const char *text) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("lot.yaml", text, strlen(text), NULL, 0, &scenario, &faults);
  for (size_t i = 0; status != PC_OK && i < faults.count; i++)
    print_error("%s: %s\n", faults.items[i].key, faults.items[i].message);
  pc_faults_free(&faults);
  assert_int_equal(status, PC_OK);
  return scenario;
}

/* By hand: of the east zone 2 m × 2 m lie on the lane; to touch it is allowed. */
static void a_zone_on_it_is_told(void **state) {
  (void)state;
  pc_scenario s = read_lot(lot);
  const pc_zone *zones[] = {&s.zones[0], &s.zones[1]};
  pc_siting_list found = {0};
  assert_int_equal(pc_siting_check(&s.site, zones, 2, &s.siting, NAN, NULL, &found), PC_OK);
  assert_int_equal(found.count, 1);
  assert_int_equal(found.items[0].rule, PC_SITING_NO_PILES);
  assert_int_equal(found.items[0].severity, PC_SITING_MUST_NOT);
  assert_int_equal(found.items[0].zone, 0);
  assert_near("shared", found.items[0].area_m2, 4.0, 1e-9);
  pc_text text = {0};
  pc_siting_describe(&found.items[0], "east", PC_METRIC, &text);
  assert_string_equal(text.data, "zone \"east\" lies on ground without piles \"fire lane\", 4 m2 of it");
  assert_string_equal(found.items[0].source, "the map of the lot");
  pc_text_free(&text);
  pc_siting_free(&found);
  pc_scenario_free(&s);
}

/* Places that `place` generates lie off it, even where it may go against good practice (allow). */
static void no_place_on_it_is_proposed(void **state) {
  (void)state;
  pc_scenario s = read_lot(lot);
  pc_placement all, some;
  pc_faults faults = {0};
  const pc_choice choice = {.depth_m = NAN};
  const pc_place_wanted wanted = {.choice = &choice, .replications = 1, .seed = 1, .threads = 1};
  assert_int_equal(pc_placement_find(&s, &wanted, &some, &faults), PC_OK);
  size_t near = 0;
  for (size_t i = 0; i < some.site_count; i++) {
    pc_siting_list found = {0};
    const pc_zone *zone = &some.sites[i].zone;
    assert_int_equal(pc_siting_check(&s.site, &zone, 1, &s.siting, NAN, NULL, &found), PC_OK);
    for (size_t k = 0; k < found.count; k++)
      assert_int_not_equal(found.items[k].rule, PC_SITING_NO_PILES);
    pc_siting_free(&found);
    assert_false(pc_name_is(&zone->name, "east"));
  }
  s.site.keep_clear_count = 0; /* without it there are some */
  assert_int_equal(pc_placement_find(&s, &wanted, &all, &faults), PC_OK);
  for (size_t i = 0; i < all.site_count; i++) {
    const pc_ring *ring = &all.sites[i].zone.outline;
    const pc_point lane = {30, -1};
    near += pc_ring_distance_m(ring, lane, NULL) < 20 && ring->points[0].y_m < 2;
  }
  assert_true(near > 0 && some.site_count < all.site_count && some.must_not > 0);
  s.site.keep_clear_count = 2;
  pc_placement_free(&some);
  pc_placement_free(&all);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Machines drive and push there as anywhere. */
static void nothing_else_changes(void **state) {
  (void)state;
  pc_scenario s = read_lot(lot);
  pc_result with = simulate(&s, NULL);
  s.site.keep_clear_count = 0;
  pc_result without = simulate(&s, NULL);
  s.site.keep_clear_count = 2;
  assert_true(with.total_time_s == without.total_time_s && with.placed_kg == without.placed_kg);
  assert_int_equal(with.events, without.events);
  pc_result_free(&with);
  pc_result_free(&without);
  pc_scenario_free(&s);
}

static void it_is_drawn(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, lot, NULL, 0, NULL);
  const pc_map_content content = drawn_map(&night);
  drawn_count count = {0};
  pc_text out = {0};
  const pc_picture_style style = {0};
  assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, drawn_watch, &count}), PC_OK);
  assert_int_equal(count.kinds[PC_DRAWN_KEEP_CLEAR], 2);
  assert_true(drawn_says(&count, "X no piles"));
  assert_true(drawn_says(&count, "lies on ground without piles"));
  drawn_count_free(&count);
  pc_text_free(&out);
  drawn_end(&night);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_zone_on_it_is_told),
      cmocka_unit_test(no_place_on_it_is_proposed),
      cmocka_unit_test(nothing_else_changes),
      cmocka_unit_test(it_is_drawn),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
