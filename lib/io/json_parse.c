// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/json_parse.h"

#include <string.h>

/* Where its lexer gets no memory, jansson calls the text wrong, at the place where it was. So a text that was
 * refused is read once more: only what is refused twice, in one place and in the same words, is wrong. */
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
