// SPDX-License-Identifier: GPL-3.0-or-later
/* What the writer and the reader of parts agree on; not installed. */
#ifndef PC_IO_SHARDS_LINES_PRIVATE_H
#define PC_IO_SHARDS_LINES_PRIVATE_H

#include "io/shards.h"

#define PC_PART_FORMAT "pushcycle-part"
/* FNV-1a, 64 bits, over all lines but the last: start and continuation. */
#define PC_PART_CHECK UINT64_C(14695981039346656037)
uint64_t pc_shard_check(uint64_t hash, const char *bytes, size_t length);

/* The stretch of `all` that is one shard's. */
static inline void pc_shard_stretch(pc_shard shard, size_t all, size_t *first, size_t *end) {
  /* all · index may be large, but PC_COMPARE_MAX × replications × PC_SHARDS_MAX fits */
  *first = (size_t)((uint64_t)all * (shard.index - 1) / shard.count);
  *end = (size_t)((uint64_t)all * shard.index / shard.count);
}

#endif
