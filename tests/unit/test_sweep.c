// SPDX-License-Identifier: GPL-3.0-or-later
/* Pushing against foreseeing, to the last bit: random bites over ground that is cleared bit by bit, by boxes
 * that leak, spill early, leave a film, or do none of it. And what lanes know of their ground against their
 * cells. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#include "scene.h"
#include "sim/world.h"

enum { BITES = 3000 };

static double fraction(uint64_t *state) {
  *state = *state * 6364136223846793005u + 1442695040888963407u;
  return (double)(*state >> 40) * 0x1p-24;
}

/* Sums, and what is dirty, of every slot afresh. */
static void check_slots(const pc_world *world) {
  const pc_lane_set *set = &world->lot->lane_sets[0];
  const pc_lane_state *state = &world->lanes[0];
  size_t dirty = 0;
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    int dirty_here = 0;
    for (int i = 0; i < lane->stations; i++) {
      size_t cell = pc_patch_cell(&world->lot->ground->patches[lane->patch], i, lane->strip0);
      double kg = 0.0;
      for (int j = 0; j < lane->strips; j++)
        kg += world->cell_kg[cell + (size_t)j];
      size_t slot = lane->first + (size_t)i;
      assert_true(state->slot_kg[slot] == kg);
      assert_true(0.0 <= state->low[slot] && state->low[slot] < state->high[slot] &&
                  state->high[slot] <= 1.0);
      dirty_here += state->dirty[slot];
    }
    assert_int_equal(state->dirty_count[l], dirty_here);
    dirty += (size_t)dirty_here;
  }
  assert_int_equal(state->total_dirty, dirty);
}

static double ground_kg(const pc_world *world) {
  double kg = 0.0;
  for (size_t k = 0; k < world->lot->ground->cell_count; k++)
    kg += world->cell_kg[k];
  return kg;
}

static void one_bite(pc_world *world, uint64_t *random) {
  const pc_lane_set *set = &world->lot->lane_sets[0];
  size_t index = (size_t)(fraction(random) * (double)set->lane_count);
  const pc_lane *lane = &set->lanes[index];
  double full_kg = world->lot->full_at * world->lot->machines[0].unit.capacity_kg;
  double from = 250.0 * fraction(random), to = 250.0 * fraction(random), ideal_kgm;
  double load = fraction(random) < 0.3 ? full_kg * fraction(random) : 0.0;
  pc_sweep seen, done;
  world->machines[0].load_kg = load;
  pc_world_foresee(world, 0, index, from, to, load, &seen, &ideal_kgm);
  double before_kg = ground_kg(world);
  pc_world_sweep(world, 0, lane, from, to, full_kg, &done);
  assert_true(seen.load_kg == done.load_kg && seen.stop_m == done.stop_m && seen.time_s == done.time_s);
  assert_true(seen.length_m == done.length_m && seen.spilled_kg == done.spilled_kg);
  assert_int_equal(seen.slots, done.slots);
  assert_int_equal(seen.fresh_slots, done.fresh_slots);
  double taken = before_kg - ground_kg(world);
  assert_true(fabs(taken - (done.load_kg - load)) <= 1e-9 * before_kg);
}

static void pushing_is_as_foreseen(void **state) {
  (void)state;
  static const struct {
    double leak, spill_from, leave, overlap_m;
  } boxes[] = {{0.0, 1.0, 0.0, 0.3}, {0.0, 0.4, 0.01, 0.3}, {0.02, 0.85, 0.01, 0.3}, {0.0, 0.95, 0.03, 0.0}};
  uint64_t random = 1;
  for (size_t b = 0; b < sizeof boxes / sizeof boxes[0]; b++) {
    pc_scenario s = scene_reference(3, 1, "straight-runs");
    s.boxes[0].side_leak = boxes[b].leak;
    s.boxes[0].spill_from = boxes[b].spill_from;
    s.boxes[0].leave = boxes[b].leave;
    s.boxes[0].overlap_m = boxes[b].overlap_m;
    pc_lot *lot = NULL;
    pc_world *world = NULL;
    pc_faults faults = {0};
    assert_int_equal(pc_lot_create(&s, NULL, &lot, &faults), PC_OK);
    assert_int_equal(pc_world_create(lot, &world), PC_OK);
    pc_world_start_ground(world);
    for (int i = 0; i < BITES; i++) {
      one_bite(world, &random);
      if (i % 100 == 0)
        check_slots(world);
    }
    check_slots(world);
    pc_world_free(world);
    pc_lot_free(lot);
    pc_faults_free(&faults);
    pc_scenario_free(&s);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(pushing_is_as_foreseen)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
