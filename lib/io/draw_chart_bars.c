// SPDX-License-Identifier: GPL-3.0-or-later
/* Total time of each combination, and where the time goes. Bars begin at zero. */
#include <math.h>
#include <stdio.h>

#include "io/draw_chart_private.h"
#include "io/tables_private.h"

enum {
  MARGIN = PC_CHART_MARGIN,
  HEAD = PC_CHART_HEAD,
  NAMES = 190,
  VALUES = 104,
  ROW = 16,
  AXIS = 28,
  FOOT = 30
};

static const double most_size = 7.5, least_size = 6; /* of the letters of a label */

static size_t shown_rows(const pc_chart_content *content) {
  size_t count = content->comparison->row_count;
  return count < PC_CHART_ROWS_MAX ? count : PC_CHART_ROWS_MAX;
}

double pc_chart_bars_height(const pc_chart_content *content) {
  return 2 * MARGIN + HEAD + (double)shown_rows(content) * ROW + AXIS + FOOT;
}

typedef struct plot {
  pc_canvas *canvas;
  double x, y, width, height;
  pc_chart_axis axis;
  pc_time_unit unit;
  double label_size;
} plot;

static double at(const plot *p, double time_s) {
  return p->x + p->width * pc_units_convert(time_s, PC_DIM_TIME, p->unit.name) / p->axis.most;
}

static void draw_axis(const plot *p, const char *words) {
  for (int i = 0; i * p->axis.step <= p->axis.most * 1.0001; i++) {
    double x = p->x + p->width * i * p->axis.step / p->axis.most;
    pc_canvas_stroke(p->canvas, x, p->y, x, p->y + p->height + 3,
                     &(pc_look){.line = PC_INK_LINE, .width = i == 0 ? 0.9 : 0.4});
    pc_canvas_note(p->canvas, PC_DRAWN_TICK, (pc_rect){x, p->y, 0, p->height}, NULL);
    pc_chart_number(p->canvas, (pc_rect){x - 24, p->y + p->height + 4, 48, 10}, PC_CENTRE, i * p->axis.step,
                    p->axis.decimals);
  }
  const pc_type type = {.size = 7.5, .side = PC_CENTRE, .lines = 1};
  pc_canvas_text(p->canvas, (pc_rect){p->x, p->y + p->height + 14, p->width, 12}, &type, words);
}

static void draw_interval(const plot *p, const pc_statistic *time, double y) {
  if (!pc_varies(time))
    return;
  double low = at(p, fmax(0, time->mean - time->half_width)), high = at(p, time->mean + time->half_width);
  const pc_look line = {.line = PC_INK_BLACK, .width = 0.9};
  pc_canvas_stroke(p->canvas, low, y, high, y, &line);
  pc_canvas_stroke(p->canvas, low, y - 3, low, y + 3, &line);
  pc_canvas_stroke(p->canvas, high, y - 3, high, y + 3, &line);
  pc_canvas_note(p->canvas, PC_DRAWN_INTERVAL, (pc_rect){low, y - 3, high - low, 6}, NULL);
}

/* Which of the boxes that were compared this one is, in the order in which they come. */
static size_t series_of(const pc_comparison *comparison, size_t row) {
  size_t series = 0;
  for (size_t i = 0; i < comparison->row_count; i++) {
    size_t before = 0;
    while (before < i && !pc_name_is(&comparison->rows[before].box, comparison->rows[i].box.text))
      before++;
    if (before < i)
      continue;
    if (pc_name_is(&comparison->rows[i].box, comparison->rows[row].box.text))
      return series;
    series++;
  }
  return series;
}

static void draw_total(const plot *p, const pc_chart_content *content, size_t index, double y) {
  static const pc_hatch hatches[PC_SERIES_MAX] = {PC_HATCH_NONE,  PC_HATCH_DOWN,  PC_HATCH_UPRIGHT,
                                                  PC_HATCH_LEVEL, PC_HATCH_CROSS, PC_HATCH_UP};
  const pc_compare_row *row = &content->comparison->rows[index];
  size_t series = series_of(content->comparison, index);
  pc_look look = pc_series_look(series);
  look.hatch = hatches[series % PC_SERIES_MAX];
  look.line = PC_INK_BLACK;
  look.width = 0.6;
  look.dash = row->summary.unfinished > 0 ? PC_DASH_SHORT : PC_DASH_NONE;
  if (row->summary.unfinished > 0) { /* no total time: only how far it got */
    look.fill = PC_INK_WHITE;
    look.hatch = PC_HATCH_NONE;
  }
  const pc_statistic *time = &row->summary.total_time_s;
  pc_rect bar = {p->x, y + 3, at(p, time->mean) - p->x, ROW - 6};
  pc_canvas_box(p->canvas, bar, &look);
  pc_canvas_note(p->canvas, PC_DRAWN_BAR, bar, NULL);
  draw_interval(p, time, y + ROW / 2.0);
}

/* The order in which phases stand side by side. */
static const pc_phase phase_order[PC_PHASE_COUNT] = {
    PC_PHASE_FILL,   PC_PHASE_CLEAN_UP, PC_PHASE_CARRY, PC_PHASE_DUMP,  PC_PHASE_WAIT,
    PC_PHASE_RETURN, PC_PHASE_TURN,     PC_PHASE_LOWER, PC_PHASE_RAISE, PC_PHASE_IDLE};

/* The phases of all machines together, so that they add up to the total time. */
static void draw_split(const plot *p, const pc_compare_row *row, double y) {
  const pc_result *mean = &row->summary.mean;
  double before_s = 0;
  for (int i = 0; i < PC_PHASE_COUNT && mean->machine_count > 0; i++) {
    pc_phase phase = phase_order[i];
    double sum_s = 0;
    for (size_t m = 0; m < mean->machine_count; m++)
      sum_s += mean->machines[m].time_s[phase];
    double time_s = sum_s / (double)mean->machine_count;
    pc_rect bar = {at(p, before_s), y + 2, at(p, before_s + time_s) - at(p, before_s), ROW - 4};
    before_s += time_s;
    if (!(bar.width > 0.05))
      continue;
    pc_canvas_box(p->canvas, bar, &pc_phase_look_of(phase)->area);
    pc_canvas_note(p->canvas, PC_DRAWN_BAR, bar, pc_phase_name(phase));
  }
}

/* Lowering and raising look alike, and have one entry. */
static void draw_split_legend(pc_canvas *canvas, double y, double width) {
  double step = width / (PC_PHASE_COUNT - 1), x = MARGIN;
  const pc_type type = {.size = 7, .lines = 1};
  for (int i = 0; i < PC_PHASE_COUNT; i++) {
    const pc_phase_look *look = pc_phase_look_of(phase_order[i]);
    if (phase_order[i] == PC_PHASE_RAISE)
      continue;
    pc_canvas_box(canvas, (pc_rect){x, y, 16, 9}, &look->area);
    pc_canvas_text(canvas, (pc_rect){x + 20, y - 0.5, step - 22, 10}, &type,
                   phase_order[i] == PC_PHASE_LOWER ? "lower, raise" : look->words);
    x += step;
  }
}

static void label_row(const pc_chart_content *content, size_t index, pc_unit_system units, pc_text *words) {
  pc_chart_varying varies = pc_chart_varying_of(content->comparison);
  bool differ = varies.layout || varies.box || varies.loader || varies.policy || varies.depth || varies.crew;
  varies.layout |= !differ; /* a lone row has a name, too */
  pc_chart_label(&content->comparison->rows[index], &varies, units, words);
}

static pc_type label_type(const pc_compare_row *row, double size) {
  return (pc_type){.size = size, .lines = size > least_size ? 1 : 2, .bold = row->rank == 1};
}

/* The largest at which every label has room on a line, or the least, which may take two: one size for all of
 * a chart, or some would look as if they mattered less. */
static double label_size(pc_canvas *canvas, const pc_chart_content *content, size_t rows,
                         pc_unit_system units) {
  double size = most_size;
  for (size_t i = 0; i < rows; i++) {
    pc_text words = {0};
    label_row(content, i, units, &words);
    for (; size > least_size; size -= 0.5) {
      pc_type type = label_type(&content->comparison->rows[i], size);
      if (pc_canvas_measure(canvas, (pc_rect){0, 0, INFINITY, INFINITY}, &type,
                            pc_canvas_words(canvas, &words))
              .width <= NAMES - 6)
        break;
    }
    pc_text_free(&words);
  }
  return size;
}

static void draw_row(const plot *p, const pc_chart_content *content, size_t index, pc_unit_system units) {
  const pc_compare_row *row = &content->comparison->rows[index];
  double y = p->y + (double)index * ROW;
  pc_text words = {0};
  label_row(content, index, units, &words);
  const pc_type type = {.size = 7.5, .lines = 1, .bold = row->rank == 1};
  const pc_type label = label_type(row, p->label_size);
  pc_rect frame = {MARGIN, y, NAMES - 6, ROW};
  double high = pc_canvas_measure(p->canvas, frame, &label, pc_canvas_words(p->canvas, &words)).height;
  frame.y += fmax(0, (ROW - high) / 2);
  pc_canvas_text(p->canvas, frame, &label, pc_canvas_words(p->canvas, &words));
  pc_text_free(&words);
  if (content->kind == PC_CHART_SPLIT)
    draw_split(p, row, y);
  else
    draw_total(p, content, index, y);
  if (row->summary.unfinished > 0)
    pc_text_add(&words, pc_reason_name(row->summary.mean.reason)); /* as the table of a comparison */
  else
    pc_text_add(&words, pc_show_time_in(&row->summary.total_time_s, p->unit).text);
  const double right = p->x + p->width + 6;
  pc_canvas_text(p->canvas, (pc_rect){right, y + 3, VALUES - 6, ROW - 3}, &type,
                 pc_canvas_words(p->canvas, &words));
  pc_text_free(&words);
}

void pc_chart_bars(pc_canvas *canvas, const pc_chart_content *content, pc_unit_system units) {
  pc_rect page = pc_canvas_page(canvas);
  double longest_s = pc_chart_longest_s(content->comparison);
  size_t rows = shown_rows(content);
  plot p = {.canvas = canvas,
            .x = MARGIN + NAMES,
            .y = MARGIN + HEAD,
            .width = page.width - 2 * MARGIN - NAMES - VALUES,
            .height = (double)rows * ROW,
            .unit = pc_varying_of(content->comparison).time,
            .label_size = label_size(canvas, content, rows, units)};
  p.axis = pc_chart_axis_make(pc_units_convert(longest_s, PC_DIM_TIME, p.unit.name), 8);
  bool split = content->kind == PC_CHART_SPLIT;
  pc_chart_head(canvas, content, units);
  pc_text axis = {0};
  pc_text_addf(&axis, "%s, %s", split ? "total time, split as the time of all machines is" : "total time",
               p.unit.name);
  draw_axis(&p, pc_canvas_words(canvas, &axis));
  pc_text_free(&axis);
  for (size_t i = 0; i < rows; i++)
    draw_row(&p, content, i, units);
  double foot = p.y + p.height + AXIS + 4;
  if (split)
    draw_split_legend(canvas, foot, page.width - 2 * MARGIN);
  if (rows < content->comparison->row_count) {
    pc_text more = {0};
    pc_text_addf(&more, "and %zu more, all slower", content->comparison->row_count - rows);
    pc_canvas_text(canvas, (pc_rect){MARGIN, foot + 14, NAMES + 100, 10}, &pc_type_grey,
                   pc_canvas_words(canvas, &more));
    pc_text_free(&more);
  }
}
