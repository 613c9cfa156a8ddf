// SPDX-License-Identifier: GPL-3.0-or-later
/* JSON text to jansson's values and back, so that a lack of memory is never taken for something else. Not
 * installed. Thread-safe (arguments only). */
#ifndef PC_IO_JSON_TEXT_H
#define PC_IO_JSON_TEXT_H

#include <jansson.h>
#include <stdbool.h>

#include "base/text.h"

/* NULL if the text is not JSON (*problem says why), has a key twice in one object, or memory is short: then
 * *no_memory is set, and else left alone. */
PC_MUST_USE json_t *pc_json_parse(const char *text, size_t length, json_error_t *problem, bool *no_memory);
/* Adds a value (NULL: out of memory) with the flags of json_dumps; a failure is kept in out->failed. */
void pc_json_print(const json_t *value, size_t flags, pc_text *out);

#endif
