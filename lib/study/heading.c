// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/heading.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "sim/run.h"

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
  headings_rad[count] = turn_in(heading_rad);
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
  bool made, finished;
  double time_s, left_kg;
} trial;

static pc_status run_once(const pc_lot *lot, trial *out) {
  pc_world *world = NULL;
  pc_result result = {0};
  pc_status status = pc_world_create(lot, &world);
  if (status == PC_OK)
    status = pc_result_init_for(&result, lot);
  if (status == PC_OK)
    status = pc_world_run(world, 1, 0, NULL, &result);
  if (status == PC_OK)
    *out = (trial){true, result.finished, result.total_time_s, result.left_kg};
  pc_result_free(&result);
  pc_world_free(world);
  return status;
}

/* A heading for which no lot can be made is no candidate, which is no failure; its faults are kept if
 * `faults` has none yet. */
static pc_status try_heading(const pc_scenario *scenario, const pc_choice *choice, pc_faults *faults,
                             trial *out) {
  pc_lot *lot = NULL;
  pc_faults found = pc_faults_like(faults);
  *out = (trial){0};
  pc_status status = pc_lot_create(scenario, choice, &lot, &found);
  if (status == PC_OK)
    status = run_once(lot, out);
  else if (status != PC_ERR_MEMORY) {
    bool first = faults->count == 0;
    for (size_t i = 0; first && i < found.count; i++)
      if (!found.items[i].caution)
        pc_faults_push(faults, &found.items[i]);
    status = PC_OK;
  }
  pc_faults_free(&found);
  pc_lot_free(lot);
  return status;
}

static bool is_better(const trial *a, const trial *b) {
  if (!a->made || !b->made)
    return a->made && !b->made;
  if (a->finished != b->finished)
    return a->finished;
  if (!a->finished && a->left_kg != b->left_kg)
    return a->left_kg < b->left_kg;
  return a->time_s < b->time_s;
}

static pc_status choose_area(pc_scenario *scenario, size_t index, const pc_choice *choice, pc_faults *faults,
                             pc_heading_choice *out) {
  double headings[PC_HEADINGS_MAX];
  trial trials[PC_HEADINGS_MAX];
  pc_area *area = &scenario->site.areas[index];
  pc_faults unmade = pc_faults_like(faults);
  size_t count = pc_heading_candidates(&area->outline, headings), best = 0, next = count;
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "site.areas[%zu].heading", index);
  pc_status status = count > 0 ? PC_OK : PC_ERR_GEOMETRY;
  for (size_t i = 0; i < count && status == PC_OK; i++) {
    area->heading_rad = headings[i];
    status = try_heading(scenario, choice, &unmade, &trials[i]);
    if (status == PC_OK && is_better(&trials[i], &trials[best]))
      best = i;
  }
  if (status == PC_OK && !trials[best].made) {
    if (unmade.count == 0) /* never without a word */
      pc_faults_add(&unmade, PC_ERR_GEOMETRY, key, area->name.text, "no lot could be made");
    status = pc_faults_status(&unmade);
    for (size_t i = 0; i < unmade.count; i++)
      pc_faults_push(faults, &unmade.items[i]);
  } else if (status != PC_OK) {
    pc_faults_add(faults, status, key, area->name.text, "no heading could be chosen for area \"%s\": %s",
                  area->name.text, pc_status_describe(status));
  }
  pc_faults_free(&unmade);
  if (status != PC_OK)
    return status;
  for (size_t i = 0; i < count; i++)
    if (trials[i].made && trials[i].finished && between(headings[i], headings[best], true) >= distinct_rad &&
        (next == count || is_better(&trials[i], &trials[next])))
      next = i;
  area->heading_rad = headings[best];
  *out = (pc_heading_choice){.area = area->name,
                             .heading_rad = headings[best],
                             .time_s = trials[best].time_s,
                             .finished = trials[best].finished,
                             .next_rad = next < count ? headings[next] : NAN,
                             .next_s = next < count ? trials[next].time_s : NAN,
                             .candidates = count};
  return PC_OK;
}

/* ---- all areas ---- */

/* What the areas and the chance were, to be put back. */
typedef struct before {
  pc_area *areas;
  pc_chance chance;
} before;

static pc_status choose_all(pc_scenario *scenario, const pc_choice *choice, const before *was,
                            pc_faults *faults, pc_heading_report *report) {
  for (size_t a = 0; a < scenario->site.area_count; a++) {
    pc_area *area = &scenario->site.areas[a];
    double headings[PC_HEADINGS_MAX];
    if (area->auto_heading && pc_heading_candidates(&area->outline, headings) > 0)
      area->heading_rad = headings[0];
    area->auto_heading = false;
  }
  pc_status status = PC_OK;
  for (size_t a = 0; a < scenario->site.area_count && status == PC_OK; a++)
    if (was->areas[a].auto_heading)
      status = choose_area(scenario, a, choice, faults, &report->items[report->count++]);
  return status;
}

pc_status pc_headings_choose(pc_scenario *scenario, const pc_choice *choice, pc_faults *faults,
                             pc_heading_report *report) {
  size_t open = 0, count = scenario->site.area_count, told = faults->count;
  *report = (pc_heading_report){0};
  faults->units = scenario->units;
  for (size_t a = 0; a < count; a++)
    open += scenario->site.areas[a].auto_heading;
  if (open == 0)
    return PC_OK;
  before was = {pc_copy(scenario->site.areas, count, sizeof *scenario->site.areas), scenario->chance};
  report->items = pc_alloc(open, sizeof *report->items);
  pc_status status = PC_ERR_MEMORY;
  if (was.areas && report->items) {
    scenario->chance = (pc_chance){.replications = 1, .seed = 1};
    status = choose_all(scenario, choice, &was, faults, report);
    scenario->chance = was.chance;
    for (size_t a = 0; a < count && status != PC_OK; a++) /* as it was */
      scenario->site.areas[a] = was.areas[a];
  } else {
    pc_faults_add(faults, status, NULL, NULL, "out of memory");
  }
  free(was.areas);
  pc_scenario_place_faults(scenario, faults, told);
  if (status != PC_OK)
    pc_heading_report_free(report);
  return status;
}

void pc_heading_report_free(pc_heading_report *report) {
  free(report->items);
  *report = (pc_heading_report){0};
}
