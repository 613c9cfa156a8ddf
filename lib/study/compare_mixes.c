// SPDX-License-Identifier: GPL-3.0-or-later
/* Every way to put some boxes on the machines of the crew, or on so many machines. Machines of one entry of
 * the crew are alike: which of them has which box makes no difference, so their boxes rise in the order of
 * the list. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/crew.h"
#include "study/compare_private.h"

enum { VISITS_MAX = 1000000 };

enum { FIRST_OF_ITS_KIND = PC_CREW_MAX };

typedef struct mixing {
  const pc_scenario *scenario;
  const pc_compare_plan *plan;
  bool any; /* the list stands for all boxes */
  size_t boxes[PC_PARTS_MAX],
      box_count;          /* those to mix, and then, for machines that take no other, the rest */
  size_t listed_boxes;    /* how many are to be mixed */
  int left[PC_PARTS_MAX]; /* how many there are of each, without those on machines that stay */
  bool *may;     /* which of the boxes a machine may have; for each loader to compare, machine by machine */
  size_t loader; /* which of those is mixed for */
  int wanted;    /* number of machines asked for; 0: as the crew has them */
  size_t machines;
  size_t before[PC_CREW_MAX]; /* the machine of the same entry of the crew before it */
  pc_mix own;                 /* the crew as it is */
  bool own_listed;            /* compared anyway; so are these */
  pc_mix *listed;
  size_t listed_count;
  size_t chosen[PC_CREW_MAX];
  pc_name *texts;     /* NULL: only count */
  pc_equipped *crews; /* to each of those */
  size_t count, visits;
  pc_status status;
} mixing;

/* Row of a machine: a flag for each of the boxes. */
static bool *may_have(const mixing *m, size_t loader, size_t machine) {
  return m->may + (loader * PC_CREW_MAX + machine) * m->box_count;
}

static const pc_loader *loader_of(const mixing *m, size_t loader, const pc_crew_entry *entry) {
  const char *name = m->plan->loaders.items[loader] ? m->plan->loaders.items[loader] : entry->loader.text;
  const pc_loader *its = pc_scenario_loader(m->scenario, name);
  return its ? its : &m->scenario->loaders[0]; /* a fault is told where its lot is made */
}

/* Boxes of the list that the machine's loader takes, and where the list is all boxes, the blades that are
 * named for it. If there is none, the machine keeps its own. */
static void find_allowed(mixing *m, size_t loader, size_t machine, size_t entry) {
  const pc_box *boxes = m->scenario->boxes;
  const pc_loader *its = loader_of(m, loader, &m->scenario->crew[entry]);
  bool *may = may_have(m, loader, machine), some = false;
  for (size_t k = 0; k < m->box_count; k++) {
    const pc_box *box = &boxes[m->boxes[k]];
    bool named = m->any && box->blade != PC_BLADE_NONE && its->boxes.count > 0;
    may[k] = (k < m->listed_boxes || named) && pc_loader_takes(its, box->name.text);
    some |= may[k];
  }
  for (size_t k = 0; k < m->box_count && !some; k++)
    may[k] = m->boxes[k] == m->own.boxes[machine] && pc_loader_takes(its, boxes[m->boxes[k]].name.text);
}

/* The machines of so many, and what each may have. */
static void find_machines(mixing *m, int wanted) {
  const pc_scenario *s = m->scenario;
  size_t entries[PC_CREW_MAX], last[PC_PARTS_MAX];
  for (size_t e = 0; e < s->crew_count; e++)
    last[e] = FIRST_OF_ITS_KIND;
  m->wanted = wanted;
  m->own = pc_mix_own(s, wanted);
  m->machines = pc_crew_write_out(s, wanted, entries);
  for (size_t i = 0; i < m->machines; i++) {
    m->before[i] = last[entries[i]];
    last[entries[i]] = i;
    for (size_t l = 0; l < m->plan->loaders.count; l++)
      find_allowed(m, l, i, entries[i]);
  }
}

/* Machines that stay as they are have their boxes. */
static void take_kept(mixing *m) {
  const pc_scenario *s = m->scenario;
  for (size_t e = 0; e < s->crew_count; e++)
    for (size_t k = 0; k < m->box_count && s->crew[e].keep; k++)
      m->left[k] -= pc_name_is(&s->boxes[m->boxes[k]].name, s->crew[e].box.text) ? s->crew[e].count : 0;
}

/* The boxes that were chosen can be had with a loader that was mixed for before, too. */
static bool is_taken_before(const mixing *m) {
  for (size_t l = 0; l < m->loader; l++) {
    size_t i = 0;
    while (i < m->machines && may_have(m, l, i)[m->chosen[i]])
      i++;
    if (i == m->machines)
      return true;
  }
  return false;
}

/* What is not listed already: among those are one box on all of them, and the crew as it is. */
static void take(mixing *m) {
  pc_mix mix = {.count = m->machines};
  if (is_taken_before(m))
    return;
  for (size_t i = 0; i < m->machines; i++)
    mix.boxes[i] = m->boxes[m->chosen[i]];
  if (m->own_listed && pc_mix_is_same(&mix, &m->own, m->machines))
    return;
  for (size_t k = 0; k < m->listed_count; k++)
    if (pc_mix_is_same(&mix, &m->listed[k], m->machines))
      return;
  if (m->texts) {
    m->status = pc_mix_write(m->scenario, &mix, &m->texts[m->count]);
    m->crews[m->count] = (pc_equipped){m->texts[m->count].text, m->wanted};
  }
  m->count++;
}

static void choose(mixing *m, size_t machine) {
  if (machine == m->machines) {
    take(m);
    return;
  }
  size_t before = m->before[machine];
  for (size_t k = before == FIRST_OF_ITS_KIND ? 0 : m->chosen[before]; k < m->box_count; k++) {
    if (!may_have(m, m->loader, machine)[k] || m->left[k] <= 0 || m->status != PC_OK)
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

static bool is_found(const mixing *m, size_t box) {
  for (size_t k = 0; k < m->box_count; k++)
    if (m->boxes[k] == box)
      return true;
  return false;
}

static void add_box(mixing *m, size_t box) {
  if (is_found(m, box) || m->box_count == PC_PARTS_MAX)
    return;
  m->left[m->box_count] = m->scenario->boxes[box].count;
  m->boxes[m->box_count++] = box;
}

/* What is listed, and the boxes to mix: those that stand there by themselves. */
static void find_boxes(mixing *m, const pc_choices *list) {
  for (size_t i = 0; i < list->count; i++) {
    pc_mix *mix = &m->listed[m->listed_count];
    m->own_listed |= !list->items[i];
    if (!list->items[i] || pc_mix_read(m->scenario, list->items[i], mix, NULL) != PC_OK)
      continue; /* a fault is told where its lot is made */
    m->listed_count++;
    if (mix->count == 1)
      add_box(m, mix->boxes[0]);
  }
  m->listed_boxes = m->box_count;
  for (size_t box = 0; box < m->scenario->box_count; box++)
    add_box(m, box);
}

/* There are boxes for all machines, whoever has which. */
static bool has_enough(const mixing *m) {
  size_t sum = 0;
  for (size_t k = 0; k < m->box_count; k++) {
    size_t i = 0;
    while (i < m->machines && !may_have(m, m->loader, i)[k])
      i++;
    sum += i < m->machines && m->left[k] > 0 ? (size_t)m->left[k] : 0;
  }
  return m->machines > 0 && sum >= m->machines;
}

/* Its machines may have the same boxes as those of one that was mixed for before. */
static bool is_like_before(const mixing *m) {
  for (size_t l = 0; l < m->loader; l++)
    if (memcmp(may_have(m, l, 0), may_have(m, m->loader, 0), m->machines * m->box_count * sizeof *m->may) ==
        0)
      return true;
  return false;
}

static pc_status too_many(const mixing *m, pc_faults *faults) {
  char most[48] = "can be listed";
  if (m->count > PC_COMPARE_MAX)
    snprintf(most, sizeof most, "the %d that are compared", (int)PC_COMPARE_MAX);
  return pc_faults_add(faults, PC_ERR_LIMIT, "compare.mixed", NULL,
                       "%zu boxes can be put on %zu machines in more ways than %s; name fewer boxes",
                       m->listed_boxes, m->machines, most);
}

static pc_status no_text(const mixing *m, pc_faults *faults) {
  const char *text = m->texts[m->count - 1].text;
  if (m->status == PC_ERR_NAME)
    return pc_faults_add(
        faults, PC_ERR_NAME, "compare.mixed", NULL,
        "a box is called like a mix of others, so that \"%s\" could be either; give it another "
        "name, without + and x",
        text);
  return pc_faults_add(
      faults, PC_ERR_LIMIT, "compare.mixed", NULL,
      "a mix like \"%s\" is longer than the %d characters that a name may have; give the boxes "
      "shorter names",
      text, (int)PC_NAME_ROOM - 1);
}

/* For each number of machines: counts the mixes, or, once there is room for them, writes them down. */
static void mix_all(mixing *m) {
  m->count = m->visits = 0;
  for (size_t n = 0; n < m->plan->machine_count; n++) {
    find_machines(m, m->plan->machines[n]);
    for (m->loader = 0; m->loader < m->plan->loaders.count && m->status == PC_OK; m->loader++)
      if (!is_like_before(m) && has_enough(m))
        choose(m, 0);
  }
}

static void tell_nothing_to_mix(const mixing *m, pc_faults *faults) {
  const char *several = m->plan->machine_count > 1 ? "up to " : "";
  pc_faults_caution(
      faults, "compare.mixed",
      "has no effect: %zu box%s on %s%zu machine%s whose box may change can't be mixed in another way "
      "than those listed",
      m->listed_boxes, m->listed_boxes == 1 ? "" : "es", several, m->machines, m->machines == 1 ? "" : "s");
}

static pc_status add_mixes(mixing *m, pc_compare_plan *plan, pc_faults *faults) {
  mix_all(m);
  if (m->status != PC_OK)
    return too_many(m, faults);
  if (m->count == 0) {
    tell_nothing_to_mix(m, faults);
    return PC_OK;
  }
  pc_equipped *crews = pc_alloc(plan->crew_count + m->count, sizeof *crews);
  plan->mixes = m->texts = pc_alloc(m->count, sizeof *m->texts);
  if (!crews || !m->texts) {
    free(crews);
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  }
  memcpy(crews, plan->crews, plan->crew_count * sizeof *crews);
  m->crews = crews + plan->crew_count;
  mix_all(m);
  free(plan->crews);
  plan->crews = crews;
  plan->crew_count += m->count;
  return m->status == PC_OK ? PC_OK : no_text(m, faults);
}

pc_status pc_compare_add_mixes(const pc_scenario *scenario, bool any, pc_compare_plan *plan,
                               pc_faults *faults) {
  mixing *m = pc_alloc(1, sizeof *m);
  if (!m)
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  m->scenario = scenario;
  m->plan = plan;
  m->any = any;
  m->listed = pc_alloc(plan->boxes.count, sizeof *m->listed);
  m->may = pc_alloc_grid(plan->loaders.count * PC_CREW_MAX, scenario->box_count, sizeof *m->may);
  pc_status status = PC_OK;
  if (m->listed && m->may) {
    find_boxes(m, &plan->boxes);
    take_kept(m);
    status = add_mixes(m, plan, faults);
  } else {
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  }
  free(m->listed);
  free(m->may);
  free(m);
  return status;
}

/* What a choice puts on so many machines; NULL: their own boxes. False: nobody knows. */
static bool read_mix(const pc_scenario *scenario, const char *box, int machines, pc_mix *mix) {
  if (box)
    return pc_mix_read(scenario, box, mix, NULL) == PC_OK;
  *mix = scenario->crew_count > 0 ? pc_mix_own(scenario, machines) : (pc_mix){.count = 1};
  return mix->count > 0 && (scenario->crew_count > 0 || scenario->box_count == 1);
}

/* Both give every machine the same box, whatever the number of machines. */
static bool is_same(const pc_scenario *scenario, const pc_compare_plan *plan, const char *a, const char *b) {
  for (size_t n = 0; n < plan->machine_count; n++) {
    size_t entries[PC_CREW_MAX], count = pc_crew_write_out(scenario, plan->machines[n], entries);
    pc_mix x, y;
    if (!read_mix(scenario, a, plan->machines[n], &x) || !read_mix(scenario, b, plan->machines[n], &y))
      return false;
    if (!pc_mix_is_same(&x, &y, count > 0 ? count : a && b ? (size_t)PC_CREW_MAX : 1))
      return false;
  }
  return true;
}

void pc_compare_drop_repeats(const pc_scenario *scenario, bool any, pc_compare_plan *plan,
                             pc_faults *faults) {
  pc_choices *boxes = &plan->boxes;
  size_t kept = 0;
  for (size_t i = 0; i < boxes->count; i++) {
    bool known = false;
    for (size_t k = 0; k < kept && !known; k++)
      known = is_same(scenario, plan, boxes->items[i], boxes->items[k]);
    if (known && (boxes->items[i] || !any))
      pc_compare_tell_repeat("compare.boxes", boxes->items[i], faults);
    if (!known)
      boxes->items[kept++] = boxes->items[i];
  }
  boxes->count = kept;
}
