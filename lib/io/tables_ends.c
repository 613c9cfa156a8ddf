// SPDX-License-Identifier: GPL-3.0-or-later
/* Who sets the time: a sentence on the machines that are done last. */
#include <math.h>

#include "io/tables_private.h"

enum { NAMES_SHOWN = 3 };

/* "mid loader 1, small loader 1 and 2 more": those that are `which`, `count` of them. */
static void add_names(const pc_ends *ends, pc_end which, size_t count, const pc_lot_machine *machines,
                      pc_text *out) {
  size_t told = 0, shown = count > NAMES_SHOWN ? NAMES_SHOWN - 1 : count;
  for (size_t m = 0; m < PC_MACHINES_MAX && told < shown; m++)
    if (ends->machines[m] == which) {
      pc_text_addf(out, "%s%s", told == 0 ? "" : told + 1 < count ? ", " : " and ", machines[m].name.text);
      told++;
    }
  if (count > shown)
    pc_text_addf(out, " and %zu more", count - shown);
}

/* "skid steer 1 is done 5.6 h before it, plow truck 1 26 min, 2 more at least 24 min" */
static void add_before(const pc_ends *ends, const pc_lot_machine *machines, const pc_summary *summary,
                       const pc_clock *clock, pc_time_unit unit, pc_text *out) {
  size_t told = 0, shown = ends->before > NAMES_SHOWN ? NAMES_SHOWN - 1 : ends->before;
  double total_s = summary->total_time_s.mean;
  for (size_t m = 0; m < PC_MACHINES_MAX && told < shown; m++)
    if (ends->machines[m] == PC_END_BEFORE) {
      pc_shown before = pc_show_late(clock, total_s - summary->mean.machines[m].done_s, unit);
      pc_text_addf(out, "%s%s%s %s%s", told == 0 ? "" : ", ", machines[m].name.text,
                   told == 0 ? " is done" : "", before.text, told == 0 ? " before it" : "");
      told++;
    }
  if (ends->before > shown)
    pc_text_addf(out, ", %zu more at least %s", ends->before - shown,
                 pc_show_late(clock, total_s - ends->before_s, unit).text);
  pc_text_add(out, ".\n");
}

void pc_tables_ends(const pc_ends *ends, const pc_lot_machine *machines, const pc_summary *summary,
                    const pc_clock *clock, pc_time_unit unit, pc_text *out) {
  if (ends->last == 0)
    return;
  pc_text_add(out, "Who sets the time: ");
  add_names(ends, PC_END_LAST, ends->last, machines, out);
  pc_text_add(out, ", at work to the end");
  if (ends->area.text[0]) {
    if (ends->area_from_s > 0.0)
      pc_text_addf(out, ", from %s on", pc_show_when(clock, ends->area_from_s, unit).text);
    pc_text_addf(out, "%s only in area \"%s\"%s", ends->area_from_s > 0.0 ? "" : ",", ends->area.text,
                 ends->area_bound ? ", where no other machine may work" : "");
  }
  pc_text_add(out, "; ");
  add_before(ends, machines, summary, clock, unit, out);
}

void pc_tables_run_ends(const pc_lot *lot, const pc_summary *summary, pc_text *out) {
  pc_ends ends = pc_ends_of(lot, summary);
  pc_tables_ends(&ends, lot->machines, summary, &lot->clock, pc_run_time_unit(lot, summary), out);
}

/* A crew is paid to the end of all work; who is done hours before it may be sent home. */
void pc_tables_standing_note(const pc_lot *lot, const pc_summary *summary, pc_text *out) {
  pc_ends ends = pc_ends_of(lot, summary);
  double per_s = pc_money_per_s(&lot->money), total_s = summary->total_time_s.mean, paid = 0.0;
  if (ends.before == 0 || isnan(per_s))
    return;
  for (size_t m = 0; m < lot->machine_count; m++) {
    double until_s = pc_lot_clock_s(lot, lot->machines[m].until_s);
    if (ends.machines[m] == PC_END_BEFORE)
      paid += per_s * (fmin(total_s, until_s) - summary->mean.machines[m].done_s); /* fmin passes over NaN */
  }
  pc_text_addf(out, "Of this, %s %s is the pay of ", lot->money.currency.text,
               pc_show_number(paid, PC_DIM_NUMBER, "", 2).text);
  add_names(&ends, PC_END_BEFORE, ends.before, lot->machines, out);
  pc_text_add(out, " from the last load to the end of all work; `until` in the crew says when they leave.\n");
}
