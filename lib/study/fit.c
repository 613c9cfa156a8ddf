// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/fit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/fit_private.h"

static const double least_m = 0.5, least_s = 0.05; /* shorter rows tell nothing of a speed */

/* ---- rows ---- */

pc_status pc_timed_machine(pc_timed *timed, const char *name, size_t *index) {
  for (size_t i = 0; i < timed->machine_count; i++)
    if (pc_name_is(&timed->machines[i], name)) {
      *index = i;
      return PC_OK;
    }
  void *items = timed->machines;
  if (pc_reserve(&items, &timed->machine_capacity, timed->machine_count + 1, sizeof *timed->machines) != 0)
    return PC_ERR_MEMORY;
  timed->machines = items;
  *index = timed->machine_count++;
  timed->machines[*index] = pc_name_of(name);
  return PC_OK;
}

pc_status pc_timed_add(pc_timed *timed, const pc_timed_row *row) {
  void *rows = timed->rows;
  if (pc_reserve(&rows, &timed->capacity, timed->count + 1, sizeof *timed->rows) != 0)
    return PC_ERR_MEMORY;
  timed->rows = rows;
  timed->rows[timed->count++] = *row;
  return PC_OK;
}

void pc_timed_free(pc_timed *timed) {
  free(timed->rows);
  free(timed->machines);
  *timed = (pc_timed){0};
}

/* ---- names ---- */

const char *pc_fit_key(pc_fit_what what) {
  static const char *const keys[] = {"speeds.push",    "speeds.carry", "speeds.return",
                                     "speeds.reverse", "acceleration", "times.lower",
                                     "times.raise",    "times.dump",   "times.turn"};
  return what >= 0 && what < PC_FIT_COUNT ? keys[what] : "unknown";
}

const char *pc_fit_word_name(pc_fit_word word) {
  static const char *const words[] = {"-", "good", "fair", "poor", "too few", "mixed", "by pace"};
  return word >= PC_FIT_NONE && word <= PC_FIT_BY_PACE ? words[word] : "unknown";
}

/* "mid loader 2" is a mid loader. */
static pc_name group_name(const pc_name *machine, pc_fit_by by) {
  pc_name name = *machine;
  size_t length = strlen(name.text), end = length;
  if (by == PC_FIT_BY_MACHINE)
    return name;
  while (end > 0 && name.text[end - 1] >= '0' && name.text[end - 1] <= '9')
    end--;
  if (end < length && end > 1 && name.text[end - 1] == ' ')
    name.text[end - 1] = '\0';
  return name;
}

/* ---- joining the legs of a way ---- */

static bool same_place(pc_point a, pc_point b) {
  return fabs(a.x_m - b.x_m) <= 1e-3 && fabs(a.y_m - b.y_m) <= 1e-3; /* NaN: never */
}

/* Takes into *row the legs that follow it on the same way: the same machine and phase, with nothing but turns
 * between, each beginning where the one before ended. The first return after a dump is the backing out. */
static void join_legs(const pc_timed *timed, size_t first, bool *used, pc_timed_row *row) {
  for (size_t i = first + 1; i < timed->count; i++) {
    const pc_timed_row *next = &timed->rows[i];
    if (next->machine != row->machine || next->phase == PC_PHASE_TURN)
      continue;
    if (next->phase != row->phase || next->direction != row->direction || !same_place(row->to, next->from))
      return;
    row->time_s += next->time_s;
    row->distance_m += next->distance_m;
    row->to = next->to;
    used[i] = true;
  }
}

/* ---- gathering ---- */

static bool in_group(const pc_timed *timed, const pc_timed_row *row, const pc_name *group, pc_fit_by by) {
  pc_name name = group_name(&timed->machines[row->machine], by);
  return strcmp(name.text, group->text) == 0;
}

static pc_pool pool_of(pc_phase phase) {
  switch (phase) {
  case PC_PHASE_FILL:
  case PC_PHASE_CLEAN_UP:
    return PC_POOL_PUSH;
  case PC_PHASE_CARRY:
    return PC_POOL_CARRY;
  case PC_PHASE_RETURN:
    return PC_POOL_RETURN;
  case PC_PHASE_LOWER:
    return PC_POOL_LOWER;
  case PC_PHASE_RAISE:
    return PC_POOL_RAISE;
  case PC_PHASE_DUMP:
    return PC_POOL_DUMP;
  case PC_PHASE_TURN:
    return PC_POOL_TURN;
  default:
    return PC_POOL_COUNT;
  }
}

static pc_status put(pc_samples *samples, const pc_timed_row *row) {
  void *items = samples->items;
  if (pc_reserve(&items, &samples->capacity, samples->count + 1, sizeof *samples->items) != 0)
    return PC_ERR_MEMORY;
  samples->items = items;
  samples->items[samples->count++] = (pc_sample){row->distance_m, row->time_s, row->load_kg, row->direction};
  return PC_OK;
}

/* All rows of one loader, by what they tell of. */
static pc_status gather(const pc_timed *timed, const pc_name *group, pc_fit_by by, bool *used,
                        pc_samples pools[PC_POOL_COUNT], pc_fit_loader *loader) {
  for (size_t i = 0; i < timed->count; i++)
    used[i] = false;
  for (size_t i = 0; i < timed->count; i++) {
    pc_timed_row row = timed->rows[i];
    if (used[i] || !in_group(timed, &row, group, by))
      continue;
    loader->rows++;
    pc_pool pool = pool_of(row.phase);
    if (pool == PC_POOL_COUNT)
      continue; /* waiting and standing */
    bool backs_out = false;
    for (size_t k = i; row.phase == PC_PHASE_RETURN && k-- > 0;) {
      const pc_timed_row *before = &timed->rows[k];
      if (before->machine != row.machine || before->phase == PC_PHASE_TURN || before->phase == PC_PHASE_RAISE)
        continue;
      backs_out = before->phase == PC_PHASE_DUMP;
      break;
    }
    if ((row.phase == PC_PHASE_CARRY || row.phase == PC_PHASE_RETURN) && !backs_out)
      join_legs(timed, i, used, &row);
    bool drives = pool <= PC_POOL_RETURN;
    if (row.time_s < least_s || (drives && !(row.distance_m >= least_m))) {
      loader->left_out++;
      continue;
    }
    if (put(&pools[pool], &row) != PC_OK)
      return PC_ERR_MEMORY;
  }
  return PC_OK;
}

/* ---- the whole ---- */

/* Of these two values, which vary alike. */
static double pooled(const pc_fit *fit, pc_fit_what what, pc_fit_what other) {
  double squares = 0.0, rows = 0.0;
  for (size_t i = 0; i < fit->loader_count; i++)
    for (int k = 0; k < (other == what ? 1 : 2); k++) {
      const pc_fit_value *value = &fit->loaders[i].values[k == 0 ? what : other];
      if (isnan(value->spread))
        continue;
      squares += (double)value->rows * value->spread * value->spread;
      rows += (double)value->rows;
    }
  return rows > 0.0 ? sqrt(squares / rows) : NAN;
}

/* What stopped one loader stops nothing while another can be fitted. */
static void tell(pc_faults *faults, const pc_faults *found, bool all) {
  for (size_t i = 0; i < found->count; i++) {
    pc_error error = found->items[i];
    error.caution = error.caution || !all;
    pc_faults_push(faults, &error);
  }
  faults->dropped += found->dropped;
}

static pc_status fit_group(const pc_timed *timed, const pc_name *group, pc_fit_by by, bool *used, pc_fit *fit,
                           pc_faults *found) {
  pc_samples pools[PC_POOL_COUNT] = {{0}};
  pc_fit_loader loader = {.name = *group};
  pc_status status = gather(timed, group, by, used, pools, &loader);
  if (status == PC_OK)
    status = pc_fit_loader_make(pools, &loader, found);
  if (status == PC_OK)
    fit->loaders[fit->loader_count++] = loader;
  for (int p = 0; p < PC_POOL_COUNT; p++)
    free(pools[p].items);
  return status;
}

static bool is_first_of_group(const pc_timed *timed, size_t machine, pc_fit_by by) {
  pc_name name = group_name(&timed->machines[machine], by);
  for (size_t i = 0; i < machine; i++) {
    pc_name other = group_name(&timed->machines[i], by);
    if (strcmp(other.text, name.text) == 0)
      return false;
  }
  return true;
}

pc_status pc_fit_make(const pc_timed *timed, pc_fit_by by, pc_fit *fit, pc_faults *faults) {
  *fit = (pc_fit){0};
  if (timed->count == 0)
    return pc_faults_add(faults, PC_ERR_MISSING, NULL, NULL, "there are no timed rows");
  pc_faults found = pc_faults_like(faults);
  pc_status status = PC_OK;
  bool *used = pc_alloc(timed->count, sizeof *used);
  fit->loaders = pc_alloc(timed->machine_count, sizeof *fit->loaders);
  if (!used || !fit->loaders)
    status = PC_ERR_MEMORY;
  for (size_t m = 0; m < timed->machine_count && status != PC_ERR_MEMORY; m++) {
    pc_name name = group_name(&timed->machines[m], by);
    if (is_first_of_group(timed, m, by))
      status = fit_group(timed, &name, by, used, fit, &found);
  }
  if (status != PC_ERR_MEMORY) {
    tell(faults, &found, fit->loader_count == 0);
    status = fit->loader_count > 0 ? PC_OK : pc_faults_status(&found);
  } else {
    (void)pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  }
  free(used);
  pc_faults_free(&found);
  if (status != PC_OK) {
    pc_fit_free(fit);
    return status;
  }
  fit->fill_spread = pooled(fit, PC_FIT_PUSH, PC_FIT_PUSH);
  fit->carry_spread = pooled(fit, PC_FIT_CARRY, PC_FIT_CARRY);
  fit->return_spread = pooled(fit, PC_FIT_RETURN, PC_FIT_REVERSE);
  fit->dump_spread = pooled(fit, PC_FIT_DUMP, PC_FIT_DUMP);
  return PC_OK;
}

void pc_fit_free(pc_fit *fit) {
  free(fit->loaders);
  *fit = (pc_fit){0};
}
