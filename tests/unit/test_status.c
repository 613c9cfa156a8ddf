// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

#include "base/memory.h"
#include "base/origins.h"
#include "base/status.h"

/* Lets the sanitised build return NULL for an absurd size, as malloc does, instead of ending the program. */
const char *__asan_default_options(void);
const char *__asan_default_options(void) {
  return "allocator_may_return_null=1";
}

static void names_are_given_and_distinct(void **state) {
  (void)state;
  for (int i = 0; i < PC_STATUS_COUNT; i++) {
    assert_string_not_equal(pc_status_name((pc_status)i), "unknown");
    assert_true(strlen(pc_status_describe((pc_status)i)) > 5);
    for (int j = 0; j < i; j++)
      assert_string_not_equal(pc_status_name((pc_status)i), pc_status_name((pc_status)j));
  }
  assert_string_equal(pc_status_name(PC_ERR_RANGE), "range");
  assert_string_equal(pc_status_name(PC_STATUS_COUNT), "unknown");
  assert_string_equal(pc_status_name((pc_status)-1), "unknown");
  assert_string_equal(pc_status_describe((pc_status)99), "unknown status");
}

static void error_is_filled(void **state) {
  (void)state;
  pc_error error = {.line = 7, .caution = true};
  assert_int_equal(pc_error_set(&error, PC_ERR_UNIT, "boxes[1].width", "16", "needs %d units", 2),
                   PC_ERR_UNIT);
  assert_int_equal(error.status, PC_ERR_UNIT);
  assert_int_equal(error.line, 0);
  assert_false(error.caution);
  assert_string_equal(error.key, "boxes[1].width");
  assert_string_equal(error.value, "16");
  assert_string_equal(error.message, "needs 2 units");
  pc_error_set(&error, PC_ERR_FILE, NULL, NULL, "%ls", L"\x20AC"); /* the C locale cannot write it */
  assert_string_equal(error.message, "");
  assert_int_equal(pc_error_set(NULL, PC_ERR_FILE, NULL, NULL, "x"), PC_ERR_FILE);
  assert_int_equal(pc_error_set(&error, PC_ERR_FILE, NULL, NULL, "x"), PC_ERR_FILE);
  assert_string_equal(error.key, "");
  assert_string_equal(error.value, "");
}

static void long_text_is_cut_between_characters(void **state) {
  (void)state;
  char text[1000];
  for (size_t i = 0; i + 2 < sizeof text; i += 2)
    memcpy(text + i, "\xC3\xA9", 2); /* é: two bytes, so an odd limit falls inside one */
  text[998] = '\0';
  pc_error error;
  pc_error_set(&error, PC_ERR_NAME, text, text, "%s", text);
  assert_int_equal(strlen(error.key), PC_KEY_MAX - 2);
  assert_int_equal(strlen(error.value), PC_VALUE_MAX - 2);
  assert_int_equal(strlen(error.message), PC_MESSAGE_MAX - 2);
}

static void format_leaves_out_what_is_not_known(void **state) {
  (void)state;
  struct {
    const char *file, *key, *expected;
    int line, column;
  } cases[] = {
      {"lot.yaml", "a.b", "lot.yaml:14:12: a.b: wrong", 14, 12},
      {"lot.yaml", "a.b", "lot.yaml:14: a.b: wrong", 14, 0},
      {"lot.yaml", "", "lot.yaml: wrong", 0, 12},
      {"", "a", "3:4: a: wrong", 3, 4},
      {"", "", "3: wrong", 3, 0},
      {"", "", "wrong", 0, 0},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_error error;
    char text[100], little[5];
    pc_error_set(&error, PC_ERR_RANGE, cases[i].key, NULL, "wrong");
    snprintf(error.file, sizeof error.file, "%s", cases[i].file);
    error.line = cases[i].line;
    error.column = cases[i].column;
    assert_int_equal(pc_error_format(&error, text, sizeof text), strlen(cases[i].expected));
    assert_string_equal(text, cases[i].expected);
    assert_int_equal(pc_error_format(&error, little, sizeof little), strlen(cases[i].expected));
    assert_int_equal(strlen(little), 4);
  }
}

static void faults_are_kept_in_order(void **state) {
  (void)state;
  pc_faults faults = {0};
  assert_int_equal(pc_faults_status(&faults), PC_OK);
  pc_faults_caution(&faults, "zones[0]", "near %s", "a drain");
  assert_int_equal(pc_faults_fatal(&faults), 0);
  assert_int_equal(pc_faults_status(&faults), PC_OK);
  assert_false(pc_faults_has_key(&faults, "zones[0]"));
  assert_true(faults.items[0].caution);
  assert_string_equal(faults.items[0].message, "near a drain");
  for (int i = 0; i < 100; i++) {
    char key[20];
    snprintf(key, sizeof key, "k%d", i);
    assert_int_equal(pc_faults_add(&faults, i ? PC_ERR_NAME : PC_ERR_KEY, key, "v", "fault %d", i),
                     i ? PC_ERR_NAME : PC_ERR_KEY);
  }
  assert_int_equal(faults.count, 101);
  assert_int_equal(pc_faults_fatal(&faults), 100);
  assert_int_equal(pc_faults_status(&faults), PC_ERR_KEY);
  assert_true(pc_faults_has_key(&faults, "k57"));
  assert_false(pc_faults_has_key(&faults, "k"));
  assert_string_equal(faults.items[58].message, "fault 57");
  while (faults.count < faults.capacity)
    pc_faults_push(&faults, &faults.items[3]);
  pc_faults_push(&faults, &faults.items[3]); /* an entry of its own, while the list moves */
  assert_string_equal(faults.items[faults.count - 1].key, "k2");
  pc_faults_free(&faults);
  assert_null(faults.items);
  assert_int_equal(faults.count + faults.capacity + faults.dropped, 0);
  pc_faults_free(NULL);
}

static void dropped_faults_are_counted(void **state) {
  (void)state;
  /* A count that no memory could hold makes the next addition fail. */
  pc_faults faults = {.count = SIZE_MAX / sizeof(pc_error)};
  pc_faults_add(&faults, PC_ERR_NAME, "k", NULL, "lost");
  pc_faults_caution(&faults, "k", "lost too");
  assert_int_equal(faults.dropped, 2);
  faults.count = 0;
  assert_int_equal(pc_faults_fatal(&faults), 2);
  assert_int_equal(pc_faults_status(&faults), PC_ERR_MEMORY);
  pc_faults_add(&faults, PC_ERR_KEY, "k", NULL, "kept");
  assert_int_equal(pc_faults_fatal(&faults), 3);
  assert_int_equal(pc_faults_status(&faults), PC_ERR_KEY);
  pc_faults_free(&faults);
}

static void the_first_is_no_caution(void **state) {
  (void)state;
  pc_faults found = {0}, all = {0};
  pc_faults_add(&all, PC_ERR_KEY, "before", NULL, "before");
  pc_faults_caution(&found, "c", "a caution");
  assert_null(pc_faults_first(&found, 0));
  pc_faults_add(&found, PC_ERR_NAME, "first", NULL, "the first");
  pc_faults_add(&found, PC_ERR_UNIT, "next", NULL, "the next");
  found.dropped = 2;
  assert_ptr_equal(pc_faults_first(&found, 0), &found.items[1]);
  assert_ptr_equal(pc_faults_first(&found, 2), &found.items[2]);
  assert_null(pc_faults_first(&found, 3));
  pc_faults_move(&all, &found);
  assert_null(found.items);
  assert_int_equal(found.count + found.dropped, 0);
  static const char *const keys[] = {"before", "c", "first", "next"};
  assert_int_equal(all.count, 4);
  for (size_t i = 0; i < 4; i++)
    assert_string_equal(all.items[i].key, keys[i]);
  assert_true(all.items[1].caution);
  assert_int_equal(all.dropped, 2);
  assert_int_equal(pc_faults_fatal(&all), 5);
  pc_faults_free(&all);
}

static void allocation_is_checked(void **state) {
  (void)state;
  unsigned char *bytes = pc_alloc(100, 3);
  assert_non_null(bytes);
  for (int i = 0; i < 300; i++)
    assert_int_equal(bytes[i], 0);
  free(bytes);
  void *none = pc_alloc(0, 8), *flat = pc_alloc(8, 0);
  assert_non_null(none);
  assert_non_null(flat);
  free(none);
  free(flat);
  assert_null(pc_alloc(SIZE_MAX, 2));
  assert_null(pc_alloc(SIZE_MAX / 2, 3));
  assert_null(pc_alloc((size_t)PTRDIFF_MAX / 8, 8)); /* passes the overflow check, but no machine has it */
  const int numbers[] = {3, 1, 4};
  int *copy = pc_copy(numbers, 3, sizeof numbers[0]);
  assert_non_null(copy);
  assert_memory_equal(copy, numbers, sizeof numbers);
  free(copy);
  copy = pc_copy(NULL, 0, sizeof numbers[0]);
  assert_non_null(copy);
  free(copy);
  assert_null(pc_copy(numbers, SIZE_MAX, sizeof numbers[0]));
}

static void arrays_grow(void **state) {
  (void)state;
  void *array = NULL;
  size_t capacity = 0;
  for (size_t need = 1; need < 1000; need++) {
    assert_int_equal(pc_reserve(&array, &capacity, need, sizeof(int)), 0);
    assert_true(capacity >= need);
    assert_true(capacity < 2 * need + 8);
    assert_int_equal(((int *)array)[need - 1], 0);
    ((int *)array)[need - 1] = (int)need;
  }
  for (int i = 0; i < 999; i++)
    assert_int_equal(((int *)array)[i], i + 1);
  void *before = array;
  size_t room = capacity;
  assert_int_equal(pc_reserve(&array, &capacity, SIZE_MAX, sizeof(int)), -1);
  assert_int_equal(pc_reserve(&array, &capacity, SIZE_MAX / 2 / sizeof(int), sizeof(int)), -1);
  assert_ptr_equal(array, before);
  assert_int_equal(capacity, room);
  free(array);
}

/* No source: what the header says. */
static void places_are_those_of_the_nearest_part(void **state) {
  (void)state;
  pc_origins origins = {0};
  pc_error place;
  pc_faults faults = {.units = PC_US};
  pc_error_set(&place, PC_OK, "zones", NULL, "%s", "");
  pc_error_place(&place, "lot.yaml", 20, 1);
  pc_origins_note(&origins, "zones", &place);
  pc_error_set(&place, PC_OK, "features[7]", NULL, "%s", "");
  pc_error_place(&place, "lot.geojson", 0, 0);
  pc_origins_note(&origins, "zones[1]", &place);
  pc_faults_add(&faults, PC_ERR_GEOMETRY, "zones[1]", NULL, "before");
  pc_faults_add(&faults, PC_ERR_GEOMETRY, "zones[1]", NULL, "exact, by its name in the file");
  pc_faults_add(&faults, PC_ERR_GEOMETRY, "zones[1].outline", NULL, "a part of it");
  pc_faults_add(&faults, PC_ERR_GEOMETRY, "zones[11].outline", NULL, "another, only the list is known");
  pc_faults_add(&faults, PC_ERR_GEOMETRY, "zonesome", NULL, "of another name");
  pc_faults_add(&faults, PC_ERR_MEMORY, NULL, NULL, "of nothing");
  pc_faults_add(&faults, PC_ERR_FILE, "site.file", NULL, "of the file, not in it");
  pc_error_place(&faults.items[2], "elsewhere", 3, 4);
  pc_origins_note_file(&origins, "site.file", "folder/lot.geojson");
  pc_origins_note_file(&origins, "storm_file", "storm.csv");
  pc_origins_place(&origins, &faults, 1);
  assert_string_equal(faults.items[0].file, "");
  assert_string_equal(faults.items[1].file, "lot.geojson");
  assert_string_equal(faults.items[1].key, "features[7]");
  assert_string_equal(faults.items[2].file, "elsewhere");
  assert_string_equal(faults.items[3].file, "lot.yaml");
  assert_string_equal(faults.items[3].key, "zones[11].outline");
  assert_int_equal(faults.items[3].line, 20);
  assert_string_equal(faults.items[4].file, "");
  assert_string_equal(faults.items[5].file, "");
  assert_string_equal(faults.items[6].file, "");
  const char *key = NULL;
  assert_string_equal(pc_origins_file_at(&origins, 0, &key), "folder/lot.geojson");
  assert_string_equal(key, "site.file");
  assert_string_equal(pc_origins_file_at(&origins, 1, &key), "storm.csv");
  assert_string_equal(key, "storm_file");
  assert_null(pc_origins_file_at(&origins, 2, &key));
  pc_faults like = pc_faults_like(&faults);
  assert_int_equal(like.count, 0);
  assert_int_equal(like.units, PC_US);
  pc_faults_free(&faults);
  pc_origins_free(&origins);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(names_are_given_and_distinct),
      cmocka_unit_test(error_is_filled),
      cmocka_unit_test(long_text_is_cut_between_characters),
      cmocka_unit_test(format_leaves_out_what_is_not_known),
      cmocka_unit_test(faults_are_kept_in_order),
      cmocka_unit_test(dropped_faults_are_counted),
      cmocka_unit_test(the_first_is_no_caution),
      cmocka_unit_test(allocation_is_checked),
      cmocka_unit_test(arrays_grow),
      cmocka_unit_test(places_are_those_of_the_nearest_part),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
