// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/yaml_edit.h"

#include <string.h>

#include "io/csv.h"
#include "io/geodesy.h"
#include "io/utf8.h"

/* Bytes of the line break that begins at `at`; 0: none does. YAML 1.1 has five kinds, and nodes count all. */
static size_t break_at(const char *text, size_t length, size_t at) {
  static const char *const breaks[] = {"\r\n", "\n", "\r", "\xC2\x85", "\xE2\x80\xA8", "\xE2\x80\xA9"};
  for (size_t i = 0; i < sizeof breaks / sizeof breaks[0]; i++) {
    size_t bytes = strlen(breaks[i]);
    if (bytes <= length - at && memcmp(text + at, breaks[i], bytes) == 0)
      return bytes;
  }
  return 0;
}

size_t pc_yaml_next_line(const char *text, size_t length, size_t at) {
  for (; at < length; at++) {
    size_t bytes = break_at(text, length, at);
    if (bytes > 0)
      return at + bytes;
  }
  return length;
}

size_t pc_yaml_line(const char *text, size_t length, int line) {
  size_t at = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
  for (int l = 1; l < line && at < length; l++)
    at = pc_yaml_next_line(text, length, at);
  return at;
}

size_t pc_yaml_place(const char *text, size_t length, int line, int column) {
  size_t at = pc_yaml_line(text, length, line);
  for (int c = 1; c < column && at < length; c++)
    for (at++; at < length && ((unsigned char)text[at] & 0xC0) == 0x80;)
      at++;
  return at;
}

void pc_yaml_add_words(pc_text *out, const char *words) {
  pc_text line = {0};
  pc_utf8_add_line(&line, words);
  out->failed |= line.failed;
  for (size_t at = 0; at < line.length;) {
    size_t bytes = break_at(line.data, line.length, at);
    bool refused =
        strncmp(line.data + at, "\xEF\xBF\xBE", 3) == 0 || strncmp(line.data + at, "\xEF\xBF\xBF", 3) == 0;
    if (bytes > 0 || !refused)
      pc_text_add_bytes(out, bytes ? " " : line.data + at, 1);
    else
      pc_text_add(out, PC_UTF8_REPLACEMENT);
    at += bytes ? bytes : refused ? 3 : 1;
  }
  pc_text_free(&line);
}

void pc_yaml_add_decimals(pc_text *out, double value, int decimals) {
  char text[PC_DECIMALS_MAX];
  pc_print_decimals(text, value, decimals);
  size_t length = strlen(text);
  while (length > 1 && text[length - 1] == '0')
    text[--length] = '\0';
  if (text[length - 1] == '.')
    text[--length] = '\0';
  pc_text_add(out, strcmp(text, "-0") == 0 ? "0" : text);
}

void pc_yaml_add_pair(pc_text *out, double x, double y, int decimals) {
  pc_text_add(out, "[");
  pc_yaml_add_decimals(out, x, decimals);
  pc_text_add(out, ", ");
  pc_yaml_add_decimals(out, y, decimals);
  pc_text_add(out, "]");
}

void pc_yaml_add_number(pc_text *out, const char *key, double value, const char *unit) {
  char text[PC_CSV_NUMBER_MAX];
  pc_csv_print_number(text, value);
  pc_text_addf(out, "%s: %s%s%s", key, text, *unit ? " " : "", unit);
}

bool pc_yaml_is_same(const pc_node *a, const pc_node *b, const pc_node *but, const char *text) {
  if (a->kind != b->kind || a->count != b->count || (a->key != NULL) != (b->key != NULL) ||
      (a->key && strcmp(a->key, b->key) != 0) || strcmp(a == but ? text : a->text, b->text) != 0)
    return false;
  const pc_node *of_b = b->first;
  for (const pc_node *of_a = a->first; of_a; of_a = of_a->next, of_b = of_b->next)
    if (!pc_yaml_is_same(of_a, of_b, but, text))
      return false;
  return true;
}
