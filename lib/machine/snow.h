// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Snow on the ground, in the box and in the pile. Depth and the three densities; mass is what is conserved.
 *
 * Fresh density is given, or follows from air temperature (and wind) by a named published formula:
 *   hedstrom-pomeroy  67.92 + 51.25·exp(T/2.59), T ≤ 0: Hedstrom & Pomeroy 1998, Hydrol. Process. 12:1611;
 *                     min(119.17 + 20·T, 200), T > 0: Pomeroy & Gray 1995, NHRI Science Report 7
 *   anderson          50 + 1.7·(T+15)^1.5, T > −15, 50 below, T capped at 2: Anderson 1976, NOAA TR NWS 19
 *   pahaut            max(50, 109 + 6·T + 26·√U): Pahaut 1976
 *   diamond-lowry     119 + 6.48·T: Diamond & Lowry 1953
 * T in °C, U in m/s, result in kg/m³.
 *
 * Thread-safe (arguments only).
 */
#ifndef PC_MACHINE_SNOW_H
#define PC_MACHINE_SNOW_H

#include "base/fields.h"

PC_BEGIN_C

typedef enum pc_density_formula {
  PC_DENSITY_HEDSTROM_POMEROY,
  PC_DENSITY_ANDERSON,
  PC_DENSITY_PAHAUT,
  PC_DENSITY_DIAMOND_LOWRY,
  PC_DENSITY_FORMULA_COUNT
} pc_density_formula;

typedef struct pc_snow {
  double depth_m;              /* required */
  double fresh_density_kgpm3;  /* NaN: from air temperature, or 100 if that is not given either */
  double air_temperature_c;    /* NaN: not given */
  double wind_mps;             /* default 0 */
  int density_formula;         /* pc_density_formula */
  double pushed_density_kgpm3; /* default 250 */
  double pile_density_kgpm3;   /* default 450 */
  double repose_angle_rad;     /* default 40° */
  double done_below_m;         /* default 1 cm */
  double trigger_m;            /* depth at which work begins; default 0: at once */
  double snow_below_c;         /* what falls is all snow up to this air temperature, default 0 °C … */
  double rain_above_c;         /* … all rain from this one on, default 2 °C, and a linear mix between */
} pc_snow;

PC_API extern const pc_fields pc_snow_fields;

PC_API pc_snow pc_snow_default(void);
/* Adds every fault; keys start with `prefix` ("snow"). Densities must not fall from fresh to pushed to
 * pile; temperature and density both given is a fault; a formula's density outside 10…917 is a fault. */
PC_API void pc_snow_validate(const pc_snow *snow, const char *prefix, pc_faults *faults);

/* The formula's density, kg/m³; NaN for an unknown formula. */
PC_API double pc_snow_density(pc_density_formula formula, double temperature_c, double wind_mps);
/* Share of what falls at this air temperature that is snow: 1 up to snow_below, 0 from rain_above on. */
PC_API double pc_snow_share(const pc_snow *snow, double temperature_c);
/* Fresh density in force for this snow, kg/m³. */
PC_API double pc_snow_fresh_density(const pc_snow *snow);

PC_END_C

#endif
