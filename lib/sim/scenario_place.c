// SPDX-License-Identifier: GPL-3.0-or-later
/* What `place` is asked for: its fields, and their faults. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "sim/scenario_private.h"

#define LENGTH(member, name, low, high, otherwise, text)                                                     \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_QUANTITY, .dimension = PC_DIM_LENGTH,                                    \
    .offset = offsetof(pc_placing, member), .min = (low), .max = (high), .fallback = (otherwise),            \
    .help = (text)                                                                                           \
  }
#define INTEGER(member, name, low, high, otherwise, text)                                                    \
  {                                                                                                          \
    .key = (name), .kind = PC_FIELD_INTEGER, .offset = offsetof(pc_placing, member), .min = (low),           \
    .max = (high), .fallback = (otherwise), .help = (text)                                                   \
  }

static const pc_field placing_items[] = {
    INTEGER(zones, "zones", 1, PC_PLACE_MAX, "3", "how many pile zones to choose"),
    LENGTH(length_m, "length", 2, 500, "40 m", "how long places that are generated are, along an outline"),
    LENGTH(width_m, "width", 2, 200, "10 m", "how wide they are, across it"),
    LENGTH(height_m, "height", 0.5, 50, "5 m", "how high a pile may grow there"),
    LENGTH(step_m, "step", 1, 500, "as short as leaves about 60 of them",
           "how far apart along an outline places are generated"),
    {.key = "allow",
     .kind = PC_FIELD_FLAG,
     .offset = offsetof(pc_placing, allow),
     .fallback = "false",
     .help = "true: places that good practice speaks against may be chosen too; those that a fire code or a "
             "law speaks against never are"},
    {.key = "off_areas",
     .kind = PC_FIELD_FLAG,
     .offset = offsetof(pc_placing, off_areas),
     .fallback = "false",
     .help = "true: no place is generated on an area that has to be cleared, only beside it"},
    INTEGER(simulations, "simulations", 0, 100000, "0: by the size of the lot",
            "how many choices of each number of zones are simulated"),
};

const pc_fields pc_placing_fields = {placing_items, sizeof placing_items / sizeof placing_items[0]};

pc_placing pc_placing_default(void) {
  return (pc_placing){.zones = 3, .length_m = 40.0, .width_m = 10.0, .height_m = 5.0, .step_m = NAN};
}

/* ---- checks ---- */

static void tell_unknown(const pc_scenario *s, const char *key, const char *name, pc_faults *faults) {
  const char *words[2 * PC_PARTS_MAX];
  size_t count = 0;
  for (size_t i = 0; i < s->zone_count && count < 2 * PC_PARTS_MAX; i++)
    words[count++] = s->zones[i].name.text;
  for (size_t i = 0; i < s->place.candidate_count && count < 2 * PC_PARTS_MAX; i++)
    words[count++] = s->place.candidates[i].name.text;
  const char *near = pc_nearest_word(name, words, count);
  pc_faults_add(faults, PC_ERR_NAME, key, name, "no zone or candidate is called \"%s\"%s%s%s", name,
                near ? "; did you mean \"" : "", near ? near : "", near ? "\"?" : "");
}

static void check_list(const pc_scenario *s, const char *list, const pc_names *wanted, bool words,
                       pc_faults *faults) {
  for (size_t i = 0; i < wanted->count; i++) {
    const char *name = wanted->items[i].text;
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "place.%s[%zu]", list, i);
    for (size_t j = 0; j < i; j++)
      if (pc_name_is(&wanted->items[j], name))
        pc_faults_add(faults, PC_ERR_NAME, key, name, "\"%s\" stands twice in this list", name);
    if (words && (strcmp(name, "all") == 0 || strcmp(name, "generated") == 0))
      continue;
    if (name[0] && !pc_scenario_place(s, name))
      tell_unknown(s, key, name, faults);
  }
}

void pc_scenario_check_place(const pc_scenario *s, pc_faults *faults) {
  const pc_placing usual = pc_placing_default();
  const pc_placing *place = &s->place;
  pc_fields_validate(&pc_placing_fields, place, "place", faults);
  pc_fields_check_defaults(&pc_placing_fields, place, &usual, "place", faults);
  if (place->candidate_count > PC_PARTS_MAX) {
    pc_faults_add(faults, PC_ERR_LIMIT, "place.candidates", NULL, "has %zu entries; at most %d are possible",
                  place->candidate_count, (int)PC_PARTS_MAX);
    return;
  }
  for (size_t i = 0; i < place->candidate_count; i++) {
    char key[PC_KEY_MAX];
    const pc_name *name = &place->candidates[i].name;
    snprintf(key, sizeof key, "place.candidates[%zu]", i);
    pc_zone_validate(&place->candidates[i], key, faults);
    bool twice = strcmp(name->text, "all") == 0 || strcmp(name->text, "generated") == 0;
    for (size_t j = 0; j < i; j++)
      twice |= pc_name_is(&place->candidates[j].name, name->text);
    snprintf(key, sizeof key, "place.candidates[%zu].name", i);
    if (twice)
      pc_faults_add(faults, PC_ERR_NAME, key, name->text,
                    "\"%s\" is the name of another candidate, or has a meaning of its own; names must differ",
                    name->text);
  }
  check_list(s, "among", &place->among, true, faults);
  check_list(s, "keep", &place->keep, false, faults);
  if (place->zones >= 1 && place->keep.count > (size_t)place->zones)
    pc_faults_add(faults, PC_ERR_RANGE, "place.keep", NULL, "names %zu places, but only %d are to be chosen",
                  place->keep.count, place->zones);
}
