// SPDX-License-Identifier: GPL-3.0-or-later
/* A lot as it is drawn on a page, and numbers packed tightly. */
#include <stdlib.h>

#include "base/memory.h"
#include "io/replay_private.h"

/* ---- packed numbers ---- */

void pc_bytes_put(pc_bytes *bytes, uint64_t number) {
  enum { MOST = 10 };
  void *data = bytes->data;
  if (bytes->failed || pc_reserve(&data, &bytes->capacity, bytes->length + MOST, 1) != 0) {
    bytes->failed = true;
    return;
  }
  bytes->data = data;
  for (; number > 0x7F; number >>= 7)
    bytes->data[bytes->length++] = (unsigned char)(0x80 | (number & 0x7F));
  bytes->data[bytes->length++] = (unsigned char)number;
}

void pc_bytes_put_signed(pc_bytes *bytes, int64_t number) {
  pc_bytes_put(bytes, number < 0 ? 2 * (uint64_t)(-(number + 1)) + 1 : 2 * (uint64_t)number);
}

/* RFC 4648, section 4. */
static char *base64(const unsigned char *data, size_t length) {
  static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  char *text = pc_alloc((length + 2) / 3 * 4 + 1, 1);
  size_t end = 0;
  for (size_t i = 0; text && i < length; i += 3) {
    uint32_t three = (uint32_t)data[i] << 16;
    three |= i + 1 < length ? (uint32_t)data[i + 1] << 8 : 0;
    three |= i + 2 < length ? data[i + 2] : 0;
    for (size_t k = 0; k < 4; k++)
      text[end++] = i + k > length ? '=' : letters[three >> (18 - 6 * k) & 0x3F];
  }
  return text;
}

void pc_bytes_to_json(pc_bytes *bytes, json_t *map, const char *key, bool *bad) {
  char *text = bytes->failed ? NULL : base64(bytes->data, bytes->length);
  put(map, key, text ? json_string(text) : NULL, bad);
  free(text);
  free(bytes->data);
  *bytes = (pc_bytes){0};
}

/* ---- shapes ---- */

void pc_web_append(json_t *list, json_t *value, bool *bad) {
  if (json_array_append_new(list, value) != 0)
    *bad = true;
}

json_t *pc_web_point(pc_point point, bool *bad) {
  json_t *pair = json_array();
  pc_web_append(pair, json_real(point.x_m), bad);
  pc_web_append(pair, json_real(point.y_m), bad);
  return pair;
}

static json_t *put_ring(const pc_ring *ring, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < ring->count; i++)
    pc_web_append(list, pc_web_point(ring->points[i], bad), bad);
  return list;
}

/* An outline, or a place with a radius (which may be NaN). */
static json_t *make_thing(const pc_name *name, const char *kind, const pc_ring *outline, pc_point at,
                          double radius_m, bool *bad) {
  json_t *map = json_object();
  put_text(map, "name", name->text, bad);
  if (kind)
    put_text(map, "kind", kind, bad);
  if (outline->count > 0) {
    put(map, "outline", put_ring(outline, bad), bad);
  } else {
    put(map, "at", pc_web_point(at, bad), bad);
    put_number(map, "radius_m", radius_m, bad);
  }
  return map;
}

json_t *pc_web_zone(const pc_zone *zone, bool *bad) {
  json_t *map = make_thing(&zone->name, NULL, &zone->outline, zone->at, NAN, bad);
  put_number(map, "height_m", zone->height_m, bad);
  put_number(map, "volume_m3", zone->volume_m3, bad);
  put_count(map, "berths", (uint64_t)zone->berths, bad);
  return map;
}

json_t *pc_web_site(const pc_scenario *scenario, bool *bad) {
  const pc_site *site = &scenario->site;
  const pc_point nowhere = {0.0, 0.0};
  json_t *root = json_object(), *areas = json_array(), *ground = json_array(), *obstacles = json_array(),
         *keep_clear = json_array(), *passages = json_array();
  for (size_t i = 0; i < site->area_count; i++) {
    const pc_area *area = &site->areas[i];
    pc_web_append(areas, make_thing(&area->name, NULL, &area->outline, nowhere, NAN, bad), bad);
  }
  for (size_t i = 0; i < site->ground_count; i++) {
    const pc_ground_outline *o = &site->ground[i];
    pc_web_append(ground, make_thing(&o->name, NULL, &o->outline, nowhere, NAN, bad), bad);
  }
  for (size_t i = 0; i < site->obstacle_count; i++) {
    const pc_obstacle *o = &site->obstacles[i];
    pc_web_append(obstacles,
                  make_thing(&o->name, pc_obstacle_kind_names[o->kind], &o->outline, o->at, o->radius_m, bad),
                  bad);
  }
  for (size_t i = 0; i < site->keep_clear_count; i++) {
    const pc_keep_clear *k = &site->keep_clear[i];
    pc_web_append(
        keep_clear,
        make_thing(&k->name, pc_keep_clear_kind_names[k->kind], &k->outline, k->at, k->radius_m, bad), bad);
  }
  for (size_t i = 0; i < site->passage_count; i++) {
    const pc_passage *p = &site->passages[i];
    pc_web_append(passages, make_thing(&p->name, NULL, &p->outline, p->at, p->radius_m, bad), bad);
  }
  put(root, "areas", areas, bad);
  put(root, "ground", ground, bad);
  put(root, "obstacles", obstacles, bad);
  put(root, "keep_clear", keep_clear, bad);
  put(root, "passages", passages, bad);
  if (scenario->has_fuel_point)
    put(root, "fuel_point", pc_web_point(scenario->fuel_point, bad), bad);
  return root;
}

static int append(const char *buffer, size_t size, void *context) {
  pc_text_addf(context, "%.*s", (int)size, buffer);
  return ((pc_text *)context)->failed ? -1 : 0;
}

pc_status pc_web_finish(json_t *root, bool bad, pc_text *out) {
  if (!bad && json_dump_callback(root, append, out, JSON_COMPACT | JSON_REAL_PRECISION(15)) != 0)
    bad = true;
  json_decref(root);
  return bad || out->failed ? PC_ERR_MEMORY : PC_OK;
}

void pc_web_put_start(json_t *root, const pc_clock *clock, bool *bad) {
  if (!clock->given)
    return;
  json_t *map = json_object();
  put_count(map, "minutes", (uint64_t)clock->minutes, bad);
  put(map, "twelve", json_boolean(clock->twelve), bad);
  put(root, "start", map, bad);
}

void pc_web_splice(pc_text *out, const char *key, const char *json) {
  if (out->failed || out->length < 2)
    return;
  bool empty = out->data[out->length - 2] == '{';
  out->data[--out->length] = '\0';
  pc_text_addf(out, "%s\"%s\":%s}", empty ? "" : ",", key, json);
}
