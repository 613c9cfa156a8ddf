// SPDX-License-Identifier: GPL-3.0-or-later
/* Requests of a board: what is answered, what is refused, and that no text whatever does harm. What a run
 * gives is the reference for the answers. The server and the page are tested in a browser (tests/browser). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "io/board.h"
#include "read_good.h"

static const char small[] =
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3}\n"
    "site:\n"
    "  areas: [{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}]\n"
    "  obstacles: [{name: hut, kind: building, outline: [[18, 20], [22, 20], [22, 24], [18, 24]]}]\n"
    "boxes: [{name: wide, width: 4 m, height: 1 m}, {name: narrow, width: 3 m, height: 1 m}]\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
    "zones:\n"
    "- {name: east, outline: [[40, 0], [46, 0], [46, 20], [40, 20]], height: 3 m, berths: 2}\n"
    "crew: [{loader: loader, box: wide, count: 2, start: [1, 1]}]\n"
    "chance: {replications: 3, seed: 5, fill: 10 %}\n";
#define EAST "{\"name\": \"east\", \"from\": \"east\", \"outline\": [[40, 0], [46, 0], [46, 20], [40, 20]]}"

typedef struct fixture {
  pc_scenario scenario;
  pc_board board;
} fixture;

static void start(fixture *f) {
  f->scenario = read_good(small, NULL, 0, 0);
  f->board = (pc_board){.scenario = &f->scenario,
                        .name = "lot.yaml",
                        .text = small,
                        .length = sizeof small - 1,
                        .choice = {.depth_m = NAN},
                        .threads = 1};
}

static json_t *answer_to(const fixture *f, const char *request, pc_status expected) {
  pc_text out = {0};
  assert_int_equal(pc_board_answer(&f->board, request, strlen(request), &out), expected);
  json_t *answer = json_loads(out.data, 0, NULL);
  assert_non_null(answer);
  pc_text_free(&out);
  return answer;
}

static double number_at(const json_t *map, const char *key, const char *within) {
  const json_t *value = json_object_get(json_object_get(map, key), within);
  assert_true(json_is_number(value));
  return json_number_value(value);
}

static void test_the_answer_is_that_of_a_run(void **state) {
  (void)state;
  fixture f;
  start(&f);
  pc_lot *lot;
  pc_faults faults = {0};
  pc_summary summary;
  assert_int_equal(pc_lot_create(&f.scenario, &f.board.choice, &lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(lot, 3, 5, 1, NULL, &summary), PC_OK);
  json_t *all = answer_to(&f, "{\"zones\": [" EAST "], \"full\": true, \"against_s\": [0, 0, 0]}", PC_OK);
  json_t *one = answer_to(&f, "{\"zones\": [" EAST "], \"against_s\": [0, 0, 0]}", PC_OK);
  NEAR(number_at(json_object_get(all, "result"), "total_time_s", "mean"), summary.total_time_s.mean);
  NEAR(number_at(json_object_get(one, "result"), "total_time_s", "mean"), summary.times_s[0]);
  /* against nothing the difference is the time itself, with its own interval */
  NEAR(number_at(all, "difference_s", "mean"), summary.total_time_s.mean);
  NEAR(number_at(all, "difference_s", "half_width"), summary.total_time_s.half_width);
  assert_true(json_is_null(json_object_get(one, "difference_s"))); /* three times against one */
  assert_int_equal(json_array_size(json_object_get(all, "times_s")), 3);
  json_decref(all);
  json_decref(one);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&f.scenario);
}

/* A zone 6 m wide beside the pavement: 19.7 ft of 0.3048 m (NIST SP 811), 120 m2 are 1292 ft2. What is said
 * of it is in the units of the page, what `run --json` gives stays in SI. */
static void test_findings_in_the_units_of_the_page(void **state) {
  (void)state;
  fixture f;
  start(&f);
  for (int us = 0; us < 2; us++) {
    f.board.units = us ? PC_US : PC_METRIC;
    json_t *answer = answer_to(&f, "{\"zones\": [" EAST "]}", PC_OK);
    const json_t *list = json_object_get(answer, "siting"),
                 *run = json_object_get(json_object_get(answer, "result"), "siting");
    assert_int_equal(json_array_size(list), 1);
    assert_int_equal(json_array_size(run), 1);
    const char *said = json_string_value(json_object_get(json_array_get(list, 0), "message"));
    if (!strstr(said, us ? "reaches 19.7 ft beyond" : "reaches 6 m beyond") ||
        !strstr(said, us ? "1292 ft2" : "120 m2"))
      fail_msg("%s", said);
    assert_non_null(
        strstr(json_string_value(json_object_get(json_array_get(run, 0), "message")), "6 m beyond"));
    json_decref(answer);
  }
  pc_scenario_free(&f.scenario);
}

/* 8 t in loads of 0.76 t take longer than a second and less than a day: a deadline that is missed is said,
 * one that is kept is not. */
static void test_missed_deadlines_are_told(void **state) {
  (void)state;
  fixture f;
  start(&f);
  for (int late = 0; late < 2; late++) {
    f.scenario.site.areas[0].clear_by_s = late ? 1.0 : 86400.0;
    json_t *answer = answer_to(&f, "{\"zones\": [" EAST "], \"full\": true}", PC_OK);
    const json_t *list = json_object_get(answer, "late");
    assert_int_equal(json_array_size(list), late);
    if (late)
      assert_non_null(strstr(json_string_value(json_array_get(list, 0)), "Area \"yard\" is clear at "));
    json_decref(answer);
  }
  pc_scenario_free(&f.scenario);
}

static void check_fault(const fixture *f, const char *request, const char *words, int zone) {
  json_t *answer = answer_to(f, request, PC_OK), *faults = json_object_get(answer, "faults");
  bool told = false;
  for (size_t i = 0; i < json_array_size(faults); i++) {
    const json_t *fault = json_array_get(faults, i), *index = json_object_get(fault, "zone");
    if (strstr(json_string_value(json_object_get(fault, "message")), words)) {
      told = true;
      if ((json_is_integer(index) ? (int)json_integer_value(index) : -1) != zone)
        fail_msg("not zone %d: %s", zone, json_string_value(json_object_get(fault, "message")));
    }
  }
  if (!told)
    fail_msg("no fault says \"%s\"", words);
  assert_null(json_object_get(answer, "result"));
  json_decref(answer);
}

static void test_places_that_are_not_possible(void **state) {
  (void)state;
  fixture f;
  start(&f);
  check_fault(&f,
              "{\"zones\": [" EAST
              ", {\"name\": \"b\", \"from\": null, \"outline\": [[14, 20], [20, 20], [20, 24], [14, 24]]}]}",
              "zone \"b\" lies on building \"hut\", by 8 m2", 1); /* 2 m x 4 m */
  check_fault(
      &f,
      "{\"zones\": [{\"name\": \"far\", \"from\": null, \"outline\": [[90, 0], [96, 0], [96, 9], [90, 9]]}]}",
      "can get from the areas to zone \"far\"", 0);
  check_fault(
      &f,
      "{\"zones\": [" EAST
      ", {\"name\": \"b\", \"from\": \"east\", \"outline\": [[40, 10], [46, 10], [46, 30], [40, 30]]}]}",
      "overlap by 60 m2", 1); /* 6 m x 10 m */
  check_fault(&f, "{\"zones\": [" EAST ", " EAST "]}", "\"east\" stands twice in this list", 1);
  pc_scenario_free(&f.scenario);
}

static void test_requests_that_are_refused(void **state) {
  (void)state;
  fixture f;
  start(&f);
  const struct {
    const char *text;
    pc_status status;
  } cases[] = {
      {"", PC_ERR_SYNTAX},
      {"[]", PC_ERR_SYNTAX},
      {"{\"a\": 1, \"a\": 2}", PC_ERR_SYNTAX},
      {"{}", PC_ERR_RANGE},
      {"{\"zones\": []}", PC_ERR_RANGE},
      {"{\"zones\": [3]}", PC_ERR_SYNTAX},
      {"{\"zones\": [{}]}", PC_ERR_NAME},
      {"{\"zones\": [{\"name\": \"a\", \"from\": 3, \"at\": [1, 1]}]}", PC_ERR_NAME},
      {"{\"zones\": [{\"name\": \"a\", \"from\": \"nowhere\", \"at\": [1, 1]}]}", PC_ERR_NAME},
      {"{\"zones\": [{\"name\": \"a\"}]}", PC_ERR_SYNTAX},
      {"{\"zones\": [{\"name\": \"a\", \"at\": [1]}]}", PC_ERR_RANGE},
      {"{\"zones\": [{\"name\": \"a\", \"at\": [1, 1e7]}]}", PC_ERR_RANGE},
      {"{\"zones\": [{\"name\": \"a\", \"outline\": [[1, 1], [2, 2]]}]}", PC_ERR_RANGE},
      {"{\"zones\": [" EAST "], \"box\": \"none such\"}", PC_ERR_NAME},
      {"{\"zones\": [" EAST "], \"policy\": \"none such\"}", PC_ERR_NAME},
      {"{\"zones\": [" EAST "], \"against_s\": [null]}", PC_ERR_RANGE},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    json_t *answer = answer_to(&f, cases[i].text, cases[i].status);
    assert_true(json_is_string(json_object_get(answer, "error")));
    json_decref(answer);
  }
  pc_scenario_free(&f.scenario);
}

/* A board that was begun with a box: a request may name another, a mix, or the crew's own (null). */
static void test_back_to_the_crews_own_boxes(void **state) {
  (void)state;
  fixture f;
  start(&f);
  json_t *own = answer_to(&f, "{\"zones\": [" EAST "]}", PC_OK);
  f.board.choice.box = "narrow";
  json_t *begun = answer_to(&f, "{\"zones\": [" EAST "]}", PC_OK);
  json_t *back = answer_to(&f, "{\"zones\": [" EAST "], \"box\": null}", PC_OK);
  json_t *mixed = answer_to(&f, "{\"zones\": [" EAST "], \"box\": \"wide + narrow\"}", PC_OK);
  double own_s = number_at(json_object_get(own, "result"), "total_time_s", "mean"),
         begun_s = number_at(json_object_get(begun, "result"), "total_time_s", "mean"),
         mixed_s = number_at(json_object_get(mixed, "result"), "total_time_s", "mean");
  NEAR(number_at(json_object_get(back, "result"), "total_time_s", "mean"), own_s);
  assert_true(begun_s > own_s && mixed_s > own_s && mixed_s < begun_s);
  json_decref(own);
  json_decref(begun);
  json_decref(back);
  json_decref(mixed);
  pc_scenario_free(&f.scenario);
}

static void test_boxes_and_policies_change_the_time(void **state) {
  (void)state;
  fixture f;
  start(&f);
  json_t *wide = answer_to(&f, "{\"zones\": [" EAST "]}", PC_OK);
  json_t *narrow = answer_to(&f, "{\"zones\": [" EAST "], \"box\": \"narrow\"}", PC_OK);
  json_t *straight =
      answer_to(&f, "{\"zones\": [" EAST "], \"policy\": \"straight-runs\", \"box\": null}", PC_OK);
  const char *const key = "total_time_s";
  double usual = number_at(json_object_get(wide, "result"), key, "mean");
  assert_true(number_at(json_object_get(narrow, "result"), key, "mean") > usual);
  assert_string_equal(json_string_value(json_object_get(json_object_get(straight, "result"), "policy")),
                      "straight-runs");
  json_decref(wide);
  json_decref(narrow);
  json_decref(straight);
  pc_scenario_free(&f.scenario);
}

/* What is written reads as a scenario with just this layout more, whose zones have names of their own. */
static void test_the_layout_is_written(void **state) {
  (void)state;
  fixture f;
  start(&f);
  char name[64], request[4096];
  memset(name, 'x', 63);
  memcpy(name + 60, "\xC3\xA4z",
         3); /* 63 bytes; cut to make room for " (2)", which must not split a letter */
  name[63] = '\0';
  snprintf(request, sizeof request,
           "{\"layout\": \"mine\", \"zones\": [{\"name\": \"east\", \"from\": \"east\", \"outline\": [[40, "
           "1], [46, 1], [46, 19], [40, 19]]}, "
           "{\"name\": \"%s\", \"from\": null, \"outline\": [[0, 20], [9, 20], [9, 26], [0, 26], [0, 20]]}, "
           "{\"name\": \"%s\", \"from\": null, \"outline\": [[-6, 0], [0, 0], [0, 9], [-6, 9]]}]}",
           name, name);
  pc_text out = {0};
  assert_int_equal(pc_board_scenario(&f.board, request, strlen(request), &out), PC_OK);
  pc_scenario made = read_good(out.data, NULL, 0, 0);
  assert_int_equal(made.zone_count, 4);
  assert_string_equal(made.zones[1].name.text, "east (2)");
  NEAR(made.zones[1].height_m, 3.0);
  assert_int_equal(made.zones[1].berths, 2);
  assert_string_equal(made.zones[2].name.text, name);
  assert_int_equal(made.zones[2].outline.count, 4); /* closed by hand */
  assert_true(strncmp(made.zones[3].name.text, name, 59) == 0);
  assert_string_equal(made.zones[3].name.text + strlen(made.zones[3].name.text) - 4, " (2)");
  assert_int_equal(made.layout_count, 2); /* "all zones" stays the first */
  assert_string_equal(made.layouts[1].name.text, "mine");
  assert_int_equal(made.layouts[1].zones.count, 3);
  pc_scenario_free(&made);
  pc_text_free(&out);
  pc_scenario_free(&f.scenario);
}

static void check_unwritten(const fixture *f, const char *layout, const char *zone, const char *outline,
                            pc_status status, const char *words) {
  json_t *request = json_pack("{s:s, s:[{s:s, s:n, s:o}]}", "layout", layout, "zones", "name", zone, "from",
                              "outline", json_loads(outline, 0, NULL));
  char *text = json_dumps(request, 0);
  pc_text out = {0};
  assert_int_equal(pc_board_scenario(&f->board, text, strlen(text), &out), status);
  json_t *answer = json_loads(out.data, 0, NULL);
  const char *error = json_string_value(json_object_get(answer, "error"));
  assert_non_null(error);
  if (!strstr(error, words))
    fail_msg("\"%s\" does not say \"%s\"", error, words);
  json_decref(answer);
  json_decref(request);
  pc_text_free(&out);
  free(text);
}

/* What `check` would not read is refused, with the key and what is allowed. */
static void test_what_cannot_be_read_is_not_written(void **state) {
  (void)state;
  fixture f;
  start(&f);
  static const char square[] = "[[0, 20], [9, 20], [9, 26], [0, 26]]";
  static const struct {
    const char *name;
    pc_status status;
    const char *words;
  } names[] = {{"all", PC_ERR_NAME, "\"all\" cannot be a name"},
               {"two\nlines", PC_ERR_SYNTAX, "on one line"},
               {"a\ttab", PC_ERR_SYNTAX, "on one line"},
               {"bell\a", PC_ERR_SYNTAX, "without control characters"}};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    check_unwritten(&f, names[i].name, "b", square, names[i].status, names[i].words);
    check_unwritten(&f, names[i].name, "b", square, names[i].status, "layouts[1].name: ");
    check_unwritten(&f, "mine", names[i].name, square, names[i].status, names[i].words);
    check_unwritten(&f, "mine", names[i].name, square, names[i].status, "zones[1].name: ");
  }
  /* 57 characters, so that the page takes it, but 75 bytes */
  check_unwritten(&f, "Räumplan für Zufahrt, Höfe, Gärten, Plätze; äöüäöüäöüäöüä", "b", square, PC_ERR_LIMIT,
                  "layouts[1].name: is longer than a name may be: 63 bytes");
  check_unwritten(&f, "mine", "b", "[[0, 20], [9, 26], [9, 20], [0, 26]]", PC_ERR_GEOMETRY,
                  "zones[1].outline: the outline crosses");
  pc_scenario_free(&f.scenario);
}

static void test_as_many_zones_as_a_board_has(void **state) {
  (void)state;
  fixture f;
  start(&f);
  for (int count = PC_BOARD_ZONES_MAX; count <= PC_BOARD_ZONES_MAX + 1; count++) {
    pc_text request = {0}, out = {0};
    pc_text_add(&request, "{\"layout\": \"many\", \"zones\": [");
    for (int i = 0; i < count; i++)
      pc_text_addf(&request, "%s{\"name\": \"z%d\", \"from\": null, \"at\": [%d, %d]}", i ? ", " : "", i,
                   i % 40, i / 40);
    pc_text_add(&request, "]}");
    bool fits = count <= PC_BOARD_ZONES_MAX;
    assert_int_equal(pc_board_scenario(&f.board, request.data, request.length, &out),
                     fits ? PC_OK : PC_ERR_LIMIT);
    if (fits) {
      pc_scenario made = read_good(out.data, NULL, 0, 0);
      assert_int_equal(made.zone_count, PC_BOARD_ZONES_MAX + 1);
      pc_scenario_free(&made);
    }
    pc_text_free(&request);
    pc_text_free(&out);
  }
  pc_scenario_free(&f.scenario);
}

/* A good request with letters changed, taken out or put in at random: an answer or a refusal, and no harm
 * done (the sanitizers watch). */
static void test_no_request_does_harm(void **state) {
  (void)state;
  fixture f;
  start(&f);
  static const char good[] =
      "{\"zones\": [" EAST
      ", {\"name\": \"b\", \"from\": null, \"at\": [3, 20]}], \"box\": \"narrow\", \"against_s\": [1.5]}";
  static const char letters[] = "{}[]\",:0123456789.-eE\\ null\x01\xC3";
  size_t answered = 0, refused = 0;
  pc_stream random;
  pc_stream_start(&random, 1, 2, 3, 4);
  for (int n = 0; n < 1500; n++) {
    char text[sizeof good + 8];
    size_t length = sizeof good - 1;
    memcpy(text, good, length);
    for (int k = 0; k <= n % 3; k++) {
      size_t at = (size_t)(pc_stream_next(&random) % length);
      char letter = letters[(size_t)(pc_stream_next(&random) % (sizeof letters - 1))];
      if (n % 5 == 0) {
        memmove(text + at, text + at + 1, --length - at);
      } else if (n % 5 == 1) {
        memmove(text + at + 1, text + at, length++ - at);
        text[at] = letter;
      } else {
        text[at] = letter;
      }
    }
    pc_text out = {0};
    pc_status status = pc_board_answer(&f.board, text, length, &out);
    json_t *answer = json_loads(out.data, 0, NULL);
    assert_non_null(answer);
    assert_int_equal(status == PC_OK, json_object_get(answer, "error") == NULL);
    answered += status == PC_OK;
    refused += status != PC_OK;
    json_decref(answer);
    pc_text_free(&out);
  }
  assert_true(answered > 50 && refused > 500);
  pc_scenario_free(&f.scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_the_answer_is_that_of_a_run),
      cmocka_unit_test(test_findings_in_the_units_of_the_page),
      cmocka_unit_test(test_missed_deadlines_are_told),
      cmocka_unit_test(test_places_that_are_not_possible),
      cmocka_unit_test(test_requests_that_are_refused),
      cmocka_unit_test(test_boxes_and_policies_change_the_time),
      cmocka_unit_test(test_back_to_the_crews_own_boxes),
      cmocka_unit_test(test_the_layout_is_written),
      cmocka_unit_test(test_what_cannot_be_read_is_not_written),
      cmocka_unit_test(test_as_many_zones_as_a_board_has),
      cmocka_unit_test(test_no_request_does_harm),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
