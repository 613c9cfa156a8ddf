// SPDX-License-Identifier: GPL-3.0-or-later
/* The pages of the brief. */
#include <math.h>
#include <stdio.h>

#include "io/brief_private.h"
#include "io/tables_private.h"

enum { MARGIN = 36, HEAD = 36, STRIP = 24, GAP = 18, FOOT = 22, QUARTERS = PC_BRIEF_QUARTERS };

/* ---- the order of one machine's work, as shades ---- */

static bool is_push(const pc_trace_row *row, size_t machine) {
  return row->machine == machine && row->phase == PC_PHASE_FILL && row->swath_m > 0;
}

/* Way pushed, all of it and up to each row, decides which quarter a row belongs to. */
static double pushed_m(const pc_brief_content *content, size_t machine, size_t before) {
  double sum_m = 0;
  for (size_t i = 0; i < before; i++)
    if (is_push(&content->rows[i], machine))
      sum_m += content->rows[i].distance_m;
  return sum_m;
}

/* The quarter to which the push after so much of it belongs. */
static int quarter_of(double so_far_m, double all_m) {
  return (int)fmin(QUARTERS - 1, floor(QUARTERS * so_far_m / all_m));
}

pc_ink pc_brief_quarter_ink(int quarter) {
  static const pc_ink inks[QUARTERS] = {PC_INK_SNOW_4, PC_INK_SNOW_3, PC_INK_SNOW_2, PC_INK_SNOW_1};
  return inks[quarter];
}

/* Later work first, so that what is pushed twice shows when it was pushed first. */
static void draw_quarter(pc_canvas *canvas, const pc_map_view *view, const pc_brief_content *content,
                         size_t machine, int quarter, double all_m) {
  const pc_look shade = {.line = pc_brief_quarter_ink(quarter)};
  double so_far_m = 0, width = 0;
  for (size_t i = 0; i < content->row_count; i++) {
    const pc_trace_row *row = &content->rows[i];
    if (!is_push(row, machine))
      continue;
    int own = quarter_of(so_far_m, all_m);
    so_far_m += row->distance_m;
    if (own != quarter)
      continue;
    double x0 = pc_map_x(view, row->from), y0 = pc_map_y(view, row->from);
    double x1 = pc_map_x(view, row->to), y1 = pc_map_y(view, row->to);
    if (row->swath_m * view->scale != width && width > 0)
      pc_canvas_paint(canvas, &(pc_look){.line = shade.line, .width = width});
    width = row->swath_m * view->scale;
    pc_canvas_move(canvas, x0, y0);
    pc_canvas_line(canvas, x1, y1);
    pc_canvas_note(canvas, PC_DRAWN_SWATH, (pc_rect){x0, y0, x1 - x0, y1 - y0}, NULL);
  }
  pc_canvas_paint(canvas, &(pc_look){.line = shade.line, .width = width});
}

static void draw_order(pc_canvas *canvas, const pc_map_view *view, const pc_brief_content *content,
                       size_t machine) {
  double all_m = pushed_m(content, machine, content->row_count);
  pc_map_add_areas(canvas, view, &content->scenario->site);
  pc_canvas_clip(canvas);
  for (int quarter = QUARTERS - 1; quarter >= 0 && all_m > 0; quarter--)
    draw_quarter(canvas, view, content, machine, quarter, all_m);
  pc_canvas_unclip(canvas);
  pc_map_add_areas(canvas, view, &content->scenario->site);
  pc_canvas_paint(canvas, &(pc_look){.line = PC_INK_BLACK, .width = 0.9});
}

/* Along a push, from its begin on: the first place where a label of this size stands on the area and on the
 * middle of the push, be it with its edge: beside a wall there is no room around that. */
static bool find_room(const pc_canvas *canvas, const pc_map_view *view, const pc_brief_content *content,
                      const pc_trace_row *row, pc_rect size, pc_point *at) {
  enum { STEP = 3, SHIFTS = 9 }; /* points */
  static const int shifts[SHIFTS][2] = {{0, 0}, {0, 1},   {0, -1}, {1, 0}, {-1, 0},
                                        {1, 1}, {-1, -1}, {1, -1}, {-1, 1}};
  int area = pc_brief_area_of(content->lot, row, row->machine);
  const pc_site *site = &content->scenario->site;
  double dx = row->to.x_m - row->from.x_m, dy = row->to.y_m - row->from.y_m;
  double half_x_m = size.width / 2 / view->scale, half_y_m = size.height / 2 / view->scale;
  int steps = (int)ceil(hypot(dx, dy) * view->scale / STEP);
  for (int i = 0; i < (steps + 1) * SHIFTS && area >= 0; i++) {
    int step = i / SHIFTS;
    double share = steps > 0 ? (double)step / steps : 0;
    *at = (pc_point){row->from.x_m + share * dx + shifts[i % SHIFTS][0] * half_x_m,
                     row->from.y_m + share * dy + shifts[i % SHIFTS][1] * half_y_m};
    if (pc_map_has_room(canvas, view, site, &site->areas[area].outline, *at, size))
      return true;
  }
  return false;
}

/* Where the quarter begins, or as soon after that as there is room on what is pushed; `row` is its first
 * push. If there is none, wherever a label finds a place near its begin. */
static void mark_quarter(pc_canvas *canvas, const pc_map_view *view, const pc_brief_content *content,
                         size_t row, double so_far_m, double all_m, int quarter) {
  const pc_type type = {.size = 8.5, .bold = true, .plate = true, .on = PC_INK_WHITE, .side = PC_CENTRE};
  enum { WIDTH = 24 };
  char number[16];
  snprintf(number, sizeof number, "%d.", quarter + 1);
  pc_rect size = pc_canvas_measure(canvas, (pc_rect){0, 0, WIDTH, INFINITY}, &type, number);
  size_t machine = content->rows[row].machine;
  pc_point at = content->rows[row].from;
  bool found = false;
  for (size_t i = row; i < content->row_count && !found && quarter_of(so_far_m, all_m) <= quarter; i++) {
    if (!is_push(&content->rows[i], machine))
      continue;
    found = find_room(canvas, view, content, &content->rows[i], size, &at);
    so_far_m += content->rows[i].distance_m;
  }
  if (!found)
    at = content->rows[row].from;
  (void)pc_canvas_label(canvas, view->frame, pc_map_x(view, at), pc_map_y(view, at), WIDTH, &type, number);
}

static void label_order(pc_canvas *canvas, const pc_map_view *view, const pc_brief_content *content,
                        size_t machine) {
  double all_m = pushed_m(content, machine, content->row_count), so_far_m = 0;
  int next = 0;
  for (size_t i = 0; i < content->row_count && all_m > 0 && next < QUARTERS; i++) {
    if (!is_push(&content->rows[i], machine))
      continue;
    if (quarter_of(so_far_m, all_m) >= next) {
      mark_quarter(canvas, view, content, i, so_far_m, all_m, next);
      next++;
    }
    so_far_m += content->rows[i].distance_m;
  }
}

/* ---- pages ---- */

static void draw_head(pc_canvas *canvas, const pc_brief_content *content, size_t machine) {
  pc_rect page = pc_canvas_page(canvas);
  const pc_lot *lot = content->lot;
  const pc_type side = {.size = 8, .side = PC_RIGHT, .lines = 1, .ink = PC_INK_GREY};
  pc_type title = {.size = 15, .bold = true, .lines = 1};
  const pc_type below = {.size = 8.5, .lines = 1};
  double width = page.width - 2 * MARGIN;
  pc_text words = {0};
  if (machine == PC_BRIEF_ALL)
    pc_text_addf(&words, "%s: the whole lot", lot->scenario.text[0] ? lot->scenario.text : "Brief");
  else
    pc_text_addf(&words, "%s", lot->machines[machine].name.text);
  pc_rect frame = {MARGIN, MARGIN - 10, width - 80, 20};
  /* the end of a name is its number: better smaller letters than an ellipsis */
  while (title.size > 9 && pc_canvas_measure(canvas, (pc_rect){0, 0, INFINITY, INFINITY}, &title,
                                             pc_canvas_words(canvas, &words))
                                   .width > frame.width)
    title.size -= 1;
  pc_canvas_text(canvas, frame, &title, pc_canvas_words(canvas, &words));
  pc_text_free(&words);
  pc_text_addf(&words, "page %zu of %zu", machine == PC_BRIEF_ALL ? 1 : machine + 2, lot->machine_count + 1);
  pc_canvas_text(canvas, (pc_rect){MARGIN + width - 76, MARGIN - 4, 76, 12}, &side,
                 pc_canvas_words(canvas, &words));
  pc_text_free(&words);
  if (machine == PC_BRIEF_ALL)
    pc_text_addf(&words, "Brief for the crew, layout \"%s\"", lot->layout.text);
  else
    pc_text_addf(&words, "with %s%s%s, layout \"%s\"", lot->machines[machine].unit.box.name.text,
                 lot->scenario.text[0] ? ", " : "", lot->scenario.text, lot->layout.text);
  pc_canvas_text(canvas, (pc_rect){MARGIN, MARGIN + 10, width, 13}, &below, pc_canvas_words(canvas, &words));
  pc_text_free(&words);
}

static void draw_page(pc_canvas *canvas, const pc_brief_content *content, size_t machine,
                      pc_unit_system units) {
  pc_rect page = pc_canvas_page(canvas);
  double width = page.width - 2 * MARGIN, top = MARGIN + HEAD - 8;
  pc_map_content map = {.scenario = content->scenario,
                        .lot = content->lot,
                        .summary = content->summary,
                        .siting = content->siting,
                        .at_s = INFINITY};
  draw_head(canvas, content, machine);
  /* as high as the site needs at this width, within two fifths of the page */
  pc_map_view fit = pc_map_fit(content->scenario, (pc_rect){0, 0, width, 1e6}, STRIP);
  double high = fmin(fit.inner.height + 12 + STRIP, page.height * 0.40);
  pc_map_view view = pc_map_fit(content->scenario, (pc_rect){MARGIN, top, width, high}, STRIP);
  pc_map_parts parts = {.labels = PC_MAP_NAMES, .units = units, .brief = content, .machine = machine};
  if (machine != PC_BRIEF_ALL) {
    parts.below = draw_order;
    parts.above = label_order;
  }
  pc_map_draw_parts(canvas, &view, &map, &parts);
  double y = top + high + 6, column = (width - GAP) / 2;
  double height = page.height - MARGIN - FOOT - y;
  pc_column left = pc_column_start(canvas, (pc_rect){MARGIN, y, column, height});
  pc_column right = pc_column_start(canvas, (pc_rect){MARGIN + column + GAP, y, column, height});
  pc_brief_work(&left, content, machine, units);
  pc_brief_checks(&right, content, machine, units);
  bool all = machine == PC_BRIEF_ALL;
  pc_brief_mind(all ? &right : &left, all ? &left : &right, content, machine, units);
  pc_canvas_text(canvas, (pc_rect){MARGIN, page.height - MARGIN - FOOT + 4, width, FOOT}, &pc_type_grey,
                 pc_brief_foot);
}

static void draw(pc_canvas *canvas, const void *brief, const pc_picture_style *style) {
  const pc_brief_content *content = brief;
  const pc_unit_system units = style->units;
  draw_page(canvas, content, PC_BRIEF_ALL, units);
  for (size_t m = 0; m < content->lot->machine_count; m++) {
    pc_canvas_next_page(canvas);
    draw_page(canvas, content, m, units);
  }
}

pc_status pc_draw_brief(const pc_brief_content *content, const pc_draw_job *job) {
  pc_rect paper = pc_paper_size(job->style->paper, true);
  const pc_canvas_setup setup = {.format = PC_PICTURE_PDF,
                                 .width = paper.width,
                                 .height = paper.height,
                                 .title = content->lot->scenario.text};
  return pc_draw_picture(&setup, job, draw, content);
}
