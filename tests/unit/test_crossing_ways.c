// SPDX-License-Identifier: GPL-3.0-or-later
/* Ways across an area that is bound to other loaders: which count, by hand (docs/model.md, Ways: carries and
 * returns of 5 m or more inside it, once in a cycle). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "night_run.h"
#include "scene.h"
#include "simulate.h"
#include "study/crossings.h"

enum { BIG, SMALL, OTHER, MACHINES };
enum { WEST, DECK, EAST, AREAS };

/* A deck from 20 to 40 m between two yards; it is for "small" alone. */
static pc_scenario decked(bool bound) {
  pc_scenario s = scene_rectangle(20.0, 20.0, NULL, 0);
  pc_area *deck = night_add_area(&s, "deck", 20.0, 0.0, 40.0, 20.0);
  if (bound)
    night_add_name(&deck->loaders, "small");
  night_add_area(&s, "east", 40.0, 0.0, 80.0, 20.0);
  night_add_zone(&s, 0.0, 10.0);
  night_add_loader(&s, "small");
  night_add_loader(&s, "other");
  night_add_crew(&s, "loader", "box", (pc_point){1.0, 10.0});
  night_add_crew(&s, "small", "box", (pc_point){1.0, 10.0});
  night_add_crew(&s, "other", "box", (pc_point){1.0, 10.0});
  return s;
}

typedef struct drive {
  size_t machine;
  int cycle;
  pc_phase phase;
  double x0, y0, x1, y1;
} drive;

static void ways_that_count(void **state) {
  (void)state;
  static const drive drives[] = {
      {BIG, 1, PC_PHASE_CARRY, 60, 10, 5, 10},    /* right across: one */
      {BIG, 1, PC_PHASE_RETURN, 5, 10, 60, 10},   /* in the same cycle */
      {BIG, 2, PC_PHASE_RETURN, 10, 10, 24, 10},  /* 4 m */
      {BIG, 2, PC_PHASE_CARRY, 24, 10, 10, 10},   /* 4 m more: another way */
      {BIG, 3, PC_PHASE_FILL, 5, 10, 60, 10},     /* work, no way */
      {BIG, 4, PC_PHASE_RETURN, 10, 10, 25, 10},  /* 5 m: two */
      {BIG, 5, PC_PHASE_CARRY, 30, 12, 30, 7.5},  /* 4.5 m */
      {BIG, 6, PC_PHASE_CARRY, 30, 13, 30, 7.5},  /* 5.5 m inside all the way: three */
      {BIG, 7, PC_PHASE_RETURN, 50, 1, 30.5, 14}, /* askew, 11 m of it: four */
      {BIG, 8, PC_PHASE_CARRY, 41, 10, 79, 10},   /* elsewhere */
      {SMALL, 1, PC_PHASE_CARRY, 60, 10, 5, 10},  /* may be there */
      {OTHER, 1, PC_PHASE_CARRY, 60, 10, 5, 10},  /* one of another machine, in a cycle of its own */
      {OTHER, 2, PC_PHASE_CARRY, 39, 19, 39, 1},  /* along its border: two */
      {OTHER, 3, PC_PHASE_IDLE, 5, 10, 60, 10}};
  for (int bound = 0; bound < 2; bound++) {
    pc_scenario s = decked(bound);
    pc_lot *lot = make_lot(&s);
    pc_crossings crossings;
    pc_crossings_start(&crossings, lot, &s);
    for (size_t i = 0; i < sizeof drives / sizeof drives[0]; i++) {
      const drive *d = &drives[i];
      const pc_trace_row row = {.machine = d->machine,
                                .cycle = d->cycle,
                                .phase = d->phase,
                                .from = {d->x0, d->y0},
                                .to = {d->x1, d->y1}};
      pc_crossings_row(&crossings, &row);
    }
    assert_false(crossings.failed);
    for (size_t a = 0; a < AREAS; a++) {
      bool counts = bound && a == DECK;
      assert_int_equal(pc_crossings_of(&crossings, BIG, a), counts ? 4 : 0);
      assert_int_equal(pc_crossings_of(&crossings, SMALL, a), 0);
      assert_int_equal(pc_crossings_of(&crossings, OTHER, a), counts ? 2 : 0);
      assert_int_equal(pc_crossings_of(&crossings, PC_NO_ENTRY, a), counts ? 6 : 0);
    }
    pc_crossings_free(&crossings);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(ways_that_count)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
