// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/crew.h"

#include <stdio.h>
#include <string.h>

size_t pc_crew_line_up(const pc_crew_entry *crew, size_t entry_count, int machines, size_t *entries,
                       size_t room) {
  size_t count = 0;
  int left = machines, before;
  do {
    before = left;
    for (size_t e = 0; e < entry_count; e++) {
      int here = crew[e].count;
      if (machines > 0 && crew[e].keep && before < machines)
        continue; /* they come once */
      if (machines > 0 && !crew[e].keep) {
        here = here < left ? here : left;
        left -= here;
      }
      for (; here > 0 && count < room; here--)
        entries[count++] = e;
    }
  } while (left > 0 && left < before && count < room);
  return count;
}

size_t pc_crew_write_out(const pc_scenario *scenario, int machines, size_t entries[PC_CREW_MAX]) {
  size_t all[2 * PC_CREW_MAX], count = 0; /* so many, and as many that stay as they are */
  size_t most = pc_crew_line_up(scenario->crew, scenario->crew_count, machines, all, 2 * PC_CREW_MAX);
  for (size_t m = 0; m < most && count < PC_CREW_MAX; m++)
    if (!scenario->crew[all[m]].keep)
      entries[count++] = all[m];
  return count;
}

pc_name pc_crew_machine_name(const pc_name *loader, int number) {
  char text[2 * PC_NAME_MAX];
  snprintf(text, sizeof text, "%.50s %d", loader->text, number);
  return pc_name_of(text);
}

size_t pc_crew_starts(const pc_scenario *scenario, pc_crew_start starts[PC_CREW_MAX]) {
  size_t entries[PC_CREW_MAX], known = 0;
  size_t count = pc_crew_line_up(scenario->crew, scenario->crew_count, 0, entries, PC_CREW_MAX);
  for (size_t m = 0; m < count; m++) {
    const pc_crew_entry *entry = &scenario->crew[entries[m]];
    int number = 1;
    for (size_t k = 0; k < m; k++)
      number += pc_name_is(&scenario->crew[entries[k]].loader, entry->loader.text);
    if (entry->has_start)
      starts[known++] = (pc_crew_start){pc_crew_machine_name(&entry->loader, number), entry->start};
  }
  return known;
}

pc_mix pc_mix_own(const pc_scenario *scenario, int machines) {
  size_t entries[PC_CREW_MAX];
  pc_mix mix = {.count = pc_crew_write_out(scenario, machines, entries)};
  for (size_t m = 0; m < mix.count; m++) {
    const pc_box *box = pc_scenario_box(scenario, scenario->crew[entries[m]].box.text);
    mix.boxes[m] = box ? (size_t)(box - scenario->boxes) : 0;
  }
  return mix;
}

bool pc_crew_differs(const pc_scenario *scenario, size_t member) {
  const char *first = NULL;
  bool differ = false;
  for (size_t i = 0; i < scenario->crew_count; i++) {
    const char *name = (const char *)&scenario->crew[i] + member; /* a name is its text */
    if (scenario->crew[i].keep)
      continue;
    differ |= first && strcmp(first, name) != 0;
    first = name;
  }
  return differ;
}
