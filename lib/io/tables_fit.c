// SPDX-License-Identifier: GPL-3.0-or-later
/* What timed cycles say, as YAML: the findings as comments, then what can be pasted into a scenario. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"

static const char *unit_of(pc_fit_what what, pc_unit_system system) {
  if (what <= PC_FIT_REVERSE)
    return pc_column_speed(system);
  if (what == PC_FIT_ACCELERATION)
    return system == PC_US ? "ft/s2" : "m/s2";
  return "s";
}

static pc_dimension dimension_of(pc_fit_what what) {
  return what <= PC_FIT_REVERSE        ? PC_DIM_SPEED
         : what == PC_FIT_ACCELERATION ? PC_DIM_ACCELERATION
                                       : PC_DIM_TIME;
}

static pc_shown in_unit(double value, pc_fit_what what, pc_unit_system system) {
  return pc_show_number(value, dimension_of(what), unit_of(what, system), 2);
}

static pc_shown share_or_dash(double share) {
  pc_shown dash = {"-"};
  return isnan(share) ? dash : pc_show_percent(share, 1);
}

/* Adds text line by line as comments. */
static void add_comments(pc_text *out, const pc_text *lines) {
  out->failed |= lines->failed;
  for (const char *at = lines->data; at && *at;) {
    size_t length = strcspn(at, "\n");
    pc_text_addf(out, "#%s%.*s\n", *at == ' ' || length == 0 ? "" : " ", (int)length, at);
    at += length + (at[length] == '\n');
  }
}

static void add_table(const pc_fit_loader *loader, pc_unit_system system, pc_text *out) {
  pc_table table;
  pc_table_start(&table, "lrlrrrrl");
  pc_table_heading(&table, "what|value|unit|± error|rows|weighted down|spread|fit");
  for (int i = 0; i < PC_FIT_COUNT; i++) {
    pc_fit_what what = (pc_fit_what)i;
    const pc_fit_value *value = &loader->values[i];
    if (isnan(value->value) && (value->word != PC_FIT_TOO_FEW || value->rows == 0))
      continue;
    pc_table_cell(&table, "%s", what == PC_FIT_TURN ? "mean of one turn" : pc_fit_key(what));
    pc_table_cell(&table, "%s", isnan(value->value) ? "-" : in_unit(value->value, what, system).text);
    pc_table_cell(&table, "%s", unit_of(what, system));
    pc_table_cell(&table, "%s", isnan(value->error) ? "-" : in_unit(value->error, what, system).text);
    pc_table_cell(&table, "%zu", value->rows);
    pc_table_cell(&table, "%zu", value->down);
    pc_table_cell(&table, "%s", share_or_dash(value->spread).text);
    pc_table_cell(&table, "%s", pc_fit_word_name(value->word));
  }
  pc_table_write(&table, out);
  pc_table_free(&table);
}

static void add_notes(const pc_fit_loader *loader, pc_text *out) {
  const pc_fit_value *v = loader->values;
  if (isnan(v[PC_FIT_ACCELERATION].value))
    pc_text_add(out, "  No acceleration is seen in these rows: times grow in step with distance.\n");
  if (loader->split_by_pace)
    pc_text_add(out,
                "  No row says which returns were in reverse. They were told apart by their pace, which "
                "is a guess without an error. A column \"direction\" tells.\n");
  else if (!loader->told)
    pc_text_add(out,
                "  No row says which returns were in reverse: if some were, their speed is mixed into "
                "this one. A column \"direction\" tells.\n");
  if (!isnan(v[PC_FIT_TURN].value))
    pc_text_add(
        out,
        "  Nobody times angles, so times.turn (through 180 degrees) is not known; it is more than the "
        "mean of one turn.\n");
  if (!isnan(loader->slower_with_load))
    pc_text_addf(
        out,
        "  Heavy loads are carried more slowly, the heaviest take %s longer: the speed is a mean over "
        "the loads. With power, mass and traction given, use the speed of light loads.\n",
        pc_show_percent(loader->slower_with_load, 0).text);
  for (int i = PC_FIT_LOWER; i <= PC_FIT_DUMP; i++)
    if (isnan(v[i].value))
      pc_text_addf(out, "  %s is not known: fewer than %d rows.\n", pc_fit_key((pc_fit_what)i),
                   (int)PC_FIT_TIME_ROWS);
  if (loader->left_out > 0)
    pc_text_addf(out, "  Left out: %zu rows, too short to tell anything or without a distance.\n",
                 loader->left_out);
}

static bool is_guess(const pc_fit_value *value) {
  return value->word == PC_FIT_MIXED || value->word == PC_FIT_BY_PACE;
}

/* A speed that is not known is needed all the same: what can be said of it, but not as a fact. */
static void add_unknown(const pc_fit_loader *loader, pc_unit_system system, pc_text *out) {
  const pc_fit_value *back = &loader->values[PC_FIT_RETURN], *reverse = &loader->values[PC_FIT_REVERSE];
  const char *unit = unit_of(PC_FIT_RETURN, system);
  if (back->word == PC_FIT_MIXED)
    pc_text_addf(out, "    # speeds.return is to be filled in: %s %s if none of the returns was in reverse\n",
                 in_unit(back->value, PC_FIT_RETURN, system).text, unit);
  else if (back->word == PC_FIT_BY_PACE)
    pc_text_addf(out,
                 "    # speeds.return is to be filled in: going by pace alone %s %s, and in reverse %s %s\n",
                 in_unit(back->value, PC_FIT_RETURN, system).text, unit,
                 in_unit(reverse->value, PC_FIT_REVERSE, system).text, unit);
  for (int i = PC_FIT_PUSH; i <= PC_FIT_RETURN; i++)
    if (isnan(loader->values[i].value))
      pc_text_addf(out, "    # %s is to be filled in: %zu row%s%s %s too few to tell it\n",
                   pc_fit_key((pc_fit_what)i), loader->values[i].rows, loader->values[i].rows == 1 ? "" : "s",
                   i == PC_FIT_RETURN ? " forward" : "", loader->values[i].rows == 1 ? "is" : "are");
}

/* "{push: 8 km/h, carry: 12 km/h}" of the values from … to that are known; nothing if none is. */
static void add_map(const pc_fit_loader *loader, const char *key, pc_fit_what from, pc_fit_what to,
                    pc_unit_system system, pc_text *out) {
  bool any = false;
  for (int i = (int)from; i <= (int)to; i++) {
    pc_fit_what what = (pc_fit_what)i;
    if (isnan(loader->values[i].value) || is_guess(&loader->values[i]))
      continue;
    const char *dot = strchr(pc_fit_key(what), '.');
    if (any)
      pc_text_add(out, ", ");
    else
      pc_text_addf(out, "    %s: {", key);
    pc_text_addf(out, "%s: %s %s", dot ? dot + 1 : pc_fit_key(what),
                 in_unit(loader->values[i].value, what, system).text, unit_of(what, system));
    any = true;
  }
  if (any)
    pc_text_add(out, "}\n");
}

static void add_loader(const pc_fit_loader *loader, pc_unit_system system, pc_text *out) {
  const pc_fit_value *a = &loader->values[PC_FIT_ACCELERATION];
  pc_text_add(out, "  - name: ");
  pc_text_add_quoted(out, loader->name.text);
  pc_text_add(out, "\n");
  add_map(loader, "speeds", PC_FIT_PUSH, PC_FIT_REVERSE, system, out);
  add_unknown(loader, system, out);
  if (!isnan(a->value))
    pc_text_addf(out, "    acceleration: %s %s\n", in_unit(a->value, PC_FIT_ACCELERATION, system).text,
                 unit_of(PC_FIT_ACCELERATION, system));
  add_map(loader, "times", PC_FIT_LOWER, PC_FIT_DUMP, system, out);
}

static void add_chance(const pc_fit *fit, pc_text *out) {
  const struct {
    const char *key;
    double spread;
  } items[] = {{"fill", fit->fill_spread},
               {"carry", fit->carry_spread},
               {"dump", fit->dump_spread},
               {"return", fit->return_spread}};
  bool any = false;
  for (size_t i = 0; i < sizeof items / sizeof items[0]; i++) {
    if (isnan(items[i].spread))
      continue;
    pc_text_addf(out, "%s%s: %s", any ? ", " : "chance: {", items[i].key,
                 pc_show_percent(items[i].spread, 1).text);
    any = true;
  }
  if (any)
    pc_text_add(out, "}\n");
}

void pc_tables_fit(const pc_fit *fit, const char *name, pc_unit_system system, pc_text *out) {
  pc_text notes = {0};
  size_t rows = 0;
  for (size_t i = 0; i < fit->loader_count; i++)
    rows += fit->loaders[i].rows;
  pc_text_addf(&notes, "Fitted from %s: %zu rows, %zu %s. Errors are one standard error.\n", name, rows,
               fit->loader_count, fit->loader_count == 1 ? "loader" : "loaders");
  for (size_t i = 0; i < fit->loader_count; i++) {
    pc_text_addf(&notes, "\n%s\n", fit->loaders[i].name.text);
    add_table(&fit->loaders[i], system, &notes);
    add_notes(&fit->loaders[i], &notes);
  }
  add_comments(out, &notes);
  pc_text_free(&notes);
  pc_text_add(out, "loaders:\n");
  for (size_t i = 0; i < fit->loader_count; i++)
    add_loader(&fit->loaders[i], system, out);
  add_chance(fit, out);
}
