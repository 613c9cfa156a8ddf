// SPDX-License-Identifier: GPL-3.0-or-later
#include "fuzz.h"

#include <math.h>
#include <string.h>

#include "sim/run.h"
#include "study/bound.h"

void fuzz_check_faults(pc_status status, pc_faults *faults) {
  char line[2048];
  pc_status first = PC_OK;
  for (size_t i = 0; i < faults->count; i++) {
    FUZZ_MUST(faults->items[i].message[0] != '\0');
    FUZZ_MUST(pc_error_format(&faults->items[i], line, sizeof line) > 0);
    if (first == PC_OK && !faults->items[i].caution)
      first = faults->items[i].status;
  }
  FUZZ_MUST(first == status);
  pc_faults_free(faults);
}

static bool is_small_ring(const pc_ring *ring) {
  enum { CORNERS = 30, REACH_M = 60 };
  for (size_t i = 0; i < ring->count; i++)
    if (!(fabs(ring->points[i].x_m - ring->points[0].x_m) < REACH_M &&
          fabs(ring->points[i].y_m - ring->points[0].y_m) < REACH_M))
      return false;
  return ring->count <= CORNERS;
}

bool fuzz_is_small(const pc_scenario *s) {
  bool small = s->site.area_count <= 3 && s->site.ground_count <= 3 && s->site.obstacle_count <= 5 &&
               s->zone_count <= 4 && s->storm_count <= 10 && s->station_m >= 1 && s->snow.depth_m < 0.5 &&
               s->chance.replications <= 5;
  for (size_t i = 0; i < s->site.area_count && small; i++)
    small = is_small_ring(&s->site.areas[i].outline) && !s->site.areas[i].auto_heading;
  for (size_t i = 0; i < s->site.ground_count && small; i++)
    small = is_small_ring(&s->site.ground[i].outline);
  for (size_t i = 0; i < s->site.obstacle_count && small; i++)
    small = is_small_ring(&s->site.obstacles[i].outline);
  for (size_t i = 0; i < s->zone_count && small; i++)
    small = is_small_ring(&s->zones[i].outline);
  for (size_t i = 0; i < s->storm_count && small; i++)
    small = s->storm[i].after_s < 12 * 3600 && s->storm[i].rate_mps < 0.05 / 3600;
  int machines = 0;
  for (size_t i = 0; i < s->crew_count && small; i++)
    machines += s->crew[i].count;
  for (size_t i = 0; i < s->box_count && small; i++) /* a toy box takes ages */
    small = s->boxes[i].width_m > 1 && s->boxes[i].height_m > 0.5;
  return small && machines <= 4;
}

void fuzz_run(const pc_scenario *scenario) {
  pc_lot *lot = NULL;
  pc_world *world = NULL;
  pc_result result = {0};
  pc_bound bound;
  pc_faults faults = {0};
  pc_status status = pc_lot_create(scenario, NULL, &lot, &faults);
  FUZZ_MUST(status == PC_OK || pc_faults_fatal(&faults) > 0);
  pc_faults_free(&faults);
  if (status != PC_OK)
    return;
  FUZZ_MUST(pc_world_create(lot, &world) == PC_OK);
  FUZZ_MUST(pc_result_init_for(&result, lot) == PC_OK);
  pc_world_check_always(world, true);
  status = pc_world_run(world, 1, 0, NULL, &result);
  if (status != PC_OK)
    fprintf(stderr, "%s: %s\n", pc_status_name(status), pc_world_complaint(world));
  FUZZ_MUST(status == PC_OK);
  FUZZ_MUST(pc_bound_make(lot, result.left_kg, &bound) == PC_OK);
  if (result.finished)
    FUZZ_MUST(bound.plain_s <= result.total_time_s * (1 + 1e-9) + 1e-6);
  pc_result_free(&result);
  pc_world_free(world);
  pc_lot_free(lot);
}
