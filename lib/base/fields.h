// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Field tables: each plain struct that a user fills has one constant table that says, for every field,
 * its key in a scenario file, its dimension, its range, its default in words and its meaning. One table
 * serves validation here, reading, the JSON Schema and the documentation.
 *
 * Optional quantities are doubles that hold NaN while not given.
 *
 * Thread-safety: the functions touch only their arguments; the tables are constant.
 */
#ifndef PC_BASE_FIELDS_H
#define PC_BASE_FIELDS_H

#include "base/status.h"
#include "base/text.h"
#include "base/units.h"

PC_BEGIN_C

typedef enum pc_field_kind {
  PC_FIELD_QUANTITY, /* double, SI, of `dimension` */
  PC_FIELD_INTEGER,  /* int */
  PC_FIELD_NAME,     /* pc_name */
  PC_FIELD_CHOICE,   /* int, index into `choices` */
  PC_FIELD_FLAG      /* bool */
} pc_field_kind;

typedef struct pc_field {
  const char *key; /* "width"; a dot makes a nested map: "speeds.push" */
  pc_field_kind kind;
  pc_dimension dimension;
  size_t offset;              /* offsetof the field in its struct */
  double min, max;            /* inclusive; ±INFINITY = none. Quantities in SI, integers as doubles. */
  bool above_min;             /* min itself is not allowed */
  bool required;              /* must be given: NaN, or an empty name, is a fault; but see `unless` */
  bool moment;                /* QUANTITY of time: one after the start of the work, which a file may give as a
                                 clock time, too (base/clock.h); `above_min`: not the start itself */
  const char *const *choices; /* NULL-terminated, for PC_FIELD_CHOICE */
  const char *fallback;       /* default in words ("1 ft", "0.8 of the height"); NULL if required */
  const char *help;           /* one line */
  const char *word;           /* QUANTITY: may stand in place of a value ("auto"); NULL: none */
  size_t word_offset;         /* offsetof the bool that is true where it does */
  const char *unless;         /* key of a CHOICE of the same table: required only where that is its first
                                 word, its default; NULL: always */
} pc_field;

typedef struct pc_fields {
  const pc_field *items;
  size_t count;
} pc_fields;

/* Checks every field of *object against its table; the key of each fault is `prefix` + "." + key.
 * NaN passes where the field is optional; infinities never pass. */
PC_API void pc_fields_validate(const pc_fields *fields, const void *object, const char *prefix,
                               pc_faults *faults);
/* Adds a fault for every quantity that is NaN in *object although *defaults has a number for it: NaN means
 * "not given" only where the default itself is NaN. Keeps NaN out of a run when a program fills the struct.
 */
PC_API void pc_fields_check_defaults(const pc_fields *fields, const void *object, const void *defaults,
                                     const char *prefix, pc_faults *faults);
/* The field with this key, or NULL. */
PC_API const pc_field *pc_fields_find(const pc_fields *fields, const char *key);
/* "more than 0 m", "0 … 1", "at least 1": what a field allows, for messages. snprintf's value. */
PC_API int pc_field_print_range(const pc_field *field, pc_unit_system system, char *text, size_t size);

PC_END_C

#endif
