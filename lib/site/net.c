// SPDX-License-Identifier: GPL-3.0-or-later
/* Making the net: which corners see each other, the shortest ways between all of them (Dijkstra from each),
 * their ways to the zones, and what each node sees. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "site/net_private.h"

void pc_net_free(pc_routes *routes) {
  pc_net *net = (pc_net *)(void *)routes;
  pc_faces_free(&net->base.faces);
  pc_blocked_free(&net->blocked);
  free(net->corner_m);
  free(net->corner_rad);
  free(net->before);
  free(net->zone_m);
  free(net->zone_in);
  free(net->zone_at);
  free(net->nodes);
  free(net->node_near);
  free(net->seen_first);
  free(net->seen);
  free(net->root);
  free(net->face_nodes);
  free(net);
}

/* ---- ways between corners ---- */

typedef struct neighbours { /* of each corner: those it sees, and how far they are */
  uint32_t *first;
  uint16_t *corner;
  double *way_m, *heading_rad; /* the leg to each: its length and direction */
} neighbours;

static void free_neighbours(neighbours *all) {
  free(all->first);
  free(all->corner);
  free(all->way_m);
  free(all->heading_rad);
}

typedef struct pairs { /* of corners that see each other */
  uint16_t (*items)[2];
  size_t count, room;
} pairs;

static pc_status add_pair(pairs *found, uint16_t i, uint16_t j) {
  void *items = found->items;
  if (pc_reserve(&items, &found->room, found->count + 1, sizeof *found->items) != 0)
    return PC_ERR_MEMORY;
  found->items = items;
  found->items[found->count][0] = i;
  found->items[found->count++][1] = j;
  return PC_OK;
}

static pc_status find_pairs(const pc_net *net, pc_hints *all, pairs *found) {
  const pc_corner *corners = net->blocked.corners;
  for (size_t i = 0; i < net->corners; i++)
    for (size_t j = i + 1; j < net->corners; j++) {
      if (!pc_taut(corners[i].at, &corners[j]) || !pc_taut(corners[j].at, &corners[i]) ||
          !pc_net_sees(net, all, PC_KEEP_OFF, corners[i].at, j))
        continue;
      if (add_pair(found, (uint16_t)i, (uint16_t)j) != PC_OK)
        return PC_ERR_MEMORY;
    }
  return PC_OK;
}

/* ---- parts that only legs near things join ---- */

static size_t part_of(size_t *part, size_t corner) {
  while (part[corner] != corner)
    corner = part[corner] = part[part[corner]];
  return corner;
}

/* The shortest leg from corner `i` to one in another part that crosses nothing but what is nearer than half a
 * width; false if there is none shorter than *least_m. */
static bool joins(const pc_net *net, pc_hints *all, size_t *part, size_t i, double *least_m,
                  uint16_t *other) {
  const pc_corner *corners = net->blocked.corners;
  bool found = false;
  for (size_t j = 0; j < net->corners; j++) {
    double away = pc_apart_m(corners[i].at, corners[j].at);
    if (away < *least_m && part_of(part, i) != part_of(part, j) &&
        pc_net_sees(net, all, PC_KEEP_OUT, corners[i].at, j)) {
      *least_m = away;
      *other = (uint16_t)j;
      found = true;
    }
  }
  return found;
}

/* A corner that begins such a leg: ways bend there in any direction, also into what is nearer than half a
 * width. */
static pc_status make_gate(const pc_net *net, pc_hints *all, size_t gate, pairs *found) {
  pc_corner *corners = net->blocked.corners, before = corners[gate];
  corners[gate].before = corners[gate].after = corners[gate].at; /* taut from everywhere */
  for (size_t j = 0; j < net->corners; j++)
    if (j != gate && !pc_taut(corners[j].at, &before) && pc_taut(corners[gate].at, &corners[j]) &&
        pc_net_sees(net, all, PC_KEEP_OFF, corners[gate].at, j) &&
        add_pair(found, (uint16_t)gate, (uint16_t)j) != PC_OK)
      return PC_ERR_MEMORY;
  return PC_OK;
}

/* Where mitred corners touch, a gap may be wide enough all the same: a machine that sets out near it, or
 * works there, gets through. Whatever can be got to so must be so from everywhere: each part of the net is
 * joined to others by the shortest such legs. */
static pc_status join_parts(const pc_net *net, pc_hints *all, pairs *found) {
  size_t *part = pc_alloc(net->corners, sizeof *part);
  pc_status status = part ? PC_OK : PC_ERR_MEMORY;
  for (size_t c = 0; c < net->corners && part; c++)
    part[c] = c;
  for (size_t k = 0; k < found->count && part; k++)
    part[part_of(part, found->items[k][0])] = part_of(part, found->items[k][1]);
  for (bool joined = true; joined && status == PC_OK;) {
    uint16_t from = 0, to = 0;
    double least = INFINITY;
    joined = false;
    for (size_t i = 0; i < net->corners; i++)
      if (joins(net, all, part, i, &least, &to)) {
        from = (uint16_t)i;
        joined = true;
      }
    if (joined) {
      part[part_of(part, from)] = part_of(part, to);
      status = add_pair(found, from, to);
      if (status == PC_OK)
        status = make_gate(net, all, from, found);
      if (status == PC_OK)
        status = make_gate(net, all, to, found);
    }
  }
  free(part);
  return status;
}

static pc_status find_neighbours(const pc_net *net, neighbours *all) {
  pairs found = {0};
  pc_hints last;
  pc_status status = pc_hints_make(net, &last);
  if (status == PC_OK)
    status = find_pairs(net, &last, &found);
  if (status == PC_OK)
    status = join_parts(net, &last, &found);
  pc_hints_free(&last);
  *all = (neighbours){
      pc_alloc(net->corners + 2, sizeof *all->first), pc_alloc(2 * found.count, sizeof *all->corner),
      pc_alloc(2 * found.count, sizeof *all->way_m), pc_alloc(2 * found.count, sizeof *all->heading_rad)};
  if (status == PC_OK && (!all->first || !all->corner || !all->way_m || !all->heading_rad))
    status = PC_ERR_MEMORY;
  if (status == PC_OK) {
    /* first[c + 1] counts, then is where the next of c goes, then where c ends */
    for (size_t k = 0; k < found.count; k++)
      for (int end = 0; end < 2; end++)
        all->first[found.items[k][end] + 2]++;
    for (size_t c = 2; c <= net->corners + 1; c++)
      all->first[c] += all->first[c - 1];
    for (size_t k = 0; k < found.count; k++)
      for (int end = 0; end < 2; end++) {
        uint32_t place = all->first[found.items[k][end] + 1]++;
        uint16_t other = found.items[k][1 - end];
        all->corner[place] = other;
        pc_point a = net->blocked.corners[found.items[k][end]].at, b = net->blocked.corners[other].at;
        all->way_m[place] = pc_apart_m(a, b);
        all->heading_rad[place] = atan2(b.y_m - a.y_m, b.x_m - a.x_m);
      }
  }
  free(found.items);
  return status;
}

typedef struct front {    /* Dijkstra's heap: nearest first, equal ways by number */
  double *way_m;          /* of each corner so far */
  uint16_t *heap, *place; /* place: 1 + index in the heap, 0 = not in it */
  uint32_t *leg;          /* by which a corner is reached: its place among the neighbours */
  size_t count;
} front;

static bool is_nearer(const front *f, uint16_t a, uint16_t b) {
  double way_a = f->way_m[a], way_b = f->way_m[b];
  return way_a < way_b || (way_a <= way_b && a < b);
}

static void put(front *f, size_t index, uint16_t corner) {
  f->heap[index] = corner;
  f->place[corner] = (uint16_t)(index + 1);
}

static void raise_up(front *f, size_t index, uint16_t corner) {
  while (index > 0 && is_nearer(f, corner, f->heap[(index - 1) / 2])) {
    put(f, index, f->heap[(index - 1) / 2]);
    index = (index - 1) / 2;
  }
  put(f, index, corner);
}

static uint16_t take_nearest(front *f) {
  uint16_t nearest = f->heap[0], last = f->heap[--f->count];
  size_t hole = 0, child;
  f->place[nearest] = 0;
  while (f->count > 0 && (child = 2 * hole + 1) < f->count) {
    if (child + 1 < f->count && is_nearer(f, f->heap[child + 1], f->heap[child]))
      child++;
    if (!is_nearer(f, f->heap[child], last))
      break;
    put(f, hole, f->heap[child]);
    hole = child;
  }
  if (f->count > 0)
    put(f, hole, last);
  return nearest;
}

/* From the corners in the heap to all others; from[c] becomes the corner before c. */
static void spread(const neighbours *all, front *f, uint16_t *from) {
  while (f->count > 0) {
    uint16_t c = take_nearest(f);
    for (uint32_t k = all->first[c]; k < all->first[c + 1]; k++) {
      uint16_t next = all->corner[k];
      double longer = f->way_m[c] + all->way_m[k];
      if (!(longer < f->way_m[next]))
        continue;
      f->way_m[next] = longer;
      from[next] = c;
      f->leg[next] = k;
      raise_up(f, f->place[next] > 0 ? (size_t)f->place[next] - 1 : f->count++, next);
    }
  }
}

static pc_status make_front(size_t n, front *f) {
  *f = (front){.heap = pc_alloc(n + 1, sizeof *f->heap),
               .place = pc_alloc(n + 1, sizeof *f->place),
               .leg = pc_alloc(n + 1, sizeof *f->leg)};
  return f->heap && f->place && f->leg ? PC_OK : PC_ERR_MEMORY;
}

static void free_front(front *f) {
  free(f->heap);
  free(f->place);
  free(f->leg);
}

static void ways_from(pc_net *net, const neighbours *all, size_t start, front *f) {
  size_t n = net->corners;
  double *way = net->corner_m + start * n;
  uint16_t *before = net->before + start * n;
  for (size_t c = 0; c < n; c++) {
    way[c] = INFINITY;
    before[c] = PC_NO_CORNER;
  }
  f->way_m = way;
  f->count = 1;
  way[start] = 0.0;
  put(f, 0, (uint16_t)start);
  spread(all, f, before);
}

/* Turning on the way from `start` to c, between its first and last leg: that to the corner before, and there.
 */
static void find_turning(const pc_net *net, const neighbours *all, const front *f, size_t start, size_t c,
                         unsigned char *known) {
  static const double pi = 3.14159265358979323846;
  float *turning = net->corner_rad + start * net->corners;
  const uint16_t *before = net->before + start * net->corners;
  uint16_t chain[PC_CORNERS_MAX];
  size_t length = 0, at = c;
  while (!known[at] && before[at] != PC_NO_CORNER && before[at] != start) {
    chain[length++] = (uint16_t)at;
    at = before[at];
  }
  known[at] = 1; /* next to the start, or the start: nothing between */
  while (length-- > 0) {
    at = chain[length];
    size_t from = before[at];
    double bend = fabs(all->heading_rad[f->leg[at]] - all->heading_rad[f->leg[from]]);
    turning[at] = turning[from] + (float)(bend > pi ? 2.0 * pi - bend : bend);
    known[at] = 1;
  }
}

typedef struct corner_task {
  pc_net *net;
  const neighbours *all;
  size_t parts;
} corner_task;

static pc_status find_some_ways(void *context, size_t part) {
  const corner_task *task = context;
  pc_net *net = task->net;
  size_t n = net->corners;
  front f = {0};
  unsigned char *known = pc_alloc(n, 1);
  pc_status status = known ? make_front(n, &f) : PC_ERR_MEMORY;
  for (size_t start = part; start < n && status == PC_OK; start += task->parts) {
    ways_from(net, task->all, start, &f);
    memset(known, 0, n);
    for (size_t c = 0; c < n; c++)
      find_turning(net, task->all, &f, start, c, known);
  }
  free(known);
  free_front(&f);
  return status;
}

static pc_status find_corner_ways(pc_net *net, const neighbours *all) {
  size_t n = net->corners;
  corner_task task = {net, all, pc_net_parts((double)n * (double)n)};
  net->corner_m = pc_alloc_grid(n, n, sizeof *net->corner_m);
  net->corner_rad = pc_alloc_grid(n, n, sizeof *net->corner_rad);
  net->before = pc_alloc_grid(n, n, sizeof *net->before);
  if (!net->corner_m || !net->corner_rad || !net->before)
    return PC_ERR_MEMORY;
  return pc_parallel(task.parts, find_some_ways, &task);
}

/* ---- ways to zones ---- */

/* From the corners that have no way to the zone yet: straight to its faces, and by those that get there so.
 */
static void ways_to_zone(const pc_net *net, const neighbours *all, pc_keep keep, size_t zone, front *f,
                         uint16_t *before) {
  const pc_leg_edge *hint = NULL;
  for (size_t a = 0; a < net->corners; a++) {
    if (f->way_m[a] < INFINITY)
      continue;
    uint16_t root;
    f->way_m[a] = pc_net_seek_face_m(net, keep, zone, net->blocked.corners[a].at, INFINITY, &hint,
                                     &net->zone_at[zone * net->corners + a], &root);
    if (f->way_m[a] < INFINITY)
      raise_up(f, f->count++, (uint16_t)a);
  }
  spread(all, f, before);
}

static pc_status find_zone_ways(pc_net *net, const neighbours *all) {
  size_t n = net->corners, zones = net->base.zone_count;
  front f = {0};
  net->zone_m = pc_alloc_grid(n, zones, sizeof *net->zone_m);
  net->zone_in = pc_alloc_grid(n, zones, sizeof *net->zone_in);
  net->zone_at = pc_alloc_grid(n, zones, sizeof *net->zone_at);
  uint16_t *before = pc_alloc(n, sizeof *before);
  pc_status status =
      net->zone_m && net->zone_in && net->zone_at && before ? make_front(n, &f) : PC_ERR_MEMORY;
  for (size_t z = 0; z < zones && status == PC_OK; z++) {
    f.way_m = net->zone_m + z * n;
    f.count = 0;
    for (size_t a = 0; a < n; a++) {
      before[a] = PC_NO_CORNER;
      f.way_m[a] = INFINITY;
    }
    ways_to_zone(net, all, PC_KEEP_ENDS, z, &f, before);
    ways_to_zone(net, all, PC_KEEP_OUT, z, &f, before);
    for (size_t a = 0; a < n; a++) {
      uint16_t in = (uint16_t)a; /* the last corner before the zone */
      while (before[in] != PC_NO_CORNER)
        in = before[in];
      net->zone_in[z * n + a] = in;
    }
  }
  free(before);
  free_front(&f);
  return status;
}

/* ---- nodes ---- */

/* The caller's nodes, and places along every face, where machines set out from. */
static pc_status lay_nodes(pc_net *net, const pc_point *nodes, size_t node_count) {
  const pc_faces *faces = &net->base.faces;
  size_t zones = net->base.zone_count, count = node_count;
  for (size_t k = 0; k < faces->first[zones]; k++)
    count += (size_t)ceil(pc_apart_m(faces->items[k].a, faces->items[k].b) / pc_face_step_m) + 1;
  net->nodes = pc_alloc(count, sizeof *net->nodes);
  net->face_nodes = pc_alloc(zones + 1, sizeof *net->face_nodes);
  if (!net->nodes || !net->face_nodes)
    return PC_ERR_MEMORY;
  if (node_count > 0)
    memcpy(net->nodes, nodes, node_count * sizeof *nodes);
  count = node_count;
  for (size_t z = 0; z < zones; z++) {
    net->face_nodes[z] = count;
    for (size_t k = faces->first[z]; k < faces->first[z + 1]; k++) {
      const pc_face *f = &faces->items[k];
      int steps = (int)ceil(pc_apart_m(f->a, f->b) / pc_face_step_m);
      for (int i = 0; i <= steps; i++) {
        double share = steps > 0 ? (double)i / steps : 0.0;
        net->nodes[count++] =
            (pc_point){f->a.x_m + share * (f->b.x_m - f->a.x_m), f->a.y_m + share * (f->b.y_m - f->a.y_m)};
      }
    }
  }
  net->face_nodes[zones] = net->node_count = count;
  return PC_OK;
}

/* ---- the whole ---- */

static bool is_open(const void *context, pc_point place) {
  return !pc_legs_inside(&((const pc_net *)context)->blocked.tight, place);
}

pc_status pc_routes_net(pc_blocked *blocked, const pc_zone *const *zones, size_t zone_count,
                        const pc_point *nodes, size_t node_count, bool between, pc_routes **routes,
                        pc_faults *faults) {
  *routes = NULL;
  pc_net *net = pc_alloc(1, sizeof *net);
  if (!net) {
    pc_blocked_free(blocked);
    return pc_faults_add(faults, PC_ERR_MEMORY, "site", NULL, "out of memory");
  }
  net->base = (pc_routes){&pc_net_kind, zones, zone_count, {0}};
  net->blocked = *blocked;
  *blocked = (pc_blocked){0};
  net->corners = net->blocked.corner_count;
  pc_status status = PC_OK;
  if (net->corners > PC_CORNERS_MAX) {
    status = pc_faults_add(faults, PC_ERR_LIMIT, "site.obstacles", NULL,
                           "what stands on the site and the outlines have %zu corners that ways may bend at; "
                           "at most %d can be handled: draw a row of vehicles as one outline",
                           net->corners, (int)PC_CORNERS_MAX);
    pc_net_free(&net->base);
    return status;
  }
  neighbours all = {0};
  status = pc_faces_make(zones, zone_count, is_open, net, &net->base.faces);
  if (status == PC_OK)
    status = find_neighbours(net, &all);
  if (status == PC_OK && between)
    status = find_corner_ways(net, &all);
  if (status == PC_OK)
    status = find_zone_ways(net, &all);
  free_neighbours(&all);
  if (status == PC_OK)
    status = lay_nodes(net, nodes, node_count);
  if (status == PC_OK)
    status = between ? pc_net_find_seen(net) : pc_net_find_roots(net);
  if (status != PC_OK) {
    pc_net_free(&net->base);
    return pc_faults_add(faults, status, "site", NULL, "out of memory for the ways around what stands there");
  }
  *routes = &net->base;
  return PC_OK;
}
