// SPDX-License-Identifier: GPL-3.0-or-later
/* A fleet in YAML; ways between its places are worked out. */
#include "base/memory.h"
#include "fuzz.h"
#include "io/fleet.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  pc_fleet fleet;
  pc_faults faults = {0};
  pc_status status = pc_fleet_read_text("fleet.yaml", (const char *)data, size, &fleet, &faults);
  fuzz_check_faults(status, &faults);
  if (status == PC_OK) {
    const pc_name lots[] = {pc_name_of("A"), pc_name_of("B")};
    double time_s[9];
    faults = (pc_faults){0};
    status = pc_fleet_times(&fleet, lots, 2, time_s, &faults);
    for (int i = 0; status == PC_OK && i < 9; i++)
      FUZZ_MUST(time_s[i] >= 0);
    fuzz_check_faults(status, &faults);
  }
  pc_fleet_free(&fleet);
  return 0;
}
