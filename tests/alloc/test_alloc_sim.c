// SPDX-License-Identifier: GPL-3.0-or-later
/* Every allocation failing in turn: reading scenarios and maps, one lot run, many compared, headings, siting.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "alloc_case.h"
#include "base/memory.h"
#include "io/geojson.h"
#include "io/moved.h"
#include "io/results.h"
#include "io/scenario.h"
#include "io/schema.h"
#include "io/tables.h"
#include "io/tables_private.h"
#include "site/blocked.h"
#include "study/first_night.h"
#include "study/heading.h"
#include "study/limits.h"

static void add_faults(pc_faults *faults, pc_text *out) {
  for (size_t i = 0; i < faults->count; i++)
    pc_text_addf(out, "%s: %s\n", faults->items[i].key, faults->items[i].message);
}

static pc_status read_scenario(void *context, pc_text *out) {
  const pc_override overrides[] = {{.path = "snow.depth=12 cm"},
                                   {.path = "siting.door", .value = "3 m"},
                                   {.path = "zones[east].height=3 m"}}; /* which the map holds */
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read(context, overrides, 3, &scenario, &faults);
  if (status == PC_OK) {
    add_faults(&faults, out);
    pc_text_addf(out, "%s %.17g %zu %zu %zu %zu\n", scenario.name.text, scenario.snow.depth_m,
                 scenario.site.area_count, scenario.zone_count, scenario.storm_count,
                 scenario.place.candidate_count);
  }
  pc_scenario_free(&scenario);
  return alloc_status(status, &faults);
}

static void test_read_scenario(void **state) {
  (void)state;
  char path[1024];
  strncpy(path, alloc_path("alloc/whole.yaml"), sizeof path - 1);
  path[sizeof path - 1] = '\0';
  alloc_check("scenario, map and storm read", 300, read_scenario, path);
}

static pc_status move_scenario(void *context, pc_text *out) {
  pc_faults faults = {0};
  pc_text text = {0};
  pc_text_add(&text, "site: {file: 'map.geojson'}\nstorm_file: storm.csv\n");
  pc_status status = text.failed ? PC_ERR_MEMORY : pc_scenario_move(context, "/tmp/new.yaml", &text, &faults);
  if (status == PC_OK)
    pc_text_add(out, text.data);
  pc_text_free(&text);
  return alloc_status(status, &faults);
}

static void test_move_scenario(void **state) {
  (void)state;
  char path[1024];
  strncpy(path, alloc_path("alloc/whole.yaml"), sizeof path - 1);
  path[sizeof path - 1] = '\0';
  alloc_check("scenario for another folder", 300, move_scenario, path);
}

/* A scenario full of faults: they must all be told, or memory blamed. */
typedef struct faulty {
  char *text;
  size_t length;
} faulty;

static pc_status read_faulty(void *context, pc_text *out) {
  const faulty *f = context;
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("faulty.yaml", f->text, f->length, NULL, 0, &scenario, &faults);
  add_faults(&faults, out);
  bool as_always =
      status != PC_OK && status != PC_ERR_MEMORY && faults.dropped == 0 && pc_faults_fatal(&faults) > 0;
  for (size_t i = 0; i < faults.count; i++)
    if (faults.items[i].status == PC_ERR_MEMORY)
      as_always = false;
  pc_scenario_free(&scenario);
  return alloc_status(as_always ? PC_OK : PC_ERR_MEMORY, &faults);
}

static void test_read_faulty(void **state) {
  (void)state;
  faulty f;
  f.text = alloc_text("cli/faulty.yaml", &f.length);
  alloc_check("faulty scenario read", 300, read_faulty, &f);
  free(f.text);
}

/* The files that a text names: all of them, or memory is blamed. */
static pc_status name_files(void *context, pc_text *out) {
  const char *text = context;
  const pc_override override = {"site.file=b.geojson", NULL, NULL};
  pc_origins files = {0};
  pc_status status = pc_scenario_files("sub/lot.yaml", text, strlen(text), &override, 1, &files);
  const char *name, *key;
  for (size_t i = 0; status == PC_OK && (name = pc_origins_file_at(&files, i, &key)) != NULL; i++)
    pc_text_addf(out, "%s %s\n", key, name);
  pc_origins_free(&files);
  return out->failed ? PC_ERR_MEMORY : status;
}

static void test_name_files(void **state) {
  (void)state;
  alloc_check("files named", 100, name_files, "site: {file: a.geojson}\nstorm_file: s.csv\n");
  alloc_check("files named, no YAML", 100, name_files, "storm_file: 's.csv'\n\t[");
}

static pc_status read_map(void *context, pc_text *out) {
  const faulty *f = context;
  pc_geojson lot;
  pc_faults faults = {0};
  pc_status status = pc_geojson_read_text("lot.geojson", f->text, f->length, NULL, &lot, &faults);
  const pc_geojson_content content = {.site = &lot.site, .zones = lot.zones, .zone_count = lot.zone_count};
  if (status == PC_OK)
    status = pc_geojson_write(&content, out, NULL);
  pc_geojson_free(&lot);
  return alloc_status(status, &faults);
}

static void test_map(void **state) {
  (void)state;
  faulty f;
  f.text = alloc_text("geojson/good-lot.geojson", &f.length);
  alloc_check("map read and written", 300, read_map, &f);
  free(f.text);
}

/* ---- one lot ---- */

typedef struct traced {
  pc_geojson_rows rows;
  pc_first_night first;
} traced;

static void take_row(void *context, const pc_trace_row *row) {
  traced *t = context;
  pc_geojson_keep_row(&t->rows, row);
  pc_first_night_row(&t->first, row);
}

static void take_depth(void *context, uint64_t replication, double time_s, size_t area, double depth_m) {
  traced *t = context;
  pc_first_night_depth(&t->first, replication, time_s, area, depth_m);
}

static pc_status write_run(const pc_scenario *scenario, const pc_lot *lot, const pc_summary *summary,
                           const traced *t, pc_text *out) {
  pc_siting_report siting = {0};
  pc_crossed crossed;
  const pc_notes notes = {.siting = &siting, .depths = &t->first.depths, .crossed = &crossed};
  pc_status status = pc_crossings_list(&t->first.crossings, &crossed);
  if (status == PC_OK)
    status = pc_siting_report_add(&siting, scenario, lot->layout.text, 10);
  if (status == PC_OK)
    status = pc_results_run_json_with(lot, summary, 1, &notes, out);
  if (status == PC_OK)
    status = pc_results_run_csv_with(lot, summary, 1, &notes, out);
  if (status == PC_OK)
    pc_tables_run_with(lot, summary, &notes, PC_METRIC, out);
  const pc_geojson_content content = {
      .site = &scenario->site, .lot = lot, .rows = t->rows.items, .row_count = t->rows.count};
  if (status == PC_OK && scenario->site.has_origin)
    status = t->rows.failed ? PC_ERR_MEMORY : pc_geojson_write(&content, out, NULL);
  pc_siting_report_free(&siting);
  pc_crossed_free(&crossed);
  return pc_first_night_failed(&t->first) ? PC_ERR_MEMORY : status;
}

static pc_status run_lot(void *context, pc_text *out) {
  const pc_scenario *scenario = context;
  pc_lot *lot = NULL;
  pc_summary summary = {0};
  pc_faults faults = {0};
  traced t = {0};
  const pc_trace trace = {.row = take_row, .depth = take_depth, .context = &t};
  pc_status status = pc_lot_create(scenario, NULL, &lot, &faults);
  if (status == PC_OK) {
    add_faults(&faults, out);
    pc_first_night_start(&t.first, lot, scenario);
    status = pc_replicate(lot, 2, 1, 1, &trace, &summary);
  }
  if (status == PC_OK)
    status = write_run(scenario, lot, &summary, &t, out);
  pc_geojson_rows_free(&t.rows);
  pc_first_night_free(&t.first);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  return alloc_status(status, &faults);
}

static void check_run(const char *title, const char *name, size_t most) {
  pc_scenario scenario;
  alloc_scenario(name, &scenario);
  for (size_t a = 0; a < scenario.site.area_count; a++)
    scenario.site.areas[a].auto_heading = false;
  alloc_check(title, most, run_lot, &scenario);
  pc_scenario_free(&scenario);
}

static void test_run(void **state) {
  (void)state;
  check_run("a small run", "cli/small.yaml", 300);
}

static void test_run_night(void **state) {
  (void)state;
  check_run("a night with a storm", "cli/night.yaml", 150);
  check_run("a night with ways across a deck", "cli/deck.yaml", 150);
}

static void test_run_whole(void **state) {
  (void)state;
  check_run("a run with everything", "alloc/whole.yaml", 60);
}

/* A deck that is closed to some of the crew. */
static pc_status lay_out(void *context, pc_text *out) {
  pc_lot *lot = NULL;
  pc_faults faults = {0};
  pc_status status = pc_lot_create(context, NULL, &lot, &faults);
  if (status == PC_OK)
    pc_text_addf(out, "%zu lane sets\n", lot->lane_set_count);
  pc_lot_free(lot);
  return alloc_status(status, &faults);
}

static void test_closed(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/closed.yaml", &scenario);
  alloc_check("a lot with a deck that is closed to some", 150, lay_out, &scenario);
  pc_scenario_free(&scenario);
}

/* ---- comparisons ---- */

static pc_status compare(void *context, pc_text *out) {
  const pc_scenario *scenario = context;
  pc_comparison comparison = {0};
  pc_siting_report siting = {0};
  pc_faults faults = {0};
  const pc_notes notes = {.siting = &siting};
  const pc_compare_how how = {.replications = 2, .seed = 1, .threads = 1};
  pc_status status = pc_compare(scenario, &how, &comparison, &faults);
  if (status == PC_OK) {
    add_faults(&faults, out);
    status = pc_siting_report_add(&siting, scenario, NULL, 10);
  }
  if (status == PC_OK)
    status = pc_results_compare_json_with(scenario, &comparison, &notes, out);
  if (status == PC_OK)
    status = pc_results_compare_csv(&comparison, out);
  if (status == PC_OK)
    pc_tables_compare_with(scenario, &comparison, &notes, PC_US, out);
  pc_siting_report_free(&siting);
  pc_comparison_free(&comparison);
  return alloc_status(status, &faults);
}

static void test_compare(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/small.yaml", &scenario);
  alloc_check("a comparison", 200, compare, &scenario);
  pc_scenario_free(&scenario);
  alloc_scenario("cli/deck.yaml", &scenario);
  alloc_check("a comparison with ways across a deck", 100, compare, &scenario);
  pc_scenario_free(&scenario);
}

static void test_compare_crews(void **state) {
  (void)state;
  pc_scenario scenario;
  int crews[] = {1, 2};
  alloc_scenario("cli/night.yaml", &scenario);
  scenario.compare.crews = (pc_counts){crews, 2};
  alloc_check("a comparison of crews in a storm", 100, compare, &scenario);
  scenario.compare.crews = (pc_counts){0};
  pc_scenario_free(&scenario);
}

static void test_compare_left_out(void **state) {
  (void)state;
  pc_scenario scenario;
  pc_name boxes[] = {pc_name_of("16 ft"), pc_name_of("10 ft")};
  alloc_scenario("cli/gate.yaml", &scenario);
  scenario.compare.boxes = (pc_names){boxes, 2};
  scenario.compare.mixed = true;
  alloc_check("a comparison of what fits and what does not, and of mixes", 200, compare, &scenario);
  scenario.compare.boxes = (pc_names){0};
  pc_scenario_free(&scenario);
}

/* ---- headings, siting, limits, schema ---- */

static pc_status choose_headings(void *context, pc_text *out) {
  pc_scenario *scenario = context;
  pc_heading_report report = {0};
  pc_faults faults = {0};
  for (size_t a = 0; a < scenario->site.area_count; a++)
    scenario->site.areas[a].auto_heading = true;
  pc_status status = pc_headings_choose_watched(scenario, NULL, 1, NULL, &faults, &report);
  if (status == PC_OK)
    for (size_t i = 0; i < report.count; i++)
      pc_text_addf(out, "%s %.17g %.17g\n", report.items[i].area.text, report.items[i].heading_rad,
                   report.items[i].time_s);
  pc_heading_report_free(&report);
  return alloc_status(status, &faults);
}

static void test_headings(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/small.yaml", &scenario);
  alloc_check("headings chosen", 150, choose_headings, &scenario);
  pc_scenario_free(&scenario);
}

typedef struct late_lot {
  pc_scenario scenario;
  pc_lot *lot;
  pc_summary now;
} late_lot;

static pc_status find_order(void *context, pc_text *out) {
  const late_lot *late = context;
  pc_order order;
  pc_status status = pc_order_find(late->lot, &late->now, 1, 1, NULL, &order);
  if (status == PC_OK)
    pc_tables_order(late->lot, &late->now, &order, NULL, out);
  pc_order_free(&order);
  return status;
}

static void test_order(void **state) {
  (void)state;
  late_lot late = {0};
  pc_faults faults = {0};
  alloc_scenario("cli/two.yaml", &late.scenario);
  pc_name first[] = {pc_name_of("back")}; /* that is then worked second */
  late.scenario.crew[0].first = (pc_names){first, 1};
  assert_int_equal(pc_lot_create(&late.scenario, NULL, &late.lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(late.lot, 3, 1, 1, NULL, &late.now), PC_OK);
  alloc_check("what comes first for a deadline", 150, find_order, &late);
  pc_summary_free(&late.now);
  pc_lot_free(late.lot);
  pc_faults_free(&faults);
  late.scenario.crew[0].first = (pc_names){0};
  pc_scenario_free(&late.scenario);
}

static pc_status check_siting(void *context, pc_text *out) {
  const pc_scenario *scenario = context;
  pc_siting_report siting = {0};
  pc_faults faults = {0};
  const pc_notes notes = {.siting = &siting};
  const pc_room_row room = {.layout = pc_name_of("one pile"), .room_m3 = 1, .need_m3 = 2, .zones = 1};
  pc_status status = PC_OK;
  pc_scenario_validate(scenario, &faults);
  status = pc_faults_status(&faults);
  for (size_t i = 0; i < scenario->layout_count && status == PC_OK; i++)
    status = pc_siting_report_add(&siting, scenario, scenario->layouts[i].name.text, 40);
  if (status == PC_OK)
    status = pc_results_check_json_with("siting.yaml", &faults, &room, 1, &notes, out);
  if (status == PC_OK)
    pc_tables_siting_table(&siting, PC_METRIC, out);
  pc_siting_report_free(&siting);
  return alloc_status(status, &faults);
}

static void test_siting(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/siting.yaml", &scenario);
  alloc_check("siting checked", 200, check_siting, &scenario);
  pc_scenario_free(&scenario);
}

/* So many poles in a heap that they are joined in groups and grown each alone. */
static pc_status block_crowd(void *context, pc_text *out) {
  const pc_site *site = context;
  pc_blocked blocked;
  pc_status status = pc_blocked_make(site, NULL, 0, (pc_clearance){1.5, true, false, NULL}, &blocked);
  if (status == PC_OK)
    pc_text_addf(out, "%zu corners, %zu edges\n", blocked.corner_count, blocked.solid.count);
  pc_blocked_free(&blocked);
  return status;
}

static void test_crowd(void **state) {
  (void)state;
  enum { POLES = 1100 };
  pc_point corners[] = {{0, 0}, {60, 0}, {60, 40}, {0, 40}};
  pc_area area = {.outline = {corners, 4}};
  pc_obstacle *poles = pc_alloc(POLES, sizeof *poles);
  assert_non_null(poles);
  for (size_t i = 0; i < POLES; i++)
    poles[i] = (pc_obstacle){.kind = PC_OBSTACLE_POLE,
                             .at = {0.5 + (double)(i % 55), 0.5 + 1.2 * (double)(i / 55)},
                             .radius_m = i % 3 ? 0.1 : 0.7};
  pc_site site = {.areas = &area, .area_count = 1, .obstacles = poles, .obstacle_count = POLES};
  alloc_check("what a crowd of poles blocks", 60, block_crowd, &site);
  free(poles);
}

static pc_status write_others(void *context, pc_text *out) {
  const pc_scenario *scenario = context;
  pc_limits_row rows[2];
  pc_limits_make(scenario, rows);
  pc_status status = pc_schema_write(out);
  if (status == PC_OK)
    status = pc_results_limits_json(scenario, rows, 2, out);
  if (status == PC_OK)
    status = pc_results_limits_csv(rows, 2, out);
  if (status == PC_OK)
    pc_tables_limits(rows, 2, PC_METRIC, out);
  return status;
}

static void test_others(void **state) {
  (void)state;
  pc_scenario scenario;
  alloc_scenario("cli/small.yaml", &scenario);
  alloc_check("limits and schema", 200, write_others, &scenario);
  pc_scenario_free(&scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_read_scenario), cmocka_unit_test(test_move_scenario),
      cmocka_unit_test(test_read_faulty),   cmocka_unit_test(test_name_files),
      cmocka_unit_test(test_map),           cmocka_unit_test(test_run),
      cmocka_unit_test(test_run_night),     cmocka_unit_test(test_run_whole),
      cmocka_unit_test(test_closed),        cmocka_unit_test(test_compare),
      cmocka_unit_test(test_compare_crews), cmocka_unit_test(test_compare_left_out),
      cmocka_unit_test(test_headings),      cmocka_unit_test(test_order),
      cmocka_unit_test(test_siting),        cmocka_unit_test(test_others),
      cmocka_unit_test(test_crowd),
  };
  cmocka_set_test_filter(getenv("FAULTS_ONLY")); /* one of them, for a person who looks for a fault */
  return cmocka_run_group_tests(tests, NULL, NULL);
}
