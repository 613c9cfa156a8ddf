// SPDX-License-Identifier: GPL-3.0-or-later
/* The night around the cycle: areas that open, machines that stop, narrow passages, falling snow. Internal to
 * lib/sim. Everything here is off, and costs a test of a flag, unless the scenario asks for it. */
#ifndef PC_SIM_NIGHT_H
#define PC_SIM_NIGHT_H

#include "sim/drive.h"

/* night.c */
PC_MUST_USE pc_status pc_night_start(pc_world *world);
/* What is open and what is done, after the ground has changed; wakes machines if an area opened. */
PC_MUST_USE pc_status pc_areas_update(pc_world *world);
/* Before more snow falls: what has been ready for its deadline until now. */
void pc_areas_note_ready(pc_world *world);
PC_MUST_USE pc_status pc_on_open(pc_engine *engine, void *context, uint32_t area);

/* blade.c */
bool pc_has_blade(const pc_world *world, size_t m);
/* It gets to none of the work that is left for it from where it stands. */
bool pc_blade_is_cut_off(const pc_world *world, size_t m);
/* Some blade has still to lay snow aside there: of those that are here, or those that have left. *anyone:
 * there is one. */
bool pc_blades_have_work(const pc_world *world, size_t patch, bool gone, bool *anyone);
/* The next bite: of a blade, out of an area that is carved out, or what the policy says. */
pc_decision pc_decide_bite(const pc_world *world, size_t m, pc_bite *bite);
/* Takes what was carved out to where it is dropped; then drops it there and backs off. */
PC_MUST_USE pc_status pc_go_to_drop(pc_world *world, size_t m);
void pc_drop(pc_world *world, size_t m);

/* stops.c: true if the machine stops (or leaves) instead of working on; *status is then the outcome. */
bool pc_take_stop(pc_world *world, size_t m, pc_status *status);
/* Before it works again after a wait that began then: what breaks fell due in it. True if one of them is not
 * at its end yet; *status is then the outcome. */
bool pc_rest(pc_world *world, size_t m, double since_s, pc_status *status);
/* The end of such a break. */
void pc_end_rest(pc_world *world, size_t m);
/* What of a stop between phases lasted until then is told; nothing where it is in none. */
void pc_end_stop(pc_world *world, size_t m, double end_s);
/* Nothing is left to do, nor will be: a stop now, or coming at all, would only lengthen the night. */
bool pc_is_over(const pc_world *world, size_t m);

/* passage.c: writes the wait before a drive that begins now and takes time_s, if a passage on the way is
 * taken. */
void pc_wait_for_passages(pc_world *world, size_t m, const pc_way *way, double time_s);

/* storm.c */
double pc_fallen_kg(const pc_world *world); /* on the lane grid, so far */
PC_MUST_USE pc_status pc_storm_start(pc_world *world);
/* The time has come to push all snow of an area, for its deadline. */
PC_MUST_USE pc_status pc_on_sweep(pc_engine *engine, void *context, uint32_t area);
PC_MUST_USE pc_status pc_on_snow(pc_engine *engine, void *context, uint32_t subject);

#endif
