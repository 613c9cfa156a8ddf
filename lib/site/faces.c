// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/faces.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

static const double step_m = 0.5;     /* how finely an outline is looked at */
static const double outside_m = 0.05; /* how far outside of it a machine must find room */

void pc_faces_free(pc_faces *faces) {
  free(faces->items);
  free(faces->first);
  free(faces->depth_m);
  memset(faces, 0, sizeof *faces);
}

typedef struct builder {
  pc_faces *faces;
  size_t count, room;
  bool (*open)(const void *context, pc_point place);
  const void *context;
} builder;

static pc_status add_face(builder *made, pc_point a, pc_point b) {
  void *items = made->faces->items;
  if (pc_reserve(&items, &made->room, made->count + 1, sizeof *made->faces->items) != 0)
    return PC_ERR_MEMORY;
  made->faces->items = items;
  made->faces->items[made->count++] = (pc_face){a, b};
  return PC_OK;
}

/* The open stretches of one edge; `out` is the unit vector away from the zone. */
static pc_status add_edge(builder *made, pc_point a, pc_point b, double turning) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, length = hypot(dx, dy);
  if (!(length > 0.0))
    return PC_OK;
  pc_point out = {turning * dy / length * outside_m, -turning * dx / length * outside_m};
  int steps = (int)fmin(ceil(length / step_m), 20000.0), from = -1;
  for (int i = 0; i <= steps; i++) {
    double middle = (i + 0.5) / steps;
    pc_point place = {a.x_m + middle * dx + out.x_m, a.y_m + middle * dy + out.y_m};
    bool open = i < steps && made->open(made->context, place);
    if (open && from < 0)
      from = i;
    if (open || from < 0)
      continue;
    double s = (double)from / steps, t = (double)i / steps;
    pc_status status = add_face(made, (pc_point){a.x_m + s * dx, a.y_m + s * dy},
                                (pc_point){a.x_m + t * dx, a.y_m + t * dy});
    if (status != PC_OK)
      return status;
    from = -1;
  }
  return PC_OK;
}

static pc_status add_zone(builder *made, const pc_zone *zone, double *depth_m) {
  const pc_ring *ring = &zone->outline;
  size_t before = made->count;
  *depth_m = 0.0;
  if (ring->count == 0)
    return add_face(made, zone->at, zone->at);
  double area = pc_ring_area_m2(ring), length = 0.0;
  for (size_t i = 0; i < ring->count; i++) {
    pc_status status =
        add_edge(made, ring->points[i], ring->points[(i + 1) % ring->count], area > 0.0 ? 1.0 : -1.0);
    if (status != PC_OK)
      return status;
  }
  for (size_t k = before; k < made->count; k++)
    length += hypot(made->faces->items[k].b.x_m - made->faces->items[k].a.x_m,
                    made->faces->items[k].b.y_m - made->faces->items[k].a.y_m);
  if (length > 0.0)
    *depth_m = fabs(area) / length;
  return PC_OK;
}

pc_status pc_faces_make(const pc_zone *const *zones, size_t zone_count,
                        bool (*open)(const void *context, pc_point place), const void *context,
                        pc_faces *faces) {
  *faces = (pc_faces){.first = pc_alloc(zone_count + 1, sizeof *faces->first),
                      .depth_m = pc_alloc(zone_count, sizeof *faces->depth_m),
                      .zone_count = zone_count};
  builder made = {faces, 0, 0, open, context};
  pc_status status = faces->first && faces->depth_m ? PC_OK : PC_ERR_MEMORY;
  for (size_t z = 0; z < zone_count && status == PC_OK; z++) {
    faces->first[z] = made.count;
    status = add_zone(&made, zones[z], &faces->depth_m[z]);
  }
  if (status == PC_OK)
    faces->first[zone_count] = made.count;
  else
    pc_faces_free(faces);
  return status;
}

double pc_faces_nearest_m(const pc_faces *faces, size_t zone, pc_point from, pc_point *at, size_t *face) {
  double best = INFINITY;
  for (size_t k = faces->first[zone]; k < faces->first[zone + 1]; k++) {
    const pc_face *f = &faces->items[k];
    double dx = f->b.x_m - f->a.x_m, dy = f->b.y_m - f->a.y_m, squared = dx * dx + dy * dy;
    double along = squared > 0.0 ? ((from.x_m - f->a.x_m) * dx + (from.y_m - f->a.y_m) * dy) / squared : 0.0;
    along = along < 0.0 ? 0.0 : along > 1.0 ? 1.0 : along;
    double x = f->a.x_m + along * dx, y = f->a.y_m + along * dy;
    double away = (x - from.x_m) * (x - from.x_m) + (y - from.y_m) * (y - from.y_m);
    if (away < best) {
      best = away;
      *at = (pc_point){x, y};
      *face = k;
    }
  }
  return sqrt(best);
}
