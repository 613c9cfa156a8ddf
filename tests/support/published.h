// SPDX-License-Identifier: GPL-3.0-or-later
/* What the tests of loaders against published values share; include after cmocka.h. */
#ifndef PC_TESTS_PUBLISHED_H
#define PC_TESTS_PUBLISHED_H

#include <math.h>

#include "base/units.h"
#include "machine/loader.h"
#include "validation.h"

static inline void assert_near(double value, double expected, double relative) {
  double slack = relative * fmax(fabs(expected), 1e-300);
  if (!(fabs(value - expected) <= slack))
    fail_msg("%.15g is not within %g (relative) of %.15g", value, relative, expected);
}

static inline double si(const char *text, pc_dimension dimension) {
  double value = NAN;
  assert_int_equal(pc_units_parse(text, dimension, &value, NULL), PC_OK);
  return value;
}

static inline pc_loader loader_of(void) {
  pc_loader loader = pc_loader_default();
  loader.name = pc_name_of("loader");
  loader.push_speed_mps = si("8 km/h", PC_DIM_SPEED);
  loader.carry_speed_mps = si("12 km/h", PC_DIM_SPEED);
  loader.return_speed_mps = si("16 km/h", PC_DIM_SPEED);
  return loader;
}

static inline pc_loader strong_loader(double power_w, double mass_kg, double traction) {
  pc_loader loader = loader_of();
  loader.power_w = power_w;
  loader.mass_kg = mass_kg;
  loader.traction = traction;
  return loader;
}

static inline pc_box box_of(double width_m, double height_m) {
  pc_box box = pc_box_default();
  box.name = pc_name_of("box");
  box.width_m = width_m;
  box.height_m = height_m;
  return box;
}

static inline pc_unit unit_of(const pc_loader *loader, const pc_box *box) {
  pc_snow snow = pc_snow_default();
  snow.depth_m = 0.1;
  return pc_unit_make(loader, box, &snow, 0.95);
}

#endif
