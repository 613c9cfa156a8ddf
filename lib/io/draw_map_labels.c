// SPDX-License-Identifier: GPL-3.0-or-later
/* Words and marks on a map: each finds a free place, or is left to the list beside the map. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/draw.h"
#include "io/tables_private.h"
#include "io/utf8.h"

/* More letters or names than that can not be read on one page. The things themselves are drawn all the same.
 */
enum { LABELS_MOST = 250 };
enum { NAME_MOST = 22 }; /* letters of the name of a zone or machine */

static const pc_type name_type = {.size = 6.5, .plate = true, .lines = 1, .side = PC_CENTRE};
static const pc_type zone_type = {.size = 7, .bold = true, .plate = true, .side = PC_CENTRE};
static const pc_type keep_type = {
    .size = 6.5, .bold = true, .plate = true, .ink = PC_INK_WHITE, .on = PC_INK_BLACK, .side = PC_CENTRE};
static const pc_type machine_type = {
    .size = 6.5, .plate = true, .ink = PC_INK_WHITE, .on = PC_INK_BLUE, .lines = 1, .side = PC_CENTRE};
static const pc_type caution_type = {
    .size = 7.5, .bold = true, .plate = true, .ink = PC_INK_BLACK, .on = PC_INK_YELLOW, .side = PC_CENTRE};

/* The middle of an outline: its centroid, or one that lies within it if that does not. */
static pc_point middle_of(const pc_ring *ring, pc_point at) {
  if (ring->count == 0)
    return at;
  pc_point middle = pc_ring_centroid(ring);
  return pc_ring_contains(ring, middle) ? middle : ring->points[0];
}

static pc_rect box_of(const pc_map_view *view, const pc_ring *ring, pc_point at) {
  double low_x = pc_map_x(view, at), high_x = low_x, low_y = pc_map_y(view, at), high_y = low_y;
  for (size_t i = 0; i < ring->count; i++) {
    double x = pc_map_x(view, ring->points[i]), y = pc_map_y(view, ring->points[i]);
    low_x = i == 0 ? x : fmin(low_x, x);
    high_x = i == 0 ? x : fmax(high_x, x);
    low_y = i == 0 ? y : fmin(low_y, y);
    high_y = i == 0 ? y : fmax(high_y, y);
  }
  return (pc_rect){low_x, low_y, high_x - low_x, high_y - low_y};
}

enum { WORDS_WIDE = 90 }; /* about as wide as "425 of 1329 m³ (32 %)" */

/* Whether there is room for a label on a zone, beside how full it is; else labels keep off it. */
static bool is_large(pc_rect box, pc_map_labels labels) {
  return labels == PC_MAP_NAMES ? box.width >= 62 && box.height >= 20 : box.width >= 16 && box.height >= 13;
}

static void add_zone_words(pc_text *words, const pc_map_content *content, size_t z, double across,
                           pc_unit_system units) {
  double fill = pc_zone_fill(content, z);
  pc_utf8_add_short(words, content->lot->zones[z].name.text, NAME_MOST); /* all of it stands in the list */
  pc_text_add(words, PC_LINE_BREAK);
  if (across >= WORDS_WIDE || !isfinite(fill))
    pc_zone_words(content, z, units, words);
  else /* all of it would hide the zone, and stands beside the map */
    pc_text_addf(words, "%s full", pc_show_percent(fill, 0).text);
}

void pc_map_zone_labels(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                        pc_map_labels labels, pc_unit_system units) {
  double width = fmin(110, view->frame.width / 3);
  const pc_lot *lot = content->lot;
  for (size_t z = 0; z < lot->zone_count; z++) {
    pc_rect box = box_of(view, &lot->zones[z].outline, lot->zones[z].at);
    if (!is_large(box, labels))
      pc_canvas_note(canvas, PC_DRAWN_MARK, box, NULL);
  }
  for (size_t z = 0; z < lot->zone_count; z++) {
    const pc_zone *zone = &lot->zones[z];
    pc_rect box = box_of(view, &zone->outline, zone->at);
    pc_point middle = middle_of(&zone->outline, zone->at);
    double x = pc_map_x(view, middle), y = pc_map_y(view, middle);
    pc_text words = {0};
    char number[24];
    snprintf(number, sizeof number, "%zu", pc_zone_number(content->scenario, lot, z));
    pc_text_addf(&words, "%s ", number);
    add_zone_words(&words, content, z, box.width, units);
    bool large = is_large(box, labels), done = labels == PC_MAP_NUMBERS || !words.data;
    for (int few = done; few < 2; few++) { /* at least the number */
      const char *text = few ? number : words.data;
      done = large ? pc_canvas_label(canvas, view->frame, x, y, width, &zone_type, text)
                   : pc_canvas_label_beside(canvas, view->frame, box, width, &zone_type, text);
      if (done)
        break;
    }
    pc_text_free(&words);
  }
}

const char *pc_keep_clear_letter(int kind) {
  static const char *const letters[PC_KEEP_KIND_COUNT] = {
      [PC_KEEP_HYDRANT] = "H",    [PC_KEEP_DRAIN] = "D", [PC_KEEP_DOOR] = "E",
      [PC_KEEP_ACCESSIBLE] = "A", [PC_KEEP_SIGHT] = "S", [PC_KEEP_NO_PILES] = "X"};
  return letters[kind];
}

void pc_map_keep_clear_labels(pc_canvas *canvas, const pc_map_view *view, const pc_site *site) {
  for (size_t i = 0; i < site->keep_clear_count && i < LABELS_MOST; i++) {
    const pc_keep_clear *thing = &site->keep_clear[i];
    pc_point middle = middle_of(&thing->outline, thing->at);
    (void)pc_canvas_label(canvas, view->frame, pc_map_x(view, middle), pc_map_y(view, middle), 20, &keep_type,
                          pc_keep_clear_letter(thing->kind));
  }
}

/* Nearer than this to the dot of a pole a name reads as the pole's: beside it, and above or below. */
static const double pole_beside = 18, pole_above = 11;

static bool is_by_a_pole(const pc_map_view *view, const pc_site *site, pc_rect box) {
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *thing = &site->obstacles[i];
    double radius = thing->radius_m * view->scale;
    if (thing->outline.count == 0 &&
        fabs(box.x + box.width / 2 - pc_map_x(view, thing->at)) < box.width / 2 + radius + pole_beside &&
        fabs(box.y + box.height / 2 - pc_map_y(view, thing->at)) < box.height / 2 + radius + pole_above)
      return true;
  }
  return false;
}

/* Whether the line between two places of the page runs through the box. */
static bool runs_through(pc_rect box, double x0, double y0, double x1, double y1) {
  const double from[2] = {x0, y0}, by[2] = {x1 - x0, y1 - y0}, low[2] = {box.x, box.y},
               high[2] = {box.x + box.width, box.y + box.height};
  double begin = 0, end = 1;
  for (int k = 0; k < 2; k++) {
    double a = (low[k] - from[k]) / by[k], b = (high[k] - from[k]) / by[k];
    if (by[k] != 0) {
      begin = fmax(begin, fmin(a, b));
      end = fmin(end, fmax(a, b));
    } else if (from[k] < low[k] || from[k] > high[k])
      return false;
  }
  return begin <= end;
}

/* Whether the box, around the place, lies on something with an outline: a name there reads as that thing's.
 */
static bool is_on_a_thing(const pc_map_view *view, const pc_site *site, pc_point at, pc_rect box) {
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_ring *ring = &site->obstacles[i].outline;
    for (size_t k = 0; k < ring->count; k++) {
      pc_point a = ring->points[k], b = ring->points[k + 1 < ring->count ? k + 1 : 0];
      if (runs_through(box, pc_map_x(view, a), pc_map_y(view, a), pc_map_x(view, b), pc_map_y(view, b)))
        return true;
    }
    if (ring->count > 0 && pc_ring_contains(ring, at))
      return true;
  }
  return false;
}

/* Whether the box, around the place, lies on the outline with all its corners. */
static bool lies_on(const pc_map_view *view, const pc_ring *ring, pc_point at, pc_rect box) {
  double x_m = box.width / 2 / view->scale, y_m = box.height / 2 / view->scale;
  for (int i = 0; i < 4; i++)
    if (!pc_ring_contains(ring, (pc_point){at.x_m + (i & 1 ? x_m : -x_m), at.y_m + (i & 2 ? y_m : -y_m)}))
      return false;
  return true;
}

bool pc_map_has_room(const pc_canvas *canvas, const pc_map_view *view, const pc_site *site,
                     const pc_ring *ring, pc_point at, pc_rect size) {
  pc_rect box = {pc_map_x(view, at) - size.width / 2, pc_map_y(view, at) - size.height / 2, size.width,
                 size.height};
  return lies_on(view, ring, at, box) && pc_canvas_is_free(canvas, box) &&
         !is_on_a_thing(view, site, at, box);
}

/* Where the name of an area stands: in its middle, or as near to that as it is off what stands there and off
 * other labels. */
static pc_point name_place(pc_canvas *canvas, const pc_map_view *view, const pc_site *site,
                           const pc_area *area, double width) {
  enum { STEPS = 20, CORNERS_MOST = 1000 };
  const pc_ring *ring = &area->outline;
  pc_point middle = middle_of(ring, (pc_point){0, 0}), best = middle;
  pc_rect size = pc_canvas_measure(canvas, (pc_rect){0, 0, width, INFINITY}, &name_type, area->name.text);
  pc_rect all = box_of(view, ring, middle), box = {.width = size.width, .height = size.height};
  double least = INFINITY;
  for (int i = 0; i <= STEPS * STEPS && least > 0; i++) { /* the middle first, then all over it */
    int row = (i - 1) / STEPS, column = (i - 1) % STEPS;
    double x = all.x + (column + 0.5) / STEPS * all.width, y = all.y + (row + 0.5) / STEPS * all.height;
    pc_point at = i == 0 ? middle
                         : (pc_point){middle.x_m + (x - pc_map_x(view, middle)) / view->scale,
                                      middle.y_m - (y - pc_map_y(view, middle)) / view->scale};
    double off = hypot(at.x_m - middle.x_m, at.y_m - middle.y_m);
    box.x = pc_map_x(view, at) - box.width / 2;
    box.y = pc_map_y(view, at) - box.height / 2;
    if (i > 0 && ring->count > CORNERS_MOST)
      break;
    if (off >= least || is_by_a_pole(view, site, box) || !pc_canvas_is_free(canvas, box) ||
        (i > 0 && !lies_on(view, ring, at, box)) || is_on_a_thing(view, site, at, box))
      continue;
    least = off;
    best = at;
  }
  return best;
}

void pc_map_names(pc_canvas *canvas, const pc_map_view *view, const pc_site *site) {
  enum { LEAST_WIDTH = 24 }; /* of an outline whose name stands on it */
  for (size_t i = 0; i < site->area_count; i++) {
    pc_point middle = middle_of(&site->areas[i].outline, (pc_point){0, 0});
    double width = fmax(60, box_of(view, &site->areas[i].outline, middle).width - 4);
    middle = name_place(canvas, view, site, &site->areas[i], width);
    (void)pc_canvas_label(canvas, view->frame, pc_map_x(view, middle), pc_map_y(view, middle), width,
                          &name_type, site->areas[i].name.text);
  }
  for (size_t i = 0, named_count = 0; i < site->obstacle_count && named_count < LABELS_MOST; i++) {
    const pc_obstacle *thing = &site->obstacles[i];
    pc_point middle = middle_of(&thing->outline, thing->at);
    double width = box_of(view, &thing->outline, thing->at).width;
    bool named = thing->kind == PC_OBSTACLE_BUILDING || thing->kind == PC_OBSTACLE_ISLAND;
    named_count += named && width >= LEAST_WIDTH;
    if (named && width >= LEAST_WIDTH)
      (void)pc_canvas_label(canvas, view->frame, pc_map_x(view, middle), pc_map_y(view, middle),
                            fmax(width, 60), &name_type, thing->name.text);
  }
}

/* Where the machines are, and so their dots, lie on each other. */
static bool is_same(const pc_map_view *view, pc_point a, pc_point b) {
  return hypot(a.x_m - b.x_m, a.y_m - b.y_m) * view->scale < 4;
}

/* Of a long name the number at its end is kept: it tells machines of a kind apart. */
static void add_machine_name(pc_text *words, const char *name) {
  enum { NUMBER_MOST = 4 }; /* with the blank before it */
  const char *end = strrchr(name, ' ');
  size_t kept = end ? strlen(end) : 0;
  if (kept > NUMBER_MOST || kept != 1 + strspn(end ? end + 1 : "", "0123456789"))
    kept = 0;
  pc_text head = {0};
  pc_text_add_bytes(&head, name, strlen(name) - kept);
  pc_utf8_add_short(words, head.data ? head.data : "", NAME_MOST - kept);
  pc_text_add(words, name + strlen(name) - kept);
  words->failed |= head.failed;
  pc_text_free(&head);
}

/* Beside its dot; beside the zone in which that is, if the zone is too small for a line over it. */
static void put_machine_label(pc_canvas *canvas, const pc_map_view *view, const pc_lot *lot, pc_point at,
                              const pc_type *type, const char *words) {
  enum { WIDTH = 150 };
  const double half = PC_MACHINE_DOT / 2;
  pc_rect dot = {pc_map_x(view, at) - half, pc_map_y(view, at) - half, 2 * half, 2 * half};
  bool done = pc_canvas_label_beside(canvas, view->frame, dot, WIDTH, type, words);
  for (size_t z = 0; lot && z < lot->zone_count && !done; z++) {
    const pc_zone *zone = &lot->zones[z];
    pc_rect box = box_of(view, &zone->outline, zone->at);
    bool within = dot.x + half >= box.x && dot.x + half <= box.x + box.width && dot.y + half >= box.y &&
                  dot.y + half <= box.y + box.height;
    done = within && pc_canvas_label_beside(canvas, view->frame, box, WIDTH, type, words);
  }
}

/* Machines that start in one place share a label; at a moment it has the name of each, one a line. */
void pc_map_machine_labels(pc_canvas *canvas, const pc_map_view *view, const pc_map_content *content,
                           size_t only) {
  enum { NAMES_MOST = 4 };
  size_t names_most = pc_map_is_moment(content) ? NAMES_MOST : 1;
  pc_crew_start places[PC_MACHINES_MAX];
  size_t count = pc_map_machines_at(content, places);
  for (size_t m = 0; m < count; m++) {
    size_t named = 1, more = 0;
    bool told = only != PC_MAP_ALL && m != only;
    for (size_t k = 0; k < m && only == PC_MAP_ALL; k++)
      told |= is_same(view, places[k].at, places[m].at);
    if (told)
      continue;
    pc_text words = {0};
    add_machine_name(&words, places[m].name.text);
    for (size_t k = m + 1; k < count && only == PC_MAP_ALL; k++) {
      if (!is_same(view, places[k].at, places[m].at))
        continue;
      more += named == names_most;
      if (named < names_most) {
        pc_text_add(&words, PC_LINE_BREAK);
        add_machine_name(&words, places[k].name.text);
        named++;
      }
    }
    if (more > 0)
      pc_text_addf(&words, " and %zu more", more);
    pc_type type = machine_type;
    type.lines = (int)named;
    put_machine_label(canvas, view, content->lot, places[m].at, &type, pc_canvas_words(canvas, &words));
    pc_text_free(&words);
  }
}

pc_rect pc_map_fuel_box(const pc_map_view *view, const pc_scenario *scenario) {
  const double half = PC_FUEL_MARK / 2;
  double x = pc_map_x(view, scenario->fuel_point), y = pc_map_y(view, scenario->fuel_point);
  return (pc_rect){x - half, y - half, 2 * half, 2 * half};
}

void pc_map_fuel_label(pc_canvas *canvas, const pc_map_view *view, const pc_scenario *scenario) {
  enum { WIDTH = 30 };
  if (scenario->has_fuel_point)
    (void)pc_canvas_label_beside(canvas, view->frame, pc_map_fuel_box(view, scenario), WIDTH, &name_type,
                                 "fuel");
}

void pc_map_cautions(pc_canvas *canvas, const pc_map_view *view, const pc_siting_report *siting) {
  for (size_t i = 0; i < siting->count; i++) {
    pc_point place = siting->items[i].finding.place;
    if (!isfinite(place.x_m) || !isfinite(place.y_m))
      continue;
    char number[24];
    snprintf(number, sizeof number, "!%zu", i + 1);
    double x = pc_map_x(view, place), y = pc_map_y(view, place);
    pc_canvas_dot(canvas, x, y, 1.8, &(pc_look){.fill = PC_INK_YELLOW, .line = PC_INK_BLACK, .width = 0.8});
    pc_canvas_note(canvas, PC_DRAWN_CAUTION, (pc_rect){x - 1.8, y - 1.8, 3.6, 3.6}, number);
    (void)pc_canvas_label(canvas, view->frame, x + 8, y - 8, 30, &caution_type, number);
  }
}

/* ---- scale and north ---- */

double pc_round_length_m(double most_m, pc_unit_system units) {
  double unit_m = units == PC_US ? 0.3048 : 1, most = most_m / unit_m;
  double power = pow(10, floor(log10(most)));
  double round = most / power >= 5 ? 5 * power : most / power >= 2 ? 2 * power : power;
  return round * unit_m;
}

static void draw_bar(pc_canvas *canvas, const pc_map_view *view, pc_unit_system units) {
  double length_m = pc_round_length_m(fmin(view->frame.width / 3, 150) / view->scale, units);
  double length = length_m * view->scale;
  pc_rect bar = {view->frame.x + 34, view->frame.y + view->frame.height - 9, length, 4};
  pc_canvas_box(canvas, bar, &(pc_look){PC_INK_WHITE, PC_HATCH_NONE, PC_INK_BLACK, PC_DASH_NONE, 0.7});
  pc_canvas_box(canvas, (pc_rect){bar.x, bar.y, length / 2, bar.height}, &(pc_look){.fill = PC_INK_BLACK});
  pc_text words = {0};
  /* 500 ft, not 167 yd: the unit that the bar is round in */
  double shown = units == PC_US ? length_m / 0.3048 : length_m;
  pc_text_addf(&words, "%s %s", pc_show_number(shown, PC_DIM_NUMBER, "", shown < 1 ? 2 : 0).text,
               units == PC_US ? "ft" : "m");
  pc_canvas_text(canvas, (pc_rect){bar.x + length + 4, bar.y - 4, 70, 12}, &pc_type_small,
                 pc_canvas_words(canvas, &words));
  pc_canvas_note(canvas, PC_DRAWN_SCALE_BAR, bar, pc_canvas_words(canvas, &words));
  pc_text_free(&words);
}

void pc_map_scale(pc_canvas *canvas, const pc_map_view *view, pc_unit_system units) {
  double x = view->frame.x + 12, y = view->frame.y + view->frame.height;
  draw_bar(canvas, view, units);
  pc_canvas_move(canvas, x, y - 21);
  pc_canvas_line(canvas, x + 4, y - 4);
  pc_canvas_line(canvas, x, y - 8);
  pc_canvas_line(canvas, x - 4, y - 4);
  pc_canvas_close(canvas);
  pc_canvas_paint(canvas, &(pc_look){.fill = PC_INK_BLACK});
  pc_canvas_text(canvas, (pc_rect){x + 6, y - 19, 12, 12}, &pc_type_small, "N");
  pc_canvas_note(canvas, PC_DRAWN_NORTH, (pc_rect){x - 4, y - 21, 8, 17}, "N");
}
