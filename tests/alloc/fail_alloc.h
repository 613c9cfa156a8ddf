// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * An allocator that fails when told to, and counts what is alive.
 *
 * The calls of our own objects come through here by --wrap of the linker. Those of GEOS, GLPK, PROJ, libyaml,
 * jansson and the C and C++ libraries do, too: the program's malloc takes the place of the C library's for
 * everybody. Sanitizers and valgrind bring a malloc of their own; for them build with PC_ALLOC_OURS, and only
 * our own calls fail.
 *
 * One for the whole program; counts are atomic, so that threads may allocate.
 */
#ifndef PC_TESTS_FAIL_ALLOC_H
#define PC_TESTS_FAIL_ALLOC_H

#include <stdbool.h>
#include <stddef.h>

/* Counts from 0 again, and lets allocation number `nth` (1 …; 0: none) fail, and with `for_good` all after
 * it. */
void fail_arm(size_t nth, bool for_good);
/* Nothing fails any more; how many allocations were asked for since it was armed. */
size_t fail_disarm(void);
/* Since it was armed some allocation of a library failed (so that what is left may be the library's leak). */
bool fail_in_library(void);

/* What is alive: blocks of anybody, and of our own objects; things that GEOS made for us. With PC_ALLOC_OURS
 * frees are not seen and the first two are always 0: a leak checker counts there. */
long fail_live(void);
long fail_live_ours(void);
long fail_handles(void);

#endif
