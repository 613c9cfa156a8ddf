// SPDX-License-Identifier: GPL-3.0-or-later
/* Ways across areas that are bound to other loaders: sentences, and a word in a table. */
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"

/* Items come area by area: the first that is not of this one's. */
static size_t end_of_area(const pc_crossed *crossed, size_t first) {
  size_t end = first + 1;
  while (end < crossed->count && pc_name_is(&crossed->items[end].area, crossed->items[first].area.text))
    end++;
  return end;
}

void pc_tables_crossings(const pc_crossed *crossed, pc_text *out) {
  for (size_t first = 0, end; crossed && first < crossed->count; first = end) {
    const pc_crossing *items = crossed->items;
    int cycles = 0;
    end = end_of_area(crossed, first);
    for (size_t i = first; i < end; i++)
      cycles += items[i].cycles;
    size_t others = end - first - 1;
    pc_text_addf(out, "Caution: in %d cycle%s of the first night %s", cycles, cycles == 1 ? "" : "s",
                 items[first].machine.text);
    if (others > 0)
      pc_text_addf(out, " and %zu more", others);
    pc_text_addf(out,
                 " drive%s across area \"%s\", which is bound to other loaders: that binds the work, not the "
                 "ways (`open_to` does). Does it carry %s, and is there room?\n",
                 others > 0 ? "" : "s", items[first].area.text, others > 0 ? "them" : "it");
  }
}

pc_shown pc_crossings_word(const pc_crossed *crossed) {
  pc_shown word = {""};
  size_t areas = 0;
  for (size_t first = 0; first < crossed->count; first = end_of_area(crossed, first))
    areas++;
  int cycles = pc_crossed_cycles(crossed);
  if (areas == 1)
    snprintf(word.text, sizeof word.text, "drives across %.60s in %d cycle%s", crossed->items[0].area.text,
             cycles, cycles == 1 ? "" : "s");
  else if (areas > 1)
    snprintf(word.text, sizeof word.text, "drives across %zu areas bound to others", areas);
  return word;
}

static bool same_areas(const pc_crossed *a, const pc_crossed *b) {
  size_t i = 0, k = 0;
  while (i < a->count && k < b->count && pc_name_is(&a->items[i].area, b->items[k].area.text)) {
    i = end_of_area(a, i);
    k = end_of_area(b, k);
  }
  return i == a->count && k == b->count;
}

bool pc_crossings_differ(const pc_comparison *comparison) {
  bool differ = false;
  for (size_t i = 1; i < comparison->row_count; i++)
    differ |= !same_areas(&comparison->rows[0].crossed, &comparison->rows[i].crossed);
  return differ;
}

void pc_tables_compare_crossings(const pc_compare_row *rows, size_t count, const pc_varying *varies,
                                 pc_text *out) {
  size_t i = 0;
  pc_tables_crossings(&rows[0].crossed, out);
  if (count < 2 || rows[0].crossed.count == 0)
    return;
  while (i < count && (rows[i].summary.unfinished > 0 || rows[i].crossed.count > 0))
    i++;
  if (i == count) {
    pc_text_addf(out, "None of the %zu finishes without such ways.\n", count);
    return;
  }
  pc_text_add(out, "The quickest that drives across no such area: ");
  pc_tables_label(&rows[i], varies, out);
  const pc_statistic *more = &rows[i].difference_to_best_s;
  if (rows[0].summary.unfinished == 0)
    pc_text_addf(out, ", %s longer%s", pc_show_time_in(more, varies->time).text,
                 pc_tables_doubt(more, varies->time));
  pc_text_add(out, ".\n");
}
