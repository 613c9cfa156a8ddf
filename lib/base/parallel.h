// SPDX-License-Identifier: GPL-3.0-or-later
/* Work in parts, each in a thread of its own. What the parts share must be constant or their own business.
 * Thread-safe. */
#ifndef PC_BASE_PARALLEL_H
#define PC_BASE_PARALLEL_H

#include "base/status.h"

PC_BEGIN_C

enum { PC_PARTS_AT_ONCE_MAX = 64 };

/* Processors at hand, 1 … PC_PARTS_AT_ONCE_MAX. */
PC_API size_t pc_processors(void);
/* Parts to cut `tasks` into for so many threads (0: one per processor): none for no tasks, at most
 * PC_PARTS_AT_ONCE_MAX. */
PC_API size_t pc_parts_for(int threads, size_t tasks);
/* Calls work(context, part) for each part, all at once; a part whose thread can't be started is done by the
 * caller. Returns when all are done: the status of the first part that failed. PC_ERR_LIMIT, with nothing
 * done, for more than PC_PARTS_AT_ONCE_MAX parts. */
PC_API PC_MUST_USE pc_status pc_parallel(size_t parts, pc_status (*work)(void *context, size_t part),
                                         void *context);
/* Calls work(context, task) for tasks 0 … count − 1, in so many threads (1 … PC_PARTS_AT_ONCE_MAX; what is
 * less or more counts as these), each of which takes the next task that nobody has begun. No more are begun
 * once one has failed, or stop(context) says so (may be NULL; asked from several threads at once). The status
 * of a task that failed. */
PC_API PC_MUST_USE pc_status pc_parallel_each(size_t parts, size_t count,
                                              pc_status (*work)(void *context, size_t task),
                                              bool (*stop)(void *context), void *context);

PC_END_C

#endif
