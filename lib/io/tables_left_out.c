// SPDX-License-Identifier: GPL-3.0-or-later
/* Combinations of a comparison of which no lot can be made. */
#include <string.h>

#include "io/tables_private.h"

enum { LINES_MAX = 20 };

/* Rows that differ in policy or depth alone fail for the same reason: one line tells of all. */
static bool is_told(const pc_comparison *comparison, size_t index) {
  const pc_compare_left_out *here = &comparison->left_out[index];
  for (size_t i = 0; i < index; i++) {
    const pc_compare_left_out *one = &comparison->left_out[i];
    if (pc_name_is(&one->layout, here->layout.text) && pc_name_is(&one->box, here->box.text) &&
        pc_name_is(&one->loader, here->loader.text) && one->crew == here->crew &&
        strcmp(one->why.message, here->why.message) == 0)
      return true;
  }
  return false;
}

void pc_tables_left_out(const pc_comparison *comparison, pc_text *out) {
  size_t told = 0;
  for (size_t i = 0; i < comparison->left_out_count; i++) {
    char name[PC_MESSAGE_MAX];
    if (is_told(comparison, i) || told++ >= LINES_MAX)
      continue;
    pc_compare_left_out_format(&comparison->left_out[i], name, sizeof name);
    pc_text_addf(out, "Left out: %s: %s.\n", name, comparison->left_out[i].why.message);
  }
  if (told > LINES_MAX)
    pc_text_addf(out, "Left out: %zu more; --json names them all.\n", told - LINES_MAX);
}
