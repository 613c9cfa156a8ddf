// SPDX-License-Identifier: GPL-3.0-or-later
/* What is as quick as the best, what nobody can tell of yet, and what happens in some nights only. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"

enum { LABELS_SHOWN = 4 };

size_t pc_row_to_tell(const pc_compare_row *row, const pc_compare_row *best) {
  if (row->rank == 1 || !row->tied_with_best || row->dropped_after > 0 || best->selected)
    return 0;
  size_t need = pc_replications_to_tell(&row->difference_to_best_s, best->summary.total_time_s.mean);
  /* from fewer than a first stage has, the spread is itself only guessed */
  return need > 0 && need < PC_SELECT_FIRST ? PC_SELECT_FIRST : need;
}

size_t pc_tables_to_tell(const pc_compare_row *rows, size_t count) {
  size_t most = 0;
  for (size_t i = 1; i < count; i++) {
    size_t need = pc_row_to_tell(&rows[i], &rows[0]);
    most = need > most ? need : most;
  }
  return most;
}

const char *pc_tie_word(const pc_compare_row *row, const pc_compare_row *best) {
  return pc_row_to_tell(row, best) > 0 ? "not clear yet" : row->tied_with_best ? "tied with best" : "";
}

/* Labels of the rows that are tied, or of those that are not clear. */
static size_t add_labels(const pc_compare_row *rows, size_t count, bool unclear, const pc_varying *varies,
                         const char *before, pc_text *out) {
  size_t found = 0;
  for (size_t i = 1; i < count; i++) {
    if (!rows[i].tied_with_best || (pc_row_to_tell(&rows[i], &rows[0]) > 0) != unclear)
      continue;
    if (found < LABELS_SHOWN) {
      pc_text_add(out, found > 0 ? "; " : before);
      pc_tables_label(&rows[i], varies, out);
    }
    found++;
  }
  if (found > LABELS_SHOWN)
    pc_text_addf(out, "; and %zu more", found - LABELS_SHOWN);
  if (found > 0)
    pc_text_add(out, ".");
  return found;
}

/* 334 → 340, 1234 → 1300: more digits would be pretence. */
static double rounded_up(size_t count) {
  double step = pow(10.0, fmax(0.0, floor(log10((double)count)) - 1.0));
  return count <= 20 ? (double)count : ceil((double)count / step) * step;
}

void pc_tables_ties(const pc_compare_row *rows, size_t count, const pc_varying *varies, pc_text *out) {
  char words[160];
  snprintf(words, sizeof words, "Tied with it (the difference is no more than %s): ",
           varies->chance ? "chance could make" : "rounding");
  if (add_labels(rows, count, false, varies, words, out) > 0)
    pc_text_add(out, "\n");
  size_t need = pc_tables_to_tell(rows, count);
  if (need == 0)
    return;
  snprintf(words, sizeof words, "%zu replications are too few to tell whether it is quicker than ",
           rows[0].summary.replications);
  (void)add_labels(rows, count, true, varies, words, out);
  if (need >= PC_REPLICATIONS_TOLD)
    pc_text_add(out, " No number that can be run would tell, by how much they vary.\n");
  else
    pc_text_addf(
        out,
        " About %.0f would tell, by how much they vary so far (Law, Simulation Modeling and Analysis): "
        "--replications %.0f.\n",
        rounded_up(need), rounded_up(need));
}

bool pc_is_one_night(const pc_scenario *scenario, size_t replications) {
  const pc_chance *chance = &scenario->chance;
  bool varies =
      chance->fill > 0 || chance->carry > 0 || chance->dump > 0 || chance->back > 0 || chance->turn > 0;
  for (size_t i = 0; i < scenario->loader_count; i++)
    varies |= !isnan(scenario->loaders[i].breakdown_mean_s);
  return varies && replications == 1;
}

const char *pc_one_night_line(void) {
  return "One replication does not show what chance does, nor whether these differences are more than that: "
         "take "
         "several (--replications 10).\n";
}

const char *pc_tables_doubt(const pc_statistic *longer, pc_time_unit unit) {
  if (!pc_varies(longer))
    return "";
  if (longer->mean <= longer->half_width)
    return "; it is not clear that it takes longer at all";
  pc_shown mean = pc_show_seconds_in(longer->mean, unit), half = pc_show_seconds_in(longer->half_width, unit);
  return strcmp(mean.text, half.text) == 0 ? "; that is barely more than chance could make" : "";
}

pc_shown pc_late_nights(const pc_summary *summary) {
  pc_shown shown = {""};
  size_t most = 0, areas = pc_areas_late(summary);
  bool always = true; /* each that is late at all is so in every night */
  for (size_t a = 0; areas > 0 && a < summary->mean.area_count; a++) {
    size_t late = summary->area_late[a];
    most = late > most ? late : most;
    always &= late == 0 || late == summary->replications;
  }
  if (areas > 0 && !always)
    snprintf(shown.text, sizeof shown.text, " in %s%zu of %zu nights", areas > 1 ? "up to " : "", most,
             summary->replications);
  return shown;
}
