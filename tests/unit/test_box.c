// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "machine/box.h"
#include "validation.h"

static void assert_near(double value, double expected, double relative) {
  double slack = relative * fmax(fabs(expected), 1e-300);
  if (!(fabs(value - expected) <= slack))
    fail_msg("%.15g is not within %g (relative) of %.15g", value, relative, expected);
}

#define DEGREE (3.14159265358979323846 / 180)

static pc_box box_of(double width_m, double height_m) {
  pc_box box = pc_box_default();
  box.name = pc_name_of("box");
  box.width_m = width_m;
  box.height_m = height_m;
  return box;
}

static double si(const char *text, pc_dimension dimension) {
  double value = NAN;
  assert_int_equal(pc_units_parse(text, dimension, &value, NULL), PC_OK);
  return value;
}

static void straight_blade_rating(void **state) {
  (void)state;
  /* SAE J1265: V = 0.8·W·H² = 4.608 m³ for 4 m × 1.2 m. */
  pc_box box = box_of(4, 1.2);
  assert_published("SAE J1265", "straight blade 4 m x 1.2 m, m3", pc_box_volume_m3(&box, 40 * DEGREE), 4.608,
                   1e-11);
  assert_near(pc_box_volume_m3(&box, 20 * DEGREE), 4.608, 1e-12); /* no side plates, so no angle */
}

static void u_blade_rating_through_a_given_heap_factor(void **state) {
  (void)state;
  /* SAE J1265: Z = 0.5 m, α = 25° add Z·H·(W − Z)·tan α; per face, a length: 5.587 m³ in all. */
  pc_box box = box_of(4, 1.2);
  box.heap_factor_m = 0.8 * 1.2 + 0.5 * (4 - 0.5) * tan(25 * DEGREE) / 4;
  assert_published("SAE J1265", "U blade 4 m x 1.2 m, m3", pc_box_volume_m3(&box, 40 * DEGREE), 5.587, 5e-4);
}

static void measured_blade_load(void **state) {
  (void)state;
  /* FM 5-434 (2000), ch. 2: V = 0.375·H·W·L/27 = 6.142 loose yd³ for H 5.05, W 6.95, L 12.6 ft: so much per
   * face of L × H. */
  pc_box box = box_of(si("12.6 ft", PC_DIM_LENGTH), si("5.05 ft", PC_DIM_LENGTH));
  box.heap_factor_m = 0.375 * si("6.95 ft", PC_DIM_LENGTH);
  double yards = pc_units_convert(pc_box_volume_m3(&box, 40 * DEGREE), PC_DIM_VOLUME, "yd3");
  assert_published("US Army FM 5-434 (2000), ch. 2", "measured blade load, yd3", yards, 6.142, 5e-4);
}

/* Area under the slope by summing thin columns; the slow twin of the closed form. */
static double heap_factor_by_columns(double height, double length, double angle) {
  const int columns = 200000;
  double area = 0, step = length / columns;
  for (int i = 0; i < columns; i++)
    area += fmax(0, height - (i + 0.5) * step * tan(angle)) * step;
  return area / height;
}

static void side_plates_cut_the_heap(void **state) {
  (void)state;
  const double lengths[] = {0.2, 0.9, 1.3, 1.43, 1.44, 3.0}, angles[] = {25, 40, 50};
  for (size_t i = 0; i < 6; i++)
    for (size_t j = 0; j < 3; j++) {
      pc_box box = box_of(4, 1.2);
      box.side_plate_m = lengths[i];
      assert_near(pc_box_heap_factor_m(&box, angles[j] * DEGREE),
                  heap_factor_by_columns(1.2, lengths[i], angles[j] * DEGREE), 1e-8);
    }
  /* At 45° with long plates the heap is a triangle: half the height (plane geometry). */
  pc_box box = box_of(4, 1.2);
  box.side_plate_m = 2;
  assert_near(pc_box_heap_factor_m(&box, 45 * DEGREE), 0.6, 1e-12);
  box.heap_factor_m = 0.9144; /* given: wins */
  assert_near(pc_box_heap_factor_m(&box, 45 * DEGREE), 0.9144, 0);
}

static void swath_is_width_less_overlap(void **state) {
  (void)state;
  pc_box box = box_of(si("16 ft", PC_DIM_LENGTH), 1.2);
  box.overlap_m = si("1 ft", PC_DIM_LENGTH);
  assert_near(pc_box_swath_m(&box), si("15 ft", PC_DIM_LENGTH), 1e-15);
}

static void spill_rises_to_everything(void **state) {
  (void)state;
  pc_box box = box_of(4, 1.2);
  assert_near(pc_box_spill(&box, -1), 0.02, 0);
  assert_near(pc_box_spill(&box, 0), 0.02, 0);
  assert_near(pc_box_spill(&box, 0.85), 0.02, 0);
  assert_near(pc_box_spill(&box, 0.925), 0.51, 1e-12); /* half-way from 0.02 to 1 */
  assert_near(pc_box_spill(&box, 1), 1, 0);
  assert_near(pc_box_spill(&box, 1.5), 1, 0);
  box.spill_from = 1; /* spills nothing more until it is full */
  assert_near(pc_box_spill(&box, 0.999999), 0.02, 0);
  assert_near(pc_box_spill(&box, 1), 1, 0);
}

static const pc_filling filling = {1000, 0.02, 0.85, 0.01};

static void filling_follows_its_equation(void **state) {
  (void)state;
  /* Naive twin: dload = (1 − spill(load/capacity))·dmet in small steps by the midpoint rule. */
  pc_box box = box_of(4, 1.2);
  double load = 100, met = 0, step = 0.01;
  for (int i = 0; i < 150000; i++) {
    double half = load + (1 - pc_box_spill(&box, load / 1000)) * step / 2;
    load += (1 - pc_box_spill(&box, half / 1000)) * step;
    met += step;
    if (i % 1000 == 0)
      assert_near(pc_filling_load(&filling, 100, met), load, 1e-6);
  }
  assert_near(pc_filling_load(&filling, 100, met), load, 1e-6);
}

static void any_step_gives_the_same_load(void **state) {
  (void)state;
  for (double total = 10; total < 3000; total *= 1.7) {
    double load = 30;
    for (int i = 0; i < 137; i++)
      load = pc_filling_load(&filling, load, total / 137);
    assert_near(load, pc_filling_load(&filling, 30, total), 1e-12);
  }
}

static void met_inverts_load(void **state) {
  (void)state;
  for (double from = 0; from < 1000; from += 90)
    for (double to = from + 1; to < 999.9; to += 47) {
      double met = pc_filling_met(&filling, from, to);
      assert_near(pc_filling_load(&filling, from, met), to, 1e-10);
    }
}

static void filling_at_its_ends(void **state) {
  (void)state;
  assert_near(pc_filling_load(&filling, 500, 0), 500, 0);
  assert_near(pc_filling_load(&filling, 500, -3), 500, 0);
  assert_near(pc_filling_load(&filling, 1000, 50), 1000, 0);
  assert_near(pc_filling_load(&filling, 1200, 50), 1200, 0); /* overfull: takes nothing, loses nothing */
  assert_true(pc_filling_load(&filling, 0, 1e9) <= 1000);
  assert_near(pc_filling_met(&filling, 500, 400), 0, 0);
  assert_near(pc_filling_met(&filling, 500, 500), 0, 0);
  assert_true(isinf(pc_filling_met(&filling, 0, 1000)));
  assert_true(isinf(pc_filling_met(&filling, 0, 1001)));
  assert_near(pc_filling_met(&filling, 0, 850), 850 / 0.98, 1e-14);
  /* Without extra spill the brim is reached, and nothing goes beyond it. */
  const pc_filling sharp = {1000, 0.02, 1, 0.01};
  assert_near(pc_filling_met(&sharp, 0, 1000), 1000 / 0.98, 1e-14);
  assert_near(pc_filling_load(&sharp, 0, 1000), 980, 1e-14);
  assert_near(pc_filling_load(&sharp, 0, 5000), 1000, 0);
  /* A box that spills from the start, one that leaks everything, and one without room. */
  const pc_filling leaky = {1000, 0, 0, 0}, sieve = {1000, 1, 0.85, 0}, none = {0, 0.02, 0.85, 0.01};
  assert_near(pc_filling_load(&leaky, 0, 1000), 1000 * (1 - exp(-1)), 1e-14);
  assert_true(isinf(pc_filling_met(&sieve, 0, 10)));
  assert_near(pc_filling_load(&sieve, 5, 100), 5, 0);
  assert_near(pc_filling_load(&none, 0, 100), 0, 0);
  assert_true(isinf(pc_filling_met(&none, 0, 1)));
}

static void expect(const pc_box *box, const char *key, pc_status status, const char *says) {
  pc_faults faults = {0};
  pc_box_validate(box, "boxes[1]", &faults);
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
  pc_box box = pc_box_default();
  pc_box_validate(&box, "boxes[0]", &faults);
  assert_int_equal(faults.count, 3); /* name, width, height: all told at once */
  assert_true(pc_faults_has_key(&faults, "boxes[0].name"));
  assert_true(pc_faults_has_key(&faults, "boxes[0].width"));
  assert_true(pc_faults_has_key(&faults, "boxes[0].height"));
  pc_faults_free(&faults);
  box = box_of(4, 1.2);
  pc_box_validate(&box, NULL, &faults);
  assert_int_equal(faults.count, 0);
  box.heap_factor_m = 0.9;
  pc_box_validate(&box, NULL, &faults);
  assert_int_equal(faults.count, 0);
  box.overlap_m = 4;
  expect(&box, "boxes[1].overlap", PC_ERR_RANGE, "must be less than the width (4 m)");
  pc_box_validate(&box, NULL, &faults);
  assert_true(pc_faults_has_key(&faults, "overlap"));
  pc_faults_free(&faults);
  box = box_of(0, 1.2);
  expect(&box, "boxes[1].width", PC_ERR_RANGE, "more than 0 m");
  box = box_of(4, 1.2);
  box.side_leak = 1.2;
  expect(&box, "boxes[1].side_leak", PC_ERR_RANGE, "0 … 0.9");
  box = box_of(4, 1.2);
  box.spill_from = NAN;
  expect(&box, "boxes[1].spill_from", PC_ERR_RANGE, "default (0.85)");
}

static void a_side_plate_without_effect_is_a_caution(void **state) {
  (void)state;
  pc_faults faults = {0};
  pc_box box = box_of(4, 1.2);
  box.heap_factor_m = box.side_plate_m = 1;
  pc_box_validate(&box, "boxes[0]", &faults);
  pc_box_validate(&box, "", &faults);
  assert_int_equal(faults.count, 2);
  assert_int_equal(pc_faults_fatal(&faults), 0);
  assert_string_equal(faults.items[0].key, "boxes[0].side_plate");
  assert_string_equal(faults.items[1].key, "side_plate");
  pc_faults_free(&faults);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(straight_blade_rating),
      cmocka_unit_test(u_blade_rating_through_a_given_heap_factor),
      cmocka_unit_test(measured_blade_load),
      cmocka_unit_test(side_plates_cut_the_heap),
      cmocka_unit_test(swath_is_width_less_overlap),
      cmocka_unit_test(spill_rises_to_everything),
      cmocka_unit_test(filling_follows_its_equation),
      cmocka_unit_test(any_step_gives_the_same_load),
      cmocka_unit_test(met_inverts_load),
      cmocka_unit_test(filling_at_its_ends),
      cmocka_unit_test(faults_are_found),
      cmocka_unit_test(a_side_plate_without_effect_is_a_caution),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
