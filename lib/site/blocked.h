// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Internal: where a machine of a given half width can't go. Obstacles, pile zones and everything off the
 * pavement (areas, ground outlines, zones) are one shape S.
 *
 *   wide:  S grown by the half width (mitred corners). A machine's middle keeps out of it while it drives.
 *   tight: S with every gap closed that is narrower than the machine (grown, then shrunk again). Where the
 *          machine works at a wall, or sets out from one, its middle may be in wide, but never in tight.
 *   solid: the same as tight for obstacles and zones alone, without what is off the pavement.
 *
 * All are held as edges shrunk by a millimetre, so that a leg may graze them. Corners are those of wide (not
 * shrunk) that a shortest way can bend at. Not installed.
 */
#ifndef PC_SITE_BLOCKED_H
#define PC_SITE_BLOCKED_H

#include "site/legs.h"
#include "site/site.h"

typedef struct pc_corner {
  pc_point at, before, after; /* with its neighbours along the outline */
} pc_corner;

typedef struct pc_blocked {
  pc_legs wide, tight, solid;
  pc_corner *corners;
  size_t corner_count;
  double cut_m; /* corners nearer to a line than this were left out: a leg may cut them off */
} pc_blocked;

/* How machines drive: half of their width, and whether pile zones are in the way (their pavement counts as
 * such in any case). With `hug`, wide is the same as tight and solid is not made: ways that no machine of
 * this width can beat. What is closed is off the pavement for these machines. */
typedef struct pc_clearance {
  double half_width_m;
  bool zones_block, hug;
  const bool *closed; /* for each outline of pc_site_pavement; NULL: all is open; borrowed */
} pc_clearance;

/* Release with pc_blocked_free, also after a failure. Errors: PC_ERR_MEMORY, PC_ERR_GEOMETRY. */
PC_MUST_USE pc_status pc_blocked_make(const pc_site *site, const pc_zone *const *zones, size_t zone_count,
                                      pc_clearance clearance, pc_blocked *blocked);
void pc_blocked_free(pc_blocked *blocked);

typedef struct pc_stretch { /* of a line, 0 … 1 along it */
  double from, to;
} pc_stretch;

/* The stretches of a line on which a machine's middle may be (outside of tight), in order; at most `most`. */
size_t pc_blocked_free_stretches(const pc_blocked *blocked, pc_point from, pc_point to, pc_stretch *stretches,
                                 size_t most);

#endif
