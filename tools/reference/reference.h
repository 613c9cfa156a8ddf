// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Manual pages and shell completion, made from the tables that the program itself walks: commands and options
 * (cli/cli.h), keys of a scenario (io/format.h, base/fields.h), dimensions and units (base/units.h). A
 * program of the build; it is not installed.
 */
#ifndef PC_TOOLS_REFERENCE_H
#define PC_TOOLS_REFERENCE_H

#include "cli/cli.h"

typedef struct page_edition { /* what stands at the foot of a page */
  const char *version, *date;
} page_edition;

/* ---- pages ---- */

void page_begin(pc_text *out, const char *name, const char *section, const page_edition *edition);
/* Text that is shown as it is: whatever troff would take for its own is escaped. */
void page_add(pc_text *out, const char *text);
/* The words of a text as a filled paragraph; an empty line begins another. */
void page_paragraph(pc_text *out, const char *text);
void page_paragraphf(pc_text *out, const char *format, ...) PC_PRINTF(2, 3);
/* A line as it is typed, or several. */
void page_example(pc_text *out, const char *text);
/* ".B name" with section, for SEE ALSO and lists; `end` follows in plain type. */
void page_refer(pc_text *out, const char *name, const char *section, const char *end);

void page_of_program(pc_text *out, const page_edition *edition);
void page_of_command(pc_text *out, const cli_command *command, const page_edition *edition);
void page_of_scenario(pc_text *out, const page_edition *edition);

/* ---- completion ---- */

void completion_bash(pc_text *out);
void completion_zsh(pc_text *out);

/* What an option or an operand takes, as a shell may complete it. */
typedef enum value_kind { VALUE_NONE, VALUE_WORDS, VALUE_FILE, VALUE_TEXT } value_kind;

/* `words` gets the fixed words that may stand there, each followed by a space; there may be some of
 * VALUE_TEXT, too. */
value_kind value_of_option(const cli_option *option, pc_text *words);

typedef struct operands {
  pc_text words;       /* fixed words that may stand first, each followed by a space */
  const char *pattern; /* of files: "*.yaml"; "*" for any; NULL: takes none */
  bool many;
} operands;

operands operands_of(const cli_command *command);
/* "run [OPTIONS] [SCENARIO.yaml]": the first line of the help, without "usage: pushcycle ". */
pc_text usage_of(const cli_command *command);

#endif
