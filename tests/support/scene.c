// SPDX-License-Identifier: GPL-3.0-or-later
#include "scene.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

static void *must(void *memory) {
  if (!memory)
    abort();
  return memory;
}

pc_scenario scene_rectangle(double length_m, double width_m, const pc_point *zones, size_t zone_count) {
  pc_scenario s = pc_scenario_default();
  s.snow.depth_m = 0.10;
  s.snow.fresh_density_kgpm3 = 100.0;
  s.site.areas = must(pc_alloc(1, sizeof *s.site.areas));
  s.site.area_count = 1;
  s.site.areas[0] = pc_area_default();
  s.site.areas[0].name = pc_name_of("yard");
  const pc_point corners[] = {{0, 0}, {length_m, 0}, {length_m, width_m}, {0, width_m}};
  if (pc_ring_copy(&s.site.areas[0].outline, corners, 4) != PC_OK)
    abort();
  s.boxes = must(pc_alloc(1, sizeof *s.boxes));
  s.box_count = 1;
  s.boxes[0] = pc_box_default();
  s.boxes[0].name = pc_name_of("box");
  s.boxes[0].width_m = 4.5;
  s.boxes[0].height_m = 1.2;
  s.boxes[0].heap_factor_m = 1.0;
  s.boxes[0].overlap_m = 0.0;
  s.boxes[0].side_leak = 0.0;
  s.boxes[0].spill_from = 1.0;
  s.boxes[0].leave = 0.0;
  s.snow.pushed_density_kgpm3 = 250.0; /* 4.5 × 1.2 × 1.0 m³ × 250 = 1,350 kg */
  s.loaders = must(pc_alloc(1, sizeof *s.loaders));
  s.loader_count = 1;
  s.loaders[0] = pc_loader_default();
  s.loaders[0].name = pc_name_of("loader");
  s.loaders[0].push_speed_mps = 2.2;
  s.loaders[0].carry_speed_mps = 3.3;
  s.loaders[0].return_speed_mps = 4.5;
  s.loaders[0].turn_s = 6.0;
  s.loaders[0].lower_s = 2.0;
  s.loaders[0].raise_s = 0.0;
  s.loaders[0].dump_s = 8.0;
  s.loaders[0].shift_s = 0.0;
  s.loaders[0].back_out_m = 0.0;
  s.zones = must(pc_alloc(zone_count, sizeof *s.zones));
  s.zone_count = zone_count;
  for (size_t z = 0; z < zone_count; z++) {
    s.zones[z] = pc_zone_default();
    s.zones[z].name.text[0] = (char)('A' + z);
    s.zones[z].at = zones[z];
    s.zones[z].stack = 0.0;
  }
  s.full_at = 1.0;
  s.policy = pc_name_of("straight-runs");
  return s;
}

pc_scenario scene_reference(size_t zone_count, int machines, const char *policy) {
  static const pc_point one[] = {{250, 80}};
  static const pc_point two[] = {{0, 80}, {250, 80}};
  static const pc_point three[] = {{0, 80}, {125, 160}, {250, 80}};
  static const pc_point five[] = {{0, 80}, {62.5, 0}, {125, 160}, {187.5, 0}, {250, 80}};
  const pc_point *zones = zone_count == 1 ? one : zone_count == 2 ? two : zone_count == 3 ? three : five;
  pc_scenario s = scene_rectangle(250, 160, zones, zone_count);
  s.policy = pc_name_of(policy);
  s.crew = must(pc_alloc(1, sizeof *s.crew));
  s.crew_count = 1;
  s.crew[0] = pc_crew_entry_default();
  s.crew[0].loader = s.loaders[0].name;
  s.crew[0].box = s.boxes[0].name;
  s.crew[0].count = machines;
  return s;
}
