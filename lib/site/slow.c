// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/slow.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

static const double square_m = 0.5;
static const double sample_m = 2.0; /* along a leg */
static const double squares_max = 1e8;

struct pc_slow {
  double x0_m, y0_m;
  size_t columns, rows;
  unsigned char *slow;
  /* Squares, in the larger of both directions, to the nearest one that is slow where this one is not, or the
   * other way round; at most ALIKE_MAX: as far as that all are alike. Beyond the raster nothing is slow. */
  unsigned char *alike;
};

enum { ALIKE_MAX = 255 };

typedef struct thing { /* an outline, or a point with a radius */
  const pc_ring *outline;
  pc_point at;
  double radius_m;
} thing;

typedef struct frame {
  double x0, y0, x1, y1;
} frame;

static frame frame_of(const thing *t, double distance_m) {
  frame f = {t->at.x_m, t->at.y_m, t->at.x_m, t->at.y_m};
  double by = distance_m + t->radius_m;
  if (t->outline->count > 0) {
    f = (frame){INFINITY, INFINITY, -INFINITY, -INFINITY};
    by = distance_m;
  }
  for (size_t i = 0; i < t->outline->count; i++) {
    f.x0 = fmin(f.x0, t->outline->points[i].x_m);
    f.x1 = fmax(f.x1, t->outline->points[i].x_m);
    f.y0 = fmin(f.y0, t->outline->points[i].y_m);
    f.y1 = fmax(f.y1, t->outline->points[i].y_m);
  }
  return (frame){f.x0 - by, f.y0 - by, f.x1 + by, f.y1 + by};
}

static size_t list_things(const pc_site *site, thing *things) {
  size_t count = 0;
  for (size_t i = 0; i < site->obstacle_count; i++)
    things[count++] =
        (thing){&site->obstacles[i].outline, site->obstacles[i].at, site->obstacles[i].radius_m};
  for (size_t i = 0; i < site->keep_clear_count; i++)
    if (site->keep_clear[i].kind == PC_KEEP_DOOR || site->keep_clear[i].kind == PC_KEEP_ACCESSIBLE)
      things[count++] =
          (thing){&site->keep_clear[i].outline, site->keep_clear[i].at, site->keep_clear[i].radius_m};
  return count;
}

static size_t square_of(double value, double low, size_t count) {
  double index = floor((value - low) / square_m);
  return index <= 0.0 ? 0 : index >= (double)count ? count - 1 : (size_t)index;
}

static void mark(pc_slow *slow, const thing *t, double distance_m) {
  frame f = frame_of(t, distance_m);
  size_t last_x = square_of(f.x1, slow->x0_m, slow->columns),
         last_y = square_of(f.y1, slow->y0_m, slow->rows);
  for (size_t j = square_of(f.y0, slow->y0_m, slow->rows); j <= last_y; j++)
    for (size_t i = square_of(f.x0, slow->x0_m, slow->columns); i <= last_x; i++) {
      pc_point middle = {slow->x0_m + ((double)i + 0.5) * square_m,
                         slow->y0_m + ((double)j + 0.5) * square_m};
      double away = t->outline->count > 0
                        ? pc_ring_distance_m(t->outline, middle, NULL)
                        : hypot(middle.x_m - t->at.x_m, middle.y_m - t->at.y_m) - t->radius_m;
      if (away <= distance_m)
        slow->slow[j * slow->columns + i] = 1;
    }
}

static inline int past(const pc_slow *slow, size_t at, size_t neighbour) {
  return slow->slow[neighbour] == slow->slow[at] ? slow->alike[neighbour] + 1 : 1;
}

static inline int least(int a, int b) {
  return a < b ? a : b;
}

/* Chessboard distance transform in two passes (Rosenfeld & Pfaltz 1968). The squares at the edge of the
 * raster are nowhere slow, and count as near to something, so that nobody asks beyond. */
static void find_alike(pc_slow *slow) {
  size_t columns = slow->columns, count = columns * slow->rows;
  memset(slow->alike, ALIKE_MAX, count);
  for (int pass = 0; pass < 2; pass++)
    for (size_t k = columns + 1; k + columns + 1 < count; k++) {
      size_t at = pass == 0 ? k : count - 1 - k, i = at % columns;
      size_t side = pass == 0 ? at - 1 : at + 1, row = pass == 0 ? at - columns : at + columns;
      if (i == 0 || i == columns - 1)
        continue;
      int found = least(least(past(slow, at, side), past(slow, at, row)),
                        least(past(slow, at, row - 1), past(slow, at, row + 1)));
      slow->alike[at] = (unsigned char)least(slow->alike[at], found);
    }
  for (size_t i = 0; i < columns; i++)
    slow->alike[i] = slow->alike[count - 1 - i] = 1;
  for (size_t j = 0; j < slow->rows; j++)
    slow->alike[j * columns] = slow->alike[(j + 1) * columns - 1] = 1;
}

pc_status pc_slow_make(const pc_site *site, const pc_near *near, pc_slow **made) {
  *made = NULL;
  if (!(near->distance_m > 0.0) || isnan(near->speed_mps))
    return PC_OK;
  thing *things = pc_alloc(site->obstacle_count + site->keep_clear_count, sizeof *things);
  if (!things)
    return PC_ERR_MEMORY;
  size_t count = list_things(site, things);
  frame all = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (size_t i = 0; i < count; i++) {
    frame f = frame_of(&things[i], near->distance_m);
    all = (frame){fmin(all.x0, f.x0), fmin(all.y0, f.y0), fmax(all.x1, f.x1), fmax(all.y1, f.y1)};
  }
  all = (frame){all.x0 - square_m, all.y0 - square_m, all.x1 + square_m, all.y1 + square_m};
  double columns = ceil((all.x1 - all.x0) / square_m) + 1, rows = ceil((all.y1 - all.y0) / square_m) + 1;
  pc_status status = count > 0 && !(columns * rows <= squares_max) ? PC_ERR_LIMIT : PC_OK;
  pc_slow *slow = status == PC_OK && count > 0 ? pc_alloc(1, sizeof *slow) : NULL;
  if (slow) {
    *slow = (pc_slow){.x0_m = all.x0, .y0_m = all.y0, .columns = (size_t)columns, .rows = (size_t)rows};
    slow->slow = pc_alloc_grid(slow->columns, slow->rows, 1);
    slow->alike = pc_alloc_grid(slow->columns, slow->rows, 1);
  }
  if (status == PC_OK && count > 0 && (!slow || !slow->slow || !slow->alike))
    status = PC_ERR_MEMORY;
  for (size_t i = 0; i < count && status == PC_OK; i++)
    mark(slow, &things[i], near->distance_m);
  if (status == PC_OK && count > 0)
    find_alike(slow);
  free(things);
  if (status == PC_OK)
    *made = slow;
  else
    pc_slow_free(slow);
  return status;
}

void pc_slow_free(pc_slow *slow) {
  if (!slow)
    return;
  free(slow->slow);
  free(slow->alike);
  free(slow);
}

/* Index of the square of a place; columns × rows outside the raster. */
static inline size_t square_at(const pc_slow *slow, double x_m, double y_m) {
  double i = (x_m - slow->x0_m) / square_m, j = (y_m - slow->y0_m) / square_m;
  bool inside = i >= 0.0 && j >= 0.0 && i < (double)slow->columns && j < (double)slow->rows;
  return inside ? (size_t)j * slow->columns + (size_t)i : slow->columns * slow->rows;
}

bool pc_slow_at(const pc_slow *slow, pc_point place) {
  size_t square = square_at(slow, place.x_m, place.y_m);
  return square < slow->columns * slow->rows && slow->slow[square];
}

/* How many samples, from one on, lie within reach of the first: at least that one, at most `most`. per_m: 1 /
 * step_m, or about. */
static inline int alike_samples(double reach_m, double step_m, double per_m, int most) {
  double guess = step_m > 0.0 ? reach_m * per_m : most; /* then to the last bit */
  int alike = guess < 1.0 ? 1 : guess < most ? (int)guess : most;
  while (alike > 1 && !((alike - 1 + 1e-6) * step_m < reach_m))
    alike--;
  while (alike < most && (alike + 1e-6) * step_m < reach_m)
    alike++;
  return alike;
}

double pc_slow_length_m(const pc_slow *slow, pc_point from, pc_point to) {
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m, length = sqrt(dx * dx + dy * dy);
  int steps = (int)ceil(length / sample_m), slow_steps = 0;
  size_t outside = slow->columns * slow->rows;
  double step_m = (fabs(dx) > fabs(dy) ? fabs(dx) : fabs(dy)) / steps; /* in the larger of both directions */
  double per_m = 1.0 / step_m;
  for (int k = 0; k < steps;) {
    double share = (k + 0.5) / steps;
    size_t square = square_at(slow, from.x_m + share * dx, from.y_m + share * dy);
    /* samples so near to this one that they are alike */
    double reach_m = square < outside ? (slow->alike[square] - 1) * square_m : 0.0;
    int alike = alike_samples(reach_m, step_m, per_m, steps - k);
    slow_steps += square < outside && slow->slow[square] ? alike : 0;
    k += alike;
  }
  return steps > 0 ? length * slow_steps / steps : 0.0;
}
