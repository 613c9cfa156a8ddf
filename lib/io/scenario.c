// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/scenario.h"

#include <stdlib.h>
#include <string.h>

#include "io/reader.h"
#include "io/tree_private.h"

/* Faults found while the text was parsed: what they name is not told again by validation. */
static void note_faults(pc_reader *reader, size_t from) {
  for (size_t i = from; i < reader->faults->count; i++)
    if (!reader->faults->items[i].caution && reader->faults->items[i].key[0])
      pc_reader_note(reader, reader->faults->items[i].key);
}

/* A crew entry need not say which loader or box if there is only one. */
static void fill_crew(pc_scenario *s) {
  for (size_t i = 0; i < s->crew_count; i++) {
    pc_crew_entry *entry = &s->crew[i];
    if (entry->loader.text[0] == '\0' && s->loader_count == 1)
      entry->loader = s->loaders[0].name;
    if (entry->box.text[0] == '\0' && s->box_count == 1)
      entry->box = s->boxes[0].name;
  }
}

static void read_tree(pc_reader *reader, pc_scenario *s) {
  pc_node *root = pc_tree_root(reader->tree);
  if (!pc_reader_expect(reader, root, PC_NODE_MAP,
                        "the map of a scenario, with keys such as snow, site and boxes"))
    return;
  const pc_node *units = pc_node_get(pc_node_get(root, "site"), "units");
  if (units)
    pc_reader_units(reader, units);
  pc_reader_part(reader, root, &pc_format_scenario, s);
  fill_crew(s);
}

/* Gives a fault of validation the place of what it is about. */
static void place_fault(const pc_tree *tree, pc_error *error) {
  bool exact;
  const pc_node *node = pc_tree_find(tree, error->key, &exact);
  if (node)
    pc_error_place(error, node->file, node->line, node->column);
}

/* The list that a reference stands for, or NULL. */
static const char *list_meant(const char *key) {
  static const struct {
    const char *start, *part, *list;
  } references[] = {
      {"crew[", "].loader", "loaders"},   {"crew[", "].box", "boxes"},
      {"crew[", "].areas", "site.areas"}, {"layouts[", "].zones", "zones"},
      {"compare.layouts", "", "layouts"}, {"compare.boxes", "", "boxes"},
      {"compare.loaders", "", "loaders"},
  };
  for (size_t i = 0; i < sizeof references / sizeof references[0]; i++)
    if (strncmp(key, references[i].start, strlen(references[i].start)) == 0 &&
        strstr(key, references[i].part))
      return references[i].list;
  return NULL;
}

/* Where a list, or a name in it, could not be read, a reference to it only looks wrong. */
static bool is_excused(const pc_reader *reader, const pc_error *error) {
  /* How many boxes and loaders there are is not known while one of them cannot be read. */
  bool crew = error->status == PC_ERR_MISSING && strcmp(error->key, "crew") == 0;
  for (size_t i = 0; crew && i < reader->slip_count; i++) {
    const char *slip = reader->slips[i].path;
    if ((strncmp(slip, "boxes[", 6) == 0 || strncmp(slip, "loaders[", 8) == 0) && !strchr(slip, '.'))
      return true;
  }
  const char *list = error->status == PC_ERR_NAME ? list_meant(error->key) : NULL;
  size_t length = list ? strlen(list) : 0;
  for (size_t i = 0; list && i < reader->slip_count; i++) {
    const char *slip = reader->slips[i].path;
    if (strncmp(slip, list, length) == 0 &&
        (slip[length] == '\0' || (slip[length] == '[' && strstr(slip, "].name"))))
      return true;
  }
  return false;
}

static void validate(pc_reader *reader, const pc_scenario *s) {
  pc_faults found = {0};
  pc_scenario_validate(s, &found);
  for (size_t i = 0; i < found.count; i++) {
    pc_error *error = &found.items[i];
    if (pc_reader_is_noted(reader, error->key, error->status) || is_excused(reader, error))
      continue;
    place_fault(reader->tree, error);
    pc_tree_push_fault(reader->faults, error);
  }
  reader->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

/* In the order of the file, whichever step found them; what stands in no file comes first. */
static void sort_faults(pc_faults *faults, size_t from) {
  size_t end = faults->count < PC_TREE_FAULTS_MAX ? faults->count : PC_TREE_FAULTS_MAX;
  for (size_t i = from + 1; i < end; i++) {
    pc_error now = faults->items[i];
    size_t j = i;
    for (; j > from; j--) {
      const pc_error *before = &faults->items[j - 1];
      if (before->line < now.line || (before->line == now.line && before->column <= now.column))
        break;
      faults->items[j] = *before;
    }
    faults->items[j] = now;
  }
}

static pc_status finish(pc_reader *reader, size_t before, pc_scenario *out) {
  pc_status status = PC_OK;
  sort_faults(reader->faults, before);
  for (size_t i = before; i < reader->faults->count && status == PC_OK; i++)
    if (!reader->faults->items[i].caution)
      status = reader->faults->items[i].status;
  if (status == PC_OK && (reader->no_memory || reader->faults->dropped > 0))
    status =
        pc_faults_add(reader->faults, PC_ERR_MEMORY, NULL, NULL, "there is not enough memory to read this");
  if (status != PC_OK)
    pc_scenario_free(out);
  return status;
}

/* From a tree (which this frees) to a scenario. Faults from `before` on are of this file. */
static pc_status from_tree(pc_tree *tree, const pc_override *overrides, size_t override_count, size_t before,
                           pc_scenario *out, pc_faults *faults) {
  pc_reader reader = {.tree = tree, .faults = faults, .unit_m = 1};
  pc_overrides_apply(tree, overrides, override_count, &reader);
  note_faults(&reader, before);
  read_tree(&reader, out);
  bool is_map = pc_tree_root(tree)->kind == PC_NODE_MAP;
  if (is_map && !reader.no_memory)
    validate(&reader, out);
  pc_status status = finish(&reader, before, out);
  free(reader.slips);
  pc_tree_free(tree);
  return status;
}

pc_status pc_scenario_read(const char *path, const pc_override *overrides, size_t override_count,
                           pc_scenario *out, pc_faults *faults) {
  *out = pc_scenario_default();
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_read(path, &tree, faults);
  return tree ? from_tree(tree, overrides, override_count, before, out, faults) : status;
}

pc_status pc_scenario_read_text(const char *name, const char *text, size_t length,
                                const pc_override *overrides, size_t override_count, pc_scenario *out,
                                pc_faults *faults) {
  *out = pc_scenario_default();
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_parse(name, text, length, &tree, faults);
  return tree ? from_tree(tree, overrides, override_count, before, out, faults) : status;
}
