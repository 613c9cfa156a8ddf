// SPDX-License-Identifier: GPL-3.0-or-later
/* Narrow passages: no more machines at once than fit. A machine that sets out books the time it will be
 * inside; if that is taken, it sets out later. Bookings are made in the order of setting out. */
#include "sim/night.h"

/* Where a leg is inside an outline: from the first to the last place, 0 … 1 along it; false if nowhere. */
static bool inside_leg(const pc_ring *ring, pc_point a, pc_point b, double *from, double *to) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
  *from = INFINITY;
  *to = -INFINITY;
  if (pc_ring_contains(ring, a))
    *from = 0.0, *to = 0.0;
  if (pc_ring_contains(ring, b)) {
    *from = pc_lesser(*from, 1.0);
    *to = 1.0;
  }
  for (size_t i = 0; i < ring->count; i++) {
    pc_point p = ring->points[i], q = ring->points[(i + 1) % ring->count];
    double ex = q.x_m - p.x_m, ey = q.y_m - p.y_m, cross = dx * ey - dy * ex;
    if (cross == 0.0)
      continue;
    double s = ((p.x_m - a.x_m) * ey - (p.y_m - a.y_m) * ex) / cross;
    double t = ((p.x_m - a.x_m) * dy - (p.y_m - a.y_m) * dx) / cross;
    if (s < 0.0 || s > 1.0 || t < 0.0 || t > 1.0)
      continue;
    *from = pc_lesser(*from, s);
    *to = pc_greater(*to, s);
  }
  return *to > *from;
}

/* One stay for each passage: from where the way first enters it to where it last leaves it. */
static size_t find_stays(const pc_world *world, const pc_point *points, int count, double length_m) {
  size_t found = 0;
  for (size_t i = 0; i < world->lot->passage_count; i++) {
    pc_stay all = {i, INFINITY, -INFINITY};
    double driven = 0.0;
    for (int k = 0; k + 1 < count; k++) {
      double dx = points[k + 1].x_m - points[k].x_m, dy = points[k + 1].y_m - points[k].y_m, from, to;
      double length = sqrt(dx * dx + dy * dy);
      if (inside_leg(&world->lot->passages[i].outline, points[k], points[k + 1], &from, &to)) {
        all.from = pc_lesser(all.from, (driven + from * length) / length_m);
        all.to = pc_greater(all.to, (driven + to * length) / length_m);
      }
      driven += length;
    }
    if (all.to > all.from)
      world->stays[found++] = all;
  }
  return found;
}

/* The earliest end of the bookings that fill the passage at a moment; 0 if there is room then. */
static double full_until_s(const pc_passage_state *passage, int machines, double time_s) {
  int inside = 0;
  double first_end = INFINITY;
  for (int k = 0; k < passage->count; k++)
    if (passage->from_s[k] <= time_s && time_s < passage->to_s[k]) {
      inside++;
      first_end = pc_lesser(first_end, passage->to_s[k]);
    }
  return inside >= machines ? first_end : 0.0;
}

/* The same for from … to: it is fullest at one of the moments when somebody enters. */
static double taken_until_s(const pc_world *world, size_t i, double from_s, double to_s) {
  const pc_passage_state *passage = &world->passages[i];
  int machines = world->lot->passages[i].machines;
  double until = full_until_s(passage, machines, from_s);
  for (int k = 0; k < passage->count && until == 0.0; k++)
    if (passage->from_s[k] > from_s && passage->from_s[k] < to_s)
      until = full_until_s(passage, machines, passage->from_s[k]);
  return until;
}

static void book(pc_world *world, size_t i, double from_s, double to_s) {
  pc_passage_state *passage = &world->passages[i];
  int kept = 0;
  for (int k = 0; k < passage->count; k++)
    if (passage->to_s[k] > world->engine.now_s) {
      passage->from_s[kept] = passage->from_s[k];
      passage->to_s[kept++] = passage->to_s[k];
    }
  passage->count = kept;
  if (kept < PC_BOOKINGS_MAX) {
    passage->from_s[kept] = from_s;
    passage->to_s[passage->count++] = to_s;
  }
}

void pc_wait_for_passages(pc_world *world, size_t m, const pc_way *way, double time_s) {
  pc_point points[PC_WAY_POINTS_MAX];
  pc_machine *machine = &world->machines[m];
  if (!(way->length_m > 0.0) || !(time_s > 0.0))
    return;
  int count = pc_routes_path(pc_routes_of(world, m), machine->at, way, points);
  size_t found = find_stays(world, points, count, way->length_m);
  const pc_stay *stays = world->stays;
  double start = machine->clock_s;
  size_t blamed = 0;
  /* It gets later by the end of a booking each time, so no more often than there are bookings; twice that
   * allows for rounding. */
  size_t most = 2 * found * PC_BOOKINGS_MAX;
  for (size_t later = 0, i = 0; i < found && later <= most;) {
    double from = start + stays[i].from * time_s, to = start + stays[i].to * time_s;
    double until = taken_until_s(world, stays[i].passage, from, to);
    if (until > from) { /* later, and then all passages anew */
      start += until - from;
      blamed = stays[i].passage;
      i = 0;
      later++;
    } else {
      i++;
    }
  }
  for (size_t i = 0; i < found; i++)
    book(world, stays[i].passage, start + stays[i].from * time_s, start + stays[i].to * time_s);
  double wait = start - machine->clock_s;
  if (wait > 0.0 && blamed < world->result->passage_count)
    world->result->passages[blamed].wait_s += wait;
  pc_write_phase(world, m, PC_PHASE_WAIT, wait, pc_standing(machine->at));
}
