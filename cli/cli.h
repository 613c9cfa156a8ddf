// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What the subcommands of `pushcycle` share: exit statuses, options, loading a scenario, writing results.
 *
 * Results go to standard output or --output FILE, everything else to standard error. Every function that
 * can fail has already told the user why when it returns; its caller only passes the exit status on.
 */
#ifndef PC_CLI_CLI_H
#define PC_CLI_CLI_H

#include <signal.h>
#include <stdint.h>
#include <stdio.h>

#include "base/watch.h"
#include "io/geojson.h"
#include "io/pictures.h"
#include "io/scenario.h"
#include "io/tables_siting.h"
#include "sim/lot.h"
#include "sim/plan.h"
#include "study/compare.h"
#include "study/heading.h"

typedef enum cli_exit {
  CLI_DONE = 0,
  CLI_UNFINISHED = 1, /* the work could not be finished; the result is printed all the same */
  CLI_USAGE = 2,      /* bad usage or a bad scenario */
  CLI_FILE = 3        /* a file or memory failed */
} cli_exit;

/* ---- options ---- */

enum {
  CLI_LAYOUT = 1 << 0,
  CLI_BOX = 1 << 1,
  CLI_LOADER = 1 << 2,
  CLI_POLICY = 1 << 3,
  CLI_DEPTH = 1 << 4,
  CLI_REPLICATIONS = 1 << 5,
  CLI_SEED = 1 << 6,
  CLI_THREADS = 1 << 7,
  CLI_UNITS = 1 << 8,
  CLI_JSON = 1 << 9,
  CLI_CSV = 1 << 10,
  CLI_OUTPUT = 1 << 11,
  CLI_QUIET = 1 << 12,
  CLI_SET = 1 << 13,
  CLI_LAYOUTS = 1 << 14,
  CLI_BOXES = 1 << 15,
  CLI_LOADERS = 1 << 16,
  CLI_POLICIES = 1 << 17,
  CLI_DEPTHS = 1 << 18,
  CLI_TRACE = 1 << 19,
  CLI_HELP = 1 << 20,
  CLI_VERSION = 1 << 21,
  CLI_FROM = 1 << 22,
  CLI_GEOJSON = 1 << 23,
  CLI_CREWS = 1 << 24,
  CLI_MIXED = 1 << 25,
  CLI_CHOICE = CLI_LAYOUT | CLI_BOX | CLI_LOADER | CLI_POLICY,
  CLI_LISTS = CLI_LAYOUTS | CLI_BOXES | CLI_LOADERS | CLI_POLICIES | CLI_DEPTHS | CLI_CREWS | CLI_MIXED,
  CLI_ALWAYS = CLI_HELP | CLI_VERSION
};

/* An enumerator is an int, so bits from 32 on are macros. */
#define CLI_FORMAT (UINT64_C(1) << 32)
#define CLI_PAPER (UINT64_C(1) << 33)
#define CLI_AT (UINT64_C(1) << 34)
#define CLI_LAYERS (UINT64_C(1) << 35)
#define CLI_OF (UINT64_C(1) << 36)
#define CLI_SHARD (UINT64_C(1) << 40)
#define CLI_LEAST (UINT64_C(1) << 41)
#define CLI_NODES (UINT64_C(1) << 42)
#define CLI_PORT (UINT64_C(1) << 45)
#define CLI_BY (UINT64_C(1) << 50)
#define CLI_ZONES (UINT64_C(1) << 51)
#define CLI_SIZE (UINT64_C(1) << 52)
#define CLI_STEP (UINT64_C(1) << 53)
#define CLI_CANDIDATES (UINT64_C(1) << 54)
#define CLI_KEEP (UINT64_C(1) << 55)
#define CLI_ALLOW (UINT64_C(1) << 56)
#define CLI_PLACING (CLI_ZONES | CLI_SIZE | CLI_STEP | CLI_CANDIDATES | CLI_KEEP | CLI_ALLOW)
#define CLI_WITHIN (UINT64_C(1) << 43)
#define CLI_SECONDS (UINT64_C(1) << 57)
#define CLI_TRIES (UINT64_C(1) << 58)
#define CLI_SAVE (UINT64_C(1) << 59)
#define CLI_PLAN (UINT64_C(1) << 60)
#define CLI_SUBJECT (UINT64_C(1) << 61) /* no option: the first word says what to draw */
#define CLI_TIMES (UINT64_C(1) << 62)   /* no option: its file is one of timed cycles, and needed */
#define CLI_FILES (UINT64_C(1) << 63)   /* no option: takes files, one or more, in place of a scenario */

/* All texts are borrowed from argv, but for what `made` holds. */
typedef struct cli_options {
  const char *layout, *box, *loader, *policy, *depth, *replications, *seed; /* NULL: not given */
  const char *layouts, *boxes, *loaders, *policies, *depths;                /* comma lists, or "all" */
  const char *crews;                                                        /* comma list, or a range 1..6 */
  const char *output, *trace, *from, *geojson;
  const char *scenario; /* NULL: the demonstration lot */
  const char *shard, *least, *nodes, *within;
  const char *port;                                        /* board */
  const char *by;                                          /* fit: loader or machine; sensitivity: a share */
  const char *zones, *size, *step, *candidates, *keep;     /* place */
  const char *subject, *format, *paper, *at, *layers, *of; /* draw, brief */
  bool allow, mixed;
  const char *seconds, *save; /* plan */
  int tries;                  /* plan; 0: not given */
  const char *plan;           /* run, draw, brief */
  const char *const *files;   /* of a command that takes files */
  size_t file_count;
  int threads; /* 0: one per processor */
  pc_unit_system units;
  bool units_given; /* else those of the scenario */
  bool json, csv, quiet, help, version;
  pc_override *overrides; /* --set, in the order given */
  size_t override_count, override_room;
} cli_options;

typedef struct cli_command {
  const char *name, *summary, *help;
  uint64_t takes; /* options, CLI_… */
  bool takes_scenario;
  cli_exit (*run)(const cli_options *options);
} cli_command;

/* Fills *options; free with cli_options_free whatever it returns. argv[0] is the command's name. */
cli_exit cli_options_parse(const cli_command *command, int argc, char **argv, cli_options *options);
void cli_options_free(cli_options *options);
/* The whole number of an option; tells of one that is none, or out of bounds. */
cli_exit cli_read_integer(const char *option, const char *value, long least, long most, int *out);
typedef struct cli_option {
  const char *name, *argument; /* NULL: takes none */
  uint64_t bit;
  const char *help;
} cli_option;

/* The options of a command, one by one; NULL past the end. */
const cli_option *cli_option_at(const cli_command *command, size_t index);
/* The same as text, for its help. */
void cli_options_describe(const cli_command *command, pc_text *out);

/* ---- messages ---- */

/* "pushcycle: …" on standard error. */
void cli_say(const char *format, ...) PC_PRINTF(1, 2);
/* Prints every fault from number `first` on, and cautions too unless told not to. */
void cli_show_faults(const pc_faults *faults, size_t first, bool cautions);
/* Adds those faults that are not known yet: most are the same for every layout, and a caution that differs in
 * its numbers only is told for the first. */
void cli_merge_faults(pc_faults *faults, const pc_faults *found);
/* 3 for files and memory, 2 for everything else that is a fault, 0 if it is none. */
cli_exit cli_exit_of(pc_status status);
cli_exit cli_no_memory(void);

/* ---- long work ---- */

typedef struct cli_watch {
  pc_watch watch;
  const char *steps; /* "replications" */
  const char *then;  /* of a second part, whose steps are counted anew; NULL: there is none */
  size_t last;
  double begun_s, told_s;
  bool caught;
  struct sigaction before;
} cli_watch;

/* On a terminal the progress of the work is shown, until cli_watch_end; and Ctrl-C asks the work to end with
 * what is done, a second one ends the program. */
const pc_watch *cli_watch_begin(cli_watch *watch, const cli_options *options, const char *steps);
/* True if Ctrl-C was pressed. */
bool cli_watch_end(cli_watch *watch);

/* ---- scenarios ---- */

/* Reads the scenario of the options, overrides included; its faults are not told yet. Fails if a result would
 * take the place of a file that the scenario names, be it faulty or not. */
cli_exit cli_read(const cli_options *options, pc_scenario *scenario, pc_faults *faults, pc_status *status);
/* The same, telling the user of every fault and caution. */
cli_exit cli_load(const cli_options *options, pc_scenario *scenario);
/* The same, and the text of the scenario as it is written, which the caller frees. */
cli_exit cli_load_text(const cli_options *options, pc_scenario *scenario, pc_text *text);
/* In which units to show what comes of a scenario: --units, or the scenario's own. */
pc_unit_system cli_units(const cli_options *options, const pc_scenario *scenario);
/* --layout, --box, --loader, --policy as a choice; tells of every name that does not exist. */
cli_exit cli_choose(const cli_options *options, const pc_scenario *scenario, pc_choice *choice);
/* The lot that the options choose, with headings chosen; tells of every fault and caution. */
cli_exit cli_make_lot(const cli_options *options, pc_scenario *scenario, pc_heading_report *headings,
                      pc_lot **lot);
/* The same with this policy, whatever the options say; NULL: as they say. */
/* The plan of --plan, if there is one, which the lot follows from then on; it must outlive the runs. */
cli_exit cli_follow_plan(const cli_options *options, pc_lot *lot, pc_plan *plan);
cli_exit cli_make_lot_for(const cli_options *options, const char *policy, pc_scenario *scenario,
                          pc_heading_report *headings, pc_lot **lot);
/* --layout and its like narrow the lists of what to compare; chooses headings, too. */
cli_exit cli_narrow(const cli_options *options, pc_scenario *scenario, pc_heading_report *headings);
/* Runs the comparison that the scenario wants, with progress on a terminal; tells of every fault and caution.
 */
cli_exit cli_run_comparison(const cli_options *options, const pc_scenario *scenario,
                            pc_comparison *comparison);
/* Adds the siting findings of one layout; tells of a failure. */
cli_exit cli_add_siting(const pc_scenario *scenario, const char *layout, double need_m3,
                        pc_siting_report *report);
/* Chooses the headings that the scenario leaves open; Ctrl-C ends that with the best found by then. */
pc_status cli_find_headings(const cli_options *options, pc_scenario *scenario, const pc_choice *choice,
                            pc_faults *faults, pc_heading_report *report);
/* The same, telling which, and of every fault and caution. */
cli_exit cli_choose_headings(const cli_options *options, pc_scenario *scenario, const pc_choice *choice,
                             pc_heading_report *report);
void cli_say_headings(const cli_options *options, const pc_heading_report *report, pc_unit_system units);
/* What faults call the scenario. */
const char *cli_scenario_name(const cli_options *options);

/* ---- output ---- */

/* A file that appears under its name only once all of it is written. Until then it lies beside, as
 * NAME.XXXXXX with six letters of chance, and is left there only by who ends the process. Things that are no
 * plain files (terminals, pipes) are written at once. */
typedef struct cli_file {
  FILE *file;
  const char *path; /* borrowed, for messages */
  char *target;     /* what it will be called */
  char *temporary;  /* NULL: written in place */
  bool only_new;    /* whatever has the name by then is left alone */
} cli_file;

cli_exit cli_file_open(cli_file *file, const char *path);
/* Closes; the file takes its name if all went well, and is removed if not. */
cli_exit cli_file_commit(cli_file *file);
void cli_file_abandon(cli_file *file);

/* Writes a text to --output or standard output, and frees it. A text that ran out of memory is a failure. */
cli_exit cli_write(const cli_options *options, pc_text *text);

/* Before anything is computed: every file that the options name could be written, as far as can be told
 * without writing it. With only_new nothing is said of an --output that exists: the command refuses it
 * itself. */
cli_exit cli_check_targets(const cli_options *options, bool only_new);
/* No result takes the place of a file that the scenario was read from beside its own: map, storm. */
cli_exit cli_spare_files(const cli_options *options, const pc_origins *files);
/* --output, where it names a file, is none that exists: such a file is never overwritten. */
cli_exit cli_check_new(const cli_options *options);
/* Writes a text to a file, which appears whole or not at all. */
cli_exit cli_write_file(const char *path, const pc_text *text);
/* Writes a text to a file that must not exist yet. */
cli_exit cli_write_new(const char *path, const char *text);

/* With --geojson the site needs an origin; tells the user if it has none. */
cli_exit cli_check_origin(const cli_options *options, const pc_scenario *scenario);
/* Writes the file of --geojson. */
cli_exit cli_write_geojson(const cli_options *options, const pc_geojson_content *content);

/* ---- results that more than one command prints ---- */

/* Unfinished if nothing finished at some depth. */
cli_exit cli_comparison_exit(const pc_comparison *comparison);
/* A comparison to the output; the exit status says whether something finished. */
cli_exit cli_print_comparison(const cli_options *options, const pc_scenario *scenario,
                              const pc_comparison *comparison, const pc_heading_report *headings);
/* A run; `depths` counts only where snow falls, `crossed` is of the first replication. Where deadlines are
 * missed, with an order that keeps them. */
cli_exit cli_print_run(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                       const pc_summary *summary, const pc_heading_report *headings,
                       const pc_depths_series *depths, const pc_crossed *crossed);
/* Works on the shard of --shard and writes its part; `choice` NULL: of a comparison. */
cli_exit cli_write_part(const cli_options *options, const pc_scenario *scenario, const pc_choice *choice,
                        const pc_heading_report *headings);
/* A list and its narrowing to one (--layouts and --layout) are not both given. */
cli_exit cli_keep_lists_apart(const cli_options *options);
/* --shard is sensible, or not given. */
cli_exit cli_check_shard(const cli_options *options);

/* ---- pictures ---- */

/* What --format, --output and --paper ask for. */
cli_exit cli_picture_style(const cli_options *options, pc_picture_style *style);
/* Gives it the units of the scenario, or of --units, and paper that goes with them unless --paper says which.
 */
void cli_picture_units(const cli_options *options, const pc_scenario *scenario, pc_picture_style *style);
/* Refuses to write bytes that are no text to a terminal. */
cli_exit cli_check_terminal(const cli_options *options, bool binary);

typedef struct cli_night { /* a lot, run for a picture */
  pc_summary summary;      /* of all replications */
  pc_result *results;      /* each of them */
  size_t count, room;
  bool stopped;         /* count is less than was asked for */
  pc_geojson_rows rows; /* every leg of the first one */
  pc_world *world;      /* the first one, as it stood at some time */
  pc_result standing;
} cli_night;

/* Runs all replications, less on Ctrl-C, and the first once more until that time by the clock. Free it
 * whatever comes back. */
cli_exit cli_night_run(const cli_options *options, const pc_scenario *scenario, const pc_lot *lot,
                       double until_s, cli_night *night);
void cli_night_free(cli_night *night);

/* Makes the list of layouts to compare say "all"; false: out of memory. */
bool cli_want_all_layouts(pc_scenario *scenario);
/* The siting findings of all layouts that were compared, each with the deepest snow it was compared for. */
cli_exit cli_find_siting(const pc_scenario *scenario, const pc_comparison *comparison,
                         pc_siting_report *siting);
/* ---- the tables, for manual pages and completion (tools/reference) ---- */

/* NULL past the end. */
const cli_command *cli_command_at(size_t index);
/* What --help prints, of all commands (NULL) or one; its first line is "usage: …". */
pc_text cli_help(const cli_command *command);

/* ---- commands ---- */

cli_exit cli_run(const cli_options *options);
cli_exit cli_compare(const cli_options *options);
cli_exit cli_limits(const cli_options *options);
cli_exit cli_check(const cli_options *options);
cli_exit cli_schema(const cli_options *options);
cli_exit cli_new(const cli_options *options);
cli_exit cli_place(const cli_options *options);
cli_exit cli_board(const cli_options *options);
cli_exit cli_replay(const cli_options *options);
cli_exit cli_fit(const cli_options *options);
cli_exit cli_sensitivity(const cli_options *options);
cli_exit cli_merge(const cli_options *options);
cli_exit cli_assign(const cli_options *options);
cli_exit cli_plan(const cli_options *options);
cli_exit cli_brief(const cli_options *options);
cli_exit cli_report(const cli_options *options);
cli_exit cli_draw(const cli_options *options);

#endif
