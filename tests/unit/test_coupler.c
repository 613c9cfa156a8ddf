// SPDX-License-Identifier: GPL-3.0-or-later
/* Boxes that a loader can carry (`boxes` of a loader), and what is made of that: lots, mixes, comparisons,
 * limits, the list of a board. The number of mixes is held to a count of another kind: all B^K ways written
 * out, those thrown away that a loader does not take, and what is left counted once. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "io/board.h"
#include "read_good.h"
#include "sim/mix.h"
#include "simulate.h"
#include "study/compare.h"
#include "study/limits.h"
#include "study/sensitivity.h"

enum { BOXES = 4, BLADE = 3 }; /* A, B, C are boxes, P is a plow */

/* Loaders 0, 1, 2 with the keys given for each, and a crew. */
static pc_scenario yard(const char *const keys[3], int c_count, const char *crew, const char *more) {
  char text[2400];
  snprintf(text, sizeof text,
           "name: yard\nsnow: {depth: 10 cm, fresh_density: 100 kg/m3}\nsite:\n  areas:\n"
           "    - {name: main, outline: [[0,0],[60,0],[60,40],[0,40]], heading: 0 deg}\n"
           "boxes:\n  - {name: A, width: 3 m, height: 1.2 m}\n  - {name: B, width: 4 m, height: 1.2 m}\n"
           "  - {name: C, width: 5 m, height: 1.2 m, count: %d}\n  - {name: P, width: 3 m, blade: right}\n"
           "loaders:\n  - {name: '0', speeds: {push: 8 km/h, carry: 10 km/h, return: 14 km/h}%s}\n"
           "  - {name: '1', speeds: {push: 6 km/h, carry: 8 km/h, return: 11 km/h}%s}\n"
           "  - {name: '2', speeds: {push: 6 km/h, carry: 8 km/h, return: 11 km/h}%s}\n"
           "zones: [{name: end, outline: [[60,2],[72,2],[72,38],[60,38]]}]\ncrew:\n%s%s",
           c_count, keys[0], keys[1], keys[2], crew, more);
  return read_good(text, NULL, 0, 0);
}

static const char *const bound[3] = {", boxes: [A, B]", ", boxes: [B, C]", ", boxes: [P]"};
static const char *const three =
    "  - {loader: '0', box: A, count: 2, start: [1,1]}\n"
    "  - {loader: '1', box: C, start: [1,9]}\n";

/* ---- lots ---- */

static void a_lot_of_it_is_refused(void **state) {
  (void)state;
  static const struct {
    pc_choice choice;
    const char *key, *message;
  } cases[] = {
      {{.box = "A", .depth_m = 0.1},
       "loaders[1].boxes",
       "loader \"1\" does not take \"A\"; it takes \"B\", \"C\""},
      {{.box = "B + A + A", .depth_m = 0.1}, "loaders[1].boxes", "loader \"1\" does not take \"A\""},
      {{.box = "2 x A + P", .depth_m = 0.1}, "loaders[1].boxes", "loader \"1\" does not take \"P\""},
      {{.loader = "1", .depth_m = 0.1}, "loaders[1].boxes", "loader \"1\" does not take \"A\""},
      {{.loader = "2", .box = "B", .depth_m = 0.1},
       "loaders[2].boxes",
       "loader \"2\" does not take \"B\"; it takes \"P\""},
  };
  pc_scenario s = yard(bound, 64, three, "");
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    assert_int_equal(pc_lot_create(&s, &cases[i].choice, &lot, &faults), PC_ERR_LIMIT);
    assert_string_equal(faults.items[0].key, cases[i].key);
    assert_non_null(strstr(faults.items[0].message, cases[i].message));
    assert_string_equal(faults.items[0].file, "lot.yaml");
    pc_faults_free(&faults);
  }
  static const pc_choice fine[] = {{.box = "B", .depth_m = 0.1},
                                   {.box = "A + B + C", .depth_m = 0.1},
                                   {.box = "A", .machines = 2, .depth_m = 0.1},
                                   {.loader = "1", .box = "C", .depth_m = 0.1}};
  for (size_t i = 0; i < sizeof fine / sizeof fine[0]; i++) {
    assert_int_equal(pc_lot_create(&s, &fine[i], &lot, &faults), PC_OK);
    assert_int_equal(lot->machines[0].unit.loader.boxes.count, 0); /* a lot points into no scenario */
    pc_lot_free(lot);
  }
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* ---- how many mixes ---- */

typedef struct way_case {
  int entries, counts[3], loaders[3], own[3], c_count;
  unsigned takes[3]; /* of each loader, a bit for each box; 0: all */
} way_case;

/* Boxes that a machine of this entry may be given in a mix. */
static unsigned allowed(const way_case *w, int entry) {
  unsigned takes = w->takes[w->loaders[entry]];
  unsigned may = takes ? takes : (1u << BLADE) - 1; /* a plow only where it is named */
  return may;
}

static int entry_of(const way_case *w, int machine) {
  int entry = 0;
  while (machine >= w->counts[entry])
    machine -= w->counts[entry++];
  return entry;
}

/* All 4^K ways: those that every machine may have, once for machines of one entry; and the crew's own. What
 * needs more boxes C than there are is only listed as one box on all, which is left out later. */
static size_t ways_written_out(const way_case *w, bool own_is_listed) {
  int machines = 0;
  size_t found = 0, all = 1;
  for (int e = 0; e < w->entries; e++)
    machines += w->counts[e];
  for (int i = 0; i < machines; i++)
    all *= BOXES;
  for (size_t code = 0; code < all; code++) {
    size_t rest = code;
    int digits[9], c = 0;
    bool sorted = true, uniform = true, own = true, fits = true;
    for (int i = 0; i < machines; i++, rest /= BOXES) {
      int entry = entry_of(w, i);
      digits[i] = (int)(rest % BOXES);
      c += digits[i] == 2;
      sorted &= i == 0 || entry_of(w, i - 1) != entry || digits[i - 1] <= digits[i];
      uniform &= digits[i] == digits[0];
      own &= digits[i] == w->own[entry];
      fits &= (allowed(w, entry) >> digits[i] & 1u) != 0;
    }
    found += sorted && ((fits && (c <= w->c_count || uniform)) || (own && own_is_listed));
  }
  return found;
}

static void write_case(const way_case *w, char keys[3][40], char *crew, size_t size) {
  for (int l = 0; l < 3; l++) {
    char *at = keys[l];
    at[0] = '\0';
    for (int b = 0; b < BOXES; b++)
      if (w->takes[l] >> b & 1u)
        at += snprintf(at, 12, "%s%c", at == keys[l] ? ", boxes: [" : ", ", "ABCP"[b]);
    if (w->takes[l])
      snprintf(at, 4, "]");
  }
  size_t length = 0;
  for (int e = 0; e < w->entries; e++)
    length += (size_t)snprintf(crew + length, size - length,
                               "  - {loader: '%d', box: %c, count: %d, start: [1,%d]}\n", w->loaders[e],
                               "ABCP"[w->own[e]], w -> counts[e], 1 + 4 * e);
}

static uint32_t draw(pc_stream *luck, uint32_t below) {
  return (uint32_t)(pc_stream_next(luck) >> 33) % below;
}

static way_case draw_case(pc_stream *luck) {
  way_case w = {.entries = 1 + (int)draw(luck, 3), .c_count = draw(luck, 2) ? 64 : 2};
  int own_c = 0;
  for (int l = 0; l < 3; l++)
    w.takes[l] = draw(luck, 3) ? draw(luck, 1u << BOXES) : 0;
  for (int e = 0; e < w.entries; e++) {
    w.counts[e] = 1 + (int)draw(luck, 2);
    w.loaders[e] = (int)draw(luck, 3);
    unsigned takes = w.takes[w.loaders[e]];
    do
      w.own[e] = (int)draw(luck, BOXES);
    while (takes && !(takes >> w.own[e] & 1u));
    own_c += w.own[e] == 2 ? w.counts[e] : 0;
  }
  w.c_count = own_c > w.c_count ? 64 : w.c_count;
  return w;
}

static void mixes_are_counted(void **state) {
  (void)state;
  pc_stream luck;
  pc_stream_start(&luck, 7, 0, 0, 0);
  size_t restricted = 0;
  for (int n = 0; n < 400; n++) {
    const way_case w = draw_case(&luck);
    char keys[3][40], crew[400];
    write_case(&w, keys, crew, sizeof crew);
    pc_scenario s = yard((const char *const[]){keys[0], keys[1], keys[2]}, w.c_count, crew, "");
    pc_faults faults = {0};
    size_t count = 0;
    bool differ = false;
    for (int e = 1; e < w.entries; e++)
      differ |= w.own[e] != w.own[0];
    assert_int_equal(pc_compare_count(&s, &(pc_wanted){.mixed = true}, &count, &faults), PC_OK);
    size_t expected = ways_written_out(&w, differ);
    if (count != expected)
      fail_msg("case %d: %zu combinations, not %zu\n%s%s%s%s", n, count, expected, keys[0], keys[1], keys[2],
               crew);
    restricted += w.takes[0] || w.takes[1] || w.takes[2];
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
  assert_true(restricted > 300);
}

/* For each number of machines: one of entry 0 has A, B, two have A, B and are alike, with one of entry 1,
 * which has B, C, that makes 2, 3, 6 ways. The crew as it is (A, A and A, A and A and C) is one of those. */
static void mixes_of_each_number(void **state) {
  (void)state;
  pc_scenario s = yard(bound, 64, three, "");
  static const size_t rows[] = {2, 3, 6};
  int numbers[] = {1, 2, 3};
  for (int n = 0; n < 3; n++) {
    pc_faults faults = {0};
    size_t count = 0;
    pc_wanted wanted = {.mixed = true, .crews = {&numbers[n], 1}};
    assert_int_equal(pc_compare_count(&s, &wanted, &count, &faults), PC_OK);
    assert_int_equal(count, rows[n]);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&s);
}

/* ---- comparisons ---- */

static bool is_allowed(const pc_unit *unit) {
  static const char *const takes[] = {"AB", "BC", "P"};
  return strchr(takes[unit->loader.name.text[0] - '0'], unit->box.name.text[0]) != NULL;
}

static pc_comparison compare(const pc_scenario *s, const pc_wanted *wanted, size_t cautions) {
  const pc_compare_how how = {.wanted = wanted, .replications = 1, .seed = 1};
  pc_faults faults = {0};
  pc_comparison c;
  pc_status status = pc_compare(s, &how, &c, &faults);
  if (status != PC_OK || faults.count != cautions)
    fail_msg("%zu cautions, the first: %s", faults.count, faults.count ? faults.items[0].message : "-");
  pc_faults_free(&faults);
  return c;
}

static void no_row_is_against_it(void **state) {
  (void)state;
  pc_scenario s = yard(bound, 64, three, "  - {loader: '2', box: P, start: [1,20]}\n");
  pc_name names[] = {pc_name_of("A"), pc_name_of("C")}, second = pc_name_of("B + B + C + P");
  const pc_wanted wanted[] = {
      {.mixed = true},
      {.mixed = true, .boxes = {names, 2}}, /* who takes neither keeps its own: P on the plow truck */
      {.boxes = {&second, 1}}};
  static const size_t rows[] = {6, 1, 1}, left_out[] = {0, 2, 0};
  for (size_t i = 0; i < 3; i++) {
    pc_comparison c = compare(&s, &wanted[i], left_out[i]);
    assert_int_equal(c.row_count, rows[i]);
    assert_int_equal(c.left_out_count, left_out[i]);
    for (size_t r = 0; r < c.row_count; r++)
      for (size_t m = 0; m < c.rows[r].machine_count; m++)
        assert_true(is_allowed(&c.rows[r].machines[m].unit));
    if (i == 1)
      assert_string_equal(c.rows[0].box.text, "2 x A + C + P");
    pc_comparison_free(&c);
  }
  pc_scenario_free(&s);
}

/* What is asked for by name is left out with its reason; if nothing is left, that is the fault. */
static void left_out_with_the_reason(void **state) {
  (void)state;
  pc_scenario s = yard(bound, 64, three, "");
  pc_name names[] = {pc_name_of("A"), pc_name_of("B"), pc_name_of("B + A + A")}, loader = pc_name_of("2");
  pc_wanted wanted = {.boxes = {names, 3}};
  pc_comparison c = compare(&s, &wanted, 2);
  assert_int_equal(c.row_count, 1);
  assert_string_equal(c.rows[0].box.text, "B");
  assert_int_equal(c.left_out_count, 2);
  assert_string_equal(c.left_out[0].box.text, "A");
  assert_string_equal(c.left_out[0].why.key, "loaders[1].boxes");
  assert_string_equal(c.left_out[0].why.message, "loader \"1\" does not take \"A\"; it takes \"B\", \"C\"");
  assert_string_equal(c.left_out[1].box.text, "B + A + A");
  pc_comparison_free(&c);
  wanted = (pc_wanted){.mixed = true, .boxes = {names, 2}, .loaders = {&loader, 1}};
  const pc_compare_how how = {.wanted = &wanted, .replications = 1, .seed = 1};
  pc_faults faults = {0};
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_ERR_LIMIT);
  assert_int_equal(pc_faults_status(&faults), PC_ERR_LIMIT);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Mixes are those of either loader where several are compared, each once. */
static void mixes_of_several_loaders(void **state) {
  (void)state;
  pc_scenario s = yard(bound, 64, three, "");
  pc_name loaders[] = {pc_name_of("own"), pc_name_of("0")};
  pc_wanted wanted = {.mixed = true, .loaders = {loaders, 2}};
  pc_faults faults = {0};
  size_t count = 0;
  assert_int_equal(pc_compare_count(&s, &wanted, &count, &faults), PC_OK);
  /* own: AA AB BB with B or C, of which AA + C is the crew's own; loader 0: AA AB BB with A or B, of which
   * AA, AB with B and BB with B are known; and the crew as it is */
  assert_int_equal(count, 2 * (5 + 3 + 1));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* ---- tables and lists ---- */

static void limits_leave_it_out(void **state) {
  (void)state;
  pc_scenario s = yard(bound, 64, three, "");
  pc_limits_row rows[3 * BOXES];
  size_t count = pc_limits_make(&s, rows);
  assert_int_equal(count, 2 + 2 + 1);
  for (size_t i = 0; i < count; i++)
    assert_true(is_allowed(&rows[i].unit));
  pc_scenario_free(&s);
}

static void a_board_lists_what_all_take(void **state) {
  (void)state;
  pc_scenario s = yard(bound, 64, three, "");
  pc_board board = {.scenario = &s, .name = "lot.yaml", .text = "", .choice = {.depth_m = NAN}, .threads = 1};
  pc_text page = {0};
  assert_int_equal(pc_board_page(&board, NULL, &page), PC_OK);
  assert_non_null(strstr(page.data, "\"boxes\":[\"B\"]"));
  pc_text_free(&page);
  pc_scenario_free(&s);
}

/* No remark on a box that not every machine takes: before, it would have lost at every depth. */
static void no_turn_of_what_can_not_be(void **state) {
  (void)state;
  static const char *const free_loaders[3] = {"", "", ""};
  for (int bounded = 0; bounded < 2; bounded++) {
    pc_scenario s = yard(bounded ? bound : free_loaders, 64, three, "");
    pc_sensitivity_plan plan = pc_sensitivity_plan_default();
    pc_sensitivity found;
    pc_faults faults = {0};
    plan.replications = 1;
    assert_int_equal(pc_sensitivity_make(&s, NULL, &plan, &found, &faults), PC_OK);
    /* A and C are left out, with the reason; what is left is B and the crew's own boxes */
    assert_int_equal(found.no_turn_count, bounded ? 2 : 0);
    for (size_t i = 0; i < found.no_turn_count; i++) {
      assert_string_equal(found.no_turns[i].name.text, i == 0 ? "A" : "C");
      assert_non_null(strstr(found.no_turns[i].reason, "does not take"));
    }
    assert_true(found.break_even_count > 0);
    for (size_t i = 0; i < found.break_even_count && bounded; i++) {
      assert_true(pc_name_is(&found.break_evens[i].below, "B") ||
                  pc_name_is(&found.break_evens[i].below, "2 x A + C"));
      assert_true(pc_name_is(&found.break_evens[i].above, "B") ||
                  pc_name_is(&found.break_evens[i].above, "2 x A + C"));
    }
    pc_sensitivity_free(&found);
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
}

/* The caution that asks whether a loader can carry so heavy a box has its answer where the loader names it.
 */
static void a_heavy_box_that_is_named(void **state) {
  (void)state;
  static const char *const weights[2][3] = {{", power: 60 kW, mass: 4 t, traction: 0.5", "", ""},
                                            {", power: 60 kW, mass: 4 t, traction: 0.5, boxes: A", "", ""}};
  for (int named = 0; named < 2; named++) {
    pc_scenario s = yard(weights[named], 64, "  - {loader: '0', box: A, start: [1,1]}\n", "");
    pc_faults faults = {0};
    s.boxes[0].mass_kg = 1300;
    pc_scenario_validate(&s, &faults);
    assert_int_equal(faults.count, named ? 0 : 1);
    if (!named)
      assert_non_null(strstr(faults.items[0].message, "three tenths"));
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
}

/* What a program puts together may have more names than a message can hold. */
static void many_boxes_end_in_an_ellipsis(void **state) {
  (void)state;
  pc_name names[200];
  char text[64];
  for (size_t i = 0; i < 200; i++)
    names[i] = pc_name_of("twelve bytes");
  pc_loader loader = pc_loader_default();
  pc_loader_print_boxes(&loader, text, sizeof text);
  assert_string_equal(text, "every box");
  assert_true(pc_loader_takes(&loader, "any"));
  loader.boxes = (pc_names){names, 1};
  pc_loader_print_boxes(&loader, text, sizeof text);
  assert_string_equal(text, "\"twelve bytes\"");
  assert_false(pc_loader_takes(&loader, "any"));
  loader.boxes.count = 200;
  pc_loader_print_boxes(&loader, text, sizeof text);
  assert_string_equal(text, "\"twelve bytes\", \"twelve bytes\", \"twelve bytes\", …");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_lot_of_it_is_refused),     cmocka_unit_test(mixes_are_counted),
      cmocka_unit_test(mixes_of_each_number),       cmocka_unit_test(no_row_is_against_it),
      cmocka_unit_test(left_out_with_the_reason),   cmocka_unit_test(mixes_of_several_loaders),
      cmocka_unit_test(limits_leave_it_out),        cmocka_unit_test(a_board_lists_what_all_take),
      cmocka_unit_test(no_turn_of_what_can_not_be), cmocka_unit_test(many_boxes_end_in_an_ellipsis),
      cmocka_unit_test(a_heavy_box_that_is_named),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
