// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/format.h"

#include <math.h>
#include <string.h>

static void init_snow(void *object) {
  *(pc_snow *)object = pc_snow_default();
}

static void init_area(void *object) {
  *(pc_area *)object = pc_area_default();
}

static void init_obstacle(void *object) {
  *(pc_obstacle *)object = (pc_obstacle){.at = {NAN, NAN}, .radius_m = NAN};
}

static void init_keep_clear(void *object) {
  *(pc_keep_clear *)object = (pc_keep_clear){.at = {NAN, NAN}, .radius_m = NAN};
}

static void init_box(void *object) {
  *(pc_box *)object = pc_box_default();
}

static void init_loader(void *object) {
  *(pc_loader *)object = pc_loader_default();
}

static void init_zone(void *object) {
  *(pc_zone *)object = pc_zone_default();
}

static void init_crew(void *object) {
  *(pc_crew_entry *)object = pc_crew_entry_default();
}

static void init_passage(void *object) {
  *(pc_passage *)object = pc_passage_default();
}

static void init_storm(void *object) {
  *(pc_storm_piece *)object = pc_storm_piece_default();
}

static void init_near(void *object) {
  *(pc_near *)object = pc_near_default();
}

static void init_siting(void *object) {
  *(pc_siting *)object = pc_siting_default();
}

static void init_placing(void *object) {
  *(pc_placing *)object = pc_placing_default();
}

static void init_season(void *object) {
  *(pc_season_storm *)object = (pc_season_storm){NAN, NAN};
}

static void init_money(void *object) {
  *(pc_money *)object = pc_scenario_default().money;
}

static void init_scenario(void *object) {
  *(pc_scenario *)object = pc_scenario_default();
}

#define OUTLINE(type, needed)                                                                                \
  {                                                                                                          \
    .key = "outline", .shape = PC_SHAPE_OUTLINE, .required = (needed), .offset = offsetof(type, outline),    \
    .help = "its corners in order, [[x, y], [x, y], …]"                                                    \
  }
#define POINT(type, name, text)                                                                              \
  {                                                                                                          \
    .key = #name, .shape = PC_SHAPE_POINT, .offset = offsetof(type, name), .flag_offset = PC_NO_FLAG,        \
    .help = (text)                                                                                           \
  }
#define PARTS(type, name, array, number, of, needed, text)                                                   \
  {                                                                                                          \
    .key = (name), .shape = PC_SHAPE_PARTS, .required = (needed), .offset = offsetof(type, array),           \
    .count_offset = offsetof(type, number), .part = &(of), .help = (text)                                    \
  }
#define PART(type, name, member, of, needed, text)                                                           \
  {                                                                                                          \
    .key = (name), .shape = PC_SHAPE_PART, .required = (needed), .offset = offsetof(type, member),           \
    .part = &(of), .help = (text)                                                                            \
  }
#define NAMES(type, name, member, needed, text)                                                              \
  {                                                                                                          \
    .key = (name), .shape = PC_SHAPE_NAMES, .required = (needed), .offset = offsetof(type, member),          \
    .help = (text)                                                                                           \
  }
#define NAMED(type, table, list, word, start)                                                                \
  {                                                                                                          \
    .fields = &(table), .members = (list), .size = sizeof(type), .init = (start), .usual_name = (word),      \
    .name_offset = offsetof(type, name)                                                                      \
  }

static const pc_member area_members[] = {
    OUTLINE(pc_area, true),
    NAMES(pc_area, "after", after, false, "areas that have to be done before work on this one begins"),
    NAMES(pc_area, "loaders", loaders, false, "the only loaders that may work it; default all"),
    NAMES(pc_area, "open_to", open_to, false,
          "the only loaders that may work it, or drive across it; default all"),
    {0}};
static const pc_member loader_members[] = {{.key = "boxes",
                                            .shape = PC_SHAPE_NAMES,
                                            .some = true,
                                            .offset = offsetof(pc_loader, boxes),
                                            .help = "the only boxes that it can carry; default all"},
                                           {0}};
static const pc_member ground_members[] = {
    OUTLINE(pc_ground_outline, true),
    NAMES(pc_ground_outline, "open_to", open_to, false, "the only loaders that may drive there; default all"),
    {0}};
static const pc_member obstacle_members[] = {
    OUTLINE(pc_obstacle, false),
    POINT(pc_obstacle, at, "its place as [x, y], with a radius, instead of an outline"),
    {0}};
static const pc_member keep_clear_members[] = {
    OUTLINE(pc_keep_clear, false),
    POINT(pc_keep_clear, at, "its place as [x, y], with a radius, instead of an outline"),
    {0}};
static const pc_member passage_members[] = {
    OUTLINE(pc_passage, false),
    POINT(pc_passage, at, "its place as [x, y], with a radius, instead of an outline"),
    {0}};
static const pc_member zone_members[] = {
    OUTLINE(pc_zone, false),
    POINT(pc_zone, at, "its place as [x, y], instead of an outline, for a quick study"),
    {0}};
static const pc_member layout_members[] = {
    NAMES(pc_layout, "zones", zones, true, "the names of its pile zones, [north, east]"), {0}};

static const pc_part area_part = NAMED(pc_area, pc_area_fields, area_members, "area", init_area);
static const pc_part ground_part =
    NAMED(pc_ground_outline, pc_ground_outline_fields, ground_members, "ground", NULL);
static const pc_part obstacle_part =
    NAMED(pc_obstacle, pc_obstacle_fields, obstacle_members, "obstacle", init_obstacle);
static const pc_part keep_clear_part =
    NAMED(pc_keep_clear, pc_keep_clear_fields, keep_clear_members, "keep clear", init_keep_clear);
static const pc_part passage_part =
    NAMED(pc_passage, pc_passage_fields, passage_members, "passage", init_passage);
static const pc_part box_part = NAMED(pc_box, pc_box_fields, NULL, "box", init_box);
static const pc_part loader_part = NAMED(pc_loader, pc_loader_fields, loader_members, "loader", init_loader);
static const pc_part zone_part = NAMED(pc_zone, pc_zone_fields, zone_members, "zone", init_zone);
static const pc_part candidate_part = NAMED(pc_zone, pc_zone_fields, zone_members, "candidate", init_zone);
static const pc_part layout_part = NAMED(pc_layout, pc_layout_fields, layout_members, "layout", NULL);

static const pc_member site_members[] = {
    {.key = "units",
     .shape = PC_SHAPE_UNITS,
     .help = "unit of every coordinate in this file: m, or ft, and then results are shown in US units; "
             "default m"},
    {.key = "file",
     .shape = PC_SHAPE_FILE,
     .help = "a map of the lot, GeoJSON: its areas, obstacles, zones and so on come before those given here"},
    {.key = "origin",
     .shape = PC_SHAPE_ORIGIN,
     .help = "where [0, 0] lies, [longitude, latitude] in degrees; with a file default its middle"},
    {.key = "areas",
     .shape = PC_SHAPE_PARTS,
     .required = true,
     .or_file = true,
     .offset = offsetof(pc_site, areas),
     .count_offset = offsetof(pc_site, area_count),
     .part = &area_part,
     .help = "the areas to clear, each with an outline"},
    PARTS(pc_site, "ground", ground, ground_count, ground_part, false,
          "other pavement where machines may drive, but nothing is cleared"),
    PARTS(pc_site, "obstacles", obstacles, obstacle_count, obstacle_part, false,
          "what machines must drive around"),
    PARTS(pc_site, "keep_clear", keep_clear, keep_clear_count, keep_clear_part, false,
          "what no snow may be piled on or near"),
    PARTS(pc_site, "passages", passages, passage_count, passage_part, false,
          "narrow places where only so many machines may be at once"),
    {0}};

static const pc_member crew_members[] = {
    {.key = "start",
     .shape = PC_SHAPE_POINT,
     .offset = offsetof(pc_crew_entry, start),
     .flag_offset = offsetof(pc_crew_entry, has_start),
     .help = "where it stands at first, [x, y]; default the first corner of the first area it works"},
    NAMES(pc_crew_entry, "areas", areas, false, "the areas it works; default all"),
    NAMES(pc_crew_entry, "first", first, false,
          "of these, the areas it works before all others, in this order, while there is something to push, "
          "until they are clear at their deadline (clear_by) or after it; default none"),
    {0}};

static const pc_member compare_members[] = {
    NAMES(pc_wanted, "layouts", layouts, false, "names of layouts, or all"),
    NAMES(pc_wanted, "boxes", boxes, false, "names of boxes, own for those that the crew has, or all"),
    NAMES(pc_wanted, "loaders", loaders, false, "names of loaders, own for those that the crew has, or all"),
    NAMES(pc_wanted, "policies", policies, false, "names of policies, or all"),
    {.key = "depths",
     .shape = PC_SHAPE_DEPTHS,
     .offset = offsetof(pc_wanted, depths),
     .help = "depths of snow, [5 cm, 10 cm]"},
    {.key = "crews",
     .shape = PC_SHAPE_COUNTS,
     .offset = offsetof(pc_wanted, crews),
     .help = "numbers of machines, [1, 2, 4] or 1..6: the first ones of the crew, which begins anew when it "
             "is used up"},
    {0}};

static const pc_member place_members[] = {
    PARTS(pc_placing, "candidates", candidates, candidate_count, candidate_part, false,
          "places to choose among, beside the zones"),
    NAMES(pc_placing, "among", among, false,
          "the only places to choose among: names of zones and candidates, generated, or all; default all"),
    NAMES(pc_placing, "keep", keep, false, "places that are to be among those chosen"),
    {0}};

static const pc_part snow_part = {.fields = &pc_snow_fields, .size = sizeof(pc_snow), .init = init_snow};
static const pc_part site_part = {.members = site_members, .size = sizeof(pc_site)};
static const pc_part crew_part = {
    .fields = &pc_crew_fields, .members = crew_members, .size = sizeof(pc_crew_entry), .init = init_crew};
static const pc_part storm_part = {
    .fields = &pc_storm_fields, .size = sizeof(pc_storm_piece), .init = init_storm};
static const pc_part near_part = {.fields = &pc_near_fields, .size = sizeof(pc_near), .init = init_near};
static const pc_part siting_part = {
    .fields = &pc_siting_fields, .size = sizeof(pc_siting), .init = init_siting};
static const pc_part chance_part = {.fields = &pc_chance_fields, .size = sizeof(pc_chance)};
static const pc_part money_part = {.fields = &pc_money_fields, .size = sizeof(pc_money), .init = init_money};
static const pc_part compare_part = {
    .fields = &pc_wanted_fields, .members = compare_members, .size = sizeof(pc_wanted)};
static const pc_part season_part = {
    .fields = &pc_season_fields, .size = sizeof(pc_season_storm), .init = init_season};

static const pc_part place_part = {
    .fields = &pc_placing_fields, .members = place_members, .size = sizeof(pc_placing), .init = init_placing};

static const pc_member scenario_members[] = {
    {.key = "pushcycle", .shape = PC_SHAPE_VERSION, .help = "version of this file format: 1"},
    {.key = "starts_at",
     .shape = PC_SHAPE_CLOCK,
     .offset = offsetof(pc_scenario, clock),
     .help =
         "clock time at which the work starts, 22:30 or 10:30 pm: results then show clock times, and times "
         "after the start may be given as such; default: times count from the start"},
    PART(pc_scenario, "snow", snow, snow_part, true, "its depth, at least"),
    PART(pc_scenario, "site", site, site_part, true, "what lies where, with at least one area to clear"),
    PARTS(pc_scenario, "boxes", boxes, box_count, box_part, true,
          "the box pushers, each with width and height"),
    PARTS(pc_scenario, "loaders", loaders, loader_count, loader_part, true,
          "the loaders, each with its speeds"),
    PARTS(pc_scenario, "zones", zones, zone_count, zone_part, false,
          "the pile zones, each with an outline; nothing runs without one, but `place` can look for some"),
    PARTS(pc_scenario, "layouts", layouts, layout_count, layout_part, false,
          "choices of pile zones; default one layout \"all zones\""),
    PARTS(pc_scenario, "crew", crew, crew_count, crew_part, false,
          "which loaders work with which boxes; may be left out with one loader and one box"),
    PART(pc_scenario, "near", near, near_part, false, "care close to obstacles: how near, how fast"),
    PART(pc_scenario, "siting", siting, siting_part, false,
         "how near zones may lie to things before a caution is given"),
    PART(pc_scenario, "chance", chance, chance_part, false, "how much the times of a cycle vary by luck"),
    PART(pc_scenario, "money", money, money_part, false, "prices, for the cost of each choice"),
    PARTS(pc_scenario, "season", season, season_count, season_part, false,
          "the storms of a usual season, by depth; compare then also sums up the season"),
    PART(pc_scenario, "compare", compare, compare_part, false, "what the compare command compares"),
    PART(pc_scenario, "place", place, place_part, false, "where to look for the best places of pile zones"),
    {.key = "fuel_point",
     .shape = PC_SHAPE_POINT,
     .offset = offsetof(pc_scenario, fuel_point),
     .flag_offset = offsetof(pc_scenario, has_fuel_point),
     .help = "where machines refuel, [x, y]; default each where it stood at first"},
    PARTS(pc_scenario, "storm", storm, storm_count, storm_part, false,
          "snow that falls during the work, piece by piece; the last one with rate 0 cm/h or 0 in/h"),
    {.key = "storm_file",
     .shape = PC_SHAPE_FILE,
     .help = "the same from a file, CSV with time and rate (cm/h), or time, precipitation (mm/h) and "
             "temperature (C), or with other units at the end of these names: rate_in/h, precipitation_in/h, "
             "temperature_F; a row holds until the next one, the last as long as the one before it"},
    {0}};

const pc_part pc_format_scenario = {.fields = &pc_scenario_fields,
                                    .members = scenario_members,
                                    .size = sizeof(pc_scenario),
                                    .init = init_scenario};

const pc_part *pc_format_part(const char *path) {
  const pc_part *part = &pc_format_scenario;
  while (*path && part) {
    size_t length = strcspn(path, ".");
    const pc_member *m = part->members;
    while (m && m->key && (strncmp(m->key, path, length) != 0 || m->key[length] != '\0'))
      m++;
    part = m && m->key ? m->part : NULL;
    path += length + (path[length] == '.');
  }
  return part;
}
