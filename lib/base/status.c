// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/status.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

typedef struct status_text {
  const char *name, *meaning;
} status_text;

static const status_text status_texts[PC_STATUS_COUNT] = {
    [PC_OK] = {"ok", "no fault"},
    [PC_ERR_MEMORY] = {"memory", "there is not enough memory"},
    [PC_ERR_FILE] = {"file", "a file could not be opened, read or written"},
    [PC_ERR_SYNTAX] = {"syntax", "the text cannot be read as what is due here"},
    [PC_ERR_UNIT] = {"unit", "a quantity has no unit, or a unit of another kind"},
    [PC_ERR_KEY] = {"key", "a key is not known, or stands twice"},
    [PC_ERR_MISSING] = {"missing", "something required is not given"},
    [PC_ERR_RANGE] = {"range", "a value lies outside what is allowed"},
    [PC_ERR_NAME] = {"name", "a name is not defined, or defined twice"},
    [PC_ERR_GEOMETRY] = {"geometry", "an outline or a position is not usable"},
    [PC_ERR_LIMIT] = {"limit", "something is larger than the library accepts"},
};

static const status_text *find_status(pc_status status) {
  static const status_text unknown = {"unknown", "unknown status"};
  return (unsigned)status < PC_STATUS_COUNT ? &status_texts[status] : &unknown;
}

const char *pc_status_name(pc_status status) {
  return find_status(status)->name;
}

const char *pc_status_describe(pc_status status) {
  return find_status(status)->meaning;
}

/* Copies what fits; a character of several bytes is never cut in two, since the text goes to a terminal. */
static void copy_cut(char *to, size_t size, const char *from) {
  size_t length = from ? strlen(from) : 0;
  if (length >= size) {
    length = size - 1;
    while (length > 0 && ((unsigned char)from[length] & 0xC0) == 0x80)
      length--;
  }
  if (length > 0)
    memcpy(to, from, length);
  to[length] = '\0';
}

static void fill_error(pc_error *error, pc_status status, const char *key, const char *value,
                       const char *format, va_list arguments) PC_PRINTF(5, 0);

static void fill_error(pc_error *error, pc_status status, const char *key, const char *value,
                       const char *format, va_list arguments) {
  char message[2 * PC_MESSAGE_MAX];
  if (vsnprintf(message, sizeof message, format, arguments) < 0)
    message[0] = '\0';
  pc_error filled = {.status = status};
  copy_cut(filled.key, sizeof filled.key, key);
  copy_cut(filled.value, sizeof filled.value, value);
  copy_cut(filled.message, sizeof filled.message, message);
  *error = filled;
}

pc_status pc_error_set(pc_error *error, pc_status status, const char *key, const char *value,
                       const char *format, ...) {
  if (error) {
    va_list arguments;
    va_start(arguments, format);
    fill_error(error, status, key, value, format, arguments);
    va_end(arguments);
  }
  return status;
}

_Static_assert(PC_ERROR_TEXT_MAX >=
                   PC_FILE_MAX + PC_KEY_MAX + PC_MESSAGE_MAX + sizeof ":-2147483648:-2147483648: : ",
               "any error fits");

int pc_error_format(const pc_error *error, char *text, size_t size) {
  char place[PC_FILE_MAX + 32] = "";
  if (error->file[0] && error->line > 0 && error->column > 0)
    snprintf(place, sizeof place, "%s:%d:%d: ", error->file, error->line, error->column);
  else if (error->file[0] && error->line > 0)
    snprintf(place, sizeof place, "%s:%d: ", error->file, error->line);
  else if (error->file[0])
    snprintf(place, sizeof place, "%s: ", error->file);
  else if (error->line > 0 && error->column > 0)
    snprintf(place, sizeof place, "%d:%d: ", error->line, error->column);
  else if (error->line > 0)
    snprintf(place, sizeof place, "%d: ", error->line);
  return snprintf(text, size, "%s%s%s%s", place, error->key, error->key[0] ? ": " : "", error->message);
}

void pc_error_place(pc_error *error, const char *file, int line, int column) {
  size_t length = strlen(file);
  /* The end of a path says more than its beginning. */
  if (length >= sizeof error->file)
    file += length - sizeof error->file + 1;
  while (((unsigned char)*file & 0xC0) == 0x80)
    file++;
  memcpy(error->file, file, strlen(file) + 1);
  error->line = line;
  error->column = column;
}

void pc_error_rename(pc_error *error, const char *key) {
  copy_cut(error->key, sizeof error->key, key);
}

pc_status pc_faults_add(pc_faults *faults, pc_status status, const char *key, const char *value,
                        const char *format, ...) {
  pc_error error;
  va_list arguments;
  va_start(arguments, format);
  fill_error(&error, status, key, value, format, arguments);
  va_end(arguments);
  pc_faults_push(faults, &error);
  return status;
}

void pc_faults_caution(pc_faults *faults, const char *key, const char *format, ...) {
  pc_error error;
  va_list arguments;
  va_start(arguments, format);
  fill_error(&error, PC_OK, key, NULL, format, arguments);
  va_end(arguments);
  error.caution = true;
  pc_faults_push(faults, &error);
}

void pc_faults_push(pc_faults *faults, const pc_error *error) {
  pc_error copy = *error; /* *error may be an entry of this very list, which may move */
  void *items = faults->items;
  if (pc_reserve(&items, &faults->capacity, faults->count + 1, sizeof *faults->items) != 0) {
    faults->dropped++;
    return;
  }
  faults->items = items;
  faults->items[faults->count++] = copy;
}

void pc_faults_move(pc_faults *faults, pc_faults *found) {
  for (size_t i = 0; i < found->count; i++)
    pc_faults_push(faults, &found->items[i]);
  faults->dropped += found->dropped;
  pc_faults_free(found);
}

pc_faults pc_faults_like(const pc_faults *faults) {
  return (pc_faults){.units = faults->units, .units_given = faults->units_given};
}

const pc_error *pc_faults_first(const pc_faults *faults, size_t from) {
  for (size_t i = from; i < faults->count; i++)
    if (!faults->items[i].caution)
      return &faults->items[i];
  return NULL;
}

size_t pc_faults_fatal(const pc_faults *faults) {
  size_t fatal = faults->dropped;
  for (size_t i = 0; i < faults->count; i++)
    fatal += !faults->items[i].caution;
  return fatal;
}

pc_status pc_faults_status(const pc_faults *faults) {
  const pc_error *first = pc_faults_first(faults, 0);
  return first ? first->status : faults->dropped ? PC_ERR_MEMORY : PC_OK;
}

bool pc_faults_has_key(const pc_faults *faults, const char *key) {
  for (size_t i = 0; i < faults->count; i++)
    if (!faults->items[i].caution && strcmp(faults->items[i].key, key) == 0)
      return true;
  return false;
}

void pc_faults_free(pc_faults *faults) {
  if (!faults)
    return;
  free(faults->items);
  *faults = pc_faults_like(faults);
}
