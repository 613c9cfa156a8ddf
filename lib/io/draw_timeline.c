// SPDX-License-Identifier: GPL-3.0-or-later
/* Machines × phases. A phase is told by the height of its bar as well as by its colour: most are too narrow
 * for a hatch. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "io/draw.h"
#include "io/tables_private.h"

enum { MARGIN = 24, NAMES = 118, ROW = 15, ROW_GAP = 3, AXIS = 16, LEGEND = 26, TOP = 20 };

typedef struct bands {
  const pc_timeline_content *content;
  double from_s, until_s, band_s;
  int count, parts;
  size_t waits; /* zones at which somebody waits */
  double height;
} bands;

/* Round lengths of time, and into how many parts they are cut, each whole minutes (or seconds) long. The last
 * is for runs of many days. */
static const struct {
  double length_s;
  int parts;
} lengths[] = {{60, 6},    {120, 6},   {300, 5},    {600, 5},    {900, 5},    {1200, 4},  {1800, 6},
               {2400, 8},  {3600, 6},  {5400, 6},   {7200, 8},   {10800, 6},  {14400, 8}, {21600, 6},
               {43200, 6}, {86400, 8}, {172800, 8}, {604800, 7}, {2592000, 6}};

/* Of a month each that is 30 years; what takes longer (a refuelling drop by drop) gets longer ones. */
enum { BANDS_MOST = 360 };

static bool has_waits(const pc_timeline_content *content, size_t zone) {
  for (size_t i = 0; i < content->row_count; i++)
    if (content->rows[i].phase == PC_PHASE_WAIT && content->rows[i].zone == (int)zone)
      return true;
  return false;
}

/* Rows are in time at work, the axis goes by the clock. */
static double clock_s(const pc_timeline_content *content, double work_s) {
  return pc_lot_clock_s(content->lot, work_s);
}

/* Where the axis begins that is to show all: without the hours in which everybody only waits for snow, for
 * the shift or for an area to open. */
static double begin_s(const pc_timeline_content *content) {
  double first_s = INFINITY, quarter_s = 900, rounding = 1e-6;
  for (size_t i = 0; i < content->row_count; i++)
    if (content->rows[i].phase != PC_PHASE_IDLE)
      first_s = fmin(first_s, clock_s(content, content->rows[i].start_s));
  if (content->from_s > 0 || !(first_s < INFINITY))
    return content->from_s;
  return quarter_s * floor(first_s / quarter_s + rounding);
}

static bands make_bands(const pc_timeline_content *content, double room) {
  bands all = {.content = content, .from_s = begin_s(content)};
  all.until_s = all.from_s;
  for (size_t i = 0; i < content->row_count; i++)
    all.until_s = fmax(all.until_s, fmin(content->until_s, clock_s(content, content->rows[i].end_s)));
  for (size_t z = 0; z < content->lot->zone_count; z++)
    all.waits += has_waits(content, z);
  double rows = (double)(content->lot->machine_count + all.waits);
  all.height = rows * (ROW + ROW_GAP) + AXIS;
  double span_s = fmax(all.until_s - all.from_s, 1);
  int most = (int)fmax(1, floor(room / all.height));
  for (int i = sizeof lengths / sizeof lengths[0] - 1; i >= 0; i--)
    if (all.parts == 0 || ceil(span_s / lengths[i].length_s) <= most) {
      all.band_s = lengths[i].length_s;
      all.parts = lengths[i].parts;
    }
  all.band_s = fmax(all.band_s, span_s / BANDS_MOST);
  all.count = (int)ceil(span_s / all.band_s);
  return all;
}

/* ---- one band ---- */

typedef struct strip {
  pc_canvas *canvas;
  const pc_timeline_content *content;
  double from_s, until_s, x, y, width;
  int parts;
} strip;

static double at(const strip *s, double time_s) {
  double share = (time_s - s->from_s) / (s->until_s - s->from_s);
  return s->x + s->width * fmin(1, fmax(0, share));
}

static bool in_strip(const strip *s, double start_s, double end_s) {
  return end_s > s->from_s && start_s < s->until_s && end_s > start_s;
}

static void draw_phase(const strip *s, pc_phase phase) {
  const pc_phase_look *look = pc_phase_look_of(phase);
  pc_look plain = look->area;
  plain.hatch = PC_HATCH_NONE;
  if (phase == PC_PHASE_IDLE)
    plain.fill = PC_INK_LINE;
  plain.width = phase == PC_PHASE_WAIT || phase == PC_PHASE_RETURN ? 0.4 : 0;
  for (size_t i = 0; i < s->content->row_count; i++) {
    const pc_trace_row *row = &s->content->rows[i];
    double start_s = clock_s(s->content, row->start_s), end_s = clock_s(s->content, row->end_s);
    if (row->phase != phase || !in_strip(s, start_s, end_s))
      continue;
    double y = s->y + (double)row->machine * (ROW + ROW_GAP);
    pc_rect bar = {at(s, start_s), y + ROW * (1 - look->high), at(s, end_s) - at(s, start_s),
                   ROW * (look->high - look->low)};
    pc_canvas_rectangle(s->canvas, bar);
    pc_canvas_note(s->canvas, PC_DRAWN_SPAN, bar, pc_phase_name(phase));
  }
  pc_canvas_paint(s->canvas, &plain);
}

static void name_row(const strip *s, double y, const char *name) {
  const pc_type type = {.size = 7, .lines = 1};
  pc_canvas_text(s->canvas, (pc_rect){s->x - NAMES, y + 3, NAMES - 6, ROW - 3}, &type, name);
  pc_canvas_stroke(s->canvas, s->x, y + ROW, s->x + s->width, y + ROW,
                   &(pc_look){.line = PC_INK_LINE, .width = 0.5});
}

/* ---- queues ---- */

typedef struct queue_step { /* somebody comes to wait, or has waited */
  double time_s;
  int change;
} queue_step;

static int compare_steps(const void *a, const void *b) {
  const queue_step *one = a, *other = b;
  if (one->time_s != other->time_s)
    return one->time_s < other->time_s ? -1 : 1;
  return one->change - other->change; /* who goes, goes first */
}

/* The steps of the queue at a zone, in order, and how long it gets; NULL if memory is short.
 */
static queue_step *queue_steps(const pc_timeline_content *content, size_t zone, size_t *count, int *most) {
  *count = 0;
  *most = 0;
  queue_step *steps = pc_alloc(2 * content->row_count, sizeof *steps);
  for (size_t i = 0; steps && i < content->row_count; i++) {
    const pc_trace_row *row = &content->rows[i];
    if (row->phase != PC_PHASE_WAIT || row->zone != (int)zone)
      continue;
    steps[(*count)++] = (queue_step){clock_s(content, row->start_s), 1};
    steps[(*count)++] = (queue_step){clock_s(content, row->end_s), -1};
  }
  if (!steps)
    return NULL;
  qsort(steps, *count, sizeof *steps, compare_steps);
  for (size_t i = 0, waiting = 0; i < *count; i++) {
    waiting += (size_t)steps[i].change;
    *most = (int)waiting > *most ? (int)waiting : *most;
  }
  return steps;
}

/* How many wait at a zone, as a stepped area; its name tells the height. */
static void draw_queue(const strip *s, size_t zone, double y) {
  size_t count;
  int most, waiting = 0;
  queue_step *steps = queue_steps(s->content, zone, &count, &most);
  if (!steps)
    pc_canvas_fail(s->canvas);
  for (size_t i = 0; steps && i + 1 < count; i++) {
    waiting += steps[i].change;
    double x0 = at(s, steps[i].time_s), x1 = at(s, steps[i + 1].time_s);
    double high = (double)ROW * waiting / most;
    if (waiting == 0 || !(x1 > x0))
      continue;
    pc_canvas_rectangle(s->canvas, (pc_rect){x0, y + ROW - high, x1 - x0, high});
    pc_canvas_note(s->canvas, PC_DRAWN_SPAN, (pc_rect){x0, y + ROW - high, x1 - x0, high}, "queue");
  }
  pc_canvas_paint(s->canvas, &(pc_look){.fill = PC_INK_BLACK});
  pc_text words = {0};
  pc_text_addf(&words, "up to %d wait at %s", most, s->content->lot->zones[zone].name.text);
  name_row(s, y, pc_canvas_words(s->canvas, &words));
  pc_text_free(&words);
  free(steps);
}

/* Hours and minutes, or seconds too where a band is short: by the clock, or from the start. */
static pc_shown clock_of(const pc_lot *lot, double time_s, bool seconds) {
  pc_shown shown;
  if (lot->clock.given)
    return seconds ? pc_clock_show_seconds(&lot->clock, time_s) : pc_clock_show(&lot->clock, time_s);
  long whole = lround(time_s);
  if (seconds)
    snprintf(shown.text, sizeof shown.text, "%ld:%02ld:%02ld", whole / 3600, whole / 60 % 60, whole % 60);
  else
    snprintf(shown.text, sizeof shown.text, "%ld:%02ld", whole / 3600, whole / 60 % 60);
  return shown;
}

static void draw_axis(const strip *s, double y, double last_s) {
  const pc_type type = {.size = 6.5, .ink = PC_INK_GREY, .lines = 1, .side = PC_CENTRE};
  bool seconds = fmod(s->from_s, 60) != 0 || s->until_s - s->from_s < 60 * s->parts;
  double step_s = (s->until_s - s->from_s) / s->parts;
  for (int i = 0; i <= s->parts; i++) {
    double time_s = s->from_s + i * step_s, x = at(s, time_s);
    if (time_s > last_s + step_s)
      break;
    pc_canvas_stroke(s->canvas, x, s->y, x, y + 2, &(pc_look){.line = PC_INK_LINE, .width = 0.4});
    pc_canvas_note(s->canvas, PC_DRAWN_TICK, (pc_rect){x, s->y, 0, y - s->y}, NULL);
    double left = fmin(fmax(x - 28, s->x - 28), s->x + s->width - 36);
    pc_canvas_text(s->canvas, (pc_rect){left, y + 2, 56, 10}, &type,
                   clock_of(s->content->lot, time_s, seconds).text);
  }
}

static void draw_strip(const strip *s, double last_s) {
  static const pc_phase order[] = {PC_PHASE_IDLE,  PC_PHASE_RETURN, PC_PHASE_TURN,     PC_PHASE_LOWER,
                                   PC_PHASE_RAISE, PC_PHASE_CARRY,  PC_PHASE_CLEAN_UP, PC_PHASE_FILL,
                                   PC_PHASE_DUMP,  PC_PHASE_WAIT};
  const pc_lot *lot = s->content->lot;
  double y = s->y + (double)lot->machine_count * (ROW + ROW_GAP);
  for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
    draw_phase(s, order[i]);
  for (size_t m = 0; m < lot->machine_count; m++)
    name_row(s, s->y + (double)m * (ROW + ROW_GAP), lot->machines[m].name.text);
  for (size_t z = 0; z < lot->zone_count; z++) {
    if (!has_waits(s->content, z))
      continue;
    draw_queue(s, z, y);
    y += ROW + ROW_GAP;
  }
  draw_axis(s, y - ROW_GAP, last_s);
}

/* ---- the page ---- */

static void draw_legend(pc_canvas *canvas, double x, double y, double width) {
  static const pc_phase order[] = {PC_PHASE_FILL, PC_PHASE_CLEAN_UP, PC_PHASE_CARRY,
                                   PC_PHASE_DUMP, PC_PHASE_WAIT,     PC_PHASE_RETURN,
                                   PC_PHASE_TURN, PC_PHASE_LOWER,    PC_PHASE_IDLE};
  enum { COUNT = sizeof order / sizeof order[0], HIGH = 12 };
  const pc_type type = {.size = 7, .lines = 1};
  double step = width / COUNT;
  for (int i = 0; i < COUNT; i++) {
    const pc_phase_look *look = pc_phase_look_of(order[i]);
    pc_look plain = look->area;
    plain.hatch = PC_HATCH_NONE;
    if (order[i] == PC_PHASE_IDLE)
      plain.fill = PC_INK_LINE;
    double left = x + i * step;
    pc_canvas_box(canvas, (pc_rect){left, y + HIGH * (1 - look->high), 14, HIGH * (look->high - look->low)},
                  &plain);
    pc_canvas_text(canvas, (pc_rect){left + 18, y + 2, step - 20, 10}, &type,
                   order[i] == PC_PHASE_LOWER ? "lower, raise" : look->words);
  }
}

static void draw(pc_canvas *canvas, const void *content, const pc_picture_style *style) {
  (void)style;
  const bands *all = content;
  const pc_lot *lot = all->content->lot;
  pc_rect page = pc_canvas_page(canvas);
  pc_text title = {0};
  pc_text_addf(&title, "%s%slayout \"%s\", who does what when (one simulated night, %s)", lot->scenario.text,
               lot->scenario.text[0] ? ": " : "", lot->layout.text,
               lot->clock.given ? "clock times" : "hours:minutes");
  pc_draw_title(canvas, MARGIN, pc_canvas_words(canvas, &title));
  pc_text_free(&title);
  draw_legend(canvas, MARGIN, MARGIN + TOP - 2, page.width - 2 * MARGIN);
  for (int i = 0; i < all->count; i++) {
    strip one = {.canvas = canvas,
                 .content = all->content,
                 .from_s = all->from_s + i * all->band_s,
                 .x = MARGIN + NAMES,
                 .y = MARGIN + TOP + LEGEND + i * all->height,
                 .width = page.width - 2 * MARGIN - NAMES,
                 .parts = all->parts};
    one.until_s = one.from_s + all->band_s;
    draw_strip(&one, all->until_s);
  }
}

pc_status pc_draw_timeline(const pc_timeline_content *content, const pc_draw_job *job) {
  pc_rect paper = pc_paper_size(job->style->paper, false);
  double fixed = 2 * MARGIN + TOP + LEGEND;
  bands all = make_bands(content, paper.height - fixed);
  const pc_canvas_setup setup = {.format = job->style->format,
                                 .width = paper.width,
                                 .height = fixed + all.count * all.height,
                                 .title = content->lot->scenario.text};
  return pc_draw_picture(&setup, job, draw, &all);
}
