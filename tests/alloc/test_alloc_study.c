// SPDX-License-Identifier: GPL-3.0-or-later
/* Every allocation failing in turn: places for piles, fits, fleets, sensitivity, shards. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "alloc_case.h"
#include "io/fleet.h"
#include "io/place_write.h"
#include "io/results.h"
#include "io/scenario.h"
#include "io/shards.h"
#include "io/tables.h"
#include "io/timed_cycles_csv.h"

/* ---- places ---- */

typedef struct placing {
  pc_scenario scenario;
  char *text;
  size_t length;
} placing;

static pc_status write_layout(const placing *p, const pc_placement *placement, pc_text *out,
                              pc_faults *faults) {
  const pc_place_choice *best = &placement->finalists[0];
  const pc_zone *zones[PC_PLACE_MAX];
  bool is_new[PC_PLACE_MAX];
  for (size_t k = 0; k < best->count; k++) {
    zones[k] = &placement->sites[best->sites[k]].zone;
    is_new[k] = placement->sites[best->sites[k]].generated;
  }
  const pc_place_layout layout = {
      "placed", zones, is_new, best->count, p->scenario.zones, p->scenario.zone_count};
  pc_text made = {0};
  pc_status status = pc_place_write("small.yaml", p->text, p->length, &layout, &made, faults);
  if (status == PC_OK)
    pc_text_add(out, made.data);
  pc_text_free(&made);
  return status;
}

static pc_status place(void *context, pc_text *out) {
  const placing *p = context;
  pc_placement placement = {0};
  pc_faults faults = {0};
  const pc_place_wanted wanted = {.replications = 2, .seed = 1, .threads = 1};
  pc_status status = pc_placement_find(&p->scenario, &wanted, &placement, &faults);
  if (status == PC_OK)
    status = pc_results_place_json(&p->scenario, &placement, NULL, out);
  if (status == PC_OK) {
    pc_tables_place(&p->scenario, &placement, NULL, PC_METRIC, out);
    status = write_layout(p, &placement, out, &faults);
  }
  pc_placement_free(&placement);
  return alloc_status(status, &faults);
}

static void check_place(const char *title, const char *name, double step_m) {
  placing p;
  alloc_scenario(name, &p.scenario);
  p.text = alloc_text(name, &p.length);
  p.scenario.place.zones = 2;
  p.scenario.place.simulations = 2;
  p.scenario.place.step_m = step_m;
  alloc_check(title, 60, place, &p);
  free(p.text);
  pc_scenario_free(&p.scenario);
}

static void test_place(void **state) {
  (void)state;
  check_place("places for piles", "cli/small.yaml", 12);
  check_place("places for piles beside a deck", "cli/deck.yaml", 40);
}

/* The same where there are no zones, and the headings are open. */
static pc_status place_without_zones(void *context, pc_text *out) {
  placing p = *(const placing *)context;
  pc_area area = p.scenario.site.areas[0];
  pc_heading_report headings = {0};
  const pc_place_wanted wanted = {.replications = 1, .seed = 1, .threads = 1};
  area.auto_heading = true;
  p.scenario.site.areas = &area;
  p.scenario.zone_count = p.scenario.layout_count = 0;
  pc_status status = pc_placement_headings(&p.scenario, &wanted, &headings);
  if (status == PC_OK)
    pc_text_addf(out, "%zu %a\n", headings.count, area.heading_rad);
  pc_heading_report_free(&headings);
  return status;
}

static void test_place_without_zones(void **state) {
  (void)state;
  placing p = {0};
  alloc_scenario("cli/small.yaml", &p.scenario);
  p.scenario.place.zones = 1;
  p.scenario.place.step_m = 20;
  alloc_check("headings without zones", 60, place_without_zones, &p);
  pc_scenario_free(&p.scenario);
}

/* ---- fits ---- */

static pc_status fit(void *context, pc_text *out) {
  const pc_text *csv = context;
  pc_timed timed;
  pc_fit made = {0};
  pc_faults faults = {0};
  pc_status status = pc_timed_csv_read_text("times.csv", csv->data, csv->length, &timed, &faults);
  if (status == PC_OK)
    status = pc_fit_make(&timed, PC_FIT_BY_LOADER, &made, &faults);
  if (status == PC_OK)
    status = pc_results_fit_json(&made, "times.csv", out);
  if (status == PC_OK)
    pc_tables_fit(&made, "times.csv", PC_US, out);
  pc_fit_free(&made);
  pc_timed_free(&timed);
  return alloc_status(status, &faults);
}

static void test_fit(void **state) {
  (void)state;
  pc_text csv = {0};
  pc_text_add(&csv, "machine,phase,duration_s,distance_m\n");
  for (int i = 0; i < 12; i++) {
    static const char *const phases[] = {"fill", "carry", "return", "clean_up"};
    for (int p = 0; p < 4; p++)
      pc_text_addf(&csv, "big %d,%s,%d.%d,%d\n", 1 + i % 2, phases[p], 8 + i + p, (i * 7 + p) % 10,
                   20 + 3 * i);
    pc_text_addf(&csv, "big 1,dump,%d.%d,\nbig 1,lower,2.%d,\nbig 2,turn,%d,\n", 7 + i % 3, i % 10, i % 10,
                 5 + i % 4);
  }
  alloc_check("timed cycles fitted", 250, fit, &csv);
  pc_text_free(&csv);
}

/* ---- fleets ---- */

typedef struct fleet_work {
  char *text;
  size_t length;
  const pc_scenario *lots[3];
  pc_least least;
} fleet_work;

static pc_status assign(void *context, pc_text *out) {
  const fleet_work *w = context;
  pc_fleet fleet;
  pc_assignment assignment = {0};
  pc_faults faults = {0};
  const pc_assign_settings settings = {.least = w->least, .threads = 1};
  pc_status status = pc_fleet_read_text("fleet.yaml", w->text, w->length, &fleet, &faults);
  if (status == PC_OK)
    status = pc_assign(&fleet, w->lots, 3, &settings, &assignment, &faults);
  if (status == PC_OK)
    status = pc_results_assign_json(&fleet, &assignment, out);
  if (status == PC_OK)
    status = pc_results_assign_csv(&fleet, &assignment, out);
  if (status == PC_OK)
    pc_tables_assign(&fleet, &assignment, out);
  pc_assignment_free(&assignment);
  pc_fleet_free(&fleet);
  return alloc_status(status, &faults);
}

static void test_assign(void **state) {
  (void)state;
  pc_scenario lots[3];
  fleet_work w;
  for (int i = 0; i < 3; i++) {
    alloc_scenario("cli/small.yaml", &lots[i]);
    lots[i].name = pc_name_of(i == 0 ? "A" : i == 1 ? "B" : "C");
    w.lots[i] = &lots[i];
  }
  w.text = alloc_text("cli/fleet.yaml", &w.length);
  w.least = PC_LEAST_TIME;
  alloc_check("a fleet, least time", 100, assign, &w);
  w.least = PC_LEAST_COST;
  alloc_check("a fleet, least cost", 100, assign, &w);
  free(w.text);
  for (int i = 0; i < 3; i++)
    pc_scenario_free(&lots[i]);
}

/* ---- sensitivity ---- */

static pc_status sensitivity(void *context, pc_text *out) {
  const pc_scenario *scenario = context;
  pc_sensitivity made = {0};
  pc_faults faults = {0};
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  plan.threads = 1;
  pc_status status = pc_sensitivity_make(scenario, NULL, &plan, &made, &faults);
  if (status == PC_OK)
    status = pc_results_sensitivity_json(&made, "Small lot", out);
  if (status == PC_OK)
    status = pc_results_sensitivity_csv(&made, out);
  if (status == PC_OK)
    pc_tables_sensitivity(&made, PC_METRIC, out);
  pc_sensitivity_free(&made);
  return alloc_status(status, &faults);
}

static void test_sensitivity(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/small.yaml", &scenario);
  alloc_check("sensitivity", 60, sensitivity, &scenario);
  pc_scenario_free(&scenario);
}

/* ---- shards ---- */

static pc_status write_shard(void *context, pc_text *out) {
  const pc_scenario *scenario = context;
  const pc_choice choice = {.depth_m = NAN};
  const pc_heading_report headings = {0};
  pc_faults faults = {0};
  pc_status status = pc_shard_run(scenario, &choice, &headings, (pc_shard){1, 2}, 1, out, &faults);
  if (status == PC_OK)
    status = pc_shard_compare(scenario, &headings, (pc_shard){1, 1}, 1, out, &faults);
  return alloc_status(status, &faults);
}

static void test_shard(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/small.yaml", &scenario);
  alloc_check("shards written", 150, write_shard, &scenario);
  pc_scenario_free(&scenario);
  alloc_scenario("cli/deck.yaml", &scenario);
  alloc_check("shards with ways across a deck written", 100, write_shard, &scenario);
  pc_scenario_free(&scenario);
}

typedef struct parts {
  char names[2][64];
  bool is_run;
} parts;

static pc_status merge(void *context, pc_text *out) {
  const parts *p = context;
  const char *const paths[] = {p->names[0], p->names[1]};
  pc_shards *shards = NULL;
  pc_lot *lot = NULL;
  pc_summary summary = {0};
  pc_depths_series depths = {0};
  pc_crossed crossed = {0};
  pc_comparison comparison = {0};
  pc_faults faults = {0};
  pc_status status = pc_shards_read(paths, 2, &shards, &faults);
  if (status == PC_OK && p->is_run) {
    const pc_notes notes = {.crossed = &crossed};
    status = pc_shards_run(shards, &lot, &summary, &depths, &crossed, &faults);
    if (status == PC_OK)
      status = pc_results_run_json_with(lot, &summary, 1, &notes, out);
  } else if (status == PC_OK) {
    status = pc_shards_compare(shards, &comparison, &faults);
    if (status == PC_OK)
      status = pc_results_compare_json(pc_shards_scenario(shards), &comparison, out);
  }
  bool short_of = depths.failed;
  pc_comparison_free(&comparison);
  pc_depths_free(&depths);
  pc_crossed_free(&crossed);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_shards_free(shards);
  return alloc_status(short_of ? PC_ERR_MEMORY : status, &faults);
}

static void write_parts(const pc_scenario *scenario, parts *p) {
  const pc_choice choice = {.depth_m = NAN};
  const pc_heading_report headings = {0};
  for (size_t i = 0; i < 2; i++) {
    pc_text part = {0};
    pc_faults faults = {0};
    const pc_shard shard = {i + 1, 2};
    pc_status status = p->is_run ? pc_shard_run(scenario, &choice, &headings, shard, 1, &part, &faults)
                                 : pc_shard_compare(scenario, &headings, shard, 1, &part, &faults);
    assert_int_equal(status, PC_OK);
    strcpy(p->names[i], "/tmp/pc-part-XXXXXX");
    int file = mkstemp(p->names[i]);
    assert_true(file >= 0);
    assert_int_equal(write(file, part.data, part.length), (int)part.length);
    close(file);
    pc_faults_free(&faults);
    pc_text_free(&part);
  }
}

static void check_merge(const char *title, const char *name, bool is_run, size_t most) {
  pc_scenario scenario;
  parts p = {.is_run = is_run};
  alloc_scenario(name, &scenario);
  scenario.chance.replications = 2;
  scenario.chance.dump = 0.2;
  write_parts(&scenario, &p);
  alloc_check(title, most, merge, &p);
  for (size_t i = 0; i < 2; i++)
    unlink(p.names[i]);
  pc_scenario_free(&scenario);
}

static void test_merge(void **state) {
  (void)state;
  check_merge("shards of a run merged", "cli/night.yaml", true, 100);
  check_merge("shards of a comparison merged", "cli/small.yaml", false, 100);
  check_merge("shards of a run across a deck merged", "cli/deck.yaml", true, 100);
  check_merge("shards of a comparison across a deck merged", "cli/deck.yaml", false, 100);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_place),  cmocka_unit_test(test_place_without_zones), cmocka_unit_test(test_fit),
      cmocka_unit_test(test_assign), cmocka_unit_test(test_sensitivity),         cmocka_unit_test(test_shard),
      cmocka_unit_test(test_merge),
  };
  cmocka_set_test_filter(getenv("FAULTS_ONLY")); /* one of them, for a person who looks for a fault */
  return cmocka_run_group_tests(tests, NULL, NULL);
}
