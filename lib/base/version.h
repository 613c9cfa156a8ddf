// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Version of the library: the macros say what a program was compiled against, the functions what it runs
 * with. Semantic versioning. Thread-safe.
 */
#ifndef PC_BASE_VERSION_H
#define PC_BASE_VERSION_H

#include "base/export.h"

PC_BEGIN_C

#define PC_VERSION_MAJOR 0
#define PC_VERSION_MINOR 1
#define PC_VERSION_PATCH 0

/* 1002003 is 1.2.3. */
#define PC_VERSION_NUMBER_OF(major, minor, patch) ((major)*1000000 + (minor)*1000 + (patch))
#define PC_VERSION_NUMBER PC_VERSION_NUMBER_OF(PC_VERSION_MAJOR, PC_VERSION_MINOR, PC_VERSION_PATCH)
/* For #if: these headers are of that version or a later one. */
#define PC_VERSION_AT_LEAST(major, minor, patch)                                                             \
  (PC_VERSION_NUMBER >= PC_VERSION_NUMBER_OF(major, minor, patch))

/* "0.1.0" */
PC_API const char *pc_version(void);
/* PC_VERSION_NUMBER of the library that runs. */
PC_API int pc_version_number(void);

PC_END_C

#endif
