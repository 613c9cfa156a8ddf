// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Reads a fleet file (YAML) into a pc_fleet, and checks it: machines, boxes, and the ways between lots.
 * Loaders and boxes are written as in a scenario; every quantity has its unit; positions are bare numbers in
 * travel.units (km, m, mi or ft), and travel.minutes is a matrix of bare numbers.
 *
 * Failures: every fault of the file is added to `faults`, with file, line, column and key path, and the
 * status of the first is returned; *out is then pc_fleet_default(). Ownership: on PC_OK the caller frees *out
 * with pc_fleet_free. Thread-safety: arguments only (and standard input, if that is read).
 */
#ifndef PC_IO_FLEET_H
#define PC_IO_FLEET_H

#include "study/assign.h"

PC_BEGIN_C

/* Reads a file; "-" is standard input. */
PC_API PC_MUST_USE pc_status pc_fleet_read(const char *path, pc_fleet *out, pc_faults *faults);
/* Reads text in memory; `name` is what faults call it. */
PC_API PC_MUST_USE pc_status pc_fleet_read_text(const char *name, const char *text, size_t length,
                                                pc_fleet *out, pc_faults *faults);

PC_END_C

#endif
