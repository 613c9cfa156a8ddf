// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/schema.h"

#include "cli.h"

cli_exit cli_schema(const cli_options *options) {
  pc_text text = {0};
  if (pc_schema_write(&text) != PC_OK)
    text.failed = true;
  return cli_write(options, &text);
}
