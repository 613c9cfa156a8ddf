// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/fleet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/reader.h"
#include "io/tree_private.h"

static void init_machine(void *object) {
  *(pc_fleet_machine *)object = pc_fleet_machine_default();
}

static void init_box(void *object) {
  *(pc_fleet_box *)object = pc_fleet_box_default();
}

static void init_place(void *object) {
  *(pc_fleet_place *)object = (pc_fleet_place){.at = {NAN, NAN}};
}

static const pc_part loader_part = {.fields = &pc_loader_fields, .size = sizeof(pc_loader)};
static const pc_part only_box_part = {.fields = &pc_box_fields, .size = sizeof(pc_box)};
static const pc_part money_part = {.fields = &pc_money_fields, .size = sizeof(pc_money)};

static const pc_member machine_members[] = {{.key = "loader",
                                             .shape = PC_SHAPE_PART,
                                             .required = true,
                                             .offset = offsetof(pc_fleet_machine, loader),
                                             .part = &loader_part,
                                             .help = "its speeds, at least, as in a scenario"},
                                            {.key = "together",
                                             .shape = PC_SHAPE_COUNTS,
                                             .offset = offsetof(pc_fleet_machine, together),
                                             .help = "how many may work as one, [1, 2] or 1..3; default 1"},
                                            {.key = "boxes",
                                             .shape = PC_SHAPE_NAMES,
                                             .some = true,
                                             .offset = offsetof(pc_fleet_machine, boxes),
                                             .help = "the boxes that it takes; default all"},
                                            {0}};
static const pc_member box_members[] = {{.key = "box",
                                         .shape = PC_SHAPE_PART,
                                         .required = true,
                                         .offset = offsetof(pc_fleet_box, box),
                                         .part = &only_box_part,
                                         .help = "its width and height, at least, as in a scenario"},
                                        {0}};
static const pc_member place_members[] = {{.key = "at",
                                           .shape = PC_SHAPE_POINT,
                                           .required = true,
                                           .offset = offsetof(pc_fleet_place, at),
                                           .flag_offset = PC_NO_FLAG,
                                           .help = "where the lot lies, [x, y]"},
                                          {0}};
static const pc_part machine_part = {.fields = &pc_fleet_machine_fields,
                                     .members = machine_members,
                                     .size = sizeof(pc_fleet_machine),
                                     .init = init_machine,
                                     .usual_name = "machine",
                                     .name_offset = offsetof(pc_fleet_machine, name)};
static const pc_part box_part = {.fields = &pc_fleet_box_fields,
                                 .members = box_members,
                                 .size = sizeof(pc_fleet_box),
                                 .init = init_box,
                                 .usual_name = "box",
                                 .name_offset = offsetof(pc_fleet_box, name)};
static const pc_part place_part = {.fields = &pc_fleet_place_fields,
                                   .members = place_members,
                                   .size = sizeof(pc_fleet_place),
                                   .init = init_place};

static const pc_member travel_members[] = {
    {.key = "units", .shape = PC_SHAPE_UNITS, .help = "unit of positions: km, m, mi or ft; default km"},
    {.key = "yard",
     .shape = PC_SHAPE_POINT,
     .offset = offsetof(pc_fleet_travel, yard),
     .flag_offset = offsetof(pc_fleet_travel, has_yard),
     .help = "where machines start, [x, y]"},
    {.key = "lots",
     .shape = PC_SHAPE_PARTS,
     .offset = offsetof(pc_fleet_travel, lots),
     .count_offset = offsetof(pc_fleet_travel, lot_count),
     .part = &place_part,
     .help = "where lots lie"},
    {.key = "places",
     .shape = PC_SHAPE_NAMES,
     .offset = offsetof(pc_fleet_travel, places),
     .help = "the names of rows and columns of minutes, the yard called yard"},
    {.key = "minutes", .shape = PC_SHAPE_FILE, .help = "minutes from each place (row) to each (column)"},
    {0}};
static const pc_part travel_part = {
    .fields = &pc_fleet_travel_fields, .members = travel_members, .size = sizeof(pc_fleet_travel)};

static const pc_member fleet_members[] = {
    {.key = "fleet", .shape = PC_SHAPE_VERSION, .help = "version of this file format: 1"},
    {.key = "machines",
     .shape = PC_SHAPE_PARTS,
     .required = true,
     .offset = offsetof(pc_fleet, machines),
     .count_offset = offsetof(pc_fleet, machine_count),
     .part = &machine_part,
     .help = "the machines, each with its loader"},
    {.key = "boxes",
     .shape = PC_SHAPE_PARTS,
     .required = true,
     .offset = offsetof(pc_fleet, boxes),
     .count_offset = offsetof(pc_fleet, box_count),
     .part = &box_part,
     .help = "the boxes"},
    {.key = "travel",
     .shape = PC_SHAPE_PART,
     .offset = offsetof(pc_fleet, travel),
     .part = &travel_part,
     .help = "ways between yard and lots"},
    {.key = "money",
     .shape = PC_SHAPE_PART,
     .offset = offsetof(pc_fleet, money),
     .part = &money_part,
     .help = "prices"},
    {0}};
static const pc_part fleet_part = {
    .fields = &pc_fleet_fields, .members = fleet_members, .size = sizeof(pc_fleet)};

static void read_units(pc_reader *reader, const pc_node *node) {
  static const struct {
    const char *name;
    double m;
  } units[] = {{"km", 1000.0}, {"m", 1.0}, {"mi", 1609.344}, {"ft", 0.3048}};
  const char *text = pc_reader_text(reader, node, "km, m, mi or ft");
  for (size_t i = 0; text && i < sizeof units / sizeof units[0]; i++)
    if (strcmp(text, units[i].name) == 0) {
      reader->unit_m = units[i].m;
      return;
    }
  if (text)
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_UNIT, "must be km, m, mi or ft");
}

/* A square of bare numbers. */
static void read_minutes(pc_reader *reader, const pc_node *node, pc_fleet_travel *t) {
  size_t n = t->places.count;
  if (!pc_reader_expect(reader, node, PC_NODE_LIST, "a list of rows, [[0, 12], [12, 0]]"))
    return;
  if (n == 0 || n > PC_FLEET_PLACES_MAX)
    return; /* told by validation */
  if (node->count != n) {
    (void)pc_reader_fault(reader, node, PC_AT_VALUE, PC_ERR_RANGE, "has %zu rows for %zu places", node->count,
                          n);
    return;
  }
  t->time_s = pc_alloc_grid(n, n, sizeof *t->time_s);
  if (!t->time_s) {
    reader->no_memory = true;
    return;
  }
  for (const pc_node *row = node->first; row; row = row->next) {
    if (!pc_reader_expect(reader, row, PC_NODE_LIST, "a row, [0, 12]"))
      continue;
    if (row->count != n) {
      (void)pc_reader_fault(reader, row, PC_AT_VALUE, PC_ERR_RANGE, "has %zu numbers for %zu places",
                            row->count, n);
      continue;
    }
    for (const pc_node *entry = row->first; entry; entry = entry->next) {
      pc_error error = {0};
      double minutes = 0.0;
      const char *text = pc_reader_text(reader, entry, "a number of minutes");
      if (text && pc_units_parse(text, PC_DIM_NUMBER, &minutes, &error) != PC_OK)
        (void)pc_reader_fault(reader, entry, PC_AT_VALUE, error.status, "%s", error.message);
      t->time_s[row->index * n + entry->index] = 60.0 * minutes;
    }
  }
}

/* The scenario of a lot would be faulty at every line. */
static bool is_lot(pc_reader *reader) {
  const pc_node *root = pc_tree_root(reader->tree);
  if (root->kind != PC_NODE_MAP || pc_node_get(root, "machines") ||
      !(pc_node_get(root, "site") || pc_node_get(root, "snow")))
    return false;
  (void)pc_reader_fault(
      reader, root, PC_AT_VALUE, PC_ERR_KEY,
      "this is the scenario of a lot (it has a site or snow, and no machines), where the file of "
      "a fleet is due; `assign` takes the fleet first, then the lots");
  return true;
}

static void read_tree(pc_reader *reader, pc_fleet *fleet) {
  pc_node *root = pc_tree_root(reader->tree);
  if (!pc_reader_expect(reader, root, PC_NODE_MAP,
                        "the map of a fleet, with keys machines, boxes and travel"))
    return;
  const pc_node *travel = pc_node_get(root, "travel"), *units = pc_node_get(travel, "units");
  const pc_node *minutes = pc_node_get(travel, "minutes");
  reader->unit_m = 1000.0;
  if (units)
    read_units(reader, units);
  pc_reader_part(reader, root, &fleet_part, fleet);
  if (minutes)
    read_minutes(reader, minutes, &fleet->travel);
  for (size_t i = 0; i < fleet->machine_count; i++)
    fleet->machines[i].loader.name = fleet->machines[i].name;
  for (size_t i = 0; i < fleet->box_count; i++)
    fleet->boxes[i].box.name = fleet->boxes[i].name;
}

static void validate(pc_reader *reader, const pc_fleet *fleet) {
  pc_faults found = pc_faults_like(reader->faults);
  pc_fleet_validate(fleet, &found);
  for (size_t i = 0; i < found.count; i++) {
    pc_error *error = &found.items[i];
    bool exact;
    /* A list that could not be read has no names to refer to. */
    bool boxes = error->status == PC_ERR_NAME && strstr(error->key, "].boxes[") &&
                 pc_reader_is_noted(reader, "boxes", PC_ERR_MISSING);
    bool minutes = strcmp(error->key, "travel") == 0 && pc_reader_is_noted(reader, "travel.minutes", PC_OK);
    if (boxes || minutes || pc_reader_is_noted(reader, error->key, error->status))
      continue;
    const pc_node *node = pc_tree_find(reader->tree, error->key, &exact);
    if (node)
      pc_error_place(error, node->file, node->line, node->column);
    pc_tree_push_fault(reader->faults, error);
  }
  reader->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

/* What is found only once the lots are known is about these parts. */
static void note_origins(pc_reader *reader, pc_fleet *fleet) {
  static const char *const keys[] = {"travel.places", "travel.lots"};
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
    bool exact;
    pc_error error;
    (void)pc_error_set(&error, PC_OK, keys[i], NULL, "%s", "");
    const pc_node *node = pc_tree_find(reader->tree, keys[i], &exact);
    if (!node || !exact)
      continue;
    pc_error_place(&error, node->file, node->line, node->column);
    pc_origins_note(&fleet->origins, keys[i], &error);
  }
  reader->no_memory |= fleet->origins.failed;
}

/* From a tree, which this frees; faults from `before` on are of this file. */
static pc_status from_tree(pc_tree *tree, size_t before, pc_fleet *out, pc_faults *faults) {
  pc_reader reader = {.tree = tree, .faults = faults};
  for (size_t i = before; i < faults->count; i++)
    if (faults->items[i].key[0])
      pc_reader_note(&reader, faults->items[i].key);
  bool other = is_lot(&reader);
  if (!other)
    read_tree(&reader, out);
  if (!other && pc_tree_root(tree)->kind == PC_NODE_MAP && !reader.no_memory)
    validate(&reader, out);
  if (!other)
    note_origins(&reader, out);
  pc_status status = pc_reader_end(&reader, before);
  if (status != PC_OK)
    pc_fleet_free(out);
  free(reader.slips);
  pc_tree_free(tree);
  return status;
}

pc_status pc_fleet_read(const char *path, pc_fleet *out, pc_faults *faults) {
  *out = pc_fleet_default();
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_read(path, &tree, faults);
  return tree ? from_tree(tree, before, out, faults) : status;
}

pc_status pc_fleet_read_text(const char *name, const char *text, size_t length, pc_fleet *out,
                             pc_faults *faults) {
  *out = pc_fleet_default();
  size_t before = faults->count;
  pc_tree *tree = NULL;
  pc_status status = pc_tree_parse(name, text, length, &tree, faults);
  return tree ? from_tree(tree, before, out, faults) : status;
}
