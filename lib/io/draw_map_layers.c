// SPDX-License-Identifier: GPL-3.0-or-later
/* What lies over the ground of a map: snow, lanes, driven ways. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "io/draw.h"

/* ---- snow ---- */

int pc_snow_classes(const pc_lot *lot, double limits_m[PC_SNOW_INKS]) {
  static const double shares[] = {0.25, 0.5, 1, 2};
  double all_m = lot->snow.depth_m + lot->fall_m, least_m = fmax(lot->snow.done_below_m, 0.001);
  int count = 0;
  limits_m[count++] = least_m;
  for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++)
    if (shares[i] * all_m > 1.5 * limits_m[count - 1])
      limits_m[count++] = shares[i] * all_m;
  return count;
}

typedef struct snow_layer {
  pc_canvas *canvas;
  const pc_map_view *view;
  const pc_patch *patch;
  const pc_lot *lot;
  const double *ground_kg;
  const double *limits_m;
  int count; /* classes */
} snow_layer;

enum { CLEAR = -1, NO_GROUND = -2 };

const pc_look pc_small_look = {PC_INK_NONE, PC_HATCH_UP, PC_INK_BLUE, PC_DASH_NONE, 0};

/* Class of a cell, or as good as clear, or no ground of the lanes. What is on a limit is below it: untouched
 * snow is just as deep as it fell, to rounding. */
static int class_of(const snow_layer *layer, int station, int strip) {
  size_t cell = pc_patch_cell(layer->patch, station, strip);
  double m2 = layer->lot->ground->cell_m2[cell];
  if (!(m2 > 0))
    return NO_GROUND;
  if (!layer->ground_kg)
    return CLEAR;
  double depth_m = layer->ground_kg[cell] / (m2 * layer->lot->lying_kgpm3);
  int found = CLEAR;
  while (found + 1 < layer->count && depth_m >= layer->limits_m[found + 1] * 1.0001)
    found++;
  return found;
}

/* Stretches that are alike in neighbouring strips become one rectangle. */
typedef struct stretch {
  int station_end, strip, strip_end; /* strip_end 0: none */
} stretch;

static void put_stretch(const snow_layer *layer, int station, const stretch *s) {
  const pc_patch *patch = layer->patch;
  double u0 = patch->u0_m + station * patch->station_m, u1 = patch->u0_m + s->station_end * patch->station_m;
  double v0 = patch->v0_m + s->strip * patch->strip_m, v1 = patch->v0_m + s->strip_end * patch->strip_m;
  const pc_point corners[] = {pc_patch_world(patch, u0, v0), pc_patch_world(patch, u1, v0),
                              pc_patch_world(patch, u1, v1), pc_patch_world(patch, u0, v1)};
  for (size_t i = 0; i < 4; i++)
    (i == 0 ? pc_canvas_move : pc_canvas_line)(layer->canvas, pc_map_x(layer->view, corners[i]),
                                               pc_map_y(layer->view, corners[i]));
  pc_canvas_close(layer->canvas);
}

static bool draw_class(const snow_layer *layer, int wanted, stretch *open) {
  const pc_patch *patch = layer->patch;
  bool any = false;
  for (int i = 0; i < patch->stations; i++)
    open[i] = (stretch){0};
  for (int j = 0; j < patch->strips; j++)
    for (int i = 0; i < patch->stations; i++) {
      int begin = i;
      while (i < patch->stations && class_of(layer, i, j) == wanted)
        i++;
      if (i == begin)
        continue;
      any = true;
      if (open[begin].strip_end == j && open[begin].station_end == i && j > 0) {
        open[begin].strip_end = j + 1;
        continue;
      }
      if (open[begin].strip_end > 0)
        put_stretch(layer, begin, &open[begin]);
      open[begin] = (stretch){i, j, j + 1};
    }
  for (int i = 0; i < patch->stations; i++)
    if (open[i].strip_end > 0)
      put_stretch(layer, i, &open[i]);
  return any;
}

static void clip_to(pc_canvas *canvas, const pc_map_view *view, const pc_ring *ring) {
  for (size_t i = 0; i < ring->count; i++)
    pc_canvas_line(canvas, pc_map_x(view, ring->points[i]), pc_map_y(view, ring->points[i]));
  pc_canvas_close(canvas);
  pc_canvas_clip(canvas);
}

bool pc_map_has_small(const pc_lot *lot) {
  return lot->small_m2 >= 1.0;
}

/* Calls draw with each patch, clipped to its area, and room for its stretches. */
static void on_patches(snow_layer *layer, const pc_scenario *scenario,
                       void (*draw)(const snow_layer *layer, stretch *open)) {
  for (size_t p = 0; p < layer->lot->ground->patch_count; p++) {
    layer->patch = &layer->lot->ground->patches[p];
    stretch *open = pc_alloc((size_t)layer->patch->stations, sizeof *open);
    if (!open) {
      pc_canvas_fail(layer->canvas);
      return;
    }
    clip_to(layer->canvas, layer->view, &scenario->site.areas[p].outline);
    draw(layer, open);
    pc_canvas_unclip(layer->canvas);
    free(open);
  }
}

static void draw_small(const snow_layer *layer, stretch *open) {
  if (!draw_class(layer, NO_GROUND, open))
    return;
  pc_canvas_paint(layer->canvas, &pc_small_look);
  pc_canvas_note(layer->canvas, PC_DRAWN_SMALL, layer->view->inner, NULL);
}

/* Within an area what is no ground of the lanes, and under no obstacle or zone (they are drawn over it). */
void pc_map_small(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content) {
  snow_layer layer = {.canvas = canvas, .view = view, .lot = content->lot};
  if (pc_map_has_small(content->lot))
    on_patches(&layer, content->scenario, draw_small);
}

static void draw_classes(const snow_layer *layer, stretch *open) {
  for (int k = 0; k < layer->count; k++)
    if (draw_class(layer, k, open)) {
      pc_canvas_paint(layer->canvas, &(pc_look){.fill = (pc_ink)(PC_INK_SNOW_1 + k)});
      pc_canvas_note(layer->canvas, PC_DRAWN_SNOW, layer->view->inner, NULL);
    }
}

void pc_map_snow(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content) {
  double limits_m[PC_SNOW_INKS];
  const pc_lot *lot = content->lot;
  snow_layer layer = {canvas, view, NULL, lot, content->ground_kg, limits_m, pc_snow_classes(lot, limits_m)};
  if (lot->lying_kgpm3 > 0)
    on_patches(&layer, content->scenario, draw_classes);
}

/* ---- lanes ---- */

void pc_map_lanes(pc_canvas *canvas, const pc_map_view *view, const pc_lot *lot) {
  if (lot->lane_set_count == 0)
    return;
  const pc_lane_set *set = &lot->lane_sets[0];
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    int begin = -1;
    for (int i = 0; i <= lane->stations; i++) {
      bool is_open = i < lane->stations && set->slot_m2[lane->first + (size_t)i] > 0;
      if (is_open && begin < 0)
        begin = i;
      if (is_open || begin < 0)
        continue;
      pc_point from = pc_lane_point(lot, lane, patch->u0_m + begin * patch->station_m);
      pc_point to = pc_lane_point(lot, lane, patch->u0_m + i * patch->station_m);
      pc_canvas_move(canvas, pc_map_x(view, from), pc_map_y(view, from));
      pc_canvas_line(canvas, pc_map_x(view, to), pc_map_y(view, to));
      pc_canvas_note(canvas, PC_DRAWN_LANE, (pc_rect){pc_map_x(view, from), pc_map_y(view, from), 0, 0},
                     NULL);
      begin = -1;
    }
  }
  pc_canvas_paint(canvas, &(pc_look){.line = PC_INK_LINE, .width = 0.4, .dash = PC_DASH_SHORT});
}

/* ---- ways ---- */

static void draw_phase(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                       pc_phase phase) {
  const pc_look *look = &pc_phase_look_of(phase)->way;
  for (size_t i = 0; i < content->row_count; i++) {
    const pc_trace_row *row = &content->rows[i];
    double start_s = pc_lot_clock_s(content->lot, row->start_s);
    double end_s = pc_lot_clock_s(content->lot, row->end_s);
    if (row->phase != phase || end_s <= content->from_s || start_s >= content->until_s ||
        (row->from.x_m == row->to.x_m && row->from.y_m == row->to.y_m))
      continue;
    /* of a leg that is only half in the time wanted, that half */
    double span_s = end_s - start_s;
    double a = span_s > 0 ? fmax(0, (content->from_s - start_s) / span_s) : 0;
    double b = span_s > 0 ? fmin(1, (content->until_s - start_s) / span_s) : 1;
    double x0 = pc_map_x(view, row->from), y0 = pc_map_y(view, row->from);
    double x1 = pc_map_x(view, row->to), y1 = pc_map_y(view, row->to);
    pc_rect box = {x0 + a * (x1 - x0), y0 + a * (y1 - y0), (b - a) * (x1 - x0), (b - a) * (y1 - y0)};
    pc_canvas_move(canvas, box.x, box.y);
    pc_canvas_line(canvas, box.x + box.width, box.y + box.height);
    pc_canvas_note(canvas, PC_DRAWN_WAY, box, NULL);
  }
  pc_canvas_paint(canvas, look);
}

void pc_map_ways(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content) {
  static const pc_phase order[] = {PC_PHASE_RETURN, PC_PHASE_CARRY, PC_PHASE_CLEAN_UP, PC_PHASE_FILL};
  for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
    draw_phase(canvas, view, content, order[i]);
}
