// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Malformed scenarios: every tests/faults/NNN-title.yaml must give exactly the lines of NNN-title.txt.
 * Expected lines are judged by a person, not by the program; PC_UPDATE=1 in the environment rewrites them for
 * that. The folder is looked for under PC_SOURCE_DIR, or the working directory.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "io/scenario.h"

enum { CASES_MIN = 75 }; /* so that an empty folder cannot pass */

static void folder(char *path, size_t size) {
  const char *source = getenv("PC_SOURCE_DIR");
  snprintf(path, size, "%s/tests/faults", source ? source : ".");
}

static char *read_all(const char *path) {
  FILE *file = fopen(path, "rb");
  if (!file)
    return NULL;
  char *text = calloc(1 << 20, 1);
  assert_non_null(text);
  size_t length = fread(text, 1, (1 << 20) - 1, file);
  assert_true(length < (1 << 20) - 1);
  fclose(file);
  return text;
}

/* Every fault and caution of a file, one a line, under the file's bare name. */
static void print_faults(const char *path, const char *bare, pc_text *lines) {
  char *text = read_all(path);
  assert_non_null(text);
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  assert_int_equal(fseek(file, 0, SEEK_END), 0);
  long length = ftell(file);
  fclose(file);
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text(bare, text, (size_t)length, NULL, 0, &scenario, &faults);
  assert_int_equal(status, pc_faults_status(&faults));
  if (status != PC_OK) {
    assert_null(scenario.boxes);
    assert_int_equal(scenario.zone_count, 0);
  }
  for (size_t i = 0; i < faults.count; i++) {
    char line[2048];
    (void)pc_error_format(&faults.items[i], line, sizeof line);
    pc_text_addf(lines, "%s%s\n", faults.items[i].caution ? "caution: " : "", line);
  }
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
  free(text);
}

static int by_name(const void *a, const void *b) {
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static size_t list_cases(const char *path, char **names, size_t most) {
  DIR *all = opendir(path);
  assert_non_null(all);
  size_t count = 0;
  for (struct dirent *entry; (entry = readdir(all));) {
    size_t length = strlen(entry->d_name);
    if (length <= 5 || strcmp(entry->d_name + length - 5, ".yaml") != 0)
      continue;
    assert_true(count < most);
    names[count] = calloc(length + 1, 1);
    assert_non_null(names[count]);
    memcpy(names[count++], entry->d_name, length);
  }
  closedir(all);
  qsort(names, count, sizeof *names, by_name);
  return count;
}

/* True if the case gives what it should. */
static bool check_case(const char *where, const char *name) {
  char path[1024], expected_path[1024];
  snprintf(path, sizeof path, "%s/%s", where, name);
  snprintf(expected_path, sizeof expected_path, "%s/%.*s.txt", where, (int)(strlen(name) - 5), name);
  pc_text lines = {0};
  print_faults(path, name, &lines);
  if (!lines.data) {
    print_error("%s: no fault and no caution at all\n", name);
    return false;
  }
  const char *update = getenv("PC_UPDATE");
  if (update && strcmp(update, "1") == 0) {
    FILE *file = fopen(expected_path, "wb");
    assert_non_null(file);
    fputs(lines.data, file);
    assert_int_equal(fclose(file), 0);
  }
  char *expected = read_all(expected_path);
  bool same = expected && strcmp(expected, lines.data) == 0;
  if (!same)
    print_error("%s\n--- expected\n%s--- found\n%s", name, expected ? expected : "(no .txt)\n", lines.data);
  free(expected);
  pc_text_free(&lines);
  return same;
}

static void test_corpus(void **state) {
  (void)state;
  char where[512], *names[1000];
  folder(where, sizeof where);
  size_t count = list_cases(where, names, 1000), wrong = 0;
  for (size_t i = 0; i < count; i++) {
    wrong += !check_case(where, names[i]);
    free(names[i]);
  }
  assert_true(count >= CASES_MIN);
  assert_int_equal(wrong, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_corpus)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
