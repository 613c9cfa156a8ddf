// SPDX-License-Identifier: GPL-3.0-or-later
/* Surfaces, shapes and the record of what was drawn. */
#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/canvas_private.h"
#include "io/html.h"

#define PNG_SCALE 2.0  /* pixels per point: 144 dots per inch */
#define HATCH_STEP 4.0 /* points between two lines */
#define HATCH_WIDTH 0.5

/* ---- the record ---- */

static bool take_place(pc_canvas *canvas, pc_rect box) {
  void *taken = canvas->taken;
  if (pc_reserve(&taken, &canvas->taken_capacity, canvas->taken_count + 1, sizeof *canvas->taken) != 0)
    return false;
  canvas->taken = taken;
  canvas->taken[canvas->taken_count++] = box;
  return true;
}

pc_drawn *pc_canvas_add_record(pc_canvas *canvas, pc_drawn_kind kind, pc_rect box, const char *text) {
  void *record = canvas->record;
  char *copy = text ? pc_copy(text, strlen(text) + 1, 1) : NULL;
  bool takes = kind == PC_DRAWN_LABEL || kind == PC_DRAWN_MARK;
  if ((text && !copy) || (takes && !take_place(canvas, box)) ||
      pc_reserve(&record, &canvas->capacity, canvas->count + 1, sizeof *canvas->record) != 0) {
    free(copy);
    canvas->failed = true;
    return NULL;
  }
  canvas->record = record;
  canvas->record[canvas->count] =
      (pc_drawn){.kind = kind, .page = canvas->page, .box = box, .frame = box, .text = copy};
  return &canvas->record[canvas->count++];
}

void pc_canvas_note(pc_canvas *canvas, pc_drawn_kind kind, pc_rect box, const char *text) {
  (void)pc_canvas_add_record(canvas, kind, box, text);
}

const pc_drawn *pc_canvas_record(const pc_canvas *canvas, size_t *count) {
  *count = canvas->count;
  return canvas->record;
}

pc_rect pc_canvas_page(const pc_canvas *canvas) {
  return (pc_rect){0, 0, canvas->setup.width, canvas->setup.height};
}

static bool rects_touch(pc_rect a, pc_rect b) {
  return a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
}

bool pc_canvas_is_free(const pc_canvas *canvas, pc_rect box) {
  for (size_t i = 0; i < canvas->taken_count; i++)
    if (rects_touch(canvas->taken[i], box))
      return false;
  return true;
}

/* ---- creating and finishing ---- */

static cairo_status_t take_bytes(void *closure, const unsigned char *bytes, unsigned count) {
  pc_canvas *canvas = closure;
  pc_text_add_bytes(&canvas->bytes, bytes, count);
  return canvas->bytes.failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static cairo_surface_t *make_surface(pc_canvas *canvas) {
  const pc_canvas_setup *setup = &canvas->setup;
  cairo_surface_t *surface;
  switch (setup->format) {
  case PC_PICTURE_SVG:
    return cairo_svg_surface_create_for_stream(take_bytes, canvas, setup->width, setup->height);
  case PC_PICTURE_PDF:
    surface = cairo_pdf_surface_create_for_stream(take_bytes, canvas, setup->width, setup->height);
    /* without a date: the same input gives the same bytes */
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "pushcycle");
    if (setup->title)
      cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, setup->title);
    return surface;
  case PC_PICTURE_PNG:
    break;
  }
  return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(setup->width * PNG_SCALE),
                                    (int)ceil(setup->height * PNG_SCALE));
}

static void start_page(pc_canvas *canvas) {
  pc_canvas_set_ink(canvas, PC_INK_WHITE);
  cairo_paint(canvas->cairo);
  canvas->taken_count = 0;
}

pc_status pc_canvas_create(const pc_canvas_setup *setup, pc_text *out, pc_canvas **result) {
  *result = NULL;
  pc_canvas *canvas = pc_alloc(1, sizeof *canvas);
  if (!canvas)
    return PC_ERR_MEMORY;
  canvas->setup = *setup;
  canvas->out = out;
  canvas->surface = make_surface(canvas);
  canvas->cairo = cairo_create(canvas->surface);
  if (setup->format == PC_PICTURE_PNG)
    cairo_scale(canvas->cairo, PNG_SCALE, PNG_SCALE);
  canvas->fonts = pango_cairo_font_map_new();
  canvas->context = pango_font_map_create_context(canvas->fonts);
  /* letters keep their proportions at any size, so that text takes the same room in every format */
  cairo_font_options_t *options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(canvas->context, options);
  pango_cairo_context_set_resolution(canvas->context, 72.0);
  pango_context_set_round_glyph_positions(canvas->context, FALSE);
  pango_context_set_base_dir(canvas->context, PANGO_DIRECTION_LTR);
  cairo_font_options_destroy(options);
  cairo_set_line_join(canvas->cairo, CAIRO_LINE_JOIN_ROUND);
  start_page(canvas);
  *result = canvas;
  return PC_OK;
}

void pc_canvas_fail(pc_canvas *canvas) {
  canvas->failed = true;
}

const char *pc_canvas_words(pc_canvas *canvas, const pc_text *text) {
  canvas->failed |= text->failed;
  return text->data ? text->data : "";
}

void pc_canvas_next_page(pc_canvas *canvas) {
  cairo_show_page(canvas->cairo);
  canvas->page++;
  start_page(canvas);
}

pc_status pc_canvas_finish(pc_canvas *canvas) {
  cairo_status_t worst = cairo_status(canvas->cairo);
  if (canvas->setup.format == PC_PICTURE_PNG)
    worst = worst ? worst : cairo_surface_write_to_png_stream(canvas->surface, take_bytes, canvas);
  else
    cairo_show_page(canvas->cairo);
  worst = worst ? worst : cairo_status(canvas->cairo);
  cairo_surface_finish(canvas->surface);
  worst = worst ? worst : cairo_surface_status(canvas->surface);
  if (canvas->failed || worst != CAIRO_STATUS_SUCCESS || canvas->bytes.failed)
    return PC_ERR_MEMORY;
  if (canvas->setup.format == PC_PICTURE_SVG)
    pc_svg_tidy(canvas->bytes.data, canvas->setup.title, canvas->setup.prefix, canvas->out);
  else
    pc_text_add_bytes(canvas->out, canvas->bytes.data, canvas->bytes.length);
  return canvas->out->failed ? PC_ERR_MEMORY : PC_OK;
}

void pc_canvas_free(pc_canvas *canvas) {
  if (!canvas)
    return;
  for (size_t i = 0; i < canvas->count; i++)
    free(canvas->record[i].text);
  free(canvas->record);
  free(canvas->taken);
  g_object_unref(canvas->context);
  g_object_unref(canvas->fonts);
  cairo_destroy(canvas->cairo);
  cairo_surface_destroy(canvas->surface);
  pc_text_free(&canvas->bytes);
  free(canvas);
}

/* ---- shapes ---- */

void pc_canvas_set_ink(pc_canvas *canvas, pc_ink ink) {
  pc_colour colour = pc_ink_colour(ink);
  cairo_set_source_rgb(canvas->cairo, colour.red / 255.0, colour.green / 255.0, colour.blue / 255.0);
}

void pc_canvas_move(pc_canvas *canvas, double x, double y) {
  cairo_move_to(canvas->cairo, x, y);
}

void pc_canvas_line(pc_canvas *canvas, double x, double y) {
  cairo_line_to(canvas->cairo, x, y);
}

void pc_canvas_close(pc_canvas *canvas) {
  cairo_close_path(canvas->cairo);
}

void pc_canvas_rectangle(pc_canvas *canvas, pc_rect rect) {
  cairo_rectangle(canvas->cairo, rect.x, rect.y, rect.width, rect.height);
}

void pc_canvas_circle(pc_canvas *canvas, double x, double y, double radius) {
  cairo_new_sub_path(canvas->cairo);
  cairo_arc(canvas->cairo, x, y, radius, 0, 2 * G_PI);
  cairo_close_path(canvas->cairo);
}

static void set_dash(cairo_t *cairo, pc_dash dash, double width) {
  static const double patterns[][4] = {
      [PC_DASH_LONG] = {6, 3, 6, 3},
      [PC_DASH_SHORT] = {3, 2, 3, 2},
      [PC_DASH_DOTS] = {1, 2, 1, 2},
      [PC_DASH_MIXED] = {6, 2, 1, 2},
  };
  double scaled[4], scale = fmax(width, 0.7);
  if (dash == PC_DASH_NONE) {
    cairo_set_dash(cairo, NULL, 0, 0);
    return;
  }
  for (int i = 0; i < 4; i++)
    scaled[i] = patterns[dash][i] * scale;
  cairo_set_dash(cairo, scaled, 4, 0);
}

/* Lines at an angle over a box, begun at whole steps from the page's corner, so that neighbours fit. */
static void add_slanted(cairo_t *cairo, double x0, double y0, double x1, double y1, int slope) {
  double least = slope > 0 ? x0 + y0 : x0 - y1, most = slope > 0 ? x1 + y1 : x1 - y0;
  for (double c = ceil(least / HATCH_STEP) * HATCH_STEP; c <= most; c += HATCH_STEP) {
    cairo_move_to(cairo, slope > 0 ? c - y1 : c + y0, slope > 0 ? y1 : y0);
    cairo_line_to(cairo, slope > 0 ? c - y0 : c + y1, slope > 0 ? y0 : y1);
  }
}

static void add_straight(cairo_t *cairo, double x0, double y0, double x1, double y1, bool level) {
  for (double c = ceil((level ? y0 : x0) / HATCH_STEP) * HATCH_STEP; c <= (level ? y1 : x1);
       c += HATCH_STEP) {
    cairo_move_to(cairo, level ? x0 : c, level ? c : y0);
    cairo_line_to(cairo, level ? x1 : c, level ? c : y1);
  }
}

static void hatch_path(pc_canvas *canvas, const pc_look *look) {
  cairo_t *cairo = canvas->cairo;
  double x0, y0, x1, y1;
  cairo_path_t *path = cairo_copy_path(cairo);
  cairo_path_extents(cairo, &x0, &y0, &x1, &y1);
  cairo_save(cairo);
  cairo_clip(cairo);
  if (look->hatch == PC_HATCH_UP || look->hatch == PC_HATCH_CROSS)
    add_slanted(cairo, x0, y0, x1, y1, 1);
  if (look->hatch == PC_HATCH_DOWN || look->hatch == PC_HATCH_CROSS)
    add_slanted(cairo, x0, y0, x1, y1, -1);
  if (look->hatch == PC_HATCH_LEVEL || look->hatch == PC_HATCH_GRID)
    add_straight(cairo, x0, y0, x1, y1, true);
  if (look->hatch == PC_HATCH_UPRIGHT || look->hatch == PC_HATCH_GRID)
    add_straight(cairo, x0, y0, x1, y1, false);
  pc_canvas_set_ink(canvas, look->line);
  cairo_set_line_width(cairo, HATCH_WIDTH);
  set_dash(cairo, PC_DASH_NONE, 0);
  cairo_stroke(cairo);
  cairo_restore(cairo);
  cairo_append_path(cairo, path);
  cairo_path_destroy(path);
}

void pc_canvas_paint(pc_canvas *canvas, const pc_look *look) {
  cairo_t *cairo = canvas->cairo;
  if (look->fill != PC_INK_NONE) {
    pc_canvas_set_ink(canvas, look->fill);
    cairo_fill_preserve(cairo);
  }
  if (look->hatch != PC_HATCH_NONE)
    hatch_path(canvas, look);
  if (look->line != PC_INK_NONE && look->width > 0) {
    pc_canvas_set_ink(canvas, look->line);
    cairo_set_line_width(cairo, look->width);
    set_dash(cairo, look->dash, look->width);
    cairo_stroke_preserve(cairo);
  }
  cairo_new_path(cairo);
}

void pc_canvas_clip(pc_canvas *canvas) {
  cairo_path_t *path = cairo_copy_path(canvas->cairo);
  cairo_new_path(canvas->cairo);
  cairo_save(canvas->cairo);
  cairo_append_path(canvas->cairo, path);
  cairo_clip(canvas->cairo);
  cairo_path_destroy(path);
}

void pc_canvas_unclip(pc_canvas *canvas) {
  cairo_restore(canvas->cairo);
}

void pc_canvas_box(pc_canvas *canvas, pc_rect rect, const pc_look *look) {
  pc_canvas_rectangle(canvas, rect);
  pc_canvas_paint(canvas, look);
}

void pc_canvas_dot(pc_canvas *canvas, double x, double y, double radius, const pc_look *look) {
  pc_canvas_circle(canvas, x, y, radius);
  pc_canvas_paint(canvas, look);
}

void pc_canvas_stroke(pc_canvas *canvas, double x0, double y0, double x1, double y1, const pc_look *look) {
  pc_canvas_move(canvas, x0, y0);
  pc_canvas_line(canvas, x1, y1);
  pc_canvas_paint(canvas, &(pc_look){.line = look->line, .width = look->width, .dash = look->dash});
}

static void add_polygon(pc_canvas *canvas, double x, double y, double radius, int corners, double turn,
                        double inner) {
  for (int i = 0; i < corners; i++) {
    double angle = turn + 2 * G_PI * i / corners, far = i % 2 ? radius * inner : radius;
    cairo_line_to(canvas->cairo, x + far * cos(angle), y + far * sin(angle));
  }
  cairo_close_path(canvas->cairo);
}

void pc_canvas_marker(pc_canvas *canvas, size_t series, double x, double y, double radius) {
  pc_look look = pc_series_look(series);
  look.dash = PC_DASH_NONE;
  look.width = 0.8;
  look.line = PC_INK_BLACK;
  cairo_new_path(canvas->cairo);
  switch (series % PC_SERIES_MAX) {
  case 0:
    pc_canvas_circle(canvas, x, y, radius);
    break;
  case 1:
    pc_canvas_rectangle(canvas, (pc_rect){x - radius * 0.9, y - radius * 0.9, radius * 1.8, radius * 1.8});
    break;
  case 2:
    add_polygon(canvas, x, y, radius * 1.2, 3, -G_PI / 2, 1);
    break;
  case 3:
    add_polygon(canvas, x, y, radius * 1.25, 4, 0, 1);
    break;
  case 4:
    add_polygon(canvas, x, y, radius * 1.2, 3, G_PI / 2, 1);
    break;
  default:
    add_polygon(canvas, x, y, radius * 1.4, 10, -G_PI / 2, 0.45);
    break;
  }
  pc_canvas_paint(canvas, &look);
}
