// SPDX-License-Identifier: GPL-3.0-or-later
/* straight-runs: lanes end to end in order, each by one machine; a full box goes to the nearest zone and the
 * machine comes back to where it stopped. A part load goes on into the next lane.
 * building-out: the same, but lanes nearest to buildings first, and always away from them. */
#include "sim/drive.h"
#include "sim/policies.h"

typedef struct straight_machine {
  size_t lane; /* one more than the lane it works; 0 = none */
  int sign;
  double front_m;
  bool started; /* has bitten into this lane: front_m is then where it stopped */
} straight_machine;

static size_t straight_size(const pc_lot *lot) {
  return lot->machine_count * sizeof(straight_machine);
}

static bool taken(const pc_world *world, const straight_machine *all, size_t machine, size_t lane) {
  for (size_t m = 0; m < world->lot->machine_count; m++)
    if (m != machine && !world->machines[m].finished && all[m].lane == lane + 1 &&
        world->lot->machines[m].lane_set == world->lot->machines[machine].lane_set)
      return true;
  const pc_lane *l = &pc_set_of(world, machine)->lanes[lane];
  return pc_stretch_taken(world, machine, l, -INFINITY, INFINITY);
}

static bool reaches(const pc_world *world, size_t machine, const pc_lane *lane, double u_m) {
  pc_place place = pc_world_place(world, machine, lane, u_m);
  return pc_can_drive(world, machine, &place);
}

/* Fills the bite from the machine's front on; false if the lane has nothing left that way. */
static bool bite_on(const pc_world *world, straight_machine *own, size_t machine, pc_bite *bite) {
  const pc_lane_state *state = pc_state_of(world, machine);
  const pc_lane *lane = &pc_set_of(world, machine)->lanes[own->lane - 1];
  int here = pc_lane_station(world->lot, lane, own->front_m, own->sign);
  int first = pc_next_dirty(state, lane, here, own->sign);
  if (first < 0)
    return false;
  int last = pc_last_dirty(pc_set_of(world, machine), state, lane, first, own->sign);
  bite->lane = own->lane - 1;
  bite->from_m =
      first == here ? own->front_m : pc_slot_low_m(world->lot, lane, own->sign > 0 ? first : first + 1);
  bite->to_m = pc_slot_low_m(world->lot, lane, own->sign > 0 ? last + 1 : last);
  bite->zone = -1;
  pc_keep_off_walls(world->lot, pc_set_of(world, machine), bite);
  /* What is left may lie behind the machine, at the lane's end: the lane is then entered anew. */
  return own->sign * (bite->to_m - bite->from_m) > 1e-9;
}

/* Enters a lane at the end nearer to the machine; false if it gets to neither. */
static bool enter(const pc_world *world, straight_machine *own, size_t machine, size_t lane_index) {
  const pc_lane *lane = &pc_set_of(world, machine)->lanes[lane_index];
  const pc_lane_state *state = pc_state_of(world, machine);
  double low = pc_slot_low_m(world->lot, lane, pc_next_dirty(state, lane, 0, 1));
  double high = pc_slot_low_m(world->lot, lane, pc_next_dirty(state, lane, lane->stations - 1, -1) + 1);
  const pc_routes *routes = pc_set_of(world, machine)->routes;
  const pc_outlook *outlook = &world->machines[machine].outlook;
  pc_place a = pc_world_place(world, machine, lane, low), b = pc_world_place(world, machine, lane, high);
  pc_way to_a, to_b;
  pc_routes_between(routes, outlook, &a, &to_a);
  pc_routes_between(routes, outlook, &b, &to_b);
  bool from_low = to_a.length_m <= to_b.length_m * (1.0 + 1e-9); /* a tie must not hang on rounding */
  *own = (straight_machine){lane_index + 1, from_low ? 1 : -1, from_low ? low : high, false};
  return to_a.length_m < INFINITY || to_b.length_m < INFINITY;
}

/* From the building's end of a lane away from it. */
static void enter_outward(const pc_world *world, straight_machine *own, size_t machine, size_t lane_index) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_lane *lane = &set->lanes[lane_index];
  const pc_lane_state *state = pc_state_of(world, machine);
  int sign = set->outward[lane_index], from = sign > 0 ? 0 : lane->stations - 1;
  int first = pc_next_dirty(state, lane, from, sign);
  *own = (straight_machine){lane_index + 1, sign,
                            pc_slot_low_m(world->lot, lane, sign > 0 ? first : first + 1), false};
}

/* Goes on in the machine's lane; false if it is done with it. */
static bool go_on(const pc_world *world, straight_machine *own, size_t machine, pc_bite *bite) {
  if (own->lane > 0 && own->started)
    own->front_m = world->machines[machine].stop_m;
  if (own->lane > 0 && bite_on(world, own, machine, bite) &&
      reaches(world, machine, &pc_set_of(world, machine)->lanes[bite->lane], bite->from_m)) {
    own->started = true;
    return true;
  }
  own->lane = 0;
  return false;
}

static bool may_begin(const pc_world *world, const straight_machine *all, size_t machine, size_t lane,
                      int rank) {
  int patch = pc_set_of(world, machine)->lanes[lane].patch;
  return pc_state_of(world, machine)->dirty_count[lane] > 0 && pc_has_rank(world, machine, patch, rank) &&
         !taken(world, all, machine, lane) && pc_may_work(world, machine, patch);
}

/* Begins a lane in an area of this rank; false if there is none. */
typedef bool begin_lane(const pc_world *world, straight_machine *all, size_t machine, int rank,
                        pc_bite *bite);

static bool begin_next(const pc_world *world, straight_machine *all, size_t machine, int rank,
                       pc_bite *bite) {
  straight_machine *own = &all[machine];
  for (size_t l = 0; l < pc_set_of(world, machine)->lane_count; l++) {
    if (!may_begin(world, all, machine, l, rank))
      continue;
    if (!enter(world, own, machine, l)) {
      own->lane = 0;
      continue;
    }
    own->started = bite_on(world, own, machine, bite);
    return true;
  }
  return false;
}

/* The lane nearest to a building, and pushing away from it. */
static bool begin_nearest(const pc_world *world, straight_machine *all, size_t machine, int rank,
                          pc_bite *bite) {
  straight_machine *own = &all[machine];
  const pc_lane_set *set = pc_set_of(world, machine);
  size_t best = set->lane_count;
  for (size_t l = 0; l < set->lane_count; l++)
    if (may_begin(world, all, machine, l, rank) &&
        (best == set->lane_count || set->from_building_m[l] < set->from_building_m[best] - 1e-6)) {
      straight_machine there;
      enter_outward(world, &there, machine, l);
      if (reaches(world, machine, &set->lanes[l], there.front_m))
        best = l;
    }
  if (best == set->lane_count)
    return false;
  enter_outward(world, own, machine, best);
  own->started = bite_on(world, own, machine, bite);
  return true;
}

/* On in its lane, else into a new one: areas that come first before others. */
static pc_decision next_lane(void *state, const pc_world *world, size_t machine, begin_lane *begin,
                             pc_bite *bite) {
  straight_machine *all = state;
  bool found = go_on(world, &all[machine], machine, bite);
  for (int rank = 1; rank <= world->lot->machines[machine].first_count && !found; rank++)
    found = begin(world, all, machine, rank, bite);
  if (found || begin(world, all, machine, 0, bite))
    return PC_DECIDE_BITE;
  return world->machines[machine].load_kg > 0.0 ? PC_DECIDE_DUMP : PC_DECIDE_WAIT;
}

static pc_decision straight_next(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  return next_lane(state, world, machine, begin_next, bite);
}

static pc_decision building_next(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  return next_lane(state, world, machine, begin_nearest, bite);
}

const pc_policy pc_policy_building_out = {
    "building-out",
    "Lanes nearest to buildings first, pushing away from them; a full box goes to the nearest zone.",
    straight_size, building_next};

const pc_policy pc_policy_straight_runs = {
    "straight-runs",
    "Lanes end to end in order; a full box goes to the nearest zone and comes back to where it stopped.",
    straight_size, straight_next};
