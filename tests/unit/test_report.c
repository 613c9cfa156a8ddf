// SPDX-License-Identifier: GPL-3.0-or-later
/* The report: what it says, in which order, and that names stay text. That the page is sound HTML is checked
 * with html5lib (tests/check_html.py, tests/cli/draw.t). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "drawn.h"
#include "io/starter.h"

typedef struct made {
  drawn_night night;
  pc_comparison comparison;
  pc_text html;
} made;

static void make(made *m, const char *text, const pc_override *overrides, size_t count, bool maps) {
  *m = (made){0};
  pc_faults faults = {0};
  drawn_start(&m->night, text, overrides, count, NULL);
  const pc_compare_how how = {.replications = m->night.replications, .seed = 1, .threads = 2};
  assert_int_equal(pc_compare(&m->night.scenario, &how, &m->comparison, &faults), PC_OK);
  pc_faults_free(&faults);
  pc_map_content map = drawn_map(&m->night);
  const pc_report_content content = {.scenario = &m->night.scenario,
                                     .comparison = &m->comparison,
                                     .siting = &m->night.siting,
                                     .maps = maps ? &map : NULL,
                                     .map_count = maps,
                                     .source = "<lot>.yaml"};
  const pc_picture_style style = {.format = PC_PICTURE_PNG}; /* does not matter */
  assert_int_equal(pc_report_write(&content, &style, &m->html), PC_OK);
}

static void drop(made *m) {
  pc_comparison_free(&m->comparison);
  pc_text_free(&m->html);
  drawn_end(&m->night);
}

static size_t times(const char *text, const char *words) {
  size_t count = 0;
  for (const char *at = text; (at = strstr(at, words)) != NULL; at += strlen(words))
    count++;
  return count;
}

static void test_order(void **state) {
  (void)state;
  static const char *const order[] = {"<h1>",
                                      "id=\"answer\"",
                                      "Quickest: ",
                                      "id=\"table\"",
                                      "<caption>Ranked",
                                      "id=\"charts\"",
                                      "<svg",
                                      "id=\"maps\"",
                                      "id=\"why\"",
                                      "id=\"assumptions\"",
                                      "no published value",
                                      "id=\"inputs\"",
                                      "done_below",
                                      "id=\"cautions\"",
                                      "decided by local codes",
                                      "&#60;lot&#62;.yaml",
                                      "</html>"};
  made m;
  static const pc_override all[] = {{"compare.layouts", "all", NULL}};
  make(&m, pc_starter_scenario(), all, 1, true);
  const char *at = m.html.data;
  for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
    const char *next = strstr(at, order[i]);
    if (!next)
      fail_msg("\"%s\" is missing, or not where it should be", order[i]);
    at = next;
  }
  /* a row of the table for each combination, and for each a bar in two charts */
  const char *table = strstr(m.html.data, "id=\"table\"");
  const char *charts = strstr(table, "id=\"charts\"");
  size_t rows = 0;
  for (const char *row = table; (row = strstr(row, "<th scope=\"row\"")) != NULL && row < charts; row++)
    rows++;
  assert_int_equal(rows, m.comparison.row_count);
  assert_int_equal(times(m.html.data, "<svg"), times(m.html.data, "<figcaption>"));
  assert_int_equal(times(m.html.data, "<script"), 0);
  drop(&m);
}

static void test_without_maps(void **state) {
  (void)state;
  made m;
  make(&m, drawn_tiny(), NULL, 0, false);
  assert_null(strstr(m.html.data, "id=\"maps\""));
  assert_null(strstr(m.html.data, "#maps"));
  drop(&m);
}

/* A scenario full of markup: none of it gets into the page as such. */
static void test_names_stay_text(void **state) {
  (void)state;
  made m;
  make(&m, drawn_many(), NULL, 0, true);
  assert_null(strstr(m.html.data, "<script"));
  assert_null(strstr(m.html.data, "<b>"));
  assert_non_null(strstr(m.html.data, "&#60;script&#62;alert(1)&#60;/script&#62; 3"));
  assert_non_null(strstr(m.html.data, "&#38;amp;"));
  drop(&m);
}

static void test_same_bytes(void **state) {
  (void)state;
  made one, other;
  make(&one, drawn_tiny(), NULL, 0, true);
  make(&other, drawn_tiny(), NULL, 0, true);
  assert_string_equal(one.html.data, other.html.data);
  drop(&one);
  drop(&other);
}

static void test_nothing_compared(void **state) {
  (void)state;
  made m;
  make(&m, drawn_tiny(), NULL, 0, false);
  const pc_comparison none = {0};
  const pc_report_content content = {.scenario = &m.night.scenario, .comparison = &none};
  pc_text out = {0};
  assert_int_equal(pc_report_write(&content, &(pc_picture_style){0}, &out), PC_ERR_MISSING);
  pc_text_free(&out);
  drop(&m);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_order),
      cmocka_unit_test(test_without_maps),
      cmocka_unit_test(test_names_stay_text),
      cmocka_unit_test(test_same_bytes),
      cmocka_unit_test(test_nothing_compared),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
