// SPDX-License-Identifier: GPL-3.0-or-later
/* pushcycle: dispatch to the subcommands. */
#include <signal.h>
#include <string.h>

#include "base/version.h"
#include "cli.h"

enum { COMMON = CLI_OUTPUT | CLI_QUIET, SCENARIO = CLI_SET | CLI_DEPTH | CLI_UNITS | CLI_JSON };

static const cli_command commands[] = {
    {"new", "write a commented scenario to start from",
     "Writes to standard output, or to a new file with --output; a file that exists is never overwritten.\n"
     "With --units us it is in feet, inches, miles per hour, pounds and gallons. With --from it is made "
     "around\n"
     "the map of a lot.\n",
     COMMON | CLI_FROM | CLI_UNITS, false, cli_new},
    {"check", "every fault and caution in a scenario, without running it",
     "Reads the scenario, reports every fault at once, sums it up, and says whether the zones can take the "
     "snow.\n"
     "That there are no zones is a fault, as nothing runs without: `place` looks for some.\n",
     COMMON | SCENARIO | CLI_LAYOUT | CLI_GEOJSON, true, cli_check},
    {"run", "simulate one combination of layout, boxes and policy",
     "Clears the lot once per replication and prints the total time with its 95 % interval, how every\n"
     "machine spends its time, what each pile zone takes, and how near that is to the lower bound.\n",
     COMMON | SCENARIO | CLI_CHOICE | CLI_CSV | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS | CLI_TRACE |
         CLI_GEOJSON | CLI_SHARD | CLI_PLAN,
     true, cli_run},
    {"compare", "rank every combination of layouts, boxes, loaders, policies, depths and numbers of machines",
     "Runs every combination under the same luck, ranks them by total time, says which are tied, and why a\n"
     "box is not better than another. With --mixed it says which box belongs on which loader; with --crews\n"
     "where another machine no longer pays; with --within it goes on until the best is known well enough;\n"
     "with a season in the scenario it sums that up. What can't be done at all, as with a box too wide for\n"
     "the only gate, is left out and named with the reason.\n"
     "--layout, --box, --loader, --policy and --depth narrow a list to one.\n"
     "Exit status 1 if no combination of some depth finishes.\n",
     COMMON | SCENARIO | CLI_CHOICE | CLI_LISTS | CLI_CSV | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS |
         CLI_SHARD | CLI_WITHIN,
     true, cli_compare},
    {"limits", "for each loader and box: capacity, speeds, and what limits them",
     "Shows for each loader with each box whether volume, traction or power is the limit. --loader and "
     "--box\n"
     "show only that one.\n",
     COMMON | SCENARIO | CLI_CSV | CLI_LOADER | CLI_BOX, true, cli_limits},
    {"place", "where to put the pile zones: the best of many places, by simulation",
     "Chooses --zones K of many places: the zones and candidates of the scenario, if it has any, and\n"
     "rectangles along the outlines. Prints the best choice, what each further zone saves, choices that are\n"
     "as good, and a lower bound. With --output NEW.yaml the scenario is written with the choice as one "
     "more\n"
     "layout. Ctrl-C ends the search with the best so far (exit status 1).\n",
     COMMON | SCENARIO | CLI_BOX | CLI_LOADER | CLI_POLICY | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS |
         CLI_PLACING,
     true, cli_place},
    {"plan", "an order of work found by search, never slower than keep-pushing",
     "Tries plans for --seconds S or --tries N, and says what the best saves against keep-pushing and\n"
     "straight-runs, and how near it is to the lower bound. --save FILE keeps it for `run --plan FILE`;\n"
     "--csv lists its bites. Ctrl-C ends the search with the best so far.\n",
     COMMON | SCENARIO | CLI_LAYOUT | CLI_BOX | CLI_LOADER | CLI_CSV | CLI_REPLICATIONS | CLI_SEED |
         CLI_THREADS | CLI_SECONDS | CLI_TRIES | CLI_SAVE,
     true, cli_plan},
    {"sensitivity", "which inputs matter most, and at which depth a ranking turns",
     "Changes one input after the other with the same luck, and says by how much the total time changes; "
     "then\n"
     "looks between two depths (--depths \"3 cm,30 cm\") where the order of the best boxes and layouts "
     "turns.\n"
     "Ctrl-C ends it with the inputs that are done (exit status 1).\n",
     COMMON | SCENARIO | CLI_CHOICE | CLI_DEPTHS | CLI_CSV | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS |
         CLI_BY,
     true, cli_sensitivity},
    {"fit", "speeds and fixed times of loaders, with errors, from a CSV of timed cycles",
     "Reads phases that were timed (phase, duration_s or start_s and end_s, distance_m; machine, direction "
     "and\n"
     "load_kg if known; distance_ft, load_lb and duration_min will do), or the trace of a run, and prints "
     "what\n"
     "can be pasted into a scenario. Rows far off lose their weight. docs/fit.md says how to time.\n",
     COMMON | CLI_UNITS | CLI_JSON | CLI_BY | CLI_TIMES, true, cli_fit},
    {"assign", "which machine with which box clears which of many lots",
     "The first file is the fleet, the others are the scenarios of the lots. Simulates every machine with\n"
     "every box that it can push on every lot, and finds the plan that is done soonest, or costs least.\n"
     "Exit status 1 if some lot cannot be done. Ctrl-C ends it with the best plan so far (exit status 1).\n",
     COMMON | CLI_UNITS | CLI_JSON | CLI_CSV | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS | CLI_LEAST |
         CLI_NODES | CLI_FILES,
     false, cli_assign},
    {"draw", "a map, a timeline or a chart, as SVG, PDF or PNG",
     "draw map: the lot to scale, its zones and how full they get, snow and driven ways of one night; with\n"
     "--layouts all every layout beside the others; without zones in the scenario only what lies where, and\n"
     "where machines start that have a start.\n"
     "draw timeline: what each machine does when. draw chart: comparisons (--of). SVG goes to standard\n"
     "output unless --output names a file.\n",
     COMMON | CLI_SET | CLI_DEPTH | CLI_UNITS | CLI_CHOICE | CLI_LISTS | CLI_REPLICATIONS | CLI_SEED |
         CLI_THREADS | CLI_FORMAT | CLI_PAPER | CLI_AT | CLI_LAYERS | CLI_OF | CLI_SUBJECT | CLI_PLAN,
     true, cli_draw},
    {"brief", "a printable sheet for the operators, as PDF",
     "A page for the whole lot and one for each machine: map, order of work, what to leave alone, loads and\n"
     "hours to expect, checks and cautions. Goes to --output FILE, or to standard output if that is no "
     "terminal.\n",
     COMMON | CLI_SET | CLI_DEPTH | CLI_UNITS | CLI_CHOICE | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS |
         CLI_PAPER | CLI_PLAN,
     true, cli_brief},
    {"report", "one HTML page of a comparison: answer, table, charts, maps",
     "Compares as `compare` does (all layouts, if the scenario does not say) and writes one page that needs "
     "no\n"
     "network: the answer in words, the ranked table, how many machines (--crews), the storm, charts, maps, "
     "reasons,\nassumptions, inputs, cautions.\n",
     COMMON | CLI_SET | CLI_DEPTH | CLI_UNITS | CLI_CHOICE | CLI_LISTS | CLI_REPLICATIONS | CLI_SEED |
         CLI_THREADS,
     true, cli_report},
    {"replay", "a night to look at in a browser: one HTML file, one run or two side by side",
     "Plays the first replication: machines on the real trace, the snow that goes, the piles that grow. Two "
     "runs\n"
     "share one clock: --policies A,B, --layouts A,B or any other list of two. The file needs no network.\n",
     COMMON | CLI_SET | CLI_DEPTH | CLI_UNITS | CLI_SEED | CLI_CHOICE | (CLI_LISTS & ~CLI_MIXED), true,
     cli_replay},
    {"board", "a page to drag pile zones on, with the time that each place takes",
     "Prints an address to open in a browser on this machine; Ctrl-C ends it. Zones are dragged, added and "
     "taken\n"
     "away, and the time changes at once. The page gives the layout as YAML, and writes it to --output "
     "NEW.yaml\n"
     "if that is given. A scenario without zones begins with none. Nothing but this machine can reach it, "
     "and\n"
     "only with the token in the address.\n",
     COMMON | CLI_SET | CLI_DEPTH | CLI_UNITS | CLI_CHOICE | CLI_REPLICATIONS | CLI_SEED | CLI_THREADS |
         CLI_PORT,
     true, cli_board},
    {"merge", "join the parts that run or compare wrote with --shard",
     "Prints what one machine would have printed that had done all the work, to the last byte. The files\n"
     "are the parts, each once, in any order.\n",
     COMMON | CLI_UNITS | CLI_JSON | CLI_CSV | CLI_FILES, false, cli_merge},
    {"schema", "print the JSON Schema of the scenario format", "For editors that complete and check YAML.\n",
     COMMON, false, cli_schema},
};

enum { COMMAND_COUNT = sizeof commands / sizeof commands[0] };

const cli_command *cli_command_at(size_t index) {
  return index < COMMAND_COUNT ? &commands[index] : NULL;
}

static void add_overview(pc_text *out) {
  pc_text_add(out,
              "usage: pushcycle COMMAND [OPTIONS] [SCENARIO.yaml]\n\n"
              "How long wheel loaders with box pushers take to clear a lot of snow.\n\ncommands:\n");
  for (size_t i = 0; i < COMMAND_COUNT; i++)
    pc_text_addf(out, "  %-11s  %s\n", commands[i].name, commands[i].summary);
  pc_text_add(
      out,
      "\n`pushcycle COMMAND --help` (or `help COMMAND`) lists the options of a command.\n"
      "Without a scenario the built-in demonstration lot is used. Exit status: 0 done, 1 the work could\n"
      "not be finished, 2 bad usage or a bad scenario, 3 a file or memory failed.\n");
}

pc_text cli_help(const cli_command *command) {
  pc_text text = {0};
  if (!command) {
    add_overview(&text);
    return text;
  }
  pc_text_addf(&text, "usage: pushcycle %s%s [OPTIONS]%s\n\n%s\noptions:\n", command->name,
               command->takes & CLI_SUBJECT ? " map|timeline|chart" : "",
               command->takes & CLI_FILES   ? " FILE..."
               : command->takes & CLI_TIMES ? " TIMES.csv"
               : command->takes_scenario    ? " [SCENARIO.yaml]"
                                            : "",
               command->help);
  cli_options_describe(command, &text);
  return text;
}

static cli_exit show_help(const cli_command *command) {
  const cli_options plain = {0};
  pc_text text = cli_help(command);
  return cli_write(&plain, &text);
}

static cli_exit show_version(void) {
  pc_text text = {0};
  const cli_options plain = {0};
  pc_text_addf(&text, "pushcycle %s\n", pc_version());
  return cli_write(&plain, &text);
}

static cli_exit unknown_command(const char *name) {
  const char *words[COMMAND_COUNT];
  pc_text list = {0};
  for (size_t i = 0; i < COMMAND_COUNT; i++) {
    words[i] = commands[i].name;
    pc_text_addf(&list, " %s", commands[i].name);
  }
  const char *near = pc_nearest_word(name, words, COMMAND_COUNT);
  cli_say("there is no command \"%s\"%s%s%s; commands:%s", name, near ? "; did you mean " : "",
          near ? near : "", near ? "?" : "", list.data ? list.data : "");
  pc_text_free(&list);
  return CLI_USAGE;
}

/* Its --output has to be a new file. */
static bool makes_new(const cli_command *command) {
  return command->run == cli_new || command->run == cli_place || command->run == cli_board;
}

/* `pushcycle help`, `pushcycle help run`. */
static cli_exit help_with(int argc, char **argv) {
  if (argc < 3 || argv[2][0] == '-')
    return show_help(NULL);
  for (size_t i = 0; i < COMMAND_COUNT; i++)
    if (strcmp(commands[i].name, argv[2]) == 0)
      return show_help(&commands[i]);
  return unknown_command(argv[2]);
}

static cli_exit run_command(const cli_command *command, int argc, char **argv) {
  cli_options options;
  cli_exit status = cli_options_parse(command, argc, argv, &options);
  if (status == CLI_DONE && options.help)
    status = show_help(command);
  else if (status == CLI_DONE && options.version)
    status = show_version();
  else if (status == CLI_DONE)
    status = cli_check_targets(&options, makes_new(command));
  if (status == CLI_DONE && !options.help && !options.version)
    status = command->run(&options);
  cli_options_free(&options);
  return status;
}

int main(int argc, char **argv) {
  /* A reader that goes away is a failed write like any other, with a message and its exit status. */
  signal(SIGPIPE, SIG_IGN);
  signal(SIGXFSZ, SIG_IGN); /* a file that grows beyond a limit is a failed write, too */
  const char *name = argc > 1 ? argv[1] : NULL;
  if (!name) {
    pc_text text = {0};
    add_overview(&text);
    fputs(text.data ? text.data : "", stderr);
    pc_text_free(&text);
    return CLI_USAGE;
  }
  if (strcmp(name, "--help") == 0 || strcmp(name, "-h") == 0)
    return (int)show_help(NULL);
  if (strcmp(name, "help") == 0)
    return (int)help_with(argc, argv);
  if (strcmp(name, "--version") == 0)
    return (int)show_version();
  for (size_t i = 0; i < COMMAND_COUNT; i++)
    if (strcmp(commands[i].name, name) == 0)
      return (int)run_command(&commands[i], argc - 1, argv + 1);
  return (int)unknown_command(name);
}
