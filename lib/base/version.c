// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/version.h"

#define TEXT_OF(number) #number
#define JOINED(major, minor, patch) TEXT_OF(major) "." TEXT_OF(minor) "." TEXT_OF(patch)

const char *pc_version(void) {
  return JOINED(PC_VERSION_MAJOR, PC_VERSION_MINOR, PC_VERSION_PATCH);
}

int pc_version_number(void) {
  return PC_VERSION_NUMBER;
}
