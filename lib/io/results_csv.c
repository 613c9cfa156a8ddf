// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/results.h"

#include <inttypes.h>
#include <math.h>

#include "io/csv.h"
#include "io/results_private.h"
#include "io/tables_private.h"
#include "sim/policy.h"

static void add_count(pc_text *out, uint64_t value) {
  pc_text_addf(out, ",%" PRIu64, value);
}

static void add_flag(pc_text *out, bool flag) {
  pc_text_add(out, flag ? ",true" : ",false");
}

static pc_status end(const pc_text *out) {
  return out->failed ? PC_ERR_MEMORY : PC_OK;
}

static void add_statistic_heading(pc_text *out, const char *name) {
  static const char *const parts[] = {"mean", "half_width", "level", "min", "max"};
  for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
    pc_text_addf(out, ",%s_%s", name, parts[i]);
}

static void add_statistic(pc_text *out, const pc_statistic *statistic) {
  pc_csv_next_number(out, statistic->mean);
  pc_csv_next_number(out, statistic->half_width);
  pc_csv_next_number(out, statistic->level);
  pc_csv_next_number(out, statistic->min);
  pc_csv_next_number(out, statistic->max);
}

/* What a run and a row of a comparison have in common. */
static void add_summary_heading(pc_text *out) {
  pc_text_add(out, ",finished,reason");
  add_statistic_heading(out, "total_time_s");
  pc_text_add(out, ",cycles");
  for (size_t i = 0; i < PC_TIME_ENTRIES; i++)
    pc_text_addf(out, ",%s_s", pc_time_entries[i].key);
  pc_text_add(out, ",start_kg,fallen_kg,placed_kg,left_kg,haul_off_kg,bound_s,efficiency,fuel_l,cost");
}

/* What was added later stands at the end of the line, so that columns keep their places. */
static void add_night_heading(pc_text *out) {
  pc_text_add(out, ",unfinished,areas_late,break_s,refuel_s,repair_s,passage_wait_s");
}

static void add_night(pc_text *out, const pc_summary *summary) {
  const pc_result *mean = &summary->mean;
  double breaks = 0, refuelling = 0, repairs = 0, passages = 0;
  for (size_t m = 0; m < mean->machine_count; m++) {
    breaks += mean->machines[m].break_s;
    refuelling += mean->machines[m].refuel_s;
    repairs += mean->machines[m].repair_s;
  }
  for (size_t i = 0; i < mean->passage_count; i++)
    passages += mean->passages[i].wait_s;
  add_count(out, summary->unfinished);
  add_count(out, pc_areas_late(summary));
  pc_csv_next_number(out, breaks);
  pc_csv_next_number(out, refuelling);
  pc_csv_next_number(out, repairs);
  pc_csv_next_number(out, passages);
}

static void add_crew_heading(pc_text *out) {
  pc_text_add(
      out,
      ",replications,crew,machines,speed_up,cost_difference,working_share,waiting_share,waits_most_at,"
      "waits_most_s,match_factor,keeps_up");
}

static void add_crew(pc_text *out, const pc_comparison *comparison, const pc_crews *crews, size_t row_index) {
  const pc_compare_row *row = &comparison->rows[row_index];
  double speed_up = NAN, cost_difference = NAN;
  for (size_t i = 0; i < crews->step_count; i++)
    if (crews->steps[i].row == row_index) {
      speed_up = crews->steps[i].speed_up;
      cost_difference = crews->steps[i].cost_difference;
    }
  add_count(out, row->summary.replications);
  pc_csv_next_number(out, row->crew > 0 ? (double)row->crew : (double)NAN);
  add_count(out, row->machine_count);
  pc_csv_next_number(out, speed_up);
  pc_csv_next_number(out, cost_difference);
  pc_csv_next_number(out, row->use.working);
  pc_csv_next_number(out, row->use.waiting);
  pc_csv_next_text(out, row->use.waits_at.text);
  pc_csv_next_number(out, row->use.waits_s);
  pc_csv_next_number(out, row->use.match_factor);
  pc_keeping keeping = row->keep_up.keeping;
  pc_text_add(out, keeping == PC_KEEPING_NONE ? "," : keeping == PC_KEEPING_UP ? ",true" : ",false");
}

static void add_summary(pc_text *out, const pc_summary *summary) {
  const pc_result *mean = &summary->mean;
  add_flag(out, summary->unfinished == 0);
  pc_csv_next_text(out, pc_reason_name(mean->reason));
  add_statistic(out, &summary->total_time_s);
  pc_csv_next_number(out, summary->cycles);
  for (size_t i = 0; i < PC_TIME_ENTRIES; i++)
    pc_csv_next_number(out, pc_time_total(mean, i));
  const double rest[] = {mean->start_kg,      mean->fallen_kg,   mean->placed_kg,
                         mean->left_kg,       mean->haul_off_kg, summary->bound.time_s,
                         summary->efficiency, summary->fuel_l,   summary->cost};
  for (size_t i = 0; i < sizeof rest / sizeof rest[0]; i++)
    pc_csv_next_number(out, rest[i]);
}

static const char crossing_heading[] = ",crossing_cycles";

static void add_crossings(pc_text *out, const pc_crossed *crossed) {
  pc_csv_next_number(out, crossed ? (double)pc_crossed_cycles(crossed) : (double)NAN);
}

pc_status pc_results_run_csv_with(const pc_lot *lot, const pc_summary *summary, uint64_t seed,
                                  const pc_notes *notes, pc_text *out) {
  pc_text_add(out, "scenario,layout,policy,depth_m,seed,replications");
  add_summary_heading(out);
  add_night_heading(out);
  pc_text_addf(out, "%s\n", crossing_heading);
  pc_csv_add_text(out, lot->scenario.text);
  pc_csv_next_text(out, lot->layout.text);
  pc_csv_next_text(out, lot->policy->name);
  pc_csv_next_number(out, lot->snow.depth_m);
  add_count(out, seed);
  add_count(out, summary->replications);
  add_summary(out, summary);
  add_night(out, summary);
  add_crossings(out, notes ? notes->crossed : NULL);
  pc_text_add(out, "\n");
  return end(out);
}

pc_status pc_results_run_csv(const pc_lot *lot, const pc_summary *summary, uint64_t seed, pc_text *out) {
  return pc_results_run_csv_with(lot, summary, seed, NULL, out);
}

pc_status pc_results_compare_csv(const pc_comparison *comparison, pc_text *out) {
  pc_crews crews;
  if (pc_crews_make(comparison, &crews) != PC_OK)
    return PC_ERR_MEMORY;
  pc_text_add(out,
              "rank,layout,box,loader,policy,depth_m,difference_to_best_s_mean,"
              "difference_to_best_s_half_width,tied_with_best,dropped,left_for_smaller_machine_m2,left_for_"
              "smaller_machine_kg,limited_by");
  add_summary_heading(out);
  add_night_heading(out);
  add_crew_heading(out);
  pc_text_addf(out, "%s\n", crossing_heading);
  for (size_t i = 0; i < comparison->row_count; i++) {
    const pc_compare_row *row = &comparison->rows[i];
    pc_text_addf(out, "%d", row->rank);
    pc_csv_next_text(out, row->layout.text);
    pc_csv_next_text(out, pc_row_box(row).text);
    pc_csv_next_text(out, pc_row_loader(row).text);
    pc_csv_next_text(out, row->policy.text);
    pc_csv_next_number(out, row->depth_m);
    pc_csv_next_number(out, row->difference_to_best_s.mean);
    pc_csv_next_number(out, row->difference_to_best_s.half_width);
    add_flag(out, row->tied_with_best);
    add_flag(out, row->dropped_after > 0);
    pc_csv_next_number(out, row->summary.mean.small_m2);
    pc_csv_next_number(out, row->summary.mean.small_kg);
    pc_csv_next_text(out, pc_limit_name(row->limited_by));
    add_summary(out, &row->summary);
    add_night(out, &row->summary);
    add_crew(out, comparison, &crews, i);
    add_crossings(out, &row->crossed);
    pc_text_add(out, "\n");
  }
  pc_crews_free(&crews);
  return end(out);
}

pc_status pc_results_limits_csv(const pc_limits_row *rows, size_t count, pc_text *out) {
  pc_text_add(out,
              "loader,box,width_m,swath_m,volume_m3,volume_capacity_kg,traction_capacity_kg,capacity_kg,"
              "full_load_kg,fill_length_m,fill_time_s,push_speed_empty_mps,push_speed_full_mps,"
              "carry_speed_mps,clearing_kgps,snow_n,box_n,rolling_n,grade_n,stream_n,limited_by\n");
  for (size_t i = 0; i < count; i++) {
    const pc_limits_row *row = &rows[i];
    const pc_unit *unit = &row->unit;
    const double numbers[] = {unit->box.width_m,
                              unit->swath_m,
                              unit->volume_m3,
                              unit->volume_capacity_kg,
                              unit->traction_capacity_kg,
                              unit->capacity_kg,
                              row->full_load_kg,
                              row->fill_length_m,
                              row->fill_time_s,
                              row->push_speed_mps[0],
                              row->push_speed_mps[PC_LIMIT_POINTS - 1],
                              row->carry_speed_mps,
                              row->clearing_kgps,
                              row->resistance.snow_n,
                              row->resistance.box_n,
                              row->resistance.rolling_n,
                              row->resistance.grade_n,
                              row->resistance.stream_n};
    pc_csv_add_text(out, row->loader.text);
    pc_csv_next_text(out, row->box.text);
    for (size_t j = 0; j < sizeof numbers / sizeof numbers[0]; j++)
      pc_csv_next_number(out, numbers[j]);
    pc_csv_next_text(out, pc_limit_name(unit->limited_by));
    pc_text_add(out, "\n");
  }
  return end(out);
}
