// SPDX-License-Identifier: GPL-3.0-or-later
/* CSV: a storm, and timed cycles, which are fitted. */
#include <math.h>

#include "fuzz.h"
#include "io/storm_csv.h"
#include "io/timed_cycles_csv.h"
#include "machine/snow.h"

static void read_storm(const char *text, size_t size) {
  const pc_snow snow = pc_snow_default();
  pc_storm_csv storm;
  pc_faults faults = {0};
  pc_status status = pc_storm_csv_read_text("storm.csv", text, size, &snow, &storm, &faults);
  fuzz_check_faults(status, &faults);
  if (status == PC_OK) {
    FUZZ_MUST(storm.count > 0 && storm.count <= PC_STORM_MAX && storm.depth_m >= 0 &&
              isfinite(storm.depth_m));
    for (size_t i = 0; i < storm.count; i++)
      FUZZ_MUST(isfinite(storm.pieces[i].after_s) && storm.pieces[i].rate_mps >= 0 &&
                (i == 0 || storm.pieces[i].after_s > storm.pieces[i - 1].after_s));
  }
  pc_storm_csv_free(&storm);
}

static void read_times(const char *text, size_t size) {
  pc_timed timed;
  pc_faults faults = {0};
  pc_status status = pc_timed_csv_read_text("times.csv", text, size, &timed, &faults);
  fuzz_check_faults(status, &faults);
  if (status == PC_OK) {
    pc_fit fit = {0};
    pc_faults found = {0};
    status = pc_fit_make(&timed, PC_FIT_BY_LOADER, &fit, &found);
    FUZZ_MUST(status != PC_ERR_MEMORY);
    for (size_t i = 0; i < fit.loader_count; i++)
      for (int w = 0; w < PC_FIT_COUNT; w++)
        FUZZ_MUST(!(fit.loaders[i].values[w].value < 0) && !(fit.loaders[i].values[w].error < 0));
    fuzz_check_faults(status, &found);
    pc_fit_free(&fit);
  }
  pc_timed_free(&timed);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  read_storm((const char *)data, size);
  read_times((const char *)data, size);
  return 0;
}
