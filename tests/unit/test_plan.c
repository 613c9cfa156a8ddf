// SPDX-License-Identifier: GPL-3.0-or-later
/* Plans found by search. No outside values: what is checked follows from what a plan promises (never worse
 * than keep-pushing, the same for any number of threads, repeatable from its file), from conservation, and
 * from the lower bound. Metres, kg, s. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "io/plan_file.h"
#include "random_site.h"
#include "scene.h"
#include "simulate.h"
#include "study/plan_search.h"

enum { SITES = 50 };

static pc_plan_search search_of(size_t tries, int threads) {
  return (pc_plan_search){.seconds = INFINITY, .tries = tries, .seed = 1, .threads = threads};
}

static pc_planning find_plan(const pc_lot *lot, size_t tries) {
  pc_planning found;
  const pc_plan_search how = search_of(tries, 2);
  assert_int_equal(pc_plan_find(lot, &how, &found), PC_OK);
  assert_int_equal(found.tries, tries);
  return found;
}

static pc_scenario site_scenario(uint64_t seed) {
  pc_stream stream;
  pc_stream_start(&stream, seed, 21, 0, 0);
  random_site_options options = random_site_default();
  options.apart_m = 0.05;
  random_lot lot = random_site(seed, &options);
  pc_scenario s = scene_rectangle(10, 10, NULL, 0);
  pc_site_free(&s.site);
  free(s.zones);
  s.site = lot.site;
  s.zones = lot.zones;
  s.zone_count = lot.zone_count;
  s.policy = pc_name_of("keep-pushing");
  s.snow.depth_m = random_between(&stream, 0.05, 0.25);
  for (size_t z = 0; z < s.zone_count; z++) /* some run full */
    s.zones[z].volume_m3 = seed % 7 == 3 ? random_between(&stream, 20, 150) : 20000;
  if (seed % 2) {
    s.boxes[0].side_leak = 0.03;
    s.boxes[0].spill_from = 0.8;
    s.boxes[0].leave = 0.01;
    s.full_at = 0.93;
  }
  if (seed % 5 == 4)
    s.chance.fill = s.chance.carry = s.chance.dump = s.chance.turn = s.chance.back = 0.15;
  s.loaders[0].back_out_m = seed % 3 ? 6.0 : 0.0;
  s.crew = calloc(1, sizeof *s.crew);
  assert_non_null(s.crew);
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = s.boxes[0].name;
  s.crew[0].count = 1 + (int)(seed % 3);
  return s;
}

/* A plan without keys and with the usual weights is keep-pushing, to the last bit. */
static void a_plain_plan_is_keep_pushing(void **state) {
  (void)state;
  pc_scenario s = scene_reference(3, 3, "keep-pushing");
  pc_lot *lot = make_lot(&s);
  pc_plan plan;
  assert_int_equal(pc_plan_init(&plan, lot), PC_OK);
  pc_result keep = simulate_lot(lot, 1, 0, NULL);
  pc_lot_follow(lot, &plan);
  pc_result planned = simulate_lot(lot, 1, 0, NULL);
  assert_true(pc_result_hash(&keep) == pc_result_hash(&planned));
  plan.weights.starts = PC_PLAN_STARTS_MAX;
  pc_result other = simulate_lot(lot, 1, 0, NULL);
  assert_true(pc_result_hash(&keep) != pc_result_hash(&other));
  pc_result_free(&keep);
  pc_result_free(&planned);
  pc_result_free(&other);
  pc_plan_free(&plan);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* A world that was made before goes on with the policy that it was made for; a plan of weights alone is good.
 */
/* A plan from a file may be without keys: who takes it over has none either. */
static void keys_are_not_kept(void **state) {
  (void)state;
  int16_t own[] = {7, -7};
  pc_plan to = {.keys = own, .key_count = 2};
  const pc_plan from = {.weights = pc_plan_weights_default(), .rate_spkg = 2.0};
  pc_plan_assign(&to, &from);
  assert_true(to.rate_spkg == 2.0 && to.key_count == 2);
  assert_true(own[0] == 0 && own[1] == 0);
}

static void worlds_made_before_keep_their_policy(void **state) {
  (void)state;
  pc_scenario s = scene_reference(2, 2, "straight-runs");
  pc_lot *lot = make_lot(&s);
  const pc_plan weights = {.weights = pc_plan_weights_default()};
  pc_faults faults = {0};
  pc_world *before, *after;
  pc_result straight, still, planned;
  assert_int_equal(pc_plan_validate(&weights, lot, &faults), PC_OK);
  assert_int_equal(pc_world_create(lot, &before), PC_OK);
  assert_int_equal(pc_result_init(&straight, lot->machine_count, lot->zone_count), PC_OK);
  assert_int_equal(pc_result_init(&still, lot->machine_count, lot->zone_count), PC_OK);
  assert_int_equal(pc_result_init(&planned, lot->machine_count, lot->zone_count), PC_OK);
  assert_int_equal(pc_world_run(before, 1, 0, NULL, &straight), PC_OK);
  pc_lot_follow(lot, &weights);
  assert_int_equal(pc_world_create(lot, &after), PC_OK);
  assert_int_equal(pc_world_run(before, 1, 0, NULL, &still), PC_OK);
  assert_int_equal(pc_world_run(after, 1, 0, NULL, &planned), PC_OK);
  assert_true(pc_result_hash(&still) == pc_result_hash(&straight));
  assert_true(planned.total_time_s < straight.total_time_s);
  pc_world_free(before);
  pc_world_free(after);
  pc_result_free(&straight);
  pc_result_free(&still);
  pc_result_free(&planned);
  pc_faults_free(&faults);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static void check_bites(const pc_lot *lot, const pc_planning *p, uint64_t seed) {
  double clock_s[PC_MACHINES_MAX] = {0.0}, kg = 0.0;
  int loads[PC_MACHINES_MAX] = {0}, dumps = 0;
  for (size_t i = 0; i < p->bite_count; i++) {
    const pc_planned_bite *bite = &p->bites[i];
    assert_true(bite->start_s >= clock_s[bite->machine] - 1e-9 && bite->end_s >= bite->start_s);
    assert_true(i == 0 || bite->start_s >= p->bites[i - 1].start_s);
    assert_in_range(bite->load - loads[bite->machine], 0, 1);
    assert_true(bite->lane >= 1 && bite->area < lot->area_count);
    clock_s[bite->machine] = bite->end_s;
    loads[bite->machine] = bite->load;
    bool last = true;
    for (size_t k = i + 1; k < p->bite_count && last; k++)
      last = p->bites[k].machine != bite->machine || p->bites[k].load != bite->load;
    if (!last || bite->zone < 0)
      continue;
    assert_true(bite->dumped_s >= bite->end_s);
    dumps++;
    kg += bite->load_kg;
  }
  pc_lot following = *lot;
  pc_lot_follow(&following, &p->plan);
  pc_result result = simulate_lot(&following, seed, 0, NULL); /* checks every invariant after every event */
  assert_int_equal(dumps, result.cycles);
  /* a box with room takes what it meets on its way to the zone */
  assert_true(kg <= result.placed_kg * (1 + 1e-9) && kg >= 0.9 * result.placed_kg);
  pc_result_free(&result);
}

static void never_worse_than_keep_pushing_on_random_lots(void **state) {
  (void)state;
  int gains = 0, unfinished = 0, refused = 0;
  double saved = 0.0;
  for (uint64_t seed = 0; seed < SITES + (uint64_t)refused; seed++) {
    pc_scenario s = site_scenario(seed);
    pc_faults faults = {0};
    pc_lot *lot = NULL;
    if (pc_lot_create(&s, NULL, &lot, &faults) != PC_OK) {
      refused++;
      assert_true(refused < SITES);
    } else {
      pc_planning p = find_plan(lot, 12);
      double keep = p.keep.total_time_s.mean, plan = p.planned.total_time_s.mean;
      bool worse = p.planned.unfinished > p.keep.unfinished;
      if (p.keep.unfinished == 0)
        worse |= plan > keep;
      else if (p.planned.unfinished == p.keep.unfinished) /* not for less than the kilogram that tells */
        worse |= plan > keep && round(p.planned.mean.left_kg) >= round(p.keep.mean.left_kg);
      if (p.keep.unfinished == 0 && !p.gains)
        worse |= plan != keep;
      if (worse)
        fail_msg("seed %d: planned %g s, keep-pushing %g s", (int)seed, plan, keep);
      if (p.planned.unfinished == 0 && p.planned.bound.time_s > plan * (1 + 1e-9))
        fail_msg("seed %d: planned %g s, bound %g s", (int)seed, plan, p.planned.bound.time_s);
      check_bites(lot, &p, 1);
      gains += p.gains;
      unfinished += p.planned.unfinished > 0;
      saved += 1.0 - plan / keep;
      pc_planning_free(&p);
      pc_lot_free(lot);
    }
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
  print_message("random lots: %d refused; %d plans gain, %d of 50 not finished; mean gain %.2f %%\n", refused,
                gains, unfinished, 100.0 * saved / SITES);
  assert_true(gains > SITES / 2 && unfinished > 0 && unfinished < SITES / 2);
}

static void assert_same(const pc_planning *a, const pc_planning *b) {
  assert_int_equal(a->tries, b->tries);
  assert_int_equal(a->plan.key_count, b->plan.key_count);
  assert_memory_equal(a->plan.keys, b->plan.keys, a->plan.key_count * sizeof *a->plan.keys);
  assert_true(a->plan.weights.empty == b->plan.weights.empty &&
              a->plan.weights.load_s == b->plan.weights.load_s);
  assert_true(pc_result_hash(&a->planned.mean) == pc_result_hash(&b->planned.mean));
}

static void the_same_for_any_number_of_threads(void **state) {
  (void)state;
  for (int chance = 0; chance < 2; chance++) {
    pc_scenario s = scene_reference(2, 2, "keep-pushing");
    s.snow.depth_m = 0.05;
    s.chance.fill = s.chance.dump = chance ? 0.2 : 0.0;
    pc_lot *lot = make_lot(&s);
    pc_planning found[3];
    const int threads[] = {1, 2, 8};
    for (int i = 0; i < 3; i++) {
      const pc_plan_search how = search_of(77, threads[i]); /* no whole number of rounds */
      assert_int_equal(pc_plan_find(lot, &how, &found[i]), PC_OK);
      assert_same(&found[0], &found[i]);
    }
    for (int i = 0; i < 3; i++)
      pc_planning_free(&found[i]);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

static bool stop_soon(void *context) {
  return ++*(int *)context > 5;
}

/* A search that was stopped, and one whose time was over, are found again by their tries. */
static void ended_early_and_repeated(void **state) {
  (void)state;
  pc_scenario s = scene_reference(3, 4, "keep-pushing");
  s.snow.depth_m = 0.04;
  pc_lot *lot = make_lot(&s);
  int asked = 0;
  pc_plan_search how = search_of(SIZE_MAX, 2);
  how.stop = stop_soon;
  how.context = &asked;
  pc_planning stopped, timed;
  assert_int_equal(pc_plan_find(lot, &how, &stopped), PC_OK);
  assert_true(stopped.stopped && stopped.gains);
  assert_int_equal(stopped.tries, 40);
  how.stop = NULL;
  how.seconds = 0.2;
  assert_int_equal(pc_plan_find(lot, &how, &timed), PC_OK);
  assert_true(timed.tries > 0 && !timed.stopped);
  const pc_planning *first[] = {&stopped, &timed};
  for (int i = 0; i < 2; i++) {
    pc_planning again = find_plan(lot, first[i]->tries);
    assert_same(first[i], &again);
    assert_false(again.stopped);
    pc_planning_free(&again);
  }
  how.seconds = INFINITY; /* it would never end */
  pc_planning none;
  assert_int_equal(pc_plan_find(lot, &how, &none), PC_ERR_RANGE);
  pc_planning_free(&stopped);
  pc_planning_free(&timed);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* Under chance the plan is judged on nights that the search has not seen: those that a run shows. */
static void judged_on_other_luck(void **state) {
  (void)state;
  pc_scenario s = scene_reference(3, 4, "keep-pushing");
  s.chance.fill = s.chance.carry = s.chance.dump = s.chance.turn = s.chance.back = 0.15;
  s.chance.replications = 12;
  pc_lot *lot = make_lot(&s);
  pc_planning p = find_plan(lot, 48);
  assert_true(p.chance && p.gains);
  assert_int_equal(p.saved_s.count, 12);
  assert_int_equal(p.keep.replications, 12);
  double sum = 0.0;
  for (size_t r = 0; r < 12; r++)
    sum += p.keep.times_s[r] - p.planned.times_s[r];
  assert_near("saved", p.saved_s.mean, sum / 12, 1e-9);
  assert_true(p.saved_s.mean > p.saved_s.half_width && p.saved_s.half_width > 0.0);
  assert_true(p.search_keep_s != p.keep.total_time_s.mean); /* other nights */
  pc_lot_follow(lot, &p.plan);
  pc_summary again;
  assert_int_equal(pc_replicate(lot, 12, 1, 1, NULL, &again), PC_OK);
  assert_memory_equal(again.times_s, p.planned.times_s, 12 * sizeof(double));
  pc_summary_free(&again);
  pc_planning_free(&p);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* A plan on the reference lot with four machines, against keep-pushing and the bound. What is held is a
 * little less than was reached when this was written: a floor, no aim. */
static void efficiency_on_the_reference_lot(void **state) {
  (void)state;
  const size_t zones[] = {1, 2, 3, 5}, tries[] = {40, 80, 320, 160};
  const double asked[] = {0.87, 0.82, 0.79, 0.74};
  for (int i = 0; i < 4; i++) {
    pc_scenario s = scene_reference(zones[i], 4, "keep-pushing");
    pc_lot *lot = make_lot(&s);
    pc_planning p = find_plan(lot, tries[i]);
    print_message("%zu zones: %.1f s, keep-pushing %.1f s, bound %.1f s, efficiency %.4f\n", zones[i],
                  p.planned.total_time_s.mean, p.keep.total_time_s.mean, p.planned.bound.time_s,
                  p.planned.efficiency);
    assert_true(p.planned.total_time_s.mean < p.keep.total_time_s.mean);
    assert_true(p.keep.total_time_s.mean < p.straight.total_time_s.mean);
    assert_true(p.planned.efficiency >= asked[i] && p.planned.efficiency < 1.0);
    pc_planning_free(&p);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* ---- files ---- */

static void a_file_gives_the_same_run(void **state) {
  (void)state;
  pc_scenario s = scene_reference(5, 2, "keep-pushing");
  s.snow.depth_m = 0.05;
  pc_lot *lot = make_lot(&s);
  pc_planning p = find_plan(lot, 100);
  pc_text text = {0};
  pc_faults faults = {0};
  pc_plan read;
  assert_true(p.gains);
  assert_int_equal(pc_results_plan_json(lot, &p, 1, NULL, &text), PC_OK);
  assert_int_equal(pc_plan_read_text("plan.json", text.data, text.length, lot, &read, &faults), PC_OK);
  assert_int_equal(faults.count, 0);
  assert_true(read.rate_spkg == p.plan.rate_spkg);
  assert_memory_equal(read.keys, p.plan.keys, read.key_count * sizeof *read.keys);
  pc_lot_follow(lot, &read);
  pc_result result = simulate_lot(lot, 1, 0, NULL);
  assert_true(result.total_time_s == p.planned.total_time_s.mean);
  pc_result_free(&result);
  pc_plan_free(&read);
  pc_text_free(&text);
  pc_planning_free(&p);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static const char good[] =
    "{\"format\": \"pushcycle-plan\", \"version\": 1, \"policy\": {\"ideal\": 0.4, "
    "\"spill\": 1, \"dirty\": 1, \"wait\": 1, \"empty\": 1, \"part\": 1, \"load_s\": 0, "
    "\"starts\": 8, \"rate_spkg\": 0.05, \"keys\": [[0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,-7]]}}";

static void check_refused(const pc_lot *lot, const char *from, const char *to, const char *words) {
  pc_text text = {0};
  pc_faults faults = {0};
  pc_plan plan;
  const char *at = strstr(good, from);
  assert_non_null(at);
  pc_text_addf(&text, "%.*s%s%s", (int)(at - good), good, to, at + strlen(from));
  pc_status status = pc_plan_read_text("p.json", text.data, text.length, lot, &plan, &faults);
  if (status == PC_OK || faults.count == 0 || !strstr(faults.items[0].message, words) ||
      strcmp(faults.items[0].file, "p.json") != 0)
    fail_msg("%s -> %s: status %s, \"%s\" in \"%s\"", from, to, pc_status_name(status),
             faults.count > 0 ? faults.items[0].message : "no fault",
             faults.count > 0 ? faults.items[0].file : "");
  assert_null(plan.keys);
  pc_faults_free(&faults);
  pc_text_free(&text);
}

static void bad_files_are_refused(void **state) {
  (void)state;
  const pc_point zone[] = {{60, 2}};
  pc_scenario s = scene_rectangle(60, 4.5, zone, 1); /* one lane */
  s.policy = pc_name_of("keep-pushing");
  pc_lot *lot = make_lot(&s);
  pc_faults faults = {0};
  pc_plan plan;
  assert_int_equal(pc_plan_read_text("p.json", good, strlen(good), lot, &plan, &faults), PC_OK);
  assert_int_equal(plan.keys[15], -7);
  assert_int_equal(plan.weights.starts, 8);
  pc_plan_free(&plan);
  check_refused(lot, "pushcycle-plan", "pushcycle-run", "this is no plan");
  check_refused(lot, "\"version\": 1", "\"version\": 2", "only version 1");
  check_refused(lot, "\"ideal\": 0.4, ", "", "\"ideal\" is missing");
  check_refused(lot, "\"ideal\": 0.4", "\"ideal\": \"a lot\"", "must be a number");
  check_refused(lot, "\"ideal\": 0.4", "\"ideal\": -1", "must be 0 … 100");
  check_refused(lot, "\"starts\": 8", "\"starts\": 9", "must be 0 … 8");
  check_refused(lot, "\"starts\": 8", "\"starts\": 1.5", "must be a whole number");
  check_refused(lot, "\"rate_spkg\": 0.05", "\"rate_spkg\": -1", "must be 0 or more");
  check_refused(lot, "-7]", "-7, 1]", "a list of 16 keys");
  check_refused(lot, "-7]", "70000]", "must be a whole number");
  check_refused(lot, "-7]]", "-7], [0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0]]", "made for another");
  check_refused(lot, "[[0", "{}, [[0", "");
  check_refused(lot, "\"policy\": {", "\"layout\": \"none of these\", \"policy\": {",
                "choose it with --layout");
  check_refused(lot, "\"policy\"", "\"policies\"", "\"policy\" is missing");
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_plain_plan_is_keep_pushing),
      cmocka_unit_test(keys_are_not_kept),
      cmocka_unit_test(worlds_made_before_keep_their_policy),
      cmocka_unit_test(never_worse_than_keep_pushing_on_random_lots),
      cmocka_unit_test(the_same_for_any_number_of_threads),
      cmocka_unit_test(ended_early_and_repeated),
      cmocka_unit_test(judged_on_other_luck),
      cmocka_unit_test(efficiency_on_the_reference_lot),
      cmocka_unit_test(a_file_gives_the_same_run),
      cmocka_unit_test(bad_files_are_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
