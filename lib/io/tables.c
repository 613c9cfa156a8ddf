// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/tables.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/tables_private.h"
#include "sim/mix.h"

/* ---- the table ---- */

void pc_table_start(pc_table *table, const char *alignment) {
  *table = (pc_table){.alignment = alignment, .columns = strlen(alignment)};
}

static void add_cell(pc_table *table, const char *word) {
  void *starts = table->starts;
  if (table->failed || pc_reserve(&starts, &table->capacity, table->count + 1, sizeof *table->starts) != 0) {
    table->failed = true;
    return;
  }
  table->starts = starts;
  table->starts[table->count++] = table->cells.length;
  pc_text_add(&table->cells, word);
  /* One byte more, so that the terminator stays and the next cell comes after it. */
  pc_text_add(&table->cells, " ");
  if (table->cells.failed)
    table->failed = true;
  else
    table->cells.data[table->cells.length - 1] = '\0';
}

void pc_table_cell(pc_table *table, const char *format, ...) {
  char word[160];
  va_list arguments;
  va_start(arguments, format);
  if (vsnprintf(word, sizeof word, format, arguments) < 0)
    table->failed = true;
  va_end(arguments);
  add_cell(table, word);
}

void pc_table_heading(pc_table *table, const char *words) {
  char word[80];
  for (const char *at = words;;) {
    size_t length = strcspn(at, "|");
    snprintf(word, sizeof word, "%.*s", (int)length, at);
    add_cell(table, word);
    if (at[length] == '\0')
      return;
    at += length + 1;
  }
}

/* Characters, not bytes: names are UTF-8. */
static size_t width_of(const char *word) {
  size_t width = 0;
  for (; *word; word++)
    width += ((unsigned char)*word & 0xC0) != 0x80;
  return width;
}

static const char *cell_at(const pc_table *table, size_t row, size_t column) {
  size_t index = row * table->columns + column;
  return index < table->count ? table->cells.data + table->starts[index] : "";
}

static void add_spaces(pc_text *out, size_t count) {
  for (size_t i = 0; i < count; i++)
    pc_text_add(out, " ");
}

static void write_row(const pc_table *table, size_t row, const size_t *widths, pc_text *out) {
  size_t due = 0; /* spaces owed before the next visible letter */
  for (size_t j = 0; j < table->columns; j++) {
    const char *word = cell_at(table, row, j);
    size_t length = width_of(word), pad = widths[j] - length;
    bool right = table->alignment[j] == 'r';
    due += 2 + (right ? pad : 0);
    if (length > 0) {
      add_spaces(out, due);
      pc_text_add(out, word);
      due = 0;
    }
    due += right ? 0 : pad;
  }
  pc_text_add(out, "\n");
}

void pc_table_write(const pc_table *table, pc_text *out) {
  size_t *widths = pc_alloc(table->columns, sizeof *widths);
  if (!widths || table->failed) {
    out->failed = true;
    free(widths);
    return;
  }
  size_t rows = table->columns ? (table->count + table->columns - 1) / table->columns : 0;
  for (size_t i = 0; i < rows; i++)
    for (size_t j = 0; j < table->columns; j++) {
      size_t width = width_of(cell_at(table, i, j));
      widths[j] = width > widths[j] ? width : widths[j];
    }
  for (size_t i = 0; i < rows; i++)
    write_row(table, i, widths, out);
  free(widths);
}

void pc_table_free(pc_table *table) {
  if (!table)
    return;
  pc_text_free(&table->cells);
  free(table->starts);
  *table = (pc_table){0};
}

/* ---- words and numbers ---- */

pc_shown pc_show_number(double value, pc_dimension dimension, const char *unit, int decimals) {
  pc_shown shown;
  double number = pc_units_convert(value, dimension, unit);
  if (pc_units_print_as(shown.text, sizeof shown.text, number, PC_DIM_NUMBER, "", decimals) < 0)
    shown = (pc_shown){"-"};
  return shown;
}

pc_shown pc_show_percent(double share, int decimals) {
  pc_shown shown;
  if (pc_units_print_as(shown.text, sizeof shown.text, share, PC_DIM_SHARE, "%", decimals) < 0)
    shown = (pc_shown){"-"};
  return shown;
}

pc_time_unit pc_time_unit_for(double largest_s) {
  if (largest_s >= 7200)
    return (pc_time_unit){"h", 2};
  if (largest_s >= 120)
    return (pc_time_unit){"min", 1};
  return (pc_time_unit){"s", 1};
}

pc_time_unit pc_time_unit_for_both(double largest_s, double difference_s) {
  pc_time_unit unit = pc_time_unit_for(largest_s);
  if (unit.name[0] == 'h' && difference_s < 180) /* 0.05 h: five of the last digit shown */
    return pc_time_unit_for(3600);
  if (unit.name[0] == 'm' &&
      difference_s < 30) /* 0.5 min; nobody reads 2860.8 s as three quarters of an hour */
    return largest_s >= 600 ? (pc_time_unit){"min", 2} : pc_time_unit_for(60);
  return unit;
}

pc_shown pc_show_seconds_in(double time_s, pc_time_unit unit) {
  pc_shown shown;
  snprintf(shown.text, sizeof shown.text, "%.20s %s",
           pc_show_number(time_s, PC_DIM_TIME, unit.name, unit.decimals).text, unit.name);
  return shown;
}

pc_shown pc_show_when(const pc_clock *clock, double after_s, pc_time_unit unit) {
  return clock->given ? pc_clock_show(clock, after_s) : pc_show_seconds_in(after_s, unit);
}

pc_shown pc_show_moment(const pc_clock *clock, double after_s, pc_unit_system system, int digits) {
  return clock->given ? pc_clock_show(clock, after_s) : pc_show(after_s, PC_DIM_TIME, system, digits);
}

pc_shown pc_show_clock(const pc_clock *clock, double after_s) {
  pc_shown shown;
  if (clock->given)
    return pc_clock_show(clock, after_s);
  long minutes = lround(after_s / 60.0);
  snprintf(shown.text, sizeof shown.text, "%ld:%02ld", minutes / 60, minutes % 60);
  return shown;
}

/* Where all values are the same there is no interval, however many there are. */
pc_shown pc_show_time_in(const pc_statistic *time_s, pc_time_unit unit) {
  pc_shown shown = pc_show_seconds_in(time_s->mean, unit);
  size_t length = strlen(shown.text);
  if (pc_varies(time_s))
    snprintf(shown.text + length, sizeof shown.text - length, " ± %.40s",
             pc_show_seconds_in(time_s->half_width, unit).text);
  return shown;
}

pc_shown pc_show_snow_of(double lies_m, double falls_m, pc_unit_system system) {
  pc_shown shown, lies = pc_show_depth(lies_m, system), falls = pc_show_depth(falls_m, system);
  if (!(falls_m > 0))
    snprintf(shown.text, sizeof shown.text, "%.20s of snow", lies.text);
  else if (lies_m > 0)
    snprintf(shown.text, sizeof shown.text, "%.20s on the ground, %.20s falling", lies.text, falls.text);
  else
    snprintf(shown.text, sizeof shown.text, "%.20s of snow falling", falls.text);
  return shown;
}

pc_shown pc_show_time(const pc_statistic *time_s) {
  return pc_show_time_in(time_s, pc_time_unit_for(time_s->mean));
}

const char *pc_column_length(pc_unit_system system) {
  return system == PC_US ? "ft" : "m";
}

const char *pc_column_mass(pc_unit_system system) {
  return system == PC_US ? "ton" : "t";
}

const char *pc_column_speed(pc_unit_system system) {
  return system == PC_US ? "mph" : "km/h";
}

const char *pc_column_volume(pc_unit_system system) {
  return system == PC_US ? "yd3" : "m3";
}

static const char *machine_word(const pc_lot_machine *machine, pc_machine_word word) {
  switch (word) {
  case PC_WORD_BOX:
    return machine->unit.box.name.text;
  case PC_WORD_LOADER:
    return machine->unit.loader.name.text;
  case PC_WORD_LIMIT:
    break;
  }
  return pc_limit_name(machine->unit.limited_by);
}

pc_shown pc_join_words(const pc_lot_machine *machines, size_t count, pc_machine_word word) {
  pc_shown shown = {{0}};
  size_t length = 0;
  for (size_t i = 0; i < count; i++) {
    const char *name = machine_word(&machines[i], word);
    bool seen = false;
    for (size_t j = 0; j < i && !seen; j++)
      seen = strcmp(machine_word(&machines[j], word), name) == 0;
    if (seen)
      continue;
    size_t need = strlen(name) + (length ? 3 : 0);
    if (length + need + sizeof " …" > sizeof shown.text) {
      memcpy(shown.text + length, " …", sizeof " …");
      break;
    }
    length +=
        (size_t)snprintf(shown.text + length, sizeof shown.text - length, "%s%s", length ? " + " : "", name);
  }
  return shown;
}

/* The boxes that the crew has of its own, as a mix is written; only which, where that is too long. */
static pc_shown own_boxes(const pc_lot_machine *machines, size_t count) {
  pc_shown shown;
  const char *names[PC_MACHINES_MAX];
  for (size_t m = 0; m < count; m++)
    names[m] = machines[m].unit.box.name.text;
  if (pc_mix_join(names, count, true, shown.text, sizeof shown.text) != PC_OK)
    return pc_join_words(machines, count, PC_WORD_BOX);
  return shown;
}

static pc_shown row_word(const pc_compare_row *row, const pc_name *tried, pc_machine_word word) {
  pc_shown shown = {{0}};
  if (tried->text[0]) {
    snprintf(shown.text, sizeof shown.text, "%s", tried->text);
    return shown;
  }
  pc_lot_machine few[PC_MACHINES_MAX];
  size_t count = 0;
  for (size_t m = 0; m < row->machine_count; m++)
    if (!row->machines[m].keep)
      few[count++] = row->machines[m];
  if (count > 0 && word == PC_WORD_BOX)
    return own_boxes(few, count);
  return count > 0 ? pc_join_words(few, count, word) : pc_join_words(row->machines, row->machine_count, word);
}

pc_shown pc_row_box(const pc_compare_row *row) {
  return row_word(row, &row->box, PC_WORD_BOX);
}

pc_shown pc_row_loader(const pc_compare_row *row) {
  return row_word(row, &row->loader, PC_WORD_LOADER);
}

/* ---- cautions ---- */

/* The section of the International Fire Code is from memory. */
void pc_tables_cautions(pc_text *out) {
  pc_text_add(
      out,
      "Where snow may be piled is decided by local codes and by licensed practice, not by this program.\n"
      "  - Fire hydrants stay clear: 36 in (914 mm) all round, 60 in in front of large connections "
      "(NFPA 1, 18.5.7).\n"
      "  - Drives of fire engines and ambulances stay open in all their width (International Fire Code "
      "503.4).\n"
      "  - No snow in accessible parking spaces or on accessible routes (28 CFR 36.211).\n"
      "  - A reversing alarm, or a signaller, wherever the view to the rear is blocked (29 CFR "
      "1926.602(a)(9)(ii)).\n"
      "  - High-visibility clothing of class 2 or 3 for everyone on foot (ANSI/ISEA 107).\n"
      "  - Keep people on foot and other machines out of the way of the boxes; agree on who gives way.\n"
      "  - Keep drains and the way of the melt water open; no piles against buildings or fences "
      "(common practice).\n");
}

const char *pc_tables_caution_line(void) {
  return "Local codes and licensed practice decide where snow may be piled; watch for people on foot "
         "(`pushcycle check` lists the usual cautions).\n";
}
