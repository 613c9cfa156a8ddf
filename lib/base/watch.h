// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Watching long work from outside: how far it is, and whether to end early with what is done. The watch
 * belongs to the caller and must outlive the work; its functions must return (no exception, no
 * jump). Thread-safety: see its members.
 */
#ifndef PC_BASE_WATCH_H
#define PC_BASE_WATCH_H

#include "base/status.h"

PC_BEGIN_C

typedef struct pc_watch {
  /* Called after each step, and at the end if steps have fallen away since; never from two threads at once;
   * may be NULL. */
  void (*progress)(void *context, size_t done, size_t all);
  /* True: begin nothing new; from then on it has to stay true. May be asked from several threads at once; may
   * be NULL. */
  bool (*stop)(void *context);
  void *context;
} pc_watch;

PC_END_C

#endif
