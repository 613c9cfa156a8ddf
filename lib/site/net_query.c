// SPDX-License-Identifier: GPL-3.0-or-later
/* Asking the net. Nothing here searches: a way is the best of the corners that both ends see. */
#include "site/net_private.h"

static const double end_share = 1e-9; /* a place nearer to a node than this share of the line is on it */
static const double same_place_m = 1e-9;

static const pc_net *net_of(const pc_routes *routes) {
  return (const pc_net *)(const void *)routes;
}

static pc_point corner_at(const pc_net *net, size_t corner) {
  return net->blocked.corners[corner].at;
}

static void no_way(const pc_place *from, pc_way *way) {
  *way = (pc_way){INFINITY, 0.0, from->at, from->at, from->at, PC_NO_CORNER, PC_NO_CORNER};
}

static void straight_way(pc_point from, pc_point end, double length_m, pc_way *way) {
  *way = (pc_way){length_m, 0.0, end, end, from, PC_NO_CORNER, PC_NO_CORNER};
}

/* Fills a way whose first and last corner are known. Who stands on a corner, or goes to one, has no leg to it
 * that would tell what turning there takes: the way begins, or ends, with the corner beside it. */
static void bent_way(const pc_net *net, pc_point from, size_t out, size_t in, pc_point end, double length_m,
                     pc_way *way) {
  size_t n = net->corners;
  while (net->before && out != in && pc_apart_m(from, corner_at(net, out)) <= same_place_m)
    out = net->before[in * n + out];
  while (net->before && out != in && pc_apart_m(corner_at(net, in), end) <= same_place_m)
    in = net->before[out * n + in];
  if (out == in &&
      fmin(pc_apart_m(from, corner_at(net, out)), pc_apart_m(corner_at(net, in), end)) <= same_place_m) {
    straight_way(from, end, length_m, way);
    return;
  }
  pc_point a = corner_at(net, out), b = corner_at(net, in);
  double bends = 0.0;
  if (!net->before)
    ; /* made for lengths alone */
  else if (out == in)
    bends = pc_bend_rad(from, a, end);
  else
    bends = pc_bend_rad(from, a, corner_at(net, net->before[in * n + out])) +
            (double)net->corner_rad[out * n + in] +
            pc_bend_rad(corner_at(net, net->before[out * n + in]), b, end);
  *way = (pc_way){length_m, bends, end, a, b, (uint16_t)out, (uint16_t)in};
}

/* ---- what is seen ---- */

/* Keeps the nearest if there are too many. */
static void add_seen(const pc_net *net, pc_outlook *outlook, uint16_t corner) {
  if (outlook->count < PC_OUTLOOK_MAX) {
    outlook->corners[outlook->count++] = corner;
    return;
  }
  int farthest = 0;
  double most = 0.0;
  for (int i = 0; i < outlook->count; i++) {
    double away = pc_apart_m(outlook->at, corner_at(net, outlook->corners[i]));
    if (away > most) {
      most = away;
      farthest = i;
    }
  }
  if (pc_apart_m(outlook->at, corner_at(net, corner)) < most)
    outlook->corners[farthest] = corner;
}

static bool sees(const pc_net *net, const pc_outlook *outlook, pc_keep keep, uint16_t corner) {
  return pc_net_may_bend(outlook->near_things, outlook->at, &net->blocked.corners[corner]) &&
         pc_net_leg(net, keep, outlook->at, corner_at(net, corner));
}

/* Where there is no way else. */
static pc_keep least_keep(bool near_things) {
  return near_things ? PC_KEEP_OUT : PC_KEEP_OFF;
}

static void look_all_round(const pc_net *net, pc_keep keep, pc_outlook *outlook) {
  for (size_t c = 0; c < net->corners; c++)
    if (sees(net, outlook, keep, (uint16_t)c))
      add_seen(net, outlook, (uint16_t)c);
}

/* Corners of two nodes in one sorted list; what only one of them sees (or `doubtful`, all) is looked at. */
typedef struct merged {
  const uint16_t *a, *a_end, *b, *b_end;
} merged;

static merged lists_at(const pc_net *net, const pc_place *place) {
  size_t low = place->node, high = place->node;
  if (place->share > 1.0 - end_share)
    low++, high++;
  else if (place->share >= end_share)
    high++;
  return (merged){net->seen + net->seen_first[low], net->seen + net->seen_first[low + 1],
                  net->seen + net->seen_first[high], net->seen + net->seen_first[high + 1]};
}

/* The next corner of either list; *both if it is on both. False at the end. */
static inline bool next_of(merged *lists, uint16_t *corner, bool *both) {
  bool has_a = lists->a < lists->a_end, has_b = lists->b < lists->b_end;
  if (!has_a && !has_b)
    return false;
  *both = has_a && has_b && *lists->a == *lists->b;
  if (*both || (has_a && (!has_b || *lists->a < *lists->b))) {
    *corner = *lists->a++;
    lists->b += *both;
  } else {
    *corner = *lists->b++;
  }
  return true;
}

static bool node_near(const pc_net *net, const pc_place *place) {
  return net->node_near[place->node] || (place->share >= end_share && net->node_near[place->node + 1]);
}

static void net_look(const pc_routes *routes, const pc_place *from, bool on_line, pc_outlook *outlook) {
  const pc_net *net = net_of(routes);
  outlook->at = from->at;
  outlook->count = 0;
  if (from->node == PC_NO_NODE || !net->seen) {
    outlook->near_things = pc_legs_inside(&net->blocked.wide, from->at);
    look_all_round(net, pc_net_keep(outlook->near_things), outlook);
    return;
  }
  outlook->near_things = on_line ? node_near(net, from) : pc_legs_inside(&net->blocked.wide, from->at);
  merged lists = lists_at(net, from);
  uint16_t corner;
  bool both;
  while (next_of(&lists, &corner, &both))
    if ((on_line && both) || sees(net, outlook, pc_net_keep(outlook->near_things), corner))
      add_seen(net, outlook, corner);
  if (outlook->count == 0 && !on_line)
    look_all_round(net, pc_net_keep(outlook->near_things), outlook);
}

/* ---- to a zone ---- */

/* Nearest visible place between a hidden one (nearer) and a seen one, on the line between them. */
static pc_point edge_of_view(const pc_net *net, pc_keep keep, pc_point from, pc_point hidden, pc_point seen) {
  for (int i = 0; i < 24; i++) {
    pc_point middle = {0.5 * (hidden.x_m + seen.x_m), 0.5 * (hidden.y_m + seen.y_m)};
    if (pc_net_leg(net, keep, from, middle))
      seen = middle;
    else
      hidden = middle;
  }
  return seen;
}

static double nearest_share(const pc_face *f, pc_point from) {
  double dx = f->b.x_m - f->a.x_m, dy = f->b.y_m - f->a.y_m, squared = dx * dx + dy * dy;
  double share = squared > 0.0 ? ((from.x_m - f->a.x_m) * dx + (from.y_m - f->a.y_m) * dy) / squared : 0.0;
  return share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share;
}

static pc_point on_face(const pc_face *f, double share) {
  return (pc_point){f->a.x_m + share * (f->b.x_m - f->a.x_m), f->a.y_m + share * (f->b.y_m - f->a.y_m)};
}

typedef struct sight { /* the nearest place of the faces that is seen so far, and a hidden one nearer yet */
  double away_m;
  pc_point seen, hidden;
} sight;

/* The same as pc_net_leg; *hint is what blocked the leg before, which mostly blocks this one too. */
static bool leg_past(const pc_net *net, pc_keep keep, pc_point from, pc_point to, const pc_leg_edge **hint) {
  if (keep == PC_KEEP_OUT)
    return pc_net_leg(net, keep, from, to);
  if (*hint && pc_leg_crosses(*hint, from, to))
    return false;
  *hint = pc_legs_blocker(keep == PC_KEEP_OFF ? &net->blocked.wide : &net->blocked.tight, from, to);
  return !*hint && (keep == PC_KEEP_OFF || pc_net_near_at_ends(net, from, to));
}

/* Along a face away from its nearest place, step by step, until one is seen or none can be nearer. */
static void seek_along(const pc_net *net, pc_keep keep, pc_point from, const pc_face *f, int steps, int sign,
                       const pc_leg_edge **hint, sight *best) {
  double nearest = nearest_share(f, from);
  pc_point hidden = on_face(f, nearest);
  int i = sign > 0 ? (int)ceil(nearest * steps) : (int)floor(nearest * steps);
  for (; i >= 0 && i <= steps; i += sign) {
    pc_point place = on_face(f, (double)i / steps);
    double away = pc_apart_m(from, place);
    if (away >= best->away_m)
      return;
    if (leg_past(net, keep, from, place, hint)) {
      *best = (sight){away, place, hidden};
      return;
    }
    hidden = place;
  }
}

double pc_net_seek_face_m(const pc_net *net, pc_keep keep, size_t zone, pc_point from, double limit_m,
                          const pc_leg_edge **hint, pc_point *at, uint16_t *root) {
  const pc_faces *faces = &net->base.faces;
  size_t face;
  double nearest = pc_faces_nearest_m(faces, zone, from, at, &face);
  *root = PC_ROOT_DIRECT;
  if (!(nearest < limit_m))
    return INFINITY;
  if (leg_past(net, keep, from, *at, hint))
    return nearest;
  *root = PC_ROOT_SEEK;
  sight best = {limit_m, *at, *at};
  for (size_t k = faces->first[zone]; k < faces->first[zone + 1]; k++) {
    const pc_face *f = &faces->items[k];
    int steps = (int)ceil(pc_apart_m(f->a, f->b) / pc_face_step_m);
    for (int sign = -1; sign <= 1 && steps > 0; sign += 2)
      seek_along(net, keep, from, f, steps, sign, hint, &best);
  }
  if (!(best.away_m < limit_m))
    return INFINITY;
  *at = edge_of_view(net, keep, from, best.hidden, best.seen);
  return pc_apart_m(from, *at);
}

static void try_corner(const pc_net *net, pc_point from, size_t zone, uint16_t corner, pc_way *way) {
  size_t n = net->corners, at = zone * n + corner;
  double length = pc_apart_m(from, corner_at(net, corner)) + net->zone_m[at];
  if (length < way->length_m)
    bent_way(net, from, corner, net->zone_in[at], net->zone_at[zone * n + net->zone_in[at]], length, way);
}

static void try_straight(const pc_net *net, pc_keep keep, pc_point from, size_t zone, pc_way *way) {
  pc_point face;
  uint16_t root;
  const pc_leg_edge *hint = NULL;
  double length = pc_net_seek_face_m(net, keep, zone, from, way->length_m, &hint, &face, &root);
  if (length < way->length_m)
    straight_way(from, face, length, way);
}

static void to_zone_from_anywhere(const pc_net *net, const pc_place *from, size_t zone, pc_way *way) {
  pc_outlook outlook;
  net_look(&net->base, from, true, &outlook);
  for (int i = 0; i < outlook.count; i++)
    try_corner(net, from->at, zone, outlook.corners[i], way);
  try_straight(net, PC_KEEP_ENDS, from->at, zone, way);
  if (way->length_m < INFINITY)
    return;
  outlook.count = 0;
  look_all_round(net, least_keep(outlook.near_things), &outlook);
  for (int i = 0; i < outlook.count; i++)
    try_corner(net, from->at, zone, outlook.corners[i], way);
  try_straight(net, PC_KEEP_OUT, from->at, zone, way);
}

static void net_to_zone(const pc_routes *routes, const pc_place *from, size_t zone, pc_way *way) {
  const pc_net *net = net_of(routes);
  size_t zones = routes->zone_count;
  no_way(from, way);
  if (from->node == PC_NO_NODE) {
    to_zone_from_anywhere(net, from, zone, way);
    return;
  }
  size_t low = from->node, high = from->share >= end_share ? low + 1 : low;
  uint16_t a = net->root[low * zones + zone], b = net->root[high * zones + zone];
  if (a == b && a == PC_ROOT_DIRECT) {
    size_t face;
    pc_point at;
    double length = pc_faces_nearest_m(&routes->faces, zone, from->at, &at, &face);
    straight_way(from->at, at, length, way);
    return;
  }
  pc_keep keep = pc_net_keep(node_near(net, from));
  if (a < net->corners && (a == b || pc_net_leg(net, keep, from->at, corner_at(net, a))))
    try_corner(net, from->at, zone, a, way);
  if (b < net->corners && a != b && pc_net_leg(net, keep, from->at, corner_at(net, b)))
    try_corner(net, from->at, zone, b, way);
  if ((a >= net->corners && a != PC_ROOT_NONE) || (b >= net->corners && b != PC_ROOT_NONE))
    try_straight(net, PC_KEEP_ENDS, from->at, zone, way);
  if (a != b || (!(way->length_m < INFINITY) && a != PC_ROOT_NONE)) /* between them a third may be best */
    to_zone_from_anywhere(net, from, zone, way);
}

/* ---- between two places ---- */

typedef struct arrival { /* a corner from which the end is seen, or may be */
  double away_m;
  uint16_t corner;
  bool sure;
} arrival;

enum { ARRIVALS_MAX = 2 * PC_OUTLOOK_MAX };

static int arrivals_in_sight(const pc_net *net, const pc_outlook *end, arrival *arrivals) {
  for (int i = 0; i < end->count; i++)
    arrivals[i] = (arrival){pc_apart_m(corner_at(net, end->corners[i]), end->at), end->corners[i], true};
  return end->count;
}

static int find_arrivals(const pc_net *net, const pc_place *to, arrival *arrivals) {
  if (to->node == PC_NO_NODE) {
    pc_outlook outlook;
    net_look(&net->base, to, true, &outlook);
    return arrivals_in_sight(net, &outlook, arrivals);
  }
  merged lists = lists_at(net, to);
  int count = 0;
  uint16_t corner;
  bool both;
  while (count < ARRIVALS_MAX && next_of(&lists, &corner, &both))
    arrivals[count++] = (arrival){pc_apart_m(corner_at(net, corner), to->at), corner, both};
  return count;
}

/* The best way by a corner that is seen from the start and one of the arrivals. */
static void way_by_corners(const pc_net *net, const pc_outlook *from, const pc_place *to, bool near_end,
                           arrival *arrivals, int count, pc_way *way) {
  const pc_place start = pc_place_at(from->at);
  int best_in = -1;
  uint16_t best_out = PC_NO_CORNER;
  double best = INFINITY;
  for (int i = 0; i < from->count; i++) {
    pc_point a = corner_at(net, from->corners[i]);
    double away = pc_apart_m(from->at, a);
    if (away + pc_apart_m(a, to->at) >= best)
      continue;
    const double *ways = net->corner_m + from->corners[i] * net->corners;
    for (int k = 0; k < count; k++) {
      double length = away + ways[arrivals[k].corner] + arrivals[k].away_m;
      if (!(length < best))
        continue;
      if (!arrivals[k].sure) { /* seen from one of the two nodes only */
        if (!pc_net_leg(net, pc_net_keep(near_end), corner_at(net, arrivals[k].corner), to->at)) {
          arrivals[k].away_m = INFINITY;
          continue;
        }
        arrivals[k].sure = true;
      }
      best = length;
      best_out = from->corners[i];
      best_in = k;
    }
  }
  if (best_in < 0)
    no_way(&start, way);
  else
    bent_way(net, from->at, best_out, arrivals[best_in].corner, to->at, best, way);
}

/* Between things there are places from which no way leads on that keeps half a width off all of them.
 * Machines get there all the same, by lanes and by legs that begin near things, and get out again as if they
 * stood near something. */
static void way_near_things(const pc_net *net, pc_point from, pc_point to, arrival *arrivals, pc_way *way) {
  pc_outlook start = {.at = from, .near_things = true}, end = {.at = to, .near_things = true};
  const pc_place place = pc_place_at(to);
  if (pc_net_leg(net, PC_KEEP_OUT, from, to)) {
    straight_way(from, to, pc_apart_m(from, to), way);
    return;
  }
  look_all_round(net, PC_KEEP_OUT, &start);
  look_all_round(net, PC_KEEP_OUT, &end);
  way_by_corners(net, &start, &place, true, arrivals, arrivals_in_sight(net, &end, arrivals), way);
}

static void net_between(const pc_routes *routes, const pc_outlook *from, const pc_place *to, pc_way *way) {
  const pc_net *net = net_of(routes);
  bool near_end = to->node == PC_NO_NODE ? pc_legs_inside(&net->blocked.wide, to->at) : node_near(net, to);
  double straight = pc_apart_m(from->at, to->at);
  if (pc_net_leg(net, pc_net_keep(from->near_things || near_end), from->at, to->at)) {
    straight_way(from->at, to->at, straight, way);
    return;
  }
  arrival arrivals[ARRIVALS_MAX];
  way_by_corners(net, from, to, near_end, arrivals, find_arrivals(net, to, arrivals), way);
  if (!(way->length_m < INFINITY))
    way_near_things(net, from->at, to->at, arrivals, way);
}

/* ---- the way in full ---- */

static int net_path(const pc_routes *routes, pc_point from, const pc_way *way, pc_point *points) {
  const pc_net *net = net_of(routes);
  int count = 0;
  points[count++] = from;
  if (way->out != PC_NO_CORNER) {
    uint16_t at = way->out;
    /* backwards from `in` is forwards from `out`: the way is the same both ways */
    for (; at != way->in && count < PC_WAY_POINTS_MAX - 2; at = net->before[way->in * net->corners + at])
      points[count++] = corner_at(net, at);
    points[count++] = corner_at(net, way->in);
  }
  points[count++] = way->end;
  return count;
}

static bool net_clear(const pc_routes *routes, pc_point from, pc_point to) {
  return pc_net_leg(net_of(routes), PC_KEEP_ENDS, from, to);
}

static bool in_one_part(const pc_net *net, const pc_outlook *from, uint16_t corner) {
  for (int i = 0; i < from->count; i++)
    if (net->corner_m[from->corners[i] * net->corners + corner] < INFINITY)
      return true;
  return false;
}

static bool joined_by(const pc_net *net, const pc_outlook *from, const pc_place *to, bool near_end) {
  arrival arrivals[ARRIVALS_MAX];
  pc_keep keep = least_keep(near_end);
  int count = find_arrivals(net, to, arrivals);
  for (int k = 0; k < count; k++)
    if ((arrivals[k].sure || pc_net_leg(net, keep, corner_at(net, arrivals[k].corner), to->at)) &&
        in_one_part(net, from, arrivals[k].corner))
      return true;
  for (size_t c = 0; c < net->corners; c++)
    if (in_one_part(net, from, (uint16_t)c) && pc_net_leg(net, keep, corner_at(net, c), to->at))
      return true;
  return false;
}

/* By corners that both ends see. Where ways would not bend at any, corners that are merely in sight tell as
 * well which part of the pavement a place belongs to; without any corner there is but one. */
static bool net_joined(const pc_routes *routes, const pc_outlook *outlook, const pc_place *to) {
  const pc_net *net = net_of(routes);
  bool near_end = to->node == PC_NO_NODE ? pc_legs_inside(&net->blocked.wide, to->at) : node_near(net, to);
  if (joined_by(net, outlook, to, near_end))
    return true;
  pc_outlook from = *outlook; /* and what it sees past things that are nearer than half a width */
  from.count = 0;
  for (size_t c = 0; c < net->corners && from.count < PC_OUTLOOK_MAX; c++)
    if (pc_net_leg(net, least_keep(from.near_things), from.at, corner_at(net, c)))
      from.corners[from.count++] = (uint16_t)c;
  if (from.count > 0)
    return joined_by(net, &from, to, near_end);
  return pc_net_leg(net, least_keep(from.near_things || near_end), from.at, to->at);
}

static size_t net_face_node(const pc_routes *routes, size_t zone, pc_point at) {
  const pc_net *net = net_of(routes);
  size_t best = PC_NO_NODE;
  double least = INFINITY;
  for (size_t node = net->face_nodes[zone]; node < net->face_nodes[zone + 1]; node++) {
    double away = pc_apart_m(at, net->nodes[node]);
    if (away < least) {
      least = away;
      best = node;
    }
  }
  return best;
}

const pc_routes_kind pc_net_kind = {
    "net",         "Shortest ways on pavement around obstacles and piles, for one width of machine.",
    net_to_zone,   net_look,
    net_between,   net_path,
    net_clear,     net_joined,
    net_face_node, pc_net_free,
};
