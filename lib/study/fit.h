// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What timed cycles say about a loader: speeds, acceleration, fixed times, and how much each varies, with
 * standard errors. SI units.
 *
 * A timed row takes f(d)·ε: d is its distance and ε varies lognormally with mean 1, as in a run with chance.
 *   driving   f(d) = d/v, or with an acceleration d/v + v/a, but 2·√(d/a) where v is not reached
 *   lowering, raising, dumping   f = a fixed time
 * The logarithm of a time is then spread evenly around ln f, so that is where the curves are fitted:
 * M-estimates with Tukey's biweight (tuning constant 4.685) and the median absolute deviation as scale,
 * leverage as in DuMouchel & O'Brien 1989; rows far off lose their weight, so one slip of the watch does no
 * harm. Standard errors: Huber 1981, Robust Statistics. The acceleration is kept only where it is three
 * standard errors or more away from none. A return is driven forward or in reverse. Where no row says which,
 * the speed is a guess without an error and without a spread, and counts for nothing else: of all rows
 * together, or, if they fall clearly into two groups by their pace, of each group. Where rows say it and
 * those of one direction are too few, that speed is not known, which is a caution.
 *
 * What cannot be known: `turn` through 180°, since nobody times angles: only the mean of one turn is given.
 *
 * Ownership: pc_timed belongs to the caller (pc_timed_free), so does a filled pc_fit (pc_fit_free).
 * Failures: PC_ERR_MEMORY; PC_ERR_MISSING and PC_ERR_RANGE where no loader can be fitted, with a fault for
 * each reason. A loader that can't be fitted while another can is a caution. Thread-safe (arguments only).
 */
#ifndef PC_STUDY_FIT_H
#define PC_STUDY_FIT_H

#include "sim/result.h"
#include "site/geometry.h"

PC_BEGIN_C

typedef enum pc_timed_direction {
  PC_DIRECTION_UNKNOWN,
  PC_DIRECTION_FORWARD,
  PC_DIRECTION_REVERSE
} pc_timed_direction;

typedef struct pc_timed_row {
  int line; /* in its file; 0: not known */
  pc_phase phase;
  size_t machine; /* index in `machines` */
  double time_s;
  double distance_m, load_kg; /* NaN: not given */
  pc_point from, to;          /* NaN: not given; where they are, legs of one way around corners are joined */
  pc_timed_direction direction;
} pc_timed_row;

typedef struct pc_timed {
  pc_timed_row *rows; /* in the order in which things happened, machine by machine or mixed */
  size_t count, capacity;
  pc_name *machines;
  size_t machine_count, machine_capacity;
  size_t *slots; /* of pc_timed_machine: a table in which names are found */
  size_t slot_count;
  pc_unit_system units; /* in which ways were measured, and people like to read what comes of them */
} pc_timed;

/* Index of a machine's name, added if it is new. */
PC_API PC_MUST_USE pc_status pc_timed_machine(pc_timed *timed, const char *name, size_t *index);
/* PC_ERR_RANGE for a machine that was not added before, and for a phase that there is not. */
PC_API PC_MUST_USE pc_status pc_timed_add(pc_timed *timed, const pc_timed_row *row);
PC_API void pc_timed_free(pc_timed *timed);

typedef enum pc_fit_what {
  PC_FIT_PUSH, /* m/s */
  PC_FIT_CARRY,
  PC_FIT_RETURN,
  PC_FIT_REVERSE,
  PC_FIT_ACCELERATION, /* m/s² */
  PC_FIT_LOWER,        /* s */
  PC_FIT_RAISE,
  PC_FIT_DUMP,
  PC_FIT_TURN, /* mean of one turn through whatever angle */
  PC_FIT_COUNT
} pc_fit_what;

PC_API const char *pc_fit_key(pc_fit_what what); /* "speeds.push" … as in a scenario */

typedef enum pc_fit_word {
  PC_FIT_NONE,
  PC_FIT_GOOD,
  PC_FIT_FAIR,
  PC_FIT_POOR,
  PC_FIT_TOO_FEW, /* rows: no value */
  PC_FIT_MIXED,   /* returns of which no row says the direction, all in one value */
  PC_FIT_BY_PACE  /* … and told apart by their pace */
} pc_fit_word;

PC_API const char *pc_fit_word_name(pc_fit_word word); /* "-" "good" "fair" "poor" "too few" … */

typedef struct pc_fit_value {
  double value, error;         /* NaN: not known; one standard error */
  double spread, spread_error; /* coefficient of variation of single rows; NaN: can't be told */
  size_t rows, down;           /* rows used, and those of less than half weight */
  /* Good: error at most 2.5 % and at most a tenth of the rows weighted down; fair: 5 % and a fifth. */
  pc_fit_word word;
} pc_fit_value;

typedef struct pc_fit_loader {
  pc_name name;
  size_t rows, left_out; /* of its rows, those too short to tell anything (under 0.5 m, no time) */
  pc_fit_value values[PC_FIT_COUNT];
  bool told;               /* rows say whether a return was forward or in reverse */
  bool split_by_pace;      /* forward and reverse were told apart by their pace */
  double slower_with_load; /* how much slower a carry is with the heaviest load than with the lightest, as a
                              share; NaN: no such thing is seen */
} pc_fit_loader;

typedef struct pc_fit {
  pc_fit_loader *loaders;
  size_t loader_count;
  /* Over all loaders, for `chance`; NaN: not known. */
  double fill_spread, carry_spread, return_spread, dump_spread;
} pc_fit;

typedef enum pc_fit_by {
  PC_FIT_BY_LOADER, /* machines whose names differ in a number at the end are one loader */
  PC_FIT_BY_MACHINE
} pc_fit_by;

enum { PC_FIT_SPEED_ROWS = 8, PC_FIT_TIME_ROWS = 5 }; /* the fewest rows for a speed, and for a time */

/* One fit for each loader or machine. Failures and cautions as above. */
PC_API PC_MUST_USE pc_status pc_fit_make(const pc_timed *timed, pc_fit_by by, pc_fit *fit, pc_faults *faults);
PC_API void pc_fit_free(pc_fit *fit);

/* ---- one curve, for those who need no more ---- */

typedef enum pc_curve_form {
  PC_CURVE_TIME,  /* f = start_s */
  PC_CURVE_SPEED, /* f = slowness·d */
  PC_CURVE_BOTH   /* f = slowness·d + start_s, but 2·√(d·slowness·start_s) where d < start_s/slowness */
} pc_curve_form;

typedef struct pc_curve {
  pc_curve_form form;
  double slowness, start_s; /* s/m, s: of the mean time */
  double slowness_var, start_var, covariance;
  double sigma;  /* standard deviation of the logarithms, without rows that are far off */
  double middle; /* mean over median: exp(σ²/2) */
  size_t rows, down;
} pc_curve;

/* Distances may be NULL for PC_CURVE_TIME. PC_ERR_RANGE if the data do not fix the parameters. */
PC_API PC_MUST_USE pc_status pc_curve_fit(const double *distance_m, const double *time_s, size_t count,
                                          pc_curve_form form, pc_curve *curve);
/* Mean time of this distance. */
PC_API double pc_curve_time_s(const pc_curve *curve, double distance_m);

PC_END_C

#endif
