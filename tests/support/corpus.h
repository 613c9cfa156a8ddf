// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A folder of malformed files: every tests/<folder>/NNN-title<ending> must give exactly the lines of
 * NNN-title.txt. Expected lines are judged by a person, not by the program; PC_UPDATE=1 in the environment
 * rewrites them for that. The folder is looked for under PC_SOURCE_DIR, or the working directory.
 */
#ifndef PC_TESTS_CORPUS_H
#define PC_TESTS_CORPUS_H

#include "base/status.h"
#include "base/text.h"

/* Path of a folder below tests. */
void corpus_folder(const char *folder, char *path, size_t size);

/* Reads `text` under the name `name`, and adds a line for every fault and caution. The text stands in a block
 * of its own length, so that reading beyond it is seen. */
typedef void corpus_reader(const char *name, const char *text, size_t length, pc_text *lines);

/* Fails unless every case gives what it should, and there are at least `least` of them. */
void corpus_check(const char *folder, const char *ending, size_t least, corpus_reader *reader);

/* A line for each of the faults, which are freed. */
void corpus_add_faults(pc_faults *faults, pc_text *lines);

#endif
