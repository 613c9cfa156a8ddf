// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/crossings.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "study/replicate_private.h"

/* So much of a way along a border, or at a pile beside it, is no way across (chosen here, no source). */
static const double across_m = 5.0, step_m = 1.0;

static bool is_bound(const pc_scenario *scenario, size_t area) {
  return scenario->site.areas[area].loaders.count > 0;
}

static bool may_work(const pc_crossings *c, size_t machine, size_t area) {
  return pc_area_takes(&c->scenario->site.areas[area], c->lot->machines[machine].unit.loader.name.text);
}

bool pc_crossings_may_be(const pc_scenario *scenario) {
  bool bound = false;
  for (size_t a = 0; a < scenario->site.area_count; a++)
    bound |= is_bound(scenario, a);
  return bound;
}

void pc_crossings_start(pc_crossings *crossings, const pc_lot *lot, const pc_scenario *scenario) {
  *crossings = (pc_crossings){.lot = lot, .scenario = scenario};
  if (!pc_crossings_may_be(scenario))
    return;
  crossings->cycles = pc_alloc_grid(lot->machine_count, lot->area_count, sizeof *crossings->cycles);
  crossings->last = pc_alloc_grid(lot->machine_count, lot->area_count, sizeof *crossings->last);
  crossings->failed = !crossings->cycles || !crossings->last;
}

void pc_crossings_free(pc_crossings *crossings) {
  free(crossings->cycles);
  free(crossings->last);
  *crossings = (pc_crossings){0};
}

static double metres_inside(const pc_lot *lot, const pc_trace_row *row, size_t area) {
  double long_m = hypot(row->to.x_m - row->from.x_m, row->to.y_m - row->from.y_m), inside = 0.0;
  int steps = (int)ceil(long_m / step_m);
  for (int k = 0; k < steps; k++) {
    double t = (k + 0.5) / steps;
    pc_point at = {row->from.x_m + t * (row->to.x_m - row->from.x_m),
                   row->from.y_m + t * (row->to.y_m - row->from.y_m)};
    inside += pc_ground_find(lot->ground, at) == (int)area ? long_m / steps : 0.0;
  }
  return inside;
}

void pc_crossings_row(void *context, const pc_trace_row *row) {
  pc_crossings *c = context;
  if (!c->cycles || c->failed || (row->phase != PC_PHASE_CARRY && row->phase != PC_PHASE_RETURN))
    return;
  for (size_t a = 0; a < c->lot->area_count; a++) {
    size_t i = row->machine * c->lot->area_count + a;
    if (may_work(c, row->machine, a) || c->last[i] == row->cycle || metres_inside(c->lot, row, a) < across_m)
      continue;
    c->last[i] = row->cycle;
    c->cycles[i]++;
  }
}

int pc_crossings_of(const pc_crossings *c, size_t machine, size_t area) {
  int sum = 0;
  for (size_t m = 0; c->cycles && !c->failed && m < c->lot->machine_count; m++)
    if (m == machine || machine == PC_NO_ENTRY)
      sum += c->cycles[m * c->lot->area_count + area];
  return sum;
}

pc_status pc_crossings_list(const pc_crossings *c, pc_crossed *crossed) {
  *crossed = (pc_crossed){0};
  if (c->failed)
    return PC_ERR_MEMORY;
  size_t cells = c->cycles ? c->lot->machine_count * c->lot->area_count : 0, count = 0;
  for (size_t i = 0; i < cells; i++)
    count += c->cycles[i] > 0;
  if (count == 0)
    return PC_OK;
  crossed->items = pc_alloc(count, sizeof *crossed->items);
  if (!crossed->items)
    return PC_ERR_MEMORY;
  for (size_t a = 0; a < c->lot->area_count; a++)
    for (size_t m = 0; m < c->lot->machine_count; m++) {
      int cycles = pc_crossings_of(c, m, a);
      if (cycles > 0)
        crossed->items[crossed->count++] =
            (pc_crossing){c->lot->machines[m].name, c->lot->areas[a].name, cycles};
    }
  return PC_OK;
}

pc_status pc_crossed_find(const pc_lot *lot, const pc_scenario *scenario, uint64_t seed,
                          pc_crossed *crossed) {
  *crossed = (pc_crossed){0};
  if (!pc_crossings_may_be(scenario))
    return PC_OK;
  pc_crossings crossings;
  pc_result result;
  pc_crossings_start(&crossings, lot, scenario);
  const pc_trace trace = {.row = pc_crossings_row, .context = &crossings};
  pc_status status = pc_run_once(lot, seed, &trace, &result);
  pc_result_free(&result);
  if (status == PC_OK)
    status = pc_crossings_list(&crossings, crossed);
  pc_crossings_free(&crossings);
  return status;
}

int pc_crossed_cycles(const pc_crossed *crossed) {
  int sum = 0;
  for (size_t i = 0; i < crossed->count; i++)
    sum += crossed->items[i].cycles;
  return sum;
}

void pc_crossed_free(pc_crossed *crossed) {
  if (!crossed)
    return;
  free(crossed->items);
  *crossed = (pc_crossed){0};
}
