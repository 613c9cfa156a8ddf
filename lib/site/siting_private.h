// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Internal to siting*.c; not installed. A survey holds what one call of pc_siting_check works with: one GEOS
 * context, the zones' shapes, and the pavement with and without piles. Functions that return bool or a
 * pointer return false or NULL on failure; pc_survey_failed then says why.
 */
#ifndef PC_SITE_SITING_PRIVATE_H
#define PC_SITE_SITING_PRIVATE_H

#include "site/geos.h"
#include "site/siting.h"

/* Less than this in common comes from drawing two things along one line. */
#define PC_SITING_SHARED_M2 0.01
/* Rounding of coordinates must not decide. */
#define PC_SITING_SLACK_M 1e-9

typedef struct pc_shape {
  const pc_ring *outline; /* count 0: a point */
  pc_point at;
  double radius_m;    /* of a round thing, beyond the point */
  GEOSGeometry *body; /* outline or point; made when it is first needed */
} pc_shape;

typedef struct pc_bounds {
  double x0, y0, x1, y1;
} pc_bounds;

typedef struct pc_survey {
  pc_geos geos;
  const pc_site *site;
  const pc_siting *limits;
  pc_shape *zones;
  pc_bounds *bounds; /* of the zones */
  size_t count;
  GEOSGeometry *pavement; /* areas and ground, as drawn */
  GEOSGeometry *before;   /* welded pavement less obstacles: where machines can drive without piles */
  GEOSGeometry *after;    /* … and with them */
  pc_siting_list *findings;
} pc_survey;

/* siting.c */
pc_siting_finding pc_siting_make(pc_siting_rule rule, size_t zone);
pc_status pc_siting_add(pc_survey *s, const pc_siting_finding *finding);

/* siting_near.c */
pc_status pc_survey_obstacle(pc_survey *s, const pc_obstacle *obstacle);
pc_status pc_survey_keep_clear(pc_survey *s, const pc_keep_clear *keep);
pc_shape pc_shape_of_obstacle(const pc_obstacle *thing);
pc_bounds pc_bounds_of(const pc_shape *s);
bool pc_survey_body(pc_survey *s, pc_shape *made); /* makes its body if there is none yet */
GEOSGeometry *pc_survey_point(pc_survey *s, pc_point at);
GEOSGeometry *pc_survey_area(pc_survey *s, const pc_shape *thing); /* a round obstacle becomes a polygon */
/* A point inside a geometry, for showing where something is. */
bool pc_survey_within(pc_survey *s, const GEOSGeometry *geometry, pc_point *place);

/* siting_ways.c */
pc_status pc_survey_start(pc_survey *s, const pc_zone *const *zones);
void pc_survey_stop(pc_survey *s);
pc_status pc_survey_pavement(pc_survey *s, size_t z);
pc_status pc_survey_ways(pc_survey *s);

static inline void pc_survey_drop(pc_survey *s, GEOSGeometry *geometry) {
  if (geometry)
    GEOSGeom_destroy_r(s->geos.handle, geometry);
}

static inline pc_status pc_survey_failed(const pc_survey *s) {
  return pc_geos_status(&s->geos);
}

#endif
