// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Choosing the heading of areas that leave it open (auto_heading): lanes along one of the outline's edges, or
 * across them, whichever takes the least time for what it clears: lanes that leave more at the edges are not
 * better for it. Every candidate is simulated once, without chance and breakdowns; a candidate that does not
 * finish, or for which no lot can be made, ranks behind all that do. Areas are chosen one after
 * another, in the scenario's order, each with what was chosen before and, for those still open, lanes along
 * their longest edge.
 *
 * A heading and its opposite are different candidates: lanes are the same, but work begins at the other end.
 *
 * Ownership: a report belongs to its caller, pc_heading_report_free. The result depends on the scenario and
 * the choice alone, unless it is stopped. Thread-safe for different scenarios.
 */
#ifndef PC_STUDY_HEADING_H
#define PC_STUDY_HEADING_H

#include "base/watch.h"
#include "sim/lot.h"

PC_BEGIN_C

enum { PC_HEADINGS_MAX = 16 }; /* candidates for one area */

typedef struct pc_heading_choice {
  pc_name area;
  double heading_rad; /* chosen, 0 … 2π */
  double time_s;      /* of the whole lot with it */
  bool finished;
  double small_m2;                        /* what is left for a smaller machine with it */
  double next_rad, next_s, next_small_m2; /* best of the lanes that lie otherwise; NaN if none finishes */
  pc_name layout;                         /* whose zones it was chosen with; "": there are none */
  size_t candidates;
  size_t tried; /* fewer than candidates only if the search was stopped */
} pc_heading_choice;

typedef struct pc_heading_report { /* one entry for each area that left its heading open */
  pc_heading_choice *items;
  size_t count;
} pc_heading_report;

/* Directions of the outline's edges, longest first, each followed by its right angle and the opposites of
 * both; distinct to half a degree. Returns how many, at most PC_HEADINGS_MAX. */
PC_API size_t pc_heading_candidates(const pc_ring *outline, double *headings_rad);

/* Sets heading_rad of every area that leaves it open, and clears auto_heading; without such an area nothing
 * happens. One thread for each processor. `choice` may be NULL. Faults: those of making the lot, if no
 * candidate makes one; the scenario is then unchanged. *report is filled afresh. */
PC_API PC_MUST_USE pc_status pc_headings_choose(pc_scenario *scenario, const pc_choice *choice,
                                                pc_faults *faults, pc_heading_report *report);
/* The same in so many threads (0: one per processor), with somebody watching: steps are candidates. Stopped,
 * the choice is among those tried by then, of which there is at least one for each area. */
PC_API PC_MUST_USE pc_status pc_headings_choose_watched(pc_scenario *scenario, const pc_choice *choice,
                                                        int threads, const pc_watch *watch, pc_faults *faults,
                                                        pc_heading_report *report);
/* For a scenario that has no zones yet, so that nothing can be simulated: lanes along the longest edge. The
 * report has NaN for times, and nothing tried. PC_ERR_MEMORY. */
PC_API PC_MUST_USE pc_status pc_headings_take_longest(pc_scenario *scenario, pc_heading_report *report);
PC_API void pc_heading_report_free(pc_heading_report *report);

PC_END_C

#endif
