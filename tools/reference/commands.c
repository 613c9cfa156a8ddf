// SPDX-License-Identifier: GPL-3.0-or-later
/* pushcycle(1), and one page for each command. */
#include <string.h>

#include "io/tables.h"
#include "reference.h"

/* Every line of an example is run by tests/reference.sh, in a folder that holds yard.yaml. */
static const struct {
  const char *command, *words, *lines;
} examples[] = {
    {"new", "A scenario to start from, and what it says:",
     "pushcycle new --output my-yard.yaml\npushcycle check my-yard.yaml"},
    {"new", "One in feet, inches, miles per hour, pounds and gallons:",
     "pushcycle new --units us --output feet.yaml\npushcycle run feet.yaml"},
    {"check", "Every fault and caution of a scenario, with its line:", "pushcycle check yard.yaml"},
    {"run", "The demonstration lot with five piles, and another yard in other snow:",
     "pushcycle run --layout 'five piles'\npushcycle run --depth '15 cm' --set 'boxes[0].width=16 ft' "
     "yard.yaml"},
    {"run", "For a program, with every leg of the first replication:",
     "pushcycle run --json --output result.json --trace legs.csv yard.yaml"},
    {"compare", "Which layout is quickest with which box, in little and in much snow:",
     "pushcycle compare --layouts all --boxes all --depths '5 cm,15 cm' yard.yaml"},
    {"compare", "Where one more machine no longer pays:", "pushcycle compare --crews 1..4 yard.yaml"},
    {"limits", "What limits each loader with each box, in US units:", "pushcycle limits --units us"},
    {"place", "The best two places for pile zones:", "pushcycle place --zones 2 yard.yaml"},
    {"plan", "An order of work found by search, and a run that follows it:",
     "pushcycle plan --tries 16 --save plan.json yard.yaml\npushcycle run --plan plan.json yard.yaml"},
    {"draw", "The map of a lot, and when each machine does what:",
     "pushcycle draw map --output map.pdf yard.yaml\npushcycle draw timeline --output night.svg yard.yaml"},
    {"brief", "A sheet for each operator, on US letter paper:",
     "pushcycle brief --units us --output brief.pdf yard.yaml"},
    {"report", "One page of a comparison:", "pushcycle report --output report.html yard.yaml"},
    {"replay", "Two policies side by side:",
     "pushcycle replay --policies straight-runs,keep-pushing --output night.html yard.yaml"},
    {"schema",
     "For an editor that completes and checks YAML:", "pushcycle schema --output pushcycle.schema.json"},
    {"sensitivity", "Which inputs matter most:", "pushcycle sensitivity yard.yaml"},
    {"fit", "Speeds from the trace of a run:",
     "pushcycle run --quiet --trace legs.csv yard.yaml --output result.txt\npushcycle fit legs.csv"},
    {"merge", "Half of the work on each of two machines, and the whole of it:",
     "pushcycle run --replications 4 --shard 1/2 --output part1 yard.yaml\n"
     "pushcycle run --replications 4 --shard 2/2 --output part2 yard.yaml\n"
     "pushcycle merge part1 part2"},
    {"assign", "Which machine clears which of three lots:",
     "pushcycle assign fleet.yaml clinic.yaml market.yaml school.yaml"},
};

static void add_examples(pc_text *out, const cli_command *command) {
  bool none = true;
  pc_text_add(out, ".SH EXAMPLES\n");
  for (size_t i = 0; i < sizeof examples / sizeof examples[0]; i++)
    if (strcmp(examples[i].command, command->name) == 0) {
      pc_text_add(out, none ? "" : ".PP\n");
      page_paragraph(out, examples[i].words);
      page_example(out, examples[i].lines);
      none = false;
    }
  if (none) {
    pc_text line = {0};
    page_paragraph(out, "What the installed version takes:");
    pc_text_addf(&line, "pushcycle %s --help", command->name);
    page_example(out, line.data ? line.data : "");
    pc_text_free(&line);
  }
}

/* "run [OPTIONS] FILE..." with what is typed as it is in bold, and the rest in italics. */
static void add_synopsis(pc_text *out, const char *usage) {
  pc_text_add(out, "\\fBpushcycle\\fP");
  bool first = true;
  for (size_t length; *usage; usage += length) {
    usage += strspn(usage, " ");
    length = strcspn(usage, " ");
    if (length == 0)
      break;
    pc_text word = {0};
    pc_text_addf(&word, "%.*s", (int)length, usage);
    pc_text_add(out, first ? " \\fB" : " \\fI");
    page_add(out, word.data ? word.data : "");
    pc_text_add(out, "\\fP");
    pc_text_free(&word);
    first = false;
  }
  pc_text_add(out, "\n");
}

static void add_option(pc_text *out, const cli_option *option) {
  pc_text_add(out, ".TP\n\\fB\\-\\-");
  page_add(out, option->name);
  pc_text_add(out, "\\fP");
  if (option->argument) {
    pc_text words = {0};
    bool fixed = value_of_option(option, &words) == VALUE_WORDS;
    pc_text_free(&words);
    pc_text_add(out, fixed ? " \\fB" : " \\fI");
    page_add(out, option->argument);
    pc_text_add(out, "\\fP");
  }
  pc_text_add(out, "\n");
  page_paragraph(out, option->help);
}

static void add_exit_statuses(pc_text *out) {
  static const struct {
    cli_exit status;
    const char *words;
  } all[] = {{CLI_DONE, "Done."},
             {CLI_UNFINISHED, "The work could not be finished; the result is printed all the same."},
             {CLI_USAGE, "Bad usage, or a bad scenario; standard error says what is allowed."},
             {CLI_FILE, "A file could not be read or written, or memory ran out."}};
  pc_text_add(out, ".SH EXIT STATUS\n");
  for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
    pc_text_addf(out, ".TP\n.B %d\n", (int)all[i].status);
    page_paragraph(out, all[i].words);
  }
}

static void add_files(pc_text *out, const cli_command *command) {
  operands takes = operands_of(command);
  pc_text_add(out, ".SH FILES\n");
  if (command->takes & CLI_TIMES)
    page_paragraph(out, "A CSV file is read; its columns are told above.");
  else if (takes.pattern && !takes.many) {
    page_paragraph(out,
                   "Without a scenario the built-in demonstration lot is used. `-' is standard input. "
                   "The format is told in");
    page_refer(out, "pushcycle-scenario", "5", ",");
    page_paragraph(out, "and a scenario may name further files (site.file, storm_file).");
  } else if (takes.many)
    page_paragraph(out, "Files are read in the order given.");
  else
    page_paragraph(out, "No file is read but those that options name.");
  page_paragraph(
      out,
      "There are no settings, and no environment variables of the program's own. A file that is "
      "written appears under its name only once all of it is written, and never takes the place of "
      "one that was read.");
  pc_text_free(&takes.words);
}

void page_of_command(pc_text *out, const cli_command *command, const page_edition *edition) {
  char name[80];
  snprintf(name, sizeof name, "pushcycle-%s", command->name);
  page_begin(out, name, "1", edition);
  pc_text_add(out, ".SH NAME\n");
  page_add(out, name);
  pc_text_add(out, " \\- ");
  page_add(out, command->summary);
  pc_text_add(out, "\n.SH SYNOPSIS\n");
  pc_text usage = usage_of(command);
  add_synopsis(out, usage.data ? usage.data : "");
  pc_text_free(&usage);
  pc_text_add(out, ".SH DESCRIPTION\n");
  page_paragraph(out, command->help);
  pc_text_add(out, ".SH OPTIONS\n");
  const cli_option *option;
  for (size_t i = 0; (option = cli_option_at(command, i)) != NULL; i++)
    add_option(out, option);
  add_exit_statuses(out);
  add_files(out, command);
  add_examples(out, command);
  pc_text_add(out, ".SH SEE ALSO\n");
  page_refer(out, "pushcycle", "1", ",");
  page_refer(out, "pushcycle-scenario", "5", "");
}

/* Lines, of which those that start with a dash are items. */
static void add_list(pc_text *out, const char *text) {
  for (size_t length; *text; text += length + (text[length] == '\n')) {
    bool item = strncmp(text, "  - ", 4) == 0;
    length = strcspn(text, "\n");
    pc_text_add(out, item ? ".IP \\(bu 2\n" : ".PP\n");
    page_paragraphf(out, "%.*s", (int)(length - (item ? 4 : 0)), text + (item ? 4 : 0));
  }
}

void page_of_program(pc_text *out, const page_edition *edition) {
  const cli_command *command;
  page_begin(out, "pushcycle", "1", edition);
  pc_text_add(out,
              ".SH NAME\npushcycle \\- how long loaders with box pushers take to clear a lot of snow\n"
              ".SH SYNOPSIS\n\\fBpushcycle\\fP \\fICOMMAND\\fP \\fI[OPTIONS]\\fP \\fI[SCENARIO.yaml]\\fP\n"
              ".br\n\\fBpushcycle\\fP \\fICOMMAND\\fP \\fB\\-\\-help\\fP\n"
              ".br\n\\fBpushcycle\\fP \\fBhelp\\fP \\fI[COMMAND]\\fP\n"
              ".br\n\\fBpushcycle\\fP \\fB\\-\\-version\\fP\n.SH DESCRIPTION\n");
  page_paragraph(
      out,
      "Simulates how a crew of wheel loaders clears a big open lot with box pushers: fill, carry, dump, "
      "return, until the lot is clear. It tells how long that takes and what limits it, and compares "
      "places for the piles, boxes, loaders and numbers of machines.\n\n"
      "A scenario says what lies where and who works with what. Without one, commands use a built-in "
      "demonstration lot.");
  pc_text_add(out, ".SH COMMANDS\n");
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++) {
    char name[80];
    snprintf(name, sizeof name, "pushcycle-%s", command->name);
    pc_text_add(out, ".TP\n");
    page_refer(out, name, "1", "");
    page_paragraph(out, command->summary);
  }
  add_exit_statuses(out);
  pc_text_add(out, ".SH EXAMPLES\n");
  page_paragraph(out, "From nothing to a first answer:");
  page_example(out, "pushcycle compare\npushcycle new --output my-yard.yaml\npushcycle run my-yard.yaml");
  pc_text cautions = {0};
  pc_tables_cautions(&cautions);
  pc_text_add(out, ".SH CAUTIONS\n");
  page_paragraph(out, "Times are estimates of a model; check them against timed cycles of your own.");
  add_list(out, cautions.data ? cautions.data : "");
  pc_text_free(&cautions);
  pc_text_add(out, ".SH SEE ALSO\n");
  for (size_t i = 0; (command = cli_command_at(i)) != NULL; i++) {
    char name[80];
    snprintf(name, sizeof name, "pushcycle-%s", command->name);
    page_refer(out, name, "1", ",");
  }
  page_refer(out, "pushcycle-scenario", "5", "");
}
