// SPDX-License-Identifier: GPL-3.0-or-later
/* pc_scenario_validate: every part by itself, then what only the whole can tell. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/scenario_private.h"

/* A zone may lie this far off the pavement before anyone is told. */
static const double zone_reach_m = 1.0;
/* A start on an edge may be this far outside by rounding. */
static const double edge_slack_m = 0.01;

#define ROLL(text, word, array, number)                                                                      \
  (pc_roll) {                                                                                                \
    .key = (text), .noun = (word), .first_name = (number) ? &(array)->name : NULL, .count = (number),        \
    .stride = sizeof *(array)                                                                                \
  }

static pc_rolls make_rolls(const pc_scenario *s) {
  return (pc_rolls){.boxes = ROLL("boxes", "box", s->boxes, s->box_count),
                    .loaders = ROLL("loaders", "loader", s->loaders, s->loader_count),
                    .zones = ROLL("zones", "zone", s->zones, s->zone_count),
                    .layouts = ROLL("layouts", "layout", s->layouts, s->layout_count),
                    .areas = ROLL("site.areas", "area", s->site.areas, s->site.area_count)};
}

static bool check_limit(const char *key, size_t count, size_t most, pc_faults *faults) {
  if (count <= most)
    return true;
  pc_faults_add(faults, PC_ERR_LIMIT, key, NULL, "has %zu entries; at most %zu are possible", count, most);
  return false;
}

static bool check_limits(const pc_scenario *s, pc_faults *faults) {
  bool fits = check_limit("site.areas", s->site.area_count, PC_PARTS_MAX, faults);
  fits &= check_limit("site.ground", s->site.ground_count, PC_PARTS_MAX, faults);
  fits &= check_limit("site.obstacles", s->site.obstacle_count, PC_THINGS_MAX, faults);
  fits &= check_limit("site.keep_clear", s->site.keep_clear_count, PC_THINGS_MAX, faults);
  fits &= check_limit("site.passages", s->site.passage_count, PC_PARTS_MAX, faults);
  fits &= check_limit("storm", s->storm_count, PC_STORM_MAX, faults);
  fits &= check_limit("season", s->season_count, PC_PARTS_MAX, faults);
  fits &= check_limit("boxes", s->box_count, PC_PARTS_MAX, faults);
  fits &= check_limit("loaders", s->loader_count, PC_PARTS_MAX, faults);
  fits &= check_limit("zones", s->zone_count, PC_PARTS_MAX, faults);
  fits &= check_limit("layouts", s->layout_count, PC_PARTS_MAX, faults);
  fits &= check_limit("crew", s->crew_count, PC_PARTS_MAX, faults);
  fits &= check_limit("compare.layouts", s->compare.layouts.count, PC_PARTS_MAX, faults);
  fits &= check_limit("compare.boxes", s->compare.boxes.count, PC_PARTS_MAX, faults);
  fits &= check_limit("compare.loaders", s->compare.loaders.count, PC_PARTS_MAX, faults);
  fits &= check_limit("compare.policies", s->compare.policies.count, PC_PARTS_MAX, faults);
  fits &= check_limit("compare.depths", s->compare.depths.count, PC_PARTS_MAX, faults);
  fits &= check_limit("compare.crews", s->compare.crews.count, PC_PARTS_MAX, faults);
  for (size_t i = 0; i < s->site.area_count && s->site.area_count <= PC_PARTS_MAX; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "site.areas[%zu].after", i);
    fits &= check_limit(key, s->site.areas[i].after.count, PC_PARTS_MAX, faults);
    snprintf(key, sizeof key, "site.areas[%zu].loaders", i);
    fits &= check_limit(key, s->site.areas[i].loaders.count, PC_PARTS_MAX, faults);
    snprintf(key, sizeof key, "site.areas[%zu].open_to", i);
    fits &= check_limit(key, s->site.areas[i].open_to.count, PC_PARTS_MAX, faults);
  }
  for (size_t i = 0; i < s->site.ground_count && s->site.ground_count <= PC_PARTS_MAX; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "site.ground[%zu].open_to", i);
    fits &= check_limit(key, s->site.ground[i].open_to.count, PC_PARTS_MAX, faults);
  }
  for (size_t i = 0; i < s->loader_count && s->loader_count <= PC_PARTS_MAX; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "loaders[%zu].boxes", i);
    fits &= check_limit(key, s->loaders[i].boxes.count, PC_PARTS_MAX, faults);
  }
  for (size_t i = 0; i < s->layout_count && s->layout_count <= PC_PARTS_MAX; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "layouts[%zu].zones", i);
    fits &= check_limit(key, s->layouts[i].zones.count, PC_PARTS_MAX, faults);
  }
  for (size_t i = 0; i < s->crew_count && s->crew_count <= PC_PARTS_MAX; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "crew[%zu].areas", i);
    fits &= check_limit(key, s->crew[i].areas.count, PC_PARTS_MAX, faults);
    snprintf(key, sizeof key, "crew[%zu].first", i);
    fits &= check_limit(key, s->crew[i].first.count, PC_PARTS_MAX, faults);
  }
  return fits;
}

/* One half of the rule about driving close to obstacles does nothing without the other. */
static void check_near(const pc_near *near, pc_faults *faults) {
  const pc_near defaults = pc_near_default();
  pc_fields_validate(&pc_near_fields, near, "near", faults);
  pc_fields_check_defaults(&pc_near_fields, near, &defaults, "near", faults);
  if (near->distance_m > 0 && isnan(near->speed_mps))
    pc_faults_caution(faults, "near.distance", "slows nobody down: near.speed is not given");
  if (near->speed_mps > 0 && near->distance_m == 0)
    pc_faults_caution(faults, "near.speed", "holds nowhere: near.distance is not given, or 0");
}

/* A storm falls onto whatever lies at the start, so also onto each depth of a season. */
static void check_season_storm(const pc_scenario *s, pc_faults *faults) {
  double falls_m = pc_storm_depth_m(s->storm, s->storm_count);
  if (s->season_count > 0 && falls_m > 0)
    pc_faults_caution(faults, "season",
                      "stands beside a storm: its depths lie at the start, and onto each of them all of the "
                      "storm falls, %s; leave `storm` out, or give depths without what falls",
                      pc_show(falls_m, PC_DIM_LENGTH, faults->units, 3).text);
}

static void check_season(const pc_scenario *s, pc_faults *faults) {
  for (size_t i = 0; i < s->season_count; i++) {
    char prefix[PC_KEY_MAX];
    snprintf(prefix, sizeof prefix, "season[%zu]", i);
    pc_fields_validate(&pc_season_fields, &s->season[i], prefix, faults);
    for (size_t k = 0; k < i; k++)
      if (s->season[k].depth_m == s->season[i].depth_m) {
        snprintf(prefix, sizeof prefix, "season[%zu].depth", i);
        pc_faults_add(faults, PC_ERR_RANGE, prefix, NULL,
                      "stands there already, in season[%zu]; add the storms up", k);
        break;
      }
  }
  check_season_storm(s, faults);
}

static void check_parts(const pc_scenario *s, pc_faults *faults) {
  char prefix[PC_KEY_MAX];
  const pc_scenario usual = pc_scenario_default();
  pc_fields_validate(&pc_scenario_fields, s, "", faults);
  pc_fields_check_defaults(&pc_scenario_fields, s, &usual, "", faults);
  pc_snow_validate(&s->snow, "snow", faults);
  pc_site_validate(&s->site, faults);
  if (s->box_count == 0)
    pc_faults_add(faults, PC_ERR_MISSING, "boxes", NULL, "at least one box is needed");
  for (size_t i = 0; i < s->box_count; i++) {
    snprintf(prefix, sizeof prefix, "boxes[%zu]", i);
    pc_box_validate(&s->boxes[i], prefix, faults);
  }
  if (s->loader_count == 0)
    pc_faults_add(faults, PC_ERR_MISSING, "loaders", NULL, "at least one loader is needed");
  for (size_t i = 0; i < s->loader_count; i++) {
    snprintf(prefix, sizeof prefix, "loaders[%zu]", i);
    pc_loader_validate(&s->loaders[i], prefix, faults);
  }
  for (size_t i = 0; i < s->zone_count; i++) {
    snprintf(prefix, sizeof prefix, "zones[%zu]", i);
    pc_zone_validate(&s->zones[i], prefix, faults);
  }
  check_near(&s->near, faults);
  const pc_siting siting = pc_siting_default();
  pc_fields_validate(&pc_siting_fields, &s->siting, "siting", faults);
  pc_fields_check_defaults(&pc_siting_fields, &s->siting, &siting, "siting", faults);
  pc_fields_validate(&pc_chance_fields, &s->chance, "chance", faults);
  pc_fields_check_defaults(&pc_chance_fields, &s->chance, &usual.chance, "chance", faults);
  pc_fields_validate(&pc_money_fields, &s->money, "money", faults);
  pc_fields_check_defaults(&pc_money_fields, &s->money, &usual.money, "money", faults);
  pc_fields_validate(&pc_wanted_fields, &s->compare, "compare", faults);
  check_season(s, faults);
}

static bool is_sound(const pc_ring *ring, bool *no_memory) {
  pc_faults found = {0};
  pc_ring_validate(ring, "", &found);
  bool sound = ring->count > 0 && found.count + found.dropped == 0;
  *no_memory |= found.dropped > 0 || pc_faults_status(&found) == PC_ERR_MEMORY;
  pc_faults_free(&found);
  return sound;
}

/* The outlines that further checks may use, worked out once: areas, ground, zones, in this order. An outline
 * with a fault of its own takes no part in them. */
typedef struct sound_rings {
  const pc_ring **rings;
  bool *sound;
  size_t pavements, count; /* areas and ground; with zones */
} sound_rings;

/* False if memory is short. */
static bool find_sound(const pc_scenario *s, sound_rings *out) {
  out->pavements = s->site.area_count + s->site.ground_count;
  out->count = out->pavements + s->zone_count;
  out->rings = pc_alloc(out->count, sizeof *out->rings);
  out->sound = pc_alloc(out->count, sizeof *out->sound);
  if (!out->rings || !out->sound)
    return false;
  size_t n = pc_site_pavement(&s->site, out->rings);
  for (size_t i = 0; i < s->zone_count; i++)
    out->rings[n++] = &s->zones[i].outline;
  bool no_memory = false;
  for (size_t i = 0; i < n; i++)
    out->sound[i] = is_sound(out->rings[i], &no_memory);
  return !no_memory;
}

/* Distance from a zone to the nearest area or other pavement; INFINITY if there is none. */
static pc_status zone_distance(const sound_rings *all, const pc_zone *zone, double *distance_m) {
  double nearest = INFINITY;
  for (size_t i = 0; i < all->pavements; i++) {
    double distance;
    pc_status status = PC_OK;
    if (!all->sound[i])
      continue;
    if (zone->outline.count == 0)
      distance = pc_ring_distance_m(all->rings[i], zone->at, NULL);
    else
      status = pc_rings_distance(all->rings[i], &zone->outline, &distance);
    if (status != PC_OK)
      return status;
    nearest = fmin(nearest, distance);
  }
  *distance_m = nearest;
  return PC_OK;
}

static void check_zone_places(const pc_scenario *s, const sound_rings *all, pc_faults *faults) {
  for (size_t i = 0; i < s->zone_count; i++) {
    const pc_zone *zone = &s->zones[i];
    bool usable = zone->outline.count > 0 ? all->sound[all->pavements + i]
                                          : isfinite(zone->at.x_m) && isfinite(zone->at.y_m);
    double distance = 0;
    pc_status status = usable ? zone_distance(all, zone, &distance) : PC_OK;
    if (status == PC_OK && (!isfinite(distance) || distance <= zone_reach_m))
      continue;
    char key[PC_KEY_MAX], far[40];
    snprintf(key, sizeof key, "zones[%zu].%s", i, zone->outline.count > 0 ? "outline" : "at");
    if (status != PC_OK) {
      pc_faults_add(faults, status, key, NULL,
                    "how far the zone lies from the areas could not be worked out");
      continue;
    }
    pc_units_print(far, sizeof far, distance, PC_DIM_LENGTH, faults->units, 3);
    pc_faults_caution(faults, key, "the zone lies %s away from every area and ground outline", far);
  }
}

/* Zones of different layouts may overlap, they are alternatives; zones used together may not. */
static void check_zone_overlap(const pc_scenario *s, size_t i, size_t j, pc_faults *faults) {
  char key[PC_KEY_MAX], size[40];
  const pc_zone *a = &s->zones[i], *b = &s->zones[j];
  snprintf(key, sizeof key, "zones[%zu].outline", j);
  double shared = 0;
  pc_status status = pc_rings_overlap(&a->outline, &b->outline, &shared);
  if (status == PC_OK && !(shared > 0))
    return;
  size_t layout = 0;
  while (layout < s->layout_count && !(pc_names_have(&s->layouts[layout].zones, a->name.text) &&
                                       pc_names_have(&s->layouts[layout].zones, b->name.text)))
    layout++;
  if (s->layout_count > 0 && layout == s->layout_count)
    return;
  pc_units_print(size, sizeof size, shared, PC_DIM_AREA, faults->units, 3);
  if (status != PC_OK)
    pc_faults_add(faults, status, key, NULL, "the overlap with zone \"%s\" could not be worked out",
                  a->name.text);
  else
    pc_faults_add(faults, PC_ERR_GEOMETRY, key, NULL,
                  "zones \"%s\" and \"%s\" overlap by %s, and are used together%s%s%s", a->name.text,
                  b->name.text, size, s->layout_count ? " in layout \"" : "",
                  s->layout_count ? s->layouts[layout].name.text : "", s->layout_count ? "\"" : "");
}

static void check_zone_overlaps(const pc_scenario *s, const sound_rings *all, pc_faults *faults) {
  const bool *sound = all->sound + all->pavements;
  for (size_t j = 1; j < s->zone_count; j++)
    for (size_t i = 0; i < j; i++)
      if (sound[i] && sound[j])
        check_zone_overlap(s, i, j, faults);
}

/* Snow can't be piled into a building. */
static void check_zone_building(const pc_zone *zone, size_t number, const pc_obstacle *building,
                                pc_faults *faults) {
  double shared = 0;
  if (pc_rings_overlap(&zone->outline, &building->outline, &shared) != PC_OK || !(shared > 0))
    return;
  char key[PC_KEY_MAX], size[40];
  snprintf(key, sizeof key, "zones[%zu].outline", number);
  pc_units_print(size, sizeof size, shared, PC_DIM_AREA, faults->units, 3);
  pc_faults_add(faults, PC_ERR_GEOMETRY, key, NULL, "zone \"%s\" lies on building \"%s\", by %s",
                zone->name.text, building->name.text, size);
}

static void check_zone_buildings(const pc_scenario *s, const sound_rings *all, pc_faults *faults) {
  const bool *sound = all->sound + all->pavements;
  const pc_obstacle *things = s->site.obstacles;
  bool *stands = pc_alloc(s->site.obstacle_count, sizeof *stands); /* a building with a sound outline */
  bool no_memory = !stands;
  for (size_t b = 0; stands && b < s->site.obstacle_count; b++)
    stands[b] = things[b].kind == PC_OBSTACLE_BUILDING && is_sound(&things[b].outline, &no_memory);
  for (size_t i = 0; stands && i < s->zone_count; i++)
    for (size_t b = 0; b < s->site.obstacle_count && sound[i]; b++)
      if (stands[b])
        check_zone_building(&s->zones[i], i, &things[b], faults);
  free(stands);
  if (no_memory)
    pc_faults_add(faults, PC_ERR_MEMORY, "", NULL, "there is not enough memory to check the scenario");
}

static void check_layouts(const pc_scenario *s, const pc_rolls *names, pc_faults *faults) {
  if (s->zone_count == 0 && s->layout_count > 0)
    pc_faults_add(faults, PC_ERR_MISSING, "zones", NULL,
                  "there are none, but layouts name some: write them, or take the layouts out");
  for (size_t i = 0; i < s->layout_count; i++) {
    char prefix[PC_KEY_MAX], key[PC_KEY_MAX];
    snprintf(prefix, sizeof prefix, "layouts[%zu]", i);
    snprintf(key, sizeof key, "layouts[%zu].zones", i);
    pc_fields_validate(&pc_layout_fields, &s->layouts[i], prefix, faults);
    if (s->layouts[i].zones.count == 0)
      pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "a layout needs at least one zone");
    pc_roll_refer_list(&names->zones, key, &s->layouts[i].zones, PC_LIST_NAMES, faults);
  }
}

static bool works_area(const pc_crew_entry *entry, const pc_area *area) {
  return entry->areas.count == 0 || pc_names_have(&entry->areas, area->name.text);
}

/* How wide an area is across its lanes. */
static double across_m(const pc_area *area) {
  double sine = sin(area->heading_rad), cosine = cos(area->heading_rad);
  double low = INFINITY, high = -INFINITY;
  for (size_t i = 0; i < area->outline.count; i++) {
    double v = area->outline.points[i].y_m * cosine - area->outline.points[i].x_m * sine;
    low = fmin(low, v);
    high = fmax(high, v);
  }
  return high - low;
}

static void check_width(const pc_scenario *s, const sound_rings *all, const pc_crew_entry *entry,
                        const pc_box *box, const char *key, pc_faults *faults) {
  double widest = -INFINITY;
  for (size_t i = 0; i < s->site.area_count; i++) {
    if (!works_area(entry, &s->site.areas[i]))
      continue;
    if (!all->sound[i] || !isfinite(s->site.areas[i].heading_rad) || s->site.areas[i].auto_heading)
      return;
    widest = fmax(widest, across_m(&s->site.areas[i]));
  }
  if (!isfinite(widest) || !(box->width_m > widest))
    return;
  char wide[40], room[40];
  pc_units_print(wide, sizeof wide, box->width_m, PC_DIM_LENGTH, faults->units, 3);
  pc_units_print(room, sizeof room, widest, PC_DIM_LENGTH, faults->units, 3);
  pc_faults_add(faults, PC_ERR_GEOMETRY, key, box->name.text,
                "box \"%s\" is %s wide, but no area it works is wider than %s across its lanes",
                box->name.text, wide, room);
}

/* True if the point is on the pavement: areas, ground, zones. Unsound outlines have their own fault, and then
 * nothing can be said. */
static bool is_on_pavement(const sound_rings *all, pc_point point) {
  for (size_t i = 0; i < all->count; i++) {
    bool point_zone = i >= all->pavements && all->rings[i]->count == 0;
    if (!point_zone && (!all->sound[i] || pc_ring_distance_m(all->rings[i], point, NULL) <= edge_slack_m))
      return true;
  }
  return false;
}

/* A machine that stands in something could not leave. */
static void check_free(const pc_scenario *s, pc_point place, const char *key, const char *what,
                       pc_faults *faults) {
  for (size_t i = 0; i < s->site.obstacle_count; i++) {
    const pc_obstacle *thing = &s->site.obstacles[i];
    bool inside = thing->outline.count > 2
                      ? pc_ring_contains(&thing->outline, place)
                      : hypot(place.x_m - thing->at.x_m, place.y_m - thing->at.y_m) < thing->radius_m;
    if (inside)
      pc_faults_add(faults, PC_ERR_GEOMETRY, key, NULL, "the %s lies in %s \"%s\"", what,
                    pc_obstacle_kind_names[thing->kind], thing->name.text);
  }
}

/* A place where a machine is to stand. */
static void check_place(const pc_scenario *s, const sound_rings *all, pc_point place, const char *key,
                        const char *what, pc_faults *faults) {
  if (!isfinite(place.x_m) || !isfinite(place.y_m))
    pc_faults_add(faults, PC_ERR_RANGE, key, NULL, "is not a place: both coordinates must be numbers");
  else if (s->site.area_count > 0 && !is_on_pavement(all, place))
    pc_faults_add(faults, PC_ERR_GEOMETRY, key, NULL,
                  "the %s lies outside the pavement: it must be in an area, a ground outline or a zone",
                  what);
  else
    check_free(s, place, key, what, faults);
}

static const pc_area *find_area(const pc_site *site, const char *name) {
  size_t a = pc_name_find(site->areas, site->area_count, sizeof *site->areas, name);
  return a < site->area_count ? &site->areas[a] : NULL;
}

/* Areas that come first, but that these machines do not work, or that nothing can come first for. */
static void check_first(const pc_scenario *s, size_t index, pc_faults *faults) {
  const pc_crew_entry *entry = &s->crew[index];
  const pc_box *box = pc_scenario_box(s, entry->box.text);
  bool blade = box && box->blade != PC_BLADE_NONE;
  for (size_t i = 0; i < entry->first.count; i++) {
    char key[PC_KEY_MAX];
    const char *name = entry->first.items[i].text;
    const pc_area *area = find_area(&s->site, name);
    snprintf(key, sizeof key, "crew[%zu].first[%zu]", index, i);
    if (area && !works_area(entry, area))
      pc_faults_add(faults, PC_ERR_NAME, key, name, "\"%s\" is not among the areas that it works", name);
    else if (area && !pc_area_takes(area, entry->loader.text))
      pc_faults_add(faults, PC_ERR_NAME, key, name, "%s may not work in \"%s\" (%s of that area)",
                    entry->loader.text, name, area->loaders.count > 0 ? "loaders" : "open_to");
    else if (area && (blade || area->into.text[0]))
      pc_faults_caution(
          faults, key,
          "has no effect: who clears with a blade, or carves snow out into another area, keeps to "
          "an order of its own");
  }
}

static void check_crew_entry(const pc_scenario *s, const pc_rolls *names, const sound_rings *all,
                             size_t index, pc_faults *faults) {
  const pc_crew_entry *entry = &s->crew[index];
  char prefix[PC_KEY_MAX], key[PC_KEY_MAX];
  snprintf(prefix, sizeof prefix, "crew[%zu]", index);
  pc_fields_validate(&pc_crew_fields, entry, prefix, faults);
  snprintf(key, sizeof key, "crew[%zu].loader", index);
  size_t loader = pc_roll_refer(&names->loaders, key, entry->loader.text, faults);
  snprintf(key, sizeof key, "crew[%zu].areas", index);
  pc_roll_refer_list(&names->areas, key, &entry->areas, PC_LIST_NAMES, faults);
  snprintf(key, sizeof key, "crew[%zu].first", index);
  pc_roll_refer_list(&names->areas, key, &entry->first, PC_LIST_NAMES, faults);
  check_first(s, index, faults);
  snprintf(key, sizeof key, "crew[%zu].box", index);
  size_t box = pc_roll_refer(&names->boxes, key, entry->box.text, faults);
  if (loader < s->loader_count && box < s->box_count)
    pc_scenario_check_coupler(s, loader, entry->box.text, key, faults);
  if (box < s->box_count)
    check_width(s, all, entry, &s->boxes[box], key, faults);
  snprintf(key, sizeof key, "crew[%zu].start", index);
  if (entry->has_start)
    check_place(s, all, entry->start, key, "start", faults);
}

/* Areas that no machine may work. */
static void check_areas_worked(const pc_scenario *s, pc_faults *faults) {
  for (size_t a = 0; a < s->site.area_count && s->crew_count > 0; a++) {
    bool worked = false;
    for (size_t c = 0; c < s->crew_count; c++) {
      worked |= works_area(&s->crew[c], &s->site.areas[a]);
    }
    if (!worked)
      pc_faults_caution(faults, "crew", "no machine may work area \"%s\": its snow will be left",
                        s->site.areas[a].name.text);
  }
}

static void check_crew(const pc_scenario *s, const pc_rolls *names, const sound_rings *all,
                       pc_faults *faults) {
  long machines = 0;
  for (size_t i = 0; i < s->crew_count; i++) {
    check_crew_entry(s, names, all, i, faults);
    if (s->crew[i].count >= 1 && s->crew[i].count <= PC_CREW_MAX)
      machines += s->crew[i].count;
  }
  if (machines > PC_CREW_MAX)
    pc_faults_add(faults, PC_ERR_LIMIT, "crew", NULL, "has %ld machines in all; at most %d are possible",
                  machines, (int)PC_CREW_MAX);
  if (s->crew_count == 0 && s->box_count == 1 && s->loader_count == 1) {
    pc_crew_entry only = pc_crew_entry_default();
    check_width(s, all, &only, &s->boxes[0], "boxes[0].width", faults);
  } else if (s->crew_count == 0 && s->box_count > 0 && s->loader_count > 0) {
    pc_faults_add(faults, PC_ERR_MISSING, "crew", NULL,
                  "is required where there are several boxes or loaders: which loader works with which box");
  }
  check_areas_worked(s, faults);
}

static void check_depth(double depth_m, const pc_scenario *s, const char *key, pc_faults *faults) {
  pc_shown shown = pc_show_depth(depth_m, faults->units);
  char limit[40];
  pc_units_print(limit, sizeof limit, s->snow.done_below_m, PC_DIM_LENGTH, faults->units, 3);
  bool falls = false; /* then it may be bare at the start */
  for (size_t i = 0; i < s->storm_count; i++)
    falls |= s->storm[i].rate_mps > 0;
  if (!falls && depth_m >= 0 && s->snow.done_below_m >= depth_m)
    pc_faults_add(faults, PC_ERR_RANGE, key, shown.text,
                  "a depth of %s needs no work: snow below %s counts as done (snow.done_below)", shown.text,
                  limit);
}

static void check_depths(const pc_scenario *s, pc_faults *faults) {
  const pc_field *field = pc_fields_find(&pc_snow_fields, "depth");
  const pc_depths *depths = &s->compare.depths;
  for (size_t i = 0; i < depths->count; i++) {
    char prefix[PC_KEY_MAX];
    snprintf(prefix, sizeof prefix, "compare.depths[%zu]", i);
    double depth = depths->items_m[i];
    if (field && !(depth >= field->min && depth <= field->max)) {
      char allowed[80];
      pc_field_print_range(field, faults->units, allowed, sizeof allowed);
      pc_faults_add(faults, PC_ERR_RANGE, prefix, NULL, "is outside what is allowed: %s", allowed);
    } else {
      check_depth(depth, s, prefix, faults);
    }
  }
  for (size_t i = 0; i < s->season_count; i++) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "season[%zu].depth", i);
    check_depth(s->season[i].depth_m, s, key, faults);
  }
}

static void check_compare(const pc_scenario *s, const pc_rolls *names, pc_faults *faults) {
  pc_roll all_zones = {.key = "layouts", .noun = "layout", .count = 1, .stride = sizeof(pc_name)};
  const pc_name usual = pc_name_of("all zones");
  all_zones.first_name = &usual;
  pc_roll_refer_list(s->layout_count ? &names->layouts : &all_zones, "compare.layouts", &s->compare.layouts,
                     PC_LIST_ALL, faults);
  pc_roll_refer_list(NULL, "compare.boxes", &s->compare.boxes, PC_LIST_ALL, faults);
  pc_scenario_check_mixes(s, &names->boxes, faults);
  pc_roll_refer_list(&names->loaders, "compare.loaders", &s->compare.loaders, PC_LIST_ALL_OWN, faults);
  pc_roll_refer_list(NULL, "compare.policies", &s->compare.policies, PC_LIST_ALL, faults);
  check_depths(s, faults);
}

/* A box that spills as it fills comes near to full, but never quite there. */
static void check_full_at(const pc_scenario *scenario, pc_faults *faults) {
  for (size_t i = 0; i < scenario->box_count; i++) {
    if (scenario->full_at > 0.99 && scenario->boxes[i].spill_from < 0.99) {
      pc_faults_caution(faults, "full_at",
                        "box \"%s\" spills from %.0f %% full, so it hardly ever gets to %.0f %%: most of the "
                        "snow will end in windrows; 95 %% is usual",
                        scenario->boxes[i].name.text, 100.0 * scenario->boxes[i].spill_from,
                        100.0 * scenario->full_at);
      return;
    }
  }
}

void pc_scenario_validate(const pc_scenario *scenario, pc_faults *faults) {
  faults->units = scenario->units;
  /* Beyond the limits the checks by pairs would take too long to be useful. */
  if (!check_limits(scenario, faults))
    return;
  pc_rolls names = make_rolls(scenario);
  check_parts(scenario, faults);
  pc_roll_check(&names.boxes, faults);
  pc_roll_check(&names.loaders, faults);
  pc_roll_check(&names.zones, faults);
  pc_roll_check(&names.layouts, faults);
  check_depth(scenario->snow.depth_m, scenario, "snow.depth", faults);
  check_full_at(scenario, faults);
  pc_scenario_check_couplers(scenario, &names, faults);
  check_layouts(scenario, &names, faults);
  sound_rings all;
  if (find_sound(scenario, &all)) {
    check_zone_places(scenario, &all, faults);
    check_zone_overlaps(scenario, &all, faults);
    check_zone_buildings(scenario, &all, faults);
    check_crew(scenario, &names, &all, faults);
    if (scenario->has_fuel_point)
      check_place(scenario, &all, scenario->fuel_point, "fuel_point", "fuel point", faults);
    pc_scenario_check_night(scenario, &names, all.sound, faults);
    pc_scenario_check_open(scenario, &names, all.sound, faults);
  } else {
    pc_faults_add(faults, PC_ERR_MEMORY, "", NULL, "there is not enough memory to check the scenario");
  }
  free(all.rings);
  free(all.sound);
  check_compare(scenario, &names, faults);
  pc_scenario_check_place(scenario, faults);
  if (pc_faults_fatal(faults) == 0) /* what is wrong comes first */
    pc_scenario_check_unusual(scenario, faults);
}
