// SPDX-License-Identifier: GPL-3.0-or-later
/* What the charts share; not installed. */
#ifndef PC_IO_DRAW_CHART_PRIVATE_H
#define PC_IO_DRAW_CHART_PRIVATE_H

#include "io/draw.h"

enum { PC_CHART_MARGIN = 24, PC_CHART_HEAD = 34, PC_CHART_ROWS_MAX = 60 };

typedef struct pc_chart_varying { /* over the rows of a comparison; or: what a label tells */
  bool layout, box, loader, policy, depth, crew;
} pc_chart_varying;

typedef struct pc_chart_axis { /* from 0 */
  double most, step;
  int decimals;
} pc_chart_axis;

pc_chart_varying pc_chart_varying_of(const pc_comparison *comparison);
/* "three piles, 16 ft" */
void pc_chart_label(const pc_compare_row *row, const pc_chart_varying *shown, pc_unit_system units,
                    pc_text *out);
double pc_chart_longest_s(const pc_comparison *comparison);
pc_chart_axis pc_chart_axis_make(double most, int ticks);
void pc_chart_head(pc_canvas *canvas, const pc_chart_content *content, pc_unit_system units);
void pc_chart_number(pc_canvas *canvas, pc_rect frame, pc_side side, double value, int decimals);

void pc_chart_bars(pc_canvas *canvas, const pc_chart_content *content, pc_unit_system units);
double pc_chart_bars_height(const pc_chart_content *content);
void pc_chart_lines(pc_canvas *canvas, const pc_chart_content *content, pc_unit_system units);

#endif
