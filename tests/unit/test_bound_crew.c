// SPDX-License-Identifier: GPL-3.0-or-later
/* The plain form of the lower bound and that for different machines (docs/bound.md), against sums written
 * down for lots of a few loads and against the best way to share work between two machines. Derivations are
 * our own. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <math.h>

#include "base/memory.h"
#include "base/random.h"
#include "night_run.h"
#include "scene.h"
#include "simulate.h"
#include "study/bound_private.h"

static void assert_within(const char *what, double got, double wanted, double off) {
  if (!(fabs(got - wanted) <= off))
    fail_msg("%s: got %.9g, wanted %.9g within %g", what, got, wanted, off);
}

static pc_bound bound_of(const pc_lot *lot, double left_kg) {
  pc_bound bound;
  assert_int_equal(pc_bound_make(lot, left_kg, &bound), PC_OK);
  return bound;
}

static void add_entry(pc_scenario *s, size_t loader, size_t box, int count, pc_point start) {
  pc_crew_entry *crew = realloc(s->crew, (s->crew_count + 1) * sizeof *crew);
  assert_non_null(crew);
  s->crew = crew;
  crew[s->crew_count] = pc_crew_entry_default();
  crew[s->crew_count].loader = s->loaders[loader].name;
  crew[s->crew_count].box = s->boxes[box].name;
  crew[s->crew_count].count = count;
  crew[s->crew_count].has_start = true;
  crew[s->crew_count++].start = start;
}

/* A second loader and a second box, like the first ones. */
static void add_seconds(pc_scenario *s) {
  pc_loader *loaders = realloc(s->loaders, 2 * sizeof *loaders);
  pc_box *boxes = realloc(s->boxes, 2 * sizeof *boxes);
  assert_true(loaders && boxes);
  s->loaders = loaders;
  s->boxes = boxes;
  loaders[1] = loaders[0];
  boxes[1] = boxes[0];
  loaders[1].name = pc_name_of("other");
  boxes[1].name = pc_name_of("second");
  s->loader_count = s->box_count = 2;
}

/* 4 × 4.5 m, 180 kg, six loads of 30 kg, the zone 200 m beyond the end of the lane: D = 6·202 m, S = 4 m.
 *   n·T = 6·(lower + dump) + (6 − n)·raise + S/v_push + (D − S)/v_carry + (D − Σ d0)/v_empty
 * for n machines. v_carry is the larger of pushing and carrying, v_empty the largest of carrying, return and
 * reverse. */
static void plain_form_by_hand(void **state) {
  (void)state;
  const pc_point zone[] = {{204, 2.25}};
  const struct {
    double push, carry, back, reverse, v_carry, v_empty;
  } cases[] = {
      {2, 3, 5, 1, 3, 5}, {2, 3, 1, 5, 3, 5}, {2, 1, 5, 1, 2, 5}, {4, 2, 1, 1, 4, 4}, {2, 3, 1, 1, 3, 3}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
    for (int n = 1; n <= 3; n++) {
      pc_scenario s = scene_rectangle(4, 4.5, zone, 1);
      pc_loader *l = &s.loaders[0];
      s.station_m = 0.5;
      s.boxes[0].heap_factor_m = 1.0 / 45;
      l->push_speed_mps = cases[i].push;
      l->carry_speed_mps = cases[i].carry;
      l->return_speed_mps = cases[i].back;
      l->reverse_speed_mps = cases[i].reverse;
      l->lower_s = 3;
      l->raise_s = 17;
      l->dump_s = 11;
      add_entry(&s, 0, 0, n, (pc_point){104, 2.25}); /* 100 m from the zone */
      pc_lot *lot = make_lot(&s);
      pc_bound bound = bound_of(lot, 0);
      double way_m = 202 - 0.5 / 16, haul_m = 6 * way_m;
      double sum = 6 * 14 + (6 - n) * 17 + 4 / cases[i].push + (haul_m - 4) / cases[i].v_carry +
                   (haul_m - 100 * n) / cases[i].v_empty;
      assert_within("loads", bound.loads, 6, 0);
      assert_within("way loaded", bound.loaded_m, haul_m, 1e-9 * haul_m);
      assert_within("all ways", bound.whole_m, 2 * haul_m - 100 * n, 1e-9 * haul_m);
      assert_within("plain", bound.plain_s, sum / n, 1e-9 * sum);
      /* the snow that is left, a load and a half, is that of the far end, and a metre is not swept */
      bound = bound_of(lot, 45);
      assert_within("loads", bound.loads, 5, 0);
      assert_within("way swept", bound.sweep_m, 3, 1e-9);
      assert_within("way loaded", bound.loaded_m, 4.5 * (201.5 - 0.5 / 16), 1e-6);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
}

/* Boxes of two widths have two sets of lanes. What lies in a lane of one is taken up from no farther than
 * half that lane and half the widest swath beside its centre, so counts as so much nearer to a zone abeam. */
static void lanes_of_two_widths_reach_across(void **state) {
  (void)state;
  const pc_point zone[] = {{2, -200}};
  for (int i = 0; i < 2; i++) {
    pc_scenario s = scene_rectangle(4, 18, zone, 1);
    s.station_m = 0.5;
    add_seconds(&s);
    s.boxes[i].width_m = 3;
    add_entry(&s, 0, 0, 1, (pc_point){2, 2});
    add_entry(&s, 0, 1, 1, (pc_point){2, 2});
    pc_lot *lot = make_lot(&s);
    assert_int_equal(lot->lane_set_count, 2);
    assert_int_equal(lot->bound_set, i); /* the narrower lanes, whichever machine comes first */
    const pc_lane_set *set = &lot->lane_sets[lot->bound_set];
    double haul_kgm = 0, all_kg = 0;
    for (size_t l = 0; l < set->lane_count; l++) {
      const pc_lane *lane = &set->lanes[l];
      double way_m = lane->v_m + 200 - 0.5 * (lane->width_m + 4.5) - 0.5 / 16, kg = 40 * lane->width_m;
      haul_kgm += kg * way_m;
      all_kg += kg;
    }
    assert_within("snow", all_kg, 720, 1e-6);
    pc_bound bound = bound_of(lot, 0);
    assert_within("way loaded", bound.loaded_m, haul_kgm / 1350,
                  0.05 * haul_kgm / 1350 / 200);                   /* the way is sought */
    assert_within("way swept", bound.sweep_m, 4 * 18 / 4.5, 1e-9); /* by the widest swath */
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* ---- two machines share the work ---- */

enum { KINDS = 3 }; /* placing, hauling, sweeping */

typedef struct figures {
  double each_s[KINDS]; /* of all the work of a kind; INFINITY: can't */
  double spared_s;
} figures;

/* Least time in which both are done: work goes to the first machine by how much cheaper it is for it, and one
 * kind is split so that both are done at once (or one is done with nothing). */
static double shared_s(const figures *a, const figures *b) {
  double least = INFINITY;
  int order[KINDS] = {0, 1, 2};
  for (int i = 0; i < KINDS; i++)
    for (int j = i + 1; j < KINDS; j++) {
      double x = a->each_s[order[i]] / b->each_s[order[i]], y = a->each_s[order[j]] / b->each_s[order[j]];
      if (y < x) {
        int swap = order[i];
        order[i] = order[j];
        order[j] = swap;
      }
    }
  for (int split = 0; split < KINDS; split++)
    for (int step = 0; step <= 2000; step++) {
      double share = step / 2000.0, ta = -a->spared_s, tb = -b->spared_s;
      for (int i = 0; i < KINDS; i++) {
        double first = i < split ? 1 : i > split ? 0 : share;
        ta += first > 0 ? first * a->each_s[order[i]] : 0;
        tb += first < 1 ? (1 - first) * b->each_s[order[i]] : 0;
      }
      least = fmin(least, fmax(ta, tb));
    }
  return least;
}

static double uniform(pc_stream *stream, double low, double high) {
  return low + (high - low) * (double)(pc_stream_next(stream) >> 11) * 0x1p-53;
}

static figures figures_of(const pc_scenario *s, size_t i, bool blade, double start_m, double load_kg,
                          const double work[KINDS]) {
  const pc_loader *l = &s->loaders[i];
  double carry = fmax(l->push_speed_mps, l->carry_speed_mps), width = s->boxes[i].width_m;
  double empty = fmax(carry, fmax(l->return_speed_mps, l->reverse_speed_mps));
  if (blade)
    return (figures){{INFINITY, INFINITY, work[2] / (width * l->push_speed_mps)}, 0};
  return (figures){{work[0] * (l->lower_s + l->raise_s + l->dump_s) / load_kg,
                    work[1] * (1 / carry + 1 / empty) / load_kg,
                    work[2] * (1 / l->push_speed_mps - 1 / carry) / width},
                   l->raise_s + start_m / empty};
}

/* By the duality of linear programs the best weights give the best way to share, which is searched here by
 * trying 2000 shares. */
static void best_share_of_two_machines(void **state) {
  (void)state;
  enum { CASES = 300 };
  const pc_point zone[] = {{60, 9}};
  for (uint64_t number = 0; number < CASES; number++) {
    pc_stream d;
    pc_stream_start(&d, 31, number, 0, 0);
    pc_scenario s = scene_rectangle(60, 18, zone, 1);
    bool blade = number % 3 == 2;
    add_seconds(&s);
    for (size_t i = 0; i < 2; i++) {
      pc_loader *l = &s.loaders[i];
      l->push_speed_mps = uniform(&d, 0.5, 3);
      l->carry_speed_mps = uniform(&d, 0.5, 5);
      l->return_speed_mps = uniform(&d, 1, 6);
      l->reverse_speed_mps = uniform(&d, 1, 6);
      l->lower_s = uniform(&d, 0, 10);
      l->raise_s = uniform(&d, 0, 40);
      l->dump_s = uniform(&d, 0, 20);
      s.boxes[i].width_m = uniform(&d, 2.5, 6);
      add_entry(&s, i, i, 1, (pc_point){0, 9});
    }
    s.boxes[1].blade = blade ? PC_BLADE_LEFT : PC_BLADE_NONE;
    pc_lot *lot = make_lot(&s);
    const double start_m[] = {uniform(&d, 0, 60), uniform(&d, 0, 60)};
    const double work[KINDS] = {uniform(&d, 5e3, 5e4), uniform(&d, 1e5, 2e6), uniform(&d, 500, 20000)};
    figures a = figures_of(&s, 0, false, start_m[0], lot->machines[0].unit.capacity_kg, work);
    figures b = figures_of(&s, 1, blade, start_m[1], lot->machines[1].unit.capacity_kg, work);
    double least = shared_s(&a, &b), bound = pc_bound_crew_from_s(lot, start_m, work[0], work[1], work[2]);
    if (!(bound <= least * (1 + 1e-9) && bound >= 0.998 * least))
      fail_msg("case %d: bound %.9g s, best share %.9g s", (int)number, bound, least);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* The bound of five machines of different kinds, a blade among them, is the same in whatever order they stand
 * in the crew. */
static void order_of_the_crew(void **state) {
  (void)state;
  enum { MACHINES = 5, CASES = 40 };
  const pc_point zone[] = {{60, 9}};
  for (uint64_t number = 0; number < CASES; number++) {
    double bounds[MACHINES];
    for (size_t turn = 0; turn < MACHINES; turn++) {
      pc_stream d;
      pc_stream_start(&d, 32, number, 0, 0);
      pc_scenario s = scene_rectangle(60, 18, zone, 1);
      s.loaders = realloc(s.loaders, MACHINES * sizeof *s.loaders);
      s.boxes = realloc(s.boxes, MACHINES * sizeof *s.boxes);
      assert_true(s.loaders && s.boxes);
      s.loader_count = s.box_count = MACHINES;
      for (size_t i = 0; i < MACHINES; i++) {
        char name[] = {(char)('a' + i), '\0'};
        s.loaders[i] = s.loaders[0];
        s.boxes[i] = s.boxes[0];
        s.loaders[i].name = s.boxes[i].name = pc_name_of(name);
        s.loaders[i].push_speed_mps = uniform(&d, 0.5, 3);
        s.loaders[i].carry_speed_mps = uniform(&d, 0.5, 5);
        s.loaders[i].dump_s = uniform(&d, 0, 20);
        s.boxes[i].width_m = uniform(&d, 2.5, 6);
      }
      s.boxes[2].blade = PC_BLADE_LEFT;
      s.crew_count = 0;
      for (size_t i = 0; i < MACHINES; i++)
        add_entry(&s, (i + turn) % MACHINES, (i + turn) % MACHINES, 1, (pc_point){0, 9});
      pc_lot *lot = make_lot(&s);
      bounds[turn] = pc_bound_crew_s(lot, 3e4, 1e6, 1e4);
      assert_within("another order", bounds[turn], bounds[0], 1e-9 * bounds[0]);
      pc_lot_free(lot);
      pc_scenario_free(&s);
    }
  }
}

/* Two strips of one lane, 4.5 m × 40 m side by side, the zone 100 m beyond their ends; the second is tied to
 * the other loader. What that one needs for its strip alone, by hand: M = 10 kg/m² · 180 m², brought 120 m
 * nearer in the mean, 20 m on to both sides of the middle, all swept: t = M·(lower + raise + dump)/c +
 * M·120·(1/v_carry + 1/v_empty)/c + A·(1/v_push − 1/v_carry)/w − raise − d0/v_empty Slants are none so far
 * off; samples of an eighth of a slot count half their length less. */
static void tied_to_one(void **state) {
  (void)state;
  enum { PARTS = 8 };
  const pc_point zone[] = {{140, 6.75}};
  const double swath = 4.5, length = 40, mass = 10 * swath * length;
  for (int tied = 0; tied < 3;
       tied++) { /* to nobody, to the other loader, with its snow going to the first strip */
    pc_scenario s = scene_rectangle(length, swath, zone, 1);
    s.station_m = 0.5;
    add_seconds(&s);
    s.loaders[1].push_speed_mps = 0.5;
    s.loaders[1].carry_speed_mps = 0.6;
    s.loaders[1].return_speed_mps = s.loaders[1].reverse_speed_mps = 0.8;
    s.crew_count = 0;
    add_entry(&s, 0, 0, 3, (pc_point){0, 0});
    add_entry(&s, 1, 1, 1, (pc_point){40, 6.75});
    pc_area *area = night_add_area(&s, "tied", 0, swath, length, 2 * swath);
    if (tied > 0)
      night_add_name(&area->loaders, "other");
    if (tied > 1)
      area->into = s.site.areas[0].name;
    pc_lot *lot = make_lot(&s);
    assert_int_equal(lot->lane_set_count, 1);
    const pc_loader *l = &lot->machines[3].unit.loader;
    double load = lot->full_at * lot->machines[3].unit.capacity_kg;
    for (double stays = 0; stays < 1.5; stays += 0.4) { /* share of the strip's snow, the farthest of it */
      double placed = mass * (1 - stays), nearer = 100 + 20 * (1 - stays) - 0.5 * s.station_m / PARTS;
      double by_hand = placed * (l->lower_s + l->raise_s + l->dump_s) / load +
                       placed * nearer * (1 / 0.6 + 1 / 0.8) / load +
                       placed / 10 * (1 / 0.5 - 1 / 0.6) / swath - l->raise_s - 100 / 0.8;
      pc_bound bound = bound_of(lot, stays * mass);
      if (tied == 1 && stays < 0.5)
        assert_within("tied", bound.plain_s, by_hand, 1e-9 * by_hand);
      else if (stays < 0.5)
        assert_true(bound.plain_s < 0.5 * by_hand);
      assert_true(bound.time_s >= bound.plain_s && isfinite(bound.time_s));
    }
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* Two squares on one road, the tied one nearer to the pile, its loader with lanes of its own. A building that
 * stands before the other square, behind the tied one, makes ways of nets out of straight ones; those of the
 * tied square stay straight. The bound by nets knows less of how far beside a lane its box reaches (9 m of
 * 100 to 140), so that it may be lower by so much, but not higher: it was, by more than twice, with the ways
 * of the other square. */
static void tied_with_lanes_of_its_own(void **state) {
  (void)state;
  const pc_point zone[] = {{240, 4.5}};
  double bounds[2];
  for (int building = 0; building < 2; building++) {
    pc_scenario s = scene_rectangle(40, 9, zone, 1);
    add_seconds(&s);
    s.boxes[1].width_m = 9.0;
    s.loaders[1].push_speed_mps = 0.05;
    s.loaders[1].carry_speed_mps = 0.06;
    s.loaders[1].return_speed_mps = s.loaders[1].reverse_speed_mps = 0.08;
    s.crew_count = 0;
    add_entry(&s, 0, 0, 3, (pc_point){1, 4});
    add_entry(&s, 1, 1, 1, (pc_point){139, 4});
    night_add_name(&night_add_area(&s, "tied", 100, 0, 140, 9)->loaders, "other");
    night_add_name(&s.crew[1].areas, "tied");
    night_add_ground(&s, -60, 0, 0, 9);
    night_add_ground(&s, 40, 0, 100, 9);
    night_add_ground(&s, 140, 0, 240, 9);
    night_add_ground(&s, -60, 9, 240, 18);
    if (building)
      night_add_building(&s, 50, 0, 60, 9);
    pc_lot *lot = make_lot(&s);
    assert_int_equal(lot->lane_set_count, 2);
    assert_int_equal(lot->lane_sets[0].slot_ways != NULL, building);
    assert_true(lot->machines[3].lane_set != lot->bound_set);
    bounds[building] = bound_of(lot, 0).plain_s;
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
  if (!(bounds[1] <= bounds[0] && bounds[1] >= 0.8 * bounds[0]))
    fail_msg("by nets %.9g s, straight %.9g s", bounds[1], bounds[0]);
}

/* While snow falls a box may sweep what is thinner than the trigger as it carries: S goes at v_carry. */
static void swept_while_carrying(void **state) {
  (void)state;
  const pc_point zone[] = {{204, 2.25}};
  for (int storm = 0; storm < 2; storm++) {
    pc_scenario s = scene_rectangle(4, 4.5, zone, 1);
    s.loaders[0].push_speed_mps = 2;
    s.loaders[0].carry_speed_mps = 3;
    if (storm) {
      s.storm = pc_alloc(2, sizeof *s.storm);
      assert_non_null(s.storm);
      s.storm_count = 2;
      s.storm[0] = s.storm[1] = pc_storm_piece_default();
      s.storm[0] = (pc_storm_piece){.rate_mps = 1e-9, .temperature_c = -5, .wind_mps = 2};
      s.storm[1].after_s = 60;
    }
    pc_lot *lot = make_lot(&s);
    pc_bound bound = bound_of(lot, 0);
    assert_within("swept", bound.sweep_m, 4, 1e-9);
    assert_within("pushing", bound.push_s, 4.0 / (storm ? 3 : 2), 1e-9);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(plain_form_by_hand),         cmocka_unit_test(lanes_of_two_widths_reach_across),
      cmocka_unit_test(best_share_of_two_machines), cmocka_unit_test(order_of_the_crew),
      cmocka_unit_test(swept_while_carrying),       cmocka_unit_test(tied_to_one),
      cmocka_unit_test(tied_with_lanes_of_its_own),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
