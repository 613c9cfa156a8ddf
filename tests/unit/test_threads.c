// SPDX-License-Identifier: GPL-3.0-or-later
/* What headers say of threads: several of them at once give what one alone gives. `make tsan` watches. */
#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "base/memory.h"
#include "base/version.h"
#include "io/geojson.h"
#include "io/pictures.h"
#include "io/run_text.h"
#include "io/schema.h"
#include "io/starter.h"
#include "io/tables.h"
#include "scene.h"
#include "sim/policy.h"
#include "sim/run.h"
#include "simulate.h"
#include "study/assign.h"
#include "study/limits.h"

enum { THREADS = 4 };

typedef struct job {
  const pc_lot *lot; /* one for all of them */
  const pc_scenario *scenario;
  uint64_t hash;
  pc_status status;
  pc_text text, messages;
} job;

static void at_once(void *(*work)(void *), job jobs[THREADS]) {
  pthread_t threads[THREADS];
  for (size_t i = 0; i < THREADS; i++)
    assert_int_equal(pthread_create(&threads[i], NULL, work, &jobs[i]), 0);
  for (size_t i = 0; i < THREADS; i++)
    assert_int_equal(pthread_join(threads[i], NULL), 0);
}

static void check_texts(job jobs[THREADS], job *alone) {
  assert_int_equal(alone->status, PC_OK);
  assert_true(alone->text.length > 0);
  for (size_t i = 0; i < THREADS; i++) {
    assert_int_equal(jobs[i].status, PC_OK);
    assert_string_equal(jobs[i].text.data, alone->text.data);
    pc_text_free(&jobs[i].text);
    pc_text_free(&jobs[i].messages);
  }
  pc_text_free(&alone->text);
  pc_text_free(&alone->messages);
}

/* Reading, checking, choosing headings, making a lot, replicating, writing. */
static void *run_text(void *context) {
  job *j = context;
  static const pc_override overrides[] = {{.path = "chance.replications=2"},
                                          {.path = "site.areas[yard].heading=auto"}};
  j->status = pc_run_text("starter", pc_starter_scenario(), overrides, 2, 2, &j->text, &j->messages);
  return NULL;
}

static void test_whole_runs(void **state) {
  (void)state;
  job alone = {0}, jobs[THREADS] = {{0}};
  run_text(&alone);
  at_once(run_text, jobs);
  check_texts(jobs, &alone);
}

/* A lot is constant: worlds of it run side by side. */
static void *run_world(void *context) {
  job *j = context;
  pc_world *world = NULL;
  pc_result result = {0};
  j->status = pc_world_create(j->lot, &world);
  if (j->status == PC_OK)
    j->status = pc_result_init_for(&result, j->lot);
  for (uint64_t r = 0; r < 3 && j->status == PC_OK; r++) {
    j->status = pc_world_run(world, 7, r, NULL, &result);
    j->hash = j->hash * 31 + pc_result_hash(&result);
  }
  pc_result_free(&result);
  pc_world_free(world);
  return NULL;
}

static void test_worlds_of_one_lot(void **state) {
  (void)state;
  pc_scenario scenario = scene_reference(3, 3, "keep-pushing");
  scenario.chance.fill = scenario.chance.carry = 0.2;
  pc_lot *lot = make_lot(&scenario);
  job alone = {.lot = lot}, jobs[THREADS];
  for (size_t i = 0; i < THREADS; i++)
    jobs[i] = alone;
  run_world(&alone);
  assert_int_equal(alone.status, PC_OK);
  at_once(run_world, jobs);
  for (size_t i = 0; i < THREADS; i++) {
    assert_int_equal(jobs[i].status, PC_OK);
    assert_true(jobs[i].hash == alone.hash);
  }
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

/* A scenario that nobody changes may be read by several threads; so may every table. */
static void *look_only(void *context) {
  job *j = context;
  const size_t count = j->scenario->loader_count * j->scenario->box_count;
  pc_limits_row *rows = pc_alloc(count, sizeof *rows);
  pc_faults faults = {0};
  pc_scenario_validate(j->scenario, &faults);
  j->status = rows ? pc_faults_status(&faults) : PC_ERR_MEMORY;
  pc_faults_free(&faults);
  if (j->status == PC_OK) {
    pc_limits_make(j->scenario, rows);
    pc_tables_limits(rows, count, PC_US, &j->text);
  }
  free(rows);
  if (j->status == PC_OK)
    j->status = pc_schema_write(&j->text);
  for (size_t i = 0; pc_policy_at(i); i++)
    pc_text_addf(&j->text, "%s\n", pc_policy_at(i)->name);
  pc_text_addf(&j->text, "%s\n", pc_version());
  return NULL;
}

static void test_one_scenario(void **state) {
  (void)state;
  pc_scenario scenario = scene_reference(3, 2, "keep-pushing");
  job alone = {.scenario = &scenario}, jobs[THREADS];
  for (size_t i = 0; i < THREADS; i++)
    jobs[i] = alone;
  look_only(&alone);
  at_once(look_only, jobs);
  check_texts(jobs, &alone);
  pc_scenario_free(&scenario);
}

/* A map in and out: PROJ keeps its state in contexts of its own. */
static void *map_in_and_out(void *context) {
  static const char map[] =
      "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\",\"properties\":{\"kind\":\"area\","
      "\"name\":\"yard\"},\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[20.5,60.1],[20.502,60.1],[20."
      "502,60.101],"
      "[20.5,60.101],[20.5,60.1]]]}}]}";
  job *j = context;
  pc_geojson read = {0};
  pc_faults faults = {0};
  j->status = pc_geojson_read_text("map", map, sizeof map - 1, NULL, &read, &faults);
  const pc_geojson_content content = {.site = &read.site};
  if (j->status == PC_OK)
    j->status = pc_geojson_write(&content, &j->text, NULL);
  pc_geojson_free(&read);
  pc_faults_free(&faults);
  return NULL;
}

static void test_maps(void **state) {
  (void)state;
  job alone = {0}, jobs[THREADS] = {{0}};
  map_in_and_out(&alone);
  at_once(map_in_and_out, jobs);
  check_texts(jobs, &alone);
}

/* Pango and cairo keep fonts for each thread, fontconfig for all of them. */
static void *draw(void *context) {
  job *j = context;
  const pc_map_content map = {.scenario = j->scenario, .lot = j->lot, .at_s = INFINITY, .lanes = true};
  for (int format = 0; format < 3 && j->status == PC_OK; format++) {
    const pc_picture_style style = {.format = (pc_picture_format)format};
    j->status = pc_picture_map(&map, &style, &j->text);
  }
  return NULL;
}

static void test_pictures(void **state) {
  (void)state;
  pc_scenario scenario = scene_reference(3, 2, "keep-pushing");
  pc_lot *lot = make_lot(&scenario);
  job alone = {.scenario = &scenario, .lot = lot}, jobs[THREADS];
  for (size_t i = 0; i < THREADS; i++)
    jobs[i] = alone;
  at_once(draw, jobs); /* before the one alone has found every font */
  draw(&alone);
  assert_int_equal(alone.status, PC_OK);
  for (size_t i = 0; i < THREADS; i++) {
    assert_int_equal(jobs[i].status, PC_OK);
    assert_int_equal(jobs[i].text.length, alone.text.length);
    assert_memory_equal(jobs[i].text.data, alone.text.data, alone.text.length);
    pc_text_free(&jobs[i].text);
  }
  pc_text_free(&alone.text);
  pc_lot_free(lot);
  pc_scenario_free(&scenario);
}

/* Graham 1969, SIAM J. Appl. Math. 17:416: three machines take 9 for these jobs. GLPK keeps its state for
 * each thread. */
static void *assign(void *context) {
  enum { LOTS = 7 };
  job *j = context;
  static const double work[LOTS] = {5, 5, 4, 4, 3, 3, 3}, travel[(LOTS + 1) * (LOTS + 1)] = {0};
  static const int three[] = {3};
  const pc_assign_unit unit = {0, 0, 1, 1.0};
  const pc_assign_problem problem = {.units = &unit,
                                     .unit_count = 1,
                                     .lot_count = LOTS,
                                     .work_s = work,
                                     .travel_s = travel,
                                     .machines = three,
                                     .boxes = three,
                                     .machine_kinds = 1,
                                     .box_kinds = 1,
                                     .least = PC_LEAST_TIME};
  pc_assign_plan plan;
  j->status = pc_assign_solve(&problem, &plan);
  if (j->status == PC_OK) {
    pc_text_addf(&j->text, "%.9g", plan.finish_s);
    pc_assign_plan_free(&plan);
  }
  return NULL;
}

static void test_plans(void **state) {
  (void)state;
  job alone = {0}, jobs[THREADS] = {{0}};
  assign(&alone);
  assert_string_equal(alone.text.data, "9");
  at_once(assign, jobs);
  check_texts(jobs, &alone);
}

/* What a program is compiled against and what it runs with. */
static void test_version(void **state) {
  (void)state;
  char text[32];
  const int n = pc_version_number();
  snprintf(text, sizeof text, "%d.%d.%d", n / 1000000, n / 1000 % 1000, n % 1000);
  assert_string_equal(text, pc_version());
  assert_int_equal(n, PC_VERSION_NUMBER);
  assert_true(PC_VERSION_AT_LEAST(PC_VERSION_MAJOR, PC_VERSION_MINOR, PC_VERSION_PATCH));
  assert_false(PC_VERSION_AT_LEAST(PC_VERSION_MAJOR, PC_VERSION_MINOR, PC_VERSION_PATCH + 1));
  assert_false(PC_VERSION_AT_LEAST(PC_VERSION_MAJOR + 1, 0, 0));
  assert_true(PC_VERSION_NUMBER_OF(1, 2, 3) < PC_VERSION_NUMBER_OF(1, 10, 0));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_whole_runs),   cmocka_unit_test(test_worlds_of_one_lot),
      cmocka_unit_test(test_one_scenario), cmocka_unit_test(test_maps),
      cmocka_unit_test(test_pictures),     cmocka_unit_test(test_plans),
      cmocka_unit_test(test_version),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
