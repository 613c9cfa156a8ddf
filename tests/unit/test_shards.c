// SPDX-License-Identifier: GPL-3.0-or-later
/* Parts of sharded work, joined, must be the very bytes of the whole: what the library prints of work done in
 * one piece is the reference for every check here. */
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

#include "base/random.h"
#include "io/results.h"
#include "io/shards.h"
#include "io/shards_private.h"
#include "io/starter.h"
#include "io/tables.h"
#include "read_good.h"
#include "study/first_night.h"

enum { PARTS = 7 };

static const char small[] =
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3}\n"
    "site:\n"
    "  origin: [8.1, 53.6]\n"
    "  areas: [{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}]\n"
    "boxes: [{name: narrow, width: 3 m, height: 1 m}, {name: wide, width: 13 ft, "
    "height: 1 m}]\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 "
    "km/h}, fuel: {per_kwh: 0.25, idle: 4}}]\n"
    "zones: [{name: east, outline: [[40, 0], [46, 0], [46, 20], [40, 20]]},\n"
    "  {name: gate, at: [0, 10], volume: 500 m3}]\n"
    "layouts: [{name: one, zones: [east]}, {name: two, zones: [east, gate]}]\n"
    "crew: [{loader: loader, box: wide, count: 2, start: [1, 1]}]\n"
    "money: {machine: 95 /h, operator: 38 /h, fuel: 1.60 /l}\n"
    "chance: {replications: 5, seed: 3, fill: 10 %, carry: 10 %, dump: 30 %}\n"
    "compare: {layouts: all, boxes: all, crews: [1, 2], depths: [5 cm, 10 cm]}\n";
static const char storm[] = "storm: [{after: 0 h, rate: 1 cm/h}, {after: 3 h, rate: 0 cm/h}]\n";

/* Files that the test makes, and removes. */
typedef struct files {
  char names[PARTS + 1][64];
  const char *paths[PARTS + 1];
} files;

static void write_file(files *f, size_t i, const char *text, size_t length) {
  snprintf(f->names[i], sizeof f->names[i], "/tmp/pushcycle-part-XXXXXX");
  int descriptor = mkstemp(f->names[i]);
  assert_true(descriptor >= 0);
  assert_true(write(descriptor, text, length) == (ssize_t)length);
  close(descriptor);
  f->paths[i] = f->names[i];
}

static void remove_files(const files *f, size_t count) {
  for (size_t i = 0; i < count; i++)
    unlink(f->names[i]);
}

/* All three ways of printing, one after the other. */
static char *print_comparison(const pc_scenario *s, const pc_comparison *c) {
  pc_text text = {0};
  assert_int_equal(pc_results_compare_json(s, c, &text), PC_OK);
  assert_int_equal(pc_results_compare_csv(c, &text), PC_OK);
  pc_tables_compare(s, c, PC_METRIC, &text);
  assert_false(text.failed);
  return text.data;
}

static char *print_run(const pc_lot *lot, const pc_summary *summary, const pc_depths_series *depths,
                       const pc_crossed *crossed) {
  pc_text text = {0};
  const pc_notes notes = {.depths = lot->storm_end_s > 0 ? depths : NULL, .crossed = crossed};
  assert_int_equal(pc_results_run_json_with(lot, summary, 3, &notes, &text), PC_OK);
  assert_int_equal(pc_results_run_csv_with(lot, summary, 3, &notes, &text), PC_OK);
  pc_tables_run_with(lot, summary, &notes, PC_METRIC, &text);
  assert_false(text.failed);
  return text.data;
}

static char *whole_comparison(const pc_scenario *s) {
  pc_comparison c;
  pc_faults faults = {0};
  const pc_compare_how how = {
      .replications = (size_t)s->chance.replications, .seed = (uint64_t)s->chance.seed, .threads = 1};
  assert_int_equal(pc_compare(s, &how, &c, &faults), PC_OK);
  char *text = print_comparison(s, &c);
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  return text;
}

static char *whole_run(const pc_scenario *s, const pc_choice *choice) {
  pc_lot *lot;
  pc_summary summary;
  pc_first_night first;
  pc_crossed crossed;
  pc_trace trace;
  pc_faults faults = {0};
  assert_int_equal(pc_lot_create(s, choice, &lot, &faults), PC_OK);
  pc_first_night_start(&first, lot, s);
  bool traced = pc_first_night_trace(&first, &trace);
  assert_int_equal(pc_replicate(lot, (size_t)s->chance.replications, (uint64_t)s->chance.seed, 1,
                                traced ? &trace : NULL, &summary),
                   PC_OK);
  assert_int_equal(pc_crossings_list(&first.crossings, &crossed), PC_OK);
  assert_int_equal(crossed.count > 0, pc_crossings_may_be(s));
  char *text = print_run(lot, &summary, &first.depths, &crossed);
  pc_crossed_free(&crossed);
  pc_first_night_free(&first);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  return text;
}

static void make_part(const pc_scenario *s, const pc_choice *choice, size_t i, size_t n, pc_text *out) {
  const pc_heading_report none = {0};
  pc_faults faults = {0};
  const pc_shard shard = {i, n};
  pc_status status = choice ? pc_shard_run(s, choice, &none, shard, 2, out, &faults)
                            : pc_shard_compare(s, &none, shard, 2, out, &faults);
  assert_int_equal(status, PC_OK);
  pc_faults_free(&faults);
}

/* ---- watched ---- */

typedef struct watched {
  size_t stop_after, done, all, calls;
} watched;

static void note_progress(void *context, size_t done, size_t all) {
  watched *w = context;
  assert_true(done == w->done + 1 && done <= all);
  w->done = done;
  w->all = all;
  w->calls++;
}

static bool stop_then(void *context) {
  const watched *w = context;
  return w->done >= w->stop_after;
}

/* A shard that is stopped after some of its replications leaves what stood in the text before, and says how
 * many are left; one that is not is the same part as unwatched. One thread, so that none are done beside. */
static void check_watched(const pc_scenario *s, const pc_choice *choice, size_t i, size_t n, size_t steps) {
  const pc_heading_report none = {0};
  const pc_shard shard = {i, n};
  pc_text whole = {0};
  make_part(s, choice, i, n, &whole);
  for (size_t k = 0; k <= steps + 1; k++) {
    watched w = {.stop_after = k};
    const pc_watch watch = {note_progress, stop_then, &w};
    pc_text text = {0};
    pc_faults faults = {0};
    size_t left = 99;
    pc_text_add(&text, "before");
    pc_status status = choice
                           ? pc_shard_run_watched(s, choice, &none, shard, 1, &watch, &left, &text, &faults)
                           : pc_shard_compare_watched(s, &none, shard, 1, &watch, &left, &text, &faults);
    assert_int_equal(status, PC_OK);
    assert_int_equal(pc_faults_fatal(&faults), 0);
    assert_int_equal(left, k < steps ? steps - k : 0);
    assert_int_equal(w.done, k < steps ? k : steps);
    if (k > 0)
      assert_int_equal(w.all, steps);
    assert_memory_equal(text.data, "before", 6);
    assert_string_equal(text.data + 6, left > 0 ? "" : whole.data);
    assert_int_equal(text.length, 6 + (left > 0 ? 0 : whole.length));
    pc_faults_free(&faults);
    pc_text_free(&text);
  }
  pc_text_free(&whole);
}

static char *joined(const files *f, size_t n) {
  pc_shards *shards;
  pc_faults faults = {0};
  assert_int_equal(pc_shards_read(f->paths, n, &shards, &faults), PC_OK);
  char *text;
  if (pc_shards_is_run(shards)) {
    pc_lot *lot;
    pc_summary summary;
    pc_depths_series depths;
    pc_crossed crossed;
    assert_int_equal(pc_shards_run(shards, &lot, &summary, &depths, &crossed, &faults), PC_OK);
    text = print_run(lot, &summary, &depths, &crossed);
    pc_crossed_free(&crossed);
    pc_depths_free(&depths);
    pc_summary_free(&summary);
    pc_lot_free(lot);
  } else {
    pc_comparison c;
    assert_int_equal(pc_shards_compare(shards, &c, &faults), PC_OK);
    text = print_comparison(pc_shards_scenario(shards), &c);
    pc_comparison_free(&c);
  }
  pc_shards_free(shards);
  pc_faults_free(&faults);
  return text;
}

/* 1, 2, 3 and 7 shards, each in the given order, backwards, and from the middle on. */
static void check_all(const pc_scenario *s, const pc_choice *choice) {
  static const size_t counts[] = {1, 2, 3, PARTS};
  char *whole = choice ? whole_run(s, choice) : whole_comparison(s);
  for (size_t c = 0; c < sizeof counts / sizeof counts[0]; c++) {
    size_t n = counts[c];
    files f;
    for (size_t i = 0; i < n; i++) {
      pc_text part = {0};
      make_part(s, choice, i + 1, n, &part);
      write_file(&f, i, part.data, part.length);
      pc_text_free(&part);
    }
    for (int order = 0; order < 3; order++) {
      for (size_t i = 0; i < n; i++)
        f.paths[i] = f.names[order == 0 ? i : order == 1 ? n - 1 - i : (i + n / 2) % n];
      char *text = joined(&f, n);
      assert_string_equal(text, whole);
      free(text);
    }
    remove_files(&f, n);
  }
  free(whole);
}

static void test_compare(void **state) {
  (void)state;
  pc_scenario s = read_good(small, NULL, 0, 0);
  check_all(&s, NULL);
  pc_scenario_free(&s);
}

static void test_compare_storm(void **state) {
  (void)state;
  pc_text text = {0};
  pc_text_add(&text, small);
  pc_text_add(&text, storm);
  const pc_override fewer[] = {{"compare", "{layouts: [two], boxes: all}", NULL}};
  pc_scenario s = read_good(text.data, fewer, 1, 0);
  check_all(&s, NULL);
  const pc_choice choice = {.box = "narrow", .depth_m = NAN};
  check_all(&s, &choice);
  pc_scenario_free(&s);
  pc_text_free(&text);
}

/* A deck that the middle of the yard is and that another loader works: ways lead across it. */
static void test_crossings(void **state) {
  (void)state;
  static const pc_override deck[] = {
      {"site.areas",
       "[{name: yard, outline: [[0, 0], [20, 0], [20, 20], [0, 20]]}, {name: deck, outline: [[20, "
       "0], [40, 0], [40, 20], [20, 20]], loaders: [tractor]}]",
       NULL},
      {"loaders",
       "[{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}, {name: tractor, "
       "speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]",
       NULL},
      {"crew",
       "[{loader: loader, box: wide, start: [1, 1]}, {loader: tractor, box: wide, start: [1, 1], areas: "
       "[deck], keep: true}]",
       NULL},
      {"compare", "{layouts: all, boxes: all}", NULL}};
  pc_scenario s = read_good(small, deck, 4, 0);
  check_all(&s, NULL);
  const pc_choice choice = {.box = "narrow", .depth_m = NAN};
  check_all(&s, &choice);
  pc_scenario_free(&s);
}

/* Four replications of each combination; the second of three shards begins in the middle of one. */
static void test_watched(void **state) {
  (void)state;
  static const pc_override four[] = {{"chance.replications", "4", NULL}};
  pc_scenario s = read_good(small, four, 1, 0);
  pc_faults faults = {0};
  size_t rows;
  assert_int_equal(pc_compare_count(&s, &s.compare, &rows, &faults), PC_OK);
  assert_true(rows >= 4);
  check_watched(&s, NULL, 1, 1, 4 * rows);
  check_watched(&s, NULL, 2, 3, 4 * rows * 2 / 3 - 4 * rows / 3);
  const pc_choice choice = {.layout = "two", .depth_m = NAN};
  check_watched(&s, &choice, 1, 1, 4);
  check_watched(&s, &choice, 1, 2, 2);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static void test_run(void **state) {
  (void)state;
  pc_scenario s = read_good(small, NULL, 0, 0);
  const pc_choice choice = {.layout = "two", .policy = "straight-runs", .depth_m = 0.07};
  check_all(&s, &choice);
  pc_scenario_free(&s);
}

/* A scenario is written, read and written again: the same text. The demonstration lot has nearly every key.
 */
static void same_again(const pc_scenario *s) {
  json_t *first = pc_shard_put_part(&pc_format_scenario, s);
  pc_scenario back = pc_scenario_default();
  pc_faults faults = {0};
  assert_non_null(first);
  bool no_memory = false;
  assert_true(pc_shard_take_part(&pc_format_scenario, first, &back, &no_memory));
  assert_false(no_memory);
  json_t *second = pc_shard_put_part(&pc_format_scenario, &back);
  assert_true(json_equal(first, second));
  pc_scenario_validate(&back, &faults);
  assert_int_equal(pc_faults_fatal(&faults), 0);
  /* the plain structs without pointers agree to the last bit */
  assert_memory_equal(back.boxes, s->boxes, s->box_count * sizeof *s->boxes);
  assert_int_equal(back.loader_count, s->loader_count);
  assert_int_equal(back.clock.given, s->clock.given);
  assert_int_equal(back.clock.twelve, s->clock.twelve);
  assert_int_equal(back.clock.minutes, s->clock.minutes);
  for (size_t i = 0; i < s->loader_count; i++) {
    const pc_names *boxes = &s->loaders[i].boxes;
    assert_int_equal(back.loaders[i].boxes.count, boxes->count);
    for (size_t k = 0; k < boxes->count; k++)
      assert_string_equal(back.loaders[i].boxes.items[k].text, boxes->items[k].text);
    assert_memory_equal(&back.loaders[i].push_speed_mps, &s->loaders[i].push_speed_mps, sizeof(double));
  }
  pc_faults_free(&faults);
  pc_scenario_free(&back);
  json_decref(first);
  json_decref(second);
}

static void test_scenario(void **state) {
  (void)state;
  pc_scenario demo = pc_scenario_default(), s = read_good(small, NULL, 0, 0);
  pc_faults faults = {0};
  const char *text = pc_demo_scenario();
  assert_int_equal(pc_scenario_read_text("demo", text, strlen(text), NULL, 0, &demo, &faults), PC_OK);
  const pc_override bound = {"loaders[0].boxes", "[wide, narrow]", "--set"};
  pc_scenario bounded = read_good(small, &bound, 1, 0);
  assert_int_equal(bounded.loaders[0].boxes.count, 2);
  same_again(&demo);
  same_again(&s);
  same_again(&bounded);
  assert_true(demo.clock.given && !s.clock.given);
  for (int minutes = 0; minutes < 1440; minutes += 13) {
    s.clock = (pc_clock){.given = true, .twelve = minutes % 2 == 1, .minutes = minutes};
    same_again(&s);
  }
  pc_scenario_free(&bounded);
  pc_scenario_free(&demo);
  pc_scenario_free(&s);
  pc_faults_free(&faults);
}

/* Fills the numbers of a struct without a gap, so that one that is forgotten shows. */
static void fill(void *object, size_t size, pc_stream *luck) {
  for (size_t at = 0; at + sizeof(double) <= size; at += sizeof(double)) {
    double value = (double)(pc_stream_next(luck) >> 11) * 0x1p-40;
    memcpy((char *)object + at, &value, sizeof value);
  }
}

/* Every number of a replication is written and read back to the last bit, with NaN and infinity. */
static void test_result(void **state) {
  (void)state;
  pc_result made, back;
  pc_stream luck;
  pc_stream_start(&luck, 1, 2, 3, 4);
  assert_int_equal(pc_result_init(&made, 3, 2), PC_OK);
  assert_int_equal(pc_result_init(&back, 3, 2), PC_OK);
  for (size_t m = 0; m < 3; m++) {
    fill(made.machines[m].time_s, sizeof made.machines[m].time_s, &luck);
    fill(&made.machines[m].fill_m, 5 * sizeof(double), &luck);
    fill(&made.machines[m].break_s, 3 * sizeof(double), &luck);
    made.machines[m].cycles = (int)m + 4;
  }
  made.machines[1].fuel_l = NAN;
  for (size_t z = 0; z < 2; z++) {
    fill(&made.zones[z], 4 * sizeof(double), &luck);
    made.zones[z].loads = 9;
  }
  made.zones[0].capacity_m3 = INFINITY;
  fill(&made.total_time_s, 8 * sizeof(double), &luck);
  made.reason = PC_REASON_ZONES_FULL;
  made.cycles = 77;
  made.events = UINT64_C(1) << 53 | 1;
  json_t *json = pc_shard_put_result(&made);
  char *text = json_dumps(json, JSON_COMPACT);
  json_t *again = json_loads(text, 0, NULL);
  assert_true(pc_shard_take_result(again, &back));
  assert_true(isnan(back.machines[1].fuel_l) && isinf(back.zones[0].capacity_m3));
  back.machines[1].fuel_l = made.machines[1].fuel_l; /* one NaN is as good as another */
  assert_memory_equal(back.machines, made.machines, 3 * sizeof *made.machines);
  assert_memory_equal(back.zones, made.zones, 2 * sizeof *made.zones);
  assert_memory_equal(&back.total_time_s, &made.total_time_s,
                      offsetof(pc_result, machines) - offsetof(pc_result, total_time_s));
  assert_true(back.reason == made.reason && back.finished == made.finished);
  json_object_del(again, "left_kg");
  assert_false(pc_shard_take_result(again, &back));
  free(text);
  json_decref(json);
  json_decref(again);
  pc_result_free(&made);
  pc_result_free(&back);
}

/* ---- parts that cannot be joined ---- */

static void refuses(const files *f, size_t n, pc_status expected, const char *words) {
  pc_shards *shards;
  pc_faults faults = {0};
  pc_status status = pc_shards_read(f->paths, n, &shards, &faults);
  if (status != expected || !strstr(faults.items[0].message, words))
    fail_msg("%s: %s", pc_status_name(status), faults.count > 0 ? faults.items[0].message : "no fault");
  assert_null(shards);
  pc_faults_free(&faults);
}

/* The part with `from` changed to `to`; with its check sum made right again it can only be told by what it
 * says. */
static void write_changed(files *f, size_t i, const pc_text *part, const char *from, const char *to) {
  const char *at = strstr(part->data, from);
  pc_text changed = {0};
  assert_non_null(at);
  pc_text_addf(&changed, "%.*s%s%s", (int)(at - part->data), part->data, to, at + strlen(from));
  write_file(f, i, changed.data, changed.length);
  pc_text_free(&changed);
}

static void test_refused(void **state) {
  (void)state;
  pc_scenario s = read_good(small, NULL, 0, 0);
  pc_text parts[3] = {{0}}, other = {0}, of_two = {0}, run = {0};
  const pc_choice choice = {.depth_m = NAN};
  files f;
  for (size_t i = 0; i < 3; i++) {
    make_part(&s, NULL, i + 1, 3, &parts[i]);
    write_file(&f, i, parts[i].data, parts[i].length);
  }
  make_part(&s, NULL, 2, 2, &of_two);
  make_part(&s, &choice, 2, 3, &run);
  s.snow.pushed_density_kgpm3 = nextafter(s.snow.pushed_density_kgpm3, 1000);
  make_part(&s, NULL, 2, 3, &other);

  refuses(&f, 2, PC_ERR_MISSING, "shard 3 of 3 is missing");
  refuses(&f, 1, PC_ERR_MISSING, "shards 2, 3 of 3 are missing");
  f.paths[3] = f.names[1];
  refuses(&f, 4, PC_ERR_NAME, "is shard 2 of 3, and so is");

  const struct {
    const pc_text *part;
    const char *from, *to;
    pc_status status;
    const char *words;
  } wrong[] = {
      {&of_two, "", "", PC_ERR_RANGE, "is one of 2 shards"},
      {&run, "", "", PC_ERR_RANGE, "its command differs"},
      {&other, "", "", PC_ERR_RANGE, "its scenario, key snow differs"},
      {&parts[1], "\"reason\":0", "\"reason\":1", PC_ERR_SYNTAX, "check sum"},
      {&parts[1], "\"program\":\"", "\"program\":\"9", PC_ERR_RANGE, "was written by version 9"},
      {&parts[1], "pushcycle-part", "pushcycle-run", PC_ERR_SYNTAX, "is no part"},
      {&parts[1], "\"version\":1", "\"version\":2", PC_ERR_RANGE, "was written by version"},
      {&parts[1], "\"shard\":2", "\"shard\":4", PC_ERR_SYNTAX, "says of its work what no shard says"},
  };
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
    unlink(f.names[1]);
    write_changed(&f, 1, wrong[i].part, wrong[i].from, wrong[i].to);
    refuses(&f, 3, wrong[i].status, wrong[i].words);
  }
  /* cut off after every eighth of its length, and just before its last line's end */
  for (size_t i = 0; i <= 8; i++) {
    unlink(f.names[1]);
    write_file(&f, 1, parts[1].data, i < 8 ? parts[1].length * i / 8 : parts[1].length - 1);
    refuses(&f, 3, PC_ERR_SYNTAX, i == 0 ? "is empty" : i == 1 ? "" : "ends too early");
  }
  remove_files(&f, 3);
  refuses(&f, 1, PC_ERR_FILE, "");
  for (size_t i = 0; i < 3; i++)
    pc_text_free(&parts[i]);
  pc_text_free(&other);
  pc_text_free(&of_two);
  pc_text_free(&run);
  pc_scenario_free(&s);
}

/* As 4294967296 it was read as 0: as the crew has them. */
static void test_machines_that_cannot_be(void **state) {
  (void)state;
  pc_scenario s = read_good(small, NULL, 0, 0);
  const pc_choice choice = pc_choice_default();
  const char *const machines[] = {"\"machines\":-1", "\"machines\":65", "\"machines\":4294967296"};
  pc_text whole = {0};
  files f;
  make_part(&s, &choice, 1, 1, &whole);
  for (size_t i = 0; i < 3; i++) {
    write_changed(&f, 0, &whole, "\"machines\":0", machines[i]);
    refuses(&f, 1, PC_ERR_SYNTAX, "says of its work what no shard says");
    unlink(f.names[0]);
  }
  pc_text_free(&whole);
  pc_scenario_free(&s);
}

/* A part is read with its scenario, so that none is written of one with faults, and the fault is told. */
static void test_faulty_scenario(void **state) {
  (void)state;
  pc_scenario s = read_good(small, NULL, 0, 0);
  const pc_choice choice = pc_choice_default();
  const pc_heading_report none = {0};
  s.name = pc_name_of("l\xF6t");
  for (int compares = 0; compares < 2; compares++) {
    pc_text out = {0};
    pc_faults faults = {0};
    pc_status status = compares ? pc_shard_compare(&s, &none, (pc_shard){1, 2}, 1, &out, &faults)
                                : pc_shard_run(&s, &choice, &none, (pc_shard){1, 2}, 1, &out, &faults);
    assert_int_equal(status, PC_ERR_SYNTAX);
    assert_int_equal(faults.count, 1);
    assert_string_equal(faults.items[0].key, "name");
    assert_non_null(strstr(faults.items[0].message, "UTF-8"));
    assert_null(out.data);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&s);
}

static void test_parse(void **state) {
  (void)state;
  pc_shard shard;
  assert_true(pc_shard_parse("1/1", &shard) && shard.index == 1 && shard.count == 1);
  assert_true(pc_shard_parse("7/10000", &shard) && shard.index == 7 && shard.count == 10000);
  static const char *const bad[] = {"",
                                    "/",
                                    "1",
                                    "1/",
                                    "/2",
                                    "0/2",
                                    "3/2",
                                    "1/10001",
                                    "1/2/3",
                                    "a/b",
                                    "-1/2",
                                    "1 /2",
                                    "99999999999999999999/99999999999999999999"};
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
    assert_false(pc_shard_parse(bad[i], &shard));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_compare),
      cmocka_unit_test(test_compare_storm),
      cmocka_unit_test(test_crossings),
      cmocka_unit_test(test_run),
      cmocka_unit_test(test_watched),
      cmocka_unit_test(test_scenario),
      cmocka_unit_test(test_result),
      cmocka_unit_test(test_refused),
      cmocka_unit_test(test_parse),
      cmocka_unit_test(test_faulty_scenario),
      cmocka_unit_test(test_machines_that_cannot_be),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
