// SPDX-License-Identifier: GPL-3.0-or-later
/* Siting findings: gathered over layouts, and as text. */
#include "io/tables_siting.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/tables_private.h"
#include "site/piles.h"

/* ---- gathering ---- */

typedef struct chosen {
  const char *layout;
  size_t layout_index;
  const pc_zone **zones;
  double *capacity_m3;
  size_t *index; /* in the scenario */
  size_t count;
} chosen;

/* The layout's zones in its order; without layouts every zone. */
static pc_status choose(const pc_scenario *scenario, const char *layout, chosen *out) {
  const pc_layout *found = scenario->layout_count > 0 ? &scenario->layouts[0] : NULL;
  if (found && layout && !(found = pc_scenario_layout(scenario, layout)))
    return PC_ERR_NAME;
  out->layout = found ? found->name.text : "all zones";
  out->layout_index = found ? (size_t)(found - scenario->layouts) : 0;
  out->count = found ? found->zones.count : scenario->zone_count;
  out->zones = pc_alloc(out->count, sizeof *out->zones);
  out->index = pc_alloc(out->count, sizeof *out->index);
  out->capacity_m3 = pc_alloc(out->count, sizeof *out->capacity_m3);
  if (!out->zones || !out->index || !out->capacity_m3)
    return PC_ERR_MEMORY;
  for (size_t i = 0; i < out->count; i++) {
    out->zones[i] = found ? pc_scenario_zone(scenario, found->zones.items[i].text) : &scenario->zones[i];
    if (!out->zones[i])
      return PC_ERR_NAME;
    out->index[i] = (size_t)(out->zones[i] - scenario->zones);
    pc_status status =
        pc_zone_capacity_m3(out->zones[i], scenario->snow.repose_angle_rad, &out->capacity_m3[i]);
    if (status != PC_OK)
      return status;
  }
  return PC_OK;
}

static bool is_of_layout(const pc_siting_finding *finding) {
  return finding->rule == PC_SITING_CUT || finding->rule == PC_SITING_NARROW;
}

/* `seen`: an earlier layout has the zone. What a zone is near to does not depend on the layout; what ways it
 * leaves may, but is told once. */
static bool is_known(const pc_siting_report *report, const pc_siting_finding *finding, const char *zone,
                     bool seen) {
  if (!seen)
    return false;
  if (!is_of_layout(finding))
    return true;
  for (size_t i = 0; i < report->count; i++)
    if (report->items[i].finding.rule == finding->rule && pc_name_is(&report->items[i].zone, zone))
      return true;
  return false;
}

static pc_status append(pc_siting_report *report, const pc_siting_entry *entry) {
  void *items = report->items;
  if (pc_reserve(&items, &report->capacity, report->count + 1, sizeof *entry) != 0)
    return PC_ERR_MEMORY;
  report->items = items;
  report->items[report->count++] = *entry;
  return PC_OK;
}

/* By severity and rule, otherwise in the order found. */
static pc_status sort_entries(pc_siting_report *report) {
  pc_siting_entry *sorted = pc_alloc(report->count, sizeof *sorted);
  if (!sorted)
    return PC_ERR_MEMORY;
  size_t next = 0;
  for (int severity = 0; severity < PC_SITING_SEVERITY_COUNT; severity++)
    for (int rule = 0; rule < PC_SITING_RULE_COUNT; rule++)
      for (size_t i = 0; i < report->count; i++)
        if (report->items[i].finding.severity == severity && report->items[i].finding.rule == rule)
          sorted[next++] = report->items[i];
  free(report->items);
  report->items = sorted;
  report->capacity = report->count;
  return PC_OK;
}

static pc_status gather(pc_siting_report *report, const chosen *layout, const pc_siting_list *found) {
  pc_status status = PC_OK;
  for (size_t i = 0; i < found->count && status == PC_OK; i++) {
    const pc_siting_finding *finding = &found->items[i];
    bool all = finding->zone == PC_SITING_ALL;
    const char *zone = all ? "" : layout->zones[finding->zone]->name.text;
    if (is_known(report, finding, zone, !all && report->seen[layout->index[finding->zone]]))
      continue;
    pc_siting_entry entry = {pc_name_of(layout->layout), layout->layout_index, pc_name_of(zone), *finding};
    if (!all)
      entry.finding.zone = layout->index[finding->zone];
    status = append(report, &entry);
  }
  for (size_t i = 0; i < layout->count; i++)
    report->seen[layout->index[i]] = true;
  return status == PC_OK ? sort_entries(report) : status;
}

pc_status pc_siting_report_add(pc_siting_report *report, const pc_scenario *scenario, const char *layout,
                               double need_m3) {
  chosen wanted = {0};
  pc_siting_list found = {0};
  if (!report->seen)
    report->seen = pc_alloc(scenario->zone_count, sizeof *report->seen);
  pc_status status = report->seen ? choose(scenario, layout, &wanted) : PC_ERR_MEMORY;
  if (status == PC_OK)
    status = pc_siting_check(&scenario->site, wanted.zones, wanted.count, &scenario->siting, need_m3,
                             wanted.capacity_m3, &found);
  if (status == PC_OK)
    status = gather(report, &wanted, &found);
  pc_siting_free(&found);
  free(wanted.zones);
  free(wanted.index);
  free(wanted.capacity_m3);
  return status;
}

void pc_siting_report_free(pc_siting_report *report) {
  if (!report)
    return;
  free(report->items);
  free(report->seen);
  *report = (pc_siting_report){0};
}

/* ---- text ---- */

static const char *zone_or_layout(const pc_siting_entry *entry) {
  return entry->finding.zone == PC_SITING_ALL ? entry->layout.text : entry->zone.text;
}

void pc_siting_tell(const pc_siting_entry *entry, pc_unit_system system, pc_text *out) {
  pc_siting_describe(&entry->finding, zone_or_layout(entry), system, out);
}

void pc_tables_siting(const pc_siting_report *report, size_t most, pc_unit_system system, pc_text *out) {
  if (report->count == 0)
    return;
  pc_text_add(out, "\nWhere the piles would lie\n");
  for (size_t i = 0; i < report->count && i < most; i++) {
    const pc_siting_entry *entry = &report->items[i];
    pc_text_addf(out, "  %s: ", pc_siting_severity_name(entry->finding.severity));
    pc_siting_tell(entry, system, out);
    pc_text_addf(out, " (%s)\n", entry->finding.source);
  }
  if (report->count > most)
    pc_text_addf(out, "  and %zu more: see `pushcycle check`\n", report->count - most);
}

static pc_shown length_or_dash(double length_m, pc_unit_system system) {
  pc_shown nothing = {"-"};
  return isnan(length_m) ? nothing : pc_show(length_m, PC_DIM_LENGTH, system, 3);
}

static pc_shown say_what(const pc_siting_finding *f, pc_unit_system system) {
  pc_shown shown;
  const char *name = pc_siting_rule_name(f->rule);
  if (f->rule == PC_SITING_ROOM)
    snprintf(shown.text, sizeof shown.text, "room: holds %.30s of %.30s, %.30s to haul off",
             pc_show(f->room_m3, PC_DIM_VOLUME, system, 3).text,
             pc_show(f->need_m3, PC_DIM_VOLUME, system, 3).text,
             pc_show(f->need_m3 - f->room_m3, PC_DIM_VOLUME, system, 3).text);
  else if (f->rule == PC_SITING_PAVEMENT && !isnan(f->area_m2))
    snprintf(shown.text, sizeof shown.text, "beyond the pavement: %.40s",
             pc_show(f->area_m2, PC_DIM_AREA, system, 3).text);
  else if (f->rule == PC_SITING_CUT)
    snprintf(shown.text, sizeof shown.text, "cuts the pavement into parts");
  else if (f->rule == PC_SITING_NARROW)
    snprintf(shown.text, sizeof shown.text, "narrows the ways over the pavement");
  else
    snprintf(shown.text, sizeof shown.text, "%s%s%.63s%s", name, f->thing.text[0] ? " \"" : "", f->thing.text,
             f->thing.text[0] ? "\"" : "");
  return shown;
}

void pc_tables_siting_table(const pc_siting_report *report, pc_unit_system system, pc_text *out) {
  if (report->count == 0)
    return;
  pc_table table;
  pc_table_start(&table, "lllrrl");
  pc_table_heading(&table, "where the piles would lie|zone|what|distance|limit|source");
  for (size_t i = 0; i < report->count; i++) {
    const pc_siting_finding *f = &report->items[i].finding;
    pc_table_cell(&table, "%s", pc_siting_severity_name(f->severity));
    pc_table_cell(&table, "%s%s", f->zone == PC_SITING_ALL ? "all of layout " : "",
                  zone_or_layout(&report->items[i]));
    pc_table_cell(&table, "%s", say_what(f, system).text);
    pc_table_cell(&table, "%s",
                  !isnan(f->area_m2) && f->rule != PC_SITING_PAVEMENT
                      ? "on it"
                      : length_or_dash(f->distance_m, system).text);
    pc_table_cell(&table, "%s", length_or_dash(f->limit_m, system).text);
    pc_table_cell(&table, "%s", f->source);
  }
  pc_table_write(&table, out);
  pc_table_free(&table);
}
