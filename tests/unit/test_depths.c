// SPDX-License-Identifier: GPL-3.0-or-later
/* How deep snow lies on several areas while it falls, and what is made of it: sums by hand, from what
 * study/depths.h and docs/model.md say. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "simulate.h"
#include "study/depths.h"

enum { AREAS = 2 };
static const double hour_s = 3600;

/* Two areas of 100 m² and 300 m², two machines; 1 cm of 100 kg/m³ falls in each of four hours, so that 2 cm
 * fall in the second half. Times at work are `minutes` of each hour by the clock. */
typedef struct site {
  pc_patch patches[AREAS];
  pc_ground ground;
  pc_fall falls[3];
  bool allowed[AREAS];
  pc_lot_machine machines[2];
  pc_lot lot;
} site;

static void make_site(site *s, double minutes) {
  double work = minutes / 60;
  *s = (site){.patches = {{.area_m2 = 100}, {.area_m2 = 300}}, .allowed = {true, true}};
  s->machines[0].allowed = s->machines[1].allowed = s->allowed;
  s->ground = (pc_ground){.patches = s->patches, .patch_count = AREAS};
  s->falls[0] = (pc_fall){0, 1 / hour_s / work, 0.01 / hour_s / work};
  s->falls[1] = s->falls[0]; /* in two pieces */
  s->falls[1].after_s = 3 * hour_s * work;
  s->falls[2] = (pc_fall){4 * hour_s * work, 0, 0};
  s->lot = (pc_lot){.ground = &s->ground,
                    .area_count = AREAS,
                    .machines = s->machines,
                    .machine_count = 2,
                    .falls = s->falls,
                    .fall_count = 3,
                    .lying_kgpm3 = 100,
                    .work_minutes_per_hour = minutes};
}

typedef struct depths {
  double at_h; /* by the clock */
  double depth_m[AREAS];
} depths;

static void tell(pc_depths_series *series, const depths *rows, size_t count) {
  double work = series->lot->work_minutes_per_hour / 60;
  for (size_t i = 0; i < count; i++)
    for (size_t a = 0; a < AREAS; a++)
      pc_depths_depth(series, 0, rows[i].at_h * hour_s * work, a, rows[i].depth_m[a]);
}

/* Between rows depths go in a line: at 2 h half way from 1 h to 3 h, at 4 h half way from 3 h to 5 h. Means
 * over 400 m²: 0.625 cm, 1.625 cm and 3.375 cm, so 1.125 cm and 2.5 cm. */
static void several_areas_by_hand(void **state) {
  (void)state;
  static const depths rows[] = {{0, {0, 0}}, {1, {0.010, 0.005}}, {3, {0.020, 0.015}}, {5, {0.030, 0.035}}};
  for (int i = 0; i < 2; i++) {
    double minutes = i ? 50 : 60, work = minutes / 60;
    site s;
    make_site(&s, minutes);
    pc_depths_series series;
    pc_depths_start(&series, &s.lot);
    assert_near("from", series.from_s, 2 * hour_s, 1e-12);
    assert_near("to", series.to_s, 4 * hour_s, 1e-12);
    tell(&series, rows, 4);
    pc_depths_depth(&series, 0, 6 * hour_s, AREAS, 1.0); /* there is no such area */
    assert_int_equal(series.rows, 4);
    /* one machine works for an hour of the two hours of two machines, and more outside of them */
    static const double works_h[][2] = {{1, 2.25}, {3.5, 4.25}, {1.5, 2}, {4, 6}};
    for (size_t k = 0; k < 4; k++)
      pc_depths_row(&series, &(pc_trace_row){.phase = PC_PHASE_CARRY,
                                             .start_s = works_h[k][0] * hour_s * work,
                                             .end_s = works_h[k][1] * hour_s * work});
    pc_keep_up up = pc_depths_judge(&series);
    assert_near("fallen", up.fallen_m, 0.02, 1e-12);
    assert_near("grown", up.grown_m, 0.01375, 1e-12);
    assert_near("falls", up.fall_kgps, 2.0 * 400 / (2 * hour_s), 1e-12);
    assert_near("working", up.working, 0.75 / 4, 1e-12);
    assert_near("clears", up.clearing_kgps, (2.0 - 1.375) * 400 / (2 * hour_s) / (0.75 / 4), 1e-12);
    assert_near("deepest", up.deepest_m, 0.035, 1e-12);
    assert_int_equal(up.keeping, PC_KEEPING_BEHIND);
    assert_int_equal(up.untouched, 0);
    pc_depths_free(&series);
  }
}

/* Before the first row it is as deep as in that, after the last as in that. */
static void outside_of_the_rows(void **state) {
  (void)state;
  static const depths rows[] = {{2.5, {0.01, 0.02}}, {3.5, {0.03, 0.03}}};
  site s;
  make_site(&s, 60);
  pc_depths_series series;
  pc_depths_start(&series, &s.lot);
  tell(&series, rows, 2);
  assert_near("grown", pc_depths_judge(&series).grown_m, 0.03 - 0.0175, 1e-12);
  pc_depths_free(&series);
  pc_depths_start(&series, &s.lot); /* of one row nothing can be said */
  tell(&series, rows, 1);
  assert_int_equal(pc_depths_judge(&series).keeping, PC_KEEPING_NONE);
  pc_depths_free(&series);
}

/* Untouched: 99 % or more of all that lay there and fell, 4 cm, and more than may lie. */
static void areas_on_which_nobody_was(void **state) {
  (void)state;
  static const struct {
    double first_m[AREAS], last_m[AREAS], trigger_m, done_below_m;
    int untouched;
  } cases[] = {{{0, 0}, {0.0397, 0.0397}, 0, 0.01, 2},
               {{0, 0}, {0.0395, 0.0397}, 0, 0.01, 1},
               {{0, 0}, {0.0397, 0.0395}, 0, 0.01, 1},
               {{0.02, 0}, {0.0397, 0.0397}, 0, 0.01, 1},
               {{0.02, 0.01}, {0.0595, 0.0496}, 0, 0.01, 2},
               {{0, 0.01}, {0.04, 0.05}, 0.041, 0.01, 1}, /* so deep it may lie */
               {{0, 0.01}, {0.04, 0.05}, 0.01, 0.041, 1}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    site s;
    make_site(&s, 60);
    s.lot.snow.trigger_m = cases[i].trigger_m;
    s.lot.snow.done_below_m = cases[i].done_below_m;
    const depths rows[] = {{0, {cases[i].first_m[0], cases[i].first_m[1]}},
                           {2, {0, 0}},
                           {4, {cases[i].last_m[0], cases[i].last_m[1]}}};
    pc_depths_series series;
    pc_depths_start(&series, &s.lot);
    tell(&series, rows, 3);
    int untouched = pc_depths_judge(&series).untouched;
    if (untouched != cases[i].untouched)
      fail_msg("case %zu: %d", i, untouched);
    pc_depths_free(&series);
  }
}

/* Of two pieces that bring as much and are not alike the first is judged; where the heaviest is the first or
 * the last of the storm, the stretch ends there. */
static void the_stretch_ends_with_the_storm(void **state) {
  (void)state;
  site s;
  make_site(&s, 60);
  pc_fall falls[] = {
      {0, 4 / hour_s, 0}, {hour_s, 1 / hour_s, 0}, {5 * hour_s, 4 / hour_s, 0}, {6 * hour_s, 0, 0}};
  s.lot.falls = falls;
  s.lot.fall_count = 4;
  pc_depths_series series;
  pc_depths_start(&series, &s.lot);
  assert_near("from", series.from_s, 0.5 * hour_s, 1e-12);
  assert_near("to", series.to_s, hour_s, 1e-12);
  falls[2].kgpm2ps = 5 / hour_s;
  pc_depths_start(&series, &s.lot);
  assert_near("from", series.from_s, 5.5 * hour_s, 1e-12);
  assert_near("to", series.to_s, 6 * hour_s, 1e-12);
  falls[2].kgpm2ps = 0.05 / hour_s; /* a powder, but more than nothing */
  falls[0].kgpm2ps = falls[1].kgpm2ps = 0;
  pc_depths_start(&series, &s.lot);
  assert_near("from", series.from_s, 5.5 * hour_s, 1e-12);
  falls[2].kgpm2ps = 0;
  pc_depths_start(&series, &s.lot);
  assert_true(series.from_s == 0 && series.to_s == 0);
  s.lot.fall_count = 0;
  pc_depths_start(&series, &s.lot);
  assert_true(series.from_s == 0 && series.to_s == 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(several_areas_by_hand), cmocka_unit_test(outside_of_the_rows),
      cmocka_unit_test(areas_on_which_nobody_was), cmocka_unit_test(the_stretch_ends_with_the_storm)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
