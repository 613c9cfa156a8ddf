// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/depths.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

static const double growth_allowed = 0.10; /* share of what falls */
static const double all_of_it = 0.99;      /* share of what lay and fell that is as good as all */
static const double alike =
    2.0 / 3.0; /* a piece beside the heaviest belongs to it if it falls this fast or more */

/* ---- the storm, by the clock ---- */

static double piece_begin_s(const pc_lot *lot, size_t i) {
  return pc_lot_clock_s(lot, lot->falls[i].after_s);
}

static double rate_kgpm2ps(const pc_lot *lot, size_t i) {
  return pc_lot_work_s(lot, lot->falls[i].kgpm2ps);
}

static double piece_end_s(const pc_lot *lot, size_t i) {
  return piece_begin_s(lot, i + 1 < lot->fall_count ? i + 1 : i);
}

static double piece_kgpm2(const pc_lot *lot, size_t i) {
  return rate_kgpm2ps(lot, i) * (piece_end_s(lot, i) - piece_begin_s(lot, i));
}

static bool is_alike(const pc_lot *lot, size_t i, double rate) {
  return rate_kgpm2ps(lot, i) >= alike * rate && rate_kgpm2ps(lot, i) <= rate / alike;
}

/* What falls from one time to another, kg/m². */
static double fallen_kgpm2(const pc_lot *lot, double from_s, double to_s) {
  double sum = 0.0;
  for (size_t i = 0; i < lot->fall_count; i++) {
    double from = fmax(from_s, piece_begin_s(lot, i)), to = fmin(to_s, piece_end_s(lot, i));
    if (to > from)
      sum += rate_kgpm2ps(lot, i) * (to - from);
  }
  return sum;
}

/* Judged are depths, and by mass. Where only blades work and their windrow stays in the area, that never gets
 * less, however often the truck is there. */
static double judged_m2(const pc_lot *lot, size_t area) {
  return pc_lot_leaves_ridge(lot, area) ? 0.0 : lot->ground->patches[area].area_m2;
}

static double area_m2(const pc_lot *lot) {
  double sum = 0.0;
  for (size_t a = 0; a < lot->area_count; a++)
    sum += judged_m2(lot, a);
  return sum;
}

/* The stretch that brings the most snow; its second half is judged. */
static void find_stretch(pc_depths_series *series) {
  const pc_lot *lot = series->lot;
  double most = 0.0;
  size_t core = 0;
  for (size_t i = 0; i < lot->fall_count; i++)
    if (piece_kgpm2(lot, i) > most) {
      most = piece_kgpm2(lot, i);
      core = i;
    }
  if (!(most > 0.0))
    return;
  size_t first = core, last = core;
  while (first > 0 && is_alike(lot, first - 1, rate_kgpm2ps(lot, core)))
    first--;
  while (last + 1 < lot->fall_count && is_alike(lot, last + 1, rate_kgpm2ps(lot, core)))
    last++;
  series->to_s = piece_end_s(lot, last);
  series->from_s = 0.5 * (piece_begin_s(lot, first) + series->to_s);
}

/* ---- the series ---- */

void pc_depths_start(pc_depths_series *series, const pc_lot *lot) {
  *series = (pc_depths_series){.lot = lot, .areas = lot->area_count};
  find_stretch(series);
}

void pc_depths_row(void *context, const pc_trace_row *row) {
  pc_depths_series *series = context;
  if (row->phase == PC_PHASE_IDLE || row->phase == PC_PHASE_WAIT)
    return;
  double from = fmax(pc_lot_clock_s(series->lot, row->start_s), series->from_s);
  double to = fmin(pc_lot_clock_s(series->lot, row->end_s), series->to_s);
  if (to > from)
    series->busy_s += to - from;
}

/* Areas come in order, the first of them begins a row. */
static bool make_room(pc_depths_series *series) {
  void *times = series->time_s, *depths = series->depth_m;
  size_t rows = series->rows + 1;
  bool made = pc_reserve(&times, &series->time_capacity, rows, sizeof *series->time_s) == 0;
  series->time_s = times;
  made = made &&
         pc_reserve(&depths, &series->depth_capacity, rows * series->areas, sizeof *series->depth_m) == 0;
  series->depth_m = depths;
  return made;
}

void pc_depths_depth(void *context, uint64_t replication, double time_s, size_t area, double depth_m) {
  (void)replication;
  pc_depths_series *series = context;
  if (series->failed || area >= series->areas)
    return;
  if (area == 0) {
    if (!make_room(series)) {
      series->failed = true;
      return;
    }
    double *row = &series->depth_m[series->rows * series->areas];
    memset(row, 0, series->areas * sizeof *row);
    series->time_s[series->rows++] = pc_lot_clock_s(series->lot, time_s);
  }
  if (series->rows > 0)
    series->depth_m[(series->rows - 1) * series->areas + area] = depth_m;
}

void pc_depths_free(pc_depths_series *series) {
  if (!series)
    return;
  free(series->time_s);
  free(series->depth_m);
  *series = (pc_depths_series){0};
}

/* ---- the judgement ---- */

const char *pc_keeping_name(pc_keeping keeping) {
  switch (keeping) {
  case PC_KEEPING_NONE:
    return "none";
  case PC_KEEPING_UP:
    return "keeps up";
  case PC_KEEPING_BEHIND:
    return "falls behind";
  }
  return "unknown";
}

/* Mean over all areas in one row. */
static double mean_depth_m(const pc_depths_series *series, size_t row) {
  double sum = 0.0, all = 0.0;
  for (size_t a = 0; a < series->areas; a++) {
    double m2 = judged_m2(series->lot, a);
    sum += m2 * series->depth_m[row * series->areas + a];
    all += m2;
  }
  return all > 0.0 ? sum / all : 0.0;
}

/* The same at any time, linear between rows. */
static double mean_depth_at(const pc_depths_series *series, double time_s) {
  size_t next = 0;
  while (next < series->rows && series->time_s[next] < time_s)
    next++;
  if (next == series->rows)
    return mean_depth_m(series, series->rows - 1);
  double after = mean_depth_m(series, next);
  if (next == 0)
    return after;
  double before = mean_depth_m(series, next - 1);
  double share = (time_s - series->time_s[next - 1]) / (series->time_s[next] - series->time_s[next - 1]);
  return before + share * (after - before);
}

/* Areas on which nobody was while it snowed, though more lies there at the end than is let lie. */
static int count_untouched(const pc_depths_series *series, double let_m) {
  double fell_m = fallen_kgpm2(series->lot, 0.0, (double)INFINITY) / series->lot->lying_kgpm3;
  const double *last = &series->depth_m[(series->rows - 1) * series->areas];
  int count = 0;
  for (size_t a = 0; a < series->areas; a++)
    count += judged_m2(series->lot, a) > 0.0 && last[a] > let_m &&
             last[a] >= all_of_it * (series->depth_m[a] + fell_m);
  return count;
}

pc_keep_up pc_depths_judge(const pc_depths_series *series) {
  const pc_lot *lot = series->lot;
  pc_keep_up up = {.from_s = series->from_s, .to_s = series->to_s, .clearing_kgps = NAN};
  double lasts = series->to_s - series->from_s;
  double density = lot->lying_kgpm3, m2 = area_m2(lot);
  if (!(lasts > 0.0) || series->rows < 2 || !(m2 > 0.0))
    return up;
  double begin_m = mean_depth_at(series, series->from_s), end_m = mean_depth_at(series, series->to_s);
  up.fallen_m = fallen_kgpm2(lot, series->from_s, series->to_s) / density;
  up.grown_m = end_m - begin_m;
  up.fall_kgps = up.fallen_m * density * m2 / lasts;
  up.working = series->busy_s / (lasts * (double)lot->machine_count);
  if (up.working > 0.0)
    up.clearing_kgps = (up.fallen_m - up.grown_m) * density * m2 / lasts / up.working;
  for (size_t a = 0; a < series->areas; a++)
    for (size_t i = 0, rows = judged_m2(lot, a) > 0.0 ? series->rows : 0; i < rows; i++)
      up.deepest_m = fmax(up.deepest_m, series->depth_m[i * series->areas + a]);
  double let_m = fmax(lot->snow.trigger_m, lot->snow.done_below_m);
  up.untouched = count_untouched(series, let_m);
  bool behind = up.grown_m > growth_allowed * up.fallen_m && end_m > let_m;
  up.keeping = behind ? PC_KEEPING_BEHIND : PC_KEEPING_UP;
  return up;
}
