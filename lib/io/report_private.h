// SPDX-License-Identifier: GPL-3.0-or-later
/* What the parts of the report share; not installed. */
#ifndef PC_IO_REPORT_PRIVATE_H
#define PC_IO_REPORT_PRIVATE_H

#include "io/pictures.h"
#include "io/tables_private.h"

/* report.c: a part of the page, by its id; text as a list, an item for each line; the first line of a text as
 * one element; a table of text as one of the page, whose columns are aligned as it says. */
void pc_report_start(pc_text *out, const char *id);
void pc_report_end(pc_text *out);
void pc_report_lines(const char *lines, pc_text *out);
void pc_report_line(const pc_text *words, const char *element, pc_text *out);
void pc_report_table(pc_text *out, const pc_table *table, const char *alignment, const char *label,
                     const char *caption);

/* report_night.c: how many machines, where that varies; the storm, where there is one. */
pc_status pc_report_crews(const pc_report_content *content, const pc_varying *varies, pc_unit_system units,
                          pc_text *out);
void pc_report_storm(const pc_report_content *content, const pc_varying *varies, pc_unit_system units,
                     pc_text *out);

/* report_inputs.c: every value of the scenario, defaults in words, as tables. */
void pc_report_inputs(const pc_scenario *scenario, pc_unit_system units, pc_text *out);
#endif
