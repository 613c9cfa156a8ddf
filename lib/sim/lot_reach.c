// SPDX-License-Identifier: GPL-3.0-or-later
/* Zones and ground that none gets to, and machines that can't get to areas they may work in. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "sim/lot_private.h"

enum { NAMED = 3 }; /* areas that are named */
static const double unreached_allowed_m2 = 20.0;
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
        "\"%.40s\"%s with %.40s can't get to area%s %s: no way there%s, or nothing in it, is %s wide%s",
        machine->name.text, more > 0 ? others.data : "", machine->unit.box.name.text, missed > 1 ? "s" : "",
        areas.data, lot->lane_sets[machine->lane_set].closed ? " that is open to it" : "",
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

/* Whether a machine with these lanes may work there. Who only brings snow there takes none up. What nobody
 * may work is left, for as long as the first lanes lie over it. */
static bool works(const pc_lot *lot, size_t set, int patch) {
  bool nobodys = true;
  for (size_t m = 0; m < lot->machine_count; m++) {
    if (lot->machines[m].allowed[patch] && lot->machines[m].lane_set == set)
      return true;
    nobodys &= !lot->machines[m].allowed[patch];
  }
  return nobodys && set == 0;
}

static bool is_open_somewhere(const pc_lot *lot, int patch, int station, int strip) {
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    const pc_lane *lane = &set->lanes[pc_lane_of_strip(set, (size_t)patch, strip)];
    if (set->slot_ways[lane->first + (size_t)station].node != PC_NO_NODE && works(lot, s, patch))
      return true;
  }
  return false;
}

static bool zone_reached(const pc_lot *lot, size_t z) {
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    for (size_t l = 0; l < set->lane_count; l++) {
      const pc_lane *lane = &set->lanes[l];
      const pc_patch *patch = &lot->ground->patches[lane->patch];
      for (int i = 0; i < lane->stations; i++) {
        pc_way way;
        if (set->slot_ways[lane->first + (size_t)i].node == PC_NO_NODE)
          continue;
        pc_place middle = pc_lot_place(lot, set, lane, patch->u0_m + (i + 0.5) * patch->station_m);
        pc_routes_to_zone(set->routes, &middle, z, &way);
        if (way.length_m < INFINITY)
          return true;
      }
    }
  }
  return false;
}

/* The narrowest of the crew: where it can't get to, no other can. */
static const pc_lot_machine *narrowest(const pc_lot *lot) {
  const pc_lot_machine *found = &lot->machines[0];
  for (size_t m = 1; m < lot->machine_count; m++)
    if (lot->lane_sets[lot->machines[m].lane_set].half_width_m < lot->lane_sets[found->lane_set].half_width_m)
      found = &lot->machines[m];
  return found;
}

/* A machine with these lanes that works in the area. */
static const pc_lot_machine *one_with(const pc_lot *lot, size_t set, int patch) {
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].lane_set == set && lot->machines[m].allowed[patch])
      return &lot->machines[m];
  return narrowest(lot);
}

static pc_shown width_of(const pc_lot *lot, const pc_lot_machine *machine, pc_unit_system units) {
  return pc_show(2.0 * lot->lane_sets[machine->lane_set].half_width_m, PC_DIM_LENGTH, units, 3);
}

/* Words where some pavement is closed to the machine. */
static const char *open_to(const pc_lot *lot, const pc_lot_machine *machine) {
  return lot->lane_sets[machine->lane_set].closed ? " that is open to it" : "";
}

static pc_status tell_cut_off(const pc_lot *lot, const pc_scenario *scenario, size_t z, pc_faults *faults) {
  char key[PC_KEY_MAX];
  const pc_lot_machine *by = narrowest(lot);
  const pc_zone *zone = &lot->zones[z];
  pc_point at = zone->outline.count > 0 ? pc_ring_centroid(&zone->outline) : zone->at;
  snprintf(key, sizeof key, "zones[%zu]",
           pc_name_find(scenario->zones, scenario->zone_count, sizeof *scenario->zones, zone->name.text));
  return pc_faults_add(
      faults, PC_ERR_GEOMETRY, key, zone->name.text,
      "no machine of the crew can get from the areas to zone \"%.40s\", near %s: a way must be on "
      "pavement%s and at least %s wide (\"%.40s\" with %.40s)",
      zone->name.text, pc_show_place(at.x_m, at.y_m, faults->units).text, open_to(lot, by),
      width_of(lot, by, faults->units).text, by->name.text, by->unit.box.name.text);
}

typedef struct unreached { /* ground with room for a machine of the crew, to which no way leads any of them */
  double area_m2;
  pc_point at; /* the first such place */
  size_t set;  /* of whom it is lost to */
  int patch;
  pc_lost why;
} unreached;

/* Adds a cell that is lost to one set, and open to none. */
static void add_lost(const pc_lot *lot, size_t p, int station, int strip, unreached *lost) {
  const pc_patch *patch = &lot->ground->patches[p];
  double m2 = lot->ground->cell_m2[pc_patch_cell(patch, station, strip)];
  if (!(m2 > 0.0) || is_open_somewhere(lot, (int)p, station, strip))
    return;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    const pc_lane_set *set = &lot->lane_sets[s];
    const pc_lane *lane = &set->lanes[pc_lane_of_strip(set, p, strip)];
    unsigned char why = set->slot_ways[lane->first + (size_t)station].lost;
    if (why == PC_LOST_NOT || !works(lot, s, (int)p))
      continue;
    if (lost->area_m2 == 0.0)
      *lost = (unreached){0.0, pc_lane_point(lot, lane, patch->u0_m + (station + 0.5) * patch->station_m), s,
                          (int)p, (pc_lost)why};
    lost->area_m2 += m2;
    return;
  }
}

static pc_status tell_lost(const pc_lot *lot, const pc_scenario *scenario, const unreached *lost,
                           pc_faults *faults) {
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "site.areas[%d]", lost->patch);
  const char *area = scenario->site.areas[lost->patch].name.text;
  const pc_lot_machine *by = one_with(lot, lost->set, lost->patch);
  return pc_faults_add(faults, PC_ERR_GEOMETRY, key, area,
                       "area \"%.40s\": %s can't be reached %s by \"%.40s\" with %.40s, first near %s: a way "
                       "must be on pavement%s and at least %s wide",
                       area, pc_show(lost->area_m2, PC_DIM_AREA, faults->units, 2).text,
                       lost->why == PC_LOST_FROM_START ? "from where it starts" : "from any pile zone",
                       by->name.text, by->unit.box.name.text,
                       pc_show_place(lost->at.x_m, lost->at.y_m, faults->units).text, open_to(lot, by),
                       width_of(lot, by, faults->units).text);
}

pc_status pc_lot_check_reached(const pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  pc_status status = PC_OK;
  for (size_t z = 0; z < lot->zone_count; z++)
    if (!zone_reached(lot, z))
      status = tell_cut_off(lot, scenario, z, faults);
  if (status != PC_OK)
    return status;
  unreached lost = {0.0, {0.0, 0.0}, 0, 0, PC_LOST_NOT};
  for (size_t p = 0; p < lot->ground->patch_count; p++)
    for (int j = 0; j < lot->ground->patches[p].strips; j++)
      for (int i = 0; i < lot->ground->patches[p].stations; i++)
        add_lost(lot, p, i, j, &lost);
  return lost.area_m2 > unreached_allowed_m2 ? tell_lost(lot, scenario, &lost, faults) : PC_OK;
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
