// SPDX-License-Identifier: GPL-3.0-or-later
/* What a box meets in one slot: the arithmetic that pushing (sweep.c) and foreseeing (foresee.c) share, to
 * the last bit. Internal to lib/sim. */
#ifndef PC_SIM_SLOT_BITE_H
#define PC_SIM_SLOT_BITE_H

#include "sim/world.h"

/* Time over a stretch with the load growing from a to b: Simpson over 1/v; one division if nothing limits. */
static inline double stretch_time_s(const pc_unit *unit, double load_a, double load_b, double stream_kgpm,
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

static inline double slot_edge_m(const pc_patch *patch, int station, int sign) {
  return patch->u0_m + (station + (sign > 0 ? 1 : 0)) * patch->station_m;
}

/* The snow of a slot that lies ahead of a box entering at u_m. */
static inline slot_bite look_ahead(const pc_lane_state *state, const pc_patch *patch, size_t slot,
                                   int station, int sign, double u_m) {
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
static inline void end_within(slot_bite *bite, const pc_patch *patch, int station, int sign, double to_m) {
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
static inline double slowed_s(const pc_lot *lot, const pc_lane_set *set, size_t slot, double length_m,
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

/* The slots that a box drives over along a lane, from one place towards another. */
typedef struct slot_walk {
  const pc_lot *lot;
  const pc_unit *unit;
  const pc_lane_set *set;
  const pc_lane_state *state;
  const pc_lane *lane;
  const pc_patch *patch;
  int first, last, sign; /* stations; for (i = first; walks_over(w, i); i += sign) */
  double to_m;
} slot_walk;

static inline slot_walk walk_of(const pc_world *world, size_t machine, const pc_lane *lane, double from_m,
                                double to_m) {
  const pc_lot *lot = world->lot;
  int sign = to_m >= from_m ? 1 : -1;
  return (slot_walk){lot,
                     &lot->machines[machine].unit,
                     pc_set_of(world, machine),
                     pc_state_of(world, machine),
                     lane,
                     &lot->ground->patches[lane->patch],
                     pc_lane_station(lot, lane, from_m, sign),
                     pc_lane_station(lot, lane, to_m, -sign),
                     sign,
                     to_m};
}

static inline bool walks_over(const slot_walk *w, int station) {
  return (w->last - station) * w->sign >= 0;
}

/* What a box that has come to at_m finds in its slot. */
static inline slot_bite walk_ahead(const slot_walk *w, int station, double at_m) {
  slot_bite bite = look_ahead(w->state, w->patch, w->lane->first + (size_t)station, station, w->sign, at_m);
  if (station == w->last)
    end_within(&bite, w->patch, station, w->sign, w->to_m);
  return bite;
}

/* Takes the snow of the slot into the sums of the sweep. */
static inline void walk_meet(const slot_walk *w, int station, double target_kg, double *need_kg,
                             slot_bite *bite, pc_sweep *sweep) {
  size_t slot = w->lane->first + (size_t)station;
  double before_s = sweep->time_s;
  sweep->fresh_slots += w->state->fresh[slot];
  meet_slot(w->unit, w->state->slot_kg[slot], w->patch->station_m, target_kg, need_kg, bite, sweep);
  if (w->set->slot_slow)
    sweep->time_s = before_s + slowed_s(w->lot, w->set, slot, bite->length_m, sweep->time_s - before_s);
}

/* Where the box is after this slot; false if the bite ends in it. */
static inline bool walk_on(const slot_walk *w, int station, const slot_bite *bite, pc_sweep *sweep) {
  sweep->stop_m =
      bite->through ? slot_edge_m(w->patch, station, w->sign) : sweep->stop_m + w->sign * bite->length_m;
  return bite->through;
}

/* What all slots of a bite have in common. */
typedef struct slot_pass {
  const pc_unit *unit;
  double keep, gain, knee_kg;      /* film and side leak taken off; load from which the box spills more */
  double easy_kgpm, easy_kg;       /* a stream that slows nobody; a slot that surely brings no more */
  double length_m, time_s, near_s; /* of a slot, at push speed and near things */
  const unsigned char *slow;       /* per station; NULL: nowhere */
} slot_pass;

static inline slot_pass slot_pass_of(const pc_lot *lot, const pc_lane_set *set, const pc_lane *lane,
                                     const pc_unit *unit) {
  const pc_filling *f = &unit->filling;
  double length = lot->ground->patches[lane->patch].station_m;
  return (slot_pass){unit,
                     1.0 - f->leave,
                     1 - f->side_leak,
                     f->spill_from * f->capacity_kg,
                     unit->easy_kgpm,
                     unit->easy_kgpm * length * (1.0 - 1e-12),
                     length,
                     length / unit->loader.push_speed_mps,
                     length / lot->near_speed_mps,
                     set->slot_slow ? &set->slot_slow[lane->first] : NULL};
}

/* The time of one more slot added to a sum, near things near_s at least; to the last bit what slowed_s comes
 * to: sum + (added − sum). In there added − sum is without rounding unless sum is the smaller of the two
 * (Dekker 1971, Numer. Math. 18:224, from memory), so that mostly it all comes to `added`. */
static inline double slowed_sum_s(double sum_s, double time_s, bool slow, double near_s) {
  double added_s = sum_s + time_s;
  if (slow)
    return sum_s + pc_greater(added_s - sum_s, near_s);
  return sum_s >= time_s ? added_s : sum_s + (added_s - sum_s);
}

/* A whole slot that the box runs through: the sums of meet_slot, to the last bit, without its questions.
 * False if the box is full before the end of it. */
static inline bool pass_slot(const slot_pass *f, int station, double kg, double *need_kg, pc_sweep *sweep,
                             double *spill_kg) {
  double met = kg * f->keep, load = sweep->load_kg, after = load + f->gain * met, time_s = f->time_s;
  if (met >= *need_kg)
    return false;
  if (after > f->knee_kg)
    after = pc_filling_load(&f->unit->filling, load, met);
  double spill = met - (after - load), stream;
  if (kg > f->easy_kg && (stream = kg / f->length_m) > f->easy_kgpm)
    time_s = stretch_time_s(f->unit, load, after, stream, f->length_m);
  *need_kg -= met;
  sweep->time_s =
      f->slow ? slowed_sum_s(sweep->time_s, time_s, f->slow[station], f->near_s) : sweep->time_s + time_s;
  *spill_kg = spill > 1e-12 * (after + met) ? spill : 0.0;
  sweep->load_kg = after;
  sweep->spilled_kg += *spill_kg;
  sweep->length_m += f->length_m;
  sweep->slots++;
  return true;
}

#endif
