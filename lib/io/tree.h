// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A YAML text as a light tree of nodes, each of which knows where it stands, so that every later fault can
 * name file, line, column and key path.
 *
 * Only what a scenario needs is accepted: maps with text keys, lists, and scalars. Anchors, aliases, tags,
 * a second document, and control characters are faults. Scalars stay text; what they mean is up to the
 * reader.
 *
 * Units: lines and columns are 1-based, columns count characters. 0 = the node stands in no file (an
 * override from the command line).
 * Ownership: nodes and their text belong to the tree; pc_tree_free releases all at once.
 * Failures: faults are added to the caller's list. PC_ERR_SYNTAX, PC_ERR_KEY, PC_ERR_LIMIT, PC_ERR_FILE,
 * PC_ERR_MEMORY. After a fault that leaves something worth reading (a key that stands twice, an anchor), the
 * tree is still given, so that one run can name every fault.
 * Thread-safety: arguments only; a tree that nobody changes may be read by several threads.
 */
#ifndef PC_IO_TREE_H
#define PC_IO_TREE_H

#include <stdio.h>

#include "base/status.h"

PC_BEGIN_C

enum {
  PC_TREE_DEPTH_MAX = 32,
  PC_TREE_KEYS_MAX = 256, /* keys of one map */
  PC_TREE_NODES_MAX = 2000000,
  PC_TREE_BYTES_MAX = 64 * 1024 * 1024,
  PC_TREE_FAULTS_MAX = 1000 /* after so many faults the rest is not shown */
};

typedef enum pc_node_kind { PC_NODE_SCALAR, PC_NODE_LIST, PC_NODE_MAP } pc_node_kind;

typedef struct pc_node {
  pc_node_kind kind;
  bool quoted; /* scalar in quotes, or a block of text */
  bool faulty; /* already reported: readers pass over it in silence */
  int line, column;
  int key_line, key_column; /* of its key, if it is the value of a map */
  const char *file;
  const char *key;  /* NULL unless it is the value of a map */
  const char *text; /* scalar: its text, never NULL; else "" */
  size_t index;     /* place in its list or map */
  size_t count;     /* number of children */
  struct pc_node *parent, *first, *last, *next;
} pc_node;

typedef struct pc_tree pc_tree;

/* Reads a file; "-" is standard input. *tree is NULL if there is nothing to go on with. */
PC_API PC_MUST_USE pc_status pc_tree_read(const char *path, pc_tree **tree, pc_faults *faults);
/* Reads an open file to its end; `name` is what faults call it. Does not close it. */
PC_API PC_MUST_USE pc_status pc_tree_read_stream(FILE *file, const char *name, pc_tree **tree,
                                                 pc_faults *faults);
PC_API PC_MUST_USE pc_status pc_tree_parse(const char *name, const char *text, size_t length, pc_tree **tree,
                                           pc_faults *faults);
PC_API void pc_tree_free(pc_tree *tree);

/* The outermost node. */
PC_API pc_node *pc_tree_root(const pc_tree *tree);
/* Value of a key, or NULL. */
PC_API pc_node *pc_node_get(const pc_node *map, const char *key);
/* Entry of a list, or NULL. */
PC_API pc_node *pc_node_at(const pc_node *list, size_t index);
/* True for a key or list entry with nothing behind it. */
PC_API bool pc_node_is_empty(const pc_node *node);
/* Path such as "boxes[1].width"; "" for the root. snprintf's value. */
PC_API int pc_node_path(const pc_node *node, char *text, size_t size);
/* Node at a path; if there is none, the deepest node on the way to it, and *exact is false. */
PC_API const pc_node *pc_tree_find(const pc_tree *tree, const char *path, bool *exact);

/* Parses another text into the tree, as a node that hangs nowhere yet and stands in no file; `file` must
 * outlive the tree. Faults carry `file` as their file. */
PC_API PC_MUST_USE pc_status pc_tree_parse_value(pc_tree *tree, const char *file, const char *text,
                                                 pc_node **node, pc_faults *faults);
/* Appends an empty map under `key`; NULL if memory is short. */
PC_API PC_MUST_USE pc_node *pc_tree_add_map(pc_tree *tree, pc_node *map, const char *key, const char *file);
/* Puts the content of `value` in the place of the content of `node`. */
PC_API void pc_node_replace(pc_node *node, const pc_node *value);

typedef enum pc_node_place { PC_AT_VALUE, PC_AT_KEY } pc_node_place;

/* Adds a fault at a node, with its path as key and its text as value; returns `status`. */
PC_API pc_status pc_node_fault(const pc_node *node, pc_node_place place, pc_faults *faults, pc_status status,
                               const char *format, ...) PC_PRINTF(5, 6);
/* Adds a filled error unless the list has PC_TREE_FAULTS_MAX already; then one last fault says so. */
PC_API void pc_tree_push_fault(pc_faults *faults, const pc_error *error);

PC_END_C

#endif
