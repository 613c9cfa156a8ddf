// SPDX-License-Identifier: GPL-3.0-or-later
/* What a box does to the ground: filling, film, windrows, and the running sums that decisions read. */
#include <string.h>

#include "sim/world.h"

int pc_lane_station(const pc_lot *lot, const pc_lane *lane, double u_m, int sign) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double place = (u_m - patch->u0_m) / patch->station_m;
  if (!(place > 0.0))
    return 0;
  if (place >= patch->stations)
    return patch->stations - 1;
  int station = (int)place; /* a border belongs to the slot ahead; within 1e-9 of one counts as on it */
  double past = place - station;
  if (sign > 0)
    return past > 1.0 - 1e-9 && station + 1 < patch->stations ? station + 1 : station;
  return past < 1e-9 && station > 0 ? station - 1 : station;
}

static double off_wall(const pc_slot_way *way, double u_m) {
  if ((way->walls & PC_WALL_LOW) && u_m < way->low_m)
    return way->low_m;
  return (way->walls & PC_WALL_HIGH) && u_m > way->high_m ? way->high_m : u_m;
}

void pc_keep_off_walls(const pc_lot *lot, const pc_lane_set *set, pc_bite *bite) {
  if (!set->slot_ways)
    return;
  const pc_lane *lane = &set->lanes[bite->lane];
  const pc_slot_way *ways = &set->slot_ways[lane->first];
  int sign = bite->to_m > bite->from_m ? 1 : -1;
  bite->from_m = off_wall(&ways[pc_lane_station(lot, lane, bite->from_m, sign)], bite->from_m);
  bite->to_m = off_wall(&ways[pc_lane_station(lot, lane, bite->to_m, -sign)], bite->to_m);
}

void pc_reset_marks(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state, const pc_lane *lane,
                    size_t slot) {
  state->low[slot] = 0.0;
  state->high[slot] = 1.0;
  if (!set->slot_ways || !set->slot_ways[slot].walls)
    return;
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  const pc_slot_way *way = &set->slot_ways[slot];
  double near = patch->u0_m + (double)(slot - lane->first) * patch->station_m;
  if (way->walls & PC_WALL_LOW)
    state->low[slot] = (way->low_m - near) / patch->station_m;
  if (way->walls & PC_WALL_HIGH)
    state->high[slot] = (way->high_m - near) / patch->station_m;
}

void pc_world_start_ground(pc_world *world) {
  const pc_lot *lot = world->lot;
  memcpy(world->cell_kg, lot->cell_kg, lot->ground->cell_count * sizeof *world->cell_kg);
  memset(world->cell_swept, 0, lot->ground->cell_count);
  double thin = lot->snow.done_below_m * lot->fresh_density_kgpm3;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    pc_lane_state *state = &world->lanes[s];
    memcpy(state->slot_kg, set->slot_kg, set->slot_count * sizeof *state->slot_kg);
    state->total_dirty = 0;
    for (size_t l = 0; l < set->lane_count; l++) {
      int dirty = 0;
      for (size_t k = set->lanes[l].first; k < set->lanes[l].first + (size_t)set->lanes[l].stations; k++) {
        pc_reset_marks(lot, set, state, &set->lanes[l], k);
        state->fresh[k] = set->slot_m2[k] > 0.0;
        state->dirty[k] = state->fresh[k] && set->slot_kg[k] > thin * set->slot_m2[k];
        dirty += state->dirty[k];
      }
      state->dirty_count[l] = dirty;
      state->version[l]++;
      for (size_t k = set->lanes[l].first; k < set->lanes[l].first + (size_t)set->lanes[l].stations; k++)
        state->slot_version[k] = state->version[l];
      state->total_dirty += (size_t)dirty;
    }
  }
}

/* ---- keeping the sums ---- */

static void judge_slot(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state, size_t lane,
                       size_t slot) {
  double limit = state->fresh[slot] ? lot->snow.done_below_m * lot->fresh_density_kgpm3 * set->slot_m2[slot]
                                    : set->thin_kg[lane];
  unsigned char dirty = set->slot_m2[slot] > 0.0 && state->slot_kg[slot] > limit;
  state->dirty_count[lane] += (int)dirty - (int)state->dirty[slot];
  state->total_dirty += (size_t)dirty - (size_t)state->dirty[slot];
  state->dirty[slot] = dirty;
  state->slot_version[slot] = ++state->version[lane];
}

/* Sums a slot's cells afresh. */
static void refresh_slot(pc_world *world, size_t set_index, size_t lane_index, int station) {
  const pc_lot *lot = world->lot;
  const pc_lane_set *set = &lot->lane_sets[set_index];
  pc_lane_state *state = &world->lanes[set_index];
  const pc_lane *lane = &set->lanes[lane_index];
  size_t cell = pc_patch_cell(&lot->ground->patches[lane->patch], station, lane->strip0);
  size_t slot = lane->first + (size_t)station;
  double kg = 0.0;
  unsigned char fresh = 0;
  for (size_t j = cell; j < cell + (size_t)lane->strips; j++) {
    kg += world->cell_kg[j];
    fresh |= !world->cell_swept[j] && lot->ground->cell_m2[j] > 0.0;
  }
  if (kg > state->slot_kg[slot]) /* snow came in from the side */
    pc_reset_marks(lot, set, state, lane, slot);
  state->slot_kg[slot] = kg;
  state->fresh[slot] = fresh;
  judge_slot(lot, set, state, lane_index, slot);
}

static size_t lane_of_strip(const pc_lot *lot, const pc_lane_set *set, int patch, int strip) {
  long lanes = (long)(set->patch_lane[patch + 1] - set->patch_lane[patch]);
  return set->patch_lane[patch] +
         (size_t)((((long)strip + 1) * lanes - 1) / lot->ground->patches[patch].strips);
}

/* Brings every lane that covers strips low … high (both included) up to date at one station. */
static void refresh_strips(pc_world *world, int patch, int station, int low, int high) {
  const pc_lot *lot = world->lot;
  int last_strip = lot->ground->patches[patch].strips - 1;
  low = low < 0 ? 0 : low;
  high = high > last_strip ? last_strip : high;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    size_t last = lane_of_strip(lot, set, patch, high);
    for (size_t l = lane_of_strip(lot, set, patch, low); l <= last; l++)
      refresh_slot(world, s, l, station);
  }
}

/* Snow that leaves the box at its ends: half to the strip on either side, all to one side at an edge, and
 * back into the lane if there is no side at all. `side` ±1: all to that side, if there is one. */
static void spill_aside(pc_world *world, const pc_lane *lane, int station, double kg, int side) {
  const pc_ground *ground = world->lot->ground;
  const pc_patch *patch = &ground->patches[lane->patch];
  size_t first = pc_patch_cell(patch, station, lane->strip0);
  size_t right = first - 1, left = first + (size_t)lane->strips;
  bool has_right = lane->strip0 > 0 && ground->cell_m2[right] > 0.0;
  bool has_left = lane->strip0 + lane->strips < patch->strips && ground->cell_m2[left] > 0.0;
  if (side > 0 && has_left)
    has_right = false;
  else if (side < 0 && has_right)
    has_left = false;
  if (has_right)
    world->cell_kg[right] += has_left ? 0.5 * kg : kg;
  if (has_left)
    world->cell_kg[left] += has_right ? 0.5 * kg : kg;
  if (!has_right && !has_left)
    world->cell_kg[first] += kg;
}

/* Takes `share` of a slot's snow (1 = all but the film); `crossed` when the box ran right through it. */
static void take_from_slot(pc_world *world, const pc_lane *lane, int station, double share, bool crossed,
                           double leave, double spill_kg, int side) {
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  size_t cell = pc_patch_cell(patch, station, lane->strip0);
  double keep = 1.0 - share * (1.0 - leave);
  for (size_t j = cell; j < cell + (size_t)lane->strips; j++)
    world->cell_kg[j] *= keep;
  if (crossed)
    memset(&world->cell_swept[cell], 1, (size_t)lane->strips);
  bool spills = spill_kg > 0.0;
  if (spills)
    spill_aside(world, lane, station, spill_kg, side);
  if (world->lot->lane_set_count == 1) { /* neighbours in strips are neighbours in the list of lanes */
    size_t own = (size_t)(lane - world->lot->lane_sets[0].lanes);
    refresh_slot(world, 0, own, station);
    if (spills && lane->strip0 > 0)
      refresh_slot(world, 0, own - 1, station);
    if (spills && lane->strip0 + lane->strips < patch->strips)
      refresh_slot(world, 0, own + 1, station);
    return;
  }
  refresh_strips(world, lane->patch, station, lane->strip0 - spills,
                 lane->strip0 + lane->strips - 1 + spills);
}

/* ---- filling ---- */

/* Time over a stretch with the load growing from a to b: Simpson over 1/v; one division if nothing limits. */
static double stretch_time_s(const pc_unit *unit, double load_a, double load_b, double stream_kgpm,
                             double length_m) {
  if (stream_kgpm <= unit->easy_kgpm)
    return length_m / unit->loader.push_speed_mps;
  double a = 1.0 / pc_unit_push_speed(unit, load_a, stream_kgpm);
  double m = 1.0 / pc_unit_push_speed(unit, 0.5 * (load_a + load_b), stream_kgpm);
  double b = 1.0 / pc_unit_push_speed(unit, load_b, stream_kgpm);
  return length_m * (a + 4.0 * m + b) / 6.0;
}

typedef struct slot_bite {   /* what a box finds in one slot, from where it enters, in its own direction */
  double enter, first, last; /* 0 … 1 from the slot's near edge: where it enters, where the snow lies ahead */
  double share;              /* of the slot's snow that is taken */
  double length_m, spill_kg;
  bool through; /* drives on to the far edge */
} slot_bite;

static double slot_edge_m(const pc_patch *patch, int station, int sign) {
  return patch->u0_m + (station + (sign > 0 ? 1 : 0)) * patch->station_m;
}

/* The snow of a slot that lies ahead of a box entering at u_m. */
static slot_bite look_ahead(const pc_lane_state *state, const pc_patch *patch, size_t slot, int station,
                            int sign, double u_m) {
  double near = slot_edge_m(patch, station, -sign);
  double first = sign > 0 ? state->low[slot] : 1.0 - state->high[slot];
  double last = sign > 0 ? state->high[slot] : 1.0 - state->low[slot];
  slot_bite bite = {pc_lesser(1.0, pc_greater(0.0, sign * (u_m - near) / patch->station_m)),
                    first,
                    last,
                    1.0,
                    0.0,
                    0.0,
                    true};
  if (bite.enter > first + 1e-9) { /* not by rounding only: a bite that goes on where one stopped takes all */
    bite.share = bite.enter < last - 1e-9 ? (last - bite.enter) / (last - first) : 0.0;
    bite.first = pc_lesser(bite.enter, last);
  }
  bite.length_m = (1.0 - bite.enter) * patch->station_m;
  return bite;
}

/* Ends a bite at to_m, if that lies within this slot. */
static void end_within(slot_bite *bite, const pc_patch *patch, int station, int sign, double to_m) {
  double end = sign * (to_m - slot_edge_m(patch, station, -sign)) / patch->station_m;
  if (end > 1.0 - 1e-9)
    return;
  double last = pc_greater(bite->first, pc_lesser(bite->last, end));
  bite->share *= bite->last > bite->first ? (last - bite->first) / (bite->last - bite->first) : 0.0;
  bite->length_m = pc_greater(0.0, end - bite->enter) * patch->station_m;
  bite->last = last;
  bite->through = false;
}

/* Near things a machine takes at least as long as its speed there allows. */
static double slowed_s(const pc_lot *lot, const pc_lane_set *set, size_t slot, double length_m,
                       double time_s) {
  return set->slot_slow[slot] ? pc_greater(time_s, length_m / lot->near_speed_mps) : time_s;
}

/* The box meets `kg` × share in a slot; *need_kg is what it still has to meet to be full. */
static inline void meet_slot(const pc_unit *unit, double kg, double station_m, double target_kg,
                             double *need_kg, slot_bite *bite, pc_sweep *sweep) {
  double met = kg * bite->share * (1.0 - unit->filling.leave), load = sweep->load_kg, after;
  double stream = bite->length_m > 0.0 ? kg * bite->share / bite->length_m : 0.0;
  if (met >= *need_kg) { /* full before the end */
    double part = met > 0.0 ? *need_kg / met : 1.0;
    bite->through = false;
    bite->length_m = (bite->first + part * (bite->last - bite->first) - bite->enter) * station_m;
    bite->share *= part;
    met = *need_kg;
    after = target_kg;
  } else {
    after = pc_filling_load(&unit->filling, load, met);
  }
  *need_kg -= met;
  double spill =
      met - (after - load); /* rounding is no windrow: neighbours would forget where their snow lies */
  bite->spill_kg = spill > 1e-12 * (after + met) ? spill : 0.0;
  sweep->time_s += stretch_time_s(unit, load, after, stream, bite->length_m);
  sweep->load_kg = after;
  sweep->spilled_kg += bite->spill_kg;
  sweep->length_m += bite->length_m;
  sweep->slots++;
}

/* Where the rest of a slot's snow lies once the bite has been taken out of it. False: anywhere, as all was
 * taken, or a piece is left at either end. */
static bool note_rest(pc_lane_state *state, size_t slot, int sign, const slot_bite *bite, double first,
                      double last, double station_m) {
  double low = 0.0, high = 0.0;
  if (bite->share < 1.0 && bite->through) {
    low = first, high = bite->first;
  } else if (!bite->through && bite->first <= first) {
    low = pc_lesser(pc_greater(first, bite->enter + bite->length_m / station_m), last), high = last;
  }
  if (high - low < 1e-6) /* too narrow to begin a bite in */
    return false;
  state->low[slot] = sign > 0 ? low : 1.0 - high;
  state->high[slot] = sign > 0 ? high : 1.0 - low;
  return true;
}

static void take_bite(pc_world *world, size_t machine, const pc_lane *lane, int station, int sign,
                      const slot_bite *bite, int side) {
  pc_lane_state *state = &world->lanes[world->lot->machines[machine].lane_set];
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  size_t slot = lane->first + (size_t)station;
  double first = sign > 0 ? state->low[slot] : 1.0 - state->high[slot];
  double last = sign > 0 ? state->high[slot] : 1.0 - state->low[slot];
  take_from_slot(world, lane, station, bite->share, bite->share >= 1.0,
                 world->lot->machines[machine].unit.filling.leave, bite->spill_kg, side);
  if (!note_rest(state, slot, sign, bite, first, last, patch->station_m))
    pc_reset_marks(world->lot, pc_set_of(world, machine), state, lane, slot);
}

void pc_world_sweep(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m,
                    double target_kg, pc_sweep *sweep) {
  const pc_unit *unit = &world->lot->machines[machine].unit;
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  const pc_lane_state *state = pc_state_of(world, machine);
  const pc_lane_set *set = pc_set_of(world, machine);
  int sign = to_m >= from_m ? 1 : -1;
  *sweep = (pc_sweep){from_m, world->machines[machine].load_kg, 0.0, 0.0, 0.0, 0, 0};
  double need_kg = pc_filling_met(&unit->filling, sweep->load_kg, target_kg);
  int last = pc_lane_station(world->lot, lane, to_m, -sign);
  for (int i = pc_lane_station(world->lot, lane, from_m, sign); sign > 0 ? i <= last : i >= last; i += sign) {
    size_t slot = lane->first + (size_t)i;
    if (set->slot_m2[slot] <= 0.0)
      break; /* a gap in the pavement ends every bite */
    slot_bite bite = look_ahead(state, patch, slot, i, sign, sweep->stop_m);
    if (i == last)
      end_within(&bite, patch, i, sign, to_m);
    sweep->fresh_slots += state->fresh[slot];
    double before_s = sweep->time_s;
    meet_slot(unit, state->slot_kg[slot], patch->station_m, target_kg, &need_kg, &bite, sweep);
    if (set->slot_slow)
      sweep->time_s = before_s + slowed_s(world->lot, set, slot, bite.length_m, sweep->time_s - before_s);
    take_bite(world, machine, lane, i, sign, &bite, 0);
    sweep->stop_m = bite.through ? slot_edge_m(patch, i, sign) : sweep->stop_m + sign * bite.length_m;
    if (!bite.through)
      break;
  }
}

void pc_world_push_aside(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m) {
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_lane_state *state = pc_state_of(world, machine);
  double leave = world->lot->machines[machine].unit.filling.leave, at = from_m;
  int sign = to_m >= from_m ? 1 : -1;
  int last = pc_lane_station(world->lot, lane, to_m, -sign);
  for (int i = pc_lane_station(world->lot, lane, from_m, sign); sign > 0 ? i <= last : i >= last; i += sign) {
    size_t slot = lane->first + (size_t)i;
    slot_bite bite = look_ahead(state, patch, slot, i, sign, at);
    if (i == last)
      end_within(&bite, patch, i, sign, to_m);
    bite.spill_kg = bite.share * (1.0 - leave) * state->slot_kg[slot];
    if (set->slot_m2[slot] > 0.0 && state->dirty[slot] && bite.share > 0.0)
      take_bite(world, machine, lane, i, sign, &bite, 0);
    at = slot_edge_m(patch, i, sign);
  }
}

void pc_world_lay_aside(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m,
                        int side, pc_sweep *sweep) {
  const pc_unit *unit = &world->lot->machines[machine].unit;
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  const pc_lane_state *state = pc_state_of(world, machine);
  const pc_lane_set *set = pc_set_of(world, machine);
  int sign = to_m >= from_m ? 1 : -1, last = pc_lane_station(world->lot, lane, to_m, -sign);
  *sweep = (pc_sweep){from_m, 0.0, 0.0, 0.0, 0.0, 0, 0};
  for (int i = pc_lane_station(world->lot, lane, from_m, sign); sign > 0 ? i <= last : i >= last; i += sign) {
    size_t slot = lane->first + (size_t)i;
    if (set->slot_m2[slot] <= 0.0)
      break;
    slot_bite bite = look_ahead(state, patch, slot, i, sign, sweep->stop_m);
    if (i == last)
      end_within(&bite, patch, i, sign, to_m);
    double met = state->slot_kg[slot] * bite.share;
    double stream = bite.length_m > 0.0 ? met / bite.length_m : 0.0;
    double time = stretch_time_s(unit, 0.0, 0.0, stream, bite.length_m);
    sweep->time_s += set->slot_slow ? slowed_s(world->lot, set, slot, bite.length_m, time) : time;
    sweep->length_m += bite.length_m;
    sweep->slots++;
    sweep->fresh_slots += state->fresh[slot];
    bite.spill_kg = met * (1.0 - unit->filling.leave);
    int strip = side > 0 ? lane->strip0 + lane->strips : lane->strip0 - 1;
    bool room = strip >= 0 && strip < patch->strips &&
                world->lot->ground->cell_m2[pc_patch_cell(patch, i, strip)] > 0.0;
    sweep->spilled_kg += room ? bite.spill_kg : 0.0;
    if (bite.share > 0.0 && room) /* with nothing beside it, the snow stays */
      take_bite(world, machine, lane, i, sign, &bite, side);
    sweep->stop_m = bite.through ? slot_edge_m(patch, i, sign) : sweep->stop_m + sign * bite.length_m;
    if (!bite.through)
      break;
  }
}

void pc_world_drop(pc_world *world, const pc_lane *lane, int station, double kg) {
  const pc_ground *ground = world->lot->ground;
  size_t cell = pc_patch_cell(&ground->patches[lane->patch], station, lane->strip0);
  double m2 = 0.0;
  for (size_t j = cell; j < cell + (size_t)lane->strips; j++)
    m2 += ground->cell_m2[j];
  for (size_t j = cell; j < cell + (size_t)lane->strips; j++)
    world->cell_kg[j] += kg * (ground->cell_m2[j] / m2);
  refresh_strips(world, lane->patch, station, lane->strip0, lane->strip0 + lane->strips - 1);
}

/* What all slots of a foreseen bite have in common. */
typedef struct foresight {
  const pc_lot *lot;
  const pc_lane_set *set;
  double keep, gain, knee_kg; /* film and side leak taken off; load from which the box spills more */
  double easy_kgpm;
  double length_m, time_s, near_s; /* of a slot, at push speed and near things */
} foresight;

static foresight foresight_of(const pc_lot *lot, const pc_lane_set *set, const pc_unit *unit,
                              const pc_patch *patch) {
  const pc_filling *f = &unit->filling;
  double length = patch->station_m;
  return (foresight){lot,
                     set,
                     1.0 - f->leave,
                     1 - f->side_leak,
                     f->spill_from * f->capacity_kg,
                     unit->easy_kgpm,
                     length,
                     length / unit->loader.push_speed_mps,
                     length / lot->near_speed_mps};
}

/* A whole slot that the box runs through with nothing special about it: the sums of meet_slot, to the last
 * bit, without its questions. False if there is something special. */
static inline bool pass_slot(const foresight *f, size_t slot, double kg, double *need_kg, pc_sweep *sweep) {
  double met = kg * f->keep, load = sweep->load_kg, after = met > 0 ? load + f->gain * met : load;
  if (met >= *need_kg || kg / f->length_m > f->easy_kgpm || (met > 0 && after > f->knee_kg))
    return false;
  double spill = met - (after - load), before_s = sweep->time_s;
  *need_kg -= met;
  sweep->time_s += f->time_s;
  if (f->set->slot_slow) {
    double time_s = sweep->time_s - before_s;
    sweep->time_s = before_s + (f->set->slot_slow[slot] ? pc_greater(time_s, f->near_s) : time_s);
  }
  sweep->load_kg = after;
  sweep->spilled_kg += spill > 1e-12 * (after + met) ? spill : 0.0;
  sweep->length_m += f->length_m;
  sweep->slots++;
  return true;
}

void pc_world_foresee(const pc_world *world, size_t machine, size_t lane_index, double from_m, double to_m,
                      double load_kg, pc_sweep *sweep, double *ideal_kgm) {
  const pc_lot *lot = world->lot;
  const pc_unit *unit = &lot->machines[machine].unit;
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_lane_state *state = pc_state_of(world, machine);
  const pc_lane *lane = &set->lanes[lane_index];
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double target_kg = lot->full_at * unit->capacity_kg, ideal = 0.0;
  int sign = to_m >= from_m ? 1 : -1;
  *sweep = (pc_sweep){from_m, load_kg, 0.0, 0.0, 0.0, 0, 0};
  double need_kg = pc_filling_met(&unit->filling, load_kg, target_kg);
  const foresight f = foresight_of(lot, set, unit, patch);
  int first = pc_lane_station(lot, lane, from_m, sign), last = pc_lane_station(lot, lane, to_m, -sign);
  for (int i = first; sign > 0 ? i <= last : i >= last; i += sign) {
    size_t slot = lane->first + (size_t)i;
    if (set->slot_m2[slot] <= 0.0)
      break;
    double before = sweep->load_kg;
    if (i != first && i != last && pass_slot(&f, slot, state->slot_kg[slot], &need_kg, sweep)) {
      sweep->fresh_slots += state->fresh[slot];
      ideal += (sweep->load_kg - before) * set->slot_way_m[slot];
      sweep->stop_m = slot_edge_m(patch, i, sign);
      continue;
    }
    slot_bite bite = look_ahead(state, patch, slot, i, sign, sweep->stop_m);
    if (i == last)
      end_within(&bite, patch, i, sign, to_m);
    double before_s = sweep->time_s;
    meet_slot(unit, state->slot_kg[slot], patch->station_m, target_kg, &need_kg, &bite, sweep);
    if (set->slot_slow)
      sweep->time_s = before_s + slowed_s(lot, set, slot, bite.length_m, sweep->time_s - before_s);
    sweep->fresh_slots += state->fresh[slot];
    ideal += (sweep->load_kg - before) * set->slot_way_m[slot];
    sweep->stop_m = bite.through ? slot_edge_m(patch, i, sign) : sweep->stop_m + sign * bite.length_m;
    if (!bite.through)
      break;
  }
  *ideal_kgm = ideal;
}
