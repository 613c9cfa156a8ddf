// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A mix: which box on which machine of a crew, as text. "16 ft" is that box on every machine. "2 x 16 ft +
 * 14 ft" is the 16 ft box on the first two machines and the 14 ft one on the third, in the order of the crew
 * written out, machine by machine; a mix is begun anew where there are more machines than it has boxes.
 * Machines that stay as they are (`keep`) are not counted. A box whose own name is the whole text is that
 * box. Thread-safe (arguments only).
 */
#ifndef PC_SIM_MIX_H
#define PC_SIM_MIX_H

#include "sim/scenario.h"

PC_BEGIN_C

typedef struct pc_mix {
  size_t count;              /* 1 to PC_CREW_MAX */
  size_t boxes[PC_CREW_MAX]; /* index of each in scenario->boxes */
} pc_mix;

/* PC_ERR_NAME: a part is not the name of a box, and *unknown is that part. PC_ERR_LIMIT: more than
 * PC_CREW_MAX boxes. `unknown` may be NULL. */
PC_API PC_MUST_USE pc_status pc_mix_read(const pc_scenario *scenario, const char *text, pc_mix *mix,
                                         pc_name *unknown);
/* A text that gives each machine of a crew the same box as this mix. PC_ERR_LIMIT: it is longer than a name
 * may be. PC_ERR_NAME: there is none, as a box is called like a mix ("2 x A" beside A). */
PC_API PC_MUST_USE pc_status pc_mix_write(const pc_scenario *scenario, const pc_mix *mix, pc_name *text);
/* Names one after the other, as a mix has them; with `times`, what follows itself once: "2 x A + B".
 * PC_ERR_LIMIT: they do not fit into `size` bytes, of which there is one at least. */
PC_API PC_MUST_USE pc_status pc_mix_join(const char *const *names, size_t count, bool times, char *text,
                                         size_t size);
/* The crew written out: entry of each machine that does not stay as it is, in order, begun anew until there
 * are so many; 0: as many as there are. Returns how many, PC_CREW_MAX at most. */
PC_API size_t pc_crew_write_out(const pc_scenario *scenario, int machines, size_t entries[PC_CREW_MAX]);
/* A box on a loader that can't carry it (`boxes` of a loader). */
typedef struct pc_misfit {
  const pc_loader *loader;
  const pc_box *box;
} pc_misfit;
/* True if a mix (NULL: the crew's own boxes) puts such a box on one of so many machines, with this loader on
 * all of them (NULL: their own); the first one is *misfit, which may be NULL. */
PC_API bool pc_mix_misfits(const pc_scenario *scenario, const pc_mix *mix, const char *loader, int machines,
                           pc_misfit *misfit);
/* Both give every machine of a crew of so many the same box. */
PC_API bool pc_mix_is_same(const pc_mix *a, const pc_mix *b, size_t machines);

PC_END_C

#endif
