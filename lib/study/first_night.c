// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/first_night.h"

static bool falls(const pc_first_night *night) {
  return night->depths.lot && night->depths.lot->storm_end_s > 0.0;
}

void pc_first_night_start(pc_first_night *night, const pc_lot *lot, const pc_scenario *scenario) {
  pc_depths_start(&night->depths, lot);
  pc_crossings_start(&night->crossings, lot, scenario);
}

bool pc_first_night_trace(pc_first_night *night, pc_trace *trace) {
  *trace = (pc_trace){.row = pc_first_night_row, .context = night, .depth = pc_first_night_depth};
  return falls(night) || night->crossings.cycles;
}

void pc_first_night_row(void *context, const pc_trace_row *row) {
  pc_first_night *night = context;
  if (falls(night))
    pc_depths_row(&night->depths, row);
  pc_crossings_row(&night->crossings, row);
}

void pc_first_night_depth(void *context, uint64_t replication, double time_s, size_t area, double depth_m) {
  pc_first_night *night = context;
  if (falls(night))
    pc_depths_depth(&night->depths, replication, time_s, area, depth_m);
}

bool pc_first_night_failed(const pc_first_night *night) {
  return night->depths.failed || night->crossings.failed;
}

void pc_first_night_free(pc_first_night *night) {
  if (!night)
    return;
  pc_depths_free(&night->depths);
  pc_crossings_free(&night->crossings);
}
