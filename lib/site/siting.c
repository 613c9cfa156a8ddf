// SPDX-License-Identifier: GPL-3.0-or-later
#include "site/siting.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "base/sum.h"
#include "site/siting_private.h"

#define LENGTH(member, text, otherwise, meaning)                                                             \
  {                                                                                                          \
    .key = (text), .kind = PC_FIELD_QUANTITY, .dimension = PC_DIM_LENGTH,                                    \
    .offset = offsetof(pc_siting, member), .min = 0, .max = 100, .fallback = (otherwise), .help = (meaning)  \
  }

static const pc_field siting_items[] = {
    LENGTH(building_m, "building", "2 m", "how far piles stay from buildings"),
    LENGTH(fence_m, "fence", "1 m", "how far piles stay from fences"),
    LENGTH(obstacle_m, "obstacle", "0 m: not on them",
           "how far piles stay from islands, poles, parked vehicles and old piles"),
    LENGTH(hydrant_m, "hydrant", "36 in", "how far piles stay from hydrants"),
    LENGTH(hydrant_front_m, "hydrant_front", "60 in",
           "how far piles stay from the front of a hydrant's large connections"),
    LENGTH(drain_m, "drain", "1 m", "how far piles stay from drains"),
    LENGTH(door_m, "door", "2 m", "how far piles stay from doors"),
    LENGTH(accessible_m, "accessible", "0 m: not on them",
           "how far piles stay from accessible parking spaces and routes"),
    LENGTH(sight_m, "sight", "0 m: not in them", "how far piles stay from sight triangles"),
    LENGTH(pavement_m, "pavement", "0.5 m", "how far a zone may reach beyond the pavement"),
    LENGTH(lane_m, "lane", "4 m", "how wide a way past a pile has to stay for machines"),
};

const pc_fields pc_siting_fields = {siting_items, sizeof siting_items / sizeof siting_items[0]};

pc_siting pc_siting_default(void) {
  return (pc_siting){.building_m = 2.0,
                     .fence_m = 1.0,
                     .obstacle_m = 0.0,
                     .hydrant_m = 0.9144,      /* 36 in: NFPA 1 (2015), 18.5.7 */
                     .hydrant_front_m = 1.524, /* 60 in: the same */
                     .drain_m = 1.0,           /* these three: common practice, no source */
                     .door_m = 2.0,
                     .accessible_m = 0.0,
                     .sight_m = 0.0,
                     .pavement_m = 0.5,
                     .lane_m = 4.0};
}

static const char practice[] = "common practice, no source";
static const char fire_code[] = "NFPA 1 (2015), 18.5.7";

/* In the order of pc_siting_rule. `noun` is what the thing is called in a sentence. */
static const struct rule {
  const char *name, *noun, *source;
  pc_siting_severity severity;
} rules[PC_SITING_RULE_COUNT] = {
    {"hydrant", "hydrant", fire_code, PC_SITING_MUST_NOT},
    {"hydrant front", "hydrant", fire_code, PC_SITING_LOOK},
    {"accessible", "accessible space or route", "28 CFR 36.211", PC_SITING_MUST_NOT},
    {"sight", "sight triangle", "AASHTO Green Book, intersection sight distance", PC_SITING_SHOULD_NOT},
    {"building", "building", practice, PC_SITING_SHOULD_NOT},
    {"fence", "fence", practice, PC_SITING_SHOULD_NOT},
    {"obstacle", "obstacle", practice, PC_SITING_SHOULD_NOT},
    {"drain", "drain", practice, PC_SITING_SHOULD_NOT},
    {"door", "door", practice, PC_SITING_SHOULD_NOT},
    {"cut", "", practice, PC_SITING_SHOULD_NOT},
    {"narrow", "", practice, PC_SITING_LOOK},
    {"gap", "obstacle", practice, PC_SITING_LOOK},
    {"room", "", "volume of the zones", PC_SITING_LOOK},
    {"pavement", "", practice, PC_SITING_LOOK},
    {"no piles", "ground without piles", "the map of the lot", PC_SITING_MUST_NOT},
};

static const char *const severity_names[] = {"must not", "should not", "look at it"};

static bool is_rule(int rule) {
  return rule >= 0 && rule < PC_SITING_RULE_COUNT;
}

const char *pc_siting_rule_name(int rule) {
  return is_rule(rule) ? rules[rule].name : "unknown";
}

const char *pc_siting_source(int rule) {
  return is_rule(rule) ? rules[rule].source : "unknown";
}

const char *pc_siting_severity_name(int severity) {
  return severity >= 0 && severity < PC_SITING_SEVERITY_COUNT ? severity_names[severity] : "unknown";
}

double pc_sight_distance_m(double speed_mps, double gap_s) {
  double feet = 1.47 * pc_units_convert(speed_mps, PC_DIM_SPEED, "mph") * gap_s;
  return feet * 0.3048;
}

/* ---- findings ---- */

pc_siting_finding pc_siting_make(pc_siting_rule rule, size_t zone) {
  return (pc_siting_finding){.rule = (int)rule,
                             .severity = (int)rules[rule].severity,
                             .zone = zone,
                             .distance_m = NAN,
                             .limit_m = NAN,
                             .area_m2 = NAN,
                             .need_m3 = NAN,
                             .room_m3 = NAN,
                             .place = {NAN, NAN},
                             .source = rules[rule].source};
}

pc_status pc_siting_add(pc_survey *s, const pc_siting_finding *finding) {
  void *items = s->findings->items;
  if (pc_reserve(&items, &s->findings->capacity, s->findings->count + 1, sizeof *finding) != 0)
    return PC_ERR_MEMORY;
  s->findings->items = items;
  s->findings->items[s->findings->count++] = *finding;
  return PC_OK;
}

static pc_status check_room(pc_survey *s, double need_m3, const double *capacity_m3) {
  if (!capacity_m3 || isnan(need_m3))
    return PC_OK;
  pc_sum sum = {0};
  bool limited = true;
  for (size_t z = 0; z < s->count; z++) {
    limited &= isfinite(capacity_m3[z]);
    pc_sum_add(&sum, isfinite(capacity_m3[z]) ? capacity_m3[z] : 0);
  }
  if (!limited || need_m3 <= pc_sum_value(&sum))
    return PC_OK;
  pc_siting_finding finding = pc_siting_make(PC_SITING_ROOM, PC_SITING_ALL);
  finding.need_m3 = need_m3;
  finding.room_m3 = pc_sum_value(&sum);
  return pc_siting_add(s, &finding);
}

/* Most severe first, then by rule and zone; what is alike stays in the order of the site, in which the
 * list was made. */
static bool comes_before(const pc_siting_finding *a, const pc_siting_finding *b) {
  if (a->severity != b->severity)
    return a->severity < b->severity;
  if (a->rule != b->rule)
    return a->rule < b->rule;
  return a->zone < b->zone;
}

typedef struct ordered {
  pc_siting_finding finding;
  size_t index;
} ordered;

static int compare_ordered(const void *a, const void *b) {
  const ordered *x = a, *y = b;
  if (comes_before(&x->finding, &y->finding))
    return -1;
  if (comes_before(&y->finding, &x->finding))
    return 1;
  return x->index < y->index ? -1 : x->index > y->index;
}

static pc_status sort_findings(pc_siting_finding *items, size_t count) {
  ordered *list = pc_alloc(count, sizeof *list);
  if (!list)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < count; i++)
    list[i] = (ordered){items[i], i};
  qsort(list, count, sizeof *list, compare_ordered);
  for (size_t i = 0; i < count; i++)
    items[i] = list[i].finding;
  free(list);
  return PC_OK;
}

pc_status pc_siting_check(const pc_site *site, const pc_zone *const *zones, size_t count,
                          const pc_siting *limits, double need_m3, const double *capacity_m3,
                          pc_siting_list *findings) {
  pc_survey s = {.site = site, .limits = limits, .count = count, .findings = findings};
  size_t first = findings->count;
  pc_status status = pc_survey_start(&s, zones);
  for (size_t i = 0; i < site->keep_clear_count && status == PC_OK; i++)
    status = pc_survey_keep_clear(&s, &site->keep_clear[i]);
  for (size_t i = 0; i < site->obstacle_count && status == PC_OK; i++)
    status = pc_survey_obstacle(&s, &site->obstacles[i]);
  if (status == PC_OK)
    status = pc_survey_ways(&s);
  if (status == PC_OK)
    status = check_room(&s, need_m3, capacity_m3);
  bool paved = site->area_count + site->ground_count > 0;
  for (size_t z = 0; z < count && paved && status == PC_OK; z++)
    status = pc_survey_pavement(&s, z);
  if (status == PC_OK && findings->count > first)
    status = sort_findings(findings->items + first, findings->count - first);
  pc_survey_stop(&s);
  return status;
}

void pc_siting_free(pc_siting_list *list) {
  if (!list)
    return;
  free(list->items);
  *list = (pc_siting_list){0};
}

/* ---- words ---- */

static void describe_near(const pc_siting_finding *f, const char *zone, pc_unit_system system, pc_text *out) {
  const char *noun = rules[f->rule].noun;
  if (!isnan(f->area_m2)) {
    pc_text_addf(out, "zone \"%s\" lies on %s \"%s\"", zone, noun, f->thing.text);
    if (f->area_m2 > 0)
      pc_text_addf(out, ", %s of it", pc_show(f->area_m2, PC_DIM_AREA, system, 3).text);
  } else if (f->distance_m > 0) {
    pc_text_addf(out, "zone \"%s\" is %s from %s \"%s\"", zone,
                 pc_show(f->distance_m, PC_DIM_LENGTH, system, 3).text, noun, f->thing.text);
  } else {
    pc_text_addf(out, "zone \"%s\" touches %s \"%s\"", zone, noun, f->thing.text);
  }
  pc_shown limit = pc_show(f->limit_m, PC_DIM_LENGTH, system, 3);
  if (f->rule == PC_SITING_HYDRANT_FRONT)
    pc_text_addf(out, "; in front of its connections over 2.5 in, %s stay clear", limit.text);
  else if (f->rule == PC_SITING_GAP)
    pc_text_addf(out, "; a way for machines should be %s wide", limit.text);
  else if (f->limit_m > 0)
    pc_text_addf(out, "; %s stay clear", limit.text);
}

void pc_siting_describe(const pc_siting_finding *f, const char *zone, pc_unit_system system, pc_text *out) {
  bool all = f->zone == PC_SITING_ALL;
  switch (f->rule) {
  case PC_SITING_CUT:
    pc_text_addf(out, "%s \"%s\" cut%s the pavement into parts that no way connects",
                 all ? "the zones of layout" : "zone", zone, all ? "" : "s");
    break;
  case PC_SITING_NARROW:
    pc_text_addf(out, "%s \"%s\" leave%s only ways narrower than %s between parts of the pavement",
                 all ? "the zones of layout" : "zone", zone, all ? "" : "s",
                 pc_show(f->limit_m, PC_DIM_LENGTH, system, 3).text);
    break;
  case PC_SITING_ROOM:
    pc_text_addf(out,
                 "the zones of layout \"%s\" hold %s together, but the snow makes %s of piled snow: ", zone,
                 pc_show(f->room_m3, PC_DIM_VOLUME, system, 3).text,
                 pc_show(f->need_m3, PC_DIM_VOLUME, system, 3).text);
    pc_text_addf(out, "%s would have to be hauled off",
                 pc_show(f->need_m3 - f->room_m3, PC_DIM_VOLUME, system, 3).text);
    break;
  case PC_SITING_PAVEMENT:
    pc_text_addf(out, "zone \"%s\" reaches %s beyond the pavement drawn", zone,
                 pc_show(f->distance_m, PC_DIM_LENGTH, system, 3).text);
    if (!isnan(f->area_m2))
      pc_text_addf(out, ", with %s", pc_show(f->area_m2, PC_DIM_AREA, system, 3).text);
    pc_text_add(out, "; if there is pavement, draw it as ground");
    break;
  default:
    if (is_rule(f->rule))
      describe_near(f, zone, system, out);
    break;
  }
}
