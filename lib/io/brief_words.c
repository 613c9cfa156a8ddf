// SPDX-License-Identifier: GPL-3.0-or-later
/* The words of the brief. What machines need before and during the work is common practice, no source; what
 * has one names it. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "io/brief_private.h"
#include "io/tables_private.h"
#include "sim/policy.h"

const char pc_brief_foot[] =
    "A planning aid: times are simulated, the night decides. Local codes and licensed practice decide where "
    "snow may "
    "be piled and how machines are worked near people.";

static const pc_type head_type = {.size = 9, .bold = true, .lines = 1};

void pc_brief_head(pc_column *column, const char *words) {
  pc_column_gap(column, 5);
  pc_column_add(column, &head_type, 0, words);
}

/* ---- numbers over all nights ---- */

typedef enum figure { FIGURE_HOURS, FIGURE_LOADS } figure;

static pc_statistic statistic_of(pc_canvas *canvas, const pc_brief_content *content, size_t machine,
                                 figure wanted) {
  size_t count = content->summary->replications;
  double *values = pc_alloc(count, sizeof *values);
  if (!values) {
    pc_canvas_fail(canvas);
    return (pc_statistic){0};
  }
  for (size_t r = 0; r < count; r++) {
    const pc_machine_result *result = &content->results[r].machines[machine];
    for (int p = 0; p < PC_PHASE_COUNT && wanted == FIGURE_HOURS; p++)
      values[r] += p == PC_PHASE_IDLE ? 0 : result->time_s[p];
    if (wanted == FIGURE_LOADS)
      values[r] = result->cycles;
  }
  pc_statistic found = pc_statistic_of(values, count, 0.95);
  free(values);
  return found;
}

pc_statistic pc_brief_hours(pc_canvas *canvas, const pc_brief_content *content, size_t machine) {
  return statistic_of(canvas, content, machine, FIGURE_HOURS);
}

pc_statistic pc_brief_loads(pc_canvas *canvas, const pc_brief_content *content, size_t machine) {
  return statistic_of(canvas, content, machine, FIGURE_LOADS);
}

static pc_shown show_loads(const pc_statistic *loads) {
  pc_shown shown;
  if (loads->max > loads->min)
    snprintf(shown.text, sizeof shown.text, "%.0f to %.0f loads", loads->min, loads->max);
  else
    snprintf(shown.text, sizeof shown.text, "%.0f load%s", loads->mean, loads->mean == 1 ? "" : "s");
  return shown;
}

/* ---- what to expect ---- */

/* Parts of sentences; empty where nobody knows when the work starts. */
static pc_shown done_at(const pc_lot *lot, double time_s) {
  pc_shown shown = {{0}};
  if (lot->clock.given)
    snprintf(shown.text, sizeof shown.text, ", at %.60s", pc_clock_show(&lot->clock, time_s).text);
  return shown;
}

static pc_shown done_between(const pc_lot *lot, const pc_statistic *time_s) {
  pc_shown shown = {{0}};
  if (lot->clock.given)
    snprintf(shown.text, sizeof shown.text, "done from %.40s to %.40s; ",
             pc_clock_show(&lot->clock, time_s->min).text, pc_clock_show(&lot->clock, time_s->max).text);
  return shown;
}

/* Who sets the time. */
static void add_ends(pc_column *column, const pc_lot *lot, const pc_summary *summary) {
  pc_text words = {0};
  pc_tables_run_ends(lot, summary, &words);
  if (words.length > 0) {
    words.data[--words.length] = '\0'; /* instead of the end of the line */
    pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
  }
  pc_text_free(&words);
}

static void add_expectation(pc_column *column, const pc_brief_content *content, pc_unit_system units) {
  const pc_lot *lot = content->lot;
  const pc_summary *summary = content->summary;
  bool varies = pc_varies(&summary->total_time_s);
  pc_brief_head(column, "What to expect");
  pc_column_addf(column, &pc_brief_item, 0, "%s, %s in all.",
                 pc_show_snow_of(lot->snow.depth_m, lot->fall_m, units).text,
                 pc_show(pc_lot_snow_kg(lot), PC_DIM_MASS, units, 3).text);
  pc_brief_start(column, lot, PC_BRIEF_ALL, false, units);
  pc_brief_storm(column, lot, units);
  if (summary->unfinished == 0)
    pc_column_addf(column, &pc_brief_item, 0, "All done after %s%s%s.",
                   pc_show_time(&summary->total_time_s).text, varies ? " (mean and its 95 % interval)" : "",
                   done_at(lot, summary->total_time_s.mean).text);
  else
    pc_column_addf(column, &pc_brief_item, 0, "Not finished in %zu of %zu simulated nights (%s).",
                   summary->unfinished, summary->replications, pc_reason_name(summary->mean.reason));
  if (varies)
    pc_column_addf(column, &pc_brief_item, 0, "Single nights took %s to %s (%s%zu simulated).",
                   pc_show(summary->total_time_s.min, PC_DIM_TIME, units, 3).text,
                   pc_show(summary->total_time_s.max, PC_DIM_TIME, units, 3).text,
                   done_between(lot, &summary->total_time_s).text, summary->replications);
  add_ends(column, lot, summary);
  pc_brief_pauses(column, lot);
  pc_brief_deadlines(column, content, units);
  pc_brief_waits(column, lot, PC_BRIEF_ALL, units);
}

bool pc_brief_listed(pc_column *column, double reserve, size_t left, const char *words) {
  if (pc_column_left(column) > reserve && pc_column_add(column, &pc_brief_item, 6, words))
    return true;
  pc_column_addf(column, &pc_type_grey, 6, "and %zu more", left);
  return false;
}

/* "; first dock court" */
static void add_first_areas(const pc_lot *lot, size_t machine, pc_text *words) {
  bool told = false;
  for (int rank = 1; rank <= lot->machines[machine].first_count; rank++) {
    int area = pc_brief_first_area(lot, machine, rank);
    if (area >= 0)
      pc_text_addf(words, "%s%s", told ? ", " : "; first ", lot->areas[area].name.text);
    told |= area >= 0;
  }
}

static void add_crew(pc_column *column, const pc_brief_content *content) {
  const pc_lot *lot = content->lot;
  pc_brief_head(column, "Who does what");
  for (size_t m = 0; m < lot->machine_count; m++) {
    pc_statistic hours = pc_brief_hours(column->canvas, content, m);
    pc_statistic loads = pc_brief_loads(column->canvas, content, m);
    pc_text words = {0};
    pc_text_addf(&words, "%s with %s: at work %s", lot->machines[m].name.text,
                 lot->machines[m].unit.box.name.text, pc_show_time(&hours).text);
    if (loads.max > 0)
      pc_text_addf(&words, ", %s", show_loads(&loads).text);
    add_first_areas(lot, m, &words);
    bool fits = pc_brief_listed(column, 150, lot->machine_count - m, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
    if (!fits)
      return;
  }
}

static void add_zones(pc_column *column, const pc_brief_content *content, pc_unit_system units) {
  const pc_lot *lot = content->lot;
  const pc_map_content map = {.scenario = content->scenario, .lot = lot, .summary = content->summary};
  pc_brief_head(column, "Pile zones");
  for (size_t z = 0; z < lot->zone_count; z++) {
    pc_text words = {0};
    pc_text_addf(&words, "%zu %s: %d loads, ", pc_zone_number(content->scenario, lot, z),
                 lot->zones[z].name.text, content->summary->mean.zones[z].loads);
    pc_zone_words(&map, z, units, &words);
    if (lot->zones[z].berths > 1)
      pc_text_addf(&words, ", %d at a time", lot->zones[z].berths);
    bool fits = pc_brief_listed(column, 110, lot->zone_count - z, pc_canvas_words(column->canvas, &words));
    pc_text_free(&words);
    if (!fits)
      return;
  }
}

/* ---- the work of one machine ---- */

/* Drops snow of an area that is carved out in another area; seen in the one night that is traced. */
static bool carves(const pc_brief_content *content, size_t machine) {
  for (size_t i = 0; i < content->row_count; i++)
    if (content->rows[i].machine == machine && content->rows[i].phase == PC_PHASE_DUMP &&
        content->rows[i].zone < 0)
      return true;
  return false;
}

/* Whether it lays snow of that area over a border, with its blade. */
static bool lays_over(const pc_lot *lot, size_t machine, size_t area) {
  const pc_lane_set *set = &lot->lane_sets[lot->machines[machine].lane_set];
  for (size_t l = set->patch_lane[area]; set->over && l < set->patch_lane[area + 1]; l++)
    for (size_t k = 0; k < (size_t)set->lanes[l].stations; k++)
      if (set->over[set->lanes[l].first + k].lane != PC_NO_ENTRY)
        return true;
  return false;
}

/* Where the snow of an area goes if not to a pile. */
static void add_whereto(const pc_lot *lot, size_t machine, size_t index, pc_text *words) {
  const pc_lot_area *area = &lot->areas[index];
  if (lot->machines[machine].unit.box.blade == PC_BLADE_NONE) {
    if (area->into >= 0)
      pc_text_addf(words, "; carved out into %s", lot->areas[area->into].name.text);
  } else if (area->into >= 0 && lays_over(lot, machine, index)) {
    pc_text_addf(words, "; the last of it laid over into %s", lot->areas[area->into].name.text);
  } else if (pc_lot_leaves_ridge(lot, index)) {
    pc_text_add(words, "; the windrow along its outer edge stays: nobody takes it");
  }
}

/* When it begins there, when that has to be done, and where the snow goes if not to a pile. */
static void add_area(pc_column *column, const pc_brief_content *content, size_t machine, size_t number,
                     size_t index, double from_s) {
  const pc_lot *lot = content->lot;
  const pc_lot_area *area = &lot->areas[index];
  pc_text words = {0};
  bool clock = lot->clock.given;
  pc_text_addf(&words, "%zu. %s, from %s%s", number, area->name.text,
               pc_show_clock(&lot->clock, pc_brief_clock_s(lot, from_s)).text,
               clock ? "" : " h after the start");
  pc_brief_once(lot, index, &words);
  if (!isnan(area->clear_by_s))
    pc_text_addf(&words, ", clear by %s%s", pc_show_clock(&lot->clock, area->clear_by_s).text,
                 clock ? "" : " h");
  pc_brief_again(content, machine, index, &words);
  add_whereto(lot, machine, index, &words);
  pc_column_add(column, &pc_brief_item, 6, pc_canvas_words(column->canvas, &words));
  pc_text_free(&words);
}

/* The areas it works, in the order of its first push there. */
static void add_areas(pc_column *column, const pc_brief_content *content, size_t machine) {
  const pc_lot *lot = content->lot;
  enum { AREAS_SHOWN = 8 };
  bool *told = pc_alloc(lot->area_count, sizeof *told);
  size_t shown = 0, more = 0;
  if (!told)
    pc_canvas_fail(column->canvas);
  for (size_t i = 0; told && i < content->row_count; i++) {
    const pc_trace_row *row = &content->rows[i];
    int area = pc_brief_area_of(lot, row, machine);
    if (area < 0 || told[area])
      continue;
    told[area] = true;
    if (shown == AREAS_SHOWN) {
      more++;
      continue;
    }
    add_area(column, content, machine, ++shown, (size_t)area, row->start_s);
  }
  if (more > 0)
    pc_column_addf(column, &pc_type_grey, 6, "and %zu more", more);
  free(told);
}

static void add_targets(pc_column *column, const pc_brief_content *content, size_t machine) {
  const pc_lot *lot = content->lot;
  pc_text words = {0};
  for (size_t z = 0; z < lot->zone_count; z++) {
    size_t loads = 0;
    for (size_t i = 0; i < content->row_count; i++)
      loads += content->rows[i].machine == machine && content->rows[i].phase == PC_PHASE_DUMP &&
               content->rows[i].zone == (int)z;
    if (loads > 0 && words.length < 300)
      pc_text_addf(&words, "%s%zu %s (%zu)", words.length ? ", " : "Zones, with loads in one night: ",
                   pc_zone_number(content->scenario, lot, z), lot->zones[z].name.text, loads);
  }
  if (words.length > 0)
    pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
  pc_text_free(&words);
}

/* What the shades of the map mean. */
static void add_shades(pc_column *column, bool storm) {
  enum { WIDE = 26, HIGH = 11 };
  pc_column_gap(column, 3);
  double x = column->frame.x, y = column->y;
  if (pc_column_left(column) < HIGH + 40)
    return;
  for (int q = 0; q < PC_BRIEF_QUARTERS; q++) {
    pc_ink ink = pc_brief_quarter_ink(q);
    char number[16];
    snprintf(number, sizeof number, "%d.", q + 1);
    const pc_look look = {.fill = ink, .line = PC_INK_LINE, .width = 0.4};
    const pc_type type = {
        .size = 7.5, .bold = true, .side = PC_CENTRE, .on = ink, .ink = q == 0 ? PC_INK_WHITE : PC_INK_BLACK};
    pc_canvas_box(column->canvas, (pc_rect){x + q * WIDE, y, WIDE, HIGH}, &look);
    pc_canvas_text(column->canvas, (pc_rect){x + q * WIDE, y + 0.5, WIDE, HIGH}, &type, number);
  }
  const pc_type type = {.size = 7.6, .lines = 1};
  pc_canvas_text(column->canvas,
                 (pc_rect){x + PC_BRIEF_QUARTERS * WIDE + 6, y + 0.5,
                           column->frame.width - PC_BRIEF_QUARTERS * WIDE - 6, HIGH},
                 &type, "quarters of your pushing, in order");
  pc_column_gap(column, HIGH + 2);
  pc_column_add(
      column, &pc_brief_item, 0,
      storm ? "The order is that of one simulated night, the shade that of your first push at a place; where "
              "your night goes otherwise, keep to areas and zones."
            : "It is the order of one simulated night; where yours goes otherwise, keep to areas and zones.");
}

/* A policy in the words of those who work by it. */
static const char *way_of_working(const pc_policy *policy) {
  static const struct {
    const char *name, *words;
  } known[] = {
      {"keep-pushing",
       "When the box is full it is done: take it to the pile and ease into it. Put the box down "
       "again as you leave the pile, and push on from there."},
      {"planned",
       "When the box is full it is done: take it to the pile and ease into it. Put the box down "
       "again as you leave the pile, and push on from there, in the order of the map."},
      {"straight-runs",
       "Work lane by lane from end to end. When the box is full it is done: take it to the "
       "nearest pile, and come back to where you stopped."},
      {"building-out",
       "Work from the buildings outward. When the box is full it is done: take it to the nearest "
       "pile."},
  };
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
    if (strcmp(policy->name, known[i].name) == 0)
      return known[i].words;
  return policy->doc;
}

static const char carving[] =
    "Carve out, nearest lane first: each time as much as the box takes, on to the lane's "
    "way out. Drop it in the nearest lane of the area beyond, and back out.";

/* How to work with a box: as it was simulated. */
static void add_way(pc_column *column, const pc_brief_content *content, size_t machine,
                    pc_unit_system units) {
  const pc_unit *unit = &content->lot->machines[machine].unit;
  bool carver = carves(content, machine);
  bool piles = !carver || content->summary->mean.machines[machine].placed_kg > 0;
  double full_kg = content->lot->full_at * unit->capacity_kg; /* with which it goes */
  pc_column_addf(column, &pc_brief_item, 0, "A full load is about %s%s. %s%s%s",
                 pc_show(full_kg, PC_DIM_MASS, units, 2).text,
                 unit->limited_by == PC_LIMIT_TRACTION ? ": the tyres push no more, though the box holds it"
                                                       : "",
                 carver ? carving : "", carver && piles ? " Elsewhere: " : "",
                 piles ? way_of_working(content->lot->policy) : "");
}

static void add_own_work(pc_column *column, const pc_brief_content *content, size_t machine,
                         pc_unit_system units) {
  const pc_lot_machine *own = &content->lot->machines[machine];
  pc_statistic hours = pc_brief_hours(column->canvas, content, machine);
  pc_statistic loads = pc_brief_loads(column->canvas, content, machine);
  bool blade = own->unit.box.blade != PC_BLADE_NONE;
  pc_brief_head(column, "Your work");
  pc_column_addf(column, &pc_brief_item, 0, "At work %s%s%s%s.", pc_show_time(&hours).text,
                 pc_varies(&hours) ? " (mean and its 95 % interval)" : "", loads.max > 0 ? ", " : "",
                 loads.max > 0 ? show_loads(&loads).text : "");
  pc_brief_shift(column, content, machine, units);
  pc_column_addf(
      column, &pc_brief_item, 0, "Start at the dot with your name: %s %s, %s %s of the map's origin.",
      pc_show(fabs(own->start.x_m), PC_DIM_LENGTH, units, 3).text, own->start.x_m < 0 ? "west" : "east",
      pc_show(fabs(own->start.y_m), PC_DIM_LENGTH, units, 3).text, own->start.y_m < 0 ? "south" : "north");
  if (blade)
    pc_column_addf(column, &pc_brief_item, 0, "Lay the snow to the %s, lane by lane away from walls.",
                   own->unit.box.blade == PC_BLADE_LEFT ? "left" : "right");
  else
    add_way(column, content, machine, units);
  pc_brief_first(column, content->lot, machine, units);
  pc_brief_sweeps(column, content->lot, machine, units);
  pc_brief_waits(column, content->lot, machine, units);
  pc_brief_come_back(column, content->lot, units);
  pc_column_add(column, &pc_brief_item, 0, "Areas, in order:");
  add_areas(column, content, machine);
  add_targets(column, content, machine);
  pc_brief_across(column, content, machine);
  add_shades(column, content->lot->storm_end_s > 0);
}

void pc_brief_work(pc_column *column, const pc_brief_content *content, size_t machine, pc_unit_system units) {
  if (machine == PC_BRIEF_ALL) {
    add_expectation(column, content, units);
    add_crew(column, content);
    add_zones(column, content, units);
    pc_brief_siting(column, content, units);
  } else
    add_own_work(column, content, machine, units);
}

/* ---- checks and cautions ---- */

static void add_list(pc_column *column, const char *head, const char *const *words) {
  pc_brief_head(column, head);
  for (; *words; words++) {
    double y = column->y;
    if (!pc_column_add(column, &pc_brief_item, 11, *words))
      continue;
    const pc_look box = {.fill = PC_INK_WHITE, .line = PC_INK_BLACK, .width = 0.7};
    pc_canvas_box(column->canvas, (pc_rect){column->frame.x + 1, y + 2, 5.5, 5.5}, &box);
  }
}

static void add_fuel(pc_column *column, const pc_brief_content *content, size_t machine,
                     pc_unit_system units) {
  static const double much = 0.25;
  const pc_machine_result *result = &content->summary->mean.machines[machine];
  const pc_loader *loader = &content->lot->machines[machine].unit.loader;
  double hours = pc_brief_hours(column->canvas, content, machine).mean / 3600;
  /* what it burns idle is part of the night, not of an hour at work */
  double idle_l = fmax(0, result->time_s[PC_PHASE_IDLE] - result->absent_s) / 3600 * loader->fuel_idle_lph;
  double at_work_l = result->fuel_l - idle_l;
  if (!(result->fuel_l > 0) || !(hours > 0))
    return;
  const char *unit = units == PC_US ? "gal" : "l";
  const char *where = content->scenario->has_fuel_point ? " Refuel at the diamond on the map." : "";
  pc_text words = {0};
  pc_text_addf(&words, "Fuel: about %s %s this night",
               pc_show_number(result->fuel_l, PC_DIM_FUEL, unit, 0).text, unit);
  if (idle_l > much * result->fuel_l) /* it stays to the end of all work: who turns it off burns less */
    pc_text_addf(&words, " (%s %s of it with the engine idling)",
                 pc_show_number(idle_l, PC_DIM_FUEL, unit, 0).text, unit);
  pc_text_addf(&words, ", some %s %s an hour at work",
               pc_show_number(at_work_l / hours, PC_DIM_FUEL, unit, 0).text, unit);
  if (loader->tank_l > 0)
    pc_text_addf(&words, "; a tank of %s %s lasts about %s h",
                 pc_show_number(loader->tank_l, PC_DIM_FUEL, unit, 0).text, unit,
                 pc_show_number(loader->tank_l / (at_work_l / hours), PC_DIM_NUMBER, "", 0).text);
  pc_text_addf(&words, ".%s", loader->tank_l > 0 ? where : "");
  pc_column_add(column, &pc_brief_item, 0, pc_canvas_words(column->canvas, &words));
  pc_text_free(&words);
}

static const char *const box_checks[] = {
    "Box on the centre of the machine, chains with little slack.",
    "Bucket level; the box floats behind it with a gap. No down pressure.",
    "Shoes flat on the ground; trip edge free to move.",
    "Lights, beacon and reversing alarm work; camera and mirrors clean, use both.",
    "Hi-vis clothing on (class 2 or 3, ANSI/ISEA 107), radio on, seat belt on.",
    "Walk the lot: markers, curbs, drains, covers, and what the snow hides.",
    NULL};
static const char *const blade_checks[] = {
    "Blade angled to the side that the plan says, pins and chains secure.",
    "Shoes and cutting edge flat on the ground; trip edge free to move.",
    "Lights, beacon and reversing alarm work; camera and mirrors clean, use both.",
    "Hi-vis clothing on (class 2 or 3, ANSI/ISEA 107), radio on, seat belt on.",
    "Walk the lot: markers, curbs, drains, covers, and what the snow hides.",
    NULL};
static const char *const work_rules[] = {
    "People on foot: stop. Go on when they are out of the way and know that you are there.",
    "Other machines: agree on who gives way, keep out of their path, never drive behind one that backs out.",
    "Alarm or signaller wherever the view to the rear is blocked (29 CFR 1926.602).",
    "Hydrants stay clear: 36 in (914 mm) all round, 60 in before large connections (NFPA 1, 18.5.7).",
    "No pile where drivers at an exit have to see, or against buildings and fences.",
    NULL};
static const char *const fuel_rules[] = {
    "Refuel before the tank is low: on level ground away from drains, people and the boxes' way.",
    "Engine off, box on the ground, no smoking, mats and an extinguisher at hand.",
    "Clean steps, glass, lights and mirrors at the same stop; take the break that is due.", NULL};
static const char *const lot_rules[] = {
    "Who leads is named, and everyone has the radio channel and this sheet.",
    "Vehicles that were to be moved are gone; gates are open; markers stand.",
    "Where people walk is closed off, or someone watches.",
    "Who gives way at narrow places and at the piles is agreed on.",
    "Fuel, a place for it, and hot drinks are there.",
    NULL};

void pc_brief_checks(pc_column *column, const pc_brief_content *content, size_t machine,
                     pc_unit_system units) {
  if (machine == PC_BRIEF_ALL) {
    add_list(column, "Before the work", lot_rules);
    add_list(column, "All night", work_rules);
  } else {
    bool blade = content->lot->machines[machine].unit.box.blade != PC_BLADE_NONE;
    add_list(column, "Before you start", blade ? blade_checks : box_checks);
    add_list(column, "At work", work_rules);
    add_list(column, content->lot->storm_end_s > 0 ? "Refuelling in the storm" : "Refuelling", fuel_rules);
    add_fuel(column, content, machine, units);
  }
}
