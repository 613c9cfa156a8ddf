// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "night_run.h"
#include "scene.h"

/* ---- running ---- */

static void keep_row(void *context, const pc_trace_row *row) {
  night_run *run = context;
  if (run->row_count == run->row_room) {
    run->row_room = run->row_room ? 2 * run->row_room : 256;
    run->rows = realloc(run->rows, run->row_room * sizeof *run->rows);
    assert_non_null(run->rows);
  }
  run->rows[run->row_count++] = *row;
  if (run->look)
    run->look(run, row);
}

static void tell_depth(void *context, uint64_t replication, double time_s, size_t area, double depth_m) {
  (void)replication;
  night_run *run = context;
  if (run->depth)
    run->depth(run, time_s, area, depth_m);
}

void night_make(night_run *run, const pc_scenario *scenario, const pc_choice *choice) {
  pc_faults faults = {0};
  run->lot = NULL;
  pc_scenario_validate(scenario, &faults);
  pc_status status = pc_faults_fatal(&faults) > 0 ? PC_ERR_KEY : PC_OK;
  if (status == PC_OK)
    status = pc_lot_create(scenario, choice, &run->lot, &faults);
  for (size_t i = 0; i < faults.count && status != PC_OK; i++)
    print_error("%s: %s\n", faults.items[i].key, faults.items[i].message);
  pc_faults_free(&faults);
  assert_int_equal(status, PC_OK);
  assert_int_equal(pc_world_create(run->lot, &run->world), PC_OK);
  assert_int_equal(pc_result_init_for(&run->result, run->lot), PC_OK);
  pc_world_check_always(run->world, true);
}

void night_go(night_run *run, uint64_t seed, uint64_t replication) {
  const pc_trace trace = {.row = keep_row, .context = run, .depth = tell_depth};
  run->row_count = 0;
  if (pc_world_run(run->world, seed, replication, &trace, &run->result) != PC_OK)
    fail_msg("the run broke off: %s", pc_world_complaint(run->world));
}

void night_simulate(night_run *run, const pc_scenario *scenario) {
  night_make(run, scenario, NULL);
  night_go(run, 1, 0);
}

void night_free(night_run *run) {
  pc_result_free(&run->result);
  pc_world_free(run->world);
  pc_lot_free(run->lot);
  free(run->rows);
  run->rows = NULL;
  run->row_count = run->row_room = 0;
}

size_t night_count(const night_run *run, int machine, pc_phase phase) {
  size_t count = 0;
  for (size_t i = 0; i < run->row_count; i++)
    count += run->rows[i].phase == phase && (machine < 0 || run->rows[i].machine == (size_t)machine);
  return count;
}

double night_time_s(const night_run *run, int machine, pc_phase phase) {
  double sum = 0.0;
  for (size_t i = 0; i < run->row_count; i++)
    if (run->rows[i].phase == phase && (machine < 0 || run->rows[i].machine == (size_t)machine))
      sum += run->rows[i].end_s - run->rows[i].start_s;
  return sum;
}

int night_area(const night_run *run, const pc_trace_row *row) {
  pc_point middle = {0.5 * (row->from.x_m + row->to.x_m), 0.5 * (row->from.y_m + row->to.y_m)};
  return pc_ground_find(run->lot->ground, middle);
}

/* ---- scenarios ---- */

static void *grown(void *items, size_t count, size_t size) {
  items = realloc(items, (count + 1) * size);
  assert_non_null(items);
  return items;
}

static pc_ring rectangle(double x0, double y0, double x1, double y1) {
  const pc_point corners[] = {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
  pc_ring ring = {0};
  assert_int_equal(pc_ring_copy(&ring, corners, 4), PC_OK);
  return ring;
}

pc_area *night_add_area(pc_scenario *s, const char *name, double x0, double y0, double x1, double y1) {
  s->site.areas = grown(s->site.areas, s->site.area_count, sizeof *s->site.areas);
  pc_area *area = &s->site.areas[s->site.area_count++];
  *area = pc_area_default();
  area->name = pc_name_of(name);
  area->outline = rectangle(x0, y0, x1, y1);
  return area;
}

void night_add_ground(pc_scenario *s, double x0, double y0, double x1, double y1) {
  s->site.ground = grown(s->site.ground, s->site.ground_count, sizeof *s->site.ground);
  pc_ground_outline *ground = &s->site.ground[s->site.ground_count++];
  char name[32];
  snprintf(name, sizeof name, "ground %zu", s->site.ground_count);
  *ground = (pc_ground_outline){.name = pc_name_of(name), .outline = rectangle(x0, y0, x1, y1)};
}

void night_add_building(pc_scenario *s, double x0, double y0, double x1, double y1) {
  s->site.obstacles = grown(s->site.obstacles, s->site.obstacle_count, sizeof *s->site.obstacles);
  pc_obstacle *building = &s->site.obstacles[s->site.obstacle_count++];
  char name[32];
  snprintf(name, sizeof name, "building %zu", s->site.obstacle_count);
  *building = (pc_obstacle){.name = pc_name_of(name),
                            .kind = PC_OBSTACLE_BUILDING,
                            .outline = rectangle(x0, y0, x1, y1),
                            .at = {NAN, NAN},
                            .radius_m = NAN};
}

pc_passage *night_add_passage(pc_scenario *s, double x0, double y0, double x1, double y1, int machines) {
  s->site.passages = grown(s->site.passages, s->site.passage_count, sizeof *s->site.passages);
  pc_passage *passage = &s->site.passages[s->site.passage_count++];
  char name[32];
  snprintf(name, sizeof name, "passage %zu", s->site.passage_count);
  *passage = pc_passage_default();
  passage->name = pc_name_of(name);
  passage->outline = rectangle(x0, y0, x1, y1);
  passage->machines = machines;
  return passage;
}

pc_zone *night_add_zone(pc_scenario *s, double x, double y) {
  s->zones = grown(s->zones, s->zone_count, sizeof *s->zones);
  pc_zone *zone = &s->zones[s->zone_count++];
  char name[32];
  snprintf(name, sizeof name, "zone %zu", s->zone_count);
  *zone = pc_zone_default();
  zone->name = pc_name_of(name);
  zone->at = (pc_point){x, y};
  zone->stack = 0.0;
  return zone;
}

pc_loader *night_add_loader(pc_scenario *s, const char *name) {
  s->loaders = grown(s->loaders, s->loader_count, sizeof *s->loaders);
  s->loaders[s->loader_count] = s->loaders[s->loader_count - 1];
  s->loaders[s->loader_count].name = pc_name_of(name);
  return &s->loaders[s->loader_count++];
}

pc_box *night_add_box(pc_scenario *s, const char *name) {
  s->boxes = grown(s->boxes, s->box_count, sizeof *s->boxes);
  s->boxes[s->box_count] = s->boxes[s->box_count - 1];
  s->boxes[s->box_count].name = pc_name_of(name);
  return &s->boxes[s->box_count++];
}

pc_crew_entry *night_add_crew(pc_scenario *s, const char *loader, const char *box, pc_point start) {
  s->crew = grown(s->crew, s->crew_count, sizeof *s->crew);
  pc_crew_entry *entry = &s->crew[s->crew_count++];
  *entry = pc_crew_entry_default();
  entry->loader = pc_name_of(loader);
  entry->box = pc_name_of(box);
  entry->has_start = true;
  entry->start = start;
  return entry;
}

void night_add_name(pc_names *names, const char *name) {
  names->items = grown(names->items, names->count, sizeof *names->items);
  names->items[names->count++] = pc_name_of(name);
}

void night_add_storm(pc_scenario *s, double after_s, double rate_mps) {
  s->storm = grown(s->storm, s->storm_count, sizeof *s->storm);
  s->storm[s->storm_count] = pc_storm_piece_default();
  s->storm[s->storm_count].after_s = after_s;
  s->storm[s->storm_count++].rate_mps = rate_mps;
}

/* ---- strips ---- */

static const double swath_m = 4.5, load_kg = 1350.0;

pc_scenario night_strips(size_t count, double length_m, double run_m) {
  pc_scenario s = scene_rectangle(length_m, swath_m, NULL, 0);
  pc_site_free(&s.site);
  s.snow.depth_m = load_kg / (swath_m * 100.0 * run_m);
  s.snow.done_below_m = 1e-5; /* or slivers at the ends of slots stay, and spoil the sums */
  for (size_t i = 0; i < count; i++) {
    const char name[] = {(char)('a' + (int)i), '\0'};
    double y = (double)i * swath_m;
    night_add_area(&s, name, 0.0, y, length_m, y + swath_m);
    night_add_zone(&s, length_m, y + 0.5 * swath_m);
  }
  return s;
}

pc_point night_strip_end(const pc_scenario *s, size_t strip) {
  return s->zones[strip].at;
}

double night_load_s(const pc_scenario *s, double length_m, double run_m, int load) {
  const pc_loader *l = &s->loaders[0];
  double begin = (load - 1) * run_m, end = fmin(load * run_m, length_m);
  return l->turn_s + begin / l->return_speed_mps + l->lower_s + (end - begin) / l->push_speed_mps +
         l->turn_s + end / l->carry_speed_mps + l->dump_s;
}

double night_strip_s(const pc_scenario *s, double length_m, double run_m) {
  double time = 0.0;
  for (int i = 1; (i - 1) * run_m < length_m - 1e-9; i++)
    time += night_load_s(s, length_m, run_m, i);
  return time;
}

double night_last_carry_s(const pc_scenario *s, double length_m) {
  const pc_loader *l = &s->loaders[0];
  return l->turn_s + length_m / l->carry_speed_mps + l->dump_s;
}
