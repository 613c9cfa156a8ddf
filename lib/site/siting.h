// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Siting: where pile zones should not be. Every zone of a layout is held against what stands or must stay
 * clear near it; what is nearer than a limit gives a finding. Findings stop nothing, and none at all does not
 * mean that a pile is allowed: local codes and licensed practice decide.
 *
 * Limits are lengths in metres that the user may change. A limit of 0 asks only that a zone does not lie on
 * the thing itself. Where a limit has a published source, the finding names it; the others are common
 * practice without one.
 *
 * Distances run from the zone's outline (or a point zone's place) to the thing's outline. A round obstacle
 * (`at`, radius_m) is as large as its radius; a round thing to keep clear of is a point whose radius is how
 * far no snow may lie, so the larger of the radius and the limit counts.
 *
 * Ownership: a list belongs to its caller, pc_siting_free. Failures: PC_ERR_MEMORY, PC_ERR_GEOMETRY for an
 * outline that crosses itself (validate first). Every function is thread-safe.
 */
#ifndef PC_SITE_SITING_H
#define PC_SITE_SITING_H

#include "site/site.h"

PC_BEGIN_C

typedef struct pc_siting { /* limits; key `siting` of a scenario */
  double building_m, fence_m;
  double obstacle_m; /* islands, poles, parked vehicles, old piles */
  double hydrant_m, hydrant_front_m;
  double drain_m, door_m, accessible_m, sight_m;
  double pavement_m; /* how far a zone may reach beyond the pavement drawn */
  double lane_m;     /* how wide a way for machines has to stay */
} pc_siting;

PC_API extern const pc_fields pc_siting_fields;
PC_API pc_siting pc_siting_default(void);

typedef enum pc_siting_severity {
  PC_SITING_MUST_NOT,   /* a fire code, a law or the map itself speaks against it */
  PC_SITING_SHOULD_NOT, /* good practice speaks against it */
  PC_SITING_LOOK,       /* may well be right: look at it */
  PC_SITING_SEVERITY_COUNT
} pc_siting_severity;

typedef enum pc_siting_rule {
  PC_SITING_HYDRANT,
  PC_SITING_HYDRANT_FRONT, /* clear of the hydrant, but not of what a large connection in front needs */
  PC_SITING_ACCESSIBLE,
  PC_SITING_SIGHT,
  PC_SITING_BUILDING,
  PC_SITING_FENCE,
  PC_SITING_OBSTACLE,
  PC_SITING_DRAIN,
  PC_SITING_DOOR,
  PC_SITING_CUT,      /* the zones leave pavement that no machine can get to from the rest */
  PC_SITING_NARROW,   /* … only by a way narrower than lane_m */
  PC_SITING_GAP,      /* a way narrower than lane_m between a zone and an obstacle */
  PC_SITING_ROOM,     /* all zones together hold less than the snow makes */
  PC_SITING_PAVEMENT, /* part of the zone is on no pavement that was drawn */
  PC_SITING_NO_PILES, /* it lies on ground that the map keeps free of piles */
  PC_SITING_RULE_COUNT
} pc_siting_rule;

#define PC_SITING_ALL ((size_t)-1) /* in place of a zone: all of the layout's zones together */

typedef struct pc_siting_finding {
  int rule, severity; /* pc_siting_rule, pc_siting_severity */
  size_t zone;        /* index, or PC_SITING_ALL */
  pc_name thing;      /* name of what is too near; "" = none */
  double
      distance_m; /* to it; 0 if they touch. PAVEMENT: how far the zone reaches beyond. NaN: does not apply */
  double limit_m; /* NaN: does not apply */
  double area_m2; /* that the zone shares with the thing, or has beyond the pavement; NaN: does not apply */
  double need_m3, room_m3; /* ROOM: piled snow, and what the zones hold; else NaN */
  pc_point
      place; /* of the zone nearest to the thing, or within what they share; NaN: nowhere in particular */
  const char *source; /* static text */
} pc_siting_finding;

typedef struct pc_siting_list {
  pc_siting_finding *items;
  size_t count, capacity;
} pc_siting_list;

/* Words for a finding, static: "hydrant", "must not", "NFPA 1 (2015), 18.5.7". */
PC_API const char *pc_siting_rule_name(int rule);
PC_API const char *pc_siting_severity_name(int severity);
PC_API const char *pc_siting_source(int rule);

/* Adds what is wrong with these zones used together: at most one finding for each zone and thing, the most
 * severe first. need_m3 is the piled snow of the depth to plan for (NaN: not asked); capacity_m3 has one
 * entry per zone (may be NULL: not asked). Zones that overlap each other are no business of this function:
 * pc_scenario_validate tells of them. */
PC_API PC_MUST_USE pc_status pc_siting_check(const pc_site *site, const pc_zone *const *zones, size_t count,
                                             const pc_siting *limits, double need_m3,
                                             const double *capacity_m3, pc_siting_list *findings);
PC_API void pc_siting_free(pc_siting_list *list);

/* One sentence without severity and source: `zone "east" is 0.9 m from hydrant "h1"; 914 mm have to stay
 * clear`. `zone` is the zone's name, or the layout's for PC_SITING_ALL. */
PC_API void pc_siting_describe(const pc_siting_finding *finding, const char *zone, pc_unit_system system,
                               pc_text *out);

/* How far one must see along the main road at an exit: 1.47·V·t feet, V in mph, t in seconds for the gap in
 * traffic that is waited for, 7.5 s for a car that turns left from a stop (AASHTO Green Book, intersection
 * sight distance). For drawing sight triangles. */
PC_API double pc_sight_distance_m(double speed_mps, double gap_s);

PC_END_C

#endif
