// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/json_text.h"

#include <string.h>

/* Where its lexer gets no memory, jansson 2.14 calls the text wrong, or leaves a character out and goes on.
 * So a text is read twice: only what comes out the same is taken, and only what is refused in one place and
 * in the same words is wrong. */
json_t *pc_json_parse(const char *text, size_t length, json_error_t *problem, bool *no_memory) {
  json_error_t first;
  json_t *root = json_loadb(text, length, JSON_REJECT_DUPLICATES, &first);
  json_t *again = json_loadb(text, length, JSON_REJECT_DUPLICATES, problem);
  bool same = root && again
                  ? json_equal(root, again)
                  : !root && !again && problem->text[0] != '\0' && problem->position == first.position &&
                        strcmp(problem->text, first.text) == 0 &&
                        json_error_code(problem) != json_error_out_of_memory;
  json_decref(again);
  if (same)
    return root;
  json_decref(root);
  *no_memory = true;
  return NULL;
}

/* json_dumps, too, leaves out what it has no room for. */
static int append(const char *buffer, size_t size, void *context) {
  pc_text_addf(context, "%.*s", (int)size, buffer);
  return ((pc_text *)context)->failed ? -1 : 0;
}

void pc_json_print(const json_t *value, size_t flags, pc_text *out) {
  if (!value || json_dump_callback(value, append, out, flags) != 0)
    out->failed = true;
}
