// SPDX-License-Identifier: GPL-3.0-or-later
#include "random_site.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"

enum { CORNERS_MAX = 18, TRIES = 40 };
#define FULL_TURN 6.283185307179586

typedef struct box {
  double x0, y0, x1, y1;
} box;

/* The site is drafted with the area's lower left corner at the origin and edges along the axes. The notch is
 * cut out of the upper right corner; mirroring, turning and shifting come last. */
typedef struct draft {
  pc_stream stream;
  random_site_options options;
  random_lot lot;
  double width_m, height_m;
  box notch;      /* empty at the corner if the area is a rectangle */
  box zones[4];   /* a point zone's box is empty */
  pc_point *hubs; /* of the circles about the obstacles */
  double *radii;
  bool mirror_x, mirror_y;
  double turn_rad;
  pc_point shift;
} draft;

static void *must(void *memory) {
  if (!memory)
    abort();
  return memory;
}

double random_between(pc_stream *stream, double low, double high) {
  return low + (high - low) * ((double)(pc_stream_next(stream) >> 11) * 0x1p-53);
}

static size_t pick(pc_stream *stream, size_t low, size_t high) {
  return low + (size_t)(pc_stream_next(stream) % (high - low + 1));
}

static pc_point turned(pc_point p, double angle) {
  double c = cos(angle), s = sin(angle);
  return (pc_point){c * p.x_m - s * p.y_m, s * p.x_m + c * p.y_m};
}

static pc_point placed(const draft *d, pc_point p) {
  if (d->mirror_x)
    p.x_m = d->width_m - p.x_m;
  if (d->mirror_y)
    p.y_m = d->height_m - p.y_m;
  p = turned(p, d->turn_rad);
  return (pc_point){p.x_m + d->shift.x_m, p.y_m + d->shift.y_m};
}

static pc_ring placed_ring(const draft *d, const pc_point *corners, size_t count) {
  pc_ring ring = {must(pc_alloc(count, sizeof(pc_point))), count};
  for (size_t i = 0; i < count; i++)
    ring.points[i] = placed(d, corners[i]);
  return ring;
}

static pc_ring placed_box(const draft *d, box b) {
  const pc_point corners[] = {{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}};
  return placed_ring(d, corners, 4);
}

static bool overlap(box a, box b, double gap) {
  return a.x0 < b.x1 + gap && b.x0 < a.x1 + gap && a.y0 < b.y1 + gap && b.y0 < a.y1 + gap;
}

static double box_to_point(box b, pc_point p) {
  return hypot(fmax(fmax(b.x0 - p.x_m, p.x_m - b.x1), 0), fmax(fmax(b.y0 - p.y_m, p.y_m - b.y1), 0));
}

static bool has_notch(const draft *d) {
  return d->notch.x0 < d->notch.x1;
}

/* Counter-clockwise. */
static size_t area_corners(const draft *d, pc_point corners[6]) {
  const pc_point ell[] = {{0, 0},
                          {d->width_m, 0},
                          {d->width_m, d->notch.y0},
                          {d->notch.x0, d->notch.y0},
                          {d->notch.x0, d->height_m},
                          {0, d->height_m}};
  const pc_point rectangle[] = {ell[0], ell[1], {d->width_m, d->height_m}, ell[5]};
  size_t count = has_notch(d) ? 6 : 4;
  for (size_t i = 0; i < count; i++)
    corners[i] = has_notch(d) ? ell[i] : rectangle[i];
  return count;
}

static void draw_area(draft *d) {
  pc_stream *s = &d->stream;
  d->width_m = random_between(s, 40, 200);
  d->height_m = random_between(s, 30, 120);
  d->notch = (box){d->width_m, d->height_m, d->width_m, d->height_m};
  if (!d->options.rectangle_area && pick(s, 0, 2) == 0) {
    d->notch.x0 *= random_between(s, 0.4, 0.8);
    d->notch.y0 *= random_between(s, 0.4, 0.8);
  }
  d->mirror_x = pick(s, 0, 1) == 1;
  d->mirror_y = pick(s, 0, 1) == 1;
  if (pick(s, 0, 1) == 1) {
    d->turn_rad = random_between(s, -0.5 * FULL_TURN, 0.5 * FULL_TURN);
    d->shift = (pc_point){random_between(s, -500, 500), random_between(s, -500, 500)};
  }
  pc_area *area = must(pc_alloc(1, sizeof *area));
  *area = pc_area_default();
  area->name = pc_name_of("yard");
  area->heading_rad = d->turn_rad;
  pc_point corners[6];
  size_t count = area_corners(d, corners);
  area->outline = placed_ring(d, corners, count);
  d->lot.site.areas = area;
  d->lot.site.area_count = 1;
}

/* A point on an edge (depth 0), or a rectangle outside along it. */
static box box_on_edge(draft *d, bool point) {
  pc_stream *s = &d->stream;
  pc_point corners[6];
  size_t count = area_corners(d, corners), edge = pick(s, 0, count - 1);
  pc_point a = corners[edge], b = corners[(edge + 1) % count];
  double edge_m = hypot(b.x_m - a.x_m, b.y_m - a.y_m);
  double long_m = point ? 0 : fmin(random_between(s, 6, 30), 0.9 * edge_m);
  double deep_m = point ? 0 : random_between(s, 4, 12);
  double start_m = random_between(s, 0.05, 0.95) * (edge_m - long_m);
  double ux = (b.x_m - a.x_m) / edge_m, uy = (b.y_m - a.y_m) / edge_m;
  double x = a.x_m + start_m * ux, y = a.y_m + start_m * uy;
  double far_x = x + long_m * ux + deep_m * uy, far_y = y + long_m * uy - deep_m * ux;
  return (box){fmin(x, far_x), fmin(y, far_y), fmax(x, far_x), fmax(y, far_y)};
}

static box box_within(draft *d) {
  pc_stream *s = &d->stream;
  double wide = random_between(s, 4, 0.3 * d->width_m), high = random_between(s, 4, 0.3 * d->height_m);
  double x = random_between(s, 0, d->width_m - wide), y = random_between(s, 0, d->height_m - high);
  return (box){x, y, x + wide, y + high};
}

static void draw_zone(draft *d) {
  pc_stream *s = &d->stream;
  size_t kind = pick(s, 0, 3), index = d->lot.zone_count;
  bool point = kind == 0, within = kind == 1;
  box b = within ? box_within(d) : box_on_edge(d, point);
  /* A notch can be too small for a zone along its edges. */
  const box parts[] = {{0, 0, d->width_m, d->notch.y0}, {0, 0, d->notch.x0, d->height_m}};
  if (within ? overlap(b, d->notch, 0)
             : !point && (overlap(b, parts[0], -1e-9) || overlap(b, parts[1], -1e-9)))
    return;
  for (size_t i = 0; i < index; i++)
    if (overlap(b, d->zones[i], 1))
      return;
  char name[32];
  (void)snprintf(name, sizeof name, "zone %zu", index + 1);
  pc_zone *zone = &d->lot.zones[index];
  *zone = pc_zone_default();
  zone->name = pc_name_of(name);
  if (point)
    zone->at = placed(d, (pc_point){b.x0, b.y0});
  else
    zone->outline = placed_box(d, b);
  d->zones[index] = b;
  d->lot.zone_count++;
}

/* Corners on the circle of radius r, at angles that can't be far from regular: convex. */
static size_t on_circle(pc_stream *s, double r, size_t count, double unevenness, pc_point *corners) {
  for (size_t i = 0; i < count; i++) {
    double angle = ((double)i + random_between(s, 0, unevenness)) * FULL_TURN / (double)count;
    corners[i] = turned((pc_point){r, 0}, angle);
  }
  return count;
}

static size_t rectangle(pc_stream *s, double r, pc_point *corners) {
  double angle = random_between(s, 0.15, FULL_TURN / 8), x = r * cos(angle), y = r * sin(angle);
  const pc_point points[] = {{-x, -y}, {x, -y}, {x, y}, {-x, y}};
  for (size_t i = 0; i < 4; i++)
    corners[i] = points[i];
  return 4;
}

static size_t star(pc_stream *s, double r, pc_point *corners) {
  size_t count = on_circle(s, r, pick(s, 5, 9), 0.5, corners);
  for (size_t i = 0; i < count; i++) {
    double share = random_between(s, 0.3, 1);
    corners[i].x_m *= share;
    corners[i].y_m *= share;
  }
  return count;
}

/* A U: its legs of different length; with one leg as low as the floor it is an L. */
static size_t trap(pc_stream *s, double r, pc_point *corners) {
  bool ell = pick(s, 0, 1) == 1;
  double half = 0.7 * r, wall = random_between(s, 0.1, 0.6) * half, floor_y = -half + wall;
  double left = random_between(s, 0, half);
  const pc_point u[] = {{half, half},           {half - wall, half}, {half - wall, floor_y},
                        {wall - half, floor_y}, {wall - half, left}, {-half, left},
                        {-half, -half},         {half, -half}};
  const pc_point l[] = {u[0], u[1], u[2], {-half, floor_y}, u[6], u[7]};
  size_t count = ell ? 6 : 8;
  for (size_t i = 0; i < count; i++)
    corners[i] = ell ? l[i] : u[i];
  return count;
}

static size_t draw_shape(draft *d, double r, bool pole, pc_point *corners) {
  pc_stream *s = &d->stream;
  if (pole)
    return on_circle(s, r, 8, 0, corners);
  switch (pick(s, 0, d->options.convex_obstacles ? 2 : 4)) {
  case 0:
    return on_circle(s, r, pick(s, 3, 8), 0.5, corners);
  case 3:
    return star(s, r, corners);
  case 4:
    return trap(s, r, corners);
  default:
    return rectangle(s, r, corners);
  }
}

static bool has_room(const draft *d, pc_point hub, double r) {
  double gap = r + d->options.gap_m;
  if (has_notch(d) && box_to_point(d->notch, hub) < gap)
    return false;
  for (size_t i = 0; i < d->lot.zone_count; i++)
    if (box_to_point(d->zones[i], hub) < gap)
      return false;
  for (size_t i = 0; i < d->lot.site.obstacle_count; i++)
    if (hypot(hub.x_m - d->hubs[i].x_m, hub.y_m - d->hubs[i].y_m) < r + d->radii[i] + d->options.apart_m)
      return false;
  return true;
}

static void draw_obstacle(draft *d) {
  static const int kinds[] = {PC_OBSTACLE_BUILDING, PC_OBSTACLE_ISLAND, PC_OBSTACLE_PARKED};
  pc_stream *s = &d->stream;
  size_t index = d->lot.site.obstacle_count;
  bool pole = pick(s, 0, 5) == 0;
  double largest = fmin(15, 0.25 * fmin(d->width_m, d->height_m));
  double r = pole ? random_between(s, 0.15, 0.5) : random_between(s, 1, largest), gap = r + d->options.gap_m;
  if (2 * gap >= fmin(d->width_m, d->height_m))
    return;
  pc_point hub = {random_between(s, gap, d->width_m - gap), random_between(s, gap, d->height_m - gap)};
  if (!has_room(d, hub, r))
    return;
  pc_point corners[CORNERS_MAX], backwards[CORNERS_MAX];
  size_t count = draw_shape(d, r, pole, corners);
  double angle = pick(s, 0, 2) == 0 ? 0 : random_between(s, 0, FULL_TURN);
  for (size_t i = 0; i < count; i++) {
    pc_point p = turned(corners[i], angle);
    corners[i] = (pc_point){hub.x_m + p.x_m, hub.y_m + p.y_m};
    backwards[count - 1 - i] = corners[i];
  }
  char name[32];
  (void)snprintf(name, sizeof name, "obstacle %zu", index + 1);
  pc_obstacle *obstacle = &d->lot.site.obstacles[index];
  obstacle->name = pc_name_of(name);
  obstacle->kind = pole ? PC_OBSTACLE_POLE : kinds[pick(s, 0, 2)];
  obstacle->outline = placed_ring(d, pick(s, 0, 1) == 1 ? backwards : corners, count);
  d->hubs[index] = hub;
  d->radii[index] = r;
  d->lot.site.obstacle_count++;
}

random_site_options random_site_default(void) {
  return (random_site_options){.obstacles_max = 12, .apart_m = -INFINITY};
}

random_lot random_site(uint64_t seed, const random_site_options *options) {
  draft d = {.options = options ? *options : random_site_default()};
  pc_stream_start(&d.stream, seed, 0, 0, 0);
  draw_area(&d);
  size_t zones = pick(&d.stream, 1, 4);
  d.lot.zones = must(pc_alloc(zones, sizeof *d.lot.zones));
  for (size_t tries = 0; d.lot.zone_count == 0 || (d.lot.zone_count < zones && tries < TRIES); tries++)
    draw_zone(&d);
  size_t obstacles = pick(&d.stream, d.options.obstacles_min, d.options.obstacles_max);
  d.lot.site.obstacles = must(pc_alloc(obstacles, sizeof *d.lot.site.obstacles));
  d.hubs = must(pc_alloc(obstacles, sizeof *d.hubs));
  d.radii = must(pc_alloc(obstacles, sizeof *d.radii));
  for (size_t tries = 0; d.lot.site.obstacle_count < obstacles && tries < TRIES * obstacles; tries++)
    draw_obstacle(&d);
  free(d.hubs);
  free(d.radii);
  return d.lot;
}

void random_lot_free(random_lot *lot) {
  pc_site_free(&lot->site);
  for (size_t i = 0; i < lot->zone_count; i++)
    pc_zone_free(&lot->zones[i]);
  free(lot->zones);
  *lot = (random_lot){0};
}

pc_point random_free_point(pc_stream *stream, const random_lot *lot) {
  const pc_ring *area = &lot->site.areas[0].outline;
  box b = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (size_t i = 0; i < area->count; i++) {
    pc_point p = area->points[i];
    b = (box){fmin(b.x0, p.x_m), fmin(b.y0, p.y_m), fmax(b.x1, p.x_m), fmax(b.y1, p.y_m)};
  }
  for (;;) {
    pc_point p = {random_between(stream, b.x0, b.x1), random_between(stream, b.y0, b.y1)};
    bool is_free = pc_ring_contains(area, p);
    for (size_t i = 0; is_free && i < lot->site.obstacle_count; i++)
      is_free = !pc_ring_contains(&lot->site.obstacles[i].outline, p);
    if (is_free)
      return p;
  }
}

static double corner_turn(const pc_ring *ring, size_t i) {
  pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count],
           c = ring->points[(i + 2) % ring->count];
  return (b.x_m - a.x_m) * (c.y_m - b.y_m) - (b.y_m - a.y_m) * (c.x_m - b.x_m);
}

bool random_site_is_convex(const pc_ring *ring) {
  for (size_t i = 1; i < ring->count; i++)
    if (corner_turn(ring, i) * corner_turn(ring, 0) <= 0)
      return false;
  return ring->count >= 3;
}

pc_ring random_site_inflate(const pc_ring *ring, double r_m) {
  if (!random_site_is_convex(ring))
    return (pc_ring){0};
  size_t n = ring->count;
  bool reverse = corner_turn(ring, 0) < 0;
  pc_ring out = {must(pc_alloc(n, sizeof(pc_point))), n};
  for (size_t i = 0; i < n; i++) {
    size_t at = reverse ? n - 1 - i : i, step = reverse ? n - 1 : 1;
    pc_point a = ring->points[(at + n - step) % n], b = ring->points[at], c = ring->points[(at + step) % n];
    double in_m = hypot(b.x_m - a.x_m, b.y_m - a.y_m), out_m = hypot(c.x_m - b.x_m, c.y_m - b.y_m);
    /* Outward normals u and v of the two edges; the corner b + e has u·e = v·e = r. */
    double ux = (b.y_m - a.y_m) / in_m, uy = -(b.x_m - a.x_m) / in_m;
    double vx = (c.y_m - b.y_m) / out_m, vy = -(c.x_m - b.x_m) / out_m;
    double reach = r_m / (1 + ux * vx + uy * vy);
    out.points[i] = (pc_point){b.x_m + reach * (ux + vx), b.y_m + reach * (uy + vy)};
  }
  return out;
}
