// SPDX-License-Identifier: GPL-3.0-or-later
/* The brief: pages, what each must say, that nothing overlaps or runs off the paper. Paper sizes: ISO 216
 * (A4, 210 mm × 297 mm) and ANSI/ASME Y14.1 (A: 8.5 in × 11 in). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "drawn.h"
#include "io/brief_private.h"
#include "io/starter.h"

static const pc_override few[] = {{"chance.replications", "4", NULL}};

static drawn_count draw(const drawn_night *night, pc_unit_system units, pc_paper paper, pc_text *out) {
  drawn_count count = {0};
  const pc_brief_content content = drawn_brief(night);
  const pc_picture_style style = {.units = units, .paper = paper};
  const pc_draw_job job = {&style, out, NULL, drawn_watch, &count};
  assert_int_equal(pc_draw_brief(&content, &job), PC_OK);
  return count;
}

/* What every page for a machine has to say, and the page for the lot. */
static const char *const needed[] = {"Before you start",
                                     "chains with little slack",
                                     "Bucket level",
                                     "with a gap",
                                     "No down pressure",
                                     "Shoes flat",
                                     "trip edge free",
                                     "Lights",
                                     "camera and mirrors",
                                     "Hi-vis",
                                     "Refuelling",
                                     "People on foot: stop",
                                     "Other machines",
                                     "Hydrants stay clear",
                                     "drivers at an exit",
                                     "Local codes and licensed practice decide",
                                     "Your work",
                                     "Who does what",
                                     "Pile zones",
                                     "All done after",
                                     "Start at the dot with your name"};

typedef struct quarters {
  const drawn_night *night;
  size_t numbers, off; /* of quarters; those of them that do not stand on an area of the machine */
} quarters;

/* With all its corners and its middle in an outline that this machine may work. */
static bool stands_on_own(const drawn_night *night, size_t machine, const pc_map_view *view, pc_rect box) {
  const pc_site *site = &night->scenario.site;
  for (size_t a = 0; a < site->area_count; a++) {
    bool on = night->lot->machines[machine].allowed[a];
    for (int i = 0; i < 5 && on; i++) {
      double x = box.x + (i == 4 ? 0.5 : i & 1) * box.width, y = box.y + (i == 4 ? 0.5 : i >> 1) * box.height;
      pc_point at = {view->left_m + (x - view->inner.x) / view->scale,
                     view->top_m - (y - view->inner.y) / view->scale};
      on = pc_ring_contains(&site->areas[a].outline, at);
    }
    if (on)
      return true;
  }
  return false;
}

static void watch_quarters(void *context, const pc_canvas *canvas) {
  quarters *seen = context;
  size_t count;
  const pc_drawn *record = pc_canvas_record(canvas, &count);
  for (size_t i = 0; i < count; i++) {
    const pc_drawn *label = &record[i];
    if (label->kind != PC_DRAWN_LABEL || label->page == 0 || strlen(label->text) != 2 ||
        label->text[0] < '1' || label->text[0] > '4' || label->text[1] != '.')
      continue;
    pc_rect frame = {0, 0, 0, 0};
    for (size_t k = 0; k < count; k++)
      if (record[k].kind == PC_DRAWN_FRAME && record[k].page == label->page)
        frame = record[k].box;
    if (label->box.y > frame.y + frame.height)
      continue; /* what the shades mean, below the map */
    const pc_map_view view = pc_map_fit(&seen->night->scenario, frame, 24);
    seen->numbers++;
    seen->off += !stands_on_own(seen->night, (size_t)label->page - 1, &view, label->box);
  }
}

/* The numbers of the quarters of the work stand on what is worked, also where that is narrow, bent, or where
 * all quarters begin at one end of it. */
static void test_quarters_on_their_area(void **state) {
  (void)state;
  static const pc_override bent[] = {
      {"chance.replications", "1", NULL},
      {"site.areas[0].outline",
       "[[0, 0], [20, 0], [20, 10], [30, 10], [30, 40], [40, 40], [40, 10], [190, 10], [190, 0], [194, 0], "
       "[194, 16], [249.2632, 16], [262, 38], [262, 104], [214, 142], [48, 142], [0, 108]]",
       NULL},
      {"site.areas[1].outline",
       "[[20, 0], [190, 0], [190, 10], [40, 10], [40, 40], [30, 40], [30, 10], [20, 10]]", NULL}};
  for (size_t i = 1; i <= 3; i += 2) {
    drawn_night night;
    drawn_start(&night, pc_demo_scenario(), bent, i, "three piles");
    quarters seen = {.night = &night};
    const pc_brief_content content = drawn_brief(&night);
    pc_text out = {0};
    const pc_picture_style style = {0};
    const pc_draw_job job = {&style, &out, NULL, watch_quarters, &seen};
    assert_int_equal(pc_draw_brief(&content, &job), PC_OK);
    assert_int_equal(seen.numbers, 4 * night.lot->machine_count);
    assert_int_equal(seen.off, 0);
    pc_text_free(&out);
    drawn_end(&night);
  }
}

static size_t times_said(const drawn_count *count, const char *words) {
  size_t times = 0;
  for (const char *at = count->words.data; at && (at = strstr(at, words)) != NULL; at += strlen(words))
    times++;
  return times;
}

static void test_of_the_demo(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, "three piles");
  for (int paper = 0; paper < 2; paper++) {
    pc_text out = {0};
    drawn_count count = draw(&night, (pc_unit_system)paper, (pc_paper)paper, &out);
    assert_memory_equal(out.data, "%PDF", 4);
    assert_int_equal(count.pages, 1 + night.lot->machine_count);
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
      if (!drawn_says(&count, needed[i]))
        fail_msg("the brief does not say \"%s\"", needed[i]);
    static const char *const own[] = {"hydrant by the ramp",
                                      "gully west",
                                      "hall door",
                                      "accessible stalls",
                                      "vehicles 1, vehicle 2, vehicles 3",
                                      "quay fence"};
    for (size_t i = 0; i < sizeof own / sizeof own[0]; i++) /* to be left alone, on every page */
      if (times_said(&count, own[i]) < 1 + night.lot->machine_count)
        fail_msg("\"%s\" is said only %zu times", own[i], times_said(&count, own[i]));
    assert_int_equal(times_said(&count, "Local codes and licensed practice decide"),
                     1 + night.lot->machine_count);
    assert_int_equal(times_said(&count, "and this sheet"), 1);
    assert_int_equal(count.kinds[PC_DRAWN_START], 4 + 4); /* all on the first page, then each its own */
    assert_true(count.kinds[PC_DRAWN_SWATH] > 100);
    /* a plow truck has no box to float */
    assert_int_equal(times_said(&count, "chains with little slack"), 3);
    assert_int_equal(times_said(&count, "Blade angled"), 1);
    drawn_count_free(&count);
    pc_text_free(&out);
  }
  drawn_end(&night);
}

static pc_canvas *make_canvas(pc_text *out) {
  const pc_canvas_setup setup = {.format = PC_PICTURE_PDF, .width = 595, .height = 842, .title = "t"};
  pc_canvas *canvas;
  assert_int_equal(pc_canvas_create(&setup, out, &canvas), PC_OK);
  return canvas;
}

/* Loads and hours are those of the simulated nights. */
static void test_figures(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, NULL);
  const pc_brief_content content = drawn_brief(&night);
  pc_text out = {0};
  pc_canvas *canvas = make_canvas(&out);
  for (size_t m = 0; m < night.lot->machine_count; m++) {
    pc_statistic hours = pc_brief_hours(canvas, &content, m), loads = pc_brief_loads(canvas, &content, m);
    const pc_machine_result *mean = &night.summary.mean.machines[m];
    double work_s = 0;
    for (int p = 0; p < PC_PHASE_COUNT; p++)
      work_s += p == PC_PHASE_IDLE ? 0 : mean->time_s[p];
    assert_true(fabs(hours.mean - work_s) < 1e-6 * (1 + work_s));
    assert_true(fabs(loads.mean - mean->cycles) <= 0.5 + 1e-9); /* the mean result has whole cycles */
    assert_true(hours.min <= hours.mean && hours.mean <= hours.max);
    assert_true(hours.max <= night.summary.total_time_s.max + 1e-6);
    assert_int_equal(hours.count, 4);
  }
  assert_int_equal(pc_canvas_finish(canvas), PC_OK);
  pc_canvas_free(canvas);
  pc_text_free(&out);
  drawn_end(&night);
}

/* Of more nights than any memory holds there are no figures: whatever part of a brief wants them fails. */
static void test_memory_that_is_short(void **state) {
  (void)state;
  drawn_night night;
  drawn_start(&night, pc_demo_scenario(), few, 1, NULL);
  pc_brief_content content = drawn_brief(&night);
  pc_summary summary = night.summary;
  summary.replications = SIZE_MAX;
  content.summary = &summary;
  for (int part = 0; part < 3; part++) {
    pc_text out = {0};
    pc_canvas *canvas = make_canvas(&out);
    pc_column column = pc_column_start(canvas, (pc_rect){10, 10, 500, 780});
    if (part < 2)
      pc_brief_work(&column, &content, part == 0 ? PC_BRIEF_ALL : 0, PC_METRIC);
    else
      pc_brief_checks(&column, &content, 0, PC_METRIC); /* of fuel */
    assert_int_equal(pc_canvas_finish(canvas), PC_ERR_MEMORY);
    pc_canvas_free(canvas);
    pc_text_free(&out);
  }
  drawn_end(&night);
}

/* A list that does not fit goes on in the next column; where there is none, or no room in it, every kind
 * names one thing at least, and it is said that there is more. */
static void test_mind_goes_on(void **state) {
  (void)state;
  static const pc_override stalls = {
      "site.keep_clear", "[{name: stalls by the hall, kind: accessible, at: [5, 5], radius: 1 m}]", "stalls"};
  drawn_night night;
  drawn_start(&night, drawn_night_storm(), &stalls, 1, NULL);
  const pc_brief_content content = drawn_brief(&night);
  const struct {
    double left, right;
    bool all;
  } cases[] = {{400, 20, true}, {35, 400, true}, {45, 20, false}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    pc_text out = {0};
    pc_canvas *canvas = make_canvas(&out);
    pc_column left = pc_column_start(canvas, (pc_rect){10, 10, 240, cases[i].left});
    pc_column right = pc_column_start(canvas, (pc_rect){260, 10, 240, cases[i].right});
    pc_brief_mind(&left, &right, &content, 0, PC_METRIC);
    drawn_count count = {0};
    drawn_watch(&count, canvas);
    assert_true(drawn_says(&count, "on the way to them: stalls by the hall"));
    assert_int_equal(drawn_says(&count, "Narrow places"), cases[i].all);
    assert_int_equal(drawn_says(&count, "everything that is marked on the map"), !cases[i].all);
    assert_int_equal(drawn_says(&count, "More to leave alone"), i == 1);
    drawn_count_free(&count);
    assert_int_equal(pc_canvas_finish(canvas), PC_OK);
    pc_canvas_free(canvas);
    pc_text_free(&out);
  }
  drawn_end(&night);
}

static void test_of_others(void **state) {
  (void)state;
  const char *const texts[] = {pc_starter_scenario(), drawn_tiny(), drawn_many(), drawn_night_storm()};
  for (size_t t = 0; t < sizeof texts / sizeof texts[0]; t++) {
    drawn_night night;
    drawn_start(&night, texts[t], NULL, 0, NULL);
    for (int paper = 0; paper < 4; paper++) {
      pc_text out = {0};
      drawn_count count = draw(&night, (pc_unit_system)(paper / 2), (pc_paper)(paper % 2), &out);
      assert_int_equal(count.pages, 1 + night.lot->machine_count);
      /* checks are never what gives way */
      for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
        if (!drawn_says(&count, needed[i]))
          fail_msg("scenario %zu, paper %d: the brief does not say \"%s\"", t, paper, needed[i]);
      assert_int_equal(times_said(&count, "Refuelling"), night.lot->machine_count);
      assert_int_equal(times_said(&count, "in the storm"), t == 3 ? night.lot->machine_count : 0);
      assert_int_equal(times_said(&count, "take the break that is due"), night.lot->machine_count);
      if (t == 2) { /* more than there is room for: it is said that there is more */
        assert_true(drawn_says(&count, "and 2 more"));
        assert_true(drawn_says(&count, "everything that is marked on the map"));
      }
      if (t == 3) {
        assert_true(
            drawn_says(&count, "strip has to be clear 5 min after the start; late in 0 of 1 nights."));
        assert_true(drawn_says(&count, "Lay the snow to the right"));
      }
      drawn_count_free(&count);
      pc_text_free(&out);
    }
    drawn_end(&night);
  }
}

static drawn_count brief_of(const char *text, const pc_override *overrides, size_t count,
                            pc_unit_system units) {
  drawn_night night;
  pc_text out = {0};
  drawn_start(&night, text, overrides, count, NULL);
  drawn_count found = draw(&night, units, PC_PAPER_A4, &out);
  pc_text_free(&out);
  drawn_end(&night);
  return found;
}

static void says(const drawn_count *count, size_t times, const char *words) {
  if (times_said(count, words) != times)
    fail_msg("\"%s\" is said %zu times, not %zu", words, times_said(count, words), times);
}

/* What a scenario gives by the clock (docs/model.md: opens, clear_by, from, until, breaks) is told by the
 * clock, however many minutes of an hour are worked; nobody pushes where it has not opened. */
static void test_by_the_clock(void **state) {
  (void)state;
  static const char *const minutes[] = {"60", "50", "37"};
  for (size_t i = 0; i < sizeof minutes / sizeof minutes[0]; i++) {
    const pc_override overrides[] = {{"work_minutes_per_hour", minutes[i], NULL},
                                     {"crew[0].from", "2 h", NULL},
                                     {"crew[0].until", "4 h", NULL},
                                     {"site.areas[0].opens", "2.5 h", NULL}};
    drawn_count count =
        brief_of(drawn_night_storm(), overrides, sizeof overrides / sizeof overrides[0], PC_METRIC);
    says(&count, 3, "Your shift: from 2 h to 4 h after the start");
    says(&count, 3, "Breaks: 10 min after every 60 min.");
    says(&count, 3, "1. yard, from 2:3");
    says(&count, 3, "h after the start, clear by 3:00 h");
    assert_true(drawn_says(&count, "h after the start, clear by 0:05 h"));
    says(&count, i > 0 ? 6 : 0, " min of each hour are worked"); /* on each of six pages */
    drawn_count_free(&count);
  }
  drawn_count count = brief_of(pc_starter_scenario(), NULL, 0, PC_METRIC);
  says(&count, 0, "clear by");
  says(&count, 0, "The work starts at");
  says(&count, 0, "Breaks:");
  says(&count, 0, "Your shift");
  drawn_count_free(&count);
}

/* The same times as clock times, where the scenario says when the work starts: 22:30 and 2 h are 00:30, and 4
 * h 02:30; the first break, 45 min after the shift begins, is at 01:15. */
static void test_with_a_start(void **state) {
  (void)state;
  static const char *const minutes[] = {"60", "50", "37"};
  for (size_t i = 0; i < sizeof minutes / sizeof minutes[0]; i++) {
    const pc_override overrides[] = {{"work_minutes_per_hour", minutes[i], NULL},
                                     {"starts_at", "22:30", NULL},
                                     {"crew[0].from", "00:30", NULL},
                                     {"crew[0].until", "4 h", NULL},
                                     {"crew[0].breaks.every", "45 min", NULL},
                                     {"site.areas[0].opens", "01:00", NULL}};
    drawn_count count =
        brief_of(drawn_night_storm(), overrides, sizeof overrides / sizeof overrides[0], PC_METRIC);
    says(&count, 3, "Your shift: from 00:30 to 02:30.");
    says(&count, 3, "Breaks: 10 min after every 45 min, due at about 01:15");
    says(&count, 3, "1. yard, from 01:0");
    says(&count, 3, ", clear by 01:30");
    assert_true(drawn_says(&count, ", clear by 22:35"));
    says(&count, 0, "after the start");
    assert_true(drawn_says(&count, "The work starts at 22:30."));
    drawn_count_free(&count);
  }
}

/* The next break is due `every` after the end of the one before (docs/model.md: breaks): from 00:30 on, 45
 * min of work, 10 min of break and 45 min more are 02:10, and a third one would be after the shift. Six are
 * told; where there are more, it says so. */
static void test_breaks_that_are_due(void **state) {
  (void)state;
  pc_override overrides[] = {{"starts_at", "22:30", NULL},
                             {"crew[0].from", "00:30", NULL},
                             {"crew[0].until", "4 h", NULL},
                             {"site.areas[0].opens", "02:00", NULL},
                             {"site.areas[0].clear_by", "04:00", NULL},
                             {"crew[0].breaks.every", "45 min", NULL}};
  drawn_count count = brief_of(drawn_night_storm(), overrides, 6, PC_METRIC);
  says(&count, 3, "due at about 01:15, 02:10. While you wait for work take one as soon as it is due.");
  drawn_count_free(&count);
  overrides[5].value = "7 min";
  count = brief_of(drawn_night_storm(), overrides, 6, PC_METRIC);
  says(&count, 3, "due at about 00:37, 00:54, 01:11, 01:28, 01:45, 02:02, …");
  drawn_count_free(&count);
}

/* 1 cm lies, and 1 cm falls in two hours: never the 3 cm with which work begins. So it does when the storm is
 * over; with 1.5 cm an hour it does when 2 cm have fallen, in 80 min. */
static void test_snow_that_never_gets_deep(void **state) {
  (void)state;
  pc_override overrides[] = {{"snow.depth", "1 cm", NULL}, {"storm[0].rate", "0.5 cm/h", NULL}};
  drawn_count count = brief_of(drawn_night_storm(), overrides, 2, PC_METRIC);
  assert_true(drawn_says(&count, "The snow never gets as deep as 3 cm: the work begins when the storm is"));
  assert_false(drawn_says(&count, "The work begins once"));
  drawn_count_free(&count);
  overrides[1].value = "1.5 cm/h";
  count = brief_of(drawn_night_storm(), overrides, 2, PC_METRIC);
  assert_false(drawn_says(&count, "never gets as deep"));
  assert_true(drawn_says(&count, "The work begins once 3 cm of snow lies, at about 80 min after the"));
  drawn_count_free(&count);
}

/* When the first of these machines begins in the first simulated night. */
static double first_row_s(const drawn_night *night, const char *loader) {
  const pc_brief_content content = drawn_brief(night);
  for (size_t i = 0; i < content.row_count; i++) {
    const pc_trace_row *row = &content.rows[i];
    if (row->phase != PC_PHASE_IDLE &&
        strcmp(content.lot->machines[row->machine].unit.loader.name.text, loader) == 0)
      return row->start_s;
  }
  return NAN;
}

/* A sweep for a deadline begins the work though the snow never gets deep: 30 min before 100 min, the
 * simulated night agreeing. Who does not work there waits for the snow on bare ground; with snow on it at the
 * start, more than done_below, nobody does. */
static void test_a_sweep_begins_the_work(void **state) {
  (void)state;
  static const char *const depths[] = {"0 cm", "1.5 cm"};
  for (size_t i = 0; i < 2; i++) {
    const pc_override overrides[] = {{"snow.depth", depths[i], NULL},
                                     {"crew[0].breaks.every", "5 h", NULL},
                                     {"site.areas[0].clear_by", "100 min", NULL},
                                     {"site.areas[0].sweep_before", "30 min", NULL}};
    drawn_night night;
    pc_text out = {0};
    drawn_start(&night, drawn_night_storm(), overrides, 4, NULL);
    drawn_count count = draw(&night, PC_METRIC, PC_PAPER_A4, &out);
    says(&count, i == 0 ? 4 : 6, "The work begins at 70 min after the start: yard is to be pushed then");
    says(&count, i == 0 ? 2 : 0, "The snow never gets as deep as 3 cm: the work begins when the storm is");
    assert_true(fabs(first_row_s(&night, "loader") - 70 * 60) < 1e-6);
    assert_true(fabs(first_row_s(&night, "truck") - (i == 0 ? 120 * 60 : 70 * 60)) < 1e-6);
    pc_text_free(&out);
    drawn_end(&night);
    drawn_count_free(&count);
  }
}

/* A box of 4 × 1 m that holds 1 m³ a square metre, 250 kg/m³ in it, and goes when it is nine tenths full:
 * 4 × 1 × 1 × 250 × 0.9 = 900 kg. */
static void test_full_load(void **state) {
  (void)state;
  static const pc_override overrides[] = {
      {"boxes", "[{name: b, width: 4 m, height: 1 m, heap_factor: 1 m}]", NULL},
      {"snow.pushed_density", "250 kg/m3", NULL},
      {"site.areas[0].outline", "[[0,0],[90,0],[90,45],[0,45]]", NULL},
      {"zones[0].outline", "[[90,0],[120,0],[120,45],[90,45]]", NULL},
      {"full_at", "0.9", NULL}};
  drawn_count count = brief_of(drawn_tiny(), overrides, 5, PC_METRIC);
  says(&count, 1, "A full load is about 900 kg.");
  drawn_count_free(&count);
}

/* Who carves out is told so, and of the pile only if it gets there (docs/model.md, "Carving"). The
 * demonstration lot has two machines that pile, a blade, and one that carves. */
static void test_carving(void **state) {
  (void)state;
  drawn_count count = brief_of(pc_demo_scenario(), few, 1, PC_METRIC);
  says(&count, 1, "Carve out, nearest lane first");
  says(&count, 1, "; carved out into car park");
  says(&count, 2, "as you leave the pile");
  says(&count, 0, "Elsewhere:");
  drawn_count_free(&count);
  static const pc_override both[] = {{"chance.replications", "2", NULL},
                                     {"crew[2].areas", "[long stay, car park]", NULL}};
  count = brief_of(pc_demo_scenario(), both, 2, PC_METRIC);
  says(&count, 1, "and back out. Elsewhere: When the box is full");
  says(&count, 1, "; carved out into car park");
  says(&count, 3, "as you leave the pile");
  drawn_count_free(&count);
}

/* One machine that nobody keeps waiting burns 0.59 of its power at work (EPA NONROAD, report NR-005):
 * 0.59 * 100 hp * 0.07 gal/hph = 4.13 gal/h, and 60 gal last 14.5 h of that. Five hours of idling before that
 * do not count, though they are 5 gal of the night, and told as idling; five hours before it comes burn
 * nothing. */
static void test_fuel_at_work(void **state) {
  (void)state;
  static const pc_override last[] = {{"site.areas[0].opens", "5 h", NULL},
                                     {"crew", "[{loader: l, box: b, from: 5 h}]", NULL}};
  static const char *const said[] = {
      "Fuel: about 5 gal this night (5 gal of it with the engine idling), some 4 gal an hour at work; a tank "
      "of 60 gal lasts about 15 h.",
      "Fuel: about 0 gal this night, some 4 gal an hour at work; a tank of 60 gal lasts about 15 h."};
  pc_override overrides[] = {
      {"loaders[0].power", "100 hp", NULL},
      {"loaders[0].mass", "18000 lb", NULL},
      {"loaders[0].traction", "0.3", NULL},
      {"loaders[0].fuel", "{per_kwh: 0.07 gal/hph, idle: 1 gal/h, tank: 60 gal, refuel: 15 gal/min}", NULL},
      {NULL, NULL, NULL}};
  for (size_t i = 0; i < 2; i++) {
    overrides[4] = last[i];
    drawn_count count = brief_of(drawn_tiny(), overrides, 5, PC_US);
    says(&count, 1, said[i]);
    says(&count, 0, "Refuel at the diamond");
    assert_int_equal(count.kinds[PC_DRAWN_FUEL], 0);
    drawn_count_free(&count);
  }
}

/* Marked on the map of every page, and named beside what the tank holds. */
static void test_fuel_point(void **state) {
  (void)state;
  static const pc_override overrides[] = {
      {"loaders[0].power", "100 hp", NULL},
      {"loaders[0].mass", "18000 lb", NULL},
      {"loaders[0].traction", "0.3", NULL},
      {"loaders[0].fuel", "{per_kwh: 0.07 gal/hph, idle: 1 gal/h, tank: 60 gal, refuel: 15 gal/min}", NULL},
      {"fuel_point", "[4, 3]", NULL}};
  drawn_count count = brief_of(drawn_tiny(), overrides, 5, PC_US);
  says(&count, 1, "lasts about 15 h. Refuel at the diamond on the map.");
  assert_int_equal(count.kinds[PC_DRAWN_FUEL], count.pages);
  drawn_count_free(&count);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_of_the_demo),
      cmocka_unit_test(test_figures),
      cmocka_unit_test(test_memory_that_is_short),
      cmocka_unit_test(test_of_others),
      cmocka_unit_test(test_mind_goes_on),
      cmocka_unit_test(test_by_the_clock),
      cmocka_unit_test(test_with_a_start),
      cmocka_unit_test(test_carving),
      cmocka_unit_test(test_fuel_at_work),
      cmocka_unit_test(test_fuel_point),
      cmocka_unit_test(test_quarters_on_their_area),
      cmocka_unit_test(test_breaks_that_are_due),
      cmocka_unit_test(test_snow_that_never_gets_deep),
      cmocka_unit_test(test_a_sweep_begins_the_work),
      cmocka_unit_test(test_full_load),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
