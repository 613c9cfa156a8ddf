// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A comparison or a run cut into shards that are worked on in several places, and joined again.
 *
 * The work is one long row of replications: those of the first combination, then those of the second, and so
 * on. Shard i of n is the i-th of n stretches of it, as equal as can be. A shard writes a part: text, one
 * JSON value a line. The first line says what was asked for: the whole scenario as it was read, so that a
 * part needs no other file; then one line for each replication with all its numbers; and a last line that
 * proves that the part is whole. Numbers are written so that they are read back to the last bit.
 *
 * Joined, the parts give what one machine would have given, to the last bit: statistics, ranks and bounds are
 * made from the replications as if they had just been run.
 *
 * Parts are SI. What writes them wants a scenario that pc_scenario_validate has no fault of, and tells of
 * those it has. Failures else: PC_ERR_FILE, PC_ERR_MEMORY; PC_ERR_SYNTAX for what is no part, or not whole;
 * PC_ERR_RANGE for parts that do not belong together; PC_ERR_NAME for a shard that is there twice, and
 * PC_ERR_MISSING for one that is not. Each fault names its file. Ownership: as told at each function.
 * Thread-safe (arguments only).
 */
#ifndef PC_IO_SHARDS_H
#define PC_IO_SHARDS_H

#include "base/watch.h"
#include "study/compare.h"
#include "study/depths.h"
#include "study/heading.h"

PC_BEGIN_C

enum { PC_SHARDS_MAX = 10000 };

typedef struct pc_shard {
  size_t index, count; /* index 1 … count, count 1 … PC_SHARDS_MAX */
} pc_shard;

/* Reads "2/7"; false if it is none. */
PC_API PC_MUST_USE bool pc_shard_parse(const char *text, pc_shard *shard);

/* Runs one shard of what pc_compare would run with the scenario's own lists, replications and seed, and
 * writes its part. `headings`: those that were chosen for the scenario, to be told of at the end.
 * PC_ERR_RANGE for a shard that there is not. */
PC_API PC_MUST_USE pc_status pc_shard_compare(const pc_scenario *scenario, const pc_heading_report *headings,
                                              pc_shard shard, int threads, pc_text *out, pc_faults *faults);
/* The same for the replications of one lot. */
PC_API PC_MUST_USE pc_status pc_shard_run(const pc_scenario *scenario, const pc_choice *choice,
                                          const pc_heading_report *headings, pc_shard shard, int threads,
                                          pc_text *out, pc_faults *faults);

/* The same, watched (watch may be NULL): each replication is a step. A part is whole or not there at all: if
 * it is stopped before the last one, nothing is added to *out, and *left says how many are not done; else it
 * is 0. */
PC_API PC_MUST_USE pc_status pc_shard_compare_watched(const pc_scenario *scenario,
                                                      const pc_heading_report *headings, pc_shard shard,
                                                      int threads, const pc_watch *watch, size_t *left,
                                                      pc_text *out, pc_faults *faults);
PC_API PC_MUST_USE pc_status pc_shard_run_watched(const pc_scenario *scenario, const pc_choice *choice,
                                                  const pc_heading_report *headings, pc_shard shard,
                                                  int threads, const pc_watch *watch, size_t *left,
                                                  pc_text *out, pc_faults *faults);

/* All parts of one piece of work. */
typedef struct pc_shards pc_shards;

/* Reads all parts, in any order; "-" is standard input. Their scenario gets the units of the first part, or
 * those of `faults` if they are given there. */
PC_API PC_MUST_USE pc_status pc_shards_read(const char *const *paths, size_t count, pc_shards **shards,
                                            pc_faults *faults);
PC_API void pc_shards_free(pc_shards *shards);
/* Borrowed from the shards. */
PC_API const pc_scenario *pc_shards_scenario(const pc_shards *shards);
PC_API const pc_heading_report *pc_shards_headings(const pc_shards *shards);
PC_API bool pc_shards_is_run(const pc_shards *shards); /* else a comparison */
/* Results as pc_compare and pc_replicate give them; the caller frees them. The series is the first
 * replication's; it is pc_depths_start's where no snow falls. *crossed is of that replication, too. */
PC_API PC_MUST_USE pc_status pc_shards_compare(const pc_shards *shards, pc_comparison *comparison,
                                               pc_faults *faults);
PC_API PC_MUST_USE pc_status pc_shards_run(const pc_shards *shards, pc_lot **lot, pc_summary *summary,
                                           pc_depths_series *depths, pc_crossed *crossed, pc_faults *faults);

PC_END_C

#endif
