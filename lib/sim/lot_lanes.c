// SPDX-License-Identifier: GPL-3.0-or-later
/* The lane grid of a lot and the lanes of every swath in its crew. */
#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "sim/lot_private.h"

static int lanes_of_patch(const pc_patch *patch, int strips_per_lane) {
  return (patch->strips + strips_per_lane - 1) / strips_per_lane;
}

/* Lanes share the strips of a patch evenly, so that no thin lane is left over at one side. */
static void lay_lane(const pc_lot *lot, pc_lane_set *set, int patch_index, int number, int of,
                     size_t first_slot) {
  const pc_patch *patch = &lot->ground->patches[patch_index];
  pc_lane *lane = &set->lanes[set->lane_count];
  int low = (int)((long)number * patch->strips / of), high = (int)((long)(number + 1) * patch->strips / of);
  double v_low = patch->v0_m + low * patch->strip_m;
  double v_high = patch->v0_m + high * patch->strip_m;
  *lane = (pc_lane){patch_index,    low,        high - low,     0.5 * (v_low + v_high),
                    v_high - v_low, first_slot, patch->stations};
  set->thin_kg[set->lane_count++] =
      lot->snow.done_below_m * lot->fresh_density_kgpm3 * lane->width_m * patch->station_m;
}

static double nearest_zone_m(const pc_lot *lot, const pc_lane_set *set, const pc_place *place) {
  double best = INFINITY;
  for (size_t z = 0; z < lot->zone_count; z++) {
    pc_way way;
    pc_routes_to_zone(set->routes, place, z, &way);
    best = fmin(best, way.length_m);
  }
  return best;
}

/* Where the stretches of open slots of a lane end. */
static void find_stretches(pc_lane_set *set, const pc_lane *lane) {
  int *low = &set->open_low[lane->first], *high = &set->open_high[lane->first];
  const double *m2 = &set->slot_m2[lane->first];
  for (int i = 0; i < lane->stations; i++)
    low[i] = i > 0 && m2[i] > 0.0 && m2[i - 1] > 0.0 ? low[i - 1] : i;
  for (int i = lane->stations - 1; i >= 0; i--)
    high[i] = i + 1 < lane->stations && m2[i] > 0.0 && m2[i + 1] > 0.0 ? high[i + 1] : i;
}

void pc_lot_fill_slots(const pc_lot *lot, pc_lane_set *set) {
  for (size_t l = 0; l < set->lane_count; l++) {
    const pc_lane *lane = &set->lanes[l];
    const pc_patch *patch = &lot->ground->patches[lane->patch];
    for (int i = 0; i < lane->stations; i++) {
      double m2 = 0.0, kg = 0.0;
      size_t cell = pc_patch_cell(patch, i, lane->strip0), slot = lane->first + (size_t)i;
      for (int j = 0; j < lane->strips; j++) {
        m2 += lot->ground->cell_m2[cell + (size_t)j];
        kg += lot->cell_kg[cell + (size_t)j];
      }
      bool open = !set->slot_ways || set->slot_ways[slot].node != PC_NO_NODE;
      set->slot_m2[slot] = open ? m2 : 0.0;
      set->slot_kg[slot] = kg;
      set->slot_cells_m2[slot] = m2;
      set->slot_way_m[slot] = 0.0;
      if (set->slot_m2[slot] > 0.0) {
        pc_place middle = pc_lot_place(lot, set, lane, patch->u0_m + (i + 0.5) * patch->station_m);
        set->slot_way_m[slot] = nearest_zone_m(lot, set, &middle);
      }
    }
    find_stretches(set, lane);
  }
}

static pc_status lay_lanes(pc_lot *lot, pc_lane_set *set, int strips_per_lane) {
  const pc_ground *ground = lot->ground;
  size_t lanes = 0, slots = 0, strips = 0;
  for (size_t p = 0; p < ground->patch_count; p++) {
    size_t n = (size_t)lanes_of_patch(&ground->patches[p], strips_per_lane);
    lanes += n;
    slots += n * (size_t)ground->patches[p].stations;
    strips += (size_t)ground->patches[p].strips;
  }
  set->strips_per_lane = strips_per_lane;
  set->lanes = pc_alloc(lanes, sizeof *set->lanes);
  set->thin_kg = pc_alloc(lanes, sizeof *set->thin_kg);
  set->from_building_m = pc_alloc(lanes, sizeof *set->from_building_m);
  set->outward = pc_alloc(lanes, sizeof *set->outward);
  set->exit = pc_alloc(lanes, sizeof *set->exit);
  set->drop_lane = pc_alloc(lanes, sizeof *set->drop_lane);
  set->drop_u_m = pc_alloc(lanes, sizeof *set->drop_u_m);
  set->patch_lane = pc_alloc(ground->patch_count + 1, sizeof *set->patch_lane);
  set->patch_strip = pc_alloc(ground->patch_count, sizeof *set->patch_strip);
  set->strip_lane = pc_alloc(strips, sizeof *set->strip_lane);
  set->slot_m2 = pc_alloc(slots, sizeof *set->slot_m2);
  set->slot_kg = pc_alloc(slots, sizeof *set->slot_kg);
  set->slot_cells_m2 = pc_alloc(slots, sizeof *set->slot_cells_m2);
  set->slot_way_m = pc_alloc(slots, sizeof *set->slot_way_m);
  set->open_low = pc_alloc(slots, sizeof *set->open_low);
  set->open_high = pc_alloc(slots, sizeof *set->open_high);
  if (!set->lanes || !set->thin_kg || !set->from_building_m || !set->outward || !set->exit ||
      !set->drop_lane || !set->drop_u_m || !set->patch_lane || !set->slot_m2 || !set->slot_kg ||
      !set->slot_cells_m2 || !set->slot_way_m || !set->open_low || !set->open_high || !set->patch_strip ||
      !set->strip_lane)
    return PC_ERR_MEMORY;
  strips = 0;
  for (size_t p = 0; p < ground->patch_count; p++) {
    set->patch_lane[p] = set->lane_count;
    set->patch_strip[p] = strips;
    int n = lanes_of_patch(&ground->patches[p], strips_per_lane);
    for (int i = 0; i < n; i++) {
      lay_lane(lot, set, (int)p, i, n, set->slot_count);
      for (int j = 0; j < set->lanes[set->lane_count - 1].strips; j++)
        set->strip_lane[strips++] = set->lane_count - 1;
      set->slot_count += (size_t)ground->patches[p].stations;
    }
  }
  set->patch_lane[ground->patch_count] = set->lane_count;
  return PC_OK;
}

/* Whether these lanes are as wide as the machine clears, and for machines that get onto the same pavement. */
static bool is_for(const pc_lane_set *set, const pc_site *site, const char *loader, int strips) {
  bool same = set->strips_per_lane == strips;
  for (size_t i = 0; i < pc_site_pavement_count(site) && same; i++)
    same = pc_is_open_to(pc_site_pavement_at(site, i).open_to, loader) == !(set->closed && set->closed[i]);
  return same;
}

static pc_status close_pavement(pc_lane_set *set, const pc_site *site, const char *loader) {
  size_t count = pc_site_pavement_count(site), closed = 0;
  set->closed = pc_alloc(count, sizeof *set->closed);
  for (size_t i = 0; i < count && set->closed; i++)
    closed += set->closed[i] = !pc_is_open_to(pc_site_pavement_at(site, i).open_to, loader);
  if (set->closed && closed > 0)
    return PC_OK;
  pc_status status = set->closed ? PC_OK : PC_ERR_MEMORY;
  free(set->closed);
  set->closed = NULL;
  return status;
}

static pc_status assign_lane_sets(pc_lot *lot, const pc_site *site, const int *strips_of) {
  lot->lane_sets = pc_alloc(lot->machine_count, sizeof *lot->lane_sets);
  if (!lot->lane_sets)
    return PC_ERR_MEMORY;
  for (size_t m = 0; m < lot->machine_count; m++) {
    const char *loader = lot->machines[m].unit.loader.name.text;
    size_t s = 0;
    while (s < lot->lane_set_count && !is_for(&lot->lane_sets[s], site, loader, strips_of[m]))
      s++;
    if (s == lot->lane_set_count) {
      lot->lane_set_count++;
      lot->lane_sets[s].load_kg = INFINITY;
      pc_status status = lay_lanes(lot, &lot->lane_sets[s], strips_of[m]);
      if (status == PC_OK)
        status = close_pavement(&lot->lane_sets[s], site, loader);
      if (status != PC_OK)
        return status;
    }
    lot->machines[m].lane_set = s;
    const pc_unit *unit = &lot->machines[m].unit;
    double load_kg = unit->box.blade == PC_BLADE_NONE ? lot->full_at * unit->capacity_kg : 0.0;
    lot->lane_sets[s].load_kg = fmin(lot->lane_sets[s].load_kg, load_kg);
  }
  return PC_OK;
}

/* ---- ground ---- */

static void choose_strips(const pc_lot *lot, int *strips_of, double *strip_m) {
  double swaths[PC_MACHINES_MAX] = {0};
  bool one_swath = true;
  for (size_t m = 0; m < lot->machine_count; m++) {
    swaths[m] = lot->machines[m].unit.swath_m;
    one_swath &= swaths[m] == swaths[0];
  }
  *strip_m = pc_strip_width_m(swaths, lot->machine_count, strips_of);
  if (one_swath) { /* a strip is then a lane: nothing finer is ever asked for */
    *strip_m = swaths[0];
    for (size_t m = 0; m < lot->machine_count; m++)
      strips_of[m] = 1;
  }
}

/* What is taken out of the areas. Outlines made here are owned. */
typedef struct hole_list {
  const pc_ring **items;
  pc_ring *made;
  size_t count, made_count;
} hole_list;

static void free_holes(hole_list *holes) {
  for (size_t i = 0; i < holes->made_count; i++)
    pc_ring_free(&holes->made[i]);
  free(holes->made);
  free(holes->items);
}

/* What a box keeps away from; kerbs of islands and poles are cleaned up to. */
static bool keeps_border(const pc_obstacle *obstacle) {
  return obstacle->kind != PC_OBSTACLE_ISLAND && obstacle->kind != PC_OBSTACLE_POLE;
}

/* One obstacle as a hole, with a strip of `border_m` around it if boxes keep away from it. */
static pc_status add_obstacle(const pc_obstacle *obstacle, double border_m, hole_list *holes) {
  pc_ring *made = &holes->made[holes->made_count];
  pc_status status = PC_OK;
  bool border = keeps_border(obstacle) && border_m > 0.0;
  if (obstacle->outline.count > 0 && !border) {
    holes->items[holes->count++] = &obstacle->outline;
    return PC_OK;
  }
  if (obstacle->outline.count == 0)
    status = pc_ring_round(obstacle->at, obstacle->radius_m + (border ? border_m : 0.0), made);
  else
    status = pc_ring_grown(&obstacle->outline, border_m, made);
  if (status != PC_OK)
    return status;
  holes->made_count++;
  holes->items[holes->count++] = made;
  return PC_OK;
}

static pc_status list_holes(const pc_lot *lot, const pc_site *site, double border_m, hole_list *holes) {
  *holes = (hole_list){.items = pc_alloc(lot->zone_count + site->obstacle_count, sizeof *holes->items),
                       .made = pc_alloc(site->obstacle_count, sizeof *holes->made)};
  if (!holes->items || !holes->made)
    return PC_ERR_MEMORY;
  for (size_t z = 0; z < lot->zone_count; z++)
    if (lot->zones[z].outline.count > 0)
      holes->items[holes->count++] = &lot->zones[z].outline;
  pc_status status = PC_OK;
  for (size_t i = 0; i < site->obstacle_count && status == PC_OK; i++)
    status = add_obstacle(&site->obstacles[i], border_m, holes);
  return status;
}

static pc_status make_grid(const pc_lot *lot, const pc_scenario *scenario, double border_m, double strip_m,
                           pc_ground **ground, pc_faults *faults) {
  hole_list holes;
  pc_error error = {0};
  pc_status status = list_holes(lot, &scenario->site, border_m, &holes);
  if (status != PC_OK)
    pc_faults_add(faults, status, "site", NULL, "%s", pc_status_describe(status));
  if (status == PC_OK) {
    status = pc_ground_create(&scenario->site, holes.items, holes.count, strip_m, scenario->station_m, ground,
                              &error);
    if (status != PC_OK)
      pc_faults_push(faults, &error);
  }
  free_holes(&holes);
  return status;
}

static double grid_m2(const pc_ground *ground) {
  pc_sum sum = {0};
  for (size_t p = 0; p < ground->patch_count; p++)
    pc_sum_add(&sum, ground->patches[p].area_m2);
  return pc_sum_value(&sum);
}

/* The strip along walls that the box keeps off is what it takes from the grid. */
static pc_status measure_border(pc_lot *lot, const pc_scenario *scenario, double strip_m, pc_faults *faults) {
  if (!(scenario->near.border_m > 0.0))
    return PC_OK;
  pc_ground *whole = NULL;
  pc_status status = make_grid(lot, scenario, 0.0, strip_m, &whole, faults);
  if (status == PC_OK)
    lot->small_m2 = fmax(0.0, grid_m2(whole) - grid_m2(lot->ground));
  pc_ground_free(whole);
  return status;
}

pc_status pc_lot_lay_ground(pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  int strips_of[PC_MACHINES_MAX];
  double strip_m;
  choose_strips(lot, strips_of, &strip_m);
  pc_status status = make_grid(lot, scenario, scenario->near.border_m, strip_m, &lot->ground, faults);
  if (status == PC_OK)
    status = measure_border(lot, scenario, strip_m, faults);
  if (status != PC_OK)
    return status;
  lot->cell_kg = pc_alloc(lot->ground->cell_count, sizeof *lot->cell_kg);
  if (!lot->cell_kg || assign_lane_sets(lot, &scenario->site, strips_of) != PC_OK)
    return pc_faults_add(faults, PC_ERR_MEMORY, "site", NULL, "out of memory");
  return PC_OK;
}
