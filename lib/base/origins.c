// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/origins.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

static size_t keep(pc_origins *origins, const char *word) {
  size_t at = origins->words.length;
  pc_text_add_bytes(&origins->words, word, strlen(word) + 1);
  return at;
}

static const int whole_file = -1; /* in place of a line */

static void note(pc_origins *origins, const char *path, const char *key, const char *file, int line,
                 int column) {
  void *items = origins->items;
  if (pc_reserve(&items, &origins->capacity, origins->count + 1, sizeof *origins->items) != 0) {
    origins->failed = true;
    return;
  }
  origins->items = items;
  const pc_origin made = {.path = keep(origins, path),
                          .key = keep(origins, key),
                          .file = keep(origins, file),
                          .line = line,
                          .column = column};
  if (origins->words.failed)
    origins->failed = true;
  else
    origins->items[origins->count++] = made;
}

void pc_origins_note(pc_origins *origins, const char *path, const pc_error *place) {
  note(origins, path, place->key, place->file, place->line, place->column);
}

void pc_origins_note_file(pc_origins *origins, const char *key, const char *file) {
  note(origins, key, key, file, whole_file, 0);
}

const char *pc_origins_file_at(const pc_origins *origins, size_t index, const char **key) {
  for (size_t i = 0; i < origins->count; i++)
    if (origins->items[i].line == whole_file && index-- == 0) {
      *key = origins->words.data + origins->items[i].key;
      return origins->words.data + origins->items[i].file;
    }
  return NULL;
}

/* How much of the key the path makes up, if it is the key or a part around it; else 0. */
static size_t covers(const char *path, const char *key) {
  size_t length = strlen(path);
  bool around = strncmp(path, key, length) == 0 && strchr(".[", key[length]); /* the end counts, too */
  return around ? length : 0;
}

static void place_error(const pc_origins *origins, pc_error *error) {
  const pc_origin *best = NULL;
  const char *words = origins->words.data;
  size_t most = 0;
  for (size_t i = 0; i < origins->count; i++) {
    size_t covered =
        origins->items[i].line == whole_file ? 0 : covers(words + origins->items[i].path, error->key);
    if (covered > most) {
      most = covered;
      best = &origins->items[i];
    }
  }
  if (!best)
    return;
  pc_error_place(error, words + best->file, best->line, best->column);
  if (error->key[most] == '\0')
    pc_error_rename(error, words + best->key);
}

void pc_origins_place(const pc_origins *origins, pc_faults *faults, size_t first) {
  for (size_t i = first; i < faults->count; i++)
    if (faults->items[i].file[0] == '\0')
      place_error(origins, &faults->items[i]);
}

void pc_origins_free(pc_origins *origins) {
  if (!origins)
    return;
  free(origins->items);
  pc_text_free(&origins->words);
  *origins = (pc_origins){0};
}
