// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/board.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/memory.h"
#include "base/version.h"
#include "io/board_private.h"
#include "io/place_write.h"
#include "io/results.h"
#include "io/tables_private.h"
#include "io/web.h"
#include "sim/mix.h"
#include "sim/policy.h"

static const char layout_name[] = "board";

/* The scenario with the request's zones as its only layout. All of it is borrowed. */
typedef struct variant {
  pc_scenario scenario;
  pc_layout layout;
  pc_choice choice;
  pc_name *names;
} variant;

static bool make_variant(const pc_board *board, const pc_board_request *request, variant *made) {
  *made = (variant){.scenario = *board->scenario, .choice = board->choice};
  made->names = pc_alloc(request->count, sizeof *made->names);
  if (!made->names)
    return false;
  for (size_t i = 0; i < request->count; i++)
    made->names[i] = request->zones[i].name;
  made->layout = (pc_layout){pc_name_of(layout_name), {made->names, request->count}};
  made->scenario.origins = (pc_origins){0}; /* its zones stand in no file */
  made->scenario.zones = request->zones;
  made->scenario.zone_count = request->count;
  made->scenario.layouts = &made->layout;
  made->scenario.layout_count = 1;
  made->scenario.compare = (pc_wanted){0}; /* what they name may be gone */
  made->scenario.place = pc_placing_default();
  made->choice.layout = layout_name;
  if (request->box || request->own_boxes)
    made->choice.box = request->box;
  if (request->policy)
    made->choice.policy = request->policy;
  return true;
}

/* ---- what is wrong, zone by zone ---- */

static void add_message(json_t *list, long zone, const char *message, bool *bad) {
  json_t *map = json_object();
  put(map, "zone", zone >= 0 ? json_integer(zone) : json_null(), bad);
  put_text(map, "message", message, bad);
  pc_web_append(list, map, bad);
}

/* The zone that a key such as zones[2].outline is about, or else one whose name a message has in quotes; −1.
 */
static long zone_of(const pc_error *error, const pc_board_request *request) {
  unsigned long index;
  if ((sscanf(error->key, "zones[%lu]", &index) == 1 ||
       sscanf(error->key, "layouts[0].zones[%lu]", &index) == 1) &&
      index < request->count)
    return (long)index;
  for (size_t i = 0; i < request->count; i++) {
    char quoted[PC_NAME_MAX + 8];
    snprintf(quoted, sizeof quoted, "zone \"%.63s\"", request->zones[i].name.text);
    if (strstr(error->message, quoted))
      return (long)i;
  }
  return -1;
}

static void add_faults(const pc_faults *found, const pc_board_request *request, json_t *faults,
                       json_t *cautions, bool *bad) {
  for (size_t i = 0; i < found->count; i++)
    add_message(found->items[i].caution ? cautions : faults, zone_of(&found->items[i], request),
                found->items[i].message, bad);
  *bad |= found->dropped > 0;
}

/* A zone that lies on something solid is no place for snow, whatever a run would make of it. */
static bool stands_on(const pc_siting_finding *finding) {
  bool solid = finding->rule == PC_SITING_BUILDING || finding->rule == PC_SITING_FENCE ||
               finding->rule == PC_SITING_OBSTACLE;
  return solid && finding->area_m2 > 1e-6;
}

static void add_overlaps(const pc_siting_report *report, const pc_board_request *request,
                         pc_unit_system units, json_t *faults, bool *bad) {
  for (size_t i = 0; i < report->count; i++) {
    const pc_siting_finding *finding = &report->items[i].finding;
    char message[PC_MESSAGE_MAX];
    if (!stands_on(finding) || finding->zone >= request->count)
      continue;
    snprintf(message, sizeof message, "zone \"%.63s\" lies on %s \"%.63s\", by %.30s",
             request->zones[finding->zone].name.text,
             finding->rule == PC_SITING_BUILDING ? "building"
             : finding->rule == PC_SITING_FENCE  ? "the fence"
                                                 : "an obstacle,",
             finding->thing.text, pc_show(finding->area_m2, PC_DIM_AREA, units, 3).text);
    add_message(faults, (long)finding->zone, message, bad);
  }
}

/* ---- answers ---- */

typedef struct answer {
  json_t *root, *faults, *cautions;
  pc_text result; /* as `run --json` gives it; empty: none */
  pc_siting_report siting;
  bool bad;
} answer;

static double now_ms(void) {
  struct timespec now;
  return clock_gettime(CLOCK_MONOTONIC, &now) == 0 ? 1e3 * (double)now.tv_sec + 1e-6 * (double)now.tv_nsec
                                                   : 0.0;
}

static void put_difference(const pc_summary *summary, const pc_board_request *request, json_t *root,
                           bool *bad) {
  if (request->against_count != summary->replications) {
    put(root, "difference_s", json_null(), bad);
    return;
  }
  pc_statistic difference =
      pc_statistic_of_differences(summary->times_s, request->against_s, summary->replications, 0.95);
  json_t *map = json_object();
  put_number(map, "mean", difference.mean, bad);
  put_number(map, "half_width", difference.half_width, bad);
  put_number(map, "level", difference.level, bad);
  put(root, "difference_s", map, bad);
}

/* What misses its deadline, in the words of a run. */
static void put_late(const pc_lot *lot, const pc_summary *summary, json_t *root, bool *bad) {
  json_t *list = json_array();
  for (size_t a = 0; a < lot->area_count; a++) {
    pc_text words = {0};
    if (pc_tables_deadline(lot, summary, a, &words))
      pc_web_append(list, json_string(words.data ? words.data : ""), bad);
    *bad |= words.failed;
    pc_text_free(&words);
  }
  put(root, "late", list, bad);
}

static pc_status put_result(const pc_lot *lot, const pc_summary *summary, uint64_t seed,
                            const pc_board_request *request, answer *to) {
  json_t *times = json_array();
  const pc_notes notes = {.siting = &to->siting};
  pc_status status = pc_results_run_json_with(lot, summary, seed, &notes, &to->result);
  for (size_t r = 0; r < summary->replications; r++)
    pc_web_append(times, json_real(summary->times_s[r]), &to->bad);
  put(to->root, "times_s", times, &to->bad);
  put_difference(summary, request, to->root, &to->bad);
  put_late(lot, summary, to->root, &to->bad);
  return status;
}

static pc_status simulate(const pc_board *board, const pc_board_request *request, const pc_lot *lot,
                          answer *to) {
  pc_summary summary = {0};
  uint64_t seed = (uint64_t)board->scenario->chance.seed;
  size_t replications = request->full ? (size_t)board->scenario->chance.replications : 1;
  pc_status status = pc_replicate(lot, replications, seed, board->threads, NULL, &summary);
  if (status == PC_OK)
    status = put_result(lot, &summary, seed, request, to);
  pc_summary_free(&summary);
  return status;
}

/* What is found of the zones, in the units of the page: results are in SI. */
static void put_siting(const pc_siting_report *report, pc_unit_system units, json_t *root, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < report->count; i++) {
    const pc_siting_entry *entry = &report->items[i];
    json_t *map = json_object();
    pc_text message = {0};
    pc_siting_tell(entry, units, &message);
    put_text(map, "severity", pc_siting_severity_name(entry->finding.severity), bad);
    put_text(map, "message", message.data ? message.data : "", bad);
    put_text(map, "source", entry->finding.source, bad);
    pc_web_append(list, map, bad);
    *bad |= message.failed;
    pc_text_free(&message);
  }
  put(root, "siting", list, bad);
}

/* The lot, if the layout is possible, else NULL and PC_OK: the answer then has faults. What a zone lies on
 * comes before what follows from it. */
static pc_status make_lot(const pc_board_request *request, const variant *with, answer *to, pc_lot **lot) {
  pc_faults found = {0};
  double need_m3 = NAN;
  pc_scenario_validate(&with->scenario, &found);
  pc_status made = pc_faults_status(&found), sited = PC_OK;
  if (made == PC_OK) {
    pc_faults_free(&found); /* cautions that hold for any layout */
    made = pc_lot_create(&with->scenario, &with->choice, lot, &found);
    if (made == PC_OK)
      need_m3 = pc_lot_snow_kg(*lot) / (*lot)->snow.pile_density_kgpm3;
    if (made != PC_ERR_MEMORY)
      sited = pc_siting_report_add(&to->siting, &with->scenario, layout_name, need_m3);
    add_overlaps(&to->siting, request, with->scenario.units, to->faults, &to->bad);
  }
  if (!*lot && pc_faults_fatal(&found) == 0 && json_array_size(to->faults) == 0)
    pc_faults_add(&found, made, NULL, NULL, "%s", pc_status_describe(made));
  add_faults(&found, request, to->faults, to->cautions, &to->bad);
  pc_faults_free(&found);
  return made == PC_ERR_MEMORY ? made : sited;
}

static pc_status work_out(const pc_board *board, const pc_board_request *request, const variant *with,
                          answer *to) {
  pc_lot *lot = NULL;
  pc_status status = make_lot(request, with, to, &lot);
  if (status == PC_OK && lot && json_array_size(to->faults) == 0)
    status = simulate(board, request, lot, to);
  pc_lot_free(lot);
  return status;
}

pc_status pc_board_answer(const pc_board *board, const char *request, size_t length, pc_text *out) {
  double begun = now_ms();
  const char *why = NULL;
  pc_board_request wanted;
  variant with = {0};
  pc_status status = pc_board_request_read(board, request, length, &wanted, &why);
  if (status == PC_OK && !make_variant(board, &wanted, &with))
    status = PC_ERR_MEMORY;
  if (status == PC_OK) {
    answer to = {.root = json_object(), .faults = json_array(), .cautions = json_array()};
    status = work_out(board, &wanted, &with, &to);
    put(to.root, "faults", to.faults, &to.bad);
    put(to.root, "cautions", to.cautions, &to.bad);
    put_siting(&to.siting, board->units, to.root, &to.bad);
    put_number(to.root, "compute_ms", now_ms() - begun, &to.bad);
    pc_siting_report_free(&to.siting);
    if (status == PC_OK)
      status = pc_web_finish(to.root, to.bad, out);
    else
      json_decref(to.root);
    if (status == PC_OK && to.result.data)
      pc_web_splice(out, "result", to.result.data);
    if (status == PC_OK && out->failed)
      status = PC_ERR_MEMORY;
    pc_text_free(&to.result);
  } else {
    status = pc_board_refuse(status, why, out);
  }
  free(with.names);
  pc_board_request_free(&wanted);
  return status;
}

/* ---- writing the layout ---- */

static bool same_place(const pc_zone *a, const pc_zone *b) {
  enum { TENTHS_OF_MM = 10000 }; /* as places are written */
  if (a->outline.count != b->outline.count)
    return false;
  for (size_t i = 0; i < a->outline.count; i++)
    if (fabs(a->outline.points[i].x_m - b->outline.points[i].x_m) * TENTHS_OF_MM > 1.0 ||
        fabs(a->outline.points[i].y_m - b->outline.points[i].y_m) * TENTHS_OF_MM > 1.0)
      return false;
  return a->outline.count > 0 || (fabs(a->at.x_m - b->at.x_m) * TENTHS_OF_MM <= 1.0 &&
                                  fabs(a->at.y_m - b->at.y_m) * TENTHS_OF_MM <= 1.0);
}

/* A name that neither the scenario nor the zones before have: "east (2)". */
static void rename_zone(const pc_board *board, const pc_board_request *request, size_t index) {
  pc_zone *zone = &request->zones[index];
  const pc_name plain = zone->name;
  for (int n = 2; pc_scenario_zone(board->scenario, zone->name.text) ||
                  pc_name_find(request->zones, index, sizeof *zone, zone->name.text) < index;
       n++) {
    char text[2 * PC_NAME_MAX], end[16];
    snprintf(end, sizeof end, " (%d)", n);
    pc_name cut = plain;
    size_t most = PC_NAME_MAX - 1 - strlen(end);
    if (strlen(cut.text) > most) { /* on a letter's border */
      while (most > 0 && ((unsigned char)cut.text[most] & 0xC0) == 0x80)
        most--;
      cut.text[most] = '\0';
    }
    snprintf(text, sizeof text, "%.63s%s", cut.text, end);
    zone->name = pc_name_of(text);
  }
}

/* What the first fault says, with its key. */
static void say_fault(const pc_faults *faults, pc_text *why) {
  const pc_error *first = pc_faults_first(faults, 0);
  if (first)
    pc_text_addf(why, "%s%s%s", first->key, first->key[0] ? ": " : "", first->message);
}

static pc_status write_layout(const pc_board *board, const pc_board_request *request, pc_text *why,
                              pc_text *out) {
  const char *name = request->layout && *request->layout ? request->layout : layout_name;
  if (pc_scenario_layout(board->scenario, name)) {
    pc_text_add(why, "the scenario has a layout of this name already; choose another");
    return PC_ERR_NAME;
  }
  const pc_zone **zones = pc_alloc(request->count, sizeof *zones);
  bool *is_new = pc_alloc(request->count, sizeof *is_new);
  pc_faults faults = {.units = board->units};
  pc_status status = zones && is_new ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; i < request->count && status == PC_OK; i++) {
    const pc_zone *known = pc_scenario_zone(board->scenario, request->zones[i].name.text);
    is_new[i] = !known || !same_place(known, &request->zones[i]);
    if (is_new[i])
      rename_zone(board, request, i);
    zones[i] = &request->zones[i];
  }
  const pc_place_layout layout = {
      name, zones, is_new, request->count, board->scenario->zones, board->scenario->zone_count};
  if (status == PC_OK)
    status = pc_place_write(board->name, board->text, board->length, &layout, out, &faults);
  if (status != PC_OK && status != PC_ERR_MEMORY)
    say_fault(&faults, why);
  pc_faults_free(&faults);
  free(zones);
  free(is_new);
  return status;
}

pc_status pc_board_scenario(const pc_board *board, const char *request, size_t length, pc_text *out) {
  const char *why = NULL;
  pc_board_request wanted;
  pc_status status = pc_board_request_read(board, request, length, &wanted, &why);
  pc_text fault = {0};
  if (status == PC_OK)
    status = write_layout(board, &wanted, &fault, out);
  if (status != PC_OK)
    status = fault.failed ? PC_ERR_MEMORY : pc_board_refuse(status, fault.data ? fault.data : why, out);
  pc_text_free(&fault);
  pc_board_request_free(&wanted);
  return status;
}

/* ---- the page ---- */

static json_t *make_zones(const pc_scenario *scenario, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < scenario->zone_count; i++)
    pc_web_append(list, pc_web_zone(&scenario->zones[i], bad), bad);
  return list;
}

static json_t *make_layouts(const pc_scenario *scenario, bool *bad) {
  json_t *list = json_array();
  for (size_t i = 0; i < scenario->layout_count || (i == 0 && scenario->layout_count == 0); i++) {
    const pc_layout *layout = scenario->layout_count > 0 ? &scenario->layouts[i] : NULL;
    size_t count = layout ? layout->zones.count : scenario->zone_count;
    json_t *map = json_object(), *zones = json_array();
    for (size_t k = 0; k < count; k++)
      pc_web_append(zones, make_text(layout ? layout->zones.items[k].text : scenario->zones[k].name.text),
                    bad);
    put_text(map, "name", layout ? layout->name.text : "all zones", bad);
    put(map, "zones", zones, bad);
    pc_web_append(list, map, bad);
  }
  return list;
}

static void put_lists(const pc_board *board, json_t *root, bool *bad) {
  const pc_scenario *scenario = board->scenario;
  json_t *boxes = json_array(), *policies = json_array();
  for (size_t i = 0; i < scenario->box_count; i++)
    if (scenario->boxes[i].blade == PC_BLADE_NONE &&
        !pc_mix_misfits(scenario, &(pc_mix){1, {i}}, board->choice.loader, 0, NULL))
      pc_web_append(boxes, make_text(scenario->boxes[i].name.text), bad);
  if (board->choice.box && !pc_scenario_box(scenario, board->choice.box)) /* a mix */
    pc_web_append(boxes, make_text(board->choice.box), bad);
  for (size_t i = 0; pc_policy_at(i); i++)
    pc_web_append(policies, make_text(pc_policy_at(i)->name), bad);
  put(root, "boxes", boxes, bad);
  put(root, "policies", policies, bad);
}

pc_status pc_board_page(const pc_board *board, const char *save_name, pc_text *out) {
  bool bad = false;
  const pc_scenario *scenario = board->scenario;
  pc_text json = {0};
  json_t *root = json_object();
  put_text(root, "scenario", scenario->name.text, &bad);
  put_text(root, "version", pc_version(), &bad);
  put_text(root, "units", board->units == PC_US ? "us" : "metric", &bad);
  pc_web_put_start(root, &scenario->clock, &bad);
  put(root, "site", pc_web_site(scenario, &bad), &bad);
  put(root, "zones", make_zones(scenario, &bad), &bad);
  put(root, "layouts", make_layouts(scenario, &bad), &bad);
  put_lists(board, root, &bad);
  put(root, "layout", board->choice.layout ? make_text(board->choice.layout) : json_null(), &bad);
  put(root, "box", board->choice.box ? make_text(board->choice.box) : json_null(), &bad);
  put_text(root, "policy", board->choice.policy ? board->choice.policy : scenario->policy.text, &bad);
  put_count(root, "replications", (uint64_t)scenario->chance.replications, &bad);
  put_number(root, "new_length_m", scenario->place.length_m, &bad);
  put_number(root, "new_width_m", scenario->place.width_m, &bad);
  put_count(root, "zones_max", PC_BOARD_ZONES_MAX, &bad);
  put(root, "save_name", save_name ? make_text(save_name) : json_null(), &bad);
  pc_status status = pc_web_finish(root, bad, &json);
  if (status == PC_OK)
    pc_web_page(PC_WEB_BOARD, json.data, out);
  pc_text_free(&json);
  return status == PC_OK && out->failed ? PC_ERR_MEMORY : status;
}

void pc_board_policy(pc_text *out) {
  pc_web_policy(PC_WEB_BOARD, out);
}
