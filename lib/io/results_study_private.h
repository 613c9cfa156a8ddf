// SPDX-License-Identifier: GPL-3.0-or-later
/* How the JSON of a study ends; not installed. */
#ifndef PC_IO_RESULTS_STUDY_PRIVATE_H
#define PC_IO_RESULTS_STUDY_PRIVATE_H

#include <string.h>

#include "io/results_json_private.h"

static inline int pc_json_to_text(const char *buffer, size_t size, void *out) {
  pc_text_addf(out, "%.*s", (int)size, buffer);
  return ((pc_text *)out)->failed ? -1 : 0;
}

static inline void pc_json_append(json_t *list, json_t *item, bool *bad) {
  if (json_array_append_new(list, item) != 0)
    *bad = true;
}

/* Writes the document and releases it. */
static inline pc_status pc_json_end(json_t *root, bool bad, pc_text *out) {
  if (!bad && json_dump_callback(root, pc_json_to_text, out, JSON_INDENT(1) | JSON_REAL_PRECISION(15)) != 0)
    bad = true;
  json_decref(root);
  pc_text_add(out, "\n");
  return bad || out->failed ? PC_ERR_MEMORY : PC_OK;
}

#endif
