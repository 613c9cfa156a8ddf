// SPDX-License-Identifier: GPL-3.0-or-later
/* What the parts of the tree share with each other; not installed. */
#ifndef PC_IO_TREE_PRIVATE_H
#define PC_IO_TREE_PRIVATE_H

#include "io/tree.h"

pc_tree *pc_tree_create(void);
void pc_tree_set_root(pc_tree *tree, pc_node *root);
size_t pc_tree_node_count(const pc_tree *tree);
/* NULL if memory is short. */
pc_node *pc_tree_new_node(pc_tree *tree, pc_node_kind kind, const char *file);
const char *pc_tree_copy_text(pc_tree *tree, const char *text, size_t length);
void pc_node_append(pc_node *parent, pc_node *child);
/* All of a file; "-" is standard input. *text is malloc'd, and NULL after a failure, which is told. */
PC_MUST_USE pc_status pc_file_read(const char *path, void **text, size_t *length, pc_faults *faults);

/* pc_tree_push_fault with all that was found, which is freed; what has no place yet gets this one. Returns
 * how many of them were dropped for want of memory. */
size_t pc_tree_push_found(pc_faults *faults, pc_faults *found, const char *file, int line);

#endif
