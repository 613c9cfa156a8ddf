// SPDX-License-Identifier: GPL-3.0-or-later
/* Structs to and from the JSON of parts; not installed. Numbers keep every bit: NaN is null, infinity a word.
 * Writers return NULL if memory is short; readers return false for anything that a writer did not make, and
 * where memory is short, which *no_memory then says. */
#ifndef PC_IO_SHARDS_PRIVATE_H
#define PC_IO_SHARDS_PRIVATE_H

#include <jansson.h>

#include "io/format.h"
#include "sim/result.h"
#include "study/crossings.h"
#include "study/depths.h"
#include "study/heading.h"

json_t *pc_shard_number(double value);
bool pc_shard_take_number(const json_t *from, double *value);

/* Anything that the tables of the scenario format describe. The object holds its defaults already. */
json_t *pc_shard_put_part(const pc_part *part, const void *object);
bool pc_shard_take_part(const pc_part *part, const json_t *from, void *object, bool *no_memory);

json_t *pc_shard_put_result(const pc_result *result);
/* Into rooms of the same sizes. */
bool pc_shard_take_result(const json_t *from, pc_result *result);
json_t *pc_shard_put_keep_up(const pc_keep_up *keep_up);
bool pc_shard_take_keep_up(const json_t *from, pc_keep_up *keep_up);
json_t *pc_shard_put_depths(const pc_depths_series *depths);
/* Into a series that was started for its lot. */
bool pc_shard_take_depths(const json_t *from, pc_depths_series *depths, bool *no_memory);
json_t *pc_shard_put_crossings(const pc_crossed *crossed);
/* Filled afresh; it belongs to the caller, also on failure. */
bool pc_shard_take_crossings(const json_t *from, pc_crossed *crossed, bool *no_memory);
json_t *pc_shard_put_headings(const pc_heading_report *headings);
bool pc_shard_take_headings(const json_t *from, pc_heading_report *headings, bool *no_memory);

#endif
