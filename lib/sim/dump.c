// SPDX-License-Identifier: GPL-3.0-or-later
/* The way of a load to its zone: which zone, which berth, what is met on the way, how deep into the zone. */
#include "sim/drive.h"

static int nearest_zone_with_room(const pc_world *world, size_t m, double load_kg) {
  int best = -1;
  double least = INFINITY;
  for (size_t z = 0; z < world->lot->zone_count; z++) {
    pc_way way;
    pc_routes_to_zone(pc_routes_of(world, m), &world->machines[m].place, z, &way);
    if (way.length_m < least && pc_view_room(world, z) >= load_kg) {
      best = (int)z;
      least = way.length_m;
    }
  }
  return best;
}

/* The way that is driven: tables do not see what lies between two nodes. */
static void way_to_zone(const pc_world *world, size_t m, size_t zone, pc_way *way) {
  const pc_routes *routes = pc_routes_of(world, m);
  const pc_machine *machine = &world->machines[m];
  pc_place place = pc_place_at(machine->at);
  pc_way sure;
  pc_routes_to_zone(routes, &machine->place, zone, way);
  if (pc_way_is_clear(routes, machine->at, way))
    return;
  pc_routes_to_zone(routes, &place, zone, &sure);
  if (sure.length_m < INFINITY)
    *way = sure;
}

/* The part of the way to the zone that runs along the lane just worked: a box with room takes what it meets,
 * a full one pushes it aside. */
static void run_along_lane(pc_world *world, size_t m, size_t zone, pc_point first) {
  pc_machine *machine = &world->machines[m];
  const pc_lane *lane = &pc_set_of(world, m)->lanes[machine->bite.lane];
  double end_m, u, v, target = world->lot->full_at * pc_unit_of(world, m)->capacity_kg;
  if (!pc_runs_along(world->lot, lane, machine->at, first, &end_m))
    return;
  pc_patch_local(&world->lot->ground->patches[lane->patch], machine->at, &u, &v);
  target = pc_lesser(target, pc_view_room(world, zone));
  if (machine->load_kg < target) {
    pc_sweep sweep;
    pc_world_sweep(world, m, lane, u, end_m, target, &sweep);
    machine->load_kg = sweep.load_kg;
    u = sweep.stop_m;
  }
  pc_world_push_aside(world, m, lane, u, end_m);
}

static double apart_m(pc_point a, pc_point b) {
  double dx = b.x_m - a.x_m, dy = b.y_m - a.y_m;
  return sqrt(dx * dx + dy * dy);
}

/* True if no other machine is at, or on its way to, a place of the zone nearer than their boxes are wide:
 * neither on its face nor, as ways may draw together, where it dumps (`at` of those under way). */
static bool berth_is_free(const pc_world *world, size_t m, size_t zone, pc_point from, pc_point face) {
  pc_point ahead = pc_unit_vector(from, face, world->machines[m].facing);
  double front = pc_world_front_along_m(world, zone, face, ahead);
  pc_point dump = {face.x_m + front * ahead.x_m, face.y_m + front * ahead.y_m};
  for (size_t o = 0; o < world->lot->machine_count; o++) {
    const pc_machine *other = &world->machines[o];
    double room = pc_set_of(world, m)->half_width_m + pc_set_of(world, o)->half_width_m;
    if (o != m && other->zone == (int)zone && other->load_kg > 0.0 &&
        (apart_m(other->berth, face) < room || apart_m(other->at, dump) < room))
      return false;
  }
  return true;
}

/* The end of a way is moved; at its last corner it then bends by another angle. */
static void end_at(const pc_world *world, size_t m, pc_point end, pc_way *way) {
  pc_point points[PC_WAY_POINTS_MAX];
  way->length_m += apart_m(way->last, end) - apart_m(way->last, way->end);
  if (way->out == PC_NO_CORNER) {
    way->first = end;
  } else {
    int count = pc_routes_path(pc_routes_of(world, m), world->machines[m].at, way, points);
    pc_point last = way->last, before = points[count - 3];
    pc_point in = {last.x_m - before.x_m, last.y_m - before.y_m};
    way->bends_rad += pc_turn_angle(in, (pc_point){end.x_m - last.x_m, end.y_m - last.y_m}) -
                      pc_turn_angle(in, (pc_point){way->end.x_m - last.x_m, way->end.y_m - last.y_m});
  }
  way->end = end;
}

/* Berths are distinct places: beside a machine that is there already, as near as there is room. */
static void choose_berth(const pc_world *world, size_t m, size_t zone, pc_way *way) {
  enum { STEPS = 40 };
  const pc_routes *routes = pc_routes_of(world, m);
  pc_point nearest = way->end, at;
  size_t face;
  if (world->lot->zones[zone].berths < 2 || world->lot->machine_count < 2 ||
      berth_is_free(world, m, zone, way->last, nearest) ||
      !(pc_faces_nearest_m(&routes->faces, zone, nearest, &at, &face) < INFINITY))
    return;
  const pc_face *f = &routes->faces.items[face];
  pc_point along = pc_unit_vector(f->a, f->b, (pc_point){0.0, 0.0});
  double from_a = apart_m(f->a, at), length = apart_m(f->a, f->b);
  double step = 0.25 * pc_set_of(world, m)->half_width_m;
  for (int k = 1; k <= STEPS; k++)
    for (int sign = -1; sign <= 1; sign += 2) {
      double place = from_a + sign * k * step;
      pc_point end = {f->a.x_m + place * along.x_m, f->a.y_m + place * along.y_m};
      if (place < 0.0 || place > length || !berth_is_free(world, m, zone, way->last, end) ||
          !pc_routes_clear(routes, way->last, end))
        continue;
      end_at(world, m, end, way);
      return;
    }
}

/* Carries the load to the face and on to where the pile begins. It will back out by `back_out`, and in any
 * case out of the zone. */
static void go_to_front(pc_world *world, size_t m, size_t zone, pc_way *way, double dirty_m) {
  pc_machine *machine = &world->machines[m];
  pc_point face = way->end, ahead = pc_unit_vector(way->last, face, machine->facing);
  double front = pc_world_front_along_m(world, zone, face, ahead), last = apart_m(way->last, face);
  double back = pc_greater(0.0, pc_unit_of(world, m)->loader.back_out_m - front); /* beyond the face */
  pc_point behind = {face.x_m - back * ahead.x_m, face.y_m - back * ahead.y_m};
  if (pc_ground_find(world->lot->ground, behind) < 0 ||
      !pc_routes_clear(pc_routes_of(world, m), face, behind))
    back = pc_lesser(back, last);
  behind = (pc_point){face.x_m - back * ahead.x_m, face.y_m - back * ahead.y_m};
  way->length_m += front;
  way->end = (pc_point){face.x_m + front * ahead.x_m, face.y_m + front * ahead.y_m};
  if (way->out == PC_NO_CORNER)
    way->first = way->end;
  pc_carry_along(world, m, way, dirty_m);
  machine->back_m = back + front;
  machine->place = (pc_place){behind, pc_routes_face_node(pc_routes_of(world, m), zone, face), 0.0};
  machine->on_line = false;
}

pc_status pc_go_to_zone(pc_world *world, size_t m, int zone) {
  pc_machine *machine = &world->machines[m];
  if (zone < 0 || (size_t)zone >= world->lot->zone_count ||
      pc_view_room(world, (size_t)zone) < machine->load_kg)
    zone = nearest_zone_with_room(world, m, machine->load_kg);
  if (zone < 0) {
    world->zones_full = true;
    machine->finished = true;
    return pc_wake_others(world);
  }
  pc_point points[PC_WAY_POINTS_MAX];
  pc_way way;
  way_to_zone(world, m, (size_t)zone, &way);
  choose_berth(world, m, (size_t)zone, &way);
  double dirty = pc_dirty_on_way_m(world, m, &way, points);
  run_along_lane(world, m, (size_t)zone, points[1]);
  machine->zone = zone;
  machine->room_kg = machine->load_kg;
  machine->berth = way.end;
  world->piles[zone].reserved_kg += machine->room_kg;
  go_to_front(world, m, (size_t)zone, &way, dirty);
  pc_show_ground(world, m);
  return pc_schedule(world, m, PC_EVENT_ARRIVED);
}
