// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/site.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

const char *const pc_obstacle_kind_names[] = {"building", "island",   "pole", "parked",
                                              "fence",    "old-pile", NULL};
const char *const pc_keep_clear_kind_names[] = {"hydrant", "drain",    "door", "accessible",
                                                "sight",   "no-piles", NULL};

/* Nothing in a night's work lasts longer than a month. */
#define LONGEST_S (30 * 24 * 3600.0)

#define NAME_FIELD(type, text)                                                                               \
  { .key = "name", .kind = PC_FIELD_NAME, .offset = offsetof(type, name), .required = true, .help = (text) }

static const pc_field area_items[] = {
    NAME_FIELD(pc_area, "what this area is called; no two areas share a name"),
    {.key = "heading",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_ANGLE,
     .offset = offsetof(pc_area, heading_rad),
     .min = -INFINITY,
     .max = INFINITY,
     .fallback = "0 deg",
     .help = "direction in which the lanes run, counter-clockwise from east",
     .word = "auto",
     .word_offset = offsetof(pc_area, auto_heading)},
    {.key = "opens",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_area, opens_s),
     .min = 0,
     .max = LONGEST_S,
     .fallback = "0 h: at once",
     .help = "how long after the start work on this area may begin",
     .moment = true},
    {.key = "clear_by",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_area, clear_by_s),
     .min = 0,
     .max = LONGEST_S,
     .above_min = true,
     .fallback = "no deadline",
     .help = "how long after the start this area has to be clear",
     .moment = true},
    {.key = "sweep_before",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_area, sweep_before_s),
     .min = 0,
     .max = LONGEST_S,
     .fallback = "0 s: only what is deeper than snow.trigger",
     .help = "how long before clear_by all snow there is to be pushed, however thin, while more falls"},
    {.key = "into",
     .kind = PC_FIELD_NAME,
     .offset = offsetof(pc_area, into),
     .fallback = "none: to the zones",
     .help = "name of another area: this one's snow is carried out, or laid by a blade, into that one, not "
             "to a zone"},
};

static const pc_field ground_items[] = {
    NAME_FIELD(pc_ground_outline, "what this pavement is called; no two share a name"),
};

static const pc_field obstacle_items[] = {
    NAME_FIELD(pc_obstacle, "what this obstacle is called; no two share a name"),
    {.key = "kind",
     .kind = PC_FIELD_CHOICE,
     .offset = offsetof(pc_obstacle, kind),
     .min = 0,
     .max = PC_OBSTACLE_KIND_COUNT - 1,
     .choices = pc_obstacle_kind_names,
     .fallback = "building",
     .help = "what stands there"},
    {.key = "radius",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_obstacle, radius_m),
     .min = 0,
     .max = 1000,
     .fallback = "none: give an outline instead",
     .help = "how far from the point `at` the obstacle reaches, such as a pole's"},
};

static const pc_field keep_clear_items[] = {
    NAME_FIELD(pc_keep_clear, "what has to stay clear; no two share a name"),
    {.key = "kind",
     .kind = PC_FIELD_CHOICE,
     .offset = offsetof(pc_keep_clear, kind),
     .min = 0,
     .max = PC_KEEP_KIND_COUNT - 1,
     .required = true,
     .choices = pc_keep_clear_kind_names,
     .help = "why it has to stay clear"},
    {.key = "radius",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_keep_clear, radius_m),
     .min = 0,
     .max = 1000,
     .fallback = "none: give an outline instead",
     .help = "how far round the point `at` no snow may lie"},
};

static const pc_field passage_items[] = {
    NAME_FIELD(pc_passage, "what this narrow place is called; no two share a name"),
    {.key = "radius",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_passage, radius_m),
     .min = 0,
     .max = 1000,
     .fallback = "none: give an outline instead",
     .help = "how far from the point `at` the narrow place reaches"},
    {.key = "machines",
     .kind = PC_FIELD_INTEGER,
     .offset = offsetof(pc_passage, machines),
     .min = 1,
     .max = 1000,
     .fallback = "1",
     .help = "how many machines may be in it at once; others wait outside"},
};

static const pc_field zone_items[] = {
    NAME_FIELD(pc_zone, "what this pile zone is called; layouts refer to it"),
    {.key = "height",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_zone, height_m),
     .min = 0,
     .max = 100,
     .above_min = true,
     .fallback = "5 m",
     .help = "how high the pile may grow"},
    {.key = "volume",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_VOLUME,
     .offset = offsetof(pc_zone, volume_m3),
     .min = 0,
     .max = INFINITY,
     .above_min = true,
     .fallback = "what fits on the outline; without limit at a point",
     .help = "how much piled snow the zone holds"},
    {.key = "berths",
     .kind = PC_FIELD_INTEGER,
     .offset = offsetof(pc_zone, berths),
     .min = 1,
     .max = 1000,
     .fallback = "1",
     .help = "how many loads may be dumped there at once"},
    {.key = "stack",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_NUMBER,
     .offset = offsetof(pc_zone, stack),
     .min = 0,
     .max = 100,
     .fallback = "0.5",
     .help = "how much longer a dump takes on a full pile: 0.5 means half as long again"},
};

static const pc_field near_items[] = {
    {.key = "distance",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_near, distance_m),
     .min = 0,
     .max = 100,
     .fallback = "0 m: nowhere",
     .help = "how near to an obstacle a machine has to drive with care"},
    {.key = "speed",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_SPEED,
     .offset = offsetof(pc_near, speed_mps),
     .min = 0.01, /* as all speeds of a loader */
     .max = 50,
     .fallback = "no limit",
     .help = "how fast it may drive there at most"},
    {.key = "border",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_LENGTH,
     .offset = offsetof(pc_near, border_m),
     .min = 0,
     .max = 20,
     .fallback = "0 m",
     .help =
         "how wide a strip along buildings, fences, parked vehicles and old piles the box keeps away from"},
};

#define TABLE(items)                                                                                         \
  { (items), sizeof(items) / sizeof((items)[0]) }
const pc_fields pc_area_fields = TABLE(area_items);
const pc_fields pc_ground_outline_fields = TABLE(ground_items);
const pc_fields pc_obstacle_fields = TABLE(obstacle_items);
const pc_fields pc_keep_clear_fields = TABLE(keep_clear_items);
const pc_fields pc_passage_fields = TABLE(passage_items);
const pc_fields pc_zone_fields = TABLE(zone_items);
const pc_fields pc_near_fields = TABLE(near_items);

pc_near pc_near_default(void) {
  return (pc_near){.speed_mps = NAN};
}

pc_area pc_area_default(void) {
  return (pc_area){.clear_by_s = NAN};
}

pc_passage pc_passage_default(void) {
  return (pc_passage){.at = {NAN, NAN}, .radius_m = NAN, .machines = 1};
}

pc_zone pc_zone_default(void) {
  /* `at` starts as NaN, so that a zone with neither outline nor point is told from one at the origin. */
  return (pc_zone){.at = {NAN, NAN}, .height_m = 5, .volume_m3 = NAN, .berths = 1, .stack = 0.5};
}

static void join(char *key, const char *prefix, const char *rest) {
  (void)snprintf(key, PC_KEY_MAX, "%s.%s", prefix, rest);
}

static bool is_place(pc_point point) {
  return isfinite(point.x_m) && isfinite(point.y_m);
}

/* One of the site's lists, whatever its type. */
typedef struct list {
  const char *key;
  const pc_fields *fields;
  const void *items, *defaults; /* defaults: of one item; may be NULL */
  size_t count, stride, name_offset, ring_offset;
  bool *sound;       /* per item: its outline has no fault; may be NULL */
  bool may_be_round; /* obstacles, things to keep clear of, passages */
} list;

static const void *item_of(const list *all, size_t index) {
  return (const char *)all->items + index * all->stride;
}

static const pc_name *name_of(const list *all, size_t index) {
  return (const pc_name *)(const void *)((const char *)item_of(all, index) + all->name_offset);
}

static const pc_ring *ring_of(const list *all, size_t index) {
  return (const pc_ring *)(const void *)((const char *)item_of(all, index) + all->ring_offset);
}

/* True if the item, which has no outline, has a place and a radius instead. One less than 0 has a fault of
 * its own. */
static bool is_round(const list *all, size_t index) {
  pc_point at;
  double radius_m;
  if (all->fields == &pc_keep_clear_fields) {
    const pc_keep_clear *thing = item_of(all, index);
    at = thing->at;
    radius_m = thing->radius_m;
  } else if (all->fields == &pc_passage_fields) {
    const pc_passage *passage = item_of(all, index);
    at = passage->at;
    radius_m = passage->radius_m;
  } else {
    const pc_obstacle *obstacle = item_of(all, index);
    at = obstacle->at;
    radius_m = obstacle->radius_m;
  }
  return is_place(at) && (radius_m > 0 || radius_m < 0);
}

static void validate_item(const list *all, size_t index, pc_faults *faults) {
  char prefix[64], key[PC_KEY_MAX];
  (void)snprintf(prefix, sizeof prefix, "site.%s[%zu]", all->key, index);
  pc_fields_validate(all->fields, item_of(all, index), prefix, faults);
  if (all->defaults)
    pc_fields_check_defaults(all->fields, item_of(all, index), all->defaults, prefix, faults);
  const pc_name *name = name_of(all, index);
  for (size_t i = 0; name->text[0] && i < index; i++) {
    if (strncmp(name_of(all, i)->text, name->text, PC_NAME_MAX) != 0)
      continue;
    join(key, prefix, "name");
    pc_faults_add(faults, PC_ERR_NAME, key, NULL,
                  "\"%.63s\" is already the name of site.%s[%zu]; names must differ", name->text, all->key,
                  i);
    break;
  }
  if (all->may_be_round && ring_of(all, index)->count == 0) {
    if (!is_round(all, index))
      pc_faults_add(faults, PC_ERR_MISSING, prefix, NULL, "needs an outline, or a point `at` and a radius");
    return;
  }
  size_t before = faults->count + faults->dropped;
  join(key, prefix, "outline");
  pc_ring_validate(ring_of(all, index), key, faults);
  if (all->sound)
    all->sound[index] = faults->count + faults->dropped == before;
}

static void validate_overlaps(const pc_site *site, const bool *sound, pc_faults *faults) {
  for (size_t j = 1; j < site->area_count; j++)
    for (size_t i = 0; i < j; i++) {
      double shared = 0;
      if (!sound[i] || !sound[j])
        continue;
      char key[PC_KEY_MAX], size[40];
      (void)snprintf(key, sizeof key, "site.areas[%zu].outline", j);
      pc_status status = pc_rings_overlap(&site->areas[i].outline, &site->areas[j].outline, &shared);
      (void)pc_units_print(size, sizeof size, shared, PC_DIM_AREA, faults->units, 3);
      if (status != PC_OK)
        pc_faults_add(faults, status, key, NULL,
                      "the overlap of areas \"%.63s\" and \"%.63s\" could not be worked out",
                      site->areas[i].name.text, site->areas[j].name.text);
      else if (shared > 0)
        pc_faults_add(faults, PC_ERR_GEOMETRY, key, NULL,
                      "areas \"%.63s\" and \"%.63s\" overlap by %s; snow there would be counted twice",
                      site->areas[i].name.text, site->areas[j].name.text, size);
    }
}

#define LIST(text, table, type, array, number)                                                               \
  {                                                                                                          \
    .key = (text), .fields = &(table), .items = (array), .count = (number), .stride = sizeof(type),          \
    .name_offset = offsetof(type, name), .ring_offset = offsetof(type, outline)                              \
  }

void pc_site_validate(const pc_site *site, pc_faults *faults) {
  list lists[] = {
      LIST("areas", pc_area_fields, pc_area, site->areas, site->area_count),
      LIST("ground", pc_ground_outline_fields, pc_ground_outline, site->ground, site->ground_count),
      LIST("obstacles", pc_obstacle_fields, pc_obstacle, site->obstacles, site->obstacle_count),
      LIST("keep_clear", pc_keep_clear_fields, pc_keep_clear, site->keep_clear, site->keep_clear_count),
      LIST("passages", pc_passage_fields, pc_passage, site->passages, site->passage_count),
  };
  bool *sound = pc_alloc(site->area_count, sizeof *sound);
  if (!sound)
    pc_faults_add(faults, PC_ERR_MEMORY, "site.areas", NULL, "out of memory: overlaps were not checked");
  if (site->area_count == 0)
    pc_faults_add(faults, PC_ERR_MISSING, "site.areas", NULL, "at least one area to clear is needed");
  pc_area defaults = pc_area_default();
  lists[0].sound = sound;
  lists[0].defaults = &defaults;
  lists[2].may_be_round = lists[3].may_be_round = lists[4].may_be_round = true;
  for (size_t l = 0; l < sizeof lists / sizeof lists[0]; l++)
    for (size_t i = 0; i < lists[l].count; i++)
      validate_item(&lists[l], i, faults);
  if (sound)
    validate_overlaps(site, sound, faults);
  free(sound);
}

void pc_zone_validate(const pc_zone *zone, const char *prefix, pc_faults *faults) {
  char key[PC_KEY_MAX];
  pc_zone defaults = pc_zone_default();
  pc_fields_validate(&pc_zone_fields, zone, prefix, faults);
  pc_fields_check_defaults(&pc_zone_fields, zone, &defaults, prefix, faults);
  if (zone->outline.count > 0) {
    join(key, prefix, "outline");
    pc_ring_validate(&zone->outline, key, faults);
  } else if (!is_place(zone->at)) {
    pc_faults_add(faults, PC_ERR_MISSING, prefix, NULL, "a zone needs an outline, or a point `at`");
  }
}

void pc_zone_free(pc_zone *zone) {
  if (!zone)
    return;
  pc_ring_free(&zone->outline);
}

size_t pc_site_pavement(const pc_site *site, const pc_ring **rings) {
  size_t count = 0;
  for (size_t i = 0; i < site->area_count; i++)
    rings[count++] = &site->areas[i].outline;
  for (size_t i = 0; i < site->ground_count; i++)
    rings[count++] = &site->ground[i].outline;
  return count;
}

bool pc_area_takes(const pc_area *area, const char *loader) {
  return pc_is_open_to(&area->loaders, loader) && pc_is_open_to(&area->open_to, loader);
}

bool pc_site_is_limited(const pc_site *site) {
  size_t names = 0;
  for (size_t i = 0; i < pc_site_pavement_count(site); i++)
    names += pc_site_pavement_at(site, i).open_to->count;
  return names > 0;
}

void pc_site_free(pc_site *site) {
  if (!site)
    return;
  for (size_t i = 0; i < site->area_count; i++) {
    pc_ring_free(&site->areas[i].outline);
    pc_names_free(&site->areas[i].after);
    pc_names_free(&site->areas[i].loaders);
    pc_names_free(&site->areas[i].open_to);
  }
  for (size_t i = 0; i < site->ground_count; i++) {
    pc_ring_free(&site->ground[i].outline);
    pc_names_free(&site->ground[i].open_to);
  }
  for (size_t i = 0; i < site->obstacle_count; i++)
    pc_ring_free(&site->obstacles[i].outline);
  for (size_t i = 0; i < site->keep_clear_count; i++)
    pc_ring_free(&site->keep_clear[i].outline);
  for (size_t i = 0; i < site->passage_count; i++)
    pc_ring_free(&site->passages[i].outline);
  free(site->areas);
  free(site->ground);
  free(site->obstacles);
  free(site->keep_clear);
  free(site->passages);
  memset(site, 0, sizeof *site);
}
