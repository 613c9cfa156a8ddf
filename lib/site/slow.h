// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Where machines go slowly: within a set distance of obstacles and of people's ways (doors, accessible stalls
 * and routes). A raster of half-metre squares over what lies near, so that a leg is measured by sampling.
 * Metres. Constant once made; may be shared between threads. Owned by the caller: pc_slow_free.
 */
#ifndef PC_SITE_SLOW_H
#define PC_SITE_SLOW_H

#include "site/site.h"

PC_BEGIN_C

typedef struct pc_slow pc_slow;

/* *slow is NULL if nothing is slow: no distance, no speed, or nothing to be near to.
 * Errors: PC_ERR_MEMORY, PC_ERR_LIMIT (more than 100 million squares). */
PC_API PC_MUST_USE pc_status pc_slow_make(const pc_site *site, const pc_near *near, pc_slow **slow);
PC_API void pc_slow_free(pc_slow *slow);
PC_API bool pc_slow_at(const pc_slow *slow, pc_point place);
/* Slow length of a leg, sampled every 2 m or less. */
PC_API double pc_slow_length_m(const pc_slow *slow, pc_point from, pc_point to);

PC_END_C

#endif
