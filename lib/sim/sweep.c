// SPDX-License-Identifier: GPL-3.0-or-later
/* What a box does to the ground: filling, film, windrows. */
#include <string.h>

#include "sim/slot_bite.h"

/* Snow that leaves the box at its ends: half to the strip on either side, all to one side at an edge, and
 * back into the lane if there is no side at all: then false. `side` ±1: all to that side, if there is one. */
static bool spill_aside(pc_world *world, const pc_lane *lane, int station, double kg, int side) {
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
  return has_right || has_left;
}

/* Brings the lanes beside up to date, as snow has come to their edge. */
static void refresh_beside(pc_world *world, const pc_lane *lane, int station) {
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  size_t own = (size_t)(lane - world->lot->lane_sets[0].lanes);
  if (lane->strip0 > 0)
    pc_refresh_slot(world, 0, own - 1, station);
  if (lane->strip0 + lane->strips < patch->strips)
    pc_refresh_slot(world, 0, own + 1, station);
}

/* Takes `share` of a slot's snow (1 = all but the film); `crossed` when the box ran right through it. */
static void take_from_slot(pc_world *world, const pc_lane *lane, int station, double share, bool crossed,
                           double leave, double spill_kg, int side) {
  size_t cell = pc_patch_cell(&world->lot->ground->patches[lane->patch], station, lane->strip0);
  double keep = 1.0 - share * (1.0 - leave);
  bool spills = spill_kg > 0.0, alone = !pc_marks_cells(world);
  for (size_t j = cell; j < cell + (size_t)lane->strips; j++)
    world->cell_kg[j] *= keep;
  if (crossed && alone)
    world->lanes[0].fresh[lane->first + (size_t)station] = 0;
  else if (crossed)
    memset(&world->cell_swept[cell], 1, (size_t)lane->strips);
  if (crossed && world->cell_bare_kgpm2)
    for (size_t j = cell; j < cell + (size_t)lane->strips; j++)
      world->cell_bare_kgpm2[j] = world->fallen_kgpm2;
  if (spills)
    (void)spill_aside(world, lane, station, spill_kg, side);
  if (alone) { /* neighbours in strips are neighbours in the list of lanes */
    pc_refresh_slot(world, 0, (size_t)(lane - world->lot->lane_sets[0].lanes), station);
    if (spills)
      refresh_beside(world, lane, station);
    return;
  }
  pc_refresh_strips(world, lane->patch, station, lane->strip0 - spills,
                    lane->strip0 + lane->strips - 1 + spills);
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

/* The arrays of one lane, by station, for the inner loop: it writes bytes, after which a compiler has to take
 * anew whatever it gets through a pointer. */
typedef struct lane_slots {
  double *kg, *low, *high, *cells; /* cells: of its first strip at station 0 */
  unsigned char *dirty, *fresh;
  uint32_t *version;
  double *bare_kgpm2; /* like cells; NULL: no snow falls */
  const double *m2;
  double fallen_kgpm2, thin_kg;
  int strips, row; /* cells of a slot, and from one station to the next */
} lane_slots;

static inline lane_slots slots_of(const pc_world *world, const pc_lane_set *set, const pc_lane_state *state,
                                  const pc_lane *lane) {
  const pc_patch *patch = &world->lot->ground->patches[lane->patch];
  size_t first = lane->first, cell = pc_patch_cell(patch, 0, lane->strip0);
  return (lane_slots){&state->slot_kg[first],
                      &state->low[first],
                      &state->high[first],
                      &world->cell_kg[cell],
                      &state->dirty[first],
                      &state->fresh[first],
                      &state->slot_version[first],
                      world->cell_bare_kgpm2 ? &world->cell_bare_kgpm2[cell] : NULL,
                      &set->slot_m2[first],
                      world->fallen_kgpm2,
                      set->thin_kg[lane - set->lanes],
                      lane->strips,
                      patch->strips};
}

/* Whole slots from station i on, up to the one before `last`, with nothing special about them, from which
 * nothing spills: the sums of pass_slot, to the last bit, in registers. Returns the station where that ends.
 */
static int pass_plain(const slot_pass *f, const lane_slots *s, int i, int last, int sign, double *need_kg,
                      pc_sweep *sweep) {
  const slot_pass p = *f;
  double load = sweep->load_kg, need = *need_kg, time_s = sweep->time_s, length_m = sweep->length_m;
  int fresh = 0, at = i;
  for (; at != last && s->m2[at] > 0.0; at += sign) {
    double kg = s->kg[at], met = kg * p.keep, after = load + p.gain * met;
    if (!(met > 0.0) || met >= need || kg > p.easy_kg || after > p.knee_kg ||
        met - (after - load) > 1e-12 * (after + met))
      break;
    need -= met;
    time_s += p.time_s;
    length_m += p.length_m;
    load = after;
    fresh += s->fresh[at];
  }
  *need_kg = need;
  sweep->load_kg = load;
  sweep->time_s = time_s;
  sweep->length_m = length_m;
  sweep->fresh_slots += fresh;
  sweep->slots += sign * (at - i);
  return at;
}

/* Leaves the film on slots i up to, without it, `end`: all that take_from_slot does where nothing spills, no
 * other lane set covers the same ground and there are no walls. */
static void clear_run(pc_lane_state *state, const lane_slots *s, const pc_lane *lane, size_t own, int i,
                      int end, int sign, double keep) {
  uint32_t version = state->version[own];
  int more = 0;
  for (; i != end; i += sign) {
    double *cell = s->cells + (ptrdiff_t)i * s->row, kg = 0.0;
    for (int j = 0; j < s->strips; j++)
      kg += cell[j] *= keep;
    for (int j = 0; s->bare_kgpm2 && j < s->strips; j++)
      s->bare_kgpm2[(ptrdiff_t)i * s->row + j] = s->fallen_kgpm2;
    unsigned char dirty = kg > s->thin_kg;
    more += dirty - s->dirty[i];
    s->kg[i] = kg;
    s->low[i] = 0.0;
    s->high[i] = 1.0;
    s->fresh[i] = 0;
    s->dirty[i] = dirty;
    s->version[i] = ++version;
  }
  state->version[own] = version;
  if (more != 0)
    pc_count_dirty(state, own, (size_t)lane->patch, more);
}

/* Whole slots from station i on, up to the one before the last, while nothing ends the bite there. Returns
 * the station where that ends. */
static int sweep_whole(pc_world *world, size_t machine, const slot_walk *w, const slot_pass *f, int i,
                       double *need_kg, pc_sweep *sweep) {
  pc_lane_state *state = &world->lanes[world->lot->machines[machine].lane_set];
  const pc_lane *lane = w->lane;
  const lane_slots s = slots_of(world, w->set, state, lane);
  const int last = w->last, sign = w->sign;
  size_t own = (size_t)(lane - w->set->lanes);
  double leave = w->unit->filling.leave, keep = 1.0 - f->keep, spill;
  bool alone = !pc_marks_cells(world) && !w->set->slot_ways;
  for (; (last - i) * sign > 0; i += sign) {
    if (alone && !f->slow) {
      int from = i;
      i = pass_plain(f, &s, i, last, sign, need_kg, sweep);
      clear_run(state, &s, lane, own, from, i, sign, keep);
    }
    if (i == last || s.m2[i] <= 0.0 || !pass_slot(f, i, s.kg[i], need_kg, sweep, &spill))
      break;
    sweep->fresh_slots += s.fresh[i];
    if (alone) {
      clear_run(state, &s, lane, own, i, i + sign, sign, keep);
      if (spill > 0.0 && spill_aside(world, lane, i, spill, 0))
        refresh_beside(world, lane, i);
      else if (spill > 0.0)
        pc_refresh_slot(world, 0, own, i);
    } else {
      take_from_slot(world, lane, i, 1.0, true, leave, spill, 0);
      pc_reset_marks(world->lot, w->set, state, lane, lane->first + (size_t)i);
    }
  }
  return i;
}

void pc_world_sweep(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m,
                    double target_kg, pc_sweep *sweep) {
  const slot_walk w = walk_of(world, machine, lane, from_m, to_m);
  const slot_pass f = slot_pass_of(w.lot, w.set, lane, w.unit);
  *sweep = (pc_sweep){from_m, world->machines[machine].load_kg, 0.0, 0.0, 0.0, 0, 0};
  double need_kg = pc_filling_met(&w.unit->filling, sweep->load_kg, target_kg);
  for (int i = w.first; walks_over(&w, i); i += w.sign) {
    if (i == w.first + w.sign) {
      i = sweep_whole(world, machine, &w, &f, i, &need_kg, sweep);
      if (i != w.first + w.sign)
        sweep->stop_m = slot_edge_m(w.patch, i, -w.sign);
    }
    if (w.set->slot_m2[lane->first + (size_t)i] <= 0.0)
      break; /* a gap in the pavement ends every bite */
    slot_bite bite = walk_ahead(&w, i, sweep->stop_m);
    walk_meet(&w, i, target_kg, &need_kg, &bite, sweep);
    take_bite(world, machine, lane, i, w.sign, &bite, 0);
    if (!walk_on(&w, i, &bite, sweep))
      break;
  }
}

void pc_world_push_aside(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m) {
  const slot_walk w = walk_of(world, machine, lane, from_m, to_m);
  double at = from_m;
  for (int i = w.first; walks_over(&w, i); i += w.sign) {
    size_t slot = lane->first + (size_t)i;
    slot_bite bite = walk_ahead(&w, i, at);
    bite.spill_kg = bite.share * (1.0 - w.unit->filling.leave) * w.state->slot_kg[slot];
    if (w.set->slot_m2[slot] > 0.0 && w.state->dirty[slot] && bite.share > 0.0)
      take_bite(world, machine, lane, i, w.sign, &bite, 0);
    at = slot_edge_m(w.patch, i, w.sign);
  }
}

/* Beyond the border of the area. */
static void lay_over(pc_world *world, size_t machine, const pc_lane *lane, int station, int sign,
                     slot_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_beside *beside = &set->over[lane->first + (size_t)station];
  double kg = bite->spill_kg;
  bite->spill_kg = 0.0;
  take_bite(world, machine, lane, station, sign, bite, 0);
  pc_world_drop(world, &set->lanes[beside->lane], beside->station, kg);
}

void pc_world_lay_aside(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m,
                        int side, pc_sweep *sweep) {
  const slot_walk w = walk_of(world, machine, lane, from_m, to_m);
  const pc_lane_set *set = w.set;
  *sweep = (pc_sweep){from_m, 0.0, 0.0, 0.0, 0.0, 0, 0};
  for (int i = w.first; walks_over(&w, i); i += w.sign) {
    size_t slot = lane->first + (size_t)i;
    if (set->slot_m2[slot] <= 0.0)
      break;
    slot_bite bite = walk_ahead(&w, i, sweep->stop_m);
    double met = w.state->slot_kg[slot] * bite.share;
    double stream = bite.length_m > 0.0 ? met / bite.length_m : 0.0;
    double time = stretch_time_s(w.unit, 0.0, 0.0, stream, bite.length_m);
    sweep->time_s += set->slot_slow ? slowed_s(w.lot, set, slot, bite.length_m, time) : time;
    sweep->length_m += bite.length_m;
    sweep->slots++;
    sweep->fresh_slots += w.state->fresh[slot];
    bite.spill_kg = met * (1.0 - w.unit->filling.leave);
    bool room = pc_lane_has_beside(w.lot, lane, i, side);
    bool over = !room && set->over && set->over[slot].lane != PC_NO_ENTRY;
    sweep->spilled_kg += room || over ? bite.spill_kg : 0.0;
    if (bite.share > 0.0 && over)
      lay_over(world, machine, lane, i, w.sign, &bite);
    else if (bite.share > 0.0 && room) /* with nothing beside it, the snow stays */
      take_bite(world, machine, lane, i, w.sign, &bite, side);
    if (!walk_on(&w, i, &bite, sweep))
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
  pc_refresh_strips(world, lane->patch, station, lane->strip0, lane->strip0 + lane->strips - 1);
}
