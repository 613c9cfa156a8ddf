// SPDX-License-Identifier: GPL-3.0-or-later
/* Estimates of choices, and the most promising ones. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "site/piles.h"
#include "study/place_private.h"
#include "study/transport.h"

enum { BEAM = 500 };

/* ---- what is worked out once ---- */

void pc_place_guesser_free(pc_place_guesser *guesser) {
  free(guesser->room_kg);
  free(guesser->apart);
  *guesser = (pc_place_guesser){0};
}

static void bounds_of(const pc_ring *ring, double *box) {
  box[0] = box[1] = INFINITY;
  box[2] = box[3] = -INFINITY;
  for (size_t i = 0; i < ring->count; i++) {
    box[0] = fmin(box[0], ring->points[i].x_m);
    box[1] = fmin(box[1], ring->points[i].y_m);
    box[2] = fmax(box[2], ring->points[i].x_m);
    box[3] = fmax(box[3], ring->points[i].y_m);
  }
}

static pc_status are_apart(const pc_ring *a, const pc_ring *b, bool *apart) {
  double p[4], q[4], shared = 0.0;
  bounds_of(a, p);
  bounds_of(b, q);
  *apart = p[0] >= q[2] || q[0] >= p[2] || p[1] >= q[3] || q[1] >= p[3];
  if (*apart) /* a point zone too: nothing bounds it */
    return PC_OK;
  pc_status status = pc_rings_overlap(a, b, &shared);
  *apart = !(shared > 0.0);
  return status;
}

/* Seconds of machine time per kilogram and per kilogram brought a metre nearer, of the machine with the
 * largest load: only their relation counts. */
static void find_prices(const pc_lot *lot, double kgpm2, pc_place_guesser *guesser) {
  double most = 0.0;
  for (size_t m = 0; m < lot->machine_count; m++) {
    const pc_unit *unit = &lot->machines[m].unit;
    const pc_loader *loader = &unit->loader;
    double load = lot->full_at * unit->capacity_kg;
    if (unit->box.blade != PC_BLADE_NONE || !(load > most))
      continue;
    most = load;
    double empty = fmax(loader->return_speed_mps, loader->reverse_speed_mps);
    guesser->per_kgm = (1.0 / loader->carry_speed_mps + 1.0 / empty) / load;
    guesser->per_kg = (loader->lower_s + loader->raise_s + loader->dump_s + loader->turn_s) / load +
                      1.0 / (loader->push_speed_mps * unit->swath_m * kgpm2);
  }
}

pc_status pc_place_guesser_make(const pc_scenario *scenario, const pc_placement *placement,
                                const pc_place_snow *snow, const pc_lot *lot, pc_place_guesser *guesser) {
  size_t n = placement->site_count;
  *guesser = (pc_place_guesser){.scenario = scenario, .placement = placement, .snow = snow};
  guesser->room_kg = pc_alloc(n, sizeof *guesser->room_kg);
  guesser->apart = pc_alloc_grid(n, n, sizeof *guesser->apart);
  pc_status status = guesser->room_kg && guesser->apart ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < n && status == PC_OK; i++) {
    const pc_zone *zone = &placement->sites[i].zone;
    status = pc_zone_capacity_m3(zone, scenario->snow.repose_angle_rad, &guesser->room_kg[i]);
    guesser->room_kg[i] *= scenario->snow.pile_density_kgpm3;
    for (size_t j = 0; j < i && status == PC_OK; j++) {
      bool apart = true;
      status = are_apart(&zone->outline, &placement->sites[j].zone.outline, &apart);
      guesser->apart[i * n + j] = guesser->apart[j * n + i] = apart;
    }
  }
  find_prices(lot, snow->kgpm2, guesser);
  if (status != PC_OK)
    pc_place_guesser_free(guesser);
  return status;
}

/* ---- lists of guesses ---- */

static int best_first(const void *a, const void *b) {
  const pc_place_guess *x = a, *y = b;
  if (x->value != y->value)
    return x->value < y->value ? -1 : 1;
  for (size_t k = 0; k < x->count && k < y->count; k++)
    if (x->sites[k] != y->sites[k])
      return x->sites[k] < y->sites[k] ? -1 : 1;
  return 0;
}

/* Sorts, takes out what stands there twice (the same sites have the same value to the bit), and cuts. */
static void tidy(pc_place_guesses *list, size_t most) {
  size_t kept = 0;
  if (list->count > 0)
    qsort(list->items, list->count, sizeof *list->items, best_first);
  for (size_t i = 0; i < list->count; i++)
    if (kept == 0 || best_first(&list->items[kept - 1], &list->items[i]) != 0)
      list->items[kept++] = list->items[i];
  list->all &= kept <= most;
  list->count = kept < most ? kept : most;
}

static void insert_site(pc_place_guess *guess, size_t site) {
  size_t k = guess->count++;
  for (; k > 0 && guess->sites[k - 1] > site; k--)
    guess->sites[k] = guess->sites[k - 1];
  guess->sites[k] = site;
}

static bool may_join(const pc_place_guesser *g, const size_t *sites, size_t count, size_t site) {
  for (size_t k = 0; k < count; k++)
    if (sites[k] == site || !g->apart[sites[k] * g->snow->sites + site])
      return false;
  return true;
}

/* Least way of every block to these sites. */
static void find_near(const pc_place_guesser *g, const size_t *sites, size_t count, double *near_m) {
  const pc_place_snow *snow = g->snow;
  for (size_t b = 0; b < snow->blocks; b++) {
    near_m[b] = INFINITY;
    for (size_t k = 0; k < count; k++)
      near_m[b] = fmin(near_m[b], snow->way_m[b * snow->sites + sites[k]]);
  }
}

/* The estimate; of the snow that the zones can't hold, each kilogram counts as if it went very far. */
static double value_of(const pc_place_guesser *g, const pc_place_guess *guess, double haul_kgm) {
  double covered = 0.0, room = 0.0;
  for (size_t k = 0; k < guess->count; k++) {
    covered += g->snow->covered_kg[guess->sites[k]];
    room += g->room_kg[guess->sites[k]];
  }
  double moved = fmax(0.0, g->snow->all_kg - covered), over = fmax(0.0, moved - room);
  return moved * g->per_kg + (haul_kgm + over * 2000.0) * g->per_kgm;
}

/* Adds every choice that `base` and one more place make. */
static void add_joined(const pc_place_guesser *g, const pc_place_guess *base, const double *near_m,
                       pc_place_guesses *list) {
  const pc_place_snow *snow = g->snow;
  for (size_t z = 0; z < snow->sites; z++) {
    if (!may_join(g, base->sites, base->count, z))
      continue;
    double haul = 0.0;
    for (size_t b = 0; b < snow->blocks; b++)
      haul += snow->kg[b] * snow->hard[b] * fmin(near_m[b], snow->way_m[b * snow->sites + z]);
    pc_place_guess made = *base;
    insert_site(&made, z);
    made.value = value_of(g, &made, haul);
    made.checked = made.allowed = false;
    list->items[list->count++] = made;
  }
}

static pc_place_guess kept_sites(const pc_placement *placement) {
  pc_place_guess made = {.count = 0};
  for (size_t z = 0; z < placement->site_count && made.count < PC_PLACE_MAX; z++)
    if (placement->sites[z].kept)
      made.sites[made.count++] = z;
  return made;
}

pc_status pc_place_guess_more(const pc_place_guesser *g, const pc_place_guesses *fewer,
                              pc_place_guesses *more) {
  pc_place_guess first = kept_sites(g->placement);
  const pc_place_guess *bases = fewer ? fewer->items : &first;
  size_t count = fewer ? fewer->count : 1;
  *more = (pc_place_guesses){.all = fewer ? fewer->all : true};
  double *near_m = pc_alloc(g->snow->blocks, sizeof *near_m);
  more->items = pc_alloc_grid(count, g->snow->sites + 1, sizeof *more->items);
  if (!near_m || !more->items) {
    free(near_m);
    free(more->items);
    *more = (pc_place_guesses){0};
    return PC_ERR_MEMORY;
  }
  if (!fewer && first.count > 0) { /* those to keep are a choice of their own */
    bool together = true;
    for (size_t k = 1; k < first.count; k++)
      together &= may_join(g, first.sites, k, first.sites[k]);
    if (together)
      more->items[more->count++] = first;
  } else {
    for (size_t i = 0; i < count; i++) {
      find_near(g, bases[i].sites, bases[i].count, near_m);
      add_joined(g, &bases[i], near_m, more);
    }
    tidy(more, BEAM);
  }
  free(near_m);
  return PC_OK;
}

pc_status pc_place_guess_near(const pc_place_guesser *g, const size_t *from, size_t count,
                              pc_place_guesses *near) {
  *near = (pc_place_guesses){0};
  double *near_m = pc_alloc(g->snow->blocks, sizeof *near_m);
  near->items = pc_alloc_grid(count, g->snow->sites + 1, sizeof *near->items);
  if (!near_m || !near->items) {
    free(near_m);
    free(near->items);
    *near = (pc_place_guesses){0};
    return PC_ERR_MEMORY;
  }
  for (size_t out = 0; out < count; out++) {
    pc_place_guess base = {.count = 0};
    if (g->placement->sites[from[out]].kept)
      continue;
    for (size_t k = 0; k < count; k++)
      if (k != out)
        base.sites[base.count++] = from[k];
    find_near(g, base.sites, base.count, near_m);
    add_joined(g, &base, near_m, near);
  }
  tidy(near, BEAM);
  free(near_m);
  return PC_OK;
}

/* ---- closer looks ---- */

pc_status pc_place_guess_check(const pc_place_guesser *g, pc_place_guess *guess) {
  const pc_zone *zones[PC_PLACE_MAX];
  double moved = g->snow->all_kg, room = 0.0;
  pc_siting_list found = {0};
  if (guess->checked)
    return PC_OK;
  for (size_t k = 0; k < guess->count; k++) {
    zones[k] = &g->placement->sites[guess->sites[k]].zone;
    moved -= g->snow->covered_kg[guess->sites[k]];
    room += g->room_kg[guess->sites[k]];
  }
  guess->checked = true;
  guess->allowed = room >= moved;
  if (!guess->allowed)
    return PC_OK;
  pc_status status =
      pc_siting_check(&g->scenario->site, zones, guess->count, &g->scenario->siting, NAN, NULL, &found);
  for (size_t i = 0; i < found.count && status == PC_OK; i++)
    guess->allowed &= found.items[i].rule != PC_SITING_CUT || g->scenario->place.allow;
  pc_siting_free(&found);
  return status;
}

pc_status pc_place_haul(const pc_place_guesser *g, const size_t *sites, size_t count, double *haul_kgm) {
  const pc_place_snow *snow = g->snow;
  double room[PC_PLACE_MAX], taken[PC_PLACE_MAX] = {0}, sum = 0.0;
  bool fits = true;
  double *cost = pc_alloc_grid(snow->blocks, count, sizeof *cost);
  if (!cost)
    return PC_ERR_MEMORY;
  for (size_t b = 0; b < snow->blocks; b++) {
    size_t best = 0;
    for (size_t k = 0; k < count; k++) {
      cost[b * count + k] = snow->way_m[b * snow->sites + sites[k]];
      if (cost[b * count + k] < cost[b * count + best])
        best = k;
    }
    if (cost[b * count + best] > 0.0) /* what lies on a zone stays */
      taken[best] += snow->kg[b];
    sum += snow->kg[b] * cost[b * count + best];
  }
  for (size_t k = 0; k < count; k++) {
    room[k] = g->room_kg[sites[k]] + g->snow->covered_kg[sites[k]];
    fits &= taken[k] <= g->room_kg[sites[k]];
  }
  const pc_transport problem = {snow->kg, snow->blocks, room, count, cost};
  pc_status status = fits ? PC_OK : pc_transport_solve(&problem, NULL, &sum);
  if (status == PC_ERR_RANGE || status == PC_ERR_LIMIT) { /* more snow than room: what is nearest */
    status = PC_OK;
  }
  *haul_kgm = sum;
  free(cost);
  return status;
}
