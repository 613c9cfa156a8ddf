// SPDX-License-Identifier: GPL-3.0-or-later
/* Whole runs: totals that can be summed by hand, why runs end, and invariants over many kinds of lots. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>

#include "scene.h"
#include "sim/policy.h"
#include "simulate.h"
#include "study/compare.h"
#include "study/place.h"

/* ---- one lane, 4.5 m wide, zones at its ends ---- */

static void set_crew(pc_scenario *s, int count, pc_point start) {
  s->crew = calloc(1, sizeof *s->crew);
  assert_non_null(s->crew);
  s->crew_count = 1;
  s->crew[0] = pc_crew_entry_default();
  s->crew[0].loader = s->loaders[0].name;
  s->crew[0].box = s->boxes[0].name;
  s->crew[0].count = count;
  s->crew[0].has_start = true;
  s->crew[0].start = start;
}

/* A strip with a zone at its far end, where the machine starts: it pushes away from the zone and carries
 * back. The full box, 1,350 kg, holds `run_m` of strip. */
static pc_scenario strip_scene(double length_m, double run_m) {
  pc_point end = {length_m, 2.25};
  pc_scenario s = scene_rectangle(length_m, 4.5, &end, 1);
  s.snow.depth_m = 1350.0 / (4.5 * 100.0 * run_m);
  s.snow.done_below_m = 1e-7; /* or slivers at the ends of slots stay, and spoil the sums */
  set_crew(&s, 1, end);
  return s;
}

/* D/v + v/a, or 2·√(D/a) where v is not reached: trapezoid speed profile. */
static double leg(double d, double v, double a) {
  if (d <= 0.0)
    return 0.0;
  return !(a > 0.0) ? d / v : d >= v * v / a ? d / v + v / a : 2.0 * sqrt(d / a);
}

/* The strip's time by hand. Load i ends min(i·run, H) from the zone. */
static double strip_time_s(const pc_scenario *s, double length_m, double run_m) {
  const pc_loader *l = &s->loaders[0];
  double a = l->acceleration_mps2, reverse = 0.625 * l->return_speed_mps, time = 0.0;
  double capacity_kg = s->zones[0].volume_m3 * s->snow.pile_density_kgpm3;
  for (int i = 1; (i - 1) * run_m < length_m - 1e-9; i++) {
    double begin = (i - 1) * run_m, end = fmin(i * run_m, length_m);
    time += l->turn_s; /* to face away from the zone */
    if (i > 1) {
      double back = l->back_out_m;
      time += l->raise_s + leg(begin - back, l->return_speed_mps, a);
      if (back > 0.0)
        time += 2.0 * l->shift_s + leg(back, reverse, a);
    }
    time += l->lower_s + leg(end - begin, l->push_speed_mps, a) + l->turn_s + leg(end, l->carry_speed_mps, a);
    double fill = isnan(capacity_kg) ? 0.0 : (i - 1) * 1350.0 / capacity_kg;
    time += l->dump_s * (1.0 + s->zones[0].stack * fill * fill);
  }
  return time * 60.0 / s->work_minutes_per_hour;
}

static void check_strip(pc_scenario *s, double length_m, double run_m) {
  pc_result r = simulate(s, NULL);
  assert_int_equal(r.reason, PC_REASON_DONE);
  assert_near("strip, time", r.total_time_s, strip_time_s(s, length_m, run_m), 1e-9);
  assert_int_equal(r.cycles, (int)ceil(length_m / run_m - 1e-9));
  assert_near("strip, snow placed", r.placed_kg, length_m * 4.5 * s->snow.depth_m * 100.0, 1e-12);
  pc_result_free(&r);
  pc_scenario_free(s);
}

/* Loads ⌈H/Lf⌉ and the way out and back, Σ 2·min(i·Lf, H): computed by hand for H 90, Lf 30 → 3 loads, 360 m;
 * 100, 40 → 3, 440 m; 60, 60 → 1, 120 m. */
static void strip_with_a_zone(void **state) {
  (void)state;
  static const struct {
    double length_m, run_m;
    int loads;
    double way_m;
  } rows[] = {{90, 30, 3, 360}, {100, 40, 3, 440}, {60, 60, 1, 120}};
  for (size_t i = 0; i < 3; i++) {
    pc_scenario s = strip_scene(rows[i].length_m, rows[i].run_m);
    pc_result r = simulate(&s, NULL);
    assert_int_equal(r.cycles, rows[i].loads);
    assert_near("way", r.machines[0].fill_m + r.machines[0].carry_m + r.machines[0].return_m, rows[i].way_m,
                1e-12);
    assert_near("fill", r.machines[0].time_s[PC_PHASE_FILL], rows[i].length_m / 2.2, 1e-12);
    pc_result_free(&r);
    check_strip(&s, rows[i].length_m, rows[i].run_m);
  }
  for (double length = 7.0; length < 200.0; length += 31.3)
    for (double run = 11.0; run < 100.0; run *= 1.7) {
      pc_scenario s = strip_scene(length, run);
      check_strip(&s, length, run);
    }
}

static void strip_with_more(void **state) {
  (void)state;
  for (int variant = 0; variant < 6; variant++) {
    pc_scenario s = strip_scene(143.0, 27.0);
    pc_loader *l = &s.loaders[0];
    if (variant == 0 || variant == 5)
      l->acceleration_mps2 = 0.5;
    if (variant == 1)
      l->acceleration_mps2 = 0.05; /* top speed is not reached on short legs */
    if (variant == 2 || variant == 5)
      s.work_minutes_per_hour = 50.0;
    if (variant == 3 || variant == 5) {
      s.zones[0].volume_m3 = 20.0;
      s.zones[0].stack = 0.5;
    }
    if (variant >= 4) {
      l->back_out_m = 8.0;
      l->raise_s = 2.5;
      l->shift_s = 1.5;
    }
    check_strip(&s, 143.0, 27.0);
  }
}

/* A zone at either end, 150 m, 30 m to a box, by hand. The first two boxes are nearer to the zone behind; the
 * others go on over the snow ahead at push speed (there is no lane beside to push it to) and come back in
 * reverse, which is quicker than turning twice. */
static void zone_at_both_ends(void **state) {
  (void)state;
  static const pc_point ends[] = {{0, 2.25}, {150, 2.25}};
  pc_scenario s = scene_rectangle(150, 4.5, ends, 2);
  set_crew(&s, 1, ends[0]);
  pc_result r = simulate(&s, NULL);
  double back = 0.625 * 4.5;
  double expected = 5 * (2.0 + 8.0) + 150 / 2.2; /* lower, dump, fill */
  expected +=
      2 * (6.0 + 6.0) + (30 + 60) / 3.3 + (30 + 60) / 4.5; /* to the first zone and back, a turn each way */
  expected += 60 / 2.2 + 60 / back + 30 / 2.2 + 30 / back; /* the last one ends at the zone */
  assert_int_equal(r.reason, PC_REASON_DONE);
  assert_int_equal(r.zones[0].loads, 2);
  assert_int_equal(r.zones[1].loads, 3);
  assert_near("two zones", r.total_time_s, expected, 1e-9);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* ---- how runs end ---- */

static void zones_full(void **state) {
  (void)state;
  pc_scenario s = strip_scene(150, 30);
  s.zones[0].volume_m3 = 12.0; /* at 450 kg/m³ four loads of 1,350 kg; there are five */
  pc_result r = simulate(&s, NULL);
  assert_int_equal(r.reason, PC_REASON_ZONES_FULL);
  assert_string_equal(pc_reason_name(r.reason), "pile zones full");
  assert_false(r.finished);
  assert_int_equal(r.cycles, 4);
  assert_near("placed", r.placed_kg, 5400.0, 1e-12);
  assert_near("volume", r.zones[0].volume_m3, 12.0, 1e-12);
  assert_near("capacity", r.zones[0].capacity_m3, 12.0, 1e-12);
  assert_near("haul off", r.haul_off_kg, 1350.0, 1e-9);
  assert_near("left", r.left_kg, 1350.0, 1e-9);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* Two machines at one zone that takes three loads: both come to an end. */
static void zones_full_for_two(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++) {
    static const pc_point zone[] = {{60, 10}};
    pc_scenario s = scene_rectangle(60, 40, zone, 1);
    s.policy = pc_name_of(p ? "keep-pushing" : "straight-runs");
    s.zones[0].volume_m3 = 10.0;
    set_crew(&s, 2, (pc_point){0, 0});
    pc_result r = simulate(&s, NULL);
    assert_int_equal(r.reason, PC_REASON_ZONES_FULL);
    assert_int_equal(r.cycles, 3);
    assert_near("mass", r.placed_kg + r.left_kg, 60.0 * 40.0 * 10.0, 1e-12);
    assert_true(r.haul_off_kg <= r.left_kg &&
                r.haul_off_kg >= r.left_kg - 0.01 * 100.0 * 60.0 * 40.0); /* less than 1 cm stays */
    pc_result_free(&r);
    pc_scenario_free(&s);
  }
}

/* A zone that has no room for one load is full from the start, whoever works by whatever policy, and a blade,
 * which brings nothing there, makes no difference. */
static void no_room_for_a_load(void **state) {
  (void)state;
  static const char *const policies[] = {"straight-runs", "keep-pushing", "building-out"};
  for (int p = 0; p < 3; p++)
    for (int blade = 0; blade < 2; blade++) {
      static const pc_point zone[] = {{60, 10}};
      pc_scenario s = scene_rectangle(60, 40, zone, 1);
      s.policy = pc_name_of(policies[p]);
      s.zones[0].volume_m3 = 2.9; /* at 450 kg/m³ 1,305 kg; a load is 1,350 kg */
      set_crew(&s, 1, (pc_point){0, 0});
      if (blade) {
        pc_box *boxes = realloc(s.boxes, 2 * sizeof *boxes);
        pc_crew_entry *crew = realloc(s.crew, 2 * sizeof *crew);
        assert_true(boxes && crew);
        s.boxes = boxes;
        s.crew = crew;
        s.box_count = s.crew_count = 2;
        boxes[1] = boxes[0];
        boxes[1].name = pc_name_of("plow");
        boxes[1].blade = PC_BLADE_RIGHT;
        crew[1] = crew[0];
        crew[1].box = boxes[1].name;
      }
      pc_result r = simulate(&s, NULL);
      if (r.reason != PC_REASON_ZONES_FULL || r.placed_kg > 0)
        fail_msg("%s, %d blades: %s, %g kg placed", policies[p], blade, pc_reason_name(r.reason),
                 r.placed_kg);
      pc_result_free(&r);
      pc_scenario_free(&s);
    }
}

/* All leave in time, and one of them has a small box, for which there is room: that is no full zone, though
 * none of the other's loads would fit. */
static void room_for_a_small_load(void **state) {
  (void)state;
  static const pc_point zone[] = {{60, 10}};
  pc_scenario s = scene_rectangle(60, 40, zone, 1);
  s.policy = pc_name_of("keep-pushing");
  s.zones[0].volume_m3 = 2; /* 900 kg: three small loads of 300 kg, none of 1,350 kg */
  set_crew(&s, 1, (pc_point){0, 0});
  pc_box *boxes = realloc(s.boxes, 2 * sizeof *boxes);
  pc_crew_entry *crew = realloc(s.crew, 2 * sizeof *crew);
  assert_true(boxes && crew);
  s.boxes = boxes;
  s.crew = crew;
  s.box_count = s.crew_count = 2;
  boxes[1] = boxes[0];
  boxes[1].name = pc_name_of("low");
  boxes[1].heap_factor_m *= 300.0 / 1350.0;
  crew[1] = crew[0];
  crew[1].box = boxes[1].name;
  crew[0].until_s = crew[1].until_s = 10;
  pc_result r = simulate(&s, NULL);
  assert_int_equal(r.cycles, 1);
  assert_near("placed", r.placed_kg, 300, 1e-9);
  assert_int_equal(r.reason, PC_REASON_STOPPED);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* Rolling resistance alone, 0.05, is more than tyres on ice give: truck on ice 0.04, Navin et al. 1996. */
static void cannot_move_its_load(void **state) {
  (void)state;
  pc_scenario s = strip_scene(90, 30);
  s.loaders[0].power_w = 125e3;
  s.loaders[0].mass_kg = 14e3;
  s.loaders[0].traction = 0.04;
  pc_result r = simulate(&s, NULL);
  assert_int_equal(r.reason, PC_REASON_STUCK);
  assert_string_equal(pc_reason_name(r.reason), "no machine can move its load");
  assert_false(r.finished);
  assert_true(r.total_time_s == 0.0 && r.cycles == 0 && r.placed_kg == 0.0);
  assert_near("left", r.left_kg, r.start_kg, 1e-12);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

static void names(void **state) {
  (void)state;
  assert_string_equal(pc_reason_name(PC_REASON_DONE), "done");
  assert_string_equal(pc_reason_name(PC_REASON_STOPPED), "stopped with work left");
  assert_string_equal(pc_reason_name((pc_reason)99), "unknown");
  assert_string_equal(pc_phase_name(PC_PHASE_CLEAN_UP), "clean_up");
  assert_string_equal(pc_phase_name(PC_PHASE_COUNT), "unknown");
}

/* ---- film and windrows ---- */

/* A film of the share `leave` stays on the strip; five full boxes, of 30 m each, take all the rest. */
static void film_stays(void **state) {
  (void)state;
  pc_scenario s = strip_scene(150, 30);
  s.boxes[0].leave = 0.04;
  s.snow.depth_m /= 1.0 - 0.04;
  s.snow.done_below_m = 0.01;
  pc_result r = simulate(&s, NULL);
  assert_int_equal(r.reason, PC_REASON_DONE);
  assert_int_equal(r.cycles, 5);
  assert_near("placed", r.placed_kg, 5 * 1350.0, 1e-9);
  assert_near("film", r.left_kg, 0.04 * r.start_kg, 1e-9);
  assert_near("fill", r.machines[0].fill_m, 150.0, 1e-9);
  pc_result_free(&r);
  pc_scenario_free(&s);
}

/* Spill makes windrows, windrows make clean-up passes, and these come to an end with no more than done_below
 * left. */
static void clean_up_ends(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++)
    for (int machines = 1; machines <= 3; machines++) {
      static const pc_point zones[] = {{0, 20}, {70, 25}};
      pc_scenario s = scene_rectangle(70, 52, zones, 2);
      s.policy = pc_name_of(p ? "keep-pushing" : "straight-runs");
      s.boxes[0].side_leak = 0.10;
      s.boxes[0].spill_from = 0.6;
      s.boxes[0].leave = 0.01;
      s.full_at = 0.95;
      set_crew(&s, machines, (pc_point){1, 1});
      pc_result r = simulate(&s, NULL);
      double clean_up = 0.0;
      for (size_t m = 0; m < r.machine_count; m++)
        clean_up += r.machines[m].time_s[PC_PHASE_CLEAN_UP];
      assert_int_equal(r.reason, PC_REASON_DONE);
      assert_true(clean_up > 0.0);
      assert_near("mass", r.placed_kg + r.left_kg, r.start_kg, 1e-12);
      assert_true(r.left_kg > 0.0 && r.left_kg <= 0.01 * 100.0 * 70.0 * 52.0);
      pc_result_free(&r);
      pc_scenario_free(&s);
    }
}

/* ---- invariants over many lots ---- */

enum { TRACED_MAX = 8 };

typedef struct follower { /* reads a trace and checks that its rows join */
  double end_s[TRACED_MAX], time_s[TRACED_MAX][PC_PHASE_COUNT];
  pc_point at[TRACED_MAX];
  long rows;
} follower;

static void follow(void *context, const pc_trace_row *row) {
  follower *f = context;
  size_t m = row->machine;
  double gap = hypot(row->from.x_m - f->at[m].x_m, row->from.y_m - f->at[m].y_m);
  double chord = hypot(row->to.x_m - row->from.x_m, row->to.y_m - row->from.y_m);
  assert_true(m < TRACED_MAX);
  if (row->start_s != f->end_s[m] || gap > 1e-6)
    fail_msg("%s at %g s: begins %g s and %g m away from where the row before ended",
             pc_phase_name(row->phase), row->start_s, row->start_s - f->end_s[m], gap);
  if (row->end_s < row->start_s || row->distance_m < chord - 1e-6)
    fail_msg("%s at %g s: %g m driven over a chord of %g m", pc_phase_name(row->phase), row->start_s,
             row->distance_m, chord);
  assert_true(row->load_kg >= 0.0 && row->cycle >= 1);
  bool sweeps = row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP;
  assert_true(sweeps == (row->swath_m > 0.0));
  f->end_s[m] = row->end_s;
  f->time_s[m][row->phase] += row->end_s - row->start_s;
  f->at[m] = row->to;
  f->rows++;
}

/* Runs it with both policies and checks what must always hold. */
static void check_lot(const char *what, pc_scenario *s) {
  for (int p = 0; p < 2; p++) {
    s->policy = pc_name_of(p ? "keep-pushing" : "straight-runs");
    pc_lot *lot = make_lot(s);
    follower f = {.rows = 0};
    assert_true(lot->machine_count <= TRACED_MAX);
    for (size_t m = 0; m < lot->machine_count; m++)
      f.at[m] = lot->machines[m].start;
    pc_trace trace = {.row = follow, .context = &f};
    pc_result r = simulate_lot(lot, 3, 1, &trace);
    if (r.reason != PC_REASON_DONE)
      fail_msg("%s, %s: %s, %g kg left", what, lot->policy->name, pc_reason_name(r.reason), r.left_kg);
    assert_near("mass", r.placed_kg + r.left_kg, r.start_kg, 1e-9);
    double placed = 0.0;
    int cycles = 0;
    for (size_t m = 0; m < r.machine_count; m++) {
      double sum = 0.0;
      for (int i = 0; i < PC_PHASE_COUNT; i++) {
        assert_true(r.machines[m].time_s[i] >= 0.0);
        sum += r.machines[m].time_s[i];
        if (i != PC_PHASE_IDLE && !(fabs(r.machines[m].time_s[i] - f.time_s[m][i]) <= 1e-6 * r.total_time_s))
          fail_msg("%s: %s is %g s, in the trace %g s", what, pc_phase_name((pc_phase)i),
                   r.machines[m].time_s[i], f.time_s[m][i]);
      }
      assert_near("phases of a machine", sum, r.total_time_s, 1e-9);
      placed += r.machines[m].placed_kg;
      cycles += r.machines[m].cycles;
    }
    assert_near("placed by machines", placed, r.placed_kg, 1e-9);
    assert_int_equal(cycles, r.cycles);
    assert_true(f.rows > 5L * r.cycles);
    pc_result_free(&r);
    pc_lot_free(lot);
  }
  pc_scenario_free(s);
}

static void outline(pc_ring *ring, const pc_point *points, size_t count) {
  pc_ring_free(ring);
  assert_int_equal(pc_ring_copy(ring, points, count), PC_OK);
}

/* Default box (spill, film, overlap), backing out, shifting, chance. */
static void make_real(pc_scenario *s) {
  s->boxes[0].overlap_m = 0.3;
  s->boxes[0].side_leak = 0.02;
  s->boxes[0].spill_from = 0.85;
  s->boxes[0].leave = 0.01;
  s->full_at = 0.95;
  s->loaders[0].raise_s = 2.0;
  s->loaders[0].shift_s = 1.5;
  s->loaders[0].back_out_m = 8.0;
  s->chance.fill = 0.05;
  s->chance.carry = 0.10;
  s->chance.dump = 0.20;
  s->chance.back = 0.10;
  s->chance.turn = 0.20;
}

static void rectangles_hold(void **state) {
  (void)state;
  static const pc_point zones[] = {{0, 20}, {70, 25}};
  for (int machines = 1; machines <= 6; machines++)
    for (int real = 0; real < 2; real++) {
      pc_scenario s = scene_rectangle(70, 52, zones, machines % 2 ? 2 : 1);
      set_crew(&s, machines, (pc_point){1, 1});
      if (real)
        make_real(&s);
      check_lot("rectangle", &s);
    }
}

static void oblique_polygon_holds(void **state) {
  (void)state;
  static const pc_point corners[] = {{0, 0}, {61, 7}, {74, 40}, {33, 66}, {-9, 38}}, zone[] = {{70, 30}};
  static const double headings[] = {0.0, 0.4, 1.9, -2.5};
  for (size_t h = 0; h < 4; h++)
    for (int real = 0; real < 2; real++) {
      pc_scenario s = scene_rectangle(10, 10, zone, 1);
      outline(&s.site.areas[0].outline, corners, 5);
      s.site.areas[0].heading_rad = headings[h];
      set_crew(&s, 1 + (int)h % 3, (pc_point){5, 5});
      if (real)
        make_real(&s);
      check_lot("oblique polygon", &s);
    }
}

static void two_areas_hold(void **state) {
  (void)state;
  static const pc_point left[] = {{0, 0}, {50, 0}, {50, 40}, {0, 40}},
                        right[] = {{50, 0}, {95, 0}, {95, 40}, {50, 40}};
  static const pc_point zones[] = {{20, 0}, {95, 20}};
  for (int machines = 1; machines <= 3; machines++) {
    pc_scenario s = scene_rectangle(10, 10, zones, 2);
    pc_area *areas = calloc(2, sizeof *areas);
    assert_non_null(areas);
    areas[0] = areas[1] = pc_area_default();
    areas[0].name = pc_name_of("left");
    areas[1].name = pc_name_of("right");
    outline(&areas[0].outline, left, 4);
    outline(&areas[1].outline, right, 4);
    areas[1].heading_rad = 1.3;
    pc_ring_free(&s.site.areas[0].outline);
    free(s.site.areas);
    s.site.areas = areas;
    s.site.area_count = 2;
    set_crew(&s, machines, (pc_point){1, 1});
    make_real(&s);
    check_lot("two areas", &s);
  }
}

static void mixed_boxes_hold(void **state) {
  (void)state;
  static const pc_point zones[] = {{0, 20}, {70, 25}};
  for (int real = 0; real < 2; real++)
    for (double width = 2.4; width < 6.0; width += 1.1) {
      pc_scenario s = scene_rectangle(70, 52, zones, 2);
      set_crew(&s, 2, (pc_point){1, 1});
      if (real)
        make_real(&s);
      pc_box *boxes = calloc(2, sizeof *boxes);
      pc_crew_entry *crew = calloc(2, sizeof *crew);
      assert_true(boxes && crew);
      boxes[0] = boxes[1] = s.boxes[0];
      boxes[1].name = pc_name_of("other");
      boxes[1].width_m = width;
      crew[0] = crew[1] = s.crew[0];
      crew[1].box = boxes[1].name;
      crew[1].count = 1;
      free(s.boxes);
      free(s.crew);
      s.boxes = boxes;
      s.box_count = 2;
      s.crew = crew;
      s.crew_count = 2;
      check_lot("mixed boxes", &s);
    }
}

/* Zones with outlines that lie on the area: they take their ground out of it, and lanes run up to them. */
static void outline_zones_hold(void **state) {
  (void)state;
  static const pc_point at[] = {{0, 0}, {0, 0}};
  static const pc_point corner[] = {{58, 40}, {70, 40}, {70, 52}, {58, 52}},
                        middle[] = {{30, 22}, {42, 20}, {44, 31}, {32, 33}};
  for (int machines = 1; machines <= 3; machines++) {
    pc_scenario s = scene_rectangle(70, 52, at, 2);
    outline(&s.zones[0].outline, corner, 4);
    outline(&s.zones[1].outline, middle, 4);
    s.zones[0].volume_m3 = s.zones[1].volume_m3 = 200.0;
    s.zones[0].stack = s.zones[1].stack = 0.5;
    s.zones[1].berths = 2;
    set_crew(&s, machines, (pc_point){1, 1});
    make_real(&s);
    check_lot("outline zones", &s);
  }
}

/* Effort grows less than depth: costs of removing snow from county highways, Colorado Water Conservation
 * Board 1983: 4–6 in take crews a full day, 9–10 in little more. A shape, not a number: way below 2 for twice
 * the depth, and falling with the share of the work that does not hang on the depth (thin snow more so than
 * thick). */
static void effort_against_depth(void **state) {
  (void)state;
  for (int p = 0; p < 2; p++) {
    double time[4];
    for (int i = 0; i < 4; i++) {
      pc_scenario s = scene_reference(3, 1, p ? "keep-pushing" : "straight-runs");
      s.snow.depth_m = 0.0254 * (const double[]){1.25, 2.5, 5.0, 10.0}[i];
      pc_result r = simulate(&s, NULL);
      assert_int_equal(r.reason, PC_REASON_DONE);
      time[i] = r.total_time_s;
      pc_result_free(&r);
      pc_scenario_free(&s);
    }
    double thin = time[1] / time[0], middle = time[2] / time[1], thick = time[3] / time[2];
    print_message("time for twice the depth, %s: %.3f %.3f %.3f\n", p ? "keep-pushing" : "straight-runs",
                  thin, middle, thick);
    assert_true(thick > 1.0 && thick < 1.95 && middle < 1.9 && thin < 1.8 && thin < middle && middle < thick);
  }
}

/* A choice that says nothing of the depth is not one of no snow. */
static void a_choice_of_no_depth(void **state) {
  (void)state;
  pc_scenario s = scene_reference(1, 1, "keep-pushing");
  const double wrong[] = {0.0, -0.1};
  for (size_t i = 0; i < 2; i++) {
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    assert_int_equal(pc_lot_create(&s, &(pc_choice){.depth_m = wrong[i]}, &lot, &faults), PC_ERR_RANGE);
    assert_string_equal(faults.items[0].key, "depth");
    assert_null(lot);
    pc_faults_free(&faults);
  }
  const pc_choice usual = pc_choice_default();
  pc_faults faults = {0};
  pc_lot *lot;
  assert_int_equal(pc_lot_create(&s, &usual, &lot, &faults), PC_OK);
  assert_true(lot->snow.depth_m == s.snow.depth_m && lot->start_kg > 0.0);
  pc_lot_free(lot);
  /* and studies of no replications say so */
  const pc_compare_how how = {.replications = 0};
  const pc_place_wanted wanted = {.replications = 0};
  pc_comparison comparison;
  pc_placement placement;
  assert_int_equal(pc_compare(&s, &how, &comparison, &faults), PC_ERR_RANGE);
  assert_int_equal(pc_placement_find(&s, &wanted, &placement, &faults), PC_ERR_RANGE);
  assert_int_equal(faults.count, 2);
  assert_string_equal(faults.items[0].key, "chance.replications");
  assert_string_equal(faults.items[1].key, "chance.replications");
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Every number of a result changes its hash. */
static void each_number_is_hashed(void **state) {
  (void)state;
  pc_machine_result machine = {.time_s = {1.0}, .fuel_l = 5.0};
  pc_zone_result zone = {.snow_kg = 3.0};
  pc_area_result area = {.done_s = 4.0};
  pc_passage_result passage = {6.0};
  pc_result r = {.machines = &machine,
                 .machine_count = 1,
                 .zones = &zone,
                 .zone_count = 1,
                 .areas = &area,
                 .area_count = 1,
                 .passages = &passage,
                 .passage_count = 1};
  double *numbers[] = {&r.total_time_s,    &r.start_kg,        &r.fallen_kg,    &r.placed_kg,
                       &r.left_kg,         &r.small_m2,        &r.small_kg,     &r.haul_off_kg,
                       &machine.time_s[0], &machine.time_s[9], &machine.fill_m, &machine.carry_m,
                       &machine.return_m,  &machine.placed_kg, &machine.fuel_l, &machine.break_s,
                       &machine.refuel_s,  &machine.repair_s,  &zone.snow_kg,   &zone.volume_m3,
                       &zone.wait_s,       &zone.capacity_m3,  &area.done_s,    &area.max_depth_m,
                       &area.ready_s,      &area.late_s,       &passage.wait_s};
  int *counts[] = {&r.cycles, &machine.cycles, &zone.loads};
  bool *flags[] = {&r.finished, &area.late};
  uint64_t plain = pc_result_hash(&r);
  for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
    double kept = *numbers[i];
    *numbers[i] = NAN;
    uint64_t nan = pc_result_hash(&r);
    *numbers[i] = -(double)NAN;
    assert_true(pc_result_hash(&r) == nan && nan != plain);
    *numbers[i] = kept + 1.0;
    if (pc_result_hash(&r) == plain)
      fail_msg("number %zu is not in the hash", i);
    *numbers[i] = kept;
  }
  for (size_t i = 0; i < 3; i++) {
    ++*counts[i];
    assert_true(pc_result_hash(&r) != plain);
    --*counts[i];
  }
  for (size_t i = 0; i < 2; i++) {
    *flags[i] = true;
    assert_true(pc_result_hash(&r) != plain);
    *flags[i] = false;
  }
  r.reason = PC_REASON_STUCK;
  assert_true(pc_result_hash(&r) != plain);
  r.reason = PC_REASON_DONE;
  r.events = 1;
  assert_true(pc_result_hash(&r) != plain);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(strip_with_a_zone),
                                     cmocka_unit_test(strip_with_more),
                                     cmocka_unit_test(zone_at_both_ends),
                                     cmocka_unit_test(zones_full),
                                     cmocka_unit_test(zones_full_for_two),
                                     cmocka_unit_test(no_room_for_a_load),
                                     cmocka_unit_test(room_for_a_small_load),
                                     cmocka_unit_test(cannot_move_its_load),
                                     cmocka_unit_test(names),
                                     cmocka_unit_test(film_stays),
                                     cmocka_unit_test(clean_up_ends),
                                     cmocka_unit_test(rectangles_hold),
                                     cmocka_unit_test(oblique_polygon_holds),
                                     cmocka_unit_test(two_areas_hold),
                                     cmocka_unit_test(mixed_boxes_hold),
                                     cmocka_unit_test(each_number_is_hashed),
                                     cmocka_unit_test(a_choice_of_no_depth),
                                     cmocka_unit_test(outline_zones_hold),
                                     cmocka_unit_test(effort_against_depth)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
