// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/steps.h"

void pc_steps_begin(pc_steps *steps, const pc_watch *watch, size_t all) {
  *steps = (pc_steps){.watch = watch, .all = all};
  pthread_mutex_init(&steps->lock, NULL);
}

void pc_steps_end(pc_steps *steps) {
  if (steps->done > 0 && steps->told != steps->all && steps->watch && steps->watch->progress)
    steps->watch->progress(steps->watch->context, steps->done, steps->all);
  pthread_mutex_destroy(&steps->lock);
}

void pc_steps_count(pc_steps *steps) {
  if (!steps->watch || !steps->watch->progress)
    return;
  pthread_mutex_lock(&steps->lock);
  steps->done++;
  if (steps->all < steps->done)
    steps->all = steps->done;
  steps->told = steps->all;
  steps->watch->progress(steps->watch->context, steps->done, steps->all);
  pthread_mutex_unlock(&steps->lock);
}

void pc_steps_more(pc_steps *steps, size_t count) {
  pthread_mutex_lock(&steps->lock);
  steps->all += count;
  pthread_mutex_unlock(&steps->lock);
}

void pc_steps_skip(pc_steps *steps, size_t count) {
  pthread_mutex_lock(&steps->lock);
  size_t left = steps->all - steps->done;
  steps->all -= count < left ? count : left;
  pthread_mutex_unlock(&steps->lock);
}

bool pc_steps_stopped(const pc_steps *steps) {
  return steps->watch && steps->watch->stop && steps->watch->stop(steps->watch->context);
}
