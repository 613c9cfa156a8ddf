// SPDX-License-Identifier: GPL-3.0-or-later
#include "random_scenario.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "random_site.h"

enum { AREAS_MAX = 4 };

/* One stream for each kind of thing, so that a change to one leaves the others as they were. */
typedef enum stream_of {
  OF_SITE = 1,
  OF_AREAS,
  OF_THINGS,
  OF_BOXES,
  OF_LOADERS,
  OF_CREW,
  OF_STORM,
  OF_SNOW,
  OF_REST,
  OF_FIRST,
  OF_SWEEPS,
  OF_OPEN
} stream_of;

static void *must(void *memory) {
  if (!memory)
    abort();
  return memory;
}

static pc_stream start(uint64_t seed, stream_of what) {
  pc_stream stream;
  pc_stream_start(&stream, seed, 77, (uint64_t)what, 0);
  return stream;
}

static size_t pick(pc_stream *stream, size_t low, size_t high) {
  return low + (size_t)(pc_stream_next(stream) % (high - low + 1));
}

/* True once in `of` times. */
static bool once_in(pc_stream *stream, size_t of) {
  return pick(stream, 1, of) == 1;
}

static pc_name numbered(const char *word, size_t number) {
  char text[PC_NAME_MAX];
  (void)snprintf(text, sizeof text, "%s %zu", word, number);
  return pc_name_of(text);
}

static void *grown(void *items, size_t count, size_t size) {
  return must(realloc(items, (count + 1) * size));
}

static pc_ring rectangle(double x0, double y0, double x1, double y1) {
  const pc_point corners[] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  pc_ring ring = {0};
  if (pc_ring_copy(&ring, corners, 4) != PC_OK)
    abort();
  return ring;
}

static void add_name(pc_names *names, const char *name) {
  names->items = grown(names->items, names->count, sizeof *names->items);
  names->items[names->count++] = pc_name_of(name);
}

/* ---- where ---- */

static pc_zone *add_zone(pc_scenario *s) {
  s->zones = grown(s->zones, s->zone_count, sizeof *s->zones);
  pc_zone *zone = &s->zones[s->zone_count++];
  *zone = pc_zone_default();
  zone->name = numbered("zone", s->zone_count);
  return zone;
}

/* One area and its things; straight or turned, with a notch or without. */
static void make_single(pc_scenario *s, uint64_t seed) {
  random_site_options options = random_site_default();
  options.obstacles_max = 6;
  random_lot lot = random_site(seed, &options);
  s->site = lot.site;
  s->zones = lot.zones;
  s->zone_count = lot.zone_count;
}

typedef struct row_of_areas {
  double x[AREAS_MAX + 1]; /* where one ends and the next begins */
  double y[AREAS_MAX];     /* how far each reaches */
} row_of_areas;

static void add_area(pc_scenario *s, double x0, double x1, double y) {
  s->site.areas = grown(s->site.areas, s->site.area_count, sizeof *s->site.areas);
  pc_area *area = &s->site.areas[s->site.area_count++];
  *area = pc_area_default();
  area->name = numbered("area", s->site.area_count);
  area->outline = rectangle(x0, 0, x1, y);
}

static void add_obstacle(pc_scenario *s, pc_stream *d, double x0, double x1, double y) {
  s->site.obstacles = grown(s->site.obstacles, s->site.obstacle_count, sizeof *s->site.obstacles);
  pc_obstacle *o = &s->site.obstacles[s->site.obstacle_count++];
  *o = (pc_obstacle){.at = {NAN, NAN}, .radius_m = NAN, .kind = (int)pick(d, 0, PC_OBSTACLE_KIND_COUNT - 1)};
  o->name = numbered("thing", s->site.obstacle_count);
  double x = random_between(d, x0, x1), v = random_between(d, 0, y);
  if (once_in(d, 3)) {
    o->at = (pc_point){x, v};
    o->radius_m = random_between(d, 0.1, 2);
  } else {
    o->outline = rectangle(x, v, x + random_between(d, 0.5, 8), v + random_between(d, 0.5, 8));
  }
}

static void add_passage(pc_scenario *s, pc_stream *d, double x, double y) {
  s->site.passages = grown(s->site.passages, s->site.passage_count, sizeof *s->site.passages);
  pc_passage *passage = &s->site.passages[s->site.passage_count++];
  *passage = pc_passage_default();
  passage->name = numbered("gate", s->site.passage_count);
  passage->machines = (int)pick(d, 1, 2);
  double wide = random_between(d, 1, 4);
  passage->outline = rectangle(x - wide, -1, x + wide, y + 1);
}

static void add_zones(pc_scenario *s, pc_stream *d, const row_of_areas *row, size_t areas) {
  size_t zones = pick(d, 1, 4);
  for (size_t z = 0; z < zones; z++) {
    size_t a = pick(d, 0, areas - 1);
    double from = random_between(d, row->x[a], row->x[a + 1]), high = row->y[a];
    double to = from + random_between(d, 3, 20);
    pc_zone *zone = add_zone(s);
    zone->berths = (int)pick(d, 1, 2);
    if (once_in(d, 4))
      zone->at = (pc_point){from, once_in(d, 2) ? 0 : high};
    else if (once_in(d, 4))
      zone->outline = rectangle(from, 0.4 * high, fmin(to, row->x[a + 1]), 0.6 * high);
    else if (once_in(d, 2))
      zone->outline = rectangle(from, high, to, high + random_between(d, 3, 10));
    else
      zone->outline = rectangle(from, -random_between(d, 3, 10), to, 0);
    if (once_in(d, 4))
      zone->volume_m3 = random_between(d, 2, 200);
    zone->height_m = random_between(d, 1.5, 6);
  }
}

/* What makes areas more than a floor: who waits for whom, whose snow goes where. */
static void tie_areas(pc_scenario *s, pc_stream *d) {
  for (size_t a = 0; a < s->site.area_count; a++) {
    pc_area *area = &s->site.areas[a];
    if (once_in(d, 3))
      area->heading_rad = once_in(d, 2) ? 1.5707963267948966 : random_between(d, -3, 3);
    if (a > 0 && once_in(d, 4))
      add_name(&area->after, s->site.areas[a - 1].name.text);
    if (a > 0 && once_in(d, 4))
      area->into = s->site.areas[a - 1].name;
    if (once_in(d, 6))
      area->opens_s = random_between(d, 0, 3600);
    if (once_in(d, 5))
      area->clear_by_s = area->opens_s + random_between(d, 600, 5 * 3600);
    if (once_in(d, 8))
      add_name(&area->loaders, "loader 1");
  }
}

static void make_row(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_AREAS);
  row_of_areas row = {{0}, {0}};
  size_t areas = pick(&d, 1, AREAS_MAX);
  for (size_t a = 0; a < areas; a++) {
    row.x[a + 1] = row.x[a] + random_between(&d, 8, 35);
    row.y[a] = random_between(&d, 8, 35);
    add_area(s, row.x[a], row.x[a + 1], row.y[a]);
  }
  tie_areas(s, &d);
  pc_stream things = start(seed, OF_THINGS);
  add_zones(s, &things, &row, areas);
  for (size_t count = pick(&things, 0, 5); count > 0; count--) {
    size_t a = pick(&things, 0, areas - 1);
    add_obstacle(s, &things, row.x[a], row.x[a + 1], row.y[a]);
  }
  if (areas > 1 && once_in(&things, 3))
    add_passage(s, &things, row.x[1], fmin(row.y[0], row.y[1]));
  if (once_in(&things, 3)) {
    s->site.ground = must(pc_alloc(1, sizeof *s->site.ground));
    s->site.ground_count = 1;
    s->site.ground[0].name = pc_name_of("apron");
    s->site.ground[0].outline = rectangle(row.x[0], -random_between(&things, 4, 12), row.x[areas], 0);
  }
}

/* ---- with what ---- */

static void make_boxes(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_BOXES);
  s->box_count = pick(&d, 1, 3);
  s->boxes = must(pc_alloc(s->box_count, sizeof *s->boxes));
  for (size_t i = 0; i < s->box_count; i++) {
    pc_box *box = &s->boxes[i];
    *box = pc_box_default();
    box->name = numbered("box", i + 1);
    box->width_m = random_between(&d, 1.8, 5.5);
    box->height_m = random_between(&d, 0.7, 1.5);
    box->overlap_m = once_in(&d, 3) ? 0 : random_between(&d, 0, 0.6);
    if (once_in(&d, 3))
      box->heap_factor_m = random_between(&d, 0.5, 1.5);
    else if (once_in(&d, 2))
      box->side_plate_m = random_between(&d, 0.3, 1.5);
    if (once_in(&d, 3))
      box->mass_kg = random_between(&d, 300, 2000);
    box->side_leak = once_in(&d, 3) ? 0 : random_between(&d, 0, 0.15);
    box->spill_from = random_between(&d, 0.3, 1);
    box->leave = once_in(&d, 3) ? 0 : random_between(&d, 0, 0.05);
    if (i > 0 && once_in(&d, 2))
      box->blade = (int)pick(&d, PC_BLADE_LEFT, PC_BLADE_RIGHT);
  }
}

static void make_loader(pc_loader *loader, pc_stream *d) {
  loader->push_speed_mps = random_between(d, 1, 4);
  loader->carry_speed_mps = random_between(d, 1, 5);
  loader->return_speed_mps = random_between(d, 1.5, 6);
  if (once_in(d, 2))
    loader->reverse_speed_mps = random_between(d, 1, 4);
  if (once_in(d, 2))
    loader->acceleration_mps2 = random_between(d, 0.3, 2);
  loader->turn_s = random_between(d, 0, 12);
  loader->shift_s = random_between(d, 0, 3);
  loader->dump_s = random_between(d, 0, 15);
  if (once_in(d, 2))
    loader->back_out_m = random_between(d, 0, 10);
  loader->machine_width_m = random_between(d, 1.5, 3);
  if (once_in(d, 2)) {
    loader->power_w = random_between(d, 50e3, 250e3);
    loader->mass_kg = random_between(d, 5e3, 25e3);
    loader->traction = random_between(d, 0.1, 0.45);
    loader->fuel_per_kwh_l = 0.25;
    loader->fuel_idle_lph = 4;
    if (once_in(d, 2)) {
      loader->tank_l = random_between(d, 5, 60);
      loader->refuel_lps = random_between(d, 0.2, 2);
    }
  }
  if (once_in(d, 6)) {
    loader->breakdown_mean_s = random_between(d, 1800, 72000);
    loader->repair_mean_s = random_between(d, 300, 7200);
  }
}

static void make_loaders(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_LOADERS);
  s->loader_count = pick(&d, 1, 3);
  s->loaders = must(pc_alloc(s->loader_count, sizeof *s->loaders));
  for (size_t i = 0; i < s->loader_count; i++) {
    s->loaders[i] = pc_loader_default();
    s->loaders[i].name = numbered("loader", i + 1);
    make_loader(&s->loaders[i], &d);
  }
}

static void make_crew(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_CREW);
  s->crew_count = pick(&d, 1, 3);
  s->crew = must(pc_alloc(s->crew_count, sizeof *s->crew));
  for (size_t i = 0; i < s->crew_count; i++) {
    pc_crew_entry *entry = &s->crew[i];
    *entry = pc_crew_entry_default();
    entry->loader = s->loaders[pick(&d, 0, s->loader_count - 1)].name;
    entry->box = s->boxes[i == 0 ? 0 : pick(&d, 0, s->box_count - 1)].name;
    entry->count = (int)pick(&d, 1, 3);
    if (once_in(&d, 2)) {
      const pc_ring *ring = &s->site.areas[pick(&d, 0, s->site.area_count - 1)].outline;
      entry->has_start = true;
      entry->start = ring->points[pick(&d, 0, ring->count - 1)];
    }
    if (once_in(&d, 6))
      entry->from_s = random_between(&d, 0, 3600);
    if (once_in(&d, 6))
      entry->until_s = entry->from_s + random_between(&d, 600, 6 * 3600);
    if (once_in(&d, 5)) {
      entry->break_every_s = random_between(&d, 900, 2 * 3600);
      entry->break_for_s = random_between(&d, 60, 1800);
    }
    entry->keep = once_in(&d, 8);
    if (i > 0 && once_in(&d, 4))
      add_name(&entry->areas, s->site.areas[pick(&d, 0, s->site.area_count - 1)].name.text);
  }
}

/* ---- what falls, and how it is done ---- */

static void make_snow(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_SNOW);
  s->snow.depth_m = once_in(&d, 12) ? random_between(&d, 0.3, 0.6) : random_between(&d, 0.02, 0.2);
  s->snow.fresh_density_kgpm3 = random_between(&d, 40, 180);
  s->snow.pushed_density_kgpm3 = random_between(&d, 200, 350);
  s->snow.pile_density_kgpm3 = random_between(&d, 360, 550);
  s->snow.done_below_m = once_in(&d, 3) ? 0.01 : random_between(&d, 0.004, 0.02);
  pc_stream storm = start(seed, OF_STORM);
  if (!once_in(&storm, 3))
    return;
  size_t pieces = pick(&storm, 1, 5);
  s->storm = must(pc_alloc(pieces + 1, sizeof *s->storm));
  double after_s = once_in(&storm, 2) ? 0 : random_between(&storm, 60, 3600);
  for (size_t i = 0; i <= pieces; i++) {
    s->storm[i] = pc_storm_piece_default();
    s->storm[i].after_s = after_s;
    if (i < pieces && !once_in(&storm, 5))
      s->storm[i].rate_mps = random_between(&storm, 0.001, 0.04) / 3600;
    after_s += random_between(&storm, 300, 5400);
  }
  s->storm_count = pieces + 1;
  if (once_in(&storm, 3))
    s->snow.depth_m = 0;
  if (once_in(&storm, 3))
    s->snow.trigger_m = random_between(&storm, 0.01, 0.06);
}

static void make_rest(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_REST);
  static const char *const policies[] = {"straight-runs", "keep-pushing", "keep-pushing"};
  s->policy = pc_name_of(policies[pick(&d, 0, 2)]);
  s->full_at = random_between(&d, 0.6, 1);
  s->station_m = random_between(&d, 0.8, 3);
  if (once_in(&d, 3))
    s->work_minutes_per_hour = random_between(&d, 40, 60);
  if (once_in(&d, 4))
    s->keep_apart_m = random_between(&d, 0.5, 6);
  if (once_in(&d, 4)) {
    s->near.distance_m = random_between(&d, 0.5, 5);
    s->near.speed_mps = random_between(&d, 0.5, 3);
    s->near.border_m = once_in(&d, 2) ? 0 : random_between(&d, 0.1, 1);
  }
  if (once_in(&d, 3)) {
    s->chance.fill = random_between(&d, 0, 0.2);
    s->chance.carry = random_between(&d, 0, 0.2);
    s->chance.dump = random_between(&d, 0, 0.4);
    s->chance.turn = random_between(&d, 0, 0.3);
    s->chance.back = random_between(&d, 0, 0.2);
  }
  if (once_in(&d, 3)) { /* one layout, with some of the zones */
    s->layouts = must(pc_alloc(1, sizeof *s->layouts));
    s->layout_count = 1;
    s->layouts[0].name = pc_name_of("some");
    for (size_t z = 0; z < s->zone_count; z++)
      if (z == 0 || once_in(&d, 2))
        add_name(&s->layouts[0].zones, s->zones[z].name.text);
  }
  if (once_in(&d, 4)) {
    s->has_fuel_point = true;
    s->fuel_point = s->site.areas[0].outline.points[0];
  }
}

/* Some machines work one or two areas before others. */
static void make_first(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_FIRST);
  for (size_t i = 0; i < s->crew_count && once_in(&d, 3); i++) {
    const pc_names *own = &s->crew[i].areas;
    size_t area = pick(&d, 0, s->site.area_count - 1);
    if (own->count > 0) {
      add_name(&s->crew[i].first, own->items[0].text);
      continue;
    }
    add_name(&s->crew[i].first, s->site.areas[area].name.text);
    if (area > 0)
      add_name(&s->crew[i].first, s->site.areas[area - 1].name.text);
  }
}

/* Some areas are swept for their deadlines. */
static void make_sweeps(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_SWEEPS);
  for (size_t a = 0; a < s->site.area_count; a++)
    if (isfinite(s->site.areas[a].clear_by_s) && once_in(&d, 2))
      s->site.areas[a].sweep_before_s = random_between(&d, 1, 2 * 3600);
}

/* Some pavement is closed to all loaders but the first. */
static void make_open(pc_scenario *s, uint64_t seed) {
  pc_stream d = start(seed, OF_OPEN);
  for (size_t a = 0; a < s->site.area_count; a++)
    if (once_in(&d, 8))
      add_name(&s->site.areas[a].open_to, "loader 1");
  for (size_t g = 0; g < s->site.ground_count; g++)
    if (once_in(&d, 4))
      add_name(&s->site.ground[g].open_to, "loader 1");
}

pc_scenario random_scenario(uint64_t seed) {
  pc_scenario s = pc_scenario_default();
  pc_stream d = start(seed, OF_SITE);
  s.name = numbered("seed", (size_t)seed);
  if (once_in(&d, 3))
    make_single(&s, seed);
  else
    make_row(&s, seed);
  make_boxes(&s, seed);
  make_loaders(&s, seed);
  make_crew(&s, seed);
  make_snow(&s, seed);
  make_rest(&s, seed);
  make_first(&s, seed);
  make_sweeps(&s, seed);
  make_open(&s, seed);
  return s;
}
