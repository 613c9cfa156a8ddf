// SPDX-License-Identifier: GPL-3.0-or-later
/* Fleets: what is read, what is refused, ways between lots, and what comes of simulating a fleet on lots. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/fleet.h"
#include "io/results.h"
#include "read_good.h"
#include "simulate.h"
#include "study/replicate.h"

static const char lot_text[] =
    "name: %s\n"
    "snow: {depth: 10 cm, fresh_density: 100 kg/m3}\n"
    "site: {areas: [{name: yard, outline: [[0, 0], [%d, 0], [%d, 30], [0, 30]]}]}\n"
    "boxes: [{name: own, width: 3 m, height: 1 m}]\n"
    "loaders: [{name: own, speeds: {push: 5 km/h, carry: 5 km/h, return: 5 km/h}}]\n"
    "zones: [{name: end, outline: [[-8, 0], [0, 0], [0, 30], [-8, 30]]%s}]\n"
    "crew: [{loader: own, box: own, start: [3, 4]}]\n"
    "chance: {replications: 4, fill: 20 %%, dump: 30 %%}\n";

static pc_scenario make_scenario(const char *name, int length, const char *zone) {
  char text[2000];
  snprintf(text, sizeof text, lot_text, name, length, length, zone);
  return read_good(text, NULL, 0, 0);
}

static const char fleet_text[] =
    "fleet: 1\n"
    "name: Test\n"
    "machines:\n"
    "  - {name: mid, count: 2, together: 1..2, loader: {speeds: {push: 8 km/h, carry: 11 km/h, return: 16 "
    "km/h}}}\n"
    "  - {name: light, boxes: [wide], cost: 80 /h, loader: {speeds: {push: 8 km/h, carry: 11 km/h, return: "
    "16 "
    "km/h}, power: 50 kW, mass: 2 t, traction: 0.2}}\n"
    "boxes:\n"
    "  - {name: wide, count: 2, box: {width: 5 m, height: 1.2 m, mass: 1500 kg}}\n"
    "  - {name: narrow, box: {width: 3 m, height: 1 m}}\n"
    "travel: {speed: 36 km/h, detour: 1.5, units: km, yard: [0, 0], set_up: 1 min,\n"
    "  lots: [{name: a, at: [3, 4]}, {name: b, at: [-1, 0]}]}\n"
    "money: {machine: 90 /h, operator: 36 /h}\n";

static pc_fleet read_fleet(const char *text) {
  pc_fleet fleet;
  pc_faults faults = {0};
  pc_status status = pc_fleet_read_text("fleet.yaml", text, strlen(text), &fleet, &faults);
  if (status != PC_OK)
    fail_msg("%s: %s", faults.items[0].key, faults.items[0].message);
  pc_faults_free(&faults);
  return fleet;
}

static void test_read(void **state) {
  (void)state;
  pc_fleet f = read_fleet(fleet_text);
  assert_int_equal(f.machine_count, 2);
  assert_int_equal(f.machines[0].count, 2);
  assert_int_equal(f.machines[0].together.count, 2);
  assert_string_equal(f.machines[1].loader.name.text, "light");
  assert_int_equal(f.machines[1].boxes.count, 1);
  NEAR(f.machines[1].cost_per_s, 80.0 / 3600);
  NEAR(f.boxes[0].box.width_m, 5);
  assert_string_equal(f.boxes[0].box.name.text, "wide");
  NEAR(f.travel.set_up_s, 60);
  assert_false(f.back_to_yard);
  pc_fleet_free(&f);
}

static int lines_before(const char *text, const char *word) {
  int lines = 0;
  for (const char *at = text; at < strstr(text, word); at++)
    lines += *at == '\n';
  return lines;
}

static void test_positions(void **state) {
  (void)state;
  pc_fleet f = read_fleet(fleet_text);
  const pc_name lots[] = {pc_name_of("b"), pc_name_of("a")};
  pc_faults faults = {0};
  double t[9];
  assert_int_equal(pc_fleet_times(&f, lots, 2, t, &faults), PC_OK);
  /* by hand: 1.5 × 5 km at 10 m/s; 1.5 × 1 km; and between the lots 1.5 × √(4² + 4²) km */
  NEAR(t[0 * 3 + 2], 750);
  NEAR(t[0 * 3 + 1], 150);
  NEAR(t[1 * 3 + 2], 150 * sqrt(32));
  NEAR(t[4], 0);
  const pc_name other[] = {pc_name_of("c")};
  assert_int_equal(pc_fleet_times(&f, other, 1, t, &faults), PC_ERR_NAME);
  assert_non_null(strstr(faults.items[0].message, "has no place \"c\""));
  assert_non_null(strstr(faults.items[0].message, "it has \"a\", \"b\""));
  assert_string_equal(faults.items[0].key, "travel.lots");
  assert_int_equal(faults.items[0].line, 1 + lines_before(fleet_text, "lots:"));
  pc_faults_free(&faults);
  pc_fleet_free(&f);
}

#define MACHINES                                                                                             \
  "machines: [{name: m, loader: {speeds: {push: 8 km/h, carry: 8 km/h, return: 8 km/h}}}]\n"                 \
  "boxes: [{name: k, box: {width: 3 m, height: 1 m}}]\n"

static void test_matrix(void **state) {
  (void)state;
  pc_fleet f = read_fleet(MACHINES
                          "travel: {places: [a, yard, b, depot], minutes: [[9, 1, 90, 1], [2, 0, 30, "
                          "5], [4, 5, 0, 6], [7, 8, 3, 0]]}\n");
  const pc_name lots[] = {pc_name_of("a"), pc_name_of("b")};
  pc_faults faults = {0};
  double t[9];
  assert_int_equal(pc_fleet_times(&f, lots, 2, t, &faults), PC_OK);
  /* in minutes, by hand: yard to a 2; yard to b by a and the depot 2 + 1 + 3; a to b by the depot 1 + 3 */
  const double minutes[9] = {0, 2, 6, 1, 0, 4, 5, 4, 0};
  for (int i = 0; i < 9; i++)
    NEAR(t[i], 60 * minutes[i]);
  pc_fleet_free(&f);
}

static void test_faults(void **state) {
  (void)state;
  static const struct {
    const char *text, *key, *words;
  } bad[] = {
      {"fleet: 2\n" MACHINES, "fleet", "format"},
      {"boxes: []\n", "machines", "is required"},
      {MACHINES "travel: {yard: [0, 0]}\n", "travel.speed", "is required"},
      {MACHINES "travel: {places: [a], minutes: [[0]]}\n", "travel.places", "yard"},
      {MACHINES "travel: {places: [yard, a], minutes: [[0, 1]]}\n", "travel.minutes", "1 rows for 2 places"},
      {MACHINES "travel: {places: [yard, a], minutes: [[0, 1], [0]]}\n", "travel.minutes[1]",
       "1 numbers for 2 places"},
      {MACHINES "travel: {places: [yard, a], minutes: [[0, -1], [0, 0]]}\n", "travel.minutes", "0 or more"},
      {MACHINES "travel: {places: [yard, a], minutes: [[0, x], [0, 0]]}\n", "travel.minutes[0][1]", ""},
      {MACHINES "travel: {places: [yard, a]}\n", "travel", "together"},
      {MACHINES "travel: {speed: 30 km/h, units: leagues, yard: [0, 0]}\n", "travel.units",
       "km, m, mi or ft"},
      {MACHINES "travel: {speed: 30, yard: [0, 0]}\n", "travel.speed", "unit of speed"},
      {MACHINES "travle: {speed: 30 km/h}\n", "travle", "did you mean \"travel\""},
      {"machines: [{name: m, together: 3, boxes: [q], loader: {speeds: {push: 8 km/h, carry: 8 km/h, return: "
       "8 "
       "km/h}}}]\nboxes: [{name: k, box: {width: 3 m, height: 1 m}}]\n",
       "machines[0].together", "number of machines"},
      {"machines: [{name: m}, {name: m, loader: {speeds: {push: 8 km/h, carry: 8 km/h, return: 8 km/h}}}]\n"
       "boxes: [{name: k, box: {width: 3 m, height: 1 m}}]\n",
       "machines[0].loader", "is required"},
      {"- a list\n", "", "map of a fleet"},
  };
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
    pc_fleet fleet;
    pc_faults faults = {0};
    assert_int_not_equal(pc_fleet_read_text("f", bad[i].text, strlen(bad[i].text), &fleet, &faults), PC_OK);
    if (strcmp(faults.items[0].key, bad[i].key) != 0 || !strstr(faults.items[0].message, bad[i].words))
      fail_msg("%zu: %s: %s", i, faults.items[0].key, faults.items[0].message);
    assert_int_equal(fleet.machine_count, 0);
    pc_faults_free(&faults);
  }
}

static char *run(const pc_fleet *fleet, const pc_scenario *const *lots, size_t count,
                 const pc_assign_settings *settings) {
  pc_assignment a;
  pc_faults faults = {0};
  pc_text text = {0};
  assert_int_equal(pc_assign(fleet, lots, count, settings, &a, &faults), PC_OK);
  assert_int_equal(pc_results_assign_json(fleet, &a, &text), PC_OK);
  pc_assignment_free(&a);
  pc_faults_free(&faults);
  return text.data;
}

/* Each trial is what a run of the lot with that crew gives, without chance; the light loader (0.2 of 2 t
 * carry no box of 1.5 t, handbook method, US Army FM 5-434) is left out; and the sums of the plan are those
 * of its parts. */
static void test_assign(void **state) {
  (void)state;
  pc_fleet fleet = read_fleet(fleet_text);
  pc_scenario a = make_scenario("a", 60, ""), b = make_scenario("b", 90, "");
  const pc_scenario *lots[] = {&a, &b};
  const pc_assign_settings settings = {.least = PC_LEAST_TIME, .threads = 2};
  pc_assignment found;
  pc_faults faults = {0};
  assert_int_equal(pc_assign(&fleet, lots, 2, &settings, &found, &faults), PC_OK);
  /* mid with wide, alone or two; mid with the one narrow, alone; light with wide */
  assert_int_equal(found.unit_count, 4);
  for (size_t u = 0; u < found.unit_count; u++) {
    const pc_assign_unit *unit = &found.units[u];
    const pc_assign_trial *trial = &found.trials[u * 2];
    if (unit->machine == 1) {
      assert_int_equal(trial->fit, PC_ASSIGN_FIT_TRACTION);
      assert_false(trial->used);
      continue;
    }
    pc_scenario own = make_scenario("a", 60, "");
    own.loaders[0] = fleet.machines[unit->machine].loader;
    own.boxes[0] = fleet.boxes[unit->box].box;
    own.crew[0].loader = own.loaders[0].name;
    own.crew[0].box = own.boxes[0].name;
    own.crew[0].count = unit->together;
    own.chance = (pc_chance){.replications = 1, .seed = 1};
    pc_result result = simulate(&own, NULL);
    assert_true(trial->used);
    assert_true(trial->time_s == result.total_time_s);
    pc_result_free(&result);
    pc_scenario_free(&own);
  }
  assert_true(found.plan.found && found.plan.gap == 0 && found.impossible == 0 && found.priced);
  double cost = 0;
  for (size_t r = 0; r < found.plan.route_count; r++) {
    const pc_assign_route *route = &found.plan.routes[r];
    size_t lot = route->stops[0].lot;
    NEAR(route->stops[0].arrive_s, found.travel_s[lot + 1]);
    NEAR(route->stops[0].done_s, found.travel_s[lot + 1] + 60 + found.trials[route->unit * 2 + lot].time_s);
    cost += found.units[route->unit].together * 126.0 / 3600 * route->end_s;
  }
  NEAR(found.plan.cost, cost);
  pc_assignment_free(&found);
  pc_faults_free(&faults);
  pc_scenario_free(&a);
  pc_scenario_free(&b);
  pc_fleet_free(&fleet);
}

/* Fuel has its price, too: 2 a litre, of what the trial of each stop burnt. */
static void test_fuel_is_paid(void **state) {
  (void)state;
  pc_fleet fleet = read_fleet(fleet_text);
  pc_loader *loader = &fleet.machines[0].loader;
  loader->power_w = 100e3;
  loader->mass_kg = 12e3;
  loader->traction = 0.5;
  loader->fuel_per_kwh_l = 0.25;
  loader->fuel_idle_lph = 4;
  fleet.money.fuel_per_m3 = 2000;
  pc_scenario a = make_scenario("a", 60, ""), b = make_scenario("b", 90, "");
  const pc_scenario *lots[] = {&a, &b};
  for (int least = 0; least < 2; least++) {
    const pc_assign_settings settings = {.least = least ? PC_LEAST_COST : PC_LEAST_TIME, .threads = 1};
    pc_assignment found;
    pc_faults faults = {0};
    assert_int_equal(pc_assign(&fleet, lots, 2, &settings, &found, &faults), PC_OK);
    double cost = 0, litres = 0;
    for (size_t r = 0; r < found.plan.route_count; r++) {
      const pc_assign_route *route = &found.plan.routes[r];
      cost += found.units[route->unit].together * 126.0 / 3600 * route->end_s;
      for (size_t i = 0; i < route->stop_count; i++)
        litres += found.trials[route->unit * 2 + route->stops[i].lot].fuel_l;
    }
    assert_true(litres > 0.5);
    NEAR(found.plan.cost, cost + 2 * litres);
    pc_assignment_free(&found);
    pc_faults_free(&faults);
  }
  pc_scenario_free(&a);
  pc_scenario_free(&b);
  pc_fleet_free(&fleet);
}

typedef struct one_step {
  size_t done;
} one_step;

static void count_step(void *context, size_t done, size_t all) {
  (void)all;
  ((one_step *)context)->done = done;
}

static bool after_one(void *context) {
  return ((one_step *)context)->done >= 1;
}

/* Stopped when one unit has been tried on the lot, whose zone ran full: another may clear it yet. So that
 * trial stands in no plan, the lot is open, and not one that runs full with everyone. */
static void test_full_but_not_tried_by_all(void **state) {
  (void)state;
  pc_fleet fleet = read_fleet(fleet_text);
  pc_scenario a = make_scenario("a", 60, ", volume: 10 m3");
  const pc_scenario *lots[] = {&a};
  one_step steps = {0};
  const pc_watch watch = {count_step, after_one, &steps};
  const pc_assign_settings settings = {.threads = 1, .watch = &watch};
  pc_assignment found;
  pc_faults faults = {0};
  assert_int_equal(pc_assign(&fleet, lots, 1, &settings, &found, &faults), PC_OK);
  assert_true(found.stopped && found.untried == found.unit_count - 1);
  assert_int_equal(found.trials[0].fit, PC_ASSIGN_FIT_FULL);
  assert_false(found.trials[0].used);
  assert_true(found.hauled == 0 && found.open == 1 && found.impossible == 0);
  assert_false(found.plan.found);
  pc_assignment_free(&found);
  pc_faults_free(&faults);
  pc_scenario_free(&a);
  pc_fleet_free(&fleet);
}

/* The same bytes for any number of threads, with chance and without. */
static void test_threads(void **state) {
  (void)state;
  pc_fleet fleet = read_fleet(fleet_text);
  pc_scenario a = make_scenario("a", 60, ""), b = make_scenario("b", 90, "");
  const pc_scenario *lots[] = {&b, &a};
  for (size_t replications = 0; replications <= 3; replications += 3) {
    pc_assign_settings settings = {
        .least = PC_LEAST_COST, .threads = 1, .replications = replications, .seed = 5};
    char *one = run(&fleet, lots, 2, &settings);
    settings.threads = 3;
    char *three = run(&fleet, lots, 2, &settings);
    assert_string_equal(one, three);
    free(one);
    free(three);
  }
  pc_scenario_free(&a);
  pc_scenario_free(&b);
  pc_fleet_free(&fleet);
}

/* A lot whose zone is too small for everyone is still worked, and told of; where nobody can do any lot there
 * is no plan. */
static void test_troubles(void **state) {
  (void)state;
  pc_fleet fleet = read_fleet(fleet_text);
  pc_scenario a = make_scenario("a", 60, ", volume: 10 m3"), b = make_scenario("b", 90, "");
  const pc_scenario *lots[] = {&a, &b};
  const pc_assign_settings settings = {0};
  pc_assignment found;
  pc_faults faults = {0};
  assert_int_equal(pc_assign(&fleet, lots, 2, &settings, &found, &faults), PC_OK);
  assert_int_equal(found.hauled, 1);
  assert_true(found.plan.found);
  pc_assignment_free(&found);
  free(fleet.machines[0].together.items); /* only the light one is left */
  fleet.machines[0] = pc_fleet_machine_default();
  fleet.machines[0].name = pc_name_of("mid");
  fleet.machines[0].loader = fleet.machines[1].loader;
  pc_name wide = pc_name_of("wide");
  fleet.machines[0].boxes = (pc_names){pc_copy(&wide, 1, sizeof wide), 1};
  assert_int_equal(pc_assign(&fleet, lots, 2, &settings, &found, &faults), PC_OK);
  assert_int_equal(found.impossible, 2);
  assert_false(found.plan.found);
  pc_assignment_free(&found);
  const pc_scenario *twice[] = {&b, &b};
  assert_int_equal(pc_assign(&fleet, twice, 2, &settings, &found, &faults), PC_ERR_NAME);
  pc_faults_free(&faults);
  pc_scenario_free(&a);
  pc_scenario_free(&b);
  pc_fleet_free(&fleet);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_read),
      cmocka_unit_test(test_positions),
      cmocka_unit_test(test_matrix),
      cmocka_unit_test(test_faults),
      cmocka_unit_test(test_assign),
      cmocka_unit_test(test_threads),
      cmocka_unit_test(test_troubles),
      cmocka_unit_test(test_fuel_is_paid),
      cmocka_unit_test(test_full_but_not_tried_by_all),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
