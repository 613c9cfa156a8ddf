// SPDX-License-Identifier: GPL-3.0-or-later
/* Internal: the steps of watched work, counted from any thread. Not installed. */
#ifndef PC_BASE_STEPS_H
#define PC_BASE_STEPS_H

#include <pthread.h>

#include "base/watch.h"

typedef struct pc_steps {
  const pc_watch *watch; /* NULL: nobody watches */
  pthread_mutex_t lock;
  size_t done, all, told; /* told: all, when it was told last */
} pc_steps;

/* Ends with pc_steps_end. watch may be NULL, and must outlive the steps. */
void pc_steps_begin(pc_steps *steps, const pc_watch *watch, size_t all);
void pc_steps_end(pc_steps *steps);
/* One more step is done; one that was not foreseen makes the whole longer. */
void pc_steps_count(pc_steps *steps);
/* So many more are foreseen, or so many will not come after all. */
void pc_steps_more(pc_steps *steps, size_t count);
void pc_steps_skip(pc_steps *steps, size_t count);
bool pc_steps_stopped(const pc_steps *steps);

#endif
