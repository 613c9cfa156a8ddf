// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * reference DIRECTORY DATE: writes the manual pages and the completion files into the directory, which is
 * there: NAME.1, NAME.5, pushcycle.bash, _pushcycle. Exit status 3 if one can't be written.
 */
#include <stdio.h>
#include <string.h>

#include "base/version.h"
#include "reference.h"

static int write_file(const char *directory, const char *name, pc_text *text) {
  char path[4096];
  int bad = text->failed || !text->data ||
            snprintf(path, sizeof path, "%s/%s", directory, name) >= (int)sizeof path;
  FILE *file = bad ? NULL : fopen(path, "w");
  if (!file || fputs(text->data, file) < 0)
    bad = 1;
  if (file && fclose(file) != 0)
    bad = 1;
  if (bad)
    fprintf(stderr, "reference: %s/%s could not be written\n", directory, name);
  pc_text_free(text);
  return bad;
}

int main(int argc, char **argv) {
  if (argc != 3) {
    fprintf(stderr, "usage: reference DIRECTORY DATE\n");
    return CLI_USAGE;
  }
  const page_edition edition = {pc_version(), argv[2]};
  const cli_command *command;
  pc_text text = {0};
  page_of_program(&text, &edition);
  int bad = write_file(argv[1], "pushcycle.1", &text);
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++) {
    char name[80];
    snprintf(name, sizeof name, "pushcycle-%s.1", command->name);
    page_of_command(&text, command, &edition);
    bad |= write_file(argv[1], name, &text);
  }
  page_of_scenario(&text, &edition);
  bad |= write_file(argv[1], "pushcycle-scenario.5", &text);
  completion_bash(&text);
  bad |= write_file(argv[1], "pushcycle.bash", &text);
  completion_zsh(&text);
  bad |= write_file(argv[1], "_pushcycle", &text);
  return bad ? CLI_FILE : CLI_DONE;
}
