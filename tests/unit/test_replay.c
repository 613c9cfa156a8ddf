// SPDX-License-Identifier: GPL-3.0-or-later
/* What is recorded of a night, read back: legs add up to the result, changes of the ground to the snow that
 * is left. The page itself is tested in a browser (tests/browser). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdlib.h>
#include <string.h>

#include "io/replay.h"
#include "io/replay_private.h"
#include "io/web.h"
#include "read_good.h"

static const char small[] =
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3}\n"
    "site: {areas: [{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}]}\n"
    "boxes: [{name: wide, width: 4 m, height: 1 m}]\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
    "zones: [{name: east, outline: [[40, 0], [46, 0], [46, 20], [40, 20]]}]\n"
    "crew: [{loader: loader, box: wide, count: 2, start: [1, 1]}]\n";
static const char storm[] =
    "storm: [{after: 1 h, rate: 1 cm/h}, {after: 2 h, rate: 3 cm/h}, {after: 3 h, rate: 0 cm/h}]\n";

/* Reading what lib/io/replay.c packs; written anew, from its description. */
typedef struct reader {
  unsigned char *bytes;
  size_t count, at;
} reader;

static int six_bits(char c) {
  return c >= 'A' && c <= 'Z'   ? c - 'A'
         : c >= 'a' && c <= 'z' ? c - 'a' + 26
         : c >= '0' && c <= '9' ? c - '0' + 52
         : c == '+'             ? 62
                                : 63;
}

static reader open_reader(const json_t *run, const char *key) {
  const char *text = json_string_value(json_object_get(run, key));
  assert_non_null(text);
  size_t length = strlen(text);
  assert_int_equal(length % 4, 0);
  reader r = {.bytes = malloc(length + 1)};
  assert_non_null(r.bytes);
  for (size_t i = 0; i < length; i += 4) {
    uint32_t four = 0;
    for (size_t k = 0; k < 4; k++)
      four = four << 6 | (text[i + k] == '=' ? 0U : (uint32_t)six_bits(text[i + k]));
    for (size_t k = 0; k < 3; k++)
      if (k == 0 || text[i + k + 1] != '=')
        r.bytes[r.count++] = (unsigned char)(four >> (16 - 8 * k));
  }
  return r;
}

static uint64_t number(reader *r) {
  uint64_t value = 0;
  for (int shift = 0;; shift += 7) {
    assert_true(r->at < r->count);
    unsigned char byte = r->bytes[r->at++];
    value |= (uint64_t)(byte & 0x7F) << shift;
    if (byte < 0x80)
      return value;
  }
}

static int64_t either(reader *r) {
  uint64_t value = number(r);
  return value % 2 ? -(int64_t)(value / 2) - 1 : (int64_t)(value / 2);
}

static json_t *record(const char *text, const char *more, pc_lot **lot) {
  char all[4096];
  pc_text json = {0};
  pc_faults faults = {0};
  bool finished = false;
  const pc_choice choice = {.depth_m = NAN};
  snprintf(all, sizeof all, "%s%s", text, more);
  pc_scenario scenario = read_good(all, NULL, 0, 0);
  assert_int_equal(pc_lot_create(&scenario, &choice, lot, &faults), PC_OK);
  assert_int_equal(pc_replay_record(*lot, 1, &json, &finished), PC_OK);
  assert_true(finished);
  json_t *run = json_loads(json.data, 0, NULL);
  assert_non_null(run);
  pc_text_free(&json);
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
  return run;
}

static double in(const json_t *map, const char *key) {
  const json_t *value = json_object_get(map, key);
  assert_true(json_is_number(value));
  return json_number_value(value);
}

/* kg on the ground by levels, given what has fallen on each square metre. */
static double ground_kg(const pc_lot *lot, const int *levels, double level_kgpm2, double fallen_kgpm2) {
  double kg = 0.0;
  for (size_t c = 0; c < lot->ground->cell_count; c++)
    kg += lot->ground->cell_m2[c] * (levels[c] * level_kgpm2 + fallen_kgpm2);
  return kg;
}

/* What is no ground of the lanes is shown with the snow that lies there, but under zones. */
static void check_off_grid(const json_t *run, const pc_lot *lot, size_t cell, uint64_t value) {
  size_t p = 0;
  while (p + 1 < lot->ground->patch_count && pc_patch_cell(&lot->ground->patches[p + 1], 0, 0) <= cell)
    p++;
  const pc_patch *patch = &lot->ground->patches[p];
  size_t within = cell - pc_patch_cell(patch, 0, 0), strips = (size_t)patch->strips;
  pc_point middle = pc_patch_world(patch, patch->u0_m + ((double)(within / strips) + 0.5) * patch->station_m,
                                   patch->v0_m + ((double)(within % strips) + 0.5) * patch->strip_m);
  bool under_zone = false;
  for (size_t z = 0; z < lot->zone_count; z++)
    under_zone |= lot->zones[z].outline.count > 0 && pc_ring_contains(&lot->zones[z].outline, middle);
  long lying = lround(lot->snow.depth_m * lot->fresh_density_kgpm3 / in(run, "level_kgpm2"));
  assert_int_equal(value, under_zone ? 0 : lying + 1);
}

static int *start_levels(const json_t *run, const pc_lot *lot) {
  int *levels = calloc(lot->ground->cell_count, sizeof *levels);
  assert_non_null(levels);
  reader r = open_reader(run, "start");
  size_t cell = 0;
  while (r.at < r.count) {
    uint64_t count = number(&r), value = number(&r);
    for (uint64_t i = 0; i < count; i++, cell++) {
      assert_true(cell < lot->ground->cell_count);
      if (lot->ground->cell_m2[cell] > 0.0)
        assert_true(value > 0);
      else
        check_off_grid(run, lot, cell, value);
      levels[cell] = value > 0 ? (int)value - 1 : 0;
    }
  }
  assert_int_equal(cell, lot->ground->cell_count);
  free(r.bytes);
  return levels;
}

static void make_changes(const json_t *run, const pc_lot *lot, int *levels, double total_s) {
  reader r = open_reader(run, "changes");
  int64_t start_ms = 0;
  while (r.at < r.count) {
    start_ms += either(&r);
    int64_t end_ms = start_ms + (int64_t)number(&r);
    assert_true(start_ms >= 0 && end_ms <= (int64_t)(total_s * 1000.0) + 1);
    for (int k = 0; k < 4; k++)
      either(&r);
    size_t cell = 0;
    for (uint64_t count; (count = number(&r)) > 0;) {
      cell += number(&r);
      int64_t by = either(&r);
      assert_true(by != 0);
      for (uint64_t i = 0; i < count; i++, cell++) {
        assert_true(cell < lot->ground->cell_count);
        levels[cell] += (int)by;
      }
    }
  }
  free(r.bytes);
}

/* Half a level a cell at most; as much too high as too low, so far less in sum. */
static void check_ground(const json_t *run, const pc_lot *lot) {
  const json_t *result = json_object_get(run, "result"), *snow = json_object_get(result, "snow_kg");
  double level = in(run, "level_kgpm2"), all = in(snow, "start") + in(snow, "fallen");
  double total = in(json_object_get(result, "total_time_s"), "mean"), cell_m2 = 0.0;
  for (size_t c = 0; c < lot->ground->cell_count; c++)
    cell_m2 = fmax(cell_m2, lot->ground->cell_m2[c]);
  int *levels = start_levels(run, lot);
  assert_true(fabs(ground_kg(lot, levels, level, 0.0) - in(snow, "start")) <= 0.005 * all + 1e-9);
  make_changes(run, lot, levels, total);
  double left = ground_kg(lot, levels, level, lot->fall_kgpm2);
  assert_true(fabs(left - in(snow, "left")) <= 0.02 * all);
  for (size_t c = 0; c < lot->ground->cell_count; c++) /* nowhere less than nothing */
    assert_true(lot->ground->cell_m2[c] <= 0.0 || levels[c] * level + lot->fall_kgpm2 >= -0.5 * level);
  free(levels);
}

/* Per machine: times of its phases, loads and what they held, as the result has them. */
static void check_legs(const json_t *run, const pc_lot *lot) {
  enum { MACHINES = 8 };
  double time_s[MACHINES][PC_PHASE_COUNT] = {{0}}, kg[MACHINES] = {0}, metres[MACHINES] = {0};
  int64_t end_ms[MACHINES] = {0};
  int dumps[MACHINES] = {0};
  reader r = open_reader(run, "rows");
  while (r.at < r.count) {
    uint64_t m = number(&r), kind = number(&r);
    assert_true(m < lot->machine_count && (kind & 15) < PC_PHASE_COUNT && kind < 64);
    for (int k = 0; (kind & 32) && k < 2; k++)
      either(&r);
    int64_t gap = either(&r), lasts = (int64_t)number(&r), dx = either(&r), dy = either(&r);
    assert_int_equal(gap, 0); /* a leg begins as the one before ends */
    end_ms[m] += lasts;
    time_s[m][kind & 15] += (double)lasts / 1000.0;
    double way = (double)number(&r) / 100.0, load = (double)number(&r) / 10.0;
    metres[m] += way;
    assert_true(way >= hypot((double)dx, (double)dy) / 100.0 - 0.03);
    if ((kind & 15) == PC_PHASE_DUMP) {
      dumps[m]++;
      kg[m] += load;
    }
    assert_true(number(&r) <= lot->zone_count);
  }
  const json_t *result = json_object_get(run, "result");
  for (size_t m = 0; m < lot->machine_count; m++) {
    const json_t *machine = json_array_get(json_object_get(result, "machines"), m);
    const json_t *times = json_object_get(machine, "time_s");
    assert_true(fabs(time_s[m][PC_PHASE_FILL] - in(times, "fill")) < 0.1);
    assert_true(fabs(time_s[m][PC_PHASE_CARRY] - in(times, "carry")) < 0.1);
    assert_true(fabs(time_s[m][PC_PHASE_RETURN] - in(times, "return")) < 0.1);
    assert_true(fabs(time_s[m][PC_PHASE_TURN] - in(times, "turn")) < 0.1);
    assert_true(fabs(time_s[m][PC_PHASE_DUMP] - in(times, "dump")) < 0.1);
    assert_int_equal(dumps[m], (int)in(machine, "cycles"));
    assert_true(fabs(kg[m] - in(machine, "placed_kg")) <= 0.05 * dumps[m] + 1e-9);
    assert_true(metres[m] > 100.0);
  }
  free(r.bytes);
}

static void test_a_night_adds_up(void **state) {
  (void)state;
  pc_lot *lot;
  json_t *run = record(small, "", &lot);
  check_legs(run, lot);
  check_ground(run, lot);
  assert_int_equal(json_array_size(json_object_get(run, "falls")), 0);
  json_decref(run);
  pc_lot_free(lot);
}

static void test_a_storm_adds_up(void **state) {
  (void)state;
  pc_lot *lot;
  json_t *run = record(small, storm, &lot);
  check_legs(run, lot);
  check_ground(run, lot);
  /* by hand: nothing for an hour, 1 cm in the second, 3 cm in the third, 100 kg/m3 */
  const json_t *falls = json_object_get(run, "falls");
  const double times[] = {0, 3600, 7200, 10800}, kgpm2[] = {0, 0, 1, 4}, depths[] = {0, 0, 0.01, 0.04};
  size_t last = json_array_size(falls) - 1;
  for (size_t i = 0; i <= last; i++) {
    const json_t *fall = json_array_get(falls, i);
    double at = json_number_value(json_array_get(fall, 0));
    size_t k = 0;
    while (k < 4 && times[k] != at)
      k++;
    assert_true(k < 4);
    NEAR(json_number_value(json_array_get(fall, 1)), kgpm2[k]);
    NEAR(json_number_value(json_array_get(fall, 2)), depths[k]);
  }
  NEAR(json_number_value(json_array_get(json_array_get(falls, last), 0)), 10800);
  json_decref(run);
  pc_lot_free(lot);
}

/* RFC 4648, section 10. */
static void test_base64_of_the_standard(void **state) {
  (void)state;
  const char *vectors[][2] = {{"", ""},
                              {"f", "Zg=="},
                              {"fo", "Zm8="},
                              {"foo", "Zm9v"},
                              {"foob", "Zm9vYg=="},
                              {"fooba", "Zm9vYmE="},
                              {"foobar", "Zm9vYmFy"}};
  for (size_t i = 0; i < sizeof vectors / sizeof vectors[0]; i++) {
    pc_bytes bytes = {0};
    bool bad = false;
    json_t *map = json_object();
    for (const char *at = vectors[i][0]; *at; at++)
      pc_bytes_put(&bytes, (uint64_t)*at);
    pc_bytes_to_json(&bytes, map, "text", &bad);
    assert_false(bad);
    assert_string_equal(json_string_value(json_object_get(map, "text")), vectors[i][1]);
    json_decref(map);
  }
}

static void test_numbers_of_either_sign(void **state) {
  (void)state;
  const int64_t numbers[] = {0, -1, 1, 63, 64, -64, -65, 300, -300000, INT64_MAX, INT64_MIN};
  pc_bytes bytes = {0};
  bool bad = false;
  for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
    pc_bytes_put_signed(&bytes, numbers[i]);
  json_t *map = json_object();
  pc_bytes_to_json(&bytes, map, "numbers", &bad);
  reader r = open_reader(map, "numbers");
  for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
    assert_true(either(&r) == numbers[i]);
  assert_int_equal(r.at, r.count);
  free(r.bytes);
  json_decref(map);
}

static void test_what_is_refused(void **state) {
  (void)state;
  pc_ground ground = {.cell_count = PC_REPLAY_CELLS_MAX + 1};
  const pc_lot lot = {.ground = &ground};
  pc_text out = {0};
  pc_scenario scenario = pc_scenario_default();
  const pc_replay_run runs[3] = {{"a", "{}"}, {"b", "{}"}, {"c", "{}"}};
  assert_int_equal(pc_replay_record(&lot, 1, &out, NULL), PC_ERR_LIMIT);
  assert_int_equal(pc_replay_page(&scenario, runs, 0, PC_METRIC, &out), PC_ERR_RANGE);
  assert_int_equal(pc_replay_page(&scenario, runs, 3, PC_METRIC, &out), PC_ERR_RANGE);
  assert_null(out.data);
  pc_scenario_free(&scenario);
}

/* The data are in a block that only "<" could end. */
static void test_no_name_ends_the_data(void **state) {
  (void)state;
  pc_text out = {0};
  pc_web_page(PC_WEB_REPLAY, "{\"name\": \"</script><script>x<!--\"}", &out);
  assert_false(out.failed);
  const char *data = strstr(out.data, "id=\"data\">");
  assert_non_null(data);
  const char *end = strchr(data, '<');
  assert_non_null(end);
  assert_int_equal(strncmp(end, "</script>\n", 10), 0);
  assert_non_null(strstr(data, "\\u003c/script>\\u003cscript>x\\u003c!--\"}</script>\n"));
  pc_text_free(&out);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_a_night_adds_up),        cmocka_unit_test(test_a_storm_adds_up),
      cmocka_unit_test(test_base64_of_the_standard), cmocka_unit_test(test_numbers_of_either_sign),
      cmocka_unit_test(test_what_is_refused),        cmocka_unit_test(test_no_name_ends_the_data),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
