// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Between places on WGS 84 and a lot's own metres: a transverse Mercator projection (PROJ) centred on an
 * origin, with y to the north and x to the east there. At 5 km from the origin lengths are off by less than
 * one in a million. Internal to libpushcycle-io; not installed.
 *
 * Longitude and latitude in degrees. Owned by the caller: pc_geodesy_free. One PROJ context each, so a
 * pc_geodesy belongs to one thread at a time, and different ones to any threads at once. PROJ prints nothing.
 */
#ifndef PC_IO_GEODESY_H
#define PC_IO_GEODESY_H

#include "site/geometry.h"

enum { PC_DECIMALS_MAX = 32 };

typedef struct pc_geodesy pc_geodesy;

/* PC_ERR_RANGE if the origin is no place on Earth, PC_ERR_MEMORY. */
PC_MUST_USE pc_status pc_geodesy_create(double lon_deg, double lat_deg, pc_geodesy **geodesy);
void pc_geodesy_free(pc_geodesy *geodesy);
/* False if the place is too far away to be projected, or no place at all; *to is then NaN. */
PC_MUST_USE bool pc_geodesy_project(const pc_geodesy *geodesy, double lon_deg, double lat_deg, pc_point *to);
/* And back; longitudes come out in −180…180. */
PC_MUST_USE bool pc_geodesy_locate(const pc_geodesy *geodesy, pc_point point, double *lon_deg,
                                   double *lat_deg);
/* A number with `decimals` (0…11) digits after a decimal point, in every locale: for degrees and metres. */
void pc_print_decimals(char text[PC_DECIMALS_MAX], double value, int decimals);

#endif
