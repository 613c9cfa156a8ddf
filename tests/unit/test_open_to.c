// SPDX-License-Identifier: GPL-3.0-or-later
/* Pavement that is open to some loaders only (open_to): the others' lanes and ways keep off it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "io/scenario.h"
#include "simulate.h"
#include "site/routes.h"

/* Two loaders with boxes of 4 m. */
#define CREW                                                                                                 \
  "snow: {depth: 10 cm, fresh_density: 100 kg/m3}\n"                                                         \
  "boxes:\n"                                                                                                 \
  "  - {name: box, width: 4 m, height: 1 m, overlap: 0 m}\n"                                                 \
  "  - {name: narrow, width: 2 m, height: 1 m, overlap: 0 m}\n"                                              \
  "loaders:\n"                                                                                               \
  "  - {name: heavy, machine_width: 2.5 m, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}\n"       \
  "  - {name: light, machine_width: 2 m, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}\n"         \
  "chance: {replications: 1}\n"

/* A deck between two halves of a yard, a drive past it, and a zone at either end. */
#define YARD(deck, light, zone)                                                                              \
  CREW "site:\n"                                                                                             \
       "  areas:\n"                                                                                          \
       "    - {name: west, outline: [[0, 0], [80, 0], [80, 60], [0, 60]]}\n"                                 \
       "    - {name: deck, " deck                                                                            \
       "outline: [[80, 0], [120, 0], [120, 60], [80, 60]]}\n"                                                \
       "    - {name: east, outline: [[120, 0], [200, 0], [200, 60], [120, 60]]}\n"                           \
       "  ground:\n"                                                                                         \
       "    - {name: drive, outline: [[0, 60], [200, 60], [200, 70], [0, 70]]}\n"                            \
       "crew: [{loader: heavy, box: box, start: [2, 2]}, {loader: light, box: box, " light                   \
       "}]\n"                                                                                                \
       "zones:\n"                                                                                            \
       "  - {name: west end, outline: [[-10, 0], [0, 0], [0, 20], [-10, 20]], volume: 1000 m3}\n"            \
       "  - {name: east end, outline: [[200, 0], [210, 0], [210, 20], [200, 20]], volume: 1000 m3}\n" zone

/* Two areas on a field; what crosses it between them is closed, and reaches 5 m into the first. */
#define FIELD(tracks)                                                                                        \
  CREW "site:\n"                                                                                             \
       "  areas:\n"                                                                                          \
       "    - {name: west, outline: [[0, 0], [40, 0], [40, 40], [0, 40]]}\n"                                 \
       "    - {name: east, outline: [[80, 0], [120, 0], [120, 40], [80, 40]]}\n"                             \
       "  ground:\n"                                                                                         \
       "    - {name: field, outline: [[40, -40], [80, -40], [80, 80], [40, 80]]}\n"                          \
       "    - {name: tracks, " tracks                                                                        \
       "outline: [[35, 0], [70, 0], [70, 30], [35, 30]]}\n"                                                  \
       "crew: [{loader: heavy, box: box, start: [2, 2]}, {loader: light, box: box, start: [90, 2]}]\n"       \
       "zones: [{name: east end, outline: [[120, 0], [130, 0], [130, 20], [120, 20]], volume: 1000 m3}]\n"

#define LIGHT_STARTS "start: [90, 2]"

typedef struct site {
  pc_scenario scenario;
  pc_lot *lot;
} site;

static site make(const char *text, const char *policy) {
  site s = {0};
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("lot.yaml", text, strlen(text), NULL, 0, &s.scenario, &faults);
  pc_choice choice = pc_choice_default();
  choice.policy = policy;
  if (status == PC_OK)
    status = pc_lot_create(&s.scenario, &choice, &s.lot, &faults);
  for (size_t i = 0; status != PC_OK && i < faults.count; i++)
    print_error("%s: %s\n", faults.items[i].key, faults.items[i].message);
  pc_faults_free(&faults);
  assert_int_equal(status, PC_OK);
  return s;
}

static void drop(site *s) {
  pc_lot_free(s->lot);
  pc_scenario_free(&s->scenario);
}

static double way_m(const pc_lot *lot, size_t machine, pc_point from, pc_point to) {
  const pc_routes *routes = lot->lane_sets[lot->machines[machine].lane_set].routes;
  pc_place a = pc_place_at(from), b = pc_place_at(to);
  pc_outlook outlook;
  pc_way way;
  pc_routes_look(routes, &a, false, &outlook);
  pc_routes_between(routes, &outlook, &b, &way);
  return way.length_m;
}

/* By hand: the middle of a machine keeps 2 m from the deck, so its way bends at (78, 62) and (122, 62).
 * Corners nearer to a line than 2 % of that may be cut: 4 cm at either. */
static void the_way_round(void **state) {
  (void)state;
  site s = make(YARD("open_to: [light], ", LIGHT_STARTS, ""), NULL);
  double round = 2 * hypot(38, 32) + 44;
  assert_int_equal(s.lot->lane_set_count, 2);
  assert_near("way", way_m(s.lot, 0, (pc_point){40, 30}, (pc_point){160, 30}), round, 1e-3);
  assert_near("way", way_m(s.lot, 1, (pc_point){40, 30}, (pc_point){160, 30}), 120, 1e-9);
  assert_true(s.lot->lane_sets[s.lot->machines[0].lane_set].closed[1]);
  assert_null(s.lot->lane_sets[s.lot->machines[1].lane_set].closed);
  drop(&s);
  s = make(YARD("", LIGHT_STARTS, ""), NULL); /* open to all: one set of lanes, and straight across */
  assert_int_equal(s.lot->lane_set_count, 1);
  assert_near("way", way_m(s.lot, 0, (pc_point){40, 30}, (pc_point){160, 30}), 120, 1e-9);
  drop(&s);
  s = make(YARD("loaders: [light], ", LIGHT_STARTS, ""), NULL); /* binds the work only */
  assert_false(s.lot->machines[0].allowed[1]);
  assert_near("way", way_m(s.lot, 0, (pc_point){40, 30}, (pc_point){160, 30}), 120, 1e-9);
  drop(&s);
}

/* By hand, as above: areas are whole, so what is closed begins at the border of the first one, x = 40, and
 * ends at (70, 30); the way bends at (38, 32) and (72, 32). */
static void what_lies_on_open_ground(void **state) {
  (void)state;
  site open = make(FIELD(""), NULL), closed = make(FIELD("open_to: [light], "), NULL);
  assert_near("snow", open.lot->start_kg, closed.lot->start_kg, 1e-12);
  assert_near("way", way_m(open.lot, 0, (pc_point){20, 20}, (pc_point){100, 20}), 80, 1e-9);
  assert_near("way", way_m(closed.lot, 1, (pc_point){20, 20}, (pc_point){100, 20}), 80, 1e-9);
  assert_near("way", way_m(closed.lot, 0, (pc_point){20, 20}, (pc_point){100, 20}),
              hypot(18, 12) + 34 + hypot(28, 12), 1e-3);
  drop(&open);
  drop(&closed);
}

typedef struct seen {
  const pc_lot *lot;
  int rows[2], inside[2]; /* per machine */
} seen;

/* The deck is 80 < x < 120 below y = 60. */
static void look(void *context, const pc_trace_row *row) {
  seen *all = context;
  all->rows[row->machine]++;
  for (int k = 1; k < 100; k++) {
    double x = row->from.x_m + 0.01 * k * (row->to.x_m - row->from.x_m);
    double y = row->from.y_m + 0.01 * k * (row->to.y_m - row->from.y_m);
    if (x > 80.01 && x < 119.99 && y < 59.99) {
      all->inside[row->machine]++;
      return;
    }
  }
}

static seen run(const site *s) {
  pc_world *world = NULL;
  pc_result result = {0};
  seen all = {.lot = s->lot};
  const pc_trace trace = {.row = look, .context = &all};
  assert_int_equal(pc_world_create(s->lot, &world), PC_OK);
  assert_int_equal(pc_result_init_for(&result, s->lot), PC_OK);
  pc_world_check_always(world, true);
  assert_int_equal(pc_world_run(world, 1, 0, &trace, &result), PC_OK);
  assert_true(result.finished);
  pc_result_free(&result);
  pc_world_free(world);
  return all;
}

/* Under every policy; without the key the same machine does drive there, so the look would see it. */
static void nobody_is_where_it_is_closed(void **state) {
  (void)state;
  static const char *const policies[] = {"straight-runs", "keep-pushing", "building-out"};
  for (size_t p = 0; p < sizeof policies / sizeof policies[0]; p++) {
    site s = make(YARD("open_to: [light], ", LIGHT_STARTS, ""), policies[p]);
    seen all = run(&s);
    assert_true(all.rows[0] > 100 && all.rows[1] > 100);
    assert_int_equal(all.inside[0], 0);
    assert_true(all.inside[1] > 0);
    drop(&s);
    s = make(YARD("loaders: [light], ", LIGHT_STARTS, ""), policies[p]);
    all = run(&s);
    assert_true(all.inside[0] > 0);
    drop(&s);
  }
}

/* A pile on the drive leaves no way for the heavy one from the west to the east, and the light one may not
 * work there: not to be taken for a place that no lane reaches, whoever else gets about. */
static void a_half_that_is_cut_off(void **state) {
  (void)state;
  static const char text[] =
      YARD("open_to: [light], ", "areas: deck",
           "  - {name: on the drive, outline: [[90, 60], [110, 60], [110, 70], [90, 70]]}\n");
  pc_scenario s;
  pc_lot *lot = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_scenario_read_text("lot.yaml", text, sizeof text - 1, NULL, 0, &s, &faults), PC_OK);
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_ERR_GEOMETRY);
  const pc_error *told = &faults.items[faults.count - 1];
  assert_string_equal(told->key, "site.areas[2]");
  assert_non_null(strstr(told->message, "can't be reached from where it starts by \"heavy 1\" with box"));
  assert_non_null(
      strstr(told->message, "a way must be on pavement that is open to it and at least 4 m wide"));
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* By hand: the heavy one alone may work in the east and is kept off the deck, so that in the lower bound snow
 * from there goes by (120, 60) and (80, 60), along the deck's edge, to the corner of the pile at (0, 20).
 * With the light one there, too, it may go straight. */
static void the_bound_goes_round(void **state) {
  (void)state;
  for (int straight = 0; straight < 2; straight++) {
    site s = straight ? make(YARD("loaders: [light], ", "areas: deck", ""), NULL)
                      : make(YARD("open_to: [light], ", "areas: deck", ""), NULL);
    pc_place from = pc_place_at((pc_point){160, 30});
    size_t found = 0;
    for (size_t i = 0; i < s.lot->share_count; i++) {
      pc_way way;
      if (s.lot->shares[i].area != 2 && s.lot->shares[i].area != 0)
        continue;
      found++;
      pc_routes_to_zone(s.lot->shares[i].routes, &from, 0, &way);
      assert_near("way", way.length_m, straight ? hypot(160, 10) : 50 + 40 + hypot(80, 40), 1e-3);
    }
    assert_int_equal(found, 1); /* the west and the east are tied to the same machine */
    drop(&s);
  }
}

/* The light one carves the bay out into the yard, but may not work there. Between the island and the end of
 * the pavement, 3 m, the heavy one can't stand, so what lies there is left for a smaller machine, though the
 * light one's lanes lead there: from x = 5 to 35, of which the box that stands before it reaches one slot of
 * 2 m more at either end, x = 8 to 32, 3 m wide. */
static void who_only_brings_snow_takes_none_up(void **state) {
  (void)state;
  static const char text[] = CREW
      "site:\n"
      "  areas:\n"
      "    - {name: yard, loaders: heavy, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}\n"
      "    - {name: bay, loaders: light, into: yard, outline: [[0, 20], [40, 20], [40, 30], [0, 30]]}\n"
      "  obstacles: [{name: island, kind: island, outline: [[5, 3], [35, 3], [35, 4], [5, 4]]}]\n"
      "crew: [{loader: heavy, box: box, start: [2, 15]}, {loader: light, box: narrow, start: [2, 25]}]\n"
      "zones: [{name: west end, outline: [[-10, 5], [0, 5], [0, 20], [-10, 20]], volume: 1000 m3}]\n";
  pc_scenario s;
  pc_lot *lot = NULL;
  pc_faults faults = {0};
  assert_int_equal(pc_scenario_read_text("lot.yaml", text, sizeof text - 1, NULL, 0, &s, &faults), PC_OK);
  assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
  assert_near("left for a smaller machine", lot->small_m2, 72, 1e-6);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Who may drive there may work there, unless `loaders` names others. */
static void who_may_work(void **state) {
  (void)state;
  pc_name light = pc_name_of("light"), heavy = pc_name_of("heavy");
  pc_area area = pc_area_default();
  assert_true(pc_area_takes(&area, "light"));
  area.open_to = (pc_names){&light, 1};
  assert_true(pc_area_takes(&area, "light"));
  assert_false(pc_area_takes(&area, "heavy"));
  area.loaders = (pc_names){&heavy, 1};
  assert_false(pc_area_takes(&area, "light"));
  assert_false(pc_area_takes(&area, "heavy"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(the_way_round),
      cmocka_unit_test(what_lies_on_open_ground),
      cmocka_unit_test(nobody_is_where_it_is_closed),
      cmocka_unit_test(a_half_that_is_cut_off),
      cmocka_unit_test(the_bound_goes_round),
      cmocka_unit_test(who_only_brings_snow_takes_none_up),
      cmocka_unit_test(who_may_work),
  };
  return cmocka_run_group_tests_name("pavement for some loaders only", tests, NULL, NULL);
}
