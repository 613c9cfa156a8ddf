// SPDX-License-Identifier: GPL-3.0-or-later
/* Total time against a number: depth of snow, machines, pile zones. One line for each of the other things
 * that vary. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "io/draw_chart_private.h"
#include "io/tables_private.h"

enum { MARGIN = PC_CHART_MARGIN, HEAD = PC_CHART_HEAD, LEFT = 44, BELOW = 30, LEGEND_ROW = 14 };

typedef struct lines {
  pc_canvas *canvas;
  const pc_chart_content *content;
  pc_unit_system units;
  pc_rect plot;
  pc_chart_axis across, up;
  pc_time_unit unit;
  pc_chart_varying named;      /* what tells the lines apart */
  size_t *first_of;            /* per row: the first row of its line */
  size_t heads[PC_SERIES_MAX]; /* first rows of the lines that are drawn */
  size_t count, left_out;
} lines;

static size_t zones_of(const pc_scenario *scenario, const char *layout) {
  const pc_layout *found = pc_scenario_layout(scenario, layout);
  return found ? found->zones.count : scenario->zone_count;
}

/* Where a row stands along the axis, in its unit. */
static double across_of(const lines *l, const pc_compare_row *row) {
  switch (l->content->kind) {
  case PC_CHART_DEPTH:
    return pc_units_convert(row->depth_m, PC_DIM_LENGTH, l->units == PC_US ? "in" : "cm");
  case PC_CHART_ZONES:
    return (double)zones_of(l->content->scenario, row->layout.text);
  default:
    return (double)(row->crew > 0 ? (size_t)row->crew : row->machine_count);
  }
}

static double up_of(const lines *l, double time_s) {
  return pc_units_convert(time_s, PC_DIM_TIME, l->unit.name);
}

static double x_at(const lines *l, double across) {
  return l->plot.x + l->plot.width * across / l->across.most;
}

static double y_at(const lines *l, double time_s) {
  return l->plot.y + l->plot.height * (1 - up_of(l, time_s) / l->up.most);
}

static bool same_line(const lines *l, size_t a, size_t b) {
  const pc_compare_row *one = &l->content->comparison->rows[a], *other = &l->content->comparison->rows[b];
  return (!l->named.layout || pc_name_is(&one->layout, other->layout.text)) &&
         (!l->named.box || pc_name_is(&one->box, other->box.text)) &&
         (!l->named.loader || pc_name_is(&one->loader, other->loader.text)) &&
         (!l->named.policy || pc_name_is(&one->policy, other->policy.text)) &&
         (!l->named.depth || one->depth_m == other->depth_m) && (!l->named.crew || one->crew == other->crew);
}

static void find_lines(lines *l) {
  size_t rows = l->content->comparison->row_count;
  for (size_t i = 0; i < rows; i++) {
    size_t first = 0;
    while (first < i && !same_line(l, first, i))
      first++;
    l->first_of[i] = first;
    if (first == i && l->count < PC_SERIES_MAX)
      l->heads[l->count++] = i;
    else if (first == i)
      l->left_out++;
  }
}

/* ---- one line ---- */

static const pc_compare_row *next_along(const lines *l, size_t head, double beyond, bool *any) {
  const pc_compare_row *found = NULL;
  for (size_t i = 0; i < l->content->comparison->row_count; i++) {
    const pc_compare_row *row = &l->content->comparison->rows[i];
    double across = across_of(l, row);
    if (l->first_of[i] != head || !(across > beyond) || row->summary.unfinished > 0)
      continue;
    /* of several with the same number the quickest: rows with one depth are in order of time */
    if (!found || across < across_of(l, found) ||
        (across == across_of(l, found) && row->summary.total_time_s.mean < found->summary.total_time_s.mean))
      found = row;
  }
  *any = found != NULL;
  return found;
}

static void draw_line(const lines *l, size_t series) {
  double beyond = -INFINITY;
  bool any, begun = false;
  pc_look look = pc_series_look(series);
  look.fill = PC_INK_NONE;
  for (;;) {
    const pc_compare_row *row = next_along(l, l->heads[series], beyond, &any);
    if (!any)
      break;
    beyond = across_of(l, row);
    (begun ? pc_canvas_line : pc_canvas_move)(l->canvas, x_at(l, beyond),
                                              y_at(l, row->summary.total_time_s.mean));
    begun = true;
  }
  pc_canvas_paint(l->canvas, &look);
}

static void draw_points(const lines *l, size_t series) {
  for (size_t i = 0; i < l->content->comparison->row_count; i++) {
    const pc_compare_row *row = &l->content->comparison->rows[i];
    const pc_statistic *time = &row->summary.total_time_s;
    if (l->first_of[i] != l->heads[series] || row->summary.unfinished > 0)
      continue;
    double x = x_at(l, across_of(l, row)), y = y_at(l, time->mean);
    if (pc_varies(time)) {
      double low = y_at(l, fmax(0, time->mean - time->half_width)),
             high = y_at(l, time->mean + time->half_width);
      const pc_look thin = {.line = PC_INK_BLACK, .width = 0.8};
      pc_canvas_stroke(l->canvas, x, low, x, high, &thin);
      pc_canvas_stroke(l->canvas, x - 3, low, x + 3, low, &thin);
      pc_canvas_stroke(l->canvas, x - 3, high, x + 3, high, &thin);
      pc_canvas_note(l->canvas, PC_DRAWN_INTERVAL, (pc_rect){x - 3, high, 6, low - high}, NULL);
    }
    pc_canvas_marker(l->canvas, series, x, y, 3.2);
    pc_canvas_note(l->canvas, PC_DRAWN_POINT, (pc_rect){x - 3, y - 3, 6, 6}, NULL);
  }
}

/* ---- the rest ---- */

static void draw_axes(const lines *l, const char *words) {
  const pc_look line = {.line = PC_INK_LINE, .width = 0.4};
  pc_rect plot = l->plot;
  for (int i = 0; i * l->up.step <= l->up.most * 1.0001; i++) {
    double y = plot.y + plot.height * (1 - i * l->up.step / l->up.most);
    pc_canvas_stroke(l->canvas, plot.x, y, plot.x + plot.width, y, &line);
    pc_canvas_note(l->canvas, PC_DRAWN_TICK, (pc_rect){plot.x, y, plot.width, 0}, NULL);
    pc_chart_number(l->canvas, (pc_rect){plot.x - LEFT, y - 5, LEFT - 5, 10}, PC_RIGHT, i * l->up.step,
                    l->up.decimals);
  }
  for (int i = 0; i * l->across.step <= l->across.most * 1.0001; i++) {
    double x = x_at(l, i * l->across.step);
    pc_canvas_stroke(l->canvas, x, plot.y + plot.height, x, plot.y + plot.height + 3, &line);
    pc_canvas_note(l->canvas, PC_DRAWN_TICK, (pc_rect){x, plot.y, 0, plot.height}, NULL);
    pc_chart_number(l->canvas, (pc_rect){x - 24, plot.y + plot.height + 4, 48, 10}, PC_CENTRE,
                    i * l->across.step, l->across.decimals);
  }
  const pc_type type = {.size = 7.5, .side = PC_CENTRE, .lines = 1};
  pc_canvas_text(l->canvas, (pc_rect){plot.x, plot.y + plot.height + 15, plot.width, 12}, &type, words);
  const pc_type left = {.size = 7.5, .lines = 1};
  pc_text title = {0};
  pc_text_addf(&title, "total time, %s", l->unit.name);
  pc_canvas_text(l->canvas, (pc_rect){MARGIN, plot.y - 15, 160, 12}, &left,
                 pc_canvas_words(l->canvas, &title));
  pc_text_free(&title);
  pc_canvas_box(l->canvas, plot, &(pc_look){.line = PC_INK_LINE, .width = 0.7});
  pc_canvas_note(l->canvas, PC_DRAWN_FRAME, plot, NULL);
}

static void draw_legend(const lines *l, double y) {
  enum { COLUMNS = 3 };
  double step = (pc_canvas_page(l->canvas).width - 2 * MARGIN) / COLUMNS;
  const pc_type type = {.size = 7.5, .lines = 1};
  for (size_t i = 0; i < l->count; i++) {
    size_t row = i / COLUMNS;
    double x = MARGIN + (double)(i % COLUMNS) * step, top = y + (double)row * LEGEND_ROW;
    pc_look look = pc_series_look(i);
    pc_text words = {0};
    pc_chart_label(&l->content->comparison->rows[l->heads[i]], &l->named, l->units, &words);
    if (!words.data && !l->content->comparison->mixed)
      continue; /* one line, which nothing tells from others */
    pc_canvas_stroke(l->canvas, x, top + 5, x + 26, top + 5, &look);
    pc_canvas_marker(l->canvas, i, x + 13, top + 5, 3.2);
    pc_canvas_text(l->canvas, (pc_rect){x + 32, top, step - 38, 11}, &type,
                   words.data ? pc_canvas_words(l->canvas, &words) : "the quickest boxes for each number");
    pc_text_free(&words);
  }
  if (l->left_out > 0) {
    pc_text words = {0};
    pc_text_addf(&words, "and %zu more line%s not drawn; narrow them with --layouts, --boxes …", l->left_out,
                 l->left_out == 1 ? " that is" : "s that are");
    pc_canvas_text(l->canvas, (pc_rect){MARGIN, y + 2 * LEGEND_ROW, 500, 11}, &pc_type_grey,
                   pc_canvas_words(l->canvas, &words));
    pc_text_free(&words);
  }
}

static const char *axis_words(const lines *l) {
  if (l->content->kind == PC_CHART_ZONES)
    return "pile zones";
  if (l->content->kind == PC_CHART_DEPTH && l->content->scenario->storm_count > 0)
    return l->units == PC_US ? "depth of snow at the start, in" : "depth of snow at the start, cm";
  if (l->content->kind == PC_CHART_DEPTH)
    return l->units == PC_US ? "depth of snow, in" : "depth of snow, cm";
  for (size_t i = 0; i < l->content->comparison->row_count; i++) {
    const pc_compare_row *row = &l->content->comparison->rows[i];
    if (row->crew > 0 && row->machine_count != (size_t)row->crew)
      return "machines, without those that stay whatever the number";
  }
  return "machines";
}

static size_t count_unfinished(const pc_comparison *comparison) {
  size_t count = 0;
  for (size_t i = 0; i < comparison->row_count; i++)
    count += comparison->rows[i].summary.unfinished > 0;
  return count;
}

static void draw_all(lines *l) {
  const pc_comparison *comparison = l->content->comparison;
  double most = 0, longest_s = pc_chart_longest_s(comparison);
  for (size_t i = 0; i < comparison->row_count; i++)
    most = fmax(most, across_of(l, &comparison->rows[i]));
  bool whole = l->content->kind != PC_CHART_DEPTH;
  l->across = pc_chart_axis_make(whole ? most + 0.5 : most * 1.04 + 1e-9, 12);
  if (whole && l->across.step < 1)
    l->across = (pc_chart_axis){ceil(most + 0.5), 1, 0};
  l->unit = pc_varying_of(comparison).time; /* as in the table */
  l->up = pc_chart_axis_make(up_of(l, longest_s), 8);
  find_lines(l);
  pc_chart_head(l->canvas, l->content, l->units);
  draw_axes(l, axis_words(l));
  for (size_t i = 0; i < l->count; i++)
    draw_line(l, i);
  for (size_t i = 0; i < l->count; i++)
    draw_points(l, i);
  draw_legend(l, l->plot.y + l->plot.height + BELOW + 6);
  size_t unfinished = count_unfinished(comparison);
  if (unfinished > 0) {
    pc_text words = {0};
    pc_text_addf(&words, "%zu combination%s did not finish and %s not drawn", unfinished,
                 unfinished == 1 ? "" : "s", unfinished == 1 ? "is" : "are");
    const pc_type type = {.size = 7.5, .side = PC_RIGHT, .lines = 1};
    pc_canvas_text(l->canvas, (pc_rect){l->plot.x + 160, l->plot.y - 15, l->plot.width - 160, 12}, &type,
                   pc_canvas_words(l->canvas, &words));
    pc_text_free(&words);
  }
}

void pc_chart_lines(pc_canvas *canvas, const pc_chart_content *content, pc_unit_system units) {
  pc_rect page = pc_canvas_page(canvas);
  lines l = {.canvas = canvas, .content = content, .units = units};
  l.named = pc_chart_varying_of(content->comparison);
  if (content->kind == PC_CHART_DEPTH)
    l.named.depth = false;
  else if (content->kind == PC_CHART_CREW)
    l.named.crew = false;
  else
    l.named.layout = false;
  if (content->kind == PC_CHART_CREW && content->comparison->mixed)
    l.named.box = false; /* a line through the best boxes for each number */
  l.plot = (pc_rect){MARGIN + LEFT, MARGIN + HEAD + 16, page.width - 2 * MARGIN - LEFT - 10,
                     page.height - 2 * MARGIN - HEAD - 16 - BELOW - 3 * LEGEND_ROW - 6};
  l.first_of = pc_alloc(content->comparison->row_count, sizeof *l.first_of);
  if (!l.first_of) {
    pc_canvas_fail(canvas);
    return;
  }
  draw_all(&l);
  free(l.first_of);
}
