// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Cell areas are exact sums, not clipped one by one: with the outline's edges taken in turn, each adds the
 * area above it (towards higher v) where it runs one way and takes it away where it runs the other. An edge
 * is cut at the cell borders; a piece settles the cell it lies in and, through a running sum along the
 * station, all cells above. The time is that of the cells plus the cells that the outline crosses.
 */
#include "site/ground.h"

#include <float.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "site/geos.h"

static const double widest_strip_m = 0.6, narrowest_strip_m = 0.3;
/* Slack for counts that are whole but for rounding. */
static const double rounding = 1e-9;

/* ---- strip width ---- */

static double strips_in(double swath, double strip) {
  return fmin(fmax(1, floor(swath / strip + rounding)), INT_MAX);
}

/* Share of the swath covered by whole strips, for the box that comes off worst. */
static double worst_share(const double *swaths, size_t count, double strip) {
  double worst = 1;
  for (size_t i = 0; i < count; i++)
    if (swaths[i] > 0)
      worst = fmin(worst, strips_in(swaths[i], strip) * strip / swaths[i]);
  return worst;
}

/* Visits every candidate width swath / k from `low` to `high`. With want < 0: the best worst share; else the
 * widest candidate whose worst share is at least `want`. */
static double search_widths(const double *swaths, size_t count, double low, double high, double want) {
  enum { CANDIDATES_MAX = 1000 }; /* per box; only a swath of hundreds of metres has more */
  double best = 0;
  for (size_t i = 0; i < count; i++) {
    if (!(swaths[i] > 0) || !isfinite(swaths[i]))
      continue;
    double first = ceil(swaths[i] / high - rounding);
    double last = fmin(floor(swaths[i] / low + rounding), first + CANDIDATES_MAX);
    if (first > INT_MAX)
      continue; /* counting up would stand still */
    for (double k = fmax(first, 1); k <= last; k++) {
      double strip = swaths[i] / k, share = worst_share(swaths, count, strip);
      if (want < 0)
        best = fmax(best, share);
      else if (share >= want)
        best = fmax(best, strip);
    }
  }
  return best;
}

double pc_strip_width_m(const double *swaths_m, size_t count, int *strips_of) {
  double high = widest_strip_m, low = narrowest_strip_m;
  for (size_t i = 0; i < count; i++)
    if (swaths_m[i] > 0)
      high = fmin(high, swaths_m[i]);
  low = fmin(low, high);
  double share = search_widths(swaths_m, count, low, high, -1);
  double strip = share > 0 ? search_widths(swaths_m, count, low, high, share - rounding) : high;
  for (size_t i = 0; i < count; i++)
    strips_of[i] = swaths_m[i] > 0 ? (int)strips_in(swaths_m[i], strip) : 1;
  return strip;
}

/* ---- cell areas ---- */

/* A patch while its cells are filled: coordinates count from (u0, v0), in metres. */
typedef struct canvas {
  const pc_patch *patch;
  double *cells;
} canvas;

static int clamp_index(double value, int count) {
  return value < 0 ? 0 : value >= count ? count - 1 : (int)value;
}

/* A piece of an edge inside one cell. */
static void add_piece(const canvas *on, int station, int strip, double u_a, double u_b, double v_middle) {
  const pc_patch *patch = on->patch;
  double along = u_b - u_a, top = (strip + 1) * patch->strip_m;
  double *cell = &on->cells[(size_t)station * (size_t)patch->strips + (size_t)strip];
  double own = along * (top - v_middle);
  cell[0] += own;
  if (strip + 1 < patch->strips) /* what lies above, less what the running sum carries there already */
    cell[1] += along * patch->strip_m - own;
}

/* A piece of an edge inside one station: cuts it at the strips' borders. */
static void add_in_station(const canvas *on, int station, pc_point a, pc_point b) {
  const pc_patch *patch = on->patch;
  int from = clamp_index(floor(a.y_m / patch->strip_m), patch->strips);
  int to = clamp_index(floor(b.y_m / patch->strip_m), patch->strips);
  int step = to > from ? 1 : -1;
  double u = a.x_m, v = a.y_m;
  for (int strip = from; strip != to; strip += step) {
    double border = (step > 0 ? strip + 1 : strip) * patch->strip_m;
    double share = (border - a.y_m) / (b.y_m - a.y_m);
    double next = a.x_m + fmin(fmax(share, 0), 1) * (b.x_m - a.x_m);
    add_piece(on, station, strip, u, next, (v + border) / 2);
    u = next;
    v = border;
  }
  add_piece(on, station, to, u, b.x_m, (v + b.y_m) / 2);
}

static void add_edge(const canvas *on, pc_point a, pc_point b) {
  const pc_patch *patch = on->patch;
  if (a.x_m == b.x_m)
    return; /* runs across the lanes: nothing lies above it */
  int from = clamp_index(floor(a.x_m / patch->station_m), patch->stations);
  int to = clamp_index(floor(b.x_m / patch->station_m), patch->stations);
  int step = to > from ? 1 : -1;
  pc_point last = a;
  for (int station = from; station != to; station += step) {
    double border = (step > 0 ? station + 1 : station) * patch->station_m;
    double share = fmin(fmax((border - a.x_m) / (b.x_m - a.x_m), 0), 1);
    pc_point next = {border, a.y_m + share * (b.y_m - a.y_m)};
    add_in_station(on, station, last, next);
    last = next;
  }
  add_in_station(on, to, last, b);
}

static pc_status add_ring(void *context, const pc_ring *ring) {
  const canvas *on = context;
  for (size_t i = 0; i < ring->count; i++)
    add_edge(on, ring->points[i], ring->points[(i + 1) % ring->count]);
  return PC_OK;
}

/* Turns what add_edge left into areas, and takes rounding off empty and full cells. */
static double settle(const canvas *on) {
  const pc_patch *patch = on->patch;
  double full = patch->strip_m * patch->station_m, nothing = 1e-9 * fmin(1, full);
  pc_sum total = {0, 0};
  for (int i = 0; i < patch->stations; i++) {
    double *cells = &on->cells[(size_t)i * (size_t)patch->strips];
    double running = 0;
    for (int j = 0; j < patch->strips; j++) {
      running += cells[j];
      cells[j] = running < nothing ? 0 : fabs(running - full) < nothing ? full : running;
      pc_sum_add(&total, cells[j]);
    }
  }
  return pc_sum_value(&total);
}

/* ---- the grid ---- */

/* Ring in the patch's frame, counted from (u, v). */
static pc_status local_ring(const pc_patch *patch, const pc_ring *ring, double u_m, double v_m,
                            pc_ring *local) {
  *local = (pc_ring){pc_alloc(ring->count, sizeof(pc_point)), ring->count};
  if (!local->points)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < ring->count; i++) {
    pc_patch_local(patch, ring->points[i], &local->points[i].x_m, &local->points[i].y_m);
    local->points[i].x_m -= u_m;
    local->points[i].y_m -= v_m;
  }
  return PC_OK;
}

/* Frame and counts of one area. Returns false if the numbers make no grid. */
static bool frame_area(const pc_area *area, double strip_m, double station_m, pc_patch *patch) {
  double cosine = cos(area->heading_rad), sine = sin(area->heading_rad);
  /* A right angle is meant exactly: cos(π/2) is 6e-17 only because π/2 is rounded. */
  patch->cosine = fabs(cosine) < 4 * DBL_EPSILON ? 0
                  : fabs(sine) < 4 * DBL_EPSILON ? copysign(1, cosine)
                                                 : cosine;
  patch->sine = fabs(sine) < 4 * DBL_EPSILON ? 0 : fabs(cosine) < 4 * DBL_EPSILON ? copysign(1, sine) : sine;
  patch->u0_m = patch->v0_m = INFINITY;
  patch->u1_m = patch->v1_m = -INFINITY;
  for (size_t i = 0; i < area->outline.count; i++) {
    double u, v;
    pc_patch_local(patch, area->outline.points[i], &u, &v);
    patch->u0_m = fmin(patch->u0_m, u);
    patch->u1_m = fmax(patch->u1_m, u);
    patch->v0_m = fmin(patch->v0_m, v);
    patch->v1_m = fmax(patch->v1_m, v);
  }
  double length = patch->u1_m - patch->u0_m, width = patch->v1_m - patch->v0_m;
  double stations = fmax(1, ceil(length / station_m - rounding)),
         strips = fmax(1, ceil(width / strip_m - rounding));
  if (!(length > 0) || !(width > 0))
    return false;
  if (!(stations * strips <= PC_CELLS_MAX)) { /* kept as a sign for the caller: counts may not fit an int */
    patch->stations = patch->strips = INT_MAX;
    return true;
  }
  patch->stations = (int)stations;
  patch->strips = (int)strips;
  patch->station_m = length / stations;
  patch->strip_m = width / strips; /* even, so that no sliver is left at one side */
  return true;
}

static pc_status fill_patch(const pc_area *area, const pc_ring *const *holes, size_t hole_count,
                            pc_patch *patch, double *cells, pc_geos *geos) {
  pc_ring outline = {NULL, 0};
  pc_ring *taken = pc_alloc(hole_count, sizeof *taken);
  const pc_ring **views = pc_alloc(hole_count, sizeof *views);
  GEOSGeometry *shape = NULL, *gap = NULL, *rest = NULL;
  pc_status status = taken && views ? PC_OK : PC_ERR_MEMORY;
  if (status == PC_OK)
    status = local_ring(patch, &area->outline, patch->u0_m, patch->v0_m, &outline);
  for (size_t i = 0; i < hole_count && status == PC_OK; i++) {
    status = local_ring(patch, holes[i], patch->u0_m, patch->v0_m, &taken[i]);
    views[i] = &taken[i];
  }
  if (status != PC_OK)
    goto out;
  shape = pc_geos_polygon(geos, &outline);
  char valid = shape ? GEOSisValid_r(geos->handle, shape) : 2;
  status = valid == 1 ? PC_OK : valid == 0 ? PC_ERR_GEOMETRY : pc_geos_status(geos);
  if (status == PC_OK && hole_count > 0) {
    gap = pc_geos_union(geos, views, hole_count);
    rest = gap ? GEOSDifference_r(geos->handle, shape, gap) : NULL;
    status = rest ? PC_OK : pc_geos_status(geos);
  }
  canvas on = {patch, cells};
  if (status == PC_OK)
    status = pc_geos_each_ring(geos, rest ? rest : shape, add_ring, &on);
  if (status == PC_OK)
    patch->area_m2 = settle(&on);
out:
  if (shape)
    GEOSGeom_destroy_r(geos->handle, shape);
  if (gap)
    GEOSGeom_destroy_r(geos->handle, gap);
  if (rest)
    GEOSGeom_destroy_r(geos->handle, rest);
  for (size_t i = 0; taken && i < hole_count; i++)
    pc_ring_free(&taken[i]);
  free(taken);
  free(views);
  pc_ring_free(&outline);
  return status;
}

/* Frames of all areas; counts the cells. */
static pc_status frame_all(const pc_site *site, double strip_m, double station_m, pc_ground *ground,
                           pc_error *error) {
  for (size_t a = 0; a < site->area_count; a++) {
    pc_patch *patch = &ground->patches[a];
    char key[PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "site.areas[%zu].outline", a);
    if (!frame_area(&site->areas[a], strip_m, station_m, patch))
      return pc_error_set(error, PC_ERR_GEOMETRY, key, NULL, "the area has no length or no width");
    size_t cells = (size_t)patch->stations * (size_t)patch->strips;
    if (cells > PC_CELLS_MAX - ground->cell_count)
      return pc_error_set(
          error, PC_ERR_LIMIT, key, NULL,
          "the lane grid would have more than %d cells; check the coordinates' unit, or use longer stations",
          (int)PC_CELLS_MAX);
    patch->first_cell = ground->cell_count;
    ground->cell_count += cells;
  }
  return PC_OK;
}

static pc_status fill_all(const pc_site *site, const pc_ring *const *holes, size_t hole_count,
                          pc_ground *ground, pc_error *error) {
  pc_geos geos;
  pc_status status = pc_geos_start(&geos) ? PC_OK : PC_ERR_MEMORY;
  if (status != PC_OK)
    (void)pc_error_set(error, status, "site.areas", NULL, "out of memory");
  for (size_t a = 0; a < site->area_count && status == PC_OK; a++) {
    pc_patch *patch = &ground->patches[a];
    status =
        fill_patch(&site->areas[a], holes, hole_count, patch, ground->cell_m2 + patch->first_cell, &geos);
    if (status == PC_OK)
      continue;
    char key[PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "site.areas[%zu].outline", a);
    const char *why = geos.message[0]           ? geos.message
                      : status == PC_ERR_MEMORY ? "out of memory"
                                                : "the outline crosses or touches itself";
    (void)pc_error_set(error, status, key, NULL, "area \"%.63s\" could not be cut into cells: %s",
                       site->areas[a].name.text, why);
  }
  pc_geos_stop(&geos);
  return status;
}

pc_status pc_ground_create(const pc_site *site, const pc_ring *const *holes, size_t hole_count,
                           double strip_m, double station_m, pc_ground **ground, pc_error *error) {
  *ground = NULL;
  if (!(strip_m > 0) || !(station_m > 0) || !isfinite(strip_m) || !isfinite(station_m))
    return pc_error_set(error, PC_ERR_RANGE, "station", NULL, "strips and stations must be longer than 0");
  pc_ground *made = pc_alloc(1, sizeof *made);
  pc_status status = PC_ERR_MEMORY;
  if (!made)
    goto out;
  made->patches = pc_alloc(site->area_count, sizeof *made->patches);
  if (!made->patches)
    goto out;
  made->patch_count = site->area_count;
  status = frame_all(site, strip_m, station_m, made, error);
  if (status != PC_OK)
    goto out;
  made->cell_m2 = pc_alloc(made->cell_count, sizeof *made->cell_m2);
  status = made->cell_m2 ? fill_all(site, holes, hole_count, made, error) : PC_ERR_MEMORY;
out:
  if (status == PC_ERR_MEMORY)
    (void)pc_error_set(error, status, "site.areas", NULL, "out of memory for the lane grid");
  if (status == PC_OK)
    *ground = made;
  else
    pc_ground_free(made);
  return status;
}

void pc_ground_free(pc_ground *ground) {
  if (!ground)
    return;
  free(ground->patches);
  free(ground->cell_m2);
  free(ground);
}

int pc_ground_find(const pc_ground *ground, pc_point point) {
  int found = -1;
  double best = 0;
  /* Where the border cells of two areas overlap, the area that fills more of its cell has the better claim.
   */
  for (size_t p = 0; p < ground->patch_count; p++) {
    const pc_patch *patch = &ground->patches[p];
    double u, v;
    pc_patch_local(patch, point, &u, &v);
    double slack = rounding * (1 + patch->u1_m - patch->u0_m + patch->v1_m - patch->v0_m);
    if (!(u >= patch->u0_m - slack && u <= patch->u1_m + slack && v >= patch->v0_m - slack &&
          v <= patch->v1_m + slack))
      continue;
    int station = clamp_index((u - patch->u0_m) / patch->station_m, patch->stations);
    int strip = clamp_index((v - patch->v0_m) / patch->strip_m, patch->strips);
    double share =
        ground->cell_m2[pc_patch_cell(patch, station, strip)] / (patch->station_m * patch->strip_m);
    if (share > best) {
      best = share;
      found = (int)p;
    }
  }
  return found;
}
