// SPDX-License-Identifier: GPL-3.0-or-later
/* The crew of a scenario, machine by machine. Internal: not installed. Thread-safe (arguments only). */
#ifndef PC_SIM_CREW_H
#define PC_SIM_CREW_H

#include "sim/mix.h"

/* The machines of so many crew entries written out: each entry as often as its count, those that stay as they
 * are once, and the others until there are so many of them, begun anew as often as needed; machines 0: as
 * many as there are. Gives the entry of each; returns how many, `room` at most. */
size_t pc_crew_line_up(const pc_crew_entry *crew, size_t entry_count, int machines, size_t *entries,
                       size_t room);

/* What a machine is called: its loader's name, and which of the machines with that loader it is, from 1. */
pc_name pc_crew_machine_name(const pc_name *loader, int number);

/* What the crew has on its machines that do not stay as they are, so many of them, as a mix. */
pc_mix pc_mix_own(const pc_scenario *scenario, int machines);

/* Those machines do not all have the same name here: offsetof(pc_crew_entry, box) or loader. */
bool pc_crew_differs(const pc_scenario *scenario, size_t member);

#endif
