// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * soak FIRST COUNT: random scenarios of so many seeds from FIRST on, one after the other, with every
 * invariant checked after every event. Prints how they ended, and each seed with which something is wrong.
 * soak SEED looks at one.
 */
#include <inttypes.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "random_scenario.h"

enum { SECONDS_EACH = 120, BROKEN_MOST = 50 };

static char now[80]; /* for a crash */

static void tell(int number) {
  (void)!write(STDERR_FILENO, now, strlen(now));
  (void)signal(number, SIG_DFL);
  (void)raise(number);
}

int main(int count, char **arguments) {
  if (count < 2) {
    fprintf(stderr, "usage: soak FIRST [COUNT]\n");
    return 2;
  }
  uint64_t first = strtoull(arguments[1], NULL, 10);
  uint64_t runs = count > 2 ? strtoull(arguments[2], NULL, 10) : 1;
  uint64_t ends[SOAK_ENDS] = {0}, done = 0;
  (void)signal(SIGSEGV, tell);
  (void)signal(SIGABRT, tell);
  (void)signal(SIGALRM, tell);
  for (; done < runs && ends[SOAK_BROKEN] < BROKEN_MOST; done++) {
    char why[400];
    uint64_t seed = first + done;
    (void)snprintf(now, sizeof now, "BROKEN: seed %" PRIu64 " crashed, or took too long\n", seed);
    (void)alarm(SECONDS_EACH);
    soak_end end = soak_run(seed, why, sizeof why);
    ends[end]++;
    if (end == SOAK_BROKEN || runs == 1)
      printf("seed %" PRIu64 ": %s: %s\n", seed, soak_end_names[end], why);
    if (end == SOAK_BROKEN)
      (void)fflush(stdout);
  }
  (void)alarm(0);
  printf("seeds %" PRIu64 " to %" PRIu64 ":", first, first + done - 1);
  for (int e = 0; e < SOAK_ENDS; e++)
    printf(" %s %" PRIu64 "%s", soak_end_names[e], ends[e], e + 1 < SOAK_ENDS ? "," : "\n");
  return ends[SOAK_BROKEN] > 0 ? 1 : 0;
}
