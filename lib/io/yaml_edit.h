// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Changes in a YAML text that leave all else as it is, comments too: where something stands, what is put in,
 * and whether the text made reads as it was meant. Internal to lib/io and the command; not installed.
 * Positions are bytes from the start of the text. Thread-safe (arguments only).
 */
#ifndef PC_IO_YAML_EDIT_H
#define PC_IO_YAML_EDIT_H

#include "base/text.h"
#include "io/tree.h"

/* Where the line after the one at `at` begins; `length` if there is none. Lines end where YAML ends them. */
size_t pc_yaml_next_line(const char *text, size_t length, size_t at);
/* Where a line begins, after the byte order mark if there is one. */
size_t pc_yaml_line(const char *text, size_t length, int line);
/* Where a line and column, as nodes have them, begin. */
size_t pc_yaml_place(const char *text, size_t length, int line, int column);

/* As words that end neither the line nor the text, in a comment too: what does so becomes a space, and what
 * is no UTF-8 U+FFFD. */
void pc_yaml_add_words(pc_text *out, const char *words);
/* A number without zeros at the end. */
void pc_yaml_add_decimals(pc_text *out, double value, int decimals);
/* "[x, y]" */
void pc_yaml_add_pair(pc_text *out, double x, double y, int decimals);
/* "key: value unit"; `unit` may be "". */
void pc_yaml_add_number(pc_text *out, const char *key, double value, const char *unit);

/* True if both say the same, except that the text of `but` (within a; may be NULL) is `text` in b. */
bool pc_yaml_is_same(const pc_node *a, const pc_node *b, const pc_node *but, const char *text);

#endif
