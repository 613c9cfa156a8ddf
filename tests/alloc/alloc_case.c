// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <ctype.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "alloc_case.h"
#include "corpus.h"
#include "fail_alloc.h"
#include "io/scenario.h"

#if defined(__SANITIZE_ADDRESS__)
#include <sanitizer/lsan_interface.h>
#define LEAKS() __lsan_do_recoverable_leak_check()
#else
#define LEAKS() 0
#endif

enum { WARM_UPS = 2, AGAIN_EVERY = 16, WRONG_MOST = 20 };

/* Where a crash happened, for the handler below. */
static char at[160];

static void tell_crash(int number) {
  (void)!write(STDERR_FILENO, at, strlen(at));
  signal(number, SIG_DFL);
  raise(number);
}

static char last_fault[PC_MESSAGE_MAX + PC_KEY_MAX]; /* for messages */

pc_status alloc_status(pc_status status, pc_faults *faults) {
  last_fault[0] = '\0';
  for (size_t i = 0; i < faults->count && last_fault[0] == '\0'; i++)
    if (!faults->items[i].caution)
      (void)pc_error_format(&faults->items[i], last_fault, sizeof last_fault);
  if (faults->dropped > 0)
    status = PC_ERR_MEMORY;
  pc_faults_free(faults);
  return status;
}

const char *alloc_path(const char *name) {
  static char path[1024];
  corpus_folder(name, path, sizeof path);
  return path;
}

void alloc_scenario(const char *name, pc_scenario *scenario) {
  pc_faults faults = {0};
  assert_int_equal(pc_scenario_read(alloc_path(name), NULL, 0, scenario, &faults), PC_OK);
  pc_faults_free(&faults);
}

char *alloc_text(const char *name, size_t *length) {
  FILE *file = fopen(alloc_path(name), "rb");
  assert_non_null(file);
  enum { ROOM = 1 << 18 };
  char *text = calloc(ROOM, 1);
  assert_non_null(text);
  *length = fread(text, 1, ROOM - 1, file);
  assert_true(*length < ROOM - 1);
  fclose(file);
  return text;
}

static size_t places_to_try(size_t most) {
  const char *said = getenv("FAULTS_MOST");
  return said ? (size_t)strtoul(said, NULL, 10) : most;
}

typedef struct bench {
  const char *name;
  alloc_work *work;
  void *context;
  pc_text right; /* what the work gives */
  size_t wrong, refused, managed;
  size_t kept; /* times that a library lost blocks as it failed */
} bench;

/* Works once with nothing failing; true if it gives what it should. */
static bool works(bench *b) {
  pc_text out = {0};
  bool good = b->work(b->context, &out) == PC_OK && !out.failed && out.data && b->right.data &&
              strcmp(out.data, b->right.data) == 0;
  pc_text_free(&out);
  return good;
}

static void complain(bench *b, size_t nth, bool for_good, const char *what, long how_many) {
  b->wrong++;
  print_error("%s: allocation %zu%s fails: %s (%ld) %s\n", b->name, nth, for_good ? " and all after it" : "",
              what, how_many, last_fault);
}

/* The first line in which it differs. */
static void show_difference(const char *right, const char *found) {
  size_t i = 0;
  while (right[i] && right[i] == found[i])
    i++;
  i = i > 60 ? i - 60 : 0;
  print_error("  expected … %.120s\n  found    … %.120s\n", right + i, found + i);
}

/* The same words, and numbers that are alike but for rounding. */
static bool is_rounded(const char *right, const char *found) {
  while (*right && *found) {
    if (!isdigit((unsigned char)*right) || !isdigit((unsigned char)*found)) {
      if (*right++ != *found++)
        return false;
      continue;
    }
    char *after_right, *after_found;
    double x = strtod(right, &after_right), y = strtod(found, &after_found);
    if (!(fabs(x - y) <= 1e-12 * fabs(x)))
      return false;
    right = after_right;
    found = after_found;
  }
  return *right == *found;
}

/* What GEOS can't do exactly it does with coordinates snapped, and out of memory is to it one more reason for
 * that (OverlayNGRobust): so a result may come out that differs by rounding. */
static bool is_good_enough(const bench *b, const char *found) {
  return found &&
         (strcmp(found, b->right.data) == 0 || (fail_in_library() && is_rounded(b->right.data, found)));
}

static void try_place(bench *b, size_t nth, bool for_good) {
  snprintf(at, sizeof at, "%s: crashed as allocation %zu%s failed\n", b->name, nth,
           for_good ? " and all after it" : "");
  pc_text out = {0};
  long before = fail_live(), before_ours = fail_live_ours(), before_handles = fail_handles();
  fail_arm(nth, for_good);
  pc_status status = b->work(b->context, &out);
  (void)fail_disarm();
  if (status == PC_OK && out.failed)
    status = PC_ERR_MEMORY;
  if (status == PC_OK && !is_good_enough(b, out.data)) {
    complain(b, nth, for_good, "it says that all went well, but gives something else", 0);
    show_difference(b->right.data, out.data ? out.data : "");
  } else if (status != PC_OK && status != PC_ERR_MEMORY)
    complain(b, nth, for_good, pc_status_name(status), status);
  b->refused += status != PC_OK;
  b->managed += status == PC_OK;
  pc_text_free(&out);
  if (fail_live_ours() != before_ours)
    complain(b, nth, for_good, "blocks of ours are left", fail_live_ours() - before_ours);
  if (fail_handles() != before_handles)
    complain(b, nth, for_good, "things of GEOS are not given back", fail_handles() - before_handles);
  if (fail_live() != before && fail_in_library())
    b->kept++;
  else if (fail_live() != before)
    complain(b, nth, for_good, "blocks are left", fail_live() - before);
}

static size_t count_allocations(bench *b) {
  for (int i = 0; i < WARM_UPS; i++) { /* what libraries keep for later is not ours to free */
    pc_text_free(&b->right);
    if (b->work(b->context, &b->right) != PC_OK)
      fail_msg("%s: %s", b->name, last_fault);
    assert_non_null(b->right.data);
  }
  fail_arm(0, false);
  bool good = works(b);
  size_t all = fail_disarm();
  assert_true(good);
  return all;
}

void alloc_check(const char *name, size_t most, alloc_work *work, void *context) {
  bench b = {.name = name, .work = work, .context = context};
  size_t all = count_allocations(&b);
  assert_true(all > 0);
  signal(SIGSEGV, tell_crash);
  signal(SIGABRT, tell_crash);
  most = places_to_try(most);
  double step = most == 0 || all <= most ? 1 : (double)all / (double)most;
  size_t tried = 0, before = 0;
  for (double place = 1; place < (double)all + 1 && b.wrong < WRONG_MOST; place += step) {
    size_t nth = (size_t)place;
    if (nth == before)
      continue;
    before = nth;
    for (int for_good = 0; for_good < 2; for_good++)
      try_place(&b, nth, for_good != 0);
    if (tried++ % AGAIN_EVERY == 0 && !works(&b))
      complain(&b, nth, true, "it does not work the next time", 0);
  }
  if (!works(&b))
    complain(&b, before, true, "it does not work in the end", 0);
  signal(SIGSEGV, SIG_DFL);
  signal(SIGABRT, SIG_DFL);
  pc_text_free(&b.right);
  if (LEAKS() != 0)
    complain(&b, 0, true, "the leak checker found something", 1);
  print_message(
      "%s: %zu of %zu allocations failed in turn: %zu times refused, %zu times managed; %zu times a library "
      "lost blocks\n",
      name, tried, all, b.refused, b.managed, b.kept);
  assert_int_equal(b.wrong, 0);
  assert_true(b.refused > 0);
}
