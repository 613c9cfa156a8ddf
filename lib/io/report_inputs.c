// SPDX-License-Identifier: GPL-3.0-or-later
/* Every value of a scenario as tables. The field tables say what there is, so nothing is left out. */
#include <math.h>
#include <stdio.h>

#include "io/html.h"
#include "io/report_private.h"
#include "io/tables_private.h"

enum { ACROSS = 6 }; /* parts side by side in one table */

/* How values are shown. */
typedef struct manner {
  pc_unit_system units;
  const pc_clock *clock; /* when the work starts */
} manner;

static void add_quantity(pc_text *out, const pc_field *field, double value, const manner *how) {
  bool moment = field->moment && how->clock->given;
  if (moment)
    pc_text_addf(out, "%s (", pc_clock_show(how->clock, value).text);
  pc_html_add(out, pc_show(value, field->dimension, how->units, 4).text);
  pc_text_add(out, moment ? ")" : "");
}

static void add_value(pc_text *out, const pc_field *field, const void *object, const manner *how) {
  const char *at = (const char *)object + field->offset;
  bool word = field->word && *(const bool *)((const char *)object + field->word_offset);
  switch (field->kind) {
  case PC_FIELD_QUANTITY:
    if (word)
      pc_html_add(out, field->word);
    else if (!isnan(*(const double *)(const void *)at))
      add_quantity(out, field, *(const double *)(const void *)at, how);
    else {
      pc_text_add(out, "not given; ");
      pc_html_add(out, field->fallback ? field->fallback : "no default");
    }
    break;
  case PC_FIELD_INTEGER:
    pc_text_addf(out, "%d", *(const int *)(const void *)at);
    break;
  case PC_FIELD_NAME:
    pc_html_add(out, ((const pc_name *)(const void *)at)->text[0] ? ((const pc_name *)(const void *)at)->text
                                                                  : "–");
    break;
  case PC_FIELD_CHOICE:
    pc_html_add(out, field->choices[*(const int *)(const void *)at]);
    break;
  case PC_FIELD_FLAG:
    pc_text_add(out, *(const bool *)(const void *)at ? "yes" : "no");
    break;
  }
}

static void start_table(pc_text *out, const char *caption) {
  pc_text_add(out, "<div class=\"scroll\"><table>\n<caption>");
  pc_html_add(out, caption);
  pc_text_add(out, "</caption>\n");
}

static void end_table(pc_text *out) {
  pc_text_add(out, "</tbody>\n</table></div>\n");
}

static void start_row(pc_text *out, const char *key) {
  pc_text_add(out, "<tr><th scope=\"row\">");
  pc_html_add(out, key);
  pc_text_add(out, "</th>");
}

/* Parts of one kind side by side, a few to a table; a row for each field. */
static void add_parts(pc_text *out, const char *title, const pc_fields *fields, const void *items,
                      size_t size, size_t count, const manner *how) {
  for (size_t first = 0; first < count; first += ACROSS) {
    size_t end = first + ACROSS < count ? first + ACROSS : count;
    start_table(out, title);
    pc_text_add(out, "<thead><tr><th scope=\"col\">key</th>");
    for (size_t i = first; i < end; i++) {
      pc_text_add(out, "<th scope=\"col\">");
      const pc_field *name = pc_fields_find(fields, "name");
      if (name)
        add_value(out, name, (const char *)items + i * size, how);
      else
        pc_text_addf(out, "%s", count == 1 ? "value" : "");
      if (!name && count > 1)
        pc_text_addf(out, "%zu", i + 1);
      pc_text_add(out, "</th>");
    }
    pc_text_add(out, "</tr></thead>\n<tbody>\n");
    for (size_t k = 0; k < fields->count; k++) {
      if (fields->items[k].kind == PC_FIELD_NAME && pc_fields_find(fields, "name") == &fields->items[k])
        continue;
      start_row(out, fields->items[k].key);
      for (size_t i = first; i < end; i++) {
        pc_text_add(out, "<td>");
        add_value(out, &fields->items[k], (const char *)items + i * size, how);
        pc_text_add(out, "</td>");
      }
      pc_text_add(out, "</tr>\n");
    }
    end_table(out);
  }
}

static void add_names(pc_text *out, const pc_names *names, const char *none) {
  for (size_t i = 0; i < names->count; i++) {
    pc_text_add(out, i > 0 ? ", " : "");
    pc_html_add(out, names->items[i].text);
  }
  if (names->count == 0)
    pc_text_add(out, none);
}

static void add_layouts(pc_text *out, const pc_scenario *scenario) {
  if (scenario->layout_count == 0)
    return;
  start_table(out, "layouts");
  pc_text_add(out,
              "<thead><tr><th scope=\"col\">name</th><th scope=\"col\">zones</th></tr></thead>\n<tbody>\n");
  for (size_t i = 0; i < scenario->layout_count; i++) {
    start_row(out, scenario->layouts[i].name.text);
    pc_text_add(out, "<td>");
    add_names(out, &scenario->layouts[i].zones, "none");
    pc_text_add(out, "</td></tr>\n");
  }
  end_table(out);
}

/* Where machines may work: not in the field table, as it is a list. */
static void add_crew_areas(pc_text *out, const pc_scenario *scenario) {
  if (scenario->crew_count == 0)
    return;
  start_table(out, "areas of the crew");
  pc_text_add(out,
              "<thead><tr><th scope=\"col\">crew</th><th scope=\"col\">areas</th></tr></thead>\n<tbody>\n");
  for (size_t i = 0; i < scenario->crew_count; i++) {
    char number[24];
    snprintf(number, sizeof number, "%zu", i + 1);
    start_row(out, number);
    pc_text_add(out, "<td>");
    add_names(out, &scenario->crew[i].areas, "all");
    pc_text_add(out, "</td></tr>\n");
  }
  end_table(out);
}

/* Which boxes loaders can carry: a list, too. */
static void add_couplers(pc_text *out, const pc_scenario *scenario) {
  bool some = false;
  for (size_t i = 0; i < scenario->loader_count; i++)
    some |= scenario->loaders[i].boxes.count > 0;
  if (!some)
    return;
  start_table(out, "boxes that loaders take");
  pc_text_add(out,
              "<thead><tr><th scope=\"col\">loader</th><th scope=\"col\">boxes</th></tr></thead>\n<tbody>\n");
  for (size_t i = 0; i < scenario->loader_count; i++) {
    start_row(out, scenario->loaders[i].name.text);
    pc_text_add(out, "<td>");
    add_names(out, &scenario->loaders[i].boxes, "all");
    pc_text_add(out, "</td></tr>\n");
  }
  end_table(out);
}

/* Who may work and drive where: lists, too. */
static void add_access(pc_text *out, const pc_site *site) {
  size_t some = 0;
  for (size_t i = 0; i < site->area_count; i++)
    some += site->areas[i].loaders.count + site->areas[i].open_to.count;
  for (size_t i = 0; i < site->ground_count; i++)
    some += site->ground[i].open_to.count;
  if (some == 0)
    return;
  start_table(out, "loaders that may work and drive there");
  pc_text_add(out,
              "<thead><tr><th scope=\"col\">area or ground</th><th scope=\"col\">work: loaders</th>"
              "<th scope=\"col\">drive: open_to</th></tr></thead>\n<tbody>\n");
  for (size_t i = 0; i < site->area_count; i++) {
    start_row(out, site->areas[i].name.text);
    pc_text_add(out, "<td>");
    add_names(out, &site->areas[i].loaders, "all that may drive there");
    pc_text_add(out, "</td><td>");
    add_names(out, &site->areas[i].open_to, "all");
    pc_text_add(out, "</td></tr>\n");
  }
  for (size_t i = 0; i < site->ground_count; i++) {
    start_row(out, site->ground[i].name.text);
    pc_text_add(out, "<td>nothing is cleared</td><td>");
    add_names(out, &site->ground[i].open_to, "all");
    pc_text_add(out, "</td></tr>\n");
  }
  end_table(out);
}

static void add_counts(pc_text *out, const pc_site *site) {
  const struct {
    const char *noun;
    size_t count;
  } counts[] = {{"areas to be cleared", site->area_count},
                {"outlines of other pavement", site->ground_count},
                {"obstacles", site->obstacle_count},
                {"things to keep clear of", site->keep_clear_count},
                {"narrow passages", site->passage_count}};
  start_table(out, "site");
  pc_text_add(out, "<tbody>\n");
  for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
    start_row(out, counts[i].noun);
    pc_text_addf(out, "<td class=\"number\">%zu</td></tr>\n", counts[i].count);
  }
  end_table(out);
}

void pc_report_inputs(const pc_scenario *s, pc_unit_system units, pc_text *out) {
  enum { STORM_SHOWN = 48 };
  const manner how = {units, &s->clock};
  size_t storm = s->storm_count < STORM_SHOWN ? s->storm_count : STORM_SHOWN;
  pc_text_add(out,
              "<p>Keys are those of the scenario file; the starter (<code>pushcycle new</code>) explains "
              "them.</p>\n");
  if (s->clock.given)
    pc_text_addf(out, "<p>The work starts at %s (<code>starts_at</code>).</p>\n",
                 pc_clock_show(&s->clock, 0).text);
  add_parts(out, "general", &pc_scenario_fields, s, sizeof *s, 1, &how);
  add_parts(out, "snow", &pc_snow_fields, &s->snow, sizeof s->snow, 1, &how);
  add_parts(out, "storm", &pc_storm_fields, s->storm, sizeof *s->storm, storm, &how);
  if (storm < s->storm_count)
    pc_text_addf(out, "<p>and %zu more pieces of the storm.</p>\n", s->storm_count - storm);
  add_counts(out, &s->site);
  add_parts(out, "areas", &pc_area_fields, s->site.areas, sizeof *s->site.areas, s->site.area_count, &how);
  add_access(out, &s->site);
  add_parts(out, "boxes", &pc_box_fields, s->boxes, sizeof *s->boxes, s->box_count, &how);
  add_parts(out, "loaders", &pc_loader_fields, s->loaders, sizeof *s->loaders, s->loader_count, &how);
  add_couplers(out, s);
  add_parts(out, "zones", &pc_zone_fields, s->zones, sizeof *s->zones, s->zone_count, &how);
  add_layouts(out, s);
  add_parts(out, "crew", &pc_crew_fields, s->crew, sizeof *s->crew, s->crew_count, &how);
  add_crew_areas(out, s);
  add_parts(out, "chance", &pc_chance_fields, &s->chance, sizeof s->chance, 1, &how);
  add_parts(out, "money", &pc_money_fields, &s->money, sizeof s->money, 1, &how);
  add_parts(out, "near", &pc_near_fields, &s->near, sizeof s->near, 1, &how);
  add_parts(out, "siting", &pc_siting_fields, &s->siting, sizeof s->siting, 1, &how);
}
