// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "machine/loader.h"
#include "published.h"

/* ---- speeds under load ---- */

static void speed_from_the_published_force(void **state) {
  (void)state;
  /* The push force above at 2.5 m/s takes 15,647.5 W at the wheels: with that power the cubic must give back
   * 2.5 m/s. Rolling and box left out, as there. */
  pc_loader loader = strong_loader(6258.99 * 2.5 / 0.7, 20000, 0.9);
  loader.push_speed_mps = 20;
  loader.rolling_resistance = 0;
  pc_box box = box_of(4, 1);
  pc_unit unit = unit_of(&loader, &box);
  assert_published("Friction and momentum flux, closed form", "speed from the cubic, m/s",
                   pc_unit_push_speed(&unit, 1500, 60), 2.5, 5e-6);
  /* 150 kW at 0.85 moves 51,000 N at 2.5 m/s: the rimpull formula read backwards. */
  loader = strong_loader(150000, 51000 / PC_GRAVITY_MPS2 / 0.5, 0.9);
  loader.drive_efficiency = 0.85;
  loader.rolling_resistance = 0.5;
  loader.push_speed_mps = loader.carry_speed_mps = 20;
  unit = unit_of(&loader, &box);
  assert_published("Rimpull, closed form", "speed from rimpull, m/s", pc_unit_push_speed(&unit, 0, 0), 2.5,
                   1e-12);
  assert_published("Rimpull, closed form", "carry speed from rimpull, m/s", pc_unit_carry_speed(&unit, 0),
                   2.5, 1e-12);
}

/* Slow twin of the cubic: halving. */
static double speed_by_halving(double stream, double force, double power, double top) {
  double low = 0, high = top;
  if ((force + stream * top * top) * top <= power)
    return top;
  for (int i = 0; i < 200; i++) {
    double middle = (low + high) / 2;
    if ((force + stream * middle * middle) * middle <= power)
      low = middle;
    else
      high = middle;
  }
  return low;
}

static void cubic_agrees_with_halving(void **state) {
  (void)state;
  const double grades[] = {-0.3, -0.051, -0.05, 0, 0.1};
  pc_box box = box_of(4, 1);
  for (int g = 0; g < 5; g++)
    for (double power = 500; power < 1e6; power *= 5)
      for (double stream = 1e-12; stream < 1e4; stream *= 31)
        for (double load = 0; load < 20000; load = 3 * load + 100) {
          pc_loader loader = strong_loader(power, 14000, 0.25);
          loader.grade = grades[g];
          loader.push_speed_mps = 12;
          pc_unit unit = unit_of(&loader, &box);
          double force = pc_unit_resistance(&unit, load, stream, 1).static_n;
          double expected = speed_by_halving(stream, force, 0.7 * power, 12);
          assert_near(pc_unit_push_speed(&unit, load, stream), expected, 1e-12);
        }
}

/* The closed form alone loses every digit here; so would dividing by such a stream. */
static void a_breath_of_snow_costs_nothing(void **state) {
  (void)state;
  pc_loader loader = strong_loader(5000, 14000, 0.25);
  loader.push_speed_mps = 12;
  pc_box box = box_of(4, 1);
  pc_unit unit = unit_of(&loader, &box);
  double clear = pc_unit_push_speed(&unit, 1000, 0);
  assert_true(clear < 12);
  const double streams[] = {1e-15, 1e-20, 1e-30, 1e-100, 1e-310};
  for (int i = 0; i < 5; i++)
    assert_near(pc_unit_push_speed(&unit, 1000, streams[i]), clear, 1e-14);
}

static void carry_speed_is_limited(void **state) {
  (void)state;
  pc_loader loader = strong_loader(30000, 14000, 0.25);
  pc_box box = box_of(4, 1);
  pc_unit unit = unit_of(&loader, &box);
  double force = pc_unit_resistance(&unit, 3000, 0, 0).static_n;
  assert_near(pc_unit_carry_speed(&unit, 3000), 21000 / force, 1e-14);
  assert_near(pc_rimpull_n(30000, 0.7, pc_unit_carry_speed(&unit, 3000)), force, 1e-14);
  loader.grade = -0.2; /* rolls down by itself */
  unit = unit_of(&loader, &box);
  assert_near(pc_unit_carry_speed(&unit, 0), loader.carry_speed_mps, 0);
  assert_near(pc_unit_push_speed(&unit, 0, 0), loader.push_speed_mps, 0);
}

static void without_physics_speeds_are_as_given(void **state) {
  (void)state;
  pc_loader loader = loader_of();
  loader.power_w = 1; /* power alone switches nothing on */
  pc_box box = box_of(4, 1);
  pc_unit unit = unit_of(&loader, &box);
  assert_false(unit.physical);
  assert_near(pc_unit_push_speed(&unit, 1e6, 1e6), loader.push_speed_mps, 0);
  assert_near(pc_unit_carry_speed(&unit, 1e6), loader.carry_speed_mps, 0);
  assert_near(pc_unit_fill_time_s(&unit, 0, 40, 30), 30 / loader.push_speed_mps, 0);
  loader.mass_kg = 14000; /* nor does it with the mass */
  assert_false(unit_of(&loader, &box).physical);
  assert_true(isinf(unit.traction_capacity_kg));
}

/* ---- units ---- */

static void unit_resolves_its_defaults(void **state) {
  (void)state;
  pc_loader loader = loader_of();
  pc_box box = box_of(4, 1.2);
  pc_unit unit = unit_of(&loader, &box);
  assert_near(unit.loader.reverse_speed_mps, si("10 km/h", PC_DIM_SPEED), 1e-15); /* 5/8 of 16 km/h */
  assert_near(unit.loader.back_out_m, 8, 0);
  assert_near(unit.volume_m3, 4.608, 1e-12); /* SAE J1265 */
  assert_near(unit.volume_capacity_kg, 4.608 * 250, 1e-12);
  assert_near(unit.capacity_kg, 4.608 * 250, 1e-12);
  assert_near(unit.filling.capacity_kg, 4.608 * 250, 1e-12);
  assert_near(unit.swath_m, 3.7, 1e-15);
  assert_near(unit.fresh_density_kgpm3, 100, 0);
  assert_int_equal(unit.limited_by, PC_LIMIT_VOLUME);
  loader.reverse_speed_mps = 1;
  loader.back_out_m = 3;
  unit = unit_of(&loader, &box);
  assert_near(unit.loader.reverse_speed_mps, 1, 0);
  assert_near(unit.loader.back_out_m, 3, 0);
}

static void what_limits_a_unit(void **state) {
  (void)state;
  pc_box box = box_of(4, 1.2);
  pc_loader loader = strong_loader(125000, 14000, 0.25);
  assert_int_equal(unit_of(&loader, &box).limited_by, PC_LIMIT_VOLUME);
  loader.power_w = 15000;
  assert_int_equal(unit_of(&loader, &box).limited_by, PC_LIMIT_POWER);
  loader.power_w = 125000; /* enough to push, not to carry this fast */
  loader.carry_speed_mps = 20;
  assert_int_equal(unit_of(&loader, &box).limited_by, PC_LIMIT_POWER);
  loader = strong_loader(15000, 14000, 0.06);
  pc_unit unit = unit_of(&loader, &box);
  assert_int_equal(unit.limited_by, PC_LIMIT_TRACTION);
  /* (0.06 − 0.05)·14,000/0.4 = 350 kg; the box still spills by its own volume. */
  assert_near(unit.traction_capacity_kg, 350, 1e-9);
  assert_near(unit.capacity_kg, 350, 1e-9);
  assert_near(unit.filling.capacity_kg, 4.608 * 250, 1e-12);
  box.mass_kg = 1000; /* its drag is more than the tyres have left: the unit cannot move a load */
  unit = unit_of(&loader, &box);
  assert_near(unit.traction_capacity_kg, -400, 1e-9);
  assert_near(unit.capacity_kg, 0, 0);
  assert_int_equal(unit.limited_by, PC_LIMIT_TRACTION);
}

static void frictionless_snow(void **state) {
  (void)state;
  pc_box box = box_of(4, 1.2);
  pc_loader loader = strong_loader(125000, 14000, 0.25);
  loader.snow_friction = 0;
  pc_unit unit = unit_of(&loader, &box);
  assert_true(unit.traction_capacity_kg > 0 && isinf(unit.traction_capacity_kg));
  assert_near(unit.capacity_kg, unit.volume_capacity_kg, 0);
  assert_near(pc_unit_fill_time_s(&unit, 0, 37, 10), 10 / loader.push_speed_mps, 1e-14);
  loader.traction = 0.04;
  unit = unit_of(&loader, &box);
  assert_true(unit.traction_capacity_kg < 0);
  assert_near(unit.capacity_kg, 0, 0);
  loader.power_w = 1000; /* speed is the same however full, and below the top */
  unit = unit_of(&loader, &box);
  assert_near(pc_unit_fill_time_s(&unit, 0, 37, 10), 10 / pc_unit_push_speed(&unit, 0, 37), 1e-12);
}

static void limits_have_names(void **state) {
  (void)state;
  assert_string_equal(pc_limit_name(PC_LIMIT_VOLUME), "volume");
  assert_string_equal(pc_limit_name(PC_LIMIT_TRACTION), "traction");
  assert_string_equal(pc_limit_name(PC_LIMIT_POWER), "power");
  assert_string_equal(pc_limit_name((pc_limit)9), "unknown");
}

/* ---- time to fill ---- */

/* Slow twin: the midpoint rule in many small steps. */
static double fill_time_by_steps(const pc_unit *unit, double load, double stream, double length) {
  const int steps = 100000;
  double time = 0, step = length / steps;
  for (int i = 0; i < steps; i++) {
    double at = pc_filling_load(&unit->filling, load, stream * (1 - unit->box.leave) * (i + 0.5) * step);
    time += step / pc_unit_push_speed(unit, at, stream);
  }
  return time;
}

static void fill_time_agrees_with_steps(void **state) {
  (void)state;
  pc_box box = box_of(4, 1.2);
  const double powers[] = {5000, 20000, 25000, 30000, 200000}, loads[] = {0, 500, 1000, 1152};
  for (int p = 0; p < 5; p++)
    for (int l = 0; l < 4; l++)
      for (double length = 3; length < 150; length *= 4) {
        pc_loader loader = strong_loader(powers[p], 14000, 0.25);
        pc_unit unit = unit_of(&loader, &box);
        assert_near(pc_unit_fill_time_s(&unit, loads[l], 37, length),
                    fill_time_by_steps(&unit, loads[l], 37, length), 2e-9);
      }
}

static void fill_time_of_a_heavy_heap(void **state) {
  (void)state;
  /* A light machine before a huge box that spills from the start: the speed falls to a small part of what it
   * was within one smooth stretch, too much for one pass of the rule. */
  pc_loader loader = strong_loader(20000, 2000, 1.5);
  loader.push_speed_mps = 45;
  loader.rolling_resistance = 0.02;
  pc_box box = box_of(8, 3);
  box.spill_from = 0;
  pc_unit unit = unit_of(&loader, &box);
  assert_true(pc_unit_push_speed(&unit, 0, 10) > 5 * pc_unit_push_speed(&unit, unit.volume_capacity_kg, 10));
  for (double length = 30; length < 1e5; length *= 5)
    assert_near(pc_unit_fill_time_s(&unit, 0, 10, length), fill_time_by_steps(&unit, 0, 10, length), 2e-9);
}

static void fill_time_over_a_very_long_way(void **state) {
  (void)state;
  /* Far beyond full the speed settles: the adaptive rule has to find the short stretch where it changes. */
  pc_loader loader = strong_loader(20000, 14000, 0.25);
  pc_box box = box_of(4, 1.2);
  pc_unit unit = unit_of(&loader, &box);
  double settled = pc_unit_push_speed(&unit, unit.volume_capacity_kg, 37);
  double start = pc_unit_fill_time_s(&unit, 0, 37, 100);
  double load = pc_filling_load(&unit.filling, 0, 37 * 0.99 * 100);
  for (double more = 1e3; more < 1e7; more *= 10) {
    /* What is left of the settling, by steps, then the settled speed. */
    double expected = start + fill_time_by_steps(&unit, load, 37, 400) + (more - 500) / settled;
    assert_near(pc_unit_fill_time_s(&unit, 0, 37, more), expected, 2e-9);
  }
}

static void fill_time_in_thin_snow(void **state) {
  (void)state;
  /* So thin that its momentum is nothing: v = ηP/(F₀ + μ·g·s·x), and the time is (F₀·L + μ·g·s·L²/2)/ηP. */
  pc_loader loader = strong_loader(10000, 14000, 0.5);
  loader.push_speed_mps = 40;
  pc_box box = box_of(4, 1.2);
  box.leave = box.side_leak = 0;
  box.spill_from = 1;
  pc_unit unit = unit_of(&loader, &box);
  double stream = 1e-6, length = 1e9, drag = 0.4 * PC_GRAVITY_MPS2 * stream;
  double expected = (0.05 * 14000 * PC_GRAVITY_MPS2 * length + drag * length * length / 2) / 7000;
  assert_near(pc_unit_fill_time_s(&unit, 0, stream, length), expected, 1e-9);
  assert_near(pc_unit_fill_time_s(&unit, 0, 0, 10), 10 / pc_unit_push_speed(&unit, 0, 0), 0);
  assert_near(pc_unit_fill_time_s(&unit, 0, -1, 10), 10 / pc_unit_push_speed(&unit, 0, 0), 0);
  assert_near(pc_unit_fill_time_s(&unit, 0, 37, 0), 0, 0);
  assert_near(pc_unit_fill_time_s(&unit, 0, 37, -2), 0, 0);
}

static void fill_time_adds_up(void **state) {
  (void)state;
  pc_loader loader = strong_loader(20000, 14000, 0.25);
  pc_box box = box_of(4, 1.2);
  pc_unit unit = unit_of(&loader, &box);
  double whole = pc_unit_fill_time_s(&unit, 0, 37, 60), sum = 0, load = 0;
  for (int i = 0; i < 7; i++) {
    sum += pc_unit_fill_time_s(&unit, load, 37, 60.0 / 7);
    load = pc_filling_load(&unit.filling, load, 37 * 0.99 * 60 / 7);
  }
  assert_near(sum, whole, 1e-9);
}

/* ---- validation ---- */

static void expect(const pc_loader *loader, const char *key, pc_status status, const char *says) {
  pc_faults faults = {0};
  pc_loader_validate(loader, "loaders[0]", &faults);
  assert_int_equal(faults.count, 1);
  assert_string_equal(faults.items[0].key, key);
  assert_int_equal(faults.items[0].status, status);
  if (!strstr(faults.items[0].message, says))
    fail_msg("%s", faults.items[0].message);
  pc_faults_free(&faults);
}

static void faults_are_found(void **state) {
  (void)state;
  pc_faults faults = {0};
  pc_loader loader = pc_loader_default();
  pc_loader_validate(&loader, "loaders[0]", &faults);
  const char *const required[] = {"loaders[0].name", "loaders[0].speeds.push", "loaders[0].speeds.carry",
                                  "loaders[0].speeds.return"};
  assert_int_equal(faults.count, 4);
  for (int i = 0; i < 4; i++)
    assert_true(pc_faults_has_key(&faults, required[i]));
  pc_faults_free(&faults);
  loader = loader_of();
  pc_loader_validate(&loader, "loaders[0]", &faults);
  assert_int_equal(faults.count, 0);
  loader.push_speed_mps = 0;
  expect(&loader, "loaders[0].speeds.push", PC_ERR_RANGE, "0.036 km/h … 180 km/h");
  loader = loader_of();
  loader.dump_s = -1;
  expect(&loader, "loaders[0].times.dump", PC_ERR_RANGE, "-1 s is outside");
  loader = loader_of();
  loader.drive_efficiency = 1.1;
  expect(&loader, "loaders[0].drive_efficiency", PC_ERR_RANGE, "0.01 … 1");
  loader = loader_of();
  loader.turn_s = NAN;
  expect(&loader, "loaders[0].times.turn", PC_ERR_RANGE, "default (8 s)");
  loader = strong_loader(125000, 14000, NAN);
  expect(&loader, "loaders[0].traction", PC_ERR_MISSING, "power, mass and traction work only together");
  loader = loader_of();
  loader.fuel_per_kwh_l = 0.25;
  expect(&loader, "loaders[0].fuel.idle", PC_ERR_MISSING, "give both, or none");
  loader.fuel_idle_lph = 4;
  pc_loader_validate(&loader, "loaders[0]", &faults);
  assert_int_equal(faults.count, 0);
}

static void each_missing_part_is_told(void **state) {
  (void)state;
  pc_faults faults = {0};
  pc_loader loader = loader_of();
  loader.mass_kg = 14000;
  pc_loader_validate(&loader, NULL, &faults);
  pc_loader_validate(&loader, "", &faults);
  assert_int_equal(faults.count, 4);
  assert_string_equal(faults.items[0].key, "power");
  assert_string_equal(faults.items[1].key, "traction");
  assert_string_equal(faults.items[2].key, "power");
  pc_faults_free(&faults);
}

/* Defaults told in words must be the defaults in force, wherever the words are a quantity. */
static void words_and_defaults_agree(void **state) {
  (void)state;
  pc_loader loader = pc_loader_default();
  pc_box box = pc_box_default();
  pc_snow snow = pc_snow_default();
  const struct {
    const pc_fields *fields;
    const void *object;
  } tables[] = {{&pc_loader_fields, &loader}, {&pc_box_fields, &box}, {&pc_snow_fields, &snow}};
  int compared = 0;
  for (size_t t = 0; t < 3; t++)
    for (size_t i = 0; i < tables[t].fields->count; i++) {
      const pc_field *field = &tables[t].fields->items[i];
      assert_non_null(field->help);
      assert_true(field->required == (field->fallback == NULL));
      if (field->kind != PC_FIELD_QUANTITY || field->required)
        continue;
      double value = *(const double *)((const char *)tables[t].object + field->offset), told;
      char words[80];
      strncpy(words, field->fallback, sizeof words - 1);
      words[79] = '\0';
      char *remark = strstr(words, " (");
      if (remark)
        *remark = '\0';
      if (pc_units_parse(words, field->dimension, &told, NULL) == PC_OK) {
        assert_near(value, told, 1e-15);
        compared++;
      } else {
        assert_true(isnan(value));
      }
    }
  assert_true(compared >= 20);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(speed_from_the_published_force),
      cmocka_unit_test(cubic_agrees_with_halving),
      cmocka_unit_test(a_breath_of_snow_costs_nothing),
      cmocka_unit_test(fill_time_of_a_heavy_heap),
      cmocka_unit_test(fill_time_over_a_very_long_way),
      cmocka_unit_test(carry_speed_is_limited),
      cmocka_unit_test(without_physics_speeds_are_as_given),
      cmocka_unit_test(unit_resolves_its_defaults),
      cmocka_unit_test(what_limits_a_unit),
      cmocka_unit_test(frictionless_snow),
      cmocka_unit_test(limits_have_names),
      cmocka_unit_test(fill_time_agrees_with_steps),
      cmocka_unit_test(fill_time_in_thin_snow),
      cmocka_unit_test(fill_time_adds_up),
      cmocka_unit_test(faults_are_found),
      cmocka_unit_test(each_missing_part_is_told),
      cmocka_unit_test(words_and_defaults_agree),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
