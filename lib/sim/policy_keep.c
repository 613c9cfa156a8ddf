// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * keep-pushing: the bite whose whole cycle (to its start, fill, carry, dump) wastes the least time per
 * kilogram, where waste is the time above the ideal for that snow, Σ m·d·(1/v_empty + 1/v_carry)/c.
 *
 * For each lane a short list of options is kept that does not depend on where the machine stands; it is made
 * afresh when the lane changes, and one lane more in rotation at every other decision, so that what other
 * lanes' clearing does to the carry is seen. A decision then costs one look at each option.
 */
#include "sim/keep.h"

/* Nearer than this to where a bite begins is there: no way to turn into. */
static const double stands_m = 1e-9;

static bool free_for(const pc_world *world, size_t machine, const pc_lane *lane, const pc_option *o) {
  return world->lot->machine_count == 1 ||
         !pc_stretch_taken(world, machine, lane, pc_lesser(o->from_m, o->stop_m),
                           pc_greater(o->from_m, o->stop_m));
}

/* The options of a lane in an area of this rank. */
static inline int options_now(const pc_world *world, size_t machine, const pc_keep_machine *own, size_t lane,
                              int rank) {
  bool wanted = pc_has_rank(world, machine, pc_set_of(world, machine)->lanes[lane].patch, rank);
  return wanted ? own->lanes[lane].offered : 0;
}

/* Bites end where foreseen, so that the claim is no longer than needed. */
static void fill_bite(size_t lane_index, const pc_option *o, pc_bite *bite) {
  *bite = (pc_bite){lane_index, o->from_m, o->stop_m, o->zone};
}

typedef struct choice { /* the best option so far */
  const pc_option *option;
  size_t lane;
  double score;
} choice;

/* What it costs at least to stand where a bite begins. */
typedef struct stand {
  pc_point at, facing;
  double weight, s_per_m, back_s_per_m, least_s_per_m, turn_s;
} stand;

static stand stand_of(const pc_machine *me, const pc_loader *loader, double weight) {
  double forward = 1.0 / loader->return_speed_mps, back = 1.0 / loader->reverse_speed_mps;
  return (stand){me->at, me->facing, weight, forward, back, pc_lesser(forward, back), loader->turn_s};
}

/* Never more than least_waste_s, and less to work out: as far as along one axis, without turns, and a moment
 * less, for a turn may come to less than nothing by rounding, and who stands there does not drive at all. */
static inline double far_waste_s(const stand *from, const pc_option *o) {
  double dx = fabs(o->start.x_m - from->at.x_m), dy = fabs(o->start.y_m - from->at.y_m);
  return o->waste_s + from->weight * (pc_greater(dx, dy) * from->least_s_per_m - 1e-6);
}

/* The least waste that an option can have. */
static inline double least_waste_s(const stand *from, const pc_option *o) {
  double dx = o->start.x_m - from->at.x_m, dy = o->start.y_m - from->at.y_m, squared = dx * dx + dy * dy;
  if (!(squared > stands_m * stands_m))
    return o->waste_s;
  double way = sqrt(squared);
  double out = (from->facing.x_m * dx + from->facing.y_m * dy) / way;
  double in = (o->push.x_m * dx + o->push.y_m * dy) / way;
  double forward = way * from->s_per_m + from->turn_s * (pc_least_turn(out) + pc_least_turn(in));
  double reverse = way * from->back_s_per_m + from->turn_s * (pc_least_turn(-out) + pc_least_turn(-in));
  return o->waste_s + from->weight * pc_lesser(forward, reverse);
}

static void consider(const pc_world *world, size_t machine, const pc_option *o, size_t lane, choice *best) {
  const pc_machine *me = &world->machines[machine];
  pc_approach approach;
  pc_way way;
  const pc_lane_set *set = pc_set_of(world, machine);
  pc_place start = pc_world_place(world, machine, &set->lanes[lane], o->from_m);
  pc_routes_between(set->routes, &me->outlook, &start, &way);
  const pc_unit *unit = &world->lot->machines[machine].unit;
  double empty = pc_keep_of(world, machine)->weights.empty;
  pc_plan_approach(unit, me->at, me->facing, me->reversing, &way, 0.0, world->lot->near_speed_mps, o->push,
                   &approach);
  double score = (empty * approach.time_s + o->after_s - o->ideal_s) / o->gain_kg;
  if (world->lot->slow && pc_clearly_less(score, best->score)) { /* it may well be slower than that */
    double slow = pc_world_slow_m(world, set->routes, me->at, &way);
    pc_plan_approach(unit, me->at, me->facing, me->reversing, &way, slow, world->lot->near_speed_mps, o->push,
                     &approach);
    score = (empty * approach.time_s + o->after_s - o->ideal_s) / o->gain_kg;
  }
  if (pc_clearly_less(score, best->score) &&
      free_for(world, machine, &pc_set_of(world, machine)->lanes[lane], o))
    *best = (choice){o, lane, score};
}

static bool choose_empty(const pc_world *world, size_t machine, pc_keep_machine *own, int rank,
                         pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const size_t lanes = set->lane_count;
  const stand from =
      stand_of(&world->machines[machine], &world->lot->machines[machine].unit.loader, own->weights.empty);
  double least = INFINITY;
  choice likely = {NULL, 0, INFINITY}, best = {NULL, 0, INFINITY};
  /* the likeliest first, so that most others need no closer look */
  for (size_t l = 0; l < lanes; l++) {
    int count = options_now(world, machine, own, l, rank);
    for (int k = 0; k < count; k++) {
      const pc_option *o = &own->lanes[l].items[k];
      double limit = least * o->gain_kg, waste;
      if (far_waste_s(&from, o) < limit && (waste = least_waste_s(&from, o)) < limit &&
          pc_clearly_less(waste, limit)) {
        least = waste / o->gain_kg;
        likely = (choice){o, l, 0.0};
      }
    }
  }
  if (likely.option)
    consider(world, machine, likely.option, likely.lane, &best);
  for (size_t l = 0; l < lanes; l++) {
    int count = options_now(world, machine, own, l, rank);
    for (int k = 0; k < count; k++) {
      const pc_option *o = &own->lanes[l].items[k];
      double limit = best.score * o->gain_kg;
      if (far_waste_s(&from, o) < limit && least_waste_s(&from, o) < limit)
        consider(world, machine, o, l, &best);
    }
  }
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
static double rate_of(const part_load *load, const pc_option *o) {
  return load->part * pc_greater(load->usual, o->waste_s / o->gain_kg);
}

/* The least time to the start of an option. */
static double least_there_s(const pc_maker *mk, const part_load *load, const pc_option *o) {
  const pc_machine *me = &mk->world->machines[mk->machine];
  double dx = o->start.x_m - me->at.x_m, dy = o->start.y_m - me->at.y_m, way = sqrt(dx * dx + dy * dy);
  if (!(way > stands_m))
    return 0.0;
  double out = (me->facing.x_m * dx + me->facing.y_m * dy) / way;
  double in = (o->push.x_m * dx + o->push.y_m * dy) / way;
  return way / load->carry_mps + mk->unit->loader.turn_s * (pc_least_turn(out) + pc_least_turn(in));
}

/* The most that a bite taken on the way can save, s; 0 if nothing. */
static double most_saved_by(const pc_maker *mk, const part_load *load, const pc_option *o) {
  const pc_machine *me = &mk->world->machines[mk->machine];
  double dx = o->start.x_m - me->at.x_m, dy = o->start.y_m - me->at.y_m;
  double gain = pc_lesser(load->room_kg, o->gain_kg);
  double worth = pc_greater(0.0, rate_of(load, o)) * gain + pc_keep_most_ideal_s(mk, o, gain) + load->now_s;
  if (sqrt(dx * dx + dy * dy) >= load->carry_mps * (worth - mk->unit->loader.dump_s))
    return 0.0;
  int sign = o->to_m > o->from_m ? 1 : -1;
  double after = pc_keep_least_after_s(mk, o->from_m, sign);
  if (load->room_kg > o->gain_kg * (1.0 + 1e-9)) { /* for all of it: it ends where an empty box's would */
    double fill = fabs(o->stop_m - o->from_m) / mk->unit->loader.push_speed_mps * (1.0 - 1e-9);
    after = pc_greater(after, fill + pc_keep_least_after_s(mk, o->stop_m, -sign));
  }
  return worth - (least_there_s(mk, load, o) + after);
}

/* What it saves: that time less the time it costs now. 0 if nothing, or less than `least`. */
static double saved_by(pc_maker *mk, const part_load *load, const pc_option *o, double least,
                       pc_option *bite) {
  const pc_world *world = mk->world;
  const pc_machine *me = &world->machines[mk->machine];
  mk->rate = rate_of(load, o);
  mk->gate_s = load->now_s - least_there_s(mk, load, o) - least + 1e-6;
  if (!pc_keep_judge(mk, o->from_m, o->to_m, me->load_kg, bite) ||
      !free_for(world, mk->machine, mk->lane, bite))
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

/* Finds what each option may save at most, and the one that may save most; NULL: none saves anything. */
static const pc_option *find_likely(pc_maker *mk, const part_load *load, const pc_keep_machine *own, int rank,
                                    pc_maker *likely) {
  const pc_lane_set *set = pc_set_of(mk->world, mk->machine);
  const pc_option *first = NULL;
  double most = 0.0;
  for (mk->lane_index = 0; mk->lane_index < set->lane_count; mk->lane_index++) {
    int count = options_now(mk->world, mk->machine, own, mk->lane_index, rank);
    mk->lane = &set->lanes[mk->lane_index];
    for (int k = 0; k < count; k++) {
      pc_option *o = &own->lanes[mk->lane_index].items[k];
      o->most_s = most_saved_by(mk, load, o);
      if (o->most_s > most) {
        most = o->most_s;
        first = o;
        *likely = *mk;
      }
    }
  }
  return first;
}

/* With a part load: the bite that saves most, else to a zone. The one that may save most is tried first, so
 * that most others need no closer look; it is tried again in its turn, for ties go to the first. */
static bool choose_loaded(const pc_world *world, size_t machine, const pc_keep_machine *own, int rank,
                          pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_unit *unit = &world->lot->machines[machine].unit;
  const pc_machine *me = &world->machines[machine];
  part_load load = {own->weights.part, own->usual_score,
                    pc_keep_zone_s(world, machine, &me->place, me->facing, me->load_kg),
                    pc_unit_carry_speed(unit, me->load_kg),
                    world->lot->full_at * unit->capacity_kg - me->load_kg};
  pc_maker mk = {world, machine, 0, set->lanes, unit, NULL, NULL, 0, 0.0, INFINITY}, likely = mk;
  pc_option on_the_way;
  const pc_option *first = find_likely(&mk, &load, own, rank, &likely);
  double best = 0.0;
  double least =
      first ? pc_greater(0.0, saved_by(&likely, &load, first, 0.0, &on_the_way)) * (1.0 - 1e-8) : 0.0;
  for (mk.lane_index = 0; mk.lane_index < set->lane_count; mk.lane_index++) {
    int count = options_now(world, machine, own, mk.lane_index, rank);
    mk.lane = &set->lanes[mk.lane_index];
    for (int k = 0; k < count; k++) {
      const pc_option *o = &own->lanes[mk.lane_index].items[k];
      if (o->most_s <= 0.0 || o->most_s < pc_greater(least, best))
        continue;
      double saved = saved_by(&mk, &load, o, pc_greater(least, best), &on_the_way);
      if (pc_clearly_less(best, saved)) {
        best = saved;
        fill_bite(mk.lane_index, &on_the_way, bite);
      }
    }
  }
  return best > 0.0;
}

/* ---- the policy ---- */

/* Machines, then for each of them its lanes, then for each of those its options. */
static size_t keep_size(const pc_lot *lot) {
  size_t size = lot->machine_count * sizeof(pc_keep_machine);
  for (size_t m = 0; m < lot->machine_count; m++)
    size += lot->lane_sets[lot->machines[m].lane_set].lane_count *
            (sizeof(pc_lane_options) + PC_KEEP_OPTIONS * sizeof(pc_option));
  return size;
}

/* Finds each machine's part of the state. */
static void begin(void *state, const pc_world *world) {
  const pc_lot *lot = world->lot;
  pc_keep_machine *all = state;
  char *at = (char *)state + lot->machine_count * sizeof *all;
  for (size_t m = 0; m < lot->machine_count; m++) {
    size_t lanes = lot->lane_sets[lot->machines[m].lane_set].lane_count;
    all[m].weights = world->plan ? world->plan->weights : pc_plan_weights_default();
    all[m].lanes = (pc_lane_options *)(void *)at;
    at += lanes * sizeof(pc_lane_options);
    for (size_t l = 0; l < lanes; l++, at += PC_KEEP_OPTIONS * sizeof(pc_option))
      all[m].lanes[l].items = (pc_option *)(void *)at;
  }
}

static pc_decision keep_next(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  pc_keep_machine *own = (pc_keep_machine *)state + machine;
  if (!own->lanes)
    begin(state, world);
  pc_keep_renew(world, machine, own);
  bool loaded = world->machines[machine].load_kg > 0.0;
  if (own->offered == 0)
    return loaded ? PC_DECIDE_DUMP : PC_DECIDE_WAIT;
  for (int rank = 1; rank <= world->lot->machines[machine].first_count; rank++) {
    if (loaded ? choose_loaded(world, machine, own, rank, bite)
               : choose_empty(world, machine, own, rank, bite))
      return PC_DECIDE_BITE;
    if (loaded && pc_rank_has_work(world, machine, rank)) /* not on to somewhere else with it */
      return PC_DECIDE_DUMP;
  }
  if (loaded)
    return choose_loaded(world, machine, own, 0, bite) ? PC_DECIDE_BITE : PC_DECIDE_DUMP;
  return choose_empty(world, machine, own, 0, bite) ? PC_DECIDE_BITE : PC_DECIDE_WAIT;
}

const pc_policy pc_policy_keep_pushing = {"keep-pushing",
                                          "The box goes down as soon as it leaves the pile: the next bite is "
                                          "the one whose whole cycle wastes the least "
                                          "time per kilogram.",
                                          keep_size, keep_next};

const pc_policy pc_policy_planned = {
    "planned", "As keep-pushing, by weights and keys that a search has found for this lot.", keep_size,
    keep_next};
