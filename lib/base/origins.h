// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Where the parts of a scenario stand in its files, so that what is found only when a lot is made can name
 * its line too. Whoever reads a file notes places by key path; whoever finds a fault asks for the place of
 * its key.
 *
 * Ownership: notes belong to the list; zero-initialise, and free with pc_origins_free. A copy of the struct
 * borrows them. Failures: only memory; then `failed` is set, and what could not be noted has no place.
 * Thread-safety: arguments only; a list that nobody changes may be read by several threads.
 */
#ifndef PC_BASE_ORIGINS_H
#define PC_BASE_ORIGINS_H

#include "base/status.h"
#include "base/text.h"

PC_BEGIN_C

/* Its texts are places in `words` of the list. A whole file has no line: -1. */
typedef struct pc_origin {
  size_t path, key, file;
  int line, column;
} pc_origin;

typedef struct pc_origins {
  pc_origin *items;
  size_t count, capacity;
  pc_text words; /* texts one after the other, each with its terminator */
  bool failed;
} pc_origins;

/* Notes that the part with this path stands where `place` says; place->key is how the file calls it. */
PC_API void pc_origins_note(pc_origins *origins, const char *path, const pc_error *place);
/* Gives every entry from number `first` on that has no file the place of its key, or of the nearest part
 * around it that is noted. */
PC_API void pc_origins_place(const pc_origins *origins, pc_faults *faults, size_t first);
/* Notes that what this key names was read from a file of its own, under the name that it was opened by. */
PC_API void pc_origins_note_file(pc_origins *origins, const char *key, const char *file);
/* The index-th of these files, and the key that names it; NULL when there are no more. */
PC_API const char *pc_origins_file_at(const pc_origins *origins, size_t index, const char **key);
PC_API void pc_origins_free(pc_origins *origins);

PC_END_C

#endif
