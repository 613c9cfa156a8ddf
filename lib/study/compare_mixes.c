// SPDX-License-Identifier: GPL-3.0-or-later
/* Every way to put some boxes on the machines of the crew. Machines of one entry of the crew are alike: which
 * of them has which box makes no difference, so their boxes rise in the order of the list. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/mix.h"
#include "study/compare_private.h"

enum { VISITS_MAX = 1000000 };

typedef struct mixing {
  const pc_scenario *scenario;
  size_t boxes[PC_PARTS_MAX], box_count; /* those to mix */
  int left[PC_PARTS_MAX];                /* how many there are of each, without those on machines that stay */
  size_t machines;
  bool alike[PC_CREW_MAX]; /* the same entry of the crew as the machine before */
  pc_mix own;
  bool own_known; /* the crew as it is, is listed */
  size_t chosen[PC_CREW_MAX];
  pc_name *texts; /* NULL: only count */
  size_t count, visits;
  pc_status status;
} mixing;

static void find_machines(mixing *m) {
  const pc_scenario *s = m->scenario;
  for (size_t e = 0; e < s->crew_count; e++) {
    const pc_crew_entry *entry = &s->crew[e];
    size_t box = 0;
    while (box + 1 < s->box_count && !pc_name_is(&s->boxes[box].name, entry->box.text))
      box++;
    for (size_t k = 0; k < m->box_count && entry->keep; k++)
      m->left[k] -= m->boxes[k] == box ? entry->count : 0;
    for (int i = 0; i < entry->count && !entry->keep && m->machines < PC_CREW_MAX; i++) {
      m->own.boxes[m->machines] = box;
      m->alike[m->machines++] = i > 0;
    }
  }
  m->own.count = m->machines;
}

/* What is not listed already: neither one box on all of them, nor the crew as it is. */
static void take(mixing *m) {
  pc_mix mix = {.count = m->machines};
  bool uniform = true, own = m->own_known;
  for (size_t i = 0; i < m->machines; i++) {
    mix.boxes[i] = m->boxes[m->chosen[i]];
    uniform &= mix.boxes[i] == mix.boxes[0];
    own &= mix.boxes[i] == m->own.boxes[i];
  }
  if (uniform || own)
    return;
  if (m->texts)
    m->status = pc_mix_write(m->scenario, &mix, &m->texts[m->count]);
  m->count++;
}

static void choose(mixing *m, size_t machine) {
  if (machine == m->machines) {
    take(m);
    return;
  }
  for (size_t k = m->alike[machine] ? m->chosen[machine - 1] : 0; k < m->box_count; k++) {
    if (m->left[k] <= 0 || m->status != PC_OK)
      continue;
    if (++m->visits > VISITS_MAX || m->count > PC_COMPARE_MAX) {
      m->status = PC_ERR_LIMIT;
      return;
    }
    m->left[k]--;
    m->chosen[machine] = k;
    choose(m, machine + 1);
    m->left[k]++;
  }
}

static void find_boxes(mixing *m, const pc_choices *list) {
  for (size_t i = 0; i < list->count; i++) {
    pc_mix one;
    if (!list->items[i])
      m->own_known = true;
    else if (pc_mix_read(m->scenario, list->items[i], &one, NULL) == PC_OK && one.count == 1 &&
             m->box_count < PC_PARTS_MAX) {
      m->left[m->box_count] = m->scenario->boxes[one.boxes[0]].count;
      m->boxes[m->box_count++] = one.boxes[0];
    }
  }
}

static pc_status too_many(const mixing *m, pc_faults *faults) {
  return pc_faults_add(
      faults, PC_ERR_LIMIT, "compare.mixed", NULL,
      "%zu boxes can be put on %zu machines in more ways than the %d that are compared; name "
      "fewer boxes",
      m->box_count, m->machines, (int)PC_COMPARE_MAX);
}

static pc_status add_mixes(mixing *m, pc_compare_plan *plan, pc_faults *faults) {
  pc_choices *list = &plan->boxes;
  choose(m, 0);
  if (m->status != PC_OK)
    return too_many(m, faults);
  if (m->count == 0) {
    pc_faults_caution(faults, "compare.mixed",
                      "has no effect: %zu box%s on %zu machine%s whose box may change can't be mixed in "
                      "another way than those listed",
                      m->box_count, m->box_count == 1 ? "" : "es", m->machines, m->machines == 1 ? "" : "s");
    return PC_OK;
  }
  const char **items = pc_alloc(list->count + m->count, sizeof *items);
  plan->mixes = m->texts = pc_alloc(m->count, sizeof *m->texts);
  if (!items || !m->texts) {
    free(items);
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  }
  m->count = m->visits = 0;
  choose(m, 0);
  memcpy(items, list->items, list->count * sizeof *items);
  for (size_t i = 0; i < m->count; i++)
    items[list->count + i] = m->texts[i].text;
  free(list->items);
  *list = (pc_choices){items, list->count + m->count};
  return m->status == PC_OK
             ? PC_OK
             : pc_faults_add(faults, PC_ERR_LIMIT, "compare.mixed", NULL,
                             "a mix like \"%s\" is longer than the %d characters that a name may have; "
                             "give the boxes shorter names",
                             m->texts[m->count - 1].text, (int)PC_NAME_MAX - 1);
}

pc_status pc_compare_add_mixes(const pc_scenario *scenario, pc_compare_plan *plan, pc_faults *faults) {
  mixing *m = pc_alloc(1, sizeof *m);
  if (!m)
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  m->scenario = scenario;
  find_boxes(m, &plan->boxes);
  find_machines(m);
  pc_status status = add_mixes(m, plan, faults);
  free(m);
  return status;
}
