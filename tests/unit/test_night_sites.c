// SPDX-License-Identifier: GPL-3.0-or-later
/* Everything of the night at once, on random sites and on rows of areas: every invariant after every event,
 * mass, and an end for a good reason. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "night_run.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"
#include "study/bound.h"

static bool chosen(pc_stream *stream, double share) {
  return random_between(stream, 0.0, 1.0) < share;
}

/* Stops, chance, a storm, apart: each now and then. Nothing that leaves work undone. */
static void add_troubles(pc_scenario *s, pc_stream *stream) {
  static const char *const policies[] = {"straight-runs", "keep-pushing", "building-out"};
  s->policy = pc_name_of(policies[pc_stream_next(stream) % 3]);
  pc_loader *l = &s->loaders[0];
  l->raise_s = 1.5, l->shift_s = 1.25;
  l->back_out_m = chosen(stream, 0.5) ? 8.0 : 0.0;
  if (chosen(stream, 0.5))
    l->breakdown_mean_s = 600.0, l->repair_mean_s = 200.0;
  if (chosen(stream, 0.4)) {
    l->power_w = 125e3, l->mass_kg = 14e3, l->traction = 0.5;
    l->fuel_per_kwh_l = 0.25, l->fuel_idle_lph = 4.0, l->tank_l = 3.0, l->refuel_lps = 0.1;
  }
  if (chosen(stream, 0.5))
    s->chance.carry = s->chance.back = s->chance.fill = s->chance.turn = s->chance.dump = 0.25;
  if (chosen(stream, 0.5))
    s->keep_apart_m = random_between(stream, 1.0, 12.0);
  if (chosen(stream, 0.6)) {
    s->boxes[0].side_leak = 0.02, s->boxes[0].spill_from = 0.85, s->boxes[0].leave = 0.01, s->full_at = 0.95;
  }
  s->snow.depth_m = random_between(stream, 0.03, 0.15);
  if (chosen(stream, 0.6)) {
    s->snow.trigger_m = chosen(stream, 0.5) ? 0.0 : 0.03;
    s->snow.depth_m = chosen(stream, 0.3) ? 0.0 : s->snow.depth_m;
    double from = random_between(stream, 0.0, 1500.0);
    night_add_storm(s, from, random_between(stream, 0.5, 6.0) * 0.01 / 3600.0);
    night_add_storm(s, from + random_between(stream, 60.0, 5000.0), 0.0);
  }
}

static void add_shift(pc_crew_entry *entry, pc_stream *stream, bool may_leave) {
  if (chosen(stream, 0.4))
    entry->from_s = random_between(stream, 0.0, 900.0);
  if (chosen(stream, 0.4))
    entry->break_every_s = random_between(stream, 300.0, 2000.0), entry->break_for_s = 300.0;
  if (may_leave && chosen(stream, 0.4))
    entry->until_s = entry->from_s + random_between(stream, 60.0, 2000.0);
}

static void check_end(night_run *run, const pc_scenario *s, uint64_t seed) {
  night_go(run, seed, 0);
  const pc_result *r = &run->result;
  if (r->reason != PC_REASON_DONE && r->reason != PC_REASON_ZONES_FULL)
    fail_msg("seed %d (%s, %s): %s, %g kg left", (int)seed, s->policy.text,
             s->storm_count ? "storm" : "no storm", pc_reason_name(r->reason), r->left_kg);
  assert_near("mass", r->placed_kg + r->left_kg, r->start_kg + r->fallen_kg, 1e-9);
  for (size_t m = 0; m < r->machine_count; m++) {
    double sum = 0.0;
    for (int p = 0; p < PC_PHASE_COUNT; p++)
      sum += r->machines[m].time_s[p];
    assert_near("phases of a machine", sum, r->total_time_s, 1e-9);
  }
  pc_bound bound;
  assert_int_equal(pc_bound_make(run->lot, r->left_kg, &bound), PC_OK);
  if (run->lot->chance.fill == 0.0 && !(r->total_time_s >= bound.time_s * (1.0 - 1e-9)))
    fail_msg("seed %d: done in %g s, below the bound of %g s", (int)seed, r->total_time_s, bound.time_s);
  for (size_t i = 0; i < r->area_count && r->reason == PC_REASON_DONE; i++)
    assert_true(r->areas[i].done_s <= r->total_time_s && r->areas[i].done_s >= 0.0);
}

static void on_random_sites(void **state) {
  (void)state;
  int refused = 0, full = 0;
  for (uint64_t seed = 0; seed < 120; seed++) {
    pc_stream stream;
    pc_stream_start(&stream, seed, 4, 0, 0);
    random_site_options options = random_site_default();
    options.apart_m = 0.05;
    random_lot site = random_site(seed, &options);
    pc_scenario s = scene_rectangle(10, 10, NULL, 0);
    pc_site_free(&s.site);
    free(s.zones);
    s.site = site.site, s.zones = site.zones, s.zone_count = site.zone_count;
    for (size_t z = 0; z < s.zone_count; z++)
      s.zones[z].volume_m3 = 20000.0, s.zones[z].berths = 1 + (int)(seed % 2);
    add_troubles(&s, &stream);
    size_t machines = 1 + (size_t)(pc_stream_next(&stream) % 3);
    for (size_t m = 0; m < machines; m++) {
      pc_crew_entry *entry = night_add_crew(&s, "loader", "box", (pc_point){0.0, 0.0});
      entry->has_start = false;
      add_shift(entry, &stream, m > 0);
    }
    if (machines > 1 && chosen(&stream, 0.3)) {
      night_add_box(&s, "narrow")->width_m = 3.1;
      s.crew[1].box = pc_name_of("narrow");
      s.crew[1].until_s = NAN; /* where only this one gets to, nobody else would finish */
    }
    pc_point middle = s.site.areas[0].outline.points[0];
    night_add_passage(&s, middle.x_m - 20.0, middle.y_m - 20.0, middle.x_m + 20.0, middle.y_m + 20.0, 1);
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    if (pc_lot_create(&s, NULL, &lot, &faults) == PC_OK) {
      pc_lot_free(lot);
      night_run run = {0};
      night_make(&run, &s, NULL);
      check_end(&run, &s, seed);
      full += run.result.reason == PC_REASON_ZONES_FULL;
      night_free(&run);
    } else {
      refused++;
    }
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
  print_message("random sites: %d refused, %d with full zones\n", refused, full);
  assert_true(refused < 60 && full == 0);
}

/* Rows of two to four areas, worked one after another, some carved out into the next one, some with a blade
 * first. */
static void in_rows_of_areas(void **state) {
  (void)state;
  for (uint64_t seed = 0; seed < 200; seed++) {
    pc_stream stream;
    pc_stream_start(&stream, seed, 5, 0, 0);
    pc_scenario s = scene_rectangle(10, 10, NULL, 0);
    pc_site_free(&s.site);
    size_t areas = 2 + (size_t)(pc_stream_next(&stream) % 3);
    double x = 0.0, width = random_between(&stream, 10.0, 40.0);
    for (size_t i = 0; i < areas; i++) {
      const char name[] = {(char)('a' + (int)i), '\0'}, before[] = {(char)('a' + (int)i - 1), '\0'},
                 next[] = {(char)('a' + (int)i + 1), '\0'};
      double end = x + random_between(&stream, 15.0, 50.0);
      pc_area *area = night_add_area(&s, name, x, 0.0, end, width);
      x = end;
      if (i > 0 && chosen(&stream, 0.4))
        night_add_name(&area->after, before);
      if (i + 1 < areas && chosen(&stream, 0.3))
        area->into = pc_name_of(next);
      if (chosen(&stream, 0.3))
        area->heading_rad = 0.5 * 3.14159265358979323846;
      if (chosen(&stream, 0.2))
        area->opens_s = random_between(&stream, 0.0, 1500.0);
    }
    night_add_zone(&s, x, 0.5 * width)->berths = 2;
    night_add_zone(&s, 0.5 * x, width);
    add_troubles(&s, &stream);
    size_t machines = 2 + (size_t)(pc_stream_next(&stream) % 3);
    for (size_t m = 0; m < machines; m++)
      add_shift(night_add_crew(&s, "loader", "box", (pc_point){x, 0.5 * width}), &stream, m > 0);
    if (chosen(&stream, 0.4)) {
      pc_box *blade = night_add_box(&s, "blade");
      blade->blade = chosen(&stream, 0.5) ? PC_BLADE_LEFT : PC_BLADE_RIGHT;
      blade->width_m = chosen(&stream, 0.5) ? 4.5 : 3.7;
      s.crew[1].box = pc_name_of("blade");
    }
    night_add_passage(&s, 0.4 * x, -1.0, 0.5 * x, width + 1.0, 1);
    night_run run = {0};
    night_make(&run, &s, NULL);
    check_end(&run, &s, seed);
    night_free(&run);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(on_random_sites), cmocka_unit_test(in_rows_of_areas)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
