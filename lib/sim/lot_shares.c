// SPDX-License-Identifier: GPL-3.0-or-later
/* What the lower bound counts of the snow, and for whom: all of it for the whole crew, and for the machines
 * that may work in an area what is tied to them. For each the lanes that it is counted by, and ways that none
 * of those machines can beat. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/lot_private.h"

bool pc_lot_is_tied_to(const pc_lot *lot, size_t area, size_t to) {
  if (to == PC_NO_ENTRY)
    return true;
  bool tied = lot->areas[area].into < 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    tied &= !lot->machines[m].allowed[area] || lot->machines[m].allowed[to];
  return tied;
}

static bool counts(const pc_lot *lot, const pc_lot_share *share, size_t machine) {
  return share->area == PC_NO_ENTRY || lot->machines[machine].allowed[share->area];
}

/* Whether some machine may not work there, and no area before has the same ones. */
static bool is_tied(const pc_lot *lot, size_t area) {
  size_t many = 0;
  for (size_t m = 0; m < lot->machine_count; m++)
    many += lot->machines[m].allowed[area];
  bool tied = many > 0 && many < lot->machine_count && lot->areas[area].into < 0;
  for (size_t a = 0; a < area && tied; a++) {
    bool same = lot->areas[a].into < 0;
    for (size_t m = 0; m < lot->machine_count; m++)
      same &= lot->machines[m].allowed[a] == lot->machines[m].allowed[area];
    tied = !same;
  }
  return tied;
}

/* Of the share's machines those lanes that lie open in the most of its area, of these the narrowest: where a
 * lane is not open, the bound knows no way, and beside a narrow one it has less to allow for. So it does not
 * hang on the order of the crew. */
static size_t find_set(const pc_lot *lot, const pc_lot_share *share) {
  double most_m2 = -1.0;
  size_t found = 0;
  for (size_t s = 0; s < lot->lane_set_count; s++) {
    bool theirs = false;
    double area_m2 = 0.0;
    for (size_t m = 0; m < lot->machine_count; m++)
      theirs |= lot->machines[m].lane_set == s && counts(lot, share, m);
    for (size_t p = 0; p < lot->area_count; p++)
      if (pc_lot_is_tied_to(lot, p, share->area) && pc_lot_is_anyones(lot, &lot->lane_sets[s], (int)p))
        area_m2 += lot->ground->patches[p].area_m2;
    if (theirs && (area_m2 > most_m2 || (area_m2 == most_m2 && lot->lane_sets[s].strips_per_lane <
                                                                   lot->lane_sets[found].strips_per_lane))) {
      most_m2 = area_m2;
      found = s;
    }
  }
  return found;
}

/* Pavement that is closed to all of the share's machines; NULL if none is. */
static pc_status close_to_all(const pc_lot *lot, size_t pavements, pc_lot_share *share) {
  bool any = false;
  share->closed = pc_alloc(pavements, sizeof *share->closed);
  if (!share->closed)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < pavements; i++) {
    bool closed = true;
    for (size_t m = 0; m < lot->machine_count; m++) {
      const bool *own = lot->lane_sets[lot->machines[m].lane_set].closed;
      closed &= !counts(lot, share, m) || (own && own[i]);
    }
    share->closed[i] = closed;
    any |= closed;
  }
  if (!any) {
    free(share->closed);
    share->closed = NULL;
  }
  return PC_OK;
}

pc_status pc_lot_find_shares(pc_lot *lot, const pc_site *site) {
  size_t pavements = pc_site_pavement_count(site);
  lot->shares = pc_alloc(lot->area_count + 1, sizeof *lot->shares);
  if (!lot->shares)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i <= lot->area_count; i++) {
    size_t area = i == 0 ? PC_NO_ENTRY : i - 1;
    if (area != PC_NO_ENTRY && !is_tied(lot, area))
      continue;
    pc_lot_share *share = &lot->shares[lot->share_count++];
    share->area = area;
    share->lane_set = find_set(lot, share);
    if (close_to_all(lot, pavements, share) != PC_OK)
      return PC_ERR_MEMORY;
  }
  return PC_OK;
}

static bool are_alike(const pc_lot_share *a, const pc_lot_share *b, size_t pavements) {
  return a->lane_set == b->lane_set && !a->closed == !b->closed &&
         (!a->closed || memcmp(a->closed, b->closed, pavements * sizeof *a->closed) == 0);
}

/* A machine may hug what stands there and drive over zones, but not through gaps that are too narrow for the
 * narrowest. */
static pc_status make_net(pc_lot *lot, const pc_site *site, pc_lot_share *share, const pc_point *nodes,
                          size_t node_count, pc_faults *faults) {
  double least = INFINITY;
  for (size_t s = 0; s < lot->lane_set_count; s++)
    least = fmin(least, lot->lane_sets[s].half_width_m);
  pc_blocked blocked;
  pc_status status = pc_blocked_make(site, lot->zone_list, lot->zone_count,
                                     (pc_clearance){least, false, true, share->closed}, &blocked);
  if (status != PC_OK) {
    pc_blocked_free(&blocked);
    return pc_faults_add(faults, status, "site", NULL, "%s", pc_status_describe(status));
  }
  status = pc_routes_net(&blocked, lot->zone_list, lot->zone_count, nodes, node_count, false, &share->routes,
                         faults);
  share->owns_routes = status == PC_OK;
  return status;
}

pc_status pc_lot_net_of_shares(pc_lot *lot, const pc_site *site, size_t set, const pc_point *nodes,
                               size_t node_count, pc_faults *faults) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < lot->share_count && status == PC_OK; i++) {
    pc_lot_share *share = &lot->shares[i];
    if (share->lane_set != set) /* another thread's */
      continue;
    for (size_t k = 0; k < i && !share->routes; k++)
      if (are_alike(share, &lot->shares[k], pc_site_pavement_count(site)))
        share->routes = lot->shares[k].routes;
    if (!share->routes)
      status = make_net(lot, site, share, nodes, node_count, faults);
  }
  return status;
}

void pc_lot_free_shares(pc_lot *lot) {
  for (size_t i = 0; i < lot->share_count; i++) {
    if (lot->shares[i].owns_routes)
      pc_routes_free(lot->shares[i].routes);
    free(lot->shares[i].closed);
  }
  free(lot->shares);
}
