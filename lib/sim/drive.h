// SPDX-License-Identifier: GPL-3.0-or-later
/* What a machine does between events: phases written to result and trace, driving empty and loaded, the way
 * to a zone. Internal to lib/sim. */
#ifndef PC_SIM_DRIVE_H
#define PC_SIM_DRIVE_H

#include "sim/world.h"

enum { PC_FIRST, PC_SECOND }; /* priorities: what ends comes before what is woken by it */

typedef struct pc_leg { /* what one phase drives */
  pc_point from, to;
  double distance_m, swath_m;
  bool reverse;
} pc_leg;

static inline const pc_unit *pc_unit_of(const pc_world *world, size_t m) {
  return &world->lot->machines[m].unit;
}

/* Brings the machine's outlook up to date. One that has not moved sees what it saw. */
void pc_look(pc_world *world, size_t m);

static inline const pc_routes *pc_routes_of(const pc_world *world, size_t m) {
  return pc_set_of(world, m)->routes;
}

static inline pc_leg pc_standing(pc_point at) {
  return (pc_leg){at, at, 0.0, 0.0, false};
}

/* True if nothing stands on the first and last leg of a way. */
static inline bool pc_way_is_clear(const pc_routes *routes, pc_point from, const pc_way *way) {
  return pc_routes_clear(routes, from, way->first) && pc_routes_clear(routes, way->last, way->end);
}

/* A time with chance. */
static inline double pc_drawn(pc_machine *machine, pc_purpose purpose, double cv, double time_s) {
  return time_s * pc_stream_factor(&machine->streams[purpose], cv);
}

/* Where it really is: `at` is ahead of the truth while it still stands at the pile. */
static inline pc_point pc_standing_at(const pc_machine *machine) {
  double back = machine->leaving ? machine->back_m : 0.0;
  return (pc_point){machine->at.x_m + back * machine->facing.x_m,
                    machine->at.y_m + back * machine->facing.y_m};
}

/* drive.c */

/* Writes one phase of a machine: its time, its distance, its row in the trace. */
void pc_write_phase(pc_world *world, size_t m, pc_phase phase, double time_s, pc_leg drive);
/* Shows the ground to the trace, after this machine has changed it. */
void pc_show_ground(const pc_world *world, size_t m);
/* An event of this machine when its last phase ends. */
PC_MUST_USE pc_status pc_schedule(pc_world *world, size_t m, uint32_t kind);
/* Has every machine that waits for work ask again. */
PC_MUST_USE pc_status pc_wake_others(pc_world *world);
void pc_leave_pile(pc_world *world, size_t m);
void pc_stand_at(pc_machine *machine, const pc_place *place);
/* It has dumped, and backs out. */
void pc_back_out(pc_machine *machine);
/* There is a way from where it stands. What a machine gets to in two drives it need not get to in one: beside
 * things it may stand on its lane nearer to them than it may pass elsewhere. */
bool pc_can_drive(const pc_world *world, size_t m, const pc_place *to);
/* Drives somewhere with the box raised, and stands there, facing this way (0, 0: as it arrives). */
void pc_drive_empty(pc_world *world, size_t m, const pc_place *to, pc_point facing);
/* Drives to the start of a bite and stands there, facing `push`, box down. */
void pc_approach_empty(pc_world *world, size_t m, const pc_place *start, pc_point push);
void pc_approach_loaded(pc_world *world, size_t m, const pc_place *start, pc_point push);
/* Turns into a way and carries the load along it. */
void pc_carry_along(pc_world *world, size_t m, const pc_way *way, double dirty_m);
/* Dirty length of a way; `points` gets its corners. */
double pc_dirty_on_way_m(const pc_world *world, size_t m, const pc_way *way, pc_point *points);

/* dump.c: carries the load to a zone (−1: the nearest with room); ends the machine's work if none has room.
 */
PC_MUST_USE pc_status pc_go_to_zone(pc_world *world, size_t m, int zone);

#endif
