// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Version of the library: the macros say what a program was compiled against, pc_version() what it runs
 * with. Semantic versioning. Thread-safe.
 */
#ifndef PC_BASE_VERSION_H
#define PC_BASE_VERSION_H

#include "base/export.h"

#define PC_VERSION_MAJOR 0
#define PC_VERSION_MINOR 1
#define PC_VERSION_PATCH 0

/* "0.1.0" */
PC_API const char *pc_version(void);

#endif
