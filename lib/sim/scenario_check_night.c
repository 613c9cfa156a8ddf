// SPDX-License-Identifier: GPL-3.0-or-later
/* The part of pc_scenario_validate that is about time: the order of the areas, shifts and breaks, the storm,
 * crews to compare. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "sim/scenario_private.h"

/* Areas further apart than this do not touch: snow is not pushed from one straight into the other. */
static const double touch_m = 2.0;

static void area_key(char key[PC_KEY_MAX], size_t index, const char *rest) {
  snprintf(key, PC_KEY_MAX, "site.areas[%zu].%s", index, rest);
}

static size_t find_area(const pc_site *site, const char *name) {
  return pc_name_find(site->areas, site->area_count, sizeof *site->areas, name);
}

/* The area that this one's snow goes into, or area_count if there is none. */
static size_t next_into(const pc_site *site, size_t index) {
  const pc_name *into = &site->areas[index].into;
  return into->text[0] ? find_area(site, into->text) : site->area_count;
}

/* An area before this one that is still open, or area_count. */
static size_t open_before(const pc_site *site, size_t index, const bool *done) {
  const pc_names *after = &site->areas[index].after;
  for (size_t i = 0; i < after->count; i++) {
    size_t area = find_area(site, after->items[i].text);
    if (area < site->area_count && area != index && !done[area])
      return area;
  }
  return site->area_count;
}

/* Areas that wait for each other would never open. `done` has room for every area. */
static void check_order(const pc_site *site, bool *done, pc_faults *faults) {
  size_t left = site->area_count, before = left + 1;
  while (left > 0 && left < before) {
    before = left;
    for (size_t i = 0; i < site->area_count; i++) {
      if (!done[i] && open_before(site, i, done) == site->area_count) {
        done[i] = true;
        left--;
      }
    }
  }
  if (left == 0)
    return;
  size_t at = 0;
  while (done[at])
    at++;
  for (size_t i = 0; i < site->area_count; i++) /* each step back stays among the open ones: ends in a ring */
    at = open_before(site, at, done);
  size_t first = at;
  for (size_t i = open_before(site, at, done); i != at; i = open_before(site, i, done))
    first = i < first ? i : first;
  pc_text ring = {0};
  size_t i = first;
  do {
    pc_text_addf(&ring, "\"%s\" after ", site->areas[i].name.text);
    i = open_before(site, i, done);
  } while (i != first && ring.length < PC_MESSAGE_MAX / 2);
  char key[PC_KEY_MAX];
  area_key(key, first, "after");
  pc_faults_add(faults, PC_ERR_KEY, key, NULL,
                "areas wait for each other, so none of them ever opens: %s\"%s\"", ring.data ? ring.data : "",
                site->areas[i].name.text);
  pc_text_free(&ring);
}

static void check_into_ends(const pc_site *site, pc_faults *faults) {
  for (size_t first = 0; first < site->area_count; first++) {
    size_t steps = 0, least = first, at = next_into(site, first);
    while (at < site->area_count && at != first && steps++ < site->area_count) {
      least = at < least ? at : least;
      at = next_into(site, at);
    }
    if (at != first || least < first || next_into(site, first) == first) /* told once, at the first of them */
      continue;
    char key[PC_KEY_MAX];
    area_key(key, first, "into");
    pc_faults_add(faults, PC_ERR_KEY, key, site->areas[first].into.text,
                  "its snow comes back to it by way of \"%s\": one area of the round has to go to the zones",
                  site->areas[first].into.text);
  }
}

static void check_touches(const pc_site *site, size_t index, size_t into, const bool *sound,
                          pc_faults *faults) {
  double distance;
  if (!sound[index] || !sound[into] ||
      pc_rings_distance(&site->areas[index].outline, &site->areas[into].outline, &distance) != PC_OK ||
      !(distance > touch_m))
    return;
  char key[PC_KEY_MAX], far[40];
  area_key(key, index, "into");
  pc_units_print(far, sizeof far, distance, PC_DIM_LENGTH, faults->units, 3);
  pc_faults_caution(faults, key, "\"%s\" lies %s away: the snow has to be carried there over other ground",
                    site->areas[into].name.text, far);
}

/* True if a machine of the crew is of one of the loaders that may work the area, and the area is one of
 * its. */
static bool has_worker(const pc_scenario *s, const pc_area *area) {
  if (s->crew_count == 0)
    return s->loader_count != 1 || pc_area_takes(area, s->loaders[0].name.text);
  for (size_t i = 0; i < s->crew_count; i++)
    if (pc_crew_may_work(&s->crew[i], s->crew[i].loader.text, area))
      return true;
  return false;
}

static void check_area(const pc_scenario *s, const pc_rolls *names, size_t index, const bool *sound,
                       pc_faults *faults) {
  const pc_area *area = &s->site.areas[index];
  char key[PC_KEY_MAX];
  area_key(key, index, "after");
  pc_roll_refer_list(&names->areas, key, &area->after, PC_LIST_NAMES, faults);
  if (area->name.text[0] && pc_names_have(&area->after, area->name.text))
    pc_faults_add(faults, PC_ERR_KEY, key, area->name.text, "area \"%s\" waits for itself", area->name.text);
  area_key(key, index, "loaders");
  size_t before = pc_faults_fatal(faults);
  pc_roll_refer_list(&names->loaders, key, &area->loaders, PC_LIST_NAMES, faults);
  area_key(key, index, "open_to");
  pc_roll_refer_list(&names->loaders, key, &area->open_to, PC_LIST_NAMES, faults);
  if (area->loaders.count > 0)
    area_key(key, index, "loaders");
  if (area->loaders.count + area->open_to.count > 0 && pc_faults_fatal(faults) == before &&
      !has_worker(s, area))
    pc_faults_caution(faults, key, "no machine of the crew may work this area: its snow will be left");
  area_key(key, index, "into");
  if (area->into.text[0]) {
    size_t into = pc_roll_refer(&names->areas, key, area->into.text, faults);
    if (into == index)
      pc_faults_add(faults, PC_ERR_KEY, key, area->into.text,
                    "snow cannot be carried from \"%s\" into itself", area->into.text);
    else if (into < s->site.area_count)
      check_touches(&s->site, index, into, sound, faults);
  }
  area_key(key, index, "clear_by");
  if (area->clear_by_s > 0 && area->clear_by_s <= area->opens_s)
    pc_faults_add(faults, PC_ERR_RANGE, key, NULL, "is not after the area opens");
  area_key(key, index, "sweep_before");
  if (area->sweep_before_s > 0.0 && isnan(area->clear_by_s))
    pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "needs a deadline (clear_by) to be before");
  else if (area->sweep_before_s > 0.0 && (s->storm_count == 0 || !(s->snow.trigger_m > s->snow.done_below_m)))
    pc_faults_caution(faults, key, "has no effect: all snow is pushed anyhow where %s",
                      s->storm_count == 0       ? "none falls during the work"
                      : s->snow.trigger_m > 0.0 ? "snow.trigger is no deeper than snow.done_below"
                                                : "snow.trigger is not given");
}

static void check_areas(const pc_scenario *s, const pc_rolls *names, const bool *sound, pc_faults *faults) {
  for (size_t i = 0; i < s->site.area_count; i++)
    check_area(s, names, i, sound, faults);
  bool *done = pc_alloc(s->site.area_count, sizeof *done);
  if (done)
    check_order(&s->site, done, faults);
  else
    pc_faults_add(faults, PC_ERR_MEMORY, "site.areas", NULL,
                  "out of memory: the order of areas was not checked");
  free(done);
  check_into_ends(&s->site, faults);
}

static void check_shift(const pc_crew_entry *entry, size_t index, pc_faults *faults) {
  const pc_crew_entry defaults = pc_crew_entry_default();
  char prefix[PC_KEY_MAX], key[PC_KEY_MAX];
  snprintf(prefix, sizeof prefix, "crew[%zu]", index);
  pc_fields_check_defaults(&pc_crew_fields, entry, &defaults, prefix, faults);
  if (entry->until_s > 0 && entry->until_s <= entry->from_s) {
    snprintf(key, sizeof key, "crew[%zu].until", index);
    pc_faults_add(faults, PC_ERR_RANGE, key, NULL, "must be later than from");
  }
  if (isnan(entry->break_every_s) != isnan(entry->break_for_s)) {
    snprintf(key, sizeof key, "crew[%zu].breaks.%s", index, isnan(entry->break_for_s) ? "for" : "every");
    pc_faults_add(faults, PC_ERR_MISSING, key, NULL,
                  "is missing: breaks.every and breaks.for work only together; give both, or none");
  }
}

/* What falls has to have a density that snow can have, and pushing must not make it lighter. */
static void check_piece_density(const pc_scenario *s, size_t index, pc_faults *faults) {
  const pc_storm_piece *piece = &s->storm[index];
  const pc_field *field = pc_fields_find(&pc_snow_fields, "fresh_density");
  if (isnan(piece->temperature_c) || !(piece->rate_mps > 0) || s->snow.density_formula < 0 ||
      s->snow.density_formula >= PC_DENSITY_FORMULA_COUNT)
    return;
  char key[PC_KEY_MAX], shown[32], allowed[80], most[32];
  double density = pc_storm_piece_density(piece, &s->snow);
  snprintf(key, sizeof key, "storm[%zu].temperature", index);
  pc_units_print(shown, sizeof shown, density, PC_DIM_DENSITY, faults->units, 4);
  if (field && !(density >= field->min && density <= field->max)) {
    pc_field_print_range(field, faults->units, allowed, sizeof allowed);
    pc_faults_add(faults, PC_ERR_RANGE, key, shown,
                  "gives a fresh density of %s, outside %s; choose another snow.density_formula", shown,
                  allowed);
  } else if (density > s->snow.pushed_density_kgpm3) {
    pc_units_print(most, sizeof most, s->snow.pushed_density_kgpm3, PC_DIM_DENSITY, faults->units, 4);
    pc_faults_add(faults, PC_ERR_RANGE, key, shown,
                  "gives a fresh density of %s, more than snow.pushed_density (%s); snow gets denser from "
                  "ground to box to pile",
                  shown, most);
  }
}

/* "1:30 am (4 h after the start)". */
static pc_name told_moment(const pc_scenario *s, double after_s, pc_unit_system units) {
  pc_name told;
  pc_shown after = pc_show(after_s, PC_DIM_TIME, units, 4);
  if (s->clock.given)
    snprintf(told.text, sizeof told.text, "%.24s (%.20s after the start)",
             pc_clock_show(&s->clock, after_s).text, after.text);
  else
    snprintf(told.text, sizeof told.text, "%.40s", after.text);
  return told;
}

static void check_sequence(const pc_scenario *s, size_t index, pc_faults *faults) {
  double own_s = s->storm[index].after_s, before_s = s->storm[index - 1].after_s;
  char key[PC_KEY_MAX];
  if (own_s > before_s || !isfinite(own_s) || !isfinite(before_s))
    return;
  snprintf(key, sizeof key, "storm[%zu].after", index);
  pc_faults_add(faults, PC_ERR_RANGE, key, NULL,
                "must be later than that of the piece before it: %s is not after %s",
                told_moment(s, own_s, faults->units).text, told_moment(s, before_s, faults->units).text);
}

/* A trigger that all the snow of the night does not come up to may be a slip. */
static void check_trigger(const pc_scenario *s, pc_faults *faults) {
  double deep_m = s->snow.depth_m + pc_storm_depth_m(s->storm, s->storm_count);
  if (!(s->snow.trigger_m > 0.0 && s->snow.trigger_m > deep_m * (1.0 + 1e-9)))
    return;
  if (s->storm_count == 0)
    pc_faults_caution(faults, "snow.trigger",
                      "has no effect: none falls during the work (no storm is given), so it begins at once");
  else
    pc_faults_caution(faults, "snow.trigger",
                      "%s is never reached: %s lie at the start and fall; so work begins only when the storm "
                      "ends, or for a deadline (sweep_before)",
                      pc_show_depth(s->snow.trigger_m, faults->units).text,
                      pc_show_depth(deep_m, faults->units).text);
}

static void check_storm(const pc_scenario *s, pc_faults *faults) {
  const pc_storm_piece defaults = pc_storm_piece_default();
  for (size_t i = 0; i < s->storm_count; i++) {
    char prefix[PC_KEY_MAX];
    snprintf(prefix, sizeof prefix, "storm[%zu]", i);
    size_t before = pc_faults_fatal(faults);
    pc_fields_validate(&pc_storm_fields, &s->storm[i], prefix, faults);
    pc_fields_check_defaults(&pc_storm_fields, &s->storm[i], &defaults, prefix, faults);
    if (!(s->storm[i].rain_mps >= 0 && isfinite(s->storm[i].rain_mps)))
      pc_faults_add(faults, PC_ERR_RANGE, prefix, NULL, "has rain of no possible amount");
    if (pc_faults_fatal(faults) == before)
      check_piece_density(s, i, faults);
    if (i > 0)
      check_sequence(s, i, faults);
  }
  if (s->storm_count > 0 && s->storm[s->storm_count - 1].rate_mps > 0) {
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "storm[%zu].rate", s->storm_count - 1);
    pc_faults_add(faults, PC_ERR_RANGE, key, NULL,
                  "would fall for ever: end the storm with a piece of rate %s",
                  faults->units == PC_US ? "0 in/h" : "0 cm/h");
  }
  check_trigger(s, faults);
}

static void check_crews(const pc_counts *crews, pc_faults *faults) {
  for (size_t i = 0; i < crews->count; i++) {
    char key[PC_KEY_MAX], shown[16];
    snprintf(key, sizeof key, "compare.crews[%zu]", i);
    snprintf(shown, sizeof shown, "%d", crews->items[i]);
    size_t twin = 0;
    while (crews->items[twin] != crews->items[i])
      twin++;
    if (crews->items[i] < 1 || crews->items[i] > PC_CREW_MAX)
      pc_faults_add(faults, PC_ERR_RANGE, key, shown, "%s is outside what is allowed: 1 … %d", shown,
                    (int)PC_CREW_MAX);
    else if (twin < i)
      pc_faults_add(faults, PC_ERR_KEY, key, shown, "%s stands twice in this list", shown);
  }
}

void pc_scenario_check_night(const pc_scenario *scenario, const pc_rolls *names, const bool *sound_areas,
                             pc_faults *faults) {
  check_areas(scenario, names, sound_areas, faults);
  for (size_t i = 0; i < scenario->crew_count; i++)
    check_shift(&scenario->crew[i], i, faults);
  check_storm(scenario, faults);
  check_crews(&scenario->compare.crews, faults);
}
