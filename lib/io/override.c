// SPDX-License-Identifier: GPL-3.0-or-later
/* Values from the command line, put into the tree before it is read. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/reader.h"

typedef struct setting {
  pc_tree *tree;
  pc_reader *reader;
  const char *source;
  const char *path; /* whole, for messages */
} setting;

/* Where and what a fault of an override is: it stands in no file. */
static pc_status fail(const setting *set, pc_status status, const char *value, const char *message) {
  pc_error error;
  (void)pc_error_set(&error, status, set->path, value, "%s", message);
  snprintf(error.file, sizeof error.file, "%s", set->source);
  pc_tree_push_fault(set->reader->faults, &error);
  return status;
}

static pc_status fail_entry(const setting *set, const pc_node *list, const char *wanted) {
  char path[PC_KEY_MAX];
  (void)pc_node_path(list, path, sizeof path);
  pc_text message = {0};
  if (list->kind != PC_NODE_LIST)
    pc_text_addf(&message, "\"%s\" is not a list, so it has no entry [%s]", path, wanted);
  else
    pc_text_addf(&message, "the list \"%s\" has no entry [%s]; it has %s", path, wanted,
                 list->count ? "" : "none at all");
  for (const pc_node *entry = list->kind == PC_NODE_LIST ? list->first : NULL; entry; entry = entry->next) {
    const pc_node *name = pc_node_get(entry, "name");
    pc_text_addf(&message, "%s[%zu]", entry == list->first ? "" : ", ", entry->index);
    if (name && name->kind == PC_NODE_SCALAR)
      pc_text_addf(&message, " or [%s]", name->text);
    if (message.length > PC_MESSAGE_MAX)
      break; /* it is cut anyway */
  }
  pc_status status = fail(set, PC_ERR_NAME, wanted, message.data ? message.data : "there is no such entry");
  pc_text_free(&message);
  return status;
}

/* Entry of a list by its number or its name. */
static pc_node *find_entry(const pc_node *list, const char *wanted) {
  size_t digits = strspn(wanted, "0123456789");
  if (digits > 0 && wanted[digits] == '\0' && digits < 10)
    return pc_node_at(list, (size_t)strtoul(wanted, NULL, 10));
  for (pc_node *entry = list->kind == PC_NODE_LIST ? list->first : NULL; entry; entry = entry->next) {
    const pc_node *name = pc_node_get(entry, "name");
    if (name && name->kind == PC_NODE_SCALAR && strcmp(name->text, wanted) == 0)
      return entry;
  }
  return NULL;
}

typedef struct step {
  char text[PC_KEY_MAX];
  bool is_entry; /* of a list: the text stood in brackets */
} step;

/* Takes the next step off *rest; false if the path is not well formed. */
static bool next_step(const char **rest, step *out) {
  const char *at = *rest;
  out->is_entry = *at == '[';
  at += out->is_entry;
  size_t length = strcspn(at, out->is_entry ? "]" : ".[]");
  if (length == 0 || length >= sizeof out->text || (out->is_entry && at[length] != ']'))
    return false;
  memcpy(out->text, at, length);
  out->text[length] = '\0';
  at += length + out->is_entry;
  if (*at == '.' && at[1] != '\0' && at[1] != '.' && at[1] != '[')
    at++;
  else if (*at != '\0' && *at != '[')
    return false;
  *rest = at;
  return true;
}

/* The value of a key, made if there is none. */
static pc_node *enter_key(const setting *set, pc_node *node, const char *key, const char *rest) {
  if (pc_node_is_empty(node))
    node->kind = PC_NODE_MAP;
  if (node->kind != PC_NODE_MAP) {
    char path[PC_KEY_MAX], message[PC_MESSAGE_MAX];
    (void)pc_node_path(node, path, sizeof path);
    snprintf(message, sizeof message, "\"%s\" is not a map, so it has no key \"%s\"", path, key);
    (void)fail(set, PC_ERR_KEY, NULL, message);
    return NULL;
  }
  pc_node *next = pc_node_get(node, key);
  if (next)
    return next;
  if (strchr(rest, '[')) {
    (void)fail(set, PC_ERR_NAME, NULL, "leads to nothing: the scenario has no such list");
    return NULL;
  }
  if (node->count >= PC_TREE_KEYS_MAX) {
    (void)fail(set, PC_ERR_LIMIT, NULL, "a map may have at most 256 keys");
    return NULL;
  }
  next = pc_tree_add_map(set->tree, node, key, set->source);
  if (!next)
    set->reader->no_memory = true;
  return next;
}

/* The node that the path leads to, or NULL after a fault. */
static pc_node *walk(const setting *set) {
  pc_node *node = pc_tree_root(set->tree);
  const char *rest = set->path;
  while (*rest && node) {
    step now;
    if (!next_step(&rest, &now)) {
      (void)fail(set, PC_ERR_SYNTAX, NULL,
                 "is not a path: write it as snow.depth, boxes[0].width or zones[west].berths");
      return NULL;
    }
    if (!now.is_entry) {
      node = enter_key(set, node, now.text, rest);
    } else {
      pc_node *entry = find_entry(node, now.text);
      if (!entry)
        (void)fail_entry(set, node, now.text);
      node = entry;
    }
  }
  return node;
}

static size_t path_depth(const char *path) {
  size_t depth = 1;
  for (; *path; path++)
    depth += *path == '.' || *path == '[';
  return depth;
}

/* YAML faults in the value are told under the path of the override. */
static pc_node *parse_value(const setting *set, const char *value) {
  pc_faults found = pc_faults_like(set->reader->faults);
  pc_node *node = NULL;
  pc_status status = pc_tree_parse_value(set->tree, set->source, value, &node, &found);
  for (size_t i = 0; i < found.count; i++) {
    pc_error error = found.items[i];
    snprintf(error.key, sizeof error.key, "%s", set->path);
    pc_tree_push_fault(set->reader->faults, &error);
  }
  set->reader->no_memory |= found.dropped > 0 || status == PC_ERR_MEMORY;
  pc_faults_free(&found);
  return node;
}

static void apply(const setting *set, const char *value) {
  if (set->path[0] == '\0') {
    (void)fail(set, PC_ERR_SYNTAX, value, "a path is missing before the \"=\"");
    return;
  }
  if (path_depth(set->path) >= PC_TREE_DEPTH_MAX / 2) {
    (void)fail(set, PC_ERR_LIMIT, NULL, "has too many steps");
    return;
  }
  pc_node *node = walk(set);
  if (!node)
    return;
  const pc_node *parsed = parse_value(set, value);
  if (parsed)
    pc_node_replace(node, parsed);
  else
    node->faulty = true; /* told already */
}

/* The first "=" that is not inside brackets: a name in brackets may have one. */
static const char *find_equals(const char *text) {
  bool inside = false;
  for (; *text; text++) {
    inside = *text == '[' ? true : *text == ']' ? false : inside;
    if (*text == '=' && !inside)
      return text;
  }
  return NULL;
}

void pc_overrides_apply(pc_tree *tree, const pc_override *overrides, size_t count, pc_reader *reader) {
  for (size_t i = 0; i < count; i++) {
    setting set = {.tree = tree,
                   .reader = reader,
                   .source = overrides[i].source ? overrides[i].source : "--set",
                   .path = overrides[i].path};
    if (overrides[i].value) {
      apply(&set, overrides[i].value);
      continue;
    }
    const char *equals = find_equals(overrides[i].path);
    if (!equals) {
      (void)fail(&set, PC_ERR_SYNTAX, NULL, "needs a value: write KEY.PATH=VALUE");
      continue;
    }
    char *path = pc_copy(overrides[i].path, (size_t)(equals - overrides[i].path) + 1, 1);
    if (!path) {
      reader->no_memory = true;
      continue;
    }
    path[equals - overrides[i].path] = '\0';
    set.path = path;
    apply(&set, equals + 1);
    free(path);
  }
}
