// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The drawings of pictures.h, on a canvas that may hold more than one. Internal to lib/io. Each draws within
 * its frame and leaves nothing outside of it.
 */
#ifndef PC_IO_DRAW_H
#define PC_IO_DRAW_H

#include "io/canvas.h"

/* U+2028: a new line within one label. */
#define PC_LINE_BREAK "\xE2\x80\xA8"

/* ---- maps ---- */

typedef struct pc_map_view { /* world to page */
  pc_rect frame;
  double scale;         /* points per metre */
  double left_m, top_m; /* world at the upper left corner of `inner` */
  pc_rect inner;        /* where the site lies, within the frame */
} pc_map_view;

/* All of the site, as large as it fits into the frame with a strip below it for scale bar and arrow. */
pc_map_view pc_map_fit(const pc_scenario *scenario, pc_rect frame, double strip);
static inline double pc_map_x(const pc_map_view *view, pc_point point) {
  return view->inner.x + (point.x_m - view->left_m) * view->scale;
}
static inline double pc_map_y(const pc_map_view *view, pc_point point) {
  return view->inner.y + (view->top_m - point.y_m) * view->scale;
}

typedef enum pc_map_labels { PC_MAP_NUMBERS, PC_MAP_NAMES } pc_map_labels;

/* The outlines of all areas, as one path. */
void pc_map_add_areas(pc_canvas *canvas, const pc_map_view *view, const pc_site *site);
/* What is left for a smaller machine, but for borders along walls that are thinner than a strip: whether it
 * is worth drawing, and how it looks. */
bool pc_map_has_small(const pc_lot *lot);
extern const pc_look pc_small_look;
void pc_map_small(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content);
void pc_map_snow(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content);
void pc_map_lanes(pc_canvas *canvas, const pc_map_view *view, const pc_lot *lot);
void pc_map_ways(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content);
/* Loads from parts of the lot to zones as arrows, of content->rows, and their numbers. */
void pc_map_flows(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content);
void pc_map_flow_labels(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content);
#define PC_MAP_ALL ((size_t)-1)
#define PC_MACHINE_DOT 5.2 /* points across */
/* Where machines refuel: its mark, and its name; nothing without a fuel point. */
#define PC_FUEL_MARK 8.0 /* points across */
pc_rect pc_map_fuel_box(const pc_map_view *view, const pc_scenario *scenario);
void pc_map_fuel_label(pc_canvas *canvas, const pc_map_view *view, const pc_scenario *scenario);
/* Shows where machines are at a moment of a night, not where they start: it is known, and so are the rows. */
bool pc_map_is_moment(const pc_map_content *content);
/* Where each machine stands or drives then; where it starts if no moment is shown, and without a lot those of
 * which that is given. Returns how many. */
size_t pc_map_machines_at(const pc_map_content *content, pc_crew_start places[PC_MACHINES_MAX]);
/* What else a map shows, and how. */
typedef void (*pc_map_layer)(pc_canvas *canvas, const pc_map_view *view, const pc_brief_content *brief,
                             size_t machine);
typedef struct pc_map_parts {
  pc_map_labels labels;
  pc_unit_system units;
  const pc_brief_content *brief; /* for the two layers of a brief: on the ground, and over all but labels */
  size_t machine;                /* which to show and, in a brief, whose work; PC_MAP_ALL: every one */
  pc_map_layer below, above;     /* may be NULL */
} pc_map_parts;
/* Everything in its order, with labels; machines and cautions too where there are names. */
void pc_map_draw(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                 pc_map_labels labels, pc_unit_system units);
void pc_map_draw_parts(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                       const pc_map_parts *parts);
void pc_map_zone_labels(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                        pc_map_labels labels, pc_unit_system units);
void pc_map_keep_clear_labels(pc_canvas *canvas, const pc_map_view *view, const pc_site *site);
/* Whether a label of this size, in the middle of which the place lies, stands on the outline with all its
 * corners, off what stands there and off other labels. */
bool pc_map_has_room(const pc_canvas *canvas, const pc_map_view *view, const pc_site *site,
                     const pc_ring *ring, pc_point at, pc_rect size);
/* Of areas, buildings and islands. */
void pc_map_names(pc_canvas *canvas, const pc_map_view *view, const pc_site *site);
void pc_map_machine_labels(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                           size_t only);
void pc_map_cautions(pc_canvas *canvas, const pc_map_view *view, const pc_siting_report *siting);
/* Arrow to the north and a bar of a round length, in the strip below the map. */
void pc_map_scale(pc_canvas *canvas, const pc_map_view *view, pc_unit_system units);
/* The longest of 1, 2 or 5 × 10^n units (metres or feet) that is no longer than most_m. */
double pc_round_length_m(double most_m, pc_unit_system units);

/* Limits of the classes of depth, rising; returns how many classes there are. Class i is from limits_m[i] up
 * to limits_m[i + 1], the last without end. */
int pc_snow_classes(const pc_lot *lot, double limits_m[PC_SNOW_INKS]);

/* From 1 on, by its place among the zones of the scenario: a zone has the same number whatever the layout. */
size_t pc_zone_number(const pc_scenario *scenario, const pc_lot *lot, size_t zone);
/* "1175 of 2900 m³ (41 %)"; what the zone can hold, where nothing is known of its fill. */
void pc_zone_words(const pc_map_content *content, size_t zone, pc_unit_system units, pc_text *out);
/* 0 … 1, NaN: unlimited or not known. */
double pc_zone_fill(const pc_map_content *content, size_t zone);
const char *pc_keep_clear_letter(int kind); /* "H" … */

/* ---- columns beside a map ---- */

void pc_legend_site(pc_column *column, const pc_scenario *scenario);
void pc_legend_machines(pc_column *column, const pc_map_content *content);
void pc_legend_snow(pc_column *column, const pc_map_content *content, pc_unit_system units);
void pc_legend_ways(pc_column *column);
void pc_legend_flows(pc_column *column);

/* ---- pages ---- */

/* The title of a page, in a line at its top: smaller where it is long, on two lines where it is very long. */
void pc_draw_title(pc_canvas *canvas, double margin, const char *title);
extern const pc_type pc_type_title, pc_type_heading, pc_type_body, pc_type_small, pc_type_grey;
/* The size of a page lying on its side, or standing. */
pc_rect pc_paper_size(pc_paper paper, bool standing);
/* A picture to be made. `watch` (may be NULL) sees the canvas with its record once all is drawn: for tests.
 */
typedef struct pc_draw_job {
  const pc_picture_style *style;
  pc_text *out;
  const char *prefix; /* of ids, for a part of a page; NULL: a file of its own */
  void (*watch)(void *context, const pc_canvas *canvas);
  void *context;
} pc_draw_job;
typedef void (*pc_draw_page)(pc_canvas *canvas, const void *content, const pc_picture_style *style);
/* Makes the canvas, draws, finishes. */
pc_status pc_draw_picture(const pc_canvas_setup *setup, const pc_draw_job *job, pc_draw_page draw,
                          const void *content);
/* The functions of pictures.h. */
pc_status pc_draw_map(const pc_map_content *content, const pc_draw_job *job);
pc_status pc_draw_maps(const pc_map_content *contents, size_t count, const pc_draw_job *job);
pc_status pc_draw_timeline(const pc_timeline_content *content, const pc_draw_job *job);
pc_status pc_draw_chart(const pc_chart_content *content, const pc_draw_job *job);
pc_status pc_draw_brief(const pc_brief_content *content, const pc_draw_job *job);

/* ---- axes ---- */

/* Steps of 1, 2, 2.5 or 5 × 10^n so that at most `most` of them cover the range. */
double pc_round_step(double range, int most);

#endif
