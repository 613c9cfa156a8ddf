// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Status codes, the error struct and the list of faults.
 *
 * Every function that can fail returns a pc_status; details go to a pc_error or a pc_faults that the
 * caller owns. The library never prints or exits. A fault says where it is (file, line, column), which
 * key and value are wrong, and what is allowed.
 *
 * Thread-safety: all functions touch only their arguments.
 */
#ifndef PC_BASE_STATUS_H
#define PC_BASE_STATUS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/export.h"

PC_BEGIN_C

typedef enum pc_status {
  PC_OK = 0,
  PC_ERR_MEMORY,   /* an allocation failed */
  PC_ERR_FILE,     /* a file could not be opened, read or written */
  PC_ERR_SYNTAX,   /* text that is not YAML, a number, a unit, … */
  PC_ERR_UNIT,     /* a quantity without a unit, or with one of another dimension */
  PC_ERR_KEY,      /* a key that does not exist, or stands twice */
  PC_ERR_MISSING,  /* a required key is absent */
  PC_ERR_RANGE,    /* a value outside what is allowed */
  PC_ERR_NAME,     /* a reference to something that is not defined, or a name defined twice */
  PC_ERR_GEOMETRY, /* an outline that crosses itself, a zone off the site, … */
  PC_ERR_LIMIT,    /* larger than the library accepts; the message names the limit */
  PC_STATUS_COUNT
} pc_status;

/* Units that people are shown; inside everything is SI. */
typedef enum pc_unit_system { PC_METRIC, PC_US } pc_unit_system;

enum {
  PC_FILE_MAX = 256,
  PC_KEY_MAX = 128,
  PC_VALUE_MAX = 80,
  PC_MESSAGE_MAX = 320,
  PC_ERROR_TEXT_MAX = 768 /* room for whatever pc_error_format writes */
};

typedef struct pc_error {
  pc_status status;
  bool caution;                 /* a caution is shown but stops nothing */
  int line, column;             /* 1-based; 0 = not known */
  char file[PC_FILE_MAX];       /* "" = not known */
  char key[PC_KEY_MAX];         /* path such as boxes[1].width; "" = none */
  char value[PC_VALUE_MAX];     /* offending text; "" = none */
  char message[PC_MESSAGE_MAX]; /* what is wrong and what is allowed */
} pc_error;

/* A growing list of faults and cautions, in the order found. Zero-initialise; free with pc_faults_free.
 * If memory runs out while adding, `dropped` counts what could not be kept (never silently lost).
 * Whoever adds an entry writes quantities in `units`; what is given a scenario sets them to the
 * scenario's. */
typedef struct pc_faults {
  pc_error *items;
  size_t count, capacity;
  size_t dropped;
  pc_unit_system units;
  bool units_given; /* pc_scenario_read gives the scenario these `units`, whatever its file measures in */
} pc_faults;

/* Short constant name ("range") and one-line meaning of a status; "unknown" for anything else. */
PC_API const char *pc_status_name(pc_status status);
PC_API const char *pc_status_describe(pc_status status);

/* Fills *error (may be NULL) and returns `status`, so that `return pc_error_set(…)` reads well.
 * key and value may be NULL. Text that is too long is cut. */
PC_API pc_status pc_error_set(pc_error *error, pc_status status, const char *key, const char *value,
                              const char *format, ...) PC_PRINTF(5, 6);

/* "file:line:column: key: message"; parts that are not known are left out. snprintf's return value; a text of
 * PC_ERROR_TEXT_MAX bytes holds all of it. */
PC_API int pc_error_format(const pc_error *error, char *text, size_t size);

/* Says where it is: of a file's name that is too long the end is kept. Line or column 0: not known. */
PC_API void pc_error_place(pc_error *error, const char *file, int line, int column);
/* Gives it another key, cut if it is too long. */
PC_API void pc_error_rename(pc_error *error, const char *key);

/* Adds a fault; returns `status`. */
PC_API pc_status pc_faults_add(pc_faults *faults, pc_status status, const char *key, const char *value,
                               const char *format, ...) PC_PRINTF(5, 6);
/* Adds a caution: something that a person should know, which does not stop the work. */
PC_API void pc_faults_caution(pc_faults *faults, const char *key, const char *format, ...) PC_PRINTF(3, 4);
/* Adds a copy of an error filled elsewhere. */
PC_API void pc_faults_push(pc_faults *faults, const pc_error *error);
/* Adds all that was found elsewhere, also how much could not be kept there, and frees *found. */
PC_API void pc_faults_move(pc_faults *faults, pc_faults *found);
/* An empty list whose messages are in the same units, for what is found on the way. */
PC_API pc_faults pc_faults_like(const pc_faults *faults);

/* The first fault (not caution) from number `from` on; NULL: none was kept. */
PC_API const pc_error *pc_faults_first(const pc_faults *faults, size_t from);
/* Number of entries that are faults (not cautions), dropped ones included. */
PC_API size_t pc_faults_fatal(const pc_faults *faults);
/* Status of the first fault, PC_ERR_MEMORY if only dropped ones, PC_OK if there is none. */
PC_API pc_status pc_faults_status(const pc_faults *faults);
/* True if some fault (not caution) has exactly this key. */
PC_API bool pc_faults_has_key(const pc_faults *faults, const char *key);
PC_API void pc_faults_free(pc_faults *faults);

PC_END_C

#endif
