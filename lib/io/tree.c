// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/tree.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/tree_private.h"

/* Nodes and texts are cut from blocks, so that a tree of a million nodes takes a thousand allocations. */
typedef struct block {
  struct block *next;
  size_t used, size;
} block;

enum { BLOCK_BYTES = 64 * 1024, ALIGNMENT = 16 };

struct pc_tree {
  block *blocks;
  pc_node *root;
  size_t node_count;
};

pc_tree *pc_tree_create(void) {
  return pc_alloc(1, sizeof(pc_tree));
}

void pc_tree_free(pc_tree *tree) {
  if (!tree)
    return;
  for (block *now = tree->blocks; now;) {
    block *next = now->next;
    free(now);
    now = next;
  }
  free(tree);
}

void pc_tree_set_root(pc_tree *tree, pc_node *root) {
  tree->root = root;
}

pc_node *pc_tree_root(const pc_tree *tree) {
  return tree->root;
}

size_t pc_tree_node_count(const pc_tree *tree) {
  return tree->node_count;
}

static void *take(pc_tree *tree, size_t bytes) {
  const size_t header = (sizeof(block) + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
  bytes = (bytes + ALIGNMENT - 1) / ALIGNMENT * ALIGNMENT;
  block *now = tree->blocks;
  if (!now || now->size - now->used < bytes) {
    size_t size = header + bytes > BLOCK_BYTES ? header + bytes : BLOCK_BYTES;
    now = pc_alloc(size, 1);
    if (!now)
      return NULL;
    *now = (block){.next = tree->blocks, .used = header, .size = size};
    tree->blocks = now;
  }
  void *taken = (char *)now + now->used;
  now->used += bytes;
  return taken;
}

const char *pc_tree_copy_text(pc_tree *tree, const char *text, size_t length) {
  char *copy = take(tree, length + 1);
  if (!copy)
    return NULL;
  if (length > 0)
    memcpy(copy, text, length);
  copy[length] = '\0';
  return copy;
}

pc_node *pc_tree_new_node(pc_tree *tree, pc_node_kind kind, const char *file) {
  pc_node *node = take(tree, sizeof *node);
  if (!node)
    return NULL;
  *node = (pc_node){.kind = kind, .file = file, .text = ""};
  tree->node_count++;
  return node;
}

void pc_node_append(pc_node *parent, pc_node *child) {
  child->parent = parent;
  child->index = parent->count++;
  if (parent->last)
    parent->last->next = child;
  else
    parent->first = child;
  parent->last = child;
}

pc_node *pc_tree_add_map(pc_tree *tree, pc_node *map, const char *key, const char *file) {
  const char *copy = pc_tree_copy_text(tree, key, strlen(key));
  pc_node *node = copy ? pc_tree_new_node(tree, PC_NODE_MAP, file) : NULL;
  if (!node)
    return NULL;
  node->key = copy;
  pc_node_append(map, node);
  return node;
}

void pc_node_replace(pc_node *node, const pc_node *value) {
  node->kind = value->kind;
  node->quoted = value->quoted;
  node->faulty = value->faulty;
  node->line = node->key_line = value->line;
  node->column = node->key_column = value->column;
  node->file = value->file;
  node->text = value->text;
  node->count = value->count;
  node->first = value->first;
  node->last = value->last;
  for (pc_node *child = node->first; child; child = child->next)
    child->parent = node;
}

pc_node *pc_node_get(const pc_node *map, const char *key) {
  if (!map || map->kind != PC_NODE_MAP)
    return NULL;
  for (pc_node *child = map->first; child; child = child->next)
    if (strcmp(child->key, key) == 0)
      return child;
  return NULL;
}

pc_node *pc_node_at(const pc_node *list, size_t index) {
  if (!list || list->kind != PC_NODE_LIST)
    return NULL;
  pc_node *child = list->first;
  while (child && index-- > 0)
    child = child->next;
  return child;
}

bool pc_node_is_empty(const pc_node *node) {
  return node->kind == PC_NODE_SCALAR && !node->quoted && node->text[0] == '\0';
}

int pc_node_path(const pc_node *node, char *text, size_t size) {
  const pc_node *steps[2 * PC_TREE_DEPTH_MAX]; /* an override may add its own depth to its place's */
  size_t depth = 0;
  for (; node && node->parent && depth < sizeof steps / sizeof steps[0]; node = node->parent)
    steps[depth++] = node;
  int length = 0;
  if (size > 0)
    text[0] = '\0';
  while (depth-- > 0) {
    const pc_node *step = steps[depth];
    size_t room = (size_t)length < size ? size - (size_t)length : 0;
    char *to = room ? text + length : NULL;
    int more = step->key ? snprintf(to, room, "%s%s", length ? "." : "", step->key)
                         : snprintf(to, room, "[%zu]", step->index);
    if (more < 0)
      return more;
    length += more;
  }
  return length;
}

/* One step of a path: a key, or a number in brackets. Returns the node there, or NULL; *path moves on. */
static const pc_node *step_down(const pc_node *node, const char **path) {
  const char *at = *path;
  if (*at == '[') {
    char *end;
    unsigned long index = strtoul(at + 1, &end, 10);
    bool is_number = at[1] >= '0' && at[1] <= '9' && *end == ']'; /* no sign, no blank, and closed */
    *path = is_number ? end + 1 : end;
    return is_number ? pc_node_at(node, index) : NULL;
  }
  if (*at == '.')
    at++;
  size_t length = strcspn(at, ".[");
  *path = at + length;
  if (node->kind != PC_NODE_MAP)
    return NULL;
  for (const pc_node *child = node->first; child; child = child->next)
    if (strncmp(child->key, at, length) == 0 && child->key[length] == '\0')
      return child;
  return NULL;
}

const pc_node *pc_tree_find(const pc_tree *tree, const char *path, bool *exact) {
  const pc_node *node = tree->root;
  *exact = true;
  while (*path && node) {
    const pc_node *next = step_down(node, &path);
    if (!next) {
      *exact = false;
      return node;
    }
    node = next;
  }
  return node;
}

void pc_tree_push_fault(pc_faults *faults, const pc_error *error) {
  if (faults->count < PC_TREE_FAULTS_MAX) {
    pc_faults_push(faults, error);
  } else if (faults->count == PC_TREE_FAULTS_MAX) {
    pc_error last = {.status = PC_ERR_LIMIT};
    (void)pc_error_set(&last, PC_ERR_LIMIT, NULL, NULL, "more than %d faults: the rest is not shown",
                       (int)PC_TREE_FAULTS_MAX);
    memcpy(last.file, error->file, sizeof last.file);
    pc_faults_push(faults, &last);
  }
}

size_t pc_tree_push_found(pc_faults *faults, pc_faults *found, const char *file, int line) {
  size_t dropped = found->dropped;
  for (size_t i = 0; i < found->count; i++) {
    if (!found->items[i].file[0])
      pc_error_place(&found->items[i], file, line, 0);
    pc_tree_push_fault(faults, &found->items[i]);
  }
  pc_faults_free(found);
  return dropped;
}

pc_status pc_node_fault(const pc_node *node, pc_node_place place, pc_faults *faults, pc_status status,
                        const char *format, ...) {
  char path[2 * PC_KEY_MAX];
  (void)pc_node_path(node, path, sizeof path);
  char message[2 * PC_MESSAGE_MAX];
  va_list arguments;
  va_start(arguments, format);
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  va_end(arguments);
  pc_error error;
  (void)pc_error_set(&error, status, path, node->text, "%s", message);
  pc_error_place(&error, node->file, place == PC_AT_KEY ? node->key_line : node->line,
                 place == PC_AT_KEY ? node->key_column : node->column);
  pc_tree_push_fault(faults, &error);
  return status;
}
