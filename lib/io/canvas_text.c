// SPDX-License-Identifier: GPL-3.0-or-later
/* Text on a canvas. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "io/canvas_private.h"
#include "io/utf8.h"

/* DejaVu Sans first, so that a picture looks the same wherever it is there. */
static const char font_families[] = "DejaVu Sans, sans-serif";

static PangoLayout *make_layout(pc_canvas *canvas, pc_rect frame, const pc_type *type, const char *text) {
  static const PangoAlignment sides[] = {
      [PC_LEFT] = PANGO_ALIGN_LEFT, [PC_CENTRE] = PANGO_ALIGN_CENTER, [PC_RIGHT] = PANGO_ALIGN_RIGHT};
  pc_text line = {0};
  pc_utf8_add_line(&line, text);
  PangoLayout *layout = pango_layout_new(canvas->context);
  PangoFontDescription *font = pango_font_description_new();
  pango_font_description_set_family_static(font, font_families);
  pango_font_description_set_size(font, (gint)lround(type->size * PANGO_SCALE));
  pango_font_description_set_weight(font, type->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
  /* the words around a name run from left to right, whatever the name does */
  pango_layout_set_auto_dir(layout, FALSE);
  pango_layout_set_alignment(layout, sides[type->side]);
  pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
  if (isfinite(frame.width))
    pango_layout_set_width(layout, (int)floor(frame.width * PANGO_SCALE));
  if (type->lines > 0) {
    pango_layout_set_height(layout, -type->lines);
    pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
  } else if (isfinite(frame.height)) {
    pango_layout_set_height(layout, (int)floor(frame.height * PANGO_SCALE));
    pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
  }
  pango_layout_set_text(layout, pc_canvas_words(canvas, &line), -1);
  pc_text_free(&line);
  return layout;
}

static pc_rect extents_of(PangoLayout *layout, pc_rect frame) {
  PangoRectangle logical;
  pango_layout_get_extents(layout, NULL, &logical);
  return (pc_rect){frame.x + (double)logical.x / PANGO_SCALE, frame.y + (double)logical.y / PANGO_SCALE,
                   (double)logical.width / PANGO_SCALE, (double)logical.height / PANGO_SCALE};
}

pc_rect pc_canvas_measure(pc_canvas *canvas, pc_rect frame, const pc_type *type, const char *text) {
  PangoLayout *layout = make_layout(canvas, frame, type, text);
  pc_rect extents = extents_of(layout, frame);
  g_object_unref(layout);
  return extents;
}

/* Draws what was laid out, and notes it. */
static void show(pc_canvas *canvas, PangoLayout *layout, pc_rect frame, const pc_type *type) {
  pc_ink ink = type->ink == PC_INK_NONE ? PC_INK_BLACK : type->ink;
  pc_ink on = type->on == PC_INK_NONE ? PC_INK_WHITE : type->on;
  pc_rect box = extents_of(layout, frame);
  if (type->plate)
    pc_canvas_box(canvas, (pc_rect){box.x - 1, box.y, box.width + 2, box.height}, &(pc_look){.fill = on});
  pc_canvas_set_ink(canvas, ink);
  cairo_move_to(canvas->cairo, frame.x, frame.y);
  pango_cairo_show_layout(canvas->cairo, layout);
  cairo_new_path(canvas->cairo);
  pc_drawn *drawn = pc_canvas_add_record(canvas, PC_DRAWN_LABEL, box, pango_layout_get_text(layout));
  if (!drawn)
    return;
  drawn->ink = ink;
  drawn->on = on;
  drawn->shortened = pango_layout_is_ellipsized(layout);
  drawn->frame = frame;
  if (!isfinite(frame.height))
    drawn->frame.height = canvas->setup.height - frame.y;
}

pc_rect pc_canvas_text(pc_canvas *canvas, pc_rect frame, const pc_type *type, const char *text) {
  PangoLayout *layout = make_layout(canvas, frame, type, text);
  pc_rect extents = extents_of(layout, frame);
  if (text[0])
    show(canvas, layout, frame, type);
  g_object_unref(layout);
  return extents;
}

/* ---- labels that find their place ---- */

static bool lies_within(pc_rect inner, pc_rect outer) {
  return inner.x >= outer.x && inner.y >= outer.y && inner.x + inner.width <= outer.x + outer.width &&
         inner.y + inner.height <= outer.y + outer.height;
}

/* The point of the box that is nearest to (x, y): where a line from there ends. */
static void nearest_of(pc_rect box, double x, double y, double *to_x, double *to_y) {
  *to_x = fmax(box.x, fmin(x, box.x + box.width));
  *to_y = fmax(box.y, fmin(y, box.y + box.height));
}

enum { LEADER_STEP = 3 };

/* Visits the line from (x, y) to the box in small steps: true if all of it is free (`note` NULL), or notes it
 * as something that labels keep off. */
static bool walk_leader(const pc_canvas *canvas, pc_canvas *note, pc_rect box, double x, double y) {
  double to_x, to_y;
  nearest_of(box, x, y, &to_x, &to_y);
  int steps = (int)floor(hypot(to_x - x, to_y - y) / LEADER_STEP);
  for (int i = 1; i < steps; i++) { /* the mark at its beginning is its own */
    double share = (double)i / steps;
    pc_rect dot = {x + share * (to_x - x) - 0.5, y + share * (to_y - y) - 0.5, 1, 1};
    if (note)
      pc_canvas_note(note, PC_DRAWN_MARK, dot, NULL);
    else if (i > 1 && !pc_canvas_is_free(canvas, dot))
      return false;
  }
  return true;
}

/* May a label stand there, with a line to it from (x, y)? */
static bool may_stand(const pc_canvas *canvas, pc_rect region, pc_rect box, double x, double y) {
  return lies_within(box, region) && pc_canvas_is_free(canvas, box) && walk_leader(canvas, NULL, box, x, y);
}

/* Rings of places around the point, the nearest first; false if none of them is free. */
static bool find_place(const pc_canvas *canvas, pc_rect region, double x, double y, pc_rect size,
                       pc_rect *place) {
  enum { RINGS = 6, DIRECTIONS = 12 };
  for (int ring = 0; ring <= RINGS; ring++)
    for (int i = 0; i < (ring == 0 ? 1 : DIRECTIONS); i++) {
      double angle = 2 * G_PI * i / DIRECTIONS - G_PI / 2, far = 0.75 * ring;
      double middle_x = x + far * cos(angle) * (0.5 * size.width + 10);
      double middle_y = y + far * sin(angle) * (size.height + 4);
      *place = (pc_rect){middle_x - size.width / 2, middle_y - size.height / 2, size.width, size.height};
      if (may_stand(canvas, region, *place, x, y))
        return true;
    }
  return false;
}

/* Rings of places around the box, beginning beside it; false if none of them is free. */
static bool find_place_beside(const pc_canvas *canvas, pc_rect region, pc_rect own, pc_rect size,
                              pc_rect *place) {
  enum { RINGS = 8, RING = 6 };
  static const int sides[][2] = {{0, 1}, {0, -1}, {1, 0}, {-1, 0}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}};
  for (int ring = 0; ring < RINGS; ring++)
    for (size_t i = 0; i < sizeof sides / sizeof sides[0]; i++) {
      double gap = 1.5 + RING * ring, x, y;
      double middle_x = own.x + own.width / 2 + sides[i][0] * (own.width / 2 + size.width / 2 + gap);
      double middle_y = own.y + own.height / 2 + sides[i][1] * (own.height / 2 + size.height / 2 + gap);
      double left = middle_x - size.width / 2, most = region.x + region.width - size.width;
      if (sides[i][1] != 0) /* above or below: it may slide away from the end of the region */
        left = fmax(region.x, fmin(left, most));
      *place = (pc_rect){left, middle_y - size.height / 2, size.width, size.height};
      nearest_of(own, middle_x, middle_y, &x, &y);
      if (may_stand(canvas, region, *place, x, y))
        return true;
    }
  return false;
}

/* Draws the label at its place, and a line to it from (x, y) if that is further off than `near`. */
static void put_label(pc_canvas *canvas, PangoLayout *layout, pc_rect place, double x, double y, double near,
                      const pc_type *type) {
  double to_x, to_y;
  nearest_of(place, x, y, &to_x, &to_y);
  if (hypot(to_x - x, to_y - y) > near)
    pc_canvas_stroke(canvas, x, y, to_x, to_y, &(pc_look){.line = PC_INK_BLACK, .width = 0.5});
  (void)walk_leader(canvas, canvas, place, x, y);
  /* a hair wider, so that nothing wraps anew */
  pango_layout_set_width(layout, (int)ceil((place.width + 0.5) * PANGO_SCALE));
  show(canvas, layout, (pc_rect){place.x - 0.25, place.y, place.width + 0.5, place.height}, type);
}

bool pc_canvas_label(pc_canvas *canvas, pc_rect region, double x, double y, double width, const pc_type *type,
                     const char *text) {
  pc_rect frame = {0, 0, fmin(width, region.width), INFINITY}, place;
  PangoLayout *layout = make_layout(canvas, frame, type, text);
  bool found = find_place(canvas, region, x, y, extents_of(layout, frame), &place);
  if (found)
    put_label(canvas, layout, place, x, y, 0, type);
  g_object_unref(layout);
  return found;
}

bool pc_canvas_label_beside(pc_canvas *canvas, pc_rect region, pc_rect own, double width, const pc_type *type,
                            const char *text) {
  pc_rect frame = {0, 0, fmin(width, region.width), INFINITY}, place;
  PangoLayout *layout = make_layout(canvas, frame, type, text);
  bool found = find_place_beside(canvas, region, own, extents_of(layout, frame), &place);
  if (found) {
    double x, y;
    nearest_of(own, place.x + place.width / 2, place.y + place.height / 2, &x, &y);
    put_label(canvas, layout, place, x, y, LEADER_STEP, type);
  }
  g_object_unref(layout);
  return found;
}

/* ---- columns ---- */

pc_column pc_column_start(pc_canvas *canvas, pc_rect frame) {
  return (pc_column){canvas, frame, frame.y};
}

double pc_column_left(const pc_column *column) {
  return column->frame.y + column->frame.height - column->y;
}

bool pc_column_add(pc_column *column, const pc_type *type, double indent, const char *text) {
  pc_rect frame = {column->frame.x + indent, column->y, column->frame.width - indent, INFINITY};
  PangoLayout *layout = make_layout(column->canvas, frame, type, text);
  double height = extents_of(layout, frame).height;
  bool fits = height <= pc_column_left(column);
  if (fits && text[0]) {
    frame.height = height;
    show(column->canvas, layout, frame, type);
    column->y += height;
  }
  g_object_unref(layout);
  return fits;
}

bool pc_column_addf(pc_column *column, const pc_type *type, double indent, const char *format, ...) {
  char text[1024];
  va_list arguments;
  va_start(arguments, format);
  int length = vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  return length >= 0 && pc_column_add(column, type, indent, text);
}

void pc_column_gap(pc_column *column, double height) {
  if (column->y > column->frame.y)
    column->y = fmin(column->y + height, column->frame.y + column->frame.height);
}
