// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Event queue: a binary heap ordered by (time, priority, sequence number), so that the order of equal
 * times never depends on the shape of the heap. Lower priority numbers come first.
 *
 * The functions are inline because they are the inner loop of every simulation. Room is reserved beforehand
 * (pc_queue_init); a push into a full queue grows it and can fail. A queue belongs to one thread at a time.
 */
#ifndef PC_SIM_QUEUE_H
#define PC_SIM_QUEUE_H

#include <stdint.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/status.h"

PC_BEGIN_C

typedef struct pc_event {
  double time_s;
  uint64_t order;   /* priority << 48 | sequence */
  uint32_t kind;    /* index of the handler */
  uint32_t subject; /* whatever the handler takes it for, such as a machine's index */
} pc_event;

typedef struct pc_queue {
  pc_event *heap;
  size_t count, capacity;
  uint64_t sequence;
} pc_queue;

/* An empty queue with room for so many events. */
static inline pc_status pc_queue_init(pc_queue *queue, size_t room) {
  queue->count = 0;
  queue->sequence = 0;
  queue->capacity = room;
  queue->heap = (pc_event *)pc_alloc(room, sizeof *queue->heap);
  return queue->heap ? PC_OK : PC_ERR_MEMORY;
}

static inline void pc_queue_free(pc_queue *queue) {
  if (!queue)
    return;
  free(queue->heap);
  queue->heap = NULL;
  queue->count = queue->capacity = 0;
}

/* Forgets all events; keeps the memory. */
static inline void pc_queue_clear(pc_queue *queue) {
  queue->count = 0;
  queue->sequence = 0;
}

/* True if a comes before b. */
static inline int pc_event_before(const pc_event *a, const pc_event *b) {
  return a->time_s < b->time_s || (a->time_s == b->time_s && a->order < b->order);
}

/* Adds an event; priority below 65536. */
PC_MUST_USE static inline pc_status pc_queue_push(pc_queue *queue, double time_s, unsigned priority,
                                                  uint32_t kind, uint32_t subject) {
  if (queue->count == queue->capacity &&
      pc_reserve((void **)&queue->heap, &queue->capacity, queue->count + 1, sizeof *queue->heap) != 0)
    return PC_ERR_MEMORY;
  pc_event event = {time_s, (uint64_t)priority << 48 | queue->sequence++, kind, subject};
  size_t hole = queue->count++;
  while (hole > 0) {
    size_t parent = (hole - 1) / 2;
    if (!pc_event_before(&event, &queue->heap[parent]))
      break;
    queue->heap[hole] = queue->heap[parent];
    hole = parent;
  }
  queue->heap[hole] = event;
  return PC_OK;
}

/* Takes the first event; the queue must not be empty. */
static inline pc_event pc_queue_pop(pc_queue *queue) {
  pc_event first = queue->heap[0];
  pc_event last = queue->heap[--queue->count];
  size_t hole = 0, child = 1;
  while (child < queue->count) {
    if (child + 1 < queue->count && pc_event_before(&queue->heap[child + 1], &queue->heap[child]))
      child++;
    if (!pc_event_before(&queue->heap[child], &last))
      break;
    queue->heap[hole] = queue->heap[child];
    hole = child;
    child = 2 * hole + 1;
  }
  queue->heap[hole] = last;
  return first;
}

PC_END_C

#endif
