// SPDX-License-Identifier: GPL-3.0-or-later
/* JSON text to jansson's values, with memory told apart from slips. Not installed. Thread-safe (arguments
 * only). */
#ifndef PC_IO_JSON_PARSE_H
#define PC_IO_JSON_PARSE_H

#include <jansson.h>
#include <stdbool.h>

#include "base/export.h"

/* NULL if the text is not JSON (*problem says why), has a key twice in one object, or memory is short: then
 * *no_memory is set, and else left alone. */
PC_MUST_USE json_t *pc_json_parse(const char *text, size_t length, json_error_t *problem, bool *no_memory);

#endif
