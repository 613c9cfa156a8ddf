// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Random streams. Each stream is identified by (seed, replication, machine, purpose), hashed to its
 * starting state: streams never share state, so results do not depend on the order in which machines or
 * threads draw, and two layouts run with one seed meet the same luck.
 *
 * The generator is SplitMix64 (Steele, Lea & Flood 2014, OOPSLA), plugged into GSL as a gsl_rng_type, so
 * that every GSL distribution works on it. A stream is a plain value: no allocation, nothing to free.
 * Thread-safety: a stream belongs to one thread at a time.
 */
#ifndef PC_BASE_RANDOM_H
#define PC_BASE_RANDOM_H

#include <gsl/gsl_rng.h>
#include <stdint.h>

#include "base/export.h"

PC_BEGIN_C

typedef struct pc_stream {
  uint64_t state;
} pc_stream;

/* The GSL type: pass to gsl_rng_alloc in programs that want it. */
PC_API extern const gsl_rng_type *const pc_rng_splitmix64;

/* A stream of its own for each combination of the four numbers; none of them need be large or random. */
PC_API void pc_stream_start(pc_stream *stream, uint64_t seed, uint64_t replication, uint64_t machine,
                            uint64_t purpose);
/* Next 64 random bits. */
PC_API uint64_t pc_stream_next(pc_stream *stream);
/* Lognormal with mean 1 and coefficient of variation `cv` (σ² = ln(1 + cv²), μ = −σ²/2); 1 exactly, and
 * nothing drawn, if cv is 0. */
PC_API double pc_stream_factor(pc_stream *stream, double cv);
/* Exponential with mean `mean`. */
PC_API double pc_stream_exponential(pc_stream *stream, double mean);

PC_END_C

#endif
