// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A policy of your own: always the nearest stretch of snow. It is run against the built-in ones on a yard of
 * 80 × 60 m.
 *
 *   cc -std=c17 own_policy.c $(pkg-config --cflags --libs pushcycle) -lm -o own_policy
 */
#include <math.h>
#include <pushcycle.h>
#include <stdio.h>
#include <stdlib.h>

/* Slots that can be swept in one go from `station` on: dirty, on pavement, nobody else's. */
static int stretch_end(const pc_world *world, size_t machine, size_t lane, int station, int stations) {
  while (station < stations && pc_view_slot_dirty(world, machine, lane, station) &&
         !pc_view_slot_claimed(world, machine, lane, station))
    station++;
  return station;
}

static pc_decision nearest_first(void *state, const pc_world *world, size_t machine, pc_bite *bite) {
  (void)state;
  const pc_lot *lot = pc_view_lot(world);
  const pc_lane_set *set = &lot->lane_sets[lot->machines[machine].lane_set];
  const pc_point at = pc_view_position(world, machine);
  double best_m = INFINITY;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    if (pc_view_lane_dirty_count(world, machine, l) == 0 || !lot->machines[machine].allowed[lane->patch])
      continue;
    for (int i = 0, end; i < lane->stations; i = end + 1) {
      end = stretch_end(world, machine, l, i, lane->stations);
      if (end == i)
        continue;
      const double ends_m[2] = {patch->u0_m + i * patch->station_m, patch->u0_m + end * patch->station_m};
      for (int e = 0; e < 2; e++) {
        const pc_point start = pc_lane_point(lot, lane, ends_m[e]);
        const double way_m = hypot(start.x_m - at.x_m, start.y_m - at.y_m);
        if (way_m < best_m) {
          best_m = way_m;
          *bite = (pc_bite){.lane = l, .from_m = ends_m[e], .to_m = ends_m[1 - e], .zone = -1};
        }
      }
    }
  }
  if (best_m < INFINITY)
    return PC_DECIDE_BITE;
  return pc_view_load_kg(world, machine) > 0.0 ? PC_DECIDE_DUMP : PC_DECIDE_WAIT;
}

static size_t no_state(const pc_lot *lot) {
  (void)lot;
  return 0;
}

static const pc_policy own = {"nearest-first", "Always the nearest stretch of snow.", no_state,
                              nearest_first};

static pc_status fill(pc_scenario *s) {
  static const pc_point corners[] = {{0, 0}, {80, 0}, {80, 60}, {0, 60}};
  *s = pc_scenario_default();
  s->snow.depth_m = 0.10;
  s->site.areas = pc_alloc(1, sizeof *s->site.areas);
  s->boxes = pc_alloc(1, sizeof *s->boxes);
  s->loaders = pc_alloc(1, sizeof *s->loaders);
  s->zones = pc_alloc(1, sizeof *s->zones);
  if (!s->site.areas || !s->boxes || !s->loaders || !s->zones)
    return PC_ERR_MEMORY;
  s->site.area_count = s->box_count = s->loader_count = s->zone_count = 1;
  s->site.areas[0] = pc_area_default();
  s->site.areas[0].name = pc_name_of("yard");
  s->boxes[0] = pc_box_default();
  s->boxes[0].name = pc_name_of("box");
  s->boxes[0].width_m = 4.3;
  s->boxes[0].height_m = 1.2;
  s->loaders[0] = pc_loader_default();
  s->loaders[0].name = pc_name_of("loader");
  s->loaders[0].push_speed_mps = 2.2;
  s->loaders[0].carry_speed_mps = 3.3;
  s->loaders[0].return_speed_mps = 4.5;
  s->zones[0] = pc_zone_default();
  s->zones[0].name = pc_name_of("east");
  s->zones[0].at = (pc_point){80, 30};
  return pc_ring_copy(&s->site.areas[0].outline, corners, 4);
}

/* policy NULL: the scenario's built-in `name`. */
static pc_status report(const pc_scenario *s, const char *name, const pc_policy *policy, pc_faults *faults) {
  pc_choice choice = pc_choice_default();
  choice.policy = policy ? NULL : name;
  pc_lot *lot = NULL;
  pc_status status = pc_lot_create(s, &choice, &lot, faults);
  if (status != PC_OK)
    return status;
  if (policy)
    lot->policy = policy;
  pc_summary summary;
  status = pc_replicate(lot, 1, 1, 1, NULL, &summary);
  if (status == PC_OK) {
    printf("%-14s %6.1f min, %s, efficiency %.2f\n", name, summary.total_time_s.mean / 60.0,
           pc_reason_name(summary.mean.reason), summary.efficiency);
    if (summary.unfinished > 0)
      status = PC_ERR_RANGE;
    pc_summary_free(&summary);
  }
  pc_lot_free(lot);
  return status;
}

int main(void) {
  pc_scenario s;
  pc_faults faults = {0};
  pc_status status = fill(&s);
  if (status == PC_OK) {
    pc_scenario_validate(&s, &faults);
    status = pc_faults_status(&faults);
  }
  const pc_policy *policy;
  for (size_t i = 0; status == PC_OK && (policy = pc_policy_at(i)); i++)
    status = report(&s, policy->name, NULL, &faults);
  if (status == PC_OK)
    status = report(&s, own.name, &own, &faults);
  if (status != PC_OK)
    fprintf(stderr, "own_policy: %s\n", pc_status_describe(status));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  return status == PC_OK ? EXIT_SUCCESS : EXIT_FAILURE;
}
