// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The faces of a pile zone: the stretches of its outline that a machine can bring a load to. Metres.
 * Constant once made; owned by the caller: pc_faces_free. Internal: not installed.
 */
#ifndef PC_SITE_FACES_H
#define PC_SITE_FACES_H

#include "site/site.h"

typedef struct pc_face {
  pc_point a, b; /* the same for a point zone */
} pc_face;

typedef struct pc_faces {
  pc_face *items;
  size_t *first;   /* faces of zone z: first[z] … first[z + 1] − 1 */
  double *depth_m; /* of each zone, behind its faces on average: area / length of faces; 0 for a point */
  size_t zone_count;
} pc_faces;

/* `open` says whether a machine can stand at a place just outside an outline. */
PC_MUST_USE pc_status pc_faces_make(const pc_zone *const *zones, size_t zone_count,
                                    bool (*open)(const void *context, pc_point place), const void *context,
                                    pc_faces *faces);
void pc_faces_free(pc_faces *faces);
/* The nearest place on the faces of a zone, and which face it is on; INFINITY if it has none. */
double pc_faces_nearest_m(const pc_faces *faces, size_t zone, pc_point from, pc_point *at, size_t *face);

#endif
