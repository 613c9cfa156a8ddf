// SPDX-License-Identifier: GPL-3.0-or-later
/* A map in GeoJSON; one that is good is written, and must read again. */
#include "fuzz.h"
#include "io/geojson.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  pc_geojson lot, again;
  pc_faults faults = {0};
  pc_text text = {0};
  pc_status status = pc_geojson_read_text("lot.geojson", (const char *)data, size, NULL, &lot, &faults);
  fuzz_check_faults(status, &faults);
  if (status == PC_OK) {
    const pc_geojson_content content = {.site = &lot.site, .zones = lot.zones, .zone_count = lot.zone_count};
    FUZZ_MUST(pc_geojson_write(&content, &text, NULL) == PC_OK);
    faults = (pc_faults){0};
    status = pc_geojson_read_text("again.geojson", text.data, text.length, NULL, &again, &faults);
    fuzz_check_faults(status, &faults);
    FUZZ_MUST(status == PC_OK || status == PC_ERR_GEOMETRY); /* rounding may make a sliver cross itself */
    if (status == PC_OK)
      FUZZ_MUST(again.site.area_count == lot.site.area_count && again.zone_count == lot.zone_count);
    pc_geojson_free(&again);
  }
  pc_text_free(&text);
  pc_geojson_free(&lot);
  return 0;
}
