// SPDX-License-Identifier: GPL-3.0-or-later
/* Quantities with units; what is read and printed must be near what was read. The first byte is the
 * dimension. Clock times: what is read and printed must be what was read. */
#include <math.h>
#include <string.h>

#include "base/clock.h"
#include "fuzz.h"

static void try_clock(const char *text) {
  const pc_clock start = {.given = true, .minutes = 1350};
  double after_s = 12345, again_s = 0;
  pc_clock clock = {0};
  pc_error error = {0};
  pc_status status = pc_clock_read(&start, text, false, &after_s, &error);
  if (pc_clock_parse(text, &clock, NULL) == PC_OK)
    FUZZ_MUST(status == PC_OK && clock.minutes >= 0 && clock.minutes < 1440);
  if (status != PC_OK) {
    FUZZ_MUST(after_s == 12345 && error.message[0] != '\0' && error.status == status);
    return;
  }
  FUZZ_MUST(pc_clock_meant(text) && after_s >= 0);
  FUZZ_MUST(pc_clock_read(&start, pc_clock_show(&start, after_s).text, false, &again_s, NULL) == PC_OK);
  FUZZ_MUST(again_s == after_s);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  char text[512], printed[160];
  if (size < 1 || size >= sizeof text || memchr(data, '\0', size))
    return 0;
  pc_dimension dimension = (pc_dimension)(data[0] % PC_DIM_COUNT);
  memcpy(text, data + 1, size - 1);
  text[size - 1] = '\0';
  try_clock(text);
  double value = 12345;
  pc_error error = {0};
  pc_status status = pc_units_parse(text, dimension, &value, &error);
  if (status != PC_OK) {
    FUZZ_MUST(value == 12345 && error.message[0] != '\0' && error.status == status);
    return 0;
  }
  FUZZ_MUST(isfinite(value));
  for (int system = PC_METRIC; system <= PC_US; system++)
    FUZZ_MUST(pc_units_print(printed, sizeof printed, value, dimension, (pc_unit_system)system, 9) > 0);
  return 0;
}
