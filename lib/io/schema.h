// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * JSON Schema (draft 2020-12) of the scenario format, made from the same tables that the reader walks, so
 * that the two cannot drift apart. Editors use it to complete and check scenario files while they are
 * written.
 *
 * It describes a file as YAML gives it: quantities are strings with a unit ("16 ft"), plain numbers are
 * numbers. What a schema cannot say (references by name, outlines that cross themselves) stays with the
 * reader.
 *
 * Failures: PC_ERR_MEMORY. Thread-safe.
 */
#ifndef PC_IO_SCHEMA_H
#define PC_IO_SCHEMA_H

#include "base/status.h"
#include "base/text.h"

PC_BEGIN_C

/* Appends the schema, as text that ends with a line feed. The caller frees *text with pc_text_free. */
PC_API PC_MUST_USE pc_status pc_schema_write(pc_text *text);

PC_END_C

#endif
