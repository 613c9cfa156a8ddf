// SPDX-License-Identifier: GPL-3.0-or-later
/* What pc_scenario_validate says of areas that are for some loaders only, to work or to drive on at all. */
#include <stdio.h>

#include "sim/scenario_private.h"

/* Who is to work there has to get in. */
static void check_workers(const pc_area *area, size_t index, pc_faults *faults) {
  for (size_t i = 0; i < area->loaders.count; i++) {
    char key[PC_KEY_MAX];
    const char *loader = area->loaders.items[i].text;
    snprintf(key, sizeof key, "site.areas[%zu].loaders[%zu]", index, i);
    if (!pc_is_open_to(&area->open_to, loader))
      pc_faults_add(faults, PC_ERR_NAME, key, loader, "\"%s\" may not drive in this area (its open_to)",
                    loader);
  }
}

/* Who may work nowhere stands all night. */
static void check_idle(const pc_scenario *s, size_t index, pc_faults *faults) {
  const pc_crew_entry *entry = &s->crew[index];
  for (size_t a = 0; a < s->site.area_count; a++)
    if (pc_crew_may_work(entry, entry->loader.text, &s->site.areas[a]))
      return;
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "crew[%zu]", index);
  pc_faults_caution(faults, key,
                    "\"%s\" may work none of %s areas (their loaders, open_to): it stands all night",
                    entry->loader.text, entry->areas.count > 0 ? "its" : "the");
}

/* One loader that works an area whose snow it carries into another. */
static void check_carrier(const pc_scenario *s, size_t index, size_t into, const pc_crew_entry *entry,
                          pc_faults *faults) {
  const pc_area *from = &s->site.areas[index], *to = &s->site.areas[into];
  const pc_box *box = pc_scenario_box(s, entry->box.text);
  if (!pc_crew_may_work(entry, entry->loader.text, from) || !box || box->blade != PC_BLADE_NONE ||
      pc_is_open_to(&to->open_to, entry->loader.text))
    return;
  char key[PC_KEY_MAX];
  snprintf(key, sizeof key, "site.areas[%zu].into", index);
  pc_faults_add(faults, PC_ERR_KEY, key, to->name.text,
                "\"%s\" works here, but may not drive into \"%s\" (open_to of that area)", entry->loader.text,
                to->name.text);
}

static void check_into(const pc_scenario *s, size_t index, pc_faults *faults) {
  const pc_name *into = &s->site.areas[index].into;
  size_t to = pc_name_find(s->site.areas, s->site.area_count, sizeof *s->site.areas, into->text);
  if (!into->text[0] || to == s->site.area_count || to == index)
    return;
  for (size_t c = 0; c < s->crew_count; c++) {
    size_t before = pc_faults_fatal(faults);
    check_carrier(s, index, to, &s->crew[c], faults);
    if (pc_faults_fatal(faults) > before)
      return;
  }
}

/* A machine that stands where it may not drive. Areas are whole, whatever ground they lie on. */
static void check_stand(const pc_scenario *s, const bool *sound, pc_point at, const char *key,
                        const char *loader, pc_faults *faults) {
  const char *closed = NULL;
  for (size_t i = 0; i < pc_site_pavement_count(&s->site); i++) {
    pc_pavement pavement = pc_site_pavement_at(&s->site, i);
    if (!sound[i] || !pc_ring_contains(pavement.outline, at))
      continue;
    bool open = pc_is_open_to(pavement.open_to, loader);
    if (pavement.is_area && open)
      return;
    if (!open && !closed)
      closed = pavement.name;
  }
  if (closed)
    pc_faults_add(faults, PC_ERR_GEOMETRY, key, closed,
                  "lies in \"%s\", where \"%s\" may not drive (its open_to)", closed, loader);
}

void pc_scenario_check_open(const pc_scenario *s, const pc_rolls *names, const bool *sound,
                            pc_faults *faults) {
  char key[PC_KEY_MAX];
  for (size_t i = 0; i < s->site.area_count; i++) {
    check_workers(&s->site.areas[i], i, faults);
    check_into(s, i, faults);
  }
  for (size_t i = 0; i < s->site.ground_count; i++) {
    snprintf(key, sizeof key, "site.ground[%zu].open_to", i);
    pc_roll_refer_list(&names->loaders, key, &s->site.ground[i].open_to, PC_LIST_NAMES, faults);
  }
  for (size_t c = 0; c < s->crew_count; c++) {
    if (pc_faults_fatal(faults) == 0) /* what is wrong comes first */
      check_idle(s, c, faults);
    snprintf(key, sizeof key, "crew[%zu].start", c);
    if (s->crew[c].has_start)
      check_stand(s, sound, s->crew[c].start, key, s->crew[c].loader.text, faults);
    if (s->has_fuel_point)
      check_stand(s, sound, s->fuel_point, "fuel_point", s->crew[c].loader.text, faults);
  }
}
