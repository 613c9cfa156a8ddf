// SPDX-License-Identifier: GPL-3.0-or-later
/* Writers of results, fed with structs filled by hand. Keys: the documented result format. CSV: RFC 4180.
 * JSON: RFC 8259, which has no word for infinity. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <jansson.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "io/csv.h"
#include "io/results.h"
#include "io/tables_private.h"
#include "io/trace_csv.h"
#include "sim/policy.h"

/* One machine and two zones, one of them without limit; numbers are made up and easy to add. */
typedef struct example {
  pc_lot lot;
  pc_lot_machine machine;
  pc_zone zones[2];
  pc_policy policy;
  pc_machine_result machine_result;
  pc_zone_result zone_results[2];
  pc_summary summary;
} example;

static void fill_example(example *e) {
  memset(e, 0, sizeof *e);
  pc_loader loader = pc_loader_default();
  loader.name = pc_name_of("mid loader");
  loader.push_speed_mps = 2;
  loader.carry_speed_mps = 3;
  loader.return_speed_mps = 4;
  pc_box box = pc_box_default();
  box.name = pc_name_of("16 ft, \"big\"");
  box.width_m = 4;
  box.height_m = 1;
  pc_snow snow = pc_snow_default();
  snow.depth_m = 0.1;
  e->machine.name = pc_name_of("mid loader 1");
  e->machine.unit = pc_unit_make(&loader, &box, &snow, 0.95);
  e->zones[0].name = pc_name_of("north");
  e->zones[1].name = pc_name_of("süd, ost");
  e->policy.name = "keep-pushing";
  e->lot = (pc_lot){.scenario = pc_name_of("Lot \"A\", east"),
                    .layout = pc_name_of("two piles"),
                    .snow = snow,
                    .fresh_density_kgpm3 = 100,
                    .policy = &e->policy,
                    .machines = &e->machine,
                    .machine_count = 1,
                    .zones = e->zones,
                    .zone_count = 2,
                    .start_kg = 8000};
  e->lot.money.currency = pc_name_of("EUR");
  for (int i = 0; i < PC_PHASE_COUNT; i++)
    e->machine_result.time_s[i] = 10 * (i + 1);
  e->machine_result.cycles = 7;
  e->machine_result.fill_m = 100;
  e->machine_result.carry_m = 200;
  e->machine_result.return_m = 300;
  e->machine_result.fuel_l = NAN;
  e->zone_results[0] =
      (pc_zone_result){.snow_kg = 3000, .volume_m3 = 7.5, .wait_s = 5, .capacity_m3 = 10, .loads = 3};
  e->zone_results[1] = (pc_zone_result){.capacity_m3 = INFINITY, .loads = 4};
  e->summary = (pc_summary){.total_time_s = {550, 12.5, 0.95, 530, 570, 4},
                            .replications = 4,
                            .cycles = 7.25,
                            .efficiency = 0.5,
                            .fuel_l = NAN,
                            .cost = NAN};
  e->summary.bound.time_s = 275;
  e->summary.mean = (pc_result){.reason = PC_REASON_DONE,
                                .finished = true,
                                .start_kg = 8000,
                                .placed_kg = 7900,
                                .left_kg = 100,
                                .machines = &e->machine_result,
                                .machine_count = 1,
                                .zones = e->zone_results,
                                .zone_count = 2};
}

static json_t *parse(pc_text *text) {
  json_error_t error;
  assert_false(text->failed);
  json_t *root = json_loads(text->data, 0, &error);
  if (!root)
    fail_msg("line %d: %s", error.line, error.text);
  pc_text_free(text);
  return root;
}

static double number_at(const json_t *root, const char *map, const char *key) {
  const json_t *value = json_object_get(map ? json_object_get(root, map) : root, key);
  assert_true(json_is_number(value));
  return json_number_value(value);
}

static void run_json_has_every_key(void **state) {
  (void)state;
  static const char *const keys[] = {"format",     "version",      "scenario",   "layout",   "policy",
                                     "seed",       "replications", "finished",   "reason",   "total_time_s",
                                     "cycles",     "time_s",       "distance_m", "snow_kg",  "bound_s",
                                     "efficiency", "fuel_l",       "cost",       "machines", "zones"};
  example e;
  fill_example(&e);
  pc_text text = {0};
  assert_int_equal(pc_results_run_json(&e.lot, &e.summary, 42, &text), PC_OK);
  json_t *root = parse(&text);
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
    if (!json_object_get(root, keys[i]))
      fail_msg("no key %s", keys[i]);
  assert_string_equal(json_string_value(json_object_get(root, "format")), "pushcycle-run");
  assert_string_equal(json_string_value(json_object_get(root, "scenario")), "Lot \"A\", east");
  assert_string_equal(json_string_value(json_object_get(root, "reason")), "done");
  assert_true(json_is_true(json_object_get(root, "finished")));
  assert_int_equal(json_integer_value(json_object_get(root, "seed")), 42);
  assert_true(number_at(root, "total_time_s", "mean") == 550);
  assert_true(number_at(root, "total_time_s", "half_width") == 12.5);
  assert_true(number_at(root, "total_time_s", "level") == 0.95);
  assert_true(number_at(root, "total_time_s", "min") == 530);
  assert_true(number_at(root, "total_time_s", "max") == 570);
  assert_true(number_at(root, "cycles", "mean") == 7.25);
  assert_true(number_at(root, "distance_m", "carry") == 200);
  assert_true(number_at(root, "snow_kg", "left") == 100);
  json_decref(root);
}

/* Phases and idle add up to the total time: 10 + 20 + … + 100 s. */
static void times_add_up(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_text text = {0};
  assert_int_equal(pc_results_run_json(&e.lot, &e.summary, 1, &text), PC_OK);
  json_t *root = parse(&text);
  json_t *machine = json_array_get(json_object_get(root, "machines"), 0);
  json_t *maps[] = {json_object_get(root, "time_s"), json_object_get(machine, "time_s")};
  for (size_t i = 0; i < 2; i++) {
    const char *key;
    json_t *value;
    double sum = 0;
    assert_int_equal(json_object_size(maps[i]), 9);
    json_object_foreach(maps[i], key, value) sum += json_number_value(value);
    assert_true(sum == 550);
    double both = e.machine_result.time_s[PC_PHASE_LOWER] + e.machine_result.time_s[PC_PHASE_RAISE];
    assert_true(json_number_value(json_object_get(maps[i], "lower_raise")) == both);
  }
  assert_string_equal(json_string_value(json_object_get(machine, "limited_by")), "volume");
  assert_string_equal(json_string_value(json_object_get(machine, "box")), "16 ft, \"big\"");
  json_decref(root);
}

static void what_is_not_finite_is_null(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_text text = {0};
  e.summary.efficiency = NAN;
  assert_int_equal(pc_results_run_json(&e.lot, &e.summary, 1, &text), PC_OK);
  json_t *root = parse(&text);
  json_t *zones = json_object_get(root, "zones");
  assert_true(json_is_null(json_object_get(root, "fuel_l")));
  assert_true(json_is_null(json_object_get(root, "efficiency")));
  assert_true(json_is_null(json_object_get(json_object_get(root, "cost"), "total")));
  assert_string_equal(json_string_value(json_object_get(json_object_get(root, "cost"), "currency")), "EUR");
  assert_true(json_number_value(json_object_get(json_array_get(zones, 0), "capacity_m3")) == 10);
  assert_true(json_is_null(json_object_get(json_array_get(zones, 1), "capacity_m3")));
  assert_string_equal(json_string_value(json_object_get(json_array_get(zones, 1), "name")), "süd, ost");
  json_decref(root);
}

static void unfinished_runs_say_so(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_text text = {0};
  e.summary.unfinished = 1;
  e.summary.mean.reason = PC_REASON_ZONES_FULL;
  e.summary.mean.haul_off_kg = 4500; /* 10 m³ at the default pile density of 450 kg/m³ */
  assert_int_equal(pc_results_run_json(&e.lot, &e.summary, 1, &text), PC_OK);
  json_t *root = parse(&text);
  assert_true(json_is_false(json_object_get(root, "finished")));
  assert_string_equal(json_string_value(json_object_get(root, "reason")), "pile zones full");
  json_decref(root);
  pc_tables_run(&e.lot, &e.summary, PC_METRIC, &text);
  assert_non_null(
      strstr(text.data,
             "Total time 9.2 min ± 0.2 min (95 %), but 1 of 4 nights did not finish (pile zones full): "
             "on average 10 m3 of piled snow to be hauled off.\n"));
  pc_text_free(&text);
  e.summary.unfinished = 4;
  pc_tables_run(&e.lot, &e.summary, PC_METRIC, &text);
  assert_non_null(strstr(text.data,
                         "Stopped after 9.2 min ± 0.2 min (95 %), not finished (pile zones full): 10 m3 of "
                         "piled snow to be hauled off.\n"));
  pc_text_free(&text);
}

/* A name that is not UTF-8 must not cost the whole document. */
static void broken_names_are_kept_readable(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_text text = {0};
  strcpy(e.lot.layout.text, "p\xFFle");
  assert_int_equal(pc_results_run_json(&e.lot, &e.summary, 1, &text), PC_OK);
  json_t *root = parse(&text);
  assert_string_equal(json_string_value(json_object_get(root, "layout")), "p?le");
  json_decref(root);
}

static void csv_quotes_as_rfc_4180(void **state) {
  (void)state;
  static const struct {
    const char *field, *written;
  } cases[] = {{"plain", "plain"},
               {"", ""},
               {"a,b", "\"a,b\""},
               {"say \"no\"", "\"say \"\"no\"\"\""},
               {"two\nlines", "\"two\nlines\""},
               {"two\rlines", "\"two\rlines\""},
               {"16 ft", "16 ft"},
               {"süd", "süd"}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_text text = {0};
    pc_csv_add_text(&text, cases[i].field);
    assert_string_equal(text.data ? text.data : "", cases[i].written);
    pc_text_free(&text);
  }
}

static size_t count_fields(const char *line) {
  size_t fields = 1;
  bool quoted = false;
  for (; *line && (quoted || *line != '\n'); line++) {
    quoted ^= *line == '"';
    fields += *line == ',' && !quoted;
  }
  return fields;
}

static void run_csv_is_flat(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_text text = {0};
  assert_int_equal(pc_results_run_csv(&e.lot, &e.summary, 42, &text), PC_OK);
  const char *row = strchr(text.data, '\n') + 1;
  assert_int_equal(count_fields(text.data), count_fields(row));
  const char *head = "\"Lot \"\"A\"\", east\",two piles,keep-pushing,0.1,42,4,true,done,550,12.5,0.95,";
  assert_int_equal(strncmp(row, head, strlen(head)), 0);
  /* bound, efficiency, then nothing for fuel and cost; unfinished, late areas, stops, waiting for passages;
   * nobody counted ways across areas that are bound to others */
  const char *tail = ",275,0.5,,,0,0,0,0,0,0,\n";
  assert_string_equal(row + strlen(row) - strlen(tail), tail);
  pc_text_free(&text);
  text = (pc_text){0};
  pc_crossing items[] = {{.cycles = 4}, {.cycles = 3}};
  const pc_crossed crossed = {items, 2};
  const pc_notes notes = {.crossed = &crossed};
  assert_int_equal(pc_results_run_csv_with(&e.lot, &e.summary, 42, &notes, &text), PC_OK);
  row = strchr(text.data, '\n') + 1;
  assert_int_equal(count_fields(text.data), count_fields(row));
  assert_string_equal(row + strlen(row) - 5, ",0,7\n");
  pc_text_free(&text);
}

/* An empty name in front must not swallow the comma behind it. */
static void empty_fields_keep_their_place(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_text text = {0};
  e.lot.scenario = pc_name_of("");
  assert_int_equal(pc_results_run_csv(&e.lot, &e.summary, 42, &text), PC_OK);
  const char *row = strchr(text.data, '\n') + 1;
  assert_int_equal(count_fields(text.data), count_fields(row));
  assert_int_equal(strncmp(row, ",two piles,", 11), 0);
  pc_text_free(&text);
}

static pc_compare_row make_row(example *e, int rank, double difference_s, bool tied) {
  return (pc_compare_row){.rank = rank,
                          .layout = pc_name_of("two piles"),
                          .policy = pc_name_of("keep-pushing"),
                          .depth_m = 0.1,
                          .summary = e->summary,
                          .difference_to_best_s = {difference_s, 3, 0.95, 0, 0, 4},
                          .tied_with_best = tied,
                          .machine_count = 1,
                          .machines = &e->machine};
}

static void compare_json_and_csv(void **state) {
  (void)state;
  static const char *const keys[] = {"rank",           "layout",  "box",          "loader",
                                     "policy",         "depth_m", "total_time_s", "difference_to_best_s",
                                     "tied_with_best", "cycles",  "time_s",       "efficiency",
                                     "finished",       "cost",    "limited_by"};
  example e;
  fill_example(&e);
  pc_compare_row rows[] = {make_row(&e, 1, 0, true), make_row(&e, 2, 2, true), make_row(&e, 3, 60, false)};
  rows[2].layout = pc_name_of("one pile");
  const pc_comparison comparison = {.rows = rows, .row_count = 3};
  pc_scenario scenario = pc_scenario_default();
  pc_text text = {0};
  assert_int_equal(pc_results_compare_json(&scenario, &comparison, &text), PC_OK);
  json_t *root = parse(&text);
  json_t *row = json_array_get(json_object_get(root, "rows"), 2);
  assert_string_equal(json_string_value(json_object_get(root, "format")), "pushcycle-compare");
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
    if (!json_object_get(row, keys[i]))
      fail_msg("no key %s", keys[i]);
  assert_true(number_at(row, "difference_to_best_s", "mean") == 60);
  assert_true(json_is_false(json_object_get(row, "tied_with_best")));
  assert_string_equal(json_string_value(json_object_get(row, "box")), "16 ft, \"big\""); /* the crew's own */
  json_decref(root);
  assert_int_equal(pc_results_compare_csv(&comparison, &text), PC_OK);
  const char *line = text.data;
  for (int i = 0; i < 3; i++) {
    line = strchr(line, '\n') + 1;
    assert_int_equal(count_fields(line), count_fields(text.data));
  }
  pc_text_free(&text);
  pc_tables_compare(&scenario, &comparison, PC_METRIC, &text);
  const char *answer = "Quickest: layout \"two piles\" with 16 ft, \"big\", 9.2 min ± 0.2 min (95 %). ";
  assert_int_equal(strncmp(text.data, answer, strlen(answer)), 0);
  assert_non_null(strstr(text.data, "takes 1.0 min ± 0.1 min longer"));
  assert_non_null(strstr(text.data, "Tied with it"));
  pc_text_free(&text);
}

/* "2.3 min ± 2.3 min longer" begs the question whether it is longer at all. */
static void a_doubtful_difference_says_so(void **state) {
  (void)state;
  const pc_time_unit minutes = {"min", 1};
  const struct {
    double mean_s, half_s;
    const char *said;
  } cases[] = {{138, 140, "not clear that it takes longer at all"},
               {138, 137, "barely more than chance could make"},
               {138, 60, NULL},
               {0, 10, "not clear"},
               {138, 0, NULL}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const pc_statistic longer = {cases[i].mean_s, cases[i].half_s, 0.95, 0, 0, 5};
    const char *said = pc_tables_doubt(&longer, minutes);
    if (cases[i].said ? !strstr(said, cases[i].said) : *said != '\0')
      fail_msg("%g ± %g s: %s", cases[i].mean_s, cases[i].half_s, said);
  }
}

/* Deadlines missed in some nights are told as such, all nights without a count. */
static void late_in_some_nights(void **state) {
  (void)state;
  size_t late[] = {4, 0}, clear[] = {30, 30};
  pc_area_result areas[2] = {0};
  pc_summary summary = {.replications = 30, .area_late = late, .area_clear = clear};
  summary.mean.areas = areas;
  summary.mean.area_count = 2;
  assert_string_equal(pc_late_nights(&summary).text, " in 4 of 30 nights");
  late[1] = 7;
  assert_string_equal(pc_late_nights(&summary).text, " in up to 7 of 30 nights");
  late[0] = late[1] = 30;
  assert_string_equal(pc_late_nights(&summary).text, "");
  late[0] = late[1] = 0;
  assert_string_equal(pc_late_nights(&summary).text, "");
}

/* Nothing may depend on the locale: a decimal comma would break CSV. Run with the C locale and, where the
 * machine has one, with a comma locale. */
static void numbers_keep_their_point(void **state) {
  (void)state;
  static const char *const locales[] = {"C", "de_DE.UTF-8", "fr_FR.UTF-8"};
  for (size_t i = 0; i < sizeof locales / sizeof locales[0]; i++) {
    if (!setlocale(LC_ALL, locales[i]))
      continue;
    char text[PC_CSV_NUMBER_MAX];
    pc_csv_print_number(text, 1234.5);
    assert_string_equal(text, "1234.5");
    pc_csv_print_number(text, -2.5e-20);
    assert_string_equal(text, "-2.5e-20");
    pc_csv_print_number(text, NAN);
    assert_string_equal(text, "");
    pc_csv_print_number(text, -INFINITY);
    assert_string_equal(text, "");
  }
  setlocale(LC_ALL, "C");
}

static void trace_rows(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  FILE *file = tmpfile();
  assert_non_null(file);
  pc_trace_csv csv;
  pc_trace_csv_start(&csv, file, &e.lot);
  pc_trace_row row = {.replication = 3,
                      .cycle = 2,
                      .phase = PC_PHASE_CLEAN_UP,
                      .start_s = 1.5,
                      .end_s = 2,
                      .from = {0.25, -1},
                      .to = {4, 5},
                      .distance_m = 10,
                      .load_kg = 800,
                      .swath_m = 3.7,
                      .zone = 1};
  pc_trace_csv_row(&csv, &row);
  row.zone = -1;
  row.reverse = true;
  pc_trace_csv_row(&csv, &row);
  row.distance_m = 0; /* stands */
  pc_trace_csv_row(&csv, &row);
  assert_int_equal(pc_trace_csv_finish(&csv), PC_OK);
  char text[1024] = "";
  rewind(file);
  size_t length = fread(text, 1, sizeof text - 1, file);
  text[length] = '\0';
  assert_string_equal(
      text,
      "replication,machine,cycle,phase,start_s,end_s,x0_m,y0_m,x1_m,y1_m,distance_m,load_kg,swath_m,box,"
      "zone,direction\n"
      "3,mid loader 1,2,clean_up,1.5,2,0.25,-1,4,5,10,800,3.7,\"16 ft, \"\"big\"\"\",\"süd, ost\",forward\n"
      "3,mid loader 1,2,clean_up,1.5,2,0.25,-1,4,5,10,800,3.7,\"16 ft, \"\"big\"\"\",,reverse\n"
      "3,mid loader 1,2,clean_up,1.5,2,0.25,-1,4,5,0,800,3.7,\"16 ft, \"\"big\"\"\",,\n");
  fclose(file);
}

static void trace_reports_a_full_disk(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  FILE *file = fopen("/dev/full", "w");
  assert_non_null(file);
  pc_trace_csv csv;
  pc_trace_csv_start(&csv, file, &e.lot);
  assert_int_equal(pc_trace_csv_finish(&csv), PC_ERR_FILE);
  assert_true(csv.system_error != 0);
  fclose(file);
}

/* Cells line up by characters, not bytes; no spaces at the end of a line. */
static void tables_line_up(void **state) {
  (void)state;
  pc_table table;
  pc_text text = {0};
  pc_table_start(&table, "lrl");
  pc_table_heading(&table, "name|t|");
  pc_table_cell(&table, "süd");
  pc_table_cell(&table, "%d", 1000);
  pc_table_cell(&table, "%s", "x");
  pc_table_cell(&table, "northern");
  pc_table_cell(&table, "%d", 7);
  pc_table_cell(&table, "%s", "");
  pc_table_write(&table, &text);
  assert_string_equal(text.data,
                      "  name         t\n"
                      "  süd       1000  x\n"
                      "  northern     7\n");
  pc_table_free(&table);
  pc_text_free(&text);
}

static void check_json_tells_faults_from_cautions(void **state) {
  (void)state;
  pc_faults faults = {0};
  pc_faults_add(&faults, PC_ERR_UNIT, "boxes[1].width", "16", "needs a unit");
  faults.items[0].line = 14;
  pc_faults_caution(&faults, "site", "has a notch");
  pc_text text = {0};
  assert_int_equal(pc_results_check_json("lot.yaml", &faults, &text), PC_OK);
  json_t *root = parse(&text);
  json_t *fault = json_array_get(json_object_get(root, "faults"), 0);
  assert_int_equal(json_array_size(json_object_get(root, "faults")), 1);
  assert_int_equal(json_array_size(json_object_get(root, "cautions")), 1);
  assert_int_equal(json_integer_value(json_object_get(fault, "line")), 14);
  assert_string_equal(json_string_value(json_object_get(fault, "key")), "boxes[1].width");
  assert_string_equal(json_string_value(json_object_get(fault, "kind")), "unit");
  json_decref(root);
  pc_faults_free(&faults);
}

/* Blade rating 0.8·W·H² (SAE J1265): 4 m × 1 m gives 3.2 m³. */
static void limits_json_and_csv(void **state) {
  (void)state;
  example e;
  fill_example(&e);
  pc_limits_row row = {.loader = pc_name_of("mid loader"),
                       .box = pc_name_of("a,b"),
                       .unit = e.machine.unit,
                       .fill_length_m = INFINITY,
                       .clearing_kgps = 10};
  pc_scenario scenario = pc_scenario_default();
  pc_text text = {0};
  assert_int_equal(pc_results_limits_json(&scenario, &row, 1, &text), PC_OK);
  json_t *root = parse(&text);
  json_t *first = json_array_get(json_object_get(root, "rows"), 0);
  assert_true(fabs(number_at(first, NULL, "volume_m3") - 3.2) < 1e-12);
  assert_true(json_is_null(json_object_get(first, "fill_length_m")));
  assert_int_equal(json_array_size(json_object_get(first, "push_speed_mps")), PC_LIMIT_POINTS);
  json_decref(root);
  assert_int_equal(pc_results_limits_csv(&row, 1, &text), PC_OK);
  const char *line = strchr(text.data, '\n') + 1;
  assert_int_equal(count_fields(line), count_fields(text.data));
  assert_int_equal(strncmp(line, "mid loader,\"a,b\",4,", 19), 0);
  pc_text_free(&text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(run_json_has_every_key),
      cmocka_unit_test(times_add_up),
      cmocka_unit_test(what_is_not_finite_is_null),
      cmocka_unit_test(unfinished_runs_say_so),
      cmocka_unit_test(broken_names_are_kept_readable),
      cmocka_unit_test(csv_quotes_as_rfc_4180),
      cmocka_unit_test(run_csv_is_flat),
      cmocka_unit_test(empty_fields_keep_their_place),
      cmocka_unit_test(compare_json_and_csv),
      cmocka_unit_test(a_doubtful_difference_says_so),
      cmocka_unit_test(late_in_some_nights),
      cmocka_unit_test(numbers_keep_their_point),
      cmocka_unit_test(trace_rows),
      cmocka_unit_test(trace_reports_a_full_disk),
      cmocka_unit_test(tables_line_up),
      cmocka_unit_test(check_json_tells_faults_from_cautions),
      cmocka_unit_test(limits_json_and_csv),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
