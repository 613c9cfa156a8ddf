// SPDX-License-Identifier: GPL-3.0-or-later
/* What a lot keeps of the night: when areas open and for whom, narrow passages, the storm. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "sim/lot_private.h"

static int area_index(const pc_site *site, const char *name) {
  size_t i = pc_name_find(site->areas, site->area_count, sizeof *site->areas, name);
  return i < site->area_count ? (int)i : -1;
}

static pc_status keep_areas(pc_lot *lot, const pc_site *site) {
  lot->areas = pc_alloc(site->area_count, sizeof *lot->areas);
  if (!lot->areas)
    return PC_ERR_MEMORY;
  for (size_t a = 0; a < site->area_count; a++) {
    const pc_area *area = &site->areas[a];
    pc_lot_area *kept = &lot->areas[lot->area_count++];
    *kept = (pc_lot_area){.name = area->name,
                          .opens_s = pc_lot_work_s(lot, area->opens_s),
                          .clear_by_s = area->clear_by_s,
                          .sweep_before_s = area->sweep_before_s,
                          .after = pc_alloc(site->area_count, sizeof *kept->after),
                          .into = area_index(site, area->into.text)};
    if (!kept->after)
      return PC_ERR_MEMORY;
    for (size_t i = 0; i < area->after.count; i++) {
      int other = area_index(site, area->after.items[i].text);
      if (other >= 0)
        kept->after[other] = true;
    }
    lot->has_carving |= kept->into >= 0;
  }
  return PC_OK;
}

static pc_status keep_passages(pc_lot *lot, const pc_site *site) {
  lot->passages = pc_alloc(site->passage_count, sizeof *lot->passages);
  if (!lot->passages)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < site->passage_count; i++) {
    const pc_passage *passage = &site->passages[i];
    pc_lot_passage *kept = &lot->passages[lot->passage_count];
    *kept = (pc_lot_passage){.name = passage->name, .machines = passage->machines};
    pc_status status = passage->outline.count > 0
                           ? pc_ring_copy(&kept->outline, passage->outline.points, passage->outline.count)
                           : pc_ring_round(passage->at, passage->radius_m, &kept->outline);
    if (status != PC_OK)
      return status;
    lot->passage_count++;
  }
  return PC_OK;
}

static pc_status keep_storm(pc_lot *lot, const pc_scenario *scenario) {
  lot->falls = pc_alloc(scenario->storm_count, sizeof *lot->falls);
  if (!lot->falls)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < scenario->storm_count; i++) {
    const pc_storm_piece *piece = &scenario->storm[i];
    double after_s = pc_lot_work_s(lot, piece->after_s), mps = pc_lot_clock_s(lot, piece->rate_mps);
    lot->falls[lot->fall_count++] = (pc_fall){after_s, mps * pc_storm_piece_density(piece, &lot->snow), mps};
    if (i > 0 && lot->falls[i - 1].kgpm2ps > 0.0) {
      lot->storm_end_s = after_s;
      lot->fall_kgpm2 += lot->falls[i - 1].kgpm2ps * (after_s - lot->falls[i - 1].after_s);
      lot->fall_m += lot->falls[i - 1].depth_mps * (after_s - lot->falls[i - 1].after_s);
    }
  }
  double depth_m = lot->snow.depth_m + lot->fall_m;
  lot->lying_kgpm3 = depth_m > 0.0
                         ? (lot->snow.depth_m * lot->fresh_density_kgpm3 + lot->fall_kgpm2) / depth_m
                         : lot->fresh_density_kgpm3;
  return PC_OK;
}

pc_status pc_lot_keep_night(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  lot->keep_apart_m = scenario->keep_apart_m;
  pc_status status = keep_areas(lot, &scenario->site);
  if (status == PC_OK)
    status = keep_passages(lot, &scenario->site);
  if (status == PC_OK)
    status = keep_storm(lot, scenario);
  return status == PC_OK ? status
                         : pc_faults_add(faults, status, "site", NULL, "%s", pc_status_describe(status));
}

/* ---- from buildings outward ---- */

static double building_m(const pc_site *site, pc_point at) {
  double least = INFINITY;
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *o = &site->obstacles[i];
    if (o->kind != PC_OBSTACLE_BUILDING)
      continue;
    double away = o->outline.count > 0 ? pc_ring_distance_m(&o->outline, at, NULL)
                                       : hypot(at.x_m - o->at.x_m, at.y_m - o->at.y_m) - o->radius_m;
    least = fmin(least, away);
  }
  return least;
}

/* Distances at the ends of what is open of a lane, and the least of all. */
static void measure_lane(const pc_lot *lot, const pc_site *site, pc_lane_set *set, size_t l,
                         double farthest_m) {
  const pc_lane *lane = &set->lanes[l];
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double least = INFINITY, first = NAN, last = NAN;
  for (int i = 0; i < lane->stations; i++) {
    size_t slot = lane->first + (size_t)i;
    bool is_end = i == 0 || i + 1 == lane->stations || !(set->slot_m2[slot - 1] > 0.0) ||
                  !(set->slot_m2[slot + 1] > 0.0);
    if (!(set->slot_m2[slot] > 0.0) || (!is_end && i % 4 != 0)) /* every fourth will do */
      continue;
    double away = building_m(site, pc_lane_point(lot, lane, patch->u0_m + (i + 0.5) * patch->station_m));
    if (isinf(away)) /* no buildings */
      away = farthest_m - set->slot_way_m[slot];
    first = isnan(first) ? away : first;
    last = away;
    least = fmin(least, away);
  }
  set->from_building_m[l] = least;
  set->outward[l] = last < first ? -1 : 1;
}

/* ---- carving out ---- */

static const double reach_m = 12.0, step_m = 0.5; /* how far another area is looked for straight on */

/* The open slot of another area that covers a place; false if there is none. */
static bool slot_at(const pc_lot *lot, const pc_lane_set *set, int patch_index, pc_point at,
                    size_t *lane_index, double *u_m) {
  const pc_patch *patch = &lot->ground->patches[patch_index];
  double v;
  pc_patch_local(patch, at, u_m, &v);
  for (size_t l = set->patch_lane[patch_index]; l < set->patch_lane[patch_index + 1]; l++) {
    const pc_lane *lane = &set->lanes[l];
    double station = (*u_m - patch->u0_m) / patch->station_m;
    if (fabs(v - lane->v_m) > 0.5 * lane->width_m || station < 0.0 || station >= lane->stations)
      continue;
    *lane_index = l;
    return set->slot_m2[lane->first + (size_t)station] > 0.0;
  }
  return false;
}

static pc_point lane_end(const pc_lot *lot, const pc_lane *lane, int sign, double beyond_m) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double end = sign > 0 ? patch->u0_m + lane->stations * patch->station_m : patch->u0_m;
  return pc_lane_point(lot, lane, end + sign * beyond_m);
}

/* Where the other area does not lie straight on: the nearest of its open slots. */
static void find_nearest_drop(const pc_lot *lot, pc_lane_set *set, size_t l, int into) {
  const pc_patch *patch = &lot->ground->patches[into];
  double best = INFINITY;
  for (size_t other = set->patch_lane[into]; other < set->patch_lane[into + 1]; other++)
    for (int i = 0; i < set->lanes[other].stations; i++) {
      double u_m = patch->u0_m + (i + 0.5) * patch->station_m;
      pc_point at = pc_lane_point(lot, &set->lanes[other], u_m);
      for (int sign = -1; sign <= 1; sign += 2) {
        pc_point end = lane_end(lot, &set->lanes[l], sign, 0.0);
        double away = hypot(at.x_m - end.x_m, at.y_m - end.y_m);
        if (!(set->slot_m2[set->lanes[other].first + (size_t)i] > 0.0) || !(away < best - 1e-9))
          continue;
        best = away;
        set->exit[l] = sign;
        set->drop_lane[l] = other;
        set->drop_u_m[l] = u_m;
      }
    }
}

/* The way out of a lane: the end from which, straight on, the other area is nearer; the snow is dropped
 * there. */
static void find_exit(const pc_lot *lot, pc_lane_set *set, size_t l, int into) {
  const pc_lane *lane = &set->lanes[l];
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double best = INFINITY;
  for (int sign = -1; sign <= 1; sign += 2) {
    for (double way = 0.5 * patch->station_m; way <= reach_m && way < best; way += step_m) {
      size_t drop;
      double u_m;
      if (!slot_at(lot, set, into, lane_end(lot, lane, sign, way), &drop, &u_m))
        continue;
      best = way;
      set->exit[l] = sign;
      set->drop_lane[l] = drop;
      set->drop_u_m[l] = u_m;
    }
  }
  if (set->exit[l] == 0)
    find_nearest_drop(lot, set, l, into);
}

/* The slot of the area `into` that lies beside this one on that side, straight across the lanes; none beside
 * a closed slot, nor where a lane of its own area lies between. */
static pc_beside beside(const pc_lot *lot, const pc_lane_set *set, size_t l, int station, int side) {
  const pc_lane *lane = &set->lanes[l];
  int into = lot->areas[lane->patch].into;
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double u_m;
  pc_beside found = {PC_NO_ENTRY, 0};
  if (into < 0 || !(set->slot_m2[lane->first + (size_t)station] > 0.0) ||
      pc_lane_has_beside(lot, lane, station, side))
    return found;
  for (double way = 0.5 * step_m; way <= reach_m; way += step_m) {
    double v = lane->v_m + side * (0.5 * lane->width_m + way);
    pc_point at = pc_patch_world(patch, patch->u0_m + (station + 0.5) * patch->station_m, v);
    if (!slot_at(lot, set, into, at, &found.lane, &u_m))
      continue;
    const pc_patch *other = &lot->ground->patches[into];
    found.station = (int)((u_m - other->u0_m) / other->station_m);
    return found;
  }
  return (pc_beside){PC_NO_ENTRY, 0};
}

static pc_status find_over(const pc_lot *lot, pc_lane_set *set) {
  set->over = pc_alloc(set->slot_count, sizeof *set->over);
  if (!set->over)
    return PC_ERR_MEMORY;
  for (size_t l = 0; l < set->lane_count; l++)
    for (int i = 0; i < set->lanes[l].stations; i++)
      set->over[set->lanes[l].first + (size_t)i] =
          beside(lot, set, l, i, lot->areas[set->lanes[l].patch].outward);
  return PC_OK;
}

pc_status pc_lot_find_exits(const pc_lot *lot, pc_lane_set *set) {
  for (size_t l = 0; l < set->lane_count && lot->has_carving; l++)
    if (lot->areas[set->lanes[l].patch].into >= 0)
      find_exit(lot, set, l, lot->areas[set->lanes[l].patch].into);
  return lot->has_carving && lot->has_blades ? find_over(lot, set) : PC_OK;
}

/* ---- blades ---- */

/* Whether anything is laid over the border into another area on that side. */
static bool lays_over(const pc_lot *lot, const pc_lane_set *set, size_t patch, int side) {
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++)
    for (int i = 0; i < set->lanes[l].stations; i++)
      if (beside(lot, set, l, i, side).lane != PC_NO_ENTRY)
        return true;
  return false;
}

/* From the lanes of a machine that works there, first of all with a blade: what others can't get to, or may
 * not, says nothing. Away from buildings, +1 if there is no difference; but a blade lays its snow over into
 * the area named by `into` where that lies on the other side only. */
static int outward_side(const pc_lot *lot, size_t patch) {
  size_t m = pc_lot_blade_of(lot, patch);
  const pc_lane_set *set = &lot->lane_sets[m == PC_NO_ENTRY ? 0 : lot->machines[m].lane_set];
  double first = NAN, last = NAN;
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++) {
    if (isinf(set->from_building_m[l])) /* none of its slots is open */
      continue;
    first = isnan(first) ? set->from_building_m[l] : first;
    last = set->from_building_m[l];
  }
  int side = last < first ? -1 : 1;
  bool turns = m != PC_NO_ENTRY && !lays_over(lot, set, patch, side) && lays_over(lot, set, patch, -side);
  return turns ? -side : side;
}

void pc_lot_find_sides(pc_lot *lot) {
  for (size_t p = 0; p < lot->area_count; p++)
    lot->areas[p].outward = outward_side(lot, p);
}

size_t pc_lot_blade_of(const pc_lot *lot, size_t area) {
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].allowed[area] && lot->machines[m].unit.box.blade != PC_BLADE_NONE)
      return m;
  return PC_NO_ENTRY;
}

bool pc_lot_leaves_ridge(const pc_lot *lot, size_t area) {
  size_t blade = pc_lot_blade_of(lot, area);
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].allowed[area] && lot->machines[m].unit.box.blade == PC_BLADE_NONE)
      return false;
  return blade != PC_NO_ENTRY &&
         !lays_over(lot, &lot->lane_sets[lot->machines[blade].lane_set], area, lot->areas[area].outward);
}

void pc_lot_tell_ridges(const pc_lot *lot, pc_faults *faults) {
  for (size_t p = 0; p < lot->area_count; p++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "site.areas[%zu]", p);
    if (!pc_lot_leaves_ridge(lot, p))
      continue;
    const char *name = lot->areas[p].name.text;
    int into = lot->areas[p].into;
    if (into < 0)
      pc_faults_caution(
          faults, key,
          "only blades work in \"%s\": the windrow that they leave along its outer edge is taken "
          "by nobody. With \"into: AREA\" they lay it over into an area beside it; or let a "
          "loader with a box work there, too",
          name);
    else
      pc_faults_caution(
          faults, key,
          "only blades work in \"%s\", and its lanes do not run along \"%s\" (into): the windrow "
          "that they leave along its outer edge is taken by nobody. Give it a heading along "
          "their border; or let a loader with a box work there, too",
          name, lot->areas[into].name.text);
  }
}

void pc_lot_find_outward(const pc_lot *lot, const pc_site *site, pc_lane_set *set) {
  double farthest = 0.0;
  for (size_t k = 0; k < set->slot_count; k++)
    if (set->slot_m2[k] > 0.0 && isfinite(set->slot_way_m[k]))
      farthest = fmax(farthest, set->slot_way_m[k]);
  for (size_t l = 0; l < set->lane_count; l++)
    measure_lane(lot, site, set, l, farthest);
}

void pc_lot_free_night(pc_lot *lot) {
  for (size_t a = 0; a < lot->area_count; a++)
    free(lot->areas[a].after);
  for (size_t i = 0; i < lot->passage_count; i++)
    pc_ring_free(&lot->passages[i].outline);
  free(lot->areas);
  free(lot->passages);
  free(lot->falls);
}

double pc_lot_snow_kg(const pc_lot *lot) {
  double m2 = 0.0;
  for (size_t p = 0; p < lot->ground->patch_count; p++)
    m2 += lot->ground->patches[p].area_m2;
  return lot->start_kg + lot->fall_kgpm2 * m2;
}
