// SPDX-License-Identifier: GPL-3.0-or-later
/* Places, sensitivity, fleets and single replications that are stopped after k steps, for every k: what is
 * given is the first part of what the whole work gives, and nothing says more than was done. The twins are
 * the whole work, and plain simulations one by one. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "io/fleet.h"
#include "io/results.h"
#include "io/tables.h"
#include "read_good.h"
#include "study/place.h"
#include "study/sensitivity.h"

typedef struct stopwatch {
  atomic_size_t steps;
  size_t stop_after, all;
  bool bad; /* more done than there is; told by a thread that must not leave a test */
} stopwatch;

static void count_step(void *context, size_t done, size_t all) {
  stopwatch *watch = context;
  watch->bad |= done > all;
  watch->all = all;
  atomic_fetch_add(&watch->steps, 1);
}

static bool stop_now(void *context) {
  stopwatch *watch = context;
  return atomic_load(&watch->steps) >= watch->stop_after;
}

/* Two boxes, two layouts, six places along the edges; fills that vary. */
static const char lot_text[] =
    "name: Six places\n"
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3, pushed_density: 250 kg/m3, pile_density: 400 kg/m3}\n"
    "site: {areas: [{name: yard, outline: [[0, 0], [40, 0], [40, 20], [0, 20]]}]}\n"
    "boxes:\n"
    "  - {name: narrow, width: 3 m, height: 1 m}\n"
    "  - {name: wide, width: 4 m, height: 1 m}\n"
    "loaders: [{name: loader, speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}]\n"
    "zones:\n"
    "  - {name: east, outline: [[40, 0], [46, 0], [46, 20], [40, 20]], height: 5 m}\n"
    "  - {name: west, outline: [[-6, 0], [0, 0], [0, 20], [-6, 20]], height: 5 m}\n"
    "  - {name: north 1, outline: [[0, 20], [12, 20], [12, 26], [0, 26]], height: 5 m}\n"
    "  - {name: north 2, outline: [[14, 20], [26, 20], [26, 26], [14, 26]], height: 5 m}\n"
    "  - {name: north 3, outline: [[28, 20], [40, 20], [40, 26], [28, 26]], height: 5 m}\n"
    "  - {name: south, outline: [[10, -6], [30, -6], [30, 0], [10, 0]], height: 5 m}\n"
    "layouts:\n"
    "  - {name: one pile, zones: [east]}\n"
    "  - {name: two piles, zones: [east, west]}\n"
    "crew: [{loader: loader, box: wide, start: [5, 5]}]\n"
    "place: {zones: 2, among: [east, west, north 1, north 2, north 3, south]}\n"
    "chance: {replications: 3, fill: 20 %}\n";

enum { SITES = 6, PAIRS = 15, NIGHTS = 3 };

/* ---- places ---- */

static void place(const pc_scenario *scenario, size_t stop_after, int threads, stopwatch *count,
                  pc_placement *placement) {
  pc_faults faults = {0};
  *count = (stopwatch){.stop_after = stop_after};
  const pc_watch watch = {count_step, stop_now, count};
  const pc_place_wanted wanted = {.replications = NIGHTS, .seed = 1, .threads = threads, .watch = &watch};
  pc_status status = pc_placement_find(scenario, &wanted, placement, &faults);
  if (status != PC_OK)
    fail_msg("%s: %s", faults.items[0].key, faults.items[0].message);
  assert_false(count->bad);
  pc_faults_free(&faults);
}

/* Times of the nights with these zones, by plain simulation; chance off: one night. Zones of the scenario
 * stand in the order of the places. */
static void simulate_zones(const pc_scenario *scenario, const size_t *sites, size_t count, bool chance,
                           double *times_s) {
  pc_name names[2];
  pc_layout layout = {pc_name_of("tried"), {names, count}};
  pc_scenario with = *scenario;
  pc_lot *lot;
  pc_summary summary;
  pc_faults faults = {0};
  for (size_t k = 0; k < count; k++)
    names[k] = scenario->zones[sites[k]].name;
  with.layouts = &layout;
  with.layout_count = 1;
  if (!chance)
    with.chance = (pc_chance){.replications = 1, .seed = 1};
  assert_int_equal(pc_lot_create(&with, NULL, &lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(lot, chance ? NIGHTS : 1, 1, 1, NULL, &summary), PC_OK);
  assert_int_equal(summary.unfinished, 0);
  memcpy(times_s, summary.times_s, summary.replications * sizeof *times_s);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_faults_free(&faults);
}

/* All choices of one place and of two, chance off; i = j: one. */
typedef struct twin {
  double times_s[SITES][SITES];
} twin;

static twin make_twin(const pc_scenario *scenario) {
  twin made;
  for (size_t i = 0; i < SITES; i++)
    for (size_t j = i; j < SITES; j++)
      simulate_zones(scenario, (size_t[]){i, j}, i == j ? 1 : 2, false, &made.times_s[i][j]);
  return made;
}

/* The best so far is one that was simulated, and of so many choices only those that were not can be better.
 */
static void check_step(const twin *twins, const pc_place_step *step) {
  size_t all = step->zones == 1 ? SITES : PAIRS, better = 0;
  const size_t *sites = step->best.sites;
  assert_true(step->found);
  assert_true(step->simulated >= 1 && step->simulated <= all);
  assert_true(!step->all || step->simulated == all);
  double best_s = twins->times_s[sites[0]][sites[step->zones - 1]];
  assert_true(fabs(step->best.once_s - best_s) < 1e-9 * best_s);
  for (size_t i = 0; i < SITES; i++)
    for (size_t j = i; j < SITES; j++)
      better += (i == j) == (step->zones == 1) && twins->times_s[i][j] < best_s * (1.0 - 1e-9);
  assert_true(better <= all - step->simulated);
}

static void check_finalists(const pc_scenario *scenario, const pc_placement *placement) {
  for (size_t i = 0; i < placement->finalist_count; i++) {
    const pc_place_choice *choice = &placement->finalists[i];
    double nights_s[NIGHTS];
    simulate_zones(scenario, choice->sites, choice->count, true, nights_s);
    assert_true(choice->summary.replications >= 1 && choice->summary.replications <= NIGHTS);
    assert_true(i == 0 || choice->summary.replications == NIGHTS);
    assert_memory_equal(choice->summary.times_s, nights_s, choice->summary.replications * sizeof(double));
  }
}

static char *place_json(const pc_scenario *scenario, const pc_placement *placement) {
  pc_text text = {0};
  assert_int_equal(pc_results_place_json(scenario, placement, NULL, &text), PC_OK);
  return text.data;
}

static bool says(const pc_scenario *scenario, const pc_placement *placement, const char *words) {
  pc_text text = {0};
  pc_tables_place(scenario, placement, NULL, PC_METRIC, &text);
  assert_non_null(text.data);
  bool said = strstr(text.data, words) != NULL;
  pc_text_free(&text);
  return said;
}

static void places_so_far(void **state) {
  (void)state;
  pc_scenario scenario = read_good(lot_text, NULL, 0, 0);
  stopwatch count;
  pc_placement whole, part;
  const twin twins = make_twin(&scenario);
  place(&scenario, SIZE_MAX, 1, &count, &whole);
  size_t steps = atomic_load(&count.steps);
  char *all = place_json(&scenario, &whole);
  assert_false(whole.stopped);
  assert_null(strstr(all, "stopped"));
  assert_true(whole.steps[0].all && whole.steps[1].all && whole.finalist_count > 1);
  assert_true(steps >= SITES + PAIRS + 2 * NIGHTS && steps == count.all);
  for (size_t k = 0; k <= steps; k++) {
    place(&scenario, k, 1, &count, &part);
    size_t simulated = 0;
    for (size_t n = 0; n < part.step_count; n++) {
      check_step(&twins, &part.steps[n]);
      simulated += part.steps[n].simulated;
      if (k < SITES + PAIRS) /* nothing was proven yet */
        assert_true(isnan(part.steps[n].bound_s) && isnan(part.steps[n].least_haul_kgm));
      else if (!isnan(part.steps[n].bound_s))
        assert_true(part.steps[n].bound_s == whole.steps[n].bound_s);
    }
    assert_int_equal(simulated, k < SITES + PAIRS ? k : SITES + PAIRS);
    assert_int_equal(part.step_count, k == 0 ? 0 : k <= SITES ? 1 : 2);
    assert_int_equal(part.asked, 2);
    assert_true(part.stopped || k == steps);
    check_finalists(&scenario, &part);
    assert_true(part.finalist_count > 0 || k == 0);
    if (k >= SITES)
      assert_memory_equal(part.steps[0].best.sites, whole.steps[0].best.sites, sizeof(size_t));
    char *json = place_json(&scenario, &part);
    if (k < steps) {
      assert_non_null(strstr(json, "\"stopped\": true"));
      assert_true(says(&scenario, &part, k == 0 ? "Stopped before any choice" : " so far: "));
      assert_int_equal(says(&scenario, &part, "Lower bound"),
                       k >= SITES + PAIRS && !isnan(part.steps[1].bound_s));
      assert_int_equal(says(&scenario, &part, "up to the 2 that were asked for"), k > 0 && k <= SITES);
    } else {
      assert_string_equal(json, all);
    }
    free(json);
    pc_placement_free(&part);
  }
  free(all);
  pc_placement_free(&whole);
  pc_scenario_free(&scenario);
}

/* Several threads may do a little more before they stop, and have then what one thread has that does as much.
 */
static void places_in_threads(void **state) {
  (void)state;
  enum { THREADS = 3 };
  pc_scenario scenario = read_good(lot_text, NULL, 0, 0);
  for (size_t k = 1; k < SITES + PAIRS; k += 3) {
    stopwatch count;
    pc_placement several, one;
    place(&scenario, k, THREADS, &count, &several);
    size_t simulated = 0;
    for (size_t n = 0; n < several.step_count; n++)
      simulated += several.steps[n].simulated;
    assert_true(simulated >= k && simulated < k + THREADS);
    place(&scenario, simulated, 1, &count, &one);
    assert_int_equal(one.step_count, several.step_count);
    for (size_t n = 0; n < one.step_count; n++) {
      assert_int_equal(one.steps[n].simulated, several.steps[n].simulated);
      assert_memory_equal(one.steps[n].best.sites, several.steps[n].best.sites, (n + 1) * sizeof(size_t));
      assert_true(one.steps[n].best.once_s == several.steps[n].best.once_s);
    }
    pc_placement_free(&several);
    pc_placement_free(&one);
  }
  pc_scenario_free(&scenario);
}

/* ---- sensitivity ---- */

static void study(const pc_scenario *scenario, size_t stop_after, stopwatch *count, pc_sensitivity *found) {
  pc_faults faults = {0};
  pc_sensitivity_plan plan = pc_sensitivity_plan_default();
  *count = (stopwatch){.stop_after = stop_after};
  const pc_watch watch = {count_step, stop_now, count};
  plan.replications = NIGHTS;
  plan.threads = 1;
  plan.watch = &watch;
  assert_int_equal(pc_sensitivity_make(scenario, NULL, &plan, found, &faults), PC_OK);
  assert_false(count->bad);
  pc_faults_free(&faults);
}

static const pc_sensitivity_row *row_of(const pc_sensitivity *found, const char *key) {
  for (size_t i = 0; i < found->row_count; i++)
    if (strcmp(found->rows[i].key, key) == 0)
      return &found->rows[i];
  return NULL;
}

/* Inputs that have rows in the end, in the order in which they are tried, and the steps after which each is
 * done. */
typedef struct schedule {
  size_t count, done_after[32];
  char keys[32][PC_KEY_MAX];
} schedule;

static schedule make_schedule(const pc_scenario *scenario, const pc_sensitivity *whole) {
  stopwatch count;
  pc_sensitivity none;
  schedule made = {0};
  study(scenario, NIGHTS, &count, &none); /* the base only: all that can be tried is marked, in order */
  assert_int_equal(none.row_count, 0);
  size_t steps = NIGHTS;
  for (size_t i = 0; i < none.left_out_count; i++) {
    const pc_sensitivity_row *row = row_of(whole, none.left_out[i].key);
    assert_int_equal(none.left_out[i].stopped, row != NULL);
    if (!row)
      continue;
    steps += (size_t)((row->low != 1.0) + (row->high != 1.0)) * NIGHTS;
    strcpy(made.keys[made.count], row->key);
    made.done_after[made.count++] = steps;
  }
  pc_sensitivity_free(&none);
  return made;
}

static void check_rows(const pc_sensitivity *part, const pc_sensitivity *whole, const schedule *plan,
                       size_t k) {
  size_t done = 0, open = 0;
  for (size_t i = 0; i < plan->count; i++) {
    const pc_sensitivity_row *got = row_of(part, plan->keys[i]), *want = row_of(whole, plan->keys[i]);
    done += plan->done_after[i] <= k;
    assert_int_equal(got != NULL, plan->done_after[i] <= k);
    if (!got)
      continue;
    assert_memory_equal(&got->low_s, &want->low_s, sizeof got->low_s);
    assert_memory_equal(&got->high_s, &want->high_s, sizeof got->high_s);
    assert_true(got->elasticity.mean == want->elasticity.mean);
    assert_true(got->elasticity.half_width == want->elasticity.half_width);
  }
  for (size_t i = 0; i < part->left_out_count; i++)
    open += part->left_out[i].stopped;
  assert_int_equal(part->row_count, done);
  assert_int_equal(open, plan->count - done);
}

/* Those of boxes come first. None, all of boxes, or all. */
static size_t check_turns(const pc_sensitivity *part, const pc_sensitivity *whole) {
  size_t boxes = 0;
  while (boxes < whole->break_even_count && !whole->break_evens[boxes].of_layouts)
    boxes++;
  assert_true(boxes > 0 && boxes < whole->break_even_count);
  assert_true(part->break_even_count == 0 || part->break_even_count == boxes ||
              part->break_even_count == whole->break_even_count);
  for (size_t i = 0; i < part->break_even_count; i++) {
    assert_string_equal(part->break_evens[i].below.text, whole->break_evens[i].below.text);
    assert_string_equal(part->break_evens[i].above.text, whole->break_evens[i].above.text);
    assert_true(part->break_evens[i].most == whole->break_evens[i].most);
  }
  assert_int_equal(part->turns_missing, part->break_even_count < whole->break_even_count);
  return part->break_even_count == 0 ? 0 : part->break_even_count == boxes ? 1 : 2;
}

static void check_words(const pc_sensitivity *part, const schedule *plan, size_t k) {
  pc_text json = {0}, csv = {0}, words = {0};
  assert_int_equal(pc_results_sensitivity_json(part, "x", &json), PC_OK);
  assert_int_equal(pc_results_sensitivity_csv(part, &csv), PC_OK);
  pc_tables_sensitivity(part, PC_METRIC, &words);
  size_t lines = 0;
  for (const char *at = csv.data; (at = strchr(at, '\n')) != NULL; at++)
    lines++;
  assert_int_equal(strstr(json.data, "\"stopped\": true") != NULL, part->stopped);
  assert_int_equal(strstr(words.data, "Stopped") != NULL, part->stopped);
  if (part->base_s.count > 0)
    assert_int_equal(lines, 1 + plan->count); /* done or marked */
  if (part->base_s.count > 0 && k < plan->done_after[plan->count - 1])
    assert_non_null(strstr(words.data, "Not done before the stop: "));
  pc_text_free(&json);
  pc_text_free(&csv);
  pc_text_free(&words);
}

static void inputs_so_far(void **state) {
  (void)state;
  pc_scenario scenario = read_good(lot_text, NULL, 0, 0);
  stopwatch count;
  pc_sensitivity whole, part;
  study(&scenario, SIZE_MAX, &count, &whole);
  size_t steps = atomic_load(&count.steps), seen[3] = {0};
  assert_int_equal(steps, count.all);
  assert_false(whole.stopped || whole.turns_missing);
  const schedule plan = make_schedule(&scenario, &whole);
  assert_true(plan.count > 10);
  for (size_t k = 0; k <= steps; k += k + 7 < steps ? 7 : 1) {
    study(&scenario, k, &count, &part);
    assert_int_equal(part.stopped, k < steps);
    assert_int_equal(part.base_s.count, k < NIGHTS ? 0 : NIGHTS);
    if (k >= NIGHTS) {
      assert_true(part.base_finished && part.base_s.mean == whole.base_s.mean);
      check_rows(&part, &whole, &plan, k);
    }
    seen[check_turns(&part, &whole)]++;
    check_words(&part, &plan, k);
    pc_sensitivity_free(&part);
  }
  assert_true(seen[0] > 0 && seen[1] > 0 && seen[2] == 1);
  pc_sensitivity_free(&whole);
  pc_scenario_free(&scenario);
}

/* ---- fleets ---- */

static const char fleet_text[] =
    "fleet: 1\n"
    "machines:\n"
    "  - {name: mid, loader: {speeds: {push: 8 km/h, carry: 12 km/h, return: 16 km/h}}}\n"
    "  - {name: slow, loader: {speeds: {push: 4 km/h, carry: 6 km/h, return: 8 km/h}}}\n"
    "boxes:\n"
    "  - {name: wide, box: {width: 4 m, height: 1 m}}\n"
    "  - {name: narrow, box: {width: 3 m, height: 1 m}}\n"
    "money: {machine: 90 /h, operator: 36 /h}\n";

enum { LOTS = 3, UNITS = 4 };

static void assign(const pc_scenario *const *lots, size_t nights, size_t stop_after, int threads,
                   stopwatch *count, pc_assignment *found) {
  pc_fleet fleet;
  pc_faults faults = {0};
  assert_int_equal(pc_fleet_read_text("f", fleet_text, strlen(fleet_text), &fleet, &faults), PC_OK);
  *count = (stopwatch){.stop_after = stop_after};
  const pc_watch watch = {count_step, stop_now, count};
  const pc_assign_settings settings = {
      .threads = threads, .replications = nights, .seed = 1, .watch = &watch};
  assert_int_equal(pc_assign(&fleet, lots, LOTS, &settings, found, &faults), PC_OK);
  assert_null(found->settings.watch);
  assert_false(count->bad);
  pc_text json = {0}, words = {0};
  assert_int_equal(pc_results_assign_json(&fleet, found, &json), PC_OK);
  pc_tables_assign(&fleet, found, &words);
  assert_int_equal(strstr(json.data, "\"stopped\": true") != NULL, found->stopped);
  assert_int_equal(strstr(words.data, "No plan with this fleet is done sooner.") != NULL,
                   found->plan.gap == 0.0 && found->plan.found);
  assert_int_equal(strstr(words.data, "trials not simulated") != NULL,
                   found->plan.found && found->untried > 0);
  assert_int_equal(strstr(words.data, "There is no plan yet: the work was stopped") != NULL,
                   !found->plan.found);
  pc_text_free(&json);
  pc_text_free(&words);
  pc_fleet_free(&fleet);
  pc_faults_free(&faults);
}

/* Trials are those of the whole work or marked, and a plan stands where every lot has somebody; it is no
 * better than the best, and of its distance to that nothing is said while trials are missing. */
static void check_trials(const pc_assignment *part, const pc_assignment *whole, size_t least, size_t most,
                         bool in_order) {
  size_t tried = 0;
  bool covered = true;
  for (size_t l = 0; l < LOTS; l++) {
    bool some = false;
    for (size_t u = 0; u < UNITS; u++)
      some |= part->trials[u * LOTS + l].fit == PC_ASSIGN_FIT_DONE;
    covered &= some;
  }
  for (size_t i = 0; i < UNITS * LOTS; i++) {
    const pc_assign_trial *got = &part->trials[i];
    bool is_tried = got->fit != PC_ASSIGN_FIT_UNTRIED;
    tried += is_tried;
    assert_true(is_tried ? got->time_s == whole->trials[i].time_s : isnan(got->time_s) && !got->used);
  }
  assert_true(tried >= least && tried <= most);
  assert_int_equal(part->untried, UNITS * LOTS - tried);
  /* in order, the first machine with the first box can do all; else there may be somebody for each lot, but
   * not at once */
  assert_true(part->plan.found == covered || (covered && !in_order));
  assert_int_equal(part->open == 0, covered);
  assert_int_equal(part->impossible, 0);
  if (part->plan.found)
    assert_true(part->plan.finish_s >= whole->plan.finish_s - 1e-9);
  if (part->plan.found && tried < UNITS * LOTS)
    assert_true(isnan(part->plan.bound) && isnan(part->plan.gap));
}

static void trials_so_far(void **state) {
  (void)state;
  pc_scenario lots[LOTS];
  const pc_scenario *list[LOTS];
  for (size_t l = 0; l < LOTS; l++) {
    lots[l] = read_good(lot_text, NULL, 0, 0);
    lots[l].name = pc_name_of((const char *[]){"a", "b", "c"}[l]);
    lots[l].snow.depth_m += 0.02 * (double)l;
    list[l] = &lots[l];
  }
  for (size_t nights = 0; nights <= 2; nights += 2) {
    size_t each = nights > 0 ? nights : 1, trials = UNITS * LOTS;
    stopwatch count;
    pc_assignment whole, part;
    assign(list, nights, SIZE_MAX, 1, &count, &whole);
    assert_int_equal(whole.unit_count, UNITS);
    assert_true(whole.plan.found && whole.plan.gap == 0.0 && !whole.stopped);
    size_t steps = atomic_load(&count.steps);
    assert_true(steps > each * trials); /* searches, too */
    for (size_t k = 0; k < steps; k++) {
      size_t done = k / each < trials ? k / each : trials;
      assign(list, nights, k, 1, &count, &part);
      check_trials(&part, &whole, done, done, true);
      assert_true(part.stopped);
      pc_assignment_free(&part);
      assign(list, nights, k, 3, &count, &part);
      check_trials(&part, &whole, each == 1 ? done : 0, done + 3 < trials ? done + 3 : trials, false);
      pc_assignment_free(&part);
    }
    pc_assignment_free(&whole);
  }
  for (size_t l = 0; l < LOTS; l++)
    pc_scenario_free(&lots[l]);
}

/* ---- single replications ---- */

static void replications_so_far(void **state) {
  (void)state;
  enum { MOST = 8 };
  pc_scenario scenario = read_good(lot_text, NULL, 0, 0);
  pc_lot *lot;
  pc_faults faults = {0};
  pc_summary whole;
  assert_int_equal(pc_lot_create(&scenario, NULL, &lot, &faults), PC_OK);
  assert_int_equal(pc_replicate(lot, MOST, 1, 1, NULL, &whole), PC_OK);
  for (size_t k = 0; k <= MOST; k++)
    for (int threads = 1; threads <= 3; threads += 2) {
      stopwatch count = {.stop_after = k};
      const pc_watch watch = {count_step, stop_now, &count};
      pc_result *results;
      size_t done = 0, least = k > 0 ? k : 1;
      assert_int_equal(pc_results_create(lot, MOST, &results), PC_OK);
      assert_int_equal(pc_replicate_range(lot, 0, MOST, 1, threads, NULL, &watch, results, &done), PC_OK);
      assert_true(threads == 1 ? done == least : done >= 1 && done <= MOST);
      for (size_t r = 0; r < done; r++)
        assert_true(results[r].total_time_s == whole.times_s[r]);
      pc_results_free(results, MOST);
    }
  pc_summary_free(&whole);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&scenario);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(places_so_far), cmocka_unit_test(places_in_threads),   cmocka_unit_test(inputs_so_far),
      cmocka_unit_test(trials_so_far), cmocka_unit_test(replications_so_far),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
