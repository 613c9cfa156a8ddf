// SPDX-License-Identifier: GPL-3.0-or-later
/* Blades that lay snow aside for a loader, areas carved out into others, and lanes from buildings outward: by
 * hand, mirrored, and followed cell by cell. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#include "night_run.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"
#include "study/bound.h"

/* ---- blade and loader ---- */

enum { LANES = 5 };
static const double apron_m = 120.0, swath_m = 4.5;

typedef struct side {
  bool south; /* the pile lies south of the apron, not north */
  int blade;
  double heading_rad;
} side;

/* An apron of five lanes with a zone in the middle of its north side (or south); a blade and a loader start
 * at the corner of the lane farthest from the zone where the blade's first run begins. */
static pc_scenario apron_scene(side at) {
  double width = LANES * swath_m;
  pc_scenario s = scene_rectangle(apron_m, width, NULL, 0);
  s.site.areas[0].heading_rad = at.heading_rad;
  s.snow.done_below_m = 1e-5;
  night_add_zone(&s, 0.5 * apron_m, at.south ? 0.0 : width);
  pc_box *blade = night_add_box(&s, "blade");
  blade->blade = at.blade;
  blade->height_m = blade->heap_factor_m = NAN;
  /* it pushes with the zone on its own side */
  bool east = at.south == (at.blade == PC_BLADE_RIGHT);
  pc_point start = {east ? 0.0 : apron_m, at.south ? width - 0.5 * swath_m : 0.5 * swath_m};
  night_add_crew(&s, "loader", "blade", start);
  night_add_crew(&s, "loader", "box", start);
  return s;
}

/* Back to the beginning of the next lane: turning twice by nearly 180° and driving forward, or reversing and
 * turning by the little that is left, whichever is quicker. */
static double deadhead_s(const pc_loader *l) {
  double way = hypot(apron_m, swath_m), angle = atan2(swath_m, apron_m), pi = 3.14159265358979323846;
  double forward = 2.0 * l->turn_s * (pi - angle) / pi + way / l->return_speed_mps;
  double reverse = 2.0 * l->turn_s * angle / pi + way / (0.625 * l->return_speed_mps) + 2.0 * l->shift_s;
  return fmin(forward, reverse);
}

typedef struct follow {
  bool blade_done, loader_began, checked;
  double blade_end_s, loader_start_s;
  int passes;
} follow;

static double lane_kg(const night_run *run, size_t lane) {
  const pc_lane *l = &run->lot->lane_sets[0].lanes[lane];
  double sum = 0.0;
  for (int i = 0; i < l->stations; i++)
    sum += run->world->lanes[0].slot_kg[l->first + (size_t)i];
  return sum;
}

static void follow_tandem(night_run *run, const pc_trace_row *row) {
  follow *f = run->context;
  const pc_lane_set *set = &run->lot->lane_sets[0];
  bool north = run->lot->zones[0].at.y_m > 1.0;
  if (row->machine == 0 && row->phase == PC_PHASE_FILL) {
    f->passes++;
    f->blade_end_s = row->end_s;
    assert_true(row->load_kg == 0.0);
    /* what it met now lies beside it, nearer to the pile: all of it is in the lanes not yet worked */
    double behind = 0.0;
    for (size_t l = 0; l < set->lane_count; l++) {
      double y = pc_lane_point(run->lot, &set->lanes[l], 0.0).y_m;
      if (north ? y < row->to.y_m + 1.0 : y > row->to.y_m - 1.0)
        behind += lane_kg(run, l);
    }
    assert_true(behind < 1e-9);
  }
  if (row->machine == 1 && row->phase != PC_PHASE_IDLE && !f->loader_began) {
    f->loader_began = true;
    f->loader_start_s = row->start_s;
    double total = 0.0, outermost = 0.0;
    for (size_t l = 0; l < set->lane_count; l++) {
      double y = pc_lane_point(run->lot, &set->lanes[l], 0.0).y_m, kg = lane_kg(run, l);
      total += kg;
      if (north ? y > (LANES - 1) * swath_m : y < swath_m)
        outermost += kg;
    }
    assert_near("all in the outermost lane", outermost, run->lot->start_kg, 1e-12);
    assert_near("nothing lost", total, run->lot->start_kg, 1e-12);
  }
  if (row->machine == 1 && row->phase == PC_PHASE_FILL)
    assert_true(north ? row->to.y_m > (LANES - 1) * swath_m : row->to.y_m < swath_m);
}

static pc_result run_tandem(side at, follow *f) {
  pc_scenario s = apron_scene(at);
  *f = (follow){0};
  night_run run = {.look = follow_tandem, .context = f};
  night_simulate(&run, &s);
  assert_true(f->loader_began);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_near("placed", run.result.placed_kg, apron_m * LANES * swath_m * 10.0, 1e-12);
  assert_int_equal(run.result.machines[0].cycles, 0);
  pc_result result = run.result;
  run.result = (pc_result){0};
  night_free(&run);
  pc_scenario_free(&s);
  return result;
}

static void lane_by_lane(void **state) {
  (void)state;
  follow f;
  pc_scenario s = apron_scene((side){false, PC_BLADE_LEFT, 0.0});
  const pc_loader *l = &s.loaders[0];
  pc_result r = run_tandem((side){false, PC_BLADE_LEFT, 0.0}, &f);
  assert_int_equal(f.passes, LANES - 1);
  double by_hand = l->lower_s + (LANES - 1) * apron_m / l->push_speed_mps + (LANES - 2) * deadhead_s(l);
  assert_near("blade, first to last", f.blade_end_s, by_hand, 1e-12);
  assert_true(f.loader_start_s >= f.blade_end_s);
  assert_near("the loader waits no longer", f.loader_start_s, f.blade_end_s, 1e-12);
  assert_near("fill", r.machines[0].time_s[PC_PHASE_FILL], (LANES - 1) * apron_m / l->push_speed_mps, 1e-12);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* Mirrored sites, blades to the other side, lanes named the other way round: the same time, but for the first
 * turn of those that begin with the lanes' heading against their own. */
static void mirrored(void **state) {
  (void)state;
  static const double pi = 3.14159265358979323846;
  const side sides[] = {{false, PC_BLADE_LEFT, 0.0},  {true, PC_BLADE_RIGHT, 0.0},
                        {false, PC_BLADE_RIGHT, 0.0}, {true, PC_BLADE_LEFT, 0.0},
                        {false, PC_BLADE_RIGHT, pi},  {true, PC_BLADE_LEFT, pi},
                        {false, PC_BLADE_LEFT, pi},   {true, PC_BLADE_RIGHT, pi}};
  double first_s = 0.0;
  for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++) {
    follow f;
    pc_result r = run_tandem(sides[i], &f);
    bool east = sides[i].south == (sides[i].blade == PC_BLADE_RIGHT), faces_east = sides[i].heading_rad < 1.0;
    double turn = east == faces_east ? 0.0 : 6.0;
    print_message("%s, blade %s: blade done at %.3f s, all at %.3f s\n", sides[i].south ? "south" : "north",
                  pc_blade_names[sides[i].blade], f.blade_end_s, r.total_time_s);
    if (i == 0)
      first_s = f.blade_end_s;
    assert_near("blade", f.blade_end_s - turn, first_s, 1e-12);
    assert_int_equal(f.passes, LANES - 1);
    pc_result_free(&r);
  }
}

/* The same with the loader's start mirrored too: the whole of it. */
static void mirrored_to_the_end(void **state) {
  (void)state;
  follow f;
  pc_result north = run_tandem((side){false, PC_BLADE_LEFT, 0.0}, &f);
  pc_result south = run_tandem((side){true, PC_BLADE_RIGHT, 0.0}, &f);
  assert_near("total", south.total_time_s, north.total_time_s, 1e-12);
  for (int p = 0; p < PC_PHASE_COUNT; p++)
    assert_near(pc_phase_name((pc_phase)p), south.machines[1].time_s[p], north.machines[1].time_s[p], 1e-9);
  pc_result_free(&north);
  pc_result_free(&south);
}

/* A building decides which way is outward, even towards lanes that are farther from the pile. */
static void away_from_a_building(void **state) {
  (void)state;
  for (int north = 0; north < 2; north++) {
    double width = LANES * swath_m;
    pc_scenario s = apron_scene((side){false, PC_BLADE_LEFT, 0.0});
    night_add_ground(&s, 0.0, -30.0, apron_m, 0.0);
    night_add_ground(&s, 0.0, width, apron_m, width + 30.0);
    night_add_building(&s, 0.0, north ? width + 10.0 : -20.0, apron_m, north ? width + 20.0 : -10.0);
    night_run run = {0};
    night_simulate(&run, &s);
    double last = NAN;
    int passes = 0;
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      if (row->machine != 0 || row->phase != PC_PHASE_FILL)
        continue;
      assert_true(isnan(last) || (north ? row->to.y_m < last : row->to.y_m > last));
      last = row->to.y_m;
      passes++;
    }
    assert_int_equal(passes, LANES - 1);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* Docks of three lanes along a building in the north that only the truck may work, a yard south of them with
 * the zone. */
static pc_scenario dock_scene(bool truck_first, int blade, bool over) {
  pc_scenario s = scene_rectangle(apron_m, 27.0, NULL, 0);
  pc_area *dock = night_add_area(&s, "dock", 0.0, 27.0, apron_m, 27.0 + 3 * swath_m);
  night_add_loader(&s, "truck");
  night_add_name(&dock->loaders, "truck");
  if (over)
    dock->into = s.site.areas[0].name;
  night_add_ground(&s, 0.0, 40.5, apron_m, 50.0);
  night_add_building(&s, 0.0, 40.5, apron_m, 50.0);
  night_add_zone(&s, 0.0, 10.0);
  pc_box *own = night_add_box(&s, "blade");
  own->blade = blade;
  own->height_m = own->heap_factor_m = NAN;
  for (int i = 0; i < 2; i++) {
    bool truck = truck_first == (i == 0);
    night_add_crew(&s, truck ? "truck" : "loader", truck ? "blade" : "box", (pc_point){60.0, 20.0});
    if (truck)
      night_add_name(&s.crew[s.crew_count - 1].areas, "dock");
  }
  return s;
}

/* Common practice, no source: from docks to where the loader takes it, never towards the building. Whoever
 * comes first in the crew, whichever side the blade throws to; with `into` all of it goes over the border,
 * else it stays in one windrow along it, and that is told. */
static void from_the_docks(void **state) {
  (void)state;
  for (int variant = 0; variant < 8; variant++) {
    bool truck_first = variant & 1, over = variant & 4;
    pc_scenario s = dock_scene(truck_first, variant & 2 ? PC_BLADE_LEFT : PC_BLADE_RIGHT, over);
    night_run run = {0};
    night_simulate(&run, &s);
    double last = INFINITY;
    size_t passes = 0;
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      if (row->machine != (truck_first ? 0u : 1u) ||
          (row->phase != PC_PHASE_FILL && row->phase != PC_PHASE_CLEAN_UP))
        continue;
      assert_true(row->to.y_m < last && row->to.y_m > 27.0);
      last = row->to.y_m;
      passes++;
    }
    assert_int_equal(passes, over ? 3 : 2);
    double ridge = 3 * swath_m * apron_m * 10.0;
    assert_near("placed", run.result.placed_kg, run.result.start_kg - (over ? 0.0 : ridge), 1e-9);
    assert_near("left", 1.0 + run.result.left_kg, 1.0 + (over ? 0.0 : ridge), 1e-9);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_int_equal(pc_lot_leaves_ridge(run.lot, 1), !over);
    assert_false(pc_lot_leaves_ridge(run.lot, 0));
    pc_bound bound;
    assert_int_equal(pc_bound_make(run.lot, run.result.left_kg, &bound), PC_OK);
    assert_true(bound.time_s <= run.result.total_time_s);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* An area beyond other ground is not reached: the windrow stays, and that is told. */
static void docks_beside_nothing(void **state) {
  (void)state;
  for (int apart = 0; apart < 2; apart++) {
    pc_scenario s = dock_scene(true, PC_BLADE_LEFT, true);
    for (size_t i = 0; i < s.site.areas[0].outline.count; i++)
      s.site.areas[0].outline.points[i].y_m -= apart ? 15.0 : 0.0;
    night_add_ground(&s, 0.0, 12.0, apron_m, 27.0);
    night_run run = {0};
    night_make(&run, &s, NULL);
    assert_int_equal(pc_lot_leaves_ridge(run.lot, 1), apart);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* What is named decides, as the operator would: with the building beyond the yard, or at the docks' end and
 * so as near to all their lanes, the snow still goes over the one border with the yard (geometry), whichever
 * way lanes are counted. */
static void docks_away_from_the_building(void **state) {
  (void)state;
  for (int variant = 0; variant < 4; variant++) {
    pc_scenario s = dock_scene(true, PC_BLADE_LEFT, true);
    pc_ring *building = &s.site.obstacles[0].outline;
    for (size_t i = 0; i < building->count; i++)
      building->points[i] = variant & 2 ? (pc_point){building->points[i].x_m, building->points[i].y_m - 60.0}
                                        : (pc_point){building->points[i].x_m + apron_m + 1.0, 40.0};
    if (!(variant & 2))
      building->points[2].y_m = building->points[3].y_m = 0.0;
    s.site.areas[1].heading_rad = variant & 1 ? acos(-1.0) : 0.0;
    night_run run = {0};
    night_simulate(&run, &s);
    assert_false(pc_lot_leaves_ridge(run.lot, 1));
    assert_near("placed", run.result.placed_kg, run.result.start_kg, 1e-9);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* The snow of the docks, once over the border, can't be farther from the zone than the border: a bound that
 * left it where it fell would be above what is possible. */
static void bound_of_the_docks(void **state) {
  (void)state;
  pc_scenario s = dock_scene(true, PC_BLADE_LEFT, true);
  pc_bound over, alone;
  night_run run = {0};
  night_make(&run, &s, NULL);
  assert_int_equal(pc_bound_make(run.lot, 0.0, &over), PC_OK);
  night_free(&run);
  s.site.areas[1].into.text[0] = '\0';
  night_make(&run, &s, NULL);
  assert_int_equal(pc_bound_make(run.lot, 0.0, &alone), PC_OK);
  night_free(&run);
  assert_true(over.loaded_m < alone.loaded_m - 1.0);
  pc_scenario_free(&s);
}

/* A blade whose shift ends leaves the rest to the boxes; one that comes late is waited for. */
static void a_blade_that_leaves(void **state) {
  (void)state;
  for (double until = 20.0; until < 400.0; until += 31.0) {
    pc_scenario s = apron_scene((side){false, PC_BLADE_LEFT, 0.0});
    s.crew[0].until_s = until;
    night_run run = {0};
    night_simulate(&run, &s);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    assert_near("placed", run.result.placed_kg, apron_m * LANES * swath_m * 10.0, 1e-9);
    night_free(&run);
    s.crew[0].until_s = NAN;
    s.crew[0].from_s = until;
    night_simulate(&run, &s);
    for (size_t i = 0; i < run.row_count; i++)
      assert_true(run.rows[i].machine == 0 || run.rows[i].phase != PC_PHASE_FILL ||
                  run.rows[i].start_s > until);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

/* ---- carving ---- */

/* Strip "a" of 60 m goes out into strip "b" beyond its end. A box holds 25 m, 12 whole slots of 2 m with 108
 * kg: loads of 24, 24 and 12 m, dropped in the first slot of b. */
static pc_scenario carving_scene(size_t strips) {
  pc_scenario s = night_strips(0, 1.0, 25.0);
  night_add_area(&s, "a", 0.0, 0.0, 60.0, 4.5 * (double)strips)->into = pc_name_of("b");
  pc_area *b = night_add_area(&s, "b", 60.0, 0.0, 160.0, 4.5 * (double)strips);
  night_add_name(&b->after, "a");
  night_add_zone(&s, 160.0, 2.25 * (double)strips);
  return s;
}

typedef struct carving {
  double dropped_kg, in_first_kg; /* of b */
  int drops, fills_of_b;
  double last_drop_s, drop_s;
} carving;

static void follow_carving(night_run *run, const pc_trace_row *row) {
  carving *c = run->context;
  const pc_lane_set *set = &run->lot->lane_sets[0];
  if (row->phase == PC_PHASE_DUMP && row->zone < 0) {
    c->dropped_kg += row->load_kg;
    c->drops++;
    c->last_drop_s = row->end_s;
    assert_int_equal(pc_ground_find(run->lot->ground, row->to), 1);
    assert_true(row->to.x_m > 60.0 && row->to.x_m < 62.0);
  }
  if (row->phase == PC_PHASE_FILL && night_area(run, row) == 1)
    c->fills_of_b++;
  if (c->fills_of_b == 0) {
    c->in_first_kg = 0.0;
    for (size_t l = set->patch_lane[1]; l < set->patch_lane[2]; l++)
      c->in_first_kg += run->world->lanes[0].slot_kg[set->lanes[l].first];
  }
}

static void carved_out(void **state) {
  (void)state;
  pc_scenario s = carving_scene(1);
  night_add_crew(&s, "loader", "box", (pc_point){60.0, 2.25});
  carving c = {0};
  night_run run = {.look = follow_carving, .context = &c};
  night_simulate(&run, &s);
  assert_int_equal(c.drops, 3);
  assert_near("dropped", c.dropped_kg, 60.0 * 54.0, 1e-12); /* 54 kg a metre of strip */
  assert_near("in b's first slot", c.in_first_kg, 60.0 * 54.0 + 2.0 * 54.0, 1e-12);
  /* From the end, backwards: 24 m out in reverse as it faces away (or two turns), push, on to 61 m, drop. */
  double time = 0.0, at = 60.0, reverse = 0.625 * 4.5;
  static const double begins[] = {36.0, 12.0, 0.0}, ends[] = {60.0, 36.0, 12.0};
  for (int i = 0; i < 3; i++) {
    double way = at - begins[i];
    time += fmin(way / reverse, 6.0 + way / 4.5 + 6.0) + 2.0 + (ends[i] - begins[i]) / 2.2 +
            (60.0 - ends[i]) / 3.3 + 1.0 / 2.2 + 8.0; /* the last metre lies in b's snow */
    at = 61.0;
  }
  assert_near("the last drop", c.last_drop_s, time, 1e-12);
  assert_near("a done", run.result.areas[0].done_s, time - 8.0 - 1.0 / 2.2 - 48.0 / 3.3, 1e-12);
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  assert_near("placed", run.result.placed_kg, 160.0 * 54.0, 1e-9);
  assert_int_equal(run.result.zones[0].loads, run.result.cycles - 3);
  assert_true(run.result.zones[0].loads >= 7); /* 8,640 kg in boxes of 1,350 */
  night_free(&run);
  pc_scenario_free(&s);
}

/* Two machines at once, in areas of one to six lanes, with a lot's own policy for b. */
static void carved_by_two(void **state) {
  (void)state;
  static const char *const policies[] = {"straight-runs", "keep-pushing", "building-out"};
  for (size_t strips = 1; strips <= 6; strips++)
    for (int p = 0; p < 3; p++) {
      pc_scenario s = carving_scene(strips);
      s.policy = pc_name_of(policies[p]);
      for (int m = 0; m < 2; m++)
        night_add_crew(&s, "loader", "box", (pc_point){60.0, 0.75 + 3.0 * m});
      carving c = {0};
      night_run run = {.look = follow_carving, .context = &c};
      night_simulate(&run, &s);
      assert_int_equal(c.drops, 3 * strips);
      assert_near("dropped", c.dropped_kg, 60.0 * 54.0 * (double)strips, 1e-12);
      assert_int_equal(run.result.reason, PC_REASON_DONE);
      assert_near("placed", run.result.placed_kg, 160.0 * 54.0 * (double)strips, 1e-6);
      for (size_t m = 0; m < 2 && strips > 1; m++)
        assert_true(run.result.machines[m].cycles > 0);
      for (size_t i = 0; i < run.row_count; i++)
        if (run.rows[i].phase == PC_PHASE_FILL && night_area(&run, &run.rows[i]) == 1)
          assert_true(run.rows[i].start_s >= run.result.areas[0].done_s);
      night_free(&run);
      pc_scenario_free(&s);
    }
}

/* Lanes that do not lead to the other area, as they run across or pass beside it: out at the nearer end, and
 * to the nearest place there. Nothing is left. */
static void carved_out_sideways(void **state) {
  (void)state;
  for (int beside = 0; beside < 2; beside++)
    for (int mirror = 0; mirror < 2; mirror++) {
      pc_scenario s = night_strips(0, 1.0, 25.0);
      pc_area *a = night_add_area(&s, "a", 0.0, 0.0, 36.0, beside ? 54.0 : 36.0);
      a->into = pc_name_of("b");
      a->heading_rad =
          (beside ? 0.0 : 0.5 * 3.14159265358979323846) + (mirror ? 3.14159265358979323846 : 0.0);
      night_add_name(&night_add_area(&s, "b", 36.0, 0.0, 90.0, 36.0)->after, "a");
      night_add_zone(&s, 90.0, 18.0);
      night_add_crew(&s, "loader", "box", (pc_point){90.0, 18.0})->count = 2;
      carving c = {0};
      night_run run = {0};
      night_simulate(&run, &s);
      for (size_t i = 0; i < run.row_count; i++)
        if (run.rows[i].phase == PC_PHASE_DUMP && run.rows[i].zone < 0) {
          c.dropped_kg += run.rows[i].load_kg;
          assert_int_equal(pc_ground_find(run.lot->ground, run.rows[i].to), 1);
          assert_true(run.rows[i].to.x_m < 36.0 + 4.5);
        }
      assert_int_equal(run.result.reason, PC_REASON_DONE);
      assert_near("dropped", c.dropped_kg, 12.0 * 36.0 * (beside ? 54.0 : 36.0), 1e-6); /* 12 kg/m² */
      assert_near("placed", run.result.placed_kg, run.result.start_kg, 1e-6);
      night_free(&run);
      pc_scenario_free(&s);
    }
}

/* ---- from buildings outward ---- */

enum { SOUTH, NORTH, WEST, EAST };

static void outward_on_four_sides(void **state) {
  (void)state;
  for (int at = SOUTH; at <= EAST; at++) {
    static const pc_point zones[] = {{0, 0}, {60, 0}, {0, 45}, {60, 45}};
    pc_scenario s = scene_rectangle(60.0, 45.0, zones, 4);
    s.policy = pc_name_of("building-out");
    static const double walls[][4] = {{0, -12, 60, -6}, {0, 51, 60, 57}, {-12, 0, -6, 45}, {66, 0, 72, 45}};
    night_add_ground(&s, -15.0, -15.0, 75.0, 60.0);
    night_add_building(&s, walls[at][0], walls[at][1], walls[at][2], walls[at][3]);
    night_run run = {0};
    night_simulate(&run, &s);
    double before = -INFINITY, lane_y = NAN;
    int lanes = 0;
    for (size_t i = 0; i < run.row_count; i++) {
      const pc_trace_row *row = &run.rows[i];
      if (row->phase != PC_PHASE_FILL)
        continue;
      double away = at == SOUTH ? row->to.y_m : at == NORTH ? 45.0 - row->to.y_m : 0.0;
      assert_true(away >= before - 1e-6); /* lane after lane, the nearest first */
      before = away;
      if (at == WEST)
        assert_true(row->to.x_m > row->from.x_m);
      if (at == EAST)
        assert_true(row->to.x_m < row->from.x_m);
      lanes += row->to.y_m != lane_y;
      lane_y = row->to.y_m;
    }
    assert_int_equal(lanes, 10);
    assert_int_equal(run.result.reason, PC_REASON_DONE);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

static void outward_on_random_sites(void **state) {
  (void)state;
  int refused = 0, full = 0;
  for (uint64_t seed = 0; seed < 50; seed++) {
    pc_stream stream;
    pc_stream_start(&stream, seed, 2, 0, 0);
    random_site_options options = random_site_default();
    options.apart_m = 0.05;
    random_lot site = random_site(seed, &options);
    pc_scenario s = scene_rectangle(10, 10, NULL, 0);
    pc_site_free(&s.site);
    free(s.zones);
    s.site = site.site, s.zones = site.zones, s.zone_count = site.zone_count;
    for (size_t i = 0; i < s.site.obstacle_count; i++)
      s.site.obstacles[i].kind = i % 2 ? PC_OBSTACLE_ISLAND : PC_OBSTACLE_BUILDING;
    for (size_t z = 0; z < s.zone_count; z++)
      s.zones[z].volume_m3 = 20000.0;
    s.policy = pc_name_of("building-out");
    s.boxes[0].side_leak = 0.02, s.boxes[0].spill_from = 0.85, s.full_at = 0.95;
    pc_crew_entry entry = pc_crew_entry_default();
    entry.loader = s.loaders[0].name, entry.box = s.boxes[0].name, entry.count = 1 + (int)(seed % 3);
    s.crew = calloc(1, sizeof *s.crew);
    assert_non_null(s.crew);
    s.crew[0] = entry, s.crew_count = 1;
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    if (pc_lot_create(&s, NULL, &lot, &faults) != PC_OK) {
      refused++;
    } else {
      pc_result r = simulate_lot(lot, 1, 0, NULL);
      assert_true(r.reason == PC_REASON_DONE || r.reason == PC_REASON_ZONES_FULL);
      full += r.reason == PC_REASON_ZONES_FULL;
      assert_near("mass", r.placed_kg + r.left_kg, r.start_kg, 1e-9);
      pc_result_free(&r);
    }
    pc_faults_free(&faults);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
  print_message("building-out on 50 random sites: %d refused, %d with full zones\n", refused, full);
  assert_true(refused <= 25 && full == 0);
}

/* ---- elsewhere ---- */

/* Two areas side by side, the first carved out into the second or laid aside into it by a blade, with the
 * lanes along or across. Numbers without symmetry, so that no two choices are equally good. */
static double beside_s(pc_point by, bool blade, bool across, bool west) {
  pc_scenario s = scene_rectangle(10.0, 10.0, NULL, 0);
  pc_site_free(&s.site);
  double x = by.x_m, y = by.y_m, from = west ? 47.0 : 0.0;
  pc_area *inner = night_add_area(&s, "inner", x + from, y, x + from + 33.0, y + 29.5);
  inner->into = pc_name_of("outer");
  inner->heading_rad = across ? 0.5 * 3.14159265358979323846 : 0.0;
  from = west ? 0.0 : 33.0;
  night_add_area(&s, "outer", x + from, y, x + from + 47.0, y + 29.5);
  night_add_zone(&s, x + (west ? 0.0 : 80.0), y + 11.3);
  s.snow.depth_m = 0.117;
  if (blade) {
    pc_box *aside = night_add_box(&s, "blade");
    aside->blade = PC_BLADE_LEFT;
    aside->height_m = aside->heap_factor_m = NAN;
    night_add_crew(&s, "loader", "blade", (pc_point){x + 41.0, y + 3.0});
  }
  night_add_crew(&s, "loader", "box", (pc_point){x + 43.0, y + 5.0});
  night_run run = {0};
  night_simulate(&run, &s);
  double time_s = run.result.total_time_s;
  assert_int_equal(run.result.reason, PC_REASON_DONE);
  night_free(&run);
  pc_scenario_free(&s);
  return time_s;
}

/* The same work, wherever the lot lies. */
static void the_same_elsewhere(void **state) {
  (void)state;
  const pc_point here = {0.0, 0.0}, there[] = {{1024.0, 512.0}, {-2048.0, 640.0}, {160.0, -96.0}};
  for (int k = 0; k < 8; k++) {
    double time_s = beside_s(here, k & 1, k & 2, k & 4);
    for (size_t i = 0; i < sizeof there / sizeof there[0]; i++)
      assert_near("time", beside_s(there[i], k & 1, k & 2, k & 4), time_s, 1e-9);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(lane_by_lane),          cmocka_unit_test(mirrored),
      cmocka_unit_test(mirrored_to_the_end),   cmocka_unit_test(away_from_a_building),
      cmocka_unit_test(from_the_docks),        cmocka_unit_test(bound_of_the_docks),
      cmocka_unit_test(docks_beside_nothing),  cmocka_unit_test(docks_away_from_the_building),
      cmocka_unit_test(a_blade_that_leaves),   cmocka_unit_test(carved_out),
      cmocka_unit_test(carved_by_two),         cmocka_unit_test(carved_out_sideways),
      cmocka_unit_test(outward_on_four_sides), cmocka_unit_test(outward_on_random_sites),
      cmocka_unit_test(the_same_elsewhere),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
