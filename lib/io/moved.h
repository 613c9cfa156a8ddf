// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A scenario's text for another folder: the names of other files in it (site.file, storm_file) lead to the
 * same files from there. Names from the root of the file system stay, and so does everything else, comments
 * and all.
 *
 * Failures: PC_ERR_FILE if one of the folders is not there, PC_ERR_SYNTAX if a name is written in a way that
 * cannot be changed or would lead through a folder that no scenario can name (not UTF-8, control characters),
 * PC_ERR_MEMORY; faults say why, and the text is as it was. Looks at the file system, for where folders are;
 * opens no file. Thread-safe (arguments only).
 */
#ifndef PC_IO_MOVED_H
#define PC_IO_MOVED_H

#include "base/status.h"
#include "base/text.h"

PC_BEGIN_C

/* `from` is the file that the text was read from, `to` the one that it will be written to. */
PC_API PC_MUST_USE pc_status pc_scenario_move(const char *from, const char *to, pc_text *text,
                                              pc_faults *faults);

PC_END_C

#endif
