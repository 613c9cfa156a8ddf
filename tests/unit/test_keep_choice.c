// SPDX-License-Identifier: GPL-3.0-or-later
/* keep-pushing rules most options out by what they cost at least. What it then takes is what looking at every
 * option takes: the least waste for each kilogram, or with a part load the bite that saves most. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "io/scenario.h"
#include "io/starter.h"
#include "random_scenario.h"
#include "scene.h"
#include "sim/keep.h"
#include "simulate.h"

/* What any option is worth: more is better. */
typedef double worth_of(const pc_world *world, size_t machine, size_t lane, const pc_option *o,
                        pc_option *bite);

static bool is_free(const pc_world *world, size_t machine, const pc_lane *lane, const pc_option *bite) {
  return !pc_stretch_taken(world, machine, lane, fmin(bite->from_m, bite->stop_m),
                           fmax(bite->from_m, bite->stop_m));
}

static void way_to(const pc_world *world, size_t machine, size_t lane, const pc_option *o, pc_way *way) {
  const pc_lane_set *set = pc_set_of(world, machine);
  pc_place start = pc_world_place(world, machine, &set->lanes[lane], o->from_m);
  pc_routes_between(set->routes, &world->machines[machine].outlook, &start, way);
}

/* Seconds wasted for each kilogram, the other way round. */
static double thrift(const pc_world *world, size_t machine, size_t lane, const pc_option *o,
                     pc_option *bite) {
  const pc_machine *me = &world->machines[machine];
  pc_way way;
  pc_approach approach;
  way_to(world, machine, lane, o, &way);
  pc_plan_approach(&world->lot->machines[machine].unit, me->at, me->facing, me->reversing, &way,
                   pc_world_slow_m(world, pc_set_of(world, machine)->routes, me->at, &way),
                   world->lot->near_speed_mps, o->push, &approach);
  *bite = *o;
  return -(pc_keep_of(world, machine)->weights.empty * approach.time_s + o->after_s - o->ideal_s) /
         o->gain_kg;
}

/* Seconds that a bite saves a machine with a part load, against going to a zone now. */
static double saving(const pc_world *world, size_t machine, size_t lane, const pc_option *o,
                     pc_option *bite) {
  const pc_machine *me = &world->machines[machine];
  const pc_unit *unit = &world->lot->machines[machine].unit;
  const pc_keep_machine *own = pc_keep_of(world, machine);
  pc_maker mk = {world, machine, lane,    &pc_set_of(world, machine)->lanes[lane], unit, NULL, NULL,
                 0,     0.0,     INFINITY};
  pc_way way;
  if (!pc_keep_judge(&mk, o->from_m, o->to_m, me->load_kg, bite))
    return 0.0;
  way_to(world, machine, lane, o, &way);
  double speed = pc_unit_carry_speed(unit, me->load_kg);
  double time = pc_turn_time_s(unit, me->facing, pc_unit_vector(me->at, way.first, me->facing)) +
                pc_bends_time_s(unit, &way) +
                pc_turn_time_s(unit, pc_unit_vector(way.last, way.end, me->facing), o->push) +
                pc_leg_time_s(way.length_m, speed, unit->loader.acceleration_mps2);
  double now = pc_keep_zone_s(world, machine, &me->place, me->facing, me->load_kg);
  double rate = own->weights.part * fmax(own->usual_score, o->waste_s / o->gain_kg);
  return rate * bite->gain_kg - (time + bite->after_s - bite->ideal_s - now);
}

/* The most that any option of this rank is worth, and what the one that was taken is worth; −∞: none. */
static void look_at_all(const pc_world *world, size_t machine, int rank, const pc_bite *taken, worth_of *of,
                        double *most, double *got) {
  const pc_lane_set *set = pc_set_of(world, machine);
  const pc_keep_machine *own = pc_keep_of(world, machine);
  *most = *got = -INFINITY;
  for (size_t l = 0; l < set->lane_count; l++) {
    int patch = set->lanes[l].patch;
    bool wanted = pc_has_rank(world, machine, patch, rank) && pc_may_work(world, machine, patch);
    for (int k = 0; k < (wanted ? own->lanes[l].count : 0); k++) {
      const pc_option *o = &own->lanes[l].items[k];
      pc_option bite;
      double worth = of(world, machine, l, o, &bite);
      if (!isfinite(worth) || worth == 0.0 || !is_free(world, machine, &set->lanes[l], &bite))
        continue;
      *most = fmax(*most, worth);
      if (taken && taken->lane == l && taken->from_m == bite.from_m && taken->to_m == bite.stop_m)
        *got = fmax(*got, worth);
    }
  }
}

static long empty_choices, part_choices, part_bites;

static pc_decision checked_next(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  pc_decision decision = pc_policy_keep_pushing.next(state, world, machine, bite);
  bool loaded = world->machines[machine].load_kg > 0.0, bites = decision == PC_DECIDE_BITE;
  int ranks = world->lot->machines[machine].first_count;
  double most = -INFINITY, got = -INFINITY;
  for (int turn = 1; turn <= ranks + 1; turn++) {
    int rank = turn <= ranks ? turn : 0;
    look_at_all(world, machine, rank, bites ? bite : NULL, loaded ? saving : thrift, &most, &got);
    if (loaded ? most > 1e-6 || (rank > 0 && pc_rank_has_work(world, machine, rank)) : most > -INFINITY)
      break;
  }
  empty_choices += !loaded && bites;
  part_choices += loaded;
  part_bites += loaded && bites;
  if (bites && !(got >= most - 1e-8 * (1.0 + fabs(most))))
    fail_msg("at %g s machine %zu %s: it takes what is worth %.9g where %.9g is to be had",
             world->engine.now_s, machine, loaded ? "has a part load" : "is empty", got, most);
  if (!bites && !(loaded ? most <= 1e-6 : most == -INFINITY))
    fail_msg("at %g s machine %zu, which %s, takes nothing where %.9g is to be had", world->engine.now_s,
             machine, loaded ? "has a part load" : "is empty", most);
  return decision;
}

static void check_lot(pc_lot *lot) {
  pc_policy checked = pc_policy_keep_pushing;
  checked.next = checked_next;
  lot->policy = &checked;
  empty_choices = part_choices = part_bites = 0;
  pc_result result = simulate_lot(lot, 1, 0, NULL);
  pc_result_free(&result);
  pc_lot_free(lot);
}

static void on_the_reference_lot(void **state) {
  (void)state;
  for (int machines = 1; machines <= 3; machines++) {
    pc_scenario scenario = scene_reference(3, machines, "keep-pushing");
    check_lot(make_lot(&scenario));
    assert_true(empty_choices > 200 && part_choices > 3 && part_bites > 0);
    pc_scenario_free(&scenario);
  }
}

static void on_the_demonstration_lot(void **state) {
  (void)state;
  pc_scenario scenario = {0};
  pc_faults faults = {0};
  const char *text = pc_demo_scenario();
  assert_int_equal(
      pc_scenario_read_text("demonstration lot", text, strlen(text), NULL, 0, &scenario, &faults), PC_OK);
  check_lot(make_lot(&scenario));
  assert_true(empty_choices > 200 && part_choices > 100 && part_bites > 10);
  pc_scenario_free(&scenario);
  pc_faults_free(&faults);
}

/* A plan that makes some stretches dearer and others cheaper, as a search does. */
static void with_a_plan(void **state) {
  (void)state;
  pc_stream stream;
  pc_stream_start(&stream, 7, 0, 0, 0);
  for (int round = 0; round < 4; round++) {
    pc_scenario scenario = scene_reference(3, 2, "keep-pushing");
    scenario.boxes[0].side_leak = round % 2 ? 0.05 : 0.0;
    pc_lot *lot = make_lot(&scenario);
    pc_plan plan;
    assert_int_equal(pc_plan_init(&plan, lot), PC_OK);
    for (size_t k = 0; k < plan.key_count; k++)
      plan.keys[k] = (int16_t)((int)(pc_stream_next(&stream) % 10001) - 5000);
    plan.weights.starts = 2 * round;
    plan.weights.load_s = 10.0 * round;
    pc_lot_follow(lot, &plan);
    check_lot(lot);
    assert_true(empty_choices > 200 && part_choices > 3 && part_bites > 0);
    pc_plan_free(&plan);
    pc_scenario_free(&scenario);
  }
}

/* Random lots with obstacles, ranks, storms and mixed crews. */
static void on_random_lots(void **state) {
  (void)state;
  long empty = 0, part = 0;
  for (uint64_t seed = 1; seed <= 250; seed++) {
    pc_scenario scenario = random_scenario(seed);
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    pc_choice choice = pc_choice_default();
    choice.policy = "keep-pushing";
    pc_scenario_validate(&scenario, &faults);
    if (pc_faults_fatal(&faults) == 0 && pc_lot_create(&scenario, &choice, &lot, &faults) == PC_OK) {
      check_lot(lot);
      empty += empty_choices;
      part += part_bites;
    }
    pc_faults_free(&faults);
    pc_scenario_free(&scenario);
  }
  assert_true(empty > 1000 && part > 100);
}

/* acos is the C library's. */
static void a_turn_is_no_less(void **state) {
  (void)state;
  const double pi = acos(-1.0);
  double slack = 0.0;
  for (int k = -1000; k <= 1000; k++) {
    double turn = acos(k / 1000.0) / pi, least = pc_least_turn(k / 1000.0);
    assert_true(least <= turn + 1e-15);
    slack = fmax(slack, turn - least);
  }
  assert_true(slack < 0.19); /* at half a turn: 1/2 − 1/π */
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(on_the_reference_lot), cmocka_unit_test(on_the_demonstration_lot),
      cmocka_unit_test(with_a_plan),          cmocka_unit_test(on_random_lots),
      cmocka_unit_test(a_turn_is_no_less),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
