// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * What lies where: areas to clear, other pavement, obstacles, things to keep clear of, narrow passages, pile
 * zones. Times count from the start of the work.
 * Plain structs that the caller fills and owns; pc_site_free releases what they hold.
 * Thread-safe (arguments only).
 */
#ifndef PC_SITE_SITE_H
#define PC_SITE_SITE_H

#include "base/fields.h"
#include "site/geometry.h"

PC_BEGIN_C

typedef struct pc_area {
  pc_name name;
  pc_ring outline;
  double heading_rad;    /* direction of the lanes; default 0 = east */
  bool auto_heading;     /* to be chosen: study/heading.h does so, and no lot is made before */
  double opens_s;        /* no work before this time; default 0 */
  double clear_by_s;     /* to be clear by this time; NaN: no deadline */
  double sweep_before_s; /* so long before that all snow there is to be pushed, not only what is deeper than
                            the trigger; default 0: never */
  pc_name into;          /* area that its snow is carried into, not to a zone; "": none */
  pc_names after;        /* areas to be done before this one opens; empty: none */
  pc_names loaders;      /* loaders that may work it; empty: all that may drive there */
  pc_names open_to;      /* loaders that may drive there at all; empty: all */
} pc_area;

typedef struct pc_ground_outline { /* pavement where machines may drive but nothing is cleared */
  pc_name name;
  pc_ring outline;
  pc_names open_to; /* loaders that may drive there; empty: all */
} pc_ground_outline;

typedef enum pc_obstacle_kind {
  PC_OBSTACLE_BUILDING,
  PC_OBSTACLE_ISLAND,
  PC_OBSTACLE_POLE,
  PC_OBSTACLE_PARKED,
  PC_OBSTACLE_FENCE,
  PC_OBSTACLE_OLD_PILE, /* an old, frozen pile: in the way from the start */
  PC_OBSTACLE_KIND_COUNT
} pc_obstacle_kind;

typedef struct pc_obstacle { /* an outline, or a point with a radius */
  pc_name name;
  int kind;        /* pc_obstacle_kind */
  pc_ring outline; /* count 0: see at, radius_m */
  pc_point at;
  double radius_m;
} pc_obstacle;

typedef enum pc_keep_clear_kind {
  PC_KEEP_HYDRANT,
  PC_KEEP_DRAIN,
  PC_KEEP_DOOR,
  PC_KEEP_ACCESSIBLE,
  PC_KEEP_SIGHT,
  PC_KEEP_NO_PILES, /* fire lanes, reserved stalls, …: driven and pushed over as any ground */
  PC_KEEP_KIND_COUNT
} pc_keep_clear_kind;

typedef struct pc_keep_clear { /* an outline, or a point with a radius */
  pc_name name;
  int kind;
  pc_ring outline; /* count 0: see at, radius_m */
  pc_point at;
  double radius_m;
} pc_keep_clear;

typedef struct pc_passage { /* a narrow place: an outline, or a point with a radius */
  pc_name name;
  pc_ring outline; /* count 0: see at, radius_m */
  pc_point at;
  double radius_m;
  int machines; /* that may be in it at once; default 1 */
} pc_passage;

typedef struct pc_zone {
  pc_name name;
  pc_ring outline; /* count 0: a point zone at `at`, for quick studies */
  pc_point at;
  double height_m;  /* limit on the pile's height; default 5 */
  double volume_m3; /* NaN: from the outline, height and repose angle; a point zone is unlimited */
  int berths;       /* loads that may be dumped at once; default 1 */
  double stack;     /* dump time grows as 1 + stack·(fill ratio)²; default 0.5 */
} pc_zone;

typedef struct pc_site {
  pc_area *areas;
  size_t area_count;
  pc_ground_outline *ground;
  size_t ground_count;
  pc_obstacle *obstacles;
  size_t obstacle_count;
  pc_keep_clear *keep_clear;
  size_t keep_clear_count;
  pc_passage *passages;
  size_t passage_count;
  bool has_origin; /* local (0, 0) lies at this place on WGS 84; y points north there */
  double origin_lon_deg, origin_lat_deg;
} pc_site;

/* Driving close to obstacles and edges. */
typedef struct pc_near {
  double distance_m; /* nearer than this counts as close; default 0 = nowhere */
  double speed_mps;  /* no faster than this there; NaN: no limit */
  double border_m;   /* strip along obstacles that the box keeps away from; default 0 */
} pc_near;

PC_API extern const pc_fields pc_near_fields;
PC_API pc_near pc_near_default(void);

PC_API extern const pc_fields pc_area_fields, pc_ground_outline_fields, pc_obstacle_fields,
    pc_keep_clear_fields, pc_passage_fields, pc_zone_fields;
PC_API extern const char *const pc_obstacle_kind_names[];   /* NULL-terminated */
PC_API extern const char *const pc_keep_clear_kind_names[]; /* NULL-terminated */

PC_API pc_area pc_area_default(void);
PC_API pc_passage pc_passage_default(void); /* no place yet: at and radius_m are NaN */
PC_API pc_zone pc_zone_default(void);

/* Every fault of the site: names, rings, areas that overlap each other. Keys start with "site". */
PC_API void pc_site_validate(const pc_site *site, pc_faults *faults);
/* Every fault of one zone; `prefix` as "zones[2]". */
PC_API void pc_zone_validate(const pc_zone *zone, const char *prefix, pc_faults *faults);
/* Outlines of all pavement into `rings`, which has room: areas, then ground. Returns how many. */
PC_API size_t pc_site_pavement(const pc_site *site, const pc_ring **rings);
/* Whether a loader may work the area: it is one of its loaders, and may drive there. */
PC_API bool pc_area_takes(const pc_area *area, const char *loader);
/* Whether some pavement is open to some loaders only. */
PC_API bool pc_site_is_limited(const pc_site *site);

/* Whether a loader is on a list of loaders, where an empty one means all. */
static inline bool pc_is_open_to(const pc_names *loaders, const char *loader) {
  return loaders->count == 0 || pc_names_have(loaders, loader);
}

/* What areas and other ground have in common; borrowed. */
typedef struct pc_pavement {
  const char *name;
  const pc_ring *outline;
  const pc_names *open_to;
  bool is_area;
} pc_pavement;

/* How many outlines pc_site_pavement has. */
static inline size_t pc_site_pavement_count(const pc_site *site) {
  return site->area_count + site->ground_count;
}

/* The i-th of them: areas, then ground. */
static inline pc_pavement pc_site_pavement_at(const pc_site *site, size_t i) {
  bool is_area = i < site->area_count;
  const pc_area *area = is_area ? &site->areas[i] : NULL;
  const pc_ground_outline *ground = is_area ? NULL : &site->ground[i - site->area_count];
  const pc_pavement found = {is_area ? area->name.text : ground->name.text,
                             is_area ? &area->outline : &ground->outline,
                             is_area ? &area->open_to : &ground->open_to, is_area};
  return found;
}
PC_API void pc_site_free(pc_site *site);
PC_API void pc_zone_free(pc_zone *zone);

PC_END_C

#endif
