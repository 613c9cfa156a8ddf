// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A scenario's text with one more layout and the zones it needs; everything else stays as it is, comments and
 * all. Lists in blocks ("- " on lines of their own) and in brackets are both known; what is in one pair of
 * brackets as a whole is not.
 *
 * Coordinates are written in the scenario's own site.units. Where the scenario has no layouts, one with all
 * of its zones, if there are any, is written before the new one, so that it stays the first.
 *
 * What is written is read again, as a scenario in the place of `name`: it says what it did before and has the
 * layout, and whatever keeps the layout or its zones from being read (a name, an outline) is a fault of its
 * key. Faults that the text had before are not told of: the command line may have set what was missing.
 *
 * Failures: PC_ERR_SYNTAX where the text cannot be added to, the status of what is wrong with the layout,
 * PC_ERR_MEMORY; faults say why. Thread-safe.
 */
#ifndef PC_IO_PLACE_WRITE_H
#define PC_IO_PLACE_WRITE_H

#include "sim/scenario.h"

PC_BEGIN_C

typedef struct pc_place_layout {
  const char *name;            /* of the new layout */
  const pc_zone *const *zones; /* its zones … */
  const bool *is_new;          /* … and which of them the scenario does not have yet */
  size_t count;
  const pc_zone *known; /* the scenario's zones, for the layout of all */
  size_t known_count;
} pc_place_layout;

/* `name` is what faults call the text, and the file it was read from if it was one. */
PC_API PC_MUST_USE pc_status pc_place_write(const char *name, const char *text, size_t length,
                                            const pc_place_layout *layout, pc_text *out, pc_faults *faults);

PC_END_C

#endif
