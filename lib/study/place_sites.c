// SPDX-License-Identifier: GPL-3.0-or-later
/* The places to choose among: those that are given, and those along the outlines. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/place_private.h"

enum { WANTED_SITES = 60, STEPS_TRIED = 24 };

/* Two rectangles that lie this close to one another are one. */
static const double same_m = 2.0;
/* Generated places keep this far from where machines start, and the width of the widest box more. */
static const double start_room_m = 3.0;
/* What shares less than this only touches. */
static const double touch_m2 = 0.01;

static pc_status add_site(pc_placement *placement, size_t *room, const pc_zone *zone, bool generated) {
  void *items = placement->sites;
  if (pc_reserve(&items, room, placement->site_count + 1, sizeof *placement->sites) != 0)
    return PC_ERR_MEMORY;
  placement->sites = items;
  pc_place_site *site = &placement->sites[placement->site_count];
  *site = (pc_place_site){.zone = *zone, .generated = generated};
  site->zone.outline = (pc_ring){0};
  if (zone->outline.count > 0) {
    pc_status status = pc_ring_copy(&site->zone.outline, zone->outline.points, zone->outline.count);
    if (status != PC_OK)
      return status;
  }
  placement->site_count++;
  return PC_OK;
}

/* ---- whether a place is left out ---- */

typedef enum pc_place_verdict { TAKEN, MUST_NOT, SHOULD_NOT, OUT_OF_PLACE } pc_place_verdict;

static pc_status judge(const pc_scenario *s, const pc_zone *zone, bool generated, pc_place_verdict *out) {
  pc_siting_list found = {0};
  pc_status status = pc_siting_check(&s->site, &zone, 1, &s->siting, NAN, NULL, &found);
  *out = TAKEN;
  for (size_t i = 0; i < found.count && status == PC_OK; i++) {
    const pc_siting_finding *finding = &found.items[i];
    if (finding->severity == PC_SITING_MUST_NOT)
      *out = MUST_NOT;
    else if (generated && (finding->rule == PC_SITING_PAVEMENT || finding->rule == PC_SITING_OBSTACLE))
      *out = *out == TAKEN ? OUT_OF_PLACE : *out;
    else if (finding->severity == PC_SITING_SHOULD_NOT && !s->place.allow && *out != MUST_NOT)
      *out = SHOULD_NOT;
  }
  pc_siting_free(&found);
  return status;
}

pc_status pc_place_taken(const pc_scenario *s, const pc_ring *ring, double *taken_m2) {
  pc_status status = PC_OK;
  *taken_m2 = 0.0;
  for (size_t i = 0; i < s->site.area_count && ring->count > 0 && status == PC_OK; i++) {
    double shared = 0.0;
    status = pc_rings_shared_area(&s->site.areas[i].outline, ring, &shared);
    *taken_m2 += shared;
  }
  return status;
}

/* Where a machine stands at first, as pc_crew_entry says; entry NULL: the only machine there is. */
static pc_point start_of(const pc_scenario *s, const pc_crew_entry *entry) {
  if (entry && entry->has_start)
    return entry->start;
  for (size_t a = 0; a < s->site.area_count; a++)
    if (!entry || entry->areas.count == 0 || pc_names_have(&entry->areas, s->site.areas[a].name.text))
      return s->site.areas[a].outline.points[0];
  return (pc_point){INFINITY, INFINITY};
}

/* A generated place must not lie where machines start or refuel, nor in a narrow passage. */
static pc_status is_in_the_way(const pc_scenario *s, const pc_ring *ring, bool *in_the_way) {
  double room_m = start_room_m;
  for (size_t i = 0; i < s->box_count; i++)
    room_m = fmax(room_m, start_room_m + s->boxes[i].width_m);
  *in_the_way = s->has_fuel_point && pc_ring_distance_m(ring, s->fuel_point, NULL) < room_m;
  for (size_t i = 0; i < s->crew_count; i++)
    *in_the_way |= pc_ring_distance_m(ring, start_of(s, &s->crew[i]), NULL) < room_m;
  if (s->crew_count == 0)
    *in_the_way |= pc_ring_distance_m(ring, start_of(s, NULL), NULL) < room_m;
  double taken_m2 = 0.0;
  pc_status taken = s->place.off_areas ? pc_place_taken(s, ring, &taken_m2) : PC_OK;
  if (taken != PC_OK)
    return taken;
  *in_the_way |= taken_m2 > touch_m2;
  for (size_t i = 0; i < s->site.passage_count && !*in_the_way; i++) {
    const pc_passage *passage = &s->site.passages[i];
    double distance = INFINITY;
    if (passage->outline.count == 0) {
      distance = pc_ring_distance_m(ring, passage->at, NULL) - passage->radius_m;
    } else {
      pc_status status = pc_rings_distance(ring, &passage->outline, &distance);
      if (status != PC_OK)
        return status;
    }
    *in_the_way = distance <= 0.0;
  }
  return PC_OK;
}

static void count_left_out(pc_placement *placement, pc_place_verdict verdict) {
  placement->must_not += verdict == MUST_NOT;
  placement->should_not += verdict == SHOULD_NOT;
  placement->out_of_place += verdict == OUT_OF_PLACE;
}

/* ---- given places ---- */

static pc_status take_given(const pc_scenario *s, const pc_zone *zone, pc_placement *placement, size_t *room,
                            pc_faults *faults) {
  pc_place_verdict verdict = TAKEN;
  bool kept = pc_names_have(&s->place.keep, zone->name.text);
  const pc_names *among = &s->place.among;
  bool wanted =
      kept || among->count == 0 || pc_names_have(among, "all") || pc_names_have(among, zone->name.text);
  if (!wanted)
    return PC_OK;
  placement->given++;
  pc_status status = judge(s, zone, false, &verdict);
  if (status != PC_OK)
    return pc_faults_add(faults, status, "zones", zone->name.text,
                         "where \"%s\" lies could not be checked: %s", zone->name.text,
                         pc_status_describe(status));
  if (kept && verdict == MUST_NOT)
    return pc_faults_add(faults, PC_ERR_RANGE, "place.keep", zone->name.text,
                         "\"%s\" must not lie where it lies (see `check`), so it is not kept",
                         zone->name.text);
  if (verdict != TAKEN && !kept) {
    count_left_out(placement, verdict);
    return PC_OK;
  }
  status = add_site(placement, room, zone, false);
  if (status == PC_OK)
    placement->sites[placement->site_count - 1].kept = kept;
  return status;
}

/* A candidate of the same name as a zone is that zone: it has become one. */
static pc_status take_all_given(const pc_scenario *s, pc_placement *placement, size_t *room,
                                pc_faults *faults) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < s->zone_count && status == PC_OK; i++)
    status = take_given(s, &s->zones[i], placement, room, faults);
  for (size_t i = 0; i < s->place.candidate_count && status == PC_OK; i++)
    if (!pc_scenario_zone(s, s->place.candidates[i].name.text))
      status = take_given(s, &s->place.candidates[i], placement, room, faults);
  return status;
}

/* ---- generated places ---- */

typedef struct generator {
  const pc_scenario *scenario;
  pc_placement *placement; /* gets the places, without names yet */
  size_t room;
  double step_m;
} generator;

static bool is_known(const pc_placement *placement, pc_point middle, double direction_rad, double length_m) {
  for (size_t i = 0; i < placement->site_count; i++) {
    const pc_ring *ring = &placement->sites[i].zone.outline;
    if (!placement->sites[i].generated)
      continue;
    pc_point other = pc_ring_centroid(ring);
    double angle =
        atan2(ring->points[1].y_m - ring->points[0].y_m, ring->points[1].x_m - ring->points[0].x_m);
    if (hypot(other.x_m - middle.x_m, other.y_m - middle.y_m) < same_m &&
        length_m * fabs(sin(angle - direction_rad)) < 2.0 * same_m)
      return true;
  }
  return false;
}

/* A rectangle whose long side lies on an edge from `from` on, to the left of the direction for side 1, to the
 * right for side −1. */
static pc_status try_rectangle(generator *g, pc_point from, double direction_rad, double side) {
  const pc_placing *place = &g->scenario->place;
  double ux = cos(direction_rad), uy = sin(direction_rad), vx = -uy * side, vy = ux * side;
  double l = place->length_m, w = place->width_m;
  pc_point corners[4] = {from,
                         {from.x_m + l * ux, from.y_m + l * uy},
                         {from.x_m + l * ux + w * vx, from.y_m + l * uy + w * vy},
                         {from.x_m + w * vx, from.y_m + w * vy}};
  pc_zone zone = pc_zone_default();
  zone.outline = (pc_ring){corners, 4};
  zone.height_m = place->height_m;
  if (is_known(g->placement, pc_ring_centroid(&zone.outline), direction_rad, l))
    return PC_OK;
  bool in_the_way = false;
  pc_place_verdict verdict = OUT_OF_PLACE;
  pc_status status = is_in_the_way(g->scenario, &zone.outline, &in_the_way);
  if (status == PC_OK && !in_the_way)
    status = judge(g->scenario, &zone, true, &verdict);
  if (status != PC_OK)
    return status;
  g->placement->generated++;
  count_left_out(g->placement, verdict);
  return verdict == TAKEN ? add_site(g->placement, &g->room, &zone, true) : PC_OK;
}

static pc_status along_edge(generator *g, pc_point a, pc_point b) {
  double length = hypot(b.x_m - a.x_m, b.y_m - a.y_m), whole = g->scenario->place.length_m;
  double direction = atan2(b.y_m - a.y_m, b.x_m - a.x_m), spare = length - whole;
  if (length < 0.5 * whole)
    return PC_OK;
  int steps = spare > 0.0 ? (int)fmin(floor(spare / g->step_m), 100000.0) : 0;
  double first = 0.5 * (spare - steps * g->step_m); /* as far from one end as from the other */
  pc_status status = PC_OK;
  for (int i = 0; i <= steps && status == PC_OK; i++) {
    double along = first + i * g->step_m;
    pc_point from = {a.x_m + along * cos(direction), a.y_m + along * sin(direction)};
    for (int side = -1; side <= 1 && status == PC_OK; side += 2)
      status = try_rectangle(g, from, direction, side);
    if (g->placement->site_count > 4 * PC_PLACE_SITES_MAX)
      break; /* too many in any case */
  }
  return status;
}

static pc_status along_outline(generator *g, const pc_ring *ring) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < ring->count && status == PC_OK; i++)
    status = along_edge(g, ring->points[i], ring->points[(i + 1) % ring->count]);
  return status;
}

static void forget_sites(pc_placement *placement, size_t from) {
  for (size_t i = from; i < placement->site_count; i++)
    pc_zone_free(&placement->sites[i].zone);
  placement->site_count = from;
}

static pc_status generate(generator *g) {
  const pc_site *site = &g->scenario->site;
  pc_status status = PC_OK;
  for (size_t i = 0; i < site->ground_count && status == PC_OK; i++)
    status = along_outline(g, &site->ground[i].outline);
  for (size_t i = 0; i < site->area_count && status == PC_OK; i++)
    status = along_outline(g, &site->areas[i].outline);
  return status;
}

static void name_sites(const pc_scenario *s, pc_placement *placement, size_t from) {
  int number = 1;
  for (size_t i = from; i < placement->site_count; i++) {
    pc_name *name = &placement->sites[i].zone.name;
    do
      snprintf(name->text, sizeof name->text, "place %d", number++);
    while (pc_scenario_place(s, name->text));
  }
}

/* Without a step of the user's own, the shortest one that leaves some sixty places. */
static pc_status take_generated(const pc_scenario *s, pc_placement *placement, size_t *room) {
  const pc_placement before = *placement;
  double step_m = isnan(s->place.step_m) ? fmax(2.0, 0.25 * s->place.length_m) : s->place.step_m;
  for (int tries = 0; tries < STEPS_TRIED; tries++) {
    forget_sites(placement, before.site_count);
    placement->must_not = before.must_not;
    placement->should_not = before.should_not;
    placement->out_of_place = before.out_of_place;
    placement->generated = 0;
    generator g = {s, placement, *room, step_m};
    pc_status status = generate(&g);
    *room = g.room;
    if (status != PC_OK)
      return status;
    if (!isnan(s->place.step_m) || placement->site_count - before.site_count <= WANTED_SITES)
      break;
    step_m *= 1.25;
  }
  name_sites(s, placement, before.site_count);
  return PC_OK;
}

pc_status pc_place_gather(const pc_scenario *s, pc_placement *placement, pc_faults *faults) {
  size_t room = 0;
  const pc_names *among = &s->place.among;
  pc_status status = take_all_given(s, placement, &room, faults);
  if (status != PC_OK)
    return status;
  if (among->count == 0 || pc_names_have(among, "all") || pc_names_have(among, "generated")) {
    status = take_generated(s, placement, &room);
    if (status != PC_OK)
      return pc_faults_add(faults, status, "place", NULL, "places could not be generated: %s",
                           pc_status_describe(status));
  }
  if (placement->site_count > PC_PLACE_SITES_MAX)
    return pc_faults_add(faults, PC_ERR_LIMIT, "place.step", NULL,
                         "there are %zu places to choose among; at most %d are possible: take a longer step",
                         placement->site_count, (int)PC_PLACE_SITES_MAX);
  bool one = placement->site_count == 1;
  if (placement->site_count < (size_t)s->place.zones)
    return pc_faults_add(
        faults, PC_ERR_RANGE, "place.zones", NULL,
        "%d zones are to be chosen, but there %s only %zu place%s: %zu must not be used, %zu should not "
        "(see --allow), %zu are off the pavement, on something, or where machines start; smaller ones than "
        "%s "
        "x %s (--size) may find room",
        s->place.zones, one ? "is" : "are", placement->site_count, one ? "" : "s", placement->must_not,
        placement->should_not, placement->out_of_place,
        pc_show(s->place.length_m, PC_DIM_LENGTH, faults->units, 3).text,
        pc_show(s->place.width_m, PC_DIM_LENGTH, faults->units, 3).text);
  return PC_OK;
}
