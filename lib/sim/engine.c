// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/engine.h"

#include <string.h>

pc_status pc_engine_init(pc_engine *engine, const pc_handler *handlers, uint32_t handler_count, void *context,
                         size_t room) {
  memset(engine, 0, sizeof *engine);
  engine->handlers = handlers;
  engine->handler_count = handler_count;
  engine->context = context;
  return pc_queue_init(&engine->queue, room);
}

void pc_engine_free(pc_engine *engine) {
  if (!engine)
    return;
  pc_queue_free(&engine->queue);
}

void pc_engine_reset(pc_engine *engine) {
  pc_queue_clear(&engine->queue);
  engine->now_s = 0.0;
  engine->events = 0;
}

pc_status pc_engine_schedule(pc_engine *engine, double time_s, unsigned priority, uint32_t kind,
                             uint32_t subject) {
  if (!(time_s >= engine->now_s) || kind >= engine->handler_count)
    return PC_ERR_RANGE;
  return pc_queue_push(&engine->queue, time_s, priority, kind, subject);
}

pc_status pc_engine_run(pc_engine *engine, double until_s) {
  while (engine->queue.count > 0) {
    if (engine->queue.heap[0].time_s > until_s)
      return PC_OK;
    pc_event event = pc_queue_pop(&engine->queue);
    engine->now_s = event.time_s;
    engine->events++;
    pc_status status = engine->handlers[event.kind](engine, engine->context, event.subject);
    if (status == PC_OK && engine->after)
      status = engine->after(engine, engine->context);
    if (status != PC_OK)
      return status;
  }
  return PC_OK;
}
