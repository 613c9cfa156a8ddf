// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Inside a run: the world's state and the pieces that change it. Not installed; for lib/sim only.
 *
 * Ground: kg per cell is the truth. Each lane set keeps, per slot (station of a lane), the sum of its cells
 * and whether it is dirty, so that decisions never walk over cells.
 */
#ifndef PC_SIM_WORLD_H
#define PC_SIM_WORLD_H

#include <math.h>

#include "base/random.h"
#include "sim/engine.h"
#include "sim/plan.h"
#include "sim/policy.h"
#include "site/routes.h"

typedef struct pc_lane_state { /* one per lane set */
  double *slot_kg;
  double *low, *high;           /* where in the slot its snow lies, 0 … 1 along u */
  unsigned char *dirty, *fresh; /* needs sweeping; never swept */
  int *dirty_count;             /* per lane */
  int *patch_dirty;             /* per patch */
  uint32_t *version;            /* per lane: grows with every change of its slots; never 0 */
  uint32_t *slot_version;       /* that of the lane when the slot changed last */
  size_t total_dirty;
  void *block, *start; /* what all of these point into, and how it is when a run begins */
  size_t size, start_dirty;
} pc_lane_state;

static inline void pc_count_dirty(pc_lane_state *state, size_t lane, size_t patch, int more) {
  state->dirty_count[lane] += more;
  state->patch_dirty[patch] += more;
  state->total_dirty += (size_t)more;
}

typedef struct pc_claim { /* the stretch of strips that a machine is working */
  int patch;              /* -1: none */
  int strip0, strip1;     /* half open */
  double low_m, high_m;
} pc_claim;

typedef enum pc_purpose {
  PC_PURPOSE_FILL,
  PC_PURPOSE_CARRY,
  PC_PURPOSE_DUMP,
  PC_PURPOSE_RETURN,
  PC_PURPOSE_TURN,
  PC_PURPOSE_BREAKDOWN,
  PC_PURPOSE_COUNT
} pc_purpose;

typedef struct pc_machine {
  pc_point at;        /* where it stands, or will stand when it leaves the pile */
  pc_place place;     /* the same, for the routes */
  bool on_line;       /* on the line of its node, not only near it */
  pc_outlook outlook; /* from where it looked last; pc_look before use */
  pc_place looked_from;
  bool looked, looked_on_line;
  pc_point facing; /* unit vector */
  double load_kg;
  double room_kg; /* reserved in zone `zone` */
  pc_point berth; /* on the face of zone `zone` */
  double back_m;  /* to back out of the pile before anything else; 0 = none */
  double clock_s; /* end of the last phase written */
  bool reversing; /* direction of travel when it stands */
  bool leaving;   /* has dumped and not yet raised and backed out */
  bool raised;
  bool asleep;    /* waits for work */
  bool resting;   /* in a break that began while it waited */
  double *stop_s; /* in a stop that began between phases: what its time is told as; NULL: in none */
  double stop_from_s;
  bool over;     /* nothing was left to do, nor would be, when it fell asleep */
  bool finished; /* cannot go on (no zone has room, or cannot move a load), or has left */
  bool gone;     /* has left at the end of its shift */
  double next_break_s;
  double next_failure_s; /* in working time */
  double fuel_mark_l;    /* burnt when it last refuelled */
  pc_bite bite;
  double stop_m; /* where its last bite ended, along the lane */
  pc_claim claim;
  int zone;
  pc_stream streams[PC_PURPOSE_COUNT];
} pc_machine;

typedef struct pc_pile {
  double snow_kg, reserved_kg;
  int busy;
  uint32_t waiting[PC_MACHINES_MAX]; /* first in, first out */
  int waiting_count;
} pc_pile;

typedef struct pc_area_state {
  bool held;              /* blades go first: others wait until they are done */
  bool open, clear, done; /* may be worked; has no work now; had none at some time since it opened */
  bool had_work;          /* at some time: before, in a storm, it is bare rather than done */
  bool judged, met;       /* its deadline has come; it was clear then */
  bool over;              /* it was, or was so later: it no longer comes first */
  double done_s, max_depth_m;
  double
      ready_s; /* for its deadline: since when it was clear then, or when it was for the first time later */
} pc_area_state;

enum { PC_BOOKINGS_MAX = 2 * PC_MACHINES_MAX };

typedef struct pc_passage_state { /* when machines are inside */
  double from_s[PC_BOOKINGS_MAX], to_s[PC_BOOKINGS_MAX];
  int count;
} pc_passage_state;

typedef struct pc_stay { /* inside a passage, as shares of a way */
  size_t passage;
  double from, to;
} pc_stay;

struct pc_world {
  const pc_lot *lot;
  pc_engine engine;
  double *cell_kg;
  unsigned char *cell_swept; /* only with several lane sets, whose slots overlap: see pc_marks_cells */
  double *cell_bare_kgpm2;   /* fallen_kgpm2 when a box went over it last; NULL where no snow falls */
  pc_lane_state *lanes;
  pc_machine *machines;
  double *full_met_kg; /* per machine: snow that an empty box meets until it is full */
  pc_pile *piles;
  pc_area_state *areas;
  pc_passage_state *passages;
  pc_stay *stays;          /* room for one in each passage, for the way that is looked at */
  double fallen_kgpm2;     /* so far */
  bool begun;              /* the trigger depth has been reached */
  const pc_policy *policy; /* of the lot when the world was made: its state has that one's size */
  const pc_plan *plan;     /* NULL: none is followed */
  void *policy_state;
  size_t policy_state_size;
  const pc_trace *trace;
  pc_result *result;
  uint64_t replication;
  bool zones_full;
  bool check_always;
  char complaint[160];
};

/* Lanes of one set share no cells, so that their slots know what is swept. */
static inline bool pc_marks_cells(const pc_world *world) {
  return world->lot->lane_set_count > 1;
}

/* A sweep along a lane, and what came of it. */
typedef struct pc_sweep {
  double stop_m;  /* where it ended */
  double load_kg; /* in the box at the end */
  double time_s;  /* at push speed, without acceleration or chance */
  double length_m;
  double spilled_kg;
  int slots, fresh_slots;
} pc_sweep;

/* fmin and fmax without their care for NaN, which costs a call in the hot path. */
static inline double pc_lesser(double a, double b) {
  return a < b ? a : b;
}

static inline double pc_greater(double a, double b) {
  return a > b ? a : b;
}

/* slots.c */
PC_MUST_USE pc_status pc_world_create_ground(pc_world *world);
void pc_world_free_ground(pc_world *world);
void pc_world_start_ground(pc_world *world);
/* Sums a slot's cells afresh. */
void pc_refresh_slot(pc_world *world, size_t set, size_t lane, int station);
/* Brings every lane that covers strips low … high (both included) up to date at one station. */
void pc_refresh_strips(pc_world *world, int patch, int station, int low, int high);
/* Nothing is known of where in a slot its snow lies, but that it does not lie beyond a wall. */
void pc_mark_walls(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state, const pc_lane *lane,
                   size_t slot);
static inline void pc_reset_marks(const pc_lot *lot, const pc_lane_set *set, pc_lane_state *state,
                                  const pc_lane *lane, size_t slot) {
  state->low[slot] = 0.0;
  state->high[slot] = 1.0;
  if (set->slot_ways && set->slot_ways[slot].walls)
    pc_mark_walls(lot, set, state, lane, slot);
}
/* Mass per area that may lie on swept ground: while snow falls, as much as the trigger depth of it. */
double pc_trigger_kgpm2(const pc_world *world);

/* sweep.c: pushes from from_m towards to_m until the load reaches target_kg (or to_m); changes the ground. */
void pc_world_sweep(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m,
                    double target_kg, pc_sweep *sweep);
/* A full box driven along its lane takes nothing: the snow it meets goes to the sides. */
void pc_world_push_aside(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m);
/* A blade lays all that it meets to one side (+1: higher lane numbers). */
void pc_world_lay_aside(pc_world *world, size_t machine, const pc_lane *lane, double from_m, double to_m,
                        int side, pc_sweep *sweep);
/* Snow dropped onto one slot of a lane. */
void pc_world_drop(pc_world *world, const pc_lane *lane, int station, double kg);
/* The same as pc_world_sweep on paper: nothing changes. *ideal_kgm gets Σ mass taken × way to the nearest
 * zone. */
void pc_world_foresee(const pc_world *world, size_t machine, size_t lane, double from_m, double to_m,
                      double load_kg, pc_sweep *sweep, double *ideal_kgm);
/* First slot of a position moving in direction `sign`. */
int pc_lane_station(const pc_lot *lot, const pc_lane *lane, double u_m, int sign);

/* travel.c */
double pc_turn_angle(pc_point from, pc_point to); /* between two directions of any length, rad */
double pc_turn_time_s(const pc_unit *unit, pc_point from, pc_point to);
double pc_bends_time_s(const pc_unit *unit, const pc_way *way); /* turning at the corners of a way */
pc_point pc_unit_vector(pc_point from, pc_point to, pc_point otherwise);
/* Dirty length of a way, in the lanes of a lane set. */
double pc_world_dirty_length_m(const pc_world *world, size_t lane_set, const pc_point *points, int count);

typedef struct pc_approach { /* from where a machine stands to the start of a bite */
  double time_s;             /* all of it, without chance */
  double turn_s, drive_s;    /* turn_s includes changes of direction */
  double first_turn_s;       /* the part of turn_s before the drive and at corners on the way */
  bool reverse;
} pc_approach;

/* Empty machine (box raised): the quicker of turning and driving forward, or reversing. */
void pc_plan_approach(const pc_unit *unit, pc_point at, pc_point facing, bool reversing, const pc_way *way,
                      double slow_m, double slow_mps, pc_point push, pc_approach *approach);
/* The part of a way near things, where machines go slowly, and the extra time for it at this speed elsewhere.
 */
double pc_world_slow_m(const pc_world *world, const pc_routes *routes, pc_point from, const pc_way *way);
double pc_world_slow_s(const pc_world *world, double slow_m, double speed_mps);
/* Ends a bite at the walls of its first and last slot. */
void pc_keep_off_walls(const pc_lot *lot, const pc_lane_set *set, pc_bite *bite);
/* A place on a lane for this machine's routes. */
static inline pc_place pc_world_place(const pc_world *world, size_t machine, const pc_lane *lane,
                                      double u_m) {
  return pc_lot_place(world->lot, &world->lot->lane_sets[world->lot->machines[machine].lane_set], lane, u_m);
}
/* How deep behind a zone's face the pile begins: it grows from the far side. */
double pc_world_front_m(const pc_world *world, size_t zone);
/* The same for a machine that arrives at the face in this direction (a unit vector): not out of the zone at
 * another side of it. */
double pc_world_front_along_m(const pc_world *world, size_t zone, pc_point face, pc_point ahead);
/* The stretch of its own lane that a loaded leg runs along: true if it is at least a swath long. */
bool pc_runs_along(const pc_lot *lot, const pc_lane *lane, pc_point from, pc_point to, double *along_to_m);

/* cycle.c */
extern const pc_handler pc_cycle_handlers[];
enum {
  PC_EVENT_FREE,
  PC_EVENT_FILL,
  PC_EVENT_FILLED,
  PC_EVENT_ARRIVED,
  PC_EVENT_DUMPED,
  PC_EVENT_DROPPED,
  PC_EVENT_OPEN,
  PC_EVENT_SNOW,
  PC_EVENT_SWEEP,
  PC_EVENT_KINDS
};

/* verify.c */
pc_status pc_world_verify(pc_engine *engine, void *context);

/* An area is judged by the lanes of those who may work it, and are still there if anyone is: what is thin
 * over one swath may not be over a narrower one. */
bool pc_area_has_work(const pc_world *world, size_t patch);
double pc_fuel_l(const pc_unit *unit, const pc_machine_result *machine); /* NaN without figures */

/* The machine may work this area now. */
static inline bool pc_may_work(const pc_world *world, size_t machine, int patch) {
  return world->lot->machines[machine].allowed[patch] && world->areas[patch].open &&
         !world->areas[patch].held && world->lot->areas[patch].into < 0;
}

/* The same for an area whose snow is carved out into another. */
static inline bool pc_may_carve(const pc_world *world, size_t machine, int patch) {
  return world->lot->machines[machine].allowed[patch] && world->areas[patch].open &&
         world->lot->areas[patch].into >= 0;
}

/* The machine works this area now before those of a higher rank; 0 is the rank of all in their turn. */
static inline bool pc_has_rank(const pc_world *world, size_t machine, int patch, int rank) {
  return rank == 0 || (world->lot->machines[machine].first[patch] == rank && !world->areas[patch].over);
}

/* Something is to be done in an area of this rank. */
bool pc_rank_has_work(const pc_world *world, size_t machine, int rank);

static inline double pc_view_room(const pc_world *world, size_t zone) {
  return world->lot->zone_capacity_kg[zone] - world->piles[zone].snow_kg - world->piles[zone].reserved_kg;
}

static inline const pc_lane_set *pc_set_of(const pc_world *world, size_t machine) {
  return &world->lot->lane_sets[world->lot->machines[machine].lane_set];
}

static inline const pc_lane_state *pc_state_of(const pc_world *world, size_t machine) {
  return &world->lanes[world->lot->machines[machine].lane_set];
}

static inline bool pc_claims_stretch(const pc_claim *claim, const pc_lane *lane, double low_m, double high_m,
                                     double apart_m, double strip_m) {
  int strips = apart_m > 0.0 ? (int)ceil(apart_m / strip_m) : 0;
  return claim->patch == lane->patch && claim->strip0 < lane->strip0 + lane->strips + strips &&
         lane->strip0 < claim->strip1 + strips && claim->low_m < high_m + apart_m &&
         low_m < claim->high_m + apart_m;
}

/* True if a claim in another area is nearer to this stretch than machines are to keep apart. */
bool pc_claim_is_near(const pc_world *world, const pc_claim *claim, const pc_lane *lane, double low_m,
                      double high_m);

/* True if another machine works somewhere on this stretch of the lane. */
static inline bool pc_stretch_taken(const pc_world *world, size_t machine, const pc_lane *lane, double low_m,
                                    double high_m) {
  double apart_m = world->lot->keep_apart_m, strip_m = world->lot->ground->patches[lane->patch].strip_m;
  for (size_t m = 0; m < world->lot->machine_count; m++)
    if (m != machine &&
        (pc_claims_stretch(&world->machines[m].claim, lane, low_m, high_m, apart_m, strip_m) ||
         (apart_m > 0.0 && pc_claim_is_near(world, &world->machines[m].claim, lane, low_m, high_m))))
      return true;
  return false;
}

#endif
