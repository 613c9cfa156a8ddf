// SPDX-License-Identifier: GPL-3.0-or-later
/* The part of a shard: its check sum is put right, so that what lies behind it is reached. A small one that
 * is good is summed up. */
#include <inttypes.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "base/version.h"
#include "fuzz.h"
#include "io/shards.h"
#include "io/shards_lines_private.h"

static size_t lines_in(const uint8_t *data, size_t size) {
  size_t count = 0;
  for (size_t i = 0; i < size; i++)
    count += data[i] == '\n';
  return count;
}

/* All lines of the input as this version would write them, and a last one that fits. */
static void write_part(FILE *file, const uint8_t *data, size_t size) {
  static const char key[] = "\"program\":\"";
  const size_t key_size = sizeof key - 1;
  pc_text text = {0};
  while (size > 0 && data[size - 1] != '\n')
    size--;
  size_t lines = lines_in(data, size), at = 0;
  while (at + key_size < size && memcmp(data + at, key, key_size) != 0)
    at++;
  at += key_size;
  size_t end = at;
  while (end < size && data[end] != '"')
    end++;
  if (end < size) {
    pc_text_addf(&text, "%.*s%s", (int)at, (const char *)data, pc_version());
    data += end;
    size -= end;
  }
  pc_text_addf(&text, "%.*s", (int)size, (const char *)data); /* up to a NUL, if there is one */
  FUZZ_MUST(fwrite(text.data, 1, text.length, file) == text.length);
  fprintf(file, "{\"lines\":%zu,\"check\":\"%016" PRIx64 "\"}\n", lines > 0 ? lines - 1 : 0,
          pc_shard_check(PC_PART_CHECK, text.data, text.length));
  pc_text_free(&text);
}

static void sum_up(const pc_shards *shards) {
  pc_faults faults = {0};
  if (pc_shards_is_run(shards)) {
    pc_lot *lot = NULL;
    pc_summary summary;
    pc_depths_series depths;
    pc_crossed crossed;
    pc_status status = pc_shards_run(shards, &lot, &summary, &depths, &crossed, &faults);
    fuzz_check_faults(status, &faults);
    pc_depths_free(&depths);
    pc_crossed_free(&crossed);
    pc_summary_free(&summary);
    pc_lot_free(lot);
  } else {
    pc_comparison comparison;
    pc_status status = pc_shards_compare(shards, &comparison, &faults);
    fuzz_check_faults(status, &faults);
    pc_comparison_free(&comparison);
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  char path[] = "/tmp/pc-fuzz-XXXXXX";
  int descriptor = mkstemp(path);
  FILE *file = descriptor >= 0 ? fdopen(descriptor, "wb") : NULL;
  FUZZ_MUST(file);
  write_part(file, data, size);
  FUZZ_MUST(fclose(file) == 0);
  const char *const paths[] = {path};
  pc_shards *shards = NULL;
  pc_faults faults = {0};
  pc_status status = pc_shards_read(paths, 1, &shards, &faults);
  fuzz_check_faults(status, &faults);
  (void)unlink(path);
  if (status == PC_OK && fuzz_is_small(pc_shards_scenario(shards)))
    sum_up(shards);
  pc_shards_free(shards);
  return 0;
}
