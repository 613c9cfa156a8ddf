// SPDX-License-Identifier: GPL-3.0-or-later
/* How many machines, and whether a crew keeps up with a storm. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/tables.h"
#include "scene.h"
#include "simulate.h"
#include "study/compare.h"
#include "study/crews.h"
#include "study/depths.h"
#include "validation.h"

/* ---- match factor ---- */

static void match_factor_by_definition(void **state) {
  (void)state;
  /* n = 5, S = 3 min, T = 15 min → 1.0: handbook definition (from memory) */
  assert_published("Definition of estimating handbooks (from memory)",
                   "match factor of 5 haulers, 3 and 15 min", pc_match_factor(5, 180, 900), 1.0, 1e-15);
  assert_near("match factor", pc_match_factor(2, 30, 600), 0.1, 1e-15);
  assert_true(isnan(pc_match_factor(2, 30, 0)));
}

/* A comparison over numbers of machines on one lot whose dumps take long. */
static pc_comparison compare_crews(pc_scenario *s, int *machines, size_t count, pc_faults *faults) {
  pc_wanted wanted = {.crews = {machines, count}};
  pc_comparison c;
  assert_int_equal(
      pc_compare(s, &(pc_compare_how){.wanted = &wanted, .replications = 1, .seed = 1, .threads = 1}, &c,
                 faults),
      PC_OK);
  return c;
}

static const pc_compare_row *row_with(const pc_comparison *c, size_t machines) {
  for (size_t i = 0; i < c->row_count; i++)
    if (c->rows[i].machine_count == machines)
      return &c->rows[i];
  fail_msg("no row with %zu machines", machines);
  return NULL;
}

/* Asymptotic bounds of a closed network (Denning & Buzen 1978, The operational analysis of queueing network
 * models): throughput X(n) ≤ min(n/T, 1/S). Where n·S/T is well above 1 the one berth is the bottleneck: the
 * time is that of the dumps alone, and the machines wait there. */
static void many_machines_at_one_berth(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 30}};
  pc_scenario s = scene_rectangle(60, 60, zone, 1);
  s.loaders[0].dump_s = 60;
  s.policy = pc_name_of("keep-pushing");
  int machines[] = {1, 2, 8};
  pc_faults faults = {0};
  pc_comparison c = compare_crews(&s, machines, 3, &faults);
  assert_int_equal(c.row_count, 3);
  for (size_t i = 0; i < 3; i++) {
    const pc_compare_row *row = &c.rows[i];
    double loads = row->summary.cycles, cycle_s = 0;
    for (size_t m = 0; m < row->machine_count; m++)
      for (int p = 0; p < PC_PHASE_COUNT; p++)
        if (p != PC_PHASE_WAIT && p != PC_PHASE_IDLE)
          cycle_s += row->summary.mean.machines[m].time_s[p] / loads;
    assert_true(row->summary.total_time_s.mean >= loads * 60);
    assert_true(row->summary.total_time_s.mean >= loads * cycle_s / (double)row->machine_count * (1 - 1e-12));
    assert_near("match factor", row->use.match_factor, (double)row->machine_count * 60 / cycle_s, 1e-9);
    assert_near("shares", row->use.working * (double)row->machine_count * row->summary.total_time_s.mean,
                loads * cycle_s, 1e-9);
  }
  const pc_compare_row *one = row_with(&c, 1), *eight = row_with(&c, 8);
  assert_true(one->use.match_factor < 1 && one->use.waiting == 0 && one->use.waits_at.text[0] == '\0');
  assert_near("working alone", one->use.working, 1.0, 1e-12);
  assert_true(eight->use.match_factor > 2);
  assert_near("time of the dumps", eight->summary.total_time_s.mean, eight->summary.cycles * 60, 0.1);
  assert_true(eight->use.waiting > 0.4);
  assert_string_equal(eight->use.waits_at.text, "A");
  assert_false(eight->use.waits_in_passage);
  assert_true(eight->rank < one->rank);
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Two berths serve two at once: half the time at the zone for each load. */
static void berths_share_the_loads(void **state) {
  (void)state;
  pc_machine_result machines[2] = {0};
  pc_zone_result zones[2] = {{.loads = 6, .wait_s = 4}, {.loads = 4, .wait_s = 9}};
  pc_zone kept[2] = {{.berths = 3}, {.berths = 1}};
  pc_passage_result passages[1] = {{.wait_s = 5}};
  pc_lot_passage gates[1] = {{.name = {"gate"}}};
  kept[1].name = pc_name_of("west");
  for (int m = 0; m < 2; m++) {
    machines[m].cycles = 5;
    machines[m].time_s[PC_PHASE_DUMP] = 50;
    machines[m].time_s[PC_PHASE_FILL] = 150;
    machines[m].time_s[PC_PHASE_WAIT] = 9;
    machines[m].time_s[PC_PHASE_IDLE] = 41;
  }
  pc_lot lot = {.zones = kept, .zone_count = 2, .passages = gates, .passage_count = 1};
  pc_result mean = {.machines = machines,
                    .machine_count = 2,
                    .zones = zones,
                    .zone_count = 2,
                    .passages = passages,
                    .passage_count = 1};
  /* S = 10 s × max(0.6 / 3, 0.4 / 1) = 4 s, T = 40 s, n = 2 */
  pc_crew_use use = pc_crew_use_of(&lot, &mean);
  assert_near("match factor", use.match_factor, 2 * 4.0 / 40, 1e-15);
  assert_near("working", use.working, 0.8, 1e-15);
  assert_near("waiting", use.waiting, 18.0 / 500, 1e-15);
  assert_string_equal(use.waits_at.text, "west");
  passages[0].wait_s = 10;
  use = pc_crew_use_of(&lot, &mean);
  assert_string_equal(use.waits_at.text, "gate");
  assert_true(use.waits_in_passage && use.waits_s == 10);
}

/* What holds the others back, worked out by hand: shares of the time that are not waiting and not idle. */
static void the_busiest_holds_back(void **state) {
  (void)state;
  bool yard[2] = {true, true}, ramp[2] = {false, true};
  pc_lot_area areas[2] = {{.name = {"yard"}}, {.name = {"ramp"}}};
  pc_lot_machine given[3] = {{.name = {"big 1"}, .allowed = yard, .until_s = NAN},
                             {.name = {"big 2"}, .allowed = yard, .until_s = NAN},
                             {.name = {"small"}, .allowed = ramp, .until_s = NAN, .keep = true}};
  pc_machine_result machines[3] = {0};
  const double idle[3] = {40, 60, 3};
  for (int m = 0; m < 3; m++) {
    machines[m].time_s[PC_PHASE_FILL] = 100 - idle[m];
    machines[m].time_s[PC_PHASE_IDLE] = idle[m];
  }
  pc_lot lot = {
      .machines = given, .machine_count = 3, .areas = areas, .area_count = 2, .work_minutes_per_hour = 60};
  pc_result mean = {.machines = machines, .machine_count = 3};
  pc_crew_use use = pc_crew_use_of(&lot, &mean);
  assert_string_equal(use.limit.text, "small");
  assert_string_equal(use.limit_area.text, "ramp");
  assert_true(use.limit_kept && use.limit_count == 1);
  assert_near("busy", use.limit_busy, 0.97, 1e-15);
  assert_near("the others", use.others_busy, 0.5, 1e-15);
  /* one of two that are alike is no bottleneck: the last loads fell so */
  given[1].allowed = ramp;
  given[2].unit.loader.name = pc_name_of("mid loader");
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, "small");
  given[2].unit.loader.name = pc_name_of("");
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, "");
  given[1].allowed = yard;
  /* it is not held against those whose number is in question that they do all the work */
  given[0].keep = given[1].keep = true;
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, "small");
  given[2].keep = false;
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, "");
  given[2].keep = true;
  given[0].keep = given[1].keep = false;
  /* a break and hours off are nothing to spare: big 1 has 40 s idle, 30 of them for a break, big 2 comes at
   * 60 */
  machines[0].break_s = 30;
  given[1].from_s = 60;
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, ""); /* 0.9, 1 and 0.97 */
  /* all wait for the morning: nobody is to blame */
  machines[0].break_s = given[1].from_s = 0;
  machines[2].time_s[PC_PHASE_FILL] = 80;
  machines[2].time_s[PC_PHASE_IDLE] = 20;
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, "");
}

/* Either side of each bound of what holds a crew back (crews.h: 90 %, 15 and 5 points, chosen there): idle of
 * each machine, of 1000 s. */
static void bounds_of_what_holds_back(void **state) {
  (void)state;
  static const struct {
    double idle_s[3];
    int count; /* machines that hold back; 0: none does */
  } cases[] = {{{400, 400, 100}, 1}, {{400, 400, 101}, 0}, {{151, 151, 0}, 1}, {{149, 149, 0}, 0},
               {{250, 252, 100}, 1}, {{248, 250, 100}, 0}, {{49, 400, 0}, 2},  {{51, 400, 0}, 1},
               {{50, 52, 0}, 0},     {{90, 400, 50}, 2},   {{101, 400, 50}, 1}};
  bool yard[2] = {true, true}, ramp[2] = {false, true};
  pc_lot_area areas[2] = {{.name = {"yard"}}, {.name = {"ramp"}}};
  pc_lot_machine given[3] = {{.name = {"big"}, .allowed = yard, .until_s = NAN},
                             {.name = {"mid"}, .allowed = yard, .until_s = NAN},
                             {.name = {"small"}, .allowed = ramp, .until_s = NAN}};
  for (size_t m = 0; m < 3; m++)
    given[m].unit.loader.name = given[m].name;
  pc_machine_result machines[3] = {0};
  pc_lot lot = {
      .machines = given, .machine_count = 3, .areas = areas, .area_count = 2, .work_minutes_per_hour = 60};
  pc_result mean = {.machines = machines, .machine_count = 3};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    for (int m = 0; m < 3; m++) {
      machines[m].time_s[PC_PHASE_FILL] = 1000 - cases[i].idle_s[m];
      machines[m].time_s[PC_PHASE_IDLE] = cases[i].idle_s[m];
    }
    pc_crew_use use = pc_crew_use_of(&lot, &mean);
    if (use.limit_count != cases[i].count || strcmp(use.limit.text, cases[i].count > 0 ? "small" : "") != 0)
      fail_msg("case %zu: %d, \"%s\"", i, use.limit_count, use.limit.text);
  }
  /* repairs are no time to spare, and nobody is busier than all the time */
  machines[2].time_s[PC_PHASE_FILL] = 700;
  machines[2].time_s[PC_PHASE_IDLE] = 300;
  assert_string_equal(pc_crew_use_of(&lot, &mean).limit.text, "");
  machines[2].repair_s = 300;
  assert_near("busy", pc_crew_use_of(&lot, &mean).limit_busy, 1, 1e-15);
  machines[2].break_s = 200;
  assert_near("busy", pc_crew_use_of(&lot, &mean).limit_busy, 1, 1e-15);
}

/* Hours with pauses: the clock goes on while nobody works, which is no time to spare. Three machines, of
 * which one works to the end; by the clock of 50 minutes a work hour all of it takes 60/50, and the rest of
 * that is idle. */
static void pauses_are_no_time_to_spare(void **state) {
  (void)state;
  static const double minutes[] = {60.0, 55.0, 50.0, 30.0};
  for (size_t i = 0; i < sizeof minutes / sizeof minutes[0]; i++) {
    pc_lot_machine given[3];
    pc_machine_result machines[3];
    memset(given, 0, sizeof given);
    memset(machines, 0, sizeof machines);
    pc_lot lot = {.machines = given, .machine_count = 3, .work_minutes_per_hour = minutes[i]};
    pc_result mean = {.machines = machines, .machine_count = 3};
    static const double working[] = {1000.0, 600.0, 580.0};
    double clock_s = 1000.0 * 60.0 / minutes[i];
    for (size_t m = 0; m < 3; m++) {
      given[m].name = pc_name_of(m == 0 ? "one" : "other");
      given[m].unit.loader.name = given[m].name;
      given[m].until_s = NAN;
      machines[m].time_s[PC_PHASE_FILL] = working[m];
      machines[m].time_s[PC_PHASE_IDLE] = clock_s - working[m];
    }
    pc_crew_use use = pc_crew_use_of(&lot, &mean);
    assert_string_equal(use.limit.text, "one");
    assert_near("busy", use.limit_busy, 1.0, 1e-12);
    assert_near("others", use.others_busy, 0.59, 1e-12);
    machines[0].time_s[PC_PHASE_FILL] =
        800.0; /* 100 s at work in repairs, and as much in breaks, told by the clock */
    machines[0].time_s[PC_PHASE_IDLE] = clock_s - 800.0;
    machines[0].repair_s = 100.0;
    machines[0].break_s = 100.0 * 60.0 / minutes[i];
    assert_near("busy", pc_crew_use_of(&lot, &mean).limit_busy, 1.0, 1e-12);
  }
}

/* ---- what is said of it ---- */

/* Costs of 1, 2, 3 machines put into a comparison, and the sentence that has to come of it. */
static void sentences_for_costs(void **state) {
  (void)state;
  const struct {
    double cost[3];
    const char *sentence;
  } cases[] = {
      {{10, 9.5, 11},
       "  2 machines cost least, EUR 9.50; the step to 2 is the last that saves more than it costs: "},
      {{10, 9.5, 9},
       "  3 machines cost least, EUR 9.00; the step to 3 still saves more than it costs, and more were"},
      {{10, 12, 11},
       "  1 machine costs least, EUR 10.00; of the steps beyond, the one to 3 saves more than it costs by "},
      {{10, 12, 14}, "  1 machine costs least, EUR 10.00; no further machine saves more than it costs. "},
      {{NAN, NAN, NAN},
       "  The last step that saves at least 10 % of the time with each machine is the one to 2.\n"}};
  const double times[] = {1000, 600, 590};
  const pc_point zone[] = {{0, 10}};
  pc_scenario s = scene_rectangle(20, 20, zone, 1);
  int machines[] = {1, 2, 3};
  pc_faults faults = {0};
  pc_comparison c = compare_crews(&s, machines, 3, &faults);
  for (size_t k = 0; k < sizeof cases / sizeof cases[0]; k++) {
    pc_text text = {0};
    for (size_t i = 0; i < 3; i++) {
      c.rows[i].summary.cost = cases[k].cost[c.rows[i].crew - 1];
      c.rows[i].summary.total_time_s.mean = times[c.rows[i].crew - 1];
    }
    pc_tables_compare(&s, &c, PC_METRIC, &text);
    assert_false(text.failed);
    if (!strstr(text.data, cases[k].sentence))
      fail_msg("no sentence %s in %s", cases[k].sentence, text.data);
    assert_true(isnan(cases[k].cost[0]) == !strstr(text.data, "cost EUR"));
    pc_text_free(&text);
  }
  /* being in time comes before money: one machine is cheapest, but late */
  pc_text text = {0};
  for (size_t i = 0; i < 3; i++) {
    c.rows[i].summary.cost = 10 + c.rows[i].crew;
    c.rows[i].summary.area_late[0] = c.rows[i].crew == 1;
  }
  pc_tables_compare(&s, &c, PC_METRIC, &text);
  if (!strstr(text.data,
              "2 machines cost least of those in time, EUR 12.00. (Fewer are late; by cost alone, no "
              "further machine pays.) "))
    fail_msg("%s", text.data);
  pc_text_free(&text);
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* Waiting at one place is told from 5 % of all machine time on (tables_crews.c, chosen there): of 2 machines
 * for 1000 s these are 100 s. */
static void waiting_is_told_from_a_twentieth_on(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 10}};
  pc_scenario s = scene_rectangle(20, 20, zone, 1);
  int numbers[] = {1, 2};
  pc_faults faults = {0};
  pc_comparison c = compare_crews(&s, numbers, 2, &faults);
  for (int more = 0; more < 2; more++) {
    for (size_t i = 0; i < 2; i++) {
      pc_compare_row *row = &c.rows[i];
      row->summary.total_time_s.mean = row->crew == 2 ? 1000 : 2000;
      row->use = (pc_crew_use){0};
      if (row->crew == 2) {
        row->use.waits_at = pc_name_of("A");
        row->use.waits_s = 99 + more;
      }
    }
    pc_text text = {0};
    pc_tables_compare(&s, &c, PC_METRIC, &text);
    assert_false(text.failed);
    const char *sentence = strstr(text.data, "  What holds");
    const char *said = "  What holds 2 machines back: zone A: machines wait there 5 % of their time.\n";
    if (more ? !sentence || strncmp(sentence, said, strlen(said)) != 0 : sentence != NULL)
      fail_msg("%d s: %s", 99 + more, text.data);
    pc_text_free(&text);
  }
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* ---- keeping up ---- */

static void add_storm(pc_scenario *s, const double (*pieces)[2], size_t count) {
  s->storm = pc_alloc(count, sizeof *s->storm);
  assert_non_null(s->storm);
  s->storm_count = count;
  for (size_t i = 0; i < count; i++) {
    s->storm[i] = pc_storm_piece_default();
    s->storm[i].after_s = pieces[i][0];
    s->storm[i].rate_mps = pieces[i][1];
  }
}

/* One lane of 90 × 4.5 m with a zone at its end. Driving is next to nothing beside a dump of 600 s. */
static pc_scenario storm_lane(double rate_mps, double hours) {
  const pc_point zone[] = {{90, 2.25}};
  pc_scenario s = scene_rectangle(90, 4.5, zone, 1);
  s.snow.depth_m = 0.0;
  s.boxes[0].height_m = 0.3; /* 4.5 × 0.3 × 1.0 m³ × 250 kg/m³ = 337.5 kg */
  s.loaders[0].push_speed_mps = s.loaders[0].carry_speed_mps = s.loaders[0].return_speed_mps = 20;
  s.loaders[0].turn_s = s.loaders[0].lower_s = 0.0;
  s.loaders[0].dump_s = 600;
  s.policy = pc_name_of("keep-pushing");
  const double pieces[][2] = {{0, rate_mps}, {hours * 3600, 0}};
  add_storm(&s, pieces, 2);
  return s;
}

static pc_keep_up judge(const pc_scenario *s) {
  pc_lot *lot = make_lot(s);
  pc_depths_series series;
  pc_depths_start(&series, lot);
  const pc_trace trace = {.row = pc_depths_row, .context = &series, .depth = pc_depths_depth};
  pc_summary summary;
  assert_int_equal(pc_replicate(lot, 1, 1, 1, &trace, &summary), PC_OK);
  assert_false(series.failed);
  pc_keep_up up = pc_depths_judge(&series);
  assert_true(summary.mean.areas[0].max_depth_m <= up.deepest_m * (1 + 1e-12));
  pc_summary_free(&summary);
  pc_depths_free(&series);
  pc_lot_free(lot);
  return up;
}

/* In steady state c/T: 337.5 kg in each cycle of 600 s and at most 2 × 90 m at 20 m/s, 600 … 609 s. */
static const double limit_kgps = 337.5 / 604.5, lane_m2 = 90 * 4.5;

static void the_limit_is_load_over_cycle_time(void **state) {
  (void)state;
  const struct {
    double share;
    pc_keeping keeping;
  } cases[] = {
      {0.3, PC_KEEPING_UP}, {0.7, PC_KEEPING_UP}, {1.3, PC_KEEPING_BEHIND}, {2.5, PC_KEEPING_BEHIND}};
  for (size_t i = 0; i < 4; i++) {
    pc_scenario s = storm_lane(cases[i].share * limit_kgps / lane_m2 / 100, 12);
    pc_keep_up up = judge(&s);
    print_message(
        "fall %.2f of the limit: %s, grows by %.3f of what falls, clears %.4f kg/s while it works\n",
        cases[i].share, pc_keeping_name(up.keeping), up.grown_m / up.fallen_m, up.clearing_kgps);
    assert_int_equal(up.keeping, cases[i].keeping);
    assert_near("from", up.from_s, 6 * 3600, 1e-12);
    assert_near("to", up.to_s, 12 * 3600, 1e-12);
    assert_near("fall", up.fall_kgps, cases[i].share * limit_kgps, 1e-9);
    if (cases[i].keeping == PC_KEEPING_BEHIND) {
      /* by mass: growth is what falls less c/T; one load in 35 is on its way at either end */
      assert_near("clearing", up.clearing_kgps, limit_kgps, 0.04);
      assert_near("growth", up.grown_m / up.fallen_m, 1 - 1 / cases[i].share, 0.15);
      assert_true(up.working > 0.99);
    }
    pc_scenario_free(&s);
  }
}

/* 1 cm/h on 1,600 m² is 16 t/h: a machine that carries 1.35 t a minute or so keeps up, ten machines too; a
 * machine that needs an hour for a load does not. */
static void crews_too_small_and_too_large(void **state) {
  (void)state;
  const pc_point zone[] = {{40, 20}};
  const double pieces[][2] = {{0, 0.01 / 3600}, {6 * 3600.0, 0}};
  pc_scenario s = scene_rectangle(40, 40, zone, 1);
  s.snow.depth_m = 0.0;
  s.policy = pc_name_of("keep-pushing");
  add_storm(&s, pieces, 2);
  s.zones[0].berths = 4;
  int machines[] = {1, 10};
  pc_faults faults = {0};
  pc_comparison c = compare_crews(&s, machines, 2, &faults);
  for (size_t i = 0; i < 2; i++)
    assert_int_equal(c.rows[i].keep_up.keeping, PC_KEEPING_UP);
  assert_true(row_with(&c, 10)->keep_up.working < row_with(&c, 1)->keep_up.working);
  pc_comparison_free(&c);
  s.loaders[0].dump_s = 3600;
  c = compare_crews(&s, machines, 1, &faults);
  assert_int_equal(c.rows[0].keep_up.keeping, PC_KEEPING_BEHIND);
  assert_true(c.rows[0].keep_up.clearing_kgps < c.rows[0].keep_up.fall_kgps);
  pc_comparison_free(&c);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
}

/* ---- the judgement on series made by hand ---- */

static pc_keep_up judge_rows(const pc_lot *lot, const double *depths_m, size_t rows, double step_s) {
  pc_depths_series series;
  pc_depths_start(&series, lot);
  for (size_t i = 0; i < rows; i++)
    pc_depths_depth(&series, 0, (double)i * step_s, 0, depths_m[i]);
  pc_keep_up up = pc_depths_judge(&series);
  pc_depths_free(&series);
  return up;
}

static void more_than_a_tenth_is_behind(void **state) {
  (void)state;
  pc_scenario s = storm_lane(0.01 / 3600, 4); /* 1 cm/h for 4 h: 2 cm fall in the second half */
  pc_lot *lot = make_lot(&s);
  const double keeps[] = {0, 0.01, 0.020, 0.0208, 0.0215}, falls[] = {0, 0.01, 0.020, 0.021, 0.0225};
  assert_int_equal(judge_rows(lot, keeps, 5, 3600).keeping, PC_KEEPING_UP);
  assert_int_equal(judge_rows(lot, falls, 5, 3600).keeping, PC_KEEPING_BEHIND);
  pc_keep_up up = judge_rows(lot, falls, 5, 3600);
  assert_near("growth", up.grown_m, 0.0025, 1e-12);
  assert_near("fallen", up.fallen_m, 0.02, 1e-12);
  assert_near("deepest", up.deepest_m, 0.0225, 1e-15);
  assert_true(up.working == 0 && isnan(up.clearing_kgps)); /* no legs were traced */
  /* below the trigger depth nobody is asked to clear */
  lot->snow.trigger_m = 0.03;
  assert_int_equal(judge_rows(lot, falls, 5, 3600).keeping, PC_KEEPING_UP);
  assert_int_equal(judge_rows(lot, falls, 1, 3600).keeping, PC_KEEPING_NONE);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

static void the_heaviest_stretch_is_judged(void **state) {
  (void)state;
  const double hour = 3600, light = 0.002 / 3600, heavy = 0.03 / 3600;
  /* an hourly storm: 2 mm, then 3, 2.5 and 2.2 cm, then 1 mm */
  const double pieces[][2] = {{0, light},
                              {1 * hour, heavy},
                              {2 * hour, heavy / 1.2},
                              {3 * hour, heavy / 1.4},
                              {4 * hour, 0.5 * light},
                              {9 * hour, 0}};
  pc_scenario s = storm_lane(heavy, 1);
  free(s.storm);
  add_storm(&s, pieces, 6);
  pc_lot *lot = make_lot(&s);
  pc_depths_series series;
  pc_depths_start(&series, lot);
  assert_near("from", series.from_s, 2.5 * hour, 1e-12);
  assert_near("to", series.to_s, 4 * hour, 1e-12);
  /* of a leg from 2 h to 3 h half an hour counts, of a wait nothing */
  pc_depths_row(&series, &(pc_trace_row){.phase = PC_PHASE_FILL, .start_s = 2 * hour, .end_s = 3 * hour});
  pc_depths_row(&series, &(pc_trace_row){.phase = PC_PHASE_WAIT, .start_s = 3 * hour, .end_s = 4 * hour});
  pc_depths_row(&series, &(pc_trace_row){.phase = PC_PHASE_IDLE, .start_s = 3 * hour, .end_s = 4 * hour});
  assert_near("busy", series.busy_s, 0.5 * hour, 1e-12);
  pc_depths_free(&series);
  pc_lot_free(lot);
  pc_scenario_free(&s);
  s = scene_rectangle(20, 20, &(pc_point){0, 10}, 1);
  lot = make_lot(&s);
  pc_depths_start(&series, lot);
  assert_int_equal(pc_depths_judge(&series).keeping, PC_KEEPING_NONE); /* nothing falls */
  pc_depths_free(&series);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* The limits themselves (docs/storm.md): growth of a tenth of what falls, and pieces beside the heaviest that
 * fall from two thirds of its rate to one and a half times as fast. */
static void limits_of_the_judgement(void **state) {
  (void)state;
  const double hour = 3600, heavy = 0.03 / 3600;
  pc_scenario s = storm_lane(0.01 / hour, 4); /* 2 cm in the second half */
  pc_lot *lot = make_lot(&s);
  for (int more = 0; more < 2; more++) {
    const double rows[] = {0, 0.01, 0.02, 0.021, 0.02 + (more ? 0.00201 : 0.00199)};
    assert_int_equal(judge_rows(lot, rows, 5, hour).keeping, more ? PC_KEEPING_BEHIND : PC_KEEPING_UP);
    /* grown as much, but to no more than lies as deep as anything may */
    lot->snow.trigger_m = rows[4] * 1.0001;
    assert_int_equal(judge_rows(lot, rows, 5, hour).keeping, PC_KEEPING_UP);
    lot->snow.trigger_m = 0;
  }
  pc_lot_free(lot);
  pc_scenario_free(&s);
  const struct {
    double rate, lasts_h;
    bool alike;
  } beside[] = {{0.67, 1, true}, {0.66, 1, false}, {1.49, 0.5, true}, {1.51, 0.5, false}};
  for (size_t i = 0; i < sizeof beside / sizeof *beside; i++) {
    const double lasts = beside[i].lasts_h * hour;
    const double pieces[][2] = {{0, beside[i].rate * heavy},
                                {lasts, heavy},
                                {lasts + hour, beside[i].rate * heavy},
                                {2 * lasts + hour, 0}};
    s = storm_lane(heavy, 1);
    free(s.storm);
    add_storm(&s, pieces, 4);
    lot = make_lot(&s);
    pc_depths_series series;
    pc_depths_start(&series, lot);
    double begins = beside[i].alike ? 0 : lasts, ends = beside[i].alike ? 2 * lasts + hour : lasts + hour;
    assert_near("to", series.to_s, ends, 1e-12);
    assert_near("from", series.from_s, 0.5 * (begins + ends), 1e-12);
    pc_depths_free(&series);
    pc_lot_free(lot);
    pc_scenario_free(&s);
  }
}

/* ---- deadlines over several nights ---- */

static void late_nights_are_counted(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 10}};
  pc_scenario s = scene_rectangle(40, 20, zone, 1);
  s.chance.fill = s.chance.carry = 0.3;
  pc_summary summary;
  enum { NIGHTS = 12 };
  pc_lot *lot = make_lot(&s);
  assert_int_equal(pc_replicate(lot, NIGHTS, 1, 1, NULL, &summary), PC_OK);
  assert_int_equal(summary.area_late[0], 0);
  assert_int_equal(summary.area_clear[0], NIGHTS);
  /* without turning or an end of shift after it, the area is clear no later than the night ends */
  assert_true(summary.mean.areas[0].done_s <= summary.total_time_s.mean * (1 + 1e-12));
  double done_s = summary.mean.areas[0].done_s;
  pc_summary_free(&summary);
  pc_lot_free(lot);
  s.site.areas[0].clear_by_s = done_s; /* the mean: some nights are later, some are not */
  lot = make_lot(&s);
  assert_int_equal(pc_replicate(lot, NIGHTS, 1, 1, NULL, &summary), PC_OK);
  assert_true(summary.area_late[0] > 0 && summary.area_late[0] < NIGHTS);
  assert_true(summary.mean.areas[0].done_s == done_s);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

/* Machines are paid while they are there: 36 an hour from 60 s on is 0.01 × (total − 60). */
static void machines_are_paid_while_they_are_there(void **state) {
  (void)state;
  const pc_point zone[] = {{0, 10}};
  pc_scenario s = scene_rectangle(40, 20, zone, 1);
  s.money.machine_per_s = 0.008;
  s.money.operator_per_s = 0.002;
  s.crew = pc_alloc(2, sizeof *s.crew);
  assert_non_null(s.crew);
  s.crew_count = 2;
  for (int i = 0; i < 2; i++) {
    s.crew[i] = pc_crew_entry_default();
    s.crew[i].loader = s.loaders[0].name;
    s.crew[i].box = s.boxes[0].name;
  }
  s.crew[1].from_s = 60;
  s.crew[1].until_s = 90;
  pc_lot *lot = make_lot(&s);
  pc_summary summary;
  assert_int_equal(pc_replicate(lot, 1, 1, 1, NULL, &summary), PC_OK);
  assert_true(summary.total_time_s.mean > 90);
  assert_near("cost", summary.cost, 0.01 * (summary.total_time_s.mean + 30), 1e-12);
  pc_summary_free(&summary);
  pc_lot_free(lot);
  pc_scenario_free(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(match_factor_by_definition),
      cmocka_unit_test(many_machines_at_one_berth),
      cmocka_unit_test(berths_share_the_loads),
      cmocka_unit_test(the_busiest_holds_back),
      cmocka_unit_test(bounds_of_what_holds_back),
      cmocka_unit_test(pauses_are_no_time_to_spare),
      cmocka_unit_test(sentences_for_costs),
      cmocka_unit_test(waiting_is_told_from_a_twentieth_on),
      cmocka_unit_test(the_limit_is_load_over_cycle_time),
      cmocka_unit_test(crews_too_small_and_too_large),
      cmocka_unit_test(more_than_a_tenth_is_behind),
      cmocka_unit_test(the_heaviest_stretch_is_judged),
      cmocka_unit_test(limits_of_the_judgement),
      cmocka_unit_test(late_nights_are_counted),
      cmocka_unit_test(machines_are_paid_while_they_are_there),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
