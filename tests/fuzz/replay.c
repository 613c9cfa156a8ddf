// SPDX-License-Identifier: GPL-3.0-or-later
/* Runs a fuzz target over the inputs that are kept: tests/fuzz/corpus/NAME for the program fuzz_NAME, and
 * further folders below tests named as arguments of its name's line below. A broken promise ends the program.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "corpus.h"
#include "fuzz.h"

enum { INPUT_MAX = 1 << 22 };

static const char *target;

/* Folders whose files make good inputs, too. */
static const struct {
  const char *target, *folder;
} more[] = {{"scenario", "faults"}, {"scenario", "cli"}, {"geojson", "geojson"}, {"fleet", "cli"}};

static bool replay(const char *path) {
  struct stat found;
  if (stat(path, &found) != 0 || !S_ISREG(found.st_mode) || found.st_size > INPUT_MAX)
    return false;
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  size_t size = (size_t)found.st_size;
  uint8_t *input = malloc(size > 0 ? size : 1); /* of its own length, so that reading beyond it is seen */
  assert_non_null(input);
  assert_int_equal(fread(input, 1, size, file), size);
  fclose(file);
  fprintf(stderr, "%s\n", path); /* so that a crash names its input */
  (void)LLVMFuzzerTestOneInput(input, size);
  free(input);
  return true;
}

static size_t replay_folder(const char *folder) {
  char where[512], path[1024];
  corpus_folder(folder, where, sizeof where);
  DIR *all = opendir(where);
  assert_non_null(all);
  size_t count = 0;
  for (struct dirent *entry; (entry = readdir(all));) {
    snprintf(path, sizeof path, "%s/%s", where, entry->d_name);
    count += replay(path);
  }
  closedir(all);
  return count;
}

static void test_corpus(void **state) {
  (void)state;
  char folder[256];
  snprintf(folder, sizeof folder, "fuzz/corpus/%s", target);
  size_t count = replay_folder(folder);
  assert_true(count > 0);
  for (size_t i = 0; i < sizeof more / sizeof more[0]; i++)
    if (strcmp(more[i].target, target) == 0)
      count += replay_folder(more[i].folder);
  print_message("%s: %zu inputs replayed\n", target, count);
}

int main(int count, char **arguments) {
  const char *name = strrchr(arguments[0], '/');
  name = name ? name + 1 : arguments[0];
  target = strncmp(name, "fuzz_", 5) == 0 ? name + 5 : name;
  if (count > 1) { /* inputs to look into */
    for (int i = 1; i < count; i++)
      (void)replay(arguments[i]);
    return 0;
  }
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_corpus)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
