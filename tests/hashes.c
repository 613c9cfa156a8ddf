// SPDX-License-Identifier: GPL-3.0-or-later
/* Prints a hash of the result of several lots. determinism.sh compares what different compilers make of it;
 * the program itself fails if the number of threads, or an earlier run in the same world, changes a result.
 */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "scene.h"
#include "sim/run.h"
#include "study/replicate.h"

enum { REPLICATIONS = 5 };

static pc_scenario scene(size_t zones, int machines, const char *policy, bool rough) {
  pc_scenario s = scene_reference(zones, machines, policy);
  if (!rough)
    return s;
  s.boxes[0].side_leak = 0.02;
  s.boxes[0].spill_from = 0.85;
  s.boxes[0].leave = 0.01;
  s.boxes[0].overlap_m = 0.3;
  s.full_at = 0.95;
  s.loaders[0].acceleration_mps2 = 0.8;
  s.site.areas[0].heading_rad = 0.3;
  s.chance.replications = REPLICATIONS;
  s.chance.fill = 0.05;
  s.chance.carry = s.chance.back = 0.10;
  s.chance.dump = s.chance.turn = 0.20;
  return s;
}

static int same_in_threads(const pc_lot *lot, const char *title) {
  double times_s[REPLICATIONS] = {0};
  static const int threads[] = {1, 2, 8};
  int bad = 0;
  for (size_t t = 0; t < sizeof threads / sizeof threads[0] && !bad; t++) {
    pc_summary summary;
    if (pc_replicate(lot, REPLICATIONS, 1, threads[t], NULL, &summary) != PC_OK)
      return 1;
    if (t == 0)
      memcpy(times_s, summary.times_s, sizeof times_s);
    for (size_t r = 0; r < REPLICATIONS; r++)
      bad |= !(times_s[r] == summary.times_s[r]);
    pc_summary_free(&summary);
  }
  if (bad)
    fprintf(stderr, "hashes: %s: the number of threads changes the result\n", title);
  return bad;
}

static int run_lot(const pc_lot *lot, const char *title) {
  pc_world *world = NULL;
  pc_result result;
  if (pc_result_init(&result, lot->machine_count, lot->zone_count) != PC_OK)
    return 1;
  int bad = pc_world_create(lot, &world) != PC_OK;
  uint64_t first = 0;
  for (uint64_t replication = 0; replication < 2 && !bad; replication++) {
    bad = pc_world_run(world, 1, replication, NULL, &result) != PC_OK;
    if (bad)
      break;
    uint64_t hash = pc_result_hash(&result);
    if (replication == 0)
      first = hash;
    printf("%s, replication %" PRIu64 ": %016" PRIx64 " (%.3f s)\n", title, replication, hash,
           result.total_time_s);
  }
  if (!bad && (pc_world_run(world, 1, 0, NULL, &result) != PC_OK || pc_result_hash(&result) != first)) {
    fprintf(stderr, "hashes: %s: a run changes the one after it\n", title);
    bad = 1;
  }
  pc_world_free(world);
  pc_result_free(&result);
  return bad;
}

static int try_scene(size_t zones, int machines, const char *policy, bool rough) {
  char title[80];
  snprintf(title, sizeof title, "%s, %zu zones, %d machines%s", policy, zones, machines,
           rough ? ", rough" : "");
  pc_scenario s = scene(zones, machines, policy, rough);
  pc_choice choice = {.depth_m = s.snow.depth_m};
  pc_faults faults = {0};
  pc_lot *lot = NULL;
  int bad = 1;
  if (pc_lot_create(&s, &choice, &lot, &faults) == PC_OK)
    bad = run_lot(lot, title) || same_in_threads(lot, title);
  if (bad)
    fprintf(stderr, "hashes: %s: failed\n", title);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  return bad;
}

int main(void) {
  static const char *const policies[] = {"straight-runs", "keep-pushing"};
  static const size_t zones[] = {1, 3};
  int bad = 0;
  for (size_t p = 0; p < 2; p++)
    for (size_t z = 0; z < 2; z++)
      for (int machines = 1; machines <= 3; machines += 2)
        for (int rough = 0; rough < 2; rough++)
          bad |= try_scene(zones[z], machines, policies[p], rough != 0);
  return bad;
}
