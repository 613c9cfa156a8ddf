// SPDX-License-Identifier: GPL-3.0-or-later
/* Names of the time entries, shared by the JSON and the CSV writer; not installed. */
#ifndef PC_IO_RESULTS_PRIVATE_H
#define PC_IO_RESULTS_PRIVATE_H

#include "sim/result.h"

/* "fill" … "idle"; lowering and raising are one entry. */
enum { PC_TIME_ENTRIES = PC_PHASE_COUNT - 1 };

static const struct {
  const char *key;
  pc_phase phase, also; /* the same phase twice: only that one */
} pc_time_entries[PC_TIME_ENTRIES] = {
    {"fill", PC_PHASE_FILL, PC_PHASE_FILL}, {"carry", PC_PHASE_CARRY, PC_PHASE_CARRY},
    {"dump", PC_PHASE_DUMP, PC_PHASE_DUMP}, {"return", PC_PHASE_RETURN, PC_PHASE_RETURN},
    {"turn", PC_PHASE_TURN, PC_PHASE_TURN}, {"lower_raise", PC_PHASE_LOWER, PC_PHASE_RAISE},
    {"wait", PC_PHASE_WAIT, PC_PHASE_WAIT}, {"clean_up", PC_PHASE_CLEAN_UP, PC_PHASE_CLEAN_UP},
    {"idle", PC_PHASE_IDLE, PC_PHASE_IDLE},
};

/* Entry `index` of one machine, s. */
static inline double pc_time_entry(const pc_machine_result *machine, size_t index) {
  pc_phase phase = pc_time_entries[index].phase, also = pc_time_entries[index].also;
  return machine->time_s[phase] + (also != phase ? machine->time_s[also] : 0);
}

/* The same, summed over the machines. */
static inline double pc_time_total(const pc_result *result, size_t index) {
  double total = 0;
  for (size_t i = 0; i < result->machine_count; i++)
    total += pc_time_entry(&result->machines[i], index);
  return total;
}

#endif
