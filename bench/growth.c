// SPDX-License-Identifier: GPL-3.0-or-later
/* How the time of a run grows with the lot and with the crew, as a Markdown table: processor time, the least
 * of several runs, for lots of one shape with three zones. docs/performance.md holds what it printed last. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "scene.h"
#include "sim/run.h"

enum { RUNS = 3 };

static double processor_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void must(pc_status status, const char *what) {
  if (status == PC_OK)
    return;
  fprintf(stderr, "growth: %s: %s\n", what, pc_status_describe(status));
  exit(1);
}

typedef struct measured {
  double lot_s, run_s;
  int cycles;
} measured;

static measured measure(double hectares, int machines, const char *policy) {
  double width = sqrt(hectares * 10000 / 1.5625), length = 1.5625 * width;
  const pc_point zones[] = {{0, 0.5 * width}, {0.5 * length, width}, {length, 0.5 * width}};
  pc_scenario s = scene_reference(3, machines, policy);
  s.site.areas[0].outline.points[1] = (pc_point){length, 0};
  s.site.areas[0].outline.points[2] = (pc_point){length, width};
  s.site.areas[0].outline.points[3] = (pc_point){0, width};
  for (int z = 0; z < 3; z++)
    s.zones[z].at = zones[z];
  pc_lot *lot;
  pc_world *world;
  pc_result result;
  pc_faults faults = {0};
  double start = processor_s();
  must(pc_lot_create(&s, NULL, &lot, &faults), "the lot");
  measured m = {processor_s() - start, INFINITY, 0};
  must(pc_world_create(lot, &world), "the world");
  must(pc_result_init_for(&result, lot), "the result");
  for (int i = 0; i < RUNS; i++) {
    start = processor_s();
    must(pc_world_run(world, 1, 0, NULL, &result), "the run");
    m.run_s = fmin(m.run_s, processor_s() - start);
  }
  m.cycles = result.cycles;
  pc_result_free(&result);
  pc_world_free(world);
  pc_lot_free(lot);
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  return m;
}

static void row(double hectares, int machines, double *first) {
  measured plain = measure(hectares, machines, "straight-runs"),
           keep = measure(hectares, machines, "keep-pushing");
  double n = keep.cycles, each = keep.run_s / n * 1e6, share = keep.run_s / (n * log(n));
  if (*first == 0)
    *first = share;
  printf("| %g | %d | %d | %.1f | %.2f | %.1f | %.1f | %.1f | %.2f |\n", hectares, machines, keep.cycles,
         keep.lot_s * 1e3, plain.run_s * 1e3, plain.run_s / plain.cycles * 1e6, keep.run_s * 1e3, each,
         share / *first);
}

int main(void) {
  double first = 0;
  puts(
      "| ha | machines | cycles | lot, ms | `straight-runs`, ms | a cycle, µs | `keep-pushing`, ms | a "
      "cycle, µs | "
      "a run over n·log n |\n|---|---|---|---|---|---|---|---|---|");
  for (double hectares = 1; hectares <= 64; hectares *= 2)
    row(hectares, 1, &first);
  first = 0;
  for (int machines = 1; machines <= 16; machines *= 2)
    row(16, machines, &first);
  return 0;
}
