// SPDX-License-Identifier: GPL-3.0-or-later
/* keep-pushing: the bites of a lane, and what each of them costs. */
#include <string.h>

#include "sim/keep.h"

enum { RUNS_SEEN = 6 };

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
                pc_keep_of(l->world, l->machine)->weights.wait * queue;
  if (pc_clearly_less(time, best->time_s))
    *best = (to_zone){time, (int)z, way};
}

/* No way to a zone is shorter than this; a little less, for rounding. */
static double zone_floor_m(const pc_lot *lot, size_t z, pc_point from) {
  const pc_extent *e = &lot->zone_extent[z];
  double dx = pc_greater(0.0, pc_greater(e->low.x_m - from.x_m, from.x_m - e->high.x_m));
  double dy = pc_greater(0.0, pc_greater(e->low.y_m - from.y_m, from.y_m - e->high.y_m));
  return sqrt(dx * dx + dy * dy) * (1.0 - 1e-9);
}

/* The zone with room whose faces are nearest in a straight line; the count of zones if there is none. */
static size_t nearest_face(const loaded *load) {
  const pc_lot *lot = load->world->lot;
  const pc_faces *faces = &pc_set_of(load->world, load->machine)->routes->faces;
  size_t nearest = lot->zone_count, face;
  double least = INFINITY;
  pc_point at;
  for (size_t z = 0; z < lot->zone_count; z++) {
    if (pc_view_room(load->world, z) < load->load_kg ||
        (nearest < lot->zone_count && zone_floor_m(lot, z, load->from->at) >= least))
      continue;
    double apart = pc_faces_nearest_m(faces, z, load->from->at, &at, &face);
    if (nearest == lot->zone_count || apart < least) {
      nearest = z;
      least = apart;
    }
  }
  return nearest;
}

/* The quickest zone for a load that ends at `from`. Around obstacles the nearest in a straight line is tried
 * first, which mostly spares the look-up of all others. */
static to_zone best_zone(const pc_world *world, size_t machine, const pc_place *from, pc_point facing,
                         double load_kg) {
  const pc_lot *lot = world->lot;
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_unit *unit = &lot->machines[machine].unit;
  const loaded load = {world, machine, from, facing, load_kg, pc_unit_carry_speed(unit, load_kg)};
  to_zone best = {.time_s = INFINITY, .zone = -1};
  size_t nearest = set->slot_ways ? nearest_face(&load) : lot->zone_count;
  if (nearest < lot->zone_count)
    try_zone(&load, nearest, &best);
  for (size_t z = 0; z < lot->zone_count; z++)
    if (z != nearest && pc_view_room(world, z) >= load_kg &&
        zone_floor_m(lot, z, from->at) / load.carry_mps + unit->loader.dump_s < best.time_s)
      try_zone(&load, z, &best);
  return best;
}

/* ---- options of a lane ---- */

/* The least time that a load needs from a place of the lane to the end of its dump: to the nearest zone, and
 * no faster than its speeds allow. The way is that of the slot's middle. */
double pc_keep_least_after_s(const pc_maker *mk, double from_m, int sign) {
  const pc_loader *loader = &mk->unit->loader;
  double station_m = mk->world->lot->ground->patches[mk->lane->patch].station_m;
  int station = pc_lane_station(mk->world->lot, mk->lane, from_m, sign);
  double way = pc_set_of(mk->world, mk->machine)->slot_way_m[mk->lane->first + (size_t)station] - station_m;
  return pc_greater(0.0, way) / pc_greater(loader->carry_speed_mps, loader->push_speed_mps) + loader->dump_s;
}

/* The plan's keys for the sections of a lane in one direction; NULL: there are none. */
static const int16_t *keys_of(const pc_maker *mk, double sign) {
  const pc_plan *plan = mk->world->plan;
  const pc_lot *lot = mk->world->lot;
  size_t lane = mk->lane_index;
  if (!plan || !plan->keys)
    return NULL;
  for (size_t s = 0; s < lot->machines[mk->machine].lane_set; s++)
    lane += lot->lane_sets[s].lane_count;
  return &plan->keys[(2 * lane + (sign > 0.0)) * PC_PLAN_SECTIONS];
}

static int section_of(const pc_maker *mk, double u_m) {
  const pc_patch *patch = &mk->world->lot->ground->patches[mk->lane->patch];
  double place = (u_m - patch->u0_m) / (patch->stations * patch->station_m) * PC_PLAN_SECTIONS;
  return place <= 0.0 ? 0 : place < PC_PLAN_SECTIONS - 1 ? (int)place : PC_PLAN_SECTIONS - 1;
}

static double priced_s(const pc_maker *mk, int key, double gain_kg) {
  return key * 1e-3 * mk->world->plan->rate_spkg * gain_kg;
}

/* What the plan adds to the waste of a bite in this stretch, s. */
static double key_s(const pc_maker *mk, double middle_m, double sign, double gain_kg) {
  const int16_t *keys = keys_of(mk, sign);
  return keys ? priced_s(mk, keys[section_of(mk, middle_m)], gain_kg) : 0.0;
}

double pc_keep_most_ideal_s(const pc_maker *mk, const pc_option *o, double gain_kg) {
  double sign = o->to_m > o->from_m ? 1.0 : -1.0;
  const int16_t *keys = keys_of(mk, sign);
  if (!keys)
    return o->ideal_s;
  int last = section_of(mk, 0.5 * (o->from_m + o->stop_m)), step = sign > 0.0 ? 1 : -1, least = 0;
  for (int i = section_of(mk, o->from_m); (last - i) * step >= 0; i += step)
    least = keys[i] < least ? keys[i] : least;
  return o->ideal_s + priced_s(mk, keys[last], o->gain_kg) - priced_s(mk, least, gain_kg);
}

/* Time and worth of a bite with load_kg in the box already. False if it gives nothing or has nowhere to go.
 */
bool pc_keep_judge(const pc_maker *mk, double from_m, double to_m, double load_kg, pc_option *result) {
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
  const pc_plan_weights *w = &pc_keep_of(world, mk->machine)->weights;
  result->ideal_s = w->ideal * ideal - w->load_s - key_s(mk, 0.5 * (from_m + sweep.stop_m), sign, gain);
  if (mk->gate_s < INFINITY &&
      fill + pc_keep_least_after_s(mk, sweep.stop_m, (int)-sign) - result->ideal_s - mk->rate * gain >
          mk->gate_s)
    return false;
  const pc_patch *patch = &lot->ground->patches[mk->lane->patch];
  pc_point push = {sign * patch->cosine, sign * patch->sine};
  pc_place stop = pc_world_place(world, mk->machine, mk->lane, sweep.stop_m);
  to_zone zone = best_zone(world, mk->machine, &stop, push, sweep.load_kg);
  if (zone.zone < 0)
    return false;
  double dirty_s_per_m = 1.0 / unit->loader.push_speed_mps - 1.0 / unit->loader.carry_speed_mps;
  double least = fill + zone.time_s + w->dirty * zone.way.length_m * pc_lesser(0.0, dirty_s_per_m);
  if (mk->gate_s < INFINITY && least - result->ideal_s - mk->rate * gain > mk->gate_s)
    return false;
  pc_point points[PC_WAY_POINTS_MAX];
  int count = pc_routes_path(pc_set_of(world, mk->machine)->routes, stop.at, &zone.way, points);
  double slow =
      dirty_s_per_m * pc_world_dirty_length_m(world, lot->machines[mk->machine].lane_set, points, count);
  if (lot->slow)
    slow += pc_world_slow_s(world,
                            pc_world_slow_m(world, pc_set_of(world, mk->machine)->routes, stop.at, &zone.way),
                            unit->loader.carry_speed_mps);
  double aside = along_lane_kg(world, mk->machine, mk->lane, sweep.stop_m, stop.at, points[1], from_m);
  double cycle = fill + zone.time_s + w->dirty * slow;
  result->after_s = cycle + w->spill * (aside + sweep.spilled_kg) * (cycle + ideal) / full_kg;
  result->waste_s = result->after_s - result->ideal_s;
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
static const pc_option *find_known(const pc_maker *mk, double from_m, double to_m) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  for (int k = 0; k < mk->known_count; k++) {
    const pc_option *o = &mk->known[k];
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

static void add_option(pc_maker *mk, double from_m, double to_m) {
  pc_bite bite = {mk->lane_index, from_m, to_m, -1};
  pc_keep_off_walls(mk->world->lot, pc_set_of(mk->world, mk->machine), &bite);
  if (mk->list->count >= PC_KEEP_OPTIONS || bite.from_m == bite.to_m)
    return;
  const pc_option *known = find_known(mk, bite.from_m, bite.to_m);
  if (known) {
    mk->list->items[mk->list->count++] = *known;
    return;
  }
  if (pc_keep_judge(mk, bite.from_m, bite.to_m, 0.0, &mk->list->items[mk->list->count]))
    mk->list->count++;
}

/* Where the snow of a slot ends, looking in direction `sign`. */
static double snow_edge_m(const pc_maker *mk, int station, int sign) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  const pc_patch *patch = &mk->world->lot->ground->patches[mk->lane->patch];
  size_t slot = mk->lane->first + (size_t)station;
  return patch->u0_m + (station + (sign > 0 ? state->high[slot] : state->low[slot])) * patch->station_m;
}

/* From the far end of slot `end` backwards until a box is full: where a bite must begin to be full there; the
 * near end of slot `begin` if there is not enough. */
static double start_for_end(const pc_maker *mk, int end, int sign, int begin) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  const pc_patch *patch = &mk->world->lot->ground->patches[mk->lane->patch];
  double keep = 1.0 - mk->unit->filling.leave;
  double need = mk->world->full_met_kg[mk->machine];
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
static void options_inside(pc_maker *mk, int begin, int end, int sign) {
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  double keep = 1.0 - mk->unit->filling.leave, ahead = 0.0, behind = 0.0;
  double load = mk->world->full_met_kg[mk->machine];
  double end_m = snow_edge_m(mk, end, sign), next = load;
  for (int i = begin; i != end + sign; i += sign)
    ahead += state->slot_kg[mk->lane->first + (size_t)i] * keep;
  int left = pc_keep_of(mk->world, mk->machine)->weights.starts;
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
static void options_of_run(pc_maker *mk, int first, int last, int sign) {
  int begin = sign > 0 ? first : last, end = sign > 0 ? last : first;
  const pc_lane_state *state = pc_state_of(mk->world, mk->machine);
  int far = pc_last_dirty(pc_set_of(mk->world, mk->machine), state, mk->lane, begin, sign);
  double begin_m = snow_edge_m(mk, begin, -sign), end_m = snow_edge_m(mk, end, sign);
  add_option(mk, begin_m, snow_edge_m(mk, far, sign));
  double start_m = start_for_end(mk, end, sign, begin);
  if (start_m != begin_m)
    add_option(mk, start_m, end_m);
  if (pc_keep_of(mk->world, mk->machine)->weights.starts > 0)
    options_inside(mk, begin, end, sign);
}

static void make_options(pc_maker *mk) {
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

/* Afresh: without what was judged before. */
static void renew_lane(const pc_world *world, size_t machine, size_t lane, pc_lane_options *list,
                       bool afresh) {
  pc_option known[PC_KEEP_OPTIONS];
  if (!afresh)
    memcpy(known, list->items, (size_t)list->count * sizeof *known);
  pc_maker mk = {world,
                 machine,
                 lane,
                 &pc_set_of(world, machine)->lanes[lane],
                 &world->lot->machines[machine].unit,
                 list,
                 known,
                 afresh ? 0 : list->count,
                 0.0,
                 INFINITY};
  make_options(&mk);
}

/* The lanes of one area, which the machine works now or not; `fresh`: all afresh. How many options it offers
 * there; `before`: as many as all areas offered before. */
static int renew_area(const pc_world *world, size_t machine, size_t patch, bool fresh, int before,
                      pc_keep_machine *own) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const uint32_t *version = pc_state_of(world, machine)->version;
  bool open = pc_may_work(world, machine, (int)patch);
  int offered = 0;
  if (!open && before == 0)
    return 0;
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++) {
    pc_lane_options *list = &own->lanes[l];
    bool afresh = fresh || (2 * l == own->rotation && list->count > 0);
    if (open && (list->version != version[l] || afresh))
      renew_lane(world, machine, l, list, afresh);
    list->offered = open ? list->count : 0;
    offered += list->offered;
  }
  return offered;
}

void pc_keep_renew(const pc_world *world, size_t machine, pc_keep_machine *own) {
  double fullness = 0.0, full_kg = world->lot->full_at * world->lot->machines[machine].unit.capacity_kg;
  for (size_t z = 0; z < world->lot->zone_count; z++)
    fullness += pc_view_room(world, z) >= full_kg ? ldexp(1.0, (int)(z % 50)) : 0.0;
  own->rotation = own->rotation + 1 < 2 * pc_set_of(world, machine)->lane_count ? own->rotation + 1 : 0;
  int offered = 0;
  for (size_t p = 0; p < world->lot->area_count; p++)
    offered += renew_area(world, machine, p, fullness != own->fullness, own->offered, own);
  own->offered = offered;
  own->fullness = fullness;
}

double pc_keep_zone_s(const pc_world *world, size_t machine, const pc_place *from, pc_point facing,
                      double load_kg) {
  return best_zone(world, machine, from, facing, load_kg).time_s;
}
