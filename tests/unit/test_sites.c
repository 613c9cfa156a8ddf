// SPDX-License-Identifier: GPL-3.0-or-later
/* Whole runs on random sites with obstacles: what must hold after every event, of the sums at the end and of
 * every row of the trace. No outside values: these follow from conservation and from geometry; the obstacles
 * and the pavement are looked at by the naive functions of tests/support. Metres, kg, s. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "naive_paths.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"
#include "study/bound.h"

enum { SITES = 200, LISTED_MAX = 25, OBSTACLES_MAX = 12 /* random_site_default */ };
static const char *const policies[] = {"straight-runs", "keep-pushing"};
static const double slack_m = 0.01; /* legs are checked against things to within 1 cm */

typedef struct seen { /* over all sites */
  size_t runs, done, full, refused, two_widths, bordered, slowed, rows, faults;
} seen;

typedef struct walk { /* one run's trace, as it is read */
  seen *all;
  uint64_t seed;
  const pc_scenario *scenario;
  const pc_lot *lot;
  double reach_m; /* how far a fill may overhang the pavement: a lane's width */
  pc_point at[PC_CREW_MAX];
  double clock_s[PC_CREW_MAX], fill_m[PC_CREW_MAX], carry_m[PC_CREW_MAX], return_m[PC_CREW_MAX];
  double time_s[PC_CREW_MAX][PC_PHASE_COUNT], dumped_kg[PC_CREW_MAX];
  bool begun[PC_CREW_MAX];
} walk;

static void PC_PRINTF(3, 4) wrong(seen *all, uint64_t seed, const char *format, ...) {
  char text[300];
  va_list list;
  va_start(list, format);
  (void)vsnprintf(text, sizeof text, format, list);
  va_end(list);
  if (all->faults++ < LISTED_MAX)
    print_message("site %u: %s\n", (unsigned)seed, text);
}

/* ---- the scenario of a seed ---- */

static void choose_boxes(pc_scenario *s, pc_stream *stream, bool two) {
  static const char *const widths[] = {"8 ft", "10 ft", "12 ft", "14 ft", "16 ft"};
  s->box_count = two ? 2 : 1;
  s->boxes = realloc(s->boxes, s->box_count * sizeof *s->boxes);
  assert_non_null(s->boxes);
  size_t first = (size_t)(pc_stream_next(stream) % 5);
  for (size_t b = 0; b < s->box_count; b++) {
    s->boxes[b] = s->boxes[0];
    s->boxes[b].name = pc_name_of(b ? "other box" : "box");
    const char *text = widths[(first + 2 * b) % 5];
    assert_int_equal(pc_units_parse(text, PC_DIM_LENGTH, &s->boxes[b].width_m, NULL), PC_OK);
    s->boxes[b].overlap_m = 0.3;
  }
}

static void choose_crew(pc_scenario *s, size_t machines) {
  s->crew = calloc(machines, sizeof *s->crew);
  assert_non_null(s->crew);
  s->crew_count = machines;
  for (size_t m = 0; m < machines; m++) {
    s->crew[m] = pc_crew_entry_default();
    s->crew[m].loader = s->loaders[0].name;
    s->crew[m].box = s->boxes[m % s->box_count].name;
  }
}

/* Piles as large as their outlines allow, or with so much room that only some of them fill up. */
static void choose_zones(pc_scenario *s, pc_stream *stream) {
  uint64_t kind = pc_stream_next(stream) % 3;
  for (size_t z = 0; z < s->zone_count; z++) {
    if (s->zones[z].outline.count > 0 && kind > 0)
      s->zones[z].volume_m3 = kind == 1 ? random_between(stream, 20, 150) : 20000;
    s->zones[z].berths = 1 + (int)(pc_stream_next(stream) % 2);
  }
}

static bool are_apart(uint64_t seed) {
  return seed % 2 == 0;
}

static pc_scenario scenario_of(uint64_t seed, const char *policy) {
  pc_stream stream;
  pc_stream_start(&stream, seed, 1, 0, 0);
  random_site_options options = random_site_default();
  options.apart_m = are_apart(seed) ? 0.05 : -INFINITY;
  random_lot lot = random_site(seed, &options);
  pc_scenario s = scene_rectangle(10, 10, NULL, 0);
  pc_site_free(&s.site);
  free(s.zones);
  s.site = lot.site;
  s.zones = lot.zones;
  s.zone_count = lot.zone_count;
  s.policy = pc_name_of(policy);
  s.snow.depth_m = random_between(&stream, 0.05, 0.25);
  size_t machines = 1 + (size_t)(pc_stream_next(&stream) % 3);
  choose_boxes(&s, &stream, machines > 1 && seed % 3 == 0);
  if (seed / 2 % 2 == 0)
    for (size_t b = 0; b < s.box_count; b++) {
      s.boxes[b].side_leak = 0.03;
      s.boxes[b].spill_from = 0.8;
      s.boxes[b].leave = 0.01;
      s.full_at = 0.93;
    }
  choose_crew(&s, machines);
  choose_zones(&s, &stream);
  s.loaders[0].raise_s = 1.5;
  s.loaders[0].shift_s = 1.25;
  s.loaders[0].back_out_m = seed % 5 == 0 ? 0.0 : 8.0;
  if (seed % 4 == 3)
    s.near = (pc_near){.distance_m = 3.0, .speed_mps = 1.0, .border_m = 0.5};
  return s;
}

/* ---- the trace ---- */

static double off_outline_m(const pc_ring *ring, pc_point p) {
  double least = INFINITY;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
    double share = ((p.x_m - a.x_m) * dx + (p.y_m - a.y_m) * dy) / (dx * dx + dy * dy);
    share = fmin(fmax(share, 0), 1);
    least = fmin(least, hypot(a.x_m + share * dx - p.x_m, a.y_m + share * dy - p.y_m));
  }
  return least;
}

static bool is_on(const pc_ring *ring, pc_point p, double reach_m) {
  return ring->count > 0 && (naive_inside(ring, p, 0) || off_outline_m(ring, p) <= reach_m);
}

static bool is_on_pavement(const pc_scenario *s, pc_point p, double reach_m) {
  bool on = is_on(&s->site.areas[0].outline, p, reach_m);
  for (size_t z = 0; z < s->zone_count && !on; z++)
    on = is_on(&s->zones[z].outline, p, reach_m);
  return on;
}

/* False if the whole leg lies on one side of all of the ring. */
static bool may_meet(const pc_ring *ring, pc_point from, pc_point to) {
  pc_point low = {INFINITY, INFINITY}, high = {-INFINITY, -INFINITY};
  for (size_t i = 0; i < ring->count; i++) {
    low = (pc_point){fmin(low.x_m, ring->points[i].x_m), fmin(low.y_m, ring->points[i].y_m)};
    high = (pc_point){fmax(high.x_m, ring->points[i].x_m), fmax(high.y_m, ring->points[i].y_m)};
  }
  return fmax(from.x_m, to.x_m) > low.x_m && fmin(from.x_m, to.x_m) < high.x_m &&
         fmax(from.y_m, to.y_m) > low.y_m && fmin(from.y_m, to.y_m) < high.y_m;
}

static void check_place(const walk *w, const pc_trace_row *row, const bool *met, pc_point p) {
  bool filling = row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP;
  const char *phase = pc_phase_name(row->phase);
  for (size_t i = 0; i < w->scenario->site.obstacle_count; i++)
    if (met[i] && naive_inside(&w->scenario->site.obstacles[i].outline, p, slack_m))
      wrong(w->all, w->seed, "%s from (%.3f, %.3f) to (%.3f, %.3f) is in %s at (%.3f, %.3f), %.3f m deep",
            phase, row->from.x_m, row->from.y_m, row->to.x_m, row->to.y_m,
            w->scenario->site.obstacles[i].name.text, p.x_m, p.y_m,
            off_outline_m(&w->scenario->site.obstacles[i].outline, p));
  if (!is_on_pavement(w->scenario, p, filling ? w->reach_m : slack_m))
    wrong(w->all, w->seed, "%s from (%.3f, %.3f) to (%.3f, %.3f) leaves the pavement at (%.3f, %.3f)", phase,
          row->from.x_m, row->from.y_m, row->to.x_m, row->to.y_m, p.x_m, p.y_m);
}

static void check_leg(const walk *w, const pc_trace_row *row) {
  double dx = row->to.x_m - row->from.x_m, dy = row->to.y_m - row->from.y_m, chord = hypot(dx, dy);
  bool filling = row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP;
  bool driving = filling || row->phase == PC_PHASE_CARRY || row->phase == PC_PHASE_RETURN;
  /* legs are split at corners; where a box overhangs the pavement's edge, the machine stays behind */
  double longest = !driving ? 0 : filling ? chord + 2 * w->reach_m : chord + 1e-6;
  if (row->distance_m < chord - 1e-6 || row->distance_m > longest)
    wrong(w->all, w->seed, "%s is %.9g m long, its ends are %.9g m apart", pc_phase_name(row->phase),
          row->distance_m, chord);
  int steps = (int)ceil(chord / 0.25);
  bool met[OBSTACLES_MAX];
  for (size_t i = 0; i < w->scenario->site.obstacle_count; i++)
    met[i] = may_meet(&w->scenario->site.obstacles[i].outline, row->from, row->to);
  for (int k = 0; k <= steps; k++) {
    size_t before = w->all->faults;
    double share = steps > 0 ? (double)k / steps : 0;
    check_place(w, row, met, (pc_point){row->from.x_m + share * dx, row->from.y_m + share * dy});
    if (w->all->faults > before)
      return; /* once for each leg */
  }
}

static void step(void *context, const pc_trace_row *row) {
  walk *w = context;
  size_t m = row->machine;
  w->all->rows++;
  if (!w->begun[m])
    w->at[m] = w->lot->machines[m].start;
  w->begun[m] = true;
  if (hypot(row->from.x_m - w->at[m].x_m, row->from.y_m - w->at[m].y_m) > 1e-6)
    wrong(w->all, w->seed, "machine %zu: %s begins at (%.6f, %.6f), but it stood at (%.6f, %.6f)", m,
          pc_phase_name(row->phase), row->from.x_m, row->from.y_m, w->at[m].x_m, w->at[m].y_m);
  if (fabs(row->start_s - w->clock_s[m]) > 1e-9 * (1 + w->clock_s[m]) || row->end_s < row->start_s)
    wrong(w->all, w->seed, "machine %zu: %s begins at %.9g s, but what came before ended at %.9g s", m,
          pc_phase_name(row->phase), row->start_s, w->clock_s[m]);
  check_leg(w, row);
  w->at[m] = row->to;
  w->clock_s[m] = row->end_s;
  w->time_s[m][row->phase] += row->end_s - row->start_s;
  w->dumped_kg[m] += row->phase == PC_PHASE_DUMP ? row->load_kg : 0;
  w->fill_m[m] += row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP ? row->distance_m : 0;
  w->carry_m[m] += row->phase == PC_PHASE_CARRY ? row->distance_m : 0;
  w->return_m[m] += row->phase == PC_PHASE_RETURN ? row->distance_m : 0;
}

/* ---- the sums ---- */

static bool differ(double a, double b, double relative) {
  return !(fabs(a - b) <= relative * fmax(1, fabs(b)));
}

static void check_area(seen *all, uint64_t seed, const pc_scenario *s, const pc_lot *lot) {
  double grid = lot->small_m2, whole = fabs(pc_ring_area_m2(&s->site.areas[0].outline)), taken = 0;
  for (size_t p = 0; p < lot->ground->patch_count; p++)
    grid += lot->ground->patches[p].area_m2;
  for (size_t i = 0; i < s->site.obstacle_count; i++) /* they lie inside the area, apart from each other */
    taken += fabs(pc_ring_area_m2(&s->site.obstacles[i].outline));
  for (size_t z = 0; z < s->zone_count; z++) {
    double shared = 0;
    if (s->zones[z].outline.count == 0)
      continue;
    assert_int_equal(pc_rings_shared_area(&s->site.areas[0].outline, &s->zones[z].outline, &shared), PC_OK);
    taken += shared;
  }
  if (are_apart(seed) && differ(grid + taken, whole, 1e-9))
    wrong(all, seed, "%.12g m2 of grid and %.12g m2 of obstacles and zones, but %.12g m2 of area", grid,
          taken, whole);
  if (!are_apart(seed) && !(grid + taken >= whole * (1 - 1e-9) && grid <= whole * (1 + 1e-9)))
    wrong(all, seed, "%.12g m2 of grid, %.12g m2 taken, %.12g m2 of area", grid, taken, whole);
  double kgpm2 = s->snow.depth_m * s->snow.fresh_density_kgpm3;
  if (differ(lot->start_kg + lot->small_kg, kgpm2 * grid, 1e-9))
    wrong(all, seed, "%.12g kg at the start, but %.12g m2", lot->start_kg + lot->small_kg, grid);
}

static void check_sums(const walk *w, const pc_result *r) {
  for (size_t m = 0; m < r->machine_count; m++) {
    const pc_machine_result *one = &r->machines[m];
    double sum = 0;
    for (int p = 0; p < PC_PHASE_COUNT; p++) {
      sum += one->time_s[p];
      if (p != PC_PHASE_IDLE && differ(w->time_s[m][p], one->time_s[p], 1e-9))
        wrong(w->all, w->seed, "%s took %.12g s, in the trace %.12g s", pc_phase_name((pc_phase)p),
              one->time_s[p], w->time_s[m][p]);
    }
    if (differ(sum, r->total_time_s, 1e-9))
      wrong(w->all, w->seed, "the phases add up to %.12g s of %.12g s", sum, r->total_time_s);
    if (differ(w->dumped_kg[m], one->placed_kg, 1e-9) || differ(w->fill_m[m], one->fill_m, 1e-9) ||
        differ(w->carry_m[m], one->carry_m, 1e-9) || differ(w->return_m[m], one->return_m, 1e-9))
      wrong(w->all, w->seed, "sums of the trace differ from the result of machine %zu", m);
  }
  if (differ(r->placed_kg + r->left_kg, r->start_kg, 1e-9))
    wrong(w->all, w->seed, "%.12g kg at the start, %.12g placed and %.12g left", r->start_kg, r->placed_kg,
          r->left_kg);
  if (r->reason != PC_REASON_DONE && r->reason != PC_REASON_ZONES_FULL)
    wrong(w->all, w->seed, "it ended as \"%s\" after %.0f s", pc_reason_name(r->reason), r->total_time_s);
  pc_bound bound;
  assert_int_equal(pc_bound_make(w->lot, r->left_kg, &bound), PC_OK);
  if (!(bound.time_s <= r->total_time_s * (1 + 1e-9)) || !(bound.time_s > 0 || r->cycles == 0))
    wrong(w->all, w->seed, "the bound is %.12g s, the run took %.12g s", bound.time_s, r->total_time_s);
}

static void run_site(seen *all, uint64_t seed, const pc_scenario *s, const pc_lot *lot) {
  walk w = {.all = all, .seed = seed, .scenario = s, .lot = lot};
  for (size_t b = 0; b < s->box_count; b++)
    w.reach_m = fmax(w.reach_m, s->boxes[b].width_m - s->boxes[b].overlap_m);
  pc_trace trace = {.row = step, .context = &w};
  pc_world *world;
  pc_result result;
  assert_int_equal(pc_world_create(lot, &world), PC_OK);
  assert_int_equal(pc_result_init(&result, lot->machine_count, lot->zone_count), PC_OK);
  pc_world_check_always(world, true);
  pc_status status = pc_world_run(world, seed, 0, &trace, &result);
  if (status == PC_OK)
    check_sums(&w, &result);
  else
    wrong(all, seed, "the run broke off (%s): %s", pc_status_name(status), pc_world_complaint(world));
  all->runs++;
  all->done += status == PC_OK && result.reason == PC_REASON_DONE;
  all->full += status == PC_OK && result.reason == PC_REASON_ZONES_FULL;
  pc_world_free(world);
  pc_result_free(&result);
}

/* Whoever draws a site that nobody can get around in must be told where. */
static void check_refusal(seen *all, uint64_t seed, pc_status status, const pc_faults *faults) {
  all->refused++;
  bool told = false;
  for (size_t i = 0; i < faults->count; i++) {
    double x, y;
    const char *place = strchr(faults->items[i].message, '[');
    told |= !faults->items[i].caution && place && sscanf(place, "[%lf, %lf]", &x, &y) == 2;
  }
  if (status != PC_ERR_GEOMETRY || !told)
    wrong(all, seed, "refused (%s) without a place: %s", pc_status_name(status),
          faults->count > 0 ? faults->items[0].message : "");
}

static void one_site(seen *all, uint64_t seed, const char *policy) {
  pc_scenario s = scenario_of(seed, policy);
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  pc_status status = pc_lot_create(&s, NULL, &lot, &faults);
  if (status == PC_OK) {
    check_area(all, seed, &s, lot);
    all->two_widths += lot->lane_set_count > 1;
    all->bordered += s.near.border_m > 0 && lot->small_m2 > 0;
    all->slowed += lot->slow != NULL;
    run_site(all, seed, &s, lot);
  } else {
    check_refusal(all, seed, status, &faults);
  }
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static void random_sites(void **state) {
  (void)state;
  for (size_t p = 0; p < 2; p++) {
    seen all = {0};
    for (uint64_t seed = 1; seed <= SITES; seed++)
      one_site(&all, seed, policies[p]);
    print_message(
        "%s: %zu sites: %zu done, %zu with full zones, %zu refused; %zu with two widths, %zu with "
        "borders, %zu with slow places; %zu rows\n",
        policies[p], (size_t)SITES, all.done, all.full, all.refused, all.two_widths, all.bordered, all.slowed,
        all.rows);
    assert_int_equal(all.faults, 0);
    assert_int_equal(all.runs + all.refused, SITES);
    /* and the sites are such that all of it was put to the test */
    assert_true(all.done >= SITES / 4 && all.full >= SITES / 10 && all.two_widths >= 10 &&
                all.bordered >= 10 && all.slowed >= 10);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(random_sites)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
