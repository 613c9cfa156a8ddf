// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/slow.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

static const double square_m = 0.5;
static const double sample_m = 2.0; /* along a leg */
static const double squares_max = 1e8;

struct pc_slow {
  double x0_m, y0_m;
  size_t columns, rows;
  unsigned char *slow;
};

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
  double columns = ceil((all.x1 - all.x0) / square_m), rows = ceil((all.y1 - all.y0) / square_m);
  pc_status status = count > 0 && !(columns * rows <= squares_max) ? PC_ERR_LIMIT : PC_OK;
  pc_slow *slow = status == PC_OK && count > 0 ? pc_alloc(1, sizeof *slow) : NULL;
  if (slow) {
    *slow = (pc_slow){all.x0, all.y0, (size_t)columns, (size_t)rows, NULL};
    slow->slow = pc_alloc(slow->columns * slow->rows, 1);
  }
  if (status == PC_OK && count > 0 && (!slow || !slow->slow))
    status = PC_ERR_MEMORY;
  for (size_t i = 0; i < count && status == PC_OK; i++)
    mark(slow, &things[i], near->distance_m);
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
  free(slow);
}

bool pc_slow_at(const pc_slow *slow, pc_point place) {
  double i = (place.x_m - slow->x0_m) / square_m, j = (place.y_m - slow->y0_m) / square_m;
  return i >= 0.0 && j >= 0.0 && i < (double)slow->columns && j < (double)slow->rows &&
         slow->slow[(size_t)j * slow->columns + (size_t)i];
}

double pc_slow_length_m(const pc_slow *slow, pc_point from, pc_point to) {
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m, length = sqrt(dx * dx + dy * dy);
  int steps = (int)ceil(length / sample_m), slow_steps = 0;
  for (int k = 0; k < steps; k++) {
    double share = (k + 0.5) / steps;
    slow_steps += pc_slow_at(slow, (pc_point){from.x_m + share * dx, from.y_m + share * dy});
  }
  return steps > 0 ? length * slow_steps / steps : 0.0;
}
