// SPDX-License-Identifier: GPL-3.0-or-later
/* Checked allocation. Everything allocated here is released with free(). Thread-safe. */
#ifndef PC_BASE_MEMORY_H
#define PC_BASE_MEMORY_H

#include <stddef.h>

#include "base/export.h"

PC_BEGIN_C

/* Zeroed array of count elements; NULL if it overflows or memory is short. count 0 gives a valid pointer. */
PC_API PC_MUST_USE void *pc_alloc(size_t count, size_t size);
/* The same for rows × columns elements, whose number may overflow too. */
PC_API PC_MUST_USE void *pc_alloc_grid(size_t rows, size_t columns, size_t size);
/* Copy of `count` elements; NULL on failure or overflow. */
PC_API PC_MUST_USE void *pc_copy(const void *from, size_t count, size_t size);
/* Makes room for at least `need` elements in *array (capacity doubles); new room is zeroed.
 * Returns 0, or -1 with everything unchanged. */
PC_API PC_MUST_USE int pc_reserve(void **array, size_t *capacity, size_t need, size_t size);

PC_END_C

#endif
