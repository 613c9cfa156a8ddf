// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Reading a CSV table with named columns: a first line with their names, then rows. Who reads one names the
 * columns it knows and takes a row at a time; what is wrong is told with file, line and character. Blank
 * lines, a byte order mark, quotes, and columns in any order are all the same to it. Thread-safe (arguments
 * only).
 */
#ifndef PC_IO_CSV_TABLE_H
#define PC_IO_CSV_TABLE_H

#include <stddef.h>

#include "base/status.h"
#include "base/units.h"

enum { PC_CSV_FIELDS_MAX = 64, PC_CSV_COLUMNS_MAX = 16, PC_CSV_UNIT_MAX = 16 };

typedef struct pc_csv_field {
  char *text;
  int at; /* character in the line, from 1 */
} pc_csv_field;

typedef struct pc_csv_table pc_csv_table;

/* What a column measures, whose name may end in another unit than its own: distance_ft for distance_m,
 * rate_in/h for rate. In names "_" may stand for "/", and small letters for capitals: rate_in_h. */
typedef struct pc_csv_measure {
  pc_dimension dimension;
  const char *unit; /* its own; NULL: the column has none */
} pc_csv_measure;

typedef struct pc_csv_reader { /* what a table is for */
  const char *what;            /* "the storm", for when memory is short */
  const char *const *columns;  /* at most PC_CSV_COLUMNS_MAX */
  int column_count;
  const char *const
      *silent; /* NULL-terminated, or NULL: names that may stand there without a word about them */
  void (*check)(pc_csv_table *table); /* which columns are needed, and which exclude each other */
  void (*row)(pc_csv_table *table);   /* one row, of as many fields as there are columns */
  bool (*has_rows)(const pc_csv_table *table);
  /* One for each column, once it is known which stand there under their own names; NULL: none has a unit */
  const pc_csv_measure *(*measures)(const pc_csv_table *table);
  const char *const *no_units; /* NULL-terminated, or NULL: words that make another name of a column's and are
                                  not meant as units, "gust" of wind_gust */
} pc_csv_reader;

struct pc_csv_table {
  const pc_csv_reader *reader;
  void *context; /* of the reader */
  const char *name;
  pc_faults *faults;
  int line;                                /* 0: what is told is about the whole file */
  size_t place[PC_CSV_COLUMNS_MAX];        /* of each column in a row; PC_CSV_FIELDS_MAX: not there */
  const char *heading[PC_CSV_COLUMNS_MAX]; /* of a column in another unit, as it stands there; else NULL.
                                              While the table is read. */
  char unit[PC_CSV_COLUMNS_MAX][PC_CSV_UNIT_MAX]; /* which one that is */
  size_t width;                                   /* fields in the header */
  pc_csv_field fields[PC_CSV_FIELDS_MAX];
  bool failed, row_failed;
  bool full; /* set by the reader: it takes no more */
  bool no_memory;
};

/* Reads all lines. Faults are in table->faults; see pc_csv_table_end. */
void pc_csv_table_read(pc_csv_table *table, const char *text, size_t length);
/* The first fault's status since there were `before` of them, PC_ERR_MEMORY if memory was short. */
PC_MUST_USE pc_status pc_csv_table_end(const pc_csv_table *table, size_t before);

/* A fault at this line, in the column that `key` names if it is there; `key` may be NULL. */
void pc_csv_fault(pc_csv_table *table, pc_status status, const char *key, const char *format, ...)
    PC_PRINTF(4, 5);
void pc_csv_fault_in(pc_csv_table *table, int column, pc_status status, const char *format, ...)
    PC_PRINTF(4, 5);

bool pc_csv_has(const pc_csv_table *table, int column);
/* Only for a column that is there. */
const char *pc_csv_text(const pc_csv_table *table, int column);
/* What the file calls it: "rate_in/h" where it stands for rate. While the table is read. */
const char *pc_csv_called(const pc_csv_table *table, int column);
/* The number in a column, in the column's own unit; NaN where the column, or with `optional` its value, is
 * missing. */
double pc_csv_number(pc_csv_table *table, int column, bool optional);

#endif
