// SPDX-License-Identifier: GPL-3.0-or-later
#include "fail_alloc.h"

#include <errno.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/export.h"

static atomic_size_t asked, fails_at;
static atomic_bool armed, all_after, library_failed;
static atomic_long live, live_ours;
static _Thread_local bool ours; /* the call at hand is of one of our objects */

void fail_arm(size_t nth, bool for_good) {
  atomic_store(&asked, 0);
  atomic_store(&fails_at, nth);
  atomic_store(&all_after, for_good);
  atomic_store(&library_failed, false);
  atomic_store(&armed, true);
}

size_t fail_disarm(void) {
  atomic_store(&armed, false);
  return atomic_load(&asked);
}

bool fail_in_library(void) {
  return atomic_load(&library_failed);
}

long fail_live(void) {
  return atomic_load(&live);
}

long fail_live_ours(void) {
  return atomic_load(&live_ours);
}

static bool fails(void) {
  if (!atomic_load(&armed))
    return false;
  size_t now = atomic_fetch_add(&asked, 1) + 1, at = atomic_load(&fails_at);
  bool failed = at != 0 && (now == at || (now > at && atomic_load(&all_after)));
  if (failed && !ours)
    atomic_store(&library_failed, true);
  if (failed)
    errno = ENOMEM;
  return failed;
}

/* ---- our own calls ---- */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *old, size_t size);
char *__real_strdup(const char *text);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *old, size_t size);
char *__wrap_strdup(const char *text);

#ifdef PC_ALLOC_OURS

#define REAL(call) (ours = true, fails() ? NULL : (call))

static void *note(void *block) {
  ours = false;
  return block;
}

static void forget(const void *block) {
  (void)block;
}

#else

#define REAL(call) (ours = true, (call)) /* the malloc below fails */

/* Our blocks, by address; 0: empty, 1: was there. Only ever some thousand at a time. */
enum { ROOM = 1 << 20 };
static atomic_uintptr_t table[ROOM];

static size_t slot_of(const void *block, size_t step) {
  return (size_t)(((uintptr_t)block >> 4) * UINT64_C(0x9E3779B97F4A7C15) >> 40) + step;
}

static void *note(void *block) {
  ours = false;
  for (size_t step = 0; block && step < ROOM; step++) {
    uintptr_t found = atomic_load(&table[slot_of(block, step) % ROOM]);
    if (found <= 1 &&
        atomic_compare_exchange_strong(&table[slot_of(block, step) % ROOM], &found, (uintptr_t)block)) {
      atomic_fetch_add(&live_ours, 1);
      break;
    }
  }
  return block;
}

static void forget(const void *block) {
  for (size_t step = 0; block && step < ROOM; step++) {
    uintptr_t found = atomic_load(&table[slot_of(block, step) % ROOM]);
    if (found == (uintptr_t)block) {
      atomic_store(&table[slot_of(block, step) % ROOM], 1);
      atomic_fetch_sub(&live_ours, 1);
      return;
    }
    if (found == 0)
      return;
  }
}

#endif

void *__wrap_malloc(size_t size) {
  return note(REAL(__real_malloc(size)));
}

void *__wrap_calloc(size_t count, size_t size) {
  return note(REAL(__real_calloc(count, size)));
}

void *__wrap_realloc(void *old, size_t size) {
  void *block = REAL(__real_realloc(old, size));
  ours = false;
  if (block)
    forget(old);
  return note(block);
}

char *__wrap_strdup(const char *text) {
  return note(REAL(__real_strdup(text)));
}

/* ---- calls within which nothing fails ---- */

/* GEOS, PROJ and jansson end the process there where they get no memory, or worse (an exception leaves the
 * first, the other two do not look at what they got). The library sees to it beforehand that there is enough:
 * lib/site/geos.c, lib/io/geodesy.c, lib/io/json_text.c. */
#define SHELTERED(name, parameters, arguments)                                                               \
  void *__real_##name parameters;                                                                            \
  void *__wrap_##name parameters;                                                                            \
  void *__wrap_##name parameters {                                                                           \
    bool was_armed = atomic_exchange(&armed, false);                                                         \
    void *made = __real_##name arguments;                                                                    \
    atomic_store(&armed, was_armed);                                                                         \
    return made;                                                                                             \
  }

SHELTERED(GEOS_init_r, (void), ())
SHELTERED(proj_context_create, (void), ())
SHELTERED(proj_create, (void *context, const char *definition), (context, definition))
SHELTERED(json_loadb, (const char *text, size_t length, size_t flags, void *error),
          (text, length, flags, error))

/* ---- everybody's calls ---- */

#ifndef PC_ALLOC_OURS

/* Under these names the GNU C library has its own. Ours are exported, so that the shared libraries find them
 * first. */
extern void *__libc_malloc(size_t size);
extern void *__libc_calloc(size_t count, size_t size);
extern void *__libc_realloc(void *old, size_t size);
extern void *__libc_memalign(size_t alignment, size_t size);
extern void __libc_free(void *block);
PC_API void *memalign(size_t alignment, size_t size);

static void *counted(void *block) {
  if (block)
    atomic_fetch_add(&live, 1);
  return block;
}

PC_API void *malloc(size_t size) {
  return fails() ? NULL : counted(__libc_malloc(size));
}

PC_API void *calloc(size_t count, size_t size) {
  return fails() ? NULL : counted(__libc_calloc(count, size));
}

PC_API void *realloc(void *old, size_t size) {
  if (old && size == 0) {
    free(old);
    return NULL;
  }
  if (fails())
    return NULL;
  void *block = __libc_realloc(old, size);
  return old ? block : counted(block);
}

PC_API void *memalign(size_t alignment, size_t size) {
  return fails() ? NULL : counted(__libc_memalign(alignment, size));
}

PC_API void *aligned_alloc(size_t alignment, size_t size) {
  return memalign(alignment, size);
}

PC_API int posix_memalign(void **out, size_t alignment, size_t size) {
  void *block = memalign(alignment, size);
  if (!block)
    return ENOMEM;
  *out = block;
  return 0;
}

PC_API void free(void *block) {
  if (block) {
    atomic_fetch_sub(&live, 1);
    forget(block);
  }
  __libc_free(block);
}

#endif
