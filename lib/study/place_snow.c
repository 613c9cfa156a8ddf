// SPDX-License-Identifier: GPL-3.0-or-later
/* The snow of the whole lot in blocks, no zone taken out of it, and the ways from each block to each place.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "base/sum.h"
#include "site/blocked.h"
#include "site/routes.h"
#include "study/place_private.h"

enum { BLOCKS = 2500 };
static const double least_block_m = 4.0, strip_wanted_m = 0.5, station_wanted_m = 1.0;
/* Pavement whose hull is larger by less than this share has straight ways. */
static const double bay_share = 0.01;

typedef struct survey {
  const pc_scenario *scenario;
  const pc_placement *placement;
  const pc_lot *lot;
  const pc_zone **zones;
  pc_ground *ground;
  pc_point *middle; /* per block */
  double *slack_m;  /* mean distance of the snow from it, at most */
  double *reach_m;  /* greatest distance of it */
  int *patch;
  pc_routes *routes;
  pc_place_snow *snow;
} survey;

void pc_place_snow_free(pc_place_snow *snow) {
  free(snow->kg);
  free(snow->m2);
  free(snow->hard);
  free(snow->way_m);
  free(snow->low_m);
  free(snow->covered_kg);
  free(snow->covered_m2);
  free(snow->start_m);
  *snow = (pc_place_snow){0};
}

/* ---- ground ---- */

static pc_status lay_ground(survey *s) {
  const pc_site *site = &s->scenario->site;
  const pc_ring **holes = pc_alloc(site->obstacle_count, sizeof *holes);
  pc_ring *made = pc_alloc(site->obstacle_count, sizeof *made);
  size_t count = 0, round = 0;
  pc_status status = holes && made ? PC_OK : PC_ERR_MEMORY;
  double area = 0.0;
  for (size_t i = 0; i < site->obstacle_count && status == PC_OK; i++) {
    const pc_obstacle *thing = &site->obstacles[i];
    if (thing->outline.count > 0) {
      holes[count++] = &thing->outline;
    } else if (thing->radius_m > 0.0) {
      status = pc_ring_round(thing->at, thing->radius_m, &made[round]);
      if (status == PC_OK)
        holes[count++] = &made[round++];
    }
  }
  for (size_t a = 0; a < site->area_count; a++)
    area += fabs(pc_ring_area_m2(&site->areas[a].outline));
  double coarser = fmax(1.0, sqrt(area / 2e6)); /* a few million cells at most */
  if (status == PC_OK)
    status = pc_ground_create(site, holes, count, strip_wanted_m * coarser, station_wanted_m * coarser,
                              &s->ground, NULL);
  for (size_t i = 0; i < round; i++)
    pc_ring_free(&made[i]);
  free(made);
  free(holes);
  return status;
}

typedef struct block_size {
  int stations, strips; /* in cells */
} block_size;

static block_size size_blocks(const survey *s, const pc_patch *patch) {
  double area = 0.0;
  for (size_t p = 0; p < s->ground->patch_count; p++)
    area += s->ground->patches[p].area_m2;
  double side = fmax(least_block_m, sqrt(area / BLOCKS));
  int stations = (int)lround(side / patch->station_m), strips = (int)lround(side / patch->strip_m);
  return (block_size){stations > 1 ? stations : 1, strips > 1 ? strips : 1};
}

static size_t count_blocks(const survey *s) {
  size_t count = 0;
  for (size_t p = 0; p < s->ground->patch_count; p++) {
    const pc_patch *patch = &s->ground->patches[p];
    block_size size = size_blocks(s, patch);
    count += (size_t)((patch->stations + size.stations - 1) / size.stations) *
             (size_t)((patch->strips + size.strips - 1) / size.strips);
  }
  return count;
}

static pc_point cell_middle(const pc_patch *patch, int i, int j) {
  return pc_patch_world(patch, patch->u0_m + (i + 0.5) * patch->station_m,
                        patch->v0_m + (j + 0.5) * patch->strip_m);
}

/* Sums up the cells of one block; nothing is added if there is no snow in it. */
static void add_block(survey *s, int p, int i0, int j0, block_size size) {
  const pc_patch *patch = &s->ground->patches[p];
  pc_place_snow *snow = s->snow;
  double m2 = 0.0, x = 0.0, y = 0.0, apart = 0.0, reach = 0.0, whole = patch->station_m * patch->strip_m;
  double half = 0.5 * hypot(patch->station_m, patch->strip_m), mean = half / sqrt(3.0);
  int i1 = i0 + size.stations, j1 = j0 + size.strips;
  i1 = i1 < patch->stations ? i1 : patch->stations;
  j1 = j1 < patch->strips ? j1 : patch->strips;
  for (int pass = 0; pass < 2; pass++) {
    for (int i = i0; i < i1; i++)
      for (int j = j0; j < j1; j++) {
        double area = s->ground->cell_m2[pc_patch_cell(patch, i, j)];
        pc_point at = cell_middle(patch, i, j);
        if (pass == 0) {
          m2 += area;
          x += area * at.x_m;
          y += area * at.y_m;
        } else { /* within a whole cell on average no more than the root mean square */
          apart += area * (hypot(at.x_m - x, at.y_m - y) + (area < 0.999 * whole ? half : mean));
          if (area > 0.0)
            reach = fmax(reach, hypot(at.x_m - x, at.y_m - y) + half);
        }
      }
    if (!(m2 > 0.0))
      return;
    if (pass == 0) {
      x /= m2;
      y /= m2;
    }
  }
  size_t b = snow->blocks++;
  s->middle[b] = (pc_point){x, y};
  s->slack_m[b] = apart / m2;
  s->reach_m[b] = reach;
  s->patch[b] = p;
  snow->m2[b] = m2;
  snow->kg[b] = m2 * snow->kgpm2;
}

/* Kilograms times metres a second that the machines with boxes bring nearer to a zone: all, or those that may
 * work in an area. */
static double haulage(const pc_lot *lot, int area) {
  double sum = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_unit *unit = &lot->machines[m].unit;
    double empty_mps = fmax(unit->loader.return_speed_mps, unit->loader.reverse_speed_mps);
    if (unit->box.blade == PC_BLADE_NONE && (area < 0 || lot->machines[m].allowed[area]))
      sum += unit->capacity_kg / (1.0 / unit->loader.carry_speed_mps + 1.0 / empty_mps);
  }
  return sum;
}

/* Snow that goes over into another area takes as long as that there; 1 where nobody works with a box. */
static double hardness(const pc_lot *lot, int area) {
  for (size_t hops = 0; hops < lot->area_count && lot->areas[area].into >= 0; hops++)
    area = lot->areas[area].into;
  double those = haulage(lot, area);
  return those > 0.0 ? haulage(lot, -1) / those : 1.0;
}

static pc_status make_blocks(survey *s) {
  pc_place_snow *snow = s->snow;
  size_t most = count_blocks(s);
  snow->kg = pc_alloc(most, sizeof *snow->kg);
  snow->m2 = pc_alloc(most, sizeof *snow->m2);
  snow->hard = pc_alloc(most, sizeof *snow->hard);
  s->middle = pc_alloc(most, sizeof *s->middle);
  s->slack_m = pc_alloc(most, sizeof *s->slack_m);
  s->reach_m = pc_alloc(most, sizeof *s->reach_m);
  s->patch = pc_alloc(most, sizeof *s->patch);
  if (!snow->kg || !snow->m2 || !snow->hard || !s->middle || !s->slack_m || !s->reach_m || !s->patch)
    return PC_ERR_MEMORY;
  for (size_t p = 0; p < s->ground->patch_count; p++) {
    const pc_patch *patch = &s->ground->patches[p];
    block_size size = size_blocks(s, patch);
    for (int i = 0; i < patch->stations; i += size.stations)
      for (int j = 0; j < patch->strips; j += size.strips)
        add_block(s, (int)p, i, j, size);
  }
  for (size_t b = 0; b < snow->blocks; b++)
    snow->hard[b] = hardness(s->lot, s->patch[b]);
  return PC_OK;
}

/* Snow that lies on each place, cell by cell. */
static void find_covered(survey *s) {
  for (size_t z = 0; z < s->snow->sites; z++) {
    const pc_ring *ring = &s->zones[z]->outline;
    pc_sum sum = {0};
    for (size_t p = 0; p < s->ground->patch_count && ring->count > 0; p++) {
      const pc_patch *patch = &s->ground->patches[p];
      double u, v, u0 = INFINITY, u1 = -INFINITY, v0 = INFINITY, v1 = -INFINITY;
      for (size_t k = 0; k < ring->count; k++) {
        pc_patch_local(patch, ring->points[k], &u, &v);
        u0 = fmin(u0, u), u1 = fmax(u1, u), v0 = fmin(v0, v), v1 = fmax(v1, v);
      }
      int i0 = (int)fmax(0.0, floor((u0 - patch->u0_m) / patch->station_m));
      int j0 = (int)fmax(0.0, floor((v0 - patch->v0_m) / patch->strip_m));
      int i1 = (int)fmin(patch->stations, ceil((u1 - patch->u0_m) / patch->station_m));
      int j1 = (int)fmin(patch->strips, ceil((v1 - patch->v0_m) / patch->strip_m));
      double reach = 0.5 * hypot(patch->station_m, patch->strip_m); /* partly covered: counts as covered */
      for (int i = i0; i < i1; i++)
        for (int j = j0; j < j1; j++)
          if (pc_ring_distance_m(ring, cell_middle(patch, i, j), NULL) < reach)
            pc_sum_add(&sum, s->ground->cell_m2[pc_patch_cell(patch, i, j)]);
    }
    s->snow->covered_m2[z] = pc_sum_value(&sum);
    s->snow->covered_kg[z] = s->snow->covered_m2[z] * s->snow->kgpm2;
  }
}

/* ---- ways ---- */

static pc_status is_straight(const survey *s, bool *straight) {
  const pc_site *site = &s->scenario->site;
  const pc_ring **rings = pc_alloc(site->area_count + site->ground_count, sizeof *rings);
  double all = 0.0, hull = 0.0;
  if (!rings)
    return PC_ERR_MEMORY;
  pc_status status = pc_rings_hull(rings, pc_site_pavement(site, rings), &all, &hull);
  free(rings);
  *straight = site->obstacle_count == 0 && hull - all < bay_share * all;
  return status;
}

/* Ways that no machine can beat whatever places are chosen: all of them count as pavement, none is in the
 * way, and only gaps too narrow for the narrowest machine are closed. */
static pc_status find_routes(survey *s, pc_faults *faults) {
  bool straight = false;
  size_t sites = s->snow->sites;
  pc_status status = is_straight(s, &straight);
  if (status == PC_OK && !straight) {
    double least = INFINITY;
    for (size_t i = 0; i < s->lot->lane_set_count; i++)
      least = fmin(least, s->lot->lane_sets[i].half_width_m);
    pc_blocked blocked;
    status = pc_blocked_make(&s->scenario->site, s->zones, sites, (pc_clearance){least, false, true, NULL},
                             &blocked);
    if (status != PC_OK) {
      pc_blocked_free(&blocked);
      return pc_faults_add(faults, status, "site", NULL, "%s", pc_status_describe(status));
    }
    return pc_routes_net(&blocked, s->zones, sites, s->middle, s->snow->blocks, false, &s->routes, faults);
  }
  if (status == PC_OK)
    status = pc_routes_straight(&s->scenario->site, s->zones, sites, &s->routes);
  return status == PC_OK ? PC_OK
                         : pc_faults_add(faults, status, "site", NULL, "%s", pc_status_describe(status));
}

static double swath_m(const pc_lot *lot) {
  double widest = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++)
    widest = fmax(widest, lot->machines[m].unit.swath_m);
  return widest;
}

static double nearest_block_m(const survey *s, int patch, size_t site) {
  double least = INFINITY;
  for (size_t b = 0; b < s->snow->blocks; b++)
    if (s->patch[b] == patch)
      least = fmin(least, s->snow->low_m[b * s->snow->sites + site]);
  return least;
}

/* A blade may lay the snow of its area anywhere in it, and over into another one, without carrying it. */
static void level_patches(const survey *s) {
  pc_place_snow *snow = s->snow;
  for (size_t p = 0; p < s->ground->patch_count; p++) {
    if (pc_lot_blade_of(s->lot, p) == PC_NO_ENTRY)
      continue;
    for (size_t z = 0; z < snow->sites; z++) {
      double least = INFINITY;
      for (int from = (int)p; from >= 0;
           from = pc_lot_blade_of(s->lot, (size_t)from) != PC_NO_ENTRY ? s->lot->areas[from].into : -1)
        least = fmin(least, nearest_block_m(s, from, z));
      for (size_t b = 0; b < snow->blocks; b++)
        if (s->patch[b] == (int)p)
          snow->low_m[b * snow->sites + z] = least;
    }
  }
}

/* Takes out blocks from where no place can be reached: nobody clears them. */
static void keep_reached(survey *s) {
  pc_place_snow *snow = s->snow;
  size_t kept = 0;
  for (size_t b = 0; b < snow->blocks; b++) {
    bool reached = false;
    for (size_t z = 0; z < snow->sites; z++)
      reached |= isfinite(snow->way_m[b * snow->sites + z]);
    if (!reached)
      continue;
    memmove(&snow->way_m[kept * snow->sites], &snow->way_m[b * snow->sites], snow->sites * sizeof(double));
    snow->kg[kept] = snow->kg[b];
    snow->m2[kept] = snow->m2[b];
    s->slack_m[kept] = s->slack_m[b];
    s->reach_m[kept] = s->reach_m[b];
    s->patch[kept++] = s->patch[b];
  }
  snow->blocks = kept;
}

/* A box takes up snow half its swath to the side of where it is; more than that, and rolling off, moves no
 * snow nearer. */
static void find_low_ways(const survey *s) {
  pc_place_snow *snow = s->snow;
  double aside = 0.5 * swath_m(s->lot), farthest = 0.0;
  for (size_t i = 0; i < snow->blocks * snow->sites; i++)
    farthest = isfinite(snow->way_m[i]) ? fmax(farthest, snow->way_m[i]) : farthest;
  for (size_t b = 0; b < snow->blocks; b++)
    for (size_t z = 0; z < snow->sites; z++) {
      double *way = &snow->way_m[b * snow->sites + z];
      if (!isfinite(*way)) /* from here it can't be used: dear, but a number */
        *way = 4.0 * farthest + 1000.0;
      /* a block that a place may cover in part counts as lying there */
      double low = *way < s->reach_m[b] ? 0.0 : *way - s->slack_m[b] - aside;
      snow->low_m[b * snow->sites + z] = fmax(0.0, low);
    }
  level_patches(s);
}

static pc_status find_ways(survey *s) {
  pc_place_snow *snow = s->snow;
  size_t cells = snow->blocks * snow->sites, machines = s->lot->machine_count;
  snow->way_m = pc_alloc(cells, sizeof *snow->way_m);
  snow->low_m = pc_alloc(cells, sizeof *snow->low_m);
  snow->start_m = pc_alloc_grid(machines, snow->sites, sizeof *snow->start_m);
  if (!snow->way_m || !snow->low_m || !snow->start_m)
    return PC_ERR_MEMORY;
  pc_way way;
  for (size_t b = 0; b < snow->blocks; b++) {
    const pc_place place = {s->middle[b], b, 0.0};
    for (size_t z = 0; z < snow->sites; z++) {
      const pc_ring *ring = &s->zones[z]->outline;
      pc_routes_to_zone(s->routes, &place, z, &way);
      bool on = ring->count > 0 && pc_ring_contains(ring, s->middle[b]);
      snow->way_m[b * snow->sites + z] = on ? 0.0 : way.length_m;
    }
  }
  for (size_t m = 0; m < machines; m++) {
    const pc_place place = pc_place_at(s->lot->machines[m].start);
    for (size_t z = 0; z < snow->sites; z++) {
      pc_routes_to_zone(s->routes, &place, z, &way);
      snow->start_m[m * snow->sites + z] = isfinite(way.length_m) ? way.length_m : 0.0;
    }
  }
  keep_reached(s);
  find_low_ways(s);
  return PC_OK;
}

static void sum_up(pc_place_snow *snow) {
  pc_sum kg = {0}, m2 = {0};
  for (size_t b = 0; b < snow->blocks; b++) {
    pc_sum_add(&kg, snow->kg[b]);
    pc_sum_add(&m2, snow->m2[b]);
  }
  snow->all_kg = pc_sum_value(&kg);
  snow->all_m2 = pc_sum_value(&m2);
}

pc_status pc_place_snow_make(const pc_scenario *scenario, const pc_placement *placement, const pc_lot *lot,
                             pc_place_snow *snow, pc_faults *faults) {
  survey s = {.scenario = scenario, .placement = placement, .lot = lot, .snow = snow};
  *snow = (pc_place_snow){.sites = placement->site_count,
                          .kgpm2 = lot->snow.depth_m * lot->fresh_density_kgpm3 + lot->fall_kgpm2};
  s.zones = pc_alloc(snow->sites, sizeof *s.zones);
  snow->covered_kg = pc_alloc(snow->sites, sizeof *snow->covered_kg);
  snow->covered_m2 = pc_alloc(snow->sites, sizeof *snow->covered_m2);
  pc_status status = s.zones && snow->covered_kg && snow->covered_m2 ? PC_OK : PC_ERR_MEMORY;
  for (size_t z = 0; z < snow->sites && status == PC_OK; z++)
    s.zones[z] = &placement->sites[z].zone;
  if (status == PC_OK)
    status = lay_ground(&s);
  if (status == PC_OK)
    status = make_blocks(&s);
  if (status == PC_OK)
    find_covered(&s);
  if (status == PC_OK)
    status = find_routes(&s, faults);
  if (status == PC_OK)
    status = find_ways(&s);
  if (status == PC_OK)
    sum_up(snow);
  else if (pc_faults_fatal(faults) == 0)
    pc_faults_add(faults, status, "place", NULL, "the snow could not be laid out: %s",
                  pc_status_describe(status));
  pc_routes_free(s.routes);
  pc_ground_free(s.ground);
  free(s.middle);
  free(s.slack_m);
  free(s.reach_m);
  free(s.patch);
  free(s.zones);
  if (status != PC_OK)
    pc_place_snow_free(snow);
  return status;
}
