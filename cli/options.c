// SPDX-License-Identifier: GPL-3.0-or-later
/* The one parser of options, for all commands. */
#include <errno.h>
#include <getopt.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/memory.h"
#include "cli.h"

static const cli_option all_options[] = {
    {"layout", "NAME", CLI_LAYOUT, "the layout of pile zones (default: the first)"},
    {"box", "NAME|MIX", CLI_BOX, "put this box on every machine, or boxes in turn: \"2 x 16 ft + 14 ft\""},
    {"loader", "NAME", CLI_LOADER, "put this loader in every place of the crew"},
    {"policy", "NAME", CLI_POLICY, "how machines choose what to push next"},
    {"depth", "DEPTH", CLI_DEPTH, "depth of the snow, with its unit: \"10 cm\" or \"4 in\""},
    {"layouts", "A,B|all", CLI_LAYOUTS, "layouts to compare"},
    {"boxes", "A,B|own|all", CLI_BOXES, "boxes to compare; own: as the crew has them"},
    {"mixed", NULL, CLI_MIXED,
     "also every way to put these boxes on the machines (--crews: on each number of them)"},
    {"loaders", "A,B|own|all", CLI_LOADERS, "loaders to compare; own: as the crew has them"},
    {"policies", "A,B|all", CLI_POLICIES, "policies to compare"},
    {"depths", "D,E", CLI_DEPTHS, "depths to compare: \"5 cm,10 cm\""},
    {"crews", "1..6|1,2,4", CLI_CREWS,
     "numbers of machines to compare: the first ones of the crew, begun anew"},
    {"replications", "N", CLI_REPLICATIONS, "how often to clear the lot, each time with other luck"},
    {"seed", "N", CLI_SEED, "start of the random numbers"},
    {"within", "TIME", CLI_WITHIN,
     "go on with replications until the best is known to within TIME, \"2 min\" (95 %)"},
    {"threads", "N", CLI_THREADS, "threads to use (default 0: one per processor)"},
    {"by", "SHARE", CLI_BY, "how much each input changes, at most 50 % (default \"10 %\")"},
    {"trace", "FILE", CLI_TRACE, "write every leg of the first replication as CSV, in time at work"},
    {"geojson", "FILE", CLI_GEOJSON, "write the lot, its lanes and driven ways as GeoJSON, for a map"},
    {"from", "FILE", CLI_FROM, "a map of the lot as GeoJSON, to make the scenario around"},
    {"set", "KEY.PATH=VALUE", CLI_SET, "override any key of the scenario; may be repeated"},
    {"units", "metric|us", CLI_UNITS,
     "units of text and pictures (default: us where site.units is ft, else metric); JSON and CSV are always "
     "SI"},
    {"shard", "I/N", CLI_SHARD, "do the I-th of N parts of the work and write it for `pushcycle merge`"},
    {"least", "time|cost", CLI_LEAST, "what the plan is to make least (default time)"},
    {"nodes", "N", CLI_NODES, "steps of each search before a plan is given with a gap (default 20000)"},
    {"zones", "K", CLI_ZONES, "how many pile zones to choose (default 3)"},
    {"size", "\"40 m x 10 m\"", CLI_SIZE, "how long and wide places are that are generated"},
    {"step", "LENGTH", CLI_STEP, "how far apart they are generated along the outlines"},
    {"candidates", "A,B|generated|all", CLI_CANDIDATES, "the places to choose among (default all)"},
    {"keep", "A,B", CLI_KEEP, "places that have to be among those chosen"},
    {"allow", NULL, CLI_ALLOW, "also places that good practice speaks against (never those that a law does)"},
    {"seconds", "S", CLI_SECONDS, "how long to search (default 10)"},
    {"tries", "N", CLI_TRIES, "how many plans to try, instead of a time: the same N gives the same plan"},
    {"save", "FILE", CLI_SAVE, "write the plan to FILE, for `pushcycle run --plan FILE`"},
    {"plan", "FILE", CLI_PLAN, "follow a plan that `pushcycle plan --save FILE` wrote"},
    {"port", "N", CLI_PORT, "the port to listen on (default 0: any that is free)"},
    {"of", "WHAT", CLI_OF, "chart: layouts, split, depth, crew or zones (default layouts)"},
    {"at", "TIME", CLI_AT,
     "map: as it stands then, with the ways of the ten minutes before; timeline: from then"},
    {"layers", "A,B", CLI_LAYERS,
     "map: what to show of snow, flows, ways and lanes, or none (default snow, and ways if they are few, "
     "else flows)"},
    {"format", "svg|pdf|png", CLI_FORMAT,
     "kind of picture (default: by the end of the name of --output; svg)"},
    {"paper", "a4|letter", CLI_PAPER, "size of the paper (default a4; letter with --units us)"},
    {"json", NULL, CLI_JSON, "print JSON"},
    {"csv", NULL, CLI_CSV, "print CSV"},
    {"output", "FILE", CLI_OUTPUT, "write to FILE instead of standard output"},
    {"quiet", NULL, CLI_QUIET, "no notes, cautions or progress on standard error"},
    {"help", NULL, CLI_HELP, "show this help"},
    {"version", NULL, CLI_VERSION, "show the version"},
};

enum { OPTION_COUNT = sizeof all_options / sizeof all_options[0], OPTION_FIRST = 256 };

/* Options that mean something else to one command than to the others that take them. */
static const struct {
  const char *command;
  cli_option option;
} own_options[] = {
    {"fit",
     {"by", "loader|machine", CLI_BY,
      "one fit for each loader, whose machines differ in a number at the end of their names, or for each "
      "machine (default loader)"}},
    {"new", {"units", "metric|us", CLI_UNITS, "units to write the scenario in (default metric)"}},
    {"place",
     {"output", "FILE", CLI_OUTPUT,
      "write the scenario with the choice as one more layout to FILE, which must not exist yet"}},
    {"board",
     {"output", "FILE", CLI_OUTPUT,
      "let the page write the scenario with its layout to FILE, which must not exist yet"}},
};

/* The same option in the words of this command. */
static const cli_option *in_words_of(const cli_command *command, const cli_option *option) {
  for (size_t i = 0; i < sizeof own_options / sizeof own_options[0]; i++)
    if (own_options[i].option.bit == option->bit && strcmp(own_options[i].command, command->name) == 0)
      return &own_options[i].option;
  return option;
}

const cli_option *cli_option_at(const cli_command *command, size_t index) {
  for (size_t i = 0; i < OPTION_COUNT; i++)
    if ((command->takes | CLI_ALWAYS) & all_options[i].bit && index-- == 0)
      return in_words_of(command, &all_options[i]);
  return NULL;
}

void cli_options_describe(const cli_command *command, pc_text *out) {
  const cli_option *option;
  for (size_t i = 0; (option = cli_option_at(command, i)) != NULL; i++) {
    pc_text left = {0};
    pc_text_addf(&left, "--%s%s%s", option->name, option->argument ? " " : "",
                 option->argument ? option->argument : "");
    pc_text_addf(out, "  %-22s  %s\n", left.data ? left.data : "", option->help);
    pc_text_free(&left);
  }
}

static cli_exit bad_integer(const char *option, const char *value, long least, long most) {
  cli_say("--%s: \"%s\" is not allowed; give a whole number from %ld to %ld", option, value, least, most);
  return CLI_USAGE;
}

cli_exit cli_read_integer(const char *option, const char *value, long least, long most, int *out) {
  char *end;
  errno = 0;
  long number = strtol(value, &end, 10);
  if (end == value || *end || errno || number < least || number > most)
    return bad_integer(option, value, least, most);
  *out = (int)number;
  return CLI_DONE;
}

static cli_exit add_override(cli_options *options, const char *value) {
  void *items = options->overrides;
  if (pc_reserve(&items, &options->override_room, options->override_count + 1, sizeof *options->overrides) !=
      0)
    return cli_no_memory();
  options->overrides = items;
  options->overrides[options->override_count++] = (pc_override){.path = value};
  return CLI_DONE;
}

static cli_exit take_units(const char *value, cli_options *options) {
  options->units_given = true;
  if (strcmp(value, "metric") == 0)
    options->units = PC_METRIC;
  else if (strcmp(value, "us") == 0)
    options->units = PC_US;
  else {
    cli_say("--units: \"%s\" is not allowed; choose metric or us", value);
    return CLI_USAGE;
  }
  return CLI_DONE;
}

/* Where the text of an option for pictures goes, or NULL if it is none. */
static const char **picture_text_of(cli_options *options, uint64_t bit) {
  switch (bit) {
  case CLI_FORMAT:
    return &options->format;
  case CLI_PAPER:
    return &options->paper;
  case CLI_AT:
    return &options->at;
  case CLI_LAYERS:
    return &options->layers;
  case CLI_OF:
    return &options->of;
  default:
    return NULL;
  }
}

/* Where the text of an option goes, or NULL if it is no plain text. */
static const char **text_of(cli_options *options, uint64_t bit) {
  switch (bit) {
  case CLI_LAYOUT:
    return &options->layout;
  case CLI_BOX:
    return &options->box;
  case CLI_LOADER:
    return &options->loader;
  case CLI_POLICY:
    return &options->policy;
  case CLI_DEPTH:
    return &options->depth;
  case CLI_REPLICATIONS:
    return &options->replications;
  case CLI_SEED:
    return &options->seed;
  case CLI_LAYOUTS:
    return &options->layouts;
  case CLI_BOXES:
    return &options->boxes;
  case CLI_LOADERS:
    return &options->loaders;
  case CLI_POLICIES:
    return &options->policies;
  case CLI_DEPTHS:
    return &options->depths;
  case CLI_CREWS:
    return &options->crews;
  case CLI_WITHIN:
    return &options->within;
  case CLI_BY:
    return &options->by;
  case CLI_OUTPUT:
    return &options->output;
  case CLI_TRACE:
    return &options->trace;
  case CLI_FROM:
    return &options->from;
  case CLI_GEOJSON:
    return &options->geojson;
  case CLI_SHARD:
    return &options->shard;
  case CLI_ZONES:
    return &options->zones;
  case CLI_SIZE:
    return &options->size;
  case CLI_STEP:
    return &options->step;
  case CLI_CANDIDATES:
    return &options->candidates;
  case CLI_KEEP:
    return &options->keep;
  case CLI_LEAST:
    return &options->least;
  case CLI_PORT:
    return &options->port;
  case CLI_NODES:
    return &options->nodes;
  case CLI_SECONDS:
    return &options->seconds;
  case CLI_SAVE:
    return &options->save;
  case CLI_PLAN:
    return &options->plan;
  default:
    return picture_text_of(options, bit);
  }
}

static cli_exit take(const cli_command *command, cli_options *options, const cli_option *option,
                     const char *value) {
  const char **text = text_of(options, option->bit);
  if (option->argument && *value == '\0') {
    cli_say("--%s: is empty; give %s", option->name, in_words_of(command, option)->argument);
    return CLI_USAGE;
  }
  if (text) {
    *text = value;
    return CLI_DONE;
  }
  switch (option->bit) {
  case CLI_SET:
    return add_override(options, value);
  case CLI_UNITS:
    return take_units(value, options);
  case CLI_THREADS:
    return cli_read_integer("threads", value, 0, 1024, &options->threads);
  case CLI_TRIES:
    return cli_read_integer("tries", value, 1, 100000000, &options->tries);
  case CLI_JSON:
    options->json = true;
    break;
  case CLI_ALLOW:
    options->allow = true;
    break;
  case CLI_MIXED:
    options->mixed = true;
    break;
  case CLI_CSV:
    options->csv = true;
    break;
  case CLI_QUIET:
    options->quiet = true;
    break;
  case CLI_HELP:
    options->help = true;
    break;
  default:
    options->version = true;
    break;
  }
  return CLI_DONE;
}

static cli_exit not_taken(const cli_command *command, const char *given) {
  const char *words[OPTION_COUNT], *near = NULL;
  size_t count = 0;
  for (size_t i = 0; i < OPTION_COUNT; i++)
    if ((command->takes | CLI_ALWAYS) & all_options[i].bit)
      words[count++] = all_options[i].name;
  char bare[64];
  size_t length = strcspn(given, "=");
  snprintf(bare, sizeof bare, "%.*s", (int)(length < 63 ? length : 63), given);
  if (strncmp(bare, "--", 2) == 0)
    near = pc_nearest_word(bare + 2, words, count);
  if (near)
    cli_say("%s does not take %s; did you mean --%s?", command->name, bare, near);
  else
    cli_say("%s does not take %s; `pushcycle %s --help` lists its options", command->name, bare,
            command->name);
  return CLI_USAGE;
}

/* `unknown`: an option that nobody knows was given, so that what looks like a file may be its value. */
static cli_exit take_scenario(const cli_command *command, int argc, char **argv, bool unknown,
                              cli_options *options) {
  int given = argc - optind;
  if (command->takes & CLI_FILES) {
    options->files = (const char *const *)argv + optind;
    options->file_count = (size_t)given;
    return CLI_DONE;
  }
  if (command->takes & CLI_SUBJECT && given > 0) {
    options->subject = argv[optind++];
    given--;
  }
  if (given == 0 || unknown)
    return CLI_DONE;
  if (!command->takes_scenario) {
    cli_say("%s takes no file: \"%s\"", command->name, argv[optind]);
    return CLI_USAGE;
  }
  if (given > 1) {
    cli_say("%s takes one scenario, but there are %d: \"%s\", \"%s\"%s", command->name, given, argv[optind],
            argv[optind + 1], given > 2 ? ", …" : "");
    return CLI_USAGE;
  }
  options->scenario = argv[optind];
  return CLI_DONE;
}

/* What is read as "-" is whatever file standard input is. */
static bool find_file(const char *path, struct stat *found) {
  return strcmp(path, "-") == 0 ? fstat(STDIN_FILENO, found) == 0 : stat(path, found) == 0;
}

/* Two spellings of a file that is not there yet: one name in one folder. */
static bool same_new_file(const char *a, const char *b) {
  const char *ends[] = {strrchr(a, '/'), strrchr(b, '/')}, *paths[] = {a, b};
  struct stat folders[2];
  if (strcmp(ends[0] ? ends[0] + 1 : a, ends[1] ? ends[1] + 1 : b) != 0)
    return false;
  for (int i = 0; i < 2; i++) {
    char *folder = ends[i] ? strndup(paths[i], (size_t)(ends[i] - paths[i]) + 1) : strdup(".");
    bool found = folder && stat(folder, &folders[i]) == 0;
    free(folder);
    if (!found)
      return false;
  }
  return folders[0].st_dev == folders[1].st_dev && folders[0].st_ino == folders[1].st_ino;
}

static bool same_file(const char *written, const char *read) {
  struct stat one, other;
  if (!written || !read)
    return false;
  if (strcmp(written, read) == 0)
    return true;
  bool is_there = stat(written, &one) == 0;
  if (!is_there && stat(read, &other) != 0)
    return same_new_file(written, read);
  return is_there && find_file(read, &other) && S_ISREG(one.st_mode) && one.st_dev == other.st_dev &&
         one.st_ino == other.st_ino;
}

/* The option by which a result would take the place of this file; NULL: none. */
static const char *option_that_overwrites(const cli_options *options, const char *path) {
  const struct {
    const char *option, *path;
  } written[] = {{"--output", options->output},
                 {"--trace", options->trace},
                 {"--geojson", options->geojson},
                 {"--save", options->save}};
  for (size_t i = 0; i < sizeof written / sizeof written[0]; i++)
    if (same_file(written[i].path, path))
      return written[i].option;
  return NULL;
}

cli_exit cli_spare_files(const cli_options *options, const pc_origins *files) {
  const char *read, *key;
  for (size_t i = 0; (read = pc_origins_file_at(files, i, &key)) != NULL; i++) {
    const char *option = option_that_overwrites(options, read);
    if (!option)
      continue;
    cli_say("%s must not overwrite \"%s\", which the scenario reads (%s)", option, read, key);
    return CLI_USAGE;
  }
  return CLI_DONE;
}

/* False, and said, if a result would take the place of a file that is read. */
static bool is_spared(const cli_options *options, const char *noun, const char *path) {
  const char *option = option_that_overwrites(options, path);
  if (option)
    cli_say("%s must not overwrite %s\"%s\"", option, noun, path);
  return !option;
}

/* A result must not take the place of the scenario, nor of another result. */
static cli_exit keep_files_apart(const cli_command *command, const cli_options *options) {
  for (size_t i = 0; i < options->file_count; i++)
    if (!is_spared(options, "", options->files[i]))
      return CLI_USAGE;
  if (!is_spared(options, command->takes & CLI_TIMES ? "the timed cycles " : "the scenario ",
                 options->scenario) ||
      !is_spared(options, "the plan ", options->plan))
    return CLI_USAGE;
  if (same_file(options->geojson, options->output) || same_file(options->geojson, options->trace)) {
    cli_say("--geojson and %s both name \"%s\"; give each a file of its own",
            same_file(options->geojson, options->output) ? "--output" : "--trace", options->geojson);
    return CLI_USAGE;
  }
  if (same_file(options->save, options->output)) {
    cli_say("--save and --output both name \"%s\"; give each a file of its own", options->save);
    return CLI_USAGE;
  }
  if (same_file(options->output, options->trace)) {
    cli_say("--output and --trace both name \"%s\"; give each a file of its own", options->output);
    return CLI_USAGE;
  }
  return CLI_DONE;
}

cli_exit cli_options_parse(const cli_command *command, int argc, char **argv, cli_options *options) {
  struct option longs[OPTION_COUNT + 1] = {{0}};
  *options = (cli_options){0};
  for (int i = 0; i < (int)OPTION_COUNT; i++)
    longs[i] = (struct option){all_options[i].name, all_options[i].argument ? required_argument : no_argument,
                               NULL, OPTION_FIRST + i};
  opterr = 0;
  optind = 1;
  cli_exit worst = CLI_DONE;
  bool unknown = false;
  for (int found; (found = getopt_long(argc, argv, ":h", longs, NULL)) != -1;) {
    cli_exit one = CLI_DONE;
    const char *given = argv[optind - 1];
    if (found == 'h')
      options->help = true;
    else if (found == ':') {
      const cli_option *option = &all_options[optopt >= OPTION_FIRST ? optopt - OPTION_FIRST : 0];
      cli_say("--%s needs a value: %s", option->name, in_words_of(command, option)->argument);
      one = CLI_USAGE;
    } else if (found == '?' && optopt >= OPTION_FIRST) {
      cli_say("--%s takes no value", all_options[optopt - OPTION_FIRST].name);
      one = CLI_USAGE;
    } else if (found == '?') {
      unknown = true;
      one = not_taken(command, given);
    } else if (!((command->takes | CLI_ALWAYS) & all_options[found - OPTION_FIRST].bit)) {
      pc_text name = {0};
      pc_text_addf(&name, "--%s", all_options[found - OPTION_FIRST].name);
      one = not_taken(command, name.data ? name.data : given);
      pc_text_free(&name);
    } else
      one = take(command, options, &all_options[found - OPTION_FIRST], optarg ? optarg : "");
    worst = one > worst ? one : worst;
  }
  cli_exit files = take_scenario(command, argc, argv, unknown, options);
  cli_exit apart = keep_files_apart(command, options);
  files = apart > files ? apart : files;
  if (options->json && options->csv) {
    cli_say("--json and --csv exclude each other");
    worst = CLI_USAGE;
  }
  return files > worst ? files : worst;
}

void cli_options_free(cli_options *options) {
  free(options->overrides);
  *options = (cli_options){0};
}
