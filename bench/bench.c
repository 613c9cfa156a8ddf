// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Speed as ratios to bare loops of this file, measured in the same process, alternately, so that they mean
 * the same on any machine. Medians. Allocations within a run are counted (the linker wraps malloc and its
 * kin); any fails. Targets are for -O2; a missed time is shown, not fatal.
 */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "io/scenario.h"
#include "io/starter.h"
#include "scene.h"
#include "sim/queue.h"
#include "sim/run.h"

enum { REPETITIONS = 15, HOLD_SIZE = 64, HOLDS = 400000, BATCH = 4 };

/* Allocation counter */

static size_t allocations;
void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);

void *__wrap_malloc(size_t size) {
  allocations++;
  return __real_malloc(size);
}

void *__wrap_calloc(size_t count, size_t size) {
  allocations++;
  return __real_calloc(count, size);
}

void *__wrap_realloc(void *old, size_t size) {
  allocations++;
  return __real_realloc(old, size);
}

/* Bare heap of (time, index) */

typedef struct bare_item {
  double time;
  size_t index;
} bare_item;

typedef struct bare_heap {
  bare_item items[HOLD_SIZE + 1];
  size_t count;
} bare_heap;

static void bare_push(bare_heap *heap, double time, size_t index) {
  size_t hole = heap->count++;
  while (hole > 0 && time < heap->items[(hole - 1) / 2].time) {
    heap->items[hole] = heap->items[(hole - 1) / 2];
    hole = (hole - 1) / 2;
  }
  heap->items[hole] = (bare_item){time, index};
}

static bare_item bare_pop(bare_heap *heap) {
  bare_item first = heap->items[0], last = heap->items[--heap->count];
  size_t hole = 0, child = 1;
  while (child < heap->count) {
    if (child + 1 < heap->count && heap->items[child + 1].time < heap->items[child].time)
      child++;
    if (heap->items[child].time >= last.time)
      break;
    heap->items[hole] = heap->items[child];
    hole = child;
    child = 2 * hole + 1;
  }
  heap->items[hole] = last;
  return first;
}

/* Timing */

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_value(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double median(double *values) {
  qsort(values, REPETITIONS, sizeof *values, by_value);
  return values[REPETITIONS / 2];
}

static volatile double sink; /* keeps the compiler from leaving a loop out */

static double next_gap(uint64_t *state) {
  *state = *state * 6364136223846793005u + 1442695040888963407u;
  return (double)(*state >> 40) * 0x1p-24;
}

/* Hold model: take the first, put it back a random time later. */

static double hold_bare_s(void) {
  static bare_heap heap;
  uint64_t state = 1;
  heap.count = 0;
  for (size_t i = 0; i < HOLD_SIZE; i++)
    bare_push(&heap, next_gap(&state), i);
  double start = now_s();
  for (int i = 0; i < HOLDS; i++) {
    bare_item first = bare_pop(&heap);
    bare_push(&heap, first.time + next_gap(&state), first.index);
  }
  double end = now_s();
  sink = heap.items[0].time;
  return end - start;
}

static double hold_queue_s(void) {
  pc_queue queue;
  uint64_t state = 1;
  if (pc_queue_init(&queue, HOLD_SIZE + 1) != PC_OK)
    abort();
  for (uint32_t i = 0; i < HOLD_SIZE; i++)
    if (pc_queue_push(&queue, next_gap(&state), 0, 0, i) != PC_OK)
      abort();
  double start = now_s();
  for (int i = 0; i < HOLDS; i++) {
    pc_event first = pc_queue_pop(&queue);
    if (pc_queue_push(&queue, first.time_s + next_gap(&state), 0, 0, first.subject) != PC_OK)
      abort();
  }
  double end = now_s();
  sink = queue.heap[0].time_s;
  pc_queue_free(&queue);
  return end - start;
}

/* The reference lot as a bare loop: straight runs, one event per phase, no ground, no claims, no room, no
 * turns counted beyond a constant. Lanes of 4.5 m, 10 kg/m², 1,350 kg a load: a load is 30 m of lane. */

enum { LOWER, FILL, CARRY, DUMP, RETURN };

typedef struct bare_run {
  double x, y, sign, lane, load_m, total, time[5];
  double zone_x, zone_y;
} bare_run;

static double nearest(bare_run *r) {
  static const double zones[3][2] = {{0, 80}, {125, 160}, {250, 80}};
  double best = INFINITY;
  for (int z = 0; z < 3; z++) {
    double dx = zones[z][0] - r->x, dy = zones[z][1] - r->y, d = sqrt(dx * dx + dy * dy);
    if (d < best) {
      best = d;
      r->zone_x = zones[z][0];
      r->zone_y = zones[z][1];
    }
  }
  return best;
}

/* Next phase and its time; -1 at the end. */
static int bare_phase(bare_run *r, int phase, double *time) {
  double full_m = 30.0, back, dx, dy;
  switch (phase) {
  case LOWER:
    back = r->sign > 0 ? 250.0 - r->x : r->x;
    back = fmin(back, full_m - r->load_m);
    r->x += r->sign * back;
    r->load_m += back;
    *time = back / 2.2;
    return FILL;
  case FILL:
    if (r->load_m < full_m - 1e-9 && r->y + 4.5 < 160.0) { /* lane end: on into the next one */
      r->sign = -r->sign;
      r->y += 4.5;
      *time = 6.0 + 4.5 / 3.3;
      return RETURN;
    }
    *time = 6.0 + nearest(r) / 3.3;
    return CARRY;
  case CARRY:
    *time = 8.0;
    return DUMP;
  case DUMP:
    r->load_m = 0.0;
    if ((r->sign > 0 ? r->x >= 250.0 - 1e-9 : r->x <= 1e-9)) {
      r->sign = -r->sign;
      r->y += 4.5;
      if (r->y > 160.0)
        return -1;
    }
    dx = r->x - r->zone_x;
    dy = r->y - r->zone_y;
    *time = 6.0 + sqrt(dx * dx + dy * dy) / 4.5;
    return RETURN;
  default:
    *time = 2.0;
    return LOWER;
  }
}

static uint64_t bare_lot(double *total) {
  static bare_heap heap;
  bare_run r = {.y = 2.25, .sign = 1};
  uint64_t events = 0;
  heap.count = 0;
  bare_push(&heap, 2.0, LOWER);
  while (heap.count > 0) {
    bare_item event = bare_pop(&heap);
    events++;
    double time = 0.0;
    int next = bare_phase(&r, (int)event.index, &time);
    *total = event.time;
    if (next < 0)
      break;
    r.time[next] += time;
    bare_push(&heap, event.time + time, (size_t)next);
  }
  return events;
}

/* The simulator */

typedef struct lab {
  pc_scenario scenario;
  pc_faults faults;
  pc_lot *lot;
  pc_world *world;
  pc_result result;
} lab;

static void lab_open(lab *l, const char *policy) {
  *l = (lab){.scenario = scene_reference(3, 1, policy)};
  pc_choice choice = {.depth_m = l->scenario.snow.depth_m};
  if (pc_lot_create(&l->scenario, &choice, &l->lot, &l->faults) != PC_OK ||
      pc_world_create(l->lot, &l->world) != PC_OK ||
      pc_result_init(&l->result, l->lot->machine_count, l->lot->zone_count) != PC_OK) {
    fprintf(stderr, "bench: the reference lot could not be made\n");
    exit(1);
  }
}

static void lab_close(lab *l) {
  pc_result_free(&l->result);
  pc_world_free(l->world);
  pc_lot_free(l->lot);
  pc_faults_free(&l->faults);
  pc_scenario_free(&l->scenario);
}

/* Seconds a run; adds the allocations made in it to *made. */
static double lab_run_s(lab *l, int runs, size_t *made) {
  size_t before = allocations;
  double start = now_s();
  for (int i = 0; i < runs; i++)
    if (pc_world_run(l->world, 1, 0, NULL, &l->result) != PC_OK) {
      fprintf(stderr, "bench: the run failed\n");
      exit(1);
    }
  double end = now_s();
  *made += allocations - before;
  return (end - start) / runs;
}

/* What a run of straight-runs can't do without: its cells as they lie at the start, each slot's film and sum
 * in the order that fixes their bits, and for each load the angles of four turns and the lengths of two ways.
 */
static double bare_arithmetic_s(const lab *l, double *cells) {
  const pc_lot *lot = l->lot;
  const pc_lane_set *set = &lot->lane_sets[0];
  double keep = 1.0 - (1.0 - lot->machines[0].unit.filling.leave), all = 0.0;
  double start = now_s();
  memcpy(cells, lot->cell_kg, lot->ground->cell_count * sizeof *cells);
  for (size_t n = 0; n < set->lane_count; n++) {
    const pc_lane *lane = &set->lanes[n];
    for (int i = 0; i < lane->stations; i++) {
      double *at = &cells[pc_patch_cell(&lot->ground->patches[lane->patch], i, lane->strip0)], kg = 0.0;
      for (int j = 0; j < lane->strips; j++)
        kg += at[j] *= keep;
      all += kg;
    }
  }
  for (int cycle = 0; cycle < l->result.cycles; cycle++) {
    double x = 1.0 + cycle % 30, y = 2.0 + cycle % 50;
    for (int turn = 0; turn < 4; turn++)
      all += atan2(y + turn, x - turn);
    all += sqrt(x * x + y * y) + sqrt(x * x + 2.0 * y * y);
  }
  double end = now_s();
  sink = all;
  return end - start;
}

static void row(const char *what, double value, const char *unit, double target) {
  printf("%-58s %9.3f %-6s %8.1f  %s\n", what, value, unit, target, value <= target ? "ok" : "MISSED");
}

/* Lots: the time to make one is the time for its tables of ways; all else in it takes a few ms. */

static double lot_s(const pc_scenario *scenario) {
  double times[REPETITIONS];
  for (int i = 0; i < REPETITIONS; i++) {
    pc_lot *lot = NULL;
    pc_faults faults = {0};
    double start = now_s();
    if (pc_lot_create(scenario, NULL, &lot, &faults) != PC_OK) {
      fprintf(stderr, "bench: a lot could not be made: %s\n", faults.count ? faults.items[0].message : "");
      exit(1);
    }
    times[i] = now_s() - start;
    pc_lot_free(lot);
    pc_faults_free(&faults);
  }
  return median(times);
}

static double parked_ms(size_t count, bool rows) {
  pc_scenario scenario = scene_parked(count, rows);
  double ms = 1e3 * lot_s(&scenario);
  pc_scenario_free(&scenario);
  return ms;
}

static double demo_ms(void) {
  pc_scenario scenario = {0};
  pc_faults faults = {0};
  const char *text = pc_demo_scenario();
  if (pc_scenario_read_text("demonstration lot", text, strlen(text), NULL, 0, &scenario, &faults) != PC_OK)
    exit(1);
  double ms = 1e3 * lot_s(&scenario);
  pc_scenario_free(&scenario);
  pc_faults_free(&faults);
  return ms;
}

static void bench_lots(void) {
  static const size_t counts[] = {100, 200, 400};
  row("making the demonstration lot, tables of ways and all", demo_ms(), "ms", 50.0);
  row("  a lot with 300 vehicles in rows and 6 zones", parked_ms(300, true), "ms", 1000.0);
  row("  a lot with 300 vehicles at random and 6 zones", parked_ms(300, false), "ms", 1000.0);
  printf("growth with the number of vehicles, ms:     ");
  for (size_t i = 0; i < 3; i++)
    printf("  %zu: %.0f at random, %.0f in rows;", counts[i], parked_ms(counts[i], false),
           parked_ms(counts[i], true));
  printf("\n");
}

int main(void) {
  double own[REPETITIONS], bare[REPETITIONS], ratio[REPETITIONS], least[REPETITIONS];
  size_t made = 0;
  printf("%-58s %9s %-6s %8s\n", "", "measured", "", "at most");

  for (int i = 0; i < REPETITIONS; i++) {
    bare[i] = hold_bare_s();
    own[i] = hold_queue_s();
    ratio[i] = own[i] / bare[i];
  }
  row("event queue, hold model, over a bare heap", median(ratio), "x", 1.5);

  lab straight, keep;
  lab_open(&straight, "straight-runs");
  lab_open(&keep, "keep-pushing");
  double total = 0.0, *cells = malloc(straight.lot->ground->cell_count * sizeof *cells);
  uint64_t events = 0;
  if (!cells)
    return EXIT_FAILURE;
  for (int i = 0; i < REPETITIONS; i++) {
    double start = now_s();
    for (int j = 0; j < BATCH * 50; j++) {
      events = bare_lot(&total);
      sink = total;
    }
    bare[i] = (now_s() - start) / (BATCH * 50);
    own[i] = lab_run_s(&straight, BATCH, &made);
    ratio[i] = own[i] / bare[i];
    least[i] = bare_arithmetic_s(&straight, cells) / bare[i];
  }
  free(cells);
  row("straight-runs on the reference lot, over a bare loop", median(ratio), "x", 8.0);
  double bare_us = 1e6 * median(bare), own_us = 1e6 * median(own);
  printf("%-58s %9.3f x\n", "  of which sums, angles and lengths alone", median(least));

  for (int i = 0; i < REPETITIONS; i++)
    own[i] = 1e3 * lab_run_s(&keep, BATCH, &made);
  row("keep-pushing on the reference lot, one run", median(own), "ms", 0.5);
  row("allocations in all these runs", (double)made, "", 0.0);
  bench_lots();
  printf(
      "\nstraight-runs: %.1f us a run, %llu events, %.0f s simulated; bare loop: %.1f us, %llu events, %.0f "
      "s\n",
      own_us, (unsigned long long)straight.result.events, straight.result.total_time_s, bare_us,
      (unsigned long long)events, total);
  printf("keep-pushing: %llu events, %d cycles, %.0f s simulated\n", (unsigned long long)keep.result.events,
         keep.result.cycles, keep.result.total_time_s);
  lab_close(&straight);
  lab_close(&keep);
  return made == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
