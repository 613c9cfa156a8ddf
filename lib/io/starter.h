// SPDX-License-Identifier: GPL-3.0-or-later
/* Scenario files that come with the library, as text. Constant; nothing to free; thread-safe. */
#ifndef PC_IO_STARTER_H
#define PC_IO_STARTER_H

#include "base/export.h"

PC_BEGIN_C

/* A commented scenario to start from: it runs as it is, and shows every optional key. */
PC_API const char *pc_starter_scenario(void);
/* The built-in demonstration lot: an invented ferry terminal. */
PC_API const char *pc_demo_scenario(void);

PC_END_C

#endif
