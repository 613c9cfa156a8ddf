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

#include <glpk.h>
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
    assert_int_equal(lot->shares[0].lane_set, i); /* the narrower lanes, whichever machine comes first */
    const pc_lane_set *set = &lot->lane_sets[lot->shares[0].lane_set];
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

/* ---- crews of one or two, exactly ---- */

/* A loader with loads of 800 kg and raise 5 s, 36 m from a zone at the start: it carries at 3, empty at 6 m/s
 * and pushes at 2. By the formula of docs/bound.md, "Different machines",
 *   30,000 kg · 24 s / 800 kg + 1,200,000 kg·m · (1/3 + 1/6) s/m / 800 kg − 5 s − 36 m / 6 m/s = 1,639 s
 * and A m² · (1/2 − 1/3) s/m / 4 m for sweeping. A blade sweeps 3 m at 1.5 m/s. */
static pc_lot_machine worked_loader(void) {
  pc_lot_machine m = {.unit = {.swath_m = 4, .capacity_kg = 1000}};
  m.unit.loader = (pc_loader){.push_speed_mps = 2,
                              .carry_speed_mps = 3,
                              .return_speed_mps = 6,
                              .reverse_speed_mps = 5,
                              .lower_s = 4,
                              .raise_s = 5,
                              .dump_s = 15};
  return m;
}

static pc_lot_machine worked_blade(void) {
  pc_lot_machine m = worked_loader();
  m.unit.box.blade = PC_BLADE_LEFT;
  m.unit.swath_m = 3;
  m.unit.capacity_kg = 0;
  m.unit.loader.push_speed_mps = 1.5;
  return m;
}

static void one_or_two_by_hand(void **state) {
  (void)state;
  const double start_m[] = {36, 36}, placing_s = 1639, sweep_s = (1 / 2.0 - 1 / 3.0) / 4, blade_s = 1 / 4.5;
  pc_lot_machine crew[2] = {worked_loader(), worked_loader()};
  pc_lot lot = {.machines = crew, .machine_count = 1, .full_at = 0.8};
  assert_near("a loader", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400), placing_s + 2400 * sweep_s,
              1e-12);
  assert_near("a loader that need not sweep", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 0), placing_s,
              1e-12);
  assert_true(pc_bound_crew_from_s(&lot, start_m, 0, 0, 0) == 0); /* what is spared is not given back */
  lot.storm_end_s = 3600; /* while it snows it may sweep as it carries */
  assert_near("in a storm", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400), placing_s, 1e-12);
  lot.storm_end_s = 0;
  /* one that can't push a load is no help, and nobody is waited for */
  lot.machine_count = 2;
  crew[1].unit.capacity_kg = 0;
  assert_near("with one that can't", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400),
              placing_s + 2400 * sweep_s, 1e-12);
  /* two alike share all of it */
  crew[1] = crew[0];
  assert_near("two loaders", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400),
              (placing_s - 11 + 2400 * sweep_s) / 2, 1e-12);
  /* a blade takes as much of the sweeping that both are done at once; all of it, if it is done before */
  crew[1] = worked_blade();
  double taken_m2 = (placing_s + 14400 * sweep_s) / (sweep_s + blade_s);
  assert_true(taken_m2 < 14400);
  assert_near("with a blade", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 14400), taken_m2 * blade_s,
              1e-12);
  assert_near("with a blade to spare", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400), placing_s,
              1e-12);
  /* blades alone have only their sweeping */
  lot.machines = &crew[1];
  lot.machine_count = 1;
  assert_near("a blade", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400), 2400 * blade_s, 1e-12);
  lot.storm_end_s = 3600; /* and carry nothing */
  assert_near("a blade in a storm", pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 2400), 2400 * blade_s,
              1e-12);
  assert_true(pc_bound_crew_from_s(&lot, start_m, 3e4, 1.2e6, 0) == 0);
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

/* ---- crews of up to six, against a linear program ---- */

/* The best way to share the three kinds of work out, by GLPK: least T so that each machine is done by then.
 */
static double solved_s(const figures *machines, size_t count) {
  glp_term_out(GLP_OFF);
  glp_prob *lp = glp_create_prob();
  int index[3] = {0}, t = glp_add_cols(lp, 1);
  double value[3] = {0};
  glp_add_rows(lp, (int)count + KINDS);
  glp_set_col_bnds(lp, t, GLP_FR, 0, 0);
  glp_set_obj_coef(lp, t, 1);
  for (size_t m = 0; m < count; m++) /* its work less T */
    glp_set_row_bnds(lp, (int)m + 1, GLP_UP, 0, machines[m].spared_s);
  for (int k = 0; k < KINDS; k++)
    glp_set_row_bnds(lp, (int)count + k + 1, GLP_FX, 1, 1);
  int rows[8];
  double ones[8];
  for (size_t m = 0; m < count; m++) {
    rows[m + 1] = (int)m + 1;
    ones[m + 1] = -1;
  }
  glp_set_mat_col(lp, t, (int)count, rows, ones);
  for (size_t m = 0; m < count; m++)
    for (int k = 0; k < KINDS; k++) {
      if (!isfinite(machines[m].each_s[k]))
        continue;
      int j = glp_add_cols(lp, 1);
      glp_set_col_bnds(lp, j, GLP_LO, 0, 0);
      index[1] = (int)m + 1;
      value[1] = machines[m].each_s[k];
      index[2] = (int)count + k + 1;
      value[2] = 1;
      glp_set_mat_col(lp, j, 2, index, value);
    }
  glp_smcp how;
  glp_init_smcp(&how);
  how.msg_lev = GLP_MSG_OFF;
  assert_int_equal(glp_simplex(lp, &how), 0);
  assert_int_equal(glp_get_status(lp), GLP_OPT);
  double least = glp_get_obj_val(lp);
  glp_delete_prob(lp);
  return fmax(0, least);
}

static void best_share_of_up_to_six(void **state) {
  (void)state;
  enum { CASES = 2400, MOST = 6 };
  for (uint64_t number = 0; number < CASES; number++) {
    pc_stream d;
    pc_stream_start(&d, 33, number, 0, 0);
    size_t count = 1 + number % MOST;
    pc_lot_machine crew[MOST];
    figures all[MOST];
    double start_m[MOST];
    const double work[KINDS] = {pow(10, uniform(&d, 3, 6)), pow(10, uniform(&d, 4, 7)),
                                pow(10, uniform(&d, 2, 6))};
    bool no_stop = number % 4 == 0; /* a load costs no time but its way */
    for (size_t m = 0; m < count; m++) {
      pc_scenario s = {.loaders = &crew[m].unit.loader, .boxes = &(pc_box){.width_m = uniform(&d, 2.5, 6)}};
      crew[m] = worked_loader();
      pc_loader *l = &crew[m].unit.loader;
      l->push_speed_mps = uniform(&d, 0.5, 3);
      l->carry_speed_mps = number % 2 ? uniform(&d, 0.5, 5) : l->push_speed_mps + uniform(&d, 0.1, 3);
      l->return_speed_mps = uniform(&d, 1, 6);
      l->reverse_speed_mps = uniform(&d, 1, 6);
      l->dump_s = uniform(&d, 0, 20);
      if (no_stop && pc_stream_next(&d) % 3 > 0)
        l->lower_s = l->raise_s = l->dump_s = 0;
      crew[m].unit.swath_m = s.boxes[0].width_m;
      crew[m].unit.capacity_kg = uniform(&d, 300, 3000);
      crew[m].unit.box.blade = m > 0 && pc_stream_next(&d) % 4 == 0 ? PC_BLADE_LEFT : PC_BLADE_NONE;
      start_m[m] = uniform(&d, 0, 60);
      all[m] = figures_of(&s, 0, crew[m].unit.box.blade != PC_BLADE_NONE, start_m[m],
                          crew[m].unit.capacity_kg, work);
    }
    const pc_lot lot = {.machines = crew, .machine_count = count, .full_at = 1};
    double bound = pc_bound_crew_from_s(&lot, start_m, work[0], work[1], work[2]);
    assert_within("of the best", bound, solved_s(all, count), 1e-7 * bound + 1e-9);
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
    assert_true(lot->machines[3].lane_set != lot->shares[0].lane_set);
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
      cmocka_unit_test(one_or_two_by_hand),         cmocka_unit_test(best_share_of_up_to_six),
      cmocka_unit_test(tied_with_lanes_of_its_own),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
