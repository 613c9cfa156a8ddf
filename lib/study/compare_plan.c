// SPDX-License-Identifier: GPL-3.0-or-later
/* What a comparison goes through: the combinations, in order. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/units.h"
#include "sim/crew.h"
#include "sim/policy.h"
#include "study/compare_private.h"

/* `known` are structs that begin with their pc_name. */
static pc_status list_choices(const pc_names *wanted, const void *known, size_t stride, size_t known_count,
                              pc_choices *list) {
  bool all = pc_names_are_all(wanted) && known_count > 0;
  list->count = all ? known_count : wanted->count;
  list->items = pc_alloc(list->count + 1, sizeof *list->items);
  if (!list->items)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < list->count; i++)
    list->items[i] = all ? ((const pc_name *)(const void *)((const char *)known + i * stride))->text
                         : wanted->items[i].text;
  if (list->count == 0)
    list->count = 1; /* the NULL that pc_alloc left there */
  if (list->count == 1 && list->items[0] && strcmp(list->items[0], "all") == 0)
    list->items[0] = NULL;
  for (size_t i = 0; i < list->count; i++)
    if (list->items[i] && strcmp(list->items[i], PC_OWN) == 0 &&
        pc_name_find(known, known_count, stride, PC_OWN) == known_count)
      list->items[i] = NULL;
  return PC_OK;
}

/* "all" boxes are those that carry snow: a blade in their place would clear nothing. */
static void leave_out_blades(const pc_scenario *scenario, const pc_names *wanted, pc_choices *list) {
  size_t kept = 0;
  for (size_t i = 0; pc_names_are_all(wanted) && i < list->count && list->count == scenario->box_count; i++)
    if (scenario->boxes[i].blade == PC_BLADE_NONE)
      list->items[kept++] = list->items[i];
  if (kept > 0)
    list->count = kept;
}

/* "all" is also the crew as it is, where its machines have different boxes or loaders. */
static void add_own(const pc_scenario *scenario, const pc_names *wanted, size_t member, pc_choices *list) {
  if (pc_names_are_all(wanted) && pc_crew_differs(scenario, member))
    list->items[list->count++] = NULL; /* there is room for one more */
}

static pc_status list_policies(const pc_names *wanted, pc_choices *list) {
  pc_name names[16];
  size_t count = 0;
  while (count < 16 && pc_policy_at(count)) {
    names[count] = pc_name_of(pc_policy_at(count)->name);
    count++;
  }
  pc_status status = list_choices(wanted, names, sizeof *names, count, list);
  for (size_t i = 0; status == PC_OK && i < list->count; i++)
    if (list->items[i] && pc_names_are_all(wanted))
      list->items[i] = pc_policy_at(i)->name; /* names[] does not outlive this function */
  return status;
}

static void tell_twice(pc_faults *faults, const char *key, double value, pc_dimension dimension) {
  char text[40];
  pc_units_print(text, sizeof text, value, dimension, faults->units, 3);
  pc_faults_caution(faults, key, "%s stands there more than once; it is compared once", text);
}

/* Depths and numbers of machines, each once; those given twice are told of. */
static pc_status list_numbers(const pc_wanted *wanted, pc_compare_plan *plan, pc_faults *faults) {
  size_t longest = wanted->depths.count > wanted->crews.count ? wanted->depths.count : wanted->crews.count;
  if (longest > PC_COMPARE_MAX) /* of a program: each is held against all before it */
    return pc_faults_add(faults, PC_ERR_LIMIT, "compare", NULL,
                         "lists %zu depths or crews; at most %d are compared", longest, (int)PC_COMPARE_MAX);
  plan->depths_m = pc_alloc(wanted->depths.count + 1, sizeof *plan->depths_m);
  plan->machines = pc_alloc(wanted->crews.count + 1, sizeof *plan->machines);
  if (!plan->depths_m || !plan->machines)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < wanted->depths.count; i++) {
    size_t k = 0;
    while (k < plan->depth_count && plan->depths_m[k] != wanted->depths.items_m[i])
      k++;
    if (k == plan->depth_count)
      plan->depths_m[plan->depth_count++] = wanted->depths.items_m[i];
    else
      tell_twice(faults, "compare.depths", wanted->depths.items_m[i], PC_DIM_LENGTH);
  }
  for (size_t i = 0; i < wanted->crews.count; i++) {
    int machines = wanted->crews.items[i];
    if (machines < 1 || machines > PC_CREW_MAX)
      return pc_faults_add(faults, PC_ERR_RANGE, "compare.crews", NULL,
                           "%d is outside what is allowed: 1 … %d", machines, (int)PC_CREW_MAX);
    size_t k = 0;
    while (k < plan->machine_count && plan->machines[k] != wanted->crews.items[i])
      k++;
    if (k == plan->machine_count)
      plan->machines[plan->machine_count++] = wanted->crews.items[i];
    else
      tell_twice(faults, "compare.crews", wanted->crews.items[i], PC_DIM_NUMBER);
  }
  if (plan->depth_count == 0)
    plan->depths_m[plan->depth_count++] = NAN;
  if (plan->machine_count == 0)
    plan->machine_count = 1; /* the 0 that pc_alloc left there */
  return PC_OK;
}

void pc_compare_tell_repeat(const char *key, const char *choice, pc_faults *faults) {
  pc_faults_caution(faults, key, "\"%s\" stands there already, in other words; it is compared once",
                    choice ? choice : PC_OWN);
}

/* That of all machines that may change; NULL: they differ. */
static const char *only_loader(const pc_scenario *scenario) {
  const char *name =
      scenario->crew_count == 0 && scenario->loader_count == 1 ? scenario->loaders[0].name.text : NULL;
  for (size_t e = 0; e < scenario->crew_count; e++)
    if (!scenario->crew[e].keep)
      name = scenario->crew[e].loader.text;
  return pc_crew_differs(scenario, offsetof(pc_crew_entry, loader)) ? NULL : name;
}

/* What the scenario has may stand in the list by its name, too: the second of the two goes. */
static void drop_own(pc_choices *list, const char *own, const char *key, pc_faults *faults) {
  size_t kept = 0;
  bool found = false;
  for (size_t i = 0; i < list->count; i++) {
    bool is = own && (!list->items[i] || strcmp(list->items[i], own) == 0);
    if (is && found)
      pc_compare_tell_repeat(key, list->items[i], faults);
    else
      list->items[kept++] = list->items[i];
    found |= is;
  }
  list->count = kept;
}

/* With none of the loaders to compare each machine takes what it would be given. */
static bool fits_nobody(const pc_scenario *scenario, const pc_compare_plan *plan, const pc_equipped *crew) {
  pc_mix mix;
  if (!crew->box || pc_mix_read(scenario, crew->box, &mix, NULL) != PC_OK)
    return false;
  for (size_t l = 0; l < plan->loaders.count; l++)
    if (!pc_mix_misfits(scenario, &mix, plan->loaders.items[l], crew->machines, NULL))
      return false;
  return true;
}

/* Each of the boxes for each number of machines; `fitting`: only what can be made with a loader. */
static pc_status list_crews(const pc_scenario *scenario, bool fitting, pc_compare_plan *plan) {
  free(plan->crews);
  plan->crew_count = 0;
  plan->crews = pc_alloc_grid(plan->boxes.count, plan->machine_count, sizeof *plan->crews);
  if (!plan->crews)
    return PC_ERR_MEMORY;
  for (size_t b = 0; b < plan->boxes.count; b++)
    for (size_t n = 0; n < plan->machine_count; n++) {
      const pc_equipped crew = {plan->boxes.items[b], plan->machines[n]};
      if (!fitting || !fits_nobody(scenario, plan, &crew))
        plan->crews[plan->crew_count++] = crew;
    }
  return PC_OK;
}

/* Boxes and numbers of machines. Where boxes are mixed, and not named one by one, those that can't be on all
 * machines are no news; but if nothing can be made at all, the reason is told of each. */
static pc_status list_equipped(const pc_scenario *scenario, bool mixed, bool any, pc_compare_plan *plan,
                               pc_faults *faults) {
  pc_status status = list_crews(scenario, mixed && any, plan);
  if (status == PC_OK && mixed) {
    status = pc_compare_add_mixes(scenario, any, plan, faults);
    if (status != PC_OK)
      return status;
  }
  if (status == PC_OK && plan->crew_count == 0)
    status = list_crews(scenario, false, plan);
  return status == PC_OK ? status : pc_faults_add(faults, status, NULL, NULL, "out of memory");
}

static pc_status make_plan(const pc_scenario *scenario, const pc_wanted *wanted, pc_compare_plan *plan,
                           pc_faults *faults) {
  pc_name any = pc_name_of("all");
  const pc_names every = {&any, 1};
  const pc_names *boxes = wanted->mixed && wanted->boxes.count == 0 ? &every : &wanted->boxes;
  pc_status status = list_choices(&wanted->layouts, scenario->layouts, sizeof *scenario->layouts,
                                  scenario->layout_count, &plan->layouts);
  if (status == PC_OK)
    status = list_choices(boxes, scenario->boxes, sizeof *scenario->boxes, scenario->box_count, &plan->boxes);
  if (status == PC_OK)
    leave_out_blades(scenario, boxes, &plan->boxes);
  if (status == PC_OK)
    add_own(scenario, boxes, offsetof(pc_crew_entry, box), &plan->boxes);
  if (status == PC_OK)
    status = list_choices(&wanted->loaders, scenario->loaders, sizeof *scenario->loaders,
                          scenario->loader_count, &plan->loaders);
  if (status == PC_OK)
    add_own(scenario, &wanted->loaders, offsetof(pc_crew_entry, loader), &plan->loaders);
  if (status == PC_OK)
    status = list_policies(&wanted->policies, &plan->policies);
  if (status == PC_OK)
    status = list_numbers(wanted, plan, faults);
  if (status != PC_OK && status != PC_ERR_MEMORY)
    return status;
  if (status != PC_OK)
    return pc_faults_add(faults, status, NULL, NULL, "out of memory");
  drop_own(&plan->loaders, only_loader(scenario), "compare.loaders", faults);
  drop_own(&plan->policies, scenario->policy.text, "compare.policies", faults);
  pc_compare_drop_repeats(scenario, pc_names_are_all(boxes), plan, faults);
  status = list_equipped(scenario, wanted->mixed, pc_names_are_all(boxes), plan, faults);
  if (status != PC_OK)
    return status;
  plan->count =
      plan->layouts.count * plan->crew_count * plan->loaders.count * plan->policies.count * plan->depth_count;
  if (plan->count > PC_COMPARE_MAX)
    return pc_faults_add(faults, PC_ERR_LIMIT, "compare", NULL,
                         "asks for %zu combinations; at most %d are compared", plan->count,
                         (int)PC_COMPARE_MAX);
  return PC_OK;
}

pc_status pc_compare_plan_make(const pc_scenario *scenario, const pc_wanted *wanted, pc_compare_plan *plan,
                               pc_faults *faults) {
  size_t before = faults->count;
  faults->units = scenario->units;
  pc_status status = make_plan(scenario, wanted ? wanted : &scenario->compare, plan, faults);
  pc_scenario_place_faults(scenario, faults, before);
  return status;
}

/* Rows of one layout and depth. */
size_t pc_compare_rows_of_layout(const pc_compare_plan *plan) {
  return plan->crew_count * plan->loaders.count * plan->policies.count;
}

pc_choice pc_compare_choice_at(const pc_compare_plan *plan, size_t i) {
  const pc_equipped *crew = &plan->crews[i % plan->crew_count];
  pc_choice choice = {.machines = crew->machines, .box = crew->box};
  i /= plan->crew_count;
  choice.loader = plan->loaders.items[i % plan->loaders.count];
  i /= plan->loaders.count;
  choice.policy = plan->policies.items[i % plan->policies.count];
  i /= plan->policies.count;
  choice.layout = plan->layouts.items[i % plan->layouts.count];
  choice.depth_m = plan->depths_m[i / plan->layouts.count];
  return choice;
}

void pc_compare_plan_free(pc_compare_plan *plan) {
  free(plan->layouts.items);
  free(plan->boxes.items);
  free(plan->loaders.items);
  free(plan->policies.items);
  free(plan->depths_m);
  free(plan->machines);
  free(plan->crews);
  free(plan->mixes);
}
