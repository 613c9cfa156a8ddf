// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/fit.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "study/fit_private.h"

static const double least_m = 0.5, least_s = 0.05; /* shorter rows tell nothing of a speed */

/* ---- rows ---- */

/* Where in the table of slots a name stands, or would: FNV-1a, and on from there. */
static size_t slot_of(const pc_timed *timed, const char *name) {
  uint64_t hash = UINT64_C(14695981039346656037);
  for (const char *c = name; *c; c++)
    hash = (hash ^ (unsigned char)*c) * UINT64_C(1099511628211);
  size_t slot = (size_t)(hash % timed->slot_count);
  while (timed->slots[slot] != 0 && !pc_name_is(&timed->machines[timed->slots[slot] - 1], name))
    slot = slot + 1 < timed->slot_count ? slot + 1 : 0;
  return slot;
}

/* At least half of the slots stay empty. */
static bool grow_slots(pc_timed *timed) {
  if (2 * (timed->machine_count + 1) <= timed->slot_count)
    return true;
  size_t count = 4 * (timed->machine_count + 8);
  size_t *slots = pc_alloc(count, sizeof *slots);
  if (!slots)
    return false;
  free(timed->slots);
  timed->slots = slots;
  timed->slot_count = count;
  for (size_t i = 0; i < timed->machine_count; i++)
    slots[slot_of(timed, timed->machines[i].text)] = i + 1;
  return true;
}

pc_status pc_timed_machine(pc_timed *timed, const char *name, size_t *index) {
  pc_name own = pc_name_of(name);
  if (!grow_slots(timed))
    return PC_ERR_MEMORY;
  size_t slot = slot_of(timed, own.text);
  if (timed->slots[slot] != 0) {
    *index = timed->slots[slot] - 1;
    return PC_OK;
  }
  void *items = timed->machines;
  if (pc_reserve(&items, &timed->machine_capacity, timed->machine_count + 1, sizeof *timed->machines) != 0)
    return PC_ERR_MEMORY;
  timed->machines = items;
  *index = timed->machine_count++;
  timed->machines[*index] = own;
  timed->slots[slot] = timed->machine_count;
  return PC_OK;
}

pc_status pc_timed_add(pc_timed *timed, const pc_timed_row *row) {
  void *rows = timed->rows;
  if (row->machine >= timed->machine_count || (unsigned)row->phase >= PC_PHASE_COUNT)
    return PC_ERR_RANGE;
  if (pc_reserve(&rows, &timed->capacity, timed->count + 1, sizeof *timed->rows) != 0)
    return PC_ERR_MEMORY;
  timed->rows = rows;
  timed->rows[timed->count++] = *row;
  return PC_OK;
}

void pc_timed_free(pc_timed *timed) {
  if (!timed)
    return;
  free(timed->rows);
  free(timed->machines);
  free(timed->slots);
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

/* ---- in order ---- */

#define NONE SIZE_MAX

/* Rows by loader, each in the order of the rows, and the row of the same machine before and after each. */
typedef struct sorted {
  const pc_timed *timed;
  size_t *group; /* of each machine */
  size_t *head;  /* of each group: its first machine */
  size_t *first; /* of each group, and one more: in rows[] */
  size_t *rows, *before, *after;
  bool *used;
  size_t group_count;
} sorted;

typedef struct named {
  pc_name name;
  size_t machine;
} named;

static int by_name(const void *a, const void *b) {
  const named *x = a, *y = b;
  int order = strcmp(x->name.text, y->name.text);
  return order != 0 ? order : x->machine < y->machine ? -1 : x->machine > y->machine;
}

/* Machines of one name are a group; groups are in the order of their first machines. */
static bool find_groups(sorted *s, pc_fit_by by) {
  size_t count = s->timed->machine_count;
  named *names = pc_alloc(count, sizeof *names);
  if (!names)
    return false;
  for (size_t m = 0; m < count; m++)
    names[m] = (named){group_name(&s->timed->machines[m], by), m};
  if (count > 0)
    qsort(names, count, sizeof *names, by_name);
  for (size_t i = 0, head = 0; i < count; i++) {
    if (i == 0 || strcmp(names[i].name.text, names[i - 1].name.text) != 0)
      head = names[i].machine;
    s->group[names[i].machine] = head; /* for now */
  }
  for (size_t m = 0; m < count; m++) {
    bool is_head = s->group[m] == m;
    s->group[m] = is_head ? s->group_count : s->group[s->group[m]];
    if (is_head)
      s->head[s->group_count++] = m;
  }
  free(names);
  return true;
}

static void sort_rows(sorted *s, size_t *latest) {
  const pc_timed *timed = s->timed;
  for (size_t m = 0; m < timed->machine_count; m++)
    latest[m] = NONE;
  for (size_t i = 0; i < timed->count; i++) {
    size_t m = timed->rows[i].machine;
    s->before[i] = latest[m];
    s->after[i] = NONE;
    if (latest[m] != NONE)
      s->after[latest[m]] = i;
    latest[m] = i;
    s->first[s->group[m] + 1]++;
  }
  for (size_t g = 0; g < s->group_count; g++)
    s->first[g + 1] += s->first[g];
  size_t *next = latest; /* a group has a machine at least */
  for (size_t g = 0; g < s->group_count; g++)
    next[g] = s->first[g];
  for (size_t i = 0; i < timed->count; i++)
    s->rows[next[s->group[timed->rows[i].machine]]++] = i;
}

static void sorted_free(sorted *s) {
  free(s->group);
  free(s->head);
  free(s->first);
  free(s->rows);
  free(s->before);
  free(s->after);
  free(s->used);
}

/* False if memory is short. */
static bool sorted_make(const pc_timed *timed, pc_fit_by by, sorted *s) {
  size_t rows = timed->count, machines = timed->machine_count;
  *s = (sorted){.timed = timed,
                .group = pc_alloc(machines, sizeof *s->group),
                .head = pc_alloc(machines, sizeof *s->head),
                .first = pc_alloc(machines + 1, sizeof *s->first),
                .rows = pc_alloc(rows, sizeof *s->rows),
                .before = pc_alloc(rows, sizeof *s->before),
                .after = pc_alloc(rows, sizeof *s->after),
                .used = pc_alloc(rows, sizeof *s->used)};
  size_t *latest = pc_alloc(machines, sizeof *latest);
  bool good = s->group && s->head && s->first && s->rows && s->before && s->after && s->used && latest &&
              find_groups(s, by);
  if (good)
    sort_rows(s, latest);
  free(latest);
  return good;
}

/* ---- joining the legs of a way ---- */

static bool same_place(pc_point a, pc_point b) {
  return fabs(a.x_m - b.x_m) <= 1e-3 && fabs(a.y_m - b.y_m) <= 1e-3; /* NaN: never */
}

/* Takes into *row the legs that follow it on the same way: the same machine and phase, with nothing but turns
 * between, each beginning where the one before ended. The first return after a dump is the backing out. */
static void join_legs(sorted *s, size_t first, pc_timed_row *row) {
  for (size_t i = s->after[first]; i != NONE; i = s->after[i]) {
    const pc_timed_row *next = &s->timed->rows[i];
    if (next->phase == PC_PHASE_TURN)
      continue;
    if (next->phase != row->phase || next->direction != row->direction || !same_place(row->to, next->from))
      return;
    row->time_s += next->time_s;
    row->distance_m += next->distance_m;
    row->to = next->to;
    s->used[i] = true;
  }
}

/* ---- gathering ---- */

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

/* The first return after a dump, with nothing but a turn or the raising between. */
static bool is_backing_out(const sorted *s, size_t row) {
  for (size_t k = s->before[row]; k != NONE; k = s->before[k]) {
    pc_phase before = s->timed->rows[k].phase;
    if (before != PC_PHASE_TURN && before != PC_PHASE_RAISE)
      return before == PC_PHASE_DUMP;
  }
  return false;
}

/* All rows of one loader, by what they tell of. */
static pc_status gather(sorted *s, size_t group, pc_samples pools[PC_POOL_COUNT], pc_fit_loader *loader) {
  for (size_t k = s->first[group]; k < s->first[group + 1]; k++) {
    size_t i = s->rows[k];
    pc_timed_row row = s->timed->rows[i];
    if (s->used[i])
      continue;
    loader->rows++;
    pc_pool pool = pool_of(row.phase);
    if (pool == PC_POOL_COUNT)
      continue; /* waiting and standing */
    if (row.phase == PC_PHASE_CARRY || (row.phase == PC_PHASE_RETURN && !is_backing_out(s, i)))
      join_legs(s, i, &row);
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

static pc_status fit_group(sorted *s, size_t group, pc_fit_by by, pc_fit *fit, pc_faults *found) {
  pc_samples pools[PC_POOL_COUNT] = {{0}};
  pc_fit_loader loader = {.name = group_name(&s->timed->machines[s->head[group]], by)};
  pc_faults own = pc_faults_like(found); /* counting those of all loaders before would take ever longer */
  pc_status status = gather(s, group, pools, &loader);
  if (status == PC_OK)
    status = pc_fit_loader_make(pools, &loader, &own);
  pc_faults_move(found, &own);
  if (status == PC_OK)
    fit->loaders[fit->loader_count++] = loader;
  for (int p = 0; p < PC_POOL_COUNT; p++)
    free(pools[p].items);
  return status;
}

pc_status pc_fit_make(const pc_timed *timed, pc_fit_by by, pc_fit *fit, pc_faults *faults) {
  *fit = (pc_fit){0};
  if (timed->count == 0)
    return pc_faults_add(faults, PC_ERR_MISSING, NULL, NULL, "there are no timed rows");
  pc_faults found = pc_faults_like(faults);
  pc_status status = PC_OK;
  sorted s;
  bool good = sorted_make(timed, by, &s);
  fit->loaders = pc_alloc(timed->machine_count, sizeof *fit->loaders);
  if (!good || !fit->loaders)
    status = PC_ERR_MEMORY;
  for (size_t g = 0; g < s.group_count && status != PC_ERR_MEMORY; g++)
    status = fit_group(&s, g, by, fit, &found);
  if (status != PC_ERR_MEMORY) {
    tell(faults, &found, fit->loader_count == 0);
    status = fit->loader_count > 0 ? PC_OK : pc_faults_status(&found);
  } else {
    (void)pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  }
  sorted_free(&s);
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
  if (!fit)
    return;
  free(fit->loaders);
  *fit = (pc_fit){0};
}
