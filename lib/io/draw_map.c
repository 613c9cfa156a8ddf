// SPDX-License-Identifier: GPL-3.0-or-later
/* The lot to scale: what stands and lies there, and the pile zones. */
#include <math.h>

#include "io/draw.h"
#include "io/tables_private.h"

/* ---- the view ---- */

typedef struct extent {
  double low_x, low_y, high_x, high_y;
} extent;

static void stretch(extent *all, pc_point at, double radius_m) {
  all->low_x = fmin(all->low_x, at.x_m - radius_m);
  all->low_y = fmin(all->low_y, at.y_m - radius_m);
  all->high_x = fmax(all->high_x, at.x_m + radius_m);
  all->high_y = fmax(all->high_y, at.y_m + radius_m);
}

static void stretch_over(extent *all, const pc_ring *ring, pc_point at, double radius_m) {
  for (size_t i = 0; i < ring->count; i++)
    stretch(all, ring->points[i], 0);
  if (ring->count == 0)
    stretch(all, at, isfinite(radius_m) ? radius_m : 0);
}

static extent extent_of(const pc_scenario *scenario) {
  const pc_site *site = &scenario->site;
  extent all = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (size_t i = 0; i < site->area_count; i++)
    stretch_over(&all, &site->areas[i].outline, (pc_point){0, 0}, 0);
  for (size_t i = 0; i < site->ground_count; i++)
    stretch_over(&all, &site->ground[i].outline, (pc_point){0, 0}, 0);
  for (size_t i = 0; i < site->obstacle_count; i++)
    stretch_over(&all, &site->obstacles[i].outline, site->obstacles[i].at, site->obstacles[i].radius_m);
  for (size_t i = 0; i < site->keep_clear_count; i++)
    stretch_over(&all, &site->keep_clear[i].outline, site->keep_clear[i].at, site->keep_clear[i].radius_m);
  for (size_t i = 0; i < scenario->zone_count; i++)
    stretch_over(&all, &scenario->zones[i].outline, scenario->zones[i].at, 0);
  return all;
}

pc_map_view pc_map_fit(const pc_scenario *scenario, pc_rect frame, double strip) {
  enum { MARGIN = 6 };
  extent all = extent_of(scenario);
  double wide_m = fmax(all.high_x - all.low_x, 0.1), high_m = fmax(all.high_y - all.low_y, 0.1);
  double room_x = frame.width - 2 * MARGIN, room_y = frame.height - 2 * MARGIN - strip;
  pc_map_view view = {.frame = frame, .scale = fmin(room_x / wide_m, room_y / high_m)};
  view.inner.width = wide_m * view.scale;
  view.inner.height = high_m * view.scale;
  view.inner.x = frame.x + MARGIN + (room_x - view.inner.width) / 2;
  view.inner.y = frame.y + MARGIN + (room_y - view.inner.height) / 2;
  view.left_m = all.low_x;
  view.top_m = all.high_y;
  return view;
}

/* ---- outlines ---- */

enum { LEAST_DOT = 2 }; /* points: what is smaller on the ground is drawn so large */

static pc_rect add_ring(pc_canvas *canvas, const pc_map_view *view, const pc_ring *ring) {
  double low_x = INFINITY, low_y = INFINITY, high_x = -INFINITY, high_y = -INFINITY;
  for (size_t i = 0; i < ring->count; i++) {
    double x = pc_map_x(view, ring->points[i]), y = pc_map_y(view, ring->points[i]);
    pc_canvas_line(canvas, x, y);
    low_x = fmin(low_x, x);
    high_x = fmax(high_x, x);
    low_y = fmin(low_y, y);
    high_y = fmax(high_y, y);
  }
  pc_canvas_close(canvas);
  return (pc_rect){low_x, low_y, high_x - low_x, high_y - low_y};
}

/* An outline, or a circle where there is none. */
static pc_rect add_shape(pc_canvas *canvas, const pc_map_view *view, const pc_ring *ring, pc_point at,
                         double radius_m) {
  if (ring->count > 0)
    return add_ring(canvas, view, ring);
  double radius = fmax(LEAST_DOT, isfinite(radius_m) ? radius_m * view->scale : 0);
  double x = pc_map_x(view, at), y = pc_map_y(view, at);
  pc_canvas_circle(canvas, x, y, radius);
  return (pc_rect){x - radius, y - radius, 2 * radius, 2 * radius};
}

static const pc_look obstacle_looks[PC_OBSTACLE_KIND_COUNT] = {
    [PC_OBSTACLE_BUILDING] = {PC_INK_LINE, PC_HATCH_UP, PC_INK_BLACK, PC_DASH_NONE, 0.8},
    [PC_OBSTACLE_ISLAND] = {PC_INK_GREEN, PC_HATCH_UPRIGHT, PC_INK_BLACK, PC_DASH_NONE, 0.6},
    [PC_OBSTACLE_POLE] = {PC_INK_BLACK, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.6},
    [PC_OBSTACLE_PARKED] = {PC_INK_WHITE, PC_HATCH_CROSS, PC_INK_BLACK, PC_DASH_NONE, 0.6},
    [PC_OBSTACLE_FENCE] = {PC_INK_BLACK, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 1.6},
    [PC_OBSTACLE_OLD_PILE] = {PC_INK_SKY, PC_HATCH_GRID, PC_INK_BLACK, PC_DASH_NONE, 0.6},
};
static const pc_look ground_look = {PC_INK_PALE, PC_HATCH_NONE, PC_INK_LINE, PC_DASH_NONE, 0.5};
static const pc_look area_look = {PC_INK_WHITE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.9};
static const pc_look closed_look = {PC_INK_NONE, PC_HATCH_CROSS, PC_INK_VERMILION, PC_DASH_NONE, 0};
static const pc_look keep_look = {PC_INK_NONE, PC_HATCH_NONE, PC_INK_VERMILION, PC_DASH_SHORT, 1.0};
static const pc_look passage_look = {PC_INK_NONE, PC_HATCH_NONE, PC_INK_PURPLE, PC_DASH_LONG, 1.0};
static const pc_look zone_look = {PC_INK_WHITE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 1.3};
static const pc_look fill_look = {PC_INK_SKY, PC_HATCH_DOWN, PC_INK_BLUE, PC_DASH_NONE, 0};
static const pc_look machine_look = {PC_INK_BLUE, PC_HATCH_NONE, PC_INK_WHITE, PC_DASH_NONE, 0.6};
static const pc_look left_look = {PC_INK_WHITE, PC_HATCH_NONE, PC_INK_BLUE, PC_DASH_NONE, 0.8};
static const pc_look fuel_look = {PC_INK_ORANGE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.7};

/* Ground, areas, obstacles, things to keep clear of. */
static void draw_site(pc_canvas *canvas, const pc_map_view *view, const pc_scenario *scenario) {
  const pc_site *site = &scenario->site;
  for (size_t i = 0; i < site->ground_count; i++) {
    pc_rect box = add_ring(canvas, view, &site->ground[i].outline);
    pc_canvas_paint(canvas, &ground_look);
    pc_canvas_note(canvas, PC_DRAWN_GROUND, box, site->ground[i].name.text);
  }
  for (size_t i = 0; i < site->area_count; i++) {
    pc_rect box = add_ring(canvas, view, &site->areas[i].outline);
    pc_canvas_paint(canvas, &area_look);
    pc_canvas_note(canvas, PC_DRAWN_AREA, box, site->areas[i].name.text);
  }
}

void pc_map_add_areas(pc_canvas *canvas, const pc_map_view *view, const pc_site *site) {
  for (size_t i = 0; i < site->area_count; i++) {
    const pc_ring *ring = &site->areas[i].outline;
    pc_canvas_move(canvas, pc_map_x(view, ring->points[0]), pc_map_y(view, ring->points[0]));
    add_ring(canvas, view, ring);
  }
}

/* Pavement that is closed to the machine; without one, what is not open to all. */
static void draw_closed(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                        size_t machine) {
  const pc_site *site = &content->scenario->site;
  const char *loader =
      machine != PC_MAP_ALL && content->lot ? content->lot->machines[machine].unit.loader.name.text : NULL;
  for (size_t i = 0; i < pc_site_pavement_count(site); i++) {
    pc_pavement pavement = pc_site_pavement_at(site, i);
    if (pavement.open_to->count == 0 || (loader && pc_names_have(pavement.open_to, loader)))
      continue;
    (void)add_ring(canvas, view, pavement.outline);
    pc_canvas_paint(canvas, &closed_look);
  }
}

/* What stands there, over snow and lanes. */
static void draw_things(pc_canvas *canvas, const pc_map_view *view, const pc_site *site) {
  for (size_t i = 0; i < site->passage_count; i++) {
    const pc_passage *passage = &site->passages[i];
    pc_rect box = add_shape(canvas, view, &passage->outline, passage->at, passage->radius_m);
    pc_canvas_paint(canvas, &passage_look);
    pc_canvas_note(canvas, PC_DRAWN_PASSAGE, box, passage->name.text);
  }
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *thing = &site->obstacles[i];
    pc_rect box = add_shape(canvas, view, &thing->outline, thing->at, thing->radius_m);
    pc_canvas_paint(canvas, &obstacle_looks[thing->kind]);
    pc_canvas_note(canvas, PC_DRAWN_OBSTACLE, box, thing->name.text);
  }
  for (size_t i = 0; i < site->keep_clear_count; i++) {
    const pc_keep_clear *thing = &site->keep_clear[i];
    pc_rect box = add_shape(canvas, view, &thing->outline, thing->at, thing->radius_m);
    pc_canvas_paint(canvas, &keep_look);
    pc_canvas_note(canvas, PC_DRAWN_KEEP_CLEAR, box, thing->name.text);
  }
}

/* ---- zones ---- */

static const pc_zone_result *zone_result(const pc_map_content *content, size_t zone) {
  const pc_result *result = content->standing  ? content->standing
                            : content->summary ? &content->summary->mean
                                               : NULL;
  return result && zone < result->zone_count ? &result->zones[zone] : NULL;
}

static double zone_room_m3(const pc_map_content *content, size_t zone) {
  return content->lot->zone_capacity_kg[zone] / content->lot->snow.pile_density_kgpm3;
}

size_t pc_zone_number(const pc_scenario *scenario, const pc_lot *lot, size_t zone) {
  const pc_zone *found = pc_scenario_zone(scenario, lot->zones[zone].name.text);
  return (found ? (size_t)(found - scenario->zones) : scenario->zone_count + zone) + 1;
}

double pc_zone_fill(const pc_map_content *content, size_t zone) {
  const pc_zone_result *result = zone_result(content, zone);
  double room_m3 = zone_room_m3(content, zone);
  return result && isfinite(room_m3) && room_m3 > 0 ? fmin(result->volume_m3 / room_m3, 1) : NAN;
}

void pc_zone_words(const pc_map_content *content, size_t zone, pc_unit_system units, pc_text *out) {
  const pc_zone_result *result = zone_result(content, zone);
  double room_m3 = zone_room_m3(content, zone), fill = pc_zone_fill(content, zone);
  const char *unit = units == PC_US ? "yd3" : "m3", *shown = units == PC_US ? "yd³" : "m³";
  int decimals = room_m3 < 20 ? 1 : 0;
  if (result)
    pc_text_addf(out, "%s", pc_show_number(result->volume_m3, PC_DIM_VOLUME, unit, decimals).text);
  if (isfinite(room_m3))
    pc_text_addf(out, "%s%s %s", result ? " of " : "holds ",
                 pc_show_number(room_m3, PC_DIM_VOLUME, unit, decimals).text, shown);
  else
    pc_text_addf(out, "%s%s", result ? " " : "no limit", result ? shown : "");
  if (isfinite(fill))
    pc_text_addf(out, " (%s)", pc_show_percent(fill, 0).text);
}

static void draw_zones(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content) {
  for (size_t z = 0; z < content->lot->zone_count; z++) {
    const pc_zone *zone = &content->lot->zones[z];
    double fill = pc_zone_fill(content, z);
    pc_rect box = add_shape(canvas, view, &zone->outline, zone->at, 0);
    pc_canvas_paint(canvas, &(pc_look){.fill = PC_INK_WHITE});
    if (fill > 0 && zone->outline.count > 0) { /* as in a glass: that share of its height on the page */
      pc_rect full = {box.x, box.y + box.height * (1 - fill), box.width, box.height * fill};
      add_ring(canvas, view, &zone->outline);
      pc_canvas_clip(canvas);
      pc_canvas_box(canvas, full, &fill_look);
      pc_canvas_unclip(canvas);
      pc_canvas_note(canvas, PC_DRAWN_FILL, full, zone->name.text);
    }
    add_shape(canvas, view, &zone->outline, zone->at, 0);
    pc_look outline = zone_look;
    outline.fill = PC_INK_NONE;
    pc_canvas_paint(canvas, &outline);
    pc_canvas_note(canvas, PC_DRAWN_ZONE, box, zone->name.text);
  }
}

/* ---- machines ---- */

bool pc_map_is_moment(const pc_map_content *content) {
  return content->rows && isfinite(content->at_s);
}

static pc_point machine_at(const pc_map_content *content, size_t machine) {
  const pc_trace_row *now = NULL; /* what it began last: rows of a machine are in order of their start */
  for (size_t i = 0; i < content->row_count && pc_map_is_moment(content); i++)
    if (content->rows[i].machine == machine &&
        pc_lot_clock_s(content->lot, content->rows[i].start_s) <= content->at_s)
      now = &content->rows[i];
  if (!now)
    return content->lot->machines[machine].start;
  double start_s = pc_lot_clock_s(content->lot, now->start_s);
  double span_s = pc_lot_clock_s(content->lot, now->end_s) - start_s;
  double share = span_s > 0 ? fmin(1, (content->at_s - start_s) / span_s) : 1;
  return (pc_point){now->from.x_m + share * (now->to.x_m - now->from.x_m),
                    now->from.y_m + share * (now->to.y_m - now->from.y_m)};
}

static const double left_dot = 3.2; /* points across: where a machine has started */

static void put_dot(pc_canvas *canvas, const pc_map_view *view, pc_point at, bool left, pc_drawn_kind kind,
                    const char *name) {
  double x = pc_map_x(view, at), y = pc_map_y(view, at), radius = (left ? left_dot : PC_MACHINE_DOT) / 2;
  pc_rect box = {x - radius, y - radius, 2 * radius, 2 * radius};
  pc_canvas_dot(canvas, x, y, radius, left ? &left_look : &machine_look);
  pc_canvas_note(canvas, kind, box, name);
  pc_canvas_note(canvas, PC_DRAWN_MARK, box, NULL);
}

size_t pc_map_machines_at(const pc_map_content *content, pc_crew_start places[PC_MACHINES_MAX]) {
  const pc_lot *lot = content->lot;
  if (!lot)
    return pc_crew_starts(content->scenario, places);
  for (size_t m = 0; m < lot->machine_count; m++)
    places[m] = (pc_crew_start){lot->machines[m].name, machine_at(content, m)};
  return lot->machine_count;
}

/* All machines, or only one; at a moment with small marks where they started. */
static void draw_machines(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                          size_t only) {
  const pc_lot *lot = content->lot;
  bool moment = pc_map_is_moment(content);
  pc_crew_start places[PC_MACHINES_MAX];
  size_t count = pc_map_machines_at(content, places);
  for (size_t m = 0; m < count && moment; m++)
    if (only == PC_MAP_ALL || m == only)
      put_dot(canvas, view, lot->machines[m].start, true, PC_DRAWN_START, places[m].name.text);
  for (size_t m = 0; m < count; m++)
    if (only == PC_MAP_ALL || m == only)
      put_dot(canvas, view, places[m].at, false, moment ? PC_DRAWN_MACHINE : PC_DRAWN_START,
              places[m].name.text);
}

/* ---- fuel ---- */

static void put_diamond(pc_canvas *canvas, double x, double y, const pc_look *look) {
  const double half = PC_FUEL_MARK / 2;
  pc_canvas_move(canvas, x, y - half);
  pc_canvas_line(canvas, x + half, y);
  pc_canvas_line(canvas, x, y + half);
  pc_canvas_line(canvas, x - half, y);
  pc_canvas_close(canvas);
  pc_canvas_paint(canvas, look);
}

static void draw_fuel(pc_canvas *canvas, const pc_map_view *view, const pc_scenario *scenario) {
  if (!scenario->has_fuel_point)
    return;
  pc_rect box = pc_map_fuel_box(view, scenario);
  put_diamond(canvas, box.x + box.width / 2, box.y + box.height / 2, &fuel_look);
  pc_canvas_note(canvas, PC_DRAWN_FUEL, box, NULL);
  pc_canvas_note(canvas, PC_DRAWN_MARK, box, NULL);
}

/* Poles are small, and hurt whoever does not see them: labels keep off them. Among very many no label would
 * find a place. */
static void mark_poles(pc_canvas *canvas, const pc_map_view *view, const pc_site *site) {
  enum { POLES_MOST = 60 };
  static const double least = 2; /* points around the middle */
  size_t poles = 0;
  for (size_t i = 0; i < site->obstacle_count; i++)
    poles += site->obstacles[i].outline.count == 0;
  for (size_t i = 0; i < site->obstacle_count && poles <= POLES_MOST; i++) {
    const pc_obstacle *o = &site->obstacles[i];
    double half = fmax(least, o->radius_m * view->scale);
    if (o->outline.count == 0)
      pc_canvas_note(
          canvas, PC_DRAWN_MARK,
          (pc_rect){pc_map_x(view, o->at) - half, pc_map_y(view, o->at) - half, 2 * half, 2 * half}, NULL);
  }
}

void pc_map_draw_parts(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                       const pc_map_parts *parts) {
  bool named = parts->labels == PC_MAP_NAMES, has_lot = content->lot != NULL;
  pc_canvas_rectangle(canvas, view->frame);
  pc_canvas_clip(canvas);
  draw_site(canvas, view, content->scenario);
  if (parts->below)
    parts->below(canvas, view, parts->brief, parts->machine);
  if (content->ground_kg || parts->brief)
    pc_map_small(canvas, view, content);
  if (content->ground_kg)
    pc_map_snow(canvas, view, content);
  if (content->lanes)
    pc_map_lanes(canvas, view, content->lot);
  draw_closed(canvas, view, content, parts->machine);
  draw_things(canvas, view, &content->scenario->site);
  if (has_lot)
    draw_zones(canvas, view, content);
  if (content->rows && !content->no_ways)
    pc_map_ways(canvas, view, content);
  if (content->rows && content->flows)
    pc_map_flows(canvas, view, content);
  if (named)
    draw_fuel(canvas, view, content->scenario);
  if (named)
    draw_machines(canvas, view, content, parts->machine);
  mark_poles(canvas, view, &content->scenario->site);
  pc_map_scale(canvas, view, parts->units);
  if (content->siting && named)
    pc_map_cautions(canvas, view, content->siting);
  /* what matters most gets its place first */
  pc_map_keep_clear_labels(canvas, view, &content->scenario->site);
  if (parts->above)
    parts->above(canvas, view, parts->brief, parts->machine);
  if (has_lot)
    pc_map_zone_labels(canvas, view, content, parts->labels, parts->units);
  if (content->rows && content->flows)
    pc_map_flow_labels(canvas, view, content);
  if (named)
    pc_map_machine_labels(canvas, view, content, parts->machine);
  if (named)
    pc_map_fuel_label(canvas, view, content->scenario);
  if (named)
    pc_map_names(canvas, view, &content->scenario->site);
  pc_canvas_unclip(canvas);
  pc_canvas_box(canvas, view->frame, &(pc_look){.line = PC_INK_LINE, .width = 0.5});
  pc_canvas_note(canvas, PC_DRAWN_FRAME, view->frame, has_lot ? content->lot->layout.text : NULL);
}

void pc_map_draw(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                 pc_map_labels labels, pc_unit_system units) {
  pc_map_draw_parts(canvas, view, content,
                    &(pc_map_parts){.labels = labels, .units = units, .machine = PC_MAP_ALL});
}

/* ---- the legend ---- */

static void legend_row(pc_column *column, const pc_look *look, const char *words) {
  enum { SWATCH = 16 };
  double y = column->y;
  if (!pc_column_add(column, &pc_type_small, SWATCH + 6, words))
    return;
  if (look == &machine_look || look == &left_look || look == &obstacle_looks[PC_OBSTACLE_POLE]) {
    double radius = (look == &left_look ? left_dot : PC_MACHINE_DOT) / 2;
    pc_canvas_dot(column->canvas, column->frame.x + SWATCH / 2.0, (y + column->y) / 2, radius, look);
    return;
  }
  if (look == &fuel_look) {
    put_diamond(column->canvas, column->frame.x + SWATCH / 2.0, (y + column->y) / 2, look);
    return;
  }
  pc_canvas_box(column->canvas, (pc_rect){column->frame.x + 1, y + 1, SWATCH - 2, column->y - y - 2.5}, look);
}

void pc_legend_site(pc_column *column, const pc_scenario *scenario) {
  static const char *const names[PC_OBSTACLE_KIND_COUNT] = {
      [PC_OBSTACLE_BUILDING] = "building", [PC_OBSTACLE_ISLAND] = "island",
      [PC_OBSTACLE_POLE] = "pole",         [PC_OBSTACLE_PARKED] = "parked vehicles",
      [PC_OBSTACLE_FENCE] = "fence",       [PC_OBSTACLE_OLD_PILE] = "old pile"};
  const pc_site *site = &scenario->site;
  legend_row(column, &area_look, "to be cleared");
  if (site->ground_count > 0)
    legend_row(column, &ground_look, "other pavement");
  if (pc_site_is_limited(site))
    legend_row(column, &closed_look, "not open to all loaders");
  if (scenario->zone_count > 0) {
    legend_row(column, &zone_look, "pile zone, with its number");
    legend_row(column, &fill_look, "how full it is");
  }
  for (int kind = 0; kind < PC_OBSTACLE_KIND_COUNT; kind++) {
    bool any = false;
    for (size_t i = 0; i < site->obstacle_count; i++)
      any |= site->obstacles[i].kind == kind;
    if (any)
      legend_row(column, &obstacle_looks[kind], names[kind]);
  }
  if (site->passage_count > 0)
    legend_row(column, &passage_look, "narrow passage");
  if (site->keep_clear_count > 0) {
    static const char *const kinds[PC_KEEP_KIND_COUNT] = {
        [PC_KEEP_HYDRANT] = "hydrant",      [PC_KEEP_DRAIN] = "drain",
        [PC_KEEP_DOOR] = "entrance",        [PC_KEEP_ACCESSIBLE] = "accessible stalls",
        [PC_KEEP_SIGHT] = "sight triangle", [PC_KEEP_NO_PILES] = "no piles"};
    pc_text words = {0};
    pc_text_add(&words, "keep clear:");
    bool before = false;
    for (int kind = 0; kind < PC_KEEP_KIND_COUNT; kind++) {
      bool any = false;
      for (size_t i = 0; i < site->keep_clear_count; i++)
        any |= site->keep_clear[i].kind == kind;
      if (any)
        pc_text_addf(&words, "%s %s %s", before ? "," : "", pc_keep_clear_letter(kind), kinds[kind]);
      before |= any;
    }
    legend_row(column, &keep_look, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
  }
}

void pc_legend_machines(pc_column *column, const pc_map_content *content) {
  if (content->scenario->has_fuel_point)
    legend_row(column, &fuel_look, "fuel: where machines refuel");
  bool moment = pc_map_is_moment(content);
  pc_crew_start places[PC_MACHINES_MAX];
  if (pc_map_machines_at(content, places) == 0)
    return;
  if (moment)
    legend_row(column, &machine_look, "a machine at that time");
  legend_row(column, moment ? &left_look : &machine_look,
             moment ? "where a machine started" : "where a machine starts");
}

void pc_legend_snow(pc_column *column, const pc_map_content *content, pc_unit_system units) {
  double limits_m[PC_SNOW_INKS];
  int count = pc_snow_classes(content->lot, limits_m);
  for (int i = 0; i < count; i++) {
    pc_look look = {.fill = (pc_ink)(PC_INK_SNOW_1 + i), .line = PC_INK_LINE, .width = 0.4};
    pc_text words = {0};
    pc_text_addf(&words, "%s%s", i + 1 < count ? "" : "over ",
                 pc_show(limits_m[i], PC_DIM_LENGTH, units, 2).text);
    if (i + 1 < count)
      pc_text_addf(&words, " to %s", pc_show(limits_m[i + 1], PC_DIM_LENGTH, units, 2).text);
    pc_text_add(&words, " of snow");
    legend_row(column, &look, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
  }
  if (pc_map_has_small(content->lot)) {
    pc_look look = pc_small_look;
    look.width = 0.4;
    legend_row(column, &look, "left with its snow for a smaller machine");
  }
}

void pc_legend_ways(pc_column *column) {
  static const pc_phase shown[] = {PC_PHASE_FILL, PC_PHASE_CLEAN_UP, PC_PHASE_CARRY, PC_PHASE_RETURN};
  for (size_t i = 0; i < sizeof shown / sizeof shown[0]; i++) {
    const pc_phase_look *look = pc_phase_look_of(shown[i]);
    double y = column->y;
    if (pc_column_add(column, &pc_type_small, 22, look->words))
      pc_canvas_stroke(column->canvas, column->frame.x + 1, (y + column->y) / 2, column->frame.x + 17,
                       (y + column->y) / 2, &look->way);
  }
}
