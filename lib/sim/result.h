// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What one run gives: total time, the split of every machine's time, zones, snow. SI units. For each
 * machine the phases, idle included, add up to the total time. Free with pc_result_free.
 *
 * Times go by the clock but where it says "at work". These are the same where work_minutes_per_hour is 60;
 * with less, time at work · 60 / work_minutes_per_hour is time by the clock (pc_lot_clock_s), and the
 * difference is in the idle time. Thread-safe (arguments only).
 */
#ifndef PC_SIM_RESULT_H
#define PC_SIM_RESULT_H

#include <stdint.h>

#include "machine/loader.h"

PC_BEGIN_C

typedef enum pc_phase {
  PC_PHASE_LOWER,
  PC_PHASE_FILL,
  PC_PHASE_CLEAN_UP,
  PC_PHASE_RAISE,
  PC_PHASE_TURN,
  PC_PHASE_CARRY,
  PC_PHASE_WAIT,
  PC_PHASE_DUMP,
  PC_PHASE_RETURN,
  PC_PHASE_IDLE,
  PC_PHASE_COUNT
} pc_phase;

PC_API const char *pc_phase_name(pc_phase phase); /* "lower" "fill" "clean_up" … as in the trace */

typedef enum pc_reason {
  PC_REASON_DONE,       /* nothing is left above the done_below depth */
  PC_REASON_ZONES_FULL, /* pile zones full: snow is left that needs hauling off */
  PC_REASON_STUCK,      /* no machine can move its load (traction) */
  PC_REASON_STOPPED     /* the policy stopped with work left */
} pc_reason;

PC_API const char *pc_reason_name(pc_reason reason); /* "done" "pile zones full" … */

typedef struct pc_machine_result {
  double time_s[PC_PHASE_COUNT]; /* at work, all but PC_PHASE_IDLE, which has the rest up to the total time */
  double fill_m, carry_m, return_m; /* fill includes clean-up */
  double placed_kg;                 /* snow that this machine dumped */
  double fuel_l;                    /* NaN if the loader has no fuel figures */
  int cycles;                       /* dumps */
  double absent_s;           /* before it comes and after it has left: counted as idle, but no engine runs */
  double break_s;            /* standing in breaks, by the clock */
  double refuel_s, repair_s; /* at work: refuelling with the drive there; standing in repairs */
  double done_s;             /* end of its last push or dump, by the clock; NaN: it had none */
  int last_area; /* in which its last pushes were; −1: it had none, or (of means) not in one alone */
  double last_area_from_s; /* since when it has worked there alone, the way there included; NaN as above */
} pc_machine_result;

typedef struct pc_zone_result {
  double snow_kg, volume_m3;
  double wait_s;      /* at work, as PC_PHASE_WAIT of the machines, of which it is a part */
  double capacity_m3; /* INFINITY if unlimited */
  int loads;
} pc_zone_result;

typedef struct pc_area_result {
  double done_s;      /* when it was clear for the last time; NaN: never */
  double max_depth_m; /* deepest that snow lay on average, as fresh snow (NaN: none falls) */
  /* For its deadline (NaN without one, or if it is not clear at it nor later): since when it has been clear
   * then, or, if it is late, when it is clear for the first time after it. */
  double ready_s;
  double late_s; /* the time from the deadline to that; 0 in time; NaN as above */
  bool late;     /* not clear by its deadline */
} pc_area_result;

typedef struct pc_passage_result {
  double wait_s; /* at work, likewise */
} pc_passage_result;

typedef struct pc_result {
  pc_reason reason;
  bool finished;
  double total_time_s;
  double start_kg, fallen_kg, placed_kg, left_kg; /* left: on the ground and in boxes at the end */
  double small_m2, small_kg; /* for a smaller machine than any of the crew: in none of the other sums */
  double haul_off_kg;        /* what is left above done_below when zones are full, else 0 */
  int cycles;
  uint64_t events;
  pc_machine_result *machines;
  size_t machine_count;
  pc_zone_result *zones;
  size_t zone_count;
  pc_area_result *areas;
  size_t area_count;
  pc_passage_result *passages;
  size_t passage_count;
} pc_result;

/* All its time: the sum over phases. */
PC_API double pc_machine_all_s(const pc_machine_result *machine);
/* Without rooms for areas and passages, whose results are then not kept; see pc_result_init_for in sim/run.h.
 */
PC_API PC_MUST_USE pc_status pc_result_init(pc_result *result, size_t machine_count, size_t zone_count);
PC_API void pc_result_free(pc_result *result);
/* 64-bit FNV-1a over every number of the result; equal bits give equal hashes, and NaNs of any kind are
 * alike. */
PC_API uint64_t pc_result_hash(const pc_result *result);

PC_END_C

#endif
