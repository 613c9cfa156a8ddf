// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * Quantities as text: parsing to SI and printing from SI.
 *
 * A quantity is one or more "number unit" pairs of one dimension ("16 ft", "6 ft 3 in", "10cm", "5 %",
 * "1.2e-3 kg"); the pairs add up, each smaller in unit than the one before; a leading minus sign applies
 * to the whole. Shares, plain numbers and temperatures take one pair only. Unit names keep their case;
 * "m²", "ft³", "°C" and "°" are read as "m2", "ft3", "C" and "deg". A bare number is a fault, except for
 * PC_DIM_SHARE (0…1), PC_DIM_NUMBER and fuel (litres). Temperatures convert with their offset and are kept in
 * degrees Celsius, and fuel is kept in litres: the exceptions to SI. Parsing and printing do not depend on
 * the locale.
 *
 * Factors are exact by definition (foot 0.3048 m, pound 0.45359237 kg, US gallon 231 cubic inches =
 * 3.785411784 l: NIST SP 811, appendix B);
 * hp is the mechanical horsepower, 550 ft·lbf/s.
 *
 * Thread-safe (arguments only).
 */
#ifndef PC_BASE_UNITS_H
#define PC_BASE_UNITS_H

#include "base/status.h"

PC_BEGIN_C

typedef enum pc_dimension {
  PC_DIM_NUMBER,       /* plain number, no unit */
  PC_DIM_SHARE,        /* 0…1, or % */
  PC_DIM_LENGTH,       /* m:     mm cm m km in ft yd mi */
  PC_DIM_AREA,         /* m²:    m2 ha ft2 ac */
  PC_DIM_VOLUME,       /* m³:    m3 l ft3 yd3 */
  PC_DIM_MASS,         /* kg:    kg t lb ton (short, 2000 lb) */
  PC_DIM_DENSITY,      /* kg/m³: kg/m3 lb/ft3 */
  PC_DIM_SPEED,        /* m/s:   m/s km/h mph ft/min */
  PC_DIM_ACCELERATION, /* m/s²:  m/s2 ft/s2 */
  PC_DIM_TIME,         /* s:     s min h */
  PC_DIM_POWER,        /* W:     kW hp (and W) */
  PC_DIM_ANGLE,        /* rad:   deg rad */
  PC_DIM_TEMPERATURE,  /* °C:    C F */
  PC_DIM_FALL_RATE,    /* m/s:   mm/h cm/h in/h */
  PC_DIM_FORCE,        /* N:     N kN lbf */
  PC_DIM_PER_TIME,     /* 1/s:   /s /min /h */
  PC_DIM_PER_VOLUME,   /* 1/m³:  /l /m3 /gal /yd3 (US gallon) */
  PC_DIM_FUEL,         /* l:     l gal (US gallon) */
  PC_DIM_FUEL_RATE,    /* l/h:   l/h gal/h */
  PC_DIM_FUEL_WORK,    /* l/kWh: l/kWh gal/hph (US gallon per horsepower-hour) */
  PC_DIM_FUEL_FLOW,    /* l/s:   l/s l/min gal/min */
  PC_DIM_COUNT
} pc_dimension;

/* Parses `text` into *value (SI). On failure *value is untouched and *error (may be NULL) says what is
 * allowed; error->value is the offending text; key, file and line are left empty. */
PC_API PC_MUST_USE pc_status pc_units_parse(const char *text, pc_dimension dimension, double *value,
                                            pc_error *error);

/* Prints an SI value with a unit fit for its size ("4.88 m", "1350 kg", "12 min 30 s" is never used:
 * times print as "83.2 s", "12.5 min" or "3.42 h"). About `digits` significant digits (whole digits are
 * never rounded away, zeros after the point are), no exponent for ordinary sizes, thousands separated by
 * commas from 10,000 on. Returns snprintf's value. Non-finite values print as "-". */
PC_API int pc_units_print(char *text, size_t size, double value, pc_dimension dimension,
                          pc_unit_system system, int digits);

/* Prints number and unit with one fixed unit of the table ("ft") and a fixed number of decimals, for
 * columns; pc_units_convert gives the bare number. Returns snprintf's value, or -1 if the unit is not of the
 * dimension. */
PC_API int pc_units_print_as(char *text, size_t size, double value, pc_dimension dimension, const char *unit,
                             int decimals);

/* A printed value, returned by value so that it can stand in an argument list. */
typedef struct pc_shown {
  char text[144];
} pc_shown;

/* What pc_units_print prints. */
PC_API pc_shown pc_show(double value, pc_dimension dimension, pc_unit_system system, int digits);
/* A depth of snow, to three digits: as pc_show, but in cm or inches up to PC_DEPTH_MOST (metres), so that
 * depths that stand side by side have one unit; and none at all is 0 in, not 0 ft. */
#define PC_DEPTH_MOST 3.0
PC_API pc_shown pc_show_depth(double depth_m, pc_unit_system system);
/* "[12.34, 45.6] m" or "[40.49, 149.61] ft": a place on the site, as files write it, with its unit; "-" for a
 * coordinate that is not finite. */
PC_API pc_shown pc_show_place(double x_m, double y_m, pc_unit_system system);

/* SI → `unit`; NaN if the unit is not of the dimension. */
PC_API double pc_units_convert(double value, pc_dimension dimension, const char *unit);
/* From one unit of a dimension to another: 1 in/h is 2.54 cm/h. NaN if one of them is not of the dimension.
 */
PC_API double pc_units_change(double value, pc_dimension dimension, const char *from, const char *to);

/* "length", "speed", … and the list of units accepted, "mm cm m km in ft yd mi". */
PC_API const char *pc_dimension_name(pc_dimension dimension);
PC_API const char *pc_dimension_units(pc_dimension dimension);
/* True if a number without a unit may stand for it. */
PC_API bool pc_dimension_bare(pc_dimension dimension);
/* An example for messages: "16 ft" or "4.9 m". */
PC_API const char *pc_dimension_example(pc_dimension dimension);

PC_END_C

#endif
