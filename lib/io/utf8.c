// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/utf8.h"

#include <string.h>

void pc_utf8_add_line(pc_text *out, const char *text) {
  pc_text_add(out, "");
  for (const char *at = text; *at;) {
    size_t length = pc_utf8_length(at, 4);
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
    size_t length = pc_utf8_length(at, 4);
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
