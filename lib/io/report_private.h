// SPDX-License-Identifier: GPL-3.0-or-later
/* What the parts of the report share; not installed. */
#ifndef PC_IO_REPORT_PRIVATE_H
#define PC_IO_REPORT_PRIVATE_H

#include "io/pictures.h"

/* report_inputs.c: every value of the scenario, defaults in words, as tables. */
void pc_report_inputs(const pc_scenario *scenario, pc_unit_system units, pc_text *out);
#endif
