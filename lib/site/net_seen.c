// SPDX-License-Identifier: GPL-3.0-or-later
/* What the nodes of a net see, and with which corner their ways to the zones begin. Nodes are shared out
 * between threads; the result is the same for any number. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "site/net_private.h"

/* The two edges that blocked the view of each corner last, from places nearby: one of them mostly still does.
 */
void pc_hints_free(pc_hints *all) {
  free(all->wide);
  free(all->tight);
  free(all->faces);
}

pc_status pc_hints_make(const pc_net *net, pc_hints *all) {
  *all = (pc_hints){pc_alloc(net->corners, sizeof *all->wide), pc_alloc(net->corners, sizeof *all->tight),
                    pc_alloc(net->base.zone_count, sizeof *all->faces)};
  return all->wide && all->tight && all->faces ? PC_OK : PC_ERR_MEMORY;
}

bool pc_net_near_at_ends(const pc_net *net, pc_point from, pc_point to) {
  int crossed = pc_legs_crossed(&net->blocked.wide, from, to);
  return crossed < 2 || (crossed == 2 && pc_legs_inside(&net->blocked.wide, from));
}

bool pc_net_sees(const pc_net *net, pc_hints *all, pc_keep keep, pc_point from, size_t corner) {
  bool wide = keep == PC_KEEP_OFF;
  pc_hint *known = wide ? &all->wide[corner] : &all->tight[corner];
  pc_point at = net->blocked.corners[corner].at;
  if (known->last && pc_leg_crosses(known->last, from, at))
    return false;
  if (known->other && pc_leg_crosses(known->other, from, at)) {
    *known = (pc_hint){known->other, known->last};
    return false;
  }
  /* from the corner: what is found first is near it, and blocks the view from the next place too */
  const pc_leg_edge *found = pc_legs_blocker(wide ? &net->blocked.wide : &net->blocked.tight, at, from);
  if (found)
    *known = (pc_hint){found, known->last};
  return !found && (keep != PC_KEEP_ENDS || pc_net_near_at_ends(net, from, at));
}

/* ---- roots ---- */

/* The best begin of a way from a node to a zone by a corner that is given, or straight to it. */
typedef struct pc_begin {
  double way_m;
  uint16_t root;
} pc_begin;

static void try_face(const pc_net *net, pc_hints *last, pc_keep keep, size_t node, size_t zone,
                     pc_begin *best) {
  pc_point face;
  uint16_t straight;
  double way = pc_net_seek_face_m(net, keep, zone, net->nodes[node], best->way_m, &last->faces[zone], &face,
                                  &straight);
  if (way < best->way_m)
    *best = (pc_begin){way, straight};
}

/* Where no leg keeps off what stands between its ends: one that crosses nothing. */
static uint16_t any_root(const pc_net *net, pc_hints *last, size_t node, size_t zone) {
  const double *zone_m = net->zone_m + zone * net->corners;
  pc_begin best = {INFINITY, PC_ROOT_NONE};
  for (size_t c = 0; c < net->corners && net->node_near[node]; c++) {
    double way = pc_apart_m(net->nodes[node], net->blocked.corners[c].at) + zone_m[c];
    if (way < best.way_m && pc_net_sees(net, last, PC_KEEP_OUT, net->nodes[node], c))
      best = (pc_begin){way, (uint16_t)c};
  }
  try_face(net, last, PC_KEEP_OUT, node, zone, &best);
  return best.root;
}

static void find_roots(pc_net *net, pc_hints *last, size_t node, const uint16_t *seen, size_t seen_count) {
  size_t n = net->corners, zones = net->base.zone_count;
  for (size_t z = 0; z < zones; z++) {
    pc_begin best = {INFINITY, PC_ROOT_NONE};
    for (size_t k = 0; k < seen_count; k++) {
      uint16_t c = seen[k];
      double way = pc_apart_m(net->nodes[node], net->blocked.corners[c].at) + net->zone_m[z * n + c];
      if (way < best.way_m)
        best = (pc_begin){way, c};
    }
    try_face(net, last, PC_KEEP_ENDS, node, z, &best);
    net->root[node * zones + z] = best.root != PC_ROOT_NONE ? best.root : any_root(net, last, node, z);
  }
}

enum { RECENT = 8 };

typedef struct recent { /* roots of nodes nearby: one of them is mostly near the best */
  uint16_t corners[RECENT];
  int next;
} recent;

static void remember(recent *roots, uint16_t root) {
  for (int i = 0; i < RECENT; i++)
    if (roots->corners[i] == root)
      return;
  roots->corners[roots->next] = root;
  roots->next = (roots->next + 1) % RECENT;
}

/* The root of one node for one zone when lists of what is seen are not wanted. */
static uint16_t find_root(const pc_net *net, pc_hints *last, size_t node, size_t zone, recent *likely,
                          const double *away_m) {
  const double *zone_m = net->zone_m + zone * net->corners;
  const pc_corner *corners = net->blocked.corners;
  pc_point at = net->nodes[node];
  bool near_things = net->node_near[node];
  pc_keep keep = pc_net_keep(near_things);
  pc_begin best = {INFINITY, PC_ROOT_NONE};
  for (int i = 0; i < RECENT; i++) {
    uint16_t c = likely->corners[i];
    if (c < net->corners && away_m[c] + zone_m[c] < best.way_m &&
        pc_net_may_bend(near_things, at, &corners[c]) && pc_net_sees(net, last, keep, at, c))
      best = (pc_begin){away_m[c] + zone_m[c], c};
  }
  try_face(net, last, PC_KEEP_ENDS, node, zone, &best);
  for (size_t c = 0; c < net->corners; c++)
    if (away_m[c] + zone_m[c] < best.way_m && pc_net_may_bend(near_things, at, &corners[c]) &&
        pc_net_sees(net, last, keep, at, c))
      best = (pc_begin){away_m[c] + zone_m[c], (uint16_t)c};
  if (best.root == PC_ROOT_NONE)
    best.root = any_root(net, last, node, zone);
  if (best.root < net->corners)
    remember(likely, best.root);
  return best.root;
}

typedef struct piece { /* of the nodes, for one thread */
  size_t from, to;
  uint16_t *seen;
  size_t count, room;
} piece;

typedef struct look_task {
  pc_net *net;
  size_t parts;
  piece pieces[PC_PARTS_AT_ONCE_MAX];
} look_task;

static void cut_nodes(pc_net *net, look_task *task) {
  *task = (look_task){.net = net, .parts = pc_net_parts((double)net->node_count * (double)net->corners)};
  for (size_t p = 0; p < task->parts; p++)
    task->pieces[p] =
        (piece){net->node_count * p / task->parts, net->node_count * (p + 1) / task->parts, NULL, 0, 0};
}

size_t pc_net_parts(double work) {
  return work < 5e5 ? 1 : pc_processors();
}

static pc_status find_some_roots(void *context, size_t part) {
  const look_task *task = context;
  pc_net *net = task->net;
  size_t zones = net->base.zone_count;
  pc_hints last;
  double *away_m = pc_alloc(net->corners, sizeof *away_m);
  recent *likely = pc_alloc(zones, sizeof *likely);
  pc_status status = pc_hints_make(net, &last);
  if (!away_m || !likely)
    status = PC_ERR_MEMORY;
  for (size_t z = 0; z < zones && status == PC_OK; z++)
    for (int i = 0; i < RECENT; i++)
      likely[z].corners[i] = PC_NO_CORNER;
  for (size_t node = task->pieces[part].from; node < task->pieces[part].to && status == PC_OK; node++) {
    net->node_near[node] = pc_legs_inside(&net->blocked.wide, net->nodes[node]);
    for (size_t c = 0; c < net->corners; c++)
      away_m[c] = pc_apart_m(net->nodes[node], net->blocked.corners[c].at);
    for (size_t z = 0; z < zones; z++)
      net->root[node * zones + z] = find_root(net, &last, node, z, &likely[z], away_m);
  }
  pc_hints_free(&last);
  free(away_m);
  free(likely);
  return status;
}

pc_status pc_net_find_roots(pc_net *net) {
  look_task task;
  net->node_near = pc_alloc(net->node_count, 1);
  net->root = pc_alloc_grid(net->node_count, net->base.zone_count, sizeof *net->root);
  if (!net->node_near || !net->root)
    return PC_ERR_MEMORY;
  cut_nodes(net, &task);
  return pc_parallel(task.parts, find_some_roots, &task);
}

/* Adds the corners that a node sees to its piece, which has room for all of them. `row`: what is known of
 * each for the row that it is in; NULL: nothing. */
static void look_from(const pc_net *net, pc_hints *last, pc_keep keep, size_t node, const unsigned char *row,
                      piece *own) {
  pc_point at = net->nodes[node];
  for (size_t c = 0; c < net->corners; c++)
    if (row && row[c] != PC_ROW_EACH ? row[c] == PC_ROW_ALL
                                     : pc_net_may_bend(net->node_near[node], at, &net->blocked.corners[c]) &&
                                           pc_net_sees(net, last, keep, at, c))
      own->seen[own->count++] = (uint16_t)c;
}

/* The nodes of a row, or a single one, whose `row` is NULL. */
static pc_status look_from_row(pc_net *net, pc_hints *last, size_t from, size_t to, const unsigned char *row,
                               piece *own) {
  for (size_t node = from; node < to; node++) {
    void *seen = own->seen;
    if (pc_reserve(&seen, &own->room, own->count + net->corners, sizeof *own->seen) != 0)
      return PC_ERR_MEMORY;
    own->seen = seen;
    size_t before = own->count;
    look_from(net, last, pc_net_keep(net->node_near[node]), node, row, own);
    if (own->count == before && net->node_near[node])
      look_from(net, last, PC_KEEP_OUT, node, NULL, own);
    net->seen_first[node + 1] = (uint32_t)(own->count - before);
    find_roots(net, last, node, own->seen ? own->seen + before : NULL,
               own->count - before); /* none without corners */
  }
  return PC_OK;
}

/* Lists what the nodes of a piece see; seen_first gets the lengths of the lists. */
static pc_status look_from_some(void *context, size_t part) {
  look_task *task = context;
  pc_net *net = task->net;
  piece *own = &task->pieces[part];
  pc_hints last;
  pc_status status = pc_hints_make(net, &last);
  unsigned char *row = pc_alloc(net->corners, sizeof *row);
  if (!row)
    status = PC_ERR_MEMORY;
  for (size_t node = own->from; node < own->to; node++)
    net->node_near[node] = pc_legs_inside(&net->blocked.wide, net->nodes[node]);
  for (size_t node = own->from, end; node < own->to && status == PC_OK; node = end) {
    end = net->node_near[node] ? node + 1 : pc_net_row(net, node, own->to);
    bool together = end - node >= PC_NET_ROW_MIN;
    for (size_t c = 0; c < net->corners && together; c++)
      row[c] = (unsigned char)pc_net_row_sees(net, &last, node, end - 1, c);
    status = look_from_row(net, &last, node, end, together ? row : NULL, own);
  }
  pc_hints_free(&last);
  free(row);
  return status;
}

pc_status pc_net_find_seen(pc_net *net) {
  look_task task;
  size_t count = 0;
  net->seen_first = pc_alloc(net->node_count + 1, sizeof *net->seen_first);
  net->node_near = pc_alloc(net->node_count, 1);
  net->root = pc_alloc_grid(net->node_count, net->base.zone_count, sizeof *net->root);
  if (!net->seen_first || !net->node_near || !net->root)
    return PC_ERR_MEMORY;
  cut_nodes(net, &task);
  pc_status status = pc_parallel(task.parts, look_from_some, &task);
  for (size_t p = 0; p < task.parts; p++)
    count += task.pieces[p].count;
  net->seen = status == PC_OK ? pc_alloc(count, sizeof *net->seen) : NULL;
  if (status == PC_OK && !net->seen)
    status = PC_ERR_MEMORY;
  count = 0;
  for (size_t p = 0; p < task.parts; p++) {
    if (status == PC_OK && task.pieces[p].count > 0)
      memcpy(net->seen + count, task.pieces[p].seen, task.pieces[p].count * sizeof *net->seen);
    count += task.pieces[p].count;
    free(task.pieces[p].seen);
  }
  for (size_t node = 0; node < net->node_count; node++)
    net->seen_first[node + 1] += net->seen_first[node];
  return status;
}
