// SPDX-License-Identifier: GPL-3.0-or-later
/* What the parts of pc_scenario_validate share. Internal to this folder; not installed. */
#ifndef PC_SIM_SCENARIO_PRIVATE_H
#define PC_SIM_SCENARIO_PRIVATE_H

#include "sim/scenario.h"

/* The names of one list of the scenario, wherever they are. */
typedef struct pc_roll {
  const char *key;  /* "boxes" */
  const char *noun; /* "box" */
  const void *first_name;
  size_t count, stride;
} pc_roll;

typedef struct pc_rolls {
  pc_roll boxes, loaders, zones, layouts, areas;
} pc_rolls;

/* Names of one list that are the same, or that no list may have. */
void pc_roll_check(const pc_roll *names, pc_faults *faults);
/* Index of a name that is referred to, or names->count after a fault. Where the whole list is missing, that
 * is the fault to mend, not every reference into it. */
size_t pc_roll_refer(const pc_roll *names, const char *key, const char *name, pc_faults *faults);
/* Words that may stand in a list instead of names. */
typedef enum pc_list_words { PC_LIST_NAMES, PC_LIST_ALL, PC_LIST_ALL_OWN } pc_list_words;
/* The same for a list of names; `names` NULL: they cannot be known here. */
void pc_roll_refer_list(const pc_roll *names, const char *prefix, const pc_names *wanted, pc_list_words words,
                        pc_faults *faults);

/* Order and times of the areas, shifts and breaks, the storm, crews to compare. `sound_areas`: per area,
 * whether its outline has no fault. */
void pc_scenario_check_night(const pc_scenario *scenario, const pc_rolls *names, const bool *sound_areas,
                             pc_faults *faults);

/* Names of the boxes that loaders can carry. */
void pc_scenario_check_couplers(const pc_scenario *scenario, const pc_rolls *names, pc_faults *faults);
/* A box of the crew that its loader, which is given by its index, can't carry. */
void pc_scenario_check_coupler(const pc_scenario *scenario, size_t loader, const char *box, const char *key,
                               pc_faults *faults);
/* Boxes to compare: names, mixes of them, or the word for what the crew has. */
void pc_scenario_check_mixes(const pc_scenario *scenario, const pc_roll *boxes, pc_faults *faults);

/* Pavement that is open to some loaders only. `sound`: per outline of pc_site_pavement, whether it has no
 * fault. */
void pc_scenario_check_open(const pc_scenario *scenario, const pc_rolls *names, const bool *sound,
                            pc_faults *faults);

/* Cautions about figures that are allowed but unusual, as a slip of unit makes them, and prices that are
 * missing. */
void pc_scenario_check_unusual(const pc_scenario *scenario, pc_faults *faults);

/* The places to choose among, and what is asked for. */
void pc_scenario_check_place(const pc_scenario *scenario, pc_faults *faults);

#endif
