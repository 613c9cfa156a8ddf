// SPDX-License-Identifier: GPL-3.0-or-later
/* Which inputs matter, and where a ranking turns, as text. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"

enum { BAR_MAX = 20 };
static const double as_good_as_tied = 0.01;

/* To two digits: more would be pretence where luck has a say. */
static pc_shown show_depth(double depth_m, pc_unit_system system) {
  double unit_m = system == PC_US ? 0.0254 : 0.01;
  double step = depth_m > 0 ? pow(10, floor(log10(depth_m / unit_m)) - 1) * unit_m : 1;
  return pc_show_depth(round(depth_m / step) * step, system);
}

static pc_shown now_of(const pc_sensitivity_row *row, pc_unit_system system) {
  pc_shown least = pc_show(row->now_least, row->dimension, system, 3), both;
  if (strcmp(row->key, "snow.depth") == 0)
    return pc_show_depth(row->now_least, system);
  if (row->dimension == PC_DIM_SHARE)
    least = pc_show_percent(row->now_least, 0);
  if (row->now_most <= row->now_least * (1 + 1e-12))
    return least;
  snprintf(both.text, sizeof both.text, "%.60s … %.60s", least.text,
           row->dimension == PC_DIM_SHARE ? pc_show_percent(row->now_most, 0).text
                                          : pc_show(row->now_most, row->dimension, system, 3).text);
  return both;
}

/* "+3.2 %" of the base's time. */
static pc_shown change_of(const pc_statistic *change, double base_s, double factor) {
  pc_shown shown = {"-"};
  double share = change->mean / base_s;
  if (factor != 1.0)
    snprintf(shown.text, sizeof shown.text, "%s%.40s", share > 0 ? "+" : "", pc_show_percent(share, 1).text);
  return shown;
}

static pc_shown bar_of(double swing_s, double largest_s) {
  pc_shown bar = {""};
  int length = largest_s > 0 ? (int)lround(BAR_MAX * swing_s / largest_s) : 0;
  for (int i = 0; i < length && i < BAR_MAX; i++)
    memcpy(bar.text + i, "#", 2);
  return bar;
}

static pc_shown signed_number(double value) {
  pc_shown shown;
  snprintf(shown.text, sizeof shown.text, "%s%.40s", value > 0 ? "+" : "",
           pc_show_number(value, PC_DIM_NUMBER, "", 2).text);
  return shown;
}

static void add_rows(const pc_sensitivity *s, pc_unit_system system, pc_text *out) {
  bool varies = false, clipped = false;
  char words[200];
  for (size_t i = 0; i < s->row_count; i++) {
    varies |= pc_varies(&s->rows[i].elasticity);
    clipped |= fabs(s->rows[i].low - (1 - s->share)) > 1e-9 || fabs(s->rows[i].high - (1 + s->share)) > 1e-9;
  }
  snprintf(words, sizeof words, "input|now|-%.20s|+%.20s|elasticity%s|swing%s",
           pc_show_percent(s->share, 0).text, pc_show_percent(s->share, 0).text, varies ? "|±" : "",
           clipped ? "|note" : "");
  pc_table table;
  pc_table_start(&table, varies ? clipped ? "lrrrrrll" : "lrrrrrl" : clipped ? "lrrrrll" : "lrrrrl");
  pc_table_heading(&table, words);
  for (size_t i = 0; i < s->row_count; i++) {
    const pc_sensitivity_row *row = &s->rows[i];
    pc_table_cell(&table, "%s", row->key);
    pc_table_cell(&table, "%s", now_of(row, system).text);
    pc_table_cell(&table, "%s", change_of(&row->low_s, s->base_s.mean, row->low).text);
    pc_table_cell(&table, "%s", change_of(&row->high_s, s->base_s.mean, row->high).text);
    pc_table_cell(&table, "%s", signed_number(row->elasticity.mean).text);
    if (varies)
      pc_table_cell(&table, "%s", pc_show_number(row->elasticity.half_width, PC_DIM_NUMBER, "", 2).text);
    pc_table_cell(&table, "%s", bar_of(row->swing_s, s->rows[0].swing_s).text);
    if (clipped && row->note[0])
      pc_table_cell(&table, "not %s", row->note);
    else if (clipped && fabs(row->low - (1 - s->share)) > 1e-9)
      pc_table_cell(&table, "only to -%s", pc_show_percent(1 - row->low, 1).text);
    else if (clipped && fabs(row->high - (1 + s->share)) > 1e-9)
      pc_table_cell(&table, "only to +%s", pc_show_percent(row->high - 1, 1).text);
    else if (clipped)
      pc_table_cell(&table, "%s", "");
  }
  pc_table_write(&table, out);
  pc_table_free(&table);
}

/* Turns of one pair: those that follow with the same two names. */
static size_t pair_end(const pc_sensitivity *s, size_t first) {
  const pc_break_even *a = &s->break_evens[first];
  size_t end = first + 1;
  for (; end < s->break_even_count; end++) {
    const pc_break_even *b = &s->break_evens[end];
    bool same = pc_name_is(&b->below, s->break_evens[end - 1].above.text) &&
                (pc_name_is(&b->above, a->below.text) || pc_name_is(&b->above, a->above.text));
    if (b->of_layouts != a->of_layouts || isnan(b->depth_m) || isnan(a->depth_m) || !same)
      break;
  }
  return end;
}

static void add_pair(const pc_sensitivity *s, size_t first, size_t end, pc_unit_system system, pc_text *out) {
  const pc_break_even *turn = &s->break_evens[first], *last = &s->break_evens[end - 1];
  const char *kind = turn->of_layouts ? "layout " : "", *quote = turn->of_layouts ? "\"" : "";
  double most = 0;
  for (size_t i = first; i < end; i++)
    most = fmax(most, fmax(s->break_evens[i].least, s->break_evens[i].most));
  if (isnan(turn->depth_m)) {
    return; /* told in one sentence below */
  }
  if (most < as_good_as_tied) {
    pc_text_addf(out, "  %s%s%s%s and %s%s%s are as good as tied: never more than %s apart.\n", kind, quote,
                 turn->below.text, quote, quote, turn->above.text, quote, pc_show_percent(most, 1).text);
    return;
  }
  if (end - first == 1) {
    pc_text_addf(out, "  %s%s%s%s wins above %s, ", kind, quote, turn->above.text, quote,
                 show_depth(turn->depth_m, system).text);
    pc_text_addf(out, "%s%s%s below (by at most %s there, ", quote, turn->below.text, quote,
                 pc_show_percent(turn->least, 1).text);
    pc_text_addf(out, "%s above).\n", pc_show_percent(turn->most, 1).text);
    return;
  }
  pc_text_addf(out, "  %s%s%s%s and %s%s%s change places %zu times between ", kind, quote, turn->below.text,
               quote, quote, turn->above.text, quote, end - first);
  pc_text_addf(out, "%s and ", show_depth(turn->depth_m, system).text);
  pc_text_addf(out, "%s: take them for tied there. ", show_depth(last->depth_m, system).text);
  if (pc_name_is(&turn->below, last->above.text))
    pc_text_addf(out, "Below and above %s%s%s wins.\n", quote, turn->below.text, quote);
  else
    pc_text_addf(out, "Below %s%s%s wins, above %s%s%s.\n", quote, turn->below.text, quote, quote,
                 last->above.text, quote);
}

/* Who wins throughout: the first of its kind against how many others. */
static void add_always(const pc_sensitivity *s, bool layouts, pc_text *out) {
  const char *quote = layouts ? "\"" : "";
  size_t steady = 0, pairs = 0;
  for (size_t i = 0; i < s->break_even_count; i++) {
    steady += s->break_evens[i].of_layouts == layouts && isnan(s->break_evens[i].depth_m);
    pairs += s->break_evens[i].of_layouts == layouts;
  }
  if (steady == 0)
    return;
  if (steady < pairs) {
    pc_text_addf(out, "  The order of the other %s does not turn.\n",
                 layouts ? "pairs of layouts" : "pairs of boxes");
    return;
  }
  for (size_t i = 0; i < s->break_even_count; i++)
    if (s->break_evens[i].of_layouts == layouts) {
      pc_text_addf(out, "  %s%s%s%s wins at all of these depths.\n", layouts ? "layout " : "", quote,
                   s->break_evens[i].below.text, quote);
      return;
    }
}

static void add_break_evens(const pc_sensitivity *s, pc_unit_system system, pc_text *out) {
  if (s->break_even_count == 0 && s->no_turn_count == 0)
    return;
  pc_text_addf(out, "\nWhere the order of the best turns, between %s and ",
               show_depth(s->least_m, system).text);
  pc_text_addf(out, "%s of snow:\n", show_depth(s->most_m, system).text);
  for (size_t first = 0, end; first < s->break_even_count; first = end) {
    end = pair_end(s, first);
    add_pair(s, first, end, system, out);
  }
  add_always(s, false, out);
  add_always(s, true, out);
  for (size_t i = 0; i < s->no_turn_count; i++) {
    const pc_no_turn *item = &s->no_turns[i];
    const char *quote = item->of_layouts ? "\"" : "";
    pc_text_addf(out, "  Left out: %s%s%s%s: %s.\n", item->of_layouts ? "layout " : "", quote,
                 item->name.text, quote, item->reason);
  }
  if (s->break_even_count == 0 && !s->turns_missing)
    pc_text_add(out, "  There are no two of which an order could turn.\n");
}

static void add_left_out(const pc_sensitivity *s, pc_text *out) {
  size_t told = 0, open = 0;
  for (size_t i = 0; i < s->left_out_count; i++)
    if (!s->left_out[i].stopped)
      pc_text_addf(out, "%s  %s: %s.\n", told++ == 0 ? "\nLeft out:\n" : "", s->left_out[i].key,
                   s->left_out[i].reason);
  for (size_t i = 0; i < s->left_out_count; i++)
    if (s->left_out[i].stopped)
      pc_text_addf(out, "%s%s", open++ == 0 ? "\nNot done before the stop: " : ", ", s->left_out[i].key);
  pc_text_add(out, open > 0 ? ".\n" : "");
}

static void add_stop(const pc_sensitivity *s, pc_text *out) {
  size_t open = 0, all = s->row_count + s->left_out_count;
  for (size_t i = 0; i < s->left_out_count; i++)
    open += s->left_out[i].stopped;
  if (open > 0)
    pc_text_addf(out, "Stopped: %zu of %zu inputs are done; those that are not may matter more.\n",
                 all - open, all);
  if (s->turns_missing)
    pc_text_addf(out, "%sWhere the order of %s turns was not found out to the end.\n",
                 open > 0 ? "" : "Stopped. ", s->break_even_count > 0 ? "layouts" : "boxes or layouts");
}

void pc_tables_sensitivity(const pc_sensitivity *s, pc_unit_system system, pc_text *out) {
  if (s->stopped && s->base_s.count == 0) {
    pc_text_add(out, "Stopped before the night as it stands was simulated.\n");
    return;
  }
  if (!s->base_finished) {
    pc_text_addf(out,
                 "The work is not finished as the scenario stands (%s), so nobody can tell what would make "
                 "it quicker.\n",
                 pc_reason_name(s->base_reason));
    return;
  }
  if (s->row_count > 0)
    pc_text_addf(out, "%s matters most%s: %s %% of the total time (%s) for each per cent.\n", s->rows[0].key,
                 s->stopped ? " of what is done" : "", signed_number(s->rows[0].elasticity.mean).text,
                 pc_show_time(&s->base_s).text);
  else
    pc_text_addf(out, "Total time %s; no input %s.\n", pc_show_time(&s->base_s).text,
                 s->stopped ? "is done" : "could be changed");
  if (s->stopped)
    add_stop(s, out);
  pc_text_addf(out,
               "Each input by itself %s smaller and larger (those of all boxes or loaders in use together), "
               "with the same luck:\n\n",
               pc_show_percent(s->share, 0).text);
  add_rows(s, system, out);
  add_left_out(s, out);
  add_break_evens(s, system, out);
  pc_text_addf(out, "\n%s\n", pc_tables_caution_line());
}
