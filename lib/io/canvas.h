// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A canvas: what all pictures are drawn on, as SVG, PDF or PNG from the same calls. Lengths are points (1/72
 * inch), y downwards. Internal to lib/io; whoever embeds the library takes the finished pictures of
 * pictures.h.
 *
 * The canvas keeps a record of what was drawn: its kind, the box around it and, for text, the frame that it
 * must stay in. Labels are placed by that record, so that no two overlap, and tests read it.
 *
 * The same calls give the same bytes: no date, no counter of the process. Text may be any UTF-8 (Pango finds
 * fonts and direction); bytes that are none become U+FFFD, control characters a space.
 *
 * Ownership: pc_canvas_create, draw, pc_canvas_finish, pc_canvas_free; `out` is the caller's. Failures are
 * kept and come back from pc_canvas_finish; drawing goes on into nothing. (GLib, below Pango, ends the
 * program when memory runs out; that can not be caught.) One canvas belongs to one thread at a time.
 */
#ifndef PC_IO_CANVAS_H
#define PC_IO_CANVAS_H

#include "base/text.h"
#include "io/palette.h"
#include "io/pictures.h"
#include "site/geometry.h"

typedef struct pc_rect {
  double x, y, width, height;
} pc_rect;

typedef enum pc_drawn_kind {
  PC_DRAWN_LABEL, /* text */
  PC_DRAWN_MARK,  /* what labels keep off, beside other labels */
  PC_DRAWN_FRAME, /* a panel or a map as a whole */
  PC_DRAWN_GROUND,
  PC_DRAWN_AREA,
  PC_DRAWN_OBSTACLE,
  PC_DRAWN_KEEP_CLEAR,
  PC_DRAWN_PASSAGE,
  PC_DRAWN_ZONE,
  PC_DRAWN_FILL, /* how full a zone is */
  PC_DRAWN_LANE,
  PC_DRAWN_SNOW, /* one class of depth */
  PC_DRAWN_WAY,  /* one leg */
  PC_DRAWN_SWATH,
  PC_DRAWN_CAUTION,
  PC_DRAWN_START,
  PC_DRAWN_FUEL,    /* where machines refuel */
  PC_DRAWN_MACHINE, /* where it is at a moment of the night */
  PC_DRAWN_NORTH,
  PC_DRAWN_SCALE_BAR,
  PC_DRAWN_SPAN, /* one phase of one machine in a timeline */
  PC_DRAWN_BAR,
  PC_DRAWN_POINT,
  PC_DRAWN_INTERVAL,
  PC_DRAWN_TICK,
  PC_DRAWN_FLOW,  /* the loads from one part of a lot to one zone; its text is their number */
  PC_DRAWN_SMALL, /* what is left for a smaller machine, of one area */
  PC_DRAWN_KIND_COUNT
} pc_drawn_kind;

typedef struct pc_drawn {
  pc_drawn_kind kind;
  int page; /* 0-based */
  pc_rect box;
  /* labels only: */
  pc_rect frame;
  pc_ink ink, on;
  bool shortened; /* ended by an ellipsis */
  char *text;     /* owned by the canvas */
} pc_drawn;

typedef struct pc_canvas pc_canvas;

typedef struct pc_canvas_setup {
  pc_picture_format format;
  double width, height; /* of a page */
  const char *title;    /* of the document; may be NULL */
  const char *prefix;   /* of ids in an SVG that becomes part of a page; NULL: a document of its own */
} pc_canvas_setup;

PC_MUST_USE pc_status pc_canvas_create(const pc_canvas_setup *setup, pc_text *out, pc_canvas **canvas);
/* Adds the finished picture to `out`. */
PC_MUST_USE pc_status pc_canvas_finish(pc_canvas *canvas);
void pc_canvas_free(pc_canvas *canvas);
/* Memory was short for what was to be drawn: pc_canvas_finish will say so. */
void pc_canvas_fail(pc_canvas *canvas);
/* The text, "" if there is none; one that ran out of memory fails the canvas. */
const char *pc_canvas_words(pc_canvas *canvas, const pc_text *text);
void pc_canvas_next_page(pc_canvas *canvas); /* PDF only */

const pc_drawn *pc_canvas_record(const pc_canvas *canvas, size_t *count);
pc_rect pc_canvas_page(const pc_canvas *canvas); /* all of it */
/* Notes something that was drawn; text may be NULL. */
void pc_canvas_note(pc_canvas *canvas, pc_drawn_kind kind, pc_rect box, const char *text);
/* True if no label or mark of this page touches the box. */
bool pc_canvas_is_free(const pc_canvas *canvas, pc_rect box);

/* ---- shapes: a path is built, then painted (or made the clip), and is gone ---- */

void pc_canvas_move(pc_canvas *canvas, double x, double y);
void pc_canvas_line(pc_canvas *canvas, double x, double y);
void pc_canvas_close(pc_canvas *canvas);
void pc_canvas_rectangle(pc_canvas *canvas, pc_rect rect);
void pc_canvas_circle(pc_canvas *canvas, double x, double y, double radius);
void pc_canvas_paint(pc_canvas *canvas, const pc_look *look);
/* Everything until pc_canvas_unclip is drawn within the path only. May be nested. */
void pc_canvas_clip(pc_canvas *canvas);
void pc_canvas_unclip(pc_canvas *canvas);

/* A path of its own, painted. */
void pc_canvas_box(pc_canvas *canvas, pc_rect rect, const pc_look *look);
void pc_canvas_dot(pc_canvas *canvas, double x, double y, double radius, const pc_look *look);
void pc_canvas_stroke(pc_canvas *canvas, double x0, double y0, double x1, double y1, const pc_look *look);
/* Marker of a series: circle, square, triangle, diamond, cross, star. */
void pc_canvas_marker(pc_canvas *canvas, size_t series, double x, double y, double radius);

/* ---- text ---- */

typedef enum pc_side { PC_LEFT, PC_CENTRE, PC_RIGHT } pc_side;

typedef struct pc_type {
  double size; /* of the letters, points */
  bool bold;
  pc_side side;
  pc_ink ink; /* NONE: black */
  pc_ink on;  /* what it stands on; NONE: white */
  bool plate; /* puts a ground of that colour below it */
  int lines;  /* at most; 0: as many as the frame is high, or any number if its height is not finite */
} pc_type;

/* The size that the text would take at the top of the frame, wrapped to its width. */
pc_rect pc_canvas_measure(pc_canvas *canvas, pc_rect frame, const pc_type *type, const char *text);
/* Draws it there, ended by an ellipsis where it does not fit, and notes it. */
pc_rect pc_canvas_text(pc_canvas *canvas, pc_rect frame, const pc_type *type, const char *text);
/* Draws it near (x, y), within the region and clear of all labels and marks so far, with a line from there
 * if it has to stand further off; at most as wide as given. False, and nothing drawn, if there is no room. */
bool pc_canvas_label(pc_canvas *canvas, pc_rect region, double x, double y, double width, const pc_type *type,
                     const char *text);
/* The same beside a thing that takes up a box on the page. */
bool pc_canvas_label_beside(pc_canvas *canvas, pc_rect region, pc_rect own, double width, const pc_type *type,
                            const char *text);

/* ---- text that flows down a column ---- */

typedef struct pc_column {
  pc_canvas *canvas;
  pc_rect frame;
  double y; /* where the next line begins */
} pc_column;

pc_column pc_column_start(pc_canvas *canvas, pc_rect frame);
double pc_column_left(const pc_column *column); /* height that is free */
/* Adds a paragraph, indented by `indent`; false, and nothing drawn, if not all of it fits. */
bool pc_column_add(pc_column *column, const pc_type *type, double indent, const char *text);
bool pc_column_addf(pc_column *column, const pc_type *type, double indent, const char *format, ...)
    PC_PRINTF(4, 5);
void pc_column_gap(pc_column *column, double height); /* none at the top */

#endif
