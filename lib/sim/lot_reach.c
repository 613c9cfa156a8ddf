// SPDX-License-Identifier: GPL-3.0-or-later
/* Machines that can't get to areas they may work in, and what none gets to. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "sim/lot_private.h"

enum { NAMED = 3 }; /* areas that are named */
/* So much in one strip is more than what lies beside an obstacle. */
static const double long_strip_m2 = 50.0;
static const double wide_area_m2 = 1.0; /* stretches smaller than this are not listed */

/* Something lies there to clear, but every slot of these lanes is closed. */
static bool is_closed(const pc_lot *lot, const pc_lane_set *set, size_t patch) {
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++)
    for (int i = 0; i < set->lanes[l].stations; i++)
      if (set->slot_ways[set->lanes[l].first + (size_t)i].node != PC_NO_NODE)
        return false;
  return lot->ground->patches[patch].area_m2 > 0.0;
}

static bool misses(const pc_lot *lot, size_t m, size_t patch) {
  const pc_lot_machine *machine = &lot->machines[m];
  return machine->allowed[patch] && is_closed(lot, &lot->lane_sets[machine->lane_set], patch);
}

/* Of the same loader and box, bound to the same areas: what is said of one holds for the other. */
static bool are_alike(const pc_lot *lot, size_t a, size_t b) {
  const pc_lot_machine *x = &lot->machines[a], *y = &lot->machines[b];
  return x->lane_set == y->lane_set && pc_name_is(&x->unit.loader.name, y->unit.loader.name.text) &&
         pc_name_is(&x->unit.box.name, y->unit.box.name.text) &&
         memcmp(x->allowed, y->allowed, lot->ground->patch_count * sizeof *x->allowed) == 0;
}

/* How many come after machine m that are like it; none if one before it is. */
static bool is_first_of(const pc_lot *lot, size_t m, size_t *more) {
  *more = 0;
  for (size_t k = 0; k < lot->machine_count; k++) {
    if (k < m && are_alike(lot, k, m))
      return false;
    *more += k > m && are_alike(lot, k, m);
  }
  return true;
}

static void tell(const pc_lot *lot, const pc_scenario *scenario, size_t m, size_t more, pc_faults *faults) {
  const pc_lot_machine *machine = &lot->machines[m];
  pc_text areas = {0}, others = {0};
  size_t missed = 0, allowed = 0;
  for (size_t p = 0; p < lot->ground->patch_count; p++) {
    allowed += machine->allowed[p];
    if (misses(lot, m, p) && missed++ < NAMED)
      pc_text_addf(&areas, "%s\"%.40s\"", missed > 1 ? ", " : "", scenario->site.areas[p].name.text);
  }
  if (missed > NAMED)
    pc_text_addf(&areas, " and %zu more", missed - NAMED);
  if (more > 0)
    pc_text_addf(&others, " (and %zu more like it)", more);
  faults->dropped += areas.failed || others.failed;
  if (missed > 0 && !areas.failed && !others.failed)
    pc_faults_caution(
        faults, "crew",
        "\"%.40s\"%s with %.40s can't get to area%s %s: no way there, or nothing in it, is %s wide%s",
        machine->name.text, more > 0 ? others.data : "", machine->unit.box.name.text, missed > 1 ? "s" : "",
        areas.data,
        pc_show(2.0 * lot->lane_sets[machine->lane_set].half_width_m, PC_DIM_LENGTH, faults->units, 3).text,
        missed == allowed ? "; so it has nothing to do" : "");
  pc_text_free(&areas);
  pc_text_free(&others);
}

void pc_lot_tell_out_of_reach(const pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  size_t more;
  for (size_t m = 0; m < lot->machine_count; m++)
    if (is_first_of(lot, m, &more))
      tell(lot, scenario, m, more, faults);
}

/* ---- what none gets to ---- */

static bool is_open_somewhere(const pc_lot *lot, int patch, int station, int strip) {
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    const pc_lane *lane = &set->lanes[set->patch_lane[patch]];
    while (strip >= lane->strip0 + lane->strips)
      lane++;
    if (set->slot_ways[lane->first + (size_t)station].node != PC_NO_NODE)
      return true;
  }
  return false;
}

/* Of equal ones by their places: how qsort leaves ties is its own business. */
static int larger_first(const void *a, const void *b) {
  const pc_small_place *x = a, *y = b;
  if (x->area_m2 != y->area_m2)
    return x->area_m2 > y->area_m2 ? -1 : 1;
  if (x->at.x_m != y->at.x_m)
    return x->at.x_m < y->at.x_m ? -1 : 1;
  return (x->at.y_m > y->at.y_m) - (x->at.y_m < y->at.y_m);
}

static pc_status list_small(pc_lot *lot, size_t *room, pc_small_place place) {
  void *small = lot->small;
  if (place.area_m2 < wide_area_m2)
    return PC_OK;
  if (pc_reserve(&small, room, lot->small_count + 1, sizeof *lot->small) != 0)
    return PC_ERR_MEMORY;
  lot->small = small;
  lot->small[lot->small_count++] = place;
  return PC_OK;
}

/* A place to clear, not on what stands there or on a pile zone. */
static bool is_free(const pc_lot *lot, const pc_site *site, size_t area, pc_point at) {
  if (!pc_ring_contains(&site->areas[area].outline, at))
    return false;
  for (size_t z = 0; z < lot->zone_count; z++)
    if (lot->zones[z].outline.count > 0 && pc_ring_contains(&lot->zones[z].outline, at))
      return false;
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *o = &site->obstacles[i];
    if (o->outline.count > 0 ? pc_ring_contains(&o->outline, at)
                             : hypot(at.x_m - o->at.x_m, at.y_m - o->at.y_m) <= o->radius_m)
      return false;
  }
  return true;
}

/* A place on the stretch of a strip, as near to its middle as there is: cells may be cut. */
static pc_point place_on(const pc_lot *lot, const pc_site *site, size_t p, int strip, double station) {
  enum { ACROSS = 32 };
  const pc_patch *patch = &lot->ground->patches[p];
  double u = patch->u0_m + station * patch->station_m, sum = 0.0;
  int free_count = 0;
  for (int k = 0; k < ACROSS; k++) {
    double v = patch->v0_m + (strip + (k + 0.5) / ACROSS) * patch->strip_m;
    if (is_free(lot, site, p, pc_patch_world(patch, u, v))) {
      sum += v;
      free_count++;
    }
  }
  double middle = patch->v0_m + (strip + 0.5) * patch->strip_m;
  return pc_patch_world(patch, u, free_count > 0 ? sum / free_count : middle);
}

pc_status pc_lot_take_off_small(pc_lot *lot, const pc_site *site) {
  size_t room = 0;
  double largest_m2 = 0.0;
  pc_sum area = {0};
  for (size_t p = 0; p < lot->ground->patch_count; p++) {
    pc_patch *patch = &lot->ground->patches[p];
    pc_sum left = {0};
    for (int j = 0; j < patch->strips; j++) {
      pc_small_place place = {{0.0, 0.0}, 0.0};
      int from = 0;
      for (int i = 0; i <= patch->stations; i++) {
        double *cell = i < patch->stations ? &lot->ground->cell_m2[pc_patch_cell(patch, i, j)] : NULL;
        bool closed = cell && *cell > 0.0 && !is_open_somewhere(lot, (int)p, i, j);
        if (closed) {
          from = place.area_m2 == 0.0 ? i : from;
          place.area_m2 += *cell;
          pc_sum_add(&area, *cell);
          *cell = 0.0;
        } else {
          if (cell)
            pc_sum_add(&left, *cell);
          if (place.area_m2 > 0.0 && place.area_m2 >= largest_m2) { /* which is the one to be told of */
            largest_m2 = place.area_m2;
            place.at = place_on(lot, site, p, j, 0.5 * (from + i));
          } else {
            place.at = pc_patch_world(patch, patch->u0_m + 0.5 * (from + i) * patch->station_m,
                                      patch->v0_m + (j + 0.5) * patch->strip_m);
          }
          if (list_small(lot, &room, place) != PC_OK)
            return PC_ERR_MEMORY;
          place.area_m2 = 0.0;
        }
      }
    }
    patch->area_m2 = pc_sum_value(&left);
  }
  lot->small_m2 += pc_sum_value(&area);
  if (lot->small_count > 0)
    qsort(lot->small, lot->small_count, sizeof *lot->small, larger_first);
  return PC_OK;
}

void pc_lot_tell_small(const pc_lot *lot, pc_faults *faults) {
  pc_text largest = {0};
  if (lot->small_m2 < 1.0)
    return;
  if (lot->small_count > 0)
    pc_text_addf(&largest, "the largest place, %s, near %s%s",
                 pc_show(lot->small[0].area_m2, PC_DIM_AREA, faults->units, 2).text,
                 pc_show_place(lot->small[0].at.x_m, lot->small[0].at.y_m, faults->units).text,
                 lot->small[0].area_m2 < long_strip_m2
                     ? ""
                     : "; the leg of an L, say, is better drawn as an area of its own");
  pc_faults_caution(faults, "site.areas",
                    "no lane of the boxes of this crew reaches %s with %s of snow: it is left for a smaller "
                    "machine, or a pass of its own (%s)",
                    pc_show(lot->small_m2, PC_DIM_AREA, faults->units, 2).text,
                    pc_show(lot->small_kg, PC_DIM_MASS, faults->units, 2).text,
                    largest.data && !largest.failed ? largest.data : "along walls");
  pc_text_free(&largest);
}
