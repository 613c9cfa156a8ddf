// SPDX-License-Identifier: GPL-3.0-or-later
/* Simulating many choices, each once and with chance off, in threads. */
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/memory.h"
#include "study/place_private.h"

pc_status pc_place_stage_make(const pc_scenario *scenario, const pc_placement *placement,
                              pc_place_stage *stage) {
  size_t count = placement->site_count;
  *stage = (pc_place_stage){.scenario = *scenario, .zones = pc_alloc(count, sizeof *stage->zones)};
  if (!stage->zones)
    return PC_ERR_MEMORY;
  for (size_t z = 0; z < count; z++)
    stage->zones[z] = placement->sites[z].zone;
  stage->scenario.zones = stage->zones;
  stage->scenario.zone_count = count;
  return PC_OK;
}

void pc_place_stage_free(pc_place_stage *stage) {
  free(stage->zones);
  stage->zones = NULL;
}

pc_status pc_place_lot(const pc_place_stage *stage, const pc_choice *choice, const size_t *sites,
                       size_t count, bool chance, pc_lot **lot, pc_faults *faults) {
  pc_name names[PC_PLACE_MAX];
  pc_faults unheard = {0};
  for (size_t k = 0; k < count; k++)
    names[k] = stage->zones[sites[k]].name;
  pc_layout layout = {pc_name_of("placed"), {names, count}};
  pc_scenario scenario = stage->scenario;
  scenario.layouts = &layout;
  scenario.layout_count = 1;
  if (!chance)
    scenario.chance = (pc_chance){.replications = 1, .seed = 1};
  pc_choice with = choice ? *choice : (pc_choice){.depth_m = NAN};
  with.layout = NULL;
  pc_status status = pc_lot_create(&scenario, &with, lot, faults ? faults : &unheard);
  pc_faults_free(&unheard);
  return status;
}

bool pc_place_is_better(const pc_place_trial *a, const pc_place_trial *b) {
  bool done_a = a->made && a->finished, done_b = b->made && b->finished;
  if (done_a != done_b)
    return done_a;
  return done_a && a->time_s < b->time_s;
}

typedef struct worker {
  const pc_place_stage *stage;
  const pc_choice *choice;
  pc_place_trial *trials;
  size_t count, first, step;
  pc_status status;
  pthread_t thread;
  bool started;
} worker;

static pc_status run_lot(const pc_lot *lot, pc_place_trial *trial) {
  pc_world *world = NULL;
  pc_result result = {0};
  pc_status status = pc_world_create(lot, &world);
  if (status == PC_OK)
    status = pc_result_init_for(&result, lot);
  if (status == PC_OK)
    status = pc_world_run(world, 1, 0, NULL, &result);
  if (status == PC_OK) {
    trial->made = true;
    trial->finished = result.finished;
    trial->time_s = result.total_time_s;
    trial->left_kg = result.left_kg;
    trial->start_kg = result.start_kg;
    trial->fallen_kg = result.fallen_kg;
  }
  pc_result_free(&result);
  pc_world_free(world);
  return status;
}

/* A choice for which no lot can be made is no failure: it is just not made. */
static void *work(void *argument) {
  worker *w = argument;
  for (size_t i = w->first; i < w->count && w->status == PC_OK; i += w->step) {
    pc_lot *lot = NULL;
    pc_status status =
        pc_place_lot(w->stage, w->choice, w->trials[i].sites, w->trials[i].count, false, &lot, NULL);
    if (status == PC_OK)
      status = run_lot(lot, &w->trials[i]);
    else if (status != PC_ERR_MEMORY)
      status = PC_OK;
    pc_lot_free(lot);
    w->status = status;
  }
  return NULL;
}

pc_status pc_place_run_trials(const pc_place_stage *stage, const pc_place_wanted *wanted,
                              pc_place_trial *trials, size_t count) {
  long processors = sysconf(_SC_NPROCESSORS_ONLN);
  size_t threads = wanted->threads > 0 ? (size_t)wanted->threads : processors > 0 ? (size_t)processors : 1;
  threads = threads < count ? threads : count;
  if (threads == 0)
    return PC_OK;
  worker *workers = pc_alloc(threads, sizeof *workers);
  if (!workers)
    return PC_ERR_MEMORY;
  for (size_t t = 0; t < threads; t++)
    workers[t] = (worker){.stage = stage,
                          .choice = wanted->choice,
                          .trials = trials,
                          .count = count,
                          .first = t,
                          .step = threads};
  for (size_t t = 1; t < threads; t++)
    workers[t].started = pthread_create(&workers[t].thread, NULL, work, &workers[t]) == 0;
  work(&workers[0]);
  pc_status status = workers[0].status;
  for (size_t t = 1; t < threads; t++) {
    if (workers[t].started)
      pthread_join(workers[t].thread, NULL);
    else
      work(&workers[t]); /* no thread to be had: do its share here */
    if (status == PC_OK)
      status = workers[t].status;
  }
  free(workers);
  return status;
}
