// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/parallel.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

typedef struct task {
  pc_status (*work)(void *context, size_t part);
  void *context;
  size_t part;
  pthread_t thread;
  bool started;
  pc_status status;
} task;

size_t pc_processors(void) {
  long count = sysconf(_SC_NPROCESSORS_ONLN);
  return count < 1 ? 1 : count > PC_PARTS_AT_ONCE_MAX ? PC_PARTS_AT_ONCE_MAX : (size_t)count;
}

size_t pc_parts_for(int threads, size_t tasks) {
  size_t parts = threads > 0 ? (size_t)threads : pc_processors();
  parts = parts > PC_PARTS_AT_ONCE_MAX ? PC_PARTS_AT_ONCE_MAX : parts;
  return parts < tasks ? parts : tasks;
}

static void *run(void *argument) {
  task *t = argument;
  t->status = t->work(t->context, t->part);
  return NULL;
}

pc_status pc_parallel(size_t parts, pc_status (*work)(void *context, size_t part), void *context) {
  task tasks[PC_PARTS_AT_ONCE_MAX];
  pc_status status = PC_OK;
  if (parts > PC_PARTS_AT_ONCE_MAX)
    return PC_ERR_LIMIT;
  for (size_t p = 0; p < parts; p++) {
    tasks[p] = (task){.work = work, .context = context, .part = p};
    tasks[p].started = p > 0 && pthread_create(&tasks[p].thread, NULL, run, &tasks[p]) == 0;
  }
  for (size_t p = 0; p < parts; p++)
    if (!tasks[p].started)
      (void)run(&tasks[p]);
  for (size_t p = 0; p < parts; p++) {
    if (tasks[p].started)
      pthread_join(tasks[p].thread, NULL);
    status = status == PC_OK ? tasks[p].status : status;
  }
  return status;
}

typedef struct queue {
  size_t count;
  pc_status (*work)(void *context, size_t task);
  bool (*stop)(void *context);
  void *context;
  atomic_size_t next;
  atomic_bool failed;
} queue;

static pc_status work_off(void *context, size_t part) {
  (void)part;
  queue *q = context;
  pc_status status = PC_OK;
  while (status == PC_OK && !atomic_load(&q->failed) && !(q->stop && q->stop(q->context))) {
    size_t i = atomic_fetch_add(&q->next, 1);
    if (i >= q->count)
      break;
    status = q->work(q->context, i);
  }
  if (status != PC_OK)
    atomic_store(&q->failed, true);
  return status;
}

pc_status pc_parallel_each(size_t parts, size_t count, pc_status (*work)(void *context, size_t task),
                           bool (*stop)(void *context), void *context) {
  queue q = {.count = count, .work = work, .stop = stop, .context = context};
  size_t most = parts < PC_PARTS_AT_ONCE_MAX ? parts : PC_PARTS_AT_ONCE_MAX;
  return pc_parallel(most > 0 ? most : 1, work_off, &q);
}
