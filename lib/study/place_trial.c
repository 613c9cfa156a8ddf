// SPDX-License-Identifier: GPL-3.0-or-later
/* Simulating many choices, each once and with chance off, in threads. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/parallel.h"
#include "study/place_private.h"
#include "study/replicate_private.h"

pc_status pc_place_stage_make(const pc_scenario *scenario, const pc_placement *placement,
                              pc_place_stage *stage) {
  size_t count = placement->site_count;
  *stage = (pc_place_stage){
      .whole = scenario, .scenario = *scenario, .zones = pc_alloc(count, sizeof *stage->zones)};
  if (!stage->zones)
    return PC_ERR_MEMORY;
  for (size_t z = 0; z < count; z++)
    stage->zones[z] = placement->sites[z].zone;
  stage->scenario.zones = stage->zones;
  stage->scenario.zone_count = count;
  stage->scenario.origins = (pc_origins){0}; /* of zones that are others here: tell_where */
  return PC_OK;
}

void pc_place_stage_free(pc_place_stage *stage) {
  free(stage->zones);
  stage->zones = NULL;
}

/* The key of "zones[3].height" of the stage in the scenario as it was read. */
static void find_key(const pc_place_stage *stage, const char *key, char found[PC_KEY_MAX]) {
  const pc_scenario *whole = stage->whole;
  char *rest;
  size_t z = (size_t)strtoul(key + strlen("zones["), &rest, 10);
  const char *name = z < stage->scenario.zone_count ? stage->zones[z].name.text : "";
  const pc_placing *place = &whole->place;
  size_t zone = pc_name_find(whole->zones, whole->zone_count, sizeof *whole->zones, name);
  size_t candidate = pc_name_find(place->candidates, place->candidate_count, sizeof *place->candidates, name);
  rest += *rest == ']';
  if (zone < whole->zone_count)
    snprintf(found, PC_KEY_MAX, "zones[%zu]%s", zone, rest);
  else if (candidate < place->candidate_count)
    snprintf(found, PC_KEY_MAX, "place.candidates[%zu]%s", candidate, rest);
  else
    snprintf(found, PC_KEY_MAX, "place");
}

static void tell_where(const pc_place_stage *stage, pc_faults *found) {
  char key[PC_KEY_MAX];
  for (size_t i = 0; i < found->count; i++)
    if (strncmp(found->items[i].key, "zones[", strlen("zones[")) == 0) {
      find_key(stage, found->items[i].key, key);
      pc_error_rename(&found->items[i], key);
    }
  pc_scenario_place_faults(stage->whole, found, 0);
}

pc_status pc_place_lot(const pc_place_stage *stage, const pc_choice *choice, const size_t *sites,
                       size_t count, bool chance, pc_lot **lot, pc_faults *faults) {
  pc_name names[PC_PLACE_MAX];
  pc_faults found = {0};
  for (size_t k = 0; k < count; k++)
    names[k] = stage->zones[sites[k]].name;
  pc_layout layout = {pc_name_of("placed"), {names, count}};
  pc_scenario scenario = stage->scenario;
  scenario.layouts = &layout;
  scenario.layout_count = 1;
  pc_choice with = choice ? *choice : pc_choice_default();
  with.layout = NULL;
  with.without_luck |= !chance;
  pc_status status = pc_lot_create(&scenario, &with, lot, &found);
  if (faults) {
    faults->units = found.units;
    tell_where(stage, &found);
    pc_faults_move(faults, &found);
  }
  pc_faults_free(&found);
  return status;
}

bool pc_place_is_better(const pc_place_trial *a, const pc_place_trial *b) {
  bool done_a = a->made && a->finished, done_b = b->made && b->finished;
  if (done_a != done_b)
    return done_a;
  return done_a && a->time_s < b->time_s;
}

typedef struct trial_task {
  const pc_place_stage *stage;
  const pc_choice *choice;
  pc_place_trial *trials;
  pc_steps *steps;
} trial_task;

static pc_status run_lot(const pc_lot *lot, pc_place_trial *trial) {
  pc_result result;
  pc_status status = pc_run_once(lot, 1, NULL, &result);
  if (status == PC_OK) {
    trial->made = true;
    trial->finished = result.finished;
    trial->time_s = result.total_time_s;
    trial->left_kg = result.left_kg;
    trial->start_kg = result.start_kg;
    trial->fallen_kg = result.fallen_kg;
  }
  pc_result_free(&result);
  return status;
}

/* A choice for which no lot can be made is no failure: it is just not made. */
static pc_status run_trial(void *context, size_t i) {
  const trial_task *task = context;
  pc_place_trial *trial = &task->trials[i];
  pc_lot *lot = NULL;
  pc_status status = pc_place_lot(task->stage, task->choice, trial->sites, trial->count, false, &lot, NULL);
  if (status == PC_OK)
    status = run_lot(lot, trial);
  else if (status != PC_ERR_MEMORY)
    status = PC_OK;
  pc_lot_free(lot);
  trial->run = status == PC_OK;
  pc_steps_count(task->steps);
  return status;
}

static bool is_stopped(void *context) {
  const trial_task *task = context;
  return pc_steps_stopped(task->steps);
}

/* Trials are begun in their order and ended once begun, so those that were run are the first ones. */
pc_status pc_place_run_trials(const pc_place_stage *stage, const pc_place_wanted *wanted, pc_steps *steps,
                              pc_place_trial *trials, size_t count, size_t *done) {
  trial_task task = {stage, wanted->choice, trials, steps};
  pc_status status =
      pc_parallel_each(pc_parts_for(wanted->threads, count), count, run_trial, is_stopped, &task);
  for (*done = 0; *done < count && trials[*done].run;)
    ++*done;
  return status;
}
