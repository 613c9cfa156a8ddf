// SPDX-License-Identifier: GPL-3.0-or-later
/* Pieces of CSV that several readers and writers share. Thread-safe (arguments only). */
#ifndef PC_IO_CSV_H
#define PC_IO_CSV_H

#include "base/text.h"
#include "base/units.h"

enum { PC_CSV_NUMBER_MAX = 32 };

/* A field as RFC 4180 has it: in quotes if it holds a comma, a quote or a line break, quotes doubled. */
void pc_csv_add_text(pc_text *out, const char *field);
/* The same with the comma before it, as every field but the first of a line has it; and a number so. */
void pc_csv_next_text(pc_text *out, const char *field);
void pc_csv_next_number(pc_text *out, double value);
/* Ten significant digits with a decimal point in every locale; nothing at all for a number that is not
 * finite, since CSV has no word for it. */
void pc_csv_print_number(char text[PC_CSV_NUMBER_MAX], double value);
/* The same, by value. */
pc_shown pc_show_plain(double value);

/* The next line of `*rest` that is not blank, cut off in place without its line break (LF or CR LF), or NULL
 * at the end. `*line` counts lines from 1 (begin with 0), blank ones too. */
char *pc_csv_next_line(char **rest, int *line);

#endif
