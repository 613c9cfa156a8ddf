// SPDX-License-Identifier: GPL-3.0-or-later
/* Whose units a scenario is written in, beside what `site.units` says: cautions where people may take its
 * answers, its coordinates or its fuel for something else. */
#include <string.h>

#include "io/reader.h"

static bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* The name of the first unit in a quantity that was read, "ft" of "6 ft 3 in"; "" if it has none. */
static pc_name unit_in(const char *text) {
  while (*text && !is_letter(*text))
    text++;
  size_t length = 0;
  while (is_letter(text[length]))
    length++;
  pc_name name = {""};
  if (length < sizeof name.text)
    memcpy(name.text, text, length);
  return name;
}

void pc_reader_note_unit(pc_reader *reader, const pc_node *node, pc_dimension dimension) {
  static const char *const us[] = {"ft", "in", "yd", "mi"};
  pc_name unit = unit_in(node->text);
  bool fuel = dimension == PC_DIM_FUEL || dimension == PC_DIM_FUEL_RATE || dimension == PC_DIM_FUEL_WORK ||
              dimension == PC_DIM_FUEL_FLOW;
  if (fuel && !unit.text[0] && !reader->bare_fuel) {
    reader->bare_fuel = node;
    reader->bare_dimension = dimension;
  }
  if (dimension != PC_DIM_LENGTH || !unit.text[0])
    return;
  bool is_us = false;
  for (size_t i = 0; i < sizeof us / sizeof us[0]; i++)
    is_us |= strcmp(unit.text, us[i]) == 0;
  reader->us_lengths += is_us;
  reader->metric_lengths += !is_us;
}

void pc_reader_caution(pc_reader *reader, const pc_node *node, const char *key, const char *message) {
  pc_error error;
  (void)pc_error_set(&error, PC_OK, key, NULL, "%s", message);
  error.caution = true;
  pc_error_place(&error, node->file, node->line, node->column);
  pc_tree_push_fault(reader->faults, &error);
}

static const char *fuel_units(pc_dimension dimension) {
  return dimension == PC_DIM_FUEL_RATE   ? "l/h"
         : dimension == PC_DIM_FUEL_WORK ? "l/kWh"
         : dimension == PC_DIM_FUEL_FLOW ? "l/s"
                                         : "l";
}

/* Where a map has the coordinates, and the reader chose the units of results, nothing is left to misread. */
static void caution_metres(pc_reader *reader, const pc_node *site) {
  char message[PC_MESSAGE_MAX];
  bool results = !reader->faults->units_given, coordinates = !reader->has_file;
  if (!results && !coordinates)
    return;
  snprintf(
      message, sizeof message,
      "is not given, so that %s%s%s, though every length here is in feet or inches: write units: ft under "
      "site (or units: m, if that is meant)",
      coordinates ? "coordinates are metres" : "", coordinates && results ? " and " : "",
      results ? "results are told in metres" : "");
  pc_reader_caution(reader, site, "site.units", message);
}

void pc_reader_caution_units(pc_reader *reader) {
  const pc_node *root = pc_tree_root(reader->tree), *site = pc_node_get(root, "site");
  if (site && !pc_node_get(site, "units") && reader->us_lengths > 0 && reader->metric_lengths == 0)
    caution_metres(reader, site);
  if (!reader->bare_fuel || !(reader->unit_m < 1))
    return;
  char key[PC_KEY_MAX], message[PC_MESSAGE_MAX];
  pc_name room;
  (void)pc_node_path(reader->bare_fuel, key, sizeof key);
  snprintf(message, sizeof message,
           "\"%.40s\" has no unit and is taken for litres (%s), as is every fuel figure without one; write "
           "it with its unit, e.g. %s",
           pc_node_shown(reader->bare_fuel, &room), fuel_units(reader->bare_dimension),
           pc_dimension_example(reader->bare_dimension));
  pc_reader_caution(reader, reader->bare_fuel, key, message);
}
