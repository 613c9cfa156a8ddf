// SPDX-License-Identifier: GPL-3.0-or-later
/* Completion for bash and zsh: commands, options, words that are fixed, names of files. */
#include <string.h>

#include "reference.h"

/* ---- bash ---- */

static const char bash_head[] =
    "# bash completion for pushcycle. Made from the tables of the program: tools/reference.\n"
    "\n"
    "_pushcycle() {\n"
    "  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD - 1]}\n"
    "  local words= options= files= command= at\n"
    "  COMPREPLY=()\n"
    "  # --units=me is three words to bash\n"
    "  if [[ $cur == = ]]; then\n"
    "    cur=\n"
    "  elif [[ $prev == = ]] && ((COMP_CWORD > 2)); then\n"
    "    prev=${COMP_WORDS[COMP_CWORD - 2]}\n"
    "  fi\n"
    "  if ((COMP_CWORD == 1)); then\n"
    "    COMPREPLY=($(compgen -W '";

static const char bash_tail[] =
    "    *) return ;;\n"
    "  esac\n"
    "  if [[ $cur == -* ]]; then\n"
    "    COMPREPLY=($(compgen -W \"$options\" -- \"$cur\"))\n"
    "    return\n"
    "  fi\n"
    "  [[ -z $words ]] || COMPREPLY=($(compgen -W \"$words\" -- \"$cur\"))\n"
    "  if [[ -n $files ]]; then\n"
    "    compopt -o filenames 2>/dev/null\n"
    "    while IFS= read -r at; do\n"
    "      # folders, and files of the kind wanted\n"
    "      # shellcheck disable=SC2053\n"
    "      if [[ -d $at || $at == $files ]]; then COMPREPLY+=(\"$at\"); fi\n"
    "    done < <(compgen -f -- \"$cur\")\n"
    "  fi\n"
    "}\n"
    "\n"
    "complete -F _pushcycle pushcycle\n";

/* The case of one command: what stands after an option, else its options and operands. */
static void add_bash_command(pc_text *out, const cli_command *command) {
  const cli_option *option;
  operands takes = operands_of(command);
  pc_text_addf(out, "    %s)\n      case $prev in\n", command->name);
  for (size_t i = 0; (option = cli_option_at(command, i)) != NULL; i++) {
    pc_text words = {0};
    value_kind kind = value_of_option(option, &words);
    if (kind == VALUE_FILE)
      pc_text_addf(out, "        --%s) files='*' ;;\n", option->name);
    else if (kind != VALUE_NONE)
      pc_text_addf(out, "        --%s) words='%s' ;;\n", option->name, words.data ? words.data : "");
    out->failed |= words.failed;
    pc_text_free(&words);
  }
  pc_text_add(out, "        *)\n          options='");
  for (size_t i = 0; (option = cli_option_at(command, i)) != NULL; i++)
    pc_text_addf(out, "%s--%s", i ? " " : "", option->name);
  pc_text_addf(out, "'\n          files='%s'\n", takes.pattern ? takes.pattern : "");
  if (takes.words.data)
    pc_text_addf(out, "          ((COMP_CWORD > 2)) || words='%s' files=\n", takes.words.data);
  pc_text_add(out, "          ;;\n      esac\n      ;;\n");
  pc_text_free(&takes.words);
}

void completion_bash(pc_text *out) {
  const cli_command *command;
  pc_text_add(out, bash_head);
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++)
    pc_text_addf(out, "%s ", command->name);
  pc_text_add(out,
              "help --help --version' -- \"$cur\"))\n    return\n  fi\n"
              "  command=${COMP_WORDS[1]}\n  case $command in\n");
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++)
    add_bash_command(out, command);
  pc_text_add(out, bash_tail);
}

/* ---- zsh ---- */

/* Text between quotes of '…', where brackets and colons mean something to _arguments. */
static void add_zsh_text(pc_text *out, const char *text) {
  for (; *text; text++)
    if (*text == '\'')
      pc_text_add(out, "'\\''");
    else
      pc_text_addf(out, strchr("[]:\\", *text) ? "\\%c" : "%c", *text);
}

static void add_zsh_command(pc_text *out, const cli_command *command) {
  const cli_option *option;
  operands takes = operands_of(command);
  pc_text_addf(out, "        %s)\n          _arguments", command->name);
  for (size_t i = 0; (option = cli_option_at(command, i)) != NULL; i++) {
    pc_text words = {0};
    value_kind kind = value_of_option(option, &words);
    pc_text_addf(out, " \\\n            '%s--%s[", option->bit == CLI_SET ? "*" : "", option->name);
    add_zsh_text(out, option->help);
    pc_text_add(out, "]");
    if (option->argument) {
      pc_text_add(out, ":");
      add_zsh_text(out, option->argument);
      pc_text_addf(out, kind == VALUE_FILE ? ":_files" : words.data ? ":(%s)" : ": ", words.data);
    }
    pc_text_add(out, "'");
    out->failed |= words.failed;
    pc_text_free(&words);
  }
  if (takes.words.data)
    pc_text_addf(out, " \\\n            '1:what:(%s)'", takes.words.data);
  if (takes.pattern)
    pc_text_addf(out, " \\\n            '%sfile:_files -g \"%s\"'", takes.many ? "*:" : ":", takes.pattern);
  pc_text_add(out, "\n          ;;\n");
  pc_text_free(&takes.words);
}

void completion_zsh(pc_text *out) {
  const cli_command *command;
  pc_text_add(out,
              "#compdef pushcycle\n"
              "# zsh completion for pushcycle. Made from the tables of the program: tools/reference.\n\n"
              "_pushcycle() {\n  local state line\n  local -a commands\n  commands=(\n");
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++) {
    pc_text_addf(out, "    '%s:", command->name);
    add_zsh_text(out, command->summary);
    pc_text_add(out, "'\n");
  }
  pc_text_add(out,
              "    'help:the commands, or the options of one'\n"
              "  )\n  _arguments -C '(- *)--help[show the commands]' '(- *)--version[show the version]' \\\n"
              "    '1: :->command' '*:: :->rest'\n  case $state in\n"
              "    command) _describe -t commands 'pushcycle command' commands ;;\n"
              "    rest)\n      case $words[1] in\n");
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++)
    add_zsh_command(out, command);
  pc_text_add(out, "      esac\n      ;;\n  esac\n}\n\n_pushcycle \"$@\"\n");
}
