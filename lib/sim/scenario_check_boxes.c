// SPDX-License-Identifier: GPL-3.0-or-later
/* What pc_scenario_validate says of which box goes on which loader. */
#include <stdio.h>
#include <string.h>

#include "sim/mix.h"
#include "sim/scenario_private.h"

void pc_scenario_check_couplers(const pc_scenario *s, const pc_rolls *names, pc_faults *faults) {
  for (size_t i = 0; i < s->loader_count; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "loaders[%zu].boxes", i);
    pc_roll_refer_list(&names->boxes, key, &s->loaders[i].boxes, PC_LIST_NAMES, faults);
  }
}

void pc_scenario_check_coupler(const pc_scenario *s, size_t loader, const char *box, const char *key,
                               pc_faults *faults) {
  /* Where a name in the loader's list is wrong, that is the fault to mend. */
  const pc_loader *l = &s->loaders[loader];
  char allowed[200];
  for (size_t i = 0; i < l->boxes.count; i++)
    if (!pc_scenario_box(s, l->boxes.items[i].text))
      return;
  if (pc_loader_takes(l, box))
    return;
  pc_loader_print_boxes(l, allowed, sizeof allowed);
  pc_faults_add(faults, PC_ERR_NAME, key, box,
                "loader \"%s\" does not take \"%s\"; it takes %s (loaders[%zu].boxes)", l->name.text, box,
                allowed, loader);
}

void pc_scenario_check_mixes(const pc_scenario *s, const pc_roll *boxes, pc_faults *faults) {
  const pc_names *wanted = &s->compare.boxes;
  if (pc_names_are_all(wanted))
    return;
  for (size_t i = 0; i < wanted->count; i++) {
    char key[PC_KEY_MAX];
    pc_mix mix;
    pc_name unknown;
    const char *text = wanted->items[i].text;
    snprintf(key, sizeof key, "compare.boxes[%zu]", i);
    pc_status status = strcmp(text, PC_OWN) == 0 ? PC_OK : pc_mix_read(s, text, &mix, &unknown);
    if (status == PC_ERR_NAME && text[0] && !unknown.text[0])
      pc_faults_add(faults, PC_ERR_NAME, key, text, "\"%s\": a box is missing beside a plus", text);
    else if (status == PC_ERR_NAME)
      (void)pc_roll_refer(boxes, key, unknown.text, faults);
    else if (status != PC_OK)
      pc_faults_add(faults, PC_ERR_RANGE, key, text, "\"%s\" names more than %d boxes", text,
                    (int)PC_CREW_MAX);
  }
}
