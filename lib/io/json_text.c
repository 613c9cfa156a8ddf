// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/json_text.h"

#include <stdlib.h>

#include "base/memory.h"

/* Where its lexer gets no memory, jansson 2.14 leaves a character out of a text and goes on, or reads beyond
 * its own buffer. So no text is read unless there is much more than its values take: some 30 bytes for a
 * number of 8 characters, and for lists of single digits not more than this. */
enum { BYTES_OF_BYTE = 32, START_BYTES = 64 * 1024 };

json_t *pc_json_parse(const char *text, size_t length, json_error_t *problem, bool *no_memory) {
  void *enough = pc_alloc(length + START_BYTES, BYTES_OF_BYTE);
  json_t *root = NULL;
  if (enough) {
    free(enough);
    root = json_loadb(length > 0 ? text : "", length, JSON_REJECT_DUPLICATES, problem);
  }
  if (!enough || (!root && json_error_code(problem) == json_error_out_of_memory))
    *no_memory = true;
  return root;
}

/* json_dumps leaves out what it has no room for. */
static int append(const char *buffer, size_t size, void *context) {
  pc_text_addf(context, "%.*s", (int)size, buffer);
  return ((pc_text *)context)->failed ? -1 : 0;
}

void pc_json_print(const json_t *value, size_t flags, pc_text *out) {
  if (!value || json_dump_callback(value, append, out, flags) != 0)
    out->failed = true;
}
