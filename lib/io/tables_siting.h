// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Siting findings of one or several layouts of a scenario, gathered for showing: what was found of a zone in
 * one layout is not told again of the next. Every list that is shown goes with the sentence that local codes
 * and licensed practice decide (pc_tables_cautions, pc_tables_caution_line); the writers of results see to
 * it.
 *
 * Ownership: zero-initialise a report, free it with pc_siting_report_free. Failures: PC_ERR_MEMORY,
 * PC_ERR_GEOMETRY for outlines that were not validated, PC_ERR_NAME for a layout that does not exist.
 * Thread-safe (arguments only).
 */
#ifndef PC_IO_TABLES_SITING_H
#define PC_IO_TABLES_SITING_H

#include "sim/scenario.h"
#include "study/crossings.h"
#include "study/depths.h"
#include "study/heading.h"
#include "study/order.h"

PC_BEGIN_C

typedef struct pc_siting_entry {
  pc_name layout;            /* the first in which it was found */
  size_t layout_index;       /* in the scenario */
  pc_name zone;              /* "": all zones of the layout together */
  pc_siting_finding finding; /* its zone is an index in the scenario */
} pc_siting_entry;

typedef struct pc_siting_report {
  pc_siting_entry *items; /* most severe first, then by rule */
  size_t count, capacity;
  bool *seen; /* zones of the scenario that some layout had */
} pc_siting_report;

/* What a layout can hold: one row with zone "" for all of it, then one for each of its zones. */
typedef struct pc_room_row {
  pc_name layout, zone;
  size_t zones;            /* of the layout; 0 in the rows of single zones */
  double room_m3, need_m3; /* INFINITY: no limit; need NaN in the rows of single zones */
} pc_room_row;

/* What is told along with a result; each may be NULL. */
typedef struct pc_notes {
  const pc_siting_report *siting;
  const pc_heading_report *headings;
  const pc_depths_series *depths; /* of the run's first replication, if snow falls */
  const pc_order *order;          /* of areas, that keeps more deadlines of the run */
  const pc_crossed *crossed;      /* who drives across areas that are bound to others, in that replication */
} pc_notes;

/* Adds what is found in one layout (NULL: the first; "all zones" where there are none). need_m3: piled snow
 * of the depth to plan for, or NaN. Always the same scenario for one report. */
PC_API PC_MUST_USE pc_status pc_siting_report_add(pc_siting_report *report, const pc_scenario *scenario,
                                                  const char *layout, double need_m3);
PC_API void pc_siting_report_free(pc_siting_report *report);

/* What one says, of its zone or of the layout. */
PC_API void pc_siting_tell(const pc_siting_entry *entry, pc_unit_system system, pc_text *out);
/* At most `most` findings, one a line, and how many there are more; nothing if there is none. */
PC_API void pc_tables_siting(const pc_siting_report *report, size_t most, pc_unit_system system,
                             pc_text *out);
/* All findings as a table; nothing if there is none. */
PC_API void pc_tables_siting_table(const pc_siting_report *report, pc_unit_system system, pc_text *out);

PC_END_C

#endif
