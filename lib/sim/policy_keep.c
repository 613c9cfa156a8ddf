// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * keep-pushing: the bite whose whole cycle (to its start, fill, carry, dump) wastes the least time per
 * kilogram, where waste is the time above the ideal for that snow, Σ m·d·(1/v_empty + 1/v_carry)/c.
 *
 * For each lane a short list of options is kept that does not depend on where the machine stands; it is made
 * afresh when the lane changes, and one lane more in rotation at every other decision, so that what other
 * lanes' clearing does to the carry is seen. A decision then costs one look at each option.
 */
#include <stddef.h>
#include <string.h>

#include "sim/policies.h"

enum { OPTIONS = 40, RUNS_SEEN = 6 };

/* Ties go to the first: less by more than rounding, so that a turned or shifted lot is worked alike. */
static inline bool clearly_less(double a, double b) {
  return a < b - 1e-9 * (1e-3 + fabs(a));
}

typedef struct option {
  double from_m, to_m, stop_m;
  double after_s; /* fill, turn, carry, dump */
  double ideal_s, gain_kg;
  pc_point start, push;
  double least_s; /* waste that it has at least, from where the machine stands now */
  double most_s;  /* what it saves at most, for a machine with a part load */
  int zone;
  uint32_t version; /* of the lane when it was judged */
} option;

typedef struct lane_options {
  uint32_t version; /* of the lane when this was made; 0 = never */
  int count;
  option items[OPTIONS];
} lane_options;

typedef struct keep_machine {
  pc_plan_weights weights;
  bool begun; /* the weights are there */
  size_t rotation;
  double usual_score; /* running mean of the waste per kilogram */
  double fullness;    /* zones that had room when the options were made */
} keep_machine;

static lane_options *options_of(void *state, const pc_world *world, size_t machine) {
  const pc_lot *lot = world->lot;
  char *at = (char *)state + lot->machine_count * sizeof(keep_machine);
  for (size_t m = 0; m < machine; m++)
    at += lot->lane_sets[lot->machines[m].lane_set].lane_count * sizeof(lane_options);
  return (lane_options *)(void *)at;
}

static const keep_machine *own_of(const pc_world *world, size_t machine) {
  return (const keep_machine *)world->policy_state + machine;
}

static size_t keep_size(const pc_lot *lot) {
  size_t size = lot->machine_count * sizeof(keep_machine);
  for (size_t m = 0; m < lot->machine_count; m++)
    size += lot->lane_sets[lot->machines[m].lane_set].lane_count * sizeof(lane_options);
  return size;
}

/* ---- the way to a zone ---- */

typedef struct to_zone {
  double time_s;
  int zone;
  pc_way way;
} to_zone;

static double along_lane_kg(const pc_world *world, size_t machine, const pc_lane *lane, double from_m,
                            pc_point from, pc_point face, double swept_to_m) {
  double end_m;
  if (!pc_runs_along(world->lot, lane, from, face, &end_m))
    return 0.0;
  const pc_lane_state *state = pc_state_of(world, machine);
  int sign = end_m > from_m ? 1 : -1;
  int last = pc_lane_station(world->lot, lane, end_m, -sign);
  double low = pc_lesser(from_m, swept_to_m), high = pc_greater(from_m, swept_to_m), kg = 0.0;
  for (int i = pc_lane_station(world->lot, lane, from_m, sign); sign > 0 ? i <= last : i >= last; i += sign) {
    double middle =
        pc_slot_low_m(world->lot, lane, i) + 0.5 * world->lot->ground->patches[lane->patch].station_m;
    if (state->dirty[lane->first + (size_t)i] && (middle < low || middle > high))
      kg += state->slot_kg[lane->first + (size_t)i];
  }
  return kg;
}

/* Expected wait at a zone: the loads that are there or on their way before this one, less the time to get
 * there. */
static double queue_s(const pc_world *world, size_t machine, size_t zone, double dump_s, double way_s) {
  int before = 0;
  for (size_t m = 0; m < world->lot->machine_count; m++)
    before += m != machine && world->machines[m].zone == (int)zone && world->machines[m].load_kg > 0.0;
  return before > 0 ? pc_greater(0.0, before * dump_s / world->lot->zones[zone].berths - way_s) : 0.0;
}

typedef struct loaded { /* a load at a place, on its way to a zone */
  const pc_world *world;
  size_t machine;
  const pc_place *from;
  pc_point facing;
  double load_kg, carry_mps;
} loaded;

/* Keeps this zone if it is quicker: turn, carry, dump, and what waits there. */
static void try_zone(const loaded *l, size_t z, to_zone *best) {
  const pc_lot *lot = l->world->lot;
  const pc_unit *unit = &lot->machines[l->machine].unit;
  pc_way way;
  pc_routes_to_zone(pc_set_of(l->world, l->machine)->routes, l->from, z, &way);
  way.length_m += pc_world_front_m(l->world, z);
  if (way.length_m / l->carry_mps + unit->loader.dump_s >= best->time_s)
    return;
  double fill =
      isfinite(lot->zone_capacity_kg[z]) ? l->world->piles[z].snow_kg / lot->zone_capacity_kg[z] : 0.0;
  double dump = unit->loader.dump_s * (1.0 + lot->zones[z].stack * fill * fill);
  double turn = pc_bends_time_s(unit, &way);
  if (way.length_m > 1e-9)
    turn += pc_turn_time_s(unit, l->facing,
                           (pc_point){way.first.x_m - l->from->at.x_m, way.first.y_m - l->from->at.y_m});
  double queue = queue_s(l->world, l->machine, z, dump, way.length_m / l->carry_mps);
  double time = turn + pc_leg_time_s(way.length_m, l->carry_mps, unit->loader.acceleration_mps2) + dump +
                own_of(l->world, l->machine)->weights.wait * queue;
  if (clearly_less(time, best->time_s))
    *best = (to_zone){time, (int)z, way};
}

/* The quickest zone for a load that ends at `from`. Around obstacles the nearest in a straight line is tried
 * first, which mostly spares the look-up of all others. */
static to_zone best_zone(const pc_world *world, size_t machine, const pc_place *from, pc_point facing,
                         double load_kg) {
  enum { FLOORS = 32 };
  const pc_lot *lot = world->lot;
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_unit *unit = &lot->machines[machine].unit;
  const loaded load = {world, machine, from, facing, load_kg, pc_unit_carry_speed(unit, load_kg)};
  to_zone best = {.time_s = INFINITY, .zone = -1};
  double floors[FLOORS] = {0.0};
  size_t nearest = lot->zone_count;
  bool around = set->slot_ways && lot->zone_count <= FLOORS;
  for (size_t z = 0; z < lot->zone_count && around; z++) {
    pc_point at;
    size_t face;
    floors[z] = pc_faces_nearest_m(&set->routes->faces, z, from->at, &at, &face);
    if (pc_view_room(world, z) >= load_kg && (nearest == lot->zone_count || floors[z] < floors[nearest]))
      nearest = z;
  }
  if (nearest < lot->zone_count)
    try_zone(&load, nearest, &best);
  for (size_t z = 0; z < lot->zone_count; z++)
    if (z != nearest && pc_view_room(world, z) >= load_kg &&
        !(around && floors[z] / load.carry_mps + unit->loader.dump_s >= best.time_s))
      try_zone(&load, z, &best);
  return best;
}

/* ---- options of a lane ---- */

typedef struct maker {
  const pc_world *world;
  size_t machine, lane_index;
  const pc_lane *lane;
  const pc_unit *unit;
  lane_options *list;
  const lane_options *known; /* options judged before; NULL: judge all afresh */
  double rate, gate_s; /* of interest only if time less ideal time less rate × gain can be below the gate */
} maker;

/* The least time that a load needs from a place of the lane to the end of its dump: to the nearest zone, and
 * no faster than its speeds allow. The way is that of the slot's middle. */
static double least_after_s(const maker *mk, double from_m, int sign) {
  const pc_loader *loader = &mk->unit->loader;
  double station_m = mk->world->lot->ground->patches[mk->lane->patch].station_m;
  int station = pc_lane_station(mk->world->lot, mk->lane, from_m, sign);
  double way = pc_set_of(mk->world, mk->machine)->slot_way_m[mk->lane->first + (size_t)station] - station_m;
  return pc_greater(0.0, way) / pc_greater(loader->carry_speed_mps, loader->push_speed_mps) + loader->dump_s;
}

/* What the plan adds to the waste of a bite in this stretch, s. */
static double key_s(const maker *mk, double middle_m, double sign, double gain_kg) {
  const pc_plan *plan = mk->world->plan;
  const pc_lot *lot = mk->world->lot;
  const pc_patch *patch = &lot->ground->patches[mk->lane->patch];
  size_t lane = mk->lane_index, section = 0;
  if (!plan || !plan->keys)
    return 0.0;
  for (size_t s = 0; s < lot->machines[mk->machine].lane_set; s++)
    lane += lot->lane_sets[s].lane_count;
  double place = (middle_m - patch->u0_m) / (patch->stations * patch->station_m) * PC_PLAN_SECTIONS;
  if (place > 0.0)
    section = place < PC_PLAN_SECTIONS - 1 ? (size_t)place : PC_PLAN_SECTIONS - 1;
  return plan->keys[(2 * lane + (sign > 0.0)) * PC_PLAN_SECTIONS + section] * 1e-3 * plan->rate_spkg *
         gain_kg;
}

/* Time and worth of a bite with load_kg in the box already. False if it gives nothing or has nowhere to go.
 */
static bool judge(const maker *mk, double from_m, double to_m, double load_kg, option *result) {
  const pc_world *world = mk->world;
  const pc_lot *lot = world->lot;
  const pc_unit *unit = mk->unit;
  pc_sweep sweep;
  double ideal_kgm;
  pc_world_foresee(world, mk->machine, mk->lane_index, from_m, to_m, load_kg, &sweep, &ideal_kgm);
  double gain = sweep.load_kg - load_kg;
  if (gain <= 0.0 || sweep.length_m <= 0.0)
    return false;
  double empty = pc_greater(unit->loader.return_speed_mps, unit->loader.reverse_speed_mps);
  double full_kg = lot->full_at * unit->capacity_kg;
  double ideal = ideal_kgm * (1.0 / empty + 1.0 / unit->loader.carry_speed_mps) / full_kg;
  double fill = pc_leg_time_s(sweep.length_m, sweep.length_m / sweep.time_s, unit->loader.acceleration_mps2);
  double sign = to_m > from_m ? 1.0 : -1.0;
  const pc_plan_weights *w = &own_of(world, mk->machine)->weights;
  result->ideal_s = w->ideal * ideal - w->load_s - key_s(mk, 0.5 * (from_m + sweep.stop_m), sign, gain);
  if (mk->gate_s < INFINITY &&
      fill + least_after_s(mk, sweep.stop_m, (int)-sign) - result->ideal_s - mk->rate * gain > mk->gate_s)
    return false;
  const pc_patch *patch = &lot->ground->patches[mk->lane->patch];
  pc_point push = {sign * patch->cosine, sign * patch->sine};
  pc_place stop = pc_world_place(world, mk->machine, mk->lane, sweep.stop_m);
  to_zone zone = best_zone(world, mk->machine, &stop, push, sweep.load_kg);
  if (zone.zone < 0)
    return false;
  pc_point points[PC_WAY_POINTS_MAX];
  int count = pc_routes_path(pc_set_of(world, mk->machine)->routes, stop.at, &zone.way, points);
  double dirty = pc_world_dirty_length_m(world, lot->machines[mk->machine].lane_set, points, count);
  double slow = dirty * (1.0 / unit->loader.push_speed_mps - 1.0 / unit->loader.carry_speed_mps);
  if (lot->slow)
    slow += pc_world_slow_s(world,
                            pc_world_slow_m(world, pc_set_of(world, mk->machine)->routes, stop.at, &zone.way),
                            unit->loader.carry_speed_mps);
  double aside = along_lane_kg(world, mk->machine, mk->lane, sweep.stop_m, stop.at, points[1], from_m);
  double cycle = fill + zone.time_s + w->dirty * slow;
  result->after_s = cycle + w->spill * (aside + sweep.spilled_kg) * (cycle + ideal) / full_kg;
  result->from_m = from_m;
  result->to_m = to_m;
  result->stop_m = sweep.stop_m;
  result->gain_kg = gain;
  result->start = pc_world_place(world, mk->machine, mk->lane, from_m).at;
  result->push = push;
  result->zone = zone.zone;
  result->version = pc_state_of(world, mk->machine)->version[mk->lane_index];
  return true;
}

/* The same bite as judged before, if nothing has changed where it goes. */
static const option *find_known(const maker *mk, double from_m, double to_m) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  for (int k = 0; mk->known && k < mk->known->count; k++) {
    const option *o = &mk->known->items[k];
    if (o->from_m != from_m || o->to_m != to_m)
      continue;
    int sign = to_m > from_m ? 1 : -1;
    int first = pc_lane_station(mk->world->lot, mk->lane, from_m, sign);
    int last = pc_lane_station(mk->world->lot, mk->lane, o->stop_m, -sign);
    for (int i = first; sign > 0 ? i <= last : i >= last; i += sign)
      if (state->slot_version[mk->lane->first + (size_t)i] > o->version)
        return NULL;
    return o;
  }
  return NULL;
}

static void add_option(maker *mk, double from_m, double to_m) {
  pc_bite bite = {mk->lane_index, from_m, to_m, -1};
  pc_keep_off_walls(mk->world->lot, pc_set_of(mk->world, mk->machine), &bite);
  if (mk->list->count >= OPTIONS || bite.from_m == bite.to_m)
    return;
  const option *known = find_known(mk, bite.from_m, bite.to_m);
  if (known) {
    mk->list->items[mk->list->count++] = *known;
    return;
  }
  if (judge(mk, bite.from_m, bite.to_m, 0.0, &mk->list->items[mk->list->count]))
    mk->list->count++;
}

/* Where the snow of a slot ends, looking in direction `sign`. */
static double snow_edge_m(const maker *mk, int station, int sign) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  const pc_patch *patch = &mk->world->lot->ground->patches[mk->lane->patch];
  size_t slot = mk->lane->first + (size_t)station;
  return patch->u0_m + (station + (sign > 0 ? state->high[slot] : state->low[slot])) * patch->station_m;
}

/* From the far end of slot `end` backwards until a box is full: where a bite must begin to be full there; the
 * near end of slot `begin` if there is not enough. */
static double start_for_end(const maker *mk, int end, int sign, int begin) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  const pc_patch *patch = &mk->world->lot->ground->patches[mk->lane->patch];
  double keep = 1.0 - mk->unit->filling.leave;
  double need = pc_filling_met(&mk->unit->filling, 0.0, mk->world->lot->full_at * mk->unit->capacity_kg);
  for (int i = end;; i -= sign) {
    size_t slot = mk->lane->first + (size_t)i;
    double met = state->slot_kg[slot] * keep;
    if (met > need) {
      double piece = need / met * (state->high[slot] - state->low[slot]);
      double place = sign > 0 ? state->high[slot] - piece : state->low[slot] + piece;
      return patch->u0_m + (i + place) * patch->station_m;
    }
    need -= met;
    if (i == begin)
      return snow_edge_m(mk, begin, -sign);
  }
}

/* Bites that begin a whole number of loads behind the run's beginning and leave two or more ahead. */
static void options_inside(maker *mk, int begin, int end, int sign) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  double keep = 1.0 - mk->unit->filling.leave, ahead = 0.0, behind = 0.0;
  double load = pc_filling_met(&mk->unit->filling, 0.0, mk->world->lot->full_at * mk->unit->capacity_kg);
  double end_m = snow_edge_m(mk, end, sign), next = load;
  for (int i = begin; i != end + sign; i += sign)
    ahead += state->slot_kg[mk->lane->first + (size_t)i] * keep;
  int left = own_of(mk->world, mk->machine)->weights.starts;
  for (int i = begin; i != end && left > 0; i += sign) {
    size_t slot = mk->lane->first + (size_t)i;
    double met = state->slot_kg[slot] * keep;
    for (; left > 0 && behind + met > next && ahead - next > 1.9 * load; next += load, left--) {
      double piece = (next - behind) / met * (state->high[slot] - state->low[slot]);
      double place = sign > 0 ? state->low[slot] + piece : state->high[slot] - piece;
      const pc_patch *patch = &mk->world->lot->ground->patches[mk->lane->patch];
      add_option(mk, patch->u0_m + (i + place) * patch->station_m, end_m);
    }
    behind += met;
  }
}

/* Bites of one run of dirty slots first … last that push in direction `sign`: from its beginning, and so that
 * the box is full at its end. */
static void options_of_run(maker *mk, int first, int last, int sign) {
  int begin = sign > 0 ? first : last, end = sign > 0 ? last : first;
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  int far = pc_last_dirty(pc_set_of(mk->world, mk->machine), state, mk->lane, begin, sign);
  double begin_m = snow_edge_m(mk, begin, -sign), end_m = snow_edge_m(mk, end, sign);
  add_option(mk, begin_m, snow_edge_m(mk, far, sign));
  double start_m = start_for_end(mk, end, sign, begin);
  if (start_m != begin_m)
    add_option(mk, start_m, end_m);
  if (own_of(mk->world, mk->machine)->weights.starts > 0)
    options_inside(mk, begin, end, sign);
}

static void make_options(maker *mk) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  const unsigned char *dirty = &state->dirty[mk->lane->first];
  mk->list->count = 0;
  int runs = 0;
  for (int i = 0; i < mk->lane->stations && runs < RUNS_SEEN;) {
    if (!dirty[i]) {
      i++;
      continue;
    }
    int last = i;
    while (last + 1 < mk->lane->stations && dirty[last + 1])
      last++;
    options_of_run(mk, i, last, 1);
    options_of_run(mk, i, last, -1);
    i = last + 1;
    runs++;
  }
  mk->list->version = state->version[mk->lane_index];
}

static void renew(const pc_world *world, size_t machine, keep_machine *own, lane_options *lists) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_lane_state *state = pc_state_of(world, machine);
  double fullness = 0.0, full_kg = world->lot->full_at * world->lot->machines[machine].unit.capacity_kg;
  for (size_t z = 0; z < world->lot->zone_count; z++)
    fullness += pc_view_room(world, z) >= full_kg ? ldexp(1.0, (int)(z % 50)) : 0.0;
  own->rotation = own->rotation + 1 < 2 * set->lane_count ? own->rotation + 1 : 0;
  for (size_t l = 0; l < set->lane_count; l++) {
    if (!pc_may_work(world, machine, set->lanes[l].patch))
      continue;
    bool afresh = fullness != own->fullness || (2 * l == own->rotation && lists[l].count > 0);
    if (lists[l].version != state->version[l] || afresh) {
      lane_options known;
      memcpy(&known, &lists[l], offsetof(lane_options, items) + (size_t)lists[l].count * sizeof(option));
      maker mk = {world,
                  machine,
                  l,
                  &set->lanes[l],
                  &world->lot->machines[machine].unit,
                  &lists[l],
                  afresh ? NULL : &known,
                  0.0,
                  INFINITY};
      make_options(&mk);
    }
  }
  own->fullness = fullness;
}

/* ---- choosing ---- */

static bool free_for(const pc_world *world, size_t machine, const pc_lane *lane, const option *o) {
  return world->lot->machine_count == 1 ||
         !pc_stretch_taken(world, machine, lane, pc_lesser(o->from_m, o->stop_m),
                           pc_greater(o->from_m, o->stop_m));
}

/* Bites end where foreseen, so that the claim is no longer than needed. */
static void fill_bite(size_t lane_index, const option *o, pc_bite *bite) {
  *bite = (pc_bite){lane_index, o->from_m, o->stop_m, o->zone};
}

typedef struct choice { /* the best option so far */
  const option *option;
  size_t lane;
  double score;
} choice;

/* Least waste that an option can have, with a cheap floor for its turns: θ ≥ (1 − cos θ)·π/2. */
static inline double least_waste_s(const pc_machine *me, const option *o, double empty_mps,
                                   double reverse_mps, double turn_s, double weight) {
  double dx = o->start.x_m - me->at.x_m, dy = o->start.y_m - me->at.y_m, way = sqrt(dx * dx + dy * dy);
  double cosines =
      way > 0.0 ? ((me->facing.x_m + o->push.x_m) * dx + (me->facing.y_m + o->push.y_m) * dy) / way : 0.0;
  double forward = way / empty_mps + 0.5 * turn_s * (2.0 - cosines);
  double reverse = way / reverse_mps + 0.5 * turn_s * (2.0 + cosines);
  double stand = way > 0.0 ? pc_lesser(forward, reverse) : 0.0;
  return o->after_s - o->ideal_s + weight * stand;
}

static void consider(const pc_world *world, size_t machine, const option *o, size_t lane, choice *best) {
  const pc_machine *me = &world->machines[machine];
  pc_approach approach;
  pc_way way;
  const pc_lane_set *set = pc_set_of(world, machine);
  pc_place start = pc_world_place(world, machine, &set->lanes[lane], o->from_m);
  pc_routes_between(set->routes, &me->outlook, &start, &way);
  const pc_unit *unit = &world->lot->machines[machine].unit;
  double empty = own_of(world, machine)->weights.empty;
  pc_plan_approach(unit, me->at, me->facing, me->reversing, &way, 0.0, world->lot->near_speed_mps, o->push,
                   &approach);
  double score = (empty * approach.time_s + o->after_s - o->ideal_s) / o->gain_kg;
  if (world->lot->slow && clearly_less(score, best->score)) { /* it may well be slower than that */
    double slow = pc_world_slow_m(world, set->routes, me->at, &way);
    pc_plan_approach(unit, me->at, me->facing, me->reversing, &way, slow, world->lot->near_speed_mps, o->push,
                     &approach);
    score = (empty * approach.time_s + o->after_s - o->ideal_s) / o->gain_kg;
  }
  if (clearly_less(score, best->score) &&
      free_for(world, machine, &pc_set_of(world, machine)->lanes[lane], o))
    *best = (choice){o, lane, score};
}

static bool choose_empty(const pc_world *world, size_t machine, keep_machine *own, lane_options *lists,
                         pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_loader *loader = &world->lot->machines[machine].unit.loader;
  const pc_machine *me = &world->machines[machine];
  double least = INFINITY, forward = loader->return_speed_mps, back = loader->reverse_speed_mps;
  choice likely = {NULL, 0, INFINITY}, best = {NULL, 0, INFINITY};
  /* the likeliest first, so that most others need no closer look */
  for (size_t l = 0; l < set->lane_count; l++)
    for (int k = 0; k < lists[l].count; k++) {
      option *o = &lists[l].items[k];
      o->least_s = least_waste_s(me, o, forward, back, loader->turn_s, own->weights.empty);
      if (clearly_less(o->least_s, least * o->gain_kg)) {
        least = o->least_s / o->gain_kg;
        likely = (choice){o, l, 0.0};
      }
    }
  if (likely.option)
    consider(world, machine, likely.option, likely.lane, &best);
  for (size_t l = 0; l < set->lane_count; l++)
    for (int k = 0; k < lists[l].count; k++)
      if (lists[l].items[k].least_s < best.score * lists[l].items[k].gain_kg)
        consider(world, machine, &lists[l].items[k], l, &best);
  if (!best.option)
    return false;
  own->usual_score = own->usual_score > 0.0 ? 0.9 * own->usual_score + 0.1 * best.score : best.score;
  fill_bite(best.lane, best.option, bite);
  return true;
}

typedef struct part_load { /* what choosing with a part load needs for every option */
  double part;             /* what a part load's snow counts */
  double usual, now_s;     /* waste per kg; time to take the load to a zone now */
  double carry_mps, room_kg;
} part_load;

/* What the snow of an option is worth to a machine that takes it on its way, s: the time it would cost
 * otherwise, as a cycle of its own if that is dear, as thin windrows are, else at the usual rate. */
static double rate_of(const part_load *load, const option *o) {
  return load->part * pc_greater(load->usual, (o->after_s - o->ideal_s) / o->gain_kg);
}

/* The least time to the start of an option, turns with a cheap floor: θ ≥ (1 − cos θ)·π/2. */
static double least_there_s(const maker *mk, const part_load *load, const option *o) {
  const pc_machine *me = &mk->world->machines[mk->machine];
  double dx = o->start.x_m - me->at.x_m, dy = o->start.y_m - me->at.y_m, way = sqrt(dx * dx + dy * dy);
  double cosines = (me->facing.x_m + o->push.x_m) * dx + (me->facing.y_m + o->push.y_m) * dy;
  double turns = way > 0.0 ? 0.5 * mk->unit->loader.turn_s * (2.0 - cosines / way) : 0.0;
  return way / load->carry_mps + pc_greater(0.0, turns);
}

/* The most that a bite taken on the way can save, s; 0 if the detour alone costs more. */
static double most_saved_by(const maker *mk, const part_load *load, const option *o) {
  const pc_machine *me = &mk->world->machines[mk->machine];
  double dx = o->start.x_m - me->at.x_m, dy = o->start.y_m - me->at.y_m;
  double least = sqrt(dx * dx + dy * dy);
  double worth = pc_greater(0.0, rate_of(load, o)) * pc_lesser(load->room_kg, o->gain_kg);
  if (least >= load->carry_mps * worth)
    return 0.0;
  if (mk->world->plan) /* whose keys may make a part of a bite better than all of it */
    return INFINITY;
  double after = least_after_s(mk, o->from_m, o->to_m > o->from_m ? 1 : -1);
  return worth - (least_there_s(mk, load, o) + after - o->ideal_s - load->now_s);
}

/* What it saves: that time less the time it costs now. 0 if nothing, or less than `least`. */
static double saved_by(maker *mk, const part_load *load, const option *o, double least, option *bite) {
  const pc_world *world = mk->world;
  const pc_machine *me = &world->machines[mk->machine];
  mk->rate = rate_of(load, o);
  mk->gate_s = load->now_s - least_there_s(mk, load, o) - least + 1e-6;
  if (!judge(mk, o->from_m, o->to_m, me->load_kg, bite) || !free_for(world, mk->machine, mk->lane, bite))
    return 0.0;
  pc_way way;
  pc_place start = pc_world_place(world, mk->machine, mk->lane, o->from_m);
  pc_routes_between(pc_set_of(world, mk->machine)->routes, &me->outlook, &start, &way);
  pc_point ahead = pc_unit_vector(me->at, way.first, me->facing);
  pc_point arrive = pc_unit_vector(way.last, way.end, me->facing);
  double turns = pc_turn_time_s(mk->unit, me->facing, ahead) + pc_bends_time_s(mk->unit, &way) +
                 pc_turn_time_s(mk->unit, arrive, o->push);
  double time = turns + pc_leg_time_s(way.length_m, load->carry_mps, mk->unit->loader.acceleration_mps2);
  return rate_of(load, o) * bite->gain_kg - (time + bite->after_s - bite->ideal_s - load->now_s);
}

/* With a part load: the bite that saves most, else to a zone. The one that may save most is tried first, so
 * that most others need no closer look; it is tried again in its turn, for ties go to the first. */
static bool choose_loaded(const pc_world *world, size_t machine, const keep_machine *own, lane_options *lists,
                          pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_unit *unit = &world->lot->machines[machine].unit;
  const pc_machine *me = &world->machines[machine];
  part_load load = {own->weights.part, own->usual_score,
                    best_zone(world, machine, &me->place, me->facing, me->load_kg).time_s,
                    pc_unit_carry_speed(unit, me->load_kg),
                    world->lot->full_at * unit->capacity_kg - me->load_kg};
  maker mk = {world, machine, 0, set->lanes, unit, NULL, NULL, 0.0, INFINITY}, likely = mk;
  const option *first = NULL;
  option on_the_way;
  double best = 0.0, most = 0.0;
  for (mk.lane_index = 0; mk.lane_index < set->lane_count; mk.lane_index++)
    for (int k = 0; k < lists[mk.lane_index].count; k++) {
      option *o = &lists[mk.lane_index].items[k];
      mk.lane = &set->lanes[mk.lane_index];
      o->most_s = most_saved_by(&mk, &load, o);
      if (o->most_s > most) {
        most = o->most_s;
        first = o;
        likely = mk;
      }
    }
  double least =
      first ? pc_greater(0.0, saved_by(&likely, &load, first, 0.0, &on_the_way)) * (1.0 - 1e-8) : 0.0;
  for (mk.lane_index = 0; mk.lane_index < set->lane_count; mk.lane_index++)
    for (int k = 0; k < lists[mk.lane_index].count; k++) {
      const option *o = &lists[mk.lane_index].items[k];
      if (o->most_s <= 0.0 || o->most_s < pc_greater(least, best))
        continue;
      mk.lane = &set->lanes[mk.lane_index];
      double saved = saved_by(&mk, &load, o, pc_greater(least, best), &on_the_way);
      if (clearly_less(best, saved)) {
        best = saved;
        fill_bite(mk.lane_index, &on_the_way, bite);
      }
    }
  return best > 0.0;
}

static pc_decision keep_next(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  keep_machine *own = (keep_machine *)state + machine;
  lane_options *lists = options_of(state, world, machine);
  if (!own->begun)
    own->weights = world->plan ? world->plan->weights : pc_plan_weights_default();
  own->begun = true;
  renew(world, machine, own, lists);
  if (world->machines[machine].load_kg > 0.0)
    return choose_loaded(world, machine, own, lists, bite) ? PC_DECIDE_BITE : PC_DECIDE_DUMP;
  return choose_empty(world, machine, own, lists, bite) ? PC_DECIDE_BITE : PC_DECIDE_WAIT;
}

const pc_policy pc_policy_keep_pushing = {"keep-pushing",
                                          "The box goes down as soon as it leaves the pile: the next bite is "
                                          "the one whose whole cycle wastes the least "
                                          "time per kilogram.",
                                          keep_size, keep_next};

const pc_policy pc_policy_planned = {
    "planned", "As keep-pushing, by weights and keys that a search has found for this lot.", keep_size,
    keep_next};
