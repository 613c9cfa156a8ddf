// SPDX-License-Identifier: GPL-3.0-or-later
/* What all pictures share: type, paper, the way from a drawing to bytes. */
#include <math.h>
#include <string.h>

#include "io/draw.h"

const pc_type pc_type_title = {.size = 13, .bold = true, .lines = 1};
const pc_type pc_type_heading = {.size = 8.5, .bold = true, .lines = 1};
const pc_type pc_type_body = {.size = 8};
const pc_type pc_type_small = {.size = 7};
const pc_type pc_type_grey = {.size = 7, .ink = PC_INK_GREY};

void pc_draw_title(pc_canvas *canvas, double margin, const char *title) {
  pc_rect frame = {margin, margin - 6, pc_canvas_page(canvas).width - 2 * margin, 18};
  pc_type type = pc_type_title;
  const pc_rect endless = {frame.x, frame.y, frame.width, INFINITY};
  const double least = 7.5; /* two lines of it fill the frame */
  type.lines = 0;
  while (type.size > least && pc_canvas_measure(canvas, endless, &type, title).height > frame.height)
    type.size -= 0.5;
  pc_canvas_text(canvas, frame, &type, title);
}

bool pc_picture_format_of(const char *path, pc_picture_format *format) {
  static const struct {
    const char *ending;
    pc_picture_format format;
  } endings[] = {{".svg", PC_PICTURE_SVG}, {".pdf", PC_PICTURE_PDF}, {".png", PC_PICTURE_PNG}};
  size_t length = strlen(path);
  for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
    if (length >= 4 && strcmp(path + length - 4, endings[i].ending) == 0) {
      *format = endings[i].format;
      return true;
    }
  return false;
}

pc_rect pc_paper_size(pc_paper paper, bool standing) {
  /* ISO 216: 210 mm × 297 mm; letter: 8.5 in × 11 in */
  pc_rect size = paper == PC_PAPER_A4 ? (pc_rect){0, 0, 210 / 25.4 * 72, 297 / 25.4 * 72}
                                      : (pc_rect){0, 0, 8.5 * 72, 11 * 72};
  return standing ? size : (pc_rect){0, 0, size.height, size.width};
}

pc_status pc_draw_picture(const pc_canvas_setup *setup, const pc_draw_job *job, pc_draw_page draw,
                          const void *content) {
  pc_canvas *canvas;
  pc_canvas_setup own = *setup;
  own.prefix = job->prefix;
  pc_status status = pc_canvas_create(&own, job->out, &canvas);
  if (status != PC_OK)
    return status;
  draw(canvas, content, job->style);
  if (job->watch)
    job->watch(job->context, canvas);
  status = pc_canvas_finish(canvas);
  pc_canvas_free(canvas);
  return status;
}

double pc_round_step(double range, int most) {
  static const double rounds[] = {1, 2, 2.5, 5, 10};
  double power = pow(10, floor(log10(range / most)));
  for (size_t i = 0; i < sizeof rounds / sizeof rounds[0]; i++)
    if (range / (rounds[i] * power) <= most)
      return rounds[i] * power;
  return 10 * power;
}

/* ---- the public functions ---- */

pc_status pc_picture_map(const pc_map_content *content, const pc_picture_style *style, pc_text *out) {
  return pc_draw_map(content, &(pc_draw_job){.style = style, .out = out});
}

pc_status pc_picture_maps(const pc_map_content *contents, size_t count, const pc_picture_style *style,
                          pc_text *out) {
  if (count == 0)
    return PC_ERR_RANGE;
  return pc_draw_maps(contents, count, &(pc_draw_job){.style = style, .out = out});
}

pc_status pc_picture_timeline(const pc_timeline_content *content, const pc_picture_style *style,
                              pc_text *out) {
  return pc_draw_timeline(content, &(pc_draw_job){.style = style, .out = out});
}

pc_status pc_picture_chart(const pc_chart_content *content, const pc_picture_style *style, pc_text *out) {
  if ((unsigned)content->kind >= PC_CHART_KIND_COUNT)
    return PC_ERR_RANGE;
  return pc_draw_chart(content, &(pc_draw_job){.style = style, .out = out});
}

pc_status pc_brief_write(const pc_brief_content *content, const pc_picture_style *style, pc_text *out) {
  return pc_draw_brief(content, &(pc_draw_job){.style = style, .out = out});
}
