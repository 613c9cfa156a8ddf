// SPDX-License-Identifier: GPL-3.0-or-later
/* The canvas: contrast against the examples published with WCAG 2.1 (W3C, Understanding SC 1.4.3 and the
 * contrast algorithm: black on white 21 : 1, #777777 on white 4.48 : 1); the palette against Okabe & Ito's
 * published RGB values; UTF-8 against the sequences of RFC 3629 and Unicode's table 3-7; files against their
 * own signatures (PNG: RFC 2083, 3.1; PDF: ISO 32000-1, 7.5.2). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "drawn.h"
#include "io/html.h"
#include "io/utf8.h"

static void test_contrast(void **state) {
  (void)state;
  const pc_colour black = {0, 0, 0}, white = {255, 255, 255}, grey = {0x77, 0x77, 0x77};
  assert_true(fabs(pc_contrast(black, white) - 21.0) < 1e-12);
  assert_true(fabs(pc_contrast(white, black) - 21.0) < 1e-12);
  assert_true(fabs(pc_contrast(grey, white) - 4.48) < 0.005);
  assert_true(pc_contrast(grey, grey) == 1.0);
  /* #0000FF on white 8.59 : 1, #FF0000 4.00 : 1 (as common checkers print; from memory) */
  assert_true(fabs(pc_contrast((pc_colour){0, 0, 255}, white) - 8.59) < 0.005);
  assert_true(fabs(pc_contrast((pc_colour){255, 0, 0}, white) - 4.00) < 0.005);
}

static void test_palette(void **state) {
  (void)state;
  /* Okabe & Ito, Color Universal Design, figure 16 */
  static const struct {
    pc_ink ink;
    pc_colour colour;
  } published[] = {{PC_INK_BLACK, {0, 0, 0}},        {PC_INK_ORANGE, {230, 159, 0}},
                   {PC_INK_SKY, {86, 180, 233}},     {PC_INK_GREEN, {0, 158, 115}},
                   {PC_INK_YELLOW, {240, 228, 66}},  {PC_INK_BLUE, {0, 114, 178}},
                   {PC_INK_VERMILION, {213, 94, 0}}, {PC_INK_PURPLE, {204, 121, 167}}};
  for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
    pc_colour found = pc_ink_colour(published[i].ink), wanted = published[i].colour;
    assert_memory_equal(&found, &wanted, sizeof found);
  }
  /* deeper snow is darker, by steps that can be seen without colour */
  for (int i = PC_INK_SNOW_1; i < PC_INK_SNOW_5; i++)
    assert_true(pc_contrast(pc_ink_colour((pc_ink)i), pc_ink_colour((pc_ink)(i + 1))) > 1.3);
  /* no two phases look alike without colour: by height in a timeline, or by hatch and lightness in a bar */
  for (int a = 0; a < PC_PHASE_COUNT; a++)
    for (int b = 0; b < a; b++) {
      const pc_phase_look *one = pc_phase_look_of((pc_phase)a), *other = pc_phase_look_of((pc_phase)b);
      bool lift =
          (a == PC_PHASE_RAISE || a == PC_PHASE_LOWER) && (b == PC_PHASE_RAISE || b == PC_PHASE_LOWER);
      double lightness = pc_contrast(pc_ink_colour(one->area.fill), pc_ink_colour(other->area.fill));
      assert_true(lift || one->area.hatch != other->area.hatch || lightness > 1.1);
      assert_true(lift || one->high != other->high || one->low != other->low || lightness > 2);
    }
}

static void test_utf8(void **state) {
  (void)state;
  assert_int_equal(pc_utf8_length("a", 4), 1);
  assert_int_equal(pc_utf8_length("\xC3\xA4", 4), 2);
  assert_int_equal(pc_utf8_length("\xE2\x82\xAC", 4), 3);
  assert_int_equal(pc_utf8_length("\xF0\x9F\x9A\x9C", 4), 4);
  assert_int_equal(pc_utf8_length("\xF4\x8F\xBF\xBF", 4), 4); /* U+10FFFF */
  static const char *const wrong[] = {"\x80",         "\xC0\xAF",         "\xC1\xBF",         "\xE0\x80\xAF",
                                      "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF",
                                      "\xC3",         "\xE2\x82",         "\xF0\x9F\x9A"};
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
    assert_int_equal(pc_utf8_length(wrong[i], 4), 0);
  pc_text line = {0};
  pc_utf8_add_line(&line, "a\nb\x1b\xC2\x85\xFFz");
  assert_string_equal(line.data, "a b  " PC_UTF8_REPLACEMENT "z");
  pc_text_free(&line);
  pc_utf8_add_short(&line, "Ärger", 5);
  assert_string_equal(line.data, "Ärger");
  pc_text_free(&line);
  pc_utf8_add_short(&line, "Ärgernis", 5);
  assert_string_equal(line.data, "Ärge…");
  pc_text_free(&line);
}

static void test_html(void **state) {
  (void)state;
  pc_text out = {0};
  pc_html_add(&out, "<b a=\"1\">&'\x01\xFF ü");
  assert_string_equal(out.data,
                      "&#60;b a=&#34;1&#34;&#62;&#38;&#39;" PC_UTF8_REPLACEMENT PC_UTF8_REPLACEMENT " ü");
  pc_text_free(&out);
}

static pc_canvas *make(pc_picture_format format, pc_text *out) {
  const pc_canvas_setup setup = {.format = format, .width = 200, .height = 120, .title = "A <title>"};
  pc_canvas *canvas;
  assert_int_equal(pc_canvas_create(&setup, out, &canvas), PC_OK);
  return canvas;
}

static void test_formats(void **state) {
  (void)state;
  static const char *const begin[] = {"<?xml", "%PDF-1.", "\x89PNG\r\n\x1a\n"};
  for (int format = 0; format < 3; format++) {
    pc_text out[2] = {{0}, {0}};
    for (int i = 0; i < 2; i++) { /* twice: the same bytes */
      pc_canvas *canvas = make((pc_picture_format)format, &out[i]);
      pc_canvas_box(canvas, (pc_rect){10, 10, 80, 40},
                    &(pc_look){PC_INK_SKY, PC_HATCH_CROSS, PC_INK_BLACK, PC_DASH_MIXED, 1});
      pc_canvas_text(canvas, (pc_rect){10, 60, 150, 20}, &pc_type_body, "Grüße, 雪, שלום ± m³");
      for (size_t m = 0; m < PC_SERIES_MAX; m++)
        pc_canvas_marker(canvas, m, 20 + 20 * (double)m, 100, 4);
      assert_int_equal(pc_canvas_finish(canvas), PC_OK);
      pc_canvas_free(canvas);
    }
    assert_int_equal(out[0].length, out[1].length);
    assert_memory_equal(out[0].data, out[1].data, out[0].length);
    assert_memory_equal(out[0].data, begin[format], strlen(begin[format]));
    if (format == PC_PICTURE_SVG) {
      assert_non_null(strstr(out[0].data, "<title id=\"title\">A &#60;title&#62;</title>"));
      assert_non_null(strstr(out[0].data, "role=\"img\" aria-labelledby=\"title\""));
    }
    pc_text_free(&out[0]);
    pc_text_free(&out[1]);
  }
}

/* Ids of two pictures on one page differ, and every reference of a picture has its id. */
static void test_prefix(void **state) {
  (void)state;
  pc_text out = {0};
  const pc_canvas_setup setup = {.width = 100, .height = 100, .title = "t", .prefix = "p7-"};
  pc_canvas *canvas;
  assert_int_equal(pc_canvas_create(&setup, &out, &canvas), PC_OK);
  pc_canvas_text(canvas, (pc_rect){10, 10, 80, 40}, &pc_type_body, "some words");
  pc_canvas_box(canvas, (pc_rect){10, 50, 20, 20},
                &(pc_look){PC_INK_SKY, PC_HATCH_UP, PC_INK_BLACK, PC_DASH_NONE, 1});
  assert_int_equal(pc_canvas_finish(canvas), PC_OK);
  pc_canvas_free(canvas);
  assert_memory_equal(out.data, "<svg", 4);
  size_t references = 0;
  for (const char *at = out.data; (at = strstr(at, "id=\"")) != NULL; at += 4)
    assert_memory_equal(at + 4, "p7-", 3);
  for (const char *at = out.data; (at = strstr(at, "href=\"#")) != NULL; at += 7, references++) {
    char id[64] = "id=\"";
    size_t length = strcspn(at + 7, "\"");
    assert_true(length < 50);
    memcpy(id + 4, at + 7, length + 1);
    id[4 + length + 1] = '\0';
    assert_non_null(strstr(out.data, id));
  }
  assert_true(references >= 9);
  pc_text_free(&out);
}

static void test_text_stays_in_its_frame(void **state) {
  (void)state;
  pc_text out = {0};
  pc_canvas *canvas = make(PC_PICTURE_SVG, &out);
  pc_type one = {.size = 8, .lines = 1};
  pc_canvas_text(canvas, (pc_rect){10, 10, 60, 12}, &one, "much too long for a frame so narrow");
  pc_canvas_text(canvas, (pc_rect){10, 30, 60, 32}, &pc_type_body,
                 "much too long for a frame so narrow and so low that all of it can not be shown");
  pc_canvas_text(canvas, (pc_rect){10, 70, 60, 12}, &one, "Donaudampfschifffahrtsgesellschaft");
  pc_canvas_text(canvas, (pc_rect){80, 70, 60, 12}, &one, "short");
  drawn_count count = {0};
  drawn_watch(&count, canvas);
  assert_int_equal(count.kinds[PC_DRAWN_LABEL], 4);
  assert_int_equal(count.shortened, 3);
  drawn_count_free(&count);
  pc_canvas_free(canvas);
  pc_text_free(&out);
}

/* Many labels for one place: those that are drawn do not overlap, and at last there is no room. */
static void test_labels_find_places(void **state) {
  (void)state;
  pc_text out = {0};
  pc_canvas *canvas = make(PC_PICTURE_PNG, &out);
  const pc_type type = {.size = 7, .plate = true};
  int drawn = 0;
  for (int i = 0; i < 60; i++)
    drawn += pc_canvas_label(canvas, pc_canvas_page(canvas), 40 + 30 * (i % 5), 20 + 20 * (i / 5 % 4), 80,
                             &type, "label");
  assert_true(drawn >= 20);
  assert_true(drawn < 60);
  drawn_count count = {0};
  drawn_watch(&count, canvas);
  assert_int_equal(count.kinds[PC_DRAWN_LABEL], drawn);
  assert_false(pc_canvas_is_free(canvas, (pc_rect){95, 55, 10, 10}));
  drawn_count_free(&count);
  pc_canvas_free(canvas);
  pc_text_free(&out);
}

static void test_column_tells_when_full(void **state) {
  (void)state;
  pc_text out = {0};
  pc_canvas *canvas = make(PC_PICTURE_SVG, &out);
  pc_column column = pc_column_start(canvas, (pc_rect){10, 10, 100, 60});
  int fitted = 0;
  while (fitted < 100 && pc_column_addf(&column, &pc_type_body, 4, "paragraph %d of several words", fitted))
    fitted++;
  assert_in_range(fitted, 2, 6);
  drawn_count count = {0};
  drawn_watch(&count, canvas);
  assert_int_equal(count.kinds[PC_DRAWN_LABEL], fitted);
  drawn_count_free(&count);
  pc_canvas_free(canvas);
  pc_text_free(&out);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_contrast),
      cmocka_unit_test(test_palette),
      cmocka_unit_test(test_utf8),
      cmocka_unit_test(test_html),
      cmocka_unit_test(test_formats),
      cmocka_unit_test(test_prefix),
      cmocka_unit_test(test_text_stays_in_its_frame),
      cmocka_unit_test(test_labels_find_places),
      cmocka_unit_test(test_column_tells_when_full),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
