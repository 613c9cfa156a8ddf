// SPDX-License-Identifier: GPL-3.0-or-later
/* Runs with areas, shifts, passages and storms, for tests: building blocks of scenarios, and a run that keeps
 * its trace and lets a test look into the world each time a row is written. Fails the test if anything goes
 * wrong. */
#ifndef PC_TESTS_NIGHT_RUN_H
#define PC_TESTS_NIGHT_RUN_H

#include "sim/world.h"

typedef struct night_run night_run;

struct night_run {
  pc_lot *lot;
  pc_world *world;
  pc_result result;
  pc_trace_row *rows;
  size_t row_count, row_room;
  void (*look)(night_run *run, const pc_trace_row *row); /* may be NULL */
  void (*depth)(night_run *run, double time_s, size_t area, double depth_m);
  void *context; /* for the two above */
};

/* Makes the lot and the world; every invariant will be checked after every event. */
void night_make(night_run *run, const pc_scenario *scenario, const pc_choice *choice);
void night_go(night_run *run, uint64_t seed, uint64_t replication);
/* Both, under seed 1. */
void night_simulate(night_run *run, const pc_scenario *scenario);
void night_free(night_run *run);

/* Rows of this machine (−1: of any) in this phase; their time. */
size_t night_count(const night_run *run, int machine, pc_phase phase);
double night_time_s(const night_run *run, int machine, pc_phase phase);
/* Area in which the middle of a row lies, −1 if in none. */
int night_area(const night_run *run, const pc_trace_row *row);

/* Pointers are good until the next one is added. */
pc_area *night_add_area(pc_scenario *s, const char *name, double x0, double y0, double x1, double y1);
void night_add_ground(pc_scenario *s, double x0, double y0, double x1, double y1);
void night_add_building(pc_scenario *s, double x0, double y0, double x1, double y1);
pc_passage *night_add_passage(pc_scenario *s, double x0, double y0, double x1, double y1, int machines);
pc_zone *night_add_zone(pc_scenario *s, double x, double y);
/* A copy of the last one, under another name. */
pc_loader *night_add_loader(pc_scenario *s, const char *name);
pc_box *night_add_box(pc_scenario *s, const char *name);
pc_crew_entry *night_add_crew(pc_scenario *s, const char *loader, const char *box, pc_point start);
void night_add_name(pc_names *names, const char *name);
void night_add_storm(pc_scenario *s, double after_s, double rate_mps);

/* `count` strips of one lane each (4.5 m wide, side by side, named "a", "b", …), a point zone at the far end
 * of each. The full box of 1,350 kg holds run_m of a strip. No crew yet. */
pc_scenario night_strips(size_t count, double length_m, double run_m);
pc_point night_strip_end(const pc_scenario *s, size_t strip);
/* By hand: one machine on one such strip, from its zone and back to it,.
 * Load i is filled away from the zone and carried back over i·run. */
double night_strip_s(const pc_scenario *s, double length_m, double run_m);
double night_load_s(const pc_scenario *s, double length_m, double run_m, int load);
/* The part of the last load after its fill. */
double night_last_carry_s(const pc_scenario *s, double length_m);

#endif
