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

/* ---- turns ---- */

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
 *   n·T = N·(lower + dump) + (N − n)·raise + S·(1/v_push − max(1/v_carry, p + 1/v_empty))
 *         + M/c·s·(1/v_carry − p) + max(0, M/c − n)·s/v_empty
 *         + M/c·min(turn, min over w (2·turn/π)·asin(s'/w) + p·w) − n·turn/2
 * with s' half a lane less than s, and p up to 1/v_push − 1/v_empty. */
static double across_s(int n, double turn_s, double loads) {
  const double s_m = 202.25, c = 1 / 3.3, b = 1 / 4.5, push = 1 / 2.2, whole = ceil(loads);
  double most = 0;
  for (int i = 1; i <= PRICES; i++) {
    double p = (push - b) * i / PRICES;
    double sum = whole * 14 + fmax(0, whole - n) * 17 + loads / 6 * 4 * (push - fmax(c, p + b));
    sum += loads * s_m * (c - p) + fmax(0, loads - n) * s_m * b;
    sum += loads * turn_and_way_s(turn_s, s_m - 2.25, p) - 0.5 * turn_s * n;
    most = fmax(most, sum / n);
  }
  return most;
}

static void turns_of_a_way_aside(void **state) {
  (void)state;
  const int counts[] = {1, 2, 7};
  for (int i = 0; i < 3; i++)
    for (double turn_s = 10; turn_s <= 90; turn_s += 40) {
      pc_scenario s = straight_across(counts[i], turn_s);
      pc_lot *lot = make_lot(&s);
      pc_bound bound = bound_of(lot), part;
      double wanted = fmax(bound.plain_s, across_s(counts[i], turn_s, 6));
      assert_within("time", bound.time_s, wanted, 0.15 / counts[i]);
      assert_true(counts[i] > 2 || bound.time_s > bound.plain_s + 1);
      assert_int_equal(pc_bound_make(lot, 45, &part), PC_OK);
      wanted = fmax(part.plain_s, across_s(counts[i], turn_s, 4.5));
      assert_within("with some left", part.time_s, wanted, 0.15 / counts[i]);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
}

/* Where pushing is as quick as driving empty, a metre that is pushed on a slant would pay for itself with any
 * price: there is no other form than the plain one. */
static void no_price_makes_pushing_pay(void **state) {
  (void)state;
  pc_scenario s = straight_across(1, 40);
  s.loaders[0].push_speed_mps = s.loaders[0].carry_speed_mps = s.loaders[0].return_speed_mps = 3;
  pc_lot *lot = make_lot(&s);
  pc_bound bound = bound_of(lot);
  assert_true(bound.time_s == bound.plain_s && bound.plain_s > 0);
  pc_lot_free(lot);
  pc_scenario_free(&s);
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
  pc_bound bound = bound_of(lot);
  assert_true(bound.time_s == bound.plain_s && bound.plain_s > 0);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* ---- on a slant ---- */

/* Σ over the snow of a lane of `length` of the way to a zone at its end, `aside` beside its middle, over a
 * load: half a lane (2.25 m) less to the side where a box may run within the lane straight to the zone, no
 * more than one across in two along. */
static double mean_way_m(double length, double aside) {
  enum { STEPS = 100000 };
  double sum = 0;
  for (int i = 0; i < STEPS; i++) {
    double along = length * (i + 0.5) / STEPS, off = fabs(aside);
    if (off - 2.25 <= 0.5 * along)
      off -= fmin(2.25, off);
    sum += sqrt(along * along + off * off);
  }
  return sum / STEPS;
}

static void snow_on_a_slant_is_nearer(void **state) {
  (void)state;
  const double aside[] = {-9, -6, -1, 0, 1, 6, 9};
  for (size_t i = 0; i < sizeof aside / sizeof *aside; i++) {
    const pc_point zone[] = {{20, 2.25 + aside[i]}};
    pc_scenario s = scene_rectangle(20, 4.5, zone, 1);
    s.station_m = 0.5;
    s.boxes[0].heap_factor_m = 1.0 / 45;
    pc_lot *lot = make_lot(&s);
    assert_within("way", bound_of(lot).loaded_m, 30 * mean_way_m(20, aside[i]), 30 * 0.1);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* Pavement all around an area of 20 m, as far as the zones below. */
static void pave(pc_scenario *s) {
  static const pc_point around[][4] = {{{-30, -30}, {-30, 50}, {0, 50}, {0, -30}},
                                       {{0, -30}, {0, 0}, {20, 0}, {20, -30}},
                                       {{20, -30}, {20, 50}, {120, 50}, {120, -30}}};
  s->site.ground = pc_alloc(3, sizeof *s->site.ground);
  assert_non_null(s->site.ground);
  s->site.ground_count = 3;
  for (size_t i = 0; i < 3; i++) {
    s->site.ground[i] = (pc_ground_outline){.name = pc_name_of(i == 0 ? "a" : i == 1 ? "b" : "c")};
    assert_int_equal(pc_ring_copy(&s->site.ground[i].outline, around[i], 4), PC_OK);
  }
}

/* Where ways may lead around something a slant may begin in any direction: all snow is half a lane nearer. */
static void snow_is_nearer_around_something(void **state) {
  (void)state;
  enum { STEPS = 10000 };
  static const pc_point at[] = {{30, -9}}, zone[] = {{20, -15.5}, {40, -15.5}, {40, -3.75}, {20, -3.75}};
  pc_scenario s = scene_rectangle(20, 4.5, at, 1);
  s.station_m = 0.5;
  s.boxes[0].heap_factor_m = 1.0 / 45;
  assert_int_equal(pc_ring_copy(&s.zones[0].outline, zone, 4), PC_OK);
  pave(&s);
  double mean_m = 0;
  for (int i = 0; i < STEPS; i++)
    mean_m += fmax(0, hypot(20 * (i + 0.5) / STEPS, 6) - 2.25) / STEPS;
  pc_lot *lot = make_lot(&s);
  assert_non_null(lot->lane_sets[0].slot_ways);
  assert_within("way", bound_of(lot).loaded_m, 30 * mean_m, 30 * 0.1);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* A second zone, far off, that is seen on a slant brings no snow nearer to the first. */
static void a_far_zone_brings_nothing_nearer(void **state) {
  (void)state;
  const pc_point zones[] = {{20, 2.25}, {200, 12}};
  double way_m[2];
  for (size_t n = 1; n <= 2; n++) {
    pc_scenario s = scene_rectangle(20, 4.5, zones, n);
    pc_lot *lot = make_lot(&s);
    way_m[n - 1] = bound_of(lot).loaded_m;
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
  assert_true(way_m[0] == way_m[1] && way_m[0] > 0);
}

/* ---- whole cycles ---- */

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
  double turns_s;      /* of one load */
  double spared_s, fixed_s, turn_s;
} cycle;

/* By docs/bound.md, "Cycles": 0.999 × (loads × (fixed + way out + way back + turns) + metres), less what a
 * first load may be spared. As the zone is straight ahead, each metre may save the dearer of the ways. Of the
 * near_m that begin within five metres of the zone no more is sure than -spared - turn a load. */
static double cycles_s(const cycle *k, double beyond_m, double near_m, double firsts_s) {
  double near = near_m / 60, way_m = beyond_m + 30 + 0.5 * near_m;
  double each = (1 - near) * (way_m * (k->b + k->c) + k->turns_s - k->spared_s);
  each += near * (-k->spared_s - k->turn_s);
  return 0.999 * (10 * (k->fixed_s + each) + 60 * (1 / 1.2 - fmax(k->b, k->c))) - firsts_s;
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
      const cycle k = {1 / 5.0, 1 / 2.0, turn_s, 0, 60, turn_s};
      assert_within("forward", cycles_of(&s), cycles_s(&k, 200, 0, n * (260 / 5.0 + 2 * turn_s + 15)), 0.05);
      pc_scenario_free(&s);
    }
}

/* In reverse nobody turns on the way; carrying is quicker here, so the way out counts with its speed. Far
 * away, with "away from the lot" to the side, a quarter turn is credited to each load; with the zone at the
 * lane's end, where it is straight on, nothing is credited. */
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
        const cycle k = {1 / 2.0, 1 / 2.0, end ? 0 : -0.5 * turn_s, 0, 60, turn_s};
        double firsts_s = n * ((60 + beyond_m) / 2.0 + 2 * turn_s + 15);
        assert_within("reverse", cycles_of(&s), cycles_s(&k, beyond_m, end ? 3.5 : 0, firsts_s), 0.05);
        pc_scenario_free(&s);
      }
}

/* The snow that stays is the dearest, with the metres on which it lies: two loads from the far end. */
static void what_stays_is_the_dearest(void **state) {
  (void)state;
  double machine_s;
  pc_scenario s = straight_ahead(20);
  s.loaders[0].return_speed_mps = 1.5;
  s.loaders[0].reverse_speed_mps = 1;
  s.loaders[0].turn_s = 0;
  set_crew(&s, (pc_point){0, 2.25}, 1);
  pc_lot *lot = make_lot(&s);
  assert_int_equal(pc_bound_cycles_s(lot, 8 * 270, 2 * 270, &machine_s), PC_OK);
  double wanted = 0.999 * (8 * (60 + (20 + 24) * (1 / 2.0 + 1 / 2.0)) + 48 * (1 / 1.2 - 1 / 2.0)) - 55;
  assert_within("with some left", machine_s, wanted, 0.05);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* The zone lies far to the side: a metre pushed can bring a machine nearer to it, or a load, by no more than
 * the way falls along the lane. Reversing is slow, so the way back costs less, and nobody turns for anything.
 */
static void metres_beside_a_zone(void **state) {
  (void)state;
  enum { STEPS = 10000 };
  const pc_point zone[] = {{10, -200}};
  pc_scenario s = straight_ahead(0);
  s.zones[0].at = zone[0];
  s.loaders[0].return_speed_mps = 5;
  s.loaders[0].reverse_speed_mps = 1;
  s.loaders[0].turn_s = 0;
  set_crew(&s, (pc_point){0, 2.25}, 1);
  double way_s = 0, saved_s = 0;
  for (int i = 0; i < STEPS; i++) {
    double u = 60 * (i + 0.5) / STEPS - 10, w = sqrt(u * u + 202.25 * 202.25);
    way_s += w * (1 / 5.0 + 1 / 2.0) / STEPS;
    saved_s += 60.0 / STEPS * fabs(u) / w / 2;
  }
  double firsts_s = sqrt(100 + 202.25 * 202.25) / 5 + 15;
  /* a quarter of a metre to each side the way may fall a little more: less than 60 m of that is not sure */
  double sure_s = 60 * 0.25 / 202.25 / 2;
  double most = 0.999 * (10 * (60 + way_s) + 60 / 1.2 - saved_s) - firsts_s - 0.8 * sure_s,
         got = cycles_of(&s);
  if (!(got <= most && got >= most - 1.2 * sure_s - 0.02))
    fail_msg("got %.9g, at most %.9g", got, most);
  pc_scenario_free(&s);
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
    const cycle k = {forward, 1 / 2.0, turn_s, spared_s, 60, turn_s};
    assert_within("backing out", cycles_of(&s), cycles_s(&k, 200, 0, 260 / 5.0 + 2 * turn_s + 15), 0.05);
    pc_scenario_free(&s);
  }
}

/* With 4 m to back out at half the speed of carrying, 1.2 s of a load: where it takes less, nothing is said.
 * The same with 1.2 s for half a turn. */
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
    assert_true(load_s < 1.2 ? cycles_of(&s) == 0 : cycles_of(&s) > 0);
    l->back_out_m = 0;
    l->turn_s = 1.2;
    assert_true(load_s < 1.2 ? cycles_of(&s) == 0 : cycles_of(&s) > 0);
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
      cmocka_unit_test(no_price_makes_pushing_pay),
      cmocka_unit_test(snow_on_a_slant_is_nearer),
      cmocka_unit_test(snow_is_nearer_around_something),
      cmocka_unit_test(a_far_zone_brings_nothing_nearer),
      cmocka_unit_test(loads_that_cost_less_than_they_may_be_spared),
      cmocka_unit_test(cycles_driven_forward),
      cmocka_unit_test(cycles_driven_in_reverse),
      cmocka_unit_test(what_stays_is_the_dearest),
      cmocka_unit_test(metres_beside_a_zone),
      cmocka_unit_test(backing_out_spares_turns),
      cmocka_unit_test(where_cycles_are_counted),
      cmocka_unit_test(speeds_that_are_slower_than_pushing),
      cmocka_unit_test(each_machine_has_the_best_figures),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
