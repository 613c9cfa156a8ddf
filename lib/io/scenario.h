// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Reads a scenario file (YAML) into a pc_scenario, and checks it.
 *
 * Every quantity is written with its unit; coordinates are bare numbers in site.units. Names of boxes,
 * loaders, zones and so on may be left out and then read "box 1", "loader 1", …. A crew that leaves out its
 * loader or box gets the only one there is. The things of the GeoJSON file that site.file names
 * (io/geojson.h) are put before those of the scenario; its path is relative to the scenario file, or to the
 * working directory where the scenario is no file (text, standard input) or the path is an override.
 *
 * Failures: every fault of the file is added to `faults`, with file, line, column and key path, and the
 * status of the first is returned; *out is then pc_scenario_default() and holds nothing. Cautions may be
 * added although PC_OK is returned. Faults of one slip are told once: what cannot be read is not called
 * missing as well. Ownership: on PC_OK the caller frees *out with pc_scenario_free. Thread-safety: arguments
 * only (and standard input, if that is read).
 */
#ifndef PC_IO_SCENARIO_H
#define PC_IO_SCENARIO_H

#include "sim/scenario.h"

PC_BEGIN_C

/* One value put in the place of what the file says, before anything is read: `path` as in faults, where a
 * list entry may also be named by its name (zones[west].berths); `value` as YAML text. With value NULL, path
 * holds both: "snow.depth=15 cm". Maps that are missing on the way are made; a list entry must exist. */
typedef struct pc_override {
  const char *path;
  const char *value;
  const char *source; /* what faults call the file; NULL = "--set" */
} pc_override;

/* Reads a file; "-" is standard input. */
PC_API PC_MUST_USE pc_status pc_scenario_read(const char *path, const pc_override *overrides,
                                              size_t override_count, pc_scenario *out, pc_faults *faults);
/* Reads text in memory; `name` is what faults call it. Here and in every other reader of a text and its
 * length, the text may be NULL if the length is 0. */
PC_API PC_MUST_USE pc_status pc_scenario_read_text(const char *name, const char *text, size_t length,
                                                   const pc_override *overrides, size_t override_count,
                                                   pc_scenario *out, pc_faults *faults);
/* Notes every file of its own that a scenario's text names, also where the scenario is faulty or no YAML at
 * all (then what stands behind anything that looks like such a key), so that none of them is written over.
 * `path`: where the scenario lies, or NULL. More names may be noted than are read. Fails for want of memory
 * only; the caller frees *files with pc_origins_free either way. */
PC_API PC_MUST_USE pc_status pc_scenario_files(const char *path, const char *text, size_t length,
                                               const pc_override *overrides, size_t override_count,
                                               pc_origins *files);

PC_END_C

#endif
