// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/memory.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Larger objects break pointer differences, so they count as overflow. */
static int too_large(size_t count, size_t size) {
  return size != 0 && count > (size_t)PTRDIFF_MAX / size;
}

void *pc_alloc(size_t count, size_t size) {
  if (too_large(count, size))
    return NULL;
  return count != 0 && size != 0 ? calloc(count, size) : calloc(1, 1);
}

void *pc_alloc_grid(size_t rows, size_t columns, size_t size) {
  return columns != 0 && rows > SIZE_MAX / columns ? NULL : pc_alloc(rows * columns, size);
}

void *pc_copy(const void *from, size_t count, size_t size) {
  void *copy = pc_alloc(count, size);
  if (copy && count != 0 && size != 0)
    memcpy(copy, from, count * size);
  return copy;
}

int pc_reserve(void **array, size_t *capacity, size_t need, size_t size) {
  if (need <= *capacity)
    return 0;
  if (too_large(need, size))
    return -1;
  size_t room = *capacity < 4 ? 8 : *capacity;
  while (room < need && room <= SIZE_MAX / 2)
    room *= 2;
  if (room < need || too_large(room, size))
    room = need;
  char *grown = realloc(*array, size ? room * size : 1);
  if (!grown)
    return -1;
  memset(grown + *capacity * size, 0, (room - *capacity) * size);
  *array = grown;
  *capacity = room;
  return 0;
}
