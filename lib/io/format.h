// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The shape of the scenario format as constant tables, on top of the field tables of the library: which part
 * holds which lists, outlines, points and further parts. The reader and the JSON Schema both walk them.
 * Internal to libpushcycle-io; not installed.
 */
#ifndef PC_IO_FORMAT_H
#define PC_IO_FORMAT_H

#include "sim/scenario.h"

enum { PC_FORMAT_VERSION = 1 };

typedef enum pc_shape {
  PC_SHAPE_VERSION, /* the format's version number; nothing is stored */
  PC_SHAPE_UNITS,   /* m or ft: read before everything else; nothing is stored */
  PC_SHAPE_PART,    /* a map */
  PC_SHAPE_PARTS,   /* a list of maps */
  PC_SHAPE_OUTLINE, /* pc_ring */
  PC_SHAPE_POINT,   /* pc_point */
  PC_SHAPE_NAMES,   /* pc_names: one name or a list of them */
  PC_SHAPE_DEPTHS,  /* pc_depths: one length or a list of them */
  PC_SHAPE_COUNTS,  /* pc_counts: one whole number, a list of them, or a range, 1..6 */
  PC_SHAPE_FILE,    /* name of another file: read after everything else; nothing is stored */
  PC_SHAPE_CLOCK,   /* pc_clock, a time of day: read before everything but the units */
  PC_SHAPE_ORIGIN   /* longitude and latitude of a pc_site's origin */
} pc_shape;

typedef struct pc_part pc_part;

typedef struct pc_member {
  const char *key;
  pc_shape shape;
  bool required;
  bool or_file;        /* of the site: not required where its file is given */
  bool some;           /* NAMES: a list without an entry is a fault */
  size_t offset;       /* of the value; for PARTS: of the array's pointer */
  size_t count_offset; /* PARTS: of its size_t count */
  size_t flag_offset;  /* POINT: of a bool set when it is given, or PC_NO_FLAG */
  const pc_part *part; /* PART, PARTS */
  const char *help;    /* one line, also used in "is required (…)" */
} pc_member;

#define PC_NO_FLAG ((size_t)-1)

struct pc_part {
  const pc_fields *fields;  /* may be NULL */
  const pc_member *members; /* ends with a NULL key; may be NULL */
  size_t size;
  void (*init)(void *object); /* NULL: zero is right */
  const char *usual_name;     /* "box": entries without a name are called "box 1", …; NULL: no names */
  size_t name_offset;
};

/* The whole scenario. */
extern const pc_part pc_format_scenario;

/* The part at a path of keys, "site.areas", or NULL. */
const pc_part *pc_format_part(const char *path);

#endif
