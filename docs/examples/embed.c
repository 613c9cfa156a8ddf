// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The simulator inside a program of your own: a lot filled in C, two layouts run, their times printed.
 *
 *   cc -std=c17 embed.c $(pkg-config --cflags --libs pushcycle) -o embed
 */
#include <pushcycle.h>
#include <stdio.h>
#include <stdlib.h>

static pc_zone point_zone(const char *name, double x_m, double y_m) {
  pc_zone zone = pc_zone_default();
  zone.name = pc_name_of(name);
  zone.at = (pc_point){x_m, y_m};
  return zone;
}

/* Arrays of a scenario come from pc_alloc or malloc; pc_scenario_free releases them. */
static pc_status fill(pc_scenario *s) {
  static const pc_point corners[] = {{0, 0}, {120, 0}, {120, 80}, {0, 80}};
  *s = pc_scenario_default();
  s->snow.depth_m = 0.10;

  s->site.areas = pc_alloc(1, sizeof *s->site.areas);
  s->boxes = pc_alloc(1, sizeof *s->boxes);
  s->loaders = pc_alloc(1, sizeof *s->loaders);
  s->zones = pc_alloc(2, sizeof *s->zones);
  s->layouts = pc_alloc(2, sizeof *s->layouts);
  if (!s->site.areas || !s->boxes || !s->loaders || !s->zones || !s->layouts)
    return PC_ERR_MEMORY;

  s->site.area_count = 1;
  s->site.areas[0] = pc_area_default();
  s->site.areas[0].name = pc_name_of("yard");
  pc_status status = pc_ring_copy(&s->site.areas[0].outline, corners, 4);
  if (status != PC_OK)
    return status;

  s->box_count = 1;
  s->boxes[0] = pc_box_default();
  s->boxes[0].name = pc_name_of("4.3 m");
  s->boxes[0].width_m = 4.3;
  s->boxes[0].height_m = 1.2;

  s->loader_count = 1;
  s->loaders[0] = pc_loader_default();
  s->loaders[0].name = pc_name_of("loader");
  s->loaders[0].push_speed_mps = 2.2;
  s->loaders[0].carry_speed_mps = 3.3;
  s->loaders[0].return_speed_mps = 4.5;

  s->zone_count = 2;
  s->zones[0] = point_zone("west", 0, 40);
  s->zones[1] = point_zone("east", 120, 40);

  static const char *const names[] = {"east only", "both ends"};
  for (size_t i = 0; i < 2; i++) {
    pc_layout *layout = &s->layouts[s->layout_count++];
    layout->name = pc_name_of(names[i]);
    layout->zones.items = pc_alloc(i + 1, sizeof *layout->zones.items);
    if (!layout->zones.items)
      return PC_ERR_MEMORY;
    layout->zones.count = i + 1;
    for (size_t z = 0; z <= i; z++)
      layout->zones.items[z] = s->zones[1 - z].name;
  }
  return PC_OK;
}

static pc_status time_of(const pc_scenario *s, const char *layout, double *time_s, pc_faults *faults) {
  pc_choice choice = pc_choice_default();
  choice.layout = layout;
  pc_lot *lot = NULL;
  pc_status status = pc_lot_create(s, &choice, &lot, faults);
  if (status != PC_OK)
    return status;
  pc_summary summary;
  status = pc_replicate(lot, 1, 1, 1, NULL, &summary);
  if (status == PC_OK) {
    *time_s = summary.total_time_s.mean;
    pc_summary_free(&summary);
  }
  pc_lot_free(lot);
  return status;
}

int main(void) {
  pc_scenario s;
  pc_faults faults = {0};
  pc_status status = fill(&s);
  if (status == PC_OK) {
    pc_scenario_validate(&s, &faults);
    status = pc_faults_status(&faults);
  }
  double time_s[2] = {0, 0};
  for (size_t i = 0; i < 2 && status == PC_OK; i++) {
    status = time_of(&s, s.layouts[i].name.text, &time_s[i], &faults);
    if (status == PC_OK)
      printf("%-10s %6.1f min\n", s.layouts[i].name.text, time_s[i] / 60.0);
  }
  for (size_t i = 0; i < faults.count; i++) {
    char text[PC_ERROR_TEXT_MAX];
    pc_error_format(&faults.items[i], text, sizeof text);
    fprintf(stderr, "%s\n", text);
  }
  if (status != PC_OK)
    fprintf(stderr, "embed: %s\n", pc_status_describe(status));
  else
    printf("a second pile saves %.0f %%\n", 100.0 * (1.0 - time_s[1] / time_s[0]));
  pc_faults_free(&faults);
  pc_scenario_free(&s);
  return status == PC_OK ? EXIT_SUCCESS : EXIT_FAILURE;
}
