// SPDX-License-Identifier: GPL-3.0-or-later
/* Pictures by what is in them: counts against the scenario and the trace that they show, labels that stay in
 * their frames and apart from each other (drawn_watch), lengths against the view's own scale. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "drawn.h"
#include "io/starter.h"

static const pc_override few[] = {{"chance.replications", "2", NULL}};

static drawn_count draw_map(const pc_map_content *content, pc_picture_style style, pc_text *out) {
  drawn_count count = {0};
  pc_text own = {0};
  const pc_draw_job job = {&style, out ? out : &own, NULL, drawn_watch, &count};
  assert_int_equal(pc_draw_map(content, &job), PC_OK);
  pc_text_free(&own);
  return count;
}

static size_t legs(const drawn_night *night, double from_s, double until_s) {
  size_t count = 0;
  for (size_t i = 0; i < night->rows.count; i++) {
    const pc_trace_row *row = &night->rows.items[i];
    bool drives = row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP ||
                  row->phase == PC_PHASE_CARRY || row->phase == PC_PHASE_RETURN;
    bool moves = row->from.x_m != row->to.x_m || row->from.y_m != row->to.y_m;
    count += drives && moves && row->end_s > from_s && row->start_s < until_s;
  }
  return count;
}

/* Lanes of the first lane set that have ground anywhere. */
static size_t open_lanes(const pc_lot *lot) {
  const pc_lane_set *set = &lot->lane_sets[0];
  size_t count = 0;
  for (size_t l = 0; l < set->lane_count; l++) {
    bool any = false;
    for (int i = 0; i < set->lanes[l].stations; i++)
      any |= set->slot_m2[set->lanes[l].first + (size_t)i] > 0;
    count += any;
  }
  return count;
}

static void test_map_of_the_demo(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, "three piles");
  pc_map_content content = drawn_map(&night);
  content.lanes = true;
  drawn_count count = draw_map(&content, (pc_picture_style){0}, NULL);
  const pc_site *site = &night.scenario.site;
  assert_int_equal(count.kinds[PC_DRAWN_AREA], site->area_count);
  assert_int_equal(count.kinds[PC_DRAWN_GROUND], 1);
  assert_int_equal(count.kinds[PC_DRAWN_OBSTACLE], site->obstacle_count);
  assert_int_equal(count.kinds[PC_DRAWN_KEEP_CLEAR], 5);
  assert_int_equal(count.kinds[PC_DRAWN_ZONE], 3);
  assert_int_equal(count.kinds[PC_DRAWN_FILL], 3);
  assert_int_equal(count.kinds[PC_DRAWN_START], 4);
  assert_int_equal(count.kinds[PC_DRAWN_CAUTION], 1);
  assert_int_equal(count.kinds[PC_DRAWN_NORTH], 1);
  assert_int_equal(count.kinds[PC_DRAWN_SCALE_BAR], 1);
  assert_int_equal(count.kinds[PC_DRAWN_WAY], legs(&night, 0, INFINITY));
  assert_true(count.kinds[PC_DRAWN_SNOW] > 0);
  assert_true(count.kinds[PC_DRAWN_LANE] >= open_lanes(night.lot));
  static const char *const said[] = {"Ferry terminal: layout \"three piles\"",
                                     "1 north",
                                     "2 east",
                                     "3 west",
                                     "of 2900 m³",
                                     "hydrant by the ramp",
                                     "car park",
                                     "ticket hall",
                                     "Local codes and licensed practice",
                                     "50 m",
                                     "push",
                                     "mid loader 1"};
  for (size_t i = 0; i < sizeof said / sizeof said[0]; i++)
    if (!drawn_says(&count, said[i]))
      fail_msg("the map does not say \"%s\"", said[i]);
  drawn_count_free(&count);
  count = draw_map(&content, (pc_picture_style){PC_PICTURE_PDF, PC_US, PC_PAPER_LETTER}, NULL);
  assert_true(drawn_says(&count, "yd³"));
  assert_true(drawn_says(&count, "200 ft")); /* a third of the frame is some 80 m */
  drawn_count_free(&count);
  drawn_end(&night);
}

/* Counts loads on their arrows, and keeps an eye on the words. */
typedef struct flow_count {
  drawn_count words;
  size_t arrows, loads;
} flow_count;

static void watch_flows(void *context, const pc_canvas *canvas) {
  flow_count *found = context;
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  for (size_t i = 0; i < count; i++)
    if (record[i].kind == PC_DRAWN_FLOW) {
      found->arrows++;
      found->loads += (size_t)atoi(record[i].text);
    }
  drawn_watch(&found->words, canvas);
}

/* All loads that came to a pile are on some arrow, and on one only; half a night has those that were dumped
 * in it. */
static void test_flows(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, "three piles");
  pc_map_content content = drawn_map(&night);
  content.flows = content.no_ways = true;
  const double ends_s[] = {INFINITY, night.results[0].total_time_s / 2};
  for (size_t k = 0; k < 2; k++) {
    content.until_s = ends_s[k];
    size_t dumps = 0;
    for (size_t i = 0; i < night.rows.count; i++)
      dumps += night.rows.items[i].phase == PC_PHASE_DUMP && night.rows.items[i].zone >= 0 &&
               night.rows.items[i].end_s <= ends_s[k];
    flow_count found = {0};
    pc_text out = {0};
    const pc_picture_style style = {0};
    const pc_draw_job job = {&style, &out, NULL, watch_flows, &found};
    assert_int_equal(pc_draw_map(&content, &job), PC_OK);
    assert_int_equal(found.loads, dumps);
    assert_true(found.arrows > 3 && found.arrows <= 3 * 16);
    assert_int_equal(found.words.kinds[PC_DRAWN_WAY], 0);
    assert_true(drawn_says(&found.words, "loads of the first night"));
    if (k == 0) {
      size_t loads = 0;
      for (size_t z = 0; z < night.results[0].zone_count; z++)
        loads += (size_t)night.results[0].zones[z].loads;
      assert_int_equal(found.loads, loads);
    }
    pc_text_free(&out);
    drawn_count_free(&found.words);
  }
  drawn_end(&night);
}

/* ---- how wide an arrow is ---- */

/* So many loads swept at one place and dumped at another, as rows of a trace. */
typedef struct made_flow {
  size_t loads;
  pc_point from, to;
  int zone;
} made_flow;

static size_t add_loads(const made_flow *flow, pc_trace_row *rows) {
  for (size_t i = 0; i < flow->loads; i++) {
    pc_point behind = {flow->from.x_m - 1, flow->from.y_m}, ahead = {flow->from.x_m + 1, flow->from.y_m};
    rows[2 * i] = (pc_trace_row){
        .phase = PC_PHASE_FILL, .from = behind, .to = ahead, .start_s = 1, .end_s = 2, .zone = -1};
    rows[2 * i + 1] = (pc_trace_row){
        .phase = PC_PHASE_DUMP, .from = flow->to, .to = flow->to, .end_s = 3, .zone = flow->zone};
  }
  return 2 * flow->loads;
}

/* The next arrow of an SVG, a path of seven corners in the ink of flows: its width at the tail, and how long
 * it is; false: there is none. */
static bool next_arrow(const char **svg, double *width, double *length) {
  static const char start[] = "fill:rgb(83.529412%,36.862745%,0%)";
  while ((*svg = strstr(*svg, start)) != NULL) {
    double corners[7][2];
    const char *path = strstr(*svg, " d=\"M ");
    *svg += sizeof start;
    char *at = path ? (char *)(size_t)path + 4 : NULL;
    int count = 0;
    for (; at && count < 7 && (*at == 'M' || *at == 'L'); count++) {
      corners[count][0] = strtod(at + 1, &at);
      corners[count][1] = strtod(at, &at);
      at += *at == ' ';
    }
    if (count < 7 || *at != 'Z')
      continue;
    *width = hypot(corners[6][0] - corners[0][0], corners[6][1] - corners[0][1]);
    *length = hypot(corners[3][0] - (corners[0][0] + corners[6][0]) / 2,
                    corners[3][1] - (corners[0][1] + corners[6][1]) / 2);
    return true;
  }
  return false;
}

/* The widest arrow has 7 points and the others a part of that, by their loads, but 1 point at least; the
 * least flow, of one load, is there (docs/pictures.md: "as wide as there are many"). Zones and the middles of
 * parts are set here, so that the arrows are told apart by their length. */
static void test_widths_of_flows(void **state) {
  (void)state;
  enum { LOADS = 70 + 35 + 11 + 9 + 1 };
  static const made_flow made[] = {{35, {30, 12}, {40, 12}, 0},
                                   {1, {30, 100}, {50, 100}, 0},
                                   {70, {90, 12}, {50, 12}, 1},
                                   {9, {90, 100}, {40, 100}, 1},
                                   {11, {160, 12}, {100, 12}, 0}};
  static const double widths[] = {7, 3.5, 1.1, 1, 1}, lengths_m[] = {40, 10, 60, 50, 20};
  static const char *const loads[] = {"70", "35", "11", "9", "1"};
  pc_trace_row rows[2 * LOADS];
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, "three piles");
  pc_map_content content = drawn_map(&night);
  content.rows = rows;
  content.row_count = 0;
  for (size_t i = 0; i < sizeof made / sizeof made[0]; i++)
    content.row_count += add_loads(&made[i], rows + content.row_count);
  const pc_canvas_setup setup = {.format = PC_PICTURE_SVG, .width = 600, .height = 400};
  pc_map_view view = pc_map_fit(&night.scenario, (pc_rect){0, 0, 600, 400}, 0);
  pc_text out = {0};
  pc_canvas *canvas;
  assert_int_equal(pc_canvas_create(&setup, &out, &canvas), PC_OK);
  pc_map_flows(canvas, &view, &content);
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  assert_int_equal(count, 5);
  for (size_t i = 0; i < count; i++)
    assert_string_equal(record[i].text, loads[i]);
  assert_int_equal(pc_canvas_finish(canvas), PC_OK);
  pc_canvas_free(canvas);
  const char *svg = out.data;
  double width, length;
  for (size_t i = 0; i < 5; i++) {
    if (!next_arrow(&svg, &width, &length))
      fail_msg("there are %zu arrows", i);
    if (fabs(width - widths[i]) > 0.01 || fabs(length - view.scale * lengths_m[i]) > 0.01)
      fail_msg("arrow %zu: %g points wide, %g m long", i, width, length / view.scale);
  }
  assert_false(next_arrow(&svg, &width, &length));
  pc_text_free(&out);
  drawn_end(&night);
}

/* Of a snapshot: only the ways of its time, and all the snow that fell where nobody has been. */
static void test_snapshot(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_starter_scenario(), NULL, 0, NULL);
  double at_s = 0.3 * night.summary.total_time_s.mean;
  assert_int_equal(pc_world_run_until(night.world, 1, 0, at_s, NULL, &night.standing), PC_OK);
  double left_kg = 0;
  for (size_t c = 0; c < night.lot->ground->cell_count; c++)
    left_kg += pc_world_ground_kg(night.world)[c];
  double placed_kg = night.standing.placed_kg;
  double boxes_kg = night.lot->start_kg - left_kg - placed_kg; /* mass is conserved: what is on its way */
  assert_true(placed_kg > 0.2 * night.lot->start_kg && placed_kg < 0.5 * night.lot->start_kg);
  assert_true(boxes_kg > -1e-6 && boxes_kg <= night.lot->machines[0].unit.capacity_kg);
  pc_map_content content = drawn_map(&night);
  content.standing = &night.standing;
  content.at_s = at_s;
  content.from_s = at_s - 60;
  content.until_s = at_s;
  drawn_count count = draw_map(&content, (pc_picture_style){0}, NULL);
  assert_int_equal(count.kinds[PC_DRAWN_WAY], legs(&night, at_s - 60, at_s));
  assert_true(count.kinds[PC_DRAWN_WAY] < legs(&night, 0, INFINITY) / 5);
  drawn_count_free(&count);
  /* the run to the end is the run until any time after it */
  assert_int_equal(pc_world_run_until(night.world, 1, 0, INFINITY, NULL, &night.standing), PC_OK);
  assert_true(night.standing.total_time_s == night.results[0].total_time_s);
  drawn_end(&night);
}

static void test_other_scenarios(void **state) {
  (void)state;
  const char *const texts[] = {pc_starter_scenario(), drawn_tiny(), drawn_many(), drawn_night_storm()};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
    drawn_night night;
    drawn_start(&night, texts[i], NULL, 0, NULL);
    pc_map_content content = drawn_map(&night);
    for (int units = 0; units < 2; units++) {
      drawn_count count = draw_map(
          &content, (pc_picture_style){PC_PICTURE_PNG, (pc_unit_system)units, (pc_paper)units}, NULL);
      assert_int_equal(count.kinds[PC_DRAWN_ZONE], night.lot->zone_count);
      assert_int_equal(count.kinds[PC_DRAWN_AREA], night.scenario.site.area_count);
      assert_int_equal(count.kinds[PC_DRAWN_PASSAGE], night.scenario.site.passage_count);
      drawn_count_free(&count);
    }
    drawn_end(&night);
  }
}

/* The bar is as long as it says, a round number of its unit, and within the third that it may take. */
static void test_scale_bar(void **state) {
  (void)state;
  static const double most_m[] = {0.7, 1, 1.99, 2, 4.9, 5, 9.99, 10, 73, 420, 5000};
  static const double metric[] = {0.5, 1, 1, 2, 2, 5, 5, 10, 50, 200, 5000};
  for (size_t i = 0; i < sizeof most_m / sizeof most_m[0]; i++) {
    assert_true(fabs(pc_round_length_m(most_m[i], PC_METRIC) - metric[i]) < 1e-9);
    double feet = pc_round_length_m(most_m[i], PC_US) / 0.3048;
    double lead = feet / pow(10, floor(log10(feet) + 1e-9));
    assert_true(fabs(lead - 1) < 1e-6 || fabs(lead - 2) < 1e-6 || fabs(lead - 5) < 1e-6);
    assert_true(feet * 0.3048 <= most_m[i] * 1.0001 && feet * 0.3048 > most_m[i] / 2.51);
  }
}

/* Nothing of the site lies outside the frame, whatever its shape; x and y have one scale. */
static void test_view(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, NULL);
  static const pc_rect frames[] = {{10, 20, 500, 300}, {0, 0, 100, 400}, {5, 5, 400, 60}};
  for (size_t i = 0; i < sizeof frames / sizeof frames[0]; i++) {
    pc_map_view view = pc_map_fit(&night.scenario, frames[i], 24);
    const pc_ring *ring = &night.scenario.site.ground[0].outline;
    for (size_t k = 0; k < ring->count; k++) {
      assert_true(pc_map_x(&view, ring->points[k]) >= frames[i].x);
      assert_true(pc_map_x(&view, ring->points[k]) <= frames[i].x + frames[i].width);
      assert_true(pc_map_y(&view, ring->points[k]) >= frames[i].y);
      assert_true(pc_map_y(&view, ring->points[k]) <= frames[i].y + frames[i].height - 24);
    }
    const pc_point a = {0, 0}, b = {30, 40};
    double dx = pc_map_x(&view, b) - pc_map_x(&view, a), dy = pc_map_y(&view, a) - pc_map_y(&view, b);
    assert_true(fabs(hypot(dx, dy) - 50 * view.scale) < 1e-9);
    assert_true(dx > 0 && dy > 0); /* east to the right, north up */
  }
  drawn_end(&night);
}

typedef struct tick_times { /* s */
  long first, last, step;
} tick_times;

/* The times along the axis, in the order in which they are drawn: each later by one and the same step, but
 * for the end of a band, which is the beginning of the next. */
static tick_times check_ticks(const drawn_count *count) {
  long before = -1, step = 0, first = 0;
  size_t ticks = 0;
  for (const char *at = count->words.data; at && *at; at = strchr(at, '\n') + 1) {
    long parts[3] = {0};
    int used = 0, fields = sscanf(at, "%ld:%2ld%n:%2ld%n", &parts[0], &parts[1], &used, &parts[2], &used);
    if (fields < 2 || at[used] != '\n')
      continue;
    long time = fields == 3 ? parts[0] * 3600 + parts[1] * 60 + parts[2] : parts[0] * 3600 + parts[1] * 60;
    if (before >= 0 && time != before) {
      step = step ? step : time - before;
      assert_int_equal(time - before, step);
    }
    first = ticks == 0 ? time : first;
    before = time;
    ticks++;
  }
  assert_true(ticks >= 3 && step > 0);
  return (tick_times){first, before, step};
}

static drawn_count draw_timeline(const pc_timeline_content *content, pc_text *out) {
  drawn_count count = {0};
  const pc_picture_style style = {0};
  const pc_draw_job job = {&style, out, NULL, drawn_watch, &count};
  assert_int_equal(pc_draw_timeline(content, &job), PC_OK);
  return count;
}

/* Every phase of the trace that lasts is a bar, once for each band that it reaches into. */
static void test_timeline(void **state) {
  (void)state;
  const char *const texts[] = {pc_starter_scenario(), drawn_tiny(), drawn_many(), drawn_night_storm()};
  for (size_t t = 0; t < sizeof texts / sizeof texts[0]; t++) {
    drawn_night night;
    drawn_start(&night, texts[t], NULL, 0, NULL);
    const pc_timeline_content content = {
        .lot = night.lot, .rows = night.rows.items, .row_count = night.rows.count, .until_s = INFINITY};
    pc_text out = {0};
    drawn_count count = draw_timeline(&content, &out);
    size_t lasting = 0, queues = 0;
    for (size_t i = 0; i < night.rows.count; i++) {
      lasting += night.rows.items[i].end_s > night.rows.items[i].start_s;
      queues += night.rows.items[i].phase == PC_PHASE_WAIT && night.rows.items[i].zone >= 0;
    }
    assert_true(count.kinds[PC_DRAWN_SPAN] >= lasting + (queues > 0));
    assert_true(count.kinds[PC_DRAWN_SPAN] <= 2 * lasting + 4 * queues);
    assert_true(drawn_says(&count, "wait"));
    assert_int_equal(check_ticks(&count).first, 0); /* somebody works at once in all of them */
    assert_int_equal(queues > 0, drawn_says(&count, " wait at "));
    drawn_count_free(&count);
    pc_text_free(&out);
    drawn_end(&night);
  }
}

/* In hours of 50 minutes the axis ends at the total time, which is by the clock, and begins where the shift
 * does, at 2 h; all is as if every leg took 60/50 of its time in full hours. No source but that ratio. */
static void test_timeline_by_the_clock(void **state) {
  (void)state;
  static const pc_override late[] = {{"work_minutes_per_hour", "50", NULL},
                                     {"site.areas[0].outline", "[[0,0],[400,0],[400,40],[0,40]]", NULL},
                                     {"zones[0].outline", "[[400,0],[440,0],[440,40],[400,40]]", NULL},
                                     {"crew", "[{loader: l, box: b, count: 2, from: 2 h}]", NULL}};
  drawn_night night;
  drawn_start(&night, drawn_tiny(), late, sizeof late / sizeof late[0], NULL);
  pc_timeline_content content = {
      .lot = night.lot, .rows = night.rows.items, .row_count = night.rows.count, .until_s = INFINITY};
  pc_text out = {0}, twin = {0};
  drawn_count count = draw_timeline(&content, &out);
  tick_times ticks = check_ticks(&count);
  double total_s = night.results[0].total_time_s;
  assert_true(night.results[0].finished && total_s > 7200 + 1800);
  assert_int_equal(ticks.first, 7200);
  assert_true((double)ticks.last >= total_s && (double)ticks.last <= total_s + 2 * (double)ticks.step);
  drawn_count_free(&count);
  pc_lot full = *night.lot;
  full.work_minutes_per_hour = 60;
  for (size_t i = 0; i < night.rows.count; i++) {
    night.rows.items[i].start_s *= 60.0 / 50.0;
    night.rows.items[i].end_s *= 60.0 / 50.0;
  }
  content.lot = &full;
  count = draw_timeline(&content, &twin);
  assert_int_equal(out.length, twin.length);
  assert_memory_equal(out.data, twin.data, out.length);
  drawn_count_free(&count);
  content.from_s = 3600; /* asked for: even if nothing happens then */
  count = draw_timeline(&content, &twin);
  assert_int_equal(check_ticks(&count).first, 3600);
  drawn_count_free(&count);
  pc_text_free(&out);
  pc_text_free(&twin);
  drawn_end(&night);
}

/* No source: names are at most 63 bytes, and all of them has to be seen. */
static void test_long_titles(void **state) {
  (void)state;
  static const char wide[] = "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW";
  assert_int_equal(strlen(wide), PC_NAME_MAX - 1);
  const char *const names[] = {"Lot", "A lot behind the market hall, with the ramp and the bus stop", wide};
  for (size_t n = 0; n < sizeof names / sizeof names[0]; n++) {
    drawn_night night;
    pc_text layouts = {0};
    pc_text_addf(&layouts, "[{name: '%s', zones: [corner]}]", n == 0 ? "east" : names[n]);
    const pc_override overrides[] = {{"name", names[n], NULL}, {"layouts", layouts.data, NULL}};
    drawn_start(&night, drawn_tiny(), overrides, 2, NULL);
    const pc_timeline_content content = {
        .lot = night.lot, .rows = night.rows.items, .row_count = night.rows.count, .until_s = INFINITY};
    pc_text out = {0};
    drawn_count count = draw_timeline(&content, &out);
    assert_int_equal(count.shortened, 0);
    assert_true(drawn_says(&count, names[n]));
    assert_true(drawn_says(&count, "hours:minutes)"));
    drawn_count_free(&count);
    pc_text_free(&out);
    pc_text_free(&layouts);
    drawn_end(&night);
  }
}

/* ---- charts ---- */

static drawn_count draw_chart(const pc_scenario *scenario, const pc_comparison *comparison,
                              pc_chart_kind kind, pc_unit_system units) {
  drawn_count count = {0};
  pc_text out = {0};
  const pc_chart_content content = {scenario, comparison, kind};
  const pc_picture_style style = {.units = units};
  const pc_draw_job job = {&style, &out, NULL, drawn_watch, &count};
  assert_int_equal(pc_draw_chart(&content, &job), PC_OK);
  pc_text_free(&out);
  return count;
}

static void compare(drawn_night *night, const char *text, const pc_override *overrides, size_t count,
                    pc_comparison *comparison) {
  pc_faults faults = {0};
  drawn_start(night, text, overrides, count, NULL);
  const pc_compare_how how = {.replications = night->replications, .seed = 1, .threads = 2};
  assert_int_equal(pc_compare(&night->scenario, &how, comparison, &faults), PC_OK);
  pc_faults_free(&faults);
}

static void test_charts(void **state) {
  (void)state;
  static const pc_override wanted[] = {{"chance.replications", "3", NULL},
                                       {"chance.carry", "20 %", NULL},
                                       {"compare.layouts", "all", NULL},
                                       {"compare.depths", "[5 cm, 10 cm, 15 cm]", NULL},
                                       {"compare.crews", "[1, 2]", NULL}};
  drawn_night night;
  pc_comparison comparison = {0};
  compare(&night, pc_starter_scenario(), wanted, 5, &comparison);
  assert_int_equal(comparison.row_count, 2 * 3 * 2);
  size_t varying = 0;
  for (size_t i = 0; i < comparison.row_count; i++)
    varying += comparison.rows[i].summary.total_time_s.half_width > 1e-6;
  assert_int_equal(varying, comparison.row_count);
  for (int units = 0; units < 2; units++) {
    drawn_count count = draw_chart(&night.scenario, &comparison, PC_CHART_LAYOUTS, (pc_unit_system)units);
    assert_int_equal(count.kinds[PC_DRAWN_BAR], comparison.row_count);
    assert_int_equal(count.kinds[PC_DRAWN_INTERVAL], comparison.row_count);
    assert_true(drawn_says(&count, "two piles"));
    drawn_count_free(&count);
    count = draw_chart(&night.scenario, &comparison, PC_CHART_SPLIT, (pc_unit_system)units);
    assert_true(count.kinds[PC_DRAWN_BAR] >= 5 * comparison.row_count);
    drawn_count_free(&count);
    for (int kind = PC_CHART_DEPTH; kind <= PC_CHART_ZONES; kind++) {
      count = draw_chart(&night.scenario, &comparison, (pc_chart_kind)kind, (pc_unit_system)units);
      assert_int_equal(count.kinds[PC_DRAWN_POINT], comparison.row_count);
      assert_int_equal(count.kinds[PC_DRAWN_INTERVAL], comparison.row_count);
      drawn_count_free(&count);
    }
  }
  pc_comparison_free(&comparison);
  drawn_end(&night);
}

/* What did not finish has no total time: an empty bar and a word, no point. */
static void test_chart_of_what_did_not_finish(void **state) {
  (void)state;
  static const pc_override small[] = {{"zones[1].volume", "1 m3", NULL},
                                      {"compare.layouts", "all", NULL},
                                      {"compare.depths", "[5 cm, 10 cm]", NULL}};
  drawn_night night;
  pc_comparison comparison = {0};
  compare(&night, pc_starter_scenario(), small, 3, &comparison);
  size_t unfinished = 0;
  for (size_t i = 0; i < comparison.row_count; i++)
    unfinished += comparison.rows[i].summary.unfinished > 0;
  drawn_count count = draw_chart(&night.scenario, &comparison, PC_CHART_LAYOUTS, PC_METRIC);
  assert_true(unfinished > 0 && unfinished < comparison.row_count);
  assert_true(drawn_says(&count, "pile zones full"));
  assert_false(drawn_says(&count, "not finished (")); /* for which there is no room */
  drawn_count_free(&count);
  count = draw_chart(&night.scenario, &comparison, PC_CHART_DEPTH, PC_METRIC);
  assert_int_equal(count.kinds[PC_DRAWN_POINT], comparison.row_count - unfinished);
  drawn_count_free(&count);
  pc_comparison_free(&comparison);
  drawn_end(&night);
}

/* The numbers of an axis: from 0 to at least the most, in steps of 1, 2, 2.5 or 5. */
static void test_round_step(void **state) {
  (void)state;
  for (double range = 0.003; range < 1e7; range *= 1.37) {
    double step = pc_round_step(range, 8), lead = step / pow(10, floor(log10(step) + 1e-9));
    assert_true(range / step <= 8.0001);
    assert_true(range / step > 3.1);
    assert_true(fabs(lead - 1) < 1e-6 || fabs(lead - 2) < 1e-6 || fabs(lead - 2.5) < 1e-6 ||
                fabs(lead - 5) < 1e-6);
  }
}

static void test_same_bytes(void **state) {
  (void)state;
  for (int format = 0; format < 3; format++) {
    pc_text out[2] = {{0}, {0}};
    for (int i = 0; i < 2; i++) {
      drawn_night night;
      drawn_start(&night, pc_starter_scenario(), NULL, 0, NULL);
      pc_map_content content = drawn_map(&night);
      const pc_picture_style style = {.format = (pc_picture_format)format};
      assert_int_equal(pc_picture_map(&content, &style, &out[i]), PC_OK);
      drawn_end(&night);
    }
    assert_int_equal(out[0].length, out[1].length);
    assert_memory_equal(out[0].data, out[1].data, out[0].length);
    pc_text_free(&out[0]);
    pc_text_free(&out[1]);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_map_of_the_demo),
      cmocka_unit_test(test_flows),
      cmocka_unit_test(test_widths_of_flows),
      cmocka_unit_test(test_snapshot),
      cmocka_unit_test(test_other_scenarios),
      cmocka_unit_test(test_scale_bar),
      cmocka_unit_test(test_view),
      cmocka_unit_test(test_timeline),
      cmocka_unit_test(test_timeline_by_the_clock),
      cmocka_unit_test(test_long_titles),
      cmocka_unit_test(test_charts),
      cmocka_unit_test(test_chart_of_what_did_not_finish),
      cmocka_unit_test(test_round_step),
      cmocka_unit_test(test_same_bytes),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
