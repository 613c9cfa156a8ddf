// SPDX-License-Identifier: GPL-3.0-or-later
/* Walks the whole world and checks every invariant. Slow; for tests. */
#include <stdio.h>

#include "base/sum.h"
#include "sim/night.h"

static pc_status complain(pc_world *world, const char *what, double number) {
  snprintf(world->complaint, sizeof world->complaint, "at %.3f s: %s (%g)", world->engine.now_s, what,
           number);
  return PC_ERR_RANGE;
}

static pc_status verify_mass(pc_world *world) {
  pc_sum mass = {0};
  for (size_t c = 0; c < world->lot->ground->cell_count; c++) {
    if (!(world->cell_kg[c] >= 0.0))
      return complain(world, "a cell holds a negative mass", world->cell_kg[c]);
    pc_sum_add(&mass, world->cell_kg[c]);
  }
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    if (!(world->machines[m].load_kg >= 0.0) ||
        world->machines[m].load_kg > world->lot->machines[m].unit.capacity_kg * (1.0 + 1e-9))
      return complain(world, "a box holds more than it can", world->machines[m].load_kg);
    pc_sum_add(&mass, world->machines[m].load_kg);
  }
  for (size_t z = 0; z < world->lot->zone_count; z++)
    pc_sum_add(&mass, world->piles[z].snow_kg);
  double total = world->lot->start_kg + pc_fallen_kg(world), missing = pc_sum_value(&mass) - total;
  return fabs(missing) <= 1e-9 * total ? PC_OK : complain(world, "mass is not conserved", missing);
}

static pc_status verify_zones(pc_world *world) {
  for (size_t z = 0; z < world->lot->zone_count; z++) {
    const pc_pile *pile = &world->piles[z];
    if (pile->busy < 0 || pile->busy > world->lot->zones[z].berths)
      return complain(world, "berths out of bounds", pile->busy);
    if (pile->waiting_count > 0 && pile->busy < world->lot->zones[z].berths)
      return complain(world, "a machine waits at a free berth", pile->waiting_count);
    if (pile->snow_kg > world->lot->zone_capacity_kg[z] * (1.0 + 1e-9))
      return complain(world, "a zone is over its capacity", pile->snow_kg);
  }
  return PC_OK;
}

/* The sums that decisions read against the cells they stand for. */
static pc_status verify_slots(pc_world *world) {
  for (size_t s = 0; s < world->lot->lane_set_count; s++) {
    const pc_lane_set *set = &world->lot->lane_sets[s];
    size_t dirty = 0;
    for (size_t l = 0; l < set->lane_count; l++) {
      const pc_lane *lane = &set->lanes[l];
      for (int i = 0; i < lane->stations; i++) {
        size_t cell = pc_patch_cell(&world->lot->ground->patches[lane->patch], i, lane->strip0);
        double kg = 0.0;
        for (int j = 0; j < lane->strips; j++)
          kg += world->cell_kg[cell + (size_t)j];
        double slot = world->lanes[s].slot_kg[lane->first + (size_t)i];
        if (fabs(kg - slot) > 1e-9 * (1.0 + kg))
          return complain(world, "a slot's sum differs from its cells", slot - kg);
        dirty += world->lanes[s].dirty[lane->first + (size_t)i];
      }
    }
    if (dirty != world->lanes[s].total_dirty)
      return complain(world, "the count of dirty slots is wrong", (double)world->lanes[s].total_dirty);
  }
  return PC_OK;
}

static pc_status verify_claims(pc_world *world) {
  for (size_t a = 0; a < world->lot->machine_count; a++) {
    if (world->machines[a].clock_s < world->engine.now_s - 1e-6 && !world->machines[a].asleep &&
        !world->machines[a].finished && world->machines[a].zone < 0 && world->machines[a].claim.patch >= 0)
      return complain(world, "a working machine's clock stands behind", world->machines[a].clock_s);
    for (size_t b = a + 1; b < world->lot->machine_count; b++) {
      const pc_claim *x = &world->machines[a].claim, *y = &world->machines[b].claim;
      if (x->patch >= 0 && x->patch == y->patch && x->strip0 < y->strip1 && y->strip0 < x->strip1 &&
          x->low_m < y->high_m && y->low_m < x->high_m)
        return complain(world, "two machines claim the same stretch", (double)b);
    }
  }
  return PC_OK;
}

pc_status pc_world_verify(pc_engine *engine, void *context) {
  (void)engine;
  pc_world *world = context;
  pc_status status = verify_mass(world);
  if (status == PC_OK)
    status = verify_zones(world);
  if (status == PC_OK)
    status = verify_slots(world);
  return status == PC_OK ? verify_claims(world) : status;
}
