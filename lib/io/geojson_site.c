// SPDX-License-Identifier: GPL-3.0-or-later
/* From drafts in degrees to a site in metres: projection, checks, and faults under the file's own names. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/geodesy.h"
#include "io/geojson_private.h"
#include "io/tree_private.h"

/* Wider than this is a town, not a lot; the projection is still good to some parts in a million. */
static const double widest_m = 20000;
static const double thinnest_m = 0.001;
/* A hole of which no more than this share lies in its polygon is outside. */
static const double outside_share = 0.01;

const char *const pc_geojson_list_keys[PC_GEOJSON_LIST_COUNT] = {
    "site.areas", "site.ground", "site.obstacles", "site.keep_clear", "zones"};
static const size_t list_most[PC_GEOJSON_LIST_COUNT] = {PC_PARTS_MAX, PC_PARTS_MAX, PC_THINGS_MAX,
                                                        PC_THINGS_MAX, PC_PARTS_MAX};

/* ---- drafts ---- */

pc_name *pc_draft_name(pc_draft *draft) {
  switch (draft->list) {
  case PC_GEOJSON_AREAS:
    return &draft->as.area.name;
  case PC_GEOJSON_GROUND:
    return &draft->as.ground.name;
  case PC_GEOJSON_OBSTACLES:
    return &draft->as.obstacle.name;
  case PC_GEOJSON_KEEP_CLEAR:
    return &draft->as.keep_clear.name;
  default:
    return &draft->as.zone.name;
  }
}

bool pc_drafts_add(pc_drafts *drafts, const pc_draft *draft) {
  void *items = drafts->items;
  if (pc_reserve(&items, &drafts->capacity, drafts->count + 1, sizeof *drafts->items) != 0) {
    pc_ring place = draft->place;
    pc_ring_free(&place);
    return false;
  }
  drafts->items = items;
  drafts->items[drafts->count++] = *draft;
  drafts->per_list[draft->list]++;
  return true;
}

void pc_drafts_free(pc_drafts *drafts) {
  for (size_t i = 0; i < drafts->count; i++)
    pc_ring_free(&drafts->items[i].place);
  free(drafts->items);
  *drafts = (pc_drafts){0};
}

/* ---- faults under the file's names ---- */

void pc_geojson_sign(pc_error *error, const char *feature) {
  char end[PC_NAME_MAX + 16], whole[2 * PC_MESSAGE_MAX];
  pc_name name = pc_name_of(feature);
  for (char *at = name.text; *at; at++)
    if ((unsigned char)*at < 0x20 || *at == 0x7F)
      *at = ' '; /* messages go to terminals */
  int length = snprintf(end, sizeof end, " (feature \"%s\")", name.text);
  size_t room = sizeof error->message - 1 - (length > 0 ? (size_t)length : 0);
  size_t keep = strlen(error->message);
  if (keep > room) {
    keep = room;
    while (keep > 0 && ((unsigned char)error->message[keep] & 0xC0) == 0x80)
      keep--;
  }
  (void)snprintf(whole, sizeof whole, "%.*s%s", (int)keep, error->message, end);
  memcpy(error->message, whole, strlen(whole) + 1);
}

size_t pc_geojson_count(const pc_geojson *geojson, pc_geojson_list list) {
  const size_t counts[PC_GEOJSON_LIST_COUNT] = {geojson->site.area_count, geojson->site.ground_count,
                                                geojson->site.obstacle_count, geojson->site.keep_clear_count,
                                                geojson->zone_count};
  return counts[list];
}

void *pc_geojson_entry(const pc_geojson *geojson, pc_geojson_list list, size_t index) {
  switch (list) {
  case PC_GEOJSON_AREAS:
    return &geojson->site.areas[index];
  case PC_GEOJSON_GROUND:
    return &geojson->site.ground[index];
  case PC_GEOJSON_OBSTACLES:
    return &geojson->site.obstacles[index];
  case PC_GEOJSON_KEEP_CLEAR:
    return &geojson->site.keep_clear[index];
  default:
    return &geojson->zones[index];
  }
}

/* "site.areas[12]" at the start of a text: which list, which entry, where it ends; NULL if it is none. */
static const char *read_entry(const char *text, pc_geojson_list *list, size_t *index) {
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++) {
    size_t length = strlen(pc_geojson_list_keys[l]);
    if (strncmp(text, pc_geojson_list_keys[l], length) != 0 || text[length] != '[')
      continue;
    size_t digits = strspn(text + length + 1, "0123456789");
    if (digits == 0 || digits > 9 || text[length + 1 + digits] != ']')
      return NULL;
    *list = (pc_geojson_list)l;
    *index = (size_t)strtoul(text + length + 1, NULL, 10);
    return text + length + digits + 2;
  }
  return NULL;
}

/* What the scenario calls an outline is the geometry of a feature, everything else one of its properties. */
static void print_key(const pc_geojson_source *from, const char *rest, char *text, size_t size) {
  int used = snprintf(text, size, "features[%zu]", from->feature);
  char *to = text + used;
  size_t room = size - (size_t)used;
  bool outline = strcmp(rest, ".outline") == 0;
  if (outline || strcmp(rest, ".at") == 0) {
    char part[24] = "", ring[24] = "";
    if (from->part >= 0)
      (void)snprintf(part, sizeof part, "[%d]", from->part);
    if (from->ring >= 0)
      (void)snprintf(ring, sizeof ring, "[%d]", from->ring);
    (void)snprintf(to, room, ".geometry.coordinates%s%s", part, ring);
  } else {
    (void)snprintf(to, room, "%s%s", *rest == '.' ? ".properties" : "", rest);
  }
}

/* Entries that a message mentions: of the file by their feature, others by their number in the scenario. */
static void translate_message(const pc_geojson *geojson, pc_error *error) {
  char text[PC_MESSAGE_MAX];
  size_t used = 0;
  const char *at = error->message;
  while (*at && used + 1 < sizeof text) {
    pc_geojson_list list;
    size_t index;
    bool starts = at == error->message || at[-1] == ' ';
    const char *end = starts ? read_entry(at, &list, &index) : NULL;
    if (!end) {
      text[used++] = *at++;
      continue;
    }
    size_t own = pc_geojson_count(geojson, list);
    int more = index < own ? snprintf(text + used, sizeof text - used, "features[%zu]",
                                      geojson->sources[list][index].feature)
                           : snprintf(text + used, sizeof text - used, "%s[%zu]", pc_geojson_list_keys[list],
                                      index - own);
    used += more > 0 ? (size_t)more : 0;
    if (used >= sizeof text)
      used = sizeof text - 1;
    at = end;
  }
  text[used] = '\0';
  memcpy(error->message, text, used + 1);
}

void pc_geojson_translate_for(const pc_geojson *geojson, const char *name, const pc_reader *scenario,
                              pc_error *error) {
  pc_geojson_list list;
  size_t index;
  char key[2 * PC_KEY_MAX];
  const char *rest = read_entry(error->key, &list, &index);
  translate_message(geojson, error);
  if (!rest)
    return;
  size_t own = pc_geojson_count(geojson, list);
  if (index < own) {
    const pc_node *set = pc_overrides_find_map(scenario, error->key);
    pc_geojson_sign(error, ((const pc_name *)pc_geojson_entry(geojson, list, index))->text);
    pc_error_place(error, set ? set->file : name, 0, 0);
    if (set) /* its key is what was typed, but for a name in brackets */
      return;
    print_key(&geojson->sources[list][index], rest, key, sizeof key);
  } else {
    (void)snprintf(key, sizeof key, "%s[%zu]%s", pc_geojson_list_keys[list], index - own, rest);
  }
  key[PC_KEY_MAX - 1] = '\0';
  memcpy(error->key, key, strlen(key) + 1);
}

void pc_geojson_translate(const pc_geojson *geojson, const char *name, pc_error *error) {
  pc_geojson_translate_for(geojson, name, NULL, error);
}

/* ---- projecting ---- */

typedef struct placing {
  pc_drafts *drafts;
  const char *name;
  pc_geojson *out;
  pc_faults *faults;
  pc_geodesy *geodesy;
  pc_reader *scenario;
  bool no_memory;
} placing;

static void fault(placing *p, pc_status status, const char *key, const char *message) {
  pc_error error;
  (void)pc_error_set(&error, status, key, NULL, "%s", message);
  pc_error_place(&error, p->name, 0, 0);
  pc_tree_push_fault(p->faults, &error);
}

typedef struct extent {
  double west, east, south, north;
} extent;

static extent find_extent(const pc_drafts *drafts) {
  extent e = {INFINITY, -INFINITY, INFINITY, -INFINITY};
  double first = drafts->items[0].place.points[0].x_m;
  for (size_t i = 0; i < drafts->count; i++) {
    const pc_ring *ring = &drafts->items[i].place;
    for (size_t k = 0; k < ring->count; k++) {
      double lon = pc_longitude_beside(ring->points[k].x_m, first);
      e.west = fmin(e.west, lon);
      e.east = fmax(e.east, lon);
      e.south = fmin(e.south, ring->points[k].y_m);
      e.north = fmax(e.north, ring->points[k].y_m);
    }
  }
  return e;
}

/* True if all of it lies near enough to be one lot, and near its origin. */
static bool check_size(placing *p, const extent *e, const pc_geojson_origin *origin) {
  double middle = (e->south + e->north) / 2, shrink = cos(middle * (3.14159265358979323846 / 180));
  double across = hypot((e->east - e->west) * PC_DEGREE_M * shrink, (e->north - e->south) * PC_DEGREE_M);
  pc_unit_system units = p->faults->units;
  pc_shown most = pc_show(widest_m, PC_DIM_LENGTH, units, 2);
  const pc_geojson_origin place = {pc_longitude_beside((e->west + e->east) / 2, 0), middle};
  char message[PC_MESSAGE_MAX];
  if (across > widest_m) {
    (void)snprintf(message, sizeof message,
                   "the features lie %.30s apart; more than %.30s is not taken, since that is not one lot",
                   pc_show(across, PC_DIM_LENGTH, units, 2).text, most.text);
    fault(p, PC_ERR_LIMIT, "features", message);
    return false;
  }
  pc_geojson_tell_swapped(p->name, &place, p->faults);
  double away = origin ? pc_geojson_away_m(&place, origin) : 0;
  if (away <= widest_m)
    return true;
  const pc_geojson_origin swapped = {place.lat_deg, place.lon_deg};
  (void)snprintf(message, sizeof message,
                 "the features lie %.30s away from site.origin; at most %.30s is taken (origin: [longitude, "
                 "latitude]%s)",
                 pc_show(away, PC_DIM_LENGTH, units, 2).text, most.text,
                 pc_geojson_away_m(&swapped, origin) <= widest_m
                     ? "; with the two swapped, here or in the map, they would lie there"
                     : "");
  fault(p, PC_ERR_RANGE, "features", message);
  return false;
}

static bool start_projection(placing *p, const extent *e, const pc_geojson_origin *given) {
  /* Rounded, so that the origin can be written down and stays the same: 1e-7 degrees are about a centimetre.
   */
  pc_geojson_origin origin = {round((e->west + e->east) / 2 * 1e7) / 1e7,
                              round((e->south + e->north) / 2 * 1e7) / 1e7};
  origin.lon_deg = origin.lon_deg > 180    ? origin.lon_deg - 360
                   : origin.lon_deg < -180 ? origin.lon_deg + 360
                                           : origin.lon_deg;
  if (given)
    origin = *given;
  pc_status status = pc_geodesy_create(origin.lon_deg, origin.lat_deg, &p->geodesy);
  if (status == PC_ERR_MEMORY)
    p->no_memory = true;
  else if (status != PC_OK)
    fault(p, status, NULL, "the origin must be a longitude and a latitude in degrees");
  p->out->site.has_origin = status == PC_OK;
  p->out->site.origin_lon_deg = origin.lon_deg;
  p->out->site.origin_lat_deg = origin.lat_deg;
  return status == PC_OK;
}

static void project(placing *p, pc_draft *draft) {
  for (size_t i = 0; i < draft->place.count; i++) {
    pc_point *point = &draft->place.points[i];
    if (pc_geodesy_project(p->geodesy, point->x_m, point->y_m, point))
      continue;
    char key[PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "features[%zu].geometry", draft->source.feature);
    fault(p, PC_ERR_GEOMETRY, key, "has a place that cannot be projected around the origin");
    return;
  }
}

/* A line as strips. A line that closes on itself would make a ring with a hole; halves of it do not. */
static void add_strips(placing *p, pc_draft *like, const pc_point *points, size_t count, pc_drafts *out) {
  pc_ring ring;
  pc_status status = pc_ring_along(points, count, like->width_m, &ring);
  if (status == PC_OK) {
    pc_draft draft = *like;
    draft.form = PC_FORM_POLYGON;
    draft.place = ring;
    p->no_memory |= !pc_drafts_add(out, &draft);
  } else if (status == PC_ERR_GEOMETRY && count > 2) {
    size_t half = count / 2;
    add_strips(p, like, points, half + 1, out);
    if (!p->no_memory)
      add_strips(p, like, points + half, count - half, out);
  } else if (status == PC_ERR_GEOMETRY) {
    return; /* two positions in one place: nothing of a fence */
  } else {
    p->no_memory = true;
  }
}

static void make_strips(placing *p, pc_draft *line, pc_drafts *out) {
  size_t before = out->count;
  add_strips(p, line, line->place.points, line->place.count, out);
  size_t made = out->count - before;
  if (made == 0 && !p->no_memory) {
    char key[PC_KEY_MAX];
    (void)snprintf(key, sizeof key, "features[%zu].geometry.coordinates", line->source.feature);
    fault(p, PC_ERR_GEOMETRY, key, "the line has no length: all of its positions are one place");
  }
  for (size_t i = 0; made > 1 && i < made; i++) {
    char name[2 * PC_NAME_MAX];
    (void)snprintf(name, sizeof name, "%.63s %zu", pc_draft_name(line)->text, i + 1);
    *pc_draft_name(&out->items[before + i]) = pc_name_of(name);
  }
  pc_ring_free(&line->place);
}

static void project_all(placing *p) {
  pc_drafts strips = {0};
  size_t kept = 0;
  for (size_t i = 0; i < p->drafts->count; i++) {
    pc_draft *draft = &p->drafts->items[i];
    project(p, draft);
    if (draft->form == PC_FORM_LINE && !p->no_memory) {
      p->drafts->per_list[draft->list]--;
      make_strips(p, draft, &strips);
    } else {
      p->drafts->items[kept++] = *draft;
    }
  }
  p->drafts->count = kept;
  size_t moved = 0;
  for (; moved < strips.count && !p->no_memory; moved++)
    p->no_memory |= !pc_drafts_add(p->drafts, &strips.items[moved]);
  for (size_t i = 0; i < moved; i++)
    strips.items[i].place = (pc_ring){0};
  pc_drafts_free(&strips);
}

/* ---- building and checking ---- */

static bool check_limits(placing *p) {
  bool fits = true;
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++) {
    if (p->drafts->per_list[l] <= list_most[l])
      continue;
    char message[PC_MESSAGE_MAX];
    (void)snprintf(message, sizeof message, "make %zu entries of %s; at most %zu are possible",
                   p->drafts->per_list[l], pc_geojson_list_keys[l], list_most[l]);
    fault(p, PC_ERR_LIMIT, "features", message);
    fits = false;
  }
  return fits;
}

static bool make_lists(placing *p) {
  pc_geojson *out = p->out;
  const size_t *counts = p->drafts->per_list;
  bool good = true;
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++)
    good &= (out->sources[l] = pc_alloc(counts[l], sizeof *out->sources[l])) != NULL;
  good &= (out->site.areas = pc_alloc(counts[PC_GEOJSON_AREAS], sizeof *out->site.areas)) != NULL;
  good &= (out->site.ground = pc_alloc(counts[PC_GEOJSON_GROUND], sizeof *out->site.ground)) != NULL;
  good &= (out->site.obstacles = pc_alloc(counts[PC_GEOJSON_OBSTACLES], sizeof *out->site.obstacles)) != NULL;
  good &=
      (out->site.keep_clear = pc_alloc(counts[PC_GEOJSON_KEEP_CLEAR], sizeof *out->site.keep_clear)) != NULL;
  good &= (out->zones = pc_alloc(counts[PC_GEOJSON_ZONES], sizeof *out->zones)) != NULL;
  return good;
}

/* Moves a draft into its list, place and all. */
static void put(pc_geojson *out, pc_draft *draft) {
  pc_point at = draft->place.points[0];
  pc_ring outline = draft->form == PC_FORM_POLYGON ? draft->place : (pc_ring){0};
  out->sources[draft->list][pc_geojson_count(out, draft->list)] = draft->source;
  if (draft->form == PC_FORM_POLYGON)
    draft->place = (pc_ring){0};
  switch (draft->list) {
  case PC_GEOJSON_AREAS:
    draft->as.area.outline = outline;
    out->site.areas[out->site.area_count++] = draft->as.area;
    break;
  case PC_GEOJSON_GROUND:
    draft->as.ground.outline = outline;
    out->site.ground[out->site.ground_count++] = draft->as.ground;
    break;
  case PC_GEOJSON_OBSTACLES:
    draft->as.obstacle.outline = outline;
    if (draft->form == PC_FORM_POINT)
      draft->as.obstacle.at = at;
    out->site.obstacles[out->site.obstacle_count++] = draft->as.obstacle;
    break;
  case PC_GEOJSON_KEEP_CLEAR:
    draft->as.keep_clear.outline = outline;
    if (draft->form == PC_FORM_POINT)
      draft->as.keep_clear.at = at;
    out->site.keep_clear[out->site.keep_clear_count++] = draft->as.keep_clear;
    break;
  default:
    draft->as.zone.outline = outline;
    if (draft->form == PC_FORM_POINT)
      draft->as.zone.at = at;
    out->zones[out->zone_count++] = draft->as.zone;
    break;
  }
}

static const pc_ring *entry_ring(const pc_geojson *geojson, pc_geojson_list list, size_t index) {
  switch (list) {
  case PC_GEOJSON_AREAS:
    return &geojson->site.areas[index].outline;
  case PC_GEOJSON_GROUND:
    return &geojson->site.ground[index].outline;
  case PC_GEOJSON_OBSTACLES:
    return &geojson->site.obstacles[index].outline;
  case PC_GEOJSON_KEEP_CLEAR:
    return &geojson->site.keep_clear[index].outline;
  default:
    return &geojson->zones[index].outline;
  }
}

/* The place where an outline crosses itself, as longitude and latitude: the file knows no metres. */
static void relocate(const placing *p, pc_error *error) {
  pc_geojson_list list;
  size_t index;
  bool crosses;
  pc_point place;
  double lon, lat;
  if (error->status != PC_ERR_GEOMETRY || !read_entry(error->key, &list, &index) || error->value[0] != '[')
    return;
  if (pc_ring_crossing(entry_ring(p->out, list, index), &crosses, &place) != PC_OK || !crosses ||
      !pc_geodesy_locate(p->geodesy, place, &lon, &lat))
    return;
  char key[PC_KEY_MAX], value[PC_VALUE_MAX], lon_text[PC_DECIMALS_MAX], lat_text[PC_DECIMALS_MAX];
  pc_print_decimals(lon_text, lon, 7);
  pc_print_decimals(lat_text, lat, 7);
  (void)snprintf(value, sizeof value, "[%s, %s]", lon_text, lat_text);
  memcpy(key, error->key, sizeof key);
  (void)pc_error_set(
      error, PC_ERR_GEOMETRY, key, value,
      "the outline crosses or touches itself at %s; list its corners once, in order around the "
      "shape",
      value);
}

/* Corners on a parallel are not quite on a line once projected, so this has no use for exact zeros. */
static void check_thickness(const placing *p, pc_geojson_list list, size_t index, pc_faults *found) {
  const pc_ring *ring = entry_ring(p->out, list, index);
  double around = 0;
  for (size_t i = 0; i < ring->count; i++) {
    const pc_point *a = &ring->points[i], *b = &ring->points[(i + 1) % ring->count];
    around += hypot(b->x_m - a->x_m, b->y_m - a->y_m);
  }
  char key[PC_KEY_MAX];
  (void)snprintf(key, sizeof key, "%s[%zu].outline", pc_geojson_list_keys[list], index);
  if (ring->count > 0 && fabs(pc_ring_area_m2(ring)) * 2 < thinnest_m * around &&
      !pc_faults_has_key(found, key))
    (void)pc_faults_add(found, PC_ERR_GEOMETRY, key, NULL,
                        "the outline is thinner than a millimetre: its corners lie on one line");
}

/* The outer ring of the polygon that this is a hole of. */
static const pc_ring *find_outer(const placing *p, const pc_geojson_source *hole) {
  static const pc_geojson_list lists[] = {PC_GEOJSON_AREAS, PC_GEOJSON_GROUND};
  for (size_t l = 0; l < sizeof lists / sizeof *lists; l++)
    for (size_t i = 0; i < pc_geojson_count(p->out, lists[l]); i++) {
      const pc_geojson_source *from = &p->out->sources[lists[l]][i];
      if (from->feature == hole->feature && from->part == hole->part)
        return entry_ring(p->out, lists[l], i);
    }
  return NULL;
}

/* A hole that lies outside would be an island somewhere else. In metres: degrees jump at the 180th meridian.
 */
static void check_hole(placing *p, size_t index, pc_faults *found) {
  const pc_geojson_source *from = &p->out->sources[PC_GEOJSON_OBSTACLES][index];
  const pc_ring *hole = entry_ring(p->out, PC_GEOJSON_OBSTACLES, index);
  const pc_ring *outer = from->ring > 0 ? find_outer(p, from) : NULL;
  char key[PC_KEY_MAX];
  double inside_m2;
  if (!outer)
    return;
  (void)snprintf(key, sizeof key, "site.obstacles[%zu].outline", index);
  pc_status status = pc_rings_shared_area(hole, outer, &inside_m2);
  p->no_memory |= status == PC_ERR_MEMORY;
  /* what touches as drawn is outside, too; rings that are none have a fault of their own */
  if (status == PC_OK && inside_m2 <= outside_share * fabs(pc_ring_area_m2(hole)))
    (void)pc_faults_add(found, PC_ERR_GEOMETRY, key, NULL,
                        "the hole lies outside its polygon (RFC 7946, 3.1.6); draw an island as a feature "
                        "of its own, \"kind\": \"island\"");
}

static void validate(placing *p) {
  pc_faults found = pc_faults_like(p->faults);
  pc_site_validate(&p->out->site, &found);
  for (size_t i = 0; i < p->out->zone_count; i++) {
    char prefix[40];
    (void)snprintf(prefix, sizeof prefix, "zones[%zu]", i);
    pc_zone_validate(&p->out->zones[i], prefix, &found);
  }
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++)
    for (size_t i = 0; i < pc_geojson_count(p->out, (pc_geojson_list)l); i++)
      check_thickness(p, (pc_geojson_list)l, i, &found);
  for (size_t i = 0; i < p->out->site.obstacle_count; i++)
    check_hole(p, i, &found);
  for (size_t i = 0; i < found.count; i++) {
    pc_error *error = &found.items[i];
    if (strcmp(error->key, "site.areas") == 0 && error->status == PC_ERR_MISSING)
      continue; /* areas may stand in the scenario */
    if (pc_overrides_told_map(p->scenario, error))
      continue;
    if (error->status == PC_ERR_MEMORY)
      p->no_memory = true;
    relocate(p, error);
    pc_geojson_translate_for(p->out, p->name, p->scenario, error);
    if (error->file[0] == '\0')
      pc_error_place(error, p->name, 0, 0);
    pc_tree_push_fault(p->faults, error);
  }
  p->no_memory |= found.dropped > 0;
  pc_faults_free(&found);
}

bool pc_drafts_place(pc_drafts *drafts, const char *name, const pc_geojson_origin *origin,
                     pc_reader *scenario, pc_geojson *out, pc_faults *faults) {
  placing p = {.drafts = drafts, .name = name, .out = out, .faults = faults, .scenario = scenario};
  extent e = find_extent(drafts);
  if (!check_size(&p, &e, origin) || !start_projection(&p, &e, origin))
    return !p.no_memory;
  project_all(&p);
  if (!p.no_memory && check_limits(&p)) {
    p.no_memory = !make_lists(&p);
    for (size_t i = 0; i < drafts->count && !p.no_memory; i++)
      put(out, &drafts->items[i]);
    if (!p.no_memory && scenario)
      pc_overrides_apply_map(scenario, out);
    if (!p.no_memory)
      validate(&p);
  }
  pc_geodesy_free(p.geodesy);
  return !p.no_memory;
}

void pc_geojson_free(pc_geojson *geojson) {
  if (!geojson)
    return;
  for (size_t i = 0; i < geojson->zone_count; i++)
    pc_zone_free(&geojson->zones[i]);
  free(geojson->zones);
  pc_site_free(&geojson->site);
  for (int l = 0; l < PC_GEOJSON_LIST_COUNT; l++)
    free(geojson->sources[l]);
  *geojson = (pc_geojson){0};
}
