// SPDX-License-Identifier: GPL-3.0-or-later
/* What the writers of replay and board share; not installed. */
#ifndef PC_IO_REPLAY_PRIVATE_H
#define PC_IO_REPLAY_PRIVATE_H

#include <stdint.h>

#include "io/results_json_private.h"

/* A growing row of small numbers: seven bits a byte, the low ones first, the top bit set on all but the last.
 */
typedef struct pc_bytes {
  unsigned char *data;
  size_t length, capacity;
  bool failed;
} pc_bytes;

void pc_bytes_put(pc_bytes *bytes, uint64_t number);
/* Either sign: 0, −1, 1, −2 … become 0, 1, 2, 3 … */
void pc_bytes_put_signed(pc_bytes *bytes, int64_t number);
/* As base64 under a key; frees the bytes. */
void pc_bytes_to_json(pc_bytes *bytes, json_t *map, const char *key, bool *bad);

/* web_site.c: when the work starts, under "start": {"minutes": since midnight, "twelve": am and pm}; nothing
 * where it is not given. */
void pc_web_put_start(json_t *root, const pc_clock *clock, bool *bad);
/* The lot as it is drawn: areas, ground, obstacles, things to keep clear of, passages. Points are
 * pairs of metres. */
json_t *pc_web_site(const pc_scenario *scenario, bool *bad);
json_t *pc_web_point(pc_point point, bool *bad);
json_t *pc_web_zone(const pc_zone *zone, bool *bad);
void pc_web_append(json_t *list, json_t *value, bool *bad);
/* Adds JSON text under a key to the object that `out` ends with. Text is put in as it is: reading it again
 * would cost time, and jansson leaves out letters, without a word, when memory runs short while it reads. */
void pc_web_splice(pc_text *out, const char *key, const char *json);
/* Writes a document without blanks, and releases it. */
pc_status pc_web_finish(json_t *root, bool bad, pc_text *out);

#endif
