// SPDX-License-Identifier: GPL-3.0-or-later
/* Which box on which machine: the text of a mix, the lot it makes, and how many mixes there are. The number
 * of ways is held to a count of another kind: all B^K of them written out, sorted within each entry of the
 * crew and counted once; and to the multiset coefficients C(n + B - 1, B - 1) (NIST DLMF 26.4; from memory).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "read_good.h"
#include "sim/crew.h"
#include "simulate.h"
#include "study/compare_private.h"

/* Boxes: A 3 m, B 4 m, C 5 m, "2 x A", "A + B"; the last one narrower than all. */
static pc_scenario yard(const char *more_boxes, const char *crew) {
  char text[2000];
  snprintf(text, sizeof text,
           "pushcycle: 1\nname: yard\nsnow: {depth: 10 cm, fresh_density: 100 kg/m3}\nsite:\n  areas:\n"
           "    - {name: main, outline: [[0,0],[60,0],[60,40],[0,40]], heading: 0 deg}\n"
           "boxes:\n  - {name: A, width: 3 m, height: 1.2 m}\n  - {name: B, width: 4 m, height: 1.2 m}\n"
           "  - {name: C, width: 5 m, height: 1.2 m%s}\n%s"
           "loaders:\n  - {name: one, speeds: {push: 8 km/h, carry: 10 km/h, return: 14 km/h}}\n"
           "  - {name: two, speeds: {push: 6 km/h, carry: 8 km/h, return: 11 km/h}}\n"
           "zones: [{name: end, outline: [[60,2],[72,2],[72,38],[60,38]]}]\ncrew:\n%s",
           strchr(more_boxes, ',') == more_boxes ? more_boxes : "",
           strchr(more_boxes, ',') == more_boxes ? "" : more_boxes, crew);
  return read_good(text, NULL, 0, 0);
}

static const char *const three =
    "  - {loader: one, box: A, start: [1,1]}\n"
    "  - {loader: one, box: B, count: 2, start: [1,9]}\n";

static void assert_reads(const pc_scenario *s, const char *text, const char *letters) {
  pc_mix mix;
  if (pc_mix_read(s, text, &mix, NULL) != PC_OK)
    fail_msg("\"%s\" is not read", text);
  assert_int_equal(mix.count, strlen(letters));
  for (size_t i = 0; i < mix.count; i++)
    if (mix.boxes[i] != (size_t)(letters[i] - 'A'))
      fail_msg("\"%s\": box %zu is number %zu", text, i, mix.boxes[i]);
}

static void texts_are_read(void **state) {
  (void)state;
  pc_scenario s = yard("", three);
  assert_reads(&s, "A", "A");
  assert_reads(&s, "A + C", "AC");
  assert_reads(&s, "2 x A + C", "AAC");
  assert_reads(&s, "  2 x A  +   3 \xC3\x97 C ", "AACCC");
  assert_reads(&s, "64 x B", "BBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBBB");
  static const char *const wrong[][2] = {
      {"D", "D"},        {"A + D", "D"},  {"A+C", "A+C"},         {"A + ", ""},
      {"", ""},          {" + A", "+ A"}, {"0 x A", "0 x A"},     {"2 x", "2 x"},
      {"2 A", "2 A"},    {"x A", "x A"},  {"2 x 2 x A", "2 x A"}, {"-2 x A", "-2 x A"},
      {"2 x + A", "2 x"}};
  for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
    pc_mix mix;
    pc_name unknown = pc_name_of("?");
    if (pc_mix_read(&s, wrong[i][0], &mix, &unknown) != PC_ERR_NAME || !pc_name_is(&unknown, wrong[i][1]))
      fail_msg("\"%s\" is read, or \"%s\" is what is unknown of it", wrong[i][0], unknown.text);
  }
  static const char *const many[] = {"65 x B", "64 x A + B", "99999999999999999999999 x A"};
  for (size_t i = 0; i < 3; i++) {
    pc_mix mix;
    assert_int_equal(pc_mix_read(&s, many[i], &mix, NULL), PC_ERR_LIMIT);
  }
  pc_scenario_free(&s);
}

/* A box may be called like a mix: its own name comes first. */
static void names_come_first(void **state) {
  (void)state;
  pc_scenario s = yard(
      "  - {name: 2 x A, width: 2 m, height: 1 m}\n"
      "  - {name: A + B, width: 2.5 m, height: 1 m}\n",
      three);
  assert_reads(&s, "2 x A", "D");
  assert_reads(&s, "A + B", "E");
  assert_reads(&s, "B + 2 x A", "BD");
  assert_reads(&s, "B + 2 x B", "BBB");
  pc_scenario_free(&s);
}

static uint32_t draw(uint32_t *state, uint32_t below) {
  *state = *state * 1664525u + 1013904223u;
  return (*state >> 8) % below;
}

/* What a mix is written as, is read as one that gives every machine the same box. */
static void written_and_read_again(void **state) {
  (void)state;
  pc_scenario s = yard("", three);
  uint32_t luck = 5;
  for (int n = 0; n < 2000; n++) {
    pc_mix mix = {.count = 1 + draw(&luck, 12)}, again;
    uint32_t kinds = 1 + draw(&luck, 3);
    for (size_t i = 0; i < mix.count; i++)
      mix.boxes[i] = draw(&luck, kinds);
    pc_name text;
    assert_int_equal(pc_mix_write(&s, &mix, &text), PC_OK);
    assert_int_equal(pc_mix_read(&s, text.text, &again, NULL), PC_OK);
    for (size_t i = 0; i < 24; i++)
      if (mix.boxes[i % mix.count] != again.boxes[i % again.count])
        fail_msg("\"%s\" gives machine %zu another box", text.text, i);
  }
  pc_mix longest = {.count = PC_CREW_MAX};
  for (size_t i = 0; i < longest.count; i++)
    longest.boxes[i] = i % 2;
  pc_name text;
  assert_int_equal(pc_mix_write(&s, &longest, &text), PC_ERR_LIMIT);
  pc_scenario_free(&s);
}

/* Beside boxes that are called like mixes: what is written reads as the same mix, or nothing is. */
static void no_text_means_another_mix(void **state) {
  (void)state;
  pc_scenario s = yard(
      "  - {name: 2 x A, width: 2 m, height: 1 m}\n"
      "  - {name: A + B, width: 2.5 m, height: 1 m}\n",
      three);
  uint32_t luck = 11;
  size_t written = 0, refused = 0;
  for (int n = 0; n < 4000; n++) {
    pc_mix mix = {.count = 1 + draw(&luck, 5)}, again;
    for (size_t i = 0; i < mix.count; i++)
      mix.boxes[i] = draw(&luck, 5);
    pc_name text;
    pc_status status = pc_mix_write(&s, &mix, &text);
    if (status == PC_OK) {
      assert_int_equal(pc_mix_read(&s, text.text, &again, NULL), PC_OK);
      for (size_t i = 0; i < mix.count; i++)
        if (mix.boxes[i] != again.boxes[i % again.count])
          fail_msg("\"%s\" gives machine %zu another box", text.text, i);
      written++;
    } else {
      assert_int_equal(status, PC_ERR_NAME);
      refused++;
    }
  }
  assert_true(written > 2000 && refused > 10);
  pc_scenario_free(&s);
}

/* A name of a box has 63 bytes at most, a mix of several 143: one of 143 is read and written, one more is
 * not. */
static void as_long_as_a_mix_may_be(void **state) {
  (void)state;
  char boxes[400], longest[2 * PC_NAME_ROOM];
  snprintf(boxes, sizeof boxes,
           "  - {name: %044d, width: 2 m, height: 1 m}\n  - {name: %046d, width: 2 m, height: 1 m}\n", 1, 2);
  pc_scenario s = yard(boxes, three);
  pc_mix mix = {3, {3, 4, 3}}, again;
  pc_name text, name;
  assert_int_equal(pc_mix_write(&s, &mix, &text), PC_OK); /* 44 + 3 + 46 + 3 + 44 */
  assert_int_equal(strlen(text.text), 140);
  assert_int_equal(pc_mix_read(&s, text.text, &again, NULL), PC_OK);
  assert_true(pc_mix_is_same(&mix, &again, 3));
  snprintf(longest, sizeof longest, "%s   ", text.text);
  assert_true(pc_name_set_long(&name, longest)); /* 143 */
  assert_int_equal(pc_mix_read(&s, name.text, &again, NULL), PC_OK);
  snprintf(longest, sizeof longest, "%s    ", text.text);
  assert_false(pc_name_set_long(&name, longest));
  assert_int_equal(strlen(pc_name_long_of(longest).text), 143);
  const pc_choice choice = {.box = text.text, .depth_m = 0.1};
  pc_wanted wanted = {.boxes = {&text, 1}};
  const pc_compare_how how = {.wanted = &wanted, .replications = 1, .seed = 1};
  pc_faults faults = {0};
  pc_comparison c;
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_string_equal(c.rows[0].box.text, choice.box);
  assert_string_equal(c.rows[0].machines[1].unit.box.name.text, s.boxes[4].name.text);
  pc_comparison_free(&c);
  mix = (pc_mix){3, {4, 3, 4}}; /* 142 */
  assert_int_equal(pc_mix_write(&s, &mix, &text), PC_OK);
  mix = (pc_mix){4, {3, 4, 3, 4}};
  assert_int_equal(pc_mix_write(&s, &mix, &text), PC_ERR_LIMIT);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* A mix makes the same night, to the last bit, as a crew that has these boxes of its own. */
static void the_same_as_a_crew_of_its_own(void **state) {
  (void)state;
  pc_scenario asked = yard("",
                           "  - {loader: one, box: A, start: [1,1]}\n"
                           "  - {loader: two, box: A, keep: true, start: [1,5]}\n"
                           "  - {loader: one, box: A, count: 2, start: [1,9]}\n");
  pc_scenario own = yard("",
                         "  - {loader: one, box: C, start: [1,1]}\n"
                         "  - {loader: two, box: A, start: [1,5]}\n"
                         "  - {loader: one, box: B, start: [1,9]}\n"
                         "  - {loader: one, box: C, start: [1,9]}\n");
  const pc_choice choice = {.box = "C + B + C", .depth_m = 0.1}, turns = {.box = "C + B", .depth_m = 0.1};
  pc_faults faults = {0};
  pc_lot *mixed = NULL, *begun_anew = NULL, *plain = make_lot(&own);
  assert_int_equal(pc_lot_create(&asked, &choice, &mixed, &faults), PC_OK);
  assert_int_equal(pc_lot_create(&asked, &turns, &begun_anew, &faults), PC_OK);
  pc_result a = simulate_lot(mixed, 1, 0, NULL), b = simulate_lot(plain, 1, 0, NULL),
            c = simulate_lot(begun_anew, 1, 0, NULL);
  assert_true(a.finished && a.cycles > 10);
  assert_memory_equal(&a.total_time_s, &b.total_time_s, sizeof a.total_time_s);
  assert_memory_equal(&c.total_time_s, &b.total_time_s, sizeof a.total_time_s);
  assert_int_equal(a.cycles, b.cycles);
  for (size_t m = 0; m < 4; m++)
    assert_memory_equal(a.machines[m].time_s, b.machines[m].time_s, sizeof a.machines[m].time_s);
  pc_result_free(&a);
  pc_result_free(&b);
  pc_result_free(&c);
  pc_lot_free(mixed);
  pc_lot_free(begun_anew);
  pc_lot_free(plain);
  pc_faults_free(&faults);
  pc_scenario_free(&asked);
  pc_scenario_free(&own);
}

/* What can't be: more boxes than machines, more than there are, names that do not exist. */
static void faults_of_a_mix(void **state) {
  (void)state;
  static const struct {
    const char *box;
    pc_status status;
    const char *key, *words;
  } cases[] = {
      {"A + B + C + A", PC_ERR_RANGE, "box", "names 4 boxes, but only 3 machines"},
      {"C", PC_ERR_LIMIT, "boxes[2].count", "there is 1 of \"C\", and this crew would need 3"},
      {"C + B", PC_ERR_LIMIT, "boxes[2].count", "would need 2"},
      {"C + Q", PC_ERR_NAME, "box", "there is no \"Q\""},
      {"65 x A", PC_ERR_RANGE, "box", "more than 64"},
  };
  pc_scenario s = yard(", count: 1", three);
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    const pc_choice choice = {.box = cases[i].box, .depth_m = 0.1};
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    assert_int_equal(pc_lot_create(&s, &choice, &lot, &faults), cases[i].status);
    assert_string_equal(faults.items[0].key, cases[i].key);
    if (!strstr(faults.items[0].message, cases[i].words))
      fail_msg("%s: %s", cases[i].box, faults.items[0].message);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&s);
}

/* Machine by machine, as a person would: those that stay are there at once, in their place. */
static size_t called_up(const pc_crew_entry *crew, size_t entries, int wanted, size_t *out) {
  size_t count = 0;
  int more = 0;
  for (size_t e = 0; e < entries; e++)
    more += crew[e].keep ? 0 : crew[e].count;
  bool some = wanted > 0;
  for (int round = 0; round == 0 || (some && wanted > 0 && more > 0); round++)
    for (size_t e = 0; e < entries; e++)
      for (int i = 0; i < crew[e].count; i++) {
        if (crew[e].keep ? round > 0 : some && wanted-- <= 0)
          continue;
        out[count++] = e;
      }
  return count;
}

static void crews_line_up(void **state) {
  (void)state;
  for (int code = 0; code < 6 * 6 * 6; code++) {
    pc_crew_entry crew[3];
    for (int e = 0, rest = code; e < 3; e++, rest /= 6) {
      crew[e] = pc_crew_entry_default();
      crew[e].count = rest % 3 + 1;
      crew[e].keep = rest % 6 >= 3;
    }
    for (int wanted = 0; wanted <= 20; wanted++) {
      size_t twin[64], found[64], count = called_up(crew, 3, wanted, twin);
      assert_int_equal(pc_crew_line_up(crew, 3, wanted, found, 64), count);
      assert_memory_equal(found, twin, count * sizeof *twin);
      size_t room = count / 2;
      assert_int_equal(pc_crew_line_up(crew, 3, wanted, found, room), room);
      assert_memory_equal(found, twin, room * sizeof *twin);
      pc_scenario s = {.crew = crew, .crew_count = 3};
      size_t left = 0;
      for (size_t m = 0; m < count; m++)
        if (!crew[twin[m]].keep)
          twin[left++] = twin[m];
      assert_int_equal(pc_crew_write_out(&s, wanted, found), left);
      assert_memory_equal(found, twin, left * sizeof *twin);
    }
  }
}

/* ---- how many ---- */

typedef struct crew_case {
  int counts[3], entries, kept_c; /* machines of each entry; machines that stay, with box C */
  int c_count;                    /* how many boxes C there are */
} crew_case;

/* All B^K ways, those that differ only within an entry counted once; without one box on all, and without the
 * crew's own (A on all of the first entry, B on the others). */
static size_t ways_written_out(const crew_case *crew) {
  int machines = 0, entry_of[8], all = 1;
  for (int e = 0; e < crew->entries; e++)
    for (int i = 0; i < crew->counts[e]; i++)
      entry_of[machines++] = e;
  for (int i = 0; i < machines; i++)
    all *= 3;
  size_t found = 0;
  for (int code = 0; code < all; code++) {
    int rest = code, digits[8], c = 0;
    bool sorted = true, uniform = true, own = true;
    for (int i = 0; i < machines; i++, rest /= 3) {
      digits[i] = rest % 3;
      c += digits[i] == 2;
      sorted &= i == 0 || entry_of[i] != entry_of[i - 1] || digits[i - 1] <= digits[i];
      uniform &= digits[i] == digits[0];
      own &= digits[i] == (entry_of[i] == 0 ? 0 : 1);
    }
    found += sorted && !uniform && !own && c + crew->kept_c <= crew->c_count;
  }
  return found;
}

static size_t choose(size_t n, size_t k) {
  size_t ways = 1;
  for (size_t i = 1; i <= k; i++)
    ways = ways * (n - k + i) / i;
  return ways;
}

static void ways_are_counted(void **state) {
  (void)state;
  static const crew_case cases[] = {
      {{1, 1, 0}, 2, 0, 64}, {{2, 0, 0}, 1, 0, 64}, {{1, 2, 0}, 2, 0, 64}, {{4, 0, 0}, 1, 0, 64},
      {{2, 2, 2}, 3, 0, 64}, {{3, 1, 3}, 3, 0, 64}, {{1, 1, 0}, 2, 0, 1},  {{2, 2, 0}, 2, 0, 2},
      {{2, 2, 0}, 2, 1, 2},  {{3, 2, 0}, 2, 1, 1},  {{6, 0, 0}, 1, 2, 5},
  };
  for (size_t n = 0; n < sizeof cases / sizeof cases[0]; n++) {
    const crew_case *crew = &cases[n];
    char text[600] = "", boxes[40];
    size_t length = 0, free_ways = 1;
    snprintf(boxes, sizeof boxes, ", count: %d", crew->c_count);
    for (int e = 0; e < crew->entries; e++) {
      length += (size_t)snprintf(text + length, sizeof text - length,
                                 "  - {loader: one, box: %s, count: %d, start: [1,1]}\n", e == 0 ? "A" : "B",
                                 crew->counts[e]);
      free_ways *= choose((size_t)crew->counts[e] + 2, 2);
    }
    if (crew->kept_c > 0)
      snprintf(text + length, sizeof text - length,
               "  - {loader: two, box: C, count: %d, keep: true, start: [1,5]}\n", crew->kept_c);
    pc_scenario s = yard(boxes, text);
    pc_faults faults = {0};
    size_t count = 0, listed = 3 + (crew->entries > 1); /* each on all, and the crew's own where it differs */
    pc_wanted wanted = {.mixed = true};
    assert_int_equal(pc_compare_count(&s, &wanted, &count, &faults), PC_OK);
    size_t expected = ways_written_out(crew);
    if (crew->c_count == 64 && crew->kept_c == 0) /* all of them, less the uniform ones and the crew's own */
      assert_int_equal(expected, free_ways - 3 - (crew->entries > 1));
    if (count != listed + expected)
      fail_msg("case %zu: %zu combinations, not %zu + %zu", n, count, listed, expected);
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
}

/* For n machines: those of the crew, machine by machine, begun anew. Of one entry of two and one of one, four
 * machines are three and one of them; so with two boxes (a + 1)(b + 1) ways each, a and b being how many
 * there are of either entry. */
static void ways_for_each_number(void **state) {
  (void)state;
  pc_scenario s = yard("",
                       "  - {loader: one, box: A, count: 2, start: [1,1]}\n"
                       "  - {loader: two, box: B, start: [1,3]}\n"
                       "  - {loader: two, box: C, keep: true, start: [1,5]}\n");
  static const int entries[][2] = {{1, 0}, {2, 0}, {2, 1}, {3, 1}, {4, 1}, {4, 2}};
  pc_name names[] = {pc_name_of("A"), pc_name_of("B")};
  int all[6];
  size_t sum = 0;
  for (int n = 1; n <= 6; n++) {
    int number = all[n - 1] = n;
    pc_wanted wanted = {.mixed = true, .boxes = {names, 2}, .crews = {&number, 1}};
    pc_faults faults = {0};
    size_t count = 0, expected = (size_t)((entries[n - 1][0] + 1) * (entries[n - 1][1] + 1));
    assert_int_equal(pc_compare_count(&s, &wanted, &count, &faults), PC_OK);
    assert_int_equal(count, expected);
    sum += expected;
    pc_faults_free(&faults);
  }
  pc_wanted wanted = {.mixed = true, .boxes = {names, 2}, .crews = {all, 6}};
  pc_faults faults = {0};
  size_t count = 0;
  assert_int_equal(pc_compare_count(&s, &wanted, &count, &faults), PC_OK);
  assert_int_equal(count, sum);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Each row has as many machines as it says, with the boxes that its name says; what needs more boxes than
 * there are is not among them. */
static void rows_of_each_number(void **state) {
  (void)state;
  pc_scenario s = yard("", three);
  s.boxes[0].count = 2; /* A */
  int numbers[] = {3, 2, 1};
  pc_name names[] = {pc_name_of("A"), pc_name_of("B")};
  pc_wanted wanted = {.mixed = true, .boxes = {names, 2}, .crews = {numbers, 3}};
  const pc_compare_how how = {.wanted = &wanted, .replications = 1, .seed = 1};
  pc_faults faults = {0};
  pc_comparison c;
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_true(c.mixed);
  assert_int_equal(c.left_out_count, 1); /* A on all three */
  assert_int_equal(c.row_count, 2 + 4 + 5);
  for (size_t i = 0; i < c.row_count; i++) {
    const pc_compare_row *row = &c.rows[i];
    pc_mix mix;
    int a = 0;
    assert_int_equal(pc_mix_read(&s, row->box.text, &mix, NULL), PC_OK);
    assert_int_equal(row->machine_count, row->crew);
    for (size_t m = 0; m < row->machine_count; m++) {
      assert_string_equal(row->machines[m].unit.box.name.text, s.boxes[mix.boxes[m % mix.count]].name.text);
      a += mix.boxes[m % mix.count] == 0;
    }
    assert_true(a <= 2);
    for (size_t k = 0; k < i; k++)
      assert_false(c.rows[k].crew == row->crew && pc_name_is(&c.rows[k].box, row->box.text));
  }
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Each row is a way of its own, and its machines have the boxes that its name says. */
static void rows_are_what_they_are_called(void **state) {
  (void)state;
  pc_scenario s = yard("", three);
  pc_faults faults = {0};
  pc_comparison c;
  pc_wanted wanted = {.mixed = true};
  const pc_compare_how how = {.wanted = &wanted, .replications = 1, .seed = 1};
  assert_int_equal(pc_compare(&s, &how, &c, &faults), PC_OK);
  assert_int_equal(c.row_count, 3 * 6); /* C(3, 2) * C(4, 2) */
  for (size_t i = 0; i < c.row_count; i++) {
    const pc_compare_row *row = &c.rows[i];
    pc_mix mix = {3, {0, 1, 1}};
    if (row->box.text[0])
      assert_int_equal(pc_mix_read(&s, row->box.text, &mix, NULL), PC_OK);
    for (size_t m = 0; m < 3; m++)
      assert_string_equal(row->machines[m].unit.box.name.text, s.boxes[mix.boxes[m % mix.count]].name.text);
    for (size_t k = 0; k < i; k++)
      assert_string_not_equal(c.rows[k].box.text, row->box.text);
  }
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static void assert_refused(const pc_scenario *s, const pc_wanted *wanted, pc_status status,
                           const char *words) {
  pc_faults faults = {0};
  size_t count = 0;
  assert_int_equal(pc_compare_count(s, wanted, &count, &faults), status);
  assert_int_equal(faults.count, 1);
  if (!strstr(faults.items[0].message, words))
    fail_msg("\"%s\" has not \"%s\"", faults.items[0].message, words);
  pc_faults_free(&faults);
}

static void what_is_refused(void **state) {
  (void)state;
  int one = 1, ten = 10;
  pc_wanted mixed = {.mixed = true}, single = {.mixed = true, .crews = {&one, 1}},
            many = {.mixed = true, .crews = {&ten, 1}};
  pc_scenario s =
      yard("", "  - {loader: one, box: A, start: [1,1]}\n  - {loader: two, box: B, start: [1,2]}\n");
  assert_refused(&s, &single, PC_OK, "has no effect: 3 boxes on 1 machine");
  pc_scenario_free(&s);
  s = yard("", "  - {loader: one, box: A, start: [1,1]}\n");
  assert_refused(&s, &mixed, PC_OK, "has no effect: 3 boxes on 1 machine");
  pc_scenario_free(&s);
  /* 3^10 ways of ten machines that all differ; 64 alike have but C(66, 2), whose names are too long */
  char crew[1200] = "";
  for (int i = 0; i < 10; i++)
    snprintf(crew + strlen(crew), sizeof crew - strlen(crew), "  - {loader: one, box: A, start: [1,%d]}\n",
             1 + i);
  s = yard("", crew);
  assert_refused(&s, &mixed, PC_ERR_LIMIT, "in more ways than the 10000");
  assert_refused(&s, &many, PC_ERR_LIMIT, "in more ways than the 10000");
  pc_scenario_free(&s);
  /* none fits, and to see that takes no longer than to count too many */
  s = yard(", count: 0",
           "  - {loader: one, box: A, count: 32, start: [1,1]}\n"
           "  - {loader: two, box: A, count: 32, start: [1,3]}\n");
  s.boxes[0].count = s.boxes[1].count = 20;
  assert_refused(&s, &mixed, PC_OK, "has no effect");
  pc_scenario_free(&s);
}

static size_t count_of(const pc_scenario *s, const char *const *boxes, size_t count, bool mixed,
                       size_t cautions) {
  pc_name names[4];
  for (size_t i = 0; i < count; i++)
    names[i] = pc_name_of(boxes[i]);
  pc_wanted wanted = {.mixed = mixed, .boxes = {names, count}};
  pc_faults faults = {0};
  size_t rows = 0;
  assert_int_equal(pc_compare_count(s, &wanted, &rows, &faults), PC_OK);
  assert_int_equal(faults.count, cautions);
  pc_faults_free(&faults);
  return rows;
}

/* Nothing is compared twice, whatever it is called. */
static void each_once(void **state) {
  (void)state;
  pc_scenario s = yard("", three); /* one machine, and two alike: of two boxes 2 * 3 ways */
  assert_int_equal(count_of(&s, (const char *const[]){"A", "B"}, 2, true, 0), 6);
  assert_int_equal(count_of(&s, (const char *const[]){"A", "B", "A + 2 x B"}, 3, true, 0), 6);
  assert_int_equal(count_of(&s, (const char *const[]){"A", "1 x A", "B"}, 3, true, 1), 6);
  assert_int_equal(count_of(&s, (const char *const[]){"A", "1 x A", "3 x A", "B"}, 4, false, 2), 2);
  assert_int_equal(count_of(&s, (const char *const[]){"A + B", "B"}, 2, true, 1), 2); /* nothing to mix */
  assert_int_equal(count_of(&s, (const char *const[]){"own"}, 1, true, 1), 1);
  pc_scenario_free(&s);
  s = yard("", "  - {loader: one, box: A, keep: true, start: [1,1]}\n");
  assert_int_equal(count_of(&s, (const char *const[]){"A", "B"}, 2, true, 1), 2);
  assert_int_equal(count_of(&s, (const char *const[]){"own"}, 1, true, 1), 1);
  /* who all stay as they are take no other box, and refuse none */
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  assert_int_equal(pc_lot_create(&s, &(pc_choice){.box = "B", .depth_m = 0.1}, &lot, &faults), PC_OK);
  assert_string_equal(lot->machines[0].unit.box.name.text, "A");
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

static size_t count_wanted(const pc_scenario *s, const pc_wanted *wanted, size_t cautions, const char *why) {
  pc_faults faults = {0};
  size_t rows = 0;
  assert_int_equal(pc_compare_count(s, wanted, &rows, &faults), PC_OK);
  assert_int_equal(faults.count, cautions);
  for (size_t i = 0; i < cautions; i++)
    if (!faults.items[i].caution || !strstr(faults.items[i].message, why))
      fail_msg("told: %s", faults.items[i].message);
  pc_faults_free(&faults);
  return rows;
}

/* By hand: the crew has A + 2 x B. What comes to that, machine by machine, is the crew as it is. */
static void own_once(void **state) {
  (void)state;
  pc_scenario s = yard("", three);
  assert_int_equal(count_of(&s, (const char *const[]){"own", "A + 2 x B"}, 2, false, 1), 1);
  assert_int_equal(count_of(&s, (const char *const[]){"A + B + B", "own", "B"}, 3, false, 1), 2);
  assert_int_equal(count_of(&s, (const char *const[]){"own", "A + B"}, 2, false, 0), 2); /* A, B, A */
  assert_int_equal(count_of(&s, (const char *const[]){"own", "A", "B"}, 3, false, 0), 3);
  assert_int_equal(count_of(&s, (const char *const[]){"all"}, 1, false, 0), 4);
  /* of one machine A, of two A and B: the same whatever the number only if all numbers say so */
  pc_name boxes[] = {pc_name_of("own"), pc_name_of("A + B"), pc_name_of("A")}, all = pc_name_of("all");
  int numbers[] = {1, 2, 3};
  pc_wanted wanted = {.boxes = {boxes, 2}, .crews = {numbers, 2}};
  assert_int_equal(count_wanted(&s, &wanted, 1, "\"A + B\" stands there already, in other words"), 2);
  wanted.crews.count = 3;
  assert_int_equal(count_wanted(&s, &wanted, 0, ""), 6);
  wanted = (pc_wanted){.boxes = {boxes, 3}, .crews = {numbers, 1}};
  assert_int_equal(count_wanted(&s, &wanted, 2, "stands there already, in other words"), 1);
  wanted.boxes = (pc_names){&all, 1}; /* nobody asked for the crew's own then */
  assert_int_equal(count_wanted(&s, &wanted, 0, ""), 3);
  pc_name loaders[] = {pc_name_of("one"), pc_name_of("own"), pc_name_of("two")};
  wanted = (pc_wanted){.loaders = {loaders, 3}};
  assert_int_equal(count_wanted(&s, &wanted, 1, "\"own\" stands there already, in other words"), 2);
  pc_name policies[] = {pc_name_of("own"), s.policy, pc_name_of("straight-runs")};
  wanted = (pc_wanted){.policies = {policies, 3}};
  assert_int_equal(count_wanted(&s, &wanted, 1, "\"keep-pushing\" stands there already"), 2);
  pc_scenario_free(&s);
  s = yard("", "  - {loader: one, box: A, start: [1,1]}\n  - {loader: two, box: A, start: [1,9]}\n");
  assert_int_equal(count_of(&s, (const char *const[]){"A", "own"}, 2, false, 1), 1);
  wanted = (pc_wanted){.loaders = {loaders, 3}};
  assert_int_equal(count_wanted(&s, &wanted, 0, ""), 3);
  pc_scenario_free(&s);
  s = yard("", "  - {loader: one, box: A, keep: true, start: [1,1]}\n");
  assert_int_equal(count_of(&s, (const char *const[]){"A", "B"}, 2, false, 0), 2);
  pc_scenario_free(&s);
}

/* Memory that ran out as a combination was tried, be it for a caution only, is a fault of the whole. */
static void what_could_not_be_kept(void **state) {
  (void)state;
  pc_scenario s = yard("", three);
  const pc_wanted wanted = {.boxes = {NULL, 0}};
  pc_compare_plan plan = {0};
  pc_faults faults = {0}, found[1] = {{.dropped = 1}};
  pc_comparison comparison = {0};
  bool complete[1] = {false};
  assert_int_equal(pc_compare_plan_make(&s, &wanted, &plan, &faults), PC_OK);
  assert_int_equal(plan.count, 1);
  comparison.rows = calloc(1, sizeof *comparison.rows);
  comparison.row_count = comparison.asked = 1;
  assert_int_equal(pc_compare_settle(&s, &plan, PC_OK, complete, found, &comparison, &faults), PC_ERR_MEMORY);
  assert_int_equal(comparison.left_out_count, 0);
  assert_int_equal(pc_faults_status(&faults), PC_ERR_MEMORY);
  pc_comparison_free(&comparison);
  pc_compare_plan_free(&plan);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Too few boxes for so many machines: no way at all, which is not too many. */
static void too_few_boxes(void **state) {
  (void)state;
  char crew[2000] = "";
  for (int i = 0; i < 31; i++)
    snprintf(crew + strlen(crew), sizeof crew - strlen(crew), "  - {loader: one, box: A, start: [1,%d]}\n",
             1 + i);
  pc_scenario s = yard("", crew);
  s.boxes[0].count = s.boxes[1].count = 15;
  s.boxes[2].count = 0;
  assert_refused(&s, &(pc_wanted){.mixed = true}, PC_OK, "has no effect");
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(texts_are_read),
      cmocka_unit_test(names_come_first),
      cmocka_unit_test(written_and_read_again),
      cmocka_unit_test(no_text_means_another_mix),
      cmocka_unit_test(as_long_as_a_mix_may_be),
      cmocka_unit_test(the_same_as_a_crew_of_its_own),
      cmocka_unit_test(faults_of_a_mix),
      cmocka_unit_test(crews_line_up),
      cmocka_unit_test(ways_are_counted),
      cmocka_unit_test(ways_for_each_number),
      cmocka_unit_test(rows_of_each_number),
      cmocka_unit_test(rows_are_what_they_are_called),
      cmocka_unit_test(what_is_refused),
      cmocka_unit_test(each_once),
      cmocka_unit_test(own_once),
      cmocka_unit_test(too_few_boxes),
      cmocka_unit_test(what_could_not_be_kept),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
