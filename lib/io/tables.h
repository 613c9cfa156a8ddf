// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Results as text for people: sentences and tables with aligned columns, no colour, numbers with units
 * of the wanted system whatever the locale.
 *
 * Ownership: everything goes into the caller's pc_text. Failures: only memory; then out->failed is set.
 * Thread-safe (arguments only).
 */
#ifndef PC_IO_TABLES_H
#define PC_IO_TABLES_H

#include "io/tables_siting.h"
#include "study/assign.h"
#include "study/compare.h"
#include "study/fit.h"
#include "study/limits.h"
#include "study/place.h"
#include "study/plan_search.h"
#include "study/replicate.h"
#include "study/sensitivity.h"

PC_BEGIN_C

/* A table that grows cell by cell, row after row. Start it with one letter per column, 'l' or 'r' for the
 * side to which it is aligned. */
typedef struct pc_table {
  const char *alignment; /* borrowed */
  size_t columns;
  pc_text cells;  /* texts one after the other, each with its terminator */
  size_t *starts; /* of each cell in `cells` */
  size_t count, capacity;
  bool failed;
} pc_table;

/* Begins a table, and adds one cell after the other, row by row. */
PC_API void pc_table_start(pc_table *table, const char *alignment);
PC_API void pc_table_cell(pc_table *table, const char *format, ...) PC_PRINTF(2, 3);
/* Adds the cells of a whole row: `words` separated by '|'. */
PC_API void pc_table_heading(pc_table *table, const char *words);
/* Columns are two spaces apart, and so is the table from the margin; no spaces at the end of a line. */
PC_API void pc_table_write(const pc_table *table, pc_text *out);
PC_API void pc_table_free(pc_table *table);

/* One run. The first line is the answer. */
PC_API void pc_tables_run(const pc_lot *lot, const pc_summary *summary, pc_unit_system system, pc_text *out);
/* The same with at most five of the siting findings of its layout; `notes` may be NULL. */
PC_API void pc_tables_run_with(const pc_lot *lot, const pc_summary *summary, const pc_notes *notes,
                               pc_unit_system system, pc_text *out);
/* A comparison: the answer, the ranked table, and why. `scenario` is the one that was compared. */
PC_API void pc_tables_compare(const pc_scenario *scenario, const pc_comparison *comparison,
                              pc_unit_system system, pc_text *out);
/* The same with at most five of the siting findings of its layouts; `notes` may be NULL. */
PC_API void pc_tables_compare_with(const pc_scenario *scenario, const pc_comparison *comparison,
                                   const pc_notes *notes, pc_unit_system system, pc_text *out);
/* What snow limits are told for, a line with an empty one after it, where that is not the snow that lies at
 * the start; else nothing. Cannot fail, but for `out`. */
PC_API void pc_tables_limits_snow(const pc_scenario *scenario, pc_unit_system system, pc_text *out);
/* A line that names the boxes which this loader can't carry (NULL: each of the loaders), if there are any. */
PC_API void pc_tables_limits_left_out(const pc_scenario *scenario, const char *loader, pc_text *out);
/* Limits of loader × box: rows of pc_limits_make, loaders outer. */
PC_API void pc_tables_limits(const pc_limits_row *rows, size_t count, pc_unit_system system, pc_text *out);

/* What timed cycles say: a fragment of a scenario in YAML, with the findings as comments. `name`: where they
 * come from. */
PC_API void pc_tables_fit(const pc_fit *fit, const char *name, pc_unit_system system, pc_text *out);

/* Inputs by how much they matter, and the depths where a ranking turns. */
PC_API void pc_tables_sensitivity(const pc_sensitivity *s, pc_unit_system system, pc_text *out);

/* A plan found by search: what it saves, how sure that is, and what each machine does when; with the
 * crossings of the notes, which may be NULL. */
PC_API void pc_tables_plan(const pc_lot *lot, const pc_planning *planning, uint64_t seed,
                           const pc_notes *notes, pc_unit_system system, pc_text *out);

/* Where the piles should lie: a placement with finalists. `notes` may be NULL. */
PC_API void pc_tables_place(const pc_scenario *scenario, const pc_placement *placement, const pc_notes *notes,
                            pc_unit_system system, pc_text *out);

/* Which machine clears which lot: an assignment made for this fleet. */
PC_API void pc_tables_assign(const pc_fleet *fleet, const pc_assignment *assignment, pc_text *out);

/* The sentence on where snow may be piled, and the usual cautions, one a line. */
PC_API void pc_tables_cautions(pc_text *out);
/* One short line that stands below every result. */
PC_API const char *pc_tables_caution_line(void);

PC_END_C

#endif
