// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Loader: kinematics, and the physical limits that power, mass and traction put on them.
 *
 * Kinematic part: speeds, times, acceleration. A leg of length D at top speed v takes D/v + v/a if
 * D ≥ v²/a, else 2·√(D/a); without an acceleration D/v.
 *
 * Physical part (only if power, mass and traction are all given): pushing at speed v needs
 *   F(v) = μ_s·m·g + μ_e·m_box·g + c_r·M·g + (M + m_box + m)·g·grade + ρ·h·w·v²
 * (m snow in the box, M loader mass; friction of snow on pavement, of the box on pavement, rolling
 * resistance, grade, and the snow brought up to speed); η·P = F(v)·v fixes the speed, and
 * F_static ≤ μ_t·M·g the largest load that the tyres can push.
 * Sources: rolling and grade resistance, rimpull: handbook method (US Army FM 5-434; Nunnally,
 * Construction Methods and Management); stream term: momentum flux, compare Kempainen et al. 1998,
 * Int. J. Vehicle Design 19(4):472. There is no published value for snow on asphalt in bulk: μ_s is an
 * input with a default of 0.4 (assumption).
 *
 * Thread-safe (arguments only).
 */
#ifndef PC_MACHINE_LOADER_H
#define PC_MACHINE_LOADER_H

#include "base/fields.h"
#include "machine/box.h"
#include "machine/snow.h"

PC_BEGIN_C

#define PC_GRAVITY_MPS2 9.80665 /* standard gravity, CGPM 1901 */

typedef struct pc_loader {
  pc_name name;
  double push_speed_mps, carry_speed_mps, return_speed_mps; /* required; key speeds.push … */
  double reverse_speed_mps;                                 /* NaN: 5/8 of the return speed */
  double acceleration_mps2;                                 /* NaN: none, speeds are reached at once */
  double lower_s, raise_s, dump_s, shift_s, turn_s; /* times.*; defaults 2, 2, 8, 1.5, 8; turn through 180° */
  double machine_width_m;                           /* default 2.7 */
  double machine_length_m;                          /* default 8 */
  double back_out_m;                                /* NaN: one machine length */
  double power_w, mass_kg, traction;                /* NaN: no physical limits */
  double drive_efficiency;                          /* default 0.7 of the engine's power at the wheels */
  double snow_friction;                             /* μ_s, default 0.4 */
  double box_friction;                              /* μ_e, default 0.3 */
  double rolling_resistance;            /* c_r, default 0.05 (CRREL TR-01-16: 0.02–0.12 in shallow snow) */
  double grade;                         /* rise over run, default 0 */
  double fuel_per_kwh_l, fuel_idle_lph; /* NaN: fuel is not reported; key fuel.per_kwh, fuel.idle */
  double tank_l, refuel_lps; /* NaN: never refuels; keys fuel.tank, fuel.refuel; only with the two above */
  double breakdown_mean_s, repair_mean_s; /* running time between breakdowns, and time out of work: means;
                                             NaN: none; keys breakdown.between, breakdown.repair */
  pc_names boxes; /* names of those that it can carry, which belong to the owner of the loader; empty: all */
} pc_loader;

PC_API extern const pc_fields pc_loader_fields;

PC_API pc_loader pc_loader_default(void);
PC_API void pc_loader_validate(const pc_loader *loader, const char *prefix, pc_faults *faults);
/* Whether it can carry a box of this name. */
PC_API bool pc_loader_takes(const pc_loader *loader, const char *box);
/* '"14 ft", "16 ft"': the boxes that it can carry, for messages; what does not fit ends in an ellipsis. */
PC_API void pc_loader_print_boxes(const pc_loader *loader, char *text, size_t size);

/* Trapezoid time of a leg, s. acceleration NaN or ≤ 0 means none. distance 0 takes 0 s. */
PC_API double pc_leg_time_s(double distance_m, double speed_mps, double acceleration_mps2);
/* The same with its own acceleration and braking: L/v + v/2a + v/2b, or √(2L(1/a + 1/b)) if v is not reached.
 */
PC_API double pc_leg_time_two_s(double distance_m, double speed_mps, double accelerate_mps2,
                                double brake_mps2);

/* The resistance, term by term, N. */
typedef struct pc_resistance {
  double snow_n, box_n, rolling_n, grade_n; /* static terms */
  double stream_n;                          /* ρ·h·w·v² */
  double static_n;                          /* sum of the static terms */
} pc_resistance;

typedef enum pc_limit { PC_LIMIT_VOLUME, PC_LIMIT_TRACTION, PC_LIMIT_POWER } pc_limit;
PC_API const char *pc_limit_name(pc_limit limit); /* "volume" "traction" "power" */

/* A loader with a box in given snow: the constants that a simulation needs, and nothing to look up. */
typedef struct pc_unit {
  pc_loader loader; /* with defaults resolved: no NaN in reverse speed and back_out; without its `boxes` */
  pc_box box;
  double fresh_density_kgpm3;
  double volume_m3, volume_capacity_kg; /* what the box holds */
  double traction_capacity_kg;          /* what the tyres can push; INFINITY without limits, may be ≤ 0 */
  double capacity_kg;                   /* load limit: the smaller of both, at least 0 */
  double swath_m;
  bool physical;
  double easy_kgpm; /* even a full box goes at push speed while it meets no more than this; INFINITY without
                       limits */
  pc_limit limited_by; /* traction if it cuts the load; else power if it cuts the push or carry speed at
                          `full_at`; else volume */
  /* filling.capacity_kg is volume_capacity_kg, not the load limit: a box spills by how full it is. A
   * machine short of traction has to stop at capacity_kg, long before the box is full. */
  pc_filling filling;
} pc_unit;

/* full_at is the fill ratio at which the speed is judged for limited_by. */
PC_API pc_unit pc_unit_make(const pc_loader *loader, const pc_box *box, const pc_snow *snow, double full_at);

/* What pushes back at this speed, part by part. */
PC_API pc_resistance pc_unit_resistance(const pc_unit *unit, double load_kg, double stream_kgpm,
                                        double speed_mps);
/* Push speed with load_kg in the box while meeting stream_kgpm (kg of snow per metre driven, ρ·h·w):
 * min(push speed, positive root of the cubic). */
PC_API double pc_unit_push_speed(const pc_unit *unit, double load_kg, double stream_kgpm);
/* Carry speed over clear ground with this load. */
PC_API double pc_unit_carry_speed(const pc_unit *unit, double load_kg);
/* Time to fill from load_kg over length_m of even snow (stream_kgpm per metre), no acceleration; ∫dx/v with
 * the load growing (film and spill taken off), to relative 1e-9 (adaptive). Allocates nothing. The
 * reference for the cell-by-cell integration. */
PC_API double pc_unit_fill_time_s(const pc_unit *unit, double load_kg, double stream_kgpm, double length_m);

/* Estimating-handbook forms, for reports and checks. */
/* Dozing production, loose m³/h: load × (work_minutes) / cycle time. */
PC_API double pc_production_m3ph(double load_m3, double cycle_s, double work_minutes_per_hour);
/* Effective field capacity m²/s from speed, width and field efficiency (ASABE EP496). */
PC_API double pc_field_capacity_m2ps(double speed_mps, double width_m, double efficiency);
/* Rimpull N from power W, efficiency and speed. */
PC_API double pc_rimpull_n(double power_w, double efficiency, double speed_mps);

PC_END_C

#endif
