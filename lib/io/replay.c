// SPDX-License-Identifier: GPL-3.0-or-later
/* Recording a night. What lib/io/web/replay.js reads is described beside each writer. */
#include "io/replay.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/version.h"
#include "io/replay_private.h"
#include "io/results.h"
#include "io/web.h"
#include "sim/policy.h"

enum { FULL_LEVEL = 32, LEVEL_MAX = 400, NOT_SHOWN = -1 };

typedef struct machine_state { /* what the rows written so far leave behind */
  int64_t end_ms, x_cm, y_cm;
  pc_trace_row sweeps; /* the leg that changes the ground next */
  bool has_sweeps;
} machine_state;

typedef struct recorder {
  const pc_lot *lot;
  double level_kgpm2;
  int *levels;       /* per cell, what is shown of the snow that did not fall meanwhile */
  double *per_level; /* per cell, 1 / (its area × level_kgpm2); 0 without ground */
  machine_state *machines;
  pc_bytes rows, changes;
  int64_t change_ms;
  bool failed;
} recorder;

static int64_t whole(double value, double unit) {
  return (int64_t)llround(value / unit);
}

/* ---- legs ---- */

/* One leg: machine, phase (+ 16: backwards, + 32: does not start where the one before ended, whose place then
 * follows), how long after the one before it begins, how long it takes, where it ends relative to where it
 * began, its length, load, zone + 1. */
static void take_row(void *context, const pc_trace_row *row) {
  recorder *to = context;
  machine_state *machine = &to->machines[row->machine];
  int64_t start = whole(row->start_s, 1e-3), end = whole(row->end_s, 1e-3);
  int64_t x0 = whole(row->from.x_m, 1e-2), y0 = whole(row->from.y_m, 1e-2);
  int64_t x1 = whole(row->to.x_m, 1e-2), y1 = whole(row->to.y_m, 1e-2);
  bool jumps = x0 != machine->x_cm || y0 != machine->y_cm;
  pc_bytes_put(&to->rows, row->machine);
  pc_bytes_put(&to->rows, (uint64_t)row->phase + (row->reverse ? 16U : 0U) + (jumps ? 32U : 0U));
  if (jumps) {
    pc_bytes_put_signed(&to->rows, x0 - machine->x_cm);
    pc_bytes_put_signed(&to->rows, y0 - machine->y_cm);
  }
  pc_bytes_put_signed(&to->rows, start - machine->end_ms);
  pc_bytes_put(&to->rows, (uint64_t)(end - start));
  pc_bytes_put_signed(&to->rows, x1 - x0);
  pc_bytes_put_signed(&to->rows, y1 - y0);
  pc_bytes_put(&to->rows, (uint64_t)whole(row->distance_m, 1e-2));
  pc_bytes_put(&to->rows, (uint64_t)whole(row->load_kg, 0.1));
  pc_bytes_put(&to->rows, row->zone < 0 ? 0 : (uint64_t)row->zone + 1);
  machine->end_ms = end;
  machine->x_cm = x1;
  machine->y_cm = y1;
  bool fills = row->phase == PC_PHASE_FILL || row->phase == PC_PHASE_CLEAN_UP;
  if (fills || row->phase == PC_PHASE_DUMP || (row->phase == PC_PHASE_CARRY && !machine->has_sweeps)) {
    machine->sweeps = *row;
    machine->has_sweeps = true;
  }
}

/* ---- the ground ---- */

static int level_of(const recorder *r, size_t cell, const double *kg, double fallen_kgpm2) {
  double level = kg[cell] * r->per_level[cell] - fallen_kgpm2 / r->level_kgpm2;
  return level > LEVEL_MAX ? LEVEL_MAX : level < -LEVEL_MAX ? -LEVEL_MAX : (int)lround(level);
}

/* Cells in a row that change by the same number of levels: how far they are behind the last ones, how many
 * they are, and by how much. */
typedef struct stretch {
  size_t first, count, done; /* done: end of the stretch before */
  int by;
} stretch;

static void end_stretch(pc_bytes *out, stretch *s) {
  if (s->count == 0)
    return;
  pc_bytes_put(out, s->count);
  pc_bytes_put(out, s->first - s->done);
  pc_bytes_put_signed(out, s->by);
  s->done = s->first + s->count;
  s->count = 0;
}

static void add_cell(pc_bytes *out, stretch *s, size_t cell, int by) {
  if (s->count > 0 && (s->by != by || s->first + s->count != cell))
    end_stretch(out, s);
  if (s->count == 0)
    *s = (stretch){cell, 0, s->done, by};
  s->count++;
}

/* When the change begins, after the last one's beginning, and how long it takes; from where to where it goes;
 * then stretches of cells, ended by a 0. What was dropped changes when the dump is over. */
static void take_ground(void *context, const pc_trace_ground *now) {
  recorder *to = context;
  machine_state *machine = &to->machines[now->machine];
  bool moves = machine->has_sweeps && machine->sweeps.phase != PC_PHASE_DUMP;
  double start_s = moves ? machine->sweeps.start_s : now->time_s;
  double end_s = moves ? machine->sweeps.end_s : now->time_s;
  machine->has_sweeps = false;
  stretch s = {0, 0, 0, 0};
  bool begun = false;
  for (size_t c = 0; c < to->lot->ground->cell_count; c++) {
    int level = to->per_level[c] > 0.0 ? level_of(to, c, now->cell_kg, now->fallen_kgpm2) : to->levels[c];
    if (level == to->levels[c])
      continue;
    if (!begun) {
      int64_t start = whole(start_s, 1e-3);
      const pc_point nowhere = {0.0, 0.0};
      pc_point from = moves ? machine->sweeps.from : nowhere, end = moves ? machine->sweeps.to : nowhere;
      pc_bytes_put_signed(&to->changes, start - to->change_ms);
      pc_bytes_put(&to->changes, (uint64_t)(whole(end_s, 1e-3) - start));
      pc_bytes_put_signed(&to->changes, whole(from.x_m, 1e-2));
      pc_bytes_put_signed(&to->changes, whole(from.y_m, 1e-2));
      pc_bytes_put_signed(&to->changes, whole(end.x_m, 1e-2));
      pc_bytes_put_signed(&to->changes, whole(end.y_m, 1e-2));
      to->change_ms = start;
      begun = true;
    }
    add_cell(&to->changes, &s, c, level - to->levels[c]);
    to->levels[c] = level;
  }
  end_stretch(&to->changes, &s);
  if (begun)
    pc_bytes_put(&to->changes, 0);
}

/* Levels at the start as (how many cells, level + 1; 0: not shown). */
static void put_start(recorder *r, json_t *map, bool *bad) {
  pc_bytes out = {0};
  size_t cells = r->lot->ground->cell_count;
  for (size_t c = 0, count; c < cells; c += count) {
    count = 0;
    while (c + count < cells && r->levels[c + count] == r->levels[c])
      count++;
    pc_bytes_put(&out, count);
    pc_bytes_put(&out, r->levels[c] == NOT_SHOWN ? 0 : (uint64_t)r->levels[c] + 1);
  }
  pc_bytes_to_json(&out, map, "start", bad);
}

/* ---- parts of the document ---- */

static json_t *make_patches(const pc_ground *ground, bool *bad) {
  json_t *list = json_array();
  for (size_t p = 0; p < ground->patch_count; p++) {
    const pc_patch *patch = &ground->patches[p];
    json_t *map = json_object();
    put_number(map, "cosine", patch->cosine, bad);
    put_number(map, "sine", patch->sine, bad);
    put_number(map, "u0_m", patch->u0_m, bad);
    put_number(map, "v0_m", patch->v0_m, bad);
    put_number(map, "strip_m", patch->strip_m, bad);
    put_number(map, "station_m", patch->station_m, bad);
    put_count(map, "strips", (uint64_t)patch->strips, bad);
    put_count(map, "stations", (uint64_t)patch->stations, bad);
    pc_web_append(list, map, bad);
  }
  return list;
}

static json_t *make_machines(const pc_lot *lot, bool *bad) {
  json_t *list = json_array();
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_lot_machine *machine = &lot->machines[m];
    json_t *map = json_object();
    put_text(map, "name", machine->name.text, bad);
    put_text(map, "box", machine->unit.box.name.text, bad);
    put_text(map, "blade", pc_blade_names[machine->unit.box.blade], bad);
    put_number(map, "box_width_m", machine->unit.box.width_m, bad);
    put_number(map, "width_m", machine->unit.loader.machine_width_m, bad);
    put_number(map, "length_m", machine->unit.loader.machine_length_m, bad);
    put_number(map, "capacity_kg", machine->unit.capacity_kg, bad);
    put(map, "start", pc_web_point(machine->start, bad), bad);
    pc_web_append(list, map, bad);
  }
  return list;
}

static json_t *make_zones(const pc_lot *lot, bool *bad) {
  json_t *list = json_array();
  for (size_t z = 0; z < lot->zone_count; z++) {
    json_t *map = pc_web_zone(&lot->zones[z], bad);
    put_number(map, "capacity_kg", lot->zone_capacity_kg[z], bad);
    pc_web_append(list, map, bad);
  }
  return list;
}

/* What has fallen by when: [time_s, kg/m2, depth_m], straight lines between. */
static json_t *make_falls(const pc_lot *lot, bool *bad) {
  json_t *list = json_array();
  double at = 0.0, kgpm2 = 0.0, depth = 0.0;
  for (size_t i = 0; i <= lot->fall_count && lot->storm_end_s > 0.0; i++) {
    double next = i < lot->fall_count ? fmin(lot->falls[i].after_s, lot->storm_end_s) : lot->storm_end_s;
    if (i > 0) {
      kgpm2 += (next - at) * lot->falls[i - 1].kgpm2ps;
      depth += (next - at) * lot->falls[i - 1].depth_mps;
    }
    at = next;
    json_t *three = json_array();
    pc_web_append(three, json_real(at), bad);
    pc_web_append(three, json_real(kgpm2), bad);
    pc_web_append(three, json_real(depth), bad);
    pc_web_append(list, three, bad);
  }
  return list;
}

static json_t *make_phases(bool *bad) {
  json_t *list = json_array();
  for (int p = 0; p < PC_PHASE_COUNT; p++)
    pc_web_append(list, json_string(pc_phase_name((pc_phase)p)), bad);
  return list;
}

static pc_status write_run(recorder *r, json_t *root, const pc_summary *summary, uint64_t seed, bool bad,
                           pc_text *out) {
  const pc_lot *lot = r->lot;
  put(root, "patches", make_patches(lot->ground, &bad), &bad);
  put(root, "machines", make_machines(lot, &bad), &bad);
  put(root, "zones", make_zones(lot, &bad), &bad);
  put(root, "falls", make_falls(lot, &bad), &bad);
  put(root, "phases", make_phases(&bad), &bad);
  put_number(root, "level_kgpm2", r->level_kgpm2, &bad);
  put_count(root, "full_level", FULL_LEVEL, &bad);
  put_number(root, "lying_kgpm3", lot->lying_kgpm3, &bad);
  put_number(root, "pile_density_kgpm3", lot->snow.pile_density_kgpm3, &bad);
  put_number(root, "work_minutes_per_hour", lot->work_minutes_per_hour, &bad);
  pc_bytes_to_json(&r->rows, root, "rows", &bad);
  pc_bytes_to_json(&r->changes, root, "changes", &bad);
  pc_text result = {0};
  pc_status status = pc_web_finish(root, bad, out);
  if (status == PC_OK)
    status = pc_results_run_json(lot, summary, seed, &result);
  if (status == PC_OK)
    pc_web_splice(out, "result", result.data);
  pc_text_free(&result);
  return status == PC_OK && out->failed ? PC_ERR_MEMORY : status;
}

/* ---- the whole ---- */

static void free_recorder(recorder *r) {
  free(r->levels);
  free(r->per_level);
  free(r->machines);
  free(r->rows.data);
  free(r->changes.data);
}

static bool is_under_zone(const pc_lot *lot, pc_point at) {
  for (size_t z = 0; z < lot->zone_count; z++)
    if (lot->zones[z].outline.count > 0 && pc_ring_contains(&lot->zones[z].outline, at))
      return true;
  return false;
}

/* What is no ground of the lanes and under no zone keeps its snow: it is left for a smaller machine. The page
 * cuts it off at the outline of its area, and draws obstacles over it. */
static void start_off_grid(recorder *r) {
  const pc_lot *lot = r->lot;
  int lying = (int)lround(lot->snow.depth_m * lot->fresh_density_kgpm3 / r->level_kgpm2);
  for (size_t p = 0; p < lot->ground->patch_count; p++) {
    const pc_patch *patch = &lot->ground->patches[p];
    for (int i = 0; i < patch->stations; i++)
      for (int j = 0; j < patch->strips; j++) {
        size_t c = pc_patch_cell(patch, i, j);
        pc_point middle = pc_patch_world(patch, patch->u0_m + (i + 0.5) * patch->station_m,
                                         patch->v0_m + (j + 0.5) * patch->strip_m);
        if (!(r->per_level[c] > 0.0))
          r->levels[c] = is_under_zone(lot, middle) ? NOT_SHOWN : lying;
      }
  }
}

static bool start_recorder(recorder *r, const pc_lot *lot) {
  size_t cells = lot->ground->cell_count;
  *r = (recorder){.lot = lot};
  double all_kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3 + lot->fall_kgpm2;
  r->level_kgpm2 = all_kgpm2 > 0.0 ? all_kgpm2 / FULL_LEVEL : 1.0;
  r->levels = pc_alloc(cells, sizeof *r->levels);
  r->per_level = pc_alloc(cells, sizeof *r->per_level);
  r->machines = pc_alloc(lot->machine_count, sizeof *r->machines);
  if (!r->levels || !r->per_level || !r->machines)
    return false;
  for (size_t c = 0; c < cells; c++) {
    double m2 = lot->ground->cell_m2[c];
    r->per_level[c] = m2 > 0.0 ? 1.0 / (m2 * r->level_kgpm2) : 0.0;
    r->levels[c] = m2 > 0.0 ? level_of(r, c, lot->cell_kg, 0.0) : NOT_SHOWN;
  }
  start_off_grid(r);
  for (size_t m = 0; m < lot->machine_count; m++) {
    r->machines[m].x_cm = whole(lot->machines[m].start.x_m, 1e-2);
    r->machines[m].y_cm = whole(lot->machines[m].start.y_m, 1e-2);
  }
  return true;
}

pc_status pc_replay_record(const pc_lot *lot, uint64_t seed, pc_text *out, bool *finished) {
  if (lot->ground->cell_count > PC_REPLAY_CELLS_MAX)
    return PC_ERR_LIMIT;
  recorder r;
  pc_summary summary = {0};
  const pc_trace trace = {.row = take_row, .context = &r, .ground = take_ground};
  bool bad = false;
  json_t *root = json_object();
  pc_status status = start_recorder(&r, lot) ? PC_OK : PC_ERR_MEMORY;
  if (status == PC_OK) {
    put_start(&r, root, &bad); /* before the levels change */
    status = pc_replicate(lot, 1, seed, 1, &trace, &summary);
  }
  if (status == PC_OK && finished)
    *finished = summary.unfinished == 0;
  if (status == PC_OK)
    status = write_run(&r, root, &summary, seed, bad, out);
  else
    json_decref(root);
  pc_summary_free(&summary);
  free_recorder(&r);
  return status;
}

/* [{"label": …, "run": …}, …] */
static pc_status write_runs(const pc_replay_run *runs, size_t count, pc_text *out) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < count && status == PC_OK; i++) {
    bool bad = false;
    json_t *map = json_object();
    put_text(map, "label", runs[i].label, &bad);
    pc_text_add(out, i ? "," : "[");
    status = pc_web_finish(map, bad, out);
    if (status == PC_OK)
      pc_web_splice(out, "run", runs[i].json);
  }
  pc_text_add(out, "]");
  return status == PC_OK && out->failed ? PC_ERR_MEMORY : status;
}

pc_status pc_replay_page(const pc_scenario *scenario, const pc_replay_run *runs, size_t count,
                         pc_unit_system units, pc_text *out) {
  if (count == 0 || count > PC_REPLAY_RUNS_MAX)
    return PC_ERR_RANGE;
  bool bad = false;
  pc_text json = {0}, list = {0};
  json_t *root = json_object();
  put_text(root, "scenario", scenario->name.text, &bad);
  put_text(root, "version", pc_version(), &bad);
  put_text(root, "units", units == PC_US ? "us" : "metric", &bad);
  pc_web_put_start(root, &scenario->clock, &bad);
  put(root, "site", pc_web_site(scenario, &bad), &bad);
  pc_status status = pc_web_finish(root, bad, &json);
  if (status == PC_OK)
    status = write_runs(runs, count, &list);
  if (status == PC_OK) {
    pc_web_splice(&json, "runs", list.data);
    if (json.failed)
      status = PC_ERR_MEMORY;
  }
  if (status == PC_OK)
    pc_web_page(PC_WEB_REPLAY, json.data, out);
  pc_text_free(&json);
  pc_text_free(&list);
  return status == PC_OK && out->failed ? PC_ERR_MEMORY : status;
}
