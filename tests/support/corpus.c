// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "corpus.h"

enum { FILE_MAX = 1 << 20, CASES_MAX = 1000 };

void corpus_folder(const char *folder, char *path, size_t size) {
  const char *source = getenv("PC_SOURCE_DIR");
  snprintf(path, size, "%s/tests/%s", source ? source : ".", folder);
}

void corpus_add_faults(pc_faults *faults, pc_text *lines) {
  for (size_t i = 0; i < faults->count; i++) {
    char line[2048];
    (void)pc_error_format(&faults->items[i], line, sizeof line);
    pc_text_addf(lines, "%s%s\n", faults->items[i].caution ? "caution: " : "", line);
  }
  pc_faults_free(faults);
}

static char *read_all(const char *path, size_t *length) {
  FILE *file = fopen(path, "rb");
  if (!file)
    return NULL;
  char *text = calloc(FILE_MAX, 1);
  assert_non_null(text);
  *length = fread(text, 1, FILE_MAX - 1, file);
  assert_true(*length < FILE_MAX - 1);
  fclose(file);
  return text;
}

static void read_case(const char *path, const char *name, corpus_reader *reader, pc_text *lines) {
  size_t length = 0;
  char *text = read_all(path, &length);
  assert_non_null(text);
  char *exact = malloc(length > 0 ? length : 1);
  assert_non_null(exact);
  memcpy(exact, text, length);
  free(text);
  reader(name, exact, length, lines);
  free(exact);
}

static int by_name(const void *a, const void *b) {
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static bool is_case(const char *name, const char *ending) {
  size_t length = strlen(name), tail = strlen(ending);
  return length > tail && strcmp(name + length - tail, ending) == 0 && name[0] >= '0' && name[0] <= '9';
}

static size_t list_cases(const char *path, const char *ending, char **names) {
  DIR *all = opendir(path);
  assert_non_null(all);
  size_t count = 0;
  for (struct dirent *entry; (entry = readdir(all));) {
    if (!is_case(entry->d_name, ending))
      continue;
    assert_true(count < CASES_MAX);
    names[count] = strdup(entry->d_name);
    assert_non_null(names[count++]);
  }
  closedir(all);
  qsort(names, count, sizeof *names, by_name);
  return count;
}

static void write_expected(const char *path, const char *lines) {
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  fputs(lines, file);
  assert_int_equal(fclose(file), 0);
}

/* True if the case gives what it should. */
static bool check_case(const char *where, const char *name, const char *ending, corpus_reader *reader) {
  char path[1024], expected_path[1024];
  snprintf(path, sizeof path, "%s/%s", where, name);
  snprintf(expected_path, sizeof expected_path, "%s/%.*s.txt", where, (int)(strlen(name) - strlen(ending)),
           name);
  pc_text lines = {0};
  read_case(path, name, reader, &lines);
  if (!lines.data) {
    print_error("%s: no fault and no caution at all\n", name);
    return false;
  }
  const char *update = getenv("PC_UPDATE");
  if (update && strcmp(update, "1") == 0)
    write_expected(expected_path, lines.data);
  size_t length;
  char *expected = read_all(expected_path, &length);
  bool same = expected && strcmp(expected, lines.data) == 0;
  if (!same)
    print_error("%s\n--- expected\n%s--- found\n%s", name, expected ? expected : "(no .txt)\n", lines.data);
  free(expected);
  pc_text_free(&lines);
  return same;
}

void corpus_check(const char *folder, const char *ending, size_t least, corpus_reader *reader) {
  char where[512], *names[CASES_MAX];
  corpus_folder(folder, where, sizeof where);
  size_t count = list_cases(where, ending, names), wrong = 0;
  for (size_t i = 0; i < count; i++) {
    wrong += !check_case(where, names[i], ending, reader);
    free(names[i]);
  }
  assert_true(count >= least);
  assert_int_equal(wrong, 0);
}
