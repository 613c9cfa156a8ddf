// SPDX-License-Identifier: GPL-3.0-or-later
/* A plan found by search, for people. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "io/tables_private.h"

static double quicker(const pc_statistic *plan, const pc_statistic *other) {
  return 1.0 - plan->mean / other->mean;
}

/* "4.1 % (3.7 min) quicker than keep-pushing" */
static void add_against(const char *name, const pc_summary *plan, const pc_summary *other, pc_time_unit unit,
                        pc_text *out) {
  double saved = other->total_time_s.mean - plan->total_time_s.mean;
  if (other->unfinished > 0) {
    pc_text_addf(out, "%s does not finish", name);
    return;
  }
  pc_text_addf(out, "%s (%s) ",
               pc_show_percent(fabs(quicker(&plan->total_time_s, &other->total_time_s)), 1).text,
               pc_show_seconds_in(fabs(saved), pc_time_unit_for(fabs(saved))).text);
  pc_text_addf(out, "%s than %s (%s)", saved >= 0.0 ? "quicker" : "slower", name,
               pc_show_seconds_in(other->total_time_s.mean, unit).text);
}

/* " (not finished: pile zones full, 5289 lb left; keep-pushing leaves 5300 lb)" */
static void add_unfinished(const pc_planning *p, pc_unit_system system, pc_text *out) {
  pc_text_addf(out, " (not finished: %s", pc_reason_name(p->planned.mean.reason));
  pc_text_addf(out, ", %s left", pc_show(p->planned.mean.left_kg, PC_DIM_MASS, system, 0).text);
  if (p->gains && p->keep.unfinished > 0) {
    pc_text_addf(out, "; keep-pushing leaves %s", pc_show(p->keep.mean.left_kg, PC_DIM_MASS, system, 0).text);
    pc_text_addf(
        out, " after %s",
        pc_show_seconds_in(p->keep.total_time_s.mean, pc_time_unit_for(p->keep.total_time_s.mean)).text);
  }
  pc_text_add(out, ")");
}

static void add_answer(const pc_planning *p, pc_unit_system system, pc_text *out) {
  pc_time_unit unit = pc_time_unit_for(p->planned.total_time_s.mean);
  bool finished = p->planned.unfinished == 0;
  if (!p->gains)
    pc_text_addf(out,
                 "No order of work better than keep-pushing was found: the plan is keep-pushing itself, ");
  else
    pc_text_add(out, "Plan: ");
  pc_text_addf(out, "%s", pc_show_time_in(&p->planned.total_time_s, unit).text);
  if (!finished)
    add_unfinished(p, system, out);
  if (p->gains && finished) {
    pc_text_add(out, ", ");
    add_against("keep-pushing", &p->planned, &p->keep, unit, out);
  }
  if (finished) {
    pc_text_add(out, ", ");
    add_against("straight-runs", &p->planned, &p->straight, unit, out);
    pc_text_addf(out, "; lower bound %s (efficiency ",
                 pc_show_seconds_in(p->planned.bound.time_s, unit).text);
    pc_text_addf(out, "%s", pc_show_percent(p->planned.efficiency, 1).text);
    if (p->keep.unfinished == 0)
      pc_text_addf(out, ", keep-pushing %s", pc_show_percent(p->keep.efficiency, 1).text);
    pc_text_add(out, ")");
  }
  pc_text_add(out, ".\n");
}

/* How it was found, and how sure its gain is. */
static void add_search(const pc_planning *p, uint64_t seed, pc_text *out) {
  pc_text_addf(out, "%zu plans tried%s; `--tries %zu --seed %llu` finds this one again.\n", p->tries,
               p->stopped ? ", then stopped: this is the best so far" : "", p->tries,
               (unsigned long long)seed);
  if (!p->chance || !p->gains)
    return;
  pc_time_unit unit = pc_time_unit_for(fabs(p->saved_s.mean));
  pc_text_addf(
      out, "On %zu nights that the search has not seen, with the same luck for both, it saves %s (95 %%).\n",
      p->planned.replications, pc_show_time_in(&p->saved_s, unit).text);
  if (p->saved_s.mean <= p->saved_s.half_width)
    pc_text_add(out, "That may be luck: the interval reaches below zero.\n");
  if (p->search_keep_s - p->search_best_s > p->saved_s.mean)
    pc_text_addf(out, "(On the %zu nights that it was chosen by it saved %s; that is too good to go by.)\n",
                 p->search_replications, pc_show_seconds_in(p->search_keep_s - p->search_best_s, unit).text);
}

/* ---- what each machine does when ---- */

/* A quarter of an hour, or what gives some eight rows. */
static double slot_s(double total_s) {
  static const double minutes[] = {1, 2, 5, 10, 15, 30, 60, 120, 240};
  enum { COUNT = sizeof minutes / sizeof minutes[0], ROWS = 8 };
  for (size_t i = 0; i < COUNT; i++)
    if (total_s <= ROWS * 60.0 * minutes[i])
      return 60.0 * minutes[i];
  return 60.0 * minutes[COUNT - 1];
}

typedef struct stint { /* the bites of one machine in one slot of time, in one area */
  size_t machine, area, first_lane, last_lane;
  int loads;
  double kg;
  int *to_zone; /* loads */
} stint;

/* The bites of a load carry its growing weight: only the last one counts. */
static bool is_last_of_load(const pc_planning *p, size_t i) {
  const pc_planned_bite *bite = &p->bites[i];
  for (size_t k = i + 1; k < p->bite_count; k++)
    if (p->bites[k].machine == bite->machine)
      return p->bites[k].load != bite->load;
  return true;
}

static void gather(const pc_lot *lot, const pc_planning *p, double from_s, double to_s, stint *s) {
  s->first_lane = s->last_lane = 0;
  s->loads = 0;
  s->kg = 0.0;
  for (size_t z = 0; z < lot->zone_count; z++)
    s->to_zone[z] = 0;
  for (size_t i = 0; i < p->bite_count; i++) {
    const pc_planned_bite *bite = &p->bites[i];
    if (bite->machine != s->machine || bite->area != s->area || bite->start_s < from_s ||
        bite->start_s >= to_s)
      continue;
    s->first_lane = s->first_lane == 0 || bite->lane < s->first_lane ? bite->lane : s->first_lane;
    s->last_lane = bite->lane > s->last_lane ? bite->lane : s->last_lane;
    if (!is_last_of_load(p, i))
      continue;
    s->loads++;
    s->kg += bite->load_kg;
    if (bite->zone >= 0)
      s->to_zone[bite->zone]++;
  }
}

static void add_row(const pc_lot *lot, const stint *s, double from_s, double to_s, pc_unit_system system,
                    pc_table *table) {
  pc_text zones = {0};
  for (size_t z = 0; z < lot->zone_count; z++)
    if (s->to_zone[z] > 0)
      pc_text_addf(&zones, "%s%s %d", zones.length > 0 ? ", " : "", lot->zones[z].name.text, s->to_zone[z]);
  pc_table_cell(table, "%s", lot->machines[s->machine].name.text);
  pc_table_cell(table, "%s", pc_show_clock(&lot->clock, from_s).text);
  pc_table_cell(table, "%s", pc_show_clock(&lot->clock, to_s).text);
  pc_table_cell(table, "%s", lot->areas[s->area].name.text);
  if (s->first_lane == s->last_lane)
    pc_table_cell(table, "%zu", s->first_lane);
  else
    pc_table_cell(table, "%zu–%zu", s->first_lane, s->last_lane);
  pc_table_cell(table, "%d", s->loads);
  pc_table_cell(table, "%s", pc_show_number(s->kg, PC_DIM_MASS, system == PC_US ? "ton" : "t", 1).text);
  pc_table_cell(table, "%s", zones.data ? zones.data : "");
  table->failed |= zones.failed;
  pc_text_free(&zones);
}

static void add_order(const pc_lot *lot, const pc_planning *p, pc_unit_system system, pc_text *out) {
  double end_s = 0.0;
  pc_table table;
  pc_text words = {0};
  stint s = {.to_zone = pc_alloc(lot->zone_count, sizeof *s.to_zone)};
  if (!s.to_zone) {
    out->failed = true;
    return;
  }
  for (size_t i = 0; i < p->bite_count; i++)
    end_s = fmax(end_s, p->bites[i].end_s);
  double slot = slot_s(end_s);
  pc_text_addf(&words, "machine|from|to|area|lanes|loads|%s|to zones", pc_column_mass(system));
  pc_table_start(&table, "lrrllrrl");
  pc_table_heading(&table, words.data ? words.data : "");
  for (s.machine = 0; s.machine < lot->machine_count; s.machine++)
    for (double from = 0.0; from < end_s; from += slot)
      for (s.area = 0; s.area < lot->area_count; s.area++) {
        gather(lot, p, from, from + slot, &s);
        if (s.first_lane > 0)
          add_row(lot, &s, from, from + slot, system, &table);
      }
  pc_text_addf(out, "\nWho is where when%s (%s; loads that begin then; --csv lists every bite):\n\n",
               p->chance ? " on the first of these nights" : "",
               lot->clock.given ? "clock times" : "hours:minutes from the start");
  pc_table_write(&table, out);
  out->failed |= words.failed || table.failed;
  pc_table_free(&table);
  pc_text_free(&words);
  free(s.to_zone);
}

void pc_tables_plan(const pc_lot *lot, const pc_planning *p, uint64_t seed, const pc_notes *notes,
                    pc_unit_system system, pc_text *out) {
  add_answer(p, system, out);
  pc_tables_deadlines(lot, &p->planned, out);
  if (pc_areas_late(&p->planned) > 0 && p->planned.unfinished == 0)
    pc_text_add(out, "`pushcycle run` says whether working what is late first keeps it.\n");
  pc_tables_crossings(notes ? notes->crossed : NULL, out);
  add_search(p, seed, out);
  if (p->bite_count > 0)
    add_order(lot, p, system, out);
  pc_text_addf(out, "\n%s", pc_tables_caution_line());
}
