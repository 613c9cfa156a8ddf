// SPDX-License-Identifier: GPL-3.0-or-later
/* What the text writers share with each other; not installed. */
#ifndef PC_IO_TABLES_PRIVATE_H
#define PC_IO_TABLES_PRIVATE_H

#include "io/tables.h"

/* A printed value, returned by value so that it can stand in an argument list. */
typedef struct pc_shown {
  char text[144];
} pc_shown;

pc_shown pc_show(double value, pc_dimension dimension, pc_unit_system system, int digits);
/* In one fixed unit, without its name: for columns whose heading names the unit. */
pc_shown pc_show_number(double value, pc_dimension dimension, const char *unit, int decimals);
pc_shown pc_show_percent(double share, int decimals);

/* Findings shown below a result; the rest is for `check`. */
enum { PC_SITING_LINES = 5 };

/* A unit that suits a column of times up to largest_s, and the decimals that go with it. */
typedef struct pc_time_unit {
  const char *name;
  int decimals;
} pc_time_unit;
pc_time_unit pc_time_unit_for(double largest_s);
/* "3.42 h ± 0.05 h"; without the interval where there is none. */
pc_shown pc_show_time(const pc_statistic *time_s);

/* Units for columns. */
const char *pc_column_length(pc_unit_system system); /* "m" "ft" */
const char *pc_column_mass(pc_unit_system system);   /* "t" "ton" */
const char *pc_column_speed(pc_unit_system system);  /* "km/h" "mph" */
const char *pc_column_volume(pc_unit_system system); /* "m3" "yd3" */

/* Boxes, loaders or limits of the machines, each once, joined by " + ". */
typedef enum pc_machine_word { PC_WORD_BOX, PC_WORD_LOADER, PC_WORD_LIMIT } pc_machine_word;
pc_shown pc_join_words(const pc_lot_machine *machines, size_t count, pc_machine_word word);

#endif
