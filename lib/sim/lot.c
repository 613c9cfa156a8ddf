// SPDX-License-Identifier: GPL-3.0-or-later
#include <limits.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "sim/crew.h"
#include "sim/lot_private.h"
#include "sim/policy.h"
#include "site/piles.h"

/* ---- choosing from the scenario ---- */

static pc_status unknown_name(pc_faults *faults, const char *key, const char *name, const void *items,
                              size_t stride, size_t count) {
  const char **words = pc_alloc(count, sizeof *words);
  if (!words)
    return pc_faults_add(faults, PC_ERR_MEMORY, key, name, "out of memory");
  for (size_t i = 0; i < count; i++)
    words[i] = ((const pc_name *)(const void *)((const char *)items + i * stride))->text;
  const char *near = pc_nearest_word(name, words, count);
  pc_status status =
      near ? pc_faults_add(faults, PC_ERR_NAME, key, name, "there is no \"%s\"; did you mean \"%s\"?", name,
                           near)
           : pc_faults_add(faults, PC_ERR_NAME, key, name, "there is no \"%s\" in this scenario%s%s%s", name,
                           count ? "; the first one is \"" : "", count ? words[0] : "", count ? "\"" : "");
  free(words);
  return status;
}

static pc_extent extent_of(const pc_zone *zone) {
  const pc_ring *ring = &zone->outline;
  pc_extent extent = {zone->at, zone->at};
  for (size_t i = 0; i < ring->count; i++) {
    const pc_point p = ring->points[i];
    if (i == 0)
      extent = (pc_extent){p, p};
    extent.low = (pc_point){fmin(extent.low.x_m, p.x_m), fmin(extent.low.y_m, p.y_m)};
    extent.high = (pc_point){fmax(extent.high.x_m, p.x_m), fmax(extent.high.y_m, p.y_m)};
  }
  return extent;
}

static pc_status copy_zone(pc_lot *lot, const pc_zone *zone, pc_faults *faults) {
  pc_zone *copy = &lot->zones[lot->zone_count];
  *copy = *zone;
  copy->outline = (pc_ring){0};
  if (zone->outline.count > 0 &&
      pc_ring_copy(&copy->outline, zone->outline.points, zone->outline.count) != PC_OK)
    return pc_faults_add(faults, PC_ERR_MEMORY, "zones", NULL, "out of memory");
  double capacity_m3 = 0.0;
  pc_status status = pc_zone_capacity_m3(zone, lot->snow.repose_angle_rad, &capacity_m3);
  if (status != PC_OK) {
    pc_ring_free(&copy->outline);
    return pc_faults_add(faults, status, "zones", zone->name.text,
                         "the pile's capacity could not be worked out");
  }
  lot->zone_list[lot->zone_count] = copy;
  lot->zone_extent[lot->zone_count] = extent_of(copy);
  lot->zone_capacity_kg[lot->zone_count++] = capacity_m3 * lot->snow.pile_density_kgpm3;
  return PC_OK;
}

static pc_status add_named_zone(pc_lot *lot, const pc_scenario *scenario, const char *name,
                                pc_faults *faults) {
  const pc_zone *zone = pc_scenario_zone(scenario, name);
  return zone ? copy_zone(lot, zone, faults)
              : unknown_name(faults, "layouts", name, scenario->zones, sizeof *scenario->zones,
                             scenario->zone_count);
}

static pc_status choose_zones(pc_lot *lot, const pc_scenario *scenario, const char *wanted,
                              pc_faults *faults) {
  const pc_layout *layout = scenario->layout_count > 0 ? &scenario->layouts[0] : NULL;
  if (wanted) {
    layout = pc_scenario_layout(scenario, wanted);
    if (!layout && strcmp(wanted, "all zones") != 0)
      return unknown_name(faults, "layout", wanted, scenario->layouts, sizeof *scenario->layouts,
                          scenario->layout_count);
  }
  size_t count = layout ? layout->zones.count : scenario->zone_count;
  if (count == 0)
    return pc_faults_add(faults, PC_ERR_MISSING, "zones", NULL,
                         "there are none, and nothing runs without a place for the snow: write one, or let "
                         "`place FILE --candidates generated --output NEW.yaml` look for some; `draw map`, "
                         "`limits` and `board` do without");
  lot->layout = layout ? layout->name : pc_name_of("all zones");
  lot->zones = pc_alloc(count, sizeof *lot->zones);
  lot->zone_list = pc_alloc(count, sizeof *lot->zone_list);
  lot->zone_capacity_kg = pc_alloc(count, sizeof *lot->zone_capacity_kg);
  lot->zone_extent = pc_alloc(count, sizeof *lot->zone_extent);
  if (!lot->zones || !lot->zone_list || !lot->zone_capacity_kg || !lot->zone_extent)
    return pc_faults_add(faults, PC_ERR_MEMORY, "zones", NULL, "out of memory");
  pc_status status = PC_OK;
  for (size_t i = 0; i < count && status == PC_OK; i++)
    status = layout ? add_named_zone(lot, scenario, layout->zones.items[i].text, faults)
                    : copy_zone(lot, &scenario->zones[i], faults);
  return status;
}

/* ---- machines ---- */

static pc_crew_entry only_crew(const pc_scenario *scenario) {
  pc_crew_entry entry = pc_crew_entry_default();
  entry.loader = scenario->loaders[0].name;
  entry.box = scenario->boxes[0].name;
  return entry;
}

/* Which areas it works before others. */
static bool keep_first(pc_lot_machine *machine, const pc_scenario *scenario, const pc_crew_entry *entry) {
  machine->first = pc_alloc(scenario->site.area_count, sizeof *machine->first);
  for (size_t i = 0; machine->first && i < entry->first.count && i < UCHAR_MAX; i++)
    for (size_t a = 0; a < scenario->site.area_count; a++)
      if (machine->first[a] == 0 && pc_name_is(&scenario->site.areas[a].name, entry->first.items[i].text))
        machine->first[a] = (unsigned char)(i + 1);
  machine->first_count = (int)entry->first.count;
  return machine->first != NULL;
}

static pc_status add_machine(pc_lot *lot, const pc_scenario *scenario, const pc_crew_entry *entry, int number,
                             const pc_loader *loader, const pc_box *box) {
  pc_lot_machine *machine = &lot->machines[lot->machine_count];
  machine->allowed = pc_alloc(scenario->site.area_count, sizeof *machine->allowed);
  if (!machine->allowed)
    return PC_ERR_MEMORY;
  lot->machine_count++;
  machine->name = pc_crew_machine_name(&loader->name, number);
  machine->unit = pc_unit_make(loader, box, &lot->snow, lot->full_at);
  machine->start = entry->start;
  bool placed = entry->has_start;
  for (size_t a = 0; a < scenario->site.area_count; a++) {
    machine->allowed[a] = pc_crew_may_work(entry, loader->name.text, &scenario->site.areas[a]);
    if (machine->allowed[a] && !placed) {
      machine->start = scenario->site.areas[a].outline.points[0];
      placed = true;
    }
  }
  if (entry->first.count > 0 && !keep_first(machine, scenario, entry))
    return PC_ERR_MEMORY;
  lot->has_blades |= box->blade != PC_BLADE_NONE;
  machine->from_s = pc_lot_work_s(lot, entry->from_s);
  machine->until_s = pc_lot_work_s(lot, entry->until_s);
  machine->break_every_s = pc_lot_work_s(lot, entry->break_every_s);
  machine->break_for_s = pc_lot_work_s(lot, entry->break_for_s);
  machine->keep = entry->keep;
  machine->fuel_at = scenario->has_fuel_point ? scenario->fuel_point : machine->start;
  return PC_OK;
}

/* Machines so far that do not stay as they are: boxes of a mix are put on these in turn. */
static size_t changeable(const pc_lot *lot) {
  size_t count = 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    count += !lot->machines[m].keep;
  return count;
}

static pc_status can_not_carry(const pc_scenario *scenario, const pc_loader *loader, const pc_box *box,
                               pc_faults *faults) {
  char key[PC_KEY_MAX], allowed[200];
  snprintf(key, sizeof key, "loaders[%zu].boxes", (size_t)(loader - scenario->loaders));
  pc_loader_print_boxes(loader, allowed, sizeof allowed);
  return pc_faults_add(faults, PC_ERR_LIMIT, key, NULL, "loader \"%s\" does not take \"%s\"; it takes %s",
                       loader->name.text, box->name.text, allowed);
}

/* One more machine of this entry. `mix` of no boxes: each has its own. */
static pc_status add_of_entry(pc_lot *lot, const pc_scenario *scenario, const pc_crew_entry *entry,
                              const pc_choice *choice, const pc_mix *mix, pc_faults *faults) {
  const char *loader_name = choice->loader && !entry->keep ? choice->loader : entry->loader.text;
  const pc_loader *loader = pc_scenario_loader(scenario, loader_name);
  bool mixed = mix->count > 0 && !entry->keep;
  const pc_box *box = mixed ? &scenario->boxes[mix->boxes[changeable(lot) % mix->count]]
                            : pc_scenario_box(scenario, entry->box.text);
  int number = 1;
  if (!loader)
    return unknown_name(faults, "loader", loader_name, scenario->loaders, sizeof *scenario->loaders,
                        scenario->loader_count);
  if (!box)
    return unknown_name(faults, "box", entry->box.text, scenario->boxes, sizeof *scenario->boxes,
                        scenario->box_count);
  if (!pc_loader_takes(loader, box->name.text))
    return can_not_carry(scenario, loader, box, faults);
  for (size_t m = 0; m < lot->machine_count; m++)
    number += pc_name_is(&lot->machines[m].unit.loader.name, loader_name);
  if (add_machine(lot, scenario, entry, number, loader, box) != PC_OK)
    return pc_faults_add(faults, PC_ERR_MEMORY, "crew", NULL, "out of memory");
  return PC_OK;
}

static pc_status read_mix(const pc_scenario *scenario, const char *text, pc_mix *mix, pc_faults *faults) {
  pc_name unknown;
  pc_status status = pc_mix_read(scenario, text, mix, &unknown);
  if (status == PC_ERR_NAME)
    return unknown_name(faults, "box", unknown.text, scenario->boxes, sizeof *scenario->boxes,
                        scenario->box_count);
  return status == PC_OK ? PC_OK
                         : pc_faults_add(faults, PC_ERR_RANGE, "box", text, "\"%s\" names more than %d boxes",
                                         text, (int)PC_CREW_MAX);
}

/* "3 machines beside the 2 that stay" */
static void describe_crew(const pc_lot *lot, char *text, size_t size) {
  size_t machines = changeable(lot), stay = lot->machine_count - machines;
  int length = snprintf(text, size, "%zu machine%s", machines, machines == 1 ? "" : "s");
  if (stay > 0)
    snprintf(text + length, size - (size_t)length, " beside the %zu that stay%s", stay, stay == 1 ? "s" : "");
}

/* There must be as many boxes of each kind as the machines have, and a machine for each box of a mix. */
static pc_status count_boxes(const pc_lot *lot, const pc_scenario *scenario, const pc_choice *choice,
                             const pc_mix *mix, pc_faults *faults) {
  size_t machines = changeable(lot);
  if (mix->count > 1 && mix->count > machines && choice->machines == 0)
    return pc_faults_add(faults, PC_ERR_RANGE, "box", choice->box,
                         "\"%s\" names %zu boxes, but only %zu machine%s of the crew can be given one",
                         choice->box, mix->count, machines, machines == 1 ? "" : "s");
  for (size_t i = 0; i < scenario->box_count; i++) {
    const pc_box *box = &scenario->boxes[i];
    int needed = 0;
    char crew[80] = "this crew";
    for (size_t m = 0; m < lot->machine_count; m++)
      needed += pc_name_is(&lot->machines[m].unit.box.name, box->name.text);
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "boxes[%zu].count", i);
    if (choice->machines > 0)
      describe_crew(lot, crew, sizeof crew);
    if (needed > box->count)
      return pc_faults_add(faults, PC_ERR_LIMIT, key, NULL, "there %s %d of \"%s\", and %s would need %d",
                           box->count == 1 ? "is" : "are", box->count, box->name.text, crew, needed);
  }
  return PC_OK;
}

static pc_status choose_machines(pc_lot *lot, const pc_scenario *scenario, const pc_choice *choice,
                                 pc_faults *faults) {
  lot->machines = pc_alloc(PC_MACHINES_MAX, sizeof *lot->machines);
  if (!lot->machines)
    return pc_faults_add(faults, PC_ERR_MEMORY, "crew", NULL, "out of memory");
  bool given = scenario->crew_count > 0;
  const pc_crew_entry only = only_crew(scenario), *crew = given ? scenario->crew : &only;
  size_t entries[PC_MACHINES_MAX + 1];
  pc_mix mix = {.count = 0};
  pc_status status = choice->box ? read_mix(scenario, choice->box, &mix, faults) : PC_OK;
  if (status != PC_OK)
    return status;
  size_t count =
      pc_crew_line_up(crew, given ? scenario->crew_count : 1, choice->machines, entries, PC_MACHINES_MAX + 1);
  if (count < 1 || count > PC_MACHINES_MAX)
    return pc_faults_add(faults, PC_ERR_LIMIT, "crew", NULL, "a crew has 1 to %d machines",
                         (int)PC_MACHINES_MAX);
  for (size_t i = 0; i < count && status == PC_OK; i++) {
    status = add_of_entry(lot, scenario, &crew[entries[i]], choice, &mix, faults);
    if (status == PC_OK)
      lot->machines[i].entry = given ? entries[i] : PC_NO_ENTRY;
  }
  return status == PC_OK ? count_boxes(lot, scenario, choice, &mix, faults) : status;
}

/* The most that a box of this lane set holds which may work this area; 0: none may. */
static double most_of_set_kg(const pc_lot *lot, size_t set, size_t patch) {
  double most_kg = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++)
    if (lot->machines[m].lane_set == set && lot->machines[m].allowed[patch])
      most_kg = fmax(most_kg, lot->machines[m].unit.capacity_kg);
  return most_kg;
}

/* How much of an area is open to a lane set. */
static double reached_m2(const pc_lane_set *set, size_t patch) {
  pc_sum m2 = {0};
  for (size_t l = set->patch_lane[patch]; l < set->patch_lane[patch + 1]; l++)
    for (int i = 0; i < set->lanes[l].stations; i++)
      pc_sum_add(&m2, set->slot_m2[set->lanes[l].first + (size_t)i]);
  return pc_sum_value(&m2);
}

/* Where only small boxes get to, behind a gate or by their areas, they have to do it in no more loads either.
 */
static pc_status check_loads_of_area(const pc_lot *lot, size_t patch, pc_unit_system units,
                                     pc_faults *faults) {
  double kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3 + lot->fall_kgpm2;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    double most_kg = most_of_set_kg(lot, s, patch), others_m2 = 0.0;
    if (!(most_kg > 0.0))
      continue;
    for (size_t other = 0; other < lot->lane_set_count; other++)
      if (other != s && most_of_set_kg(lot, other, patch) > most_kg)
        others_m2 = fmax(others_m2, reached_m2(&lot->lane_sets[other], patch));
    double kg = (reached_m2(&lot->lane_sets[s], patch) - others_m2) * kgpm2;
    if (kg > PC_LOADS_MAX * most_kg)
      return pc_faults_add(
          faults, PC_ERR_LIMIT, "crew", NULL,
          "would have to move more than %d loads in area \"%s\": %s of snow, to which no box "
          "gets that holds more than %s; at most so many are simulated",
          (int)PC_LOADS_MAX, lot->areas[patch].name.text, pc_show(kg, PC_DIM_MASS, units, 3).text,
          pc_show(most_kg, PC_DIM_MASS, units, 3).text);
  }
  return PC_OK;
}

/* A run ends: there are no more loads than that in it, if boxes are as large as the largest. */
static pc_status check_loads(const pc_lot *lot, const pc_scenario *scenario, pc_faults *faults) {
  double most_kg = 0.0, kg = lot->start_kg, m2 = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++)
    most_kg = fmax(most_kg, lot->machines[m].unit.capacity_kg);
  for (size_t p = 0; p < lot->ground->patch_count; p++)
    m2 += lot->ground->patches[p].area_m2;
  for (size_t i = 0; i + 1 < lot->fall_count; i++)
    kg += lot->falls[i].kgpm2ps * (lot->falls[i + 1].after_s - lot->falls[i].after_s) * m2;
  if (most_kg > 0.0 && kg > PC_LOADS_MAX * most_kg)
    return pc_faults_add(
        faults, PC_ERR_LIMIT, "crew", NULL,
        "would have to move more than %d loads: %s of snow, with boxes that hold %s at most; at most so "
        "many are simulated",
        (int)PC_LOADS_MAX, pc_show(kg, PC_DIM_MASS, scenario->units, 3).text,
        pc_show(most_kg, PC_DIM_MASS, scenario->units, 3).text);
  pc_status status = PC_OK;
  for (size_t p = 0; p < lot->ground->patch_count && status == PC_OK; p++)
    status = check_loads_of_area(lot, p, scenario->units, faults);
  return status;
}

static void take_luck_out(pc_lot *lot) {
  lot->chance = (pc_chance){.replications = 1, .seed = lot->chance.seed};
  for (size_t m = 0; m < lot->machine_count; m++)
    lot->machines[m].unit.loader.breakdown_mean_s = lot->machines[m].unit.loader.repair_mean_s = NAN;
}

/* The depth chosen, as the scenario itself allows it; and that a number of machines is one. */
static pc_status choose_snow(pc_lot *lot, const pc_scenario *scenario, const pc_choice *choice,
                             pc_faults *faults) {
  if (choice->machines < 0)
    return pc_faults_add(faults, PC_ERR_RANGE, "crew", NULL,
                         "%d machines are outside what is allowed: 1 … %d, or 0: as the crew has them",
                         choice->machines, (int)PC_MACHINES_MAX);
  if (isnan(choice->depth_m))
    return PC_OK;
  lot->snow.depth_m = choice->depth_m;
  bool falls = pc_storm_depth_m(scenario->storm, scenario->storm_count) > 0.0;
  if (choice->depth_m < 0.0 || (choice->depth_m == 0.0 && !falls))
    return pc_faults_add(faults, PC_ERR_RANGE, "depth", NULL,
                         "a depth chosen must be more than 0 where none falls (pc_choice_default has none)");
  const pc_field *field = pc_fields_find(&pc_snow_fields, "depth");
  if (!field || choice->depth_m <= field->max)
    return PC_OK;
  char allowed[80];
  pc_field_print_range(field, faults->units, allowed, sizeof allowed);
  return pc_faults_add(faults, PC_ERR_RANGE, "depth", NULL, "is outside what is allowed: %s", allowed);
}

static pc_status build(pc_lot *lot, const pc_scenario *scenario, const pc_choice *choice, pc_faults *faults) {
  for (size_t a = 0; a < scenario->site.area_count; a++)
    if (scenario->site.areas[a].auto_heading) {
      char key[PC_KEY_MAX];
      snprintf(key, sizeof key, "site.areas[%zu].heading", a);
      return pc_faults_add(faults, PC_ERR_MISSING, key, scenario->site.areas[a].name.text,
                           "the heading of area \"%s\" is still to be chosen (pc_headings_choose)",
                           scenario->site.areas[a].name.text);
    }
  lot->scenario = scenario->name;
  lot->snow = scenario->snow;
  pc_status status = choose_snow(lot, scenario, choice, faults);
  if (status != PC_OK)
    return status;
  lot->fresh_density_kgpm3 = pc_snow_fresh_density(&lot->snow);
  lot->full_at = scenario->full_at;
  lot->work_minutes_per_hour = scenario->work_minutes_per_hour;
  lot->clock = scenario->clock;
  lot->chance = scenario->chance;
  lot->money = scenario->money;
  const char *policy = choice->policy ? choice->policy : scenario->policy.text;
  lot->policy = pc_policy_find(policy);
  if (!lot->policy)
    return pc_faults_add(faults, PC_ERR_NAME, "policy", policy,
                         "there is no policy \"%s\"; known are keep-pushing, straight-runs and building-out",
                         policy);
  status = choose_zones(lot, scenario, choice->layout, faults);
  if (status == PC_OK)
    status = choose_machines(lot, scenario, choice, faults);
  if (status == PC_OK)
    status = pc_lot_keep_night(lot, scenario, faults);
  if (status == PC_OK)
    status = pc_lot_lay_ground(lot, scenario, faults);
  if (status == PC_OK)
    status = pc_lot_find_ways(lot, scenario, faults);
  if (choice->without_luck)
    take_luck_out(lot);
  return status == PC_OK ? check_loads(lot, scenario, faults) : status;
}

pc_choice pc_choice_default(void) {
  return (pc_choice){.depth_m = NAN};
}

pc_status pc_lot_create(const pc_scenario *scenario, const pc_choice *choice, pc_lot **out,
                        pc_faults *faults) {
  *out = NULL;
  pc_lot *lot = pc_alloc(1, sizeof *lot);
  if (!lot)
    return pc_faults_add(faults, PC_ERR_MEMORY, NULL, NULL, "out of memory");
  const pc_choice as_written = pc_choice_default();
  size_t before = faults->count;
  faults->units = scenario->units;
  pc_status status = build(lot, scenario, choice ? choice : &as_written, faults);
  pc_scenario_place_faults(scenario, faults, before);
  if (status != PC_OK) {
    pc_lot_free(lot);
    return status;
  }
  *out = lot;
  return PC_OK;
}

static void free_lane_set(pc_lane_set *set) {
  free(set->lanes);
  free(set->thin_kg);
  free(set->from_building_m);
  free(set->outward);
  free(set->over);
  free(set->exit);
  free(set->drop_lane);
  free(set->drop_u_m);
  free(set->patch_lane);
  free(set->patch_strip);
  free(set->strip_lane);
  free(set->slot_m2);
  free(set->slot_kg);
  free(set->slot_cells_m2);
  free(set->slot_way_m);
  free(set->open_low);
  free(set->open_high);
  free(set->slot_ways);
  free(set->slot_slow);
  free(set->closed);
  if (set->owns_routes)
    pc_routes_free(set->routes);
}

void pc_lot_free(pc_lot *lot) {
  if (!lot)
    return;
  for (size_t s = 0; s < lot->lane_set_count; s++)
    free_lane_set(&lot->lane_sets[s]);
  for (size_t z = 0; z < lot->zone_count; z++)
    pc_zone_free(&lot->zones[z]);
  for (size_t m = 0; m < lot->machine_count; m++) {
    free(lot->machines[m].allowed);
    free(lot->machines[m].first);
  }
  pc_lot_free_night(lot);
  pc_lot_free_shares(lot);
  pc_slow_free(lot->slow);
  pc_ground_free(lot->ground);
  free(lot->lane_sets);
  free(lot->zones);
  free(lot->zone_list);
  free(lot->zone_capacity_kg);
  free(lot->zone_extent);
  free(lot->machines);
  free(lot->cell_kg);
  free(lot->small);
  free(lot);
}
