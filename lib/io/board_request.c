// SPDX-License-Identifier: GPL-3.0-or-later
/* Requests come from a browser, so nothing in them is trusted: every number, name and count is checked. */
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/board_private.h"
#include "sim/mix.h"
#include "sim/policy.h"

static const double far_m = 1e6;

typedef struct outcome {
  pc_status status;
  const char *why;
} outcome;

static const outcome fine = {PC_OK, NULL};

static outcome bad(pc_status status, const char *why) {
  return (outcome){status, why};
}

static bool read_coordinate(const json_t *value, double *out) {
  *out = json_number_value(value);
  return json_is_number(value) && isfinite(*out) && fabs(*out) <= far_m;
}

static bool read_point(const json_t *pair, pc_point *out) {
  return json_array_size(pair) == 2 && read_coordinate(json_array_get(pair, 0), &out->x_m) &&
         read_coordinate(json_array_get(pair, 1), &out->y_m);
}

/* A string, or NULL for null and for nothing at all. */
static bool read_name(const json_t *map, const char *key, const char **out) {
  const json_t *value = json_object_get(map, key);
  *out = json_string_value(value);
  return !value || json_is_null(value) || (*out && strlen(*out) < PC_NAME_ROOM);
}

static outcome read_outline(const json_t *list, pc_ring *ring) {
  size_t count = json_array_size(list);
  if (count < 3 || count > PC_BOARD_POINTS_MAX)
    return bad(PC_ERR_RANGE, "an outline has 3 to 200 points");
  ring->points = pc_alloc(count, sizeof *ring->points);
  if (!ring->points)
    return bad(PC_ERR_MEMORY, NULL);
  ring->count = count;
  for (size_t i = 0; i < count; i++)
    if (!read_point(json_array_get(list, i), &ring->points[i]))
      return bad(PC_ERR_RANGE, "a point is [x, y], in metres");
  return fine;
}

static outcome read_zone(const pc_board *board, const json_t *map, pc_zone *zone) {
  const char *name, *from;
  if (!json_is_object(map))
    return bad(PC_ERR_SYNTAX, "a zone is an object");
  if (!read_name(map, "name", &name) || !name || !*name || !read_name(map, "from", &from))
    return bad(PC_ERR_NAME, "a zone has a name of at most 63 bytes");
  const pc_zone *known = from ? pc_scenario_zone(board->scenario, from) : NULL;
  if (from && !known)
    return bad(PC_ERR_NAME, "a zone comes from one that the scenario does not have");
  *zone = known ? *known : pc_zone_default();
  zone->outline = (pc_ring){0};
  if (!known)
    zone->height_m = board->scenario->place.height_m;
  if (!pc_name_set(&zone->name, name))
    return bad(PC_ERR_NAME, "a zone has a name of at most 63 bytes");
  const json_t *outline = json_object_get(map, "outline"), *at = json_object_get(map, "at");
  if ((outline != NULL) == (at != NULL))
    return bad(PC_ERR_SYNTAX, "a zone has either an outline or a place");
  if (outline)
    return read_outline(outline, &zone->outline);
  return read_point(at, &zone->at) ? fine : bad(PC_ERR_RANGE, "a place is [x, y], in metres");
}

static outcome read_zones(const pc_board *board, pc_board_request *request) {
  const json_t *list = json_object_get(request->root, "zones");
  size_t count = json_array_size(list);
  if (!json_is_array(list) || count == 0)
    return bad(PC_ERR_RANGE, "a layout has at least one zone");
  if (count > PC_BOARD_ZONES_MAX)
    return bad(PC_ERR_LIMIT, "a layout of the board has at most 40 zones");
  request->zones = pc_alloc(count, sizeof *request->zones);
  if (!request->zones)
    return bad(PC_ERR_MEMORY, NULL);
  outcome found = fine;
  for (size_t i = 0; i < count && found.status == PC_OK; i++) {
    request->count = i + 1;
    found = read_zone(board, json_array_get(list, i), &request->zones[i]);
  }
  return found;
}

static outcome check_choice(const pc_board *board, const pc_board_request *request) {
  pc_mix mix;
  if (request->box && pc_mix_read(board->scenario, request->box, &mix, NULL) != PC_OK)
    return bad(PC_ERR_NAME, "the scenario has no such box");
  bool known = !request->policy;
  for (size_t i = 0; pc_policy_at(i) && !known; i++)
    known = strcmp(pc_policy_at(i)->name, request->policy) == 0;
  return known ? fine : bad(PC_ERR_NAME, "there is no such policy");
}

static outcome read_against(pc_board_request *request) {
  const json_t *list = json_object_get(request->root, "against_s");
  size_t count = json_array_size(list);
  if (!list)
    return fine;
  request->against_s = pc_alloc(count, sizeof *request->against_s);
  if (!request->against_s)
    return bad(PC_ERR_MEMORY, NULL);
  request->against_count = count;
  for (size_t i = 0; i < count; i++) {
    const json_t *value = json_array_get(list, i);
    request->against_s[i] = json_number_value(value);
    if (!json_is_number(value) || !isfinite(request->against_s[i]))
      return bad(PC_ERR_RANGE, "times are numbers");
  }
  return fine;
}

pc_status pc_board_request_read(const pc_board *board, const char *text, size_t length,
                                pc_board_request *request, const char **why) {
  *request =
      (pc_board_request){.root = json_loadb(length > 0 ? text : "", length, JSON_REJECT_DUPLICATES, NULL)};
  outcome found = fine;
  if (!json_is_object(request->root))
    found = bad(PC_ERR_SYNTAX, "this is no JSON object");
  else if (!read_name(request->root, "layout", &request->layout) ||
           !read_name(request->root, "box", &request->box) ||
           !read_name(request->root, "policy", &request->policy))
    found = bad(PC_ERR_NAME, "layout, box and policy are names, texts of at most 143 bytes");
  request->own_boxes = json_is_null(json_object_get(request->root, "box"));
  request->full = json_is_true(json_object_get(request->root, "full"));
  if (found.status == PC_OK)
    found = read_zones(board, request);
  if (found.status == PC_OK)
    found = check_choice(board, request);
  if (found.status == PC_OK)
    found = read_against(request);
  *why = found.why;
  return found.status;
}

void pc_board_request_free(pc_board_request *request) {
  for (size_t i = 0; i < request->count; i++)
    free(request->zones[i].outline.points);
  free(request->zones);
  free(request->against_s);
  json_decref(request->root);
  *request = (pc_board_request){0};
}

pc_status pc_board_refuse(pc_status status, const char *why, pc_text *out) {
  bool failed = false;
  if (!why)
    return status;
  json_t *map = json_object();
  put_text(map, "error", why, &failed);
  return pc_web_finish(map, failed, out) == PC_OK ? status : PC_ERR_MEMORY;
}
