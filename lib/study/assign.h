// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Which machines with which boxes clear which of many lots, and in what order. SI units.
 *
 * The model. A unit is `together` machines of one kind, each with a box of one kind, that stay together the
 * whole night: 1 for a machine alone, more for machines that share lots. A unit starts at the yard, drives
 * from lot to lot, and clears each lot that it comes to by itself, in the time that a simulation of that lot
 * with that unit takes. Every lot is cleared by one unit; every machine and every box is in one unit at most.
 * What is made least is the time at which the last lot is done, and among plans that are done as early the
 * machine time (together × time until done); or the cost: paid time of all machines, and fuel on the lots.
 *
 * The way to the optimum. Routes of a unit are sets of lots, each in its best order (dynamic programming over
 * sets); which routes to drive is a covering problem with integers, solved by branch and bound (GLPK). For
 * the time, the covering problem is put as a question, "can all be done by T?", and T is halved in. The plan
 * comes with a proven bound. It falls short of the optimum at most by `gap`, which is above 0 only if a
 * search hit its limit of nodes, or if there were so many routes that some were not looked at.
 *
 * Limits are counts of steps, not seconds: the same input gives the same plan everywhere.
 *
 * Stopped before its end (watch), the work gives the best plan that is known by then, made by plain rules if
 * need be, with `stopped` set. Its bound is one on all plans with all units; NaN if not all of them were
 * simulated.
 *
 * Ownership: fleets, assignments and plans belong to their caller, who frees them. Failures: PC_ERR_MEMORY,
 * and what each function says. Thread-safe. GLPK is called in a thread of its own: what the program
 * itself does with GLPK, its hooks too, stays as it is (where no thread can be had, its hooks are cleared).
 */
#ifndef PC_STUDY_ASSIGN_H
#define PC_STUDY_ASSIGN_H

#include "base/watch.h"
#include "sim/result.h"
#include "sim/scenario.h"

PC_BEGIN_C

enum {
  PC_LOTS_MAX = 64,         /* lots of one assignment */
  PC_FLEET_MAX = 64,        /* machines of one kind, boxes of one kind; kinds of each */
  PC_FLEET_PLACES_MAX = 500 /* places that the fleet knows ways between */
};

/* ---- the fleet ---- */

typedef struct pc_fleet_machine {
  pc_name name;
  pc_loader loader;
  int count;          /* default 1 */
  pc_counts together; /* how many may work as one unit; empty: 1 */
  pc_names boxes;     /* kinds that it takes; empty: all */
  double cost_per_s;  /* machine and operator; NaN: as the fleet's money says */
} pc_fleet_machine;

typedef struct pc_fleet_box {
  pc_name name;
  pc_box box;
  int count; /* default 1 */
} pc_fleet_box;

typedef struct pc_fleet_place {
  pc_name name;
  pc_point at; /* NaN: not given */
} pc_fleet_place;

/* Times between places: a matrix, or positions and a speed on the road. Neither: no time at all. */
typedef struct pc_fleet_travel {
  pc_names places; /* of the matrix, the yard called "yard"; empty: positions */
  double *time_s;  /* from row to column */
  bool has_yard;
  pc_point yard;
  pc_fleet_place *lots;
  size_t lot_count;
  double speed_mps; /* NaN: not given */
  double detour;    /* way on the road over the straight line, default 1.3 */
  double set_up_s;  /* at every lot, before work begins, default 0 */
} pc_fleet_travel;

typedef struct pc_fleet {
  pc_name name;
  pc_fleet_machine *machines;
  size_t machine_count;
  pc_fleet_box *boxes;
  size_t box_count;
  pc_fleet_travel travel;
  bool back_to_yard;  /* the way back is paid; it never counts for when the last lot is done */
  pc_money money;     /* haul_off is not used */
  pc_origins origins; /* where its parts stand in its file; none: it was not read from one */
} pc_fleet;

PC_API extern const pc_fields pc_fleet_fields, pc_fleet_machine_fields, pc_fleet_box_fields,
    pc_fleet_place_fields, pc_fleet_travel_fields;

PC_API pc_fleet pc_fleet_default(void);
PC_API pc_fleet_machine pc_fleet_machine_default(void);
PC_API pc_fleet_box pc_fleet_box_default(void);
/* Every fault, with the paths of the fleet file as keys (machines[1].loader.speeds.push). */
PC_API void pc_fleet_validate(const pc_fleet *fleet, pc_faults *faults);
PC_API void pc_fleet_free(pc_fleet *fleet);
/* Quickest times between the yard (0) and the lots (1 …), by way of other places where that is quicker:
 * (count + 1)² of them, row by row. A lot that the fleet does not know is a fault, PC_ERR_NAME. */
PC_API PC_MUST_USE pc_status pc_fleet_times(const pc_fleet *fleet, const pc_name *lots, size_t count,
                                            double *time_s, pc_faults *faults);

/* ---- the covering problem, in plain numbers ---- */

typedef struct pc_assign_unit {
  size_t machine, box; /* kinds */
  int together;
  double cost_per_s; /* of all its machines */
} pc_assign_unit;

typedef enum pc_least { PC_LEAST_TIME, PC_LEAST_COST } pc_least;

typedef struct pc_assign_problem {
  const pc_assign_unit *units;
  size_t unit_count, lot_count;
  const double *work_s;    /* unit_count rows of lot_count: NaN where a unit cannot clear a lot */
  const double *work_cost; /* the same, besides what its time costs; NULL: nothing */
  const double
      *travel_s; /* (lot_count + 1)², the yard first; no way may be quicker by way of a third place */
  const int *machines, *boxes; /* how many there are of each kind */
  size_t machine_kinds, box_kinds;
  bool back_to_yard;
  pc_least least;
  size_t node_limit;     /* of each search; 0: PC_ASSIGN_NODES */
  size_t label_limit;    /* routes looked at of each length and unit; 0: PC_ASSIGN_LABELS */
  const pc_watch *watch; /* may be NULL; steps are searches */
} pc_assign_problem;

enum { PC_ASSIGN_NODES = 20000, PC_ASSIGN_LABELS = 60000 };

typedef struct pc_assign_stop {
  size_t lot;
  double arrive_s, done_s;
} pc_assign_stop;

typedef struct pc_assign_route {
  size_t unit;
  pc_assign_stop *stops;
  size_t stop_count;
  double end_s;  /* the last lot is done */
  double paid_s; /* end, and the way back where that is paid */
  double cost;
} pc_assign_route;

typedef struct pc_assign_plan {
  bool found;   /* false: there is no plan with these machines and boxes, or none yet if stopped */
  bool stopped; /* before the search was over */
  pc_assign_route *routes;
  size_t route_count;
  double finish_s, machine_s, cost;
  double bound;  /* no plan is done sooner (s), or is cheaper; NaN: not known */
  double gap;    /* (what is made least − bound) / it; 0: it is the optimum; NaN: not known */
  bool complete; /* every route that matters was looked at */
} pc_assign_plan;

/* The plan that is least, or the best that was found within the steps allowed, with its gap. PC_ERR_RANGE for
 * no lots or more than PC_LOTS_MAX, and for units of no machines or of kinds that do not exist. Being stopped
 * is no failure. Thread-safe (arguments only). */
PC_API PC_MUST_USE pc_status pc_assign_solve(const pc_assign_problem *problem, pc_assign_plan *plan);
PC_API void pc_assign_plan_free(pc_assign_plan *plan);

/* ---- the whole ---- */

typedef enum pc_assign_fit {
  PC_ASSIGN_FIT_DONE,     /* it clears the lot */
  PC_ASSIGN_FIT_FULL,     /* it works until the zones are full */
  PC_ASSIGN_FIT_TRACTION, /* its tyres cannot push a load of this snow */
  PC_ASSIGN_FIT_LOT,      /* no lot can be made with it */
  PC_ASSIGN_FIT_UNABLE,   /* it stops with work left */
  PC_ASSIGN_FIT_UNTRIED   /* the work was stopped before it was simulated */
} pc_assign_fit;

/* In words. */
PC_API const char *pc_assign_fit_describe(pc_assign_fit fit);

/* One unit on one lot. */
typedef struct pc_assign_trial {
  pc_assign_fit fit;
  bool used;                /* it may stand in the plan */
  double time_s;            /* mean; NaN if it was not simulated */
  double fuel_l;            /* NaN: not known */
  char why[PC_MESSAGE_MAX]; /* PC_ASSIGN_FIT_LOT: the first fault; PC_ASSIGN_FIT_UNABLE: which area it may not
                               work, if that is why; else "" */
} pc_assign_trial;

typedef struct pc_assign_settings {
  pc_least least;
  size_t replications; /* 0: once, without chance and breakdowns */
  uint64_t seed;
  int threads;       /* 0: one per processor */
  size_t node_limit; /* 0: PC_ASSIGN_NODES */
  /* May be NULL, and is in pc_assignment. Steps are replications of all units on all lots; then, counted from
   * 0 again, searches. */
  const pc_watch *watch;
} pc_assign_settings;

typedef struct pc_assignment {
  pc_assign_settings settings;
  pc_name *lots;
  size_t lot_count;
  pc_assign_unit *units;
  size_t unit_count;
  pc_assign_trial *trials; /* unit_count rows of lot_count */
  double *travel_s;        /* (lot_count + 1)² */
  size_t impossible;       /* lots that no unit can do: the plan is without them; none if that is all */
  size_t hauled;           /* lots whose zones run full with every unit */
  bool stopped;            /* before the end */
  size_t untried;          /* … trials that were not simulated */
  size_t open;             /* … lots that no unit is known to clear; then there is no plan */
  bool priced;             /* costs are known */
  pc_assign_plan plan;
} pc_assignment;

/* Simulates and plans. The lots must be valid scenarios with different names. A lot's own crew stays at home
 * but for entries that are to be kept; its first other entry says where machines start. Faults: names,
 * limits; being stopped is none. A caution names lots whose hours are not those of the others. Thread-safe
 * (arguments only). */
PC_API PC_MUST_USE pc_status pc_assign(const pc_fleet *fleet, const pc_scenario *const *lots,
                                       size_t lot_count, const pc_assign_settings *settings,
                                       pc_assignment *assignment, pc_faults *faults);
/* The quickest other unit (of another machine or box, or of more or fewer together) for a lot; false: none.
 */
PC_API bool pc_assign_second(const pc_assignment *assignment, size_t lot, size_t unit, size_t *second);
PC_API void pc_assignment_free(pc_assignment *assignment);

PC_END_C

#endif
