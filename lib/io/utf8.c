// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/utf8.h"

#include <stdint.h>
#include <string.h>

size_t pc_utf8_length(const char *text) {
  const unsigned char *at = (const unsigned char *)text;
  if (at[0] < 0x80)
    return at[0] != 0;
  size_t length = at[0] >= 0xF0 ? 4 : at[0] >= 0xE0 ? 3 : 2;
  static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
  uint32_t value = at[0] & (0xFFu >> (length + 1));
  if (at[0] < 0xC0 || at[0] > 0xF7)
    return 0;
  for (size_t i = 1; i < length; i++) {
    if ((at[i] & 0xC0) != 0x80)
      return 0;
    value = value << 6 | (at[i] & 0x3Fu);
  }
  bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  return value < least[length] || value > 0x10FFFF || surrogate ? 0 : length;
}

void pc_utf8_add_line(pc_text *out, const char *text) {
  pc_text_add(out, "");
  for (const char *at = text; *at;) {
    size_t length = pc_utf8_length(at);
    unsigned char first = (unsigned char)*at;
    bool control = first < 0x20 || first == 0x7F || (first == 0xC2 && ((unsigned char)at[1] & 0xE0) == 0x80);
    if (length == 0)
      pc_text_add(out, PC_UTF8_REPLACEMENT);
    else if (control)
      pc_text_add(out, " ");
    else
      pc_text_add_bytes(out, at, length);
    at += length ? length : 1;
  }
}

void pc_utf8_add_short(pc_text *out, const char *text, size_t most) {
  size_t characters = 0;
  const char *cut = text; /* where the ellipsis would stand */
  for (const char *at = text; *at; characters++) {
    size_t length = pc_utf8_length(at);
    at += length ? length : 1;
    if (characters + 2 <= most)
      cut = at;
  }
  if (characters <= most)
    cut = text + strlen(text);
  pc_text_add_bytes(out, text, (size_t)(cut - text));
  if (characters > most)
    pc_text_add(out, "…");
}
