// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/starter.h"

#include "gen/ferry_terminal_yaml.inc"
#include "gen/starter_feet_yaml.inc"
#include "gen/starter_yaml.inc"

const char *pc_starter_scenario(void) {
  return starter_yaml;
}

const char *pc_demo_scenario(void) {
  return ferry_terminal_yaml;
}

const char *pc_starter_scenario_in(pc_unit_system units) {
  return units == PC_US ? starter_feet_yaml : starter_yaml;
}
