// SPDX-License-Identifier: GPL-3.0-or-later
#include "machine/loader.h"

#include <gsl/gsl_integration.h>
#include <gsl/gsl_poly.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

#define FIELD(name, unit, member)                                                                            \
  .key = name, .kind = PC_FIELD_QUANTITY, .dimension = unit, .offset = offsetof(pc_loader, member)
#define SPEED_FIELD(name, member) FIELD(name, PC_DIM_SPEED, member), .min = 0.01, .max = 50
#define SPELL_FIELD(name, member) FIELD(name, PC_DIM_TIME, member), .max = 1e8, .fallback = "no breakdowns"
#define TIME_FIELD(name, member) FIELD(name, PC_DIM_TIME, member), .min = 0, .max = 3600

static const pc_field loader_items[] = {
    {.key = "name",
     .kind = PC_FIELD_NAME,
     .offset = offsetof(pc_loader, name),
     .required = true,
     .help = "name that the crew refers to"},
    {SPEED_FIELD("speeds.push", push_speed_mps), .required = true,
     .help = "top speed with the box down, pushing snow"},
    {SPEED_FIELD("speeds.carry", carry_speed_mps), .required = true,
     .help = "top speed with a full box over cleared ground"},
    {SPEED_FIELD("speeds.return", return_speed_mps), .required = true,
     .help = "top speed with an empty box, forward"},
    {SPEED_FIELD("speeds.reverse", reverse_speed_mps), .fallback = "5/8 of the return speed",
     .help = "top speed backwards"},
    {FIELD("acceleration", PC_DIM_ACCELERATION, acceleration_mps2), .min = 0.001, .max = 20,
     .fallback = "none: speeds are reached at once",
     .help = "speeding up and braking, at both ends of each leg"},
    {TIME_FIELD("times.lower", lower_s), .fallback = "2 s", .help = "putting the box down before a push"},
    {TIME_FIELD("times.raise", raise_s), .fallback = "2 s", .help = "lifting the box after a push or a dump"},
    {TIME_FIELD("times.dump", dump_s), .fallback = "8 s",
     .help = "pushing the load into the pile and stacking it"},
    {TIME_FIELD("times.shift", shift_s), .fallback = "1.5 s", .help = "changing between forward and reverse"},
    {TIME_FIELD("times.turn", turn_s), .fallback = "8 s",
     .help = "turning through 180 degrees; smaller turns take their share"},
    {FIELD("machine_width", PC_DIM_LENGTH, machine_width_m), .min = 0, .max = 20, .above_min = true,
     .fallback = "2.7 m",
     .help = "widest part of the machine without its box; sets how near it passes obstacles"},
    {FIELD("machine_length", PC_DIM_LENGTH, machine_length_m), .min = 0, .max = 50, .above_min = true,
     .fallback = "8 m", .help = "length of the machine without its box"},
    {FIELD("back_out", PC_DIM_LENGTH, back_out_m), .min = 0, .max = 200, .fallback = "one machine length",
     .help = "how far it reverses out of a pile before it turns"},
    /* as of speeds, not so little that a leg never comes to its end */
    {FIELD("power", PC_DIM_POWER, power_w), .min = 1, .max = 5e6, .fallback = "no physical limits",
     .help = "engine power; with mass and traction it limits the speed under load"},
    {FIELD("mass", PC_DIM_MASS, mass_kg), .min = 0, .max = 500000, .above_min = true,
     .fallback = "no physical limits", .help = "operating mass of the machine without its box"},
    {FIELD("traction", PC_DIM_NUMBER, traction), .min = 0, .max = 1.5, .above_min = true,
     .fallback = "no physical limits",
     .help = "grip of the tyres, pull per weight: packed snow about 0.20, ice about 0.10"},
    {FIELD("drive_efficiency", PC_DIM_SHARE, drive_efficiency), .min = 0.01, .max = 1, .fallback = "0.7",
     .help = "share of the engine power that reaches the wheels"},
    {FIELD("snow_friction", PC_DIM_NUMBER, snow_friction), .min = 0, .max = 2,
     .fallback = "0.4 (an assumption)",
     .help = "drag of the snow in the box on the pavement, per weight of the snow"},
    {FIELD("box_friction", PC_DIM_NUMBER, box_friction), .min = 0, .max = 2,
     .fallback = "0.3 (an assumption)", .help = "drag of the box on the pavement, per weight of the box"},
    {FIELD("rolling_resistance", PC_DIM_NUMBER, rolling_resistance), .min = 0, .max = 1, .fallback = "0.05",
     .help = "rolling resistance of the wheels, per weight of the machine; 0.02 to 0.12 in shallow snow"},
    {FIELD("grade", PC_DIM_SHARE, grade), .min = -0.5, .max = 0.5, .fallback = "0",
     .help = "rise per length driven while pushing and carrying; uphill is positive"},
    {FIELD("fuel.per_kwh", PC_DIM_FUEL_WORK, fuel_per_kwh_l), .min = 0, .max = 10,
     .fallback = "fuel is not reported",
     .help = "fuel per engine work; a bare number is litres per kilowatt-hour"},
    {FIELD("fuel.idle", PC_DIM_FUEL_RATE, fuel_idle_lph), .min = 0, .max = 1000,
     .fallback = "fuel is not reported",
     .help = "fuel per time while the engine idles; a bare number is litres per hour"},
    {FIELD("fuel.tank", PC_DIM_FUEL, tank_l), .min = 0, .max = 10000, .above_min = true,
     .fallback = "it never has to refuel",
     .help = "fuel in a full tank, as it has at the start; a bare number is litres"},
    {FIELD("fuel.refuel", PC_DIM_FUEL_FLOW, refuel_lps), .min = 0.001, .max = 100,
     .fallback = "it never has to refuel",
     .help = "fuel per time while the tank is filled; a bare number is litres per second"},
    /* at least a second: from breakdown to breakdown some work has to be done, or a night has no end */
    {SPELL_FIELD("breakdown.between", breakdown_mean_s), .min = 1,
     .help = "mean time between breakdowns, while it works"},
    {SPELL_FIELD("breakdown.repair", repair_mean_s), .min = 0, .above_min = true,
     .help = "mean time that a repair takes"},
};

const pc_fields pc_loader_fields = {loader_items, sizeof loader_items / sizeof loader_items[0]};

pc_loader pc_loader_default(void) {
  return (pc_loader){.push_speed_mps = NAN,
                     .carry_speed_mps = NAN,
                     .return_speed_mps = NAN,
                     .reverse_speed_mps = NAN,
                     .acceleration_mps2 = NAN,
                     .lower_s = 2,
                     .raise_s = 2,
                     .dump_s = 8,
                     .shift_s = 1.5,
                     .turn_s = 8,
                     .machine_width_m = 2.7,
                     .machine_length_m = 8,
                     .back_out_m = NAN,
                     .power_w = NAN,
                     .mass_kg = NAN,
                     .traction = NAN,
                     .drive_efficiency = 0.7,
                     .snow_friction = 0.4,
                     .box_friction = 0.3,
                     .rolling_resistance = 0.05,
                     .grade = 0,
                     .fuel_per_kwh_l = NAN,
                     .fuel_idle_lph = NAN,
                     .tank_l = NAN,
                     .refuel_lps = NAN,
                     .breakdown_mean_s = NAN,
                     .repair_mean_s = NAN};
}

typedef struct given {
  const char *key;
  double value;
} given;

/* Some of these given, but not all: a fault for each that is missing. */
static void check_together(const given *items, size_t count, const char *reason, const char *prefix,
                           pc_faults *faults) {
  size_t missing = 0;
  for (size_t i = 0; i < count; i++)
    missing += isnan(items[i].value) ? 1 : 0;
  if (missing == 0 || missing == count)
    return;
  bool has_prefix = prefix && prefix[0];
  for (size_t i = 0; i < count; i++) {
    if (!isnan(items[i].value))
      continue;
    char key[PC_KEY_MAX];
    snprintf(key, sizeof key, "%s%s%s", has_prefix ? prefix : "", has_prefix ? "." : "", items[i].key);
    pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "is missing: %s", reason);
  }
}

/* What a machine burns has to be known before its tank can run dry. */
static void check_tank(const pc_loader *loader, const char *prefix, pc_faults *faults) {
  bool has_prefix = prefix && prefix[0];
  char key[PC_KEY_MAX];
  bool fuel = !isnan(loader->fuel_per_kwh_l) || !isnan(loader->fuel_idle_lph);
  bool physics = !isnan(loader->power_w) || !isnan(loader->mass_kg) || !isnan(loader->traction);
  if (isnan(loader->tank_l) || (fuel && physics))
    return;
  snprintf(key, sizeof key, "%s%sfuel.tank", has_prefix ? prefix : "", has_prefix ? "." : "");
  pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "needs %s, else nobody knows when the tank is empty",
                fuel      ? "power, mass and traction"
                : physics ? "fuel.per_kwh and fuel.idle"
                          : "fuel.per_kwh, fuel.idle, power, mass and traction");
}

void pc_loader_validate(const pc_loader *loader, const char *prefix, pc_faults *faults) {
  pc_loader defaults = pc_loader_default();
  pc_fields_validate(&pc_loader_fields, loader, prefix, faults);
  pc_fields_check_defaults(&pc_loader_fields, loader, &defaults, prefix, faults);
  const given physics[] = {
      {"power", loader->power_w}, {"mass", loader->mass_kg}, {"traction", loader->traction}};
  check_together(physics, 3, "power, mass and traction work only together; give all three, or none", prefix,
                 faults);
  const given fuel[] = {{"fuel.per_kwh", loader->fuel_per_kwh_l}, {"fuel.idle", loader->fuel_idle_lph}};
  check_together(fuel, 2, "fuel.per_kwh and fuel.idle work only together; give both, or none", prefix,
                 faults);
  const given tank[] = {{"fuel.tank", loader->tank_l}, {"fuel.refuel", loader->refuel_lps}};
  check_together(tank, 2, "fuel.tank and fuel.refuel work only together; give both, or none", prefix, faults);
  check_tank(loader, prefix, faults);
  const given breakdown[] = {{"breakdown.between", loader->breakdown_mean_s},
                             {"breakdown.repair", loader->repair_mean_s}};
  check_together(breakdown, 2,
                 "breakdown.between and breakdown.repair work only together; give both, or none", prefix,
                 faults);
}

bool pc_loader_takes(const pc_loader *loader, const char *box) {
  return loader->boxes.count == 0 || pc_names_have(&loader->boxes, box);
}

void pc_loader_print_boxes(const pc_loader *loader, char *text, size_t size) {
  const size_t room = sizeof ", …";
  size_t length = 0;
  snprintf(text, size, "%s", loader->boxes.count == 0 ? "every box" : "");
  for (size_t i = 0; i < loader->boxes.count; i++) {
    const char *name = loader->boxes.items[i].text;
    if (length + strlen(name) + 4 + room > size) {
      snprintf(text + length, size - length, "%s…", i > 0 ? ", " : "");
      return;
    }
    length += (size_t)snprintf(text + length, size - length, "%s\"%s\"", i > 0 ? ", " : "", name);
  }
}

double pc_leg_time_s(double distance_m, double speed_mps, double acceleration_mps2) {
  return pc_leg_time_two_s(distance_m, speed_mps, acceleration_mps2, acceleration_mps2);
}

double pc_leg_time_two_s(double distance_m, double speed_mps, double accelerate_mps2, double brake_mps2) {
  if (!(distance_m > 0))
    return 0;
  double slow = accelerate_mps2 > 0 ? 1 / accelerate_mps2 : 0;
  slow += brake_mps2 > 0 ? 1 / brake_mps2 : 0;
  if (distance_m >= speed_mps * speed_mps / 2 * slow)
    return distance_m / speed_mps + speed_mps / 2 * slow;
  return sqrt(2 * distance_m * slow);
}

const char *pc_limit_name(pc_limit limit) {
  switch (limit) {
  case PC_LIMIT_VOLUME:
    return "volume";
  case PC_LIMIT_TRACTION:
    return "traction";
  case PC_LIMIT_POWER:
    return "power";
  }
  return "unknown";
}

static const double nothing = 1e-9; /* share of what a box holds */

/* Largest m with F_static(m) ≤ μ_t·M·g; g cancels. On a slope so steep that snow slides by itself: any. */
static double traction_capacity_kg(const pc_loader *loader, double box_kg) {
  double spare_kg = loader->traction * loader->mass_kg - loader->box_friction * box_kg -
                    loader->rolling_resistance * loader->mass_kg - (loader->mass_kg + box_kg) * loader->grade;
  double per_kg = loader->snow_friction + loader->grade;
  if (per_kg > 0)
    return spare_kg / per_kg;
  return spare_kg > 0 ? (double)INFINITY : -(double)INFINITY;
}

/* The stream at which power just suffices for a box at push speed, be it full or, where snow slides by
 * itself, empty; less than 0 if it never does. */
static double easy_kgpm(const pc_unit *unit) {
  double top = unit->loader.push_speed_mps;
  if (!unit->physical)
    return INFINITY;
  double static_n = fmax(pc_unit_resistance(unit, unit->capacity_kg, 0, top).static_n,
                         pc_unit_resistance(unit, 0, 0, top).static_n);
  double spare_n = unit->loader.drive_efficiency * unit->loader.power_w / top - static_n;
  return spare_n / (top * top) * (1 - 1e-12);
}

pc_unit pc_unit_make(const pc_loader *loader, const pc_box *box, const pc_snow *snow, double full_at) {
  pc_unit unit = {.loader = *loader, .box = *box, .limited_by = PC_LIMIT_VOLUME};
  unit.loader.boxes = (pc_names){0}; /* they may not live as long */
  if (isnan(unit.loader.reverse_speed_mps))
    unit.loader.reverse_speed_mps = 0.625 * loader->return_speed_mps;
  if (isnan(unit.loader.back_out_m))
    unit.loader.back_out_m = loader->machine_length_m;
  unit.physical = !isnan(loader->power_w) && !isnan(loader->mass_kg) && !isnan(loader->traction);
  unit.fresh_density_kgpm3 = pc_snow_fresh_density(snow);
  unit.swath_m = pc_box_swath_m(box);
  unit.volume_m3 = pc_box_volume_m3(box, snow->repose_angle_rad);
  unit.volume_capacity_kg = unit.volume_m3 * snow->pushed_density_kgpm3;
  unit.traction_capacity_kg = unit.physical ? traction_capacity_kg(loader, box->mass_kg) : (double)INFINITY;
  unit.capacity_kg = fmax(0, fmin(unit.volume_capacity_kg, unit.traction_capacity_kg));
  if (unit.capacity_kg < nothing * unit.volume_capacity_kg)
    unit.capacity_kg = 0; /* tyres that just push the empty box: what rounding left is no load */
  unit.filling = (pc_filling){unit.volume_capacity_kg, box->side_leak, box->spill_from, box->leave};
  unit.easy_kgpm = easy_kgpm(&unit);
  double load_kg = full_at * unit.capacity_kg;
  double stream_kgpm = unit.fresh_density_kgpm3 * snow->depth_m * unit.swath_m;
  if (unit.traction_capacity_kg < unit.volume_capacity_kg)
    unit.limited_by = PC_LIMIT_TRACTION;
  else if (pc_unit_push_speed(&unit, load_kg, stream_kgpm) < loader->push_speed_mps ||
           pc_unit_carry_speed(&unit, load_kg) < loader->carry_speed_mps)
    unit.limited_by = PC_LIMIT_POWER;
  return unit;
}

pc_resistance pc_unit_resistance(const pc_unit *unit, double load_kg, double stream_kgpm, double speed_mps) {
  const pc_loader *loader = &unit->loader;
  pc_resistance force = {.stream_n = stream_kgpm * speed_mps * speed_mps};
  force.snow_n = loader->snow_friction * load_kg * PC_GRAVITY_MPS2;
  force.box_n = loader->box_friction * unit->box.mass_kg * PC_GRAVITY_MPS2;
  if (unit->physical) { /* else the machine's mass is not known */
    force.rolling_n = loader->rolling_resistance * loader->mass_kg * PC_GRAVITY_MPS2;
    force.grade_n = (loader->mass_kg + unit->box.mass_kg + load_kg) * PC_GRAVITY_MPS2 * loader->grade;
  }
  force.static_n = force.snow_n + force.box_n + force.rolling_n + force.grade_n;
  return force;
}

/* The one positive root of stream·v³ + static·v = power, known to lie below `top`. */
static double power_speed(double stream_kgpm, double static_n, double power_w, double top) {
  double roots[3] = {0, 0, 0};
  int count = gsl_poly_solve_cubic(0, static_n / stream_kgpm, -power_w / stream_kgpm, &roots[0], &roots[1],
                                   &roots[2]);
  double speed = roots[count - 1];
  if (!(speed > 0 && speed < top))
    speed = top;
  /* The closed form loses digits when the stream is thin; Newton, from above on a convex function, does not.
   */
  for (int i = 0; i < 40; i++) {
    double square = stream_kgpm * speed * speed;
    double step = ((square + static_n) * speed - power_w) / (3 * square + static_n);
    speed -= step;
    if (fabs(step) <= 1e-9 * speed) /* convergence is quadratic: the next step would be nothing */
      break;
  }
  return speed;
}

double pc_unit_push_speed(const pc_unit *unit, double load_kg, double stream_kgpm) {
  double top = unit->loader.push_speed_mps;
  if (!unit->physical)
    return top;
  double power_w = unit->loader.drive_efficiency * unit->loader.power_w;
  pc_resistance force = pc_unit_resistance(unit, load_kg, stream_kgpm, top);
  if ((force.static_n + force.stream_n) * top <= power_w)
    return top;
  if (!(stream_kgpm > 0))
    return fmin(top, power_w / force.static_n);
  return fmin(top, power_speed(stream_kgpm, force.static_n, power_w, top));
}

double pc_unit_carry_speed(const pc_unit *unit, double load_kg) {
  double top = unit->loader.carry_speed_mps;
  if (!unit->physical)
    return top;
  double power_w = unit->loader.drive_efficiency * unit->loader.power_w;
  double static_n = pc_unit_resistance(unit, load_kg, 0, 0).static_n;
  return static_n * top <= power_w ? top : power_w / static_n;
}

/* ---- time to fill ---- */

typedef struct filling_run {
  const pc_unit *unit;
  double load_kg, stream_kgpm, met_kgpm;
} filling_run;

static double slowness(double x, void *context) {
  const filling_run *run = context;
  double load_kg = pc_filling_load(&run->unit->filling, run->load_kg, run->met_kgpm * x);
  return 1 / pc_unit_push_speed(run->unit, load_kg, run->stream_kgpm);
}

/* Gauss–Kronrod halves until each piece is good. GSL's drivers allocate and call the program's error
 * handler, which a library must not provoke; its bare rules do neither. */
static double integrate(const gsl_function *function, double from, double to, int depth) {
  double result, error, absolute, spread;
  gsl_integration_qk21(function, from, to, &result, &error, &absolute, &spread);
  if (depth == 0 || error <= 1e-10 * fabs(result))
    return result;
  double middle = from + (to - from) / 2;
  return integrate(function, from, middle, depth - 1) + integrate(function, middle, to, depth - 1);
}

/* Load up to which the power suffices for the full push speed. */
static double full_speed_load_kg(const pc_unit *unit, double stream_kgpm) {
  double top = unit->loader.push_speed_mps, per_kg = unit->loader.snow_friction * PC_GRAVITY_MPS2;
  pc_resistance empty = pc_unit_resistance(unit, 0, stream_kgpm, top);
  double spare_n =
      unit->loader.drive_efficiency * unit->loader.power_w / top - empty.static_n - empty.stream_n;
  return per_kg > 0 ? spare_n / per_kg : spare_n >= 0 ? (double)INFINITY : -(double)INFINITY;
}

double pc_unit_fill_time_s(const pc_unit *unit, double load_kg, double stream_kgpm, double length_m) {
  if (!(length_m > 0))
    return 0;
  double top = unit->loader.push_speed_mps;
  if (!unit->physical)
    return length_m / top;
  filling_run run = {unit, load_kg, stream_kgpm, stream_kgpm * (1 - unit->box.leave)};
  if (!(run.met_kgpm > 0))
    return length_m / pc_unit_push_speed(unit, load_kg, fmax(0, stream_kgpm));
  /* Split where power begins to bind, where spilling sets in, and where the box is as good as full (its room
   * shrinks by e in each span; after 40 it is below rounding): every piece is smooth, and none is so long
   * that the rule could step over the stretch in which the speed changes. */
  const pc_filling *filling = &unit->filling;
  double bind_kg = full_speed_load_kg(unit, stream_kgpm),
         knee_kg = filling->spill_from * filling->capacity_kg;
  double bind_m = fmin(length_m, pc_filling_met(filling, load_kg, bind_kg) / run.met_kgpm);
  double knee_m = fmin(length_m, pc_filling_met(filling, load_kg, knee_kg) / run.met_kgpm);
  double span_m = (filling->capacity_kg - knee_kg) / ((1 - filling->side_leak) * run.met_kgpm);
  double ends_m[] = {knee_m, fmin(length_m, knee_m + 40 * fmax(0, span_m)), length_m};
  gsl_function function = {slowness, &run};
  double time_s = bind_m / top, at_m = bind_m;
  for (size_t i = 0; i < sizeof ends_m / sizeof ends_m[0]; i++) {
    if (ends_m[i] <= at_m)
      continue;
    time_s += integrate(&function, at_m, ends_m[i], 30);
    at_m = ends_m[i];
  }
  return time_s;
}

/* ---- handbook forms ---- */

double pc_production_m3ph(double load_m3, double cycle_s, double work_minutes_per_hour) {
  return load_m3 * work_minutes_per_hour * 60 / cycle_s;
}

double pc_field_capacity_m2ps(double speed_mps, double width_m, double efficiency) {
  return speed_mps * width_m * efficiency;
}

double pc_rimpull_n(double power_w, double efficiency, double speed_mps) {
  return power_w * efficiency / speed_mps;
}
