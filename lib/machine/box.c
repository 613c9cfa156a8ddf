// SPDX-License-Identifier: GPL-3.0-or-later
#include "machine/box.h"

#include <math.h>
#include <stddef.h>
#include <stdio.h>

#define LENGTH_FIELD(name, member)                                                                           \
  .key = name, .kind = PC_FIELD_QUANTITY, .dimension = PC_DIM_LENGTH, .offset = offsetof(pc_box, member)
#define SHARE_FIELD(name, member)                                                                            \
  .key = name, .kind = PC_FIELD_QUANTITY, .dimension = PC_DIM_SHARE, .offset = offsetof(pc_box, member)

const char *const pc_blade_names[] = {"none", "left", "right", NULL};

_Static_assert(sizeof pc_blade_names / sizeof pc_blade_names[0] == PC_BLADE_COUNT + 1, "one name for each");

static const pc_field box_items[] = {
    {.key = "name",
     .kind = PC_FIELD_NAME,
     .offset = offsetof(pc_box, name),
     .required = true,
     .help = "name that the crew refers to"},
    {LENGTH_FIELD("width", width_m), .min = 0, .max = 20, .above_min = true, .required = true,
     .help = "width of the cutting edge from side plate to side plate"},
    {LENGTH_FIELD("height", height_m), .min = 0, .max = 5, .above_min = true, .required = true,
     .unless = "blade", .help = "height of the moldboard"},
    {LENGTH_FIELD("heap_factor", heap_factor_m), .min = 0, .max = 10, .above_min = true,
     .fallback = "from side_plate and the repose angle, or 0.8 of the height",
     .help =
         "cubic metres held per square metre of moldboard face, so a length; about the depth of the heap"},
    {LENGTH_FIELD("side_plate", side_plate_m), .min = 0, .max = 10, .above_min = true, .fallback = "not used",
     .help =
         "length of the side plates ahead of the moldboard; gives the heap factor when that is not known"},
    {.key = "mass",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_MASS,
     .offset = offsetof(pc_box, mass_kg),
     .min = 0,
     .max = 20000,
     .fallback = "0 kg",
     .help = "mass of the empty box; it drags on the pavement while pushing"},
    {LENGTH_FIELD("overlap", overlap_m), .min = 0, .max = 5, .fallback = "0.3 m",
     .help = "strip that each pass covers a second time; the swath is the width less the overlap"},
    {SHARE_FIELD("side_leak", side_leak), .min = 0, .max = 0.9, .fallback = "0.02",
     .help = "share of the snow met that rolls off the ends while the box is not full"},
    {SHARE_FIELD("spill_from", spill_from), .min = 0, .max = 1, .fallback = "0.85",
     .help = "fill ratio from which the box spills more and more, until it takes nothing when full"},
    {SHARE_FIELD("leave", leave), .min = 0, .max = 0.9, .fallback = "0.01",
     .help = "share of the snow met that stays on the pavement as a film"},
    {.key = "blade",
     .kind = PC_FIELD_CHOICE,
     .offset = offsetof(pc_box, blade),
     .choices = pc_blade_names,
     .fallback = "none",
     .help = "none: a box. left or right: an angled blade that holds nothing and lays its snow beside its "
             "swath on that side"},
    {.key = "price",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_NUMBER,
     .offset = offsetof(pc_box, price),
     .min = 0,
     .max = 1e7,
     .fallback = "not counted",
     .help = "what it costs to buy, in money.currency; for the cost of a season"},
    {.key = "seasons",
     .kind = PC_FIELD_QUANTITY,
     .dimension = PC_DIM_NUMBER,
     .offset = offsetof(pc_box, seasons),
     .min = 1,
     .max = 50,
     .fallback = "8",
     .help = "how many seasons it lasts, to spread the price over"},
    {.key = "count",
     .kind = PC_FIELD_INTEGER,
     .offset = offsetof(pc_box, count),
     .min = 0,
     .max = PC_BOX_COUNT_MAX,
     .fallback = "64: as many as a crew can have machines",
     .help = "how many of it there are; a crew that would need more is left out of a comparison"},
};

const pc_fields pc_box_fields = {box_items, sizeof box_items / sizeof box_items[0]};

pc_box pc_box_default(void) {
  return (pc_box){.width_m = NAN,
                  .height_m = NAN,
                  .heap_factor_m = NAN,
                  .side_plate_m = NAN,
                  .mass_kg = 0,
                  .overlap_m = 0.3,
                  .side_leak = 0.02,
                  .spill_from = 0.85,
                  .leave = 0.01,
                  .price = NAN,
                  .seasons = 8,
                  .count = PC_BOX_COUNT_MAX};
}

void pc_box_validate(const pc_box *box, const char *prefix, pc_faults *faults) {
  pc_box defaults = pc_box_default();
  bool has_prefix = prefix && prefix[0];
  char key[PC_KEY_MAX], shown[32], width[32];
  pc_fields_validate(&pc_box_fields, box, prefix, faults);
  pc_fields_check_defaults(&pc_box_fields, box, &defaults, prefix, faults);
  if (box->overlap_m >= box->width_m && box->width_m > 0) {
    snprintf(key, sizeof key, "%s%soverlap", has_prefix ? prefix : "", has_prefix ? "." : "");
    pc_units_print(shown, sizeof shown, box->overlap_m, PC_DIM_LENGTH, faults->units, 4);
    pc_units_print(width, sizeof width, box->width_m, PC_DIM_LENGTH, faults->units, 4);
    pc_faults_add(faults, PC_ERR_RANGE, key, shown,
                  "%s leaves nothing to clear; it must be less than the width (%s)", shown, width);
  }
  if (box->blade != PC_BLADE_NONE && (!isnan(box->heap_factor_m) || !isnan(box->side_plate_m))) {
    snprintf(key, sizeof key, "%s%s%s", has_prefix ? prefix : "", has_prefix ? "." : "",
             isnan(box->heap_factor_m) ? "side_plate" : "heap_factor");
    pc_faults_caution(faults, key, "has no effect: an angled blade holds no snow");
  } else if (!isnan(box->heap_factor_m) && !isnan(box->side_plate_m)) {
    snprintf(key, sizeof key, "%s%sside_plate", has_prefix ? prefix : "", has_prefix ? "." : "");
    pc_faults_caution(faults, key, "has no effect, since heap_factor is given");
  }
}

double pc_box_heap_factor_m(const pc_box *box, double repose_angle_rad) {
  if (!isnan(box->heap_factor_m))
    return box->heap_factor_m;
  if (isnan(box->side_plate_m))
    return 0.8 * box->height_m;
  double slope = tan(repose_angle_rad), foot_m = box->height_m / slope;
  if (box->side_plate_m >= foot_m)
    return foot_m / 2;
  return box->side_plate_m - box->side_plate_m * box->side_plate_m * slope / (2 * box->height_m);
}

double pc_box_volume_m3(const pc_box *box, double repose_angle_rad) {
  if (box->blade != PC_BLADE_NONE)
    return 0;
  return box->width_m * box->height_m * pc_box_heap_factor_m(box, repose_angle_rad);
}

double pc_box_swath_m(const pc_box *box) {
  return box->width_m - box->overlap_m;
}

double pc_box_spill(const pc_box *box, double fill_ratio) {
  if (fill_ratio >= 1)
    return 1;
  if (fill_ratio <= box->spill_from)
    return box->side_leak;
  return box->side_leak + (1 - box->side_leak) * (fill_ratio - box->spill_from) / (1 - box->spill_from);
}

double pc_filling_load(const pc_filling *filling, double load_kg, double met_kg) {
  double knee_kg = filling->spill_from * filling->capacity_kg, gain = 1 - filling->side_leak;
  if (!(met_kg > 0))
    return load_kg;
  if (load_kg < knee_kg) {
    if (load_kg + gain * met_kg <= knee_kg)
      return load_kg + gain * met_kg;
    met_kg -= (knee_kg - load_kg) / gain;
    load_kg = knee_kg;
  }
  /* With spill_from 1 the knee is the brim, so there is no room and no division by zero. */
  double room_kg = filling->capacity_kg - load_kg;
  if (room_kg <= 0)
    return load_kg;
  double span_kg = filling->capacity_kg - knee_kg;
  return load_kg - room_kg * expm1(-gain * met_kg / span_kg);
}

double pc_filling_met(const pc_filling *filling, double load_kg, double target_kg) {
  double knee_kg = filling->spill_from * filling->capacity_kg, gain = 1 - filling->side_leak, met_kg = 0;
  if (target_kg <= load_kg)
    return 0;
  if (!(gain > 0) || target_kg > filling->capacity_kg)
    return INFINITY;
  if (load_kg < knee_kg) {
    double end_kg = fmin(target_kg, knee_kg);
    met_kg = (end_kg - load_kg) / gain;
    load_kg = end_kg;
  }
  if (target_kg <= load_kg)
    return met_kg;
  if (target_kg >= filling->capacity_kg)
    return INFINITY; /* the brim is approached, never reached */
  double span_kg = filling->capacity_kg - knee_kg, room_kg = filling->capacity_kg - load_kg;
  return met_kg - span_kg / gain * log1p(-(target_kg - load_kg) / room_kg);
}
