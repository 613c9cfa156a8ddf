// SPDX-License-Identifier: GPL-3.0-or-later
/* Charts of a comparison: bars for combinations, lines where one number varies. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/draw_chart_private.h"
#include "io/tables_private.h"
#include "io/utf8.h"

const char *const pc_chart_kind_names[] = {"layouts", "split", "depth", "crew", "zones", NULL};

/* ---- what the rows are called ---- */

pc_chart_varying pc_chart_varying_of(const pc_comparison *comparison) {
  pc_chart_varying found = {0};
  const pc_compare_row *first = comparison->rows;
  for (size_t i = 1; i < comparison->row_count; i++) {
    const pc_compare_row *row = &comparison->rows[i];
    found.layout |= strcmp(row->layout.text, first->layout.text) != 0;
    found.box |= strcmp(row->box.text, first->box.text) != 0;
    found.loader |= strcmp(row->loader.text, first->loader.text) != 0;
    found.policy |= strcmp(row->policy.text, first->policy.text) != 0;
    found.depth |= row->depth_m != first->depth_m;
    found.crew |= row->crew != first->crew;
  }
  return found;
}

static void add_part(pc_text *out, bool wanted, size_t letters, const char *word) {
  if (!wanted)
    return;
  pc_text_add(out, out->length > 0 ? ", " : "");
  pc_utf8_add_short(out, word, letters);
}

void pc_chart_label(const pc_compare_row *row, const pc_chart_varying *shown, pc_unit_system units,
                    pc_text *out) {
  char crew[100], stay[40] = "";
  if (row->crew > 0 && row->machine_count > (size_t)row->crew)
    snprintf(stay, sizeof stay, " and %zu that stay", row->machine_count - (size_t)row->crew);
  int parts = shown->layout + shown->box + shown->loader + shown->policy + shown->depth + shown->crew;
  size_t most = parts > 2 ? 40 : parts > 1 ? 64 : 90; /* so that what follows can be read, too */
  snprintf(crew, sizeof crew, "%d machine%s%s", row->crew, row->crew == 1 ? "" : "s", stay);
  add_part(out, shown->layout, most, row->layout.text);
  bool own = row->crew > 0 && !row->box.text[0]; /* those of one number are not those of another */
  add_part(out, shown->box, most, own ? "own boxes" : pc_row_box(row).text);
  add_part(out, shown->loader, most, row->loader.text[0] ? row->loader.text : "own loaders");
  add_part(out, shown->policy, most, row->policy.text);
  add_part(out, shown->depth, most, pc_show_depth(row->depth_m, units).text);
  add_part(out, shown->crew, most, crew);
}

/* ---- the frame of every chart ---- */

static const char *title_of(pc_chart_kind kind) {
  static const char *const titles[PC_CHART_KIND_COUNT] = {
      [PC_CHART_LAYOUTS] = "total time",
      [PC_CHART_SPLIT] = "where the machines' time goes",
      [PC_CHART_DEPTH] = "total time against depth of snow",
      [PC_CHART_CREW] = "total time against number of machines",
      [PC_CHART_ZONES] = "total time against number of pile zones"};
  return titles[kind];
}

static void add_title(const pc_chart_content *content, pc_text *out) {
  pc_text_addf(out, "%s%s%s", content->scenario->name.text, content->scenario->name.text[0] ? ": " : "",
               title_of(content->kind));
}

double pc_chart_longest_s(const pc_comparison *comparison) {
  double longest_s = 0;
  for (size_t i = 0; i < comparison->row_count; i++) {
    const pc_statistic *time = &comparison->rows[i].summary.total_time_s;
    longest_s = fmax(longest_s, time->mean + time->half_width);
  }
  return longest_s > 0 ? longest_s : 1;
}

pc_chart_axis pc_chart_axis_make(double most, int ticks) {
  pc_chart_axis axis = {.step = pc_round_step(most, ticks)};
  axis.most = axis.step * ceil(most / axis.step - 1e-9);
  axis.decimals = (int)fmax(0, -floor(log10(axis.step) + 1e-9));
  if (fabs(axis.step * pow(10, axis.decimals) - round(axis.step * pow(10, axis.decimals))) > 1e-6)
    axis.decimals++; /* 2.5 */
  return axis;
}

void pc_chart_head(pc_canvas *canvas, const pc_chart_content *content, pc_unit_system units) {
  enum { MARGIN = PC_CHART_MARGIN };
  pc_rect page = pc_canvas_page(canvas);
  const pc_comparison *comparison = content->comparison;
  const pc_chart_varying varies = pc_chart_varying_of(comparison);
  const pc_compare_row *first = comparison->rows;
  pc_text words = {0};
  add_title(content, &words);
  pc_draw_title(canvas, MARGIN, pc_canvas_words(canvas, &words));
  pc_text_free(&words);
  size_t nights = comparison->row_count > 0 ? first->summary.replications : 0;
  if (comparison->row_count < comparison->asked)
    pc_text_addf(&words, "Stopped, with %zu of %zu combinations done. ", comparison->row_count,
                 comparison->asked);
  pc_text_addf(&words, "Mean of %zu simulated night%s%s", nights, nights == 1 ? "" : "s",
               nights > 1 ? " with its 95 % interval" : "");
  if (comparison->row_count > 0) { /* what is the same for all */
    const pc_chart_varying same = {.layout = !varies.layout,
                                   .box = !varies.box && !varies.crew,
                                   .policy = !varies.policy,
                                   .depth = !varies.depth && first->depth_m > 0};
    pc_text_add(&words, "; for all: ");
    pc_text fixed = {0};
    pc_chart_label(first, &same, units, &fixed);
    pc_text_add(&words, fixed.data ? pc_canvas_words(canvas, &fixed) : "the same scenario");
    pc_text_free(&fixed);
    double falls_m = pc_storm_depth_m(content->scenario->storm, content->scenario->storm_count);
    if (falls_m > 0)
      pc_text_addf(&words, ", %s", pc_show_snow_of(0, falls_m, units).text);
  }
  const pc_type type = {.size = 8, .ink = PC_INK_GREY, .lines = 1};
  pc_canvas_text(canvas, (pc_rect){MARGIN, MARGIN + 12, page.width - 2 * MARGIN, 12}, &type,
                 pc_canvas_words(canvas, &words));
  pc_text_free(&words);
}

void pc_chart_number(pc_canvas *canvas, pc_rect frame, pc_side side, double value, int decimals) {
  const pc_type type = {.size = 7, .side = side, .lines = 1, .ink = PC_INK_GREY};
  pc_canvas_text(canvas, frame, &type, pc_show_number(value, PC_DIM_NUMBER, "", decimals).text);
}

/* ---- the picture ---- */

static void draw(pc_canvas *canvas, const void *chart, const pc_picture_style *style) {
  const pc_chart_content *content = chart;
  if (content->kind == PC_CHART_LAYOUTS || content->kind == PC_CHART_SPLIT)
    pc_chart_bars(canvas, content, style->units);
  else
    pc_chart_lines(canvas, content, style->units);
}

static pc_rect size_of(const pc_chart_content *content, const pc_picture_style *style) {
  pc_rect paper = pc_paper_size(style->paper, false);
  if (content->kind == PC_CHART_LAYOUTS || content->kind == PC_CHART_SPLIT)
    paper.height = pc_chart_bars_height(content);
  return paper;
}

pc_status pc_draw_chart(const pc_chart_content *content, const pc_draw_job *job) {
  pc_rect size = size_of(content, job->style);
  pc_text title = {0};
  add_title(content, &title);
  const pc_canvas_setup setup = {
      .format = job->style->format, .width = size.width, .height = size.height, .title = title.data};
  pc_status status = pc_draw_picture(&setup, job, draw, content);
  pc_text_free(&title);
  return status;
}
