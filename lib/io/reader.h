// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Reads a tree into plain structs by the tables of io/format.h. Internal to libpushcycle-io.
 */
#ifndef PC_IO_READER_H
#define PC_IO_READER_H

#include "io/format.h"
#include "io/scenario.h"
#include "io/tree.h"

typedef struct pc_slip {
  char path[PC_KEY_MAX];
} pc_slip;

typedef struct pc_reader {
  const pc_tree *tree;
  pc_faults *faults;
  double unit_m;     /* of coordinates */
  pc_clock clock;    /* when the work starts */
  bool clock_failed; /* that is given but no time of day; `clock` is some time then, so that the rest is read
                      */
  bool seeks_start;  /* there is no scenario yet: the map's clock times say when work may start */
  bool has_file;     /* site.file is given: areas and zones may stand there */
  bool no_memory;
  /* Paths that have a fault already; what validation says about them, or about what is in them, is not told.
   */
  pc_slip *slips;
  size_t slip_count, slip_capacity;
  /* Coordinates with a unit: one fault for all of them. */
  const pc_node *with_unit; /* the first */
  size_t with_unit_count;
  size_t us_lengths, metric_lengths; /* quantities read so far */
  const pc_node *bare_fuel;          /* the first fuel figure without a unit, or NULL */
  pc_dimension bare_dimension;
  /* Overrides of what the map of site.file holds, kept back until it is read, and then as a tree of the
   * scenario's shape; NULL: there are none. */
  const pc_override **kept;
  size_t kept_count, kept_capacity;
  pc_tree *map_tree;
} pc_reader;

/* Adds a fault at a node and notes its path. */
pc_status pc_reader_fault(pc_reader *reader, const pc_node *node, pc_node_place place, pc_status status,
                          const char *format, ...) PC_PRINTF(5, 6);
/* Notes a path as faulty without a message. */
void pc_reader_note(pc_reader *reader, const char *path);
/* True if this path or something above it has a fault already, or something below it that explains `status`.
 */
bool pc_reader_is_noted(const pc_reader *reader, const char *path, pc_status status);
/* Status of what was read: of its first fault, from number `before` on, or after one that tells that memory
 * was short. */
pc_status pc_reader_end(pc_reader *reader, size_t before);
/* True if the node is of this kind; else a fault "needs `what`, not …". */
bool pc_reader_expect(pc_reader *reader, const pc_node *node, pc_node_kind kind, const char *what);
/* Fills *object, which has its defaults already, from a map. */
void pc_reader_part(pc_reader *reader, const pc_node *map, const pc_part *part, void *object);

/* Fills in what the map gives and leaves the rest of *object, which has all it needs, as it is. */
void pc_reader_over(pc_reader *reader, const pc_node *map, const pc_part *part, void *object);

/* Reads a text as if it were the file `path`, which the names of other files in it are relative to. */
PC_MUST_USE pc_status pc_scenario_read_at(const char *path, const char *text, size_t length, pc_scenario *out,
                                          pc_faults *faults);

/* One value of a field table (reader_values.c). */
void pc_reader_field(pc_reader *reader, const pc_node *node, const pc_field *field, void *object);
void pc_reader_outline(pc_reader *reader, const pc_node *node, pc_ring *ring);
/* Tells of coordinates with a unit, once all are read. */
void pc_reader_tell_units(pc_reader *reader);
bool pc_reader_point(pc_reader *reader, const pc_node *node, pc_point *point);
void pc_reader_names(pc_reader *reader, const pc_node *node, pc_names *names);
void pc_reader_depths(pc_reader *reader, const pc_node *node, pc_depths *depths);
void pc_reader_counts(pc_reader *reader, const pc_node *node, pc_counts *counts);
/* Longitude and latitude; false after a fault. */
bool pc_reader_origin(pc_reader *reader, const pc_node *node, pc_site *site);
/* The text of a scalar, or NULL after a fault that says `what` is due. */
const char *pc_reader_text(pc_reader *reader, const pc_node *node, const char *what);
/* A time of day, into reader->clock. */
void pc_reader_clock(pc_reader *reader, const pc_node *node);
void pc_reader_units(pc_reader *reader, const pc_node *node);
void pc_reader_version(pc_reader *reader, const pc_node *node);

/* Adds a caution about a key, at a node (reader_units.c). */
void pc_reader_caution(pc_reader *reader, const pc_node *node, const char *key, const char *message);
/* Notes in which units a quantity is written that was read (reader_units.c). */
void pc_reader_note_unit(pc_reader *reader, const pc_node *node, pc_dimension dimension);
/* What follows of it, once all is read. */
void pc_reader_caution_units(pc_reader *reader);

/* Puts the overrides into the tree (override.c). With a site.file, those of entries that are not there are
 * kept back: they may be the map's. */
void pc_overrides_apply(pc_tree *tree, const pc_override *overrides, size_t count, pc_reader *reader);
/* Frees what was kept back, and what became of it. */
void pc_overrides_free(pc_reader *reader);

/* Text of a scalar for a message, cut to a handy length. */
const char *pc_node_shown(const pc_node *node, pc_name *room);

#endif
