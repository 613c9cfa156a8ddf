// SPDX-License-Identifier: GPL-3.0-or-later
/* Where the loads go: from each part of the lot to each pile zone one arrow, as wide as there are many. Of a
 * whole night that says more than hundreds of single ways. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "io/draw.h"

/* Parts along the longer side of what is to be cleared; they are squares. More would be a tangle again. */
enum { PARTS = 4 };

typedef struct flow {
  size_t loads;
  pc_point from, to; /* sums, then means */
  pc_point swept;    /* of all places where one of the loads was swept the one nearest to `from` */
  double off_m;
} flow;

typedef struct flows {
  const pc_map_content *content;
  pc_point low;
  double side_m;
  flow *items; /* PARTS × PARTS for each zone */
  size_t count, most;
} flows;

/* What a machine has swept since it dumped last. */
typedef struct sweep {
  double length_m, x, y; /* x, y: sums of length × middle */
  double longest_m;      /* of its stretches, and the middle of that one */
  pc_point place;
} sweep;

static void lay_grid(flows *f) {
  const pc_site *site = &f->content->scenario->site;
  pc_point high = {-INFINITY, -INFINITY};
  f->low = (pc_point){INFINITY, INFINITY};
  for (size_t a = 0; a < site->area_count; a++)
    for (size_t i = 0; i < site->areas[a].outline.count; i++) {
      pc_point at = site->areas[a].outline.points[i];
      f->low = (pc_point){fmin(f->low.x_m, at.x_m), fmin(f->low.y_m, at.y_m)};
      high = (pc_point){fmax(high.x_m, at.x_m), fmax(high.y_m, at.y_m)};
    }
  f->side_m = fmax(fmax(high.x_m - f->low.x_m, high.y_m - f->low.y_m) / PARTS, 0.1);
}

static size_t part_along(double at_m, double low_m, double side_m) {
  double part = floor((at_m - low_m) / side_m);
  return (size_t)fmin(fmax(part, 0), PARTS - 1);
}

static flow *flow_of(const flows *f, int zone, pc_point from) {
  size_t part =
      part_along(from.y_m, f->low.y_m, f->side_m) * PARTS + part_along(from.x_m, f->low.x_m, f->side_m);
  return &f->items[(size_t)zone * PARTS * PARTS + part];
}

static void add_load(const flows *f, const pc_trace_row *dump, const sweep *swept) {
  pc_point from = {swept->x / swept->length_m, swept->y / swept->length_m};
  flow *to = flow_of(f, dump->zone, from);
  to->loads++;
  to->from = (pc_point){to->from.x_m + from.x_m, to->from.y_m + from.y_m};
  to->to = (pc_point){to->to.x_m + dump->from.x_m, to->to.y_m + dump->from.y_m};
}

static void find_nearest(const flows *f, const pc_trace_row *dump, const sweep *swept) {
  pc_point from = {swept->x / swept->length_m, swept->y / swept->length_m};
  flow *to = flow_of(f, dump->zone, from);
  double off_m = hypot(swept->place.x_m - to->from.x_m, swept->place.y_m - to->from.y_m);
  if (off_m < to->off_m) {
    to->off_m = off_m;
    to->swept = swept->place;
  }
}

static void add_stretch(sweep *own, const pc_trace_row *row) {
  double length_m = hypot(row->to.x_m - row->from.x_m, row->to.y_m - row->from.y_m);
  pc_point middle = {(row->from.x_m + row->to.x_m) / 2, (row->from.y_m + row->to.y_m) / 2};
  own->length_m += length_m;
  own->x += length_m * middle.x_m;
  own->y += length_m * middle.y_m;
  if (length_m > own->longest_m) {
    own->longest_m = length_m;
    own->place = middle;
  }
}

/* Every load of the stretch of time that came to a zone. */
static void each_load(const flows *f, sweep *swept,
                      void (*take)(const flows *f, const pc_trace_row *dump, const sweep *swept)) {
  const pc_map_content *content = f->content;
  const pc_lot *lot = content->lot;
  for (size_t m = 0; m < lot->machine_count; m++)
    swept[m] = (sweep){0};
  for (size_t i = 0; i < content->row_count; i++) {
    const pc_trace_row *row = &content->rows[i];
    double end_s = pc_lot_clock_s(lot, row->end_s);
    sweep *own = &swept[row->machine];
    if (row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP)
      add_stretch(own, row);
    if (row->phase != PC_PHASE_DUMP)
      continue;
    if (row->zone >= 0 && (size_t)row->zone < lot->zone_count && own->length_m > 0 &&
        end_s > content->from_s && end_s <= content->until_s)
      take(f, row, own);
    *own = (sweep){0};
  }
}

static bool is_on_a_thing(const pc_site *site, pc_point at) {
  for (size_t i = 0; i < site->obstacle_count; i++)
    if (site->obstacles[i].outline.count > 0 && pc_ring_contains(&site->obstacles[i].outline, at))
      return true;
  return false;
}

static bool gather(flows *f) {
  const pc_lot *lot = f->content->lot;
  f->count = lot->zone_count * PARTS * PARTS;
  f->items = pc_alloc(f->count, sizeof *f->items);
  sweep *swept = pc_alloc(lot->machine_count, sizeof *swept);
  bool made = f->items && swept;
  if (made)
    each_load(f, swept, add_load);
  for (size_t i = 0; made && i < f->count; i++) {
    flow *one = &f->items[i];
    double n = (double)one->loads;
    if (one->loads == 0)
      continue;
    f->most = one->loads > f->most ? one->loads : f->most;
    one->from = (pc_point){one->from.x_m / n, one->from.y_m / n};
    one->to = (pc_point){one->to.x_m / n, one->to.y_m / n};
    one->off_m = INFINITY;
  }
  if (made)
    each_load(f, swept, find_nearest);
  /* from both sides of a building the mean is the building */
  for (size_t i = 0; made && i < f->count; i++)
    if (f->items[i].loads > 0 && is_on_a_thing(&f->content->scenario->site, f->items[i].from))
      f->items[i].from = f->items[i].swept;
  free(swept);
  return made;
}

/* The widest first, so that none hides another. */
static int most_first(const void *a, const void *b) {
  const flow *x = a, *y = b;
  if (x->loads != y->loads)
    return x->loads > y->loads ? -1 : 1;
  if (x->from.x_m != y->from.x_m)
    return x->from.x_m < y->from.x_m ? -1 : 1;
  if (x->from.y_m != y->from.y_m)
    return x->from.y_m < y->from.y_m ? -1 : 1;
  if (x->to.x_m != y->to.x_m)
    return x->to.x_m < y->to.x_m ? -1 : 1;
  return (x->to.y_m > y->to.y_m) - (x->to.y_m < y->to.y_m);
}

static double width_of(const flows *f, const flow *one) {
  enum { WIDEST = 7 };
  return fmax(1.0, WIDEST * (double)one->loads / (double)f->most);
}

/* A shaft and a head, as one outline. */
static void draw_arrow(pc_canvas *canvas, double x0, double y0, double x1, double y1, double width) {
  double length = hypot(x1 - x0, y1 - y0);
  if (!(length > 0))
    return;
  double ux = (x1 - x0) / length, uy = (y1 - y0) / length, half = width / 2;
  double head = fmin(length, fmax(4, 1.6 * width)), wing = fmax(2.2, width);
  double nx = x1 - head * ux, ny = y1 - head * uy; /* where the head begins */
  const double corners[7][2] = {{x0 - half * uy, y0 + half * ux}, {nx - half * uy, ny + half * ux},
                                {nx - wing * uy, ny + wing * ux}, {x1, y1},
                                {nx + wing * uy, ny - wing * ux}, {nx + half * uy, ny - half * ux},
                                {x0 + half * uy, y0 - half * ux}};
  for (size_t i = 0; i < 7; i++)
    (i == 0 ? pc_canvas_move : pc_canvas_line)(canvas, corners[i][0], corners[i][1]);
  pc_canvas_close(canvas);
  pc_canvas_paint(canvas, &(pc_look){.fill = PC_INK_VERMILION, .line = PC_INK_WHITE, .width = 0.6});
}

/* All flows, most loads first; to be freed. On failure there are none, and the picture fails. */
static flows find_flows(pc_canvas *canvas, const pc_map_content *content) {
  flows f = {.content = content};
  lay_grid(&f);
  if (!gather(&f)) {
    pc_canvas_fail(canvas);
    f.count = 0;
  }
  if (f.count > 0)
    qsort(f.items, f.count, sizeof *f.items, most_first);
  while (f.count > 0 && f.items[f.count - 1].loads == 0)
    f.count--;
  return f;
}

void pc_map_flows(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content) {
  flows f = find_flows(canvas, content);
  for (size_t i = 0; i < f.count; i++) {
    const flow *one = &f.items[i];
    double x0 = pc_map_x(view, one->from), y0 = pc_map_y(view, one->from);
    double x1 = pc_map_x(view, one->to), y1 = pc_map_y(view, one->to);
    char number[24];
    draw_arrow(canvas, x0, y0, x1, y1, width_of(&f, one));
    snprintf(number, sizeof number, "%zu", one->loads);
    pc_canvas_note(canvas, PC_DRAWN_FLOW, (pc_rect){fmin(x0, x1), fmin(y0, y1), fabs(x1 - x0), fabs(y1 - y0)},
                   number);
  }
  free(f.items);
}

/* How many loads each arrow stands for, where it begins: after all arrows, so that none runs over a number.
 */
void pc_map_flow_labels(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content) {
  static const pc_type type = {.size = 6.5, .plate = true, .lines = 1, .side = PC_CENTRE};
  flows f = find_flows(canvas, content);
  for (size_t i = 0; i < f.count; i++) {
    const flow *one = &f.items[i];
    /* a bit along, as several begin in one part of the lot */
    pc_point at = {one->from.x_m + 0.2 * (one->to.x_m - one->from.x_m),
                   one->from.y_m + 0.2 * (one->to.y_m - one->from.y_m)};
    char number[24];
    snprintf(number, sizeof number, "%zu", one->loads);
    (void)pc_canvas_label(canvas, view->frame, pc_map_x(view, at), pc_map_y(view, at), 40, &type, number);
  }
  free(f.items);
}

void pc_legend_flows(pc_column *column) {
  double y = column->y;
  if (pc_column_add(column, &pc_type_small, 22,
                    "loads of the first night from a part of the lot to a pile zone, with their number"))
    draw_arrow(column->canvas, column->frame.x + 1, (y + column->y) / 2, column->frame.x + 18,
               (y + column->y) / 2, 3);
}
