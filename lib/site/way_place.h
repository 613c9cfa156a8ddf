// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * A place on a lot as ways know it. Ways themselves (pc_routes) are the library's own business: a lot holds
 * them, a program only passes them on. Metres. Plain values; thread-safe.
 */
#ifndef PC_SITE_WAY_PLACE_H
#define PC_SITE_WAY_PLACE_H

#include "site/geometry.h"

PC_BEGIN_C

typedef struct pc_routes pc_routes;

#define PC_NO_NODE ((size_t)-1)

/* A place on the line from node `node` to the next, `share` of the way along; or anywhere (PC_NO_NODE). */
typedef struct pc_place {
  pc_point at;
  size_t node;
  double share;
} pc_place;

/* A place that is on no line. */
static inline pc_place pc_place_at(pc_point at) {
  const pc_place place = {at, PC_NO_NODE, 0.0};
  return place;
}

PC_END_C

#endif
