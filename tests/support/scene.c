// SPDX-License-Identifier: GPL-3.0-or-later
#include "scene.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
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

static pc_zone zone_at(const char *name, double x0, double y0, double x1, double y1) {
  pc_zone zone = pc_zone_default();
  const pc_point corners[] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  zone.name = pc_name_of(name);
  if (pc_ring_copy(&zone.outline, corners, 4) != PC_OK)
    abort();
  return zone;
}

static double next_share(uint64_t *state) {
  *state = *state * 6364136223846793005u + 1442695040888963407u;
  return (double)(*state >> 11) * 0x1p-53;
}

/* A vehicle of 4.4 × 1.8 m. */
static pc_obstacle vehicle(size_t number, double x, double y, double angle) {
  pc_obstacle car = {.kind = PC_OBSTACLE_PARKED, .at = {NAN, NAN}, .radius_m = NAN};
  double c = cos(angle), s = sin(angle);
  static const double u[] = {-2.2, 2.2, 2.2, -2.2}, v[] = {-0.9, -0.9, 0.9, 0.9};
  pc_point corners[4];
  for (int i = 0; i < 4; i++)
    corners[i] = (pc_point){x + c * u[i] - s * v[i], y + s * u[i] + c * v[i]};
  char name[32];
  snprintf(name, sizeof name, "vehicle %zu", number + 1);
  car.name = pc_name_of(name);
  if (pc_ring_copy(&car.outline, corners, 4) != PC_OK)
    abort();
  return car;
}

pc_scenario scene_parked(size_t count, bool rows) {
  const double length = 300, width = 240;
  pc_scenario s = scene_rectangle(length, width, NULL, 0);
  s.boxes[0].width_m = 3.7;
  s.zones = must(realloc(s.zones, 6 * sizeof *s.zones));
  s.zones[s.zone_count++] = zone_at("north-west", 60, width, 110, width + 12);
  s.zones[s.zone_count++] = zone_at("north-east", 200, width, 250, width + 12);
  s.zones[s.zone_count++] = zone_at("east 1", length, 20, length + 12, 70);
  s.zones[s.zone_count++] = zone_at("east 2", length, 120, length + 12, 170);
  s.zones[s.zone_count++] = zone_at("west 1", -12, 20, 0, 70);
  s.zones[s.zone_count++] = zone_at("west 2", -12, 120, 0, 170);
  s.site.obstacles = must(pc_alloc(count, sizeof *s.site.obstacles));
  uint64_t state = 5;
  size_t in_row = 25, row_count = (count + in_row - 1) / in_row;
  size_t columns = (size_t)ceil(sqrt((double)count * length / width)),
         lines = (count + columns - 1) / columns;
  for (size_t k = 0; k < count; k++) {
    size_t line = k / (rows ? in_row : columns), place = k % (rows ? in_row : columns);
    double x, y, angle = 0.5 * 3.14159265358979323846;
    if (rows) {
      x = 60 + (double)place * 2.9;
      y = 20 + (double)line * (width - 40) / (double)row_count;
    } else {
      x = 8 + (length - 16) * ((double)place + 0.5) / (double)columns + 4 * next_share(&state) - 2;
      y = 8 + (width - 16) * ((double)line + 0.5) / (double)lines + 4 * next_share(&state) - 2;
      angle = 3.14 * next_share(&state);
    }
    s.site.obstacles[s.site.obstacle_count++] = vehicle(k, x, y, angle);
  }
  return s;
}
