// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/heading.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "base/steps.h"
#include "base/units.h"
#include "sim/variant.h"
#include "study/replicate_private.h"

static const double pi = 3.14159265358979323846;
/* Headings nearer than half a degree are one. */
static const double distinct_rad = 0.5 * 3.14159265358979323846 / 180.0;

/* ---- candidates ---- */

typedef struct edge {
  double length_m, heading_rad;
  size_t index;
} edge;

static int longest_first(const void *a, const void *b) {
  const edge *x = a, *y = b;
  if (x->length_m != y->length_m)
    return x->length_m > y->length_m ? -1 : 1;
  return x->index < y->index ? -1 : x->index > y->index;
}

/* Into 0 … 2π. */
static double turn_in(double heading_rad) {
  double turned = fmod(heading_rad, 2 * pi);
  if (turned < 0)
    turned += 2 * pi;
  return turned < 2 * pi ? turned : 0;
}

/* As it is when it is told and read again, to the last bit: what takes the place of "auto" has to answer the
 * same. A millionth of a degree is 2 µm over a hundred metres. */
static double as_told(double heading_rad) {
  char text[40];
  double read_rad = heading_rad;
  pc_units_print_as(text, sizeof text, heading_rad, PC_DIM_ANGLE, "deg", 6);
  if (pc_units_parse(text, PC_DIM_ANGLE, &read_rad, NULL) != PC_OK)
    return heading_rad;
  return turn_in(read_rad);
}

/* The angle between two headings, or between two lines where `lines`. */
static double between(double a, double b, bool lines) {
  double period = lines ? pi : 2 * pi, apart = fmod(fabs(a - b), period);
  return fmin(apart, period - apart);
}

static size_t add_candidate(double *headings_rad, size_t count, double heading_rad) {
  if (count == PC_HEADINGS_MAX)
    return count;
  for (size_t i = 0; i < count; i++)
    if (between(headings_rad[i], heading_rad, false) < distinct_rad)
      return count;
  headings_rad[count] = as_told(turn_in(heading_rad));
  return count + 1;
}

size_t pc_heading_candidates(const pc_ring *outline, double *headings_rad) {
  static const double turns[] = {0, 0.5, 1, 1.5};
  /* Of more edges than can be candidates only the longest matter: keep those, sorted, without allocating. */
  edge longest[4 * PC_HEADINGS_MAX + 1];
  size_t kept = 0, count = 0;
  for (size_t i = 0; i < outline->count; i++) {
    pc_point a = outline->points[i], b = outline->points[(i + 1) % outline->count];
    edge made = {hypot(b.x_m - a.x_m, b.y_m - a.y_m), atan2(b.y_m - a.y_m, b.x_m - a.x_m), i};
    if (!(made.length_m > 0))
      continue;
    longest[kept++] = made;
    qsort(longest, kept, sizeof *longest, longest_first);
    if (kept > 4 * PC_HEADINGS_MAX)
      kept = 4 * PC_HEADINGS_MAX;
  }
  for (size_t i = 0; i < kept; i++)
    for (size_t t = 0; t < sizeof turns / sizeof turns[0]; t++)
      count = add_candidate(headings_rad, count, longest[i].heading_rad + turns[t] * pi);
  return count;
}

/* ---- trying ---- */

typedef struct trial {
  bool tried, made, finished;
  double time_s, placed_kg, left_kg, small_m2;
  pc_name layout;
  pc_faults faults; /* why no lot could be made */
} trial;

typedef struct search { /* all candidates of one area */
  const pc_scenario *scenario;
  pc_choice choice; /* without luck */
  size_t area;
  double headings_rad[PC_HEADINGS_MAX];
  trial trials[PC_HEADINGS_MAX];
  size_t count;
  pc_steps *steps;
} search;

static pc_status run_lot(const pc_lot *lot, trial *out) {
  pc_result result;
  pc_status status = pc_run_once(lot, 1, NULL, &result);
  if (status == PC_OK)
    *out = (trial){.made = true,
                   .layout = lot->layout,
                   .finished = result.finished,
                   .time_s = result.total_time_s,
                   .placed_kg = result.placed_kg,
                   .left_kg = round(result.left_kg), /* less by rounding is not less */
                   .small_m2 = result.small_m2};
  pc_result_free(&result);
  return status;
}

/* A heading for which no lot can be made is no candidate, which is no failure. Each trial has areas of its
 * own, as others run at the same time. */
static pc_status try_heading(void *context, size_t index) {
  search *all = context;
  trial *out = &all->trials[index];
  pc_scenario turned;
  pc_lot *lot = NULL;
  pc_faults found = {.units = all->scenario->units};
  pc_status status = pc_variant_make(all->scenario, &turned);
  if (status == PC_OK) {
    turned.site.areas[all->area].heading_rad = all->headings_rad[index];
    status = pc_lot_create(&turned, &all->choice, &lot, &found);
    if (status == PC_OK)
      status = run_lot(lot, out);
    else if (status != PC_ERR_MEMORY)
      status = PC_OK;
  }
  out->tried = true;
  out->faults = found;
  pc_lot_free(lot);
  pc_variant_free(&turned);
  pc_steps_count(all->steps);
  return status;
}

static bool stopped(void *context) {
  return pc_steps_stopped(((const search *)context)->steps);
}

static bool is_better(const trial *a, const trial *b) {
  if (!a->made || !b->made)
    return a->made && !b->made;
  if (a->finished != b->finished)
    return a->finished;
  if (!a->finished && a->left_kg != b->left_kg)
    return a->left_kg < b->left_kg;
  return a->time_s * b->placed_kg < b->time_s * a->placed_kg * (1.0 - 1e-9); /* ties go to the first */
}

/* Tries them all, or one at least. */
static pc_status try_all(search *all, int threads) {
  pc_status status =
      pc_parallel_each(pc_parts_for(threads, all->count), all->count, try_heading, stopped, all);
  for (size_t i = 0; i < all->count; i++)
    if (all->trials[i].tried)
      return status;
  return status == PC_OK ? try_heading(all, 0) : status;
}

/* No lot could be made: tells what the first candidate that was tried says of it, never nothing. */
static pc_status tell_why(const search *all, const char *key, pc_faults *faults) {
  const char *area = all->scenario->site.areas[all->area].name.text;
  for (size_t i = 0; i < all->count; i++) {
    const pc_faults *found = &all->trials[i].faults;
    if (pc_faults_fatal(found) == 0)
      continue;
    for (size_t k = 0; k < found->count; k++)
      if (!found->items[k].caution)
        pc_faults_push(faults, &found->items[k]);
    return pc_faults_status(found);
  }
  pc_faults_add(faults, PC_ERR_GEOMETRY, key, area, "no lot could be made");
  return PC_ERR_GEOMETRY;
}

static size_t best_of(const search *all) {
  size_t best = 0;
  for (size_t i = 1; i < all->count; i++)
    if (is_better(&all->trials[i], &all->trials[best]))
      best = i;
  return best;
}

static pc_heading_choice choice_of(const search *all, size_t best) {
  const trial *trials = all->trials;
  const double *headings = all->headings_rad;
  size_t next = all->count, tried = 0;
  for (size_t i = 0; i < all->count; i++) {
    tried += trials[i].tried;
    if (trials[i].made && trials[i].finished && between(headings[i], headings[best], true) >= distinct_rad &&
        (next == all->count || is_better(&trials[i], &trials[next])))
      next = i;
  }
  return (pc_heading_choice){.area = all->scenario->site.areas[all->area].name,
                             .heading_rad = headings[best],
                             .time_s = trials[best].time_s,
                             .finished = trials[best].finished,
                             .small_m2 = trials[best].small_m2,
                             .next_rad = next < all->count ? headings[next] : NAN,
                             .next_s = next < all->count ? trials[next].time_s : NAN,
                             .next_small_m2 = next < all->count ? trials[next].small_m2 : NAN,
                             .layout = trials[best].layout,
                             .candidates = all->count,
                             .tried = tried};
}

static pc_status choose_area(search *all, pc_area *area, int threads, pc_faults *faults,
                             pc_heading_choice *out) {
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "site.areas[%zu].heading", all->area);
  all->count = pc_heading_candidates(&area->outline, all->headings_rad);
  pc_status status = all->count > 0 ? try_all(all, threads) : PC_ERR_GEOMETRY;
  size_t best = best_of(all);
  if (status != PC_OK)
    pc_faults_add(faults, status, key, area->name.text, "no heading could be chosen for area \"%s\": %s",
                  area->name.text, pc_status_describe(status));
  else if (!all->trials[best].made)
    status = tell_why(all, key, faults);
  if (status == PC_OK) {
    *out = choice_of(all, best);
    area->heading_rad = out->heading_rad;
  }
  for (size_t i = 0; i < all->count; i++)
    pc_faults_free(&all->trials[i].faults);
  return status;
}

/* ---- all areas ---- */

/* An area that is still to be chosen has its first candidate, along its longest edge. Returns how many
 * candidates there are. */
static size_t begin_area(pc_area *area) {
  double headings[PC_HEADINGS_MAX];
  size_t count = area->auto_heading ? pc_heading_candidates(&area->outline, headings) : 0;
  if (count > 0)
    area->heading_rad = headings[0];
  area->auto_heading = false;
  return count;
}

static size_t begin_all(pc_scenario *scenario) {
  size_t all = 0;
  for (size_t a = 0; a < scenario->site.area_count; a++)
    all += begin_area(&scenario->site.areas[a]);
  return all;
}

static pc_status choose_all(pc_scenario *scenario, const pc_choice *choice, const pc_area *was, int threads,
                            const pc_watch *watch, pc_faults *faults, pc_heading_report *report) {
  pc_steps steps;
  pc_status status = PC_OK;
  pc_steps_begin(&steps, watch, begin_all(scenario));
  for (size_t a = 0; a < scenario->site.area_count && status == PC_OK; a++) {
    search all = {.scenario = scenario, .choice = *choice, .area = a, .steps = &steps};
    if (was[a].auto_heading)
      status = choose_area(&all, &scenario->site.areas[a], threads, faults, &report->items[report->count++]);
  }
  pc_steps_end(&steps);
  return status;
}

static size_t open_count(const pc_scenario *scenario) {
  size_t open = 0;
  for (size_t a = 0; a < scenario->site.area_count; a++)
    open += scenario->site.areas[a].auto_heading;
  return open;
}

pc_status pc_headings_take_longest(pc_scenario *scenario, pc_heading_report *report) {
  *report = (pc_heading_report){.items = pc_alloc(open_count(scenario), sizeof *report->items)};
  if (!report->items)
    return PC_ERR_MEMORY;
  for (size_t a = 0; a < scenario->site.area_count; a++) {
    pc_area *area = &scenario->site.areas[a];
    if (area->auto_heading && begin_area(area) > 0)
      report->items[report->count++] = (pc_heading_choice){.area = area->name,
                                                           .heading_rad = area->heading_rad,
                                                           .time_s = NAN,
                                                           .next_rad = NAN,
                                                           .next_s = NAN,
                                                           .next_small_m2 = NAN};
  }
  return PC_OK;
}

pc_status pc_headings_choose_watched(pc_scenario *scenario, const pc_choice *choice, int threads,
                                     const pc_watch *watch, pc_faults *faults, pc_heading_report *report) {
  size_t open = open_count(scenario), count = scenario->site.area_count, told = faults->count;
  *report = (pc_heading_report){0};
  faults->units = scenario->units;
  if (open == 0)
    return PC_OK;
  pc_choice with = choice ? *choice : pc_choice_default();
  with.without_luck = true;
  pc_area *was = pc_copy(scenario->site.areas, count, sizeof *was); /* to be put back */
  report->items = pc_alloc(open, sizeof *report->items);
  pc_status status = PC_ERR_MEMORY;
  if (was && report->items) {
    status = choose_all(scenario, &with, was, threads, watch, faults, report);
    for (size_t a = 0; a < count && status != PC_OK; a++) /* as it was */
      scenario->site.areas[a] = was[a];
  } else {
    pc_faults_add(faults, status, NULL, NULL, "out of memory");
  }
  free(was);
  pc_scenario_place_faults(scenario, faults, told);
  if (status != PC_OK)
    pc_heading_report_free(report);
  return status;
}

pc_status pc_headings_choose(pc_scenario *scenario, const pc_choice *choice, pc_faults *faults,
                             pc_heading_report *report) {
  return pc_headings_choose_watched(scenario, choice, 0, NULL, faults, report);
}

void pc_heading_report_free(pc_heading_report *report) {
  if (!report)
    return;
  free(report->items);
  *report = (pc_heading_report){0};
}
