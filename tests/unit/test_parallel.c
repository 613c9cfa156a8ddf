// SPDX-License-Identifier: GPL-3.0-or-later
/* Work in parts: how many, that each is done once, and which status is handed back. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/parallel.h"

typedef struct tally {
  int done[PC_PARTS_AT_ONCE_MAX];
  size_t fails_from;
} tally;

static pc_status count_part(void *context, size_t part) {
  tally *t = context;
  t->done[part]++;
  return part < t->fails_from ? PC_OK : part == t->fails_from ? PC_ERR_RANGE : PC_ERR_MEMORY;
}

static void test_parts_for(void **state) {
  (void)state;
  assert_int_equal(pc_parts_for(3, 100), 3);
  assert_int_equal(pc_parts_for(3, 2), 2);
  assert_int_equal(pc_parts_for(3, 0), 0);
  assert_int_equal(pc_parts_for(0, 1), 1);
  assert_int_equal(pc_parts_for(0, 100000), pc_processors());
  assert_int_equal(pc_parts_for(1024, 100000), PC_PARTS_AT_ONCE_MAX);
}

static void test_each_part_once(void **state) {
  (void)state;
  static const size_t all[] = {0, 1, 2, PC_PARTS_AT_ONCE_MAX};
  for (size_t k = 0; k < sizeof all / sizeof *all; k++) {
    tally t = {.fails_from = PC_PARTS_AT_ONCE_MAX};
    assert_int_equal(pc_parallel(all[k], count_part, &t), PC_OK);
    for (size_t p = 0; p < PC_PARTS_AT_ONCE_MAX; p++)
      assert_int_equal(t.done[p], p < all[k]);
  }
}

/* Not some of them only, with PC_OK. */
static void test_more_parts_than_can_be(void **state) {
  (void)state;
  tally t = {.fails_from = PC_PARTS_AT_ONCE_MAX};
  assert_int_equal(pc_parallel(PC_PARTS_AT_ONCE_MAX + 1, count_part, &t), PC_ERR_LIMIT);
  assert_int_equal(t.done[0], 0);
}

static void test_first_failure(void **state) {
  (void)state;
  tally t = {.fails_from = 5};
  assert_int_equal(pc_parallel(12, count_part, &t), PC_ERR_RANGE);
  t.fails_from = 12;
  assert_int_equal(pc_parallel(12, count_part, &t), PC_OK);
}

enum { TASKS = 1000 };

typedef struct queue_tally {
  atomic_int done[TASKS];
  atomic_int begun;
  int stop_after;  /* 0: never */
  size_t fails_at; /* TASKS: none */
} queue_tally;

static pc_status count_task(void *context, size_t task) {
  queue_tally *t = context;
  atomic_fetch_add(&t->begun, 1);
  atomic_fetch_add(&t->done[task], 1);
  return task == t->fails_at ? PC_ERR_RANGE : PC_OK;
}

static bool enough(void *context) {
  queue_tally *t = context;
  return t->stop_after > 0 && atomic_load(&t->begun) >= t->stop_after;
}

static void test_each_task_once(void **state) {
  (void)state;
  static const size_t threads[] = {0, 1, 2, 4, 8, PC_PARTS_AT_ONCE_MAX + 1};
  for (size_t k = 0; k < sizeof threads / sizeof *threads; k++) {
    queue_tally t = {.fails_at = TASKS};
    assert_int_equal(pc_parallel_each(threads[k], TASKS, count_task, NULL, &t), PC_OK);
    for (size_t i = 0; i < TASKS; i++)
      assert_int_equal(t.done[i], 1);
  }
}

/* Each thread may have begun one more when the others hear of it. */
static void test_stop_and_failure(void **state) {
  (void)state;
  queue_tally stopped = {.stop_after = 10, .fails_at = TASKS};
  assert_int_equal(pc_parallel_each(4, TASKS, count_task, enough, &stopped), PC_OK);
  assert_true(stopped.begun >= 10 && stopped.begun < 10 + 4);
  queue_tally alone = {.fails_at = 7};
  assert_int_equal(pc_parallel_each(1, TASKS, count_task, enough, &alone), PC_ERR_RANGE);
  assert_int_equal(alone.begun, 8);
  queue_tally failed = {.fails_at = 7};
  assert_int_equal(pc_parallel_each(4, TASKS, count_task, NULL, &failed), PC_ERR_RANGE);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_parts_for),        cmocka_unit_test(test_each_part_once),
      cmocka_unit_test(test_first_failure),    cmocka_unit_test(test_each_task_once),
      cmocka_unit_test(test_stop_and_failure), cmocka_unit_test(test_more_parts_than_can_be),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
