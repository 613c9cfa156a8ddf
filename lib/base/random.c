// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/random.h"

#include <gsl/gsl_randist.h>
#include <limits.h>
#include <math.h>

/* Constants of SplitMix64: Steele, Lea & Flood 2014, OOPSLA (from memory). */
static const uint64_t golden_gamma = UINT64_C(0x9E3779B97F4A7C15);

static uint64_t finalise(uint64_t bits) {
  bits = (bits ^ (bits >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
  bits = (bits ^ (bits >> 27)) * UINT64_C(0x94D049BB133111EB);
  return bits ^ (bits >> 31);
}

uint64_t pc_stream_next(pc_stream *stream) {
  stream->state += golden_gamma;
  return finalise(stream->state);
}

/* Each number is mixed in by a bijection, so streams that differ in one number only never coincide. */
void pc_stream_start(pc_stream *stream, uint64_t seed, uint64_t replication, uint64_t machine,
                     uint64_t purpose) {
  uint64_t hash = finalise(seed + golden_gamma);
  hash = finalise(hash + golden_gamma + replication);
  hash = finalise(hash + golden_gamma + machine);
  stream->state = finalise(hash + golden_gamma + purpose);
}

static void generator_set(void *state, unsigned long seed) {
  ((pc_stream *)state)->state = seed;
}

static unsigned long generator_get(void *state) {
  /* The high bits where unsigned long is short. */
  return (unsigned long)(pc_stream_next(state) >> (64 - CHAR_BIT * sizeof(unsigned long)));
}

static double generator_get_double(void *state) {
  return (double)(pc_stream_next(state) >> 11) * 0x1p-53;
}

static const gsl_rng_type generator = {
    "splitmix64", ULONG_MAX, 0, sizeof(pc_stream), generator_set, generator_get, generator_get_double};

const gsl_rng_type *const pc_rng_splitmix64 = &generator;

double pc_stream_factor(pc_stream *stream, double cv) {
  if (!(cv > 0))
    return 1.0;
  double variance = log1p(cv * cv);
  gsl_rng view = {pc_rng_splitmix64, stream};
  return gsl_ran_lognormal(&view, -0.5 * variance, sqrt(variance));
}

double pc_stream_exponential(pc_stream *stream, double mean) {
  gsl_rng view = {pc_rng_splitmix64, stream};
  return gsl_ran_exponential(&view, mean);
}
