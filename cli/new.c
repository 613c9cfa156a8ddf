// SPDX-License-Identifier: GPL-3.0-or-later
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"
#include "io/starter.h"

/* Opening with O_EXCL, not asking first: nobody's file can come between. */
static cli_exit write_new(const char *path, const char *text) {
  int descriptor = open(path, O_WRONLY | O_CREAT | O_EXCL, 0666);
  if (descriptor < 0 && errno == EEXIST) {
    cli_say("%s exists already, and is left alone; choose another name", path);
    return CLI_USAGE;
  }
  if (descriptor < 0) {
    cli_say("%s: %s", path, strerror(errno));
    return CLI_FILE;
  }
  errno = 0;
  FILE *file = fdopen(descriptor, "w");
  bool failed = !file || fputs(text, file) == EOF;
  if (file ? fclose(file) != 0 : close(descriptor) != 0)
    failed = true;
  if (!failed)
    return CLI_DONE;
  cli_say("%s: %s", path, errno ? strerror(errno) : "could not be written");
  unlink(path);
  return CLI_FILE;
}

cli_exit cli_new(const cli_options *options) {
  if (options->output)
    return write_new(options->output, pc_starter_scenario());
  pc_text text = {0};
  pc_text_add(&text, pc_starter_scenario());
  return cli_write(options, &text);
}
