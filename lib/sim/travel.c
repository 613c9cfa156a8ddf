// SPDX-License-Identifier: GPL-3.0-or-later
/* Turns, approaches, and what a loaded machine meets on its way. */
#include "sim/policies.h"

double pc_turn_angle(pc_point from, pc_point to) {
  return atan2(fabs(from.x_m * to.y_m - from.y_m * to.x_m), from.x_m * to.x_m + from.y_m * to.y_m);
}

pc_point pc_unit_vector(pc_point from, pc_point to, pc_point otherwise) {
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m, length = sqrt(dx * dx + dy * dy);
  return length > 1e-9 ? (pc_point){dx / length, dy / length} : otherwise;
}

double pc_turn_time_s(const pc_unit *unit, pc_point from, pc_point to) {
  return unit->loader.turn_s * (pc_turn_angle(from, to) / 3.14159265358979323846);
}

double pc_bends_time_s(const pc_unit *unit, const pc_way *way) {
  return unit->loader.turn_s * (way->bends_rad / 3.14159265358979323846);
}

static double slow_extra_s(double slow_m, double slow_mps, double speed_mps) {
  return slow_m > 0.0 ? slow_m * pc_greater(0.0, 1.0 / slow_mps - 1.0 / speed_mps) : 0.0;
}

double pc_world_slow_m(const pc_world *world, const pc_routes *routes, pc_point from, const pc_way *way) {
  pc_point points[PC_WAY_POINTS_MAX];
  if (!world->lot->slow)
    return 0.0;
  int count = pc_routes_path(routes, from, way, points);
  double sum = 0.0;
  for (int k = 0; k + 1 < count; k++)
    sum += pc_slow_length_m(world->lot->slow, points[k], points[k + 1]);
  return sum;
}

double pc_world_slow_s(const pc_world *world, double slow_m, double speed_mps) {
  return slow_extra_s(slow_m, world->lot->near_speed_mps, speed_mps);
}

void pc_plan_approach(const pc_unit *unit, pc_point at, pc_point facing, bool reversing, const pc_way *way,
                      double slow_m, double slow_mps, pc_point push, pc_approach *approach) {
  const pc_loader *loader = &unit->loader;
  double shift = loader->shift_s, distance = way->length_m;
  if (distance <= 1e-9) {
    double turn = pc_turn_time_s(unit, facing, push) + (reversing ? shift : 0.0);
    *approach = (pc_approach){turn, turn, 0.0, turn, false};
    return;
  }
  /* directions of any length will do for turning */
  pc_point ahead = {way->first.x_m - at.x_m, way->first.y_m - at.y_m}, behind = {-ahead.x_m, -ahead.y_m};
  pc_point arrive = {way->end.x_m - way->last.x_m, way->end.y_m - way->last.y_m};
  pc_point back_in = {-arrive.x_m, -arrive.y_m};
  double bends = pc_bends_time_s(unit, way);
  double turn_1 = pc_turn_time_s(unit, facing, ahead) + (reversing ? shift : 0.0) + bends;
  double turn_f = turn_1 + pc_turn_time_s(unit, arrive, push);
  double drive_f = pc_leg_time_s(distance, loader->return_speed_mps, loader->acceleration_mps2) +
                   slow_extra_s(slow_m, slow_mps, loader->return_speed_mps);
  double drive_b = pc_leg_time_s(distance, loader->reverse_speed_mps, loader->acceleration_mps2) +
                   slow_extra_s(slow_m, slow_mps, loader->reverse_speed_mps);
  *approach = (pc_approach){turn_f + drive_f, turn_f, drive_f, turn_1, false};
  if (drive_b >= turn_f + drive_f - 1e-9) /* turns would only add to that */
    return;
  double back_1 = pc_turn_time_s(unit, facing, behind) + (reversing ? 0.0 : shift) + bends;
  double turn_b = back_1 + pc_turn_time_s(unit, back_in, push) + shift;
  if (turn_b + drive_b < turn_f + drive_f - 1e-9)
    *approach = (pc_approach){turn_b + drive_b, turn_b, drive_b, back_1, true};
}

double pc_world_front_m(const pc_world *world, size_t zone) {
  double capacity = world->lot->zone_capacity_kg[zone];
  double depth = world->lot->routes->faces.depth_m[zone];
  return isfinite(capacity) ? depth * pc_greater(0.0, 1.0 - world->piles[zone].snow_kg / capacity) : 0.0;
}

double pc_world_front_along_m(const pc_world *world, size_t zone, pc_point face, pc_point ahead) {
  const pc_ring *ring = &world->lot->zones[zone].outline;
  double front = pc_world_front_m(world, zone), out = INFINITY;
  if (!(front > 0.0) || ring->count == 0)
    return front;
  for (size_t i = 0; i < ring->count; i++) {
    pc_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
    double ex = b.x_m - a.x_m, ey = b.y_m - a.y_m, fx = a.x_m - face.x_m, fy = a.y_m - face.y_m;
    double across = ahead.x_m * ey - ahead.y_m * ex;
    double along = across != 0.0 ? (fx * ey - fy * ex) / across : 0.0;
    double share = across != 0.0 ? (fx * ahead.y_m - fy * ahead.x_m) / across : -1.0;
    if (along > 1e-6 && share >= -1e-9 && share <= 1.0 + 1e-9)
      out = pc_lesser(out, along);
  }
  pc_point middle = {face.x_m + 0.5 * out * ahead.x_m, face.y_m + 0.5 * out * ahead.y_m};
  return isfinite(out) && pc_ring_contains(ring, middle) ? pc_lesser(front, out) : 0.0;
}

bool pc_runs_along(const pc_lot *lot, const pc_lane *lane, pc_point from, pc_point to, double *along_to_m) {
  const pc_patch *patch = &lot->ground->patches[lane->patch];
  double u0, v0, u1, v1;
  pc_patch_local(patch, from, &u0, &v0);
  pc_patch_local(patch, to, &u1, &v1);
  double share = 1.0, half = 0.5 * lane->width_m, rise = v1 - v0;
  double edge = (rise > 0.0 ? lane->v_m + half : lane->v_m - half) - v0;
  if (fabs(rise) > fabs(edge))
    share = edge / rise;
  double end = u0 + share * (u1 - u0);
  double low = patch->u0_m, high = patch->u0_m + patch->stations * patch->station_m;
  *along_to_m = end < low ? low : end > high ? high : end;
  return fabs(*along_to_m - u0) >= lane->width_m;
}

/* Dirty length along one lane between two places, in metres of u. */
static double dirty_along_m(const pc_lane_state *state, const pc_patch *patch, const pc_lane *lane,
                            size_t lane_index, double low_m, double high_m) {
  if (state->dirty_count[lane_index] == 0)
    return 0.0;
  double d = patch->station_m, low = (low_m - patch->u0_m) / d, high = (high_m - patch->u0_m) / d, sum = 0.0;
  int first = low <= 0.0 ? 0 : (int)low;
  int last = high >= patch->stations ? patch->stations - 1 : (int)high;
  for (int i = first; i <= last; i++) {
    size_t slot = lane->first + (size_t)i;
    if (state->dirty[slot]) /* the part of it where the snow lies */
      sum += pc_greater(0.0, pc_lesser(high, i + state->high[slot]) - pc_greater(low, i + state->low[slot]));
  }
  return sum > 0.0 ? sum * d : 0.0;
}

/* Share of the ground that is dirty across a lane: 0 or 1; on the border of two slots, half of each. */
static double dirty_across(const pc_lane_state *state, const pc_patch *patch, const pc_lane *lane,
                           double u_m) {
  double place = (u_m - patch->u0_m) / patch->station_m, slack = 1e-9, share = 0.0;
  if (place < -slack || place > patch->stations + slack)
    return 0.0;
  for (int side = -1; side <= 1; side += 2) {
    int i = (int)(place + side * slack); /* below 0, by as little, is 0 too */
    i = i >= patch->stations ? patch->stations - 1 : i;
    size_t slot = lane->first + (size_t)i;
    double within = place + side * slack - i;
    if (within >= state->low[slot] - 2.0 * slack && within <= state->high[slot] + 2.0 * slack)
      share += 0.5 * state->dirty[slot];
  }
  return share;
}

/* The lane that covers a place across the patch; the first or last one beyond its sides. */
static size_t lane_at(const pc_lane_set *set, const pc_patch *patch, size_t p, double v_m) {
  double strip = (v_m - patch->v0_m) / patch->strip_m;
  int index = strip <= 0.0 ? 0 : strip >= patch->strips ? patch->strips - 1 : (int)strip;
  return pc_lane_of_strip(set, p, index);
}

/* The station of a place along the patch, or the one beside it on that side; kept within the patch. */
static int station_at(const pc_patch *patch, double u_m, int side) {
  double place = (u_m - patch->u0_m) / patch->station_m + side;
  return place <= 0.0 ? 0 : place >= patch->stations ? patch->stations - 1 : (int)place;
}

static double dirty_in_patch_m(const pc_lane_set *set, const pc_lane_state *state, const pc_patch *patch,
                               size_t p, pc_point from, pc_point to) {
  double u0, v0, u1, v1, sum = 0.0;
  pc_patch_local(patch, from, &u0, &v0);
  pc_patch_local(patch, to, &u1, &v1);
  double v_low = pc_lesser(v0, v1), v_high = pc_greater(v0, v1), slack_m = 1e-6;
  if (pc_greater(u0, u1) < patch->u0_m - slack_m ||
      pc_lesser(u0, u1) > patch->u0_m + patch->stations * patch->station_m + slack_m)
    return 0.0;
  double du = u1 - u0, dv = v1 - v0, length = sqrt(du * du + dv * dv);
  int first = station_at(patch, pc_lesser(u0, u1), -1), end = station_at(patch, pc_greater(u0, u1), 1);
  size_t last = lane_at(set, patch, p, v_high);
  for (size_t l = lane_at(set, patch, p, v_low); l <= last; l++) {
    const pc_lane *lane = &set->lanes[l];
    double low = lane->v_m - 0.5 * lane->width_m, high = lane->v_m + 0.5 * lane->width_m;
    if (state->dirty_count[l] == 0 || high <= v_low || low > v_high ||
        pc_scan_up(&state->dirty[lane->first], first, end) < 0)
      continue;
    double a = 0.0, b = 1.0; /* the part of the way within this lane */
    if (dv != 0.0) {
      double s = (low - v0) / dv, t = (high - v0) / dv;
      a = pc_greater(0.0, pc_lesser(s, t));
      b = pc_lesser(1.0, pc_greater(s, t));
    }
    if (b <= a)
      continue;
    double ua = u0 + a * du, ub = u0 + b * du, u_low = pc_lesser(ua, ub), u_high = pc_greater(ua, ub);
    if (u_high - u_low > 1e-9) {
      sum += dirty_along_m(state, patch, lane, l, u_low, u_high) * ((b - a) * length / (u_high - u_low));
    } else {
      sum += dirty_across(state, patch, lane, u_low) * (b - a) * length;
    }
  }
  return sum;
}

/* Where slots of two areas reach over their border a leg may meet both; it is not longer for that. */
static double dirty_leg_m(const pc_world *world, size_t lane_set, pc_point from, pc_point to) {
  const pc_lane_set *set = &world->lot->lane_sets[lane_set];
  const pc_lane_state *state = &world->lanes[lane_set];
  double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m, sum = 0.0;
  for (size_t p = 0; p < world->lot->ground->patch_count; p++)
    if (state->patch_dirty[p] > 0)
      sum += dirty_in_patch_m(set, state, &world->lot->ground->patches[p], p, from, to);
  return sum > 0.0 ? pc_lesser(sum, sqrt(dx * dx + dy * dy)) : 0.0;
}

double pc_world_dirty_length_m(const pc_world *world, size_t lane_set, const pc_point *points, int count) {
  double sum = 0.0;
  for (int k = 0; k + 1 < count && world->lanes[lane_set].total_dirty > 0; k++)
    sum += dirty_leg_m(world, lane_set, points[k], points[k + 1]);
  return sum;
}

/* ---- keeping apart ---- */

static double to_line_m(pc_point p, pc_point a, pc_point b) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m, squared = dx * dx + dy * dy;
  double share = squared > 0.0 ? ((p.x_m - a.x_m) * dx + (p.y_m - a.y_m) * dy) / squared : 0.0;
  share = pc_lesser(1.0, pc_greater(0.0, share));
  double x = p.x_m - a.x_m - share * dx, y = p.y_m - a.y_m - share * dy;
  return sqrt(x * x + y * y);
}

bool pc_claim_is_near(const pc_world *world, const pc_claim *claim, const pc_lane *lane, double low_m,
                      double high_m) {
  const pc_ground *ground = world->lot->ground;
  if (claim->patch < 0 || claim->patch == lane->patch)
    return false;
  const pc_patch *theirs = &ground->patches[claim->patch], *own = &ground->patches[lane->patch];
  double v_m = theirs->v0_m + 0.5 * (claim->strip0 + claim->strip1) * theirs->strip_m;
  double half = 0.5 * ((claim->strip1 - claim->strip0) * theirs->strip_m + lane->width_m);
  double low = pc_greater(low_m, own->u0_m), high = pc_lesser(high_m, own->u1_m);
  pc_point a = pc_patch_world(theirs, claim->low_m, v_m), b = pc_patch_world(theirs, claim->high_m, v_m);
  pc_point c = pc_patch_world(own, low, lane->v_m), d = pc_patch_world(own, high, lane->v_m);
  double least = pc_lesser(pc_lesser(to_line_m(a, c, d), to_line_m(b, c, d)),
                           pc_lesser(to_line_m(c, a, b), to_line_m(d, a, b))); /* they never cross */
  return least - half < world->lot->keep_apart_m;
}
