// SPDX-License-Identifier: GPL-3.0-or-later
/* Work that does not end at a pile: blades that lay snow aside, lane by lane away from buildings, and boxes
 * that carve snow out of one area into another. Which bite comes next is fixed here, whatever the policy. */
#include "sim/night.h"
#include "sim/policies.h"

/* ---- blades ---- */

bool pc_has_blade(const pc_world *world, size_t m) {
  return world->lot->machines[m].unit.box.blade != PC_BLADE_NONE;
}

/* The side across the lanes that snow goes to: +1 towards higher lane numbers. One for all blades, or two of
 * different width might lay the same snow to and fro for ever. */
static int outward_side(const pc_world *world, int patch) {
  return world->lot->areas[patch].outward;
}

/* Lanes that a blade works: all but the outermost, where the snow is taken up by others, unless it goes over
 * into another area. */
static bool is_blade_lane(const pc_world *world, const pc_lane_set *set, size_t lane) {
  int patch = set->lanes[lane].patch, side = outward_side(world, patch);
  if (world->lot->areas[patch].into >= 0)
    return true;
  return side > 0 ? lane + 1 < set->patch_lane[patch + 1] : lane > set->patch_lane[patch];
}

/* A slot whose snow a blade can lay outwards: there is ground beside it. */
static bool can_lay(const pc_world *world, const pc_lane_set *set, const pc_lane *lane, int station,
                    int side) {
  return pc_lane_has_beside(world->lot, lane, station, side) ||
         (set->over && set->over[lane->first + (size_t)station].lane != PC_NO_ENTRY);
}

static bool has_blade_work(const pc_world *world, size_t m, size_t lane_index) {
  const pc_lane_set *set = pc_set_of(world, m);
  const pc_lane_state *state = pc_state_of(world, m);
  const pc_lane *lane = &set->lanes[lane_index];
  int side = outward_side(world, lane->patch);
  if (!is_blade_lane(world, set, lane_index) || state->dirty_count[lane_index] == 0)
    return false;
  for (int i = 0; i < lane->stations; i++)
    if (state->dirty[lane->first + (size_t)i] && can_lay(world, set, lane, i, side))
      return true;
  return false;
}

/* The innermost blade lane of a patch that has work, after the first `skip` of all its lanes from the inside;
 * *skip is then as many as have been looked at. lane_count if there is none. */
static size_t next_blade_lane(const pc_world *world, size_t m, int patch, size_t *skip) {
  const pc_lane_set *set = pc_set_of(world, m);
  size_t first = set->patch_lane[patch], count = set->patch_lane[patch + 1] - first;
  int side = outward_side(world, patch);
  while (*skip < count) {
    size_t i = (*skip)++, lane = side > 0 ? first + i : first + count - 1 - i;
    if (has_blade_work(world, m, lane))
      return lane;
  }
  return set->lane_count;
}

bool pc_blades_have_work(const pc_world *world, size_t patch, bool gone, bool *anyone) {
  *anyone = false;
  for (size_t m = 0; m < world->lot->machine_count; m++) {
    size_t skip = 0;
    if (!pc_has_blade(world, m) || !world->lot->machines[m].allowed[patch] || world->machines[m].gone != gone)
      continue;
    *anyone = true;
    if (next_blade_lane(world, m, (int)patch, &skip) < pc_set_of(world, m)->lane_count)
      return true;
  }
  return false;
}

/* One run of a lane, in the direction in which the blade throws outwards. */
static bool blade_bite(const pc_world *world, size_t m, size_t lane_index, pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  const pc_lane_state *state = pc_state_of(world, m);
  const pc_lane *lane = &set->lanes[lane_index];
  int left = world->lot->machines[m].unit.box.blade == PC_BLADE_LEFT ? 1 : -1;
  int sign = left * outward_side(world, lane->patch);
  int side = outward_side(world, lane->patch), first = -1, last = -1;
  for (int i = sign > 0 ? 0 : lane->stations - 1; i >= 0 && i < lane->stations; i += sign) {
    bool gap = set->slot_m2[lane->first + (size_t)i] <= 0.0;
    if (first >= 0 && gap)
      break;
    if (gap || !state->dirty[lane->first + (size_t)i] || !can_lay(world, set, lane, i, side))
      continue;
    first = first < 0 ? i : first;
    last = i;
  }
  if (first < 0)
    return false;
  *bite = (pc_bite){lane_index, pc_slot_low_m(world->lot, lane, sign > 0 ? first : first + 1),
                    pc_slot_low_m(world->lot, lane, sign > 0 ? last + 1 : last), -1};
  return !pc_stretch_taken(world, m, lane, pc_lesser(bite->from_m, bite->to_m),
                           pc_greater(bite->from_m, bite->to_m));
}

/* The innermost lane of an area that has work and that the blade gets to. *cut_off is cleared where it only
 * has to wait for another machine. */
static bool blade_bite_in(const pc_world *world, size_t m, int patch, bool *cut_off, pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  size_t skip = 0, lane;
  while ((lane = next_blade_lane(world, m, patch, &skip)) < set->lane_count) {
    *bite = (pc_bite){lane, 0.0, 0.0, -1};
    bool is_free = blade_bite(world, m, lane, bite);
    pc_bite here = *bite;
    pc_keep_off_walls(world->lot, set, &here);
    pc_place start = pc_world_place(world, m, &set->lanes[lane], here.from_m);
    if (here.from_m == here.to_m || !pc_can_drive(world, m, &start))
      continue;
    if (!is_free)
      *cut_off = false;
    return is_free;
  }
  return false;
}

static pc_decision next_with_blade(const pc_world *world, size_t m, pc_bite *bite) {
  bool cut_off = true;
  for (size_t p = 0; p < world->lot->area_count; p++)
    if (world->lot->machines[m].allowed[p] && world->areas[p].open &&
        blade_bite_in(world, m, (int)p, &cut_off, bite))
      return PC_DECIDE_BITE;
  return PC_DECIDE_WAIT;
}

bool pc_blade_is_cut_off(const pc_world *world, size_t m) {
  bool cut_off = true, work = false;
  for (size_t p = 0; p < world->lot->area_count; p++) {
    pc_bite bite;
    size_t skip = 0;
    if (!world->lot->machines[m].allowed[p] || !world->areas[p].open ||
        next_blade_lane(world, m, (int)p, &skip) == pc_set_of(world, m)->lane_count)
      continue;
    work = true;
    if (blade_bite_in(world, m, (int)p, &cut_off, &bite))
      return false;
  }
  return work && cut_off;
}

/* ---- carving out ---- */

/* Where in a slot this share of its snow lies ahead. */
static double inside_m(const pc_world *world, size_t m, const pc_lane *lane, int station, int sign,
                       double share) {
  const pc_lane_state *state = pc_state_of(world, m);
  double low = state->low[lane->first + (size_t)station], high = state->high[lane->first + (size_t)station];
  double at = sign > 0 ? high - share * (high - low) : low + share * (high - low);
  return pc_slot_low_m(world->lot, lane, station) + at * world->lot->ground->patches[lane->patch].station_m;
}

/* A bite that ends at the lane's way out with as much as the box takes: whole slots, but of the first two,
 * which may be more than a box. */
static bool carve_bite(const pc_world *world, size_t m, size_t lane_index, pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  const pc_lane_state *state = pc_state_of(world, m);
  const pc_lane *lane = &set->lanes[lane_index];
  const pc_unit *unit = pc_unit_of(world, m);
  double need = world->full_met_kg[m];
  double keep = 1.0 - unit->filling.leave;
  int sign = set->exit[lane_index], out = sign > 0 ? lane->stations - 1 : 0;
  int end = pc_next_dirty(state, lane, out, -sign);
  if (end < 0)
    return false;
  int begin = end;
  double from_m = 0.0;
  for (int i = end; i >= 0 && i < lane->stations && set->slot_m2[lane->first + (size_t)i] > 0.0; i -= sign) {
    size_t slot = lane->first + (size_t)i;
    double kg = state->slot_kg[slot] * keep;
    if (!state->dirty[slot])
      continue;
    if (kg > need && (begin != end || need < 1e-6 * kg))
      break; /* the next bite takes it */
    begin = i;
    from_m = kg > need ? inside_m(world, m, lane, i, sign, need / kg)
                       : pc_slot_low_m(world->lot, lane, sign > 0 ? i : i + 1);
    if (kg > need)
      break;
    need -= kg;
  }
  *bite = (pc_bite){lane_index, from_m, pc_slot_low_m(world->lot, lane, sign > 0 ? end + 1 : end), -1};
  return !pc_stretch_taken(world, m, lane, pc_lesser(bite->from_m, bite->to_m),
                           pc_greater(bite->from_m, bite->to_m));
}

/* From where a bite out of a lane ends a way leads to where its snow is dropped. */
static bool leads_out(const pc_world *world, size_t m, size_t lane_index, const pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  const pc_routes *routes = pc_routes_of(world, m);
  pc_place end = pc_world_place(world, m, &set->lanes[lane_index], bite->to_m);
  pc_place drop =
      pc_world_place(world, m, &set->lanes[set->drop_lane[lane_index]], set->drop_u_m[lane_index]);
  pc_outlook outlook;
  pc_way way;
  pc_routes_look(routes, &end, true, &outlook);
  pc_routes_between(routes, &outlook, &drop, &way);
  return way.length_m < INFINITY;
}

/* The nearest lane to be carved out, by its way out. */
static bool next_to_carve(const pc_world *world, size_t m, pc_bite *bite) {
  const pc_lane_set *set = pc_set_of(world, m);
  const pc_machine *machine = &world->machines[m];
  double least = INFINITY;
  bool found = false;
  for (size_t l = 0; l < set->lane_count; l++) {
    pc_bite here;
    if (set->exit[l] == 0 || pc_state_of(world, m)->dirty_count[l] == 0 ||
        !pc_may_carve(world, m, set->lanes[l].patch))
      continue;
    pc_point drop = pc_lane_point(world->lot, &set->lanes[set->drop_lane[l]], set->drop_u_m[l]);
    double dx = drop.x_m - machine->at.x_m, dy = drop.y_m - machine->at.y_m, away = dx * dx + dy * dy;
    if (away < least * (1.0 - 1e-9) && carve_bite(world, m, l, &here) && leads_out(world, m, l, &here)) {
      least = away;
      *bite = here;
      found = true;
    }
  }
  return found;
}

pc_decision pc_decide_bite(const pc_world *world, size_t m, pc_bite *bite) {
  if (pc_has_blade(world, m))
    return next_with_blade(world, m, bite);
  if (world->lot->has_carving && world->machines[m].load_kg <= 0.0 && next_to_carve(world, m, bite))
    return PC_DECIDE_BITE;
  return world->policy->next(world->policy_state, world, m, bite);
}

/* ---- dropping ---- */

pc_status pc_go_to_drop(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_lane_set *set = pc_set_of(world, m);
  size_t from = machine->bite.lane;
  const pc_lane *lane = &set->lanes[set->drop_lane[from]];
  pc_point points[PC_WAY_POINTS_MAX];
  pc_way way;
  pc_look(world, m);
  pc_place place = pc_world_place(world, m, lane, set->drop_u_m[from]);
  pc_routes_between(pc_routes_of(world, m), &machine->outlook, &place, &way);
  if (!(way.length_m < INFINITY)) { /* full before the lane's end, beside things: straight on, as it pushed */
    double u = place.at.x_m - machine->at.x_m, v = place.at.y_m - machine->at.y_m;
    way = (pc_way){sqrt(u * u + v * v), 0.0, place.at, place.at, machine->at, PC_NO_CORNER, PC_NO_CORNER};
  }
  double dx = way.end.x_m - way.last.x_m, dy = way.end.y_m - way.last.y_m;
  pc_carry_along(world, m, &way, pc_dirty_on_way_m(world, m, &way, points));
  machine->back_m = pc_lesser(pc_unit_of(world, m)->loader.back_out_m, sqrt(dx * dx + dy * dy));
  pc_write_phase(
      world, m, PC_PHASE_DUMP,
      pc_drawn(machine, PC_PURPOSE_DUMP, world->lot->chance.dump, pc_unit_of(world, m)->loader.dump_s),
      pc_standing(machine->at));
  machine->place = place;
  return pc_schedule(world, m, PC_EVENT_DROPPED);
}

void pc_drop(pc_world *world, size_t m) {
  pc_machine *machine = &world->machines[m];
  const pc_lane_set *set = pc_set_of(world, m);
  size_t from = machine->bite.lane;
  const pc_lane *lane = &set->lanes[set->drop_lane[from]];
  pc_world_drop(world, lane, pc_lane_station(world->lot, lane, set->drop_u_m[from], 1), machine->load_kg);
  pc_show_ground(world, m);
  machine->load_kg = 0.0;
  world->result->machines[m].cycles++;
  pc_back_out(machine);
  machine->on_line = false;
}
