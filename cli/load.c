// SPDX-License-Identifier: GPL-3.0-or-later
/* From options to a checked scenario. Options become overrides of the keys they stand for, so that they are
 * checked and complained about just as the file is. */
#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/memory.h"
#include "cli.h"
#include "io/starter.h"
#include "io/tree.h"
#include "sim/mix.h"
#include "sim/policy.h"

enum { OVERRIDES_MAX = 20 };

typedef struct made_overrides {
  pc_override *items; /* --set first, then the other options, which win */
  size_t count;
  pc_text texts[OVERRIDES_MAX]; /* values that had to be put together */
  size_t text_count;
} made_overrides;

const char *cli_scenario_name(const cli_options *options) {
  return options->scenario ? options->scenario : "demonstration lot";
}

/* A YAML list of quoted words from "A,B"; a single "all" stays a word. */
static void add_list(pc_text *out, const char *list) {
  if (strcmp(list, "all") == 0) {
    pc_text_add(out, "all");
    return;
  }
  pc_text_add(out, "[");
  for (const char *at = list;;) {
    size_t length = strcspn(at, ",");
    pc_text word = {0};
    pc_text_add_bytes(&word, at, length);
    pc_text_add_quoted(out, word.data ? word.data : "");
    out->failed |= word.failed;
    pc_text_free(&word);
    at += length;
    if (!*at)
      break;
    pc_text_add(out, ", ");
    at += 1 + strspn(at + 1, " ");
  }
  pc_text_add(out, "]");
}

typedef enum value_form { AS_SCALAR, AS_LIST, AS_NUMBER } value_form;

static void add(made_overrides *made, const char *path, const char *value, value_form form,
                const char *source) {
  if (!value)
    return;
  pc_text *text = &made->texts[made->text_count++];
  if (form == AS_LIST)
    add_list(text, value);
  else if (form == AS_SCALAR)
    pc_text_add_quoted(text, value);
  else
    pc_text_add(text, value);
  made->items[made->count++] = (pc_override){path, text->data, source};
}

/* "40 m x 10 m": two lengths. Without an x all of it is the length, and faulty as such. */
static bool add_size(made_overrides *made, const char *size, pc_text *length) {
  const char *cross = size ? strstr(size, " x ") : NULL;
  if (size)
    pc_text_addf(length, "%.*s", cross ? (int)(cross - size) : (int)strlen(size), size);
  add(made, "place.length", length->data, AS_SCALAR, "--size");
  add(made, "place.width", cross ? cross + 3 : size ? "" : NULL, AS_SCALAR, "--size");
  return !length->failed;
}

static bool make_overrides(const cli_options *options, made_overrides *made) {
  *made = (made_overrides){.count = options->override_count};
  made->items = pc_alloc(options->override_count + OVERRIDES_MAX, sizeof *made->items);
  if (!made->items)
    return false;
  if (options->override_count > 0)
    memcpy(made->items, options->overrides, options->override_count * sizeof *made->items);
  add(made, "snow.depth", options->depth, AS_SCALAR, "--depth");
  add(made, "chance.replications", options->replications, AS_NUMBER, "--replications");
  add(made, "chance.seed", options->seed, AS_NUMBER, "--seed");
  add(made, "compare.layouts", options->layouts, AS_LIST, "--layouts");
  add(made, "compare.boxes", options->boxes, AS_LIST, "--boxes");
  add(made, "compare.loaders", options->loaders, AS_LIST, "--loaders");
  add(made, "compare.policies", options->policies, AS_LIST, "--policies");
  add(made, "compare.within", options->within, AS_SCALAR, "--within");
  add(made, "compare.mixed", options->mixed ? "true" : NULL, AS_NUMBER, "--mixed");
  add(made, "compare.depths", options->depths, AS_LIST, "--depths");
  bool range = options->crews && strstr(options->crews, "..");
  add(made, "compare.crews", options->crews, range ? AS_SCALAR : AS_LIST, "--crews");
  pc_text length = {0};
  add(made, "place.zones", options->zones, AS_NUMBER, "--zones");
  bool sized = add_size(made, options->size, &length);
  pc_text_free(&length);
  add(made, "place.step", options->step, AS_SCALAR, "--step");
  add(made, "place.among", options->candidates, AS_LIST, "--candidates");
  add(made, "place.keep", options->keep, AS_LIST, "--keep");
  add(made, "place.allow", options->allow ? "true" : NULL, AS_NUMBER, "--allow");
  for (size_t i = 0; i < made->text_count; i++)
    if (made->texts[i].failed)
      return false;
  return sized;
}

static void free_overrides(made_overrides *made) {
  for (size_t i = 0; i < made->text_count; i++)
    pc_text_free(&made->texts[i]);
  free(made->items);
}

/* From the text, if there is one, else from the file. */
static pc_status read_from(const cli_options *options, const pc_text *text, pc_scenario *scenario,
                           pc_faults *faults) {
  made_overrides made;
  pc_status status;
  *scenario = pc_scenario_default();
  faults->units = options->units;
  faults->units_given = options->units_given;
  if (!make_overrides(options, &made)) {
    status = pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  } else if (text) {
    bool piped = strcmp(options->scenario, "-") == 0;
    status = pc_scenario_read_text(piped ? "standard input" : options->scenario, text->data, text->length,
                                   made.items, made.count, scenario, faults);
  } else if (options->scenario) {
    status = pc_scenario_read(options->scenario, made.items, made.count, scenario, faults);
  } else {
    const char *demo = pc_demo_scenario();
    status = pc_scenario_read_text(cli_scenario_name(options), demo, strlen(demo), made.items, made.count,
                                   scenario, faults);
  }
  free_overrides(&made);
  return status;
}

pc_unit_system cli_units(const cli_options *options, const pc_scenario *scenario) {
  return options->units_given ? options->units : scenario->units;
}

static cli_exit load_from(const cli_options *options, const pc_text *text, pc_scenario *scenario) {
  pc_faults faults = {0};
  if (!options->scenario && !options->quiet)
    cli_say("no scenario given: this is the built-in demonstration lot");
  pc_status status = read_from(options, text, scenario, &faults);
  cli_show_faults(&faults, 0, !options->quiet);
  if (status != PC_OK && pc_faults_fatal(&faults) == 0)
    cli_say("%s: %s", cli_scenario_name(options), pc_status_describe(status));
  pc_faults_free(&faults);
  return status == PC_OK ? cli_spare_files(options, &scenario->origins) : cli_exit_of(status);
}

cli_exit cli_load(const cli_options *options, pc_scenario *scenario) {
  return load_from(options, NULL, scenario);
}

/* All of the file; "-" is standard input. `silent`: without a word of what fails. */
static cli_exit read_text(const char *path, bool silent, pc_text *text) {
  bool piped = strcmp(path, "-") == 0;
  char part[8192];
  errno = 0;
  FILE *file = piped ? stdin : fopen(path, "r");
  pc_text_add(text, "");
  for (size_t got;
       file && text->length <= PC_TREE_BYTES_MAX && (got = fread(part, 1, sizeof part, file)) > 0;)
    pc_text_add_bytes(text, part, got);
  bool failed = !file || ferror(file);
  if (failed && !silent)
    cli_say("%s: %s", piped ? "standard input" : path, errno ? strerror(errno) : "could not be read");
  if (file && !piped)
    fclose(file);
  return failed ? CLI_FILE : text->failed ? cli_no_memory() : CLI_DONE;
}

/* Standard input and pipes can be read but once. */
static bool can_be_read_twice(const char *path) {
  struct stat found;
  return strcmp(path, "-") != 0 && !(stat(path, &found) == 0 && S_ISFIFO(found.st_mode));
}

/* The files that a faulty scenario names. */
static cli_exit spare_named(const cli_options *options, const pc_text *text) {
  pc_origins files = {0};
  const char *path = strcmp(options->scenario, "-") == 0 ? NULL : options->scenario;
  pc_status status =
      pc_scenario_files(path, text->data, text->length, options->overrides, options->override_count, &files);
  cli_exit done = status == PC_OK ? cli_spare_files(options, &files) : cli_no_memory();
  pc_origins_free(&files);
  return done;
}

cli_exit cli_read(const cli_options *options, pc_scenario *scenario, pc_faults *faults, pc_status *status) {
  pc_text text = {0};
  bool once = options->scenario && !can_be_read_twice(options->scenario);
  bool read = once && read_text(options->scenario, true, &text) == CLI_DONE;
  cli_exit done = CLI_DONE;
  *status = read_from(options, read ? &text : NULL, scenario, faults);
  if (*status == PC_OK)
    done = cli_spare_files(options, &scenario->origins);
  else if (read || (!once && options->scenario && read_text(options->scenario, true, &text) == CLI_DONE))
    done = spare_named(options, &text);
  pc_text_free(&text);
  return done;
}

cli_exit cli_load_text(const cli_options *options, pc_scenario *scenario, pc_text *text) {
  bool twice = !options->scenario || can_be_read_twice(options->scenario);
  cli_exit done = twice ? cli_load(options, scenario) : CLI_DONE;
  if (done == CLI_DONE && options->scenario)
    done = read_text(options->scenario, false, text);
  else if (done == CLI_DONE)
    pc_text_add(text, pc_demo_scenario());
  if (done == CLI_DONE && text->failed)
    return cli_no_memory();
  return done == CLI_DONE && !twice ? load_from(options, text, scenario) : done;
}

/* Names of one kind, to look one up in. */
typedef struct roll {
  const char *option, *noun;
  const char *words[PC_PARTS_MAX + 1];
  size_t count;
} roll;

static cli_exit check_name(const roll *names, const char *name) {
  if (!name)
    return CLI_DONE;
  for (size_t i = 0; i < names->count; i++)
    if (strcmp(names->words[i], name) == 0)
      return CLI_DONE;
  const char *near = pc_nearest_word(name, names->words, names->count);
  pc_text list = {0};
  for (size_t i = 0; i < names->count; i++)
    pc_text_addf(&list, "%s\"%s\"", i ? ", " : "", names->words[i]);
  cli_say("%s: there is no %s \"%s\"%s%s%s; choose one of %s", names->option, names->noun, name,
          near ? "; did you mean \"" : "", near ? near : "", near ? "\"?" : "",
          list.data ? list.data : "none");
  pc_text_free(&list);
  return CLI_USAGE;
}

static cli_exit check_names(const cli_options *options, const pc_scenario *scenario) {
  roll layouts = {.option = "--layout", .noun = "layout"}, boxes = {.option = "--box", .noun = "box"};
  roll loaders = {.option = "--loader", .noun = "loader"},
       policies = {.option = "--policy", .noun = "policy"};
  for (size_t i = 0; i < scenario->layout_count && i < PC_PARTS_MAX; i++)
    layouts.words[layouts.count++] = scenario->layouts[i].name.text;
  if (layouts.count == 0)
    layouts.words[layouts.count++] = "all zones";
  for (size_t i = 0; i < scenario->box_count && i < PC_PARTS_MAX; i++)
    boxes.words[boxes.count++] = scenario->boxes[i].name.text;
  for (size_t i = 0; i < scenario->loader_count && i < PC_PARTS_MAX; i++)
    loaders.words[loaders.count++] = scenario->loaders[i].name.text;
  for (size_t i = 0; i < PC_PARTS_MAX && pc_policy_at(i); i++)
    policies.words[policies.count++] = pc_policy_at(i)->name;
  int bad = check_name(&layouts, options->layout) != CLI_DONE;
  pc_mix mix;
  pc_name unknown = {{0}};
  if (options->box && strlen(options->box) >= PC_NAME_ROOM) {
    cli_say("--box: \"%s\" is longer than %d characters", options->box, (int)PC_NAME_ROOM - 1);
    return CLI_USAGE;
  }
  if (options->box && pc_mix_read(scenario, options->box, &mix, &unknown) == PC_ERR_NAME) {
    bad |= check_name(&boxes, unknown.text) != CLI_DONE;
    if (strpbrk(options->box, "+x")) /* perhaps meant as a mix */
      cli_say("several boxes, machine by machine, are written as --box \"2 x A + B\", with blanks");
  }
  bad |= check_name(&loaders, options->loader) != CLI_DONE;
  bad |= check_name(&policies, options->policy) != CLI_DONE;
  return bad ? CLI_USAGE : CLI_DONE;
}

cli_exit cli_choose(const cli_options *options, const pc_scenario *scenario, pc_choice *choice) {
  *choice = (pc_choice){.layout = options->layout,
                        .box = options->box,
                        .loader = options->loader,
                        .policy = options->policy,
                        .depth_m = NAN};
  return check_names(options, scenario);
}

cli_exit cli_add_siting(const pc_scenario *scenario, const char *layout, double need_m3,
                        pc_siting_report *report) {
  pc_status status = pc_siting_report_add(report, scenario, layout, need_m3);
  if (status != PC_OK)
    cli_say("where the zones of layout \"%s\" lie could not be checked: %s", layout,
            pc_status_describe(status));
  return cli_exit_of(status);
}

static void print_heading(double heading_rad, char heading[40]) {
  pc_units_print_as(heading, 40, heading_rad, PC_DIM_ANGLE, "deg", 1);
  if (strcmp(heading, "360.0 deg") == 0) /* rounded up to a whole turn */
    snprintf(heading, 40, "0.0 deg");
}

/* "188.1 deg, 52.9 min, 67 m2 left for a smaller machine" */
static void add_heading(double heading_rad, double time_s, double small_m2, pc_unit_system units,
                        pc_text *out) {
  char heading[40], time[40];
  print_heading(heading_rad, heading);
  pc_units_print(time, sizeof time, time_s, PC_DIM_TIME, units, 3);
  pc_text_addf(out, "%s, %s", heading, time);
  if (small_m2 >= 1.0)
    pc_text_addf(out, ", %s left for a smaller machine", pc_show(small_m2, PC_DIM_AREA, units, 3).text);
}

static void say_heading(const pc_heading_choice *choice, pc_unit_system units) {
  pc_text words = {0};
  if (isnan(choice->time_s)) {
    char heading[40];
    print_heading(choice->heading_rad, heading);
    cli_say("area \"%s\": heading %s, along its longest edge: there are no zones to choose by",
            choice->area.text, heading);
    return;
  }
  add_heading(choice->heading_rad, choice->time_s, choice->small_m2, units, &words);
  pc_text_add(&words, choice->finished ? "" : ", not finished with any");
  if (isfinite(choice->next_s)) {
    pc_text_add(&words, "; next best ");
    add_heading(choice->next_rad, choice->next_s, choice->next_small_m2, units, &words);
  }
  if (choice->tried < choice->candidates)
    pc_text_addf(&words, " (stopped: the best of %zu tried of %zu)", choice->tried, choice->candidates);
  cli_say("area \"%s\": heading %s", choice->area.text,
          words.data && !words.failed ? words.data : "out of memory");
  pc_text_free(&words);
}

void cli_say_headings(const cli_options *options, const pc_heading_report *report, pc_unit_system units) {
  for (size_t i = 0; i < report->count; i++)
    if (!options->quiet || report->items[i].tried < report->items[i].candidates)
      say_heading(&report->items[i], units);
}

pc_status cli_find_headings(const cli_options *options, pc_scenario *scenario, const pc_choice *choice,
                            pc_faults *faults, pc_heading_report *report) {
  cli_watch watch;
  const pc_watch *shown = cli_watch_begin(&watch, options, "headings");
  pc_status status = pc_headings_choose_watched(scenario, choice, options->threads, shown, faults, report);
  (void)cli_watch_end(&watch);
  return status;
}

cli_exit cli_choose_headings(const cli_options *options, pc_scenario *scenario, const pc_choice *choice,
                             pc_heading_report *report) {
  pc_faults faults = {0};
  pc_status status = cli_find_headings(options, scenario, choice, &faults, report);
  cli_show_faults(&faults, 0, false);
  pc_faults_free(&faults);
  cli_say_headings(options, report, cli_units(options, scenario));
  return cli_exit_of(status);
}
