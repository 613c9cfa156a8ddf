// SPDX-License-Identifier: GPL-3.0-or-later
/* Reads plans. JSON is read as the YAML that it is, so that every fault names its line. */
#include <math.h>
#include <string.h>

#include "base/memory.h"
#include "base/units.h"
#include "io/plan_file.h"
#include "io/tree_private.h"

typedef struct plan_reader {
  pc_faults *faults;
  bool failed;
} plan_reader;

static void complain(plan_reader *r, const pc_node *node, pc_status status, const char *what) {
  r->failed = true;
  (void)pc_node_fault(node, PC_AT_VALUE, r->faults, status, "%s", what);
}

static const pc_node *need(plan_reader *r, const pc_node *map, const char *key) {
  const pc_node *node = pc_node_get(map, key);
  if (!node) {
    r->failed = true;
    (void)pc_node_fault(map, PC_AT_VALUE, r->faults, PC_ERR_MISSING, "\"%s\" is missing", key);
  }
  return node;
}

static double number_of(plan_reader *r, const pc_node *node) {
  double value = NAN;
  pc_error error = {0};
  if (node->kind != PC_NODE_SCALAR || node->quoted ||
      pc_units_parse(node->text, PC_DIM_NUMBER, &value, &error) != PC_OK)
    complain(r, node, PC_ERR_SYNTAX, "must be a number");
  return value;
}

static double need_number(plan_reader *r, const pc_node *map, const char *key) {
  const pc_node *node = need(r, map, key);
  return node ? number_of(r, node) : NAN;
}

static int need_whole(plan_reader *r, const pc_node *node, int most) {
  double value = number_of(r, node);
  if (isnan(value))
    return 0;
  if (value != floor(value) || fabs(value) > most) {
    complain(r, node, PC_ERR_RANGE, "must be a whole number, and not so large");
    return 0;
  }
  return (int)value;
}

static void read_keys(plan_reader *r, const pc_node *node, pc_plan *plan) {
  const size_t each = 2 * PC_PLAN_SECTIONS;
  if (node->kind != PC_NODE_LIST) {
    complain(r, node, PC_ERR_SYNTAX, "must be a list with a list of keys for each lane");
    return;
  }
  plan->keys = pc_alloc_grid(node->count, each, sizeof *plan->keys);
  if (!plan->keys) {
    r->failed = true;
    (void)pc_faults_add(r->faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
    return;
  }
  plan->key_count = node->count * each;
  for (const pc_node *lane = node->first; lane; lane = lane->next) {
    if (lane->kind != PC_NODE_LIST || lane->count != each) {
      complain(r, lane, PC_ERR_RANGE, "must be a list of 16 keys: 8 sections in each direction");
      continue;
    }
    for (const pc_node *key = lane->first; key; key = key->next)
      plan->keys[lane->index * each + key->index] = (int16_t)need_whole(r, key, PC_PLAN_KEY_MAX);
  }
}

static void read_policy(plan_reader *r, const pc_node *map, pc_plan *plan) {
  if (map->kind != PC_NODE_MAP) {
    complain(r, map, PC_ERR_SYNTAX, "must be a map of weights and keys");
    return;
  }
  pc_plan_weights *w = &plan->weights;
  w->ideal = need_number(r, map, "ideal");
  w->spill = need_number(r, map, "spill");
  w->dirty = need_number(r, map, "dirty");
  w->wait = need_number(r, map, "wait");
  w->empty = need_number(r, map, "empty");
  w->part = need_number(r, map, "part");
  w->load_s = need_number(r, map, "load_s");
  plan->rate_spkg = need_number(r, map, "rate_spkg");
  const pc_node *starts = need(r, map, "starts"), *keys = need(r, map, "keys");
  if (starts)
    w->starts = need_whole(r, starts, 1000);
  if (keys)
    read_keys(r, keys, plan);
}

static bool is_plan(plan_reader *r, const pc_node *root) {
  const pc_node *format = pc_node_get(root, "format"), *version = pc_node_get(root, "version");
  if (root->kind != PC_NODE_MAP || !format || strcmp(format->text, "pushcycle-plan") != 0) {
    complain(r, format ? format : root, PC_ERR_SYNTAX,
             "this is no plan: make one with `pushcycle plan SCENARIO --save FILE`");
    return false;
  }
  if (!version || strcmp(version->text, "1") != 0) {
    complain(r, version ? version : root, PC_ERR_RANGE, "only version 1 of plans is known");
    return false;
  }
  return true;
}

static void read_root(plan_reader *r, const pc_node *root, const pc_lot *lot, pc_plan *plan) {
  if (!is_plan(r, root))
    return;
  const pc_node *layout = pc_node_get(root, "layout"), *policy = need(r, root, "policy");
  if (layout && strcmp(layout->text, lot->layout.text) != 0) {
    r->failed = true;
    (void)pc_node_fault(layout, PC_AT_VALUE, r->faults, PC_ERR_NAME,
                        "the plan is for this layout, but the run is of \"%s\": choose it with --layout",
                        lot->layout.text);
  }
  if (policy)
    read_policy(r, policy, plan);
  if (!r->failed)
    r->failed = pc_plan_validate(plan, lot, r->faults) != PC_OK;
}

static pc_status from_tree(pc_tree *tree, const char *name, size_t before, const pc_lot *lot, pc_plan *plan,
                           pc_faults *faults) {
  plan_reader reader = {.faults = faults};
  read_root(&reader, pc_tree_root(tree), lot, plan);
  for (size_t i = before; i < faults->count; i++)
    if (!faults->items[i].file[0])
      pc_error_place(&faults->items[i], name, 0, 0);
  const pc_error *first = pc_faults_first(faults, before);
  pc_status status = first ? first->status : reader.failed ? PC_ERR_MEMORY : PC_OK;
  if (status != PC_OK)
    pc_plan_free(plan);
  pc_tree_free(tree);
  return status;
}

pc_status pc_plan_read(const char *path, const pc_lot *lot, pc_plan *plan, pc_faults *faults) {
  *plan = (pc_plan){0};
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_read(path, &tree, faults);
  return tree ? from_tree(tree, path, before, lot, plan, faults) : status;
}

pc_status pc_plan_read_text(const char *name, const char *text, size_t length, const pc_lot *lot,
                            pc_plan *plan, pc_faults *faults) {
  *plan = (pc_plan){0};
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_parse(name, text, length, &tree, faults);
  return tree ? from_tree(tree, name, before, lot, plan, faults) : status;
}
