// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/fields.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const void *member(const pc_field *field, const void *object) {
  return (const char *)object + field->offset;
}

static void join_key(char key[PC_KEY_MAX], const char *prefix, const pc_field *field) {
  bool has_prefix = prefix && prefix[0];
  snprintf(key, PC_KEY_MAX, "%s%s%s", has_prefix ? prefix : "", has_prefix ? "." : "", field->key);
}

static void print_value(char *text, size_t size, const pc_field *field, pc_unit_system system, double value) {
  /* Shares are shown as they are documented, 0…1. */
  pc_dimension dimension =
      field->dimension == PC_DIM_SHARE || field->kind == PC_FIELD_INTEGER ? PC_DIM_NUMBER : field->dimension;
  pc_units_print(text, size, value, dimension, system, 6);
}

static void print_choices(const pc_field *field, pc_text *list) {
  for (const char *const *choice = field->choices; choice && *choice; choice++) {
    pc_text_add(list, list->length ? ", " : "");
    pc_text_add(list, *choice);
  }
}

int pc_field_print_range(const pc_field *field, pc_unit_system system, char *text, size_t size) {
  if (field->kind == PC_FIELD_NAME)
    return snprintf(text, size, "a name of at most %d bytes", PC_NAME_MAX - 1);
  if (field->kind == PC_FIELD_FLAG)
    return snprintf(text, size, "true or false");
  if (field->kind == PC_FIELD_CHOICE) {
    pc_text list = {0};
    print_choices(field, &list);
    int printed =
        snprintf(text, size, "one of %s", list.failed || !list.data ? "the documented words" : list.data);
    pc_text_free(&list);
    return printed;
  }
  char least[64], most[64];
  print_value(least, sizeof least, field, system, field->min);
  print_value(most, sizeof most, field, system, field->max);
  bool has_least = isfinite(field->min), has_most = isfinite(field->max);
  if (has_least && has_most)
    return field->above_min ? snprintf(text, size, "more than %s, at most %s", least, most)
                            : snprintf(text, size, "%s … %s", least, most);
  if (has_least)
    return snprintf(text, size, "%s %s", field->above_min ? "more than" : "at least", least);
  if (has_most)
    return snprintf(text, size, "at most %s", most);
  const char *noun = field->kind == PC_FIELD_INTEGER ? "whole number" : pc_dimension_name(field->dimension);
  return snprintf(text, size, "any %s%s%s", noun, field->word ? ", or " : "", field->word ? field->word : "");
}

static void add_missing(const pc_field *field, const char *key, pc_faults *faults) {
  const char *example = field->kind == PC_FIELD_QUANTITY ? pc_dimension_example(field->dimension) : "";
  pc_faults_add(faults, PC_ERR_MISSING, key, NULL, "is required (%s)%s%s", field->help ? field->help : "",
                *example ? ", e.g. " : "", example);
}

static bool is_excused(const pc_fields *fields, const pc_field *field, const void *object) {
  const pc_field *choice = field->unless ? pc_fields_find(fields, field->unless) : NULL;
  return choice && *(const int *)member(choice, object) != 0;
}

/* A share in percent, too: who wrote 500 % does not know it as 5. */
static void add_percent(const pc_field *field, double value, char *text, size_t size) {
  size_t length = strlen(text);
  if (field->dimension != PC_DIM_SHARE || field->kind == PC_FIELD_INTEGER || !isfinite(value) || value == 0 ||
      length + 4 > size)
    return;
  snprintf(text + length, size - length, " (");
  pc_units_print(text + length + 2, size - length - 3, value, PC_DIM_SHARE, PC_METRIC, 6);
  length = strlen(text);
  snprintf(text + length, size - length, ")");
}

static void check_number(const pc_field *field, double value, bool required, const char *key,
                         pc_faults *faults) {
  if (isnan(value)) {
    if (required)
      add_missing(field, key, faults);
    return;
  }
  char allowed[PC_MESSAGE_MAX / 2], shown[64];
  bool fits =
      isfinite(value) && value <= field->max && (field->above_min ? value > field->min : value >= field->min);
  if (fits)
    return;
  pc_field_print_range(field, faults->units, allowed, sizeof allowed);
  add_percent(field, field->max, allowed, sizeof allowed);
  if (isfinite(value)) {
    print_value(shown, sizeof shown, field, faults->units, value);
    add_percent(field, value, shown, sizeof shown);
  } else {
    snprintf(shown, sizeof shown, "an infinite value");
  }
  pc_faults_add(faults, PC_ERR_RANGE, key, shown, "%s is outside what is allowed: %s", shown, allowed);
}

static void check_name(const pc_field *field, const pc_name *name, const char *key, pc_faults *faults) {
  if (!memchr(name->text, '\0', PC_NAME_MAX))
    pc_faults_add(faults, PC_ERR_LIMIT, key, NULL, "is longer than a name may be: %d bytes", PC_NAME_MAX - 1);
  else if (!pc_is_line(name->text))
    pc_faults_add(faults, PC_ERR_SYNTAX, key, NULL,
                  "is no name: a name is UTF-8 text on one line, without control characters");
  else if (field->required && name->text[0] == '\0')
    add_missing(field, key, faults);
}

static void check_choice(const pc_field *field, int value, const char *key, pc_faults *faults) {
  int count = 0;
  while (field->choices && field->choices[count])
    count++;
  if (value >= 0 && value < count)
    return;
  char allowed[PC_MESSAGE_MAX / 2], shown[16];
  pc_field_print_range(field, faults->units, allowed, sizeof allowed);
  snprintf(shown, sizeof shown, "%d", value);
  pc_faults_add(faults, PC_ERR_RANGE, key, shown, "choice %d does not exist; must be %s", value, allowed);
}

void pc_fields_validate(const pc_fields *fields, const void *object, const char *prefix, pc_faults *faults) {
  for (size_t i = 0; i < fields->count; i++) {
    const pc_field *field = &fields->items[i];
    const void *at = member(field, object);
    char key[PC_KEY_MAX];
    join_key(key, prefix, field);
    switch (field->kind) {
    case PC_FIELD_QUANTITY:
      check_number(field, *(const double *)at, field->required && !is_excused(fields, field, object), key,
                   faults);
      break;
    case PC_FIELD_INTEGER:
      check_number(field, *(const int *)at, field->required, key, faults);
      break;
    case PC_FIELD_NAME:
      check_name(field, at, key, faults);
      break;
    case PC_FIELD_CHOICE:
      check_choice(field, *(const int *)at, key, faults);
      break;
    case PC_FIELD_FLAG: /* both values are allowed */
      break;
    }
  }
}

void pc_fields_check_defaults(const pc_fields *fields, const void *object, const void *defaults,
                              const char *prefix, pc_faults *faults) {
  for (size_t i = 0; i < fields->count; i++) {
    const pc_field *field = &fields->items[i];
    if (field->kind != PC_FIELD_QUANTITY || field->required)
      continue;
    double value = *(const double *)member(field, object),
           fallback = *(const double *)member(field, defaults);
    if (!isnan(value) || isnan(fallback))
      continue;
    char key[PC_KEY_MAX];
    join_key(key, prefix, field);
    pc_faults_add(faults, PC_ERR_RANGE, key, NULL,
                  "is not a number; leave the default (%s) where nothing is given",
                  field->fallback ? field->fallback : "");
  }
}

const pc_field *pc_fields_find(const pc_fields *fields, const char *key) {
  for (size_t i = 0; i < fields->count; i++)
    if (strcmp(fields->items[i].key, key) == 0)
      return &fields->items[i];
  return NULL;
}
