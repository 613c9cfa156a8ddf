// SPDX-License-Identifier: GPL-3.0-or-later
/* The register of policies and the read-only view. */
#include "sim/policies.h"

#include <string.h>

static const pc_policy *const all_policies[] = {&pc_policy_keep_pushing, &pc_policy_straight_runs,
                                                &pc_policy_building_out};

const pc_policy *pc_policy_at(size_t index) {
  return index < sizeof all_policies / sizeof *all_policies ? all_policies[index] : NULL;
}

const pc_policy *pc_policy_find(const char *name) {
  for (size_t i = 0; pc_policy_at(i); i++)
    if (strcmp(pc_policy_at(i)->name, name) == 0)
      return pc_policy_at(i);
  return NULL;
}

const pc_lot *pc_view_lot(const pc_world *world) {
  return world->lot;
}

double pc_view_now_s(const pc_world *world) {
  return world->engine.now_s;
}

pc_point pc_view_position(const pc_world *world, size_t machine) {
  return world->machines[machine].at;
}

double pc_view_stop_m(const pc_world *world, size_t machine) {
  return world->machines[machine].stop_m;
}

double pc_view_load_kg(const pc_world *world, size_t machine) {
  return world->machines[machine].load_kg;
}

double pc_view_slot_kg(const pc_world *world, size_t machine, size_t lane, int station) {
  return pc_state_of(world, machine)->slot_kg[pc_set_of(world, machine)->lanes[lane].first + (size_t)station];
}

bool pc_view_slot_dirty(const pc_world *world, size_t machine, size_t lane, int station) {
  return pc_state_of(world, machine)->dirty[pc_set_of(world, machine)->lanes[lane].first + (size_t)station];
}

bool pc_view_slot_claimed(const pc_world *world, size_t machine, size_t lane, int station) {
  const pc_lane *l = &pc_set_of(world, machine)->lanes[lane];
  const pc_patch *patch = &world->lot->ground->patches[l->patch];
  double low = patch->u0_m + station * patch->station_m;
  return pc_stretch_taken(world, machine, l, low, low + patch->station_m);
}

int pc_view_lane_dirty_count(const pc_world *world, size_t machine, size_t lane) {
  return pc_state_of(world, machine)->dirty_count[lane];
}

double pc_view_zone_room_kg(const pc_world *world, size_t zone) {
  return pc_view_room(world, zone);
}
