// SPDX-License-Identifier: GPL-3.0-or-later
/* What is as quick as the best, what nobody can tell of yet, and what happens in some nights only. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "io/tables_private.h"
#include "study/select.h"

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

/* ---- a selection, or what one would take ---- */

/* Replications that Rinott's procedure needs to tell the tied rows of one depth apart. */
static size_t needed_to_settle(const pc_compare_row *rows, size_t count, double within_s) {
  double widest = 0;
  size_t tied = 1, n = rows[0].summary.replications;
  for (size_t i = 0; i < count; i++) {
    if (i > 0 && !rows[i].tied_with_best)
      continue;
    tied += i > 0;
    widest = fmax(widest, pc_statistic_spread(&rows[i].summary.total_time_s));
  }
  return tied < 2 ? 0 : pc_rinott_needed(tied, n, 0.05, widest, within_s);
}

/* At some depth several rows finished in each of their nights: there was something to select from. */
static bool several_finish(const pc_comparison *comparison) {
  for (size_t i = 1; i < comparison->row_count; i++)
    if (comparison->rows[i].depth_m == comparison->rows[i - 1].depth_m &&
        comparison->rows[i].summary.unfinished == 0) /* those that finish come first */
      return true;
  return false;
}

/* Where rows do not finish in every night. What is said of times can be said of the others only. */
static void add_selection_open(const pc_comparison *comparison, pc_unit_system system, pc_text *out) {
  size_t some = comparison->sometimes_unfinished;
  if (some == 0)
    pc_text_add(out, "The best row is not known yet");
  else
    pc_text_addf(out,
                 "Which row is best is not known: %zu of the %zu finished in some of %s nights only, and how "
                 "often a row finishes takes more nights to know than these",
                 some, comparison->row_count, some == 1 ? "its" : "their");
  pc_text_add(out, ". ");
  if (some > 0 && comparison->settled_of_finished && several_finish(comparison))
    pc_text_addf(out,
                 "Of those that finished in every night the first is best: with 95 %% no other of them is "
                 "quicker by more than %s (Kim and Nelson 2001). ",
                 pc_show(comparison->within_s, PC_DIM_TIME, system, 3).text);
}

static void add_selection_made(const pc_comparison *comparison, pc_unit_system system, pc_text *out) {
  size_t most = 0;
  for (size_t i = 0; i < comparison->row_count; i++)
    if (comparison->rows[i].summary.replications > most)
      most = comparison->rows[i].summary.replications;
  if (comparison->settled)
    pc_text_addf(out,
                 "Replications went on until the best row was known: with 95 %% no other is quicker by more "
                 "than %s (Kim and Nelson 2001). ",
                 pc_show(comparison->within_s, PC_DIM_TIME, system, 3).text);
  else
    add_selection_open(comparison, system, out);
  pc_text_addf(out, "%zu of each at first, up to %zu.\n", comparison->first_stage, most);
}

void pc_tables_selection(const pc_comparison *comparison, const pc_varying *varies, pc_unit_system system,
                         pc_text *out) {
  const pc_compare_row *rows = comparison->rows;
  if (comparison->within_s > 0) {
    add_selection_made(comparison, system, out);
    return;
  }
  double best_s = rows[0].summary.total_time_s.mean, within_s = fmax(1, round(best_s / 100 / 60)) * 60;
  if (!varies->chance || varies->depths || rows[0].summary.replications < 3)
    return;
  size_t need = needed_to_settle(rows, comparison->row_count, within_s);
  if (need > 0 && pc_tables_to_tell(rows, comparison->row_count) == 0)
    pc_text_addf(out,
                 "To find the best of those tied to within %.0f min (about 1 %%): compare --within \"%.0f "
                 "min\"; at most about %zu replications of each (Rinott 1978).\n",
                 within_s / 60, within_s / 60, need);
}
