// SPDX-License-Identifier: GPL-3.0-or-later
/* Machines that can't get to areas they may work in, and what none gets to. */
#include <string.h>

#include "sim/lot_private.h"

enum { NAMED = 3 }; /* areas that are named */
/* So much in one strip is more than what lies beside an obstacle. */
static const double long_strip_m2 = 50.0;

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
