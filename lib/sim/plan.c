// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/policies.h"

/* Found by trial on the reference lot with 1 to 5 zones; results change by 1–2 % around them. */
static const pc_plan_weights usual = {0.4, 1.0, 1.0, 1.0, 1.0, 1.0, 0.0, 0};

pc_plan_weights pc_plan_weights_default(void) {
  return usual;
}

size_t pc_plan_key_count(const pc_lot *lot) {
  size_t lanes = 0;
  for (size_t s = 0; s < lot->lane_set_count; s++)
    lanes += lot->lane_sets[s].lane_count;
  return lanes * 2 * PC_PLAN_SECTIONS;
}

pc_status pc_plan_init(pc_plan *plan, const pc_lot *lot) {
  *plan = (pc_plan){.weights = usual, .key_count = pc_plan_key_count(lot)};
  plan->keys = pc_alloc(plan->key_count, sizeof *plan->keys);
  return plan->keys ? PC_OK : PC_ERR_MEMORY;
}

void pc_plan_assign(pc_plan *to, const pc_plan *from) {
  to->weights = from->weights;
  to->rate_spkg = from->rate_spkg;
  if (to->keys && from->keys)
    memcpy(to->keys, from->keys, from->key_count * sizeof *to->keys);
  else if (to->keys)
    memset(to->keys, 0, to->key_count * sizeof *to->keys); /* a plan without keys has none to add */
}

void pc_plan_free(pc_plan *plan) {
  if (!plan)
    return;
  free(plan->keys);
  *plan = (pc_plan){0};
}

pc_status pc_plan_validate(const pc_plan *plan, const pc_lot *lot, pc_faults *faults) {
  const pc_plan_weights *w = &plan->weights;
  const struct {
    const char *key;
    double value;
  } all[] = {{"policy.ideal", w->ideal}, {"policy.spill", w->spill}, {"policy.dirty", w->dirty},
             {"policy.wait", w->wait},   {"policy.empty", w->empty}, {"policy.part", w->part}};
  pc_status status = PC_OK;
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
    if (!(all[i].value >= 0.0 && all[i].value <= 100.0))
      status = pc_faults_add(faults, PC_ERR_RANGE, all[i].key, NULL, "must be 0 … 100");
  if (!(fabs(w->load_s) <= 3600.0))
    status = pc_faults_add(faults, PC_ERR_RANGE, "policy.load_s", NULL, "must be -3600 … 3600");
  if (w->starts < 0 || w->starts > PC_PLAN_STARTS_MAX)
    status = pc_faults_add(faults, PC_ERR_RANGE, "policy.starts", NULL, "must be 0 … %d", PC_PLAN_STARTS_MAX);
  if (!(plan->rate_spkg >= 0.0 && plan->rate_spkg < INFINITY))
    status = pc_faults_add(faults, PC_ERR_RANGE, "policy.rate_spkg", NULL, "must be 0 or more");
  for (size_t i = 0; plan->keys && i < plan->key_count; i++)
    if (abs(plan->keys[i]) > PC_PLAN_KEY_MAX)
      return pc_faults_add(faults, PC_ERR_RANGE, "policy.keys", NULL, "keys must be %d … %d",
                           -PC_PLAN_KEY_MAX, PC_PLAN_KEY_MAX);
  size_t each = 2 * PC_PLAN_SECTIONS, fits = pc_plan_key_count(lot);
  if (plan->keys && plan->key_count != fits)
    status = pc_faults_add(faults, PC_ERR_RANGE, "policy.keys", NULL,
                           "are for %zu lanes, but this lot has %zu: the plan was made for another layout, "
                           "heading, box or site",
                           plan->key_count / each, fits / each);
  return status;
}

void pc_lot_follow(pc_lot *lot, const pc_plan *plan) {
  lot->policy = &pc_policy_planned;
  lot->plan = plan;
}

void pc_world_follow(pc_world *world, const pc_plan *plan) {
  world->plan = plan;
}
