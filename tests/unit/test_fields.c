// SPDX-License-Identifier: GPL-3.0-or-later
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <string.h>

#include "base/fields.h"

typedef struct thing {
  double width_m, share, angle_rad, free_m, floor_m, ceiling_m, depth_m;
  int count, colour;
  bool flag;
  pc_name name, alias;
} thing;

static const char *const colours[] = {"red", "green", NULL};

/* Every member in its place, so that a new one is seen here. */
static const pc_field items[] = {
    {"width", PC_FIELD_QUANTITY, PC_DIM_LENGTH, offsetof(thing, width_m), 0, 15, true, true, false, NULL,
     NULL, "width over all", NULL, 0, NULL},
    {"share", PC_FIELD_QUANTITY, PC_DIM_SHARE, offsetof(thing, share), 0, 1, false, false, false, NULL, "0.5",
     "a share", NULL, 0, NULL},
    {"turn.angle", PC_FIELD_QUANTITY, PC_DIM_ANGLE, offsetof(thing, angle_rad), 0, INFINITY, true, false,
     false, NULL, "none", "angle", NULL, 0, NULL},
    {"free", PC_FIELD_QUANTITY, PC_DIM_LENGTH, offsetof(thing, free_m), -INFINITY, INFINITY, false, false,
     false, NULL, "none", "any", NULL, 0, NULL},
    {"floor", PC_FIELD_QUANTITY, PC_DIM_LENGTH, offsetof(thing, floor_m), 0.5, INFINITY, false, false, false,
     NULL, "none", "low", NULL, 0, NULL},
    {"ceiling", PC_FIELD_QUANTITY, PC_DIM_LENGTH, offsetof(thing, ceiling_m), -INFINITY, 3, false, false,
     false, NULL, "none", "high", NULL, 0, NULL},
    {"count", PC_FIELD_INTEGER, PC_DIM_NUMBER, offsetof(thing, count), 1, 100000, false, false, false, NULL,
     "1", "how many", NULL, 0, NULL},
    {"colour", PC_FIELD_CHOICE, PC_DIM_NUMBER, offsetof(thing, colour), 0, 0, false, false, false, colours,
     "red", "colour", NULL, 0, NULL},
    {"flag", PC_FIELD_FLAG, PC_DIM_NUMBER, offsetof(thing, flag), 0, 0, false, false, false, NULL, "false",
     "flag", NULL, 0, NULL},
    {"name", PC_FIELD_NAME, PC_DIM_NUMBER, offsetof(thing, name), 0, 0, false, true, false, NULL, NULL,
     "name", NULL, 0, NULL},
    {"depth", PC_FIELD_QUANTITY, PC_DIM_LENGTH, offsetof(thing, depth_m), 0, 3, false, true, false, NULL,
     NULL, "depth, but of red things only", NULL, 0, "colour"},
    {"alias", PC_FIELD_NAME, PC_DIM_NUMBER, offsetof(thing, alias), 0, 0, false, false, false, NULL, "none",
     "second name", NULL, 0, NULL},
};

static const pc_fields table = {items, sizeof items / sizeof items[0]};

static thing good(void) {
  return (thing){.width_m = 4,
                 .share = 0.5,
                 .angle_rad = 1,
                 .free_m = -3,
                 .floor_m = 0.5,
                 .ceiling_m = 3,
                 .depth_m = 1,
                 .count = 1,
                 .name = pc_name_of("a")};
}

/* Exactly one fault, with this key, status and words. */
static void expect(const thing *object, const char *key, pc_status status, const char *says) {
  pc_faults faults = {0};
  pc_fields_validate(&table, object, "box", &faults);
  assert_int_equal(faults.count, 1);
  assert_string_equal(faults.items[0].key, key);
  assert_int_equal(faults.items[0].status, status);
  if (!strstr(faults.items[0].message, says))
    fail_msg("%s", faults.items[0].message);
  pc_faults_free(&faults);
}

/* What a choice makes needless may be left out then, but not be wrong. */
static void a_choice_excuses(void **state) {
  (void)state;
  pc_faults faults = {0};
  thing object = good();
  object.depth_m = NAN;
  expect(&object, "box.depth", PC_ERR_MISSING, "is required");
  object.colour = 1;
  pc_fields_validate(&table, &object, "box", &faults);
  assert_int_equal(faults.count, 0);
  object.depth_m = 4;
  expect(&object, "box.depth", PC_ERR_RANGE, "4 m");
}

static void good_things_pass(void **state) {
  (void)state;
  pc_faults faults = {0};
  thing object = good();
  pc_fields_validate(&table, &object, "box", &faults);
  object.share = object.angle_rad = object.free_m = object.floor_m = object.ceiling_m = NAN;
  pc_fields_validate(&table, &object, "box", &faults);
  object = good();
  object.width_m = 15; /* the largest allowed, and the smallest and largest share */
  object.share = 0;
  pc_fields_validate(&table, &object, NULL, &faults);
  object.share = 1;
  object.count = 100000;
  object.colour = 1;
  object.flag = true;
  pc_fields_validate(&table, &object, "", &faults);
  assert_int_equal(faults.count, 0);
}

static void each_fault_is_told(void **state) {
  (void)state;
  thing object = good();
  object.width_m = NAN;
  expect(&object, "box.width", PC_ERR_MISSING, "is required (width over all), e.g. \"16 ft\" or \"4.9 m\"");
  object = good();
  object.width_m = 0;
  expect(&object, "box.width", PC_ERR_RANGE, "0 m is outside what is allowed: more than 0 m, at most 15 m");
  object.width_m = 15.5;
  expect(&object, "box.width", PC_ERR_RANGE, "15.5 m is outside");
  object.width_m = INFINITY;
  expect(&object, "box.width", PC_ERR_RANGE, "an infinite value is outside");
  object = good();
  object.share = 1.5;
  expect(&object, "box.share", PC_ERR_RANGE, "1.5 (150 %) is outside what is allowed: 0 … 1 (100 %)");
  object.share = -0.1;
  expect(&object, "box.share", PC_ERR_RANGE, "-0.1 (-10 %) is outside");
  object = good();
  object.angle_rad = 0;
  expect(&object, "box.turn.angle", PC_ERR_RANGE, "allowed: more than 0 deg");
  object = good();
  object.free_m = -INFINITY; /* no bounds, but infinities never pass */
  expect(&object, "box.free", PC_ERR_RANGE, "any length");
  object = good();
  object.floor_m = 0.25;
  expect(&object, "box.floor", PC_ERR_RANGE, "25 cm is outside what is allowed: at least 50 cm");
  object = good();
  object.ceiling_m = 3.25;
  expect(&object, "box.ceiling", PC_ERR_RANGE, "at most 3 m");
  object = good();
  object.count = 0;
  expect(&object, "box.count", PC_ERR_RANGE, "0 is outside what is allowed: 1 … 100,000");
  object = good();
  object.colour = 2;
  expect(&object, "box.colour", PC_ERR_RANGE, "must be one of red, green");
  object.colour = -1;
  expect(&object, "box.colour", PC_ERR_RANGE, "must be one of red, green");
  object = good();
  object.name = pc_name_of("");
  expect(&object, "box.name", PC_ERR_MISSING, "is required (name)");
  object = good();
  memset(object.alias.text, 'x', sizeof object.alias.text);
  expect(&object, "box.alias", PC_ERR_LIMIT, "longer than a name may be: 63 bytes");
  memset(object.alias.text, 0, sizeof object.alias.text);
  memset(object.alias.text, 'x',
         PC_NAME_MAX); /* there is room for it, but only for what is made of several */
  expect(&object, "box.alias", PC_ERR_LIMIT, "longer than a name may be: 63 bytes");
  static const char *const odd[] = {"l\xF6t", "two\nlines", "a\ttab"};
  for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
    object.alias = pc_name_of(odd[i]);
    expect(&object, "box.alias", PC_ERR_SYNTAX, "a name is UTF-8 text on one line");
  }
}

static void every_fault_is_reported(void **state) {
  (void)state;
  pc_faults faults = {0};
  thing object = {.width_m = NAN,
                  .share = 2,
                  .angle_rad = -1,
                  .free_m = INFINITY,
                  .floor_m = 0,
                  .ceiling_m = 9,
                  .colour = 7};
  pc_fields_validate(&table, &object, NULL, &faults);
  const char *const keys[] = {"width",   "share", "turn.angle", "free", "floor",
                              "ceiling", "count", "colour",     "name"};
  assert_int_equal(faults.count, 9);
  for (size_t i = 0; i < 9; i++)
    assert_string_equal(faults.items[i].key, keys[i]);
  pc_faults_free(&faults);
}

static void lost_defaults_are_faults(void **state) {
  (void)state;
  pc_faults faults = {0};
  thing defaults = good(), object = good();
  defaults.free_m = NAN;
  object.free_m = object.width_m = NAN; /* optional without a default; required: another check's business */
  pc_fields_check_defaults(&table, &object, &defaults, "box", &faults);
  assert_int_equal(faults.count, 0);
  object.share = NAN;
  pc_fields_check_defaults(&table, &object, &defaults, "box", &faults);
  assert_int_equal(faults.count, 1);
  assert_string_equal(faults.items[0].key, "box.share");
  assert_non_null(strstr(faults.items[0].message, "default (0.5)"));
  pc_faults_free(&faults);
}

static void ranges_print(void **state) {
  (void)state;
  const char *const texts[] = {"more than 0 m, at most 15 m",
                               "0 … 1",
                               "more than 0 deg",
                               "any length",
                               "at least 50 cm",
                               "at most 3 m",
                               "1 … 100,000",
                               "one of red, green",
                               "true or false",
                               "a name of at most 63 bytes",
                               "0 m … 3 m",
                               "a name of at most 63 bytes"};
  char text[80];
  for (size_t i = 0; i < table.count; i++) {
    assert_int_equal(pc_field_print_range(&items[i], PC_METRIC, text, sizeof text), strlen(texts[i]));
    assert_string_equal(text, texts[i]);
  }
  pc_field any = {.kind = PC_FIELD_INTEGER, .min = -INFINITY, .max = INFINITY};
  pc_field_print_range(&any, PC_METRIC, text, sizeof text);
  assert_string_equal(text, "any whole number");
  pc_field wordless = {.kind = PC_FIELD_CHOICE};
  pc_field_print_range(&wordless, PC_METRIC, text, sizeof text);
  assert_string_equal(text, "one of the documented words");
  char little[4];
  assert_int_equal(pc_field_print_range(&items[1], PC_METRIC, little, sizeof little), strlen("0 … 1"));
}

static void fields_are_found(void **state) {
  (void)state;
  assert_ptr_equal(pc_fields_find(&table, "turn.angle"), &items[2]);
  assert_null(pc_fields_find(&table, "turn"));
  assert_null(pc_fields_find(&table, ""));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(good_things_pass),         cmocka_unit_test(a_choice_excuses),
      cmocka_unit_test(each_fault_is_told),       cmocka_unit_test(every_fault_is_reported),
      cmocka_unit_test(lost_defaults_are_faults), cmocka_unit_test(ranges_print),
      cmocka_unit_test(fields_are_found),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
