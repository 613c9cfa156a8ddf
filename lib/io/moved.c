// SPDX-License-Identifier: GPL-3.0-or-later
#define _XOPEN_SOURCE 700 /* realpath is of that part of POSIX 2008 */
#include "io/moved.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/yaml_edit.h"

static const char *const keys[] = {"site.file", "storm_file"};

/* ---- the way from folder to folder ---- */

/* The folder of a file, from the root and without links; "" is the root itself. NULL after a fault. */
static char *folder_of(const char *path, pc_faults *faults) {
  const char *slash = strrchr(path, '/');
  size_t length = slash ? (size_t)(slash - path) + 1 : 1;
  char *folder = pc_copy(slash ? path : ".", length + 1, 1);
  if (!folder) {
    (void)pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
    return NULL;
  }
  folder[length] = '\0';
  char *real = realpath(folder, NULL);
  if (!real && errno == ENOMEM)
    (void)pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  else if (!real)
    (void)pc_faults_add(faults, PC_ERR_FILE, NULL, NULL, "\"%s\": there is no such folder",
                        pc_name_long_of(folder).text);
  else if (strcmp(real, "/") == 0)
    real[0] = '\0';
  free(folder);
  return real;
}

/* Length of what both have in common, in whole steps. */
static size_t common(const char *a, const char *b) {
  size_t same = 0, i = 0;
  for (;; i++) {
    if ((a[i] == '\0' || a[i] == '/') && (b[i] == '\0' || b[i] == '/'))
      same = i;
    if (a[i] != b[i] || a[i] == '\0')
      return same;
  }
}

/* The name of a file as seen from the folder `to`, where `from` is the folder that `name` is seen from. */
static void lead(const char *name, const char *from, const char *to, pc_text *out) {
  size_t base = strlen(from);
  for (bool steps = true; steps;) { /* ".." first: folders without links have but one way up */
    size_t up = strncmp(name, "../", 3) == 0;
    steps = up || strncmp(name, "./", 2) == 0;
    name += steps ? 2 + up : 0;
    name += steps ? strspn(name, "/") : 0;
    while (up && base > 0 && from[--base] != '/')
      ;
  }
  pc_text above = {0};
  pc_text_addf(&above, "%.*s", (int)base, from);
  if (above.failed) {
    out->failed = true;
    return;
  }
  size_t same = common(above.data, to);
  for (const char *at = to + same; *at; at++)
    if (*at == '/')
      pc_text_add(out, "../");
  if (above.data[same] == '/')
    pc_text_addf(out, "%s/", above.data + same + 1);
  pc_text_add(out, name);
  pc_text_free(&above);
}

/* ---- the text ---- */

/* How many bytes the scalar takes that begins there; 0 if that can't be told. */
static size_t extent_of(const char *at, const pc_node *node) {
  size_t length = strlen(node->text);
  char quote = *at;
  if (!node->quoted)
    return strncmp(at, node->text, length) == 0 ? length : 0;
  if (quote != '"' && quote != '\'')
    return 0;
  for (length = 1; at[length]; length++) {
    bool escaped = quote == '"' ? at[length] == '\\' : at[length] == quote && at[length + 1] == quote;
    if (escaped && at[length + 1])
      length++;
    else if (at[length] == quote)
      return length + 1;
  }
  return 0;
}

static const pc_node *find_name(const pc_tree *tree, const char *key) {
  bool exact;
  const pc_node *node = tree ? pc_tree_find(tree, key, &exact) : NULL;
  return node && exact && node->kind == PC_NODE_SCALAR && node->text[0] ? node : NULL;
}

/* PC_OK if the text says the same but for the node, which has this value. */
static pc_status read_again(const pc_text *text, const pc_node *root, const pc_node *node,
                            const char *value) {
  pc_tree *tree = NULL;
  pc_faults faults = {0};
  pc_status status = pc_tree_parse("", text->data, text->length, &tree, &faults);
  bool good = status == PC_OK && pc_yaml_is_same(root, pc_tree_root(tree), node, value);
  pc_tree_free(tree);
  pc_faults_free(&faults);
  return good ? PC_OK : status == PC_ERR_MEMORY ? PC_ERR_MEMORY : PC_ERR_SYNTAX;
}

/* The text with another name in the place of the node's. */
static pc_status replace(pc_text *text, const pc_node *root, const pc_node *node, const char *key,
                         const char *name, pc_faults *faults) {
  if (!pc_is_line(name))
    return pc_faults_add(
        faults, PC_ERR_SYNTAX, key, node->text,
        "leads through a folder whose name cannot stand in a scenario, as it is not UTF-8 or "
        "has line breaks or other control characters: write to another folder");
  size_t at = pc_yaml_place(text->data, text->length, node->line, node->column);
  size_t length = at < text->length ? extent_of(text->data + at, node) : 0;
  pc_text made = {0};
  pc_text_add_bytes(&made, text->data, at);
  pc_text_add_quoted(&made, name);
  pc_text_add_bytes(&made, text->data + at + length, text->length - at - length);
  pc_status status = made.failed   ? PC_ERR_MEMORY
                     : length == 0 ? PC_ERR_SYNTAX
                                   : read_again(&made, root, node, name);
  if (status == PC_OK) {
    pc_text_free(text);
    *text = made;
    return PC_OK;
  }
  pc_text_free(&made);
  if (status == PC_ERR_MEMORY)
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  return pc_faults_add(faults, PC_ERR_SYNTAX, key, node->text,
                       "has to be another name in another folder, and is written in a way that cannot be "
                       "changed: write it in quotes, on the line of its key");
}

static pc_status move_name(const char *from, const char *to, const char *key, pc_text *text,
                           pc_faults *faults) {
  pc_tree *tree = NULL;
  pc_text name = {0};
  pc_status status = pc_tree_parse("", text->data, text->length, &tree, faults);
  const pc_node *node = status == PC_OK ? find_name(tree, key) : NULL;
  if (node && node->text[0] != '/') {
    lead(node->text, from, to, &name);
    status = name.failed ? pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory")
                         : replace(text, pc_tree_root(tree), node, key, name.data, faults);
  }
  pc_text_free(&name);
  pc_tree_free(tree);
  return status;
}

pc_status pc_scenario_move(const char *from, const char *to, pc_text *text, pc_faults *faults) {
  size_t before = pc_faults_fatal(faults);
  char *old = folder_of(from, faults), *new = old ? folder_of(to, faults) : NULL;
  if (old && new &&strcmp(old, new) != 0)
    for (size_t i = 0; i < sizeof keys / sizeof keys[0] && pc_faults_fatal(faults) == before; i++)
      (void)move_name(old, new, keys[i], text, faults);
  free(old);
  free(new);
  return pc_faults_fatal(faults) > before ? pc_faults_status(faults) : PC_OK;
}
