// SPDX-License-Identifier: GPL-3.0-or-later
/* What options and operands take, from how their tables name it: metric|us, FILE, [SCENARIO.yaml]. */
#include <ctype.h>
#include <string.h>

#include "reference.h"
#include "sim/policy.h"

/* "metric" and "time" are words to type as they are; "A,B", "1..6" and "NAME" stand for something. */
static bool is_fixed(const char *word, size_t length) {
  if (length == 0 || !islower((unsigned char)*word))
    return false;
  for (size_t i = 0; i < length; i++)
    if (!islower((unsigned char)word[i]) && !isdigit((unsigned char)word[i]) && word[i] != '-')
      return false;
  return true;
}

/* Returns whether all of the alternatives are fixed. */
static bool add_alternatives(const char *text, size_t length, pc_text *words) {
  bool all = true;
  for (size_t at = 0; at < length;) {
    size_t one = strcspn(text + at, "|");
    one = at + one > length ? length - at : one;
    if (is_fixed(text + at, one))
      pc_text_addf(words, "%.*s ", (int)one, text + at);
    else
      all = false;
    at += one + 1;
  }
  return all;
}

value_kind value_of_option(const cli_option *option, pc_text *words) {
  if (!option->argument)
    return VALUE_NONE;
  if (strcmp(option->argument, "FILE") == 0)
    return VALUE_FILE;
  if (option->bit == CLI_POLICY || option->bit == CLI_POLICIES)
    for (size_t i = 0; pc_policy_at(i); i++)
      pc_text_addf(words, "%s ", pc_policy_at(i)->name);
  return add_alternatives(option->argument, strlen(option->argument), words) ? VALUE_WORDS : VALUE_TEXT;
}

pc_text usage_of(const cli_command *command) {
  static const char start[] = "usage: pushcycle ";
  pc_text help = cli_help(command), usage = {0};
  const char *line = help.data ? help.data : "";
  if (strncmp(line, start, sizeof start - 1) == 0)
    line += sizeof start - 1;
  pc_text_addf(&usage, "%.*s", (int)strcspn(line, "\n"), line);
  pc_text_free(&help);
  return usage;
}

operands operands_of(const cli_command *command) {
  operands found = {0};
  pc_text usage = usage_of(command);
  const char *at = usage.data ? usage.data : "";
  at += strcspn(at, " "); /* the command itself */
  for (size_t length; *at; at += length) {
    at += strspn(at, " ");
    length = strcspn(at, " ");
    const char *dot = memchr(at, '.', length);
    if (strncmp(at, "[OPTIONS]", length) == 0)
      continue;
    if (strncmp(at, "FILE...", length) == 0) {
      found.pattern = "*";
      found.many = true;
    } else if (dot && strncmp(dot, ".csv", 4) == 0)
      found.pattern = "*.csv";
    else if (dot)
      found.pattern = "*.yaml";
    else
      (void)add_alternatives(at, length, &found.words);
  }
  pc_text_free(&usage);
  return found;
}
