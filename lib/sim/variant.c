// SPDX-License-Identifier: GPL-3.0-or-later
#include "sim/variant.h"

#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

static void *copy(const void *items, size_t count, size_t size) {
  void *made = pc_alloc(count + 1, size);
  if (made && count > 0)
    memcpy(made, items, count * size);
  return made;
}

pc_status pc_variant_make(const pc_scenario *s, pc_scenario *variant) {
  *variant = *s;
  variant->site.areas = copy(s->site.areas, s->site.area_count, sizeof *s->site.areas);
  variant->storm = copy(s->storm, s->storm_count, sizeof *s->storm);
  variant->boxes = copy(s->boxes, s->box_count, sizeof *s->boxes);
  variant->loaders = copy(s->loaders, s->loader_count, sizeof *s->loaders);
  variant->crew = copy(s->crew, s->crew_count, sizeof *s->crew);
  return variant->site.areas && variant->storm && variant->boxes && variant->loaders && variant->crew
             ? PC_OK
             : PC_ERR_MEMORY;
}

void pc_variant_free(pc_scenario *variant) {
  free(variant->site.areas);
  free(variant->storm);
  free(variant->boxes);
  free(variant->loaders);
  free(variant->crew);
}
