// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Colours, hatches and dashes of all pictures.
 *
 * The eight colours are those of Okabe & Ito, "Color Universal Design" (2002, revised 2008), told apart with
 * all common kinds of colour blindness. None says anything alone: a hatch, a dash, a shape or a height goes
 * with each, so that a picture can be read in black and white. The blues for depths of snow go from light to
 * dark in steps of lightness.
 *
 * Constant tables and pure functions: nothing is owned, nothing fails, all is thread-safe.
 */
#ifndef PC_IO_PALETTE_H
#define PC_IO_PALETTE_H

#include "sim/result.h"

typedef enum pc_ink {
  PC_INK_NONE,
  PC_INK_BLACK,
  PC_INK_ORANGE,
  PC_INK_SKY,
  PC_INK_GREEN,
  PC_INK_YELLOW,
  PC_INK_BLUE,
  PC_INK_VERMILION,
  PC_INK_PURPLE,
  PC_INK_WHITE,
  PC_INK_GREY, /* text of less weight */
  PC_INK_LINE, /* grid lines, outlines of no weight */
  PC_INK_PALE, /* grounds */
  PC_INK_SNOW_1,
  PC_INK_SNOW_2,
  PC_INK_SNOW_3,
  PC_INK_SNOW_4,
  PC_INK_SNOW_5,
  PC_INK_COUNT
} pc_ink;

enum { PC_SNOW_INKS = PC_INK_SNOW_5 - PC_INK_SNOW_1 + 1 };

typedef struct pc_colour { /* sRGB, 0 … 255 */
  int red, green, blue;
} pc_colour;

typedef enum pc_hatch {
  PC_HATCH_NONE,
  PC_HATCH_UP,   /* / */
  PC_HATCH_DOWN, /* \ */
  PC_HATCH_CROSS,
  PC_HATCH_LEVEL,
  PC_HATCH_UPRIGHT,
  PC_HATCH_GRID,
  PC_HATCH_COUNT
} pc_hatch;

typedef enum pc_dash { PC_DASH_NONE, PC_DASH_LONG, PC_DASH_SHORT, PC_DASH_DOTS, PC_DASH_MIXED } pc_dash;

/* How something is drawn: filled, hatched, outlined, each if it has an ink. */
typedef struct pc_look {
  pc_ink fill;
  pc_hatch hatch; /* in the ink of the line */
  pc_ink line;
  pc_dash dash;
  double width; /* of the line, points */
} pc_look;

/* How a phase looks as an area (bars), as a line (ways), and as a bar of the timeline: 0 … 1 of the row's
 * height, which alone tells the phases apart where bars are too narrow for a hatch. */
typedef struct pc_phase_look {
  const char *words;
  pc_look area, way;
  double low, high;
} pc_phase_look;

pc_colour pc_ink_colour(pc_ink ink); /* white for PC_INK_NONE */
const pc_phase_look *pc_phase_look_of(pc_phase phase);
/* The n-th of a series of lines, markers or bars; begins anew after PC_SERIES_MAX. */
enum { PC_SERIES_MAX = 6 };
pc_look pc_series_look(size_t n);

/* Contrast ratio (1 … 21) as WCAG 2.1 defines it (W3C Recommendation, 2018). */
double pc_contrast(pc_colour a, pc_colour b);

#endif
