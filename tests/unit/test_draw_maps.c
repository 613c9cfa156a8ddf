// SPDX-License-Identifier: GPL-3.0-or-later
/* Where things stand on a page with maps: which labels keep off what, the page of a long lot, several maps.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include <math.h>

#include "drawn.h"
#include "io/starter.h"

static const pc_override few[] = {{"chance.replications", "2", NULL}};

static bool lie_on_each_other(pc_rect a, pc_rect b) {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

static bool is_name_of_area(const pc_drawn *record, size_t count, const pc_drawn *label) {
  for (size_t i = 0; i < count; i++)
    if (record[i].kind == PC_DRAWN_AREA && strcmp(record[i].text, label->text) == 0)
      return true;
  return false;
}

/* A pole where the name of the area would stand, and one where that of a zone would: no label covers them,
 * and the name of the area does not stand so near that it would read as the pole's (10 points beside, 8 above
 * or below). */
static void watch_poles(void *context, const pc_canvas *canvas) {
  size_t *poles = context, count, names = 0;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  for (size_t i = 0; i < count; i++) {
    if (record[i].kind != PC_DRAWN_OBSTACLE)
      continue;
    ++*poles;
    for (size_t k = 0; k < count; k++) {
      if (record[k].kind != PC_DRAWN_LABEL)
        continue;
      bool name = is_name_of_area(record, count, &record[k]);
      pc_rect box = record[k].box;
      if (name)
        box = (pc_rect){box.x - 10, box.y - 8, box.width + 20, box.height + 16};
      names += name;
      if (lie_on_each_other(record[i].box, box))
        fail_msg("\"%s\" stands at a pole", record[k].text);
    }
  }
  assert_true(names > 0);
}

static void test_poles_are_seen(void **state) {
  (void)state;
  drawn_night night;
  static const pc_override poles = {"site.obstacles",
                                    "[{name: p, kind: pole, at: [60, 40], radius: 0.4 m}, {name: q, kind: "
                                    "pole, at: [-4, 40], radius: 0.3 m}]",
                                    "poles"};
  drawn_start(&night, pc_starter_scenario(), &poles, 1, NULL);
  const pc_map_content content = drawn_map(&night);
  size_t found = 0;
  pc_text out = {0};
  const pc_picture_style style = {0};
  const pc_draw_job job = {&style, &out, NULL, watch_poles, &found};
  assert_int_equal(pc_draw_map(&content, &job), PC_OK);
  assert_int_equal(found, 2);
  pc_text_free(&out);
  drawn_end(&night);
}

/* The name of an area stands on no building, were it in the middle of the area, as a road around one has it,
 * and on no parked vehicle. */
static void watch_things(void *context, const pc_canvas *canvas) {
  size_t *names = context, count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  for (size_t k = 0; k < count; k++) {
    if (record[k].kind != PC_DRAWN_LABEL || !is_name_of_area(record, count, &record[k]))
      continue;
    ++*names;
    for (size_t i = 0; i < count; i++)
      if (record[i].kind == PC_DRAWN_OBSTACLE && lie_on_each_other(record[i].box, record[k].box))
        fail_msg("\"%s\" stands on \"%s\"", record[k].text, record[i].text);
  }
}

static void test_names_keep_off_things(void **state) {
  (void)state;
  static const char *const things[] = {
      "[{name: house, kind: building, outline: [[14, 14], [106, 14], [106, 66], [14, 66]]}]",
      "[{name: cars, kind: parked, outline: [[52, 36], [68, 36], [68, 40.5], [52, 40.5]]},"
      " {name: fence, kind: fence, outline: [[20, 44], [100, 44], [100, 44.3], [20, 44.3]]}]"};
  for (size_t i = 0; i < sizeof things / sizeof *things; i++) {
    drawn_night night;
    drawn_start(&night, pc_starter_scenario(), &(pc_override){"site.obstacles", things[i], "things"}, 1,
                NULL);
    const pc_map_content content = drawn_map(&night);
    size_t names = 0;
    pc_text out = {0};
    const pc_picture_style style = {0};
    assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_things, &names}), PC_OK);
    assert_int_equal(names, 1);
    pc_text_free(&out);
    drawn_end(&night);
  }
}

static bool is_in(pc_rect box, double x, double y) {
  return x > box.x && x < box.x + box.width && y > box.y && y < box.y + box.height;
}

/* Loads come from where snow was swept: no arrow begins on a building, though the mean of what was swept
 * around it lies there. An arrow ends at that corner of its box that is on the zone, and begins at the other.
 */
static void watch_flows(void *context, const pc_canvas *canvas) {
  size_t *flows = context, count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  pc_rect house = {0}, zone = {0};
  for (size_t i = 0; i < count; i++) {
    house = record[i].kind == PC_DRAWN_OBSTACLE ? record[i].box : house;
    zone = record[i].kind == PC_DRAWN_ZONE ? record[i].box : zone;
  }
  for (size_t i = 0; i < count; i++) {
    pc_rect box = record[i].box;
    for (int corner = 0; corner < 4 && record[i].kind == PC_DRAWN_FLOW; corner++) {
      double left = box.x, right = box.x + box.width, top = box.y, low = box.y + box.height;
      if (!is_in(zone, corner & 1 ? right : left, corner & 2 ? low : top))
        continue;
      ++*flows;
      if (is_in(house, corner & 1 ? left : right, corner & 2 ? top : low))
        fail_msg("%s loads come from the building", record[i].text);
    }
  }
}

static void test_no_loads_from_buildings(void **state) {
  (void)state;
  static const pc_override around[] = {
      {"site.obstacles", "[{name: house, kind: building, outline: [[8, 8], [112, 8], [112, 72], [8, 72]]}]",
       "around"},
      {"zones", "[{name: south, outline: [[40, -9], [80, -9], [80, 0], [40, 0]]}]", "around"},
      {"layouts", "[{name: one, zones: [south]}]", "around"}};
  drawn_night night;
  drawn_start(&night, pc_starter_scenario(), around, 3, NULL);
  pc_map_content content = drawn_map(&night);
  content.flows = content.no_ways = true;
  size_t flows = 0;
  pc_text out = {0};
  const pc_picture_style style = {0};
  assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_flows, &flows}), PC_OK);
  assert_true(flows > 2);
  pc_text_free(&out);
  drawn_end(&night);
}

/* A zone that is smaller than its label is not hidden by it, nor by any other, whatever stands around: the
 * share that is full can be seen. */
typedef struct small_zones {
  drawn_count words;
  size_t seen;
} small_zones;

static void watch_small_zones(void *context, const pc_canvas *canvas) {
  small_zones *zones = context;
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  for (size_t i = 0; i < count; i++) {
    if (record[i].kind != PC_DRAWN_ZONE || (record[i].box.width >= 62 && record[i].box.height >= 20))
      continue;
    zones->seen++;
    for (size_t k = 0; k < count; k++)
      if (record[k].kind == PC_DRAWN_LABEL && lie_on_each_other(record[i].box, record[k].box))
        fail_msg("\"%s\" covers zone \"%s\"", record[k].text, record[i].text);
  }
  drawn_watch(&zones->words, canvas);
}

static void test_small_zones_are_seen(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, "five piles");
  const pc_map_content content = drawn_map(&night);
  small_zones zones = {0};
  pc_text out = {0};
  const pc_picture_style style = {0};
  assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_small_zones, &zones}),
                   PC_OK);
  assert_int_equal(zones.seen, 2); /* east and west */
  assert_true(drawn_says(&zones.words, "2 east") && drawn_says(&zones.words, "3 west"));
  drawn_count_free(&zones.words);
  pc_text_free(&out);
  drawn_end(&night);
}

/* At the end of the region a label slides along its thing; in the open it stands in the middle below. */
static void test_labels_beside(void **state) {
  (void)state;
  pc_text out = {0};
  const pc_rect region = {10, 10, 300, 200}, corner = {10, 100, 8, 20}, open = {150, 60, 20, 20};
  const pc_canvas_setup setup = {.format = PC_PICTURE_SVG, .width = 400, .height = 300, .title = "t"};
  const pc_type type = {.size = 8, .lines = 1};
  pc_canvas *canvas;
  assert_int_equal(pc_canvas_create(&setup, &out, &canvas), PC_OK);
  const pc_rect own[] = {corner, open};
  size_t count;
  for (size_t i = 0; i < 2; i++) {
    pc_canvas_note(canvas, PC_DRAWN_MARK, own[i], NULL);
    assert_true(pc_canvas_label_beside(canvas, region, own[i], 100, &type, "a label of some length"));
    const pc_drawn *record = pc_canvas_record(canvas, &count);
    pc_rect box = record[0].box;
    for (size_t k = 0; k < count; k++)
      if (record[k].kind == PC_DRAWN_LABEL)
        box = record[k].box;
    assert_false(lie_on_each_other(box, own[i]));
    assert_true(box.y >= own[i].y + own[i].height && box.y < own[i].y + own[i].height + 4);
    if (i == 0)
      assert_true(box.x > region.x - 0.5 && box.x < region.x + 1);
    else
      assert_true(box.x + box.width / 2 > 159 && box.x + box.width / 2 < 161);
  }
  assert_false(
      pc_canvas_label_beside(canvas, (pc_rect){0, 0, 60, 9}, (pc_rect){0, 0, 60, 9}, 60, &type, "none"));
  pc_canvas_free(canvas);
  pc_text_free(&out);
}

typedef struct long_lot {
  drawn_count words;
  pc_rect page, area;
} long_lot;

static void watch_area(void *context, const pc_canvas *canvas) {
  long_lot *lot = context;
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  lot->page = pc_canvas_page(canvas);
  for (size_t i = 0; i < count; i++)
    if (record[i].kind == PC_DRAWN_AREA)
      lot->area = record[i].box;
  drawn_watch(&lot->words, canvas);
}

/* 40 by 500 ft, once from east to west and once from south to north: more than four fifths of the page along
 * it, and all that is told still there. */
static void test_long_lots(void **state) {
  (void)state;
  static const pc_override shapes[][2] = {
      {{"site.areas[0].outline", "[[0,0],[500,0],[500,40],[0,40]]", NULL},
       {"zones", "[{name: corner, outline: [[500,0],[512,0],[512,30],[500,30]]}]", NULL}},
      {{"site.areas[0].outline", "[[0,0],[40,0],[40,500],[0,500]]", NULL},
       {"zones", "[{name: corner, outline: [[0,500],[30,500],[30,512],[0,512]]}]", NULL}}};
  for (size_t tall = 0; tall < 2; tall++)
    for (size_t paper = 0; paper < 2; paper++) {
      drawn_night night;
      drawn_start(&night, drawn_tiny(), shapes[tall], 2, NULL);
      const pc_map_content content = drawn_map(&night);
      long_lot lot = {0};
      pc_text out = {0};
      const pc_picture_style style = {.paper = (pc_paper)paper};
      assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_area, &lot}), PC_OK);
      assert_true(tall ? lot.page.height > lot.page.width : lot.page.width > lot.page.height);
      assert_true(tall ? lot.area.height > 0.83 * lot.page.height : lot.area.width > 0.83 * lot.page.width);
      assert_true(drawn_says(&lot.words, "simulated night") &&
                  drawn_says(&lot.words, "where a machine starts"));
      assert_true(drawn_says(&lot.words, "1 corner: ") &&
                  drawn_says(&lot.words, "Where the piles would lie"));
      assert_true(drawn_says(&lot.words, "watch for people on foot"));
      drawn_count_free(&lot.words);
      pc_text_free(&out);
      drawn_end(&night);
    }
}

static void test_maps_side_by_side(void **state) {
  (void)state;
  enum { LAYOUTS = 4 };
  static const char *const names[LAYOUTS] = {"one pile", "two piles", "three piles", "five piles"};
  drawn_night nights[LAYOUTS];
  pc_map_content contents[LAYOUTS];
  for (size_t i = 0; i < LAYOUTS; i++) {
    drawn_start(&nights[i], pc_demo_scenario(), few, 1, names[i]);
    contents[i] = drawn_map(&nights[i]);
  }
  drawn_count count = {0};
  pc_text out = {0};
  const pc_picture_style style = {0};
  const pc_draw_job job = {&style, &out, NULL, drawn_watch, &count};
  assert_int_equal(pc_draw_maps(contents, LAYOUTS, &job), PC_OK);
  assert_int_equal(count.kinds[PC_DRAWN_FRAME], LAYOUTS);
  assert_int_equal(count.kinds[PC_DRAWN_ZONE], 1 + 2 + 3 + 5);
  for (size_t i = 0; i < LAYOUTS; i++)
    assert_true(drawn_says(&count, names[i]));
  assert_int_equal(count.kinds[PC_DRAWN_SCALE_BAR], LAYOUTS);
  drawn_count_free(&count);
  pc_text_free(&out);
  for (size_t i = 0; i < LAYOUTS; i++)
    drawn_end(&nights[i]);
}

/* A scenario that has no zones yet: all that stands there, and nothing of a run. */
static void test_no_zones(void **state) {
  (void)state;
  static const pc_override none[] = {{"zones", "[]", NULL}, {"layouts", "[]", NULL}};
  pc_scenario scenario;
  pc_faults faults = {0};
  const char *text = drawn_many();
  assert_int_equal(pc_scenario_read_text("none", text, strlen(text), none, 2, &scenario, &faults), PC_OK);
  assert_int_equal(scenario.zone_count, 0);
  const pc_map_content content = {.scenario = &scenario, .at_s = INFINITY};
  for (size_t paper = 0; paper < 2; paper++) {
    drawn_count count = {0};
    pc_text out = {0};
    const pc_picture_style style = {.paper = (pc_paper)paper};
    assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, drawn_watch, &count}), PC_OK);
    assert_int_equal(count.kinds[PC_DRAWN_AREA], scenario.site.area_count);
    assert_int_equal(count.kinds[PC_DRAWN_OBSTACLE], scenario.site.obstacle_count);
    assert_int_equal(count.kinds[PC_DRAWN_KEEP_CLEAR], scenario.site.keep_clear_count);
    assert_int_equal(count.kinds[PC_DRAWN_ZONE] + count.kinds[PC_DRAWN_START], 0);
    assert_true(drawn_says(&count, "no pile zones yet") && drawn_says(&count, "`pushcycle place`"));
    assert_false(drawn_says(&count, "with its number") || drawn_says(&count, "a machine starts"));
    assert_true(drawn_says(&count, "watch for people on foot"));
    drawn_count_free(&count);
    pc_text_free(&out);
  }
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
}

/* Where the scenario says, with its name there and in the legend; also before there are zones, and in the dot
 * of a machine that starts there. */
static void watch_fuel(void *context, const pc_canvas *canvas) {
  const pc_scenario *scenario = context;
  size_t count, seen = 0, names = 0;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  pc_rect frame = {0, 0, 0, 0};
  for (size_t i = 0; i < count; i++)
    if (record[i].kind == PC_DRAWN_FRAME)
      frame = record[i].box;
  const pc_map_view view = pc_map_fit(scenario, frame, 24);
  for (size_t i = 0; i < count; i++) {
    names += record[i].kind == PC_DRAWN_LABEL && strcmp(record[i].text, "fuel") == 0;
    if (record[i].kind != PC_DRAWN_FUEL)
      continue;
    assert_true(fabs(record[i].box.x + record[i].box.width / 2 - pc_map_x(&view, scenario->fuel_point)) <
                0.01);
    assert_true(fabs(record[i].box.y + record[i].box.height / 2 - pc_map_y(&view, scenario->fuel_point)) <
                0.01);
    seen++;
  }
  drawn_count words = {0};
  drawn_watch(&words, canvas);
  assert_int_equal(drawn_says(&words, "fuel: where machines refuel"), scenario->has_fuel_point);
  assert_int_equal(seen, scenario->has_fuel_point ? 1 : 0);
  assert_int_equal(names, seen);
  drawn_count_free(&words);
}

static void test_fuel_point(void **state) {
  (void)state;
  static const char *const points[] = {"[100, 60]",
                                       "[5, 5]"}; /* the second: where the first machine starts */
  for (size_t i = 0; i < 3; i++) {
    const pc_override set[] = {{"chance.replications", "1", NULL},
                               {"crew[0].start", "[5, 5]", NULL},
                               {"fuel_point", points[i % 2], NULL}};
    drawn_night night;
    drawn_start(&night, pc_demo_scenario(), set, i < 2 ? 3 : 2, "three piles");
    pc_map_content content = drawn_map(&night);
    const pc_picture_style style = {0};
    for (int zones = 0; zones < 2; zones++) {
      const pc_map_content bare = {.scenario = &night.scenario, .at_s = INFINITY};
      pc_text out = {0};
      const pc_draw_job job = {&style, &out, NULL, watch_fuel, &night.scenario};
      assert_int_equal(pc_draw_map(zones ? &content : &bare, &job), PC_OK);
      pc_text_free(&out);
    }
    drawn_end(&night);
  }
}

typedef struct starts {
  const drawn_night *with; /* the same lot with zones */
  drawn_count words;
  size_t count;
} starts;

static void watch_starts(void *context, const pc_canvas *canvas) {
  starts *seen = context;
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  pc_rect frame = {0, 0, 0, 0};
  for (size_t i = 0; i < count; i++)
    if (record[i].kind == PC_DRAWN_FRAME)
      frame = record[i].box;
  const pc_map_view view = pc_map_fit(&seen->with->scenario, frame, 24);
  for (size_t i = 0; i < count; i++) {
    if (record[i].kind != PC_DRAWN_START)
      continue;
    const pc_lot_machine *same = NULL;
    for (size_t m = 0; m < seen->with->lot->machine_count; m++)
      if (strcmp(seen->with->lot->machines[m].name.text, record[i].text) == 0)
        same = &seen->with->lot->machines[m];
    assert_non_null(same);
    assert_true(fabs(record[i].box.x + record[i].box.width / 2 - pc_map_x(&view, same->start)) < 0.01);
    assert_true(fabs(record[i].box.y + record[i].box.height / 2 - pc_map_y(&view, same->start)) < 0.01);
    seen->count++;
  }
  drawn_watch(&seen->words, canvas);
}

/* Machines start where they would with zones, under the same names; where one starts of which the scenario
 * does not say that, nobody knows yet. */
static void test_starts_without_zones(void **state) {
  (void)state;
  static const pc_override set[] = {{"crew",
                                     "[{loader: mid loader, box: 16 ft}, {loader: small loader, box: 14 ft, "
                                     "start: [230, 30]}, {loader: mid "
                                     "loader, box: 12 ft, count: 2, start: [60, 40]}]",
                                     NULL},
                                    {"chance.replications", "1", NULL}};
  drawn_night with;
  drawn_start(&with, pc_demo_scenario(), set, 2, "three piles");
  pc_scenario scenario = with.scenario; /* whose parts are borrowed */
  scenario.zone_count = scenario.layout_count = 0;
  const pc_map_content content = {.scenario = &scenario, .at_s = INFINITY};
  for (size_t known = 0; known < 2; known++) {
    starts seen = {.with = &with};
    pc_text out = {0};
    const pc_picture_style style = {0};
    scenario.crew_count = known ? with.scenario.crew_count : 1;
    assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_starts, &seen}), PC_OK);
    assert_int_equal(seen.count, known ? 3 : 0);
    assert_int_equal(drawn_says(&seen.words, "where a machine starts"), known);
    assert_int_equal(drawn_says(&seen.words, "small loader 1"), known);
    assert_int_equal(drawn_says(&seen.words, "mid loader 2 and 1 more"), known);
    assert_false(drawn_says(&seen.words, "mid loader 1"));
    drawn_count_free(&seen.words);
    pc_text_free(&out);
  }
  drawn_end(&with);
}

/* ---- where machines are ---- */

typedef struct moment {
  const pc_map_content *content;
  drawn_count words;
  size_t machines;
} moment;

/* Looks through all rows for the one that the moment lies in: between two of them, before the first and after
 * the last a machine stands. */
static pc_point place_then(const pc_map_content *content, size_t machine) {
  pc_point at = content->lot->machines[machine].start;
  for (size_t i = 0; i < content->row_count; i++) {
    const pc_trace_row *row = &content->rows[i];
    double from_s = pc_lot_clock_s(content->lot, row->start_s);
    double to_s = pc_lot_clock_s(content->lot, row->end_s);
    if (row->machine != machine || content->at_s < from_s)
      continue;
    at = row->to;
    if (content->at_s < to_s) {
      double left = (to_s - content->at_s) / (to_s - from_s);
      at.x_m += left * (row->from.x_m - row->to.x_m);
      at.y_m += left * (row->from.y_m - row->to.y_m);
    }
  }
  return at;
}

static void watch_moment(void *context, const pc_canvas *canvas) {
  moment *now = context;
  size_t count, machine = 0, start = 0;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  pc_rect frame = {0, 0, 0, 0};
  for (size_t i = 0; i < count; i++)
    if (record[i].kind == PC_DRAWN_FRAME)
      frame = record[i].box;
  const pc_map_view view = pc_map_fit(now->content->scenario, frame, 24);
  for (size_t i = 0; i < count; i++) {
    bool here = record[i].kind == PC_DRAWN_MACHINE;
    if (!here && record[i].kind != PC_DRAWN_START)
      continue;
    size_t m = here ? machine++ : start++;
    const pc_lot_machine *own = &now->content->lot->machines[m];
    pc_point at = here ? place_then(now->content, m) : own->start;
    assert_string_equal(record[i].text, own->name.text);
    assert_true(fabs(record[i].box.x + record[i].box.width / 2 - pc_map_x(&view, at)) < 0.01);
    assert_true(fabs(record[i].box.y + record[i].box.height / 2 - pc_map_y(&view, at)) < 0.01);
    assert_true(here ? record[i].box.width > 5 : record[i].box.width < 4);
  }
  assert_int_equal(start, now->content->lot->machine_count);
  now->machines = machine;
  drawn_watch(&now->words, canvas);
}

/* Each of the crew is where the rows of the night have it then, with its name, and small marks tell where
 * they started; in hours of 50 minutes too. */
static void test_machines_at_a_moment(void **state) {
  (void)state;
  static const pc_override set[] = {{"chance.replications", "1", NULL},
                                    {"work_minutes_per_hour", "50", NULL}};
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), set, 2, "three piles");
  size_t away = 0;
  for (double at_s = 0; at_s < 4 * 3600; at_s += 1000) {
    pc_map_content content = drawn_map(&night);
    content.at_s = content.until_s = at_s;
    content.from_s = at_s - 600;
    content.no_ways = at_s > 3600; /* without ways, too */
    moment now = {.content = &content};
    pc_text out = {0};
    const pc_picture_style style = {0};
    assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_moment, &now}), PC_OK);
    assert_int_equal(now.machines, night.lot->machine_count);
    for (size_t m = 0; m < night.lot->machine_count; m++) {
      pc_point at = place_then(&content, m), start = night.lot->machines[m].start;
      if (!drawn_says(&now.words, night.lot->machines[m].name.text))
        fail_msg("at %g s the map has no name of %s", at_s, night.lot->machines[m].name.text);
      away += hypot(at.x_m - start.x_m, at.y_m - start.y_m) > 5;
    }
    assert_true(drawn_says(&now.words, "a machine at that time"));
    assert_true(drawn_says(&now.words, "where a machine started"));
    drawn_count_free(&now.words);
    pc_text_free(&out);
  }
  assert_true(away > 30);
  drawn_end(&night);
}

/* Where several stand in one place each is named, by its number where the name is long. */
static void test_names_in_one_place(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, drawn_many(), NULL, 0, NULL);
  pc_map_content content = drawn_map(&night);
  content.at_s = content.until_s = 0;
  moment now = {.content = &content};
  pc_text out = {0};
  const pc_picture_style style = {0};
  assert_int_equal(pc_draw_map(&content, &(pc_draw_job){&style, &out, NULL, watch_moment, &now}), PC_OK);
  assert_true(drawn_says(&now.words, "Radlader der Gemein… 1" PC_LINE_BREAK "Radlader der Gemein… 2"));
  assert_true(drawn_says(&now.words, "… 4 and 1 more"));
  drawn_count_free(&now.words);
  pc_text_free(&out);
  drawn_end(&night);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_poles_are_seen),        cmocka_unit_test(test_small_zones_are_seen),
      cmocka_unit_test(test_labels_beside),         cmocka_unit_test(test_long_lots),
      cmocka_unit_test(test_maps_side_by_side),     cmocka_unit_test(test_machines_at_a_moment),
      cmocka_unit_test(test_names_in_one_place),    cmocka_unit_test(test_no_zones),
      cmocka_unit_test(test_names_keep_off_things), cmocka_unit_test(test_no_loads_from_buildings),
      cmocka_unit_test(test_starts_without_zones),  cmocka_unit_test(test_fuel_point),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
