// SPDX-License-Identifier: GPL-3.0-or-later
/* What the parts of the canvas share; not installed. */
#ifndef PC_IO_CANVAS_PRIVATE_H
#define PC_IO_CANVAS_PRIVATE_H

#include <pango/pangocairo.h>

#include "io/canvas.h"

struct pc_canvas {
  pc_canvas_setup setup;
  pc_text bytes; /* as they come from cairo */
  pc_text *out;
  cairo_surface_t *surface;
  cairo_t *cairo;
  PangoFontMap *fonts;
  PangoContext *context;
  pc_drawn *record;
  size_t count, capacity;
  pc_rect *taken; /* boxes of the labels and marks of this page */
  size_t taken_count, taken_capacity;
  int page;
  bool failed; /* memory */
};

pc_drawn *pc_canvas_add_record(pc_canvas *canvas, pc_drawn_kind kind, pc_rect box, const char *text);
void pc_canvas_set_ink(pc_canvas *canvas, pc_ink ink);

#endif
