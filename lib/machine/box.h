// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Box pusher. Fill volume = width × height × heap factor; the heap factor is a length (m³ held per m² of
 * moldboard face): given, or from the side-plate length L and the repose angle θ (area under the slope θ
 * from the top of the moldboard, cut off at L, divided by the height), or 0.8 × height (straight blade
 * rating V = 0.8·W·H², SAE J1265) when neither is given.
 *
 * An angled blade instead of a box has no volume; height and heap factor mean nothing then.
 *
 * Spill: of the snow that meets the edge the share `leave` stays as a film; of the rest the share
 * pc_box_spill(φ) rolls off the ends, φ = load / capacity: side_leak up to spill_from, then linear to 1 at 1.
 *
 * Thread-safe (arguments only).
 */
#ifndef PC_MACHINE_BOX_H
#define PC_MACHINE_BOX_H

#include "base/fields.h"

PC_BEGIN_C

typedef enum pc_blade {
  PC_BLADE_NONE, /* a box: it carries what it meets */
  PC_BLADE_LEFT, /* an angled blade: it holds nothing and lays its snow beside its swath on this side */
  PC_BLADE_RIGHT,
  PC_BLADE_COUNT
} pc_blade;

enum { PC_BOX_COUNT_MAX = 64 }; /* as many as any crew has machines */

typedef struct pc_box {
  pc_name name;
  double width_m, height_m; /* required; with a blade the height may be NaN */
  double heap_factor_m;     /* NaN: see above */
  double side_plate_m;      /* NaN: not given */
  double mass_kg;           /* default 0 */
  double overlap_m;         /* default 0.3 m; the swath is width − overlap */
  double side_leak;         /* default 0.02 */
  double spill_from;        /* default 0.85 */
  double leave;             /* default 0.01 */
  int blade;                /* pc_blade; default none */
  double price;             /* NaN: not counted; in the scenario's currency */
  double seasons;           /* default 8: how long it lasts, to spread the price */
  int count;                /* default PC_BOX_COUNT_MAX: how many there are of it */
} pc_box;

PC_API extern const pc_fields pc_box_fields;
PC_API extern const char *const pc_blade_names[]; /* NULL-terminated */

PC_API pc_box pc_box_default(void);
PC_API void pc_box_validate(const pc_box *box, const char *prefix, pc_faults *faults);

/* As above: what a metre of width and of height holds, what all of it holds, and what it sweeps. */
PC_API double pc_box_heap_factor_m(const pc_box *box, double repose_angle_rad);
PC_API double pc_box_volume_m3(const pc_box *box, double repose_angle_rad);
PC_API double pc_box_swath_m(const pc_box *box);
/* Share of the snow met that rolls off the ends at fill ratio φ (0…1; above 1 counts as 1). */
PC_API double pc_box_spill(const pc_box *box, double fill_ratio);

/* How a box fills, with constants worked out once; exact for any step, so results do not depend on the
 * size of the cells. With met = mass met at the edge less the film that stays:
 *   φ < spill_from:   dload = (1 − side_leak)·dmet
 *   φ ≥ spill_from:   1 − φ falls as exp(−(1 − side_leak)·met / ((1 − spill_from)·capacity)).
 * capacity_kg is what the box holds by volume: it spills by how full it is, whatever the tyres can push. */
typedef struct pc_filling {
  double capacity_kg, side_leak, spill_from, leave;
} pc_filling;

/* Load after meeting `met_kg` (film already taken off) with `load_kg` in the box. */
PC_API double pc_filling_load(const pc_filling *filling, double load_kg, double met_kg);
/* Mass to be met to bring the load from load_kg to target_kg; INFINITY if it is never reached, 0 if reached.
 */
PC_API double pc_filling_met(const pc_filling *filling, double load_kg, double target_kg);

PC_END_C

#endif
