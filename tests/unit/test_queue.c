// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The event queue against a plain sorted list, the engine's refusals, and waiting at one berth built straight
 * on the engine against published finite-source queues.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "sim/engine.h"
#include "validation.h"

/* ---- the queue against a sorted list ---- */

typedef struct listed {
  double time_s;
  unsigned priority;
  uint32_t number; /* in order of pushing */
} listed;

/* Inserts behind everything that comes before or at the same place: the obvious way. */
static void list_push(listed *list, size_t *count, listed item) {
  size_t at = *count;
  while (at > 0 && (list[at - 1].time_s > item.time_s ||
                    (list[at - 1].time_s == item.time_s && list[at - 1].priority > item.priority)))
    at--;
  memmove(&list[at + 1], &list[at], (*count - at) * sizeof *list);
  list[at] = item;
  ++*count;
}

static void queue_is_a_sorted_list(void **state) {
  (void)state;
  enum { STEPS = 100000, ROOM = 4096 };
  listed *list = calloc(ROOM, sizeof *list);
  assert_non_null(list);
  size_t count = 0, longest = 0;
  uint32_t number = 0;
  pc_queue queue;
  pc_stream stream;
  pc_stream_start(&stream, 7, 0, 0, 0);
  assert_int_equal(pc_queue_init(&queue, 4), PC_OK); /* has to grow */
  for (int i = 0; i < STEPS; i++) {
    uint64_t bits = pc_stream_next(&stream);
    /* long stretches of growing and of shrinking, so that many sizes of heap are seen */
    bool push = count == 0 || (count < ROOM - 1 && bits % 8 < ((i / 4000) % 2 ? 3 : 5));
    if (push) {
      listed item = {(double)(bits >> 8 & 31) * 0.1, (unsigned)(bits >> 16 & 3),
                     number++}; /* 32 times: many are equal */
      list_push(list, &count, item);
      assert_int_equal(pc_queue_push(&queue, item.time_s, item.priority, 9, item.number), PC_OK);
    } else {
      pc_event event = pc_queue_pop(&queue);
      if (event.time_s != list[0].time_s || event.subject != list[0].number || event.kind != 9)
        fail_msg("step %d: popped number %u, the list has %u", i, event.subject, list[0].number);
      memmove(list, list + 1, --count * sizeof *list);
    }
    longest = count > longest ? count : longest;
    assert_true(queue.count == count);
  }
  assert_true(longest > 500);
  for (size_t i = 0; i < count; i++)
    assert_int_equal(pc_queue_pop(&queue).subject, list[i].number);
  assert_int_equal(queue.count, 0);
  pc_queue_free(&queue);
  free(list);
}

/* ---- the engine ---- */

typedef struct diary {
  uint32_t subjects[16];
  double times_s[16];
  size_t count;
} diary;

static pc_status note(pc_engine *engine, void *context, uint32_t subject) {
  diary *d = context;
  d->subjects[d->count] = subject;
  d->times_s[d->count++] = engine->now_s;
  return PC_OK;
}

static pc_status fails(pc_engine *engine, void *context, uint32_t subject) {
  (void)engine, (void)context, (void)subject;
  return PC_ERR_LIMIT;
}

static pc_status into_the_past(pc_engine *engine, void *context, uint32_t subject) {
  (void)context, (void)subject;
  return pc_engine_schedule(engine, engine->now_s - 1e-6, 0, 0, 0);
}

static const pc_handler handlers[] = {note, fails, into_the_past};

static void engine_order_and_refusals(void **state) {
  (void)state;
  diary d = {.count = 0};
  pc_engine engine;
  assert_int_equal(pc_engine_init(&engine, handlers, 3, &d, 1), PC_OK);
  assert_int_equal(pc_engine_schedule(&engine, -1.0, 0, 0, 0), PC_ERR_RANGE);
  assert_int_equal(pc_engine_schedule(&engine, (double)NAN, 0, 0, 0), PC_ERR_RANGE);
  assert_int_equal(pc_engine_schedule(&engine, 1.0, 0, 3, 0), PC_ERR_RANGE);
  assert_int_equal(engine.queue.count, 0);
  assert_int_equal(pc_engine_schedule(&engine, 2.0, 1, 0, 1), PC_OK);
  assert_int_equal(pc_engine_schedule(&engine, 2.0, 0, 0, 2), PC_OK); /* the lower priority number first */
  assert_int_equal(pc_engine_schedule(&engine, 2.0, 1, 0, 3), PC_OK); /* then in order of scheduling */
  assert_int_equal(pc_engine_schedule(&engine, 1.0, 5, 0, 4), PC_OK);
  assert_int_equal(pc_engine_schedule(&engine, 3.0, 0, 0, 5), PC_OK);
  assert_int_equal(pc_engine_run(&engine, 2.5), PC_OK); /* the event at 3 s stays */
  static const uint32_t order[] = {4, 2, 1, 3};
  assert_int_equal(d.count, 4);
  assert_memory_equal(d.subjects, order, sizeof order);
  assert_true(engine.now_s == 2.0 && engine.events == 4 && engine.queue.count == 1);
  assert_int_equal(pc_engine_schedule(&engine, 1.9999, 0, 0, 0), PC_ERR_RANGE); /* now is 2 s */
  assert_int_equal(pc_engine_schedule(&engine, 2.0, 0, 0, 6), PC_OK);
  assert_int_equal(pc_engine_run(&engine, (double)INFINITY), PC_OK);
  assert_true(d.count == 6 && d.subjects[4] == 6 && d.subjects[5] == 5);

  assert_int_equal(pc_engine_schedule(&engine, 4.0, 0, 1, 0), PC_OK);
  assert_int_equal(pc_engine_schedule(&engine, 5.0, 0, 0, 7), PC_OK);
  assert_int_equal(pc_engine_run(&engine, (double)INFINITY),
                   PC_ERR_LIMIT); /* a handler's status ends the run */
  assert_int_equal(d.count, 6);
  pc_engine_reset(&engine);
  assert_true(engine.now_s == 0.0 && engine.events == 0 && engine.queue.count == 0);
  assert_int_equal(pc_engine_schedule(&engine, 1.0, 0, 2, 0), PC_OK);
  assert_int_equal(pc_engine_run(&engine, (double)INFINITY), PC_ERR_RANGE);
  pc_engine_free(&engine);
}

/* ---- machines that run, then need one of c servers ---- */

enum { SOURCES_MAX = 10, NEEDS, SERVED = 1 };

typedef struct shop {
  int sources, servers;
  double run_s, service_s;
  bool random_run, random_service;
  double warm_up_s;
  pc_stream run, service;
  uint32_t waiting[SOURCES_MAX];
  int waiting_count, busy, running;
  long calls, delayed, done;
  double running_time_s, waiting_time_s, since_s; /* integrals of the number running, of the number waiting */
} shop;

static double span(pc_stream *stream, bool random, double mean_s) {
  return random ? pc_stream_exponential(stream, mean_s) : mean_s;
}

/* Adds up the state that has held since the last event, from the end of the warm-up on. */
static void pass_time(shop *s, double now_s) {
  double from = fmax(s->since_s, s->warm_up_s);
  if (now_s > from) {
    s->running_time_s += (now_s - from) * s->running;
    s->waiting_time_s += (now_s - from) * s->waiting_count;
  }
  s->since_s = now_s;
}

static pc_status serve(pc_engine *engine, shop *s, uint32_t source) {
  s->busy++;
  return pc_engine_schedule(engine, engine->now_s + span(&s->service, s->random_service, s->service_s), 0,
                            SERVED, source);
}

static pc_status on_needs(pc_engine *engine, void *context, uint32_t source) {
  shop *s = context;
  pass_time(s, engine->now_s);
  s->running--;
  bool late = engine->now_s > s->warm_up_s, free_server = s->busy < s->servers;
  s->calls += late;
  s->delayed += late && !free_server;
  if (free_server)
    return serve(engine, s, source);
  s->waiting[s->waiting_count++] = source;
  return PC_OK;
}

static pc_status on_served(pc_engine *engine, void *context, uint32_t source) {
  shop *s = context;
  pass_time(s, engine->now_s);
  s->running++;
  s->busy--;
  s->done += engine->now_s > s->warm_up_s;
  pc_status status =
      pc_engine_schedule(engine, engine->now_s + span(&s->run, s->random_run, s->run_s), 0, 0, source);
  if (status != PC_OK || s->waiting_count == 0)
    return status;
  uint32_t next = s->waiting[0];
  memmove(s->waiting, s->waiting + 1, (size_t)--s->waiting_count * sizeof *s->waiting);
  return serve(engine, s, next);
}

/* Runs the shop for `length_s` after its warm-up. */
static void run_shop(shop *s, uint64_t replication, double length_s) {
  static const pc_handler shop_handlers[] = {on_needs, on_served};
  pc_engine engine;
  assert_int_equal(pc_engine_init(&engine, shop_handlers, 2, s, 2 * SOURCES_MAX), PC_OK);
  pc_stream_start(&s->run, 11, replication, 0, 0);
  pc_stream_start(&s->service, 11, replication, 0, 1);
  s->running = s->sources;
  for (uint32_t i = 0; i < (uint32_t)s->sources; i++)
    assert_int_equal(pc_engine_schedule(&engine, span(&s->run, s->random_run, s->run_s), 0, 0, i), PC_OK);
  assert_int_equal(pc_engine_run(&engine, s->warm_up_s + length_s), PC_OK);
  pass_time(s, s->warm_up_s + length_s);
  pc_engine_free(&engine);
}

/* Deterministic closed loop (check by hand): n machines that are away for C − S and dump for S at c berths
 * reach min(c/S, n/C) dumps per second. */
static void closed_loop(void **state) {
  (void)state;
  for (int n = 1; n <= SOURCES_MAX; n++)
    for (int c = 1; c <= 3; c++)
      for (int away = 5; away <= 60; away += 11) {
        double service = 8.0, cycle = service + away, length = 8.0 * cycle * 5000.0;
        shop s = {
            .sources = n, .servers = c, .run_s = away, .service_s = service, .warm_up_s = 10.0 * cycle * n};
        run_shop(&s, 0, length);
        double expected = fmin(c / service, n / cycle);
        if (!(fabs((double)s.done / length - expected) <= 1e-3 * expected))
          fail_msg("n %d, c %d, away %d s: %g per second, not %g", n, c, away, (double)s.done / length,
                   expected);
      }
}

typedef struct estimate {
  double mean, error; /* standard error over replications */
} estimate;

static estimate estimate_of(const double *values, int count) {
  double sum = 0.0, squares = 0.0;
  for (int i = 0; i < count; i++)
    sum += values[i];
  for (int i = 0; i < count; i++)
    squares += (values[i] - sum / count) * (values[i] - sum / count);
  return (estimate){sum / count, sqrt(squares / (count - 1) / count)};
}

static void within(const char *source, const char *what, estimate e, double published, double half_digit) {
  assert_true(e.error < 0.01 * fmax(e.mean, 0.1));
  assert_published(source, what, e.mean, published, 4.0 * e.error + half_digit);
}

enum { REPLICATIONS = 40 };

/* Five machines, M servers, X = service / (run + service): D probability that a call waits, F efficiency,
 * (running + served) / N. Peck & Hazelwood 1958, Finite Queuing Tables (from memory). */
static void peck_and_hazelwood(void **state) {
  (void)state;
  static const struct {
    double x;
    int servers;
    double delay, efficiency;
  } rows[] = {{.012, 1, .048, .999}, {.025, 1, .100, .997}, {.050, 1, .198, .989},
              {.060, 1, .237, .983}, {.060, 2, .020, .999}, {.080, 1, .313, .969},
              {.080, 2, .035, .998}, {.100, 1, .386, .950}, {.100, 2, .054, .997}};
  for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
    double delay[REPLICATIONS], efficiency[REPLICATIONS], length = rows[r].servers > 1 ? 4e5 : 1e5;
    for (int k = 0; k < REPLICATIONS; k++) {
      shop s = {.sources = 5,
                .servers = rows[r].servers,
                .run_s = 1.0 / rows[r].x - 1.0,
                .service_s = 1.0,
                .random_run = true,
                .random_service = true,
                .warm_up_s = 500.0};
      run_shop(&s, (uint64_t)k, length);
      delay[k] = (double)s.delayed / (double)s.calls;
      efficiency[k] = 1.0 - s.waiting_time_s / length / s.sources;
    }
    static const char source[] = "Peck & Hazelwood 1958, Finite Queuing Tables (from memory)";
    char what[80];
    snprintf(what, sizeof what, "probability of delay, X %g, servers %d", rows[r].x, rows[r].servers);
    within(source, what, estimate_of(delay, REPLICATIONS), rows[r].delay, 0.0005);
    snprintf(what, sizeof what, "efficiency, X %g, servers %d", rows[r].x, rows[r].servers);
    within(source, what, estimate_of(efficiency, REPLICATIONS), rows[r].efficiency, 0.0005);
  }
}

/* Mean machines running, one repairer, exponential run times with mean 1/ρ services: exponential and constant
 * service. Ashcroft 1950, J. R. Stat. Soc. B 12 (computed from its formula). */
static void ashcroft(void **state) {
  (void)state;
  static const struct {
    double rho;
    int sources;
    double exponential, constant;
  } rows[] = {{.10, 2, 1.80328, 1.81022}, {.10, 5, 4.36048, 4.43979}, {.10, 10, 7.85418, 8.21003},
              {.20, 3, 2.35169, 2.41069}, {.20, 4, 3.00829, 3.12335}, {.20, 6, 4.04076, 4.26404},
              {.50, 3, 1.57895, 1.67311}};
  for (size_t r = 0; r < sizeof rows / sizeof *rows; r++)
    for (int constant = 0; constant < 2; constant++) {
      double running[REPLICATIONS], length = 5e4;
      for (int k = 0; k < REPLICATIONS; k++) {
        shop s = {.sources = rows[r].sources,
                  .servers = 1,
                  .run_s = 1.0 / rows[r].rho,
                  .service_s = 1.0,
                  .random_run = true,
                  .random_service = !constant,
                  .warm_up_s = 500.0};
        run_shop(&s, (uint64_t)k, length);
        running[k] = s.running_time_s / length;
      }
      char what[80];
      snprintf(what, sizeof what, "machines running of %d, service %g, %s", rows[r].sources, rows[r].rho,
               constant ? "constant" : "exponential");
      within("Ashcroft 1950, J. R. Stat. Soc. B 12 (computed from its formula)", what,
             estimate_of(running, REPLICATIONS), constant ? rows[r].constant : rows[r].exponential, 5e-6);
    }
}

/* Five sources, two servers, service 3 h, time to failure 30 h: 4.535 run on average, 0.465 do not, each
 * repair takes 3.075 h with its wait. Winston, Operations Research, the machine-repair example. */
static void winston(void **state) {
  (void)state;
  double running[REPLICATIONS], repair[REPLICATIONS], length = 1e6;
  for (int k = 0; k < REPLICATIONS; k++) {
    shop s = {.sources = 5,
              .servers = 2,
              .run_s = 30.0,
              .service_s = 3.0,
              .random_run = true,
              .random_service = true,
              .warm_up_s = 1000.0};
    run_shop(&s, (uint64_t)k, length);
    running[k] = s.running_time_s / length;
    repair[k] = (5.0 * length - s.running_time_s) / (double)s.done;
  }
  within("Winston, Operations Research, machine repair", "machines running of 5",
         estimate_of(running, REPLICATIONS), 4.535, 0.0005);
  within("Winston, Operations Research, machine repair", "time in repair, h",
         estimate_of(repair, REPLICATIONS), 3.075, 0.0005);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(queue_is_a_sorted_list),
                                     cmocka_unit_test(engine_order_and_refusals),
                                     cmocka_unit_test(closed_loop),
                                     cmocka_unit_test(peck_and_hazelwood),
                                     cmocka_unit_test(ashcroft),
                                     cmocka_unit_test(winston)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
