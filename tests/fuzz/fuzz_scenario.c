// SPDX-License-Identifier: GPL-3.0-or-later
/* A scenario in YAML; a small one that is good is run, too. */
#include "fuzz.h"
#include "io/scenario.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("lot.yaml", (const char *)data, size, NULL, 0, &scenario, &faults);
  fuzz_check_faults(status, &faults);
  if (status == PC_OK && fuzz_is_small(&scenario))
    fuzz_run(&scenario);
  pc_scenario_free(&scenario);
  return 0;
}
