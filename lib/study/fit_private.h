// SPDX-License-Identifier: GPL-3.0-or-later
/* The parts of fitting. Not installed. */
#ifndef PC_STUDY_FIT_PRIVATE_H
#define PC_STUDY_FIT_PRIVATE_H

#include "study/fit.h"

/* Rows by what they tell of; the ones that drive come first. */
typedef enum pc_pool {
  PC_POOL_PUSH, /* fills and clean-ups */
  PC_POOL_CARRY,
  PC_POOL_RETURN,
  PC_POOL_LOWER,
  PC_POOL_RAISE,
  PC_POOL_DUMP,
  PC_POOL_TURN,
  PC_POOL_COUNT
} pc_pool;

typedef struct pc_sample {
  double distance_m, time_s, load_kg;
  pc_timed_direction direction;
} pc_sample;

typedef struct pc_samples {
  pc_sample *items;
  size_t count, capacity;
} pc_samples;

/* Time d/v + v/a with a known from elsewhere, to this relative error: a curve of the form PC_CURVE_SPEED, but
 * only its slowness means what it says. Errors as pc_curve_fit. */
PC_MUST_USE pc_status pc_curve_fit_started(const double *distance_m, const double *time_s, size_t count,
                                           double acceleration_mps2, double relative_error, pc_curve *curve);

/* Fits one loader, or adds a fault for each reason why it can't be; its name and row counts are set before.
 */
PC_MUST_USE pc_status pc_fit_loader_make(const pc_samples pools[PC_POOL_COUNT], pc_fit_loader *loader,
                                         pc_faults *faults);

#endif
