// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <string.h>
#include <wchar.h>

#include "base/text.h"

static void names_hold_63_bytes(void **state) {
  (void)state;
  char text[80];
  memset(text, 'a', sizeof text);
  text[63] = '\0';
  pc_name name = pc_name_of("before");
  assert_true(pc_name_set(&name, text));
  assert_true(pc_name_is(&name, text));
  text[63] = 'a';
  text[64] = '\0';
  assert_false(pc_name_set(&name, text));
  assert_int_equal(strlen(name.text), 63);
  assert_true(pc_name_set(&name, ""));
  assert_true(pc_name_is(&name, ""));
  for (size_t i = 0; i < sizeof name.text; i++) /* nothing of the longer name stays behind */
    assert_int_equal(name.text[i], 0);
  assert_int_equal(strlen(pc_name_of(text).text), 63);
  memcpy(text + 61, "\xE2\x82\xAC", 3); /* a euro sign across the limit */
  assert_int_equal(strlen(pc_name_of(text).text), 61);
  assert_false(pc_name_is(&name, "x"));
}

static void text_grows(void **state) {
  (void)state;
  pc_text text = {0};
  pc_text_add(&text, "");
  assert_string_equal(text.data, "");
  for (int i = 0; i < 1000; i++)
    pc_text_addf(&text, "%03d,", i);
  pc_text_add(&text, "end");
  assert_int_equal(text.length, 4003);
  assert_int_equal(strlen(text.data), 4003);
  assert_memory_equal(text.data + 4 * 517, "517,518,", 8);
  assert_string_equal(text.data + 3996, "999,end");
  pc_text_free(&text);
  assert_null(text.data);
  pc_text_free(NULL);
}

static void failed_text_stays_failed(void **state) {
  (void)state;
  pc_text text = {.length = PTRDIFF_MAX}; /* no memory could hold the next addition */
  pc_text_add(&text, "a");
  assert_true(text.failed);
  text.length = 0;
  pc_text_add(&text, "a");
  pc_text_addf(&text, "%d", 1);
  assert_null(text.data);
  assert_int_equal(text.length, 0);
  text = (pc_text){0};
  pc_text_addf(&text, "%ls", L"\x20AC"); /* a character that the C locale cannot write: vsnprintf fails */
  assert_true(text.failed);
  assert_null(text.data);
  text = (pc_text){.length = SIZE_MAX - 1};
  pc_text_addf(&text, "%s", "ab");
  assert_true(text.failed);
}

static void slips_find_their_word(void **state) {
  (void)state;
  static const char *const words[] = {"width", "height", "heap_factor", "side_leak", "overlap", "mass"};
  size_t count = sizeof words / sizeof words[0];
  struct {
    const char *slip, *word;
  } cases[] = {
      {"width", "width"},
      {"WIDTH", "width"},
      {"widht", "width"},
      {"hieght", "height"},
      {"heapfactor", "heap_factor"},
      {"side_leek", "side_leak"},
      {"overlaps", "overlap"},
      {"mas", "mass"},
      {"masse", "mass"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const char *found = pc_nearest_word(cases[i].slip, words, count);
    assert_non_null(found);
    assert_string_equal(found, cases[i].word);
  }
  assert_null(pc_nearest_word("colour", words, count));
  assert_null(pc_nearest_word("", words, count));
  assert_null(pc_nearest_word("width", words, 0));
  char endless[100];
  memset(endless, 'w', sizeof endless);
  endless[99] = '\0';
  assert_null(pc_nearest_word(endless, words, count));
  const char *const mixed[] = {endless, "m"};
  assert_null(pc_nearest_word("x", mixed, 2)); /* one letter for another is no slip of a key */
  assert_string_equal(pc_nearest_word("M", mixed, 2), "m");
}

static void nearest_is_within_the_limit(void **state) {
  (void)state;
  const char *const words[] = {"abcdefgh"};
  /* Eight letters allow three slips: 1 + 8/4. */
  assert_non_null(pc_nearest_word("xxxdefgh", words, 1));
  assert_null(pc_nearest_word("xxxxefgh", words, 1));
  /* Eleven letters allow three as well: the division cuts. */
  const char *const longer[] = {"abcdefghijk"};
  assert_non_null(pc_nearest_word("xxxdefghijk", longer, 1));
  assert_null(pc_nearest_word("xxxxefghijk", longer, 1));
}

/* What YAML makes of it is tested with its parser (test_tree.c). */
static void quoted(void **state) {
  (void)state;
  static const char *const cases[][2] = {
      {"", "''"},
      {"east", "'east'"},
      {"it's \"so\" \\", "'it''s \"so\" \\'"},
      {"Väinölä 🚜", "'Väinölä 🚜'"},
      {"two\nlines, it's \"\\", "\"two\\u000Alines, it's \\\"\\\\\""},
      {"l\xE2\x80\xA8s", "\"l\\u2028s\""},
      {"l\xF6t\xC3", "'l\xEF\xBF\xBDt\xEF\xBF\xBD'"},
  };
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_text text = {0};
    pc_text_add_quoted(&text, cases[i][0]);
    assert_string_equal(text.data, cases[i][1]);
    pc_text_free(&text);
  }
}

static void lines_of_utf8(void **state) {
  (void)state;
  assert_true(pc_is_line(""));
  assert_true(pc_is_line("Väinölä 🚜 ~"));
  static const char *const none[] = {"a\nb", "a\tb", "\x7F", "l\xF6t", "cut \xE2\x82", "\xC0\xAF"};
  for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
    assert_false(pc_is_line(none[i]));
  assert_int_equal(pc_utf8_length("\xE2\x82\xAC", 3), 3);
  assert_int_equal(pc_utf8_length("\xE2\x82\xAC", 2), 0); /* the rest is not part of the text */
  assert_int_equal(pc_utf8_length("a", 0), 0);
  assert_int_equal(pc_utf8_length("", 1), 0);
}

/* What a real shell makes of it is the string again. */
static void words_for_a_shell(void **state) {
  (void)state;
  static const struct {
    const char *string;
    char quote;
  } cases[] = {{"", '"'},           {"crew[0].first=[yard, it's]", '"'}, {"Väinölä; rm * &", '"'},
               {"a \"b\" c", '\''}, {"$HOME ${HOME} $(id)", '\''},       {"`id`", '\''},
               {"back\\", '\''},    {"it's $5, 'all'!", '\''},           {"'\"'\"'", '\''}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_text text = {0};
    char read[256] = "";
    pc_text_add(&text, "printf '%s.' ");
    pc_text_add_shell(&text, cases[i].string);
    assert_int_equal(text.data[strlen("printf '%s.' ")], cases[i].quote);
    FILE *shell = popen(text.data, "r");
    assert_non_null(shell);
    size_t length = fread(read, 1, sizeof read - 1, shell);
    assert_int_equal(pclose(shell), 0);
    assert_true(length > 0 && read[length - 1] == '.');
    read[length - 1] = '\0';
    assert_string_equal(read, cases[i].string);
    pc_text_free(&text);
  }
}

static void names_are_found(void **state) {
  (void)state;
  struct {
    pc_name name;
    double other;
  } things[] = {{{"a"}, 1}, {{"b"}, 2}, {{""}, 3}, {{"b"}, 4}};
  pc_name items[] = {{"all"}, {"b"}};
  assert_int_equal(pc_name_find(things, 4, sizeof *things, "b"), 1);
  assert_int_equal(pc_name_find(things + 2, 2, sizeof *things, "b"), 1);
  assert_int_equal(pc_name_find(things, 4, sizeof *things, ""), 2);
  assert_int_equal(pc_name_find(things, 4, sizeof *things, "c"), 4);
  assert_int_equal(pc_name_find(things, 1, sizeof *things, "b"), 1);
  assert_int_equal(pc_name_find(NULL, 0, sizeof *things, "b"), 0);
  assert_true(pc_names_are_all(&(pc_names){items, 1}));
  assert_false(pc_names_are_all(&(pc_names){items, 2})); /* a fault elsewhere: it is no name */
  assert_false(pc_names_are_all(&(pc_names){items + 1, 1}));
  assert_false(pc_names_are_all(&(pc_names){NULL, 0}));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(names_hold_63_bytes),
      cmocka_unit_test(names_are_found),
      cmocka_unit_test(text_grows),
      cmocka_unit_test(failed_text_stays_failed),
      cmocka_unit_test(slips_find_their_word),
      cmocka_unit_test(nearest_is_within_the_limit),
      cmocka_unit_test(words_for_a_shell),
      cmocka_unit_test(quoted),
      cmocka_unit_test(lines_of_utf8),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
