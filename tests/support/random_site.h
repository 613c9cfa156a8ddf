// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Random sites, the same for the same seed and options: an area of 40–200 m by 30–120 m, a rectangle or an L,
 * half of them turned and shifted; obstacles inside it (rectangles, convex polygons, poles, L, U and star
 * shapes, of either turning direction; no corner of a convex one is sharper than 30°); 1–4 pile zones. A zone
 * is a rectangle outside along an edge of the area, a rectangle inside it, or a point on its edge; zones are
 * 1 m apart or more. Metres; out of memory ends the program. Thread-safe.
 */
#ifndef PC_TESTS_RANDOM_SITE_H
#define PC_TESTS_RANDOM_SITE_H

#include "base/random.h"
#include "site/site.h"

typedef struct random_site_options {
  size_t obstacles_min, obstacles_max; /* default 0, 12; fewer where there is no more room */
  double gap_m;          /* obstacles keep this from the area's edge and from zones; default 0 */
  double apart_m;        /* and this from each other; default −INFINITY: they may overlap */
  bool convex_obstacles; /* default no */
  bool rectangle_area;   /* default no */
} random_site_options;

/* Free with random_lot_free. */
typedef struct random_lot {
  pc_site site;
  pc_zone *zones;
  size_t zone_count;
} random_lot;

random_site_options random_site_default(void);
random_lot random_site(uint64_t seed, const random_site_options *options); /* NULL: the default */
void random_lot_free(random_lot *lot);

/* Uniform in [low, high). */
double random_between(pc_stream *stream, double low, double high);
/* A point of the area that is in no obstacle (edges count as obstacle). */
pc_point random_free_point(pc_stream *stream, const random_lot *lot);

bool random_site_is_convex(const pc_ring *ring);
/* The convex ring with every edge moved outwards by r and neighbouring edges cut with each other (mitred
 * corners), counter-clockwise; free with pc_ring_free. A ring that is not convex gives one with no points. */
pc_ring random_site_inflate(const pc_ring *ring, double r_m);

#endif
