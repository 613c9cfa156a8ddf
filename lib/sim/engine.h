// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Discrete-event engine. It knows nothing of machines or snow: it holds a clock and a queue, and calls the
 * handler of each event in (time, priority, sequence) order. Handlers schedule further events; an event in
 * the past is refused. A handler's status other than PC_OK ends the run with that status.
 *
 * One engine belongs to one thread; any number may run side by side.
 */
#ifndef PC_SIM_ENGINE_H
#define PC_SIM_ENGINE_H

#include "sim/queue.h"

PC_BEGIN_C

typedef struct pc_engine pc_engine;

typedef pc_status (*pc_handler)(pc_engine *engine, void *context, uint32_t subject);

struct pc_engine {
  double now_s;
  pc_queue queue;
  const pc_handler *handlers; /* indexed by event kind; borrowed */
  uint32_t handler_count;
  void *context; /* passed to every handler */
  /* Called after each event if not NULL; tests use it to check the whole world. */
  pc_status (*after)(pc_engine *engine, void *context);
  uint64_t events; /* handled so far */
};

/* `room`: events to make room for. The caller frees it with pc_engine_free, also after a failure. */
PC_API PC_MUST_USE pc_status pc_engine_init(pc_engine *engine, const pc_handler *handlers,
                                            uint32_t handler_count, void *context, size_t room);
PC_API void pc_engine_free(pc_engine *engine);
/* Back to time 0 with an empty queue; keeps the memory. */
PC_API void pc_engine_reset(pc_engine *engine);
/* PC_ERR_RANGE for a time before now, a NaN, or an unknown kind; PC_ERR_MEMORY if the queue cannot grow. */
PC_API PC_MUST_USE pc_status pc_engine_schedule(pc_engine *engine, double time_s, unsigned priority,
                                                uint32_t kind, uint32_t subject);
/* Runs until no event is left, a handler fails, or the clock would pass until_s (INFINITY: no end). */
PC_API PC_MUST_USE pc_status pc_engine_run(pc_engine *engine, double until_s);

PC_END_C

#endif
