// SPDX-License-Identifier: GPL-3.0-or-later
/* How far long work is, on a terminal; and Ctrl-C, which ends it with what is done. */
#include <signal.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "cli.h"

static const double first_after_s = 0.5, every_s = 0.2;

/* Set by the signal; a second one ends the program, as it would without us. */
static volatile sig_atomic_t interrupted;

static void interrupt(int signal) {
  (void)signal;
  interrupted = 1;
}

static double now_s(void) {
  struct timespec time;
  clock_gettime(CLOCK_MONOTONIC, &time);
  return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static bool stop(void *context) {
  (void)context;
  return interrupted != 0;
}

static void progress(void *context, size_t done, size_t all) {
  cli_watch *watch = context;
  double now = now_s();
  if (done < watch->last && watch->then) {
    watch->steps = watch->then;
    watch->begun_s = now;
  }
  watch->last = done;
  double passed = now - watch->begun_s;
  if (passed < first_after_s || now - watch->told_s < every_s || done == 0)
    return;
  char left[40];
  pc_units_print(left, sizeof left, passed / (double)done * (double)(all - done), PC_DIM_TIME, PC_METRIC, 2);
  fprintf(stderr, "\r%zu of %zu %s, about %s left   ", done, all, watch->steps, left);
  fflush(stderr);
  watch->told_s = now;
}

const pc_watch *cli_watch_begin(cli_watch *watch, const cli_options *options, const char *steps) {
  struct sigaction action = {.sa_handler = interrupt, .sa_flags = (int)SA_RESETHAND};
  sigemptyset(&action.sa_mask);
  bool shown = !options->quiet && isatty(STDERR_FILENO);
  interrupted = 0;
  *watch = (cli_watch){.watch = {.progress = shown ? progress : NULL, .stop = stop, .context = watch},
                       .steps = steps,
                       .begun_s = now_s()};
  watch->caught = sigaction(SIGINT, &action, &watch->before) == 0;
  return &watch->watch;
}

bool cli_watch_end(cli_watch *watch) {
  if (watch->told_s > 0)
    fprintf(stderr, "\r%*s\r", 70, "");
  if (watch->caught)
    sigaction(SIGINT, &watch->before, NULL);
  return interrupted != 0;
}
