// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

static bool set_within(pc_name *name, const char *text, size_t room) {
  size_t length = strlen(text);
  if (length >= room)
    return false;
  pc_name set = {{0}};
  memcpy(set.text, text, length);
  *name = set;
  return true;
}

static pc_name cut_to(const char *text, size_t room) {
  pc_name name = {{0}};
  size_t length = strlen(text);
  if (length >= room) {
    length = room - 1;
    while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80)
      length--;
  }
  memcpy(name.text, text, length);
  return name;
}

bool pc_name_set(pc_name *name, const char *text) {
  return set_within(name, text, PC_NAME_MAX);
}

pc_name pc_name_of(const char *text) {
  return cut_to(text, PC_NAME_MAX);
}

bool pc_name_set_long(pc_name *name, const char *text) {
  return set_within(name, text, PC_NAME_ROOM);
}

pc_name pc_name_long_of(const char *text) {
  return cut_to(text, PC_NAME_ROOM);
}

void pc_names_free(pc_names *names) {
  if (!names)
    return;
  free(names->items);
  *names = (pc_names){0};
}

bool pc_name_is(const pc_name *name, const char *text) {
  return strcmp(name->text, text) == 0;
}

size_t pc_name_find(const void *items, size_t count, size_t size, const char *name) {
  const char *at = items;
  size_t i = 0;
  for (; i < count && strcmp(at, name) != 0; at += size) /* a name is its text */
    i++;
  return i;
}

bool pc_names_have(const pc_names *names, const char *name) {
  return pc_name_find(names->items, names->count, sizeof *names->items, name) < names->count;
}

bool pc_names_are_all(const pc_names *names) {
  return names->count == 1 && pc_name_is(&names->items[0], "all");
}

static bool reserve_text(pc_text *text, size_t more) {
  void *data = text->data;
  if (text->failed || more >= (size_t)-1 - text->length ||
      pc_reserve(&data, &text->capacity, text->length + more + 1, 1) != 0) {
    text->failed = true;
    return false;
  }
  text->data = data;
  return true;
}

/* The character that begins at `at`; *length is 0 if none does. */
static uint32_t decode(const char *text, size_t left, size_t *length) {
  static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
  const unsigned char *at = (const unsigned char *)text;
  *length = 0;
  if (left == 0 || at[0] == 0 || (at[0] >= 0x80 && at[0] < 0xC0) || at[0] > 0xF7)
    return 0;
  size_t bytes = at[0] < 0x80 ? 1 : at[0] >= 0xF0 ? 4 : at[0] >= 0xE0 ? 3 : 2;
  uint32_t value = bytes == 1 ? at[0] : at[0] & (0xFFu >> (bytes + 1));
  for (size_t i = 1; i < bytes; i++) {
    if (i == left || (at[i] & 0xC0) != 0x80)
      return 0;
    value = value << 6 | (at[i] & 0x3Fu);
  }
  bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  if (value < least[bytes] || value > 0x10FFFF || surrogate)
    return 0;
  *length = bytes;
  return value;
}

size_t pc_utf8_length(const char *at, size_t left) {
  size_t length;
  (void)decode(at, left, &length);
  return length;
}

bool pc_is_line(const char *text) {
  size_t length;
  for (; *text; text += length) {
    uint32_t value = decode(text, 4, &length);
    if (length == 0 || value < 0x20 || value == 0x7F)
      return false;
  }
  return true;
}

/* What YAML takes for a line break or refuses where it stands as it is. */
static bool needs_escape(uint32_t value) {
  return value < 0x20 || (value >= 0x7F && value <= 0x9F) || value == 0x2028 || value == 0x2029 ||
         value == 0xFEFF || value == 0xFFFE || value == 0xFFFF;
}

void pc_text_add_quoted(pc_text *text, const char *string) {
  size_t length;
  bool escapes = false;
  for (const char *at = string; *at; at += length ? length : 1) {
    uint32_t value = decode(at, 4, &length);
    escapes |= length > 0 && needs_escape(value);
  }
  pc_text_add(text, escapes ? "\"" : "'");
  for (const char *at = string; *at; at += length ? length : 1) {
    uint32_t value = decode(at, 4, &length);
    if (length == 0)
      pc_text_add(text, "\xEF\xBF\xBD");
    else if (needs_escape(value))
      pc_text_addf(text, "\\u%04X", (unsigned)value);
    else if (escapes && (value == '"' || value == '\\'))
      pc_text_addf(text, "\\%c", (int)value);
    else if (!escapes && value == '\'')
      pc_text_add(text, "''");
    else
      pc_text_add_bytes(text, at, length);
  }
  pc_text_add(text, escapes ? "\"" : "'");
}

void pc_text_add_shell(pc_text *text, const char *string) {
  bool plain = !strpbrk(string, "\"$`\\!"); /* the last one for shells with a history */
  pc_text_add(text, plain ? "\"" : "'");
  for (; *string; string++) {
    const char letter[2] = {*string, '\0'};
    pc_text_add(text, !plain && *string == '\'' ? "'\\''" : letter);
  }
  pc_text_add(text, plain ? "\"" : "'");
}

void pc_text_add(pc_text *text, const char *string) {
  size_t length = strlen(string);
  if (!reserve_text(text, length))
    return;
  memcpy(text->data + text->length, string, length + 1);
  text->length += length;
}

void pc_text_add_bytes(pc_text *text, const void *bytes, size_t count) {
  if (!reserve_text(text, count))
    return;
  if (count > 0)
    memcpy(text->data + text->length, bytes, count);
  text->length += count;
  text->data[text->length] = '\0';
}

void pc_text_addf(pc_text *text, const char *format, ...) {
  va_list arguments, again;
  va_start(arguments, format);
  va_copy(again, arguments);
  int length = vsnprintf(NULL, 0, format, arguments);
  va_end(arguments);
  if (length < 0)
    text->failed = true;
  else if (reserve_text(text, (size_t)length)) {
    vsnprintf(text->data + text->length, (size_t)length + 1, format, again);
    text->length += (size_t)length;
  }
  va_end(again);
}

void pc_text_free(pc_text *text) {
  if (!text)
    return;
  free(text->data);
  *text = (pc_text){0};
}

enum { WORD_MAX = 64 };

/* ASCII only: tolower() would depend on the locale. */
static char lower(char letter) {
  return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter;
}

static size_t smallest(size_t a, size_t b, size_t c) {
  size_t least = a < b ? a : b;
  return least < c ? least : c;
}

/* Edit distance in which two neighbours swapped count as one slip (optimal string alignment). */
static size_t edit_distance(const char *a, size_t length_a, const char *b, size_t length_b) {
  size_t rows[3][WORD_MAX + 1];
  size_t *before = rows[0], *last = rows[1], *now = rows[2];
  for (size_t j = 0; j <= length_b; j++)
    last[j] = before[j] = j;
  for (size_t i = 1; i <= length_a; i++) {
    now[0] = i;
    for (size_t j = 1; j <= length_b; j++) {
      size_t differs = lower(a[i - 1]) != lower(b[j - 1]);
      now[j] = smallest(last[j] + 1, now[j - 1] + 1, last[j - 1] + differs);
      if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]))
        now[j] = smallest(now[j], before[j - 2] + 1, now[j]);
    }
    size_t *spare = before;
    before = last;
    last = now;
    now = spare;
  }
  return last[length_b];
}

const char *pc_nearest_word(const char *word, const char *const *words, size_t count) {
  size_t length = strlen(word);
  if (length == 0 || length > WORD_MAX)
    return NULL;
  const char *nearest = NULL;
  size_t least = 1 + length / 4 + 1;
  for (size_t i = 0; i < count; i++) {
    size_t other = strlen(words[i]);
    if (other > WORD_MAX)
      continue;
    size_t distance = edit_distance(word, length, words[i], other);
    if (distance < least && distance < (length > other ? length : other)) {
      least = distance;
      nearest = words[i];
    }
  }
  return nearest;
}
