// SPDX-License-Identifier: GPL-3.0-or-later
/* A scenario in YAML; a small one that is good is run, too. */
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "io/scenario.h"

/* Every file that was read is among those that the text names. */
static void check_files(const char *text, size_t size, const pc_scenario *scenario) {
  pc_origins files = {0};
  const char *read, *key, *named;
  if (pc_scenario_files("lot.yaml", text, size, NULL, 0, &files) != PC_OK)
    abort();
  for (size_t i = 0; (read = pc_origins_file_at(&scenario->origins, i, &key)) != NULL; i++) {
    bool found = false;
    for (size_t j = 0; !found && (named = pc_origins_file_at(&files, j, &key)) != NULL; j++)
      found = strcmp(named, read) == 0;
    if (!found)
      abort();
  }
  pc_origins_free(&files);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  pc_scenario scenario;
  pc_faults faults = {0};
  pc_status status = pc_scenario_read_text("lot.yaml", (const char *)data, size, NULL, 0, &scenario, &faults);
  fuzz_check_faults(status, &faults);
  if (status == PC_OK && fuzz_is_small(&scenario))
    fuzz_run(&scenario);
  check_files((const char *)data, size, &scenario);
  pc_scenario_free(&scenario);
  return 0;
}
