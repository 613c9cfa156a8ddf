// SPDX-License-Identifier: GPL-3.0-or-later
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "random_scenario.h"
#include "sim/run.h"
#include "study/bound.h"

const char *const soak_end_names[SOAK_ENDS] = {"done",    "zones full", "stuck", "stopped",
                                               "refused", "no lot",     "BROKEN"};

enum { AGAIN_EVERY = 16 };

typedef struct soak {
  pc_scenario scenario;
  pc_lot *lot;
  pc_world *world;
  pc_result result;
  char *why;
  size_t size;
} soak;

static soak_end broken(const soak *s, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  (void)vsnprintf(s->why, s->size, format, arguments);
  va_end(arguments);
  return SOAK_BROKEN;
}

/* Each machine's phases add up to the time of the whole. */
static bool adds_up(const pc_result *r, size_t machine) {
  double sum = 0;
  for (int p = 0; p < PC_PHASE_COUNT; p++)
    sum += r->machines[machine].time_s[p];
  return fabs(sum - r->total_time_s) <= 1e-6 * (1 + r->total_time_s);
}

static bool has_chance(const pc_scenario *s) {
  bool breaks = false;
  for (size_t i = 0; i < s->loader_count; i++)
    breaks |= isfinite(s->loaders[i].breakdown_mean_s);
  return breaks || s->chance.fill + s->chance.carry + s->chance.dump + s->chance.turn + s->chance.back > 0;
}

/* What is said of a deadline hangs together. */
static bool is_judged(const pc_area_result *area, double by_s) {
  if (isnan(by_s))
    return !area->late && isnan(area->ready_s) && isnan(area->late_s);
  if (isnan(area->ready_s)) /* never clear when it mattered */
    return area->late && isnan(area->late_s);
  double slack = 1e-9 * (1 + by_s);
  return area->late ? area->ready_s >= by_s - slack && fabs(area->late_s - (area->ready_s - by_s)) <= slack
                    : area->ready_s <= by_s + slack && area->late_s == 0;
}

static soak_end judge(soak *s) {
  const pc_result *r = &s->result;
  double all = r->start_kg + r->fallen_kg, kept = r->placed_kg + r->left_kg;
  if (!isfinite(r->total_time_s) || r->total_time_s < 0)
    return broken(s, "total time %g", r->total_time_s);
  if (fabs(all - kept) > 1e-6 * (1 + all))
    return broken(s, "snow is lost: %.9g kg of %.9g kg", all - kept, all);
  for (size_t m = 0; m < r->machine_count; m++)
    if (!adds_up(r, m))
      return broken(s, "the phases of machine %zu do not add up to %.9g s", m, r->total_time_s);
  for (size_t a = 0; a < r->area_count; a++)
    if (!is_judged(&r->areas[a], s->lot->areas[a].clear_by_s))
      return broken(s, "area %zu, to be clear at %.9g s: ready at %.9g s, late by %.9g s", a,
                    s->lot->areas[a].clear_by_s, r->areas[a].ready_s, r->areas[a].late_s);
  if (r->finished != (r->reason == PC_REASON_DONE))
    return broken(s, "finished %d, but %s", r->finished, pc_reason_name(r->reason));
  pc_bound bound;
  if (pc_bound_make(s->lot, r->left_kg, &bound) != PC_OK)
    return broken(s, "no bound");
  if (r->finished && !has_chance(&s->scenario) && bound.time_s > r->total_time_s * (1 + 1e-9) + 1e-6)
    return broken(s, "below the bound: %.9g s of %.9g s", r->total_time_s, bound.time_s);
  switch (r->reason) {
  case PC_REASON_DONE:
    return SOAK_DONE;
  case PC_REASON_ZONES_FULL:
    return SOAK_FULL;
  case PC_REASON_STUCK:
    return SOAK_STUCK;
  case PC_REASON_STOPPED:
    break;
  }
  return SOAK_STOPPED;
}

/* How deep a machine has gone into pavement that is closed to it. */
typedef struct trespass {
  const soak *s;
  double deepest_m;
  size_t machine;
} trespass;

static double border_m(const pc_ring *ring, pc_point p) {
  double least = INFINITY;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
    double t = ((p.x_m - a.x_m) * dx + (p.y_m - a.y_m) * dy) / (dx * dx + dy * dy);
    t = fmax(0, fmin(1, t));
    least = fmin(least, hypot(p.x_m - a.x_m - t * dx, p.y_m - a.y_m - t * dy));
  }
  return least;
}

/* Areas and zones are whole, whatever ground they lie on. */
static double depth_in_closed(const pc_scenario *s, const bool *closed, pc_point at) {
  double deepest = 0;
  for (size_t z = 0; z < s->zone_count; z++)
    if (s->zones[z].outline.count > 0 && pc_ring_contains(&s->zones[z].outline, at))
      return 0;
  for (size_t i = 0; i < pc_site_pavement_count(&s->site); i++) {
    pc_pavement pavement = pc_site_pavement_at(&s->site, i);
    if (!pc_ring_contains(pavement.outline, at))
      continue;
    if (pavement.is_area && !closed[i])
      return 0;
    if (closed[i])
      deepest = fmax(deepest, border_m(pavement.outline, at));
  }
  return deepest;
}

static void watch(void *context, const pc_trace_row *row) {
  enum { PARTS = 10 };
  trespass *t = context;
  const bool *closed = t->s->lot->lane_sets[t->s->lot->machines[row->machine].lane_set].closed;
  bool moves = row->from.x_m != row->to.x_m || row->from.y_m != row->to.y_m;
  for (int k = 0; closed && moves && k < PARTS; k++) {
    double part = (k + 0.5) / PARTS;
    pc_point at = {row->from.x_m + part * (row->to.x_m - row->from.x_m),
                   row->from.y_m + part * (row->to.y_m - row->from.y_m)};
    double deep_m = depth_in_closed(&t->s->scenario, closed, at);
    if (deep_m > t->deepest_m) {
      t->deepest_m = deep_m;
      t->machine = row->machine;
    }
  }
}

/* Lanes that meet an edge askew may reach over it, by as much as their width. */
static double reach_m(const soak *s) {
  double reach = 0.02;
  for (size_t a = 0; a < s->scenario.site.area_count; a++)
    if (fabs(sin(2 * s->scenario.site.areas[a].heading_rad)) > 1e-6)
      for (size_t i = 0; i < s->scenario.box_count; i++)
        reach = fmax(reach, 2 * s->scenario.boxes[i].width_m);
  return reach;
}

static soak_end run_world(soak *s, uint64_t seed) {
  pc_result again = {0};
  if (pc_world_create(s->lot, &s->world) != PC_OK || pc_result_init_for(&s->result, s->lot) != PC_OK)
    return broken(s, "no world");
  pc_world_check_always(s->world, true);
  trespass seen = {s, 0, 0};
  const pc_trace trace = {.row = watch, .context = &seen};
  if (pc_world_run(s->world, seed, 0, &trace, &s->result) != PC_OK)
    return broken(s, "%s", pc_world_complaint(s->world));
  if (seen.deepest_m > reach_m(s))
    return broken(s, "machine %zu goes %g m into what is closed to it", seen.machine, seen.deepest_m);
  soak_end end = judge(s);
  if (end == SOAK_BROKEN || seed % AGAIN_EVERY != 0)
    return end;
  if (pc_result_init_for(&again, s->lot) != PC_OK || pc_world_run(s->world, seed, 0, NULL, &again) != PC_OK ||
      again.total_time_s != s->result.total_time_s || again.events != s->result.events)
    end = broken(s, "a second run gives something else");
  pc_result_free(&again);
  return end;
}

static void first_fault(soak *s, const pc_faults *faults) {
  for (size_t i = 0; i < faults->count; i++)
    if (!faults->items[i].caution) {
      (void)snprintf(s->why, s->size, "%s: %s", faults->items[i].key, faults->items[i].message);
      return;
    }
  (void)snprintf(s->why, s->size, "no fault is told");
}

soak_end soak_run(uint64_t seed, char *why, size_t size) {
  soak s = {.scenario = random_scenario(seed), .why = why, .size = size};
  pc_faults faults = {0};
  soak_end end;
  why[0] = '\0';
  pc_scenario_validate(&s.scenario, &faults);
  if (pc_faults_fatal(&faults) > 0) {
    first_fault(&s, &faults);
    end = SOAK_REFUSED;
  } else if (pc_lot_create(&s.scenario, NULL, &s.lot, &faults) != PC_OK) {
    first_fault(&s, &faults);
    end = pc_faults_fatal(&faults) > 0 ? SOAK_NO_LOT : SOAK_BROKEN;
  } else {
    end = run_world(&s, seed);
  }
  pc_result_free(&s.result);
  pc_world_free(s.world);
  pc_lot_free(s.lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s.scenario);
  return end;
}
