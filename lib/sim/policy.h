// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Policies: what to push next. A policy is a constant table with a name and a doc string. The engine asks
 * it whenever a machine is free: after a dump (empty), at the start, after a bite that ended before the box
 * was full (part loaded), and when a waiting machine may find work again.
 *
 * Rules: every bite must start on a slot that is dirty and not claimed by another machine, and must not
 * cross a gap in the pavement; then every bite moves snow and the run ends. A bite that breaks them, or for a
 * zone that does not exist, is not made: a load goes to the nearest zone, an empty machine waits. next() must
 * return: it must not leave by an exception or a jump.
 *
 * Thread-safety: one policy serves many runs at once, so what it remembers belongs in `state`. The view is
 * for the thread that runs the world.
 */
#ifndef PC_SIM_POLICY_H
#define PC_SIM_POLICY_H

#include "sim/lot.h"
#include "sim/run.h"

PC_BEGIN_C

typedef struct pc_bite {
  size_t lane;         /* in the machine's lane set */
  double from_m, to_m; /* along the lane (u); the box pushes from `from` towards `to` until full */
  int zone;            /* where the load should go, or -1: the nearest with room when the box is full */
} pc_bite;

typedef enum pc_decision {
  PC_DECIDE_BITE, /* *bite is filled */
  PC_DECIDE_DUMP, /* take the part load to bite->zone (−1, or one without room or that does not exist:
                     nearest) */
  PC_DECIDE_WAIT  /* nothing to do now; ask again when another machine has finished something */
} pc_decision;

typedef struct pc_policy {
  const char *name, *doc;
  /* Bytes of private state for one run of this lot, zeroed before each run; 0 if none. */
  size_t (*state_size)(const pc_lot *lot);
  pc_decision (*next)(void *state, const pc_world *world, size_t machine, pc_bite *bite);
} pc_policy;

/* Built-in policies by name; NULL if there is none. pc_policy_at(i) lists them; NULL past the end. */
PC_API const pc_policy *pc_policy_find(const char *name);
PC_API const pc_policy *pc_policy_at(size_t index);

/* The read-only view. Indices are not checked: they come from the lot. */
PC_API const pc_lot *pc_view_lot(const pc_world *world);
PC_API double pc_view_now_s(const pc_world *world);
/* Where the machine will stand when it leaves (after backing out of a pile), its heading, its load. */
PC_API pc_point pc_view_position(const pc_world *world, size_t machine);
/* Where its last bite ended, along the lane. */
PC_API double pc_view_stop_m(const pc_world *world, size_t machine);
PC_API double pc_view_load_kg(const pc_world *world, size_t machine);
/* Snow on slot `station` of a lane of the machine's lane set; whether it needs sweeping; whether it is
 * claimed by another machine. */
PC_API double pc_view_slot_kg(const pc_world *world, size_t machine, size_t lane, int station);
PC_API bool pc_view_slot_dirty(const pc_world *world, size_t machine, size_t lane, int station);
PC_API bool pc_view_slot_claimed(const pc_world *world, size_t machine, size_t lane, int station);
PC_API int pc_view_lane_dirty_count(const pc_world *world, size_t machine, size_t lane);
/* Room left in a zone, kg, less what is on its way there. */
PC_API double pc_view_zone_room_kg(const pc_world *world, size_t zone);

PC_END_C

#endif
