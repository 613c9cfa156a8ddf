// SPDX-License-Identifier: GPL-3.0-or-later
/* Headings where there are no zones yet to choose them by. */
#include "base/memory.h"
#include "sim/variant.h"
#include "study/place.h"

/* Choices of each number of zones that are simulated: enough to tell which sides of the lot the piles lie on.
 */
enum { ROUGH_TRIALS = 12 };

/* Rough places, found with lanes along the longest edges. */
static pc_status find_rough(const pc_scenario *scenario, const pc_place_wanted *wanted, pc_placement *rough) {
  pc_scenario along;
  pc_heading_report longest = {0};
  pc_faults unheard = {0};
  pc_place_wanted quick = *wanted;
  quick.replications = 1;
  pc_status status = pc_variant_make(scenario, &along);
  along.place.simulations = ROUGH_TRIALS;
  if (status == PC_OK)
    status = pc_headings_take_longest(&along, &longest);
  if (status == PC_OK)
    status = pc_placement_find(&along, &quick, rough, &unheard);
  pc_faults_free(&unheard);
  pc_heading_report_free(&longest);
  pc_variant_free(&along);
  return status;
}

/* As if these places were the scenario's zones. */
static pc_status choose_by(pc_scenario *scenario, const pc_placement *rough, const pc_place_wanted *wanted,
                           pc_heading_report *report) {
  const pc_place_choice *best = &rough->finalists[0];
  const pc_scenario before = *scenario;
  pc_zone zones[PC_PLACE_MAX];
  pc_faults unheard = {0};
  pc_choice choice = wanted->choice ? *wanted->choice : pc_choice_default();
  for (size_t k = 0; k < best->count; k++)
    zones[k] = rough->sites[best->sites[k]].zone; /* borrowed */
  choice.layout = NULL;
  scenario->zones = zones;
  scenario->zone_count = best->count;
  pc_status status =
      pc_headings_choose_watched(scenario, &choice, wanted->threads, wanted->watch, &unheard, report);
  scenario->zones = before.zones;
  scenario->zone_count = before.zone_count;
  pc_faults_free(&unheard);
  return status;
}

pc_status pc_placement_headings(pc_scenario *scenario, const pc_place_wanted *wanted,
                                pc_heading_report *report) {
  pc_placement rough = {0};
  bool open = false;
  *report = (pc_heading_report){0};
  for (size_t a = 0; a < scenario->site.area_count; a++)
    open |= scenario->site.areas[a].auto_heading;
  if (!open)
    return PC_OK;
  pc_status status = find_rough(scenario, wanted, &rough);
  bool found = status == PC_OK && rough.finalist_count > 0;
  if (found)
    status = choose_by(scenario, &rough, wanted, report);
  pc_placement_free(&rough);
  if (status == PC_ERR_MEMORY || (found && status == PC_OK))
    return status;
  return pc_headings_take_longest(scenario, report); /* why is told by whoever looks for places next */
}
