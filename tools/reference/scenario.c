// SPDX-License-Identifier: GPL-3.0-or-later
/* pushcycle-scenario(5): every key of the format, from the tables that the reader walks. */
#include <math.h>
#include <string.h>

#include "io/format.h"
#include "io/starter.h"
#include "reference.h"

/* Adds "key" in bold and what it holds in plain type as the tag of a list. */
static void add_tag(pc_text *out, const char *key, const char *holds) {
  pc_text_add(out, ".TP\n\\fB");
  page_add(out, key);
  pc_text_add(out, "\\fP ");
  page_add(out, holds);
  pc_text_add(out, "\n");
}

/* A sentence without its full stop becomes one with it. */
static void add_sentence(pc_text *out, const char *text) {
  size_t length = strlen(text);
  page_paragraphf(out, "%s%s\n", text, length > 0 && text[length - 1] == '.' ? "" : ".");
}

static const char *kind_of(const pc_field *field) {
  switch (field->kind) {
  case PC_FIELD_QUANTITY:
    return pc_dimension_name(field->dimension);
  case PC_FIELD_INTEGER:
    return "whole number";
  case PC_FIELD_NAME:
    return "name";
  case PC_FIELD_CHOICE:
    return "word";
  case PC_FIELD_FLAG:
    return "true or false";
  }
  return "";
}

static void add_field(pc_text *out, const pc_field *field) {
  char range[512], holds[128];
  bool named = field->kind == PC_FIELD_NAME || field->kind == PC_FIELD_FLAG;
  const char *word = field->moment ? "clock time" : field->word;
  snprintf(holds, sizeof holds, "(%s%s%s)", kind_of(field), word ? ", or " : "", word ? word : "");
  add_tag(out, field->key, holds);
  add_sentence(out, field->help ? field->help : field->key);
  pc_field_print_range(field, PC_METRIC, range, sizeof range);
  if (!named && (field->kind == PC_FIELD_CHOICE || isfinite(field->min) || isfinite(field->max)))
    page_paragraphf(out, "Allowed: %s.\n", range);
  if (field->fallback)
    page_paragraphf(out, "Default: %s.\n", field->fallback);
  else if (field->unless)
    page_paragraphf(out, "Required, unless %s says otherwise.\n", field->unless);
  else if (field->required && field->kind != PC_FIELD_NAME) /* names may be left out */
    pc_text_add(out, "Required.\n");
}

static const char *shape_of(const pc_member *member) {
  switch (member->shape) {
  case PC_SHAPE_VERSION:
    return "(whole number)";
  case PC_SHAPE_UNITS:
    return "(m or ft)";
  case PC_SHAPE_PART:
    return "(map, see below)";
  case PC_SHAPE_PARTS:
    return "(list of maps, see below)";
  case PC_SHAPE_OUTLINE:
    return "(list of points)";
  case PC_SHAPE_POINT:
    return "(point)";
  case PC_SHAPE_NAMES:
    return "(name, or list of names)";
  case PC_SHAPE_DEPTHS:
    return "(length, or list of lengths)";
  case PC_SHAPE_COUNTS:
    return "(whole number, list of them, or range)";
  case PC_SHAPE_FILE:
    return "(name of a file)";
  case PC_SHAPE_CLOCK:
    return "(time of day)";
  case PC_SHAPE_ORIGIN:
    return "(longitude and latitude)";
  }
  return "";
}

static void add_member(pc_text *out, const pc_member *member) {
  add_tag(out, member->key, shape_of(member));
  add_sentence(out, member->help);
  if (member->required)
    pc_text_add(out, member->or_file ? "Required, unless site.file is given.\n" : "Required.\n");
}

/* One part, then those that it holds. */
static void add_part(pc_text *out, const pc_part *part, const char *path) {
  if (*path) {
    pc_text_add(out, ".SS ");
    page_add(out, path);
    pc_text_add(out, "\n");
  }
  for (size_t i = 0; part->fields && i < part->fields->count; i++)
    add_field(out, &part->fields->items[i]);
  for (const pc_member *m = part->members; m && m->key; m++)
    add_member(out, m);
  for (const pc_member *m = part->members; m && m->key; m++)
    if (m->part) {
      char deeper[PC_KEY_MAX];
      snprintf(deeper, sizeof deeper, "%s%s%s%s", path, *path ? "." : "", m->key,
               m->shape == PC_SHAPE_PARTS ? "[]" : "");
      add_part(out, m->part, deeper);
    }
}

static void add_units(pc_text *out) {
  pc_text_add(out, ".SH QUANTITIES\n");
  page_paragraph(
      out,
      "A quantity is a number with its unit, 4.9 m; several of them add up, 6 ft 3 in. Shares are a "
      "number from 0 to 1, or written with %.");
  for (int d = 0; d < PC_DIM_COUNT; d++) {
    const char *units = pc_dimension_units((pc_dimension)d);
    if (!*units)
      continue;
    pc_text_add(out, ".TP\n.B ");
    page_add(out, pc_dimension_name((pc_dimension)d));
    pc_text_add(out, "\n");
    page_paragraphf(out, "%s; for example %s\n", units, pc_dimension_example((pc_dimension)d));
  }
}

static void add_clock(pc_text *out) {
  pc_text_add(out, ".SH CLOCK TIMES\n");
  page_paragraph(out,
                 "With starts_at, a time after the start may be written as a clock time, 05:00 or 5:00 am: "
                 "the first such "
                 "time from the start on. One equal to the start is the start itself; for a deadline "
                 "(clear_by) and the end "
                 "of a shift (until) it is a day later. 05:00 +2 days counts midnights since the start. "
                 "Where starts_at has "
                 "am or pm, so must times that could be either. Lengths of time (breaks, times of a cycle) "
                 "are never clock "
                 "times, nor are the times in a storm_file. There is no date and no time zone: a night in "
                 "which the clocks "
                 "change is yours to mind.");
}

/* The starter without its comments: what has to be given, and little else. */
static void add_example(pc_text *out) {
  pc_text plain = {0};
  for (const char *line = pc_starter_scenario(); *line;) {
    size_t length = strcspn(line, "\n"), shown = length;
    for (size_t i = 0; i < length; i++)
      if (line[i] == '#' && (i == 0 || line[i - 1] == ' ')) {
        shown = i;
        break;
      }
    while (shown > 0 && line[shown - 1] == ' ')
      shown--;
    if (shown > 0)
      pc_text_addf(&plain, "%.*s\n", (int)shown, line);
    line += length + (line[length] == '\n');
  }
  pc_text_add(out, ".SH EXAMPLES\n");
  page_paragraph(out, "What `pushcycle new' writes, without its comments (with --units us it is in feet):");
  page_example(out, plain.data ? plain.data : "");
  out->failed |= plain.failed;
  pc_text_free(&plain);
}

void page_of_scenario(pc_text *out, const page_edition *edition) {
  page_begin(out, "pushcycle-scenario", "5", edition);
  pc_text_add(out,
              ".SH NAME\npushcycle\\-scenario \\- what lies where, and who clears it with what\n"
              ".SH DESCRIPTION\n");
  page_paragraph(
      out,
      "A scenario is a file in YAML. Keys that are not given have the defaults named here. A key with a "
      "dot stands for a map within a map: speeds.push is {speeds: {push: 8 km/h}}. Points are [x, y] and "
      "outlines lists of their corners in order, bare numbers in the unit that site.units names.\n\n"
      "Boxes, loaders, zones and so on are called by their names; entries without one are called box 1, "
      "box 2. The option --set of most commands overrides one key, --set 'boxes[0].width=16 ft' or --set "
      "'zones[west].height=3 m', "
      "also of what a map (site.file) holds.");
  pc_text_add(out, ".SH KEYS\n");
  add_part(out, &pc_format_scenario, "");
  add_units(out);
  add_clock(out);
  add_example(out);
  pc_text_add(out, ".SH SEE ALSO\n");
  page_refer(out, "pushcycle", "1", ",");
  page_refer(out, "pushcycle-check", "1", ",");
  page_refer(out, "pushcycle-new", "1", ",");
  page_refer(out, "pushcycle-schema", "1", "");
}
