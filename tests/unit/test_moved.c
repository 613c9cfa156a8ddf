// SPDX-License-Identifier: GPL-3.0-or-later
/* A scenario's text for another folder. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "io/moved.h"

static char top[] = "/tmp/pc-moved-XXXXXX";

static const char *const folders[] = {"a", "a/b", "a/bb", "it's", "l\xF6t", "two\nlines"};

static int make_folders(void **state) {
  (void)state;
  char path[128];
  if (!mkdtemp(top) || chdir(top) != 0)
    return -1;
  for (size_t i = 0; i < sizeof folders / sizeof folders[0]; i++)
    if (mkdir(folders[i], 0700) != 0)
      return -1;
  (void)snprintf(path, sizeof path, "%s/a/b", top);
  return symlink(path, "link");
}

static int remove_folders(void **state) {
  (void)state;
  unlink("link");
  for (size_t i = sizeof folders / sizeof folders[0]; i-- > 0;)
    rmdir(folders[i]);
  return chdir("/") == 0 ? rmdir(top) : -1;
}

static pc_status move(const char *from, const char *to, const char *text, pc_text *out, pc_faults *faults) {
  pc_text_add(out, text);
  return pc_scenario_move(from, to, out, faults);
}

static void test_ways(void **state) {
  (void)state;
  static const struct {
    const char *from, *to, *name, *wanted; /* wanted NULL: the text stays as it is */
  } cases[] = {
      {"a/lot.yaml", "a/new.yaml", "map.geojson", NULL},
      {"lot.yaml", "new.yaml", "./map.geojson", NULL},
      {"a/lot.yaml", "a/b/new.yaml", "map.geojson", "../map.geojson"},
      {"a/lot.yaml", "new.yaml", "map.geojson", "a/map.geojson"},
      {"lot.yaml", "a/b/new.yaml", "map.geojson", "../../map.geojson"},
      {"a/b/lot.yaml", "a/bb/new.yaml", "map.geojson",
       "../b/map.geojson"}, /* "b" is not the beginning of "bb" */
      {"a/b/lot.yaml", "a/new.yaml", "../map.geojson", "map.geojson"},
      {"a/b/lot.yaml", "a/new.yaml", "./.././map.geojson", "map.geojson"},
      {"a/b/lot.yaml", "a/new.yaml", "..//bb/x/../map.geojson", "bb/x/../map.geojson"},
      {"a/lot.yaml", "it's/new.yaml", "map.geojson", "../a/map.geojson"},
      {"it's/lot.yaml", "a/new.yaml", "map.geojson", "../it's/map.geojson"},
      {"a/lot.yaml", "a/b/new.yaml", "/maps/map.geojson", NULL},
      {"link/lot.yaml", "a/new.yaml", "../map.geojson",
       "map.geojson"}, /* ".." of a link is that of its folder */
      {"a/lot.yaml", "link/new.yaml", "map.geojson", "../map.geojson"},
      {"link/lot.yaml", "a/b/new.yaml", "map.geojson", NULL},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    for (int whole = 0; whole < 4; whole++) { /* paths from here, and from the root */
      char from[256], to[256], text[256], wanted[256];
      (void)snprintf(from, sizeof from, "%s%s%s", whole & 1 ? top : "", whole & 1 ? "/" : "", cases[i].from);
      (void)snprintf(to, sizeof to, "%s%s%s", whole & 2 ? top : "", whole & 2 ? "/" : "", cases[i].to);
      (void)snprintf(text, sizeof text, "site: {file: \"%s\"} # \"\n", cases[i].name);
      const char *in_yaml = cases[i].wanted ? cases[i].wanted : "";
      (void)snprintf(wanted, sizeof wanted, "site: {file: '%s'} # \"\n",
                     strcmp(in_yaml, "../it's/map.geojson") == 0 ? "../it''s/map.geojson" : in_yaml);
      pc_text out = {0};
      pc_faults faults = {0};
      assert_int_equal(move(from, to, text, &out, &faults), PC_OK);
      assert_string_equal(out.data, cases[i].wanted ? wanted : text);
      pc_text_free(&out);
      pc_faults_free(&faults);
    }
  }
}

/* However the names are written; all else stays. */
static void test_texts(void **state) {
  (void)state;
  static const struct {
    const char *text, *wanted; /* wanted NULL: cannot be changed */
  } cases[] = {
      {"site: {units: m}\n# file: x\n", "site: {units: m}\n# file: x\n"},
      {"storm_file: s.csv # the storm\nsite:\n  file:   m.geojson\n  units: m",
       "storm_file: '../s.csv' # the storm\nsite:\n  file:   '../m.geojson'\n  units: m"},
      {"{name: 'Väinölä', site: {file: m.geojson}}", "{name: 'Väinölä', site: {file: '../m.geojson'}}"},
      {"name: \"file: m.geojson\"\nsite: {file: 'it''s.geojson'}\r\n",
       "name: \"file: m.geojson\"\nsite: {file: '../it''s.geojson'}\r\n"},
      {"site: {file: \"a\\\"b\\x41.geojson\", units: m}", "site: {file: '../a\"bA.geojson', units: m}"},
      {"site: {file: }", "site: {file: }"},
      {"\xEF\xBB\xBFsite: {file: m.geojson}\nstorm_file: s.csv\n",
       "\xEF\xBB\xBFsite: {file: '../m.geojson'}\nstorm_file: '../s.csv'\n"}, /* a byte order mark */
      {"name: x\rsite: {file: m.geojson}\r", "name: x\rsite: {file: '../m.geojson'}\r"},
      {"# one\xE2\x80\xA8# two\xC2\x85site: {file: m.geojson}\n",
       "# one\xE2\x80\xA8# two\xC2\x85site: {file: '../m.geojson'}\n"},
      {"site:\n  file: >-\n    m.geojson\n", NULL},
      {"site:\n  file: a\n    b\n", NULL},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_text out = {0};
    pc_faults faults = {0};
    pc_status status = move("a/lot.yaml", "a/b/new.yaml", cases[i].text, &out, &faults);
    assert_int_equal(status, cases[i].wanted ? PC_OK : PC_ERR_SYNTAX);
    assert_string_equal(out.data, cases[i].wanted ? cases[i].wanted : cases[i].text);
    if (!cases[i].wanted)
      assert_string_equal(faults.items[0].key, "site.file");
    pc_text_free(&out);
    pc_faults_free(&faults);
  }
}

static void test_no_folder(void **state) {
  (void)state;
  pc_text out = {0};
  pc_faults faults = {0};
  assert_int_equal(move("a/lot.yaml", "none/new.yaml", "site: {file: m}\n", &out, &faults), PC_ERR_FILE);
  assert_string_equal(faults.items[0].message, "\"none/\": there is no such folder");
  assert_string_equal(out.data, "site: {file: m}\n");
  pc_text_free(&out);
  pc_faults_free(&faults);
}

/* Only where the way leads through it: to a file beside the scenario it does not matter. */
static void test_folders_that_cannot_be_named(void **state) {
  (void)state;
  static const char text[] = "site: {file: m.geojson}\n";
  for (size_t i = 4; i < sizeof folders / sizeof folders[0]; i++) {
    char lot[64];
    pc_text out = {0};
    pc_faults faults = {0};
    (void)snprintf(lot, sizeof lot, "%s/lot.yaml", folders[i]);
    assert_int_equal(move(lot, "a/new.yaml", text, &out, &faults), PC_ERR_SYNTAX);
    assert_string_equal(faults.items[0].key, "site.file");
    assert_non_null(strstr(faults.items[0].message, "leads through a folder whose name cannot stand"));
    assert_string_equal(out.data, text);
    pc_text_free(&out);
    pc_faults_free(&faults);
    assert_int_equal(move("a/lot.yaml", lot, text, &out, &faults), PC_OK);
    assert_string_equal(out.data, "site: {file: '../a/m.geojson'}\n");
    pc_text_free(&out);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_ways),
      cmocka_unit_test(test_texts),
      cmocka_unit_test(test_no_folder),
      cmocka_unit_test(test_folders_that_cannot_be_named),
  };
  return cmocka_run_group_tests(tests, make_folders, remove_folders);
}
