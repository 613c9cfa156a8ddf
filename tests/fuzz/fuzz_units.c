// SPDX-License-Identifier: GPL-3.0-or-later
/* Quantities with units; what is read and printed must be near what was read. The first byte is the
 * dimension. */
#include <math.h>
#include <string.h>

#include "base/units.h"
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  char text[512], printed[160];
  if (size < 1 || size >= sizeof text || memchr(data, '\0', size))
    return 0;
  pc_dimension dimension = (pc_dimension)(data[0] % PC_DIM_COUNT);
  memcpy(text, data + 1, size - 1);
  text[size - 1] = '\0';
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
