// SPDX-License-Identifier: GPL-3.0-or-later
/* What one replication gives, as JSON: one table for each struct, for writing and for reading. */
#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/shards_private.h"

typedef enum slot_kind { REAL, WHOLE, LONG, FLAG } slot_kind;

typedef struct slot {
  const char *key;
  slot_kind kind;
  size_t offset;
  size_t count; /* REAL: an array of so many; 0: a single one */
} slot;

#define SLOT(type, kind, member)                                                                             \
  { #member, kind, offsetof(type, member), 0 }

static const slot result_slots[] = {SLOT(pc_result, WHOLE, reason),
                                    SLOT(pc_result, FLAG, finished),
                                    SLOT(pc_result, REAL, total_time_s),
                                    SLOT(pc_result, REAL, start_kg),
                                    SLOT(pc_result, REAL, fallen_kg),
                                    SLOT(pc_result, REAL, placed_kg),
                                    SLOT(pc_result, REAL, left_kg),
                                    SLOT(pc_result, REAL, small_m2),
                                    SLOT(pc_result, REAL, small_kg),
                                    SLOT(pc_result, REAL, haul_off_kg),
                                    SLOT(pc_result, WHOLE, cycles),
                                    SLOT(pc_result, LONG, events),
                                    {NULL, REAL, 0, 0}};
static const slot machine_slots[] = {{"time_s", REAL, offsetof(pc_machine_result, time_s), PC_PHASE_COUNT},
                                     SLOT(pc_machine_result, REAL, fill_m),
                                     SLOT(pc_machine_result, REAL, carry_m),
                                     SLOT(pc_machine_result, REAL, return_m),
                                     SLOT(pc_machine_result, REAL, placed_kg),
                                     SLOT(pc_machine_result, REAL, fuel_l),
                                     SLOT(pc_machine_result, WHOLE, cycles),
                                     SLOT(pc_machine_result, REAL, absent_s),
                                     SLOT(pc_machine_result, REAL, break_s),
                                     SLOT(pc_machine_result, REAL, refuel_s),
                                     SLOT(pc_machine_result, REAL, repair_s),
                                     SLOT(pc_machine_result, REAL, done_s),
                                     SLOT(pc_machine_result, WHOLE, last_area),
                                     SLOT(pc_machine_result, REAL, last_area_from_s),
                                     {NULL, REAL, 0, 0}};
static const slot zone_slots[] = {
    SLOT(pc_zone_result, REAL, snow_kg), SLOT(pc_zone_result, REAL, volume_m3),
    SLOT(pc_zone_result, REAL, wait_s),  SLOT(pc_zone_result, REAL, capacity_m3),
    SLOT(pc_zone_result, WHOLE, loads),  {NULL, REAL, 0, 0}};
static const slot area_slots[] = {
    SLOT(pc_area_result, REAL, done_s),  SLOT(pc_area_result, REAL, max_depth_m),
    SLOT(pc_area_result, REAL, ready_s), SLOT(pc_area_result, REAL, late_s),
    SLOT(pc_area_result, FLAG, late),    {NULL, REAL, 0, 0}};
static const slot passage_slots[] = {SLOT(pc_passage_result, REAL, wait_s), {NULL, REAL, 0, 0}};
static const slot keep_up_slots[] = {SLOT(pc_keep_up, WHOLE, keeping),
                                     SLOT(pc_keep_up, REAL, from_s),
                                     SLOT(pc_keep_up, REAL, to_s),
                                     SLOT(pc_keep_up, REAL, fall_kgps),
                                     SLOT(pc_keep_up, REAL, clearing_kgps),
                                     SLOT(pc_keep_up, REAL, working),
                                     SLOT(pc_keep_up, REAL, grown_m),
                                     SLOT(pc_keep_up, REAL, fallen_m),
                                     SLOT(pc_keep_up, REAL, deepest_m),
                                     SLOT(pc_keep_up, WHOLE, untouched),
                                     {NULL, REAL, 0, 0}};
static const slot depths_slots[] = {SLOT(pc_depths_series, REAL, from_s),
                                    SLOT(pc_depths_series, REAL, to_s),
                                    SLOT(pc_depths_series, REAL, busy_s),
                                    {NULL, REAL, 0, 0}};
static const slot crossing_slots[] = {SLOT(pc_crossing, WHOLE, cycles), {NULL, REAL, 0, 0}};
static const slot heading_slots[] = {
    SLOT(pc_heading_choice, REAL, heading_rad),   SLOT(pc_heading_choice, REAL, time_s),
    SLOT(pc_heading_choice, FLAG, finished),      SLOT(pc_heading_choice, REAL, next_rad),
    SLOT(pc_heading_choice, REAL, next_s),        SLOT(pc_heading_choice, LONG, candidates),
    SLOT(pc_heading_choice, LONG, tried),         SLOT(pc_heading_choice, REAL, small_m2),
    SLOT(pc_heading_choice, REAL, next_small_m2), {NULL, REAL, 0, 0}};

/* Enumerations are as large as int on every compiler that this is for; size_t and uint64_t are one size. */
_Static_assert(sizeof(pc_reason) == sizeof(int) && sizeof(pc_keeping) == sizeof(int), "enumerations");
_Static_assert(sizeof(size_t) == sizeof(uint64_t), "size_t");

static json_t *put_numbers(const double *values, size_t count) {
  json_t *list = json_array();
  for (size_t i = 0; list && i < count; i++)
    if (json_array_append_new(list, pc_shard_number(values[i])) != 0) {
      json_decref(list);
      return NULL;
    }
  return list;
}

static json_t *put_slot(const slot *s, const void *object) {
  const char *value = (const char *)object + s->offset;
  double number;
  int whole;
  uint64_t large;
  switch (s->kind) {
  case REAL:
    if (s->count > 0)
      return put_numbers((const double *)(const void *)value, s->count);
    memcpy(&number, value, sizeof number);
    return pc_shard_number(number);
  case WHOLE:
    memcpy(&whole, value, sizeof whole);
    return json_integer(whole);
  case LONG:
    memcpy(&large, value, sizeof large);
    return json_integer((json_int_t)large);
  case FLAG:
    return json_boolean(*(const bool *)(const void *)value);
  }
  return NULL;
}

static json_t *put_slots(const slot *slots, const void *object) {
  json_t *map = json_object();
  for (const slot *s = slots; map && s->key; s++)
    if (json_object_set_new(map, s->key, put_slot(s, object)) != 0) {
      json_decref(map);
      return NULL;
    }
  return map;
}

static json_t *put_list(const slot *slots, const void *items, size_t count, size_t size) {
  json_t *list = json_array();
  for (size_t i = 0; list && i < count; i++)
    if (json_array_append_new(list, put_slots(slots, (const char *)items + i * size)) != 0) {
      json_decref(list);
      return NULL;
    }
  return list;
}

static bool take_numbers(const json_t *from, double *values, size_t count) {
  bool good = json_array_size(from) == count;
  for (size_t i = 0; i < count && good; i++)
    good = pc_shard_take_number(json_array_get(from, i), &values[i]);
  return good;
}

static bool take_slot(const slot *s, const json_t *from, void *object) {
  char *value = (char *)object + s->offset;
  double number;
  json_int_t whole = json_integer_value(from);
  int small = (int)whole;
  uint64_t large = (uint64_t)whole;
  bool flag = json_is_true(from);
  switch (s->kind) {
  case REAL:
    if (s->count > 0)
      return take_numbers(from, (double *)(void *)value, s->count);
    if (!pc_shard_take_number(from, &number))
      return false;
    memcpy(value, &number, sizeof number);
    return true;
  case WHOLE:
    memcpy(value, &small, sizeof small);
    return json_is_integer(from) && whole >= INT_MIN && whole <= INT_MAX;
  case LONG:
    memcpy(value, &large, sizeof large);
    return json_is_integer(from);
  case FLAG:
    memcpy(value, &flag, sizeof flag);
    return json_is_boolean(from);
  }
  return false;
}

static bool take_slots(const slot *slots, const json_t *from, void *object) {
  bool good = json_is_object(from);
  for (const slot *s = slots; s->key && good; s++)
    good = take_slot(s, json_object_get(from, s->key), object);
  return good;
}

static bool take_list(const slot *slots, const json_t *from, void *items, size_t count, size_t size) {
  bool good = json_is_array(from) && json_array_size(from) == count;
  for (size_t i = 0; i < count && good; i++)
    good = take_slots(slots, json_array_get(from, i), (char *)items + i * size);
  return good;
}

static json_t *with(json_t *map, const char *key, json_t *value) {
  if (json_object_set_new(map, key, value) == 0)
    return map;
  json_decref(map);
  return NULL;
}

json_t *pc_shard_put_result(const pc_result *r) {
  json_t *map = put_slots(result_slots, r);
  map = with(map, "machines", put_list(machine_slots, r->machines, r->machine_count, sizeof *r->machines));
  map = with(map, "zones", put_list(zone_slots, r->zones, r->zone_count, sizeof *r->zones));
  map = with(map, "areas", put_list(area_slots, r->areas, r->area_count, sizeof *r->areas));
  return with(map, "passages", put_list(passage_slots, r->passages, r->passage_count, sizeof *r->passages));
}

bool pc_shard_take_result(const json_t *from, pc_result *r) {
  const json_t *machines = json_object_get(from, "machines"), *zones = json_object_get(from, "zones");
  const json_t *areas = json_object_get(from, "areas"), *passages = json_object_get(from, "passages");
  return take_slots(result_slots, from, r) &&
         take_list(machine_slots, machines, r->machines, r->machine_count, sizeof *r->machines) &&
         take_list(zone_slots, zones, r->zones, r->zone_count, sizeof *r->zones) &&
         take_list(area_slots, areas, r->areas, r->area_count, sizeof *r->areas) &&
         take_list(passage_slots, passages, r->passages, r->passage_count, sizeof *r->passages);
}

json_t *pc_shard_put_keep_up(const pc_keep_up *keep_up) {
  return put_slots(keep_up_slots, keep_up);
}

bool pc_shard_take_keep_up(const json_t *from, pc_keep_up *keep_up) {
  return take_slots(keep_up_slots, from, keep_up);
}

json_t *pc_shard_put_depths(const pc_depths_series *d) {
  json_t *map = put_slots(depths_slots, d);
  map = with(map, "time_s", put_numbers(d->time_s, d->rows));
  return with(map, "depth_m", put_numbers(d->depth_m, d->rows * d->areas));
}

bool pc_shard_take_depths(const json_t *from, pc_depths_series *d, bool *no_memory) {
  const json_t *times = json_object_get(from, "time_s"), *depths = json_object_get(from, "depth_m");
  size_t rows = json_array_size(times);
  if (!take_slots(depths_slots, from, d) || json_array_size(depths) / (d->areas ? d->areas : 1) != rows)
    return false;
  d->time_s = pc_alloc(rows, sizeof *d->time_s);
  d->depth_m = pc_alloc_grid(rows, d->areas, sizeof *d->depth_m);
  if (!d->time_s || !d->depth_m) {
    *no_memory = true;
    return false;
  }
  d->rows = d->time_capacity = rows;
  d->depth_capacity = rows * d->areas;
  return take_numbers(times, d->time_s, rows) && take_numbers(depths, d->depth_m, rows * d->areas);
}

json_t *pc_shard_put_crossings(const pc_crossed *crossed) {
  json_t *list = json_array();
  for (size_t i = 0; list && i < crossed->count; i++) {
    const pc_crossing *one = &crossed->items[i];
    json_t *map = put_slots(crossing_slots, one);
    map = with(map, "machine", json_string(one->machine.text));
    map = with(map, "area", json_string(one->area.text));
    if (json_array_append_new(list, map) != 0) {
      json_decref(list);
      return NULL;
    }
  }
  return list;
}

bool pc_shard_take_crossings(const json_t *from, pc_crossed *crossed, bool *no_memory) {
  size_t count = json_array_size(from);
  *crossed = (pc_crossed){0};
  if (!json_is_array(from) || count == 0)
    return json_is_array(from);
  crossed->items = pc_alloc(count, sizeof *crossed->items);
  crossed->count = crossed->items ? count : 0;
  *no_memory |= !crossed->items;
  bool good = crossed->items;
  for (size_t i = 0; i < count && good; i++) {
    pc_crossing *one = &crossed->items[i];
    const json_t *map = json_array_get(from, i);
    const char *machine = json_string_value(json_object_get(map, "machine"));
    const char *area = json_string_value(json_object_get(map, "area"));
    good = take_slots(crossing_slots, map, one) && one->cycles > 0 && machine &&
           pc_name_set_long(&one->machine, machine) && area && pc_name_set(&one->area, area);
  }
  return good;
}

json_t *pc_shard_put_headings(const pc_heading_report *headings) {
  json_t *list = json_array();
  for (size_t i = 0; list && i < headings->count; i++) {
    json_t *map = put_slots(heading_slots, &headings->items[i]);
    map = with(map, "area", json_string(headings->items[i].area.text));
    map = with(map, "layout", json_string(headings->items[i].layout.text));
    if (json_array_append_new(list, map) != 0) {
      json_decref(list);
      return NULL;
    }
  }
  return list;
}

bool pc_shard_take_headings(const json_t *from, pc_heading_report *headings, bool *no_memory) {
  size_t count = json_array_size(from);
  headings->items = pc_alloc(count, sizeof *headings->items);
  headings->count = headings->items ? count : 0;
  *no_memory |= !headings->items;
  bool good = json_is_array(from) && headings->items;
  for (size_t i = 0; i < count && good; i++) {
    const json_t *map = json_array_get(from, i);
    const char *area = json_string_value(json_object_get(map, "area"));
    const char *layout = json_string_value(json_object_get(map, "layout"));
    good = take_slots(heading_slots, map, &headings->items[i]) && area &&
           pc_name_set(&headings->items[i].area, area) && layout &&
           pc_name_set(&headings->items[i].layout, layout);
  }
  return good;
}
