// SPDX-License-Identifier: GPL-3.0-or-later
/* From where an empty machine stands to the start of a bite, forward or reversing: against its parts, added
 * up here by docs/model.md, with angles of complex numbers. */
#include <complex.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "random_site.h"
#include "scene.h"
#include "sim/policies.h"
#include "simulate.h"

static const double pi = 3.14159265358979323846;

static double _Complex vector(pc_point from, pc_point to) {
  return to.x_m - from.x_m + (to.y_m - from.y_m) * (double _Complex)I;
}

/* Half a turn takes the loader's time for a turn. */
static double turn_s(const pc_unit *unit, double _Complex from, double _Complex to) {
  return unit->loader.turn_s * fabs(carg(to / from)) / pi;
}

/* Without acceleration; the part that is slow takes its own time. */
static double drive_s(double length_m, double slow_m, double slow_mps, double speed_mps) {
  return (length_m - slow_m) / speed_mps + slow_m / fmin(slow_mps, speed_mps);
}

static pc_point random_point(pc_stream *luck) {
  double x = random_between(luck, -50, 50);
  return (pc_point){x, random_between(luck, -50, 50)};
}

static void the_quicker_of_both(void **state) {
  (void)state;
  size_t reverses = 0;
  enum { TRIES = 2000 };
  for (uint64_t seed = 1; seed <= TRIES; seed++) {
    pc_stream luck;
    pc_unit unit = {.loader = pc_loader_default()};
    pc_approach found;
    pc_stream_start(&luck, seed, 0, 0, 0);
    pc_loader *loader = &unit.loader;
    loader->return_speed_mps = random_between(&luck, 3, 6);
    loader->reverse_speed_mps = random_between(&luck, 2, 6);
    loader->turn_s = random_between(&luck, 0, 15);
    loader->shift_s = random_between(&luck, 0, 3);
    loader->acceleration_mps2 = NAN;
    bool reversing = seed % 3 == 0, bent = seed % 2;
    pc_point nowhere = {0, 0}, at = random_point(&luck), end = random_point(&luck);
    pc_point corner = random_point(&luck), facing = random_point(&luck), push = random_point(&luck);
    pc_way way = {.bends_rad = bent ? random_between(&luck, 0, 2) : 0,
                  .end = end,
                  .first = bent ? corner : end,
                  .last = bent ? corner : at};
    way.length_m = bent ? cabs(vector(at, corner)) + cabs(vector(corner, end)) : cabs(vector(at, end));
    double slow_m = seed % 5 ? 0 : way.length_m * random_between(&luck, 0, 1);
    double slow_mps = random_between(&luck, 1, 7);
    double _Complex face = vector(nowhere, facing), to = vector(nowhere, push);
    double _Complex ahead = vector(at, way.first), arrive = vector(way.last, end);
    double bends_s = loader->turn_s * way.bends_rad / pi;
    double first_f = turn_s(&unit, face, ahead) + bends_s + (reversing ? loader->shift_s : 0);
    double first_b = turn_s(&unit, face, -ahead) + bends_s + (reversing ? 0 : loader->shift_s);
    double turns_f = first_f + turn_s(&unit, arrive, to);
    double turns_b = first_b + turn_s(&unit, -arrive, to) + loader->shift_s;
    double drive_f = drive_s(way.length_m, slow_m, slow_mps, loader->return_speed_mps);
    double drive_b = drive_s(way.length_m, slow_m, slow_mps, loader->reverse_speed_mps);
    bool reverse = turns_b + drive_b < turns_f + drive_f - 1e-9;
    pc_plan_approach(&unit, at, facing, reversing, &way, slow_m, slow_mps, push, &found);
    assert_int_equal(found.reverse, reverse);
    assert_near("all", found.time_s, fmin(turns_f + drive_f, turns_b + drive_b), 1e-9);
    assert_near("turns", found.turn_s, reverse ? turns_b : turns_f, 1e-9);
    assert_near("drive", found.drive_s, reverse ? drive_b : drive_f, 1e-9);
    assert_near("first turn", found.first_turn_s, reverse ? first_b : first_f, 1e-9);
    reverses += reverse;
  }
  print_message("%zu of %d reversing\n", reverses, TRIES);
  assert_true(reverses > TRIES / 10 && reverses < TRIES - TRIES / 10);
}

/* Where it stands already it only turns, after a change of direction if it was reversing. */
static void no_way_at_all(void **state) {
  (void)state;
  pc_unit unit = {.loader = pc_loader_default()};
  unit.loader.turn_s = 8;
  unit.loader.shift_s = 1.5;
  const pc_point at = {3, 4};
  const pc_way way = {.end = at, .first = at, .last = at};
  for (int reversing = 0; reversing < 2; reversing++) {
    pc_approach found;
    pc_plan_approach(&unit, at, (pc_point){1, 0}, reversing, &way, 0, NAN, (pc_point){0, -2}, &found);
    assert_near("time", found.time_s, 4 + (reversing ? 1.5 : 0), 1e-12);
    assert_true(found.turn_s == found.time_s && found.first_turn_s == found.time_s && found.drive_s == 0);
    assert_false(found.reverse);
  }
}

/* A loader that backs out over 20 m, on a strip of 12 m with the pile at the middle of its end, to which it
 * goes across: there it backs out no further than it came, and stays on the ground. */
static void backs_out_on_the_ground(void **state) {
  (void)state;
  const pc_point zone[] = {{60, 6}};
  pc_scenario s = scene_rectangle(60, 12, zone, 1);
  s.loaders[0].back_out_m = 20;
  s.policy = pc_name_of("keep-pushing");
  night_add_crew(&s, "loader", "box", (pc_point){0, 6});
  night_run run = {0};
  night_simulate(&run, &s);
  size_t across = 0;
  for (size_t i = 0; i < run.row_count; i++) {
    const pc_trace_row *row = &run.rows[i];
    const pc_point ends[] = {row->from, row->to};
    for (size_t k = 0; k < 2; k++)
      assert_true(ends[k].x_m > -1e-6 && ends[k].x_m < 60 + 1e-6 && ends[k].y_m > -1e-6 &&
                  ends[k].y_m < 12 + 1e-6);
    across += row->reverse && row->from.x_m > 60 - 1e-6 && row->to.x_m > 60 - 1e-6;
  }
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_true(across >= 2);
  night_free(&run);
  pc_scenario_free(&s);
}

/* Into a zone 6 m deep, behind the end of a strip: as deep as there is no pile yet, at first all of it. It
 * backs out over back_out, and in any case out of the zone (docs/model.md). */
static void backs_out_of_the_zone(void **state) {
  (void)state;
  for (int longer = 0; longer < 2; longer++) {
    const pc_point zone[] = {{NAN, NAN}}, corners[] = {{60, 0}, {66, 0}, {66, 4.5}, {60, 4.5}};
    pc_scenario s = scene_rectangle(60, 4.5, zone, 1);
    double back_out_m = longer ? 8 : 3, before_m = INFINITY, front_m = NAN;
    size_t dumps = 0, backs = 0;
    assert_int_equal(pc_ring_copy(&s.zones[0].outline, corners, 4), PC_OK);
    s.zones[0].volume_m3 = 12;
    s.snow.depth_m = 0.15;
    s.loaders[0].back_out_m = back_out_m;
    s.loaders[0].turn_s = 0;
    s.loaders[0].reverse_speed_mps = 0.5; /* so that it turns as soon as it is out */
    night_add_crew(&s, "loader", "box", (pc_point){0, 2.25});
    night_run run = {0};
    night_simulate(&run, &s);
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      if (row->phase == PC_PHASE_DUMP) {
        before_m = dumps > 0 ? front_m : before_m;
        front_m = row->from.x_m - 60;
        assert_true(dumps > 0 ? front_m < before_m : fabs(front_m - 6) < 1e-9);
        dumps++;
      }
      if (!row->reverse || dumps == 0)
        continue;
      assert_near("back", row->distance_m, fmax(back_out_m, front_m), 1e-9);
      backs++;
    }
    assert_true(dumps >= 3 && backs >= 2);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(the_quicker_of_both), cmocka_unit_test(no_way_at_all),
                                     cmocka_unit_test(backs_out_on_the_ground),
                                     cmocka_unit_test(backs_out_of_the_zone)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
