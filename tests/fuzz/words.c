// SPDX-License-Identifier: GPL-3.0-or-later
/* Prints the schema of the format: run.sh takes the words for libFuzzer from it. */
#include <stdio.h>

#include "io/schema.h"

int main(void) {
  pc_text text = {0};
  const bool good =
      pc_schema_write(&text) == PC_OK && !text.failed && fputs(text.data, stdout) >= 0 && fflush(stdout) == 0;
  pc_text_free(&text);
  return good ? 0 : 1;
}
