// SPDX-License-Identifier: GPL-3.0-or-later
/* Where machines get to. Without obstacles on convex pavement everywhere, in straight lines. Else each lane
 * is cut where its centre line is blocked for the machines that use it; the open slots become nodes of a net
 * of shortest ways; what no machine can reach is taken off the grid and counted. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "base/sum.h"
#include "sim/lot_private.h"

static const double least_share = 0.1; /* of a slot's length that must be free for it to be open */
static const double whole = 1e-6;      /* shares nearer than this to 0 or 1 are that */

double pc_lot_half_width_m(const pc_lot *lot, size_t set) {
  double width = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].lane_set == set)
      width =
          fmax(width, fmax(lot->machines[m].unit.loader.machine_width_m, lot->machines[m].unit.box.width_m));
  return 0.5 * width;
}

/* ---- open slots ---- */

typedef struct surveyor { /* one lane set while its slots are opened and closed */
  const pc_lot *lot;
  pc_lane_set *set;
  const pc_blocked *blocked;
  pc_point *nodes;
  size_t node_count, node_room;
} surveyor;

typedef struct slot_view { /* the largest free stretch of a slot's centre line, 0 … 1 along it */
  double from, to;         /* to 0: nothing is free; `shut`: it is, but not for this use */
} slot_view;
static const double shut = -1.0;

static double slot_area_m2(const pc_lot *lot, const pc_lane *lane, int station) {
  size_t cell = pc_patch_cell(&lot->ground->patches[lane->patch], station, lane->strip0);
  double m2 = 0.0;
  for (int j = 0; j < lane->strips; j++)
    m2 += lot->ground->cell_m2[cell + (size_t)j];
  return m2;
}

/* What of each slot is free; views of slots without an area are empty. */
static void view_lane(const surveyor *s, const pc_lane *lane, slot_view *views) {
  enum { STRETCHES_MAX = 512 };
  pc_stretch stretches[STRETCHES_MAX];
  const pc_patch *patch = &s->lot->ground->patches[lane->patch];
  double length = lane->stations * patch->station_m;
  size_t count =
      pc_blocked_free_stretches(s->blocked, pc_lane_point(s->lot, lane, patch->u0_m),
                                pc_lane_point(s->lot, lane, patch->u0_m + length), stretches, STRETCHES_MAX);
  for (int i = 0; i < lane->stations; i++) {
    views[i] = (slot_view){0.0, 0.0};
    for (size_t k = 0; k < count && slot_area_m2(s->lot, lane, i) > 0.0; k++) {
      double from = fmax(0.0, stretches[k].from * lane->stations - i);
      double to = fmin(1.0, stretches[k].to * lane->stations - i);
      if (to - from > views[i].to - views[i].from)
        views[i] = (slot_view){from < whole ? 0.0 : from, to > 1.0 - whole ? 1.0 : to};
    }
    if (views[i].to - views[i].from < least_share)
      views[i] = (slot_view){0.0, 0.0};
  }
  /* two open neighbours with something between them: the one with less room is closed */
  for (int i = 0; i + 1 < lane->stations; i++)
    if (views[i].to > 0.0 && views[i + 1].to > 0.0 && !(views[i].to == 1.0 && views[i + 1].from == 0.0)) {
      int less = views[i].to - views[i].from < views[i + 1].to - views[i + 1].from ? i : i + 1;
      views[less] = (slot_view){0.0, shut};
    }
}

static pc_status add_node(surveyor *s, const pc_lane *lane, double u_m) {
  void *nodes = s->nodes;
  if (pc_reserve(&nodes, &s->node_room, s->node_count + 1, sizeof *s->nodes) != 0)
    return PC_ERR_MEMORY;
  s->nodes = nodes;
  s->nodes[s->node_count++] = pc_lane_point(s->lot, lane, u_m);
  return PC_OK;
}

/* True if what blocks the centre line at `u_m` is an obstacle or a pile, not merely the end of the pavement,
 * which a box may reach beyond. */
static bool is_wall(const surveyor *s, const pc_lane *lane, double u_m) {
  return pc_legs_inside(&s->blocked->solid, pc_lane_point(s->lot, lane, u_m));
}

static bool is_taken(const surveyor *s, const pc_lane *lane, const slot_view *views, int station) {
  return station >= 0 && station < lane->stations &&
         (views[station].to > 0.0 || s->set->slot_ways[lane->first + (size_t)station].node != PC_NO_NODE);
}

/* Slots beyond the end of a run whose centre line is off the pavement, and meets no wall: the box overhangs
 * there, the machine stands at the run's last node. One slot stays closed before another run begins, as no
 * machine gets from one to the other that way. */
static void overhang(surveyor *s, const pc_lane *lane, const slot_view *views, int end, int step, size_t node,
                     double u_m) {
  const pc_patch *patch = &s->lot->ground->patches[lane->patch];
  pc_point stand = pc_lane_point(s->lot, lane, u_m);
  for (int i = end + step; i >= 0 && i < lane->stations; i += step) {
    double middle = patch->u0_m + (i + 0.5) * patch->station_m;
    pc_point far = pc_lane_point(s->lot, lane, middle + step * 0.5 * patch->station_m);
    if (views[i].to != 0.0 || fabs(middle - u_m) > lane->width_m || slot_area_m2(s->lot, lane, i) <= 0.0 ||
        is_taken(s, lane, views, i) || is_taken(s, lane, views, i + step) ||
        !pc_legs_clear(&s->blocked->solid, stand, far))
      return;
    s->set->slot_ways[lane->first + (size_t)i] = (pc_slot_way){node, u_m, u_m, 0, PC_LOST_NOT};
  }
}

/* Nodes of one run of open slots first … last. */
static pc_status open_run(surveyor *s, const pc_lane *lane, const slot_view *views, int first, int last) {
  const pc_patch *patch = &s->lot->ground->patches[lane->patch];
  double step = patch->station_m, low = patch->u0_m + (first + views[first].from) * step;
  double high = patch->u0_m + (last + views[last].to) * step, probe = 0.05;
  size_t start = s->node_count;
  pc_status status = add_node(s, lane, low);
  for (int i = first; i <= last && status == PC_OK; i++) {
    double u0 = i == first ? low : patch->u0_m + i * step,
           u1 = i == last ? high : patch->u0_m + (i + 1) * step;
    int walls = 0;
    if (i == first && views[i].from > 0.0 && is_wall(s, lane, low - probe))
      walls |= PC_WALL_LOW;
    if (i == last && views[i].to < 1.0 && is_wall(s, lane, high + probe))
      walls |= PC_WALL_HIGH;
    s->set->slot_ways[lane->first + (size_t)i] =
        (pc_slot_way){start + (size_t)(i - first), u0, u1, (unsigned char)walls, PC_LOST_NOT};
    status = add_node(s, lane, u1);
  }
  if (status == PC_OK && !is_wall(s, lane, low - probe))
    overhang(s, lane, views, first, -1, start, low);
  if (status == PC_OK && !is_wall(s, lane, high + probe))
    overhang(s, lane, views, last, 1, s->node_count - 1, high);
  return status;
}

static pc_status open_lane(surveyor *s, const pc_lane *lane, slot_view *views) {
  view_lane(s, lane, views);
  pc_status status = PC_OK;
  for (int i = 0; i < lane->stations && status == PC_OK; i++) {
    int last = i;
    if (!(views[i].to > 0.0))
      continue;
    while (last + 1 < lane->stations && views[last + 1].to > 0.0)
      last++;
    status = open_run(s, lane, views, i, last);
    i = last;
  }
  return status;
}

/* True if the machine may work the area, or one that is carved out into it. */
static bool gets_into(const pc_lot *lot, const pc_lot_machine *machine, int patch) {
  bool gets = machine->allowed[patch];
  for (size_t p = 0; p < lot->area_count && !gets; p++)
    gets = machine->allowed[p] && lot->areas[p].into == patch;
  return gets;
}

bool pc_lot_is_anyones(const pc_lot *lot, const pc_lane_set *set, int patch) {
  bool nobodys = set == &lot->lane_sets[0]; /* what nobody may work stays open, as work that is left */
  for (size_t m = 0; m < lot->machine_count && nobodys; m++)
    nobodys = !lot->machines[m].allowed[patch];
  if (nobodys)
    return true;
  for (size_t m = 0; m < lot->machine_count; m++)
    if (&lot->lane_sets[lot->machines[m].lane_set] == set && gets_into(lot, &lot->machines[m], patch))
      return true;
  return false;
}

static pc_status open_lanes(surveyor *s) {
  pc_lane_set *set = s->set;
  int most = 1;
  for (size_t l = 0; l < set->lane_count; l++)
    most = set->lanes[l].stations > most ? set->lanes[l].stations : most;
  slot_view *views = pc_alloc((size_t)most, sizeof *views);
  set->slot_ways = pc_alloc(set->slot_count, sizeof *set->slot_ways);
  pc_status status = views && set->slot_ways ? PC_OK : PC_ERR_MEMORY;
  for (size_t k = 0; k < set->slot_count && status == PC_OK; k++)
    set->slot_ways[k].node = PC_NO_NODE;
  for (size_t l = 0; l < set->lane_count && status == PC_OK; l++)
    if (pc_lot_is_anyones(s->lot, set, set->lanes[l].patch))
      status = open_lane(s, &set->lanes[l], views);
  free(views);
  return status;
}

/* ---- what can be reached ---- */

static bool any_way(const pc_lot *lot, const pc_lane_set *set, const pc_place *place) {
  for (size_t z = 0; z < lot->zone_count; z++) {
    pc_way way;
    pc_routes_to_zone(set->routes, place, z, &way);
    if (way.length_m < INFINITY)
      return true;
  }
  return false;
}

/* Closes a slot that can't be used after all. */
static void lose(pc_lane_set *set, const pc_lane *lane, int station, pc_lost lost) {
  pc_slot_way *way = &set->slot_ways[lane->first + (size_t)station];
  way->node = PC_NO_NODE;
  way->lost = (unsigned char)lost;
}

/* Closes slots without a way to any zone. */
static void close_unreached(const pc_lot *lot, pc_lane_set *set) {
  for (size_t l = 0; l < set->lane_count && lot->zone_count > 0; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    for (int i = 0; i < lane->stations; i++) {
      if (set->slot_ways[lane->first + (size_t)i].node == PC_NO_NODE)
        continue;
      pc_place middle = pc_lot_place(lot, set, lane, patch->u0_m + (i + 0.5) * patch->station_m);
      if (!any_way(lot, set, &middle))
        lose(set, lane, i, PC_LOST_TO_ZONES);
    }
  }
}

/* True if both ends and the middle of a slot are joined to where a machine starts. */
static bool is_joined(const pc_lot *lot, const pc_lane_set *set, const pc_lane *lane, int station,
                      const pc_outlook *start) {
  const pc_slot_way *way = &set->slot_ways[lane->first + (size_t)station];
  for (int k = 0; k < 3; k++) {
    pc_place place = pc_lot_place(lot, set, lane, way->low_m + 0.5 * k * (way->high_m - way->low_m));
    if (!pc_routes_joined(set->routes, start, &place))
      return false;
  }
  return true;
}

/* Closes slots of the areas that a machine works where it can't get to from its start. */
static void close_out_of_reach(const pc_lot *lot, pc_lane_set *set, const pc_lot_machine *machine) {
  pc_outlook outlook;
  pc_place start = pc_place_at(machine->start);
  pc_routes_look(set->routes, &start, true, &outlook);
  for (size_t l = 0; l < set->lane_count && lot->zone_count > 0; l++) {
    const pc_lane *lane = &set->lanes[l];
    for (int i = 0; i < lane->stations && machine->allowed[lane->patch]; i++)
      if (set->slot_ways[lane->first + (size_t)i].node != PC_NO_NODE &&
          !is_joined(lot, set, lane, i, &outlook))
        lose(set, lane, i, PC_LOST_FROM_START);
  }
}

static void close_what_is_lost(const pc_lot *lot, size_t s) {
  close_unreached(lot, &lot->lane_sets[s]);
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].lane_set == s)
      close_out_of_reach(lot, &lot->lane_sets[s], &lot->machines[m]);
}

/* ---- nets ---- */

static pc_status net_of_set(pc_lot *lot, const pc_site *site, size_t s, pc_faults *faults) {
  pc_lane_set *set = &lot->lane_sets[s];
  pc_blocked blocked;
  pc_status status = pc_blocked_make(site, lot->zone_list, lot->zone_count,
                                     (pc_clearance){set->half_width_m, true, false, set->closed}, &blocked);
  surveyor survey = {lot, set, &blocked, NULL, 0, 0};
  if (status == PC_OK)
    status = open_lanes(&survey);
  if (status != PC_OK) {
    pc_blocked_free(&blocked);
    free(survey.nodes);
    return pc_faults_add(faults, status, "site", NULL, "ways around what stands there could not be found: %s",
                         pc_status_describe(status));
  }
  status = pc_routes_net(&blocked, lot->zone_list, lot->zone_count, survey.nodes, survey.node_count, true,
                         &set->routes, faults);
  set->owns_routes = status == PC_OK;
  if (status == PC_OK)
    close_what_is_lost(lot, s);
  if (status == PC_OK)
    status = pc_lot_net_of_shares(lot, site, s, survey.nodes, survey.node_count, faults);
  free(survey.nodes);
  return status;
}

/* ---- the whole ---- */

static pc_status straight_ways(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  pc_lot_share *all = &lot->shares[0];
  if (pc_routes_straight(&scenario->site, lot->zone_list, lot->zone_count, &all->routes) != PC_OK)
    return pc_faults_add(faults, PC_ERR_MEMORY, "site", NULL, "out of memory");
  all->owns_routes = true;
  for (size_t i = 1; i < lot->share_count; i++)
    lot->shares[i].routes = all->routes;
  for (size_t s = 0; s < lot->lane_set_count; s++)
    lot->lane_sets[s].routes = all->routes;
  return PC_OK;
}

typedef struct net_task { /* lane sets have nothing to do with one another: each in a thread */
  pc_lot *lot;
  const pc_site *site;
  size_t parts;
  pc_faults faults[PC_MACHINES_MAX];
} net_task;

static pc_status some_nets(void *context, size_t part) {
  net_task *task = context;
  pc_status status = PC_OK;
  for (size_t s = part; s < task->lot->lane_set_count && status == PC_OK; s += task->parts)
    status = net_of_set(task->lot, task->site, s, &task->faults[s]);
  return status;
}

/* Too many corners for one lane set are mostly too many for all: that is said once. */
static bool is_said(const pc_faults *faults, const pc_error *fault) {
  for (size_t i = 0; i < faults->count; i++)
    if (fault->status == PC_ERR_LIMIT && faults->items[i].status == PC_ERR_LIMIT &&
        strcmp(faults->items[i].key, fault->key) == 0)
      return true;
  return false;
}

static void move_unsaid(pc_faults *faults, pc_faults *found) {
  size_t unsaid = 0;
  for (size_t i = 0; i < found->count; i++)
    if (!is_said(faults, &found->items[i]))
      found->items[unsaid++] = found->items[i];
  found->count = unsaid;
  pc_faults_move(faults, found);
}

static pc_status net_ways(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  net_task task = {.lot = lot, .site = &scenario->site};
  size_t sets = lot->lane_set_count, processors = pc_processors();
  for (size_t s = 0; s < sets; s++)
    task.faults[s] = pc_faults_like(faults);
  task.parts = sets < processors ? sets : processors;
  pc_status status = pc_parallel(task.parts, some_nets, &task);
  for (size_t s = 0; s < sets; s++)
    move_unsaid(faults, &task.faults[s]);
  if (status == PC_OK)
    status = pc_lot_check_reached(lot, scenario, faults);
  if (status == PC_OK)
    pc_lot_tell_out_of_reach(lot, scenario, faults);
  if (status == PC_OK && pc_lot_take_off_small(lot, &scenario->site) != PC_OK)
    status = pc_faults_add(faults, PC_ERR_MEMORY, "site", NULL, "out of memory");
  return status;
}

static pc_status mark_slow(const pc_lot *lot, pc_lane_set *set) {
  set->slot_slow = pc_alloc(set->slot_count, 1);
  if (!set->slot_slow)
    return PC_ERR_MEMORY;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    for (int i = 0; i < lane->stations; i++)
      set->slot_slow[lane->first + (size_t)i] =
          pc_slow_at(lot->slow, pc_lane_point(lot, lane, patch->u0_m + (i + 0.5) * patch->station_m));
  }
  return PC_OK;
}

static pc_status find_slow(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  pc_status status = pc_slow_make(&scenario->site, &scenario->near, &lot->slow);
  lot->near_speed_mps = scenario->near.speed_mps;
  for (size_t s = 0; s < lot->lane_set_count && lot->slow && status == PC_OK; s++)
    status = mark_slow(lot, &lot->lane_sets[s]);
  return status == PC_OK
             ? status
             : pc_faults_add(faults, status, "near.distance", NULL,
                             "what lies near obstacles could not be mapped: %s", pc_status_describe(status));
}

pc_status pc_lot_find_ways(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  bool straight;
  pc_status status = pc_routes_may_be_straight(&scenario->site, lot->zone_list, lot->zone_count, &straight);
  if (status != PC_OK)
    return pc_faults_add(faults, status, "site", NULL, "the pavement could not be laid out: %s",
                         pc_status_describe(status));
  for (size_t s = 0; s < lot->lane_set_count; s++)
    lot->lane_sets[s].half_width_m = pc_lot_half_width_m(lot, s);
  if (pc_lot_find_shares(lot, &scenario->site) != PC_OK)
    return pc_faults_add(faults, PC_ERR_MEMORY, "site", NULL, "out of memory");
  bool closed = false; /* to some: then they drive around */
  for (size_t s = 0; s < lot->lane_set_count; s++)
    closed |= lot->lane_sets[s].closed != NULL;
  status = straight && !closed ? straight_ways(lot, scenario, faults) : net_ways(lot, scenario, faults);
  lot->routes = lot->shares[0].routes;
  if (status != PC_OK)
    return status;
  double kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3;
  pc_sum total = {0};
  for (size_t c = 0; c < lot->ground->cell_count; c++) {
    lot->cell_kg[c] = kgpm2 * lot->ground->cell_m2[c];
    pc_sum_add(&total, lot->cell_kg[c]);
  }
  lot->start_kg = pc_sum_value(&total);
  lot->small_kg = (kgpm2 + lot->fall_kgpm2) * lot->small_m2;
  for (size_t s = 0; s < lot->lane_set_count; s++)
    pc_lot_fill_slots(lot, &lot->lane_sets[s]);
  for (size_t s = 0; s < lot->lane_set_count; s++)
    pc_lot_find_outward(lot, &scenario->site, &lot->lane_sets[s]);
  pc_lot_find_sides(lot);
  for (size_t s = 0; s < lot->lane_set_count && status == PC_OK; s++)
    status = pc_lot_find_exits(lot, &lot->lane_sets[s]);
  if (status != PC_OK)
    return pc_faults_add(faults, status, "site", NULL, "%s", pc_status_describe(status));
  pc_lot_tell_small(lot, faults);
  pc_lot_tell_ridges(lot, faults);
  return find_slow(lot, scenario, faults);
}
