// SPDX-License-Identifier: GPL-3.0-or-later
/* Each form of the lower bound (docs/bound.md) on lots so small that it can be written down: one lane, a few
 * loads, a zone far enough away that all snow has nearly the same way. Derivations are our own; a term that
 * is left out, counted twice or has the wrong sign is off by far more than is allowed here. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include <math.h>

#include "base/memory.h"
#include "scene.h"
#include "simulate.h"
#include "study/bound_private.h"

static const double pi = 3.14159265358979323846;

static void assert_within(const char *what, double got, double wanted, double off) {
  if (!(fabs(got - wanted) <= off))
    fail_msg("%s: got %.9g, wanted %.9g within %g", what, got, wanted, off);
}

/* A crew of `count` machines that stand at one place. */
static void set_crew(pc_scenario *s, pc_point start, int count) {
  s->crew = pc_alloc(1, sizeof *s->crew);
  assert_non_null(s->crew);
  s->crew_count = 1;
  s->crew[0] = pc_crew_entry_default();
  s->crew[0].loader = s->loaders[0].name;
  s->crew[0].box = s->boxes[0].name;
  s->crew[0].count = count;
  s->crew[0].has_start = true;
  s->crew[0].start = start;
}

static pc_bound bound_of(const pc_lot *lot) {
  pc_bound bound;
  assert_int_equal(pc_bound_make(lot, 0.0, &bound), PC_OK);
  return bound;
}

/* A tank as large as a lake: it never runs empty, but whole cycles are not counted. */
static void set_tank(pc_loader *loader) {
  loader->power_w = 1e6;
  loader->mass_kg = 20e3;
  loader->traction = 0.9;
  loader->fuel_per_kwh_l = 0.25;
  loader->fuel_idle_lph = 4;
  loader->tank_l = 1e6;
  loader->refuel_lps = 1;
}

/* ---- the tighter form, with turns ---- */

enum { PRICES = 24 };

/* min over w ≥ s of (2·turn/π)·asin(s/w) + p·w, capped at `turn`: by looking at many w. */
static double turn_and_way_s(double turn_s, double s, double p) {
  double least = turn_s;
  for (double w = s; w < 1000 * s; w *= 1.0001)
    least = fmin(least, 2 * turn_s / pi * asin(s / w) + p * w);
  return least;
}

/* 4 × 4.5 m, 180 kg, six loads of 30 kg, and the zone s = 202.25 m straight across the lane. Each of n
 * machines stands at the snow, d0 = s. A metre and a half of the lane (45 kg) may be left. */
static pc_scenario straight_across(int n, double turn_s) {
  const pc_point zone[] = {{2, -200}};
  pc_scenario s = scene_rectangle(4, 4.5, zone, 1);
  pc_loader *l = &s.loaders[0];
  s.station_m = 0.5;
  s.boxes[0].heap_factor_m = 1.0 / 45;
  l->lower_s = 3;
  l->raise_s = 17;
  l->dump_s = 11;
  l->turn_s = turn_s;
  l->reverse_speed_mps = 1;
  set_tank(l);
  set_crew(&s, (pc_point){2, 2.25}, n);
  return s;
}

/* With every price p of a metre aside and M/c loads to be placed, N of them in whole numbers,
 *   n·T = N·(lower + dump) + (N − n)·raise + S/v_push + M/c·s·(1/v_carry − p) + (M/c − n)·s/v_empty
 *         + M/c·min(turn, min over w (2·turn/π)·asin(s/w) + p·w) − n·turn/2
 * but for Σ g·|a·q − b|, which is small: g is 0.01. Without a price there are no turns. */
static double across_s(int n, double turn_s, double loads, int prices) {
  const double s_m = 202.25, c = 1 / 3.3, b = 1 / 4.5, whole = ceil(loads);
  double most = 0;
  for (int i = 0; i < prices; i++) {
    double p = c * i / PRICES, turns = loads * turn_and_way_s(turn_s, s_m, p) - 0.5 * turn_s * n;
    double sum = whole * 14 + (whole - n) * 17 + loads / 6 * 4 / 2.2 + loads * s_m * (c - p);
    sum += (loads - n) * s_m * b + (i > 0 ? turns : 0);
    most = fmax(most, sum / n);
  }
  return most;
}

static void turns_of_a_way_aside(void **state) {
  (void)state;
  for (int n = 1; n <= 2; n++)
    for (double turn_s = 10; turn_s <= 90; turn_s += 40) {
      pc_scenario s = straight_across(n, turn_s);
      pc_lot *lot = make_lot(&s);
      pc_bound bound = bound_of(lot), part;
      assert_within("time", bound.time_s, across_s(n, turn_s, 6, PRICES), 0.15);
      assert_true(bound.time_s > bound.plain_s + 1);
      assert_int_equal(pc_bound_make(lot, 45, &part), PC_OK);
      assert_within("with some left", part.time_s, across_s(n, turn_s, 4.5, PRICES), 0.15);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
}

/* Two areas have no common axis, and no turns are counted. */
static void no_turns_in_several_areas(void **state) {
  (void)state;
  static const pc_point left[] = {{0, 0}, {2, 0}, {2, 4.5}, {0, 4.5}},
                        right[] = {{2, 0}, {4, 0}, {4, 4.5}, {2, 4.5}};
  pc_scenario s = straight_across(1, 40);
  pc_area *areas = realloc(s.site.areas, 2 * sizeof *areas);
  assert_non_null(areas);
  s.site.areas = areas;
  s.site.area_count = 2;
  areas[1] = pc_area_default();
  areas[1].name = pc_name_of("other");
  free(areas[0].outline.points);
  areas[0].outline = (pc_ring){0};
  assert_int_equal(pc_ring_copy(&areas[0].outline, left, 4), PC_OK);
  assert_int_equal(pc_ring_copy(&areas[1].outline, right, 4), PC_OK);
  areas[0].heading_rad = areas[1].heading_rad = 0;
  pc_lot *lot = make_lot(&s);
  assert_within("time", bound_of(lot).time_s, across_s(1, 40, 6, 1), 0.15);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* While a load costs less than b²/(2a) times the way to fill a box, more of them might pay, and the tighter
 * form says nothing: here a = 1/3.3 − p + 1/4.5, b = 1/4.5, and 2/3 m fill a box; 0.03 s without a price, and
 * 0.07 s with the highest. */
static void no_tighter_form_where_small_loads_pay(void **state) {
  (void)state;
  static const double load_s[] = {0, 0.02, 0.08};
  for (int i = 0; i < 3; i++) {
    pc_scenario s = straight_across(1, 40);
    s.loaders[0].lower_s = load_s[i];
    s.loaders[0].dump_s = 0;
    pc_lot *lot = make_lot(&s);
    pc_bound bound = bound_of(lot);
    assert_within("time", bound.time_s, i < 2 ? bound.plain_s : across_s(1, 40, 6, PRICES) - 6 * (14 - 0.08),
                  0.15);
    assert_true(i == 2 || bound.time_s == bound.plain_s);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* ---- whole cycles ---- */

/* No higher than the form allows, but for sampling; prices of fill ratios are sought, and may be off. */
static void assert_bound(const char *what, double got, double wanted) {
  if (!(got <= wanted + 0.3 && got >= wanted - 4.5))
    fail_msg("%s: got %.9g, wanted %.9g", what, got, wanted);
}

enum { FILLS = 16 };

/* Sixty metres of lane, ten loads of 270 kg, and the zone straight ahead, `beyond_m` from the lane's end. */
static pc_scenario straight_ahead(double beyond_m) {
  const pc_point zone[] = {{60 + beyond_m, 2.25}};
  pc_scenario s = scene_rectangle(60, 4.5, zone, 1);
  s.station_m = 0.5;
  s.boxes[0].heap_factor_m = 0.2;
  s.loaders[0].push_speed_mps = 1.2;
  s.loaders[0].carry_speed_mps = 2;
  s.loaders[0].lower_s = 5;
  s.loaders[0].raise_s = 15;
  s.loaders[0].dump_s = 40;
  return s;
}

typedef struct cycle { /* what the form is made of there */
  double b, c;         /* seconds per metre out and back */
  double turns_s;      /* of one load that is pushed towards the zone, */
  double turns_away_s; /* and more of one that is pushed away from it */
  double spared_s, fixed_s, turn_s;
} cycle;

/* Least cost of the six metres of a load at one fill ratio: either end of that sixteenth, either direction.
 */
static double pushed_s(const cycle *k, int bin) {
  double least = INFINITY;
  for (int end = 0; end < 2; end++) {
    double turned = k->b - (k->b + k->c) * (bin + end) / FILLS;
    least = fmin(least, fmin(turned, k->turns_away_s / 6 - turned));
  }
  return 6 * (1 / 1.2 + least);
}

static int dearer(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* Per load: all fill ratios are met by as much snow, and snow too near to tell (its share is `near`) takes
 * the dear ones; or, where it is less, as if every load ended at Q, and the more there are of them for it,
 * the more is paid for them: fixed - spared - turn for each. */
static double pushing_s(const cycle *k, double near) {
  double each[FILLS], sum = 0, least = INFINITY, slack = k->fixed_s - k->spared_s - k->turn_s;
  for (int q = 0; q < FILLS; q++) {
    double share = (q + 1.0) / FILLS;
    each[q] = pushed_s(k, q);
    sum += each[q] / FILLS;
    least = fmin(least, (sum + (1 - share) * slack) / share);
  }
  qsort(each, FILLS, sizeof *each, dearer);
  sum = 0;
  for (int q = 0; q < FILLS; q++)
    sum += each[q] * fmin(1.0 / FILLS, fmax(0, 1 - near - (double)q / FILLS));
  return fmin((1 - near) * least, sum);
}

/* By docs/bound.md, "Cycles": 0.999 × (loads × (fixed + way out + way back + turns) + pushing), less what a
 * first load may be spared. Of the near_m that begin within five metres of the zone no more is sure than
 * -spared - turn a load and 1/v_push - 1/v_carry a metre. */
static double cycles_s(const cycle *k, double beyond_m, double near_m, double firsts_s) {
  double near = near_m / 60, way_m = beyond_m + 30 + 0.5 * near_m;
  double near_s = 10 * near * (-k->spared_s - k->turn_s) + near_m * (1 / 1.2 - 1 / 2.0);
  double each = (1 - near) * (way_m * (k->b + k->c) + k->turns_s - k->spared_s) + pushing_s(k, near);
  return 0.999 * (10 * (k->fixed_s + each) + near_s) - firsts_s;
}

static double cycles_of(const pc_scenario *s) {
  double machine_s;
  pc_lot *lot = make_lot(s);
  assert_int_equal(pc_bound_cycles_s(lot, pc_lot_snow_kg(lot), 0.0, &machine_s), PC_OK);
  pc_lot_free(lot);
  return machine_s;
}

/* Forward: out and back take 1/v_return and 1/v_carry a metre. "Away from the lot" is to the side here, as
 * the lane's side is nearest to the zone: so a quarter turn of the two half turns is charged twice and two
 * are not, and one half turn is left. Each machine's first load may be spared its way from a zone,
 * d0/v_return, two half turns, and its raising. */
static void cycles_driven_forward(void **state) {
  (void)state;
  for (int n = 1; n <= 3; n++)
    for (double turn_s = 0; turn_s <= 36; turn_s += 12) {
      pc_scenario s = straight_ahead(200);
      s.loaders[0].return_speed_mps = 5;
      s.loaders[0].reverse_speed_mps = 0.5;
      s.loaders[0].turn_s = turn_s;
      set_crew(&s, (pc_point){0, 2.25}, n);
      const cycle k = {1 / 5.0, 1 / 2.0, turn_s, 0, 0, 60, turn_s};
      assert_bound("forward", cycles_of(&s), cycles_s(&k, 200, 0, n * (260 / 5.0 + 2 * turn_s + 15)));
      pc_scenario_free(&s);
    }
}

/* In reverse nobody turns on the way; carrying is quicker here, so the way out counts with its speed. Far
 * away, with "away from the lot" to the side, a quarter turn is credited to each load, and half a turn is
 * paid by one that is pushed away from the zone; with the zone at the lane's end, where it is straight on,
 * nothing is credited. */
static void cycles_driven_in_reverse(void **state) {
  (void)state;
  for (int end = 0; end < 2; end++)
    for (int n = 1; n <= 3; n++)
      for (double turn_s = 0; turn_s <= 40; turn_s += 20) {
        double beyond_m = end ? 1.5 : 20;
        pc_scenario s = straight_ahead(beyond_m);
        s.loaders[0].return_speed_mps = 1.5;
        s.loaders[0].reverse_speed_mps = 1;
        s.loaders[0].turn_s = turn_s;
        set_crew(&s, (pc_point){0, 2.25}, n);
        const cycle k = {1 / 2.0, 1 / 2.0, end ? 0 : -0.5 * turn_s, turn_s, 0, 60, turn_s};
        double firsts_s = n * ((60 + beyond_m) / 2.0 + 2 * turn_s + 15);
        assert_bound("reverse", cycles_of(&s), cycles_s(&k, beyond_m, end ? 3 : 0, firsts_s));
        pc_scenario_free(&s);
      }
}

/* Where a load costs next to nothing there may be many, each pushed outward nearly empty: every metre saves
 * 1/v_empty, as nobody drives there empty, and none is pushed at a dear fill ratio. Where it costs less than
 * it may be spared, nothing is said. */
static void part_loads_that_cost_little(void **state) {
  (void)state;
  for (double load_s = 0; load_s <= 4; load_s += 1) {
    pc_scenario s = straight_ahead(20);
    s.loaders[0].return_speed_mps = 1.5;
    s.loaders[0].reverse_speed_mps = 1;
    s.loaders[0].turn_s = s.loaders[0].raise_s = s.loaders[0].dump_s = 0;
    s.loaders[0].lower_s = load_s;
    set_crew(&s, (pc_point){0, 2.25}, 1);
    const cycle k = {1 / 2.0, 1 / 2.0, 0, 0, 0, load_s, 0};
    assert_bound("part loads", cycles_of(&s), cycles_s(&k, 20, 0, 80 / 2.0));
    s.loaders[0].turn_s = load_s + 0.1;
    assert_true(cycles_of(&s) == 0);
    pc_scenario_free(&s);
  }
}

/* Backing out by β may spare a load (β + turn/√(1/v_back² − 1/v_forward²))·(1/v − 1/v_forward), v the larger
 * of reversing and carrying; nothing where reversing is as quick as driving forward. */
static void backing_out_spares_turns(void **state) {
  (void)state;
  const double speeds[] = {1, 3, 5};
  for (int i = 0; i < 3; i++) {
    pc_scenario s = straight_ahead(200);
    double back = 1 / speeds[i], forward = 1 / 5.0, turn_s = i == 2 ? 0 : 8;
    s.loaders[0].return_speed_mps = 5;
    s.loaders[0].reverse_speed_mps = speeds[i];
    s.loaders[0].turn_s = turn_s;
    s.loaders[0].back_out_m = 4;
    set_crew(&s, (pc_point){0, 2.25}, 1);
    double within = 4 + turn_s / sqrt(back * back - forward * forward);
    double spared_s = i == 2 ? 0 : within * (1 / fmax(2, speeds[i]) - forward);
    const cycle k = {forward, 1 / 2.0, turn_s, 0, spared_s, 60, turn_s};
    assert_bound("backing out", cycles_of(&s), cycles_s(&k, 200, 0, 260 / 5.0 + 2 * turn_s + 15));
    pc_scenario_free(&s);
  }
}

/* With 4 m to back out at half the speed of carrying, 1.2 s of a load: where it takes less, nothing is said.
 */
static void loads_that_cost_less_than_they_may_be_spared(void **state) {
  (void)state;
  for (double load_s = 1.1; load_s < 1.35; load_s += 0.2) {
    pc_scenario s = straight_ahead(20);
    pc_loader *l = &s.loaders[0];
    l->return_speed_mps = 5;
    l->reverse_speed_mps = 1;
    l->turn_s = l->raise_s = l->dump_s = 0;
    l->back_out_m = 4;
    l->lower_s = load_s;
    set_crew(&s, (pc_point){0, 2.25}, 1);
    if (load_s < 1.2)
      assert_true(cycles_of(&s) == 0);
    else
      assert_true(cycles_of(&s) > 0);
    pc_scenario_free(&s);
  }
}

/* Carrying is never slower than pushing, nor driving empty than carrying, whatever the speeds are. */
static void speeds_that_are_slower_than_pushing(void **state) {
  (void)state;
  pc_scenario s = straight_ahead(20), as = straight_ahead(20);
  s.loaders[0].push_speed_mps = as.loaders[0].push_speed_mps = as.loaders[0].carry_speed_mps = 2.5;
  s.loaders[0].return_speed_mps = s.loaders[0].reverse_speed_mps = 1;
  as.loaders[0].return_speed_mps = 2.5;
  as.loaders[0].reverse_speed_mps = 1;
  set_crew(&s, (pc_point){0, 2.25}, 1);
  set_crew(&as, (pc_point){0, 2.25}, 1);
  double as_s = cycles_of(&as);
  assert_within("slower", cycles_of(&s), as_s, 1e-9 * as_s);
  pc_scenario_free(&s);
  pc_scenario_free(&as);
}

/* ---- the best figure of any machine ---- */

static pc_loader *add_second_loader(pc_scenario *s) {
  pc_loader *loaders = realloc(s->loaders, 2 * sizeof *loaders);
  assert_non_null(loaders);
  s->loaders = loaders;
  loaders[1] = loaders[0];
  loaders[1].name = pc_name_of("other");
  s->loader_count = 2;
  pc_crew_entry *crew = realloc(s->crew, 2 * sizeof *crew);
  assert_non_null(crew);
  s->crew = crew;
  crew[1] = crew[0];
  crew[1].loader = loaders[1].name;
  s->crew_count = 2;
  return loaders;
}

static double *figure_at(pc_loader *l, int which) {
  double *const figures[] = {
      &l->push_speed_mps, &l->carry_speed_mps, &l->return_speed_mps, &l->reverse_speed_mps, &l->lower_s,
      &l->raise_s,        &l->dump_s,          &l->turn_s,           &l->back_out_m};
  return figures[which];
}

/* Of two machines each has every other figure worse: the forms that count with the best of each are those of
 * two machines that have all the good ones. */
static void each_machine_has_the_best_figures(void **state) {
  (void)state;
  enum { FIGURES = 9, SPEEDS = 4 };
  for (int which = 0; which < FIGURES; which++)
    for (size_t worse = 0; worse < 2; worse++) {
      pc_scenario s = straight_ahead(200), best = straight_ahead(200);
      pc_scenario *both[] = {&s, &best};
      for (int k = 0; k < 2; k++) {
        both[k]->loaders[0].return_speed_mps = 5;
        both[k]->loaders[0].reverse_speed_mps = 1;
        both[k]->loaders[0].turn_s = 8;
        both[k]->loaders[0].back_out_m = 4; /* the farther, the more it may spare: more is better */
        set_crew(both[k], (pc_point){0, 2.25}, k + 1);
      }
      double *figure = figure_at(&add_second_loader(&s)[worse], which);
      *figure = which < SPEEDS || which == FIGURES - 1 ? 0.5 * *figure : *figure + 7;
      pc_lot *lot = make_lot(&s), *same = make_lot(&best);
      pc_bound one = bound_of(lot), other = bound_of(same);
      assert_true(one.loads == other.loads && one.fixed_s == other.fixed_s && one.push_s == other.push_s);
      assert_true(one.carry_s == other.carry_s && one.empty_s == other.empty_s);
      assert_true(cycles_of(&s) == cycles_of(&best));
      pc_lot_free(lot);
      pc_lot_free(same);
      pc_scenario_free(&s);
      pc_scenario_free(&best);
    }
}

/* The form is for zones that are points, one box width, open ways, and machines that need no fuel. */
static void where_cycles_are_counted(void **state) {
  (void)state;
  enum { PLAIN, TANK, WIDTHS, OUTLINE, POLE, CASES };
  static const pc_point at[] = {{60, 9}}, zone[] = {{60, 4}, {70, 4}, {70, 14}, {60, 14}},
                        pole[] = {{30, 17}};
  for (int which = PLAIN; which < CASES; which++) {
    pc_scenario s = scene_rectangle(60, 18, at, 1);
    set_crew(&s, (pc_point){0, 2.25}, 1);
    if (which == TANK)
      set_tank(&s.loaders[0]);
    if (which == OUTLINE)
      assert_int_equal(pc_ring_copy(&s.zones[0].outline, zone, 4), PC_OK);
    if (which == POLE) {
      s.site.obstacles = pc_alloc(1, sizeof *s.site.obstacles);
      assert_non_null(s.site.obstacles);
      s.site.obstacle_count = 1;
      s.site.obstacles[0] =
          (pc_obstacle){.name = pc_name_of("pole"), .kind = PC_OBSTACLE_POLE, .at = pole[0], .radius_m = 0.2};
    }
    if (which == WIDTHS) {
      pc_box *boxes = realloc(s.boxes, 2 * sizeof *boxes);
      assert_non_null(boxes);
      s.boxes = boxes;
      boxes[1] = boxes[0];
      boxes[1].name = pc_name_of("narrow");
      boxes[1].width_m = 2;
      s.box_count = 2;
      (void)add_second_loader(&s);
      s.crew[1].box = boxes[1].name;
    }
    if (which == PLAIN ? !(cycles_of(&s) > 0) : cycles_of(&s) != 0)
      fail_msg("case %d: %g", which, cycles_of(&s));
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(turns_of_a_way_aside),
      cmocka_unit_test(no_turns_in_several_areas),
      cmocka_unit_test(no_tighter_form_where_small_loads_pay),
      cmocka_unit_test(loads_that_cost_less_than_they_may_be_spared),
      cmocka_unit_test(cycles_driven_forward),
      cmocka_unit_test(cycles_driven_in_reverse),
      cmocka_unit_test(part_loads_that_cost_little),
      cmocka_unit_test(backing_out_spares_turns),
      cmocka_unit_test(where_cycles_are_counted),
      cmocka_unit_test(speeds_that_are_slower_than_pushing),
      cmocka_unit_test(each_machine_has_the_best_figures),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
