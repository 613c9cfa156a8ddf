// SPDX-License-Identifier: GPL-3.0-or-later
/* The fleet: tables of its fields, its faults, and the ways between its places. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "study/assign.h"

#define TABLE(items)                                                                                         \
  { (items), sizeof(items) / sizeof(items)[0] }
#define NAME(type, needed, otherwise, text)                                                                  \
  {                                                                                                          \
    .key = "name", .kind = PC_FIELD_NAME, .offset = offsetof(type, name), .required = (needed),              \
    .fallback = (otherwise), .help = (text)                                                                  \
  }
#define COUNT(type, text)                                                                                    \
  {                                                                                                          \
    .key = "count", .kind = PC_FIELD_INTEGER, .offset = offsetof(type, count), .min = 1,                     \
    .max = PC_FLEET_MAX, .fallback = "1", .help = (text)                                                     \
  }

static const pc_field fleet_items[] = {
    NAME(pc_fleet, false, "none", "name of the fleet, for reports"),
    {.key = "back_to_yard",
     .kind = PC_FIELD_FLAG,
     .offset = offsetof(pc_fleet, back_to_yard),
     .fallback = "false",
     .help = "true: the way back to the yard is paid"},
};
static const pc_field machine_items[] = {
    NAME(pc_fleet_machine, true, NULL, "name of this kind of machine"),
    COUNT(pc_fleet_machine, "how many of them there are"),
    {.key = "cost",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_PER_TIME,
     .offset = offsetof(pc_fleet_machine, cost_per_s),
     .min = 0,
     .max = INFINITY,
     .fallback = "money.machine and money.operator",
     .help = "cost of one machine with its operator per unit of time, \"133 /h\""},
};
static const pc_field box_items[] = {
    NAME(pc_fleet_box, true, NULL, "name of this kind of box"),
    COUNT(pc_fleet_box, "how many of them there are"),
};
static const pc_field place_items[] = {
    NAME(pc_fleet_place, true, NULL, "name of the lot, as in its scenario"),
};
static const pc_field travel_items[] = {
    {.key = "speed",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_SPEED,
     .offset = offsetof(pc_fleet_travel, speed_mps),
     .min = 0,
     .max = 40,
     .above_min = true,
     .fallback = "needed with positions",
     .help = "mean speed on the road"},
    {.key = "detour",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_NUMBER,
     .offset = offsetof(pc_fleet_travel, detour),
     .min = 1,
     .max = 10,
     .fallback = "1.3",
     .help = "way on the road over the straight line"},
    {.key = "set_up",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_TIME,
     .offset = offsetof(pc_fleet_travel, set_up_s),
     .min = 0,
     .max = 86400,
     .fallback = "0 s",
     .help = "time at every lot besides the work"},
};

const pc_fields pc_fleet_fields = TABLE(fleet_items);
const pc_fields pc_fleet_machine_fields = TABLE(machine_items);
const pc_fields pc_fleet_box_fields = TABLE(box_items);
const pc_fields pc_fleet_place_fields = TABLE(place_items);
const pc_fields pc_fleet_travel_fields = TABLE(travel_items);

pc_fleet pc_fleet_default(void) {
  return (pc_fleet){.travel = {.speed_mps = NAN, .detour = 1.3}, .money = pc_scenario_default().money};
}

pc_fleet_machine pc_fleet_machine_default(void) {
  return (pc_fleet_machine){.loader = pc_loader_default(), .count = 1, .cost_per_s = NAN};
}

pc_fleet_box pc_fleet_box_default(void) {
  return (pc_fleet_box){.box = pc_box_default(), .count = 1};
}

void pc_fleet_free(pc_fleet *fleet) {
  if (!fleet)
    return;
  for (size_t i = 0; i < fleet->machine_count; i++) {
    pc_names_free(&fleet->machines[i].boxes);
    free(fleet->machines[i].together.items);
  }
  free(fleet->machines);
  free(fleet->boxes);
  pc_names_free(&fleet->travel.places);
  free(fleet->travel.time_s);
  free(fleet->travel.lots);
  pc_origins_free(&fleet->origins);
  *fleet = pc_fleet_default();
}

/* ---- faults ---- */

/* `items` are structs that begin with their name. */
static void check_names(const void *items, size_t count, size_t size, const char *list, pc_faults *faults) {
  for (size_t i = 0; i < count; i++) {
    const pc_name *name = (const pc_name *)(const void *)((const char *)items + i * size);
    size_t twin = pc_name_find(items, i, size, name->text);
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "%s[%zu].name", list, i);
    if (twin < i)
      pc_faults_add(faults, PC_ERR_NAME, key, name->text, "\"%s\" is the name of %s[%zu] already", name->text,
                    list, twin);
  }
}

static bool has_box(const pc_fleet *fleet, const char *name) {
  return pc_name_find(fleet->boxes, fleet->box_count, sizeof *fleet->boxes, name) < fleet->box_count;
}

static void check_machine(const pc_fleet *fleet, size_t index, pc_faults *faults) {
  const pc_fleet_machine *m = &fleet->machines[index];
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "machines[%zu]", index);
  pc_fields_validate(&pc_fleet_machine_fields, m, key, faults);
  snprintf(key, sizeof key, "machines[%zu].loader", index);
  pc_loader_validate(&m->loader, key, faults);
  snprintf(key, sizeof key, "machines[%zu].together", index);
  for (size_t i = 0; i < m->together.count; i++)
    if (m->together.items[i] < 1 || m->together.items[i] > m->count)
      pc_faults_add(faults, PC_ERR_RANGE, key, NULL,
                    "%d is not allowed: from 1 to the number of machines, %d", m->together.items[i],
                    m->count);
  for (size_t i = 0; i < m->boxes.count; i++) {
    if (has_box(fleet, m->boxes.items[i].text))
      continue;
    snprintf(key, sizeof key, "machines[%zu].boxes[%zu]", index, i);
    pc_faults_add(faults, PC_ERR_NAME, key, m->boxes.items[i].text, "there is no box \"%s\" in this fleet",
                  m->boxes.items[i].text);
  }
}

static void check_travel(const pc_fleet_travel *t, pc_faults *faults) {
  pc_fields_validate(&pc_fleet_travel_fields, t, "travel", faults);
  check_names(t->lots, t->lot_count, sizeof *t->lots, "travel.lots", faults);
  check_names(t->places.items, t->places.count, sizeof *t->places.items, "travel.places", faults);
  bool matrix = t->places.count > 0, positions = t->lot_count > 0 || t->has_yard;
  if (matrix && positions)
    pc_faults_add(faults, PC_ERR_KEY, "travel", NULL, "has both a matrix and positions; give one of them");
  if (matrix && !pc_names_have(&t->places, "yard"))
    pc_faults_add(faults, PC_ERR_MISSING, "travel.places", NULL,
                  "must have the yard among them, called yard");
  if (matrix != (t->time_s != NULL))
    pc_faults_add(faults, PC_ERR_MISSING, "travel", NULL, "needs places and minutes together, or neither");
  if (t->places.count > PC_FLEET_PLACES_MAX)
    pc_faults_add(faults, PC_ERR_LIMIT, "travel.places", NULL, "has %zu places; at most %d are allowed",
                  t->places.count, (int)PC_FLEET_PLACES_MAX);
  if (positions && isnan(t->speed_mps))
    pc_faults_add(faults, PC_ERR_MISSING, "travel.speed", NULL, "is required (mean speed on the road)");
  if (positions && !t->has_yard)
    pc_faults_add(faults, PC_ERR_MISSING, "travel.yard", NULL, "is required (where machines start, [x, y])");
  for (size_t i = 0; matrix && t->time_s && i < t->places.count * t->places.count; i++)
    if (!(t->time_s[i] >= 0.0) || isinf(t->time_s[i])) {
      pc_faults_add(faults, PC_ERR_RANGE, "travel.minutes", NULL, "must be 0 or more, from %s to %s too",
                    t->places.items[i / t->places.count].text, t->places.items[i % t->places.count].text);
      break;
    }
  for (size_t i = 0; i < t->lot_count; i++)
    if (!isfinite(t->lots[i].at.x_m) || !isfinite(t->lots[i].at.y_m)) {
      char key[PC_KEY_MAX];
      snprintf(key, sizeof key, "travel.lots[%zu].at", i);
      pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "is required (where the lot lies, [x, y])");
    }
}

static void check_money(const pc_fleet *fleet, pc_faults *faults) {
  pc_money_check_unusual(&fleet->money, faults);
  size_t m = 0;
  while (m < fleet->machine_count && !isnan(fleet->machines[m].cost_per_s))
    m++;
  if (m < fleet->machine_count && !isnan(pc_money_per_s(&fleet->money)) && pc_money_missing(&fleet->money)[0])
    pc_faults_caution(faults, "money", "the cost of machines that have none of their own is without %s",
                      pc_money_missing(&fleet->money));
}

void pc_fleet_validate(const pc_fleet *fleet, pc_faults *faults) {
  char key[PC_KEY_MAX];
  pc_fields_validate(&pc_fleet_fields, fleet, "", faults);
  pc_fields_validate(&pc_money_fields, &fleet->money, "money", faults);
  if (fleet->machine_count == 0)
    pc_faults_add(faults, PC_ERR_MISSING, "machines", NULL, "is required (at least one machine)");
  if (fleet->box_count == 0)
    pc_faults_add(faults, PC_ERR_MISSING, "boxes", NULL, "is required (at least one box)");
  if (fleet->machine_count > PC_FLEET_MAX || fleet->box_count > PC_FLEET_MAX)
    pc_faults_add(faults, PC_ERR_LIMIT, fleet->machine_count > PC_FLEET_MAX ? "machines" : "boxes", NULL,
                  "has too many kinds; at most %d are allowed", (int)PC_FLEET_MAX);
  check_names(fleet->machines, fleet->machine_count, sizeof *fleet->machines, "machines", faults);
  check_names(fleet->boxes, fleet->box_count, sizeof *fleet->boxes, "boxes", faults);
  for (size_t i = 0; i < fleet->machine_count; i++)
    check_machine(fleet, i, faults);
  for (size_t i = 0; i < fleet->box_count; i++) {
    snprintf(key, sizeof key, "boxes[%zu]", i);
    pc_fields_validate(&pc_fleet_box_fields, &fleet->boxes[i], key, faults);
    snprintf(key, sizeof key, "boxes[%zu].box", i);
    pc_box_validate(&fleet->boxes[i].box, key, faults);
    if (fleet->boxes[i].box.count != PC_BOX_COUNT_MAX) {
      snprintf(key, sizeof key, "boxes[%zu].box.count", i);
      pc_faults_caution(faults, key, "has no effect: how many there are says count beside the name");
    }
  }
  check_travel(&fleet->travel, faults);
  check_money(fleet, faults);
}

/* ---- ways ---- */

/* Ways by way of a third place, where that is quicker (Floyd 1962). */
static void close_ways(double *time_s, size_t n) {
  for (size_t k = 0; k < n; k++)
    for (size_t i = 0; i < n; i++)
      for (size_t j = 0; j < n; j++)
        time_s[i * n + j] = fmin(time_s[i * n + j], time_s[i * n + k] + time_s[k * n + j]);
}

/* `known`: structs that begin with their name. The fault gets the line of its key in the file of the fleet.
 */
static pc_status unknown(const pc_fleet *fleet, const char *name, const char *key, const void *known,
                         size_t count, size_t size, pc_faults *faults) {
  size_t before = faults->count;
  pc_text list = {0};
  for (size_t i = 0; i < count && list.length < PC_MESSAGE_MAX / 2; i++)
    pc_text_addf(&list, "%s\"%s\"", i > 0 ? ", " : "",
                 ((const pc_name *)(const void *)((const char *)known + i * size))->text);
  pc_status status = pc_faults_add(
      faults, PC_ERR_NAME, key, name, "has no place \"%s\", though a lot has that name; it has %s%s", name,
      list.data ? list.data : "none", list.length >= PC_MESSAGE_MAX / 2 ? ", …" : "");
  pc_text_free(&list);
  pc_origins_place(&fleet->origins, faults, before);
  return status;
}

static pc_status from_matrix(const pc_fleet *fleet, const pc_name *lots, size_t count, double *time_s,
                             pc_faults *faults) {
  const pc_fleet_travel *t = &fleet->travel;
  size_t n = t->places.count, *place = pc_alloc(count + 1, sizeof *place);
  double *all = pc_copy(t->time_s, n * n, sizeof *all);
  pc_status status = place && all ? PC_OK : PC_ERR_MEMORY;
  for (size_t i = 0; status != PC_ERR_MEMORY && i <= count; i++) {
    const char *name = i == 0 ? "yard" : lots[i - 1].text;
    place[i] = pc_name_find(t->places.items, n, sizeof *t->places.items, name);
    if (place[i] == n)
      status = unknown(fleet, name, "travel.places", t->places.items, n, sizeof *t->places.items, faults);
  }
  if (status == PC_OK) {
    for (size_t i = 0; i < n; i++)
      all[i * n + i] = 0.0;
    close_ways(all, n);
    for (size_t i = 0; i <= count; i++)
      for (size_t j = 0; j <= count; j++)
        time_s[i * (count + 1) + j] = all[place[i] * n + place[j]];
  }
  free(place);
  free(all);
  return status;
}

static pc_status from_positions(const pc_fleet *fleet, const pc_name *lots, size_t count, double *time_s,
                                pc_faults *faults) {
  const pc_fleet_travel *t = &fleet->travel;
  pc_status status = PC_OK;
  pc_point *at = pc_alloc(count + 1, sizeof *at);
  if (!at)
    return PC_ERR_MEMORY;
  at[0] = t->yard;
  for (size_t i = 0; i < count; i++) {
    size_t k = pc_name_find(t->lots, t->lot_count, sizeof *t->lots, lots[i].text);
    if (k == t->lot_count)
      status = unknown(fleet, lots[i].text, "travel.lots", t->lots, t->lot_count, sizeof *t->lots, faults);
    else
      at[i + 1] = t->lots[k].at;
  }
  for (size_t i = 0; i <= count; i++)
    for (size_t j = 0; j <= count; j++)
      time_s[i * (count + 1) + j] =
          t->detour * hypot(at[i].x_m - at[j].x_m, at[i].y_m - at[j].y_m) / t->speed_mps;
  free(at);
  return status;
}

pc_status pc_fleet_times(const pc_fleet *fleet, const pc_name *lots, size_t count, double *time_s,
                         pc_faults *faults) {
  const pc_fleet_travel *t = &fleet->travel;
  pc_status status = PC_OK;
  if (t->places.count > 0)
    status = from_matrix(fleet, lots, count, time_s, faults);
  else if (t->has_yard)
    status = from_positions(fleet, lots, count, time_s, faults);
  else
    memset(time_s, 0, (count + 1) * (count + 1) * sizeof *time_s);
  if (status == PC_OK)
    close_ways(time_s, count + 1); /* rounding, so that no way is longer than by a third place */
  return status;
}
